"""When the next lift may follow: past the heat of the one below, and while that is still tacky (`shop.heat`).

As good as the kinetics behind it, whose label each result carries.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import read_number, show
from .cure import GEL_CURE
from .heat import COOLED_WITHIN, PourHeat


@dataclass(frozen=True, eq=False)
class LiftInterval:
    """When the next lift may follow, for each depth (M,)."""

    depth: np.ndarray  # (M,) [m]
    past_heat: np.ndarray  # (M,) [s after pouring]; nan where not reached in the time followed
    gelled: np.ndarray  # (M,) [s after pouring], likewise
    earliest: np.ndarray  # (M,) [s after pouring]: the later of both
    latest: np.ndarray  # (M,) [s after pouring]: the top loses its tack; infinite where it has not in the time followed
    followed: float  # s
    label: str  # of the kinetics

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
    read_number(tack_until, "tack_until", "s", above=0.0)
    read_number(cooled_within, "cooled_within", "K", above=0.0)
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
    cooled = np.where(warm[-1], np.nan, _crossing(heat.time, above, last, cooled_within))
    return np.where(warm.any(axis=0), cooled, heat.peak_time)


def _first(time, values, level):
    """First time at which each column of values (T, M) reaches a level, linear between steps; nan if never."""
    reached = values >= level
    before = np.maximum(reached.argmax(axis=0), 1) - 1
    return np.where(reached.any(axis=0), _crossing(time, values, before, level), np.nan)


def _crossing(time, values, before, level):
    """Time at which each column of values (T, M) crosses a level between the step `before` and the next, linear."""
    after, columns = np.minimum(before + 1, len(time) - 1), np.arange(values.shape[1])
    start, change = values[before, columns], values[after, columns] - values[before, columns]
    share = (level - start) / np.where(change != 0.0, change, 1.0)
    return time[before] + np.clip(share, 0.0, 1.0) * (time[after] - time[before])
