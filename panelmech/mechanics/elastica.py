"""The one curve of every frictionless bent pair: the rectangular elastica, in closed form.

A sheet clamped at the land and pushed aside by a smooth round rod takes no tangential force at the contact,
so with psi = tangent angle at the contact minus local tangent angle, N the contact force and D the bending
stiffness (both per metre of span)

    D psi'' = N cos(psi),   psi'^2 = 2 k^2 sin(psi),   k^2 = N / D,   psi = psi' = 0 at the contact.

All such sheets are pieces of one curve. In units of 1/k, measured from the contact back along the sheet:

    arclength          I0(psi) = int_0^psi d phi / sqrt(2 sin phi)
    along the tangent  X(psi)  = sqrt(2 sin psi)                       (also the curvature, in units of k)
    across it          I1(psi) = int_0^psi sqrt(sin(phi) / 2) d phi

In Legendre's form with b = asin(sqrt(2) sin((pi/2 - psi)/2)):  I0 = K(1/2) - F(b|1/2) and
I1 = 2 (E(1/2) - E(b|1/2)) - I0 (checked in the tests). Those are differences of nearly equal numbers for a
small opening. Here both are written as sqrt(psi) times an even power series in psi, summed as a short
polynomial on 0 <= psi <= pi/2, which keeps full relative accuracy down to psi = 0. The polynomial
coefficients are derived when the module is loaded, from the Taylor series of sin, and shortened with
Chebyshev's polynomials.

Left out: friction, self weight, distributed load, unequal or initially curved sheets (see `strip`).
"""

from __future__ import annotations

import numpy as np
import scipy
from numpy.polynomial import chebyshev, polynomial

ANGLE_MAX = np.pi / 2
_U_MAX = ANGLE_MAX**2
_TERMS = 40  # Taylor terms in psi**2: the series converge like (pi**2)**-n, so (1/4)**40 is far below rounding
_KEEP = 14  # Chebyshev terms kept; the first one dropped is below 1e-16 of the sum


def _power_series(series: np.ndarray, exponent: float) -> np.ndarray:
    """Coefficients of (1 + a1 u + ...)**exponent by Miller's recurrence (Knuth, TAOCP vol. 2, 4.7)."""
    out = np.zeros_like(series)
    out[0] = 1.0
    for n in range(1, len(series)):
        j = np.arange(1, n + 1)
        out[n] = np.sum((exponent * j - (n - j)) * series[1 : n + 1] * out[n - j]) / n
    return out


def _shorten(function) -> np.ndarray:
    """Polynomial in u on [0, U_MAX] that interpolates `function(u)` at Chebyshev's points."""
    in_z = chebyshev.cheb2poly(chebyshev.chebinterpolate(lambda z: function((z + 1) * _U_MAX / 2), _KEEP - 1))
    return polynomial.Polynomial(in_z)(polynomial.Polynomial([-1.0, 2.0 / _U_MAX])).coef


def _make_coefficients():
    n = np.arange(_TERMS)
    sinc = (-1.0) ** n / np.cumprod(np.concatenate(([1.0], 2.0 * n[1:] * (2.0 * n[1:] + 1.0))))
    cosine = (2 * n + 1) * sinc  # derivative of psi * sinc(psi^2)
    root = _power_series(sinc, 0.5)  # sqrt(sin psi / psi)
    i0 = 0.5 * _power_series(sinc, -0.5) / (2 * n + 0.5)  # I0 = sqrt(2 psi) * i0(psi^2)
    i1 = 0.5 * root / (2 * n + 1.5)  # I1 = sqrt(2 psi) * psi * i1(psi^2)

    def ratio(u):  # psi I0 / (X sin psi - I1 cos psi): see `lift_ratio`
        value = polynomial.polyval
        return value(u, i0) / (value(u, root) * value(u, sinc) - value(u, i1) * value(u, cosine))

    return _shorten(lambda u: polynomial.polyval(u, i0)), _shorten(lambda u: polynomial.polyval(u, i1)), _shorten(ratio)


_I0, _I1, RATIO = _make_coefficients()
RATIO_1 = polynomial.polyder(RATIO)
RATIO_2 = polynomial.polyder(RATIO_1)


def polynomial_value(coefficients: np.ndarray, u):
    """Value of a polynomial, lowest power first, at an array `u`."""
    total = coefficients[-1] * u
    total += coefficients[-2]
    for coefficient in coefficients[-3::-1]:  # in place: half the memory traffic
        total *= u
        total += coefficient
    return total


def arclength(psi):
    """I0: arclength from the contact, in units of 1/k [-].

    Parameters
    ----------
    psi : float or array, any shape
        Angle turned since the contact [rad], 0 <= psi <= pi/2 (outside: nan).
    """
    psi = _checked(psi)
    return np.sqrt(2.0 * psi) * polynomial_value(_I0, psi * psi)


def across(psi):
    """I1: offset from the contact tangent, in units of 1/k [-]; arguments as for `arclength`."""
    psi = _checked(psi)
    return np.sqrt(2.0 * psi) * psi * polynomial_value(_I1, psi * psi)


def along(psi):
    """X: distance from the contact along its tangent, in units of 1/k; also the curvature in units of k [-]."""
    return np.sqrt(2.0 * np.sin(_checked(psi)))


def area_under(psi):
    """Area between the curve, the contact tangent and the normal at `psi`, in units of 1/k^2 [-].

    int I1 dX = I1 X - (1 - cos psi), because X dI1 = sin psi dpsi (derived here).
    """
    return across(psi) * along(psi) - 2.0 * np.sin(np.asarray(psi) / 2.0) ** 2


def lift_ratio(psi):
    """psi I0 / (X sin psi - I1 cos psi): even in psi, 3/2 at psi = 0 [-].

    X sin psi - I1 cos psi is the rise of the curve over the land tangent, in units of 1/k, when the sheet
    has turned by psi in all; the ratio is what joins arclength and rise without loss of digits.
    """
    psi = _checked(psi)
    return polynomial_value(RATIO, psi * psi)


def angle_at(sigma):
    """Angle turned since the contact, from the arclength in units of 1/k: the inverse of `arclength` [rad].

    sin psi = sd(sigma | 1/2)^2 / 2 (Jacobi's sd; Abramowitz & Stegun 16.9 and the Legendre form above).
    Valid for 0 <= sigma <= I0(pi/2) = 1.854...
    """
    sn, _, dn, _ = scipy.special.ellipj(sigma, 0.5)
    return np.arcsin(np.minimum(0.5 * (sn / dn) ** 2, 1.0))


def _checked(psi):
    psi = np.asarray(psi, dtype=float)
    with np.errstate(invalid="ignore"):
        outside = (psi < 0.0) | (psi > ANGLE_MAX)
    return np.where(outside, np.nan, psi) if np.any(outside) else psi
