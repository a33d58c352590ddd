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
from .numerics import chebyshev, continuation, in_chunks, newton, plain, read_together

# ----- The equations, solved for arrays of pairs.
#
# In units of the free length. The tangent angle at Chebyshev's points between land end and contact, the arclength to
# the contact and the force are the unknowns: spectral collocation, converging geometrically, with Newton's method and a
# Jacobian by complex steps. The error of 24 points is below that of the residual for every case of the tests.


_NODES = 24
_POINTS, _FIRST, _SECOND, _WEIGHTS, _CUMULATIVE = chebyshev(_NODES)
TOLERANCE = 1e-11  # of the residuals, all made dimensionless
FORCE_NOISE = 1e-8  # of N L^2 / D: with a hinge for a land N is zero, and rounding leaves either sign
RELATIVE_STEP = 1e-30  # complex step of the Jacobian: no cancellation


def _solve_rows(length, thickness, diameter, gap, setback, stiffness, friction, slope, spring, bow):
    """Columns of `RealBend` for arrays of pairs, all SI; nan where there is no equilibrium."""
    with np.errstate(all="ignore"):
        base = solve_bend(length, thickness, diameter, gap, setback)
        give = 1.0 / (1.0 + length * spring / stiffness)  # 0 rigid, 1 hinged
        frame = _Frame(*np.array([thickness, 0.5 * diameter, gap, setback]) / length)
        goal = np.array([friction, slope, give, bow * length])

        def solve(state, share, which):
            return _newton(frame.of(which), share * goal[:, which], state)

        state = continuation(solve, _start(base, length))
        return _columns(frame, goal, state, length, thickness, stiffness)


@dataclass(frozen=True, eq=False)
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


def _newton(frame, settings, state):
    """New states, and which of them are solutions."""

    def move(states, which):
        here = frame.of(which), settings[:, which]
        return _move(states, _equations(states, *here), *here)

    def goes_on(states, moved):
        turned = np.max(np.abs(states[:-2]), axis=0) <= np.pi
        return turned & (np.max(np.abs(moved) / (1.0 + np.abs(states)), axis=0) >= 1e-13)

    state = newton(move, goes_on, state, 30)
    miss = np.max(np.abs(_equations(state, frame, settings)), axis=0)
    good = (miss < TOLERANCE * (1.0 + np.abs(state[-1]))) & (state[-1] > -FORCE_NOISE)
    good &= np.max(np.abs(state[:-2]), axis=0) <= np.pi
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
