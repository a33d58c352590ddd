"""Deflection against pressure, read of one path: at its end, between its points, up to where the sheet lets go."""

from dataclasses import replace

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.large_deflection import load_curve, press_large
from panelmech.mechanics.large_pair import press_large_pair
from panelmech.mechanics.pressed_pair import press_pair
from panelmech.mechanics.pressing import pair_degrees, pair_pressings, sheet_pressings
from panelmech.mechanics.shell import largest_deflection
from panelmech.mechanics.shell_model import even_pressure, framed_edges, framed_sheet

E, NU = 18.6e9, 0.175
SHEET = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, E, NU)
HELD = framed_edges(in_plane="held")
SNAPS = framed_sheet(solve_bend(0.225, 0.001, 0.022, 0.0003, 0.003), 0.85, 0.012, E, NU, HELD)

SHARES = np.array([0.03, 0.1, 0.25, 0.5, 0.75, 0.97])  # of the pressure that was reached


def drawn(rng):
    """A sheet of a pair drawn at random, and a pressure that deflects it by some hundredths of its length."""
    while True:
        size = rng.uniform(0.08, 0.4), rng.uniform(0.0008, 0.005), rng.uniform(0.005, 0.06)
        try:
            bend = solve_bend(*size, 0.0003, 0.003)
        except ValueError:
            continue
        if bend.contact_angle < 0.7:
            sheet = framed_sheet(bend, rng.uniform(0.15, 1.8), 0.012, E, NU)
            share = rng.uniform(0.003, 0.02) * sheet.length
            return sheet, share / abs(largest_deflection(sheet, even_pressure(1.0)))


def test_at_the_pressure_asked_for_it_is_the_press_itself():
    for way in pair_pressings(SHEET, 2000.0, 1500.0):
        pressed = press_large_pair(SHEET, even_pressure(way.greatest), degrees=pair_degrees(SHEET))
        assert way.at(way.greatest) == pytest.approx(abs(pressed.largest_deflection), rel=1e-7)
        assert way.reached == way.greatest and np.isnan(way.lets_go) and not way.snaps
    for way in sheet_pressings(SHEET.with_edges(HELD), 2000.0, 1500.0):
        pressed = press_large(SHEET.with_edges(HELD), even_pressure(way.greatest))
        assert way.at(way.greatest) == pytest.approx(abs(pressed.largest_deflection), rel=1e-7)


def test_first_slope_is_the_linear_pair():
    outward, inward = pair_pressings(SHEET, 10.0, 10.0)
    linear = press_pair(SHEET, even_pressure(1.0)).largest_deflection
    assert (outward.slope, inward.slope) == pytest.approx((linear, linear), rel=1e-4)
    assert outward.at(0.0) == 0.0


def any_sheet(rng):
    """A sheet by itself, bent or flat, with a grain or without, its edges drawn too, and a pressure as of `drawn`."""
    sheet, _ = drawn(rng)
    ends = (str(rng.choice(["clamped", "supported"])) for _ in range(3))
    edges = framed_edges(*ends, str(rng.choice(["held", "diaphragm"])))
    curvature = None if rng.random() < 0.25 else sheet.curvature_values
    grain = {"span_modulus": rng.uniform(0.3, 1.0) * E, "shear_modulus": 0.15 * E} if rng.random() < 0.5 else {}
    sheet = replace(sheet, edges=edges, curvature=curvature, **grain)
    share = rng.uniform(0.003, 0.02) * sheet.length
    return sheet, share / abs(largest_deflection(sheet, even_pressure(1.0)))


def read_between(way, solved):
    """What is read at pressures on the way of a `Pressing`, over what is solved there: `solved(pressure)`."""
    for share in SHARES:
        pressure = share * way.reached
        yield way.at(pressure) / solved(pressure)


@pytest.mark.parametrize(("fine", "most", "most_below"), [(True, 2e-3, 7e-3), (False, 1.5e-2, 2.5e-2)])
@by_day("seed", range(24), 3, 8, 17)
def test_between_the_points_of_a_path(seed, fine, most, most_below):
    """As the description of `sheet_pressings` says."""
    rng = np.random.default_rng(seed)
    sheet, pressure = any_sheet(rng) if seed % 2 else drawn(rng)
    verb = sheet_pressings if seed % 2 else pair_pressings

    def solved(pressure):
        outward, inward = verb(sheet, max(pressure, 0.0), max(-pressure, 0.0))
        return (outward or inward).at(pressure)

    for way in verb(sheet, pressure, pressure, fine=fine):
        parts = np.array(list(read_between(way, solved)))
        assert np.abs(parts[SHARES >= 0.1] - 1.0).max() < most
        assert np.abs(parts[SHARES < 0.1] - 1.0).max() < most_below


@pytest.mark.slow
def test_degrees_by_default_against_many_more():
    """Within 3e-3 of the degrees of `press_large_pair`, which hold 2e-4, and never much too small: 12 sheets drawn at
    random; one of them is said to let go, which is on the safe side."""
    rng, errors = np.random.default_rng(11), []
    for _ in range(12):
        sheet, pressure = drawn(rng)
        outward, _ = pair_pressings(sheet, pressure, 0.0)
        finer = press_large_pair(sheet, even_pressure(pressure)).largest_deflection
        errors.append(outward.at(pressure) / finer - 1.0)
    told = np.isfinite(errors)
    assert np.sum(~told) <= 1 and min(errors) > -5e-4 and np.max(np.array(errors)[told]) < 3e-3


def test_outward_a_face_of_a_potted_pair_gives_more_than_inward():
    """What lets searches look at one way only: 15 sheets drawn at random, nearly flat ones among them."""
    rng = np.random.default_rng(7)
    for _ in range(15):
        sheet, pressure = drawn(rng)
        outward, inward = pair_pressings(sheet, pressure, pressure)
        if np.isfinite(outward.at(pressure)):
            assert inward.at(-pressure) < outward.at(pressure)


def test_where_a_sheet_lets_go():
    outward, inward = sheet_pressings(SNAPS, 600.0, 600.0, fine=True)
    limit = load_curve(SNAPS, even_pressure(600.0)).first_limit
    assert outward.snaps and outward.lets_go == pytest.approx(limit.size, rel=1e-5)
    assert outward.reached == outward.lets_go
    before = 0.995 * outward.lets_go
    assert outward.at(before) == pytest.approx(press_large(SNAPS, even_pressure(before)).largest_deflection, rel=3e-3)
    assert outward.at(600.0) == np.inf
    assert np.isnan(inward.lets_go) and inward.at(-600.0) < outward.at(before)
    np.testing.assert_array_equal(np.isinf(outward.at(np.array([100.0, 300.0]))), [False, True])


def test_what_was_not_reached_is_no_number():
    outward, _ = pair_pressings(SHEET, 5e7, 0.0)
    assert 0.0 < outward.reached < 5e7 or np.isfinite(outward.lets_go)
    far = outward.at(5e7)
    assert np.isnan(far) or np.isinf(far)
    assert np.isnan(outward.at(-100.0))  # another way
    assert pair_pressings(SHEET, 100.0, 0.0)[1] is None
    with pytest.raises(ValueError, match="greatest pressure"):
        pair_pressings(SHEET, float("nan"), 0.0)
