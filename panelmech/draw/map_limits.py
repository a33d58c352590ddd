"""What a map says about its checks: each limit as a line, what cannot be made hatched, the governing check by name.

The parts return the entries of the legend: what had no room to be named in place.
"""

from __future__ import annotations

import textwrap

import numpy as np
import scipy
from matplotlib.lines import Line2D
from matplotlib.patheffects import withStroke

from .figures import TINY, Entry, along, line_style, text_size
from .look import CHECK_LINES, GROUND, INK, PAPER, QUIET
from .map_grid import SHORT_REASONS

TICK, TICK_EVERY = 1.3, 2.5  # mm: ticks on the failing side of a limit
SMOOTH = 0.8  # cells over which the edge of what can be made is rounded
HALO = [withStroke(linewidth=2.2, foreground=PAPER)]
HATCHING = "#b9bfc3"


def limits(ax, grid) -> list:
    """A line where each reserve is one, ticked on the side that fails; what has no room for its name is returned."""
    lines, fails = {}, np.zeros(grid.made.shape, dtype=bool)
    for number, rule in enumerate(grid.rules, 1):
        values = grid[f"{rule.key}_reserve"]
        if np.nanmin(values, initial=np.inf) < 1.0:
            fails |= values < 1.0
        if np.nanmin(values, initial=np.inf) < 1.0 < np.nanmax(values, initial=-np.inf):
            lines[rule] = _limit_line(ax, grid, rule, np.log(values), number)
    unnamed = _veil(ax, grid, fails)
    for number, rule in enumerate(grid.rules, 1):
        if rule in lines and not _name_line(ax, grid, rule, lines[rule], number):
            unnamed.append(Entry(f"limit: {lower(rule.name)}", "line", line_style(CHECK_LINES[rule.key])))
    return unnamed


def _limit_line(ax, grid, rule, logs, number):
    look = line_style(CHECK_LINES[rule.key])
    inside = []
    for piece in grid.lines(logs, 0.0):
        ax.plot(*piece.T, color=PAPER, lw=look["lw"] + 1.4, alpha=0.8, zorder=2)
        ax.plot(*piece.T, label=f"_limit {rule.key}", zorder=2.1, **look)
        ax.plot(*_ticks(grid, piece), color=look["color"], lw=0.7, zorder=2.1)
        for stretch in map(grid.to_mm, grid.made_stretches(piece)):
            grid.room.take_line(stretch, number)
            inside.append(stretch)
    return inside


def _ticks(grid, piece):
    """Short strokes to the failing side: a contour has its higher side on the left, so the lower one is on the right.
    x and y with gaps between the strokes."""
    places, _ = along(grid.to_mm(piece), TICK_EVERY)
    if len(places) < 2:
        return [], []
    along_line = np.gradient(places, axis=0)
    normal = np.column_stack([along_line[:, 1], -along_line[:, 0]])
    normal /= np.maximum(np.hypot(*normal.T), 1e-12)[:, None]
    strokes = np.stack([places, places + TICK * normal, np.full_like(places, np.nan)], axis=1)
    return grid.from_mm(strokes.reshape(-1, 2)).T


def _veil(ax, grid, fails):
    """Paleness over everything that fails a check."""
    if not fails.any():
        return []
    ax.contourf(grid.x, grid.y, fails.astype(float), levels=[0.5, 1.5], colors=[PAPER], alpha=0.5, zorder=1)
    return [Entry("pale: fails a check", "patch", dict(fc="#cfdde2", ec=QUIET, lw=0.5))]


def _name_line(ax, grid, rule, lines, number):
    found = grid.room.place_on_line(rule.name, TINY, lines, number)
    if found:
        middle, angle = found
        label = _write(ax, grid, rule.name, middle, CHECK_LINES[rule.key].colour, TINY, rotation=angle, zorder=5)
        label.set_bbox(dict(fc=PAPER, ec="none", pad=0.4, alpha=0.9))
    return bool(found)


def not_made(ax, grid) -> list:
    """Hatch what cannot be made and name the reason in place; what has no room for it is returned."""
    if grid.made.all():
        return []
    rings = dict(levels=[0.5, 1.5], zorder=3)
    outside = scipy.ndimage.gaussian_filter(np.where(grid.made, 0.0, 1.0), SMOOTH, mode="nearest")
    ax.contourf(grid.x, grid.y, outside, colors=[GROUND], **rings)
    hatched = ax.contourf(grid.x, grid.y, outside, colors="none", hatches=["////"], **rings)
    hatched.set(edgecolor=HATCHING, linewidth=0.0)
    draw_lines(ax, grid.lines(outside, 0.5), color=QUIET, lw=0.8, zorder=3.1)
    codes, unnamed = grid.at_cells(grid.sweep.reason_code.T), []
    for code in np.unique(codes[codes != 0]):
        if not _name_region(ax, grid, upper(SHORT_REASONS[code]), codes == code, 20, QUIET):
            unnamed.append(SHORT_REASONS[code])
    words = f"not to be made: {', '.join(unnamed)}"
    return [Entry(words, "patch", dict(fc=GROUND, ec=HATCHING, hatch="////", lw=0.5))] if unnamed else []


def governing(ax, grid) -> list:
    """Name, in each region, the check with the least reserve there, and draw where one region meets the next."""
    codes = grid.governing()
    present = [code for code in np.unique(codes) if code >= 0]
    reserves = np.array([grid[f"{rule.key}_reserve"] for rule in grid.rules])
    for code in present if len(present) > 1 else ():
        with np.errstate(invalid="ignore"):
            others = np.fmin.reduce(np.delete(reserves, code, axis=0), axis=0)
            ahead = np.log(reserves[code] / others)
        draw_lines(ax, grid.lines(ahead, 0.0), color=INK, lw=0.6, ls=":", zorder=1.5)
    small = []
    for code in present:
        words = f"Governs: {lower(grid.rules[code].name)}"
        if not _name_region(ax, grid, words, (codes == code) & grid.made_cells, 26, INK):
            small.append(lower(grid.rules[code].name))
    words = f"governs in a small region: {', '.join(small)}"
    return [Entry(words, "line", dict(color=INK, lw=0.8, ls=":"))] if small else []


def _name_region(ax, grid, words, where, columns, colour):
    """Write a name into each part of a region that has room for it; tell whether any had."""
    parts, count = scipy.ndimage.label(where)
    named = False
    for part in range(1, count + 1):
        for width in (99, columns, 14):
            text = "\n".join(textwrap.wrap(words, width))
            wide, high = text_size(text, TINY)
            cells = parts == part
            if wide * high < cells.sum() and (middle := grid.room.place(text, TINY, cells)) is not None:
                _write(ax, grid, text, middle, colour, TINY, zorder=5, fontstyle="italic")
                named = True
                break
    return named


def _write(ax, grid, words, middle, colour, points, **more):
    return ax.text(
        *grid.from_mm(middle),
        words,
        color=colour,
        fontsize=points,
        ha="center",
        va="center",
        linespacing=1.1,
        rotation_mode="anchor",
        path_effects=HALO,
        clip_on=True,
        **more,
    )


def draw_lines(ax, lines, **look) -> None:
    """Several lines as one, with gaps."""
    if lines:
        gap = np.full((1, 2), np.nan)
        ax.add_line(Line2D(*np.vstack([part for line in lines for part in (line, gap)]).T, **look))


def lower(words: str) -> str:
    """Words that follow others."""
    return words[:1].lower() + words[1:]


def upper(words: str) -> str:
    """Words that stand alone."""
    return words[:1].upper() + words[1:]
