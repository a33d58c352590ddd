"""The pair at large deflection: slopes of its energy, small loads, symmetric loads, faces exchanged, snap-through."""

import numpy as np
import pytest

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.large_deflection import press_large
from panelmech.mechanics.large_pair import PairModel, press_large_pair, released
from panelmech.mechanics.pressed_pair import RIGID, Give, halves, press_pair
from panelmech.mechanics.shell import press
from panelmech.mechanics.shell_large import EdgeGive, LargeModel, large_sets
from panelmech.mechanics.shell_model import FramedSheet, even_pressure, framed_sheet, hydrostatic_along_span

E, NU = 18.6e9, 0.175
SHEET = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, E, NU)
THIN = framed_sheet(solve_bend(0.225, 0.001, 0.022, 0.0003, 0.003), 0.85, 0.012, E, NU)


def model(sheet=SHEET, degrees=(8, 10), parity="even", front="potted", give=RIGID):
    pair = halves(sheet, front, give)
    free = released(pair)
    return PairModel(LargeModel(free, large_sets(free.edges, degrees, parity), free.ratios, EdgeGive()), pair)


@pytest.mark.parametrize(
    ("parity", "front", "give"),
    [("even", "potted", RIGID), ("all", "resting", Give(land=300.0)), ("odd", "potted", Give(200.0, 400.0, 100.0))],
)
def test_slopes_are_those_of_the_energy(parity, front, give):
    """Gradient against differences of the energy, second slope against differences of the gradient."""
    pair = model(parity=parity, front=front, give=give)
    rng = np.random.default_rng(2)
    at = 3e-4 * rng.standard_normal(len(pair.metric)) / np.sqrt(np.diag(pair.metric)) / len(pair.metric)
    along = rng.standard_normal(len(at)) * np.abs(at)
    state, step = pair.state(at), 1e-3
    fore, back = pair.state(at + step * along), pair.state(at - step * along)
    assert (fore.energy - back.energy) / (2 * step) == pytest.approx(state.gradient @ along, rel=1e-6)
    slope = pair.tangent(state) @ along
    np.testing.assert_allclose((fore.gradient - back.gradient) / (2 * step), slope, atol=1e-5 * np.abs(slope).max())


@pytest.mark.parametrize("faces", ["one", "both", "opposite"])
@pytest.mark.parametrize(
    ("front", "give"), [("resting", RIGID), ("potted", RIGID), ("potted", Give(150.0, 300.0, 80.0))]
)
def test_a_small_load_does_what_the_linear_pair_says(faces, front, give):
    load = even_pressure(0.1)
    large = press_large_pair(SHEET, load, faces, front, give)
    small = press_pair(SHEET, load, faces, front, give)
    assert large.largest_deflection == pytest.approx(small.largest_deflection, rel=3e-4)
    assert large.other_largest == pytest.approx(small.other_largest, rel=3e-4, abs=1e-6 * large.largest_deflection)


@pytest.mark.parametrize("pressure", [1500.0, -1500.0])
def test_both_faces_alike_are_one_sheet_with_a_land_that_does_not_turn(pressure):
    pair = press_large_pair(SHEET, even_pressure(pressure), "both", "potted")
    alone = press_large(halves(SHEET, "potted")[0], even_pressure(pressure), degrees=pair.degrees)
    assert pair.largest_deflection == pytest.approx(alone.largest_deflection, rel=1e-8)
    assert pair.other_largest == pytest.approx(pair.largest_deflection, rel=1e-12)


@pytest.mark.parametrize("load", [even_pressure(-15000.0), hydrostatic_along_span(4000.0)], ids=["strong", "uneven"])
def test_so_they_are_under_a_load_of_several_steps_and_one_uneven_along_the_span(load):
    pair = press_large_pair(SHEET, load, "both", degrees=(8, 10))
    alone = press_large(halves(SHEET)[0], load, degrees=(8, 10))
    assert pair.largest_deflection == pytest.approx(alone.largest_deflection, rel=1e-8)
    assert pair.other_largest == pytest.approx(pair.largest_deflection, rel=1e-8)


def test_opposite_loads_change_places_with_their_sign():
    out, back = (press_large_pair(SHEET, even_pressure(p), "opposite", degrees=(10, 12)) for p in (2000.0, -2000.0))
    assert out.largest_deflection == pytest.approx(back.other_largest, rel=1e-8)
    assert out.other_largest == pytest.approx(back.largest_deflection, rel=1e-8)
    assert abs(out.largest_deflection) > 1.5 * abs(out.other_largest)  # outward a bent sheet is softer than inward


def test_the_land_turns_with_both_sheets():
    pair = press_large_pair(SHEET, even_pressure(2000.0), "one", "resting")
    y = np.linspace(0.1, 0.9, 5) * SHEET.width
    turn, other = (field.derivative(1, 0)(0.0, y) for field in (pair.deflection, pair.other))
    np.testing.assert_allclose(turn, -other, atol=1e-9)
    assert np.abs(turn).max() > 1e-3


def test_flat_sheets_do_not_care_for_the_way():
    flat = FramedSheet(0.2, 0.6, 0.002, E, NU)
    one, other = (press_large_pair(flat, even_pressure(p), "one", "potted").largest_deflection for p in (3e3, -3e3))
    assert one == pytest.approx(-other, rel=1e-7)
    assert one < press_pair(flat, even_pressure(3e3), "one", "potted").largest_deflection  # stretching stiffens


def test_a_face_of_a_thin_pair_snaps_through_by_itself():
    pair = press_large_pair(THIN, even_pressure(900.0), "opposite", "resting")
    assert pair.turns and pair.turns[0][1] < 900.0
    assert pair.snapped == any(kind == "limit" for kind, _ in pair.turns)


def test_what_is_not_known_is_refused():
    with pytest.raises(ValueError, match="faces"):
        press_large_pair(SHEET, None, "left")
    with pytest.raises(ValueError, match="front"):
        press_large_pair(SHEET, None, "one", "loose")
    with pytest.raises(ValueError, match="framed sheet under .* reached"):
        press_large_pair(THIN, even_pressure(5e6), "one")


def test_strains_of_faces_alike_are_those_of_one_sheet_whose_land_does_not_turn():
    pair = press_large_pair(SHEET, even_pressure(1500.0), "both")
    alone = press_large(halves(SHEET)[0], even_pressure(1500.0), degrees=pair.degrees)
    for face in (pair.pressed, pair.beside):
        for kind in ("outer_face", "inner_face", "membrane", "bending"):
            assert getattr(face, kind).value == pytest.approx(getattr(alone, kind).value, rel=1e-7)
        assert face.largest_strain == pytest.approx(max(abs(alone.outer_face.value), abs(alone.inner_face.value)))
    x, y = 0.3 * SHEET.length, 0.4 * SHEET.width
    np.testing.assert_allclose(pair.pressed.strains(x, y), alone.strains(x, y), rtol=1e-6)
    np.testing.assert_allclose(pair.pressed.moments(0.0, y)[0], -pair.land_moment(y), rtol=1e-9)
    np.testing.assert_allclose(pair.land_moment(y), -alone.moments(0.0, y)[0], rtol=1e-6)


def test_strains_of_opposite_loads_change_places_with_their_sign():
    out, back = (press_large_pair(SHEET, even_pressure(p), "opposite", degrees=(10, 12)) for p in (2000.0, -2000.0))
    for one, two in ((out.pressed, back.beside), (out.beside, back.pressed)):
        assert one.largest_strain == pytest.approx(two.largest_strain, rel=1e-7)
    assert out.pressed.largest_strain > out.beside.largest_strain
    assert out.land_moment(0.4) == pytest.approx(back.land_moment(0.4), rel=1e-6)


@pytest.mark.parametrize(("faces", "part"), [("one", 24.0), ("both", 12.0)])
def test_land_moment_of_long_flat_sheets_is_that_of_a_clamped_strip(faces, part):
    """p L^2 / 12 of a strip clamped at both ends, half of it where one face only is pressed; the series gives 2e-4."""
    flat = FramedSheet(0.2, 2.0, 0.002, E, NU)
    pair = press_large_pair(flat, even_pressure(1.0), faces)
    assert pair.land_moment(1.0) == pytest.approx(0.2**2 / part, rel=5e-4)
    assert pair.opening_moment >= pair.land_moment(1.0)
    inward = press_large_pair(flat, even_pressure(-1.0), faces)
    assert inward.land_moment(1.0) == pytest.approx(-pair.land_moment(1.0), rel=1e-6)
    assert inward.opening_moment < 1e-9 * pair.opening_moment


@pytest.mark.parametrize("give", [RIGID, Give(land=150.0), Give(60.0, 300.0, 80.0)])
def test_a_small_load_strains_and_opens_as_the_linear_halves_say(give):
    """Moments at an edge are within 1e-3 by either model, strains likewise."""
    large = press_large_pair(SHEET, even_pressure(0.1), give=give, degrees=(16, 24))
    alike, opposite = (press(half, even_pressure(0.05)) for half in halves(SHEET, give=give))
    y = np.linspace(0.3, 0.7, 5) * SHEET.width
    opening = -alike.moments(np.zeros_like(y), y)[0]
    np.testing.assert_allclose(large.land_moment(y), opening, rtol=3e-3)
    x = np.full_like(y, 0.45 * SHEET.length)
    for face, side in ((large.pressed, 1.0), (large.beside, -1.0)):
        for got, one, two in zip(face.strains(x, y), alike.strains(x, y), opposite.strains(x, y), strict=True):
            wanted = one + side * two
            np.testing.assert_allclose(got, wanted, atol=5e-3 * np.abs(wanted).max())


def test_land_moment_of_a_bond_that_gives():
    """The spring's moment is the bending moment beside it, which the series brings less surely: within 1e-2."""
    pair = press_large_pair(SHEET, even_pressure(2000.0), give=Give(land=300.0))
    y = np.linspace(0.2, 0.8, 7) * SHEET.width
    bent = -0.5 * (pair.pressed.moments(0.0, y)[0] + pair.beside.moments(0.0, y)[0])
    np.testing.assert_allclose(pair.land_moment(y), bent, atol=1e-2 * np.abs(bent).max())
    rigid, free = (press_large_pair(SHEET, even_pressure(2000.0), give=g) for g in (RIGID, Give(land=1e-6)))
    assert free.opening_moment < 1e-4 * pair.opening_moment < pair.opening_moment < rigid.opening_moment
