"""What the ends of a design's sheets give: the bond of the land, the resin of the nose, the nose itself.

Moments per radian and metre of span, by the beds of `mechanics.bonded_end` and the rod's own torsion; what the framed
pair (`mechanics.pressed_pair`) is held by.
"""

from __future__ import annotations

import numpy as np

from ..mechanics.bonded_end import LandCompliance, constrained_modulus, foundation_stiffness, land_compliance
from ..mechanics.forming import bending_stiffness
from ..mechanics.pressed_pair import Give
from ..mechanics.section import bore_radius
from ..mechanics.shell_model import free_span
from ..units import read_number
from .design import Design
from .quantities import gather


def compliance_of(design: Design, adhesive_poisson=None, across_modulus=np.inf) -> LandCompliance:
    """Compliance of a design's land; arguments and errors as for `land_spring`."""
    modulus = design.adhesive.modulus
    if adhesive_poisson is not None:
        read_number(adhesive_poisson, "Poisson's ratio of the adhesive", low=0.0, below=0.5)
    read_number(across_modulus, "modulus across the sheet", "GPa", above=0.0, infinite=True)
    if modulus is None and design.bond_line > 0.0:
        raise ValueError(
            f"no modulus is known for the adhesive {design.adhesive.name!r}: enter one, or measure the "
            "slope of the sheets at the land"
        )
    bed = np.inf
    if design.bond_line > 0.0:
        stiff = modulus if adhesive_poisson is None else constrained_modulus(modulus, adhesive_poisson)
        bed = foundation_stiffness(stiff, design.bond_line, design.sheet_thickness, across_modulus)
    return land_compliance(stiffness_of(design), bed, design.land_length)


def stiffness_of(design: Design) -> float:
    """Bending stiffness D of one of a design's sheets along the chord, per metre of span [N m]."""
    return float(bending_stiffness(gather(design)["bending_modulus"], design.sheet_thickness))


def land_spring(design: Design, adhesive_poisson=None, across_modulus=np.inf) -> float:
    """Moment per turn of the land of a design, per metre of span [N m/rad per m]; infinite without a bond line.

    For `real_bend(..., land_spring=...)`. From the adhesive's modulus, bond line, land and the sheet's bending
    stiffness; the small share of the shear force, and the land's opening, are left out (see `land_words`).

    Parameters
    ----------
    design : Design
    adhesive_poisson : float, optional
        If given, the adhesive cannot narrow: its constrained modulus counts, the greatest it can have.
    across_modulus : float
        Of the sheet across its thickness [Pa]; infinite: the sheet does not give.

    Raises
    ------
    ValueError
        If the adhesive's modulus is not known.
    """
    turn = compliance_of(design, adhesive_poisson, across_modulus).turn_by_moment
    return float("inf") if turn == 0.0 else 1.0 / turn


def front_spring(design: Design, bend) -> float:
    """Of a potted front, what resists the turning of one sheet in it [N m/rad per m]; 0 where nothing is bonded ahead
    of the contact, or the resin's modulus is not known.

    The straight end of the sheet ahead of the contact is a beam on a bed of resin half the mouth thick, which the
    middle of the nose holds still (the land's equations; derived here). `bend` : of the design.
    """
    modulus, ahead = design.resin.modulus, float(bend.overhang)
    if modulus is None or not ahead > 0.0:
        return 0.0
    bed = foundation_stiffness(modulus, float(bend.mouth))
    return 1.0 / float(land_compliance(stiffness_of(design), bed, ahead).turn_by_moment)


def nose_spring(design: Design) -> float | None:
    """Half of what the rod resists when it turns with both sheets between frames, GJ pi^2 / (2 width^2), of the longest
    wave [N m/rad per m]; the potting's own share left out, on the safe side."""
    outer, inner = 0.5 * design.spacer_diameter, float(bore_radius(gather(design)))
    shear = design.spacer.modulus / (2.0 * (1.0 + design.spacer.poisson))
    torsion = shear * 0.5 * np.pi * (outer**4 - inner**4)
    return 0.5 * torsion * (np.pi / free_span(design.span, design.frame_width)) ** 2


def pair_give(design: Design, bend) -> Give:
    """`Give` of the ends of a design's sheets with a potted front; a bond whose modulus is not known gives nothing."""
    known = design.adhesive.modulus is not None and design.bond_line > 0.0
    return Give(land_spring(design) if known else None, front_spring(design, bend), nose_spring(design))
