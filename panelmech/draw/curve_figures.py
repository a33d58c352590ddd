"""Curvature and bending strain along the sheet. Across: arclength on the mid-surface, from the land end."""

from __future__ import annotations

import numpy as np

from ..mechanics.forming import surface_strain
from ..units import FACTORS, format_number, show
from . import shapes as shapes
from .figures import heading, in_style, line_style
from .look import LINES, PAPER

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
