"""Two unlike sheets with bows of their own over one rod."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.pressed_sheet import COUNT, FIRST, WEIGHTS, complex_slopes
from panelmech.mechanics.unequal import BOWED_AWAY, solve_unequal
from panelmech.mechanics.unequal_bow import MOST_BOW, equations, slopes, solve_bowed

PAIR = dict(free_length=0.225, thickness_1=0.002, thickness_2=0.0017, stiffness_1=1.4, stiffness_2=0.9)
OVER = dict(spacer_diameter=0.03, bond_line=0.3e-3, setback=0.003)
NAMES = ("contact_angle", "contact_arclength", "wavenumber", "setback", "contact_force")


def solved(**changes):
    return solve_bowed(**{**PAIR, **OVER, **changes})


@pytest.mark.parametrize("closure", ["floating", "jig"])
def test_without_bow_it_is_the_plain_pair(closure):
    """From thin to thick, and with the land open."""
    spacer, ratio = np.array([0.004, 0.012, 0.03, 0.06])[:, None], np.array([0.5, 1.0, 1.7])
    given = PAIR | OVER | dict(stiffness_1=0.9 * ratio, spacer_diameter=spacer, closure=closure, land_slope_1=0.003)
    plain, bowed = solve_unequal(**given), solve_bowed(**given)
    assert plain.feasible.all() and bowed.feasible.all()
    opening = 0.5 * spacer
    for sheet in (1, 2):
        for name in NAMES:
            own = f"{name}_{sheet}"
            assert getattr(bowed, own) == pytest.approx(getattr(plain, own), rel=1e-8, abs=1e-11), own
        for stations in (9, np.array([0.0, 0.01, 0.2, 0.22])):
            for got, want in zip(bowed.outline(sheet, stations), plain.outline(sheet, stations), strict=True):
                assert np.max(np.abs(got - want) / opening[..., None]) < 1e-9
            turned = bowed.tangent_angle(sheet, stations) - plain.tangent_angle(sheet, stations)
            assert np.max(np.abs(turned)) < 1e-9
        assert bowed.surface_strain(sheet) == pytest.approx(plain.surface_strain(sheet), rel=1e-8)
    assert bowed.jig_force == pytest.approx(plain.jig_force, rel=1e-7, abs=1e-9)
    assert bowed.outer_thickness == pytest.approx(plain.outer_thickness, rel=1e-9)


@pytest.mark.parametrize("bow", [-0.5, 0.2])
def test_alike_sheets_with_one_bow_are_the_real_pair(bow):
    both = dict(thickness_2=0.002, stiffness_2=1.4, bow_1=bow, bow_2=bow)
    pair = solved(**both)
    real = real_bend(0.225, 0.002, 0.03, 1.4, 0.3e-3, 0.003, bow=bow)
    assert abs(pair.rod_offset) < 1e-12 and np.max(np.abs(pair.camber()[1])) < 1e-12
    for sheet in (1, 2):
        assert getattr(pair, f"contact_force_{sheet}") == pytest.approx(real.contact_force, rel=1e-8)
        assert 1.4 * pair.bending_curvature(sheet) == pytest.approx(real.land_moment, rel=1e-8)
        assert pair.surface_strain(sheet) == pytest.approx(real.land_strain, rel=1e-8)
    mouth = pair.outer_thickness - 2 * 0.002 * np.cos(pair.tangent_angle(1, 2)[-1])
    assert mouth == pytest.approx(real.mouth, rel=1e-8)


@pytest.mark.parametrize("bows", [(0.3, -0.2), (-0.4, -0.1), (0.0, 0.6)])
def test_equilibrium_integrated_back_from_the_contact(bows):
    """By another road: D th'' = -N cos(th_c - th) from the rod to the land by an adaptive Runge-Kutta method."""
    pair = solved(bow_1=bows[0], bow_2=bows[1], land_slope_2=0.004)
    radius, gap, centres, setbacks = 0.015, 0.3e-3, [], []
    for sheet, side, bow, slope in ((1, 1.0, bows[0], 0.0), (2, -1.0, bows[1], 0.004)):
        names = ("contact_angle", "contact_arclength", "wavenumber", "thickness")
        angle, arc, wave, thickness = (getattr(pair, f"{n}_{sheet}") for n in names)

        def back(_, state, angle=angle, wave=wave):
            th = state[0]
            return [-state[1], wave**2 * np.cos(angle - th), np.cos(th), np.sin(th)]

        done = solve_ivp(back, (0.0, arc), [angle, bow, 0.0, 0.0], method="DOP853", rtol=1e-12, atol=1e-13).y[:, -1]
        assert done[0] == pytest.approx(slope, abs=1e-9)
        assert done[1] == pytest.approx(pair.land_curvature(sheet), abs=1e-8)
        reach = radius + 0.5 * thickness
        rise = done[3] + 0.5 * (thickness + gap)
        assert rise == pytest.approx(reach * np.cos(angle) + side * pair.rod_offset, abs=1e-11)
        centres.append(done[2] + reach * np.sin(angle))
        ahead = 0.225 - arc
        tip = angle + bow * ahead
        run = (np.sin(tip) - np.sin(angle)) / bow if bow else ahead * np.cos(angle)
        setbacks.append(done[2] + run + 0.5 * thickness * np.sin(tip) - centres[-1] - radius)
        x, y = pair.outline(sheet, 2)
        assert (x[-1], side * y[-1] - rise) == pytest.approx(
            (done[2] + run, (np.cos(angle) - np.cos(tip)) / bow if bow else ahead * np.sin(angle)), abs=1e-10
        )
    assert centres == pytest.approx([pair.spacer_position] * 2, abs=1e-11)
    assert setbacks == pytest.approx([pair.setback_1, pair.setback_2], abs=1e-10)
    assert np.mean(setbacks) == pytest.approx(0.003, abs=1e-11)
    assert pair.contact_force_1 * np.cos(pair.contact_angle_1) == pytest.approx(
        pair.contact_force_2 * np.cos(pair.contact_angle_2), rel=1e-9
    )


def test_exchanged_sheets_are_the_mirror_image():
    one = solved(bow_1=0.3, bow_2=-0.1)
    other = solved(thickness_1=0.0017, thickness_2=0.002, stiffness_1=0.9, stiffness_2=1.4, bow_1=-0.1, bow_2=0.3)
    assert other.camber()[1] == pytest.approx(-one.camber()[1], abs=1e-12)
    assert other.contact_force_2 == pytest.approx(one.contact_force_1, rel=1e-9)


def test_a_sheet_bowed_outwards_presses_less_and_the_nose_goes_to_its_side():
    """It wants to lie farther out: the other sheet pushes the rod after it."""
    alike = dict(thickness_2=0.002, stiffness_2=1.4)
    flat, bowed = solved(**alike), solved(**alike, bow_1=0.1)
    assert bowed.contact_force_1 < flat.contact_force_1 and bowed.rod_offset > 0 and bowed.camber()[1][-1] > 0
    small = [solved(**alike, bow_1=b).camber()[1][-1] for b in (0.001, 0.002)]
    assert small[1] == pytest.approx(2 * small[0], rel=1e-3)


def test_energy_of_opening_is_what_the_pair_loses_when_the_land_gets_shorter():
    """The rod held where it is, the land opened by da: energy of both bends, and of what the land held straight."""
    bows, d = (0.3, -0.2), (1.4, 0.9)
    here = solved(bow_1=bows[0], bow_2=bows[1])

    def energy(more):
        length, low, high = 0.225 + more, -0.01, 0.02
        for _ in range(60):  # the setback at which the rod has not moved along the chord
            setback = 0.5 * (low + high)
            pair = solved(free_length=length, setback=setback, bow_1=bows[0], bow_2=bows[1])
            low, high = (setback, high) if pair.spacer_position > here.spacer_position + more else (low, setback)
        total = 0.0
        for i in (1, 2):
            arc = getattr(pair, f"contact_arclength_{i}")
            bending = FIRST @ getattr(pair, f"angles_{i}") / arc - bows[i - 1]
            total += 0.5 * d[i - 1] * (arc * (WEIGHTS @ bending**2) - more * bows[i - 1] ** 2)
        return total

    step = 1e-4
    assert -(energy(step) - energy(-step)) / (2 * step) == pytest.approx(here.opening_energy(*d), rel=1e-5)


def test_arrays_alone_and_together_are_the_same_and_what_cannot_be_says_so():
    bow = np.linspace(-60.0, 60.0, 7)
    many = solved(bow_1=bow, bow_2=-0.2)
    assert many.reason_code[[0, -1]].tolist() == [BOWED_AWAY] * 2 and many.feasible[3]
    assert np.isnan(many.camber()[1][0]).all() and "bowed too much" in solved(bow_1=60.0).reason
    for i in np.flatnonzero(many.feasible):
        alone = solved(bow_1=bow[i], bow_2=-0.2)
        assert alone.rod_offset == pytest.approx(many.rod_offset[i], rel=1e-9)
        assert alone.outline(1, 5)[1] == pytest.approx(many.outline(1, 5)[1][i], abs=1e-12)
    assert solved(bow_1=np.zeros((2, 3)), stiffness_1=np.array([1.0, 1.1, 1.2])).outline(2, 4)[0].shape == (2, 3, 4)
    assert solved(spacer_diameter=0.4, bow_1=0.1).reason_code == solve_bend_code(0.4)
    with pytest.raises(ValueError, match="bow of sheet 2"):
        solved(bow_2=2 * MOST_BOW)


def solve_bend_code(spacer):
    assert solve_bend(np.array([0.225]), 0.00185, spacer, 0.3e-3, 0.003).reason_code[0] != 0
    return solve_unequal(**{**PAIR, **OVER, "spacer_diameter": spacer}).reason_code


@pytest.mark.parametrize("closure", ["floating", "jig"])
def test_slopes_are_those_of_the_equations(closure):
    """By complex steps, which leave rounding of the largest slopes, those of the points' second derivatives."""
    chance, cases = np.random.default_rng(5), 7
    state = chance.uniform(0.05, 0.4, (2 * COUNT + 5, cases))
    state[[COUNT, 2 * COUNT + 2]], state[[COUNT + 1, 2 * COUNT + 3]] = chance.uniform(0.7, 1.0, (2, 2, cases))
    ends = np.array([(0.005, 0.02)] * 2 + [(0.02, 0.06)] + [(0.0, 0.01)] * 2 + [(-0.02, 0.02)] * 2 + [(-0.5, 0.5)] * 3)
    given = chance.uniform(*ends.T[..., None], (len(ends), cases))
    want = complex_slopes(lambda now, numbers: equations(now, numbers, closure), state, given)
    assert np.max(np.abs(slopes(state, given, closure) - want)) < 1e-15 * np.max(np.abs(want))
