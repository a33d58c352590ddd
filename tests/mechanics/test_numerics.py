"""Rules, chunks, continuation and Newton's method for many cases, against sums and roots known by hand."""

from dataclasses import dataclass

import numpy as np
import pytest

from panelmech.mechanics.numerics import (
    ANY_NUMBER,
    chebyshev,
    continuation,
    gauss_places,
    gauss_unit,
    in_chunks,
    newton,
    plain,
    read_row,
    read_together,
    taken,
)


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


def test_where_a_code_tells_what_is_no_good_every_number_is_read():
    every = [np.nan, np.inf, -np.inf, -1.0]
    lengths, gap = read_together({"length": (every, "mm"), "gap": (0.001, "mm")}, **ANY_NUMBER)
    np.testing.assert_array_equal(lengths, every)
    assert gap == 0.001
    for one in every[:2]:
        with pytest.raises(ValueError, match="length"):
            read_together({"length": ([one], "mm")})


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


def test_continuation_gives_up_after_so_many_steps_and_below_a_thousandth_of_the_way():
    """A case that takes steps of an eighth needs three refusals and eight steps, eleven calls in all: with eleven it
    arrives, with ten it does not. One that takes no step is asked ten times: 1, 1/2, ... 1/512, the last above 1/1000.
    """

    def ends(most, longest):
        asked = []

        def solve(states, share, which):
            asked.append(float(share[0] - states[0, 0]))
            return share[None], share - states[0] <= longest

        return continuation(solve, np.zeros((1, 1)), most)[0, 0], asked

    assert ends(11, 0.125)[0] == 1.0 and np.isnan(ends(10, 0.125)[0])
    assert ends(1000, 0.125)[1] == [1.0, 0.5, 0.25, *[0.125] * 8]  # and is left alone when it is there
    end, asked = ends(1000, 0.0)
    assert np.isnan(end) and asked == [0.5**n for n in range(10)]


def test_newton_takes_so_many_steps_and_no_more():
    for most in (1, 2, 5):
        end = newton(lambda states, which: -np.ones_like(states), lambda *_: [True], np.zeros((1, 1)), most)
        assert end[0, 0] == most


@pytest.mark.parametrize("count", [5, 8])
def test_collocation_on_an_interval_is_exact_for_polynomials(count):
    """Of x^m on 0..1, m up to the number of points less one: slope, second slope, integral over all, and up to each
    point. Rounding grows like the fourth power of the number of points."""
    points, first, second, over_all, up_to = chebyshev(count)
    assert points.shape == (count + 1,) and np.all(np.diff(points) > 0)
    assert (points[0], points[-1]) == (0.0, 1.0) and points == pytest.approx(1.0 - points[::-1], abs=1e-15)
    for m in range(count + 1):
        values = points**m
        assert first @ values == pytest.approx(m * points ** max(m - 1, 0), abs=1e-11)
        assert second @ values == pytest.approx(m * (m - 1) * points ** max(m - 2, 0), abs=1e-9)
        assert over_all @ values == pytest.approx(1 / (m + 1), rel=1e-12)
        assert up_to @ values == pytest.approx(points ** (m + 1) / (m + 1), abs=1e-13)


@dataclass
class Held:
    row: np.ndarray
    kept: np.ndarray
    alone: np.ndarray
    number: float
    word: str


def test_a_record_at_some_places():
    held = Held(np.arange(4.0), np.arange(4.0), np.array(3.0), 1.5, "word")
    some = taken(held, np.array([True, False, True, False]), but=("kept",))
    assert some.row.tolist() == [0.0, 2.0] and some.kept is held.kept
    assert (some.alone, some.number, some.word) == (3.0, 1.5, "word")
    assert taken(held, slice(1, 3)).kept.tolist() == [1.0, 2.0]


def test_what_goes_together_is_read_with_its_own_ends():
    both = {"load": (-1.0, "N"), "length": ([1.0, 2.0], "mm", dict(above=0.0))}
    load, length = read_together(both)
    assert type(load) is float and load == -1.0 and length.tolist() == [1.0, 2.0]
    with pytest.raises(ValueError, match="load is"):
        read_together(both, low=0.0)
    with pytest.raises(ValueError, match="length is"):
        read_together({**both, "length": ([1.0, 0.0], "mm", dict(above=0.0))})
    with pytest.raises(ValueError, match=r"load of shape \(3,\), length of shape \(2,\) do not go together"):
        read_together({**both, "load": (np.ones(3), "N")})


def test_a_number_alone_is_a_row_of_one():
    assert read_row(2.0, "loads").tolist() == [2.0] and read_row([1.0, 2.0], "loads").tolist() == [1.0, 2.0]
    for bad in ([[1.0, 2.0]], [np.nan], [1.0, -1.0]):
        with pytest.raises(ValueError, match="loads"):
            read_row(bad, "loads", "N", 0.0)
