"""Under load too a result beyond its range is no number; what holds by an upper bound holds, what fails by it is not
known."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.loads.cases import PointPush, SealedAir, WaterHead
from panelmech.loads.checks import LOAD_RULES
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import Judgement, LoadPlan, Own
from panelmech.loads.ranges import apart
from panelmech.study.ranges import HALF, TIP
from panelmech.study.verdicts import BEYOND, FAILS, HOLDS, UNKNOWN, VERDICTS

PRESS = evaluate_loads(LEEBOARD, LoadPlan((PointPush("push", 1.0),), stations=5)).local["press"][0]
HALF_WAY = HALF * LEEBOARD.sheet_thickness / PRESS  # the pressure at which the sheet leaves its range [Pa]
FRAMED: dict = {}  # sheets worked out once for all loads on them
DRIVEN = ("joint_opening", "permanent_strain", "short_strain")


def under(pressure, inside=True, design=LEEBOARD, **plan):
    case = WaterHead("water", pressure / 9806.65, 1000.0, inside=inside)
    return evaluate_loads(design, LoadPlan((case,), stations=5, **plan))


@pytest.mark.parametrize("share", [0.5, 0.99, 1.01, 2.0, 10.0])
def test_pressed_skin_is_told_up_to_half_the_thickness(share):
    check = under(share * HALF_WAY).check("skin_pressed")
    if share < 1.0:
        assert check.value == pytest.approx(share * HALF * LEEBOARD.sheet_thickness, rel=2e-3) and not check.beyond
    else:
        assert check.value_text() == BEYOND and check.verdict == UNKNOWN and np.isnan(check.reserve)


def test_it_surely_fails_where_its_limit_lies_within_the_range():
    check = under(3.0 * HALF_WAY, design=LEEBOARD.replace(deflection_share=0.002)).check("skin_pressed")
    assert check.verdict == FAILS and check.beyond and check.reserve < 1.0 and "at most" in check.reserve_text()


@pytest.mark.parametrize("inside", [True, False])
def test_what_pressure_does_to_land_and_sheet_beyond_its_range(inside):
    """From inside the linear figure is the most there can be; from outside a curve may snap through."""
    slight, heavy = (under(share * HALF_WAY, inside) for share in (0.9, 1.2))
    assert not any(slight.check(key).beyond for key in DRIVEN)
    for key in DRIVEN[1:]:
        if heavy.check(key).beyond:
            assert heavy.check(key).verdict == UNKNOWN
        else:
            assert inside and heavy.check(key).verdict == HOLDS
    crushed = under(30.0 * HALF_WAY, inside)
    assert all(crushed.check(key).verdict == UNKNOWN for key in DRIVEN[inside is False :])
    assert all(crushed.check(key).value_text() == BEYOND for key in DRIVEN[inside is False :])


def test_sealed_air_in_the_sun_is_beyond_what_can_be_told():
    study = evaluate_loads(LEEBOARD, LoadPlan((SealedAir("sun", 293.15, 333.15),), stations=5))
    assert study.check("skin_pressed").value_text() == study.check("joint_opening").value_text() == BEYOND
    assert study.verdict == UNKNOWN and BEYOND in study.headline().lower()


def test_tip_beyond_a_tenth_of_the_span():
    push, judged = PointPush("push", 100.0), Judgement(tip_deflection=Own(0.2))
    tip = evaluate_loads(LEEBOARD, LoadPlan((push,), stations=5, local=False)).check("tip_deflection").value
    for share in (0.9, 1.1):
        case = PointPush("push", 100.0 * share * TIP * LEEBOARD.span / tip)
        plan = LoadPlan((case,), judgement=judged, stations=5, local=False)
        check = evaluate_loads(LEEBOARD, plan).check("tip_deflection")
        assert bool(check.beyond) == (check.verdict == UNKNOWN) == (share > 1.0)


def test_a_part_thicker_than_its_chord_is_no_blade():
    sizes = dict(free_length=0.05, spacer_diameter=0.022, land_length=0.002, setback=-0.011)
    stout = LEEBOARD.replace(sheet_thickness=0.025, **sizes)
    study = evaluate_loads(stout, LoadPlan((PointPush("push", 10.0),), stations=5, local=False))
    assert float(np.max(study.along.sections.thickness_ratio)) > 1.0
    assert all(c.verdict == UNKNOWN for c in study.limits) and study.verdict == UNKNOWN


@pytest.mark.parametrize("pressure", [0.0, 0.05, -0.05])
def test_where_nothing_presses_the_sheet_strain_is_told_whatever_the_sheet(pressure):
    """A sheet too thick for its sides, which no pressing in is told of: under a push alone none is asked for."""
    thick = LEEBOARD.replace(free_length=0.1, sheet_thickness=0.0215, spacer_diameter=0.006, setback=0.0)
    cases = [PointPush("push", 1.0, lasting=True)]
    cases += [WaterHead("water", abs(pressure) / 9806.65, 1000.0, inside=pressure > 0.0)] * (pressure != 0.0)
    with_framed, without = (
        evaluate_loads(thick, LoadPlan(cases, stations=5, local=on), FRAMED) for on in (True, False)
    )
    strain, plain = (study.check("short_strain") for study in (with_framed, without))
    assert (strain.verdict == UNKNOWN) == bool(strain.beyond) == (pressure < 0.0)
    assert pressure < 0.0 or (strain.value, strain.verdict) == (plain.value, plain.verdict)


LONG_LAND = LEEBOARD.replace(land_length=LEEBOARD.free_length + 0.001)


@pytest.mark.parametrize("rule", [rule for rule in LOAD_RULES if rule.key in DRIVEN], ids=lambda rule: rule.key)
@pytest.mark.parametrize("design", [LEEBOARD, LONG_LAND], ids=["usual", "land longer than the sheet"])
def test_what_fails_and_what_cannot_be_told_apart(rule, design):
    """The smooth numbers that scatter goes by are below one just where the check fails, or cannot be told: of lasting
    and of other water, inside and outside, within the range of the pressed sheet and beyond it."""
    shares = ((0.97, True), (-0.97, True), (1.2, False), (-1.2, False), (3.0, True), (30.0, True), (0.05, False))
    cases = [
        WaterHead(f"{share}", abs(share) * HALF_WAY / 9806.65, 1000.0, inside=share > 0.0, lasting=lasting)
        for share, lasting in shares
    ]
    study = evaluate_loads(design, LoadPlan(cases, stations=5), FRAMED)
    limit, values = rule.limit(study).value, rule._judged(study)[0]
    for share in (0.3, 1.0, 3.0):
        fails, told = apart(rule.key, study, share * limit, values)
        rated = rule.rated(study, share * limit)
        failing, unknown = (rated.code == VERDICTS.index(word) for word in (FAILS, UNKNOWN))
        if rule.key == "joint_opening":  # a pressure from outside shuts the land: forming alone fails before it does
            open_ = np.append(np.array([share > 0.0 for share, _ in shares]), True)
            fails, failing = fails[open_], failing[open_]
        np.testing.assert_array_equal(fails < 1.0, np.broadcast_to(failing, np.shape(fails)))
        np.testing.assert_array_equal(told < 1.0, np.broadcast_to(unknown, np.shape(told)))


@pytest.mark.parametrize(("limit", "failing"), [(0.9, True), (1.0, False), (1.1, False)])
def test_a_limit_just_where_the_range_ends_is_not_within_it(limit, failing):
    """Of a tip that moves a fifth more than can be told: it surely fails by a lesser limit alone."""
    study = evaluate_loads(LEEBOARD, LoadPlan((PointPush("push", 1.0),), stations=5, local=False))
    most = TIP * LEEBOARD.span
    fails, told = apart("tip_deflection", study, limit * most, np.array([[1.2 * most]]))
    assert (fails.item() < 1.0, told.item() < 1.0) == (failing, not failing)
    assert min(fails.item(), told.item()) == pytest.approx(min(limit, 1.0) / 1.2, rel=1e-12)
