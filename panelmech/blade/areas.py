"""Areas of a bent section within its outer outline, and their centroids: what floats, what is hollow.

The outline is the part as bonded and potted: land with its bond line, outer faces of the sheets, square-cut ends, mouth
plane; a rod that stands proud counts in full. A nose shaped or faired later is not in it. All areas are exact solid
areas; first moments of the curved part by Gauss's rule as in `section`.
"""

from __future__ import annotations

import numpy as np

from ..mechanics.bend import Bend
from ..mechanics.section import WEIGHTS, sheet_moments, wall_stations
from ..mechanics.whole_section import whole_section


def outer_areas(bend: Bend, numbers: dict) -> dict:
    """Areas [m2] and centroids [m, from the land end] of a bent section, floats or arrays.

    `displaced_area`, `displaced_x` of all within the outer outline; `void_x` of the hollow behind the rod; `sheets_x`
    of the two sheets over the free length; `potting_x` (the rod's centre where there is none); `bond_area` of the
    adhesive in the land, `bond_x`; `bore_area` of the tube.
    """
    ones = {"span_modulus": 1.0, "spacer_modulus": 1.0, "resin_modulus": 1.0}
    solid = dict(numbers, spacer_wall=0.0 * np.asarray(numbers["spacer_wall"]), **ones)
    parts = whole_section(bend, solid)  # with every modulus 1, EA is the area of sheets, land, rod and potting
    bond = numbers["land_length"] * numbers["bond_line"] + 0.0 * bend.void_area
    void_x, bond_x = void_centroid(bend), -0.5 * numbers["land_length"]
    solids = parts.axial_stiffness * parts.centroid_x
    area = parts.axial_stiffness + bond + bend.void_area
    return {
        "displaced_area": area,
        "displaced_x": (solids + bond * bond_x + bend.void_area * void_x) / area,
        "void_x": void_x,
        "sheets_x": sheet_moments(bend)[0] / (bend.free_length * bend.sheet_thickness),
        "potting_x": _potting_x(bend, solid),
        "bond_area": bond,
        "bond_x": bond_x,
        "bore_area": _bore_area(numbers),
    }


def _potting_x(bend, solid):
    """Centroid of the potting: that of the section in which the resin alone has a modulus."""
    with np.errstate(invalid="ignore", divide="ignore"):
        resin = whole_section(bend, dict(solid, span_modulus=0.0, spacer_modulus=0.0))
        return np.where(resin.axial_stiffness > 0.0, resin.centroid_x, bend.spacer_position)


def _bore_area(numbers):
    wall = np.asarray(numbers["spacer_wall"])
    inner = np.maximum(0.5 * np.asarray(numbers["spacer_diameter"]) - wall, 0.0)
    return np.where(wall > 0.0, np.pi * inner**2, 0.0)


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
