"""Many parts at once against each alone: sizes, sheets, a stock above the root, a bolt, parts that cannot be made."""

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.blade.blade import Blade
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SideForce, WaterHead
from panelmech.loads.fittings import BearingBolt
from panelmech.loads.load_file import fitting_checks
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.many import ManyParts, _columns, rate_many
from panelmech.loads.plan import Judgement, LoadPlan, Own, Stock
from panelmech.materials.stock import catalogue

DESIGNS = [
    LEEBOARD,
    LEEBOARD.replace(spacer_diameter=0.2),  # which no sheet of this length takes
    LEEBOARD.replace(spacer_diameter=0.016, spacer_wall=0.001),
    LEEBOARD.replace(sheet=catalogue["okoume plywood, face grain along chord"], sheet_thickness=4e-3),
    LEEBOARD.replace(setback=0.001),
]
CASES = (
    SideForce("sailing", 2.0, 1025.0, angle=0.08, immersed_from=0.25),
    PointPush("aground", 40.0),
    WaterHead("full", 0.2, 1000.0, lasting=True),
)
JUDGED = Judgement(tip_deflection=Own(0.05), tip_twist=Own(0.1), resin_strength=Own(60e6))
ABOVE = Stock(0.5, 0.03, 0.0, 70e9, 0.3, 200e6)
PLANS = {
    "clamped": LoadPlan(CASES, judgement=JUDGED, stations=7, local=False),
    "stock": LoadPlan(CASES, Held((-0.4, -0.1), -0.4), JUDGED, ABOVE, "resting", 0.2, stations=7, local=False),
}
BOLT = BearingBolt("bolt", 1, 0.01, 0.02, 0.03, bolt_shear=Own(200e6), bearing_strength=Own(300e6))


@pytest.mark.parametrize("name", PLANS)
def test_many_parts_come_to_what_each_does_alone(name):
    plan, blade = PLANS[name], Blade(LEEBOARD)
    fittings = (BOLT,) if name == "stock" else ()
    parts = ManyParts(blade, DESIGNS, plan)
    assert parts.made.tolist() == [True, False, True, True, True]
    rated = rate_many(parts, range(4), fittings=fittings)
    for i, design in enumerate(parts.designs):
        study = evaluate_loads(design, plan)
        checks = {c.key: c for c in (*study.checks, *fitting_checks(study, fittings)) if c.kind == "limit"}
        assert set(rated) == set(checks)
        for key, check in checks.items():
            label, one = rated[key]
            assert label == check.name
            assert one.reserve[i] == pytest.approx(check.reserve, rel=1e-9, nan_ok=True), key


def test_some_of_many_are_themselves_and_stand_by_stock():
    parts = ManyParts(Blade(LEEBOARD), DESIGNS, PLANS["clamped"])
    assert [rows.tolist() for rows in parts.by_stock([3, 2, 0])] == [[0, 2], [1]]
    every, some = rate_many(parts, range(4)), rate_many(parts, [3, 2])
    for key, (_, rated) in some.items():
        np.testing.assert_allclose(rated.reserve, every[key][1].reserve[[3, 2]], rtol=1e-12)


def test_none_that_can_be_made():
    parts = ManyParts(Blade(LEEBOARD), DESIGNS[1:2], PLANS["clamped"])
    assert parts.made.tolist() == [False] and parts.designs == []


def test_limits_of_stocks_one_below_the_other():
    """A number for two parts, and numbers by place for one: all by place."""
    found = _columns([3.0, np.array([[[1.0, 2.0, 4.0]]])], [2, 1])
    assert found.tolist() == [[[3.0, 3.0, 3.0]], [[3.0, 3.0, 3.0]], [[1.0, 2.0, 4.0]]]
    assert _columns([3.0, 5.0], [1, 2]).tolist() == [[[3.0]], [[5.0]], [[5.0]]]
