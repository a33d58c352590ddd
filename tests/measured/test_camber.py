"""Camber over differences of thickness and modulus, and the line of a tolerance."""

import numpy as np
import pytest

from panelmech.measured.camber import (
    NODES,
    BowEffect,
    _nodes,
    camber_map,
    first_order_offset,
    pair_bend,
    tolerance_line,
)
from panelmech.measured.inspection import SheetReadings, inspect_pair
from panelmech.measured.land import stiffness_of
from panelmech.mechanics.unequal import solve_unequal
from panelmech.study.design import Design


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


def test_the_effect_of_bows_is_exact_at_chebyshevs_points():
    """Those of the first kind, of which no interpolation is far off between; also of a range of no width."""
    assert np.sort(_nodes(1.0, 3.0)) == pytest.approx(2.0 + np.polynomial.chebyshev.chebpts1(NODES), rel=1e-14)
    assert np.sort(_nodes(2.0, 2.0)) == pytest.approx(2.0 + 5e-4 * np.polynomial.chebyshev.chebpts1(NODES), rel=1e-14)


@pytest.fixture(scope="module")
def chart(leeboard):
    return camber_map(leeboard, np.linspace(-0.2, 0.2, 5), np.linspace(-0.3, 0.3, 7))


def test_shape_and_one_case_alone(leeboard, chart):
    assert chart.camber.shape == chart.where.shape == chart.first_order.shape == (5, 7)
    t, d = leeboard.sheet_thickness, stiffness_of(leeboard)
    pair = solve_unequal(
        leeboard.free_length,
        1.1 * t,
        0.9 * t,
        d * 1.1**3 * 1.1,
        d * 0.9**3 * 0.9,
        leeboard.spacer_diameter,
        leeboard.bond_line,
        leeboard.setback,
    )
    x, y = pair.camber(201)
    assert (chart.camber[4, 5], chart.where[4, 5]) == pytest.approx((y[-1], x[-1]), rel=1e-12)
    assert chart.largest_offset[4, 5] == pytest.approx(chart.camber[4, 5], rel=1e-12)
    assert chart.stiffness_ratio[4, 5] == pytest.approx((1.1 / 0.9) ** 4, rel=1e-12)


def test_stiffer_first_sheet_bends_the_nose_away_from_it(chart):
    assert chart.camber[2, 6] < 0 < chart.camber[2, 0]
    assert np.all(np.diff(chart.camber, axis=0) < 0) and np.all(np.diff(chart.camber, axis=1) < 0)


def test_matched_sheets_have_no_camber_and_swapped_ones_mirror(leeboard, chart):
    assert abs(chart.camber[2, 3]) < 1e-15 and abs(chart.sagitta[2, 3]) < 1e-15
    assert chart.where[2, 3] == pytest.approx(leeboard.bend().outline(2)[0][-1], rel=1e-12)
    assert chart.camber == pytest.approx(-chart.camber[::-1, ::-1], rel=1e-9, abs=1e-15)


def test_first_order_rod_offset(leeboard):
    """(R - g/2)(D1 - D2)/(D1 + D2), exact for small openings; by plain arithmetic 8.85 mm / 3 for twice the
    stiffness. The offset of the rod, not of the nose, is what it gives."""
    assert first_order_offset(leeboard, 2.0) == pytest.approx(-0.5 * 17.7e-3 / 3, rel=1e-12)
    errors = []
    for diameter in (0.012, 0.006):
        small = leeboard.replace(spacer_diameter=diameter, sheet_thickness=0.5e-3, bond_line=0.0)
        part = camber_map(small, [0.0], [0.25])
        errors.append(abs(part.pairs.rod_offset[0, 0] / part.first_order[0, 0] - 1))
    assert errors[1] < 2e-3 and errors[1] < 0.4 * errors[0]


def test_sagitta_against_the_fine_mean_line(leeboard, chart):
    """A parabola through three of 201 stations against 20001 stations; error of both, 1e-9 of the sagitta."""
    t, d = leeboard.sheet_thickness, stiffness_of(leeboard)
    pair = solve_unequal(
        leeboard.free_length, t, t, d * 1.15, d * 0.85, leeboard.spacer_diameter, leeboard.bond_line, leeboard.setback
    )
    x, y = pair.camber(20001)
    off = y - y[0] - (x - x[0]) / (x[-1] - x[0]) * (y[-1] - y[0])
    i = np.argmax(np.abs(off))
    assert chart.sagitta[2, 6] == pytest.approx(off[i], rel=1e-7)
    assert chart.sagitta_where[2, 6] == pytest.approx(x[i], abs=2e-5)  # half a fine station
    assert chart.sagitta[2, 6] * chart.camber[2, 6] < 0  # the nose goes one way, the belly the other


def test_small_angle_share_of_the_sagitta(leeboard):
    """The mean line is d (3 xi^2 - xi^3)/2 to first order: it departs most from its own chord at xi = 1 - 1/sqrt(3),
    by 0.19245 of the nose's offset (plain arithmetic); no straight part in front worth the name."""
    small = leeboard.replace(spacer_diameter=2e-3, sheet_thickness=0.2e-3, bond_line=0.0, setback=0.0, spacer_wall=0.0)
    part = camber_map(small, [0.0], [0.1])
    assert part.sagitta[0, 0] / part.camber[0, 0] == pytest.approx(-1 / (3 * np.sqrt(3)), rel=0.02)  # 2R of 225 mm


def test_next_to_no_camber_the_largest_offset_is_at_the_land(leeboard):
    """Thicker but of lower modulus, nose nearly on the chord line: mid-surfaces start (t1 - t2)/4 off its middle."""
    own = -6 * np.arctanh(0.05)  # log of the modulus ratio that makes the stiffnesses of +-5 % in thickness alike
    part = camber_map(leeboard, [0.1], [2 * np.tanh(0.5 * own)])
    start = 0.25 * 0.1 * leeboard.sheet_thickness
    assert abs(part.camber[0, 0]) < start and abs(part.largest_offset[0, 0]) >= abs(part.camber[0, 0])
    assert part.largest_offset[0, 0] == pytest.approx(start, rel=0.1) and part.where[0, 0] < 0.05


def test_tolerance_line_has_the_tolerance(leeboard):
    thick = np.linspace(-0.1, 0.1, 5)
    line = tolerance_line(leeboard, thick, 1e-3)
    for modulus, sign in ((line.low, 1), (line.high, -1)):
        found = np.array([camber_map(leeboard, [a], [b]).camber[0, 0] for a, b in zip(thick, modulus, strict=True)])
        assert found == pytest.approx(np.full(5, sign * 1e-3), rel=1e-8)
    assert np.all(line.low < line.high) and line.low == pytest.approx(-line.high[::-1], rel=1e-7)
    wider = tolerance_line(leeboard, thick, 2e-3)
    assert np.all(wider.low < line.low) and np.all(wider.high > line.high)


def test_tolerance_no_pair_reaches_is_nan(leeboard):
    line = tolerance_line(leeboard, [0.0], 0.05)
    assert np.isnan(line.low[0]) and np.isnan(line.high[0])


def test_same_camber_as_the_inspection(leeboard, chart):
    """Two sheets of 2.1 and 1.9 mm, six readings each."""
    thick, thin = (SheetReadings(n, (t,) * 3, (t,) * 3, 0.0, 0.0, 0.0, 0.8) for n, t in (("a", 2.1e-3), ("b", 1.9e-3)))
    fixed = leeboard.replace(sheet=leeboard.sheet)
    judged = inspect_pair(thick, thin, fixed, 1e-3)
    assert chart.camber[3, 3] == pytest.approx(judged.camber, rel=1e-9)


def test_infeasible_pairs_are_nan(leeboard):
    part = camber_map(leeboard.replace(spacer_diameter=0.114), [0.0, 0.1], [0.0, 1.5])
    assert np.isfinite(part.camber[0, 0]) and np.isnan(part.camber[1, 1]) and not part.pairs.feasible[1, 1]


def test_refusals(leeboard):
    with pytest.raises(ValueError, match="difference is .*between −2 and 2"):
        camber_map(leeboard, [2.0], [0.0])
    with pytest.raises(ValueError, match="difference is .*between −2 and 2"):
        camber_map(leeboard, [0.0], [np.nan])
    with pytest.raises(ValueError, match="tolerance"):
        tolerance_line(leeboard, [0.0], 0.0)


# ----- sheets that were not flat -----


@pytest.mark.parametrize(("thick", "log", "share"), [(0.3, 0.5, 1e-5), (0.8, 1.4, 1e-3)])
def test_effect_of_bows_between_its_exact_places(leeboard, thick, log, share):
    """Against the exact bend at random places, as share of the greatest effect."""
    effect = BowEffect(leeboard, (0.3, -0.2), (-thick, thick), (-log, log))
    chance = np.random.default_rng(3)
    t, e = chance.uniform(-thick, thick, 12), chance.uniform(-log, log, 12)
    mean, d = leeboard.sheet_thickness, stiffness_of(leeboard)
    t1, t2, e1, e2 = mean * (1 + t / 2), mean * (1 - t / 2), 1 + np.tanh(e / 2), 1 - np.tanh(e / 2)
    stiff = d * (t1 / mean) ** 3 * e1, d * (t2 / mean) ** 3 * e2
    ways = [np.array(pair_bend(leeboard, t1, t2, *stiff, bows).camber(201)) for bows in ((0.3, -0.2), (0.0, 0.0))]
    exact = ways[0] - ways[1]
    assert effect.smooth and np.max(np.abs(effect(t, e) - exact)) < share * np.max(np.abs(exact[1]))


def test_map_and_tolerance_line_count_the_bows(leeboard):
    bows = 0.08, 0.03
    axis = np.linspace(-0.05, 0.05, 5)
    chart = camber_map(leeboard, axis, axis, bows)
    t, d = leeboard.sheet_thickness, stiffness_of(leeboard)
    pair = pair_bend(leeboard, 1.025 * t, 0.975 * t, d * 1.025**4, d * 0.975**4, bows)
    y = pair.camber(201)[1]
    assert chart.camber[4, 4] == pytest.approx(y[-1], rel=1e-7)
    assert abs(chart.largest_offset[4, 4]) == pytest.approx(np.max(np.abs(y)), rel=1e-4)
    line = tolerance_line(leeboard, axis, 0.5e-3, bows)
    for i, thick in enumerate(axis):
        for modulus, goal in ((line.low[i], 0.5e-3), (line.high[i], -0.5e-3)):
            one, two = (t * (1 + s * thick / 2) for s in (1, -1))
            stiff = (d * (v / t) ** 3 * (1 + s * modulus / 2) for v, s in ((one, 1), (two, -1)))
            bent = pair_bend(leeboard, one, two, *stiff, bows)
            assert bent.camber(2)[1][-1] == pytest.approx(goal, abs=1e-6)  # a thousandth of the effect


def test_bows_too_large_for_a_corner_are_worked_out_exactly(leeboard):
    effect = BowEffect(leeboard, (12.0, 12.0), (-0.8, 0.8), (-1.4, 1.4), 2)
    assert not effect.smooth
    pair = pair_bend(leeboard, *[leeboard.sheet_thickness] * 2, 1.0, 1.0, (12.0, 12.0))
    got = effect(np.array([0.0]), np.array([0.0]))[1, 0, -1]
    assert np.isnan(got) if not pair.feasible else got == pytest.approx(pair.camber(2)[1][-1], abs=1e-9)
