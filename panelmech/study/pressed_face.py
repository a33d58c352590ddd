"""One face of a design's pair pressed by water, thumb or suction: at large deflection, as part of the pair it is.

The face between land, front and closing frames, with the other sheet behind it (`mechanics.large_pair`): the land turns
with both sheets, bond, resin of the nose and rod give as much as `study.ends` says, the frames support the sheets and
let them draw in along the span. The front is potted; before that it rests on the rod ("resting"). Pressed outward, as
by suction, filling or heated air, a bent sheet is softer than inward: outward counts (tests over random pairs).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..mechanics.pressing import Pressing, pair_pressings
from .design import Design
from .ends import pair_give

OUTWARD, INWARD = 1.0, -1.0
BEHIND = 1.05  # times the limit at least: the deflection to go by of a face that has let go
LEAST = 1.0  # Pa, in the place of no pressure
SHAPED_BY = ("sheet", "sheet_thickness", "free_length", "bond_line", "spacer_diameter", "setback", "span")
SHAPED_BY += ("frame_width", "land_length", "spacer_wall", "modulus_rule")


@dataclass(frozen=True, eq=False)
class Pressed:
    """A face under the design's pressure, one way; see `pressed_face`.

    pressing : `mechanics.pressing.Pressing`, to the pressure and no further
    pressure : its size [Pa]
    deflection : largest [m]; endless where the face lets go before that pressure, nan where it was not reached
    lets_go : pressure at which it snaps through or jumps, a size [Pa]; nan where it does not
    snaps : True where it snaps through, False where it jumps to another shape
    linear : what the linear pair says [m]
    """

    pressing: Pressing
    pressure: float

    @property
    def deflection(self) -> float:
        """Largest deflection [m]; endless where the face has let go, nan where it was not reached."""
        return self.pressing.at(np.sign(self.pressing.greatest) * self.pressure)

    @property
    def lets_go(self) -> float:
        """Pressure at which the face lets go, a size [Pa]; nan where it does not."""
        return abs(self.pressing.lets_go)

    @property
    def snaps(self) -> bool:
        """Whether it snaps through there; else it jumps to another shape."""
        return self.pressing.snaps

    @property
    def linear(self) -> float:
        """Deflection by the linear pair [m]."""
        return self.pressing.slope * self.pressure

    def to_go_by(self, allowed: float) -> float:
        """Deflection to judge and search by [m]: as it is; of a face that has let go, or was not followed so far, more
        than is `allowed`, and growing with the pressure."""
        value = self.deflection
        if np.isfinite(value):
            return value
        way = self.pressing
        reached = float(way.deflections[-1])
        return max(reached, BEHIND * allowed) * self.pressure / abs(way.reached)


def shape_of(design: Design) -> tuple:
    """All that the pressing of a design's face hangs on, but for the pressure."""
    ends = design.adhesive.modulus, design.resin.modulus, design.spacer.modulus, design.spacer.poisson
    return *(getattr(design, name) for name in SHAPED_BY), design.inside, *ends


def pressed_face(design: Design, sheet, bend, way: float = OUTWARD, front: str = "potted") -> Pressed:
    """One face of a design under its pressure, `way` outward or inward, with its front as in `pressed_pair.FRONTS`.

    sheet : `FramedSheet` of the design; bend : its bent shape. Kept for designs of the same shape and pressure. Takes
    some hundredths of a second. Raises ValueError where the pair cannot be reckoned.
    """
    pressure = max(design.pressure, LEAST)
    kept, key = _kept(shape_of(design)), (pressure, way, front)
    if key not in kept:
        sizes = (pressure, 0.0) if way == OUTWARD else (0.0, pressure)
        ways = pair_pressings(sheet, *sizes, "one", front, pair_give(design, bend))
        kept[key] = Pressed(ways[0] if way == OUTWARD else ways[1], pressure)
    found = kept[key]
    return found if design.pressure == pressure else Pressed(found.pressing, design.pressure)


@lru_cache(maxsize=4096)
def _kept(shape):
    """A place for what was worked out of a shape before."""
    return {}
