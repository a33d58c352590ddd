"""Buckling of one framed sheet under the membrane forces it has: along the chord, along the span, and in shear.

The forces may differ from place to place, and act together: one eigenvalue problem for all of them, in the place of a
formula that adds up shares of separate critical values. Such formulas are good for some pairs and edges and not for
others: with compression across the short side of a long plate the square of the shear share and the other share make
0.84 and not 0.71 where the formula says 0.71.

With N the membrane forces (tension positive) the sheet loses its stability at the least positive factor f for which

    K w + f G w = 0,   G = integral of N_x w,x^2 + N_y w,y^2 + 2 N_xy w,x w,y

(Timoshenko S.P. and Gere J.M., Theory of Elastic Stability, 2nd ed., 1961, sections 8.2 and 11.7), K being what
`shell_ritz` leaves for w alone, curvature counted. Forces that are there whatever the factor (`always`) belong to K.
Leaves out, as `shell` does: dents, shear deformation, give of the edges, and what the sheet bends before it buckles.
The forces should be in equilibrium in the plane of the sheet; that is up to who states them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
import scipy
from numpy.polynomial import legendre

from ..units import read_array
from .numerics import gauss
from .shell import default_degrees, half_waves_along, read_degrees
from .shell_fields import Field, find_largest
from .shell_model import FramedSheet
from .shell_ritz import parities, ritz_model

MORE_NODES = 12  # of Gauss's rule beyond the degree of w: forces up to degree 25 are then integrated without error
ROUNDING = 1e-13  # parts of the forces below this share of the largest are rounding
WANTED, STEP, MOST_DEGREES = 1e-4, (4, 8), 70  # of the error; degrees more where it is greater; along the span
MOST_ROUNDS = 100  # of Lanczos, each of some twenty products
NO_LIMIT = np.inf  # the factor of forces under which nothing buckles
KINDS = (  # of `MembraneForces`; the derivatives (along x, along y) of the two deflections that each multiplies
    ("along_chord", (((1, 0), (1, 0)),)),
    ("along_span", (((0, 1), (0, 1)),)),
    ("shear", (((1, 0), (0, 1)), ((0, 1), (1, 0)))),
)


@dataclass(frozen=True, eq=False)
class MembraneForces:
    """Forces per length in the middle surface of a sheet [N/m], tension positive.

    along_chord, along_span, shear : N_x, N_y, N_xy; each a number, or a function of x and y [m], arrays that go
        together, from the land end and from the near frame. The sign of a shear that is even everywhere says only
        which way the waves lean.

    >>> from panelmech.mechanics.shell_stresses import MembraneForces
    >>> MembraneForces(along_span=-2000.0, shear=lambda x, y: 500.0 * x).at(0.2, [[0.0, 0.4]]).shape
    (3, 1, 2)
    """

    along_chord: float | Callable = 0.0
    along_span: float | Callable = 0.0
    shear: float | Callable = 0.0

    def at(self, x, y) -> np.ndarray:
        """The three at places x, y [m] that go together, shape (3, ...) [N/m]. ValueError where one is not finite or
        not of the shape of the places."""
        x, y = np.broadcast_arrays(x, y)
        values = []
        for name, _ in KINDS:
            given = getattr(self, name)
            given = read_array(given(x, y) if callable(given) else given, f"membrane force {name}", "N/m")
            if given.shape not in ((), x.shape):
                raise ValueError(
                    f"membrane force {name} came with shape {given.shape} for places of shape {x.shape}: give a "
                    "number, or a function that answers arrays of places with arrays of their shape"
                )
            values.append(np.broadcast_to(given, x.shape))
        return np.array(values, dtype=float)


@dataclass(frozen=True, eq=False)
class StressBuckling:
    """When a framed sheet buckles under membrane forces that grow together.

    Attributes
    ----------
    factor, next_factor : of the forces, at which the sheet buckles, and the next one above [-]; inf where forces that
        grow so make nothing buckle
    degrees : polynomial degrees (x, y)
    notes : where the theory is stretched, in words
    shape : the mode, of any size; `mode` has the largest value 1; None without one
    """

    sheet: FramedSheet = field(repr=False)
    forces: MembraneForces = field(repr=False)
    always: MembraneForces | None = field(repr=False)
    factor: float
    next_factor: float
    degrees: tuple
    notes: tuple
    shape: Field | None = field(repr=False)

    @property
    def mode(self):
        """The shape it buckles into, of largest value 1: a `Field`; None where nothing buckles."""
        if self.shape is None:
            return None
        return Field(self.shape.coefficients / self._top[0], self.sheet.length, self.sheet.width)

    @cached_property
    def _top(self):
        return find_largest(self.shape)

    @cached_property
    def half_waves(self):
        """Number of half waves along the span, where the mode is largest; 0 where nothing buckles."""
        return 0 if self.shape is None else half_waves_along(self.mode, self._top[1])

    @cached_property
    def error(self):
        """Relative change of the factor against a model coarser by two degrees each way [-]."""
        if self.shape is None:
            return 0.0
        coarser = _lowest(self.sheet, self.forces, self.always, self.degrees, True)[0][0]
        return float(abs(coarser - self.factor) / self.factor)


def buckle_under(sheet, forces: MembraneForces, always: MembraneForces | None = None, degrees=None) -> StressBuckling:
    """Least factor of `forces` at which a `FramedSheet` buckles, with forces there `always`, as a `StressBuckling`.

    always : forces that do not grow with the factor, as from a swelling or warming that edges restrain.
    degrees : polynomial degrees along x and y; by default as many as it takes for an `error` of 1e-4, or 70 along the
        span.

    A factor below one: it has buckled. Measured on 100 sheets drawn at random (up to nine times as wide as long, flat
    or turned by up to 0.8 rad, even or with a grain, edges clamped or supported, forces of five kinds): within 2e-5 of
    a much finer solution, and `error` never too small. ValueError where the sheet buckles under what is there always,
    for forces that are not finite, and where all are zero.

    >>> from panelmech.mechanics import framed_sheet, solve_bend
    >>> from panelmech.mechanics.shell_stresses import MembraneForces, buckle_under
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> show(buckle_under(sheet, MembraneForces(along_span=-18060.0)).factor, "x", 3)  # 9.03 MPa
    '1.00 ×'
    >>> show(buckle_under(sheet, MembraneForces(along_span=-9000.0, shear=6000.0)).factor, "x", 3)
    '1.64 ×'
    """
    given = read_degrees(degrees)
    degrees = given or default_degrees(sheet)
    while True:
        factors, shape = _lowest(sheet, forces, always, degrees)
        mode = None if shape is None else Field(shape, sheet.length, sheet.width)
        found = StressBuckling(sheet, forces, always, *map(float, factors), degrees, sheet.notes(), mode)
        if given or degrees[1] >= MOST_DEGREES or found.error <= WANTED:
            return found
        degrees = tuple(degree + more for degree, more in zip(degrees, STEP, strict=True))


def _lowest(sheet, forces, always, degrees, coarse=False):
    """The two least positive factors, and the double Legendre series of the mode of the first; None where there is
    none."""
    parts = [ritz_model(sheet, degrees, parity) for parity in parities(sheet.edges)]
    keep = [part.sets[2].coarse if coarse else len(part.sets[2].i) for part in parts]
    work = _work(sheet, parts, keep, forces)
    if not np.any(work):
        raise ValueError("the membrane forces are zero everywhere: give at least one that is not")
    factor = _factor(sheet, parts, keep, always, coarse)
    reduced = scipy.linalg.solve_triangular(factor, -work, lower=True, check_finite=False)
    reduced = scipy.linalg.solve_triangular(factor, reduced.T, lower=True, check_finite=False)
    roots, vectors = _largest_two(0.5 * (reduced + reduced.T))
    with np.errstate(divide="ignore"):
        factors = np.where(roots > ROUNDING * np.abs(reduced).max(), 1.0 / np.maximum(roots, 0.0), NO_LIMIT)
    if not np.isfinite(factors[0]):
        return factors, None
    amplitudes = scipy.linalg.solve_triangular(factor, vectors[:, 0], lower=True, trans=1, check_finite=False)
    pieces = np.split(amplitudes, np.cumsum(keep)[:-1])
    return factors, sum(part.sets[2].series(piece) for part, piece in zip(parts, pieces, strict=True))


def _largest_two(matrix):
    """The two largest roots of a symmetric matrix, the larger first, and their vectors: by Lanczos, always begun alike,
    which comes to no end where all roots lie close to zero or below."""
    start = 0.1 + np.cos(1.3 * np.arange(len(matrix)))
    try:
        roots, vectors = scipy.sparse.linalg.eigsh(matrix, k=2, which="LA", v0=start, maxiter=MOST_ROUNDS)
    except scipy.sparse.linalg.ArpackNoConvergence:
        last = len(matrix) - 1
        roots, vectors = scipy.linalg.eigh(matrix, subset_by_index=[last - 1, last], check_finite=False)
    order = np.argsort(roots)[::-1]
    return roots[order], vectors[:, order]


def _factor(sheet, parts, keep, always, coarse):
    """Lower Cholesky factor of the stiffness of all parities together, with what is there always."""
    stiffness = scipy.linalg.block_diag(*(part.coarse_stiffness if coarse else part.stiffness for part in parts))
    if always is None:
        factors = (np.tril((part.coarse_factor if coarse else part.full_factor)[0]) for part in parts)
        return scipy.linalg.block_diag(*factors)
    factor, failed = scipy.linalg.lapack.dpotrf(stiffness + _work(sheet, parts, keep, always), lower=1, clean=1)
    if failed:
        raise ValueError(
            "the sheet buckles under the membrane forces that are there always: there is no factor of others to be "
            "found; find the factor of these alone first"
        )
    return factor


# ----- The work of the forces: each is split into products of a function of x and one of y, exact on Gauss's places.


def _work(sheet, parts, keep, forces):
    """Matrix G of all parities together, divided by D11; of each the first `keep` functions."""
    sets, nodes = [part.sets[2] for part in parts], _nodes(parts[0].sets[2])
    ends = np.concatenate([[0], np.cumsum(keep)])
    out = np.zeros((ends[-1], ends[-1]))
    for orders, scale, of_x, of_y in _terms(sheet, forces, nodes):
        for i, one in enumerate(sets):
            for j, other in enumerate(sets):
                (first, second), rows, columns = orders, slice(keep[i]), slice(keep[j])
                by_x = _integral(one.along_x, first[0], other.along_x, second[0], of_x)
                by_y = _integral(one.along_y, first[1], other.along_y, second[1], of_y)
                block = by_x[np.ix_(one.i[rows], other.i[columns])] * by_y[np.ix_(one.j[rows], other.j[columns])]
                out[ends[i] : ends[i + 1], ends[j] : ends[j + 1]] += scale * block
    return out / sheet.bending_stiffness


def _terms(sheet, forces, nodes):
    """(derivatives of the two deflections, scale, part of the forces along x, along y), the parts by weight."""
    (x, across), (y, along) = map(gauss, nodes)
    steps = 2.0 / sheet.length, 2.0 / sheet.width
    values = forces.at(0.5 * sheet.length * (1.0 + x[:, None]), 0.5 * sheet.width * (1.0 + y[None, :]))
    for (_, pairs), value in zip(KINDS, values, strict=True):
        for of_x, of_y in _products(value):
            for pair in pairs:
                scale = [step ** (sum(order) - 1) for step, order in zip(steps, zip(*pair, strict=True), strict=True)]
                yield pair, scale[0] * scale[1], across * of_x, along * of_y


def _nodes(w):
    return tuple(basis.coefficients.shape[1] - 1 + MORE_NODES for basis in (w.along_x, w.along_y))


def _products(values):
    """Pairs (of x, of y) whose products add up to the values on a grid (singular value decomposition)."""
    if not np.any(values):
        return
    left, sizes, right = np.linalg.svd(values, full_matrices=False)
    for k in np.flatnonzero(sizes > ROUNDING * sizes[0]):
        yield left[:, k] * sizes[k], right[k]


def _integral(first, p, second, q, weights):
    """Integral of derivative p of `first` times q of `second`, weighted, for all pairs of functions."""
    return _tabulated(first, len(weights))[p].T @ (weights[:, None] * _tabulated(second, len(weights))[q])


@lru_cache(maxsize=64)
def _tabulated(basis, nodes):
    """Values and slopes of the functions of a basis at Gauss's places, shape (2, places, functions)."""
    places, series = gauss(nodes)[0], basis.coefficients.T
    return np.stack([legendre.legval(places, legendre.legder(series, k)).T for k in (0, 1)])
