"""The matched pair as built: friction at the rod, a land that is not quite parallel or gives way, sheets that were
not flat.

One sheet of the pair, by symmetry, exact for large deflections. The rod presses it with N normal to the sheet and T
along it, T acting at the inner face, half a thickness off the mid-surface. With the tangent angle th(s), the bow k0
(curvature of the free sheet), and th_c at the contact,

    D th'' = -N cos(th_c - th) - T sin(th_c - th),     th'(s_c) = k0 + T t / (2 D),     th(0) = slope + M0 / spring.

In front of the contact the sheet is an arc of its own bow. Without friction, bow, slope and give this is `bend`;
with a hinge in place of the land (spring zero) it is the flat wedge. Solved by spectral collocation and Newton's
method.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .bend import solve_bend
from .sheet_tests import chebyshev

_NODES = 24
_POINTS, _FIRST, _SECOND, _WEIGHTS, _CUMULATIVE = chebyshev(_NODES)
TOLERANCE = 1e-11  # of the residuals, all made dimensionless
RELATIVE_STEP = 1e-30  # complex step of the Jacobian: no cancellation
FORCE_NOISE = 1e-8  # of N L^2 / D: with a hinge for a land N is zero, and rounding leaves either sign


class NotFound(ValueError):
    """No equilibrium was found; the text says what was asked."""


@dataclass(frozen=True, eq=False)
class RealBend:
    """One sheet of a pair as built. Per metre of span. `contact_angle` [rad]; `contact_arclength` [m];
    `contact_force` N across and `contact_shear` T along the sheet, forwards positive, on the sheet [N/m];
    `land_slope` [rad]; `land_moment` [N m/m]; `spacer_position`, `mouth` [m]; `land_strain`, bending strain at the
    land that comes on top of a stress-free bow [-]; `strain_energy` of one sheet [J/m]; `arclength`, `angle`, `x`,
    `y` of the mid-surface, land end to contact, arrays of stations; `residual` [-]."""

    contact_angle: float
    contact_arclength: float
    contact_force: float
    contact_shear: float
    land_slope: float
    land_moment: float
    spacer_position: float
    mouth: float
    land_strain: float
    strain_energy: float
    arclength: np.ndarray
    angle: np.ndarray
    x: np.ndarray
    y: np.ndarray
    residual: float

    @property
    def push_out_force(self) -> float:
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
    free_length, sheet_thickness, spacer_diameter, bond_line, setback : float
        As for `solve_bend` [m]; the setback is measured to the inner corner of the bowed front edge.
    bending_stiffness : float
        D [N m], per metre of span.
    friction : float
        T / N, signed: positive while the rod is about to slide out (it drags the sheets forwards), negative while
        it is driven in. Its size is the coefficient of friction.
    land_slope : float
        Measured slope of each sheet at the land end, away from the chord line positive [rad].
    land_spring : float
        Moment per turn of the land, per metre of span [N m/rad per m]; infinite: rigid, 0: hinged.
    bow : float
        Curvature of the sheet before bending, positive if it curves away from the chord line [1/m].

    Returns
    -------
    RealBend

    Raises
    ------
    InfeasibleBend
        If even the frictionless flat sheet cannot be bent so.
    NotFound
        If no equilibrium was found near it.
    ValueError
        For a stiffness, friction or spring out of range.
    """
    if not bending_stiffness > 0 or not np.isfinite(friction) or abs(friction) > 2 or not land_spring >= 0:
        raise ValueError(
            f"bending stiffness {bending_stiffness!r}, friction {friction!r}, land spring {land_spring!r}: give a "
            "positive stiffness, friction between -2 and 2 and a spring of zero or more"
        )
    base = solve_bend(free_length, sheet_thickness, spacer_diameter, bond_line, setback)
    give = bending_stiffness / (free_length * land_spring) if land_spring > 0 else np.inf
    frame = _Frame(
        sheet_thickness / free_length,
        0.5 * spacer_diameter / free_length,
        bond_line / free_length,
        setback / free_length,
    )
    goal = np.array([friction, land_slope, 1.0 if np.isinf(give) else give / (1.0 + give), bow * free_length])
    state = _approach(frame, goal, _start(base, free_length))
    return _record(frame, goal, state, free_length, sheet_thickness, bending_stiffness)


@dataclass(frozen=True)
class _Frame:
    """Lengths over the free length."""

    thickness: float
    radius: float
    gap: float
    setback: float


def _start(base, length):
    s = _POINTS * base.contact_arclength
    return np.concatenate([base.tangent_angle(s), [base.contact_arclength / length, (base.wavenumber * length) ** 2]])


def _approach(frame, goal, state):
    """Bring friction, slope, give and bow on in steps, each from the last state; smaller ones where Newton does not
    arrive."""
    done, step = 0.0, 1.0
    while done < 1.0:
        share = min(done + step, 1.0)
        trial = _newton(frame, share * goal, state)
        if trial is None:
            step *= 0.5
            if step < 1e-3:
                raise NotFound(
                    "no equilibrium was found with this friction, land and bow: the sheet is too far from the ideal "
                    "one, or the spacer too close to the greatest; use smaller values or a smaller spacer"
                )
            continue
        state, done = trial, share
    return state


def _newton(frame, settings, state):
    for _ in range(30):
        miss = _equations(state, frame, settings)
        steps = state[:, None] + 1j * RELATIVE_STEP * np.eye(len(state))
        jacobian = np.imag(_equations(steps, frame, settings)) / RELATIVE_STEP
        try:
            move = np.linalg.solve(jacobian, miss)
        except np.linalg.LinAlgError:
            return None
        state = state - move
        if not np.all(np.isfinite(state)) or np.max(np.abs(state[:-2])) > np.pi:
            return None
        if np.max(np.abs(move) / (1.0 + np.abs(state))) < 1e-13:
            break
    good = np.max(np.abs(_equations(state, frame, settings))) < TOLERANCE * (1.0 + abs(state[-1]))
    return state if good and state[-1] > -FORCE_NOISE and 0.0 < state[-2] <= 1.0 + 1e-12 else None


def _equations(state, frame, settings):
    """Residuals of angle nodes, contact arclength and N L^2 / D; columns are states. Analytic, so complex steps
    pass through."""
    friction, slope, share, bow = settings
    angle, arc, force = state[:-2], state[-2], state[-1]
    end, push = angle[-1], force * friction
    turn = end - angle
    rows = _SECOND @ angle + arc**2 * (force * np.cos(turn) + push * np.sin(turn))
    moment = (_FIRST[0] @ angle) / arc - bow
    rows[0] = (1.0 - share) * (angle[0] - slope) - share * moment
    rows[-1] = (_FIRST[-1] @ angle) / arc - bow - 0.5 * push * frame.thickness
    rise = arc * (_WEIGHTS @ np.sin(angle)) + 0.5 * (frame.thickness + frame.gap)
    reach = frame.radius + 0.5 * frame.thickness
    contact = rise - reach * np.cos(end)
    tip = _front(end, 1.0 - arc, bow)
    setback = tip[0] + 0.5 * frame.thickness * np.sin(tip[2]) - reach * np.sin(end) - frame.radius - frame.setback
    return np.concatenate([rows, [contact, setback]]) if state.ndim == 1 else np.vstack([rows, contact, setback])


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


def _record(frame, settings, state, length, thickness, stiffness):
    friction, _, _, bow = settings
    angle, arc, force = state[:-2], state[-2] * length, state[-1] * stiffness / length**2
    x, y = arc * (_CUMULATIVE @ np.cos(angle)), arc * (_CUMULATIVE @ np.sin(angle))
    y = y + 0.5 * length * (frame.thickness + frame.gap)
    bending = (_FIRST @ angle) / arc - bow / length
    tip = _front(angle[-1], 1.0 - state[-2], bow)
    mouth = 2.0 * (y[-1] + length * tip[1] - 0.5 * thickness * np.cos(tip[2]))
    return RealBend(
        contact_angle=float(angle[-1]),
        contact_arclength=float(arc),
        contact_force=float(force),
        contact_shear=float(friction * force),
        land_slope=float(angle[0]),
        land_moment=float(stiffness * bending[0]),
        spacer_position=float(x[-1] + length * (frame.radius + 0.5 * frame.thickness) * np.sin(angle[-1])),
        mouth=float(mouth),
        land_strain=float(0.5 * thickness * bending[0]),
        strain_energy=float(0.5 * stiffness * arc * (_WEIGHTS @ bending**2)),
        arclength=_POINTS * arc,
        angle=angle,
        x=x,
        y=y,
        residual=float(np.max(np.abs(_equations(state, frame, settings)))),
    )


@dataclass(frozen=True)
class RodForces:
    """Forces on the rod along the chord, per metre of span [N/m]: `push_in` drives it towards the land; `pull_out`
    brings it out (negative: it comes by itself); `push_out` frictionless. `holds`: friction keeps it.
    `force_change`: largest relative change of the contact force by friction [-]."""

    push_in: float
    pull_out: float
    push_out: float
    holds: bool
    force_change: float


def rod_forces(
    free_length, sheet_thickness, spacer_diameter, bending_stiffness, bond_line=0.0, setback=0.0, friction=0.3, **real
) -> RodForces:
    """Both limits of friction at the rod; arguments as for `real_bend`, `friction` its coefficient, zero or more."""
    given = (free_length, sheet_thickness, spacer_diameter, bending_stiffness, bond_line, setback)
    smooth, out, back = (real_bend(*given, friction=f, **real) for f in (0.0, friction, -friction))
    change = max(abs(b.contact_force / smooth.contact_force - 1.0) for b in (out, back))
    return RodForces(
        push_in=back.push_out_force,
        pull_out=-out.push_out_force,
        push_out=smooth.push_out_force,
        holds=bool(out.push_out_force <= 0.0),
        force_change=float(change),
    )
