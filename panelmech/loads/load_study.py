"""The study of a part under its loads: diagrams along the span, response, table of checks, governing case and place.

`evaluate_loads` puts together `along` (sections at the stations), `loads` (cases), `loads.beam` (diagrams), `response`
and `loads.checks`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..blade.blade import Blade
from ..mechanics.numerics import taken
from ..mechanics.span_curves import at_station, checked_stations, resample
from ..study.design import Design
from ..study.ranges import TIP
from ..study.verdicts import Check, Judged
from ..units import show
from .beam import Held, Points, SpanDiagrams, diagrams_of
from .cases import LoadCase, load_case
from .checks import load_checks
from .plan import Along, LoadPlan, along
from .response import Response, framed_sheets, respond

LEFT_OUT = (
    "Left out: large deflection of the blade, shear deformation, flutter and fatigue, what skin pressure adds to skin "
    "buckling, wave slap, air drawn down from the surface, weight, and the holding of the root itself.",
)
_INPUTS_HERE = ("least_bay", "sheet_thickness", "spacer_diameter", "land_length", "free_length")
_SHAPE_HERE = ("contact_angle", "contact_arclength", "thickness_ratio")
USUAL_THICKEST = 0.2  # of the chord: ordinary sections have their thickest place at 25 to 40 % of it (from memory)


@dataclass(frozen=True, eq=False)
class LoadStudy(Judged):
    """Everything known of a part under its loads; see `evaluate_loads`. (cases, m) arrays go with
    `diagrams.position`, those of `response` with the part of it on the blade, `position`.

    `on_blade`: slice of the diagrams' places that lie on the blade (all, without a stock); `stock_stress` (cases, k)
    [Pa] or None; `rod_alone`: the same loads on the rod without sheets and potting (`RodAlone`)."""

    blade: Blade
    plan: LoadPlan
    along: Along
    cases: tuple[LoadCase, ...]
    diagrams: SpanDiagrams
    on_blade: slice
    index: np.ndarray
    response: Response
    local: dict
    stock_stress: np.ndarray | None
    rod_alone: RodAlone
    checks: tuple[Check, ...]
    notes: tuple

    @property
    def position(self) -> np.ndarray:
        """Places of the response from the root end [m]."""
        return self.diagrams.position[self.on_blade]

    @property
    def names(self) -> tuple:
        """Names of the cases."""
        return tuple(case.name for case in self.cases)

    @cached_property
    def here(self) -> tuple:
        """(inputs, quantities of the shape) by name at the places of the response, that ranges ask for."""
        s = self.along.sections
        inputs = {name: np.broadcast_to(s.numbers[name], s.shape)[..., self.index] for name in _INPUTS_HERE}
        return inputs, {name: getattr(s, name)[..., self.index] for name in _SHAPE_HERE}

    def sections_at(self) -> tuple:
        """(bend, numbers, whole section) at the places of the response, as `loads.response.respond` takes them."""
        return _sections_at(self.along, self.index)


@dataclass(frozen=True, eq=False)
class RodAlone:
    """Rod against blade under the same loads. `share` of the bending that the rod carries in the blade, least and
    greatest along the span [-]; `stress_in_blade` and `stress_alone`, greatest over cases and places [Pa];
    `tip_ratio`, tip deflection of the rod alone over that of the blade, by case [-] (nan where neither bends)."""

    share: tuple
    stress_in_blade: float
    stress_alone: float
    tip_ratio: np.ndarray


def evaluate_loads(part: Design | Blade, plan: LoadPlan, framed: dict | None = None) -> LoadStudy:
    """Study a part under its loads.

    Parameters
    ----------
    part : Design or Blade
        A design stands for a blade that is the same all along.
    plan : LoadPlan
    framed : dict, optional
        Framed sheets worked out before, by sheet and shape, to which new ones are added: other loads on the same part
        need them again (`loads.response.framed_sheets`).

    Raises
    ------
    InfeasibleBend
        Where the sheets cannot be bent so.
    ValueError
        Cases, bearings or places that make no sense; the text says which.

    >>> from panelmech.job import demo
    >>> from panelmech.loads.cases import PointPush
    >>> study = evaluate_loads(demo().blade, LoadPlan((PointPush("tip aground", 40.0),), local=False))
    >>> study.check("tip_deflection").value_text()
    '13.3 mm'
    """
    blade = part if isinstance(part, Blade) else Blade(part)
    line = along(blade, plan)
    cases = tuple(load_case(statement, line.planform) for statement in plan.cases)
    diagrams = _diagrams(line, cases, plan, line["chord_stiffness"])
    on_blade = places_on_blade(diagrams, plan)
    index = line.at(diagrams.position[on_blade])
    response = _response(line, cases, diagrams, on_blade, index, plan)
    local = framed_sheets(line.sections, framed) if plan.local else {}
    stock = stock_stress(diagrams, on_blade, plan)
    rod = _rod_alone(line, cases, plan, diagrams, response)
    notes = tuple(dict.fromkeys(note for case in cases for note in case.notes))
    notes += _blunt(line, cases) + _large_deflection(blade, cases, diagrams) + LEFT_OUT
    study = LoadStudy(blade, plan, line, cases, diagrams, on_blade, index, response, local, stock, rod, (), notes)
    return replace(study, checks=load_checks(study))


def with_framed_sheets(study: LoadStudy, framed: dict | None = None) -> LoadStudy:
    """A study that was made without the framed sheet, with it: as of `evaluate_loads`, without the rest once more."""
    sheets = framed_sheets(study.along.sections, framed)
    whole = replace(study, plan=replace(study.plan, local=True), local=sheets, checks=())
    return replace(whole, checks=load_checks(whole))


def places_on_blade(diagrams, plan) -> slice:
    """The places of diagrams that lie on the blade; with a stock the root stands twice, and the second is on it."""
    start = int(np.searchsorted(diagrams.position, 0.0, side="left"))
    return slice(start if plan.stock is None else start + 1, None)


def _blunt(line, cases):
    """A note where a side force is that of an ordinary section, and the thickest place, at the rod, is far forward."""
    s = line.sections
    places = (s.leading_edge_x - s.rod_x) / s.chord
    if np.min(places) >= USUAL_THICKEST or not any("lift_coefficient" in case.details for case in cases):
        return ()
    return (
        f"The thickest place, at the rod, is {show(float(np.min(places)), '%', 2)} of the chord behind the leading "
        "edge; of ordinary sections, which lift and stall angle are of, it is 25 to 40 %. How early such a blunt front "
        "stalls is not known here.",
    )


def _large_deflection(blade, cases, diagrams):
    tips = np.abs(diagrams.deflection[:, -1]) / blade.span
    return tuple(
        f"{case.name}: the tip moves by {show(tip, '%', 3)} of the span: small-deflection theory is doubtful."
        for case, tip in zip(cases, tips, strict=True)
        if tip > TIP
    )


def _diagrams(line, cases, plan, chord_stiffness):
    """Diagrams of all cases over stock and blade."""
    force = np.array([case.force_per_length for case in cases])
    torque = np.array([case.torque_per_length for case in cases])
    points = Points.of([case.points for case in cases], len(cases), line.position)
    return diagrams_over(line, force, torque, points, plan, chord_stiffness)


def diagrams_over(
    line: Along, force, torque, points: Points, plan: LoadPlan, chord_stiffness, twisted=True
) -> SpanDiagrams:
    """Diagrams over stock and blade of loads at the stations, of one part or of many (`loads.beam.diagrams_of`)."""
    z, ei, gj = line.position, chord_stiffness, line["torsion_stiffness"]
    centre = line.sections.land_end_x + line.sections.shear_centre_x
    offset = line.axis_x - centre[..., line.index]
    if plan.stock is not None:
        z = np.concatenate([[-plan.stock.length, 0.0], z])
        force, torque, offset = (_with_stock(values, 0.0) for values in (force, torque, offset))
        ei, gj = (_with_stock(values, own) for values, own in zip((ei, gj), plan.stock.stiffness, strict=True))
    torque_at = None if plan.held.torque_at is None else at_station(z, plan.held.torque_at)
    held = Held(tuple(at_station(z, place) for place in plan.held.bearings), torque_at)
    return diagrams_of(checked_stations(z), force, torque, ei, gj, held, points, offset, twisted)


def _with_stock(values, own):
    """Values (..., n) at the stations of the blade, with the stock's own at its two before them."""
    return np.concatenate([np.full((*values.shape[:-1], 2), own), values], axis=-1)


def _response(line, cases, diagrams, on_blade, index, plan):
    pressure = np.array([np.broadcast_to(c.pressure, line.position.shape) for c in cases])
    pressed = resample(line.position, pressure, diagrams.position[on_blade])
    return response_of(line, diagrams, on_blade, index, pressed, plan)


def response_of(line: Along, diagrams: SpanDiagrams, on_blade, index, pressure, plan: LoadPlan) -> Response:
    """Response to diagrams and to the pressure (..., cases, m) at its places, of one part or of many."""
    cut = (values[..., on_blade] for values in (diagrams.shear, diagrams.moment, diagrams.local_torque))
    flow = taken(line.sections.solved.flow, (..., index))
    return respond(*_sections_at(line, index), *cut, pressure, plan.front, flow)


def _sections_at(line, index):
    """Bend, numbers and whole section at the places of the response."""
    s = line.sections
    numbers = {name: value[..., index] if np.ndim(value) else value for name, value in s.numbers.items()}
    return taken(s.bend, (..., index)), numbers, taken(s.composite, (..., index))


def stock_stress(diagrams: SpanDiagrams, on_blade, plan: LoadPlan):
    """Of the stock (..., cases, k) [Pa]; None where there is none."""
    if plan.stock is None:
        return None
    above = slice(0, on_blade.start)
    return plan.stock.stress(diagrams.moment[..., above], diagrams.torque[..., above])


def _rod_alone(line, cases, plan, diagrams, response):
    share = np.asarray(line.sections.shares["spacer"])
    alone = _diagrams(line, cases, plan, line["chord_stiffness"] * share[line.index])
    tips = [values.deflection[:, -1] for values in (alone, diagrams)]
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(tips[1] != 0.0, tips[0] / tips[1], np.nan)
    stress = response.spacer_stress
    here = share[line.at(diagrams.position[-stress.shape[1] :])]
    return RodAlone(
        (float(np.min(share)), float(np.max(share))), float(np.max(stress)), float(np.max(stress / here)), ratio
    )
