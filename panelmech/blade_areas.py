"""Areas of a bent section within its outer outline, and their centroids: what floats, what is hollow.

The outline is the part as bonded and potted: land with its bond line, outer faces of the sheets, square-cut ends, mouth
plane; a rod that stands proud counts in full. A nose shaped or faired later is not in it. All areas are exact solid
areas; first moments of the curved part by Gauss's rule as in `section`.
"""

from __future__ import annotations

import numpy as np

from .bend import Bend
from .section import WEIGHTS, wall_stations
from .whole import whole_section


def outer_areas(bend: Bend, numbers: dict) -> dict:
    """Areas [m2] and centroids [m, from the land end] of a bent section, floats or arrays.

    `displaced_area`, `displaced_x` of all within the outer outline; `void_x` of the hollow behind the rod; `bond_area`
    of the adhesive in the land, `bond_x`; `bore_area` of the tube.
    """
    solid = dict(numbers, spacer_wall=0.0 * np.asarray(numbers["spacer_wall"]))
    for part in ("span_modulus", "spacer_modulus", "resin_modulus"):
        solid[part] = 1.0
    parts = whole_section(bend, solid)  # with every modulus 1, EA is the area of sheets, land, rod and potting
    bond = numbers["land_length"] * numbers["bond_line"] + 0.0 * bend.void_area
    void_x, bond_x = void_centroid(bend), -0.5 * numbers["land_length"]
    area = parts.axial_stiffness + bond + bend.void_area
    first = parts.axial_stiffness * parts.centroid_x + bond * bond_x + bend.void_area * void_x
    bore = np.maximum(0.5 * numbers["spacer_diameter"] - numbers["spacer_wall"], 0.0)
    bore = np.where(np.asarray(numbers["spacer_wall"]) > 0.0, np.pi * bore**2, 0.0)
    return {"displaced_area": area, "displaced_x": first / area, "void_x": void_x, "bond_area": bond, "bond_x": bond_x,
            "bore_area": bore}


def void_centroid(bend: Bend):
    """x of the centroid of the hollow between the inner faces and behind the rod [m from the land end].

    Under the inner face back of the contact, less the piece of the rod behind the line through the contacts.
    """
    x, y, s, c, rate = wall_stations(bend)
    h, k = (np.asarray(v)[..., None] for v in (0.5 * bend.sheet_thickness, bend.wavenumber))
    angle = np.arctan2(s, c)
    psi = np.asarray(bend.contact_angle)[..., None] - angle
    curvature = k * np.sqrt(2.0 * np.sin(np.maximum(psi, 0.0)))
    inner_x, inner_y = x + h * s, y - h * c
    under = np.sum(inner_x * inner_y * c * (1.0 + h * curvature) * rate * WEIGHTS, axis=-1)
    radius, th = bend.spacer_radius, bend.contact_angle
    behind = 0.5 * radius**2 * (np.pi / 2 - th - np.sin(th) * np.cos(th))
    rod = bend.spacer_position * behind - radius**3 * np.cos(th) ** 3 / 3.0
    value = 2.0 * (under - rod) / bend.void_area
    return float(value) if np.ndim(value) == 0 else value
