"""Files that keep a study, a part, its loads, the choices of a shop or own stock: read strictly, written whole.

Reading runs no code. What is not finite, stands twice or is not known is refused in words that name file and key.

A record crosses over as plain values by a table of its fields, {name: kind}; the kind says under which key a field
stands and as what: `TEXT`, `FLAG`, `COUNT`, a `Number` (the unit in its key), a `Nested` record, `OneOf` several kinds
of record, a `Listed` row of them. `to_plain` and `from_plain` go through the table. Numbers come back to the last bit,
where their unit has a decimal factor; degrees to rounding.
"""

from __future__ import annotations

import difflib
import hashlib
import json
import os
import re
import shutil
import tempfile
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from functools import cache
from math import inf, isfinite, nextafter
from pathlib import Path
from typing import Any

from .units import KEY_SUFFIX, from_si, to_si

LITTER = ".part"  # ends the name of what is being written
ABANDONED = 3600.0  # seconds after which it is taken to be left by a writer that was killed


MOST_BYTES = 100 * 2**20  # of a file of words and numbers
LONGEST_NUMBER = 1000  # characters
_JSON = "a number has a decimal point, a text double quotes, and between two items stands one comma"


def text_of(path) -> str:
    """The text of a file in UTF-8, without a byte order mark, its lines ended by a line feed.

    ValueError, in words that say the line and what to do, for what is no such text; OSError where it cannot be read.
    """
    path = Path(path)
    if path.stat().st_size > MOST_BYTES:
        raise ValueError(f"it has {path.stat().st_size} bytes: give a file of at most {MOST_BYTES}")
    raw = path.read_bytes()
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise ValueError("it is written in UTF-16: save it as UTF-8")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError(f"line {_line(raw, error.start)} holds what is no text in UTF-8: save it as UTF-8") from None
    if "\0" in text:
        where = _line(raw, raw.index(0))
        raise ValueError(
            f"line {where} holds a zero byte, so the file is damaged or no text: take a copy, or save it anew"
        )
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _line(raw, place):
    return raw.count(b"\n", 0, place) + 1


def parse_file(path, kind: str):
    """The plain values of a JSON file; `kind` of file in words.

    ValueError where it is torn, nested too deeply, or holds a key twice or a number that is not finite or of more than
    `LONGEST_NUMBER` digits; OSError where it cannot be read.
    """
    path, unread = Path(path), f"{Path(path).name} is not a readable {kind} file"
    try:
        text = text_of(path)
    except ValueError as error:
        raise ValueError(f"{unread}: {error}") from None
    try:
        return json.loads(text, parse_constant=_refuse_constant, parse_int=_whole, object_pairs_hook=_refuse_twice)
    except json.JSONDecodeError as error:
        line = brief((*text.split("\n"), "")[error.lineno - 1].strip()[:80])
        raise ValueError(
            f"{unread}: line {error.lineno} reads {line!r}, which is not JSON or breaks off: {_JSON}"
        ) from None
    except RecursionError:
        raise ValueError(f"{unread}: it is nested too deeply") from None
    except ValueError as error:
        raise ValueError(f"{path.name}: {error}") from None


def read_file(path, kind: str, mark: str, schema: int, take):
    """What `take` makes of the keys of a file beside its format, which must be `mark`, and its schema.

    ValueError, also one of `take`'s, begins with the file's name; else as `parse_file`.
    """
    content = parse_file(path, kind)
    try:
        if not isinstance(content, dict) or content.get("format") != mark:
            raise ValueError(f'not a {kind} file: it must be a JSON table with "format": "{mark}"')
        if content.get("schema") != schema:
            raise ValueError(f"schema is {content.get('schema')!r}; this version reads schema {schema}")
        return take({key: value for key, value in content.items() if key not in ("format", "schema")})
    except ValueError as error:
        raise ValueError(f"{Path(path).name}: {brief(str(error))}") from None


def brief(words: str) -> str:
    """Words of a refusal in which what came in may be of any length: what runs on without a space is cut."""
    return re.sub(r"\S{120,}", lambda long: f"{long[0][:60]}… ({len(long[0])} characters)", words)


def few(texts, most: int, apart: str = ", ") -> str:
    """The first of several texts, and how many more: "a, b and 4 more", or apart by "; ", "a; b; and 4 more"."""
    more = len(texts) - most
    return apart.join(texts[:most]) + (f"{'' if apart == ', ' else apart.rstrip()} and {more} more" if more > 0 else "")


def file_text(mark: str, schema: int, content: dict) -> str:
    """The text of a file of this format and schema."""
    whole = {"format": mark, "schema": schema, **content}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def write_atomically(path, content: str | bytes) -> None:
    """Write a file, text as UTF-8, beside its final place, flush it to the disk, then put it in place in one step. Of a
    link, what it leads to is written."""
    path, content = Path(path).resolve(), content.encode() if isinstance(content, str) else content
    remove_litter(path.parent)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.", suffix=LITTER)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~umask()
        os.chmod(temporary, mode)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def remove_litter(folder: Path) -> None:
    """Remove what writers that were killed have left in a folder: hidden files and folders of a writing that nobody has
    touched for an hour. No writing takes a minute."""
    for left in Path(folder).glob(f".*{LITTER}"):
        with suppress(OSError):
            if time.time() - left.lstat().st_mtime > ABANDONED:
                shutil.rmtree(left) if left.is_dir() and not left.is_symlink() else left.unlink()


def short_hash(text: str) -> str:
    """Twelve hexadecimal digits that change with the text."""
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def changed(record, changes: dict, what: str):
    """A copy of a record with some fields changed; ValueError for names that are none of its fields."""
    kind: Any = type(record)
    known = _given(kind)
    unknown = sorted(set(changes) - known)
    if unknown:
        raise ValueError(f"{what} has no field {', '.join(unknown)}; it has {', '.join(sorted(known))}")
    return replace(record, **changes)


@cache
def _given(kind):
    """Names of the fields that a record is made from."""
    return frozenset(f.name for f in fields(kind) if f.init)


def umask() -> int:
    """The permissions this process takes off new files."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _whole(word):
    if len(word) > LONGEST_NUMBER:
        raise ValueError(f"a number of {len(word)} digits is not allowed: give up to {LONGEST_NUMBER}")
    return int(word)


def _refuse_constant(word):
    raise ValueError(f"{word} is not allowed: every number must be finite")


def _refuse_twice(pairs):
    table = dict(pairs)
    if len(table) != len(pairs):
        names = [key for key, _ in pairs]
        raise ValueError(f"key {next(k for k in names if names.count(k) > 1)} stands twice")
    return table


# ----- Records to plain values and back, by a table of their fields.

_LARGEST = 1e300  # a whole number in a file may be beyond any float


@dataclass(frozen=True)
class Word:
    """A field that stands in a file as it is: a text, a flag or a whole number; `key` where it is another word."""

    type: type
    words: str
    key: str = ""

    def keys(self, name: str) -> dict:
        """{key that the field may stand under: unit of every column}, the usual key first."""
        return {self.key or name: ()}

    def write(self, name: str, value) -> tuple:
        """(key, plain value) of a value of the record."""
        return self.key or name, value

    def read(self, plain, units: tuple, where: str):
        """The value of the record; ValueError, with the place `where` it stands, for anything else."""
        if not isinstance(plain, self.type) or (isinstance(plain, bool) and self.type is not bool):
            raise ValueError(f"{where} is {plain!r}: give {self.words}")
        return plain


TEXT, FLAG, COUNT = Word(str, "a text"), Word(bool, "true or false"), Word(int, "a whole number")


@dataclass(frozen=True)
class Number:
    """A number, a list of them, or rows of them, with the unit in the key.

    units : for each key it may stand under the unit of every column, the usual key first; where there are several, the
        last is SI and takes what leads back to the last bit under no other one
    shape : "number", "list" or "rows"
    plausible : (least, most) of every column [SI], wide enough for any real stuff, narrow enough to catch a wrong unit
    """

    units: tuple
    shape: str = "number"
    plausible: tuple = ()

    def keys(self, name: str) -> dict:
        """As `Word.keys`."""
        return {"_".join(filter(None, (name, *(KEY_SUFFIX[u] for u in units)))): units for units in self.units}

    def write(self, name: str, value) -> tuple:
        """(key, plain value) under the first key that leads back to the very same value, else under the last."""
        as_it_is = self._each(lambda v, _: v, value, self.units[0])
        tries = [(key, self._each(_shown, value, units), units) for key, units in self.keys(name).items()]
        exact = (found for found in tries if self._each(to_si, found[1], found[2]) == as_it_is)
        key, plain, units = next(exact, tries[-1])
        self._check_plausible(value, units, key)
        return key, plain

    def read(self, plain, units: tuple, where: str):
        """The value [SI], a float, a tuple, or a tuple of rows; ValueError as `Word.read`."""
        self._check_shape(plain, len(units), where)
        value = self._each(to_si, plain, units)
        self._check_plausible(value, units, where)
        return value if self.shape == "number" else tuple(map(tuple, value) if self.shape == "rows" else value)

    def _each(self, convert, value, units):
        if self.shape == "number":
            return convert(value, units[0])
        if self.shape == "list":
            return [convert(v, units[0]) for v in value]
        return [[convert(v, unit) for v, unit in zip(row, units, strict=True)] for row in value]

    def _check_plausible(self, value, units, where):
        rows = value if self.shape == "rows" else [[v] for v in ([value] if self.shape == "number" else value)]
        for row in rows if self.plausible else ():
            for v, unit, (low, high) in zip(row, units, self.plausible, strict=True):
                if not low <= v <= high:
                    v, low, high = (from_si(bound, unit) for bound in (v, low, high))
                    raise ValueError(
                        f"{where} is {v:.6g}; a plausible value lies between {low:g} and {high:g}; mind the unit"
                    )

    def _check_shape(self, plain, columns, where):
        if self.shape == "number":
            sound, wanted = _is_number(plain), "a number"
        elif self.shape == "list":
            sound, wanted = _is_list(plain) and all(map(_is_number, plain)), "a list of finite numbers"
        else:
            sound = _is_list(plain) and all(
                _is_list(r) and len(r) == columns and all(map(_is_number, r)) for r in plain
            )
            wanted = "a list of rows [thickness, value] of finite numbers"
        if not sound:
            beyond = isinstance(plain, int | float) and not isinstance(plain, bool) and self.shape == "number"
            raise ValueError(f"{where} is {plain!r}: give {'a finite number' if beyond else wanted}")


def number(unit: str, shape: str = "number") -> Number:
    """A `Number` in one unit."""
    return Number(((unit,),), shape)


@dataclass(frozen=True)
class Nested:
    """A record in a table of its own: `make` makes it of its fields, by name; a `spare` one is left out of the file
    where it is false."""

    make: type
    fields: Mapping
    spare: bool = False
    key = ""
    keys = Word.keys

    def write(self, name: str, value) -> tuple:
        """As `Word.write`."""
        return name, to_plain(value, self.fields)

    def read(self, plain, units: tuple, where: str):
        """As `Word.read`; what `make` refuses is named too."""
        values = from_plain(plain, self.fields, where, required(self.make))
        keys = {name: next(iter(self.fields[name].keys(name))) for name in values}
        return named(where, lambda: self.make(**values), keys)


@dataclass(frozen=True)
class OneOf:
    """One of several kinds of record, {word: `Nested`}; the word stands under "kind"."""

    kinds: Mapping
    key: str = ""
    keys = Word.keys

    def write(self, name: str, value) -> tuple:
        """As `Word.write`."""
        word = next(word for word, kind in self.kinds.items() if kind.make is type(value))
        return self.key or name, {"kind": word, **to_plain(value, self.kinds[word].fields)}

    def read(self, plain, units: tuple, where: str):
        """As `Word.read`."""
        word = plain.get("kind") if isinstance(plain, dict) else plain
        if not isinstance(plain, dict) or not isinstance(word, str) or word not in self.kinds:
            raise ValueError(f"{where}: kind is {word!r}: give one of {', '.join(self.kinds)}")
        return self.kinds[word].read({k: v for k, v in plain.items() if k != "kind"}, units, where)


@dataclass(frozen=True)
class Listed:
    """A list of any length, each item of one kind; a `spare` one is left out of the file where it is empty."""

    each: Any
    spare: bool = False
    key = ""
    keys = Word.keys

    def write(self, name: str, value) -> tuple:
        """As `Word.write`."""
        return name, [self.each.write(name, item)[1] for item in value]

    def read(self, plain, units: tuple, where: str) -> tuple:
        """As `Word.read`."""
        if not isinstance(plain, list):
            raise ValueError(f"{where} is {plain!r}: give a list")
        return tuple(self.each.read(item, units, f"{where}, number {i}") for i, item in enumerate(plain, 1))


def to_plain(record, table: Mapping) -> dict:
    """The fields of a record, or of a mapping, that the table names, as plain values; None is left out."""
    get = record.get if isinstance(record, Mapping) else lambda name: getattr(record, name)
    values = {name: get(name) for name in table}
    kept = {name: value for name, value in values.items() if value is not None and not _spare(table[name], value)}
    return dict(table[name].write(name, value) for name, value in kept.items())


def _spare(kind, value):
    return isinstance(kind, Listed | Nested) and kind.spare and not value


def from_plain(plain, table: Mapping, where: str, needed=()) -> dict:
    """{field: value} of a table of plain values, the inverse of `to_plain`.

    ValueError, with the place `where`, for unknown keys, wrong kinds of value and missing fields that are `needed`.
    """
    keys = {name: kind.keys(name) for name, kind in table.items()}
    refuse_unknown(plain, [key for name in keys for key in keys[name]], where)
    values = {}
    for name, kind in table.items():
        given = [key for key in keys[name] if key in plain]
        if len(given) > 1:
            raise ValueError(f"{where}: both {given[0]} and {given[1]} are given; give one of them")
        if given:
            values[name] = kind.read(plain[given[0]], keys[name][given[0]], f"{where}, {given[0]}")
    missing = [next(iter(keys[name])) for name in table if name in needed and name not in values]
    if missing:
        raise ValueError(f"{where}: missing {', '.join(missing)}")
    return values


def refuse_unknown(plain, known, where: str) -> None:
    """ValueError where the plain values are no table or have a key that is not known; near ones are named."""
    if not isinstance(plain, Mapping):
        raise ValueError(f"{where} is {plain!r}: give a table of keys and values")
    unknown = sorted(map(str, set(plain) - set(known)))
    if unknown:
        near = difflib.get_close_matches(unknown[0], known, n=3)
        meant = f"; did you mean {' or '.join(near)}?" if near else ""
        raise ValueError(f"{where}: unknown key {', '.join(unknown)}{meant}; known are {', '.join(sorted(known))}")


def required(make) -> set:
    """Names of the fields that a record must be given."""
    if not is_dataclass(make):
        return set()
    return {f.name for f in fields(make) if f.init and f.default is MISSING and f.default_factory is MISSING}


def named(where: str, make, keys=()):
    """What `make()` makes; an error names the place, and the key too where it says "<field> is <value>"."""
    try:
        return make()
    except (ValueError, TypeError) as error:
        told = [keys[name] for name in keys if re.search(rf"\b{name} is ", str(error))]
        raise ValueError(f"{', '.join((where, *told))}: {error}") from None


def _is_number(plain):
    return isinstance(plain, int | float) and not isinstance(plain, bool) and abs(plain) <= _LARGEST


def _is_list(plain):
    return isinstance(plain, list | tuple)


def _shown(value, unit):
    """In the unit of the key, as it was entered where that gives the same number back, else the nearest that does."""
    number = from_si(float(value), unit)
    if not isfinite(number):
        return number
    entered = float(f"{number:.15g}")
    near = (entered, number, nextafter(number, -inf), nextafter(number, inf))
    return next((shown for shown in near if to_si(shown, unit) == value), number)
