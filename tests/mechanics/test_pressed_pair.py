"""The pair as one: halves of a load, a folded beam over two spans, strips, Levy's plates, the spring of a land."""

from dataclasses import replace

import numpy as np
import pytest
import scipy

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.large_deflection import press_large
from panelmech.mechanics.pressed_pair import Give, halves, pair_critical_stress, press_pair
from panelmech.mechanics.shell import buckle, critical_stress, press
from panelmech.mechanics.shell_model import (
    Edge,
    Edges,
    FramedSheet,
    curvature_stations,
    even_pressure,
    framed_edges,
    framed_sheet,
    hydrostatic_along_chord,
)
from panelmech.mechanics.strip import Support, even_strip_pressure, strip_response

E, NU = 18.6e9, 0.175
BEND = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
SHEET = framed_sheet(BEND, 0.85, 0.012, E, NU)
FLAT = FramedSheet(0.2, 3.0, 0.002, E, NU)  # so long that its middle is a beam


def beam(pressed, factor):
    """What a beam table says: factor p L^4 / D."""
    return factor * even_pressure().size * pressed.sheet.length**4 / pressed.sheet.bending_stiffness


# Two equal spans, one of them under an even load: AISC, Manual of Steel Construction, beam diagrams, continuous beam of
# two equal spans with uniform load on one span: greatest deflection 0.0092 w l^4/(EI) at 0.472 l from the outer support
# (from memory, and solved again: the cubic below). Both spans: 0.0054, at 0.4215 l, as one span fixed at an end.


def test_a_flat_pair_with_a_resting_front_is_a_folded_beam_over_two_spans():
    one = press_pair(FLAT, None, "one", "resting")
    assert one.largest_deflection == pytest.approx(beam(one, 0.0092), rel=0.01)
    at = 1.0 - one.largest_at[0] / FLAT.length
    assert at == pytest.approx(0.472, abs=1e-3)
    assert press_pair(FLAT, None, "both", "resting").largest_deflection == pytest.approx(beam(one, 0.0054), rel=0.01)
    # opposite: each span turns freely at the middle support
    opposite = press_pair(FLAT, None, "opposite", "resting").largest_deflection
    assert opposite == pytest.approx(beam(one, 5.0 / 384.0), rel=1e-4)


def test_deflection_of_both_spans_against_the_cubic_of_three_moments():
    """Span under load: w = p x (L^3 - 2 L x^2 + x^3)/(24 D) - M x (L^2 - x^2)/(6 D L), M = p L^2/16 at the middle
    support (three moments); the other span the second part alone, the other way."""
    one, length, stiffness, p = press_pair(FLAT, None, "one", "resting"), FLAT.length, FLAT.bending_stiffness, 1000.0
    x = np.linspace(0.05, 0.95, 19) * length
    turned = p * length**2 / 16.0 * x * (length**2 - x**2) / (6.0 * stiffness * length)
    loaded = p * x * (length**3 - 2.0 * length * x**2 + x**3) / (24.0 * stiffness) - turned
    middle = FLAT.width / 2
    np.testing.assert_allclose(one.deflection(length - x, middle), loaded, rtol=1e-4, atol=1e-4 * loaded.max())
    np.testing.assert_allclose(one.other(length - x, middle), -turned, rtol=1e-4, atol=1e-4 * loaded.max())


@pytest.mark.parametrize("faces", ["one", "both", "opposite"])
@pytest.mark.parametrize("front", ["resting", "potted"])
def test_land_turns_as_one_and_carries_no_moment_of_its_own(faces, front):
    pair = press_pair(SHEET, hydrostatic_along_chord(700.0), faces, front)
    y = np.linspace(0.2, 0.8, 7) * SHEET.width
    turn, other = (field.derivative(1, 0)(0.0, y) for field in (pair.deflection, pair.other))
    np.testing.assert_allclose(turn, -other, atol=1e-12)  # outward on either face: opposite turns are one turn
    if faces == "opposite":
        np.testing.assert_allclose(pair.deflection.derivative(2, 0)(0.0, y), 0.0, atol=2e-3 * np.abs(turn).max() / 0.2)


def test_loads_add_up():
    """One face, then the other: together as both alike; the one less the other as opposite."""
    one, both, opposite = (press_pair(SHEET, None, faces, "resting") for faces in ("one", "both", "opposite"))
    x, y = np.meshgrid(np.linspace(0.0, SHEET.length, 9), np.linspace(0.0, SHEET.width, 9))
    here, there = one.deflection(x, y), one.other(x, y)
    np.testing.assert_allclose(here + there, both.deflection(x, y), atol=1e-12)
    np.testing.assert_allclose(here - there, opposite.deflection(x, y), atol=1e-12)
    np.testing.assert_allclose(both.other(x, y), both.deflection(x, y), atol=1e-15)
    np.testing.assert_allclose(opposite.other(x, y), -opposite.deflection(x, y), atol=1e-15)
    assert one.other_largest == pytest.approx(there.flat[np.abs(there).argmax()], rel=0.02)


@pytest.mark.parametrize(("faces", "land", "along"), [("both", "clamped", "free"), ("opposite", "hinged", "held")])
def test_a_long_bay_is_the_exact_strip(faces, land, along):
    """Far from the frames both halves are strips of `mechanics.strip`, whose curve is no shallow one: within 1 %."""
    long = framed_sheet(BEND, 4.0, 0.012, E, NU)
    stiffness = long.bending_stiffness
    strip = strip_response(BEND, stiffness, even_strip_pressure(1000.0, False), Support(land, "potted", along))
    pair = press_pair(long, None, faces, "potted")
    w = pair.deflection(np.linspace(0.0, long.length, 400), long.width / 2)
    assert w[np.abs(w).argmax()] == pytest.approx(strip.deflection_max, rel=0.01)


def unloaded_turning(wave, length, front):
    """Moment per turn over D at the land of a flat plate for a wave along the span, supported there; the other edge
    supported or clamped (Levy, Timoshenko and Woinowsky-Krieger, ch. 6)."""
    s, c, b = np.sinh(wave * length), np.cosh(wave * length), wave
    x = length  # f = a sinh bx + e x cosh bx + g x sinh bx, zero at 0
    value = [s, x * c, x * s]
    slope = [b * c, c + b * x * s, s + b * x * c]
    second = [b * b * s, 2 * b * s + b * b * x * c, 2 * b * c + b * b * x * s]
    rows = [value, second if front == "resting" else slope, [b, 1.0, 0.0]]
    a, e, g = np.linalg.solve(rows, [0.0, 0.0, 1.0])
    return -2.0 * b * g


def levy_pair(sheet, front, waves_tried):
    """Least compression over D of one flat face of a pair, from the transcendental equation of each wave."""
    length, best = sheet.length, np.inf
    for number in waves_tried:
        b = number * np.pi / sheet.width
        turning = unloaded_turning(b, length, front)

        def miss(n, b=b, turning=turning):
            root = b * np.sqrt(n)
            h, t = np.sqrt(root + b * b), np.emath.sqrt(root - b * b)
            sh, ch, st, ct = np.sinh(h * length), np.cosh(h * length), np.sin(t * length), np.cos(t * length)
            scale = t if abs(t) > 1e-9 else 1.0
            value = [ch - ct, sh / h, st / scale]  # f(0) = 0 built in
            end = {
                "resting": [h * h * ch + t * t * ct, h * sh, -t * t * st / scale],
                "potted": [h * sh + t * st, ch, t * ct / scale],
            }[front]
            land = [h * h + t * t, -turning, -turning * t / scale]  # f'' = turning f'
            return float(np.real(np.linalg.det(np.array([value, end, land])) / ch))

        grid = np.linspace(1.0001, 40.0, 400) * b * b
        values = [miss(n) for n in grid]
        first = next((i for i in range(len(grid) - 1) if values[i] * values[i + 1] < 0.0), None)
        if first is not None:
            best = min(best, scipy.optimize.brentq(miss, grid[first], grid[first + 1], xtol=1e-10 * b * b))
    return best


@pytest.mark.parametrize("front", ["resting", "potted"])
def test_one_flat_face_compressed_against_levy(front):
    sheet = FramedSheet(0.2, 0.65, 0.002, E, NU)
    found = pair_critical_stress(sheet, front=front) * sheet.thickness / sheet.bending_stiffness
    assert found == pytest.approx(levy_pair(sheet, front, range(1, 9)), rel=1e-5)


@pytest.mark.parametrize("front", ["resting", "potted"])
def test_buckling_lies_between_its_halves(front):
    for spacer in (0.006, 0.018, 0.04):
        sheet = framed_sheet(solve_bend(0.225, 0.002, spacer, 0.0003, 0.003), 0.85, 0.012, E, NU)
        least, most = sorted(critical_stress(half) for half in halves(sheet, front))
        assert least < pair_critical_stress(sheet, front=front) < most


def test_two_halves_that_are_the_same_buckle_as_one_sheet():
    """Flat, and a land that gives freely: nothing tells the halves apart, and the unloaded face takes no part."""
    single = replace(FLAT, width=0.7, edges=framed_edges("supported"))
    pair = pair_critical_stress(single, front="resting", give=Give(land=0.0))
    assert pair == pytest.approx(buckle(single).stress, rel=1e-6)


# ----- The spring of a land.


def sprung(spring, sheet=SHEET):
    return replace(sheet, curvature=sheet.curvature_values, edges=framed_edges("supported"), land_spring=spring)


@pytest.mark.parametrize("answer", [lambda s: press(s).largest_deflection, critical_stress])
def test_spring_runs_from_supported_to_clamped(answer):
    stiff = SHEET.bending_stiffness / SHEET.length
    values = np.array([answer(sprung(factor * stiff)) for factor in (0.0, 1.0, 10.0, 1e7)])
    ends = [answer(SHEET.with_edges(framed_edges(land))) for land in ("supported", "clamped")]
    np.testing.assert_allclose(values[[0, -1]], ends, rtol=1e-5)
    assert np.all(np.diff(values) * np.sign(ends[1] - ends[0]) > 0.0)


def test_moment_at_a_sprung_land_is_spring_times_turn():
    """The natural condition of the energy, D w,xx = k w,x, met as the degrees grow."""
    spring = 2.0 * SHEET.bending_stiffness / SHEET.length
    w = press(sprung(spring), degrees=(40, 40)).deflection
    y = np.linspace(0.3, 0.7, 5) * SHEET.width
    moment = SHEET.bending_stiffness * w.derivative(2, 0)(0.0, y)
    np.testing.assert_allclose(moment, spring * w.derivative(1, 0)(0.0, y), rtol=2e-3)


def test_a_flat_strip_on_a_sprung_land():
    """Beam supported at both ends, one with a spring k: end moment p L^2/8 times k L/(3 D + k L) (slope deflection)."""
    spring = 5.0 * FLAT.bending_stiffness / FLAT.length
    pressed = press(sprung(spring, FLAT), degrees=(24, 60))
    share = 5.0 / (3.0 + 5.0)
    turn = pressed.deflection.derivative(1, 0)(0.0, FLAT.width / 2)
    assert spring * turn == pytest.approx(1000.0 * FLAT.length**2 / 8.0 * share, rel=1e-3)


@pytest.mark.parametrize("load", [1e-3, -1e-3])
def test_large_deflection_starts_from_the_same_spring(load):
    sheet = sprung(SHEET.bending_stiffness / SHEET.length)
    large = press_large(sheet, even_pressure(load)).largest_deflection
    assert large == pytest.approx(press(sheet, even_pressure(load)).largest_deflection, rel=2e-4)


def test_where_the_compression_is_eased_or_turned_to_tension_more_is_borne():
    """By an arclength or by values at the stations: the same."""
    shares = [lambda x, least=least: np.where(x > SHEET.length / 3, 1.0, least) for least in (1.0, 0.5, -0.5)]
    found = [pair_critical_stress(SHEET, share) for share in shares]
    assert found[0] == pytest.approx(pair_critical_stress(SHEET), rel=1e-9)
    assert found[0] < found[1] < found[2]
    assert found[1] == pair_critical_stress(SHEET, shares[1](curvature_stations(SHEET.length)))


# ----- Refusals.


def test_a_spring_stands_at_a_supported_land_only():
    with pytest.raises(ValueError, match="land came with a spring against turning, but is clamped"):
        replace(SHEET, land_spring=12.0)
    with pytest.raises(ValueError, match="spring of the land"):
        sprung(-1.0)


def test_words_and_frames_that_are_not_known():
    with pytest.raises(ValueError, match="faces"):
        press_pair(SHEET, None, "left")
    with pytest.raises(ValueError, match="front"):
        press_pair(SHEET, front="glued")
    clamped = SHEET.with_edges(framed_edges(frames="clamped"))
    with pytest.raises(ValueError, match="frames clamped.*frames that support"):
        pair_critical_stress(clamped)
    with pytest.raises(ValueError, match="nowhere positive"):
        pair_critical_stress(SHEET, lambda x: -1.0 + 0.0 * x)
    with pytest.raises(ValueError, match="shape"):
        pair_critical_stress(SHEET, np.ones(5))
    held = Edges(Edge("clamped"), Edge(), Edge("supported", "held"), Edge("supported", "held"))
    assert press_pair(SHEET.with_edges(held)).largest_deflection < press_pair(SHEET).largest_deflection
