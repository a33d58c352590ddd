"""The exact bend: identities, lower branch, limits, refusals, arrays."""

import re

import numpy as np
import pytest
from scipy.optimize import brentq

from panelmech.mechanics import bend as bend_module
from panelmech.mechanics import bend_solver as branch
from panelmech.mechanics import elastica
from panelmech.mechanics.bend import CHUNK, REASONS, InfeasibleBend, greatest_spacer, solve_bend
from panelmech.mechanics.forming import forming_loads

LEEBOARD = (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3)
SOLVED = ("contact_angle", "contact_arclength", "wavenumber", "greatest_spacer", "condition")
DERIVED = (
    "overhang",
    "contact_x",
    "contact_y",
    "spacer_position",
    "mouth_position",
    "mouth",
    "outer_thickness",
    "free_chord",
    "nose_step",
    "land_curvature",
    "cell_area",
    "enclosed_area",
    "void_area",
    "front_area",
)
ROUNDING = 2e-13  # sums of some ten terms of one size, conditioned better than 100


def designs(count=400, seed=3, share=(0.02, 0.95)):
    """Feasible designs over a wide range, the opening a share of the greatest; every fourth has the rod proud."""
    rng = np.random.default_rng(seed)
    length = np.exp(rng.uniform(np.log(0.02), np.log(3), count))
    t, g = length * rng.uniform(0.002, 0.06, count), length * rng.uniform(0, 0.01, count)
    e = np.where(np.arange(count) % 4 == 0, -0.01, rng.uniform(0, 0.3, count)) * length
    most = greatest_spacer(length, g, e, t)
    d = g + np.maximum(rng.uniform(*share, count), np.where(e < 0, 0.2, 0)) * (most - g)
    return length, t, d, g, e


@pytest.fixture(scope="module")
def many():
    bend = solve_bend(*designs())
    assert np.all(bend.feasible)
    return bend


# --- the two equations and the identities -------------------------------------------------------------------------


def test_both_equations_hold(many):
    th, k, radius = many.contact_angle, many.wavenumber, many.spacer_radius
    rise = (
        0.5 * (many.sheet_thickness + many.bond_line)
        + (elastica.along(th) * np.sin(th) - elastica.across(th) * np.cos(th)) / k
    )
    np.testing.assert_allclose(rise, (radius + 0.5 * many.sheet_thickness) * np.cos(th), rtol=ROUNDING)
    by_setback = many.free_length - (many.setback + radius * (1 + np.sin(th))) / np.cos(th)
    np.testing.assert_allclose(elastica.arclength(th) / k, by_setback, rtol=1e-12)
    np.testing.assert_allclose(many.contact_arclength + many.overhang, many.free_length, rtol=1e-12)


def test_opening_energy_is_the_push_out_force(many):
    loads = forming_loads(many, 2.5)
    np.testing.assert_allclose(loads.opening_energy, loads.push_out_force, rtol=ROUNDING)
    both = 2 * loads.contact_force * np.sin(many.contact_angle)
    np.testing.assert_allclose(loads.push_out_force, both, rtol=ROUNDING)


def test_the_contact_force_balances_the_land_moment(many):
    """Moment of the contact force about the land end, by vectors: it points along the normal of the sheet."""
    loads, th = forming_loads(many, 2.5), many.contact_angle
    force = loads.contact_force * np.array([-np.sin(th), np.cos(th)])
    arm = np.array([many.contact_x, many.contact_y - 0.5 * (many.sheet_thickness + many.bond_line)])
    np.testing.assert_allclose(arm[0] * force[1] - arm[1] * force[0], loads.land_moment, rtol=1e-11)


def difference(function, value, step):
    """Central difference, error of fourth order in `step`."""
    near, far = (function(value + n * step) - function(value - n * step) for n in (1, 2))
    return (8 * near - far) / (12 * step)


@pytest.mark.parametrize("design", [LEEBOARD, (0.3, 4e-3, 0.12, 1e-3, 10e-3), (0.2, 1e-3, 0.05, 0.0, -4e-3)])
def test_the_stored_energy_changes_by_the_work_of_the_conjugate_force(design):
    """dU of both sheets against closed forms (D = 1 N m); all other dimensions are held fixed.

    A thicker rod pushes each inner face out by dR along its normal, and its centre moves by dXc, against which the
    sheets push with 2 N sin th: dU = 2 N (dR - sin th dXc), so what is conjugate to R is the squeeze 2 N together with
    the push-out force on the centre. A setback or a free length moves the rod only: dU = -2 N sin th dXc. A thicker
    bond line spreads the land itself: its moment does no work (no rotation), its shear N cos th on each half of dg
    does: dU = -N cos th dg - 2 N sin th dXc.
    """
    names = ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback")
    bend = solve_bend(*design)
    force, s, c = bend.wavenumber**2, np.sin(bend.contact_angle), np.cos(bend.contact_angle)
    direct = {"spacer_diameter": force, "bond_line": -force * c, "free_length": 0.0, "setback": 0.0}
    for name, work in direct.items():
        at = names.index(name)

        def solved(value, at=at):
            return solve_bend(*design[:at], value, *design[at + 1 :])

        step = 1e-4 * design[names.index("spacer_diameter")]
        value = max(design[at], 3 * step) if name == "bond_line" else design[at]
        if value != design[at]:
            continue  # no bond line: it cannot be varied both ways
        energy = difference(lambda v, f=solved: forming_loads(f(v), 1.0).strain_energy, value, step)
        moved = difference(lambda v, f=solved: f(v).spacer_position, value, step)
        size = 2 * force * (abs(s * moved) + abs(work / (2 * force)))
        # difference of numbers known to 1e-14 over 1e-4, and the fourth-order remainder: below 1e-8 of the terms
        assert energy == pytest.approx(work - 2 * force * s * moved, abs=1e-8 * size), name


def test_scale(many):
    """All lengths times c: same angle, contact force over c^2, land moment over c."""
    c = 7.3
    small, large = designs(), [c * v for v in designs()]
    big = solve_bend(*large)
    np.testing.assert_allclose(big.contact_angle, many.contact_angle, rtol=1e-12)
    one, other = forming_loads(many, 3.0), forming_loads(big, 3.0)
    np.testing.assert_allclose(other.contact_force, one.contact_force / c**2, rtol=1e-12)
    np.testing.assert_allclose(other.land_moment, one.land_moment / c, rtol=1e-12)
    np.testing.assert_allclose(big.enclosed_area, many.enclosed_area * c**2, rtol=1e-11)
    assert np.shape(small) == np.shape(large)


def test_areas_against_polygons(many):
    """Shoelace over the inner face from a fine outline.

    The outline's error is that of chords, length x (step)^2 x curvature / 12: 4001 stations leave 1e-7 of the area.
    """
    x, y = many.outline(4001)
    stations = np.linspace(0, 1, 4001) * many.free_length[:, None]
    th, h = many.tangent_angle(stations), 0.5 * many.sheet_thickness[:, None]
    xi, yi = x + h * np.sin(th), y - h * np.cos(th)

    def twice_under(u, v):  # area between curve and chord line, both halves
        return np.sum((u[:, 1:] - u[:, :-1]) * (v[:, 1:] + v[:, :-1]), axis=1)

    np.testing.assert_allclose(twice_under(xi, yi), many.enclosed_area, rtol=3e-7)
    np.testing.assert_allclose(xi[:, -1], many.mouth_position, rtol=1e-12)
    np.testing.assert_allclose(2 * yi[:, -1], many.mouth, rtol=1e-12)
    outer = y + h * np.cos(th)
    np.testing.assert_allclose(2 * outer.max(axis=1), many.outer_thickness, rtol=1e-12)


def test_the_parts_make_up_the_enclosed_area(many):
    """Hollow + potting + the rod's part behind the mouth plane (all of it unless it stands proud)."""
    radius = many.spacer_radius
    cut = np.clip((radius + many.setback) / radius, -1, 1)  # distance of the mouth plane from the centre, over R
    rod = radius**2 * (np.pi - np.arccos(cut) + cut * np.sqrt(1 - cut**2))
    np.testing.assert_allclose(many.void_area + many.front_area + rod, many.enclosed_area, rtol=1e-11)
    assert np.all(many.void_area > 0)
    assert np.all(many.front_area[many.setback >= 0] > 0)


def test_outline_is_the_integral_of_the_tangent_and_the_curvature_its_slope():
    bend = solve_bend(*LEEBOARD)
    nodes, weights = np.polynomial.legendre.leggauss(30)
    for s in (0.05, 0.15, 0.2, bend.contact_arclength):
        at = 0.5 * s * (nodes + 1)
        x, y = bend.outline(np.array([0.0, s]))
        assert x[1] - x[0] == pytest.approx(0.5 * s * np.sum(weights * np.cos(bend.tangent_angle(at))), rel=1e-12)
        assert y[1] - y[0] == pytest.approx(0.5 * s * np.sum(weights * np.sin(bend.tangent_angle(at))), rel=1e-12)
        turned = 0.5 * s * np.sum(weights * bend.curvature(at))
        # Gauss with 30 points on a curvature that ends like a straight line: 1e-6 at the contact, where theta'' jumps
        assert turned == pytest.approx(bend.tangent_angle(s) - bend.tangent_angle(0.0), rel=1e-6)
    assert bend.tangent_angle(0.0) == pytest.approx(0.0, abs=1e-15)
    assert bend.curvature(0.0) == pytest.approx(bend.land_curvature, rel=1e-14)
    ahead = np.linspace(bend.contact_arclength, bend.free_length, 5)
    np.testing.assert_array_equal(bend.curvature(ahead), 0.0)
    np.testing.assert_allclose(bend.tangent_angle(ahead), bend.contact_angle, rtol=1e-15)


def test_small_setback_geometry_by_hand():
    """Front of the rod, mouth plane and nose step from the definitions alone."""
    bend = solve_bend(0.2, 1e-3, 0.05, 0.0, -4e-3)
    x, y = bend.outline(2)
    corner = np.array([x[-1] - 0.5e-3 * np.sin(bend.contact_angle), y[-1] + 0.5e-3 * np.cos(bend.contact_angle)])
    centre = np.array([bend.spacer_position, 0.0])
    assert bend.nose_step == pytest.approx(np.hypot(*(corner - centre)) - bend.spacer_radius, rel=1e-10)
    assert bend.free_chord == bend.spacer_position + bend.spacer_radius
    assert solve_bend(*LEEBOARD).nose_step == 0.0
    assert solve_bend(*LEEBOARD).free_chord == pytest.approx(solve_bend(*LEEBOARD).mouth_position, rel=1e-15)


# --- the lower branch and its end -----------------------------------------------------------------------------------


def scanned(length, t, g, e, angles):
    """R of the explicit curve R(theta), from its definition in `elastica` terms (Legendre's form), without `branch`."""
    i0, i1, x = elastica.arclength(angles), elastica.across(angles), elastica.along(angles)
    s, c = np.sin(angles), np.cos(angles)
    lift = (x * s - i1 * c) / i0  # rise = lift * s_c; then one linear equation for R
    return (lift * (length - e / c) + 0.5 * (t + g) - 0.5 * t * c) / (c + lift * (1 + s) / c)


def test_the_smallest_root_is_returned(many):
    angles = np.linspace(1e-4, np.pi / 2 - 1e-4, 3001)
    length, t, d, g, e = (np.asarray(v)[:, None] for v in designs())
    above = scanned(length, t, g, e, angles) > 0.5 * d
    first = angles[np.argmax(above, axis=1)]
    assert np.all(above.any(axis=1))
    step = angles[1] - angles[0]
    assert np.all((many.contact_angle <= first + 1e-12) & (many.contact_angle >= first - step - 1e-12))


def test_there_is_a_second_equilibrium_and_it_is_not_returned():
    length, t, d, g, e = LEEBOARD
    bend = solve_bend(*LEEBOARD)
    deep = brentq(lambda th: scanned(length, t, g, e, th) - 0.5 * d, 0.5, 1.57)
    assert scanned(length, t, g, e, deep) == pytest.approx(0.5 * d)
    assert deep > 10 * bend.contact_angle


@pytest.mark.parametrize(("g", "e"), [(0.0, 0.0), (0.3e-3, 3e-3), (1e-3, -1e-3)])
def test_the_angle_grows_steadily_with_the_spacer(g, e):
    most = greatest_spacer(0.2, g, e, 2e-3)
    start = max(g, 0.0) + (1e-9 if e >= 0 else 2e-3)
    d = np.linspace(start, most * (1 - 1e-12), 5001)
    bend = solve_bend(0.2, 2e-3, d, g, e)
    angle = bend.contact_angle
    assert np.all(bend.feasible)
    assert np.all(np.diff(angle) > 0)
    assert np.all(np.diff(angle)[:-500] < 0.002)
    if e >= 0:
        assert angle[0] < 1e-6  # from the bond line on
        assert angle[-1] < np.radians(46.01)


def test_greatest_spacer_of_a_thin_sheet():
    """Two pure numbers, derived here: a scan of R(theta), and 30-digit quadrature with a root of the slope."""
    angles = np.linspace(0.75, 0.77, 2001)
    curve = scanned(1.0, 0.0, 0.0, 0.0, angles)
    assert 0.5 * greatest_spacer(1.0) == pytest.approx(curve.max(), rel=1e-9)
    assert 0.5 * greatest_spacer(1.0) == pytest.approx(0.258556555556349, rel=1e-14)
    at_fold = solve_bend(1.0, 1e-12, greatest_spacer(1.0) * (1 - 1e-14))
    # a relative 1e-14 below the maximum the angle lies about sqrt(1e-14) below, times a factor of order one
    assert np.degrees(at_fold.contact_angle) == pytest.approx(43.44681315606, abs=1e-4)
    assert np.degrees(angles[curve.argmax()]) == pytest.approx(43.4468, abs=6e-4)  # the step of the scan


def test_near_the_greatest_spacer_the_record_says_so():
    most = solve_bend(*LEEBOARD).greatest_spacer
    share = np.array([0.3, 0.9, 0.999, 1 - 1e-6, 1 - 1e-10])
    bend = solve_bend(0.225, 2e-3, share * most, 0.3e-3, 3e-3)
    np.testing.assert_array_equal(bend.near_fold, [False, False, True, True, True])
    assert np.all(np.diff(bend.condition) > 0)
    nudged = solve_bend(0.225, 2e-3, share * most * (1 + 1e-9), 0.3e-3, 3e-3)
    moved = (nudged.contact_angle / bend.contact_angle - 1)[:3] / 1e-9
    opening = (share * most - 0.3e-3) / (share * most)  # relative change of opening is a little larger than that of d
    np.testing.assert_allclose(moved, (bend.condition / opening)[:3], rtol=1e-4)
    assert solve_bend(*LEEBOARD).near_fold is False


def test_a_thick_sheet_ends_the_branch_at_the_land():
    """Little room and a thick sheet: the contact reaches the land end before the curve R(theta) turns."""
    length, t, e = 1.0, 0.6, 0.97
    most = greatest_spacer(length, 0.0, e, t)
    last = solve_bend(length, t, most * (1 - 1e-6), 0.0, e)
    assert 0 < last.contact_arclength < 1e-4 * length
    with pytest.raises(InfeasibleBend, match="greatest one"):
        solve_bend(length, t, most * (1 + 1e-6), 0.0, e)


# --- refusals -------------------------------------------------------------------------------------------------------

BAD = {
    branch.TOO_SMALL: (0.225, 2e-3, 0.3e-3, 0.3e-3, 0.0),
    branch.TOO_LARGE: (0.225, 2e-3, 0.13, 0.3e-3, 3e-3),
    branch.NO_FREE_SHEET: (0.225, 2e-3, 18e-3, 0.3e-3, 0.3),
    branch.OFF_THE_SHEET: (0.225, 2e-3, 18e-3, 0.3e-3, -17e-3),
    branch.NOT_A_LENGTH: (-0.225, 2e-3, 18e-3, 0.3e-3, 0.0),
}


def test_every_reason_is_reached_and_leaves_no_number():
    bend = solve_bend(*np.array([LEEBOARD, *BAD.values(), (np.nan, 2e-3, 18e-3, 0, 0), (np.inf, 2e-3, 18e-3, 0, 0)]).T)
    expected = [branch.OK, *BAD, branch.NOT_A_LENGTH, branch.NOT_A_LENGTH]
    np.testing.assert_array_equal(bend.reason_code, expected)
    np.testing.assert_array_equal(bend.reason, [REASONS[code] for code in expected])
    np.testing.assert_array_equal(bend.feasible, np.array(expected) == branch.OK)
    for name in [n for n in SOLVED if n != "greatest_spacer"] + list(DERIVED):
        np.testing.assert_array_equal(np.isnan(getattr(bend, name)), ~bend.feasible, err_msg=name)
    assert not np.any(bend.near_fold[1:])
    np.testing.assert_array_equal(np.isnan(bend.greatest_spacer), [0, 0, 0, 1, 0, 1, 1, 1])
    x, y = bend.outline(np.zeros((8, 3)))
    assert np.all(np.isnan(x[1:]) & np.isnan(y[1:])) and np.all(np.isfinite(x[0]))


def test_a_search_that_has_not_settled_gives_no_number(monkeypatch):
    monkeypatch.setattr(branch, "MAX_STEPS", 1)
    bend = solve_bend([0.2], 2e-3, 0.08, 0.0, 0.0)
    assert bend.reason_code[0] == branch.NOT_SOLVED
    assert np.isnan(bend.contact_angle[0])
    with pytest.raises(InfeasibleBend, match="not solved"):
        solve_bend(0.2, 2e-3, 0.08)


@pytest.mark.parametrize(
    ("code", "quantity"),
    [
        (branch.TOO_SMALL, "spacer diameter 0.3000 mm.*bond line, 0.3000 mm"),
        (branch.TOO_LARGE, "spacer diameter 130.0 mm.*at most.*free length of at least"),
        (branch.NO_FREE_SHEET, "setback 300.0 mm.*setback of at most.*free length of at least"),
        (branch.OFF_THE_SHEET, "setback −17.00 mm.*must be at least −"),
        (branch.NOT_A_LENGTH, "free length is −225 mm: give a positive number"),
    ],
)
def test_the_sentence_names_the_quantity(code, quantity):
    kind = ValueError if code == branch.NOT_A_LENGTH else InfeasibleBend
    with pytest.raises(kind, match=quantity):
        solve_bend(*BAD[code])


def refused(count):
    """Infeasible designs over the whole range that a `Design` allows, with their sentences."""
    rng = np.random.default_rng(5)
    length, t, d, g, e = (
        np.exp(rng.uniform(np.log(low), np.log(high), count))
        for low, high in ((5e-3, 5), (5e-5, 50e-3), (1e-4, 2), (1e-6, 20e-3), (1e-4, 1))
    )
    g, e = g * rng.integers(0, 2, count), e * rng.integers(-1, 2, count)
    for i in np.flatnonzero(~solve_bend(length, t, d, g, e).feasible):
        design = tuple(float(v[i]) for v in (length, t, d, g, e))
        with pytest.raises(InfeasibleBend) as caught:
            solve_bend(*design)
        yield design, str(caught.value)


REMEDIES = {
    "setback": (4, (r"setback of at most (−?[\d.]+) mm", r"must be at least (−?[\d.]+) mm for")),
    "free length": (0, (r"free length of at least ([\d.]+) mm",)),
    "spacer": (2, (r"sheets take, ([\d.]+) mm",)),
}


def test_the_amounts_in_the_sentences_are_right():
    """Each remedy, taken as printed, makes the design feasible."""
    tried = dict.fromkeys(REMEDIES, 0)
    for design, text in refused(250):
        for name, (at, patterns) in REMEDIES.items():
            for found in filter(None, (re.search(p, text) for p in patterns)):
                value = float(found[1].replace("−", "-")) * 1e-3
                assert solve_bend(*design[:at], value, *design[at + 1 :]).feasible, (design, text)
                tried[name] += 1
        assert sum(tried.values()) or "bond line" in text
    assert min(tried.values()) > 5


def test_the_remedies_are_not_wasteful():
    """A little beyond the printed bound the design is still refused: it is the bound, not just some safe number."""
    length, t, d, g, e = BAD[branch.TOO_LARGE]
    with pytest.raises(InfeasibleBend) as caught:
        solve_bend(length, t, d, g, e)
    most = float(re.search(r"take, ([\d.]+) mm", str(caught.value))[1]) * 1e-3
    longer = float(re.search(r"at least ([\d.]+) mm", str(caught.value))[1]) * 1e-3
    for worse in ((length, t, most * 1.001, g, e), (longer * 0.999, t, d, g, e)):
        with pytest.raises(InfeasibleBend):
            solve_bend(*worse)


@pytest.mark.parametrize("at", range(5))
@pytest.mark.parametrize("value", [float("nan"), float("inf"), None])
def test_a_single_design_refuses_what_is_no_number(at, value):
    with pytest.raises(ValueError, match="give (finite numbers|a finite number|a positive number|zero or more), in mm"):
        solve_bend(*LEEBOARD[:at], value, *LEEBOARD[at + 1 :])


# --- arrays ---------------------------------------------------------------------------------------------------------


def test_single_designs_equal_the_array(many):
    for i, design in enumerate(zip(*designs(), strict=True)):
        one = solve_bend(*(float(v) for v in design))
        assert isinstance(one.contact_angle, float) and isinstance(one.feasible, bool) and one.reason == ""
        for name in SOLVED + DERIVED:
            value = getattr(one, name)
            assert isinstance(value, float), name
            # a chunk stops when its slowest design has settled, so others may take one step more: rounding only, except
            # for the condition, whose slope is that of the step before
            assert value == pytest.approx(getattr(many, name)[i], rel=1e-6 if name == "condition" else 1e-12), name


@pytest.mark.parametrize("size", [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 2 * CHUNK, 2 * CHUNK + 3])
def test_chunk_boundaries(size):
    d = np.linspace(1e-3, 60e-3, size)
    bend = solve_bend(0.225, 2e-3, d, 0.3e-3, 3e-3)
    assert bend.contact_angle.shape == (size,) and np.all(bend.feasible)
    edges = [i for i in (0, CHUNK - 1, CHUNK, size - 1) if 0 <= i < size]
    few = solve_bend(0.225, 2e-3, d[edges], 0.3e-3, 3e-3)
    np.testing.assert_allclose(bend.contact_angle[edges], few.contact_angle, rtol=1e-13)
    assert np.all(np.diff(bend.contact_angle) > 0)


def test_the_chunk_size_does_not_matter(monkeypatch, many):
    monkeypatch.setattr(bend_module, "CHUNK", 7)
    again = solve_bend(*designs())
    np.testing.assert_allclose(again.contact_angle, many.contact_angle, rtol=1e-13)
    np.testing.assert_allclose(greatest_spacer(*(designs()[i] for i in (0, 3, 4, 1))), many.greatest_spacer, rtol=1e-13)


def test_broadcasting_and_layouts():
    length = np.linspace(0.15, 0.3, 4)[:, None, None]
    d = np.linspace(5e-3, 30e-3, 6)[::-1][None, :, None]
    e = np.array([-1e-3, 0.0, 5e-3])
    bend = solve_bend(length, 2e-3, d, 0.3e-3, e)
    assert bend.shape == (4, 6, 3)
    for name in ("free_length", "bond_line", *SOLVED, *DERIVED, "reason_code", "reason", "feasible", "near_fold"):
        assert np.shape(getattr(bend, name)) == (4, 6, 3), name
    assert bend.contact_angle[2, 4, 1] == pytest.approx(
        solve_bend(float(length[2, 0, 0]), 2e-3, float(d[0, 4, 0]), 0.3e-3, 0.0).contact_angle, rel=1e-13
    )
    full = [np.broadcast_to(v, (4, 6, 3)).copy() for v in (length, 2e-3, d, 0.3e-3, e)]
    layouts = {
        "Fortran order": [np.asfortranarray(v) for v in full],
        "strided": [np.repeat(v, 2, axis=-1)[..., ::2] for v in full],
        "reversed": [v[::-1].copy()[::-1] for v in full],
        "transposed": [v.T.copy().T for v in full],
        "lists": [v.tolist() for v in full],
    }
    for name, given in layouts.items():
        np.testing.assert_allclose(solve_bend(*given).contact_angle, bend.contact_angle, rtol=1e-13, err_msg=name)


@pytest.mark.parametrize("shape", [(0,), (0, 3), (2, 0, 4)])
def test_empty_arrays(shape):
    bend = solve_bend(np.full(shape, 0.2), 2e-3, 18e-3)
    assert bend.shape == shape
    for name in SOLVED + DERIVED:
        assert np.shape(getattr(bend, name)) == shape
    assert bend.reason.shape == shape
    assert bend.outline(5)[0].shape == (*shape, 5)
    assert greatest_spacer(np.full(shape, 0.2)).shape == shape


def test_zero_dimensional_and_size_one():
    plain = solve_bend(*LEEBOARD)
    for given in ([np.array(v) for v in LEEBOARD], [np.float64(v) for v in LEEBOARD]):
        bend = solve_bend(*given)
        assert isinstance(bend.contact_angle, float) and bend.contact_angle == plain.contact_angle
    for shape in ((1,), (1, 1)):
        bend = solve_bend(np.full(shape, 0.225), *LEEBOARD[1:])
        assert bend.contact_angle.shape == shape and bend.contact_angle.item() == plain.contact_angle
        assert bend.reason.shape == shape
    assert isinstance(greatest_spacer(*(np.array(v) for v in (0.2, 0.0, 0.0))), float)


def test_arrays_that_do_not_go_together():
    with pytest.raises(ValueError, match="do not go together"):
        solve_bend(np.ones(3), 1e-3, np.ones(4))


def test_the_record_does_not_change_with_the_callers_arrays():
    length = np.full(3, 0.225)
    bend = solve_bend(length, *LEEBOARD[1:])
    length[:] = 1.0
    assert np.all(bend.free_length == 0.225)
    with pytest.raises(ValueError, match="read-only"):
        bend.contact_angle[0] = 0.0
    with pytest.raises(AttributeError):
        bend.contact_angle = 0.0


def test_stations_of_several_shapes():
    two = solve_bend(np.array([0.225, 0.3]), *LEEBOARD[1:])
    ones = [solve_bend(length, *LEEBOARD[1:]) for length in (0.225, 0.3)]
    same = np.array([0.01, 0.1, 0.2])
    own = same * np.array([[1.0], [1.2]])

    def check(stations, expected):
        for name in ("tangent_angle", "curvature"):
            found = getattr(two, name)(stations)
            wanted = [getattr(one, name)(s) for one, s in zip(ones, expected, strict=True)]
            np.testing.assert_allclose(found, wanted, rtol=1e-12)
        x, y = two.outline(stations) if np.ndim(stations) else two.outline(np.full(2, stations))
        wanted = np.array(
            [one.outline(np.asarray(s)[None] if np.ndim(s) == 0 else s) for one, s in zip(ones, expected, strict=True)]
        )
        np.testing.assert_allclose(x, np.reshape(wanted[:, 0], np.shape(x)), rtol=1e-12)
        np.testing.assert_allclose(y, np.reshape(wanted[:, 1], np.shape(y)), rtol=1e-12)

    check(0.1, (0.1, 0.1))  # one number for all
    check(np.array([0.1, 0.2]), (0.1, 0.2))  # one station each
    check(same[None], (same, same))  # a shared row
    check(own, own)  # a row each
    x, y = two.outline(11)
    assert x.shape == y.shape == (2, 11)
    np.testing.assert_allclose(x[1], ones[1].outline(11)[0], rtol=1e-12)
    grid = solve_bend(np.full((2, 3), 0.225), *LEEBOARD[1:])
    assert grid.outline(4)[0].shape == (2, 3, 4)
    assert ones[0].outline(0.9 * own)[0].shape == (2, 3)  # a single design takes stations of any shape


@pytest.mark.parametrize("shape", [(3,), (3, 2), (2, 4, 2), (4, 2)])
def test_stations_that_do_not_fit_are_refused(shape):
    two = solve_bend(np.array([0.225, 0.3]), *LEEBOARD[1:])
    with pytest.raises(ValueError, match="do not go with designs"):
        two.curvature(np.full(shape, 0.1))


@pytest.mark.parametrize("stations", [0, 1, -3, 2.5, float("nan"), float("inf")])
def test_senseless_numbers_of_stations(stations):
    with pytest.raises(ValueError, match="whole number of at least 2"):
        solve_bend(*LEEBOARD).outline(stations)


@pytest.mark.parametrize("arclength", [-0.001, 0.226])
def test_stations_off_the_sheet(arclength):
    with pytest.raises(ValueError, match="not on the sheet"):
        solve_bend(*LEEBOARD).curvature(np.array([0.1, arclength]))


# --- the solver's own parts ---------------------------------------------------------------------------


@pytest.mark.parametrize("angle", [1e-3, 0.3, 0.9, 1.5])
def test_slopes_of_the_opening_curve_are_those_of_complex_steps(angle):
    """Of numerator and denominator, and of their slopes; a wrong second slope would only make the search longer."""
    curve = branch.OpeningCurve(0.93, 0.04, 0.11)
    num, den, num1, den1, num2, den2 = curve._parts(angle, True)
    moved = curve._parts(angle + 1e-30j, True)
    by_steps = np.imag(moved[:4]) / 1e-30
    assert by_steps == pytest.approx([num1, den1, num2, den2], rel=1e-12, abs=1e-14)
    assert curve.parts(angle) == (num, den, num1, den1)


def test_what_is_nothing_is_no_length():
    """In arrays; a bond line may be nothing, a setback too."""
    given = np.tile(np.array(LEEBOARD)[:, None], 6)
    given[np.arange(5), np.arange(5)] = 0.0
    codes = solve_bend(*given).reason_code
    assert codes.tolist() == [branch.NOT_A_LENGTH] * 3 + [branch.OK] * 3
