"""The inspection record in a design note: what was measured on two sheets, and what follows for the pair.

Blocks and drawings to add to a note; without a pair a note is what it was. No mechanics: numbers come from the report,
words from `report.pair_rows`.
"""

from __future__ import annotations

from ..draw.pair_figures import cambered_figure, describe_cambered, describe_log, log_figure
from ..measured.pair import PairReport, after_a_while
from ..measured.readings import KINDS
from ..units import capital, show
from . import pair_rows
from .blocks import Banner, Bullets, Column, Heading, Pair, Paragraph, Picture, Signatures, Table, plain_columns
from .drawings import FULL, laid_out

READINGS_FILE = "readings.csv"
LOG_HEIGHT = 58.0  # mm
# fmt: off
_MODULI = (
    Column("Young's modulus along the bend", 0.27, "label"), Column("Value", 0.17, "number"),
    Column("Small-deflection formula", 0.21, "number"), Column("Most of ± from", 0.25), Column("Used as", 0.1),
)
# fmt: on


def inspection_drawings(report: PairReport) -> dict:
    """The record's drawings, laid out as those of a note: {name: LaidOut}."""
    later = after_a_while(report, 1.0)
    return {
        "cambered": laid_out(cambered_figure(report, FULL), describe_cambered(report)),
        "log": laid_out(log_figure(report, later, FULL, LOG_HEIGHT), describe_log(report, later)),
    }


def check_pair(report: PairReport, design) -> None:
    """ValueError where a report belongs to another design than the note."""
    if report.design != design:
        raise ValueError(
            f"the readings were judged for the design {report.design.input_hash()}, the note is for "
            f"{design.input_hash()}: judge the pair for this design"
        )


def inspection_blocks(report: PairReport) -> tuple:
    """The whole record as blocks."""
    return (
        Heading("Inspection record: the two sheets as measured"),
        Banner(report.inspection.verdict, f"{pair_rows.verdict_words(report)} {pair_rows.pairing_words(report)}"),
        Paragraph(_readings_words(report)),
        *_measured(report),
        *_pair(report),
        *_log(report),
    )


def _readings_words(report):
    rows = report.readings.rows
    offsets = len([r for r in rows if r.measured == "offset"])
    more = f" {offsets} offsets of the finished part are among them." if offsets else ""
    notes = [note for note in dict.fromkeys(r.note for r in rows) if note]
    notes_words = f" Notes in the file: {'; '.join(notes)}." if notes else ""
    return (
        f"{len(rows)} readings, kept in {READINGS_FILE} beside this note; sheet A is the upper one, B the lower."
        f"{more}{notes_words} {pair_rows.STANDARD}"
    )


def _measured(report):
    heads = ("Reading", "Sheet A, or pair", "Sheet B", "Step")
    yield _table("Readings", heads, (0.34, 0.26, 0.26, 0.14), pair_rows.reading_rows(report.readings))
    yield _table("The two sheets", ("Sheet", "A", "B"), (0.4, 0.3, 0.3), pair_rows.sheet_rows(report))
    if report.tests:
        yield Table("Measured moduli", _MODULI, _rows(pair_rows.modulus_rows(report)))
    remarks = (*report.notes, *(f"still to be measured: {m}" for m in report.missing))
    if remarks:
        yield Bullets(tuple(("", f"{capital(remark)}.") for remark in remarks))


def _pair(report):
    both = _table("The pair", ("Together", ""), (0.48, 0.52), pair_rows.pair_rows(report))
    heads = ("Uncertainty of the camber from", "±")
    parts = _table("Uncertainty of the camber", heads, (0.62, 0.38), pair_rows.contribution_rows(report))
    heads = ("In the bent pair", "A", "B", "A less B")
    yield _table("The sheets in the bent pair", heads, (0.34, 0.2, 0.2, 0.26), pair_rows.uneven_rows(report))
    yield Pair((both,), (parts,))
    heads = ("How to lay them together, best first", "Bow left", "Taper left", "Half-gap moved by")
    yield _table("How to lay the sheets together", heads, (0.58, 0.14, 0.13, 0.15), pair_rows.pairing_rows(report))
    yield Paragraph(f"Basis: {report.inspection.basis}.", quiet=True)
    yield Picture("cambered", describe_cambered(report))


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
