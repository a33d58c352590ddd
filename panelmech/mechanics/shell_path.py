"""The path of a sheet under a growing load at large deflection: by arc length, past limit points, each point judged.

The unknowns are the amplitudes of w and the share of the load. A step goes on along the path by a given mean deflection
(root of the mean square over the sheet, in thicknesses): a predictor of second order, then Newton's method on the plane
square to it (Riks E., Int. J. Solids Structures 15, 1979, 529-551; Keller H.B., in Applications of Bifurcation Theory,
1977). Neither the load nor the deflection of one place steers: both turn back on the way. A point is stable where the
second slope of the energy is positive definite, for deflections of either parity along the span.

Two things end stability, and both are brought to a tolerance: a limit point, where the load turns back, and a
branching, where another shape joins the path and the sheet leaves it (Koiter W.T., On the stability of elastic
equilibrium, 1945).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import scipy

from .shell_large import LargeModel, State

NEARLY = 1e-3  # likewise, of the nearest point that is solved beside a branching
TOLERANCE = 1e-9  # of the last correction, in thicknesses of mean deflection
ROUGH = 1e-6  # likewise; a state that its own slopes correct by more is left as it was found
PLACED = {
    "limit": 1e-3,
    "branching": 1e-5,
}  # share of a step to which the place of a turn is found: the load at a limit
# does not change there to first order, so either is sure to about 1e-6 of what the load changes in a step
SMALLEST_STEP = 1e-4  # in thicknesses: below, the path is given up
MOST_POINTS = 400
MOST_CORRECTIONS, LARGEST_CORRECTION = 14, 10.0  # the latter in thicknesses
EASY, HARD = 6, 9  # corrections: up to EASY the next step is longer, above HARD shorter
GOOD_RATIO = 0.15  # of two corrections: above, the slopes are worked out anew
MOST_LEFT = 0.5  # of a correction, as a share of the last one: with more, beside a branching, it is not lengthened
CLOSE, FLAT = 0.05, 0.3  # two limits nearer (thicknesses) may be passed; a slope of the load that falls by this share
NEAREST, STRAIGHTEST = 0.2, 0.85  # a step counts where it is corrected by less, as a share, and turns by less (cosine)


class NoPathError(ValueError):
    """The path cannot be followed to the whole load: `path` that was, `share` of the load that was reached at most, and
    `why` in words."""

    def __init__(self, points, turns, why):
        """From the points that were reached, and the turns on the way."""
        self.path = Path(tuple(points), tuple(turns))
        self.share, self.why = max(point.share for point in points), why
        super().__init__(f"{why}; {self.share:.3g} of the load were reached")


class _LostError(Exception):
    """A state between two points of the path was not found."""


@dataclass(frozen=True, eq=False)
class Loading:
    """What is loaded and how it is judged.

    model : `LargeModel` of the deflections that the load excites. other : that of the opposite parity along the span,
    None where there is none. load : work of the whole load on each function, over D11, (n,).
    """

    model: LargeModel
    other: LargeModel | None
    load: np.ndarray

    def size(self, move):
        """Mean deflection of amplitudes, in thicknesses."""
        return float(np.sqrt(max(move @ self.model.metric @ move, 0.0)))


@dataclass(frozen=True, eq=False)
class PathPoint:
    """A state of equilibrium on the path.

    state : `State`. share : of the load. slopes : second slope of the energy, (n, n). along, along_share : direction of
    the path, by mean deflection in thicknesses. loading : `Loading`.
    """

    loading: Loading
    state: State
    share: float
    slopes: np.ndarray
    along: np.ndarray
    along_share: float

    @cached_property
    def own_negative(self):
        """Number of shapes of the load's own parity by which the energy falls."""
        return _negative(self.slopes)

    @cached_property
    def other_negative(self):
        """Number of shapes of the other parity by which the energy falls."""
        other = self.loading.other
        if other is None or _definite(other.least(self.state)):
            return 0
        return _negative(other.tangent(self.state))

    @property
    def stable(self):
        """True where the energy rises by every shape."""
        return not self.own_negative and not self.other_negative

    @cached_property
    def bend(self):
        """Change of the direction of the path per mean deflection in thicknesses, square to it: (amplitudes, share).

        The gradient is of third order in the amplitudes, so its second differences are its second slopes without error.
        """
        loading, at, along = self.loading, self.state, self.along
        around = [loading.model.state(at.amplitudes + way * along).gradient for way in (1.0, -1.0)]
        matrix = _bordered(self.slopes, loading.load, loading.model.metric @ along, 0.0)
        move = np.linalg.solve(matrix, np.append(2.0 * at.gradient - around[0] - around[1], 0.0))
        return move[:-1], float(move[-1])

    def lowest(self, other):
        """Lowest slope of the energy over mean square of w, of the load's own parity or of the other."""
        model = self.loading.other if other else self.loading.model
        slopes = model.tangent(self.state) if other else self.slopes
        return float(scipy.linalg.eigh(slopes, model.metric, eigvals_only=True, subset_by_index=[0, 0])[0])


def _definite(slopes):
    return not scipy.linalg.lapack.dpotrf(slopes, lower=1)[1]


def _negative(slopes):
    """Number of negative eigenvalues; the factor tells most matrices apart in a tenth of the time."""
    if _definite(slopes):
        return 0
    return int(np.sum(np.linalg.eigvalsh(slopes) < 0.0))


# ----- One step.


def start(loading):
    """The unloaded `PathPoint`. ValueError where the sheet does not stay at rest by itself."""
    rest = loading.model.state(np.zeros(len(loading.load)))
    slopes = loading.model.tangent(rest)
    factor, failed = scipy.linalg.lapack.dpotrf(slopes, lower=1)
    if failed:
        raise ValueError(
            "the framed sheet buckles under the force that forming leaves, before any load: check that force, which is "
            "negative for compression, or take a thicker or shorter sheet"
        )
    move = scipy.linalg.lapack.dpotrs(factor, loading.load, lower=1)[0]
    size = loading.size(move)
    if not size:  # no load
        return PathPoint(loading, rest, 1.0, slopes, move, 0.0)
    return PathPoint(loading, rest, 0.0, slopes, move / size, 1.0 / size)


def stepped(point, step):
    """(`PathPoint` a step further, corrections it took), or (None, 0) where there is none near enough.

    step : mean deflection in thicknesses.
    """
    loading, (ahead, share) = point.loading, _ahead(point, step)
    row = loading.model.metric @ point.along
    state, share, count = _corrected(loading, ahead, share, row, 0.0)
    if state is None or loading.size(state.amplitudes - ahead) > NEAREST * step:
        return None, 0
    new = _point(loading, state, share, row)
    return (new, count) if new.along @ row > STRAIGHTEST else (None, 0)


def _ahead(point, step):
    """(amplitudes, share) a step further along the path, as far as its direction and its bend tell."""
    bend, of_share = point.bend
    ahead = point.state.amplitudes + step * point.along + 0.5 * step**2 * bend
    return ahead, point.share + step * point.along_share + 0.5 * step**2 * of_share


def _point(loading, state, share, row, given=False):
    """`PathPoint` at a state of equilibrium; `row` tells which way is forward. given : the share stays as it is, else
    the state is corrected once more where its own slopes ask for it: beside a branching kept slopes hardly tell."""
    slopes, miss = loading.model.tangent(state), state.gradient - share * loading.load
    right = np.zeros((len(row) + 1, 2))
    right[-1, 0], right[:-1, 1] = 1.0, -miss
    move, more = np.linalg.solve(_bordered(slopes, loading.load, row, 0.0), right).T
    if not given and TOLERANCE < loading.size(more[:-1]) < ROUGH:
        state, share = loading.model.state(state.amplitudes + more[:-1]), float(share + more[-1])
    size = loading.size(move[:-1])
    return PathPoint(loading, state, share, slopes, move[:-1] / size, float(move[-1] / size))


def _bordered(slopes, load, row, of_share):
    n = len(load)
    matrix = np.empty((n + 1, n + 1))
    matrix[:n, :n], matrix[:n, n], matrix[n, :n], matrix[n, n] = slopes, -load, row, of_share
    return matrix


def _corrected(loading, amplitudes, share, row, of_share):
    """(State, share, corrections) of equilibrium on the plane row.move + of_share (share's move) = 0; None for the
    state where it does not converge. The slopes are kept as long as corrections shrink well."""
    state, factor, moves, last = loading.model.state(amplitudes), None, [], LARGEST_CORRECTION
    for count in range(1, MOST_CORRECTIONS + 1):
        if factor is None:
            matrix = _bordered(loading.model.tangent(state), loading.load, row, of_share)
            factor, moves = scipy.linalg.lapack.dgetrf(matrix)[:2], []
        miss = np.append(state.gradient - share * loading.load, 0.0)
        move = _updated(scipy.linalg.lapack.dgetrs(*factor, -miss)[0], moves, loading.model.metric)
        size = loading.size(move[:-1])
        if not size < 10.0 * last:  # nan, too
            break
        state, share = loading.model.state(state.amplitudes + move[:-1]), float(share + move[-1])
        if size < TOLERANCE * max(1.0, loading.size(state.amplitudes)):
            return state, share, count
        factor, last = (factor if size < GOOD_RATIO * last else None), size
    return None, share, 0


def _updated(move, moves, metric):
    """A correction by slopes that are kept, improved by what the corrections since taught of them (Broyden's method:
    Kelley C.T., Iterative Methods for Linear and Nonlinear Equations, 1995, section 7.3); it is added to `moves`, with
    what weighs the next ones."""
    for (_, weights), (new, _) in pairwise(moves):
        move = move + new * (weights @ move[:-1])
    if moves and (left := float(moves[-1][1] @ move[:-1])) < MOST_LEFT:
        move = move / (1.0 - left)
    weights = metric @ move[:-1]
    size = weights @ move[:-1]
    moves.append((move, weights / size if size else weights))
    return move


def at_share(loading, amplitudes, share):
    """`State` under this share of the load, from amplitudes near by; None where it does not converge."""
    return _corrected(loading, amplitudes, share, np.zeros(len(amplitudes)), 1.0)[0]


# ----- The whole path.


@dataclass(frozen=True, eq=False)
class Turn:
    """Where stability ends: `kind` is 'limit' or 'branching', `point` the `PathPoint` there, between the points
    `after` and `after` + 1 of the path."""

    kind: str
    point: PathPoint
    after: int


@dataclass(frozen=True, eq=False)
class Path:
    """Points from rest to the whole load; turns: limits and ends of stability on the way, in their order."""

    points: tuple
    turns: tuple


def follow(loading, first_step, most_step, most, to_limit=False, to_turn=False):
    """`Path` from rest to the first state under the whole load, past every limit on the way.

    first_step, most_step, most : mean deflection in thicknesses, of the steps and of all. to_limit, to_turn : end
    just behind the first limit, the first turn of either kind, if there is one.
    Raises `NoPathError` where the path cannot be followed, takes more than `MOST_POINTS` or goes beyond `most`.
    """
    points, turns, step = [start(loading)], [], min(first_step, most_step)
    while points[-1].share < 1.0:
        last = points[-1]
        new, count = _next(last, step)
        met = None if new is None or _hides(last, new) else _turns(last, new, len(points) - 1)
        if met is None or any(turn.point.share > 1.0 for turn in met):  # the latter: the whole load was passed before
            step *= 0.5
            if step < SMALLEST_STEP:
                raise NoPathError(points, turns, "Newton's method does not converge")
            continue
        turns += met
        points.append(new)
        if (to_turn and met) or (to_limit and any(turn.kind == "limit" for turn in met)):
            break
        if len(points) > MOST_POINTS:
            raise NoPathError(points, turns, f"the path takes more than {MOST_POINTS} steps")
        if loading.size(new.state.amplitudes) > most:
            raise NoPathError(points, turns, "the deflection grows too large for a shallow sheet")
        step = min(step * (1.6 if count <= EASY else 0.7 if count > HARD else 1.0), most_step)
    return Path(tuple(points), tuple(turns))


def _next(last, step):
    """(`PathPoint`, corrections) a step further, at the whole load where the step would pass it; (None, 0) for none."""
    left = _left(last, step)
    if left is not None:
        at_end = _at_whole(last, _ahead(last, left)[0], left)
        if at_end is not None:
            return at_end, EASY
        step = left
    new, count = stepped(last, step)
    if new is None or new.share < 1.0:
        return new, count
    part = (1.0 - last.share) / (new.share - last.share)
    near = last.state.amplitudes + part * (new.state.amplitudes - last.state.amplitudes)
    return _at_whole(last, near, step), count


def _left(last, step):
    """The step at which the prediction comes to the whole load; None where it is longer than this one."""
    to_go, first, second = 1.0 - last.share, last.along_share, 0.5 * last.bend[1]
    root = first**2 + 4.0 * second * to_go
    if root < 0.0 or first + np.sqrt(root) <= 0.0:
        return None
    left = 2.0 * to_go / (first + np.sqrt(root))
    return left if left <= step else None


def _at_whole(last, near, step):
    """`PathPoint` under the whole load near these amplitudes; None where there is none near enough for this step."""
    loading, row = last.loading, last.loading.model.metric @ last.along
    state = at_share(loading, near, 1.0)
    if state is None or loading.size(state.amplitudes - near) > NEAREST * step:
        return None
    return _point(loading, state, 1.0, row, given=True)


def _between(last, new):
    """Step on the plane from one point to the other."""
    return float((new.state.amplitudes - last.state.amplitudes) @ last.loading.model.metric @ last.along)


def _hides(last, new):
    """True where more may have happened between two points than they show, and the step is long enough to be halved.

    Either the load may have turned back and forth again, as far as the cubic through both tells. Or one more shape
    lowers the energy, or one less, without a turn of the load: a branching, or another strand of the path that comes
    near.
    """
    step, ends = _between(last, new), (last.along_share, new.along_share)
    if step < CLOSE:
        return False
    turned = ends[0] * ends[1] < 0.0
    if (last.own_negative + new.own_negative + turned) % 2:
        return True
    low, high = np.sign(ends[0]) * np.array(ends)
    mean = np.sign(ends[0]) * (new.share - last.share) / step
    curved = 3.0 * (low + high - 2.0 * mean)  # the cubic's slope is low + (high - low - curved) s + curved s^2
    lowest = low - (high - low - curved) ** 2 / (4.0 * curved) if curved > abs(high - low) else low
    return not turned and lowest < FLAT * min(low, high)


def _turns(last, new, after):
    """The `Turn`s between two points, in the order of the path; None where one of them cannot be placed."""
    limit, wanted = last.along_share * new.along_share < 0.0, []
    if limit:
        wanted.append(("limit", lambda point: point.along_share))
    if not new.stable and last.stable:
        for other, negative in ((False, new.own_negative - limit), (True, new.other_negative)):
            if negative > 0:
                wanted.append(("branching", lambda point, o=other: point.lowest(o)))
    found = [(*_place(last, new, measure, kind), kind) for kind, measure in wanted]
    if any(point is None for _, point, _ in found):
        return None
    return [Turn(kind, point, after) for _, point, kind in sorted(found, key=lambda one: one[0])]


def _place(last, new, measure, kind):
    """(step, `PathPoint`) between two points where a measure of points is zero; (0, None) where the path between them
    cannot be followed."""
    step, near = _between(last, new), PLACED[kind]
    seen = {0.0: last, step: new}

    def at(part):
        if part not in seen:
            seen[part] = stepped(last, part)[0]
        if seen[part] is None:
            raise _LostError
        return measure(seen[part])

    first, end = at(0.0), at(step)
    if first * end > 0.0:
        return 0.0, None

    def near_zero(part):
        """As `at`; zero where it is near enough: nearer to a branching the slopes are too singular to be solved."""
        found = at(part)
        return 0.0 if kind == "branching" and abs(found) < near * abs(end - first) else found

    try:
        place = scipy.optimize.brentq(near_zero, 0.0, step, xtol=near * step)
        at(place)
    except _LostError:  # too near to a branching for it to be solved
        return (0.0, None) if kind == "limit" else _beside(seen, at, NEARLY * abs(end - first))
    return place, seen[place]


def _beside(seen, measure, nearly):
    """(step, `PathPoint`) where a measure is zero, on the line through the two nearest of the points that were solved,
    {step: point or None}; (0, None) where the nearest is not as near as `nearly`."""
    there = sorted((part for part, point in seen.items() if point), key=lambda part: abs(measure(part)))[:2]
    (one, two), (last, new) = there, (seen[part] for part in there)
    if abs(measure(one)) > nearly:
        return 0.0, None
    part = measure(one) / (measure(one) - measure(two))
    loading, at = last.loading, last.state.amplitudes
    state = loading.model.state(at + part * (new.state.amplitudes - at))
    share = last.share + part * (new.share - last.share)
    point = PathPoint(loading, state, share, loading.model.tangent(state), last.along, last.along_share)
    return one + part * (two - one), point
