"""The matched pair as built: friction at the rod, a land that is not quite parallel or gives way, sheets that were
not flat.

One sheet of the pair, by symmetry, exact for large deflections. The rod presses it with N normal to the sheet and T
along it, T acting at the inner face, half a thickness off the mid-surface. With the tangent angle th(s), the bow k0
(curvature of the free sheet), and th_c at the contact,

    D th'' = -N cos(th_c - th) - T sin(th_c - th),     th'(s_c) = k0 + T t / (2 D),     th(0) = slope + M0 / spring.

In front of the contact the sheet is an arc of its own bow. Without friction, bow, slope and give this is `bend`;
with a hinge in place of the land (spring zero) it is the flat wedge. Solved by spectral collocation and Newton's
method, for arrays of pairs at once; forces agree with integration of the equations by other means to 1e-8 (tests).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import read_array
from .bend import read_lengths, solve_bend
from .numerics import continuation, in_chunks, newton, plain, read_together
from .pressed_sheet import (
    CUMULATIVE,
    FIRST,
    POINTS,
    TOLERANCE,
    WEIGHTS,
    balance,
    contact,
    front_arc,
    newton_move,
    setback_of,
)

# ----- The equations (`pressed_sheet`), solved for arrays of pairs by Newton's method.


FORCE_NOISE = 1e-8  # of N L^2 / D: with a hinge for a land N is zero, and rounding leaves either sign


def _solve_rows(length, thickness, diameter, gap, setback, stiffness, friction, slope, spring, bow):
    """Columns of `RealBend` for arrays of pairs, all SI; nan where there is no equilibrium."""
    with np.errstate(all="ignore"):
        base = solve_bend(length, thickness, diameter, gap, setback)
        give = 1.0 / (1.0 + length * spring / stiffness)  # 0 rigid, 1 hinged
        frame = np.array([thickness, 0.5 * diameter, gap, setback]) / length
        goal = np.array([friction, slope, give, bow * length])

        def solve(state, share, which):
            return _newton(np.vstack([frame[:, which], share * goal[:, which]]), state)

        state = continuation(solve, _start(base, length))
        return _columns(np.vstack([frame, goal]), state, length, thickness, stiffness)


def _start(base, length):
    angle = base.tangent_angle(POINTS * base.contact_arclength[:, None])
    return np.vstack([angle.T, base.contact_arclength / length, (base.wavenumber * length) ** 2])


def _newton(given, state):
    """New states, and which of them are solutions."""

    def move(states, which):
        return newton_move(_equations, states, given[:, which])

    def goes_on(states, moved):
        turned = np.max(np.abs(states[:-2]), axis=0) <= np.pi
        return turned & (np.max(np.abs(moved) / (1.0 + np.abs(states)), axis=0) >= 1e-13)

    state = newton(move, goes_on, state, 30)
    miss = np.max(np.abs(_equations(state, given)), axis=0)
    good = (miss < TOLERANCE * (1.0 + np.abs(state[-1]))) & (state[-1] > -FORCE_NOISE)
    good &= np.max(np.abs(state[:-2]), axis=0) <= np.pi
    return state, good & (0.0 < state[-2]) & (state[-2] <= 1.0 + 1e-12)


def _equations(state, given):
    """Residuals of the angles, of contact and setback; axis 0 are the unknowns, the rest states."""
    thickness, radius, gap, setback, friction, slope, give, bow = given
    angle, arc, force = state[:-2], state[-2], state[-1]
    rows = balance(angle, arc, force, thickness, friction, slope, give, bow)
    _, rise = contact(angle, arc)
    lift = rise + 0.5 * (thickness + gap) - (radius + 0.5 * thickness) * np.cos(angle[-1])
    ahead = setback_of(angle, arc, thickness, radius, bow) - setback
    return np.concatenate([rows, lift[None], ahead[None]])


def _columns(given, state, length, thickness, stiffness):
    """In the order of `RealBend`; stations on the last axis."""
    _, radius, gap, _, friction, _, _, bow = given
    angle, arc, force = state[:-2], state[-2] * length, state[-1] * stiffness / length**2
    x, y = arc * (CUMULATIVE @ np.cos(angle)), arc * (CUMULATIVE @ np.sin(angle))
    y = y + 0.5 * (thickness + length * gap)
    bending = (FIRST @ angle) / arc - bow / length
    tip = front_arc(angle[-1], 1.0 - state[-2], bow)
    return (
        angle[-1],
        arc,
        force,
        friction * force,
        angle[0],
        stiffness * bending[0],
        x[-1] + (length * radius + 0.5 * thickness) * np.sin(angle[-1]),
        2.0 * (y[-1] + length * tip[1] - 0.5 * thickness * np.cos(tip[2])),
        0.5 * thickness * bending[0],
        0.5 * stiffness * arc * (WEIGHTS @ bending**2),
        (POINTS[:, None] * arc).T,
        angle.T,
        x.T,
        y.T,
        np.max(np.abs(_equations(state, given)), axis=0),
    )


# ----- The pair, for floats and arrays.


CHUNK = 64  # pairs solved together: their Jacobians stay in the processor's cache


class NotFound(ValueError):
    """No equilibrium was found; the text says what was asked."""


@dataclass(frozen=True, eq=False)
class RealBend:
    """One sheet of a pair as built; floats, or arrays of the broadcast shape. Per metre of span.

    In arrays a pair without an equilibrium is nan.

    Attributes
    ----------
    contact_angle : [rad]
    contact_arclength : from the land end [m]
    contact_force, contact_shear : N across and T along the sheet, forwards positive, on the sheet [N/m]
    land_slope : of the sheet at the land end, away from the chord line positive [rad]
    land_moment : at the land end [N m/m]
    spacer_position, mouth : x of the rod's centre, distance of the inner corners of the sheet ends [m]
    land_strain : bending strain at the land that comes on top of a stress-free bow [-]
    strain_energy : of one sheet [J/m]
    arclength, angle, x, y : of the mid-surface, land end to contact, a last axis for the stations [m, rad, m, m]
    residual : of the dimensionless equations [-]

    >>> from panelmech.mechanics import real_bend
    >>> from panelmech.units import show
    >>> bend = real_bend(0.225, 0.002, 0.018, 12.8, 0.0003, 0.003, land_slope=0.0175)  # opened by 1 degree
    >>> show(bend.contact_angle, "deg", 3), show(bend.contact_force, "N/m", 3)
    ('3.07°', '20.5 N/m')
    """

    contact_angle: float | np.ndarray
    contact_arclength: float | np.ndarray
    contact_force: float | np.ndarray
    contact_shear: float | np.ndarray
    land_slope: float | np.ndarray
    land_moment: float | np.ndarray
    spacer_position: float | np.ndarray
    mouth: float | np.ndarray
    land_strain: float | np.ndarray
    strain_energy: float | np.ndarray
    arclength: np.ndarray
    angle: np.ndarray
    x: np.ndarray
    y: np.ndarray
    residual: float | np.ndarray

    @property
    def feasible(self):
        """True where an equilibrium was found."""
        return np.isfinite(self.contact_angle)

    @property
    def push_out_force(self):
        """Force of both sheets on the rod along the chord, outwards positive [N/m]."""
        return 2.0 * (self.contact_force * np.sin(self.contact_angle) - self.contact_shear * np.cos(self.contact_angle))


def real_bend(
    free_length,
    sheet_thickness,
    spacer_diameter,
    bending_stiffness,
    bond_line=0.0,
    setback=0.0,
    *,
    friction=0.0,
    land_slope=0.0,
    land_spring=np.inf,
    bow=0.0,
) -> RealBend:
    """Bent shape of one sheet of a matched pair as built.

    Parameters
    ----------
    free_length, sheet_thickness, spacer_diameter, bond_line, setback : float or array
        As for `solve_bend` [m]; the setback is measured to the inner corner of the bowed front edge.
    bending_stiffness : float or array
        D [N m], per metre of span.
    friction : float or array
        T / N, signed: positive while the rod is about to slide out (it drags the sheets forwards), negative while
        it is driven in. Its size is the coefficient of friction.
    land_slope : float or array
        Measured slope of each sheet at the land end, away from the chord line positive [rad].
    land_spring : float or array
        Moment per turn of the land, per metre of span [N m/rad per m]; infinite: rigid, 0: hinged.
    bow : float or array
        Curvature of the sheet before bending, positive if it curves away from the chord line [1/m].

    Returns
    -------
    RealBend
        Floats if every argument is one, else arrays.

    Raises
    ------
    InfeasibleBend
        If even the frictionless flat sheet cannot be bent so (single pair; nan in an array).
    NotFound
        If no equilibrium was found near it (single pair; nan in an array).
    ValueError
        For a stiffness, friction or spring out of range.

    >>> from panelmech.mechanics import real_bend
    >>> from panelmech.units import show
    >>> [show(real_bend(0.225, 0.002, 0.018, 12.8, bow=bow).contact_force, "N/m", 3) for bow in (-0.02, 0.0, 0.02)]
    ['36.3 N/m', '34.5 N/m', '32.7 N/m']
    """
    given = read_lengths(free_length, sheet_thickness, spacer_diameter, bond_line, setback)
    given += read_together(
        {
            "bending stiffness": (bending_stiffness, "N m", dict(above=0.0, hint="per metre of span")),
            "friction": (friction, "", dict(low=-2.0, high=2.0)),
            "land slope": (land_slope, "deg", dict(low=-0.5 * np.pi, high=0.5 * np.pi, hint="0 for a parallel land")),
            "land spring": (land_spring, "N m", dict(low=0.0, infinite=True, hint="per radian and metre of span")),
            "bow": (bow, "1/m", dict(low=-1e6, high=1e6)),
        }
    )
    single = not any(map(np.ndim, given))
    if single:
        solve_bend(*given[:5])  # raises, with the reason
    columns = in_chunks(_solve_rows, given, CHUNK)
    if single and not np.isfinite(columns[0]):
        raise NotFound(
            "no equilibrium was found with this friction, land and bow: the sheet is too far from the ideal one, or "
            "the spacer too close to the greatest; use smaller values or a smaller spacer"
        )
    return RealBend(*map(plain, columns))


@dataclass(frozen=True, eq=False)
class RodForces:
    """Forces on the rod along the chord, per metre of span [N/m]: `push_in` drives it towards the land; `pull_out`
    brings it out (negative: it comes by itself); `push_out` frictionless. `holds`: friction keeps it.
    `force_change`: largest relative change of the contact force by friction [-]. `stored_energy` in both sheets
    together, frictionless [J/m]: what springs back if something lets go. Floats, or arrays of the broadcast shape."""

    push_in: float | np.ndarray
    pull_out: float | np.ndarray
    push_out: float | np.ndarray
    holds: bool | np.ndarray
    force_change: float | np.ndarray
    stored_energy: float | np.ndarray


def rod_forces(
    free_length, sheet_thickness, spacer_diameter, bending_stiffness, bond_line=0.0, setback=0.0, friction=0.3, **real
) -> RodForces:
    """Both limits of friction at the rod; arguments as for `as_built_bend`, `friction` its coefficient, 0 or more."""
    friction = read_array(friction, "friction", "", 0.0, 2.0, hint="its coefficient, for both directions")
    given = (free_length, sheet_thickness, spacer_diameter, bending_stiffness, bond_line, setback)
    smooth, out, back = (real_bend(*given, friction=f, **real) for f in (0.0 * friction, friction, -friction))
    change = np.maximum(*(np.abs(b.contact_force / smooth.contact_force - 1.0) for b in (out, back)))
    holds = out.push_out_force <= 0.0
    return RodForces(
        push_in=back.push_out_force,
        pull_out=-out.push_out_force,
        push_out=smooth.push_out_force,
        holds=plain(holds),
        force_change=plain(change),
        stored_energy=2.0 * smooth.strain_energy,
    )
