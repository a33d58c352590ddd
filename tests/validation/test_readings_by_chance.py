"""Camber and its uncertainty from raw readings by another road: draws of every reading, each test and bend worked out.

Nothing of the one pass is used but the weights of two tests: draws of the raw readings go through the exact functions
of the bench tests and of the bend one by one. Variance shares are those of one reading drawn alone and of all but one,
which agree where readings do not act together (first and total index of Saltelli et al., Global Sensitivity Analysis,
2008, ch. 1).
"""

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.job import demo
from panelmech.measured.modulus_tests import catalogue_density, wide_factor
from panelmech.measured.pair import judge_pair
from panelmech.measured.readings import SHEETS, Readings
from panelmech.measured.strips import droop, three_point
from panelmech.measured.worth import Reading
from panelmech.mechanics.unequal_bow import solve_bowed

DESIGN, DEMO = demo().design, demo().readings
COUNT = 400  # knows a standard deviation to 3.5 %: four of these for a test that seldom fails by chance
KNOWN = 1.0 / np.sqrt(2.0 * COUNT)
OWN = ("three-point thickness", "droop thickness")


def borrowed(*kinds):
    """The demo without the strips' own thickness, and without these kinds."""
    return Readings([r for r in DEMO.rows if r.measured not in (*OWN, *kinds)])


SETS = {
    "each strip measured": DEMO,
    "strips borrow the sheet's thickness": borrowed(),
    "three-point alone": borrowed("droop", "droop overhang", "droop density"),
}


def normal(reading, chance, count):
    return chance.normal(reading.mean, reading.uncertainty, count)


class Road:
    """Draws of the raw readings of a set, by name: {(kind, sheet): values}; the same for both where they are shared."""

    SHARED = ("three-point force", "three-point span", "droop density", "three-point support radius")

    def __init__(self, readings, report, seed):
        self.readings, self.report, chance = readings, report, np.random.default_rng(seed)
        self.means, self.drawn = {}, {}
        for kind, sheet in sorted({(r.measured, r.sheet) for r in readings.rows if r.sheet in SHEETS}):
            reading = readings.reading(kind, sheet)
            other = self.drawn.get((kind, "A"))
            same = kind in self.SHARED and sheet == "B" and other is not None
            self.put((kind, sheet), reading.mean, other if same else normal(reading, chance, COUNT))
        if ("droop", "A") in self.drawn and ("droop density", "A") not in self.drawn:
            density = catalogue_density(DESIGN)
            values = normal(density, chance, COUNT)
            for sheet in SHEETS:
                self.put(("droop density", sheet), density.mean, values)
        for sheet, measured in zip(SHEETS, report.sheets, strict=True):
            if ("three-point thickness", sheet) not in self.drawn:
                self.put(("strip", sheet), 0.0, chance.normal(0.0, measured.thickness.details["scatter"], COUNT))

    def put(self, key, mean, values):
        self.means[key], self.drawn[key] = mean, values

    def cambers(self, free=None, held=()):
        """Cambers with only the keys `free` drawn, all where None, but for those `held`."""
        free = set(self.drawn) if free is None else set(free)
        free = free - set(held)
        return self._cambers({k: v if k in free else np.full(COUNT, self.means[k]) for k, v in self.drawn.items()})

    def _cambers(self, drawn):
        thick, moduli, bows = [], [], []
        sides = self.report.inspection.pairings[0].sides
        for sheet, measured, side in zip(SHEETS, self.report.sheets, sides, strict=True):
            points = drawn["thickness", sheet]
            thick.append(points + measured.effective_thickness - measured.thickness.value)
            strip = points + drawn["strip", sheet] if ("strip", sheet) in drawn else None
            moduli.append(self._modulus(drawn, sheet, strip))
            up, down, base = (
                drawn[f"bow{what}", sheet] for what in (", marked face up", ", marked face down", " base")
            )
            bows.append(-side * 8.0 * 0.5 * (up - down) / base**2)
        wide = wide_factor(DESIGN, DESIGN.sheet_thickness)
        d = [wide * e * t**3 / 12.0 for e, t in zip(moduli, thick, strict=True)]
        lengths = DESIGN.free_length, *thick, *d, DESIGN.spacer_diameter, DESIGN.bond_line, DESIGN.setback
        return solve_bowed(*lengths, bow_1=bows[0], bow_2=bows[1]).camber(2)[1][..., -1]

    def _modulus(self, drawn, sheet, strip):
        tests = [t for t in self.report.tests if t.sheet == sheet]
        return sum(self.report.inputs.weight(t) * self._tested(drawn, sheet, strip, t.method) for t in tests)

    def _tested(self, drawn, sheet, strip, method):
        """Moduli of one test; draws that are alike are worked out once."""
        thickness = drawn.get((f"{method} thickness", sheet), strip)
        kinds = ("force", "deflection", "span", "width") if method == "three-point" else ("", "overhang")
        columns = [drawn[f"{method} {kind}".strip(), sheet] for kind in kinds]
        if method == "three-point":
            radius = drawn["three-point support radius", sheet]
            rows = zip(*columns, thickness, radius, strict=True)
            poisson = DESIGN.sheet.poisson
            return _each(lambda *v: three_point(*_exact(*v[:-1]), float(v[-1]), wide_poisson=poisson).value, rows)
        density = drawn["droop density", sheet]
        rows = zip(*columns, thickness, density, strict=True)
        return _each(lambda *v: droop(*_exact(*v), wide_poisson=DESIGN.sheet.poisson).value, rows)


def _each(work, rows):
    known = {}
    return np.array([known[row] if row in known else known.setdefault(row, work(*row)) for row in rows])


def _exact(*values):
    return [Reading(f"x{i}", (float(v),)) for i, v in enumerate(values)]


@pytest.mark.slow
@by_day("readings", SETS, "three-point alone")
def test_the_uncertainty_is_that_of_raw_readings_drawn(readings):
    readings = SETS[readings]
    report = judge_pair(DESIGN, readings, 0.5e-3)
    drawn = Road(readings, report, 1).cambers()
    assert np.std(drawn) == pytest.approx(report.camber.uncertainty, rel=4.0 * KNOWN)
    assert np.mean(drawn) == pytest.approx(report.camber.value, abs=4.0 * report.camber.uncertainty / np.sqrt(COUNT))


KEYS = {
    "thickness of sheet A": ("thickness", "A"),
    "bow, marked face up of sheet B": ("bow, marked face up", "B"),
    "thickness of the strip cut from sheet A, not measured": ("strip", "A"),
}


@pytest.mark.slow
@by_day("name", KEYS, "bow, marked face up of sheet B")
def test_shares_of_the_variance_are_those_of_one_reading_drawn_and_of_all_but_one(name):
    """Chance leaves a share s known to s sqrt(2/n) drawn alone; all but one, the rest is known to (1-s) sqrt(2/n) in
    common draws."""
    readings = SETS["three-point alone"]
    report = judge_pair(DESIGN, readings, 0.5e-3)
    road = Road(readings, report, 2)
    total = np.var(road.cambers())
    share, spread = report.camber.share(name), 4.0 * np.sqrt(2.0 / COUNT)
    alone, without = np.var(road.cambers(free=[KEYS[name]])), np.var(road.cambers(held=[KEYS[name]]))
    assert alone / report.camber.uncertainty**2 == pytest.approx(share, abs=spread * share + 0.005)
    most = 2.0 * spread * np.sqrt(share * (1.0 - share)) + 0.01
    assert 1.0 - without / total == pytest.approx(share, abs=most)
