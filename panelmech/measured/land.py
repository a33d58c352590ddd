"""How much the land of a design gives way by its adhesive (`mechanics.bonded_end`), and what a land that is not held
parallel does to force, strain and mouth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.as_built_bend import real_bend
from ..mechanics.numerics import read_together
from ..study.design import Design
from ..study.ends import compliance_of, land_spring, stiffness_of
from ..units import read_number, show


def neglected_share(design: Design) -> float:
    """Turn by the shear force, which `land_spring` leaves out, over turn by the moment [-].

    Small deflections: the moment is the shear times the arclength to the contact.
    """
    give = compliance_of(design)
    if give.turn_by_moment == 0.0:
        return 0.0
    return float(give.turn_by_force / (give.turn_by_moment * design.bend().contact_arclength))


def land_words(design: Design) -> str:
    """One line on what the land gives, for a builder."""
    spring = land_spring(design)
    if np.isinf(spring):
        return "Without a bond line the land does not give."
    turn = 1.0 / spring * stiffness_of(design) * float(design.bend().land_curvature)
    return (
        f"The adhesive lets each sheet turn by about {show(turn, 'deg', 2)} at the land end "
        f"(spring {show(spring, 'N m/m', 3)} per radian); an estimate, creep and shear left out."
    )


# ----- Sensitivity to the land slope: what a land that is not parallel, or gives way, does to force, strain and mouth.
#
# The exact bend takes a land held parallel. A degree off is little to a builder and a good deal to a slender part,
# whose sheets turn by a few degrees in all (`first_order`). All cases by `mechanics.as_built_bend`, frictionless, in
# one call.


DEGREE = np.pi / 180.0


@dataclass(frozen=True)
class LandCase:
    """One case beside the ideal one; nan where no equilibrium was found: the sheets would leave the rod.

    Attributes
    ----------
    land_slope : opening positive [rad]
    land_spring : [N m/rad per m]
    contact_force : on each sheet [N/m]
    land_strain : [-]
    mouth : [m]
    force_change, strain_change : from the ideal case, over the ideal value [-]
    mouth_change : from the ideal case [m]
    """

    name: str
    land_slope: float
    land_spring: float
    contact_force: float
    land_strain: float
    mouth: float
    force_change: float
    strain_change: float
    mouth_change: float

    def words(self) -> str:
        """The case in one line."""
        if not np.isfinite(self.contact_force):
            return f"{self.name}: the sheets would no longer press on the rod."
        if self.force_change == 0.0 and self.mouth_change == 0.0:
            force, mouth = show(self.contact_force, "N/m", 3), show(self.mouth, "mm", 3)
            return f"{self.name}: contact force {force}, mouth {mouth}."
        mouth = f"{show(abs(self.mouth_change), 'mm', 2)} {'wider' if self.mouth_change > 0 else 'narrower'}"
        return (
            f"{self.name}: contact force {_change(self.force_change)}, strain at the land "
            f"{_change(self.strain_change)}, mouth {mouth}."
        )


def _change(share):
    return f"{'up' if share > 0 else 'down'} by {show(abs(share), '%', 2)}"


def land_sensitivity(design: Design, turn: float = DEGREE, springs=None) -> tuple[LandCase, ...]:
    """The ideal bend, the land opened and closed by `turn`, and a land that gives way.

    Parameters
    ----------
    design : Design
        Raises InfeasibleBend if it cannot be bent.
    turn : float
        Slope of each sheet at the land end, opening positive [rad]; positive.
    springs : dict, optional
        Further cases, name to land spring [N m/rad per m]. By default the adhesive's own (`land_spring`), where its
        modulus is known.

    Returns
    -------
    tuple of LandCase, the ideal one first.

    >>> from panelmech.job import demo
    >>> land_sensitivity(demo().design)[1].words()
    'Land opened by 1.0°: contact force down by 42 %, strain at the land down by 42 %, mouth 0.22 mm narrower.'
    """
    turn = read_number(turn, "turn", "deg", above=0.0, high=0.5 * np.pi)
    design.bend()  # raises, with the reason
    if springs is None:
        known = design.adhesive.modulus is not None
        springs = {"Adhesive gives way": land_spring(design)} if known else {}
    cases = [
        ("Ideal, land parallel", 0.0, np.inf),
        (f"Land opened by {show(turn, 'deg', 2)}", turn, np.inf),
        (f"Land closed by {show(turn, 'deg', 2)}", -turn, np.inf),
    ]
    cases += [(name, 0.0, read_number(spring, name, "N m", 0.0, infinite=True)) for name, spring in springs.items()]
    names, slopes, stiff = zip(*cases, strict=True)
    bent = real_bend(
        design.free_length,
        design.sheet_thickness,
        design.spacer_diameter,
        stiffness_of(design),
        design.bond_line,
        design.setback,
        land_slope=np.array(slopes),
        land_spring=np.array(stiff),
    )
    values = np.array([bent.contact_force, bent.land_strain, bent.mouth])
    force, strain, mouth = values / values[:, :1]
    table = np.vstack([slopes, stiff, values, force - 1.0, strain - 1.0, (mouth - 1.0) * values[2, 0]])
    return tuple(LandCase(name, *(float(v) for v in row)) for name, row in zip(names, table.T, strict=True))


def first_order(contact_angle, turn: float = DEGREE):
    """Change of the contact force by a land opened by `turn` [rad], over the force [-]: -3 turn / (2 th_c).

    Small angles: the propped cantilever's rise d = 2 th_c s_c / 3 loses turn times s_c and the force goes with the rise
    (derived here). A degree is a tenth for a contact angle of 15 degrees and a third for 4.5: the builders' rule of a
    tenth to a third (common practice, no source) is for contact angles between these.
    """
    angle, turn = read_together({"contact angle": (contact_angle, "deg", dict(above=0.0)), "turn": (turn, "deg")})
    return -1.5 * turn / angle
