"""The list of files of a folder that is written again: what an older writing left behind and is surely ours is removed.

Surely ours is a file that the older list names and whose bytes are still those that were written. Everything else is
left alone and named.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from pathlib import Path

from .folder import csv_text

NAME = "pack-files.csv"
HEAD = ("file", "SHA-256")
_PLAIN = re.compile(r"(?:[A-Za-z0-9][\w-]*/)?[A-Za-z0-9][\w.-]*")  # in the folder or one below, no way out
_SHOWN = 4  # names in a sentence


def list_of(contents: dict) -> bytes:
    """The list of these files, {name: bytes}, as a CSV file's content."""
    rows = [(name, hashlib.sha256(content).hexdigest()) for name, content in sorted(contents.items())]
    return csv_text((HEAD, *rows)).encode()


def listed(folder: Path) -> dict:
    """What the list in a folder names, {name: digest}; empty where there is none that can be read."""
    try:
        text = (Path(folder) / NAME).read_text(encoding="utf-8")
        head, *rows = csv.reader(io.StringIO(text))
    except (OSError, ValueError, csv.Error):
        return {}
    if tuple(head) != HEAD or any(len(row) != 2 for row in rows):
        return {}
    return {name: digest for name, digest in rows if _PLAIN.fullmatch(name)}


def remove_old(folder: Path, old: dict, new) -> tuple:
    """Remove files of the `old` list, {name: digest}, that are not among the `new` names; names of those removed."""
    removed = []
    for name, digest in sorted(old.items()):
        path = Path(folder) / name
        if name in new or not _surely_ours(path, folder, digest):
            continue
        try:
            path.unlink()
        except OSError:
            continue  # it stays, and is named with what is left
        removed.append(name)
    return tuple(removed)


def strangers(folder: Path, new, below, beside) -> tuple:
    """Names of files in the folders `below`, or named in `beside`, that are not among the `new` names."""
    folder = Path(folder)
    there = [path for name in below for path in sorted((folder / name).glob("*")) if not path.name.startswith(".")]
    there += [folder / name for name in beside if (folder / name).exists()]
    return tuple(name for name in (path.relative_to(folder).as_posix() for path in there) if name not in new)


def old_words(removed, left) -> tuple:
    """What became of older files, a sentence each; none where there are none."""
    said = []
    if removed:
        said.append(f"Removed, since they are no longer part of it: {_names(removed)}.")
    if left:
        said.append(f"Left alone, though not part of it, since they may be yours: {_names(left)}.")
    return tuple(said)


def _surely_ours(path, folder, digest):
    if path.is_symlink() or path.parent.is_symlink() and path.parent != Path(folder) or not path.is_file():
        return False
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest() == digest
    except OSError:
        return False


def _names(names):
    more = len(names) - _SHOWN
    return ", ".join(names[:_SHOWN]) + (f" and {more} more" if more > 0 else "")
