"""How deep a lift may be, and when the next one may follow, from the heat of the pour.

The depth is searched between two that bracket it; the interval runs from the end of the heat to the end of tack. Both
are only as good as the kinetics behind them, whose label each result carries.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.optimize import brentq

from ..units import round_bound, show
from .cure import GEL_CURE
from .heat import CELLS, Pour, PourHeat, Unconverged, peak_temperature, pour_heat

SCANNED = 11  # depths
DEPTH_WITHIN = 2e-3  # of the depth found
DEEPER = 1.1  # how much deeper a careless pour is
COOLED_WITHIN = 5.0  # K above the shop: past its heat; judgement


@dataclass(frozen=True, eq=False)
class LiftDepth:
    """The deepest lift whose hottest point stays at or below a limit.

    depth [m]: nan where even the shallowest scanned gets hotter. peak [K] at that depth; peak_deeper [K]: of a lift a
    tenth deeper. limit [K]. depths, peaks (S,): all looked at. sheet_depth [m]: the data sheet's own, or None. note:
    what the search could not do. label: of the kinetics.
    """

    depth: float
    peak: float
    peak_deeper: float
    limit: float
    depths: np.ndarray
    peaks: np.ndarray
    sheet_depth: float | None
    note: str
    label: str

    @property
    def recommended(self) -> float:
        """The lesser of the depth found and the data sheet's [m]; nan where none was found."""
        return self.depth if self.sheet_depth is None else float(np.minimum(self.depth, self.sheet_depth))

    def depth_text(self) -> str:
        """The depth found, rounded down to two digits."""
        return show(round_bound(self.depth, "mm", 2, up=False), "mm", 2)

    def rows(self):
        """Lines of text."""
        if np.isnan(self.depth):
            return (f"No lift can be recommended: {self.note}.", f"Cure data: {self.label}.")
        lines = [
            f"Deepest lift that stays at or below {show(self.limit, 'degC', 3)}: {self.depth_text()}"
            + (f" ({self.note})" if self.note else f"; one a tenth deeper reaches {show(self.peak_deeper, 'degC', 3)}")
        ]
        if self.sheet_depth is not None:
            says = "less: keep to the data sheet" if self.sheet_depth < self.depth else "more: keep to the heat"
            lines.append(f"The data sheet allows {show(self.sheet_depth, 'mm', 3)}, {says}")
        return (*lines, f"Cure data: {self.label}.")


def lift_depth(pour: Pour, limit, shallowest=1e-3, deepest=0.05, sheet_depth=None, cells=CELLS) -> LiftDepth:
    """Largest depth [m] whose peak stays at or below `limit` [K], between `shallowest` and `deepest` [m].

    All depths of a geometric scan are marched at once; the first that gets hotter than the limit and the one before it
    bracket the root (Brent's method on the logarithm of the depth), so the answer is the end of the shallow, safe range
    even where a much deeper lift were cooler again. ValueError for a limit at or below the resin as poured.
    """
    start = pour.shop_temperature + max(pour.start_rise, 0.0)
    if not (np.isfinite(limit) and limit > start):
        raise ValueError(
            f"limit is {limit} K: give a temperature above {start:.2f} K, that of shop and resin as poured"
        )
    if not 1e-4 <= shallowest < deepest <= 0.5:
        raise ValueError(f"depths run from {shallowest} to {deepest} m: give 0.0001 m or more, rising, up to 0.5 m")
    depths = np.geomspace(shallowest, deepest, SCANNED)
    peaks = pour_heat(pour, depths, None, cells).peak

    @cache
    def over(log_depth):
        return peak_temperature(pour, np.exp(log_depth), cells) - limit

    hot = np.flatnonzero(peaks > limit)
    note, depth = "", np.nan
    if not hot.size:
        note, depth = f"the deepest looked at; it reaches {show(peaks[-1], 'degC', 3)}", deepest
    elif hot[0] == 0:
        note = f"even {show(shallowest, 'mm', 3)} reaches {show(peaks[0], 'degC', 3)}"
    else:
        depth = _root(over, *np.log(depths[hot[0] - 1 : hot[0] + 1]))
    found, own = np.array([depth, DEEPER * depth]), np.full(2, np.nan)
    if not np.isnan(depth):
        own = pour_heat(pour, found, None, cells).peak
        depths, peaks = np.append(depths, found), np.append(peaks, own)
    order = np.argsort(depths)
    return LiftDepth(
        float(depth),
        float(own[0]),
        float(own[1]),
        float(limit),
        depths[order],
        peaks[order],
        sheet_depth,
        note,
        pour.kinetics.label,
    )


def _root(over, low, high):
    """Depth between the logarithms of two that bracket the limit, on its safe side within `DEPTH_WITHIN`."""
    if over(low) > 0.0 or over(high) <= 0.0:  # finer cells moved a depth of the scan across the limit
        low, high = low - 0.1, high + 0.1
        if over(low) > 0.0 or over(high) <= 0.0:
            raise Unconverged("the deepest lift could not be bracketed; give other depths to search between")
    found = brentq(over, low, high, xtol=0.25 * DEPTH_WITHIN)
    return np.exp(found) if over(found) <= 0.0 else np.exp(found - 0.5 * DEPTH_WITHIN)


@dataclass(frozen=True, eq=False)
class LiftInterval:
    """When the next lift may follow, for each depth (M,) [s after pouring].

    past_heat, gelled, earliest: the later of both; nan where it is not reached in the time followed. latest: the top
    loses its tack; infinite where it is still tacky at the end of the time `followed`. label: of the kinetics.
    """

    depth: np.ndarray
    past_heat: np.ndarray
    gelled: np.ndarray
    earliest: np.ndarray
    latest: np.ndarray
    followed: float
    label: str

    @property
    def possible(self) -> np.ndarray:
        """Whether there is a window for a primary bond."""
        return self.latest > self.earliest

    def window(self, number=0) -> tuple:
        """(earliest, latest) [s] of one depth, for a `Plan`; what is not lost in the time followed ends with it.

        The latest comes before the earliest where there is no window. ValueError where the heat did not end.
        """
        early, late = float(self.earliest[number]), float(min(self.latest[number], self.followed))
        if not np.isfinite(early):
            lift = show(self.depth[number], "mm", 3)
            raise ValueError(f"the lift of {lift} is not past its heat in the time followed; follow it for longer")
        return early, late

    def rows(self):
        """One line of text for each depth, then the label."""
        return (*(self._row(number) for number in range(len(self.depth))), f"Cure data: {self.label}.")

    def _row(self, number):
        lift = f"Lift of {show(self.depth[number], 'mm', 3)}"
        early, late = self.earliest[number], self.latest[number]
        if not self.possible[number]:
            past = f"after {show(early, 'h', 3)}" if np.isfinite(early) else "not in the time followed"
            lost = f"after {show(late, 'h', 3)}" if np.isfinite(late) else "not in the time followed"
            return (
                f"{lift}: no window: past its heat {past}, tack lost {lost}; let it cure, wash, abrade and pour on a "
                "secondary bond, or pour thinner"
            )
        until = show(late, "h", 3) if np.isfinite(late) else f"{show(self.followed, 'h', 3)} at least"
        return f"{lift}: next lift from {show(early, 'h', 3)} to {until} after pouring, past its heat and still tacky"


def lift_interval(heat: PourHeat, tack_until, cooled_within=COOLED_WITHIN) -> LiftInterval:
    """When the next lift may follow.

    tack_until [s]: how long a thin film stays tacky at the shop's temperature (data sheet, shifted to it: `times_at`).
    The top of a warm lift loses its tack sooner: when it has the cure which that film then has. Past its heat: the
    hottest point has come back to `cooled_within` [K] of the shop. ValueError for times and margins that are not
    positive.
    """
    for name, value in (("tack_until", tack_until), ("cooled_within", cooled_within)):
        if not (np.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} is {value}: give a positive number")
    pour = heat.pour
    tack_free = pour.kinetics.cure_after(tack_until, pour.shop_temperature)
    past = _past_heat(heat, cooled_within)
    gelled, lost = (_first(heat.time, heat.top_cure, cure) for cure in (GEL_CURE, tack_free))
    latest = np.where(np.isnan(lost), np.inf, lost)
    return LiftInterval(
        heat.depth, past, gelled, np.maximum(past, gelled), latest, float(heat.time[-1]), pour.kinetics.label
    )


def _past_heat(heat, cooled_within):
    """Time after which the greatest temperature is past its peak and stays within so many K of the shop; nan: never."""
    above = heat.greatest - heat.pour.shop_temperature
    warm = above > cooled_within
    last = len(heat.time) - 1 - np.argmax(warm[::-1], axis=0)
    columns, after = np.arange(above.shape[1]), np.minimum(last + 1, len(heat.time) - 1)
    high, low = above[last, columns], above[after, columns]
    share = (high - cooled_within) / np.where(high > low, high - low, 1.0)
    cooled = np.where(
        warm[-1], np.nan, heat.time[last] + np.clip(share, 0.0, 1.0) * (heat.time[after] - heat.time[last])
    )
    return np.where(warm.any(axis=0), cooled, heat.peak_time)


def _first(time, values, level):
    """First time at which each column of values (T, M) reaches a level, linear between steps; nan if never."""
    reached = values >= level
    at = np.maximum(reached.argmax(axis=0), 1)
    columns = np.arange(values.shape[1])
    low, high = values[at - 1, columns], values[at, columns]
    share = np.where(high > low, (level - low) / np.where(high > low, high - low, 1.0), 1.0)
    found = time[at - 1] + np.clip(share, 0.0, 1.0) * (time[at] - time[at - 1])
    return np.where(reached.any(axis=0), found, np.nan)
