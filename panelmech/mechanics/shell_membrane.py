"""The in-plane part of a framed sheet and its elimination: what the stretching of the sheet leaves for w alone.

With A the in-plane matrix, L its Cholesky factor, G the coupling of u and v with w, all that w feels of u and v is
Y'Y with Y = L^-1 G. The functions overlap only with near neighbours in degree along the span (integrated Legendre
polynomials), so A, its low degrees ordered by their degree along the span, is block tridiagonal with a border of the
high degrees. Only blocks that are not zero are touched: a third of the work of a full matrix, or less for long sheets.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.linalg.blas import dtrsm
from scipy.linalg.lapack import dpotrf

from .shell_functions import along_span, integral, weighted

__all__ = ["eliminated", "membrane_scale", "places"]

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
    block, failed = dpotrf(matrix[here, here].T, lower=0, clean=1)
    if failed:
        raise ValueError(
            "the in-plane part of the framed sheet cannot be solved: its matrix is not positive definite "
            f"at row {here.start + failed}; check thickness, sides and moduli of the sheet"
        )
    matrix[here, here] = block.T
    right[here] = dtrsm(1.0, block, right[here].T, side=1, lower=0).T
    for rows in below:
        matrix[rows, here] = dtrsm(1.0, block, matrix[rows, here].T, lower=0, trans_a=1).T


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
    found, (of_u, of_v) = {}, places(u, v)
    for which, own, rows, q in (("u", u, of_u, 0), ("v", v, of_v, 1)):
        along = along_span(own, q, w)
        i, j = np.nonzero(np.abs(along) > ZERO * np.abs(along).max())
        found[which] = (rows[i] * len(w.i) + j, own.i[i] * len(w.along_x) + w.i[j], along[i, j])
    return found


@lru_cache(maxsize=64)
def _pattern(u, v):
    parts = {
        "uu": (integral(u, 1, 0, u, 1, 0), integral(u, 0, 1, u, 0, 1)),
        "uv": (integral(u, 1, 0, v, 0, 1), integral(u, 0, 1, v, 1, 0)),
        "vv": (integral(v, 0, 1, v, 0, 1), integral(v, 1, 0, v, 1, 0)),
    }
    whole = np.block([[parts["uu"][0], parts["uv"][0]], [parts["uv"][0].T, parts["vv"][0]]])
    shear = np.block([[parts["uu"][1], parts["uv"][1]], [parts["uv"][1].T, parts["vv"][1]]])
    near = (np.abs(whole) > ZERO * np.abs(whole).max()) | (np.abs(shear) > ZERO * np.abs(shear).max())
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
