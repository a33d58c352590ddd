"""Sheet stock, adhesives, spacers and resins: the catalogue, and the user's own entries over it.

`catalogue` holds what comes with the package, from `data/*.toml`; every value there has a source and a basis.
`catalogue.with_entries(path)` gives a new catalogue in which the user's own entries override or add. A file of
own entries looks like the package's own:

    [sheets."glass-epoxy laminate, lengthwise"]     # a known name: only what differs need be given
    modulus_gpa = 21.4
    source = "strip from my sheet, three-point bending"

    [sheets."my laminate"]                          # a new name: modulus, Poisson's ratio and density at least
    modulus_gpa = 19.0
    poisson = 0.15
    density_kg_m3 = 1800
    permanent_strain_limit_percent = 0.2
    span_modulus_gpa = 17.0                         # may be left out: then bending along the span is unknown
    shear_modulus_gpa = 4.0                         # may be left out: then torsion is unknown
    span_bending_modulus_gpa = 16.0                 # may be left out: then bending is as tension (plywood: it is not)

    [resin_systems."my casting resin"]              # what the data sheet says; what it does not say is left out
    weight_ratio = 2.2                              # parts of resin to one part of hardener
    rated_temperature_c = 23
    pot_life_min = 90                               # or pot_life_h
    lift_depth_mm = 25
"""

import difflib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from os import PathLike, fspath

from ..files import named, text_of
from .entries import EntryError, from_entry, to_entry
from .records import BASES, Adhesive, ReadOnlyMap, Resin, Sheet, Spacer
from .resin_system import ResinSystem

__all__ = [
    "BASES",
    "Adhesive",
    "Catalogue",
    "EntryError",
    "Resin",
    "ResinSystem",
    "Sheet",
    "Spacer",
    "UnknownName",
    "catalogue",
    "from_entry",
    "load_catalogue",
    "to_entry",
]

_FILES = ("sheets", "sheets_isotropic", "adhesives", "spacers", "resins", "resin_systems")
_KINDS = {"sheets": Sheet, "adhesives": Adhesive, "spacers": Spacer, "resins": Resin, "resin_systems": ResinSystem}


class UnknownName(KeyError, ValueError):
    """A name that is not in the catalogue; the text lists the nearest names."""

    def __str__(self):
        return self.args[0]


class Shelf(ReadOnlyMap):
    """Records by name, in the order of the file; a wrong name is answered with the nearest ones."""

    __slots__ = ()

    def __getitem__(self, name):
        try:
            return self._items[name]
        except (KeyError, TypeError):
            near = difflib.get_close_matches(str(name), self._items, n=4, cutoff=0.3) or list(self._items)
            raise UnknownName(f"{name!r} is not in the catalogue; near it: {'; '.join(near) or 'nothing'}") from None


@dataclass(frozen=True)
class Catalogue:
    """Read-only mappings by name: sheets, adhesives, spacers, resins, resin_systems. The first of each is a sensible
    default.

    `catalogue[name]` is a sheet. A name that is not there raises `UnknownName`, a KeyError and ValueError.

    >>> from panelmech import catalogue
    >>> from panelmech.units import show
    >>> show(catalogue["aluminium 6061-T6"].modulus, "GPa", 3)
    '68.9 GPa'
    >>> catalogue["aluminum 6061"]
    Traceback (most recent call last):
    panelmech.materials.stock.UnknownName: 'aluminum 6061' is not in the catalogue; near it: aluminium 6061-T6;
    aluminium 5052-H32; acrylic, cast
    """

    sheets: Shelf
    adhesives: Shelf
    spacers: Shelf
    resins: Shelf
    resin_systems: Shelf

    def __getitem__(self, name):
        return self.sheets[name]

    def __contains__(self, name):
        return name in self.sheets

    def __iter__(self):
        return iter(self.sheets)

    def __len__(self):
        return len(self.sheets)

    def with_entries(self, source):
        """A new catalogue with own entries, from a TOML file (path) or a mapping of the same form.

        The form: sheets, adhesives, spacers, resins, resin_systems, each a table of name to entry. An entry under a
        known name keeps what it does not give; a value it gives has basis "user" unless its sources state otherwise,
        and takes the place of a table over thickness. A limit stated as a strain, a span modulus and a shear
        modulus do not follow a changed modulus. EntryError (a ValueError) for anything unknown, of a wrong
        type, not finite or implausible; nothing in the file is run.
        """
        entries, where = _read(source)
        unknown = [key for key in entries if key not in _KINDS]
        if unknown:
            raise EntryError(f"{where}: {unknown[0]!r} is not known; allowed: {', '.join(_KINDS)}")
        shelves = {}
        for plural, kind in _KINDS.items():
            shelf = getattr(self, plural)
            shelves[plural] = Shelf({**shelf, **_records(kind, plural, entries.get(plural, {}), shelf, where)})
        return Catalogue(**shelves)


def load_catalogue():
    """The catalogue that comes with the package, read afresh from its data files."""
    files = resources.files("panelmech.materials") / "data"
    catalogue = Catalogue(*(Shelf() for _ in _KINDS))
    for name in _FILES:
        text = (files / f"{name}.toml").read_text(encoding="utf-8")
        catalogue = catalogue.with_entries(tomllib.loads(text))
    return catalogue


def _read(source):
    if isinstance(source, Mapping):
        return source, "own entries"
    if not isinstance(source, (str, PathLike)):
        raise EntryError(f"own entries are {source!r}; give the path of a TOML file or a mapping")
    try:
        text = text_of(source)
        _refuse_other_numbers(text)
        return tomllib.loads(text), fspath(source)
    except OSError as error:
        raise EntryError(f"{fspath(source)} cannot be read: {error.strerror}; give a TOML file") from error
    except tomllib.TOMLDecodeError as error:
        raise EntryError(f"{fspath(source)} is not sound TOML: {_toml_words(text, str(error))}") from None
    except RecursionError:
        raise EntryError(f"{fspath(source)} is not sound TOML: it is nested too deeply") from None
    except ValueError as error:
        raise EntryError(f"{fspath(source)} is not sound TOML: {error}") from None


def _refuse_other_numbers(text):
    """ValueError for numbers that TOML knows and no builder writes: 2_06 (which is 206), 0x10, inf, nan."""
    bare = _QUOTED.sub(lambda quoted: "\n" * quoted[0].count("\n"), text)
    if found := _OTHER.search(bare):
        line = bare.count("\n", 0, found.start()) + 1
        raise ValueError(
            f"line {line} has the number {found[0][:60]}: give digits, a sign, a decimal point, an exponent"
        )


def _toml_words(text, error):
    """Which line is wrong, and what to look for."""
    place = re.search(r"at line (\d+)", error)
    line = int(place[1]) if place else text.count("\n") + 1
    reads = (*text.split("\n"), "")[line - 1].strip()[:80]
    return f"line {line} reads {reads!r}: a number has a decimal point, a text quotes, a name stands once in its table"


def _records(kind, plural, entries, shelf, where):
    if not isinstance(entries, Mapping):
        raise EntryError(f"{where}: {plural} is {entries!r}; give a table of name to entry")
    try:
        return {name: from_entry(kind, entry, name, shelf.get(name)) for name, entry in entries.items()}
    except EntryError as error:
        raise EntryError(f"{where}: {error}") from None


_QUOTED = re.compile(r'"""(?s:.)*?"""|\'\'\'(?s:.)*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*')
_OTHER = re.compile(r"(?<![\w.-])[+-]?(?:0[xob]\w+|\d[\d.]*_[\w.]*|inf\b|nan\b|\d{400,})(?!\s*=)")

catalogue = load_catalogue()


@dataclass(frozen=True)
class Bought:
    """A field of a kept file that holds a stock record: by name where it stands in the catalogue, else in full.

    plural : which of the catalogue's shelves it belongs to
    by_name : False writes every value out, for a hash that follows them
    """

    plural: str
    by_name: bool = True

    def keys(self, name: str) -> dict:
        """As `files.Word.keys`."""
        return {name: ()}

    def write(self, name: str, record) -> tuple:
        """As `files.Word.write`."""
        listed = getattr(catalogue, self.plural).get(record.name) == record  # equal in every value and source
        return name, record.name if self.by_name and listed else to_entry(record)

    def read(self, plain, units: tuple, where: str):
        """As `files.Word.read`."""
        if isinstance(plain, str):
            return named(where, lambda: getattr(catalogue, self.plural)[plain])
        if not isinstance(plain, dict) or not isinstance(plain.get("name"), str):
            raise ValueError(
                f"{where} is {plain!r}: give a name from the catalogue, or a table with its own name and values"
            )
        return named(where, lambda: from_entry(_KINDS[self.plural], plain))
