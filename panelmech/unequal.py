"""Two different sheets over one rod: the exact bent shape of an unmatched pair.

Each sheet obeys the same equations as in `bend`, with its own thickness and bending stiffness. The rod floats: it
moves across the chord line, towards the softer sheet, until the two contact forces balance across the chord, and
the part becomes a cambered blade. x along the chord from the land end, y across it from the middle of the bond
line, sheet 1 on the side of positive y.

Closures, that is what is imposed besides the sheets and the rod:

    "floating"  the rod is free across the chord; the mean of the two setbacks is imposed.
    "jig"       the rod's centre is held on the line y = 0, which takes a force; the mean setback is imposed.

Left out: friction, bow, a land that turns.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import elastica
from .bend import solve_bend

CLOSURES = ("floating", "jig")
TOLERANCE = 1e-13  # of the residuals, all made dimensionless
_MAX_STEPS = 80
REASONS = (
    "",
    "the sheets cannot be bent over this spacer even if they were alike: see the reason for the mean sheet",
    "no equilibrium was found: the sheets are too unlike for this spacer, or it is close to the greatest one",
    "one of the sheets no longer touches the rod within its length",
)


@dataclass(frozen=True, eq=False)
class UnequalBend:
    """Bent shape of an unmatched pair; floats or arrays of the broadcast shape. Index 1 and 2 are the two sheets.

    Stored: lengths [m]; `contact_angle_1`, `_2` [rad]; `contact_arclength_1`, `_2` [m]; `wavenumber_1`, `_2` [1/m];
    `rod_offset`, y of the rod's centre [m], positive towards sheet 1; `spacer_position` [m]; `setback_1`, `_2` [m];
    `contact_force_1`, `_2` [N per metre of span]; `jig_force` that holds the rod across the chord, zero when it floats
    [N/m]; `residual` [-]; `reason_code`, index into `REASONS`.
    """

    free_length: float | np.ndarray
    thickness_1: float | np.ndarray
    thickness_2: float | np.ndarray
    spacer_diameter: float | np.ndarray
    bond_line: float | np.ndarray
    contact_angle_1: float | np.ndarray
    contact_angle_2: float | np.ndarray
    contact_arclength_1: float | np.ndarray
    contact_arclength_2: float | np.ndarray
    wavenumber_1: float | np.ndarray
    wavenumber_2: float | np.ndarray
    rod_offset: float | np.ndarray
    spacer_position: float | np.ndarray
    setback_1: float | np.ndarray
    setback_2: float | np.ndarray
    contact_force_1: float | np.ndarray
    contact_force_2: float | np.ndarray
    jig_force: float | np.ndarray
    residual: float | np.ndarray
    reason_code: int | np.ndarray

    @property
    def feasible(self):
        """True where an equilibrium was found."""
        return np.asarray(self.reason_code) == 0

    @property
    def reason(self):
        """Why not, in words."""
        words = np.asarray(REASONS)[self.reason_code]
        return str(words) if words.ndim == 0 else words

    def surface_strain(self, sheet: int):
        """Bending strain at the land of sheet 1 or 2 [-]."""
        t, k, th = (getattr(self, f"{n}_{sheet}") for n in ("thickness", "wavenumber", "contact_angle"))
        return 0.5 * t * k * elastica.along(th)

    def opening_energy(self, stiffness_1, stiffness_2):
        """Energy released per area of land that opens [J/m2]: M^2 / (2 D) of both arms (ASTM D5528, simple beam
        theory)."""
        pairs = (
            (stiffness_1, self.wavenumber_1, self.contact_angle_1),
            (stiffness_2, self.wavenumber_2, self.contact_angle_2),
        )
        return sum(0.5 * d * (k * elastica.along(th)) ** 2 for d, k, th in pairs)

    def outline(self, sheet: int, stations: int = 101):
        """Mid-surface of sheet 1 or 2 of a single pair, land end to front edge: x, y [m]."""
        t, k, th, arc = (
            float(getattr(self, f"{n}_{sheet}"))
            for n in ("thickness", "wavenumber", "contact_angle", "contact_arclength")
        )
        side = 1.0 if sheet == 1 else -1.0
        s = np.linspace(0.0, float(self.free_length), stations)
        psi = elastica.angle_at(k * np.maximum(arc - s, 0.0))
        sine, cosine, reach = np.sin(th), np.cos(th), 0.5 * float(self.spacer_diameter) + 0.5 * t
        px = float(self.spacer_position) - reach * sine
        py = reach * cosine + side * float(self.rod_offset)
        ahead = np.maximum(s - arc, 0.0) - elastica.along(psi) / k
        across = elastica.across(psi) / k
        return px + ahead * cosine - across * sine, side * (py + ahead * sine + across * cosine)

    def camber(self, stations: int = 101):
        """Mean line of a single pair: x and y [m] half-way between the sheets, at equal shares of their lengths."""
        x1, y1 = self.outline(1, stations)
        x2, y2 = self.outline(2, stations)
        return 0.5 * (x1 + x2), 0.5 * (y1 + y2)


def solve_unequal(
    free_length,
    thickness_1,
    thickness_2,
    stiffness_1,
    stiffness_2,
    spacer_diameter,
    bond_line=0.0,
    setback=0.0,
    closure: str = "floating",
) -> UnequalBend:
    """Exact bent shape of two different sheets on one rod.

    Parameters
    ----------
    free_length, thickness_1, thickness_2, spacer_diameter, bond_line, setback : float or array
        As for `solve_bend`, with a thickness for each sheet and the mean of the two setbacks [m].
    stiffness_1, stiffness_2 : float or array
        Bending stiffness of each sheet [N m], per metre of span; positive. Only their ratio shapes the part.
    closure : str
        "floating" or "jig".

    Returns
    -------
    UnequalBend
        Where there is no equilibrium the results are nan and `reason` says why, for a single pair too.

    Raises
    ------
    ValueError
        A stiffness that is not positive, or an unknown closure.

    Notes
    -----
    Three equations: the rod's centre has one x, the forces balance across the chord (floating) or its centre lies
    on y = 0 (jig), the mean setback. Unknown are both contact angles and the rod's offset; the wavenumbers follow
    from the rise of each sheet. Newton's method with exact derivatives from the matched pair of mean stiffness, the
    mismatch applied in steps where needed. Derived here; to first order the offset is (R - g/2)(D2 - D1)/(D1 + D2).
    """
    if closure not in CLOSURES:
        raise ValueError(f"closure is {closure!r}: give one of {', '.join(CLOSURES)}")
    given = [
        np.asarray(v, dtype=float)
        for v in (free_length, thickness_1, thickness_2, stiffness_1, stiffness_2, spacer_diameter, bond_line, setback)
    ]
    if np.any(~(given[3] > 0)) or np.any(~(given[4] > 0)):
        raise ValueError("bending stiffness must be positive in both sheets: give D = E t^3 / 12 in SI units")
    shape = np.broadcast_shapes(*(g.shape for g in given))
    flat = [np.broadcast_to(g, shape).reshape(-1).astype(float) for g in given]
    solved = _solve(*flat, closure)
    columns = [v.reshape(shape) if shape else v.reshape(()).item() for v in (*flat[:3], flat[5], flat[6], *solved)]
    return UnequalBend(*columns)


def _solve(length, t1, t2, d1, d2, diameter, g, setback, closure):
    with np.errstate(all="ignore"):
        mean = solve_bend(length, 0.5 * (t1 + t2), diameter, g, setback)
        state = np.array([mean.contact_angle, mean.contact_angle, np.zeros_like(length)])
        goal, middle, ratio = np.array([t1, t2]), np.array([0.5 * (t1 + t2)] * 2), np.log(d1 / d2)
        done, step = np.zeros_like(length), np.full_like(length, 1.0)
        problem = (length, 0.5 * diameter, g, setback, closure)
        for _ in range(_MAX_STEPS):
            todo = (done < 1.0) & (step > 1e-3) & np.isfinite(state[0])
            if not todo.any():
                break
            share = np.where(todo, np.minimum(done + step, 1.0), done)
            trial, miss = _newton(state, middle + share * (goal - middle), share * ratio, problem)
            good = todo & (miss < TOLERANCE) & (np.abs(trial[0] - state[0]) < 0.4) & (np.abs(trial[1] - state[1]) < 0.4)
            state, done = np.where(good, trial, state), np.where(good, share, done)
            step = np.where(todo & ~good, 0.5 * step, step)
        parts = _Parts(state, goal, problem)
        return _columns(parts, mean, done, d1, d2, closure, ratio)


def _newton(state, thickness, ratio, problem):
    """Newton's method for all pairs at once: the new state and the size of its residual."""
    miss = np.full(state.shape[1], np.inf)
    for _ in range(25):
        residual, jacobian = _Parts(state, thickness, problem).equations(ratio)
        miss = np.max(np.abs(residual), axis=0)
        if not np.any(miss > 1e-15):
            break
        usable = np.isfinite(jacobian).all(axis=(0, 1)) & np.isfinite(miss) & (miss > 0.0)
        moved = np.zeros_like(state)
        if usable.any():
            try:
                moved[:, usable] = np.linalg.solve(
                    jacobian[:, :, usable].transpose(2, 0, 1), residual[:, usable].T[..., None]
                )[..., 0].T
            except np.linalg.LinAlgError:
                break
        if not np.any(np.abs(moved[:2]) > 1e-16):
            break
        state = state - moved
        outside = np.any((state[:2] <= 0.0) | (state[:2] >= elastica.ANGLE_MAX), axis=0)
        state = np.where(outside, np.nan, state)
    return state, np.where(np.isfinite(miss), miss, np.inf)


class _Parts:
    """Geometry of both sheets at a state (angle 1, angle 2, rod offset), with derivatives; sheet on axis 0."""

    def __init__(self, state, thickness, problem):
        self.length, self.radius, self.gap, self.setback, self.closure = problem
        self.th, self.offset = state[:2], state[2]
        side = np.array([[1.0], [-1.0]])
        s, c = np.sin(self.th), np.cos(self.th)
        along, across = elastica.along(self.th), elastica.across(self.th)
        self.arc, self.reach = elastica.arclength(self.th), self.radius + 0.5 * thickness
        self.rise, self.run = along * s - across * c, along * c + across * s  # in units of 1/k
        lift = self.reach * c + side * self.offset - 0.5 * (thickness + self.gap)
        self.rise_slope = self.run
        self.run_slope = c * c / along - 0.5 * along * s + across * c
        self.inverse = lift / self.rise  # 1/k
        self.inverse_slope = (-self.reach * s - self.inverse * self.rise_slope) / self.rise
        self.inverse_offset = side / self.rise
        self.s, self.c, self.along = s, c, along

    def centre(self):
        """x of the rod's centre from each sheet, and its derivatives."""
        value = self.run * self.inverse + self.reach * self.s
        slope = self.run_slope * self.inverse + self.run * self.inverse_slope + self.reach * self.c
        return value, slope, self.run * self.inverse_offset

    def setbacks(self):
        """Setback of each sheet, and its derivatives."""
        ahead = self.length - self.arc * self.inverse
        value = ahead * self.c - self.radius * (1.0 + self.s)
        slope = (
            -(self.inverse / self.along + self.arc * self.inverse_slope) * self.c
            - ahead * self.s
            - self.radius * self.c
        )
        return value, slope, -self.arc * self.inverse_offset * self.c

    def equations(self, ratio):
        """Residuals (3, n) and Jacobian (3, 3, n), dimensionless but for the offset's column."""
        x, x_th, x_y = self.centre()
        e, e_th, e_y = self.setbacks()
        zero = np.zeros_like(self.offset)
        rows = [
            (
                (x[0] - x[1]) / self.length,
                x_th[0] / self.length,
                -x_th[1] / self.length,
                (x_y[0] - x_y[1]) / self.length,
            ),
            (
                (0.5 * (e[0] + e[1]) - self.setback) / self.length,
                0.5 * e_th[0] / self.length,
                0.5 * e_th[1] / self.length,
                0.5 * (e_y[0] + e_y[1]) / self.length,
            ),
        ]
        if self.closure == "jig":
            rows.append((self.offset / self.length, zero, zero, 1.0 / self.length + zero))
        else:  # log of N1 cos th1 over N2 cos th2
            logs = np.log(self.c) - 2.0 * np.log(self.inverse)
            slope = -self.s / self.c - 2.0 * self.inverse_slope / self.inverse
            by_offset = -2.0 * self.inverse_offset / self.inverse
            rows.append((ratio + logs[0] - logs[1], slope[0], -slope[1], by_offset[0] - by_offset[1]))
        table = np.array(rows)
        return table[:, 0], table[:, 1:]


def _columns(parts, mean, done, d1, d2, closure, ratio):
    wave, arc = 1.0 / parts.inverse, parts.arc * parts.inverse
    force = np.array([d1, d2]) * wave**2
    jig = force[0] * parts.c[0] - force[1] * parts.c[1] if closure == "jig" else np.zeros_like(d1)
    residual = np.max(np.abs(parts.equations(ratio)[0]), axis=0)
    codes = np.zeros(len(d1), dtype=np.int8)
    codes[done < 1.0] = 2
    codes[(codes == 0) & (np.any(arc <= 0.0, axis=0) | np.any(arc > parts.length * (1 + 1e-15), axis=0))] = 3
    codes[np.asarray(mean.reason_code) != 0] = 1
    e, x = parts.setbacks()[0], parts.centre()[0]
    out = (*parts.th, *arc, *wave, parts.offset, 0.5 * (x[0] + x[1]), *e, *force, jig, residual)
    return (*(np.where(codes == 0, v, np.nan) for v in out), codes)
