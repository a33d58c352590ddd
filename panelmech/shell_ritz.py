"""Ritz solution of a shallow curved sheet: matrices from one-dimensional integrals, in-plane part condensed.

Shallow shell on the developed sheet (Donnell L.H., NACA Report 479, 1933; Marguerre K., Proc. 5th Int. Congr.
Applied Mechanics, 1938), curvature kappa along x only:

    eps_x = u,x - kappa w    eps_y = v,y    gamma = u,y + v,x

    energy / D11 = 1/2 integral of  w,xx^2 + d22 w,yy^2 + 2 d12 w,xx w,yy + 4 d66 w,xy^2
                 + 12/t^2 [a11 eps_x^2 + a22 eps_y^2 + 2 a12 eps_x eps_y + a66 gamma^2]

Everything is divided by D11 (`shell_grain`); an even sheet has d22 = a11 = a22 = 1, d12 = a12 = nu and d66 = a66 =
(1 - nu)/2, and D11 is its D. With A the in-plane matrix, L its Cholesky factor, G the
coupling and Y = L^-1 G, what is left for w alone is K = K_bending + K_kappa - Y'Y. Displacement functions are
listed with the low degrees first, so the leading part of every factor is at once the solution of a coarser
model: that is where the error estimate comes from, for almost no work.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.linalg import cho_factor, cho_solve, solve_triangular, solveh_banded

from .legendre import bending_basis, gauss, in_plane_basis, product_integral, rows_below
from .shell_input import CURVATURE_NODES, FramedSheet

__all__ = ["Family", "family", "fine_flat", "function_sets", "load_vector", "parities"]

COARSER = 2  # degrees left out, each way, in the coarser model behind the error estimate


@dataclass(frozen=True, eq=False)
class Functions:
    """Products of functions along x and along y for one displacement, low degrees first."""

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


@dataclass(frozen=True, eq=False)
class Family:
    """All that the sheet says about displacements of one parity along the span; matrices divided by D.

    stiffness, geometric: matrices of w alone, shape (n, n), coarse functions first; coarse_stiffness: the
    coarser model. `geometric` is the integral of w,y^2, the work of a unit uniform spanwise compression.
    """

    sheet: FramedSheet
    sets: tuple
    order: np.ndarray
    factor: np.ndarray | None
    coupling: np.ndarray | None
    stiffness: np.ndarray
    coarse_stiffness: np.ndarray
    geometric: np.ndarray

    def deflect(self, load, coarse=False):
        """Amplitudes of w under the load vector `load` (divided by D), from the full or the coarser model."""
        matrix = self.coarse_stiffness if coarse else self.stiffness
        return cho_solve(cho_factor(matrix, lower=True, check_finite=False), load[: len(matrix)], check_finite=False)

    def in_plane(self, w):
        """Amplitudes of u and v that go with the amplitudes w (full or coarser model)."""
        u, v, ws = self.sets
        full = len(w) == len(ws.i)
        size = (len(u.i) + len(v.i)) if full else (u.coarse + v.coarse)
        together = np.zeros(len(u.i) + len(v.i))
        if self.factor is not None:
            right = -self.coupling[:size, : len(w)] @ w
            together[self.order[:size]] = solve_triangular(self.factor[:size, :size], right, lower=True, trans=1,
                                                           check_finite=False)
        return together[: len(u.i)], together[len(u.i):]


def parities(edges):
    """The parities along the span to be solved: two small problems where both frames are alike, else one large."""
    return ("even", "odd") if edges.mirror else ("all",)


@lru_cache(maxsize=6)
def family(sheet, degrees, parity):
    """`Family` of a `FramedSheet` with polynomial `degrees` (x, y); kept for the last few sheets asked for."""
    u, v, w = sets = function_sets(sheet.edges, degrees, parity)
    bending, geometric = _bending_matrix(sheet, w), _geometric_matrix(sheet, w)
    if sheet.is_flat:
        return Family(sheet, sets, np.arange(0), None, None, bending, bending[: w.coarse, : w.coarse], geometric)
    order = np.concatenate([np.arange(u.coarse), len(u.i) + np.arange(v.coarse),
                            np.arange(u.coarse, len(u.i)), len(u.i) + np.arange(v.coarse, len(v.i))])
    factor = np.linalg.cholesky(_in_plane_matrix(sheet, u, v)[np.ix_(order, order)])
    coupling = solve_triangular(factor, _coupling_matrix(sheet, u, v, w)[order], lower=True, check_finite=False)
    bending = bending + _curvature_matrix(sheet, w)
    part = coupling[: u.coarse + v.coarse, : w.coarse]
    return Family(sheet, sets, order, factor, coupling, bending - coupling.T @ coupling,
                  bending[: w.coarse, : w.coarse] - part.T @ part, geometric)


def load_vector(sheet, load, functions):
    """Work of the load (divided by D) on each function of the w set, shape (n,)."""
    along_x, along_y = functions.along_x, functions.along_y
    if load.kind == "point":
        fx = _spot(along_x, load.x, load.footprint, sheet.length, "x")
        fy = _spot(along_y, load.y, load.footprint, sheet.width, "y")
        scale = load.size
    else:
        fx = _ramp(along_x, {"land": -1, "rod": 1}.get(load.deep, 0))
        fy = _ramp(along_y, {"near": -1, "far": 1}.get(load.deep, 0))
        scale = load.size * sheet.length * sheet.width / 4
    return scale / sheet.bending_stiffness * fx[functions.i] * fy[functions.j]


def fine_flat(sheet, load, degrees, parity):
    """Legendre series of the deflection of the sheet made flat, at degrees too high for a full matrix.

    The functions overlap only with near neighbours in degree, so the matrix is banded. For point loads, see `press`.
    """
    e = sheet.edges
    along_x = bending_basis(e.land.bending, e.rod.bending, degrees[0])
    along_y = bending_basis(e.near_frame.bending, e.far_frame.bending, degrees[1], parity)
    nx, ny = len(along_x), len(along_y)
    w = Functions(along_x, along_y, np.tile(np.arange(nx), ny), np.repeat(np.arange(ny), nx), 0)
    return w.series(solveh_banded(_banded_bending_matrix(sheet, along_x, along_y), load_vector(sheet, load, w),
                                  lower=True, overwrite_ab=True, check_finite=False))


def _banded_bending_matrix(sheet, along_x, along_y):
    """Lower bands of the bending matrix, functions listed along x first; the terms are those of the energy above."""
    sx, sy, r = 2 / sheet.length, 2 / sheet.width, sheet.ratios
    both = sx * sy
    scale = np.array([sx**4 / both, r.d22 * sy**4 / both, r.d12 * both, r.d12 * both, 4 * r.d66 * both])
    across = _diagonals(along_x, ((2, 2), (0, 0), (2, 0), (0, 2), (1, 1)))
    along = _diagonals(along_y, ((0, 0), (2, 2), (0, 2), (2, 0), (1, 1))) * scale
    nx, ny, reach_x, reach_y = len(along_x), len(along_y), len(across) // 2, len(along) // 2
    bands = np.zeros((reach_y * nx + reach_x + 1, ny, nx))
    for dy in range(reach_y + 1):
        for dx in range(-reach_x if dy else 0, reach_x + 1):
            bands[dy * nx + dx] += along[reach_y + dy] @ across[reach_x + dx].T
    return bands.reshape(len(bands), -1)


@lru_cache(maxsize=64)
def _diagonals(basis, orders):
    """Diagonals of the one-dimensional matrices: entry (d + reach, i, term) is that of functions i + d and i."""
    near = np.abs(np.subtract.outer(basis.degrees, basis.degrees)) <= 4
    n, reach = len(basis), int(np.max(np.abs(np.subtract(*np.nonzero(near)))))
    table = np.zeros((2 * reach + 1, n, len(orders)))
    for k, (p, q) in enumerate(orders):
        matrix = product_integral(basis, p, basis, q) * near
        for d in range(-reach, reach + 1):
            here = np.arange(max(0, -d), min(n, n - d))
            table[d + reach, here, k] = matrix[here + d, here]
    return table


def _ramp(basis, side):
    """Integral of the functions times 1 (side 0), or times a line from 0 to 1 towards the given side."""
    nodes, weights = gauss(basis.nodes)
    return (weights * (0.5 * (1 + side * nodes) if side else 1.0)) @ basis.values[0]


def _spot(basis, place, footprint, size, name):
    """Mean of the functions over the footprint around `place`."""
    place = 0.5 * size if place is None else place
    if not (0 <= place - footprint / 2 and place + footprint / 2 <= size):
        raise ValueError(f"the force at {name} = {1e3 * place:.4g} mm (footprint {1e3 * footprint:.4g} mm) does not "
                         f"lie on the free sheet: {name} runs from 0 to {1e3 * size:.4g} mm")
    nodes, weights = gauss(basis.nodes) if footprint else (np.zeros(1), np.full(1, 2.0))
    return 0.5 * weights @ basis.at(2 * (place + 0.5 * footprint * nodes) / size - 1)


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


def _expand(matrix_x, matrix_y, first, second):
    """Two-dimensional matrix from the one-dimensional ones, rows of `first` against columns of `second`."""
    return matrix_x[np.ix_(first.i, second.i)] * matrix_y[np.ix_(first.j, second.j)]


def _integral(first, p, q, second, r, s):
    """Integral of (d/dx)^p (d/dy)^q first times (d/dx)^r (d/dy)^s second over the reference square."""
    return _expand(product_integral(first.along_x, p, second.along_x, r),
                   product_integral(first.along_y, q, second.along_y, s), first, second)


@lru_cache(maxsize=64)
def _bending_parts(w):
    """The three parts of the bending energy of which only the scale depends on the design."""
    mixed = _integral(w, 2, 0, w, 0, 2)
    return (_integral(w, 2, 0, w, 2, 0), _integral(w, 0, 2, w, 0, 2), mixed + mixed.T, _integral(w, 1, 1, w, 1, 1),
            _integral(w, 0, 1, w, 0, 1))


def _bending_matrix(sheet, w):
    sx, sy, r = 2 / sheet.length, 2 / sheet.width, sheet.ratios
    xx, yy, mixed, twist, _ = _bending_parts(w)
    return (sx**4 * xx + sy**4 * r.d22 * yy + (sx * sy) ** 2 * (r.d12 * mixed + 4 * r.d66 * twist)) / (sx * sy)


def _geometric_matrix(sheet, w):
    return _bending_parts(w)[4] * (2 / sheet.width) ** 2 * sheet.length * sheet.width / 4


@lru_cache(maxsize=64)
def _in_plane_parts(u, v):
    """Stretch and shear parts of the in-plane energy: uu (x, y), uv (Poisson, shear), vv (x, y)."""
    return (_integral(u, 1, 0, u, 1, 0), _integral(u, 0, 1, u, 0, 1), _integral(u, 1, 0, v, 0, 1),
            _integral(u, 0, 1, v, 1, 0), _integral(v, 1, 0, v, 1, 0), _integral(v, 0, 1, v, 0, 1))


def _membrane_scale(sheet):
    """12/t^2 times the area of the sheet over that of the reference square."""
    return 12 / sheet.thickness**2 * sheet.length * sheet.width / 4


def _in_plane_matrix(sheet, u, v):
    sx, sy, r = 2 / sheet.length, 2 / sheet.width, sheet.ratios
    n = len(u.i)
    uxx, uyy, poisson, skew, vxx, vyy = _in_plane_parts(u, v)
    matrix = np.empty((n + len(v.i),) * 2)
    matrix[:n, :n] = sx**2 * r.a11 * uxx + r.a66 * sy**2 * uyy
    matrix[:n, n:] = sx * sy * (r.a12 * poisson + r.a66 * skew)
    matrix[n:, :n] = matrix[:n, n:].T
    matrix[n:, n:] = sy**2 * r.a22 * vyy + r.a66 * sx**2 * vxx
    return matrix * _membrane_scale(sheet)


def _weighted(first, p, second, weight):
    """One-dimensional integral along x of derivative p of `first` times `second` times nodal values."""
    return first.values[p].T @ ((gauss(CURVATURE_NODES)[1] * weight)[:, None] * second.values[0])


def _coupling_matrix(sheet, u, v, w):
    kappa = sheet.curvature_values
    along = _expand(_weighted(u.along_x, 1, w.along_x, kappa), product_integral(u.along_y, 0, w.along_y, 0), u, w)
    cross = _expand(_weighted(v.along_x, 0, w.along_x, kappa), product_integral(v.along_y, 1, w.along_y, 0), v, w)
    return -_membrane_scale(sheet) * np.concatenate([sheet.ratios.a11 * 2 / sheet.length * along,
                                                     sheet.ratios.a12 * 2 / sheet.width * cross])


def _curvature_matrix(sheet, w):
    square = _weighted(w.along_x, 0, w.along_x, sheet.curvature_values**2)
    return _membrane_scale(sheet) * sheet.ratios.a11 * _expand(square, product_integral(w.along_y, 0, w.along_y, 0), w, w)
