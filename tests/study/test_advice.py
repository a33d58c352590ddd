"""What to change: every word of an advice is true of the design worked out anew."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech import catalogue, evaluate
from panelmech.loads import load_meaning
from panelmech.loads.checks import LOAD_RULES
from panelmech.loads.meanings import MEANINGS
from panelmech.study import advice, advise, meaning
from panelmech.study.checks import CHECKS
from panelmech.study.design import LIMITS
from panelmech.study.verdicts import BEYOND, CLOSE, FAILS, HOLDS, UNKNOWN
from panelmech.units import from_si, lengths_in, show

BENDABLE = {
    "close": {"pressure": 2900.0},
    "thin": {"sheet_thickness": 1.5e-3},
    "long": {"free_length": 0.3},
    "short": {"free_length": 0.09},
    "wide mouth": {"spacer_diameter": 0.09},
    "heavy water": {"pressure": 20e3},
}
UNBENDABLE = {
    "too large": {"spacer_diameter": 0.095},
    "off the sheet": {"setback": 0.23},
    "proud": {"setback": -0.05},
    "thin rod": {"spacer_diameter": 2e-3, "spacer_wall": 0.0, "bond_line": 3e-3},
}


def judged_verdict(study):
    if any(c.beyond for c in study.limits):
        return FAILS
    return next(w for w in (FAILS, CLOSE, HOLDS) if any(c.verdict == w for c in study.limits))


@pytest.mark.parametrize("name", [*BENDABLE, *UNBENDABLE])
def test_what_is_said_of_a_way_is_what_the_study_of_it_says(name):
    design = LEEBOARD.replace(**{**BENDABLE, **UNBENDABLE}[name])
    given = evaluate(design) if name in BENDABLE else design
    said = advise(given)
    assert said.ways and said.words.startswith(("A ", "No size sold"))
    for way in said.ways:
        study = evaluate(design.replace(**way.changes))
        assert judged_verdict(study) == way.verdict and way.beyond == any(c.verdict == UNKNOWN for c in study.limits)
        if way.beyond:
            assert f"{way.governing[0].lower()}{way.governing[1:]} still {BEYOND}" in said.words
            continue
        assert study.least_reserve == pytest.approx(way.least_reserve, rel=1e-12)
        assert study.governing.name == way.governing
        assert (
            f"least reserve {show(way.least_reserve, '', 3)}, {way.governing[0].lower()}{way.governing[1:]}"
            in said.words
        )
        for field, value in way.changes.items():
            assert value != getattr(design, field)
            assert f"{from_si(value, LIMITS[field].unit):g} mm".replace("-", "−") in said.words
    holds = " would hold" in said.words.split(":")[0]
    assert holds == (said.ways[0].verdict == HOLDS)


@pytest.mark.parametrize("name", ["close", "thin", "long", "short"])
def test_no_smaller_change_of_one_input_holds(name):
    design = LEEBOARD.replace(**BENDABLE[name])
    study = evaluate(design)
    way = advise(study).ways[0]
    assert way.verdict == HOLDS and len(way.changes) == 1
    search = advice._Search(design, study)
    table = search.table(list(advice.singles(design, False)))
    smaller = np.flatnonzero(table.size < search._size(way.changes) * (1.0 - 1e-12))
    quick = np.min(np.where(np.isnan(table.quick), np.inf, table.quick), axis=0)
    for i in smaller[quick[smaller] >= 1.0 + design.close_share][-8:]:  # the largest that may hold
        assert judged_verdict(evaluate(design.replace(**table.changes[i]))) != HOLDS


def test_sizes_are_those_sold_and_lengths_are_round():
    sold = {"spacer_diameter": LEEBOARD.spacer.diameters, "sheet_thickness": LEEBOARD.sheet.stock_thicknesses}
    step = {"free_length": 5e-3, "setback": 5e-4, "span": 20e-3}
    for changes in advice.singles(LEEBOARD, False):
        ((field, value),) = changes.items()
        assert (
            value in sold[field] if field in sold else value / step[field] == pytest.approx(round(value / step[field]))
        )


def test_lengths_are_round_in_inches_where_lengths_are_shown_so():
    with lengths_in("inch"):
        said = advise(LEEBOARD.replace(free_length=0.24))
    (length,) = [way.changes["free_length"] for way in said.ways if "free_length" in way.changes]
    assert length / 0.0254 * 5.0 == pytest.approx(round(length / 0.0254 * 5.0), rel=1e-12)
    assert f"free length of {length / 0.0254:.9g} in instead of 9.4488 in" in said.words


def test_where_nothing_holds_the_best_is_named_and_is_better():
    design = LEEBOARD.replace(toughness_margin=20.0, pressure=5e4, service_stress=5e7)
    study = evaluate(design)
    said = advise(study)
    assert said.words.startswith("No size sold and no round value near the present one was found that holds; ")
    (way,) = said.ways
    assert way.verdict == FAILS and way.least_reserve > advice._least(study)
    assert evaluate(design.replace(**way.changes)).governing.name == way.governing


def test_a_design_that_holds_needs_no_advice():
    assert advise(evaluate(LEEBOARD.replace(sheet_thickness=2.5e-3))) == advice.Advice()


def test_what_cannot_be_judged_is_said():
    bare = catalogue.adhesives["brittle epoxy paste"]
    unknown = next((a for a in catalogue.adhesives.values() if a.toughness is None), None)
    design = LEEBOARD.replace(sheet_thickness=1.5e-3, adhesive=unknown or bare)
    said = advise(evaluate(design))
    assert ("as far as it can be judged" in said.words) == (unknown is not None)


@pytest.mark.parametrize("name", [*BENDABLE, *UNBENDABLE])
def test_few_designs_are_worked_out(name, monkeypatch):
    design, count = LEEBOARD.replace(**{**BENDABLE, **UNBENDABLE}[name]), []
    given = evaluate(design) if name in BENDABLE else design
    monkeypatch.setattr(advice, "evaluate", lambda d: count.append(d) or evaluate(d))
    advise(given)
    assert len(count) <= advice.MOST + (name in UNBENDABLE)  # one to see that it cannot be bent


def test_every_check_has_a_meaning_of_its_own_and_other_keys_are_refused():
    assert set(MEANINGS) == {rule.key for rule in LOAD_RULES}
    for say, rules in ((meaning, CHECKS), (load_meaning, LOAD_RULES)):
        said = [say(rule.key) for rule in rules]
        assert len(set(said)) == len(said)
        with pytest.raises(ValueError, match="there is no check 'stiffness'"):
            say("stiffness")


def test_a_study_without_its_framed_sheet_is_worked_out_in_full():
    weak = LEEBOARD.replace(friction=0.05)
    assert advise(evaluate(weak, local=False)) == advise(weak)
