"""The inspection record in a design note: what was measured on two sheets, and what follows for the pair.

Blocks and drawings to add to a note; without a pair a note is what it was. No mechanics: numbers come from the report,
words from `report.pair_rows`.
"""

from __future__ import annotations

from operator import attrgetter

import numpy as np

from ..blade.blade import Blade, blade_json
from ..blade.rod import rod_share
from ..draw.blade_figures import describe_blade, planform_figure
from ..draw.figures import in_style
from ..draw.load_figures import describe_loads, loads_figure
from ..draw.pair_figures import cambered_figure, describe_cambered, describe_log, describe_offsets, log_figure
from ..job.verdict import Part
from ..loads.allowable import allowed
from ..loads.load_file import sheet_text
from ..loads.mend import with_load_mends
from ..loads.plan import LOAD_QUANTITIES
from ..loads.record import LoadRecord
from ..loads.record import judged as judged
from ..loads.record import record_of as record_of
from ..measured.finished_part import explain_offsets, judge_part
from ..measured.later import after_a_while
from ..measured.pair import PairReport
from ..measured.readings import KINDS
from ..study.design import TEXTS
from ..study.quantities import gather
from ..study.verdicts import FAILS
from ..units import FACTORS, capital, show, show_input
from . import blade_rows, load_rows, offset_rows, pair_rows
from .blocks import (
    Banner,
    Bullets,
    Column,
    Heading,
    Paragraph,
    Picture,
    Signatures,
    Table,
    Verdict,
    plain_columns,
    which_lengths,
)
from .check_rows import check_fields, checks_table, default_words
from .drawings import FULL, laid_out
from .folder import Field, csv_number, csv_rows, csv_text
from .load_inputs import case_facts

READINGS_FILE = "readings.csv"
LOG_HEIGHT = 58.0  # mm
# fmt: off
_MODULI = (
    Column("Young's modulus along the bend", 0.27, "label"), Column("Value", 0.17, "number"),
    Column("Small-deflection formula", 0.21, "number"), Column("Most of ± from", 0.25), Column("Used as", 0.1),
)
# fmt: on


@in_style
def inspection_drawings(report: PairReport) -> dict:
    """The record's drawings, laid out as those of a note: {name: LaidOut}."""
    later = after_a_while(report, 1.0)
    return {
        "cambered": laid_out(describe_cambered(report), cambered_figure, report, FULL),
        "log": laid_out(describe_log(report, later), log_figure, report, later, FULL, LOG_HEIGHT),
    }


def check_pair(report: PairReport, design) -> None:
    """ValueError where a report belongs to another design than the note."""
    if report.design != design:
        raise ValueError(
            f"the readings were judged for the design {report.design.input_hash()}, the note is for "
            f"{design.input_hash()}: judge the pair for this design"
        )


def inspection_blocks(report: PairReport, place: str = "", paper: str = "note") -> tuple:
    """The whole record as blocks; `place`: a sentence on what of the part it is judged for; `paper`: what it is in."""
    return (
        Heading("Inspection record: the two sheets as measured"),
        Banner(
            report.verdict,
            f"{pair_rows.verdict_words(report)} {pair_rows.pairing_words(report)}",
            about="The two sheets",
        ),
        *([Paragraph(place)] if place else []),
        Paragraph(_readings_words(report, paper)),
        *which_lengths(f"{READINGS_FILE} beside this page keeps"),
        *_measured(report),
        *_pair(report),
        *_part(report),
        *_log(report),
    )


def measured_blocks(part: Part | None):
    """How the part stands with its sheets as measured, of a job's verdict; nothing where that is not known."""
    if part is None:
        return
    heads = ("Every check with", "Thickness", "Modulus", "Least reserve", "Verdict", "What governs")
    shares = (0.24, 0.11, 0.12, 0.11, 0.11, 0.31)
    columns = tuple(
        Column(h, s, "label" if not i else "text") for i, (h, s) in enumerate(zip(heads, shares, strict=True))
    )
    yield Heading("The part with its sheets as measured")
    yield Table("Every check with the sheets as measured", columns, tuple(map(_measured_row, part.record)))


def _measured_row(one):
    modulus = float(gather(one.design)["bending_modulus"])
    sizes = show(one.design.sheet_thickness, "mm", 3), show(modulus, "GPa", 3)
    found = one.standing
    governing = found.name or "no basis to judge"
    return capital(one.name), *sizes, show(found.reserve, "x", 3), Verdict(found.verdict), governing


def _readings_words(report, paper):
    rows = report.given.rows
    offsets = len([r for r in rows if r.measured == "offset"])
    more = f" {offsets} offsets of the finished part are among them." if offsets else ""
    doubted = len(rows) - len(report.readings.rows)
    more += f" {doubted} in doubt {'is' if doubted == 1 else 'are'} not counted." if doubted else ""
    notes = [note for note in dict.fromkeys(r.note for r in rows) if note]
    notes_words = f" Notes in the file: {'; '.join(notes)}." if notes else ""
    return (
        f"{len(rows)} readings, kept in {READINGS_FILE} beside this {paper}; sheet A is the upper one, B the lower."
        f"{more}{notes_words} {pair_rows.STANDARD}"
    )


def _measured(report):
    heads = ("Reading", "Sheet A, or pair", "Sheet B", "Step")
    yield _table("Readings", heads, (0.34, 0.26, 0.26, 0.14), pair_rows.reading_rows(report.readings))
    yield _table("The two sheets", ("Sheet", "A", "B"), (0.4, 0.3, 0.3), pair_rows.sheet_rows(report))
    if report.tests:
        yield Table("Measured moduli", _MODULI, _rows(pair_rows.modulus_rows(report)))
    if report.doubts:
        yield Bullets(tuple(("In doubt, not counted.", capital(doubt.line)) for doubt in report.doubts))
    remarks = (*report.notes, *(f"still to be measured: {m}" for m in report.missing))
    if remarks:
        yield Bullets(tuple(("", f"{capital(remark)}.") for remark in remarks))


def _pair(report):
    both = _table("The pair", ("Together", ""), (0.48, 0.52), pair_rows.pair_rows(report))
    heads = ("Uncertainty of the camber from", "Read", "±", "Of the variance")
    parts = _table("Uncertainty of the camber", heads, (0.58, 0.14, 0.14, 0.14), pair_rows.contribution_rows(report))
    heads = ("In the bent pair", "A", "B", "A less B")
    yield _table("The sheets in the bent pair", heads, (0.34, 0.2, 0.2, 0.26), pair_rows.uneven_rows(report))
    yield both
    yield parts
    yield Bullets(tuple(("", words) for words in pair_rows.known_words(report)))
    heads = ("How to lay them together, best first", "Bow left", "Taper left", "Largest camber")
    yield _table("How to lay the sheets together", heads, (0.58, 0.14, 0.13, 0.15), pair_rows.pairing_rows(report))
    yield Paragraph(f"Basis: {report.inspection.source}.", quiet=True)
    yield Picture("cambered", describe_cambered(report))


def _part(report):
    """The finished part by its offsets; nothing without any."""
    try:
        fit = explain_offsets(report)
    except ValueError as error:
        yield Heading("The part by its offsets")
        yield Paragraph(capital(str(error)))
        return
    if fit is None:
        return
    part = judge_part(report, fit)
    yield Heading("The part by its offsets")
    yield Paragraph(" ".join((describe_offsets(fit.offsets, fit), *offset_rows.part_sentences(part))))
    yield Bullets(tuple(("", note) for note in offset_rows.remarks(part)))
    shares = (0.36, 0.2, 0.24, 0.2)
    yield _table("What shaped the part", offset_rows.KNOWN_HEADS, shares, offset_rows.known_rows(fit))


def _log(report):
    later = after_a_while(report, 1.0)
    predicted = "" if later.log else f", predicted {show(float(report.design.bend().outer_thickness), 'mm')}"
    yield Heading("Log of the part as built")
    yield Paragraph(f"{capital(KINDS['as-built thickness'].label)}{predicted}. {describe_log(report, later)}")
    yield Picture("log", describe_log(report, later))
    columns = plain_columns(("After forming", "Measured", "Over the prediction"), shares=(0.18, 0.18, 0.18))
    columns = (*columns, Column("Measured by, date", 0.46, "blank"))
    yield Table("Log of the part as built", columns, tuple((*row, "") for row in pair_rows.log_rows(later.log)))
    yield Signatures((("Measured by", ""), ("Inspected by", "")))


def _table(caption, heads, shares, rows):
    return Table(caption, plain_columns(heads, shares=shares), _rows(rows))


def _rows(rows):
    return tuple(row if isinstance(row, str) else tuple(row) for row in rows)


# ----- The loads in a design note: what was stated, what came of it along the span, and what governs.
#
# Blocks, drawings and files to add to a note; without loads a note is what it was. No mechanics: numbers come from the
# load study, words from `report.load_rows`. Every check and every diagram stands, with more digits, in the CSV files.


LOAD_FILES = ("loads.json", "part.json", "load-checks.csv", "load-diagrams.csv")
DIAGRAMS = ("shear", "moment", "torque", "local_torque", "slope", "deflection", "twist")
ALLOWED = ("moment", "shear")
NOISE = 1e-12  # of the largest value of a diagram


def check_loads(record: LoadRecord, design) -> None:
    """ValueError where the loads were worked out for another design than the note is of; texts may differ."""
    if _without_texts(design) not in map(_without_texts, (record.blade.design, record.blade.root)):
        raise ValueError(
            f"the loads were worked out for the design {record.blade.design.input_hash()}, the note is "
            f"for {design.input_hash()}: give the part and the note the same design"
        )


def _without_texts(design):
    return design.replace(**dict.fromkeys(TEXTS, ""))


@in_style
def load_drawings(record: LoadRecord, part: bool = True) -> dict:
    """Planform and diagrams, laid out as the drawings of a note: {name: LaidOut}; `part` as for `load_blocks`."""
    sections = record.study.along.sections
    planform = {"planform": laid_out(describe_blade(sections), planform_figure, sections, FULL)} if part else {}
    return planform | {"loads": laid_out(describe_loads(record.study), loads_figure, record.study)}


def load_files(record: LoadRecord) -> dict:
    """What stands beside the note: {name: bytes}, in the order of `LOAD_FILES`."""
    texts = (sheet_text(record.sheet), blade_json(record.blade), load_checks_csv(record), load_diagrams_csv(record))
    return {name: text.encode() for name, text in zip(LOAD_FILES, texts, strict=True)}


def load_blocks(record: LoadRecord, part: bool = True) -> tuple:
    """The whole section as blocks; without `part` the part itself is told elsewhere, and left out."""
    return (
        Heading("Loads along the span"),
        *_front(record, part),
        *_cases(record),
        *case_facts(record),
        *_checks(record),
        *_diagrams(record),
        *_judged(record, part),
        *_close(record),
    )


def banner(record: LoadRecord) -> Banner:
    """Verdict under load: the governing check, its case and place."""
    study = with_load_mends(record.study)
    check = study.governing
    advice = f"{capital(check.advice)}." if check is not None and check.verdict == FAILS and check.advice else ""
    return Banner(study.verdict, study.headline(), advice, "The part under its loads")


def _front(record, part):
    yield banner(record)
    sentences = (record.sheet.remark.strip(), load_rows.support_words(record.study))
    yield Paragraph(" ".join(filter(None, sentences)))
    yield from which_lengths(f"{LOAD_FILES[1]} and {LOAD_FILES[0]} beside this page keep")
    if part:
        yield Picture("planform", describe_blade(record.study.along.sections))


def _cases(record):
    study = record.study
    columns = plain_columns(load_rows.CASE_HEADS, shares=(0.25, 0.11, 0.11, 0.15, 0.13, 0.13, 0.12))
    yield Table("Load cases", columns, tuple(load_rows.case_rows(study)))


def _diagrams(record):
    yield Heading("Diagrams along the span")
    yield Paragraph("Of every load case, from the root end to the tip.", quiet=True)
    yield Picture("loads", describe_loads(record.study))


# fmt: off
_CHECK_COLUMNS = (
    Column("Check", 0.18, "name"), Column("Value", 0.085, "number"), Column("Limit", 0.095, "number"),
    Column("Reserve", 0.07, "number"), Column("Verdict", 0.085), Column("Case and place", 0.135, "small"),
    Column("Basis and source", 0.35, "small"),
)
# fmt: on


def _checks(record):
    yield Heading("Checks under load")
    fittings = ("Fittings", *record.fittings) if record.fittings else ()
    checks = (*with_load_mends(record.study).checks, *fittings)
    yield checks_table("Checks under load with case and place", _CHECK_COLUMNS, checks, record.study.governing)
    yield Paragraph(
        "Worst over all cases and places. Close: reserve less than "
        f"{show_input(record.blade.design.close_share, '%')} above 1. Unknown is not safe. "
        f"{default_words(checks)}".strip(),
        quiet=True,
    )


def _judged(record, part):
    columns = (
        Column("Factors and limits as entered", 0.27, "label"),
        Column("", 0.13, "number"),
        Column("Basis and source", 0.6, "small"),
    )
    rows = tuple((capital(a), b, capital(c)) for a, b, c in load_rows.judgement_rows(record.sheet.plan))
    yield Table("Factors and limits as entered", columns, rows)
    if part:
        yield stations_table(record.blade)
    share = blade_rows.rod_share_words(rod_share(record.study.along.sections))
    yield Paragraph(f"{share} {load_rows.rod_stress_words(record.study)}")


def _close(record):
    yield Heading("Assumptions and cautions of the loads")
    notes = (*record.study.notes, "Small deflections, plane sections; all parts of a section bonded into one body.")
    sun = ("A sealed hollow in the sun:", load_rows.sun_words(record.study))
    yield Bullets((*(("", note) for note in notes), sun, *load_rows.CAUTIONS))
    yield Paragraph(
        f"Every check and the diagrams of every case are in {LOAD_FILES[2]} and {LOAD_FILES[3]}, the part and its "
        f"loads in {LOAD_FILES[1]} and {LOAD_FILES[0]}, beside this page.",
        quiet=True,
    )


def stations_table(blade: Blade) -> Table:
    """Root end, quarters and tip in numbers."""
    heads, stations = blade_rows.station_rows(blade)
    columns = tuple(Column(capital(head), 1.0 / len(heads), "number") for head in heads)
    return Table("Stations along the span", columns, stations)


POSITION_FIELD = Field("position_m", attrgetter("position"), "", 12)
_PLACE_FIELDS = (Field("case", attrgetter("case")), POSITION_FIELD)


def load_checks_csv(record: LoadRecord) -> str:
    """Every check: values in SI, texts as in the note; empty where there is no limit."""
    fields = check_fields(record.study.governing, *_PLACE_FIELDS)
    return csv_text(csv_rows(fields, (*record.study.checks, *record.fittings)))


def load_diagrams_csv(record: LoadRecord) -> str:
    """Every diagram of every case, ten digits, in the units of the heads; a place where something jumps stands twice.
    Allowed alone: on the part, not on a stock above its root; empty where nothing is known."""
    d, study = record.study.diagrams, record.study
    heads = ["case", *(_head(name) for name in ("position", *DIAGRAMS)), *(f"allowed {_head(n)}" for n in ALLOWED)]
    limits = [np.full(d.position.shape, np.nan) for _ in ALLOWED]
    for name, row in zip(ALLOWED, limits, strict=True):
        row[study.on_blade] = allowed(study, name).value
    rows = [heads]
    for i, case in enumerate(study.names):
        columns = [d.position, *(getattr(d, name)[i] for name in DIAGRAMS), *limits]
        shown = [
            _without_noise(np.asarray(values) / FACTORS[LOAD_QUANTITIES[name].unit])
            for name, values in zip(("position", *DIAGRAMS, *ALLOWED), columns, strict=True)
        ]
        rows += [[case, *(csv_number(float(v), 10) for v in place)] for place in zip(*shown, strict=True)]
    return csv_text(rows)


def _without_noise(values):
    """What is rounding of a zero reads 0, so that the file is the same on every machine."""
    largest = np.nanmax(np.abs(values)) if np.any(np.isfinite(values)) else 0.0
    return np.where(np.abs(values) <= NOISE * largest, 0.0, values)


def _head(name):
    quantity = LOAD_QUANTITIES[name]
    return f"{name.replace('_', ' ')} [{quantity.unit}]" if quantity.unit else name
