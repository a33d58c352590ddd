"""The judge of a job says what the study along the span and the study under load say of the same job."""

from dataclasses import replace

import numpy as np
import pytest
from day_and_night import by_day

from panelmech.blade.along_checks import evaluate_along
from panelmech.blade.blade import Table
from panelmech.job.every import counts, judge_alike, judge_of
from panelmech.job.job import demo
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush
from panelmech.loads.in_place import with_loads
from panelmech.loads.load_file import LoadSheet, fitting_checks
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan, Stock
from panelmech.loads.response import framed_along, framed_bounds_along
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


STOCKED = combine(DEMO.design)


def some_rows(count, seed=3):
    rows = np.flatnonzero(STOCKED.possible)
    return [STOCKED.design_at(i) for i in np.random.default_rng(seed).choice(rows, count, replace=False)]


def same(found, one):
    """Two standings of a design, but for rounding."""
    assert found._replace(reserve=0.0) == one._replace(reserve=0.0)
    assert found.reserve == pytest.approx(one.reserve, rel=1e-12, nan_ok=True)


JOBS = {
    "tapered": DEMO,
    "no loads": PLAIN,
    "stepped rod": DEMO.replace(
        blade=replace(DEMO.blade, spacer_diameter=Table((0.0, 0.4), (0.018, 0.012), stepped=True), spacer_wall=None)
    ),
    "no framed sheet": DEMO.replace(loads=replace(DEMO.loads, plan=replace(DEMO.loads.plan, local=False))),
    "own pressure": DEMO.replace(blade=DEMO.blade.replace(design=DEMO.design.replace(pressure=700.0))),
    "clamped, torque, stock": DEMO.replace(
        loads=LoadSheet(
            LoadPlan(
                (PointPush("grounding", 40.0, 1.0, 0.1), *DEMO.loads.plan.cases),
                Held((-0.2, 0.05)),
                DEMO.loads.plan.judgement,
                Stock(0.3, 0.03, 0.0, 2.0e11, 0.3, 2.5e8),
                "resting",
            )
        )
    ),
}


@by_day("name", JOBS, "tapered", "no loads", "clamped, torque, stock")
def test_many_together_come_to_what_each_comes_to_alone(name):
    job = JOBS[name]
    designs = [*(d.replace(pressure=job.design.pressure) for d in some_rows(6)), job.design.replace(free_length=0.03)]
    judge = judge_of(job)
    for found, sifted, design in zip(judge.together(designs), judge.sift(designs), designs, strict=True):
        one = judge_of(job)(design)
        same(found, one)
        assert sifted.stands or not one.stands
        assert not one.stands or not sifted.reserve < one.reserve * (1.0 - 1e-12)


def test_designs_of_other_kinds_are_told_apart():
    designs = [DEMO.design, DEMO.design.replace(friction=0.1), DEMO.design.replace(span=0.9), DEMO.design]
    for found, design in zip(judge_of(DEMO).together(designs), designs, strict=True):
        same(found, judge_of(DEMO)(design))


def test_what_was_told_is_not_worked_out_again(monkeypatch):
    """Nor for a job that differs from the first in its design alone."""
    judge, designs = judge_of(DEMO), some_rows(3)
    found = judge.together(designs), judge.sift(designs)
    monkeypatch.setattr(judge, "_alike", lambda designs: pytest.fail("worked out again"))
    assert (judge.together(designs), judge.sift(designs)) == found
    assert judge_alike(DEMO, DEMO.with_design(designs[0]))
    assert not judge_alike(DEMO, DEMO.replace(loads=None)) and not judge_alike(DEMO, PLAIN.replace(blade=DEMO.design))


def test_bounds_of_the_framed_sheet_bound_it():
    position = np.linspace(0.0, DEMO.design.span, 30)
    for design in some_rows(6, seed=5):
        blade = DEMO.blade.with_root(design)
        bounds, exact = framed_bounds_along(blade, position), framed_along(blade, position)
        for name, low, high in (("press", 0.97, 1.0), ("buckling", 1.0, 1.03)):
            share = bounds[name] / exact[name]
            assert np.all(np.isnan(exact[name]) if np.isnan(share).any() else (share >= low) & (share <= high))


@pytest.mark.slow
@pytest.mark.parametrize("count", [50, pytest.param(1000, marks=pytest.mark.nightly)])
def test_sifting_many_rows_refuses_none_that_stands(count):
    """Of all that is sifted out a sample is judged in full, and all that stands is kept."""
    designs = some_rows(count, seed=11)
    judge = judge_of(DEMO)
    found = judge.sift(designs)
    refused = [d for d, one in zip(designs, found, strict=True) if not one.stands]
    assert len(refused) > count / 2
    whole = judge.together(refused)
    assert not any(one.stands for one in whole)
    for design, one in list(zip(refused, whole, strict=True))[::40]:
        same(one, judge_of(DEMO)(design))
