"""Diagrams along the span: balance, jumps, steps, many cases at once, scaling, and what is refused.

Against tables, closed forms and second roads: validation/test_span_beams.py.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.loads.beam import Held, PointLoad, span_diagrams
from panelmech.mechanics.span_curves import checked_stations, curve, resample, span_integral, stiffness_curve, with_step

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


def test_curves_carry_many_rows_and_unknown_values():
    rows = np.array([Z, 2 * Z, np.full(16, np.nan)])
    assert span_integral(Z, rows[:2]) == pytest.approx([1.5**2 / 2, 1.5**2])
    assert resample(Z, rows[:2], [0.2, 0.9]) == pytest.approx(np.array([[0.2, 0.9], [0.4, 1.8]]))
    assert np.all(np.isnan(curve(Z, rows[2])(0.5)))
