"""Every computed number of a design, or of arrays of designs, by name.

`gather` turns a design (or a design with arrays in place of some inputs) into plain numbers; `Solved` works out what
follows from them when it is asked for. Both take floats or arrays, so a sweep over many designs and the study of one
run through the same lines. A new quantity is a new row of `QUANTITIES`: label, unit, formula.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter

import numpy as np

from ..mechanics import forming, section
from ..mechanics.bend import Bend, solve_bend
from ..mechanics.numerics import taken
from ..mechanics.wedge import Wedge, solve_wedge
from ..units import Quantity
from .design import LIMITS, Design


@dataclass(frozen=True, eq=False)
class Pick:
    """Stock chosen design by design: `records[index]`, with few records and one index for each design."""

    records: tuple
    index: np.ndarray

    def read(self, value, thickness):
        """`value(record, thickness)` for each design; `thickness` [m] a float or an array of the index's shape."""
        table = np.array([np.broadcast_to(_number(value(r, thickness)), self.index.shape) for r in self.records])
        return np.take_along_axis(table, self.index[None], axis=0)[0]


def gather(design: Design, nominal_thickness=None, modulus_factor=1.0, **arrays) -> dict:
    """All numeric inputs of a design by name, SI, with arrays in place of some of them.

    `arrays` names fields of the design: numbers in SI, or a `Pick` for "sheet", "adhesive", "spacer" and "resin"; and
    "filled", whether the hollow is filled there, which the section of a design is not.
    Material values that depend on the thickness are read at the given thickness, or at `nominal_thickness` [m] where
    one is given: a sheet a little off its nominal thickness is still the same stock. `modulus_factor` multiplies the
    moduli of the sheet. All arrays must broadcast together.
    """
    numbers = {name: arrays.get(name, getattr(design, name)) for name in LIMITS}
    thickness = numbers["sheet_thickness"] if nominal_thickness is None else nominal_thickness
    for stock, values in _STOCK_VALUES.items():
        chosen = arrays.get(stock, getattr(design, stock))
        for name, value in values.items():
            numbers[name] = (
                chosen.read(value, thickness) if isinstance(chosen, Pick) else _number(value(chosen, thickness))
            )
    for name in ("modulus", "span_modulus", "shear_modulus"):  # a batch is off alike in every modulus
        numbers[name] = numbers[name] * modulus_factor
    width = {"by width": numbers["span"], "wide sheet": np.inf, "narrow strip": 0.0}[design.modulus_rule]
    between = numbers["span"], numbers["frame_width"]
    numbers["filled"] = arrays.get("filled", 0.0)
    numbers["least_bay"], numbers["filled_length"] = (
        design.inside.least_bay(*between),
        design.inside.filled_length(*between),
    )
    numbers["bending_modulus"], numbers["wide"] = forming.bending_modulus(
        numbers["modulus"], numbers["poisson"], width, numbers["sheet_thickness"]
    )
    return numbers


_STOCK_VALUES = {
    "sheet": {
        "modulus": lambda sheet, t: sheet.modulus_at(t),
        "poisson": lambda sheet, t: sheet.poisson,
        "density": lambda sheet, t: sheet.density,
        "forming_limit": lambda sheet, t: sheet.forming_limit_at(t),
        "permanent_limit": lambda sheet, t: sheet.permanent_limit_at(t),
        "span_modulus": lambda sheet, t: sheet.span_modulus_at(t),
        "shear_modulus": lambda sheet, t: sheet.shear_modulus_at(t),
    },
    "adhesive": {"toughness": lambda adhesive, t: adhesive.toughness},
    "spacer": {
        "spacer_modulus": lambda spacer, t: spacer.modulus,
        "spacer_poisson": lambda spacer, t: spacer.poisson,
        "spacer_density": lambda spacer, t: spacer.density,
    },
    "resin": {
        "resin_modulus": lambda resin, t: resin.modulus,
        "resin_poisson": lambda resin, t: resin.poisson,
        "resin_density": lambda resin, t: resin.density,
    },
}


def _number(value):
    return np.nan if value is None else value


class Solved:
    """What follows from gathered numbers, floats or arrays in SI; each part is solved when first asked for.

    `s["span"]` is an input, `s["chord"]` a quantity of `QUANTITIES` (those of the framed sheet left out). A single
    design that is not feasible raises InfeasibleBend; in arrays it is nan.
    """

    def __init__(self, numbers: dict):
        self.numbers, self._computed = numbers, {}

    def __getitem__(self, name: str):
        if name in self.numbers:
            return self.numbers[name]
        with np.errstate(invalid="ignore"):
            return self._quantity(name)

    def _quantity(self, name):
        if name not in self._computed:
            self._computed[name] = QUANTITIES[name].formula(self)
        return self._computed[name]

    def quantities(self) -> dict:
        """Quantities by name, in the order of kept files."""
        with np.errstate(invalid="ignore"):
            return {name: self._quantity(name) for name in _WRITTEN}

    def some(self, which) -> Solved:
        """Of arrays, those at `which` of their first axis; what was solved of the shape is not solved again."""
        shape = np.shape(self.bend.contact_angle)
        if np.array_equal(np.arange(shape[0])[which], np.arange(shape[0])):
            return self
        own = {name: v[which] if np.shape(v) == shape else v for name, v in self.numbers.items()}
        part = Solved(own)
        for name in ("bend", "composite", "flow"):
            if name in vars(self):
                vars(part)[name] = taken(getattr(self, name), which)
        return part

    @cached_property
    def bend(self) -> Bend:
        """The bent shape."""
        return solve_bend(*self._geometry)

    @cached_property
    def wedge(self) -> Wedge:
        """The flat wedge of the same sheets and rod."""
        return solve_wedge(*self._geometry)

    @property
    def _geometry(self):
        return [self[n] for n in ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback")]

    @cached_property
    def stiffness(self):
        """D of one sheet per metre of span [N m]."""
        return forming.bending_stiffness(self["bending_modulus"], self["sheet_thickness"])

    @cached_property
    def loads(self) -> forming.FormingLoads:
        """What forming does."""
        return forming.loads_of(self.bend, self.stiffness)

    @cached_property
    def bent(self) -> section.Section:
        """Section of the two bent sheets."""
        return section.bent_pair(self.bend, self["density"])

    @cached_property
    def flat(self) -> section.Section:
        """Section of the flat wedge."""
        return section.wedge_pair(self.wedge, self["density"])

    @cached_property
    def composite(self) -> section.CompositeSection:
        """Section with land, spacer and potting, weighted by their moduli."""
        return section.composite_section(self.bend, self.numbers)

    @cached_property
    def flow(self) -> section.WallFlow:
        """Shear flow round the closed cell per newton of side force; where the hollow is filled as if it were not, for
        what the filling takes of it is left out, on the safe side."""
        hollow = self.composite
        if "filling" in hollow.shares:
            hollow = section.composite_section(self.bend, {**self.numbers, "filled": 0.0})
        return section.wall_flow(self.bend, self.numbers, hollow.chord_stiffness)

    @cached_property
    def flat_composite(self) -> section.CompositeSection:
        """The same of the flat wedge."""
        return section.composite_section(self.wedge, self.numbers)


def mass_over_span(design: Design, quantities):
    """Mass of the sections over a design's span with its ribs and solid zones [kg], closing frames left out; floats or
    arrays. quantities: by name, "mass_per_length" [kg/m] and "void_area" [m2] among them."""
    return quantities["mass_per_length"] * design.span + filled_mass(design, quantities)


def filled_mass(design: Design, quantities):
    """Mass of the ribs and solid zones alone [kg]; quantities: by name, "void_area" [m2] among them."""
    if not design.inside:
        return 0.0
    length = design.inside.filled_length(design.span, design.frame_width)
    return quantities["void_area"] * design.resin.density * length


def quantities(numbers: dict) -> dict:
    """Every computed quantity by name, SI, floats or arrays; nan where not feasible, those of the framed sheet left
    out. A single infeasible design raises InfeasibleBend."""
    return Solved(numbers).quantities()


# ----- The table


@dataclass(frozen=True)
class Computed(Quantity):
    """A quantity and its `formula`, a function of a `Solved`; None for what `study.framed_sheet` works out."""

    formula: Callable | None = None


def _row(label, unit, formula=None):
    """`formula` may be the place in a `Solved` where the quantity stands."""
    return Computed(label, unit, formula=attrgetter(formula) if isinstance(formula, str) else formula)


def _ratio(name, section="bent"):
    """Of the bent pair's section over the flat wedge's."""
    flat = {"bent": "flat", "composite": "flat_composite"}[section]
    return lambda s: getattr(getattr(s, section), name) / getattr(getattr(s, flat), name)


# What a design alone gives: sweeps and study files go through all of it.
QUANTITIES = {
    "chord": _row("chord", "mm", lambda s: s["land_length"] + s.bend.free_chord),
    "outer_thickness": _row("outer thickness at the front edge", "mm", "bend.outer_thickness"),
    "thickness_ratio": _row("outer thickness over chord", "%", lambda s: s.bend.outer_thickness / s["chord"]),
    "mouth": _row("mouth between the inner corners", "mm", "bend.mouth"),
    "developed_length": _row(
        "developed length of each blank", "mm", lambda s: s["land_length"] + s.bend.free_length + 0.0 * s["chord"]
    ),
    "contact_angle": _row("angle of the sheet at the contact", "deg", "bend.contact_angle"),
    "contact_arclength": _row("land end to contact, along the sheet", "mm", "bend.contact_arclength"),
    "overhang": _row("straight sheet in front of the contact", "mm", "bend.overhang"),
    "spacer_position": _row("land end to rod centre", "mm", "bend.spacer_position"),
    "nose_step": _row("step from rod to sheet to be faired", "mm", lambda s: s.bend.nose_step + 0.0 * s["chord"]),
    "greatest_spacer": _row("greatest spacer these sheets take", "mm", "bend.greatest_spacer"),
    "condition": _row("change of angle over change of opening", "", "bend.condition"),
    "enclosed_area": _row("area between the inner faces", "cm2", "bend.enclosed_area"),
    "void_area": _row("hollow behind the rod", "cm2", "bend.void_area"),
    "front_area": _row("potting in front of the rod", "cm2", "bend.front_area"),
    "bending_modulus": _row("modulus that resists bending", "GPa", lambda s: s.numbers["bending_modulus"]),
    "bending_stiffness": _row("bending stiffness of one sheet, per metre of span", "N m", "stiffness"),
    "land_strain": _row(
        "bending strain at the land", "%", lambda s: 0.5 * s["sheet_thickness"] * s.bend.land_curvature
    ),
    "land_stress": _row("bending stress at the land", "MPa", lambda s: s["bending_modulus"] * s["land_strain"]),
    "land_radius": _row("tightest radius, at the land", "mm", lambda s: 1.0 / s.bend.land_curvature),
    "radius_ratio": _row(
        "tightest radius over thickness", "", lambda s: 1.0 / (s.bend.land_curvature * s["sheet_thickness"])
    ),
    "land_moment": _row("moment in each sheet at the land, per metre of span", "N m/m", "loads.land_moment"),
    "contact_force": _row("contact force on each sheet, per metre of span", "N/m", "loads.contact_force"),
    "contact_force_total": _row(
        "contact force on each sheet, whole span", "N", lambda s: s.loads.contact_force * s["span"]
    ),
    "push_out_force": _row("push-out force on the rod, per metre of span", "N/m", "loads.push_out_force"),
    "push_out_total": _row("push-out force on the rod, whole span", "N", lambda s: s.loads.push_out_force * s["span"]),
    "friction_needed": _row("friction needed to hold the rod", "", lambda s: np.tan(s.bend.contact_angle)),
    "opening_energy": _row("opening energy of the land", "J/m2", "loads.opening_energy"),
    "strain_energy": _row("stored energy, per metre of span", "J/m", "loads.strain_energy"),
    "strain_energy_total": _row("stored energy, whole span", "J", lambda s: s.loads.strain_energy * s["span"]),
    "springback": _row(
        "spring-back of each front edge if let go before cure", "mm", lambda s: forming.springback(s.bend)
    ),
    "lift_off_pressure": _row(
        "pressure at which an unbonded sheet leaves the rod, about", "Pa", "loads.lift_off_pressure"
    ),
    "area": _row("area of the two sheets", "mm2", "bent.area"),
    "centroid_x": _row("centroid, from the land end", "mm", "bent.centroid_x"),
    "i_chord": _row("second moment about the chord line", "mm4", "bent.i_chord"),
    "i_normal": _row("second moment about the axis normal to the chord", "mm4", "bent.i_normal"),
    "torsion_constant": _row("torsion constant of the closed cell", "mm4", "bent.torsion_constant"),
    "curve_moment": _row("one sheet's own second moment along the span", "mm4", "bent.curve_moment"),
    "sheet_mass": _row(
        "mass of the two sheets, land included",
        "kg",
        lambda s: (s.bent.area + 2.0 * s["land_length"] * s["sheet_thickness"]) * s["density"] * s["span"],
    ),
    "wedge_i_chord": _row("flat wedge: second moment about the chord line", "mm4", "flat.i_chord"),
    "wedge_i_normal": _row("flat wedge: second moment about the axis normal to the chord", "mm4", "flat.i_normal"),
    "wedge_torsion_constant": _row("flat wedge: torsion constant of the closed cell", "mm4", "flat.torsion_constant"),
    "wedge_enclosed_area": _row("flat wedge: area between the inner faces", "cm2", "flat.enclosed_area"),
    "wedge_outer_thickness": _row("flat wedge: outer thickness at the front edge", "mm", "wedge.outer_thickness"),
    "i_chord_ratio": _row("second moment about the chord line, bent over flat wedge", "", _ratio("i_chord")),
    "i_normal_ratio": _row(
        "second moment about the axis normal to the chord, bent over flat wedge", "", _ratio("i_normal")
    ),
    "torsion_ratio": _row("closed-cell torsion constant, bent over flat wedge", "", _ratio("torsion_constant")),
    "enclosed_ratio": _row("enclosed area, bent over flat wedge", "", _ratio("enclosed_area")),
    "curve_ratio": _row(
        "one sheet's own second moment along the span, bent over flat",
        "",
        lambda s: s.bent.curve_moment / (s["free_length"] * s["sheet_thickness"] ** 3 / 12.0),
    ),
    "axial_stiffness": _row("whole section: stiffness along the span, EA", "kN", "composite.axial_stiffness"),
    "whole_centroid_x": _row(
        "whole section: neutral axis across the chord, from the land end", "mm", "composite.centroid_x"
    ),
    "chord_stiffness": _row(
        "whole section: bending stiffness about the chord line, EI", "N m2", "composite.chord_stiffness"
    ),
    "normal_stiffness": _row(
        "whole section: bending stiffness about the normal axis, EI", "N m2", "composite.normal_stiffness"
    ),
    "torsion_stiffness": _row(
        "whole section: torsion stiffness, GJ, on the low side", "N m2", "composite.torsion_stiffness"
    ),
    "shear_centre_x": _row(
        "whole section: shear centre, from the land end",
        "mm",
        lambda s: section.centre_of(s.bend, s.flow),
    ),
    "section_modulus": _row(
        "whole section: section modulus at the skin's outer fibre", "cm3", "composite.section_modulus"
    ),
    "mass_per_length": _row("whole section: mass per metre of span", "kg/m", "composite.mass_per_length"),
    "spacer_share": _row(
        "share of the spacer in the bending stiffness about the chord line", "%", lambda s: s.composite.shares["spacer"]
    ),
    "chord_stiffness_ratio": _row(
        "whole section: EI about the chord line, bent over flat wedge", "", _ratio("chord_stiffness", "composite")
    ),
    "torsion_stiffness_ratio": _row(
        "whole section: GJ, bent over flat wedge", "", _ratio("torsion_stiffness", "composite")
    ),
    "press_deflection": _row("framed sheet: deflection of one face under the pressing pressure, outward", "mm"),
    "press_deflection_inward": _row("framed sheet: deflection of one face, inward", "mm"),
    "press_deflection_resting": _row("framed sheet: deflection outward before the front is potted", "mm"),
    "press_deflection_linear": _row("framed sheet: deflection by the linear theory", "mm"),
    "press_lets_go": _row("framed sheet: pressure at which the face snaps through or jumps", "Pa"),
    "buckling_stress": _row("framed sheet: skin buckling stress along the span, worse case, with its grain", "MPa"),
    "buckling_stress_free": _row("framed sheet: skin buckling stress, edges free to draw in", "MPa"),
    "buckling_stress_held": _row("framed sheet: skin buckling stress, edges held", "MPa"),
}

# Each design's framed sheet is a plate problem of its own, so these are computed one design at a time, not in a sweep.
LOCAL_QUANTITIES = tuple(name for name, quantity in QUANTITIES.items() if quantity.formula is None)
BENDING_QUANTITIES = tuple(name for name in QUANTITIES if name not in LOCAL_QUANTITIES)

# Kept files and notes list two of them with what they come from, not where the table shows them.
_WRITTEN_AFTER = {"curve_ratio": "sheet_mass", "shear_centre_x": "spacer_share"}
_WRITTEN = [name for name in BENDING_QUANTITIES if name not in _WRITTEN_AFTER]
for _name, _before in _WRITTEN_AFTER.items():
    _WRITTEN.insert(_WRITTEN.index(_before) + 1, _name)
