"""Hydrostatics: what the part weighs, what it displaces, where both act, and the ballast or foam that trims it.

All volumes are integrals of exact section areas along the span (`blade.sections.span_rule`), of the part as bonded and
potted with its ends cut square; nose shaping, fairing and fittings are not in it and can be added as `Added`. Dry: the
hollow and the bore of the tube hold air. Flooded: they hold water as far as it stands outside. Archimedes; water of
even density; the part upright in the water for the share that is immersed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import read_number, show
from .blade import Blade
from .sections import blade_sections, outer_areas, span_rule

GRAVITY = 9.80665  # m/s2, standard
BOND_DENSITY = 1200.0  # kg/m3, epoxy paste: from memory


@dataclass(frozen=True)
class Added:
    """Something added to the part: a fitting, lead, a fairing.

    `mass` [kg], `volume` [m3] that it takes, `position` from the root end and `x` in the frame of the part [m];
    `inside` the hollow (it takes up room that is displaced already) or outside. ValueError for a negative mass or
    volume.
    """

    name: str
    mass: float
    volume: float
    position: float
    x: float
    inside: bool = False

    def __post_init__(self):
        for name, unit, low in (
            ("mass", "kg", 0.0),
            ("volume", "m3", 0.0),
            ("position", "mm", -np.inf),
            ("x", "mm", -np.inf),
        ):
            read_number(getattr(self, name), f"{self.name}: {name}", unit, low)


@dataclass(frozen=True, eq=False)
class Lump:
    """An amount (mass or volume) with its first moments along the span and the chord; lumps add."""

    amount: float
    first_position: float
    first_x: float

    def __add__(self, other):
        return Lump(
            self.amount + other.amount, self.first_position + other.first_position, self.first_x + other.first_x
        )

    def times(self, factor: float) -> Lump:
        """The same lump, denser."""
        return Lump(factor * self.amount, factor * self.first_position, factor * self.first_x)

    @property
    def position(self) -> float:
        """Centre along the span, from the root end [m]; nan for nothing."""
        return self.first_position / self.amount if self.amount else np.nan

    @property
    def x(self) -> float:
        """Centre along the chord, in the frame of the part [m]; nan for nothing."""
        return self.first_x / self.amount if self.amount else np.nan


NOTHING = Lump(0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Hydrostatics:
    """Mass and float of a part, SI; see `hydrostatics`.

    Lumps have an `amount` and its centre: `position` from the root end and `x` in the frame of the part [m].

    Attributes
    ----------
    water_density : [kg/m3]
    masses : by part, dry [kg]
    solid : lump of all mass, dry [kg]
    outer, immersed : lumps of the volume within the outline, and of what of it is under water [m3]
    hollow : lump of the volume that is left inside, without closing frames, ribs, solid zones, filler and what was
        added [m3]
    bore : lump of the tube's bore, over the whole span [m3]
    flood : lump of the water inside when flooded [kg]
    """

    water_density: float
    masses: dict
    solid: Lump
    outer: Lump
    immersed: Lump
    hollow: Lump
    bore: Lump
    flood: Lump

    @property
    def mass(self) -> float:
        """Mass of the part, dry [kg]."""
        return self.solid.amount

    @property
    def volume(self) -> float:
        """Volume within the outer outline [m3]."""
        return self.outer.amount

    @property
    def buoyancy(self) -> float:
        """Force of the water on the immersed volume [N]."""
        return self.water_density * self.immersed.amount * GRAVITY

    @property
    def net_dry(self) -> float:
        """Buoyancy less weight, hollow dry [N]; positive: it floats up, and this force holds it down."""
        return self.buoyancy - self.mass * GRAVITY

    @property
    def net_flooded(self) -> float:
        """Buoyancy less weight with the water inside [N]; positive: it floats up all the same."""
        return self.net_dry - self.flood.amount * GRAVITY

    def net(self, flooded: bool) -> float:
        """`net_flooded` or `net_dry` [N]."""
        return self.net_flooded if flooded else self.net_dry

    def swing_moment(self, pivot_position: float, pivot_x: float = 0.0, angle: float = 0.0, flooded: bool = False):
        """Moment about a pivot that lifts the tip aft and up [N m]; the force that holds it down is this over its arm.

        `pivot_position` from the root end, `pivot_x` in the frame of the part [m]; the axis runs across the part.
        `angle` [rad] of the span from hanging straight down, positive swung aft: pi/2 lies level, trailing. The
        immersed volume is taken as it is, whatever the angle. Negative: the part swings down by itself.
        """
        loads = [self.immersed.times(self.water_density), self.solid.times(-1.0)]
        total = sum(loads + [self.flood.times(-1.0)] * flooded, NOTHING)
        along = total.first_position - total.amount * pivot_position
        forward = total.first_x - total.amount * pivot_x
        return GRAVITY * float(along * np.sin(angle) - forward * np.cos(angle))


def hydrostatics(
    blade: Blade,
    water_density: float = 1000.0,
    waterline: float = 0.0,
    fill_density: float | None = None,
    bore_floods: bool = True,
    bond_density: float = BOND_DENSITY,
    added: tuple = (),
) -> Hydrostatics:
    """Mass, displacement, centres and net buoyancy of a part.

    Parameters
    ----------
    blade : Blade
    water_density : float
        [kg/m3], see `materials.water.water_density`.
    waterline : float
        How much of the span, from the root end, is out of the water [m].
    fill_density : float or None
        Foam or filler that fills the hollow that is left [kg/m3]; it keeps water out. None: hollow.
    bore_floods : bool
        Whether the tube's bore takes water when flooded.
    bond_density : float
        Of the adhesive in the land [kg/m3].
    added : tuple of Added

    Raises
    ------
    InfeasibleBend, ValueError
        Where a station cannot be bent; for densities that are not positive, a water line off the span, or more added
        inside than the hollow holds.

    Notes
    -----
    Closing frames: over the design's `frame_width` at each end the hollow is filled with the design's resin, and so it
    is over its inner ribs and solid zones.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> water = hydrostatics(demo().blade, water_density=1026.0, waterline=0.25)
    >>> show(water.mass, "kg", 3), show(water.buoyancy, "N", 3)
    ('1.62 kg', '13.6 N')
    """
    _refuse(blade, water_density, waterline, fill_density, bond_density)
    frame = blade.design.frame_width
    ends = [end for stretch in blade.design.filled for end in (stretch.start, stretch.end)]
    position, weight = span_rule(blade, (frame, blade.span - frame, waterline, *ends))
    sections = blade_sections(blade, position)
    areas = outer_areas(sections.bend, sections.numbers)

    def lump(area, x, where=True):
        return _lump(area * where, sections.land_end_x + x, position, weight)

    framed, wet = (position < frame) | (position > blade.span - frame), position > waterline
    full, void = fill_density is not None, (sections.void_area, areas["void_x"])
    poured = {"closing frames": framed, **_filled(blade.design, position)}
    solid = np.any(list(poured.values()), axis=0)
    parts = _solids(sections, areas, lump, bond_density)
    parts |= {name: lump(*void, here).times(blade.design.resin.density) for name, here in poured.items()}
    if full:
        parts["filler"] = lump(*void, ~solid).times(fill_density)
    for item in added:
        parts[item.name] = parts.get(item.name, NOTHING) + _added_lump(item, item.mass)
    hollow, bore = lump(*void, ~solid & (not full)), lump(areas["bore_area"], sections.bend.spacer_position)
    taken = sum((_added_lump(item, -item.volume) for item in added if item.inside), NOTHING)
    taken_wet = sum((_added_lump(i, -i.volume) for i in added if i.inside and i.position > waterline), NOTHING)
    outside = [item for item in added if not item.inside]
    _refuse_overfull(hollow, taken)
    flood = lump(*void, ~solid & wet & (not full)) + taken_wet
    if bore_floods:
        flood += lump(areas["bore_area"], sections.bend.spacer_position, wet)
    outer = (areas["displaced_area"], areas["displaced_x"])
    return Hydrostatics(
        water_density=water_density,
        masses={name: part.amount for name, part in parts.items()},
        solid=sum(parts.values(), NOTHING),
        outer=sum((_added_lump(i, i.volume) for i in outside), lump(*outer)),
        immersed=sum((_added_lump(i, i.volume) for i in outside if i.position > waterline), lump(*outer, wet)),
        hollow=hollow + taken,
        bore=bore,
        flood=flood.times(water_density),
    )


def _filled(design, position):
    """{name: where it is} of every inner rib and solid zone."""
    return {s.name: (position > s.start) & (position < s.end) for s in design.filled}


def _solids(sections, areas, lump, bond_density):
    """Mass of each part of the section, integrated along the span."""
    centres = {
        "sheets": areas["sheets_x"],
        "land": areas["bond_x"],
        "spacer": sections.bend.spacer_position,
        "potting": areas["potting_x"],
    }
    parts = {name: lump(sections.masses[name], x) for name, x in centres.items()}
    parts["bond line"] = lump(areas["bond_area"], areas["bond_x"]).times(bond_density)
    return parts


def _lump(area, x, position, weight):
    strip = area * weight
    return Lump(*(float(np.sum(v)) for v in (strip, strip * position, strip * x)))


def _added_lump(item, amount):
    return Lump(amount, amount * item.position, amount * item.x)


def _refuse_overfull(hollow, taken):
    if -taken.amount > hollow.amount * (1.0 + 1e-12):
        raise ValueError(
            f"{-1e6 * taken.amount:.4g} mL was added inside, but the hollow holds only "
            f"{1e6 * hollow.amount:.4g} mL: add less, or outside"
        )


def _refuse(blade, water_density, waterline, fill_density, bond_density):
    densities = {"water_density": water_density, "bond_density": bond_density, "fill_density": fill_density}
    for name, value in densities.items():
        if not (name == "fill_density" and value is None):
            read_number(value, name, "kg/m3", above=0.0)
    read_number(waterline, "waterline", "mm", 0.0, below=blade.span, hint="it counts from the root end, along the span")


# ----- Lead or foam that brings a part to the wanted net buoyancy, its own displaced volume counted.
#
# With r for the density of the water, m and v for mass and volume of what is added and S for the change of the net
# force: outside the part S = g (r v - m). Inside the hollow, dry, nothing more is displaced, so S = -g m. Inside a
# flooded hollow it drives out as much water as it takes room, so again S = g (r v - m). (Archimedes; derived here.)


LEAD_DENSITY = 11340.0  # kg/m3, from memory
FOAM_DENSITY = 35.0  # kg/m3, light closed-cell foam: from memory; foams differ widely
NEXT_TO_NOTHING = 1e-9  # of the buoyancy: a force below this needs no trim


@dataclass(frozen=True)
class Ballast:
    """What brings the net force to the wanted one: `material` "lead", "foam" or "none", `mass` [kg], `volume` [m3]."""

    material: str
    mass: float
    volume: float
    words: str


def ballast(
    hydro: Hydrostatics,
    wanted: float = 0.0,
    flooded: bool = False,
    inside: bool = False,
    lead_density: float = LEAD_DENSITY,
    foam_density: float = FOAM_DENSITY,
) -> Ballast:
    """Lead or foam to bring the net force [N, positive upwards] to `wanted`.

    Parameters
    ----------
    hydro : Hydrostatics
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
    wanted = read_number(wanted, "wanted net force", "N")
    foam_density = read_number(foam_density, "density of the foam", "kg/m3", above=0.0)
    lead_density = read_number(lead_density, "density of the lead", "kg/m3", above=0.0)
    water = hydro.water_density
    if not 0.0 < foam_density < water < lead_density:
        raise ValueError(
            f"foam of {foam_density:.6g}, water of {water:.6g} and lead of {lead_density:.6g} kg/m3: the "
            "foam must be lighter than the water and the lead heavier"
        )
    change = wanted - hydro.net(flooded)
    state = "flooded" if flooded else "dry"
    if abs(change) <= NEXT_TO_NOTHING * hydro.buoyancy:
        return Ballast("none", 0.0, 0.0, f"{state}: nothing to trim")
    if change > 0.0 and inside and not flooded:
        raise ValueError("foam in a dry hollow only adds weight: fix it outside, or trim the flooded part")
    material, density = ("foam", foam_density) if change > 0.0 else ("lead", lead_density)
    lift = -density if inside and not flooded else water - density  # per volume and gravity
    volume = change / (GRAVITY * lift)
    if inside and volume > hydro.hollow.amount:
        raise ValueError(
            f"{show(volume, 'mL')} of {material} is more than the hollow holds, "
            f"{show(hydro.hollow.amount, 'mL')}: fix it outside"
        )
    place = "inside the hollow" if inside else "outside, under water"
    unit = "kg" if density * volume >= 1.0 else "g"
    words = (
        f"{state}: {show(density * volume, unit, 3)} of {material}, {show(volume, 'mL', 3)}, {place}, for a net "
        f"force of {show(np.float64(wanted), 'N', 3)}"
    )
    return Ballast(material, density * volume, volume, words)
