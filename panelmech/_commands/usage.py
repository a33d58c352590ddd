"""What commands there are: what each takes, its options, an example of it, and the exit codes of all."""

from __future__ import annotations

from argparse import ArgumentTypeError
from dataclasses import dataclass, field

from ..measured.offset_priors import LINES
from ..study.choose import CRITERIA
from ..study.design import LIMITS
from ..study.tolerances import SEED
from ..study.typed_inside import TYPED
from ..study.varying import ALIKE
from ..units import LENGTHS

PROGRAM = "python -m panelmech"
EXIT_CODES = """exit codes:
  0  all is well
  1  a stored result, limit, reserve or verdict moved or is not stored,
     or was stored for other inputs (check; each is said by itself),
     or with --must-hold: the job does not hold, whichever part of it is asked for:
     design along the span, two sheets, loads with fittings, pours
  2  wrong usage, a job or file that cannot be found, read or written;
     for the shop pack also stock, resin or lifts that cannot be
  3  the design cannot be bent so; the message names what to change
Of several study files the worst code counts: 2 before 3 before 1."""


def _text(metavar, words, **more):
    return {"metavar": metavar, "help": words.replace("%", "%%"), **more}


def _tick(words):
    return {"action": "store_true", "help": words}


# What a command takes: {name of the argument: its settings}.
_WHAT = "a job (its name, folder or job.json), or a study or blade file; by default the open job"
PART = {"what": _text("PART", _WHAT, nargs="?")}
PARTS = {"what": _text("PART", _WHAT, nargs="*")}
FILES = {"what": _text("STUDY.json", "study file, or a job: its name, folder or job.json", nargs="+")}
JOB = {"what": _text("JOB", "a job: its name, folder or job.json; by default the open one", nargs="?")}
NAME = {"what": _text("NAME", "name of the new job: letters, digits, spaces and - _ . +")}
MAYBE = {"what": _text("NAME", "the job to open; without it, all jobs are listed", nargs="?")}
TWO = {"what": _text("JOB", "name of a job"), "new": _text("NEW", "the name it gets")}

_HELD = _tick("exit with 1 if any part of the job fails, has no basis to be judged or is not sure yet")
_LENGTHS = {
    "choices": LENGTHS,
    "help": "show and print lengths in mm or inch, by default as the job does; files that are read again stay in SI "
    "and mm",
}
_JOBS = _text("DIR", "folder of the jobs; jobs, or notebooks/jobs beside the notebooks, unless told")
_CAMBER = _text("CAMBER", "camber allowed of the two sheets, the job's unless told; as 0.4, 0,4 or 1/64 in")
_LINE = _text(
    "LINE",
    "what offsets of the finished part were measured from, the job's unless told: chord, a straight edge through the "
    "middle of the bond line, along the land, found to a tenth of a millimetre at both ends; free, any straight line, "
    "whose height and tilt are found with the rest",
    choices=LINES,
)
_READINGS = _text("READINGS.csv", "bench readings of the two sheets, in the place of the job's")


def _out(what):
    return _text("DIR", f"folder for {what}, made if it is not there; of a job, in its papers unless told", type=_place)


def _place(text):
    """A folder as it is typed; that of a variable that is not set is none."""
    if not text.strip():
        raise ArgumentTypeError("is empty: give a folder, . for the one you are in")
    return text


_NEW = {
    "--sheet": _text("SHEET", "sheet of the catalogue by its name, or words of it that no other has"),
    **{
        f"--{name.replace('_', '-')}": _text("SIZE", f"{limit.label}: {limit.help}")
        for name, limit in LIMITS.items()
        if limit.group == "geometry" or name == "spacer_wall"
    },
    **{f"--{name}": _text("PLACES", f"{kind.label}: {kind.tip}, as “{kind.example}”") for name, kind in TYPED.items()},
    "--chord": _text("SIZE", "finished chord, in the place of the free length"),
    "--outer-thickness": _text("SIZE", "outer thickness at the front, in the place of the spacer diameter"),
    "--adhesive": _text("NAME", "adhesive of the catalogue"),
    "--spacer": _text("NAME", "rod or tube of the catalogue"),
    "--resin": _text("NAME", "resin of the catalogue"),
    "--stock": _text("FILE.toml", "own stock, beside the catalogue's"),
    "--title": _text("TEXT", "title of the part; its name unless told"),
    "--from": _text("FILE", "study, blade, load, shop and job files, and readings as CSV, to begin with", nargs="+")
    | {"dest": "take", "default": []},
}
_SIZE = {
    "--change": _text("INPUT", "what to change: free length, spacer diameter, … (without it, all are listed)"),
    "--so-that": _text("RESULT", "which result is wanted: chord, outer thickness, … (without it, all are listed)"),
    "--is": _text("VALUE", "the value wanted, with its unit: 25, 1 in, 0,06 %", dest="target"),
    "--under-loads": _tick("a result of the part under the job's loads, such as tip deflection or a reserve"),
    "--keep": _text("N", "keep answer N in the job; without N the only one", nargs="?", const=0, type=int),
}
_CHOOSE = {
    "--by": _text("CRITERION", f"one: ranked by it; several: what no other beats in them; of {', '.join(CRITERIA)}")
    | {"nargs": "+", "choices": tuple(CRITERIA), "default": ["mass", "chord_stiffness"]},
    "--count": _text("N", "how many to show, 20 unless told", type=int, default=20),
    "--any-basis": _tick("also what has a limit without a basis, so that it cannot be fully judged"),
    "--csv": _text("FILE.csv", "write the rows as CSV, too"),
    "--keep": _text("N", "make number N the job's", type=int),
}
_SCATTER = {
    "--count": _text("N", "how many parts, 20000 unless told", type=int, default=20_000),
    "--tolerance": _text(
        "INPUT=SIZE",
        "half of the band of an input, as “bond line=0.05 mm”, or with ,deviation behind it a standard deviation; 0 "
        "leaves the input out",
        action="append",
    ),
    "--measured": _text(
        "INPUT=VALUES",
        "values of an input as measured on parts or stock, in the place of a tolerance, each as likely as any other: "
        "“setback=3.2 2.9 3.0”, in mm, of the modulus in GPa",
        action="append",
    ),
    "--together": _text(
        "INPUT,INPUT=R", "correlation of two inputs, -1 to 1, as “sheet thickness,modulus=-0.5”", action="append"
    ),
    "--alike": _text(
        "R",
        "how the two sheets of a part go together in thickness and modulus: 1, alike, as cut side by side from one "
        "sheet, unless told; 0, each from a sheet of its own; what lies between is a correlation. Below 1 the camber "
        "of the part counts, too",
        type=float,
        default=ALIKE,
    ),
    "--seed": _text("N", "of the parts drawn", type=int, default=SEED),
    "--without-loads": _tick("leave the loads of the job out, which take a quarter of a minute"),
    "--rare": _tick(
        "also the share that fails a check of the design however rare, by subset simulation; loads are left out of it"
    ),
}


@dataclass(frozen=True)
class Command:
    """A command: what it `takes`, its `summary`, an `example` that works, its `options` beside --jobs and --lengths;
    `finds`: whether what it takes stands for a job or file to work on."""

    takes: dict
    summary: str
    example: str
    options: dict = field(default_factory=dict)
    finds: bool = True

    @property
    def arguments(self) -> dict:
        """All arguments and options with their settings."""
        return {**self.takes, **self.options, "--jobs": _JOBS, "--lengths": _LENGTHS}


COMMANDS = {
    "new": Command(
        NAME,
        "make a job from the six first inputs, asked for where they are not given, or from older files",
        'new rudder --sheet "glass-epoxy laminate, lengthwise" --sheet-thickness "2 mm" --chord "9 1/2 in" '
        '--spacer-diameter "18 mm" --setback 3 --span "85 cm"',
        _NEW,
        finds=False,
    ),
    "open": Command(MAYBE, "open a job and say how it stands, or list all jobs", "open rudder", finds=False),
    "size": Command(
        PART,
        "solve for one input so that a result is as wanted",
        'size rudder --change "spacer diameter" --so-that "outer thickness" --is "24 mm" --keep 1',
        _SIZE,
    ),
    "choose": Command(
        PART,
        "rank every sheet and rod one can buy for the lengths of a job",
        "choose rudder --by mass --count 5 --csv choices.csv",
        _CHOOSE,
    ),
    "scatter": Command(
        PART,
        "say what share of parts built alike fails each check, and how sure that is",
        'scatter rudder --count 2000 --tolerance "bond line=0.05 mm,deviation" --without-loads',
        _SCATTER,
    ),
    "pair": Command(
        PART,
        "judge two measured sheets as a pair",
        'pair rudder --readings leeboard_readings.csv --camber "1/32 in"',
        {"--readings": _READINGS, "--camber": _CAMBER, "--offsets-from": _LINE, "--must-hold": _HELD},
    ),
    "papers": Command(
        JOB,
        "write all papers of a job from one state: note, inspection, loads, shop",
        "papers rudder",
        {"--out": _out("all of them"), "--must-hold": _HELD},
    ),
    "note": Command(
        PART,
        "write the design note of a job or study: HTML, PDF, plots, tables",
        "note leeboard.json --readings leeboard_readings.csv --loads leeboard_loads.json --out out/note",
        {
            "--out": _out("the note"),
            "--readings": _READINGS,
            "--camber": _CAMBER,
            "--offsets-from": _LINE,
            "--loads": _text("LOADS.json", "load file, in the place of the job's; adds the part under its loads"),
            "--part": _text("BLADE.json", "the part along its span, for --loads; else the job's, or untapered"),
            "--must-hold": _HELD,
        },
    ),
    "loads": Command(
        PART,
        "write the load record of a part: HTML, PDF, plots, tables",
        "loads leeboard_blade.json --plan leeboard_loads.json --out out/loads",
        {
            "--plan": _text("LOADS.json", "load file, in the place of the job's"),
            "--out": _out("the record"),
            "--must-hold": _HELD,
        },
    ),
    "shop": Command(
        PART,
        "write the shop pack of a part: cut list, batch sheet, schedule, templates",
        "shop rudder",
        {
            "--out": _out("the pack"),
            "--choices": _text("SHOP.json", "shop file: resin, temperature, stock, paper, in the place of the job's"),
            "--must-hold": _HELD,
        },
    ),
    "check": Command(
        PARTS,
        "recompute the results stored in study files or with jobs and compare; judge a job anew",
        "check leeboard.json",
        {"--all": _tick("show every result, not only those that moved"), "--must-hold": _HELD},
    ),
    "store": Command(
        FILES, "compute the results of study files or jobs and store them with them", "store leeboard.json"
    ),
    "undo": Command(JOB, "take back the last change of a job", "undo rudder"),
    "redo": Command(JOB, "do again what was taken back", "redo rudder"),
    "history": Command(JOB, "list what was changed in a job: when, by what, how it then stood", "history rudder"),
    "rename": Command(TWO, "give a job another name", "rename rudder rudder-2", finds=False),
    "duplicate": Command(TWO, "make a new job that begins as another stands", "duplicate demo leeboard", finds=False),
}
