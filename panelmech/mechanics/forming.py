"""Forming: what bending the sheets does to the sheet, the rod and the joint.

Everything is per metre of span unless a name says "total", and follows in closed form from the bent shape and the
bending stiffness D of one sheet. Frictionless, elastic, no creep: the values are those of the moment of forming.

Which modulus: a sheet much wider than thick bends without narrowing (cylindrical bending) and shows E / (1 - nu^2); a
narrow strip shows E (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, ch. 1). The choice is by width over
thickness and is always stated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import elastica
from .bend import Bend
from .numerics import plain, read_together

WIDE_FROM = 10.0  # width over thickness from which a sheet counts as wide (common practice, no source)


@dataclass(frozen=True, eq=False)
class FormingLoads:
    """Loads of the bent pair, floats or arrays of the bend's shape.

    Attributes
    ----------
    contact_force : N on each sheet [N/m]
    land_moment : M0 in each sheet at the land end [N m/m]
    push_out_force : with which both sheets together press the rod out along the chord [N/m]
    opening_energy : G released per area of land that opens [J/m2]
    strain_energy : stored in both sheets together [J/m]
    lift_off_pressure : outward, at which a sheet that only rests on the rod leaves it (small-deflection estimate) [Pa]

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> loads = evaluate(demo().design, local=False).forming
    >>> show(loads.push_out_force, "N/m", 3), show(loads.opening_energy, "J/m2", 3)
    ('4.42 N/m', '4.42 J/m²')
    """

    contact_force: float | np.ndarray
    land_moment: float | np.ndarray
    push_out_force: float | np.ndarray
    opening_energy: float | np.ndarray
    strain_energy: float | np.ndarray
    lift_off_pressure: float | np.ndarray


def bending_modulus(modulus, poisson, width, thickness):
    """Modulus that resists bending along the chord, and whether it is the wide-sheet one.

    Parameters
    ----------
    modulus : float or array
        Young's modulus along the bend, E [Pa].
    poisson : float or array
        Poisson's ratio nu, more than -1, up to 0.5 [-].
    width, thickness : float or array
        Span of the sheet and its thickness [m].

    Returns
    -------
    value : float or array [Pa]
        E / (1 - nu^2) where width >= 10 thickness, else E. Of a sheet with a grain nu^2 stands for the product of the
        two Poisson's ratios, nu^2 E_across / E: too high where the modulus across the bend is the lower of the two, too
        low where it is the higher, by 4 % for nu = 0.05 and E_across = 16 E.
    wide : bool or array of bool
    """
    modulus, poisson, width, thickness = read_together(
        {
            "modulus": (modulus, "GPa"),
            "Poisson's ratio": (poisson, "", dict(above=-1.0, high=0.5)),
            "width": (width, "mm", dict(low=0.0, nan=True, infinite=True)),
            "thickness": (thickness, "mm"),
        },
        above=0.0,
        nan=True,
    )
    wide = np.asarray(width) >= WIDE_FROM * np.asarray(thickness)
    value = np.where(wide, modulus / (1.0 - np.asarray(poisson) ** 2), modulus)
    return plain(value), plain(wide)


def bending_stiffness(modulus, thickness):
    """D = E t^3 / 12 per metre of span [N m], with the modulus of `bending_modulus` [Pa] and the thickness [m]; both
    positive, nan where not known."""
    modulus, thickness = read_together(
        {"modulus": (modulus, "GPa"), "thickness": (thickness, "mm")}, above=0.0, nan=True
    )
    return modulus * thickness**3 / 12.0


def forming_loads(bend: Bend, bending_stiffness) -> FormingLoads:
    """Forces, moment and energies of the exact bent shape.

    Parameters
    ----------
    bend : Bend
        From `solve_bend`; where not feasible the loads are nan.
    bending_stiffness : float or array
        D of one sheet [N m], that is per metre of span; positive. ValueError for anything else.

    Notes
    -----
    N = D k^2, M0 = D th'(0), push-out 2 N sin th, U = D k I1 per sheet (derived here from the rectangular
    elastica). G = M0^2 / D: the land opens like a double cantilever beam loaded by end moments, each arm releasing
    M0^2 / (2 D) (simple beam theory of ASTM D5528 and ISO 25217). It equals the push-out force per metre, exactly:
    both are the force that moves the whole curve along the chord.
    Lift-off: the propped cantilever under even pressure p presses its prop with 3 p s_c / 8, so the contact is lost at
    about p = 8 N / (3 s_c).

    >>> from panelmech import forming_loads, solve_bend
    >>> from panelmech.units import show
    >>> loads = forming_loads(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), bending_stiffness=12.8)
    >>> show(loads.contact_force, "N/m", 3), show(loads.land_moment, "N m/m", 3)
    ('35.4 N/m', '7.52 N·m/m')
    """
    stiffness, _ = read_together(
        {
            "bending stiffness": (bending_stiffness, "N m", dict(above=0.0, hint="D = E t^3 / 12")),
            "the bend": (bend.contact_angle, "deg", dict(nan=True)),
        }
    )
    return loads_of(bend, stiffness)


def loads_of(bend: Bend, bending_stiffness) -> FormingLoads:
    """`forming_loads` of a stiffness that is not read but worked out, nan where it is not known."""
    force = bending_stiffness * bend.wavenumber**2
    moment = bending_stiffness * bend.land_curvature
    energy = 2.0 * bending_stiffness * bend.wavenumber * elastica.across(bend.contact_angle)
    return FormingLoads(
        contact_force=force,
        land_moment=moment,
        push_out_force=2.0 * force * np.sin(bend.contact_angle),
        opening_energy=moment**2 / bending_stiffness,
        strain_energy=energy,
        lift_off_pressure=8.0 * force / (3.0 * bend.contact_arclength),
    )


def surface_strain(bend: Bend, arclength):
    """Bending strain at the surface of the sheet [-], t th'/2, at `arclength` from the land end [m].

    Tension on the inner face (towards the other sheet), compression on the outer face; greatest at the land end, zero
    in front of the contact.
    """
    thickness = bend.sheet_thickness
    if np.ndim(thickness) and np.ndim(arclength) > np.ndim(thickness):
        thickness = np.asarray(thickness)[..., None]
    return 0.5 * thickness * bend.curvature(arclength)


def springback(bend: Bend):
    """How far each sheet's front edge moves towards the chord line if it is let go before anything has cured [m].

    The elastic sheet returns to flat: from half the mouth to half the bond line.
    """
    return 0.5 * (bend.mouth - bend.bond_line)
