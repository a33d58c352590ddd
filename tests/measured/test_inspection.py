"""Inspection of two sheets, and the part after a while."""

import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import forming_loads
from panelmech.measured.inspection import FLIPS, TURNS, SheetReadings, inspect_pair
from panelmech.measured.pair import LogEntry, log_report, relax


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
    assert (best.flip, best.turn) == (FLIPS[1], TURNS[1]) and best.score == pytest.approx(0.0, abs=1e-12)


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
