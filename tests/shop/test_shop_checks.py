"""Checks of resin and pours: verdicts, what is unknown, and where each limit comes from."""

import math

import pytest

from panelmech.materials.stock import ResinSystem, catalogue
from panelmech.shop.checks import heat_check, trade_checks
from panelmech.study.verdicts import DEFAULT

SLOW = catalogue.resin_systems["epoxy 3:1 by volume, slow clear hardener"]
FAST = catalogue.resin_systems["epoxy 5:1, fast hardener"]
BARE = ResinSystem("bare", "", weight_ratio=2.0)


def verdicts(*arguments, **more):
    return {check.key: check.verdict for check in trade_checks(*arguments, **more)}


def test_a_slow_system_in_a_warm_shop_holds():
    found = verdicts(SLOW, 295.15, lift=4e-3, frame_depth=0.015, service=318.15)
    assert found == dict.fromkeys(
        ("slow_hardener", "ratios", "shop_temperature", "lift_depth", "frame_depth", "service"), "holds"
    )


@pytest.mark.parametrize(
    ("arguments", "more", "key", "verdict"),
    [
        ((FAST, 295.15), {}, "slow_hardener", "fails"),
        ((SLOW, 283.15), {}, "shop_temperature", "fails"),
        ((SLOW, 295.15), {"lift": 5.5e-3}, "lift_depth", "close"),
        ((SLOW, 295.15), {"lift": 6e-3}, "lift_depth", "close"),
        ((SLOW, 295.15), {"lift": 6.1e-3}, "lift_depth", "fails"),
        ((FAST, 295.15), {"lift": 1e-3}, "lift_depth", "unknown"),
        ((SLOW, 295.15), {"frame_depth": 0.02}, "frame_depth", "holds"),
        ((SLOW, 295.15), {"frame_depth": 0.03}, "frame_depth", "fails"),
        ((SLOW, 295.15), {"service": 330.0}, "service", "fails"),
        ((BARE, 295.15), {}, "ratios", "unknown"),
        ((BARE, 295.15), {}, "slow_hardener", "unknown"),
        ((BARE, 295.15), {}, "shop_temperature", "unknown"),
        ((SLOW.with_own(weight_ratio=2.0), 295.15), {}, "ratios", "fails"),
    ],
)
def test_verdicts(arguments, more, key, verdict):
    assert verdicts(*arguments, **more)[key] == verdict


def test_reserves_in_plain_arithmetic_and_none_of_temperatures():
    checks = {check.key: check for check in trade_checks(SLOW, 295.15, lift=4e-3)}
    assert checks["lift_depth"].reserve == pytest.approx(1.5) and checks["slow_hardener"].reserve == pytest.approx(2.0)
    assert math.isnan(checks["shop_temperature"].reserve)
    assert checks["lift_depth"].limit_text() == "6.00 mm" and checks["shop_temperature"].value_text() == "22.0 °C"
    assert checks["ratios"].value_text() == "16.7 %" and checks["slow_hardener"].need == "at least"


def test_bases():
    checks = {check.key: check for check in trade_checks(SLOW, 295.15, lift=4e-3, frame_depth=0.01)}
    assert checks["lift_depth"].basis == "maker's guide" and checks["frame_depth"].basis == "common practice"
    assert "no source" in checks["frame_depth"].source and "no source" in checks["slow_hardener"].source
    own = {check.key: check for check in trade_checks(SLOW.with_own("tin", lift_depth=9e-3), 295.15, lift=8e-3)}
    assert (own["lift_depth"].basis, own["lift_depth"].source) == ("user", "tin")


def test_the_highest_service_temperature_goes_before_the_glass_transition():
    *_, check = trade_checks(SLOW.with_own(max_service=313.15), 295.15, service=318.15)
    assert check.key == "service" and check.verdict == "fails" and check.limit == 313.15


@pytest.mark.parametrize("more", [{"lift": 0.0}, {"frame_depth": -1.0}, {"service": float("nan")}])
def test_refused(more):
    with pytest.raises(ValueError, match="positive"):
        trade_checks(SLOW, 295.15, **more)


@pytest.mark.parametrize(
    ("changes", "key", "verdict"),
    [
        ({"pot_life": 1199.0}, "slow_hardener", "fails"),
        ({"pot_life": 1200.0}, "slow_hardener", "close"),
        ({"pot_life": 1499.0}, "slow_hardener", "close"),
        ({"pot_life": 1501.0}, "slow_hardener", "holds"),
        ({"weight_ratio": 3.57}, "ratios", "holds"),  # 19 % more than 3 by volume
        ({"weight_ratio": 3.63}, "ratios", "close"),
        ({"weight_ratio": 3.78}, "ratios", "fails"),
        ({"weight_ratio": 2.43}, "ratios", "holds"),  # 19 % less
        ({"weight_ratio": 2.37}, "ratios", "close"),
        ({"weight_ratio": 2.22}, "ratios", "fails"),
        ({"weight_ratio": 0.3}, "ratios", "fails"),
    ],
)
def test_both_sides_of_what_the_trade_asks_of_a_system(changes, key, verdict):
    assert verdicts(SLOW.with_own(**changes), 295.15)[key] == verdict


@pytest.mark.parametrize(
    ("more", "key", "verdict"),
    [
        ({"lift": 4.79e-3}, "lift_depth", "holds"),  # 6 mm over it is just more than 1.25
        ({"lift": 4.81e-3}, "lift_depth", "close"),
        ({"lift": 4.81e-3, "close_share": 0.2}, "lift_depth", "holds"),
        ({"frame_depth": 0.02}, "frame_depth", "holds"),  # no share is asked of what is plenty
        ({"frame_depth": 0.0201}, "frame_depth", "fails"),
        ({"service": SLOW.glass_transition}, "service", "holds"),
        ({"service": SLOW.glass_transition + 0.1}, "service", "fails"),
    ],
)
def test_both_sides_of_what_is_asked_of_a_pour(more, key, verdict):
    assert SLOW.max_service is None
    assert verdicts(SLOW, 295.15, **more)[key] == verdict


def test_the_coldest_shop_allowed_holds():
    lowest = SLOW.lowest_temperature
    assert [verdicts(SLOW, t)["shop_temperature"] for t in (lowest, lowest - 0.1)] == ["holds", "fails"]


def test_what_is_not_told_is_not_checked():
    assert [*verdicts(SLOW, 295.15)] == ["slow_hardener", "ratios", "shop_temperature"]
    for name, key in (("lift", "lift_depth"), ("frame_depth", "frame_depth"), ("service", "service")):
        assert [*verdicts(SLOW, 295.15, **{name: 0.004})][3:] == [key]


def test_a_pour_that_holds_only_with_care_is_close():
    """A limit of 60 °C: 59 holds, and with what a careless pour does it is close; 61 fails either way."""
    careless = ("poured a tenth deeper it reaches 70.0 °C",)
    told = {
        (peak, misses): heat_check(peak, 333.15, "data", misses)
        for peak in (332.15, 333.15, 334.15)
        for misses in ((), careless)
    }
    assert [check.verdict for check in told.values()] == ["holds", "close", "holds", "close", "fails", "fails"]
    assert told[332.15, careless].advice.startswith("poured a tenth deeper it reaches 70.0 °C: pour thinner lifts")
    assert told[334.15, careless].advice.startswith("pour thinner lifts") and math.isnan(told[332.15, ()].reserve)
    assert (told[332.15, ()].basis, heat_check(300.0, 333.15, "data", default=True).basis) == ("user", DEFAULT)
