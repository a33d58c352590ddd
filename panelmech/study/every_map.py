"""Every check over two inputs: the quick checks exactly everywhere, the framed sheet where it decides.

Every framed sheet is a plate problem of its own, so a map's thousands are out of reach. Some designs of the map are
worked out, as far apart as can be, and what lies between is read with a doubt (`study.between`). A cell whose verdict
or governing check hangs on the doubt is worked out itself, and where there are too many such cells the rest is told as
not decided. What was worked out is exact. A map of a part under its loads: `loads.part_map`.
"""

from __future__ import annotations

from collections import ChainMap
from dataclasses import dataclass, replace

import numpy as np

from ..units import read_count
from . import between
from .between import Between, evenly
from .checks import CHECKS, LOCAL_RULES, RULES, judge, to_go_by
from .framed_sheet import WORSE, measured, modulus_known
from .grain import sheet_grain
from .pressed_face import LEAST
from .sweeps import NOT_DECIDED, RESERVES, Sweep, compute
from .verdicts import VERDICTS, WORST_FIRST, Rated, least

FIRST, BATCH, MOST = 9, 16, 400  # designs worked out for a first look, then at a time, at most
CODES = {rule.key: code for code, rule in enumerate(CHECKS)}
PAIRS = tuple((rule.quantity, choice) for rule in LOCAL_RULES for choice in WORSE[rule.quantity])
PRESSED = next(i for i, pair in enumerate(PAIRS) if pair[0] == "press_deflection")


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
    for aim in (FIRST, between.SPREAD):
        yield from reading.work_out(reading.open, min(aim, most) - len(reading.nodes))
        yield reading.mapped()
    while reading.undecided.any() and len(reading.nodes) < most:
        yield from reading.work_out(reading.undecided, min(BATCH, most - len(reading.nodes)))
        yield reading.mapped()
    yield reading.mapped(True)


class _Reading:
    """Framed sheets worked out at some cells of a flattened map, and read `between`: logarithms of each of `PAIRS`."""

    def __init__(self, swept, rules):
        if len(swept.axes) != 2 or any(name not in swept.values for name in RESERVES) or swept.records:
            raise ValueError("a map varies two numeric inputs and holds the reserves of all quick checks")
        self.swept, self.rules = swept, rules
        grids = np.meshgrid(*swept.axes.values(), indexing="ij")
        self.inputs = {name: grid.ravel() for name, grid in zip(swept.axes, grids, strict=True)}
        self.size = swept.feasible.size
        self.designs = compute(swept.design, self.inputs, self.size)
        self.numbers = self.designs.solved.numbers
        self.between = Between(evenly(self.inputs.values()), self._known())
        self.allowed = self._allowed()
        self.open = swept.feasible.ravel() & self.between.known.any(axis=1)
        self.undecided = self.open.copy()

    def _allowed(self):
        """Logarithm of the deflection allowed over the pressure, of every cell [m/Pa]."""
        pressure = np.maximum(self.numbers["pressure"], LEAST)
        allowed = np.asarray(self.numbers["deflection_share"]) * self.designs.solved["contact_arclength"] / pressure
        return np.log(np.broadcast_to(allowed, self.size))

    @property
    def nodes(self):
        """Cells worked out."""
        return self.between.nodes

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
        for _ in range(count):
            cell = self.between.farthest(among)
            if cell is None:
                return
            self.between.put(cell, self._logs(cell))
            yield None

    def _logs(self, cell):
        wanted = dict.fromkeys(q for (q, _), sure in zip(PAIRS, self.between.known[cell], strict=True) if sure)
        changes = {name: float(values[cell]) for name, values in self.inputs.items()}
        found = measured(self.swept.design.replace(**changes), tuple(wanted))
        logs = np.log([found.get(pair, np.nan) for pair in PAIRS])
        logs[PRESSED] = eased(logs[PRESSED] - self.allowed[cell])
        return logs

    def mapped(self, complete=False) -> Mapped:
        """Read what lies between, and say what is decided by that."""
        self.between.read(self.open)
        exact = {rule.key: self._made(self.designs.judged[rule.key]) for rule in RULES}
        rated, less, more = (self._rated(sign) for sign in (0.0, -1.0, 1.0))
        self.undecided = self.open & (self.between.unread | hangs(exact, less, more))
        self.undecided[self.nodes] = False
        shape, least, place = self.swept.shape, *least_of({**exact, **rated})
        codes = np.array([*range(len(RESERVES)), *(CODES[key] for key in rated), -1])[place]
        codes = np.where(self.undecided, NOT_DECIDED, codes).astype(np.int8).reshape(shape)
        values = {f"{key}_reserve": one.reserve.reshape(shape) for key, one in rated.items()}
        values["least_reserve"] = least.reshape(shape)
        sweep = replace(self.swept, values={**self.swept.values, **values}, governing_code=codes)
        return Mapped(sweep, len(self.nodes), int(self.undecided.sum()), complete)

    def _made(self, rated):
        """Of every cell; its reserve nan where it is not made."""
        rated = Rated(*(np.broadcast_to(part, self.size) for part in rated))
        return rated._replace(reserve=np.where(self.swept.feasible.ravel(), rated.reserve, np.nan))

    def _rated(self, sign):
        """{key: `Rated`} of the framed sheet's checks as read, or with all values less or more by the doubt; beyond
        what can be told their reserves are those to go by, below one, so that no cell passes for one that holds."""
        framed, between = {}, self.between
        for quantity, scale, worse in (
            ("press_deflection", self.numbers["pressure"], np.maximum),
            ("buckling_stress", 1.0, np.minimum),
        ):
            columns = [i for i, pair in enumerate(PAIRS) if pair[0] == quantity]
            logs, doubts = worse.reduce(between.logs[:, columns], axis=1), np.max(between.doubts[:, columns], axis=1)
            with np.errstate(over="ignore", invalid="ignore"):
                logs = logs + (sign * doubts if sign else 0.0)
                if columns == [PRESSED]:
                    logs = self.allowed + eased_back(logs)
                framed[quantity] = scale * np.exp(logs)
        known = ChainMap(framed, self.designs.solved)
        rated = judge(self.numbers, known, self.rules)
        by = {rule.key: to_go_by(rule, self.numbers, known) for rule in self.rules}
        return {key: self._made(rated[key]._replace(reserve=reserve)) for key, reserve in by.items()}


EASED_FROM, EASE = 0.3, 0.5  # logarithm of a deflection over that allowed, from which it counts less and less; how soon


def eased(logs):
    """Logarithms of deflections over those allowed, as they are read between: a face that is pressed far too far, or
    lets go, runs less smoothly than one near its limit, and how far it is beyond does not matter."""
    over = np.maximum(logs - EASED_FROM, 0.0)
    return np.minimum(logs, EASED_FROM) + EASE * np.log1p(over / EASE)


def eased_back(read):
    """The inverse of `eased`."""
    over = np.maximum(read - EASED_FROM, 0.0)
    return np.minimum(read, EASED_FROM) + EASE * np.expm1(over / EASE)


# ----- What hangs on the doubt: from {key: `Rated`} of all cells of a flattened map


def least_of(rated: dict) -> tuple:
    """(least reserve of each cell, place of the first check that has it): nan and -1 where none is known."""
    reserves = np.array([one.reserve for one in rated.values()])
    place = least(reserves)
    return np.where(place < 0, np.nan, np.fmin.reduce(reserves)), place


def hangs(exact: dict, less: dict, more: dict) -> np.ndarray:
    """Where the worst verdict or the governing check is not the same at both ends of the doubt, for any check alone.

    exact : checks that are sure; less, more : those read, with all that is read less or more by its doubt
    """
    return _verdict_hangs(exact, less, more) | _governing_hangs(exact, less, more)


def _verdict_hangs(exact, less, more):
    ends = [np.array([_PLACE[one.code] for one in rated.values()]) for rated in (less, more)]
    sure = [_PLACE[one.code] for one in exact.values()]
    return np.min([*sure, *np.minimum(*ends)], axis=0) != np.min([*sure, *np.maximum(*ends)], axis=0)


def _governing_hangs(exact, less, more):
    """Where another check may have the least reserve, or the reserve of one may not be known."""
    ends = [np.array([one.reserve for one in {**exact, **rated}.values()]) for rated in (less, more)]
    low, high = np.fmin(*ends), np.fmax(*ends)
    with np.errstate(invalid="ignore"):
        near = low <= np.fmin.reduce(high)
        read = (low < high) | (np.isnan(ends[0]) != np.isnan(ends[1]))
    unknown = np.any(np.isnan(ends[0]) != np.isnan(ends[1]), axis=0)
    return unknown | (np.sum(near, axis=0) > 1) & np.any(near & read, axis=0)


_PLACE = np.array([WORST_FIRST.index(word) for word in VERDICTS])
