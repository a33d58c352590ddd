"""How much of the bending the rod carries, and what the rod alone would do.

Sheets, land, potting and rod bend to the same curvature (they are bonded into one body), so each carries the share of
the moment that it has in the bending stiffness: M_i / M = E_i I_i / EI (composite beam theory, Gere and Timoshenko,
Mechanics of Materials, from memory). The rod alone under the same load bends EI / (E_r I_r) times as much at that
section, and its stress is greater by the same factor. About the chord line: a side force.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.numerics import read_row
from ..mechanics.section import composite_section
from ..units import read_array, read_number
from .blade import Blade
from .sections import BladeSections, blade_sections


@dataclass(frozen=True, eq=False)
class RodShare:
    """The rod in the blade, about the chord line; arrays have one value for each station.

    Attributes
    ----------
    position : of the stations, from the root end [m]
    share : of the bending moment that the rod carries [-]
    rod_stiffness, blade_stiffness : EI of the rod alone, and of the blade [N m2]
    gain : blade over rod alone: by so much the rod alone would bend more there, and be stressed more [-]
    even_ratio, tip_ratio : deflection of the tip of the rod alone over that of the blade, held at the root end, under
        an even side force and under a force at the tip [-]
    mass_share : of the rod [-]
    """

    position: np.ndarray
    share: np.ndarray
    rod_stiffness: np.ndarray
    blade_stiffness: np.ndarray
    gain: np.ndarray
    even_ratio: float
    tip_ratio: float
    mass_share: float


@dataclass(frozen=True, eq=False)
class RodWalls:
    """Other walls of the same rod, an array over `wall` [m] (0: solid).

    `root_share` of the bending moment that the rod carries at the root [-]; `deflection` of the tip under an even side
    force, over that of the blade as designed [-]; `alone`, the same of the rod without the sheets; `rod_mass` [kg];
    `mass`, of all parts of the sections over the span with ribs and solid zones [kg].
    """

    wall: np.ndarray
    root_share: np.ndarray
    deflection: np.ndarray
    alone: np.ndarray
    rod_mass: np.ndarray
    mass: np.ndarray


def rod_share(sections: BladeSections) -> RodShare:
    """Share of the rod in the bending of a blade, and the rod alone against the blade. See `RodShare`.

    nan where the sheet's modulus along the span, the rod's or the resin's is unknown.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> from panelmech.blade.sections import blade_sections
    >>> share = rod_share(blade_sections(demo().blade, 5))
    >>> show(share.share[0], "%", 3)
    '28.7 %'
    """
    share, blade_stiffness = sections.shares["spacer"], sections.chord_stiffness
    rod = share * blade_stiffness
    even, tip = ((_tip(sections.position, rod, n) / _tip(sections.position, blade_stiffness, n)).item() for n in (3, 2))
    mass = sections.integrate(sections.masses["spacer"]) / (
        sections.integrate(sections.mass_per_length) + sections.filled_mass
    )
    return RodShare(sections.position, share, rod, blade_stiffness, 1.0 / share, even, tip, mass)


def rod_walls(blade: Blade, walls=None, stations: int = 41) -> RodWalls:
    """The same blade with rods of other walls.

    Parameters
    ----------
    blade : Blade
    walls : array or None
        Walls [m], each the same along the whole span; 0 is a solid rod. None: those the spacer's stock lists.
    stations : int
        As of `blade.sections`.

    Raises
    ------
    ValueError
        For a wall that is negative or more than half the diameter somewhere, or no walls at all.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> walls = rod_walls(demo().blade, (0.001, 0.002))
    >>> [(show(w, "mm"), show(m, "g", 3)) for w, m in zip(walls.wall, walls.rod_mass)]
    [('1.000 mm', '123 g'), ('2.000 mm', '231 g')]
    """
    stock = blade.design.spacer.walls or ()
    wall = read_row(stock if walls is None else walls, "wall", "mm", 0.0, hint="0 is a solid rod")
    for thin in wall[wall > 0.0].tolist():
        read_number(thin, "wall", "mm", 1e-5, hint="or 0 for a solid rod")
    if not wall.size:
        raise ValueError(f"no stock walls are known of {blade.design.spacer.name!r}: give walls")
    sections = blade_sections(blade, stations)
    most = 0.5 * float(np.min(sections.numbers["spacer_diameter"]))
    read_array(wall, "wall", "mm", 0.0, most * (1.0 + 1e-12), hint="0 is a solid rod, the greatest half its diameter")
    composite = composite_section(sections.bend, dict(sections.numbers, spacer_wall=wall[:, None]))
    position, rod = sections.position, composite.shares["spacer"] * composite.chord_stiffness
    now = _tip(position, sections.chord_stiffness, 3)
    return RodWalls(
        wall=wall,
        root_share=composite.shares["spacer"][:, 0],
        deflection=_tip(position, composite.chord_stiffness, 3) / now,
        alone=_tip(position, rod, 3) / now,
        rod_mass=np.trapezoid(composite.masses["spacer"], position),
        mass=np.trapezoid(composite.mass_per_length, position) + sections.filled_mass,
    )


def _tip(position, stiffness, power):
    """Tip deflection of a cantilever held at the root end, but for a factor: int (b - y)^power / EI dy.

    A force at the tip has power 2 (M = F (b - y)), an even force 3 (M = q (b - y)^2 / 2); the other (b - y) is the arm.
    """
    return np.trapezoid((position[-1] - position) ** power / stiffness, position)
