"""The framed sheet along a blade: how far it is pressed in, and at what stress its skin buckles, at every station.

Each is a plate problem of its own, so they are solved at the ends and in the middle of every stretch of even taper and
read in between by a parabola through the logarithms. Measured on a taper that halves the free length and nearly halves
the rod: within 3 % (pressed in) and 1.4 % (buckling) of the problem solved on the spot. A framed sheet is reckoned
with the section of its place along its whole bay, which is the span between the closing frames.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from ..mechanics.shell import bent_share, uneven_critical_stress
from ..study.framed_sheet import IN_PLANE, bent_sheet, local_quantities


def framed_sheets(sections, known: dict | None = None) -> dict:
    """Of `BladeSections`, at its stations: "press" [m/Pa], deflection of one face per even pressure; "buckling" [Pa],
    critical stress along the span at the rod, falling towards the land with the distance from the chord line; the worse
    of edges held and free to draw in. "count", how many plate problems stand behind them. nan where unknown.

    known: of earlier calls, `framed_sheet_at` by input hash; what is not there yet is added.
    """
    blade, known, used = sections.blade, {} if known is None else known, set()
    out = {"press": np.empty_like(sections.position), "buckling": np.empty_like(sections.position)}
    for start, end in pairwise(blade.breakpoints):
        last = end == blade.breakpoints[-1]
        here = (sections.position >= start) & ((sections.position <= end) if last else (sections.position < end))
        designs = blade.design_at(start), blade.design_at(0.5 * (start + end)), blade.design_at(end, before=True)
        places = [_once(known, design) for design in designs]
        used |= {design.input_hash() for design in designs}
        share = (sections.position[here] - start) / (end - start)
        for name, values in out.items():
            values[here] = _parabola(share, [place[name] for place in places])
    return {**out, "count": len(used)}


def framed_sheet_at(design) -> dict:
    """The same of one design: "press" and "buckling"."""
    bend, one = design.bend(), design.replace(pressure=1.0)
    local = local_quantities(one, bend)
    if np.isnan(local["buckling_stress"]):
        return {"press": local["press_deflection"], "buckling": np.nan}
    uneven = (uneven_critical_stress(bent_sheet(one, choice, bend), bent_share(bend)) for choice in IN_PLANE)
    return {"press": local["press_deflection"], "buckling": min(uneven)}


def _once(known, design):
    """`framed_sheet_at`, kept for designs that come again."""
    key = design.input_hash()
    if key not in known:
        known[key] = framed_sheet_at(design)
    return known[key]


def _parabola(share, values):
    """Through the logarithms of three positive values at shares 0, 1/2 and 1."""
    start, middle, end = np.log(values)
    return np.exp(start + share * (4.0 * middle - 3.0 * start - end + 2.0 * share * (start - 2.0 * middle + end)))
