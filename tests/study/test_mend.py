"""What is said to mend a check does: the advised change, made, mends it, or it is said that it does not suffice."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import evaluate
from panelmech.blade.blade import Blade
from panelmech.loads.cases import SideForce
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.mend import WHOLE, Work, asked_by, with_load_mends
from panelmech.loads.plan import LoadPlan
from panelmech.study.mend import WORTH, mend_words, mends, needs_mending, with_mends
from panelmech.study.verdicts import CLOSE, FAILS, UNKNOWN
from panelmech.units import show

BAD = {
    "beyond": {"spacer_diameter": 0.09, "pressure": 100.0},
    "thin": {"sheet_thickness": 1.5e-3, "pressure": 100.0},
    "smooth": {"friction": 0.05, "pressure": 500.0},
    "stressed": {"service_stress": 20e6, "pressure": 500.0},
    "wide mouth": {"spacer_diameter": 0.08},
    "hopeless": {"pressure": 5e4},
}


def reserve_of(check):
    return 0.0 if check.beyond and np.isnan(check.reserve) else check.reserve


@pytest.mark.parametrize("name", BAD)
def test_the_advised_change_made_mends_the_check_or_it_is_said_that_it_does_not(name):
    study = evaluate(LEEBOARD.replace(**BAD[name]))
    bad = [check for check in study.limits if needs_mending(check)]
    assert bad
    for check in bad:
        found = mends(study, check.key)
        words = mend_words(study.design, found)
        assert words in with_mends(study).check(check.key).advice
        for mend in found:
            after = evaluate(study.design.replace(**mend.changes))
            now = after.check(check.key)
            good = now.verdict not in (FAILS, UNKNOWN, *([CLOSE] if check.verdict == CLOSE else []))
            assert mend.enough == good
            assert words.startswith("no one size mends it alone") == (not good)
            if good:
                assert f"{show(now.reserve, '', 3)} times" in words
            worse = {c.name for c in after.limits if c.verdict == FAILS or (c.beyond and c.verdict == UNKNOWN)}
            same = {c.name for c in study.limits if c.verdict == FAILS or (c.beyond and c.verdict == UNKNOWN)}
            assert set(mend.then) == worse - same - {check.name}


def test_no_input_is_named_that_does_next_to_nothing():
    """The span does nothing for the skin of a long panel, so it is never named for it."""
    study = evaluate(LEEBOARD.replace(service_stress=20e6, pressure=500.0))
    longer = evaluate(study.design.replace(span=1.5 * study.design.span)).check("skin_buckling").value
    assert longer == pytest.approx(study.check("skin_buckling").value, rel=1e-3)
    for name in BAD:
        study = evaluate(LEEBOARD.replace(**BAD[name]))
        for check in study.limits:
            for mend in mends(study, check.key) if needs_mending(check) else ():
                after = evaluate(study.design.replace(**mend.changes)).check(check.key)
                assert reserve_of(after) > WORTH * reserve_of(check) or after.beyond
                assert "span" not in mend.changes or check.key == "oil_canning"


def test_checks_that_hold_get_no_advice_and_verdicts_stay():
    study = evaluate(LEEBOARD.replace(pressure=500.0))
    assert with_mends(study).checks == study.checks
    failing = evaluate(LEEBOARD.replace(**BAD["wide mouth"]))
    told = with_mends(failing)
    assert [(c.key, c.verdict, c.reserve_text()) for c in told.checks] == [
        (c.key, c.verdict, c.reserve_text()) for c in failing.checks
    ]


def test_under_loads_too():
    plan = LoadPlan((SideForce("sailing", 2.5, 1025.0, angle=0.1, immersed_from=0.25),), stations=5)
    blade = Blade(LEEBOARD.replace(sheet_thickness=1.2e-3))
    study = evaluate_loads(blade, plan)
    told = with_load_mends(study)
    bad = [check for check in study.limits if needs_mending(check)]
    assert bad
    for check in bad:
        advice = told.check(check.key).advice
        assert " instead of " in advice or "no change of one size" in advice
        if "no one size" in advice or "no change" in advice:
            continue
        for thickness in (1.5e-3, 2e-3, 2.5e-3, 3e-3):
            if advice.startswith(f"a {1e3 * thickness:g} mm sheet instead of 1.2 mm"):
                thick = evaluate_loads(Blade(blade.design.replace(sheet_thickness=thickness)), plan).check(check.key)
                assert f"{show(thick.reserve, '', 3)} times" in advice and thick.verdict not in (FAILS, UNKNOWN)


@pytest.mark.parametrize("changes", [{"sheet_thickness": 1.5e-3}, {"spacer_diameter": 30e-3}])
def test_what_a_search_under_loads_leaves_out_no_check_that_it_is_for_asks_for(changes):
    """Of every check the reserve is the same, to the last digit, without what is left out of the framed sheet."""
    plan = LoadPlan((SideForce("sailing", 2.5, 1025.0, angle=0.1, immersed_from=0.25),), stations=5)
    study = evaluate_loads(Blade(LEEBOARD), plan)
    light, whole = Work(study), Work(study).part(changes)
    assert study.limits and {asked_by(check.key) for check in study.limits} > {WHOLE}
    for check in study.limits:
        one, other = (part.check(check.key) for part in (light.part(changes, asked_by(check.key)), whole))
        assert (one.verdict, one.beyond) == (other.verdict, other.beyond)
        assert one.reserve == other.reserve or (np.isnan(one.reserve) and np.isnan(other.reserve))
