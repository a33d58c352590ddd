"""Properties that hold over the whole range a design may have, tried by hypothesis.

No exception but the documented ones, no number that is not flagged, both equations of the bent pair to 1e-10.
"""

import math

import numpy as np
from day_and_night import examples
from hypothesis import assume, given
from hypothesis import strategies as st

from panelmech.materials.stock import catalogue
from panelmech.mechanics import elastica
from panelmech.mechanics.bend import REASONS, InfeasibleBend, greatest_spacer, solve_bend
from panelmech.mechanics.forming import forming_loads
from panelmech.mechanics.section import bent_pair, wedge_pair
from panelmech.mechanics.wedge import solve_wedge
from panelmech.study.design import LIMITS, Design, from_entry, to_entry
from panelmech.study.study import evaluate
from panelmech.study.verdicts import UNKNOWN, VERDICTS
from panelmech.units import format_number, to_si

GEOMETRY = ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback")
BALANCE = 1e-10


def within(name):
    limit = LIMITS[name]
    low, high = to_si(limit.low, limit.unit), to_si(limit.high, limit.unit)
    linear = st.floats(low, high).map(lambda v: v if abs(v) > 1e-200 else 0.0 if low <= 0 else low)
    if low < 0:
        return st.one_of(linear, st.floats(-0.03, 0.06))
    span = (math.log(max(low, high * 1e-9)), math.log(high))
    return st.one_of(linear, st.floats(*span).map(lambda v: min(max(math.exp(v), low), high)))


anywhere = st.tuples(*(within(name) for name in GEOMETRY))


@st.composite
def bendable(draw):
    """A design that can be bent: the spacer is drawn as a share of the greatest one."""
    length = draw(st.floats(math.log(5e-3), math.log(5.0)).map(math.exp))
    t = min(max(length * draw(st.floats(math.log(1e-4), math.log(0.5)).map(math.exp)), 5e-5), 50e-3)
    g = draw(st.sampled_from([0.0, 1e-4, 1e-3])) * length
    e = draw(st.floats(-0.02, 0.8)) * length
    most = greatest_spacer(length, g, e, t)
    share = draw(st.one_of(st.floats(1e-6, 0.999), st.floats(-25, -3).map(lambda v: 1 - math.exp(v))))
    d = g + share * (most - g)
    assume(d > g and (e >= 0 or d > -2.5 * e))
    return length, t, d, g, e


def residuals(bend):
    """Rise and setback not met, moment and push-out not balanced, each relative to its largest term."""
    th, k, radius = bend.contact_angle, bend.wavenumber, bend.spacer_radius
    s, c, x, i1 = np.sin(th), np.cos(th), elastica.along(th), elastica.across(th)
    y0 = 0.5 * (bend.sheet_thickness + bend.bond_line)
    top = (radius + 0.5 * bend.sheet_thickness) * c
    rise = (y0 + (x * s - i1 * c) / k - top) / max(y0, top)
    setback = (elastica.arclength(th) / k + bend.overhang - bend.free_length) / bend.free_length
    arm_x, arm_y = bend.contact_x, (x * s - i1 * c) / k
    moment = k * k * (arm_x * c + arm_y * s) / bend.land_curvature - 1
    loads = forming_loads(bend, 1.0)
    return rise, setback, moment, loads.opening_energy / loads.push_out_force - 1


@given(anywhere)
def test_one_design_is_bent_or_refused_in_words(design):
    try:
        bend = solve_bend(*design)
    except InfeasibleBend as refusal:
        text = str(refusal)
        assert any(word in text for word in ("spacer diameter", "setback", "free length")) and " mm" in text
        assert "nan" not in text and "–" not in text
        found = solve_bend(*([v] for v in design))
        assert not found.feasible[0] and found.reason[0] in REASONS[1:]
        assert np.isnan(found.contact_angle[0]) and np.isnan(found.mouth[0])
        return
    for name in (
        "contact_angle",
        "contact_arclength",
        "wavenumber",
        "greatest_spacer",
        "condition",
        "mouth",
        "land_curvature",
        "enclosed_area",
        "void_area",
        "front_area",
        "outer_thickness",
        "nose_step",
    ):
        assert math.isfinite(getattr(bend, name)), name
    assert 0 < bend.contact_angle < math.pi / 2 and 0 < bend.contact_arclength <= design[0] * (1 + 1e-12)
    assert design[2] <= bend.greatest_spacer * (1 + 1e-12)
    assert bend.reason == "" and isinstance(bend.near_fold, bool)
    scale = 1.0 if not bend.near_fold else max(bend.condition, 1.0)
    assert max(abs(r) for r in residuals(bend)) < BALANCE * scale


@given(bendable())
def test_forces_balance(design):
    bend = solve_bend(*design)
    # next to the fold the angle carries its conditioning into the sums
    assert max(abs(r) for r in residuals(bend)) < BALANCE * max(1.0, bend.condition)


@given(bendable(), st.floats(1.01, 3.0))
def test_a_larger_spacer_bends_more(design, factor):
    length, t, d, g, e = design
    larger = g + (d - g) * factor
    one = solve_bend(*design)
    assume(larger < one.greatest_spacer)
    assert solve_bend(length, t, larger, g, e).contact_angle > one.contact_angle


@given(bendable(), st.floats(1e-3, 1e3))
def test_scale_changes_no_angle(design, scale):
    one, other = solve_bend(*design), solve_bend(*(scale * v for v in design))
    assert abs(other.contact_angle / one.contact_angle - 1) < 1e-12 * max(1.0, one.condition)


@given(bendable())
def test_sections_are_sound(design):
    bend, wedge = solve_bend(*design), solve_wedge(*design)
    section = bent_pair(bend, 1000.0)
    for name in ("area", "centroid_x", "i_chord", "i_normal", "torsion_constant", "enclosed_area", "curve_moment"):
        assert getattr(section, name) > 0, name
        assert name == "area" or math.isnan(wedge.angle) == math.isnan(getattr(wedge_pair(wedge), name)), name
    assert 0 < section.centroid_x < design[0]
    rod = math.pi * bend.spacer_radius**2
    if design[4] >= 0:
        assert math.isclose(
            bend.void_area + bend.front_area + rod,
            bend.enclosed_area,
            rel_tol=1e-9,
            abs_tol=1e-9 * design[0] * design[1],
        )
    assert bend.mouth > design[3]


strange = st.sampled_from([0.0, -1.0, 1e-300, 1e300, math.nan, math.inf, -math.inf])
given_anything = st.one_of(anywhere, st.tuples(*[st.one_of(strange, st.just(0.1))] * 5))


@examples(15)
@given(st.lists(given_anything, min_size=1, max_size=20))
def test_arrays_never_raise_and_flag_every_nan(designs):
    """What follows from infinite inputs may overflow on the way to nan: numpy's warning is left aside."""
    bend = solve_bend(*np.array(designs).T)
    solved = np.array([bend.contact_angle, bend.contact_arclength, bend.wavenumber, bend.condition])
    assert np.array_equal(np.isfinite(solved).all(axis=0), bend.feasible)
    assert np.array_equal(np.isnan(solved).all(axis=0), ~bend.feasible)
    assert np.array_equal(bend.reason == "", bend.feasible)
    with np.errstate(all="ignore"):
        assert np.array_equal(np.isfinite(bend.mouth) & np.isfinite(bend.front_area), bend.feasible)
        section, loads = bent_pair(bend), forming_loads(bend, 1.0)
    assert np.array_equal(np.isfinite(section.i_chord) & np.isfinite(loads.contact_force), bend.feasible)
    assert solve_wedge(*np.array(designs).T).angle.shape == bend.shape


@st.composite
def any_design(draw):
    """A whole design from anywhere in the table of limits; the parts that must fit are made to."""
    numbers = {name: draw(within(name)) for name in LIMITS}
    numbers["frame_width"] = min(numbers["frame_width"], 0.49 * numbers["span"])
    numbers["spacer_wall"] = min(numbers["spacer_wall"], 0.5 * numbers["spacer_diameter"])
    sheet = draw(st.sampled_from(list(catalogue.sheets.values())))
    adhesive = draw(st.sampled_from(list(catalogue.adhesives.values())))
    return Design(sheet=sheet, adhesive=adhesive, **numbers)


@given(any_design())
def test_any_design_comes_back_from_its_entry(design):
    again = from_entry(to_entry(design))
    assert again.input_hash() == design.input_hash()
    for name in LIMITS:
        one, other = getattr(again, name), getattr(design, name)
        assert abs(one - other) <= 2 * np.spacing(abs(other)), name  # the last bit, also across a power of two


@examples(50)
@given(any_design(), bendable())
def test_any_design_that_can_be_bent_is_judged(design, shape):
    numbers = dict(zip(GEOMETRY, shape, strict=True))
    try:
        study = evaluate(design.replace(**numbers, spacer_wall=0.0), local=False)
    except InfeasibleBend:
        raise AssertionError("a bendable design was refused") from None
    except ValueError as error:
        assert "allowed is" in str(error)  # outside the table of limits
        return
    for check in study.checks:
        if check.kind == "limit":
            assert check.verdict in VERDICTS and (check.verdict == UNKNOWN) == math.isnan(check.reserve)
    assert study.governing.key and study.headline().startswith("Governing: ")


@given(st.floats(allow_nan=True, allow_infinity=True), st.integers(2, 8))
def test_any_number_can_be_shown(value, digits):
    text = format_number(value, digits)
    assert text and text.strip() == text and text not in ("−0", "-0") and "e" not in text.replace("minus infinity", "")
