"""The part along its span: how chord, land, setback, spacer and sheet change from the root end to the tip.

A `Blade` is a design and, for any of its dimensions in `ALONG_FIELDS`, another value along the span: a number, a
straight taper, or a table. Positions run along the span from the root end, 0, to the tip, the design's `span`.
Materials and judgements are the design's. A blade file is plain JSON with the unit in each key and the design inside;
loading it runs no code and refuses what it does not know, and what cannot be cut from flat sheets and rod
(`buildable`). The record itself takes any dimension along the span: a cone whose sheets thin out is a second road.

Planform: one line is kept straight along the span and the chords lie square to it. By default that is the axis of the
rod, because a rod is straight; with an even spacer and setback the leading edge is then straight as well. A wedge-cut
blank gives a straight taper of the free length.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace

import numpy as np

from ..files import (
    TEXT,
    Nested,
    Number,
    changed,
    file_text,
    from_plain,
    named,
    number,
    read_file,
    short_hash,
    to_plain,
    write_atomically,
)
from ..study.design import KEPT_DESIGN, LIMITS, Design, wall_too_thick
from ..units import from_si, read_array, read_choice, read_flag, read_number, show_input, to_si

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
ROD_FIELDS = ("spacer_diameter", "spacer_wall")  # a rod may be of pieces, each of its own stock: these may step
STRAIGHT_LINES = ("rod", "leading edge", "trailing edge")
_SAME_PLACE = 1e-9  # of the span: places closer than this are one place


@dataclass(frozen=True)
class Table:
    """A dimension given at places along the span.

    positions : from the root end [m], rising, the first one 0
    values : one each [m]
    stepped : False: between the places the dimension runs straight, and the last place is the tip; True: each value
        holds from its place on to the next one, the last to the tip

    ValueError for anything else.
    """

    positions: tuple
    values: tuple
    stepped: bool = False

    def __post_init__(self):
        for name in ("positions", "values"):
            numbers = read_array(getattr(self, name), name, "mm", axes=1)
            object.__setattr__(self, name, tuple(numbers.tolist()))
        if len(self.positions) != len(self.values):
            raise ValueError(f"{len(self.positions)} positions and {len(self.values)} values: give one value for each")
        least = 1 if self.stepped else 2
        if len(self.positions) < least:
            raise ValueError(f"a table of {len(self.positions)} places: give at least {least}")
        if self.positions[0] != 0.0:
            raise ValueError(f"the first position is {show_input(self.positions[0], 'mm')}: it must be 0, the root end")
        if np.any(np.diff(self.positions) <= 0.0):
            raise ValueError("positions must rise from the root end to the tip; for a jump give a stepped table")
        read_flag(self.stepped, "stepped")

    def at(self, position, before=False):
        """Values [m] at positions [m], an array; of a step the new value, or with `before` the old one."""
        if not self.stepped:
            return np.interp(position, self.positions, self.values)
        index = np.searchsorted(self.positions, position, side="left" if before else "right") - 1
        return np.asarray(self.values)[np.maximum(index, 0)]


@dataclass(frozen=True)
class Blade:
    """The part along its span.

    design : materials and judgements, and every dimension that is not given along the span
    free_length, land_length, setback, spacer_diameter, spacer_wall, sheet_thickness, bond_line : None (as in the
        design), a number [m] for the whole span, a pair (root, tip) [m] for a straight taper, or a `Table`
    straight : the line that is kept straight, one of `STRAIGHT_LINES`

    Raises ValueError, naming field and place, for a value outside `study.design.LIMITS` or values that do not fit
    together.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> blade = Blade(demo().design, free_length=(0.225, 0.165))  # at the root, at the tip
    >>> show(blade.values_at([0.425])["free_length"][0], "mm")
    '195.0 mm'
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
        read_choice(self.straight, "straight", STRAIGHT_LINES)
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

    @property
    def section_steps(self) -> tuple:
        """Places where the section jumps: `steps`, and where a solid zone begins or ends to count in it [m]."""
        return tuple(sorted({*self.steps, *self.design.inside.borders(self.span)}))

    @property
    def section_places(self) -> tuple:
        """`breakpoints` and `section_steps` [m]."""
        return tuple(sorted({*self.breakpoints, *self.section_steps}))

    def jumps(self, name: str) -> tuple:
        """Places where one dimension has another value on either side [m]."""
        table = self._tables[name]
        return tuple(p for p in table.positions[1:] if table.at(p) != table.at(p, before=True))

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

    @property
    def root(self) -> Design:
        """The design with the dimensions that the part has at its root end."""
        ends = self.values_at(0.0)
        return self.design.replace(**{n: float(ends[n]) for n in ALONG_FIELDS if getattr(self, n) is not None})

    def with_root(self, design: Design) -> Blade:
        """The same course along the span for another design, whose dimensions are those at the root end.

        ValueError where a table does not go with the new span.
        """
        along = {name: _from_root(getattr(self, name), getattr(design, name)) for name in ALONG_FIELDS}
        return self.replace(design=design, **along)

    def takes_roots(self, roots: dict) -> np.ndarray:
        """Whether `with_root` takes designs with this one's span, of many at once (parts,); `roots` as of
        `values_with_roots`. ValueError where a table cannot begin with one of them."""
        starts, ends = self.breakpoints[:-1], self.breakpoints[1:]
        places, before = np.array([*starts, *ends]), np.repeat([False, True], len(starts))
        sizes, ranges = self.values_with_roots(roots, places, before), {name: LIMITS[name].range for name in roots}
        inside = [(values >= ranges[name][0]) & (values <= ranges[name][1]) for name, values in sizes.items()]
        return np.all(np.all(inside, axis=0) & ~wall_too_thick(sizes["spacer_wall"], sizes["spacer_diameter"]), axis=1)

    def values_with_roots(self, roots: dict, position, before) -> dict:
        """What `values_at` says of blades as of `with_root`, of many at once: (parts, places). Nothing is checked.

        roots : every field of `ALONG_FIELDS` at the root end, (parts,) [m]
        position : of the places [m]; `before`: of each, whether it reads the old value of a step there
        """
        return {name: self._with_roots(name, values, position, before) for name, values in roots.items()}

    def _with_roots(self, name, roots, position, before):
        """Only the first stretch of a table hangs on its value at the root end."""
        given, table, roots = getattr(self, name), self._tables[name], np.asarray(roots)[:, None]
        if not isinstance(given, tuple | Table):
            return np.repeat(roots, len(position), axis=1)
        if name == "spacer_wall":
            for value in np.unique(roots):
                _table(name, _from_root(given, value), self.span)
        end = table.positions[1] if len(table.positions) > 1 else np.inf
        first = roots if table.stepped else roots + (table.values[1] - roots) * (position / end)
        at_first = (position < end) | (table.stepped & before & (position == end))
        return np.where(at_first, first, np.where(before, table.at(position, True), table.at(position)))

    def replace(self, **changes) -> Blade:
        """A new blade with some fields changed; unknown names raise ValueError."""
        return changed(self, changes, "a blade")

    def input_hash(self) -> str:
        """Twelve hexadecimal digits that change with any input in its first twelve digits, materials included."""
        parts = [self.design.input_hash(), self.straight]
        for table in self._tables.values():
            parts += [f"{v:.12g}" for v in (*table.positions, *table.values, table.stepped)] + ["|"]
        return short_hash(" ".join(parts))

    def save(self, path) -> None:
        """Write a blade file, all or nothing; ValueError for a part that cannot be built, which could not be read."""
        write_atomically(path, blade_json(buildable(self)))

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


def buildable(blade: Blade) -> Blade:
    """The blade, where flat sheets and pieces of rod can become it; ValueError, in words, where they cannot.

    Each sheet is one piece of one thickness from the root end to the tip, so none of its dimensions can jump. The rod
    may be of pieces: its diameter and wall may step, and where they do the setback may, since each piece is set for
    itself. Judgement, no source; beside a step of the rod the sheets run it out (`taper_fit`).
    """
    thickness = blade.values_at(np.array(blade.breakpoints))["sheet_thickness"]
    if np.ptp(thickness) > 0.0:
        low, high = (show_input(float(value), "mm") for value in (thickness.min(), thickness.max()))
        raise ValueError(
            f"the sheets run from {low} to {high} thick along the span: blanks are cut from a sheet of one thickness; "
            "give one thickness for the whole span"
        )
    cuts = {place for name in ROD_FIELDS for place in blade.jumps(name)}
    for name in ALONG_FIELDS:
        allowed = cuts if name in (*ROD_FIELDS, "setback") else ()
        for place in blade.jumps(name):
            if place not in allowed:
                raise ValueError(_jump_words(name, place))
    return blade


def _jump_words(name, place):
    at = f"{name} steps at {show_input(place, 'mm')} from the root end"
    if name == "setback":
        return (
            f"{at}, where the rod goes on: one piece of rod cannot jump forward or back; let the setback run straight, "
            "or step where the spacer's diameter or wall steps"
        )
    return (
        f"{at}: each sheet is one flat piece from the root end to the tip and cannot jump; let it run straight (a "
        "taper, or a table that is not stepped), or make each stretch a part of its own"
    )


def blade_json(blade: Blade) -> str:
    """The text of a blade file."""
    return file_text(FORMAT, SCHEMA, blade_to_entry(blade))


class Along(Number):
    """A dimension along the span in a file: a number, a taper {root, tip} or a `Table` of positions and values."""

    def write(self, name: str, value) -> tuple:
        """As `files.Word.write`."""
        (key, (unit,)), *_ = self.keys(name).items()
        if isinstance(value, tuple):
            return key, {end: from_si(v, unit) for end, v in zip(_TAPER, value, strict=True)}
        if not isinstance(value, Table):
            return super().write(name, value)
        rows = {"positions": value.positions, "values": [from_si(v, unit) for v in value.values]}
        return key, to_plain({**rows, "between": BETWEEN[value.stepped]}, _TABLE)

    def read(self, plain, units: tuple, where: str):
        """As `files.Word.read`."""
        (unit,) = units
        if not isinstance(plain, dict):
            return super().read(plain, units, where)
        if set(_TAPER) & set(plain):
            return tuple(to_si(v, unit) for v in from_plain(plain, _TAPER, where, _TAPER).values())
        rows = from_plain(plain, _TABLE, where, ("positions", "values"))
        stepped = read_choice(rows.get("between", BETWEEN[False]), f"{where}: between", BETWEEN.values())
        values = tuple(to_si(v, unit) for v in rows["values"])
        return named(where, lambda: Table(rows["positions"], values, stepped == BETWEEN[True]))


BETWEEN = {False: "straight", True: "stepped"}  # how a table runs between its places, by `Table.stepped`
_TAPER = {"root": number(""), "tip": number("")}
_TABLE = {"positions": number("mm", "list"), "values": number("", "list"), "between": TEXT}
_KEPT = {
    "straight": TEXT,
    "along_span": Nested(dict, {name: Along(((LIMITS[name].unit,),)) for name in ALONG_FIELDS}),
    "design": KEPT_DESIGN,
}


def blade_to_entry(blade: Blade) -> dict:
    """The blade as plain values with units in the keys; what is as in the design is left out."""
    return to_plain({"straight": blade.straight, "along_span": vars(blade), "design": blade.design}, _KEPT)


def blade_from_entry(entry: dict, where: str = "blade") -> Blade:
    """The inverse of `blade_to_entry`, strict: unknown keys, wrong types and missing keys are refused by name, what
    cannot be built in words (`buildable`)."""
    values = from_plain(entry, _KEPT, where, {"design"})
    blade = Blade(**values.pop("along_span", {}), **values)
    return named(where, lambda: buildable(blade))


def _from_root(given, value):
    """A dimension along the span with another value at the root end."""
    if isinstance(given, Table):
        return replace(given, values=(value, *given.values[1:]))
    return (value, given[1]) if isinstance(given, tuple) else given if given is None else value


def _plain(name, given):
    """None, a float, a pair of floats or a Table."""
    if given is None or isinstance(given, Table):
        return given
    if not isinstance(given, tuple | list | np.ndarray) or (isinstance(given, np.ndarray) and given.ndim == 0):
        return read_number(given, name, "mm")
    pair = tuple(read_array(given, name, "mm", axes=1).tolist())
    if len(pair) != 2:
        raise ValueError(
            f"{name}: a taper has two values, at the root end and at the tip, not {len(pair)}; for "
            "more places give a Table"
        )
    return pair


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
