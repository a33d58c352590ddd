"""Stock records to and from plain entries: tables of numbers, texts and lists with the unit in every key name.

The same form stands in the catalogue's files, in a user's own file and inside a study file, so all three pass
the same checks: unknown keys, wrong types, nan, and values that betray a wrong unit are refused with a message
that names the entry and the key. Plain data only; nothing in an entry is ever run.

Which keys an entry may have follows from the `ROWS` of the record. Going out and coming back gives the very same
record: a number is written in its usual unit where that leads back to the same float, else under the same key in SI
(modulus_pa for modulus_gpa).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from ..files import TEXT, Listed, Number, from_plain, named, required, to_plain
from .records import BASES, OWN_VALUE, THICKNESSES, Adhesive, Record, Resin, Sheet, Spacer
from .resin_system import ResinSystem

# Units a number may be given in, the usual one first, SI last; a unit that is not here stands alone.
_UNITS = {
    "GPa": ("GPa", "Pa"),
    "MPa": ("MPa", "Pa"),
    "%": ("%", "fraction"),
    "mm": ("mm", "m"),
    "g": ("g", "kg"),
    "min": ("min", "h", "s"),
    "degC": ("degC", "K"),
}
_TOLERANCES = {  # the two numbers of a pair
    "tolerance_abs": Number((("mm",), ("m",)), plausible=((0.0, 0.1),)),
    "tolerance_rel": Number((("%",), ("fraction",)), plausible=((0.0, 1.0),)),
}


class EntryError(ValueError):
    """An entry that cannot be taken; the text names the entry, the key, what came in and what is allowed."""


@dataclass(frozen=True)
class Notes:
    """Basis and text of every quantity of a kind of record, {quantity: {"basis": .., "text": ..}}."""

    kind: type[Record]

    def keys(self, name: str) -> dict:
        """As `files.Word.keys`."""
        return {name: ()}

    def write(self, name: str, record) -> tuple:
        """As `files.Word.write`, of the record itself; only what is stated."""
        stated = {"basis": record.bases, "text": record.sources}
        return name, {
            quantity: {word: notes[quantity] for word, notes in stated.items() if quantity in notes}
            for quantity in record.QUANTITIES
            if quantity in record.sources or quantity in record.bases
        }

    def read(self, plain, units: tuple, where: str) -> Mapping:
        """As `files.Word.read`."""
        if not isinstance(plain, Mapping):
            raise ValueError(f"{where} is {plain!r}: give a table of quantity to basis and text")
        for quantity, note in plain.items():
            here = f"{where} of {quantity!r}"
            if quantity not in self.kind.QUANTITIES:
                raise ValueError(f"{here}: no such quantity; allowed: {', '.join(self.kind.QUANTITIES)}")
            if not isinstance(note, Mapping) or not set(note) <= {"basis", "text"} or not note:
                raise ValueError(f"{here} is {note!r}: give basis and text")
            if "basis" in note and note["basis"] not in BASES:
                raise ValueError(f"{here}: basis is {note['basis']!r}: give one of {', '.join(BASES)}")
            TEXT.read(note.get("text", ""), (), f"{here}: text")
        return plain


def _kinds(row):
    """{field: how it stands in an entry} of one quantity."""
    if row.shape == "pair":
        return _TOLERANCES
    if row.shape == "names":
        return {row.name: Listed(TEXT)}
    units = [(unit,) for unit in _UNITS.get(row.unit, (row.unit,))]
    if row.shape == "list":
        return {row.name: Number(tuple(units), "list", (row.plausible,))}
    kinds = {row.name: Number(tuple(units), plausible=(row.plausible,))}
    if row.table:
        columns = zip(_UNITS["mm"], _UNITS[row.unit], strict=True)
        kinds[row.table] = Number(tuple(columns), "rows", (THICKNESSES, row.plausible))
    return kinds


ENTRIES = {
    kind: {
        **dict.fromkeys(kind.TEXTS, TEXT),
        **{name: number for row in kind.ROWS for name, number in _kinds(row).items()},
        "sources": Notes(kind),
    }
    for kind in (Sheet, Adhesive, Spacer, Resin, ResinSystem)
}


def to_entry(record):
    """A record as a plain dict with units in the key names, ready for JSON or TOML; see the module's text.

    EntryError where a value lies outside the plausible range, so that what was written can be read again.

    >>> from panelmech.materials import Resin, to_entry
    >>> to_entry(Resin("mine", 3.2e9, 0.35, 1150.0, "the maker's data sheet"))
    {'name': 'mine', 'source': "the maker's data sheet", 'modulus_gpa': 3.2, 'poisson': 0.35, 'density_kg_m3':
    1150.0}
    """
    pair = dict(zip(_TOLERANCES, getattr(record, "thickness_tolerance", None) or (None, None), strict=True))
    values = {name: pair.get(name, getattr(record, name, None)) for name in ENTRIES[type(record)]}
    values = {name: None if value == () else value for name, value in values.items()}
    values["sources"] = record if record.sources or record.bases else None
    values["grain"] = values.get("grain") or None
    return _told(lambda: named(record.label, lambda: to_plain(values, ENTRIES[type(record)])))


def from_entry(kind, entry, name=None, base=None):
    """A record of a kind (Sheet, Adhesive, Spacer, Resin, ResinSystem) from an entry.

    name: for entries that stand under their name in a mapping. base: a record that lends everything the entry
    does not give; then what the entry does give has basis "user" unless it states its own. EntryError (a
    ValueError) for anything that is not allowed.

    >>> from panelmech.materials import Sheet, from_entry
    >>> from panelmech.units import show
    >>> entry = {"modulus_gpa": 21.4, "poisson": 0.15, "density_kg_m3": 1800}
    >>> show(from_entry(Sheet, entry, "my laminate").modulus, "GPa", 3)
    '21.4 GPa'
    """
    return _told(lambda: _record(kind, entry, name, base))


def _told(make):
    try:
        return make()
    except ValueError as error:
        raise EntryError(str(error)) from None


def _record(kind, entry, name, base):
    own_name = entry.get("name", name) if isinstance(entry, Mapping) else name
    name = own_name if name is None else name
    label = f"{kind.__name__.lower()} {name or '?'!r}"
    needed = () if base is not None else [row.name for row in kind.ROWS if row.needed]
    values = from_plain(entry, ENTRIES[kind], label, needed)
    if own_name != name:
        raise ValueError(f"{label}: the entry calls itself {own_name!r}; give one name")
    if name is None:
        raise ValueError(f"{label}: there is no name; give one")
    values["name"], notes = name, values.pop("sources", {})
    pair = tuple(values.pop(part, None) for part in _TOLERANCES)
    if pair != (None, None):
        if None in pair:
            raise ValueError(f"{label}: give tolerance_abs_mm and tolerance_rel_percent together; one may be 0")
        values["thickness_tolerance"] = pair
    return _built(kind, values, notes) if base is None else _overlaid(base, values, notes)


def _built(kind, values, notes):
    unknown = {name: None for name in required(kind)}
    return kind(
        **unknown | {"source": ""} | values,
        sources={q: note["text"] for q, note in notes.items() if "text" in note},
        bases={q: note["basis"] for q, note in notes.items() if "basis" in note},
    )


def _overlaid(base, values, notes):
    text = values.get("source") or OWN_VALUE
    sources, bases = dict(base.sources), dict(base.bases)
    for quantity in {base.quantity_of(name) for name in values} & set(base.QUANTITIES) | set(notes):
        note = {"basis": "user", "text": text} | notes.get(quantity, {})
        sources[quantity], bases[quantity] = note["text"], note["basis"]
    for quantity, table in base.TABLES.items():
        if table in values and quantity not in values:
            raise ValueError(
                f"{base.label}: {table} is given without {quantity}; give {quantity} too, "
                "the value used where no thickness is named"
            )
    return base.with_own(**values | {"sources": sources, "bases": bases})
