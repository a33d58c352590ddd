"""From bench readings to a verdict on a pair: stiffness, camber and its uncertainty, the real land and the rod.

Everything is worked out by `measured.modulus_tests`, `inspection`, `unequal` and `mechanics.as_built_bend`; here the
readings of one file are handed to them, and what is missing is said. Sheet A is the upper one. The finished part is in
`measured.pair_part`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.as_built_bend import RealBend, RodForces, real_bend, rod_forces
from ..mechanics.forming import bending_stiffness
from ..mechanics.unequal import UnequalBend, solve_unequal
from ..study.design import Design
from .camber import CamberMap, ToleranceLine, camber_map, tolerance_line
from .inspection import Inspection, inspect_pair
from .pair_tests import (
    SURE,
    disagreements,
    modulus_tests,
    remarks,
    sheet_readings,
    unmeasured_bow,
    used_tests,
    wide_factor,
)
from .readings import SHEETS, Readings
from .uncertainty import Measured, Reading, propagate


@dataclass(frozen=True, eq=False)
class PairReport:
    """What the readings say of a pair for a design. `sheets` A and B; `tests`, every modulus measured; `used`, the
    test that counts for A and for B, or None for both; `stiffness` D of A and B [N m], per metre of span; `inspection`;
    `bent`, the exact bend of the two on a floating rod; `camber` of the mean line at the front and `rod_offset` [m],
    towards sheet A positive; `missing`, what is still to be measured; `notes`."""

    design: Design
    readings: Readings
    tolerance: float
    sheets: tuple
    tests: tuple
    used: tuple
    stiffness: tuple
    inspection: Inspection
    bent: UnequalBend
    camber: Measured
    rod_offset: Measured
    missing: tuple
    notes: tuple

    @property
    def sure(self) -> bool:
        """Whether the verdict would stay with the camber two standard uncertainties larger or smaller."""
        return abs(abs(self.camber.value) - self.tolerance) > SURE * self.camber.uncertainty

    @property
    def strains(self) -> tuple:
        """Bending strain at the land of A and B [-]."""
        return tuple(float(self.bent.surface_strain(i)) for i in (1, 2))

    @property
    def forces(self) -> tuple:
        """Contact force on A and B [N per metre of span]."""
        return float(self.bent.contact_force_1), float(self.bent.contact_force_2)

    @property
    def moments(self) -> tuple:
        """Moment at the land in A and B [N m per metre of span]: D times the curvature, which is 2 strain / t."""
        parts = zip(self.stiffness, self.strains, self.sheets, strict=True)
        return tuple(2.0 * d * strain / s.effective_thickness for d, strain, s in parts)

    @property
    def jig_force(self) -> float:
        """Force across the chord of a jig that holds the rod in the middle [N per metre of span]."""
        design, (t1, t2) = self.design, (s.effective_thickness for s in self.sheets)
        held = solve_unequal(
            design.free_length, t1, t2, *self.stiffness, design.spacer_diameter, design.bond_line, design.setback, "jig"
        )
        return float(held.jig_force)

    @property
    def thickness_difference(self) -> Measured:
        """Thickness of A less that of B, over their mean [-]."""
        a, b = (s.effective_thickness for s in self.sheets)
        u = [s.thickness.uncertainty for s in self.sheets]
        mean = 0.5 * (a + b)
        return Measured((a - b) / mean, float(np.hypot(*u)) / mean, dict(zip(SHEETS, u, strict=True)))

    @property
    def modulus_difference(self) -> Measured:
        """Modulus of A less that of B, over their mean [-]; zero and not known where they are not measured."""
        if self.used[0] is None:
            return Measured(0.0, 0.0, {s: 0.0 for s in SHEETS})
        a, b = (t.result.value for t in self.used)
        u = [t.uncertainty for t in self.used]
        mean = 0.5 * (a + b)
        return Measured((a - b) / mean, float(np.hypot(*u)) / mean, dict(zip(SHEETS, u, strict=True)))

    @property
    def mean_sheet(self) -> tuple:
        """(thickness [m], bending stiffness D [N m]) half-way between the two sheets."""
        return 0.5 * sum(s.effective_thickness for s in self.sheets), 0.5 * sum(self.stiffness)


def judge_pair(design: Design, readings: Readings, tolerance: float) -> PairReport:
    """Work out everything the readings say of the pair.

    `tolerance` is the camber of the mean line at the front that the builder accepts [m]. Raises ValueError where the
    thickness readings do not suffice, a reading lies outside its method, or the two sheets cannot be bent together.
    """
    sheets = tuple(sheet_readings(readings, name) for name in SHEETS)
    tests, missing = modulus_tests(design, readings, sheets)
    used = used_tests(tests)
    moduli = [t.result.value if t else None for t in used]
    relative = float(np.hypot(*(t.uncertainty / t.result.value for t in used))) if used[0] else 0.0
    inspection = inspect_pair(*sheets, design, tolerance, *moduli, relative)
    solve, inputs, stiffness = _bend_of(design, sheets, used)
    bent = solve(*(r.mean for r in inputs))
    if not bent.feasible:
        raise ValueError(f"these two sheets cannot be bent together: {bent.reason}")
    camber = propagate(lambda *v: solve(*v).camber()[1][-1], inputs)
    offset = propagate(lambda *v: solve(*v).rod_offset, inputs)
    unmeasured = () if used[0] else ("one modulus is taken for both sheets: only their thickness is compared",)
    notes = (*inspection.notes, *unmeasured, *disagreements(tests), *(n for t in tests for n in remarks(t)))
    return PairReport(
        design,
        readings,
        float(tolerance),
        sheets,
        tests,
        used,
        stiffness,
        inspection,
        bent,
        camber,
        offset,
        (*unmeasured_bow(readings), *missing),
        notes,
    )


def _bend_of(design, sheets, used):
    """(the pair's bend as a function of its inputs, those inputs as readings, D of A and of B)."""
    nominal = float(design.sheet.modulus_at(design.sheet_thickness))
    thick = [_known(f"thickness of {s.name}", s.effective_thickness, s.thickness.uncertainty) for s in sheets]
    moduli = [_known(f"modulus of sheet {t.sheet}", t.result.value, t.uncertainty) for t in used if t]
    wide = wide_factor(design, 0.5 * (thick[0].mean + thick[1].mean))

    def stiffness(t1, t2, e1=nominal, e2=nominal):
        return float(bending_stiffness(wide * e1, t1)), float(bending_stiffness(wide * e2, t2))

    def solve(t1, t2, *moduli):
        d = stiffness(t1, t2, *moduli)
        return solve_unequal(
            design.free_length, t1, t2, *d, design.spacer_diameter, design.bond_line, design.setback, "floating"
        )

    inputs = [*thick, *moduli]
    return solve, inputs, stiffness(*(r.mean for r in inputs))


def _known(name, value, uncertainty):
    """A number of known standard uncertainty as a reading."""
    return Reading(name, (value,), uncertainty * np.sqrt(12.0))


@dataclass(frozen=True, eq=False)
class ClampReport:
    """The pair with its real land and friction, both sheets of the mean thickness and stiffness. `ideal`: land kept
    parallel, flat sheets, no friction; `real`: with `land_slope` [rad], `land_spring` [N m/rad per m] and `bow` [1/m]
    (away from the chord line positive); `degree`: the ideal with one degree more at the land; `rod`: forces on the rod
    with the design's friction, with `land_slope`, `land_spring` and `bow` [N per metre of span]; `span` [m]."""

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
    positive: a marked face that is the outside of its sheet's curve, laid outwards, makes it negative."""
    first, second = (s.curvature for s in report.sheets)
    best = report.inspection.pairings[0]
    return -(first - 0.5 * best.curvature_gap)


@dataclass(frozen=True, eq=False)
class SlopeSweep:
    """Contact force on each sheet, whole span [N], for slopes of the land [rad]; nan where the sheets would leave the
    rod. Else as set in the `ClampReport`."""

    slopes: np.ndarray
    force: np.ndarray


def slope_sweep(report: PairReport, clamp: ClampReport, slopes) -> SlopeSweep:
    """How the contact force follows the land's slope."""
    slopes = np.asarray(slopes, dtype=float)
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
    tolerance, symmetric about no difference."""
    opening = 0.5 * (report.design.spacer_diameter - report.design.bond_line)
    by_tolerance = 2.0 * report.tolerance / opening  # first-order difference of D that takes the whole tolerance
    thick, modulus = report.thickness_difference, report.modulus_difference
    reach = [1.3 * (abs(d.value) + 2.0 * d.uncertainty) for d in (thick, modulus)]
    t = min(max(reach[0], by_tolerance / 2.0, 0.02), 0.8)
    e = min(max(reach[1], 1.2 * by_tolerance, 0.06), 1.2)
    axis = np.linspace(-t, t, points)
    return (
        camber_map(report.design, axis, np.linspace(-e, e, points)),
        tolerance_line(report.design, axis, report.tolerance),
    )
