"""The equations of one sheet of a pair as built, solved for arrays of pairs: geometry in `as_built_bend`.

In units of the free length. The tangent angle at Chebyshev's points between land end and contact, the arclength to the
contact and the force are the unknowns: spectral collocation, converging geometrically, with Newton's method and a
Jacobian by complex steps. The error of 24 points is below that of the residual for every case of the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .bend import solve_bend
from .collocation import chebyshev

_NODES = 24
_POINTS, _FIRST, _SECOND, _WEIGHTS, _CUMULATIVE = chebyshev(_NODES)
TOLERANCE = 1e-11  # of the residuals, all made dimensionless
FORCE_NOISE = 1e-8  # of N L^2 / D: with a hinge for a land N is zero, and rounding leaves either sign
RELATIVE_STEP = 1e-30  # complex step of the Jacobian: no cancellation


def solve_flat(length, thickness, diameter, gap, setback, stiffness, friction, slope, spring, bow):
    """Columns of `RealBend` for arrays of pairs, all SI; nan where there is no equilibrium."""
    with np.errstate(all="ignore"):
        base = solve_bend(length, thickness, diameter, gap, setback)
        give = 1.0 / (1.0 + length * spring / stiffness)  # 0 rigid, 1 hinged
        frame = _Frame(*np.array([thickness, 0.5 * diameter, gap, setback]) / length)
        goal = np.array([friction, slope, give, bow * length])
        state = _approach(frame, goal, _start(base, length))
        return _columns(frame, goal, state, length, thickness, stiffness)


@dataclass(frozen=True)
class _Frame:
    """Lengths over the free length, arrays of pairs."""

    thickness: np.ndarray
    radius: np.ndarray
    gap: np.ndarray
    setback: np.ndarray

    def of(self, which):
        """The same for some of the pairs."""
        return _Frame(self.thickness[which], self.radius[which], self.gap[which], self.setback[which])

    def spread(self):
        """With one more axis, for the columns of a Jacobian."""
        return self.of((slice(None), None))


def _start(base, length):
    angle = base.tangent_angle(_POINTS * base.contact_arclength[:, None])
    return np.vstack([angle.T, base.contact_arclength / length, (base.wavenumber * length) ** 2])


def _approach(frame, goal, state):
    """Bring friction, slope, give and bow on in steps, each from the last state; smaller ones where Newton does not
    arrive. All pairs at once; nan where it never arrives."""
    done, step = np.zeros(state.shape[1]), np.ones(state.shape[1])
    todo = np.flatnonzero(np.isfinite(state[-1]))
    while todo.size:
        share = np.minimum(done[todo] + step[todo], 1.0)
        trial, good = _newton(frame.of(todo), share * goal[:, todo], state[:, todo])
        state[:, todo[good]], done[todo[good]] = trial[:, good], share[good]
        step[todo[~good]] *= 0.5
        todo = todo[(done[todo] < 1.0) & (step[todo] > 1e-3)]
    state[:, done < 1.0] = np.nan
    return state


def _newton(frame, settings, state):
    """New states, and which of them are solutions."""
    state, left = state.copy(), np.arange(state.shape[1])
    for _ in range(30):
        here = frame.of(left), settings[:, left]
        miss = _equations(state[:, left], *here)
        move = _move(state[:, left], miss, *here)
        state[:, left] -= move
        usable = np.isfinite(move).all(axis=0) & (np.max(np.abs(state[:-2, left]), axis=0) <= np.pi)
        state[:, left[~usable]] = np.nan
        left = left[usable & (np.max(np.abs(move) / (1.0 + np.abs(state[:, left])), axis=0) >= 1e-13)]
        if not left.size:
            break
    miss = np.max(np.abs(_equations(state, frame, settings)), axis=0)
    good = (miss < TOLERANCE * (1.0 + np.abs(state[-1]))) & (state[-1] > -FORCE_NOISE)
    return state, good & (0.0 < state[-2]) & (state[-2] <= 1.0 + 1e-12)


def _move(state, miss, frame, settings):
    """Newton's step, by a complex-step Jacobian: (unknowns, pairs); nan where it is singular."""
    steps = state[:, :, None] + 1j * RELATIVE_STEP * np.eye(len(state))[:, None, :]
    jacobian = np.imag(_equations(steps, frame.spread(), settings[..., None])) / RELATIVE_STEP
    sound = np.isfinite(jacobian).all(axis=(0, 2)) & np.isfinite(miss).all(axis=0)
    table = np.where(sound[:, None, None], jacobian.transpose(1, 0, 2), np.eye(len(state)))
    try:
        move = np.linalg.solve(table, miss.T[..., None])[..., 0].T
    except np.linalg.LinAlgError:
        return np.full_like(state, np.nan)
    return np.where(sound, move, np.nan)


def _equations(state, frame, settings):
    """Residuals of angle nodes, contact arclength and N L^2 / D; axis 0 are the unknowns, the rest states. Analytic, so
    complex steps pass through."""
    friction, slope, share, bow = settings
    angle, arc, force = state[:-2], state[-2], state[-1]
    end, push = angle[-1], force * friction
    turn = end - angle
    rows = _across(_SECOND, angle) + arc**2 * (force * np.cos(turn) + push * np.sin(turn))
    moment = _across(_FIRST[0], angle) / arc - bow
    rows[0] = (1.0 - share) * (angle[0] - slope) - share * moment
    rows[-1] = _across(_FIRST[-1], angle) / arc - bow - 0.5 * push * frame.thickness
    rise = arc * _across(_WEIGHTS, np.sin(angle)) + 0.5 * (frame.thickness + frame.gap)
    reach = frame.radius + 0.5 * frame.thickness
    contact = rise - reach * np.cos(end)
    tip = _front(end, 1.0 - arc, bow)
    setback = tip[0] + 0.5 * frame.thickness * np.sin(tip[2]) - reach * np.sin(end) - frame.radius - frame.setback
    return np.concatenate([rows, contact[None], setback[None]])


def _across(table, values):
    """A matrix or row times the nodes on axis 0, whatever axes follow."""
    return np.tensordot(table, values, axes=1)


def _front(angle, ahead, bow):
    """Front edge from the contact: run along x, rise along y, and the angle there, of an arc of constant curvature."""
    turn = bow * ahead
    small = 1.0 - turn**2 / 6.0 + turn**4 / 120.0 - turn**6 / 5040.0  # sin(turn) / turn
    half = 0.5 * turn * (1.0 - turn**2 / 12.0 + turn**4 / 360.0 - turn**6 / 20160.0)  # (1 - cos(turn)) / turn
    return (
        ahead * (small * np.cos(angle) - half * np.sin(angle)),
        ahead * (small * np.sin(angle) + half * np.cos(angle)),
        angle + turn,
    )


def _columns(frame, settings, state, length, thickness, stiffness):
    """In the order of `RealBend`; stations on the last axis."""
    friction, _, _, bow = settings
    angle, arc, force = state[:-2], state[-2] * length, state[-1] * stiffness / length**2
    x, y = arc * (_CUMULATIVE @ np.cos(angle)), arc * (_CUMULATIVE @ np.sin(angle))
    y = y + 0.5 * length * (frame.thickness + frame.gap)
    bending = (_FIRST @ angle) / arc - bow / length
    tip = _front(angle[-1], 1.0 - state[-2], bow)
    return (
        angle[-1],
        arc,
        force,
        friction * force,
        angle[0],
        stiffness * bending[0],
        x[-1] + length * (frame.radius + 0.5 * frame.thickness) * np.sin(angle[-1]),
        2.0 * (y[-1] + length * tip[1] - 0.5 * thickness * np.cos(tip[2])),
        0.5 * thickness * bending[0],
        0.5 * stiffness * arc * (_WEIGHTS @ bending**2),
        (_POINTS[:, None] * arc).T,
        angle.T,
        x.T,
        y.T,
        np.max(np.abs(_equations(state, frame, settings)), axis=0),
    )
