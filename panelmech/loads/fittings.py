"""Fittings of a part under its loads: the bolt through a bearing, and bonded studs, checked like everything else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..mechanics.numerics import plain, read_together
from ..study.verdicts import Check
from ..units import read_array, read_choice, read_count, read_number
from .checks import worst_check
from .plan import Own, StatedLimit, own

# ----- Standard machine-design formulas
#
# Forces [N], lengths [m], stresses [Pa]; floats or arrays. Bolted joints after Shigley's Mechanical Engineering Design,
# ch. 8 (from memory). The stresses are nominal: even over the area named. `loads.fittings`
# sets them against strengths.


FILLED_EPOXY_SHEAR = 5.5e6  # ultimate, for design, fatigue-based; a maker's guide
FILLED_EPOXY_SOURCE = "a maker's guide: 800 psi (5.5 MPa) ultimate shear of filled epoxy, for design, fatigue-based"
LEAST_STUD = 2.0  # bonded length over stud diameter; common practice, no source


def bearing_stress(force, diameter, thickness):
    """Pressure of a bolt on the side of its hole, F / (d t) [Pa]: `thickness` is the length of bolt that bears."""
    force, diameter, thickness = _read(force=force, diameter=diameter, thickness=thickness)
    return np.abs(force) / (diameter * thickness)


def bolt_shear_stress(force, diameter, planes: int = 1):
    """Mean shear stress in a bolt, F / (planes pi d^2 / 4) [Pa]; single shear 1 plane, double shear 2.

    `diameter` of what stands in the shear plane: the shank, or the thread's root where the thread runs into it.
    """
    read_choice(planes, "planes", (1, 2), hint="single or double shear")
    force, diameter = _read(force=force, diameter=diameter)
    return np.abs(force) / (planes * 0.25 * np.pi * np.square(diameter))


def tear_out_stress(force, diameter, thickness, edge_distance):
    """Shear stress on the two strips between a hole and the edge it is pulled towards, F / (2 t (a - d/2)) [Pa].

    `edge_distance` a from the hole's centre to that edge. Each strip is as long as what stands between hole and edge,
    a - d/2: the safe one of two common choices (the other takes a). ValueError where the hole cuts the edge.
    """
    force, diameter, thickness, edge_distance = _read(
        force=force, diameter=diameter, thickness=thickness, edge_distance=edge_distance
    )
    strip = np.asarray(edge_distance) - 0.5 * np.asarray(diameter)
    if np.any(strip <= 0.0):
        raise ValueError(
            f"edge distance {np.min(edge_distance):.4g} m leaves nothing beside a hole of "
            f"{np.max(diameter):.4g} m: move the hole in from the edge, by two diameters at least"
        )
    return np.abs(force) / (2.0 * np.asarray(thickness) * strip)


def net_section_stress(force, width, diameter, thickness, holes: int = 1):
    """Mean tension beside a row of holes, F / ((b - n d) t) [Pa]; no rise of stress at the hole is counted.

    ValueError where the holes take the whole width.
    """
    force, width, diameter, thickness = _read(force=force, width=width, diameter=diameter, thickness=thickness)
    left = np.asarray(width) - read_count(holes, "holes") * np.asarray(diameter)
    if np.any(left <= 0.0):
        raise ValueError(f"{holes} holes of {np.max(diameter):.4g} m leave nothing of a width of {np.min(width):.4g} m")
    return np.abs(force) / (left * thickness)


def drilled_moment(i_chord, diameter, thickness, distance):
    """Second moment left where a hole is drilled square through both sheets [m4]: I less 2 (d t y^2 + d t^3 / 12).

    `i_chord` about the chord line; hole `diameter`; sheet `thickness`; `distance` of the sheet's middle from the chord
    line, all [m]. The hole's own plug is not counted. ValueError where nothing is left.
    """
    i_chord, d, t, y = read_together(
        {
            "second moment": (i_chord, "mm4", dict(above=0.0)),
            "diameter of the hole": (diameter, "mm", dict(low=0.0)),
            "thickness": (thickness, "mm", dict(above=0.0)),
            "distance": (distance, "mm"),
        }
    )
    left = i_chord - 2.0 * d * t * (y**2 + t**2 / 12.0)
    if np.any(left <= 0.0):
        raise ValueError("the hole must leave something of the section: give a smaller hole")
    return left


def stud_length(force, diameter, factor, shear_strength=FILLED_EPOXY_SHEAR):
    """Length of a stud or sleeve bonded in filled epoxy that holds a pull [m]: F factor / (pi d tau).

    `diameter` of the bonded face: of the stud where the epoxy is the weaker, of the drilled hole where its wall is.
    `shear_strength` tau of the epoxy, by default the maker's figure above. Not less than 2 diameters (common practice,
    no source). The stress is taken as even along the bond, which holds for short studs in soft filler only.
    """
    force, diameter, factor, shear_strength = _read(
        force=force, diameter=diameter, factor=factor, shear_strength=shear_strength
    )
    needed = np.abs(force) * factor / (np.pi * np.asarray(diameter) * shear_strength)
    out = np.maximum(needed, LEAST_STUD * np.asarray(diameter))
    return plain(out)


def stud_shear_stress(force, diameter, length):
    """Mean shear stress on the bonded face of a stud, F / (pi d l) [Pa]."""
    force, diameter, length = _read(force=force, diameter=diameter, length=length)
    return np.abs(force) / (np.pi * np.asarray(diameter) * length)


def bolt_group_force(force, torque, places):
    """Largest force on one bolt of a group of equal bolts under a force and a torque [N].

    `places` (n, 2): bolt positions in the plane of the joint [m]; `force` (2,) [N] and `torque` [N m] about their
    centroid. Each bolt takes an equal share of the force, and of the torque a part that goes with its distance from the
    centroid (Shigley, ch. 8, from memory). ValueError for a torque on one bolt, or on bolts in one place.
    """
    places = read_array(places, "places of the bolts", "mm", axes=2, least=2, hint="two numbers for each bolt")
    force = read_array(force, "force on the bolts", "N", axes=1, least=2, hint="two numbers")
    torque = read_number(torque, "torque on the bolts", "N m")
    if force.shape != (2,) or places.shape[1] != 2:
        raise ValueError(f"force of shape {force.shape}, places of shape {places.shape}: give (2,) and (bolts, 2)")
    arms = places - places.mean(axis=0)
    polar = np.sum(arms**2)
    if polar == 0.0 and torque != 0.0:
        raise ValueError("bolts in one place hold no torque: give two or more, apart from each other")
    turn = torque / polar * np.stack([-arms[:, 1], arms[:, 0]], axis=1) if polar else np.zeros_like(arms)
    return float(np.max(np.hypot(*(force / len(places) + turn).T)))


def _read(**values):
    """The values as numbers or arrays that go together, all but the force positive."""
    own = {"force": ({"hint": "in N"},)}
    given = {name.replace("_", " "): (value, "", *own.get(name, ())) for name, value in values.items()}
    return read_together(given, above=0.0, hint="lengths in m, strengths in Pa")


# ----- Their checks under load


FORMULA = "nominal stress (Shigley, ch. 8, from memory)"


@dataclass(frozen=True)
class BearingBolt:
    """A bolt or pin square to the chord line at one of the two bearings, pulled along the span or chord by `pull` [N],
    entered, or pressed by the bearing's own force across the chord where `pull` is None.

    `bearing`: 0 for the one nearer the root end, 1 for the other. `diameter`; `length` of bolt that bears in the part;
    `edge_distance` from the hole's centre to the edge it is pulled towards [m]; `planes` of shear, 1 or 2. Strengths
    [Pa] of the user's: `bolt_shear`, `bearing_strength` and `shear_strength` of what it goes through."""

    name: str
    bearing: int
    diameter: float
    length: float
    edge_distance: float
    planes: int = 2
    pull: float | None = None
    bolt_shear: Own | None = None
    bearing_strength: Own | None = None
    shear_strength: Own | None = None

    def __post_init__(self):
        _read_record(self, "diameter", "length", "edge_distance")
        read_choice(self.bearing, f"{self.name}: bearing", (0, 1))
        read_choice(self.planes, f"{self.name}: planes", (1, 2))


@dataclass(frozen=True)
class BondedStud:
    """A stud or sleeve bonded in filled epoxy, `diameter` and bonded `length` [m], that holds a `pull` [N]. `strength`
    in shear [Pa], by default a maker's figure for design."""

    name: str
    diameter: float
    length: float
    pull: float
    strength: Own = Own(FILLED_EPOXY_SHEAR, FILLED_EPOXY_SOURCE)

    def __post_init__(self):
        _read_record(self, "diameter", "length")


def _read_record(record, *lengths):
    """ValueError for a length that is not positive, or a pull that is no number."""
    for name in lengths:
        read_number(getattr(record, name), f"{record.name}: {name}", "mm", above=0.0)
    if record.pull is not None:
        read_number(record.pull, f"{record.name}: pull", "N")


def bolt_checks(study, bolt: BearingBolt) -> tuple[Check, ...]:
    """Shear of the bolt, bearing and tear-out, with the governing case. ValueError for a part without bearings."""
    return _checks(study, bolt_lines(study, bolt))


def stud_checks(study, stud: BondedStud) -> tuple[Check, ...]:
    """Shear of the bonded face against its strength, and the bonded length against two diameters."""
    return _checks(study, stud_lines(study, stud))


def _checks(study, lines):
    return tuple(
        worst_check(line.key, line.name, line.values, line.limit, line.unit, line.formula, line.advice, line.at, study)
        for line in lines
    )


class Line(NamedTuple):
    """What a check of a fitting is made of: values (..., cases, 1), a `StatedLimit`, words; `at`: names of the cases
    and place."""

    key: str
    name: str
    values: np.ndarray | float
    limit: StatedLimit
    advice: str
    at: tuple
    unit: str = "MPa"
    formula: str = FORMULA


def bolt_lines(study, bolt: BearingBolt) -> tuple[Line, ...]:
    """Lines of the checks of a bolt, of one part or of many; raises as `bolt_checks`."""
    held, judged = study.plan.held.bearings, study.plan.judgement
    if not held or bolt.bearing not in (0, 1):
        raise ValueError(f"{bolt.name}: there is no bearing {bolt.bearing!r}; give 0 or 1, on a part held by two")
    if bolt.pull is None:
        force, names = np.abs(study.diagrams.bearing_forces[..., [bolt.bearing]]), study.names
    else:
        force, names = np.array([[abs(bolt.pull)]]), ("pull as entered",)
    at, sizes = (names, np.array([held[bolt.bearing]])), (bolt.diameter, bolt.length)
    return (
        Line(
            f"bolt_shear: {bolt.name}",
            f"{bolt.name}, shear",
            bolt_shear_stress(force, bolt.diameter, bolt.planes),
            own(bolt.bolt_shear, judged.strength, "the shear strength of the bolt"),
            "a stronger bolt helps",
            at,
        ),
        Line(
            f"bearing: {bolt.name}",
            f"{bolt.name}, bearing of the hole",
            bearing_stress(force, *sizes),
            own(bolt.bearing_strength, judged.strength, "the bearing strength of what it goes through"),
            "a bush helps",
            at,
        ),
        Line(
            f"tear_out: {bolt.name}",
            f"{bolt.name}, tear-out to the edge",
            tear_out_stress(force, *sizes, bolt.edge_distance),
            own(bolt.shear_strength, judged.strength, "the shear strength of what it goes through"),
            "",
            at,
        ),
    )


def stud_lines(study, stud: BondedStud) -> tuple[Line, ...]:
    """Lines of the checks of a stud."""
    at, bond = (("pull as entered",), np.array([np.nan])), study.plan.judgement.bond
    strength = own(stud.strength, bond)
    if stud.strength.source == FILLED_EPOXY_SOURCE:
        strength = strength._replace(basis="maker's guide")
    return (
        Line(
            f"stud: {stud.name}",
            f"{stud.name}, shear of the bond",
            stud_shear_stress(stud.pull, stud.diameter, stud.length),
            strength,
            "",
            at,
        ),
        Line(
            f"stud_length: {stud.name}",
            f"{stud.name}, two diameters against the bonded length",
            LEAST_STUD * stud.diameter,
            StatedLimit(stud.length, "common practice", ""),
            "",
            at,
            "mm",
            "at least two diameters: common practice, no source",
        ),
    )
