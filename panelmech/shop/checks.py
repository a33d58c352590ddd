"""Checks of resin and pours against the data sheet and what the trade holds to.

Each is a `Check` as in the table of a study: value, limit, reserve, verdict, basis, source. A limit that nobody gave is
"unknown". What the trade knows without a source says so: "common practice".
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..materials.stock import ResinSystem
from ..study.verdicts import CLOSE, DEFAULT, HOLDS, check_of, rate
from ..units import read_number
from .volumes import FRAME_PLENTY, frame_plenty

SLOW_POT_LIFE = 1200.0  # s for 100 g; what counts as slow: judgement
HOTTER = "pour thinner lifts, cool the shop, or take a slower resin"
RATIOS_APART = 0.25  # ratio by weight over that by volume, less one; systems run from 0 to 17 %


def trade_checks(system: ResinSystem, shop_temperature, lift=None, frame_depth=None, service=None, close_share=0.25):
    """Checks of a system for potting, as a tuple of `Check`.

    shop_temperature [K]; lift [m]: depth of a pour; frame_depth [m]: of a closing frame; service [K]: hottest the part
    gets. What is None is not checked. close_share: as in a design. ValueError for a value that is not positive.
    """
    given = {"shop_temperature": (shop_temperature, "K"), "lift": (lift, "mm")}
    given |= {"frame_depth": (frame_depth, "mm"), "service": (service, "K")}
    for name, (value, unit) in given.items():
        if value is not None:
            read_number(value, name, unit, above=0.0, hint="or None")
    return (
        _slow(system, close_share),
        _ratio(system, close_share),
        _shop(system, shop_temperature),
        *(() if lift is None else (_lift(system, lift, close_share),)),
        *(() if frame_depth is None else (_frame(frame_depth),)),
        *(() if service is None else (_service(system, service),)),
    )


def _slow(system, close_share):
    return _check(
        "slow_hardener",
        "Pot life, slow enough for potting",
        system.pot_life,
        SLOW_POT_LIFE,
        "min",
        ("common practice", "slow hardener for potting, no source; 20 min for what is slow is judgement"),
        "take a slower hardener of the same maker; never change the ratio",
        close_share,
        missing="enter the pot life of 100 g, from its data sheet",
        ceiling=False,
    )


def _ratio(system, close_share):
    known = None not in (system.weight_ratio, system.volume_ratio)
    return _check(
        "ratios",
        "Ratio by weight beside that by volume, apart by",
        abs(system.weight_ratio / system.volume_ratio - 1.0) if known else None,
        RATIOS_APART,
        "%",
        ("common practice", "slightly different, no source; a mix-up of the two shows here"),
        "look up both mixing ratios again, and which is by weight",
        close_share,
        missing="enter both ratios, by weight and by volume, from its data sheet",
    )


def _shop(system, temperature):
    return _check(
        "shop_temperature",
        "Temperature of the shop",
        temperature,
        system.lowest_temperature,
        "degC",
        system.basis_of("lowest_temperature"),
        "warm shop, parts and resin first",
        missing="enter the lowest temperature it cures at, from its data sheet",
        ceiling=False,
    )


def _lift(system, lift, close_share):
    return _check(
        "lift_depth",
        "Depth of a lift",
        lift,
        system.lift_depth,
        "mm",
        system.basis_of("lift_depth"),
        "pour thinner lifts, each on the one before while it is past its heat and still tacky",
        close_share,
        missing="enter the greatest depth of a lift, from its data sheet",
    )


def _frame(depth):
    return _check(
        "frame_depth",
        "Depth of a closing frame",
        depth,
        FRAME_PLENTY[1],
        "mm",
        ("common practice", f"{frame_plenty('1 to 2 cm')} is plenty, no source"),
        "more adds weight and heat; set the dam nearer to the end",
    )


def _service(system, service):
    quantity = "max_service" if system.max_service is not None else "glass_transition"
    return _check(
        "service",
        "Hottest the part gets",
        service,
        getattr(system, quantity),
        "degC",
        system.basis_of(quantity),
        "paint it light, keep it out of the sun, post-cure it, or take a system that bears more",
        missing="enter the hottest it may get in service, or its glass transition, from its data sheet",
    )


def heat_check(peak, limit, label, misses=(), default=False):
    """Hottest point of a lift as poured against its limit [K]; `label`: whose data the heat is by; `misses`: what goes
    beyond it with a little less care, in words (`heat.Margin`): what holds is then close; `default`: whether the limit
    is one that nobody has made his own."""
    check = _check(
        "pour_heat",
        "Hottest point of a lift as poured",
        peak,
        limit,
        "degC",
        (DEFAULT, f"heat from {label}") if default else ("user", f"limit as entered; heat from {label}"),
        HOTTER,
    )
    if check.verdict == HOLDS and misses:
        return replace(check, verdict=CLOSE, advice=f"{' and '.join(misses)}: {HOTTER}")
    return check


def _check(key, name, value, limit, unit, basis, advice, close_share=0.0, missing="", ceiling=True):
    """One line; of temperatures no reserve is stated, since a ratio of kelvins says nothing."""
    rated = rate(value, limit, close_share, ceiling)
    check = check_of(rated, key, name, unit, *basis, advice=advice, missing=missing, ceiling=ceiling)
    return replace(check, reserve=np.nan) if unit == "degC" else check
