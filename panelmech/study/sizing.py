"""Sizing backwards: which value of one input gives an output the value wanted.

The input is scanned over its range, every bracket found is solved to rounding by Brent's method, and all solutions are
reported, or a sentence when there is none. Then the nearest sizes one can buy, and what they give. A framed sheet takes
too long for a fine scan: its results are read between few designs (`study.sizing`), and what that shows is
worked out.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import scipy
from numpy.polynomial import Chebyshev

from ..units import read_number, round_bound, show, show_input, to_si
from .checks import CHECKS, LOCAL_RULES, framed_to_go_by, judge_framed
from .design import LIMITS, Design
from .framed_sheet import LETS_GO
from .quantities import LOCAL_QUANTITIES, QUANTITIES
from .sweeps import OUTPUTS, compute
from .verdicts import lower

# ----- A costly, smooth result over one input, from few values of it: Chebyshev's points, doubled until they foretell.
#
# A framed sheet takes some hundredths of a second, so a search over its range must make do with few. In the logarithms
# of input and result these run nearly straight, and a polynomial through Chebyshev's points converges geometrically
# (Trefethen, Approximation Theory and Approximation Practice, 2013, ch. 8; from memory). The error is measured, not
# estimated: each time the points are doubled, the old polynomial has to foretell the new values. What does not converge
# (a result with a jump or a sharp kink) is not `good` to read.


COUNTS = (5, 9, 17, 33)  # points; each holds the ones before
CLOSE_ENOUGH = 0.01  # relative: how well the old points must foretell the new ones; buckling has slight kinks
ALMOST_REAL = 1e-7  # imaginary part of a root of rounding


@dataclass(frozen=True, eq=False)
class SmoothCurve:
    """A result between its points. `points`, rising, and `values` there, both as given; `doubt`: largest relative error
    with which every other point foretold the rest [-], a bound on the error between the points."""

    points: np.ndarray
    values: np.ndarray
    doubt: float
    series: Chebyshev
    logarithmic: bool

    @property
    def good(self) -> bool:
        """Whether the result may be read between the points; if not, they are a mere scan."""
        return self.doubt < CLOSE_ENOUGH

    def __call__(self, points):
        """The result between the points."""
        return np.exp(self.series(_stretch(points, self.logarithmic)))

    def crossings(self, target: float) -> np.ndarray:
        """Every place where the curve meets a positive target."""
        roots = (self.series - np.log(target)).roots()
        return self._inside(roots)

    def turns(self) -> np.ndarray:
        """Every place where the curve turns round."""
        return self._inside(self.series.deriv().roots())

    def decides(self, turn: float, target: float) -> bool:
        """Whether the result may cross the target at this turn, unlike at the points beside it."""
        after = np.clip(np.searchsorted(self.points, turn), 1, len(self.points) - 1)
        beside, here = self.values[after - 1 : after + 1] - target, float(self(turn)) - target
        return abs(here) <= 3.0 * self.doubt * target or bool(np.all(np.sign(beside) != np.sign(here)))

    def _inside(self, roots):
        low, high = self.series.domain
        real = np.real(roots[np.abs(np.imag(roots)) < ALMOST_REAL * (high - low)])
        places = np.sort(real[(real >= low) & (real <= high)])
        return np.exp(places) if self.logarithmic else places


def stretches(points, good) -> list:
    """Runs of points, rising, of which all are good."""
    cuts = np.flatnonzero(np.diff(good.astype(int))) + 1
    runs = zip(np.split(points, cuts), np.split(good, cuts), strict=True)
    return [run for run, fine in runs if fine[0]]


def fit_smooth(result, low: float, high: float) -> SmoothCurve | None:
    """Read a positive result from `low` to `high`; None where it is not known or not positive throughout.

    `result(points)` gives an array of values, nan where not known.
    """
    logarithmic = low > 0.0
    ends = _stretch(np.array([low, high]), logarithmic)

    def logs_at(places):
        points = np.clip(np.exp(places) if logarithmic else places, low, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.log(result(points))

    places = _places(*ends, COUNTS[0])
    logs = logs_at(places)
    for count in COUNTS[1:]:
        if not np.all(np.isfinite(logs)):
            return None
        series = _through(places, logs)
        places = _places(*ends, count)
        fresh = logs_at(places[1::2])
        doubt = float(np.max(np.abs(np.expm1(series(places[1::2]) - fresh))))
        logs = _merged(logs, fresh)
        if doubt < CLOSE_ENOUGH:
            break
    if not np.all(np.isfinite(logs)):
        return None
    points = np.clip(np.exp(places) if logarithmic else places, low, high)
    return SmoothCurve(points, np.exp(logs), doubt, _through(places, logs), logarithmic)


def _merged(old, fresh):
    merged = np.empty(old.size + fresh.size)
    merged[::2], merged[1::2] = old, fresh
    return merged


def _stretch(points, logarithmic):
    return np.log(points) if logarithmic else np.asarray(points, dtype=float)


def _places(low, high, count):
    """Chebyshev's points with both ends, rising."""
    return 0.5 * (low + high) - 0.5 * (high - low) * np.cos(np.pi * np.arange(count) / (count - 1))


def _through(places, logs):
    return Chebyshev.fit(places, logs, len(places) - 1, domain=(places[0], places[-1]))


# ----- Sizing backwards: which value of one input gives an output the value wanted.


SCAN, LOCAL_SCAN = 801, 25
JUMP = 1e-3  # share of a bracket's change that may be left at a root; more means that the output jumps there
_FRAMED = (*(name for name in LOCAL_QUANTITIES if name != LETS_GO), *(rule.reserve for rule in LOCAL_RULES))
SIZED_OUTPUTS = (*(name for name in OUTPUTS if name != "least_reserve"), *_FRAMED)


@dataclass(frozen=True)
class StockSize:
    """A size one can buy next to a solution: its value [SI], what the output is there [SI, nan if not possible]."""

    value: float
    output: float


@dataclass(frozen=True)
class Sizing:
    """Answer of `size`. `solutions`: every value of the input in range that meets the target, rising [SI]; `stock`:
    sizes around them; `span`: the range searched [SI]; `words`: the answer in sentences; `scan`:
    the values tried and what they give [SI, nan where not possible], two arrays; `doubt`: relative error of `scan`
    where it is read between few designs [-], else zero."""

    design: Design
    field: str
    output: str
    target: float
    solutions: tuple
    stock: tuple
    span: tuple
    words: tuple
    scan: tuple = field(default=(), compare=False, repr=False)
    doubt: float = 0.0

    def designs(self) -> tuple:
        """The design at each solution."""
        return tuple(self.design.replace(**{self.field: value}) for value in self.solutions)


def size(
    design: Design, field: str, output: str, target: float, low: float | None = None, high: float | None = None
) -> Sizing:
    """Solve for one input so that one output meets a target.

    Parameters
    ----------
    design : Design
        Gives all other inputs.
    field : str
        A numeric input of `LIMITS`, for example "spacer_diameter".
    output : str
        One of `SIZED_OUTPUTS`: a quantity, or the reserve of a check ("permanent_strain_reserve" meets 1 at its limit).
    target : float
        Wanted value of the output, SI.
    low, high : float, optional
        Range of the input to search [SI]; by default its slider's range, widened to hold the present value.

    Returns
    -------
    Sizing

    Raises
    ------
    ValueError
        Unknown input or output, a target that is not a finite number, or an empty range.

    Notes
    -----
    The scan has 801 points: of two solutions closer together than that both are missed. For outputs of the framed sheet
    all solutions are found of a polynomial through 9 to 33 sheets worked out, checked to 1 % against half of them;
    each is then worked out, and so is every turn of the curve that decides. Missed is what this cannot show: a wiggle
    both narrower than the spacing of those sheets and lower than the error, and what lies within 1/800 of the range
    from where the part can no longer be made. Where the curve cannot be read so, it is a scan of 25 to 33 sheets.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> found = size(demo().design, "spacer_diameter", "outer_thickness", 0.025)
    >>> [show(diameter, "mm") for diameter in found.solutions]
    ['19.27 mm']
    """
    if output not in SIZED_OUTPUTS:
        raise ValueError(f"{output!r} is not an output to size for; outputs are {', '.join(SIZED_OUTPUTS)}")
    low, high = checked_range(design, field, target, low, high)
    search = _search_framed if output in _FRAMED else _search
    points, outcomes, solutions, doubt = search(design, field, output, target, np.linspace(low, high, SCAN))
    stock = stock_around(design, field, solutions, lambda values: outputs_at(design, field, output, values))
    words = sizing_words(
        field, output_label(output), output_unit(output), target, solutions, stock, outcomes, (low, high)
    )
    if doubt:
        exact = "answers are worked out"
        words += (f"The curve is read between few framed sheets, to {at_most(doubt)} at worst; {exact}.",)
    span, scan = (low, high), (points, outcomes)
    return Sizing(design, field, output, float(target), solutions, stock, span, words, scan, doubt)


def _search(design, field, output, target, points):
    """(points, values, solutions, doubt) of a scan of these points."""

    def outputs(values):
        return outputs_at(design, field, output, values)

    outcomes = outputs(points)
    return points, outcomes, solutions_in(outputs, target, points, outcomes), 0.0


def _search_framed(design, field, output, target, points):
    """The same for outputs of the framed sheet: read over each stretch that can be made."""
    parts = [
        _search_stretch(design, field, output, target, stretch)
        for stretch in stretches(points, _can_be_made(design, field, points))
    ]
    if not parts:
        return points, np.full(points.shape, np.nan), (), 0.0
    joined = [np.concatenate([part for own in parts for part in (own[i], [np.nan])][:-1]) for i in (0, 1)]
    return *joined, tuple(s for part in parts for s in part[2]), max(part[3] for part in parts)


def _can_be_made(design, field, points):
    return np.isfinite(compute(design, {field: points}, len(points))["bending_modulus"])


def _search_stretch(design, field, output, target, points):
    def result(values):
        return outputs_at(design, field, output, values)

    curve = fit_smooth(result, points[0], points[-1]) if len(points) > 1 and target > 0 else None
    if curve is None:
        return _search(design, field, output, target, np.linspace(points[0], points[-1], LOCAL_SCAN))
    tried, outcomes = curve.points, curve.values
    if _constant(outcomes):
        return tried, outcomes, (), curve.doubt
    if not curve.good:
        return tried, outcomes, solutions_in(result, target, tried, outcomes), 0.0
    turns = np.array([turn for turn in curve.turns() if curve.decides(turn, target)])
    if turns.size:
        order = np.argsort(np.concatenate([tried, turns]))
        tried, outcomes = (np.concatenate(p)[order] for p in ((tried, turns), (outcomes, result(turns))))
    solutions = solutions_in(result, target, tried, outcomes, curve.crossings(target))
    places = np.union1d(points, tried)
    return places, curve(places), solutions, curve.doubt


def at_most(doubt: float) -> str:
    """A relative error that is not exceeded, in words."""
    return "0.1 %" if doubt < 1e-3 else show(round_bound(doubt, "%", 1, up=True), "%", 1)


def _constant(outcomes):
    """Whether the output does not depend on the input."""
    known = outcomes[~np.isnan(outcomes)]
    return bool(known.size) and float(np.ptp(known)) <= 1e-12 * float(np.max(np.abs(known)))


def solutions_in(outputs, target, points, outcomes, guesses=()) -> tuple:
    """All values that meet the target, rising: met on a point of the scan, or bracketed by two of them. Where the
    output jumps past the target nothing meets it, so a bracket that closes on a jump is no solution; nor is any value
    of an input that the output does not depend on.

    `outputs(values)`: the output for an array of values; `points`, rising, and `outcomes`, the outputs there, nan where
    not possible; `guesses`: about where the solutions are, to find them sooner.
    """
    if _constant(outcomes):
        return ()
    misses = outcomes - target

    def miss(x):
        return float(outputs(np.array([x]))[0]) - target

    met = misses == 0.0
    flat = np.convolve(met, (1, 1, 1), "same") == 3  # inside a stretch that meets it all along: its ends say so
    solutions = [float(x) for x in points[met & ~flat]]
    with np.errstate(invalid="ignore"):
        crossings = np.flatnonzero(misses[:-1] * misses[1:] < 0.0)
    for i in crossings:
        near = [g for g in guesses if points[i] < g < points[i + 1]]
        bracket = _narrowed(miss, points[i : i + 2], misses[i : i + 2], *near[:1])
        root = scipy.optimize.brentq(miss, *bracket, xtol=1e-13, rtol=1e-12)
        if abs(miss(root)) <= JUMP * abs(misses[i + 1] - misses[i]):
            solutions.append(root)
    return tuple(sorted(solutions))


def _narrowed(miss, ends, misses, guess=None):
    """A bracket close around a guess if it proves one, else the ends."""
    if guess is None:
        return ends
    here = miss(guess)
    slope = (misses[1] - misses[0]) / (ends[1] - ends[0])
    other = float(np.clip(guess - 3.0 * here / slope, *ends))
    if here == 0.0 or here * miss(other) < 0.0:
        return (guess, other) if here else (guess, ends[1])
    return ends


def outputs_at(design: Design, field: str, output: str, values) -> np.ndarray:
    """The output [SI] for an array of values of the input [SI]; nan where not possible."""
    values = np.asarray(values, dtype=float)
    if output in _FRAMED:
        return np.array([_local_output(design, field, output, v) for v in values])
    return compute(design, {field: values}, len(values))[output]


def _local_output(design, field, output, value):
    rule = next(r for r in LOCAL_RULES if output == r.reserve or output.startswith(r.quantity))
    try:
        changed = design.replace(**{field: float(value)})
        if output == rule.reserve:
            return framed_to_go_by(changed, (rule,))[0]
        return float(judge_framed(changed, (rule,), output != rule.quantity)[0][output])
    except ValueError:
        return np.nan


def checked_range(design: Design, field: str, target: float, low, high) -> tuple:
    """Range of the input to search [SI]: as given, or its slider's, widened to hold the present value. ValueError as
    of `size`."""
    if field not in LIMITS:
        raise ValueError(f"{field!r} cannot be sized; inputs are {', '.join(LIMITS)}")
    read_number(target, "target", hint="in SI units")
    limit, present = LIMITS[field], getattr(design, field)
    low = min(to_si(limit.slider_low, limit.unit), present) if low is None else limit.read(low)
    high = max(to_si(limit.slider_high, limit.unit), present) if high is None else limit.read(high)
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        raise ValueError(
            f"{limit.label}: the range {show_input(low, limit.unit)} to {show_input(high, limit.unit)} must rise"
        )
    return low, high


def stock_around(design: Design, field: str, solutions, outputs) -> tuple[StockSize, ...]:
    """The stock size just below and just above each solution, with what it gives."""
    stock = np.array(
        sorted(
            {
                "spacer_diameter": design.spacer.diameters,
                "spacer_wall": design.spacer.walls,
                "sheet_thickness": design.sheet.stock_thicknesses,
            }.get(field, ())
        )
    )
    near = {
        float(stock[i])
        for s in solutions
        for i in (np.searchsorted(stock, s) - 1, np.searchsorted(stock, s))
        if 0 <= i < len(stock)
    }
    sizes = np.array(sorted(near))
    outcomes = outputs(sizes) if len(sizes) else ()
    return tuple(StockSize(float(s), float(v)) for s, v in zip(sizes, outcomes, strict=True))


def output_unit(output: str) -> str:
    """Unit an output is shown in; reserves are multiples."""
    return QUANTITIES[output].unit if output in QUANTITIES else "x"


def output_label(output: str) -> str:
    """What an output is called, reserves included."""
    names = {rule.reserve: f"reserve of: {lower(rule.name)}" for rule in CHECKS}
    return QUANTITIES[output].label if output in QUANTITIES else {**names, "least_reserve": "least reserve"}[output]


def sizing_words(field, label, unit, target, solutions, stock, outcomes, span) -> tuple[str, ...]:
    """The answer in sentences: `label`, `unit` of the output; the rest as in `Sizing`, `outcomes` of the scan."""
    limit = LIMITS[field]
    wanted = f"{label[0].upper()}{label[1:]} of {show(target, unit)}"
    if solutions:
        values = " or ".join(show(s, limit.unit) for s in solutions)
        near = [f"Stock size {show_input(s.value, limit.unit)} gives {show(s.output, unit)}." for s in stock]
        return (f"{wanted}: {limit.label} {values}.", *near)
    searched = f"{show_input(span[0], limit.unit)} to {show_input(span[1], limit.unit)}"
    if np.all(np.isnan(outcomes)):
        return (
            f"{wanted}: no {limit.label} from {searched} gives a part that can be made, or the value is unknown there.",
        )
    if _constant(outcomes):
        return (
            f"{wanted}: it does not depend on the {limit.label}, it is {show(np.nanmin(outcomes), unit)} throughout.",
        )
    low, high = show(np.nanmin(outcomes), unit), show(np.nanmax(outcomes), unit)
    return (f"{wanted}: no {limit.label} from {searched} gives it; the value runs from {low} to {high} there.",)
