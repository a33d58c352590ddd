"""Maps: one output over two inputs, with what can be made, every limit, and what governs where.

Bands of colour for the output; each limit of a check as a line with its own dashes, its name on it, and small ticks on
the side that fails; what cannot be made hatched, with the reason; the check with the least reserve named in its region;
sizes one can buy as dots; the present design as a ringed cross. What is too small to be named in place is named above.
"""

from __future__ import annotations

import textwrap
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import scipy
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.lines import Line2D
from matplotlib.patheffects import withStroke
from matplotlib.ticker import FuncFormatter

from ..study.checks import LOCAL_RULES
from ..study.design import LIMITS
from ..study.every import COUNTED
from ..study.sizing import output_label, output_unit
from ..study.sweeps import REASONS, RESERVES
from ..study.verdicts import lower
from ..units import capital, format_number, from_si, in_shown, show, show_input, shown_unit, unit_words
from .figures import (
    SMALL,
    STAMP_ROOM,
    TINY,
    Entry,
    axes_at,
    axes_size,
    blank_figure,
    dot,
    head,
    in_style,
    line_style,
    ring,
    stamp,
    text_size,
    with_unit,
)
from .look import CHECK_LINES, GROUND, HATCHING, INK, LINES, PALE, PAPER, QUIET, THIN_LINES, UNDER_LOAD, map_ramp
from .map_grid import LEAST, SHORT_REASONS, WORDS, MapGrid, along, band_edges, governing_codes, stock_values

LEFT, RIGHT, FOOT, HEAD = 14.0, 20.0, 10.0, 24.0  # mm around the map: left, colour bar, below, title and legend
QUICK = "forming and joint"  # what a map without the framed sheet counts
LABELS = 5.0, 8.6  # mm from the map to the labels of its axes
MARK = 2.5  # mm, kept free around the mark of the design


def map_outputs(output: str) -> tuple:
    """What a sweep must keep for a map of this output.

    >>> map_outputs("chord_stiffness")[:3]
    ('chord_stiffness', 'forming_strain_reserve', 'permanent_strain_reserve')
    """
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


def counted(sweep) -> str:
    """Which checks a map counts, in words."""
    framed = any(f"{rule.key}_reserve" in sweep.values for rule in LOCAL_RULES)
    if sweep.more:
        return "checks counted: all, along the span and under the loads"
    return f"checks counted: {COUNTED if framed else QUICK}; no loads"


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
    legend = [_colours(ax, bar, grid, output), Entry(counted(sweep))]
    legend += [*_limits(ax, grid), *_not_made(ax, grid), *_governing(ax, grid)]
    legend += [*_undecided(ax, grid), *_stock(ax, grid), *_mark(ax, grid)]
    _frame(ax, grid)
    room = axes_size(ax)[0] + RIGHT - 4.0
    entries = [piece for entry in legend if entry is not None for piece in _pieces(entry, room)]
    head(ax, capital(output_label(output)), entries, RIGHT)


def _pieces(entry, room):
    """The entry of a legend, cut at its commas where it is wider than the room there is [mm]."""
    first, *rest = entry.words.split(", ")
    for part in rest:
        longer = replace(entry, words=f"{first}, {part}")
        if longer.width > room:
            yield replace(entry, words=f"{first},")
            entry, first = Entry(part), part
        else:
            first = longer.words
    yield replace(entry, words=first)


def _keep_free_around_the_mark(grid):
    place, inside = grid.place()
    if inside:
        offsets = np.arange(-MARK, MARK + 0.1, 0.5)
        around = np.stack(np.meshgrid(offsets, offsets), axis=-1).reshape(-1, 2)
        grid.room.take(grid.to_mm(place) + around, WORDS)


def _colours(ax, bar, grid, output):
    values = in_shown(grid[output], output_unit(output))
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
        _draw_lines(ax, grid.lines(clipped, edge), color=PAPER, lw=0.5, zorder=0.6)
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
    bar.set_title(unit_words(output_unit(output)), fontsize=SMALL, fontweight="normal", y=1.0, pad=4)


def _plain(value):
    text = f"{value:.6g}"
    return format_number(value, 3) if "e" in text else text.replace("-", "−")


def _stock(ax, grid):
    """Dots where both inputs are sizes one can buy; lines where only one is bought by size."""
    bought = [
        [from_si(v, shown_unit(limit.unit)) for v in stock_values(grid.design, name, values[0], values[-1])]
        for (name, values), limit in zip(grid.sweep.axes.items(), grid.limits, strict=True)
    ]
    if bought[0] and bought[1]:
        x, y = (part.ravel() for part in np.meshgrid(*bought))
        look = dot(INK, 2.4, rim=0.5)
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
        line(value, zorder=4.5, **line_style(THIN_LINES["this design"]))
    colour = LINES["spacer"].colour
    ax.plot(*place, zorder=6, label="_halo", **ring(PAPER, weight=4.0))
    ax.plot(*place, zorder=6.1, label="_design", **ring(colour))
    return [Entry("this design", "mark", ring(colour, 6.5, 1.6))]


def _frame(ax, grid):
    for axis, limit in zip((ax.set_xlabel, ax.set_ylabel), grid.limits, strict=True):
        axis(with_unit(limit.label, limit.unit))
    ax.xaxis.set_label_coords(0.5, -LABELS[0] / grid.room.height)  # fixed: to find the place takes long
    ax.yaxis.set_label_coords(-LABELS[1] / grid.room.width, 0.5)
    ax.grid(False)
    ax.tick_params(length=2.5, color=QUIET)
    for side in ax.spines.values():
        side.set(visible=True, color=QUIET)


# ----- What a map says about its checks; the parts return the entries of the legend: what had no room to be named


TICK, TICK_EVERY = 1.3, 2.5  # mm: ticks on the failing side of a limit
SMOOTH = 0.8  # cells over which the edge of what can be made is rounded
HALO = [withStroke(linewidth=2.2, foreground=PAPER)]


def _limits(ax, grid) -> list:
    """A line where each reserve is one, ticked on the side that fails; what has no room for its name is returned."""
    lines, fails = {}, np.zeros(grid.made.shape, dtype=bool)
    for number, key in enumerate(grid.checks, 1):
        values = grid[f"{key}_reserve"]
        if np.nanmin(values, initial=np.inf) < 1.0:
            fails |= values < 1.0
        if np.nanmin(values, initial=np.inf) < 1.0 < np.nanmax(values, initial=-np.inf):
            lines[key] = _limit_line(ax, grid, key, np.log(np.maximum(values, LEAST)), number)
    unnamed, under = _veil(ax, grid, fails), False
    for number, (key, name) in enumerate(grid.checks.items(), 1):
        if lines.get(key) and not _name_line(ax, grid, name, _look(key), lines[key], number):
            if key in CHECK_LINES:
                unnamed.append(Entry(f"limit: {lower(name)}", "line", line_style(_look(key))))
            under |= key not in CHECK_LINES
    words = "limit under load of what governs beside it"
    return [*unnamed, Entry(words, "line", line_style(UNDER_LOAD))] if under else unnamed


def _look(key):
    """The line of a check's limit; those under load share one, and are told apart by their names."""
    return CHECK_LINES.get(key, UNDER_LOAD)


def _limit_line(ax, grid, key, logs, number):
    look = line_style(_look(key))
    inside = []
    pieces = grid.lines(logs, 0.0)
    for piece in [part for line in pieces for part in grid.bounding(key, line)] if grid.sweep.more else pieces:
        ax.plot(*piece.T, color=PAPER, lw=look["lw"] + 1.4, alpha=0.8, zorder=2)
        ax.plot(*piece.T, label=f"_limit {key}", zorder=2.1, **look)
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
    return [Entry("pale: fails a check", "patch", dict(fc=PALE, ec=QUIET, lw=0.5))]


def _name_line(ax, grid, name, look, lines, number):
    place = grid.room.place_on_line(name, TINY, lines, number)
    if place:
        middle, angle = place
        label = _write(ax, grid, name, middle, look.colour, TINY, rotation=angle, zorder=5)
        label.set_bbox(dict(fc=PAPER, ec="none", pad=0.4, alpha=0.9))
    return bool(place)


def _not_made(ax, grid) -> list:
    """Hatch what cannot be made and name the reason in place; what has no room for it is returned."""
    if grid.made.all():
        return []
    rings = dict(levels=[0.5, 1.5], zorder=3)
    outside = scipy.ndimage.gaussian_filter(np.where(grid.made, 0.0, 1.0), SMOOTH, mode="nearest")
    ax.contourf(grid.x, grid.y, outside, colors=[GROUND], **rings)
    hatched = ax.contourf(grid.x, grid.y, outside, colors="none", hatches=["////"], **rings)
    hatched.set(edgecolor=HATCHING, linewidth=0.0)
    _draw_lines(ax, grid.lines(outside, 0.5), color=QUIET, lw=0.8, zorder=3.1)
    codes, unnamed = grid.at_cells(grid.sweep.reason_code.T), []
    for code in np.unique(codes[codes != 0]):
        if not _name_region(ax, grid, capital(SHORT_REASONS[code]), codes == code, 20, QUIET):
            unnamed.append(SHORT_REASONS[code])
    words = f"not to be made: {', '.join(unnamed)}"
    return [Entry(words, "patch", dict(fc=GROUND, ec=HATCHING, hatch="////", lw=0.5))] if unnamed else []


def _governing(ax, grid) -> list:
    """Name, in each region, the check with the least reserve there, and draw where one region meets the next."""
    codes = grid.governing_codes()
    present = [code for code in np.unique(codes) if code >= 0]
    reserves = np.maximum([grid[f"{key}_reserve"] for key in grid.checks], LEAST)
    names = [lower(name) for name in grid.checks.values()]
    for code in present if len(present) > 1 else ():
        with np.errstate(invalid="ignore"):
            others = np.fmin.reduce(np.delete(reserves, code, axis=0), axis=0)
            ahead = np.log(reserves[code] / others)
        _draw_lines(ax, grid.lines(ahead, 0.0), color=INK, lw=0.6, ls=":", zorder=1.5)
    small = []
    for code in present:
        words = f"Governs: {names[code]}"
        if not _name_region(ax, grid, words, (codes == code) & grid.made_cells, 26, INK):
            small.append(names[code].replace(",", ""))
    words = f"governs in a small region: {', '.join(small)}"
    return [Entry(words, "line", dict(color=INK, lw=0.8, ls=":"))] if small else []


def _undecided(ax, grid) -> list:
    """Dots over what is too near a limit to be told from the designs worked out."""
    where = grid.sweep.undecided.T
    if not where.any():
        return []
    dots = ax.contourf(
        grid.x, grid.y, where.astype(float), colors="none", levels=[0.5, 1.5], hatches=["...."], zorder=3
    )
    dots.set(edgecolor=HATCHING, linewidth=0.0)
    return [Entry("not decided: too near a limit", "patch", dict(fc=PAPER, ec=HATCHING, hatch="....", lw=0.5))]


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
    place = {"ha": "center", "va": "center", "rotation_mode": "anchor", "clip_on": True}
    look = {"color": colour, "fontsize": points, "linespacing": 1.1, "path_effects": HALO}
    return ax.text(*grid.from_mm(middle), words, **look, **place, **more)


def _draw_lines(ax, lines, **look) -> None:
    """Several lines as one, with gaps."""
    if lines:
        gap = np.full((1, 2), np.nan)
        ax.add_line(Line2D(*np.vstack([part for line in lines for part in (line, gap)]).T, **look))


# ----- In words, for whoever cannot see it


def describe_map(sweep, output: str, design=None) -> str:
    """What a map shows, in words.

    >>> from panelmech import sweep
    >>> from panelmech.job import demo
    >>> swept = sweep(demo().design, local=False, spacer_diameter=[0.016, 0.018], sheet_thickness=[0.0015, 0.002])
    >>> describe_map(swept, "chord_stiffness").split(". ")[0]
    'Map of whole section: bending stiffness about the chord line, EI over spacer diameter from 16 mm to 18 mm
    and sheet thickness from 1.5 mm to 2 mm: it runs from 381 N·m² to 640 N·m²'
    """
    design = design or sweep.design
    names = list(sweep.axes)
    spans = [
        f"{LIMITS[n].label} from {show_input(v[0], LIMITS[n].unit)} to {show_input(v[-1], LIMITS[n].unit)}"
        for n, v in sweep.axes.items()
    ]
    values = sweep[output][np.isfinite(sweep[output])]
    unit = output_unit(output)
    runs = (
        f"it runs from {show(values.min(), unit, 3)} to {show(values.max(), unit, 3)}"
        if values.size
        else "it is not known anywhere"
    )
    here = " and ".join(f"{LIMITS[n].label} {show_input(getattr(design, n), LIMITS[n].unit)}" for n in names)
    return (
        f"Map of {lower(output_label(output))} over {spans[0]} and {spans[1]}: {runs}. "
        f"{capital(counted(sweep))}. {_shares(sweep)}{_reasons(sweep)}This design stands at {here}."
    )


def _shares(sweep):
    """How much of the map can be made, fails, and is governed by what."""
    made, total = sweep.feasible, sweep.feasible.size
    names, least = list(sweep.checks.values()), np.fmin.reduce([sweep[f"{key}_reserve"] for key in sweep.checks])
    good, open_ = np.count_nonzero((least >= 1.0) & ~sweep.undecided), np.count_nonzero(sweep.undecided)
    codes = governing_codes(sweep)[made]
    parts = [
        f"{lower(names[code])} in {_per_cent(np.mean(codes == code))} of it" for code in np.unique(codes[codes >= 0])
    ]
    governs = f" Least reserve: {'; '.join(parts)}." if parts else ""
    return (
        f"{_per_cent(np.count_nonzero(made) / total)} of the map can be made, {_per_cent(good / total)} "
        f"passes every check drawn.{f' {_per_cent(open_ / total)} is too near a limit to tell.' if open_ else ''}"
        f"{governs} "
    )


def _reasons(sweep):
    codes = np.unique(sweep.reason_code[sweep.reason_code != 0])
    if not codes.size:
        return ""
    return "Not to be made: " + "; ".join(REASONS[code].split(":")[0] for code in codes) + ". "


def _per_cent(share):
    return f"{100 * share:.0f} %"
