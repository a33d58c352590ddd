"""What a part may carry at each place along its span: the allowable moment, shear and torque, each acting alone.

Every stress is linear in its moment, shear force or torque, so the allowable one is the check's limit over the stress
of one unit (`loads.response.respond` with a moment of 1 N m, a shear of 1 N, a torque of 1 N m; derived here). Of
several checks the least counts. Left out are the checks that other loads share in: strain with forming, opening of
the land, skin pressed in. Where loads act together less is allowed: the use of the limits says how much.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .checks import FLOWS, LOAD_RULES
from .response import respond

OF_TIP = ("deflection", "twist")
ALONE = ("moment", *FLOWS, *OF_TIP)  # diagrams that have an allowable


@dataclass(frozen=True, eq=False)
class Allowed:
    """What one quantity may be along the part. `position` (m,) from the root end [m]; `value` (m,), nan where no check
    has a limit; `by` (m,), key of the check that limits it, empty where none; `unknown`, keys of checks without a
    basis."""

    quantity: str
    position: np.ndarray
    value: np.ndarray
    by: np.ndarray
    unknown: tuple

    @property
    def least(self) -> float:
        """The least along the part; nan where nothing is known."""
        return float(np.nanmin(self.value)) if np.any(np.isfinite(self.value)) else np.nan


def allowed(study, quantity: str) -> Allowed:
    """Allowable "moment" [N m], "shear" [N] or "local_torque" (about the shear centre) [N m] of a `LoadStudy`.

    "deflection" [m] and "twist" [rad]: the user's own limit of the tip, at the tip. ValueError for another name.
    """
    if quantity not in ALONE:
        raise ValueError(f"{quantity!r} has no allowable: give one of {', '.join(ALONE)}")
    if quantity in OF_TIP:
        key = f"tip_{quantity}"
        check = study.check(key)
        by = "" if np.isnan(check.limit) else key
        return Allowed(quantity, study.position[-1:], np.array([check.limit]), np.array([by]), () if by else (key,))
    rules = [rule for rule in LOAD_RULES if quantity in rule.alone and rule.applies(study)]
    checks = [study.check(rule.key) for rule in rules]
    unknown = tuple(check.key for check in checks if np.isnan(check.reserve))
    unit = _unit_response(study, quantity)
    known = [
        (r.key, c.along[2] / r.of(study, unit)[0]) for r, c in zip(rules, checks, strict=True) if r.key not in unknown
    ]
    if not known:
        nothing = np.full(study.position.shape, np.nan)
        return Allowed(quantity, study.position, nothing, np.full(study.position.shape, ""), unknown)
    keys, rows = np.array([key for key, _ in known]), np.array([row for _, row in known])
    first = np.argmin(np.where(np.isnan(rows), np.inf, rows), axis=0)
    value = np.take_along_axis(rows, first[None], axis=0)[0]
    return Allowed(quantity, study.position, value, keys[first], unknown)


def _unit_response(study, quantity):
    nothing, one = np.zeros((1, len(study.position))), np.ones((1, len(study.position)))
    cut = [one if name == quantity else nothing for name in ("shear", "moment", "local_torque")]
    return respond(*study.sections_at(), *cut, nothing, study.plan.front)
