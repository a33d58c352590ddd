"""Why a single design cannot be bent, in a builder's words: the quantity to change, and by how much.

The amounts are solved for, not estimated, and rounded to the safe side with as many digits as it takes: a design
changed to what the sentence says can be bent (tested).
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from ..units import round_bound, show
from . import elastica
from .bend_solver import (
    NO_FREE_SHEET,
    OFF_THE_SHEET,
    OK,
    REASONS,
    TOO_LARGE,
    TOO_SMALL,
    greatest_diameter,
    solve_chunk,
)

_BEYOND = 1e3  # how many times the largest dimension a remedy is looked for


def explain(code, length, t, d, g, e) -> str:
    """The reason of `code` for one design: free length, sheet thickness, spacer diameter, bond line, setback [m]."""
    words = {TOO_SMALL: _too_small, TOO_LARGE: _too_large, NO_FREE_SHEET: _no_free_sheet, OFF_THE_SHEET: _off_the_sheet}
    return words[code](length, t, d, g, e) if code in words else REASONS[code]


def _too_small(length, t, d, g, e):
    return (
        f"spacer diameter {show(d, 'mm')} does not spread the sheets: it must be larger than the bond line, "
        f"{show(g, 'mm')}"
    )


def _too_large(length, t, d, g, e):
    most = _stated(_greatest(length, t, g, e), False, lambda v: (length, t, v, g, e))
    return (
        f"spacer diameter {show(d, 'mm')} is larger than the greatest one these sheets take, {most}: use a spacer "
        f"of at most that, or a free length of at least {_free_length_for(length, t, d, g, e)} instead of "
        f"{show(length, 'mm')}"
    )


def _no_free_sheet(length, t, d, g, e):
    most = _greatest_setback(length, t, d, g, e)
    stated = _stated(most, False, lambda v: (length, t, d, g, v))
    smaller = f"a setback of at most {stated}, or " if most >= 0 else ""
    return (
        f"setback {show(e, 'mm')} leaves no free sheet between the land and the spacer: use {smaller}a free length "
        f"of at least {_free_length_for(length, t, d, g, e)} instead of {show(length, 'mm')}"
    )


def _off_the_sheet(length, t, d, g, e):
    least = _stated(_least_setback(length, t, d, g), True, lambda v: (length, t, d, g, v))
    return (
        f"setback {show(e, 'mm')} puts the spacer out of touch with the sheets: it must be at least {least} "
        f"for a spacer of {show(d, 'mm')}"
    )


def _stated(bound, up, changed) -> str:
    """A bound [m] as text, with the fewest digits (4 at least) that leave the changed design feasible."""
    for digits in range(4, 10):
        value = round_bound(bound, "mm", digits, up=up)
        _, codes = solve_chunk(*(np.array([v], dtype=float) for v in changed(value)))
        if codes[0] == OK:
            break
    return show(value, "mm", digits)


def _greatest(length, t, g, e) -> float:
    return float(greatest_diameter(*(np.array([v]) for v in (length, t, g, e)))[0])


def _free_length_for(length, t, d, g, e) -> str:
    """Free length whose greatest spacer is this one."""

    def spare(trial):
        found = _greatest(trial, t, g, e)
        return (g if np.isnan(found) else found) - d

    low = high = max(length, e + 0.5 * g)
    while spare(high) < 0 and high < _BEYOND * max(length, e, d):
        high *= 2.0
    if spare(high) < 0:
        return "many times the present one"
    return _stated(brentq(spare, low, high, rtol=1e-13), True, lambda v: (v, t, d, g, e))


def _greatest_setback(length, t, d, g, e) -> float:
    """Setback at which the greatest spacer is this one [m]; -1 where that takes a rod that stands proud."""

    def spare(trial):
        found = _greatest(length, t, g, trial)
        return (g if np.isnan(found) else found) - d

    if spare(0.0) <= 0.0 or e <= 0.0:
        return -1.0
    return brentq(spare, 0.0, e, xtol=1e-13 * length)


def _least_setback(length, t, d, g) -> float:
    """Setback at which the contact sits on the very front edge: I0/k = L, then e = -R (1 + sin th)."""

    def surplus(th):
        lift = 0.5 * (d - g) * np.cos(th) - (g + t) * np.sin(0.5 * th) ** 2
        return float(elastica.lift_ratio(th)) * lift - th * length

    th = brentq(surplus, 0.0, np.pi / 2, xtol=1e-15)
    return -0.5 * d * (1.0 + np.sin(th))
