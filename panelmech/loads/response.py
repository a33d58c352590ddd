"""What the loads do to the section, case by case and station by station: stresses, shear flows, opening, strains.

Arrays are (cases, stations) unless said otherwise. Everything is magnitude, positive, except `pressure` and
`land_moment`, which keep their sign (outward, opening).

Bending: the section is one elastic body, so a fibre at y carries E M y / EI with the modulus E of its own part. Shear:
single closed cell between land and rod, closures rigid; flow of the side force (`mechanics.section.wall_flow`)
less T_c / (2 A) of the cell's share T_c of the torque about the shear centre (Bredt; Megson, eq. 17.1). The cell takes
the share that it has in GJ, rod, land and potting the rest; where that is not known it takes all. The two add with
their signs and are greatest at the land end or at the rod; the bond of the land passes what its own sheets add as well.
Against finite elements the flow of a side force is 2.7 % low in the sheet at the land and 1.4 % high at the rod, that
of a torque 5 to 24 % high on five sections (all of the torque: 1.3 to 9 times).

Opening of the land: a pressure p on the skin, outwards, bends the sheet between land and rod like a beam clamped at
the land, and adds p s_c^2 / 12 to the land moment M0 of forming where the front is potted, p s_c^2 / 8 where it only
rests (any beam table; straight strip far from the frames). The bent strip whose front may draw in has up to 0.8 % more
at 12 degrees of contact angle, one whose front is held has half as much or less, and frames take their part (tests).
Moments add, energies do not: G = (M0 + M_p)^2 / D, by the double cantilever beam of `forming` (derived here); adding
the two energies would leave out 2 M0 M_p / D, as much as both together where the moments are alike. Both arms are
taken with the greater moment, on the safe side for a pressure on one face only.

Strain, combined: at each point of the sheet the forming strain across, the strain of skin pressure (everywhere as at
the land) and the strain along the span are added as magnitudes, as if they had one direction; the largest sum counts.
An upper bound: forming bends across, the side force along, and the first is greatest at the land, the second at the
front.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics import forming
from ..mechanics.section import wall_flow, wall_stations

FRONTS = {"potted": 1.0 / 12.0, "resting": 1.0 / 8.0}  # land moment over p s_c^2


@dataclass(frozen=True, eq=False)
class Response:
    """Answer of `respond`; (cases, stations) each, SI.

    `sheet_stress`, `spacer_stress`, `potting_stress`: along the span at the outer fibre of each part [Pa];
    `skin_compression`: of the sheet's middle, at the rod [Pa].
    `sheet_flow`, `land_flow`, `nose_flow`: shear flow, largest in the sheets, through the bond of the land, from each
    sheet into rod and potting [N/m]; `sheet_shear`, `land_shear`, `nose_shear`: over sheet thickness, land width,
    straight front end of the sheet [Pa]. `pressure` on the skin [Pa]; `land_moment`, forming and pressure [N m/m];
    `opening_energy` [J/m2]. `span_strain` at the outer fibre, `combined_strain` [-]; `forming_strain` (stations,) [-].
    """

    sheet_stress: np.ndarray
    spacer_stress: np.ndarray
    potting_stress: np.ndarray
    skin_compression: np.ndarray
    sheet_flow: np.ndarray
    land_flow: np.ndarray
    nose_flow: np.ndarray
    sheet_shear: np.ndarray
    land_shear: np.ndarray
    nose_shear: np.ndarray
    pressure: np.ndarray
    land_moment: np.ndarray
    opening_energy: np.ndarray
    span_strain: np.ndarray
    combined_strain: np.ndarray
    forming_strain: np.ndarray


def respond(bend, numbers: dict, whole, shear, moment, local_torque, pressure, front: str = "potted") -> Response:
    """Response of the sections to what the span carries.

    Parameters
    ----------
    bend : Bend
        Arrays over stations. `numbers`: as of `study.quantities.gather`; `whole`:
        `mechanics.section.CompositeSection` of the same stations.
    shear, moment, local_torque : array (cases, stations)
        [N], [N m], torque about the shear centre [N m].
    pressure : array (cases, stations)
        On the skin, outward positive [Pa].
    front : str
        A key of `FRONTS`: how the sheet is held at the rod.

    Raises
    ------
    ValueError
        An unknown front.
    """
    if front not in FRONTS:
        raise ValueError(f"front is {front!r}: give one of {', '.join(FRONTS)}")
    bending = np.abs(moment) / whole.chord_stiffness  # curvature
    flows = _flows(bend, numbers, whole, shear, local_torque)
    t, stiffness = bend.sheet_thickness, _stiffness(numbers, bend)
    added = FRONTS[front] * pressure * bend.contact_arclength**2
    land = stiffness * bend.land_curvature + added
    pressed = 0.5 * t * np.abs(added) / stiffness
    opening = np.maximum(land, 0.0) ** 2 / stiffness
    return Response(
        numbers["span_modulus"] * bending * 0.5 * bend.outer_thickness,
        numbers["spacer_modulus"] * bending * 0.5 * bend.spacer_diameter,
        numbers["resin_modulus"] * bending * 0.5 * bend.mouth,
        numbers["span_modulus"] * bending * bend.contact_y,
        *flows,
        flows[0] / t,
        flows[1] / numbers["land_length"],
        flows[2] / bend.overhang,
        pressure,
        land,
        opening,
        bending * 0.5 * bend.outer_thickness,
        combined_strain(bend, bending, pressed),
        0.5 * t * bend.land_curvature,
    )


def fibre_stress(moment, chord_stiffness, modulus, distance):
    """Stress E M y / EI [Pa] of a fibre at `distance` y from the chord line [m] in a part of this modulus [Pa]."""
    return modulus * np.asarray(moment) * distance / chord_stiffness


def opening_energy(land_moment, added_moment, bending_stiffness):
    """Energy released per area of land that opens under forming and service [J/m2]: (M0 + M)^2 / D, none where the
    sum presses the land shut. Moments per metre of span [N m/m], D of one sheet [N m]."""
    return np.maximum(np.asarray(land_moment) + added_moment, 0.0) ** 2 / bending_stiffness


def combined_strain(bend, curvature, pressed):
    """Largest sum over the sheet of forming, pressure and span strain [-], (cases, stations); see the module's text.

    `curvature` of the span [1/m] and `pressed`, the strain of skin pressure [-], (cases, stations); bend (stations,).
    """
    _, y, s, c, _ = wall_stations(bend)
    t, angle, k = (np.asarray(q)[..., None] for q in (bend.sheet_thickness, bend.contact_angle, bend.wavenumber))
    turn = np.clip(np.sin(angle) * c - np.cos(angle) * s, 0.0, None)  # sine of the angle still to turn
    across = 0.5 * t * k * np.sqrt(2.0 * turn)
    distance = y + 0.5 * t * c
    land, front = (0.5 * np.asarray(q)[..., None] for q in (t[..., 0] * bend.land_curvature, bend.outer_thickness))
    start = t + 0.5 * np.asarray(bend.bond_line)[..., None]
    forming_share = np.concatenate([land, across, 0.0 * front], axis=-1)
    distance = np.concatenate([start, distance, front], axis=-1)
    return np.max(forming_share + np.asarray(curvature)[..., None] * distance, axis=-1) + pressed


def envelope(values):
    """(least, greatest) over the load cases at each station; (cases, stations) to (stations,) each."""
    values = np.atleast_2d(values)
    return values.min(axis=0), values.max(axis=0)


def _flows(bend, numbers, whole, shear, torque):
    unit = wall_flow(bend, numbers, whole.chord_stiffness)
    share = np.where(np.isnan(whole.torsion_stiffness), 1.0, whole.cell_stiffness / whole.torsion_stiffness)
    turn = share * torque / (2.0 * bend.cell_area)
    parts = (unit.land, unit.contact, unit.nose, unit.bond)
    land, contact, nose, bond = (np.abs(shear * part - turn) for part in parts)
    return np.maximum(land, contact), bond, nose


def _stiffness(numbers, bend):
    return forming.bending_stiffness(numbers["bending_modulus"], bend.sheet_thickness)
