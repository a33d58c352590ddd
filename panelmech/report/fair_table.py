"""The fair comparison of one design as a table: every measure under every condition, and what would draw level.

All ratios are bent over flat wedge, so above one the bent pair has more of it. Made from `fair`; nothing is computed
here that is not there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..mechanics.section import bent_section, flat_wedge_section
from ..study.design import Design
from ..study.wedge_comparison import MEASURES, Comparison, compare_with_wedge, failing_with, overtaking, side

WAYS = ("spacer_diameter", "sheet_thickness")


@dataclass(frozen=True)
class Level:
    """Where the bent pair draws level with the present flat wedge in one measure by changing one length, all else
    kept: `value` [m], nan where nothing allowed is enough; `failing`, names of the forming checks that fail there."""

    value: float
    failing: tuple = ()


@dataclass(frozen=True)
class FairTable:
    """`comparisons`, one for each of `wedge_comparison.CONDITIONS`; `levels`, {measure key: {field: Level}} for the
    measures in which the wedge with the same spacer is ahead; fields are `WAYS`. `enclosed`: area between the inner
    faces, bent over flat, for each condition; it tells of the twisting stiffness and of the resin that goes in."""

    comparisons: tuple
    levels: dict
    enclosed: tuple

    def ratios(self, key: str) -> tuple:
        """Bent over flat of one measure, in the order of the conditions; nan where there is no such wedge."""
        return tuple(comparison.ratios.get(key, float("nan")) for comparison in self.comparisons)


@lru_cache(maxsize=16)
def fair_table(design: Design) -> FairTable:
    """The table of one design: one to three seconds, then kept. InfeasibleBend where it cannot be bent.

    Drawing level is worked out only where the wedge is ahead; a measure of one framed sheet takes most of the time.
    """
    comparisons = compare_with_wedge(design)
    behind = [key for key, ratio in comparisons[0].ratios.items() if side(ratio) == "softer"]
    levels = {key: {field: _level(design, key, field) for field in WAYS} for key in behind}
    area = bent_section(design).enclosed_area
    flat = (np.nan if c.wedge is None else flat_wedge_section(c.wedge).enclosed_area for c in comparisons)
    return FairTable(comparisons, levels, tuple(float(area / value) for value in flat))


def _level(design, key, field):
    value = overtaking(design, key, field)
    return Level(value, failing_with(design, field, value) if np.isfinite(value) else ())


__all__ = ["MEASURES", "WAYS", "Comparison", "FairTable", "Level", "fair_table"]
