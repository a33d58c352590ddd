"""Every check over two inputs: the quick checks exactly everywhere, the framed sheet where it decides.

Every framed sheet is a plate problem of its own, so a map's thousands are out of reach. Its deflection and critical
stress run smoothly, close to powers of the inputs. So some designs of the map are worked out, as far apart as can be;
between them is read in the logarithms, by cubic radial functions with a plane (Wendland, Scattered Data Approximation,
2005, ch. 8 and 11; from memory). How well, the same reading tells with one design left out at a time, next to each
(leave-one-out in closed form: Rippa, Adv. Comput. Math. 11, 1999; from memory); twice that is taken as the doubt. A
cell whose verdict or governing check hangs on the doubt is worked out itself, and where there are too many such cells
the rest is told as not decided. What was worked out is exact.
"""

from __future__ import annotations

from collections import ChainMap
from dataclasses import dataclass, replace

import numpy as np
import scipy

from ..units import read_count
from .checks import CHECKS, LOCAL_RULES, judge, to_go_by
from .framed_sheet import IN_PLANE, measured, modulus_known, sheet_grain
from .sweeps import NOT_DECIDED, RESERVES, Sweep, compute
from .verdicts import VERDICTS, WORST_FIRST

FIRST, SPREAD, BATCH, MOST = 9, 81, 16, 260  # designs: for a first look, spread out, then at a time, at most
SAFETY, FLOOR = 2.0, 2e-4  # of the doubt: factor; least, for how well a framed sheet itself is solved
NEAR = 4  # designs worked out next to a cell, from which its doubt comes
CODES = {rule.key: code for code, rule in enumerate(CHECKS)}
PAIRS = tuple((rule.quantity, choice) for rule in LOCAL_RULES for choice in IN_PLANE)


@dataclass(frozen=True, eq=False)
class Mapped:
    """How far a map has come. `sweep`: with all reserves that are known by now, least and governing among them;
    `done`: framed sheets worked out; `undecided`: cells whose verdict or governing check is not sure yet; `complete`:
    all is done."""

    sweep: Sweep
    done: int
    undecided: int
    complete: bool = False


def check_map(swept: Sweep, rules=LOCAL_RULES, most: int = MOST) -> Sweep:
    """A map of the quick checks with the framed sheet counted: reserves, least reserve, governing check.

    swept : a sweep over two numeric inputs that holds `sweeps.RESERVES`
    rules : which checks of the framed sheet
    most : framed sheets worked out at most

    Cells that could not be decided govern as `sweeps.NOT_DECIDED`; see the module for how far what is read may be off.
    ValueError for a sweep that is no map.

    >>> from panelmech import sweep
    >>> from panelmech.job import demo
    >>> swept = sweep(demo().design, local=False, spacer_diameter=[0.016, 0.018], sheet_thickness=[0.0015, 0.002])
    >>> bool(check_map(swept).undecided.any())  # whether a part is left that nobody can tell of
    False
    """
    *_, last = map_steps(swept, rules, most)
    return last.sweep


def map_steps(swept: Sweep, rules=LOCAL_RULES, most: int = MOST):
    """The same as a generator: gives a `Mapped` after the first few designs, and then as it goes on; in between, None
    after each design. For whoever has to do something else in between, as a panel has."""
    most, reading = read_count(most, "most", 1), _Reading(swept, rules)
    if not rules:
        reading.open[:] = False
    for aim in (FIRST, SPREAD):
        yield from reading.work_out(reading.open, min(aim, most) - len(reading.nodes))
        yield reading.mapped()
    while reading.undecided.any() and len(reading.nodes) < most:
        yield from reading.work_out(reading.undecided, min(BATCH, most - len(reading.nodes)))
        yield reading.mapped()
    yield reading.mapped(True)


class _Reading:
    """Framed sheets worked out at `nodes`, cells of a flattened map, and read between: `logs`, of each of `PAIRS`."""

    def __init__(self, swept, rules):
        if len(swept.axes) != 2 or any(name not in swept.values for name in RESERVES) or swept.records:
            raise ValueError("a map varies two numeric inputs and holds the reserves of all quick checks")
        self.swept, self.rules, self.nodes = swept, rules, []
        grids = np.meshgrid(*swept.axes.values(), indexing="ij")
        self.inputs = {name: grid.ravel() for name, grid in zip(swept.axes, grids, strict=True)}
        self.size = swept.feasible.size
        self.designs = compute(swept.design, self.inputs, self.size)
        self.numbers = self.designs.solved.numbers
        self.quick = self._ranks(self.designs.judged)
        self.places = np.column_stack([_even(values) for values in self.inputs.values()])
        self.known = self._known()
        self.open = swept.feasible.ravel() & self.known.any(axis=1)
        self.logs = np.full((self.size, len(PAIRS)), np.nan)
        self.doubts = np.zeros((self.size, len(PAIRS)))
        self.apart = np.full(self.size, np.inf)  # to the nearest node, squared
        self.undecided = self.open.copy()

    def _known(self):
        """(cells, pairs): where the sheet's moduli are known as far as deflection or critical stress need them."""
        known = np.empty((self.size, len(PAIRS)), dtype=bool)
        thickness = np.broadcast_to(self.numbers["sheet_thickness"], self.size)
        for t in np.unique(thickness):
            one = self.swept.design.replace(sheet_thickness=float(t))
            pressed, buckles = modulus_known(one), modulus_known(one) and sheet_grain(one).buckling
            sure = {"press_deflection": pressed, "buckling_stress": buckles}
            known[thickness == t] = [sure[quantity] for quantity, _ in PAIRS]
        return known

    def work_out(self, among, count):
        """Work out so many more cells, each as far as can be from those that are; stops where there are no more."""
        among = among.copy()
        for _ in range(count):
            among[self.nodes] = False
            if not among.any():
                return
            cell = int(np.argmax(np.where(among, self.apart, -1.0)))
            self._work_out(cell)
            self.nodes.append(cell)
            self.apart = np.minimum(self.apart, np.sum((self.places - self.places[cell]) ** 2, axis=1))
            yield None

    def _work_out(self, cell):
        wanted = tuple(dict.fromkeys(q for (q, _), sure in zip(PAIRS, self.known[cell], strict=True) if sure))
        changes = {name: float(values[cell]) for name, values in self.inputs.items()}
        found = measured(self.swept.design.replace(**changes), wanted)
        self.logs[cell] = [np.log(found.get(pair, np.nan)) for pair in PAIRS]

    def mapped(self, complete=False) -> Mapped:
        """Read what lies between, and say what is decided by that."""
        self._read()
        rated, less, more = (self._rated(sign) for sign in (0.0, -1.0, 1.0))
        every = self._reserves(rated)
        self.undecided = self.open & (self._verdict_hangs(less, more) | self._governing_hangs(less, more))
        self.undecided[self.nodes] = False
        shape, known = self.swept.shape, ~np.all(np.isnan(every), axis=0)
        governing = np.where(known, np.argmin(np.where(np.isnan(every), np.inf, every), axis=0), -1)
        codes = np.array([*range(len(RESERVES)), *(CODES[key] for key in rated), -1])[governing]
        codes = np.where(self.undecided, NOT_DECIDED, codes).astype(np.int8).reshape(shape)
        own = zip(rated, every[len(RESERVES) :], strict=True)
        values = {f"{key}_reserve": reserve.reshape(shape) for key, reserve in own}
        values["least_reserve"] = np.where(known, np.fmin.reduce(every), np.nan).reshape(shape)
        sweep = replace(self.swept, values={**self.swept.values, **values}, governing_code=codes)
        return Mapped(sweep, len(self.nodes), int(self.undecided.sum()), complete)

    def _reserves(self, rated):
        """(checks, cells): the quick ones, then these; nan where not made."""
        made = self.swept.feasible.ravel()
        own = [np.where(made, one.reserve, np.nan) for one in rated.values()]
        return np.array([*(self.swept[name].ravel() for name in RESERVES), *own])

    def _read(self):
        for column in range(len(PAIRS)):
            nodes = [i for i in self.nodes if self.known[i, column]]
            cells = self.open & self.known[:, column]
            cells[nodes] = False
            if len(nodes) > NEAR and cells.any():
                found = _between(self.places[nodes], self.logs[nodes, column], self.places[cells])
                self.logs[cells, column], self.doubts[cells, column] = found
            else:
                self.doubts[cells, column] = np.inf
            self.doubts[nodes, column] = 0.0

    def _rated(self, sign):
        """{key: `Rated`} of the framed sheet's checks as read, or with all values less or more by the doubt; beyond
        what can be told their reserves are those to go by, below one, so that no cell passes for one that holds."""
        framed = {}
        for quantity, scale, worse in (
            ("press_deflection", self.numbers["pressure"], np.maximum),
            ("buckling_stress", 1.0, np.minimum),
        ):
            columns = [i for i, pair in enumerate(PAIRS) if pair[0] == quantity]
            logs, doubts = worse.reduce(self.logs[:, columns], axis=1), np.max(self.doubts[:, columns], axis=1)
            with np.errstate(over="ignore", invalid="ignore"):
                framed[quantity] = scale * np.exp(logs + (sign * doubts if sign else 0.0))
        known = ChainMap(framed, self.designs.solved)
        rated = judge(self.numbers, known, self.rules)
        return {r.key: rated[r.key]._replace(reserve=to_go_by(r, self.numbers, known)) for r in self.rules}

    def _ranks(self, rated):
        """Place of the worst verdict of checks in `WORST_FIRST`, cell by cell."""
        place = np.array([WORST_FIRST.index(word) for word in VERDICTS])
        codes = [np.broadcast_to(one.code, self.size) for one in rated.values()]
        return np.min(place[np.array(codes, dtype=int)], axis=0) if codes else np.full(self.size, len(VERDICTS))

    def _verdict_hangs(self, less, more):
        """Where the worst verdict of all checks is not the same at both ends of the doubt, for any check alone."""
        ends = [[self._ranks({key: one}) for key, one in rated.items()] for rated in (less, more)]
        worse, better = np.minimum(*ends), np.maximum(*ends)
        return np.min([self.quick, *worse], axis=0) != np.min([self.quick, *better], axis=0)

    def _governing_hangs(self, less, more):
        """Where another check may have the least reserve, or the reserve of one may not be known."""
        ends = self._reserves(less), self._reserves(more)
        low, high = np.fmin(*ends), np.fmax(*ends)
        with np.errstate(invalid="ignore"):
            near = low <= np.fmin.reduce(high)
            read = (low < high) | (np.isnan(ends[0]) != np.isnan(ends[1]))
        unknown = np.any(np.isnan(ends[0]) != np.isnan(ends[1]), axis=0)
        return unknown | (np.sum(near, axis=0) > 1) & np.any(near & read, axis=0)


def _even(values):
    """Logarithms, or values that may be zero or less, from 0 to 1."""
    values = np.log(values) if np.min(values) > 0.0 else values
    span = np.ptp(values)
    return (values - np.min(values)) / span if span else np.zeros_like(values)


def _between(places, values, wanted):
    """(values read at the places wanted, doubt of each), from values at few places."""
    count, middle = len(places), np.mean(values)
    system = np.zeros((count + 3, count + 3))
    system[:count, :count] = _cubes(places, places)
    system[:count, count], system[:count, count + 1 :] = 1.0, places
    system[count:, :count] = system[:count, count:].T
    inverse = np.linalg.pinv(system, rcond=1e-14)
    weights = inverse[:, :count] @ (values - middle)
    left_out = np.abs(weights[:count] / np.diag(inverse)[:count])
    read = np.concatenate(
        [
            _cubes(part, places) @ weights[:count] + weights[count] + part @ weights[count + 1 :]
            for part in np.array_split(wanted, max(len(wanted) // 4096, 1))
        ]
    )
    spread = slice(0, min(count, SPREAD))  # these are evenly apart; more of them come in clusters, and tell too little
    tree = scipy.spatial.cKDTree(places[spread])
    gaps, near = tree.query(places[spread], 2)[0][:, 1], tree.query(wanted, min(NEAR, count))[1]
    closer = np.minimum(scipy.spatial.cKDTree(places).query(wanted)[0][:, None] / gaps[near], 1.0)
    return read + middle, SAFETY * np.max(left_out[near] * closer, axis=1) + FLOOR


def _cubes(one, other):
    return scipy.spatial.distance.cdist(one, other) ** 3
