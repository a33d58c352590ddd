"""Heat of a pour: how hot a lift of resin gets, when and where; how deep it may be is searched in `deepest`.

The lift lies on a dam or an older lift and under the shop's air; heat moves along its depth and, as a loss spread over
it, sideways through the two sheets. The sheets' own heat is left out, which errs on the hot side; so does everything
`shop.cure` leaves out but the depth of cure. With the gap as the depth, and the sheets as layers of both faces, the
same functions give the heat across a deep, narrow pour. Every result carries the label of its kinetics.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..mechanics.numerics import read_row, read_together
from ..units import read_array, read_count, read_number, show
from .conduction import INSULATED, Face, Layer, March, Unconverged, build_grid, march
from .cure import CELSIUS, ILLUSTRATIVE, Kinetics

CELLS = 161  # of a lift: a front of cure is some millimetres wide, see the tests for what this resolves
STILL_AIR = 10.0  # W/(m2 K), free convection and radiation at room temperature; from memory
HEAT_ERROR = 1e-4  # of the heat made
GRID_ERROR = 0.005  # of the rise; beyond it the cells are too wide for the front of cure
FRONT_SHARE = 0.75  # widest cell over the thickness of a front of cure; wider ones agree with each other and are wrong
REFINED = 2  # times the cells are halved to get there, at most
NEGLIGIBLE_RISE = 0.05  # K
EVEN_WITHIN = 1e-5  # of the rise: places that hot are as hot as each other
PLATEAU = 0.999
FEWEST = 4  # times fewer cells than to tell a heat, to begin with where peaks alone are asked for
SCAN_TOLERANCE = 1e-5  # of each step there and of a margin: of the rise, 3e-5 at most was measured for it
DEEPER = 1.1  # how much deeper a careless pour is
WARMER = 3.0  # K: how much warmer than told a shop may be; judgement
RUNS_AWAY = 1.5  # rise of such a pour over that of the one planned, from which it runs away; judgement
COOLED_WITHIN = 5.0  # K above the shop: past its heat; judgement


@dataclass(frozen=True)
class Pour:
    """What a lift is poured between. ValueError for temperatures outside -20 to 100 °C and a negative loss."""

    kinetics: Kinetics = ILLUSTRATIVE
    shop_temperature: float = 295.15  # K
    start_temperature: float | None = None  # of the resin as poured [K]; None: that of the shop
    bottom: Face = INSULATED
    top: Face = Face(STILL_AIR)
    side_loss: float = 0.0  # W/(m3 K), of `loss_between_sheets`; 0 for a lift whose sides count for nothing

    def __post_init__(self):
        for name in ("shop_temperature", "start_temperature"):
            value = getattr(self, name)
            if value is not None:
                read_number(value, name, "K", 253.15, 373.15, hint=CELSIUS)
        read_number(self.side_loss, "side_loss", low=0.0, hint="in W/(m3 K)")

    @property
    def start_rise(self) -> float:
        """Resin as poured above the shop [K]."""
        return 0.0 if self.start_temperature is None else self.start_temperature - self.shop_temperature


def loss_between_sheets(gap, sheet_thickness, sheet_conductivity, coefficient=STILL_AIR):
    """Heat a lift loses through two sheets, per volume and degree [W/(m3 K)]: 2 / (gap (t/k + 1/h)) (derived here).

    gap [m] between the sheets, sheet_thickness [m], sheet_conductivity [W/(m K)], coefficient [W/(m2 K)] to the air.
    The resin is taken as even across the gap: on the cool side for a gap of several centimetres. All positive.
    """
    given = {"gap": (gap, "m"), "sheet_thickness": (sheet_thickness, "m")}
    given |= {"sheet_conductivity": (sheet_conductivity, "W/mK"), "coefficient": (coefficient, "W/m2K")}
    gap, thickness, conductivity, coefficient = read_together(given, above=0.0)
    return 2.0 / (gap * (thickness / conductivity + 1.0 / coefficient))


def older_lift(kinetics, thickness, coefficient=STILL_AIR) -> Face:
    """The face towards a cured lift of this thickness [m], whose far side meets the shop through `coefficient`."""
    return Face(coefficient, (Layer(thickness, kinetics.conductivity, kinetics.density, kinetics.heat_capacity),))


@dataclass(frozen=True, eq=False)
class PourHeat:
    """Temperature and cure of lifts of several depths (M,) over common times (T,)."""

    pour: Pour
    depth: np.ndarray  # (M,) [m]
    time: np.ndarray  # (T,) [s]
    centre: np.ndarray  # (T, M) [K] at mid-depth
    hottest: np.ndarray  # (T, M) [K] at the place that gets hottest
    top_temperature: np.ndarray  # (T, M) [K] at the upper face's cell
    centre_cure: np.ndarray  # (T, M) [-]
    hottest_cure: np.ndarray  # (T, M) [-]
    top_cure: np.ndarray  # (T, M) [-]
    peak: np.ndarray  # (M,) [K]
    peak_time: np.ndarray  # (M,) [s]
    peak_place: np.ndarray  # (M,) [m from the bottom of the lift]
    centre_peak: np.ndarray  # (M,) [K]
    centre_peak_time: np.ndarray  # (M,) [s]
    end_cure: np.ndarray  # (M,) [-], least at the end
    heat_error: np.ndarray  # (M,) [-], of the heat balance
    grid_error: np.ndarray  # (M,) [-], estimated error of the peak over its rise
    march: March  # everything, cell by cell

    @property
    def label(self) -> str:
        """What the numbers rest on."""
        return self.pour.kinetics.label

    @property
    def greatest(self) -> np.ndarray:
        """Greatest temperature anywhere in each lift at each time (T, M) [K]."""
        cells = self.march.grid.curing
        return self.march.rise[:, :, cells].max(axis=2) + self.pour.shop_temperature

    def rows(self):
        """One line of text for each depth, then the label."""
        return (*(self._row(number) for number in range(len(self.depth))), f"Cure data: {self.label}.")

    def _row(self, number):
        depth, place = self.depth[number], self.peak_place[number]
        hottest, when = show(self.peak[number], "degC", 3), show(self.peak_time[number], "min", 3)
        centre, later = show(self.centre_peak[number], "degC", 3), show(self.centre_peak_time[number], "min", 3)
        return (
            f"Lift of {show(depth, 'mm', 3)}: hottest {hottest} after {when}, {place_words(place, depth)}; "
            f"centre {centre} after {later}"
        )


def place_words(place, depth) -> str:
    """Where in a lift of this depth a place [m above its bottom] is, in words."""
    if not 0.01 * depth < place < 0.99 * depth:
        return "at its bottom" if place < 0.5 * depth else "at its top"
    return f"{show(place, 'mm', 3)} above its bottom"


def pour_heat(pour: Pour, depth, until=None, cells=CELLS, tolerance=1e-6) -> PourHeat:
    """Temperature and cure of a lift, or of several depths [m] at once (they share their time steps).

    until [s]: None takes three times as long as a thin film needs for 90 % cure, and the time heat needs through the
    depth besides. Up to 100 depths of 0.1 mm to 1 m and 1001 cells; `Unconverged` where the march fails, heat is lost,
    the temperature still rises at the end, or half the cells give another peak.
    """
    depths = read_row(depth, "depth", "m", 1e-4, 1.0, least=1, hint="one or several")
    read_count(len(depths), "number of depths", 1, 100, hint="they are marched together")
    until = default_duration(pour, depths.max()) if until is None else read_number(until, "until", "h", above=0.0)
    cells, tolerance = read_count(cells, "cells", 5, 1001), read_number(tolerance, "tolerance", "", 1e-11, 1e-2)
    return _record(pour, depths, *_resolved(pour, depths, until, cells, cells * 2**REFINED, tolerance))


def _resolved(pour, depths, until, cells, most, tolerance):
    """(march on so many cells, error of its peaks over their rise), the cells halved until both will do, to `most` at
    the most; `Unconverged` where that is not enough."""
    coarse = _peaks(_run(pour, depths, until, _odd(cells // 2), tolerance))[0]
    while True:
        done = _run(pour, depths, until, _odd(cells), tolerance)
        peak, grid_error, too_wide = _told(pour, depths, done, coarse)
        if np.all((grid_error <= GRID_ERROR) & ~too_wide) or 2 * cells > most:
            break
        coarse, cells = peak, 2 * cells
    _refuse_bad(done, depths, grid_error, too_wide)
    return done, grid_error


def _told(pour, depths, done, coarse):
    """(peak rises of a march, their error over them by those on half the cells, whether the cells are too wide)."""
    peak = _peaks(done)[0]
    # the error falls with the square of the width: of the difference a third is left
    grid_error = np.abs(peak - coarse) / (3.0 * np.maximum(np.abs(peak), NEGLIGIBLE_RISE))
    return peak, grid_error, depths / done.cure.shape[2] > FRONT_SHARE * front_thickness(pour, peak)


def front_thickness(pour: Pour, rise):
    """Thickness [m] of a front of cure at a rise [K above the shop], any shape: sqrt(diffusivity / greatest rate).

    The order of size from the balance of conduction and cure (derived here); for cells that have to resolve it.
    """
    temperature = pour.shop_temperature + read_array(rise, "rise", "K", -100.0, 1e6)[..., None]
    fastest = pour.kinetics.rate(temperature, np.linspace(0.0, 1.0, 101)).max(axis=-1)
    return np.sqrt(pour.kinetics.diffusivity / fastest)


def quick_peaks(pour: Pour, depths, cells=CELLS, until=None) -> np.ndarray:
    """Peaks (M,) [K] of lifts (M,) [m] marched together, without the second run on other cells: for margins, and for
    searches that `pour_heat` checks. `until` [s] as there."""
    depths = read_row(depths, "depths", "m", 1e-4, 1.0, least=1, hint="one or several")
    until = default_duration(pour, depths.max()) if until is None else read_number(until, "until", "h", above=0.0)
    done = _run(pour, depths, until, _odd(read_count(cells, "cells", 2, 1001)), SCAN_TOLERANCE)
    return pour.shop_temperature + _peaks(done)[0]


def sure_peaks(pour: Pour, depths, rough, until, cells=CELLS) -> np.ndarray:
    """Peaks (M,) [K] of lifts (M,) [m], each on as few cells as will do for it, `cells` those of `pour_heat`.

    `rough` (M,) [K]: `quick_peaks` on half of `fewest` cells; until [s]. `Unconverged` as `pour_heat`.
    """
    most, cells, left, peaks = cells * 2**REFINED, fewest(cells), np.arange(len(depths)), rough - pour.shop_temperature
    while left.size:
        done = _run(pour, depths[left], until, _odd(cells), SCAN_TOLERANCE)
        peak, grid_error, too_wide = _told(pour, depths[left], done, peaks[left])
        last = 2 * cells > most
        _refuse_bad(done, depths[left], last * grid_error, last & too_wide)
        peaks[left], left, cells = peak, left[(grid_error > GRID_ERROR) | too_wide], 2 * cells
    return pour.shop_temperature + peaks


def fewest(cells) -> int:
    """Cells that `sure_peaks` begins with."""
    return max(cells // FEWEST, 5)


def default_duration(pour: Pour, depth) -> float:
    """How long a pour is followed [s]; see `pour_heat`."""
    cold = min(pour.shop_temperature, pour.shop_temperature + pour.start_rise)
    deep = depth + sum(layer.thickness for face in (pour.bottom, pour.top) for layer in face.layers)
    return 3.0 * pour.kinetics.time_to(0.9, cold) + deep**2 / pour.kinetics.diffusivity


def _odd(cells):
    return cells + (cells + 1) % 2


def _run(pour, depths, until, cells, tolerance):
    own = pour.kinetics
    grid = build_grid(
        depths, own.conductivity, own.density * own.heat_capacity, pour.bottom, pour.top, pour.side_loss, cells=cells
    )
    start = np.zeros(grid.volume.shape)
    start[:, grid.curing] = pour.start_rise

    def rate(rise, cure):
        return own.rate(pour.shop_temperature + rise, cure)

    return march(grid, rate, own.heat * own.density, start, until, tolerance, scale=10.0)


def _peaks(done):
    """(peak rise, its time, its cell) of each depth, the peak by a parabola through the three steps around it.

    Of cells as hot as each other (an insulated lift is even) the one nearest to the centre counts.
    """
    rise = done.rise[:, :, done.grid.curing]
    depths, count = np.arange(rise.shape[1]), rise.shape[2]
    hottest = rise.max(axis=0)
    alike = hottest >= hottest.max(axis=1, keepdims=True) - EVEN_WITHIN * np.abs(hottest).max(axis=1, keepdims=True)
    cell = np.where(alike, np.abs(np.arange(count) - count // 2), count).argmin(axis=1)
    return (*_peak_in_time(done.time, rise[:, depths, cell]), cell)


def _peak_in_time(time, values):
    """Greatest of each column of values (T, M) and its time, refined by a parabola where it is not at an end.

    Where it is at the end, on a plateau, its time is the first at which `PLATEAU` of it is reached.
    """
    columns = np.arange(values.shape[1])
    at = values.argmax(axis=0)
    inner = np.clip(at, 1, len(time) - 2)
    (t0, t1, t2), (y0, y1, y2) = time[[inner - 1, inner, inner + 1]], (values[inner + i, columns] for i in (-1, 0, 1))
    first, second = (y1 - y0) / (t1 - t0), (y2 - y1) / (t2 - t1)
    bend = (second - first) / (t2 - t0)
    smooth = (at == inner) & (bend < 0.0)
    safe = np.where(smooth, bend, -1.0)
    peak_time = np.clip(0.5 * (t0 + t1) - first / (2.0 * safe), t0, t2)
    peak = y0 + first * (peak_time - t0) + safe * (peak_time - t0) * (peak_time - t1)
    plateau = time[np.argmax(values >= PLATEAU * values[at, columns], axis=0)]
    other = np.where(at == len(time) - 1, plateau, time[at])
    return np.where(smooth, peak, values[at, columns]), np.where(smooth, peak_time, other)


def _refuse_bad(done, depths, grid_error, too_wide):
    if np.any(np.abs(done.heat_error) > HEAT_ERROR):
        worst = np.abs(done.heat_error).max()
        raise Unconverged(
            f"heat made and heat found differ by {worst:.1e} of it, {HEAT_ERROR:g} allowed; refine the cells"
        )
    rise = done.rise[:, :, done.grid.curing].max(axis=2)
    late = np.searchsorted(done.time, 0.9 * done.time[-1])
    still = rise[-1] - rise[: late + 1].max(axis=0)
    if np.any(still > np.maximum(NEGLIGIBLE_RISE, 0.005 * rise[-1])):
        raise Unconverged(
            f"at the end, after {show(done.time[-1], 'h', 3)}, the lift of {show(depths[still.argmax()], 'mm', 3)} "
            "still gets hotter; follow it for longer (until)"
        )
    bad = (grid_error > GRID_ERROR) | too_wide
    if np.any(bad):
        worst = np.argmax(bad)
        raise Unconverged(
            f"the front of cure in the lift of {show(depths[worst], 'mm', 3)} is too thin for {done.cure.shape[2]} "
            "cells; give more cells, or a thinner lift"
        )


def _record(pour, depths, done, grid_error):
    shop, curing = pour.shop_temperature, done.grid.curing
    rise, columns = done.rise[:, :, curing], np.arange(len(depths))
    peak, peak_time, cell = _peaks(done)
    middle = rise.shape[2] // 2
    temperatures = (shop + rise[:, columns, place] for place in (middle, cell, -1))
    cures = (done.cure[:, columns, place] for place in (middle, cell, -1))
    hottest = shop + peak, peak_time, done.grid.middle[columns, curing.start + cell]
    centre_peak, centre_time = _peak_in_time(done.time, rise[:, :, middle])
    end = done.cure[-1].min(axis=1), done.heat_error, grid_error, done
    return PourHeat(pour, depths, done.time, *temperatures, *cures, *hottest, shop + centre_peak, centre_time, *end)


@dataclass(frozen=True, eq=False)
class Margin:
    """What becomes of lifts (M,) that are poured a tenth deeper, or in a shop `WARMER` than told."""

    heat: PourHeat  # as planned
    deeper: np.ndarray  # (M,) [K], peak
    warmer: np.ndarray  # (M,) [K], peak

    def misses(self, limit) -> tuple:
        """What goes beyond the limit [K] or runs away, in words; empty where nothing does."""
        ways = (("poured a tenth deeper", self.deeper, 0.0), (f"in a shop {WARMER:g} K warmer", self.warmer, WARMER))
        return tuple(filter(None, (self._miss(*way, limit) for way in ways)))

    def _miss(self, words, peaks, warmer, limit):
        shop = self.heat.pour.shop_temperature
        rise, planned = peaks - shop - warmer, self.heat.peak - shop
        away = (rise > RUNS_AWAY * planned) & (rise > COOLED_WITHIN)
        worst = int(np.argmax(peaks))
        if not away.any() and peaks[worst] <= limit:
            return ""
        return f"{words} it {'runs away and ' * bool(away.any())}reaches {show(peaks[worst], 'degC', 3)}"


def pour_margin(heat: PourHeat) -> Margin:
    """The peaks of the same lifts poured a tenth deeper, and in a warmer shop."""
    pour, depths = heat.pour, np.atleast_1d(heat.depth)
    start = None if pour.start_temperature is None else pour.start_temperature + WARMER
    warm = replace(pour, shop_temperature=pour.shop_temperature + WARMER, start_temperature=start)
    return Margin(heat, quick_peaks(pour, DEEPER * depths), quick_peaks(warm, depths))
