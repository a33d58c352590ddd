"""Fittings of a part under its loads: the bolt through a bearing, and bonded studs, checked like everything else."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .fitting_formulas import (
    FILLED_EPOXY_SHEAR,
    FILLED_EPOXY_SOURCE,
    LEAST_STUD,
    bearing_stress,
    bolt_shear_stress,
    stud_shear_stress,
    tear_out_stress,
)
from .plan import LoadCheck, Own, own, worst

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


@dataclass(frozen=True)
class BondedStud:
    """A stud or sleeve bonded in filled epoxy, `diameter` and bonded `length` [m], that holds a `pull` [N]. `strength`
    in shear [Pa], by default a maker's figure for design."""

    name: str
    diameter: float
    length: float
    pull: float
    strength: Own = Own(FILLED_EPOXY_SHEAR, FILLED_EPOXY_SOURCE)


def bolt_checks(study, bolt: BearingBolt) -> tuple[LoadCheck, ...]:
    """Shear of the bolt, bearing and tear-out, with the governing case. ValueError for a part without bearings."""
    held = study.plan.held.bearings
    if not held or bolt.bearing not in (0, 1):
        raise ValueError(f"{bolt.name}: there is no bearing {bolt.bearing!r}; give 0 or 1, on a part held by two")
    if bolt.pull is None:
        force, names = np.abs(study.diagrams.bearing_forces[:, [bolt.bearing]]), study.names
    else:
        force, names = np.array([[abs(bolt.pull)]]), ("pull as entered",)
    factor, places = study.plan.judgement.strength, (names, np.array([held[bolt.bearing]]))
    rows = (
        (
            "bolt_shear",
            "shear",
            bolt_shear_stress(force, bolt.diameter, bolt.planes),
            bolt.bolt_shear,
            "use a thicker or stronger bolt",
        ),
        (
            "bearing",
            "bearing of the hole",
            bearing_stress(force, bolt.diameter, bolt.length),
            bolt.bearing_strength,
            "use a thicker bolt, a bush, or more thickness there",
        ),
        (
            "tear_out",
            "tear-out to the edge",
            tear_out_stress(force, bolt.diameter, bolt.length, bolt.edge_distance),
            bolt.shear_strength,
            "move the hole in from the edge, or add thickness",
        ),
    )
    return tuple(
        _check(f"{key}: {bolt.name}", f"{bolt.name}, {what}", stress, own(strength, factor), advice, places, study)
        for key, what, stress, strength, advice in rows
    )


def stud_checks(study, stud: BondedStud) -> tuple[LoadCheck, ...]:
    """Shear of the bonded face against its strength, and the bonded length against two diameters."""
    factor, places = study.plan.judgement.bond, (("pull as entered",), np.array([np.nan]))
    limit, _, source = own(stud.strength, factor)
    basis = "maker's guide" if stud.strength.source == FILLED_EPOXY_SOURCE else "user"
    stress = np.array([[stud_shear_stress(stud.pull, stud.diameter, stud.length)]])
    need = np.array([[LEAST_STUD * stud.diameter]])
    return (
        _check(
            f"stud: {stud.name}",
            f"{stud.name}, shear of the bond",
            stress,
            (limit, basis, source),
            "bond more length or a thicker stud",
            places,
            study,
        ),
        worst(
            f"stud_length: {stud.name}",
            f"{stud.name}, two diameters against the bonded length",
            need,
            stud.length,
            "mm",
            "common practice",
            "at least two diameters: common practice, no source",
            "bond more length",
            places,
            study.blade.design.close_share,
        ),
    )


def _check(key, name, stress, found, advice, places, study):
    limit, basis, source = found
    return worst(
        key, name, stress, limit, "MPa", basis, f"{FORMULA}; {source}", advice, places, study.blade.design.close_share
    )
