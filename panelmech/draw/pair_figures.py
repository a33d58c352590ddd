"""Pictures of a measured pair: the cambered blade, thickness along each sheet, the log of the part as built.

Every function draws a record on an axes; the ready-made figures beside them are of an exact size, titled and stamped.
Sheet A is the upper one. Millimetres throughout.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from matplotlib.patches import Circle, Polygon
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from ..measured.modulus_tests import SURE
from ..measured.readings import SHEETS
from ..units import format_number, show, show_measured
from . import shapes as shapes
from .figures import STAMP_ROOM, Entry, axes_at, blank_figure, head, in_style, line_style, stamp
from .look import FILLS, INK, LINES, QUIET, hex_colour, strain_rgb

MM, HOUR, DAY = shapes.MM, 3600.0, 86400.0
LOOKS = {"A": LINES["bent"], "B": LINES["second"]}
MARKS = {"A": "o", "B": "s"}
STATIONS = 161
NARROW, RIGHT, FOOT, HEAD = 17.0, 4.0, 10.0, 13.0  # mm around the axes
TIMES = ((HOUR, "1 h"), (DAY, "24 h"), (7 * DAY, "7 days"), (30 * DAY, "30 days"), (365 * DAY, "1 year"))
FILL = {"A": hex_colour(strain_rgb(0.12)), "B": hex_colour(strain_rgb(0.35))}


@in_style
def draw_cambered(ax, report) -> None:
    """The pair to scale: both sheets in their own thickness, rod off the centre line, mean line, and dashed the
    symmetric pair of the design."""
    design, bent = report.design, report.bent
    thick = [s.effective_thickness / MM for s in report.sheets]
    for name, number, side in (("A", 1, 1.0), ("B", 2, -1.0)):
        ring = sheet_ring(bent, number, thick[number - 1], side)
        ax.add_patch(Polygon(ring, fc=FILL[name], ec=LOOKS[name].colour, lw=0.7, zorder=2, label=f"sheet {name}"))
        ax.add_patch(
            Polygon(_land(design, thick[number - 1], side), fc=FILLS["land"], ec=INK, lw=0.5, zorder=1.5, label="land")
        )
    ax.add_patch(Polygon(shapes.bond_rectangle(design), fc=FILLS["bond"], ec="none", zorder=1.6, label="bond line"))
    rod = LINES["spacer"]
    centre, radius = (bent.spacer_position / MM, bent.rod_offset / MM), 0.5 * design.spacer_diameter / MM
    ax.add_patch(Circle(centre, radius, fc=FILLS["spacer"], ec=rod.colour, lw=1.1, zorder=3, label="rod"))
    ax.plot(*centre, marker="+", ms=6, mew=0.9, color=rod.colour, ls="none", zorder=4)
    dashed = dict(color=QUIET, lw=0.8, ls=(0, (5, 3)))
    faces = shapes.bent_faces(design.bend())
    for face in (faces.outer, faces.inner):
        for points in (face, shapes.mirrored(face)):
            ax.plot(*points.T, zorder=5, **dashed)
    x, y = (v / MM for v in bent.camber(STATIONS))
    mean = line_style(LINES["pinned"])
    ax.plot(x, y, zorder=6, **mean)
    ax.axhline(0.0, color=QUIET, lw=0.4, ls=(0, (10, 2, 2, 2)), zorder=1)
    ax.set_aspect("equal")
    ax.set_xlim(-design.land_length / MM - 2.0, float(np.max(faces.outer[:, 0])) + 4.0)
    ax.set_ylim(
        *(1.15 * v for v in (-0.5 * design.bend().outer_thickness / MM, 0.5 * design.bend().outer_thickness / MM))
    )
    ax.grid(visible=False)
    ax.set_xlabel("along the chord, from the land end [mm]")
    ax.set_ylabel("across [mm]")
    entries = [Entry(f"sheet {n}", "patch", dict(fc=FILL[n], ec=LOOKS[n].colour, lw=0.7)) for n in SHEETS]
    entries += [
        Entry("mean line", "line", mean),
        Entry(f"rod, {_off(bent.rod_offset)}", "patch", dict(fc=FILLS["spacer"], ec=rod.colour, lw=1.0)),
        Entry("two alike sheets as designed", "line", dashed),
    ]
    head(ax, "The pair as these two sheets make it, to scale", entries)


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
    left = -design.land_length / MM
    return side * np.array([[left, low], [0, low], [0, low + thickness], [left, low + thickness]]) * [side, 1.0]


def _off(offset):
    towards = "A" if offset > 0 else "B"
    return f"{show(abs(offset), 'mm', 2)} off the middle, towards {towards}" if offset else "in the middle"


@in_style
def draw_mean_line(ax, report) -> None:
    """The mean line alone, heights magnified: its camber at the front with two standard uncertainties, the tolerance,
    and the rod's offset."""
    bent, tolerance, camber = report.bent, report.tolerance / MM, report.camber
    x, y = (v / MM for v in bent.camber(STATIONS))
    mean, limit, rod = line_style(LINES["pinned"]), line_style(LINES["limit"]), LINES["spacer"]
    for side in (1.0, -1.0):
        ax.axhline(side * tolerance, **limit)
    ax.axhline(0.0, color=QUIET, lw=0.6)
    ax.plot(x, y, **mean)
    bar = dict(color=LINES["pinned"].colour, lw=1.2)
    u = SURE * camber.uncertainty / MM
    ax.plot([x[-1], x[-1]], [y[-1] - u, y[-1] + u], marker="_", ms=7, **bar)
    ring = dict(ls="", marker="o", ms=6, mfc=FILLS["spacer"], mec=rod.colour, mew=1.2)
    ax.plot([bent.spacer_position / MM], [bent.rod_offset / MM], zorder=4, **ring)
    ax.set_xlim(-report.design.land_length / MM - 2.0, x[-1] + 4.0)
    reach = 1.25 * max(tolerance, abs(y[-1]) + u)
    ax.set_ylim(-reach, reach)
    ax.set_xlabel("along the chord, from the land end [mm]")
    ax.set_ylabel("across [mm]")
    entries = [
        Entry(f"mean line, {show(camber.value, 'mm', 2)} at the front", "line", mean),
        Entry(f"± {show(SURE * camber.uncertainty, 'mm', 2)}, two standard uncertainties", "line", bar),
        Entry(f"your tolerance, ± {show(report.tolerance, 'mm', 2)}", "line", limit),
        Entry("middle of the rod", "mark", ring),
    ]
    head(ax, "Mean line, heights magnified", entries)


@in_style
def draw_thickness(ax, report) -> None:
    """Thickness readings of both sheets along the span, with the step of the gauge, and their means."""
    entries = []
    for name, sheet in zip(SHEETS, report.sheets, strict=True):
        rows = sorted(report.readings.of("thickness", name), key=lambda r: r.place)
        places, values = np.array([(r.place / MM, r.value / MM) for r in rows]).T
        look, half = line_style(LOOKS[name]), 0.5 * max(r.resolution for r in rows) / MM
        ax.errorbar(places, values, half, fmt=MARKS[name], ms=4, color=LOOKS[name].colour, elinewidth=0.8, capsize=1.5)
        ax.plot(places, values, lw=0.6, color=LOOKS[name].colour)
        ax.axhline(sheet.thickness.value / MM, **{**look, "lw": 1.0})
        words = f"sheet {name}, mean {show_measured(sheet.thickness.value, sheet.thickness.uncertainty, 'mm')}"
        entries.append(Entry(words, "line", look))
    ax.set_xlabel("along the span, from the marked end [mm]")
    ax.set_ylabel("thickness [mm]")
    ax.margins(y=0.15)
    head(ax, "Thickness of the two sheets", entries)


@in_style
def draw_log(ax, report, later) -> None:
    """Outer thickness of the part over the time after forming, against the prediction; with no log, only that."""
    predicted = report.design.bend().outer_thickness / MM
    look = line_style(LINES["bent"])
    ax.axhline(predicted, **look)
    entries = [Entry(f"predicted, {format_number(predicted)} mm", "line", look)]
    low, high = 0.4 * HOUR, 14 * DAY
    if later.log is not None:
        log = later.log
        time, thick = np.array([(e.time, e.thickness / MM) for e in log.entries]).T
        half = 0.5 * max(r.resolution for r in report.readings.of("as-built thickness", "pair")) / MM
        dots = dict(marker="o", ms=4.5, color=LINES["third"].colour, ls="none")
        ax.errorbar(time, thick, half, elinewidth=0.8, capsize=2, **dots)
        low, high = min(low, 0.5 * time.min()), max(high, 2.0 * time.max())
        entries.append(Entry("measured", "mark", dots))
        if np.isfinite(log.rate):
            middle = np.mean(thick) - log.rate / MM * np.mean(np.log10(time))
            ends, line = np.array([time.min(), high]), dict(color=LINES["third"].colour, lw=0.9, ls=(0, (4, 2)))
            ax.plot(ends, middle + log.rate / MM * np.log10(ends), **line)
            entries.append(Entry(f"{show(log.rate, 'mm', 2)} for each tenfold of time", "line", line))
    ax.set_xscale("log")
    ax.set_xlim(low, high)
    shown = [(t, w) for t, w in TIMES if low <= t <= high]
    ax.xaxis.set_major_locator(FixedLocator([t for t, _ in shown]))
    ax.xaxis.set_minor_locator(NullLocator())
    ax.xaxis.set_major_formatter(FuncFormatter(lambda v, _: next((w for t, w in TIMES if abs(t - v) < 1.0), "")))
    ax.margins(y=0.3)
    ax.set_xlabel("after forming")
    ax.set_ylabel("outer thickness [mm]")
    head(ax, "The part as built, against the prediction", entries)


def cambered_figure(report, width_mm: float = 170.0):
    """The cambered blade to scale, and below its mean line with the heights magnified; stamped."""
    chord = report.design.land_length + report.bent.spacer_position + 0.5 * report.design.spacer_diameter
    scale = (width_mm - NARROW - RIGHT) / (chord / MM + 10.0)
    section = max(14.0, 1.15 * report.design.bend().outer_thickness / MM * scale)
    lower, foot = 38.0, STAMP_ROOM + FOOT
    height = foot + lower + HEAD + FOOT + 3.0 + section + HEAD + 3.0
    fig = blank_figure(width_mm, height)
    wide = width_mm - NARROW - RIGHT
    draw_cambered(axes_at(fig, NARROW, height - HEAD - 3.0 - section, wide, section), report)
    draw_mean_line(axes_at(fig, NARROW, foot, wide, lower), report)
    return stamped(fig, report)


def thickness_figure(report, width_mm: float = 170.0, height_mm: float = 65.0):
    """Thickness along both sheets, stamped."""
    return drawn(width_mm, height_mm, draw_thickness, report)


def log_figure(report, later, width_mm: float = 170.0, height_mm: float = 65.0):
    """The part over time, stamped."""
    return drawn(width_mm, height_mm, draw_log, report, later)


def drawn(width_mm: float, height_mm: float, draw, report, *rest, left: float = NARROW, above: float = HEAD):
    """A figure with one axes, margins set beforehand, drawn and stamped."""
    fig = blank_figure(width_mm, height_mm)
    foot = STAMP_ROOM + FOOT
    draw(axes_at(fig, left, foot, width_mm - left - RIGHT, height_mm - foot - above), report, *rest)
    return stamped(fig, report)


def stamped(fig, report):
    """The figure with the title and input hash of the report's design at its foot."""
    stamp(fig, SimpleNamespace(design=report.design))
    return fig


def describe_cambered(report) -> str:
    """The cambered blade in words."""
    bent = report.bent
    return (
        f"Section of the pair to scale: sheet A, above, {show(report.sheets[0].effective_thickness, 'mm')} thick, "
        f"sheet B, below, {show(report.sheets[1].effective_thickness, 'mm')}. The rod's middle is "
        f"{_off(bent.rod_offset)}; the mean line ends {show(abs(report.camber.value), 'mm', 2)} towards sheet "
        f"{'A' if report.camber.value > 0 else 'B'}, ± {show(SURE * report.camber.uncertainty, 'mm', 2)}, with "
        f"{show(report.tolerance, 'mm', 2)} allowed. Dashed: two alike sheets as designed."
    )


def describe_thickness(report) -> str:
    """Thickness of both sheets in words."""
    parts = [
        f"{s.name}: {len(s.points)} readings from {show(min(s.points), 'mm', 3)} to {show(max(s.points), 'mm', 3)}, "
        f"mean {show_measured(s.thickness.value, s.thickness.uncertainty, 'mm')}"
        for s in report.sheets
    ]
    return f"Thickness along the span. {'; '.join(parts)}."


def describe_log(report, later) -> str:
    """The log in words."""
    if later.log is None:
        return "No thickness of the part has been measured yet. Measure it 1 hour, 24 hours and 7 days after forming."
    return " ".join(later.log.words)
