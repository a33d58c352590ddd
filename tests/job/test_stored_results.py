"""Results stored beside a job: what counts as moved in each of its parts, what is said of inputs, what is refused."""

import json
import math
from dataclasses import replace

import pytest

from panelmech.job import demo
from panelmech.job.stored_results import RESULTS, check_job, inputs_of, store_job
from panelmech.job.verdict import judge_job
from panelmech.study.kept_results import ENDLESS, KINDS, LIMIT, RESERVE, VERDICT

JOB = demo()


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    """Text of the demo's stored results."""
    folder = tmp_path_factory.mktemp("job")
    store_job(JOB, folder)
    return (folder / RESULTS).read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path, stored):
    (tmp_path / RESULTS).write_text(stored, encoding="utf-8")
    return tmp_path


def changed(folder, change):
    content = json.loads((folder / RESULTS).read_text(encoding="utf-8"))
    change(content)
    (folder / RESULTS).write_text(json.dumps(content), encoding="utf-8")
    return folder


def test_every_part_and_every_check_of_the_verdict_is_stored(stored):
    content = json.loads(stored)
    verdict = judge_job(JOB)
    assert list(content["parts"]) == [part.kind for part in verdict.parts]
    for part in verdict.parts:
        tables = content["parts"][part.kind]
        assert tables["word"] == part.word
        assert len(tables["verdicts"]) == len(part.checks)
        assert len(tables["limits"]) == len(tables["reserves"]) == len(part.limits)
        reserves = [entry["value"] for entry in tables["reserves"].values()]
        for kept, check in zip(reserves, part.limits, strict=True):
            known = {None: math.nan, ENDLESS: math.inf}.get(kept, kept)
            assert known == pytest.approx(check.reserve, nan_ok=True)
    assert content["inputs"] == json.loads(json.dumps(inputs_of(JOB)))


def test_nothing_has_moved_right_after_and_nothing_is_stored_elsewhere(folder, tmp_path_factory):
    outcome = check_job(JOB, folder)
    assert outcome.holds and not outcome.missing and {c.kind for c in outcome.comparisons} == set(KINDS)
    assert check_job(JOB, tmp_path_factory.mktemp("empty")) is None


def _faster(job):
    """A case that governs nothing changed: told by its own numbers."""
    sailing, *rest = job.loads.plan.cases
    plan = replace(job.loads.plan, cases=(replace(sailing, speed=1.1 * sailing.speed), *rest))
    return job.replace(loads=replace(job.loads, plan=plan))


@pytest.mark.parametrize(
    ("change", "where", "path"),
    [
        (lambda job: job.replace(camber=0.4e-3), "The two sheets: ", "job/camber_mm"),
        (lambda job: job.with_design(job.design.replace(friction=0.08)), "The design: ", "design/friction"),
        (lambda job: job.replace(shop=replace(job.shop, shop_temperature=294.15)), "The pours: ", "shop/shop_t"),
        (_faster, "The part under its loads: ", "loads/cases"),
    ],
    ids=["pair", "design", "shop", "loads"],
)
def test_what_changed_is_told_of_its_part_and_its_input(folder, change, where, path):
    outcome = check_job(change(JOB), folder)
    assert outcome.inputs_changed and all(name.startswith(path) for name in outcome.changed)
    assert any(line.label.startswith(where) for line in outcome.moved)


def test_a_limit_alone_that_changed_is_told_as_one(folder):
    def earlier(content):
        content["parts"]["loads"]["limits"]["spacer_stress"]["value"] *= 1.1

    (line,) = check_job(JOB, changed(folder, earlier)).moved
    assert line.kind == LIMIT and line.change == pytest.approx(1 / 1.1 - 1)


def test_a_part_that_came_or_went_is_told_in_one_line(folder):
    outcome = check_job(JOB.replace(loads=None), folder)
    (line,) = [c for c in outcome.moved if c.label.startswith("The part under its loads")]
    assert (line.kind, line.stored, line.now) == (VERDICT, "close", "not there")
    assert any(name.startswith("loads/") for name in outcome.changed)
    changed(folder, lambda content: content["parts"].pop("shop"))
    assert "the pours, all of it" in check_job(JOB, folder).missing


def test_storing_again_keeps_own_tolerances(folder):
    def own(content):
        content["parts"]["loads"]["reserves"]["tip_deflection"]["tolerance"] = 1e-2
        content["tolerance"] = 1e-5

    store_job(JOB, changed(folder, own))
    changed(folder, lambda c: c["parts"]["loads"]["reserves"]["tip_deflection"].update(value=5.0))
    outcome = check_job(JOB, folder)
    assert outcome.holds and {c.tolerance for c in outcome.comparisons} == {0.0, 1e-5, 1e-2}
    changed(folder, lambda c: c["parts"]["loads"]["reserves"]["tip_deflection"].update(value=4.9))
    assert [c.kind for c in check_job(JOB, folder).moved] == [RESERVE]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda c: c.pop("parts"), "parts is None"),
        (lambda c: c.update(parts={"desing": {}}), "did you mean design"),
        (lambda c: c["parts"]["shop"].pop("word"), "word is None"),
        (lambda c: c["parts"]["shop"]["limits"].update(service=3), "limit of service"),
        (lambda c: c.update(tolerance="x"), "tolerance"),
        (lambda c: c["inputs"].update(shop=1), "inputs, shop"),
        (lambda c: c.update(format="panelmech job"), "not a results file"),
    ],
)
def test_results_that_make_no_sense_are_refused_by_name(folder, change, words):
    changed(folder, change)
    for run in (check_job, store_job):
        with pytest.raises(ValueError, match=rf"^{RESULTS}: .*{words}"):
            run(JOB, folder)
