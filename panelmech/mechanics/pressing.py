"""How far an even pressure presses a framed sheet, or a face of a pair, one way: read between points of one path.

The path is followed from rest by arc length (`mechanics.shell_path`), up to the greatest pressure asked for, or to
where the sheet first lets go: at a limit it snaps through, at a branching it jumps to another shape. Between its points
pressure and largest deflection are polynomials of the way gone, whose first and second slopes are known, so that one
path tells the deflection under every pressure on the way, near a limit too. At the greatest pressure itself nothing is
read between.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ..units import read_array, read_number
from .large_deflection import CURVE, ONE_LOAD, large_loading, most_deflection
from .large_pair import pair_loading
from .pressed_pair import RIGID
from .shell import even_degree, proportions
from .shell_fields import Field, find_largest, slopes_at
from .shell_model import even_pressure
from .shell_path import Loading, NoPathError, follow

BETWEEN = 32  # places read between two points of the path


@dataclass(frozen=True, eq=False)
class Pressing:
    """Largest deflection against pressure of one sign.

    greatest : pressure up to which it was asked for [Pa], its sign the way: outward, towards the centre of curvature,
        positive
    lets_go : pressure at which the sheet snaps through or jumps, with that sign [Pa]; nan where it does not up to
        `reached`
    snaps : True where it snaps through there, at a limit; False where it jumps, at a branching, and where it does not
    reached : pressure up to which the path could be followed [Pa]; the greatest, or less in size
    slope : largest deflection per pressure of the first load, of the linear sheet [m/Pa]
    pressures, deflections : sizes along the path, as far as it was followed [Pa], [m]
    """

    greatest: float
    lets_go: float
    snaps: bool
    reached: float
    slope: float
    pressures: np.ndarray = field(repr=False)
    deflections: np.ndarray = field(repr=False)

    def at(self, pressure):
        """Largest deflection under pressures of this sign, a float or an array: its size [m].

        Endless from where the sheet lets go; nan beyond `reached`, and for the other sign.
        """
        given = np.asarray(read_array(pressure, "pressure", "Pa"), dtype=float)
        size = given * np.sign(self.greatest)
        out = np.interp(size, self.pressures, self.deflections)
        out = np.where((size > abs(self.reached)) | (size < 0.0), np.nan, out)
        if np.isfinite(self.lets_go):
            out = np.where(size >= abs(self.lets_go), np.inf, out)
        return out if out.ndim else float(out)


def sheet_pressings(sheet, outward, inward, give=None, degrees=None, fine=False) -> tuple:
    """(outward, inward) `Pressing` of one `FramedSheet` up to pressures of these sizes [Pa].

    give, degrees : as of `large_deflection.press_large`. What is read between is within 1.5 %, below a tenth of the
    pressure 2.5 %; fine : with short steps within 2e-3 and 7e-3 (70 sheets drawn, half of them in pairs; mostly 1e-4).
    At the pressures asked for nothing is read between. None for a size of 0. Raises ValueError as `press_large`, but
    where the path cannot be followed to the end: that is told by `reached`.
    """
    loading, _, _ = large_loading(sheet, even_pressure(1.0), give, degrees, None)
    model = loading.model
    return _both_ways(
        loading, (outward, inward), fine, _field(model.sets.w, model.sheet, lambda amplitudes: amplitudes)
    )


def pair_pressings(sheet, outward, inward, faces="one", front="potted", give=RIGID, degrees=None, fine=False) -> tuple:
    """(outward, inward) `Pressing` of the pressed face of a pair, as `sheet_pressings`; sheet, faces, front and give as
    of `large_pair.press_large_pair`. degrees : by default `pair_degrees`.

    >>> from panelmech.mechanics import framed_sheet, solve_bend
    >>> from panelmech.mechanics.pressing import pair_pressings
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> [show(way.at(way.greatest), "mm", 3) for way in pair_pressings(sheet, 2000.0, 2000.0)]
    ['0.906 mm', '0.605 mm']
    """
    loading, _ = pair_loading(sheet, even_pressure(1.0), faces, front, give, degrees or pair_degrees(sheet))
    model = loading.model
    face = _field(model.own.sets.w, sheet, lambda amplitudes: model.split(amplitudes)[0])
    return _both_ways(loading, (outward, inward), fine, face)


def pair_degrees(sheet):
    """Polynomial degrees (x, y) of `pair_pressings`: the largest deflection within 3e-3, too small by 2e-4 at most, of
    36 sheets drawn at random; one of them was said to let go where it does not."""
    half_waves, turned, zones = proportions(sheet)
    wanted = 6 + 0.25 * zones + 2 * turned, 5 + 3 * half_waves**0.5
    return tuple(even_degree(d, limits) for d, limits in zip(wanted, ((8, 24), (8, 60)), strict=True))


def _field(functions, sheet, pressed):
    return lambda amplitudes: Field(functions.series(pressed(amplitudes)), sheet.length, sheet.width)


def _both_ways(loading, sizes, fine, field_of):
    out = []
    for greatest in (sizes[0], -sizes[1]):
        size = read_number(abs(greatest), "greatest pressure", "Pa", 0.0)
        whole = Loading(loading.model, loading.other, greatest * loading.load)
        out.append(_pressing(whole, greatest, field_of, CURVE if fine else ONE_LOAD) if size else None)
    return tuple(out)


def _pressing(loading, greatest, field_of, steps):
    """`Pressing` of a `Loading` whose whole load is the pressure `greatest`; field_of : from amplitudes to the
    deflection that is looked at."""
    try:
        path, reached = follow(loading, *steps, most_deflection(loading.model.sheet), to_turn=True), 1.0
    except NoPathError as stopped:
        path, reached = stopped.path, stopped.share
    first = next(iter(path.turns), None)
    points = list(path.points if first is None else (*path.points[: first.after + 1], first.point))
    shares, sizes, slope = course(points, field_of)
    return Pressing(
        greatest,
        np.nan if first is None else greatest * first.point.share,
        first is not None and first.kind == "limit",
        greatest * (reached if first is None else first.point.share),
        slope / abs(greatest),
        abs(greatest) * np.maximum.accumulate(shares),
        sizes,
    )


def _end(point, field_of):
    """Size of the largest deflection, its first and its second change along the path per mean deflection in
    thicknesses, (3,). The second counts that the place of the largest moves."""
    along, bend = field_of(point.along), field_of(point.bend[0])
    if not np.any(point.state.amplitudes):
        largest, *place = find_largest(along)
        return np.array([0.0, abs(largest), float(bend(*place)) * np.sign(largest)])
    deflection = field_of(point.state.amplitudes)
    largest, *place = find_largest(deflection)
    here, change = slopes_at(deflection, *place), slopes_at(along, *place)
    curved = np.array([[here[2, 0], here[1, 1]], [here[1, 1], here[0, 2]]])
    slope, moves = np.array([change[1, 0], change[0, 1]]), 0.0
    if curved[0, 0] * largest < 0.0 < np.linalg.det(curved):  # else the largest is no smooth top
        moves = -float(slope @ np.linalg.solve(curved, slope))
    return np.sign(largest) * np.array([largest, change[0, 0], float(bend(*place)) + moves])


def course(points, field_of):
    """(shares of the load, sizes of the largest deflection, `BETWEEN` places from each point of a path to the next;
    that size per share at the first point, which is at rest); field_of : as of `_pressing`."""
    basis = quintics(np.linspace(0.0, 1.0, BETWEEN + 1)[1:])
    ends, shares, sizes = [_end(point, field_of) for point in points], [np.zeros(1)], [np.zeros(1)]
    for (one, here), (two, there) in pairwise(zip(points, ends, strict=True)):
        scale = way_between(one, two) ** np.arange(3)
        loads = [[point.share, point.along_share, point.bend[1]] for point in (one, two)]
        shares.append(np.concatenate([load * scale for load in loads]) @ basis)
        sizes.append(np.concatenate([here * scale, there * scale]) @ basis)
    return np.concatenate(shares), np.concatenate(sizes), ends[0][1] / points[0].along_share


def way_between(one, two):
    """Length of the path between two points, as of the arc of a circle that turns so far: mean deflection in
    thicknesses."""
    metric, straight = one.loading.model.metric, one.loading.size(two.state.amplitudes - one.state.amplitudes)
    half = 0.5 * np.arccos(min(1.0, float(one.along @ metric @ two.along)))
    return straight / np.sinc(half / np.pi)


def quintics(t):
    """What value, first and second slope at the one end and those at the other weigh, a part t of the way between:
    (6, n)."""
    values = 1.0 - 10 * t**3 + 15 * t**4 - 6 * t**5
    slopes, back = t - 6 * t**3 + 8 * t**4 - 3 * t**5, -4 * t**3 + 7 * t**4 - 3 * t**5
    bends, other = 0.5 * (t**2 - 3 * t**3 + 3 * t**4 - t**5), 0.5 * (t**3 - 2 * t**4 + t**5)
    return np.array([values, slopes, bends, 1.0 - values, back, other])
