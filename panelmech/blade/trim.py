"""Lead or foam that brings a part to the wanted net buoyancy, its own displaced volume counted.

With r for the density of the water, m and v for mass and volume of what is added and S for the change of the net force:
outside the part S = g (r v - m). Inside the hollow, dry, nothing more is displaced, so S = -g m. Inside a flooded
hollow it drives out as much water as it takes room, so again S = g (r v - m). (Archimedes; derived here.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import show
from .buoyancy import GRAVITY, Afloat

LEAD_DENSITY = 11340.0  # kg/m3, from memory
FOAM_DENSITY = 35.0  # kg/m3, light closed-cell foam: from memory; foams differ widely
NEXT_TO_NOTHING = 1e-9  # of the buoyancy: a force below this needs no trim


@dataclass(frozen=True)
class Trim:
    """What brings the net force to the wanted one: `material` "lead", "foam" or "none", `mass` [kg], `volume` [m3]."""

    material: str
    mass: float
    volume: float
    words: str


def trim(
    found: Afloat,
    wanted: float = 0.0,
    flooded: bool = False,
    inside: bool = False,
    lead_density: float = LEAD_DENSITY,
    foam_density: float = FOAM_DENSITY,
) -> Trim:
    """Lead or foam to bring the net force [N, positive upwards] to `wanted`.

    Parameters
    ----------
    found : Afloat
    wanted : float
        Net force after trimming [N]; negative: the part shall sink with that force.
    flooded : bool
        The state to trim, dry or flooded.
    inside : bool
        Into the hollow (or the potting), or outside, fully immersed.
    lead_density, foam_density : float
        [kg/m3]; lead above that of the water, foam below it.

    Raises
    ------
    ValueError
        For densities on the wrong side of the water's; for foam into a dry hollow, which only adds weight; for more
        than the hollow holds.
    """
    water = found.water_density
    if not 0.0 < foam_density < water < lead_density:
        raise ValueError(
            f"foam of {foam_density:.6g}, water of {water:.6g} and lead of {lead_density:.6g} kg/m3: the "
            "foam must be lighter than the water and the lead heavier"
        )
    change = wanted - found.net(flooded)
    state = "flooded" if flooded else "dry"
    if abs(change) <= NEXT_TO_NOTHING * found.buoyancy:
        return Trim("none", 0.0, 0.0, f"{state}: nothing to trim")
    if change > 0.0 and inside and not flooded:
        raise ValueError("foam in a dry hollow only adds weight: fix it outside, or trim the flooded part")
    material, density = ("foam", foam_density) if change > 0.0 else ("lead", lead_density)
    lift = -density if inside and not flooded else water - density  # per volume and gravity
    volume = change / (GRAVITY * lift)
    if inside and volume > found.hollow.amount:
        raise ValueError(
            f"{show(volume, 'mL')} of {material} is more than the hollow holds, "
            f"{show(found.hollow.amount, 'mL')}: fix it outside"
        )
    place = "inside the hollow" if inside else "outside, under water"
    unit = "kg" if density * volume >= 1.0 else "g"
    words = (
        f"{state}: {show(density * volume, unit, 3)} of {material}, {show(volume, 'mL', 3)}, {place}, for a net "
        f"force of {show(np.float64(wanted), 'N', 3)}"
    )
    return Trim(material, density * volume, volume, words)
