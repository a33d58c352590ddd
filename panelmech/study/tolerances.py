"""Scatter: what the tolerances of sheet, rod and workmanship do to the part, and which of them matters most.

Monte Carlo with a fixed seed; what a tolerance means stands in `study.varying`. Both sheets of a part are taken alike,
cut side by side from one sheet, unless they are said to differ (`study.two_sheets`). Material values are read at the
nominal thickness. The quick checks are worked out for every part; the framed sheet is read between some tens of parts
that are worked out (`study.framed_parts`). A part whose verdict hangs on the error of that is worked out itself, the
first `MOST_EXACT` of them; the rest is counted as undecided.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from ..units import read_array, read_count, read_number
from .checks import CHECKS, LOCAL_RULES, RULES
from .design import Design
from .framed_parts import FramedParts, framed_parts
from .quantities import BENDING_QUANTITIES
from .shares import Share
from .sweeps import chunks, compute
from .two_sheets import CAMBER, CAMBER_NAME, GREATEST, JOINT, ROD, TwoSheets, falls_short
from .varying import ALIKE, MODULUS, Varying, nominal, varying
from .varying import Tolerance as Tolerance
from .varying import default_tolerances as default_tolerances
from .verdicts import BEYOND

SEED, MOST_PARTS = 20240917, 2_000_000
QUANTILES = (0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99)
BINS = 40
MOST_EXACT = 40  # framed sheets worked out because a part's verdict hangs on them


APART = {"any": "any of these", "beyond": f"one is {BEYOND}", "not made": "cannot be made at all"}  # no checks


@dataclass(frozen=True, eq=False)
class Scatter:
    """Result of `scatter`.

    samples : inputs by name [SI], one value a part; of sheets that differ the mean of both
    outputs : every quantity [SI], nan where the part cannot be made; `reserves` by check
    quantiles : by output, at `QUANTILES`
    failing : share of parts that fail each check, "any" included, of which a check is "beyond" what can be told, and
        "not made"; nan where it is not known of any part
    counted : the same as `study.shares.Share`, with interval, undecided and unknown parts
    shares : by output, the share of its variance that each input causes on its own
    elasticities : by output, relative change of the output over relative change of the input at nominal
    framed_doubt : relative error to expect at most of the framed sheet's reserves that are read [-]
    worked_out : framed sheets worked out since a verdict hung on that
    seed : of the numbers drawn; `correlation`, `alike`: as given; `tolerance`: camber allowed, where it is counted [m]
    cut_off : by input, the share of its normal distribution that lies beyond what is possible
    names : of the checks in `counted` that are none of `study.checks.CHECKS`, by key
    parts : {"fails", "hangs", "unknown", "beyond"}: parts of which any check surely does, or may, or is not known, or
        is beyond what can be told; "apart": which fail by what their two sheets differ in, the camber
    read : what was read of how many parts worked out, in words; "" for nothing beside the framed sheet
    """

    design: Design
    tolerances: tuple
    samples: dict
    outputs: dict
    reserves: dict
    quantiles: dict
    failing: dict
    shares: dict
    elasticities: dict
    framed_doubt: float = 0.0
    counted: dict = field(default_factory=dict)
    worked_out: int = 0
    seed: int = SEED
    correlation: dict = field(default_factory=dict)
    cut_off: dict = field(default_factory=dict)
    names: dict = field(default_factory=dict)
    parts: dict = field(default_factory=dict)
    read: str = ""
    alike: float = ALIKE
    tolerance: float | None = None

    @property
    def labels(self) -> dict:
        """What everything in `counted` is called, by key."""
        return {**self.names, **{rule.key: rule.name for rule in CHECKS}, **APART}

    @property
    def count(self) -> int:
        """Number of parts."""
        return len(next(iter(self.samples.values())))

    def most_important(self, output: str) -> tuple:
        """(input, share of the variance) that matters most for an output."""
        shares = self.shares[output]
        name = max(shares, key=lambda n: -1.0 if np.isnan(shares[n]) else shares[n])
        return name, shares[name]


def scatter(
    design: Design,
    tolerances=None,
    count: int = 100_000,
    seed: int = SEED,
    rules=LOCAL_RULES,
    correlation: dict | None = None,
    alike: float = ALIKE,
    camber: float | None = None,
) -> Scatter:
    """Study many parts built to one design.

    Parameters
    ----------
    design : Design
        The nominal part.
    tolerances : sequence of Tolerance, optional
        One for each input that varies; `default_tolerances` if not given.
    count : int
        Number of parts, 100 to 2 million.
    seed : int
        The same seed gives the same numbers.
    rules : sequence of Rule
        Checks of the framed sheet to count, about a second; none leaves it out.
    correlation, alike : optional
        As of `study.varying.varying`.
    camber : float, optional
        Of the mean line at the front, that a part may have whose two sheets differ [m]; not counted if not given.

    Returns
    -------
    Scatter

    Raises
    ------
    ValueError
        Too few parts, an input named twice, a band that reaches beyond what an input can be.

    Notes
    -----
    First-order variance shares: variance of the mean of the output within 40 bins of equal count of an input, over its
    variance, corrected for the number of bins (correlation ratio; the first-order index of Saltelli et al., Global
    Sensitivity Analysis, 2008, ch. 1). Shares add up to less than one where inputs act together, and to more where they
    go together by a correlation.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> parts = scatter(demo().design, count=1000, rules=())
    >>> show(parts.quantiles["outer_thickness"][0], "mm", 3), parts.counted["any"].words()
    ('23.0 mm', '0 of 1\u202f000: below 0.30 %')
    """
    known = varying(design, default_tolerances(design) if tolerances is None else tolerances, correlation, alike)
    count = read_count(count, "count of parts", 100, MOST_PARTS, hint="fewer tell no quantiles, more fill the memory")
    seed, rules = read_count(seed, "seed", 0, 2**53), tuple(rules)
    if camber is not None:
        camber = read_number(camber, "camber allowed", "mm", above=0.0)
    if not known.apart:
        samples = known.draw(np.random.default_rng(seed), count)
        return _told(known, samples, _Parts(design, samples, count, rules), seed, correlation)
    scores = np.random.default_rng(seed).standard_normal((known.scores, count))
    sheets = TwoSheets.of(design, known.of_scores(scores), known.second_of_scores(scores), count)
    parts = _PartsApart(sheets, count, rules, camber)
    found = _told(known, sheets.mean, parts, seed, correlation)
    names = {CAMBER: CAMBER_NAME} if camber is not None else {}
    return replace(found, alike=known.alike, tolerance=camber, names=names)


def _told(known: Varying, samples, parts, seed, correlation):
    made, counted = parts.made, parts.counted()
    quantiles = {
        name: np.quantile(v[made], QUANTILES) if made.any() else np.full(len(QUANTILES), np.nan)
        for name, v in parts.outputs.items()
    }
    bins = {name: _bins(x[made]) for name, x in samples.items()}
    reserves = dict(zip(parts.keys, parts.reserves, strict=True))
    judged = {**parts.outputs, **{f"{key}_reserve": r for key, r in reserves.items()}}
    return Scatter(
        known.design,
        known.tolerances,
        samples,
        parts.outputs,
        reserves,
        quantiles,
        {key: share.value for key, share in counted.items()},
        {key: dict(zip(bins, _shares(v[made], bins.values()), strict=True)) for key, v in judged.items()},
        elasticities(known.design, known.fields),
        parts.doubt,
        counted,
        parts.worked_out,
        seed,
        dict(correlation or {}),
        known.cut_off,
        parts={**parts.states(), "beyond": np.any(parts.beyond, axis=0), "apart": parts.apart},
    )


def _compute(design, samples, part, size):
    """`study.sweeps.compute` for a part of the samples: the design's fields, and the factor on the modulus."""
    fields = {name: values[part] for name, values in samples.items() if name != MODULUS}
    factor = {"modulus_factor": samples[MODULUS][part]} if MODULUS in samples else {}
    return compute(design, fields, size, nominal_thickness=design.sheet_thickness, **factor)


class _Parts:
    """Every part drawn: outputs, and of each check (checks, parts) reserve, whether it fails, is not known, or hangs on
    the error of what was read."""

    def __init__(self, design, samples, count, local, outputs=BENDING_QUANTITIES):
        self.design, self.samples, self.local = design, samples, local
        self.rules = (*RULES, *local)
        self.keys = [rule.key for rule in self.rules]
        self.framed = framed_parts(design, samples) if local else None
        self.worked_out = 0
        self.outputs = {name: np.empty(count) for name in outputs}
        shape = len(self.rules), count
        self.reserves = np.empty(shape)
        self.failed, self.unknown, self.beyond, self.hangs = (np.zeros(shape, dtype=bool) for _ in range(4))
        self.made, self.apart = np.empty(count, dtype=bool), np.zeros(count, dtype=bool)
        for part in chunks(count):
            self._take(part, _compute(design, samples, part, part.stop - part.start))

    @property
    def doubt(self):
        """Of the framed sheet's reserves."""
        return 0.0 if self.framed is None else self.framed.doubt

    def _take(self, part, designs):
        if self.framed is not None:
            designs, self.hangs[-len(self.local) :, part] = self._with_framed(designs, part, self.framed)
        for name, column in self.outputs.items():
            column[part] = designs[name]
        self.reserves[:, part], self.failed[:, part], self.made[part] = designs.reserves, designs.fails, designs.made
        self.unknown[:, part], self.beyond[:, part] = designs.unknown, designs.beyond

    def _with_framed(self, designs, part, framed: FramedParts):
        """(designs with the framed sheet, which of their checks of it hang on the error)."""
        own, size = {name: values[part] for name, values in self.samples.items()}, part.stop - part.start
        read = framed.at(own, size)
        hangs = self._hanging(designs, read, 1.0 + framed.doubt_at(own, size))
        for i in np.flatnonzero(hangs.any(axis=0)):
            if self.worked_out >= MOST_EXACT:
                break
            exact = framed.exact({name: float(values[i]) for name, values in own.items()})
            self.worked_out += 1
            for name, value in exact.items():
                read[name][i] = value
            hangs[:, i] = False
        return designs.with_framed(read, self.local), hangs

    def _hanging(self, designs, read, factor):
        ends = [
            designs.with_framed({name: v * by for name, v in read.items()}, self.local) for by in (factor, 1.0 / factor)
        ]
        first, last = ([one[-len(self.local) :] for one in (end.fails, end.unknown)] for end in ends)
        return np.any([a != b for a, b in zip(first, last, strict=True)], axis=0) & designs.made

    def states(self) -> dict:
        """As of `Scatter.parts`."""
        sure, unknown = self.failed & ~self.hangs, self.unknown & ~self.hangs
        return {
            "fails": np.any(sure, axis=0),
            "hangs": np.any(self.hangs, axis=0),
            "unknown": np.any(unknown, axis=0),
        }

    def counted(self) -> dict:
        """{check, "any", "beyond", "not made": `Share`}."""
        count = len(self.made)
        rows = zip(self.keys, self.failed, self.hangs, self.unknown, strict=True)
        found = {key: share_of(failed & ~hangs, hangs, unknown & ~hangs) for key, failed, hangs, unknown in rows}
        found["any"] = share_of(**self.states())
        found["beyond"] = Share(int(np.sum(np.any(self.beyond, axis=0))), count)
        found["not made"] = Share(int(np.sum(~self.made)), count)
        return found


class _PartsApart(_Parts):
    """The same of parts whose two sheets differ."""

    def __init__(self, sheets: TwoSheets, count, local, tolerance):
        mean = _Parts(sheets.design, sheets.mean, count, ())
        each = _Parts(sheets.design, sheets.each, 2 * count, local, outputs=())
        self.keys, self.outputs, self.framed = list(each.keys), mean.outputs, each.framed
        self.worked_out, self.made = each.worked_out, mean.made & sheets.made
        self.reserves = sheets.reserves(self.keys, each.reserves, dict(zip(mean.keys, mean.reserves, strict=True)))
        states = (each.failed, each.unknown, each.beyond, each.hangs)
        self.failed, self.unknown, self.beyond, self.hangs = (
            np.any(state.reshape(len(self.keys), count, 2), axis=2) for state in states
        )
        self._of_the_part(mean)
        self.apart = np.zeros(count, dtype=bool)
        if tolerance is not None:
            self._count_camber(sheets.camber_reserve(tolerance))
        self.failed[:, ~self.made] = True
        for state in (self.unknown, self.beyond, self.hangs):
            state[:, ~self.made] = False

    def _of_the_part(self, mean):
        """Checks that no sheet bears by itself."""
        for row, key in enumerate(self.keys):
            if key in (JOINT, ROD, GREATEST):
                self.failed[row] = falls_short(self.reserves[row])
                self.unknown[row] &= ~self.failed[row]
            if key in (ROD, GREATEST):
                other = mean.keys.index(key)
                self.unknown[row], self.beyond[row] = mean.unknown[other], mean.beyond[other]

    def _count_camber(self, reserve):
        self.apart = falls_short(reserve) & self.made
        self.keys.append(CAMBER)
        self.reserves = np.vstack([self.reserves, reserve])
        self.failed = np.vstack([self.failed, self.apart])
        none = np.zeros((1, len(reserve)), dtype=bool)
        self.unknown, self.beyond, self.hangs = (np.vstack([s, none]) for s in (self.unknown, self.beyond, self.hangs))


def share_of(fails, hangs, unknown) -> Share:
    """`Share` of parts that surely fail, of those of which that hangs on what is read, and of those not known, where
    they do not fail: (parts,) each."""
    hangs, count = hangs & ~fails, len(fails)
    return Share(int(np.sum(fails)), count, int(np.sum(hangs)), int(np.sum(unknown & ~fails & ~hangs)))


def variance_share(x, y) -> float:
    """First-order share of the variance of y that x causes [-], 0 to 1; nan if y does not vary or is not known.

    Corrected for the bins: with B bins of n/B values each, chance alone makes the bin means vary by B/n of the rest.
    """
    x, y = (read_array(v, n, nan=True, axes=1, least=1) for v, n in ((x, "x"), (y, "y")))
    if len(x) != len(y):
        raise ValueError(f"{len(x)} values of x and {len(y)} of y: give one of each for every part")
    return _shares(y, [_bins(x)])[0]


def _bins(x):
    """Which of the bins of equal count each value falls into."""
    bins = np.empty(len(x), dtype=np.int64)
    bins[np.argsort(x, kind="stable")] = np.arange(len(x)) * BINS // max(len(x), 1)
    return bins


def _shares(y, inputs):
    """First-order share of the variance of y for each input, given by its bins."""
    count, inputs = len(y), list(inputs)
    if count < 2 * BINS or not np.all(np.isfinite(y)):
        return [float("nan")] * len(inputs)
    total, mean = np.var(y), np.mean(y)
    if total <= (1e-12 * np.mean(np.abs(y))) ** 2:
        return [float("nan")] * len(inputs)
    shares = []
    for bins in inputs:
        sizes = np.bincount(bins, minlength=BINS)
        means = np.bincount(bins, weights=y, minlength=BINS) / sizes
        between = np.average((means - mean) ** 2, weights=sizes)
        chance = (total - between) * (BINS - 1) / (count - BINS)
        shares.append(float(np.clip((between - chance) / total, 0.0, 1.0)))
    return shares


def elasticities(design: Design, names, step: float = 1e-4) -> dict:
    """Relative change of every quantity over relative change of each input, at nominal: {quantity: {input: power}}.

    Central differences of logarithms over ± `step`; inputs that are zero, and quantities that are not positive,
    give nan. Exact powers to expect: bending stiffness 3 in thickness and 1 in modulus.
    """
    names, step = list(names), read_number(step, "step", low=1e-9, high=0.5, hint="a share of each input")
    factors = np.array([1.0 - step, 1.0 + step])
    columns = {}
    for name in names:
        base = np.full(2 * len(names), float(nominal(design, name)))
        i = names.index(name)
        base[2 * i : 2 * i + 2] *= factors
        columns[name] = base
    solved = _compute(design, columns, slice(None), 2 * len(names)).solved
    width = np.log(factors[1] / factors[0])
    with np.errstate(invalid="ignore", divide="ignore"):
        logs = {
            k: np.log(np.broadcast_to(np.asarray(v, dtype=float), 2 * len(names)))
            for k, v in solved.quantities().items()
        }
        powers = {k: (v[1::2] - v[::2]) / width for k, v in logs.items()}
    usable = np.array([nominal(design, name) != 0.0 for name in names])
    return {k: dict(zip(names, np.where(usable, v, np.nan).tolist(), strict=True)) for k, v in powers.items()}
