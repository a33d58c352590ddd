"""Rows of readings from what is typed into the fields of a table, and what to show in the fields for given rows."""

from __future__ import annotations

from dataclasses import replace

from ..entries import in_field, read_entries, read_entry
from ..units import show_input
from .readings import KINDS, Row, hours, named


def rows_from_text(measured: str, sheet: str, values: str, where: str = "", step: str = "", before=()) -> tuple:
    """Rows of one kind on one sheet from what was typed (see `entries.read_entries`).

    `where` are the places [mm] or hours, one for each value, for kinds that have them; `step` the resolution. A reading
    that reads like one of `before`, the rows so far, is that one, with its note. ValueError in words for anything not
    allowed.
    """
    kind = KINDS[measured]
    numbers, places = entries_of(measured, sheet, "values", values), entries_of(measured, sheet, "where", where)
    if len(numbers) != len(places) and (kind.place or kind.timed):
        what = "places" if kind.place else "times"
        raise ValueError(f"{named(measured, sheet)}: values {len(numbers)}, {what} {len(places)}; give one for each")
    steps = entries_of(measured, sheet, "step", step)
    resolution = steps[0].value if steps else 0.0
    known = {_texts(row): row for row in before}
    rows = []
    for i, number in enumerate(numbers):
        place = places[i].value if kind.place else None
        time = places[i].value if kind.timed else None
        row = Row(sheet, measured, number.value, place, time, resolution)
        rows.append(replace(known.get(_texts(row), row), resolution=resolution))
    return tuple(rows)


def _texts(row):
    """A reading as it stands in the fields."""
    return in_field(row.value, row.kind.unit), in_field(row.place, "mm") if row.kind.place else hours(row.time)


def entries_of(measured: str, sheet: str, part: str, text: str) -> list:
    """What was typed for one kind on one sheet, as `entries.Understood` [SI]; `part`: "values", "where" or "step".

    ValueError in words for what cannot be read; ranges are left to `Row`.
    """
    kind = KINDS[measured]
    if part == "step":
        return [read_entry(text, f"step of {named(measured)}", kind.unit, low=0.0)] if text.strip() else []
    if part == "where":
        name, unit = ("times", "h") if kind.timed else ("places", "mm")
        return read_entries(text, f"{name} of {named(measured, sheet)}", unit)
    return read_entries(text, named(measured, sheet), kind.unit)


def heard(measured: str, sheet: str, part: str, text: str) -> str:
    """What was understood, where that was typed in another way; else "". ValueError as `entries_of`."""
    entries = entries_of(measured, sheet, part, text)
    unit = KINDS[measured].unit if part != "where" else "h" if KINDS[measured].timed else "mm"
    return ", ".join(show_input(e.value, unit) for e in entries) if any(e.echo for e in entries) else ""


def as_typed(rows) -> tuple[str, str, str]:
    """Values, places or hours, and step of rows of one kind, as texts for `rows_from_text`."""
    rows = list(rows)
    if not rows:
        return "", "", ""
    values, where = zip(*map(_texts, rows), strict=True)
    step = max(r.resolution for r in rows)
    return " ".join(values), " ".join(where).strip(), in_field(step, rows[0].kind.unit) if step else ""
