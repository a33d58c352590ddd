"""One-dimensional polynomial bases on [-1, 1] for a Ritz solution, built from Legendre polynomials.

Models: functions of one coordinate that meet the *essential* end conditions of a sheet edge. Bending
functions are twice-integrated Legendre polynomials (value and slope zero at both ends) plus the cubic end
functions an edge leaves free; in-plane functions are once-integrated Legendre polynomials plus the linear end
functions. Their second (first) derivatives are again Legendre polynomials, so the stiffness matrices are
nearly diagonal and stay well conditioned at any degree. (Hierarchical basis: Szabo B. and Babuska I., Finite
Element Analysis, 1991, ch. 3; the bending functions are the same idea integrated once more, derived here.)

Nothing here depends on a design, so bases and their integrals are built once and kept.
"""

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from ..units import read_choice, read_count
from .numerics import gauss

BENDING_ENDS = {"clamped": [], "supported": [1], "free": [0, 1]}  # end functions left: 0 the value, 1 the slope
PARITIES = ("all", "even", "odd")


@dataclass(frozen=True, eq=False)
class Basis:
    """A family of polynomials on [-1, 1].

    coefficients: Legendre coefficients, shape (functions, degree + 1), lowest degree first.
    degrees: degree of each function, shape (functions,).
    values: value and first two derivatives on the Gauss nodes, shape (3, nodes, functions).
    """

    coefficients: np.ndarray = field(repr=False)
    degrees: np.ndarray
    values: np.ndarray = field(repr=False)

    def __len__(self):
        return len(self.degrees)

    @property
    def nodes(self):
        """Number of Gauss nodes the values are kept on."""
        return self.values.shape[1]

    def at(self, points):
        """Values at `points` in [-1, 1], shape (points, functions)."""
        return legendre.legvander(np.atleast_1d(points), self.coefficients.shape[1] - 1) @ self.coefficients.T

    def slopes_at(self, points):
        """First derivatives at `points` in [-1, 1], shape (points, functions)."""
        slopes = legendre.legder(self.coefficients.T)
        return legendre.legvander(np.atleast_1d(points), len(slopes) - 1) @ slopes


@lru_cache(maxsize=512)
def bending_basis(low, high, degree, parity="all", nodes=None):
    """Functions for a deflection between two ends, each 'clamped', 'supported' or 'free'.

    degree: highest polynomial degree kept (4 or more). parity: 'all', or 'even'/'odd' about the middle, which
    needs the same condition at both ends. nodes: number of Gauss nodes, by default enough to integrate every
    product of two functions exactly. Raises ValueError for other words or a degree too low.
    """
    ends = _end_functions(
        _cubic_ends(), *(BENDING_ENDS[read_choice(end, "end", BENDING_ENDS)] for end in (low, high)), parity
    )
    bubbles = [_twice_integrated(n) for n in range(2, degree - 1)]
    return _basis(ends, bubbles, degree, parity, nodes, 2)


@lru_cache(maxsize=512)
def in_plane_basis(low_free, high_free, degree, parity="all", nodes=None):
    """Functions for an in-plane displacement; each end free (True) or held at zero (False).

    Arguments as for `bending_basis`. Raises ValueError for an unknown parity or a degree below 4.
    """
    ends = _end_functions(_linear_ends(), [0] if low_free else [], [0] if high_free else [], parity)
    bubbles = [_once_integrated(n) for n in range(1, degree)]
    return _basis(ends, bubbles, degree, parity, nodes, 1)


@lru_cache(maxsize=4096)
def product_integral(first, order_first, second, order_second):
    """Integral over [-1, 1] of derivative `order_first` of `first` times `order_second` of `second`.

    Exact to rounding (Gauss). Shape (len(first), len(second)).
    """
    _, weights = gauss(first.nodes)
    return first.values[order_first].T @ (weights[:, None] * second.values[order_second])


def rows_below(basis, degree):
    """True for the functions of `basis` whose degree is `degree` or less, shape (functions,)."""
    return basis.degrees <= degree


def _cubic_ends():
    """Legendre coefficients of the cubics with unit value, unit slope at the low and the high end: (2, 2, 4)."""
    value = legendre.legvander([-1.0, 1.0], 3)
    slope = legendre.legval([-1.0, 1.0], legendre.legder(np.eye(4))).T
    rows = np.linalg.inv(np.stack([value[0], slope[0], value[1], slope[1]])).T
    return rows.reshape(2, 2, 4)


def _linear_ends():
    """Legendre coefficients of the linear functions that are one at the low and at the high end: (2, 1, 2)."""
    return np.array([[[0.5, -0.5]], [[0.5, 0.5]]])


def _end_functions(shapes, low, high, parity):
    """The end functions kept, as rows of Legendre coefficients; paired into even or odd ones if asked."""
    if read_choice(parity, "parity", PARITIES) == "all":
        return [shapes[0, k] for k in low] + [shapes[1, k] for k in high]
    if low != high:
        raise ValueError("even and odd functions need the same condition at both ends; use parity 'all'")
    side = 1.0 if parity == "even" else -1.0
    return [shapes[0, k] + side * (-1.0) ** k * shapes[1, k] for k in low]


def _once_integrated(n):
    """Integral of P_n from -1, zero at both ends for n >= 1 (degree n + 1)."""
    row = np.zeros(n + 2)
    row[n + 1], row[n - 1] = 1.0 / (2 * n + 1), -1.0 / (2 * n + 1)
    return row


def _twice_integrated(n):
    """Double integral of P_n, value and slope zero at both ends for n >= 2 (degree n + 2)."""
    row = _once_integrated(n + 1)
    row[: n + 1] -= _once_integrated(n - 1)
    return row / (2 * n + 1)


def _basis(ends, bubbles, degree, parity, nodes, order):
    """Sort, keep the wanted parity, scale to unit energy of derivative `order`, and tabulate on Gauss nodes."""
    read_count(degree, "degree", 4)
    if parity != "all":
        bubbles = [row for row in bubbles if (len(row) - 1) % 2 == (parity == "odd")]
    rows = [np.trim_zeros(np.where(np.abs(row) < 1e-14, 0.0, row), "b") for row in ends] + bubbles
    coefficients = np.zeros((len(rows), degree + 1))
    for i, row in enumerate(rows):
        coefficients[i, : len(row)] = row
    coefficients /= _energy_norm(coefficients, order)[:, None]
    x, _ = gauss(nodes or degree + 1)
    polynomials = legendre.legvander(x, degree)
    values = [polynomials[:, : degree + 1 - k] @ legendre.legder(coefficients.T, k) for k in range(3)]
    return Basis(coefficients, np.array([len(row) - 1 for row in rows]), np.stack(values))


def _energy_norm(coefficients, order):
    """Root of the integral of the squared derivative; of the function itself where that derivative vanishes."""

    def norm(rows):
        return np.sqrt((rows**2 * (2.0 / (2 * np.arange(rows.shape[1]) + 1))).sum(axis=1))

    energy = norm(legendre.legder(coefficients.T, order).T)
    return np.where(energy > 1e-10, energy, norm(coefficients))
