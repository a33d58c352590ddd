"""A part along its span as the shop takes it: sections at Gauss's nodes, sums over the span, what one pack can take.

Between the places where the taper changes or the rod steps every dimension runs straight; what is integrated there is
smooth, and 24 nodes on each stretch leave rounding. Up to a step each side counts with its own section: how the sheets
run the step out is not reckoned. An untapered part has one section, and a sum is that section's value times the length.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..blade.along_checks import changes_along
from ..blade.blade import ALONG_FIELDS, ROD_FIELDS, Blade, buildable
from ..mechanics.bend import Bend
from ..study.design import Design
from ..units import show_input
from .outlines import NODES, WEIGHTS


@dataclass(frozen=True)
class Side:
    """A section of which templates are made: `name` in words ("" where there is but one), `key` short, `place` [m] from
    the root end, `before` the step there or beyond it, `end` whether it is an end of the part."""

    name: str
    key: str
    place: float
    before: bool = False
    end: bool = True


class AlongSpan:
    """A part along its span, of a `Design` or a `Blade`.

    part: as given
    design: of the part; of a blade the one it is drawn from
    blade: None where nothing changes along the span
    ends: of its stretches [m], root end and tip included
    steps: where the section jumps [m]
    cuts: where the rod is cut, since its diameter or wall jumps [m]
    one_section: whether all sections have the same outside; the wall of the rod may differ
    """

    def __init__(self, part: Design | Blade):
        self.part, self.blade = part, part if isinstance(part, Blade) else None
        self.design = part if self.blade is None else part.design
        self.span = self.design.span
        self.ends, self.steps, self.cuts, self.one_section = (0.0, self.span), (), (), True
        self._at_nodes = {}  # {(start, end): (designs, their sections)}: solved once
        if self.blade is not None:
            shape = [name for name in ALONG_FIELDS if name != "spacer_wall"]
            self.ends, self.cuts = part.breakpoints, _jumps(part, ROD_FIELDS)
            self.steps, self.one_section = _jumps(part, shape), not changes_along(part, shape)

    def design_at(self, position, before=False) -> Design:
        """The design whose section the part has at a place [m] from the root end; of a step that beyond it, or the one
        `before`."""
        return self.design if self.blade is None else self.blade.design_at(position, before)

    def bend_at(self, position, before=False) -> Bend:
        """The section at a place [m] from the root end, as of `design_at`."""
        return self.design_at(position, before).bend()

    def stations(self, count: int) -> tuple:
        """(places [m] along the span, designs there): `count` on each stretch, both its ends included, so that a step
        has two; of an untapered part its two ends."""
        if self.blade is None:
            return np.array([0.0, self.span]), [self.design] * 2
        places, designs = [], []
        for low, high in itertools.pairwise(self.ends):
            inside = np.linspace(low, high, count)
            here = [self.design_at(z, before=z == high) for z in inside]
            first = 1 if places and low not in self.steps else 0  # where nothing jumps, one station
            places += list(inside[first:])
            designs += here[first:]
        return np.array(places), designs

    def end_stretches(self, depth) -> dict:
        """{name: (start, end)} [m] of the stretches this deep at both ends."""
        return {"root end": (0.0, depth), "tip end": (self.span - depth, self.span)}

    def between_steps(self, start, end) -> list:
        """(start, end) [m] of the pieces that the steps cut a stretch into."""
        return list(itertools.pairwise([start, *(step for step in self.steps if start < step < end), end]))

    def pieces_of_rod(self) -> list:
        """(start, end) [m] of each piece of the rod."""
        return list(itertools.pairwise([0.0, *self.cuts, self.span]))

    def sides(self) -> tuple:
        """`Side`s: one of a part with one section, else both ends and either side of every step."""
        if self.one_section:
            return (Side("", "", 0.0),)
        steps = []
        for number, place in enumerate(self.steps, 1):
            at, key = f"step at {show_input(place, 'mm')}", f"step-{number}" if len(self.steps) > 1 else "step"
            steps.append(Side(f"{at}, towards the root", f"{key}-rootward", place, True, False))
            steps.append(Side(f"{at}, towards the tip", f"{key}-tipward", place, False, False))
        return Side("root end", "root", 0.0), *steps, Side("tip end", "tip", self.span)

    def integral(self, start, end, value):
        """int value(design, bend) dz from `start` to `end` [unit of value times m]; `value` gives a number or an
        array."""
        total = sum(
            length * (weights @ np.array([value(*each) for each in sections]))
            for length, weights, sections in self._stretches(start, end)
        )
        return float(total) if np.ndim(total) == 0 else total

    def extremes(self, start, end, value) -> tuple:
        """Least and greatest value(bend) on a stretch, over its ends, both sides of its steps, Gauss's nodes and the
        places where the taper changes: right for what runs one way along a stretch, as gap, depth and mouth do on a
        straight taper."""
        bends = [
            bend
            for low, high in itertools.pairwise(self._places(start, end))
            for bend in (self.bend_at(low), self.bend_at(high, before=True))
        ]
        bends += [bend for _, _, inside in self._stretches(start, end) for _, bend in inside]
        values = [value(bend) for bend in bends]
        return float(min(values)), float(max(values))

    def _places(self, start, end):
        return [start, *(place for place in self.ends if start < place < end), end]

    def _stretches(self, start, end):
        """(length, weights, [(design, its section)]) of each stretch."""
        if self.blade is None:
            yield end - start, np.ones(1), self._solved("", lambda: [self.design])
            return
        for low, high in itertools.pairwise(self._places(start, end)):
            places = [low + (high - low) * node for node in NODES]
            yield high - low, WEIGHTS, self._solved((low, high), lambda at=places: map(self.design_at, at))

    def _solved(self, key, designs):
        """[(design, its section)] of a stretch, solved the first time it is asked for."""
        if key not in self._at_nodes:
            self._at_nodes[key] = [(design, design.bend()) for design in designs()]
        return self._at_nodes[key]


def along_span(part: Design | Blade | AlongSpan) -> AlongSpan:
    """The part as the shop takes it; a blade whose dimensions do not change along the span is its design.

    ValueError, in words, for a part that cannot be built (`blade.blade.buildable`).
    """
    if isinstance(part, AlongSpan):
        return part
    if not isinstance(part, Design | Blade):
        raise ValueError(f"the part is {part!r}: give a Design, or a Blade for a tapered part")
    return _kept(part)


@lru_cache(maxsize=8)
def _kept(part):
    """Kept, for its sections serve every pack of it, whatever the shop chooses."""
    if isinstance(part, Design):
        return AlongSpan(part)
    if not changes_along(part):
        return AlongSpan(part.design_at(0.0))
    return AlongSpan(buildable(part))


def _jumps(blade, names):
    return tuple(sorted({place for name in names for place in blade.jumps(name)}))
