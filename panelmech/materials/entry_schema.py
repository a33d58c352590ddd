"""Which keys an entry may have, in which units, and how numbers cross between those units and SI.

One table, `SCHEMAS`, from which reading and writing both work.
"""

from dataclasses import dataclass
from decimal import Context, Decimal
from math import nextafter

from .records import Adhesive, Resin, Sheet, Spacer
from .resin_system import ResinSystem

_EXACT = Context(prec=60)


@dataclass(frozen=True)
class Scale:
    """A unit that is no power of ten of SI: SI value = shown value * factor + offset."""

    factor: int = 1
    offset: str = "0"


@dataclass(frozen=True)
class Item:
    """One number, list or table of an entry: the field it fills and the keys it may stand under.

    units: (suffix of the key, power of ten or Scale to SI) per column, the usual unit first, SI last. low, high: the
    plausible range of the value in SI, wide enough for any real stuff, narrow enough to catch a wrong unit.
    """

    field: str
    low: float
    high: float
    units: tuple = (("", (0,)),)
    shape: str = "number"
    required: bool = False

    def keys(self):
        """{key: powers of ten to SI}, the usual unit first."""
        return {self.field + suffix: powers for suffix, powers in self.units}


def _one(usual, power, si):
    return ((f"_{usual}", (power,)), (f"_{si}", (0,)))


_MINUTES = (("_min", (Scale(60),)), ("_h", (Scale(3600),)), ("_s", (0,)))
_CELSIUS = (("_c", (Scale(offset="273.15"),)), ("_k", (0,)))


def _time(field, high=4e6):
    return Item(field, 10.0, high, _MINUTES)


def _over_thickness(usual, power, si):
    return ((f"_mm_{usual}", (-3, power)), (f"_m_{si}", (0, 0)))


THICKNESSES = (1e-6, 0.5)
_STRAIN = (1e-7, 0.2)
_GPA, _MPA = ("gpa", 9, "pa"), ("mpa", 6, "pa")
_PERCENT = ("percent", -2, "fraction")
_DENSITY = Item("density", 1.0, 3e4, (("_kg_m3", (0,)),), required=True)
_MODULI = (1e6, 2e12)
_MODULUS = Item("modulus", *_MODULI, _one(*_GPA), required=True)
_POISSON = Item("poisson", 0.0, 0.5, required=True)
_STRENGTH = Item("strength", 1e4, 2e10, _one(*_MPA))


def _lengths(field):
    return Item(field, *THICKNESSES, _one("mm", -3, "m"), "list")


def _tabled(field, limits, unit):
    return Item(field, *limits, _over_thickness(*unit), "table")


SCHEMAS = {
    Sheet: (
        _MODULUS,
        _tabled("modulus_table", _MODULI, _GPA),
        Item("span_modulus", *_MODULI, _one(*_GPA)),
        _tabled("span_table", _MODULI, _GPA),
        Item("span_bending_modulus", *_MODULI, _one(*_GPA)),
        _tabled("span_bending_table", _MODULI, _GPA),
        Item("shear_modulus", *_MODULI, _one(*_GPA)),
        _POISSON,
        _DENSITY,
        Item("permanent_strain_limit", *_STRAIN, _one(*_PERCENT)),
        _tabled("permanent_table", _STRAIN, _PERCENT),
        Item("forming_strain_limit", *_STRAIN, _one(*_PERCENT)),
        _tabled("forming_table", _STRAIN, _PERCENT),
        _STRENGTH,
        _tabled("strength_table", (1e4, 2e10), _MPA),
        _lengths("stock_thicknesses"),
        Item("tolerance_abs", 0.0, 0.1, _one("mm", -3, "m")),
        Item("tolerance_rel", 0.0, 1.0, _one(*_PERCENT)),
    ),
    Adhesive: (
        Item("toughness", 0.1, 1e6, (("_j_m2", (0,)),)),
        Item("modulus", 1e4, 2e12, _one(*_GPA)),
        Item("tensile_strength", 1e3, 2e10, _one(*_MPA)),
        Item("shear_strength", 1e3, 2e10, _one(*_MPA)),
    ),
    Spacer: (_MODULUS, _POISSON, _DENSITY, _STRENGTH, _lengths("diameters"), _lengths("walls")),
    Resin: (_MODULUS, _POISSON, _DENSITY),
    ResinSystem: (
        Item("weight_ratio", 0.05, 50.0),
        Item("volume_ratio", 0.05, 50.0),
        Item("ratio_tolerance", 1e-4, 0.5, _one(*_PERCENT)),
        *(Item(f"{part}_density", 300.0, 4000.0, (("_kg_m3", (0,)),)) for part in ("resin", "hardener", "mixed")),
        Item("rated_temperature", 258.15, 373.15, _CELSIUS),
        _time("pot_life"),
        Item("pot_life_mass", 1e-3, 20.0, (("_g", (-3,)), ("_kg", (0,)))),
        *(_time(name) for name in ResinSystem.TIMES[1:]),
        Item("lift_depth", 2e-4, 0.5, _one("mm", -3, "m")),
        Item("lowest_temperature", 253.15, 373.15, _CELSIUS),
        Item("glass_transition", 273.15, 573.15, _CELSIUS),
        Item("max_service", 273.15, 573.15, _CELSIUS),
    ),
}
TEXTS = {Sheet: ("name", "source", "grain")}


def to_si(value, power):
    """value * 10**power, correctly rounded: 2 and -3 give exactly the float 0.002. power may be a `Scale`."""
    exact = Decimal(repr(float(value)))
    if isinstance(power, Scale):
        return float(_EXACT.add(_EXACT.multiply(exact, Decimal(power.factor)), Decimal(power.offset)))
    return float(exact.scaleb(power, _EXACT))


def shown(value, power):
    """The number nearest to the one that `to_si` turns into value."""
    if isinstance(power, Scale):
        difference = _EXACT.subtract(Decimal(repr(float(value))), Decimal(power.offset))
        return float(_EXACT.divide(difference, Decimal(power.factor)))
    return to_si(value, -power)


def from_si(value, power):
    """The number that `to_si` turns into value, or None where there is none."""
    guess = shown(value, power)
    for candidate in (guess, nextafter(guess, -1.0), nextafter(guess, 2.0 * guess + 1.0)):
        if to_si(candidate, power) == value:
            return candidate
    return None


def in_units(item, value):
    """(key, value) in the first of the item's units that leads back to the very same SI value."""
    for key, powers in item.keys().items():
        if item.shape == "number":
            found = from_si(value, powers[0])
            complete = found is not None
        elif item.shape == "list":
            found = [from_si(v, powers[0]) for v in value]
            complete = None not in found
        else:
            found = [[from_si(v, p) for v, p in zip(row, powers, strict=True)] for row in value]
            complete = all(None not in row for row in found)
        if complete:
            return key, found
    raise AssertionError("the SI unit always leads back")
