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
from numpy.polynomial import legendre

from ..units import read_array, read_number
from .numerics import gauss
from .shell import COARSER, MOST_DEGREES, buckling_degrees, half_waves_along, proportions, read_degrees
from .shell_blocks import largest, side_by_side
from .shell_fields import Field, find_largest
from .shell_model import FramedSheet
from .shell_ritz import U, V, W, function_sets, order, parities, stiffness

MORE_NODES = 12  # of Gauss's rule beyond the degree of w: forces up to degree 25 are then integrated without error
ROUNDING = 1e-13  # parts of the forces below this share of the largest are rounding
WANTED, STEP = 1e-4, (2, 8)  # of the error; degrees more where it is greater
ROUNDS, CLOSE = 60, 1e-9  # of the search with forces that are there always, at most; of its root to one at the end
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

    def __post_init__(self):
        for name, _ in KINDS:
            given = getattr(self, name)
            if not callable(given):
                object.__setattr__(self, name, read_number(given, f"membrane force {name}", "N/m"))

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
    factor : of the forces, at which the sheet buckles [-]; inf where they compress nothing
    degrees : polynomial degrees (x, y)
    error : relative change of the factor against a model coarser by two degrees each way [-]
    notes : where the theory is stretched, in words
    shape : the mode, of any size; `mode` has the largest value 1; None without one
    """

    sheet: FramedSheet = field(repr=False)
    forces: MembraneForces = field(repr=False)
    always: MembraneForces | None = field(repr=False)
    factor: float
    degrees: tuple
    error: float
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


def buckle_under(sheet, forces: MembraneForces, always: MembraneForces | None = None, degrees=None) -> StressBuckling:
    """Least factor of `forces` at which a `FramedSheet` buckles, with forces there `always`, as a `StressBuckling`.

    always : forces that do not grow with the factor, as from a swelling or warming that edges restrain.
    degrees : polynomial degrees along x and y; by default as many as it takes for an `error` of 1e-4, or 200 along the
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
    degrees = given or buckling_degrees(sheet, proportions(sheet)[0])
    while True:
        factor, shape = _Model(sheet, degrees).lowest(forces, always)
        if shape is None:
            return StressBuckling(sheet, forces, always, factor, degrees, 0.0, sheet.notes(), None)
        coarser = _Model(sheet, tuple(d - COARSER for d in degrees)).lowest(forces, always)[0]
        error = abs(coarser - factor) / factor
        if given or error <= WANTED or degrees[1] >= MOST_DEGREES[1] // 2:
            mode = Field(shape, sheet.length, sheet.width)
            return StressBuckling(sheet, forces, always, factor, degrees, error, sheet.notes(), mode)
        degrees = tuple(min(d + more, most) for d, more, most in zip(degrees, STEP, MOST_DEGREES, strict=True))


class _Model:
    """A sheet at given degrees, both parities along the span together: shear couples them."""

    def __init__(self, sheet, degrees):
        self.sheet, self.nodes = sheet, tuple(degree + MORE_NODES for degree in degrees)
        self.sets = [function_sets(sheet.edges, degrees, parity) for parity in parities(sheet.edges)]
        blocks = [stiffness(sheet, sets) for sets in self.sets]
        self.factor = side_by_side(blocks).factored()
        before = np.cumsum([0, *(each.size for each in blocks)])
        self.size, counted = before[-1], (W,) if sheet.is_flat else (U, V, W)
        self.rows = [order(sets, counted).rows[W] + rows for sets, rows in zip(self.sets, before, strict=False)]

    def lowest(self, forces, always):
        """(least positive factor, double Legendre series of the mode); (inf, None) where nothing is compressed."""
        growing = self._values(forces)
        if not np.any(growing):
            raise ValueError("the membrane forces are zero everywhere: give at least one that is not")
        root, shape = self._largest(growing)
        if shape is None:
            return np.inf, None
        factor, shape = (1.0 / root, shape) if always is None else self._beside(growing, self._values(always), root)
        return float(factor), sum(sets[W].series(shape[rows]) for sets, rows in zip(self.sets, self.rows, strict=True))

    def _beside(self, growing, there, root):
        """(factor, mode) with forces that are there always: where the largest root of both together is one.

        That root is a convex function of the factor (the greatest of many straight lines, by Rayleigh), its slope is
        told by the mode: from a factor with a root above one Newton's way comes down to the one wanted.
        """
        if self._largest(there)[0] >= 1.0:
            raise ValueError(
                "the sheet buckles under the membrane forces that are there always: there is no factor of others to be "
                "found; find the factor of these alone first"
            )
        factor, above, work = 1.0 / root, False, self._work(growing)
        for _ in range(ROUNDS):
            both = there + factor * growing
            root, shape = self._largest(both)
            above = above or root >= 1.0
            if not above:
                factor *= 2.0
                continue
            if root - 1.0 <= CLOSE:
                return factor, shape
            factor -= (root - 1.0) / root * (shape @ self._work(both)(shape)) / (shape @ work(shape))
        raise ValueError(f"the sheet does not buckle below a factor of {factor:.3g}: state the forces larger")

    def _values(self, forces):
        """The forces at Gauss's places, shape (3, along x, along y) [N/m]."""
        x, y = (gauss(count)[0] for count in self.nodes)
        return forces.at(0.5 * self.sheet.length * (1.0 + x[:, None]), 0.5 * self.sheet.width * (1.0 + y[None, :]))

    def _largest(self, values):
        """(largest root of G w = -root K w, its shape) of forces at the places; (0, None) where nothing is compressed,
        for then nothing buckles, and any compression makes something buckle."""
        n_x, n_y, n_xy = values
        least = 0.5 * (n_x + n_y) - np.hypot(0.5 * (n_x - n_y), n_xy)
        if not np.any(least < -ROUNDING * np.abs(values).max()):
            return 0.0, None
        roots, shapes = largest(self.factor, self._work(values))
        return float(roots[0]), shapes[0]

    def _work(self, values):
        """What multiplies a shape with -G: for each term and pair of parities a matrix along x and one along y."""
        sets, parts = [each[W] for each in self.sets], []
        for (first, second), scale, of_x, of_y in self._terms(values):
            for i, one in enumerate(sets):
                for j, other in enumerate(sets):
                    by_x = _integral(one.along_x, first[0], other.along_x, second[0], -scale * of_x)
                    by_y = _integral(other.along_y, second[1], one.along_y, first[1], of_y)
                    parts.append((self.rows[i], self.rows[j], by_x, by_y))

        def times(shape):
            out = np.zeros(self.size)
            for rows, columns, by_x, by_y in parts:
                out[rows] += by_x @ shape[columns] @ by_y
            return out

        return times

    def _terms(self, values):
        """(derivatives of the two deflections, scale, part of the forces along x, along y), the parts by weight."""
        (across, along), sheet = (gauss(count)[1] for count in self.nodes), self.sheet
        steps = 2.0 / sheet.length, 2.0 / sheet.width
        for (_, pairs), value in zip(KINDS, values, strict=True):
            for of_x, of_y in _products(value):
                for pair in pairs:
                    orders = zip(*pair, strict=True)
                    scale = np.prod([step ** (sum(o) - 1) for step, o in zip(steps, orders, strict=True)])
                    yield pair, scale / sheet.bending_stiffness, across * of_x, along * of_y


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
