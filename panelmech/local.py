"""One sheet between land, rod and closing frames: how hard it is to press in, and when its skin buckles, for a design.

The numbers come from `shell` (framed sheet) and `strip` (a long sheet far from the frames). The in-plane edges of a
real panel lie between free to draw in ("free") and held ("held"); for a bent sheet that choice matters more than
anything else, so both are given and a check takes the worse one. Edges: land clamped, rod supported, frames
supported. The flat wedge's sheet is hinged at its land, and being flat does not care about the in-plane edges.
"""

from __future__ import annotations

import numpy as np

from .design import Design
from .forming import bending_modulus, bending_stiffness
from .shell import buckle, press
from .shell_input import Edge, Edges, FramedSheet, even_pressure, framed_sheet, free_span, point_force
from .strip import StripNotSolved, Support, strip_response, wedge_strip_response
from .strip import even_pressure as strip_pressure

IN_PLANE = {"free": "diaphragm", "held": "held"}
UNIT_PRESSURE, UNIT_FORCE, UNIT_FOOTPRINT = 1000.0, 10.0, 0.02  # the answers are linear: scaled to the load wanted
EDGES = "land clamped, rod and frames supported"


def _edges(land, in_plane):
    word = IN_PLANE[in_plane]
    side = Edge("supported", word)
    return Edges(Edge(land, word), side, side, side)


def bent_sheet(design: Design, in_plane: str = "free", bend=None) -> FramedSheet:
    """The framed sheet of the bent pair; `in_plane` "free" (edges may draw in) or "held"."""
    return framed_sheet(
        bend or design.bend(),
        design.span,
        design.frame_width,
        float(design.sheet.modulus_at(design.sheet_thickness)),
        design.sheet.poisson,
        _edges("clamped", in_plane),
    )


def wedge_sheet(design: Design, wedge=None) -> FramedSheet:
    """The flat wedge's framed sheet, hinged at the land; ValueError where the wedge cannot touch its rod."""
    length = float((wedge or design.wedge()).contact_arclength)
    if not np.isfinite(length):
        raise ValueError(
            "the flat wedge of these sheets cannot touch this rod: use a smaller spacer or a longer free length"
        )
    return FramedSheet(
        length,
        free_span(design.span, design.frame_width),
        design.sheet_thickness,
        float(design.sheet.modulus_at(design.sheet_thickness)),
        design.sheet.poisson,
        None,
        _edges("supported", "free"),
    )


def pressing(sheet: FramedSheet) -> float:
    """Largest deflection per even pressure, searched over the sheet [m/Pa]."""
    return abs(press(sheet, even_pressure(UNIT_PRESSURE)).largest_deflection) / UNIT_PRESSURE


def point_pressing(sheet: FramedSheet) -> float:
    """Largest deflection per force on a 20 mm square in the middle of the sheet [m/N]."""
    side = min(UNIT_FOOTPRINT, 0.25 * sheet.length, 0.25 * sheet.width)
    return abs(press(sheet, point_force(UNIT_FORCE, footprint=side)).largest_deflection) / UNIT_FORCE


def buckling_stress(sheet: FramedSheet) -> float:
    """Critical compressive stress along the span [Pa]: ideal, without dents."""
    return buckle(sheet).stress


def local_quantities(design: Design, bend=None, wanted=("press_deflection", "buckling_stress")) -> dict:
    """What the local checks need: deflection under the design's pressure and critical stress, for both in-plane edges.

    `wanted` names which of the two; each costs two plate problems. nan where the sheet's modulus is not known at this
    thickness.
    """
    known = np.isfinite(design.sheet.modulus_at(design.sheet_thickness))
    bend = bend or design.bend()
    out = {}
    for name, measure, worse in (
        ("press_deflection", lambda sheet: design.pressure * pressing(sheet), max),
        ("buckling_stress", buckling_stress, min),
    ):
        if name in wanted:
            values = [measure(bent_sheet(design, c, bend)) if known else float("nan") for c in IN_PLANE]
            out.update(zip((f"{name}_{choice}" for choice in IN_PLANE), values, strict=True))
            out[name] = worse(values)
    return out


def bent_local(design: Design, bend=None) -> dict:
    """Stiffness of the bent sheet in each local measure, larger is stiffer (see `fair.MEASURES`)."""
    bend = bend or design.bend()
    out = {}
    for choice in IN_PLANE:
        sheet = bent_sheet(design, choice, bend)
        out.update(
            {
                f"press_{choice}": 1.0 / pressing(sheet),
                f"point_{choice}": 1.0 / point_pressing(sheet),
                f"buckling_{choice}": buckling_stress(sheet),
            }
        )
    for choice in ("free", "held"):
        out[f"strip_{choice}"] = _strip_stiffness(
            lambda d, load, c=choice: strip_response(bend, d, load, Support("clamped", "potted", c)), design
        )
    return out


def wedge_local(design: Design, wedge=None) -> dict:
    """The same for the flat wedge's sheet; one value stands for both in-plane edges."""
    sheet = wedge_sheet(design, wedge)
    values = {"press": 1.0 / pressing(sheet), "point": 1.0 / point_pressing(sheet), "buckling": buckling_stress(sheet)}
    out = {f"{name}_{choice}": value for name, value in values.items() for choice in IN_PLANE}
    strip = _strip_stiffness(lambda d, load: wedge_strip_response(design.bend(), d, load), design)
    return {**out, "strip_free": strip, "strip_held": strip}


def _strip_stiffness(answer, design):
    """Even pressure over the largest deflection of a strip far from the frames [Pa/m]; nan where it is not held."""
    modulus, _ = bending_modulus(
        float(design.sheet.modulus_at(design.sheet_thickness)), design.sheet.poisson, np.inf, design.sheet_thickness
    )
    try:
        response = answer(bending_stiffness(modulus, design.sheet_thickness), strip_pressure(1.0))
    except StripNotSolved:
        return float("nan")
    return 1.0 / abs(response.deflection_max)
