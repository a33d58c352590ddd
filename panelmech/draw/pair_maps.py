"""Pictures of what a pair could become: camber over the differences of two sheets, and force over the land's slope."""

from __future__ import annotations

import numpy as np
from matplotlib.ticker import MaxNLocator

from ..measured.modulus_tests import SURE
from ..units import FACTORS, show
from .figures import TINY, Entry, head, in_style, line_style
from .look import INK, LINES, PAPER, QUIET, map_ramp
from .pair_figures import MM, drawn

PERCENT, DEGREE = FACTORS["%"], FACTORS["deg"]
BANDS = 6


@in_style
def draw_camber_map(ax, report, outlook) -> None:
    """Size of the camber over the differences of thickness and modulus, the lines of the tolerance, and the pair with
    two standard uncertainties both ways. `outlook`: as of `camber_outlook`."""
    found, line = outlook
    across, up = found.thickness_difference / PERCENT, found.modulus_difference / PERCENT
    size = np.abs(found.camber.T) / MM
    levels = MaxNLocator(BANDS, min_n_ticks=4).tick_values(0.0, float(np.nanmax(size)))
    colours = map_ramp(len(levels) - 1)
    ax.contourf(across, up, size, levels, colors=colours)
    plain = [v for v in levels[1:-1] if abs(v - report.tolerance / MM) > 0.02 * levels[-1]]  # else under the line
    lines = ax.contour(across, up, size, plain, colors=[QUIET], linewidths=0.4)
    ax.clabel(lines, fmt=lambda v: f"{v:g} mm", fontsize=TINY, colors=[INK], inline_spacing=2)
    limit = line_style(LINES["limit"])
    for values in (line.low, line.high):
        ax.plot(line.thickness_difference / PERCENT, values / PERCENT, **limit)
    pair = dict(marker="o", ms=5.5, color=LINES["spacer"].colour, mec=PAPER, mew=0.8, ls="none")
    thick, modulus = report.thickness_difference, report.modulus_difference
    bars = [SURE * d.uncertainty / PERCENT for d in (thick, modulus)]
    ax.errorbar(
        thick.value / PERCENT, modulus.value / PERCENT, bars[1], bars[0], elinewidth=1.2, capsize=2.5, zorder=5, **pair
    )
    ax.axhline(0.0, color=PAPER, lw=0.5)
    ax.axvline(0.0, color=PAPER, lw=0.5)
    ax.set_xlim(across[0], across[-1])
    ax.set_ylim(up[0], up[-1])
    ax.grid(visible=False)
    ax.set_xlabel("sheet A thicker than B by [%]")
    ax.set_ylabel("modulus of A over that of B, more by [%]")
    entries = [
        Entry(f"your tolerance, {show(report.tolerance, 'mm', 2)}", "line", limit),
        Entry(_pair_label(report), "mark", {**pair, "ms": 5}),
    ]
    head(ax, "Camber of the blade over the differences of its two sheets", entries)


def _pair_label(report):
    if report.used[0] is None:
        return "this pair, moduli not measured: taken alike"
    return "this pair, ± two standard uncertainties"


@in_style
def draw_slope(ax, sweep, clamp) -> None:
    """Contact force on each sheet, whole span, over the slope of the land; the ideal pair, and the pair as set."""
    look, ideal = line_style(LINES["bent"]), line_style(LINES["wedge"])
    ax.plot(sweep.slopes / DEGREE, sweep.force, **look)
    plain = clamp.ideal.contact_force * clamp.span
    ax.axhline(plain, **ideal)
    here = dict(marker="o", ms=6, mfc=LINES["spacer"].colour, mec=PAPER, mew=0.8, ls="none")
    ax.plot([clamp.land_slope / DEGREE], [clamp.real.contact_force * clamp.span], zorder=5, **here)
    ax.set_xlim(sweep.slopes[0] / DEGREE, sweep.slopes[-1] / DEGREE)
    ax.set_ylim(bottom=0.0)
    ax.set_xlabel("slope of each sheet at the land end, opening positive [°]")
    ax.set_ylabel("contact force, whole span [N]")
    entries = [
        Entry("with bow and adhesive as set", "line", look),
        Entry(f"land parallel, flat sheets: {show(plain, 'N', 3)}", "line", ideal),
        Entry(f"as set here: {show(clamp.real.contact_force * clamp.span, 'N', 3)}", "mark", {**here, "ms": 5}),
    ]
    head(ax, "How much the land's slope matters", entries)


def camber_map_figure(report, outlook, width_mm: float = 170.0, height_mm: float = 90.0):
    """The map of camber, stamped."""
    return drawn(width_mm, height_mm, draw_camber_map, report, outlook)


def slope_figure(report, sweep, clamp, width_mm: float = 170.0, height_mm: float = 65.0):
    """Force over the land's slope, stamped."""
    return drawn(width_mm, height_mm, lambda ax, report: draw_slope(ax, sweep, clamp), report)


def describe_camber_map(report, outlook) -> str:
    """The map in words."""
    found, _ = outlook
    thick, modulus = report.thickness_difference, report.modulus_difference
    return (
        f"Camber over the differences of the two sheets, thickness up to "
        f"{show(found.thickness_difference[-1], '%', 2)} and modulus up to "
        f"{show(found.modulus_difference[-1], '%', 2)} either way. This pair stands at "
        f"{show(thick.value, '%', 2)} in thickness and {show(modulus.value, '%', 2)} in modulus, with "
        f"{show(abs(report.camber.value), 'mm', 2)} of camber; the dotted lines are the tolerance of "
        f"{show(report.tolerance, 'mm', 2)}."
    )


def describe_slope(sweep, clamp) -> str:
    """The slope's effect in words."""
    return (
        f"Contact force on each sheet over the slope of the land from {show(sweep.slopes[0], 'deg', 2)} to "
        f"{show(sweep.slopes[-1], 'deg', 2)}: {show(clamp.ideal.contact_force * clamp.span, 'N', 3)} with a "
        f"parallel land and flat sheets, {show(clamp.real.contact_force * clamp.span, 'N', 3)} as set."
    )
