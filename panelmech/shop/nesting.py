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

from ..units import show_input
from .blanks import Blank, Blanks

SLACK = 1e-9  # m


@dataclass(frozen=True, eq=False)
class Placed:
    """One blank on a sheet: `blank`; `sheet`, 0 for the first; `outline` (n, 2) on the sheet [m], x along its length, y
    along its width; `turn` (2, 2) and `shift` (2,), so that a point p of the blank lies at turn p + shift; `face` "up"
    or "down": which way the outer face lies."""

    blank: Blank
    sheet: int
    outline: np.ndarray
    turn: np.ndarray
    shift: np.ndarray
    face: str

    def on_sheet(self, points):
        """Points of the blank [m] as they lie on the sheet."""
        return np.asarray(points) @ self.turn.T + self.shift

    @property
    def box(self) -> tuple:
        """Left, bottom, right, top on the sheet [m]."""
        return (*self.outline.min(axis=0), *self.outline.max(axis=0))


@dataclass(frozen=True, eq=False)
class Nesting:
    """The layout: `placed` blanks; `sheet_length`, `sheet_width`, `kerf`, `edge_trim` [m]; `sheet_grain`, "length" or
    "width"; `sheets`, how many; `blank_area`, `offcut_area` [m2], all that is not blank, kerf and edges included;
    `offcut_share` of the sheets [-]; `largest_offcut` (sheet, left, bottom, right, top), the largest whole rectangle
    left over, inside edge trim and kerf [m]; `notes`."""

    placed: tuple
    sheet_length: float
    sheet_width: float
    kerf: float
    edge_trim: float
    sheet_grain: str
    sheets: int
    blank_area: float
    offcut_area: float
    offcut_share: float
    largest_offcut: tuple
    notes: tuple


@dataclass(frozen=True, eq=False)
class _Block:
    """Blanks that stay together: (blank, turn, shift, face) each, and the block's size along and across the sheet."""

    items: tuple
    size: tuple


def nest(
    parts,
    sheet_length: float,
    sheet_width: float,
    kerf: float,
    *,
    edge_trim: float = 0.0,
    sheet_grain: str = "length",
    head_to_tail: bool = False,
    keep_pairs: bool = True,
) -> Nesting:
    """Lay the blanks of one or several parts out on stock sheets of one size.

    Parameters
    ----------
    parts : Blanks or sequence of Blanks
        The pairs to cut; one entry for each part, twice for two of a kind. All of the same sheet and thickness.
    sheet_length, sheet_width : float
        Of the stock sheet [m].
    kerf : float
        Width of the saw cut, kept between neighbours [m].
    edge_trim : float
        Strip cut off along every edge of the sheet first [m].
    sheet_grain : str
        Whether the grain of the sheet runs along its "length" or its "width".
    head_to_tail : bool
        Lay the two blanks of a tapered pair head to tail. The lower one then lies face down (they are mirror images).
    keep_pairs : bool
        Both blanks of a pair side by side on one sheet. False: each on its own.

    Raises
    ------
    ValueError
        For a bad number, blanks of different sheets, or a blank (or pair) that does not fit on the sheet.
    """
    parts = (parts,) if isinstance(parts, Blanks) else tuple(parts)
    _check(parts, sheet_length, sheet_width, kerf, edge_trim, sheet_grain)
    room = (sheet_length - 2.0 * edge_trim, sheet_width - 2.0 * edge_trim)
    groups = [(pair.pair,) if keep_pairs else tuple((blank,) for blank in pair) for pair in parts]
    units = [unit for group in groups for unit in group]
    options = [_that_fit(unit, room, kerf, sheet_grain, head_to_tail) for unit in units]
    layouts = [_layout(choice, room, kerf, edge_trim) for choice in _choices(options)]
    full = [
        replace(_nesting(placed, sheet_length, sheet_width, kerf, edge_trim, sheet_grain), notes=_notes(placed))
        for placed in layouts
    ]
    return min(full, key=lambda n: (n.sheets, -_rectangle_area(n.largest_offcut)))


def _choices(options):
    """Arrangements to try: all combinations for up to three blocks, else the same one for all that have it."""
    if len(options) <= 3:
        return list(product(*options))
    most = max(len(o) for o in options)
    return [tuple(o[min(i, len(o) - 1)] for o in options) for i in range(most)]


def _that_fit(unit, room, kerf, sheet_grain, head_to_tail):
    """Blocks of these blanks that fit on the sheet; ValueError where none does."""
    blocks = _blocks(unit, kerf, sheet_grain, head_to_tail)
    good = [b for b in blocks if _fits(b, room)]
    if not good:
        sizes = " or ".join(f"{_mm(b.size[0])} x {_mm(b.size[1])}" for b in blocks)
        what = unit[0].name if len(unit) == 1 else f"{unit[0].part}, both sheets side by side"
        apart = len(unit) > 1 and all(
            any(_fits(b, room) for b in _blocks((blank,), kerf, sheet_grain, False)) for blank in unit
        )
        advice = (
            "take a larger sheet, or turn the grain"
            if not apart
            else 'take a larger sheet, or let the two lie apart, without "blanks of the pair side by side"'
        )
        raise ValueError(
            f"{what}: needs {sizes} of the sheet (grain along the {unit[0].grain} of the part), which has "
            f"{_mm(room[0])} x {_mm(room[1])} inside its trimmed edges: {advice}"
        )
    return good


def _fits(block, room):
    return block.size[0] <= room[0] + SLACK and block.size[1] <= room[1] + SLACK


def _blocks(unit, kerf, sheet_grain, head_to_tail):
    """All arrangements of one blank or a pair, as the grain allows."""
    grain = unit[0].grain
    along = {"chord": (sheet_grain == "length",), "span": (sheet_grain == "width",), "none": (True, False)}[grain]
    out = []
    for pair in _pairings(unit, kerf, head_to_tail):
        for chord_along in along:
            turn = np.eye(2) if chord_along else np.array([[0.0, -1.0], [1.0, 0.0]])
            out.append(_turned(pair, turn))
    return out


def _pairings(unit, kerf, head_to_tail):
    """Blanks put together in the part's own directions: (blank, turn, shift, face) each."""
    eye, first = np.eye(2), unit[0]
    one = (first, eye, np.zeros(2), "up")
    if len(unit) == 1:
        return [(one,)]
    other = unit[1]
    if head_to_tail and _tapers(first.outline):
        turn = np.diag([-1.0, 1.0])  # the mirror image, mirrored once more: face down, slanting edges together
        level = first.outline[:, 1].min() - other.outline[:, 1].min()
        return [(one, (other, turn, np.array([x, level]), "down")) for x in _head_to_tail_shifts(first.outline, kerf)]
    wide, long = np.ptp(first.outline, axis=0)
    return [
        (one, (other, eye, np.array([wide + kerf, 0.0]), "up")),
        (one, (other, eye, np.array([0.0, long + kerf]), "up")),
    ]


def _tapers(outline):
    back, front = _edges(outline, np.unique(outline[:, 1]))
    return bool(np.ptp(front - back) > SLACK)


def _head_to_tail_shifts(outline, kerf):
    """x at which the other blank's trailing edge line comes to lie so that the slanting edges stay a kerf apart: front
    edges together, or trailing edges together."""
    z = np.unique(outline[:, 1])
    back, front = _edges(outline, z)
    there = z.max() + z.min() - z
    apart = [kerf * np.hypot(1.0, float(np.max(np.abs(np.gradient(edge, z))))) for edge in (front, back)]
    # straight between stations on both sides, so the closest pair is at a station of one or the other
    return (
        float(np.max(front + np.interp(there, z, front)) + apart[0]),
        float(np.min(back + np.interp(there, z, back)) - apart[1]),
    )


def _edges(outline, z):
    """Trailing and front edge of a blank at heights z."""
    low, high = np.empty_like(z), np.empty_like(z)
    for i, value in enumerate(z):
        on = outline[np.isclose(outline[:, 1], value, atol=1e-12), 0]
        low[i], high[i] = on.min(), on.max()
    return low, high


def _turned(pair, turn) -> _Block:
    """The block turned onto the sheet and moved to the corner (0, 0)."""
    items = [(blank, turn @ own, turn @ shift, face) for blank, own, shift, face in pair]
    corners = np.vstack([blank.outline @ own.T + shift for blank, own, shift, _ in items])
    low = corners.min(axis=0)
    return _Block(
        tuple((blank, own, shift - low, face) for blank, own, shift, face in items), tuple(np.ptp(corners, axis=0))
    )


def _layout(blocks, room, kerf, edge_trim) -> tuple:
    """Shelves across the sheet: each a list [sheet, bottom, height, used length]; the deepest block first."""
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
        placed += [
            Placed(blank, shelf[0], blank.outline @ turn.T + shift + corner, turn, shift + corner, face)
            for blank, turn, shift, face in block.items
        ]
    return tuple(placed)


def _nesting(placed, length, width, kerf, edge_trim, sheet_grain) -> Nesting:
    sheets = 1 + max(p.sheet for p in placed)
    area, stock = sum(p.blank.area for p in placed), sheets * length * width
    offcuts = [
        (i, *_largest_empty([p.box for p in placed if p.sheet == i], length, width, kerf, edge_trim))
        for i in range(sheets)
    ]
    return Nesting(
        placed,
        length,
        width,
        kerf,
        edge_trim,
        sheet_grain,
        sheets,
        area,
        stock - area,
        (stock - area) / stock,
        max(offcuts, key=_rectangle_area),
        (),
    )


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


def _check(parts, length, width, kerf, edge_trim, sheet_grain):
    if not parts or not all(isinstance(p, Blanks) for p in parts):
        raise ValueError("give the blanks of one part, or a list of them")
    kinds = sorted({f"{b.sheet}, {_mm(b.thickness)}" for pair in parts for b in pair})
    if len(kinds) > 1:
        raise ValueError(f"these blanks come from different sheets ({'; '.join(kinds)}): lay out each kind on its own")
    for name, value, least in (
        ("sheet length", length, 1e-9),
        ("sheet width", width, 1e-9),
        ("kerf", kerf, 0.0),
        ("edge trim", edge_trim, 0.0),
    ):
        if not (isinstance(value, int | float) and np.isfinite(value) and value >= least):
            raise ValueError(f"{name} is {value!r}: give {'0 or more' if least == 0.0 else 'a positive number'}, in m")
    if sheet_grain not in ("length", "width"):
        raise ValueError(f"sheet_grain is {sheet_grain!r}: give length or width")
    if 2.0 * edge_trim >= min(length, width):
        raise ValueError(f"edge trim {_mm(edge_trim)} leaves nothing of the sheet, {_mm(length)} x {_mm(width)}")
