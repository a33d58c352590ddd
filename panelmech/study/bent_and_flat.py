"""One framed sheet, bent and flat, pressed outward and inward at large deflection: the same model for all.

Three sheets: the bent pair's own; the same laid flat, its edges held alike, so that what differs is the curvature; and
the flat wedge's, hinged at its land and as long as it is there. Each is given twice, with its edges free to draw in and
with its edges held in the plane. A flat sheet that deflects by about its thickness stretches, and then that choice
matters for it as for a bent one. Forming stress is left out.

"Stiffness" here is pressure over largest deflection, at a pressure that is named; bent over flat, above one, the bent
sheet has more of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

from ..mechanics.pressure_curve import PressedBothWays, Working, press_both_ways
from ..units import lengths, read_number, to_si
from .design import LIMITS, Design
from .framed_sheet import IN_PLANE, bent_and_framed, modulus_known, pressing, wedge_sheet
from .pressed_face import shape_of

SHEETS = ("bent", "flat", "wedge")
WAYS = ("outward", "inward")
BEYOND = 1.5  # times the working pressure, up to which curves go at least
UNKNOWN = "the sheet's moduli are not known, or such as no sheet can have"


@dataclass(frozen=True, eq=False)
class SheetCurves:
    """Bent and flat sheets of a design, pressed evenly both ways.

    working : pressure at which they are compared [Pa]; 0 for none
    most : pressure up to which the curves go: one and a half times that, or more, up to where the flat sheet with the
        bent one's edges would by the linear theory deflect by its thickness [Pa]
    sheets : {(one of `SHEETS`, key of `IN_PLANE`): `PressedBothWays`}, exponents of the bent ones alone; without
        "wedge" where the flat wedge cannot touch its rod, empty where the sheet's moduli are not known
    why : why a sheet is missing, in words; "" where none is

    Of a part with inner ribs or solid zones the sheets are those of its widest bay.
    """

    working: float
    most: float
    sheets: MappingProxyType[tuple, PressedBothWays] = field(repr=False)
    why: str = ""

    def state(self, name: str, edges: str, way: str) -> Working | None:
        """The sheet at the working pressure; None where that is not told, or it does not stay there by itself."""
        pressed = self.sheets.get((name, edges))
        state = pressed and getattr(pressed, way).working
        return state if state and state.stable else None

    def deflection(self, name: str, edges: str, way: str) -> float:
        """Largest deflection at the working pressure [m]; nan where it is not told (`state`)."""
        state = self.state(name, edges, way)
        return state.deflection if state else float("nan")

    def linear(self, name: str, edges: str) -> float:
        """The same by the linear theory, both ways [m]."""
        pressed = self.sheets.get((name, edges))
        return self.working * pressed.per_pressure if pressed and self.working else float("nan")

    def ratio(self, other: str, edges: str, way: str) -> float:
        """Stiffness of the bent sheet at the working pressure over that of another of `SHEETS` [-]."""
        return self.deflection(other, edges, way) / self.deflection("bent", edges, way)

    def linear_ratio(self, other: str, edges: str) -> float:
        """The same by the linear theory [-]."""
        return self.linear(other, edges) / self.linear("bent", edges)


def sheet_curves(design: Design, pressure: float | None = None) -> SheetCurves:
    """`SheetCurves` of a design at a pressure [Pa], by default its own; half a second, of long or thin sheets some
    seconds, then kept.

    Where a sheet snaps through or jumps on the way its curve says so. InfeasibleBend where the design cannot be bent,
    ValueError for a pressure that is negative or beyond what a design may state.

    >>> from panelmech.job import demo
    >>> from panelmech.study import sheet_curves
    >>> from panelmech.units import show
    >>> curves = sheet_curves(demo().design)
    >>> [show(curves.deflection(name, "held", "outward"), "mm", 3) for name in ("bent", "wedge")]
    ['2.04 mm', '1.53 mm']
    >>> show(curves.ratio("wedge", "held", "outward"), "", 3), show(curves.linear_ratio("wedge", "held"), "", 3)
    ('0.747', '5.26')
    """
    highest = to_si(LIMITS["pressure"].high, LIMITS["pressure"].unit)
    pressure = read_number(design.pressure if pressure is None else pressure, "working pressure", "Pa", 0.0, highest)
    kept = _kept(shape_of(design), pressure, lengths())
    if not kept:
        kept.append(_curves(design, pressure))
    return kept[0]


@lru_cache(maxsize=16)
def _kept(shape, pressure, told_in):
    """A place for the curves of a shape; apart for each choice of lengths, for why there is no wedge may tell one."""
    return []


def _curves(design, working):
    if not modulus_known(design):
        return SheetCurves(working, 0.0, MappingProxyType({}), UNKNOWN)
    sheets, why = _sheets(design)
    thick = design.sheet_thickness / pressing(sheets["flat", "free"])
    most = max(BEYOND * working, thick)
    curves = {
        (name, edges): press_both_ways(sheet, most, working or None, exponents=name == "bent")
        for (name, edges), sheet in sheets.items()
    }
    return SheetCurves(working, most, MappingProxyType(curves), why)


def _sheets(design):
    """({(name, edges): `FramedSheet`}, why the wedge's are not among them)."""
    bent = {edges: bent_and_framed(design, edges)[1] for edges in IN_PLANE}
    out = {("bent", edges): sheet for edges, sheet in bent.items()}
    out |= {("flat", edges): sheet.flat() for edges, sheet in bent.items()}
    try:
        wedge = wedge_sheet(design)
    except ValueError as none:
        return out, str(none)
    wedges = {("wedge", edges): wedge.with_edges(wedge.edges.with_in_plane(IN_PLANE[edges])) for edges in IN_PLANE}
    return out | wedges, ""
