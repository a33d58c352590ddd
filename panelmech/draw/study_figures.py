"""Pictures of a study, for notes and notebooks: every drawing function, and ready-made figures.

A drawing function takes an Axes and a `Study` and draws; it solves nothing and keeps no state. The ready-made figures
are of an exact size in mm, laid out once, stamped with title and input hash, and written by `save_figure` to the same
bytes each time. `describe_section` and its neighbours say in words what a picture shows.
"""

from __future__ import annotations

import numpy as np
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from ..mechanics.forming import surface_strain
from ..units import FACTORS, format_number, show
from . import shapes as shapes
from .comparison_figures import (
    describe_fair,
    draw_against_wedge,
    draw_fair,
    draw_overlay,
    fitting_exaggeration,
    overlay_labels,
)
from .figures import (
    STAMP_ROOM,
    axes_at,
    blank_figure,
    figure,
    figure_bytes,
    freeze,
    heading,
    in_style,
    line_style,
    save_figure,
    stamp,
)
from .look import INK, LINES, PAPER, QUIET, VERDICT_COLOURS
from .section_figures import describe_section, draw_parts, draw_section, section_height

__all__ = [
    "FIGURES",
    "against_wedge_figure",
    "along_figure",
    "axes_at",
    "blank_figure",
    "comparison_rows",
    "describe_against_wedge",
    "describe_along",
    "describe_fair",
    "describe_ratios",
    "describe_reserve",
    "describe_section",
    "draw_against_wedge",
    "draw_checks_reserve",
    "draw_curvature",
    "draw_fair",
    "draw_overlay",
    "draw_parts",
    "draw_ratios",
    "draw_section",
    "draw_strain",
    "fair_figure",
    "figure",
    "figure_bytes",
    "fitting_exaggeration",
    "freeze",
    "overlay_figure",
    "overlay_labels",
    "ratios_figure",
    "reserve_figure",
    "save_figure",
    "section_figure",
    "stamp",
]

# ----- Rows of dots on a logarithmic axis around 1: ratios bent over flat, and reserves of the checks.


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


# ----- Curvature and bending strain along the sheet. Across: arclength on the mid-surface, from the land end.


ALONG = "along the sheet, from the land end [mm]"
PERCENT = FACTORS["%"]
FAR = 3.0  # a limit more than this many times the greatest strain is named in the legend, not drawn


@in_style
def draw_curvature(ax, study) -> None:
    """Curvature [1/m] of the sheet along its length [mm], with the tightest radius and the contact marked."""
    bend = study.bend
    arclength = shapes.stations(bend)
    curvature = bend.curvature(arclength)
    ax.plot(arclength / shapes.MM, curvature, **line_style(LINES["bent"]))
    _greatest(ax, curvature[0], f"tightest radius {show(study.quantities['land_radius'], 'mm')}, at the land")
    _along(ax, bend, curvature[0])
    ax.set_ylabel("curvature [1/m]")
    heading(ax, "Curvature along the sheet", 2)


@in_style
def draw_strain(ax, study) -> None:
    """Bending strain [%] at the surface along the sheet [mm], with both limits.

    A limit within three times the greatest strain is a line with its name on it; one farther off, or without a basis,
    is named in the legend instead, so that the curve keeps its room.
    """
    bend = study.bend
    arclength = shapes.stations(bend)
    strain = surface_strain(bend, arclength) / PERCENT
    ax.plot(arclength / shapes.MM, strain, **line_style(LINES["bent"]))
    _greatest(ax, strain[0], f"greatest strain {format_number(strain[0], 3)} %, at the land")
    limits = [
        (words, LINES[look], study.check(key).limit / PERCENT)
        for words, look, key in (
            ("limit while forming", "limit", "forming_strain"),
            ("limit for good", "permanent", "permanent_strain"),
        )
    ]
    near = sorted((item for item in limits if item[2] <= FAR * strain[0]), key=lambda item: item[2])
    _along(ax, bend, max([strain[0]] + [limit for *_, limit in near]))
    _limit_lines(ax, near)
    for words, look, limit in limits:
        if not limit <= FAR * strain[0]:
            value = "has no basis" if np.isnan(limit) else f"{format_number(limit, 3)} %, above this scale ↑"
            ax.plot([], [], label=f"{words} {value}", **line_style(look))
    ax.set_ylabel("surface strain [%]")
    heading(ax, "Bending strain along the sheet", 2)


def _limit_lines(ax, near):
    """Lines across the axes; the words above their line, or below where the next line is too close above."""
    right, top = ax.get_xlim()[1], ax.get_ylim()[1]
    for i, (words, look, limit) in enumerate(near):
        ax.axhline(limit, **line_style(look))
        crowded = i + 1 < len(near) and near[i + 1][2] - limit < 0.15 * top
        ax.annotate(
            f"{words} {format_number(limit, 3)} %",
            (right, limit),
            xytext=(-2, -2.5 if crowded else 2),
            textcoords="offset points",
            ha="right",
            va="top" if crowded else "bottom",
            color=look.colour,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5, "alpha": 0.8},
        )


def _greatest(ax, value, words):
    """A dot on the curve at the land end, named in the legend."""
    look = line_style(LINES["bent"])
    ax.plot([0.0], [value], color=look["color"], marker="o", ms=4.5, ls="none", clip_on=False, zorder=4, label=words)


def _along(ax, bend, greatest):
    """Axis along the sheet, with the contact marked on it."""
    ax.set_xlim(0.0, bend.free_length / shapes.MM)
    ax.set_ylim(0.0, 1.15 * greatest)
    ax.set_xlabel(ALONG)
    colour, contact = LINES["spacer"].colour, bend.contact_arclength / shapes.MM
    ax.axvline(contact, color=colour, lw=0.8, ls=(0, (1, 2)), zorder=1.5)
    words = f"contact with the rod, {show(bend.contact_arclength, 'mm')}"
    ax.plot([contact], [0.0], color=colour, marker="^", ms=5.0, ls="none", clip_on=False, zorder=4, label=words)


# ----- Pictures of a study, for notes and notebooks: every drawing function, and ready-made figures.


ROW = 8.5  # mm a row of dots
FRAME = 24.0  # mm of title, ticks and axis label above and below a plot
LEGEND_ROW = 4.2  # mm
FAIR_FRAME, FAIR_ROW = 24.0, 3.6  # mm: above and below the small panels of `draw_fair`, and a row of theirs


def section_figure(study, width_mm: float = 170.0, highest_mm: float = 170.0):
    """The dimensioned section to scale, as large as the width and `highest_mm` allow."""
    height = min(section_height(study, width_mm - 2.0) + STAMP_ROOM + 1.0, highest_mm)
    fig = blank_figure(width_mm, height)
    draw_section(axes_at(fig, 1.0, STAMP_ROOM, width_mm - 2.0, height - STAMP_ROOM - 1.0), study)
    stamp(fig, study)
    return fig


def along_figure(study, width_mm: float = 170.0, height_mm: float = 115.0):
    """Curvature and, under it, strain along the sheet."""
    fig, (upper, lower) = figure(width_mm, height_mm, 2, 1)
    draw_curvature(upper, study)
    draw_strain(lower, study)
    return _finished(fig, study)


def against_wedge_figure(study, width_mm: float = 170.0, exaggeration: float | None = None, highest_mm: float = 150.0):
    """Bent pair and flat wedge overlaid; thickness exaggerated to fill about 60 mm unless told otherwise."""
    exaggeration = fitting_exaggeration(study, width_mm - 20.0, 60.0) if exaggeration is None else exaggeration
    fig, ax = figure(width_mm, _overlay_height([study], width_mm, exaggeration, 1, highest_mm))
    draw_against_wedge(ax, study, exaggeration)
    return _finished(fig, study)


def overlay_figure(
    studies, width_mm: float = 170.0, exaggeration: float | None = None, labels=None, highest_mm: float = 150.0
):
    """Two to four designs overlaid; thickness exaggerated as in `against_wedge_figure`."""
    studies = tuple(studies)
    if exaggeration is None:
        exaggeration = min((fitting_exaggeration(study, width_mm - 20.0, 60.0) for study in studies), default=1.0)
    fig, ax = figure(width_mm, _overlay_height(studies, width_mm, exaggeration, len(studies), highest_mm))
    draw_overlay(ax, studies, exaggeration, labels)
    return _finished(fig, *studies)


def _overlay_height(studies, width_mm, exaggeration, legend_rows, highest_mm):
    chord = max((study.quantities["chord"] for study in studies), default=1.0)
    thick = max((study.quantities["outer_thickness"] for study in studies), default=1.0)
    return min(1.12 * exaggeration * thick / chord * (width_mm - 20.0) + FRAME + legend_rows * LEGEND_ROW, highest_mm)


def ratios_figure(study, rows=None, width_mm: float = 170.0):
    """Ratios bent over flat; `rows` (name, ratio) in place of the study's own comparisons."""
    rows = comparison_rows(study) if rows is None else list(rows)
    fig, ax = figure(width_mm, FRAME + ROW * len(rows))
    draw_ratios(ax, rows)
    return _finished(fig, study)


def fair_figure(study, rows, conditions, width_mm: float = 170.0):
    """Ratios bent over flat in every measure (`rows`) under every condition; see `draw_fair`."""
    fig, axes = figure(width_mm, FAIR_FRAME + FAIR_ROW * len(rows), 1, len(conditions), sharey=True)
    draw_fair(np.atleast_1d(axes), rows, conditions)
    return _finished(fig, study)


def reserve_figure(study, width_mm: float = 170.0):
    """Reserve of every check, the governing one on top."""
    fig, ax = figure(width_mm, FRAME + ROW * sum(check.kind == "limit" for check in study.checks))
    draw_checks_reserve(ax, study)
    return _finished(fig, study)


def _finished(fig, *studies):
    stamp(fig, *studies)
    return freeze(fig)


def describe_along(study) -> str:
    """What the curves of curvature and strain show, in words."""
    bend, found = study.bend, study.quantities
    return (
        f"Two curves along the sheet, from the land end to the front edge at {show(bend.free_length, 'mm')}. Curvature "
        f"is greatest at the land, {show(bend.land_curvature, '1/m')} (radius {show(found['land_radius'], 'mm')}), "
        f"falls almost evenly to zero at the contact with the rod at {show(bend.contact_arclength, 'mm')}, and stays "
        f"zero in front of it. Surface strain has the same course: {show(found['land_strain'], '%', 3)} at the land. "
        f"The limit while forming {_limit(study, 'forming_strain')}; the limit for good "
        f"{_limit(study, 'permanent_strain')}."
    )


def _limit(study, key):
    check = study.check(key)
    return "has no basis" if np.isnan(check.limit) else f"is {check.limit_text()}"


def describe_against_wedge(study) -> str:
    """What the overlay of bent pair and flat wedge shows, in words."""
    found = study.quantities
    if np.isnan(study.wedge.angle):
        return "Section of the bent pair. The flat wedge of these sheets cannot touch this rod: nothing to compare."
    return (
        "Sections of the bent pair and of the flat wedge of the same sheets and rod, overlaid. Next to the land the "
        "bent sheets run along the chord line and lie closer together than the wedge's straight ones. Outer thickness "
        f"at the front edge: {show(found['outer_thickness'], 'mm')} bent, "
        f"{show(found['wedge_outer_thickness'], 'mm')} flat."
    )


def describe_ratios(study, rows=None) -> str:
    """The ratios bent over flat in words."""
    rows = comparison_rows(study) if rows is None else rows
    return "Ratios bent over flat: " + "; ".join(f"{name}: {ratio_words(ratio)}" for name, ratio in rows) + "."


def describe_reserve(study) -> str:
    """The reserves of the checks in words."""
    checks = [check for check in study.checks if check.kind == "limit"]
    return "Reserve of each check: " + "; ".join(f"{c.name}: {c.verdict}, {c.reserve_text()}" for c in checks) + "."


FIGURES = {  # name -> (what it shows, figure, words)
    "section": ("Section to scale", section_figure, describe_section),
    "along": ("Curvature and bending strain along the sheet", along_figure, describe_along),
    "against_wedge": ("Bent pair against flat wedge", against_wedge_figure, describe_against_wedge),
    "ratios": ("Bent against flat, measure by measure", ratios_figure, describe_ratios),
    "reserve": ("Reserve of each check", reserve_figure, describe_reserve),
}
