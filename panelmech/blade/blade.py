"""The part along its span: how chord, land, setback, spacer and sheet change from the root end to the tip.

A `Blade` is a design and, for any of its dimensions in `ALONG_FIELDS`, another value along the span: a number, a
straight taper, or a table. Positions run along the span from the root end, 0, to the tip, the design's `span`.
Materials and judgements are the design's. A blade file is plain JSON with the unit in each key and the design inside;
loading it runs no code and refuses what it does not know.

Planform: one line is kept straight along the span and the chords lie square to it. By default that is the axis of the
rod, because a rod is straight; with an even spacer and setback the leading edge is then straight as well. A wedge-cut
blank gives a straight taper of the free length.
"""

from __future__ import annotations

import hashlib
import itertools
from dataclasses import dataclass, field, fields, replace

import numpy as np

from ..files import file_text, read_file, refuse_unknown, write_atomically
from ..study.design import LIMITS, Design, from_entry, to_entry
from ..units import from_si, show_input, to_si

FORMAT = "panelmech blade"
SCHEMA = 1
ALONG_FIELDS = (
    "free_length",
    "land_length",
    "setback",
    "spacer_diameter",
    "spacer_wall",
    "sheet_thickness",
    "bond_line",
)
STRAIGHT_LINES = ("rod", "leading edge", "trailing edge")
_SAME_PLACE = 1e-9  # of the span: places closer than this are one place


@dataclass(frozen=True)
class Table:
    """A dimension given at places along the span.

    `positions` [m] from the root end, rising, the first one 0; `values` [m], one each. Between the places the dimension
    runs straight, and the last place is the tip; with `stepped` each value holds from its place on to the next one, the
    last to the tip. ValueError for anything else.
    """

    positions: tuple
    values: tuple
    stepped: bool = False

    def __post_init__(self):
        for name in ("positions", "values"):
            object.__setattr__(self, name, _numbers(name, getattr(self, name)))
        if len(self.positions) != len(self.values):
            raise ValueError(f"{len(self.positions)} positions and {len(self.values)} values: give one value for each")
        least = 1 if self.stepped else 2
        if len(self.positions) < least:
            raise ValueError(f"a table of {len(self.positions)} places: give at least {least}")
        if self.positions[0] != 0.0:
            raise ValueError(f"the first position is {show_input(self.positions[0], 'mm')}: it must be 0, the root end")
        if np.any(np.diff(self.positions) <= 0.0):
            raise ValueError("positions must rise from the root end to the tip; for a jump give a stepped table")
        if not isinstance(self.stepped, bool):
            raise ValueError(f"stepped is {self.stepped!r}: give true or false")

    def at(self, position, before=False):
        """Values [m] at positions [m], an array; of a step the new value, or with `before` the old one."""
        if not self.stepped:
            return np.interp(position, self.positions, self.values)
        index = np.searchsorted(self.positions, position, side="left" if before else "right") - 1
        return np.asarray(self.values)[np.maximum(index, 0)]


@dataclass(frozen=True)
class Blade:
    """The part along its span.

    Each field of `ALONG_FIELDS` is None (as in the design), a number [m] for the whole span, a pair (root, tip) [m] for
    a straight taper, or a `Table`. `straight` names the line that is kept straight, one of `STRAIGHT_LINES`.
    Raises ValueError, naming field and place, for a value outside `study.design.LIMITS` or values that do not fit
    together.
    """

    design: Design
    free_length: float | tuple | Table | None = None
    land_length: float | tuple | Table | None = None
    setback: float | tuple | Table | None = None
    spacer_diameter: float | tuple | Table | None = None
    spacer_wall: float | tuple | Table | None = None
    sheet_thickness: float | tuple | Table | None = None
    bond_line: float | tuple | Table | None = None
    straight: str = "rod"
    _tables: dict = field(init=False, repr=False, compare=False)

    def __post_init__(self):
        if not isinstance(self.design, Design):
            raise ValueError(f"design is {self.design!r}: give a Design")
        if self.straight not in STRAIGHT_LINES:
            raise ValueError(f"straight is {self.straight!r}: give one of {', '.join(STRAIGHT_LINES)}")
        tables = {}
        for name in ALONG_FIELDS:
            given = _plain(name, getattr(self, name))
            object.__setattr__(self, name, given)
            tables[name] = _table(name, getattr(self.design, name) if given is None else given, self.span)
        object.__setattr__(self, "_tables", tables)
        self._check_places()

    @property
    def span(self) -> float:
        """Root end to tip [m]."""
        return self.design.span

    @property
    def breakpoints(self) -> tuple:
        """Places where a dimension steps or changes its taper, root end and tip included [m]."""
        places = {p for table in self._tables.values() for p in table.positions} | {0.0, self.span}
        return tuple(sorted(p for p in places if p == self.span or p < self.span * (1.0 - _SAME_PLACE)))

    @property
    def steps(self) -> tuple:
        """Places where a dimension jumps [m]."""
        return tuple(sorted({p for t in self._tables.values() if t.stepped for p in t.positions[1:]}))

    def values_at(self, position, before=False) -> dict:
        """Every field of `ALONG_FIELDS` [m] at positions [m] from the root end, arrays; ValueError off the span."""
        position = np.asarray(position, dtype=float)
        off = ~((position >= 0.0) & (position <= self.span))
        if np.any(off):
            raise ValueError(
                f"position {show_input(position[off].flat[0], 'mm')} is not on the part: its span runs "
                f"from 0 at the root end to {show_input(self.span, 'mm')}"
            )
        return {name: table.at(position, before) for name, table in self._tables.items()}

    def design_at(self, position, before=False) -> Design:
        """The design whose section the part has at one place [m]; its span is the whole part's."""
        values = self.values_at(position, before)
        try:
            return self.design.replace(**{name: float(value) for name, value in values.items()})
        except ValueError as error:
            raise ValueError(f"{show_input(position, 'mm')} from the root end: {error}") from None

    def replace(self, **changes) -> Blade:
        """A new blade with some fields changed; unknown names raise ValueError."""
        known = {f.name for f in fields(self) if f.init}
        unknown = sorted(set(changes) - known)
        if unknown:
            raise ValueError(f"a blade has no field {', '.join(unknown)}; it has {', '.join(sorted(known))}")
        return replace(self, **changes)

    def input_hash(self) -> str:
        """Twelve hexadecimal digits that change with any input in its first twelve digits, materials included."""
        parts = [self.design.input_hash(), self.straight]
        for table in self._tables.values():
            parts += [f"{v:.12g}" for v in (*table.positions, *table.values, table.stepped)] + ["|"]
        return hashlib.sha256(" ".join(parts).encode()).hexdigest()[:12]

    def save(self, path) -> None:
        """Write a blade file, all or nothing."""
        write_atomically(path, blade_json(self))

    @classmethod
    def load(cls, path) -> Blade:
        """Read a blade file; ValueError names the file, the key and what is allowed."""
        return read_file(path, "blade", FORMAT, SCHEMA, blade_from_entry)

    def _check_places(self):
        """A design at both ends of every stretch: all is straight in between, so what holds there holds everywhere."""
        places = self.breakpoints
        for start, end in itertools.pairwise(places):
            self.design_at(start)
            self.design_at(end, before=True)


def blade_json(blade: Blade) -> str:
    """The text of a blade file."""
    return file_text(FORMAT, SCHEMA, blade_to_entry(blade))


def blade_to_entry(blade: Blade) -> dict:
    """The blade as plain values with units in the keys; what is as in the design is left out."""
    along = {LIMITS[n].key: _field_entry(n, getattr(blade, n)) for n in ALONG_FIELDS if getattr(blade, n) is not None}
    return {"straight": blade.straight, "along_span": along, "design": to_entry(blade.design)}


def blade_from_entry(entry: dict, where: str = "blade") -> Blade:
    """The inverse of `blade_to_entry`, strict: unknown keys, wrong types and missing keys are refused by name."""
    refuse_unknown(entry, {"straight", "along_span", "design"}, where)
    along = entry.get("along_span", {})
    by_key = {LIMITS[name].key: name for name in ALONG_FIELDS}
    refuse_unknown(along, set(by_key), "along_span")
    design = from_entry(entry.get("design"))
    values = {by_key[key]: _field_from(by_key[key], key, value) for key, value in along.items()}
    return Blade(design, straight=entry.get("straight", "rod"), **values)


def _field_entry(name, value):
    unit = LIMITS[name].unit
    if isinstance(value, Table):
        return {
            "positions_mm": [from_si(p, "mm") for p in value.positions],
            "values": [from_si(v, unit) for v in value.values],
            "between": "stepped" if value.stepped else "straight",
        }
    if isinstance(value, tuple):
        return {"root": from_si(value[0], unit), "tip": from_si(value[1], unit)}
    return from_si(value, unit)


def _field_from(name, key, entry):
    unit = LIMITS[name].unit
    if not isinstance(entry, dict):
        return to_si(_entry_number(entry, key), unit)
    taper = {"root", "tip"}
    allowed = taper if taper & set(entry) else {"positions_mm", "values", "between"}
    refuse_unknown(entry, allowed, key)
    missing = sorted(allowed - {"between"} - set(entry))
    if missing:
        raise ValueError(f"{key}: missing {', '.join(missing)}")
    if allowed == taper:
        return tuple(to_si(_entry_number(entry[end], f"{key}, {end}"), unit) for end in ("root", "tip"))
    between = entry.get("between", "straight")
    if between not in ("straight", "stepped"):
        raise ValueError(f"{key}: between is {between!r}: give straight or stepped")
    rows = [
        [to_si(_entry_number(v, f"{key}, {row}"), u) for v in _entry_list(entry[row], f"{key}, {row}")]
        for row, u in (("positions_mm", "mm"), ("values", unit))
    ]
    return _named(name, lambda: Table(*rows, stepped=between == "stepped"))


def _entry_number(value, where):
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= 1e300:
        raise ValueError(f"{where} is {value!r}: give a number")
    return value


def _entry_list(value, where):
    if not isinstance(value, list):
        raise ValueError(f"{where} is {value!r}: give a list of numbers")
    return value


def _plain(name, given):
    """None, a float, a pair of floats or a Table."""
    if given is None or isinstance(given, Table):
        return given
    if isinstance(given, tuple | list | np.ndarray) and np.ndim(given) == 1:
        pair = _named(name, lambda: _numbers("taper", given))
        if len(pair) != 2:
            raise ValueError(
                f"{name}: a taper has two values, at the root end and at the tip, not {len(pair)}; for "
                "more places give a Table"
            )
        return pair
    return _named(name, lambda: _numbers("value", [given])[0])


def _table(name, given, span):
    """The table that a field stands for."""
    if not isinstance(given, Table):
        given = Table((0.0, span), given if isinstance(given, tuple) else (given, given))
    last = given.positions[-1]
    if given.stepped and last >= span * (1.0 - _SAME_PLACE):
        raise ValueError(f"{name}: the step at {show_input(last, 'mm')} is not on the span, {show_input(span, 'mm')}")
    if not given.stepped and abs(last - span) > _SAME_PLACE * span:
        raise ValueError(
            f"{name}: the table ends at {show_input(last, 'mm')} but the tip is at "
            f"{show_input(span, 'mm')}: give a value for the tip"
        )
    if name == "spacer_wall" and not given.stepped and 0.0 in given.values and any(given.values):
        raise ValueError("spacer_wall: 0 stands for a solid rod, so a wall cannot run down to it: give a stepped table")
    return given


def _numbers(name, given) -> tuple:
    try:
        values = tuple(float(v) if not isinstance(v, bool | str | bytes) else np.nan for v in given)
    except (TypeError, ValueError, OverflowError):
        values = (np.nan,)
    if not np.all(np.isfinite(values)):
        raise ValueError(f"{name} {given!r}: give finite numbers")
    return values


def _named(name, make):
    try:
        return make()
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
