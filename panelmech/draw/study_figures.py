"""Pictures of a study, for notes and notebooks: every drawing function, and ready-made figures.

A drawing function takes an Axes and a `Study` and draws; it solves nothing and keeps no state. The ready-made figures
are of an exact size in mm, laid out once, stamped with title and input hash, and written by `save_figure` to the same
bytes each time. `describe_section` and its neighbours say in words what a picture shows.
"""

from __future__ import annotations

import numpy as np

from ..mechanics.forming import surface_strain
from ..study.side_by_side import design_names
from ..units import FACTORS, format_number, show
from .figures import (
    SMALL,
    STAMP_ROOM,
    axes_at,
    axes_size,
    blank_figure,
    clean,
    figure,
    freeze,
    heading,
    in_style,
    line_style,
    name_lengths,
    stamped,
)
from .letters import line_width
from .look import CHECK_LINES, FILLS, LINES, PAPER, THIN_LINES
from .ratio_figures import (
    comparison_rows,
    describe_ratios,
    describe_reserve,
    draw_checks_reserve,
    draw_fair,
    draw_ratios,
)
from .section_figures import describe_section, draw_section, section_height
from .shapes import MM, mirrored, section_outlines, stations, wedge_faces

# ----- Curvature and bending strain along the sheet; across: arclength on the mid-surface, from the land end


ALONG = "along the sheet, from the land end"
PERCENT = FACTORS["%"]
FAR = 3.0  # a limit more than this many times the greatest strain is named in the legend, not drawn


@in_style
def draw_curvature(ax, study) -> None:
    """Curvature [1/m] of the sheet along its length [mm], with the tightest radius and the contact marked."""
    bend = study.bend
    arclength = stations(bend)
    curvature = bend.curvature(arclength)
    ax.plot(arclength / MM, curvature, **line_style(LINES["bent"]))
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
    arclength = stations(bend)
    strain = surface_strain(bend, arclength) / PERCENT
    ax.plot(arclength / MM, strain, **line_style(LINES["bent"]))
    _greatest(ax, strain[0], f"greatest strain {format_number(strain[0], 3)} %, at the land")
    limits = [
        (words, CHECK_LINES[key], study.check(key).limit / PERCENT)
        for words, key in (("limit while forming", "forming_strain"), ("limit for good", "permanent_strain"))
    ]
    near = sorted((item for item in limits if item[2] <= FAR * strain[0]), key=lambda item: item[2])
    _along(ax, bend, max([strain[0]] + [limit for *_, limit in near]))
    _limit_lines(ax, near)
    for words, look, limit in limits:
        if not limit <= FAR * strain[0]:
            value = "has no basis" if np.isnan(limit) else f"{format_number(limit, 3)} %, off the scale ↑"
            ax.plot([], [], label=f"{words} {value}", **line_style(look))
    ax.set_ylabel("surface strain [%]")
    heading(ax, "Bending strain along the sheet", 2)


def _limit_lines(ax, near):
    """Lines across the axes; the words above their line, or below where the next line is too close above."""
    right, top = ax.get_xlim()[1], ax.get_ylim()[1]
    for i, (words, look, limit) in enumerate(near):
        ax.axhline(limit, **line_style(look))
        crowded = i + 1 < len(near) and near[i + 1][2] - limit < 0.15 * top
        words, place = f"{words} {format_number(limit, 3)} %", (-2, -2.5 if crowded else 2)
        look = {"ha": "right", "va": "top" if crowded else "bottom", "color": look.colour}
        ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.5, "alpha": 0.8}
        ax.annotate(words, (right, limit), xytext=place, textcoords="offset points", bbox=ground, **look)


def _greatest(ax, value, words):
    """A dot on the curve at the land end, named in the legend."""
    look = line_style(LINES["bent"])
    ax.plot([0.0], [value], color=look["color"], marker="o", ms=4.5, ls="none", clip_on=False, zorder=4, label=words)


def _along(ax, bend, greatest):
    """Axis along the sheet, with the contact marked on it."""
    ax.set_xlim(0.0, bend.free_length / MM)
    ax.set_ylim(0.0, 1.15 * greatest)
    name_lengths(ax.xaxis, ALONG)
    colour, contact = LINES["spacer"].colour, bend.contact_arclength / MM
    ax.axvline(contact, zorder=1.5, **line_style(THIN_LINES["contact"]))
    words = f"contact with the rod, {show(bend.contact_arclength, 'mm')}"
    ax.plot([contact], [0.0], color=colour, marker="^", ms=5.0, ls="none", clip_on=False, zorder=4, label=words)


# ----- Sections on one picture, thickness exaggerated where asked for: the axis says so, and its numbers stay true


OVERLAY = ("bent", "pinned", "second", "third")  # looks of the first to fourth design, as in `draw.look.LINES`
STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)  # exaggerations worth using


@in_style
def draw_against_wedge(ax, study, exaggeration: float = 1.0) -> None:
    """The bent pair, solid and tinted, and dashed the flat wedge of the same sheets and rod, hinged at the land end.

    `exaggeration` is how many times larger thickness is drawn than length; the axis says so.
    """
    shape, wedge = section_outlines(study), study.wedge
    _overlaid(ax, shape, LINES["bent"], "bent pair", LINES["spacer"], "rod in the bent pair", FILLS["land"])
    reach = [shape.sheet.ring]
    if np.isnan(wedge.angle):
        ax.plot([], [], " ", label="no flat wedge: it cannot touch this rod")
    else:
        flat = wedge_faces(wedge).ring
        _both_sides(ax, flat, LINES["wedge"], "flat wedge, same rod")
        _circle(ax, wedge.spacer_position / MM, shape.rod[1], LINES["wedge"], None, 2.4)
        reach.append(flat)
    _frame(ax, [shape], reach, exaggeration)
    heading(ax, "Bent pair against flat wedge", 3)


@in_style
def draw_overlay(ax, studies, exaggeration: float = 1.0, labels=None) -> None:
    """Two to four designs on one picture, land ends together, each with its own line. `labels`: one text each.

    Without labels they are named as by `study.side_by_side.design_names`. Raises ValueError for fewer than two or more
    than four.
    """
    studies = tuple(studies)
    if not 2 <= len(studies) <= len(OVERLAY):
        raise ValueError(f"{len(studies)} designs to overlay: give two to {len(OVERLAY)}")
    labels = design_names([study.design for study in studies]) if labels is None else labels
    shapes = [section_outlines(study) for study in studies]
    for shape, name, label in zip(shapes, OVERLAY, labels, strict=False):
        _overlaid(ax, shape, LINES[name], clean(label, 60), LINES[name])
    _frame(ax, shapes, [shape.sheet.ring for shape in shapes], exaggeration)
    heading(ax, "Sections compared", 1)


def fitting_exaggeration(study, width_mm: float, height_mm: float) -> float:
    """Largest of `STEPS` at which the section fills at most this much paper; 1 where it is tall already."""
    length = study.quantities["chord"] / width_mm
    return float(
        max((step for step in STEPS if step * study.quantities["outer_thickness"] / length <= height_mm), default=1)
    )


def _overlaid(ax, shape, look, label, rod_look, rod_label=None, fill=None):
    """Land, sheets and rod of one section in one look."""
    _both_sides(ax, shape.land, look, None, fill)
    _both_sides(ax, shape.sheet.ring, look, label, fill)
    _circle(ax, *shape.rod, rod_look, rod_label)


def _both_sides(ax, ring, look, label, fill=None):
    ring = np.vstack([ring, ring[:1]])
    for side, words in ((ring, label), (mirrored(ring), None)):
        if fill:
            ax.fill(*side.T, color=fill, lw=0, zorder=2)
        ax.plot(*side.T, label=words, zorder=3, **{**line_style(look), "lw": 0.6 * look.weight})


def _circle(ax, x, radius, look, label, zorder=2.5):
    angle, style = np.linspace(0.0, 2.0 * np.pi, 121), {**line_style(look), "lw": 0.6 * look.weight}
    ax.plot(x + radius * np.cos(angle), radius * np.sin(angle), label=label, zorder=zorder, **style)


def _frame(ax, shapes, rings, exaggeration):
    """Limits, equal or stated aspect, axis labels."""
    if not exaggeration > 0:
        raise ValueError(f"exaggeration is {exaggeration}: give a positive number, 1 for true shape")
    left = min(shape.left for shape in shapes)
    right = max([ring[:, 0].max() for ring in rings] + [shape.front for shape in shapes])
    top = max([ring[:, 1].max() for ring in rings] + [shape.rod[1] for shape in shapes])
    ax.set_xlim(left - 0.015 * (right - left), right + 0.015 * (right - left))
    ax.set_ylim(-1.12 * top, 1.12 * top)
    ax.set_aspect(exaggeration, adjustable="box", anchor="W")
    words = "along the chord, from the land end"
    fits = line_width(f"{words} [mm]", SMALL) < axes_size(ax)[0]
    name_lengths(ax.xaxis, words if fits else "from the land end")
    more = "" if exaggeration == 1 else f",\ndrawn {exaggeration:g} times larger"
    name_lengths(ax.yaxis, "across", more, ticks=5)


# ----- Ready-made figures

ROW = 8.5  # mm a row of dots
FRAME = 27.0  # mm of title, ticks and axis label above and below a plot
LEGEND_ROW = 4.2  # mm
FAIR_FRAME, FAIR_ROW = 24.0, 3.6  # mm: above and below the small panels of `draw_fair`, and a row of theirs


def section_figure(study, width_mm: float = 170.0, highest_mm: float = 170.0):
    """The dimensioned section to scale, as large as the width and `highest_mm` allow.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> figure = section_figure(evaluate(demo().design, local=False), width_mm=170.0)
    >>> [round(25.4 * side) for side in figure.get_size_inches()]  # mm, so that it is to scale
    [170, 53]
    """
    height = min(section_height(study, width_mm - 2.0) + STAMP_ROOM + 1.0, highest_mm)
    fig = blank_figure(width_mm, height)
    draw_section(axes_at(fig, 1.0, STAMP_ROOM, width_mm - 2.0, height - STAMP_ROOM - 1.0), study)
    return stamped(fig, study)


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
    return freeze(stamped(fig, *studies))


def describe_along(study) -> str:
    """What the curves of curvature and strain show, in words.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> describe_along(evaluate(demo().design, local=False))
    'Two curves along the sheet, from the land end to the front edge at 225.0 mm. Curvature is greatest at the
    land, 0.5873 1/m (radius 1703 mm), falls almost evenly to zero at the contact with the rod at 212.4 mm, and
    stays zero in front of it. Surface strain has the same course: 0.0587 % at the land. The limit while forming
    is 1.00 %; the limit for good is 0.200 %.'
    """
    bend, values = study.bend, study.quantities
    return (
        f"Two curves along the sheet, from the land end to the front edge at {show(bend.free_length, 'mm')}. Curvature "
        f"is greatest at the land, {show(bend.land_curvature, '1/m')} (radius {show(values['land_radius'], 'mm')}), "
        f"falls almost evenly to zero at the contact with the rod at {show(bend.contact_arclength, 'mm')}, and stays "
        f"zero in front of it. Surface strain has the same course: {show(values['land_strain'], '%', 3)} at the land. "
        f"The limit while forming {_limit(study, 'forming_strain')}; the limit for good "
        f"{_limit(study, 'permanent_strain')}."
    )


def _limit(study, key):
    check = study.check(key)
    return "has no basis" if np.isnan(check.limit) else f"is {check.limit_text()}"


def describe_against_wedge(study) -> str:
    """What the overlay of bent pair and flat wedge shows, in words.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> describe_against_wedge(evaluate(demo().design, local=False))
    "Sections of the bent pair and of the flat wedge of the same sheets and rod, overlaid. Next to the land the
    bent sheets run along the chord line and lie closer together than the wedge's straight ones. Outer thickness
    at the front edge: 23.53 mm bent, 23.01 mm flat."
    """
    values = study.quantities
    if np.isnan(study.wedge.angle):
        return "Section of the bent pair. The flat wedge of these sheets cannot touch this rod: nothing to compare."
    return (
        "Sections of the bent pair and of the flat wedge of the same sheets and rod, overlaid. Next to the land the "
        "bent sheets run along the chord line and lie closer together than the wedge's straight ones. Outer thickness "
        f"at the front edge: {show(values['outer_thickness'], 'mm')} bent, "
        f"{show(values['wedge_outer_thickness'], 'mm')} flat."
    )


FIGURES = {  # name -> (what it shows, figure, words)
    "section": ("Section to scale", section_figure, describe_section),
    "along": ("Curvature and bending strain along the sheet", along_figure, describe_along),
    "against_wedge": ("Bent pair against flat wedge", against_wedge_figure, describe_against_wedge),
    "ratios": ("Bent against flat, measure by measure", ratios_figure, describe_ratios),
    "reserve": ("Reserve of each check", reserve_figure, describe_reserve),
}
