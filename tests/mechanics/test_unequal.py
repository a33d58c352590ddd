"""Two different sheets on one rod."""

import numpy as np
import pytest
from scipy.optimize import brentq

from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.unequal import solve_unequal

LENGTHS = (0.225, 0.002, 0.002)


def test_equal_sheets_give_the_matched_pair():
    bend = solve_bend(0.225, 0.002, 0.03, 0.3e-3, 0.003)
    pair = solve_unequal(*LENGTHS, 5.0, 5.0, 0.03, 0.3e-3, 0.003)
    assert pair.contact_angle_1 == pytest.approx(bend.contact_angle, rel=1e-12)
    assert pair.wavenumber_2 == pytest.approx(bend.wavenumber, rel=1e-12)
    assert abs(pair.rod_offset) < 1e-15


def test_rod_moves_towards_the_softer_sheet_as_to_first_order():
    """(R - g/2)(D1 - D2)/(D1 + D2) for small openings (small-deflection beams on a common clamp)."""
    errors = []
    for d in (0.008, 0.004):
        pair = solve_unequal(0.225, 0.0005, 0.0005, 1.35, 1.0, d)
        first = 0.5 * d * (1.0 - 1.35) / 2.35
        errors.append(abs(pair.rod_offset / first - 1.0))
    assert pair.rod_offset < 0  # sheet 1 is the stiffer
    assert errors[1] < 3e-3 and errors[1] < errors[0]


def test_random_pairs_balance_and_keep_the_mean_setback():
    rng = np.random.default_rng(4)
    n = 400
    pair = solve_unequal(
        0.225,
        rng.uniform(1e-3, 3e-3, n),
        rng.uniform(1e-3, 3e-3, n),
        rng.uniform(0.3, 3, n),
        rng.uniform(0.3, 3, n),
        rng.uniform(0.01, 0.09, n),
        0.3e-3,
        0.003,
    )
    good = pair.feasible
    assert good.mean() > 0.95
    across = [getattr(pair, f"contact_force_{i}") * np.cos(getattr(pair, f"contact_angle_{i}")) for i in (1, 2)]
    assert np.max(np.abs(across[0] / across[1] - 1.0)[good]) < 1e-10
    assert np.max(np.abs(0.5 * (pair.setback_1 + pair.setback_2) - 0.003)[good]) < 1e-12


def test_jig_holds_the_rod_on_the_chord_line_with_a_force():
    pair = solve_unequal(0.225, 0.002, 0.0018, 1.37, 1.0, 0.03, 0.3e-3, 0.003, closure="jig")
    assert pair.rod_offset == pytest.approx(0.0, abs=1e-15)
    assert pair.jig_force > 0  # the stiffer sheet presses harder


def test_swapping_the_sheets_mirrors_the_part():
    a = solve_unequal(0.225, 0.002, 0.0017, 1.4, 0.9, 0.03, 0.3e-3, 0.003)
    b = solve_unequal(0.225, 0.0017, 0.002, 0.9, 1.4, 0.03, 0.3e-3, 0.003)
    assert a.rod_offset == pytest.approx(-b.rod_offset, rel=1e-10)
    assert a.camber()[1][-1] == pytest.approx(-b.camber()[1][-1], rel=1e-10)


def test_infeasible_pairs_say_why():
    pair = solve_unequal(*LENGTHS, 1.0, 1.2, 0.4)
    assert not pair.feasible and "spacer" in pair.reason and np.isnan(pair.rod_offset)
    with pytest.raises(ValueError, match="positive"):
        solve_unequal(*LENGTHS, 0.0, 1.0, 0.02)
    with pytest.raises(ValueError, match="closure"):
        solve_unequal(*LENGTHS, 1.0, 1.0, 0.02, closure="loose")


def test_one_stays_what_it_is_among_many():
    """An array of pairs gives each pair's own answer, over several chunks, with the arguments broadcast."""
    thick = np.linspace(0.0017, 0.0023, 4100)
    many = solve_unequal(0.225, thick, 0.002, thick**3, 0.002**3, 0.03, 0.3e-3, 0.003)
    assert many.feasible.all() and many.rod_offset.shape == (4100,)
    for i in (0, 2049, 4099):
        alone = solve_unequal(0.225, thick[i], 0.002, thick[i] ** 3, 0.002**3, 0.03, 0.3e-3, 0.003)
        assert many.rod_offset[i] == pytest.approx(alone.rod_offset, rel=1e-11, abs=1e-16)
    grid = solve_unequal(0.225, thick[:5, None], 0.002, 1.0, np.array([1.0, 1.2]), 0.03)
    assert grid.contact_angle_1.shape == (5, 2)


def test_tiny_openings_keep_their_digits():
    """The rod's offset over its first-order value goes to 1 with the opening: at an opening of a ten-thousandth of the
    length nothing but rounding (1e-16 over that) and the first order's own error (its square) is left."""
    pair = solve_unequal(0.225, 1e-5, 1e-5, 1.3, 1.0, 4.5e-5)
    assert pair.rod_offset == pytest.approx(0.5 * 4.5e-5 * (1.0 - 1.3) / 2.3, rel=5e-4)
    smaller = solve_unequal(0.225, 1e-6, 1e-6, 1.3, 1.0, 4.5e-6)
    assert smaller.rod_offset == pytest.approx(0.5 * 4.5e-6 * (1.0 - 1.3) / 2.3, rel=5e-5)


def test_land_slope_of_both_sheets_is_the_pair_as_built():
    """Alike sheets with the same slope: the collocation of `as_built_bend` (claims 1e-8, keeps 1e-10 here)."""
    slopes = np.array([-0.02, 0.005, 0.02])
    real = real_bend(0.225, 0.002, 0.03, 12.8, 0.3e-3, 0.003, land_slope=slopes)
    pair = solve_unequal(*LENGTHS, 12.8, 12.8, 0.03, 0.3e-3, 0.003, land_slope_1=slopes, land_slope_2=slopes)
    assert np.max(np.abs(pair.rod_offset)) < 1e-15
    assert pair.contact_angle_1 == pytest.approx(real.contact_angle, rel=1e-10)
    assert pair.contact_force_2 == pytest.approx(real.contact_force, rel=1e-9)
    assert pair.surface_strain(1) == pytest.approx(real.land_strain, rel=1e-9)
    x, y = pair.outline(1, real.arclength)
    assert (x, y) == (pytest.approx(real.x, abs=1e-12), pytest.approx(real.y, abs=1e-12))
    assert pair.tangent_angle(1, real.arclength) == pytest.approx(real.angle, abs=1e-11)


def test_outlines_of_arrays_and_of_one_pair_agree():
    ratio = np.array([[0.7, 1.0], [1.2, 1.5]])
    many = solve_unequal(*LENGTHS, ratio, 1.0, 0.03, 0.3e-3, 0.003)
    x, y = many.camber(31)
    assert x.shape == (2, 2, 31)
    alone = solve_unequal(*LENGTHS, 1.2, 1.0, 0.03, 0.3e-3, 0.003)
    assert (x[1, 0], y[1, 0]) == (pytest.approx(alone.camber(31)[0]), pytest.approx(alone.camber(31)[1], abs=1e-16))
    x1, y1 = alone.outline(1, 2001)  # arclength kept, slope that of the tangent angle, rod touched
    assert np.sum(np.hypot(np.diff(x1), np.diff(y1))) == pytest.approx(0.225, rel=1e-7)
    assert np.gradient(y1, x1)[1000] == pytest.approx(np.tan(alone.tangent_angle(1, 2001)[1000]), rel=1e-6)
    reach = np.hypot(x1 - alone.spacer_position, y1 - alone.rod_offset)
    assert np.min(reach) == pytest.approx(0.015 + 0.001, rel=1e-6)


def test_the_branch_is_the_one_the_mismatch_leads_to():
    """Next to the greatest spacer a full Newton step could land on the other equilibrium. The mismatch grown in 40
    small steps: no angle jumps, until there is no equilibrium any more."""
    most = solve_bend(0.225, 0.002, 0.02, 0.3e-3, 0.003).greatest_spacer
    spacer = most * np.array([0.9, 0.97, 0.99, 0.999])[:, None]
    ratio = np.exp(np.linspace(0, 1.2, 41))
    pair = solve_unequal(*LENGTHS, ratio, 1.0, spacer, 0.3e-3, 0.003)
    angles = np.stack([pair.contact_angle_1, pair.contact_angle_2])
    steps = np.abs(np.diff(angles, axis=-1))
    assert np.nanmax(steps[:, 0]) < 0.03  # well away from the fold
    gone = np.isnan(angles[0])
    assert np.all(gone[:, 1:] >= gone[:, :-1]) and gone[3, -1] and not gone[:, 0].any()
    assert np.nanmax(steps) < 0.1  # at the fold the angle goes like a root, not a jump to the other branch


def test_jig_force_is_what_the_floating_rod_would_give_way_to():
    """Released from the jig the rod moves away from the sheet that presses harder."""
    part = 0.225, 0.002, 0.0018, 1.37, 1.0, 0.03, 0.3e-3, 0.003
    jig, free = (solve_unequal(*part, closure=c) for c in ("jig", "floating"))
    assert jig.jig_force > 0 > free.rod_offset and free.jig_force == 0.0
    across = [getattr(jig, f"contact_force_{i}") * np.cos(getattr(jig, f"contact_angle_{i}")) for i in (1, 2)]
    assert jig.jig_force == pytest.approx(across[0] - across[1], rel=1e-12)
    mean = 0.5 * (jig.setback_1 + jig.setback_2)
    assert mean == pytest.approx(0.003, abs=1e-15)


def test_slopes_that_cannot_be_say_so():
    assert "no equilibrium" in solve_unequal(*LENGTHS, 1.0, 1.0, 0.006, land_slope_1=0.3, land_slope_2=0.3).reason
    with pytest.raises(ValueError, match="radians"):
        solve_unequal(*LENGTHS, 1.0, 1.0, 0.02, land_slope_1=np.nan)
    for sheet in ("land_slope_1", "land_slope_2"):
        for slope in (-0.5 * np.pi, 0.5 * np.pi):  # a right angle is read, and cannot be; a hair more is refused
            assert not solve_unequal(*LENGTHS, 1.0, 1.0, 0.02, **{sheet: slope}).feasible
            with pytest.raises(ValueError, match="radians"):
                solve_unequal(*LENGTHS, 1.0, 1.0, 0.02, **{sheet: slope * (1 + 1e-12)})


def test_a_rod_so_far_out_that_one_of_the_sheets_lets_go_of_it():
    """The setback made ever more negative, in ever smaller steps: the last pair that is given touches with one sheet
    on its very front edge and with the other within its length; beyond it the reason is that, while the mean sheet
    could still be bent."""
    part = dict(spacer_diameter=0.03, bond_line=0.3e-3)

    def pair(setback):
        return solve_unequal(0.225, 0.0026, 0.0014, 20.0, 3.0, setback=setback, **part)

    touching, gone = 0.0, -0.03
    for _ in range(7):  # each round a fortieth of the last
        tried = np.linspace(touching, gone, 41)
        end = int(np.argmin(pair(tried).feasible))
        touching, gone = tried[end - 1], tried[end]
    last, beyond = pair(touching), pair(gone)
    arcs = sorted((last.contact_arclength_1, last.contact_arclength_2))
    assert arcs[1] == pytest.approx(0.225, rel=1e-9) and arcs[0] < 0.225 * (1 - 1e-4)
    assert "no longer touches" in beyond.reason and np.isnan(beyond.contact_force_1)
    assert solve_bend(0.225, 0.002, setback=gone, **part).feasible


def test_reasons_of_one_and_of_many():
    many = solve_unequal(*LENGTHS, 1.0, 1.0, np.array([0.02, 0.4]), land_slope_1=np.array([0.0, 0.0]))
    assert many.reason.shape == (2,) and many.reason[0] == "" and many.feasible.tolist() == [True, False]
    alone = solve_unequal(*LENGTHS, 1.0, 1.0, 0.4)
    assert type(alone.reason) is str and many.reason[1] == alone.reason != ""


def test_what_is_left_out_is_nothing():
    """No bond line, no setback, no slope, a rod that floats."""
    short = solve_unequal(0.225, 0.002, 0.0017, 12.8, 9.0, 0.03)
    full = solve_unequal(0.225, 0.002, 0.0017, 12.8, 9.0, 0.03, 0.0, 0.0, "floating", 0.0, 0.0)
    assert (short.rod_offset, short.spacer_position) == (full.rod_offset, full.spacer_position)
    assert (short.bond_line, short.land_slope_1, short.land_slope_2) == (0.0, 0.0, 0.0)


def test_energy_of_opening_is_the_work_that_a_longer_free_length_gives_back():
    """Strain energy of both sheets by the trapezium rule over the curvature. The land opened by a hair, the rod held
    where it is, lengthens the free sheets and gives back G times the hair (central difference, error the square of
    the hair over the length)."""
    t, d, step = (0.002, 0.0017), (12.8, 9.0), 2e-4

    def energy(more):
        at = solve_unequal(0.225, *t, *d, 0.03, 0.3e-3, 0.003, closure="floating").spacer_position + more
        length = 0.225 + more

        def off(setback):
            return solve_unequal(length, *t, *d, 0.03, 0.3e-3, setback).spacer_position - at

        pair = solve_unequal(length, *t, *d, 0.03, 0.3e-3, brentq(off, 0.002, 0.004, xtol=1e-12))
        total = 0.0
        for sheet in (1, 2):
            s = np.linspace(0.0, getattr(pair, f"contact_arclength_{sheet}"), 4001)
            curvature = np.gradient(pair.tangent_angle(sheet, s), s)
            total += 0.5 * d[sheet - 1] * np.trapezoid(curvature**2, s)
        return total, pair

    released = (energy(-step)[0] - energy(step)[0]) / (2 * step)
    assert energy(0.0)[1].opening_energy(*d) == pytest.approx(released, rel=1e-4)
