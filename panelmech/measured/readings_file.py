"""The CSV file of bench readings: one row for each reading, units in the column names.

Columns: `sheet` (A, B or pair; A is the upper sheet), `measured` (a name of `measured.readings.KINDS`), `place_mm`
(where it was read, for kinds that have a place), `after_h` (hours after forming, for the log of the part), one of the
value columns `value_mm`, `value_n`, `value_g`, `value_kg_m3`, the one the kind asks for, `resolution_same_unit` (the
smallest step the instrument shows, in the unit of the value) and `note`. Repeated readings are repeated rows. A file
with semicolons between the columns, as spreadsheets of some languages write it, may have decimal commas.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from pathlib import Path

from ..files import write_atomically
from ..units import to_si
from .readings import COLUMNS, HOUR, KINDS, VALUE_COLUMNS, Readings, Row, cell, hours, row_complaints, to_number

MOST_COMPLAINTS = 5


def read_readings(path) -> Readings:
    """Readings of a CSV file; ValueError that names row, column, what came in and what is allowed."""
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(f"{path.name} is not a text file in UTF-8: save it as CSV (UTF-8)") from None
    return parse_readings(text, path.name)


def parse_readings(text: str, name: str = "readings") -> Readings:
    """Readings from the text of a CSV file; errors as of `read_readings`."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip()), "")
    semicolons = first.count(";") > first.count(",")
    try:
        table = list(csv.reader(io.StringIO(text), delimiter=";" if semicolons else ",", strict=True))
    except csv.Error as error:
        raise ValueError(f"{name} is not a CSV file: {error}") from None
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
        more = len(complaints) - MOST_COMPLAINTS
        tail = f"; and {more} more" if more > 0 else ""
        raise ValueError(f"{name}: {'; '.join(complaints[:MOST_COMPLAINTS])}{tail}")
    return Readings(tuple(rows))


def _heads(cells, name):
    heads = [c.strip().lower() for c in cells]
    unknown, missing = [h for h in heads if h not in COLUMNS], [c for c in COLUMNS[:2] if c not in heads]
    twice = sorted({h for h in heads if heads.count(h) > 1})
    if unknown or missing or twice:
        wrong = [f"unknown column {h!r}" for h in unknown] + [f"missing column {h!r}" for h in missing]
        wrong += [f"column {h!r} stands twice" for h in twice]
        raise ValueError(f"{name}, row 1: {', '.join(wrong)}; the columns are {', '.join(COLUMNS)}")
    return heads


def _parse_row(cells, spare, semicolons):
    """(row or None, complaints as (column, words)) of one row of the table."""
    cells = dict.fromkeys(COLUMNS, "") | {column: cell.strip() for column, cell in cells.items()}
    if spare > 0:
        return None, [("after the last", f"{spare} cells too many; put quotes around a text with a comma")]
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
    wrong = list(row_complaints(_Loose(**given)))
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


@dataclass(frozen=True)
class _Loose(Row):
    """A row that is not checked yet."""

    def __post_init__(self):
        pass


def readings_csv(readings: Readings) -> str:
    """The text of the file, which `parse_readings` turns back into the same readings."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in readings.rows:
        values = [cell(row.value, row.kind.unit) if c == row.kind.column else "" for c in VALUE_COLUMNS]
        resolution = cell(row.resolution, row.kind.unit) if row.resolution else ""
        where = (cell(row.place, "mm"), hours(row.time))
        writer.writerow([row.sheet, row.measured, *where, *values, resolution, row.note])
    return text.getvalue()


def write_readings(path, readings: Readings) -> Path:
    """Write the file, all or nothing."""
    write_atomically(path, readings_csv(readings))
    return Path(path)
