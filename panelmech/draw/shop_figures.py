"""Pictures of a shop pack: blanks to cut and their layout on the stock, heat, depth of a lift, schedule, templates."""

from __future__ import annotations

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon, Rectangle

from ..shop.blanks import FRAME_LINE, Blank
from ..shop.nesting import Nesting
from ..shop.pack import ShopPack, stock_words
from ..shop.paper import ONE, lay_out
from ..shop.templates import Template
from ..units import show_fixed, show_input
from .figures import INCH, SMALL, TINY, axes_at, blank_figure, in_style, line_style, name_lengths, stamped
from .look import BLANK_LINES, FILLS, INK, LINES, PAPER, QUIET, RULE
from .pour_figures import (
    describe_lift_depth,
    describe_pour,
    describe_schedule,
    lift_depth_figure,
    pour_figure,
    schedule_figure,
)
from .shapes import MM
from .template_files import check_length
from .template_pages import plot_template

# ----- One blank, and the layout on the stock sheets


NAME_AT = (0.5, 0.62, 0.38)  # of the span
WORDS_AT = {"land line": 0.34, "back of the rod": 0.74, "rod line": 0.26}  # of the span
ARROW = {"chord": (1.0, 0.0), "span": (0.0, 1.0)}
OUTLINE = {"facecolor": FILLS["land"], "edgecolor": INK}
FINISHED = {"fill": False, "edgecolor": QUIET, "lw": 0.6, "ls": (0, (2, 2))}  # what is left after trimming


@in_style
def plot_blank(ax, blank: Blank):
    """One blank on an axes, outer face up, to scale in mm: chord to the right, span upwards; returns the axes.

    Lines carry their distance from the finished trailing edge at the root end, and at the tip end where it differs.
    """
    ax.add_patch(Polygon(blank.outline / MM, lw=1.0, **OUTLINE))
    if not np.array_equal(blank.outline, blank.finished):
        ax.add_patch(Polygon(blank.finished / MM, **FINISHED))
    for line in blank.lines:
        _draw_line(ax, blank, line)
    for ends in blank.match_marks:
        ax.add_line(Line2D(*(ends / MM).T, **line_style(BLANK_LINES["match mark"])))
    middle = 0.5 * sum(np.mean(blank.line(n).points, axis=0) for n in ("land line", "back of the rod")) / MM
    middle[1] = _clear_of_cuts(blank) * blank.span / MM
    _grain(ax, middle + [0.0, 0.06 * blank.span / MM], blank.grain, 0.16 * min(np.ptp(blank.outline, axis=0)) / MM)
    words = f"{blank.part}\n{blank.hand} sheet\n{blank.face.removeprefix('the ')} up"
    ax.text(*middle, words, ha="center", va="center", fontsize=SMALL, color=INK)
    _frame(ax, blank.outline / MM, 0.04)
    name_lengths(ax.xaxis, "along the chord, on the flat sheet")
    name_lengths(ax.yaxis, "from the root end" if blank.hand == "upper" else "from the tip end")
    return ax


@in_style
def plot_nesting(ax, nesting: Nesting, sheet: int = 0):
    """One stock sheet with the blanks on it, to scale in mm, and the largest offcut where it is on this sheet.

    ValueError for a sheet that the layout does not have. Returns the axes.
    """
    if not 0 <= sheet < nesting.sheets:
        raise ValueError(f"sheet {sheet} is not there: the layout has sheets 0 to {nesting.sheets - 1}")
    wide, high, trim = nesting.stock_length / MM, nesting.stock_width / MM, nesting.edge_trim / MM
    ax.add_patch(Rectangle((0, 0), wide, high, facecolor=PAPER, edgecolor=INK, lw=1.0))
    if trim > 0.0:
        ax.add_patch(Rectangle((trim, trim), wide - 2 * trim, high - 2 * trim, fill=False, edgecolor=RULE, lw=0.8))
    where, left, bottom, right, top = nesting.largest_offcut
    if where == sheet and right > left:
        _draw_offcut(ax, left, bottom, right, top)
    several = len({placed.blank.part for placed in nesting.placed}) > 1
    for placed in (p for p in nesting.placed if p.sheet == sheet):
        _draw_placed(ax, placed, placed.blank.name if several else placed.blank.hand)
    _frame(ax, np.array([[0.0, 0.0], [wide, high]]), 0.02)
    ax.set_title(
        f"Sheet {sheet + 1} of {nesting.sheets}, {show_input(nesting.stock_length, 'mm')} × "
        f"{show_input(nesting.stock_width, 'mm')}, kerf {show_input(nesting.kerf, 'mm')}"
    )
    name_lengths(ax.xaxis, "length of the sheet", ", grain along it" if nesting.stock_grain == "length" else "")
    name_lengths(ax.yaxis, "width of the sheet", ", grain along it" if nesting.stock_grain == "width" else "")
    return ax


def _draw_offcut(ax, left, bottom, right, top):
    wide, high = (right - left) / MM, (top - bottom) / MM
    hatched = {"facecolor": "none", "edgecolor": RULE, "hatch": "//", "lw": 0.0}
    ax.add_patch(Rectangle((left / MM, bottom / MM), wide, high, **hatched))
    middle = 0.5 * (left + right) / MM, 0.5 * (bottom + top) / MM
    words = f"offcut\n{show_fixed(right - left, 0, False)} × {show_fixed(top - bottom, 0, False)}"
    ax.text(*middle, words, ha="center", va="center", fontsize=SMALL, color=QUIET, backgroundcolor=PAPER)


def _clear_of_cuts(blank):
    """Where along the span the blank's name stands, as a share: clear of cuts of the rod, ribs and zones."""
    across = (line for line in blank.lines if np.isfinite(line.from_root) and not line.name.startswith(FRAME_LINE))
    cuts = [line.points[0, 1] / blank.span for line in across]
    return max(NAME_AT, key=lambda at: min([abs(at + 0.02 - cut) for cut in cuts if abs(at - cut) < 0.08], default=1.0))


def _draw_line(ax, blank, line):
    if line.name in ("trailing edge", "front edge"):
        return
    look = BLANK_LINES.get(line.name, BLANK_LINES["other line"])
    ax.add_line(Line2D(*(line.points / MM).T, **line_style(look)))
    span = blank.span / MM
    if np.isfinite(line.from_root):
        x, y = np.mean(line.points, axis=0) / MM
        frame = line.name.startswith(FRAME_LINE)
        low = min(line.from_root, blank.span - line.from_root) if frame else line.from_root
        away, side = (0.012, "bottom") if y < 0.5 * span else (-0.012, "top")
        words = f"{FRAME_LINE if frame else line.name} {show_fixed(low, 1, False)}"
        ax.text(x, y + away * span, words, ha="center", va=side, fontsize=TINY, color=QUIET)
        return
    root, tip = (show_fixed(v, 1, False) for v in line.from_trailing_edge)
    differ = abs(np.subtract(*line.from_trailing_edge)) / MM > 0.05
    words = f"{line.name} {root}" + (f" root, {tip} tip" if differ else "")
    place = WORDS_AT[line.name] * span
    beside = blank.line("land line" if line.name == "land line" else "back of the rod")
    points = beside.points[np.argsort(beside.points[:, 1])] / MM
    side = 1.0 if line.name == "land line" else -1.0
    x = np.interp(place, points[:, 1], points[:, 0]) + side * 0.02 * span
    ax.text(x, place, words, rotation=90, fontsize=TINY, color=QUIET, ha="center", va="center")


def _draw_placed(ax, placed, label):
    blank = placed.blank
    ax.add_patch(Polygon(placed.outline / MM, lw=0.9, **OUTLINE))
    look = line_style(BLANK_LINES["other line"]) | {"lw": 0.5}
    for name in ("land line", "rod line"):
        ax.add_line(Line2D(*(placed.on_sheet(blank.line(name).points) / MM).T, **look))
    for ends in blank.match_marks:
        ax.add_line(Line2D(*(placed.on_sheet(ends) / MM).T, color=LINES["limit"].colour, lw=1.4))
    left, bottom, right, top = placed.box
    upright = right - left < top - bottom
    middle, turn = (0.5 * (left + right) / MM, 0.5 * (bottom + top) / MM), 90 if upright else 0
    ax.text(*middle, f"{label}, face {placed.face}", ha="center", va="center", fontsize=TINY, rotation=turn)
    if blank.grain in ARROW:
        direction = placed.turn @ ARROW[blank.grain]
        reach = 0.3 * min(right - left, top - bottom)
        at = np.array([0.5 * (left + right), 0.5 * (bottom + top)]) + (
            [0.0, -0.4 * (top - bottom)] if upright else [-0.4 * (right - left), -0.25 * (top - bottom)]
        )
        _arrow(ax, (at - reach * direction) / MM, (at + reach * direction) / MM)


def _grain(ax, at, grain, reach):
    if grain in ARROW:
        way = np.array(ARROW[grain]) * reach
        _arrow(ax, at - way, at + way)
        place, away = (at, (0, 3)) if grain == "chord" else (at + 1.2 * way, (0, 0))
        look = {"textcoords": "offset points", "fontsize": TINY, "color": INK, "ha": "center", "va": "bottom"}
        ax.annotate("grain", place, away, **look)


def _arrow(ax, start, end):
    ax.annotate("", end, start, arrowprops={"arrowstyle": "<->", "color": INK, "lw": 0.9})


def _frame(ax, points, share):
    """Limits around points, equal scale both ways."""
    low, high = points.min(axis=0), points.max(axis=0)
    room = share * max(high - low)
    ax.set_xlim(low[0] - room, high[0] + room)
    ax.set_ylim(low[1] - room, high[1] + room)
    ax.set_aspect("equal")
    ax.grid(False)


# ----- Figures of a pack


WIDE = 182.0  # mm
STOCK_HIGH, EDGE, FOOT, HEAD = 57.0, 13.0, 11.0, 5.0
LYING, NAMES, NAME_ROOM = 62.0, 49.0, 3.6  # mm: a lying blank, the names beside it, from name to name
TWO_ENDS = 9.0  # mm more for names with the distances of both ends
EDGES = line_style(BLANK_LINES["land line"]) | {"ls": (0, (1, 0))}  # of a lying blank


@in_style
def stock_figure(pack: ShopPack):
    """The first stock sheet with the blanks on it, and beside it one blank, lying, with the lines to mark."""
    fig = blank_figure(WIDE, STOCK_HIGH)
    high, left = STOCK_HIGH - FOOT - HEAD, WIDE - LYING - NAMES
    plot_nesting(axes_at(fig, EDGE, FOOT, left - EDGE - 14.0, high), pack.nesting).set_title("On the stock sheet")
    wide = LYING - (TWO_ENDS if pack.blanks.tapered else 0.0)
    plot_lying(axes_at(fig, left, FOOT, wide, high), pack.blanks.pair[0])
    return fig


@in_style
def plot_lying(ax, blank: Blank):
    """One blank, outer face up, in mm: span to the right, chord upwards, each line with its distance from the finished
    trailing edge, of a tapered part at root and tip. Returns the axes."""
    ax.add_patch(Polygon(blank.outline[:, ::-1] / MM, lw=1.0, **OUTLINE))
    ax.add_patch(Polygon(blank.finished[:, ::-1] / MM, **FINISHED))
    for line in blank.lines:
        look = BLANK_LINES.get(line.name, BLANK_LINES["land line"])
        style = EDGES if line.name in ("trailing edge", "front edge") else line_style(look)
        ax.add_line(Line2D(*(line.points[:, ::-1] / MM).T, **style))
    for ends in blank.match_marks:
        ax.add_line(Line2D(*(ends[:, ::-1] / MM).T, **line_style(BLANK_LINES["match mark"])))
    low, high = blank.outline.min(axis=0) / MM, blank.outline.max(axis=0) / MM
    ax.set_xlim(low[1] - 5.0, high[1] + 5.0)
    ax.set_ylim(low[0] - 5.0, high[0] + 5.0)
    ax.set_aspect("equal", anchor="NW")
    ax.grid(False)
    ax.apply_aspect()
    grain = f"; grain: {blank.grain}" if np.ptp(blank.developed) == 0.0 else ""  # there the names need the room
    ax.set_title(f"{blank.hand.capitalize()} blank, {blank.face} up{grain}")
    name_lengths(ax.xaxis, "from the root end")
    name_lengths(ax.yaxis, "chord")
    _name_lines(ax, blank, high[1])
    return ax


def _name_lines(ax, blank, right):
    """Names beside the right edge, apart from each other, with leaders to their lines."""
    lines = sorted(
        (line for line in blank.lines if np.isfinite(line.from_trailing_edge[0])),
        key=lambda line: line.from_trailing_edge[0],
    )
    at = np.array([line.points[np.argmax(line.points[:, 1]), 0] for line in lines]) / MM
    step = NAME_ROOM * np.ptp(ax.get_ylim()) / (ax.get_position().height * ax.figure.get_size_inches()[1] * INCH)
    named = at.copy()
    for _ in range(50):  # push neighbours apart, evenly
        short = np.maximum(step - np.diff(named), 0.0)
        named[:-1] -= 0.5 * short
        named[1:] += 0.5 * short
    for line, low, high in zip(lines, at, named, strict=True):
        ends = [show_fixed(at, 1, False) for at in line.from_trailing_edge]
        words, leader = f"{line.name} {' to '.join(dict.fromkeys(ends))}", dict(arrowstyle="-", lw=0.5, color=QUIET)
        look = {"fontsize": SMALL, "va": "center", "annotation_clip": False}
        leader |= {"shrinkA": 1.0, "shrinkB": 0.0}
        ax.annotate(words, (right, low), (right + 4.0 * step, high), arrowprops=leader, **look)


def blank_figure_of(pack: ShopPack, hand: int = 0):
    """One blank with the lines to mark, on a figure of its own."""
    fig = blank_figure(120.0, 173.0)
    plot_blank(axes_at(fig, 16.0, 17.0, 100.0, 150.0), pack.blanks.pair[hand])
    return stamped(fig, pack)


def sheet_figures(pack: ShopPack) -> dict:
    """Every stock sheet with its blanks: {name: (figure, words)}."""
    figures = {}
    for number in range(pack.nesting.sheets):
        fig = blank_figure(WIDE, 120.0)
        plot_nesting(axes_at(fig, EDGE, 16.0, WIDE - EDGE - 4.0, 96.0), pack.nesting, number)
        words = f"Stock sheet {number + 1}. {stock_words(pack)}"
        figures[f"stock-{number + 1}"] = stamped(fig, pack), words
    return figures


def heat_figures(pack: ShopPack) -> dict:
    """Heat of the lifts as poured, and how deep a lift may be: {name: (figure, words)}."""
    lifts = {
        f"heat-{name.replace(' ', '-')}": (lift_figure(pack, i), describe_pour(pack.heat.heat))
        for i, name in enumerate(pack.heat.names)
    }
    return {**lifts, "lift-depth": (depth_figure(pack), describe_lift_depth(pack.heat.deepest))}


def lift_figure(pack: ShopPack, number: int):
    """Heat of one of the lifts as poured, of `pack.heat.names`."""
    return pour_figure(pack.heat.heat, number, pack.choices.heat_limit, studies=(pack,))


def depth_figure(pack: ShopPack):
    """How deep a lift may be."""
    return lift_depth_figure(pack.heat.deepest, studies=(pack,))


def schedule_plot(pack: ShopPack):
    """The build by the clock."""
    return schedule_figure(pack.schedule, studies=(pack,))


def blank_figures(pack: ShopPack) -> dict:
    """Every blank with the lines to mark: {name: (figure, words)}."""
    return {
        f"blank-{blank.hand}": (blank_figure_of(pack, i), f"{blank.name}, with the lines to mark on it")
        for i, blank in enumerate(pack.blanks)
    }


def schedule_figures(pack: ShopPack) -> dict:
    """The build by the clock: {name: (figure, words)}."""
    return {"schedule": (schedule_plot(pack), describe_schedule(pack.schedule))}


PACK_FIGURES = (sheet_figures, blank_figures, heat_figures, schedule_figures)  # together all of a pack


def template_preview(template: Template, page: str):
    """(figure, words): a template on a figure as wide as a panel, and how many sheets of paper it takes."""
    left, bottom, right, top = template.box
    high = min(max((WIDE - 8.0) * (top - bottom) / (right - left), 12.0), 70.0)
    fig = blank_figure(WIDE, high + 8.0)
    ax = axes_at(fig, 4.0, 4.0, WIDE - 8.0, high)
    ax.set_axis_off()
    plot_template(ax, template)
    count = len(lay_out(template, page).tiles)
    paper = "one sheet, as large as it must be" if page == ONE else f"{count} sheet{'s' * (count > 1)} of {page}"
    return fig, (
        f"Not to scale here; true to scale on {paper}, {show_fixed(right - left, 0)} × "
        f"{show_fixed(top - bottom, 0)}. Measure both {check_length()} bars before you cut."
    )
