"""Curves along the span through values at stations, as piecewise cubics that can be integrated exactly.

A position that stands twice in a row is a step: the curve is made of separate pieces on its two sides. Within a piece
the cubic keeps to the data (no overshoot) and follows a straight line of values exactly (monotone cubic interpolation,
Fritsch & Carlson 1980, as in scipy's `PchipInterpolator`, which takes three times as long, and a quarter of a second to
bring in).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from ..units import SMALLEST, read_array, show_input
from .numerics import gauss_unit, read_together

SAME_PLACE = 1e-8  # of the span: closer places are one
GAUSS_NODES, GAUSS_WEIGHTS = gauss_unit(8)
FEW = 64  # curves side by side that are read all at once


def checked_stations(position) -> np.ndarray:
    """Stations as an array [m]. ValueError unless there are two or more, finite, rising, none more than twice."""
    z = read_array(position, "stations", "m", axes=1, least=2, hint="two or more positions along the span")
    if np.any(np.diff(z) < 0.0) or np.any(z[2:] == z[:-2]) or z[0] == z[1] or z[-1] == z[-2]:
        raise ValueError(
            "stations must rise from the root to the tip; one that marks a step stands twice, not at an "
            "end and not three times"
        )
    return z


def at_station(position, place: float) -> float:
    """The station that is this place but for rounding (a hundred-millionth of the span), else the place itself [m]."""
    z = np.asarray(position)
    nearest = z[np.argmin(np.abs(z - place))]
    return float(nearest) if abs(nearest - place) <= SAME_PLACE * (z[-1] - z[0]) else place


@dataclass(frozen=True, eq=False)
class Pieces:
    """Polynomials from station to station, side by side.

    c : (powers, panels, ...)
        Factors, that of the highest power of the distance from the panel's start first.
    x : (panels + 1,)
        Ends of the panels [m], rising.
    """

    c: np.ndarray
    x: np.ndarray

    def __call__(self, z):
        """Values (m, ...) at m places, or (...) at one; where two panels meet, of the one that begins there, and beyond
        the ends of the panel there."""
        z = np.asarray(z, dtype=float)
        places, factors = z.ravel(), self.c.reshape(*self.c.shape[:2], -1)
        panel = np.clip(np.searchsorted(self.x, places, side="right") - 1, 0, len(self.x) - 2)
        powers = (places - self.x[panel])[:, None] ** np.arange(len(factors) - 1, -1, -1)
        if factors.shape[2] <= FEW:
            values = np.einsum("mk,kmc->mc", powers, factors[:, panel])
        else:  # by panels, for the factors of all places at once would take more room than the answer
            order, values = np.argsort(panel, kind="stable"), np.empty((len(places), factors.shape[2]))
            for rows in (order[a:b] for a, b in itertools.pairwise(np.searchsorted(panel[order], range(len(self.x))))):
                if rows.size:
                    values[rows] = powers[rows] @ factors[:, panel[rows[0]]]
        return values.reshape(z.shape + self.c.shape[2:])

    def antiderivative(self) -> Pieces:
        """The integral from the first station on."""
        rising, gained = self._integrated()
        start = np.concatenate([np.zeros_like(gained[:1]), np.cumsum(gained, axis=0)[:-1]])
        return Pieces(np.concatenate([rising, start[None]]), self.x)

    def whole(self):
        """The integral over all panels (...)."""
        return self._integrated()[1].sum(axis=0)

    def _integrated(self):
        """(factors of the integral but the last, what each panel adds to it)."""
        rising, gained = (self.c.T / np.arange(len(self.c), 0, -1)).T, 0.0
        for factors in rising:
            gained = ((gained + factors).T * np.diff(self.x)).T
        return rising, gained


def curve(position, values) -> Pieces:
    """Piecewise cubic through `values` (..., n) at the stations `position` (n,) [m].

    Called with m positions it gives (m, ...); where a step stands, the value after it. nan all along
    the piece of a row in which a value is nan.
    """
    z = checked_stations(position)
    values = np.moveaxis(np.asarray(values, dtype=float), -1, 0)
    if values.shape[0] != len(z):
        raise ValueError(f"{values.shape[0]} values at {len(z)} stations: give one for each station")
    ends = [0, *(np.flatnonzero(np.diff(z) == 0.0) + 1), len(z)]
    pieces = [_piece(z[a:b], values[a:b]) for a, b in itertools.pairwise(ends)]
    return Pieces(np.concatenate(pieces, axis=1), np.unique(z))


def _piece(z, values):
    """Coefficients (4, panels, ...) of one smooth piece; nan for a row of values with one that is not finite."""
    known = np.all(np.isfinite(values), axis=0)
    if not np.all(known):
        return np.where(known, _piece(z, np.where(known, values, 0.0)), np.nan)
    width = _upright(np.diff(z), values.ndim)
    slope = np.diff(values, axis=0) / width
    if len(z) == 2:
        return np.stack([0.0 * slope, 0.0 * slope, slope, values[:1]])
    rate = _rates(width, slope)
    bend = (rate[:-1] + rate[1:] - 2.0 * slope) / width
    return np.stack([bend / width, (slope - rate[:-1]) / width - bend, rate[:-1], values[:-1]])


def _upright(row, axes):
    """Numbers (n,) as (n, 1, ...), so many axes in all."""
    return row.reshape(len(row), *(1,) * (axes - 1))


def _rates(width, slope):
    """Derivatives at the stations of one piece, from widths and slopes of its panels: inside the harmonic mean of both
    slopes, weighted, none where they turn; at the ends of three points, held back (as in `PchipInterpolator`)."""
    before, after = 2.0 * width[1:] + width[:-1], width[1:] + 2.0 * width[:-1]
    turns = np.sign(slope[:-1]) * np.sign(slope[1:]) <= 0.0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # beside a slope next to none the mean is none
        inside = np.where(turns, 0.0, (before + after) / (before / slope[:-1] + after / slope[1:]))
    first, last = (_end_rate(width[[i, j]], slope[[i, j]])[None] for i, j in ((0, 1), (-1, -2)))
    return np.concatenate([first, inside, last])


def _end_rate(width, slope):
    """Derivative at an end, from widths and slopes of the panel there and the next."""
    rate = ((2.0 * width[0] + width[1]) * slope[0] - width[0] * slope[1]) / (width[0] + width[1])
    rate = np.where(np.sign(rate) == np.sign(slope[0]), rate, 0.0)
    far = (np.sign(slope[0]) != np.sign(slope[1])) & (np.abs(rate) > 3.0 * np.abs(slope[0]))
    return np.where(far, 3.0 * slope[0], rate)


def stiffness_curve(position, stiffness):
    """Function of position for a positive stiffness along the span: the cube of a curve through its cube root.

    Exact where the stiffness goes with the third power of a straight taper, and close for other powers. nan stays nan;
    ValueError for a stiffness that is not positive.
    """
    stiffness, _ = read_together({"stiffness": (stiffness, "N m2", dict(nan=True)), "stations": (position, "m")})
    if np.any(np.less(stiffness, SMALLEST)):
        raise ValueError(
            f"a stiffness along the span is {np.nanmin(stiffness):.4g} N m2: it must be positive at every "
            "station; give the tip a little chord instead of none"
        )
    shape = np.broadcast_shapes(np.shape(stiffness), np.shape(position))
    root = curve(position, np.cbrt(np.broadcast_to(stiffness, shape)))
    return lambda z: root(z) ** 3


def span_integral(position, values):
    """Integral over the whole span of the curve through the values (..., n)."""
    return curve(position, values).whole()


def with_step(position, at: float) -> np.ndarray:
    """The stations with `at` standing twice, so that a curve may step there; unchanged where `at` is an end."""
    z = checked_stations(position)
    if not z[0] <= at <= z[-1]:
        raise ValueError(
            f"a step at {show_input(at, 'mm', 6)} is off the stations, {show_input(z[0], 'mm', 6)} to "
            f"{show_input(z[-1], 'mm', 6)}"
        )
    missing = 2 - np.count_nonzero(z == at) if z[0] < at < z[-1] else 0
    return np.sort(np.concatenate([z, np.full(missing, at)]))


def resample(position, values, wanted) -> np.ndarray:
    """Values (..., n) at stations carried over to the stations `wanted` (m,): (..., m).

    At a pair of equal positions in `wanted` the first reads the curve before the step and the second the one after.
    """
    line, wanted = curve(position, values), np.asarray(wanted, dtype=float)
    after = line(wanted)
    first = np.append(np.diff(wanted) == 0.0, False)
    inside = np.clip(np.searchsorted(line.x, wanted, side="left") - 1, 0, len(line.x) - 2)
    step = _upright(wanted - line.x[inside], after.ndim)
    before = sum(line.c[k][inside] * step ** (3 - k) for k in range(4))
    return np.moveaxis(np.where(_upright(first, after.ndim), before, after), 0, -1)
