"""The part along its span in words and rows of text, for tables and notes: numbers rounded and with their unit.

No formula here; every number is read from the records.
"""

from __future__ import annotations

import numpy as np

from ..blade.blade import Blade
from ..blade.buoyancy import Hydrostatics
from ..blade.rod import RodShare, RodWalls
from ..blade.sections import blade_sections
from ..study.quantities import QUANTITIES
from ..units import format_number, in_shown, show, unit_words

COLUMNS = (
    ("chord", "chord"),
    ("outer_thickness", "outer thickness"),
    ("thickness_ratio", "thickness over chord"),
    ("chord_stiffness", "EI about the chord line"),
    ("torsion_stiffness", "GJ"),
    ("mass_per_length", "mass per metre"),
    ("land_strain", "strain at the land"),
    ("opening_energy", "opening energy of the land"),
)


def station_rows(blade: Blade, positions=None) -> tuple:
    """(heads, rows) of a table of stations: each head a name with its unit, each row numbers as text.

    `positions` [m] from the root end, rising; by default root end, quarters and tip.

    >>> from panelmech.job import demo
    >>> station_rows(demo().blade, [0.0, 0.85])[1][0][:3]
    ('0', '240', '23.5')
    """
    places = np.linspace(0.0, blade.span, 5) if positions is None else np.asarray(positions, dtype=float)
    sections = blade_sections(blade, places)
    heads = [f"from the root end, {unit_words('mm')}"]
    columns = [[format_number(in_shown(place, "mm")) for place in places]]
    for name, label in COLUMNS:
        quantity = QUANTITIES[name]
        heads.append(f"{label}, {unit_words(quantity.unit)}")
        columns.append([format_number(in_shown(v, quantity.unit), 3) for v in getattr(sections, name)])
    heads.append("rod's share of EI, %")
    columns.append([format_number(100.0 * v, 3) for v in sections.shares["spacer"]])
    return tuple(heads), tuple(zip(*columns, strict=True))


def float_rows(floating: Hydrostatics) -> tuple:
    """Pairs of name and value with unit: masses by part, volumes, centres, net buoyancy dry and flooded."""
    masses = [(f"mass: {name}", show(value, "kg", 3)) for name, value in floating.masses.items()]
    return (
        *masses,
        ("mass, dry", show(floating.mass, "kg", 4)),
        ("centre of mass, from the root end", show(floating.solid.position, "mm", 4)),
        ("centre of mass, forward of the line kept straight", show(floating.solid.x, "mm", 4)),
        ("volume within the outline", show(floating.volume, "mL", 4)),
        ("of it under water", show(floating.immersed.amount, "mL", 4)),
        ("centre of what is under water, from the root end", show(floating.immersed.position, "mm", 4)),
        ("centre of what is under water, forward of the line kept straight", show(floating.immersed.x, "mm", 4)),
        ("hollow", show(floating.hollow.amount, "mL", 3)),
        ("bore of the tube", show(floating.bore.amount, "mL", 3)),
        ("water inside when flooded", show(floating.flood.amount, "kg", 3)),
        (f"dry: {_way(floating.net_dry)}", show(abs(floating.net_dry), "N", 3)),
        (f"flooded: {_way(floating.net_flooded)}", show(abs(floating.net_flooded), "N", 3)),
    )


def _way(net):
    return "floats up, held down with" if net > 0.0 else "sinks, with"


def rod_share_words(share: RodShare) -> str:
    """The rod's part in the bending, in a sentence or two.

    >>> from panelmech.job import demo
    >>> from panelmech.blade import rod_share
    >>> from panelmech.blade.sections import blade_sections
    >>> rod_share_words(rod_share(blade_sections(demo().blade, 5)))
    "Of a side force's bending moment the rod carries 28.7 % to 33.8 %. The rod alone would bend 3.39 times as
    far at the tip (even force, held at the root end); it is 11.3 % of the mass."
    """
    low, high = float(share.share.min()), float(share.share.max())
    if not np.isfinite(high):
        return "The share of the rod is unknown: the sheet's modulus along the span has no value."
    span = show(low, "%", 3) if high - low < 5e-4 else f"{show(low, '%', 3)} to {show(high, '%', 3)}"
    return (
        f"Of a side force's bending moment the rod carries {span}. The rod alone would bend "
        f"{show(share.even_ratio, '', 3)} times as far at the tip (even force, held at the root end); it is "
        f"{show(share.mass_share, '%', 3)} of the mass."
    )


def wall_rows(walls: RodWalls) -> tuple:
    """(heads, rows): other walls of the same rod, against the blade as designed.

    >>> from panelmech.job import demo
    >>> from panelmech.blade import rod_walls
    >>> wall_rows(rod_walls(demo().blade, (0.001, 0.002)))[1][0]
    ('1.00', '22.6', '1.09', '4.65', '0.123')
    """
    heads = (
        f"wall, {unit_words('mm')}",
        "rod's share of EI at the root, %",
        "tip deflection, of the design's",
        "rod alone: tip deflection, of the design's",
        "mass of the rod, kg",
    )
    rows = zip(walls.wall, walls.root_share, walls.deflection, walls.alone, walls.rod_mass, strict=True)
    return heads, tuple(
        (
            "solid" if wall == 0.0 else format_number(in_shown(wall, "mm"), 3),
            format_number(100.0 * part, 3),
            *(format_number(v, 3) for v in rest),
        )
        for wall, part, *rest in rows
    )
