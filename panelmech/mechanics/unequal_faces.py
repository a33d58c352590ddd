"""Outer faces of a pair of different, bowed sheets at stations of the chord, and how they follow every input.

The pair of `unequal_bow`, floating. One pair at a time, but with exact slopes: of F(state, inputs) = 0 the state
follows the inputs by -(dF/dstate)^-1 dF/dinputs, both tables by complex steps, and a face at a fixed place of the chord
moves by what it moves across the chord less its slope times what it moves along it. What takes tens of pairs by
differences takes one here (tests: against differences, 1e-6 of the largest slope).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .pressed_sheet import COUNT, CUMULATIVE, POINTS, RELATIVE_STEP, contact, front_arc
from .unequal import solve_unequal
from .unequal_bow import equations, solve_bowed, solved, split

INPUTS = (
    "thickness_1", "thickness_2", "spacer_diameter", "bond_line", "setback", "land_slope_1", "land_slope_2",
    "log_ratio", "bow_1", "bow_2",
)  # fmt: skip
_STEPS = 12  # of Newton's method, from the state of a pair near by
_SETTLED = 1e-8  # relative size of its last step; the error left is about its square
_TO_CHEBYSHEV = np.linalg.inv(np.polynomial.chebyshev.chebvander(2.0 * POINTS - 1.0, COUNT - 1))
_ON_FACE = 3  # steps to the arclength at which a face has a given x: curvature times half the thickness is small


@dataclass(frozen=True, eq=False)
class Faces:
    """Both outer faces of one pair at `x` [m].

    Attributes
    ----------
    values : as given, in the order of `INPUTS` [m, rad, -, 1/m]; `log_ratio` is the logarithm of D1/D2
    height : distance of the outer face of sheet 1 and of sheet 2 from the chord line, outwards positive, (2, places)
    height_slopes : by each input, (2, places, inputs)
    camber, camber_slopes : of the mean line at the front edge, towards sheet 1 positive [m], and by each input
    state, follow : unknowns of the equations and their slopes by each input, dimensionless
    """

    values: np.ndarray
    height: np.ndarray
    height_slopes: np.ndarray
    camber: float
    camber_slopes: np.ndarray
    state: np.ndarray
    follow: np.ndarray


def solve_faces(free_length: float, values, x, near: Faces | None = None) -> Faces | None:
    """Outer faces of one pair and their slopes, or None where there is no such pair.

    Parameters
    ----------
    free_length : [m]
    values : array in the order of `INPUTS`
    x : along the chord from the land end, on the faces or not far beyond the front edge [m]
    near : a pair near by to start from, else flat sheets; without one the bows are brought on in steps where that does
        not arrive (`solve_bowed`)

    >>> from panelmech.units import show
    >>> values = np.array([0.002, 0.002, 0.018, 0.0003, 0.003, 0.0, 0.0, np.log(1.2), 0.0, 0.0])
    >>> faces = solve_faces(0.225, values, np.array([0.1, 0.2]))
    >>> [show(height, "mm") for height in faces.height[:, 1]], show(faces.camber, "mm")
    (['9.485 mm', '10.96 mm'], '−0.8753 mm')
    """
    values, x = np.asarray(values, dtype=float), np.asarray(x, dtype=float)
    scale = np.array([1.0, 1.0, 0.5, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0]) / free_length
    scale += np.array([0.0] * 5 + [1.0] * 3 + [free_length] * 2)
    given, found = scale * values, None
    for start in _starts(free_length, values, scale, near):
        found = None if start is None else _settle(start, given)
        if found is not None:
            break
    else:
        return None
    height, slopes = zip(*(_face(i, *found, given, x / free_length) for i in (0, 1)), strict=True)
    camber, by = _camber(*found, given)
    by_values = np.array(slopes) * scale * free_length
    return Faces(
        values, free_length * np.array(height), by_values, free_length * camber, by * scale * free_length, *found
    )


def _starts(length, values, scale, near):
    """States to start from, the cheapest first: of a pair near by, of flat sheets, with the bows brought on."""
    if near is not None:
        yield near.state + near.follow @ (scale * (values - near.values))
    t1, t2, diameter, gap, setback, slope_1, slope_2, log_ratio, *bows = values.tolist()
    given = length, t1, t2, np.exp(log_ratio), 1.0, diameter, gap, setback, "floating", slope_1, slope_2
    yield (flat := _state_of(solve_unequal(*given)))
    if near is None and flat is not None:
        yield _state_of(solve_bowed(*given, *bows))


def _state_of(bend):
    """The unknowns of a bend; None where there is none."""
    if not bend.feasible:
        return None
    length, rows = bend.free_length, []
    for i in (1, 2):
        arc, wave = (getattr(bend, f"{name}_{i}") for name in ("contact_arclength", "wavenumber"))
        rows += [bend.tangent_angle(i, POINTS * arc), [arc / length, (wave * length) ** 2]]
    return np.concatenate([*rows, [bend.rod_offset / length]])


def _settle(state, given):
    """(state, its slopes by what is given), by Newton's method; None where it does not arrive at a pair."""
    count = len(state)
    steps = 1j * RELATIVE_STEP * np.eye(count + len(given))
    with np.errstate(all="ignore"):
        for _ in range(_STEPS):
            table = equations(state[:, None] + steps[:count], given[:, None] + steps[count:])
            table, miss = np.imag(table) / RELATIVE_STEP, np.real(table[:, 0])
            if not (np.all(np.isfinite(table)) and np.all(np.isfinite(miss))):
                return None
            try:
                moved = np.linalg.solve(table[:, :count], np.column_stack([miss, -table[:, count:]]))
            except np.linalg.LinAlgError:
                return None
            state = state - moved[:, 0]
            if np.max(np.abs(moved[:, 0]) / (1.0 + np.abs(state))) < _SETTLED:
                break
        good = bool(solved(state, equations(state, given)))
    return (state, moved[:, 1:]) if good else None


def _moved(state, follow, given):
    """State and what is given, each a little moved by every input in turn: (unknowns, inputs), (inputs, inputs)."""
    return state[:, None] + 1j * RELATIVE_STEP * follow, given[:, None] + 1j * RELATIVE_STEP * np.eye(len(given))


def _face(sheet, state, follow, given, x):
    """Height of one outer face at x, and its slopes by what is given, (places), (places, inputs).

    What is followed are points of the sheet at shares of the length up to the contact and at distances beyond it: a
    point that moves along its face does not move the face.
    """
    arc, s = split(state)[sheet][1], x
    for _ in range(_ON_FACE):
        here, _, angle = (v[:, 0] for v in _at(sheet, state[:, None], given[:, None], *_places(arc, s)))
        s = s + (x - here) / np.cos(angle)
    run, rise, angle = _at(sheet, *_moved(state, follow, given), *_places(arc, s))
    tilt = np.tan(np.real(angle))
    height = np.real(rise[:, 0]) + tilt[:, 0] * (x - np.real(run[:, 0]))
    return height, (np.imag(rise) - tilt * np.imag(run)) / RELATIVE_STEP


def _places(arc, s):
    """(table that takes values at Chebyshev's points to places s of the sheet, how far these are beyond contact)."""
    share = np.minimum(s / arc, 1.0)
    table = np.polynomial.chebyshev.chebvander(2.0 * share - 1.0, COUNT - 1) @ _TO_CHEBYSHEV
    return table, np.maximum(s - arc, 0.0)[:, None]


def _at(sheet, state, given, table, ahead):
    """x, height and slope of an outer face beside places of the mid-surface, (places, states)."""
    angles, arc, _ = split(state)[sheet]
    half = 0.5 * given[sheet]
    angle, run, rise = (table @ v for v in (angles, CUMULATIVE @ np.cos(angles), CUMULATIVE @ np.sin(angles)))
    more_run, more_rise, angle = front_arc(angle, ahead, given[8 + sheet])
    run, rise = arc * run + more_run, half + 0.5 * given[3] + arc * rise + more_rise
    return run - half * np.sin(angle), rise + half * np.cos(angle), angle


def _camber(state, follow, given):
    """Height of the mean line at the front edge, and its slopes."""
    states, values = _moved(state, follow, given)
    ends = []
    for i, (angles, arc, _) in enumerate(split(states)[:2]):
        ends.append(0.5 * values[i] + contact(angles, arc)[1] + front_arc(angles[-1], 1.0 - arc, values[8 + i])[1])
    camber = 0.5 * (ends[0] - ends[1])
    return float(np.real(camber[0])), np.imag(camber) / RELATIVE_STEP
