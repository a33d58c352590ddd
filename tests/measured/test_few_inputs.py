"""Slopes, draws and repeats of results with one or two inputs, where plain arithmetic tells what comes out."""

from types import SimpleNamespace

import numpy as np
import pytest

from panelmech.measured.draws import OFF, draw_camber, drawn_beside
from panelmech.measured.repeats import MOST, Repeats, repeats_for
from panelmech.measured.worth import Measured, Reading, coverage_factor, effective_dof, propagate

FACTOR = coverage_factor(np.inf)


def inputs_of(result=None, **readings):
    """What `OnePass` hands on: named readings, all but those whose name begins with `not_` of a kind that is read."""
    inputs = {((name if name.startswith("not_") else "thickness"), name): r for name, r in readings.items()}
    camber = lambda columns, sides: result(*columns.values())  # noqa: E731
    return SimpleNamespace(inputs=inputs, camber=camber)


def one(name, deviation, band=0.0, count=1):
    """A reading of one that is known to scatter so much."""
    return Reading(name, (0.0,) * count, repeat=deviation, band=band)


def test_pooled_scatter_of_readings_that_scatter_by_two():
    """1, 3 and 5 with 2 degrees, and the instrument's 0.5 with 4: s2 = (4 x 0.25 + 2 x 4)/6 = 1.5."""
    assert Reading("x", (1.0, 3.0, 5.0), repeat=0.5, repeat_dof=4.0).deviation == pytest.approx(np.sqrt(1.5))


# -- slopes -------------------------------------------------------------------------------------------------


def test_slopes_are_central_over_one_uncertainty_or_the_share_of_the_reading():
    """(x + h)^3 - (x - h)^3 over 2 h is 3 x^2 + h^2: at 2, with h = 0.3, or a twentieth of it, 0.1."""
    x, y = Reading("x", (2.0,), repeat=0.3), Reading("y", (-4.0,), repeat=0.3)
    assert propagate(lambda x: x**3, (x,)).slopes["x"] == pytest.approx(12.09, rel=1e-12)
    assert propagate(lambda x: x**3, (x,), most=0.05).slopes["x"] == pytest.approx(12.01, rel=1e-12)
    assert propagate(lambda x: x**3, (x,), most=1.0).slopes["x"] == pytest.approx(12.09, rel=1e-12)
    both = propagate(lambda x, y: x**3 + y**3, (x, y), most=np.array([np.inf, 0.05]))
    assert both.slopes == pytest.approx({"x": 12.09, "y": 48.0 + 0.04}, rel=1e-12)
    assert both.contributions == pytest.approx({"x": 0.3 * 12.09, "y": 0.3 * 48.04}, rel=1e-12)
    assert both.uncertainty == pytest.approx(0.3 * np.hypot(12.09, 48.04), rel=1e-12)


def test_what_lowers_a_result_adds_to_its_uncertainty():
    falls = propagate(lambda x: -2.0 * x, (Reading("x", (2.0,), repeat=0.3),))
    assert falls.slopes == pytest.approx({"x": -2.0}) and falls.contributions == pytest.approx({"x": 0.6})


@pytest.mark.parametrize("dof", [1.0, 16.0, 1e4])
def test_one_part_keeps_its_degrees_of_freedom(dof):
    assert effective_dof((3.0, 0.0), (dof, 1.0)) == pytest.approx(dof, rel=1e-12)


# -- draws --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(("share", "drawn"), [(0.99, False), (1.01, True)])
def test_drawn_where_a_tenth_off_the_straight_line(sign, share, drawn):
    """3 x + y + c x^2 with uncertainties 0.5 and 2: 1.5 and 2 make 2.5, of which the steepest way goes 1.5/2.5 with x,
    that is 0.3 k; c (0.3 k)^2 is to be a tenth of 2.5 k."""
    x, y = one("x", 0.5), one("y", 2.0)
    curved = sign * share * OFF * 2.5 / (0.09 * FACTOR)
    inputs = inputs_of(lambda x, y: 3.0 * x + y + curved * x**2, x=x, y=y)
    camber = Measured(0.0, 2.5, {}, slopes={"x": 3.0, "y": 1.0})
    assert (drawn_beside(inputs, (), camber, count=10) is not None) is drawn


def test_what_is_exact_or_cannot_be_bent_there():
    exact = Measured(1.0, 0.0, {}, slopes={})
    assert drawn_beside(inputs_of(lambda x: 0.0 * x, x=Reading("x", (1.0,))), (), exact) is None
    camber = Measured(0.0, 1.0, {}, slopes={"x": 1.0})
    inputs = inputs_of(lambda x: np.where(x > 1.5, np.nan, x), x=one("x", 1.0))
    assert drawn_beside(inputs, (), camber, count=400).unbent == pytest.approx(0.067, abs=0.06)


def test_the_interval_of_a_line_is_the_expanded_uncertainty():
    """Two readings, 1 and 3: one degree of freedom, Student's 12.71 times 1. A quantile of so many draws is known to
    sqrt(0.025 0.975/n) over the normal density there, 0.0584: 1.3 % of 1.96; five times that is allowed."""
    inputs, count = inputs_of(lambda x: 5.0 * x, x=Reading("x", (1.0, 3.0))), 10_000
    camber = propagate(lambda x: 5.0 * x, tuple(inputs.inputs.values()))
    found = draw_camber(inputs, (), camber, count, seed=7)
    assert (found.unbent, found.count, found.seed) == (0.0, count, 7)
    most = 5.0 * np.sqrt(0.025 * 0.975 / count) / 0.0584 / 1.96
    assert found.high - 10.0 == pytest.approx(5.0 * 12.71, rel=most)
    assert 10.0 - found.low == pytest.approx(5.0 * 12.71, rel=most)


@pytest.mark.parametrize(("least", "share"), [(-0.96, 0.02), (-0.8, 0.1)])
def test_more_than_a_twentieth_that_cannot_be_bent_leaves_no_interval(least, share):
    """Even between -1 and 1, without what lies below: the ends are those of the rest, or nowhere."""
    inputs = inputs_of(lambda x: np.where(x < least, np.nan, x), x=Reading("x", (0.0,), band=1.0))
    camber = Measured(0.0, 1.0 / np.sqrt(3.0), {}, slopes={"x": 1.0})
    found = draw_camber(inputs, (), camber, 10_000)
    assert found.unbent == pytest.approx(share, abs=5.0 * np.sqrt(share * (1.0 - share) / 10_000))
    rest = 1.0 - least
    ends = (least + 0.025 * rest, 1.0 - 0.025 * rest) if share < 0.05 else (-np.inf, np.inf)
    assert (found.low, found.high) == pytest.approx(ends, abs=5.0 * 2.0 * np.sqrt(0.025 * 0.975 / 10_000))


# -- repeats ------------------------------------------------------------------------------------------------


def forecast(room, **parts):
    """What to read again of a sum of readings; parts: {name: (standard deviation, band)}."""
    readings = {name: one(name, *part) for name, part in parts.items()}
    total = np.sqrt(sum(r.uncertainty**2 for r in readings.values()))
    camber = Measured(0.0, total, {}, slopes=dict.fromkeys(readings, 1.0))
    return repeats_for(inputs_of(**readings), camber, room)


FIXED = (0.0, 0.3 * np.sqrt(3.0))  # a band, as uncertain as 0.3


@pytest.mark.parametrize("more", [1, 4, MOST])
def test_so_many_more_of_one_reading(more):
    """k sqrt(1/(1 + m) + 0.3^2), with the room just above that of m, and just below."""
    room = FACTOR * np.sqrt(1.0 / (1.0 + more) + 0.09)
    enough, short = (forecast(room * (1.0 + off), a=(1.0,), not_b=FIXED) for off in (1e-9, -1e-9))
    assert enough.more == {"a": more} and short.more == ({"a": more + 1} if more < MOST else {})
    for found in (enough, short):
        assert found.left == pytest.approx(0.3 * FACTOR) and found.rules == "not_b"
        assert found.expanded == pytest.approx(FACTOR * np.sqrt(1.09)) and not found.sure and not found.hopeless


def test_several_where_one_alone_does_not_suffice():
    """1/4 + 1/3 is the first sum below (1.5/k)^2 = 0.5857, by one more of what helps most each time."""
    assert forecast(1.5, a=(1.0,), b=(1.0,)).more == {"a": 3, "b": 2}
    assert forecast(1.5, a=(1.0,), b=(1.0,), not_c=(0.1, 0.0)).more == {"a": 3, "b": 3}  # 0.5857 less 0.01
    assert forecast(0.2, a=(1.0,), b=(1.0,)).more == {}


def test_one_alone_comes_before_several():
    """Of 1 and 0.5, thirty more of the first do it, k sqrt(1/31 + 1/4), though several would take fewer."""
    room = FACTOR * np.sqrt(1.0 / (1.0 + MOST) + 0.25) * (1.0 + 1e-9)
    assert forecast(room, a=(1.0,), b=(0.5,)).more == {"a": MOST}


def test_just_the_room_takes_one_more():
    """1/4, and 1/4 + 1/4, whose roots these numbers hold to the last digit."""
    assert forecast(FACTOR * 0.5, a=(1.0,)).more == {"a": 4}
    assert forecast(FACTOR * float(np.sqrt(0.5)), a=(1.0,), b=(1.0,)).more == {"a": 4, "b": 3}


def test_an_input_without_a_slope_counts_for_nothing():
    readings = {"a": one("a", 1.0), "not_b": one("not_b", 0.0, 100.0)}
    found = repeats_for(inputs_of(**readings), Measured(0.0, 1.0, {}, slopes={"a": 1.0}), 1.0)
    assert found.left == 0.0 and found.more == {"a": 3}  # k/2 is the first below 1


def test_the_cheaper_of_two_that_suffice():
    """k sqrt(1/(1 + m) + 4) or k sqrt(1 + 4/(1 + m)) below 4.3, that is 4.81 k^2: one of
    either; below 3, that is 2.34 k^2: no a suffices, and 4/3 is the first below 1.34."""
    assert forecast(4.3, a=(1.0,), b=(2.0,)).more == {"a": 1}
    assert forecast(3.0, a=(1.0,), b=(2.0,)).more == {"b": 2}


def test_what_is_not_read_stays_with_its_scatter():
    found = forecast(1.0, not_a=(1.0,), b=(0.5,))
    assert found.left == pytest.approx(FACTOR) and found.hopeless and found.more == {}


def test_just_the_room_is_not_below_it():
    assert not Repeats(1.0, 1.0, {}, 0.5, "").sure and Repeats(1.0, 0.999, {}, 0.5, "").sure
    assert Repeats(1.0, 2.0, {}, 1.0, "").hopeless and not Repeats(1.0, 2.0, {}, 0.999, "").hopeless
    assert not Repeats(1.0, 0.5, {}, 2.0, "").hopeless
