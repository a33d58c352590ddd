"""Rules, chunks, continuation and Newton's method for many cases, against sums and roots known by hand."""

import numpy as np
import pytest

from panelmech.mechanics.numerics import continuation, gauss_places, gauss_unit, in_chunks, newton, plain


def test_rules_integrate_polynomials_exactly():
    nodes, weights = gauss_unit(4)
    assert weights @ nodes**7 == pytest.approx(1 / 8, rel=1e-14)
    places, weights = gauss_places([0.0, 0.3, 2.0], 4)
    assert places.shape == (8,)
    assert weights @ places**7 == pytest.approx(2.0**8 / 8, rel=1e-13)


@pytest.mark.parametrize("size", [1, 4, 100])
def test_chunks_make_no_difference(size):
    a, b = np.arange(3.0)[:, None], np.arange(5.0)
    total, rows = in_chunks(lambda x, y: (x + y, np.stack([x, y], axis=-1)), (a, b), size)
    np.testing.assert_array_equal(total, a + b)
    assert rows.shape == (3, 5, 2)
    np.testing.assert_array_equal(rows[..., 1], np.broadcast_to(b, (3, 5)))
    assert in_chunks(lambda x: [2.0 * x], (3.0,), size)[0] == 6.0
    assert in_chunks(lambda x: [x], (np.zeros((0, 2)),), size)[0].shape == (0, 2)


def test_plain_values():
    assert [type(plain(v)) for v in (np.float64(1.0), np.array(True), np.int8(2), 1.5)] == [float, bool, int, float]
    assert plain(np.ones(2)).shape == (2,)


def test_newton_leaves_what_has_settled_and_gives_up_on_nan():
    goal = np.array([4.0, 9.0, -1.0])
    seen = []

    def move(states, which):
        seen.append(len(which))
        with np.errstate(invalid="ignore"):
            return np.where(goal[which] > 0, (states**2 - goal[which]) / (2 * states), np.nan)

    found = newton(move, lambda states, moved: np.abs(moved[0]) > 1e-12, np.array([[2.0, 1.0, 1.0]]), 50)
    np.testing.assert_allclose(found[0, :2], [2.0, 3.0], rtol=1e-14)
    assert np.isnan(found[0, 2])
    assert seen[:2] == [3, 1]


def test_continuation_halves_its_steps_and_says_who_never_arrives():
    """Case 0 takes any step, case 1 none longer than 0.3, case 2 stops half-way, case 3 has nothing to start from."""

    def solve(states, share, which):
        step = share - states[0]
        good = (which == 0) | ((which == 1) & (step <= 0.3)) | ((which == 2) & (share <= 0.5))
        return share[None], good

    end = continuation(solve, np.array([[0.0, 0.0, 0.0, np.nan]]))
    assert end[0, :2].tolist() == [1.0, 1.0]
    assert np.all(np.isnan(end[0, 2:]))
