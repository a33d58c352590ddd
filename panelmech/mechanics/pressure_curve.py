"""One framed sheet pressed evenly, outward and inward, past where it lets go: the whole curve of pressure against
deflection, and how the sheet's stiffness follows its sizes, at rest and at a working pressure.

Both directions use one model at large deflection (`mechanics.large_deflection`). A bent sheet answers differently to
the two; a flat one answers alike, so its inward curve is the outward one. Between two points of the path the curve is
read as `mechanics.pressing` reads it; the state at the working pressure is solved.

Stiffness is pressure over largest deflection (secant). Its exponents are partial derivatives of logarithms: how it
follows one size while the others, the material and the curvature at each share of the length stay. They come from the
slopes of the energy at the state itself (derived here): with g the energy's slope less the load, K its second slope and
a the amplitudes, da/dln(size) = -K^-1 dg/dln(size), the last by central differences of `STEP`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from ..units import read_number
from .large_deflection import large_loading, most_deflection
from .pressing import BETWEEN, course, quintics, way_between
from .shell_fields import Field, find_largest
from .shell_model import FramedSheet, even_pressure
from .shell_path import Loading, NoPathError, PathPoint, at_share, follow
from .shell_ritz import load_work

STEPS = (0.25, 0.7)  # first and longest step along the path: mean deflection in thicknesses
STEP = 1e-3  # relative, of the central differences of a size
SIZES = ("thickness", "length", "width")
PARTS = np.linspace(0.0, 1.0, 257)  # of the way between two points of the path, where a state is looked for
NEAR = 0.1  # of the way between two points: a state further from their polynomial is not the one looked for

# ----- What comes out.


@dataclass(frozen=True)
class Exponents:
    """Powers n in stiffness ~ size^n, stiffness being pressure over largest deflection [-].

    thickness : of the sheet. length : from land to rod. width : free span between the frames. The last two are mostly
    negative: a larger sheet gives more.
    """

    thickness: float
    length: float
    width: float


@dataclass(frozen=True)
class Working:
    """A sheet at its working pressure.

    deflection : size of the largest, searched over the sheet [m]. stable : True where the sheet stays there by itself.
    snapped : True where it has snapped through on the way. exponents : `Exponents` of the secant stiffness there; None
    where they were not asked for.
    """

    deflection: float
    stable: bool
    snapped: bool
    exponents: Exponents | None


class TurnPoint(NamedTuple):
    """Where the sheet loses its stability: `kind` 'limit' or 'branching' as of `large_deflection.Turn`, sizes of
    pressure and largest deflection there [Pa, m]."""

    kind: str
    pressure: float
    deflection: float


@dataclass(frozen=True, eq=False)
class PressureCurve:
    """Pressure against largest deflection one way; arrays of shape (points,), along the path from rest.

    Attributes
    ----------
    pressure : positive this way; past a limit it may fall below zero [Pa]
    deflection : size of the largest, searched over the sheet [m]
    stable : True where the sheet stays there by itself
    turns : `TurnPoint`s, in their order
    working : `Working`; None where none was asked for or it was not reached
    stopped : why the curve ends before the pressure asked for, in words; "" where it does not
    """

    pressure: np.ndarray
    deflection: np.ndarray
    stable: np.ndarray
    turns: tuple
    working: Working | None
    stopped: str = ""


@dataclass(frozen=True, eq=False)
class PressedBothWays:
    """A sheet pressed outward, towards its centre of curvature, and inward.

    outward, inward : `PressureCurve`. per_pressure : largest deflection per pressure by the linear theory [m/Pa].
    exponents : `Exponents` of the linear stiffness; None where they were not asked for.
    """

    sheet: FramedSheet = field(repr=False)
    outward: PressureCurve
    inward: PressureCurve
    per_pressure: float
    exponents: Exponents | None


# ----- The verb.


def press_both_ways(sheet, most, working=None, exponents=False):
    """`PressedBothWays` of a `FramedSheet` under even pressure at large deflection.

    most : pressure up to which the curves go, both ways [Pa]. working : of which the state is told [Pa], at most
    `most`; None for none. Both positive. exponents : True to have those of the stiffness, too. A curve that
    cannot be followed so far ends before and says why.

    Validity as of `press_large`. Between points of the path the curve is within 5e-3 of its largest deflection (24
    sheets drawn, mostly 3e-4); states at the working pressure and at turns are solved. Raises ValueError for a pressure
    that is not positive, or a working pressure above `most`.

    >>> from panelmech.mechanics import framed_sheet, press_both_ways, solve_bend
    >>> from panelmech.mechanics.shell_model import framed_edges
    >>> from panelmech.units import format_number, show
    >>> bend = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
    >>> sheet = framed_sheet(bend, 0.85, 0.012, 18.6e9, 0.175, framed_edges(in_plane="held"))
    >>> pressed = press_both_ways(sheet, 3000.0, 2000.0, exponents=True)
    >>> [show(way.working.deflection, "mm", 3) for way in (pressed.outward, pressed.inward)]
    ['2.01 mm', '0.549 mm']
    >>> format_number(pressed.exponents.thickness, 3), format_number(pressed.outward.working.exponents.thickness, 3)
    ('1.98', '3.15')
    """
    most = read_number(most, "pressure up to which a sheet is pressed", "Pa", above=0.0)
    if working is not None:
        working = read_number(working, "working pressure", "Pa", above=0.0, high=most)
    loading, load, degrees = large_loading(sheet, even_pressure(most), None, None, None)
    sizes = SIZES if exponents else ()
    resized = [[_resized(loading, load, degrees, name, way * STEP) for way in (1.0, -1.0)] for name in sizes]
    ways = (1.0,) if sheet.is_flat else (1.0, -1.0)
    (rest, outward), *others = (_curve(loading, resized, most, way, working) for way in ways)
    linear = rest.along / rest.along_share
    misses = [[_slopes_at_rest(one.model) @ linear - one.load for one in pair] for pair in resized]
    largest, *place = find_largest(_field(loading, linear))
    powers = _exponents(loading, rest.slopes, misses, largest, place)
    return PressedBothWays(sheet, outward, others[0][1] if others else outward, abs(largest) / most, powers)


# ----- The curve.


def _curve(loading, resized, most, way, working):
    """(`PathPoint` at rest, `PressureCurve`) one way, `way` 1 or -1, up to `most`, with the state at the pressure
    `working` (None: none)."""
    pushed, stopped = replace(loading, load=way * loading.load), ""
    try:
        path = follow(pushed, *STEPS, most_deflection(loading.model.sheet))
    except NoPathError as short:
        path, stopped = short.path, short.why
    knots = _knots(path)
    shares, sizes, _ = course([knot.point for knot in knots], lambda amplitudes: _field(loading, amplitudes))
    stable = np.array([True, *np.repeat([knot.stable for knot in knots[1:]], BETWEEN)])
    found = None if working is None else _working(knots, resized, working / most, way)
    turns = tuple(_turn(turn, most) for turn in path.turns)
    return path.points[0], PressureCurve(most * shares, sizes, stable, turns, found, stopped)


def _turn(turn, most):
    point = turn.point
    return TurnPoint(turn.kind, most * point.share, abs(find_largest(_field(point.loading, point.state.amplitudes))[0]))


class _Knot(NamedTuple):
    """A point of the path or a turn on it; whether the sheet is stable on the way to it, and has snapped before."""

    point: PathPoint
    stable: bool
    snapped: bool


def _knots(path):
    out, snapped = [_Knot(path.points[0], True, False)], False
    for number, (last, new) in enumerate(pairwise(path.points)):
        met = [turn for turn in path.turns if turn.after == number]
        ways = (last.stable, *[False] * len(met[1:]), new.stable) if met else (last.stable and new.stable,)
        for turn, stable in zip(met, ways, strict=False):
            out.append(_Knot(turn.point, stable, snapped))
            snapped = snapped or turn.kind == "limit"
        out.append(_Knot(new, ways[-1], snapped))
    return out


def _field(loading, amplitudes):
    sheet = loading.model.sheet
    return Field(loading.model.sets.w.series(amplitudes), sheet.length, sheet.width)


# ----- The state at the working pressure, and how stiffness follows the sizes.


def _working(knots, resized, share, way):
    """`Working`: the first state on the path under this share of the load; None where it is not reached."""
    number = next((n for n, knot in enumerate(knots) if knot.point.share >= share), None)
    if number is None:
        return None
    last, new = knots[number - 1].point, knots[number].point
    loading, guess, way_on = new.loading, *_guess(last, new, share)
    state = at_share(loading, guess, share)
    if state is None or loading.size(state.amplitudes - guess) > NEAR * way_on:
        return None
    point = PathPoint(loading, state, share, loading.model.tangent(state), new.along, new.along_share)
    misses = [[one.model.state(state.amplitudes).gradient - way * share * one.load for one in pair] for pair in resized]
    largest, *place = find_largest(_field(loading, state.amplitudes))
    exponents = _exponents(loading, point.slopes, misses, largest, place)
    return Working(abs(largest), point.stable, knots[number].snapped, exponents)


def _guess(last, new, share):
    """(amplitudes between two points of the path where their polynomial has this share, way between the points)."""
    way, polynomial = way_between(last, new), quintics(PARTS)
    scale = way ** np.arange(3)
    loads = [[point.share, point.along_share, point.bend[1]] for point in (last, new)]
    part = np.interp(share, np.concatenate([load * scale for load in loads]) @ polynomial, PARTS)  # a limit is a point
    ends = [np.outer(scale, 1.0) * [point.state.amplitudes, point.along, point.bend[0]] for point in (last, new)]
    return quintics(part) @ np.concatenate(ends), way


def _resized(loading, load, degrees, name, change):
    """`Loading` of the sheet with one size changed by this share; its curvature stays at each share of the length."""
    model = loading.model
    sizes = {name: getattr(model.sheet, name) * (1.0 + change)}
    sheet = replace(model.sheet, curvature=model.sheet.curvature_values, **sizes)
    parity = "all" if loading.other is None else "even"
    return Loading(replace(model, sheet=sheet), None, load_work(sheet, load, degrees, parity).ravel())


def _slopes_at_rest(model):
    return model.tangent(model.state(np.zeros(len(model.sets.w))))


def _exponents(loading, slopes, misses, largest, place):
    """`Exponents` from what each changed size leaves unbalanced at a state, (larger, smaller) each; None of none."""
    if not misses:
        return None
    spread = np.log((1.0 + STEP) / (1.0 - STEP))
    changes = np.linalg.solve(slopes, np.stack([low - high for high, low in misses], axis=1)) / spread
    return Exponents(*(-float(_field(loading, change)(*place)) / largest for change in changes.T))
