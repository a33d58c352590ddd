"""Monte Carlo beside the linear rule, where a camber bends too much over its own uncertainty (JCGM 101:2008).

Whether it does is told by two more bends: every input moved at once along the steepest way, as far as the expanded
uncertainty reaches either way. Where the camber there is off the straight line by more than `OFF` of that, the inputs
are drawn; each as far off its mean as it may be, times the coverage factor over that of known uncertainties, so that
the interval is the expanded uncertainty's where the linear rule holds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .one_pass import OnePass
from .worth import LEVEL, Measured, coverage_factor

OFF = 0.1  # of the expanded uncertainty
DRAWS, SEED = 400, 20240917  # the ends of the interval are then known to about a tenth of its half


@dataclass(frozen=True)
class Drawn:
    """Camber by Monte Carlo: `low` and `high` hold 95 %, as much left out below as above [m], infinite where more than
    that cannot be bent; `unbent`: share of draws that cannot be bent; `count`, `seed`."""

    low: float
    high: float
    unbent: float
    count: int = DRAWS
    seed: int = SEED

    def sure(self, tolerance: float) -> bool:
        """Whether the verdict on a tolerance [m] is the same all over the interval."""
        within = max(-self.low, self.high) < tolerance
        return within or self.low > tolerance or self.high < -tolerance


def drawn_beside(inputs: OnePass, sides, camber: Measured, count: int = DRAWS, seed: int = SEED) -> Drawn | None:
    """The camber by Monte Carlo where the linear rule is off; else None."""
    return draw_camber(inputs, sides, camber, count, seed) if _bends(inputs, sides, camber) else None


def _bends(inputs, sides, camber):
    if not camber.uncertainty:
        return False
    k = coverage_factor(camber.dof)
    columns = {}
    for key, reading in inputs.inputs.items():
        steep = camber.slopes.get(reading.name, 0.0) * reading.uncertainty / camber.uncertainty
        columns[key] = reading.mean + np.array([-1.0, 1.0]) * k * steep * reading.uncertainty
    straight = camber.value + np.array([-1.0, 1.0]) * camber.expanded
    there = np.asarray(inputs.camber(columns, sides), dtype=float)
    return not bool(np.all(np.abs(there - straight) <= OFF * camber.expanded))


def draw_camber(inputs: OnePass, sides, camber: Measured, count: int = DRAWS, seed: int = SEED) -> Drawn:
    """The camber of many pairs that the readings may come from; `camber`: by the linear rule."""
    chance, wider = np.random.default_rng(seed), coverage_factor(camber.dof) / coverage_factor(np.inf)
    columns = {key: r.mean + wider * r.draw(chance, count) for key, r in inputs.inputs.items()}
    found = np.asarray(inputs.camber(columns, sides), dtype=float)
    there = np.isfinite(found)
    unbent = 1.0 - float(np.mean(there))
    if unbent > 1.0 - LEVEL:
        return Drawn(-np.inf, np.inf, unbent, count, seed)
    low, high = np.quantile(found[there], [0.5 * (1.0 - LEVEL), 0.5 * (1.0 + LEVEL)])
    return Drawn(float(low), float(high), unbent, count, seed)
