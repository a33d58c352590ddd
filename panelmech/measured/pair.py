"""From bench readings to a verdict on a pair: stiffness, camber and its uncertainty, the real land and the rod.

Everything is worked out by `measured.modulus_tests`, `inspection`, `unequal` and `mechanics.as_built_bend`; here the
readings of one file are handed to them, and what is missing is said. Sheet A is the upper one. The finished part is in
`measured.finished_part`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..mechanics.as_built_bend import RealBend, RodForces, real_bend, rod_forces
from ..mechanics.unequal import UnequalBend
from ..study.design import Design
from ..study.verdicts import FAILS, UNSURE
from ..units import read_array, read_choice, read_count
from .camber import CamberMap, ToleranceLine, camber_map, pair_bend, tolerance_line
from .draws import Drawn, drawn_beside
from .inspection import Inspection, inspect_pair
from .modulus_tests import remarks, sheet_readings, unmeasured_bow, unmeasured_moduli
from .offset_priors import LINES
from .one_pass import CAMBER, DIFFERENCE, OFFSET, RATIO, OnePass, one_pass
from .plausible import Examined, examine
from .readings import SHEETS, Measured, NotSureYet, Readings
from .taken import taken_words
from .worth import effective_dof


@dataclass(frozen=True, eq=False)
class PairReport:
    """What the readings say of a pair for a design.

    Attributes
    ----------
    readings, given : those that count; all, with those in doubt
    doubts : `plausible.Doubt`s about readings, which do not count until put right or confirmed
    tolerance : camber that the builder accepts [m]
    sheets : A and B, `SheetReadings`
    tests, used : every modulus measured; that which counts for A and for B, of two tests the mean, or None for both
    stiffness : D of A and B, per metre of span [N m]
    inspection : verdict on the two sheets
    bent : the exact bend of the two on a floating rod, laid as the best pairing says, each with its own bow
    camber, rod_offset : of the mean line at the front, and of the rod, towards sheet A positive [m]
    ratio, modulus_difference : D of A over that of B; modulus of A less that of B, over their mean [-]
    inputs : what the readings are worth, in one pass (`one_pass.OnePass`)
    drawn : the camber by Monte Carlo, where the linear rule does not hold; else None
    missing : what is still to be measured; `notes` in words; `taken`: what is taken where nothing was measured
    line : that offsets of the finished part were measured from, as of `fit_offsets`
    """

    design: Design
    readings: Readings
    given: Readings
    doubts: tuple
    tolerance: float
    sheets: tuple
    tests: tuple
    used: tuple
    stiffness: tuple
    inspection: Inspection
    bent: UnequalBend
    camber: Measured
    rod_offset: Measured
    ratio: Measured
    modulus_difference: Measured
    inputs: OnePass
    drawn: Drawn | None
    missing: tuple
    notes: tuple
    taken: tuple
    line: str = LINES[0]

    @property
    def room(self) -> float:
        """How far the camber is from the tolerance [m]."""
        return abs(abs(self.camber.value) - self.tolerance)

    @property
    def sure(self) -> bool:
        """Whether the verdict would stay with the camber anywhere within its expanded uncertainty for 95 %; where that
        is not linear, also within what was drawn."""
        return self.room > self.camber.expanded and (self.drawn is None or self.drawn.sure(self.tolerance))

    @property
    def verdict(self) -> str:
        """That of the inspection, or "unsure": where a reading is in doubt, the uncertainty reaches over the tolerance,
        moduli or bow are not measured, or the pair would hold and something else is still to be measured."""
        word = self.inspection.verdict
        unknown = self.used[0] is None or any(unmeasured_bow(self.readings))
        open_ends = self.doubts or unknown or (self.missing and word != FAILS)
        return UNSURE if open_ends or not self.sure else word

    @property
    def bows(self) -> tuple:
        """Curvature of A and B before bending, laid as the best pairing says, away from the chord line positive
        [1/m]."""
        return self.inspection.pairings[0].bows

    @property
    def strains(self) -> tuple:
        """Bending strain at the land of A and B that comes on top of their bow [-]."""
        return tuple(float(self.bent.surface_strain(i)) for i in (1, 2))

    @property
    def forces(self) -> tuple:
        """Contact force on A and B [N per metre of span]."""
        return float(self.bent.contact_force_1), float(self.bent.contact_force_2)

    @property
    def moments(self) -> tuple:
        """Moment at the land in A and B [N m per metre of span]: D times what bending adds to the curvature, which is
        2 strain / t."""
        parts = zip(self.stiffness, self.strains, self.sheets, strict=True)
        return tuple(2.0 * d * strain / s.effective_thickness for d, strain, s in parts)

    @property
    def jig_force(self) -> float:
        """Force across the chord of a jig that holds the rod in the middle [N per metre of span]."""
        thickness = (s.effective_thickness for s in self.sheets)
        return float(pair_bend(self.design, *thickness, *self.stiffness, self.bows, closure="jig").jig_force)

    @property
    def thickness_difference(self) -> Measured:
        """Thickness of A less that of B, over their mean [-]."""
        (a, b), u = zip(*((s.effective_thickness, s.thickness.uncertainty) for s in self.sheets), strict=True)
        parts = dict(zip(SHEETS, (v / (0.5 * (a + b)) for v in u), strict=True))
        dof = effective_dof(u, [s.thickness.dof for s in self.sheets])
        return Measured((a - b) / (0.5 * (a + b)), float(np.hypot(*parts.values())), parts, dof=dof)

    @property
    def mean_sheet(self) -> tuple:
        """(thickness [m], bending stiffness D [N m]) half-way between the two sheets."""
        return 0.5 * sum(s.effective_thickness for s in self.sheets), 0.5 * sum(self.stiffness)


def judge_pair(design: Design, readings: Readings, tolerance: float, line: str = LINES[0]) -> PairReport:
    """Work out everything the readings say of the pair.

    `tolerance` is the camber of the mean line at the front that the builder accepts [m], `line` what offsets of the
    finished part were measured from. Readings in doubt
    (`plausible.doubts`) do not count. Raises `NotSureYet`, a ValueError, where the thickness readings do not suffice
    without them, and ValueError where a confirmed reading lies outside its method or the two sheets cannot be bent
    together.

    >>> from panelmech.job import demo
    >>> report = judge_pair(demo().design, demo().readings, tolerance=0.001)
    >>> report.verdict
    'holds'
    """
    seen, line = examine(readings, design), read_choice(line, "line", LINES)
    try:
        sheets = tuple(sheet_readings(seen.counted, name) for name in SHEETS)
    except NotSureYet as error:
        if not seen.doubts:
            raise
        words = "; ".join(doubt.line for doubt in seen.doubts)
        raise NotSureYet(f"{words} Without what is in doubt, {error}", seen.doubts) from None
    return replace(_judged(design, readings, tolerance, seen, sheets), line=line)


def _judged(design, readings, tolerance, seen: Examined, sheets) -> PairReport:
    """The report on what counts."""
    tests, counted = seen.tests, seen.counted
    inputs = one_pass(design, counted, sheets, tests)
    used = inputs.used()
    inspection = inspect_pair(*sheets, design, tolerance, *(t.result.value if t else None for t in used))
    sides, means = inspection.pairings[0].sides, inputs.means()
    bent = inputs.bend(means, sides)
    if not bent.feasible:
        raise ValueError(f"these two sheets cannot be bent together: {bent.reason}")
    found = inputs.results(sides)
    inspection = replace(inspection, ratio_uncertainty=found[RATIO].uncertainty)
    unmeasured = () if used[0] else ("one modulus is taken for both sheets: only their thickness is compared",)
    return PairReport(
        design,
        counted,
        readings,
        seen.doubts,
        float(tolerance),
        sheets,
        tests,
        used,
        tuple(float(d) for d in inputs.stiffness(means)),
        inspection,
        bent,
        found[CAMBER],
        found[OFFSET],
        found[RATIO],
        found[DIFFERENCE],
        inputs,
        drawn_beside(inputs, sides, found[CAMBER]),
        (*unmeasured_bow(counted), *seen.missing, *unmeasured_moduli(tests)),
        (*inspection.notes, *unmeasured, *inputs.disagree, *(n for t in tests for n in remarks(t))),
        tuple(taken_words(inputs, counted)),
    )


@dataclass(frozen=True, eq=False)
class ClampReport:
    """The pair with its real land and friction, both sheets of the mean thickness and stiffness.

    Attributes
    ----------
    land_slope : opening positive [rad]
    land_spring : [N m/rad per m]
    bow : away from the chord line positive [1/m]
    ideal : land kept parallel, flat sheets, no friction
    real : with `land_slope`, `land_spring` and `bow`
    degree : the ideal with one degree more at the land
    rod : forces on the rod with the design's friction and the real land and bow [N per metre of span]
    span : [m]
    """

    land_slope: float
    land_spring: float
    bow: float
    ideal: RealBend
    real: RealBend
    degree: RealBend
    rod: RodForces
    span: float

    @property
    def force_change(self) -> float:
        """Contact force of the real pair over that of the ideal one, less one [-]."""
        return float(self.real.contact_force / self.ideal.contact_force - 1.0)

    @property
    def degree_change(self) -> float:
        """The same for one degree at the land [-]."""
        return float(self.degree.contact_force / self.ideal.contact_force - 1.0)


def as_clamped(report: PairReport, land_slope: float, land_spring: float = np.inf, with_bow: bool = True):
    """The pair with a land that is not parallel or gives way, friction, and the sheets' own bow as best paired.

    Half the sum of both bows counts, since the two sheets are taken alike here. Raises as `mechanics.as_built_bend`.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> clamp = as_clamped(judge_pair(demo().design, demo().readings, 0.001), land_slope=0.01)
    >>> show(clamp.force_change, "%", 3)
    '−38.2 %'
    """
    given, design = _given(report), report.design
    bow = pair_bow(report) if with_bow else 0.0
    real = dict(land_slope=land_slope, land_spring=land_spring, bow=bow)
    return ClampReport(
        land_slope,
        land_spring,
        bow,
        real_bend(*given),
        real_bend(*given, **real),
        real_bend(*given, land_slope=np.pi / 180.0),
        rod_forces(*given, friction=design.friction, **real),
        design.span,
    )


def pair_bow(report: PairReport) -> float:
    """Mean curvature of the two sheets before bending, laid as the best pairing says [1/m], away from the chord line
    positive."""
    return 0.5 * sum(report.bows)


@dataclass(frozen=True, eq=False)
class SlopeSweep:
    """Contact force on each sheet, whole span [N], for slopes of the land [rad]; nan where the sheets would leave the
    rod. Else as set in the `ClampReport`."""

    slopes: np.ndarray
    force: np.ndarray


def slope_sweep(report: PairReport, clamp: ClampReport, slopes) -> SlopeSweep:
    """How the contact force follows the land's slope."""
    slopes = read_array(slopes, "land slopes", "deg", -0.5 * np.pi, 0.5 * np.pi, axes=1)
    bent = real_bend(
        *_given(report), land_slope=slopes, land_spring=clamp.land_spring, bow=np.full_like(slopes, clamp.bow)
    )
    return SlopeSweep(slopes, np.asarray(bent.contact_force) * report.design.span)


def _given(report):
    """What `mechanics.as_built_bend` asks for, for the mean of the two sheets."""
    design, (thickness, stiffness) = report.design, report.mean_sheet
    lengths = design.free_length, thickness, design.spacer_diameter
    return *lengths, stiffness, design.bond_line, design.setback


def camber_outlook(report: PairReport, points: int = 41) -> tuple[CamberMap, ToleranceLine]:
    """Map of camber around the pair, and the lines of its tolerance; the thickness range holds the pair and the
    tolerance, symmetric about no difference.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> outlook, line = camber_outlook(judge_pair(demo().design, demo().readings, 0.001), points=5)
    >>> show(outlook.largest_offset.max(), "mm", 3)
    '2.75 mm'
    """
    points = read_count(points, "points", 3, 401)
    opening = 0.5 * (report.design.spacer_diameter - report.design.bond_line)
    by_tolerance = 2.0 * report.tolerance / opening  # first-order difference of D that takes the whole tolerance
    thick, modulus = report.thickness_difference, report.modulus_difference
    reach = [1.3 * (abs(d.value) + d.expanded) for d in (thick, modulus)]
    t = min(max(reach[0], by_tolerance / 2.0, 0.02), 0.8)
    e = min(max(reach[1], 1.2 * by_tolerance, 0.06), 1.2)
    axis = np.linspace(-t, t, points)
    return (
        camber_map(report.design, axis, np.linspace(-e, e, points), report.bows),
        tolerance_line(report.design, axis, report.tolerance, report.bows),
    )
