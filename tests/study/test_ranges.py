"""Beyond its range a result is no number: in the table, the arrays, the files; and it fails only where that is sure."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from leeboard_part import LEEBOARD as PLAIN

from panelmech import evaluate
from panelmech.mechanics.bend import InfeasibleBend, solve_bend
from panelmech.report.note import checks_csv, results_csv
from panelmech.study.checks import LOCAL_RULES, judge_framed
from panelmech.study.framed_sheet import local_quantities
from panelmech.study.ranges import HOLLOW, STEEP, STUBBY, THICK
from panelmech.study.side_by_side import compare
from panelmech.study.verdicts import BEYOND, FAILS, LETS_GO, UNKNOWN, VERDICTS, rate, worst
from panelmech.units import show

NUMBERS = st.floats(1e-3, 1e3)


@given(NUMBERS, NUMBERS, NUMBERS, st.booleans())
def test_rule_of_the_range(value, limit, within, ceiling):
    """Within: as ever. Beyond: no reserve, unknown; but a ceiling that lies within the range has surely been passed."""
    plain, found = rate(value, limit, 0.25, ceiling), rate(value, limit, 0.25, ceiling, within)
    if value <= within:
        assert not found.beyond and found[:4] == plain[:4]
    elif ceiling and limit < within:
        assert found.beyond and found.verdict == FAILS == plain.verdict
        assert plain.reserve <= found.reserve == limit / within < 1.0  # the most that may be left
    else:
        assert found.beyond and found.verdict == UNKNOWN and np.isnan(found.reserve)


def test_arrays_are_rated_as_numbers_are():
    values, limits = np.array([0.5, 2.0, 2.0, np.nan]), np.array([1.0, 3.0, 0.5, 1.0])
    found = rate(values, limits, 0.25, within=1.0)
    for i in range(4):
        one = rate(values[i], limits[i], 0.25, within=1.0)
        assert found.code[i] == one.code and bool(found.beyond[i]) == bool(one.beyond)


def test_what_is_beyond_somewhere_is_not_hidden_by_what_holds_elsewhere():
    """Of several places: what fails stands first, then what cannot be told, then the least reserve."""
    values, limit, place = np.array([[0.5, 2.0, 0.9]]), 3.0, np.array([0.0, 1.0, 2.0])
    rated, where = worst(rate(values, limit, 0.25, within=1.0), ("case",), place)
    assert rated.verdict == UNKNOWN and where["position"] == 1.0 and np.isnan(where["along"][1][1])
    rated, where = worst(rate(values, np.array([[3.0, 3.0, 0.8]]), 0.25, within=1.0), ("case",), place)
    assert rated.verdict == FAILS and where["position"] == 2.0 and not rated.beyond


@settings(max_examples=15, deadline=None)
@given(st.floats(0.4e-3, 6e-3), st.floats(10.0, 5e4), st.floats(5e-4, 0.05), st.floats(6e-3, 0.08))
def test_no_deflection_is_told_beyond_its_range(thickness, pressure, share, spacer):
    design = PLAIN.replace(sheet_thickness=thickness, pressure=pressure, deflection_share=share, spacer_diameter=spacer)
    try:
        study = evaluate(design)
    except InfeasibleBend:
        assume(False)
    raw, bend = local_quantities(design), design.bend()
    check, lets_go = study.check("oil_canning"), np.isfinite(raw["press_lets_go"])
    told = (
        bend.contact_angle <= STEEP
        and thickness <= THICK * bend.contact_arclength
        and study.quantities["thickness_ratio"] <= STUBBY
    )
    assert bool(check.beyond) != told
    if told and lets_go:
        assert check.value_text() == LETS_GO and check.verdict == FAILS and check.reserve < 1.0
        assert np.isnan(study.quantities["press_deflection"])
    elif told:
        assert check.value == raw["press_deflection"] == study.quantities["press_deflection"]
    else:
        assert check.value_text() == BEYOND and np.isnan(check.value)
        assert np.isnan(study.quantities["press_deflection"]) and study.text("press_deflection") == BEYOND
        assert check.verdict in (FAILS, UNKNOWN) and study.verdict in (FAILS, UNKNOWN)
    _, judged = judge_framed(design)
    for rule in LOCAL_RULES:
        assert VERDICTS[int(judged[rule.key].code)] == study.check(rule.key).verdict
        assert judged[rule.key].reserve == pytest.approx(study.check(rule.key).reserve, rel=1e-9, nan_ok=True)


def test_every_place_that_prints_it_says_so():
    steep = PLAIN.replace(spacer_diameter=0.11, spacer_wall=0.0)  # turns too far for a shallow shell
    study, raw = evaluate(steep), show(local_quantities(steep)["press_deflection"], "mm", 3)
    assert "Beyond what this can tell: framed sheet pressed in, " in study.headline()
    line = next(row for row in checks_csv(study).splitlines() if row.startswith("oil_canning"))
    assert BEYOND in line and ",unknown," in line
    shown = {row.split(",")[0]: row for row in results_csv(study).splitlines()}
    assert all(BEYOND in shown[f"press_deflection{which}"] for which in ("", "_inward", "_resting", "_linear"))
    rows = {row.key: row for row in compare(steep, PLAIN).rows}
    assert rows["oil_canning_reserve"].texts[0] == f"unknown, {BEYOND}"
    assert rows["press_deflection"].texts[0] == BEYOND and "mm" in rows["press_deflection"].texts[1]
    assert raw not in "".join((study.headline(), line, shown["press_deflection"]))


@pytest.mark.parametrize(
    ("changes", "keys"),
    [
        ({"land_length": 0.3}, {"joint_opening"}),  # the land longer than the sheet
        ({"spacer_diameter": 0.11, "spacer_wall": 0.0}, {"oil_canning", "skin_buckling"}),  # turns too far
        ({"span": 0.035, "frame_width": 0.014, "pressure": 1.0}, {"oil_canning", "skin_buckling"}),  # no thin sheet
    ],
)
def test_what_the_worksheet_does_not_describe(changes, keys):
    study = evaluate(PLAIN.replace(**changes))
    assert {c.key for c in study.limits if c.beyond} == keys
    assert all(study.check(key).verdict == UNKNOWN and study.check(key).advice for key in keys)


@pytest.mark.slow
def test_hollow_midway_is_at_least_so_deep():
    """Midway between land and rod the inner faces stand apart by more than HOLLOW of the spacer, whatever the sizes."""
    rng, least = np.random.default_rng(3), np.inf
    length = rng.uniform(0.05, 1.0, 600)
    sizes = length * 10.0 ** rng.uniform(-3.5, -1, 600), length * 10.0 ** rng.uniform(-2, 0, 600)
    for free, t, d, g in zip(length, *sizes, rng.uniform(0, 2e-3, 600), strict=True):
        try:
            bend = solve_bend(free, t, d, g, 0.1 * d)
        except (InfeasibleBend, ValueError):
            continue
        s = np.linspace(0.0, 0.5 * bend.contact_arclength, 200)
        angle = bend.tangent_angle(s)
        gap = g + t + 2.0 * np.trapezoid(np.sin(angle), s) - t * np.cos(angle[-1])
        least = min(least, gap / d)
    assert HOLLOW <= least < 0.3
