"""Two different sheets over one rod: the exact bent shape of an unmatched pair.

Each sheet obeys the same equations as in `bend`, with its own thickness and bending stiffness. The rod floats: it
moves across the chord line, towards the sheet of less bending stiffness, until the two contact forces balance across
the chord, and the part becomes a cambered blade. x along the chord from the land end, y across it from the middle of
the bond line, sheet 1 on the side of positive y. A slope of each sheet at the land end may be given: the sheet is
still a piece of the rectangular elastica, only turned less in all, by contact angle minus slope.

Closures, that is what is imposed besides the sheets and the rod:

    "floating"  the rod is free across the chord; the mean of the two setbacks is imposed.
    "jig"       the rod's centre is held on the line y = 0, which takes a force; the mean setback is imposed.

Left out: friction, bow (see `unequal_bow`), a land that gives way under load (see `as_built_bend` for a matched pair
with all of these).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import read_choice
from . import elastica
from .bend import solve_bend
from .numerics import ANY_NUMBER, continuation, in_chunks, newton, plain, read_together

# ----- The three equations, solved for arrays of pairs by Newton's method.
#
# In units of the free length. Unknown are the contact angle of each sheet and the offset of the rod's centre; the rod's
# centre has one x, the mean setback is imposed, and either the forces balance across the chord (floating) or the offset
# is zero (jig). From the matched pair of mean thickness the mismatch and the slopes at the land are brought on in
# steps, in one where Newton's method arrives. Exact derivatives, three by three, Cramer's rule. A step that turns a
# sheet by more than `FARTHEST` is taken again in halves, so that the equilibrium stays the one the matched pair leads
# to, on its lower branch; the tests follow pairs with the mismatch growing. Derived here; geometry and signs in
# `unequal`.


TOLERANCE = 1e-13  # of the residuals, all made dimensionless
FARTHEST = 0.4  # angle a sheet may turn by in one step [rad]
_MAX_STEPS = 80
_MAX_ITERATIONS = 25
_SETTLED = 1e-8  # relative size of the last Newton step; the error left is about its square


def _solve_rows(length, t1, t2, diameter, g, setback, d1, d2, slope_1, slope_2, closure):
    """Rows of numbers, one for each pair: the fields of `UnequalBend` from `contact_angle_1` to `reason_code`."""
    with np.errstate(all="ignore"):
        mean = solve_bend(length, 0.5 * (t1 + t2), diameter, g, setback)
        goal = np.array([t1, t2]) / length
        alike = np.broadcast_to(0.5 * (goal[0] + goal[1]), goal.shape)
        ends = alike, goal - alike, np.array([slope_1, slope_2]), np.log(d1 / d2)
        problem = np.array([0.5 * diameter, g, setback]) / length
        state = np.array([mean.contact_angle, mean.contact_angle, np.zeros_like(length)])
        state = continuation(lambda *now: _step(*now, ends, problem, closure), state, _MAX_STEPS)
        return _columns(state, goal, ends[2], problem, (length, d1, d2, mean.reason_code), closure)


def _step(state, share, which, ends, problem, closure):
    """States of some pairs with a share of the mismatch and the slopes, and which of them stay near their last ones."""
    alike, change, slopes, ratio = ends
    given = alike[:, which] + share * change[:, which], share * slopes[:, which], share * ratio[which]
    trial, miss = _newton(state, given, problem[:, which], closure)
    return trial, (miss < TOLERANCE) & np.all(np.abs(trial[:2] - state[:2]) < FARTHEST, axis=0)


def _newton(state, given, problem, closure):
    """Newton's method for all pairs at once: the new states and their residuals."""

    def move(states, which):
        residual, jacobian = _equations(states, *(v[..., which] for v in given), problem[:, which], closure)
        return _cramer(jacobian, residual)

    def goes_on(states, moved):
        return np.max(np.abs(moved[:2] / states[:2]), axis=0) > _SETTLED

    state = newton(move, goes_on, state, _MAX_ITERATIONS)
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


# ----- The pair, for floats and arrays.


CLOSURES = ("floating", "jig")
CHUNK = 4096  # pairs solved together: the working arrays stay in the processor's cache
REASONS = (
    "",
    "the sheets cannot be bent over this spacer even if they were alike: see the reason for the mean sheet",
    "no equilibrium was found: the sheets are too unlike for this spacer, or it is close to the greatest one",
    "one of the sheets no longer touches the rod within its length",
    "with these bows no equilibrium was found in which the rod presses both sheets: they are bowed too much for it",
)
BOWED_AWAY = 4


@dataclass(frozen=True, eq=False)
class UnequalBend:
    """Bent shape of an unmatched pair; floats or arrays of the broadcast shape. Index 1 and 2 are the two sheets.

    Attributes
    ----------
    free_length, thickness_1, thickness_2, spacer_diameter, bond_line : the inputs [m]
    contact_angle_1, contact_angle_2 : tangent angle at the contact, opening positive [rad]
    contact_arclength_1, contact_arclength_2 : of the contact, from the land end [m]
    wavenumber_1, wavenumber_2 : k, so that N = D k^2 [1/m]
    rod_offset : y of the rod's centre, positive towards sheet 1 [m]
    spacer_position : x of the rod's centre [m]
    setback_1, setback_2 : of each sheet [m]
    contact_force_1, contact_force_2 : [N per metre of span]
    jig_force : that holds the rod across the chord, zero when it floats [N/m]
    residual : of the dimensionless equations [-]
    reason_code : index into `REASONS`, 0 where there is an equilibrium
    land_slope_1, land_slope_2 : as given [rad]

    >>> from panelmech.mechanics import solve_unequal
    >>> from panelmech.units import show
    >>> bent = solve_unequal(0.225, 0.002, 0.0021, 12.8, 14.8, 0.018, 0.0003, 0.003)
    >>> show(bent.contact_force_1, "N/m", 3), show(bent.contact_force_2, "N/m", 3)
    ('38.0 N/m', '38.0 N/m')
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
    land_slope_1: float | np.ndarray = 0.0
    land_slope_2: float | np.ndarray = 0.0

    @property
    def feasible(self):
        """True where an equilibrium was found."""
        return np.asarray(self.reason_code) == 0

    @property
    def reason(self):
        """Why not, in words."""
        words = np.asarray(REASONS)[self.reason_code]
        return str(words) if words.ndim == 0 else words

    def _turn(self, sheet):
        """Angle a sheet turns between land end and contact [rad]."""
        return getattr(self, f"contact_angle_{sheet}") - getattr(self, f"land_slope_{sheet}")

    def land_curvature(self, sheet: int):
        """Curvature of sheet 1 or 2 at the land end, its largest [1/m]."""
        return getattr(self, f"wavenumber_{sheet}") * elastica.along(self._turn(sheet))

    def bending_curvature(self, sheet: int):
        """The same less what the sheet had before it was bent, here none [1/m]."""
        return self.land_curvature(sheet)

    def surface_strain(self, sheet: int):
        """Bending strain at the land of sheet 1 or 2 [-]."""
        return 0.5 * getattr(self, f"thickness_{sheet}") * self.bending_curvature(sheet)

    def opening_energy(self, stiffness_1, stiffness_2):
        """Energy released per area of land that opens [J/m2]: D curvature^2 / 2 of both arms, which for flat sheets is
        M^2 / (2 D) (ASTM D5528, simple beam theory). A bow that the land holds straight is set free too (derived here:
        the bending energy behind the crack less that ahead of it, and the work of the moment)."""
        return sum(0.5 * d * self.land_curvature(i) ** 2 for i, d in ((1, stiffness_1), (2, stiffness_2)))

    def outline(self, sheet: int, stations=101):
        """Mid-surface of sheet 1 or 2, land end to front edge.

        `stations`: number of points, evenly spaced; or arclengths from the land end [m], of the pair's shape with one
        more axis for the stations. Returns x, y [m], of the pair's shape with one more axis.
        """
        t, k, th, arc = (as_columns(getattr(self, f"{n}_{sheet}")) for n in _SHEET)
        side = 1.0 if sheet == 1 else -1.0
        s = self._stations(stations)
        psi = elastica.angle_at(k * np.maximum(arc - s, 0.0))
        sine, cosine, reach = np.sin(th), np.cos(th), 0.5 * (as_columns(self.spacer_diameter) + t)
        px = as_columns(self.spacer_position) - reach * sine
        py = reach * cosine + side * as_columns(self.rod_offset)
        ahead = np.maximum(s - arc, 0.0) - elastica.along(psi) / k
        across = elastica.across(psi) / k
        return px + ahead * cosine - across * sine, side * (py + ahead * sine + across * cosine)

    def tangent_angle(self, sheet: int, stations=101):
        """Angle of sheet 1 or 2 against the chord line, opening positive [rad]; `stations` as for `outline`."""
        _, k, th, arc = (as_columns(getattr(self, f"{n}_{sheet}")) for n in _SHEET)
        return th - elastica.angle_at(k * np.maximum(arc - self._stations(stations), 0.0))

    @property
    def outer_thickness(self):
        """Distance of the outer corners of both front edges across the chord [m]."""
        out = 0.0
        for sheet, side in ((1, 1.0), (2, -1.0)):
            y, tip = self.outline(sheet, 2)[1][..., -1], self.tangent_angle(sheet, 2)[..., -1]
            out = out + side * y + 0.5 * getattr(self, f"thickness_{sheet}") * np.cos(tip)
        return plain(out)

    def _stations(self, stations):
        if np.ndim(stations) == 0:
            return as_columns(self.free_length) * np.linspace(0.0, 1.0, int(stations))
        return np.asarray(stations, dtype=float)

    def camber(self, stations: int = 101):
        """Mean line: x and y [m] half-way between the sheets, at equal shares of their lengths; the pair's shape with
        one more axis for the stations. y is positive towards sheet 1."""
        x1, y1 = self.outline(1, stations)
        x2, y2 = self.outline(2, stations)
        return 0.5 * (x1 + x2), 0.5 * (y1 + y2)


_SHEET = ("thickness", "wavenumber", "contact_angle", "contact_arclength")


def as_columns(value):
    """A value with one more axis for the stations where it is an array."""
    return np.asarray(value, dtype=float)[..., None] if np.ndim(value) else float(value)


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
    land_slope_1=0.0,
    land_slope_2=0.0,
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
    land_slope_1, land_slope_2 : float or array
        Measured slope of each sheet at the land end, away from the chord line positive [rad].

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
    from the rise of each sheet (`mechanics.unequal`). Relative accuracy 1e-10 away from the fold. Derived
    here; to first order the offset is (R - g/2)(D2 - D1)/(D1 + D2).

    >>> from panelmech.mechanics import solve_unequal
    >>> from panelmech.units import show
    >>> bent = solve_unequal(0.225, 0.002, 0.0021, 12.8, 14.8, 0.018)  # the second 5 % thicker
    >>> show(bent.rod_offset, "mm", 3)
    '0.654 mm'
    """
    read_choice(closure, "closure", CLOSURES)
    stiff = dict(above=0.0, hint="D = E t^3 / 12 in SI units")
    slope = dict(low=-0.5 * np.pi, high=0.5 * np.pi, hint="in radians, 0 for a parallel land")
    given = read_together(
        {
            "free length": (free_length, "mm"),
            "thickness of sheet 1": (thickness_1, "mm"),
            "thickness of sheet 2": (thickness_2, "mm"),
            "spacer diameter": (spacer_diameter, "mm"),
            "bond line": (bond_line, "mm"),
            "setback": (setback, "mm"),
            "bending stiffness of sheet 1": (stiffness_1, "N m", stiff),
            "bending stiffness of sheet 2": (stiffness_2, "N m", stiff),
            "slope of sheet 1 at the land end": (land_slope_1, "deg", slope),
            "slope of sheet 2 at the land end": (land_slope_2, "deg", slope),
        },
        **ANY_NUMBER,
    )
    solved = in_chunks(lambda *rows: _solve_rows(*rows, closure), given, CHUNK)
    given = np.broadcast_arrays(*given)
    return UnequalBend(*map(plain, (*given[:5], *solved, *given[8:])))
