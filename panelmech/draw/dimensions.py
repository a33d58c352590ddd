"""Dimension lines of the section drawing, laid out in millimetres on paper so that they read at any scale.

A `Paper` knows how many drawn millimetres one paper millimetre is; offsets, ticks and room for text are stated on
paper, positions in the drawing. Dimensions end in oblique strokes; where the text does not fit between them it stands
beside the line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.lines import Line2D

from .figures import INCH, SMALL, text_width
from .look import INK, PAPER, QUIET

LINE = 0.5  # points: dimension and extension lines
STROKE = 0.8  # mm on paper: half an oblique stroke, each way
GAP = 0.8  # mm on paper: from the feature to its extension line, and from a line to its text
DIMENSION = "dimension"  # marks these lines: a digest counts them, the numbers stand in the words
NARROW = 1.5  # mm on paper: room left and right of a text that stands between two strokes


@dataclass(frozen=True)
class Paper:
    """An axes drawn to scale: `axes`, and `scale`, drawn millimetres per millimetre on paper."""

    axes: object
    scale: float

    def line(self, xs, ys, **look):
        """A thin line through points of the drawing."""
        look = {"color": QUIET, "lw": LINE, "solid_capstyle": "butt", "zorder": 5, "gid": DIMENSION, **look}
        return self.axes.add_line(Line2D(xs, ys, **look))

    def text(self, x, y, words, **look):
        """Small text at a point of the drawing; dollar signs stay dollar signs."""
        look = {"fontsize": SMALL, "color": INK, "parse_math": False, "zorder": 6, **look}
        return self.axes.text(x, y, words, **look)

    def stroke(self, x, y, along=0.0):
        """The oblique stroke that ends a dimension line running at the angle `along` [rad]."""
        reach = STROKE * self.scale * np.sqrt(2.0)
        dx, dy = reach * np.cos(along + np.pi / 4), reach * np.sin(along + np.pi / 4)
        self.line([x - dx, x + dx], [y - dy, y + dy], lw=0.9, color=INK)


def set_paper(ax, box, margins) -> Paper:
    """Fit a drawing into an axes, equal scale both ways, and return the paper.

    `box` is left, right, bottom, top of what is drawn [mm]; `margins`, in the same order, is the room around it on
    paper [mm]. The axes must have its final size on the figure. Raises ValueError where the margins leave no room.
    """
    wide, high = (np.array([ax.bbox.width, ax.bbox.height]) / ax.figure.dpi) * INCH
    left, right, bottom, top = margins
    room_x, room_y = wide - left - right, high - bottom - top
    if room_x < 10.0 or room_y < 2.0:
        raise ValueError(
            f"the axes is {wide:.0f} x {high:.0f} mm; this drawing needs more than {left + right + 10:.0f} x "
            f"{bottom + top + 2:.0f} mm: use a larger figure, or draw without dimensions"
        )
    x0, x1, y0, y1 = box
    scale = max((x1 - x0) / room_x, (y1 - y0) / room_y)
    spare_x, spare_y = 0.5 * (room_x * scale - (x1 - x0)), 0.5 * (room_y * scale - (y1 - y0))
    ax.set_aspect("equal", adjustable="box")
    ax.set_xlim(x0 - left * scale - spare_x, x1 + right * scale + spare_x)
    ax.set_ylim(y0 - bottom * scale - spare_y, y1 + top * scale + spare_y)
    ax.set_axis_off()
    ax.grid(False)
    return Paper(ax, scale)


def along_chord(paper: Paper, start, end, y, words, beside="right", inside="break") -> None:
    """Dimension parallel to the chord between two points of the drawing, its line at height `y`, below or above them.

    Extension lines run from the points to the line. `beside`: "left", "right" or "none", where a text goes that does
    not fit between; `inside`: "break" interrupts the line for a text that fits, "over" writes it above the line.
    """
    for px, py in (start, end):
        away = np.sign(y - py) or 1.0
        paper.line([px, px], [py + away * GAP * paper.scale, y + away * 2.0 * STROKE * paper.scale])
        paper.stroke(px, y)
    (x0, _), (x1, _) = sorted((start, end))
    paper.line([x0, x1], [y, y], color=INK)
    if beside == "none" or text_width(words, SMALL) + 2.0 * NARROW <= (x1 - x0) / paper.scale:
        lift, va = (0.0, "center") if inside == "break" else (0.6 * paper.scale, "bottom")
        ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.0} if inside == "break" else None
        paper.text(0.5 * (x0 + x1), y + lift, words, ha="center", va=va, bbox=ground)
    elif beside == "right":
        paper.text(x1 + 2.0 * GAP * paper.scale, y, words, ha="left", va="center")
    else:
        paper.text(x0 - 2.0 * GAP * paper.scale, y, words, ha="right", va="center")


def across_chord(paper: Paper, low, high, x, words, end="top", lower=0.0) -> None:
    """Dimension across the chord between two points, its line at `x`.

    The text stands centred above its top end, or to the right of a thin line that runs down from its bottom end by
    `lower`.
    """
    for px, py in (low, high):
        away = np.sign(x - px) or 1.0
        paper.line([px + away * GAP * paper.scale, x + away * 2.0 * STROKE * paper.scale], [py, py])
        paper.stroke(x, py, np.pi / 2)
    paper.line([x, x], [low[1], high[1]], color=INK)
    gap = 2.0 * GAP * paper.scale
    if end == "top":
        paper.text(x, high[1] + gap, words, ha="center", va="bottom", linespacing=1.05)
        return
    foot = low[1] - lower - gap
    paper.line([x, x], [low[1], foot - 5.0 * paper.scale])
    paper.text(x + 0.6 * gap, foot, words, ha="left", va="top", linespacing=1.05)


def along_curve(paper: Paper, points, offset, words, share=0.5) -> None:
    """Dimension along a curve of the drawing, moved out by `offset` mm on paper, the text lying along it.

    `points` (n, 2) in order of x; `share` of the curve's length where the text is centred.
    """
    points = np.asarray(points)
    tangent = np.gradient(points, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    curve = points + offset * paper.scale * normal
    paper.line(*curve.T, color=INK)
    for i in (0, -1):
        ends = points[i] + np.outer([GAP, offset + 2.0 * STROKE], normal[i]) * paper.scale
        paper.line(*ends.T)
        paper.stroke(*curve[i], np.arctan2(tangent[i, 1], tangent[i, 0]))
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1)))
    half = 0.5 * text_width(words, SMALL) * paper.scale
    at = max(share * run[-1], min(half + 6.0 * paper.scale, 0.5 * run[-1]))  # clear of the stroke at the start
    x, y, nx, ny = (np.interp(at, run, values) for values in (*curve.T, *normal.T))
    away = curve - [x, y]
    near = np.abs(away @ [ny, -nx]) <= half
    lift = max(float(np.max(away[near] @ [nx, ny], initial=0.0)), 0.0) + GAP * paper.scale  # clear of a hollow curve
    turn = np.degrees(np.arctan2(-nx, ny))
    x, y = x + lift * nx, y + lift * ny
    paper.text(x, y, words, ha="center", va="bottom", rotation=turn, rotation_mode="anchor")
