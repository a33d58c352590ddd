"""The local checks in the study of a design: pressing in, skin buckling, lift-off; bad and empty inputs."""

import warnings

import numpy as np
import pytest
from roads.strip_exact import liftoff_pressure

from panelmech import Design, Sheet, catalogue, evaluate
from panelmech.mechanics.bend import InfeasibleBend, solve_bend
from panelmech.mechanics.forming import bending_modulus, bending_stiffness
from panelmech.mechanics.pressing import pair_pressings
from panelmech.mechanics.shell import buckle
from panelmech.study.checks import LOCAL_RULES, judge
from panelmech.study.ends import pair_give
from panelmech.study.framed_sheet import bent_sheet, local_quantities
from panelmech.study.quantities import gather
from panelmech.study.verdicts import CLOSE, DEFAULT, FAILS, HOLDS, UNKNOWN, VERDICTS
from panelmech.units import show

SHEET = Sheet(
    name="own",
    modulus=20e9,
    poisson=0.2,
    density=1900.0,
    permanent_strain_limit=0.01,
    forming_strain_limit=0.02,
    source="test strip",
)
LOCAL = ("oil_canning", "skin_buckling")


@pytest.fixture
def design():
    """Pressed well within what can be told: 0.3 mm by 600 Pa, with 0.4 mm allowed."""
    return Design(SHEET, 2e-3, 0.225, 15e-3, span=0.5, pressure=500.0, deflection_share=2e-3)


def test_values_and_limits_by_direct_calls(design):
    """The face of the pair, and the worse of both in-plane edges, by mechanics called; the limits are the builder's."""
    study = evaluate(design)
    sheets = [bent_sheet(design, choice) for choice in ("free", "held")]
    ways = pair_pressings(sheets[0], design.pressure, 0.0, give=pair_give(design, design.bend()))
    pressed = ways[0].at(design.pressure)
    buckles = min(buckle(s).stress for s in sheets)
    check = study.check("oil_canning")
    assert check.value == pytest.approx(pressed, rel=1e-9)
    assert check.limit == pytest.approx(2e-3 * design.bend().contact_arclength, rel=1e-12)
    check = study.check("skin_buckling")
    assert check.value == pytest.approx(buckles, rel=1e-5) and check.limit == design.service_stress
    assert check.reserve == pytest.approx(buckles / design.service_stress, rel=1e-5)
    assert check.need == "at least" and study.check("oil_canning").need == "at most"
    source = study.check("skin_buckling").source
    assert "land clamped, rod and frames supported" in source and "drawing in or held" in source
    assert (
        "at large deflection" in study.check("oil_canning").source
        and "front potted" in study.check("oil_canning").source
    )
    for key in LOCAL:
        assert study.check(key).basis == {"oil_canning": "user", "skin_buckling": DEFAULT}[key]


def test_reserves_go_with_the_load(design):
    one, two = evaluate(design), evaluate(design.replace(pressure=2 * design.pressure, service_stress=10e6))
    assert two.check("skin_buckling").reserve == pytest.approx(one.check("skin_buckling").reserve / 2, rel=1e-12)
    half = one.check("oil_canning").reserve / 2
    assert 0.5 * half < two.check("oil_canning").reserve < half  # outward a bent sheet grows softer


@pytest.mark.parametrize(("reserve", "verdict"), [(0.99, FAILS), (1.01, CLOSE), (1.24, CLOSE), (1.26, HOLDS)])
def test_verdicts_follow_the_reserve(design, reserve, verdict):
    """Deflection allowed and stress set so that the reserve is the one wanted."""
    now = evaluate(design)
    study = evaluate(
        design.replace(
            deflection_share=design.deflection_share * reserve / now.check("oil_canning").reserve,
            service_stress=design.service_stress * now.check("skin_buckling").reserve / reserve,
        )
    )
    for key in LOCAL:
        check = study.check(key)
        assert check.reserve == pytest.approx(reserve, rel=1e-9) and check.verdict == verdict
        assert check.advice == "" or check.advice.startswith("by the linear theory")


def test_a_failing_framed_sheet_governs(design):
    failing = evaluate(design.replace(pressure=1500.0))
    assert failing.verdict == FAILS and failing.governing.key == "oil_canning"
    assert failing.headline().startswith("Governing: framed sheet pressed in")
    before = failing.check("oil_canning").reserve
    for change in ({"sheet_thickness": 2.2e-3}, {"frame_width": 0.1}, {"span": 0.3}, {"free_length": 0.2}):
        after = evaluate(failing.design.replace(**change)).check("oil_canning").reserve
        assert after > before, change  # every remedy the advice names is one
    stressed = evaluate(design.replace(service_stress=100e6))
    assert stressed.check("skin_buckling").verdict == FAILS
    for change in ({"sheet_thickness": 2.2e-3}, {"frame_width": 0.2}, {"free_length": 0.2}, {"spacer_diameter": 25e-3}):
        after = evaluate(stressed.design.replace(**change)).check("skin_buckling").reserve
        assert after > stressed.check("skin_buckling").reserve, change


def test_nothing_asked_is_no_load_and_no_warning(design):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        study = evaluate(design.replace(pressure=0.0, service_stress=0.0))
        for key in LOCAL:
            check = study.check(key)
            assert check.verdict == HOLDS and check.reserve_text() == "no load" and check.advice == ""
        assert study.governing.key not in LOCAL and np.isfinite(study.governing.reserve)
        assert study.check("lift_off").advice.startswith("stays on at 0")
        blind = evaluate(design.replace(pressure=0.0, service_stress=0.0, sheet=_blind_ply(), sheet_thickness=2e-3))
        assert {c.key for c in blind.unknown} >= set(LOCAL)  # unknown stays unknown, loaded or not


def _blind_ply():
    return catalogue["birch plywood, face grain along chord"]  # its modulus is measured from 3.6 mm on


def test_an_unknown_modulus_is_an_unknown_verdict(design):
    study = evaluate(design.replace(sheet=_blind_ply(), sheet_thickness=2e-3))
    for key in LOCAL:
        check = study.check(key)
        assert check.verdict == UNKNOWN and np.isnan(check.value) and check.value_text() == "–"
    assert study.verdict in (UNKNOWN, FAILS)
    assert "framed sheet pressed in" in study.headline()


def test_without_local_there_are_no_local_checks(design):
    study = evaluate(design, local=False)
    assert {c.key for c in study.checks}.isdisjoint(LOCAL) and "press_deflection" not in study.quantities
    rest = [c for c in evaluate(design).checks if c.key not in LOCAL]
    assert [(c.key, c.verdict, c.source) for c in rest] == [(c.key, c.verdict, c.source) for c in study.checks]


def test_bad_sizes_are_refused_in_words(design):
    with pytest.raises(ValueError, match="closing frame 250 mm at each end leaves nothing of the span, 500 mm"):
        design.replace(frame_width=0.25)
    with pytest.raises(InfeasibleBend, match="greatest one these sheets take"):
        evaluate(design.replace(spacer_diameter=0.13))


def test_remarks_reach_the_builder(design):
    """What the linear theory would tell, a grain, and frames that leave next to nothing, stand with check or notes."""
    study_of_even = evaluate(design)
    deep = evaluate(design.replace(pressure=10000.0)).check("oil_canning")
    linear = local_quantities(design.replace(pressure=10000.0))["press_deflection_linear"]
    assert f"by the linear theory {show(linear, 'mm', 3)}" in deep.advice and abs(linear / deep.value - 1.0) > 0.05
    assert "linear" not in evaluate(design.replace(pressure=10.0)).check("oil_canning").advice
    grain = evaluate(design.replace(sheet=catalogue["birch plywood, face grain along chord"], sheet_thickness=4e-3))
    for key in LOCAL:
        assert "grain counted, 1.36 GPa along the span in bending; " in grain.check(key).source
        assert "grain" not in study_of_even.check(key).source
    assert any("as if its modulus were the same both ways" in note for note in study_of_even.notes)
    assert any("a twentieth of its smaller side" in note for note in evaluate(design.replace(frame_width=0.24)).notes)


def test_judge_takes_a_rule_on_its_own(design):
    found = {**local_quantities(design), "contact_arclength": design.bend().contact_arclength, "contact_angle": 0.1}
    found["thickness_ratio"] = 0.1
    for key, (value, limit, reserve, code, _) in judge(gather(design), found, LOCAL_RULES).items():
        check = evaluate(design).check(key)
        assert (float(value), float(limit), float(reserve)) == (check.value, check.limit, check.reserve)
        assert VERDICTS[int(code)] == check.verdict


# --- the unbonded sheet ------------------------------------------------------------------------------------------


def test_a_pressure_that_lifts_the_sheet_is_named(design):
    """Half and twice the pressure at which an unbonded sheet leaves the rod."""
    lifts = evaluate(design, local=False).quantities["lift_off_pressure"]
    for share, words in ((0.5, "stays on at"), (2.0, "lifts off before")):
        check = evaluate(design.replace(pressure=share * lifts), local=False).check("lift_off")
        assert check.value == lifts and check.advice.startswith(words) and "bond the front" in check.advice


@pytest.mark.parametrize(("largest", "share"), [(10.0, 0.007), (20.0, 0.03), (30.0, 0.06)])
def test_the_small_deflection_estimate_is_as_near_as_its_source_says(largest, share):
    """Against the exact strip with a pressure that stays normal to the sheet: always high, by no more than said.

    Over thickness, setback and bond line, with the angle driven close to the bound from below.
    """
    stiffness, seen = 100.0, []
    for t, setback, bond_line in ((1e-3, 0.0, 0.0), (8e-3, 20e-3, 2e-3), (3e-3, -30e-3, 0.3e-3), (20e-3, 60e-3, 4e-3)):
        spacers = np.geomspace(2e-2, 0.6, 200)
        angles = np.degrees(solve_bend(1.0, t, spacers, bond_line, setback).contact_angle)
        fits = np.flatnonzero(angles < largest)
        bend = solve_bend(1.0, t, float(spacers[fits[-1]]), bond_line, setback)
        answer = liftoff_pressure(bend, stiffness)
        miss = 1.0 - answer.exact / answer.small_angle
        seen.append(np.degrees(bend.contact_angle))
        assert 0.0 < miss < share
    assert max(seen) > 0.9 * largest


def test_the_note_shows_that_estimate(design):
    modulus, _ = bending_modulus(20e9, 0.2, 0.5, 2e-3)
    exact = liftoff_pressure(design.bend(), bending_stiffness(modulus, 2e-3))
    check = evaluate(design, local=False).check("lift_off")
    assert check.value == pytest.approx(exact.small_angle, rel=1e-12)
    for words in ("0.7 % at 10°", "3 % at 20°", "6 % at 30°"):
        assert words in check.source
