"""Pictures of a measured pair: the cambered blade, thickness of each sheet, the log of the part as built, what the pair
could become, and its shape against curves with a name and against the bench.

Every function draws a record on an axes; the ready-made figures beside them are of an exact size, titled and stamped.
Sheet A is the upper one. Millimetres throughout.
"""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Circle, Polygon
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from ..measured.offset_notes import misfit_words
from ..measured.readings import SHEETS
from ..units import FACTORS, in_shown, show, show_measured, unit_words
from .figures import (
    STAMP_ROOM,
    TINY,
    Legend,
    axes_at,
    blank_figure,
    dot,
    head,
    in_style,
    line_style,
    name_lengths,
    one_axes,
    stamped,
)
from .look import CURVE_LINES, FILLS, INK, LINES, PAPER, QUIET, THIN_LINES, map_ramp, strain_colour
from .shapes import MM, bent_faces, bond_rectangle, mirrored, rectangle

HOUR, DAY = 3600.0, 86400.0
LOOKS = {"A": LINES["bent"], "B": LINES["second"]}
MARKS = {"A": "o", "B": "s"}
STATIONS = 161
NARROW, RIGHT, FOOT, HEAD = AROUND = 17.0, 4.0, 10.0, 17.0  # mm around the axes
TIMES = ((HOUR, "1 h"), (DAY, "24 h"), (7 * DAY, "7 days"), (30 * DAY, "30 days"), (365 * DAY, "1 year"))
FILL = {"A": strain_colour(0.12), "B": strain_colour(0.35)}
ALONG = "along the chord, from the land end"

# ----- The pair as these two sheets make it


@in_style
def draw_cambered(ax, report) -> None:
    """The pair to scale: both sheets in their own thickness, rod off the centre line, mean line, and dashed the
    symmetric pair of the design."""
    design, bent, rod = report.design, report.bent, LINES["spacer"].colour
    thick = [s.effective_thickness / MM for s in report.sheets]
    for name, number, side in (("A", 1, 1.0), ("B", 2, -1.0)):
        ring = sheet_ring(bent, number, thick[number - 1], side)
        ax.add_patch(Polygon(ring, fc=FILL[name], ec=LOOKS[name].colour, lw=0.7, zorder=2, label=f"sheet {name}"))
        land = _land(design, thick[number - 1], side)
        ax.add_patch(Polygon(land, fc=FILLS["land"], ec=INK, lw=0.5, zorder=1.5, label="land"))
    ax.add_patch(Polygon(bond_rectangle(design), fc=FILLS["bond"], ec="none", zorder=1.6, label="bond line"))
    centre, radius = (bent.spacer_position / MM, bent.rod_offset / MM), 0.5 * design.spacer_diameter / MM
    ax.add_patch(Circle(centre, radius, fc=FILLS["spacer"], ec=rod, lw=1.1, zorder=3, label="rod"))
    ax.plot(*centre, marker="+", ms=6, mew=0.9, color=rod, ls="none", zorder=4)
    legend = Legend(ax)
    for name in SHEETS:
        legend.add(f"sheet {name}", "patch", fc=FILL[name], ec=LOOKS[name].colour, lw=0.7)
    faces, dashed = bent_faces(design.bend()), line_style(THIN_LINES["as designed"])
    for face in (faces.outer, faces.inner):
        for points in (face, mirrored(face)):
            ax.plot(*points.T, zorder=5, **dashed)
    legend.curve(*_mean_line(bent), "mean line", LINES["pinned"], zorder=6)
    legend.add(f"rod, {_off(bent.rod_offset)}", "patch", fc=FILLS["spacer"], ec=rod, lw=1.0)
    legend.add("two alike sheets as designed", "line", **dashed)
    ax.axhline(0.0, zorder=1, **line_style(THIN_LINES["chord line"]))
    half = 0.5 * design.bend().outer_thickness / MM
    ax.set(aspect="equal", ylim=(-1.15 * half, 1.15 * half))
    _name_both(ax, ALONG, "across")
    ax.set_xlim(-design.land_length / MM - 2.0, float(np.max(faces.outer[:, 0])) + 4.0)
    ax.grid(visible=False)
    head(ax, "The pair as these two sheets make it, to scale", legend)


def _name_both(ax, along, across):
    name_lengths(ax.xaxis, along)
    name_lengths(ax.yaxis, across)


def sheet_ring(bent, number: int, thickness: float, side: float) -> np.ndarray:
    """Closed outline of sheet 1 or 2 of an unmatched pair, (2 n, 2) [mm]; `thickness` [mm], `side` 1 or -1."""
    x, y = (v / MM for v in bent.outline(number, STATIONS))
    along = np.gradient(np.column_stack([x, y]), axis=0)
    along[0] = (1.0, 0.0)  # the land is kept parallel
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    half = 0.5 * thickness * side * normal
    middle = np.column_stack([x, y])
    return np.vstack([middle + half, (middle - half)[::-1]])


def _land(design, thickness, side):
    low = 0.5 * design.bond_line / MM
    return rectangle(-design.land_length / MM, 0.0, low, low + thickness) * [1.0, side]


def _mean_line(bent):
    """x and y of the mean line [mm]."""
    return (v / MM for v in bent.camber(STATIONS))


def _off(offset):
    towards = "A" if offset > 0 else "B"
    return f"{show(abs(offset), 'mm', 2)} off the middle, towards {towards}" if offset else "in the middle"


@in_style
def draw_mean_line(ax, report) -> None:
    """The mean line alone, heights magnified: its camber at the front with its uncertainty for 95 %, the tolerance,
    and the rod's offset."""
    bent, tolerance, camber = report.bent, report.tolerance / MM, report.camber
    legend, limit, x_y = Legend(ax), line_style(LINES["limit"]), tuple(_mean_line(bent))
    for side in (1.0, -1.0):
        ax.axhline(side * tolerance, **limit)
    ax.axhline(0.0, **line_style(THIN_LINES["zero"]))
    legend.curve(*x_y, f"mean line, {show(camber.value, 'mm', 2)} at the front", LINES["pinned"])
    x, y = (float(v[-1]) for v in x_y)
    bar, u = dict(color=LINES["pinned"].colour, lw=1.2), camber.expanded / MM
    ax.plot([x, x], [y - u, y + u], marker="_", ms=7, **bar)
    legend.add(f"± {show(camber.expanded, 'mm', 2)}, 95 %", "line", **bar)
    legend.add(f"your tolerance, ± {show(report.tolerance, 'mm', 2)}", "line", **limit)
    rod = dict(ls="", marker="o", ms=6, mfc=FILLS["spacer"], mec=LINES["spacer"].colour, mew=1.2)
    legend.marks([bent.spacer_position / MM], [bent.rod_offset / MM], "middle of the rod", rod, zorder=4)
    reach = 1.25 * max(tolerance, abs(y) + u)
    ax.set(xlim=(-report.design.land_length / MM - 2.0, x + 4.0), ylim=(-reach, reach))
    _name_both(ax, ALONG, "across")
    head(ax, "Mean line, heights magnified", legend)


@in_style
def draw_thickness(ax, report) -> None:
    """Thickness readings of both sheets along the span, with the step of the gauge, and their means."""
    legend = Legend(ax)
    for name, sheet in zip(SHEETS, report.sheets, strict=True):
        rows = sorted(report.readings.of("thickness", name), key=lambda r: r.place)
        places, values = np.array([(r.place / MM, r.value / MM) for r in rows]).T
        look, half = line_style(LOOKS[name]), 0.5 * max(r.resolution for r in rows) / MM
        ax.errorbar(places, values, half, fmt=MARKS[name], ms=4, color=LOOKS[name].colour, elinewidth=0.8, capsize=1.5)
        ax.plot(places, values, lw=0.6, color=LOOKS[name].colour)
        ax.axhline(sheet.thickness.value / MM, **{**look, "lw": 1.0})
        words = f"sheet {name}, mean {show_measured(sheet.thickness.value, sheet.thickness.uncertainty, 'mm')}"
        legend.add(words, "line", **look)
    _name_both(ax, "along the span, from the marked end", "thickness")
    ax.margins(y=0.15)
    head(ax, "Thickness of the two sheets", legend)


@in_style
def draw_log(ax, report, later) -> None:
    """Outer thickness of the part over the time after forming, against the prediction; with no log, only that."""
    predicted, legend = float(report.bent.outer_thickness), Legend(ax)
    legend.level(predicted / MM, f"predicted of these two sheets, {show(predicted, 'mm')}", LINES["bent"])
    low, high = 0.4 * HOUR, 14 * DAY
    if later.log is not None:
        log = later.log
        time, thick = np.array([(e.time, e.thickness / MM) for e in log.entries]).T
        half = 0.5 * max(r.resolution for r in report.readings.of("as-built thickness", "pair")) / MM
        dots = dict(marker="o", ms=4.5, color=LINES["third"].colour, ls="none")
        ax.errorbar(time, thick, half, elinewidth=0.8, capsize=2, **dots)
        low, high = min(low, 0.5 * time.min()), max(high, 2.0 * time.max())
        legend.add("measured", "mark", **dots)
        if np.isfinite(log.rate):
            middle = np.mean(thick) - log.rate / MM * np.mean(np.log10(time))
            ends = np.array([time.min(), high])
            words = f"{show(log.rate, 'mm', 2)} for each tenfold of time"
            legend.curve(ends, middle + log.rate / MM * np.log10(ends), words, THIN_LINES["creep"])
    ax.set_xscale("log")
    ax.set_xlim(low, high)
    ax.xaxis.set_major_locator(FixedLocator([t for t, _ in TIMES if low <= t <= high]))
    ax.xaxis.set_minor_locator(NullLocator())
    ax.xaxis.set_major_formatter(FuncFormatter(lambda v, _: next((w for t, w in TIMES if abs(t - v) < 1.0), "")))
    ax.margins(y=0.3)
    ax.set_xlabel("after forming")
    name_lengths(ax.yaxis, "outer thickness")
    head(ax, "The part as built, against the prediction", legend)


# ----- What a pair could become: camber over the differences of two sheets, and force over the land's slope


PERCENT, DEGREE = FACTORS["%"], FACTORS["deg"]
BANDS = 6


@in_style
def draw_camber_map(ax, report, outlook) -> None:
    """Size of the camber over the differences of thickness and modulus, the lines of the tolerance, and the pair with
    the uncertainty for 95 % both ways. `outlook`: as of `camber_outlook`."""
    spread, line = outlook
    across, up = spread.thickness_difference / PERCENT, spread.modulus_difference / PERCENT
    size = in_shown(np.abs(spread.camber.T), "mm")
    levels = MaxNLocator(BANDS, min_n_ticks=4).tick_values(0.0, float(np.nanmax(size)))
    ax.contourf(across, up, size, levels, colors=map_ramp(len(levels) - 1))
    near = 0.02 * levels[-1]  # a line as near as this to that of the tolerance would lie under it
    plain = [v for v in levels[1:-1] if abs(v - in_shown(report.tolerance, "mm")) > near]
    lines = ax.contour(across, up, size, plain, colors=[QUIET], linewidths=0.4)
    ax.clabel(lines, fmt=lambda v: f"{v:g} {unit_words('mm')}", fontsize=TINY, colors=[INK], inline_spacing=2)
    legend, limit = Legend(ax), line_style(LINES["limit"])
    for values in (line.low, line.high):
        ax.plot(line.thickness_difference / PERCENT, values / PERCENT, **limit)
    legend.add(f"your tolerance, {show(report.tolerance, 'mm', 2)}", "line", **limit)
    pair = dict(marker="o", ms=5.5, color=LINES["spacer"].colour, mec=PAPER, mew=0.8, ls="none")
    thick, modulus = report.thickness_difference, report.modulus_difference
    bars = [d.expanded / PERCENT for d in (modulus, thick)]
    ax.errorbar(thick.value / PERCENT, modulus.value / PERCENT, *bars, elinewidth=1.2, capsize=2.5, zorder=5, **pair)
    known = "± 95 %" if report.used[0] is not None else "± 95 %, moduli not measured"
    legend.add(f"this pair, {known}", "mark", **{**pair, "ms": 5})
    ax.axhline(0.0, color=PAPER, lw=0.5)
    ax.axvline(0.0, color=PAPER, lw=0.5)
    ax.set(xlim=(across[0], across[-1]), ylim=(up[0], up[-1]))
    ax.grid(visible=False)
    ax.set(xlabel="sheet A thicker than B by [%]", ylabel="modulus of A over that of B, more by [%]")
    bowed = ", bowed as they are" if any(report.bows) else ""
    head(ax, f"Camber of the blade over the differences of its two sheets{bowed}", legend)


@in_style
def draw_slope(ax, sweep, clamp) -> None:
    """Contact force on each sheet, whole span, over the slope of the land; the ideal pair, and the pair as set."""
    legend = Legend(ax)
    plain, as_set = (bend.contact_force * clamp.span for bend in (clamp.ideal, clamp.real))
    legend.curve(sweep.slopes / DEGREE, sweep.force, "with bow and adhesive as set", LINES["bent"])
    legend.level(plain, f"land parallel, flat sheets: {show(plain, 'N', 3)}", LINES["wedge"])
    look = dot(LINES["spacer"].colour, 6, rim=0.8)
    words = f"as set here: {show(as_set, 'N', 3)}"
    legend.marks([clamp.land_slope / DEGREE], [as_set], words, look, {"ms": 5}, zorder=5)
    ax.set_xlim(sweep.slopes[0] / DEGREE, sweep.slopes[-1] / DEGREE)
    ax.set_ylim(bottom=0.0)
    ax.set(xlabel="slope of each sheet at the land end, opening positive [°]", ylabel="contact force, whole span [N]")
    head(ax, "How much the land's slope matters", legend)


# ----- The shape against curves with a name, and against the bench


FACES = {"A": "upper", "B": "lower"}


@in_style
def draw_named(ax, fits) -> None:
    """How far the bent sheet lies off each named curve [mm], along its length.

    A curve that has no best one is named in the legend only; one that is more than three times as far off as the next
    may leave the picture, so that the nearer ones can be told apart.
    """
    legend, sizes = Legend(ax), sorted(f.largest_deviation / MM for f in fits if f.exists)
    reach = 1.2 * (sizes[-1] if sizes[-1] < 3.0 * sizes[-2] else 2.0 * sizes[-2])
    for fit in fits:
        if not fit.exists:
            legend.add(f"{fit.name}: there is no best one")
            continue
        gone = ", beyond this picture" if fit.largest_deviation / MM > reach else ""
        words = f"{fit.name}, {show(fit.largest_deviation, 'mm', 2)} at most{gone}"
        legend.curve(fit.arclength / MM, fit.deviation / MM, words, CURVE_LINES[fit.name])
    ax.axhline(0.0, **line_style(THIN_LINES["zero"]))
    ax.set(xlim=(0.0, fits[0].arclength[-1] / MM), ylim=(-reach, reach))
    _name_both(ax, "along the sheet, from the land end", "off the named curve")
    head(ax, "The bent sheet against curves with a name", legend)


@in_style
def draw_offsets(ax, offsets, fit, design) -> None:
    """Measured offsets of both outer faces, the best explanation, and the ideal pair of the design."""
    x, y = bent_faces(design.bend()).outer.T
    legend = Legend(ax)
    legend.curve(x, y, "two alike sheets as designed", LINES["wedge"])
    for name, on_face, order in _faces(offsets):
        dots = _dots(name)
        rows = (offsets.x[on_face] / MM, offsets.offset[on_face] / MM, offsets.uncertainty[on_face] / MM)
        ax.errorbar(*rows, elinewidth=0.8, **dots)
        legend.add(f"outer face of sheet {name}", "mark", **dots)
        best = {**line_style(LOOKS[name]), "lw": 0.9}
        legend.curve(offsets.x[order] / MM, fit.predicted[order] / MM, f"{name}: best explanation", best)
    ax.set_xlim(0.0, float(np.max(x)) + 2.0)
    ax.set_ylim(bottom=0.0)
    _name_both(ax, ALONG, "off the chord line")
    head(ax, "The part as measured", legend)


@in_style
def draw_residuals(ax, offsets, fit) -> None:
    """What is left between the offsets and the best explanation, and faintly between them and the ideal pair."""
    legend = Legend(ax)
    for name, _, order in _faces(offsets):
        x, colour, dashes = offsets.x[order] / MM, LOOKS[name].colour, (0, (2, 2))
        faint = dict(marker=MARKS[name], ms=3.5, mfc="none", mec=colour, color=colour, lw=0.6)
        ax.plot(x, fit.ideal_residual[order] / MM, ls=dashes, **faint)
        dots, rows = _dots(name), (fit.residual[order] / MM, offsets.uncertainty[order] / MM)
        ax.errorbar(x, *rows, elinewidth=0.8, zorder=4, **dots)
        legend.add(f"{name}: off the best explanation", "mark", **dots)
        legend.add(f"{name}: off two alike sheets", "line", **{**faint, "ls": dashes, "marker": ""})
    ax.axhline(0.0, **line_style(THIN_LINES["nothing left"]))
    _name_both(ax, ALONG, "measured less predicted")
    head(ax, f"What is left: {show(fit.rms, 'mm', 2)} root mean square", legend)


def _faces(offsets):
    """(sheet, which offsets are on its outer face, their indices in the order of x) of both sheets."""
    for name, face in FACES.items():
        on_face = offsets.face == face
        places = np.flatnonzero(on_face)
        yield name, on_face, places[np.argsort(offsets.x[on_face])]


def _dots(name):
    return dict(ls="none", marker=MARKS[name], ms=4.5, color=LOOKS[name].colour, mec=PAPER, mew=0.5)


# ----- Figures of an exact size, stamped


def cambered_figure(report, width_mm: float = 170.0):
    """The cambered blade to scale, and below its mean line with the heights magnified; stamped."""
    chord = report.design.land_length + report.bent.spacer_position + 0.5 * report.design.spacer_diameter
    wide, lower, foot = width_mm - NARROW - RIGHT, 38.0, STAMP_ROOM + FOOT
    scale = wide / (chord / MM + 10.0)
    section = max(14.0, 1.15 * report.design.bend().outer_thickness / MM * scale)
    height = foot + lower + HEAD + FOOT + 3.0 + section + HEAD + 3.0
    fig = blank_figure(width_mm, height)
    draw_cambered(axes_at(fig, NARROW, height - HEAD - 3.0 - section, wide, section), report)
    draw_mean_line(axes_at(fig, NARROW, foot, wide, lower), report)
    return stamped(fig, report)


def thickness_figure(report, width_mm: float = 170.0, height_mm: float = 65.0):
    """Thickness along both sheets, stamped."""
    return one_axes((width_mm, height_mm), AROUND, draw_thickness, report)


def log_figure(report, later, width_mm: float = 170.0, height_mm: float = 65.0):
    """The part over time, stamped."""
    return one_axes((width_mm, height_mm), AROUND, draw_log, report, later)


def camber_map_figure(report, outlook, width_mm: float = 170.0, height_mm: float = 90.0):
    """The map of camber, stamped."""
    return one_axes((width_mm, height_mm), AROUND, draw_camber_map, report, outlook)


def slope_figure(report, sweep, clamp, width_mm: float = 170.0, height_mm: float = 65.0):
    """Force over the land's slope, stamped."""
    return one_axes((width_mm, height_mm), AROUND, draw_slope, sweep, clamp, studies=(report,))


def named_figure(report, fits, width_mm: float = 170.0, height_mm: float = 75.0):
    """Deviation from the named curves, stamped."""
    return one_axes((width_mm, height_mm), AROUND, draw_named, fits, studies=(report,))


def offsets_figure(report, offsets, fit, width_mm: float = 170.0):
    """Measured offsets over the prediction, and below what is left, stamped."""
    each, foot, wide = 42.0, STAMP_ROOM + FOOT, width_mm - NARROW - RIGHT
    height = foot + 2.0 * each + 2.0 * HEAD + FOOT + 4.0
    fig = blank_figure(width_mm, height)
    upper = axes_at(fig, NARROW, height - HEAD - each, wide, each)
    draw_offsets(upper, offsets, fit, report.design)
    lower = axes_at(fig, NARROW, foot, wide, each)
    draw_residuals(lower, offsets, fit)
    lower.set_xlim(upper.get_xlim())
    return stamped(fig, report)


# ----- In words, for readers who cannot see the pictures


def describe_cambered(report) -> str:
    """The cambered blade in words.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> describe_cambered(report)
    "Section of the pair to scale: sheet A, above, 2.038 mm thick, sheet B, below, 1.970 mm. The rod's middle is
    0.035 mm off the middle, towards A; the mean line ends 0.066 mm towards sheet A, ± 0.40 mm (95 %), with
    1.0 mm allowed. Dashed: two alike sheets as designed."
    """
    bent = report.bent
    return (
        f"Section of the pair to scale: sheet A, above, {show(report.sheets[0].effective_thickness, 'mm')} thick, "
        f"sheet B, below, {show(report.sheets[1].effective_thickness, 'mm')}. The rod's middle is "
        f"{_off(bent.rod_offset)}; the mean line ends {show(abs(report.camber.value), 'mm', 2)} towards sheet "
        f"{'A' if report.camber.value > 0 else 'B'}, ± {show(report.camber.expanded, 'mm', 2)} (95 %), with "
        f"{show(report.tolerance, 'mm', 2)} allowed. Dashed: two alike sheets as designed."
    )


def describe_thickness(report) -> str:
    """Thickness of both sheets in words.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> describe_thickness(report)
    'Thickness along the span. sheet A: 6 readings from 2.02 mm to 2.06 mm, mean 2.0383 ± 0.0061 mm; sheet B: 6
    readings from 1.96 mm to 1.98 mm, mean 1.9700 ± 0.0038 mm.'
    """
    parts = [
        f"{s.name}: {len(s.points)} readings from {show(min(s.points), 'mm', 3)} to {show(max(s.points), 'mm', 3)}, "
        f"mean {show_measured(s.thickness.value, s.thickness.uncertainty, 'mm')}"
        for s in report.sheets
    ]
    return f"Thickness along the span. {'; '.join(parts)}."


def describe_log(report, later) -> str:
    """The log in words.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> from panelmech.measured import after_a_while
    >>> describe_log(report, after_a_while(report, 0.8))
    'The part is 0.12 mm thinner than predicted, 23.62 mm. It closes by 0.09 mm for each tenfold of time.'
    """
    if later.log is None:
        return "No thickness of the part has been measured yet. Measure it 1 hour, 24 hours and 7 days after forming."
    return " ".join(later.log.words)


def describe_camber_map(report, outlook) -> str:
    """The map in words.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> from panelmech.measured import camber_outlook
    >>> describe_camber_map(report, camber_outlook(report, points=5))
    'Camber over the differences of the two sheets, thickness up to 11 % and modulus up to 27 % either way, with
    the bows of these sheets. This pair stands at 3.4 % in thickness and −2.9 % in modulus, with 0.066 mm of
    camber; the dotted lines are the tolerance of 1.0 mm.'
    """
    spread, _ = outlook
    thick, modulus = report.thickness_difference, report.modulus_difference
    return (
        f"Camber over the differences of the two sheets, thickness up to "
        f"{show(spread.thickness_difference[-1], '%', 2)} and modulus up to "
        f"{show(spread.modulus_difference[-1], '%', 2)} either way{_bowed(report)}. This pair stands at "
        f"{show(thick.value, '%', 2)} in thickness and {show(modulus.value, '%', 2)} in modulus, with "
        f"{show(abs(report.camber.value), 'mm', 2)} of camber; the dotted lines are the tolerance of "
        f"{show(report.tolerance, 'mm', 2)}."
    )


def _bowed(report):
    return ", with the bows of these sheets" if any(report.bows) else ""


def describe_slope(sweep, clamp) -> str:
    """The slope's effect in words."""
    return (
        f"Contact force on each sheet over the slope of the land from {show(sweep.slopes[0], 'deg', 2)} to "
        f"{show(sweep.slopes[-1], 'deg', 2)}: {show(clamp.ideal.contact_force * clamp.span, 'N', 3)} with a "
        f"parallel land and flat sheets, {show(clamp.real.contact_force * clamp.span, 'N', 3)} as set."
    )


def describe_named(fits) -> str:
    """How far the sheet is off each named curve, in words.

    >>> from panelmech import solve_bend
    >>> from panelmech.study import fit_named_curves
    >>> describe_named(fit_named_curves(solve_bend(0.225, 0.002, 0.018))).split("; ")[1]
    'parabola 0.093 mm at most, 215 mm from the land end'
    """
    parts = [
        f"{f.name} {show(f.largest_deviation, 'mm', 2)} at most, {show(f.where, 'mm', 3)} from the land end"
        if f.exists
        else f"{f.name}: there is no best one"
        for f in fits
    ]
    return f"Off the named curves: {'; '.join(parts)}."


def describe_offsets(offsets, fit) -> str:
    """The measured offsets in words.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> from panelmech.measured import explain_offsets, measured_offsets
    >>> describe_offsets(measured_offsets(demo().readings), explain_offsets(report)).split("; ")[0]
    '16 offsets of the finished part. They are explained best by a land slope of 0.346 ± 0.067° and a bending
    stiffness of A over that of B of 1.081 ± 0.073'
    """
    if not fit.fits:
        return f"{len(offsets)} offsets of the finished part. {misfit_words(fit)}"
    slope = show_measured(fit.land_slope, fit.land_slope_uncertainty, "deg")
    ratio = show_measured(fit.stiffness_ratio, fit.stiffness_ratio_uncertainty)
    return (
        f"{len(offsets)} offsets of the finished part. They are explained best by a land slope of {slope} and a "
        f"bending stiffness of A over that of B of {ratio}; what is left is "
        f"{show(fit.rms, 'mm', 2)} root mean square, at most "
        f"{show(abs(fit.largest_residual), 'mm', 2)}, {show(fit.where, 'mm', 3)} from the land end on the "
        f"{fit.where_face} face."
    )
