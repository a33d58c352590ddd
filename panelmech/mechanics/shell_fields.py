"""Smooth fields over a sheet: their values, the place where they are largest, strain and bending moment.

A field is a double Legendre series, so it can be evaluated and differentiated anywhere without interpolation.
The largest value is searched over the whole sheet, edges included: a grid finer than the series can wiggle,
then zoomed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from .numerics import gauss
from .shell_model import CURVATURE_NODES

# share of the membrane and of the outer-face bending strain in each kind of strain
KINDS = {"outer_face": (1.0, 1.0), "inner_face": (1.0, -1.0), "membrane": (1.0, 0.0), "bending": (0.0, 1.0)}
_ZOOMS, _SHARES = 3, np.linspace(0, 1, 65)  # each zoom narrows the place 64 times; points cost less than zooms
_NO_CURVATURE = np.zeros(1)


@dataclass(frozen=True, eq=False)
class Field:
    """A smooth field over the sheet as a double Legendre series. Call it with x, y [m] (broadcast together).

    coefficients: shape (degree in x + 1, degree in y + 1), in the unit of the field. length, width [m].
    """

    coefficients: np.ndarray
    length: float
    width: float

    def __call__(self, x, y):
        """Value at x, y [m]."""
        xi, eta = 2 * np.asarray(x, float) / self.length - 1, 2 * np.asarray(y, float) / self.width - 1
        return legendre.legval2d(*np.broadcast_arrays(xi, eta), self.coefficients)

    def derivative(self, along_x=0, along_y=0):
        """The field differentiated so many times along x and along y."""
        c = legendre.legder(self.coefficients, along_x, 2 / self.length, 0) if along_x else self.coefficients
        c = legendre.legder(c, along_y, 2 / self.width, 1) if along_y else c
        return Field(c, self.length, self.width)


@dataclass(frozen=True)
class StrainPeak:
    """The largest principal strain of one kind and where it is.

    value [-], tension positive. x, y [m]. membrane, bending: (eps_x, eps_y, gamma) there [-]; the bending
    part is that of the outer face (turn its sign for the inner face).
    """

    value: float
    x: float
    y: float
    membrane: tuple
    bending: tuple


def find_largest(field):
    """(value, x, y) where the magnitude of a `Field` is largest; the value keeps its sign. Shapes: floats."""
    return searched(field.coefficients[None], field.length, field.width, lambda values, curvature: values[0])


def slopes_at(field, x, y):
    """Derivatives of a `Field` at one place x, y [m]: table [times along x, times along y], (3, 3)."""
    sides = []
    for place, size, terms in zip((x, y), (field.length, field.width), field.coefficients.shape, strict=True):
        values, slope = _polynomials(np.array([2 * place / size - 1]), terms)[:, 0], _slope(terms) * 2 / size
        sides.append(np.array([values, values @ slope, values @ slope @ slope]))
    return sides[0] @ field.coefficients @ sides[1].T


def largest_on_grid(field):
    """Largest magnitude of a `Field` on a grid finer than it can wiggle, without the zoom; a float, not negative."""
    nx, ny = field.coefficients.shape
    return float(np.max(np.abs(_grid(nx - 1, nx)[1] @ field.coefficients @ _grid(ny - 1, ny)[1].T)))


def difference(first, second):
    """The `Field` first - second; their degrees may differ."""
    return Field(added(first.coefficients, -second.coefficients), first.length, first.width)


def added(*series):
    """Sum of double Legendre series of different degrees."""
    return sum(_of_one_shape(series))


def _of_one_shape(series):
    """Series of different degrees, filled up with zeros to the highest."""
    shape = np.max([s.shape for s in series], axis=0)
    return [np.pad(s, [(0, n - m) for n, m in zip(shape, s.shape, strict=True)]) for s in series]


def strain_peak(sheet, fields, kind):
    """`StrainPeak` of one of `KINDS` for the displacement `fields` (u, v, w, and w for bending) of a sheet."""
    of_membrane, of_bending = KINDS[kind]

    def measure(values, kappa):
        membrane, bending = membrane_and_bending(values, kappa[:, None])
        return largest_principal(of_membrane * membrane + of_bending * bending)

    value, x, y = searched(strain_series(sheet, fields), sheet.length, sheet.width, measure, curvature_series(sheet))
    membrane, bending = face_strains(sheet, fields, x, y)
    return StrainPeak(value, x, y, tuple(map(float, membrane)), tuple(map(float, bending)))


def face_strains(sheet, fields, x, y):
    """Membrane and outer-face bending strain (eps_x, eps_y, gamma) at x, y [m]; two arrays of shape (3, ...)."""
    series = strain_series(sheet, fields)
    values = np.stack([Field(c, sheet.length, sheet.width)(x, y) for c in series])
    kappa = legendre.legval(2 * np.asarray(x, float) / sheet.length - 1, curvature_series(sheet))
    return membrane_and_bending(values, kappa)


def largest_principal(strain):
    """The principal strain of larger magnitude, with its sign, of (eps_x, eps_y, gamma) stacked first: shape (...)."""
    mean, half = 0.5 * (strain[0] + strain[1]), np.hypot(0.5 * (strain[0] - strain[1]), 0.5 * strain[2])
    return np.where(mean >= 0, mean + half, mean - half)


def bending_moments(sheet, deflection, x, y):
    """(M_x, M_y, M_xy) per metre [N m/m] at x, y [m], positive with tension on the outer face."""
    d, r = sheet.bending_stiffness, sheet.ratios
    xx, yy, xy = (deflection.derivative(*k)(x, y) for k in ((2, 0), (0, 2), (1, 1)))
    return -d * (xx + r.d12 * yy), -d * (r.d22 * yy + r.d12 * xx), -2 * d * r.d66 * xy


def strain_series(sheet, fields):
    """Series of u,x; v,y; u,y + v,x; outer-face bending eps_x, eps_y, gamma; w: shape (7, m, n)."""
    u, v, w, bent = _of_one_shape([f.coefficients for f in fields])
    dx, dy = _slope(len(u)) * 2 / sheet.length, _slope(u.shape[1]).T * 2 / sheet.width
    t = sheet.thickness
    return np.stack(
        [dx @ u, v @ dy, u @ dy + dx @ v, -t / 2 * dx @ dx @ bent, -t / 2 * bent @ dy @ dy, -t * dx @ bent @ dy, w]
    )


@lru_cache(maxsize=64)
def _slope(size):
    """Matrix that differentiates a Legendre series of `size` terms."""
    return np.vstack([legendre.legder(np.eye(size)), np.zeros((1, size))])


def membrane_and_bending(values, kappa):
    """Membrane and bending strain from the values of `strain_series` and the curvature there."""
    membrane = values[:3].copy()
    membrane[0] -= kappa * values[6]
    return membrane, values[3:6]


def curvature_series(sheet):
    """Legendre coefficients of the curvature along x: the polynomial through its values on the Gauss nodes."""
    nodes, weights = gauss(CURVATURE_NODES)
    order = np.arange(CURVATURE_NODES)
    return (order + 0.5) * ((weights * sheet.curvature_values) @ legendre.legvander(nodes, CURVATURE_NODES - 1))


@lru_cache(maxsize=64)
def _grid(degree, terms):
    """Points crowded towards both ends, 2 degree + 1 of them, and as many Legendre polynomials there."""
    points = -np.cos(np.linspace(0, np.pi, 2 * degree + 1))
    points[degree] = 0.0
    return points, legendre.legvander(points, terms - 1)


def _polynomials(points, terms):
    """Legendre polynomials at few points, (terms, points): as `legvander`, in place, in two thirds of its time."""
    values, last = np.empty((terms, len(points))), np.empty_like(points)
    values[0], values[1:2] = 1.0, points
    for n in range(2, terms):  # n P_n = (2 n - 1) x P_(n-1) - (n - 1) P_(n-2)
        here = values[n]
        np.multiply(values[n - 1], points, out=here)
        here *= 2 * n - 1
        np.multiply(values[n - 2], n - 1, out=last)
        here -= last
        here /= n
    return values


def searched(series, length, width, measure, curvature=_NO_CURVATURE):
    """(value, x, y) of the largest magnitude of measure(values of the series, curvature along x)."""
    _, nx, ny = series.shape
    terms = max(nx, ny, len(curvature))
    (xi, vx), (eta, vy) = _grid(nx - 1, terms), _grid(ny - 1, terms)
    i, j = _largest(measure(vx[:, :nx] @ series @ vy[:, :ny].T, vx[:, : len(curvature)] @ curvature))
    for _ in range(_ZOOMS):
        xi, eta = _around(xi, i), _around(eta, j)
        v = _polynomials(np.concatenate([xi, eta]), terms)
        vx, vy = v[:, : len(xi)].T, v[:, len(xi) :].T
        values = measure(vx[:, :nx] @ series @ vy[:, :ny].T, vx[:, : len(curvature)] @ curvature)
        i, j = _largest(values)
    return float(values[i, j]), float(0.5 * length * (1 + xi[i])), float(0.5 * width * (1 + eta[j]))


def _largest(values):
    return np.unravel_index(np.argmax(np.abs(values)), values.shape)


def _around(points, k):
    """A finer set of points between the neighbours of point k; the point itself stays in it."""
    low, here, high = points[max(k - 1, 0)], points[k], points[min(k + 1, len(points) - 1)]
    return np.concatenate([here + (low - here) * _SHARES[:0:-1], here + (high - here) * _SHARES])
