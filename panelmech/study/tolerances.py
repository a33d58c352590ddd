"""Scatter: what the tolerances of sheet, rod and workmanship do to the part, and which of them matters most.

Monte Carlo with a fixed seed. A tolerance is the half-width of a band in which every value is equally likely
(rectangular distribution, JCGM 100:2008, 4.3.7), unless it is said to be a standard deviation. Both sheets of a
pair are taken alike: they are cut side by side from one sheet. Material values are read at the nominal thickness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import read_array, read_choice, read_count, read_number
from .checks import LOCAL_RULES, RULES
from .design import LIMITS, Design
from .framed_parts import framed_parts
from .quantities import BENDING_QUANTITIES
from .study import SheetRange, stock_range
from .sweeps import chunks, compute

SEED, MOST_PARTS = 20240917, 2_000_000
QUANTILES = (0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99)
BINS = 40
MODULUS = "modulus"  # the one input that is not a length of the design: it varies as a factor


@dataclass(frozen=True)
class Tolerance:
    """How one input varies. `field`: a length of the design, or "modulus"; `size`: half-width of the band, or standard
    deviation [SI; for the modulus a share]; `kind`: "band" or "deviation"; `basis`: one of `BASES`."""

    field: str
    size: float
    kind: str = "band"
    basis: str = "user"

    def __post_init__(self):
        allowed = [n for n, limit in LIMITS.items() if limit.unit == "mm"] + ["friction", MODULUS]
        if self.field not in allowed:
            raise ValueError(f"{self.field!r} has no tolerance here: give one of {', '.join(allowed)}")
        read_number(self.size, f"tolerance of {self.field}", low=0.0, hint="in SI units")
        read_choice(self.kind, "kind", ("band", "deviation"))

    def sample(self, rng, count) -> np.ndarray:
        """`count` deviations from nominal."""
        if self.kind == "band":
            return rng.uniform(-self.size, self.size, count)
        return rng.normal(0.0, self.size, count)

    @property
    def standard_deviation(self) -> float:
        """Of one value; a band's is its half-width over the root of three."""
        return self.size / np.sqrt(3.0) if self.kind == "band" else self.size


@dataclass(frozen=True, eq=False)
class Scatter:
    """Result of `scatter`. `samples`: inputs by name [SI], one value a part; `outputs`: every quantity [SI], nan
    where the part cannot be made; `reserves` by check; `quantiles`: by output, at `QUANTILES`; `failing`: share of
    parts that fail each check, "any" included, of which a check is "beyond" what can be told, and "not made"; `shares`:
    by output, the share of its variance that each input causes on its own; `elasticities`: by output, relative change
    of the output over relative change of the input at nominal; `framed_doubt`: relative error to expect at most of the
    framed sheet's reserves, which are read between parts worked out (`study.framed_parts`) [-]."""

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

    def most_important(self, output: str) -> tuple:
        """(input, share of the variance) that matters most for an output."""
        shares = self.shares[output]
        name = max(shares, key=lambda n: -1.0 if np.isnan(shares[n]) else shares[n])
        return name, shares[name]


def default_tolerances(design: Design, sheets: SheetRange | None = None) -> tuple:
    """Thickness and modulus of the sheet as its `sheets` tell, `stock_range` if not given; for the rest what careful
    hand work gives (common practice, no source), to be replaced by measurements."""
    known, hand = sheets or stock_range(design), "common practice"
    return (
        Tolerance("sheet_thickness", known.thickness, basis=known.basis),
        Tolerance(MODULUS, known.modulus, basis=known.modulus_basis),
        Tolerance("spacer_diameter", 0.1e-3, basis=hand),
        Tolerance("setback", 0.5e-3, basis=hand),
        Tolerance("bond_line", min(0.1e-3, design.bond_line), basis=hand),
    )


def scatter(design: Design, tolerances=None, count: int = 100_000, seed: int = SEED, rules=LOCAL_RULES) -> Scatter:
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
        Checks of the framed sheet to count, read between some tens of parts worked out, about half a second; none
        leaves it out.

    Returns
    -------
    Scatter

    Raises
    ------
    ValueError
        Too few parts, an input named twice, or a tolerance that lets a length become negative.

    Notes
    -----
    First-order variance shares: variance of the mean of the output within 40 bins of equal count of an input, over its
    variance, corrected for the number of bins (correlation ratio; the first-order index of Saltelli et al., Global
    Sensitivity Analysis, 2008, ch. 1). Shares add up to less than one where inputs act together.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> parts = scatter(demo().design, count=1000, rules=())
    >>> show(parts.quantiles["outer_thickness"][0], "mm", 3)
    '23.0 mm'
    """
    tolerances = tuple(default_tolerances(design) if tolerances is None else tolerances)
    count = _check(design, tolerances, count)
    seed = read_count(seed, "seed", 0, 2**53)
    rng = np.random.default_rng(seed)
    samples = {t.field: _nominal(design, t.field) + t.sample(rng, count) for t in tolerances}
    _refuse_negative(samples)
    outputs, reserves, failed, made, beyond, doubt = _study(design, samples, count, tuple(rules))
    quantiles = {
        name: np.quantile(v[made], QUANTILES) if made.any() else np.full(len(QUANTILES), np.nan)
        for name, v in outputs.items()
    }
    bins = {name: _bins(x[made]) for name, x in samples.items()}
    judged = {**outputs, **{f"{key}_reserve": r for key, r in reserves.items()}}
    shares = {key: dict(zip(bins, _shares(v[made], bins.values()), strict=True)) for key, v in judged.items()}
    failing = {
        **{key: float(np.mean(f)) for key, f in failed.items()},
        "any": float(np.mean(np.any(list(failed.values()), axis=0))),
        "beyond": float(np.mean(beyond)),
        "not made": float(np.mean(~made)),
    }
    return Scatter(
        design,
        tolerances,
        samples,
        outputs,
        reserves,
        quantiles,
        failing,
        shares,
        elasticities(design, [t.field for t in tolerances]),
        doubt,
    )


def _check(design, tolerances, count):
    names = [t.field for t in tolerances]
    if len(set(names)) != len(names) or not names:
        raise ValueError(
            f"tolerances for {', '.join(names) or 'nothing'}: give one for each input that varies, each once"
        )
    return read_count(count, "count of parts", 100, MOST_PARTS, hint="fewer tell no quantiles, more fill the memory")


def _refuse_negative(samples):
    for name, values in samples.items():
        least = np.min(values)
        if name != "setback" and (least < 0.0 or (least == 0.0 and name != "bond_line")):
            raise ValueError(
                f"the tolerance of {name} lets it become {least:.3g}, which is not possible: give a smaller one, or "
                "a band instead of a deviation"
            )


def _nominal(design, name):
    return 1.0 if name == MODULUS else getattr(design, name)


def _compute(design, samples, part, size):
    """`study.sweeps.compute` for a part of the samples: the design's fields, and the factor on the modulus."""
    fields = {name: values[part] for name, values in samples.items() if name != MODULUS}
    factor = {"modulus_factor": samples[MODULUS][part]} if MODULUS in samples else {}
    return compute(design, fields, size, nominal_thickness=design.sheet_thickness, **factor)


def _study(design, samples, count, local):
    """Outputs, reserves and failures of every part, which could be made, of which a check is beyond what can be told,
    and the doubt of the framed sheet."""
    rules = (*RULES, *local)
    framed = framed_parts(design, {n: v for n, v in samples.items() if n != MODULUS}) if local else None
    outputs = {name: np.empty(count) for name in BENDING_QUANTITIES}
    reserves, failed = np.empty((len(rules), count)), np.empty((len(rules), count), bool)
    made, beyond = np.empty(count, dtype=bool), np.empty(count, dtype=bool)
    for part in chunks(count):
        size = part.stop - part.start
        designs = _compute(design, samples, part, size)
        if framed is not None:
            own = {name: values[part] for name, values in samples.items()}
            designs = designs.with_framed(framed.at(own, size, own.get(MODULUS, 1.0)), local)
        for name, column in outputs.items():
            column[part] = designs[name]
        reserves[:, part], failed[:, part], made[part] = designs.reserves, designs.fails, designs.made
        beyond[part] = np.any(designs.beyond, axis=0)
    keys = [rule.key for rule in rules]
    judged = (dict(zip(keys, values, strict=True)) for values in (reserves, failed))
    return outputs, *judged, made, beyond, framed.doubt if framed is not None else 0.0


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
        base = np.full(2 * len(names), float(_nominal(design, name)))
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
    usable = np.array([_nominal(design, name) != 0.0 for name in names])
    return {k: dict(zip(names, np.where(usable, v, np.nan).tolist(), strict=True)) for k, v in powers.items()}
