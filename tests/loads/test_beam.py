"""Diagrams along the span: balance, jumps, steps, many cases at once, scaling, and what is refused.

Against tables, closed forms and second roads: validation/test_span_beams.py.
"""

import itertools

import numpy as np
import pytest
import scipy
from hypothesis import given
from hypothesis import strategies as st

from panelmech.loads.beam import Held, PointLoad, Points, diagrams_of, span_diagrams
from panelmech.mechanics.span_curves import (
    FEW,
    at_station,
    checked_stations,
    curve,
    resample,
    span_integral,
    stiffness_curve,
    with_step,
)

Z = np.linspace(0.0, 1.5, 16)
ROUNDING = 1e-11


def test_plain_arithmetic():
    """3 N at the tip of 1.5 m and 2 N m there: moment 4.5 N m, turn of the tip 3 1.5^2 / (2 4), twist 2 1.5 / 5."""
    d = span_diagrams(Z, 0.0 * Z, 0.0, 4.0, 5.0, points=(PointLoad(1.5, 3.0, 2.0),))
    assert (d.moment[0, 0], d.shear[0, 0], d.torque[0, 0]) == pytest.approx((4.5, 3.0, 2.0))
    assert (d.slope[0, -1], d.twist[0, -1]) == pytest.approx((3 * 1.5**2 / 8, 0.6))
    assert (d.root_force[0], d.root_moment[0], d.held_torque[0]) == pytest.approx((-3.0, -4.5, -2.0))
    assert np.all(np.isnan(d.bearing_forces))


def test_a_jump_stands_twice():
    d = span_diagrams(Z, 0.0 * Z, 0.0, 1.0, 1.0, points=(PointLoad(0.65, 4.0, 1.0),))
    here = np.flatnonzero(d.position == 0.65)
    assert len(here) == 2
    assert d.shear[0, here] == pytest.approx([4.0, 0.0]) and d.torque[0, here] == pytest.approx([1.0, 0.0])
    assert d.deflection[0, here[0]] == d.deflection[0, here[1]]


forces = st.lists(st.tuples(st.floats(0, 1.5), st.floats(-9, 9), st.floats(-9, 9)), max_size=3)


@given(forces, st.lists(st.floats(-5, 5), min_size=16, max_size=16), st.floats(0, 0.7), st.floats(0.8, 1.5))
def test_forces_and_moments_balance_and_bearings_hold(points, load, near, far):
    points = tuple(PointLoad(*p) for p in points)
    d = span_diagrams(Z, load, 0.3, 2.0, 3.0, Held((near, far)), points)
    total = span_integral(Z, np.array(load)) + sum(p.force for p in points)
    first = integral_of_moment(Z, load) + sum(p.force * p.position for p in points)
    scale = 1.0 + np.sum(np.abs(load)) + sum(abs(p.force) for p in points)
    assert d.bearing_forces.sum() == pytest.approx(-total, abs=ROUNDING * scale)
    assert d.bearing_forces[0] @ [near, far] == pytest.approx(-first, abs=ROUNDING * scale)
    assert d.moment[0, -1] == pytest.approx(0.0, abs=ROUNDING * scale)
    for place in (near, far):
        assert d.deflection[0, np.searchsorted(d.position, place)] == pytest.approx(0.0, abs=1e-10 * scale)


def integral_of_moment(z, load):
    """Integral of load times z for the curve through the stations: by 40 Gauss points a panel."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    found = curve(z, load)
    places = z[:-1, None] + np.diff(z)[:, None] * 0.5 * (nodes + 1)
    return float(np.sum(found(places) * places * 0.5 * weights * np.diff(z)[:, None]))


def test_cases_at_once_are_the_cases_one_by_one():
    loads = np.array([np.ones(16), Z, Z**2])
    points = [(PointLoad(1.0, 2.0),), (), (PointLoad(0.3, -1.0, 1.0), PointLoad(1.5, 1.0))]
    offset = 0.1 * Z
    together = span_diagrams(Z, loads, 0.1 * loads, 1 + Z, 2 + Z, Held((0.2, 0.9)), points, offset)
    for i in range(3):
        one = span_diagrams(Z, loads[i], 0.1 * loads[i], 1 + Z, 2 + Z, Held((0.2, 0.9)), points[i], offset)
        for name in ("shear", "moment", "local_torque", "deflection", "twist"):
            both = [np.interp(Z, r.position, getattr(r, name)[k]) for r, k in ((together, i), (one, 0))]
            if name in ("deflection", "twist", "moment"):
                assert both[0] == pytest.approx(both[1], rel=1e-9, abs=1e-12)
        assert together.bearing_forces[i] == pytest.approx(one.bearing_forces[0])


def test_a_step_in_stiffness_is_exact():
    """Root half twice as stiff as the outer half, end force: two uniform pieces by hand."""
    z = np.array([0.0, 0.5, 0.5, 1.0])
    d = span_diagrams(z, 0.0 * z, 0.0, [2.0, 2.0, 1.0, 1.0], 1.0, points=(PointLoad(1.0, 1.0),))
    outer, inner = 0.5**3 / 3, (1 - 0.5**3) / 3 / 2
    assert d.deflection[0, -1] == pytest.approx(outer + inner, rel=ROUNDING)


def test_a_load_next_to_none_is_none():
    """The smallest number there is at the last station: the slope beside it has no inverse."""
    least = np.append(np.zeros(15), 5e-324)
    for load in (least, least[::-1], 3.0 * least):
        d = span_diagrams(Z, load, 0.3, 2.0, 3.0, Held((0.0, 1.0)))
        assert np.all(np.abs(d.shear) < 1e-300) and np.all(np.abs(d.deflection) < 1e-300)


def test_torque_about_the_shear_centre():
    """A force on the axis, shear centre 0.1 m behind it: it twists by F 0.1 L / GJ, steering torque none."""
    d = span_diagrams(Z, 0.0 * Z, 0.0, 1.0, 5.0, points=(PointLoad(1.5, 3.0),), axis_offset=0.1)
    assert d.torque == pytest.approx(0.0 * d.torque)
    assert d.twist[0, -1] == pytest.approx(3.0 * 0.1 * 1.5 / 5.0, rel=ROUNDING)


def test_scaling():
    """Twice the load, twice everything; twice the lengths and half the load per length: moment doubles, deflection
    eight times."""
    a = span_diagrams(Z, 1 + Z, 0.0, 1 + Z, 1.0)
    b = span_diagrams(Z, 2 * (1 + Z), 0.0, 1 + Z, 1.0)
    c = span_diagrams(2 * Z, 0.5 * (1 + Z), 0.0, 1 + Z, 1.0)
    assert b.deflection == pytest.approx(2 * a.deflection) and b.moment == pytest.approx(2 * a.moment)
    assert c.moment == pytest.approx(2 * a.moment) and c.deflection == pytest.approx(8 * a.deflection)


def test_unknown_stiffness_leaves_the_diagrams():
    d = span_diagrams(Z, 1 + Z, 0.1, np.full(16, np.nan), np.nan)
    assert np.all(np.isnan(d.deflection[:, 1:])) and np.all(np.isnan(d.twist[:, 1:]))
    assert np.all(np.isfinite(d.moment)) and np.all(np.isfinite(d.torque))
    off = span_diagrams(Z, 1 + Z, 0.1, 1.0, 1.0, axis_offset=np.nan)  # the shear centre not known
    assert np.all(np.isnan(off.twist[:, 1:])) and np.all(np.isnan(off.local_torque))
    assert np.all(np.isfinite(off.deflection)) and np.all(np.isfinite(off.torque))


@pytest.mark.parametrize("held", [None, Held((0.2, 1.1)), Held((0.0, 1.5), torque_at=0.75)])
def test_every_diagram_is_the_slope_of_the_next(held):
    """dM/dz = -V, dT/dz = -(torque per length), d slope/dz = M / EI, d deflection/dz = slope and d twist/dz = T_s / GJ,
    with T_s = T + V (axis - shear centre); by central differences between points that the load has no break in. Even
    and straight loads and stiffnesses of the third power of a straight taper, so that the curves are exact."""
    z = np.linspace(0.0, 1.5, 751)
    h, taper, offset = z[1] - z[0], 1.0 - 0.3 * z, 0.05 + 0.02 * z
    load, turn = 4.0 - z, 1.0 + 0.5 * z
    points = (PointLoad(1.3, 2.0, -0.4), PointLoad(0.5, -3.0, 0.3))
    d = span_diagrams(z, load, turn, 6.0 * taper**3, 5.0 * taper**3, held, points, offset)
    keep = np.append(np.diff(d.position) > 0, True)  # of a place that stands twice the second, after the jump
    v, m, t, ts, slope, w, twist = (getattr(d, n)[0, keep] for n in (
        "shear", "moment", "torque", "local_torque", "slope", "deflection", "twist"))  # fmt: skip
    here = np.abs(z[1:-1, None] - [0.0, 0.2, 0.5, 0.75, 1.1, 1.3, 1.5]).min(axis=1) > 1.5 * h
    for whole, rate in (
        (m, -v), (t, -turn), (v, -load), (w, slope), (slope, m / (6.0 * taper**3)), (twist, ts / (5.0 * taper**3)),
    ):  # fmt: skip
        found = ((whole[2:] - whole[:-2]) / (2 * h))[here]
        assert found == pytest.approx(rate[1:-1][here], abs=3e-5 * np.max(np.abs(rate)))  # h^2 times third slope / 6
    assert ts == pytest.approx(t + v * offset, rel=1e-12)
    at = 0.0 if held is None or held.torque_at is None else held.torque_at
    assert twist[np.argmin(np.abs(z - at))] == 0.0
    for place in (0.0,) if held is None else held.bearings:
        assert w[np.argmin(np.abs(z - place))] == pytest.approx(0.0, abs=1e-14)


def test_forces_that_hold_the_part_end_in_its_diagrams():
    """Before the first bearing and behind the last free end nothing is carried; each jump is its force; the torque that
    is held is the sum of all."""
    d = span_diagrams(Z, 1 + Z, 0.2, 2.0, 3.0, Held((0.2, 1.1), torque_at=0.2), (PointLoad(1.3, 2.0, -0.4),))
    assert d.shear[0, [0, -1]] == pytest.approx([0.0, 0.0], abs=1e-12)
    for place, force in ((0.2, d.bearing_forces[0, 0]), (1.1, d.bearing_forces[0, 1]), (1.3, 2.0)):
        first, second = np.flatnonzero(d.position == place)
        assert d.shear[0, first] - d.shear[0, second] == pytest.approx(force, rel=1e-12)
    first, second = np.flatnonzero(d.position == 0.2)
    assert d.torque[0, first] - d.torque[0, second] == pytest.approx(d.held_torque[0], rel=1e-12)
    assert d.held_torque[0] == pytest.approx(-(0.2 * 1.5 - 0.4), rel=1e-12)
    assert np.isnan(d.root_force[0]) and np.isnan(d.root_moment[0]) and d.held.bearings == (0.2, 1.1)


@pytest.mark.parametrize("held", [Held(), Held((0.2, 1.1))])
def test_many_parts_at_once_are_the_parts_one_by_one(held):
    """Three parts of two cases each, along a first axis; forces, stiffness and the axis different for each."""
    part, case = np.arange(3.0)[:, None, None], np.arange(2.0)[:, None]
    force, torque = 1 + Z + part * case, 0.1 * (Z + part - case)
    bend, twist, offset = (2 + Z) * (1 + part), (3 - Z) * (1 + part), 0.01 * (part + Z)
    places = np.array([0.4, 1.2])
    pushes, turns = part + np.array([[1.0, 0.5], [0.0, -2.0]]), part * np.array([[0.1, 0.3], [0.0, 0.2]])
    many = diagrams_of(Z, force, torque, bend, twist, held, Points(places, pushes, turns), offset)
    for i in range(3):
        rows = [tuple(map(PointLoad, places, pushes[i, k], turns[i, k])) for k in range(2)]
        one = span_diagrams(Z, force[i], torque[i], bend[i, 0], twist[i, 0], held, rows, offset[i, 0])
        keep = np.searchsorted(one.position, many.position)
        for name in ("moment", "slope", "deflection", "twist"):
            assert getattr(many, name)[i] == pytest.approx(getattr(one, name)[:, keep], rel=1e-10, abs=1e-12), name
        for name in ("bearing_forces", "root_force", "root_moment", "held_torque"):
            assert getattr(many, name)[i] == pytest.approx(getattr(one, name), rel=1e-12, nan_ok=True), name


def test_no_load_does_nothing():
    d = span_diagrams(Z, 0.0 * Z, 0.0, 1.0, 1.0, Held((0.0, 1.0)))
    assert np.all(d.deflection == 0.0) and np.all(d.bearing_forces == 0.0)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Held((0.2,)), "1 bearings"),
        (lambda: Held((0.1, 0.2, 0.3)), "3 bearings"),
        (lambda: Held((0.2, 0.2)), "move them apart"),
        (lambda: PointLoad(np.nan), "finite"),
        (lambda: span_diagrams(Z, Z, 0.0, 1.0, 1.0, Held((-0.1, 1.0))), "a bearing is at"),
        (lambda: span_diagrams(Z, Z, 0.0, 1.0, 1.0, Held((0.1, 1.6))), "the part runs from"),
        (lambda: span_diagrams(Z, Z, 0.0, 1.0, 1.0, points=(PointLoad(1.6, 1.0),)), "a point load is at"),
        (lambda: span_diagrams(Z, Z, 0.0, 1.0, 1.0, Held(torque_at=0.5)), "clamped at its root"),
        (lambda: span_diagrams(Z, Z[:5], 0.0, 1.0, 1.0), "one for each station"),
        (lambda: span_diagrams(Z, np.full(16, np.inf), 0.0, 1.0, 1.0), "finite"),
        (lambda: span_diagrams(Z, Z, 0.0, 1.0 - Z, 1.0), "must be positive"),
        (lambda: span_diagrams(Z, Z, 0.0, 1.0, 1.0, points=[(), ()]), "for each case"),
        (lambda: span_diagrams([0.0, 1.0, 0.5], np.ones(3), 0.0, 1.0, 1.0), "must rise"),
        (lambda: span_diagrams([0.0], [1.0], 0.0, 1.0, 1.0), "two or more"),
        (lambda: checked_stations([0.0, 0.0, 1.0]), "not at an end"),
        (lambda: checked_stations([0.0, 1.0, 1.0]), "not at an end"),
        (lambda: checked_stations([0.0, 1.0, 1.0, 1.0, 2.0]), "not three times"),
        (lambda: with_step(Z, 2.0), "off the stations"),
        (lambda: curve(Z, Z[:3]), "one for each station"),
    ],
)
def test_what_is_refused(make, words):
    with pytest.raises(ValueError, match=words):
        make()


# -- curves ----------------------------------------------------------------------------------------------------


def test_curves_follow_lines_steps_and_cubes():
    z = with_step(np.linspace(0.0, 1.0, 5), 0.4)
    assert np.count_nonzero(z == 0.4) == 2 and list(with_step(z, 0.4)) == list(z)
    second = np.cumsum(np.append(False, np.diff(z) == 0.0)) > 0
    values = np.where(second, 5.0 - z, z)
    found = curve(z, values)
    assert found([0.2, 0.4, 0.7]) == pytest.approx([0.2, 4.6, 4.3])
    assert span_integral(z, values) == pytest.approx(0.4**2 / 2 + 5 * 0.6 - (1 - 0.4**2) / 2)
    assert resample(z, values, [0.1, 0.4, 0.4, 1.0]) == pytest.approx([0.1, 0.4, 4.6, 4.0])
    assert stiffness_curve(z, (2.0 - z) ** 3)(0.33) == pytest.approx((2.0 - 0.33) ** 3, rel=1e-12)


def test_stations_that_may_be_and_places_that_are_stations_but_for_rounding():
    """Steps may stand side by side; a place is a station within a hundred-millionth of the span, on either side, and
    beyond that is itself."""
    for z in ([0.0, 1.0], [0.0, 1.0, 1.0, 2.0, 2.0, 3.0], [-1.0, 0.0, 2.0]):
        assert checked_stations(z).tolist() == z
    z = [-2.0, 0.5, 0.5, 8.0]
    for hair in (9.9e-8, -9.9e-8, 0.0):
        assert at_station(z, 0.5 + hair) == 0.5 and at_station(z, -2.0 + hair) == -2.0
    for more in (1.01e-7, -1.01e-7, 3.0):
        assert at_station(z, 0.5 + more) == 0.5 + more


def test_where_a_step_is_asked_for():
    """It stands twice where it is inside, once or twice before; at an end nothing changes, beyond it is refused."""
    assert with_step([0.0, 1.0, 2.0], 1.0).tolist() == with_step([0.0, 1.0, 1.0, 2.0], 1.0).tolist() == [0, 1, 1, 2]
    assert with_step([0.0, 2.0], 1.5).tolist() == [0.0, 1.5, 1.5, 2.0]
    for end in (0.0, 2.0):
        assert with_step([0.0, 2.0], end).tolist() == [0.0, 2.0]
    for off in (-1e-9, 2.0 + 1e-9):
        with pytest.raises(ValueError, match="off the stations"):
            with_step([0.0, 2.0], off)


def test_curves_follow_a_cubic_where_they_should_and_never_overshoot():
    """Between two stations a line; the values carried over at the stations are the values; a row that rises stays
    between its values; the integral is that of the curve by Gauss's rule, exact for its cubics."""
    z = np.array([0.0, 0.2, 0.5, 0.5, 1.1, 1.5])
    values = np.array([1.0, 1.1, 3.0, 0.5, 0.6, 4.0])
    line = curve(z, values)
    assert resample(z, values, z) == pytest.approx(values, rel=1e-13)
    fine = line(np.linspace(0.0, 0.4999, 200))
    assert np.all(np.diff(fine) > 0.0) and fine[0] == 1.0 and np.all(fine < 3.0)
    assert curve(z[:2], values[:2])(0.05) == pytest.approx(1.025, rel=1e-14)
    nodes, weights = np.polynomial.legendre.leggauss(3)
    sides = [(a, b) for a, b in itertools.pairwise(z) if b > a]
    total = sum(0.5 * (b - a) * weights @ line(a + 0.5 * (b - a) * (nodes + 1)) for a, b in sides)
    assert span_integral(z, values) == pytest.approx(total, rel=1e-13)
    cube = stiffness_curve(z, 8.0)
    assert cube([0.1, 0.7]) == pytest.approx([8.0, 8.0], rel=1e-13)


def test_curves_are_those_of_scipy():
    """Rough and flat stretches, turns and ends that are held back, for widths of any kind."""
    rng = np.random.default_rng(4)
    for count in (3, 4, 17):
        z = np.cumsum(rng.uniform(0.01, 1.0, count))
        values = np.round(rng.normal(size=(300, count)), 1)  # many are alike, so that slopes are none
        want = scipy.interpolate.PchipInterpolator(z, values, axis=1).c
        assert curve(z, values).c == pytest.approx(want, rel=1e-9, abs=1e-12 * np.abs(want).max())


@pytest.mark.parametrize("many", [2, FEW])
def test_curves_are_read_and_integrated_as_scipy_does(many):
    """Between stations, at them, at a step and beyond the ends; one place, several in any order, none."""
    rng = np.random.default_rng(5)
    z = with_step(np.linspace(0.2, 1.4, 13), 0.6)
    own = curve(z, rng.normal(size=(3, many, len(z))))
    other = scipy.interpolate.PPoly(own.c, own.x)
    for places in (0.6, rng.permutation(np.concatenate([z, rng.uniform(0.1, 1.5, 40)])), np.empty(0)):
        ours, theirs = (own, own.antiderivative()), (other, other.antiderivative())
        for one, two in zip(ours, theirs, strict=True):
            assert one(places).shape == (*np.shape(places), 3, many)
            assert one(places) == pytest.approx(two(places), rel=1e-12, abs=1e-12)
    assert own.whole() == pytest.approx(other.integrate(z[0], z[-1]), rel=1e-12, abs=1e-12)


def test_integrals_begin_at_the_first_station():
    """What bearings hold is reckoned from integrals that are nothing there, wherever the stations begin."""
    for z in (Z, Z - 0.7, with_step(Z, 0.4)):
        once = curve(z, 1.0 + np.abs(z)).antiderivative()
        assert once(z[0]) == 0.0 and once.antiderivative()(z[0]) == 0.0


def test_curves_carry_many_rows_and_unknown_values():
    rows = np.array([Z, 2 * Z, np.full(16, np.nan)])
    assert span_integral(Z, rows[:2]) == pytest.approx([1.5**2 / 2, 1.5**2])
    assert resample(Z, rows[:2], [0.2, 0.9]) == pytest.approx(np.array([[0.2, 0.9], [0.4, 1.8]]))
    assert np.all(np.isnan(curve(Z, rows[2])(0.5)))
    holed = np.where(Z == Z[3], np.nan, rows[:2] * np.array([[1.0], [1.0]]))
    holed[0] = Z  # one value not known: that row's piece is not, the other row is as it was
    assert curve(Z, holed)(0.77) == pytest.approx([0.77, np.nan], nan_ok=True)
