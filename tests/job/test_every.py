"""The judge of a job says what the study along the span and the study under load say of the same job."""

import numpy as np
import pytest

from panelmech.blade.along_checks import evaluate_along
from panelmech.job.every import counts, judge_of
from panelmech.job.job import demo
from panelmech.loads.in_place import with_loads
from panelmech.loads.load_file import fitting_checks
from panelmech.loads.load_study import evaluate_loads
from panelmech.study.choose import combine, rank
from panelmech.study.every import judge_design
from panelmech.study.verdicts import FAILS, worst_verdict

DEMO = demo()
PLAIN = DEMO.replace(loads=None)


def expected(job):
    """Limits of a job's part along its span and under its loads, by the studies themselves."""
    if job.loads is None:
        return evaluate_along(job.blade).limits
    loads = evaluate_loads(job.blade, job.loads.plan)
    return (
        *with_loads(evaluate_along(job.blade), loads).limits,
        *loads.limits,
        *(c for c in fitting_checks(loads, job.loads.fittings) if c.kind == "limit"),
    )


def agrees(found, checks):
    least = min((c for c in checks if not np.isnan(c.reserve)), key=lambda c: c.reserve)
    assert found.verdict == worst_verdict(checks) and (found.key, found.name) == (least.key, least.name)
    assert found.reserve == pytest.approx(least.reserve, rel=1e-12)


@pytest.mark.parametrize("loads", [DEMO.loads, None], ids=["loads", "no loads"])
@pytest.mark.parametrize(
    "changes", [{}, {"sheet_thickness": 1.5e-3}, {"pressure": 900.0, "settled": ("service_stress",)}]
)
def test_it_says_what_the_studies_say(loads, changes):
    job = DEMO.replace(loads=loads)
    design = job.design.replace(**changes)
    found, checks = judge_of(job)(design), expected(job.with_design(design))
    agrees(found, checks)
    soon = judge_of(job, soon=True)(design)
    assert soon.verdict == found.verdict and (soon == found or not found.stands)


def test_of_a_part_the_same_all_along_it_is_the_study_of_the_design():
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
        agrees(choices.standing[i], expected(DEMO.with_design(choices.design_at(i))))
        assert choices.standing[i].stands
    lighter = [i for i in choices.standing if choices.values["mass"][i] < choices.values["mass"][order[0]]]
    refused = max(lighter, key=lambda i: choices.values["mass"][i])
    assert worst_verdict(expected(DEMO.with_design(choices.design_at(refused)))) == FAILS
