"""The inspection record in a design note: what was measured on two sheets, and what follows for the pair.

Blocks and drawings to add to a note; without a pair a note is what it was. No mechanics: numbers come from the report,
words from `report.pair_rows`.
"""

from __future__ import annotations

from ..draw.figures import freeze
from ..draw.pair_figures import cambered_figure, describe_cambered, describe_log, log_figure
from ..measured.pair import PairReport, after_a_while
from ..measured.readings import KINDS, readings_csv
from ..units import capital, show
from . import pair_rows as words
from .blocks import Banner, Bullets, Column, Heading, Pair, Paragraph, Picture, Signatures, Table
from .drawings import FULL, Drawing, LaidOut

FILE = "readings.csv"
LOG_HEIGHT = 58.0  # mm
LAST = 2  # blocks of a note that stay at its end: the heading of the signatures, and these


def added(blocks: tuple, report: PairReport) -> tuple:
    """The blocks of a note with the record before its signatures."""
    return (*blocks[:-LAST], *record_blocks(report), *blocks[-LAST:])


def drawings(report: PairReport) -> dict:
    """The record's drawings, laid out as those of a note: {name: LaidOut}."""
    later = after_a_while(report, 1.0)
    figures = {
        "cambered": (cambered_figure(report, FULL), describe_cambered(report)),
        "log": (log_figure(report, later, FULL, LOG_HEIGHT), describe_log(report, later)),
    }
    return {name: _laid_out(fig, alt) for name, (fig, alt) in figures.items()}


def _laid_out(fig, alt):
    size = tuple(25.4 * side for side in fig.get_size_inches())
    return LaidOut(Drawing(None, *size, alt), freeze(fig), size, tuple(fig.texts))


def files(report: PairReport) -> dict:
    """The readings themselves, to stand beside the note."""
    return {FILE: readings_csv(report.readings).encode()}


def check_pair(report: PairReport, design) -> None:
    """ValueError where a report belongs to another design than the note."""
    if report.design != design:
        raise ValueError(
            f"the readings were judged for the design {report.design.input_hash()}, the note is for "
            f"{design.input_hash()}: judge the pair for this design"
        )


def record_blocks(report: PairReport) -> tuple:
    """The whole record as blocks."""
    return (
        Heading("Inspection record: the two sheets as measured"),
        Banner(report.inspection.verdict, f"{words.verdict_words(report)} {words.pairing_words(report)}"),
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
    said = f" Notes in the file: {'; '.join(notes)}." if notes else ""
    return (
        f"{len(rows)} readings, kept in {FILE} beside this note; sheet A is the upper one, B the lower.{more}{said} "
        f"{words.STANDARD}"
    )


def _measured(report):
    yield Table(
        "Readings",
        (
            Column("Reading", 0.34, "label"),
            Column("Sheet A, or pair", 0.26, "number"),
            Column("Sheet B", 0.26, "number"),
            Column("Step", 0.14, "number"),
        ),
        _rows(words.reading_rows(report.readings)),
    )
    columns = (Column("Sheet", 0.4, "label"), Column("A", 0.3, "number"), Column("B", 0.3, "number"))
    yield Table("The two sheets", columns, _rows(words.sheet_rows(report)))
    if report.tests:
        yield Table(
            "Measured moduli",
            (
                Column("Young's modulus along the bend", 0.27, "label"),
                Column("Value", 0.17, "number"),
                Column("Small-deflection formula", 0.21, "number"),
                Column("Most of ± from", 0.25),
                Column("Used as", 0.1),
            ),
            _rows(words.modulus_rows(report)),
        )
    remarks = (*report.notes, *(f"still to be measured: {m}" for m in report.missing))
    if remarks:
        yield Bullets(tuple(("", f"{capital(remark)}.") for remark in remarks))


def _pair(report):
    half = (Column("Together", 0.48, "label"), Column("", 0.52, "number"))
    both = Table("The pair", half, _rows(words.pair_rows(report)))
    parts = Table(
        "Uncertainty of the camber",
        (Column("Uncertainty of the camber from", 0.62, "label"), Column("±", 0.38, "number")),
        _rows(words.contribution_rows(report)),
    )
    yield Table(
        "The sheets in the bent pair",
        (
            Column("In the bent pair", 0.34, "label"),
            Column("A", 0.2, "number"),
            Column("B", 0.2, "number"),
            Column("A less B", 0.26, "number"),
        ),
        _rows(words.uneven_rows(report)),
    )
    yield Pair((both,), (parts,))
    yield Table(
        "How to lay the sheets together",
        (
            Column("How to lay them together, best first", 0.58, "label"),
            Column("Bow left", 0.14, "number"),
            Column("Taper left", 0.13, "number"),
            Column("Half-gap moved by", 0.15, "number"),
        ),
        _rows(words.pairing_rows(report)),
    )
    yield Paragraph(f"Basis: {report.inspection.basis}.", quiet=True)
    yield Picture("cambered", describe_cambered(report))


def _log(report):
    later = after_a_while(report, 1.0)
    predicted = "" if later.log else f", predicted {show(float(report.design.bend().outer_thickness), 'mm')}"
    yield Heading("Log of the part as built")
    yield Paragraph(f"{capital(KINDS['as-built thickness'].label)}{predicted}. {describe_log(report, later)}")
    yield Picture("log", describe_log(report, later))
    yield Table(
        "Log of the part as built",
        (
            Column("After forming", 0.18, "label"),
            Column("Measured", 0.18, "number"),
            Column("Over the prediction", 0.18, "number"),
            Column("Measured by, date", 0.46, "blank"),
        ),
        tuple((*row, "") for row in words.log_rows(later.log)),
    )
    yield Signatures((("Measured by", ""), ("Inspected by", "")))


def _rows(rows):
    return tuple(row if isinstance(row, str) else tuple(row) for row in rows)
