"""Maps: one output over two inputs, with what can be made, every limit, and what governs where.

Bands of colour for the output; each limit of a check as a line with its own dashes, its name on it, and small ticks on
the side that fails; what cannot be made hatched, with the reason; the check with the least reserve named in its region;
sizes one can buy as dots; the present design as a ringed cross. What is too small to be named in place is named above.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.ticker import FuncFormatter

from ..study.sizing import output_label, output_unit
from ..study.sweeps import RESERVES
from ..units import FACTORS, format_number, from_si, pretty_unit
from .figures import SMALL, STAMP_ROOM, WORDS, Entry, axes_at, blank_figure, head, in_style, stamp
from .look import INK, LINES, PAPER, QUIET, map_ramp
from .map_grid import MapGrid, band_edges, stock_values
from .map_limits import draw_lines, governing, limits, not_made, upper
from .map_words import describe_map

LEFT, RIGHT, FOOT, HEAD = 14.0, 20.0, 10.0, 16.0  # mm around the map: left, colour bar, below, title and legend
LABELS = 5.0, 8.6  # mm from the map to the labels of its axes
MARK = 2.5  # mm, kept free around the mark of the design


def map_outputs(output: str) -> tuple:
    """What a sweep must keep for a map of this output."""
    return tuple(dict.fromkeys((output, *RESERVES, "least_reserve")))


def map_figure(sweep, output: str, design=None, width_mm: float = 170.0, height_mm: float = 105.0):
    """A map with title, legend, colour bar and stamp. `design` is the one marked; the sweep's own by default."""
    fig = blank_figure(width_mm, height_mm)
    foot = STAMP_ROOM + FOOT
    size = width_mm - LEFT - RIGHT, height_mm - foot - HEAD
    axes_at(fig, LEFT, foot, *size)
    axes_at(fig, LEFT + size[0] + 3.0, foot, 4.0, size[1])
    redraw_map(fig, sweep, output, design)
    return fig


def redraw_map(fig, sweep, output: str, design=None) -> None:
    """Draw another map into a figure made by `map_figure`: quicker than a new figure, for a hand that drags."""
    ax, bar = fig.axes
    for place in (fig, ax):
        clear(place)
    draw_map(ax, sweep, output, design, bar)
    stamp(fig, SimpleNamespace(design=design or sweep.design), note="what is not on the axes is as in this design")


def clear(place) -> None:
    """Remove everything drawn on an axes, or on a figure beside its axes."""
    kinds = ("lines", "patches", "texts", "artists", "collections")
    for artist in [part for kind in kinds for part in getattr(place, kind, ())]:
        artist.remove()


def map_box(width_mm: float = 170.0, height_mm: float = 105.0) -> tuple:
    """Where `map_figure` puts the map itself: left, top, width, height as shares of the figure."""
    foot = STAMP_ROOM + FOOT
    return LEFT / width_mm, HEAD / height_mm, (width_mm - LEFT - RIGHT) / width_mm, 1.0 - (foot + HEAD) / height_mm


@in_style
def draw_map(ax, sweep, output: str, design=None, bar=None) -> None:
    """Draw a map on an axes.

    `sweep` varies two numeric inputs, rising, the first to the right and the second upwards, and holds
    `map_outputs(output)`. `design` is marked (the sweep's own by default); `bar` is an axes for the colour bar. Names
    are placed for the present size of the axes. Raises ValueError for a sweep that is no map.
    """
    grid = MapGrid(ax, sweep, design or sweep.design)
    _keep_free_around_the_mark(grid)
    legend = [_colours(ax, bar, grid, output), *limits(ax, grid), *not_made(ax, grid), *governing(ax, grid)]
    legend += [*_stock(ax, grid), *_mark(ax, grid)]
    _frame(ax, grid)
    head(ax, upper(output_label(output)), [entry for entry in legend if entry is not None], RIGHT)


def _keep_free_around_the_mark(grid):
    place, inside = grid.place()
    if inside:
        offsets = np.arange(-MARK, MARK + 0.1, 0.5)
        around = np.stack(np.meshgrid(offsets, offsets), axis=-1).reshape(-1, 2)
        grid.room.take(grid.to_mm(place) + around, WORDS)


def _colours(ax, bar, grid, output):
    values = grid[output] / FACTORS[output_unit(output)]
    if not np.isfinite(values).any():
        ax.set_facecolor(PAPER)
        if bar is not None:
            clear(bar)
            bar.set(label="", title="")
            bar.set_axis_off()
        return Entry(f"{output_label(output)}: not known anywhere here")
    edges = band_edges(np.where(grid.made, values, np.nan))
    colours, norm = ListedColormap(map_ramp(len(edges) - 1)), BoundaryNorm(edges, len(edges) - 1)
    clipped = np.clip(values, edges[0], edges[-1])
    ax.contourf(grid.x, grid.y, clipped, levels=edges, cmap=colours, norm=norm, zorder=0.55)
    for edge in edges[1:-1]:
        draw_lines(ax, grid.lines(clipped, edge), color=PAPER, lw=0.5, zorder=0.6)
    if bar is not None:
        _colour_bar(bar, edges, colours, output)
    return None


def _colour_bar(bar, edges, colours, output):
    """Left as it is where it shows these very bands already: to build it takes long."""
    shown = (output, *edges)
    if bar.get_label() == repr(shown):
        return
    clear(bar)
    bar.set_label(repr(shown))
    bar.set_axis_on()
    steps = np.arange(len(edges))
    bar.set_ylim(0, steps[-1])
    bar.pcolormesh([0, 1], steps, steps[:-1, None], cmap=colours)
    bar.set_xticks([])
    bar.grid(False)
    bar.set_yticks(steps)
    bar.yaxis.set_major_formatter(FuncFormatter(lambda _, i: _plain(edges[i]) if i < len(edges) else ""))
    bar.yaxis.tick_right()
    bar.tick_params(length=2, pad=2)
    bar.set_title(pretty_unit(output_unit(output)), fontsize=SMALL, fontweight="normal", y=1.0, pad=4)


def _plain(value):
    text = f"{value:.6g}"
    return format_number(value, 3) if "e" in text else text.replace("-", "−")


def _stock(ax, grid):
    """Dots where both inputs are sizes one can buy; lines where only one is bought by size."""
    bought = [
        [from_si(v, limit.unit) for v in stock_values(grid.design, name, values[0], values[-1])]
        for (name, values), limit in zip(grid.sweep.axes.items(), grid.limits, strict=True)
    ]
    if bought[0] and bought[1]:
        x, y = (part.ravel() for part in np.meshgrid(*bought))
        look = dict(ls="", marker="o", ms=2.4, mfc=INK, mec=PAPER, mew=0.5)
        ax.plot(x, y, zorder=4, label="_stock", **look)
        return [Entry("sizes one can buy", "mark", look)]
    for values, line in zip(bought, (ax.axvline, ax.axhline), strict=True):
        for value in values:
            line(value, color=INK, lw=0.4, alpha=0.55, zorder=1.4)
    return [Entry("sizes one can buy", "line", dict(color=INK, lw=0.5))] if any(bought) else []


def _mark(ax, grid):
    """The present design, or a word that it lies outside."""
    place, inside = grid.place()
    if not inside:
        return [Entry("this design lies outside the map")]
    for line, value in zip((ax.axvline, ax.axhline), place, strict=True):
        line(value, color=INK, lw=0.6, ls=(0, (1, 3)), zorder=4.5)
    ring = dict(ls="", marker="o", mfc="none", ms=9, mec=LINES["spacer"].colour, mew=2.0)
    ax.plot(*place, zorder=6, label="_halo", **{**ring, "ms": 9, "mec": PAPER, "mew": 4.0})
    ax.plot(*place, zorder=6.1, label="_design", **ring)
    return [Entry("this design", "mark", {**ring, "ms": 6.5, "mew": 1.6})]


def _frame(ax, grid):
    for axis, limit in zip((ax.set_xlabel, ax.set_ylabel), grid.limits, strict=True):
        axis(f"{limit.label} [{pretty_unit(limit.unit)}]" if limit.unit else limit.label)
    ax.xaxis.set_label_coords(0.5, -LABELS[0] / grid.room.height)  # fixed: to find the place takes long
    ax.yaxis.set_label_coords(-LABELS[1] / grid.room.width, 0.5)
    ax.grid(False)
    ax.tick_params(length=2.5, color=QUIET)
    for side in ax.spines.values():
        side.set(visible=True, color=QUIET)


__all__ = ["describe_map", "draw_map", "map_box", "map_figure", "map_outputs", "redraw_map"]
