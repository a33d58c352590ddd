"""Rows of dots on a logarithmic axis around 1: ratios bent over flat wedge, and reserves of the checks."""

from __future__ import annotations

import matplotlib
import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from ..study.verdicts import BEYOND
from ..units import format_number
from .figures import SMALL, TEXT, in_style, line_style
from .look import INK, LINES, PAPER, QUIET, THIN_LINES, VERDICT_COLOURS

MOST = 1000.0  # ratios beyond this, or below its inverse, stand at the edge, marked, with their value in words
SAME = 0.005  # ratios this close to 1 are called the same
MARKERS = {"holds": "o", "close": "D", "fails": "X", "unknown": "o"}

# ----- One axes: a row of words beside each dot


@in_style
def draw_ratios(ax, rows) -> None:
    """Ratios bent over flat on a logarithmic axis around 1, one row each, in the order given.

    `rows`: a `Study` (its own comparisons) or a list of (name in plain words, ratio). A ratio that is not a number is
    named and marked "no comparison"; one beyond 1000 or below 1/1000 stands at the edge with its value.
    """
    rows = comparison_rows(rows) if hasattr(rows, "checks") else list(rows)
    if not rows:
        raise ValueError("there are no ratios to draw: give at least one (name, ratio)")
    names, values = [name for name, _ in rows], np.array([float(ratio) for _, ratio in rows])
    words, markers = [ratio_words(v) for v in values], [_more_or_less(v) for v in values]
    _dots(ax, names, values, words, [LINES["bent"].colour] * len(rows), markers)
    ax.axvline(1.0, zorder=1.5, **line_style(THIN_LINES["one"]))
    ax.set_xlabel("bent over flat [×, logarithmic]; left of 1: less, right of 1: more")
    ax.set_title("Bent against flat, measure by measure")


def comparison_rows(study) -> list:
    """(name, ratio) of every comparison of a study."""
    return [(check.name, check.value) for check in study.checks if check.kind == "comparison"]


def ratio_words(value) -> str:
    """A ratio as text: "0.773 ×"."""
    return "no comparison" if np.isnan(value) else f"{format_number(value, 3)} ×"


def _more_or_less(value):
    return "o" if np.isnan(value) or abs(value - 1.0) <= SAME else "^" if value > 1.0 else "v"


@in_style
def draw_checks_reserve(ax, study) -> None:
    """Reserve of every check (limit over value) on a logarithmic axis: left of 1 it fails. Least first.

    Each verdict has its own marker and is written out. A check without a basis for its limit has no dot.
    """
    judged = sorted((c for c in study.checks if c.kind == "limit"), key=lambda c: (np.isnan(c.reserve), c.reserve))
    words = [c.verdict + ("" if np.isnan(c.reserve) else f", {c.reserve_text()}") for c in judged]
    colours, markers = [VERDICT_COLOURS[c.verdict] for c in judged], [MARKERS[c.verdict] for c in judged]
    _dots(ax, [c.name for c in judged], np.array([c.reserve for c in judged]), words, colours, markers)
    close = 1.0 + study.design.close_share
    low, high = ax.get_xlim()
    ax.axvspan(low, 1.0, color=LINES["limit"].colour, alpha=0.08, lw=0)
    ax.axvline(1.0, **line_style(LINES["limit"]), zorder=1.5)
    if close < high:
        ax.axvline(close, zorder=1.5, **line_style(THIN_LINES["close"]))
    words = f"left of 1: fails, up to {format_number(close, 3)}: close"
    ax.set_xlabel(f"reserve, limit over value [×, logarithmic]; {words}")
    ax.set_title("Reserve of each check, the governing one on top")


def _dots(ax, names, values, words, colours, markers):
    """Rows of dots with stems from 1, words beside each dot."""
    kept = np.clip(np.where(np.isnan(values), 1.0, values), 1.0 / MOST, MOST)
    low, high = 0.8 * min(kept.min(), 0.6), 1.25 * max(kept.max(), 1.6)
    _logarithmic(ax, low, high * (high / low) ** 0.28, len(names), _plain_ticks(low, high))  # room for the words
    for row, (value, at, text, colour, marker) in enumerate(zip(values, kept, words, colours, markers, strict=True)):
        if not np.isnan(value):
            if at != value:
                marker, text = _edge_marker(value, at), f"{text}, off scale"
            look = {"marker": marker, "ms": 5.5, "markevery": [1], "solid_capstyle": "butt", "clip_on": False}
            ax.plot([1.0, at], [row, row], color=colour, lw=1.4, zorder=3, **look)
        ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
        place = {"xytext": (6, 0), "textcoords": "offset points", "va": "center"}
        ax.annotate(text, (max(at, 1.0), row), color=colour, parse_math=False, bbox=ground, zorder=1.8, **place)
    ax.set_yticks(range(len(names)), [_wrapped(name) for name in names], parse_math=False)
    ax.grid(False, axis="y")


def _edge_marker(value, at):
    """Of a value that stands at the edge of the axis."""
    return ">" if value > at else "<"


def _logarithmic(ax, low, high, rows, ticks):
    """A logarithmic axis with plain numbers over so many rows, the first on top."""
    ax.set_xscale("log")
    ax.set_xlim(low, high)
    ax.set_ylim(rows - 0.4, -0.6)
    ax.tick_params(axis="y", length=0)
    ax.spines["left"].set_visible(False)
    ax.xaxis.set_major_locator(FixedLocator(ticks))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    ax.xaxis.set_minor_locator(NullLocator())


def _plain_ticks(low, high):
    """Plain numbers on a logarithmic axis as far as the dots reach, few enough to read whatever the range."""
    decades = np.log10(high / low)
    parts = (1, 2, 3, 5, 7) if decades < 0.9 else (1, 2, 5) if decades < 2.2 else (1,)
    powers = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    ticks = [part * 10.0**power for power in powers for part in parts]
    return [tick for tick in ticks if low <= tick <= high]


def _wrapped(name, longest=34):
    """A name on one line, or on two of about the same length."""
    if len(name) <= longest:
        return name
    spaces = [i for i, c in enumerate(name) if c == " "]
    cut = min(spaces, key=lambda i: abs(i - len(name) / 2), default=None)
    return name if cut is None else f"{name[:cut]}\n{name[cut + 1 :]}"


def describe_ratios(study, rows=None) -> str:
    """The ratios bent over flat in words.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> describe_ratios(evaluate(demo().design, local=False))
    "Ratios bent over flat: Second moment about the chord line, of wedge: 0.773 ×; Closed-cell torsion constant,
    of wedge: 0.640 ×; Enclosed area, of wedge: 0.785 ×; Second moment about the normal axis, of wedge: 0.999 ×;
    One sheet's own spanwise second moment, of flat sheet: 1.84 ×."
    """
    rows = comparison_rows(study) if rows is None else rows
    return "Ratios bent over flat: " + "; ".join(f"{name}: {ratio_words(ratio)}" for name, ratio in rows) + "."


def describe_reserve(study) -> str:
    """The reserves of the checks in words."""
    checks = [check for check in study.checks if check.kind == "limit"]
    told = (f"{c.name}: {c.verdict}{_reserve_words(c)}" for c in checks)
    return f"Reserve of each check: {'; '.join(told)}."


def _reserve_words(check):
    if check.beyond and np.isnan(check.reserve):
        return f", {BEYOND}"
    return "" if np.isnan(check.reserve) else f", {check.reserve_text()}"


# ----- Under every fair condition: one small panel for each, a row for each measure, on one axis that all share


MOST_IN_PANEL = 100.0  # a ratio beyond this, or below its inverse, stands at the edge as an arrow
_TITLES = {"the same outer thickness": "thickness", "the same second moment": "2nd\nmoment"}
_DOT = {"color": LINES["bent"].colour, "lw": 1.3, "zorder": 3, "ms": 3.6, "markevery": [1], "clip_on": False}


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
    kept = np.clip(np.where(np.isfinite(values), values, 1.0), 1.0 / MOST_IN_PANEL, MOST_IN_PANEL)
    low, high = 0.85 * min(kept.min(), 0.7), 1.2 * max(kept.max(), 1.5)
    for i, (ax, condition) in enumerate(zip(axes, conditions, strict=True)):
        _panel(ax, values[:, i], kept[:, i], low, high)
        if i:
            _lines_only(ax, len(rows))
        title = _TITLES.get(condition, condition.removeprefix("the same "))
        ax.set_title(title, fontsize=SMALL, fontweight="normal", loc="center")
    axes[0].set_yticks(range(len(rows)), [name for name, _ in rows], parse_math=False)
    words = "Bent pair over flat wedge [×, logarithmic] with the same …"
    axes[0].figure.suptitle(words, fontsize=TEXT, fontweight="bold", x=0.01, ha="left")


def _panel(ax, values, kept, low, high):
    _logarithmic(ax, low, high, len(values), _panel_ticks(low, high))
    ax.axvspan(low, 1.0, color=LINES["wedge"].colour, alpha=0.13, lw=0)
    ax.axvline(1.0, color=INK, lw=0.8, zorder=1.5)
    for row, (value, at) in enumerate(zip(values, kept, strict=True)):
        if np.isnan(value):
            ax.annotate("?", (1.0, row), xytext=(3, 0), textcoords="offset points", va="center", color=QUIET)
            continue
        marker = _edge_marker(value, at) if value != at else _more_or_less(value)
        ax.plot([1.0, at], [row, row], marker=marker, **_DOT)
    ax.grid(False, axis="x")


def _lines_only(ax, count):
    """The lines of a grid up an axes that bears no numbers, without a tick for each: ticks take long to make."""
    ax.yaxis.set_visible(False)
    look = {f"{part}s": matplotlib.rcParams[f"grid.{part}"] for part in ("color", "linewidth", "linestyle")}
    place = {"transform": ax.get_yaxis_transform(), "zorder": ax.yaxis.get_zorder()}
    ax.add_collection(LineCollection([[(0, row), (1, row)] for row in range(count)], **look, **place), autolim=False)


def _panel_ticks(low, high):
    """1 and a few more, none so near to it that their numbers touch on a small panel."""
    decades = np.log10(high / low)
    steps = (0.01, 0.1, 0.5, 1, 2, 5, 10, 100) if decades < 1.6 else (0.01, 0.1, 1, 10, 100)
    apart = {t: np.log10(t) / decades for t in steps if low <= t <= high}
    return [t for t, share in apart.items() if t == 1 or share > 0.2 or share < -0.34]


def describe_fair(rows, conditions) -> str:
    """What the panels show, in words: for each condition which measures the bent pair has more of and less of."""
    out = []
    for i, condition in enumerate(conditions):
        more = [name for name, ratios in rows if ratios[i] > 1.0 + SAME]
        less = [name for name, ratios in rows if ratios[i] < 1.0 - SAME]
        parts = [f"{word}: {', '.join(names)}" for word, names in (("more", more), ("less", less)) if names]
        out.append(f"With {condition} the bent pair has {'; '.join(parts) or 'as much, or it is not known'}.")
    return " ".join(out)
