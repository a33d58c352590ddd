"""The functions that describe the displacements of a framed sheet, and the integrals of their products.

Each is a product of one function along the chord and one along the span (`legendre`), meeting the essential
conditions of the sheet's edges. They are listed with the low degrees first, so that the leading part of a matrix is a
coarser model. Nothing here depends on sizes or stiffness, so all is built once and kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .numerics import bending_basis, gauss, in_plane_basis, product_integral, rows_below
from .shell_model import CURVATURE_NODES

__all__ = ["Functions", "along_span", "function_sets", "integral", "parities", "weighted"]

COARSER = 2  # degrees left out, each way, in the coarser model behind the error estimate


@dataclass(frozen=True, eq=False)
class Functions:
    """Products of functions along x and along y for one displacement, low degrees first, `coarse` of them low."""

    along_x: object
    along_y: object
    i: np.ndarray
    j: np.ndarray
    coarse: int

    def series(self, amplitudes):
        """Double Legendre coefficients of the displacement with these amplitudes, in listed order."""
        grid = np.zeros((len(self.along_x), len(self.along_y)))
        grid[self.i[: len(amplitudes)], self.j[: len(amplitudes)]] = amplitudes
        return self.along_x.coefficients.T @ grid @ self.along_y.coefficients


def parities(edges):
    """The parities along the span to be solved: two small problems where both frames are alike, else one large."""
    return ("even", "odd") if edges.mirror else ("all",)


@lru_cache(maxsize=64)
def function_sets(edges, degrees, parity):
    """The functions of u, v and w. The in-plane ones go one degree higher, so that kappa w can be matched."""
    px, py = degrees
    e, opposite = edges, {"even": "odd", "odd": "even", "all": "all"}[parity]

    def loose(edge, choices):
        return edge.in_plane in choices

    normal, tangent = ("diaphragm", "free"), ("free",)
    ux = in_plane_basis(loose(e.land, normal), loose(e.rod, normal), px + 1, nodes=CURVATURE_NODES)
    uy = in_plane_basis(loose(e.near_frame, tangent), loose(e.far_frame, tangent), py + 1, parity, py + 2)
    vx = in_plane_basis(loose(e.land, tangent), loose(e.rod, tangent), px + 1, nodes=CURVATURE_NODES)
    vy = in_plane_basis(loose(e.near_frame, normal), loose(e.far_frame, normal), py + 1, opposite, py + 2)
    wx = bending_basis(e.land.bending, e.rod.bending, px, nodes=CURVATURE_NODES)
    wy = bending_basis(e.near_frame.bending, e.far_frame.bending, py, parity, py + 2)
    return _set(ux, uy, px + 1, py + 1), _set(vx, vy, px + 1, py + 1), _set(wx, wy, px, py)


@lru_cache(maxsize=64)
def _set(along_x, along_y, px, py):
    low = np.outer(rows_below(along_x, px - COARSER), rows_below(along_y, py - COARSER))
    pairs = np.concatenate([np.argwhere(low), np.argwhere(~low)])
    return Functions(along_x, along_y, pairs[:, 0], pairs[:, 1], int(low.sum()))


def integral(first, p, q, second, r, s):
    """Integral of (d/dx)^p (d/dy)^q first times (d/dx)^r (d/dy)^s second over the reference square."""
    across = product_integral(first.along_x, p, second.along_x, r)[np.ix_(first.i, second.i)]
    return across * product_integral(first.along_y, q, second.along_y, s)[np.ix_(first.j, second.j)]


@lru_cache(maxsize=64)
def along_span(first, q, second):
    """Integrals along y of derivative q of `first` times `second`, one for each pair of listed functions."""
    return product_integral(first.along_y, q, second.along_y, 0)[np.ix_(first.j, second.j)]


def weighted(first, p, second, weight):
    """Integrals along x of derivative p of `first` times `second` times nodal values, for the functions along x."""
    return first.values[p].T @ ((gauss(CURVATURE_NODES)[1] * weight)[:, None] * second.values[0])
