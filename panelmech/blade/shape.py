"""The part in space: outlines of its stations, from which pictures, surfaces and volumes are made.

Frame of the part: x forward from the line kept straight (see `blade`), y across the chord, z along the span from the
root end to the tip. Every outline has the same number of points for the same piece of the section, so that joining
them from station to station gives the surface.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .sections import BladeSections

CURVED_SHARE = 0.85  # of the points along a sheet lie behind the contact, where it is bent
NOSE_POINTS = 15  # across the mouth, or round a rod that stands proud


@dataclass(frozen=True, eq=False)
class BladeSurface:
    """Points of the part in space [m]: `x` and `y` of shape (stations, points), `z` of shape (stations,).

    `closed`: each row runs once around the section, from the trailing edge over the upper side, the mouth and the lower
    side back to the trailing edge, the first point not repeated. Else it runs along the upper sheet, trailing edge to
    front edge.
    """

    x: np.ndarray
    y: np.ndarray
    z: np.ndarray
    closed: bool

    def points(self) -> np.ndarray:
        """x, y, z of every point, shape (stations, points, 3) [m]."""
        return np.stack([self.x, self.y, np.broadcast_to(self.z[:, None], self.x.shape)], axis=-1)

    def volume(self) -> float:
        """Volume within a closed surface, straight between points and stations [m3]: areas by the prismoid rule.

        Between two stations every point moves straight, so the area is a quadratic in z and Simpson's rule exact.
        """
        if not self.closed:
            raise ValueError("only a closed surface has a volume: take `blade_outline`")
        middle = [0.5 * (v[1:] + v[:-1]) for v in (self.x, self.y)]
        ends = _enclosed(self.x, self.y)
        return float(np.sum(np.diff(self.z) * (ends[1:] + ends[:-1] + 4.0 * _enclosed(*middle)) / 6.0))


def blade_outline(sections: BladeSections, points: int = 61) -> BladeSurface:
    """Closed outer outline of every station, `points` along each sheet: what is under water, as bonded and potted."""
    upper_x, upper_y = _sheet_rows(sections, points, 1.0)
    corner_x, corner_y = _end_of_sheet(sections, -1.0)
    nose_x, nose_y = _nose(sections, corner_x, corner_y)
    x = np.hstack([upper_x, nose_x, upper_x[:, ::-1]])
    y = np.hstack([upper_y, nose_y, -upper_y[:, ::-1]])
    return BladeSurface(x, y, sections.position, True)


def upper_sheet(sections: BladeSections, points: int = 61, face: str = "middle") -> BladeSurface:
    """Upper sheet from the trailing edge to the front edge: its "outer", "middle" or "inner" face."""
    sides = {"outer": 1.0, "middle": 0.0, "inner": -1.0}
    if face not in sides:
        raise ValueError(f"face is {face!r}: give one of {', '.join(sides)}")
    return BladeSurface(*_sheet_rows(sections, points, sides[face]), sections.position, False)


def sheet_arclengths(bend, points: int = 61):
    """Arclengths from the land end [m] of the points along a sheet, trailing edge left out: (stations, points - 1)."""
    if points < 4:
        raise ValueError(f"points is {points!r}: give at least 4")
    bent = min(max(2, round(CURVED_SHARE * (points - 1))), points - 2)
    ahead = np.linspace(0.0, 1.0, points - bent)[1:]
    arc, rest = bend.contact_arclength[:, None], bend.overhang[:, None]
    arclength = np.hstack([arc * np.linspace(0.0, 1.0, bent), arc + rest * ahead])
    return np.minimum(arclength, np.asarray(bend.free_length)[:, None])


def _sheet_rows(sections, points, side):
    """x, y of a face of the upper sheet, trailing edge first, then the land end."""
    bend, offset = sections.bend, sections.land_end_x[:, None]
    arclength = sheet_arclengths(bend, points)
    x, y = bend.outline(arclength)
    angle, half = bend.tangent_angle(arclength), 0.5 * side * np.asarray(bend.sheet_thickness)[:, None]
    x, y = x - half * np.sin(angle), y + half * np.cos(angle)
    start = -np.asarray(sections.numbers["land_length"])[:, None]
    return offset + np.hstack([start, x]), np.hstack([y[:, :1], y])


def _end_of_sheet(sections, side):
    """Corner of the front edge of the upper sheet, (stations,)."""
    x, y = _sheet_rows(sections, 4, side)
    return x[:, -1], y[:, -1]


def _nose(sections, corner_x, corner_y):
    """From the upper inner corner across the mouth plane, round a rod that stands proud of it, to the lower one."""
    radius = np.asarray(sections.bend.spacer_radius)
    share = np.linspace(1.0, -1.0, NOSE_POINTS)
    proud = np.asarray(sections.bend.setback) < 0.0
    reach = np.clip((corner_x - sections.rod_x) / radius, -1.0, 1.0)
    turn = np.arccos(reach)[:, None] * share
    arc_x, arc_y = sections.rod_x[:, None] + radius[:, None] * np.cos(turn), radius[:, None] * np.sin(turn)
    flat_x, flat_y = corner_x[:, None] + 0.0 * share, corner_y[:, None] * share
    x, y = np.where(proud[:, None], arc_x, flat_x), np.where(proud[:, None], arc_y, flat_y)
    ends = corner_x[:, None], corner_y[:, None]
    return np.hstack([ends[0], x, ends[0]]), np.hstack([ends[1], y, -ends[1]])


def _enclosed(x, y):
    """Area within closed rows of points, positive clockwise: upper side first, then back along the lower one."""
    return -0.5 * np.sum(x * np.roll(y, -1, axis=-1) - y * np.roll(x, -1, axis=-1), axis=-1)
