"""Frozen records of what the shop buys: Sheet, Adhesive, Spacer, Resin (public through `materials`).

Everything in SI. A value that nobody could source is None, never a guess: what is built on it is then
"unknown". Every record tells for each of its quantities on what basis it stands (`basis_of`); where a value
is worked out from several figures it carries the weakest basis among them.
"""

import math
from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace

import numpy as np

from ._record_checks import (
    GREATEST_STRAIN_LIMIT,
    TABLED,
    ReadOnlyMap,
    elastic,
    lengths,
    notes_of,
    number,
    quantity_of,
    refuse,
    table_of,
    tolerance,
    who,
)

# ----- The common part of the stock records: on what basis each quantity stands, and copies with own values.


class Record:
    """What all four stock records share: a name, a source, and the basis of each quantity."""

    QUANTITIES = ()

    def basis_of(self, quantity):
        """(basis, source text) of one quantity; basis is one of `BASES`.

        A quantity for which nothing was stated rests on the record's own `source`, basis "user"; one that has
        no value is always "no basis". ValueError for a name that is no quantity of this record.
        """
        if quantity not in self.QUANTITIES:
            allowed = ", ".join(self.QUANTITIES)
            raise ValueError(f"{who(self)} has no quantity {quantity!r}; allowed: {allowed}")
        value, basis = getattr(self, quantity), self.bases.get(quantity)
        if value is None or value == ():
            text = self.sources.get(quantity) if basis == "no basis" else None
            return "no basis", text or "no value is given"
        return basis or "user", self.sources.get(quantity, self.source or "no source is stated")

    def with_own(self, source="the user's own value", **changes):
        """A copy with the user's own values [SI, by field name], each with basis "user" and the text `source`.

        A value given for a quantity that has a table over thickness takes the place of the table.
        """
        sources, bases = dict(self.sources), dict(self.bases)
        for name in list(changes):
            quantity = quantity_of(name)
            if quantity in self.QUANTITIES:
                sources[quantity], bases[quantity] = source, "user"
            if name in TABLED and hasattr(self, TABLED[name]):
                changes.setdefault(TABLED[name], None)
        return replace(self, **{"sources": sources, "bases": bases} | changes)

    def _check_common(self):
        for name in ("name", "source"):
            if not isinstance(getattr(self, name), str):
                refuse(self, name, "a text")
        if not self.name.strip():
            refuse(self, "name", "a text that is not empty")

    def _check_notes(self):
        for name in ("sources", "bases"):
            notes_of(self, name)


# ----- Frozen records of what the shop buys: Sheet, Adhesive, Spacer, Resin (public through `materials`).


_TABLE_END_SLACK = 1e-9  # relative; lets 3.6 * 1e-3 count as 3.6 mm at the end of a table


@dataclass(frozen=True)
class Sheet(Record):
    """A kind of sheet stock, in the direction it is bent in.

    name, source: text. modulus [Pa] in bending along the chord. poisson [-] 0 to below 0.5; for a sheet that
    differs along and across, poisson squared should equal the product of the two ratios. density [kg/m3].
    permanent_strain_limit, forming_strain_limit: greatest surface strain [-] for good, and on the day of
    bending; positive and below 0.2, or None where there is no basis. Keep the two apart.

    Optional: span_modulus [Pa], of the sheet in tension and compression along the span, that is across the
    direction it is bent in: the skins of a hollow part that bends along its span stretch and shorten. For
    plywood that is another value than in bending, where the outer veneers count most: span_bending_modulus [Pa],
    for pressing in and buckling of a framed sheet; None where it is the same. shear_modulus [Pa], in the plane of
    the sheet, for torsion and for a framed sheet. None is worked out from modulus here, nor follows a changed one.
    strength [Pa], at which it breaks in bending, for metals the minimum yield; stock_thicknesses [m];
    thickness_tolerance (absolute [m], relative [-]), plus or minus absolute + relative * thickness, None if
    unknown; grain, words on how the sheet lies. Where a quantity changes with thickness it has a table of
    ((thickness [m], value), ...) with rising thickness in modulus_table, span_table, span_bending_table,
    permanent_table, forming_table or strength_table. The plain field is then the value used where no thickness
    is named (a limit: the lowest), and `modulus_at` and its kin read the table. sources and bases: by quantity, a
    text and one of `BASES`.

    Raises ValueError for a wrong type, a value that is not finite or out of range, an unknown basis.
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

    QUANTITIES = (
        "modulus",
        "span_modulus",
        "span_bending_modulus",
        "shear_modulus",
        "poisson",
        "density",
        "permanent_strain_limit",
        "forming_strain_limit",
        "strength",
        "stock_thicknesses",
        "thickness_tolerance",
    )

    def __post_init__(self):
        self._check_common()
        elastic(self)
        if not isinstance(self.grain, str):
            refuse(self, "grain", "a text")
        for name in ("permanent_strain_limit", "forming_strain_limit"):
            number(self, name, high=GREATEST_STRAIN_LIMIT, optional=True)
        for name in ("span_modulus", "span_bending_modulus", "shear_modulus", "strength"):
            number(self, name, optional=True)
        lengths(self, "stock_thicknesses")
        tolerance(self)
        for quantity, table in TABLED.items():
            high = GREATEST_STRAIN_LIMIT if "limit" in quantity else math.inf
            table_of(self, quantity, table, high)
        self._check_notes()

    def modulus_at(self, thickness):
        """Modulus along the chord [Pa] at a sheet thickness [m], float or array of any shape.

        Never raises for a number: nan marks a thickness outside `table_range("modulus")`, or one that is not
        positive; `why_unknown` says which. Between two rows of a table the value runs straight in the
        logarithms of thickness and value.
        """
        return self._at("modulus", thickness)

    def span_modulus_at(self, thickness):
        """Modulus in tension and compression along the span [Pa]; nan without a basis, else as `modulus_at`."""
        return self._at("span_modulus", thickness)

    def span_bending_at(self, thickness):
        """Modulus in bending along the span [Pa]: `span_modulus_at` where no other is given, else as `modulus_at`."""
        return self._at("span_modulus" if self.span_bending_modulus is None else "span_bending_modulus", thickness)

    def shear_modulus_at(self, thickness):
        """Shear modulus in the plane of the sheet [Pa], the same at every thickness; nan as `span_modulus_at`."""
        return self._at("shear_modulus", thickness)

    def forming_limit_at(self, thickness):
        """Short-term forming limit on surface strain [-]; nan without a basis, else as `modulus_at`."""
        return self._at("forming_strain_limit", thickness)

    def permanent_limit_at(self, thickness):
        """Permanent limit on surface strain [-]; nan without a basis, else as `modulus_at`."""
        return self._at("permanent_strain_limit", thickness)

    def strength_at(self, thickness):
        """Bending strength [Pa]; nan where it is not known, else as `modulus_at`."""
        return self._at("strength", thickness)

    def tolerance_at(self, thickness):
        """Tolerance, plus or minus [m], at a nominal thickness [m], float or array; nan if unknown."""
        absolute, relative = self.thickness_tolerance or (math.nan, math.nan)
        out = absolute + relative * np.asarray(thickness, dtype=float)
        return out if np.ndim(thickness) else float(out)

    def table_range(self, quantity):
        """(least, greatest) thickness [m] for which a quantity is known; None where there is no table.

        quantity: "modulus", "span_modulus", "span_bending_modulus", "permanent_strain_limit", "forming_strain_limit"
        or "strength".
        """
        if quantity not in TABLED:
            raise ValueError(f"no quantity {quantity!r} depends on thickness; allowed: {', '.join(TABLED)}")
        table = getattr(self, TABLED[quantity])
        return None if table is None else (table[0][0], table[-1][0])

    def why_unknown(self, quantity, thickness):
        """In words why a quantity is nan at this one thickness [m]; "" where it is known.

        quantity: as for `table_range`, or "shear_modulus".
        """
        limits = None if quantity == "shear_modulus" else self.table_range(quantity)
        words = quantity.replace("_", " ")
        if math.isfinite(self._at(quantity, float(thickness))):
            return ""
        if not (math.isfinite(thickness) and thickness > 0):
            return f"the sheet thickness is {thickness * 1e3:.4g} mm; give a positive one"
        if limits is None:
            return f"{self.name} has no {words}: {self.basis_of(quantity)[1]}"
        return (
            f"{words} of {self.name} is known from {limits[0] * 1e3:.4g} to {limits[1] * 1e3:.4g} mm only, "
            f"not extrapolated to {thickness * 1e3:.4g} mm; take another thickness or enter a measured value"
        )

    def _at(self, quantity, thickness):
        value, table = getattr(self, quantity), getattr(self, TABLED.get(quantity, ""), None)
        t = np.asarray(thickness, dtype=float)
        usable = np.isfinite(t) & (t > 0)
        safe = np.where(usable, t, 1.0)
        if table is None:
            out = np.where(usable, math.nan if value is None else value, math.nan)
        else:
            rows = np.array(table)
            low, high = rows[0, 0] * (1 - _TABLE_END_SLACK), rows[-1, 0] * (1 + _TABLE_END_SLACK)
            inside = usable & (safe >= low) & (safe <= high)
            straight = np.exp(np.interp(np.log(safe), np.log(rows[:, 0]), np.log(rows[:, 1])))
            out = np.where(inside, straight, math.nan)
        return out if t.ndim else float(out)


@dataclass(frozen=True)
class Adhesive(Record):
    """An adhesive for the land. toughness [J/m2]: opening (mode I) fracture energy, None where not known.

    Optional: shear_strength, tensile_strength, modulus [Pa]. Raises ValueError as `Sheet` does.
    """

    name: str
    toughness: float | None
    source: str
    _: KW_ONLY
    shear_strength: float | None = None
    tensile_strength: float | None = None
    modulus: float | None = None
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    QUANTITIES = ("toughness", "modulus", "tensile_strength", "shear_strength")

    def __post_init__(self):
        self._check_common()
        for name in self.QUANTITIES:
            number(self, name, optional=True)
        self._check_notes()


@dataclass(frozen=True)
class Spacer(Record):
    """Round stock for the spacer: modulus [Pa] along it, poisson [-], density [kg/m3].

    Optional: strength [Pa] in bending, for metals the minimum yield; stock diameters [m]; stock walls [m],
    none for solid rod. Raises ValueError as `Sheet` does.
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

    QUANTITIES = ("modulus", "poisson", "density", "strength", "diameters", "walls")

    def __post_init__(self):
        self._check_common()
        elastic(self)
        number(self, "strength", optional=True)
        lengths(self, "diameters")
        lengths(self, "walls")
        if self.walls and self.diameters and 2 * max(self.walls) > max(self.diameters):
            refuse(self, "walls", "walls of at most half the largest diameter, in metres")
        self._check_notes()


@dataclass(frozen=True)
class Resin(Record):
    """A cured potting resin: modulus [Pa], poisson [-], density [kg/m3]. ValueError as `Sheet`."""

    name: str
    modulus: float
    poisson: float
    density: float
    source: str
    _: KW_ONLY
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    QUANTITIES = ("modulus", "poisson", "density")

    def __post_init__(self):
        self._check_common()
        elastic(self)
        self._check_notes()
