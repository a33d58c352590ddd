"""The design judged with the sheets as measured: their own thickness and modulus in every check."""

from pathlib import Path

import pytest

from panelmech import Design, evaluate
from panelmech.measured import judge_pair, read_readings
from panelmech.measured.as_measured import as_measured
from panelmech.report.note import note_contents

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
LEEBOARD = Design.load(STUDIES / "leeboard.json")
REPORT = judge_pair(LEEBOARD, read_readings(STUDIES / "leeboard_readings.csv"), 1e-3)


def test_every_check_is_recomputed_with_what_was_measured():
    for study, sheet, test in zip(as_measured(REPORT), REPORT.sheets, REPORT.used, strict=True):
        assert study.design.sheet_thickness == sheet.effective_thickness != LEEBOARD.sheet_thickness
        assert study.design.sheet.modulus_at(sheet.effective_thickness) == pytest.approx(test.result.value, rel=1e-12)
        factor = test.result.value / LEEBOARD.sheet.modulus_at(LEEBOARD.sheet_thickness)
        nominal = LEEBOARD.sheet.span_modulus_at(LEEBOARD.sheet_thickness)
        assert study.design.sheet.span_modulus_at(sheet.effective_thickness) == pytest.approx(factor * nominal)
        same = evaluate(LEEBOARD.replace(sheet=study.design.sheet, sheet_thickness=sheet.effective_thickness))
        assert [(c.key, c.verdict) for c in study.checks] == [(c.key, c.verdict) for c in same.checks]
        assert study.least_reserve == same.least_reserve
        limit = study.check("permanent_strain")
        assert limit.limit == evaluate(LEEBOARD).check("permanent_strain").limit and limit.basis == "published"


def test_the_note_says_how_it_stands_as_measured():
    page = note_contents(evaluate(LEEBOARD), pair=REPORT)["note.html"].decode()
    assert "The design as measured" in page and page.count("Both sheets like") == 2
    assert "The design as measured" not in note_contents(evaluate(LEEBOARD))["note.html"].decode()
