"""Ritz solution of a shallow curved sheet: matrices from one-dimensional integrals, in-plane part condensed.

Shallow shell on the developed sheet (Donnell L.H., NACA Report 479, 1933; Marguerre K., Proc. 5th Int. Congr.
Applied Mechanics, 1938), curvature kappa along x only:

    eps_x = u,x - kappa w    eps_y = v,y    gamma = u,y + v,x

    energy / D11 = 1/2 integral of  w,xx^2 + d22 w,yy^2 + 2 d12 w,xx w,yy + 4 d66 w,xy^2
                 + 12/t^2 [a11 eps_x^2 + a22 eps_y^2 + 2 a12 eps_x eps_y + a66 gamma^2]

Everything is divided by D11 (`mechanics.shell_grain`); an even sheet has d22 = a11 = a22 = 1, d12 = a12 = nu and d66 =
a66 = (1 - nu)/2, and D11 is its D. With Y the eliminated in-plane part (`mechanics.shell_membrane`), what is left for w
alone is K = K_bending + K_kappa - Y'Y. Displacement functions are listed with the low degrees first, so the leading
part of every factor is at once the solution of a coarser model: that is where the error estimate comes from, for almost
no work.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.linalg import cho_factor, cho_solve, solve_triangular, solveh_banded

from .numerics import bending_basis, gauss, product_integral
from .shell_functions import Functions, along_span, function_sets, integral, weighted
from .shell_membrane import eliminated, membrane_scale, places
from .shell_model import FramedSheet

__all__ = ["Family", "family", "fine_flat", "load_vector"]


@dataclass(frozen=True, eq=False)
class Family:
    """All that the sheet says about displacements of one parity along the span; matrices divided by D.

    stiffness, geometric: matrices of w alone, shape (n, n), coarse functions first; coarse_stiffness: the
    coarser model. `geometric` is the integral of w,y^2, the work of a unit uniform spanwise compression.
    """

    sheet: FramedSheet
    sets: tuple
    factor: np.ndarray | None
    coupling: np.ndarray | None
    stiffness: np.ndarray
    coarse_stiffness: np.ndarray
    geometric: np.ndarray

    @cached_property
    def factors(self):
        """Cholesky factors of the stiffness of w, of the full and of the coarser model."""
        return tuple(cho_factor(m, lower=True, check_finite=False) for m in (self.stiffness, self.coarse_stiffness))

    def deflect(self, load, coarse=False):
        """Amplitudes of w under the load vector `load` (divided by D11), from the full or the coarser model."""
        factor = self.factors[coarse]
        return cho_solve(factor, load[: len(factor[0])], check_finite=False)

    def in_plane(self, w):
        """Amplitudes of u and v that go with the amplitudes w (full or coarser model)."""
        u, v, ws = self.sets
        full = len(w) == len(ws.i)
        size = (len(u.i) + len(v.i)) if full else (u.coarse + v.coarse)
        together = np.zeros(len(u.i) + len(v.i))
        if self.factor is not None:
            right = -self.coupling[:size, : len(w)] @ w
            together[:size] = solve_triangular(
                self.factor[:size, :size], right, lower=True, trans=1, check_finite=False
            )
        of_u, of_v = places(u, v)
        return together[of_u], together[of_v]

    def coarse_critical(self, mode):
        """Critical compression of the coarser model, divided by D11, from a mode of the full one.

        Two steps of inverse iteration from the mode without its highest degrees, then Rayleigh's quotient. That is
        never below the exact value of the coarser model, which is never below that of the full one: the error worked
        out from it may be overstated, not understated.
        """
        size = len(self.coarse_stiffness)
        work, shape = self.geometric[:size, :size], mode[:size]
        for _ in range(2):
            load = work @ shape
            shape = cho_solve(self.factors[1], load, check_finite=False)
        return float(shape @ load / (shape @ work @ shape))


@lru_cache(maxsize=6)
def family(sheet, degrees, parity):
    """`Family` of a `FramedSheet` with polynomial `degrees` (x, y); kept for the last few sheets asked for."""
    u, v, w = sets = function_sets(sheet.edges, degrees, parity)
    bending, geometric, c = _bending_matrix(sheet, w), _geometric_matrix(sheet, w), w.coarse
    if sheet.is_flat:
        return Family(sheet, sets, None, None, bending, bending[:c, :c], geometric)
    factor, coupling = eliminated(sheet, u, v, w)
    bending, low, high = bending + _curvature_matrix(sheet, w), *np.split(coupling, [u.coarse + v.coarse])
    bending = bending - low.T @ low
    return Family(sheet, sets, factor, coupling, bending - high.T @ high, bending[:c, :c], geometric)


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
    return w.series(
        solveh_banded(
            _banded_bending_matrix(sheet, along_x, along_y),
            load_vector(sheet, load, w),
            lower=True,
            overwrite_ab=True,
            check_finite=False,
        )
    )


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
        raise ValueError(
            f"the force at {name} = {1e3 * place:.4g} mm (footprint {1e3 * footprint:.4g} mm) does not "
            f"lie on the free sheet: {name} runs from 0 to {1e3 * size:.4g} mm"
        )
    nodes, weights = gauss(basis.nodes) if footprint else (np.zeros(1), np.full(1, 2.0))
    return 0.5 * weights @ basis.at(2 * (place + 0.5 * footprint * nodes) / size - 1)


@lru_cache(maxsize=64)
def _bending_parts(w):
    """The three parts of the bending energy of which only the scale depends on the design."""
    mixed = integral(w, 2, 0, w, 0, 2)
    return (
        integral(w, 2, 0, w, 2, 0),
        integral(w, 0, 2, w, 0, 2),
        mixed + mixed.T,
        integral(w, 1, 1, w, 1, 1),
        integral(w, 0, 1, w, 0, 1),
    )


def _bending_matrix(sheet, w):
    sx, sy, r = 2 / sheet.length, 2 / sheet.width, sheet.ratios
    xx, yy, mixed, twist, _ = _bending_parts(w)
    return (sx**4 * xx + sy**4 * r.d22 * yy + (sx * sy) ** 2 * (r.d12 * mixed + 4 * r.d66 * twist)) / (sx * sy)


def _geometric_matrix(sheet, w):
    return _bending_parts(w)[4] * (2 / sheet.width) ** 2 * sheet.length * sheet.width / 4


def _curvature_matrix(sheet, w):
    square = weighted(w.along_x, 0, w.along_x, sheet.curvature_values**2)
    return membrane_scale(sheet) * sheet.ratios.a11 * square[np.ix_(w.i, w.i)] * along_span(w, 0, w)
