"""What is allowed alone: plain arithmetic, and a study loaded with just that is just at its limit."""

from dataclasses import replace

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.blade.blade import Blade
from panelmech.loads.allowable import allowed
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SealedAir
from panelmech.loads.checks import LOAD_RULES
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import Judgement, LoadPlan, Own, Stock
from panelmech.loads.response import respond
from panelmech.study.quantities import gather, quantities

TAPERED = Blade(LEEBOARD, free_length=(0.225, 0.165))
PUSH = PointPush("push", 10.0)
JUDGED = Judgement(
    sheet_shear_strength=Own(60e6),
    nose_bond_strength=Own(8e6),
    resin_strength=Own(50e6),
    tip_deflection=Own(0.03),
    tip_twist=Own(0.02),
)


def study(part=LEEBOARD, *cases, **plan):
    return evaluate_loads(part, LoadPlan(cases or (PUSH,), **{"local": False, "judgement": JUDGED, **plan}))


def test_allowed_moment_by_hand():
    """The rod's strength over three, times EI over E r: 80 MPa of 240; the sheet's and the potting's allow more."""
    found, q = allowed(study(), "moment"), quantities(gather(LEEBOARD))
    expected = 240e6 / 3 * q["chord_stiffness"] / (68.9e9 * 0.009)
    assert found.value == pytest.approx(expected) and set(found.by) == {"spacer_stress"}
    assert found.least == pytest.approx(expected) and found.unknown == ()


@pytest.mark.parametrize("part", [LEEBOARD, TAPERED])
def test_loaded_with_just_that_the_part_is_just_at_its_limit(part):
    """A push at the tip, so large that the moment at the root is the allowable there: the reserve becomes 1."""
    first = allowed(study(part), "moment")
    found = study(part, PointPush("push", float(first.value[0]) / LEEBOARD.span))
    assert found.check(str(first.by[0])).reserve == pytest.approx(1.0) and found.check(str(first.by[0])).position == 0.0
    assert allowed(found, "moment").value == pytest.approx(first.value)


def test_allowed_shear_and_torque_scale_with_the_strength_that_governs_them():
    weaker = replace(JUDGED, nose_bond_strength=Own(4e6))
    for quantity in ("shear", "local_torque"):
        first, half = allowed(study(), quantity), allowed(study(judgement=weaker), quantity)
        assert set(first.by) == {"nose_shear"} and half.value == pytest.approx(0.5 * first.value)


def test_skin_buckling_counts_where_the_framed_sheet_is_worked_out():
    found = study(TAPERED, local=True)
    check, limit = found.check("skin_buckling"), allowed(found, "moment")
    assert set(limit.by) == {"skin_buckling"}
    moment = np.interp(check.position, found.position, np.abs(found.diagrams.moment[0]))
    at = int(np.argmin(np.abs(limit.position - check.position)))
    pressed = (found.response.skin_compression[0] / found.local["buckling"][found.index])[at]
    assert limit.value[at] == pytest.approx(moment / 1.5 / pressed)  # of the moment alone, without its shear
    assert 1.0 < limit.value[at] / (moment * check.reserve) < 1.05


def test_a_torque_alone_is_allowed_as_much_as_the_skin_bears():
    """With so much of it as is allowed at a place the skin is just at its limit there."""
    found = study(LEEBOARD, local=True)
    limit = allowed(found, "local_torque")
    rule = next(rule for rule in LOAD_RULES if rule.key == "skin_buckling")
    nothing = np.zeros((1, len(found.position)))
    alone = respond(*found.sections_at(), nothing, nothing, nothing + 1.0, nothing)
    most = 1.0 / 1.5 / rule.of(found, alone)[0]
    assert "skin_buckling" not in limit.unknown and np.all(limit.value <= most * (1 + 1e-12))
    twice = respond(*found.sections_at(), nothing, nothing, nothing - 2.0, nothing)
    assert rule.of(found, twice) == pytest.approx(2.0 * rule.of(found, alone))


def test_without_a_basis_nothing_is_allowed_or_not():
    found = study(judgement=Judgement())
    assert allowed(found, "shear").unknown == ("sheet_shear", "nose_shear")
    assert set(allowed(found, "shear").by) == {"land_shear"}
    bare = study(LEEBOARD.replace(adhesive=replace(LEEBOARD.adhesive, shear_strength=None)), judgement=Judgement())
    assert np.all(np.isnan(allowed(bare, "local_torque").value)) and np.isnan(allowed(bare, "local_torque").least)


def test_no_load_still_has_an_allowable():
    found = study(LEEBOARD, SealedAir("sun", 293.15, 313.15))
    for quantity in ("moment", "shear"):
        assert allowed(found, quantity).least == pytest.approx(allowed(study(), quantity).least)


def test_of_the_tip_the_users_own_limit():
    assert allowed(study(), "deflection").value == pytest.approx([0.03])
    assert allowed(study(), "twist").position == pytest.approx([LEEBOARD.span])
    assert np.isnan(allowed(study(judgement=Judgement()), "twist").least)


def test_on_the_blade_only_where_a_stock_is_above_it():
    found = study(LEEBOARD, held=Held((-0.3, -0.05)), stock=Stock(0.35, 0.03, 0.0, 70e9, 0.3, 240e6))
    limit = allowed(found, "moment")
    assert limit.position[0] == 0.0 and limit.value.shape == found.position.shape


def test_another_name_is_refused():
    with pytest.raises(ValueError, match="'slope' has no allowable: give one of moment, shear, local_torque"):
        allowed(study(), "slope")


def test_a_torque_alone_that_is_allowed_is_just_at_its_limit():
    """The allowable torque at every place, put back into the response: the nose bond's 8 MPa over three."""
    found = study(TAPERED)
    limit, unit = allowed(found, "local_torque"), found.sections_at()
    zero, ones = np.zeros((1, len(found.position))), limit.value[None]
    stress = respond(*unit, zero, zero, ones, zero).nose_shear[0]
    assert stress == pytest.approx(np.full_like(stress, 8e6 / 3)) and set(limit.by) == {"nose_shear"}
