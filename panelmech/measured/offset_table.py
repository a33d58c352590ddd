"""Offsets measured on the real part: the table they stand in.

A file of offsets is a CSV table with a head line; lines that begin with # are skipped:

    x_mm,offset_mm,face,uncertainty_mm
    40,3.1,upper,0.05

`x_mm` along the chord from the land end forwards; `face` upper, lower or half. For upper and lower `offset_mm` is the
distance of the outer face from the chord line through the middle of the bond line, outwards positive; for half it is
half the thickness over both outer faces, as callipers give it. Upper is sheet 1. `uncertainty_mm`, the standard
uncertainty of the reading, may be left out.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import numpy as np

from ..files import write_atomically
from ..units import FACTORS, from_si, to_si

FACES = ("upper", "lower", "half")
COLUMNS = ("x_mm", "offset_mm", "face", "uncertainty_mm")
STATED = 1e-4  # standard uncertainty of a reading where none is stated: a ruler's tenth of a millimetre [m]


@dataclass(frozen=True, eq=False)
class Offsets:
    """Readings: `x`, `offset` and standard `uncertainty` [m], arrays of one length; `face`, array of words (`FACES`).
    Raises ValueError for readings that are not finite, uncertainties not positive, or unknown faces."""

    x: np.ndarray
    offset: np.ndarray
    face: np.ndarray
    uncertainty: np.ndarray

    def __post_init__(self):
        x, offset, spread = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(v, dtype=float)) for v in (self.x, self.offset, self.uncertainty))
        )
        face = np.broadcast_to(np.atleast_1d(np.asarray(self.face, dtype=str)), x.shape)
        if x.ndim != 1 or not np.all(np.isfinite(x) & np.isfinite(offset)):
            raise ValueError("offsets need lists of finite numbers for x and offset, in metres")
        if not np.all(np.isfinite(spread) & (spread > 0.0)):
            raise ValueError("the uncertainty of an offset must be a positive number, in metres")
        unknown = sorted(set(face.tolist()) - set(FACES))
        if unknown:
            raise ValueError(f"face {unknown[0]!r} is not known: give one of {', '.join(FACES)}")
        for name, value in (("x", x), ("offset", offset), ("uncertainty", spread), ("face", face)):
            object.__setattr__(self, name, value.copy())

    def __len__(self):
        return len(self.x)


def read_offsets(source, uncertainty: float = STATED) -> Offsets:
    """Offsets from a CSV file (path) or its text (a string with a line break); form in the module text.

    `uncertainty` [m] counts where the table states none. ValueError names the line, what is wrong and what is allowed.
    """
    text = source if isinstance(source, str) and "\n" in source else _text_of(Path(source))
    lines = [(i, line.strip()) for i, line in enumerate(text.splitlines(), 1)]
    lines = [(i, line) for i, line in lines if line and not line.startswith("#")]
    if not lines:
        raise ValueError(f"the table of offsets is empty: give a head line {','.join(COLUMNS)} and one line a reading")
    head, *rows = [[cell.strip() for cell in next(csv.reader([line]))] for _, line in lines]
    wrong = [name for name in head if name not in COLUMNS] or [n for n in COLUMNS[:3] if n not in head]
    if wrong or len(set(head)) != len(head):
        raise ValueError(
            f"line {lines[0][0]}: columns are {','.join(head)}; needed are {','.join(COLUMNS[:3])}, and "
            f"{COLUMNS[3]} if you like, each once"
        )
    if not rows:
        raise ValueError("the table of offsets has a head line and no readings")
    read = [
        _row(dict(zip(head, row, strict=False)), len(row) == len(head), number, uncertainty)
        for row, (number, _) in zip(rows, lines[1:], strict=True)
    ]
    return Offsets(*(np.array(column) for column in zip(*read, strict=True)))


def _text_of(path):
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise ValueError(f"{path.name} cannot be read: {error.strerror}; give a CSV file of offsets") from None
    except UnicodeDecodeError:
        raise ValueError(f"{path.name} is not a text file: save the table as CSV, UTF-8") from None


def _row(cells, whole, number, uncertainty):
    if not whole:
        raise ValueError(f"line {number}: not as many cells as the head line has columns")

    def metres(name):
        try:
            value = float(cells[name])
        except ValueError:
            value = np.nan
        if not np.isfinite(value):
            raise ValueError(f"line {number}: {name} is {cells[name]!r}: give a number in millimetres, with a point")
        return to_si(value, "mm")

    face = cells["face"].lower()
    if face not in FACES:
        raise ValueError(f"line {number}: face is {cells['face']!r}: give one of {', '.join(FACES)}")
    spread = metres(COLUMNS[3]) if cells.get(COLUMNS[3]) else uncertainty
    if not spread > 0.0:
        raise ValueError(f"line {number}: uncertainty is {spread / FACTORS['mm']:g} mm: give a positive number")
    return metres("x_mm"), metres("offset_mm"), face, spread


def offsets_text(offsets: Offsets) -> str:
    """The readings as CSV text; `read_offsets` gives them back."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for x, offset, face, spread in zip(offsets.x, offsets.offset, offsets.face, offsets.uncertainty, strict=True):
        x, offset, spread = (f"{from_si(v, 'mm'):.9g}" for v in (x, offset, spread))
        writer.writerow([x, offset, face, spread])
    return out.getvalue()


def write_offsets(path, offsets: Offsets) -> None:
    """Write the readings as CSV, all or nothing."""
    write_atomically(path, offsets_text(offsets))
