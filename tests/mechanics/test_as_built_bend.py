"""The pair as built: limits of friction, slope, give and bow, and balance of forces."""

import numpy as np
import pytest
from scipy.optimize import fsolve

from panelmech.mechanics.as_built_bend import real_bend, rod_forces
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.wedge import solve_wedge

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


def test_every_pair_that_is_given_is_in_balance_and_touches_its_rod():
    """Sixty random pairs with every fault at once, up to next to the greatest rod: the moment at the land by vectors,
    the slope there by what gives way, the rod on the chord line, the setback from the corner of the sheet's end (an
    arc of its bow), the energy as an integral. Whoever is not solved is no number. 1e-8: what is claimed for forces."""
    rng = np.random.default_rng(3)
    n = 60
    length, t, gap, setback, stiffness = 0.225, rng.uniform(1e-3, 4e-3, n), 0.3e-3, 0.004, 13.0
    most = solve_bend(length, t, 0.02, gap, setback).greatest_spacer
    diameter = most * np.append(rng.uniform(0.1, 0.9, n - 5), [0.95, 0.97, 0.98, 0.99, 0.995])
    friction, slope = rng.uniform(-0.4, 0.4, n), rng.uniform(-0.01, 0.01, n)
    spring, bow = np.exp(rng.uniform(5, 10, n)), rng.uniform(-0.2, 0.2, n)
    faults = dict(friction=friction, land_slope=slope, land_spring=spring, bow=bow)
    real = real_bend(length, t, diameter, stiffness, gap, setback, **faults)
    good = real.feasible
    assert good.mean() > 0.8
    s, c, reach = np.sin(real.contact_angle), np.cos(real.contact_angle), 0.5 * (diameter + t)
    x, y = real.x[:, -1], real.y[:, -1]
    fx, fy = -real.contact_force * s + real.contact_shear * c, real.contact_force * c + real.contact_shear * s
    moment = (x + 0.5 * t * s) * fy - (y - 0.5 * t * c - real.y[:, 0]) * fx
    ahead = length - real.contact_arclength
    nodes, weights = np.polynomial.legendre.leggauss(10)
    turn = real.contact_angle[:, None] + bow[:, None] * ahead[:, None] * 0.5 * (nodes + 1)
    last = real.contact_angle + bow * ahead
    end = [v + 0.5 * ahead * (f(turn) @ weights) for v, f in ((x, np.cos), (y, np.sin))]
    found = {
        "shear": (real.contact_shear, friction * real.contact_force),
        "moment": (real.land_moment, moment),
        "slope": (real.land_slope, slope + real.land_moment / spring),
        "strain": (real.land_strain, 0.5 * t * real.land_moment / stiffness),
        "rod": (real.spacer_position, x + reach * s),
        "on the chord line": (y, reach * c),
        "setback": (end[0] + 0.5 * t * np.sin(last) - real.spacer_position - 0.5 * diameter, setback),
        "mouth": (real.mouth, 2 * (end[1] - 0.5 * t * np.cos(last))),
    }
    for name, (ours, expected) in found.items():
        scale = np.max(np.abs(ours[good]))
        assert ours[good] == pytest.approx(np.broadcast_to(expected, n)[good], rel=1e-8, abs=1e-8 * scale), name
    assert np.all(real.residual[good] < 1e-11 * (1 + (length**2 * real.contact_force / stiffness)[good]))


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
    with pytest.raises(ValueError, match="bending stiffness is 0 N·m: give a positive number"):
        real_bend(0.225, 0.002, 0.018, 0.0)
    with pytest.raises(ValueError, match="greatest"):
        real_bend(0.225, 0.002, 0.3, STIFFNESS)


def test_arrays_give_each_pair_its_own_answer():
    """Over several chunks and broadcast; nan where a pair cannot be bent, and only there."""
    diameters = np.linspace(0.012, 0.1, 70)
    many = real_bend(0.225, 0.002, diameters, STIFFNESS, 0.3e-3, 0.003, friction=0.2, land_spring=2000.0)
    assert many.feasible.all() and many.contact_force.shape == (70,) and many.x.shape[0] == 70
    for i in (0, 64, 69):
        alone = real_bend(0.225, 0.002, diameters[i], STIFFNESS, 0.3e-3, 0.003, friction=0.2, land_spring=2000.0)
        assert many.contact_force[i] == pytest.approx(alone.contact_force, rel=1e-11)
        assert many.x[i] == pytest.approx(alone.x, abs=1e-13)
    grid = real_bend(0.225, 0.002, np.array([[0.02], [0.3]]), STIFFNESS, friction=[0.0, 0.1, 0.3])
    assert grid.mouth.shape == (2, 3) and grid.feasible[0].all() and np.isnan(grid.contact_force[1]).all()
    assert isinstance(real_bend(*CASES[0]).contact_force, float) and isinstance(many.push_out_force, np.ndarray)


def test_forces_on_the_rod_as_arrays():
    friction = np.array([0.0, 0.05, 0.3])
    forces = rod_forces(*CASES[0], friction=friction)
    assert forces.holds.tolist() == [False, False, True]  # tan of the contact angle is 0.0625
    assert forces.pull_out[0] == pytest.approx(-forces.push_in[0], rel=1e-9) and forces.force_change[0] < 1e-9
    alone = rod_forces(*CASES[0], friction=0.3)
    assert isinstance(alone.holds, bool) and forces.push_in[2] == pytest.approx(alone.push_in, rel=1e-11)
    assert alone.stored_energy == pytest.approx(2 * real_bend(*CASES[0]).strain_energy, rel=1e-12)


def test_stored_energy_is_what_the_push_takes():
    """Pushing the rod in by a hair adds to the stored energy what the frictionless push-out force did along the way:
    dU/d(setback) at a fixed rod; a central difference over 2e-6 m, its error the step squared."""
    step = 1e-6
    front, back = (rod_forces(0.225, 0.002, 0.03, STIFFNESS, 0.3e-3, 0.003 + k * step, friction=0.0) for k in (1, -1))
    bend = [solve_bend(0.225, 0.002, 0.03, 0.3e-3, 0.003 + k * step) for k in (1, -1)]
    moved = bend[1].spacer_position - bend[0].spacer_position
    push = rod_forces(0.225, 0.002, 0.03, STIFFNESS, 0.3e-3, 0.003, friction=0.0).push_out
    assert (front.stored_energy - back.stored_energy) / moved == pytest.approx(push, rel=1e-5)


def test_friction_refuses_a_negative_coefficient():
    with pytest.raises(ValueError, match="give 0 to 2"):
        rod_forces(*CASES[0], friction=-0.1)
    with pytest.raises(ValueError, match=r"friction is 3 \(number 2 of 2\): give −2 to 2"):
        real_bend(*CASES[0], friction=np.array([0.1, 3.0]))


def test_a_bow_that_takes_the_sheet_off_the_rod():
    """The arc of a free sheet that just touches the rod, from its own two equations: with a little less bow the rod
    presses it, the less the nearer; with more there is no contact, and no number."""
    length, t, diameter = 0.225, 0.002, 0.018
    reach = 0.5 * (diameter + t)

    def miss(state):
        bow, s = state
        turn, end = bow * s, bow * length
        rise = (1.0 - np.cos(turn)) / bow + 0.5 * t - reach * np.cos(turn)
        front = np.sin(end) / bow + 0.5 * t * np.sin(end)
        return [rise, front - np.sin(turn) / bow - reach * np.sin(turn) - 0.5 * diameter]

    bow, arc = fsolve(miss, [0.4, 0.21], xtol=1e-13)
    bows = bow * np.array([0.99, 1.0 - 1e-4, 1.0 + 1e-4, 1.01])
    bend = real_bend(length, t, diameter, 12.8, bow=bows)
    assert bend.feasible.tolist() == [True, True, False, False]
    assert bend.contact_force[1] / bend.contact_force[0] == pytest.approx(0.01, rel=0.02)  # goes straight to nothing
    assert bend.contact_arclength[1] == pytest.approx(arc, rel=1e-4)
    assert bend.land_strain[1] == pytest.approx(0.0, abs=1e-6)
