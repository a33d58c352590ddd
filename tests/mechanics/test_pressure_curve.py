"""The curve of a framed sheet pressed outward and inward, and the exponents of its stiffness."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from panelmech.mechanics import framed_sheet, load_curve, press, press_both_ways, press_large, solve_bend
from panelmech.mechanics.large_deflection import large_loading
from panelmech.mechanics.pressure_curve import SIZES, STEPS, Exponents, _guess
from panelmech.mechanics.shell_model import FramedSheet, even_pressure, framed_edges
from panelmech.mechanics.shell_path import at_share, follow


def bent(in_plane, thickness=0.002, spacer=0.018):
    bend = solve_bend(0.225, thickness, spacer, 0.0003, 0.003)
    return framed_sheet(bend, 0.85, 0.012, 18.6e9, 0.175, framed_edges(in_plane=in_plane))


def deflection(sheet, pressure):
    return abs(press_large(sheet, even_pressure(pressure)).largest_deflection)


@pytest.mark.parametrize("in_plane", ["diaphragm", "held"])
def test_the_state_at_the_working_pressure_is_that_of_one_load(in_plane):
    sheet = bent(in_plane)
    pressed = press_both_ways(sheet, 3000.0, 2000.0)
    for curve, pressure in ((pressed.outward, 2000.0), (pressed.inward, -2000.0)):
        found = curve.working
        assert found.stable and not found.snapped and found.exponents is None
        assert found.deflection == pytest.approx(deflection(sheet, pressure), rel=1e-7)  # both by Newton's method
        assert (curve.pressure[-1], curve.stopped) == (pytest.approx(3000.0), "")
        read = np.interp(800.0, curve.pressure, curve.deflection)
        # between points of the path the curve is a cubic: within 5e-3 of its largest
        assert read == pytest.approx(deflection(sheet, 0.4 * pressure), abs=5e-3 * curve.deflection.max())
    assert pressed.per_pressure == pytest.approx(abs(press(sheet).largest_deflection) / 1000.0, rel=1e-4)


def test_a_flat_sheet_gives_alike_both_ways():
    pressed = press_both_ways(bent("held").flat(), 3000.0, 2000.0)
    assert pressed.outward is pressed.inward
    assert pressed.inward.working.deflection == pytest.approx(deflection(pressed.sheet, -2000.0), rel=1e-7)


def by_differences(measure, sheet, step=0.005):
    """`Exponents` by central differences of whole solutions."""
    values = sheet.curvature_values

    def log(name, factor):
        return np.log(measure(replace(sheet, curvature=values, **{name: factor * getattr(sheet, name)})))

    spread = np.log((1 + step) / (1 - step))
    return Exponents(*((log(name, 1 - step) - log(name, 1 + step)) / spread for name in SIZES))


def test_exponents_are_those_of_sheets_solved_anew():
    sheet = bent("held")
    pressed = press_both_ways(sheet, 2000.0, 2000.0, exponents=True)
    told = {
        "linear": (pressed.exponents, lambda s: abs(press(s).largest_deflection)),
        "outward": (pressed.outward.working.exponents, lambda s: deflection(s, 2000.0)),
        "inward": (pressed.inward.working.exponents, lambda s: deflection(s, -2000.0)),
    }
    for found, measure in told.values():
        wanted = by_differences(measure, sheet)
        # the differences' own error, with the square of their step, and the linear model's other degrees
        assert [getattr(found, n) for n in SIZES] == pytest.approx([getattr(wanted, n) for n in SIZES], abs=2e-3)


def test_exponents_of_a_flat_sheet_keep_the_laws_of_scale():
    sheet = FramedSheet(0.2, 0.5, 0.002, 10e9, 0.3, None, framed_edges(in_plane="held"))
    pressed = press_both_ways(sheet, 20000.0, 20000.0, exponents=True)
    linear, working = pressed.exponents, pressed.outward.working.exponents
    # w = p L^4/(E t^3) f(b/L); step squared is 1e-6
    assert linear.thickness == pytest.approx(3.0, abs=1e-4)
    assert linear.length + linear.width == pytest.approx(-4.0, abs=1e-4)
    # w/t is a function of p L^4/(E t^4) and b/L, so all sizes together change p/w by the power -1
    assert working.thickness < 1.0
    assert working.thickness + working.length + working.width == pytest.approx(-1.0, abs=1e-4)


def test_a_sheet_that_snaps_through_says_so():
    sheet = bent("held", thickness=0.001, spacer=0.022)
    pressed = press_both_ways(sheet, 300.0, 290.0)
    limit = load_curve(sheet, even_pressure(300.0)).first_limit
    first = next(turn for turn in pressed.outward.turns if turn.kind == "limit")
    # a limit is sure to 1e-6 of what the load changes in a step
    assert first.pressure == pytest.approx(limit.size, rel=1e-5) and 100.0 < first.pressure < 290.0
    assert first.deflection == pytest.approx(abs(limit.largest_deflection), rel=1e-3)  # its place, to 1e-3 of a step
    assert pressed.outward.pressure.max() >= first.pressure * (1 - 1e-9)
    assert not pressed.outward.stable.all() and pressed.outward.stable[0]
    assert pressed.outward.working.snapped and not pressed.inward.working.snapped
    assert pressed.outward.working.deflection == pytest.approx(deflection(sheet, 290.0), rel=1e-6)
    before = press_both_ways(sheet, 300.0, 0.9 * first.pressure).outward.working
    assert before.stable and not before.snapped and before.deflection < first.deflection


def test_a_curve_that_cannot_go_on_ends_and_says_why():
    sheet = FramedSheet(0.2, 0.5, 0.0005, 1e9, 0.3, None, framed_edges())
    pressed = press_both_ways(sheet, 1e6, 1e6)
    assert pressed.outward.stopped == "the deflection grows too large for a shallow sheet"
    assert pressed.outward.working is None and 0.0 < pressed.outward.pressure[-1] < 1e6
    less = 0.5 * pressed.outward.pressure[-1]
    assert press_both_ways(sheet, 1e6, less).outward.working.deflection == pytest.approx(deflection(sheet, less))


def test_a_small_pressure_is_one():
    tiny = press_both_ways(bent("held"), 0.05, 0.05)
    assert tiny.outward.working.deflection == pytest.approx(0.05 * tiny.per_pressure, rel=1e-3)


@pytest.mark.parametrize("part", [0.2, 0.5, 0.8, 1.0])
def test_a_state_is_looked_for_where_it_nearly_is(part):
    sheet = bent("held")
    loading, _, _ = large_loading(sheet, even_pressure(3000.0), None, None, None)
    for last, new in pairwise(follow(loading, *STEPS, np.inf).points):
        share = last.share + part * (new.share - last.share)
        guess, way = _guess(last, new, share)
        assert (
            1.0 <= way / loading.size(new.state.amplitudes - last.state.amplitudes) < 1.03
        )  # straight from end to end
        # a polynomial over a step of 0.7 thicknesses at most: measured 6e-3 of the way and less
        assert loading.size(at_share(loading, guess, share).amplitudes - guess) < 0.01 * way


@pytest.mark.parametrize("pressures", [(0.0, None), (-1.0, None), (1000.0, 0.0), (1000.0, 1001.0)])
def test_pressures_that_make_no_curve_are_refused(pressures):
    with pytest.raises(ValueError, match="pressure"):
        press_both_ways(bent("held"), *pressures)
