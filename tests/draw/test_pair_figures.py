"""Pictures of a measured pair: their curves by digest, and that no words leave the picture or are left out."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelmech import Design, evaluate
from panelmech.draw import pair_figures
from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import figure_bytes
from panelmech.measured.finished_part import explain_offsets, measured_offsets
from panelmech.measured.later import after_a_while
from panelmech.measured.pair import as_clamped, camber_outlook, judge_pair, slope_sweep
from panelmech.measured.readings import Readings, read_readings
from panelmech.study.named_curves import fit_named_curves

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
DESIGN = Design.load(STUDIES / "leeboard.json")
DEMO = read_readings(STUDIES / "leeboard_readings.csv")


@pytest.fixture(scope="module")
def report():
    return judge_pair(DESIGN, DEMO, 0.5e-3)


@pytest.fixture(scope="module")
def figures(report):
    clamp, later = as_clamped(report, 0.005), after_a_while(report, 0.8)
    sweep, outlook = slope_sweep(report, clamp, np.linspace(-0.03, 0.03, 21)), camber_outlook(report)
    fits, offsets, fit = fit_named_curves(DESIGN.bend()), measured_offsets(DEMO), explain_offsets(report)
    return {
        "cambered": (pair_figures.cambered_figure(report), pair_figures.describe_cambered(report)),
        "thickness": (pair_figures.thickness_figure(report), pair_figures.describe_thickness(report)),
        "log": (pair_figures.log_figure(report, later), pair_figures.describe_log(report, later)),
        "map": (pair_figures.camber_map_figure(report, outlook), pair_figures.describe_camber_map(report, outlook)),
        "slope": (pair_figures.slope_figure(report, sweep, clamp), pair_figures.describe_slope(sweep, clamp)),
        "named": (pair_figures.named_figure(report, fits), pair_figures.describe_named(fits)),
        "offsets": (pair_figures.offsets_figure(report, offsets, fit), pair_figures.describe_offsets(offsets, fit)),
    }


NAMES = ("cambered", "thickness", "log", "map", "slope", "named", "offsets")
# lines that must stand in the digest: numbers of the report itself, four digits
DIGESTS = {
    "cambered": [
        "shape 1 sheet A: 1 of 323 points, x 0 to 224.8, y 0.15 to 11.89",
        "line 6: 161 points, x 0 to 224.7, y 0.008584 to 0.06584",
        "shape 6 rod: 1 of 25 points, x 203.8 to 221.8, y -8.965 to 9.035",
        "| mean line |",
    ],
    "thickness": ["y 1.96 to 1.98", "y 2.02 to 2.06", "sheet A, mean 2.0383 ± 0.0061 mm"],
    "log": ["y 23.62 to 23.62", "3600 to 6.048e+05, y 23.5 to 23.7", "after forming (log)"],
    "map": ["x: sheet A thicker than B by [%]", "x 3.4", "your tolerance, 0.50 mm"],
    "slope": ["line 1: 21 points", "as set here: 22.6 N"],
    "named": [
        "hyperbola, 0.023 mm at most",
        "ellipse: there is no best one",
        "circle, 0.74 mm at most, beyond this picture",
    ],
    "offsets": ["axes 2: What is left: 0.031 mm", "A: best explanation", "8 points, x 20 to 220"],
}


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_digest_holds_the_reports_numbers(figures, name):
    digest = figure_digest(figures[name][0])
    missing = [words for words in DIGESTS[name] if words not in digest]
    assert missing == [], digest


@pytest.mark.parametrize("name", NAMES)
def test_pictures_are_stamped_have_words_and_repeat(figures, name):
    fig, words = figures[name]
    assert any(DESIGN.input_hash() in text.get_text() for text in fig.texts)
    assert len(words) > 60 and "nan" not in words
    assert figure_bytes(fig, "svg") == figure_bytes(fig, "svg")


@pytest.mark.parametrize("name", NAMES)
def test_words_stay_within_the_picture(figures, name):
    fig = figures[name][0]
    fig.draw_without_rendering()
    whole = fig.bbox.padded(1.0)
    for ax in fig.axes:
        for text in (*ax.texts, ax.title, ax._left_title, ax.xaxis.label, ax.yaxis.label):
            box = text.get_window_extent()
            assert not text.get_text() or (whole.x0 <= box.x0 and box.x1 <= whole.x1), text.get_text()
            assert not text.get_text() or (whole.y0 <= box.y0 and box.y1 <= whole.y1), text.get_text()


def test_section_is_to_scale(figures):
    ax = figures["cambered"][0].axes[0]
    assert ax.get_aspect() == 1.0
    box = ax.get_window_extent()
    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    assert box.width / (x1 - x0) == pytest.approx(box.height / (y1 - y0), rel=1e-6)


def test_alike_sheets_lie_on_the_design(report):
    """The drawn sheet's faces are those of the symmetric pair, to the chord of its stations."""
    even = Readings([replace(r, value=2e-3) if r.measured == "thickness" else r for r in DEMO.rows])
    bare = Readings([r for r in even.rows if r.measured == "thickness"])
    found = judge_pair(DESIGN, bare, 1e-3)
    ring = pair_figures.sheet_ring(found.bent, 1, 2.0, 1.0)
    outer, inner = ring[: pair_figures.STATIONS], ring[pair_figures.STATIONS :][::-1]
    bend = DESIGN.bend()
    assert outer[-1][1] == pytest.approx(0.5e3 * bend.outer_thickness, abs=0.005)
    assert inner[-1][1] == pytest.approx(0.5e3 * bend.mouth, abs=0.005)
    assert np.hypot(*(outer - inner).T) == pytest.approx(np.full(pair_figures.STATIONS, 2.0), rel=1e-9)


def test_a_changed_modulus_moves_the_digest(report, figures):
    """A digest that did not follow the curve would guard nothing."""
    softer = Readings(
        [
            replace(r, value=1.01 * r.value) if r.measured == "three-point deflection" and r.sheet == "A" else r
            for r in DEMO.rows
        ]
    )
    assert figure_digest(pair_figures.cambered_figure(judge_pair(DESIGN, softer, 0.5e-3))) != figure_digest(
        figures["cambered"][0]
    )


def test_without_a_log_only_the_prediction_is_drawn():
    bare = Readings([r for r in DEMO.rows if r.measured != "as-built thickness"])
    found = judge_pair(DESIGN, bare, 1e-3)
    later = after_a_while(found, 0.8)
    digest = figure_digest(pair_figures.log_figure(found, later))
    assert digest.count(" line ") == 1 and "measured" not in digest
    assert "No thickness of the part has been measured yet" in pair_figures.describe_log(found, later)


def test_moduli_not_measured_is_said_on_the_map():
    bare = Readings([r for r in DEMO.rows if r.measured == "thickness"])
    found = judge_pair(DESIGN, bare, 1e-3)
    assert "± 95 %, moduli not measured" in figure_digest(pair_figures.camber_map_figure(found, camber_outlook(found)))


def test_prediction_of_the_log_is_that_of_the_two_sheets(report):
    """Of the measured sheets with their bow, not of the design, which is 0.09 mm thinner."""
    outer = sum(abs(report.bent.outline(i, 2)[1][-1]) for i in (1, 2))
    for i, sheet in zip((1, 2), report.sheets, strict=True):
        outer += 0.5 * sheet.effective_thickness * np.cos(report.bent.tangent_angle(i, 2)[-1])
    words = pair_figures.describe_log(report, after_a_while(report, 1.0))
    assert f"{1e3 * outer:.2f} mm" in words
    assert f"{1e3 * evaluate(DESIGN, local=False).quantities['outer_thickness']:.2f} mm" not in words
