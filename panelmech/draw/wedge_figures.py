"""Ratios bent over flat wedge under every fair condition: one small panel for each condition, a row for each measure,
on one logarithmic axis around 1 that all panels share.
"""

from __future__ import annotations

import numpy as np
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from .figures import TEXT, in_style
from .look import INK, LINES, QUIET

SMALLER = 6.3  # points: names of the panels, which are narrow
MOST = 100.0  # a ratio beyond this, or below its inverse, stands at the edge as an arrow
_TITLES = {"the same outer thickness": "thickness", "the same second moment": "2nd moment"}


@in_style
def draw_fair(axes, rows, conditions) -> None:
    """Dots on small panels: left of the line at 1 the bent pair has less than the flat wedge, right of it more.

    Parameters
    ----------
    axes : sequence of Axes
        One for each condition, side by side; row names stand at the first.
    rows : list
        (name in plain words, ratios bent over flat in the order of the conditions); nan is marked "?".
    conditions : sequence of str
        In words, as in `study.wedge_comparison.CONDITIONS`.

    Raises ValueError where there are no rows, or not as many axes and ratios as conditions.
    """
    rows = list(rows)
    if not rows or any(len(ratios) != len(conditions) for _, ratios in rows) or len(axes) != len(conditions):
        raise ValueError("give at least one (name, ratios), and one axes and one ratio of each row for each condition")
    values = np.array([ratios for _, ratios in rows], dtype=float)
    kept = np.clip(np.where(np.isfinite(values), values, 1.0), 1.0 / MOST, MOST)
    low, high = 0.85 * min(kept.min(), 0.7), 1.2 * max(kept.max(), 1.5)
    for i, (ax, condition) in enumerate(zip(axes, conditions, strict=True)):
        _panel(ax, values[:, i], kept[:, i], low, high)
        title = _TITLES.get(condition, condition.removeprefix("the same "))
        ax.set_title(title, fontsize=SMALLER, fontweight="normal", loc="center")
        ax.tick_params(axis="y", labelleft=i == 0)
    axes[0].set_yticks(range(len(rows)), [name for name, _ in rows], parse_math=False)
    words = "Bent pair over flat wedge [×, logarithmic] with the same …"
    axes[0].figure.suptitle(words, fontsize=TEXT, fontweight="bold", x=0.01, ha="left")


def _panel(ax, values, kept, low, high):
    ax.set_xscale("log")
    ax.set_xlim(low, high)
    ax.set_ylim(len(values) - 0.4, -0.6)
    ax.axvspan(low, 1.0, color=LINES["wedge"].colour, alpha=0.13, lw=0)
    ax.axvline(1.0, color=INK, lw=0.8, zorder=1.5)
    for row, (value, at) in enumerate(zip(values, kept, strict=True)):
        if np.isnan(value):
            ax.annotate("?", (1.0, row), xytext=(3, 0), textcoords="offset points", va="center", color=QUIET)
            continue
        ax.plot([1.0, at], [row, row], marker=_marker(value, at), **_DOT)
    ax.set_yticks(range(len(values)))
    ax.tick_params(axis="y", length=0)
    ax.grid(False, axis="x")
    ax.spines["left"].set_visible(False)
    ax.xaxis.set_major_locator(FixedLocator(_ticks(low, high)))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    ax.xaxis.set_minor_locator(NullLocator())


def _ticks(low, high):
    """1 and a few more, none so near to it that their numbers touch on a small panel."""
    decades = np.log10(high / low)
    steps = (0.01, 0.1, 0.5, 1, 2, 5, 10, 100) if decades < 1.6 else (0.01, 0.1, 1, 10, 100)
    apart = {t: np.log10(t) / decades for t in steps if low <= t <= high}
    return [t for t, share in apart.items() if t == 1 or share > 0.2 or share < -0.34]


_DOT = {"color": LINES["bent"].colour, "lw": 1.3, "zorder": 3, "ms": 3.6, "markevery": [1], "clip_on": False}


def _marker(value, at):
    if value != at:
        return ">" if value > at else "<"
    return "o" if abs(value - 1.0) <= 0.005 else "^" if value > 1.0 else "v"


def describe_fair(rows, conditions) -> str:
    """What the panels show, in words: for each condition which measures the bent pair has more of and less of."""
    out = []
    for i, condition in enumerate(conditions):
        more = [name for name, ratios in rows if ratios[i] > 1.005]
        less = [name for name, ratios in rows if ratios[i] < 0.995]
        parts = [f"{word}: {', '.join(names)}" for word, names in (("more", more), ("less", less)) if names]
        out.append(f"With {condition} the bent pair has {'; '.join(parts) or 'as much, or it is not known'}.")
    return " ".join(out)
