"""Files that keep a study, a part, its loads or the choices of a shop: plain JSON, read strictly and written whole.

Reading runs no code. What is not finite, stands twice or is not known is refused in words that name file and key.
"""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path


def parse_file(path, kind: str):
    """The plain values of a JSON file; `kind` of file in words.

    ValueError where it is torn, nested too deeply, or holds a key twice or a number that is not finite; OSError where
    it cannot be read.
    """
    path = Path(path)
    try:
        return json.loads(
            path.read_text(encoding="utf-8"), parse_constant=_refuse_constant, object_pairs_hook=_refuse_twice
        )
    except (UnicodeDecodeError, json.JSONDecodeError) as error:
        raise ValueError(f"{path.name} is not a readable {kind} file: {error}") from None
    except RecursionError:
        raise ValueError(f"{path.name} is not a readable {kind} file: it is nested too deeply") from None
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
        raise ValueError(f"{Path(path).name}: {error}") from None


def file_text(mark: str, schema: int, content: dict) -> str:
    """The text of a file of this format and schema."""
    whole = {"format": mark, "schema": schema, **content}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def refuse_unknown(entry, known, where: str) -> None:
    """ValueError where the entry is no table or has a key that is not known."""
    if not isinstance(entry, dict):
        raise ValueError(f"{where} is {entry!r}: give a table")
    unknown = sorted(set(entry) - set(known))
    if unknown:
        raise ValueError(f"{where}: unknown key {', '.join(unknown)}; known are {', '.join(sorted(known))}")


def write_atomically(path, text: str) -> None:
    """Write a text file beside its final place, flush it to the disk, then put it in place in one step."""
    path = Path(path)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~umask()
        os.chmod(temporary, mode)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def umask() -> int:
    """The permissions this process takes off new files."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _refuse_constant(word):
    raise ValueError(f"{word} is not allowed: every number must be finite")


def _refuse_twice(pairs):
    table = dict(pairs)
    if len(table) != len(pairs):
        names = [key for key, _ in pairs]
        raise ValueError(f"key {next(k for k in names if names.count(k) > 1)} stands twice")
    return table
