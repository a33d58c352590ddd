"""What a part along its span holds, by slices: each a polygon drawn through the outline of its own section.

Areas by the shoelace rule through points of the exact mid-surface, moved half a thickness along normals taken from
differences of neighbouring points; the rod as a circle. Sums by the midpoint rule on either side of every step. Nothing
of `shop` is used. Errors fall with the square of the steps.
"""

from __future__ import annotations

import itertools

import numpy as np

POINTS, SLICES = 4001, 60


def shoelace(points):
    """Area within a closed chain of points (n, 2) [m2]."""
    x, y = points.T
    return 0.5 * abs(float(x @ np.roll(y, -1) - np.roll(x, -1) @ y))


def inner_face(bend, start, end):
    """Points of the upper inner face between two arclengths of the mid-surface [m]."""
    x, y = bend.outline(np.linspace(start, end, POINTS))
    dx, dy = np.gradient(x, edge_order=2), np.gradient(y, edge_order=2)
    size, half = np.hypot(dx, dy), 0.5 * bend.sheet_thickness
    return np.column_stack([x + half * dy / size, y - half * dx / size])


def _closed(upper):
    return np.vstack([upper, upper[::-1] * [1.0, -1.0]])


def _rod_before(bend, angle):
    """Area of the rod behind the line through both contacts [m2]."""
    return bend.spacer_radius**2 * (0.5 * np.pi - angle - np.sin(angle) * np.cos(angle))


def hollow_area(design, bend):
    """Behind the rod [m2]."""
    face = inner_face(bend, 0.0, bend.contact_arclength)
    return shoelace(_closed(face)) - _rod_before(bend, bend.contact_angle)


def front_area(design, bend):
    """In front of the rod, up to the mouth plane [m2]; for a rod that does not stand proud."""
    face = inner_face(bend, bend.contact_arclength, bend.free_length)
    rod = np.pi * bend.spacer_radius**2 - _rod_before(bend, bend.contact_angle)
    return shoelace(_closed(face)) - rod


def land_area(design, bend):
    """Of the glue line [m2]."""
    return design.land_length * design.bond_line


def rod_area(design, bend):
    """Of the rod's metal [m2]."""
    across, wall = design.spacer_diameter, design.spacer_wall
    return 0.25 * np.pi * (across**2 - (max(across - 2.0 * wall, 0.0) ** 2 if wall else 0.0))


def sheet_area(design, bend):
    """Of one sheet, land included [m2]."""
    return (design.land_length + design.free_length) * design.sheet_thickness


def sliced(blade, area, start=0.0, end=None):
    """Volume [m3] of area(design, bend) [m2] between two places [m], each side of a step for itself."""
    end = blade.span if end is None else end
    cuts = [start, *(p for p in blade.breakpoints if start < p < end), end]
    total = 0.0
    for low, high in itertools.pairwise(cuts):
        for middle in low + (np.arange(SLICES) + 0.5) * (high - low) / SLICES:
            design = blade.design_at(middle)
            total += area(design, design.bend()) * (high - low) / SLICES
    return total
