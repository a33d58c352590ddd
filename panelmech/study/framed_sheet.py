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

from dataclasses import dataclass, field
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
    stiffness_ratios,
)
from ..mechanics.strip import StripNotSolved, Support, even_strip_pressure, flat_strip_response, strip_response
from ..units import capital, lengths, show
from .bays import bay_design, bay_designs, bay_gives, pressed_as, without_ribs
from .design import Design
from .inside import Stretch

# ----- The grain: a sheet's stiffness one way and the other
#
# The framed sheet (`shell`) takes moduli along chord and span and in shear. Where the sheet's own are known they are
# counted; where they are not, one modulus is taken for both ways, and a note says so.


NEARLY_EVEN = 0.01  # moduli closer than this to an even sheet's are not worth words


@dataclass(frozen=True)
class SheetGrain:
    """The grain of a design's sheet at its thickness.

    moduli: the keywords of `FramedSheet`, empty for a sheet taken as even. pressing, buckling: whether there is a
    deflection, a critical stress; missing: the quantity of the sheet for want of which there is none. counted: words
    for the source of a check; remark: doubt to stand with the skin buckling; note: the same at length, for the study.
    "" where there is nothing to say.
    """

    moduli: dict = field(default_factory=dict)
    pressing: bool = True
    buckling: bool = True
    missing: str = ""
    counted: str = ""
    remark: str = ""
    note: str = ""


def sheet_grain(design: Design) -> SheetGrain:
    """`SheetGrain` of a design.

    All moduli known: counted. Span modulus not known: taken as even, said in a note. Shear modulus (or the span's in
    bending, where it has one of its own) alone not known: as even if the others agree within 1 %, else no critical
    stress, and the deflection is that of an even sheet. Moduli no elastic sheet can have: neither. A modulus along the
    chord that is not known is no matter of the grain: even.
    """
    return _grain(design.sheet, design.sheet_thickness, lengths())


@lru_cache(maxsize=64)
def _grain(sheet, t, told_in):
    """Kept apart for each choice of lengths (`told_in`): its notes may tell one."""
    chord, span, shear = (float(f(t)) for f in (sheet.modulus_at, sheet.span_modulus_at, sheet.shear_modulus_at))
    if not np.isfinite(chord):
        return SheetGrain()
    if not np.isfinite(span):
        return SheetGrain(note=_as_even(sheet.why_unknown("span_modulus", t)))
    bending = float(sheet.span_bending_at(t))
    if not np.isfinite(bending):
        return _without(sheet, t, "span_bending_modulus", False)
    if not np.isfinite(shear):
        even = max(abs(value / chord - 1.0) for value in (span, bending)) < NEARLY_EVEN
        return _without(sheet, t, "shear_modulus", even)
    moduli = {"span_modulus": bending, "shear_modulus": shear}
    try:
        if bending != span:
            moduli["stretch_moduli"] = (_chord_in_tension(chord, bending, span), span)
        ratios = stiffness_ratios(chord, sheet.poisson, **moduli)
    except ValueError as error:
        note = f"Framed sheet: not reckoned, for the sheet's moduli cannot be. {capital(str(error))}."
        return SheetGrain(pressing=False, buckling=False, remark="the sheet's moduli cannot be", note=note)
    return SheetGrain(moduli, counted="" if _nearly_even(ratios) else _words(bending, span))


def _chord_in_tension(chord, bending, span):
    """Modulus in tension along the chord [Pa], from both in bending and that in tension along the span.

    In a lay-up of equal plies, each along or across, the two ways add up to the same in bending as in tension (derived
    here: E0 + E90 of the ply, whatever its place).
    """
    left = chord + bending - span
    if not left > 0.0:
        both, tension = (show(value, "GPa", 3) for value in (chord + bending, span))
        raise ValueError(
            f"in bending it has {both} along chord and span together, no more than the {tension} along "
            "the span in tension; in a sheet of layers both ways add up to the same in either"
        )
    return left


def _nearly_even(ratios):
    even = stiffness_ratios(1.0, np.sqrt(1.0 - ratios.complement))
    twist = (ratios.d12 + 2.0 * ratios.d66) / (even.d12 + 2.0 * even.d66)
    return all(abs(value - 1.0) < NEARLY_EVEN for value in (ratios.d22, ratios.a11, ratios.a22, twist))


def _words(bending, span):
    """The span's modulus in tension and the shear modulus stand with the materials; that in bending does not."""
    return "grain counted" + (f", {show(bending, 'GPa', 3)} along the span in bending" if bending != span else "")


def _without(sheet, thickness, quantity, even):
    why = sheet.why_unknown(quantity, thickness)
    if even:
        return SheetGrain(note=_as_even(why))
    name = quantity.replace("_", " ")
    return SheetGrain(
        buckling=False,
        missing=quantity,
        remark=f"the sheet has a grain and its {name} is not known",
        note=_as_even(why, "the pressing in is reckoned"),
    )


def _as_even(why, what="reckoned"):
    return f"Framed sheet: {what} as if its modulus were the same both ways. {capital(why)}."


# ----- The framed sheet of a design


IN_PLANE = {"free": "diaphragm", "held": "held"}
PRESSED, BUCKLES = "press_deflection", "buckling_stress"  # quantities of `MEASURES`
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


def local_quantities(design: Design, bend=None, wanted=("press_deflection", "buckling_stress"), both=True) -> dict:
    """What the local checks need: deflection under the design's pressure and critical stress, for both in-plane edges
    and the worse of them; without `both` for those edges alone that may be the worse (`WORSE`).

    `wanted` names which of the two; each costs two plate problems, which are kept for designs that have the same sheet
    and shape. nan where the sheet's modulus is not known at this thickness, and for the stress of a sheet with a grain
    whose shear modulus is not known.
    """
    known, buckles = modulus_known(design), sheet_grain(design).buckling
    measures = {"press_deflection": (design.pressure, max, known), "buckling_stress": (1.0, min, known and buckles)}
    sure = tuple(name for name in wanted if measures[name][2])
    kept = measured(design, sure, bend, both)
    out = {}
    for name in (name for name in measures if name in wanted):
        (scale, worse, _), choices = measures[name], IN_PLANE if both else WORSE[name]
        values = [scale * kept[name, choice] if name in sure else float("nan") for choice in choices]
        out.update(zip((f"{name}_{choice}" for choice in choices), values, strict=True))
        out[name] = worse(values)
    return out


SHAPED_BY = ("sheet", "sheet_thickness", "free_length", "bond_line", "spacer_diameter", "setback")
SHAPED_BY += ("span", "frame_width")
MEASURES = {"press_deflection": pressing, "buckling_stress": buckling_stress}  # per pressure; as it is
# edges that may give the worse: to hold them takes functions away from the same energy, and so no stress that is less
# (Rayleigh); where a sheet that is pressed gives most, neither bounds
WORSE = {"press_deflection": tuple(IN_PLANE), "buckling_stress": ("free",)}


def shape_of(design: Design) -> tuple:
    """All that the framed sheet of a design hangs on, but for the load on it."""
    return *(getattr(design, name) for name in SHAPED_BY), design.inside


def measured(design: Design, wanted, bend=None, both=True) -> dict:
    """{(name of `MEASURES`, key of `IN_PLANE`): value} of a design's sheet, at least those wanted: deflection per
    pressure [m/Pa], critical stress [Pa]; without `both` of the edges of `WORSE` alone. Kept for designs of the same
    sheet and shape. Of several bays the worst of each. Raises InfeasibleBend."""
    kept = _kept(shape_of(design))
    if design.inside:
        kept.update(_of_bays(design, wanted, bend, both))
        return kept
    for choice in IN_PLANE:
        names = [name for name in wanted if (both or choice in WORSE[name]) and (name, choice) not in kept]
        if names:
            _, sheet = bent_and_framed(design, choice, bend)
            kept.update({(name, choice): MEASURES[name](sheet) for name in names})
    return kept


def _of_bays(design, wanted, bend, both):
    """The same of a design with ribs or zones: the worst bay's."""
    found = {}
    if "press_deflection" in wanted:
        of = [_pressed_bays(one, bend) for one in pressed_as(design)]
        found = {
            ("press_deflection", choice): min(max(bay[choice] for bay in bays) for bays in of) for choice in IN_PLANE
        }
    if "buckling_stress" in wanted:
        bays = [measured(bay, ("buckling_stress",), bend, both) for bay in bay_designs(without_ribs(design))]
        keys = [("buckling_stress", choice) for choice in (IN_PLANE if both else WORSE["buckling_stress"])]
        found |= {key: min(one[key] for one in bays) for key in keys}
    return found


def _pressed_bays(design, bend):
    """Of each bay {key of `IN_PLANE`: deflection per pressure [m/Pa]}, with what its ends give."""
    bend = bend or design.bend()
    alone = [measured(bay_design(design, bay), ("press_deflection",), bend) for bay in design.bays]
    gives = bay_gives(design, bend)
    return [
        {choice: one["press_deflection", choice] + give for choice in IN_PLANE}
        for one, give in zip(alone, gives, strict=True)
    ]


def bent_and_framed(design: Design, in_plane: str = "free", bend=None) -> tuple:
    """(bend, `bent_sheet`) of a design, of several bays the widest one's. Kept for the last few shapes: what is asked
    of the same sheet next finds bend and curvature made."""
    kept = _last(shape_of(design))
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
    """A place for what was worked out of a shape before: other rods, walls, adhesives and loads leave it as it is."""
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
    return min(pressed_as(design), key=lambda one: max(max(bay.values()) for bay in _pressed_bays(one, None)))


def worst_bays(design: Design, quantity: str) -> tuple[Stretch, ...]:
    """The bays that have the worst of a quantity of `MEASURES`, of the design as of `counted_as`; all of them where it
    is not known."""
    known = modulus_known(design) and (quantity != "buckling_stress" or sheet_grain(design).buckling)
    if not known or len(design.bays) == 1:
        return design.bays
    if quantity == PRESSED:
        values = [max(one.values()) for one in _pressed_bays(design, None)]
        worst = max(values)
    else:
        values = [min(_buckling(bay_design(design, bay))) for bay in design.bays]
        worst = min(values)
    return tuple(bay for bay, value in zip(design.bays, values, strict=True) if abs(value / worst - 1.0) < SAME)


def _buckling(bay):
    found = measured(bay, ("buckling_stress",), both=False)
    return [found["buckling_stress", choice] for choice in WORSE["buckling_stress"]]


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
    told = "with what ribs and solid zones give" if quantity == PRESSED else ""
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
