"""What is known of a part besides its offsets, and what the fit makes of it."""

import numpy as np
import pytest

from panelmech.job import demo
from panelmech.measured.offset_model import UNKNOWNS, OffsetModel
from panelmech.measured.offset_notes import HALVED, confounded
from panelmech.measured.offset_priors import HAND, NAMES, Known, usual_priors
from panelmech.measured.offsets import Offsets, fit_offsets, predict_offsets
from panelmech.mechanics.unequal_bow import MOST_BOW, solve_bowed

DESIGN, NOISE = demo().design, 5e-5
X, FACE = np.tile(np.linspace(0.02, 0.215, 9), 2), np.repeat(["upper", "lower"], 9)
READ = Offsets(X, predict_offsets(DESIGN, X, FACE, 0.005, 1.1, bow_1=0.03), FACE, NOISE)
FLAT = {f"bow_{i}": Known(0.0, 0.003) for i in (1, 2)}


@pytest.fixture(scope="module")
def blind():
    return fit_offsets(DESIGN, READ)


@pytest.fixture(scope="module")
def sighted():
    return fit_offsets(DESIGN, READ, known={"bow_1": Known(0.03, 0.003), "bow_2": Known(0.0, 0.003)})


def test_usual_priors_say_what_they_rest_on():
    known = usual_priors(DESIGN)
    assert tuple(known) == tuple(NAMES) and all(one.uncertainty > 0.0 for one in known.values())
    assert known["thickness_1"].basis == "maker's guide" and known["setback"].basis == HAND
    band = float(DESIGN.sheet.tolerance_at(DESIGN.sheet_thickness))
    assert known["thickness_2"].uncertainty == pytest.approx(band / np.sqrt(3.0))
    assert known["tilt"].uncertainty * DESIGN.bend().free_chord == pytest.approx(1e-4 * np.sqrt(2.0))
    assert (known["shift"].value, known["shift"].uncertainty, known["shift"].basis) == (0.0, 1e-4, HAND)
    rise, half = 0.005 * 0.24, 0.12  # a circle's, over the developed length of 240 mm; an arc so flat is one to 1e-4
    assert known["bow_1"].uncertainty * np.sqrt(3.0) == pytest.approx(2.0 * rise / (half**2 + rise**2), rel=2e-4)
    assert (known["bow_1"].value, known["bow_1"].basis) == (0.0, HAND)
    free = usual_priors(DESIGN, "free")
    assert free["shift"].uncertainty == free["tilt"].uncertainty == np.inf
    assert free["shift"].basis == free["tilt"].basis == "nothing is known of it" and free["setback"].basis == HAND


def test_what_is_not_known_of_is_refused():
    with pytest.raises(ValueError, match="'rod' is nothing the fit of offsets knows of: give one of shift, tilt"):
        usual_priors(DESIGN, rod=Known(0.018, 1e-4))
    with pytest.raises(ValueError, match="uncertainty of the setback"):
        usual_priors(DESIGN, setback=Known(0.003, -1e-4))
    with pytest.raises(ValueError, match="bow of sheet A"):
        fit_offsets(DESIGN, READ, known={"bow_1": Known(np.nan, 0.01)})


def test_predicted_slopes_are_those_of_differences():
    """Central differences of readings on both faces and of half the thickness, to 1e-6 of the largest."""
    x, face = np.tile(np.linspace(0.01, 0.22, 6), 3), np.repeat(["upper", "lower", "half"], 6)
    model = OffsetModel(DESIGN, x, face)
    values = model.start(usual_priors(DESIGN), 0.006, 0.2)
    values += np.where(np.array(UNKNOWNS) == "bow_1", 0.04, 0.0) + np.where(np.array(UNKNOWNS) == "tilt", 1e-3, 0.0)
    at = model.at(values)
    for j, step in enumerate(1e-5 * np.array([1, 10, 0.1, 1, 10, 10, 0.1, 0.1, 0.1, 0.1, 0.1])):
        up, down = (model.at(values + k * step * np.eye(len(UNKNOWNS))[j]).readings for k in (1, -1))
        wanted = (up - down) / (2.0 * step)
        assert at.slopes[:, j] == pytest.approx(wanted, abs=1e-6 * np.max(np.abs(wanted))), UNKNOWNS[j]


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize(
    ("name", "most"), [("land_slope", 0.5 * np.pi), ("log_ratio", np.log(1e6)), ("bow_2", MOST_BOW)]
)
def test_no_prediction_beyond_what_two_sheets_can_be(name, most, sign):
    model = OffsetModel(DESIGN, READ.x, READ.face)
    values = model.start(usual_priors(DESIGN))
    values[UNKNOWNS.index(name)] = 1.001 * sign * most
    assert model.at(values) is None


def test_covariance_is_the_inverse_of_information_and_prior(blind):
    """In plain matrices: (J^T W J + P)^-1 at the solution."""
    model = OffsetModel(DESIGN, READ.x, READ.face)
    values = np.array([blind.land_slope, blind.log_ratio.value, *(blind.found[name].value for name in NAMES)])
    slopes = model.at(values).slopes / NOISE
    precision = np.diag([0.0, 0.0, *(blind.known[name].uncertainty ** -2.0 for name in NAMES)])
    covariance = np.linalg.inv(slopes.T @ slopes + precision)
    assert blind.land_slope_uncertainty == pytest.approx(np.sqrt(covariance[0, 0]), rel=1e-4)
    assert blind.log_ratio.uncertainty == pytest.approx(np.sqrt(covariance[1, 1]), rel=1e-4)
    for i, name in enumerate(NAMES, 2):
        assert blind.found[name].uncertainty == pytest.approx(np.sqrt(covariance[i, i]), rel=1e-4)
        assert blind.found[name].uncertainty <= blind.known[name].uncertainty * (1.0 + 1e-9)
    parts = np.array(list(blind.log_ratio.contributions.values()))
    assert np.sum(parts**2) == pytest.approx(covariance[1, 1], rel=1e-4)


def test_what_one_knows_moves_the_answer_as_often_as_it_says():
    """The part of the uncertainty that a prior adds is what its value, moved by that much, moves the answer by."""
    for name in ("tilt", "bow_1", "thickness_2"):
        usual = usual_priors(DESIGN, **FLAT)
        at, moved = usual[name], {}
        for k in (-1.0, 1.0):
            known = {**FLAT, name: Known(at.value + 0.1 * k * at.uncertainty, at.uncertainty)}
            moved[k] = fit_offsets(DESIGN, READ, known=known).log_ratio.value
        part = fit_offsets(DESIGN, READ, known=FLAT).log_ratio.contributions[name]
        assert abs(moved[1.0] - moved[-1.0]) / 0.2 == pytest.approx(part, rel=0.05)  # the fit is not linear


def test_bow_and_ratio_are_said_to_look_alike(blind, sighted):
    assert blind.gap_correlation > HALVED and confounded(blind) and not confounded(sighted)
    said = " ".join(blind.notes)
    assert "cannot tell the ratio of bending stiffness, A over B, from a difference of the sheets' own bow" in said
    assert "correlation 0.9" in said and "bow of the loose sheets" in said
    assert not any("loose sheets" in note for note in sighted.notes)
    left = np.sqrt(1.0 - blind.gap_correlation**2) * blind.stiffness_ratio_uncertainty
    known = {f"bow_{i}": Known(blind.found[f"bow_{i}"].value, 1e-6) for i in (1, 2)}
    told = fit_offsets(DESIGN, READ, known=known).stiffness_ratio_uncertainty
    assert told == pytest.approx(left, rel=0.1)  # as the note promises; the sum of the bows is then known too
    assert sighted.log_ratio.value == pytest.approx(np.log(1.1), abs=sighted.log_ratio.uncertainty)


def test_what_counts_most_and_was_only_taken_is_named(sighted):
    assert sighted.log_ratio.dominant == "tilt"
    assert any("tilt of the line measured from, taken as good to ± 0.036°" in note for note in sighted.notes)
    told = fit_offsets(DESIGN, READ, known={**sighted.known, "tilt": Known(0.0, 1e-5)})
    assert told.stiffness_ratio_uncertainty < 0.7 * sighted.stiffness_ratio_uncertainty
    assert not any("taken as good to" in note for note in told.notes)


def test_camber_is_that_of_the_pair_and_its_share_by_ratio(sighted):
    pair = sighted.pair
    assert sighted.camber.value == pytest.approx(pair.camber(2)[1][-1], abs=1e-9)
    now = {name: one.value for name, one in sighted.found.items()}
    lengths = now["spacer_diameter"], now["bond_line"], now["setback"], "floating", *2 * (sighted.land_slope,)
    alike = solve_bowed(
        DESIGN.free_length, now["thickness_1"], now["thickness_2"], 1.0, 1.0, *lengths, now["bow_1"], now["bow_2"]
    )
    without = alike.camber(2)[1][-1]
    assert sighted.camber_of_ratio.value == pytest.approx(sighted.camber.value - without, rel=0.01)  # to first order
    assert sighted.camber.uncertainty < sighted.camber_of_ratio.uncertainty


def test_a_line_of_which_nothing_is_known_leaves_more_open(sighted):
    free = fit_offsets(DESIGN, READ, "free", known={name: sighted.known[name] for name in ("bow_1", "bow_2")})
    assert free.stiffness_ratio_uncertainty > 1.5 * sighted.stiffness_ratio_uncertainty
    assert free.freedom == sighted.freedom - 2
