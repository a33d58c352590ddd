"""Shares of parts too rare to be met by drawing parts one by one: subset simulation.

A rare failure is reached by steps, each met by one in ten of the parts of the step before: the share is the product
(Au and Beck, Probabilistic Engineering Mechanics 16, 2001; from memory). Within a step parts are moved by a random walk
that keeps the normal distribution, wide enough that nearly half of its moves are taken (Papaioannou et al.,
Probabilistic Engineering Mechanics 41, 2015; from memory). The error is that of the mean of several runs that know
nothing of each other, by Student's t; tested against tails that are known exactly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import scipy

from ..units import read_choice, read_count, read_number, show
from .checks import LOCAL_RULES, RULES
from .design import Design
from .framed_parts import framed_parts
from .sweeps import compute
from .tolerances import SEED
from .two_sheets import CAMBER, TwoSheets
from .varying import ALIKE, MODULUS, Varying, default_tolerances, varying

ONE_IN, RUNS, PARTS, MOST_STEPS = 10, 10, 1000, 9
TAKEN = 0.44  # of the moves of the walk
WIDE = 1.8  # normal scores of the parts between which framed sheets are read, over those built
METHOD = "subset simulation"
ANY = "any"


@dataclass(frozen=True)
class RareShare:
    """Answer of `rare_share`.

    value : share of parts that fail [-]; 0 where none were found
    error : its standard error, from runs apart [-]
    low, high : at 95 %, the error of framed sheets that are read counted; where none were found, 0 and a bound that
        the steps reached
    runs, parts : runs, and parts worked out in all of them
    seed : of the numbers drawn
    unknown : share of parts of which a check is not known, so that they may fail unseen [-]
    """

    value: float
    error: float
    low: float
    high: float
    runs: int
    parts: int
    seed: int
    unknown: float = 0.0

    def words(self) -> str:
        """The share as it is told."""
        by = f"{METHOD}, {self.runs} runs, seed {self.seed}"
        if self.unknown:
            by += f"; not known of {show(self.unknown, '%', 2)}"
        if self.unknown == 1.0 and not self.value:
            return "not known"
        if not self.value:
            return f"none found down to {show(self.high, '%', 2)} ({by})"
        low, high = (show(bound, "%", 2) for bound in (self.low, self.high))
        least = "at least " if self.unknown else ""
        return f"{least}{show(self.value, '%', 2)} ({low.removesuffix(' %')} to {high}; {by})"


def rare_share(
    design: Design,
    tolerances=None,
    key: str = ANY,
    correlation=None,
    rules=LOCAL_RULES,
    seed=SEED,
    alike=ALIKE,
    camber=None,
):
    """Share of parts that fail a check, or any of them, however rare.

    Parameters
    ----------
    design, tolerances, correlation, rules, alike, camber : as of `study.tolerances.scatter`
    key : str
        Of a check, "camber" where that counts, or "any": what cannot be made counts as failing, what is not known of a
        part does not, and is told.
    seed : int

    Returns
    -------
    RareShare
        Some 50 000 parts are worked out, in a second or two. Down to one in `ONE_IN` to the power of `MOST_STEPS`;
        failures that lie in several places far from each other may be met in some of them only.

    >>> from panelmech.job import demo
    >>> from panelmech.study.varying import Tolerance
    >>> rod = Tolerance("sheet_thickness", 0.0001, "deviation")
    >>> thin = demo().design.replace(friction=0.12)
    >>> rare_share(thin, [rod], "permanent_strain", rules=()).value < 1e-6
    True
    """
    known = varying(design, default_tolerances(design) if tolerances is None else tolerances, correlation, alike)
    rules = (*RULES, *rules)
    camber = read_number(camber, "camber allowed", "mm", above=0.0) if camber is not None and known.apart else None
    counted = (*(rule.key for rule in rules), *(() if camber is None else (CAMBER,)))
    key = read_choice(key, "key", (ANY, *counted))
    least = _Least(known, tuple(rules), key, read_count(seed, "seed", 0, 2**53), camber)
    found = subset_share(least, known.scores, seed, least.doubt)
    return replace(found, unknown=least.unknown)


def subset_share(limit, inputs: int, seed: int = SEED, doubt: float = 0.0, runs: int = RUNS, parts: int = PARTS):
    """`RareShare` of standard normal scores at which a limit is reached.

    limit : callable
        Scores (inputs, parts) to (parts,): zero or less where it is reached, falling towards there; may be endless,
        not nan.
    inputs : int
        At most 100.
    seed : int
    doubt : float
        How far `limit` may be off, zero or more; what lies so near to zero widens the interval.
    runs, parts : int
        Runs apart, 3 to 1000, and parts in each step of one, 100 to 100 000.

    Raises ValueError for a number beyond these.

    >>> limit = lambda scores: 4.0 - scores[0]  # of a normal number, the exact share is 3.17e-5
    >>> found = subset_share(limit, 3)
    >>> found.low < 3.17e-5 < found.high
    True
    """
    inputs, runs = read_count(inputs, "inputs", 1, 100), read_count(runs, "runs", 3, 1000)
    parts, seed = read_count(parts, "parts", 100, 100_000), read_count(seed, "seed", 0, 2**53)
    doubt = read_number(doubt, "doubt", low=0.0)
    rngs = np.random.default_rng(seed).spawn(runs)
    found = [_run(limit, inputs, rng, parts // ONE_IN * ONE_IN, doubt) for rng in rngs]
    shares = np.array([one[:3] for one in found])
    worked = int(sum(one[3] for one in found))
    value, less, more = np.mean(shares, axis=0)
    error = float(np.std(shares[:, 0], ddof=1) / np.sqrt(runs))
    if not value and not more:
        return RareShare(0.0, 0.0, 0.0, float(ONE_IN**-MOST_STEPS), runs, worked, seed)
    wide = scipy.stats.t.ppf(0.975, runs - 1) * np.std(shares, axis=0, ddof=1) / np.sqrt(runs)
    low, high = float(max(0.0, less - wide[1])), float(more + wide[2])
    return RareShare(float(value), error, low, high, runs, worked, seed)


def _run(limit, inputs, rng, parts, doubt):
    """(share, share surely so, share possibly so, parts worked out) of one run."""
    scores = rng.standard_normal((inputs, parts))
    values, step, worked = limit(scores), 1.0, parts
    kept, spread = parts // ONE_IN, 0.8
    for _ in range(MOST_STEPS):
        order = np.argsort(values, kind="stable")
        level = values[order[kept - 1]]
        if level <= -doubt or np.isposinf(level):
            break
        scores, values, spread = _walked(limit, scores[:, order[:kept]], values[order[:kept]], level, spread, rng)
        step /= ONE_IN
        worked += parts
    return step * np.mean(values <= 0.0), step * np.mean(values <= -doubt), step * np.mean(values <= doubt), worked


def _walked(limit, scores, values, level, spread, rng):
    """Chains from parts below a level, each `ONE_IN` long, that stay below it: (scores, values, spread of the walk)."""
    all_scores, all_values = [scores], [values]
    for _ in range(ONE_IN - 1):
        moved = np.sqrt(1.0 - spread**2) * scores + spread * rng.standard_normal(scores.shape)
        there = limit(moved)
        taken = there <= level
        scores, values = np.where(taken, moved, scores), np.where(taken, there, values)
        spread = float(np.clip(spread * np.exp(0.5 * (np.mean(taken) - TAKEN)), 0.05, 1.0))
        all_scores.append(scores)
        all_values.append(values)
    return np.concatenate(all_scores, axis=1), np.concatenate(all_values), spread


class _Least:
    """Logarithm of the least reserve of parts at normal scores: of one check, or of all of them."""

    def __init__(self, known: Varying, rules, key, seed, camber=None):
        self.known, self.rules, self.key, self.camber = known, rules, key, camber
        self.local = tuple(rule for rule in rules if rule.local and key in (ANY, rule.key))
        self.seed = seed

    @cached_property
    def framed(self):
        """What is read of framed sheets, between parts far off."""
        scores = WIDE * np.random.default_rng(self.seed).standard_normal((self.known.scores, 2000))
        samples = self._sheets(scores).each if self.known.apart else self.known.of_scores(scores)
        return framed_parts(self.known.design, samples)

    @property
    def doubt(self) -> float:
        """Of the logarithm, where framed sheets are read."""
        return float(np.log1p(self.framed.doubt)) if self.local else 0.0

    @property
    def unknown(self) -> float:
        """Share of parts of which a check is not known and none is seen to fail, of some thousand."""
        rng = np.random.default_rng(self.seed)
        reserves, made = self._reserves(rng.standard_normal((self.known.scores, ONE_IN * PARTS)))
        return float(np.mean(np.any(np.isnan(reserves), axis=0) & ~np.any(reserves < 1.0, axis=0) & made))

    def __call__(self, scores):
        reserves, made = self._reserves(scores)
        with np.errstate(divide="ignore"):
            values = np.log(np.min(np.where(np.isnan(reserves), np.inf, reserves), axis=0))
        return np.where(made, values, -np.inf)

    def _reserves(self, scores):
        """((checks, parts) reserves, which can be made)."""
        if self.known.apart:
            return self._reserves_apart(scores)
        designs = self._designs(self.known.of_scores(scores), scores.shape[1], self.local)
        return np.array([reserve for key, reserve in designs.items() if self.key in (ANY, key)]), designs.made

    def _designs(self, samples, size, local):
        fields = {name: values for name, values in samples.items() if name != MODULUS}
        factor = {"modulus_factor": samples[MODULUS]} if MODULUS in samples else {}
        design = self.known.design
        designs = compute(design, fields, size, nominal_thickness=design.sheet_thickness, **factor)
        if local:
            designs = designs.with_framed(self.framed.at(samples, size), local)
        return _Reserves(designs, size)

    def _sheets(self, scores):
        first, second = self.known.of_scores(scores), self.known.second_of_scores(scores)
        return TwoSheets.of(self.known.design, first, second, scores.shape[1])

    def _reserves_apart(self, scores):
        """The same of parts whose two sheets differ."""
        size, sheets = scores.shape[1], self._sheets(scores)
        each, mean = self._designs(sheets.each, 2 * size, self.local), self._designs(sheets.mean, size, ())
        rows = dict(zip(each, sheets.reserves(list(each), np.array(list(each.values())), mean), strict=True))
        if self.camber is not None:
            rows[CAMBER] = sheets.camber_reserve(self.camber)
        return np.array([row for key, row in rows.items() if self.key in (ANY, key)]), mean.made & sheets.made


class _Reserves(dict):
    """Reserves of designs by check, and which can be made."""

    def __init__(self, designs, size):
        super().__init__({key: np.broadcast_to(rated.reserve, size) for key, rated in designs.judged.items()})
        self.made = designs.made
