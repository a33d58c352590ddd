"""One sheet between land, rod and closing frames: how hard it is to press in, and when its skin buckles, for a design.

Inner ribs and solid zones part it into bays, each reckoned as the sheet of a design as long as the bay, with what the
ribs give; what counts is the worst of them (`study.bays`).

The numbers come from `shell` (framed sheet) and `strip` (a long sheet far from the frames). The in-plane edges of a
real panel lie between free to draw in ("free") and held ("held"); for a bent sheet that choice matters more than
anything else, so both are given and a check takes the worse one. Edges: land clamped, rod supported, frames
supported. The flat wedge's sheet is hinged at its land, and being flat does not care about the in-plane edges. Sheets
with a grain are counted as such, bent and flat alike (`framed_sheet`).
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from ..mechanics.shell import critical_stress, largest_deflection, press
from ..mechanics.shell_model import (
    FOOTPRINT,
    Edge,
    Edges,
    FramedSheet,
    even_pressure,
    framed_sheet,
    free_span,
    point_force,
)
from ..mechanics.strip import StripNotSolved, Support, even_strip_pressure, flat_strip_response, strip_response
from .bays import bay_design, bay_designs, bay_gives, pressed_as, without_ribs
from .design import Design
from .grain import sheet_grain
from .inside import Stretch
from .pressed_face import INWARD, LEAST, OUTWARD, pressed_face

# ----- The framed sheet of a design


IN_PLANE = {"free": "diaphragm", "held": "held"}
BUCKLES = "buckling_stress"
SAME = 1e-9  # bays that differ by less than this share are alike
UNIT_PRESSURE, UNIT_FORCE = 1000.0, 10.0  # the answers are linear: scaled to the load wanted
EDGES = "land clamped, rod and frames supported"
LOCAL_KEYS = tuple(f"{name}_{choice}" for name in ("press", "point", "strip", "buckling") for choice in IN_PLANE)


@lru_cache(maxsize=16)
def _edges(land, in_plane):
    word = IN_PLANE[in_plane]
    side = Edge("supported", word)
    return Edges(Edge(land, word), side, side, side)


def bent_sheet(design: Design, in_plane: str = "free", bend=None) -> FramedSheet:
    """The framed sheet of the bent pair, of the widest bay where there are several; `in_plane` "free" (edges may draw
    in) or "held"."""
    return framed_sheet(
        bend or design.bend(),
        _widest_bay(design),
        0.0,
        float(design.sheet.modulus_at(design.sheet_thickness)),
        design.sheet.poisson,
        _edges("clamped", in_plane),
        **sheet_grain(design).moduli,
    )


def wedge_sheet(design: Design, wedge=None) -> FramedSheet:
    """The flat wedge's framed sheet, hinged at the land; ValueError where the wedge cannot touch its rod."""
    return FramedSheet(
        wedge_length(design, wedge),
        _widest_bay(design),
        design.sheet_thickness,
        float(design.sheet.modulus_at(design.sheet_thickness)),
        design.sheet.poisson,
        None,
        _edges("supported", "free"),
        **sheet_grain(design).moduli,
    )


def _widest_bay(design):
    """Width of the widest bay along the span [m]."""
    if not design.inside:
        return free_span(design.span, design.frame_width)
    return max(bay.length for bay in design.bays)


def wedge_length(design: Design, wedge=None) -> float:
    """Land to rod along the flat wedge's sheet [m]; ValueError where the wedge cannot touch its rod."""
    length = float((wedge or design.wedge()).contact_arclength)
    if not np.isfinite(length):
        raise ValueError(
            "the flat wedge of these sheets cannot touch this rod: use a smaller spacer or a longer free length"
        )
    return length


def pressing(sheet: FramedSheet, degrees=None) -> float:
    """Largest deflection per even pressure, searched over the sheet [m/Pa]; `degrees` as of `shell.press`."""
    return abs(largest_deflection(sheet, even_pressure(UNIT_PRESSURE), degrees)) / UNIT_PRESSURE


def point_pressing(sheet: FramedSheet) -> float:
    """Largest deflection per force on a square in the middle of the sheet [m/N]: 20 mm, or a quarter of the sheet's
    smaller side where that is less."""
    side = min(FOOTPRINT, 0.25 * sheet.length, 0.25 * sheet.width)
    return abs(press(sheet, point_force(UNIT_FORCE, footprint=side)).largest_deflection) / UNIT_FORCE


def buckling_stress(sheet: FramedSheet) -> float:
    """Critical compressive stress along the span [Pa]: ideal, without dents."""
    return critical_stress(sheet)


_OF_SHEET = {
    "press": lambda sheet: 1.0 / pressing(sheet),
    "point": lambda sheet: 1.0 / point_pressing(sheet),
    "buckling": buckling_stress,
}


PRESSED_BY, LETS_GO = "press_deflection", "press_lets_go"
FAR = 1.0  # thicknesses outward: pressed less far a face did not let go inward (329 pairs drawn at random: from 2.5 on)
_BESIDE = tuple(f"{PRESSED_BY}_{what}" for what in ("inward", "resting", "linear"))
SHAPED_BY = ("sheet", "sheet_thickness", "free_length", "bond_line", "spacer_diameter", "setback")
SHAPED_BY += ("span", "frame_width")
# pairs of a measure and its edges: of the critical stress those that may give the worse, for to hold edges takes
# functions away from the same energy, and so gives no stress that is less (Rayleigh)
WORSE = {"press_deflection": ("pair",), "buckling_stress": ("free",)}
MEASURES = tuple(WORSE)


def local_quantities(design: Design, bend=None, wanted=MEASURES, both=True) -> dict:
    """What the local checks need: how far a face is pressed (`study.pressed_face`), and the critical stress of a sheet
    with its edges free to draw in and held, and the worse of these; without `both` what judges alone.

    `wanted` names which of the two. "press_deflection" is the deflection outward under the design's pressure, to judge
    by: of a face that lets go before, more than is allowed; then "press_lets_go" tells the pressure, else nan. Beside
    it: inward, outward with a front that only rests on the rod, and by the linear pair. nan where the sheet's modulus
    is not known at this thickness, and for the stress of a sheet with a grain whose shear modulus is not known. Kept
    for designs that have the same sheet and shape.
    """
    known, buckles, out = modulus_known(design), sheet_grain(design).buckling, {}
    if PRESSED_BY in wanted:
        names = PRESSED_BY, LETS_GO, *(_BESIDE if both else ())
        out = _pressed(design, bend, both) if known else dict.fromkeys(names, float("nan"))
    if "buckling_stress" in wanted:
        choices = IN_PLANE if both else WORSE["buckling_stress"]
        kept = _stresses(design, bend, choices) if known and buckles else dict.fromkeys(choices, float("nan"))
        out |= {f"buckling_stress_{choice}": kept[choice] for choice in choices}
        out["buckling_stress"] = min(kept[choice] for choice in choices)
    return out


def _pressed(design, bend, both):
    """Quantities of the pressed face, of several bays the worst of each, as of `counted_as`."""
    each = [_worst_of(_pressed_bays(one, bend, both)) for one in pressed_as(design)]
    return min(each, key=lambda one: one[PRESSED_BY])


def _worst_of(bays):
    worst = {name: max(one[name] for one in bays) for name in bays[0] if name != LETS_GO}
    return {**worst, LETS_GO: float(np.fmin.reduce([one[LETS_GO] for one in bays]))}


def _pressed_bays(design, bend=None, both=False):
    """Quantities of the pressed face of each bay, with what its ends give."""
    if not design.inside:
        return [_pressed_bay(design, bend, both, 0.0)]
    bend = bend or design.bend()
    gives = zip(design.bays, bay_gives(design, bend), strict=True)
    return [_pressed_bay(bay_design(design, bay), bend, both, give * design.pressure) for bay, give in gives]


def _pressed_bay(design, bend, both, more):
    """Quantities of the pressed face of a design without ribs and zones, `more` [m] added to each deflection."""
    bend, sheet = bent_and_framed(design, "free", bend)
    allowed = design.deflection_share * float(bend.contact_arclength)
    governing = outward = pressed_face(design, sheet, bend)
    if FAR * design.sheet_thickness < outward.deflection <= allowed:
        inward = pressed_face(design, sheet, bend, INWARD)
        governing = outward if np.isfinite(inward.deflection) else inward
    out = {PRESSED_BY: governing.to_go_by(allowed) + more, LETS_GO: governing.lets_go}
    if both:
        inward, resting = (pressed_face(design, sheet, bend, *how) for how in ((INWARD,), (OUTWARD, "resting")))
        found = (inward.deflection, resting.deflection, outward.linear)
        out |= {name: value + more for name, value in zip(_BESIDE, found, strict=True)}
    return out


def _stresses(design, bend, choices):
    """{in-plane edges: critical stress [Pa]} of a design's sheet, at least of those asked for, ribs left out and of
    several bays the least; kept."""
    kept = _kept(_sheet_of(design))
    for choice in choices:
        if choice not in kept:
            bays = (bent_and_framed(bay, choice, bend)[1] for bay in bay_designs(without_ribs(design)))
            kept[choice] = min(buckling_stress(sheet) for sheet in bays)
    return kept


def _sheet_of(design):
    """All that the framed sheet of a design hangs on, by itself."""
    return *(getattr(design, name) for name in SHAPED_BY), design.inside


def measured(design: Design, wanted, bend=None) -> dict:
    """{(measure, edges) of `WORSE`: value} of a design's framed sheet: deflection to judge by per pressure [m/Pa],
    critical stress [Pa]. Of several bays the worst of each. Raises InfeasibleBend."""
    out = {}
    for name in wanted:
        (choice,) = WORSE[name]
        if name == PRESSED_BY:
            some = design if design.pressure > 0.0 else design.replace(pressure=LEAST)
            out[name, choice] = _pressed(some, bend, False)[name] / some.pressure
        else:
            out[name, choice] = _stresses(design, bend, (choice,))[choice]
    return out


def sheet_compliance(design: Design) -> float:
    """Largest deflection per pressure of one sheet by itself, linear, with its land clamped and rod and frames
    supporting it, the worse of in-plane edges free to draw in and held, of several bays the greatest with what their
    ends give [m/Pa]; nan where its modulus is not known."""
    if not modulus_known(design):
        return float("nan")
    return max(min(_compliance(one, choice) for one in pressed_as(design)) for choice in IN_PLANE)


def _compliance(design, choice):
    if not design.inside:
        kept = _kept(_sheet_of(design))
        if ("alone", choice) not in kept:
            kept["alone", choice] = pressing(bent_and_framed(design, choice)[1])
        return kept["alone", choice]
    gives = zip(design.bays, bay_gives(design, design.bend()), strict=True)
    return max(_compliance(bay_design(design, bay), choice) + give for bay, give in gives)


def bent_and_framed(design: Design, in_plane: str = "free", bend=None) -> tuple:
    """(bend, `bent_sheet`) of a design, of several bays the widest one's. Kept for the last few shapes: what is asked
    of the same sheet next finds bend and curvature made."""
    kept = _last(_sheet_of(design))
    if "bend" not in kept:
        kept["bend"] = bend or design.bend()
    if in_plane not in kept:
        other = next((kept[choice] for choice in IN_PLANE if choice in kept), None)
        if other is None:
            kept[in_plane] = bent_sheet(design, in_plane, kept["bend"])
        else:
            kept[in_plane] = other.with_edges(_edges("clamped", in_plane))
    return kept["bend"], kept[in_plane]


@lru_cache(maxsize=4)
def _last(shape):
    """A place for the bend and the framed sheets of a shape."""
    return {}


@lru_cache(maxsize=4096)
def _kept(shape):
    """A place for what was worked out of a sheet by itself: rods, walls, adhesives and loads leave it as it is."""
    return {}


def bent_local(design: Design, bend=None, keys=LOCAL_KEYS) -> dict:
    """Stiffness of the bent sheet in the local measures asked for (see `MEASURES`), of several bays the least.

    "press" [Pa/m], "point" [N/m], "buckling" [Pa], "strip" [Pa/m], each with the edges free to draw in and held. nan
    where the sheet's modulus is not known at this thickness.
    """
    bend = bend or design.bend()
    if not modulus_known(design):
        return dict.fromkeys(keys, float("nan"))
    if design.inside:
        return _least_of_bays(bent_local, design, bend, keys)
    sheets = {choice: bent_sheet(design, choice, bend) for choice in IN_PLANE}

    def value(name, choice):
        if name in _OF_SHEET:
            return _OF_SHEET[name](sheets[choice])
        support = Support("clamped", "potted", choice)
        share = sheets[choice].ratios.a11
        return _strip_stiffness(
            lambda d, load: strip_response(bend, d, load, support, stretch_share=share), sheets[choice]
        )

    return {key: value(*key.split("_")) for key in keys}


def _least_of_bays(local, design, shape, keys):
    """Each the least of the bays that count for it, without what ribs give: bent and flat sheet stand on the same."""
    found = {}
    for of, names in (
        (design, [key for key in keys if not key.startswith("buckling")]),
        (without_ribs(design), [key for key in keys if key.startswith("buckling")]),
    ):
        each = [local(bay, shape, names) for bay in bay_designs(of)] if names else []
        found |= {key: min(one[key] for one in each) for key in names}
    return {key: found[key] for key in keys}


def wedge_local(design: Design, wedge=None, keys=LOCAL_KEYS) -> dict:
    """The same for the flat wedge's sheet, hinged at the land; one value stands for both in-plane edges.

    Its front is held as the bent sheet's: on the rod between frames, potted far from them.
    """
    wedge_length(design, wedge)
    if not modulus_known(design):
        return dict.fromkeys(keys, float("nan"))
    if design.inside:
        return _least_of_bays(wedge_local, design, wedge, keys)
    sheet = wedge_sheet(design, wedge)

    def value(name):
        if name in _OF_SHEET:
            return _OF_SHEET[name](sheet)
        support = Support("hinged", "potted", "free")
        return _strip_stiffness(
            lambda d, load: flat_strip_response(sheet.length, sheet.thickness, d, load, support), sheet
        )

    values = {name: value(name) for name in dict.fromkeys(key.split("_")[0] for key in keys)}
    return {key: values[key.split("_")[0]] for key in keys}


def counted_as(design: Design, quantity: str) -> Design:
    """As what the design's sheet counts for a quantity of `MEASURES`: with all its ribs and zones, or without some."""
    if quantity == BUCKLES:
        return without_ribs(design)
    if not modulus_known(design):
        return design
    return min(pressed_as(design), key=lambda one: _worst_of(_pressed_bays(one))[PRESSED_BY])


def worst_bays(design: Design, quantity: str) -> tuple[Stretch, ...]:
    """The bays that have the worst of a quantity of `MEASURES`, of the design as of `counted_as`; all of them where it
    is not known."""
    known = modulus_known(design) and (quantity != "buckling_stress" or sheet_grain(design).buckling)
    if not known or len(design.bays) == 1:
        return design.bays
    if quantity == PRESSED_BY:
        values = [one[PRESSED_BY] for one in _pressed_bays(design)]
        worst = max(values)
    else:
        values = [_stresses(bay_design(design, bay), None, ("free",))["free"] for bay in design.bays]
        worst = min(values)
    return tuple(bay for bay, value in zip(design.bays, values, strict=True) if abs(value / worst - 1.0) < SAME)


def bays_counted(design: Design, quantity: str) -> str:
    """What counts of a part with ribs or zones under loads, in words; "" for one without."""
    if not design.inside:
        return ""
    left_out = "ribs left out" if quantity == BUCKLES and design.inside.ribs else ""
    count = len((without_ribs(design) if left_out else design).bays)
    return "; ".join(filter(None, (left_out, f"each place by the worst of {count} bays" if count > 1 else "")))


def bay_words(design: Design, quantity: str) -> str:
    """Which bay counts for such a quantity, in words; "" for a part without ribs and zones."""
    if not design.inside:
        return ""
    counted = counted_as(design, quantity)
    told = "with what ribs and solid zones give" if quantity == PRESSED_BY else ""
    if counted != design:
        left_out = "ribs" if counted.inside.zones == design.inside.zones else "ribs and solid zones"
        told = f"reckoned without the {left_out}, since they give"
    return "; ".join(filter(None, (_which_bay(counted.bays, worst_bays(counted, quantity)), told)))


def _which_bay(bays, worst):
    if len(bays) == 1:
        return f"of the one {bays[0].words()}"
    if len(worst) == len(bays):
        return f"each of {len(bays)} bays alike"
    more = f", and {len(worst) - 1} more alike" if len(worst) > 1 else ""
    return f"of {len(bays)} bays the worst is {worst[0].words()}{more}"


def local_notes(design: Design, bend) -> tuple[str, ...]:
    """Where the proportions of the framed sheet stretch the theory, or its grain is not known, in words."""
    said = tuple(filter(None, [sheet_grain(design).note]))
    if not modulus_known(design):
        return said
    notes = bent_sheet(design, "free", bend).notes()
    return (*(f"Framed sheet: {note}." for note in notes if "left by forming" not in note), *said)


def modulus_known(design: Design) -> bool:
    """Whether one framed sheet of this design can be reckoned: its moduli are known, and such as a sheet can have."""
    return bool(np.isfinite(design.sheet.modulus_at(design.sheet_thickness))) and sheet_grain(design).pressing


def _strip_stiffness(answer, sheet):
    """Even pressure over the largest deflection of a strip far from the frames [Pa/m]; nan where it is not held."""
    try:
        response = answer(sheet.bending_stiffness, even_strip_pressure(1.0))
    except StripNotSolved:
        return float("nan")
    return float(1.0 / abs(response.deflection_max))
