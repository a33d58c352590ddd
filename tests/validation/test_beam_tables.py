"""The strip against the beam tables, flat and in the limit of a very slightly bent sheet.

Sources: any table of straight beams, for example Young W.C. and Budynas R.G., Roark's Formulas for Stress and
Strain, 7th ed., Table 8.1 (from memory; every coefficient is recomputed here by integrating the beam equation with
polynomials). The tables' 1/185 for the propped cantilever is a rounding: the exact value is 1/184.634.
"""

import numpy as np
import pytest
from numpy.polynomial import Polynomial

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.strip import (
    Support,
    even_strip_pressure,
    flat_strip_response,
    point_load,
    strip_response,
    triangular_pressure,
)

# The flat answers are polynomials, which the strip's nodes represent exactly: only rounding is left.
ROUNDING = 1e-11

FLAT = {
    "hinged": Support("hinged", "resting", "held"),
    "propped": Support("clamped", "resting", "held"),
    "clamped": Support("clamped", "potted", "free"),
}
PRESSURES = {"even": [1.0], "zero at land": [0.0, 1.0], "zero at front": [1.0, -1.0]}
LOADS = {
    "even": even_strip_pressure(1.0),
    "zero at land": triangular_pressure(1.0, "land"),
    "zero at front": triangular_pressure(1.0, "front"),
}


def beam(pressure, ends):
    """Deflection polynomial of a unit beam, unit stiffness: w'''' = q with two conditions at each end."""
    particular = Polynomial(pressure).integ(4)
    orders = {"hinged": (2, 2), "propped": (1, 2), "clamped": (1, 1)}[ends]
    conditions = [(0.0, 0), (0.0, orders[0]), (1.0, 0), (1.0, orders[1])]
    rows = [[Polynomial.basis(k).deriv(n)(x) if n else Polynomial.basis(k)(x) for k in range(4)] for x, n in conditions]
    misses = [particular.deriv(n)(x) if n else particular(x) for x, n in conditions]
    return particular + Polynomial(np.linalg.solve(rows, -np.array(misses)))


def largest(curve):
    places = [x.real for x in curve.deriv().roots() if abs(x.imag) < 1e-9 and 0 <= x.real <= 1] + [0.0, 1.0]
    return max((abs(curve(x)), x) for x in places)


@pytest.mark.parametrize("ends", FLAT)
@pytest.mark.parametrize("shape", LOADS)
def test_flat_strip_is_the_beam(ends, shape):
    curve = beam(PRESSURES[shape], ends)
    answer = flat_strip_response(1.0, 0.01, 1.0, LOADS[shape], FLAT[ends])
    deflection, place = largest(curve)
    moment, _ = largest(curve.deriv(2))
    assert answer.deflection_max == pytest.approx(deflection, rel=ROUNDING)
    assert answer.deflection_at == pytest.approx(place, abs=1e-7)  # a flat top fixes its place to the root of rounding
    assert abs(answer.moment_max) == pytest.approx(moment, rel=ROUNDING)
    assert answer.midpoint_deflection == pytest.approx(curve(0.5), rel=ROUNDING)
    # shear force on the front end, D w''' of the solution (outward on the sheet: negative)
    assert answer.contact_force_change == pytest.approx(-curve.deriv(3)(1.0), rel=ROUNDING)


def test_textbook_coefficients():
    """Even pressure: 5/384, exact propped value at (1 + sqrt 33)/16 from the simple end, 1/384."""
    hinged, propped, clamped = (flat_strip_response(1.0, 0.01, 1.0, even_strip_pressure(1.0), s) for s in FLAT.values())
    assert hinged.deflection_max == pytest.approx(5 / 384, rel=ROUNDING)
    assert clamped.deflection_max == pytest.approx(1 / 384, rel=ROUNDING)
    assert 1 / propped.deflection_max == pytest.approx(184.6339637, rel=1e-9)  # ten digits, recomputed
    assert 1 - propped.deflection_at == pytest.approx((1 + np.sqrt(33)) / 16, abs=1e-7)
    assert propped.contact_force_change == pytest.approx(-3 / 8, rel=ROUNDING)
    assert propped.land_moment_change == pytest.approx(1 / 8, rel=ROUNDING)
    assert abs(propped.deflection_max * 185 - 1) > 1.9e-3  # the rounded table value is not what is computed


def test_two_ratios_of_hinged_to_propped_are_different_numbers():
    """Largest to largest 2.404, middle to middle 2.5 (5/384 over 1/192)."""
    hinged, propped = (
        flat_strip_response(1.0, 0.01, 1.0, even_strip_pressure(1.0), FLAT[k]) for k in ("hinged", "propped")
    )
    assert hinged.deflection_max / propped.deflection_max == pytest.approx(2.404, abs=5e-4)
    assert hinged.midpoint_deflection / propped.midpoint_deflection == pytest.approx(2.5, rel=ROUNDING)


@pytest.mark.parametrize(("ends", "middle"), [("hinged", 1 / 48), ("clamped", 1 / 192), ("propped", 7 / 768)])
def test_point_load_in_the_middle(ends, middle):
    """P L^3/48 and P L^3/192 (read in a public set of beam formulas), 7 P L^3/768 (from memory; any beam table)."""
    answer = flat_strip_response(2.0, 0.01, 3.0, point_load(5.0, 1.0), FLAT[ends])
    assert answer.midpoint_deflection == pytest.approx(5.0 * 2.0**3 / 3.0 * middle, rel=ROUNDING)


def test_gripped_and_held_flat_strip_has_a_turning_spring():
    """A rod that grips the inner face of a held sheet acts as a spring of E A (t/2)^2/L = 3 D/L at a propped end."""
    # w = A x^2 + B x^3 + x^4/24 with w(1) = 0 and w''(1) = -3 w'(1)
    particular = Polynomial([1.0]).integ(4)
    rows = [[1.0, 1.0], [2.0 + 3 * 2.0, 6.0 + 3 * 3.0]]
    a, b = np.linalg.solve(rows, [-particular(1.0), -(particular.deriv(2)(1.0) + 3 * particular.deriv()(1.0))])
    curve = particular + Polynomial([0.0, 0.0, a, b])
    answer = flat_strip_response(1.0, 0.02, 1.0, even_strip_pressure(1.0), Support("clamped", "gripped", "held"))
    assert answer.deflection_max == pytest.approx(largest(curve)[0], rel=ROUNDING)


@pytest.mark.parametrize(
    ("support", "coefficient"),
    [
        (Support("hinged", "resting", "held"), 5 / 384),
        (Support("hinged", "gripped", "free"), 5 / 384),
        (Support("clamped", "resting", "held"), 1 / 184.6339637),
        (Support("clamped", "gripped", "free"), 1 / 184.6339637),
        (Support("hinged", "potted", "free"), 1 / 184.6339637),
        (Support("clamped", "potted", "free"), 1 / 384),
    ],
)
def test_bent_strip_tends_to_the_beam_with_the_square_of_the_rise(support, coefficient):
    gaps = []
    for rise in (2e-2, 1e-2):  # the thickness goes down with the rise, so every term left is of second order
        bend = solve_bend(1.0, 0.1 * rise, 2 * rise, 0.0, 0.0)
        answer = strip_response(bend, 1.0, even_strip_pressure(1e-6), support)
        gaps.append(abs(answer.deflection_max / (1e-6 * bend.contact_arclength**4) - coefficient) / coefficient)
    assert gaps[1] < 1e-3  # rise squared (1e-4) times a factor of order 10
    assert gaps[0] / gaps[1] == pytest.approx(4.0, rel=0.05)  # second order: halving the rise divides by 4


def test_held_and_potted_strip_tends_to_the_beam_only_below_its_thickness():
    """Arch action: with a rise far below the thickness 1/384 returns, with one of several thicknesses it does not."""
    flat_enough = solve_bend(1.0, 1e-2, 2e-4, 0.0, 0.0)
    arch = solve_bend(1.0, 1e-3, 2e-2, 0.0, 0.0)
    coefficients = [
        strip_response(b, 1.0, even_strip_pressure(1e-9), Support("clamped", "potted", "held")).deflection_max
        / (1e-9 * b.contact_arclength**4)
        for b in (flat_enough, arch)
    ]
    assert coefficients[0] == pytest.approx(1 / 384, rel=1e-2)
    assert coefficients[1] < 0.5 / 384


def test_smooth_free_rod_against_its_own_small_angle_limit():
    """Clamped, smooth rod under constant push, load on the sheets alone. Derived here for a small rise d, unit length:
    k^2 = 3 d, th_c = 3 d/2, contact shift = -w/th_c, change of push = -N phi/th_c; so at the front w'' = -2 w and
    w''' = 2 w'. With w = A x^2 + B x^3 + q x^4/24: A = q/6, B = -5 q/32, front deflection 5 q/96."""
    bend = solve_bend(1.0, 1e-6, 2e-4, 0.0, 0.0)
    load = even_strip_pressure(1e-8, on_front=False)
    answer = strip_response(bend, 1.0, load, Support("clamped", "resting", "free"))
    scale = 1e-8 * bend.contact_arclength**4
    assert answer.deflection[-1] / scale == pytest.approx(5 / 96, rel=1e-3)  # terms of the order of t/d = 1e-2 squared
