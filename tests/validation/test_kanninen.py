"""The land as a beam on an elastic foundation against the double cantilever beam of Kanninen.

Kanninen M.F. (1973) International Journal of Fracture 9:83-92: an arm of height h and crack length a, the uncracked
part on a foundation of its own half height, opens 1 + 1.92 (h/a) + 1.22 (h/a)^2 + 0.39 (h/a)^3 times what the clamped
arm does (from memory; long uncracked part). Hetenyi M. (1946) Beams on Elastic Foundation, semi-infinite beam: turn
4 lam^3 M/k + 2 lam^2 P/k, movement 2 lam^2 M/k + 2 lam P/k (from memory).
"""

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from panelmech.mechanics.bonded_end import land_compliance
from panelmech.published.beams import KANNINEN, opening_coefficients


def test_published_coefficients():
    """The opening is a cubic in h/a: its coefficients to the two decimals they are printed with."""
    assert opening_coefficients() == pytest.approx(KANNINEN, abs=0.005)


def test_semi_infinite_beam():
    k, d = 4e13, 12.0
    lam = (k / (4 * d)) ** 0.25
    give = land_compliance(d, k, 30 / lam)
    assert give.wavenumber == pytest.approx(lam, rel=1e-15)
    assert (give.turn_by_moment, give.turn_by_force, give.move_by_force) == pytest.approx(
        (4 * lam**3 / k, 2 * lam**2 / k, 2 * lam / k), rel=1e-14
    )


@pytest.mark.parametrize("long", [0.4, 0.7, 1.5, 3.0, 6.0])
def test_finite_beam_by_a_boundary_value_solver(long):
    """D w'''' + k w = 0 with free ends, in units of 1/lam: w'''' = -4 w; tolerance from the solver's."""
    give = land_compliance(1.0, 4.0, long)
    answers = []
    for moment, force in ((1.0, 0.0), (0.0, 1.0)):
        found = solve_bvp(
            lambda s, y: np.array([y[1], y[2], y[3], -4 * y[0]]),
            lambda a, b, moment=moment, force=force: np.array([a[2] - moment, a[3] - force, b[2], b[3]]),
            np.linspace(0, long, 200),
            np.zeros((4, 200)),
            tol=1e-10,
            max_nodes=50000,
        )
        assert found.success
        answers.append((-found.y[1, 0], found.y[0, 0]))  # turn, movement of the loaded end
    assert (give.turn_by_moment, give.turn_by_force) == pytest.approx(answers[0], rel=1e-7)
    assert (give.turn_by_force, give.move_by_force) == pytest.approx(answers[1], rel=1e-7)
