"""The flat wedge: the reference of every comparison.

The same sheets, rod, bond line and setback as the bent pair, but hinged at the land end, so straight and tangent to
the rod.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .bend import read_lengths
from .numerics import plain


@dataclass(frozen=True, eq=False)
class Wedge:
    """The flat wedge of the same sheets and rod; floats or arrays.

    nan where the straight sheets cannot touch the rod, or an input is no length. The other names are those of `Bend`.

    Attributes
    ----------
    free_length, sheet_thickness, spacer_diameter, setback : the inputs [m]
    start : y of the mid-surface at the land end [m]
    angle : of each sheet to the chord line [rad]
    contact_arclength : from the hinge at the land end [m]
    spacer_position : x of the rod's centre [m]
    mouth, outer_thickness : between the inner corners of the sheet ends, and over the outer ones [m]
    """

    free_length: float | np.ndarray
    sheet_thickness: float | np.ndarray
    spacer_diameter: float | np.ndarray
    setback: float | np.ndarray
    start: float | np.ndarray
    angle: float | np.ndarray
    contact_arclength: float | np.ndarray
    spacer_position: float | np.ndarray
    mouth: float | np.ndarray
    outer_thickness: float | np.ndarray

    @property
    def contact_angle(self):
        """The angle of the straight sheets [rad]."""
        return self.angle

    @property
    def contact_x(self):
        """x of the contact on the mid-surface [m]."""
        return self.contact_arclength * np.cos(self.angle)

    @property
    def contact_y(self):
        """y of the contact on the mid-surface of the upper sheet [m]."""
        return self.start + self.contact_arclength * np.sin(self.angle)

    @property
    def overhang(self):
        """Sheet in front of the contact [m]."""
        return self.free_length - self.contact_arclength

    @property
    def cell_area(self):
        """Area between the two mid-surfaces from x = 0 to the line through the contacts [m2]."""
        return self.contact_x * (self.start + self.contact_y)

    def outline(self):
        """Mid-surface of the upper sheet: x and y [m] of its two ends, the ends along a last axis."""
        ends = np.multiply.outer(np.asarray(self.free_length), [0.0, 1.0])
        angle, start = np.asarray(self.angle)[..., None], np.asarray(self.start)[..., None]
        return ends * np.cos(angle), start + ends * np.sin(angle)


def solve_wedge(free_length, sheet_thickness, spacer_diameter, bond_line=0.0, setback=0.0) -> Wedge:
    """The flat wedge over the same rod; arguments as for `solve_bend`, floats or arrays.

    A straight sheet from (0, y0) at angle a, tangent to the rod, with the same definition of the setback, gives L
    sin a cos a - (e + R) sin a - R + (g/2) cos a + (t/2) cos a (1 - cos a) = 0; the smaller root is taken (derived
    here). nan where there is none.
    """
    length, t, d, g, e = np.broadcast_arrays(
        *read_lengths(free_length, sheet_thickness, spacer_diameter, bond_line, setback)
    )
    radius = 0.5 * d
    with np.errstate(all="ignore"):
        a = np.maximum((radius - 0.5 * g) / (length - e - radius), 1e-12)
        for _ in range(50):
            s, c = np.sin(a), np.cos(a)
            miss = length * s * c - (e + radius) * s - radius + 0.5 * g * c + 0.5 * t * c * (1.0 - c)
            slope = length * (c * c - s * s) - (e + radius) * c - 0.5 * g * s - 0.5 * t * s * (1.0 - 2.0 * c)
            step = miss / slope
            a = np.where(slope > 0, a - step, np.nan)
            if not np.fmax.reduce(np.abs(step / a), axis=None, initial=0.0) > 1e-8:  # quadratic: next at rounding
                break
        s, c = np.sin(a), np.cos(a)
        contact = length - (e + radius * (1.0 + s)) / c
        good = (t > 0) & (g >= 0)  # a sheet without length, or a rod no thicker than the bond line, fails below
        good &= (contact > 0) & (contact <= length) & (np.abs(step) < 1e-6 * a)
        a, contact = np.where(good, a, np.nan), np.where(good, contact, np.nan)
        half_mouth = radius * c + (length - contact) * s
        centre = contact * c + (radius + 0.5 * t) * s
        values = (length, t, d, e, 0.5 * (t + g), a, contact, centre, 2.0 * half_mouth, 2.0 * (half_mouth + t * c))
    return Wedge(*map(plain, values))
