"""Cantilever under an end load of fixed direction.

Mattiasson K. (1981) Numerical results from large deflection beam and frame problems analysed by means of elliptic
integrals, Int. J. Numer. Meth. Eng. 17:145-153, Table 1, read as quoted elsewhere; the recomputed values (elliptic
integrals, 30 digits) agree with its five decimals.
"""

import pytest

from panelmech.measured.modulus_tests import cantilever_droop, cantilever_end
from panelmech.published.curve import MATTIASSON

# P L^2/EI: drop over length and tip angle, recomputed
RECOMPUTED = {
    0.25: (0.08274591535, 0.1242924421),
    1: (0.3017207738, 0.4613519497),
    3: (0.6032534411, 0.9860169467),
    5: (0.7137915236, 1.215368118),
    10: (0.8106090249, 1.430285539),
    15: (0.8477156743, 1.501840154),
}


@pytest.mark.parametrize("row", MATTIASSON, ids=lambda row: f"{row[0]:g}")
def test_published_table(row):
    load, *published = row
    drop, reach, angle = cantilever_end(0.0, load)
    for ours, value in zip((drop, 1.0 - reach, angle), published, strict=True):
        assert value is None or ours == pytest.approx(value, abs=0.6e-5)  # five decimals
    assert cantilever_droop(0.0, load) == (drop, angle)


@pytest.mark.parametrize("load", RECOMPUTED)
def test_recomputed_values(load):
    assert cantilever_droop(0.0, load) == pytest.approx(RECOMPUTED[load], rel=2e-9)  # ten digits given


def test_own_weight_tends_to_the_beam_formula():
    """w L^4 / 8 D (any beam table); the first correction is of the order of the load squared."""
    assert cantilever_droop(1e-3, 0.0)[0] == pytest.approx(1e-3 / 8.0, rel=1e-6)
