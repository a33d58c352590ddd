"""Room for words on a picture: where a name fits without covering a line, another name or a mark.

The picture is cut into cells of a millimetre; each cell is free or belongs to somebody. Sizes and places are in mm
from the lower left corner of the axes.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy import ndimage

from .figures import INCH, text_width

CELL = 1.0  # mm
FREE, WORDS = 0, -1
STRAIGHT = 0.985  # chord over arc of a line under its name; less bends too much to write on
MARGIN = 0.8  # mm kept free around words


@lru_cache(maxsize=512)
def text_size(words: str, points: float) -> tuple[float, float]:
    """Width and height of one or more lines of text [mm]."""
    lines = words.split("\n")
    return max(text_width(line, points) for line in lines), 1.25 * points / 72.0 * INCH * len(lines)


class Room:
    """Cells of an axes of this size [mm] and whom they belong to: `FREE`, `WORDS`, or the number of a line (1, …)."""

    def __init__(self, width: float, height: float):
        self.width, self.height = width, height
        self.owner = np.zeros((max(int(height / CELL), 1), max(int(width / CELL), 1)), dtype=int)

    def centres(self):
        """Places of the cells: x of the columns, y of the rows."""
        rows, columns = self.owner.shape
        return (np.arange(columns) + 0.5) * CELL, (np.arange(rows) + 0.5) * CELL

    def take(self, points, owner: int) -> None:
        """Give the cells under these points to somebody."""
        rows, columns = self._cells(points)
        self.owner[rows, columns] = owner

    def take_line(self, points, owner: int) -> None:
        """Give the cells along a line to somebody."""
        self.take(along(np.asarray(points), 0.5 * CELL)[0], owner)

    def place(self, words: str, points: float, where=None):
        """Middle of a free box for level words, as far from everything as possible, and then taken; None if none is.

        `where`: cells that may be used.
        """
        wide, high = (int(np.ceil((s + 2 * MARGIN) / CELL)) for s in text_size(words, points))
        free = (self.owner == FREE) & (True if where is None else where)
        free = np.pad(free, 1)[1:-1, 1:-1]
        fits = ndimage.minimum_filter(free, size=(high, wide), mode="constant", cval=0)
        if not fits.any():
            return None
        clear = ndimage.distance_transform_edt(np.pad(free, 1))[1:-1, 1:-1]
        rows, columns = np.nonzero(fits)
        off_centre = np.hypot(rows - rows.mean(), columns - columns.mean())
        best = np.argmax(np.minimum(clear[rows, columns], high) - 0.05 * off_centre)
        row, column = rows[best], columns[best]
        middle = ((column + 0.5) * CELL, (row + 0.5) * CELL)
        self.take(_box(middle, wide * CELL, high * CELL, 0.0), WORDS)
        return middle

    def place_on_line(self, words: str, points: float, lines, owner: int):
        """(middle, angle in degrees) of a straight stretch of one of these lines, each an array of points, for words
        written along it; then taken. None where no stretch is straight, long and free enough."""
        wide, high = (s + MARGIN for s in text_size(words, points))
        for line in sorted(lines, key=lambda p: -along(np.asarray(p), CELL)[1]):
            steps, _ = along(np.asarray(line), CELL)
            span = int(np.ceil(wide / CELL))
            for start in _from_the_middle(len(steps) - span):
                first, last = steps[start], steps[start + span - 1]
                chord = np.hypot(*(last - first))
                middle = 0.5 * (first + last)
                angle = _upright(np.degrees(np.arctan2(*(last - first)[::-1])))
                box = _box(middle, wide, high, angle)
                if chord >= STRAIGHT * (span - 1) * CELL and self._inside(box) and self._free(box, owner):
                    self.take(box, WORDS)
                    return tuple(middle), angle
        return None

    def _cells(self, points):
        rows, columns = self.owner.shape
        column, row = np.floor(np.asarray(points).T / CELL).astype(int)
        return np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)

    def _inside(self, points):
        return bool(np.all((points >= 0) & (points <= (self.width, self.height))))

    def _free(self, points, owner):
        owners = self.owner[self._cells(points)]
        return bool(np.all((owners == FREE) | (owners == owner)))


def along(points, step: float):
    """Points every `step` along a line through these points, and its whole length."""
    lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    places = np.arange(0.0, lengths[-1] + 1e-9, step)
    return np.column_stack([np.interp(places, lengths, points[:, i]) for i in (0, 1)]), float(lengths[-1])


def _box(middle, wide, high, angle):
    """Points of a box of words, no further apart than half a cell."""
    x, y = np.meshgrid(*(np.linspace(-s / 2, s / 2, max(int(2 * s / CELL), 2) + 1) for s in (wide, high)))
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.column_stack([middle[0] + c * x.ravel() - s * y.ravel(), middle[1] + s * x.ravel() + c * y.ravel()])


def _from_the_middle(count):
    """0 … count - 1, the middle first."""
    order = np.arange(max(count, 0))
    return order[np.argsort(np.abs(order - 0.45 * count), kind="stable")]


def _upright(angle):
    return angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle
