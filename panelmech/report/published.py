"""Published answers beside ours: what stands in a book, what the package gives for the same case, and why they differ.
Where both numbers are the package's own by two roads, the row says so: an own cross-check proves no more than that.

For the notebooks, whose readers should not have to believe: of the part at hand. Many more stand in `published`, where
printed values are taken from. A gap has a reason or is
rounding.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..blade.blade import Blade
from ..loads.beam import Held
from ..loads.cases import PointPush, sealed_pressure
from ..loads.hydrodynamics import lift_slope, stall_angle
from ..loads.load_study import evaluate_loads
from ..loads.plan import LoadPlan
from ..materials.stock import catalogue
from ..materials.water import OCEAN_SALINITY, water_density
from ..measured.modulus_tests import cantilever_droop, three_point
from ..measured.readings import Reading
from ..mechanics import elastica
from ..mechanics.bend import solve_bend
from ..mechanics.section import bent_pair, wedge_pair
from ..mechanics.unequal import solve_unequal
from ..mechanics.wedge import solve_wedge
from ..published.curve import GAUSS, LEMNISCATE_A, MATTIASSON
from ..published.heat import kept_heat
from ..published.water import NEWER, REMUS, STALL
from ..shop.cure import system_kinetics
from ..shop.outlines import fillet_area, triangle_rules
from ..shop.pack import mass_rows, shop_pack
from ..shop.resin import shift_time
from ..study.design import Design
from ..study.study import Study, evaluate
from ..study.tolerances import Tolerance, elasticities, scatter
from ..units import format_number, in_shown, unit_words
from .blocks import text_lines

NONE = "none expected"
_SLENDER = dict(free_length=1.0, sheet_thickness=1e-5, spacer_diameter=0.01)


@dataclass(frozen=True)
class Answer:
    """One published answer beside ours.

    case : what is compared, with the unit of both numbers where they have one
    published, ours : the two numbers [of that unit, else -]
    reason : for the gap
    source : of the published number
    own : whether that number too is worked out here, by a second road
    """

    case: str
    published: float
    ours: float
    reason: str
    source: str
    own: bool = False

    @property
    def gap(self) -> float:
        """Ours over published, less one [-]."""
        return self.ours / self.published - 1.0

    def gap_text(self) -> str:
        """The gap in per cent, or "none" where it is rounding."""
        return "none" if abs(self.gap) < 1e-9 else f"{format_number(100 * self.gap, 2)} %"


def bend_answers(study: Study) -> tuple[Answer, ...]:
    """The curve itself against its constants, and the study's forces against the beam table.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> answer = bend_answers(evaluate(demo().design, local=False))[0]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    'Sheet held in an arch with its ends square: rise over chord: 0.8346, ours 0.8346'
    """
    along, across, arc = (f(np.pi / 2) for f in (elastica.along, elastica.across, elastica.arclength))
    bend, q = study.bend, study.quantities
    rise, length = bend.contact_y - 0.5 * (bend.sheet_thickness + bend.bond_line), bend.contact_arclength
    linear = 3.0 * q["bending_stiffness"] * rise / length**3
    gauss = "Gauss's constant, as quoted in tables of constants"
    todd = "Todd J. (1975) Communications of the ACM 18:14, first lemniscate constant"
    table = "any beam table, cantilever with end load, from memory: W = 3 EI y / l³ and M = W l"
    small = "the table is for small deflections and takes the load square to the undeflected sheet"
    # fmt: off
    return (
        Answer("Sheet held in an arch with its ends square: rise over chord", GAUSS, along / (2 * across), NONE, gauss),
        Answer("Half of that arch: length over rise", LEMNISCATE_A, arc / along, NONE, todd),
        Answer("Contact force of this study, N per metre", linear, q["contact_force"], small, table),
        Answer("Moment at the land of this study, N·m per metre", linear * length, q["land_moment"], small, table),
    )
    # fmt: on


def section_answers(study: Study) -> tuple[Answer, ...]:
    """Bent over flat: the thin, hardly opened limit against integrals of the cantilever's curve, then the study.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> answer = section_answers(evaluate(demo().design, local=False))[0]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    'Second moment about the chord line, thin limit: 0.7071, ours 0.7073'
    """
    bend, wedge = _slender_pair()
    bent, flat, q = bent_pair(bend), wedge_pair(wedge), study.quantities
    limit = "the limit is for a vanishing spacer; ours has one of a hundredth of the free length"
    own = "the limit leaves out the thickness at the land and the straight sheet in front of the rod"
    source = (
        "integrals of the cantilever's curve (3 u² − u³)/2 over those of its straight chord; 33/140 as in Rayleigh's "
        "effective mass"
    )
    moment = (33 / 140) / (1 / 3)
    # fmt: off
    return (
        Answer("Second moment about the chord line, thin limit", moment, bent.i_chord / flat.i_chord, limit, source),
        Answer("Enclosed area, thin limit", 3 / 4, bent.enclosed_area / flat.enclosed_area, limit, source),
        Answer("Torsion constant, thin limit", 9 / 16, bent.torsion_constant / flat.torsion_constant, limit, source),
        Answer("Second moment about the chord line, this study", moment, q["i_chord_ratio"], own, source),
        Answer("Torsion constant, this study", 9 / 16, q["torsion_ratio"], own, source),
    )
    # fmt: on


def _slender_pair():
    """A very thin, hardly opened pair whose sheets end at the contact."""
    radius = 0.5 * _SLENDER["spacer_diameter"]
    setback = -radius * (1.0 - 1e-6)
    return solve_bend(**_SLENDER, setback=setback), solve_wedge(**_SLENDER, setback=setback)


def note_answers(study: Study) -> tuple[Answer, ...]:
    """Opening energy of the land by the beam formula against the push-out force on the rod: always equal.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> answer = note_answers(evaluate(demo().design, local=False))[0]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    'Opening energy of the land, J/m², and push-out force, N/m: 4.4155, ours 4.4155'
    """
    q, source = study.quantities, "double cantilever beam, each arm M²/(2 EI): simple beam theory as in ASTM D5528"
    energy = q["land_moment"] ** 2 / q["bending_stiffness"]
    case = "Opening energy of the land, J/m², and push-out force, N/m"
    return (Answer(case, energy, q["push_out_force"], NONE, source, own=True),)


def trade_answers(design: Design, count: int = 100_000) -> tuple[Answer, ...]:
    """Exact powers of the plate and beam formulas against elasticities, and scatter against error propagation.

    >>> from panelmech.job import demo
    >>> answer = trade_answers(demo().design, count=1000)[0]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    "Sheet's bending stiffness: power of its thickness: 3.0000, ours 3.0000"
    """
    slender = design.replace(
        free_length=1.0, sheet_thickness=1e-4, spacer_diameter=4e-3, spacer_wall=0.0, setback=-2e-3, bond_line=0.0
    )
    powers, thin = (elasticities(d, ("sheet_thickness", "modulus", "free_length")) for d in (design, slender))
    opening = elasticities(slender, ("spacer_diameter",))
    band = 0.001 * design.sheet_thickness
    parts = scatter(design, (Tolerance("sheet_thickness", band),), count, rules=())
    deviation, stiffness = np.std(parts.samples["sheet_thickness"]), parts.outputs["bending_stiffness"]
    plate = "plate stiffness E t³/(12 (1 − ν²)), any plate text, from memory"
    beam = "cantilever with end deflection y: strain 3 t y/(2 l²), from any beam table, from memory"
    band_source = "JCGM 100:2008, Guide to the expression of uncertainty in measurement, 4.3.7 and 5.1.2"
    chance = f"sampling: {count} parts leave about {format_number(100 / np.sqrt(2 * count), 1)} % open"
    limit = "the table is for a vanishing opening; ours is small"
    behind = "a larger rod, its front held in place, has its centre further back"
    stiff = powers["bending_stiffness"]
    return (
        Answer("Sheet's bending stiffness: power of its thickness", 3, stiff["sheet_thickness"], NONE, plate),
        Answer("Sheet's bending stiffness: power of its modulus", 1, stiff["modulus"], NONE, plate),
        Answer("Strain, slender pair: power of the spacer", 1, opening["land_strain"]["spacer_diameter"], behind, beam),
        Answer("Strain, slender pair: power of the free length", -2, thin["land_strain"]["free_length"], limit, beam),
        Answer("Standard deviation over half a band", 1 / np.sqrt(3), deviation / band, chance, band_source),
        Answer(
            "Relative scatter of D over that of t, narrow band",
            3,
            np.std(stiffness) / np.mean(stiffness) / (deviation / design.sheet_thickness),
            "over the width of the band the cube is not quite a straight line",
            band_source,
        ),
    )


def pair_answers(design: Design) -> tuple[Answer, ...]:
    """Bench tests against beam tables and the published dead-load cantilever, an unmatched pair against first order.

    >>> from panelmech.job import demo
    >>> answer = pair_answers(demo().design)[0]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    'Strip on two supports, hardly bent: E over F L³/(4 b h³ d): 1.0000, ours 1.0004'
    """
    t, length = design.sheet_thickness, 100.0 * design.sheet_thickness
    given = dict(force=1.0, deflection=1e-2 * length, span=length, width=12.0 * t, thickness=t)
    strip = three_point(*(Reading(name, (value,)) for name, value in given.items()))
    opening = 0.5 * (design.spacer_diameter - design.bond_line)
    thick = (design.free_length, t, t, 1.1**3, 1.0, design.spacer_diameter, design.bond_line, design.setback)
    offsets = solve_unequal(1.0, 1e-5, 1e-5, 1.02, 1.0, 0.01).rod_offset, solve_unequal(*thick).rod_offset
    beam = "any beam table, from memory"
    first = "the rod moves by (R - g/2)(D2 - D1)/(D1 + D2) to first order, derived here"
    table = "Mattiasson K. (1981) Int. J. Numer. Meth. Eng. 17:145-153, Table 1, read as quoted elsewhere"
    small, bent = "the first order is for a vanishing opening and difference", "the strip is bent a little"
    end_load = "Strip with an end load P L²/D = {}: drop, five decimals"
    drops = [cantilever_droop(*loads)[0] for loads in ((0.1, 0.0), (0.0, 1.0), (0.0, 10.0))]
    printed = {load: drop for load, drop, *_ in MATTIASSON}
    e_ratio, over_edge = strip.value / strip.details["linear"], drops[0] / 0.1
    # fmt: off
    return (
        Answer("Strip on two supports, hardly bent: E over F L³/(4 b h³ d)", 1.0, e_ratio, bent, f"{beam}; ISO 178"),
        Answer("Heavy strip over an edge, hardly bent: drop D/(w L⁴)", 1 / 8, over_edge, bent, beam),
        Answer(end_load.format(1), printed[1], round(drops[1], 5), NONE, table),
        Answer(end_load.format(10), printed[10], round(drops[2], 5), NONE, table),
        Answer("Slender pair, D 2 % apart: rod's offset over the opening",
               -0.02 / 2.02, offsets[0] / 0.005, small, first, own=True),
        Answer(f"This design, one sheet 10 % thicker: rod's offset, {unit_words('mm')}",
               in_shown(-opening * 0.331 / 2.331, "mm"), in_shown(offsets[1], "mm"), small, first, own=True),
    )
    # fmt: on


def shop_answers(design: Design) -> tuple[Answer, ...]:
    """Numbers of a shop pack against geometry, a maker's two ratios, heat kept in, and the section's own mass.

    >>> from panelmech.job import demo
    >>> answer = shop_answers(demo().design)[1]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    'Hollow fillet of radius 1 in a right angle, area: 0.2146, ours 0.2146'
    """
    pack = shop_pack(design)
    triangle = triangle_rules(solve_bend(**_SLENDER))[1].ratio
    system = catalogue.resin_systems["epoxy 2:1 by volume, 100:47 by weight"]
    by_weight = system.volume_ratio * system.resin_density / system.hardener_density
    kinetics = system_kinetics(pack.choices.pour)
    shut = kept_heat(kinetics, 0.01, 295.15)
    rises = round(kinetics.adiabatic_rise, 1), round(float(shut.peak[0]) - 295.15, 1)
    of, resin = dict(mass_rows(pack)), design.resin.density / pack.choices.pour.density()[0]
    built = of["two sheets"] + of["spacer"] + of["potted nose"] * resin
    section = evaluate(design, local=False).quantities["mass_per_length"] * design.span
    table = "cantilever with end load, from any beam table: area 3/8 of depth times mouth"
    quick, halves = shift_time(1.0, 295.15, 305.15).quick, "a maker's guide: halves for every 10 °C"
    mass = "mass per metre of the whole section times the span, an own second road"
    # fmt: off
    return (
        Answer("Triangle rule to the contact over the truth, slender pair",
               4 / 3, triangle, "4/3 is for a vanishing opening", table),
        Answer("Hollow fillet of radius 1 in a right angle, area",
               1 - np.pi / 4, fillet_area(1.0), NONE, "square less quarter circle"),
        Answer("100 : 47 by weight from 2 : 1 by volume and densities",
               100 / 47, by_weight, "densities are whole numbers", "a maker's mixing guide", own=True),
        Answer("Lift from which no heat escapes: rise to a tenth, K",
               *rises, NONE, "heat over heat capacity", own=True),
        Answer("Pot life ten degrees warmer, quick rule", 0.5, quick, NONE, halves, own=True),
        Answer("Cut list and potted nose against the section, kg", section, built, NONE, mass, own=True),
    )
    # fmt: on


def load_answers(blade: Blade) -> tuple[Answer, ...]:
    """Beam tables on this blade's design, the same all along; constants of water and air; a published lift slope.

    >>> from panelmech.job import demo
    >>> answer = load_answers(demo().blade)[0]
    >>> f"{answer.case}: {answer.published:.4f}, ours {answer.ours:.4f}"
    'This design clamped, 10 N at the tip: deflection, mm: 3.1964, ours 3.1964'
    """
    even, span, push = Blade(blade.design), blade.design.span, 10.0
    inner, outer = 0.05 * span, 0.3 * span
    apart, over = outer - inner, span - outer
    clamped, held = _pushed(even, push), _pushed(even, push, bearings=(inner, outer))
    stiffness = float(clamped.along.sections.chord_stiffness[0])
    tips = push * span**3 / (3.0 * stiffness), push * over**2 * (apart + over) / (3.0 * stiffness)
    deflections = [(in_shown(a, "mm"), in_shown(_tip(b), "mm")) for a, b in zip(tips, (clamped, held), strict=True)]
    bearing = push * over / apart, float(abs(held.diagrams.bearing_forces[0, 0]))
    slope, stall = round(lift_slope(REMUS[0], "lifting line"), 2), round(float(np.degrees(stall_angle(2.0))), 4)
    fresh, sea = (round(water_density(15.0, salinity), 1) for salinity in (0.0, OCEAN_SALINITY))
    air = 101.325 * (333.15 / 293.15 - 1.0), 1e-3 * sealed_pressure(293.15, 333.15)
    beam = "any table of straight beams, from memory: F L³/(3 EI); F a² (l + a)/(3 EI), reaction F a/l"
    thesis = "Prestero T. (2001), MIT thesis, Table 2.2, section slope 0.9 of 2π"
    lloyd, teos = "Lloyd (1989), as quoted by Kjellberg et al. (2023)", "TEOS-10, computed with its authors' library"
    # fmt: off
    return (
        Answer(f"This design clamped, 10 N at the tip: deflection, {unit_words('mm')}", *deflections[0], NONE, beam),
        Answer(f"The same on two bearings: deflection, {unit_words('mm')}", *deflections[1], NONE, beam),
        Answer("The same: force of the first bearing, N", *bearing, NONE, beam),
        Answer("Lift slope at an aspect ratio of 2.21, two decimals", REMUS[1], slope, NONE, thesis),
        Answer("Stall angle at an aspect ratio of 2, degrees", dict(STALL)[2.0], stall, NONE, lloyd),
        Answer("Density of fresh water at 15 °C, kg/m³, one decimal", round(NEWER[0][2], 1), fresh, NONE, teos),
        Answer("Density of sea water at 15 °C, kg/m³, one decimal", round(NEWER[2][2], 1), sea, NONE, teos),
        Answer("Air shut in at 20 °C and heated to 60 °C: pressure, kPa",
               *air, NONE, "ideal gas, p₀ (T₂/T₁ − 1)", own=True),
    )
    # fmt: on


def _pushed(blade, push, bearings=()):
    return evaluate_loads(blade, LoadPlan((PointPush("push", push),), Held(bearings), local=False))


def _tip(study):
    return float(study.diagrams.deflection[0, -1])


def published_text(answers) -> str:
    """Answers as tables of plain text, what is published apart from own cross-checks; the reasons and sources stand
    below, each once.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> print(published_text(bend_answers(evaluate(demo().design, local=False))[:1]))
                                                                   published        ours       gap
    Sheet held in an arch with its ends square: rise over chord       0.8346      0.8346      none
    Source: Gauss's constant, as quoted in tables of constants.
    """
    told = [(head, [a for a in answers if a.own == own]) for head, own in (("published", False), ("other road", True))]
    lines = []
    for head, some in told:
        rows = ((a.case, format_number(a.published), format_number(a.ours), a.gap_text()) for a in some)
        first = "Own cross-checks" if head == "other road" else ""
        lines += text_lines(((first, head, "ours", "gap"), *rows), (60, 12, 12, 10)) if some else []
    reasons = dict.fromkeys(f"Gap: {a.reason}." for a in answers if a.gap_text() != "none")
    sources = dict.fromkeys(f"Source: {a.source}." for a in answers)
    return "\n".join([*lines, "", *reasons, *sources])
