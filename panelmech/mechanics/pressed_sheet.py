"""One sheet between its land and the rod that presses it, by spectral collocation: what the pairs are made of.

In units of the free length; the tangent angle at Chebyshev's points between land end and contact, the arclength to the
contact and the force are the unknowns. It converges geometrically: the error of 24 points is below that of the residual
for every case of the tests. All is analytic, so that Jacobians by complex steps pass through; axis 0 is that of the
points, whatever axes follow.
"""

from __future__ import annotations

import numpy as np

from .numerics import chebyshev

POINTS, FIRST, SECOND, WEIGHTS, CUMULATIVE = chebyshev(24)
COUNT = len(POINTS)
TOLERANCE = 1e-11  # of the residuals, all made dimensionless
RELATIVE_STEP = 1e-30  # complex step of the Jacobian: no cancellation


def across(table, values):
    """A matrix or row times the points on axis 0."""
    return np.tensordot(table, values, axes=1)


def balance(angle, arc, force, thickness, friction=0.0, slope=0.0, give=0.0, bow=0.0):
    """Residuals of a sheet's equilibrium (points, ...), derived in `as_built_bend`.

    force : N L^2 / D; friction : T / N; slope : of the land [rad]; give : 0 rigid land, 1 hinged; bow : curvature of
    the free sheet, away from the chord line positive. Lengths over the free length.
    """
    push, turn = force * friction, angle[-1] - angle
    rows = across(SECOND, angle) + arc**2 * (force * np.cos(turn) + push * np.sin(turn))
    moment = across(FIRST[0], angle) / arc - bow
    rows[0] = (1.0 - give) * (angle[0] - slope) - give * moment
    rows[-1] = across(FIRST[-1], angle) / arc - bow - 0.5 * push * thickness
    return rows


def contact(angle, arc):
    """Run along x and rise along y of the mid-surface, from land end to contact."""
    return arc * across(WEIGHTS, np.cos(angle)), arc * across(WEIGHTS, np.sin(angle))


def setback_of(angle, arc, thickness, radius, bow):
    """From the inner corner of the front edge to the front-most point of the rod, along x."""
    run, _, tip = front_arc(angle[-1], 1.0 - arc, bow)
    return run + 0.5 * thickness * np.sin(tip) - (radius + 0.5 * thickness) * np.sin(angle[-1]) - radius


def front_arc(angle, ahead, bow):
    """From the contact to a place so far ahead of it: run along x, rise along y, and the angle there, of an arc of
    constant curvature."""
    turn = bow * ahead
    small = 1.0 - turn**2 / 6.0 + turn**4 / 120.0 - turn**6 / 5040.0  # sin(turn) / turn
    half = 0.5 * turn * (1.0 - turn**2 / 12.0 + turn**4 / 360.0 - turn**6 / 20160.0)  # (1 - cos(turn)) / turn
    return (
        ahead * (small * np.cos(angle) - half * np.sin(angle)),
        ahead * (small * np.sin(angle) + half * np.cos(angle)),
        angle + turn,
    )


def balance_slopes(angle, arc, force):
    """Slopes of `balance`, for a rigid land and no friction, by angle (points, points, cases), arclength and force."""
    push, turn = arc**2 * force, angle[-1] - angle
    pull, ends = push * np.sin(turn), np.arange(COUNT)
    by_angle = np.repeat(SECOND[..., None], len(arc), axis=2)
    by_angle[ends, ends] += pull
    by_angle[:, -1] -= pull
    by_arc, by_force = 2.0 * arc * force * np.cos(turn), arc**2 * np.cos(turn)
    by_angle[0], by_arc[0], by_force[0] = np.eye(COUNT)[0][:, None], 0.0, 0.0
    by_angle[-1], by_arc[-1], by_force[-1] = FIRST[-1][:, None] / arc, -across(FIRST[-1], angle) / arc**2, 0.0
    return by_angle, by_arc, by_force


def complex_slopes(equations, state, given):
    """Slopes of `equations(state, given)` by complex steps, (equations, cases, unknowns)."""
    steps = state[:, :, None] + 1j * RELATIVE_STEP * np.eye(len(state))[:, None, :]
    return np.imag(equations(steps, given[..., None])) / RELATIVE_STEP


def newton_move(equations, state, given, slopes=None):
    """Newton's step of `equations(state, given)`, (unknowns, cases); nan where it is singular. `given`: numbers of the
    cases, (any, cases). `slopes(state, given)`: as of `complex_slopes`, which are taken where there are none."""
    miss = equations(state, given)
    jacobian = complex_slopes(equations, state, given) if slopes is None else slopes(state, given)
    sound = np.isfinite(jacobian).all(axis=(0, 2)) & np.isfinite(miss).all(axis=0)
    table = np.where(sound[:, None, None], jacobian.transpose(1, 0, 2), np.eye(len(state)))
    try:
        move = np.linalg.solve(table, miss.T[..., None])[..., 0].T
    except np.linalg.LinAlgError:
        return np.full_like(state, np.nan)
    return np.where(sound, move, np.nan)
