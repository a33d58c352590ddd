"""Simulated builders (`tests/roads/builders.py`): how often the truth lies within the uncertainty for 95 %, and how
often a verdict that is sure is wrong.

Every builder repeats everything n times with hands of his own; half of them measure their strips, half of them let one
droop, too. A share of coverage of 95 % is known of n builders to sqrt(0.95 x 0.05 / n).
"""

from functools import cache

import numpy as np
import pytest
from day_and_night import by_day
from roads.builders import Bend, builder

from panelmech.job import demo
from panelmech.measured import one_pass
from panelmech.measured.modulus_tests import modulus_tests, sheet_readings, wide_factor
from panelmech.mechanics.forming import bending_stiffness

DESIGN, TOLERANCE, BEST = demo().design, 0.5e-3, ((1, 1), (-1, -1), (1, -1), (-1, 1))
MOST_WRONG = 0.01


@cache
def bend():
    return Bend(DESIGN)


def test_the_bend_of_the_simulation_is_near_the_exact_one():
    """A hundredth of the least uncertainty of the camber that the builders come to, about 0.2 mm."""
    assert bend().off < 1e-5


def counted(monkeypatch, repeats, count):
    """(share of builders right, share sure, share sure and wrong)."""
    monkeypatch.setattr(one_pass, "pair_bend", bend())
    rows = [_judged(repeats, i) for i in range(count)]
    return tuple(float(np.mean(column)) for column in zip(*rows, strict=True))


def _judged(repeats, i):
    made = builder(DESIGN, 10_000 * repeats + i, repeats, own_strip=i % 2 == 0, with_droop=i % 4 < 2)
    sheets = [sheet_readings(made.readings, s) for s in "AB"]
    found = one_pass.one_pass(DESIGN, made.readings, sheets, modulus_tests(DESIGN, made.readings, sheets)[0])
    means = found.means()
    sides = min(BEST, key=lambda way: abs(float(found.bend(means, way).offset)))
    camber, true = found.results(sides)[one_pass.CAMBER], _truth(made, sides)
    sure = abs(abs(camber.value) - TOLERANCE) > camber.expanded
    wrong = sure and (abs(camber.value) < TOLERANCE) != (abs(true) < TOLERANCE)
    return abs(true - camber.value) <= camber.expanded, sure, wrong


def _truth(made, sides):
    wide = wide_factor(DESIGN, float(np.mean(made.thickness)))
    stiffness = [float(bending_stiffness(wide * e, t)) for e, t in zip(made.modulus, made.thickness, strict=True)]
    bows = tuple(-side * bow for side, bow in zip(sides, made.curvature, strict=True))
    return float(bend()(DESIGN, *made.thickness, *stiffness, bows).offset)


@pytest.mark.slow
@by_day(("repeats", "count"), [(1, 20), (1, 60), (3, 60)], (1, 20))
def test_builders_are_right_as_often_as_they_are_told(monkeypatch, repeats, count):
    """Three and a half of their own statistical error below 93 %, and no more than three wrong, of sixty."""
    right, _, wrong = counted(monkeypatch, repeats, count)
    assert right > 0.93 - 3.5 * np.sqrt(0.93 * 0.07 / count)
    assert wrong * count <= 3


@pytest.mark.slow
@pytest.mark.nightly
@pytest.mark.parametrize("repeats", [1, 2, 3, 10])
def test_of_two_thousand_builders_ninety_five_in_a_hundred_are_right(monkeypatch, repeats):
    """Hands that scatter by as much as a step average its rounding away, which counts (`worth.shared_rounding`)."""
    right, sure, wrong = counted(monkeypatch, repeats, 2000)
    assert 0.93 <= right <= 0.97, (right, sure, wrong)
    assert wrong < MOST_WRONG and sure > 0.05
