"""The framed sheet at large deflection: second road of the arch, signs, limits, work, convergence, words, refusals."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from day_and_night import NIGHTLY, by_day
from roads import shallow_arch

from panelmech.mechanics import framed_sheet, load_curve, press, press_large, solve_bend
from panelmech.mechanics.forming import forming_loads
from panelmech.mechanics.large_deflection import forming_force, large_loading
from panelmech.mechanics.shell import COARSER
from panelmech.mechanics.shell_fields import difference, largest_on_grid
from panelmech.mechanics.shell_large import EdgeGive
from panelmech.mechanics.shell_model import (
    CURVATURE_NODES,
    Edge,
    Edges,
    FramedSheet,
    even_pressure,
    framed_edges,
    hydrostatic_along_span,
    point_force,
)
from panelmech.mechanics.shell_path import follow

FEW = (8, 10)  # degrees, where the question is not how well they converge
HINGED, FREE = Edge("supported", "held"), Edge("free", "free")
MODULUS, THICKNESS, LENGTH = 70e9, 0.001, 0.2
ARCH = dict(bending=MODULUS * THICKNESS**3 / 12, stretching=MODULUS * THICKNESS, length=LENGTH)


@cache
def panel(thickness=0.002, spacer=0.018, span=0.5, in_plane="diaphragm", land="clamped"):
    bend = solve_bend(0.225, thickness, spacer, 0.0003, 0.003)
    return framed_sheet(bend, span, 0.012, 18.6e9, 0.175, framed_edges(land, in_plane=in_plane))


def arch(rise, width=LENGTH):
    """A sheet that bends over its length alone: free frames, no Poisson's ratio."""
    return FramedSheet(LENGTH, width, THICKNESS, MODULUS, 0.0, 8 * rise / LENGTH**2, Edges(HINGED, HINGED, FREE, FREE))


# --- the arch, a second road ---------------------------------------------------------------------------------------


@by_day(("rise", "share"), [(r, s) for r in (0.0, 0.002, 0.006) for s in (0.1, 0.5, 0.9)], (0.002, 0.5))
def test_before_its_limit_it_is_the_arch(rise, share):
    """2e-9 is the larger of the tails of the series (4,000 terms) and the polynomials of degree 16."""
    kappa = 8 * rise / LENGTH**2
    if rise:
        force = share * shallow_arch.limit(kappa=kappa, **ARCH)[1]
    else:  # a flat strip under tension
        force = share * 5000.0
    pressure, middle = shallow_arch.supported(force, kappa=kappa, **ARCH)[0 if rise else 1]
    result = press_large(arch(rise), even_pressure(pressure), degrees=(16, 6))
    assert result.middle_deflection == pytest.approx(middle, rel=1e-8)


@by_day("rise", [0.0012, 0.002, 0.003, 0.004], 0.002)
def test_limit_and_branching_of_the_arch(rise):
    """The limit to what its place is found to; the antisymmetric shape joins exactly where N is four times Euler's."""
    kappa = 8 * rise / LENGTH**2
    limit, force = shallow_arch.limit(kappa=kappa, **ARCH)
    four_euler = 4 * np.pi**2 * ARCH["bending"] / LENGTH**2
    curve = load_curve(arch(rise), even_pressure(1.2 * limit), degrees=(12, 6))
    assert curve.first_limit.size == pytest.approx(limit, rel=2e-6)
    assert curve.last.snapped
    if -force > four_euler:
        joins = shallow_arch.supported(-four_euler, kappa=kappa, **ARCH)[0][0]
        assert curve.first_branching.size == pytest.approx(joins, rel=1e-6)
    else:
        assert curve.first_branching is None


@by_day("pressure", [-5000.0, 3000.0, 8000.0], 3000.0)
def test_real_curvature_and_a_clamped_land_by_collocation(pressure):
    """Curvature as the bend has it, land clamped; 1e-7 is what degree 16 leaves."""
    bend = solve_bend(0.225, 0.002, 0.03, 0.0003, 0.003)
    edges = Edges(Edge("clamped", "held"), HINGED, FREE, FREE)
    sheet = framed_sheet(bend, 0.2, 0.0, 18.6e9, 0.0, edges)
    x, w, _ = shallow_arch.by_collocation(
        pressure, sheet.bending_stiffness, 18.6e9 * 0.002, sheet.length, bend.curvature
    )
    result = press_large(sheet, even_pressure(pressure), degrees=(16, 6))
    assert result.deflection(x, 0.1) == pytest.approx(w, abs=1e-7 * np.abs(w).max())


@by_day("spring", [1e7, 1e8, 1e9], 1e8)
def test_an_end_on_springs_is_that_of_the_arch(spring):
    kappa = 8 * 0.002 / LENGTH**2
    edges = Edges(HINGED, Edge("supported", "free"), FREE, FREE)
    sheet = arch(0.002).with_edges(edges)
    pressure, middle = shallow_arch.supported(-500.0, kappa=kappa, spring=spring, **ARCH)[0]
    result = press_large(sheet, even_pressure(pressure), EdgeGive(rod=spring), degrees=(16, 6))
    assert result.middle_deflection == pytest.approx(middle, rel=1e-8)


# --- limits, signs, work -------------------------------------------------------------------------------------------


@by_day("in_plane", ["diaphragm", "held"], "held")
def test_a_small_load_is_the_linear_sheet(in_plane):
    """What is left is of second order in the deflection, and the linear model's own error."""
    sheet, load = panel(in_plane=in_plane), even_pressure(1.0)
    linear, large = press(sheet, load), press_large(sheet, load)
    nonlinear = 10 * abs(linear.largest_deflection) / sheet.thickness
    assert nonlinear < 0.01
    for name in ("largest_deflection", "middle_deflection"):
        assert getattr(large, name) == pytest.approx(getattr(linear, name), rel=nonlinear)
    assert large.linear_deflection == pytest.approx(linear.largest_deflection, rel=linear.error)
    for face in ("outer_face", "inner_face", "membrane", "bending"):
        assert getattr(large, face).value == pytest.approx(getattr(linear, face).value, rel=nonlinear)
    place = (0.3 * sheet.length, 0.4 * sheet.width)
    assert large.moments(*place) == pytest.approx(linear.moments(*place), rel=nonlinear)


def test_towards_the_centre_of_curvature_it_gives_first():
    """Outward more, inward less than the linear answer, where the edges are held and the sheet is an arch."""
    sheet = panel(0.003, in_plane="held")
    outward, inward = (press_large(sheet, even_pressure(p), degrees=FEW) for p in (4000.0, -4000.0))
    assert outward.largest_deflection > 1.2 * outward.linear_deflection > 0.0
    assert 0.0 > inward.largest_deflection > 0.9 * inward.linear_deflection
    assert outward.stable
    assert inward.stable


def test_the_mirrored_sheet_under_the_mirrored_load():
    """Curvature and load turned round: the deflection turns round, faces change places; a flat sheet knows no side."""
    sheet = panel(in_plane="held")
    turned = replace(sheet, curvature=-sheet.curvature_values)
    one = press_large(sheet, even_pressure(3000.0), degrees=FEW)
    other = press_large(turned, even_pressure(-3000.0), degrees=FEW)
    assert other.largest_deflection == pytest.approx(-one.largest_deflection, rel=1e-9)
    assert other.inner_face.value == pytest.approx(one.outer_face.value, rel=1e-9)
    flat = sheet.flat()
    up, down = (press_large(flat, even_pressure(p), degrees=FEW).largest_deflection for p in (3000.0, -3000.0))
    assert up == pytest.approx(-down, rel=1e-9)


@by_day("far_end", ["land", "frame"], "frame")
def test_the_other_end_first(far_end):
    """The sheet seen from its other end: curvature, edges and load in reverse."""
    sheet = panel()
    e = Edges(Edge("clamped"), Edge(), Edge("clamped"), Edge())
    sheet = sheet.with_edges(e)
    if far_end == "land":
        back = replace(
            sheet, curvature=sheet.curvature_values[::-1], edges=Edges(e.rod, e.land, e.near_frame, e.far_frame)
        )
        loads = even_pressure(2000.0), even_pressure(2000.0)
    else:
        back = sheet.with_edges(Edges(e.land, e.rod, e.far_frame, e.near_frame))
        loads = hydrostatic_along_span(2000.0, "far"), hydrostatic_along_span(2000.0, "near")
    one, other = (press_large(s, q, degrees=(10, 12)) for s, q in zip((sheet, back), loads, strict=True))
    assert other.largest_deflection == pytest.approx(one.largest_deflection, rel=1e-8)
    x, y = one.largest_at
    mirrored = (sheet.length - x, y) if far_end == "land" else (x, sheet.width - y)
    assert other.largest_at == pytest.approx(mirrored, rel=1e-5)


def work_done(loading, step):
    """(work over the path, energy at its end) over D11, by straight lines between points `step` apart."""
    points = follow(loading, step, step, 50.0).points
    shares, moved = (
        np.array(v) for v in zip(*((p.share, loading.load @ p.state.amplitudes) for p in points), strict=True)
    )
    return np.sum(0.5 * (shares[1:] + shares[:-1]) * np.diff(moved)), points[-1].state.energy


@by_day("in_plane", ["held", "diaphragm"], "held")
def test_work_along_the_path_is_the_energy(in_plane):
    """Past both limits where edges are held. Straight lines miss by the square of the step: from two of them the rest
    is of its fourth power."""
    sheet = panel(0.001, 0.022, 0.85, in_plane)
    loading, _, _ = large_loading(sheet, even_pressure(300.0), None, (8, 10), None)
    (rough, energy), (fine, _) = (work_done(loading, step) for step in (0.2, 0.1))
    assert fine == pytest.approx(energy, rel=0.01)
    assert (4 * fine - rough) / 3 == pytest.approx(energy, rel=1e-3)


def test_the_curve_is_what_single_loads_say():
    sheet = panel(0.001, 0.022, 0.35, "held")
    curve = load_curve(sheet, even_pressure(2500.0), degrees=FEW)
    for k in (1, 3, len(curve.sizes) - 1):
        single = press_large(sheet, even_pressure(curve.sizes[k]), degrees=FEW)
        assert single.largest_deflection == pytest.approx(curve.largest[k], rel=1e-7)
        assert (single.energy, single.moved) == pytest.approx((curve.energy[k], curve.moved[k]), rel=1e-7)
        assert single.middle_deflection == pytest.approx(curve.middle[k], rel=1e-7)
    assert np.all(curve.stable)
    assert curve.first_limit is None
    assert curve.first_branching is None


def snapping():
    return panel(0.001, 0.022, 0.85, "held")


def test_just_below_the_limit_it_stays_and_just_above_it_snaps():
    """Limits 3 % apart in load: long steps must not pass both."""
    curve = load_curve(snapping(), even_pressure(300.0), degrees=FEW)
    first = curve.first_limit
    far, below, above = (
        press_large(snapping(), even_pressure(share * first.size), degrees=FEW) for share in (0.9996, 0.9999, 1.0001)
    )
    assert below.stable
    assert above.stable
    assert (below.snapped, above.snapped) == (False, True)
    assert below.largest_deflection < first.largest_deflection < 0.6 * above.largest_deflection
    # at a limit the deflection falls short by the root of what the load falls short
    gaps = [first.largest_deflection - one.largest_deflection for one in (far, below)]
    assert gaps[0] / gaps[1] == pytest.approx(2.0, rel=0.05)
    assert not np.all(curve.stable)
    assert curve.last.stable
    assert curve.last.snapped
    assert first.deflection(*first.largest_at) == pytest.approx(first.largest_deflection)


def test_more_functions_change_little_and_the_error_says_how_much():
    sheet, load = panel(0.001, 0.022, 0.35, "held"), even_pressure(2500.0)
    rough, usual, fine = (press_large(sheet, load, degrees=d) for d in ((8, 8), (12, 12), (16, 16)))
    off = [abs(one.largest_deflection / fine.largest_deflection - 1) for one in (rough, usual)]
    assert off[1] < off[0] / 10
    assert off[0] < rough.error
    assert off[1] < usual.error < 1e-3
    assert usual.outer_face.value == pytest.approx(fine.outer_face.value, rel=0.002)


def test_the_error_is_how_far_off_a_coarser_model_is():
    """Both solved from rest; so far from each other that one Newton step does not lead from the one to the other."""
    sheet, load = panel(0.0007, 0.022, 0.35, "held"), even_pressure(15000.0)
    fine, coarse = (press_large(sheet, load, degrees=(d, d)) for d in (8, 8 - COARSER))
    apart = largest_on_grid(difference(fine.deflection, coarse.deflection))
    assert fine.error == pytest.approx(apart / abs(fine.largest_deflection), rel=1e-3)


def test_forces_and_strains_are_those_of_the_fields():
    """Membrane strain by differences of the fields themselves; the peak is nowhere passed on a fine grid."""
    sheet = panel(in_plane="held")
    result = press_large(sheet, even_pressure(8000.0), degrees=FEW)
    x, y, step = 0.31 * sheet.length, 0.27 * sheet.width, 1e-5
    u, v, w = result.displacements

    def slope(f, dx, dy):
        return (f(x + dx * step, y + dy * step) - f(x - dx * step, y - dy * step)) / (2 * step)

    wx, wy = slope(w, 1, 0), slope(w, 0, 1)
    kappa = np.interp(
        x, 0.5 * sheet.length * (1 + np.polynomial.legendre.leggauss(CURVATURE_NODES)[0]), sheet.curvature_values
    )
    by_hand = (
        slope(u, 1, 0) - kappa * w(x, y) + 0.5 * wx**2,
        slope(v, 0, 1) + 0.5 * wy**2,
        slope(u, 0, 1) + slope(v, 1, 0) + wx * wy,
    )
    membrane, bending = result.strains(x, y)
    assert membrane == pytest.approx(by_hand, rel=1e-4, abs=1e-8)  # the curvature is read between stations
    assert bending[0] == pytest.approx(-0.5 * sheet.thickness * w.derivative(2, 0)(x, y))
    grid = np.meshgrid(np.linspace(0, sheet.length, 60), np.linspace(0, sheet.width, 60))
    for sign, face in ((1, result.outer_face), (-1, result.inner_face)):
        middle, bent = result.strains(*grid)
        ex, ey, shear = middle + sign * bent
        largest = np.max(np.abs(0.5 * (ex + ey)) + np.hypot(0.5 * (ex - ey), 0.5 * shear))
        assert largest <= abs(face.value) * (1 + 1e-12)
        assert largest == pytest.approx(abs(face.value), rel=0.02)


@pytest.mark.parametrize("force", [30.0, pytest.param(-30.0, marks=NIGHTLY)])
def test_a_force_off_the_middle_of_the_span(force):
    """It excites both parities: all functions together; under a small force the linear answer of the same functions."""
    sheet, at = panel(), dict(x=0.1, y=0.12, footprint=0.02)
    small = press_large(sheet, point_force(force / 300, **at), degrees=(10, 12))
    linear = press(sheet, point_force(force / 300, **at), degrees=(10, 12))
    assert small.deflection(0.1, 0.12) == pytest.approx(linear.displacements[2](0.1, 0.12), rel=0.01)
    large = press_large(sheet, point_force(force, **at), degrees=(10, 12))
    assert 0.0 < large.middle_deflection / force < 300 * 1.2 * linear.middle_deflection / force


# --- what forming leaves, words, refusals --------------------------------------------------------------------------


def test_the_force_that_forming_leaves():
    """At the land it is the contact force's part along the chord; between them compression falls to none; as stated,
    it changes little."""
    bend = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
    sheet = panel()
    force = forming_force(bend, sheet.bending_stiffness)
    contact = forming_loads(bend, sheet.bending_stiffness).contact_force
    assert force[0] == pytest.approx(-contact * np.sin(bend.contact_angle), rel=1e-2)  # the first station is near 0
    assert np.all(np.diff(force) > 0.0)
    assert np.all(force < 0.0)
    without, along = (press_large(sheet, even_pressure(2000.0), formed=f, degrees=FEW) for f in (None, force))
    assert along.largest_deflection == pytest.approx(without.largest_deflection, rel=0.01)
    assert along.largest_deflection > without.largest_deflection  # compression makes it softer
    assert not any("left by forming" in note for note in along.notes)
    assert any("left by forming" in note for note in without.notes)


def test_no_load_no_answer_but_rest():
    result = press_large(panel(), even_pressure(0.0))
    assert (result.largest_deflection, result.energy, result.moved, result.error) == (0.0, 0.0, 0.0, 0.0)
    assert result.stable
    assert len(load_curve(panel(), even_pressure(0.0)).sizes) == 1


def test_what_is_too_much_is_said_and_how_much_is_not():
    sheet = panel()
    with pytest.raises(ValueError, match=r"under 1e\+08 Pa .*too large for a shallow sheet; give no more than") as told:
        press_large(sheet, even_pressure(1e8), degrees=FEW)
    reached = float(str(told.value).split("than the ")[1].split(" Pa")[0])
    assert 1e4 < reached < 1e8
    steep = press_large(sheet, even_pressure(0.9 * reached), degrees=FEW)
    assert steep.stable
    assert any("slopes by up to" in note for note in steep.notes)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (dict(degrees=(4, 10)), "degree is 4"),
        (dict(degrees=(26, 10)), "degree is 26"),
        (dict(degrees=12), "degrees are 12"),
        (dict(formed=np.zeros(5)), "came with shape"),
        (dict(formed=np.full(CURVATURE_NODES, np.nan)), "force left by forming"),
        (dict(formed=np.full(CURVATURE_NODES, -1e9), degrees=FEW), "buckles under the force that forming leaves"),
        (dict(load=point_force(1.0, 9.0, 0.1)), "does not lie on the free sheet"),
    ],
)
def test_refusals(changes, words):
    with pytest.raises(ValueError, match=words):
        press_large(panel(), **changes)


def test_a_spring_at_a_held_edge_is_refused():
    with pytest.raises(ValueError, match="held both ways"):
        load_curve(panel(in_plane="held"), give=EdgeGive(land=1e6))


def test_a_bend_that_is_none_leaves_no_force():
    with pytest.raises(ValueError):
        forming_force(solve_bend(0.225, 0.002, np.array([0.018, 0.02]), 0.0003, 0.003), 12.0)
