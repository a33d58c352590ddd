"""Outlines to draw, in millimetres: faces of the sheets, land, bond line, rod, potting. Numbers only, no drawing.

The live picture and the pictures for export draw the same record, `section_outlines`. Everything is read from the
records' own methods; nothing is solved here. x runs along the chord from the land end (the land has negative x), y
across it. Only the upper half is returned for parts that are mirrored; `mirrored` gives the lower one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import Bend
from ..mechanics.wedge import Wedge
from ..units import FACTORS

MM = FACTORS["mm"]
BENT_PIECES = 80  # between land end and contact: a chord of the curve stays within 0.02 mm of it even for R/L = 0.25
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


@dataclass(frozen=True, eq=False)
class Outlines:
    """The parts of one section, as `section_outlines` gives them; mm.

    Attributes
    ----------
    sheet : Faces
        The upper sheet.
    land : ndarray, (4, 2)
        That sheet over the land.
    bond : ndarray, (4, 2)
        The adhesive between the sheets.
    rod : tuple
        x of its centre and its radius.
    bore : float
        Inner radius of a tube, 0 for a solid rod.
    potting : tuple of ndarray, (n, 2) each
        Its pieces in front of the rod.
    strain : ndarray
        Bending strain of each cell of the sheet as a share of the greatest [-], 0 to 1.
    front : float
        x of the front-most point, corner of the sheet or rod.
    half_height : float
        Of all of it, from the chord line.
    """

    sheet: Faces
    land: np.ndarray
    bond: np.ndarray
    rod: tuple
    bore: float
    potting: tuple
    strain: np.ndarray
    front: float
    half_height: float

    @property
    def left(self) -> float:
        """x of the trailing edge [mm]."""
        return float(self.land[0, 0])


def section_outlines(section, pieces: int = BENT_PIECES) -> Outlines:
    """Everything that is drawn of a section: of a study, or of anything else with a `bend` and a `design`.

    `pieces`: straight ones from land end to contact.
    """
    bend, design = section.bend, section.design
    arclength = stations(bend, pieces)
    strain = bend.curvature(0.5 * (arclength[1:] + arclength[:-1])) / bend.land_curvature
    bore = 0.5 * design.spacer_diameter - design.spacer_wall if design.spacer_wall > 0 else 0.0
    return Outlines(
        bent_faces(bend, pieces),
        land_rectangle(design),
        bond_rectangle(design),
        (float(bend.spacer_position) / MM, float(bend.spacer_radius) / MM),
        max(bore, 0.0) / MM,
        potting_pieces(bend),
        np.clip(strain, 0.0, 1.0),
        float(bend.free_chord) / MM,
        max(0.5 * float(bend.outer_thickness), float(bend.spacer_radius)) / MM,
    )


def mirrored(points) -> np.ndarray:
    """The same points on the other side of the chord line."""
    return np.asarray(points) * [1.0, -1.0]


def stations(bend: Bend, pieces: int = BENT_PIECES) -> np.ndarray:
    """Arclengths at which a sheet is drawn [m]: even between land end and contact, then the straight front edge."""
    curved = np.linspace(0.0, bend.contact_arclength, pieces + 1)
    return np.append(curved, bend.free_length) if bend.overhang > 1e-9 * bend.free_length else curved


def bent_faces(bend: Bend, pieces: int = BENT_PIECES) -> Faces:
    """The upper sheet of the bent pair."""
    arclength = stations(bend, pieces)
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


def land_rectangle(design) -> np.ndarray:
    """The upper sheet over the land, (4, 2) [mm]."""
    low, high = 0.5 * design.bond_line, 0.5 * design.bond_line + design.sheet_thickness
    return rectangle(-design.land_length, 0.0, low, high) / MM


def bond_rectangle(design) -> np.ndarray:
    """The adhesive between the sheets over the land, (4, 2) [mm]."""
    return rectangle(-design.land_length, 0.0, -0.5 * design.bond_line, 0.5 * design.bond_line) / MM


def rectangle(left: float, right: float, low: float, high: float) -> np.ndarray:
    """Corners of a rectangle, (4, 2), counterclockwise from the lower left."""
    return np.array([[left, low], [right, low], [right, high], [left, high]])


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
