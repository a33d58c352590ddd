"""Section properties: the bent pair and the flat wedge of the same sheets and rod.

The section for comparison is the two sheets alone over the free length, with square-cut ends, as exact solid integrals
(not thin-wall). A point of the sheet is r + z n, with r on the mid-surface, n its normal and -t/2 <= z <= t/2; the area
element is (1 - th' z) dz ds. Integrating over z by hand leaves smooth integrals along the mid-surface, taken by Gauss
quadrature (exact to rounding, tested).

Torsion: one closed cell between the mid-surfaces from the land end to the line through the two contacts, its
closures at land and rod taken as rigid: J = 4 A^2 / (2 s_c / t), Bredt's formula (Megson, Introduction to Aircraft
Structural Analysis, eq. 17.1). An upper bound for the sheets alone.

The flat wedge is the reference: the same sheets, rod and setback, but hinged at the land end, so straight and
tangent to the rod.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from . import elastica
from .bend import Bend
from .wedge import Wedge

NODES, WEIGHTS = np.polynomial.legendre.leggauss(12)
NODES, WEIGHTS = 0.5 * (NODES + 1.0), 0.5 * WEIGHTS  # on 0..1


@dataclass(frozen=True, eq=False)
class Section:
    """Properties of a section of two sheets; floats or arrays.

    `area` [m2]; `centroid_x` from the land end [m]; `i_chord`, second moment about the chord line, the weak axis
    that a side force bends [m4]; `i_normal`, about the axis normal to the chord through the centroid [m4];
    `torsion_constant` of the closed cell [m4]; `enclosed_area` between the inner faces, land end to mouth [m2];
    `mass_per_length` of the two sheets [kg per metre of span]; `curve_moment`, smaller principal second moment of one
    sheet about its own centroid: its stiffness along the span when it bends on its own [m4]. About the principal axis,
    so that mere inclination of the sheet to the chord counts for nothing: a flat sheet has L t^3 / 12 at any angle.
    """

    area: float | np.ndarray
    centroid_x: float | np.ndarray
    i_chord: float | np.ndarray
    i_normal: float | np.ndarray
    torsion_constant: float | np.ndarray
    enclosed_area: float | np.ndarray
    mass_per_length: float | np.ndarray
    curve_moment: float | np.ndarray


def bent_pair(bend: Bend, density=0.0) -> Section:
    """Section of the two bent sheets; `density` [kg/m3]; floats or arrays of the bend's shape."""
    return _section(bend, bend.enclosed_area, density)


def wedge_pair(wedge: Wedge, density=0.0) -> Section:
    """Section of the two straight sheets of the flat wedge; `density` [kg/m3]; floats or arrays."""
    t, length, start = wedge.sheet_thickness, wedge.free_length, wedge.start
    h, s, c = 0.5 * t, np.sin(wedge.angle), np.cos(wedge.angle)
    tip = start + length * s
    inner = length * c * 0.5 * (start + tip) - length * h + (tip - 0.5 * h * c) * h * s - (start - 0.5 * h * c) * h * s
    corner = 0.5 * (h * s) * (start - h * c + start - h)  # between the square-cut end and the land end, x = 0
    return _section(wedge, 2.0 * (inner + corner), density)


def bent_section(design) -> Section:
    """Section of the bent sheets of a `Design`. Raises InfeasibleBend where the design cannot be bent."""
    return bent_pair(design.bend(), design.sheet.density)


def flat_wedge_section(design) -> Section:
    """Section of the flat wedge of a `Design`: the same sheets, rod, bond line and setback, hinged at the land end."""
    return wedge_pair(design.wedge(), design.sheet.density)


def sheet_moments(shape: Bend | Wedge):
    """Integrals of x, y [m3], x^2, y^2 and x y [m4] over the solid section of the upper sheet, land end to
    front edge."""
    if isinstance(shape, Wedge):
        return _straight_moments(
            0.0 * shape.free_length, shape.start, shape.angle, shape.free_length, shape.sheet_thickness
        )
    ahead = _straight_moments(
        shape.contact_x, shape.contact_y, shape.contact_angle, shape.overhang, shape.sheet_thickness
    )
    return tuple(a + b for a, b in zip(_curved_moments(shape), ahead, strict=True))


def _straight_moments(x, y, angle, length, t):
    """The integrals of `sheet_moments` over one straight piece of sheet that starts at (x, y) on the mid-surface."""
    s, c = np.sin(angle), np.cos(angle)
    first_x = t * length * (x + 0.5 * length * c)
    first_y = t * length * (y + 0.5 * length * s)
    through = t**3 / 12.0 * length
    second_x = t * length * (x * x + length * c * (x + length * c / 3.0)) + through * s * s
    second_y = t * length * (y * y + length * s * (y + length * s / 3.0)) + through * c * c
    product = t * length * (x * y + length * (0.5 * (x * s + y * c) + length * s * c / 3.0)) - through * s * c
    return first_x, first_y, second_x, second_y, product


@lru_cache(maxsize=2)
def wall_stations(shape: Bend | Wedge):
    """Upper sheet between land end and contact at Gauss's stations, along a last axis: x, y [m], sin and cos of its
    angle, and arclength per unit of the running variable v on 0..1 [m], so that int f ds = sum(f * rate * WEIGHTS).

    With psi = th_c (1 - v)^2, from the contact, the arclength element of the elastica is smooth in v:
    ds = sqrt(2 th_c) sqrt(psi / sin psi) dv / k, so Gauss's rule converges geometrically.
    """
    column = [
        np.asarray(q)[..., None]
        for q in (shape.contact_angle, shape.contact_x, shape.contact_y, shape.contact_arclength)
    ]
    angle, px, py, arc = column
    if isinstance(shape, Wedge):
        s, c = np.sin(angle) + 0.0 * NODES, np.cos(angle) + 0.0 * NODES
        return px * NODES, py - arc * s * (1.0 - NODES), s, c, arc + 0.0 * NODES
    k = np.asarray(shape.wavenumber)[..., None]
    psi = angle * (1.0 - NODES) ** 2
    s, c = np.sin(angle), np.cos(angle)
    along, across = elastica.along(psi), elastica.across(psi)
    x, y = px - (along * c + across * s) / k, py - (along * s - across * c) / k
    return x, y, np.sin(angle - psi), np.cos(angle - psi), 2.0 * angle * (1.0 - NODES) / (along * k)


def _curved_moments(bend: Bend):
    """The integrals of `sheet_moments` over the curved piece of one bent sheet, land end to contact."""
    x, y, s, c, rate = wall_stations(bend)
    angle, k, t = (np.asarray(q)[..., None] for q in (bend.contact_angle, bend.wavenumber, bend.sheet_thickness))
    curvature, cubic = k * elastica.along(angle * (1.0 - NODES) ** 2), t**3 / 12.0
    ds = rate * WEIGHTS

    def total(values):
        out = np.sum(values * ds, axis=-1)
        return float(out) if out.ndim == 0 else out

    return (
        total(x * t + s * curvature * cubic),
        total(y * t - c * curvature * cubic),
        total(x * x * t + (s**2 + 2.0 * x * s * curvature) * cubic),
        total(y * y * t + (c**2 - 2.0 * y * c * curvature) * cubic),
        total(x * y * t - (s * c + curvature * (x * c - y * s)) * cubic),
    )


def _section(shape, enclosed, density) -> Section:
    first_x, first_y, second_x, second_y, product = sheet_moments(shape)
    t = shape.sheet_thickness
    sheet = shape.free_length * t
    centroid = first_x / sheet
    torsion = 2.0 * shape.cell_area**2 * t / shape.contact_arclength
    return Section(
        area=2.0 * sheet,
        centroid_x=centroid,
        i_chord=2.0 * second_y,
        i_normal=2.0 * (second_x - sheet * centroid**2),
        torsion_constant=torsion,
        enclosed_area=enclosed,
        mass_per_length=2.0 * sheet * density,
        curve_moment=_least_moment(
            second_x - sheet * centroid**2, second_y - first_y**2 / sheet, product - centroid * first_y
        ),
    )


def _least_moment(along, across, product):
    """Smaller principal second moment of one sheet about its own centroid."""
    return 0.5 * (along + across) - np.hypot(0.5 * (along - across), product)
