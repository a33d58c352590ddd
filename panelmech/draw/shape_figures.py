"""Pictures of the shape against names and against the bench: deviation of named curves, and measured offsets."""

from __future__ import annotations

import numpy as np

from ..units import show, show_measured
from .figures import STAMP_ROOM, Entry, axes_at, blank_figure, head, in_style, line_style
from .look import INK, LINES, PAPER, QUIET, Line
from .pair_figures import FOOT, HEAD, LOOKS, MARKS, MM, NARROW, RIGHT, drawn, stamped
from .shapes import bent_faces

CURVE_LOOKS = {
    "circle": Line("#b06118", (6, 2), 1.4),
    "parabola": Line("#8936b2", (8, 3, 2, 3), 1.4),
    "ellipse": Line("#5f6c74", (2, 2), 1.4),
    "hyperbola": Line("#0c4f66", (), 1.8),
    "small-angle cubic": Line("#a66e00", (1.5, 1.5), 1.8),
}
FACES = {"A": "upper", "B": "lower"}


@in_style
def draw_named(ax, fits) -> None:
    """How far the bent sheet lies off each named curve [mm], along its length.

    A curve that has no best one is named in the legend only; one that is more than three times as far off as the next
    may leave the picture, so that the nearer ones can be told apart.
    """
    entries, sizes = [], sorted(f.largest_deviation / MM for f in fits if f.exists)
    reach = 1.2 * (sizes[-1] if sizes[-1] < 3.0 * sizes[-2] else 2.0 * sizes[-2])
    for fit in fits:
        look = line_style(CURVE_LOOKS[fit.name])
        if not fit.exists:
            entries.append(Entry(f"{fit.name}: there is no best one"))
            continue
        ax.plot(fit.arclength / MM, fit.deviation / MM, **look)
        gone = ", beyond this picture" if fit.largest_deviation / MM > reach else ""
        entries.append(Entry(f"{fit.name}, {show(fit.largest_deviation, 'mm', 2)} at most{gone}", "line", look))
    ax.axhline(0.0, color=QUIET, lw=0.6)
    ax.set_xlim(0.0, fits[0].arclength[-1] / MM)
    ax.set_ylim(-reach, reach)
    ax.set_xlabel("along the sheet, from the land end [mm]")
    ax.set_ylabel("off the named curve [mm]")
    head(ax, "The bent sheet against curves with a name", entries)


@in_style
def draw_offsets(ax, offsets, fit, design) -> None:
    """Measured offsets of both outer faces, the best explanation, and the ideal pair of the design."""
    x, y = bent_faces(design.bend()).outer.T
    look = line_style(LINES["wedge"])
    ax.plot(x, y, **look)
    entries = [Entry("two alike sheets as designed", "line", look)]
    for name, face in FACES.items():
        here = offsets.face == face
        dots = dict(ls="none", marker=MARKS[name], ms=4.5, color=LOOKS[name].colour, mec=PAPER, mew=0.5)
        ax.errorbar(
            offsets.x[here] / MM, offsets.offset[here] / MM, offsets.uncertainty[here] / MM, elinewidth=0.8, **dots
        )
        entries.append(Entry(f"outer face of sheet {name}", "mark", dots))
        order = np.argsort(offsets.x[here])
        best = {**line_style(LOOKS[name]), "lw": 0.9}
        ax.plot(offsets.x[here][order] / MM, fit.predicted[here][order] / MM, **best)
        entries.append(Entry(f"{name}: best explanation", "line", best))
    ax.set_xlim(0.0, float(np.max(x)) + 2.0)
    ax.set_ylim(bottom=0.0)
    ax.set_ylabel("off the chord line [mm]")
    ax.set_xlabel("along the chord, from the land end [mm]")
    head(ax, "The part as measured", entries)


@in_style
def draw_residuals(ax, offsets, fit) -> None:
    """What is left between the offsets and the best explanation, and faintly between them and the ideal pair."""
    entries = []
    for name, face in FACES.items():
        here = offsets.face == face
        order = np.argsort(offsets.x[here])
        x = offsets.x[here][order] / MM
        faint = dict(marker=MARKS[name], ms=3.5, mfc="none", mec=LOOKS[name].colour, color=LOOKS[name].colour, lw=0.6)
        ax.plot(x, fit.ideal_residual[here][order] / MM, ls=(0, (2, 2)), **faint)
        dots = dict(ls="none", marker=MARKS[name], ms=4.5, color=LOOKS[name].colour, mec=PAPER, mew=0.5)
        ax.errorbar(
            x, fit.residual[here][order] / MM, offsets.uncertainty[here][order] / MM, elinewidth=0.8, zorder=4, **dots
        )
        entries.append(Entry(f"{name}: off the best explanation", "mark", dots))
        entries.append(Entry(f"{name}: off two alike sheets", "line", {**faint, "ls": (0, (2, 2)), "marker": ""}))
    ax.axhline(0.0, color=INK, lw=0.6)
    ax.set_xlabel("along the chord, from the land end [mm]")
    ax.set_ylabel("measured less predicted [mm]")
    head(ax, f"What is left: {show(fit.rms, 'mm', 2)} root mean square", entries)


def named_figure(report, fits, width_mm: float = 170.0, height_mm: float = 75.0):
    """Deviation from the named curves, stamped."""
    return drawn(width_mm, height_mm, lambda ax, report: draw_named(ax, fits), report)


def offsets_figure(report, offsets, fit, width_mm: float = 170.0):
    """Measured offsets over the prediction, and below what is left, stamped."""
    each, foot = 42.0, STAMP_ROOM + FOOT
    height = foot + 2.0 * each + 2.0 * HEAD + FOOT + 4.0
    fig, wide = blank_figure(width_mm, height), width_mm - NARROW - RIGHT
    upper = axes_at(fig, NARROW, height - HEAD - each, wide, each)
    draw_offsets(upper, offsets, fit, report.design)
    lower = axes_at(fig, NARROW, foot, wide, each)
    draw_residuals(lower, offsets, fit)
    lower.set_xlim(upper.get_xlim())
    return stamped(fig, report)


def describe_named(fits) -> str:
    """How far the sheet is off each named curve, in words."""
    parts = [
        f"{f.name} {show(f.largest_deviation, 'mm', 2)} at most, {show(f.where, 'mm', 3)} from the land end"
        if f.exists
        else f"{f.name}: there is no best one"
        for f in fits
    ]
    return f"Off the named curves: {'; '.join(parts)}."


def describe_offsets(offsets, fit) -> str:
    """The measured offsets in words."""
    slope = show_measured(fit.land_slope, fit.land_slope_uncertainty, "deg")
    ratio = show_measured(fit.stiffness_ratio, fit.stiffness_ratio_uncertainty)
    return (
        f"{len(offsets)} offsets of the finished part. They are explained best by a land slope of {slope} and a "
        f"bending stiffness of A over that of B of {ratio}; what is left is "
        f"{show(fit.rms, 'mm', 2)} root mean square, at most "
        f"{show(abs(fit.largest_residual), 'mm', 2)}, {show(fit.where, 'mm', 3)} from the land end on the "
        f"{fit.where_face} face."
    )
