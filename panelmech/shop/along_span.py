"""A part along its span for the shop: its sections at Gauss's nodes, sums over the span, and what one pack can take.

Between the places where the taper changes every dimension runs straight; what is integrated there is smooth, and 24
nodes on each stretch leave rounding. An untapered part has one section, and a sum is that section's value times the
length.
"""

from __future__ import annotations

import numpy as np

from ..blade.blade import ALONG_FIELDS, Blade
from ..mechanics.bend import Bend
from ..study.design import Design
from ..units import show_input
from .areas import NODES, WEIGHTS

LEVEL = 1e-4  # m: what a level shows; a mouth nearer to level than that is level


class AlongSpan:
    """A part along its span: `design`; `blade`, None where it does not taper; `ends` of its stretches [m]."""

    def __init__(self, design: Design, blade: Blade | None = None):
        self.design, self.blade = design, blade
        self.ends = (0.0, design.span) if blade is None else blade.breakpoints

    def bend_at(self, position) -> Bend:
        """The section at a place [m] from the root end."""
        return (self.design if self.blade is None else self.blade.design_at(position)).bend()

    def integral(self, start, end, value) -> float:
        """int value(z) dz [unit of value times m]; `value` takes a design and its bend at one place."""
        if self.blade is None:
            return (end - start) * float(value(self.design, self.design.bend()))
        total = 0.0
        for length, designs in self._stretches(start, end):
            total += length * float(WEIGHTS @ [value(d, d.bend()) for d in designs])
        return total

    def profile(self, start, end, value) -> np.ndarray:
        """As `integral`, of a `value` that is an array."""
        if self.blade is None:
            return (end - start) * np.asarray(value(self.design, self.design.bend()))
        return sum(
            length * (WEIGHTS @ np.array([value(d, d.bend()) for d in designs]))
            for length, designs in self._stretches(start, end)
        )

    def extremes(self, start, end, value) -> tuple:
        """Least and greatest value(bend) on a stretch, over its ends, Gauss's nodes and the places where the taper
        changes: right for what runs one way along a stretch, as gap, depth and mouth do on a straight taper."""
        if self.blade is None:
            found = [value(self.design.bend())] * 2
        else:
            cuts = self._cuts(start, end)
            designs = [self.blade.design_at(p) for p in cuts]
            designs += [d for _, inside in self._stretches(start, end) for d in inside]
            found = [value(d.bend()) for d in designs]
        return float(min(found)), float(max(found))

    def _cuts(self, start, end):
        return [start, *(p for p in self.ends if start < p < end), end]

    def _stretches(self, start, end):
        cuts = self._cuts(start, end)
        for low, high in zip(cuts[:-1], cuts[1:], strict=True):
            yield high - low, [self.blade.design_at(low + (high - low) * node) for node in NODES]


def for_the_shop(part: Design | Blade) -> AlongSpan:
    """The part as the shop takes it; a blade whose dimensions do not change along the span is its design.

    ValueError, in words, for a part with steps, or with sheets that get thinner along the span: such blanks cannot be
    cut from a flat sheet in one piece.
    """
    if isinstance(part, Design):
        return AlongSpan(part)
    if not isinstance(part, Blade):
        raise ValueError(f"the part is {part!r}: give a Design, or a Blade for a tapered part")
    places = np.array(part.breakpoints)
    along = {
        name: np.concatenate([v, w])
        for name, v, w in ((n, part.values_at(places)[n], part.values_at(places, before=True)[n]) for n in ALONG_FIELDS)
    }
    if all(np.ptp(values) == 0.0 for values in along.values()):
        return AlongSpan(part.design_at(0.0))
    if part.steps:
        where = ", ".join(show_input(place, "mm") for place in part.steps)
        raise ValueError(
            f"this part steps at {where} from the root end: a shop pack is for a part without steps; save "
            "each stretch between the steps as a part of its own and make a pack of each"
        )
    thick = along["sheet_thickness"]
    if np.ptp(thick) > 0.0:
        raise ValueError(
            f"the sheets run from {show_input(float(thick.min()), 'mm')} to "
            f"{show_input(float(thick.max()), 'mm')} thick along the span: blanks are cut from a sheet of "
            "one thickness; give one thickness for the whole span"
        )
    return AlongSpan(part.design, part)
