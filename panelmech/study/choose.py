"""Choosing: every sheet × stock thickness × stock spacer of the catalogue, ranked, and the set that no other beats.

All combinations are studied at once by the core of `sweep`, which leaves out what cannot be bent or fails one of its
checks. The rest are judged with every check, best first, until what was asked for stands: more checks never leave more
reserve, so what fewer say bounds what is still to come. A judge that can sift does so first, many at a time, by what is
quick to tell of many; what it does not refuse is judged a few at a time. Nothing stands in an order that was not judged
with every check. Checks without a basis are kept but marked. Costs are the user's own: there are none in the catalogue.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import islice

import numpy as np

from ..materials.stock import catalogue
from ..units import read_count, show_input, unit_words
from .design import Design
from .every import Standing, judge_design, judged, sifted
from .quantities import Pick, filled_mass, mass_over_span
from .sweeps import chunks, compute
from .verdicts import UNKNOWN

# criterion: (what a builder calls it, unit on screen, -1 to have it small or +1 to have it large)
CRITERIA = {
    "mass": ("mass of the part", "kg", -1),
    "chord_stiffness": ("bending stiffness about the chord line, whole section", "N m2", 1),
    "torsion_stiffness": ("torsion stiffness, whole section", "N m2", 1),
    "i_chord": ("second moment about the chord line, sheets alone", "mm4", 1),
    "least_reserve": ("least reserve", "x", 1),
    "outer_thickness": ("outer thickness", "mm", -1),
    "cost": ("cost", "", -1),
}


@dataclass(frozen=True)
class Costs:
    """The user's prices, in any one currency: by name of the sheet per square metre, of the spacer per metre, and
    of the resin per kilogram. The price of a sheet or spacer is one number for every size, or {size [m]: price}, by
    thickness of the sheet or diameter of the spacer. What is not named makes the cost of every choice that needs it
    unknown (nan)."""

    sheet_per_m2: dict
    spacer_per_m: dict
    resin_per_kg: dict


@dataclass(frozen=True, eq=False)
class Choices:
    """All combinations, one element each in every array. `sheet`, `spacer`: index into `sheets`, `spacers`;
    `thickness`, `diameter`, `wall` [m]; `values` by criterion [SI]; `possible`: can be made and no check fails;
    `judged`: every limit has a basis.

    `sure`: whether every check is counted in that and in the least reserve. Where it is not, they are those of the
    quick checks, and the least reserve is no less than it will be; `settle` works the rest out by `judge`, and what it
    finds stands in the arrays from then on, in `standing` by combination. `sifted`: what a judge has sifted."""

    design: Design
    sheets: tuple
    spacers: tuple
    sheet: np.ndarray
    thickness: np.ndarray
    spacer: np.ndarray
    diameter: np.ndarray
    wall: np.ndarray
    values: dict
    possible: np.ndarray
    judged: np.ndarray
    sure: np.ndarray
    sifted: np.ndarray
    judge: Callable = judge_design
    standing: dict = field(default_factory=dict)

    def __len__(self):
        return len(self.sheet)

    def design_at(self, i: int) -> Design:
        """The design of combination i."""
        return self.design.replace(
            sheet=self.sheets[self.sheet[i]],
            sheet_thickness=float(self.thickness[i]),
            spacer=self.spacers[self.spacer[i]],
            spacer_diameter=float(self.diameter[i]),
            spacer_wall=float(self.wall[i]),
        )

    def settle(self, i: int) -> Standing:
        """Combination i judged with every check, once."""
        self.settle_all([i])
        return self.standing[int(i)]

    def settle_all(self, rows) -> None:
        """Combinations judged with every check, each once, together where the judge can."""
        rows = [int(i) for i in rows if int(i) not in self.standing]
        for i, found in zip(rows, judged(self.judge, [self.design_at(i) for i in rows]), strict=True):
            self._stands(i, found)

    def sift(self, rows) -> None:
        """Leave out what the judge refuses of combinations by what is quick to tell; of the others the least reserve
        comes nearer to what it will be."""
        for i, found in zip(rows, sifted(self.judge, [self.design_at(i) for i in rows]), strict=True):
            self.sifted[i] = True
            if found is not None and not found.stands:
                self._stands(int(i), found)
            elif found is not None:
                self.values["least_reserve"][i] = np.fmin(self.values["least_reserve"][i], found.reserve)

    def _stands(self, i, found):
        self.standing[i], self.sure[i] = found, True
        self.values["least_reserve"][i] = found.reserve
        self.possible[i] &= found.stands
        self.judged[i] &= found.verdict != UNKNOWN

    @property
    def quick(self) -> int:
        """How many the quick checks let pass."""
        return int(np.count_nonzero(self.possible | self.sure))

    @property
    def unjudged(self) -> int:
        """How many stand but for a limit without a basis, of those judged with every check."""
        return int(np.count_nonzero(self.sure & self.possible & ~self.judged))

    def refused(self) -> dict:
        """{name of the check, or why: how many} of what the quick checks let pass and another refuses, most first."""
        names = Counter(found.refusal for found in self.standing.values() if not found.stands)
        return dict(names.most_common())

    def label(self, i: int) -> str:
        """Combination i in words."""
        sizes = [self.diameter[i]] + ([self.wall[i]] if self.wall[i] > 0 else [])
        rod = " × ".join(show_input(v, "mm") for v in sizes).replace(f" {unit_words('mm')} ×", " ×")
        sheet = f"{self.sheets[self.sheet[i]].name}, {show_input(self.thickness[i], 'mm')}"
        return f"{sheet}; {self.spacers[self.spacer[i]].name}, {rod}"


def combine(design: Design, sheets=None, spacers=None, costs: Costs | None = None, judge=judge_design) -> Choices:
    """Study every combination of stock for the geometry of a design by the quick checks; `rank` and `unbeaten` count
    the rest.

    Parameters
    ----------
    design : Design
        Lengths, bond line, setback, adhesive and judgement.
    sheets, spacers : sequence of records, optional
        Stock to choose from; the whole catalogue by default.
    costs : Costs, optional
        Without it the criterion "cost" is nan.
    judge : callable, optional
        Design -> `study.every.Standing`, every check counted; a job's own judge counts its loads too.

    Returns
    -------
    Choices

    >>> from panelmech.job import demo
    >>> choices = combine(demo().design)
    >>> len(choices.sheets), int(choices.possible.sum())
    (12, 6661)
    """
    sheets = tuple(sheets if sheets is not None else catalogue.sheets.values())
    spacers = tuple(spacers if spacers is not None else catalogue.spacers.values())
    stock = [(i, t) for i, s in enumerate(sheets) for t in s.stock_thicknesses]
    rods = [(j, d, w) for j, s in enumerate(spacers) for d in s.diameters for w in (s.walls or (0.0,)) if w < 0.5 * d]
    if not stock or not rods:
        raise ValueError(
            "there is nothing to combine: give sheets with stock thicknesses and spacers with stock diameters"
        )
    left, right = np.repeat(np.array(stock), len(rods), axis=0), np.tile(np.array(rods), (len(stock), 1))
    sheet, thickness = left[:, 0].astype(int), left[:, 1]
    spacer, diameter, wall = right[:, 0].astype(int), right[:, 1], right[:, 2]
    values, possible, judged = _study_all(design, sheets, spacers, sheet, thickness, spacer, diameter, wall)
    values["cost"] = _cost(design, (sheets, sheet, thickness), (spacers, spacer, diameter), values, costs)
    return Choices(
        design,
        sheets,
        spacers,
        sheet,
        thickness,
        spacer,
        diameter,
        wall,
        {name: values[name] for name in CRITERIA},
        possible,
        judged,
        np.zeros(len(sheet), dtype=bool),
        np.zeros(len(sheet), dtype=bool),
        judge,
    )


def _study_all(design, sheets, spacers, sheet, thickness, spacer, diameter, wall):
    """(values by criterion and the mass of resin, which are possible, which are judged)."""
    size = len(sheet)
    values = {name: np.full(size, np.nan) for name in (*CRITERIA, "resin_mass")}
    possible, judged = np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
    for part in chunks(size):
        arrays = {
            "sheet": Pick(sheets, sheet[part]),
            "spacer": Pick(spacers, spacer[part]),
            "sheet_thickness": thickness[part],
            "spacer_diameter": diameter[part],
            "spacer_wall": wall[part],
        }
        designs = compute(design, arrays, part.stop - part.start)
        for name in set(CRITERIA) - {"mass", "cost"}:
            values[name][part] = designs[name]
        values["mass"][part] = mass_over_span(design, designs)
        potting = designs["front_area"] * design.resin.density * design.span
        values["resin_mass"][part] = potting + filled_mass(design, designs)
        possible[part] = designs.made & ~np.any(designs.fails, axis=0)
        judged[part] = ~np.any(designs.unknown, axis=0)
    return values, possible, judged


def _cost(design, sheets, spacers, values, costs):
    """Cost of each choice; `sheets` and `spacers`: records, which of them each choice takes, in which size [m]."""
    if costs is None:
        return np.full(len(sheets[1]), np.nan)
    per_sheet, per_spacer = _prices(costs.sheet_per_m2, *sheets), _prices(costs.spacer_per_m, *spacers)
    per_resin = costs.resin_per_kg.get(design.resin.name, np.nan)
    blanks = 2.0 * design.developed_length * design.span
    return per_sheet * blanks + per_spacer * design.span + per_resin * values["resin_mass"]


def _prices(by_name, records, chosen, sizes):
    """Price of what each choice takes: one for all sizes, or each size its own; nan where there is none."""
    prices = np.full(len(chosen), np.nan)
    for i, record in enumerate(records):
        price = by_name.get(record.name, np.nan)
        for size, own in price.items() if isinstance(price, dict) else ((sizes, price),):
            prices[(chosen == i) & (np.abs(sizes - size) < 1e-6)] = own
    return prices


@dataclass(frozen=True, eq=False)
class Found:
    """What stands so far. `order`: indices of combinations, all judged with every check; `complete`: whether that is
    all; `tried`: how many were judged for it until now, those that were sifted out among them."""

    order: np.ndarray
    complete: bool
    tried: int


def rank(choices: Choices, by: str, count: int | None = None, only_judged: bool = False) -> np.ndarray:
    """Indices of the possible combinations, best first by one criterion of `CRITERIA`, every check counted; unknown
    values are left out.

    `only_judged` leaves out combinations with a check that has no basis. `count` keeps the first so many.
    """
    return _all_of(rank_steps(choices, by, count, only_judged))


def unbeaten(choices: Choices, by, only_judged: bool = False) -> np.ndarray:
    """Indices of the combinations that no other beats (Pareto front) in the criteria `by`, sorted by the first of them,
    every check counted.

    One beats another if it is at least as good in all and better in one.

    >>> from panelmech.job import demo
    >>> sheet = demo().design.sheet.with_own(stock_thicknesses=(0.002, 0.0025))
    >>> choices = combine(demo().design, [sheet], [demo().design.spacer])
    >>> [choices.label(i) for i in unbeaten(choices, ("mass", "chord_stiffness"))][:2]
    ['glass-epoxy laminate, lengthwise, 2 mm; aluminium tube 6061-T6, 12 × 1 mm', 'glass-epoxy laminate,
    lengthwise, 2 mm; aluminium tube 6061-T6, 12 × 1.5 mm']
    """
    return _all_of(unbeaten_steps(choices, by, only_judged))


def _all_of(steps):
    *_, last = steps
    return last.order


def rank_steps(choices: Choices, by: str, count: int | None = None, only_judged: bool = False):
    """`rank` as a generator: gives a `Found` each time that some were sifted or judged, the last one complete. For
    whoever has to do something else in between, or is glad of the first rows."""
    count = len(choices) if count is None else read_count(count, "count")
    return _Search(choices, (by,), only_judged).steps(count)


def unbeaten_steps(choices: Choices, by, only_judged: bool = False):
    """The same for `unbeaten`; the first rows come from either end of the front."""
    return _Search(choices, by, only_judged, True).steps(len(choices))


SIFTED_FIRST, SIFTED_MOST = 32, 128  # combinations sifted at a time: at first, for first rows soon, and at most
JUDGED_MOST = 8, 32  # the same judged with every check: where some may be judged in vain, and where as many are wanted


class _Search:
    """Takes the best by its scores, which are exact or too good. What is not sifted yet is, with those that come next;
    then what is not judged yet, with the next of those sifted, and all are put back with what they are worth; what is
    judged comes next. For a front by each criterion in turn: what is best by one, then by the next of those as good,
    cannot be beaten by anything that comes later."""

    def __init__(self, choices, by, only_judged, front=False):
        self.choices, self.by, self.only_judged, self.front = choices, by, only_judged, front
        self.scores, self.order, self.tried = _scores(choices, by), [], 0
        self.sifted_next, self.judged_next = SIFTED_FIRST, 1
        rows = np.flatnonzero(self._count(slice(None)))
        self.heaps = [self._keys(rows, k) for k in range(len(by) if front else 1)]
        for heap in self.heaps:
            heapq.heapify(heap)

    def steps(self, count):
        """A `Found` each time that something was sifted or judged, the last one complete."""
        turn = 0
        while all(self.heaps) and len(self.order) < count:
            if self._take(turn % len(self.heaps), count - len(self.order)):
                yield self._found(False)
            else:
                turn += 1
        yield self._found(True)

    def _take(self, k, wanted):
        """Take the best of a heap; whether something was sifted or judged, and the best is to be seen. `wanted`: how
        many more."""
        key = heapq.heappop(self.heaps[k])
        i = key[-1]
        if key != self._key(i, k) or not self._count(i) or i in self.order or self._beaten(i):
            return False  # put back since, refused, or of no more interest
        if self.choices.sure[i]:
            self.order.append(i)
            return False
        if not self.choices.sifted[i]:
            rows = self._next(i, k, ~self.choices.sifted, self.sifted_next)
            self.choices.sift(rows)
            self.tried += int(np.count_nonzero(self.choices.sure[rows]))
            self.sifted_next = min(2 * self.sifted_next, SIFTED_MOST)
        else:
            rows = self._next(i, k, self.choices.sifted, self.judged_next)
            self.choices.settle_all(rows)
            least, most = JUDGED_MOST
            in_vain = self.front or "least_reserve" in self.by  # what is judged may be worth less than it was taken for
            self.judged_next = min(2 * self.judged_next, least if in_vain else max(least, min(wanted, most)))
            self.tried += len(rows)
        self._put_back(rows)
        return True

    def _next(self, i, k, among, count):
        """Combination i and others among those not judged that come next by criterion k, so many in all."""
        among = among & ~self.choices.sure & self._count(slice(None))
        among[i] = False
        rows = np.flatnonzero(among)
        keys = -np.roll(self.scores[rows], -k, axis=1)
        best = rows[np.lexsort((rows, *keys.T[::-1]))]
        rest = (int(j) for j in best if not self._beaten(j))
        return [i, *islice(rest, count - 1)]

    def _put_back(self, rows):
        rows = np.array(rows)
        self.scores[rows] = _scores(self.choices, self.by, rows)
        rows = rows[self._count(rows)]
        for own, heap in enumerate(self.heaps):
            for key in self._keys(rows, own):
                heapq.heappush(heap, key)

    def _keys(self, rows, k):
        """Of combinations, what the best by criterion k has the least of: (scores turned round, combination)."""
        turned = np.roll(-self.scores[rows], -k, axis=1).tolist()
        return [(*row, i) for row, i in zip(turned, np.asarray(rows).tolist(), strict=True)]

    def _key(self, i, k):
        return self._keys([i], k)[0]

    def _count(self, rows):
        """Which of combinations count."""
        choices, known = self.choices, np.all(np.isfinite(self.scores[rows]), axis=-1)
        return choices.possible[rows] & known & (choices.judged[rows] | (not self.only_judged))

    def _beaten(self, i):
        if not self.front or not self.order:
            return False
        known, mine = self.scores[self.order], self.scores[i]
        return bool(np.any(np.all(known >= mine, axis=1) & np.any(known > mine, axis=1)))

    def _found(self, complete):
        order = sorted(self.order, key=lambda i: self._key(i, 0)) if self.front else self.order
        return Found(np.array(order, dtype=int), complete, self.tried)


def _scores(choices, by, rows=slice(None)):
    """One row a combination: larger is better in every column."""
    unknown = [name for name in by if name not in CRITERIA]
    if unknown or not len(by):
        raise ValueError(f"criteria {', '.join(map(str, by)) or 'none'}: give one or more of {', '.join(CRITERIA)}")
    return np.column_stack([CRITERIA[name][2] * choices.values[name][rows] for name in by])
