"""How deep a lift may be, by the heat of the pour (`shop.heat`); when the next may follow is in `interval`.

The depth is searched between two that bracket it, and is only as good as the kinetics behind it, whose label the
result carries.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..units import read_number, round_bound, show
from .conduction import Unconverged
from .heat import CELLS, DEEPER, Pour, default_duration, fewest, pour_heat, quick_peaks, sure_peaks

SCANNED = 11  # depths
ROUNDS, BESIDE = 12, 0.1  # of the search; how far beside all that is known the logarithm of the depth may lie
DEPTH_WITHIN = 2e-3  # of the depth found
ALIKE = 1.5  # times: so far apart cure data and data sheet still tell the same depth; judgement


@dataclass(frozen=True, eq=False)
class Scan:
    """Peaks over rising depths, as far as they are known."""

    pour: Pour
    depths: np.ndarray  # (S,) [m]
    rough: np.ndarray  # (S,) [K], on half the least number of cells
    peaks: np.ndarray  # (S,) [K], each on as many cells as it takes; nan where not looked at
    cells: int  # of the heat of a lift

    @property
    def left(self) -> np.ndarray:
        """Numbers of the depths not looked at."""
        return np.flatnonzero(np.isnan(self.peaks))

    def known(self, which) -> Scan:
        """The same with these depths looked at."""
        peaks, until = self.peaks.copy(), default_duration(self.pour, self.depths.max())
        peaks[which] = sure_peaks(self.pour, self.depths[which], self.rough[which], until, self.cells)
        return replace(self, peaks=peaks)

    def all_peaks(self) -> np.ndarray:
        """Peaks [K]; nan where they cannot be told."""
        try:
            return self.known(self.left).peaks if self.left.size else self.peaks
        except Unconverged:
            return self.peaks


@dataclass(frozen=True, eq=False)
class LiftDepth:
    """The deepest lift whose hottest point stays at or below a limit."""

    depth: float  # m; nan where even the shallowest looked at gets hotter
    peak: float  # at that depth [K]
    peak_deeper: float  # of a lift a tenth deeper [K]
    limit: float  # K
    scan: Scan
    stated_depth: float | None  # the data sheet's own [m]
    note: str  # what the search could not do

    @property
    def label(self) -> str:
        """Of the kinetics."""
        return self.scan.pour.kinetics.label

    @cached_property
    def curve(self) -> tuple:
        """(depths (S,) [m], peaks (S,) [K]) for a picture: rising depths, the one found and one a tenth deeper among
        them; nan for those whose front of cure is too thin to be told. What is deeper than the search went is worked
        out when this is first asked for."""
        depths, peaks = self.scan.depths, self.scan.all_peaks()
        if not np.isnan(self.depth):
            depths = np.append(depths, (self.depth, DEEPER * self.depth))
            peaks = np.append(peaks, (self.peak, self.peak_deeper))
        order = np.argsort(depths)
        return depths[order], peaks[order]

    @property
    def recommended(self) -> float:
        """The lesser of the depth found and the data sheet's [m]; nan where none was found."""
        return self.depth if self.stated_depth is None else float(np.minimum(self.depth, self.stated_depth))

    def depth_text(self) -> str:
        """The depth found, rounded down to two digits; one of two digits as it stands, though `round_bound` first takes
        a billionth off."""
        return show(round_bound(self.depth * (1.0 + 2e-9), "mm", 2, up=False), "mm", 2)

    def rows(self):
        """Lines of text."""
        if np.isnan(self.depth):
            return (f"No lift can be recommended: {self.note}.", f"Cure data: {self.label}.")
        lines = [
            f"Deepest lift that stays at or below {show(self.limit, 'degC', 3)}: {self.depth_text()}"
            + (f" ({self.note})" if self.note else f"; one a tenth deeper reaches {show(self.peak_deeper, 'degC', 3)}")
        ]
        if self.stated_depth is not None:
            lines.append(self._beside_the_data_sheet())
        return (*lines, f"Cure data: {self.label}.")

    def _beside_the_data_sheet(self):
        """Whether cure data and data sheet tell alike how deep a lift may be."""
        times = max(self.depth / self.stated_depth, self.stated_depth / self.depth)
        both = f"The data sheet allows {show(self.stated_depth, 'mm', 3)}, by the cure data it is {self.depth_text()}"
        if times <= ALIKE:
            return f"{both}: alike within {ALIKE:g} times"
        much = f"{times:.2g} times{' or more' * bool(self.note)} {'more' if self.depth > self.stated_depth else 'less'}"
        return f"{both}: {much}, so these cure data are not those of this resin; measure a test pour"


def lift_depth(pour: Pour, limit, shallowest=1e-3, deepest=0.05, stated_depth=None, cells=CELLS) -> LiftDepth:
    """Largest depth [m] whose peak stays at or below `limit` [K], between `shallowest` and `deepest` [m].

    All depths of a geometric scan are looked at on few cells first, then in full up to the first that gets hotter than
    the limit; that and the one before it bracket the root (secants on the logarithm of the depth), so the answer is the
    end of the shallow, safe range even where a much deeper lift were cooler again. ValueError for a limit at or below
    the resin as poured.
    """
    start = pour.shop_temperature + max(pour.start_rise, 0.0)
    read_number(limit, "limit", "K", above=start, hint="warmer than shop and resin as poured")
    for name, value in (("shallowest", shallowest), ("deepest", deepest), ("stated_depth", stated_depth)):
        if name != "stated_depth" or value is not None:
            read_number(value, name, "m", 1e-4, 0.5)
    if not shallowest < deepest:
        raise ValueError(f"depths run from {shallowest} to {deepest} m: give 0.0001 m or more, rising, up to 0.5 m")
    scan = _scanned(pour, limit, np.geomspace(shallowest, deepest, SCANNED), cells)
    depths, peaks, hot = scan.depths, scan.peaks, np.flatnonzero(scan.peaks > limit)
    note, depth, hottest = "", np.nan, np.full(2, np.nan)
    if not hot.size:
        note, depth = f"the deepest looked at; it reaches {show(peaks[-1], 'degC', 3)}", deepest
        hottest = _with_deeper(pour, depth, cells)
    elif hot[0] == 0:
        note = f"even {show(shallowest, 'mm', 3)} reaches {show(peaks[0], 'degC', 3)}"
    else:
        ends = [(np.log(depths[i]), peaks[i] - limit) for i in (hot[0] - 1, hot[0])]
        depth, hottest = _deepest_within(pour, limit, ends, cells)
    return LiftDepth(float(depth), *map(float, hottest), float(limit), scan, stated_depth, note)


def _scanned(pour, limit, depths, cells) -> Scan:
    """Peaks of depths from the first on, to one beyond the limit if there is one."""
    until = default_duration(pour, depths.max())
    rough = quick_peaks(pour, depths, fewest(cells) // 2, until)
    scan = Scan(pour, depths, rough, np.full(len(depths), np.nan), cells)
    while scan.left.size and not np.any(scan.peaks > limit):
        left = scan.left
        seems_hot = rough[left] > limit
        scan = scan.known(left[: int(seems_hot.argmax()) + 1] if seems_hot.any() else left)
    return scan


def _with_deeper(pour, depth, cells):
    """Peaks [K] of a lift and of one a tenth deeper."""
    return pour_heat(pour, depth * np.array([1.0, DEEPER]), None, cells).peak


def _deepest_within(pour, limit, ends, cells):
    """(depth of the deepest lift within the limit, by `DEPTH_WITHIN` on its safe side; its peak and that of one a tenth
    deeper). `ends`: (logarithm of depth, how far beyond the limit [K]) of a lift within it and one beyond.

    On fewer cells first, until that settles; then by the full heat of the lift, so that what is told is what was found.
    """
    near = 0.25 * DEPTH_WITHIN
    at, slope = _crossed_on_fewer(pour, limit, ends, cells, near)
    points = []
    for _ in range(ROUNDS):
        at -= near
        hottest = _with_deeper(pour, np.exp(at), cells)
        points.append((at, hottest[0] - limit))
        further = _crossed(points) - at if points[1:] else (limit - hottest[0]) / slope
        if hottest[0] <= limit and further <= DEPTH_WITHIN:
            return np.exp(at), hottest
        at += further
    raise Unconverged("the deepest lift could not be bracketed; give other depths to search between")


def _crossed_on_fewer(pour, limit, ends, cells, near):
    """(logarithm of the depth that crosses the limit, within `near`; slope there [K]) on half the cells."""
    points, at = list(ends), _crossed(ends)
    for _ in range(ROUNDS):
        points.append((at, quick_peaks(pour, np.exp([at]), cells // 2)[0] - limit))
        last, at = at, _crossed(points)
        if abs(at - last) <= DEPTH_WITHIN:  # of secants a small part of the last stride is left
            break
    (x0, y0), apart = points[-1], [point for point in points if abs(point[0] - points[-1][0]) >= near]
    x1, y1 = min(apart, key=lambda point: abs(point[0] - x0))
    slope = (y1 - y0) / (x1 - x0)
    return at, slope if slope > 0.0 else (ends[1][1] - ends[0][1]) / (ends[1][0] - ends[0][0])


def _crossed(points):
    """Where the limit is crossed, by the secant of the two points nearest to it; in the middle between the last within
    it and the first beyond where that leads out of these, and a little further where there is none on one side."""
    (x0, y0), (x1, y1) = sorted(points, key=lambda point: abs(point[1]))[:2]
    low = max((x for x, y in points if y <= 0.0), default=min(points)[0] - BESIDE)
    high = min((x for x, y in points if y > 0.0), default=max(points)[0] + BESIDE)
    at = x0 - y0 * (x1 - x0) / (y1 - y0) if y1 != y0 else np.nan
    return at if low <= at <= high else 0.5 * (low + high)
