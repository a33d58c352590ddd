"""The universal curve against quadrature, Legendre's elliptic integrals and its own differential equation."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

from panelmech.mechanics import elastica

ANGLES = np.array([1e-12, 1e-6, 1e-3, 0.05, 0.3, 0.7583, 1.2, np.pi / 2])


@pytest.mark.parametrize("psi", ANGLES)
def test_against_quadrature(psi):
    """With phi = psi v^2 both integrands are smooth; quad is asked for 1e-13."""

    def length(v):
        return np.sqrt(2 * psi) / np.sqrt(np.sinc(psi * v * v / np.pi))

    def offset(v):
        return psi * np.sqrt(2 * psi) * v * v * np.sqrt(np.sinc(psi * v * v / np.pi))

    assert elastica.arclength(psi) == pytest.approx(quad(length, 0, 1, epsrel=1e-13)[0], rel=2e-14)
    assert elastica.across(psi) == pytest.approx(quad(offset, 0, 1, epsrel=1e-13)[0], rel=2e-14)
    rise = elastica.along(psi) * np.sin(psi) - elastica.across(psi) * np.cos(psi)
    assert elastica.lift_ratio(psi) == pytest.approx(psi * elastica.arclength(psi) / rise, rel=2e-14)


def test_legendres_form():
    """Differences of numbers near 2 lose one over psi; from 0.3 on that is below 1e-14."""
    psi = np.linspace(0.3, np.pi / 2, 50)
    b = np.arcsin(np.sqrt(2) * np.sin((np.pi / 2 - psi) / 2))
    i0 = ellipk(0.5) - ellipkinc(b, 0.5)
    np.testing.assert_allclose(elastica.arclength(psi), i0, rtol=1e-14)
    np.testing.assert_allclose(elastica.across(psi), 2 * (ellipe(0.5) - ellipeinc(b, 0.5)) - i0, rtol=4e-14)


def test_leading_terms():
    """First two terms of the power series, derived by hand from sqrt(sin x / x) = 1 - x^2/12 - ..."""
    psi = np.array([1e-15, 1e-8, 1e-4, 1e-2])
    root = np.sqrt(2 * psi)
    np.testing.assert_allclose(elastica.arclength(psi), root * (1 + psi**2 / 60), rtol=1e-10)
    np.testing.assert_allclose(elastica.across(psi), root * psi / 3 * (1 - psi**2 / 28), rtol=1e-10)
    np.testing.assert_allclose(elastica.lift_ratio(psi), 1.5 * (1 + 13 / 105 * psi**2), rtol=1e-9)
    assert elastica.lift_ratio(0.0) == pytest.approx(1.5, rel=1e-14)


def test_the_curve_obeys_its_equation():
    """d(arclength) = d psi / X, d(across) = sin psi d psi / X, d(along) = cos psi d psi / X; by central differences."""
    psi, h = np.linspace(0.05, 1.5, 30), 1e-5
    x = elastica.along(psi)
    for function, slope in (
        (elastica.arclength, 1 / x),
        (elastica.across, np.sin(psi) / x),
        (elastica.along, np.cos(psi) / x),
    ):
        np.testing.assert_allclose((function(psi + h) - function(psi - h)) / (2 * h), slope, rtol=2e-7)


@pytest.mark.parametrize("psi", [1e-5, 0.2, 0.9, 1.5])
def test_area_under(psi):
    def strip(v):
        angle = psi * v * v
        return elastica.across(angle) * np.cos(angle) / elastica.along(angle) * 2 * psi * v

    area = quad(strip, 0, 1, epsrel=1e-12)[0]
    assert elastica.area_under(psi) == pytest.approx(area, rel=1e-8 if psi < 1e-3 else 1e-11)


def test_slopes_of_the_lift_ratio():
    psi, h = np.linspace(0.01, 1.5, 20), 1e-4
    rate, change = (elastica.polynomial_value(c, psi**2) for c in (elastica.RATIO_1, elastica.RATIO_2))
    first, second = 2 * psi * rate, 2 * rate + 4 * psi**2 * change
    up, here, down = (elastica.lift_ratio(psi + n * h) for n in (1, 0, -1))
    np.testing.assert_allclose(first, (up - down) / (2 * h), rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(second, (up - 2 * here + down) / h**2, rtol=1e-5)  # rounding: 1e-16 / 1e-8


def test_the_inverse():
    psi = np.concatenate(([0.0], np.geomspace(1e-9, np.pi / 2 * (1 - 1e-9), 200)))
    np.testing.assert_allclose(elastica.angle_at(elastica.arclength(psi)), psi, rtol=1e-7)
    ordinary = psi[(psi > 1e-9) & (psi < 1.4)]  # towards pi/2 the arcsine of the sine itself loses digits
    np.testing.assert_allclose(elastica.angle_at(elastica.arclength(ordinary)), ordinary, rtol=2e-14)


def test_outside_the_range_there_is_no_number():
    for function in (elastica.arclength, elastica.across, elastica.along, elastica.lift_ratio):
        assert np.all(np.isnan(function(np.array([-0.1, 1.6, np.nan]))))
        assert np.isfinite(function(np.array([0.1, 2.0]))[0])
    assert elastica.arclength(np.ones((2, 3))).shape == (2, 3)
    assert elastica.arclength(np.ones(0)).shape == (0,)
