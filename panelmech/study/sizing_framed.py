"""A costly, smooth result over one input, from few values of it: Chebyshev's points, doubled until they foretell.

A framed sheet takes some hundredths of a second, so a search over its range must make do with few. In the logarithms of
input and result these run nearly straight, and a polynomial through Chebyshev's points converges geometrically
(Trefethen, Approximation Theory and Approximation Practice, 2013, ch. 8; from memory). The error is measured, not
estimated: each time the points are doubled, the old polynomial has to foretell the new values. What does not converge
(a result with a jump or a sharp kink) is not `good` to read.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import Chebyshev

COUNTS = (5, 9, 17, 33)  # points; each holds the ones before
CLOSE_ENOUGH = 0.01  # relative: how well the old points must foretell the new ones; buckling has slight kinks
ALMOST_REAL = 1e-7  # imaginary part of a root of rounding


@dataclass(frozen=True, eq=False)
class Reading:
    """A result between its points. `points`, rising, and `values` there, both as given; `doubt`: largest relative error
    with which every other point foretold the rest [-], a bound on the error of a smooth result's reading."""

    points: np.ndarray
    values: np.ndarray
    doubt: float
    series: Chebyshev
    logarithmic: bool

    @property
    def good(self) -> bool:
        """Whether the result may be read between the points; if not, they are a mere scan."""
        return self.doubt < CLOSE_ENOUGH

    def __call__(self, points):
        """The result between the points."""
        return np.exp(self.series(_stretch(points, self.logarithmic)))

    def crossings(self, target: float) -> np.ndarray:
        """Every place where the reading meets a positive target."""
        roots = (self.series - np.log(target)).roots()
        return self._inside(roots)

    def turns(self) -> np.ndarray:
        """Every place where the reading turns round."""
        return self._inside(self.series.deriv().roots())

    def decides(self, turn: float, target: float) -> bool:
        """Whether the result may cross the target at this turn, unlike at the points beside it."""
        after = np.clip(np.searchsorted(self.points, turn), 1, len(self.points) - 1)
        beside, here = self.values[after - 1 : after + 1] - target, float(self(turn)) - target
        return abs(here) <= 3.0 * self.doubt * target or bool(np.all(np.sign(beside) != np.sign(here)))

    def _inside(self, roots):
        low, high = self.series.domain
        real = np.real(roots[np.abs(np.imag(roots)) < ALMOST_REAL * (high - low)])
        places = np.sort(real[(real >= low) & (real <= high)])
        return np.exp(places) if self.logarithmic else places


def stretches(points, good) -> list:
    """Runs of points, rising, of which all are good."""
    cuts = np.flatnonzero(np.diff(good.astype(int))) + 1
    runs = zip(np.split(points, cuts), np.split(good, cuts), strict=True)
    return [run for run, fine in runs if fine[0]]


def read_smooth(result, low: float, high: float) -> Reading | None:
    """Read a positive result from `low` to `high`; None where it is not known or not positive throughout.

    `result(points)` gives an array of values, nan where not known.
    """
    logarithmic = low > 0.0
    ends = _stretch(np.array([low, high]), logarithmic)

    def logs_at(places):
        points = np.clip(np.exp(places) if logarithmic else places, low, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.log(result(points))

    places = _places(*ends, COUNTS[0])
    logs = logs_at(places)
    for count in COUNTS[1:]:
        if not np.all(np.isfinite(logs)):
            return None
        series = _through(places, logs)
        places = _places(*ends, count)
        fresh = logs_at(places[1::2])
        doubt = float(np.max(np.abs(np.expm1(series(places[1::2]) - fresh))))
        logs = _merged(logs, fresh)
        if doubt < CLOSE_ENOUGH:
            break
    if not np.all(np.isfinite(logs)):
        return None
    points = np.clip(np.exp(places) if logarithmic else places, low, high)
    return Reading(points, np.exp(logs), doubt, _through(places, logs), logarithmic)


def _merged(old, fresh):
    merged = np.empty(old.size + fresh.size)
    merged[::2], merged[1::2] = old, fresh
    return merged


def _stretch(points, logarithmic):
    return np.log(points) if logarithmic else np.asarray(points, dtype=float)


def _places(low, high, count):
    """Chebyshev's points with both ends, rising."""
    return 0.5 * (low + high) - 0.5 * (high - low) * np.cos(np.pi * np.arange(count) / (count - 1))


def _through(places, logs):
    return Chebyshev.fit(places, logs, len(places) - 1, domain=(places[0], places[-1]))
