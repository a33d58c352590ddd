"""Scatter under loads: part by part the verdicts of parts worked out, in steps; what is not known and undecided."""

from pathlib import Path

import numpy as np
import pytest

from panelmech.blade.blade import Blade
from panelmech.job import demo
from panelmech.job.every import framed_rules, judge_of
from panelmech.loads.part_scatter import LOADS, every_check, part_scatter_steps
from panelmech.study.fitted import SPARE, coefficients
from panelmech.study.tolerances import scatter
from panelmech.study.varying import Tolerance, as_built, default_tolerances

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
JOB = demo()
DESIGN = JOB.design
TOLERANCES = tuple(t for t in default_tolerances(DESIGN) if t.field in ("sheet_thickness", "spacer_diameter"))


def come(job, most, tolerances=TOLERANCES, count=3000):
    found = scatter(job.design, tolerances, count, rules=framed_rules(job, job.design))
    return list(part_scatter_steps(job.blade, job.loads, found, most))


@pytest.fixture(scope="module")
def steps():
    return come(JOB, 5)


@pytest.mark.slow
def test_it_comes_in_steps(steps):
    aim = int(np.ceil(SPARE * coefficients(2)))
    assert [one.done for one in steps[:aim]] == list(range(1, aim + 1)) and steps[0].aim == aim
    assert all(one.found is None for one in steps[:aim]) and steps[aim].found is not None
    assert steps[-1].complete and not any(one.complete for one in steps[:-1])


@pytest.mark.slow
def test_every_part_comes_to_what_it_is_worked_out_to(steps):
    """Parts at random and the thinnest: fails, not known or neither, as of the part itself; reserves within what is
    told to be the most they may be off."""
    found = steps[-1].found
    thinnest = np.argsort(found.samples["sheet_thickness"])[:4]
    outcomes = set()
    for i in (*np.random.default_rng(4).integers(0, 3000, 14), *thinnest):
        values = {name: float(v[i]) for name, v in found.samples.items()}
        exact = every_check(JOB.blade.with_root(as_built(DESIGN, values)), JOB.loads)
        fails = any(one.verdict == "fails" for one in exact.values())
        unknown = any(one.verdict == "unknown" for one in exact.values())
        if not found.parts["hangs"][i] or found.parts["fails"][i]:
            assert found.parts["fails"][i] == fails and (fails or found.parts["unknown"][i] == unknown)
        outcomes.add((fails, unknown))
        for key, one in exact.items():
            if key in found.reserves and one.reserve < 3.0:
                assert found.reserves[key][i] == pytest.approx(one.reserve, rel=max(found.framed_doubt, 1e-9))
    assert {fails for fails, _ in outcomes} == {True, False} and found.framed_doubt < 0.01


def test_the_nominal_part_stands_as_the_judge_of_the_job_says():
    exact, standing = every_check(JOB.blade, JOB.loads), judge_of(JOB)(DESIGN)
    least = min(one.reserve for one in exact.values())
    assert least == pytest.approx(standing.reserve, rel=1e-12)
    assert {one.verdict for one in exact.values()} <= {"holds", "close"} and standing.verdict == "close"


@pytest.mark.slow
def test_loads_count_among_the_parts_that_fail(steps):
    found, alone = steps[-1].found, scatter(DESIGN, TOLERANCES, 3000, rules=framed_rules(JOB, DESIGN))
    skin = found.counted[f"{LOADS}skin_buckling"]
    assert alone.counted["any"].count == 0 and 0.1 < skin.value < 0.4
    assert found.counted["any"].count >= skin.count and found.names[f"{LOADS}skin_buckling"].startswith("Skin")
    assert found.counted["any"].unknown + found.counted["any"].count < 3000
    assert set(alone.counted) <= set(found.counted)


def test_parts_as_built_have_their_own_modulus_read_at_the_nominal_thickness():
    one = as_built(DESIGN, {"sheet_thickness": 2.1e-3, "modulus": 1.1})
    t = DESIGN.sheet_thickness
    assert one.sheet_thickness == 2.1e-3
    assert one.sheet.modulus_at(2.1e-3) == pytest.approx(1.1 * DESIGN.sheet.modulus_at(t))
    assert one.sheet.span_modulus_at(2.1e-3) == pytest.approx(1.1 * DESIGN.sheet.span_modulus_at(t))
    assert one.sheet.permanent_limit_at(2.1e-3) == pytest.approx(DESIGN.sheet.permanent_limit_at(t))


@pytest.mark.slow
def test_a_tapered_part_is_judged_along_its_span():
    """The checks of the design are those at their worst place, of parts worked out, not at the root alone."""
    tapered = JOB.replace(blade=Blade.load(STUDIES / "leeboard_blade.json"))
    *_, last = come(tapered, 0, (Tolerance("spacer_diameter", 1e-4),), 200)
    found, root = last.found, scatter(tapered.design, (Tolerance("spacer_diameter", 1e-4),), 200, rules=())
    exact = every_check(tapered.blade, JOB.loads)
    middle = np.argmin(np.abs(found.samples["spacer_diameter"] - tapered.design.spacer_diameter))
    reserve = exact["forming_strain"].reserve
    assert found.reserves["forming_strain"][middle] == pytest.approx(reserve, rel=0.01)
    assert root.reserves["forming_strain"][middle] != pytest.approx(reserve, rel=0.02)


@pytest.mark.slow
def test_the_camber_of_two_sheets_that_differ_stays_counted_under_loads():
    """Along a tapered span, too, where no other check of the design stays."""
    import panelmech.loads.part_scatter as module

    alone = scatter(DESIGN, TOLERANCES, 1000, rules=(), alike=0.5, camber=JOB.camber)
    for at_root in (True, False):
        parts = module._Parts(JOB.blade, JOB.loads, alone)
        parts.at_root = at_root
        parts.fit()
        found = parts.found()
        assert found.counted["camber"] == alone.counted["camber"] and found.labels["camber"].startswith("Camber")
        assert np.all(found.parts["fails"][alone.parts["apart"]])
        assert ("permanent_strain" in found.counted) == at_root
