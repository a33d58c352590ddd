"""Outer faces of a bowed, unequal pair: against the outline of `solve_bowed`, and their slopes against differences."""

import numpy as np
import pytest

from panelmech.mechanics.unequal_bow import equations, solve_bowed
from panelmech.mechanics.unequal_faces import INPUTS, _state_of, solve_faces

LENGTH = 0.225
SLENDER = np.array([0.00204, 0.00197, 0.018, 0.0003, 0.003, 0.01, 0.004, np.log(1.2), 0.07, -0.04])
STRONG = np.array([0.003, 0.0028, 0.08, 0.0003, 0.002, 0.0, 0.02, np.log(0.7), -0.1, 0.2])
X = np.linspace(0.004, 0.2, 15)
STEPS = np.array([1e-6, 1e-6, 1e-6, 1e-6, 1e-6, 1e-5, 1e-5, 1e-4, 1e-4, 1e-4])
BOTH = pytest.mark.parametrize("values", [SLENDER, STRONG], ids=["slender", "strong"])


def by_outline(values, x, count=4001):
    """Height of both outer faces at x from a fine outline (straight pieces: error below 1e-8 m), and the camber."""
    t1, t2, diameter, gap, setback, slope_1, slope_2, log_ratio, *bows = values.tolist()
    given = LENGTH, t1, t2, float(np.exp(log_ratio)), 1.0, diameter, gap, setback, "floating", slope_1, slope_2
    pair, rows = solve_bowed(*given, *bows), []
    for i, side in ((1, 1.0), (2, -1.0)):
        (px, py), angle = pair.outline(i, count), pair.tangent_angle(i, count)
        half = 0.5 * values[i - 1]
        rows.append(np.interp(x, px - half * np.sin(angle), side * py + half * np.cos(angle)))
    return np.array(rows), pair.camber(2)[1][-1]


@BOTH
def test_faces_are_those_of_the_bowed_pair(values):
    faces = solve_faces(LENGTH, values, X)
    heights, camber = by_outline(values, X)
    assert faces.height == pytest.approx(heights, abs=1e-8)
    assert faces.camber == pytest.approx(camber, abs=1e-11)  # residuals of both below 1e-11 of the length


@BOTH
@pytest.mark.parametrize("j", range(len(INPUTS)), ids=INPUTS)
def test_slopes_are_those_of_central_differences(values, j):
    """Steps of a few millionths: the third derivative and the rounding of differences stay below 1e-6 of the slope."""
    step = STEPS[j] * (np.arange(len(INPUTS)) == j)
    faces, up, down = (solve_faces(LENGTH, values + k * step, X) for k in (0, 1, -1))
    differences = (up.height - down.height) / (2.0 * STEPS[j])
    largest = np.max(np.abs(differences))
    assert largest > 0.0
    assert faces.height_slopes[..., j] == pytest.approx(differences, abs=1e-6 * largest)
    camber = (up.camber - down.camber) / (2.0 * STEPS[j])
    assert faces.camber_slopes[j] == pytest.approx(camber, rel=1e-6, abs=1e-9 * largest)


@BOTH
def test_the_way_there_does_not_matter(values):
    far = values + np.array([0, 0, 0, 0, 1e-3, 0.01, -0.01, 0.3, 0.05, 0.05])
    alone, led = solve_faces(LENGTH, far, X), solve_faces(LENGTH, far, X, near=solve_faces(LENGTH, values, X))
    assert led.height == pytest.approx(alone.height, abs=1e-12)
    assert led.height_slopes == pytest.approx(alone.height_slopes, rel=1e-7, abs=1e-9)


def test_beyond_the_front_edge_the_faces_go_on_along_their_arc():
    """A parabola of the sheet's own curvature, to half a per cent of what it rises: the face leans by 0.06."""
    x, bow = np.array([0.215, 0.22, 0.235]), SLENDER[INPUTS.index("bow_1")]
    height = solve_faces(LENGTH, SLENDER, x).height[0]
    rise = height[2] - height[1] - 3.0 * (height[1] - height[0])
    assert rise == pytest.approx(0.5 * bow * 0.015 * 0.02, rel=0.01)


def test_no_pair_no_faces():
    too_large = np.where(np.array(INPUTS) == "spacer_diameter", 0.15, SLENDER)
    assert solve_faces(LENGTH, too_large, X) is None
    assert solve_faces(LENGTH, np.where(np.array(INPUTS) == "land_slope_1", 0.4, SLENDER), X) is None
    near = solve_faces(LENGTH, SLENDER, X)
    assert solve_faces(LENGTH, too_large, X, near=near) is None


@BOTH
def test_a_solved_pair_is_a_state_of_the_equations(values):
    """Forces over D / L^2, lengths over L: what another way has solved leaves residuals of its rounding alone."""
    t1, t2, diameter, gap, setback, slope_1, slope_2, log_ratio, *bows = values.tolist()
    given = LENGTH, t1, t2, float(np.exp(log_ratio)), 1.0, diameter, gap, setback, "floating", slope_1, slope_2
    lengths = np.array([t1, t2, 0.5 * diameter, gap, setback]) / LENGTH
    numbers = np.array([*lengths, slope_1, slope_2, log_ratio, *(LENGTH * bow for bow in bows)])
    assert np.max(np.abs(equations(_state_of(solve_bowed(*given, *bows)), numbers))) < 1e-8


def test_bows_that_flat_sheets_do_not_lead_to_are_brought_on():
    """To radii of 0.4 and 0.3 m: from the flat pair Newton's method goes astray. Up to where the shorter face ends."""
    values = np.array([0.0033, 0.0014, 0.0597, 0.0003, 0.0011, 0.0, 0.0, 0.6381, -2.6, 3.5])
    heights, camber = by_outline(values, X[:12])
    faces = solve_faces(LENGTH, values, X[:12])
    assert faces.height == pytest.approx(heights, abs=1e-8) and faces.camber == pytest.approx(camber, abs=1e-11)
