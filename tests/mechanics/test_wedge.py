"""The flat wedge against its drawing: straight lines, a circle, corners of the sheet ends; no formula of the module.

A sheet of direction a through (0, (t + g)/2) touches the rod where the rod's centre, on the chord line, has R + t/2 to
its mid-line. Drawn for an angle and a rod, the drawing tells the setback; so every number has a second road, the choice
of the smaller angle and the greatest rod too.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from panelmech.mechanics.wedge import solve_wedge

# free length, sheet thickness, spacer diameter, bond line, setback [m]; the last two: sheets of 0.4 of their length,
# and a rod that stands proud
PARTS = [
    (0.225, 0.002, 0.015, 0.0003, 0.003),
    (0.225, 0.002, 0.09, 0.0, 0.0),
    (0.3, 0.006, 0.10, 0.002, 0.05),
    (0.1, 0.04, 0.03, 0.001, 0.01),
    (0.225, 0.004, 0.05, 0.001, -0.02),
]


def drawn(angle, length, t, diameter, g):
    """The upper sheet at an angle [rad], drawn: contact, rod, corners of its end, and the setback that comes out."""
    start, radius = np.array([0.0, 0.5 * (t + g)]), 0.5 * diameter
    along, up = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    centre = np.array([(radius + 0.5 * t - start @ up) / along[1], 0.0])  # (start - centre) @ up is the reach
    end = start + length * along
    inner, outer = end - 0.5 * t * up, end + 0.5 * t * up
    arclength = (centre - start) @ along
    return SimpleNamespace(
        start=start, end=end, centre=centre[0], contact=start + arclength * along, contact_arclength=arclength,
        setback=inner[0] - centre[0] - radius, mouth=2.0 * inner[1], outer_thickness=2.0 * outer[1],
    )  # fmt: skip


def shoelace(points):
    x, y = np.transpose(points)
    return 0.5 * abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


@pytest.mark.parametrize("part", PARTS)
def test_every_number_is_that_of_the_drawing(part):
    """Relative accuracy of the root 1e-13: Newton's last step is below 1e-8 and leaves its square."""
    length, t, diameter, g, setback = part
    wedge = solve_wedge(*part)
    seen = drawn(wedge.angle, length, t, diameter, g)
    assert seen.setback == pytest.approx(setback, abs=1e-13 * length)
    assert wedge.start == seen.start[1] and wedge.contact_angle == wedge.angle
    for name in ("contact_arclength", "mouth", "outer_thickness"):
        assert getattr(wedge, name) == pytest.approx(getattr(seen, name), rel=1e-12), name
    assert wedge.spacer_position == pytest.approx(seen.centre, rel=1e-12)
    assert (wedge.contact_x, wedge.contact_y) == pytest.approx(tuple(seen.contact), rel=1e-12)
    assert wedge.overhang == pytest.approx(np.hypot(*(seen.end - seen.contact)), rel=1e-12)
    assert np.transpose(wedge.outline()) == pytest.approx(np.array([seen.start, seen.end]), rel=1e-12)
    corners = [seen.start, seen.contact, seen.contact * [1, -1], seen.start * [1, -1]]
    assert wedge.cell_area == pytest.approx(shoelace(corners), rel=1e-12)
    given = wedge.free_length, wedge.sheet_thickness, wedge.spacer_diameter, wedge.setback
    assert given == (length, t, diameter, setback)


@pytest.mark.parametrize("part", PARTS)
def test_it_is_the_smaller_angle(part):
    """From nothing on, the drawing's setback meets the wanted one at the angle given for the first time."""
    length, t, diameter, g, setback = part
    angle = solve_wedge(*part).angle
    before = [drawn(a, length, t, diameter, g).setback for a in angle * np.linspace(1e-3, 1 - 1e-9, 400)]
    assert np.all(np.array(before) < setback)
    assert drawn(angle * (1 + 1e-6), length, t, diameter, g).setback > setback


def greatest(length, t, g, setback):
    """The greatest rod over all angles, for each of which the drawing's setback tells the rod."""

    def rod(angle):
        return brentq(lambda d: drawn(angle, length, t, d, g).setback - setback, g, 4 * length, xtol=1e-15)

    found = minimize_scalar(lambda a: -rod(a), bounds=(0.05, 1.2), method="bounded", options={"xatol": 1e-10})
    return rod(found.x)


@pytest.mark.parametrize("part", PARTS[:3])
def test_up_to_the_greatest_rod_there_is_an_angle_and_beyond_there_is_none(part):
    length, t, _, g, setback = part
    most = greatest(length, t, g, setback)
    below = most * (1 - np.array([0.5, 0.1, 1e-2, 1e-4, 1e-6]))
    angles = solve_wedge(length, t, below, g, setback).angle
    assert np.all(np.diff(angles) > 0.0)
    for angle, diameter in zip(angles, below, strict=True):
        assert drawn(angle, length, t, diameter, g).setback == pytest.approx(setback, abs=1e-12 * length)
    for diameter in most * (1 + np.array([1e-6, 1e-3, 0.1, 3.0])):
        assert np.isnan(solve_wedge(length, t, diameter, g, setback).angle)


def test_a_rod_on_the_very_end_of_the_sheet():
    """The rod so far proud that it touches at the front edge: the setback of the drawing whose contact is the end. A
    little further back it is touched, a little further out it is not."""
    length, t, diameter, g = 0.225, 0.002, 0.04, 0.001
    angle = brentq(lambda a: drawn(a, length, t, diameter, g).contact_arclength - length, 0.02, 0.5, xtol=1e-15)
    setback = drawn(angle, length, t, diameter, g).setback
    assert setback < 0.0
    wedge = solve_wedge(length, t, diameter, g, setback + 1e-9 * length)
    assert wedge.contact_arclength == pytest.approx(length, rel=1e-7) and wedge.overhang > 0.0
    assert np.isnan(solve_wedge(length, t, diameter, g, setback - 1e-9 * length).contact_arclength)


def test_small_openings_are_the_small_triangle():
    """Angle (R - g/2) over the length up to the rod, L - e - R, to first order: the next term is of the opening."""
    opening = np.array([1e-3, 1e-6, 1e-9])
    length, g, setback = 0.2, 0.001, 0.01
    diameter = g + 2 * opening * length
    expected = opening * length / (length - setback - 0.5 * g)
    ratio = solve_wedge(length, 1e-4, diameter, g, setback).angle / expected
    assert np.all(np.abs(ratio - 1) < 2 * opening + 3e-16 * g / (opening * length))


NO_WEDGE = {
    "rod as thick as the bond line": (0.2, 0.002, 0.001, 0.001, 0.0),
    "rod thinner than the bond line": (0.2, 0.002, 0.0005, 0.001, 0.0),
    "no length": (0.0, 0.002, 0.01, 0.0, 0.0),
    "length below nothing": (-0.2, 0.002, 0.01, 0.0, 0.0),
    "no sheet": (0.2, 0.0, 0.01, 0.0, 0.0),
    "bond line below nothing": (0.2, 0.002, 0.01, -1e-6, 0.0),
    "no rod": (0.2, 0.002, 0.0, 0.0, 0.0),
    "setback longer than the sheet": (0.2, 0.002, 0.01, 0.0, 0.3),
    "not known": (0.2, np.nan, 0.01, 0.0, 0.0),
}
NUMBERS = ("angle", "contact_arclength", "spacer_position", "mouth", "outer_thickness", "overhang", "cell_area")


@pytest.mark.parametrize("part", NO_WEDGE.values(), ids=NO_WEDGE)
def test_where_there_is_no_wedge_there_is_no_number_and_the_others_keep_theirs(part):
    """Alone, and in a row between two that can be: those are then what they are alone."""
    alone, good = solve_wedge(*part), solve_wedge(*PARTS[0])
    row = solve_wedge(*np.transpose([PARTS[0], part, PARTS[3]]))
    for name in NUMBERS:
        assert np.isnan(getattr(alone, name)) and np.isnan(getattr(row, name)[1]), name
        assert getattr(row, name)[0] == pytest.approx(getattr(good, name), rel=1e-13), name


def test_a_bond_line_of_nothing_and_arrays():
    lengths = np.array([[0.2], [0.3]])
    many = solve_wedge(lengths, 0.002, np.array([0.01, 0.02, 0.03]))
    assert many.angle.shape == (2, 3) and many.outline()[0].shape == (2, 3, 2)
    one = solve_wedge(0.3, 0.002, 0.02)
    assert isinstance(one.angle, float) and many.angle[1, 1] == pytest.approx(one.angle, rel=1e-13)
    assert many.outline()[1][1, 1] == pytest.approx(one.outline()[1], rel=1e-13)


def test_what_is_left_out_is_nothing():
    assert solve_wedge(0.2, 0.002, 0.02).angle == solve_wedge(0.2, 0.002, 0.02, 0.0, 0.0).angle
