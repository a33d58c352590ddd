"""Frozen records of what the shop buys: Sheet, Adhesive, Spacer, Resin, and what they have in common.

Everything in SI. A value that nobody could source is None, never a guess: what is built on it is then "unknown". Every
record tells for each of its quantities on what basis it stands (`basis_of`); where a value is worked out from several
figures it carries the weakest basis among them.

A record has a table of its quantities, `ROWS`: one `Property` each (`materials.properties`), from which follow its
checks, the keys and ranges of its entries in files (`materials.entries`), and its label and unit in a design note. A
new property needs its field, its row and its value in the catalogue's files.
"""

import math
from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from typing import ClassVar, NoReturn

import numpy as np

from ..units import read_array, read_choice, read_text, show_input
from .properties import Property
from .two_ways import complement, goes_with

BASES = ("published", "maker's guide", "derived", "common practice", "from memory", "user", "no basis")
OWN_VALUE = "the user's own value"  # the source of a value of whom nothing more was said
THICKNESSES = (1e-6, 0.5)  # plausible lengths of stock [m]


class ReadOnlyMap(Mapping):
    """A mapping that cannot be written to, hashable by its keys, that pickles and copies."""

    __slots__ = ("_items",)

    def __init__(self, items=()):
        self._items = dict(items)

    def __getitem__(self, key):
        return self._items[key]

    def __iter__(self):
        return iter(self._items)

    def __len__(self):
        return len(self._items)

    def __hash__(self):
        return hash(frozenset(self._items))

    def __repr__(self):
        return repr(self._items)


class Unfit(ValueError):
    """A quantity that does not go together with the others: `quantity` its name, `allowed` what to give."""

    def __init__(self, words: str, quantity: str = "", allowed: str = ""):
        super().__init__(words)
        self.quantity, self.allowed = quantity, allowed


class Record:
    """What all stock records share: a name, a source, a table of quantities and the basis of each."""

    name: str
    source: str
    sources: Mapping
    bases: Mapping

    TEXTS: ClassVar[tuple[str, ...]] = ("name", "source")
    ROWS: ClassVar[tuple[Property, ...]] = ()
    QUANTITIES: ClassVar[tuple[str, ...]] = ()  # names of the rows
    TABLES: ClassVar[Mapping] = ReadOnlyMap()  # {quantity: field with its values over thickness}

    def __init_subclass__(cls):
        cls.QUANTITIES = tuple(row.name for row in cls.ROWS)
        cls.TABLES = ReadOnlyMap({row.name: row.table for row in cls.ROWS if row.table})

    def __post_init__(self):
        for name in self.TEXTS:
            read_text(getattr(self, name), f"{self.label}: {name}")
        if not self.name.strip():
            self.refuse("name", "a text that is not empty")
        for row in self.ROWS:
            self._set(row.name, row.read(getattr(self, row.name), f"{self.label}: {row.name}"))
        for row in self.ROWS:
            if row.table:
                self._set(row.table, row.read_table(getattr(self, row.table), getattr(self, row.name), self.label))
        self._check_fit()
        for name in ("sources", "bases"):
            self._set(name, self._read_notes(name))

    @property
    def label(self) -> str:
        """Kind and name, for messages."""
        return f"{type(self).__name__.lower()} {self.name!r}"

    def basis_of(self, quantity):
        """(basis, source text) of one quantity; basis is one of `BASES`.

        A quantity for which nothing was stated rests on the record's own `source`, basis "user"; one that has
        no value is always "no basis". ValueError for a name that is no quantity of this record.
        """
        if quantity not in self.QUANTITIES:
            raise ValueError(f"{self.label} has no quantity {quantity!r}; allowed: {', '.join(self.QUANTITIES)}")
        value, basis = getattr(self, quantity), self.bases.get(quantity)
        if value is None or value == ():
            text = self.sources.get(quantity) if basis == "no basis" else None
            return "no basis", text or "no value is given"
        return basis or "user", self.sources.get(quantity, self.source or "no source is stated")

    def with_own(self, source=OWN_VALUE, **changes):
        """A copy with the user's own values [SI, by field name], each with basis "user" and the text `source`.

        A value given for a quantity that has a table over thickness takes the place of the table.
        """
        sources, bases = dict(self.sources), dict(self.bases)
        for name in list(changes):
            quantity = self.quantity_of(name)
            if quantity in self.QUANTITIES:
                sources[quantity], bases[quantity] = source, "user"
            if name in self.TABLES:
                changes.setdefault(self.TABLES[name], None)
        changes = {"sources": sources, "bases": bases} | changes
        return replace(self, **changes)  # type: ignore[type-var]  # every kind of record is a dataclass

    @classmethod
    def quantity_of(cls, name):
        """The quantity a field belongs to: a table belongs to the quantity it tabulates."""
        return next((quantity for quantity, table in cls.TABLES.items() if table == name), name)

    def at(self, quantity, thickness):
        """A quantity [SI] at a thickness [m], float or array of any shape; of a pair the tolerance that follows.

        Never raises for a number: nan marks a quantity without a basis, a thickness outside its table
        (`Sheet.table_range`) or one that is not positive; `Sheet.why_unknown` says which. Between two rows of a table
        the value runs straight in the logarithms of thickness and value.
        """
        value, table = getattr(self, quantity), getattr(self, self.TABLES.get(quantity, ""), None)
        if type(thickness) is not float:
            thickness = read_array(thickness, "thickness", "mm", -math.inf, math.inf, nan=True, infinite=True)
        t = np.asarray(thickness)
        usable = np.isfinite(t) & (t > 0)
        safe = np.where(usable, t, 1.0)
        if isinstance(value, tuple):
            out = value[0] + value[1] * t
        elif table is None:
            out = np.where(usable, math.nan if value is None else value, math.nan)
        else:
            rows = np.array(table)
            low, high = rows[0, 0] * (1 - _TABLE_END_SLACK), rows[-1, 0] * (1 + _TABLE_END_SLACK)
            inside = usable & (safe >= low) & (safe <= high)
            straight = np.exp(np.interp(np.log(safe), np.log(rows[:, 0]), np.log(rows[:, 1])))
            out = np.where(inside, straight, math.nan)
        return out if t.ndim else float(out)

    def refuse(self, name, allowed) -> NoReturn:
        """Raises the ValueError that names the record, a field, what it is and what is allowed."""
        raise Unfit(f"{self.label}: {name} is {getattr(self, name)!r}: give {allowed}", name, allowed)

    def _set(self, name, value):
        object.__setattr__(self, name, value)

    def _check_fit(self):
        """ValueError where quantities that are sound each for itself do not go together."""

    def _read_notes(self, name):
        notes = getattr(self, name)
        if not isinstance(notes, Mapping):
            self.refuse(name, "a mapping of quantity to text")
        for quantity, text in notes.items():
            if quantity not in self.QUANTITIES:
                allowed = ", ".join(self.QUANTITIES)
                raise ValueError(f"{self.label}: {name} names {quantity!r}; allowed: {allowed}")
            where = f"{self.label}: {name} of {quantity}"
            read_text(text, where) if name == "sources" else read_choice(text, where, BASES)
            if text == "no basis" and name == "bases" and getattr(self, quantity) not in (None, ()):
                raise ValueError(f"{self.label}: {quantity} has a value, so its basis cannot be 'no basis'")
        return ReadOnlyMap(notes)


_TABLE_END_SLACK = 1e-9  # relative; lets 3.6 * 1e-3 count as 3.6 mm at the end of a table
_MODULI, _STRENGTHS = (1e6, 2e12), (1e4, 2e10)
_POISSON = Property("poisson", "Poisson's ratio", "", (0.0, 0.5), below=0.5, needed=True, noted=4)
_DENSITY = Property("density", "density", "kg/m3", (1.0, 3e4), needed=True, noted=5)
_MODULUS = Property("modulus", "modulus", "GPa", _MODULI, needed=True, noted=1)
_STRENGTH = Property("strength", "strength in bending", "MPa", _STRENGTHS)


def _limit(name, label, table, noted):
    return Property(name, label, "%", (1e-7, 0.2), table, below=0.2, noted=noted)


@dataclass(frozen=True)
class Sheet(Record):
    """A kind of sheet stock, in the direction it is bent in. Raises ValueError for what `ROWS` does not allow.

    name, source : texts
    modulus : in bending along the chord [Pa]
    poisson : 0 to below 0.5 [-], of a pull along the chord; with a modulus along the span below what
        `materials.two_ways` allows, in bending, at every thickness
    density : [kg/m3]
    permanent_strain_limit : greatest surface strain for good [-], positive, below 0.2; None where there is no basis
    forming_strain_limit : the same on the day of bending [-]; keep the two apart
    span_modulus : in tension and compression along the span [Pa], across the direction it is bent in: the skins of a
        hollow part that bends along its span stretch and shorten
    shear_modulus : in the plane of the sheet [Pa], for torsion and for a framed sheet
    span_bending_modulus : in bending along the span [Pa], for pressing in and buckling of a framed sheet; None where it
        is that in tension. For plywood it is not: there the outer veneers count most
    strength : at which it breaks in bending [Pa], for metals the minimum yield
    stock_thicknesses : as sold [m]
    thickness_tolerance : (absolute [m], relative [-]), plus or minus absolute + relative * thickness; None if unknown
    modulus_table, span_table, span_bending_table, permanent_table, forming_table, strength_table : where the quantity
        changes with thickness, ((thickness [m], value), ...) with rising thickness. The plain field is then the value
        used where no thickness is named (a limit: the lowest), and `modulus_at` and its kin read the table
    grain : words on how the sheet lies
    sources, bases : by quantity, a text and one of `BASES`

    None of the moduli is worked out from another, nor follows a changed one.

    >>> from panelmech import catalogue
    >>> mine = catalogue["glass-epoxy laminate, lengthwise"].with_own("strip from my sheet", modulus=21.4e9)
    >>> mine.modulus_at(0.002), mine.basis_of("modulus")
    (21400000000.0, ('user', 'strip from my sheet'))
    """

    name: str
    modulus: float
    poisson: float
    density: float
    permanent_strain_limit: float | None
    forming_strain_limit: float | None
    source: str
    _: KW_ONLY
    span_modulus: float | None = None
    shear_modulus: float | None = None
    span_bending_modulus: float | None = None
    strength: float | None = None
    stock_thicknesses: tuple = ()
    thickness_tolerance: tuple | None = None
    modulus_table: tuple | None = None
    span_table: tuple | None = None
    span_bending_table: tuple | None = None
    permanent_table: tuple | None = None
    forming_table: tuple | None = None
    strength_table: tuple | None = None
    grain: str = ""
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    TEXTS = ("name", "source", "grain")
    MODULI = ("modulus", "span_modulus", "shear_modulus", "span_bending_modulus")
    # fmt: off
    ROWS = (
        Property("modulus", "modulus along the chord", "GPa", _MODULI, "modulus_table", needed=True, noted=1),
        Property("span_modulus", "modulus along the span", "GPa", _MODULI, "span_table", noted=2),
        Property("span_bending_modulus", "modulus in bending along the span", "GPa", _MODULI, "span_bending_table"),
        Property("shear_modulus", "shear modulus in its plane", "GPa", _MODULI, noted=3),
        _POISSON,
        _DENSITY,
        _limit("permanent_strain_limit", "strain limit, for good", "permanent_table", 7),
        _limit("forming_strain_limit", "strain limit, while forming", "forming_table", 6),
        Property("strength", "strength in bending", "MPa", _STRENGTHS, "strength_table"),
        Property("stock_thicknesses", "thicknesses as sold", "mm", THICKNESSES, shape="list"),
        Property("thickness_tolerance", "thickness tolerance, ±", "mm", (0.0, 0.1), shape="pair", noted=8),
    )
    # fmt: on

    def _check_fit(self):
        """Poisson's ratio against the moduli in bending, where their tables turn: between, they run straight."""
        tables = (self.modulus_table, self.span_table, self.span_bending_table)
        t = np.array(sorted({row[0] for table in tables for row in table or ()}) or [1e-3])
        chord, span = self.modulus_at(t), self.span_bending_at(t)
        left = complement(chord, span, self.poisson)
        if np.any(left <= 0.0):
            worst = int(np.nanargmin(left))
            self.refuse("poisson", goes_with(float(chord[worst]), float(span[worst])))

    def modulus_at(self, thickness):
        """Modulus along the chord [Pa] at a sheet thickness [m], float or array: see `at`."""
        return self.at("modulus", thickness)

    def span_modulus_at(self, thickness):
        """Modulus in tension and compression along the span [Pa]; nan without a basis, else as `modulus_at`."""
        return self.at("span_modulus", thickness)

    def span_bending_at(self, thickness):
        """Modulus in bending along the span [Pa]: `span_modulus_at` where no other is given, else as `modulus_at`."""
        return self.at("span_modulus" if self.span_bending_modulus is None else "span_bending_modulus", thickness)

    def shear_modulus_at(self, thickness):
        """Shear modulus in the plane of the sheet [Pa], the same at every thickness; nan as `span_modulus_at`."""
        return self.at("shear_modulus", thickness)

    def forming_limit_at(self, thickness):
        """Short-term forming limit on surface strain [-]; nan without a basis, else as `modulus_at`."""
        return self.at("forming_strain_limit", thickness)

    def permanent_limit_at(self, thickness):
        """Permanent limit on surface strain [-]; nan without a basis, else as `modulus_at`."""
        return self.at("permanent_strain_limit", thickness)

    def strength_at(self, thickness):
        """Bending strength [Pa]; nan where it is not known, else as `modulus_at`."""
        return self.at("strength", thickness)

    def tolerance_at(self, thickness):
        """Tolerance, plus or minus [m], at a nominal thickness [m], float or array; nan if unknown."""
        return self.at("thickness_tolerance", thickness)

    def at_nominal(self, thickness):
        """The same stock with what it tabulates read at its nominal thickness [m] and so kept at any other, as parts
        have it whose sheets are a little off; what is not known there stays as it is."""
        read = {name: float(self.at(name, thickness)) for name, table in self.TABLES.items() if getattr(self, table)}
        known = {name: value for name, value in read.items() if math.isfinite(value)}
        changes: dict = {**known, **{self.TABLES[name]: None for name in known}}
        return replace(self, **changes)

    def table_range(self, quantity):
        """(least, greatest) thickness [m] for which a quantity is known; None where there is no table.

        quantity: "modulus", "span_modulus", "span_bending_modulus", "permanent_strain_limit", "forming_strain_limit"
        or "strength".
        """
        if quantity not in self.TABLES:
            raise ValueError(f"no quantity {quantity!r} depends on thickness; allowed: {', '.join(self.TABLES)}")
        table = getattr(self, self.TABLES[quantity])
        return None if table is None else (table[0][0], table[-1][0])

    def why_unknown(self, quantity, thickness):
        """In words why a quantity is nan at this one thickness [m]; "" where it is known.

        quantity: as for `table_range`, or "shear_modulus".
        """
        limits = None if quantity == "shear_modulus" else self.table_range(quantity)
        words = quantity.replace("_", " ")
        if math.isfinite(self.at(quantity, float(thickness))):
            return ""
        if not (math.isfinite(thickness) and thickness > 0):
            return f"the sheet thickness is {show_input(thickness, 'mm', 4)}; give a positive one"
        if limits is None:
            return f"{self.name} has no {words}: {self.basis_of(quantity)[1]}"
        return (
            f"{words} of {self.name} is known from {show_input(limits[0], 'mm', 4)} to "
            f"{show_input(limits[1], 'mm', 4)} only, not extrapolated to {show_input(thickness, 'mm', 4)}; take "
            "another thickness or enter a measured value"
        )


@dataclass(frozen=True)
class Adhesive(Record):
    """An adhesive for the land. Raises ValueError as `Sheet` does.

    name, source : texts
    toughness : opening (mode I) fracture energy [J/m2], None where not known
    shear_strength, tensile_strength, modulus : [Pa], None where not known
    neat_systems, thickened_systems : names of the resin systems that are this adhesive, as they are mixed, or with
        filler stirred in; the usual one first
    sources, bases : by quantity, a text and one of `BASES`

    >>> from panelmech import Adhesive
    >>> mine = Adhesive("from the tin", 300.0, "peel test on my own sheet")
    >>> mine.toughness, mine.basis_of("shear_strength")[0]
    (300.0, 'no basis')
    """

    name: str
    toughness: float | None
    source: str
    _: KW_ONLY
    shear_strength: float | None = None
    tensile_strength: float | None = None
    modulus: float | None = None
    neat_systems: tuple = ()
    thickened_systems: tuple = ()
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    ROWS = (
        Property("toughness", "toughness, opening", "J/m2", (0.1, 1e6), noted=1),
        Property("modulus", "modulus", "GPa", (1e4, 2e12)),
        Property("tensile_strength", "tensile strength", "MPa", (1e3, 2e10)),
        Property("shear_strength", "shear strength", "MPa", (1e3, 2e10)),
        Property("neat_systems", "mixed, nothing stirred in, from", "", shape="names"),
        Property("thickened_systems", "mixed, with filler, from", "", shape="names"),
    )


@dataclass(frozen=True)
class Spacer(Record):
    """Round stock for the spacer. Raises ValueError as `Sheet` does.

    name, source : texts
    modulus : along it [Pa]
    poisson : 0 to below 0.5 [-]
    density : [kg/m3]
    strength : in bending [Pa], for metals the minimum yield; None where not known
    diameters, walls : as sold [m]; no walls for solid rod
    sources, bases : by quantity, a text and one of `BASES`

    >>> from panelmech import catalogue
    >>> from panelmech.units import show
    >>> [show(d, "mm", 3) for d in catalogue.spacers["glass-epoxy tube, pultruded"].diameters[:4]]
    ['8.00 mm', '10.0 mm', '12.0 mm', '14.0 mm']
    """

    name: str
    modulus: float
    poisson: float
    density: float
    source: str
    _: KW_ONLY
    strength: float | None = None
    diameters: tuple = ()
    walls: tuple = ()
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    ROWS = (
        _MODULUS,
        _POISSON,
        _DENSITY,
        _STRENGTH,
        Property("diameters", "diameters as sold", "mm", THICKNESSES, shape="list"),
        Property("walls", "walls as sold", "mm", THICKNESSES, shape="list"),
    )

    def _check_fit(self):
        if self.walls and self.diameters and 2 * max(self.walls) > max(self.diameters):
            self.refuse("walls", "walls of at most half the largest diameter")


@dataclass(frozen=True)
class Resin(Record):
    """A cured potting resin. Raises ValueError as `Sheet` does.

    name, source : texts
    modulus : [Pa]
    poisson : 0 to below 0.5 [-]
    density : [kg/m3]
    systems : names of the resin systems that cure to it; the usual one for potting first
    sources, bases : by quantity, a text and one of `BASES`

    >>> from panelmech import catalogue
    >>> from panelmech.units import show
    >>> [show(resin.density, "kg/m3", 3) for resin in catalogue.resins.values()]
    ['1110 kg/m³', '1300 kg/m³', '700 kg/m³']
    """

    name: str
    modulus: float
    poisson: float
    density: float
    source: str
    _: KW_ONLY
    systems: tuple = ()
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    ROWS = (_MODULUS, _POISSON, _DENSITY, Property("systems", "poured from", "", shape="names"))
