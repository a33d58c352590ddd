"""What the builder states about the loads of a part: cases, how it is held, factors, strengths of his own."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from ..blade.blade import Blade
from ..blade.sections import STEP_GAP, BladeSections, blade_sections
from ..materials.records import BASES
from ..mechanics.span_curves import SAME_PLACE
from ..units import Quantity, read_choice, read_count, read_number, show_input
from .beam import Held
from .cases import Planform
from .response import FRONTS

MOST_STATIONS = 10_000

# What a part under its loads is asked for (`loads.load_study`): diagrams along the span, and numbers of a load case.
# Not numbers of a design alone: apart from `study.quantities.QUANTITIES`, which sweeps and study files go through.
LOAD_QUANTITIES = {
    "position": Quantity("from the root end", "mm"),
    "shear": Quantity("shear force", "N", 3),
    "moment": Quantity("bending moment", "N m", 3),
    "torque": Quantity("torque about the axis", "N m", 3),
    "local_torque": Quantity("torque about the shear centre", "N m", 3),
    "slope": Quantity("slope of the span", "deg", 3),
    "deflection": Quantity("deflection", "mm", 3),
    "twist": Quantity("twist", "deg", 3),
    "side_force": Quantity("side force", "N", 3),
    "pressure": Quantity("greatest pressure on the skin", "kPa", 3),
    "lift_coefficient": Quantity("lift coefficient", "", 3),
    "aspect_ratio": Quantity("effective aspect ratio", "", 3),
    "angle": Quantity("angle to the flow", "deg", 3),
    "stall_angle": Quantity("stall angle", "deg", 3),
    "area": Quantity("area in the water, one side", "cm2", 3),
    "stagnation_pressure": Quantity("stagnation pressure", "kPa", 3),
    "bearing_force": Quantity("force of a bearing on the part", "N", 3),
    "root_moment": Quantity("moment at the clamped root", "N m", 3),
}

CUSTOM = "2 to 4 for home-built blades: common practice, no source"


@dataclass(frozen=True)
class Factor:
    """A safety factor of the user's: a strength is divided by `value` (1 or more); `basis`, one of `BASES`, `source` in
    words. ValueError for a factor below 1 and another basis."""

    value: float
    basis: str = "user"
    source: str = "as entered"

    def __post_init__(self):
        read_number(self.value, "a safety factor", low=1.0, hint="to lower a load, change the case")
        read_choice(self.basis, "the basis of a safety factor", BASES)


@dataclass(frozen=True)
class Own:
    """A limit of the user's [SI], with where he has it from. ValueError unless positive."""

    value: float
    source: str = "as entered"

    def __post_init__(self):
        read_number(self.value, "a limit", above=0.0, hint="in SI units; None where it is not known")


@dataclass(frozen=True)
class Judgement:
    """Factors of the user's, and limits of his own where the catalogue has none (None: the check is "unknown").

    strength, bond, buckling : factors on strength, on bonds, on buckling [-]
    sheet_strength : along the span [Pa]; None: from the catalogue's strength
    resin_strength, sheet_shear_strength, nose_bond_strength : [Pa]
    tip_deflection : [m]; None: shown without verdict
    tip_twist : [rad]; None: shown without verdict
    """

    strength: Factor = Factor(3.0, "common practice", CUSTOM)
    bond: Factor = Factor(3.0, "common practice", CUSTOM)
    buckling: Factor = Factor(1.5, "common practice", "a share for dents and uneven sheet: common practice, no source")
    sheet_strength: Own | None = None
    resin_strength: Own | None = None
    sheet_shear_strength: Own | None = None
    nose_bond_strength: Own | None = None
    tip_deflection: Own | None = None
    tip_twist: Own | None = None


@dataclass(frozen=True)
class Stock:
    """A round bar or tube that carries the part above its root, with its axis on the part's. ValueError as `Own`.

    length, diameter : [m]
    wall : [m]; 0: solid
    modulus : [Pa]
    poisson : 0 to below 0.5 [-]
    strength : [Pa], None where not known
    source : in words
    """

    length: float
    diameter: float
    wall: float
    modulus: float
    poisson: float
    strength: float | None = None
    source: str = "as entered"

    def __post_init__(self):
        for name, unit in (("length", "mm"), ("diameter", "mm"), ("modulus", "GPa")):
            read_number(getattr(self, name), f"stock: {name}", unit, above=0.0)
        half = 0.5 * self.diameter
        read_number(self.wall, "stock: wall", "mm", 0.0, half, hint="at most half the diameter, 0 for a solid bar")
        read_number(self.poisson, "stock: poisson", low=0.0, below=0.5)
        if self.strength is not None:
            read_number(self.strength, "stock: strength", "MPa", above=0.0)

    @property
    def second_moment(self) -> float:
        """Of the bar's section about a diameter [m4]."""
        bore = self.diameter - 2.0 * self.wall if self.wall > 0.0 else 0.0
        return np.pi / 64.0 * (self.diameter**4 - bore**4)

    @property
    def stiffness(self) -> tuple:
        """EI and GJ [N m2]."""
        return self.modulus * self.second_moment, self.modulus / (1.0 + self.poisson) * self.second_moment

    def stress(self, moment, torque):
        """Largest equivalent stress of bending and torsion, sqrt(sigma^2 + 3 tau^2) (von Mises) [Pa]."""
        arm = 0.5 * self.diameter / self.second_moment
        return np.hypot(moment * arm, np.sqrt(3.0) * 0.5 * torque * arm)


@dataclass(frozen=True)
class LoadPlan:
    """Everything stated about the loads. ValueError for what does not go together.

    cases : statements of `loads.cases`, with different names
    held : how the part is held
    judgement : factors and limits of the user's
    stock : above the root, from minus its length to 0, or None
    front : "potted" or "resting" at the rod
    axis_x : the straight axis for torques, in the frame of the part [m], a stock's axis too; None for the rod's axis at
        the root end
    stations : along the span, 5 or more
    local : whether the framed sheet is worked out too (pressing in, skin buckling)
    """

    cases: tuple
    held: Held = field(default_factory=Held)
    judgement: Judgement = field(default_factory=Judgement)
    stock: Stock | None = None
    front: str = "potted"
    axis_x: float | None = None
    stations: int = 41
    local: bool = True

    def __post_init__(self):
        object.__setattr__(self, "cases", tuple(self.cases))
        names = [case.name for case in self.cases]
        if not names or len(set(names)) != len(names):
            raise ValueError(f"load cases are {names!r}: give one or more, each with a name of its own")
        read_choice(self.front, "front", FRONTS)
        if self.stock is not None and not self.held.bearings:
            raise ValueError("a stock is given but no bearings: give the two that hold it")
        read_count(self.stations, "stations", 5, MOST_STATIONS)
        if self.axis_x is not None:
            read_number(self.axis_x, "axis_x", "mm")


class StatedLimit(NamedTuple):
    """A limit [SI, nan where not known] with its basis and source; `missing`: in words what to enter where it is not
    known; `needs`: pairs of (material, quantity) that it comes from."""

    value: np.ndarray | float
    basis: str
    source: str
    missing: str = ""
    needs: tuple = ()


def divided(strength, factor: Factor, basis: str, source: str) -> StatedLimit:
    """A strength [Pa] divided by a factor; nan and "no basis" for None or nan."""
    if strength is None or not np.any(np.isfinite(strength)):
        return StatedLimit(np.nan, "no basis", source)
    return StatedLimit(
        strength / factor.value, basis, f"{source}; divided by {show_input(factor.value)}, {factor.source}"
    )


def own(limit: Own | None, factor: Factor, what: str = "") -> StatedLimit:
    """A limit of the user's own, divided by the factor; `what` it is in words."""
    if limit is None:
        return StatedLimit(np.nan, "no basis", "no value is given: measure, or enter one of your own", f"enter {what}")
    return divided(limit.value, factor, "user", limit.source)


# ----- Where along the span the loads are worked out, and the sections there: places that matter are stations
# themselves.


@dataclass(frozen=True, eq=False)
class Along:
    """The blade at the stations of the loads. `position` (n,) from the root end, a step or water line standing twice;
    `index` (n,) of each in `sections`; `planform`; `blade`."""

    blade: Blade
    sections: BladeSections
    position: np.ndarray
    index: np.ndarray
    planform: Planform

    def __getitem__(self, name) -> np.ndarray:
        """A quantity of the sections at the stations (n,)."""
        return np.asarray(getattr(self.sections, name))[..., self.index]

    @property
    def axis_x(self):
        """The straight axis that torques are about, in the frame of the part [m]."""
        return self.planform.axis_x

    def at(self, wanted) -> np.ndarray:
        """Indices into `sections` for the places `wanted` (m,) of a diagram; of an equal pair the first reads the
        section before a step. Every place must be a station."""
        wanted = np.asarray(wanted)
        after = np.searchsorted(self.sections.position, wanted, side="right") - 1
        near = self.sections.position[np.minimum(after + 1, len(self.sections.position) - 1)]
        after = np.where(np.abs(near - wanted) <= SAME_PLACE * self.blade.span, after + 1, after)
        after = np.minimum(after, len(self.sections.position) - 1)
        first = np.append(np.diff(wanted) == 0.0, False)
        step = np.isin(after, np.searchsorted(self.sections.position, self.blade.section_steps))
        return np.where(first & step, after - 1, after)


def along(blade: Blade, plan: LoadPlan) -> Along:
    """Sections of a blade at the stations a load plan needs (`stations`). Raises InfeasibleBend as `blade.sections`."""
    single, position = stations(blade, plan)
    line = along_sections(blade_sections(blade, single), position)
    s, index = line.sections, line.index
    axis = float(s.rod_x[0]) if plan.axis_x is None else plan.axis_x
    return replace(line, planform=Planform(position, s.chord[index], s.leading_edge_x[index], axis))


def along_sections(sections: BladeSections, position) -> Along:
    """Sections, of one part or of many, at the stations of the loads; without a planform."""
    bare = Along(sections.blade, sections, position, np.zeros(0, dtype=int), None)  # type: ignore[arg-type]
    return replace(bare, index=bare.at(position))


def stations(blade: Blade, plan: LoadPlan) -> tuple:
    """(places of the sections, stations of the loads) that a load plan needs along a blade [m].

    Closer together towards the tip, where an elliptic load falls steeply; with all places where a dimension changes its
    taper or steps, a point load acts, a bearing sits or the water begins. A step or water line is a station twice.
    """
    span = blade.span
    spread = span * np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, plan.stations))
    water = _waterlines(plan.cases, span)
    single = np.array(blade.section_places)
    pushes = np.array([place for case in plan.cases for place in case.places(span)])
    for places in (pushes, water, _held(plan, span), spread):  # the first of a place counts
        single = np.sort(np.concatenate([single, _apart(places, single, span)]))
    steps = np.array(blade.section_steps)
    twice = {single[np.argmin(np.abs(single - p))] for p in (*steps, *water)} - {0.0, span}
    return np.sort(np.concatenate([single, steps - STEP_GAP * span])), np.sort(np.concatenate([single, list(twice)]))


def _apart(places, taken, span):
    """Those of the places that are no place already taken, each once."""
    places = np.unique(places)
    places = places[np.diff(places, prepend=-np.inf) > SAME_PLACE * span]
    return places[np.abs(places[:, None] - taken).min(axis=1) > SAME_PLACE * span]


def _waterlines(cases, span):
    lines = np.array([case.waterline for case in cases if case.waterline is not None])
    if np.any(lines >= span) or np.any(lines < 0.0):
        raise ValueError(
            f"a case says that the part is wet from {show_input(lines.max(), 'mm', 4)} on, from the root: give 0 "
            f"or more, and less than the span, {show_input(span, 'mm', 4)}"
        )
    return lines[lines > 0.0]


def _held(plan, span):
    places = [*plan.held.bearings, *(() if plan.held.torque_at is None else (plan.held.torque_at,))]
    low = -plan.stock.length if plan.stock else 0.0
    for place in places:
        if not low <= place <= span:
            raise ValueError(
                f"a bearing or the place that holds the torque is at {show_input(place, 'mm', 4)} from the root: "
                f"the part runs from {show_input(low, 'mm', 4)} to {show_input(span, 'mm', 4)}"
            )
    return np.array([p for p in places if p >= 0.0])
