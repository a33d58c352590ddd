"""Jobs and studies without a notebook: `python -m panelmech new`, `open`, `size`, `note`, `check` and so on."""

from __future__ import annotations

import argparse
import sys

from . import __version__, _commands
from ._commands.usage import COMMANDS, EXIT_CODES, PROGRAM
from ._commands.work import BAD_INPUT, FINE, INFEASIBLE, MOVED, guarded, on_found, on_word, worst
from .units import capital

__all__ = ["BAD_INPUT", "EXIT_CODES", "FINE", "INFEASIBLE", "MOVED", "main"]


def main(arguments=None) -> int:
    """Run one command on each of its jobs or files; the exit code (see `EXIT_CODES`)."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that knows no superscripts gets question marks, not an error
            stream.reconfigure(errors="replace")
    options = _parser().parse_args(arguments)
    from .job.shelf import shelf_here  # here, so that help and usage come quickly

    options.jobs = options.jobs or shelf_here()
    command = getattr(_commands, f"run_{options.command}")
    run = on_found if COMMANDS[options.command].finds else on_word
    words = options.what if isinstance(options.what, list) else [options.what]
    return worst([guarded(run, command, options, word or "") for word in words or [""]])


def _parser():
    about = "Bent-panel stiffness studies without a notebook, from jobs and from study files."
    parser = argparse.ArgumentParser(prog=PROGRAM, description=about, **_settings(EXIT_CODES))
    parser.add_argument("--version", action="version", version=f"panelmech {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True, dest="command")
    for name, command in COMMANDS.items():
        words = _settings(f"example:\n  {PROGRAM} {command.example}\n\n{EXIT_CODES}")
        sub = commands.add_parser(name, help=command.summary, description=f"{capital(command.summary)}.", **words)
        for argument, settings in command.arguments.items():
            sub.add_argument(argument, **settings)
    return parser


def _settings(epilog):
    return {"epilog": epilog, "formatter_class": argparse.RawDescriptionHelpFormatter}


if __name__ == "__main__":
    sys.exit(main())
