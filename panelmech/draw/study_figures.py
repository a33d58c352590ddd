"""Pictures of a study, for notes and notebooks: every drawing function, and ready-made figures.

A drawing function takes an Axes and a `Study` and draws; it solves nothing and keeps no state. The ready-made figures
are of an exact size in mm, laid out once, stamped with title and input hash, and written by `save_figure` to the same
bytes each time. `describe_section` and its neighbours say in words what a picture shows.
"""

from __future__ import annotations

import numpy as np

from ..units import show
from .comparison_figures import draw_against_wedge, draw_overlay, fitting_exaggeration, overlay_labels
from .curve_figures import draw_curvature, draw_strain
from .dot_rows import comparison_rows, draw_checks_reserve, draw_ratios, ratio_words
from .figures import STAMP_ROOM, axes_at, blank_figure, figure, figure_bytes, freeze, save_figure, stamp
from .section_figures import describe_section, draw_parts, draw_section, section_height
from .wedge_figures import describe_fair, draw_fair

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
