"""A figure as text, so that a changed curve shows in a comparison of texts.

A comparison of stored notebooks reads text, not pictures. A digest stored beside a picture, as its plain text, puts its
curves into the comparison: any change of a curve by more than about one part in a thousand changes the text.
"""

from __future__ import annotations

import numpy as np

DIGITS = 4


def figure_digest(fig, digits: int = DIGITS) -> str:
    """Text of a matplotlib figure, one block for each axes.

    A block has the title, axis labels and scales, then one line for each curve and each filled shape or group of
    shapes: number of points, smallest and largest x and y, and an area (under a curve: signed sum of trapezes over its
    points in order; of a shape: what it encloses), with `digits` significant digits. Last stand the words written in
    the axes. Dimension lines are only counted: their numbers stand in the words. A value that is zero but for rounding
    is written as 0, there is no minus zero, and points that are not finite are counted apart. Raises ValueError for a
    figure without axes.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> from panelmech.draw import section_figure
    >>> figure_digest(section_figure(evaluate(demo().design, local=False))).splitlines()[:2]
    ['axes 1: no title', '  line 1: 2 points, x 211.2 to 214.4, y 0 to 0, area 0']
    """
    if not fig.axes:
        raise ValueError("this figure has no axes: there is nothing to digest")
    return "\n".join(_axes_lines(number, ax, digits) for number, ax in enumerate(fig.axes, 1))


def _axes_lines(number, ax, digits):
    head = f"axes {number}: {_one_line(ax.get_title(loc='left') or ax.get_title() or 'no title')}"
    rows = [head]
    for name, axis in (("x", ax.xaxis), ("y", ax.yaxis)):
        words = _one_line(axis.get_label_text())
        if words or axis.get_scale() != "linear":
            rows.append(f"  {name}: {words} ({axis.get_scale()})")
    curves = [line for line in ax.lines if line.get_gid() != "dimension"]
    rows += [_curve(f"line {i}", line.get_label(), line.get_xydata(), digits) for i, line in enumerate(curves, 1)]
    if len(curves) < len(ax.lines):
        rows.append(f"  {len(ax.lines) - len(curves)} dimension lines")
    for i, group in enumerate(ax.collections, 1):
        rows.append(_shapes(f"group {i}", group.get_label(), [path.vertices for path in group.get_paths()], digits))
    for i, patch in enumerate(ax.patches, 1):
        corners = patch.get_patch_transform().transform_path(patch.get_path()).to_polygons(closed_only=False)
        rows.append(_shapes(f"shape {i}", patch.get_label(), corners, digits))
    for name, words in (("rows", _row_names(ax)), ("words", ax.texts)):
        words = [_one_line(text.get_text()) for text in words if text.get_text()]
        if words:
            rows.append(f"  {name}: {' | '.join(words)}")
    return "\n".join(rows)


def _row_names(ax):
    """Tick labels of y where they are words set by hand, not numbers."""
    by_hand = type(ax.yaxis.get_major_locator()).__name__ == "FixedLocator"
    return [label for label in ax.get_yticklabels() if by_hand and label.get_text()[:1].isalpha()]


def _curve(name, label, points, digits):
    points = np.asarray(points, dtype=float).reshape(-1, 2)
    kept = points[np.isfinite(points).all(axis=1)]
    area = float(np.sum(0.5 * (kept[1:, 1] + kept[:-1, 1]) * np.diff(kept[:, 0])))
    lost = "" if len(kept) == len(points) else f", {len(points) - len(kept)} not finite"
    return _row(name, label, kept, area, f"{len(kept)} points{lost}", digits)


def _shapes(name, label, rings, digits):
    rings = [np.asarray(ring, dtype=float).reshape(-1, 2) for ring in rings]
    area = sum(abs(_enclosed(ring)) for ring in rings)
    points = np.vstack(rings) if rings else np.empty((0, 2))
    return _row(name, label, points, area, f"{len(rings)} of {len(points)} points", digits)


def _enclosed(ring):
    x, y = ring[:, 0], ring[:, 1]
    return 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


def _row(name, label, points, area, count, digits):
    label = "" if not label or label.startswith("_") else f" {_one_line(label)}"
    if not len(points):
        return f"  {name}{label}: {count}"
    low, high = points.min(axis=0), points.max(axis=0)
    span = np.maximum(np.abs(low), np.abs(high))
    x, y = (f"{_number(low[i], span[i], digits)} to {_number(high[i], span[i], digits)}" for i in (0, 1))
    return f"  {name}{label}: {count}, x {x}, y {y}, area {_number(area, span[0] * span[1], digits)}"


def _number(value, size, digits):
    """`digits` significant digits; 0 where the value is rounding noise beside `size`."""
    return "0" if abs(value) <= 1e-9 * size else f"{value:.{digits}g}"


def _one_line(words):
    return " ".join(words.split())
