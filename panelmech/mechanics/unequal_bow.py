"""Two different sheets over one rod, neither of them flat to begin with: the exact bent shape of a pair with bows.

Geometry, signs and closures as in `unequal`. The moment of a sheet that was bowed is D times what its curvature differs
from the bow; the moment is zero at the contact, where the sheet has its own bow, and from there to the front edge it is
an arc of it. By collocation (`pressed_sheet`), the bows brought on in steps from the pair without them; the residuals
of the dimensionless equations stay below 1e-11. With no bow it is `unequal` (tests: 1e-9 of the opening). Left out:
friction, a land that gives way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .numerics import continuation, in_chunks, newton, plain, read_together
from .pressed_sheet import (
    COUNT,
    CUMULATIVE,
    FIRST,
    POINTS,
    RELATIVE_STEP,
    TOLERANCE,
    WEIGHTS,
    across,
    balance,
    balance_slopes,
    contact,
    front_arc,
    newton_move,
    setback_of,
)
from .unequal import BOWED_AWAY, UnequalBend, as_columns, solve_unequal

CHUNK = 64  # pairs solved together: their Jacobians stay in the processor's cache
MOST_BOW = 100.0  # 1/m: bent to a radius of 10 mm before anything is done to it; no sheet
_MAX_ITERATIONS = 30
_SIDES = (1.0, -1.0)


@dataclass(frozen=True, eq=False)
class BowedBend(UnequalBend):
    """Bent shape of an unmatched pair whose sheets have bows of their own; else as `UnequalBend`.

    Attributes
    ----------
    bow_1, bow_2 : curvature of each sheet before bending, away from the chord line positive [1/m]
    angles_1, angles_2 : tangent angle of each sheet at Chebyshev's points between land end and contact, the points on
        the last axis [rad]

    >>> from panelmech.units import show
    >>> bent = solve_bowed(0.225, 0.002, 0.002, 12.8, 12.8, 0.018, bow_1=0.05)  # the first bowed, radius 20 m
    >>> show(bent.rod_offset, "mm", 3), show(bent.bending_curvature(1), "1/m", 3)
    ('0.582 mm', '0.543 1/m')
    """

    bow_1: float | np.ndarray = 0.0
    bow_2: float | np.ndarray = 0.0
    angles_1: np.ndarray | None = None
    angles_2: np.ndarray | None = None

    def land_curvature(self, sheet: int):
        """Curvature of sheet 1 or 2 at the land end [1/m]."""
        angles = getattr(self, f"angles_{sheet}")
        return plain(angles @ FIRST[0] / getattr(self, f"contact_arclength_{sheet}"))

    def bending_curvature(self, sheet: int):
        """What the curvature of sheet 1 or 2 at the land end differs from its bow [1/m]."""
        return self.land_curvature(sheet) - getattr(self, f"bow_{sheet}")

    def outline(self, sheet: int, stations=101):
        """Mid-surface of sheet 1 or 2, land end to front edge; as `UnequalBend.outline`."""
        side = _SIDES[sheet - 1]
        arc, bow, start = (as_columns(getattr(self, f"{n}_{sheet}")) for n in ("contact_arclength", "bow", "thickness"))
        s = self._stations(stations)
        angles = getattr(self, f"angles_{sheet}")
        x, y = (_between(trace(angles) @ CUMULATIVE.T, s / arc) for trace in (np.cos, np.sin))
        run, rise, _ = front_arc(as_columns(angles[..., -1]), np.maximum(s - arc, 0.0), bow)
        return arc * x + run, side * (0.5 * (start + as_columns(self.bond_line)) + arc * y + rise)

    def tangent_angle(self, sheet: int, stations=101):
        """Angle of sheet 1 or 2 against the chord line, opening positive [rad]; `stations` as for `outline`."""
        arc, bow = (as_columns(getattr(self, f"{n}_{sheet}")) for n in ("contact_arclength", "bow"))
        s = self._stations(stations)
        return _between(getattr(self, f"angles_{sheet}"), s / arc) + bow * np.maximum(s - arc, 0.0)


def _between(values, share):
    """Values at Chebyshev's points (..., points) between them, at shares of their length (..., stations)."""
    basis = np.polynomial.chebyshev.chebvander(2.0 * POINTS - 1.0, COUNT - 1)
    series = np.moveaxis(np.linalg.solve(basis, np.asarray(values)[..., None])[..., 0], -1, 0)
    place = 2.0 * np.minimum(share, 1.0) - 1.0
    return np.polynomial.chebyshev.chebval(place, series[..., None] if series.ndim > 1 else series, tensor=False)


def solve_bowed(
    free_length,
    thickness_1,
    thickness_2,
    stiffness_1,
    stiffness_2,
    spacer_diameter,
    bond_line=0.0,
    setback=0.0,
    closure: str = "floating",
    land_slope_1=0.0,
    land_slope_2=0.0,
    bow_1=0.0,
    bow_2=0.0,
) -> BowedBend:
    """Exact bent shape of two different sheets, each with its own bow, on one rod.

    Parameters
    ----------
    bow_1, bow_2 : float or array
        Curvature of each sheet before bending, away from the chord line positive [1/m].
    others
        As for `solve_unequal`; the setback of a sheet is measured to the inner corner of its bowed front edge.

    Returns
    -------
    BowedBend
        Where there is no equilibrium the results are nan and `reason` says why, for a single pair too.

    Raises
    ------
    ValueError
        As `solve_unequal`, and for a bow beyond `MOST_BOW`.

    Examples
    --------
    Two alike sheets, one of them bowed by 1 mm over 0.4 m and laid so that it stands open: the nose goes to its side.

    >>> bow = 8 * 1e-3 / 0.4**2
    >>> pair = solve_bowed(0.225, 0.002, 0.002, 12.0, 12.0, 0.018, bow_1=bow)
    >>> round(1e3 * float(pair.camber()[1][-1]), 2)  # mm
    0.63
    """
    lengths = free_length, thickness_1, thickness_2, stiffness_1, stiffness_2, spacer_diameter, bond_line, setback
    flat = solve_unequal(*lengths, closure, land_slope_1, land_slope_2)
    ends = dict(low=-MOST_BOW, high=MOST_BOW, hint="away from the chord line positive, 0 for a flat sheet")
    bows = read_together({f"bow of sheet {i}": (b, "1/m", ends) for i, b in ((1, bow_1), (2, bow_2))})
    given = [flat.free_length, flat.thickness_1, flat.thickness_2, flat.spacer_diameter, flat.bond_line]
    given += [np.asarray(v, dtype=float) for v in (setback, stiffness_1, stiffness_2, *bows)]
    start = [getattr(flat, name) for name in _START]
    angles = [np.asarray(flat.tangent_angle(i, POINTS * as_columns(start[i - 1]))) for i in (1, 2)]
    shape = np.broadcast_shapes(*map(np.shape, (*given, *start)))
    angles = [np.moveaxis(np.broadcast_to(a, (*shape, COUNT)), -1, 0) for a in angles]
    rows = in_chunks(lambda *now: _solve_rows(closure, *now), (*given, *start, *angles[0], *angles[1]), CHUNK)
    inputs = np.broadcast_arrays(*given, flat.land_slope_1, flat.land_slope_2)
    solved = [plain(v) for v in rows[:-2]]
    kept = [plain(np.array(v)) for v in (*inputs[:5], *inputs[10:], *inputs[8:10])]
    return BowedBend(*kept[:5], *solved, *kept[5:], *rows[-2:])


_START = (
    "contact_arclength_1", "contact_arclength_2", "wavenumber_1", "wavenumber_2", "rod_offset", "reason_code",
    "land_slope_1", "land_slope_2",
)  # fmt: skip


def _solve_rows(closure, length, t1, t2, diameter, gap, setback, d1, d2, bow_1, bow_2, *flat):
    """Columns of `BowedBend` from the contact angles to the reason, then its angles; `flat`: the pair without bows."""
    arcs, waves, offset, codes, slopes, angles = flat[:2], flat[2:4], flat[4], flat[5], flat[6:8], flat[8:]
    with np.errstate(all="ignore"):
        given = np.array([t1, t2, 0.5 * diameter, gap, setback]) / length
        given = np.vstack([given, slopes, np.log(d1 / d2)[None], length * np.array([bow_1, bow_2])])
        sheets = [
            np.vstack([angles[i * COUNT : (i + 1) * COUNT], arcs[i] / length, (waves[i] * length) ** 2]) for i in (0, 1)
        ]
        state = np.vstack([*sheets, offset / length])

        def solve(state, share, which):
            now = given[:, which].copy()
            now[-2:] *= share
            return _newton(state, now, closure)

        state = continuation(solve, state)
        return _columns(state, given, (length, d1, d2), codes, closure)


def _newton(state, given, closure):
    """New states, and which of them are solutions in which the rod presses both sheets within their length."""

    def misses(states, values):
        return equations(states, values, closure)

    def move(states, which):
        return newton_move(misses, states, given[:, which], lambda *now: slopes(*now, closure))

    def goes_on(states, moved):
        return np.max(np.abs(moved) / (1.0 + np.abs(states)), axis=0) >= 1e-13

    state = newton(move, goes_on, state, _MAX_ITERATIONS)
    return state, solved(state, misses(state, given))


def solved(state, miss):
    """Which states of these residuals are solutions in which the rod presses both sheets within their length."""
    one, two, _ = split(state)
    good = np.max(np.abs(miss), axis=0) < TOLERANCE
    for angle, arc, force in (one, two):
        good &= (0.0 < arc) & (arc <= 1.0 + 1e-12) & (force > 0.0) & (np.max(np.abs(angle), axis=0) <= 0.5 * np.pi)
    return good


def split(state):
    """(angles, arclength, force N L^2 / D) of each sheet, and the rod's offset."""
    own = COUNT + 2
    sheets = [(state[i : i + COUNT], state[i + COUNT], state[i + COUNT + 1]) for i in (0, own)]
    return *sheets, state[-1]


def equations(state, given, closure="floating"):
    """Residuals; axis 0 are the unknowns, the rest states. `given`: thickness of both, radius of the rod, bond line,
    setback, slopes, logarithm of D1/D2, bows; in units of the free length."""
    radius, gap, setback = given[2:5]
    *sheets, offset = split(state)
    rows, run, back, push = [], [], [], []
    for i, (angle, arc, force) in enumerate(sheets):
        thickness, slope, bow = given[i], given[5 + i], given[8 + i]
        along, rise = contact(angle, arc)
        reach = radius + 0.5 * thickness
        lift = rise + 0.5 * (thickness + gap) - reach * np.cos(angle[-1]) - _SIDES[i] * offset
        rows += [balance(angle, arc, force, thickness, slope=slope, bow=bow), lift[None]]
        run.append(along + reach * np.sin(angle[-1]))
        back.append(setback_of(angle, arc, thickness, radius, bow))
        push.append(np.exp(0.5 * _SIDES[i] * given[7]) * force * np.cos(angle[-1]))
    last = offset + 0.0 * push[0] if closure == "jig" else push[0] - push[1]
    ends = run[0] - run[1], 0.5 * (back[0] + back[1]) - setback, last
    return np.concatenate([*rows, *(end[None] for end in ends)])


def slopes(state, given, closure="floating"):
    """Slopes of `equations`, (equations, cases, unknowns), in a fraction of the time of complex steps."""
    *sheets, _ = split(state)
    table = np.zeros((len(state), len(state), state.shape[1]))
    for i, (angle, arc, force) in enumerate(sheets):
        rows, columns = table[i * (COUNT + 1) :][: COUNT + 1], slice(i * (COUNT + 2), (i + 1) * (COUNT + 2))
        by_angle, by_arc, by_force = balance_slopes(angle, arc, force)
        rows[:COUNT, columns] = np.concatenate([by_angle, by_arc[:, None], by_force[:, None]], axis=1)
        lift, run, back, push = _end_slopes(angle, arc, force, given, i)
        rows[COUNT, columns], rows[COUNT, -1] = lift, -_SIDES[i]
        table[-3:, columns] += _SIDES[i] * run, 0.5 * back, _SIDES[i] * push
    if closure == "jig":
        table[-1], table[-1, -1] = 0.0, 1.0
    return table.transpose(0, 2, 1)


def _end_slopes(angle, arc, force, given, i):
    """Slopes of lift, run, setback and push of a sheet by its own unknowns, (4, unknowns, cases)."""
    radius, thickness, bow = given[2], given[i], given[8 + i]
    reach, last, tip = radius + 0.5 * thickness, COUNT - 1, angle[-1:]
    lift, run, back, push = table = np.zeros((4, COUNT + 2, len(arc)))
    lift[:COUNT], lift[COUNT] = arc * WEIGHTS[:, None] * np.cos(angle), across(WEIGHTS, np.sin(angle))
    run[:COUNT], run[COUNT] = -arc * WEIGHTS[:, None] * np.sin(angle), across(WEIGHTS, np.cos(angle))
    lift[last] += reach * np.sin(tip[0])
    run[last] += reach * np.cos(tip[0])
    step = 1j * RELATIVE_STEP  # complex steps, of two numbers
    back[last] = np.imag(setback_of(tip + step, arc, thickness, radius, bow)) / RELATIVE_STEP
    back[COUNT] = np.imag(setback_of(tip, arc + step, thickness, radius, bow)) / RELATIVE_STEP
    share = np.exp(0.5 * _SIDES[i] * given[7])
    push[last], push[COUNT + 1] = -share * force * np.sin(tip[0]), share * np.cos(tip[0])
    return table


def _columns(state, given, scale, codes, closure):
    length, d1, d2 = scale
    *sheets, offset = split(state)
    th, arc, force = (np.array([s[j][-1] if j == 0 else s[j] for s in sheets]) for j in (0, 1, 2))
    force = force * np.array([d1, d2]) / length**2
    reach = given[2] + 0.5 * given[:2]
    back = [setback_of(s[0], s[1], given[i], given[2], given[8 + i]) for i, s in enumerate(sheets)]
    x = [contact(s[0], s[1])[0] + reach[i] * np.sin(th[i]) for i, s in enumerate(sheets)]
    jig = force[0] * np.cos(th[0]) - force[1] * np.cos(th[1]) if closure == "jig" else np.zeros_like(d1)
    residual = np.max(np.abs(equations(state, given, closure)), axis=0)
    codes = np.where((codes == 0) & ~np.isfinite(residual), BOWED_AWAY, codes).astype(np.int8)
    waves = np.sqrt(force / np.array([d1, d2]))
    numbers = (*th, *(length * arc), *waves, length * offset, 0.5 * length * (x[0] + x[1]), *(length * np.array(back)))
    columns = [np.where(codes == 0, v, np.nan) for v in (*numbers, *force, jig, residual)]
    return (*columns, codes, *(np.where(codes == 0, s[0], np.nan).T for s in sheets))
