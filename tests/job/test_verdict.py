"""The verdict of a job: the worst of its parts, what governs, and words where a part cannot be worked out."""

from dataclasses import replace

import pytest
from scipy import integrate

from panelmech.job.job import Job, demo
from panelmech.job.verdict import PARTS, WORST_FIRST, judge_job, stages_of, worst_word
from panelmech.measured.readings import Readings
from panelmech.study.study import evaluate
from panelmech.study.verdicts import CLOSE, FAILS, HOLDS, UNKNOWN, UNSURE
from panelmech.units import lengths_in

JOB = demo()
BARE = JOB.replace(readings=Readings(), loads=None)
WIDE = JOB.design.replace(spacer_diameter=0.08, land_length=0.2)  # peels its land open


def with_(design, job=BARE):
    return job.with_design(design)


def test_demo_counts_every_part():
    verdict = judge_job(JOB)
    assert [part.kind for part in verdict.parts] == list(PARTS) and verdict.not_there == ()
    assert verdict.word == worst_word(part.word for part in verdict.parts) == CLOSE and verdict.holds
    part, check = verdict.governing
    every = [c.reserve for p in verdict.parts for c in p.limits if c.verdict == CLOSE]
    assert check.reserve == min(every) and check in part.checks
    assert verdict.line.startswith(f"The job: close. Governing, of {part.title}: ")
    assert verdict.line.endswith(f"; reserve {check.reserve_text().replace(' ×', ' times')}.")


def test_what_is_not_there_is_said():
    verdict = judge_job(BARE)
    assert [part.kind for part in verdict.parts] == ["design", "shop"]
    assert verdict.of("loads") is None and len(verdict.not_there) == 2
    assert "Not counted: two sheets (none measured), loads (none stated)." in verdict.lines


@pytest.mark.slow
def test_a_failing_design_fails_the_job_however_well_the_pours_go():
    verdict = judge_job(with_(WIDE))
    assert verdict.of("shop").word in (HOLDS, CLOSE) and verdict.word == FAILS and not verdict.holds
    part, check = verdict.governing
    assert part.kind == "design" and check.reserve == min(c.reserve for c in part.limits if c.verdict == FAILS)
    assert {item.key for _, item in verdict.failing} >= {c.key for c in evaluate(WIDE).limits if c.verdict == FAILS}


def faster(job, times=2.0):
    """The job with its blade driven faster through the water in every case that has a speed."""
    cases = job.loads.plan.cases
    swift = tuple(replace(case, speed=times * case.speed) if hasattr(case, "speed") else case for case in cases)
    return job.replace(loads=replace(job.loads, plan=replace(job.loads.plan, cases=swift)))


def test_failing_loads_fail_a_job_whose_design_holds():
    verdict = judge_job(faster(JOB.replace(readings=Readings())))
    assert verdict.of("design").word == HOLDS and verdict.of("loads").word == FAILS == verdict.word
    part, check = verdict.governing
    assert part.kind == "loads" and check.case and check.where_text() in verdict.line
    assert verdict.line.startswith("The job: fails. Governing, of the part under its loads: ")


def test_what_cannot_be_bent_is_a_part_that_fails_with_its_words():
    verdict = judge_job(with_(JOB.design.replace(free_length=0.02)))
    part, check = verdict.governing
    assert verdict.word == FAILS and check is None and part.told.startswith("Cannot be bent so: ")
    assert all(p.word in (FAILS, UNKNOWN) and p.told for p in verdict.parts) and not verdict.bent
    assert sum("Cannot be bent" in p.told for p in verdict.parts) == 1
    assert verdict.line.startswith("The job: fails. The design: Cannot be bent so: ")


def test_readings_that_do_not_suffice_leave_the_job_not_sure_yet():
    few = judge_job(JOB.replace(readings=Readings(JOB.readings.rows[:2])))
    assert few.of("pair").word == UNSURE and few.word == UNSURE and not few.holds
    assert few.line.startswith("The job: not sure yet. The two sheets: ")


def test_stock_too_small_for_the_blanks_is_said():
    small = judge_job(BARE.replace(shop=BARE.shop.replace(stock_length=0.1, stock_width=0.1)))
    assert small.of("shop").word == UNKNOWN and small.word == UNKNOWN
    assert small.of("shop").told.startswith("Cannot be worked out: ") and small.of("shop").record is None


def test_a_job_judged_in_stages_solves_the_heat_of_its_pours_ahead_and_in_two(monkeypatch):
    """So that none of them keeps a hand waiting for long; what is left for the whole is to put the parts together."""
    marched, march = [], integrate.solve_ivp
    monkeypatch.setattr(integrate, "solve_ivp", lambda *args, **more: (marched.append(1), march(*args, **more))[1])
    job = BARE.replace(shop=replace(BARE.shop, shop_temperature=297.4))
    counts = []
    for stage in stages_of(job):
        marched.clear()
        stage(job)
        counts.append(len(marched))
    marched.clear()
    verdict = judge_job(job)
    _, deepest, lifts, pack = counts
    assert not marched and pack == 0 and 3 <= lifts <= 4 and 5 <= deepest <= 9
    assert verdict.of("shop").word == judge_job(BARE.replace(shop=job.shop)).of("shop").word


def test_stages_raise_nothing_where_the_pours_cannot_be_worked_out():
    job = BARE.replace(shop=replace(BARE.shop, lift_choice="own", own_lift=1e-3))
    for stage in stages_of(job):
        stage(job)
    assert judge_job(job).of("shop").word in (UNKNOWN, FAILS)


def test_words_rank():
    assert WORST_FIRST == (FAILS, UNKNOWN, UNSURE, CLOSE, HOLDS)
    assert worst_word([]) == UNKNOWN and worst_word([HOLDS, UNSURE, CLOSE]) == UNSURE


@pytest.mark.parametrize("change", [{"title": "another"}, {"free_length": 0.28}])
def test_kept_parts_are_those_of_the_job(change):
    judge_job(BARE)
    design = BARE.design.replace(**change)
    root, _ = judge_job(with_(design)).of("design").record
    assert root.design == design


@pytest.mark.slow
def test_lengths_shown_are_those_of_now():
    with lengths_in("inch"):
        assert " in from the root" in judge_job(JOB).of("loads").told
    assert " mm from the root" in judge_job(JOB).of("loads").told


def test_the_same_as_the_rooms_say():
    job = Job(JOB.design)
    part = judge_job(job).of("design")
    assert part.word == evaluate(JOB.design).verdict and part.told == evaluate(JOB.design).headline()
