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

from .as_built_equations import solve_flat
from .bend import solve_bend

CHUNK = 64  # pairs solved together: their Jacobians stay in the processor's cache


class NotFound(ValueError):
    """No equilibrium was found; the text says what was asked."""


@dataclass(frozen=True, eq=False)
class RealBend:
    """One sheet of a pair as built; floats, or arrays of the broadcast shape. Per metre of span.

    `contact_angle` [rad]; `contact_arclength` [m]; `contact_force` N across and `contact_shear` T along the sheet,
    forwards positive, on the sheet [N/m]; `land_slope` [rad]; `land_moment` [N m/m]; `spacer_position`, `mouth` [m];
    `land_strain`, bending strain at the land that comes on top of a stress-free bow [-]; `strain_energy` of one sheet
    [J/m]; `arclength`, `angle`, `x`, `y` of the mid-surface, land end to contact, with a last axis for the stations;
    `residual` [-]. In arrays a pair without an equilibrium is nan.
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
    """
    given = [
        np.asarray(v, dtype=float)
        for v in (
            free_length,
            sheet_thickness,
            spacer_diameter,
            bond_line,
            setback,
            bending_stiffness,
            friction,
            land_slope,
            land_spring,
            bow,
        )
    ]
    _refuse(*given[5:])
    shape = np.broadcast_shapes(*(g.shape for g in given))
    if shape == ():
        solve_bend(*(float(g) for g in given[:5]))  # raises, with the reason
    flat = [np.broadcast_to(g, shape).reshape(-1) for g in given]
    parts = [solve_flat(*(f[i : i + CHUNK] for f in flat)) for i in range(0, max(flat[0].size, 1), CHUNK)]
    columns = [np.concatenate(c) for c in zip(*parts, strict=True)]
    if shape == () and not np.isfinite(columns[0][0]):
        raise NotFound(
            "no equilibrium was found with this friction, land and bow: the sheet is too far from the ideal one, or "
            "the spacer too close to the greatest; use smaller values or a smaller spacer"
        )
    columns = [c.reshape(shape + c.shape[1:]) for c in columns]
    return RealBend(*(float(c) if c.ndim == 0 else c for c in columns))


def _refuse(stiffness, friction, slope, spring, bow):
    good = (stiffness > 0) & (np.abs(friction) <= 2) & (spring >= 0) & np.isfinite(slope) & np.isfinite(bow)
    if not np.all(good):
        first = np.flatnonzero(~good.ravel())[0]
        words = [f"{np.broadcast_to(v, good.shape).flat[first]:.6g}" for v in (stiffness, friction, spring, slope, bow)]
        raise ValueError(
            f"bending stiffness {words[0]}, friction {words[1]}, land spring {words[2]}, land slope {words[3]}, bow "
            f"{words[4]}: give a positive stiffness, friction between -2 and 2, a spring of zero or more, finite slope "
            "and bow"
        )


@dataclass(frozen=True)
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
    friction = np.asarray(friction, dtype=float)
    if np.any(~(friction >= 0.0)):
        raise ValueError(f"friction is {np.min(friction):.4g}: give its coefficient, zero or more, for both directions")
    given = (free_length, sheet_thickness, spacer_diameter, bending_stiffness, bond_line, setback)
    smooth, out, back = (real_bend(*given, friction=f, **real) for f in (0.0 * friction, friction, -friction))
    change = np.maximum(*(np.abs(b.contact_force / smooth.contact_force - 1.0) for b in (out, back)))
    holds = out.push_out_force <= 0.0
    return RodForces(
        push_in=back.push_out_force,
        pull_out=-out.push_out_force,
        push_out=smooth.push_out_force,
        holds=bool(holds) if np.ndim(holds) == 0 else holds,
        force_change=float(change) if np.ndim(change) == 0 else change,
        stored_energy=2.0 * smooth.strain_energy,
    )
