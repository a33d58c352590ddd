"""The three equations of an unmatched pair, solved for arrays of pairs by Newton's method.

In units of the free length. Unknown are the contact angle of each sheet and the offset of the rod's centre; the rod's
centre has one x, the mean setback is imposed, and either the forces balance across the chord (floating) or the offset
is zero (jig). From the matched pair of mean thickness the mismatch and the slopes at the land are brought on in steps,
in one where Newton's method arrives. Exact derivatives, three by three, Cramer's rule. A step that turns a sheet by
more than `FARTHEST` is taken again in halves, so that the equilibrium stays the one the matched pair leads to, on its
lower branch; the tests follow pairs with the mismatch growing. Derived here; geometry and signs in `unequal`.
"""

from __future__ import annotations

import numpy as np

from . import elastica
from .bend import solve_bend

TOLERANCE = 1e-13  # of the residuals, all made dimensionless
FARTHEST = 0.4  # angle a sheet may turn by in one step [rad]
_MAX_STEPS = 80
_MAX_ITERATIONS = 25
_SETTLED = 1e-8  # relative size of the last Newton step; the error left is about its square


def solve_flat(length, t1, t2, diameter, g, setback, d1, d2, slope_1, slope_2, closure):
    """Rows of numbers, one for each pair: the fields of `UnequalBend` from `contact_angle_1` to `reason_code`."""
    with np.errstate(all="ignore"):
        mean = solve_bend(length, 0.5 * (t1 + t2), diameter, g, setback)
        goal = np.array([t1, t2]) / length
        alike = np.broadcast_to(0.5 * (goal[0] + goal[1]), goal.shape)
        ends = alike, goal - alike, np.array([slope_1, slope_2]), np.log(d1 / d2)
        problem = np.array([0.5 * diameter, g, setback]) / length
        state = np.array([mean.contact_angle, mean.contact_angle, np.zeros_like(length)])
        state, done = _approach(state, ends, problem, closure)
        state[:, done < 1.0] = np.nan
        return _columns(state, goal, ends[2], problem, (length, d1, d2, mean.reason_code), closure)


def _approach(state, ends, problem, closure):
    """Mismatch and slopes brought on in steps from the matched pair, smaller ones where Newton's method does not arrive
    or goes far; all pairs at once. The last state, and the share of the mismatch it has."""
    alike, change, slopes, ratio = ends
    done, step = np.zeros_like(state[0]), np.ones_like(state[0])
    todo = np.flatnonzero(np.isfinite(state[0]))
    for _ in range(_MAX_STEPS):
        if not todo.size:
            break
        share = np.minimum(done[todo] + step[todo], 1.0)
        given = alike[:, todo] + share * change[:, todo], share * slopes[:, todo], share * ratio[todo]
        trial, miss = _newton(state[:, todo], given, problem[:, todo], closure)
        good = (miss < TOLERANCE) & np.all(np.abs(trial[:2] - state[:2, todo]) < FARTHEST, axis=0)
        state[:, todo[good]], done[todo[good]] = trial[:, good], share[good]
        step[todo[~good]] *= 0.5
        todo = todo[(done[todo] < 1.0) & (step[todo] > 1e-3)]
    return state, done


def _newton(state, given, problem, closure):
    """Newton's method for all pairs at once: the new states and their residuals."""
    state, left = state.copy(), np.arange(state.shape[1])
    for _ in range(_MAX_ITERATIONS):
        here = tuple(v[..., left] for v in given)
        residual, jacobian = _equations(state[:, left], *here, problem[:, left], closure)
        state[:, left] -= (moved := _cramer(jacobian, residual))
        # false for nan: such a pair is given up
        left = left[np.max(np.abs(moved[:2] / state[:2, left]), axis=0) > _SETTLED]
        if not left.size:
            break
    miss = np.max(np.abs(_equations(state, *given, problem, closure)[0]), axis=0)
    return state, np.where(np.isfinite(miss), miss, np.inf)


def _cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def _cramer(table, right):
    """Solution of 3 by 3 systems by Cramer's rule: (3, 3, n), (3, n) -> (3, n)."""
    first, second, third = (_cross(table[i], table[j]) for i, j in ((1, 2), (2, 0), (0, 1)))
    return (right[0] * first + right[1] * second + right[2] * third) / np.sum(table[0] * first, axis=0)


def _equations(state, thickness, slopes, ratio, problem, closure):
    """Residuals (3, n) and Jacobian (3, 3, n) by angle 1, angle 2 and offset; all in units of the free length."""
    sheet = _Parts(state, thickness, slopes, problem)
    x, x_th, x_y = sheet.centre()
    e, e_th, e_y = sheet.setbacks()
    zero = np.zeros_like(state[2])
    if closure == "jig":
        last = (state[2], zero, zero, zero + 1.0)
    else:  # log of N1 cos th1 over N2 cos th2
        logs = np.log(sheet.c) - 2.0 * np.log(sheet.inverse)
        slope = -sheet.s / sheet.c - 2.0 * sheet.inverse_slope / sheet.inverse
        by_offset = -2.0 * sheet.inverse_offset / sheet.inverse
        last = (ratio + logs[0] - logs[1], slope[0], -slope[1], by_offset[0] - by_offset[1])
    rows = (
        (x[0] - x[1], x_th[0], -x_th[1], x_y[0] - x_y[1]),
        (0.5 * (e[0] + e[1]) - problem[2], 0.5 * e_th[0], 0.5 * e_th[1], 0.5 * (e_y[0] + e_y[1])),
        last,
    )
    table = np.array(rows)
    return table[:, 0], table[:, 1:]


_SIDES = np.array([[1.0], [-1.0]])


class _Parts:
    """Geometry of both sheets at a state (angle 1, angle 2, rod offset), with derivatives; sheet on axis 0. In units of
    the free length."""

    def __init__(self, state, thickness, slopes, problem):
        self.radius, gap, _ = problem
        th = state[:2]
        turn = th - slopes
        s, c = np.sin(th), np.cos(th)
        along, across = elastica.along(turn), elastica.across(turn)
        self.arc, self.reach = elastica.arclength(turn), self.radius + 0.5 * thickness
        self.rise, self.run = along * s - across * c, along * c + across * s  # in units of 1/k
        along_slope, across_slope = np.cos(turn) / along, 0.5 * along  # of X and I1: sqrt(sin / 2) = X / 2
        rise_slope = along_slope * s - across_slope * c + self.run
        self.run_slope = along_slope * c + across_slope * s - self.rise
        lift = self.radius - 0.5 * gap - 2.0 * self.reach * np.sin(0.5 * th) ** 2 + _SIDES * state[2]
        self.inverse = lift / self.rise  # 1/k
        self.inverse_slope = (-self.reach * s - self.inverse * rise_slope) / self.rise
        self.inverse_offset = _SIDES / self.rise
        self.s, self.c, self.along = s, c, along

    def centre(self):
        """x of the rod's centre from each sheet, and its derivatives by own angle and by offset."""
        value = self.run * self.inverse + self.reach * self.s
        slope = self.run_slope * self.inverse + self.run * self.inverse_slope + self.reach * self.c
        return value, slope, self.run * self.inverse_offset

    def setbacks(self):
        """Setback of each sheet, and its derivatives by own angle and by offset."""
        ahead = 1.0 - self.arc * self.inverse
        value = ahead * self.c - self.radius * (1.0 + self.s)
        arc_slope = self.inverse / self.along + self.arc * self.inverse_slope
        slope = -arc_slope * self.c - ahead * self.s - self.radius * self.c
        return value, slope, -self.arc * self.inverse_offset * self.c


def _columns(state, thickness, slopes, problem, scale, closure):
    length, d1, d2, mean_code = scale
    sheet = _Parts(state, thickness, slopes, problem)
    wave, arc = 1.0 / (sheet.inverse * length), sheet.arc * sheet.inverse
    force = np.array([d1, d2]) * wave**2
    jig = force[0] * sheet.c[0] - force[1] * sheet.c[1] if closure == "jig" else np.zeros_like(d1)
    residual = np.max(np.abs(_equations(state, thickness, slopes, np.log(d1 / d2), problem, closure)[0]), axis=0)
    codes = np.zeros(len(d1), dtype=np.int8)
    codes[~np.isfinite(residual)] = 2
    codes[(codes == 0) & (np.any(arc <= 0.0, axis=0) | np.any(arc > 1.0 + 1e-15, axis=0))] = 3
    codes[np.asarray(mean_code) != 0] = 1
    e, x = length * sheet.setbacks()[0], length * sheet.centre()[0]
    out = (*state[:2], *(length * arc), *wave, length * state[2], 0.5 * (x[0] + x[1]), *e, *force, jig, residual)
    return (*(np.where(codes == 0, v, np.nan) for v in out), codes)
