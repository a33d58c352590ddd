"""Which reading to take again, and how often, until the verdict on a pair is sure; or that repeating does not help.

What more readings change is the part of each input that scatters: its standard deviation over the root of their number,
and its degrees of freedom; and of the step of an instrument what readings do not share (`worth.shared_rounding`). The
rest of the step, and what nobody measured, stay. The camber and the scatter are
taken to stay as they are: a forecast, no promise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .one_pass import OnePass, known_kind
from .worth import Measured, coverage_factor, effective_dof

MOST = 30  # more readings, of one kind or of all together, than that nobody takes


@dataclass(frozen=True)
class Repeats:
    """What would make a verdict sure.

    room : how far the camber is from the tolerance, which its expanded uncertainty must stay below [m]
    expanded : expanded uncertainty of the camber as read, for 95 % [m]
    more : {name of a reading: how many more of it} that make it sure, the fewest found; empty where it is sure, or no
        repeating does it
    left : expanded uncertainty that no repeating makes smaller [m]
    rules : name of what makes most of `left`
    """

    room: float
    expanded: float
    more: dict
    left: float
    rules: str

    @property
    def sure(self) -> bool:
        """Whether it is sure as read."""
        return self.expanded < self.room

    @property
    def hopeless(self) -> bool:
        """Whether it stays unsure however often everything is read again."""
        return not self.sure and self.left >= self.room


def repeats_for(inputs: OnePass, camber: Measured, room: float) -> Repeats:
    """What it takes for the expanded uncertainty of a camber to come below `room` [m]."""
    table = _Table(inputs, camber)
    left = table.without_chance()
    names, fixed = list(table.names), table.fixed(np.where(table.again, np.inf, 0.0))
    rules = names[int(np.argmax(fixed))] if names else ""
    expanded = camber.expanded
    more = {} if expanded < room or left >= room else _fewest(table, room)
    return Repeats(room, expanded, more, left, rules)


class _Table:
    """Parts of the uncertainty of a camber, by input: `chance` of one reading, `fixed(more)` of steps and bands,
    numbers of readings."""

    def __init__(self, inputs, camber):
        readings = inputs.inputs
        self.names = [r.name for r in readings.values()]
        self.readings = tuple(readings.values())
        self.slopes = slopes = np.abs([camber.slopes.get(name, 0.0) for name in self.names])
        self.chance = slopes * [r.deviation for r in readings.values()]
        self.count = np.array([len(r.values) for r in readings.values()])
        self.dof = np.array([r.chance_dof for r in readings.values()])
        self.again = np.array([known_kind(key) and not r.band for key, r in readings.items()])

    def fixed(self, more):
        """Of steps and bands with so many more readings of each."""
        counts = self.count + more
        return self.slopes * [r.by_step_of(count) for r, count in zip(self.readings, counts, strict=True)]

    def expanded(self, more):
        """Expanded uncertainty with so many more readings of each."""
        chance = self.chance / np.sqrt(self.count + more)
        parts = np.concatenate([chance, self.fixed(more)])
        dof = np.concatenate([self.dof + more, np.full(len(chance), np.inf)])
        return coverage_factor(effective_dof(parts, dof)) * float(np.sqrt(np.sum(parts**2)))

    def without_chance(self):
        """The same with what can be read again read without end."""
        return self.expanded(np.where(self.again, np.inf, 0.0))


def _fewest(table, room):
    """The fewest more readings of one, else of several, that do it; {} where `MOST` do not."""
    alone = {}
    for i in np.flatnonzero(table.again):
        more = np.zeros(len(table.names))
        for count in range(1, MOST + 1):
            more[i] = count
            if table.expanded(more) < room:
                alone[table.names[i]] = count
                break
    if alone:
        name = min(alone, key=lambda n: alone[n])
        return {name: alone[name]}
    more = np.zeros(len(table.names))
    for _ in range(MOST):
        tried = [table.expanded(more + step) for step in np.eye(len(more))]
        more[int(np.argmin(np.where(table.again, tried, np.inf)))] += 1
        if table.expanded(more) < room:
            return {table.names[i]: int(more[i]) for i in np.flatnonzero(more)}
    return {}
