"""Stock records to and from plain entries: dicts of numbers, texts and lists with the unit in every key name.

The same form stands in the catalogue's files, in a user's own file and inside a study file, so all three pass
the same checks: unknown keys, wrong types, nan, and values that betray a wrong unit are refused with a message
that names the entry and the key. Plain data only; nothing in an entry is ever run.

Going out and coming back gives the very same record. A number is written in its usual unit where the decimal
shift leads back to the same float, else under the same key in SI (modulus_pa for modulus_gpa).
"""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Context, Decimal
from math import nextafter

from ._record_checks import BASES, TABLED, is_number, quantity_of
from .records import Adhesive, Resin, Sheet, Spacer
from .resin_system import ResinSystem

# ----- Which keys an entry may have, in which units, and how numbers cross between those units and SI.
#
# One table, `SCHEMAS`, from which reading and writing both work.


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


# ----- Stock records to and from plain entries: dicts of numbers, texts and lists with the unit in every key name.


class EntryError(ValueError):
    """An entry that cannot be taken; the text names the entry, the key, what came in and what is allowed."""


def to_entry(record):
    """A record as a plain dict with units in the key names, ready for JSON or TOML; see the module's text.

    EntryError where a value lies outside the plausible range, so that what was written can be read again.
    """
    kind = type(record)
    entry = {key: getattr(record, key) for key in TEXTS.get(kind, ("name", "source"))}
    if not entry.get("grain", "x"):
        del entry["grain"]
    for item in SCHEMAS[kind]:
        value = _field_value(record, item.field)
        if value is not None and value != ():
            key, entered = in_units(item, value)
            _check_range(item, key, value, _label(kind, record.name))
            entry[key] = entered
    stated = [q for q in record.QUANTITIES if q in record.sources or q in record.bases]
    if stated:
        entry["sources"] = {q: _note(record, q) for q in stated}
    return entry


def from_entry(kind, entry, name=None, base=None):
    """A record of a kind (Sheet, Adhesive, Spacer, Resin, ResinSystem) from an entry.

    name: for entries that stand under their name in a mapping. base: a record that lends everything the entry
    does not give; then what the entry does give has basis "user" unless it states its own. EntryError (a
    ValueError) for anything that is not allowed.
    """
    label = _label(kind, name if name is not None else "?")
    if not isinstance(entry, Mapping):
        raise EntryError(f"{label} is {entry!r}; give a table of keys and values")
    name = entry.get("name", name) if name is None else name
    label = _label(kind, name)
    _check_keys(kind, entry, label)
    values = _texts(kind, entry, name, label)
    values.update(_quantities(kind, entry, label, complete=base is None))
    notes = _notes(kind, entry.get("sources", {}), label)
    try:
        return _build(kind, values, notes) if base is None else _overlay(base, values, notes)
    except EntryError:
        raise
    except ValueError as error:
        raise EntryError(str(error)) from None


def _build(kind, values, notes):
    fields = {"source": ""} | values
    for name in ("permanent_strain_limit", "forming_strain_limit") if kind is Sheet else ():
        fields.setdefault(name, None)
    if kind is Adhesive:
        fields.setdefault("toughness", None)
    return kind(
        **fields,
        sources={q: note["text"] for q, note in notes.items() if "text" in note},
        bases={q: note["basis"] for q, note in notes.items() if "basis" in note},
    )


def _overlay(base, values, notes):
    text = values.get("source") or "the user's own value"
    sources, bases = dict(base.sources), dict(base.bases)
    for quantity in {quantity_of(name) for name in values} & set(base.QUANTITIES) | set(notes):
        note = {"basis": "user", "text": text} | notes.get(quantity, {})
        sources[quantity], bases[quantity] = note["text"], note["basis"]
    for quantity, table in TABLED.items():
        if table in values and quantity not in values:
            raise EntryError(
                f"{_label(type(base), base.name)}: {table} is given without {quantity}; give {quantity} too, "
                "the value used where no thickness is named"
            )
    return base.with_own(**values | {"sources": sources, "bases": bases})


def _label(kind, name):
    return f"{kind.__name__.lower()} {name!r}"


def _field_value(record, field):
    if field.startswith("tolerance_"):
        pair = record.thickness_tolerance
        return None if pair is None else pair[field == "tolerance_rel"]
    return getattr(record, field)


def _note(record, quantity):
    note = {}
    if quantity in record.bases:
        note["basis"] = record.bases[quantity]
    if quantity in record.sources:
        note["text"] = record.sources[quantity]
    return note


# -- reading ------------------------------------------------------------------------------------------------


def _check_keys(kind, entry, label):
    known = [*TEXTS.get(kind, ("name", "source")), "sources"]
    for item in SCHEMAS[kind]:
        known += item.keys()
    for key in entry:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, n=3) or known
            raise EntryError(f"{label}: key {key!r} is not known; did you mean {' or '.join(near)}?")


def _texts(kind, entry, name, label):
    values = {}
    for key in TEXTS.get(kind, ("name", "source")):
        if key in entry:
            values[key] = entry[key]
            if not isinstance(entry[key], str):
                raise EntryError(f"{label}: {key} is {entry[key]!r}; give a text")
    if "name" in entry and entry["name"] != name:
        raise EntryError(f"{label}: the entry calls itself {entry['name']!r}; give one name")
    if name is None:
        raise EntryError(f"{label}: there is no name; give one")
    return values | {"name": name}


def _quantities(kind, entry, label, complete):
    values = {}
    for item in SCHEMAS[kind]:
        given = [key for key in item.keys() if key in entry]
        if len(given) > 1:
            raise EntryError(f"{label}: both {given[0]} and {given[1]} are given; give one of them")
        if given:
            values[item.field] = _read_item(item, given[0], entry[given[0]], label)
        elif item.required and complete:
            raise EntryError(f"{label}: {next(iter(item.keys()))} is missing; give it")
    pair = values.pop("tolerance_abs", None), values.pop("tolerance_rel", None)
    if pair != (None, None):
        if None in pair:
            raise EntryError(f"{label}: give tolerance_abs_mm and tolerance_rel_percent together; one may be 0")
        values["thickness_tolerance"] = pair
    return values


def _notes(kind, notes, label):
    if not isinstance(notes, Mapping):
        raise EntryError(f"{label}: sources is {notes!r}; give a table of quantity to basis and text")
    for quantity, note in notes.items():
        where = f"{label}: sources of {quantity!r}"
        if quantity not in kind.QUANTITIES:
            raise EntryError(f"{where}: no such quantity; allowed: {', '.join(kind.QUANTITIES)}")
        if not isinstance(note, Mapping) or not set(note) <= {"basis", "text"} or not note:
            raise EntryError(f"{where} is {note!r}; give basis and text")
        if "basis" in note and note["basis"] not in BASES:
            raise EntryError(f"{where}: basis is {note['basis']!r}; give one of: {', '.join(BASES)}")
        if not isinstance(note.get("text", ""), str):
            raise EntryError(f"{where}: text is {note['text']!r}; give a text")
    return notes


def _read_item(item, key, entered, label):
    powers = item.keys()[key]
    _check_shape(item, key, entered, label)
    if item.shape == "number":
        value = to_si(entered, powers[0])
    elif item.shape == "list":
        value = tuple(to_si(v, powers[0]) for v in entered)
    else:
        value = tuple(tuple(to_si(v, p) for v, p in zip(row, powers, strict=True)) for row in entered)
    _check_range(item, key, value, label)
    return value


def _check_shape(item, key, entered, label):
    if item.shape == "number":
        sound, allowed = is_number(entered), "a finite number"
    elif item.shape == "list":
        sound, allowed = _is_list(entered) and all(map(is_number, entered)), "a list of finite numbers"
    else:
        rows = entered if _is_list(entered) else [None]
        sound = all(_is_list(row) and len(row) == 2 and all(map(is_number, row)) for row in rows)
        allowed = "a list of rows [thickness, value] of finite numbers"
    if not sound:
        raise EntryError(f"{label}: {key} is {entered!r}; give {allowed}")


def _is_list(value):
    return isinstance(value, (list, tuple))


def _check_range(item, key, value, label):
    columns = {"number": [(value,)], "list": [value]}.get(item.shape) or list(zip(*value, strict=True))
    powers = item.keys().get(key) or (0,) * len(columns)
    ranges = [(item.low, item.high)] if item.shape != "table" else [THICKNESSES, (item.low, item.high)]
    for column, power, (low, high) in zip(columns, powers, ranges, strict=True):
        for v in column:
            if not low <= v <= high:
                entered, low, high = (shown(bound, power) for bound in (v, low, high))
                raise EntryError(
                    f"{label}: {key} is {entered:.6g}; a plausible value lies between {low:g} and {high:g}; "
                    "mind the unit"
                )
