"""The judge of a job says what the study along the span and the study under load say of the same job."""

import numpy as np
import pytest

from panelmech.blade.along_checks import evaluate_along
from panelmech.job.every import counts, judge_of
from panelmech.job.job import demo
from panelmech.job.verdict import judge_job
from panelmech.study.choose import combine, rank
from panelmech.study.every import judge_design
from panelmech.study.verdicts import FAILS, WORST_FIRST

DEMO = demo()
PLAIN = DEMO.replace(loads=None)


def worst(*verdicts):
    return next(word for word in WORST_FIRST if word in verdicts)


@pytest.mark.parametrize("changes", [{}, {"sheet_thickness": 1.5e-3}, {"spacer_diameter": 22e-3}])
def test_it_says_what_the_job_comes_to(changes):
    design = DEMO.design.replace(**changes)
    found, verdict = judge_of(DEMO)(design), judge_job(DEMO.with_design(design))
    parts = [verdict.of(kind) for kind in ("design", "loads")]
    assert found.verdict == worst(*(part.word for part in parts))
    reserves = [c.reserve for part in parts for c in part.checks if c.kind == "limit" and not np.isnan(c.reserve)]
    assert found.reserve == pytest.approx(min(reserves), rel=1e-12)
    governing = next(c for part in parts for c in part.limits if c.reserve == found.reserve)
    assert (found.key, found.name) == (governing.key, governing.name)
    assert judge_of(DEMO, soon=True)(design).verdict == found.verdict


def test_without_loads_it_is_the_study_along_the_span():
    study, found = evaluate_along(PLAIN.blade), judge_of(PLAIN)(PLAIN.design)
    assert (found.verdict, found.key) == (study.verdict, study.governing.key)
    assert found.reserve == pytest.approx(study.least_reserve, rel=1e-12)
    straight = PLAIN.replace(blade=PLAIN.design)
    assert judge_of(straight)(PLAIN.design) == judge_design(PLAIN.design)
    assert "loads" not in counts(straight) and "tip" in counts(PLAIN) and "loads" in counts(DEMO)


def test_what_cannot_be_made_anywhere_fails():
    found = judge_of(DEMO)(DEMO.design.replace(free_length=0.02))
    assert (found.verdict, found.name) == (FAILS, "cannot be made") and not found.stands


@pytest.mark.slow
def test_rows_chosen_for_a_job_hold_along_the_span_and_under_its_loads():
    choices = combine(DEMO.design, [DEMO.design.sheet], [DEMO.design.spacer], judge=judge_of(DEMO, soon=True))
    order = rank(choices, "mass", 2, only_judged=True)
    assert len(order) == 2
    for i in order:
        verdict = judge_job(DEMO.with_design(choices.design_at(i)))
        assert FAILS not in (verdict.of("design").word, verdict.of("loads").word)
    lighter = [i for i in choices.standing if choices.values["mass"][i] < choices.values["mass"][order[0]]]
    refused = max(lighter, key=lambda i: choices.values["mass"][i])
    verdict = judge_job(DEMO.with_design(choices.design_at(refused)))
    assert FAILS in (verdict.of("design").word, verdict.of("loads").word)
