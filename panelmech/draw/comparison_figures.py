"""Sections on one picture, in millimetres: the bent pair against the flat wedge, and several designs overlaid.

Thickness may be drawn exaggerated, and the axis then says by how much: numbers on the axes stay true.
"""

from __future__ import annotations

import numpy as np
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from ..study.design import LIMITS
from ..units import show_input
from . import shapes as shapes
from .figures import TEXT, clean, heading, in_style, line_style
from .look import FILLS, INK, LINES, QUIET

OVERLAY = ("bent", "pinned", "second", "third")  # looks of the first to fourth design, as in `draw.look.LINES`
STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)  # exaggerations worth using


@in_style
def draw_against_wedge(ax, study, exaggeration: float = 1.0) -> None:
    """The bent pair, solid and tinted, and dashed the flat wedge of the same sheets and rod, hinged at the land end.

    `exaggeration` is how many times larger thickness is drawn than length; the axis says so.
    """
    bend = study.bend
    bent = shapes.bent_faces(bend)
    _land(ax, study, LINES["bent"], FILLS["land"])
    _pair(ax, bent, LINES["bent"], "bent pair", FILLS["land"])
    _rod(ax, bend.spacer_position, bend.spacer_radius, LINES["spacer"], "rod in the bent pair")
    reach = [bent]
    if np.isnan(study.wedge.angle):
        ax.plot([], [], " ", label="no flat wedge: it cannot touch this rod")
    else:
        flat = shapes.wedge_faces(study.wedge)
        _pair(ax, flat, LINES["wedge"], "flat wedge, same sheets and rod")
        _rod(ax, study.wedge.spacer_position, bend.spacer_radius, LINES["wedge"], None, 2.4)
        reach.append(flat)
    _frame(ax, -study.design.land_length / shapes.MM, reach, [bend], exaggeration)
    heading(ax, "Bent pair against flat wedge", 3)


@in_style
def draw_overlay(ax, studies, exaggeration: float = 1.0, labels=None) -> None:
    """Two to four designs on one picture, land ends together, each with its own line. `labels`: one text each.

    Without labels a design is named by its title and by the inputs in which the designs differ. Raises ValueError for
    fewer than two or more than four.
    """
    studies = tuple(studies)
    if not 2 <= len(studies) <= len(OVERLAY):
        raise ValueError(f"{len(studies)} designs to overlay: give two to {len(OVERLAY)}")
    labels = overlay_labels([study.design for study in studies]) if labels is None else labels
    drawn = []
    for study, name, label in zip(studies, OVERLAY, labels, strict=False):
        faces = shapes.bent_faces(study.bend)
        _land(ax, study, LINES[name])
        _pair(ax, faces, LINES[name], label)
        _rod(ax, study.bend.spacer_position, study.bend.spacer_radius, LINES[name], None)
        drawn.append(faces)
    longest = max(study.design.land_length for study in studies)
    _frame(ax, -longest / shapes.MM, drawn, [study.bend for study in studies], exaggeration)
    heading(ax, "Sections compared", 1)


def overlay_labels(designs) -> list:
    """A name for each design: its title, then up to three inputs in which the designs differ, the most telling ones."""
    inputs = {
        "sheet": [design.sheet.name for design in designs],
        **{
            name: [f"{limit.label} {show_input(getattr(design, name), limit.unit)}" for design in designs]
            for name, limit in LIMITS.items()
        },
    }
    differing = {name: words for name, words in inputs.items() if len(set(words)) > 1}
    chosen = []
    while len(chosen) < min(3, len(differing)):
        rest = [name for name in differing if name not in chosen]
        chosen.append(max(rest, key=lambda name: len(set(zip(*(differing[n] for n in [*chosen, name]), strict=True)))))
    more = ", …" if len(differing) > 3 else ""
    parts = [", ".join(differing[name][i] for name in differing if name in chosen) for i in range(len(designs))]
    titles = [clean(design.title, 32) for design in designs]
    return [f"{title}: {words}{more}" if words else title for title, words in zip(titles, parts, strict=True)]


def fitting_exaggeration(study, width_mm: float, height_mm: float) -> float:
    """Largest of `STEPS` at which the section fills at most this much paper; 1 where it is tall already."""
    length = study.quantities["chord"] / width_mm
    return float(
        max((step for step in STEPS if step * study.quantities["outer_thickness"] / length <= height_mm), default=1)
    )


def _pair(ax, faces, look, label, fill=None):
    for side, words in ((np.asarray, label), (shapes.mirrored, None)):
        ring = side(np.vstack([faces.ring, faces.ring[:1]]))
        if fill:
            ax.fill(*ring.T, color=fill, lw=0, zorder=2)
        ax.plot(*ring.T, label=words, zorder=3, **{**line_style(look), "lw": 0.6 * look.weight})


def _land(ax, study, look, fill=None):
    for side in (np.asarray, shapes.mirrored):
        ring = shapes.land_rectangle(study.design)
        ring = side(np.vstack([ring, ring[:1]]))
        if fill:
            ax.fill(*ring.T, color=fill, lw=0, zorder=2)
        ax.plot(*ring.T, zorder=3, **{**line_style(look), "lw": 0.6 * look.weight})


def _rod(ax, position, radius, look, label, zorder=2.5):
    angle = np.linspace(0.0, 2.0 * np.pi, 121)
    ax.plot(
        (position + radius * np.cos(angle)) / shapes.MM,
        radius * np.sin(angle) / shapes.MM,
        label=label,
        zorder=zorder,
        **{**line_style(look), "lw": 0.6 * look.weight},
    )


def _frame(ax, left, drawn, bends, exaggeration):
    """Limits, equal or stated aspect, axis labels."""
    if not exaggeration > 0:
        raise ValueError(f"exaggeration is {exaggeration}: give a positive number, 1 for true shape")
    right = max([faces.ring[:, 0].max() for faces in drawn] + [shapes.front_most(bend) for bend in bends])
    top = max([faces.ring[:, 1].max() for faces in drawn] + [bend.spacer_radius / shapes.MM for bend in bends])
    ax.set_xlim(left - 0.015 * (right - left), right + 0.015 * (right - left))
    ax.set_ylim(-1.12 * top, 1.12 * top)
    ax.set_aspect(exaggeration, adjustable="box", anchor="W")
    ax.set_xlabel("along the chord, from the land end [mm]")
    ax.set_ylabel("across [mm]" if exaggeration == 1 else f"across [mm],\ndrawn {exaggeration:g} times larger")
    ax.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))


# ----- Ratios bent over flat wedge under every fair condition: one small panel for each condition, a row for each
# measure, on one logarithmic axis around 1 that all panels share.


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
