"""Sections of the bent pair and the flat wedge against fine quadrature, polygons and the small-angle limits."""

import itertools

import numpy as np
import pytest
from leeboard_part import LEEBOARD
from scipy.integrate import quad
from scipy.optimize import brentq

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.section import (
    _half_disc,
    _land,
    _sheets,
    bent_pair,
    bent_section,
    flat_wedge_section,
    wedge_pair,
)
from panelmech.mechanics.wedge import solve_wedge

DESIGNS = [
    (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3),
    (0.3, 6e-3, 0.12, 1e-3, 10e-3),
    (0.2, 1e-3, 0.04, 0.0, -4e-3),
    (0.1, 8e-3, 0.02, 2e-3, 1e-3),
    (1.0, 1e-3, 0.5, 0.0, 0.0),
]
FIELDS = ("area", "centroid_x", "i_chord", "i_normal", "torsion_constant", "enclosed_area", "curve_moment")


def ring(x, y, th, t):
    """Solid outline of the upper sheet with square-cut ends, from mid-surface stations."""
    h = 0.5 * t
    return (
        np.concatenate((x + h * np.sin(th), (x - h * np.sin(th))[::-1])),
        np.concatenate((y - h * np.cos(th), (y + h * np.cos(th))[::-1])),
    )


def polygon(u, v):
    """Area, first and second moments of a polygon by Green's theorem: A, Sx, Sy, Sxx, Syy, Sxy."""
    p, q = np.roll(u, -1), np.roll(v, -1)
    w = u * q - p * v
    return (
        w.sum() / 2,
        ((u + p) * w).sum() / 6,
        ((v + q) * w).sum() / 6,
        ((u * u + u * p + p * p) * w).sum() / 12,
        ((v * v + v * q + q * q) * w).sum() / 12,
        ((2 * (u * v + p * q) + u * q + p * v) * w).sum() / 24,
    )


def by_polygon(x, y, th, t):
    area, sx, sy, sxx, syy, sxy = polygon(*ring(x, y, th, t))
    along, across, product = sxx - sx**2 / area, syy - sy**2 / area, sxy - sx * sy / area
    return {
        "area": 2 * area,
        "centroid_x": sx / area,
        "i_chord": 2 * syy,
        "i_normal": 2 * along,
        "curve_moment": np.linalg.eigvalsh([[along, -product], [-product, across]])[0],
    }


@pytest.mark.parametrize("design", DESIGNS)
def test_bent_pair_against_a_polygon(design):
    """20001 stations: the chords miss the curve by less than 1e-9 of its rise, the moments by less than 1e-7."""
    bend = solve_bend(*design)
    s = np.linspace(0, design[0], 20001)
    expected = by_polygon(*bend.outline(s), bend.tangent_angle(s), design[1])
    found = bent_pair(bend)
    for name, value in expected.items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-7), name


@pytest.mark.parametrize("design", DESIGNS)
def test_the_rule_of_twelve_points_is_exact_to_rounding(design):
    """Second moment about the chord line by adaptive quadrature in arclength; through the thickness by hand."""
    bend, t = solve_bend(*design), design[1]

    def strip(s):
        (_, y), c = bend.outline(np.array([s])), np.cos(bend.tangent_angle(s))
        return y[0] ** 2 * t + (c * c - 2 * y[0] * c * bend.curvature(s)) * t**3 / 12

    ends = (0, bend.contact_arclength, design[0])
    total = sum(quad(strip, a, b, epsrel=1e-13, limit=200)[0] for a, b in itertools.pairwise(ends))
    assert bent_pair(bend).i_chord == pytest.approx(2 * total, rel=1e-12)


@pytest.mark.parametrize("design", DESIGNS)
def test_wedge_against_a_polygon(design):
    """Straight sheets: the polygon is exact; rounding of squares of far larger coordinates costs three digits."""
    wedge = solve_wedge(*design)
    x, y = wedge.outline()
    found, expected = wedge_pair(wedge), by_polygon(x, y, np.full(2, wedge.angle), design[1])
    for name, value in expected.items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-10), name
    assert found.curve_moment == pytest.approx(design[0] * design[1] ** 3 / 12, rel=1e-9)  # a flat sheet's own
    h = 0.5 * design[1]
    inner = np.array(
        [
            [0, x[0] + h * np.sin(wedge.angle), x[1] + h * np.sin(wedge.angle)],
            [0.5 * design[3], y[0] - h * np.cos(wedge.angle), y[1] - h * np.cos(wedge.angle)],
        ]
    )
    assert found.enclosed_area == pytest.approx(np.sum(np.diff(inner[0]) * (inner[1, 1:] + inner[1, :-1])), rel=1e-11)
    assert wedge.mouth == pytest.approx(2 * inner[1, -1], rel=1e-12)
    assert wedge.outer_thickness == pytest.approx(2 * (y[1] + h * np.cos(wedge.angle)), rel=1e-12)


@pytest.mark.parametrize("design", DESIGNS)
def test_the_wedge_touches_the_rod_and_keeps_the_setback(design):
    wedge, (length, t, d, _, e) = solve_wedge(*design), design
    s, c = np.sin(wedge.angle), np.cos(wedge.angle)
    centre = wedge.spacer_position
    distance = abs(-s * centre + c * (0 - wedge.start))  # of the centre from the mid-surface line
    assert distance == pytest.approx(0.5 * (d + t), rel=1e-12)
    tip = length * c + 0.5 * t * s
    assert tip - (centre + 0.5 * d) == pytest.approx(e, abs=1e-13 * length)
    foot = centre * c - wedge.start * s
    assert foot == pytest.approx(wedge.contact_arclength, rel=1e-12)


def test_the_wedge_takes_the_smaller_root():
    length, t, d, g, e = DESIGNS[0]

    def miss(a):
        s, c = np.sin(a), np.cos(a)
        return length * s * c - (e + 0.5 * d) * s - 0.5 * d + 0.5 * g * c + 0.5 * t * c * (1 - c)

    angles = np.linspace(1e-6, 1.57, 2001)
    roots = [brentq(miss, a, b) for a, b in itertools.pairwise(angles) if miss(a) * miss(b) < 0]
    assert len(roots) == 2
    assert solve_wedge(length, t, d, g, e).angle == pytest.approx(roots[0], rel=1e-12)


def test_a_wedge_that_cannot_touch_is_no_number():
    wedge = solve_wedge(0.1, 1e-3, np.array([0.02, 0.2, 0.5e-3, 0.05]), 1e-3, np.array([0.0, 0.0, 0.0, 0.2]))
    np.testing.assert_array_equal(np.isnan(wedge.angle), [False, True, True, True])
    for name in ("contact_arclength", "mouth", "outer_thickness", "spacer_position"):
        np.testing.assert_array_equal(np.isnan(getattr(wedge, name)), np.isnan(wedge.angle))
    section = wedge_pair(wedge)
    for name in set(FIELDS) - {"area"}:
        np.testing.assert_array_equal(np.isnan(getattr(section, name)), np.isnan(wedge.angle), err_msg=name)
    assert np.isnan(solve_wedge(0.1, 1e-3, 0.2).angle)


def test_arrays_equal_single_designs():
    columns = np.array(DESIGNS).T
    bent, flat = bent_pair(solve_bend(*columns), 1900.0), wedge_pair(solve_wedge(*columns), 1900.0)
    for i, design in enumerate(DESIGNS):
        one, other = bent_pair(solve_bend(*design), 1900.0), wedge_pair(solve_wedge(*design), 1900.0)
        for name in (*FIELDS, "mass_per_length"):
            assert isinstance(getattr(one, name), float) and isinstance(getattr(other, name), float), name
            assert getattr(bent, name)[i] == pytest.approx(getattr(one, name), rel=1e-12), name
            assert getattr(flat, name)[i] == pytest.approx(getattr(other, name), rel=1e-12), name
    grid = solve_bend(np.full((2, 3), 0.225), *DESIGNS[0][1:])
    assert bent_pair(grid).i_chord.shape == (2, 3)
    empty = solve_bend(np.zeros((0, 3)), *DESIGNS[0][1:])
    assert bent_pair(empty).i_chord.shape == (0, 3)
    assert solve_wedge(np.zeros((0, 3)), *DESIGNS[0][1:]).angle.shape == (0, 3)
    bad = bent_pair(solve_bend(0.225, 2e-3, np.array([18e-3, 0.3]), 0.3e-3, 3e-3))
    for name in set(FIELDS) - {"area"}:
        np.testing.assert_array_equal(np.isnan(getattr(bad, name)), [False, True], err_msg=name)


def test_sections_of_a_design():
    design = LEEBOARD
    assert bent_section(design).i_chord == bent_pair(design.bend()).i_chord
    assert flat_wedge_section(design).i_chord == wedge_pair(design.wedge()).i_chord
    assert bent_section(design).mass_per_length == pytest.approx(2 * 0.225 * 2e-3 * design.sheet.density, rel=1e-15)


# --- what the small-angle limit says ------------------------------------------------------------------------------


def ratios(length, t, d, g=0.0, e=None, other=None):
    """Bent over flat wedge; by default the sheets end at the contact (setback minus the radius). `other`: bent rod."""
    e = -0.5 * d if e is None else e
    bent = bent_pair(solve_bend(length, t, other or d, g, e if other is None else -0.5 * other))
    flat = wedge_pair(solve_wedge(length, t, d, g, e))
    names = ("i_chord", "enclosed_area", "torsion_constant", "i_normal", "area")
    return {name: getattr(bent, name) / getattr(flat, name) for name in names}


def test_small_angle_limits():
    """Thin sheets, small opening, no overhang: 33/140 over 1/3, 3/8 over 1/2 and its square.

    The shape y = delta (3 u^2 - u^3)/2 of a cantilever with an end load, derived by hand; the error is of the order
    of the angle (the contact sits R sin th behind the front edge) and of thickness over opening.
    """
    found = ratios(1.0, 1e-10, 2e-4)
    assert found["i_chord"] == pytest.approx(33 / 140 * 3, rel=1.5e-3)
    assert found["enclosed_area"] == pytest.approx(3 / 4, rel=1.5e-3)
    assert found["torsion_constant"] == pytest.approx(9 / 16, rel=1.5e-3)
    assert found["i_normal"] == pytest.approx(1.0, rel=1e-6)
    assert found["area"] == 1.0
    closer = ratios(1.0, 1e-12, 2e-5)
    for name, limit in (("i_chord", 33 / 140 * 3), ("enclosed_area", 3 / 4), ("torsion_constant", 9 / 16)):
        assert abs(closer[name] - limit) < 0.3 * abs(found[name] - limit), name


@pytest.mark.parametrize(("name", "ratio"), [("i_chord", (140 / 99) ** 0.5), ("torsion_constant", 4 / 3)])
def test_spacer_at_which_the_bent_pair_overtakes(name, ratio):
    """In the small-angle limit 1.19 times the spacer for the second moment, 1.33 for torsion: sqrt(140/99) and 4/3."""
    found = brentq(lambda x: ratios(1.0, 1e-7, 2e-4, other=2e-4 * x)[name] - 1, 1.0, 1.6)
    assert found == pytest.approx(ratio, rel=1e-3)
    assert round(ratio, 2) in (1.19, 1.33)


def test_real_panels():
    """Thickness at the land and the overhang in front bring ordinary panels to 0.77-0.79 and 0.61-0.65."""
    for design in (
        (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3),
        (0.28, 2e-3, 20e-3, 0.3e-3, 5e-3),
        (0.2, 1.5e-3, 16e-3, 0.3e-3, 3e-3),
    ):
        found = ratios(*design)
        assert 0.765 < found["i_chord"] < 0.795
        assert 0.605 < found["torsion_constant"] < 0.655
        assert found["i_chord"] < 1 and found["i_normal"] == pytest.approx(1, abs=0.01)


def test_one_sheets_own_moment_grows():
    """A curved line is deep: to first order 1 + 12 var(y - mean line) / t^2 over the flat sheet."""
    bend = solve_bend(0.225, 2e-3, 18e-3, 0.3e-3, 3e-3)
    s = np.linspace(0, 0.225, 20001)
    x, y = bend.outline(s)
    line = np.polyval(np.polyfit(x, y, 1), x)
    expected = 1 + 12 * np.mean((y - line) ** 2) / 4e-6
    found = bent_pair(bend).curve_moment / (0.225 * 8e-9 / 12)
    assert found > 1
    assert found == pytest.approx(expected, rel=0.01)  # slope of the mean line and thickness terms


# -- parts of the whole section by plain integrals ----------------------------------------------------------


@pytest.mark.parametrize("phi", [0.3, 1.2, np.pi / 2, 2.5, np.pi])
def test_part_of_a_disc_by_quadrature(phi):
    """Of 1, x, x^2 and y^2 under the arc from x = R cos phi to R, over x = R cos a by Gauss's rule."""
    at, weights = np.polynomial.legendre.leggauss(40)
    a, w, r = 0.5 * phi * (at + 1.0), 0.5 * phi * weights, 1.7
    x, y = r * np.cos(a), r * np.sin(a)
    expected = [w @ (y * y), w @ (x * y * y), w @ (x * x * y * y), w @ (y**4 / 3.0)]
    assert _half_disc(phi, r) == pytest.approx(expected, rel=1e-12, abs=1e-14)


def test_two_sheets_over_the_land_in_plain_arithmetic():
    """2 x 20 x 2 mm2, 10 mm behind; 20^2/3 of it; 2 (20 x 2^3/12 + 40 x 1.5^2), the bond line 1 mm."""
    numbers = {"sheet_thickness": 2.0, "land_length": 20.0, "bond_line": 1.0}
    expected = (80.0, -800.0, 80.0 * 400.0 / 3.0, 2.0 * (20.0 * 8.0 / 12.0 + 40.0 * 2.25))
    assert _land(numbers) == pytest.approx(expected, rel=1e-14)


def test_two_flat_sheets_in_plain_arithmetic():
    """Two rectangles at an angle: about the land end, by the parallel axis."""
    wedge = solve_wedge(0.2, 0.002, 0.018)
    length, t, c, s = 0.2, 0.002, np.cos(wedge.angle), np.sin(wedge.angle)
    area, first, second, _ = _sheets(wedge, {})
    assert area == pytest.approx(2.0 * length * t, rel=1e-12)
    assert first == pytest.approx(area * 0.5 * length * c, rel=1e-9)
    assert second == pytest.approx(area * (length**2 * c**2 / 3.0 + t**2 * s**2 / 12.0), rel=1e-9)
