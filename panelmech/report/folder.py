"""A folder of files written as one: nothing half-written is ever left, and nothing that is not ours is overwritten."""

from __future__ import annotations

import csv
import errno
import hashlib
import io
import math
import os
import re
import shutil
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from ..files import LITTER, few, remove_litter, umask
from ..units import from_si, pretty_unit

NAME = "pack-files.csv"  # the list of the files of a folder, where no other name is given
READY = ".ready"  # ends the name of what a writing has made whole and is about to put in place


def write_folder(folder: Path, contents: dict, page: str, generator: str, what: str, list_name: str = NAME) -> tuple:
    """Write {name: bytes} into a folder, which is made if it is not there; names of files of an older writing removed.

    The list of them, `list_name`, is made where `contents` holds none. All of it is made in a temporary folder first. A
    new folder is then put in place in one step; in one that is there, the temporary folder is renamed in one step to
    say that it is whole, and its files are moved: files of the older list that are surely ours and no part of the new
    one go, the list comes last. A writing that is ended in its midst has therefore changed nothing, or `finish` ends
    it, with which the next one begins. `page`: name of the HTML page whose `generator` marks a folder as ours; `what`
    is in it, in words. FileExistsError where the folder holds a file of the same name and is not marked so; OSError
    where it cannot be written.
    """
    contents = contents if list_name in contents else {**contents, list_name: list_of(contents)}
    finish(folder)
    refuse_foreign(folder, contents, page, generator, what)
    folder.parent.mkdir(parents=True, exist_ok=True)
    beside = folder if folder.exists() else folder.parent  # the same disk, and a place that may be written to
    remove_litter(beside)
    workplace = Path(tempfile.mkdtemp(dir=beside, prefix=f".{folder.name[:40]}.", suffix=LITTER))
    try:
        for name, content in contents.items():
            _write(workplace / name, content)
        if not folder.exists():
            workplace.chmod(0o777 & ~umask())
            os.replace(workplace, folder)
            return ()
        earlier = finish(folder)  # of another writer at the same time
        os.replace(workplace, folder / f".{list_name}{READY}")
    finally:
        shutil.rmtree(workplace, ignore_errors=True)
    return earlier + finish(folder)


def finish(folder: Path) -> tuple:
    """Put in place what a writing has made whole in a folder, and remove what is then no longer part of it; names of
    the files removed. Nothing where nothing waits; OSError where the folder cannot be written."""
    removed: tuple = ()
    for ready in sorted(Path(folder).glob(f".*{READY}")):
        list_name = ready.name[1:].removesuffix(READY)
        made = sorted(path.relative_to(ready).as_posix() for path in ready.rglob("*") if path.is_file())
        kept = {*_digests(ready / list_name), *made, *_of_others(folder, list_name)}
        _move(ready, folder, [name for name in made if name != list_name])
        removed += remove_old(folder, _digests(folder / list_name), kept)
        _move(ready, folder, [list_name])
        shutil.rmtree(ready, ignore_errors=True)
    return removed


def is_unfinished(folder: Path) -> bool:
    """Whether a writing of the folder was ended in its midst."""
    return any(Path(folder).glob(f".*{READY}"))


def _move(ready, folder, names):
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        with suppress(FileNotFoundError):  # another writer has moved it
            os.replace(ready / name, folder / name)


def _of_others(folder, list_name):
    """Names that other lists in a folder tell: a note may lie beside a pack."""
    lists = [path for path in Path(folder).glob("*-files.csv") if path.name != list_name]
    return {name for path in lists for name in (path.name, *_digests(path))}


def astray(folder: Path, list_name: str = NAME) -> tuple:
    """Names of files that the list of a folder tells otherwise than they are: changed, or gone. None without a list."""
    rows = _digests(Path(folder) / list_name)
    return tuple(name for name, digest in sorted(rows.items()) if not is_as_written(folder, name, digest))


def refuse_foreign(folder, names, page, generator, what):
    """FileExistsError where a folder holds files of these names and no page of ours: they are not overwritten."""
    if folder.exists() and not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, f"is a file: give a folder for the {what}", str(folder))
    same = [name for name in names if (folder / name).exists()]
    if same and not _is_ours(folder / page, generator):
        already = f"already holds {same[0]} and no {what}: give another folder, lest it be overwritten"
        raise FileExistsError(errno.EEXIST, already, str(folder))


def _is_ours(path, generator):
    try:
        with open(path, encoding="utf-8", errors="replace") as stream:
            return f'content="{generator}"' in stream.read(2000)
    except OSError:
        return False


def _write(path, content):
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


# ----- CSV files: a column is a `Field`, a row is made from a record.


@dataclass(frozen=True)
class Field:
    """A column of a CSV file.

    name : its head, to which a number's unit is added
    value : what stands in it, from the record of the row: a text, or a number in SI
    unit : unit a number is shown in (of `units.FACTORS`); None for a text
    digits : significant digits of a number
    """

    name: str
    value: Callable
    unit: str | None = None
    digits: int = 6


def csv_rows(fields, records) -> tuple:
    """The head row and a row for each record, all cells text."""
    heads = tuple(f"{field.name} [{pretty_unit(field.unit)}]" if field.unit else field.name for field in fields)
    return (heads, *(tuple(_cell(field, record) for field in fields) for record in records))


def _cell(field, record):
    value = field.value(record)
    return value if field.unit is None else csv_number(from_si(float(value), field.unit), field.digits)


def csv_number(value, digits: int) -> str:
    """A number as a cell: empty where it is not known."""
    return f"{value:.{digits}g}" if math.isfinite(value) else "" if math.isnan(value) else str(value)


def csv_text(rows) -> str:
    """Rows of cells, all text, as a CSV file's content."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([_plain_cell(cell) for cell in row] for row in rows)
    return text.getvalue()


def _plain_cell(text):
    """A text that a spreadsheet would take for a formula gets an apostrophe in front; numbers stay numbers."""
    number = re.fullmatch(r"[-+]?[0-9.]+(e[-+]?[0-9]+)?", text)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") and not number else text


# ----- The list of files of a folder that is written again: what an older writing left behind and is surely ours is
# removed.
#
# Surely ours is a file that the older list names and whose bytes are still those that were written. Everything else is
# left alone and named.


HEAD = ("file", "SHA-256")
_PLAIN = r"(?:[A-Za-z0-9][\w-]*/){{0,{}}}[A-Za-z0-9][\w.-]*"  # in the folder or so many below, no way out
NAMED = 4  # names in a sentence


def digest_of(content: bytes) -> str:
    """What a list tells a file by."""
    return hashlib.sha256(content).hexdigest()


def list_of(contents: dict) -> bytes:
    """The list of these files, {name: bytes}, as a CSV file's content."""
    return list_text({name: (digest_of(content),) for name, content in contents.items()})


def list_text(rows: dict, head: tuple = HEAD) -> bytes:
    """A list as a CSV file's content: {name: (digest, and what else the head has)}."""
    return csv_text((head, *((name, *cells) for name, cells in sorted(rows.items())))).encode()


def listed(folder: Path) -> dict:
    """What the list in a folder names, {name: digest}; empty where there is none that can be read."""
    return {name: digest for name, (digest,) in list_rows(folder).items()}


def list_rows(folder: Path, list_name: str = NAME, head: tuple = HEAD, below: int = 1) -> dict:
    """The list in a folder, {name: (digest, and what else the head has)}; empty where none can be read. Files lie in
    the folder or at most so many folders `below`."""
    first, rows = _list_lines(Path(folder) / list_name)
    return _plain_rows(rows, below) if first == head else {}


def _digests(path):
    """What a list of any head tells of its files, {name: digest}."""
    first, rows = _list_lines(path)
    return {name: cells[0] for name, cells in _plain_rows(rows, 2).items()} if first[:2] == HEAD else {}


def _plain_rows(rows, below):
    return {name: tuple(cells) for name, *cells in rows if re.fullmatch(_PLAIN.format(below), name)}


def _list_lines(path):
    """(head, rows) of a list; none where it cannot be read as one."""
    try:
        first, *rows = csv.reader(io.StringIO(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, csv.Error):
        return (), ()
    return (tuple(first), rows) if all(len(row) == len(first) for row in rows) else ((), ())


def remove_old(folder: Path, old: dict, new) -> tuple:
    """Remove files of the `old` list, {name: digest}, that are not among the `new` names, and the folders below that
    are then empty; names of the files removed."""
    removed = []
    for name, digest in sorted(old.items()):
        path = Path(folder) / name
        if name in new or not is_as_written(folder, name, digest):
            continue
        try:
            path.unlink()
        except OSError:
            continue  # it stays, and is named with what is left
        removed.append(name)
        _remove_empty(path.parent, Path(folder))
    return tuple(removed)


def _remove_empty(below, folder):
    """Remove a folder and those above it, up to `folder`, as far as nothing is in them."""
    while below != folder:
        try:
            below.rmdir()
        except OSError:
            return
        below = below.parent


def strangers(folder: Path, new, below, beside) -> tuple:
    """Names of files in the folders `below`, or named in `beside`, that are not among the `new` names."""
    folder = Path(folder)
    paths = [path for name in below for path in sorted((folder / name).glob("*")) if not path.name.startswith(".")]
    paths += [folder / name for name in beside if (folder / name).exists()]
    return tuple(name for name in (path.relative_to(folder).as_posix() for path in paths) if name not in new)


def old_words(removed, left) -> tuple:
    """What became of older files, a sentence each; none where there are none."""
    words = []
    if removed:
        words.append(f"Removed, since they are no longer part of it: {few(removed, NAMED)}.")
    if left:
        words.append(f"Left alone, though not part of it, since they may be yours: {few(left, NAMED)}.")
    return tuple(words)


def is_as_written(folder: Path, name: str, digest: str) -> bool:
    """Whether a file in a folder is still what was written there; links are not followed."""
    folder, path = Path(folder), Path(folder) / name
    between = (path, *(above for above in path.parents if above.is_relative_to(folder) and above != folder))
    if any(place.is_symlink() for place in between) or not path.is_file():
        return False
    try:
        return digest_of(path.read_bytes()) == digest
    except OSError:
        return False
