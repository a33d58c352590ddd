"""How a side force is spread along the span: with the chord, as an ellipse, or the mean of both."""

from __future__ import annotations

import numpy as np

from ..mechanics.span_curves import at_station, checked_stations, span_integral
from ..units import show_input

SPREADS = {
    "proportional to chord": "force per length goes with the chord: the same pressure everywhere",
    "elliptic": "force per length is an ellipse, whatever the chord: the least induced drag",
    "Schrenk's mean": "the mean of chord and ellipse (Schrenk, NACA TM 948, 1940, from memory)",
}


def span_share(position, chord, spread: str = "elliptic", mirrored: bool = True, start: float | None = None):
    """Share of the side force per length at the stations [1/m]; its integral along the span is one.

    position (n,) [m], chord (n,) [m]; spread, a key of `SPREADS`; mirrored: the root is a mirror (end plate), so that
    the ellipse is greatest there; start: the part before it is dry and takes nothing [m]. A start inside the span needs
    a station that stands twice there (`mechanics.span_curves.with_step`). Stations closer together at the tip follow
    the ellipse's steep end better; the sum is exact in any case.
    """
    z, chord = checked_stations(position), np.asarray(chord, dtype=float)
    start = z[0] if start is None else at_station(z, float(start))
    if not z[0] <= start < z[-1]:
        raise ValueError(
            f"the dry part ends at {show_input(start, 'mm')}: give a place from the root, "
            f"{show_input(z[0], 'mm')}, to before the tip, {show_input(z[-1], 'mm')}"
        )
    if z[0] < start and np.count_nonzero(z == start) != 2:
        raise ValueError(f"the dry part ends at {show_input(start, 'mm')}: that station must stand twice (with_step)")
    wet = in_water(z, start)
    depth = np.clip((z - start) / (z[-1] - start), 0.0, 1.0)
    ellipse = np.sqrt(np.clip(1.0 - (depth if mirrored else 2.0 * depth - 1.0) ** 2, 0.0, None))
    parts = [_to_one(z, np.where(wet, shape, 0.0)) for shape in (chord, ellipse)]
    mean = _to_one(z, 0.5 * (parts[0] + parts[1]))
    return {"proportional to chord": parts[0], "elliptic": parts[1], "Schrenk's mean": mean}[spread]


def in_water(z, start):
    """True for the stations in the water; of the two at the water line the second."""
    return (z > start) | ((z == start) & ((start == z[0]) | np.append(False, np.diff(z) == 0.0)))


def _to_one(z, values):
    return values / span_integral(z, values)
