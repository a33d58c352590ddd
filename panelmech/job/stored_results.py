"""Results stored beside a job, and what has moved since: the regression of a whole job.

`results.json` in the job's folder holds what every part of the job comes to (design, two sheets, the part with its
sheets as measured, loads, pours): the numbers, limits with their basis, reserves and verdicts of `study.kept_results`,
the word of each part, and the inputs they were worked out for, the values of stock written out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import nan
from pathlib import Path

from ..files import file_text, read_file, refuse_unknown, write_atomically
from ..loads.sizing import LOAD_OUTPUTS
from ..shop.choices import choices_to_entry
from ..study.design import plain_inputs
from ..study.kept_results import (
    DEFAULT_TOLERANCE,
    GONE,
    TABLES,
    VERDICT,
    Beside,
    Comparison,
    Worked,
    keyed,
    read_tables,
    set_beside,
    tables_of,
)
from ..study.regression import changed_inputs, worked
from ..study.verdicts import said
from ..units import capital
from .changes import leaves
from .job import Job, to_sections
from .verdict import PARTS, Part, Verdict, judge_job

FORMAT, SCHEMA = "panelmech results", 1
RESULTS = "results.json"
_KEYS = ("input_hash", "tolerance", "inputs", "parts")


@dataclass(frozen=True, eq=False)
class JobOutcome(Beside):
    """All comparisons of one job.

    verdict : of the job as it is now
    comparisons : every `Comparison`, part by part
    changed : {path of an input: (as stored, now)}, plain values, of those that changed
    missing : what is worked out now and not stored, in words
    """

    verdict: Verdict
    comparisons: tuple
    changed: dict
    missing: tuple = ()
    lacks = ()  # of what a study file of before does not hold

    @property
    def inputs_changed(self) -> bool:
        """Whether the results were not stored for these very inputs."""
        return bool(self.changed)


def store_job(job: Job, folder) -> dict:
    """Work out what a job comes to and write it into its folder, all or nothing; what was written.

    Tolerances of what was stored before stay. ValueError where that is in a form that is not known.
    """
    path = Path(folder) / RESULTS
    earlier = _read(path) if path.is_file() else {}
    parts = earlier.get("parts", {})
    kept = {
        "input_hash": job.input_hash(),
        "tolerance": earlier.get("tolerance", DEFAULT_TOLERANCE),
        "inputs": inputs_of(job),
        "parts": {part.kind: _tables(part, parts.get(part.kind)) for part in judge_job(job).parts},
    }
    write_atomically(path, file_text(FORMAT, SCHEMA, kept))
    return kept


def check_job(job: Job, folder) -> JobOutcome | None:
    """What is stored beside a job against what it comes to now; None where nothing is stored.

    Raises ValueError where it is in a form that is not known, OSError where it cannot be read.
    """
    path = Path(folder) / RESULTS
    if not path.is_file():
        return None
    stored, verdict = _read(path), judge_job(job)
    lines: list[Comparison] = []
    missing: list[str] = []
    for kind in PARTS:
        part, tables = verdict.of(kind), stored["parts"].get(kind)
        if part is not None and tables is None:
            missing.append(f"{part.title}, all of it")
        elif tables is not None:
            found = _compared(kind, part, tables, stored["tolerance"])
            lines += found[0]
            missing += found[1]
    changed = changed_inputs(leaves(stored["inputs"]), leaves(inputs_of(job)))
    return JobOutcome(verdict, tuple(lines), changed, tuple(missing))


def inputs_of(job: Job) -> dict:
    """Everything a job is worked out from, as plain values by section and key, the values of stock written out."""
    sections = to_sections(job)
    return {**sections, "design": plain_inputs(job.design), "shop": choices_to_entry(job.shop, by_name=False)}


def numbers_of(part: Part) -> dict:
    """{name: `Worked`} of everything worked out of a part."""
    found = {key: Worked(c.name, c.value, c.unit) for key, c in keyed(part.checks).items() if part.kind != "design"}
    return found if part.record is None else found | _MORE[part.kind](part.record)


def _of_design(record):
    return worked(record[0].quantities)


def _of_pair(report):
    sheets = {sheet.name: sheet for sheet in report.sheets}
    return {
        "camber_signed": Worked("Camber, towards sheet A positive", report.camber.value, "mm"),
        "camber_uncertainty": Worked("Camber, standard uncertainty", report.camber.uncertainty, "mm"),
        "rod_offset": Worked("Offset of the rod, towards sheet A positive", report.rod_offset.value, "mm"),
        **{
            f"thickness {name}": Worked(f"Thickness of {name}", sheet.effective_thickness, "mm")
            for name, sheet in sheets.items()
        },
        **{
            f"stiffness {name}": Worked(f"Bending stiffness of {name}", stiffness, "N m")
            for name, stiffness in zip(sheets, report.stiffness, strict=True)
        },
        **{
            f"force {name}": Worked(f"Contact force on {name}", force, "N/m")
            for name, force in zip(sheets, report.forces, strict=True)
        },
    }


def _of_loads(record):
    study, (label, unit, mass) = record.study, LOAD_OUTPUTS["mass"]
    found = {"mass": Worked(label, mass(study), unit)}
    for i, name in enumerate(study.names):
        for what, values, unit in (
            ("tip deflection", study.diagrams.deflection[i, -1], "mm"),
            ("tip twist", study.diagrams.twist[i, -1], "deg"),
            ("greatest bending moment", abs(study.diagrams.moment[i]).max(), "N m"),
        ):
            found[f"{name}: {what}"] = Worked(f"{name}, {what}", float(values), unit)
    return found


def _of_shop(pack):
    pours = {f"pour: {line.title}": Worked(f"{line.title}, net", line.volume, "mL") for line in pack.pours}
    spring = Worked("energy stored over the span before anything is potted", pack.spring, "J")
    return {**pours, "spring": spring, "push": Worked("force that then drives the rod out", pack.push, "N")}


_MORE = {"design": _of_design, "pair": _of_pair, "measured": lambda found: {}, "loads": _of_loads, "shop": _of_shop}


def _tables(part, earlier):
    return {"word": part.word, **tables_of(numbers_of(part), part.checks, earlier)}


def _compared(kind, part, tables, tolerance):
    """(comparisons, what is not stored) of one part; None where the job does not have it any more, told in one line."""
    title, word = PARTS[kind], GONE if part is None else said(part.word)
    stored = said(tables["word"])
    line = Comparison(kind, f"{capital(title)}: as a whole", stored, word, nan, 0.0, stored != word, VERDICT)
    if part is None:
        return (line,), []
    kept = read_tables({**tables, "tolerance": tolerance}, kind)
    lines, missing = set_beside(kept, numbers_of(part), part.checks)
    named = (replace(one, label=f"{capital(title)}: {one.label}") for one in lines)
    return (line, *named), [f"{title}: {words}" for words in missing]


def _read(path):
    """The content of a file of results, strict."""

    def take(content):
        refuse_unknown(content, _KEYS, "results")
        for name in ("inputs", "parts"):
            if not isinstance(content.get(name), dict):
                raise ValueError(f"{name} is {content.get(name)!r}: give a table of keys and values")
        refuse_unknown(content["parts"], PARTS, "parts")
        for section, keys in content["inputs"].items():
            refuse_unknown(keys, keys, f"inputs, {section}")
        content.setdefault("tolerance", DEFAULT_TOLERANCE)
        for kind, tables in content["parts"].items():
            refuse_unknown(tables, ("word", *TABLES), kind)
            if not isinstance(tables.get("word"), str):
                raise ValueError(f"{kind}: word is {tables.get('word')!r}: give a word")
            read_tables({**tables, "tolerance": content["tolerance"]}, kind)
        return content

    return read_file(path, "results", FORMAT, SCHEMA, take)
