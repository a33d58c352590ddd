"""A part along its span as the shop takes it: sections at Gauss's nodes, sums over the span, what one pack can take.

Between the places where the taper changes every dimension runs straight; what is integrated there is smooth, and 24
nodes on each stretch leave rounding. An untapered part has one section, and a sum is that section's value times the
length.
"""

from __future__ import annotations

import itertools

import numpy as np

from ..blade.blade import ALONG_FIELDS, Blade
from ..mechanics.bend import Bend
from ..study.design import Design
from ..units import show_input
from .outlines import NODES, WEIGHTS


class AlongSpan:
    """A part along its span, of a `Design` or a `Blade`.

    part: as given
    design: of the part; of a blade the one it is drawn from
    blade: None where the part does not taper
    ends: of its stretches [m], root end and tip included
    """

    def __init__(self, part: Design | Blade):
        self.part, self.blade = part, part if isinstance(part, Blade) else None
        self.design = part if self.blade is None else part.design
        self.span = self.design.span
        self.ends = (0.0, self.span) if self.blade is None else part.breakpoints

    def design_at(self, position) -> Design:
        """The design whose section the part has at a place [m] from the root end."""
        return self.design if self.blade is None else self.blade.design_at(position)

    def bend_at(self, position) -> Bend:
        """The section at a place [m] from the root end."""
        return self.design_at(position).bend()

    def stations(self, count: int) -> np.ndarray:
        """Places [m] along the span, `count` of them on each stretch; of an untapered part its two ends."""
        count = 2 if self.blade is None else count
        return np.unique([np.linspace(*stretch, count) for stretch in itertools.pairwise(self.ends)])

    def end_stretches(self, depth) -> dict:
        """{name: (start, end)} [m] of the stretches this deep at both ends."""
        return {"root end": (0.0, depth), "tip end": (self.span - depth, self.span)}

    def integral(self, start, end, value):
        """int value(design, bend) dz from `start` to `end` [unit of value times m]; `value` gives a number or an
        array."""
        total = sum(
            length * (weights @ np.array([value(d, d.bend()) for d in designs]))
            for length, weights, designs in self._stretches(start, end)
        )
        return float(total) if np.ndim(total) == 0 else total

    def extremes(self, start, end, value) -> tuple:
        """Least and greatest value(bend) on a stretch, over its ends, Gauss's nodes and the places where the taper
        changes: right for what runs one way along a stretch, as gap, depth and mouth do on a straight taper."""
        designs = [self.design_at(place) for place in self._cuts(start, end)]
        designs += [design for _, _, inside in self._stretches(start, end) for design in inside]
        values = [value(design.bend()) for design in designs]
        return float(min(values)), float(max(values))

    def _cuts(self, start, end):
        return [start, *(place for place in self.ends if start < place < end), end]

    def _stretches(self, start, end):
        """(length, weights, designs) of each stretch."""
        if self.blade is None:
            yield end - start, np.ones(1), [self.design]
            return
        for low, high in itertools.pairwise(self._cuts(start, end)):
            yield high - low, WEIGHTS, [self.design_at(low + (high - low) * node) for node in NODES]


def along_span(part: Design | Blade | AlongSpan) -> AlongSpan:
    """The part as the shop takes it; a blade whose dimensions do not change along the span is its design.

    ValueError, in words, for a part with steps, or with sheets that get thinner along the span: such blanks cannot be
    cut from a flat sheet in one piece.
    """
    if isinstance(part, AlongSpan):
        return part
    if isinstance(part, Design):
        return AlongSpan(part)
    if not isinstance(part, Blade):
        raise ValueError(f"the part is {part!r}: give a Design, or a Blade for a tapered part")
    places = np.array(part.breakpoints)
    after, before = part.values_at(places), part.values_at(places, before=True)
    if all(np.ptp([after[name], before[name]]) == 0.0 for name in ALONG_FIELDS):
        return AlongSpan(part.design_at(0.0))
    if part.steps:
        steps = ", ".join(show_input(place, "mm") for place in part.steps)
        raise ValueError(
            f"this part steps at {steps} from the root end: a shop pack is for a part without steps; save "
            "each stretch between the steps as a part of its own and make a pack of each"
        )
    thickness = after["sheet_thickness"]
    if np.ptp(thickness) > 0.0:
        raise ValueError(
            f"the sheets run from {show_input(float(thickness.min()), 'mm')} to "
            f"{show_input(float(thickness.max()), 'mm')} thick along the span: blanks are cut from a sheet of "
            "one thickness; give one thickness for the whole span"
        )
    return AlongSpan(part)
