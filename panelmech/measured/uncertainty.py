"""Readings, and what they are worth: value and standard uncertainty of a result worked out from measured numbers.

Follows the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008): repeated readings give a type A
part, s/sqrt(n) (4.2.3); the resolution of the instrument a type B part, resolution/sqrt(12) (F.2.2.1); independent
readings combine in quadrature through the slopes of the result (5.1.2).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Reading:
    """One measured quantity: `values`, one or more repeated readings [SI]; `resolution` of the instrument [SI], the
    smallest step it shows. Raises ValueError for no or non-finite readings or a negative resolution."""

    name: str
    values: tuple
    resolution: float = 0.0

    def __post_init__(self):
        values = tuple(float(v) for v in np.atleast_1d(np.asarray(self.values, dtype=float)))
        object.__setattr__(self, "values", values)
        if not values or not np.all(np.isfinite(values)):
            raise ValueError(f"{self.name}: readings are {self.values!r}; give one or more finite numbers in SI units")
        if not (np.isfinite(self.resolution) and self.resolution >= 0.0):
            raise ValueError(f"{self.name}: resolution is {self.resolution!r}; give zero or more, in SI units")

    @property
    def mean(self) -> float:
        """Mean of the readings."""
        return float(np.mean(self.values))

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty of the mean."""
        spread = np.std(self.values, ddof=1) ** 2 / len(self.values) if len(self.values) > 1 else 0.0
        return float(np.sqrt(spread + self.resolution**2 / 12.0))


@dataclass(frozen=True)
class Measured:
    """A result: `value` and its standard `uncertainty` [SI]; `contributions`, the part each reading adds, by name
    [SI]; `notes` on readings outside the method; `details`, further numbers by name [SI]."""

    value: float
    uncertainty: float
    contributions: dict
    notes: tuple = ()
    details: dict | None = None

    @property
    def relative(self) -> float:
        """Standard uncertainty over value [-]."""
        return abs(self.uncertainty / self.value)

    @property
    def dominant(self) -> str:
        """Name of the reading that adds most to the uncertainty."""
        return max(self.contributions, key=self.contributions.get)


def propagate(result, readings, notes=(), details=None) -> Measured:
    """Value of `result(*means)` and its standard uncertainty.

    Slopes are central differences over one standard uncertainty of each reading (or a millionth of it where that is
    zero), as JCGM 100:2008, 5.1.3, note 2, has it.
    """
    means = [r.mean for r in readings]
    value = float(result(*means))
    parts = {}
    for i, reading in enumerate(readings):
        step = reading.uncertainty
        if step == 0.0:
            parts[reading.name] = 0.0
            continue
        ends = [float(result(*(m + sign * step * (i == j) for j, m in enumerate(means)))) for sign in (-1.0, 1.0)]
        parts[reading.name] = 0.5 * abs(ends[1] - ends[0])
    total = float(np.sqrt(sum(p**2 for p in parts.values())))
    return Measured(value, total, parts, tuple(notes), details)
