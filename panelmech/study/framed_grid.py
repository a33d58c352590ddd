"""The framed sheet's checks over two inputs: few designs worked out one by one, the rest read between them.

Every framed sheet is a plate problem of its own, so a map's thousands are out of reach. But its reserves run smoothly,
close to powers of the inputs: a cubic through their logarithms on a coarse grid, evenly apart in the logarithm of the
inputs, reads what lies between. How well depends on the map; `Framed.doubt` bounds it. Where some of the coarse grid
cannot be made the reading is linear, and unknown next to what cannot be made.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy

from .checks import LOCAL_RULES, judge_framed
from .design import Design
from .sweeps import Sweep

COUNT = 9  # designs each way
FRAMED_RESERVES = tuple(rule.reserve for rule in LOCAL_RULES)


@dataclass(frozen=True, eq=False)
class Framed:
    """Reserves of the framed sheet's checks on a coarse grid. `axes`: input -> values [SI], in the order of the array
    axes; `reserves`: name -> array, nan where not possible or not known."""

    design: Design
    axes: dict
    reserves: dict

    @property
    def doubt(self) -> float:
        """Relative error to expect at most [-]: what every other design alone says of those left out."""
        grid = [_stretched(g, g) for g in self.axes.values()]
        worst = 0.0
        for values in self.reserves.values():
            logs = np.log(values)
            read = _between([g[::2] for g in grid], logs[::2, ::2], grid)
            worst = max(worst, float(np.nanmax(np.abs(np.expm1(read - logs)), initial=0.0)))
        return worst

    def onto(self, swept: Sweep) -> Sweep:
        """The sweep with these reserves added to its values; nan where it is not feasible. ValueError for a sweep of
        other inputs, or one that reaches beyond the coarse grid."""
        if tuple(swept.axes) != tuple(self.axes) or any(
            min(v) < g[0] - 1e-9 * np.ptp(g) or max(v) > g[-1] + 1e-9 * np.ptp(g)
            for v, g in zip(swept.axes.values(), self.axes.values(), strict=True)
        ):
            raise ValueError("the framed sheet was worked out for another map: work it out again")
        points = [_stretched(v, g) for v, g in zip(swept.axes.values(), self.axes.values(), strict=True)]
        grid = [_stretched(g, g) for g in self.axes.values()]
        added = {
            name: np.where(swept.feasible, np.exp(_between(grid, np.log(values), points)), np.nan)
            for name, values in self.reserves.items()
        }
        return replace(swept, values={**swept.values, **added})


def sweep_framed(design: Design, count: int = COUNT, progress=None, **ends) -> Framed | None:
    """Work out the framed sheet on a grid of `count` x `count` designs between the ends (low, high) [SI] of two inputs.

    `count` is odd, so that every other design makes a grid too. Takes some 30 ms a design. `progress(done, total)` is
    called after each design; a true answer stops the work, and None comes back. Raises ValueError unless two inputs are
    given.
    """
    steps = framed_steps(design, count, **ends)
    while True:
        try:
            done, total = next(steps)
        except StopIteration as end:
            return end.value
        if progress is not None and progress(done, total) and done < total:
            return None


def framed_steps(design: Design, count: int = COUNT, **ends):
    """The same as a generator: gives (done, total) after each design, returns the `Framed` at the end. For whoever has
    to do something else in between, as a panel has."""
    if count < 3 or count % 2 == 0:
        raise ValueError(f"{count} designs each way: give an odd number of 3 or more")
    if len(ends) != 2:
        raise ValueError(f"the framed sheet is mapped over two inputs, not over {', '.join(ends) or 'none'}")
    axes = {name: _nodes(low, high, count) for name, (low, high) in ends.items()}
    (x_name, x), (y_name, y) = axes.items()
    reserves = np.full((count, count, len(FRAMED_RESERVES)), np.nan)
    for done, (i, j) in enumerate(np.ndindex(count, count), 1):
        reserves[i, j] = _reserves(design, {x_name: float(x[i]), y_name: float(y[j])})
        yield done, count * count
    return Framed(design, axes, {name: reserves[..., i] for i, name in enumerate(FRAMED_RESERVES)})


def _nodes(low, high, count):
    return np.geomspace(low, high, count) if low > 0 else np.linspace(low, high, count)


def _stretched(values, grid):
    return np.log(np.clip(values, grid[0], grid[-1])) if grid[0] > 0 else np.asarray(values)


def _reserves(design, changes):
    try:
        _, judged = judge_framed(design.replace(**changes))
    except ValueError:
        return [np.nan] * len(LOCAL_RULES)
    return [float(rated.reserve) for rated in judged.values()]


def _between(grid, values, points):
    if np.all(np.isfinite(values)):
        return scipy.interpolate.RectBivariateSpline(*grid, values, kx=_degree(grid[0]), ky=_degree(grid[1]))(*points)
    places = np.stack(np.meshgrid(*points, indexing="ij"), axis=-1)
    values = np.where(np.isfinite(values), values, np.nan)
    return scipy.interpolate.RegularGridInterpolator(tuple(grid), values, bounds_error=False)(places)


def _degree(nodes):
    return min(3, len(nodes) - 1)
