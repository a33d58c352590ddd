"""The rectangular elastica: lemniscate constants, and a cantilever whose end force stays normal to the sheet.

Constants: Todd J. (1975) Communications of the ACM 18:14-19, the two lemniscate constants (as quoted in tables of
mathematical constants); Gauss's constant. The tables of the normal ("follower") end force are derived here by
quadrature of (2 lambda)^(1/2) = int_0^theta dpsi / sqrt(sin psi): published load-displacement curves exist (Shvartsman
B.S. (2007), Journal of Sound and Vibration 304:969-973), but no table of them could be read.
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import gamma

from panelmech.mechanics import elastica
from panelmech.mechanics.bend import solve_bend
from panelmech.published.curve import GAUSS, by_quadrature, normal_end
from panelmech.published.curve import LEMNISCATE_A as A
from panelmech.published.curve import LEMNISCATE_B as B


def test_lemniscate_constants():
    """At 90 degrees I0 = sqrt(2) A, I1 = sqrt(2) B; A B = pi/4 (Euler); 1/(2 B), sagitta over chord, is Gauss's."""
    a, b = elastica.arclength(np.pi / 2) / np.sqrt(2), elastica.across(np.pi / 2) / np.sqrt(2)
    assert a == pytest.approx(A, abs=1e-10) and b == pytest.approx(B, abs=1e-10)
    assert a == pytest.approx(gamma(0.25) ** 2 / (4 * np.sqrt(2 * np.pi)), rel=1e-14)
    assert a * b == pytest.approx(np.pi / 4, rel=1e-14)
    assert 1 / (2 * b) == pytest.approx(GAUSS, rel=1e-14)


def test_the_constants_as_integrals():
    """A = int dx / sqrt(1 - x^4), B = int x^2 dx / sqrt(1 - x^4), with x = sin t."""
    a = quad(lambda t: 1 / np.sqrt(1 + np.sin(t) ** 2), 0, np.pi / 2)[0]
    b = quad(lambda t: np.sin(t) ** 2 / np.sqrt(1 + np.sin(t) ** 2), 0, np.pi / 2)[0]
    assert elastica.arclength(np.pi / 2) == pytest.approx(np.sqrt(2) * a, rel=1e-13)
    assert elastica.across(np.pi / 2) == pytest.approx(np.sqrt(2) * b, rel=1e-13)


# tip angle in degrees: lambda = P L^2 / EI, x and y of the tip over L, root moment M0 L / EI (derived, ten digits)
BY_ANGLE = {
    5: (0.1745772469, 0.9979703952, 0.05812280802, 0.1744443156),
    10: (0.3494208297, 0.9918957043, 0.1159170901, 0.348356973),
    15: (0.5247991219, 0.9818181995, 0.1730566982, 0.5212063077),
    20: (0.7009846117, 0.9678080091, 0.2292202223, 0.6924606232),
    30: (1.056900786, 0.9284062701, 0.3373709699, 1.028056801),
    45: (1.60412947, 0.8430945961, 0.4847669312, 1.506181148),
    60: (2.175452549, 0.7312062627, 0.6081643781, 1.941132232),
    90: (3.437592909, 0.456946581, 0.7627597635, 2.622057554),
}


@pytest.mark.parametrize("degrees", BY_ANGLE)
def test_normal_end_force_by_angle(degrees):
    np.testing.assert_allclose(normal_end(np.radians(degrees)), BY_ANGLE[degrees], rtol=6e-10)  # ten digits


@pytest.mark.parametrize("degrees", BY_ANGLE)
def test_normal_end_force_by_quadrature(degrees):
    """Another road to the table: cos and sin of the angle over the arclength, the weak singularity taken out."""
    theta = np.radians(degrees)
    np.testing.assert_allclose(normal_end(theta)[:3], by_quadrature(theta), rtol=1e-12)


def test_quarter_turn_is_the_lemniscate():
    """lambda = varpi^2 / 2 and M0 L / EI = varpi with varpi = 2 A, derived from the energy integral."""
    load, x, _, moment = normal_end(np.pi / 2)
    assert load == pytest.approx(2 * A**2, abs=1e-9)
    assert moment == pytest.approx(2 * A, abs=2e-10)
    assert x == pytest.approx(B / A, abs=1e-10)


# half spread over length: load, tip angle, draw-in, root moment (derived)
BY_SPREAD = {
    0.02: (0.06000848835, 0.03000334383, 0.999759963, 0.06000308646),
    0.05: (0.1501328469, 0.07505232753, 0.9984985507, 0.1500482872),
    0.1: (0.3010690199, 0.1504209317, 0.9939766727, 0.3003880641),
    0.2: (0.6087597423, 0.3034442042, 0.9756175435, 0.6031629648),
    0.3: (0.9308350572, 0.4620929319, 0.9439790957, 0.9110293319),
    0.4: (1.277930079, 0.6304424782, 0.8971824756, 1.227471089),
}


@pytest.mark.parametrize("spread", BY_SPREAD)
def test_a_pair_whose_contact_is_the_front_edge(spread):
    """A rod that touches the very front edge of a thin sheet: half spread y, everything else from `solve_bend`."""
    load, angle, x, moment = BY_SPREAD[spread]
    radius = spread / np.cos(angle)  # thin sheet: R cos(theta) = y
    bend = solve_bend(1.0, 1e-12, 2 * radius, 0.0, -radius * (1 + np.sin(angle)) * (1 - 1e-9))
    assert bend.overhang == pytest.approx(0.0, abs=1e-8)
    found = (bend.wavenumber**2, bend.contact_angle, bend.contact_x, bend.land_curvature)
    np.testing.assert_allclose(found, (load, angle, x, moment), rtol=2e-8)  # nudged by 1e-9 to stay on the sheet


def test_spread_table_by_angle():
    for spread, (load, angle, x, moment) in BY_SPREAD.items():
        theta = brentq(lambda th, y=spread: normal_end(th)[2] - y, 1e-6, 1.0, xtol=1e-15)
        found = normal_end(theta)
        assert theta == pytest.approx(angle, rel=6e-10)
        np.testing.assert_allclose((found[0], found[1], found[3]), (load, x, moment), rtol=6e-10)
