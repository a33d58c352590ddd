"""Small openings: the cantilever with an end load (Euler-Bernoulli, any beam table), and the next terms of the series.

Series derived here from the quadratures of the rectangular elastica: with lambda = P L^2 / EI of an end force normal to
the sheet, y/L = lambda/3 - 11 lambda^3/840, theta = lambda/2 - lambda^3/240, x/L = 1 - lambda^2/15.
"""

import numpy as np
import pytest

from panelmech.mechanics import elastica
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.forming import forming_loads


def thin(opening, length=1.0, setback=0.0):
    """Half opening `opening` of the rod over a bond line of 1e-3 lengths, sheets thin."""
    bond = 1e-3 * length
    return solve_bend(length, 1e-9 * length, bond + 2 * opening, bond, setback)


@pytest.mark.parametrize("opening", [1e-8, 1e-6, 1e-4])
def test_first_order(opening):
    """y = delta (3 u^2 - u^3)/2, N = 3 D delta / s^3, M0 = 3 D delta / s^2, theta = 3 delta / (2 s), delta = R - g/2.

    The terms left out are of the order of the angle times the bond line over the length, and of the angle squared.
    """
    bend = thin(opening)
    s, loads = bend.contact_arclength, forming_loads(bend, 1.0)
    order = 3 * (opening + 1e-3 * bend.contact_angle + bend.contact_angle**2)
    assert loads.contact_force == pytest.approx(3 * opening / s**3, rel=order)
    assert loads.land_moment == pytest.approx(3 * opening / s**2, rel=order)
    assert bend.contact_angle == pytest.approx(1.5 * opening / s, rel=order)
    assert loads.strain_energy == pytest.approx(2 * 1.5 * opening**2 / s**3, rel=order)
    u = np.linspace(0, 1, 11)
    _, y = bend.outline(u * s)
    np.testing.assert_allclose(y - y[0], 0.5 * opening * (3 * u**2 - u**3), atol=order * opening)


def test_the_error_of_the_linear_formulas_grows_with_the_square():
    """Halving the opening leaves a quarter of the error (bond line and setback zero, contact length as solved)."""

    def error(radius):
        bend = solve_bend(1.0, 1e-12, 2 * radius, 0.0, 0.0)
        return bend.wavenumber**2 / (3 * radius / bend.contact_arclength**3) - 1

    assert error(0.002) / error(0.001) == pytest.approx(4, rel=0.02)


@pytest.mark.parametrize("load", [0.01, 0.05, 0.1])
def test_second_terms(load):
    psi = elastica.angle_at(np.sqrt(load))  # lambda = (k L)^2 = I0^2
    i0, i1, x = elastica.arclength(psi), elastica.across(psi), elastica.along(psi)
    rise, along = (x * np.sin(psi) - i1 * np.cos(psi)) / i0, (x * np.cos(psi) + i1 * np.sin(psi)) / i0
    assert psi == pytest.approx(load / 2 - load**3 / 240, abs=0.01 * load**5)
    assert rise == pytest.approx(load / 3 - 11 * load**3 / 840, abs=0.01 * load**5)
    assert along == pytest.approx(1 - load**2 / 15, abs=0.01 * load**4)


@pytest.mark.parametrize(("radius", "force", "strain"), [(0.05, 0.01, 0.006), (0.136, 0.11, 0.06), (0.2, 0.30, 0.18)])
def test_how_far_the_linear_formulas_may_be_trusted(radius, force, strain):
    """Linear theory with the length left by the setback: s = L - R (rod at the front edge), thin sheets.

    Shares of the exact value, derived here and rounded: half of the last digit is the tolerance.
    """
    bend = solve_bend(1.0, 1e-12, 2 * radius, 0.0, 0.0)
    length = 1.0 - radius
    assert abs(3 * radius / length**3 / bend.wavenumber**2 - 1) == pytest.approx(force, abs=0.005)
    assert abs(3 * radius / length**2 / bend.land_curvature - 1) == pytest.approx(strain, abs=0.005)
