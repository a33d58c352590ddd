"""How far the results under load can be told, place by place (`study.ranges` says up to where, and why).

What a skin pressure does to land and sheet is reckoned by figures that are the most there can be of pairs pressed
outward, at large deflection too, up to `OUTWARD_TO` times the pressure at which the linear sheet leaves its range
(`loads.response`; tests). So beyond that range, and so far, a check that holds by them holds, and one that does not is
unknown. Beyond, and pressed from outside, where a curve may snap through, they bound nothing.
"""

from __future__ import annotations

import numpy as np

from ..study.ranges import (
    FRAMED,
    PRESSED,
    PRESSED_IN,
    SMALL,
    STOUT,
    TIP,
    blade_told,
    buckling_within,
    joint_within,
    linear_pressed_within,
)

OUTWARD_TO = 3.0  # times the pressure of the linear sheet's range, within which pairs were tried
RESTING_MORE = 3.0  # deflection of a face of a pair whose front only rests, over that of one linear sheet, at most


def told_within(key: str, study, limit) -> tuple:
    """(greatest values [SI] that a check under load can tell, why no further), by its key; the values broadcast to
    those of the check. `study`: a `loads.load_study.LoadStudy`; `limit` [SI] of the check."""
    within, why = _RANGES.get(key, (_anywhere, STOUT))
    return within(study, limit), why


def _anywhere(study, limit):
    """Any value is told, of a part that is nowhere thicker than its chord is long: (..., 1)."""
    return np.where(np.all(blade_told(*study.here), axis=-1, keepdims=True), np.inf, -np.inf)


def _pressed(study, limit):
    """Deflection of the skin that can be told [m], by place."""
    return np.minimum(linear_pressed_within(*study.here), _anywhere(study, limit))


def _compressed(study, limit):
    """Compression of the skin that can be judged [Pa], by place: any where its critical stress is told."""
    return np.minimum(buckling_within(*study.here), _anywhere(study, limit))


def _opened(study, limit):
    """Opening energy that can be told [J/m2], (cases and forming alone, places)."""
    told = np.minimum(joint_within(*study.here), _anywhere(study, limit))
    return np.minimum(told, _and_forming(_under_pressure(study, limit, study.cases, np.inf)))


def _strained(lasting_only: bool):
    """Strain that can be told [-], (cases and forming alone, places), as a function of (study, limit)."""

    def within(study, limit):
        cases = [case for case in study.cases if case.lasting or not lasting_only]
        most = _under_pressure(study, limit, cases, -np.inf)
        return np.minimum(_and_forming(most), _anywhere(study, limit))

    return within


def _tip(study, limit):
    """Deflection of the tip that can be told [m]."""
    return np.minimum(TIP * study.blade.span, _anywhere(study, limit))


def _and_forming(most):
    """Rows of the cases with one of forming alone below them, of which any value is told."""
    return np.concatenate([most, np.full((*most.shape[:-2], 1, most.shape[-1]), np.inf)], axis=-2)


def _under_pressure(study, limit, cases, inward):
    """The most that can be told of what a skin pressure does, (cases, places): any where the sheet is pressed within
    its range or not at all; beyond it the limit itself where the pressure comes from inside, but is not too great to be
    told of; nothing where it is; `inward` where it comes from outside."""
    rows = [i for i, case in enumerate(study.cases) if case in cases]
    pressure = study.response.pressure[..., rows, :]
    if not study.local:
        return np.full_like(pressure, np.inf)
    reach = _reach(study, pressure)
    outward = np.where(np.isfinite(reach) & (reach * OUTWARD_TO < 1.0), -np.inf, limit)
    return np.where(reach < 1.0, np.where(pressure > 0.0, outward, inward), np.inf)


def _reach(study, pressure):
    """How far the sheet may be pressed in over how far a pressure presses it [-]; endless where nothing presses."""
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = linear_pressed_within(*study.here) / (presses(study) * np.abs(pressure))
    return np.where(pressure == 0.0, np.inf, reach)


_RANGES = {  # of the checks under load that have one of their own
    "joint_opening": (_opened, PRESSED_IN),
    "permanent_strain": (_strained(lasting_only=True), PRESSED_IN),
    "short_strain": (_strained(lasting_only=False), PRESSED_IN),
    "skin_buckling": (_compressed, FRAMED),
    "skin_pressed": (_pressed, PRESSED),
    "tip_deflection": (_tip, SMALL),
}
BY_PRESSING = tuple(key for key, (_, why) in _RANGES.items() if why is PRESSED_IN)  # told up to a sheet pressed so far


def presses(study) -> np.ndarray:
    """Deflection of a face per pressure at the places of the response [m/Pa], to judge by.

    Of one linear sheet, its land fixed and its rod supporting it. A face of a pair with a potted front gives no more:
    up to half the thickness 0.86 of it at most with one face pressed, 1.01 with both, 1.04 with both opposite ways.
    With a front that only rests on the rod land and rod turn with the sheets: `RESTING_MORE` times as much, 1.78, 1.51
    and 2.94 at most (40 pairs drawn at random; tests)."""
    more = RESTING_MORE if study.plan.front == "resting" else 1.0
    return more * study.local["press"][..., study.index]


def resting_words(study) -> str:
    """What `presses` counts of a front that only rests, to go on a source; "" for another."""
    return f"; {RESTING_MORE:g} times, for a front that only rests" if study.plan.front == "resting" else ""


def reserve_to_go_by(values, limit, within):
    """Reserves to go by of values that are beyond what can be told, below one; endless for the others."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.maximum(np.minimum(limit, within) / values, 0.0)
    return np.where(values > within, np.where(np.isnan(share), 0.0, share), np.inf)


def apart(key: str, study, limit, values) -> tuple[np.ndarray, np.ndarray]:
    """Two numbers of each value of a check under load (..., rows, places), which run smoothly from part to part: below
    one the first says that the value fails, the second that it is beyond what can be told [-]."""
    within = joint_within(*study.here) if key == "joint_opening" else told_within(key, study, limit)[0]
    within = _anywhere(study, limit) if key in BY_PRESSING and key != "joint_opening" else within
    with np.errstate(divide="ignore", invalid="ignore"):
        over, told = (np.where(values == 0.0, np.inf, most / values) for most in (limit, within))
    fails, told = np.where(limit < within, over, np.inf), np.where(limit < within, np.inf, told)
    if key not in BY_PRESSING or not study.local:
        return fails, told
    rows = [i for i, case in enumerate(study.cases) if case.lasting or key != "permanent_strain"]
    pressure = study.response.pressure[..., rows, :]
    share, outward = _and_forming(_reach(study, pressure)), _and_forming(pressure) > 0.0
    with np.errstate(divide="ignore"):
        fails, farther = (
            np.maximum(fails, 1.0 / share),
            np.minimum(over, np.where(np.isfinite(share), OUTWARD_TO * share, np.inf)),
        )
    return fails, np.minimum(
        told, np.where(outward, np.maximum(share, farther), np.inf if key == "joint_opening" else share)
    )
