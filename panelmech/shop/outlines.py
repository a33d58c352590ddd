"""Closed outlines in the section: hollow, front, outer shape, nose and trailing edge, with clearance where asked for.

All are made of curves parallel to the exact bend, arcs about the rod, and straight lines; see `shop.curves` for how
exactly they are drawn. An outline is an array (n, 2) [m], not repeated at its end, in the axes of the section.
"""

from __future__ import annotations

import numpy as np

from ..mechanics.bend import Bend
from ..units import show_input
from .curves import arc, chord_crossing, inner, mirrored, parallel, pieces, reaches_circle


def hollow(bend: Bend, clearance: float = 0.0):
    """The hollow behind the rod, `clearance` [m] smaller all round: what fits inside, at each end."""
    offset, radius = inner(bend, clearance), bend.spacer_radius + clearance
    start, end = chord_crossing(bend, offset), reaches_circle(bend, offset, radius)
    face = parallel(bend, pieces(bend, start, end), offset)
    angle = _angle(bend, face[-1])
    back = arc(bend.spacer_position, radius, angle, 2.0 * np.pi - angle)
    return _tidy(np.vstack([face, back[1:-1], mirrored(face)]))


def front_pieces(bend: Bend, clearance: float = 0.0) -> tuple:
    """What fits in front of the rod, `clearance` [m] smaller at faces and rod, flush with the mouth plane.

    One piece where the rod lies behind the mouth plane by more than the clearance, else an upper and a lower one; none
    where the clearance leaves nothing.
    """
    offset, radius, c = inner(bend, clearance), bend.spacer_radius + clearance, np.cos(bend.contact_angle)
    start = bend.contact_arclength + 2.0 * np.sqrt(bend.spacer_radius * clearance)  # rod and straight face, both offset
    end = bend.free_length - clearance * np.sin(bend.contact_angle) / c  # on the mouth plane
    if start >= end:
        return ()
    face = parallel(bend, [start, end], offset)
    angle = _angle(bend, face[0])
    reach = (bend.spacer_radius + bend.setback) / radius
    if reach > 1.0 + 1e-9:
        front = arc(bend.spacer_position, radius, -angle, angle)
        return (_tidy(np.vstack([face, mirrored(face), front[1:-1]])),)
    at_plane = float(np.arccos(np.clip(reach, -1.0, 1.0)))
    if at_plane >= angle:
        return ()
    upper = _tidy(np.vstack([face, arc(bend.spacer_position, radius, at_plane, angle)[:-1]]))
    return upper, mirrored(upper)


def outer_face(bend: Bend, start: float = 0.0):
    """Outer face of the upper sheet from the arclength `start` [m] to the outer corner."""
    offset = 0.5 * bend.sheet_thickness
    return parallel(bend, pieces(bend, start, bend.free_length, offset), offset)


def nose(bend: Bend, rise: float = 0.0):
    """Front of the upper half, from the inner corner of the sheet to the chord line.

    `rise` [m]: 0 leaves it as it is, flush with the mouth plane, or the rod where it stands proud; else an arc through
    both inner corners that reaches so far beyond the mouth plane. ValueError for a rise of more than half the mouth, or
    one that the rod pokes through.
    """
    corner = np.array([[bend.mouth_position, 0.5 * bend.mouth]])
    if rise == 0.0:
        if bend.setback >= 0.0:
            return np.vstack([corner, [[bend.mouth_position, 0.0]]])
        at_plane = np.arccos(max((bend.spacer_radius + bend.setback) / bend.spacer_radius, -1.0))
        return np.vstack([corner, arc(bend.spacer_position, bend.spacer_radius, at_plane, 0.0)])
    check_rise(bend, rise)
    radius = nose_radius(bend, rise)
    centre = bend.mouth_position + rise - radius
    start = np.arctan2(0.5 * bend.mouth, radius - rise)
    return np.vstack([corner, arc(centre, radius, start, 0.0)[1:]])


def nose_radius(bend: Bend, rise: float) -> float:
    """Radius of the arc through both inner corners with this rise, (m^2/4 + h^2)/(2 h) [m]."""
    return (0.25 * bend.mouth**2 + rise**2) / (2.0 * rise)


def check_rise(bend: Bend, rise: float) -> None:
    """ValueError unless an arc of this rise [m] can stand on the mouth."""
    least = max(-bend.setback, 0.0)
    if least > 0.5 * bend.mouth:
        raise ValueError(
            "the rod stands so far proud that no arc between the mouth corners clears it: leave the nose "
            "as it is (nose rise 0)"
        )
    if not (np.isfinite(rise) and least <= rise <= 0.5 * bend.mouth and rise > 0.0):
        raise ValueError(
            f"nose rise {show_input(rise, 'mm')}: give 0 to leave the nose as it is, or "
            f"{show_input(least, 'mm')} to half the mouth, {show_input(round(0.5 * bend.mouth, 7), 'mm')}"
        )


def outer_outline(bend: Bend, land_length: float, rise: float = 0.0):
    """The whole section from outside: land, outer faces, square-cut ends, nose."""
    edge = 0.5 * bend.bond_line + bend.sheet_thickness
    upper = np.vstack([[[-land_length, edge]], outer_face(bend), nose(bend, rise)])
    lower = mirrored(upper)
    return _tidy(np.vstack([upper, lower]))


def notch(upper, back: float, margin: float):
    """A plate with a notch of the mirrored line `upper` (n, 2), open at x = `back` and solid beyond: a gauge.

    `margin` [m] of plate is left around the notch. `upper` runs from the open side to the chord line.
    """
    line = np.vstack([upper, mirrored(upper)])
    ahead = np.sign(upper[-1, 0] - back)
    far, high = upper[np.argmax(ahead * upper[:, 0]), 0] + ahead * margin, upper[:, 1].max() + margin
    plate = np.array([[back, -high], [far, -high], [far, high], [back, high]])
    return _tidy(np.vstack([line, plate]))


def _angle(bend, point):
    """Direction from the rod's centre to a point of the upper half [rad]."""
    return float(np.arctan2(point[1], point[0] - bend.spacer_position))


def _tidy(points):
    """Without points that repeat the one before (closer than a nanometre), the first counting as after the last."""
    points = np.asarray(points, dtype=float)
    return points[np.hypot(*(points - np.roll(points, 1, axis=0)).T) > 1e-9]
