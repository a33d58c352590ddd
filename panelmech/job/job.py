"""The job: one frozen record of everything a builder has settled for one part, and its file.

A job holds the part along its span (with its design, own stock and title block in it), the bench readings and the
camber allowed, the loads, the shop's choices, and what lengths are shown in. A job file is plain JSON with the unit in
each key; loading it runs no code and refuses what it does not know. The parts of the file are those of the study,
blade, load and shop files; the readings stand in it line by line as in their CSV file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from ..blade.blade import Blade, blade_from_entry, blade_to_entry, buildable
from ..files import (
    TEXT,
    changed,
    file_text,
    from_plain,
    named,
    number,
    read_file,
    refuse_unknown,
    short_hash,
    to_plain,
    write_atomically,
)
from ..loads.load_file import LoadSheet, sheet_from_entry, sheet_to_entry
from ..measured.offset_priors import LINES
from ..measured.readings import Readings, parse_readings, readings_csv
from ..shop.choices import ShopChoices, choices_from_entry, choices_to_entry
from ..study.design import Design, from_entry
from ..units import LENGTHS, read_choice, read_number

FORMAT = "panelmech job"
SCHEMA = 1
SECTIONS = ("design", "part", "readings", "loads", "shop", "job")
_ABOUT = {"camber": number("mm"), "lengths": TEXT, "offsets_from": TEXT}
CAMBER = 0.5e-3  # m, allowed until told otherwise: common practice, no source


@dataclass(frozen=True)
class Job:
    """Everything settled for one part. ValueError for anything else, and for a part that cannot be built.

    blade : the part along its span, its design inside
    readings : of the bench; empty where nothing has been measured
    camber : allowed of the pair [m]
    loads : the load sheet, or None where no loads have been stated
    shop : the shop's choices
    lengths : what lengths are shown and printed in, one of `units.LENGTHS`
    offsets_from : the line that offsets of the finished part were measured from, one of `offset_priors.LINES`

    >>> from panelmech.blade import Blade
    >>> from panelmech.job import demo
    >>> job = Job(Blade(demo().design))
    >>> job.input_hash() == demo().input_hash(), job.replace(camber=0.001).camber
    (False, 0.001)
    """

    blade: Blade
    readings: Readings = field(default_factory=Readings)
    camber: float = CAMBER
    loads: LoadSheet | None = None
    shop: ShopChoices = field(default_factory=ShopChoices)
    lengths: str = LENGTHS[0]
    offsets_from: str = LINES[0]

    def __post_init__(self):
        if isinstance(self.blade, Design):
            object.__setattr__(self, "blade", Blade(self.blade))
        kinds = {"blade": Blade, "readings": Readings, "shop": ShopChoices}
        kinds |= {"loads": LoadSheet} if self.loads is not None else {}
        for name, kind in kinds.items():
            if not isinstance(getattr(self, name), kind):
                raise ValueError(f"{name} is {getattr(self, name)!r}: give a {kind.__name__}")
        buildable(self.blade)
        object.__setattr__(self, "camber", read_number(self.camber, "camber", "mm", above=0.0))
        read_choice(self.lengths, "lengths", LENGTHS)
        read_choice(self.offsets_from, "offsets_from", LINES)

    @property
    def design(self) -> Design:
        """The design: materials, judgements, title block, and the dimensions at the root end."""
        return self.blade.root

    def replace(self, **changes) -> Job:
        """A new job with some fields changed; unknown names raise ValueError."""
        return changed(self, changes, "a job")

    def with_design(self, design: Design) -> Job:
        """The same part with another design; what runs along the span stays, and begins with the design's value."""
        return self.replace(blade=self.blade.with_root(design))

    def input_hash(self) -> str:
        """Twelve hexadecimal digits that change with anything in the job's file."""
        return short_hash(job_text(self))

    def save(self, path) -> None:
        """Write a job file, all or nothing."""
        write_atomically(path, job_text(self))

    @classmethod
    def load(cls, path) -> Job:
        """Read a job file; ValueError names the file, the key and what is allowed."""
        return read_file(path, "job", FORMAT, SCHEMA, from_sections)


def job_text(job: Job) -> str:
    """The text of a job file."""
    return file_text(FORMAT, SCHEMA, to_sections(job))


def to_sections(job: Job) -> dict:
    """The job as plain values by section and key, the unit in each key."""
    part = blade_to_entry(job.blade)
    return {
        "design": part.pop("design"),
        "part": {"straight": part["straight"], **part["along_span"]},
        "readings": {"rows": readings_csv(job.readings).removesuffix("\n").split("\n")},
        "loads": {} if job.loads is None else sheet_to_entry(job.loads),
        "shop": choices_to_entry(job.shop),
        "job": _about(job),
    }


def _about(job):
    """What is said of the job itself; a line that is the usual one is not, as in files of before."""
    about = to_plain(job, _ABOUT)
    return {key: value for key, value in about.items() if key != "offsets_from" or value != LINES[0]}


def from_sections(sections: dict) -> Job:
    """The inverse of `to_sections`, strict; a section that is left out, but for the design, is as in a new job."""
    refuse_unknown(sections, SECTIONS, "job")
    for name, section in sections.items():
        refuse_unknown(section, section, name)
    part, loads = dict(sections.get("part", {})), sections.get("loads")
    straight = {"straight": part.pop("straight")} if "straight" in part else {}
    entry = {"design": sections.get("design"), "along_span": part, **straight}
    from_entry(entry["design"])  # what is wrong with it names its own section, not the part's
    return Job(
        blade_from_entry(entry, "part"),
        _readings(sections.get("readings", {})),
        loads=sheet_from_entry(loads) if loads else None,
        shop=choices_from_entry(sections.get("shop", {})),
        **from_plain(sections.get("job", {}), _ABOUT, "job"),
    )


def _readings(section):
    refuse_unknown(section, ("rows",), "readings")
    rows = section.get("rows", [])
    if not isinstance(rows, list) or not all(isinstance(row, str) for row in rows):
        raise ValueError("readings, rows: give a list of texts, each a row of a file of readings")
    return named("readings", lambda: parse_readings("\n".join(rows))) if rows else Readings()


@cache
def demo() -> Job:
    """The worked example, which comes with the package: an invented leeboard. Nothing changes it; read once.

    >>> from panelmech.units import show
    >>> show(demo().design.span, "mm"), [case.name for case in demo().loads.plan.cases][:2]
    ('850.0 mm', ['sailing', 'broach'])
    """
    return Job.load(Path(__file__).with_name("demo.json"))
