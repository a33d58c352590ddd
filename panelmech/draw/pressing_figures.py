"""One sheet pressed outward and inward, bent and flat: pressure against deflection, edges free to draw in and held.

Pure functions on axes they are given; they read a `study.bent_and_flat.SheetCurves`. Outward stands to the right and
up, inward to the left and down. Past where a sheet loses its stability its curve is dotted.
"""

from __future__ import annotations

from itertools import product

import numpy as np

from ..study.bent_and_flat import SHEETS, WAYS, SheetCurves
from ..study.framed_sheet import IN_PLANE
from ..units import show, show_input
from .figures import (
    SMALL,
    STAMP_ROOM,
    Legend,
    axes_at,
    blank_figure,
    clean,
    dot,
    freeze,
    head,
    in_style,
    line_style,
    name_lengths,
    stamped,
    with_unit,
)
from .look import LINES, PAPER, THIN_LINES, Line
from .margins import place_names
from .shapes import MM

NAMES = {
    "bent": "bent sheet",
    "flat": "the same laid flat, land clamped",
    "wedge": "flat wedge's sheet, land hinged",
}
LOOKS = {"bent": LINES["bent"], "flat": LINES["third"], "wedge": LINES["wedge"]}
EDGES = {"free": "edges drawing in", "held": "edges held"}
TURNS = {"limit": ("v", "snaps through, or back"), "branching": ("D", "jumps to another shape")}
TITLE = "One sheet pressed evenly, outward and inward: pressure against deflection"
LINEAR = 0.7  # points: weight of the lines of the linear theory
HEIGHT, LEFT, RIGHT, BELOW, ABOVE, GAP = 84.0, 18.0, 3.0, 11.0, 18.0, 8.0  # mm
SIGNS = dict(zip(WAYS, (1.0, -1.0), strict=True))


@in_style
def draw_pressing(ax, curves: SheetCurves, edges: str) -> None:
    """Pressure against largest deflection of each sheet with these `edges`, a key of `study.framed_sheet.IN_PLANE`."""
    for line in (ax.axhline, ax.axvline):
        line(0.0, zorder=1.4, **line_style(THIN_LINES["zero"]))
    reach = {}
    for name in reversed(SHEETS):  # the bent one on top
        pressed = curves.sheets.get((name, edges))
        for way in WAYS if pressed else ():
            curve, sign = getattr(pressed, way), SIGNS[way]
            _curve(ax, curve, sign, LOOKS[name])
            if state := curves.state(name, edges, way):
                at = sign * state.deflection / MM, sign * curves.working
                ax.plot(*at, zorder=3.5, **dot(LOOKS[name].colour, 5.5))
            reach[way] = max(reach.get(way, 0.0), curve.deflection.max())
            line = line_style(LOOKS[name]) | {"lw": LINEAR}
            ends = np.array([0.0, sign * curves.most])
            ax.plot(ends * pressed.per_pressure / MM, ends, zorder=1.8, **line)
    for sign in (1.0, -1.0) if curves.working else ():
        ax.axhline(sign * curves.working, zorder=1.5, **line_style(THIN_LINES["close"]))
    ax.set_xlim(-1.08 * reach["inward"] / MM, 1.08 * reach["outward"] / MM)
    ax.set_ylim(-1.04 * curves.most, 1.04 * curves.most)
    name_lengths(ax.xaxis, "largest deflection", ticks=7)
    words = {"ha": "left", "va": "top", "fontsize": SMALL, "fontweight": "bold", "transform": ax.transAxes}
    ax.text(0.02, 0.98, EDGES[edges], bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0}, **words)


def _curve(ax, curve, sign, look):
    """One way: solid or dashed while it is stable, dotted past that; a dot at the working pressure, marks at turns."""
    x, y = sign * curve.deflection / MM, sign * curve.pressure
    changes = np.flatnonzero(np.diff(curve.stable)) + 1
    for part in np.split(np.arange(len(x)), changes):
        drawn = slice(max(part[0] - 1, 0), part[-1] + 1)  # from the last point of the part before
        stays = curve.stable[part[0]]
        style = line_style(look if stays else Line(look.colour, (1, 1.8), 1.0))
        ax.plot(x[drawn], y[drawn], zorder=3.0, **style)
    for turn in curve.turns:
        ax.plot(sign * turn.deflection / MM, sign * turn.pressure, **_mark(turn.kind, look.colour))


def _mark(kind, colour):
    return {"ls": "", "marker": TURNS[kind][0], "ms": 5.5, "mfc": PAPER, "mec": colour, "mew": 1.2, "zorder": 4}


def pressing_legend(ax, curves: SheetCurves) -> Legend:
    """What the lines and marks mean, of those that are there."""
    legend = Legend(ax)
    for name in SHEETS:
        if (name, "free") in curves.sheets:
            legend.add(NAMES[name], "line", **line_style(LOOKS[name]))
    legend.add("thin: linear theory", "line", color=LOOKS["bent"].colour, lw=LINEAR)
    if curves.working:
        legend.add(
            f"{show_input(curves.working, 'Pa', 4)}, where they are compared", "line", **line_style(THIN_LINES["close"])
        )
    ways = [getattr(pressed, way) for pressed in curves.sheets.values() for way in WAYS]
    for kind, (_, words) in TURNS.items():
        if any(turn.kind == kind for way in ways for turn in way.turns):
            legend.add(words, "mark", **_mark(kind, LOOKS["bent"].colour))
    if not all(way.stable.all() for way in ways):
        legend.add("does not stay there by itself", "line", color=LOOKS["bent"].colour, lw=1.0, ls=(0, (1, 1.8)))
    return legend


@in_style
def pressing_figure(curves: SheetCurves, design, width_mm: float = 182.0):
    """Figure with the curves of all sheets of a design, edges free to draw in on the left and held on the right, under
    one legend. ValueError where there are none to draw."""
    if not curves.sheets:
        raise ValueError(f"there is no sheet to draw: {curves.why}")
    fig = blank_figure(width_mm, HEIGHT)
    wide, high = 0.5 * (width_mm - LEFT - RIGHT - GAP), HEIGHT - STAMP_ROOM - BELOW - ABOVE
    axes = [axes_at(fig, LEFT + n * (wide + GAP), STAMP_ROOM + BELOW, wide, high) for n in range(2)]
    for ax, edges in zip(axes, IN_PLANE, strict=True):
        draw_pressing(ax, curves, edges)
    axes[0].set_ylabel(with_unit("pressure, outward +", "Pa"))
    axes[0].ticklabel_format(axis="y", style="plain", useOffset=False)
    axes[1].tick_params(labelleft=False)
    head(axes[0], TITLE, pressing_legend(axes[0], curves), beside=wide + GAP)
    for ax in axes:
        place_names(ax)
    return freeze(stamped(fig, note=f"{clean(design.title)} · inputs {design.input_hash()}"))


def describe_pressing(curves: SheetCurves) -> str:
    """The curves in words: what they are of, and the deflections where the sheets are compared.

    >>> from panelmech.job import demo
    >>> from panelmech.study import sheet_curves
    >>> describe_pressing(sheet_curves(demo().design)).split("; ")[2]
    'edges held, pressed outward: bent 2.04 mm, flat 1.17 mm, wedge 1.53 mm'
    """
    told = []
    for edges, way in product(IN_PLANE, WAYS) if curves.working else ():
        known = {name: curves.deflection(name, edges, way) for name in SHEETS}
        words = ", ".join(f"{name} {show(value, 'mm', 3)}" for name, value in known.items() if np.isfinite(value))
        told.append(f"{EDGES[edges]}, pressed {way}: {words or 'not told'}")
    start = "Pressure against largest deflection of one sheet, bent, laid flat, and as the flat wedge's"
    at = f" At {show_input(curves.working, 'Pa', 4)}: {'; '.join(told)}." if told else ""
    return f"{start}, up to {show(curves.most, 'Pa', 3)} outward and inward.{at}"
