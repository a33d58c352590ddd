"""One framed sheet, bent and flat: how much of a gain comes from the clamped land and how much from the curvature.

Three flat sheets stand beside the bent one, each changed in one thing, so the shares multiply to the whole:

    bent -> flat, same edges         the share of curvature -> flat, land only supported     the share of the
    clamped land -> flat, as long as the wedge's  the share of the free length, which differs a little from
    the bent sheet's

The last one is the flat wedge's own sheet: hinged at the trailing edge, everything else as in the bent pair.
All is given twice, with the edges free to draw in and with the edges held, because for a strongly bent sheet
that choice matters more than anything else; a real panel lies between the two. What is compared is one sheet
on its own, not the section, by the linear theory: at large deflection see `study.bent_and_flat`. Forming stress is
left out.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from ..mechanics.shell import Buckling, Press, buckle, press
from ..mechanics.shell_model import Edge, even_pressure
from ..mechanics.wedge import solve_wedge
from ..units import show_input


@dataclass(frozen=True)
class Shares:
    """One quantity for the bent sheet, the flat one, the flat one with its land only supported, and the wedge's sheet.

    what: the quantity, unit in brackets. in_plane: 'diaphragm' or 'held'. The ratios are of the left to the
    right: below 1 means less deflection, or a lower critical load.
    """

    what: str
    in_plane: str
    bent: float
    flat: float
    flat_supported: float
    wedge: float

    @property
    def curvature(self):
        """Bent to flat with the same edges [-]."""
        return self.bent / self.flat

    @property
    def clamped_land(self):
        """Flat with its land held as in the bent pair to flat with its land supported [-]."""
        return self.flat / self.flat_supported

    @property
    def free_length(self):
        """Flat, land supported, at the bent sheet's free length to the same at the wedge's [-]."""
        return self.flat_supported / self.wedge

    @property
    def whole(self):
        """Bent to the wedge's sheet [-]; the product of the three shares."""
        return self.bent / self.wedge


@dataclass(frozen=True, eq=False)
class SheetComparison:
    """Bent against flat, with the in-plane edge choice as a bracket.

    deflection, critical: pairs of `Shares` (diaphragm, held), of the largest deflection [m] under the load
    and of the critical spanwise compression [N/m]. bent_press, bent_buckling: the bent results, diaphragm
    then held; flat_press, flat_buckling: flat with the same edges. edges: in words. wedge_length [m].
    """

    deflection: tuple
    critical: tuple
    bent_press: tuple = field(repr=False)
    bent_buckling: tuple = field(repr=False)
    flat_press: Press = field(repr=False)
    flat_buckling: Buckling = field(repr=False)
    edges: tuple
    wedge_length: float

    @property
    def error(self):
        """Largest relative error estimate in the whole comparison [-]."""
        return max(r.error for r in (*self.bent_press, *self.bent_buckling, self.flat_press, self.flat_buckling))


def compare_sheet(sheet, load=None, wedge_length=None, degrees=None):
    """`SheetComparison` of a bent `FramedSheet` with flat ones, for edges free to draw in and edges held.

    load: default even pressure of 1 kPa. wedge_length: free length of the flat wedge's sheet [m] (see
    `wedge_free_length`), by default that of the bent sheet. The in-plane choice of `sheet.edges` is replaced
    by each choice in turn, except on edges that are free in the plane. A point load at a given x keeps its
    share of the length.
    """
    load, wedge_length = load or even_pressure(), wedge_length or sheet.length
    bent = [replace(sheet, edges=sheet.edges.with_in_plane(choice)) for choice in ("diaphragm", "held")]
    flat = bent[0].flat()
    hinged = replace(flat, edges=replace(flat.edges, land=Edge("supported", flat.edges.land.in_plane)))
    wedge = replace(hinged, length=wedge_length)
    at_wedge = load if load.x is None else replace(load, x=load.x * wedge_length / sheet.length)
    loads = (load, load, load, load, at_wedge)
    # each sheet is pressed and buckled in one go: both use the same matrices
    results = [
        (press(s, force, degrees), buckle(s, degrees))
        for s, force in zip((*bent, flat, hinged, wedge), loads, strict=True)
    ]
    presses, buckles = zip(*results, strict=True)
    return SheetComparison(
        _shares("largest deflection [m]", [p.largest_deflection for p in presses]),
        _shares("critical spanwise compression [N/m]", [b.line_load for b in buckles]),
        presses[:2],
        buckles[:2],
        presses[2],
        buckles[2],
        tuple(s.edges.words() for s in bent),
        float(wedge_length),
    )


def wedge_free_length(bend):
    """Free length of the flat wedge's sheet with the same blank, rod and setback as a single `Bend` [m].

    From the land end, where it is hinged, to where it touches the rod. Raises ValueError where the rod is too large.
    """
    wedge = solve_wedge(bend.free_length, bend.sheet_thickness, bend.spacer_diameter, bend.bond_line, bend.setback)
    if not np.isfinite(wedge.contact_arclength):
        raise ValueError(
            f"a rod of {show_input(bend.spacer_diameter, 'mm', 4)} is too large for a flat wedge of free length "
            f"{show_input(bend.free_length, 'mm', 4)}: use a smaller spacer or a longer free length"
        )
    return float(wedge.contact_arclength)


def _shares(what, values):
    diaphragm, held, flat, hinged, wedge = map(float, values)
    return tuple(
        Shares(what, choice, bent, flat, hinged, wedge) for choice, bent in (("diaphragm", diaphragm), ("held", held))
    )
