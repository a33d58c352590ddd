"""Where the bent pair draws level with the flat wedge, and the fair comparison of one design as a table of numbers.

All ratios are bent over flat wedge, so above one the bent pair has more of it. What is compared, and under which
conditions, stands in `study.wedge_comparison`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..mechanics.bend import solve_bend
from ..mechanics.section import bent_pair, bent_section, flat_wedge_section
from ..units import lengths
from .design import Design
from .study import Study
from .wedge_comparison import compare_with_wedge, failing_with, overtaking, side

LEVELLED = ("i_chord", "torsion_constant")
_POINTS = 25
_EDGE = 1e-9  # how close to the greatest spacer the search goes, relative
WAYS = ("spacer_diameter", "sheet_thickness")


def drawing_level(study: Study) -> dict:
    """Spacers with which the bent sheets have as much as the flat wedge has with the study's own spacer [m].

    By measure: "i_chord" (second moment about the chord line) and "torsion_constant", the two sheets alone; sheets,
    bond line and setback stay. Of several spacers the smallest; nan where none up to the greatest is enough, or the
    wedge cannot touch its rod. Two passes over arrays of spacers, a power law between neighbours: within 1e-4 of
    `study.wedge_comparison.overtaking`, which is exact and slow (tested). In the limit of thin sheets and small
    openings 1.19 and 1.33 times the study's spacer.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> level = drawing_level(evaluate(demo().design, local=False))
    >>> show(level["i_chord"], "mm")  # the rod with which bent and flat are level in that
    '20.74 mm'
    """
    design, target = study.design, study.flat
    coarse = _spacers(design, study.bend)
    sections = _bent(design, coarse)
    brackets = np.array([_bracket(coarse, getattr(sections, m) / getattr(target, m)) for m in LEVELLED])
    fine = np.linspace(brackets[:, 0], brackets[:, 1], _POINTS, axis=-1)
    sections = _bent(design, fine)
    return {m: _inverse(getattr(sections, m)[i] / getattr(target, m), fine[i]) for i, m in enumerate(LEVELLED)}


def _bracket(spacers, ratio):
    above = np.flatnonzero(ratio >= 1.0)
    if above.size == 0 or above[0] == 0:
        return np.nan, np.nan
    return spacers[above[0] - 1], spacers[above[0]]


def _inverse(ratio, spacers):
    """Where the ratio is one; a power law between two spacers, which stiffness nearly is."""
    good = np.isfinite(ratio)
    if not good.any() or not ratio[good].min() < 1.0 <= ratio[good].max():
        return float("nan")
    return float(np.exp(np.interp(0.0, np.log(ratio[good]), np.log(spacers[good]))))


def _bent(design, spacer):
    return bent_pair(solve_bend(design.free_length, design.sheet_thickness, spacer, design.bond_line, design.setback))


def _spacers(design, bend):
    """From hardly more than the bond line up to the greatest spacer."""
    low = max(1.001 * design.bond_line, 1e-3 * design.spacer_diameter)
    return np.geomspace(low, bend.greatest_spacer * (1.0 - _EDGE), _POINTS)


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


def fair_table(design: Design) -> FairTable:
    """The table of one design: one to three seconds, then kept. InfeasibleBend where it cannot be bent.

    Drawing level is worked out only where the wedge is ahead; a measure of one framed sheet takes most of the time.
    """
    return _fair_table(design, lengths())


@lru_cache(maxsize=16)
def _fair_table(design, told_in):
    """Kept apart for each choice of lengths (`told_in`): why there is no wedge may tell one."""
    comparisons = compare_with_wedge(design)
    behind = [key for key, ratio in comparisons[0].ratios.items() if side(ratio) == "softer"]
    levels = {key: {field: _level(design, key, field) for field in WAYS} for key in behind}
    area = bent_section(design).enclosed_area
    flat = (np.nan if c.wedge is None else flat_wedge_section(c.wedge).enclosed_area for c in comparisons)
    return FairTable(comparisons, levels, tuple(float(area / value) for value in flat))


def _level(design, key, field):
    value = overtaking(design, key, field)
    return Level(value, failing_with(design, field, value) if np.isfinite(value) else ())
