"""What a map is drawn from: the values of a sweep in shown units, the bands of colour, and the room left for names."""

from __future__ import annotations

import numpy as np
import scipy
from contourpy import contour_generator
from matplotlib.ticker import MaxNLocator

from ..study.design import LIMITS
from ..units import from_si, in_shown, shown_unit
from .figures import axes_size, text_size

LEAST = 1e-6  # reserve, to take logarithms of: none at all is drawn as this
NEXT_TO = 0.02  # of a reserve: limits that meet are drawn this far beyond the place, so that no gap is left
BANDS, MANY_TIMES = 9, 50.0  # bands of colour, about; ratio of the values from which they go up by multiples
SHORT_REASONS = (  # of `study.sweeps.REASONS`, where there is little room
    "",
    "spacer too small to spread the sheets",
    "spacer too large for these sheets",
    "setback leaves no free sheet",
    "spacer touches no sheet",
    "not a length",
    "not solved",
    "spacer wall too thick",
    "frames take the whole span",
    "not worked out",
    "spacer reaches into the land",
    "cannot be made elsewhere along the span",
    "ribs and solid zones do not fit",
)
STOCK_OF = {
    "sheet_thickness": lambda design: design.sheet.stock_thicknesses,
    "spacer_diameter": lambda design: design.spacer.diameters,
    "spacer_wall": lambda design: design.spacer.walls,
}


class MapGrid:
    """Shown values of a sweep on an axes, and the room left on it.

    `x`, `y` values in shown units; `made` where a design can be made, rows upwards; `grid[output]` values [SI] with
    what cannot be made filled from beside it, to be hatched over. ValueError for a sweep that is no map.
    """

    def __init__(self, ax, sweep, design):
        self.sweep, self.design, self.fields = sweep, design, tuple(sweep.axes)
        if len(self.fields) != 2 or any(name not in LIMITS for name in self.fields):
            raise ValueError(f"a map needs two numeric inputs, this sweep varies {', '.join(self.fields)}")
        self.limits = [LIMITS[name] for name in self.fields]
        self.x, self.y = (in_shown(v, lim.unit) for v, lim in zip(sweep.axes.values(), self.limits, strict=True))
        if any(len(v) < 3 or np.any(np.diff(v) <= 0) for v in (self.x, self.y)):
            raise ValueError("a map needs at least three values of each input, rising")
        self.ends = (self.x[0], self.x[-1]), (self.y[0], self.y[-1])
        ax.set_xlim(*self.ends[0])
        ax.set_ylim(*self.ends[1])
        self.room = Room(*axes_size(ax))
        self.checks = sweep.checks
        self.made = sweep.feasible.T
        self.made_cells = self.at_cells(self.made)

    def __getitem__(self, output):
        values = np.where(np.isinf(self.sweep[output]), np.nan, self.sweep[output]).T
        missing = np.isnan(values)
        if missing.any() and not missing.all():
            index = scipy.ndimage.distance_transform_edt(missing, return_distances=False, return_indices=True)
            values = np.where(self.made, values, values[tuple(index)])
        return values

    def to_mm(self, points):
        """Shown values as places on the axes."""
        low, high = np.array(self.ends).T
        return (np.asarray(points) - low) / (high - low) * (self.room.width, self.room.height)

    def from_mm(self, places):
        """Places on the axes as shown values."""
        low, high = np.array(self.ends).T
        return low + np.asarray(places) / (self.room.width, self.room.height) * (high - low)

    def at_cells(self, values):
        """Values of the sweep at the cells of the room, each from the nearest design."""
        (x_low, x_high), (y_low, y_high) = self.ends
        x, y = self.room.centres()
        columns = _nearest(self.x, x_low + x / self.room.width * (x_high - x_low))
        rows = _nearest(self.y, y_low + y / self.room.height * (y_high - y_low))
        return values[np.ix_(rows, columns)]

    def governing_codes(self):
        """Index into `checks` of the least reserve at each cell of the room, -1 where none is known or nothing made."""
        return self.at_cells(governing_codes(self.sweep).T)

    def lines(self, values, level):
        """Where values, rows upwards, cross a level: arrays of points, each line with the higher side on its left."""
        lines = contour_generator(self.x, self.y, values, corner_mask=True).lines(level)
        return [line for line in lines if len(line) > 1]

    def made_stretches(self, line):
        """The parts of a line, points in shown values, along which designs can be made."""
        return _stretches(line, self.made[_nearest(self.y, line[:, 1]), _nearest(self.x, line[:, 0])])

    def bounding(self, key, line):
        """The parts of the limit of a check along which no other check fails: where what passes ends."""
        others = np.fmin.reduce([np.maximum(self[f"{k}_reserve"], LEAST) for k in self.checks if k != key])
        read = scipy.interpolate.RegularGridInterpolator((self.y, self.x), np.log(others))
        inside = np.clip(line, *np.array(self.ends).T)  # a contour may end a last bit off the map
        return _stretches(line, read(inside[:, ::-1]) > -NEXT_TO)

    def place(self):
        """The design's own place in shown values, and whether it lies on the map."""
        pairs = zip(self.fields, self.limits, self.ends, strict=True)
        values = [(from_si(getattr(self.design, name), shown_unit(limit.unit)), ends) for name, limit, ends in pairs]
        return [v for v, _ in values], all(low <= v <= high for v, (low, high) in values)


def _stretches(line, good):
    cuts = np.flatnonzero(np.diff(good.astype(int))) + 1
    pieces = zip(np.split(line, cuts), np.split(good, cuts), strict=True)
    return [points for points, kept in pieces if kept[0] and len(points) > 1]


def governing_codes(sweep) -> np.ndarray:
    """Index into the sweep's `checks` of that with the least reserve, -1 where none is known or it is not decided."""
    reserves = np.array([sweep[f"{key}_reserve"] for key in sweep.checks])
    known = ~np.all(np.isnan(reserves), axis=0) & ~sweep.undecided
    return np.where(known, np.argmin(np.where(np.isnan(reserves), np.inf, reserves), axis=0), -1)


def _nearest(values, wanted):
    return np.clip(np.searchsorted(0.5 * (values[1:] + values[:-1]), wanted), 0, len(values) - 1)


def band_edges(values) -> np.ndarray:
    """Rising edges of the bands of colour that hold all finite values: round numbers, evenly apart, or by multiples
    where the values span many times their least."""
    finite = values[np.isfinite(values)]
    if not finite.size:
        return np.array([0.0, 1.0])
    low, high = float(finite.min()), float(finite.max())
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        return np.array([low - (abs(low) or 1.0) * 0.05, high + (abs(high) or 1.0) * 0.05])
    if low <= 0 or high / low < MANY_TIMES:
        return MaxNLocator(BANDS, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    decades = 10.0 ** np.arange(np.floor(np.log10(low)), np.ceil(np.log10(high)) + 1)
    for parts in ((1, 2, 5), (1, 3), (1,)):
        edges = np.concatenate([decades * part for part in parts])
        edges.sort()
        first, last = np.searchsorted(edges, low, "right") - 1, np.searchsorted(edges, high, "left")
        if last - first <= 1.5 * BANDS:
            break
    return edges[first : last + 1]


def stock_values(design, field: str, low: float, high: float) -> tuple:
    """Sizes one can buy of an input, between two values [SI]; empty where it is not bought by size."""
    return tuple(v for v in sorted(STOCK_OF.get(field, lambda _: ())(design)) if low <= v <= high)


# ----- Room for words on a map: where a name fits without covering a line, another name or a mark.
#
# The map is cut into cells of a millimetre; each cell is free or belongs to somebody. Sizes and places are in mm
# from the lower left corner of the axes.

CELL = 1.0  # mm
FREE, WORDS = 0, -1
STRAIGHT = 0.985  # chord over arc of a line under its name; less bends too much to write on
MARGIN = 0.8  # mm kept free around words


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
        fits = scipy.ndimage.minimum_filter(free, size=(high, wide), mode="constant", cval=0)
        if not fits.any():
            return None
        clear = scipy.ndimage.distance_transform_edt(np.pad(free, 1))[1:-1, 1:-1]
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
