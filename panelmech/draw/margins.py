"""Room around axes, reckoned once from the words that stand there.

Matplotlib finds it by laying out all that is drawn, four times over, which takes longer than to draw it. Here the
height of titles and names is known from their lines, then the numbers up each axes, and so its width. Names of axes are
told where they stand, so that nobody has to look for their place either.
"""

from __future__ import annotations

from itertools import pairwise

from .figures import STAMP_ROOM, TEXT, in_style
from .letters import INCH, POINTS, line_box, weight_of

PAD = 1.0  # mm: between what stands around an axes and the next one, or the edge
TO_MM = INCH / POINTS
LINES_APART = 1.2  # heights of a line above its base, from line to line: as matplotlib sets them


@in_style
def fit(fig, rows, heights=None, top: float = 0.0) -> None:
    """Place the axes of a figure that has a stamp at its foot.

    Parameters
    ----------
    fig : Figure
        Laid out by nobody else any more.
    rows : sequence of sequences of Axes
        From above; the axes of a row are equally wide, and the rows end at the same place on either side.
    heights : sequence, optional
        Heights of the rows, one to another; equal if not given.
    top : float
        Kept free at the head [mm].
    """
    fig.set_layout_engine(None)
    wide, high = fig.get_size_inches() * INCH
    heights = heights or [1.0] * len(rows)
    above, below = ([max(map(of, row)) for row in rows] for of in (_above, _below))
    left_over = high - STAMP_ROOM - top - sum(above) - sum(below) - 2 * PAD * len(rows)
    y = high - top
    for row, share, over, under in zip(rows, heights, above, below, strict=True):
        tall = left_over * share / sum(heights)
        y -= PAD + over + tall
        for ax in row:  # as wide as all of the figure, for the numbers up it hang on its height alone
            ax.set_position((0.1, y / high, 0.8 / len(row), tall / high))
        y -= under + PAD
    _fit_across(fig, rows, wide)


def _fit_across(fig, rows, wide):
    left = PAD + max(_left(row[0]) for row in rows)
    right = wide - PAD - max(_right(row[-1]) for row in rows)
    gaps = [[_right(one) + 2 * PAD + _left(other) for one, other in pairwise(row)] for row in rows]
    for row in rows:
        below_each_other = (gap for gap, other in zip(gaps, rows, strict=True) if len(other) == len(row))
        between = [max(gap) for gap in zip(*below_each_other, strict=True)]
        each, x = (right - left - sum(between)) / len(row), left
        for ax, after in zip(row, (*between, 0.0), strict=True):
            box = ax.get_position()
            ax.set_position((x / wide, box.y0, each / wide, box.height))
            x += each + after
            place_names(ax)


def place_names(ax) -> None:
    """Tell the names of the axes, below and at the left, where they stand: next to the numbers, as matplotlib puts
    them. For an axes that is not moved any more."""
    size = ax.get_position().size * ax.figure.get_size_inches() * POINTS
    if ax.get_xlabel():
        ax.xaxis.set_label_coords(0.5, -(_beside(ax.xaxis, 1) + ax.xaxis.labelpad) / size[1])
    if ax.get_ylabel():
        ax.yaxis.set_label_coords(-(_beside(ax.yaxis, 0) + ax.yaxis.labelpad) / size[0], 0.5)


def _above(ax):
    words = max((ax.get_title(place) for place in ("left", "center", "right")), key=len)
    pad = ax.titleOffsetTrans.get_matrix()[1, 2] / ax.figure.dpi * POINTS
    return (pad + _tall(words, TEXT)) * TO_MM if words else 0.0


def _below(ax):
    return _out(ax.xaxis, 1)


def _left(ax):
    return _out(ax.yaxis, 0)


def _right(ax):
    """How far the numbers below an axes reach beyond its right end [mm]."""
    end, to_points = ax.bbox.x1, POINTS / ax.figure.dpi
    middles = ((label.get_transform().transform(label.get_position())[0], label) for label in _shown(ax.xaxis))
    return max((*((at - end) * to_points + 0.5 * _size(label)[0] for at, label in middles), 0.0)) * TO_MM


def _out(axis, which):
    """How far numbers and name of an axis reach from the axes [mm]."""
    if not axis.get_visible():
        return 0.0
    name = axis.get_label_text()
    return (_beside(axis, which) + (axis.labelpad + _tall(name, axis.label.get_size()) if name else 0.0)) * TO_MM


def _beside(axis, which):
    """The same without the name [points]."""
    labels, ticks = _shown(axis), axis.get_major_ticks(1)
    out = ticks[0].get_tick_padding() if ticks[0].tick1line.get_visible() else 0.0
    if not labels:
        return out
    return out + ticks[0].get_pad() + max(_size(label)[which] for label in labels)


def _shown(axis):
    """Numbers of an axis within what it shows."""
    low, high = sorted(axis.get_view_interval())
    labels = zip(axis.get_majorticklocs(), axis.get_majorticklabels(), strict=False)
    return [label for place, label in labels if low <= place <= high and label.get_visible() and label.get_text()]


def _size(text):
    """Width and height of a text that is not turned [points]."""
    bold, size = bool(weight_of(text.get_fontproperties())), text.get_size()
    wide = max(line_box(line, size, bold)[0] for line in text.get_text().split("\n"))
    return wide, _tall(text.get_text(), size)


def _tall(words, size):
    """Height of one or more lines, as matplotlib sets them [points]."""
    _, whole, foot = line_box("lp", size)
    return whole + words.count("\n") * (foot + LINES_APART * (whole - foot))
