"""Two different sheets on one rod."""

import numpy as np
import pytest

from panelmech.bend import solve_bend
from panelmech.unequal import solve_unequal

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
