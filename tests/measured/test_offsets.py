"""Offsets of the real part: the table, the model, and what a fit recovers from data with noise where all else is known
exactly; with everything else unknown as it is, see `test_offset_coverage`."""

import numpy as np
import pytest

from panelmech.measured.offset_priors import Known, usual_priors
from panelmech.measured.offsets import Offsets, fit_offsets, offsets_text, predict_offsets, read_offsets, write_offsets
from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.bend import solve_bend
from panelmech.study.design import Design

NOISE = 5e-5
X = np.tile(np.linspace(0.02, 0.22, 9), 2)
FACE = np.repeat(["upper", "lower"], 9)
SLOPE, RATIO = np.radians(0.5), 1.2


@pytest.fixture(scope="module")
def leeboard(root):
    return Design.load(root / "notebooks/studies/leeboard.json")


@pytest.fixture(scope="module")
def truth(leeboard):
    return predict_offsets(leeboard, X, FACE, SLOPE, RATIO)


@pytest.fixture(scope="module")
def exact(leeboard):
    """Everything but slope and ratio built as designed, and known."""
    return {name: Known(known.value, 0.0) for name, known in usual_priors(leeboard).items()}


# --- the table

TEXT = "x_mm,offset_mm,face,uncertainty_mm\n40,3.1,upper,0.05\n# a remark\n\n40, 3.4 ,Lower,\n120,7.25,half,0.1\n"


def test_reading_and_writing(tmp_path):
    read = read_offsets(TEXT, uncertainty=2e-4)
    assert read.x.tolist() == [0.04, 0.04, 0.12] and read.offset.tolist() == [0.0031, 0.0034, 0.00725]
    assert read.face.tolist() == ["upper", "lower", "half"] and read.uncertainty.tolist() == [5e-5, 2e-4, 1e-4]
    write_offsets(tmp_path / "part.csv", read)
    again = read_offsets(str(tmp_path / "part.csv"))
    assert offsets_text(again) == offsets_text(read) and again.x.tolist() == read.x.tolist()
    assert len(read) == 3
    columns = read_offsets("face,x_mm,offset_mm\nupper,1,2\n")  # any order, uncertainty left out
    assert columns.uncertainty.tolist() == [1e-4]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("\n", "empty"),
        ("x_mm,offset_mm\n1,2\n", "columns"),
        ("x_mm,offset_mm,face,weight\n1,2,upper,1\n", "columns"),
        ("x_mm,offset_mm,face,face\n1,2,upper,upper\n", "each once"),
        ("x_mm,offset_mm,face\n", "no readings"),
        ("x_mm,offset_mm,face\n1,2\n", "line 2: not as many cells"),
        ("x_mm,offset_mm,face\n1,two,upper\n", "line 2: offset_mm is 'two'"),
        ("x_mm,offset_mm,face\n1,nan,upper\n", "line 2: offset_mm"),
        ("x_mm,offset_mm,face\n# note\n1,2,top\n", "line 3: face is 'top'"),
        ("x_mm,offset_mm,face,uncertainty_mm\n1,2,upper,0\n", "line 2: uncertainty"),
    ],
)
def test_errors_name_the_line(text, words):
    with pytest.raises(ValueError, match=words):
        read_offsets(text)


def test_a_table_has_so_many_lines_at_most(monkeypatch):
    monkeypatch.setattr("panelmech.measured.offsets.MOST_ROWS", 4)
    assert len(read_offsets(TEXT)) == 3  # and a head line; a remark is none
    with pytest.raises(ValueError, match="has 5 lines: give 4 at most"):
        read_offsets(TEXT + "140,7.25,half,0.1\n")


def test_files_that_cannot_be_read_say_so(tmp_path):
    with pytest.raises(ValueError, match="none.csv cannot be read"):
        read_offsets(tmp_path / "none.csv")
    (tmp_path / "sheet.xls").write_bytes(b"\xd0\xcf\x11\xe0" * 20)
    with pytest.raises(ValueError, match="save the table as CSV"):
        read_offsets(tmp_path / "sheet.xls")


def test_records_refuse_bad_numbers():
    for bad in ((np.nan, 1.0, "upper", 1e-4), (0.1, 1.0, "side", 1e-4), (0.1, 1.0, "upper", 0.0)):
        with pytest.raises(
            ValueError, match="give (a )?finite number|face is 'side': give one of upper|give a positive number"
        ):
            Offsets(*bad)


# --- the model


def test_prediction_of_the_ideal_pair(leeboard):
    """Outer face of the matched pair by interpolation on a fine outline; the error of straight pieces is 1e-8 m."""
    bend = solve_bend(
        leeboard.free_length, leeboard.sheet_thickness, leeboard.spacer_diameter, leeboard.bond_line, leeboard.setback
    )
    s = np.linspace(0, leeboard.free_length, 4001)
    (x, y), angle, half = bend.outline(s), bend.tangent_angle(s), 0.5 * leeboard.sheet_thickness
    where = np.linspace(0.001, 0.224, 12)
    line = np.interp(where, x - half * np.sin(angle), y + half * np.cos(angle))
    for face in ("upper", "lower", "half"):
        assert predict_offsets(leeboard, where, face) == pytest.approx(line, abs=1e-9)


def test_prediction_with_a_land_slope_is_the_pair_as_built(leeboard):
    real = real_bend(
        leeboard.free_length,
        leeboard.sheet_thickness,
        leeboard.spacer_diameter,
        1.0,
        leeboard.bond_line,
        leeboard.setback,
        land_slope=0.012,
    )
    half = 0.5 * leeboard.sheet_thickness
    x, y = real.x - half * np.sin(real.angle), real.y + half * np.cos(real.angle)
    inside = x > 0
    assert predict_offsets(leeboard, x[inside], "upper", 0.012) == pytest.approx(y[inside], abs=1e-12)


def test_stiffness_ratio_mirrors(leeboard):
    up, down = (predict_offsets(leeboard, X[:9], face, 0.0, r) for face, r in (("upper", 1.4), ("lower", 1 / 1.4)))
    assert up == pytest.approx(down, abs=1e-14)
    assert predict_offsets(leeboard, [0.2], "upper", 0.0, 1.4) < predict_offsets(leeboard, [0.2], "lower", 0.0, 1.4)


# --- the fit


def test_exact_data_give_the_truth(leeboard, truth):
    fit = fit_offsets(leeboard, Offsets(X, truth, FACE, NOISE))
    assert fit.land_slope == pytest.approx(SLOPE, rel=1e-6) and fit.stiffness_ratio == pytest.approx(RATIO, rel=1e-6)
    assert fit.rms < 1e-9 and fit.predicted == pytest.approx(truth, abs=1e-9)
    assert fit.pair.land_slope_1 == pytest.approx(SLOPE, rel=1e-6)
    ideal = truth - predict_offsets(leeboard, X, FACE)
    assert fit.ideal_residual == pytest.approx(ideal, abs=1e-12)


def test_measured_thicknesses_take_the_place_of_the_designs(leeboard):
    own = dict(thickness_1=2.1e-3, thickness_2=1.95e-3)
    fit = fit_offsets(leeboard, Offsets(X, predict_offsets(leeboard, X, FACE, SLOPE, RATIO, **own), FACE, NOISE), **own)
    assert (fit.land_slope, fit.stiffness_ratio) == pytest.approx((SLOPE, RATIO), rel=1e-5)
    assert [(fit.known[name].value, fit.known[name].basis) for name in own] == [(t, "measured") for t in own.values()]


@pytest.mark.nightly  # by day in tests/measured/test_offset_coverage.py
@pytest.mark.slow
def test_noisy_data_are_covered_by_the_stated_uncertainty(leeboard, truth, exact):
    """60 sets of readings, one seed: the misses over their uncertainties have mean 0 and spread 1. Bounds: three
    standard deviations of mean (1/sqrt(60)) and of spread (1/sqrt(120)); 95 % within two, at least 52 of 60."""
    rng = np.random.default_rng(11)
    miss = []
    for _ in range(60):
        fit = fit_offsets(leeboard, Offsets(X, truth + rng.normal(0, NOISE, X.size), FACE, NOISE), known=exact)
        miss.append(
            [
                (fit.land_slope - SLOPE) / fit.land_slope_uncertainty,
                (fit.stiffness_ratio - RATIO) / fit.stiffness_ratio_uncertainty,
            ]
        )
    miss = np.array(miss)
    assert np.all(np.abs(miss.mean(0)) < 3 / np.sqrt(60))
    assert np.all(np.abs(miss.std(0) - 1) < 3 / np.sqrt(120))
    assert np.all((np.abs(miss) < 2).sum(0) >= 52)
    correlation = np.corrcoef(miss.T)[0, 1]
    assert correlation == pytest.approx(fit.correlation, abs=3 / np.sqrt(60))


def test_uncertainty_goes_with_that_of_the_readings(leeboard, truth, exact):
    one, two = (fit_offsets(leeboard, Offsets(X, truth, FACE, k * NOISE), known=exact) for k in (1, 2))
    assert two.land_slope_uncertainty == pytest.approx(2 * one.land_slope_uncertainty, rel=1e-5)
    assert two.stiffness_ratio_uncertainty == pytest.approx(2 * one.stiffness_ratio_uncertainty, rel=1e-5)


def test_residuals_and_where(leeboard, truth, exact):
    off = truth.copy()
    off[12] += 1e-3
    fit = fit_offsets(leeboard, Offsets(X, off, FACE, NOISE), known=exact)
    assert (fit.where, fit.where_face) == (X[12], "lower") and 5e-4 < fit.largest_residual < 1e-3
    # the truth would leave one reading off by 20 uncertainties, the best less, for 18 - 2: at most 20 / 4
    assert 3.0 < fit.spread <= 5.0 and any("times what the stated" in n for n in fit.notes)
    clean = fit_offsets(leeboard, Offsets(X, truth, FACE, NOISE), known=exact)
    assert len(clean.notes) == 1 and "Left out" in clean.notes[0]


def test_half_thickness_says_nothing_of_the_ratio(leeboard):
    half = predict_offsets(leeboard, X[:9], "half", SLOPE, 1.0)
    fit = fit_offsets(leeboard, Offsets(X[:9], half, "half", NOISE))
    assert fit.stiffness_ratio == 1.0 and np.isnan(fit.stiffness_ratio_uncertainty) and np.isnan(fit.correlation)
    assert fit.land_slope == pytest.approx(SLOPE, rel=1e-6) and any("say nothing" in n for n in fit.notes)


def test_readings_near_the_nose_of_one_face_cannot_tell_them_apart(leeboard, exact):
    x = np.array([0.20, 0.205, 0.21])
    readings = predict_offsets(leeboard, x, "upper", SLOPE, RATIO)
    fit = fit_offsets(leeboard, Offsets(x, readings, "upper", 2e-4), known=exact)
    assert abs(fit.correlation) > 0.95 and any("apart" in n for n in fit.notes)


def test_one_place_alone_fixes_neither(leeboard):
    """Three readings at one place are one equation for two unknowns."""
    readings = predict_offsets(leeboard, [0.1] * 3, "upper", SLOPE, RATIO)
    fit = fit_offsets(leeboard, Offsets([0.1] * 3, readings, "upper", NOISE))
    assert fit.land_slope_uncertainty == np.inf == fit.stiffness_ratio_uncertainty and np.isnan(fit.correlation)
    assert any("apart" in n for n in fit.notes)


def test_free_line_takes_shift_and_tilt(leeboard, truth):
    side = np.where(FACE == "upper", 1.0, -1.0)
    moved = truth + side * (1e-4 + 2e-3 * X)
    fit = fit_offsets(leeboard, Offsets(X, moved, FACE, NOISE), line="free")
    assert (fit.land_slope, fit.stiffness_ratio) == pytest.approx((SLOPE, RATIO), rel=1e-5)
    assert (fit.shift, fit.tilt) == pytest.approx((-1e-4, -2e-3), rel=1e-4)
    held = fit_offsets(leeboard, Offsets(X, truth, FACE, NOISE))
    assert fit.stiffness_ratio_uncertainty > held.stiffness_ratio_uncertainty


def test_refusals(leeboard, truth):
    with pytest.raises(ValueError, match="off the sheets"):
        predict_offsets(leeboard, [-0.01], "upper")
    with pytest.raises(ValueError, match="off the sheets"):
        predict_offsets(leeboard, [0.25], "upper")
    with pytest.raises(ValueError, match="no equilibrium"):
        predict_offsets(leeboard, [0.1], "upper", 0.3)
    with pytest.raises(ValueError, match="2 unknowns"):
        fit_offsets(leeboard, Offsets(X[:1], truth[:1], FACE[:1], NOISE))
    with pytest.raises(ValueError, match="chord, free"):
        fit_offsets(leeboard, Offsets(X, truth, FACE, NOISE), line="bench")
    with pytest.raises(ValueError, match="no land slope|millimetres"):
        fit_offsets(leeboard, Offsets(X, np.full(X.shape, 2.0), FACE, NOISE))
