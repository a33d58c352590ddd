"""Blanks laid out on stock sheets: plain shelves of rectangles, as a builder would with a panel saw.

Each pair is one block, its blanks side by side on the same sheet. Blocks stand in rows (shelves) across the sheet, the
deepest first; a block goes into the first row and sheet with room. All arrangements (side by side along the chord or
along the span, turned by 90 degrees where the grain allows, head to tail where asked for) are tried and the one with
the fewest sheets, then the largest offcut, is kept. It is a layout that can be sawn, not the best one there is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from ..units import read_choice, read_number, show_input
from .blanks import Blank, Blanks

SLACK = 1e-9  # m


@dataclass(frozen=True, eq=False)
class Placed:
    """One blank on a stock sheet: a point p of the blank lies at turn p + shift, x along the stock's length."""

    blank: Blank
    turn: np.ndarray  # (2, 2)
    shift: np.ndarray  # (2,) [m]
    face: str = "up"  # or "down": which way the outer face lies
    sheet: int = 0  # number of the stock sheet, 0 for the first

    def on_sheet(self, points):
        """Points of the blank [m] as they lie on the stock sheet."""
        return np.asarray(points) @ self.turn.T + self.shift

    @property
    def outline(self) -> np.ndarray:
        """Outline of the blank (n, 2) as it lies on the stock sheet [m]."""
        return self.on_sheet(self.blank.outline)

    @property
    def box(self) -> tuple:
        """Left, bottom, right, top on the stock sheet [m]."""
        outline = self.outline
        return (*outline.min(axis=0), *outline.max(axis=0))


@dataclass(frozen=True, eq=False)
class Nesting:
    """The layout of blanks on stock sheets."""

    placed: tuple  # of Placed
    stock_length: float  # m
    stock_width: float  # m
    kerf: float  # m
    edge_trim: float  # m
    stock_grain: str  # "length" or "width"
    sheets: int  # how many
    blank_area: float  # m2
    offcut_area: float  # m2, all that is not blank, kerf and edges included
    offcut_share: float  # of the stock sheets [-]
    largest_offcut: tuple  # (sheet, left, bottom, right, top) of the largest rectangle left, inside trim and kerf [m]
    notes: tuple  # in words


@dataclass(frozen=True, eq=False)
class _Block:
    """Blanks that stay together."""

    items: tuple  # of Placed, the corner of the block at (0, 0)
    size: tuple  # along and across the stock sheet [m]

    def fits(self, room):
        """Whether there is room (along, across) [m] for it."""
        return self.size[0] <= room[0] + SLACK and self.size[1] <= room[1] + SLACK


def nest(
    parts,
    stock_length: float,
    stock_width: float,
    kerf: float,
    *,
    edge_trim: float = 0.0,
    stock_grain: str = "length",
    head_to_tail: bool = False,
    keep_pairs: bool = True,
) -> Nesting:
    """Lay the blanks of one or several parts out on stock sheets of one size.

    Parameters
    ----------
    parts : Blanks or sequence of Blanks
        The pairs to cut; one entry for each part, twice for two of a kind. All of the same sheet and thickness.
    stock_length, stock_width : float
        Of the stock sheet [m].
    kerf : float
        Width of the saw cut, kept between neighbours [m].
    edge_trim : float
        Strip cut off along every edge of the stock sheet first [m].
    stock_grain : str
        Whether the grain of the stock sheet runs along its "length" or its "width".
    head_to_tail : bool
        Lay the two blanks of a tapered pair head to tail. The lower one then lies face down (they are mirror images).
    keep_pairs : bool
        Both blanks of a pair side by side on one stock sheet. False: each on its own.

    Raises
    ------
    ValueError
        For a bad number, blanks of different sheets, or a blank (or pair) that does not fit on the stock sheet.
    """
    parts = (parts,) if isinstance(parts, Blanks) else tuple(parts)
    _check(parts, stock_length, stock_width, kerf, edge_trim, stock_grain)
    room = (stock_length - 2.0 * edge_trim, stock_width - 2.0 * edge_trim)
    groups = [(pair.pair,) if keep_pairs else tuple((blank,) for blank in pair) for pair in parts]
    options = [_that_fit(unit, room, kerf, stock_grain, head_to_tail) for group in groups for unit in group]
    layouts = [
        _nesting(_layout(choice, room, kerf, edge_trim), stock_length, stock_width, kerf, edge_trim, stock_grain)
        for choice in _choices(options)
    ]
    return min(layouts, key=lambda n: (n.sheets, -_rectangle_area(n.largest_offcut)))


def _choices(options):
    """Arrangements to try: all combinations for up to three blocks, else the same one for all that have it."""
    if len(options) <= 3:
        return list(product(*options))
    most = max(len(o) for o in options)
    return [tuple(o[min(i, len(o) - 1)] for o in options) for i in range(most)]


def _that_fit(unit, room, kerf, stock_grain, head_to_tail):
    """Blocks of these blanks that fit on the stock sheet; ValueError where none does."""
    blocks = _blocks(unit, kerf, stock_grain, head_to_tail)
    good = [block for block in blocks if block.fits(room)]
    if good:
        return good
    sizes = " or ".join(f"{_mm(b.size[0])} x {_mm(b.size[1])}" for b in blocks)
    what = unit[0].name if len(unit) == 1 else f"{unit[0].part}, both sheets side by side"
    apart = len(unit) > 1 and all(
        any(block.fits(room) for block in _blocks((blank,), kerf, stock_grain, False)) for blank in unit
    )
    other = 'let the two lie apart, without "blanks of the pair side by side"' if apart else "turn the grain"
    raise ValueError(
        f"{what}: needs {sizes} of the sheet (grain along the {unit[0].grain} of the part), which has "
        f"{_mm(room[0])} x {_mm(room[1])} inside its trimmed edges: take a larger sheet, or {other}"
    )


def _blocks(unit, kerf, stock_grain, head_to_tail):
    """All arrangements of one blank or a pair, as the grain allows."""
    grain = unit[0].grain
    along = {"chord": (stock_grain == "length",), "span": (stock_grain == "width",), "none": (True, False)}[grain]
    upright, turned = np.eye(2), np.array([[0.0, -1.0], [1.0, 0.0]])
    return [
        _turned(pair, upright if chord_along else turned)
        for pair in _pairings(unit, kerf, head_to_tail)
        for chord_along in along
    ]


def _pairings(unit, kerf, head_to_tail):
    """Blanks put together in the part's own directions: `Placed`s, one or two."""
    first, same = unit[0], np.eye(2)
    one = Placed(first, same, np.zeros(2))
    if len(unit) == 1:
        return [(one,)]
    other = unit[1]
    if head_to_tail and _tapers(first.outline):
        turn = np.diag([-1.0, 1.0])  # the mirror image, mirrored once more: face down, slanting edges together
        level = first.outline[:, 1].min() - other.outline[:, 1].min()
        places = [np.array([x, level]) for x in _head_to_tail_shifts(first.outline, kerf)]
        return [(one, Placed(other, turn, place, "down")) for place in places]
    wide, long = np.ptp(first.outline, axis=0)
    return [(one, Placed(other, same, np.array(place))) for place in ((wide + kerf, 0.0), (0.0, long + kerf))]


def _tapers(outline):
    back, front = _edges(outline, np.unique(outline[:, 1]))
    return bool(np.ptp(front - back) > SLACK)


def _head_to_tail_shifts(outline, kerf):
    """x at which the other blank's trailing edge line comes to lie so that the slanting edges stay a kerf apart: front
    edges together, or trailing edges together."""
    z = np.unique(outline[:, 1])
    back, front = _edges(outline, z)
    turned = z.max() + z.min() - z
    apart = [kerf * np.hypot(1.0, float(np.max(np.abs(np.gradient(edge, z))))) for edge in (front, back)]
    # straight between stations on both sides, so the closest pair is at a station of one or the other
    return (
        float(np.max(front + np.interp(turned, z, front)) + apart[0]),
        float(np.min(back + np.interp(turned, z, back)) - apart[1]),
    )


def _edges(outline, z):
    """Trailing and front edge of a blank at heights z."""
    low, high = np.empty_like(z), np.empty_like(z)
    for i, value in enumerate(z):
        on = outline[np.isclose(outline[:, 1], value, atol=1e-12), 0]
        low[i], high[i] = on.min(), on.max()
    return low, high


def _turned(pair, turn) -> _Block:
    """The block turned onto the stock sheet and moved to the corner (0, 0)."""
    items = [replace(one, turn=turn @ one.turn, shift=turn @ one.shift) for one in pair]
    corners = np.vstack([one.outline for one in items])
    low = corners.min(axis=0)
    return _Block(tuple(replace(one, shift=one.shift - low) for one in items), tuple(np.ptp(corners, axis=0)))


def _layout(blocks, room, kerf, edge_trim) -> tuple:
    """Shelves across the stock sheet: each a list [sheet, bottom, height, used length]; the deepest block first."""
    shelves, used, placed = [], [], []
    for block in sorted(blocks, key=lambda b: (-b.size[1], -b.size[0])):
        shelf = next(
            (s for s in shelves if block.size[1] <= s[2] + SLACK and s[3] + block.size[0] <= room[0] + SLACK), None
        )
        if shelf is None:
            sheet = next((i for i, top in enumerate(used) if top + block.size[1] <= room[1] + SLACK), len(used))
            if sheet == len(used):
                used.append(0.0)
            shelf = [sheet, used[sheet], block.size[1], 0.0]
            used[sheet] += block.size[1] + kerf
            shelves.append(shelf)
        corner = np.array([edge_trim + shelf[3], edge_trim + shelf[1]])
        shelf[3] += block.size[0] + kerf
        placed += [replace(one, shift=one.shift + corner, sheet=shelf[0]) for one in block.items]
    return tuple(placed)


def _nesting(placed, length, width, kerf, edge_trim, stock_grain) -> Nesting:
    sheets = 1 + max(p.sheet for p in placed)
    area, stock = sum(p.blank.area for p in placed), sheets * length * width
    offcuts = [
        (i, *_largest_empty([p.box for p in placed if p.sheet == i], length, width, kerf, edge_trim))
        for i in range(sheets)
    ]
    largest = max(offcuts, key=_rectangle_area)
    left = stock - area
    given = length, width, kerf, edge_trim, stock_grain
    return Nesting(placed, *given, sheets, area, left, left / stock, largest, _notes(placed))


def _largest_empty(boxes, length, width, kerf, edge_trim):
    """Largest rectangle (left, bottom, right, top) clear of all boxes by a kerf, inside the trimmed edges.

    A largest rectangle leans on edges of boxes or of the sheet on all sides, so only those are tried, on a grid of
    their coordinates.
    """
    low, high = np.array([edge_trim] * 2), np.array([length - edge_trim, width - edge_trim])
    grown = [np.clip([b[0] - kerf, b[1] - kerf, b[2] + kerf, b[3] + kerf], [*low, *low], [*high, *high]) for b in boxes]
    xs = np.unique([low[0], high[0], *(v for b in grown for v in (b[0], b[2]))])
    ys = np.unique([low[1], high[1], *(v for b in grown for v in (b[1], b[3]))])
    taken = np.zeros((len(xs) - 1, len(ys) - 1), dtype=bool)
    for b in grown:
        taken[np.ix_((xs[:-1] >= b[0]) & (xs[:-1] < b[2]), (ys[:-1] >= b[1]) & (ys[:-1] < b[3]))] = True
    best = (low[0], low[1], low[0], low[1])
    for i in range(len(xs) - 1):
        free = np.ones(len(ys) - 1, dtype=bool)
        for j in range(i + 1, len(xs)):
            free &= ~taken[j - 1]
            bottom, top = _longest_run(free, ys)
            if (xs[j] - xs[i]) * (top - bottom) > (best[2] - best[0]) * (best[3] - best[1]):
                best = (xs[i], bottom, xs[j], top)
    return tuple(float(v) for v in best)


def _longest_run(free, ys):
    """Ends of the longest stretch of ys over which all cells are free."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], free.astype(int), [0]])))
    if not edges.size:
        return ys[0], ys[0]
    starts, stops = ys[edges[::2]], ys[edges[1::2]]
    k = int(np.argmax(stops - starts))
    return starts[k], stops[k]


def _rectangle_area(offcut):
    _, left, bottom, right, top = offcut
    return (right - left) * (top - bottom)


def _notes(placed):
    down = sorted({p.blank.name for p in placed if p.face == "down"})
    return tuple(f"{name} lies face down: mark it on the other face, or turn it over after cutting" for name in down)


def _mm(length):
    return show_input(round(length, 7), "mm")


def _check(parts, length, width, kerf, edge_trim, stock_grain):
    if not parts or not all(isinstance(p, Blanks) for p in parts):
        raise ValueError("give the blanks of one part, or a list of them")
    kinds = sorted({f"{b.sheet}, {_mm(b.thickness)}" for pair in parts for b in pair})
    if len(kinds) > 1:
        raise ValueError(f"these blanks come from different sheets ({'; '.join(kinds)}): lay out each kind on its own")
    read_number(length, "stock length", "mm", above=0.0)
    read_number(width, "stock width", "mm", above=0.0)
    read_number(kerf, "kerf", "mm", low=0.0)
    read_number(edge_trim, "edge trim", "mm", low=0.0)
    read_choice(stock_grain, "stock_grain", ("length", "width"))
    if 2.0 * edge_trim >= min(length, width):
        raise ValueError(f"edge trim {_mm(edge_trim)} leaves nothing of the sheet, {_mm(length)} x {_mm(width)}")
