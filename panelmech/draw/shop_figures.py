"""Figures of a shop pack: the stock with its blanks, one blank with its lines, heat, depth of a lift, schedule."""

from __future__ import annotations

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon

from ..shop.blanks import Blank
from ..shop.pack import ShopPack, stock_words
from ..shop.paper import ONE, lay_out
from ..shop.templates import Template
from ..units import FACTORS
from .blank_figures import plot_blank, plot_nesting
from .figures import INCH, SMALL, axes_at, blank_figure, freeze, in_style, stamp
from .heat_figures import (
    describe_lift_depth,
    describe_pour,
    describe_schedule,
    lift_depth_figure,
    pour_figure,
    schedule_figure,
)
from .look import FILLS, INK, LINES, QUIET
from .template_pages import plot_template

MM = FACTORS["mm"]

WIDE = 182.0  # mm
STOCK_HIGH, EDGE, FOOT, HEAD = 57.0, 13.0, 11.0, 5.0
LYING, NAMES, NAME_ROOM = 67.0, 44.0, 3.2  # mm: a lying blank, the names beside it, from name to name
TWO_ENDS = 9.0  # mm more for names with the distances of both ends
DASHES = {
    "rod line": (0, (6, 2, 1, 2)),
    "back of the rod": (0, (1, 2)),
    "trailing edge": (0, (1, 0)),
    "front edge": (0, (1, 0)),
}


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
    for points, look in (
        (blank.outline, dict(facecolor=FILLS["land"], edgecolor=INK, lw=1.0)),
        (blank.finished, dict(fill=False, edgecolor=QUIET, lw=0.6, ls=(0, (2, 2)))),
    ):
        ax.add_patch(Polygon(points[:, ::-1] / MM, **look))
    for line in blank.lines:
        ax.add_line(Line2D(*(line.points[:, ::-1] / MM).T, color=QUIET, lw=0.8, ls=DASHES.get(line.name, "-")))
    for ends in blank.match_marks:
        ax.add_line(Line2D(*(ends[:, ::-1] / MM).T, color=LINES["limit"].colour, lw=1.6))
    low, high = blank.outline.min(axis=0) / MM, blank.outline.max(axis=0) / MM
    ax.set_xlim(low[1] - 5.0, high[1] + 5.0)
    ax.set_ylim(low[0] - 5.0, high[0] + 5.0)
    ax.set_aspect("equal", anchor="NW")
    ax.grid(False)
    ax.apply_aspect()
    grain = f"; grain: {blank.grain}" if np.ptp(blank.developed) == 0.0 else ""  # there the names need the room
    ax.set_title(f"{blank.hand.capitalize()} blank, {blank.face} up{grain}")
    ax.set_xlabel("from the root end [mm]")
    ax.set_ylabel("chord [mm]")
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
        ends = [f"{at / MM:.1f}" for at in line.from_trailing_edge]
        ax.annotate(
            f"{line.name} {' to '.join(dict.fromkeys(ends))}",
            (right, low),
            (right + 4.0 * step, high),
            fontsize=SMALL,
            va="center",
            annotation_clip=False,
            arrowprops=dict(arrowstyle="-", lw=0.5, color=QUIET, shrinkA=1.0, shrinkB=0.0),
        )


def blank_figure_of(pack: ShopPack, hand: int = 0):
    """One blank with the lines to mark, on a figure of its own."""
    fig = blank_figure(120.0, 170.0)
    plot_blank(axes_at(fig, 16.0, 14.0, 100.0, 150.0), pack.blanks.pair[hand])
    stamp(fig, pack)
    return fig


def sheet_figures(pack: ShopPack) -> dict:
    """Every stock sheet with its blanks: {name: (figure, words)}."""
    found = {}
    for number in range(pack.nesting.sheets):
        fig = blank_figure(WIDE, 120.0)
        plot_nesting(axes_at(fig, EDGE, 16.0, WIDE - EDGE - 4.0, 96.0), pack.nesting, number)
        stamp(fig, pack)
        found[f"stock-{number + 1}"] = fig, f"Stock sheet {number + 1}. {stock_words(pack)}"
    return found


def heat_figures(pack: ShopPack) -> dict:
    """Heat of the lifts as poured, and how deep a lift may be: {name: (figure, words)}."""
    heat = pack.heat
    found = {
        f"heat-{name.replace(' ', '-')}": (
            pour_figure(heat.heat, i, pack.choices.heat_limit, studies=(pack,)),
            describe_pour(heat.heat),
        )
        for i, name in enumerate(heat.names)
    }
    return {**found, "lift-depth": (lift_depth_figure(heat.found, studies=(pack,)), describe_lift_depth(heat.found))}


def schedule_plot(pack: ShopPack):
    """The build by the clock."""
    return schedule_figure(pack.schedule, studies=(pack,))


def pack_figures(pack: ShopPack) -> dict:
    """All figures of a pack: {name: (figure, words)}."""
    figures = {
        **sheet_figures(pack),
        **{
            f"blank-{blank.hand}": (blank_figure_of(pack, i), f"{blank.name}, with the lines to mark on it")
            for i, blank in enumerate(pack.blanks)
        },
        **heat_figures(pack),
        "schedule": (schedule_plot(pack), describe_schedule(pack.schedule)),
    }
    return {name: (freeze(fig), words) for name, (fig, words) in figures.items()}


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
        f"Not to scale here; true to scale on {paper}, {(right - left) / MM:.0f} mm × "
        f"{(top - bottom) / MM:.0f} mm. Measure both 100 mm bars before you cut."
    )
