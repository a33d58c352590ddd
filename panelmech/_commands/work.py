"""How a command runs: exit codes, what it works on, mistakes in words, checks that must hold."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from pathlib import Path

from ..mechanics.bend import InfeasibleBend
from ..study.verdicts import said
from ..units import LENGTHS, lengths_in

FINE, MOVED, BAD_INPUT, INFEASIBLE = range(4)
BY = "command line"  # in a job's history
_WORST_FIRST = (BAD_INPUT, INFEASIBLE, MOVED, FINE)


def worst(codes) -> int:
    """The worst of several exit codes."""
    return next(code for code in _WORST_FIRST if code in codes)


def on_found(command, options, word) -> int:
    """Run a command on the job or file that a word stands for, in the lengths asked for, or else in the job's own."""
    from ..job.found import find  # here, so that the help comes quickly

    found = find(word, options.jobs)
    with lengths_in(options.lengths or found.job.lengths):
        if not word:
            print(f"The open job: {found.name}." if found.folder else "No job is open; this is the demo.")
        with about(found.name):
            return command(options, found)


def on_word(command, options, word) -> int:
    """Run a command on a name, in the lengths asked for, or else in mm."""
    with lengths_in(options.lengths or LENGTHS[0]):
        return command(options, word)


class _InFile(ValueError):
    """An error that names its own file, which need not be the study."""


@contextmanager
def about(path):
    """What a user can put right in a file names that file."""
    try:
        yield
    except (InfeasibleBend, _InFile):
        raise
    except ValueError as error:
        raise _InFile(f"{path}: {str(error).removeprefix(f'{Path(path).name}: ')}") from None


def guarded(run, command, options, word) -> int:
    """Run a command on a word; what a user can put right becomes a message on stderr and an exit code."""
    name = word or options.command
    try:
        with about(name):
            return run(command, options, word)
    except InfeasibleBend as error:
        print(f"{name}: {error}", file=sys.stderr)
        return INFEASIBLE
    except OSError as error:
        print(f"{error.filename or name}: {error.strerror or error}", file=sys.stderr)
    except _InFile as error:
        print(error, file=sys.stderr)
    return BAD_INPUT


def job_code(options, name, verdict) -> int:
    """The exit code of a job by its `Verdict`, whatever the command.

    A design that cannot be bent is told on stderr, and so is, with --must-hold, each check of each part that does not
    hold.
    """
    if not verdict.bent:
        print(f"{name}: {verdict.of('design').told}", file=sys.stderr)
        return INFEASIBLE
    if verdict.holds or not getattr(options, "must_hold", False):
        return FINE
    for part, item in verdict.failing:
        words = f"{item.name}: {said(item.verdict)}. {item.advice}" if item else f"{said(part.word)}. {part.told}"
        print(f"{name}: {part.title}: {words}".rstrip(), file=sys.stderr)
    return MOVED
