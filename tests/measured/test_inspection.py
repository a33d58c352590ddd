"""Inspection of two sheets, and the part after a while."""

from itertools import pairwise

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


def test_the_camber_told_is_that_of_the_best_way():
    """Here the marked ends must lie together; which face of the flatter sheet looks out counts less."""
    a, b = _sheet("A", 2.01e-3, taper=1e-4, bow=2e-4), _sheet("B", 2e-3, taper=1e-4, bow=2e-5)
    found = inspect_pair(a, b, DESIGN, 1e-3)
    best, next_best = found.pairings[:2]
    assert abs(best.bows[1] - next_best.bows[1]) > 1e-4
    t1, t2 = a.effective_thickness, b.effective_thickness
    lengths = DESIGN.free_length, t1, t2, t1**3, t2**3, DESIGN.spacer_diameter, DESIGN.bond_line
    bent = solve_bowed(*lengths, DESIGN.setback, bow_1=best.bows[0], bow_2=best.bows[1])
    assert found.camber == pytest.approx(float(bent.camber()[1][-1]), rel=1e-9)


def test_moduli_and_their_uncertainty_up_to_their_limits():
    sheets = _sheet("A", 2e-3), _sheet("B", 2e-3)
    assert inspect_pair(*sheets, DESIGN, 1e-3, 1e12, 1e6, 1.0).stiffness_ratio == pytest.approx(1e6)
    assert inspect_pair(*sheets, DESIGN, 1e-3, 1e9, 1e9, 1.0).ratio_uncertainty >= 1.0
    for wrong in ((1.01e12, 1e9, 0.1), (1e9, 1.01e12, 0.1), (0.99e6, 1e9, 0.1), (1e9, 1e9, 1.01)):
        with pytest.raises(ValueError, match="modul"):
            inspect_pair(*sheets, DESIGN, 1e-3, *wrong)


@pytest.mark.parametrize(("share", "count"), [(0.0299, 0), (0.0301, 1)])
def test_a_sheet_that_scatters_by_three_hundredths_is_remarked(share, count):
    """Three readings d above and three d below the mean scatter by d sqrt(6/5)."""
    sheet = _sheet("A", 2e-3, taper=2.0 * share * 2e-3 / np.sqrt(1.2))
    notes = inspect_pair(sheet, _sheet("B", 2e-3), DESIGN, 1e-3).notes
    assert sum("A varies by" in note for note in notes) == count


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


def test_a_log_in_plain_arithmetic():
    """20, 20.1 and 20.4 mm after 1, 10 and 100 hours: 0.2 mm for each tenfold, the last 0.4 mm more than 20 mm."""
    log = [LogEntry(3600.0 * hours, t) for hours, t in ((100.0, 20.4e-3), (1.0, 20e-3), (10.0, 20.1e-3))]
    found = log_report(DESIGN, log, 20e-3)
    assert found.predicted == 20e-3 and [e.time for e in found.entries] == [3600.0, 36e3, 360e3]
    assert found.difference == pytest.approx((0.0, 1e-4, 4e-4)) and found.rate == pytest.approx(2e-4)
    assert found.words[0].startswith("The part is 0.40 mm thicker than predicted, 20.00 mm")
    assert found.words[1].startswith("It opens by 0.20 mm")
    assert log_report(DESIGN, log).predicted == DESIGN.bend().outer_thickness
    assert np.isnan(log_report(DESIGN, log[:1]).rate)


@pytest.mark.parametrize(("least", "most", "missing"), [(1800.0, 172800.0, 1), (1799.0, 172801.0, 3)])
def test_half_and_twice_a_time_of_the_log_still_count_for_it(least, most, missing):
    found = log_report(DESIGN, [LogEntry(least, 20e-3), LogEntry(most, 19e-3)], 20e-3)
    assert len(found.missing) == missing
    assert found.words[0].startswith("The part is 1.00 mm thinner") and found.words[1].startswith("It closes by")


def test_springing_back_from_a_quarter_of_the_moment():
    """What is left of forces is a quarter, of the energy a sixteenth, of the bend three quarters: the front edge moves
    by the integral of sin th - sin(3 th/4), here by Gauss's rule in place of the trapezoidal one, which is off by a
    share of h^2/12 of its second derivative: 1e-6 and less."""
    bend = DESIGN.bend()
    loads, (found,) = forming_loads(bend, 13.6), relax(bend, forming_loads(bend, 13.6), [0.25])
    for name in ("contact_force", "land_moment", "push_out_force"):
        assert getattr(found, name) == pytest.approx(0.25 * getattr(loads, name), rel=1e-12)
    assert found.opening_energy == pytest.approx(loads.opening_energy / 16.0, rel=1e-12)
    assert found.set_angle == pytest.approx(0.75 * bend.contact_angle, rel=1e-12) and found.fraction == 0.25
    at, weights = np.polynomial.legendre.leggauss(40)
    ends = (0.0, float(bend.contact_arclength), float(bend.free_length))
    back = 0.0
    for low, high in pairwise(ends):
        angle = bend.tangent_angle(0.5 * (low + high) + 0.5 * (high - low) * at)
        back += 0.5 * (high - low) * weights @ (np.sin(angle) - np.sin(0.75 * angle))
    assert found.spring_back == pytest.approx(back, rel=1e-5)
