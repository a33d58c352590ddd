"""Readings from the bench: what can be measured, and the record of what was; `readings` keeps them as CSV.

Sheet A is the upper one, B the lower; what belongs to both is on the "pair". Repeated readings are repeated rows.
"""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace

from ..entries import plain_number
from ..files import brief, few, text_of, write_atomically
from ..units import end_words, from_si, read_number, show_input, to_si, unit_words
from .worth import Measured as Measured
from .worth import NotSureYet as NotSureYet
from .worth import Reading as Reading
from .worth import propagate as propagate
from .worth import propagate_together as propagate_together

# ----- What can be measured, and the record of what was.


SHEETS, PAIR = ("A", "B"), ("pair",)
PLACES = (-1.0, 20.0)  # m: least and greatest place of a reading
VALUE_COLUMNS = {"value_mm": "mm", "value_n": "N", "value_g": "g", "value_kg_m3": "kg/m3"}
COLUMNS = ("sheet", "measured", "place_mm", "after_h", *VALUE_COLUMNS, "resolution_same_unit", "note")
HOUR = 3600.0  # seconds
CONFIRMED = "confirmed"  # first word of a note: the reading counts, however odd it looks


# How well a reading repeats, where its own repeats do not tell: known to about a third (JCGM 100:2008, G.4.2: half of
# the inverse square of that are the degrees of freedom), so that from half a dozen repeats on these count for more.
REPEAT_DOF = 4.0


@dataclass(frozen=True)
class Instrument:
    """What a kind of reading is commonly taken with, and is taken for where the step is not given: the coarsest that is
    in common use (common practice, no source).

    name : in a builder's words
    step : smallest step it shows [unit of the kind]
    repeat : standard deviation of careful readings of the same thing, set up anew each time [unit of the kind]
    """

    name: str
    step: float
    repeat: float


RULER, CALIPER, GAPS = (
    Instrument("a ruler", 1.0, 0.5),
    Instrument("a caliper", 0.05, 0.02),
    Instrument("a ruler", 0.5, 0.1),
)
GAUGE = Instrument("a caliper", 0.05, 0.01)
SCALE, GRAMS = Instrument("a kitchen scale", 0.05, 0.02), Instrument("a kitchen scale", 5.0, 1.0)


@dataclass(frozen=True)
class Kind:
    """What can be measured.

    label : in a builder's words
    unit : of the value, on screen and in the file
    on : the sheets it belongs to
    low, high : least and greatest value allowed [unit]
    group : a key of `GROUPS`
    help : one line of help
    place : from where its place counts, "" where it has none
    timed : whether it belongs to a time after forming
    tool : what it is taken with, where nothing tells
    """

    label: str
    unit: str
    on: tuple
    low: float
    high: float
    group: str
    help: str = ""
    place: str = ""
    timed: bool = False
    tool: Instrument = RULER

    @property
    def column(self) -> str:
        """Column of the value."""
        return next(name for name, unit in VALUE_COLUMNS.items() if unit == self.unit)

    @property
    def allowed(self) -> str:
        """The allowed values in words."""
        low, high = end_words((to_si(self.low, self.unit), to_si(self.high, self.unit)), self.unit)
        return f"{low.removesuffix(f' {unit_words(self.unit)}')} to {high}"


# fmt: off
KINDS = {  # label, unit, sheets, least, most, group; help, from where its place counts
    "thickness": Kind("thickness", "mm", SHEETS, 0.1, 60, "sheets",
        "six or more points, some towards each end", "the marked end", tool=CALIPER),
    "bow, marked face up": Kind("bow, marked face up", "mm", SHEETS, -200, 200, "sheets",
        "gap under the middle on a flat bench, along the chord; negative where the ends stand off", tool=GAPS),
    "bow, marked face down": Kind("bow, marked face down", "mm", SHEETS, -200, 200, "sheets",
        "the same after turning the sheet over", tool=GAPS),
    "bow base": Kind("length over which bow is read", "mm", SHEETS, 20, 5000, "sheets", "along the chord"),
    "twist": Kind("twist", "mm", SHEETS, -200, 200, "sheets", "gap under one corner, the other three held down",
        tool=GAPS),
    "three-point force": Kind("force in the middle", "N", SHEETS, 0.01, 10000, "three-point", "weight × 9.81",
        tool=SCALE),
    "three-point deflection": Kind("deflection under it", "mm", SHEETS, 0.01, 500, "three-point", tool=CALIPER),
    "three-point span": Kind("distance of the supports", "mm", SHEETS, 5, 3000, "three-point",
        tool=Instrument("a ruler", 1.0, 0.3)),
    "three-point width": Kind("width of the strip", "mm", SHEETS, 1, 3000, "three-point", tool=GAPS),
    "three-point thickness": Kind("thickness of the strip", "mm", SHEETS, 0.1, 60, "three-point",
        "left empty, that of the sheet counts", tool=GAUGE),
    "three-point support radius": Kind("radius of the supports", "mm", SHEETS, 0, 200, "three-point",
        "0 or empty: knife edges", tool=Instrument("a ruler", 0.5, 0.2)),
    "droop": Kind("droop of the end", "mm", SHEETS, 0.1, 3000, "droop", "below the edge it hangs over"),
    "droop overhang": Kind("overhang", "mm", SHEETS, 10, 5000, "droop", "length beyond the edge"),
    "droop thickness": Kind("thickness of the strip", "mm", SHEETS, 0.1, 60, "droop",
        "left empty, that of the sheet counts", tool=GAUGE),
    "droop density": Kind("density of the sheet", "kg/m3", SHEETS, 20, 12000, "droop",
        "left empty, that of the catalogue counts", tool=Instrument("scale and ruler", 50.0, 20.0)),
    "droop end weight": Kind("weight hung from the end", "g", SHEETS, 0.1, 100000, "droop", "empty: none", tool=GRAMS),
    "droop width": Kind("width of the strip", "mm", SHEETS, 1, 3000, "droop", "needed with a weight", tool=GAPS),
    "opening force": Kind("force that frees the rod, each sheet", "N", PAIR, 0.01, 100000, "opened",
        "over the whole span, at the rod", tool=Instrument("a spring scale", 1.0, 0.5)),
    "as-built thickness": Kind("outer thickness at the front", "mm", PAIR, 0.5, 1000, "part",
        "log at 1 h, 24 h and 7 days", timed=True),
    "offset": Kind("offset of the outer face", "mm", SHEETS, -500, 500, "part", "from the chord line", "the land end"),
}
# fmt: on
GROUPS = {
    "sheets": "The two sheets, flat",
    "three-point": "Strip on two supports",
    "droop": "Strip over an edge",
    "opened": "Closed pair, opened",
    "part": "The part as built",
}


@dataclass(frozen=True)
class Row:
    """One reading. Raises ValueError, in words, for anything not allowed.

    sheet : "A", "B" or "pair"
    measured : a name of `KINDS`
    value : [SI]
    place : where it was read [m], None where the kind has none
    time : after forming [s], None where the kind has none
    resolution : smallest step of the instrument [SI]
    note : free text
    """

    sheet: str
    measured: str
    value: float
    place: float | None = None
    time: float | None = None
    resolution: float = 0.0
    note: str = ""

    def __post_init__(self):
        for name in ("value", "place", "time", "resolution"):
            if name == "value" or getattr(self, name) is not None:
                words = f"{self.measured} of {whose(self.sheet)}: {name}"
                read_number(getattr(self, name), words, low=-math.inf, high=math.inf, nan=True, infinite=True)
        for complaint in row_complaints(self):
            raise ValueError(f"{self.measured} of {whose(self.sheet)}: {complaint[1]}")

    @property
    def kind(self) -> Kind:
        """What the table says of it."""
        return KINDS[self.measured]

    @property
    def confirmed(self) -> bool:
        """Whether it counts however odd it looks: its note begins with the word "confirmed"."""
        return bool(re.match(rf"\s*{CONFIRMED}\b", self.note, re.IGNORECASE))

    def confirm(self) -> Row:
        """The same, confirmed; what its note said before stands after the word."""
        return self if self.confirmed else replace(self, note=f"{CONFIRMED}; {self.note}".removesuffix("; "))


@dataclass(frozen=True)
class Readings:
    """All readings of one pair, `rows` in any order; the order is kept."""

    rows: tuple = ()

    def __post_init__(self):
        object.__setattr__(self, "rows", tuple(self.rows))

    def of(self, measured: str, sheet: str) -> tuple:
        """Rows of one kind on one sheet."""
        if measured not in KINDS:
            raise KeyError(f"nothing is measured as {measured!r}")
        return tuple(r for r in self.rows if r.measured == measured and r.sheet == sheet)

    def reading(self, measured: str, sheet: str) -> Reading | None:
        """Its repeated readings as one, or None; the coarsest instrument counts, where no step is given the kind's.

        How the instrument repeats is pooled with the scatter of the readings; not where they have places, for such
        readings are no repeats: they scatter with the sheet, and must be several.
        """
        rows = self.of(measured, sheet)
        if not rows:
            return None
        kind = rows[0].kind
        step = max(r.resolution for r in rows) or to_si(kind.tool.step, kind.unit)
        known = () if kind.place else (to_si(kind.tool.repeat, kind.unit), REPEAT_DOF)
        return Reading(kind.label, tuple(r.value for r in rows), step, *known)

    def no_step(self, measured: str, sheet: str) -> bool:
        """Whether no step is given with any reading of one kind on one sheet, so that one is taken."""
        rows = self.of(measured, sheet)
        return bool(rows) and not any(r.resolution for r in rows)

    def replaced(self, measured: str, sheet: str, rows) -> Readings:
        """The same with these rows in the place of those of one kind and sheet; they stand where the first stood."""
        kept, rows = [r for r in self.rows if (r.measured, r.sheet) != (measured, sheet)], list(rows)
        first = next((i for i, r in enumerate(self.rows) if (r.measured, r.sheet) == (measured, sheet)), len(kept))
        before = sum((r.measured, r.sheet) != (measured, sheet) for r in self.rows[:first])
        return Readings((*kept[:before], *rows, *kept[before:]))


def to_number(text: str, decimal_comma: bool = True) -> float:
    """A typed number; nan for an empty text, ValueError for anything else. A comma counts as decimal point if told."""
    return plain_number(text, decimal_comma) if text.strip() else math.nan


def row_complaints(row):
    """(column of the file, words) of everything that is wrong with a row."""
    kind = KINDS.get(row.measured)
    if kind is None:
        yield "measured", f"{row.measured!r} is not known; allowed are {'; '.join(KINDS)}"
        return
    if row.sheet not in kind.on:
        yield "sheet", f"{row.sheet!r} is not a place of {row.measured}; allowed: {', '.join(kind.on)}"
    low, high = to_si(kind.low, kind.unit), to_si(kind.high, kind.unit)
    if not low <= row.value <= high:
        yield kind.column, f"{_came(row.value, kind.unit)} is out of range; allowed is {kind.allowed}"
    if not (math.isfinite(row.resolution) and row.resolution >= 0):
        yield "resolution_same_unit", f"{row.resolution!r} is not a step; allowed is zero or more"
    yield from _where_complaints(row, kind)


def _where_complaints(row, kind):
    if kind.place and not (row.place is not None and PLACES[0] <= row.place <= PLACES[1]):
        low, high = end_words(PLACES, "mm")
        yield "place_mm", f"{_came(row.place, 'mm')} came in; give the distance from {kind.place}, {low} to {high}"
    if row.place is not None and not kind.place:
        yield "place_mm", f"{_came(row.place, 'mm')} came in; {row.measured} has no place: leave it empty"
    if kind.timed and not (row.time is not None and 0.0 < row.time <= 3.2e8):
        yield "after_h", f"{_hours_came(row.time)} came in; give the hours after forming, above 0 and up to 88000"
    if row.time is not None and not kind.timed:
        yield "after_h", f"{_hours_came(row.time)} came in; {row.measured} has no time: leave it empty"


def _came(value, unit):
    return "nothing" if value is None else show_input(value, unit) if math.isfinite(value) else repr(value)


def whose(sheet: str) -> str:
    """What a sheet is called: "sheet A", "the pair"."""
    return "the pair" if sheet == PAIR[0] else f"sheet {sheet}"


def named(measured: str, sheet: str = "") -> str:
    """A kind of reading on a sheet in words, with the test it belongs to: two tests have a strip."""
    kind = KINDS[measured]
    test = f" ({GROUPS[kind.group].lower()})" if kind.group in ("three-point", "droop") else ""
    return f"{kind.label}{f' of {whose(sheet)}' if sheet else ''}{test}"


def _hours_came(time):
    return "nothing" if time is None else f"{time / HOUR:g} h"


def hours(time) -> str:
    """A time [s] in hours, to twelve digits; empty for None."""
    return "" if time is None else f"{time / HOUR:.12g}"


def cell(value, unit: str) -> str:
    """A value [SI] as a number in its unit, every digit that counts; empty for None."""
    return "" if value is None else f"{from_si(value, unit):.15g}"


# ----- The CSV file of bench readings: one row for each reading, units in the column names.
#
# Columns: `sheet` (A, B or pair; A is the upper sheet), `measured` (a name of `measured.readings.KINDS`), `place_mm`
# (where it was read, for kinds that have a place), `after_h` (hours after forming, for the log of the part), one of the
# value columns `value_mm`, `value_n`, `value_g`, `value_kg_m3`, the one the kind asks for, `resolution_same_unit` (the
# smallest step the instrument shows, in the unit of the value) and `note`. Repeated readings are repeated rows. A file
# with semicolons between the columns, as spreadsheets of some languages write it, may have decimal commas.


MOST_COMPLAINTS = 5
MOST_IN_A_CELL = 60  # characters of a cell that is no note
MOST_ROWS = 20_000  # read in a second
BAD_QUOTES = "a quote does not close, or stands within a cell: put quotes around whole cells, and double those inside"


def read_readings(path) -> Readings:
    r"""Readings of a CSV file; ValueError that names row, column, what came in and what is allowed.

    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from panelmech.units import show
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "bench.csv"
    ...     _ = path.write_text("sheet,measured,place_mm,value_mm\nA,thickness,10,2.06\n")
    ...     print(show(read_readings(path).rows[0].value, "mm", 3))
    2.06 mm
    """
    path = Path(path)
    try:
        text = text_of(path)
    except ValueError as error:
        raise ValueError(f"{path.name} is not a CSV file: {error}") from None
    return parse_readings(text, path.name)


def parse_readings(text: str, name: str = "readings") -> Readings:
    """Readings from the text of a CSV file; errors as of `read_readings`."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip()), "")
    semicolons = first.count(";") > first.count(",")
    if len(lines) > MOST_ROWS:
        raise ValueError(
            f"{name} has {len(lines)} rows: a file of readings has {MOST_ROWS} at most; give one of one pair"
        )
    rows = csv.reader(io.StringIO(text), delimiter=";" if semicolons else ",", strict=True)
    try:
        table = list(rows)
    except csv.Error:
        raise ValueError(f"{name} is not a CSV file: in line {rows.line_num} {BAD_QUOTES}") from None
    table = [(number, cells) for number, cells in enumerate(table, 1) if any(c.strip() for c in cells)]
    if not table:
        raise ValueError(f"{name} is empty: its first row must name the columns {', '.join(COLUMNS)}")
    heads = _heads(table[0][1], name)
    rows, complaints = [], []
    for number, cells in table[1:]:
        row, wrong = _parse_row(dict(zip(heads, cells, strict=False)), len(cells) - len(heads), semicolons)
        rows.append(row)
        complaints += [f"row {number}, column {column}: {words}" for column, words in wrong]
    if complaints:
        raise ValueError(f"{name}: {brief(few(complaints, MOST_COMPLAINTS, '; '))}")
    return Readings(tuple(rows))


def _heads(cells, name):
    heads = [c.strip().lower() for c in cells]
    unknown, missing = [h for h in heads if h not in COLUMNS], [c for c in COLUMNS[:2] if c not in heads]
    twice = sorted({h for h in heads if heads.count(h) > 1})
    if unknown or missing or twice:
        wrong = [f"unknown column {h!r}" for h in unknown] + [f"missing column {h!r}" for h in missing]
        wrong += [f"column {h!r} stands twice" for h in twice]
        raise ValueError(f"{name}, row 1: {brief(', '.join(wrong))}; the columns are {', '.join(COLUMNS)}")
    return heads


def _parse_row(cells, spare, semicolons):
    """(row or None, complaints as (column, words)) of one row of the table."""
    cells = dict.fromkeys(COLUMNS, "") | {column: cell.strip() for column, cell in cells.items()}
    if spare > 0:
        return None, [("after the last", f"{spare} cells too many; put quotes around a text with a comma")]
    long = [c for c in COLUMNS if c != "note" and ("\n" in cells[c] or len(cells[c]) > MOST_IN_A_CELL)]
    if long:
        came = f"{len(cells[long[0]])} characters, from {cells[long[0]][:20]!r} on"
        return None, [(long[0], f"{came}: give {MOST_IN_A_CELL} at most, in one row; a quotation mark may be missing")]
    kind = KINDS.get(cells["measured"])
    if kind is None:
        return None, [("measured", f"{cells['measured']!r} is not known; allowed are {'; '.join(KINDS)}")]
    numbers, wrong = _numbers(cells, kind, semicolons)
    if wrong:
        return None, wrong
    resolution = numbers["resolution_same_unit"]
    given = dict(
        sheet=cells["sheet"],
        measured=cells["measured"],
        value=to_si(numbers[kind.column], kind.unit),
        place=_given(numbers["place_mm"], "mm"),
        time=None if math.isnan(numbers["after_h"]) else HOUR * numbers["after_h"],
        resolution=0.0 if math.isnan(resolution) else to_si(resolution, kind.unit),
        note=cells["note"],
    )
    wrong = list(row_complaints(SimpleNamespace(**given)))
    return (None, wrong) if wrong else (Row(**given), [])


def _given(number, unit):
    return None if math.isnan(number) else to_si(number, unit)


def _numbers(cells, kind, semicolons):
    """(numbers by column, complaints): all that are numbers, and exactly the value column this kind asks for."""
    numbers, wrong = {}, []
    for column in ("place_mm", "after_h", *VALUE_COLUMNS, "resolution_same_unit"):
        try:
            numbers[column] = to_number(cells[column], semicolons)
        except ValueError as error:
            hint = f"; allowed is {kind.allowed}" if column == kind.column else ""
            wrong.append((column, f"{error}{hint}"))
    filled = [c for c in VALUE_COLUMNS if cells[c]]
    if filled != [kind.column]:
        stray = [c for c in filled if c != kind.column]
        other = f", and nothing in {' and '.join(stray)}" if stray else ""
        wrong.append((kind.column, f"{cells['measured']} needs its number here{other}; allowed is {kind.allowed}"))
    return numbers, wrong


def readings_csv(readings: Readings) -> str:
    """The text of the file, which `parse_readings` turns back into the same readings."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in readings.rows:
        values = [cell(row.value, row.kind.unit) if c == row.kind.column else "" for c in VALUE_COLUMNS]
        resolution = cell(row.resolution, row.kind.unit) if row.resolution else ""
        where = (cell(row.place, "mm"), hours(row.time))
        note = row.note.replace("\r\n", "\n").replace("\r", "\n")  # the writer sets no quotes around a lone \r
        writer.writerow([row.sheet, row.measured, *where, *values, resolution, note])
    return text.getvalue()


def write_readings(path, readings: Readings) -> Path:
    """Write the file, all or nothing."""
    write_atomically(path, readings_csv(readings))
    return Path(path)
