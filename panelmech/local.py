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
from .strip import StripNotSolved, Support, flat_strip_response, strip_response
from .strip import even_pressure as strip_pressure
from .units import show

IN_PLANE = {"free": "diaphragm", "held": "held"}
UNIT_PRESSURE, UNIT_FORCE, UNIT_FOOTPRINT = 1000.0, 10.0, 0.02  # the answers are linear: scaled to the load wanted
NEARLY_EVEN = 0.01  # sheets closer to even than this are taken as even
EDGES = "land clamped, rod and frames supported"
LOCAL_KEYS = tuple(f"{name}_{choice}" for name in ("press", "point", "strip", "buckling") for choice in IN_PLANE)


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
    return FramedSheet(
        wedge_length(design, wedge),
        free_span(design.span, design.frame_width),
        design.sheet_thickness,
        float(design.sheet.modulus_at(design.sheet_thickness)),
        design.sheet.poisson,
        None,
        _edges("supported", "free"),
    )


def wedge_length(design: Design, wedge=None) -> float:
    """Land to rod along the flat wedge's sheet [m]; ValueError where the wedge cannot touch its rod."""
    length = float((wedge or design.wedge()).contact_arclength)
    if not np.isfinite(length):
        raise ValueError(
            "the flat wedge of these sheets cannot touch this rod: use a smaller spacer or a longer free length"
        )
    return length


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


_OF_SHEET = {
    "press": lambda sheet: 1.0 / pressing(sheet),
    "point": lambda sheet: 1.0 / point_pressing(sheet),
    "buckling": buckling_stress,
}


def local_quantities(design: Design, bend=None, wanted=("press_deflection", "buckling_stress")) -> dict:
    """What the local checks need: deflection under the design's pressure and critical stress, for both in-plane edges.

    `wanted` names which of the two; each costs two plate problems. nan where the sheet's modulus is not known at this
    thickness.
    """
    known = _modulus_known(design)
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
    if "buckling_stress" in out:
        out["buckling_stress"] *= grain_factor(design)
    return out


def bent_local(design: Design, bend=None, keys=LOCAL_KEYS) -> dict:
    """Stiffness of the bent sheet in the local measures asked for, larger is stiffer (see `fair.MEASURES`).

    "press" [Pa/m], "point" [N/m], "buckling" [Pa], "strip" [Pa/m], each with the edges free to draw in and held. nan
    where the sheet's modulus is not known at this thickness.
    """
    bend = bend or design.bend()
    if not _modulus_known(design):
        return dict.fromkeys(keys, float("nan"))
    sheets = {choice: bent_sheet(design, choice, bend) for choice in IN_PLANE}

    def value(name, choice):
        if name in _OF_SHEET:
            return _OF_SHEET[name](sheets[choice])
        support = Support("clamped", "potted", choice)
        return _strip_stiffness(lambda d, load: strip_response(bend, d, load, support), design)

    return {key: value(*key.split("_")) for key in keys}


def wedge_local(design: Design, wedge=None, keys=LOCAL_KEYS) -> dict:
    """The same for the flat wedge's sheet, hinged at the land; one value stands for both in-plane edges.

    Its front is held as the bent sheet's: on the rod between frames, potted far from them.
    """
    wedge_length(design, wedge)
    if not _modulus_known(design):
        return dict.fromkeys(keys, float("nan"))
    sheet = wedge_sheet(design, wedge)

    def value(name):
        if name in _OF_SHEET:
            return _OF_SHEET[name](sheet)
        support = Support("hinged", "potted", "free")
        return _strip_stiffness(
            lambda d, load: flat_strip_response(sheet.length, sheet.thickness, d, load, support), design
        )

    values = {name: value(name) for name in dict.fromkeys(key.split("_")[0] for key in keys)}
    return {key: values[key.split("_")[0]] for key in keys}


def local_notes(design: Design, bend) -> tuple[str, ...]:
    """Where the proportions of the framed sheet stretch the theory, in words; empty if nowhere."""
    if not _modulus_known(design):
        return ()
    notes = bent_sheet(design, "free", bend).notes()
    return tuple(f"Framed sheet: {note}." for note in notes if "left by forming" not in note)


def local_remarks(design: Design, found: dict) -> dict:
    """What to know of the value of each local check, in words by key of the check; "" for nothing.

    `found` holds "press_deflection" [m]. Beyond half the thickness stretching counts, which the linear answer leaves
    out. The framed sheet is reckoned as equally stiff both ways, with the modulus along the chord; where the sheet has
    a grain, its buckling stress is lowered by `grain_factor`.
    """
    deep = found["press_deflection"] > 0.5 * design.sheet_thickness
    stretching = "more than half the thickness: stretching, left out, changes it" if deep else ""
    return {"oil_canning": stretching, "skin_buckling": _grain_remark(design)}


def _grain_remark(design):
    factor = grain_factor(design)
    if np.isnan(factor):
        return "the sheet has a grain and its shear modulus is not known"
    return "" if factor == 1.0 else f"lowered to {show(factor, '', 2)} of an even sheet's, for its grain"


def grain_factor(design: Design) -> float:
    """Factor on the buckling stress of an even sheet for a sheet with a grain [-]: `grain_share`, never above one.

    One where the modulus along the span is not known (the sheet is then taken as even); nan where it differs from that
    along the chord and the shear modulus is not known. The share of a long flat sheet stands for that of the framed
    bent one: an estimate, for want of a shell with two moduli.
    """
    sheet, t = design.sheet, design.sheet_thickness
    chord, span, shear = sheet.modulus_at(t), sheet.span_modulus_at(t), sheet.shear_modulus_at(t)
    if not np.isfinite(chord) or not np.isfinite(span):
        return 1.0
    if not np.isfinite(shear):
        return 1.0 if abs(span / chord - 1.0) < NEARLY_EVEN else float("nan")
    share = grain_share(chord, span, shear, sheet.poisson)
    return 1.0 if share > 1.0 - NEARLY_EVEN else share


def grain_share(chord: float, span: float, shear: float, poisson: float) -> float:
    """Buckling stress along the span of a long flat sheet with a grain, over that of an even sheet of the chord's
    modulus [-].

    Moduli [Pa]; `poisson` goes with the chord. Supported on land and rod, compressed along its length: N = 2 pi^2
    (sqrt(D_1 D_2) + H) / a^2 with H = nu_12 D_2 + 2 D_66 (Lekhnitskii, Anisotropic Plates, 1968; from memory, derived
    again), against 4 pi^2 D / a^2. One for an even sheet.
    """
    other = poisson * span / chord
    one, two = chord / (1.0 - poisson * other), span / (1.0 - poisson * other)
    return float((np.sqrt(one * two) + poisson * two + 2.0 * shear) * (1.0 - poisson**2) / (2.0 * chord))


def _modulus_known(design):
    return bool(np.isfinite(design.sheet.modulus_at(design.sheet_thickness)))


def _strip_stiffness(answer, design):
    """Even pressure over the largest deflection of a strip far from the frames [Pa/m]; nan where it is not held."""
    modulus, _ = bending_modulus(
        float(design.sheet.modulus_at(design.sheet_thickness)), design.sheet.poisson, np.inf, design.sheet_thickness
    )
    try:
        response = answer(bending_stiffness(modulus, design.sheet_thickness), strip_pressure(1.0))
    except StripNotSolved:
        return float("nan")
    return float(1.0 / abs(response.deflection_max))
