"""Rows of dots on a logarithmic axis around 1: ratios bent over flat, and reserves of the checks."""

from __future__ import annotations

import numpy as np
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from ..units import format_number
from .figures import in_style, line_style
from .look import INK, LINES, PAPER, QUIET, VERDICT_COLOURS

MOST = 1000.0  # ratios beyond this, or below its inverse, stand at the edge, marked, with their value in words


@in_style
def draw_ratios(ax, rows) -> None:
    """Ratios bent over flat on a logarithmic axis around 1, one row each, in the order given.

    `rows`: a `Study` (its own comparisons) or a list of (name in plain words, ratio). A ratio that is not a number is
    named and marked "no comparison"; one beyond 1000 or below 1/1000 stands at the edge with its value.
    """
    rows = comparison_rows(rows) if hasattr(rows, "checks") else list(rows)
    if not rows:
        raise ValueError("there are no ratios to draw: give at least one (name, ratio)")
    values = np.array([float(ratio) for _, ratio in rows])
    _dots(
        ax,
        [name for name, _ in rows],
        values,
        [ratio_words(v) for v in values],
        [LINES["bent"].colour] * len(rows),
        [_more_or_less(v) for v in values],
    )
    ax.axvline(1.0, color=INK, lw=0.9, zorder=1.5)
    ax.set_xlabel("bent over flat [×, logarithmic]; left of 1: less, right of 1: more")
    ax.set_title("Bent against flat, measure by measure")


def comparison_rows(study) -> list:
    """(name, ratio) of every comparison of a study."""
    return [(check.name, check.value) for check in study.checks if check.kind == "comparison"]


def ratio_words(value) -> str:
    """A ratio as text: "0.773 ×"."""
    return "no comparison" if np.isnan(value) else f"{format_number(value, 3)} ×"


def _more_or_less(value):
    return "o" if np.isnan(value) or abs(value - 1.0) <= 0.005 else "^" if value > 1.0 else "v"


_SHAPES = {"holds": "o", "close": "D", "fails": "X", "unknown": "o"}


@in_style
def draw_checks_reserve(ax, study) -> None:
    """Reserve of every check (limit over value) on a logarithmic axis: left of 1 it fails. Least first.

    Each verdict has its own marker and is written out. A check without a basis for its limit has no dot.
    """
    judged = sorted((c for c in study.checks if c.kind == "limit"), key=lambda c: (np.isnan(c.reserve), c.reserve))
    words = [c.verdict + ("" if np.isnan(c.reserve) else f", {c.reserve_text()}") for c in judged]
    _dots(
        ax,
        [c.name for c in judged],
        np.array([c.reserve for c in judged]),
        words,
        [VERDICT_COLOURS[c.verdict] for c in judged],
        [_SHAPES[c.verdict] for c in judged],
    )
    close = 1.0 + study.design.close_share
    low, high = ax.get_xlim()
    ax.axvspan(low, 1.0, color=LINES["limit"].colour, alpha=0.08, lw=0)
    ax.axvline(1.0, **line_style(LINES["limit"]), zorder=1.5)
    if close < high:
        ax.axvline(close, color=QUIET, lw=0.8, ls=(0, (1, 2)), zorder=1.5)
    ax.set_xlabel(
        f"reserve, limit over value [×, logarithmic]; left of 1: fails, up to {format_number(close, 3)}: close"
    )
    ax.set_title("Reserve of each check, the governing one on top")


def _dots(ax, names, values, words, colours, markers):
    """Rows of dots with stems from 1 on a logarithmic axis, words beside each dot."""
    kept = np.clip(np.where(np.isnan(values), 1.0, values), 1.0 / MOST, MOST)
    low, high = 0.8 * min(kept.min(), 0.6), 1.25 * max(kept.max(), 1.6)
    ax.set_xscale("log")
    ax.set_xlim(low, high * (high / low) ** 0.28)  # room for the words
    ax.set_ylim(len(names) - 0.4, -0.6)
    for row, (value, at, text, colour, marker) in enumerate(zip(values, kept, words, colours, markers, strict=True)):
        if not np.isnan(value):
            if at != value:
                marker, text = (">" if value > at else "<"), f"{text}, off scale"
            look = {"marker": marker, "ms": 5.5, "markevery": [1], "solid_capstyle": "butt", "clip_on": False}
            ax.plot([1.0, at], [row, row], color=colour, lw=1.4, zorder=3, **look)
        ax.annotate(
            text,
            (max(at, 1.0), row),
            xytext=(6, 0),
            textcoords="offset points",
            va="center",
            color=colour,
            parse_math=False,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6},
            zorder=1.8,
        )
    ax.set_yticks(range(len(names)), [_wrapped(name) for name in names], parse_math=False)
    ax.tick_params(axis="y", length=0)
    ax.grid(False, axis="y")
    ax.spines["left"].set_visible(False)
    _log_ticks(ax, low, high)


def _log_ticks(ax, low, high):
    """Plain numbers on a logarithmic axis as far as the dots reach, few enough to read whatever the range."""
    decades = np.log10(high / low)
    parts = (1, 2, 3, 5, 7) if decades < 0.9 else (1, 2, 5) if decades < 2.2 else (1,)
    powers = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    ticks = [part * 10.0**power for power in powers for part in parts]
    ax.xaxis.set_major_locator(FixedLocator([tick for tick in ticks if low <= tick <= high]))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    ax.xaxis.set_minor_locator(NullLocator())


def _wrapped(name, longest=34):
    """A name on one line, or on two of about the same length."""
    if len(name) <= longest:
        return name
    spaces = [i for i, c in enumerate(name) if c == " "]
    cut = min(spaces, key=lambda i: abs(i - len(name) / 2), default=None)
    return name if cut is None else f"{name[:cut]}\n{name[cut + 1 :]}"
