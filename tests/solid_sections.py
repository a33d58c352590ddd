"""Bent pair and flat wedge as polygons (tests only): exact moments by Green's theorem, and finite elements.

Everything is made from outlines, so it shares no formula with the package's integrals. `moments` integrates over a
polygon by Green's theorem. `analyse` hands a conforming set of polygons with one modulus each to the finite-element
library `sectionproperties`. Where round meets flat the rod is a polygon about its circle whose facet lies along the
sheet, so that neighbours share whole edges and no sliver is left for the mesh.

Lengths in mm, moduli in MPa.
"""

from __future__ import annotations

import math

import numpy as np


def moments(points):
    """Area, first moment in x, second moments in x and in y of a polygon given by its corners, by Green's theorem."""
    x, y = np.asarray(points, dtype=float).T
    u, v = np.roll(x, -1), np.roll(y, -1)
    cross = x * v - u * y
    out = np.array(
        [
            cross.sum() / 2.0,
            ((x + u) * cross).sum() / 6.0,
            ((x * x + x * u + u * u) * cross).sum() / 12.0,
            ((y * y + y * v + v * v) * cross).sum() / 12.0,
        ]
    )
    return out if out[0] >= 0.0 else -out


def inner_face(shape, stations, facet=0.0):
    """Inner face of the upper sheet from the land end to the front edge [mm]; `facet`: straight for this angle of rod
    to each side of the contact."""
    return _face(shape, stations, -1.0, facet)


def outer_face(shape, stations):
    """Outer face of the upper sheet from the land end to the front edge [mm]."""
    return _face(shape, stations, 1.0, 0.0)


def _face(shape, stations, side, facet):
    contact = shape.contact_arclength
    reach = 0.5 * shape.spacer_diameter * np.tan(facet)
    behind, ahead = np.linspace(0.0, contact - reach, stations), np.linspace(contact + reach, shape.free_length, 3)
    arclength = np.concatenate([behind, ahead])
    if hasattr(shape, "wavenumber"):
        x, y = shape.outline(arclength)
        angle = shape.tangent_angle(arclength)
    else:
        angle = np.full(len(arclength), shape.angle)
        x, y = arclength * np.cos(angle), shape.start + arclength * np.sin(angle)
    h = 0.5 * side * shape.sheet_thickness
    return 1e3 * np.column_stack([x - h * np.sin(angle), y + h * np.cos(angle)])


def mirrored(points):
    """The points on the other side of the chord line."""
    return np.asarray(points) * [1.0, -1.0]


def circle(x, radius, sides):
    """Corners of the regular polygon about a circle [mm]."""
    return tangent_polygon(x, radius, 2.0 * np.pi * (np.arange(sides) + 0.5) / sides)


def tangent_polygon(x, radius, normals):
    """Corners of the polygon whose sides touch the circle where the rising polar angles `normals` say [mm]."""
    following = np.append(normals[1:], normals[0] + 2.0 * np.pi)
    middle, half = 0.5 * (normals + following), 0.5 * (following - normals)
    reach = radius / np.cos(half)
    return np.column_stack([x + reach * np.cos(middle), reach * np.sin(middle)])


def arc(x, radius, start, end, count):
    """Points on a circle between two polar angles [mm]."""
    a = np.linspace(start, end, count)
    return np.column_stack([x + radius * np.cos(a), radius * np.sin(a)])


def exact_parts(shape, design, count):
    """{part: [(sign, corners)]} of the whole section, on its true outlines with about `count` points a curve [mm].

    The bond line in the land is left out, as in the package.
    """
    t, g, b = (1e3 * v for v in (design.sheet_thickness, design.bond_line, design.land_length))
    inner = inner_face(shape, count)
    upper = np.vstack([inner, outer_face(shape, count)[::-1]])
    land = np.array([(-b, g / 2), (0.0, g / 2), (0.0, g / 2 + t), (-b, g / 2 + t)])
    x, radius, setback = 1e3 * shape.spacer_position, 0.5e3 * design.spacer_diameter, 1e3 * design.setback
    back = np.pi / 2 + shape.contact_angle  # polar angle of the contact
    spacer = [(1.0, arc(x, radius, -np.pi, np.pi, 4 * count)[:-1])]
    if design.spacer_wall > 0:
        spacer.append((-1.0, arc(x, radius - 1e3 * design.spacer_wall, -np.pi, np.pi, 4 * count)[:-1]))
    tip = inner[-1]
    if setback > 0:
        potting = [(1.0, np.vstack([arc(x, radius, back, -back, 4 * count), mirrored(tip), tip]))]
    else:
        plane = np.arccos((radius + setback) / radius)
        piece = np.vstack([arc(x, radius, back, plane, 2 * count), tip])
        potting = [(1.0, piece), (1.0, mirrored(piece))]
    return {
        "sheets": [(1.0, upper), (1.0, mirrored(upper))],
        "land": [(1.0, land), (1.0, mirrored(land))],
        "spacer": spacer,
        "potting": potting,
    }


def exact_moments(shape, design, count=2000):
    """{part: area, first moment in x, second moments in x and y} and the same with half as many points [mm]."""
    both = []
    for points in (count, count // 2):
        parts = exact_parts(shape, design, points)
        both.append({name: sum(sign * moments(p) for sign, p in pieces) for name, pieces in parts.items()})
    return both


def meshed_parts(shape, design, stations=120, step=math.pi / 45.0):
    """[(part, corners, hole or None)] of the whole section that share their edges [mm], for the mesher.

    Contact is a bonded flat of one `step` of the rod's angle (half of it behind the contact, bare of resin), in place
    of a line: no gap or overlap is too thin to mesh. A sheet of the flat wedge starts on the land's end face, not
    square-cut. The bond line is a part of its own ("bond"), which the package leaves out.
    """
    x, radius = 1e3 * shape.spacer_position, 0.5e3 * design.spacer_diameter
    t, g = 1e3 * design.sheet_thickness, 1e3 * design.bond_line
    inner, outer = inner_face(shape, stations, step / 2.0), outer_face(shape, stations)
    inner[0], outer[0] = (0.0, g / 2), (0.0, g / 2 + t)
    upper = np.vstack([inner, outer[::-1]])
    rod, front = _rod_polygon(x, radius, np.pi / 2 + shape.contact_angle, step, inner, stations)
    hole = None
    if design.spacer_wall > 0:
        hole = circle(x, radius - 1e3 * design.spacer_wall, round(2 * np.pi / step))
    ahead = inner[stations + 1 :]
    if design.setback > 0:
        potting = [np.vstack([front, ahead, mirrored(ahead[::-1]), mirrored(front[::-1])])]
    else:
        rod, piece = _cut_at_mouth(rod, front, ahead, x + radius + 1e3 * design.setback)
        potting = [piece, mirrored(piece)]
    parts = [("sheets", upper, None), ("sheets", mirrored(upper), None), ("spacer", rod, hole)]
    return parts + _land_parts(1e3 * design.land_length, t, g) + [("potting", piece, None) for piece in potting]


def _rod_polygon(x, radius, back, step, inner, stations):
    """Polygon about the rod whose side at the polar angle `back` lies along the inner face, and the part of its upper
    half in front of the contact."""
    front = np.concatenate([[0.0], _spread(step, back - step, step), [back]])
    behind = np.concatenate([_spread(back + step, 2 * np.pi - back - step, step), [2 * np.pi - back]])
    rod = tangent_polygon(x, radius, np.concatenate([front, behind, 2 * np.pi - front[-2:0:-1]]))
    count = len(front) - 1  # corners of the upper half in front of the contact: rod[0] .. rod[count - 1]
    rod[count - 1], rod[-count] = inner[stations], mirrored(inner[stations])
    rod[count], rod[-count - 1] = inner[stations - 1], mirrored(inner[stations - 1])
    return rod, rod[:count]


def _cut_at_mouth(rod, front, ahead, mouth):
    """The rod with corners where the mouth plane cuts it, and the upper piece of potting behind that plane."""
    if mouth >= front[0, 0] - 1e-9:  # no setback: the plane touches the rod along its foremost side
        return rod, np.vstack([front, ahead])
    after = int(np.flatnonzero(front[:, 0] < mouth)[0])
    (x0, y0), (x1, y1) = front[after - 1 : after + 1]
    corner = np.array([mouth, y0 + (y1 - y0) * (mouth - x0) / (x1 - x0)])
    kept = front[after:] if corner[0] - x1 > 1e-3 * np.hypot(x1 - x0, y1 - y0) else front[after + 1 :]
    rod = np.vstack([rod[:after], corner, rod[after : len(rod) - after], mirrored(corner), rod[len(rod) - after :]])
    return rod, np.vstack([corner, kept, ahead])


def _land_parts(length, t, g):
    leaf = np.array([(-length, g / 2), (0.0, g / 2), (0.0, g / 2 + t), (-length, g / 2 + t)])
    bond = np.array([(-length, -g / 2), (0.0, -g / 2), (0.0, g / 2), (-length, g / 2)])
    return [("land", leaf, None), ("land", mirrored(leaf), None), ("bond", bond, None)]


def _spread(start, end, step):
    return np.linspace(start, end, max(2, round((end - start) / step) + 1))


def library_section(parts, moduli, mesh=0.0):
    """`sectionproperties` section of `meshed_parts` with {part: modulus [MPa]}, its geometric properties computed.

    `mesh`: largest area of an element [mm2]; 0: as coarse as the outlines allow, enough for these properties, which
    are exact for the polygons on any mesh. Poisson's ratio is 0: no coupling beyond the moduli given.
    """
    from sectionproperties.analysis import Section
    from sectionproperties.pre import CompoundGeometry, Geometry, Material
    from shapely.geometry import Polygon

    geometries = []
    for name, corners, hole in parts:
        material = Material(name, moduli[name], 0.0, 1.0, 1.0, "grey")
        holes = [] if hole is None else [np.round(hole, 9)]
        geometries.append(Geometry(Polygon(np.round(corners, 9), holes), material))
    compound = CompoundGeometry(geometries)
    compound.create_mesh(mesh_sizes=[mesh])
    section = Section(compound)
    section.calculate_geometric_properties()
    return section


def shear_centre_of(section, moduli):
    """x of the shear centre [mm] from the warping function of a section solved with G, weighted with {part: E}.

    The warping function about the shear centre does no work with bending (Trefftz): with the section symmetric about
    y = 0, x = x0 - (sum of E y w) / (sum of E y^2), w taken about x0, the library's centroid. For G = E / 2 this is
    the library's own Trefftz centre (tested).
    """
    from sectionproperties.analysis.fea import gauss_points, shape_function_only

    points = gauss_points(n=6)
    shapes = np.array([shape_function_only(tuple(p[1:])) for p in points])
    corners = np.array([el.coords[:, :3] for el in section.elements])
    nodes = np.array([el.coords for el in section.elements])
    warping = section.section_props.omega[np.array([el.node_ids for el in section.elements])]
    modulus = np.array([moduli[el.material.name] for el in section.elements])
    (x1, x2, x3), (y1, y2, y3) = corners[:, 0].T, corners[:, 1].T
    twice = np.abs((x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1))
    weights = np.outer(modulus * twice, points[:, 0])
    y, w = nodes[:, 1] @ shapes.T, warping @ shapes.T
    return section.get_c()[0] - np.sum(weights * y * w) / np.sum(weights * y * y)
