"""The pair as built: limits of friction, slope, give and bow, and balance of forces."""

import numpy as np
import pytest

from panelmech.bend import solve_bend
from panelmech.real_bend import real_bend, rod_forces
from panelmech.wedge import solve_wedge

STIFFNESS = 13.64
CASES = [(0.225, 0.002, d, STIFFNESS, 0.3e-3, 0.003) for d in (0.018, 0.06, 0.1)]


@pytest.mark.parametrize("case", CASES)
def test_without_faults_it_is_the_exact_bend(case):
    ideal, real = solve_bend(*case[:3], *case[4:]), real_bend(*case)
    assert real.contact_angle == pytest.approx(ideal.contact_angle, rel=1e-10)
    assert real.contact_force == pytest.approx(STIFFNESS * ideal.wavenumber**2, rel=1e-9)
    assert real.mouth == pytest.approx(ideal.mouth, rel=1e-10)


@pytest.mark.parametrize("case", CASES)
def test_hinged_land_gives_the_flat_wedge_and_no_force(case):
    wedge, real = solve_wedge(*case[:3], *case[4:]), real_bend(*case, land_spring=0.0)
    assert real.contact_angle == pytest.approx(wedge.angle, rel=1e-9)
    assert abs(real.contact_force) < 1e-7 * real_bend(*case).contact_force


def test_stiff_land_gives_the_clamped_bend():
    force = [real_bend(*CASES[0], land_spring=s).contact_force for s in (1e7, 1e9, np.inf)]
    assert force[1] == pytest.approx(force[2], rel=1e-6)
    assert abs(force[0] / force[2] - 1) > abs(force[1] / force[2] - 1)


@pytest.mark.parametrize("case", CASES)
def test_friction_vanishes_smoothly_and_keeps_the_balance(case):
    smooth = real_bend(*case)
    change = [real_bend(*case, friction=f).contact_force / smooth.contact_force - 1 for f in (0.02, 0.01)]
    assert change[0] / change[1] == pytest.approx(2.0, rel=0.05)
    rough = real_bend(*case, friction=0.3)
    across = -np.sin(rough.contact_angle), np.cos(rough.contact_angle)
    along = np.cos(rough.contact_angle), np.sin(rough.contact_angle)
    fx, fy = (rough.contact_force * across[i] + rough.contact_shear * along[i] for i in (0, 1))
    t = case[1]
    arm = (
        rough.x[-1] + t / 2 * np.sin(rough.contact_angle),
        rough.y[-1] - t / 2 * np.cos(rough.contact_angle) - rough.y[0],
    )
    assert arm[0] * fy - arm[1] * fx == pytest.approx(rough.land_moment, rel=1e-8)  # moment about the land end


def test_rod_holds_itself_when_the_slope_is_below_the_friction():
    assert rod_forces(*CASES[0], friction=0.3).holds
    assert not rod_forces(*CASES[2], friction=0.3).holds
    slender = rod_forces(*CASES[0], friction=0.3)
    assert slender.force_change < 0.01 < slender.push_in / slender.push_out


def test_one_degree_at_the_land_moves_the_force_by_a_tenth_or_more():
    """Common practice, no source: a tenth to a third; for the most slender part even more."""
    for case in CASES[:2]:
        change = real_bend(*case, land_slope=np.radians(1.0)).contact_force / real_bend(*case).contact_force - 1
        assert -0.5 < change < -0.1


def test_bow_towards_the_bend_relieves_it():
    out, back = (real_bend(*CASES[0], bow=b).contact_force for b in (0.02, -0.02))
    plain = real_bend(*CASES[0]).contact_force
    assert out < plain < back


def test_refusals():
    with pytest.raises(ValueError, match="positive stiffness"):
        real_bend(0.225, 0.002, 0.018, 0.0)
    with pytest.raises(ValueError, match="greatest"):
        real_bend(0.225, 0.002, 0.3, STIFFNESS)
