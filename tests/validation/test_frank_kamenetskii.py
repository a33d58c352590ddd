"""Thermal runaway of a zero-order reaction with the exponential rate: the critical heat of slab, cylinder and sphere.

Frank-Kamenetskii D.A. (1938): with heat delta exp(theta) and faces held at theta = 0 (half thickness or radius 1, all
constants 1), no steady state exists beyond delta = 0.8785 (slab), 2 (cylinder), 3.3220 (sphere). Slab in closed form:
delta = 2 c^2 / cosh^2 c with centre theta = 2 ln cosh c, greatest where c tanh c = 1, centre 1.18684 (derived). The
figures as read in an abstract on exact results for the slab (0.88, 2, 3.32), recomputed to nine digits.

The operator is the one the pour is solved with; nothing here has a second discretisation.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from panelmech.published.heat import CRITICAL as PUBLISHED
from panelmech.published.heat import body, critical
from panelmech.shop.conduction import march

CRITICAL = {"slab": 0.8784576798, "cylinder": 2.0, "sphere": 3.321992118}
CENTRE = {"slab": 1.18684217, "cylinder": np.log(4.0), "sphere": 1.6075}  # the last to four digits, from memory


@pytest.mark.parametrize("shape", CRITICAL)
def test_the_published_figures_are_those_rounded(shape):
    assert PUBLISHED[shape] == round(CRITICAL[shape], 2)


@pytest.mark.parametrize("shape", CRITICAL)
def test_critical_heat(shape):
    """Error measured at 160 cells: 0.9e-5 (slab) to 2.4e-5 (sphere) of delta, by the square of the width (next
    test)."""
    found, centre = critical(shape, 160)
    assert found == pytest.approx(CRITICAL[shape], rel=3e-5)
    assert centre == pytest.approx(CENTRE[shape], abs=1e-4)


@pytest.mark.parametrize("shape", CRITICAL)
def test_the_error_of_the_critical_heat_falls_with_the_square_of_the_cell_width(shape):
    errors = [abs(critical(shape, cells)[0] - CRITICAL[shape]) for cells in (20, 40, 80)]
    assert np.log2(np.array(errors[:-1]) / errors[1:]) == pytest.approx(2.0, abs=0.1)


def explode(shape, share, until, stop_at=12.0):
    """March from theta = 0 with this share of the critical heat, on 80 cells."""

    def rate(rise, cure):
        return np.exp(np.minimum(rise, 50.0))

    return march(body(shape, cells=80), rate, share * CRITICAL[shape], 0.0, until, 1e-8, stop_at=stop_at)


@pytest.mark.parametrize("shape", CRITICAL)
def test_just_below_the_critical_heat_it_settles_just_above_it_runs_away(shape):
    below, above = explode(shape, 0.99, 200.0), explode(shape, 1.01, 200.0)
    assert below.time[-1] == 200.0 and below.rise[-1].max() < CENTRE[shape]
    assert np.ptp(below.rise[below.time > 150.0].max(axis=(1, 2))) < 1e-6
    assert above.time[-1] < 200.0 and above.rise[-1].max() == pytest.approx(12.0, abs=1e-3)


@pytest.mark.parametrize("share", [0.3, 0.7, 0.95])
def test_the_slab_settles_on_its_closed_form(share):
    """80 cells: measured 7e-6 at a share of 0.3 and 1.1e-4 at 0.95, where theta hangs steeply on delta."""
    delta = share * CRITICAL["slab"]
    c = brentq(lambda c: 2.0 * c**2 / np.cosh(c) ** 2 - delta, 0.0, 1.19967864)
    done = explode("slab", share, 100.0)
    expected = 2.0 * np.log(np.cosh(c)) - 2.0 * np.log(np.cosh(c * done.grid.middle[0]))
    assert done.rise[-1, 0] == pytest.approx(expected, abs=1.5e-4)


def test_time_to_runaway_far_above_the_critical_heat_is_the_adiabatic_one():
    """d(theta)/dt = delta exp(theta) alone blows up after 1 / delta; 100 times above the critical heat the
    centre of a slab is left alone for that long; measured off by 1e-7."""
    done = explode("slab", 100.0, 1.0, stop_at=20.0)  # of the time 2e-9 is left then
    assert done.time[-1] == pytest.approx(1.0 / (100.0 * CRITICAL["slab"]), rel=1e-6)
