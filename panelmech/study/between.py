"""What lies between few designs that are worked out: read in the logarithms, with a doubt for each.

What takes long of a design, as a plate problem does, often runs smoothly, close to powers of its dimensions. So designs
as far apart as can be are worked out, and between them is read by cubic radial functions with a plane (Wendland,
Scattered Data Approximation, 2005, ch. 8 and 11; from memory). How well, the same reading tells with one design left
out at a time (leave-one-out in closed form: Rippa, Adv. Comput. Math. 11, 1999; from memory); three times the worst of
the twelve next to a place is taken as its doubt. What was worked out is exact.

Of 4,050 numbers of framed sheets read on nine maps of 1,600 cells two in a thousand were farther off than their doubt,
by 4.3 times at most, where the sheet begins to buckle in one wave more.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

SPREAD = 81  # designs worked out evenly apart; those asked for after that lie in clusters, and tell too little of doubt
SAFETY, FLOOR = 3.0, 2e-4  # of the doubt: factor; least, for how well a design itself is worked out
FEWEST = 4  # designs worked out from which nothing is read yet
NEAR = 12  # designs worked out next to one, from which its doubt comes


class Between:
    """Columns of positive numbers of many designs, of which those at `nodes` are worked out.

    places : (designs, inputs) numbers that all columns hang on, as of `evenly`
    known : (designs, columns) whether there is anything to know
    logs, doubts : (designs, columns) logarithms and how far they may be off; nan and endless before anything is read
    """

    def __init__(self, places, known):
        self.places, self.known, self.nodes = places, known, []
        self.logs, self.doubts = np.full(known.shape, np.nan), np.full(known.shape, np.inf)
        self.apart = np.full(len(places), np.inf)  # to the nearest node, squared

    @cached_property
    def _alike(self) -> list:
        """Columns that are known of the same designs, together: arrays."""
        _, kind = np.unique(self.known, axis=1, return_inverse=True)
        return [np.flatnonzero(kind.ravel() == k) for k in range(np.max(kind) + 1)]

    @property
    def unread(self) -> np.ndarray:
        """(designs,) whether any number that can be known is not, nor read yet."""
        return np.any(self.known & np.isnan(self.logs), axis=1)

    def farthest(self, among) -> int | None:
        """The design, of those `among` (designs,), that is as far as can be from those worked out; None: there is none
        left."""
        left = among.copy()
        left[self.nodes] = False
        return int(np.argmax(np.where(left, self.apart, -1.0))) if left.any() else None

    def put(self, design: int, logs) -> None:
        """What one design came to: (columns,) logarithms."""
        self.nodes.append(design)
        self.logs[design] = logs
        self.apart = np.minimum(self.apart, np.sum((self.places - self.places[design]) ** 2, axis=1))

    def read(self, among) -> None:
        """Read what lies between for the designs `among` (designs,)."""
        for columns in self._alike:
            known = self.known[:, columns[0]]
            nodes = [i for i in self.nodes if known[i]]
            wanted = among & known
            wanted[nodes] = False
            if len(nodes) > FEWEST and wanted.any():
                even = sum(known[i] for i in self.nodes[:SPREAD])
                found = _between(self.places[nodes], self.logs[np.ix_(nodes, columns)], self.places[wanted], even)
                cells = np.ix_(wanted, columns)
                self.logs[cells], self.doubts[cells] = found
            self.doubts[np.ix_(nodes, columns)] = 0.0
        self.doubts[~self.known] = 0.0


def evenly(columns) -> np.ndarray:
    """(designs, inputs): each input from 0 to 1, by its logarithm unless some are zero or less."""
    return np.column_stack([_even(np.asarray(values)) for values in columns])


def _even(values):
    values = np.log(values) if np.min(values) > 0.0 else values
    span = np.ptp(values)
    return (values - np.min(values)) / span if span else np.zeros_like(values)


def _between(places, values, wanted, even):
    """(values read at the places wanted, doubt of each), from values (few places, columns), the first `even` of them
    evenly apart."""
    (count, inputs), middle = places.shape, np.mean(values, axis=0)
    system = np.zeros((count + inputs + 1, count + inputs + 1))
    system[:count, :count] = _apart(places, places) ** 3
    system[:count, count], system[:count, count + 1 :] = 1.0, places
    system[count:, :count] = system[:count, count:].T
    inverse = np.linalg.pinv(system, rcond=1e-14)
    weights = inverse[:, :count] @ (values - middle)
    left_out = np.abs(weights[:count] / np.diag(inverse)[:count, None])
    spread = max(even, min(count, FEWEST + 1))
    read, off = [], []
    for part in np.array_split(wanted, max(len(wanted) // 4096, 1)):
        apart = _apart(part, places)
        read.append(apart**3 @ weights[:count] + weights[count] + part @ weights[count + 1 :])
        near = np.argpartition(apart[:, :spread], min(NEAR, spread) - 1, axis=1)[:, :NEAR]
        off.append(np.max(left_out[near], axis=1))
    return np.concatenate(read) + middle, SAFETY * np.concatenate(off) + FLOOR


def _apart(one, other):
    """Distances (n, m) of n places from m others."""
    return np.sqrt(sum(np.subtract.outer(a, b) ** 2 for a, b in zip(one.T, other.T, strict=True)))
