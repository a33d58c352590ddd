"""Density of fresh and sea water at the surface.

The one-atmosphere equation of state of sea water, EOS-80 (UNESCO Technical Papers in Marine Science 44, Fofonoff and
Millard 1983, algorithm 3; coefficients from memory, held in the tests against that paper's check values and against
values of the newer TEOS-10). Water of lakes and rivers is taken as pure. The air dissolved in it and the pressure at a
few metres of depth (0.005 kg/m3 per metre) are left out.
"""

from __future__ import annotations

import numpy as np

from ..units import read_array

OCEAN_SALINITY = 35.0  # practical salinity of ordinary ocean water; 35.16504 g/kg of absolute salinity
COLDEST, WARMEST, SALTIEST = -2.0, 40.0, 42.0  # the equation's own range
RANGE = "the range of the equation of state"

_PURE = (999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
_SALT = (8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
_SALT_AND_HALF = (-5.72466e-3, 1.0227e-4, -1.6546e-6)
_SALT_SQUARED = 4.8314e-4


def water_density(temperature=15.0, salinity=0.0):
    """Density at atmospheric pressure [kg/m3], a float or an array.

    Parameters
    ----------
    temperature : float or array
        [deg C], -2 to 40, on the scale of 1990 (converted to that of 1968, which the equation uses, by 1.00024).
    salinity : float or array
        Practical salinity [-], 0 to 42; 0 is fresh water, `OCEAN_SALINITY` the open sea.

    Raises
    ------
    ValueError
        Outside the equation's range.

    Notes
    -----
    Within 0.005 kg/m3 of TEOS-10 at 15 and 20 deg C fresh and 15 deg C in the ocean (tested).

    >>> round(water_density(15.0), 1)
    999.1
    """
    given = read_array(temperature, "temperature, in °C,", "", COLDEST, WARMEST, hint=RANGE)
    salt = read_array(salinity, "salinity", "", 0.0, SALTIEST, hint=RANGE)
    t = 1.00024 * given
    value = (
        _polynomial(_PURE, t)
        + _polynomial(_SALT, t) * salt
        + _polynomial(_SALT_AND_HALF, t) * salt**1.5
        + _SALT_SQUARED * salt**2
    )
    return float(value) if value.ndim == 0 else value


def _polynomial(coefficients, t):
    return np.polynomial.polynomial.polyval(t, coefficients)
