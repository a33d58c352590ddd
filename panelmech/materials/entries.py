"""Stock records to and from plain entries: dicts of numbers, texts and lists with the unit in every key name.

The same form stands in the catalogue's files, in a user's own file and inside a study file, so all three pass
the same checks: unknown keys, wrong types, nan, and values that betray a wrong unit are refused with a message
that names the entry and the key. Plain data only; nothing in an entry is ever run.

Going out and coming back gives the very same record. A number is written in its usual unit where the decimal
shift leads back to the same float, else under the same key in SI (modulus_pa for modulus_gpa).
"""

import difflib
from collections.abc import Mapping

from ._record_checks import BASES, TABLED, is_number, quantity_of
from .entry_schema import SCHEMAS, TEXTS, THICKNESSES, in_units, shown, to_si
from .records import Adhesive, Sheet


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
