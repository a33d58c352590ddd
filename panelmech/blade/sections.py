"""The sections of a blade at many stations along its span, all solved at once.

Every station is the exact bend of its own dimensions, as if the sheets were bent there on their own: `blade.shape` says
how far neighbouring stations are from fitting one flat sheet. Section properties are those of `whole`, square to the
line that is kept straight; a leading edge or rod that runs at an angle to the span makes the true normal section
narrower by the cosine of that angle, which is left out.

x of the part runs forward from the line that is kept straight; x of a section, as everywhere, from its own land end.
`land_end_x` turns one into the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import Bend, InfeasibleBend, solve_bend
from ..mechanics.whole_section import WholeSection, whole_section
from ..study.checks import RULES, VERDICTS, judge
from ..study.quantities import assemble, gather, solve
from ..units import show
from .areas import outer_areas
from .blade import ALONG_FIELDS, Blade

STEP_GAP = 1e-9  # of the span: how far before a step its old value is read


@dataclass(frozen=True, eq=False)
class BladeSections:
    """Sections along the span; every array has one value for each station, root end first.

    `position` [m] from the root end, strictly rising; a step of a dimension has two stations a billionth of the span
    apart. `numbers`: all inputs by name as of `study.quantities.gather`; `bend`; `whole`: the modulus-weighted section.

    From the land end of the same station [m]: `centroid_x` (neutral axis in the plane of the chord), `shear_centre_x`.
    In the frame of the part, x forward from the line kept straight [m]: `land_end_x`, `trailing_edge_x`,
    `leading_edge_x` (front-most point of the section), `rod_x`.

    `chord` (trailing edge to front-most point), `outer_thickness` [m], `thickness_ratio` [-].
    Stiffness: `axial_stiffness` EA [N]; `chord_stiffness` EI about the chord line (a side force), `normal_stiffness` EI
    about the normal axis, `torsion_stiffness` GJ [N m2]; `section_modulus` of the skin's outer fibre [m3]; `shares` of
    EI about the chord line by part [-].
    `mass_per_length` [kg/m] and `masses`, by part (bond line, closing frames: see `afloat`).
    Areas [m2]: `cell_area` between the mid-surfaces back of the contact, `enclosed_area` between the inner faces,
    `void_area` behind the rod, `front_area` (potting), `displaced_area` within the outer outline, `displaced_x` its
    centroid from the land end [m].
    Forming, per metre of span: `land_strain` [-], `land_moment` [N m/m], `contact_force`, `push_out_force` [N/m],
    `opening_energy` [J/m2], `strain_energy` [J/m]; `contact_angle` [rad], `greatest_spacer` [m].
    `feasible` and `reason`: whether, or why not, the sheets can be bent so.
    """

    blade: Blade
    position: np.ndarray
    numbers: dict
    bend: Bend
    whole: WholeSection
    land_end_x: np.ndarray
    displaced_area: np.ndarray
    displaced_x: np.ndarray
    chord: np.ndarray
    outer_thickness: np.ndarray
    thickness_ratio: np.ndarray
    axial_stiffness: np.ndarray
    centroid_x: np.ndarray
    chord_stiffness: np.ndarray
    normal_stiffness: np.ndarray
    torsion_stiffness: np.ndarray
    shear_centre_x: np.ndarray
    section_modulus: np.ndarray
    mass_per_length: np.ndarray
    enclosed_area: np.ndarray
    void_area: np.ndarray
    front_area: np.ndarray
    land_strain: np.ndarray
    land_moment: np.ndarray
    contact_force: np.ndarray
    push_out_force: np.ndarray
    opening_energy: np.ndarray
    strain_energy: np.ndarray
    contact_angle: np.ndarray
    greatest_spacer: np.ndarray
    friction_needed: np.ndarray

    @property
    def feasible(self):
        """True where the sheets take the spacer."""
        return self.bend.feasible

    @property
    def reason(self):
        """Why not, in words; empty where feasible."""
        return self.bend.reason

    @property
    def shares(self) -> dict:
        """Share of EI about the chord line by part [-]."""
        return self.whole.shares

    @property
    def masses(self) -> dict:
        """Mass per metre of span by part [kg/m]."""
        return self.whole.masses

    @property
    def cell_area(self):
        """Between the two mid-surfaces, land end to the line through the contacts [m2]."""
        return self.bend.cell_area

    @property
    def trailing_edge_x(self):
        """x of the trailing edge in the frame of the part [m]."""
        return self.land_end_x - self.numbers["land_length"]

    @property
    def leading_edge_x(self):
        """x of the front-most point in the frame of the part [m]."""
        return self.land_end_x + self.bend.free_chord

    @property
    def rod_x(self):
        """x of the rod's axis in the frame of the part [m]."""
        return self.land_end_x + self.bend.spacer_position

    def integrate(self, values):
        """Integral along the span of one value for each station, straight between stations (trapezoidal rule)."""
        return float(np.trapezoid(values, self.position))

    def judged(self) -> dict:
        """Value, limit, reserve and verdict code of every forming rule at every station (see `study.checks.judge`)."""
        found = {name: getattr(self, name) for name in _FOUND}
        return judge(self.numbers, found, RULES)


@dataclass(frozen=True)
class WorstStation:
    """A forming check where its reserve is least: `position` [m] from the root end; value and limit in SI."""

    key: str
    name: str
    position: float
    value: float
    limit: float
    reserve: float
    verdict: str


_FOUND = (
    "chord",
    "outer_thickness",
    "thickness_ratio",
    "axial_stiffness",
    "chord_stiffness",
    "normal_stiffness",
    "torsion_stiffness",
    "shear_centre_x",
    "section_modulus",
    "mass_per_length",
    "enclosed_area",
    "void_area",
    "front_area",
    "land_strain",
    "land_moment",
    "contact_force",
    "push_out_force",
    "opening_energy",
    "strain_energy",
    "contact_angle",
    "greatest_spacer",
    "friction_needed",
)


def blade_sections(blade: Blade, stations=41, allow_infeasible: bool = False) -> BladeSections:
    """Sections of a blade at stations along its span.

    Parameters
    ----------
    blade : Blade
    stations : int or array
        Number of even stations from the root end to the tip, at least 2; places where a dimension changes its taper are
        added, and two at every step. Or positions from the root end [m], rising; of a step they read the new value.
    allow_infeasible : bool
        Return nan and a `reason` at stations that cannot be bent, instead of raising.

    Raises
    ------
    InfeasibleBend
        Names the first station that cannot be bent, and the quantity to change there.
    ValueError
        For stations that are not on the span or do not rise.
    """
    position = _positions(blade, stations)
    before = np.isin(position, _before_steps(blade))
    values = {
        name: np.where(before, old, new)
        for (name, new), old in zip(
            blade.values_at(position).items(), blade.values_at(position, before=True).values(), strict=True
        )
    }
    numbers = {
        name: np.broadcast_to(value, position.shape) if np.ndim(value) == 0 and name in ALONG_FIELDS else value
        for name, value in gather(blade.design, **values).items()
    }
    bend, wedge = solve(numbers)
    if not allow_infeasible:
        _refuse_infeasible(bend, position)
    found = assemble(numbers, bend, wedge)[0]
    with np.errstate(invalid="ignore"):
        whole, areas = whole_section(bend, numbers), outer_areas(bend, numbers)
    return BladeSections(
        blade,
        position,
        numbers,
        bend,
        whole,
        _land_end(blade.straight, numbers, bend),
        areas["displaced_area"],
        areas["displaced_x"],
        centroid_x=found["whole_centroid_x"],
        **{name: found[name] for name in _FOUND},
    )


def worst_stations(sections: BladeSections) -> tuple:
    """Every forming check at the station where its reserve is least; the first station where none can be judged."""
    out = []
    names = {rule.key: rule.name for rule in RULES}
    for key, parts in sections.judged().items():
        value, limit, reserve, code = (np.broadcast_to(part, sections.position.shape) for part in parts)
        at = int(np.argmin(np.where(np.isnan(reserve), np.where(code == 2, -np.inf, np.inf), reserve)))
        out.append(
            WorstStation(
                key,
                names[key],
                float(sections.position[at]),
                float(value[at]),
                float(limit[at]),
                float(reserve[at]),
                VERDICTS[int(code[at])],
            )
        )
    return tuple(out)


def span_rule(blade: Blade, places=(), order: int = 12):
    """Positions [m] and weights [m] of a rule that integrates smooth functions of the station along the span.

    Gauss's rule on every stretch between breakpoints, the steps respected; further `places` [m] begin a new stretch
    (a water line, the end of a closing frame), and so does the place where the setback passes through zero. Exact to
    rounding for ordinary tapers, to 1e-8 where the setback passes through zero (tested).
    """
    inner = [p for p in (*places, *_rod_meets_mouth(blade)) if 0.0 < p < blade.span]
    borders = np.unique([*blade.breakpoints, *inner])
    return gauss_places(borders, order)


def gauss_places(borders, order: int):
    """Nodes and weights [m] of Gauss's rule of an order on every piece between rising borders [m]."""
    nodes, weights = np.polynomial.legendre.leggauss(order)
    start, length = np.asarray(borders)[:-1, None], np.diff(borders)[:, None]
    return (start + 0.5 * length * (nodes + 1.0)).ravel(), (0.5 * length * weights).ravel()


def _positions(blade, stations):
    if np.ndim(stations):
        position = np.array(stations, dtype=float)
        if position.ndim != 1 or np.any(np.diff(position) <= 0.0):
            raise ValueError("stations must be a row of positions that rise from the root end to the tip")
        return position
    if isinstance(stations, bool) or int(stations) != stations or stations < 2:
        raise ValueError(f"stations is {stations!r}: give a whole number of at least 2, or positions [m]")
    even, fixed = np.linspace(0.0, blade.span, int(stations)), np.array(blade.breakpoints)
    apart = np.abs(even[:, None] - fixed).min(axis=1) > 1e-6 * blade.span
    return np.sort(np.concatenate([even[apart], fixed, _before_steps(blade)]))


def _rod_meets_mouth(blade):
    """Places where a tapered setback passes through zero: the potting's area has no second derivative there."""
    ends = np.array(blade.breakpoints)
    start, stop = blade.values_at(ends[:-1])["setback"], blade.values_at(ends[1:], before=True)["setback"]
    crossing = start * stop < 0.0
    return (ends[:-1] + np.diff(ends) * start / np.where(crossing, start - stop, 1.0))[crossing]


def _before_steps(blade):
    return np.array(blade.steps) - STEP_GAP * blade.span


def _refuse_infeasible(bend, position):
    wrong = np.flatnonzero(~bend.feasible)
    if not wrong.size:
        return
    at = int(wrong[0])
    inputs = (bend.free_length, bend.sheet_thickness, bend.spacer_diameter, bend.bond_line, bend.setback)
    more = f" ({wrong.size} of {len(position)} stations cannot be bent)" if wrong.size > 1 else ""
    try:
        solve_bend(*(float(values[at]) for values in inputs))
    except InfeasibleBend as error:
        raise InfeasibleBend(f"{show(position[at], 'mm')} from the root end: {error}{more}") from None


def _land_end(straight, numbers, bend):
    """x of the land end where x = 0 is the line kept straight."""
    if straight == "trailing edge":
        return numbers["land_length"] + 0.0 * bend.spacer_position
    return -(bend.free_chord if straight == "leading edge" else bend.spacer_position)
