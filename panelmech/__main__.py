"""The same studies without a notebook: `python -m panelmech note`, `loads`, `shop`, `check` and `store`."""

from __future__ import annotations

import argparse
import sys
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from . import __version__
from .entries import read_entry
from .mechanics.bend import InfeasibleBend
from .study.design import Design
from .study.regression import check, store, table_text
from .study.study import evaluate
from .study.verdicts import CLOSE, HOLDS, said
from .units import LENGTHS, capital, lengths_in

CAMBER = "0.5 mm"  # allowed, unless told
FINE, MOVED, BAD_INPUT, INFEASIBLE = range(4)
EXIT_CODES = """exit codes:
  0  all is well
  1  a stored result moved by more than its tolerance (check),
     or with --must-hold: a check of the design or of its pours does not hold,
     or the two sheets of --readings do not, or not surely
  2  wrong usage, a file that cannot be read or written, or is no study file;
     for the shop pack also stock, resin or lifts that cannot be
  3  the design cannot be bent so; the message names what to change
Of several study files the worst code counts: 2 before 3 before 1."""
_LENGTHS = {
    "choices": LENGTHS,
    "default": LENGTHS[0],
    "help": "show and print lengths in mm or inch; files that are read again stay in SI and mm",
}
_WORST_FIRST = (BAD_INPUT, INFEASIBLE, MOVED, FINE)


def main(arguments=None) -> int:
    """Run one command on each of its files; the exit code (see `EXIT_CODES`)."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that knows no superscripts gets question marks, not an error
            stream.reconfigure(errors="replace")
    options = _parser().parse_args(arguments)
    with lengths_in(options.lengths):
        return _worst([_guarded(options.run, options, path) for path in options.studies])


def _parser():
    settings = {"epilog": EXIT_CODES, "formatter_class": argparse.RawDescriptionHelpFormatter}
    about = "Bent-panel stiffness studies from study files, without a notebook."
    parser = argparse.ArgumentParser(prog="python -m panelmech", description=about, **settings)
    parser.add_argument("--version", action="version", version=f"panelmech {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    for name, (run, several, summary, options) in _commands().items():
        command = commands.add_parser(name, help=summary, description=f"{capital(summary)}.", **settings)
        command.add_argument("studies", metavar="STUDY.json", nargs="+" if several else 1, help="study file")
        for option, meaning in {**options, "--lengths": _LENGTHS}.items():
            command.add_argument(option, **meaning)
        command.set_defaults(run=run)
    return parser


def _commands():
    """{name: (function of the options and a file, whether it takes several files, summary, {option: its settings})}."""
    held = {"action": "store_true", "help": "exit with 1 if a check of the design fails, or has no basis to be judged"}
    note = {
        "--out": _folder("note"),
        "--readings": _file("READINGS.csv", "bench readings of the two sheets; adds their record"),
        "--camber": _file("CAMBER", f"camber allowed with --readings, {CAMBER}; as 0.4, 0,4 or 1/64 in")
        | {"default": CAMBER},
        "--loads": _file("LOADS.json", "load file; adds the part under its loads"),
        "--part": _file("BLADE.json", "the part along its span, for --loads; else untapered"),
        "--must-hold": held,
    }
    loads = {
        "--plan": _file("LOADS.json", "load file") | {"required": True},
        "--out": _folder("record"),
        "--must-hold": held,
    }
    shop = {
        "--out": _folder("pack"),
        "--choices": _file("SHOP.json", "shop file: resin, temperature, stock, paper and the rest"),
        "--must-hold": held | {"help": "exit with 1 if a check of the pours does not hold"},
    }
    everything = {"action": "store_true", "help": "show every result, not only those that moved"}
    return {
        "note": (_note, False, "write the design note of a study: HTML, PDF, plots, tables", note),
        "loads": (_loads, False, "write the load record of a part: HTML, PDF, plots, tables", loads),
        "shop": (_shop, False, "write the shop pack of a part: cut list, batch sheet, schedule, templates", shop),
        "check": (
            _check,
            True,
            "recompute the results stored in study files and compare",
            {"--all": everything, "--must-hold": held},
        ),
        "store": (_store, True, "compute the results of study files and store them in the files", {}),
    }


def _file(metavar, words):
    return {"metavar": metavar, "help": words}


def _folder(what):
    return {"metavar": "DIR", "required": True, "help": f"folder for the {what}; made if it is not there"}


def _note(options, path) -> int:
    from .report.note import write_note  # here, so that check and store start without drawing and loads

    camber = read_entry(options.camber, "--camber", "mm", above=0.0).value
    study = evaluate(Design.load(path))
    pair = _judged(options, path, study.design, camber) if options.readings else None
    files = write_note(study, options.out, pair, _load_record(options, path, study.design))
    print(f"{study.headline()}\nDesign note written to {files.folder}: {', '.join(files.names())}")
    return _worst((_pair_held(options, pair), _held(options, path, study)))


def _judged(options, path, design, camber):
    """The pair of the readings file, for a design."""
    from .measured.pair import judge_pair
    from .measured.readings import NotSureYet, read_readings

    readings = read_readings(options.readings)
    with _about(f"{options.readings}, for {path}"):
        try:
            return judge_pair(design, readings, camber)
        except NotSureYet as error:
            raise ValueError(f"not sure yet: {error}") from None


def _pair_held(options, pair) -> int:
    """Say the verdict on the pair, if any; with --must-hold one that is not sure counts as one that fails."""
    if pair is None:
        return FINE
    from .report.pair_rows import verdict_words

    print(f"The two sheets: {said(pair.verdict)}. {verdict_words(pair)}")
    if not options.must_hold or pair.verdict in (HOLDS, CLOSE):
        return FINE
    print(f"{options.readings}: the two sheets: {said(pair.verdict)}.", file=sys.stderr)
    return MOVED


def _load_record(options, path, design):
    """The loads of the load file on the design's part, or None where no file is given."""
    if options.loads is None:
        if options.part:
            raise ValueError("--part is given without --loads: it says where along the span the loads act")
        return None
    from .blade.blade import Blade

    part = _from_file(options.part, Blade) if options.part else Blade(design)
    return _record_of(part, options.part or path, options.loads)


def _record_of(part, part_file, load_file):
    """The loads of a load file on a part; what is wrong with them names the load file."""
    from .loads.load_file import LoadSheet
    from .report.records import record_of

    loads = _from_file(load_file, LoadSheet)
    with _about(f"{load_file}, for {part_file}"):
        return record_of(part, loads)


def _from_file(path, kind):
    """A record from its file; what is wrong names that file."""
    with _about(path):
        return kind.load(path)


def _loads(options, path) -> int:
    from .report.note import write_load_record

    record = _record_of(_part(path), path, options.plan)
    files = write_load_record(record, options.out)
    names = ", ".join(path.name for path in files.paths)
    print(f"{record.study.headline()}\nLoad record written to {files.folder}: {names}, plots/")
    return _held(options, path, replace(record.study, checks=(*record.study.checks, *record.fittings)))


def _part(path):
    """A part along its span, a `Blade`, from its own file, or an untapered one from a study file."""
    from .blade.blade import Blade

    try:
        return Blade.load(path)
    except ValueError as error:
        if not any(words in str(error) for words in ("not a blade file", "not a readable blade file")):
            raise
    return Blade(Design.load(path))


def _shop(options, path) -> int:
    from .report.folder import old_words
    from .report.shop_sheets import write_shop  # as in `_note`
    from .shop.choices import ShopChoices
    from .shop.pack import shop_pack

    choices = ShopChoices() if options.choices is None else _from_file(options.choices, ShopChoices)
    pack = shop_pack(_part(path), choices)
    files = write_shop(pack, options.out)
    print(f"{_pours_line(pack)}\nShop pack written to {files.folder}: {', '.join(files.names())}")
    print("\n".join((*old_words(files.removed, files.left), f"Cure data: {pack.heat.label}.")))
    return _held(options, path, pack)


def _pours_line(pack):
    from .report.shop_rows import needs_rows

    needs = "; ".join(f"{name}: {resin} resin, {hardener} hardener" for name, resin, hardener, _ in needs_rows(pack))
    return f"{len(pack.pours)} pours. {needs}."


def _check(options, path) -> int:
    outcome = check(path)
    count, moved = len(outcome.comparisons), outcome.moved
    if options.all or moved:
        print(table_text(outcome.comparisons if options.all else moved))
    if moved:
        say = f"{path}: {len(moved)} of {count} stored results moved by more than allowed (changes are relative)."
        if outcome.inputs_changed:
            say += " The inputs are not those the results were stored for."
        print(f"{say}\nIf the new results are right, store them: python -m panelmech store {path}", file=sys.stderr)
    else:
        print(f"{path}: {count} stored results recomputed, none moved.")
    return _worst((MOVED if moved else FINE, _held(options, path, outcome.study)))


def _store(options, path) -> int:
    study = store(path)
    print(f"{path}: {len(study.quantities)} results and {len(study.checks)} verdicts stored.")
    return FINE


def _held(options, path, study):
    failing = [c for c in study.checks if c.kind == "limit" and c.verdict not in (HOLDS, CLOSE)]
    if not options.must_hold or not failing:
        return FINE
    for item in failing:
        print(f"{path}: {item.name}: {item.verdict}. {item.advice}".rstrip(), file=sys.stderr)
    return MOVED


class _InFile(ValueError):
    """An error that names its own file, which need not be the study."""


@contextmanager
def _about(path):
    """What a user can put right in a file names that file."""
    try:
        yield
    except (InfeasibleBend, _InFile):
        raise
    except ValueError as error:
        raise _InFile(f"{path}: {str(error).removeprefix(f'{Path(path).name}: ')}") from None


def _guarded(command, options, path) -> int:
    """Run a command on a file; what a user can put right becomes a message on stderr and an exit code."""
    try:
        with _about(path):
            return command(options, path)
    except InfeasibleBend as error:
        print(f"{path}: {error}", file=sys.stderr)
        return INFEASIBLE
    except OSError as error:
        print(f"{error.filename or path}: {error.strerror or error}", file=sys.stderr)
    except _InFile as error:
        print(error, file=sys.stderr)
    return BAD_INPUT


def _worst(codes) -> int:
    return next(code for code in _WORST_FIRST if code in codes)


if __name__ == "__main__":
    sys.exit(main())
