"""Where holes through a closing frame go: on the chord line, behind the rod, with enough frame left around them.

The part is hung with its span upright for pouring: fill and vent go through the frame at the high end, the drain
through the one at the low end (common practice, no source).
"""

from __future__ import annotations

import numpy as np

from ..mechanics.bend import Bend
from ..units import show_input
from .curves import inner, parallel
from .template_records import Hole

DRILLS = (8e-3, 6e-3, 5e-3, 4e-3, 3e-3, 2.5e-3, 2e-3, 1.5e-3, 1e-3)
WANTED = {"fill": 8e-3, "vent": 4e-3, "drain": 6e-3}  # judgement, no source
ENDS = {"high end": ("fill", "vent"), "low end": ("drain",)}
LEAST_WALL = 1.0e-3  # m of frame around a hole, and at least half its diameter: judgement, no source


def wall(diameter: float) -> float:
    """Frame to leave between a hole and sheet, rod or the next hole [m]."""
    return max(LEAST_WALL, 0.5 * diameter)


def room_at(bend: Bend, x: float) -> float:
    """Distance from the chord line at `x` [m] to the inner faces [m], the exact curve at 2001 stations (an upper bound,
    at most 1e-5 of the free length too large)."""
    points = parallel(bend, np.linspace(0.0, bend.contact_arclength, 2001), inner(bend))
    return float(np.min(np.hypot(points[:, 0] - x, points[:, 1])))


def hole_places(bend: Bend, diameters: dict) -> tuple:
    """Holes one behind the other from the rod backwards, on the chord line.

    `diameters` [m] by name. ValueError, with the largest drill that fits, where one does not.
    """
    holes, edge = [], bend.spacer_position - bend.spacer_radius
    for name, diameter in diameters.items():
        x = _place(bend, edge, diameter)
        if x is None:
            fits = next((d for d in DRILLS if d < diameter and _place(bend, edge, d) is not None), None)
            advice = "none fits" if fits is None else f"the largest drill that fits is {show_input(fits, 'mm')}"
            raise ValueError(
                f"{name} hole of {show_input(diameter, 'mm')} does not fit behind the rod with a wall of "
                f"{show_input(wall(diameter), 'mm')}: {advice}"
            )
        holes.append(Hole(x, 0.0, diameter, name))
        edge = x - 0.5 * diameter
    return tuple(holes)


def usual_holes(bend: Bend, names) -> tuple:
    """Holes of the usual size, or the next smaller drill that fits; ValueError where none does."""
    chosen = {}
    for name in names:
        for drill in (d for d in DRILLS if d <= WANTED[name]):
            try:
                hole_places(bend, chosen | {name: drill})
            except ValueError:
                continue
            chosen[name] = drill
            break
        else:
            raise ValueError(f"no {name} hole: not even a drill of {show_input(DRILLS[-1], 'mm')} fits behind the rod")
    return hole_places(bend, chosen)


def _place(bend, edge, diameter):
    """x of a hole whose front wall ends at `edge`, or None where the faces are too near."""
    x = edge - wall(diameter) - 0.5 * diameter
    return x if x > 0.0 and room_at(bend, x) >= 0.5 * diameter + wall(diameter) else None
