"""Energy of a shallow curved sheet at large deflection: its first and second slopes, the in-plane part eliminated.

Shallow shell of von Karman and Marguerre on the developed sheet (von Karman T., Enzyklopädie der mathematischen
Wissenschaften IV/4, 1910, Art. 27; Marguerre K., Proc. 5th Int. Congr. Applied Mechanics, 1938), in the arclength of
the curved sheet (Donnell L.H., NACA Report 479, 1933), curvature kappa along x only, w towards the centre of curvature:

    eps_x = u,x - kappa w + w,x^2/2     eps_y = v,y + w,y^2/2     gamma = u,y + v,x + w,x w,y

    energy / D11 = 1/2 integral of  w,xx^2 + d22 w,yy^2 + 2 d12 w,xx w,yy + 4 d66 w,xy^2
                 + 12/t^2 [a11 eps_x^2 + a22 eps_y^2 + 2 a12 eps_x eps_y + a66 gamma^2]
                 + formed w,x^2 / D11,      and of springs against movement across the edges, in the plane of the sheet

`formed` is the force along the chord that forming leaves, tension positive (`forming_force`). u and v stand in the
energy as squares only, so they are eliminated exactly, within their functions, at every w: with A the in-plane matrix
(its factor does not change with w), n(w) the part of the strains that w alone makes, and b(w) the work of n's stress on
the functions of u and v,

    energy = bending + 1/2 n.n - 1/2 b.A^-1 b,     slope by w: K w + N.(dn/dw),     second slope: S(w) - H' A^-1 H

with N the membrane forces, H the slope of b by w, and S what is left where u and v stand still (derived here). All is
divided by D11. Every integral along x is taken at the stations of the curvature, that along y at enough Gauss nodes for
the fourth power of w: nothing is truncated but the series themselves.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache

import numpy as np
import scipy

from ..units import read_number, show_input
from .numerics import gauss
from .ritz_bases import bending_basis, in_plane_basis, product_integral
from .shell_model import CURVATURE_NODES, EDGE_NAMES, FramedSheet
from .shell_ritz import turning

# ----- How the edges give in the plane of the sheet.


@dataclass(frozen=True)
class EdgeGive:
    """Springs against the movement of each edge across itself, in the plane of the sheet.

    land, rod, near_frame, far_frame : force per metre of edge for each metre that the edge draws in [N/m^2]. None: as
        the edge of the sheet says, free to move ('diaphragm', 'free') or held. 0 is free to move; the greater the
        spring, the nearer to held.

    A spring goes with an edge that may move across itself; `check` refuses one where the edge is held. Raises
    ValueError for a negative spring or one that is no number.
    """

    land: float | None = None
    rod: float | None = None
    near_frame: float | None = None
    far_frame: float | None = None

    def __post_init__(self):
        for name in EDGE_NAMES:
            if getattr(self, name) is not None:
                read_number(getattr(self, name), f"spring of the {name.replace('_', ' ')}", "Pa", 0.0)

    def check(self, edges):
        """Raise ValueError where a spring stands at an edge that is held both ways in the plane of the sheet."""
        for name in EDGE_NAMES:
            spring = getattr(self, name)
            if spring is not None and getattr(edges, name).in_plane == "held":
                raise ValueError(
                    f"the {name.replace('_', ' ')} came with a spring of {show_input(spring, 'Pa', 4)}, but is held "
                    "both ways in the plane of the sheet: make that edge 'diaphragm', or leave its spring out"
                )

    @property
    def mirror(self):
        """True where both frames give alike."""
        return (self.near_frame or 0.0) == (self.far_frame or 0.0)


# ----- The functions and the tables of their products. Nothing here depends on sizes or stiffness.


@dataclass(frozen=True, eq=False)
class Product:
    """All products of one function along x and one along y, in the order of a table [along x, along y]."""

    along_x: object
    along_y: object

    def __len__(self):
        return len(self.along_x) * len(self.along_y)

    @cached_property
    def i(self):
        """Of each product the function along x."""
        return np.repeat(np.arange(len(self.along_x)), len(self.along_y))

    @cached_property
    def j(self):
        """Of each product the function along y."""
        return np.tile(np.arange(len(self.along_y)), len(self.along_x))

    def series(self, amplitudes):
        """Double Legendre coefficients of the displacement with these amplitudes."""
        table = np.reshape(amplitudes, (len(self.along_x), len(self.along_y)))
        return self.along_x.coefficients.T @ table @ self.along_y.coefficients


@dataclass(frozen=True, eq=False)
class Sets:
    """Functions of u, v and w, and whether they are of one parity along the span (then half the span is integrated)."""

    u: Product
    v: Product
    w: Product
    halved: bool

    @cached_property
    def half(self):
        """First of the nodes along y that are integrated, and the weights there."""
        nodes, weights = gauss(self.w.along_y.nodes)
        first = len(nodes) // 2 if self.halved else 0
        return first, weights[first:] * (2.0 if self.halved else 1.0)

    def along(self, which, order):
        """Derivative `order` of the functions of u, v or w at the nodes, along x and along y: (nodes, functions)."""
        product = getattr(self, which)
        return product.along_x.values[order], product.along_y.values[order, self.half[0] :]

    @cache  # noqa: B019 - sets are few, and kept anyway
    def pairs(self, first, p, second, r, axis):
        """Products of derivative p of `first` and r of `second` along an axis, weights included: (pairs, nodes)."""
        weights = gauss(CURVATURE_NODES)[1] if axis == 0 else self.half[1]
        one, other = self.along(first, p)[axis], self.along(second, r)[axis]
        table = (weights[:, None] * one)[:, :, None] * other[:, None, :]
        return np.ascontiguousarray(table.reshape(len(weights), -1).T)


MORE_IN_PLANE = 4  # degrees of u and v above those of w: measured, see `tests/mechanics/test_shell_large.py`


@lru_cache(maxsize=32)
def large_sets(edges, degrees, parity, more=MORE_IN_PLANE):
    """`Sets` of one parity of w along the span: 'even', 'odd' or 'all'. more: degrees of u and v above those of w.

    Beside a deflection that is even u is even and v odd. Those of an odd one are the other way round.
    """
    px, py = degrees
    nodes = 2 * py + more // 2
    nodes += nodes % 2
    e, opposite = edges, {"even": "odd", "odd": "even", "all": "all"}[parity]

    def loose(edge, *choices):
        return edge.in_plane in choices

    normal, tangent, here = ("diaphragm", "free"), ("free",), CURVATURE_NODES
    return Sets(
        Product(
            in_plane_basis(loose(e.land, *normal), loose(e.rod, *normal), px + more, nodes=here),
            in_plane_basis(loose(e.near_frame, *tangent), loose(e.far_frame, *tangent), py + more, parity, nodes),
        ),
        Product(
            in_plane_basis(loose(e.land, *tangent), loose(e.rod, *tangent), px + more, nodes=here),
            in_plane_basis(loose(e.near_frame, *normal), loose(e.far_frame, *normal), py + more, opposite, nodes),
        ),
        Product(
            bending_basis(e.land.bending, e.rod.bending, px, nodes=here),
            bending_basis(e.near_frame.bending, e.far_frame.bending, py, parity, nodes),
        ),
        parity != "all",
    )


# ----- The model of one parity.


@dataclass(frozen=True, eq=False)
class State:
    """Membrane forces and slopes at the nodes that belong to amplitudes of w; forces over D11 12/t^2.

    amplitudes : of w. slope_x, slope_y : w,x and w,y. forces : (N_x, N_y, N_xy). in_plane : amplitudes of u and v.
    energy : over D11. gradient : of the energy by the amplitudes, without the load.
    """

    amplitudes: np.ndarray
    slope_x: np.ndarray
    slope_y: np.ndarray
    forces: tuple
    in_plane: np.ndarray
    energy: float
    gradient: np.ndarray


@dataclass(frozen=True, eq=False)
class Alone:
    """What amplitudes of w make while u and v stand still: slopes, strains and their stress at the nodes, and the work
    of that on the functions of u and v; units as of `State`."""

    amplitudes: np.ndarray
    slope_x: np.ndarray
    slope_y: np.ndarray
    strain: tuple
    stress: tuple
    work: np.ndarray


@dataclass(frozen=True, eq=False)
class LargeModel:
    """A sheet at large deflection, with functions of one parity along the span.

    sheet : its size, thickness and curvature. sets : `Sets`. ratios : `StiffnessRatios`. give : `EdgeGive`.
    formed : force along the chord left by forming, at the stations of the curvature [N/m], tension positive, or None.
    """

    sheet: FramedSheet
    sets: Sets
    ratios: object
    give: EdgeGive = EdgeGive()
    formed: np.ndarray | None = field(default=None, repr=False)

    @cached_property
    def _scales(self):
        """2/length, 2/width, area over that of the reference square, 12/t^2 times that."""
        sheet = self.sheet
        area = sheet.length * sheet.width / 4
        return 2 / sheet.length, 2 / sheet.width, area, 12 / sheet.thickness**2 * area

    @cached_property
    def bending(self):
        """Matrix of bending, and of the force left by forming, (n, n)."""
        sx, sy, area, _ = self._scales
        w, r = self.sets.w, self.ratios

        def term(p, q, r_, s):
            return _outer(w.along_x, p, w.along_x, r_, w.along_y, q, w.along_y, s)

        mixed = term(2, 0, 0, 2)
        matrix = sx**4 * term(2, 0, 2, 0) + sy**4 * r.d22 * term(0, 2, 0, 2)
        matrix += (sx * sy) ** 2 * (r.d12 * (mixed + mixed.T) + 4 * r.d66 * term(1, 1, 1, 1))
        if self.formed is not None:
            weights = gauss(CURVATURE_NODES)[1] * self.formed / self.sheet.bending_stiffness
            slope = w.along_x.values[1]
            across = slope.T @ (weights[:, None] * slope)
            matrix += sx**2 * np.kron(across, product_integral(w.along_y, 0, w.along_y, 0))
        if self.sheet.springs:
            edge = product_integral(w.along_y, 0, w.along_y, 0) * (self.sheet.width / 2)
            return area * matrix + np.kron(turning(self.sheet, w.along_x), edge)
        return area * matrix

    @cached_property
    def factor(self):
        """Cholesky factor, lower, of `in_plane_matrix`. ValueError where that is not positive definite."""
        return in_plane_factor(self.in_plane_matrix)

    @cached_property
    def in_plane_matrix(self):
        """A, u before v; its lower half."""
        (sx, sy, _, scale), r, u, v = self._scales, self.ratios, self.sets.u, self.sets.v

        def term(one, p, q, other, r_, s):
            return _outer(one.along_x, p, other.along_x, r_, one.along_y, q, other.along_y, s)

        n = len(u)
        matrix = np.empty((n + len(v),) * 2, order="F")
        matrix[:n, :n] = scale * (sx**2 * r.a11 * term(u, 1, 0, u, 1, 0) + sy**2 * r.a66 * term(u, 0, 1, u, 0, 1))
        matrix[n:, n:] = scale * (sy**2 * r.a22 * term(v, 0, 1, v, 0, 1) + sx**2 * r.a66 * term(v, 1, 0, v, 1, 0))
        matrix[n:, :n] = scale * sx * sy * (r.a12 * term(v, 0, 1, u, 1, 0) + r.a66 * term(v, 1, 0, u, 0, 1))
        self._add_springs(matrix)
        return matrix

    def _add_springs(self, matrix):
        u, v, n, d = self.sets.u, self.sets.v, len(self.sets.u), self.sheet.bending_stiffness
        for name, at in (("land", -1.0), ("rod", 1.0), ("near_frame", -1.0), ("far_frame", 1.0)):
            spring = getattr(self.give, name)
            if not spring:
                continue
            across = name in ("land", "rod")
            own, along = (u.along_x, u.along_y) if across else (v.along_y, v.along_x)
            end, edge = own.at(at)[0], product_integral(along, 0, along, 0)
            half = 0.5 * (self.sheet.width if across else self.sheet.length)
            parts = (np.outer(end, end), edge) if across else (edge, np.outer(end, end))
            where = slice(0, n) if across else slice(n, None)
            matrix[where, where] += spring * half / d * np.kron(*parts)

    @cached_property
    def metric(self):
        """Matrix of the mean square of w over that of the thickness, (n, n)."""
        w = self.sets.w
        return _outer(w.along_x, 0, w.along_x, 0, w.along_y, 0, w.along_y, 0) / (4 * self.sheet.thickness**2)

    @cached_property
    def _at_nodes(self):
        """Per displacement and derivative (x, y): tables along x and y, scaled to metres, (nodes, functions)."""
        sx, sy = self._scales[:2]
        return {
            (which, p, q): (sx**p * self.sets.along(which, p)[0], sy**q * self.sets.along(which, q)[1])
            for which in "uvw"
            for p, q in ((0, 0), (1, 0), (0, 1))
        }

    @cached_property
    def _weights(self):
        """Of the nodes, times 12/t^2 and the area: (along x, along y)."""
        return self._scales[3] * np.outer(gauss(CURVATURE_NODES)[1], self.sets.half[1])

    def _values(self, which, p, q, amplitudes):
        along_x, along_y = self._at_nodes[which, p, q]
        return along_x @ amplitudes.reshape(along_x.shape[1], -1) @ along_y.T

    def _work(self, which, p, q, values):
        """Integral of values, weights included, times each function's derivative: (n,)."""
        along_x, along_y = self._at_nodes[which, p, q]
        return (along_x.T @ values @ along_y).ravel()

    def _stress(self, x, y, shear):
        r = self.ratios
        return r.a11 * x + r.a12 * y, r.a12 * x + r.a22 * y, r.a66 * shear

    def _in_plane_work(self, forces):
        n_x, n_y, n_xy = (self._weights * force for force in forces)
        of_u = self._work("u", 1, 0, n_x) + self._work("u", 0, 1, n_xy)
        return np.concatenate([of_u, self._work("v", 0, 1, n_y) + self._work("v", 1, 0, n_xy)])

    def state(self, amplitudes):
        """`State` of equilibrium in the plane at these amplitudes of w, shape (n,)."""
        alone = self.alone(amplitudes)
        return self.with_in_plane(alone, self.in_plane(alone.work))

    def in_plane(self, work):
        """Amplitudes of u and v that answer to the work of w's own stress on them."""
        return -scipy.linalg.cho_solve((self.factor, True), work, check_finite=False)

    def alone(self, amplitudes):
        """`Alone`: what the amplitudes of w make by themselves, while u and v stand still."""
        kappa = self.sheet.curvature_values[:, None]
        w, wx, wy = (self._values("w", p, q, amplitudes) for p, q in ((0, 0), (1, 0), (0, 1)))
        strain = (0.5 * wx**2 - kappa * w, 0.5 * wy**2, wx * wy)
        stress = self._stress(*strain)
        return Alone(amplitudes, wx, wy, strain, stress, self._in_plane_work(stress))

    def with_in_plane(self, alone, uv):
        """`State` of an `Alone` and amplitudes of u and v beside it, which balance what works on them."""
        kappa, n, wx, wy = self.sheet.curvature_values[:, None], len(self.sets.u), alone.slope_x, alone.slope_y
        u, v = uv[:n], uv[n:]
        more = self._stress(
            self._values("u", 1, 0, u),
            self._values("v", 0, 1, v),
            self._values("u", 0, 1, u) + self._values("v", 1, 0, v),
        )
        n_x, n_y, n_xy = forces = tuple(a + b for a, b in zip(alone.stress, more, strict=True))
        weights, bent = self._weights, self.bending @ alone.amplitudes
        gradient = bent + self._work("w", 1, 0, weights * (n_x * wx + n_xy * wy))
        gradient += self._work("w", 0, 1, weights * (n_y * wy + n_xy * wx)) - self._work(
            "w", 0, 0, weights * kappa * n_x
        )
        stretched = sum(np.sum(weights * a * b) for a, b in zip(alone.strain, alone.stress, strict=True))
        energy = 0.5 * (alone.amplitudes @ bent + stretched + alone.work @ uv)
        return State(alone.amplitudes, wx, wy, forces, uv, float(energy), gradient)

    def tangent(self, state):
        """Second slope of the energy by the amplitudes of w at a `State`, (n, n), symmetric."""
        coupling = self.coupling(state.slope_x, state.slope_y)
        part = scipy.linalg.blas.dtrsm(1.0, self.factor, coupling, lower=1)
        return self.standing(state) - part.T @ part

    def least(self, state):
        """Lower bound of `tangent`, in a fraction of its time: what bending and the membrane forces resist, without the
        stretching that a further deflection brings, which never helps it on. Where this is positive definite the sheet
        is stable."""
        n_x, n_y, n_xy = state.forces
        own = (((1, 0), (1, 0), 0.5 * n_x), ((0, 1), (0, 1), 0.5 * n_y), ((1, 0), (0, 1), n_xy))
        half = self._pair_integrals("w", own)
        return self.bending + half + half.T

    def coupling(self, wx, wy):
        """H: slope of the work on u and v by the amplitudes of w, (functions of u and v, n)."""
        r = self.ratios
        u = (((1, 0), (1, 0), r.a11 * wx), ((1, 0), (0, 1), r.a12 * wy), ((0, 1), (0, 1), r.a66 * wx))
        v = (((0, 1), (0, 1), r.a22 * wy), ((0, 1), (1, 0), r.a12 * wx), ((1, 0), (1, 0), r.a66 * wy))
        parts = [
            self._pair_integrals("u", (*u, ((0, 1), (1, 0), r.a66 * wy))),
            self._pair_integrals("v", (*v, ((1, 0), (0, 1), r.a66 * wx))),
        ]
        return np.concatenate(parts, axis=0) + self._coupling_of_curvature

    @cached_property
    def _coupling_of_curvature(self):
        first, weights = self.sets.half
        kappa = np.repeat(self.sheet.curvature_values[:, None], len(weights), axis=1)
        r = self.ratios
        return np.concatenate(
            [
                self._pair_integrals("u", (((1, 0), (0, 0), -r.a11 * kappa),)),
                self._pair_integrals("v", (((0, 1), (0, 0), -r.a12 * kappa),)),
            ],
            axis=0,
        )

    def standing(self, state):
        """K + S: the second slope of the energy where u and v stand still, (n, n)."""
        wx, wy, (n_x, n_y, n_xy), r = state.slope_x, state.slope_y, state.forces, self.ratios
        kappa = self.sheet.curvature_values[:, None]
        own = (
            ((1, 0), (1, 0), 0.5 * (n_x + r.a11 * wx**2 + r.a66 * wy**2)),
            ((0, 1), (0, 1), 0.5 * (n_y + r.a22 * wy**2 + r.a66 * wx**2)),
            ((0, 0), (0, 0), 0.5 * r.a11 * kappa**2 + np.zeros_like(wx)),
            ((1, 0), (0, 1), n_xy + (r.a12 + r.a66) * wx * wy),
            ((1, 0), (0, 0), -r.a11 * kappa * wx),
            ((0, 1), (0, 0), -r.a12 * kappa * wy),
        )
        half = self._pair_integrals("w", own)
        return self.bending + half + half.T

    def _pair_integrals(self, which, terms):
        """Integrals of 12/t^2 values times derivative of `which` times derivative of w, over terms (own derivative,
        that of w, values): (functions of `which`, n)."""
        sx, sy, _, scale = self._scales
        across, along = [], []
        for (p, q), (r, s), values in terms:
            across.append(self.sets.pairs(which, p, "w", r, 0) @ (scale * sx ** (p + r) * sy ** (q + s) * values))
            along.append(self.sets.pairs(which, q, "w", s, 1))
        product, w = getattr(self.sets, which), self.sets.w
        shape = (len(product.along_x), len(w.along_x), len(product.along_y), len(w.along_y))
        table = (np.concatenate(across, axis=1) @ np.concatenate(along, axis=1).T).reshape(shape)
        return table.transpose(0, 2, 1, 3).reshape(len(product), len(w))


def in_plane_factor(matrix):
    """Cholesky factor, lower, of an in-plane matrix. ValueError where it is not positive definite."""
    factor, failed = scipy.linalg.lapack.dpotrf(matrix, lower=1, clean=1)
    if failed:
        raise ValueError(
            "the in-plane part of the framed sheet cannot be solved: its matrix is not positive definite at row "
            f"{failed}; check thickness, sides, moduli and edges of the sheet"
        )
    return factor


def _outer(x_one, p, x_other, r, y_one, q, y_other, s):
    """Area integrals of all products of functions: rows those of the first, columns those of the second."""
    return np.kron(product_integral(x_one, p, x_other, r), product_integral(y_one, q, y_other, s))
