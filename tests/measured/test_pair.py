"""From readings to a verdict: the report hands the right readings to the right formula, and says what is missing."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from panelmech import Design
from panelmech.measured.inspection import inspect_pair
from panelmech.measured.later import after_a_while
from panelmech.measured.modulus_tests import STRIP, droop, modulus_tests, opened_pair, sheet_readings, three_point
from panelmech.measured.pair import (
    as_clamped,
    camber_outlook,
    judge_pair,
    pair_bow,
    slope_sweep,
)
from panelmech.measured.readings import Reading, Readings, Row, read_readings
from panelmech.measured.typed import rows_from_text
from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.forming import bending_stiffness
from panelmech.mechanics.unequal_bow import solve_bowed
from panelmech.report.pair_rows import reading_rows, time_words, verdict_words

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN = Design.load(STUDIES / "leeboard.json")
DEMO = read_readings(STUDIES / "leeboard_readings.csv")
SIX, PLACES = "2 2 2 2 2 2", "50 200 350 500 650 800"


@pytest.fixture(scope="module")
def report():
    return judge_pair(DESIGN, DEMO, 0.5e-3)


def readings(a=SIX, b=SIX, **more):
    """Two sheets by their thickness, step 0.01 mm, and further kinds: name_sheet="values"."""
    rows = [*rows_from_text("thickness", "A", a, PLACES, "0.01"), *rows_from_text("thickness", "B", b, PLACES, "0.01")]
    for key, text in more.items():
        name, sheet = key.rsplit("_", 1)
        rows += rows_from_text(name.replace("_", " "), sheet, text)
    return Readings(rows)


def test_alike_sheets_make_the_symmetric_pair():
    found = judge_pair(DESIGN, readings(), 0.5e-3)
    assert found.camber.value == pytest.approx(0.0, abs=1e-15) and found.inspection.verdict == "holds"
    assert found.rod_offset.value == pytest.approx(0.0, abs=1e-15) and found.jig_force == pytest.approx(0.0, abs=1e-9)
    assert found.strains[0] == pytest.approx(found.strains[1], rel=1e-12)
    assert found.forces[0] == pytest.approx(35.41000125469028, rel=1e-9)  # the study file's own result
    assert found.moments[0] == pytest.approx(7.518666099248573, rel=1e-9)
    assert found.camber.uncertainty > 0  # the step of the gauge


def test_report_is_what_the_parts_say(report):
    sheets = [sheet_readings(DEMO, s) for s in "AB"]
    tests, _ = modulus_tests(DESIGN, DEMO, sheets)
    by_name = {(t.sheet, t.method): t for t in tests}
    kinds = ("force", "deflection", "span", "width", "thickness", "support radius")
    plain = three_point(*(DEMO.reading(f"three-point {k}", "A") for k in kinds), DESIGN.sheet.poisson)
    assert by_name["A", "three-point"].result == plain
    heavy = [DEMO.reading(k, "B") for k in ("droop", "droop overhang", "droop thickness", "droop density")]
    assert by_name["B", "droop"].result == droop(*heavy, wide_poisson=DESIGN.sheet.poisson)
    moduli = [t.result.value for t in report.used]
    own = inspect_pair(*sheets, DESIGN, 0.5e-3, *moduli)
    assert report.inspection == replace(own, ratio_uncertainty=report.ratio.uncertainty)
    assert report.ratio.value == pytest.approx(report.stiffness[0] / report.stiffness[1], rel=1e-12)
    t1, t2 = (s.effective_thickness for s in sheets)
    wide = 1.0 / (1.0 - DESIGN.sheet.poisson**2)
    d = [bending_stiffness(wide * e, t) for e, t in zip(moduli, (t1, t2), strict=True)]
    lengths = 0.225, t1, t2, *d, 0.018, DESIGN.bond_line, DESIGN.setback
    bent = solve_bowed(*lengths, bow_1=report.bows[0], bow_2=report.bows[1])
    assert report.camber.value == pytest.approx(float(bent.camber()[1][-1]), rel=1e-9)
    assert report.stiffness == pytest.approx(d, rel=1e-12)
    assert report.inspection.camber == pytest.approx(report.camber.value, rel=1e-9)


def test_two_tests_of_a_sheet_count_together_the_surer_more(report):
    weights = {(t.sheet, t.method): report.inputs.weight(t) for t in report.tests}
    assert [t.method for t in report.used] == ["both", "both"] and weights.pop(("pair", "opened")) == 0.0
    for sheet, used in zip("AB", report.used, strict=True):
        assert weights[sheet, "three-point"] + weights[sheet, "droop"] == pytest.approx(1.0, rel=1e-12)
        assert weights[sheet, "three-point"] > 0.6  # its scatter is a third of that of a droop read with a ruler
        mean = sum(weights[sheet, t.method] * t.result.value for t in report.tests if t.sheet == sheet)
        assert used.result.value == pytest.approx(mean, rel=1e-12)
        assert used.result.uncertainty < min(t.result.uncertainty for t in report.tests if t.sheet == sheet)
    rough = DEMO.replaced("three-point width", "A", [Row("A", "three-point width", 0.03, None, None, 5e-3)])
    found = judge_pair(DESIGN, rough, 0.5e-3)
    assert [found.inputs.weight(t) < 0.2 for t in found.tests if t.method == "three-point"] == [True, False]


def test_opened_pair_gives_youngs_modulus_without_the_wide_sheets_share(report):
    found = next(t for t in report.tests if t.method == "opened").result
    points = tuple(r.value for s in "AB" for r in DEMO.of("thickness", s))
    force = DEMO.reading("opening force", "pair")
    exact = [Reading(n, (v,)) for n, v in (("span", 0.85), ("free length", 0.225), ("spacer", 0.018))]
    wide = opened_pair(force, exact[0], exact[1], Reading(STRIP, points, 1e-5), exact[2], 3e-4, 3e-3)
    assert found.value == pytest.approx(wide.value * (1 - DESIGN.sheet.poisson**2), rel=1e-12)
    assert found.relative == pytest.approx(wide.relative, rel=1e-12)


def test_begun_tests_say_what_is_missing_and_do_not_stand_in_the_way():
    found = judge_pair(DESIGN, readings(**{"three-point_force_A": "5", "droop_B": "21"}), 1e-3)
    assert found.tests == () and found.used == (None, None)
    text = " ".join(found.missing)
    assert "sheet A, strip on two supports: deflection under it, distance of the supports, width of the strip" in text
    assert "sheet B, strip over an edge: overhang" in text and "bow with the marked face up and down" in text
    assert any("only their thickness is compared" in n for n in found.notes)
    weight = dict(droop_A="21", droop_overhang_A="500", droop_end_weight_A="20")
    assert "since a weight hangs from it" in " ".join(judge_pair(DESIGN, readings(**weight), 1e-3).missing)


def test_one_modulus_alone_is_not_compared_with_the_catalogues():
    one = DEMO
    for kind in ("three-point force", "droop"):
        one = one.replaced(kind, "B", ())
    assert judge_pair(DESIGN, one, 1e-3).used == (None, None)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (dict(a="2 2 2 2 2", places=PLACES[:-4]), "sheet A.*six or more"),
        (dict(tolerance=-1.0), "tolerance"),
        (dict(more={"bow,_marked_face_up_A": "1"}), "not the length over which it was read"),
    ],
)
def test_what_cannot_be_judged_is_said(change, words):
    rows = readings(**change.get("more", {}))
    if "a" in change:
        rows = rows.replaced("thickness", "A", rows_from_text("thickness", "A", change["a"], change["places"]))
    with pytest.raises(ValueError, match=words):
        judge_pair(DESIGN, rows, change.get("tolerance", 1e-3))
    with pytest.raises(ValueError, match="sheet A: no thickness readings"):
        judge_pair(DESIGN, Readings(), 1e-3)


def test_halves_of_a_sheet_go_by_the_places():
    rows = rows_from_text("thickness", "A", "2.3 2.1 2.0 2.2 1.9 2.0 2.4", "10 200 700 20 800 690 405", "0.01")
    sheet = sheet_readings(Readings(rows), "A")
    assert sorted(sheet.thickness_marked) == pytest.approx([2.1e-3, 2.2e-3, 2.3e-3, 2.4e-3])  # 405 is the middle


def test_bow_measured_on_one_side_only_counts_as_none():
    bowed = readings(**{"bow,_marked_face_up_A": "1", "bow_base_A": "240"})
    assert sheet_readings(bowed, "A").curvature == 0.0


def test_two_tests_that_disagree_are_remarked():
    off = DEMO.replaced("droop", "A", rows_from_text("droop", "A", "26 26 26", "", "0.5"))
    assert any("two tests of sheet A differ by" in n for n in judge_pair(DESIGN, off, 1e-3).notes)
    assert not any("differ by" in n for n in judge_pair(DESIGN, DEMO, 1e-3).notes)


def test_sureness_and_its_words(report):
    assert (
        report.sure
        and report.verdict == "holds"
        and verdict_words(report).startswith(
            "Laid with the marked face in on sheet A, out on sheet B, the blade's mean line"
        )
    )
    near = judge_pair(DESIGN, DEMO, abs(report.camber.value) + 0.9 * report.camber.expanded)
    assert not near.sure and near.verdict == "unsure" and near.camber.dominant in verdict_words(near)
    assert verdict_words(near).startswith("The tolerance lies within what the readings leave open (95 %)")


def test_what_is_missing_leaves_the_verdict_unsure():
    only = judge_pair(DESIGN, readings(), 0.5e-3)
    assert only.inspection.verdict == "holds" and only.verdict == "unsure"
    words = verdict_words(only)
    assert "Still to be measured: sheet A: bow" in words and "sheet B: Young's modulus" in words
    no_bow = DEMO.replaced("bow, marked face up", "A", ())
    assert judge_pair(DESIGN, no_bow, 0.5e-3).verdict == "unsure"
    failing = judge_pair(DESIGN, no_bow, 0.01e-3)  # with the bow it might hold
    assert failing.inspection.verdict == "fails" and not failing.sure and failing.verdict == "unsure"
    assert judge_pair(DESIGN, readings(a="2.2 2.2 2.2 2.2 2.2 2.2"), 0.1e-3).verdict == "unsure"  # the moduli have


# ----- the map -----


def test_the_map_holds_the_pair_and_its_tolerance(report):
    found, line = camber_outlook(report)
    for axis, own in (
        (found.thickness_difference, report.thickness_difference),
        (found.modulus_difference, report.modulus_difference),
    ):
        assert axis[0] < own.value - 2 * own.uncertainty and own.value + 2 * own.uncertainty < axis[-1]
    assert np.nanmax(np.abs(found.camber)) > report.tolerance and np.isfinite(line.low).any()
    near = np.argmin(np.abs(found.thickness_difference - report.thickness_difference.value))
    up = np.argmin(np.abs(found.modulus_difference - report.modulus_difference.value))
    assert found.camber[near, up] == pytest.approx(report.camber.value, abs=0.05e-3)  # a step of the map


@pytest.mark.parametrize(
    ("tolerance", "thick", "modulus", "reach"),
    [
        (0.885e-3, (-0.03, 0.02), (0.05, 0.05), (0.1, 0.24)),
        (0.0885e-3, (-0.03, 0.02), (0.05, 0.05), (0.065, 0.13)),
        (0.0885e-3, (0.0, 0.0), (0.0, 0.0), (0.02, 0.06)),
        (17.7e-3, (0.0, 0.0), (0.0, 0.0), (0.8, 1.2)),
    ],
)
def test_how_far_the_map_reaches_in_plain_arithmetic(monkeypatch, tolerance, thick, modulus, reach):
    """Between land and rod the sheets open by 8.85 mm each, of which a difference of D of 1 takes half: 0.885 mm are
    0.2 of D, or 0.1 of thickness. 1.3 times what the readings reach, 0.05 and 0.1, where that is more."""
    monkeypatch.setattr("panelmech.measured.pair.tolerance_line", lambda *_: None)  # takes long, and is not asked here
    parts = (SimpleNamespace(value=value, expanded=expanded) for value, expanded in (thick, modulus))
    kinds = dict(zip(("thickness_difference", "modulus_difference"), parts, strict=True))
    found, _ = camber_outlook(SimpleNamespace(design=DESIGN, tolerance=tolerance, bows=(0.0, 0.0), **kinds), points=3)
    for name, most in zip(kinds, reach, strict=True):
        assert getattr(found, name) == pytest.approx([-most, 0.0, most], rel=1e-12)


# ----- land, bow, friction -----


def test_clamp_without_slope_bow_and_friction_is_the_ideal(report):
    plain = as_clamped(report, 0.0, with_bow=False)
    assert plain.force_change == pytest.approx(0.0, abs=1e-12) and plain.bow == 0.0
    t, d = report.mean_sheet
    given = (0.225, t, 0.018, d, DESIGN.bond_line, DESIGN.setback)
    assert plain.real.contact_force == pytest.approx(real_bend(*given).contact_force, rel=1e-12)
    opened = as_clamped(report, np.radians(1.0), with_bow=False)
    assert opened.force_change == pytest.approx(plain.degree_change, rel=1e-9)


def test_bow_counts_as_the_best_pairing_lays_it(report):
    """A: 8 (0.4 + 0.6)/2 mm over 240 mm squared, marked face outside; B the other way, so it is turned over."""
    a, b = 8 * 0.5e-3 / 0.24**2, 8 * -0.3e-3 / 0.24**2
    assert report.inspection.pairings[0].flip == "marked face in on sheet A, out on sheet B"
    assert report.bows == pytest.approx((a, -b), rel=1e-12)
    assert pair_bow(report) == pytest.approx(0.5 * (a - b), rel=1e-12)
    assert as_clamped(report, 0.0).force_change < 0  # bowed away from the chord line: bent less


def test_without_its_bow_the_demo_would_be_told_another_camber(report):
    """Its sheets differ in stiffness, which alone makes 0.34 mm; the bow of both, laid the best way, takes most of it
    back, and laid the other way it would fail."""
    flat = DEMO
    for sheet in "AB":
        for way in ("up", "down"):
            flat = flat.replaced(f"bow, marked face {way}", sheet, [Row(sheet, f"bow, marked face {way}", 0.0, None)])
    without = judge_pair(DESIGN, flat, 0.5e-3)
    assert abs(without.camber.value) == pytest.approx(0.336e-3, abs=2e-6) and not any(without.bows)
    assert abs(report.camber.value) < 0.1e-3
    other = next(p for p in report.inspection.pairings if p.sides == (1.0, -1.0))
    assert other.score > 0.5e-3


def test_moments_and_energy_count_the_bow_each_in_its_way(report):
    """The moment is of what bending adds to the bow; opening sets the whole curvature free."""
    for i in (1, 2):
        d, bow = report.stiffness[i - 1], report.bows[i - 1]
        assert report.moments[i - 1] == pytest.approx(d * (report.bent.land_curvature(i) - bow), rel=1e-12)
    energy = sum(0.5 * d * report.bent.land_curvature(i) ** 2 for i, d in zip((1, 2), report.stiffness, strict=True))
    assert report.bent.opening_energy(*report.stiffness) == pytest.approx(energy, rel=1e-12)


def test_slope_sweep_meets_the_clamp(report):
    clamp = as_clamped(report, 0.01)
    sweep = slope_sweep(report, clamp, [-0.01, 0.0, 0.01])
    assert sweep.force[2] == pytest.approx(clamp.real.contact_force * DESIGN.span, rel=1e-9)
    assert np.all(np.diff(sweep.force) < 0)


# ----- after a while -----


def test_log_and_relaxed_loads(report):
    later = after_a_while(report, 0.5)
    assert later.relaxed.contact_force == pytest.approx(0.5 * later.loads.contact_force)
    assert [e.time for e in later.log.entries] == [3600.0, 86400.0, 604800.0] and later.log.missing == ()
    assert after_a_while(judge_pair(DESIGN, readings(), 1e-3), 1.0).log is None
    with pytest.raises(ValueError, match="0 to 1"):
        after_a_while(report, 1.2)


def test_rows_in_words():
    rows = reading_rows(DEMO)
    assert ["Thickness", "2.0383 mm, 6 readings", "1.97 mm, 6 readings", "0.01 mm"] in rows
    assert next(r for r in rows if isinstance(r, str)) == "The two sheets, flat"
    assert [time_words(t) for t in (3600.0, 86400.0, 604800.0)] == ["1 h", "24 h", "7 days"]
