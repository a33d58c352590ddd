"""Side force of a cambered blade: thin-aerofoil theory, lift slope, signs."""

import numpy as np
import pytest

from panelmech.loads.hydrodynamics import lift_slope
from panelmech.loads.steering import (
    SEA_WATER,
    balancing_helm,
    steering_bias,
    steering_words,
    zero_lift_angle,
)
from panelmech.mechanics.unequal import solve_unequal
from panelmech.study.design import Design


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


def pair_of(design, d1, d2):
    return solve_unequal(
        design.free_length,
        design.sheet_thickness,
        design.sheet_thickness,
        d1,
        d2,
        design.spacer_diameter,
        design.bond_line,
        design.setback,
    )


def integral(slope, chord=1.0, count=400):
    """Angle of no lift of a mean line given by its slope over X, stations close together at both ends: midpoints in
    phi, which are exact for smooth lines."""
    phi = np.pi * (np.arange(count) + 0.5) / count
    x = 0.5 * chord * (1 - np.cos(phi))
    return zero_lift_angle(x, slope(x), 0.5 * np.pi / count * chord * np.sin(phi), chord)


def test_published_angles_of_no_lift():
    """Glauert 1926: a parabolic line of sagitta f has -2 f/c; a flap of share E turned by d has
    -d (1 - (phi - sin phi)/pi), hinge at c (1 - cos phi)/2 (from memory)."""
    f = 0.02
    assert integral(lambda x: 4 * f * (1 - 2 * x)) == pytest.approx(-2 * f, rel=1e-12)
    hinge = np.arccos(-0.5)  # three quarters of the chord
    got = integral(lambda x: np.where(x > 0.75, -0.1, 0.0), count=40000)
    assert got == pytest.approx(-0.1 * (1 - (hinge - np.sin(hinge)) / np.pi), rel=1e-4)  # hinge between stations


def test_a_line_only_turned_has_its_own_angle():
    assert integral(lambda x: 0.03 + 0.0 * x) == pytest.approx(0.03, rel=1e-12)


@pytest.mark.parametrize(
    ("aspect", "published"), [(0.5, 0.773495458), (1, 1.48325885), (2.21, 2.78797368), (6, 4.52866374)]
)
def test_lift_slope_table(aspect, published):
    """Helmbold's formula tabulated to nine digits; tolerance from that rounding."""
    assert lift_slope(aspect, "helmbold") == pytest.approx(published, rel=2e-9)


def test_lift_slope_limits():
    assert lift_slope(1e9, "helmbold") == pytest.approx(2 * np.pi, rel=1e-8) and lift_slope(
        1e-6, "helmbold"
    ) == pytest.approx(np.pi / 2 * 1e-6, rel=1e-5)
    assert lift_slope(np.array([1.0, 2.0]), "helmbold").shape == (2,)
    with pytest.raises(ValueError, match="positive"):
        lift_slope(0.0, "helmbold")


def test_matched_pair_has_no_bias(leeboard):
    bias = steering_bias(leeboard, pair_of(leeboard, 12.0, 12.0), 2.5)
    assert abs(bias.side_force) < 1e-12 and abs(bias.zero_lift_angle) < 1e-15
    assert "straight" in steering_words(bias)[0]


def test_small_angle_line_by_hand(leeboard):
    """d (3 xi^2 - xi^3)/2 over the whole chord, no land: against its own chord line the integral by numpy's trapezium
    in phi. The blade's mean line is that curve to first order, so to some per cent."""
    thin = leeboard.replace(spacer_diameter=3e-3, sheet_thickness=0.2e-3, bond_line=0.0, setback=0.0, land_length=1e-3)
    bias = steering_bias(thin, pair_of(thin, 1.2, 1.0), 1.0)
    phi = np.linspace(0, np.pi, 20001)
    xi = 1 - 0.5 * (1 - np.cos(phi))
    slope = -(1.5 * (2 * xi - xi**2)) + 1.0  # by X backwards, turned to its own chord
    hand = np.trapezoid((1 - np.cos(phi)) * slope, phi) / np.pi
    offset = pair_of(thin, 1.2, 1.0).camber(2)[1][-1] / bias.chord
    assert bias.zero_lift_angle / offset == pytest.approx(hand, rel=0.03)
    assert bias.sagitta / (offset * bias.chord) == pytest.approx(-1 / (3 * np.sqrt(3)), rel=0.03)


def test_second_road_by_lumped_vortices(leeboard):
    """A vortex at each panel's quarter, no flow through the line at its three quarters, on the mean line as it is
    drawn, land included; lift falls linearly with the angle, so two give that of no lift. Error about 1/panels."""
    pair, count = pair_of(leeboard, 14.0, 11.0), 800
    x, y = pair.camber(4001)
    x, y = np.r_[-leeboard.land_length, x], np.r_[y[0], y]
    back, chord = x[-1] - x[::-1], x[-1] - x[0]
    edge = np.linspace(0, chord, count + 1)
    width = edge[1] - edge[0]
    vortex, check = edge[:-1] + 0.25 * width, edge[:-1] + 0.75 * width
    slope = np.interp(check, 0.5 * (back[1:] + back[:-1]), np.diff(y[::-1]) / np.diff(back))  # dz/dX
    wash = 1 / (2 * np.pi * (check[:, None] - vortex))
    lift = [np.linalg.solve(wash, angle - slope).sum() for angle in (0.0, 0.1)]
    none = -lift[0] * 0.1 / (lift[1] - lift[0])
    assert lift[1] - lift[0] == pytest.approx(0.1 * np.pi * chord, rel=1e-3)
    assert steering_bias(leeboard, pair, 1.0).zero_lift_against_land == pytest.approx(none, rel=3e-3)


def test_signs_and_the_two_lines(leeboard):
    """A stiffer first sheet sends the nose to the other side and the belly to its own. Along the line from nose to
    trailing edge the force goes with the belly; along the land, with the nose."""
    bias = steering_bias(leeboard, pair_of(leeboard, 14.0, 11.0), 2.5)
    assert bias.sagitta > 0 and bias.side_force > 0 > bias.side_force_land
    assert bias.rudder_angle == bias.zero_lift_angle < 0
    words = steering_words(bias)
    assert "towards its upper sheet" in words[0] and "towards the lower sheet cancels" in words[0]
    assert "2.5 m/s" in words[0] and "other sheet" in words[1] and "estimate" in words[2]
    mirrored = steering_bias(leeboard, pair_of(leeboard, 11.0, 14.0), 2.5)
    assert mirrored.side_force == pytest.approx(-bias.side_force, rel=1e-9)


def test_force_scales_with_speed_squared_and_size(leeboard):
    pair = pair_of(leeboard, 14.0, 11.0)
    slow, fast = (steering_bias(leeboard, pair, v) for v in (1.0, 3.0))
    assert fast.side_force == pytest.approx(9 * slow.side_force, rel=1e-12)
    assert steering_bias(leeboard, pair, 0.0).side_force == 0.0
    by_hand = 0.5 * SEA_WATER * fast.chord * leeboard.span * 9 * fast.lift_slope * -fast.zero_lift_angle
    assert fast.side_force == pytest.approx(by_hand, rel=1e-12)
    assert SEA_WATER == pytest.approx(1025.976, abs=0.01)  # 15 degrees, by the equation of state
    assert slow.chord == pytest.approx(leeboard.land_length + pair.camber(2)[0][-1], rel=1e-12)
    assert slow.aspect_ratio == pytest.approx(leeboard.span / slow.chord, rel=1e-12)
    assert slow.lift_slope == lift_slope(slow.aspect_ratio, "helmbold")
    hull = steering_bias(leeboard, pair, 1.0, aspect_factor=2.0)
    assert hull.aspect_ratio == pytest.approx(2 * slow.aspect_ratio) and abs(hull.side_force) > abs(slow.side_force)
    assert any("estimate" in n for n in fast.notes) and any("Left out" in n for n in fast.notes)


@pytest.mark.parametrize("speed", [0.01, 0.3, 5.0])
def test_words_of_a_small_force_are_those_of_a_large_one(leeboard, speed):
    """Which side a force and a turn are on does not hang on how large they are."""
    for pair, belly, other in ((pair_of(leeboard, 14.0, 11.0), "upper", "lower"),
                               (pair_of(leeboard, 11.0, 14.0), "lower", "upper")):  # fmt: skip
        first, second, *_ = steering_words(steering_bias(leeboard, pair, speed))
        assert f"towards its {belly} sheet" in first and f"towards the {other} sheet cancels" in first
        assert "towards the other sheet" in second


def test_rudder_that_balances_a_board():
    """10 N, rudder of 0.1 m2 with slope 2 pi at large aspect: 10/(0.5 rho v^2 0.1 2 pi) rad, against the force."""
    angle = balancing_helm(10.0, 3.0, 0.1, 1e9, density=1000.0)
    assert angle == pytest.approx(-10 / (0.5 * 1000 * 9 * 0.1 * 2 * np.pi), rel=1e-8)
    assert balancing_helm(10.0, 3.0, 0.1, 1e9, 0.5, 1000.0) == pytest.approx(0.5 * angle)


def test_refusals(leeboard):
    with pytest.raises(ValueError, match="one pair"):
        steering_bias(leeboard, pair_of(leeboard, np.array([1.0, 2.0]), 1.0), 1.0)
    far = solve_unequal(0.225, 0.002, 0.002, 1.0, 1.0, 0.4)
    with pytest.raises(ValueError, match="spacer"):
        steering_bias(leeboard, far, 1.0)
    with pytest.raises(ValueError, match="speed"):
        steering_bias(leeboard, pair_of(leeboard, 1.0, 1.0), -1.0)
    with pytest.raises(ValueError, match="positive"):
        balancing_helm(1.0, 0.0, 0.1, 1.0)


@pytest.mark.parametrize(("factor", "allowed"), [(0.01, True), (0.0099, False), (100.0, True), (101.0, False)])
def test_a_blade_counts_from_a_hundredth_to_a_hundred_times_its_own_aspect_ratio(leeboard, factor, allowed):
    pair = pair_of(leeboard, 14.0, 11.0)
    if allowed:
        estimate = steering_bias(leeboard, pair, 1.0, aspect_factor=factor)
        assert estimate.aspect_ratio == pytest.approx(factor * leeboard.span / estimate.chord, rel=1e-12)
        return
    with pytest.raises(ValueError, match="aspect factor"):
        steering_bias(leeboard, pair, 1.0, aspect_factor=factor)
