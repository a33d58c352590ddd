"""Displacements of a framed sheet under a load, with a coarser version of each and, for a point force, a sharper one.

Under a point force polynomials converge slowly, because the moment has no limit there. The sharp part is that of a
flat sheet, though: what curvature changes is smoother by four orders. So the answer is the difference between the
curved and the flat sheet at moderate degrees, plus the flat sheet at much higher degrees (derived here).
"""

from __future__ import annotations

import numpy as np

from .shell_fields import Field, added
from .shell_functions import function_sets, parities
from .shell_ritz import family, fine_flat, load_vector

__all__ = ["displacements"]

FINE_DEGREES = (40, 140)  # range of the degrees for the sharp part of a point force


def displacements(sheet, load, degrees):
    """Fields (u, v, w) at `degrees` and of the coarser model, then the deflection, a coarser one and the doubt [m].

    u, v, w are `Field`s. Away from point forces the deflection is w itself and the doubt beyond the coarser model zero.
    """
    parts = _solve(sheet, load, degrees)
    smooth, rough = _fields(sheet, parts, 0), _fields(sheet, parts, 1)
    if load.kind != "point":
        return smooth, rough, smooth[2], rough[2], 0.0
    return smooth, rough, *_sharpen(sheet, load, degrees, smooth[2], rough[2])


def _solve(sheet, load, degrees):
    """(u, v, w) Legendre series of each parity that the load excites, full and coarser: a list of two lists."""
    members = [(family(sheet, degrees, parity), vector) for parity, vector in _excited(sheet, load, degrees).items()]
    return [[_series(member, member.deflect(vector, coarse)) for coarse in (False, True)] for member, vector in members]


def _excited(sheet, load, degrees):
    """Load vectors by parity, without the parity that a symmetric load leaves at rest."""
    vectors = {
        parity: load_vector(sheet, load, function_sets(sheet.edges, degrees, parity)[2])
        for parity in parities(sheet.edges)
    }
    sizes = {parity: np.abs(vector).max() for parity, vector in vectors.items()}
    return {parity: vectors[parity] for parity in vectors if sizes[parity] >= 1e-13 * max(sizes.values())}


def _series(member, w):
    u, v = member.in_plane(w)
    return [functions.series(a) for functions, a in zip(member.sets, (u, v, w), strict=True)]


def _fields(sheet, parts, which):
    """The three displacement fields, all parities together; which: 0 the full model, 1 the coarser one."""
    return [Field(sum(part[which][k] for part in parts), sheet.length, sheet.width) for k in range(3)]


def _sharpen(sheet, load, degrees, w, rough):
    """Deflection and its coarser version, with the flat sheet's part from high degrees, and the doubt left [m].

    The error of the flat part falls at least like degree^-2, so what is left is about degree/4 times the last change,
    taken where the load is.
    """
    flat, fine, size = sheet.flat(), _fine_degrees(sheet), (sheet.length, sheet.width)
    plain, excited = _solve(flat, load, degrees), _excited(flat, load, degrees)
    best, less = (
        sum(fine_flat(flat, load, d, parity) for parity in excited) for d in (fine, tuple(np.subtract(fine, 2)))
    )
    sharp, blunt = (
        Field(added(part, field.coefficients, -_fields(flat, plain, k)[2].coefficients), *size)
        for k, (part, field) in enumerate(((best, w), (less, rough)))
    )
    x, y = (0.5 * side if place is None else place for place, side in zip((load.x, load.y), size, strict=True))
    return sharp, blunt, float(abs(Field(added(best, -less), *size)(x, y))) * max(fine) / 4


def _fine_degrees(sheet):
    ratio = sheet.width / sheet.length * sheet.ratios.d22**-0.25  # as if the same every way: see default_degrees
    return tuple(even_degree(40 * max(1.0, r), FINE_DEGREES) for r in (1 / ratio, ratio))


def even_degree(degree, limits):
    """The next even degree within limits."""
    return int(2 * np.ceil(np.clip(degree, *limits) / 2))
