"""Ritz solution of a shallow curved sheet: its energy by one-dimensional integrals, in blocks along the span.

Shallow shell on the developed sheet (Donnell L.H., NACA Report 479, 1933; Marguerre K., Proc. 5th Int. Congr.
Applied Mechanics, 1938), curvature kappa along x only:

    eps_x = u,x - kappa w    eps_y = v,y    gamma = u,y + v,x

    energy / D11 = 1/2 integral of  w,xx^2 + d22 w,yy^2 + 2 d12 w,xx w,yy + 4 d66 w,xy^2
                 + 12/t^2 [a11 eps_x^2 + a22 eps_y^2 + 2 a12 eps_x eps_y + a66 gamma^2]

and that of springs at land and rod, if there are any: k w,x^2 along the edge over D11. Everything is divided by D11
(`mechanics.shell_model`); an even sheet has d22 = a11 = a22 = 1, d12 = a12 = nu and d66 = a66 = (1 - nu)/2, and D11 is
its D.

Each displacement is a sum of products of one function along the chord and one along the span (`ritz_bases`), which meet
the essential conditions of the sheet's edges. Functions overlap only with near neighbours in degree along the span
(integrated Legendre polynomials). So with those of u, v and w together in the order of that degree the matrix has
blocks on its diagonal and beside it, and nothing else (`shell_blocks`): the work grows with the degree along the span,
where that of a full matrix grows with its cube.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..units import show_input
from .numerics import gauss
from .ritz_bases import Basis, bending_basis, in_plane_basis, product_integral
from .shell_blocks import Blocks, NotPositive, largest
from .shell_model import CURVATURE_NODES

REACH = 4  # greatest difference in degree along the span of functions that overlap
MOST_ALONG_X = CURVATURE_NODES - 2  # degree along x up to which the nodes of the curvature integrate every product
U, V, W = range(3)

# ----- The functions that describe the displacements. Nothing of them depends on sizes or stiffness: built once, kept.


@dataclass(frozen=True, eq=False)
class Functions:
    """Products of functions along x and along y for one displacement."""

    along_x: Basis
    along_y: Basis

    def series(self, amplitudes):
        """Double Legendre coefficients of the displacement of these amplitudes, shape (along x, along y)."""
        return self.along_x.coefficients.T @ amplitudes @ self.along_y.coefficients


def parities(edges):
    """The parities along the span to be solved: two small problems where both frames are alike, else one large."""
    return ("even", "odd") if edges.mirror else ("all",)


@lru_cache(maxsize=64)
def function_sets(edges, degrees, parity):
    """`Functions` of u, v and w. The in-plane ones go one degree higher, so that kappa w can be matched."""
    px, py = degrees
    e, opposite = edges, {"even": "odd", "odd": "even", "all": "all"}[parity]
    nodes = CURVATURE_NODES if px <= MOST_ALONG_X else None  # a flat sheet may have more

    def loose(edge, choices):
        return edge.in_plane in choices

    normal, tangent = ("diaphragm", "free"), ("free",)
    ux = in_plane_basis(loose(e.land, normal), loose(e.rod, normal), px + 1, nodes=nodes)
    uy = in_plane_basis(loose(e.near_frame, tangent), loose(e.far_frame, tangent), py + 1, parity, py + 2)
    vx = in_plane_basis(loose(e.land, tangent), loose(e.rod, tangent), px + 1, nodes=nodes)
    vy = in_plane_basis(loose(e.near_frame, normal), loose(e.far_frame, normal), py + 1, opposite, py + 2)
    wx = bending_basis(e.land.bending, e.rod.bending, px, nodes=nodes)
    wy = bending_basis(e.near_frame.bending, e.far_frame.bending, py, parity, py + 2)
    return Functions(ux, uy), Functions(vx, vy), Functions(wx, wy)


def weighted(first, p, second, weight):
    """Integrals along x of derivative p of `first` times `second` times nodal values, for the functions along x."""
    return first.values[p].T @ ((gauss(CURVATURE_NODES)[1] * weight)[:, None] * second.values[0])


@dataclass(frozen=True, eq=False)
class Order:
    """Where functions stand. place: of u, v, w, the block and the first row in it for each function along y; size: of
    the blocks; rows: of u, v, w, those of all functions, shape (along x, along y). None for one that is not counted."""

    place: tuple
    size: np.ndarray
    rows: tuple


@lru_cache(maxsize=64)
def order(sets, counted):
    """`Order` of the functions of the displacements counted."""
    everywhere = np.unique(np.concatenate([sets[k].along_y.degrees for k in counted]))
    starts = [everywhere[0]]
    for degree in everywhere:
        if degree - starts[-1] >= REACH:
            starts.append(degree)
    size, place = np.zeros(len(starts), int), [None] * 3
    for k in counted:
        place[k] = []
        for block in np.searchsorted(starts, sets[k].along_y.degrees, side="right") - 1:
            place[k].append((int(block), int(size[block])))
            size[block] += len(sets[k].along_x)
    before = np.concatenate([[0], np.cumsum(size)])
    rows = [None if p is None else np.array([before[block] + row for block, row in p]) for p in place]
    rows = (None if r is None else r + np.arange(len(s.along_x))[:, None] for r, s in zip(rows, sets, strict=True))
    return Order(tuple(place), size, tuple(rows))


# ----- The energy: its terms, each a matrix along x times one along y, and their sum in blocks.


def membrane_scale(sheet):
    """12/t^2 times the area of the sheet over that of the reference square."""
    return 12 / sheet.thickness**2 * sheet.length * sheet.width / 4


def turning(sheet, along_x):
    """Second slope of the energy of the springs against turning at land and rod, over D11, by functions along x: per
    metre of span."""
    scale, total = (2 / sheet.length) ** 2 / sheet.bending_stiffness, 0.0
    for side, spring in sheet.springs.items():
        slope = along_x.slopes_at(side)[0]
        total = total + scale * spring * np.outer(slope, slope)
    return total


def _terms(sheet, sets):
    """{(displacement, displacement): [(matrix along x, matrix along y)]}, term by term as above."""
    (u, v, w), r, area = sets, sheet.ratios, sheet.length * sheet.width / 4
    sx, sy = 2 / sheet.length, 2 / sheet.width

    def term(factor, first, p, q, second, s, t):
        across = product_integral(first.along_x, p, second.along_x, s) * (factor * sx ** (p + s) * sy ** (q + t))
        return across, product_integral(first.along_y, q, second.along_y, t)

    def curved(factor, first, p, q, weight):
        across = weighted(first.along_x, p, w.along_x, weight) * (factor * sx**p * sy**q)
        return across, product_integral(first.along_y, q, w.along_y, 0)

    bending = [
        term(area, w, 2, 0, w, 2, 0),
        term(area * r.d22, w, 0, 2, w, 0, 2),
        term(area * r.d12, w, 2, 0, w, 0, 2),
        term(area * r.d12, w, 0, 2, w, 2, 0),
        term(4 * area * r.d66, w, 1, 1, w, 1, 1),
    ]
    if sheet.springs:
        bending.append((turning(sheet, w.along_x) * (sheet.width / 2), product_integral(w.along_y, 0, w.along_y, 0)))
    if sheet.is_flat:
        return {(W, W): bending}
    kappa, c = sheet.curvature_values, membrane_scale(sheet)
    return {
        (U, U): [term(c * r.a11, u, 1, 0, u, 1, 0), term(c * r.a66, u, 0, 1, u, 0, 1)],
        (V, V): [term(c * r.a22, v, 0, 1, v, 0, 1), term(c * r.a66, v, 1, 0, v, 1, 0)],
        (U, V): [term(c * r.a12, u, 1, 0, v, 0, 1), term(c * r.a66, u, 0, 1, v, 1, 0)],
        (U, W): [curved(-c * r.a11, u, 1, 0, kappa)],
        (V, W): [curved(-c * r.a12, v, 0, 1, kappa)],
        (W, W): [*bending, curved(c * r.a11, w, 0, 0, kappa**2)],
    }


def stiffness(sheet, sets, less=None):
    """`Blocks` of the whole energy, divided by D11, in `order`; less: (matrix along x, matrix along y) to be taken off
    that of w."""
    placed, terms = _placed(sheet, sets), _terms(sheet, sets)
    if less is not None:
        terms[W, W] = [*terms[W, W], (-less[0], less[1])]
    diagonal = [np.zeros((n, n)) for n in placed.size]
    below = [np.zeros((n, m)) for m, n in zip(placed.size[:-1], placed.size[1:], strict=True)]
    for (one, two), parts in terms.items():
        tall, wide = parts[0][0].shape
        for i, j, block in _products(parts, sets[one].along_y.degrees, sets[two].along_y.degrees):
            (at_i, row), (at_j, column) = placed.place[one][i], placed.place[two][j]
            rows, columns = slice(row, row + tall), slice(column, column + wide)
            if at_i == at_j:
                diagonal[at_i][rows, columns] = block
                diagonal[at_i][columns, rows] = block.T
            elif at_i > at_j:
                below[at_j][rows, columns] = block
            elif one != two:
                below[at_i][columns, rows] = block.T
    return Blocks(diagonal, below)


def _placed(sheet, sets):
    return order(sets, (W,) if sheet.is_flat else (U, V, W))


def _products(parts, tall, wide):
    """(i, j, matrix along x) for each pair of functions along y that overlap; tall, wide: their degrees."""
    along, across = np.stack([y for _, y in parts]), np.stack([x for x, _ in parts])
    i, j = np.nonzero(np.abs(np.subtract.outer(tall, wide)) <= REACH)
    blocks = (along[:, i, j].T @ across.reshape(len(parts), -1)).reshape(-1, *across.shape[1:])
    return zip(i.tolist(), j.tolist(), blocks, strict=True)


# ----- Its answers: displacements under a load, critical compression.


def displaced(sheet, work, degrees, parity):
    """Legendre coefficients of (u, v, w) under a load, of one parity along the span; zero u and v for a flat sheet.

    work: of the load on each function of w, as of `load_work`.
    """
    sets = function_sets(sheet.edges, degrees, parity)
    placed = _placed(sheet, sets)
    right = np.zeros(placed.size.sum())
    right[placed.rows[W]] = work
    return _series(sets, placed, stiffness(sheet, sets).factored().solve(right))


def _series(sets, placed, found):
    return tuple(
        functions.series(found[rows]) if rows is not None else np.zeros((1, 1))
        for functions, rows in zip(sets, placed.rows, strict=True)
    )


def critical(sheet, degrees, parity, share, shift, count=1):
    """The lowest `count` critical compressions above `shift`, divided by D11, and the deflections that go with them, as
    Legendre coefficients.

    share: of the compression, at `curvature_stations`. K w = N G w is solved as G w = (K - shift G) w / (N - shift).
    inf where nothing is compressed. Raises `NotPositive` where the lowest is below `shift`.
    """
    sets = function_sets(sheet.edges, degrees, parity)
    placed, across, along = _placed(sheet, sets), *_compression(sheet, sets[W], share)

    def work(shape):
        out = np.zeros(len(shape))
        out[placed.rows[W]] = across @ shape[placed.rows[W]] @ along
        return out

    values, shapes = largest(stiffness(sheet, sets, (shift * across, along)).factored(), work, count)
    return [shift + 1 / v if v > 0 else np.inf for v in values], [_series(sets, placed, s)[W] for s in shapes]


def is_stable(sheet, degrees, parity, share, compression):
    """Whether every shape of a parity resists a compression, divided by D11."""
    sets = function_sets(sheet.edges, degrees, parity)
    across, along = _compression(sheet, sets[W], share)
    try:
        stiffness(sheet, sets, (compression * across, along)).factored()
    except NotPositive:
        return False
    return True


def _compression(sheet, w, share):
    """Integral of share w,y^2 over the sheet: matrix along x, matrix along y."""
    across = weighted(w.along_x, 0, w.along_x, share) * (sheet.length / sheet.width)
    return across, product_integral(w.along_y, 1, w.along_y, 1)


def load_work(sheet, load, degrees, parity):
    """Work of the load (divided by D11) on each function of w, shape (along x, along y)."""
    functions = function_sets(sheet.edges, degrees, parity)[W]
    along_x, along_y = functions.along_x, functions.along_y
    if load.kind == "point":
        fx = _spot(along_x, load.x, load.footprint, sheet.length, "x")
        fy = _spot(along_y, load.y, load.footprint, sheet.width, "y")
        scale = load.size
    else:
        fx = _ramp(along_x, {"land": -1, "rod": 1}.get(load.deep, 0))
        fy = _ramp(along_y, {"near": -1, "far": 1}.get(load.deep, 0))
        scale = load.size * sheet.length * sheet.width / 4
    return scale / sheet.bending_stiffness * np.outer(fx, fy)


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
    nodes, weights = gauss(basis.nodes)
    return 0.5 * weights @ basis.at(2 * (place + 0.5 * footprint * nodes) / size - 1)
