"""The chordwise strip: small loads against the exact solver, that solver against scipy and recomputed values."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from day_and_night import examples
from hypothesis import given
from hypothesis import strategies as st
from roads.strip_exact import StripProblem, liftoff_pressure, problem_from_bend, solve_strip
from roads.wedge_strip import wedge_contact, wedge_strip_response
from scipy.integrate import solve_bvp
from scipy.optimize import brentq

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.collocation import panels
from panelmech.mechanics.strip import (
    FRONTS,
    LANDS,
    MOTIONS,
    StripLoad,
    StripNotSolved,
    Support,
    even_strip_pressure,
    flat_strip_response,
    point_load,
    strip_response,
    triangular_pressure,
)

D = 100.0  # N m: about 3 mm of plywood
JIG = Support("clamped", "resting", "held")
SUPPORTS = [Support(*words) for words in product(LANDS, FRONTS, MOTIONS) if words != ("hinged", "resting", "free")]
LOADS = [
    even_strip_pressure(50.0),
    triangular_pressure(50.0, "front"),
    triangular_pressure(50.0, "land"),
    point_load(10.0, 0.1),
]


@pytest.fixture(scope="module")
def bend():
    return solve_bend(0.3, 0.003, 0.07, 0.0005, 0.01)


@pytest.fixture(scope="module")
def strong():
    return solve_bend(0.3, 0.002, 0.12, 0.0, 0.0)


def outward(bend, state, arclength):
    """Outward place of a state's material points, measured along the normals of the bend."""
    x, y = state.position(arclength)
    angle = bend.tangent_angle(np.asarray(arclength))
    return -np.sin(angle) * x + np.cos(angle) * y


def central(plus, minus, step):
    return (plus - minus) / (2.0 * step)


# ---- small loads against the exact solver -------------------------------------------------------------------------


@pytest.mark.parametrize("support", SUPPORTS, ids=lambda s: f"{s.land}-{s.front}-{s.along_chord}")
@pytest.mark.parametrize("load", LOADS, ids=["even", "zero at front", "zero at land", "point"])
@pytest.mark.parametrize("which", ["bend", "strong"])
def test_small_load_is_the_slope_of_the_exact_answer(which, load, support, request):
    """Difference of exact states under plus and minus one per cent of the load, over twice one per cent.

    The difference has a truncation error of the third order in the load; measured: below 1e-6 in every case.
    """
    bent = request.getfixturevalue(which)
    share, stations = 0.01, np.linspace(0.1, 0.9, 5) * bent.contact_arclength
    problem = problem_from_bend(bent, D, support)
    unloaded = solve_strip(problem, load.scaled(0.0))
    plus, minus = (solve_strip(problem, load.scaled(sign * share), unloaded) for sign in (1.0, -1.0))
    answer = strip_response(bent, D, load, support, stations=11)
    found = central(outward(bent, plus, stations), outward(bent, minus, stations), share)
    size, length = abs(answer.deflection_max), bent.contact_arclength
    force = np.hypot(answer.contact_force_change, answer.contact_shear_change)
    assert found == pytest.approx(answer.deflection[1::2], abs=1e-6 * size)
    for name, change, scale in [
        ("contact_force", answer.contact_force_change, force),
        ("contact_shear", answer.contact_shear_change, force),
        ("contact_arclength", answer.contact_shift, size),
        ("contact_angle", answer.contact_turn, size / length),
        ("spacer_x", answer.front_shift, size),
        ("land_moment", answer.land_moment_change, answer.moment_max),
    ]:
        slope = central(getattr(plus, name), getattr(minus, name), share)
        assert slope == pytest.approx(change, abs=2e-6 * abs(scale)), name


@pytest.mark.slow
@examples(40)
@given(
    spacer=st.floats(0.02, 0.45),
    thickness=st.floats(0.002, 0.02),
    setback=st.floats(0.0, 0.1),
    support=st.sampled_from([Support(), Support("clamped", "potted", "held"), JIG]),
)
def test_any_design_agrees_with_the_exact_solver(spacer, thickness, setback, support):
    bent = solve_bend(1.0, thickness, [spacer], 0.0, setback)
    if not bent.feasible[0] or bent.near_fold[0]:
        return
    bent = solve_bend(1.0, thickness, spacer, 0.0, setback)
    load = even_strip_pressure(1e-3 * bent.wavenumber**2)
    problem, middle = problem_from_bend(bent, 1.0, support), 0.5 * bent.contact_arclength
    plus, minus = (solve_strip(problem, load.scaled(sign)) for sign in (1.0, -1.0))
    answer = strip_response(bent, 1.0, load, support)
    found = central(outward(bent, plus, middle), outward(bent, minus, middle), 1.0)[0]
    assert found == pytest.approx(answer.midpoint_deflection, abs=1e-5 * abs(answer.deflection_max))


@pytest.mark.parametrize("support", [Support(), Support("clamped", "potted", "held"), JIG])
def test_error_falls_geometrically_with_the_nodes(support, strong, monkeypatch):
    monkeypatch.setattr("panelmech.mechanics.strip._ENOUGH", np.inf)  # else too few nodes are raised by themselves

    def largest(nodes):
        return strip_response(strong, D, even_strip_pressure(1.0), support, nodes=nodes).deflection_max

    nodes, exact = np.array([6, 8, 10, 12, 14]), largest(40)
    errors = np.array([abs(largest(n) / exact - 1.0) for n in nodes])
    slope = np.polyfit(nodes, np.log10(errors), 1)[0]
    assert slope < -0.7  # each node more takes off at least a factor of 5
    assert abs(largest(18) / exact - 1.0) < 1e-10  # the default number of nodes


def test_the_resolution_reported_bounds_the_error_wanted(strong):
    for support in SUPPORTS:
        assert strip_response(strong, D, even_strip_pressure(1.0), support).resolution < 1e-9


def test_loads_add_up(bend):
    both = [strip_response(bend, D, triangular_pressure(40.0, zero)).midpoint_deflection for zero in ("land", "front")]
    even = strip_response(bend, D, even_strip_pressure(40.0)).midpoint_deflection
    assert sum(both) == pytest.approx(even, rel=1e-11)


@pytest.mark.parametrize("support", SUPPORTS, ids=lambda s: f"{s.land}-{s.front}-{s.along_chord}")
def test_reciprocity(support, strong):
    """Maxwell and Betti: deflection at a under a load at b equals deflection at b under a load at a."""
    a, b = 0.25 * strong.contact_arclength, 0.6 * strong.contact_arclength
    at_a = strip_response(strong, D, point_load(1.0, b), support, stations=21).deflection[5]
    at_b = strip_response(strong, D, point_load(1.0, a), support, stations=21).deflection[12]
    assert at_a == pytest.approx(at_b, rel=1e-9)


@pytest.mark.parametrize("support", [Support(), Support("clamped", "potted", "held"), JIG])
def test_scale(support, bend):
    """All lengths c times as large, pressure over c cubed: deflection c times, moment over c, strain the same."""
    c = 2.5
    larger = solve_bend(*(c * v for v in (0.3, 0.003, 0.07, 0.0005, 0.01)))
    one = strip_response(bend, D, even_strip_pressure(60.0), support)
    two = strip_response(larger, D, even_strip_pressure(60.0 / c**3), support)
    assert two.deflection_max == pytest.approx(c * one.deflection_max, rel=1e-9)
    assert two.moment_max == pytest.approx(one.moment_max / c, rel=1e-9)
    assert two.strain_max == pytest.approx(one.strain_max, rel=1e-9)
    stiffer = strip_response(bend, 2 * D, even_strip_pressure(120.0), support)
    assert stiffer.deflection_max == pytest.approx(one.deflection_max, rel=1e-12)


def test_free_front_carries_only_its_own_pressure(bend):
    half_height = float(bend.contact_y)
    closed = strip_response(bend, D, even_strip_pressure(50.0))
    sheets_only = strip_response(bend, D, even_strip_pressure(50.0, on_front=False))
    assert closed.chord_force_change == pytest.approx(50.0 * half_height, rel=1e-12)
    assert sheets_only.chord_force_change == pytest.approx(0.0, abs=1e-12 * 50.0 * half_height)
    assert closed.front_shift > sheets_only.front_shift  # the pressure on the front pushes it forwards


def test_arch_of_a_held_front(strong):
    """The bent sheet bulges inwards, so outward pressure compresses a held strip, which then deflects far less."""
    held = strip_response(strong, D, even_strip_pressure(50.0), Support("clamped", "potted", "held"))
    free = strip_response(strong, D, even_strip_pressure(50.0), Support("clamped", "potted", "free"))
    assert held.stretch_max < 0.0
    assert abs(held.deflection_max) < 0.3 * abs(free.deflection_max)
    jig = strip_response(strong, D, even_strip_pressure(50.0), JIG)
    assert abs(jig.stretch_max) < 0.1 * abs(held.stretch_max)  # a smooth rod makes no arch


@pytest.mark.parametrize("share", [0.5, 0.65, 2.0])
def test_a_sheet_that_stretches_otherwise_is_one_of_another_thickness(share):
    """With a potted front the thickness counts in the stretching alone, as 12 D / t^2: the same mid-surface with the
    thickness over the root of the share answers alike, to rounding."""
    thick, ours = 0.003, solve_bend(0.3, 0.003, 0.07, 0.004, 0.01)
    thin = thick / np.sqrt(share)
    spacer, bond = 0.07 + thick - thin, 0.004 + thick - thin
    radius, angle = 0.5 * spacer, float(ours.contact_angle)
    length = float(ours.contact_arclength) + (0.01 + radius * (1.0 + np.sin(angle))) / np.cos(angle)
    other = solve_bend(length, thin, spacer, bond, 0.01)
    assert other.contact_arclength == pytest.approx(float(ours.contact_arclength), rel=1e-12)
    support, load = Support("clamped", "potted", "held"), even_strip_pressure(50.0)
    answers = [strip_response(ours, D, load, support, stretch_share=share), strip_response(other, D, load, support)]
    assert answers[0].deflection_max == pytest.approx(answers[1].deflection_max, rel=1e-9)
    assert abs(answers[0].deflection_max / strip_response(ours, D, load, support).deflection_max - 1) > 0.03


@pytest.mark.parametrize("share", [0.0, -1.0, np.nan, np.inf])
def test_a_share_of_stretching_that_is_not_positive_is_refused(bend, share):
    with pytest.raises(ValueError, match="stretch_share is"):
        strip_response(bend, D, even_strip_pressure(50.0), stretch_share=share)


def test_added_strain_is_half_the_thickness_times_the_added_curvature(bend):
    answer = strip_response(bend, D, even_strip_pressure(50.0), JIG)
    bending, stretch = 0.0015 * abs(answer.moment_max) / D, abs(answer.stretch_max)
    assert 0.0 < stretch < 0.01 * bending
    assert bending - stretch < answer.strain_max <= (bending + stretch) * (1 + 1e-9)
    assert answer.moment_max == pytest.approx(answer.land_moment_change)  # outward pressure opens the land


# ---- contact ------------------------------------------------------------------------------------------------------


def test_small_angle_liftoff():
    """Propped cantilever: front reaction 3/8, 1/10 and 11/40 of q L (any beam table, from memory; test_beam_tables)."""
    gaps = []
    for rise in (0.02, 0.01):
        slender = solve_bend(1.0, 0.1 * rise, 2 * rise)
        answers = [
            liftoff_pressure(slender, 1.0, load)
            for load in (even_strip_pressure(1.0), triangular_pressure(1.0, "front"), triangular_pressure(1.0, "land"))
        ]
        unit = slender.wavenumber**2 / slender.contact_arclength
        assert [a.small_angle / unit for a in answers] == pytest.approx([8 / 3, 10, 40 / 11], rel=1e-12)
        gaps.append([abs(a.exact / a.small_angle - 1.0) for a in answers])
    assert np.max(gaps[1]) < 1e-3  # rise squared, 1e-4, times a factor of order 10
    assert np.divide(*gaps) == pytest.approx(4.0, rel=0.1)  # second order in the rise


@pytest.mark.parametrize("which", ["bend", "strong"])
def test_liftoff_is_where_the_contact_force_ends(which, request):
    bent = request.getfixturevalue(which)
    lift = liftoff_pressure(bent, D)
    problem = problem_from_bend(bent, D)
    force = D * bent.wavenumber**2
    before = solve_strip(problem, even_strip_pressure(0.999 * lift.exact))
    assert 0.0 < before.contact_force < 2e-3 * force
    assert before.contact_arclength == pytest.approx(lift.contact_arclength, rel=1e-3)
    with pytest.raises(StripNotSolved, match="leaves the rod"):
        solve_strip(problem, even_strip_pressure(1.01 * lift.exact))
    linear = strip_response(bent, D, even_strip_pressure(10.0), JIG)
    assert 10.0 * linear.liftoff_factor == pytest.approx(lift.linear, rel=1e-12)
    assert lift.exact == pytest.approx(lift.linear, rel=0.05)  # a sanity band: they are different numbers
    assert lift.exact < lift.linear < lift.small_angle


def test_strip_under_more_than_liftoff_gives_a_verdict_and_no_number(bend):
    lift = liftoff_pressure(bend, D)
    below, above = (strip_response(bend, D, even_strip_pressure(s * lift.linear), JIG) for s in (0.99, 1.01))
    assert below.verdict == "holds contact" and np.isfinite(below.deflection_max)
    assert above.verdict == "leaves the rod" and "leaves the rod" in above.words
    for name in ("deflection_max", "moment_max", "strain_max", "contact_force_change", "midpoint_deflection"):
        assert np.isnan(getattr(above, name)), name
    assert np.isnan(above.deflection).all()
    assert above.liftoff_factor == pytest.approx(1 / 1.01, rel=1e-9)


def test_pressing_and_potting_never_lift(bend):
    assert strip_response(bend, D, even_strip_pressure(-500.0), JIG).liftoff_factor == np.inf
    assert liftoff_pressure(bend, D, even_strip_pressure(-1.0)).exact == np.inf
    potted = strip_response(bend, D, even_strip_pressure(1e5))
    assert potted.verdict == "bonded" and np.isnan(potted.liftoff_factor)


def test_contact_that_runs_off_the_sheet():
    short = solve_bend(0.3, 0.003, 0.1, 0.0, -0.06208)
    unit = strip_response(short, D, even_strip_pressure(1.0), JIG)
    assert 0.0 < short.overhang < 1e-4  # the contact sits almost on the edge, and outward pressure moves it forwards
    enough = short.overhang / unit.contact_shift
    assert enough < unit.liftoff_factor
    below, above = (strip_response(short, D, even_strip_pressure(s * enough), JIG) for s in (0.99, 1.01))
    assert below.verdict == "holds contact" and above.verdict == "runs off the sheet"
    assert np.isnan(above.deflection_max)


# ---- exact solver -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("spacer", [0.01, 0.07, 0.12, 0.146])
def test_unloaded_strip_is_the_bend(spacer):
    bent = solve_bend(0.3, 0.0005, spacer, 0.0, 0.0)
    by_place = solve_strip(problem_from_bend(bent, D))
    by_setback = solve_strip(
        StripProblem(D, 0.0005, 0.5 * spacer, 0.00025, 0.25, free_length=0.3, setback=0.0, stretches=False)
    )
    for state in (by_place, by_setback):
        assert state.residual < 1e-11
        assert state.contact_angle == pytest.approx(bent.contact_angle, rel=1e-9)
        assert state.contact_arclength == pytest.approx(bent.contact_arclength, rel=1e-9)
        assert state.contact_force == pytest.approx(D * bent.wavenumber**2, rel=1e-9)
        assert state.land_moment == pytest.approx(D * bent.land_curvature, rel=1e-9)
        x, y = bent.outline(state.arclength)
        assert state.x == pytest.approx(x, abs=1e-10) and state.y == pytest.approx(y, abs=1e-10)


FOLLOWER = [  # tip load lambda = N L^2/D, tip angle [rad], x/L, y/L, land moment M L/D
    (0.5, 0.2494807881, 0.983481049, 0.1650426495, 0.4968911904),
    (1.0, 0.4958846424, 0.9356456695, 0.3206419947, 0.975510044),
    (2.0, 0.9682388025, 0.7673621915, 0.5738390626, 1.815366443),
]


@pytest.mark.parametrize(("load", "angle", "x", "y", "moment"), FOLLOWER)
def test_cantilever_under_a_tip_force_that_stays_normal(load, angle, x, y, moment):
    """Shvartsman B.S. (2007), J. Sound Vib. 304:969-973 treats this problem; his table was not available, so the
    values are the closed quadratures recomputed to ten digits. The rod is placed where the tip must touch it."""
    radius = y / np.cos(angle)
    rod = x + radius * np.sin(angle)
    state = solve_strip(StripProblem(1.0, 1e-9, radius, 0.0, 1.0, spacer_x=rod, stretches=False))
    assert state.contact_arclength == pytest.approx(1.0, rel=1e-8)
    assert state.contact_angle == pytest.approx(angle, rel=1e-8)
    assert state.contact_force == pytest.approx(load, rel=1e-8)
    assert state.land_moment == pytest.approx(moment, rel=1e-8)


def bvp(bent, pressure, contact_force=None):
    """Jig case by scipy: th, M, fx, fy, x, y over s/l, stiffness 1, fixed length; parameters l and pressure."""
    reach = float(bent.spacer_radius + 0.5 * bent.sheet_thickness)

    def slopes(xi, v, p):
        length, q = p[0], (p[1] if contact_force is not None else pressure)
        c, s = np.cos(v[0]), np.sin(v[0])
        return length * np.array([v[1], s * v[2] - c * v[3], q * s, -q * c, c, s])

    def ends(a, b, p):
        c, s = np.cos(b[0]), np.sin(b[0])
        rows = [
            a[0],
            a[4],
            a[5] - 0.5 * (bent.sheet_thickness + bent.bond_line),
            b[1],
            c * b[2] + s * b[3],
            b[4] - bent.spacer_position + reach * s,
            b[5] - reach * c,
        ]
        if contact_force is not None:
            rows.append(c * b[3] - s * b[2] - contact_force)
        return np.array(rows)

    xi = np.linspace(0.0, 1.0, 41)
    s = xi * bent.contact_arclength
    x, y = bent.outline(s)
    force = bent.wavenumber**2
    guess = np.array(
        [
            bent.tangent_angle(s),
            bent.curvature(s),
            0 * s - force * np.sin(bent.contact_angle),
            0 * s + force * np.cos(bent.contact_angle),
            x,
            y,
        ]
    )
    parameters = [bent.contact_arclength] + ([force / bent.contact_arclength] if contact_force is not None else [])
    found = solve_bvp(slopes, ends, xi, guess, parameters, tol=1e-10, max_nodes=20000)
    assert found.success, found.message
    return found


@pytest.mark.parametrize("share", [0.5, -1.0])
def test_loaded_strip_against_scipy(share, strong):
    pressure = share * liftoff_pressure(strong, 1.0).exact
    reference = bvp(strong, pressure)
    state = solve_strip(problem_from_bend(strong, 1.0, stretches=False), even_strip_pressure(pressure))
    angle = reference.y[0, -1]
    push = np.cos(angle) * reference.y[3, -1] - np.sin(angle) * reference.y[2, -1]
    # scipy's relative residual is 1e-10 at most; 1e-8 leaves room for the condition of the problem
    assert state.contact_arclength == pytest.approx(reference.p[0], rel=1e-8)
    assert state.contact_angle == pytest.approx(angle, rel=1e-8)
    assert state.contact_force == pytest.approx(push, rel=1e-8)
    assert state.land_moment == pytest.approx(reference.y[1, 0], rel=1e-8)
    x, y = state.position(0.5 * state.contact_arclength)
    assert (x[0], y[0]) == pytest.approx(tuple(reference.sol(0.5)[4:]), abs=1e-9)


def test_liftoff_against_scipy(bend):
    reference = bvp(bend, None, contact_force=0.0)
    found = liftoff_pressure(bend, 1.0)
    # the bend may stretch, scipy's strip may not: a difference of the order of (t/s_c)^2/12 = 1e-5
    assert found.exact == pytest.approx(reference.p[1], rel=2e-5)
    assert found.contact_arclength == pytest.approx(reference.p[0], rel=2e-5)


def test_friction_acts_at_the_inner_face(bend):
    """D th' = T t/2 at the contact, T = mu N: the friction acts half a thickness below the mid-surface."""
    smooth = StripProblem(D, 0.003, 0.035, 0.00175, 0.25, free_length=0.3, setback=0.01)
    plain, dragged, pushed = (solve_strip(replace(smooth, friction=mu)) for mu in (0.0, 0.3, -0.3))
    for state, mu in ((dragged, 0.3), (pushed, -0.3)):
        assert state.contact_shear == pytest.approx(mu * state.contact_force, rel=1e-12)
        end = np.polynomial.legendre.legval(1.0, state.grid.series(state.moment)[0])
        assert end == pytest.approx(0.5 * 0.003 * state.contact_shear, rel=1e-8)
    assert abs(dragged.contact_force / plain.contact_force - 1) < 0.02  # the force hardly changes
    assert pushed.contact_force > plain.contact_force > dragged.contact_force


def test_clamp_slope_small_angles():
    """A land turned outwards by a lowers the force to 3 D (rise - a L)/L^3 (small angles)."""
    flat = StripProblem(1.0, 1e-6, 0.01, 5e-7, 1.0, spacer_x=1.0)
    for slope in (0.0, 0.004, -0.004):
        state = solve_strip(replace(flat, clamp_slope=slope))
        assert state.contact_force == pytest.approx(3 * (0.01 - slope), rel=2e-3)  # terms of the rise squared, 1e-4
        assert state.land_slope == pytest.approx(slope, abs=1e-12)


def test_unequal_sheets_share_a_floating_rod():
    """N1 cos th1 = N2 cos th2; to first order the rod moves to the softer sheet by rise (D1 - D2)/(D1 + D2)."""
    upper = StripProblem(1.3, 1e-6, 0.005, 5e-7, 1.0, free_length=1.005, setback=0.0)
    lower = replace(upper, bending_stiffness=1.0)

    def unbalance(shift):
        one, two = solve_strip(replace(upper, spacer_y=shift)), solve_strip(replace(lower, spacer_y=-shift))
        return one.contact_force * np.cos(one.contact_angle) - two.contact_force * np.cos(two.contact_angle)

    shift = brentq(unbalance, -0.002, 0.002, xtol=1e-12)
    assert -shift == pytest.approx(0.005 * 0.3 / 2.3, rel=1e-3)  # terms of the rise squared


def test_a_load_too_large_is_said(bend):
    with pytest.raises(StripNotSolved):
        solve_strip(problem_from_bend(bend, D, Support("clamped", "potted", "held")), even_strip_pressure(-1e9))


# ---- wedge --------------------------------------------------------------------------------------------------------


def test_wedge_touches_the_rod_and_keeps_the_setback(bend):
    angle, length = wedge_contact(bend)
    radius, half, hinge = 0.035, 0.0015, 0.00175
    tangent, normal = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    contact = np.array([0.0, hinge]) + length * tangent
    centre = contact - (radius + half) * normal
    corner = np.array([0.0, hinge]) + 0.3 * tangent - half * normal
    assert centre[1] == pytest.approx(0.0, abs=1e-12)
    assert corner[0] - (centre[0] + radius) == pytest.approx(0.01, abs=1e-12)


def test_slender_bent_strip_against_the_wedge():
    """Same sheets and rod, even pressure, resting on the rod: 0.41596 of the wedge's deflection at equal length
    (the propped beam's 1/184.634 over 5/384): the clamped land alone, no curvature."""
    slender = solve_bend(1.0, 1e-5, 0.002)
    load = even_strip_pressure(1e-9)
    bent = strip_response(slender, 1.0, load, JIG)
    wedge = wedge_strip_response(slender, 1.0, load)
    assert bent.deflection_max / wedge.deflection_max == pytest.approx(0.41596, abs=2e-5)
    flat = flat_strip_response(slender.contact_arclength, 1e-5, 1.0, load, JIG)
    assert bent.deflection_max == pytest.approx(flat.deflection_max, rel=1e-4)


# ---- bad input and words ------------------------------------------------------------------------------------------


def test_words_say_which_load_a_support_is_right_for():
    assert "equal pressure on both faces" in Support().words
    assert "side load" in Support(along_chord="held").words
    assert "slide" in JIG.words
    assert "constant force" in Support("clamped", "resting", "free").words


@pytest.mark.parametrize(
    "words", [("glued", "potted", "free"), ("clamped", "welded", "free"), ("clamped", "potted", "loose")]
)
def test_unknown_words_are_refused(words):
    with pytest.raises(ValueError, match="give one of"):
        Support(*words)


def test_mechanisms_are_refused(bend):
    with pytest.raises(StripNotSolved, match="mechanism"):
        strip_response(bend, D, even_strip_pressure(1.0), Support("hinged", "resting", "free"))
    with pytest.raises(StripNotSolved, match="mechanism"):
        flat_strip_response(0.2, 0.003, D, even_strip_pressure(1.0), Support("clamped", "resting", "free"))


def test_bad_input_is_said(bend):
    load = even_strip_pressure(1.0)
    with pytest.raises(ValueError, match="one bend at a time"):
        strip_response(solve_bend(0.3, 0.003, [0.05, 0.06]), D, load)
    with pytest.raises(ValueError, match="positive"):
        strip_response(bend, -1.0, load)
    with pytest.raises(ValueError, match="on the strip"):
        strip_response(bend, D, point_load(1.0, 0.29))
    with pytest.raises(ValueError, match="point_arclength"):
        StripLoad(point_force=1.0)
    with pytest.raises(ValueError, match="positive"):
        flat_strip_response(-0.2, 0.003, D, load)
    with pytest.raises(ValueError, match="no pressure"):
        liftoff_pressure(bend, D, StripLoad())
    with pytest.raises(ValueError, match="spacer_x"):
        StripProblem(D, 0.003, 0.03, 0.0015, 0.25)
    with pytest.raises(ValueError, match="contact_arclength"):
        StripProblem(D, 0.003, 0.03, 0.0015, 0.25, support=Support())


def test_no_load_no_deflection(bend):
    answer = strip_response(bend, D, StripLoad())
    assert answer.deflection_max == 0.0 and answer.moment_max == 0.0 and answer.strain_max == 0.0


# ---- collocation --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2])
def test_collocation_integrates_and_finds_extremes(count):
    grid = panels(14, count)
    place = grid.panel + grid.local
    values = np.cos(2.0 * place + 0.3)
    exact = 0.5 * (np.sin(2.0 * place + 0.3) - np.sin(0.3))
    assert grid.running @ values == pytest.approx(exact, abs=1e-12)
    assert grid.total @ values == pytest.approx(0.5 * (np.sin(2.0 * count + 0.3) - np.sin(0.3)), abs=1e-12)
    value, panel, local = (part[0] for part in grid.extremes(np.sin(2.0 * place + 0.3)[None]))
    assert value == pytest.approx(1.0, abs=1e-10)
    assert panel == 0 and local == pytest.approx(0.5 * (0.5 * np.pi - 0.3), abs=1e-7)


def test_extreme_at_an_end_and_the_negative_one():
    grid = panels(10)
    value, _, local = grid.extremes(np.stack([np.exp(grid.local), -1.0 + 0.2 * (grid.local - 0.123) ** 2]))
    assert value == pytest.approx([np.e, -1.0], rel=1e-12)
    assert local == pytest.approx([1.0, 0.123], abs=1e-9)


def test_too_few_nodes_are_refused():
    with pytest.raises(ValueError, match="whole number of at least 6"):
        panels(3)
