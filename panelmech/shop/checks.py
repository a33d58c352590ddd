"""Checks of resin and pours against the data sheet and what the trade holds to.

Each is a `Check` as in the table of a study: value, limit, reserve, verdict, basis, source. A limit that nobody gave is
"unknown". What the trade knows without a source says so: "common practice".
"""

from __future__ import annotations

import numpy as np

from ..materials.stock import ResinSystem
from ..study.checks import CLOSE, FAILS, HOLDS, UNKNOWN, Check

FRAME_PLENTY = 0.02  # m; common practice: 1 to 2 cm of closing frame is plenty
SLOW_POT_LIFE = 1200.0  # s for 100 g; what counts as slow: judgement
RATIOS_APART = 0.25  # ratio by weight over that by volume, less one; systems run from 0 to 17 %


def trade_checks(system: ResinSystem, shop_temperature, lift=None, frame_depth=None, service=None, close_share=0.25):
    """Checks of a system for potting, as a tuple of `Check`.

    shop_temperature [K]; lift [m]: depth of a pour; frame_depth [m]: of a closing frame; service [K]: hottest the part
    gets. What is None is not checked. close_share: as in a design. ValueError for a value that is not positive.
    """
    for name, value in (
        ("shop_temperature", shop_temperature),
        ("lift", lift),
        ("frame_depth", frame_depth),
        ("service", service),
    ):
        if value is not None and not (np.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} is {value}: give a positive number in SI units, or None")
    found = [_slow(system, close_share), _ratio(system, close_share), _shop(system, shop_temperature)]
    if lift is not None:
        basis, source = system.basis_of("lift_depth")
        advice = "pour thinner lifts, each on the one before while it is past its heat and still tacky"
        found.append(
            _check("lift_depth", "Depth of a lift", lift, system.lift_depth, "mm", basis, source, advice, close_share)
        )
    if frame_depth is not None:
        found.append(
            _check(
                "frame_depth",
                "Depth of a closing frame",
                frame_depth,
                FRAME_PLENTY,
                "mm",
                "common practice",
                "1 to 2 cm is plenty, no source",
                "more adds weight and heat; set the dam nearer to the end",
                0.0,
            )
        )
    if service is not None:
        found.append(_service(system, service))
    return tuple(found)


def _slow(system, close_share):
    return _check(
        "slow_hardener",
        "Pot life, slow enough for potting",
        system.pot_life,
        SLOW_POT_LIFE,
        "min",
        "common practice",
        "slow hardener for potting, no source; 20 min for what is slow is judgement",
        "take a slower hardener of the same maker; never change the ratio",
        close_share,
        floor=True,
    )


def _ratio(system, close_share):
    known = None not in (system.weight_ratio, system.volume_ratio)
    apart = abs(system.weight_ratio / system.volume_ratio - 1.0) if known else None
    return _check(
        "ratios",
        "Ratio by weight beside that by volume, apart by",
        apart,
        RATIOS_APART,
        "%",
        "common practice",
        "slightly different, no source; a mix-up of the two shows here",
        "look up both ratios again, and which of them is which",
        close_share,
    )


def _shop(system, temperature):
    basis, source = system.basis_of("lowest_temperature")
    return _check(
        "shop_temperature",
        "Temperature of the shop",
        temperature,
        system.lowest_temperature,
        "degC",
        basis,
        source,
        "warm shop, parts and resin first",
        0.0,
        floor=True,
    )


def _service(system, service):
    quantity = "max_service" if system.max_service is not None else "glass_transition"
    basis, source = system.basis_of(quantity)
    return _check(
        "service",
        "Hottest the part gets",
        service,
        getattr(system, quantity),
        "degC",
        basis,
        source,
        "paint it light, keep it out of the sun, post-cure it, or take a system that bears more",
        0.0,
    )


def _check(key, name, value, limit, unit, basis, source, advice, close_share, floor=False):
    """One line; of temperatures no reserve is stated, since a ratio of kelvins says nothing."""
    value, limit = (np.nan if part is None else float(part) for part in (value, limit))
    with np.errstate(divide="ignore", invalid="ignore"):
        reserve = np.divide(value, limit) if floor else np.divide(limit, value)
    if np.isnan(reserve):
        verdict = UNKNOWN
    else:
        verdict = FAILS if reserve < 1.0 - 1e-12 else CLOSE if reserve < 1.0 + close_share else HOLDS
    shown = np.nan if unit == "degC" else float(reserve)
    said = advice if verdict in (FAILS, UNKNOWN) else ""
    return Check(
        key, name, value, limit, shown, verdict, unit, basis, source, said, need="at least" if floor else "at most"
    )
