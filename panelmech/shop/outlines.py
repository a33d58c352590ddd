"""Closed outlines in the section: hollow, front, outer shape, nose and trailing edge, with clearance where asked for.

All are made of curves parallel to the exact bend, arcs about the rod, and straight lines; see `shop.outlines` for how
exactly they are drawn. An outline is an array (n, 2) [m], not repeated at its end, in the axes of the section.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from ..mechanics.bend import Bend
from ..mechanics.numerics import gauss_unit
from ..units import SMALLEST, read_number, show_input

# ----- Curves: faces of the bent sheet and curves parallel to them, and arcs about the rod.
#
# A curve parallel to the mid-surface has the same normals, so each of its points follows exactly from the exact bend:
# (x - o sin th, y + o cos th), o positive away from the chord line (-t/2 is the inner face, +t/2 the outer one). Only
# where a curve is drawn as a chain of straight pieces is anything approximate: its points are exact, and the pieces
# stay within `TOLERANCE` of the curve (sagitta of a chord, step^2 curvature / 8).


TOLERANCE = 2e-6  # m: a straight piece of a drawn curve stays this close to the curve
LEAST_PIECES = 24


def inner(bend: Bend, clearance: float = 0.0) -> float:
    """Offset of the curve `clearance` [m], zero or more, inside the inner face [m]."""
    return -0.5 * bend.sheet_thickness - read_number(clearance, "clearance", "mm", low=0.0)


def parallel(bend: Bend, arclength, offset: float):
    """Points (n, 2) [m] of the curve parallel to the upper mid-surface, at `arclength` [m] from the land end.

    `offset` [m], positive outwards. Raises ValueError where the curve would fold: an outward offset beyond the
    tightest radius.
    """
    if offset * bend.land_curvature >= 1.0:
        raise ValueError(
            f"a curve {show_input(offset, 'mm')} outside the mid-surface folds: the tightest radius is "
            f"{show_input(1.0 / bend.land_curvature, 'mm')}"
        )
    s = np.atleast_1d(np.asarray(arclength, dtype=float))
    x, y = bend.outline(s)
    angle = bend.tangent_angle(s)
    return np.column_stack([x - offset * np.sin(angle), y + offset * np.cos(angle)])


def pieces(bend: Bend, start: float, end: float, offset: float = 0.0):
    """Arclengths from `start` to `end` [m] at which a parallel curve is drawn within `TOLERANCE`, contact included."""
    most = bend.land_curvature
    curvature = most / (1.0 - offset * most) if offset > 0 else most * (1.0 - offset * most)  # inside steps are longer
    step = np.sqrt(8.0 * TOLERANCE / curvature)
    bent = min(max(end, start), bend.contact_arclength)
    count = max(LEAST_PIECES, int(np.ceil((bent - start) / step))) if bent > start else 0
    curved = np.linspace(start, bent, count + 1)
    return np.append(curved, end) if end > bent else curved


def arc(centre: float, radius: float, start: float, end: float):
    """Points (n, 2) [m] of an arc about (centre, 0), from angle `start` to `end` [rad], within `TOLERANCE`."""
    step = np.sqrt(8.0 * TOLERANCE / radius)
    count = max(LEAST_PIECES, int(np.ceil(abs(end - start) / step)))
    angle = np.linspace(start, end, count + 1)
    return np.column_stack([centre + radius * np.cos(angle), radius * np.sin(angle)])


def mirrored(points):
    """The same points on the other side of the chord line, in reverse order."""
    return np.asarray(points)[::-1] * [1.0, -1.0]


def chord_crossing(bend: Bend, offset: float) -> float:
    """Arclength [m] where the parallel curve leaves the chord line y = 0; 0 where it starts above it."""

    def height(s):
        return float(parallel(bend, s, offset)[0, 1])

    if height(0.0) >= 0.0:
        return 0.0
    if height(bend.contact_arclength) <= 0.0:
        raise ValueError("the clearance leaves nothing between the sheets: give a smaller one")
    return float(scipy.optimize.brentq(height, 0.0, bend.contact_arclength, xtol=1e-15, rtol=1e-14))


def reaches_circle(bend: Bend, offset: float, radius: float) -> float:
    """Arclength [m] behind the contact where the parallel curve is `radius` from the rod's centre.

    The distance falls all the way from the land end to the contact. Raises ValueError where the curve begins nearer.
    """

    def beyond(s):
        x, y = parallel(bend, s, offset)[0]
        return np.hypot(x - bend.spacer_position, y) - radius

    last = bend.contact_arclength
    start = chord_crossing(bend, offset)
    if beyond(start) <= 0.0:
        raise ValueError("the clearance leaves nothing behind the rod: give a smaller one")
    if beyond(last) >= 0.0:
        return float(last)
    return float(scipy.optimize.brentq(beyond, start, last, xtol=1e-15, rtol=1e-14))


def arclength_at(bend: Bend, x, offset: float):
    """Arclengths [m] at which the parallel curve has the chord positions `x` [m] from the land end, an array.

    Newton's rule on the exact curve, dx/ds = (1 - offset curvature) cos th, from a straight guess. Raises ValueError
    for a position off the curve, or if it has not settled to 1e-12 of the free length.
    """
    x = np.atleast_1d(np.asarray(x, dtype=float))
    guess = np.linspace(0.0, bend.free_length, 201)
    along = parallel(bend, guess, offset)[:, 0]
    slack = 1e-9 * bend.free_length
    if np.any(x < along[0] - slack) or np.any(x > along[-1] + slack):
        raise ValueError("a position is off the curve")
    s = np.interp(x, along, guess)
    for _ in range(8):
        rate = np.cos(bend.tangent_angle(s)) * (1.0 - offset * bend.curvature(s))
        miss = parallel(bend, s, offset)[:, 0] - x
        s = np.clip(s - miss / rate, 0.0, bend.free_length)
        if np.all(np.abs(miss) <= 1e-9 * bend.free_length):  # the error left is about its square
            break
    off = np.abs(np.clip(x, along[0], along[-1]) - parallel(bend, s, offset)[:, 0])
    if np.any(off > 1e-12 * bend.free_length):
        raise ValueError(f"the place on the curve was not found: {off.max():.1e} m off")
    return s


def height_at(bend: Bend, x, offset: float):
    """Half-thickness y [m] of the parallel curve at chord positions `x` [m] from the land end, an array."""
    return parallel(bend, arclength_at(bend, x, offset), offset)[:, 1]


# ----- Closed outlines: hollow, front, outer shape, nose and trailing edge, with clearance where asked for.


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
    corner, rise = np.array([[bend.mouth_position, 0.5 * bend.mouth]]), read_number(rise, "nose rise", "mm")
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
    least, rise = max(-bend.setback, 0.0), read_number(rise, "nose rise", "mm")
    if least > 0.5 * bend.mouth:
        raise ValueError(
            "the rod stands so far proud that no arc between the mouth corners clears it: leave the nose "
            "as it is (nose rise 0)"
        )
    if not (least <= rise <= 0.5 * bend.mouth and rise > SMALLEST):
        raise ValueError(
            f"nose rise {show_input(rise, 'mm')}: give 0 to leave the nose as it is, or "
            f"{show_input(least, 'mm')} to half the mouth, {show_input(round(0.5 * bend.mouth, 7), 'mm')}"
        )


def outer_outline(bend: Bend, land_length: float, rise: float = 0.0):
    """The whole section from outside: land, outer faces, square-cut ends, nose."""
    edge = 0.5 * bend.bond_line + bend.sheet_thickness
    read_number(land_length, "land length", "mm", low=0.0)
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


# ----- Areas that are poured or spread: bead, fillets, edges, nose, and the trade's triangles beside the truth.
#
# Exact: closed forms where there are any, else Gauss's rule on the exact inner face. The big two, in front of the rod
# and behind it, are `Bend.front_area` and `Bend.void_area`.


NODES, WEIGHTS = gauss_unit(24)


@dataclass(frozen=True)
class TriangleRule:
    """The trade's triangle beside the truth, of one section."""

    which: str  # triangle
    rule: float  # area by the rule [m2]
    true: float  # area [m2]

    @property
    def ratio(self) -> float:
        """Area by the rule over the true one [-]."""
        return self.rule / self.true


def triangle_rules(bend: Bend) -> tuple:
    """The three triangles the trade may mean, each beside the area it stands for, of one section (`TriangleRule`).

    Depth is from the land end along the chord. To the mouth: depth to the mouth plane times mouth over two, against the
    area between the inner faces, rod included. To the contact: to the line through the two contacts. Void without the
    rod: the same less the part of the rod behind that line, against the hollow that the closing frames fill.
    """
    radius, s, c = bend.spacer_radius, np.sin(bend.contact_angle), np.cos(bend.contact_angle)
    depth = bend.spacer_position - radius * s  # inner contact
    behind = radius**2 * (np.pi / 2 - bend.contact_angle - s * c)
    to_contact = 0.5 * depth * 2.0 * radius * c
    return (
        TriangleRule("to the mouth", float(0.5 * bend.mouth_position * bend.mouth), float(bend.enclosed_area)),
        TriangleRule("to the contact", float(to_contact), float(bend.void_area + behind)),
        TriangleRule("void without the rod", float(to_contact - behind), float(bend.void_area)),
    )


def bead_area(bend: Bend, reach: float) -> float:
    """Area between the inner faces from the land end to `reach` [m] along the sheet, front taken flat [m2].

    2 int y dx over the exact inner face, Gauss's rule with 24 nodes (error below 1e-12). ValueError where the bead
    would reach the rod.
    """
    if read_number(reach, "bead length", "mm", low=0.0) == 0.0:
        return 0.0
    rod_back = bend.spacer_position - bend.spacer_radius
    if not 0.0 < reach <= bend.contact_arclength or parallel(bend, reach, inner(bend))[0, 0] > rod_back:
        raise ValueError(
            f"bead length {show_input(reach, 'mm')}: the bead would reach the rod, give less than about "
            f"{show_input(rod_back, 'mm', 4)}"
        )
    return 2.0 * _under_inner(bend, reach)


def round_bead_area(bend: Bend, radius: float) -> float:
    """Area of a bead with a hollow front of `radius` [m], drawn with a round stick that touches both inner faces [m2].

    The closed form of the hollow behind the rod with the stick in the rod's place. ValueError unless the stick is
    thicker than the bond line and not thicker than the rod.
    """

    def gap(s):
        y, angle = parallel(bend, s, inner(bend))[0, 1], bend.tangent_angle(s)
        return float(y / np.cos(angle)) - radius

    most = bend.spacer_radius * (1.0 + 1e-12)
    hint = "more than half the bond line, at most the rod's radius"
    read_number(radius, "stick radius", "mm", above=0.5 * bend.bond_line, high=most, hint=hint)
    last = bend.contact_arclength
    s = last if gap(last) <= 0.0 else scipy.optimize.brentq(gap, 0.0, last, xtol=1e-15, rtol=1e-14)
    angle = bend.tangent_angle(s)
    behind = radius**2 * (np.pi / 2 - angle - np.sin(angle) * np.cos(angle))
    return float(2.0 * _under_inner(bend, s) - behind)


def fillet_area(radius: float, angle: float = 0.5 * np.pi) -> float:
    """Area of a hollow fillet in a corner of `angle` [rad] between two flat faces [m2]: r^2 (1/tan(a/2) - (pi - a)/2).

    Derived here: kite between corner and centre less the sector. Radius and angle positive, angle below pi.
    """
    read_number(radius, "radius of a fillet", "mm", low=0.0)
    read_number(angle, "angle of a corner", "deg", above=0.0, below=np.pi)
    return radius**2 * (1.0 / np.tan(0.5 * angle) - 0.5 * (np.pi - angle))


def edge_area(bend: Bend, nose_rise: float = 0.0) -> float:
    """Area to be filled at both front edges of a section [m2].

    Rod behind the mouth plane, or a rounded nose: the two corners between the square-cut ends, the mouth
    plane and the outer faces run on straight to it, t^2 tan th.
    Rod proud: the fairing between sheet end, mouth plane, rod and the straight line from the outer corner that touches
    the rod (derived here: quadrilateral less the segment of the rod inside it).
    """
    t, s, c = bend.sheet_thickness, np.sin(bend.contact_angle), np.cos(bend.contact_angle)
    if read_number(nose_rise, "nose rise", "mm", low=0.0) > 0.0 or bend.setback >= 0.0:
        return float(t * t * s / c)
    radius = bend.spacer_radius
    corner = np.array([radius + bend.setback, 0.5 * bend.mouth])  # inner, from the rod's centre
    outer = corner + t * np.array([-s, c])
    at_plane = np.arccos(np.clip((radius + bend.setback) / radius, -1.0, 1.0))
    touch = np.arctan2(outer[1], outer[0]) - np.arccos(radius / np.hypot(*outer))
    on_rod = [radius * np.array([np.cos(a), np.sin(a)]) for a in (at_plane, touch)]
    swept = at_plane - touch
    between = polygon_area(np.array([outer, corner, *on_rod]))
    return float(2.0 * (abs(between) - 0.5 * radius**2 * (swept - np.sin(swept))))


def rounding_area(bend: Bend, nose_rise: float) -> float:
    """Area between the mouth plane and an arc through both inner corners, `nose_rise` [m] high [m2].

    Segment of a circle, r^2 (a - sin a cos a), less the segment of the rod beyond the mouth plane. 0 without a rise.
    """
    if nose_rise == 0.0:
        return 0.0
    check_rise(bend, nose_rise)
    radius = nose_radius(bend, nose_rise)
    proud = np.arccos(np.clip((bend.spacer_radius + bend.setback) / bend.spacer_radius, -1.0, 1.0))
    half = np.arctan2(0.5 * bend.mouth, radius - nose_rise)
    return float(_segment(radius, half) - _segment(bend.spacer_radius, proud))


def _segment(radius, half):
    return radius**2 * (half - np.sin(half) * np.cos(half))


def _under_inner(bend, end):
    """int y dx under the upper inner face from the land end to the arclength `end` [m2]."""
    s = end * NODES
    y = parallel(bend, s, inner(bend))[:, 1]
    rate = np.cos(bend.tangent_angle(s)) * (1.0 + 0.5 * bend.sheet_thickness * bend.curvature(s))
    return float(end * (WEIGHTS @ (y * rate)))


def polygon_area(points) -> float:
    """Area of a closed chain of straight pieces (n, 2) [m], positive where it runs anticlockwise [m2]."""
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
