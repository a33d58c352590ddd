"""Checks of resin and pours: verdicts, what is unknown, and where each limit comes from."""

import math

import pytest

from panelmech.materials.stock import ResinSystem, catalogue
from panelmech.shop.checks import trade_checks

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
