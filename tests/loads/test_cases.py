"""Load cases: what a statement means along the span, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from panelmech.loads.cases import (
    Planform,
    PointPush,
    SealedAir,
    Severe,
    SideForce,
    WaterHead,
    load_case,
    sealed_pressure,
    severe,
    water_pressure,
)
from panelmech.loads.hydrodynamics import (
    LIFT_MODELS,
    SPREADS,
    crossflow_coefficient,
    effective_aspect_ratio,
    lift,
    lift_slope,
    span_share,
    stall_angle,
)
from panelmech.mechanics.span_curves import span_integral, with_step

SPAN = 0.9
Z = SPAN * np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, 41))
CHORD = 0.30 - 0.1 * Z / SPAN
PLANFORM = Planform(Z, CHORD, 0.25 * 0.30, 0.0)  # straight leading edge, axis at a quarter of the root chord
AREA = 0.25 * SPAN
SAILING = SideForce("sailing", 3.0, 1025.0, angle=0.1)


def test_side_force_in_plain_arithmetic():
    """Effective aspect ratio 0.81 / 0.225 = 3.6, square tip of taper 2/3, half rho v^2 = 4612.5 Pa."""
    case = load_case(SAILING, PLANFORM)
    slope = 0.9 * 2 * np.pi * 3.6 / (np.sqrt(3.6**2 + 4) + 1.8)
    coefficient = slope * 0.1 + (0.1 + 1.6 * 2 / 3) / 3.6 * 0.01
    assert case.details["aspect_ratio"] == pytest.approx(3.6) and case.details["area"] == pytest.approx(AREA)
    assert case.side_force == pytest.approx(coefficient * 4612.5 * AREA, rel=1e-12)
    assert case.notes == () and not case.details["stalled"]


def test_an_entered_coefficient_is_taken_as_it_is():
    case = load_case(SideForce("entered", 2.0, 998.0, coefficient=-0.8), PLANFORM)
    assert case.side_force == pytest.approx(-0.8 * 0.5 * 998 * 4 * AREA, rel=1e-12)
    assert np.all(case.pressure >= 0.0)


def test_force_goes_with_the_square_of_speed_and_with_density():
    one, two = (load_case(SideForce("a", v, rho, angle=0.1), PLANFORM).side_force for v, rho in ((2, 1000), (4, 500)))
    assert two == pytest.approx(2 * one)
    assert load_case(SideForce("a", 0.0, 1000.0, angle=0.1), PLANFORM).side_force == 0.0


def test_end_plate_raises_the_slope_and_stall_comes_sooner():
    low, high = (load_case(SideForce("a", 3, 1025, angle=0.1, end_plate=e), PLANFORM) for e in (1.0, 2.0))
    assert high.details["aspect_ratio"] == pytest.approx(7.2) and high.side_force > low.side_force
    assert stall_angle(3.0) < stall_angle(1.5)


def test_beyond_stall_it_is_said_and_nothing_is_clipped():
    case = load_case(SideForce("hard over", 3, 1025, angle=0.6), PLANFORM)
    expected = lift(0.6, 3.6, crossflow_coefficient(2 / 3)).coefficient
    assert case.details["stalled"] and "beyond the stall angle, 32.4°" in case.notes[0]
    assert case.details["lift_coefficient"] == pytest.approx(expected)


@pytest.mark.parametrize("spread", SPREADS)
@pytest.mark.parametrize("mirrored", [True, False])
def test_every_spread_adds_up_to_one(spread, mirrored):
    assert span_integral(Z, span_share(Z, CHORD, spread, mirrored)) == pytest.approx(1.0, rel=1e-12)


def test_the_spreads_are_what_they_say():
    """Ellipse over a mirrored span: 4 / (pi L) at the root, its middle of force at 4 L / (3 pi), to the error of the
    curve through 41 stations (2e-6, see validation/test_span_beams.py)."""
    ellipse, even, mean = (span_share(Z, CHORD, s) for s in ("elliptic", "proportional to chord", "Schrenk's mean"))
    assert ellipse[0] == pytest.approx(4 / np.pi / SPAN, rel=1e-5) and ellipse[-1] == 0.0
    assert span_integral(Z, ellipse * Z) == pytest.approx(4 * SPAN / 3 / np.pi, rel=1e-5)
    assert even == pytest.approx(CHORD / AREA)
    assert mean == pytest.approx(0.5 * (ellipse + even), rel=1e-5)
    both_ends = span_share(Z, CHORD, "elliptic", mirrored=False)
    assert both_ends[[0, -1]] == pytest.approx([0.0, 0.0], abs=1e-7) and np.max(both_ends) > ellipse[0]


def test_the_ellipse_is_full_at_the_root_only_with_a_mirror_there():
    """Two free ends: the middle of force at half the span; with an end plate at 4 / (3 pi) of it. What is stated counts
    first. To the error of the curve through stations that crowd at both ends (validation/test_span_beams.py)."""
    z = 0.5 * SPAN * (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, 81)))
    planform = Planform(z, 0.30 - 0.1 * z / SPAN, 0.25 * 0.30, 0.0)

    def middle(**given):
        case = load_case(replace(SAILING, **given), planform)
        return span_integral(z, case.force_per_length * z) / case.side_force / SPAN

    assert middle() == pytest.approx(0.5, rel=1e-5)
    assert middle(end_plate=2.0) == pytest.approx(4 / 3 / np.pi, rel=1e-5)
    assert middle(mirrored=True) == pytest.approx(4 / 3 / np.pi, rel=1e-5)
    assert middle(end_plate=1.5, mirrored=False) == pytest.approx(0.5, rel=1e-5)


def test_a_dry_root_moves_the_ellipse_to_the_wet_part():
    """Full at the water line: the middle of force 4 / (3 pi) of the wet part beyond it; with two free ends half of it.
    To the error of the curve through stations that crowd at the ends."""
    dry, wet = 0.3, 0.6
    inside = dry + 0.5 * wet * (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, 81)))
    z = np.concatenate([[0.0, 0.1, dry], inside])
    for mirrored, share in ((True, 4 / 3 / np.pi), (False, 0.5)):
        found = span_share(z, 0.2, "elliptic", mirrored, dry)
        assert span_integral(z, found * z) == pytest.approx(dry + share * wet, rel=1e-5)
    mean, chord = (span_share(z, 0.2, s, True, dry) for s in ("Schrenk's mean", "proportional to chord"))
    assert chord[3:] == pytest.approx(1 / wet) and np.all(chord[:3] == 0.0)
    assert mean == pytest.approx(0.5 * (chord + span_share(z, 0.2, "elliptic", True, dry)), rel=1e-5)


def test_what_was_not_worked_out_is_no_number():
    """With an angle all of it is told; with a coefficient as entered nothing that hangs on an angle."""
    by_angle, entered = (
        load_case(SideForce("a", 3, 1025, **v), PLANFORM) for v in ({"angle": 0.1}, {"coefficient": 0.4})
    )
    told = ("lift_slope", "crossflow", "stall_angle", "angle")
    assert by_angle.details["angle"] == 0.1 and all(by_angle.details[name] > 0.0 for name in told)
    assert all(np.isnan(entered.details[name]) for name in told) and entered.details["stalled"] is False
    assert entered.details["lift_coefficient"] == 0.4 and entered.details["aspect_ratio"] == pytest.approx(3.6)


def test_stall_is_told_for_either_side():
    for angle in (0.6, -0.6):
        found = lift(angle, 3.6)
        assert found.stalled and "beyond the stall angle" in found.notes[0] and "34.4°" in found.notes[0]
    assert not lift(-0.3, 3.6).stalled


def test_the_pressure_is_that_share_of_the_force_over_the_chord():
    """A blade whose whole force one face bears, and half of it; outward on the skin for either direction."""
    for sign in (1.0, -1.0):
        whole, half = (load_case(SideForce("a", 3, 1025, angle=sign * 0.1, skin_share=s), PLANFORM) for s in (1.0, 0.5))
        assert whole.pressure * CHORD == pytest.approx(np.abs(whole.force_per_length))
        assert half.pressure == pytest.approx(0.5 * whole.pressure) and np.sign(whole.side_force) == sign


def test_even_chord_takes_even_pressure():
    case = load_case(SideForce("a", 3, 1025, angle=0.1, spread="proportional to chord"), PLANFORM)
    assert case.pressure == pytest.approx(case.side_force / AREA + 0 * Z)


def test_a_dry_root_takes_nothing():
    z = with_step(Z, 0.2)
    chord = 0.30 - 0.1 * z / SPAN
    reaching = SideForce("reaching", 3, 1025, coefficient=0.5, immersed_from=0.2, mirrored=True)
    case = load_case(reaching, Planform(z, chord, 0.1, 0.0))
    wet = 0.7 * (0.30 - 0.1 * 0.2 / SPAN + 0.2) / 2
    assert case.details["area"] == pytest.approx(wet) and case.side_force == pytest.approx(0.5 * 4612.5 * wet)
    assert np.all(case.force_per_length[z < 0.2] == 0.0) and np.all(case.pressure[z < 0.2] == 0.0)
    step = np.flatnonzero(z == 0.2)
    assert case.force_per_length[step[0]] == 0.0 < case.force_per_length[step[1]]


def test_torque_is_force_times_the_arm_to_the_axis():
    """Straight leading edge, axis at a quarter of the root chord: the quarter point of the tip lies 25 mm ahead."""
    case = load_case(SAILING, PLANFORM)
    arm = case.torque_per_length / np.where(case.force_per_length == 0, 1, case.force_per_length)
    assert arm[0] == pytest.approx(0.0, abs=1e-15) and arm[-2] == pytest.approx(0.25 * 0.1 * Z[-2] / SPAN)
    aft = load_case(SideForce("a", 3, 1025, angle=0.1, centre=0.5), PLANFORM)
    assert aft.torque_per_length[0] == pytest.approx(-0.25 * 0.30 * aft.force_per_length[0])


def test_a_push_at_the_tip_and_off_the_axis():
    """At half the tip chord, 200 mm: the leading edge is 75 mm ahead of the axis, so 25 mm behind it."""
    (point,) = load_case(PointPush("grounding", 200.0, 1.0, 0.5), PLANFORM).points
    assert (point.position, point.force, point.torque) == pytest.approx((SPAN, 200.0, 200.0 * (0.075 - 0.1)))
    (middle,) = load_case(PointPush("line", -50.0, 0.5), PLANFORM).points
    assert (middle.position, middle.force, middle.torque) == (SPAN / 2, -50.0, 0.0)


def test_sealed_air():
    """20 to 60 deg C 13.8 kPa, 15 to 50 deg C 12.3 kPa (three digits); nothing where nothing is heated."""
    assert sealed_pressure(293.15, 333.15) == pytest.approx(13.8e3, abs=50)
    assert sealed_pressure(288.15, 323.15) == pytest.approx(12.3e3, abs=50)
    assert sealed_pressure(300.0, [300.0, 270.0]) == pytest.approx([0.0, -0.1 * 101325.0])
    case = load_case(SealedAir("sun", 293.15, 333.15), PLANFORM)
    assert np.all(case.pressure == sealed_pressure(293.15, 333.15)) and case.side_force == 0.0
    assert "20.0 to 60.0 °C" in case.source


def test_standing_water():
    assert water_pressure(998.2071, 0.5) == pytest.approx(998.2071 * 9.80665 * 0.5)
    inside, outside = (load_case(WaterHead("w", 0.5, 1000.0, inside=i), PLANFORM) for i in (True, False))
    assert inside.pressure[0] == -outside.pressure[0] == pytest.approx(4903.325) and inside.lasting


def test_a_severe_case_is_the_case_times_its_factor():
    once, more = load_case(SAILING, PLANFORM), load_case(Severe("gust", SAILING, 2.5, "my own guess"), PLANFORM)
    assert more.side_force == pytest.approx(2.5 * once.side_force) and more.factor == 2.5
    assert more.torque_per_length == pytest.approx(2.5 * once.torque_per_length)
    assert more.pressure == pytest.approx(2.5 * once.pressure)
    assert more.source.startswith("sailing times 2.5: my own guess")
    (point,) = severe(load_case(PointPush("p", 100.0), PLANFORM), 3.0, "hard", "guess").points
    assert point.force == 300.0


def test_lift_is_odd_in_the_angle_and_zero_at_none():
    assert lift(0.0, 2.0).coefficient == 0.0
    assert lift(-0.2, 2.0, 0.8).coefficient == -lift(0.2, 2.0, 0.8).coefficient
    for model in LIFT_MODELS:
        assert np.all(np.diff(lift_slope(np.linspace(0.3, 8, 40), model)) > 0)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: SideForce("a", -1.0, 1025, angle=0.1), "speed is −1 m/s: give zero or more, in m/s; the direction"),
        (lambda: SideForce("a", np.nan, 1025, angle=0.1), "speed"),
        (lambda: SideForce("a", 1.0, 0.0, angle=0.1), "density"),
        (lambda: SideForce("a", 1.0, 1025), "not neither"),
        (lambda: SideForce("a", 1.0, 1025, angle=0.1, coefficient=1.0), "not both"),
        (lambda: SideForce("a", 1.0, 1025, coefficient=np.inf), "finite"),
        (lambda: SideForce("a", 1.0, 1025, angle=0.1, spread="square"), "give one of"),
        (lambda: SideForce("a", 1.0, 1025, angle=0.1, centre=1.5), "centre is 1.5: give 0 to 1; it is a share"),
        (
            lambda: load_case(SideForce("a", 1.0, 1025, angle=0.1, end_plate=2.5), PLANFORM),
            "end_plate is 2.5: give 1 to 2; 1 for two free ends",
        ),
        (
            lambda: load_case(SideForce("a", 1.0, 1025, angle=0.1, model="mine"), PLANFORM),
            "model is 'mine': give one of whicker",
        ),
        (lambda: load_case(SideForce("a", 1.0, 1025, angle=2.0), PLANFORM), "right angle"),
        (lambda: load_case(SideForce("a", 1.0, 1025, angle=0.1, immersed_from=0.2), PLANFORM), "must stand twice"),
        (lambda: load_case(SideForce("a", 1.0, 1025, angle=0.1, immersed_from=2.0), PLANFORM), "before the tip"),
        (lambda: PointPush("a", np.inf), "finite"),
        (lambda: PointPush("a", 1.0, 1.2), "place is 1.2: give 0 to 1"),
        (lambda: Severe("a", SAILING, -1.0, ""), "give zero or more"),
        (lambda: severe(load_case(SAILING, PLANFORM), np.nan, "a", ""), "factor"),
        (lambda: sealed_pressure(0.0, 300.0), "sealed at is 0 K: give a positive number"),
        (lambda: sealed_pressure(20.0, -40.0), "273.15"),
        (lambda: water_pressure(1000.0, -1.0), "depth is −1000 mm: give zero or more"),
        (lambda: load_case("wind", PLANFORM), "no load"),
        (lambda: Planform(Z, -CHORD, 0.0, 0.0), "must not be negative"),
        (lambda: Planform(Z, CHORD * np.nan, 0.0, 0.0), "chord is nan .*: give finite numbers"),
        (lambda: effective_aspect_ratio(0.0, 1.0), "span is 0 m: give a positive number"),
        (lambda: lift_slope(0.0), "aspect ratio is 0: give a positive number"),
        (lambda: stall_angle(-1.0), "aspect ratio is −1: give a positive number"),
        (lambda: lift(0.1, 2.0, -0.1), "cross-flow"),
        (lambda: crossflow_coefficient(-1.0), "taper"),
    ],
)
def test_what_is_refused(make, words):
    with pytest.raises(ValueError, match=words):
        make()


MANY = np.outer([1.0, 0.8, 1.3], CHORD)


@pytest.mark.parametrize(
    "statement",
    [
        *(replace(SAILING, spread=spread, name=spread) for spread in SPREADS),
        replace(SAILING, tip=0.4, centre=0.4),
        SideForce("entered", 2.0, 998.0, coefficient=-0.8),
        PointPush("line", 50.0, 0.37, 0.3),
        WaterHead("w", 0.5, 1000.0),
        Severe("gust", SAILING, 2.5, "my own guess"),
        Severe("hard", PointPush("line", 50.0, 0.37, 0.3), 2.0, "my own guess"),
    ],
    ids=lambda statement: statement.name,
)
def test_the_case_of_many_blades_is_that_of_each(statement):
    axes = np.array([[0.0], [0.02], [-0.01]])
    many = load_case(statement, Planform(Z, MANY, 0.25 * MANY, axes))
    for i, chord in enumerate(MANY):
        one = load_case(statement, Planform(Z, chord, 0.25 * chord, float(axes[i, 0])))
        for name in ("force_per_length", "torque_per_length", "pressure"):
            found = np.broadcast_to(getattr(many, name), MANY.shape)[i]
            np.testing.assert_allclose(found, getattr(one, name), rtol=1e-12)
        for found, point in zip(many.points, one.points, strict=True):
            assert (found.position, found.force) == (point.position, point.force)
            assert np.broadcast_to(found.torque, 3)[i] == pytest.approx(point.torque, rel=1e-12)


def test_a_planform_of_many_has_a_row_for_each():
    for chord, axis in ((MANY.T, 0.0), (MANY[None], 0.0), (MANY, np.zeros(3))):
        with pytest.raises(ValueError, match="planform|do not go together"):
            Planform(Z, chord, 0.1, axis)
