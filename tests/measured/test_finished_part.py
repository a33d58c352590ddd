"""The finished part: its offsets explained with what the bench knows, judged, and slips of hand found by name."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from day_and_night import by_day

from panelmech import Design
from panelmech.measured.finished_part import _word, explain_offsets, judge_part, known_of, measured_offsets
from panelmech.measured.offset_priors import usual_priors
from panelmech.measured.offset_slips import _away, _fits, _of_all, farthest, likely_slips
from panelmech.measured.offsets import COVERS, Offsets, fit_offsets, predict_offsets
from panelmech.measured.pair import judge_pair
from panelmech.measured.readings import Readings, Row, read_readings
from panelmech.measured.worth import Measured
from panelmech.report.offset_rows import known_rows, part_sentences, remarks
from panelmech.study.verdicts import FAILS, HOLDS, UNSURE

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN, DEMO = Design.load(STUDIES / "leeboard.json"), read_readings(STUDIES / "leeboard_readings.csv")
BARE = Readings([r for r in DEMO.rows if r.measured != "offset"])
X, FACE = np.tile(np.linspace(0.02, 0.215, 9), 2), np.repeat(["upper", "lower"], 9)
TOLERANCE = 1e-3


def measured(offsets, rows=BARE.rows, tolerance=TOLERANCE):
    """The demo's pair with these offsets."""
    sheets = ["A" if face == "upper" else "B" for face in offsets.face]
    own = [
        Row(s, "offset", float(y), float(x), None, 1e-4, "confirmed")
        for s, x, y in zip(sheets, offsets.x, offsets.offset, strict=True)
    ]
    return judge_pair(DESIGN, Readings([*rows, *own]), tolerance)


def built(report, slope=0.005, ratio=None, noise=0.0, **more):
    """Offsets of the part that the report's sheets make, laid as it says."""
    sheets = dict(zip(("thickness_1", "thickness_2"), (s.effective_thickness for s in report.sheets), strict=True))
    bows = dict(zip(("bow_1", "bow_2"), report.bows, strict=True))
    ratio = ratio or report.stiffness[0] / report.stiffness[1]
    y = predict_offsets(DESIGN, X, FACE, slope, ratio, **sheets, **bows, **more)
    return Offsets(X, y + noise * np.random.default_rng(4).normal(size=X.size), FACE, 1e-4)


@pytest.fixture(scope="module")
def bench():
    return judge_pair(DESIGN, BARE, TOLERANCE)


def test_offsets_made_from_the_measured_sheets_are_explained(bench):
    assert explain_offsets(bench) is None
    fit = explain_offsets(measured(built(bench, 0.007, 1.1)))
    assert (fit.land_slope, fit.stiffness_ratio) == pytest.approx((0.007, 1.1), rel=1e-5)
    assert fit.chi_square < 1e-6 and fit.fits


def test_uncertainty_of_an_offset_is_never_less_than_a_rulers():
    offsets = measured_offsets(DEMO)
    assert set(offsets.face) == {"upper", "lower"} and np.all(offsets.uncertainty == 1e-4)
    coarse = Readings([replace(r, resolution=1e-3) for r in DEMO.of("offset", "A")])
    assert measured_offsets(coarse).uncertainty[0] == pytest.approx(1e-3 / np.sqrt(12))


def test_what_the_bench_knows(bench):
    known = known_of(bench)
    assert [known[f"bow_{i}"].value for i in (1, 2)] == list(bench.bows)
    for i, sheet in enumerate(bench.sheets, 1):
        assert known[f"thickness_{i}"].value == sheet.effective_thickness
        assert known[f"thickness_{i}"].uncertainty > sheet.thickness.details["scatter"]
    unread = judge_pair(DESIGN, Readings([r for r in BARE.rows if not (r.sheet == "B" and "bow" in r.measured)]), 1e-3)
    assert "bow_1" in known_of(unread) and "bow_2" not in known_of(unread)
    stepless = judge_pair(DESIGN, Readings([replace(r, resolution=0.0) for r in BARE.rows]), 1e-3)
    assert known_of(stepless)["bow_1"].uncertainty > 0.0


def test_the_part_and_its_sheets_are_two_questions(bench):
    """A shared tolerance: the part's camber is well inside; whether the ratio would keep it hangs on the bow."""
    offsets = built(bench)
    seen = measured(offsets)
    part = judge_part(seen, explain_offsets(seen))
    assert part.camber == HOLDS and part.sheets == HOLDS and part.agrees and part.slips == ()
    blind = measured(offsets, [r for r in BARE.rows if "bow" not in r.measured])
    part = judge_part(blind, explain_offsets(blind))
    assert part.camber == HOLDS and part.sheets == UNSURE
    assert COVERS * part.fit.camber_of_ratio.uncertainty > TOLERANCE - abs(part.fit.camber_of_ratio.value)
    said = " ".join((*part_sentences(part), *remarks(part)))
    assert "bending stiffness: not sure yet" in said and "bow of the loose sheets" in said


def test_a_part_far_off_fails_surely(bench):
    report = measured(built(bench, ratio=2.5))
    part = judge_part(report, explain_offsets(report))
    assert part.camber == FAILS and part.sheets == FAILS and not part.agrees
    assert part.slips == ()  # 2.5 or 1/2.5, however the sheets are laid: nothing brings it to the bench's 1.1
    assert any("disagree with that by" in s for s in part_sentences(part))


def test_near_the_tolerance_it_is_not_sure(bench):
    report = measured(built(bench))
    fit = explain_offsets(report)
    near = measured(built(bench), tolerance=abs(fit.camber.value) + COVERS * 0.9 * fit.camber.uncertainty)
    beyond = measured(built(bench), tolerance=abs(fit.camber.value) + COVERS * 1.1 * fit.camber.uncertainty)
    assert judge_part(near, fit).camber == UNSURE and judge_part(beyond, fit).camber != UNSURE


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize(("size", "word"), [(0.79e-3, HOLDS), (0.81e-3, UNSURE), (1.19e-3, UNSURE), (1.21e-3, FAILS)])
def test_a_camber_is_judged_beyond_its_interval_on_either_side(sign, size, word):
    """Tolerance 1 mm, and 0.1 mm of standard uncertainty: 0.196 mm either way."""
    report = SimpleNamespace(tolerance=1e-3, design=SimpleNamespace(close_share=0.0))
    camber = Measured(sign * size, 1e-4, {})
    assert _word(report, SimpleNamespace(fits=True), camber) == word
    assert _word(report, SimpleNamespace(fits=False), camber) == UNSURE


def test_faces_taken_for_each_other_throughout_are_told_by_the_bench(bench):
    """From offsets alone nobody can tell; the demo's sheets are alike but for two tenths here."""
    offsets = built(bench, ratio=1.2)
    rows = [
        replace(r, value=1.12 * r.value) if r.measured == "three-point force" and r.sheet == "A" else r
        for r in BARE.rows
    ]
    swapped = replace(offsets, face=np.array(FACE.tolist()[::-1]), x=X, offset=offsets.offset)
    report = measured(swapped, rows)
    part = judge_part(report, explain_offsets(report))
    assert part.fit.fits and not part.agrees
    assert any("the readings of A are those of B" in s for s in part.slips)


# ----- slips


SLIPS = {
    "inches": (lambda o: replace(o, offset=o.offset / 25.4), "if the offsets were read in inches and taken as"),
    "both in inches": (lambda o: replace(o, x=o.x / 25.4, offset=o.offset / 25.4), "places and offsets were read"),
    "millimetres as inches": (lambda o: replace(o, offset=25.4 * o.offset), "in millimetres and taken as inches"),
    "centimetres": (lambda o: replace(o, offset=0.1 * o.offset), "read in centimetres and taken as millimetres"),
    "whole thickness": (lambda o: replace(o, offset=2.0 * o.offset), "the whole thickness of the part"),
    "from the front": (lambda o: replace(o, x=DESIGN.bend().free_chord - o.x), "counted from the front edge"),
    "from the trailing edge": (
        lambda o: replace(o, x=np.minimum(o.x + DESIGN.land_length, DESIGN.bend().free_chord)),
        "counted from the trailing edge, 15.0 mm behind",
    ),
}  # fmt: skip


def told(offsets):
    """(the fit or None, sentences on slips)."""
    known = usual_priors(DESIGN)
    try:
        fit = fit_offsets(DESIGN, offsets)
    except ValueError:
        return None, likely_slips(DESIGN, offsets, known, farthest(DESIGN, offsets))
    return fit, () if fit.fits else likely_slips(DESIGN, offsets, known, fit.suspect)


@pytest.fixture(scope="module")
def part():
    y = predict_offsets(DESIGN, X, FACE, 0.008, 1.15, bow_1=0.05, bow_2=0.03)
    return Offsets(X, y + np.random.default_rng(3).normal(0.0, 1e-4, 18), FACE, 1e-4)


@pytest.mark.slow
@by_day("slip", SLIPS, "inches", "whole thickness")
def test_a_slip_of_all_readings_is_named(part, slip):
    spoil, words = SLIPS[slip]
    fit, said = told(spoil(part))
    assert fit is None or not fit.fits
    assert len(said) == 1 and words in said[0]


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_undone_gives_the_readings_back(part, slip):
    spoil, words = SLIPS[slip]
    undone = [changed for said, changed in _of_all(DESIGN, spoil(part)) if words.removeprefix("if ") in said]
    assert len(undone) == 1 and undone[0].offset == pytest.approx(part.offset, rel=1e-12)
    inside = part.x + DESIGN.land_length <= DESIGN.bend().free_chord
    assert undone[0].x[inside] == pytest.approx(part.x[inside], rel=1e-12)


def test_how_far_offsets_are_from_the_design_is_a_root_mean_square():
    """One half 3 mm off and the other 4 mm: sqrt(12.5) mm. Off the sheets: endlessly."""
    ideal = predict_offsets(DESIGN, X, FACE)
    found = _away(DESIGN, Offsets(X, ideal + np.where(FACE == "upper", 3e-3, -4e-3), FACE, 1e-4))
    assert found == pytest.approx(np.sqrt(12.5) * 1e-3, rel=1e-9)
    for x in (-1e-3, DESIGN.bend().free_chord + 1e-3):
        assert _away(DESIGN, Offsets(np.append(X[1:], x), ideal, FACE, 1e-4)) == np.inf


def test_what_cannot_be_fitted_does_not_fit():
    """One reading for two unknowns."""
    assert not _fits(DESIGN, Offsets(X[:1], [0.01], FACE[:1], 1e-4), usual_priors(DESIGN))


def test_a_good_part_is_not_suspected(part):
    fit, said = told(part)
    assert fit.fits and said == () and fit.chance > 1e-2


@pytest.mark.parametrize(("i", "by"), [(12, 1e-3), (3, -6e-4)])
def test_a_wrong_reading_is_named_by_its_station(part, i, by):
    offset = part.offset.copy()
    offset[i] += by
    fit, said = told(replace(part, offset=offset))
    assert not fit.fits and fit.suspect == i
    assert f"Farthest off is the reading 93.12 mm from the land end on the {FACE[i]} face" in fit.notes[0]
    assert any("without the reading 93.12 mm" in words for words in said)


def test_a_reading_of_another_station_and_faces_swapped_at_one(part):
    x = part.x.copy()
    x[4] = x[3]
    fit, said = told(replace(part, x=x))
    assert not fit.fits and fit.suspect == 4
    face = part.face.copy()
    face[[7, 16]] = face[[16, 7]]
    fit, said = told(replace(part, face=face))
    assert not fit.fits and any("the two faces 190.6 mm from the land end were taken for each other" in s for s in said)


@pytest.mark.slow
@pytest.mark.nightly
def test_one_reading_in_inches_among_millimetres(part):
    offset = part.offset.copy()
    offset[12] *= 25.4
    _, said = told(replace(part, offset=offset))
    assert any("without the reading 93.12 mm from the land end on the lower face" in s for s in said)


def test_what_does_not_fit_gives_no_verdict_and_no_numbers(bench):
    offsets = built(bench)
    wrong = offsets.offset.copy()
    wrong[12] += 1.5e-3
    report = measured(replace(offsets, offset=wrong))
    part = judge_part(report, explain_offsets(report))
    assert part.camber == part.sheets == UNSURE
    assert list(part_sentences(part)) == list(part.slips) and len(remarks(part)) == 1


def test_no_such_part_is_refused_with_the_slip_that_explains_it(bench):
    offsets = built(bench)
    with pytest.raises(
        ValueError, match="no land slope and ratio .* They would fit if the offsets were read in inches"
    ):
        explain_offsets(measured(replace(offsets, offset=offsets.offset / 25.4)))


def test_rows_tell_what_was_taken_and_what_became_of_it(bench):
    fit = explain_offsets(measured(built(bench)))
    rows = {row[0]: row[1:] for row in known_rows(fit)}
    assert rows["Bow of sheet A"][1] == "measured" and rows["Setback"][1] == "common practice, no source"
    assert rows["Setback"][0] == "3.00 ± 0.29 mm"


def test_offsets_from_any_line_are_explained_with_its_height_and_tilt(bench):
    """A line a millimetre high and a degree tilted: from the chord line no such part has these offsets."""
    off = built(bench, shift=1e-3, tilt=np.radians(1.0), noise=2e-5)
    chord = measured(off)
    free = replace(chord, line="free")
    fit = explain_offsets(free)
    assert not explain_offsets(chord).fits and fit.fits
    for name, true in (("shift", 1e-3), ("tilt", np.radians(1.0))):
        assert abs(fit.found[name].value - true) < COVERS * fit.found[name].uncertainty
    straight = explain_offsets(measured(built(bench, noise=2e-5)))
    assert fit.camber.uncertainty > 2.0 * straight.camber.uncertainty
    assert "any straight line" in " ".join(remarks(judge_part(free, fit)))
    assert "any straight line" not in " ".join(straight.notes)
    with pytest.raises(ValueError, match="line"):
        judge_pair(DESIGN, DEMO, TOLERANCE, "edge")
