"""Checks shared by the stock records: each names the record, the field, what came in, what is allowed."""

import itertools
import math
from collections.abc import Mapping
from numbers import Real

import numpy as np

BASES = ("published", "maker's guide", "derived", "common practice", "from memory", "user", "no basis")
TABLED = {
    "modulus": "modulus_table",
    "span_modulus": "span_table",
    "span_bending_modulus": "span_bending_table",
    "permanent_strain_limit": "permanent_table",
    "forming_strain_limit": "forming_table",
    "strength": "strength_table",
}
GREATEST_STRAIN_LIMIT = 0.2


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


def quantity_of(field_name):
    """The quantity a field belongs to: a table belongs to the quantity it tabulates."""
    return next((quantity for quantity, table in TABLED.items() if table == field_name), field_name)


def who(record):
    return f"{type(record).__name__.lower()} {record.name!r}"


def refuse(record, name, allowed):
    raise ValueError(f"{who(record)}: {name} is {getattr(record, name)!r}; give {allowed}")


def is_number(value):
    try:
        return isinstance(value, Real) and not isinstance(value, bool) and math.isfinite(float(value))
    except OverflowError:
        return False


def _set(record, name, value):
    object.__setattr__(record, name, value)


def number(record, name, low=0.0, high=math.inf, optional=False, low_allowed=False):
    value = getattr(record, name)
    if value is None and optional:
        return
    fits = is_number(value) and value < high and (value >= low if low_allowed else value > low)
    if not fits:
        bound = f"{'at least' if low_allowed else 'above'} {low:g}"
        bound += f" and below {high:g}" if high < math.inf else ", finite, in SI units"
        refuse(record, name, f"a number {bound}" + (", or None where there is no basis" if optional else ""))
    _set(record, name, float(value))


def elastic(record):
    number(record, "modulus")
    number(record, "poisson", high=0.5, low_allowed=True)
    number(record, "density")


def lengths(record, name):
    values = getattr(record, name)
    if isinstance(values, (str, Mapping)) or not np.iterable(values):
        refuse(record, name, "a list of lengths in metres")
    values = tuple(values)
    if not all(is_number(v) and v > 0 for v in values):
        refuse(record, name, "positive, finite lengths in metres")
    _set(record, name, tuple(float(v) for v in values))


def tolerance(record):
    pair = record.thickness_tolerance
    if pair is None:
        return
    allowed = "(absolute in metres, relative as a fraction below 1), neither negative, or None if unknown"
    pair = tuple(pair) if np.iterable(pair) else (pair,)
    if len(pair) != 2 or not all(is_number(v) and v >= 0 for v in pair) or pair[1] >= 1:
        refuse(record, "thickness_tolerance", allowed)
    _set(record, "thickness_tolerance", tuple(float(v) for v in pair))


def table_of(record, quantity, name, high):
    rows = getattr(record, name)
    if rows is None:
        return
    allowed = "at least two rows (thickness in metres, value in SI units), positive, thickness rising"
    try:
        rows = tuple(tuple(row) for row in rows)
    except TypeError:
        refuse(record, name, allowed)
    sound = len(rows) > 1 and all(len(row) == 2 and all(is_number(v) and v > 0 for v in row) for row in rows)
    if not sound or any(b[0] <= a[0] for a, b in itertools.pairwise(rows)):
        refuse(record, name, allowed)
    values = [row[1] for row in rows]
    if max(values) >= high:
        refuse(record, name, f"values below {high:g}")
    plain = getattr(record, quantity)
    if plain is None or not min(values) <= plain <= max(values):
        refuse(record, quantity, f"a value within those of {name}, {min(values):g} to {max(values):g}")
    _set(record, name, tuple((float(t), float(v)) for t, v in rows))


def notes_of(record, name):
    notes = getattr(record, name)
    if not isinstance(notes, Mapping):
        refuse(record, name, "a mapping of quantity to text")
    for quantity, text in notes.items():
        if quantity not in record.QUANTITIES:
            raise ValueError(f"{who(record)}: {name} names {quantity!r}; allowed: {', '.join(record.QUANTITIES)}")
        if not isinstance(text, str) or (name == "bases" and text not in BASES):
            allowed = f"one of: {', '.join(BASES)}" if name == "bases" else "a text"
            raise ValueError(f"{who(record)}: {name} of {quantity} is {text!r}; give {allowed}")
        if text == "no basis" and name == "bases" and getattr(record, quantity) not in (None, ()):
            raise ValueError(f"{who(record)}: {quantity} has a value, so its basis cannot be 'no basis'")
    _set(record, name, ReadOnlyMap(notes))
