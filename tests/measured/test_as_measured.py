"""The design judged with the sheets as measured: their own thickness and modulus in every check."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from panelmech import Design, evaluate
from panelmech.blade.along_checks import along_span
from panelmech.job.job import demo
from panelmech.job.verdict import judge_job, worst_word
from panelmech.measured import judge_pair, read_readings
from panelmech.measured.as_measured import as_measured, measured_range
from panelmech.measured.readings import KINDS, Readings
from panelmech.report.note import note_contents
from panelmech.study.study import sensitivity, stock_range
from panelmech.study.tolerances import default_tolerances

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
LEEBOARD = Design.load(STUDIES / "leeboard.json")
REPORT = judge_pair(LEEBOARD, read_readings(STUDIES / "leeboard_readings.csv"), 1e-3)


def test_the_design_has_what_was_measured():
    for design, sheet, test in zip(as_measured(REPORT), REPORT.sheets, REPORT.used, strict=True):
        assert design.sheet_thickness == sheet.effective_thickness != LEEBOARD.sheet_thickness
        assert design.sheet.modulus_at(sheet.effective_thickness) == pytest.approx(test.result.value, rel=1e-12)
        factor = test.result.value / LEEBOARD.sheet.modulus_at(LEEBOARD.sheet_thickness)
        nominal = LEEBOARD.sheet.span_modulus_at(LEEBOARD.sheet_thickness)
        assert design.sheet.span_modulus_at(sheet.effective_thickness) == pytest.approx(factor * nominal)
        limit = evaluate(design).check("permanent_strain")
        assert limit.limit == evaluate(LEEBOARD).check("permanent_strain").limit and limit.basis == "published"


def test_every_check_of_a_job_is_worked_out_again_with_what_was_measured():
    """Along the span and under its loads: the same as of a job whose sheets are bought like that."""
    job = demo()
    part = judge_job(job).of("measured")
    assert [one.name for one in part.record] == [
        "the sheets as designed",
        *(f"both sheets like {sheet.name}" for sheet in judge_pair(job.design, job.readings, job.camber).sheets),
    ]
    for one in part.record:
        other = judge_job(job.replace(blade=job.blade.with_root(one.design), readings=Readings()))
        rest = [other.of("design"), other.of("loads")]
        assert one.standing.verdict == worst_word(part.word for part in rest)
        assert one.standing.reserve == pytest.approx(min(part.least_reserve for part in rest), rel=1e-9)


def test_a_job_fails_whose_sheets_fail_as_measured():
    """A limit that the sheets as designed just keep and the thicker one does not."""
    job = demo()
    thick = max(one.design.sheet_thickness for one in judge_job(job).of("measured").record)
    sheet = job.design.sheet
    strain = job.design.sheet_thickness / 2 * evaluate(along_span(job.blade).studies[-1].design).bend.land_curvature
    between = strain * (0.5 + 0.5 * thick / job.design.sheet_thickness)
    tight = sheet.with_own("made up for this test", permanent_strain_limit=float(between))
    verdict = judge_job(job.with_design(job.design.replace(sheet=tight)))
    assert verdict.of("design").word == "close" and verdict.of("measured").word == "fails" == verdict.word
    assert "with both sheets like" in verdict.line and "strain for good" in verdict.line


@pytest.mark.slow
@pytest.mark.nightly
def test_the_note_says_how_it_stands_as_measured():
    """And whether its sensitivity goes by the stock or by the sheets."""
    page, plain = (note_contents(evaluate(LEEBOARD), pair)["note.html"].decode() for pair in (REPORT, None))
    assert "The part with its sheets as measured" in page and page.count("Both sheets like") == 2
    assert "Both sheets like" not in plain and "Basis: exact bend of two unequal sheets" in page
    assert "the readings leave open (as measured)" in page and "(catalogue: maker" not in page
    assert "its tolerance lets it be (catalogue: maker" in plain and "(as measured)" not in plain


def test_what_the_readings_leave_open_takes_the_place_of_the_stock_tolerance():
    """Half-way between the sheets, out to every reading and to both moduli; narrower readings, narrower range."""
    known = measured_range(REPORT)
    points = [p for sheet in REPORT.sheets for p in sheet.points]
    middle = known.design.sheet_thickness
    assert 2 * middle == pytest.approx(sum(sheet.effective_thickness for sheet in REPORT.sheets), rel=1e-12)
    assert middle - known.thickness < min(points) <= max(points) < middle + known.thickness
    assert known.thickness < 1.3 * (max(points) - middle) < stock_range(LEEBOARD).thickness
    moduli = [test.result.value for test in REPORT.used]
    centre = known.design.sheet.modulus_at(middle)
    assert centre == pytest.approx(sum(moduli) / 2, rel=1e-12)
    assert centre * (1 - known.modulus) < min(moduli) < max(moduli) < centre * (1 + known.modulus)
    assert known.origin("thickness") == known.origin("modulus") == "as measured"
    first, second, *rest = default_tolerances(known.design, known)
    assert (first.size, second.size) == (known.thickness, known.modulus) and len(rest) == 3


@pytest.mark.parametrize("low", [1.9e-3, 2.1e-3])
def test_how_far_the_readings_reach_in_plain_arithmetic(low):
    """Sheets of 2.0 and 2.2 mm: half-way 2.1. A from 1.9, 0.2 off and 0.05 beyond; B's 2.25, 0.15 and 0.2 beyond: 0.35;
    read from 2.1 on it is the same. 20 and 24 GPa: half-way 22, and 2 + 1 or 2 + 3 off: 5 of 22."""
    sheets = [
        SimpleNamespace(name=name, effective_thickness=t, points=points, thickness=SimpleNamespace(expanded=beyond))
        for name, t, points, beyond in (("A", 2e-3, (low, 2.15e-3), 0.05e-3), ("B", 2.2e-3, (2.1e-3, 2.25e-3), 0.2e-3))
    ]
    used = [SimpleNamespace(result=SimpleNamespace(value=e, expanded=u)) for e, u in ((20e9, 1e9), (24e9, 3e9))]
    known = measured_range(SimpleNamespace(sheets=sheets, used=used, design=LEEBOARD))
    assert (known.thickness, known.modulus) == pytest.approx((0.35e-3, 5.0 / 22.0), rel=1e-12)
    turned = [SimpleNamespace(result=SimpleNamespace(value=e, expanded=u)) for e, u in ((20e9, 3e9), (24e9, 1e9))]
    assert measured_range(SimpleNamespace(sheets=sheets, used=turned, design=LEEBOARD)).modulus == known.modulus


def test_sensitivity_goes_by_what_was_measured():
    known = measured_range(REPORT)
    rows = sensitivity(LEEBOARD, sheets=known)
    assert rows[0][0] == "sheets as measured"
    thin = known.design.replace(sheet_thickness=known.design.sheet_thickness - known.thickness)
    assert rows[1][1]["land_strain"] == evaluate(thin).quantities["land_strain"]


def test_without_moduli_the_stock_modulus_stays_and_says_so():
    own = Readings(tuple(row for row in REPORT.given.rows if KINDS[row.measured].group == "sheets"))
    report = judge_pair(LEEBOARD, own, 1e-3)
    assert report.used == (None, None)
    known = measured_range(report)
    assert (
        known.origin("thickness") == "as measured"
        and known.origin("modulus") == "common practice"
        and known.modulus == 0.1
    )
