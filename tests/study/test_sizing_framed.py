"""Reading a costly result between few points: exact where it is smooth, honest where it is not."""

import numpy as np
import pytest
from day_and_night import by_day
from leeboard_part import LEEBOARD as DESIGN

from panelmech import evaluate
from panelmech.study.sizing import CLOSE_ENOUGH, COUNTS, fit_smooth, outputs_at, size, stretches


def counted(function):
    """The function, and the number of values it was asked for."""
    calls = []
    return lambda x: calls.append(len(x)) or function(x), calls


def test_a_power_is_read_exactly():
    result, calls = counted(lambda x: 7.0 * x**-3.3)
    reading = fit_smooth(result, 0.2, 5.0)
    x = np.linspace(0.2, 5.0, 77)
    assert sum(calls) == COUNTS[1] and reading.doubt < 1e-12
    assert reading(x) == pytest.approx(7.0 * x**-3.3, rel=1e-12)
    assert reading.crossings(7.0) == pytest.approx([1.0], rel=1e-12) and reading.turns().size == 0
    assert np.all(np.diff(reading.points) > 0) and reading.points[[0, -1]] == pytest.approx([0.2, 5.0], rel=1e-15)


def test_all_crossings_and_turns_are_found():
    """Of 2 + sin from -1 to 9: against plain trigonometry, to the error of the reading."""
    reading = fit_smooth(lambda x: 2.0 + np.sin(x), -1.0, 9.0)
    assert reading.doubt < CLOSE_ENOUGH
    assert reading.turns() == pytest.approx(np.pi * np.array([0.5, 1.5, 2.5]), abs=0.05)
    expected = [np.arcsin(0.5), np.pi - np.arcsin(0.5), 2 * np.pi + np.arcsin(0.5), 3 * np.pi - np.arcsin(0.5)]
    assert reading.crossings(2.5) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(
    "result",
    [
        lambda x: np.where(x < 0.6, 1.0, 1.5),
        lambda x: np.where(x < 0.6, 1.0, np.nan),
        lambda x: x - 0.5,
        lambda x: 1.0 + 0.9 * np.sin(200.0 * x),
        lambda x: np.full(x.shape, np.inf),
    ],
    ids=["jump", "unknown", "negative", "wiggles", "infinite"],
)
def test_what_cannot_be_read_is_not(result):
    reading = fit_smooth(result, 0.1, 1.0)
    assert reading is None or (not reading.good and len(reading.points) == COUNTS[-1])
    values = result(np.linspace(0.1, 1.0, 9))
    assert (reading is None) == (not np.all((values > 0) & (values < np.inf)))


def test_a_jump_is_searched_but_is_no_solution(monkeypatch):
    step = lambda design, field, output, x: np.where(np.asarray(x) < 1.0, 1.0, 2.0) * np.asarray(x)  # noqa: E731
    monkeypatch.setattr("panelmech.study.sizing.outputs_at", step)
    assert size(DESIGN, "span", "press_deflection", 1.5, 0.2, 2.0).solutions == ()
    assert size(DESIGN, "span", "press_deflection", 0.5, 0.2, 2.0).solutions == pytest.approx([0.5], rel=1e-9)


def test_stretches():
    found = stretches(np.arange(7.0), np.array([False, True, True, False, True, True, True]))
    assert [list(part) for part in found] == [[1.0, 2.0], [4.0, 5.0, 6.0]]
    assert stretches(np.arange(2.0), np.array([False, False])) == []


@pytest.mark.slow
@by_day(
    ("field", "output", "low", "high"),
    [
        ("sheet_thickness", "oil_canning_reserve", 1e-3, 4e-3),
        ("spacer_diameter", "buckling_stress", 5e-3, 40e-3),
        ("free_length", "press_deflection", 0.1, 0.4),
        ("setback", "buckling_stress", -6e-3, 30e-3),
    ],
    ("sheet_thickness", "oil_canning_reserve", 1e-3, 4e-3),
    ("free_length", "press_deflection", 0.1, 0.4),
)
def test_sizing_of_the_framed_sheet_equals_a_fine_scan(field, output, low, high):
    """The same solutions as every change of sign in 61 sheets worked out, and each gives the target."""
    design = DESIGN.replace(pressure=50.0)  # so little that all of the range can be told
    points = np.linspace(low, high, 61)
    values = outputs_at(design, field, output, points)
    for share in (0.21, 0.513, 0.93):  # between two of the 61
        target = float(np.quantile(values, share))
        found = size(design, field, output, target, low, high)
        crossed = np.flatnonzero((values[:-1] - target) * (values[1:] - target) < 0)
        assert 0 < found.doubt < CLOSE_ENOUGH and len(found.solutions) == len(crossed) > 0
        for i, solution in zip(crossed, found.solutions, strict=True):
            assert points[i] <= solution <= points[i + 1]
            # solved to rounding; the framed sheet itself repeats to about 1e-9
            assert outputs_at(design, field, output, [solution])[0] == pytest.approx(target, rel=1e-8)
        assert "at worst; answers are worked out" in found.words[-1]
        curve = np.interp(points, *found.scan)
        assert curve == pytest.approx(values, rel=CLOSE_ENOUGH)


def test_two_solutions_on_both_sides_of_a_turn(monkeypatch):
    """A turn between two points that are worked out is worked out, too, so both crossings beside it are found."""
    hill = lambda design, field, output, x: np.exp(-((np.asarray(x) - 1.013) ** 2))  # noqa: E731
    monkeypatch.setattr("panelmech.study.sizing.outputs_at", hill)
    found = size(DESIGN, "span", "press_deflection", 0.9999, 0.2, 2.0)
    assert found.solutions == pytest.approx([1.013 - 0.01, 1.013 + 0.01], abs=1e-6)
    assert size(DESIGN, "span", "press_deflection", 1.0001, 0.2, 2.0).solutions == ()


def test_where_it_cannot_be_made_nothing_is_read():
    found = size(DESIGN.replace(free_length=0.08), "spacer_diameter", "press_deflection", 1e-12, 1e-3, 60e-3)
    points, values = found.scan
    assert found.solutions == () and np.nanmax(points[np.isfinite(values)]) < 0.055
    study = evaluate(DESIGN.replace(free_length=0.08, spacer_diameter=0.02))
    known = np.isfinite(points)
    assert np.interp(0.02, points[known], values[known]) == pytest.approx(
        study.quantities["press_deflection"], rel=CLOSE_ENOUGH
    )
