"""Areas of a section that are poured or spread: bead, fillets, edges, nose, and the trade's triangles beside the truth.

Exact: closed forms where there are any, else Gauss's rule on the exact inner face. The big two, in front of the rod and
behind it, are `Bend.front_area` and `Bend.void_area`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from ..mechanics.bend import Bend
from ..units import show_input
from .curves import inner, parallel
from .outlines import check_rise, nose_radius

NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)
NODES, WEIGHTS = 0.5 * (NODES + 1.0), 0.5 * WEIGHTS  # on 0..1


@dataclass(frozen=True)
class TriangleRule:
    """The trade's triangle beside the truth, per section at the root end: `which` triangle, `rule` and `true` area
    [m2], `ratio` rule over truth [-]."""

    which: str
    rule: float
    true: float

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
    if reach == 0.0:
        return 0.0
    if not 0.0 < reach <= bend.contact_arclength:
        raise ValueError(_bead_words(bend, reach))
    if parallel(bend, reach, inner(bend))[0, 0] > bend.spacer_position - bend.spacer_radius:
        raise ValueError(_bead_words(bend, reach))
    return 2.0 * _under_inner(bend, reach)


def round_bead_area(bend: Bend, radius: float) -> float:
    """Area of a bead with a hollow front of `radius` [m], drawn with a round stick that touches both inner faces [m2].

    The closed form of the hollow behind the rod with the stick in the rod's place. ValueError unless the stick is
    thicker than the bond line and not thicker than the rod.
    """

    def gap(s):
        y, angle = parallel(bend, s, inner(bend))[0, 1], bend.tangent_angle(s)
        return float(y / np.cos(angle)) - radius

    if not 0.5 * bend.bond_line < radius <= bend.spacer_radius * (1.0 + 1e-12):
        raise ValueError(
            f"stick radius {show_input(radius, 'mm')}: give more than half the bond line, "
            f"{show_input(0.5 * bend.bond_line, 'mm')}, and at most the rod's radius, "
            f"{show_input(bend.spacer_radius, 'mm')}"
        )
    last = bend.contact_arclength
    s = last if gap(last) <= 0.0 else brentq(gap, 0.0, last, xtol=1e-15, rtol=1e-14)
    angle = bend.tangent_angle(s)
    behind = radius**2 * (np.pi / 2 - angle - np.sin(angle) * np.cos(angle))
    return float(2.0 * _under_inner(bend, s) - behind)


def fillet_area(radius: float, angle: float = 0.5 * np.pi) -> float:
    """Area of a hollow fillet in a corner of `angle` [rad] between two flat faces [m2]: r^2 (1/tan(a/2) - (pi - a)/2).

    Derived here: kite between corner and centre less the sector. Radius and angle positive, angle below pi.
    """
    if not (radius >= 0.0 and 0.0 < angle < np.pi):
        raise ValueError(
            f"fillet of radius {radius!r} m in a corner of {angle!r} rad: give a radius of 0 or more and "
            "an angle between 0 and pi"
        )
    return radius**2 * (1.0 / np.tan(0.5 * angle) - 0.5 * (np.pi - angle))


def edge_area(bend: Bend, nose_rise: float = 0.0) -> float:
    """Area to be filled at both front edges of a section [m2].

    Rod behind the mouth plane, or a rounded nose: the two corners between the square-cut ends, the mouth
    plane and the outer faces run on straight to it, t^2 tan th.
    Rod proud: the fairing between sheet end, mouth plane, rod and the straight line from the outer corner that touches
    the rod (derived here: quadrilateral less the segment of the rod inside it).
    """
    t, s, c = bend.sheet_thickness, np.sin(bend.contact_angle), np.cos(bend.contact_angle)
    if bend.setback >= 0.0 or nose_rise > 0.0:
        return float(t * t * s / c)
    radius = bend.spacer_radius
    corner = np.array([radius + bend.setback, 0.5 * bend.mouth])  # inner, from the rod's centre
    outer = corner + t * np.array([-s, c])
    at_plane = np.arccos(np.clip((radius + bend.setback) / radius, -1.0, 1.0))
    touch = np.arctan2(outer[1], outer[0]) - np.arccos(radius / np.hypot(*outer))
    on_rod = [radius * np.array([np.cos(a), np.sin(a)]) for a in (at_plane, touch)]
    swept = at_plane - touch
    quad = _shoelace(np.array([outer, corner, *on_rod]))
    return float(2.0 * (abs(quad) - 0.5 * radius**2 * (swept - np.sin(swept))))


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


def _shoelace(points):
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _bead_words(bend, reach):
    return (
        f"bead length {show_input(reach, 'mm')}: the bead would reach the rod, give less than about "
        f"{(bend.spacer_position - bend.spacer_radius) * 1e3:.4g} mm"
    )
