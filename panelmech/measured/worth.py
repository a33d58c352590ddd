"""What readings are worth: a result, its standard uncertainty, degrees of freedom and expanded uncertainty.

Follows the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008): repeated readings give a type A part,
s/sqrt(n) (4.2.3), where s may be pooled with how an instrument is known to repeat (4.2.4 and H.3.6); the step of the
instrument, and a band where nothing was read, give a type B part, step/sqrt(12) (F.2.2.1) and half-width/sqrt(3)
(4.3.7). The former is one error of all repeats where they fall on the same step, as they do where the noise is small
against it, and one of each where the noise carries them over several (`shared_rounding`). Independent inputs combine in
quadrature through the slopes of the result (5.1.2); the degrees of freedom are effective ones (Welch and Satterthwaite,
G.4.1, equation G.2b) and the coverage factor is Student's for 95 % (G.3, Table G.2). An input that enters a result by
several ways is one input here, which is how correlated inputs are to be treated where what makes them so is known
(F.1.2.4).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from ..units import read_array, read_number

LEVEL = 0.95  # of an expanded uncertainty


@dataclass(frozen=True)
class Reading:
    """One measured quantity. Raises ValueError for no or non-finite readings or a negative size.

    name : what was measured
    values : one or more repeated readings [SI]
    resolution : of the instrument, the smallest step it shows [SI]
    repeat : standard deviation of one reading as the instrument is known to repeat [SI]; 0: only the readings tell
    repeat_dof : degrees of freedom of `repeat`, with which it is pooled with the readings' own; 0: it is the least that
        counts, and where there is one reading only it is taken as known
    band : half-width of a band in which the value lies, where it was not read but assumed [SI]
    """

    name: str
    values: tuple
    resolution: float = 0.0
    repeat: float = 0.0
    repeat_dof: float = 0.0
    band: float = 0.0

    def __post_init__(self):
        values = np.atleast_1d(read_array(self.values, f"{self.name}: a reading", least=1))
        object.__setattr__(self, "values", tuple(values.tolist()))
        for size in ("resolution", "repeat", "repeat_dof", "band"):
            read_number(getattr(self, size), f"{self.name}: {size}", low=0.0)

    @property
    def mean(self) -> float:
        """Mean of the readings."""
        return float(np.mean(self.values))

    @property
    def deviation(self) -> float:
        """Standard deviation of one reading, that of the instrument counted."""
        more = len(self.values) - 1
        own = float(np.std(self.values, ddof=1)) if more else 0.0
        if self.repeat_dof:
            return float(np.sqrt((self.repeat_dof * self.repeat**2 + more * own**2) / (self.repeat_dof + more)))
        return max(own, self.repeat)

    @property
    def by_chance(self) -> float:
        """Standard uncertainty of the mean that more readings make smaller."""
        return self.deviation / float(np.sqrt(len(self.values)))

    @property
    def together(self) -> float:
        """Share of the variance of its rounding that all repeats have in common [-]. Rounding is part of how readings
        scatter; without it the noise is less and the share is more, so that is what counts."""
        if not self.resolution:
            return 0.0
        return shared_rounding(np.sqrt(max((self.deviation / self.resolution) ** 2 - 1.0 / 12.0, 0.0)))

    @property
    def by_step(self) -> float:
        """Standard uncertainty of the step, or of a band: what the repeats there are have not made smaller."""
        return self.by_step_of(len(self.values))

    def by_step_of(self, count) -> float:
        """The same of so many readings; of endless ones what no repeating makes smaller."""
        left = self.together + (1.0 - self.together) / count
        return float(np.hypot(self.resolution * np.sqrt(left / 12.0), self.band / np.sqrt(3.0)))

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty of the mean."""
        return float(np.hypot(self.by_chance, self.by_step))

    @property
    def chance_dof(self) -> float:
        """Degrees of freedom of `by_chance`."""
        return (self.repeat_dof + len(self.values) - 1) or np.inf

    @property
    def dof(self) -> float:
        """Effective degrees of freedom of the uncertainty."""
        return effective_dof((self.by_chance, self.by_step), (self.chance_dof, np.inf))

    def draw(self, chance, count: int) -> np.ndarray:
        """How far the quantity may be off its mean, for Monte Carlo (JCGM 101:2008, 6.4): normal for what repeats tell,
        rectangular for step and band, the former as wide as repeats leave it."""
        step = np.sqrt(3.0) * np.sqrt(max(self.by_step**2 - self.band**2 / 3.0, 0.0))
        flat = (size * chance.uniform(-1.0, 1.0, count) for size in (step, self.band))
        return self.by_chance * chance.standard_normal(count) + sum(flat)


_WAVES = np.arange(1.0, 40.0)  # the last adds less than 4e-4 to a share of 1, and nothing to one of less than 0.99


def shared_rounding(noise) -> float:
    """Share of the variance of rounding, step^2/12, that all readings of one thing have in common [-].

    `noise`: standard deviation of one reading before it is rounded, over the step, zero or more [-]. Of normal noise,
    and a true value anywhere between two steps, all values alike likely: the mean of endless readings is off by a sum
    of sines of the true value, with amplitudes step exp(-2 pi^2 k^2 noise^2)/(pi k), of which the mean square is taken
    (the rounding theory of Sheppard, Proc. London Math. Soc. 29, 1898, and Widrow and Kollár, Quantization Noise, 2008;
    both from memory, derived here; tests: against numbers that are rounded). What is not shared is each reading's own.

    >>> [round(shared_rounding(noise), 3) for noise in (0.0, 0.1, 0.2, 0.5)]
    [1.0, 0.443, 0.126, 0.0]
    """
    noise = read_number(noise, "noise over the step", low=0.0)
    if not noise:
        return 1.0
    return float(np.sum(np.exp(-((2.0 * np.pi * _WAVES * noise) ** 2)) / _WAVES**2) * 6.0 / np.pi**2)


def effective_dof(parts, dofs) -> float:
    """Effective degrees of freedom of independent parts of an uncertainty (JCGM 100:2008, G.4.1, equation G.2b)."""
    parts, dofs = np.asarray(parts, dtype=float), np.asarray(dofs, dtype=float)
    total = np.sum(parts**2)
    below = np.sum((parts**2 / (total or 1.0)) ** 2 / dofs)
    return float(1.0 / below) if below > 0.0 else np.inf


def coverage_factor(dof: float) -> float:
    """Standard uncertainties either way that hold 95 % (JCGM 100:2008, Table G.2): Student's, 1.96 at infinity."""
    share = 0.5 * (1.0 + LEVEL)
    return float(scipy.special.ndtri(share) if np.isinf(dof) else scipy.special.stdtrit(dof, share))


@dataclass(frozen=True)
class Measured:
    """A result worked out from readings.

    value, uncertainty : the result and its standard uncertainty [SI]
    contributions : the part of the uncertainty that each reading adds, by name [SI]
    notes : on readings outside the method, in words
    details : further numbers by name [SI]
    dof : effective degrees of freedom of the uncertainty
    slopes : change of the result for one of each reading, by name; none of a reading that is exact
    """

    value: float
    uncertainty: float
    contributions: dict
    notes: tuple = ()
    details: dict | None = None
    dof: float = np.inf
    slopes: dict | None = None

    @property
    def relative(self) -> float:
        """Standard uncertainty over value [-]."""
        return abs(self.uncertainty / self.value)

    @property
    def expanded(self) -> float:
        """Expanded uncertainty for 95 % [SI]."""
        return coverage_factor(self.dof) * self.uncertainty

    @property
    def dominant(self) -> str:
        """Name of the reading that adds most to the uncertainty."""
        return max(self.contributions, key=self.contributions.get)

    def share(self, name: str) -> float:
        """Part of the variance that one reading causes [-]."""
        return (self.contributions[name] / self.uncertainty) ** 2 if self.uncertainty else 0.0


def propagate(result, readings, notes=(), details=None, most=np.inf) -> Measured:
    """Value of `result(*means)` and its standard uncertainty; as `propagate_several`, one point after the other."""

    def together(*points):
        return ([float(result(*p)) for p in zip(*points, strict=True)],)

    return propagate_several(together, readings, notes, details, most)[0]


def propagate_together(result, readings, notes=(), details=None) -> Measured:
    """Value of a result and its standard uncertainty; `result` takes arrays of all readings at once."""
    return propagate_several(lambda *points: (result(*points),), readings, notes, details)[0]


def propagate_several(results, readings, notes=(), details=None, most=np.inf) -> tuple[Measured, ...]:
    """Value and standard uncertainty of several results of the same readings, worked out together: `results` takes
    arrays of all readings at once and gives one array for each.

    Slopes are central differences over one standard uncertainty of each reading, as JCGM 100:2008, 5.1.3, note 2, has
    it, but over no more than the share `most` of the reading, one or one for each, for results that end where it
    becomes zero; a reading without uncertainty adds none.
    """
    means, sizes = (np.array([getattr(r, name) for r in readings]) for name in ("mean", "uncertainty"))
    most = np.broadcast_to(most, means.shape)
    bound = np.where(np.isinf(most), 0.0, most) * np.abs(means)
    steps = np.where(np.isinf(most), sizes, np.minimum(sizes, bound))
    moved = np.flatnonzero(steps)
    points = np.tile(means, (1 + 2 * len(moved), 1))
    for row, i in enumerate(moved):
        points[1 + 2 * row : 3 + 2 * row, i] += (-steps[i], steps[i])
    found = []
    for values in results(*points.T):
        values = np.asarray(values, dtype=float)
        rises = 0.5 * (values[2::2] - values[1::2])
        slopes = {readings[i].name: float(rise / steps[i]) for i, rise in zip(moved, rises, strict=True)}
        parts = {r.name: abs(slopes.get(r.name, 0.0)) * r.uncertainty for r in readings}
        total = float(np.sqrt(sum(p**2 for p in parts.values())))
        dof = effective_dof(list(parts.values()), [r.dof for r in readings])
        found.append(Measured(float(values[0]), total, parts, tuple(notes), details, dof, slopes))
    return tuple(found)


class NotSureYet(ValueError):
    """Readings that do not suffice for a verdict: some are missing, or in doubt (`doubts`)."""

    def __init__(self, words, doubts=()):
        super().__init__(words)
        self.doubts = tuple(doubts)
