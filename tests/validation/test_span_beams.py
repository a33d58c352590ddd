"""Beams along the span against closed forms, and against two other roads to the same numbers.

Sources: any table of straight beams, for example Young W.C. and Budynas R.G., Roark's Formulas for Stress and Strain,
Table 8.1, and Gere J.M. and Goodno B.J., Mechanics of Materials, appendix on deflections (from memory; each is two
integrations of M / EI). Tapered cantilevers: derived here, the integral of x^2 / h^n with h the straight taper.
Second roads: scipy's collocation solver `solve_bvp` for the clamped part, the unit-load theorem by adaptive quadrature
for the part on two bearings.
"""

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp

from panelmech.loads.beam import Held, PointLoad, span_diagrams

ROUNDING = 1e-12  # polynomials of low degree are exact: only rounding is left
EVEN = np.linspace(0.0, 2.0, 7)  # span 2 m
EI, GJ = 30.0, 20.0


def tip(answer):
    return answer.deflection[:, -1]


def test_cantilever_tables():
    """Even load q L^4 / 8 EI, load rising to the root q L^4 / 30 EI, end force F L^3 / 3 EI, force inside at a:
    F a^2 (3 L - a) / 6 EI, and the end slopes q L^3 / 6 EI, F L^2 / 2 EI."""
    loads = np.array([np.ones(7), 1.0 - EVEN / 2.0, np.zeros(7), np.zeros(7)])
    points = [(), (), (PointLoad(2.0, 5.0),), (PointLoad(0.7, 5.0),)]
    answer = span_diagrams(EVEN, loads, 0.0, EI, GJ, points=points)
    expected = np.array([16 / 8, 16 / 30, 5 * 8 / 3, 5 * 0.49 * (6 - 0.7) / 6]) / EI
    assert tip(answer) == pytest.approx(expected, rel=ROUNDING)
    assert answer.slope[[0, 2], -1] == pytest.approx(np.array([8 / 6, 5 * 4 / 2]) / EI, rel=ROUNDING)
    assert answer.moment[:, 0] == pytest.approx([2.0, 2 / 3, 10.0, 3.5], rel=ROUNDING)
    assert answer.shear[:, 0] == pytest.approx([2.0, 1.0, 5.0, 5.0], rel=ROUNDING)
    assert answer.root_moment == pytest.approx(-answer.moment[:, 0], rel=ROUNDING)


def test_overhang_tables():
    """Bearings b apart, overhang a. Force at the tip: deflection F a^2 (b + a) / 3 EI, moment F a at the outer bearing,
    reactions -F a / b and F (b + a) / b against it. Even load on the overhang: q a^3 (4 b + 3 a) / 24 EI."""
    b, a = 0.5, 1.5
    z = np.array([0.0, 0.25, 0.5, 0.5, 1.0, 1.5, 2.0])  # the bearing stands twice: the load steps there
    loads = np.array([np.zeros(7), [0, 0, 0, 1, 1, 1, 1]])
    points = [(PointLoad(2.0, 7.0),), ()]
    answer = span_diagrams(z, loads, 0.0, EI, GJ, Held((0.0, 0.5)), points)
    assert tip(answer) == pytest.approx(
        np.array([7 * a**2 * (b + a) / 3, a**3 * (4 * b + 3 * a) / 24]) / EI, rel=ROUNDING
    )
    assert answer.bearing_forces == pytest.approx(
        np.array([[7 * a / b, -7 * (b + a) / b], [a**2 / (2 * b), -a * (1 + a / (2 * b))]]), rel=ROUNDING
    )
    assert np.max(np.abs(answer.moment), axis=1) == pytest.approx([7 * a, a**2 / 2], rel=ROUNDING)


def test_simply_supported_tables():
    """Bearings at both ends: even load 5 q L^4 / 384 EI, force in the middle F L^3 / 48 EI and F L / 4."""
    z = np.linspace(0.0, 2.0, 5)
    answer = span_diagrams(
        z, np.array([np.ones(5), np.zeros(5)]), 0.0, EI, GJ, Held((0.0, 2.0)), [(), (PointLoad(1.0, 6.0),)]
    )
    middle = np.argmin(np.abs(answer.position - 1.0))
    assert answer.deflection[:, middle] == pytest.approx([5 * 16 / 384 / EI, 6 * 8 / 48 / EI], rel=ROUNDING)
    assert answer.moment[:, middle] == pytest.approx([-0.5, -3.0], rel=ROUNDING)
    assert answer.deflection[:, [0, -1]] == pytest.approx(np.zeros((2, 2)), abs=1e-15)


def tapered_tip(ratio, power):
    """Tip deflection of a cantilever of length 1, EI = h^power, h from 1 at the root to `ratio` at the tip, unit end
    force: integral of x^2 / h^power with h = ratio + (1 - ratio) x, x from the tip."""
    r = ratio
    inside = {1: 0.5 - 2 * r + 1.5 * r * r - r * r * np.log(r), 3: -np.log(r) + 2 * r - 1.5 - 0.5 * r * r}[power]
    return inside / (1 - r) ** 3


@pytest.mark.parametrize("ratio", [0.2, 0.5, 0.9])
@pytest.mark.parametrize(("power", "error"), [(3, 1e-9), (1, 1e-7)])
def test_linearly_tapered_cantilever(ratio, power, error):
    """Depth in straight taper (cube) is followed exactly, up to Gauss's rule; breadth in straight taper (first power)
    by the curve through 41 stations, measured within 4e-8."""
    z = np.linspace(0.0, 1.0, 41)
    stiffness = (1 - (1 - ratio) * z) ** power
    answer = span_diagrams(z, np.zeros(41), 0.0, stiffness, 1.0, points=(PointLoad(1.0, 1.0),))
    assert tip(answer)[0] == pytest.approx(tapered_tip(ratio, power), rel=error)


def test_tapered_shaft():
    """Torque at the tip of a shaft with GJ = h^3: twist (1 / r^2 - 1) / (2 (1 - r))."""
    z, r = np.linspace(0.0, 1.0, 41), 0.4
    answer = span_diagrams(z, np.zeros(41), 0.0, 1.0, (1 - 0.6 * z) ** 3, points=(PointLoad(1.0, 0.0, 1.0),))
    assert answer.twist[0, -1] == pytest.approx((1 / r**2 - 1) / (2 * 0.6), rel=1e-9)


def stiffness_at(z):
    return 3.0 * (1.0 - 0.5 * z) ** 2.6


def load_at(z):
    return np.sqrt(np.maximum(1.0 - z**2, 0.0))


def test_tapered_blade_by_solve_bvp():
    """Elliptic load on a taper of no special power, clamped, against collocation with the true functions, in the angle
    of the ellipse (z = sin p), in which all is smooth.

    41 stations closer together at the tip: measured 4.2e-6 of the tip deflection and 2.3e-6 of the root moment (the
    curve through the stations against the true ellipse), a tenth of that with 81.
    """
    z = np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, 41))

    def slopes(p, state):
        x = np.sin(p)
        return np.cos(p) * np.array([state[1], state[2] / stiffness_at(x), -state[3], -np.cos(p)])

    solved = solve_bvp(
        slopes,
        lambda a, b: np.array([a[0], a[1], b[2], b[3]]),
        np.linspace(0, np.pi / 2, 60),
        np.zeros((4, 60)),
        tol=1e-8,
    )
    assert solved.success
    answer = span_diagrams(z, load_at(z), 0.0, stiffness_at(z), 1.0)
    assert tip(answer)[0] == pytest.approx(solved.sol(np.pi / 2)[0], rel=1e-5)
    assert answer.moment[0] == pytest.approx(solved.sol(np.arcsin(answer.position))[2], abs=1e-5 * solved.sol(0.0)[2])
    assert answer.moment[0, 0] == pytest.approx(1 / 3, rel=1e-5)  # pi/4 times 4/(3 pi): ellipse, by hand


def test_tapered_blade_on_two_bearings_by_unit_load():
    """Tip deflection as the integral of M m / EI, m that of a unit force at the tip; adaptive quadrature."""
    near, far = 0.1, 0.35
    z = np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, 61))

    def beyond(x):
        return quad(lambda s: load_at(s) * (s - x), x, 1.0, epsabs=1e-12)[0]

    one = beyond(far) - quad(lambda s: load_at(s) * (far - s), 0.0, far, epsabs=1e-12)[0]
    reaction = one / (far - near), -1.0 * (1.0 - far) / (far - near)

    def moment(x):
        total = -np.pi / 4 - reaction[0]
        return beyond(x) + sum(f * max(p - x, 0.0) for f, p in ((reaction[0], near), (total, far)))

    def unit(x):
        return (
            (1.0 - x)
            + (1.0 - far) / (far - near) * max(near - x, 0.0)
            - (1.0 + (1.0 - far) / (far - near)) * max(far - x, 0.0)
        )

    expected = sum(
        quad(lambda x: moment(x) * unit(x) / stiffness_at(x), a, b, epsabs=1e-10)[0]
        for a, b in ((0.0, near), (near, far), (far, 1.0))
    )
    answer = span_diagrams(z, load_at(z), 0.0, stiffness_at(z), 1.0, Held((near, far)))
    assert answer.bearing_forces[0, 0] == pytest.approx(reaction[0], rel=1e-5)
    assert tip(answer)[0] == pytest.approx(expected, rel=1e-5)
