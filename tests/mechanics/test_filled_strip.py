"""A rib or a solid zone as a beam from land to rod, by a second road and by how it must scale."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.filled_strip import FLANGE, give_of_filling

BEND = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
SHEET, RESIN, POISSON = 18.6e9, 4e9, 0.35
T = 0.002


def give(width=0.012, beside=0.1, bend=BEND, sheet=SHEET, resin=RESIN, poisson=POISSON):
    return give_of_filling(bend, width, beside, sheet, resin, poisson)


def half_height(x):
    """y of the sheet's middle over the chord, from many points of the exact curve."""
    s = np.linspace(0.0, float(BEND.contact_arclength), 20001)
    xs, ys = (np.ravel(v) for v in BEND.outline(s))
    return np.interp(x, xs, ys)


@pytest.mark.parametrize("width", [0.012, 0.06])
def test_bending_and_shear_by_integrals_of_unit_loads(width):
    """The deflection at a place is int M m / EI + V v / GA, by adaptive quadrature; the largest over the chord."""
    length = float(np.ravel(BEND.outline(np.array([float(BEND.contact_arclength)]))[0])[0])
    flange, shear = width + 2.0 * FLANGE * length, RESIN / (2.0 * (1.0 + POISSON))

    def rate(x, at):
        y = half_height(x)
        ei = 2.0 * SHEET * flange * T * (y**2 + T**2 / 12.0) + RESIN * width * (2.0 * y - T) ** 3 / 12.0
        moment, force = 0.5 * x * (length - x), 0.5 * length - x
        unit = min(x, at) - x * at / length
        push = (1.0 if x < at else 0.0) - at / length
        return moment * unit / ei + force * push / (shear * width * (2.0 * y + T))

    def deflection(at):
        return quad(rate, 0.0, length, args=(at,), points=[at], limit=400, epsrel=1e-7)[0]

    found = minimize_scalar(lambda at: -deflection(at), bounds=(0.2 * length, 0.8 * length), method="bounded")
    assert give(width) == pytest.approx(-found.fun, rel=1e-4)


def test_how_it_scales():
    assert give(sheet=2 * SHEET, resin=2 * RESIN) == pytest.approx(0.5 * give(), rel=1e-12)
    assert give() > give(0.02) > give(0.06) > give(0.15)
    double = solve_bend(0.45, 0.004, 0.036, 0.0006, 0.006)  # all lengths twice: EI by 16, length^4 by 16
    assert give(0.024, 0.2, double) == pytest.approx(give(), rel=1e-9)


def test_flanges_reach_no_further_than_half_a_bay():
    assert give(beside=0.1) == give(beside=1.0) < give(beside=0.01) < give(beside=0.005)


def test_without_the_resin_the_sheets_alone_bend():
    alone = give(resin=None, poisson=None)
    assert give(sheet=2 * SHEET, resin=None, poisson=None) == pytest.approx(0.5 * alone, rel=1e-12)
    assert 0.9 * give() < alone < give(resin=RESIN / 10)  # of the demo's shape the web adds little bending, some shear
