"""Outlines to draw, in millimetres: faces of the sheets, land, bond line, rod, potting. Numbers only, no drawing.

Everything is read from the records' own methods; nothing is solved here. x runs along the chord from the land end
(the land has negative x), y across it. Only the upper half is returned for parts that are mirrored; `mirrored` gives
the lower one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import Bend
from ..mechanics.forming import surface_strain
from ..mechanics.wedge import Wedge
from ..units import FACTORS

MM = FACTORS["mm"]
BENT_STATIONS = 81  # between land end and contact: a chord of the curve stays within 0.02 mm of it even for R/L = 0.25
ARC_STATIONS = 61


@dataclass(frozen=True, eq=False)
class Faces:
    """The upper sheet, in mm: `arclength` of n stations from the land end; `outer`, `middle`, `inner` faces, (n, 2)."""

    arclength: np.ndarray
    outer: np.ndarray
    middle: np.ndarray
    inner: np.ndarray

    @property
    def ring(self) -> np.ndarray:
        """Closed outline of the sheet, (2 n, 2) [mm]."""
        return np.vstack([self.outer, self.inner[::-1]])

    @property
    def cells(self) -> np.ndarray:
        """The sheet cut across at its stations: (n - 1, 4, 2) corners [mm]."""
        return np.stack([self.outer[:-1], self.outer[1:], self.inner[1:], self.inner[:-1]], axis=1)


def mirrored(points) -> np.ndarray:
    """The same points on the other side of the chord line."""
    return np.asarray(points) * [1.0, -1.0]


def stations(bend: Bend) -> np.ndarray:
    """Arclengths at which a sheet is drawn [m]: even between land end and contact, then the straight front edge."""
    curved = np.linspace(0.0, bend.contact_arclength, BENT_STATIONS)
    return np.append(curved, bend.free_length) if bend.overhang > 1e-9 * bend.free_length else curved


def bent_faces(bend: Bend) -> Faces:
    """The upper sheet of the bent pair."""
    arclength = stations(bend)
    x, y = bend.outline(arclength)
    return _faces(arclength, x, y, bend.tangent_angle(arclength), bend.sheet_thickness)


def wedge_faces(wedge: Wedge) -> Faces:
    """The upper sheet of the flat wedge; nan where there is none."""
    x, y = wedge.outline()
    return _faces(np.array([0.0, wedge.free_length]), x, y, np.full(2, wedge.angle), wedge.sheet_thickness)


def _faces(arclength, x, y, angle, thickness) -> Faces:
    middle = np.column_stack([x, y])
    half = 0.5 * thickness * np.column_stack([-np.sin(angle), np.cos(angle)])
    return Faces(arclength / MM, (middle + half) / MM, middle / MM, (middle - half) / MM)


def cell_strain(bend: Bend) -> np.ndarray:
    """Surface strain [-] in the middle of each cell of `bent_faces`."""
    arclength = stations(bend)
    return surface_strain(bend, 0.5 * (arclength[1:] + arclength[:-1]))


def land_rectangle(design) -> np.ndarray:
    """The upper sheet over the land, (4, 2) [mm]."""
    low, high = 0.5 * design.bond_line, 0.5 * design.bond_line + design.sheet_thickness
    return _rectangle(-design.land_length, 0.0, low, high)


def bond_rectangle(design) -> np.ndarray:
    """The adhesive between the sheets over the land, (4, 2) [mm]."""
    return _rectangle(-design.land_length, 0.0, -0.5 * design.bond_line, 0.5 * design.bond_line)


def _rectangle(left, right, low, high):
    return np.array([[left, low], [right, low], [right, high], [left, high]]) / MM


def rod_centre(bend: Bend) -> tuple:
    """Centre of the rod, (x, 0) [mm]."""
    return float(bend.spacer_position) / MM, 0.0


def potting_pieces(bend: Bend) -> tuple:
    """Outlines of the potting in front of the rod, (n, 2) each [mm].

    One piece where the rod lies behind the mouth plane, an upper and a lower one where it touches or stands through it.
    """
    centre, radius = bend.spacer_position, bend.spacer_radius
    contact = np.pi / 2 + bend.contact_angle  # direction from the rod's centre to the upper contact
    reach = (radius + bend.setback) / radius  # mouth plane from the centre, in radii
    corner = np.array([[bend.mouth_position, 0.5 * bend.mouth]])
    if reach > 1.0:
        arc = _arc(centre, radius, -contact, contact)
        return (np.vstack([arc, corner, mirrored(corner)]) / MM,)
    upper = np.vstack([_arc(centre, radius, np.arccos(max(reach, -1.0)), contact), corner]) / MM
    return upper, mirrored(upper)


def _arc(centre, radius, start, end):
    angle = np.linspace(start, end, ARC_STATIONS)
    return np.column_stack([centre + radius * np.cos(angle), radius * np.sin(angle)])


def front_most(bend: Bend) -> float:
    """x of the front-most point, corner of the sheet or rod [mm]."""
    return float(bend.free_chord) / MM
