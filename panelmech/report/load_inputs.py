"""What a load record is reckoned from, so that who checks it can do it again from the paper alone: each case as stated
and what follows from it, the axis of torques and what holds the part, mass and float.

No formula here; every number is read from the records.
"""

from __future__ import annotations

from functools import singledispatch

import numpy as np
import scipy

from ..blade.buoyancy import hydrostatics
from ..loads.cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from ..loads.hydrodynamics import LIFT_MODELS, SPREADS, STALL_SOURCE
from ..loads.record import LoadRecord
from ..materials.water import COLDEST, OCEAN_SALINITY, WARMEST, water_density
from ..units import show, show_input
from .blade_rows import float_rows
from .blocks import Bullets, Column, Heading, Paragraph, Table
from .load_rows import pressure_words

_COLUMNS = (Column("Load case", 0.17, "name"), Column("As stated", 0.45, "small"), Column("From it", 0.38, "small"))
_FRESH_FROM = 4.0  # °C; below, fresh water gets lighter again
_STATES = ("dry", "flooded")
CASE_FACTS = "What each case is reckoned from"


def water_words(density: float) -> str:
    """What water has this density [kg/m3], at what temperature; "" for none that the equation of state knows."""
    for salinity, name in ((0.0, "fresh water"), (OCEAN_SALINITY, "sea water of 35 g salt in 1 kg")):
        coldest = _FRESH_FROM if salinity == 0.0 else COLDEST
        off = [water_density(t, salinity) - density for t in (coldest, WARMEST)]
        if off[0] >= 0.0 >= off[1]:
            at = scipy.optimize.brentq(lambda t, s=salinity: water_density(t, s) - density, coldest, WARMEST)
            return f"that of {name} at {show(at + 273.15, 'degC', 2)}"
    return "neither fresh water nor that of the open sea"


@singledispatch
def _stated(statement, case) -> tuple:
    """(as stated, from it), in words each."""
    raise NotImplementedError(type(statement).__name__)


@_stated.register
def _(given: SideForce, case):
    d, wanted = case.details, given.angle is not None
    angle = f"angle to the flow {show_input(given.angle, 'deg')}" if wanted else "no angle"
    tip = "that of a square tip" if given.tip is None else show_input(given.tip)
    slope = f"lift slope by {LIFT_MODELS[given.model][1]}; cross-flow coefficient {tip}"
    stated = (
        f"speed {show_input(given.speed, 'm/s')}",
        f"water {show_input(given.density, 'kg/m3')}, {water_words(given.density)}",
        angle if wanted else f"lift coefficient {show_input(given.coefficient)}",
        *((slope,) if wanted else ()),
        f"end plate factor {show_input(given.end_plate)}",
        f"wet from {show_input(given.immersed_from, 'mm')} from the root end to the tip",
        f"acts at {show_input(given.centre, '%')} of the chord from the leading edge",
        f"spread {given.spread}: {SPREADS[given.spread]}; {_ellipse(given)}",
        f"one face bears {show_input(given.skin_share, '%')} of it as pressure",
    )
    found = (
        f"area in the water, one side, {show(d['area'], 'cm2', 4)} over {show(d['wet_span'], 'mm', 4)} of span",
        f"effective aspect ratio {show(d['aspect_ratio'], '', 4)}, the end plate counted",
        f"stagnation pressure {show(d['stagnation_pressure'], 'Pa', 4)}",
        *(_lift_words(d) if wanted else ("whether it stalls cannot be told: no angle is stated",)),
    )
    return stated, found


def _ellipse(given):
    return "full at the root" if given.full_at_root else "falling to nothing at both ends of the wet part"


def _lift_words(d):
    return (
        f"lift slope {show(d['lift_slope'], '', 4)} per radian, cross-flow coefficient {show(d['crossflow'], '', 3)}, "
        f"lift coefficient {show(d['lift_coefficient'], '', 4)}",
        f"stalls at {show(d['stall_angle'], 'deg', 3)}: {STALL_SOURCE}",
    )


@_stated.register
def _(given: PointPush, case):
    across = "on the axis" if given.chord_place is None else f"at {show_input(given.chord_place, '%')} of the chord"
    place = f"at {show_input(given.place, '%')} of the span from the root end, {across}"
    return (f"{show_input(given.force, 'N')} across the chord", place), (_points(case),)


def _points(case):
    (load,) = case.points
    return f"acts at {show(load.position, 'mm', 4)} from the root end, torque about the axis {show(load.torque, 'N m')}"


@_stated.register
def _(given: SealedAir, case):
    warm = f"closed at {show_input(given.sealed_at, 'degC')}, brought to {show_input(given.heated_to, 'degC')}"
    return (warm, f"{show_input(given.outside, 'kPa')} outside"), (_pressure(case),)


@_stated.register
def _(given: WaterHead, case):
    stated = (
        f"{show_input(given.depth, 'mm')} of water {'inside' if given.inside else 'outside'}",
        f"{show_input(given.density, 'kg/m3')}, {water_words(given.density)}",
    )
    return stated, (_pressure(case),)


def _pressure(case):
    return f"{pressure_words(case.details['pressure'], 'kPa', 4)} on the skin"


@_stated.register
def _(given: Severe, case):
    return (f"{given.statement.name} times {show_input(given.factor)}", given.basis), ("all of it that many times",)


def _case_row(statement, case):
    stated, found = _stated(statement, case)
    force = (f"side force {show(case.side_force, 'N', 4)}",) if case.side_force else ()
    stays = ("stays for so long that the limits for good count",) if case.lasting else ()
    return case.name, "; ".join((*stated, *stays)), "; ".join((*found, *force))


def case_facts(record: LoadRecord):
    """The blocks: each case as stated and what follows from it, how the part is held, its mass and float."""
    study = record.study
    yield Heading(CASE_FACTS)
    rows = tuple(_case_row(*pair) for pair in zip(study.plan.cases, study.cases, strict=True))
    yield Table(CASE_FACTS, _COLUMNS, rows)
    yield Paragraph(" ".join((axis_words(study), *stock_words(study))))
    yield Bullets((("Mass and float.", float_words(record)),))


def axis_words(study) -> str:
    """About which axis torques are, where the greatest acts, and what holds it, in two sentences."""
    d, plan, planform = study.diagrams, study.plan, study.along.planform
    whose = "the rod's at the root end" if plan.axis_x is None else "as stated"
    ahead = float(planform.leading_edge_x[0]) - planform.axis_x
    case, place = np.unravel_index(np.argmax(np.abs(d.torque)), d.torque.shape)
    at = "the root end" if plan.held.torque_at is None else f"{show(plan.held.torque_at, 'mm', 4)} from the root end"
    words = f"Torques are about a straight axis, {whose}, {show(ahead, 'mm', 4)} behind the leading edge there"
    if not np.any(d.torque):
        return f"{words}; no case turns the part."
    return (
        f"{words}; the greatest, {show(abs(d.torque[case, place]), 'N m', 3)}, acts in {study.names[case]} at "
        f"{show(d.position[place], 'mm', 4)} from the root end. The torque is held at {at}, which takes up to "
        f"{show(float(np.max(np.abs(d.held_torque))), 'N m', 3)}."
    )


def stock_words(study) -> tuple:
    """The stock above the root, as stated, in a sentence; none where there is none."""
    stock = study.plan.stock
    if stock is None:
        return ()
    kind = "solid" if stock.wall == 0.0 else f"wall {show_input(stock.wall, 'mm')}"
    strength = "no strength given" if stock.strength is None else f"strength {show_input(stock.strength, 'MPa')}"
    return (
        f"Stock above the root: {show_input(stock.length, 'mm')} long, {show_input(stock.diameter, 'mm')}, {kind}, "
        f"modulus {show_input(stock.modulus, 'GPa')}, Poisson's ratio {show_input(stock.poisson)}, {strength}; "
        f"{stock.source}.",
    )


def floating(record: LoadRecord):
    """Mass and float of the part in the water of its loads, as wet as the first side force says; (`Hydrostatics`,
    water line [m])."""
    cases = [c.statement if isinstance(c, Severe) else c for c in record.sheet.plan.cases]
    force = next((c for c in cases if isinstance(c, SideForce)), None)
    density, line = (force.density, force.immersed_from) if force else (water_density(), 0.0)
    return hydrostatics(record.blade, density, line), line


def float_words(record: LoadRecord) -> str:
    """Mass of the part, and what holds it down dry and flooded, in a sentence."""
    hydro, line = floating(record)
    rows = dict(float_rows(hydro))
    ways = [f"{name.replace(':', ' it')} {value}" for name, value in rows.items() if name.split(":")[0] in _STATES]
    return (
        f"The part as bonded and potted, without fittings and fairing, has {rows['mass, dry']}. In water of "
        f"{show_input(hydro.water_density, 'kg/m3')}, {water_words(hydro.water_density)}, wet from "
        f"{show_input(line, 'mm')} from the root end: {'; '.join(ways)}."
    )
