"""How a template lies on paper: one page where it fits, else pages that overlap. All in millimetres.

Every page has a window for the drawing, a head with words, a foot with the level check bar and a strip on the right
with the upright one. Neighbouring windows overlap; the middle of the overlap is the join line, drawn on both pages at
the same place of the drawing, so that pages are cut or laid on it. Windows that would stay empty are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import FACTORS, read_choice, read_number
from .templates import Template

MM = FACTORS["mm"]
PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}  # portrait
ONE = "one"  # a single page as large as it must be, for a plotter
EDGE = 10.0  # left free all round: printers do not reach it
HEAD, FOOT, STRIP = 18.0, 15.0, 13.0  # words above; level bar below; upright bar on the right
OVERLAP = 10.0
AROUND = 1.0  # least room around the drawing
BAR = 100.0
OFF_JOIN = 12.0  # the chord line's distance from a join, where there is room
MOST_PAGES = 150
LARGEST = 2000.0
LEAST_WINDOW = (215.0, 112.0)  # of a plotter's page: room for the check bars and their words


def of_sheets(page: str) -> str:
    """The paper that sheets to read are printed on, where templates are on `page`."""
    return "Letter" if page == "Letter" else "A4"


@dataclass(frozen=True)
class Tile:
    """One window."""

    row: int  # from the bottom, from 0
    column: int  # from the left, from 0
    left: float  # x of the drawing there
    bottom: float  # y of the drawing there

    @property
    def label(self) -> str:
        """Letter of the row and number of the column: A1 is at the lower left."""
        return f"{_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True)
class Layout:
    """The pages of one drawing."""

    width: float  # of a page
    height: float  # of a page
    window: tuple  # left, bottom, width, height on a page
    tiles: tuple  # of Tile, those that hold something
    rows: int  # of the full grid
    columns: int  # of the full grid
    overlap: float

    @property
    def level_bar(self) -> tuple:
        """Ends (x0, y0, x1, y1) of the level check bar on every page."""
        return EDGE, EDGE + 6.0, EDGE + BAR, EDGE + 6.0

    @property
    def upright_bar(self) -> tuple:
        """Ends (x0, y0, x1, y1) of the upright check bar on every page."""
        x, y = self.width - EDGE - 4.0, EDGE + FOOT
        return x, y, x, y + BAR

    def joins(self, tile: Tile) -> tuple:
        """Join lines in the window of a tile: ("x" or "y", the drawing's coordinate there, label of the neighbour)."""
        _, _, wide, high = self.window
        half, out = 0.5 * self.overlap, []
        for axis, step, size, low in (("x", (0, 1), wide, tile.left), ("y", (1, 0), high, tile.bottom)):
            index, count = (tile.column, self.columns) if axis == "x" else (tile.row, self.rows)
            for side, place in ((-1, low + half), (1, low + size - half)):
                if 0 <= index + side < count:
                    other = Tile(tile.row + side * step[0], tile.column + side * step[1], 0.0, 0.0)
                    out.append((axis, place, other.label))
        return tuple(out)


def lay_out(template: Template, page: str = "A4", room_below: float = 0.0) -> Layout:
    """Pages for a template: the paper turned the way that needs fewer.

    Parameters
    ----------
    template : Template
    page : str
        "A4", "A3", "Letter", or "one": a single page as large as needed, for a plotter.
    room_below : float
        Further height a plotter's page is to have under the drawing [mm].

    Raises
    ------
    ValueError
        For an unknown page, more than `MOST_PAGES` pages, or a single page beyond 2 m.
    """
    left, bottom, right, top = (v / MM for v in template.box)
    size = (right - left + 2.0 * AROUND, top - bottom + 2.0 * AROUND)
    page, room_below = read_choice(page, "page", (*PAPERS, ONE)), read_number(room_below, "room below", low=0.0)
    paper = [_single(size, room_below)] if page == ONE else [PAPERS[page], PAPERS[page][::-1]]
    width, height = min(paper, key=lambda p: (np.prod(_grid(size, p)), abs(p[0] / p[1] - size[0] / size[1])))
    columns, rows = _grid(size, (width, height))
    window = (EDGE, EDGE + FOOT, width - 2 * EDGE - STRIP, height - 2 * EDGE - HEAD - FOOT)
    tiles = _tiles(template, (0.5 * (left + right), 0.5 * (bottom + top)), window, rows, columns)
    if len(tiles) > MOST_PAGES:
        raise ValueError(
            f"{template.name}: {len(tiles)} sheets of {page} would be needed, at most {MOST_PAGES} are "
            f'drawn: take larger paper, or page="{ONE}" and a plotter'
        )
    return Layout(width, height, window, tiles, rows, columns, OVERLAP)


def _single(size, room_below):
    width = max(size[0], LEAST_WINDOW[0]) + 2 * EDGE + STRIP
    height = max(size[1] + room_below, LEAST_WINDOW[1]) + 2 * EDGE + HEAD + FOOT
    if max(width, height) > LARGEST:
        raise ValueError(
            f"one sheet of {width:.0f} x {height:.0f} mm would be needed, at most {LARGEST:.0f} mm is "
            "drawn: take A3, A4 or Letter"
        )
    return np.ceil(width), np.ceil(height)


def _grid(size, paper):
    """Columns and rows of windows that cover a drawing."""
    windows = (paper[0] - 2 * EDGE - STRIP, paper[1] - 2 * EDGE - HEAD - FOOT)
    return tuple(
        1 if s <= w else int(np.ceil((s - OVERLAP) / (w - OVERLAP) - 1e-9)) for s, w in zip(size, windows, strict=True)
    )


def _tiles(template, middle, window, rows, columns) -> tuple:
    _, _, wide, high = window
    grid = (columns * (wide - OVERLAP) + OVERLAP, rows * (high - OVERLAP) + OVERLAP)
    left, bottom = middle[0] - 0.5 * grid[0], middle[1] - 0.5 * grid[1]
    if rows % 2 == 0:  # keep the chord line off the join
        spare = grid[1] - (template.box[3] - template.box[1]) / MM - 2.0 * AROUND
        bottom += min(OFF_JOIN, 0.5 * spare)
    if rows == 1:  # at the top of the window, so that the table has room below
        bottom = template.box[3] / MM + AROUND - high
    holds = _occupied(_dots(template) - [left, bottom], (wide, high), rows, columns)
    return tuple(
        Tile(row, column, left + column * (wide - OVERLAP), bottom + row * (high - OVERLAP))
        for row in range(rows)
        for column in range(columns)
        if holds[row, column]
    )


def _occupied(dots, window, rows, columns):
    """Which windows of the grid hold a point, (rows, columns); a point in an overlap is held by both."""
    holds = np.zeros((rows, columns), dtype=bool)
    steps = np.array(window) - OVERLAP
    last = np.minimum(np.floor(dots / steps).astype(int), [columns - 1, rows - 1])
    for back in ((0, 0), (1, 0), (0, 1), (1, 1)):
        index = last - back
        good = np.all((index >= 0) & (dots - index * steps <= np.array(window) + 1e-9), axis=1)
        holds[index[good, 1], index[good, 0]] = True
    return holds


def _dots(template):
    """Points at most a millimetre apart along all that is drawn [mm]."""
    rings = [np.vstack([p.points, p.points[:1]]) if p.closed else p.points for p in template.paths]
    rings += [np.array([[h.x, h.y], [h.x, h.y]]) for h in template.holes]
    out = []
    for ring in rings:
        points = ring / MM
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        at = np.linspace(0.0, along[-1], int(np.ceil(along[-1])) + 2)
        out.append(np.column_stack([np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])]))
    return np.vstack(out)


def _letters(number):
    """A to Z, then AA, AB and so on."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text
