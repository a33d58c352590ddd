"""Ritz solution of a shallow curved sheet: matrices from one-dimensional integrals, in-plane part condensed.

Shallow shell on the developed sheet (Donnell L.H., NACA Report 479, 1933; Marguerre K., Proc. 5th Int. Congr.
Applied Mechanics, 1938), curvature kappa along x only:

    eps_x = u,x - kappa w    eps_y = v,y    gamma = u,y + v,x

    energy / D11 = 1/2 integral of  w,xx^2 + d22 w,yy^2 + 2 d12 w,xx w,yy + 4 d66 w,xy^2
                 + 12/t^2 [a11 eps_x^2 + a22 eps_y^2 + 2 a12 eps_x eps_y + a66 gamma^2]

Everything is divided by D11 (`mechanics.shell_model`); an even sheet has d22 = a11 = a22 = 1, d12 = a12 = nu and d66 =
a66 = (1 - nu)/2, and D11 is its D. With Y the eliminated in-plane part (`mechanics.shell_ritz`), what is left for w
alone is K = K_bending + K_kappa - Y'Y. Displacement functions are listed with the low degrees first, so the leading
part of every factor is at once the solution of a coarser model: that is where the error estimate comes from, for almost
no work.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import scipy

from ..units import show_input
from .numerics import gauss
from .ritz_bases import bending_basis, in_plane_basis, product_integral, rows_below
from .shell_model import CURVATURE_NODES, FramedSheet

# ----- The functions that describe the displacements, and the integrals of their products.
#
# Each is a product of one function along the chord and one along the span (`legendre`), meeting the essential
# conditions of the sheet's edges. They are listed with the low degrees first, so that the leading part of a matrix is a
# coarser model. Nothing here depends on sizes or stiffness, so all is built once and kept.


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


def area_integral(first, p, q, second, r, s):
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


# ----- The in-plane part and its elimination: what the stretching of the sheet leaves for w alone.
#
# With A the in-plane matrix, L its Cholesky factor, G the coupling of u and v with w, all that w feels of u and v is
# Y'Y with Y = L^-1 G. The functions overlap only with near neighbours in degree along the span (integrated Legendre
# polynomials), so A, its low degrees ordered by their degree along the span, is block tridiagonal with a border of the
# high degrees. Only blocks that are not zero are touched: a third of the work of a full matrix, or less for long
# sheets.


BLOCK = 48  # functions in a block, at least
ZERO = 1e-13  # integrals below this share of the largest are rounding


@dataclass(frozen=True, eq=False)
class _Pattern:
    """Where u and v stand (`of_u`, `of_v`); `blocks` of the low degrees, then the `border`; entries of the lower half
    by kind: (flat place, stretch part, shear part)."""

    of_u: np.ndarray
    of_v: np.ndarray
    blocks: tuple
    border: slice
    entries: dict


def places(u, v):
    """Where the listed functions of u and of v stand among the in-plane ones: those of low degree first."""
    pattern = _pattern(u, v)
    return pattern.of_u, pattern.of_v


def membrane_scale(sheet):
    """12/t^2 times the area of the sheet over that of the reference square."""
    return 12 / sheet.thickness**2 * sheet.length * sheet.width / 4


def eliminated(sheet, u, v, w):
    """(L, Y), functions of u and v placed as `places` says; columns of Y as w is listed.

    Raises ValueError where the matrix is not positive definite.
    """
    pattern, factor, right = _pattern(u, v), _in_plane_matrix(sheet, u, v), _coupling_matrix(sheet, u, v, w)
    border, low = pattern.border, slice(0, pattern.border.start)
    for here, after in zip(pattern.blocks, (*pattern.blocks[1:], None), strict=True):
        _reduce(factor, right, here, [border] if after is None else [border, after])
        if after is not None:
            step = factor[after, here]
            factor[after, after] -= step @ step.T
            factor[border, after] -= factor[border, here] @ step.T
            right[after] -= step @ right[here]
    rows = factor[border, low]
    factor[border, border] -= rows @ rows.T
    right[border] -= rows @ right[low]
    _reduce(factor, right, border, [])
    return factor, right


def _reduce(matrix, right, here, below):
    """Factor one diagonal block in place; divide the rows of the right side and the blocks below it by the factor."""
    block, failed = scipy.linalg.lapack.dpotrf(matrix[here, here].T, lower=0, clean=1)
    if failed:
        raise ValueError(
            "the in-plane part of the framed sheet cannot be solved: its matrix is not positive definite "
            f"at row {here.start + failed}; check thickness, sides and moduli of the sheet"
        )
    matrix[here, here] = block.T
    right[here] = scipy.linalg.blas.dtrsm(1.0, block, right[here].T, side=1, lower=0).T
    for rows in below:
        matrix[rows, here] = scipy.linalg.blas.dtrsm(1.0, block, matrix[rows, here].T, lower=0, trans_a=1).T


def _in_plane_matrix(sheet, u, v):
    """Lower half of the in-plane matrix, zero above."""
    sx, sy, r, size = 2 / sheet.length, 2 / sheet.width, sheet.ratios, len(u.i) + len(v.i)
    scales = {
        "uu": (sx**2 * r.a11, sy**2 * r.a66),
        "uv": (sx * sy * r.a12, sx * sy * r.a66),
        "vv": (sy**2 * r.a22, sx**2 * r.a66),
    }
    matrix = np.zeros(size * size)
    for kind, (place, stretch, shear) in _pattern(u, v).entries.items():
        by_stretch, by_shear = (membrane_scale(sheet) * scale for scale in scales[kind])
        matrix[place] = by_stretch * stretch + by_shear * shear
    return matrix.reshape(size, size)


def _coupling_matrix(sheet, u, v, w):
    kappa, scale, r = sheet.curvature_values, -membrane_scale(sheet), sheet.ratios
    matrix = np.zeros((len(u.i) + len(v.i)) * len(w.i))
    for which, p, factor in (("u", 1, r.a11 * 2 / sheet.length), ("v", 0, r.a12 * 2 / sheet.width)):
        place, pair, along = _coupling_pattern(u, v, w)[which]
        across = scale * factor * weighted((u if which == "u" else v).along_x, p, w.along_x, kappa)
        matrix[place] = across.ravel()[pair] * along
    return matrix.reshape(-1, len(w.i))


@lru_cache(maxsize=64)
def _coupling_pattern(u, v, w):
    """By 'u' and 'v': flat places that are not zero, flat index of the pair of functions along x, integral along y."""
    coupling, (of_u, of_v) = {}, places(u, v)
    for which, own, rows, q in (("u", u, of_u, 0), ("v", v, of_v, 1)):
        along = along_span(own, q, w)
        i, j = np.nonzero(np.abs(along) > ZERO * np.abs(along).max())
        coupling[which] = (rows[i] * len(w.i) + j, own.i[i] * len(w.along_x) + w.i[j], along[i, j])
    return coupling


@lru_cache(maxsize=64)
def _pattern(u, v):
    parts = {
        "uu": (area_integral(u, 1, 0, u, 1, 0), area_integral(u, 0, 1, u, 0, 1)),
        "uv": (area_integral(u, 1, 0, v, 0, 1), area_integral(u, 0, 1, v, 1, 0)),
        "vv": (area_integral(v, 0, 1, v, 0, 1), area_integral(v, 1, 0, v, 1, 0)),
    }
    stretch = np.block([[parts["uu"][0], parts["uv"][0]], [parts["uv"][0].T, parts["vv"][0]]])
    shear = np.block([[parts["uu"][1], parts["uv"][1]], [parts["uv"][1].T, parts["vv"][1]]])
    near = (np.abs(stretch) > ZERO * np.abs(stretch).max()) | (np.abs(shear) > ZERO * np.abs(shear).max())
    low = np.concatenate([np.arange(len(s.i)) < s.coarse for s in (u, v)])
    degree = np.concatenate([s.along_y.degrees[s.j] for s in (u, v)])
    order = np.lexsort((degree, ~low))
    place = np.argsort(order)
    blocks = _blocks(degree[order][: low.sum()], near[np.ix_(order, order)])
    kinds = {
        "uu": (slice(0, len(u.i)),) * 2,
        "uv": (slice(0, len(u.i)), slice(len(u.i), None)),
        "vv": (slice(len(u.i), None),) * 2,
    }
    return _Pattern(
        place[: len(u.i)],
        place[len(u.i) :],
        blocks,
        slice(int(low.sum()), len(place)),
        {
            kind: _entries(*parts[kind], near[where], place[where[0]], place[where[1]], len(place))
            for kind, where in kinds.items()
        },
    )


def _entries(stretch, shear, near, rows, columns, size):
    """(flat places in the lower half, stretch part, shear part) of the pairs that are near."""
    i, j = np.nonzero(near)
    below, above = np.maximum(rows[i], columns[j]), np.minimum(rows[i], columns[j])
    return below * size + above, stretch[i, j], shear[i, j]


def _blocks(degree, near):
    """Slices of functions ordered by `degree`, wide enough that each meets only the next one."""
    pairs = np.argwhere(near[: len(degree), : len(degree)])
    reach = int(np.max(np.abs(degree[pairs[:, 0]] - degree[pairs[:, 1]])))
    cuts = [0]
    for k in range(1, len(degree)):
        new = degree[k] != degree[k - 1]
        if new and k - cuts[-1] >= BLOCK and degree[k] - degree[cuts[-1]] >= reach:
            cuts.append(k)
    return tuple(slice(a, b) for a, b in zip(cuts, [*cuts[1:], len(degree)], strict=True))


# ----- The model of one parity, its matrices and loads.


@dataclass(frozen=True, eq=False)
class RitzModel:
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
    def full_factor(self):
        """Cholesky factor of the stiffness of w."""
        return scipy.linalg.cho_factor(self.stiffness, lower=True, check_finite=False)

    @cached_property
    def coarse_factor(self):
        """The same of the coarser model."""
        return scipy.linalg.cho_factor(self.coarse_stiffness, lower=True, check_finite=False)

    def deflect(self, load, coarse=False):
        """Amplitudes of w under the load vector `load` (divided by D11), from the full or the coarser model."""
        factor = self.coarse_factor if coarse else self.full_factor
        return scipy.linalg.cho_solve(factor, load[: len(factor[0])], check_finite=False)

    def in_plane(self, w):
        """Amplitudes of u and v that go with the amplitudes w (full or coarser model)."""
        u, v, ws = self.sets
        full = len(w) == len(ws.i)
        size = (len(u.i) + len(v.i)) if full else (u.coarse + v.coarse)
        together = np.zeros(len(u.i) + len(v.i))
        if self.factor is not None:
            right = -self.coupling[:size, : len(w)] @ w
            together[:size] = scipy.linalg.solve_triangular(
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
            shape = scipy.linalg.cho_solve(self.coarse_factor, load, check_finite=False)
        return float(shape @ load / (shape @ work @ shape))


@lru_cache(maxsize=6)
def ritz_model(sheet, degrees, parity):
    """`RitzModel` of a `FramedSheet` with polynomial `degrees` (x, y); kept for the last few sheets asked for."""
    u, v, w = sets = function_sets(sheet.edges, degrees, parity)
    bending, geometric, c = _bending_matrix(sheet, w), _geometric_matrix(sheet, w), w.coarse
    if sheet.is_flat:
        return RitzModel(sheet, sets, None, None, bending, bending[:c, :c], geometric)
    factor, coupling = eliminated(sheet, u, v, w)
    bending, low, high = bending + _curvature_matrix(sheet, w), *np.split(coupling, [u.coarse + v.coarse])
    bending = bending - low.T @ low
    return RitzModel(sheet, sets, factor, coupling, bending - high.T @ high, bending[:c, :c], geometric)


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
        scipy.linalg.solveh_banded(
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
            f"the force at {name} = {show_input(place, 'mm', 4)} (footprint {show_input(footprint, 'mm', 4)}) does not "
            f"lie on the free sheet: {name} runs from 0 to {show_input(size, 'mm', 4)}"
        )
    nodes, weights = gauss(basis.nodes) if footprint else (np.zeros(1), np.full(1, 2.0))
    return 0.5 * weights @ basis.at(2 * (place + 0.5 * footprint * nodes) / size - 1)


@lru_cache(maxsize=64)
def _bending_parts(w):
    """The three parts of the bending energy of which only the scale depends on the design."""
    mixed = area_integral(w, 2, 0, w, 0, 2)
    return (
        area_integral(w, 2, 0, w, 2, 0),
        area_integral(w, 0, 2, w, 0, 2),
        mixed + mixed.T,
        area_integral(w, 1, 1, w, 1, 1),
        area_integral(w, 0, 1, w, 0, 1),
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
