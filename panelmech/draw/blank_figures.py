"""Blanks to cut, drawn: one flat blank with its lines, and the layout on the stock sheets."""

from __future__ import annotations

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon, Rectangle

from ..shop.blanks import Blank
from ..shop.nesting import Nesting
from ..units import FACTORS, show_input
from .figures import SMALL, TINY, in_style
from .look import FILLS, INK, LINES, PAPER, QUIET, RULE

MM = FACTORS["mm"]
DASHES = {"land line": "-", "rod line": (0, (6, 2, 1, 2)), "back of the rod": (0, (1, 2))}
WORDS_AT = {"land line": 0.34, "back of the rod": 0.74, "rod line": 0.26}  # of the span
ARROW = {"chord": (1.0, 0.0), "span": (0.0, 1.0)}


@in_style
def plot_blank(ax, blank: Blank):
    """One blank on an axes, outer face up, to scale in mm: chord to the right, span upwards; returns the axes.

    Lines carry their distance from the finished trailing edge at the root end, and at the tip end where it differs.
    """
    ax.add_patch(Polygon(blank.outline / MM, facecolor=FILLS["land"], edgecolor=INK, lw=1.0))
    if not np.array_equal(blank.outline, blank.finished):
        ax.add_patch(Polygon(blank.finished / MM, fill=False, edgecolor=QUIET, lw=0.6, ls=(0, (2, 2))))
    for line in blank.lines:
        _draw_line(ax, blank, line)
    for ends in blank.match_marks:
        ax.add_line(Line2D(*(ends / MM).T, color=LINES["limit"].colour, lw=1.6))
    middle = 0.5 * sum(np.mean(blank.line(n).points, axis=0) for n in ("land line", "back of the rod")) / MM
    _grain(ax, middle + [0.0, 0.06 * blank.span / MM], blank.grain, 0.16 * min(np.ptp(blank.outline, axis=0)) / MM)
    ax.text(*middle, f"{blank.name}\n{blank.face} up", ha="center", va="center", fontsize=SMALL, color=INK)
    _frame(ax, blank.outline / MM, 0.04)
    ax.set_xlabel("along the chord, on the flat sheet [mm]")
    ax.set_ylabel("from the root end [mm]" if blank.hand == "upper" else "from the tip end [mm]")
    return ax


@in_style
def plot_nesting(ax, nesting: Nesting, sheet: int = 0):
    """One stock sheet with the blanks on it, to scale in mm, and the largest offcut where it is on this sheet.

    ValueError for a sheet that the layout does not have. Returns the axes.
    """
    if not 0 <= sheet < nesting.sheets:
        raise ValueError(f"sheet {sheet} is not there: the layout has sheets 0 to {nesting.sheets - 1}")
    wide, high, trim = nesting.sheet_length / MM, nesting.sheet_width / MM, nesting.edge_trim / MM
    ax.add_patch(Rectangle((0, 0), wide, high, facecolor=PAPER, edgecolor=INK, lw=1.0))
    if trim > 0.0:
        ax.add_patch(Rectangle((trim, trim), wide - 2 * trim, high - 2 * trim, fill=False, edgecolor=RULE, lw=0.8))
    where, left, bottom, right, top = nesting.largest_offcut
    if where == sheet and right > left:
        ax.add_patch(
            Rectangle(
                (left / MM, bottom / MM),
                (right - left) / MM,
                (top - bottom) / MM,
                facecolor="none",
                edgecolor=RULE,
                hatch="//",
                lw=0.0,
            )
        )
        ax.text(
            0.5 * (left + right) / MM,
            0.5 * (bottom + top) / MM,
            f"offcut\n{(right - left) / MM:.0f} × {(top - bottom) / MM:.0f}",
            ha="center",
            va="center",
            fontsize=SMALL,
            color=QUIET,
            backgroundcolor=PAPER,
        )
    several = len({placed.blank.part for placed in nesting.placed}) > 1
    for placed in (p for p in nesting.placed if p.sheet == sheet):
        _draw_placed(ax, placed, placed.blank.name if several else f"{placed.blank.hand} sheet")
    _frame(ax, np.array([[0.0, 0.0], [wide, high]]), 0.02)
    ax.set_title(
        f"Sheet {sheet + 1} of {nesting.sheets}, {show_input(nesting.sheet_length, 'mm')} × "
        f"{show_input(nesting.sheet_width, 'mm')}, kerf {show_input(nesting.kerf, 'mm')}"
    )
    ax.set_xlabel(f"length of the sheet [mm]{', grain along it' if nesting.sheet_grain == 'length' else ''}")
    ax.set_ylabel(f"width of the sheet [mm]{', grain along it' if nesting.sheet_grain == 'width' else ''}")
    return ax


def _draw_line(ax, blank, line):
    if line.name in ("trailing edge", "front edge"):
        return
    ax.add_line(Line2D(*(line.points / MM).T, color=QUIET, lw=0.8, ls=DASHES.get(line.name, (0, (4, 2)))))
    span = blank.span / MM
    if np.isfinite(line.from_root):
        x, y = np.mean(line.points, axis=0) / MM
        low = min(line.from_root, blank.span - line.from_root)
        up = y < 0.5 * span
        ax.text(
            x,
            y + (0.012 if up else -0.012) * span,
            f"frame line {low / MM:.1f}",
            ha="center",
            va="bottom" if up else "top",
            fontsize=TINY,
            color=QUIET,
        )
        return
    root, tip = (v / MM for v in line.from_trailing_edge)
    words = f"{line.name} {root:.1f}" + (f" root, {tip:.1f} tip" if abs(root - tip) > 0.05 else "")
    place = WORDS_AT[line.name] * span
    beside = blank.line("land line" if line.name == "land line" else "back of the rod")
    points = beside.points[np.argsort(beside.points[:, 1])] / MM
    side = 1.0 if line.name == "land line" else -1.0
    ax.text(
        np.interp(place, points[:, 1], points[:, 0]) + side * 0.02 * span,
        place,
        words,
        rotation=90,
        fontsize=TINY,
        color=QUIET,
        ha="center",
        va="center",
    )


def _draw_placed(ax, placed, label):
    blank = placed.blank
    ax.add_patch(Polygon(placed.outline / MM, facecolor=FILLS["land"], edgecolor=INK, lw=0.9))
    for name in ("land line", "rod line"):
        ax.add_line(Line2D(*(placed.on_sheet(blank.line(name).points) / MM).T, color=QUIET, lw=0.5, ls=(0, (4, 2))))
    for ends in blank.match_marks:
        ax.add_line(Line2D(*(placed.on_sheet(ends) / MM).T, color=LINES["limit"].colour, lw=1.4))
    left, bottom, right, top = placed.box
    upright = right - left < top - bottom
    words = f"{label}, face {placed.face}"
    ax.text(
        0.5 * (left + right) / MM,
        0.5 * (bottom + top) / MM,
        words,
        ha="center",
        va="center",
        fontsize=TINY,
        rotation=90 if upright else 0,
    )
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
        ax.text(
            *(at + way + np.array(ARROW[grain]) * 0.2 * reach),
            "grain",
            fontsize=TINY,
            color=INK,
            ha="left" if grain == "chord" else "center",
            va="center" if grain == "chord" else "bottom",
        )


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
