"""Inspection of two sheets, and the part after a while."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import forming_loads
from panelmech.measured.inspection import SheetReadings, inspect_pair, pairings
from panelmech.measured.later import LogEntry, log_report, relax
from panelmech.mechanics.unequal_bow import solve_bowed


def _sheet(name, t, taper=0.0, bow=0.0, **more):
    marked, far = [t + taper / 2] * 3, [t - taper / 2] * 3
    return SheetReadings(name, marked, far, bow, -bow, 0.0, 0.8, **more)


def test_alike_sheets_hold_and_thickness_ratio_goes_with_the_cube():
    alike = inspect_pair(_sheet("A", 2e-3), _sheet("B", 2e-3), DESIGN, 0.5e-3)
    assert alike.verdict == "holds" and alike.stiffness_ratio == pytest.approx(1.0)
    unlike = inspect_pair(_sheet("A", 2.2e-3), _sheet("B", 2e-3), DESIGN, 0.5e-3)
    assert unlike.stiffness_ratio == pytest.approx(1.331, rel=1e-9)
    assert unlike.camber < 0 and unlike.ratio_uncertainty > 0
    assert inspect_pair(_sheet("A", 2.6e-3), _sheet("B", 2e-3), DESIGN, 0.5e-3).verdict == "fails"


def test_bow_and_taper_choose_the_pairing():
    sheets = _sheet("A", 2e-3, taper=1e-5, bow=2e-3), _sheet("B", 2e-3, taper=-1e-5, bow=-2e-3)
    best = inspect_pair(*sheets, DESIGN, 1e-3).pairings[0]
    assert best.flip in ("marked face out on A, in on B", "marked face in on A, out on B")
    assert best.turn == "marked end of one to the other end of its fellow" and best.score < 1e-12


def test_all_eight_ways_are_looked_at_each_by_its_exact_bend():
    """A is the stiffer one and pushes the nose towards B; its bow outwards, as it lies best, takes that back."""
    a, b = _sheet("A", 2.02e-3, taper=2e-5, bow=1e-3), _sheet("B", 2e-3, taper=1e-5, bow=0.4e-3)
    ways = pairings(a, b, DESIGN)
    assert len({(p.sides, p.turn) for p in ways}) == 8 and [p.score for p in ways] == sorted(p.score for p in ways)
    for way in ways:
        turned = way.turn != "marked ends together"
        bows = tuple(-side * sheet.curvature for side, sheet in zip(way.sides, (a, b), strict=True))
        assert way.bows == bows and way.curvature_gap == pytest.approx(bows[1] - bows[0], rel=1e-12)
        cambers = []
        for t1, t2 in zip(a.halves(), b.halves(turned), strict=True):
            lengths = DESIGN.free_length, t1, t2, t1**3, t2**3, DESIGN.spacer_diameter, DESIGN.bond_line
            bent = solve_bowed(*lengths, DESIGN.setback, bow_1=bows[0], bow_2=bows[1])
            cambers.append(float(bent.camber()[1][-1]))
        assert way.camber == pytest.approx(max(cambers, key=abs), rel=1e-9)
    assert ways[0].sides[0] == -1.0 and ways[0].bows[0] > 0.0


def test_which_sheet_turns_its_marked_face_out_is_said_and_counts():
    """Two sheets that differ in thickness alone, bowed alike: out on one is not out on the other."""
    a, b = _sheet("A", 2.04e-3, bow=1e-3), _sheet("B", 2e-3, bow=1e-3)
    by_words = {p.flip: p for p in pairings(a, b, DESIGN) if p.turn == "marked ends together"}
    assert set(by_words) == {
        "marked faces out on both",
        "marked faces in on both",
        "marked face out on A, in on B",
        "marked face in on A, out on B",
    }
    one, other = by_words["marked face out on A, in on B"], by_words["marked face in on A, out on B"]
    assert one.camber < 0.0 < other.camber and other.score < 0.1 * one.score  # what the one adds the other takes back


def test_sheets_alike_in_all_are_laid_in_the_first_way():
    best = pairings(_sheet("A", 2e-3), _sheet("B", 2e-3), DESIGN)[0]
    assert (best.flip, best.turn, best.score) == ("marked faces out on both", "marked ends together", 0.0)


def test_a_bow_too_large_for_the_rod_comes_last_and_is_told():
    a, b = _sheet("A", 2e-3, bow=60e-3), _sheet("B", 2e-3, bow=60e-3)
    worst = pairings(a, b, DESIGN)[-1]
    assert np.isnan(worst.camber) and worst.score == np.inf


def test_uncertainty_of_the_own_curvature():
    sheet = _sheet("A", 2e-3, bow=1e-3, bow_uncertainty=1e-5, base_uncertainty=2e-3)
    assert sheet.curvature == pytest.approx(8e-3 / 0.64, rel=1e-12)
    assert sheet.curvature_uncertainty == pytest.approx(8 / 0.64 * np.hypot(1e-5, 2e-3 * 2e-3 / 0.8), rel=1e-12)


def test_sag_of_its_own_weight_cancels():
    sheet = SheetReadings("A", [2e-3] * 3, [2e-3] * 3, 3e-3 - 1e-3, -3e-3 - 1e-3, 0.0, 0.8)
    assert sheet.curvature == pytest.approx(8 * 3e-3 / 0.64)


def test_too_few_readings_are_refused():
    with pytest.raises(ValueError, match="six or more"):
        SheetReadings("A", [2e-3] * 2, [2e-3] * 3, 0.0, 0.0, 0.0, 0.8)


def test_relaxed_loads():
    bend = DESIGN.bend()
    loads = forming_loads(bend, 13.6)
    full, half, none = relax(bend, loads, [1.0, 0.5, 0.0])
    assert full.contact_force == pytest.approx(loads.contact_force)
    assert half.opening_energy == pytest.approx(0.25 * loads.opening_energy)
    assert full.spring_back == pytest.approx(0.5 * (bend.mouth - bend.bond_line), rel=0.01)  # small angles
    assert none.spring_back == 0.0 and none.set_angle == pytest.approx(bend.contact_angle)
    with pytest.raises(ValueError, match="0 to 1"):
        relax(bend, loads, [1.2])


def test_log_against_the_prediction():
    t = DESIGN.bend().outer_thickness
    found = log_report(DESIGN, [LogEntry(3600, t), LogEntry(86400, t - 1e-4)])
    assert found.rate < 0 and found.missing == (604800.0,) and "7 days" in " ".join(found.words)
    with pytest.raises(ValueError, match="entries"):
        log_report(DESIGN, [])
