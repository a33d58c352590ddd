"""Sweeps as files: `.npz` with everything, `.csv` for a spreadsheet; both with the input hash, both to be read back.

A file is written beside its name and moved there when it is complete. The CSV has two comment lines (input hash; axes),
a third where checks count beside those of a design, then heads with units, then one row a design: axes, outputs, the
reason where it cannot be made, the governing check.
"""

from __future__ import annotations

import csv
import io
import json
import zlib
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from ..entries import plain_number
from ..files import FLAG, TEXT, Listed, Nested, Word, from_plain, text_of, write_atomically
from ..materials.stock import Adhesive, Sheet, Spacer
from ..materials.stock import from_entry as stock_from_entry
from ..materials.stock import to_entry as stock_to_entry
from ..units import from_si, to_si
from .design import KEPT_DESIGN, LIMITS, to_entry
from .quantities import QUANTITIES

STOPPED = "not worked out: the sweep was stopped before"  # the reason of what a sweep did not come to
MOST_ROWS = 100_000  # of a CSV; more are read in seconds from .npz
HASH, AXES, MORE = "# input hash ", "# axes ", "# further checks "


def write_sweep(sweep, path, reasons) -> None:
    """Write a `Sweep` as `.npz` or `.csv`; `reasons`: words of its reason codes. ValueError for another name."""
    path = Path(path)
    if path.suffix == ".npz":
        _write_npz(sweep, path)
    elif path.suffix == ".csv":
        write_atomically(path, _as_csv(sweep, reasons))
    else:
        raise ValueError(f"{path.name}: a sweep is saved as .npz or .csv")


def read_sweep(path, design, reasons, checks) -> dict:
    """Fields of a saved `Sweep`. `design`: what a CSV was made from; `reasons`, `checks`: words of the codes.
    ValueError if the file is no sweep, or does not belong to its inputs."""
    path = Path(path)
    if path.suffix == ".csv":
        return _read_csv(path, design, reasons, checks)
    return _read_npz(path)


def _write_npz(sweep, path):
    header = {
        "axes": list(sweep.axes),
        "outputs": list(sweep.values),
        "hash": sweep.design.input_hash(),
        "design": to_entry(sweep.design, by_name=False),
        "complete": sweep.complete,
        "records": {name: [stock_to_entry(record) for record in records] for name, records in sweep.records.items()},
        "more": sweep.more,
    }
    arrays = {f"axis_{name}": values for name, values in sweep.axes.items()}
    arrays.update({f"output_{name}": values for name, values in sweep.values.items()})
    codes = {"reason_code": sweep.reason_code, "governing_code": sweep.governing_code}
    temporary = path.with_name(f".{path.name}.part.npz")
    try:
        np.savez_compressed(temporary, header=np.array(json.dumps(header)), **codes, **arrays)
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)


_STOCK = {"sheet": Sheet, "adhesive": Adhesive, "spacer": Spacer}
_HEADER = {
    "axes": Listed(TEXT),
    "outputs": Listed(TEXT),
    "hash": TEXT,
    "design": KEPT_DESIGN,
    "complete": FLAG,
    "records": Nested(dict, dict.fromkeys(_STOCK, Word(list, "a list"))),
    "more": Word(dict, "a table"),
}
_LATER = ("more",)  # not in files of before


def _read_npz(path):
    try:
        with np.load(path, allow_pickle=False) as stored:
            needed = [name for name in _HEADER if name not in _LATER]
            header = from_plain(json.loads(str(stored["header"])), _HEADER, "header", needed)
            more = _checked_more(header.get("more", {}))
            axes = {name: stored[f"axis_{name}"] for name in header["axes"]}
            values = {name: stored[f"output_{name}"] for name in header["outputs"]}
            codes = {name: stored[name] for name in ("reason_code", "governing_code")}
        records = {
            name: tuple(stock_from_entry(_STOCK[name], entry) for entry in entries)
            for name, entries in header["records"].items()
        }
    except (OSError, KeyError, ValueError, EOFError, BadZipFile, zlib.error) as error:
        raise ValueError(f"{path.name} is not a saved sweep: {error}") from None
    _check_hash(header["design"], header["hash"], path)
    return dict(
        design=header["design"],
        axes=axes,
        values=values,
        complete=header["complete"],
        records=records,
        more=more,
        **codes,
    )


def _checked_more(more):
    if not isinstance(more, dict) or not all(isinstance(name, str) for name in more.values()):
        raise ValueError(f"its further checks are {more!r}: they must be names by key")
    return more


def _check_hash(design, stored, path):
    if design.input_hash() != stored:
        raise ValueError(f"{path.name}: the inputs do not match the stored hash {stored}")


def _as_csv(sweep, reasons):
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    stream.write(f"{HASH}{sweep.design.input_hash()}\n{AXES}{' '.join(map(str, sweep.shape))}\n")
    if sweep.more:
        stream.write(f"{MORE}{json.dumps(sweep.more)}\n")
    names = [*sweep.axes, *sweep.values]
    writer.writerow([*(f"{n} [{_unit(n)}]" if _unit(n) else n for n in names), "reason", "governing"])
    grids = np.meshgrid(*sweep.axes.values(), indexing="ij")
    columns = [_shown(grid.ravel(), name) for name, grid in zip(sweep.axes, grids, strict=True)]
    columns += [_shown(values.ravel(), name) for name, values in sweep.values.items()]
    columns.append([reasons[code] for code in sweep.reason_code.ravel()])
    columns.append([sweep.governing(*index) for index in np.ndindex(sweep.shape)])
    writer.writerows(zip(*columns, strict=True))
    return stream.getvalue()


def _unit(name):
    return LIMITS[name].unit if name in LIMITS else QUANTITIES[name].unit if name in QUANTITIES else ""


def _shown(values, name):
    if values.dtype.kind == "U":
        return list(values)
    return [repr(from_si(float(v), _unit(name))) if not np.isnan(v) else "" for v in values]


def _read_csv(path, design, reasons, checks):
    if design is None:
        raise ValueError(f"{path.name}: a CSV does not hold its design: give the one it was made from")
    try:
        stored, shape, more, heads, columns = _parts_of_csv(text_of(path))
        checks = (*checks, *more.values())
        values = {name: _values(columns[i], name) for i, name in enumerate(heads[:-2])}
        codes = np.array([reasons.index(word) for word in columns[-2]], dtype=np.int8).reshape(shape)
        governing = np.array([checks.index(word) if word else -1 for word in columns[-1]], dtype=np.int8).reshape(shape)
        arrays = {name: column.reshape(shape) for name, column in values.items()}
    except (OSError, IndexError, ValueError) as error:
        raise ValueError(f"{path.name} is not a saved sweep: {error}") from None
    _check_hash(design, stored, path)
    names = heads[: len(shape)]
    axes = {n: np.moveaxis(arrays[n], i, 0).reshape(shape[i], -1)[:, 0] for i, n in enumerate(names)}
    outputs = {name: arrays[name] for name in heads[len(shape) : -2]}
    complete = not np.any(codes == reasons.index(STOPPED))
    return dict(
        design=design,
        axes=axes,
        values=outputs,
        reason_code=codes,
        governing_code=governing,
        complete=complete,
        more=more,
    )


def _parts_of_csv(text):
    """Hash, shape, further checks, heads without units, columns as text."""
    if (count := text.count("\n")) > MOST_ROWS:
        raise ValueError(f"it has {count} rows, {MOST_ROWS} at most are read from CSV: save it as .npz")
    first, second, rest = (*text.split("\n", 2), "", "")[:3]
    if not (first.startswith(HASH) and second.startswith(AXES)):
        raise ValueError("its first lines do not name input hash and axes")
    third, more = rest.split("\n", 1)[0], {}
    if third.startswith(MORE):
        more, rest = _checked_more(json.loads(third.removeprefix(MORE))), rest.split("\n", 1)[-1]
    try:
        heads, *rows = csv.reader(io.StringIO(rest))
    except (csv.Error, ValueError):
        raise ValueError("below the two first lines it is no table with a head line") from None
    if {len(row) for row in rows} - {len(heads)}:
        raise ValueError(f"a row has not as many cells as the head line, {len(heads)}: the file breaks off")
    shape = tuple(int(word) for word in second.removeprefix(AXES).split())
    return first.removeprefix(HASH), shape, more, [head.split(" [")[0] for head in heads], list(zip(*rows, strict=True))


def _values(texts, name):
    if name not in LIMITS and name not in QUANTITIES and not name.endswith("_reserve"):
        return np.array(texts)
    return np.array([to_si(plain_number(text), _unit(name)) if text else np.nan for text in texts])
