"""Curves a template is made of: faces of the bent sheet and curves parallel to them, and arcs about the rod.

A curve parallel to the mid-surface has the same normals, so each of its points follows exactly from the exact bend:
(x - o sin th, y + o cos th), o positive away from the chord line (-t/2 is the inner face, +t/2 the outer one). Only
where a curve is drawn as a chain of straight pieces is anything approximate: its points are exact, and the pieces stay
within `TOLERANCE` of the curve (sagitta of a chord, step^2 curvature / 8).
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from ..mechanics.bend import Bend
from ..units import show_input

TOLERANCE = 2e-6  # m: a straight piece of a drawn curve stays this close to the curve
LEAST_PIECES = 24


def inner(bend: Bend, clearance: float = 0.0) -> float:
    """Offset of the curve `clearance` [m] inside the inner face [m]."""
    return -0.5 * bend.sheet_thickness - clearance


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
    curvature = bend.land_curvature / (1.0 - offset * bend.land_curvature) if offset > 0 else bend.land_curvature
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
    return float(brentq(height, 0.0, bend.contact_arclength, xtol=1e-15, rtol=1e-14))


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
    return float(brentq(beyond, start, last, xtol=1e-15, rtol=1e-14))


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
    off = np.abs(np.clip(x, along[0], along[-1]) - parallel(bend, s, offset)[:, 0])
    if np.any(off > 1e-12 * bend.free_length):
        raise ValueError(f"the place on the curve was not found: {off.max():.1e} m off")
    return s


def height_at(bend: Bend, x, offset: float):
    """Half-thickness y [m] of the parallel curve at chord positions `x` [m] from the land end, an array."""
    return parallel(bend, arclength_at(bend, x, offset), offset)[:, 1]
