"""Every computed number of a design, or of arrays of designs, by name.

`gather` turns a design (or a design with arrays in place of some inputs) into plain numbers; `quantities` computes
all that follows from them. Both take floats or arrays, so a sweep over many designs and the study of one run
through the same lines.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics import forming, section
from ..mechanics.bend import Bend, solve_bend
from ..mechanics.section import composite_section, shear_centre
from ..mechanics.wedge import Wedge, solve_wedge
from ..units import Quantity
from .design import LIMITS, Design

# What a design alone gives: sweeps and study files go through all of it.
QUANTITIES = {
    "chord": Quantity("chord", "mm"),
    "outer_thickness": Quantity("outer thickness at the front edge", "mm"),
    "thickness_ratio": Quantity("outer thickness over chord", "%"),
    "mouth": Quantity("mouth between the inner corners", "mm"),
    "developed_length": Quantity("developed length of each blank", "mm"),
    "contact_angle": Quantity("angle of the sheet at the contact", "deg"),
    "contact_arclength": Quantity("land end to contact, along the sheet", "mm"),
    "overhang": Quantity("straight sheet in front of the contact", "mm"),
    "spacer_position": Quantity("land end to rod centre", "mm"),
    "nose_step": Quantity("step from rod to sheet to be faired", "mm"),
    "greatest_spacer": Quantity("greatest spacer these sheets take", "mm"),
    "condition": Quantity("change of angle over change of opening", ""),
    "enclosed_area": Quantity("area between the inner faces", "cm2"),
    "void_area": Quantity("hollow behind the rod", "cm2"),
    "front_area": Quantity("potting in front of the rod", "cm2"),
    "bending_modulus": Quantity("modulus that resists bending", "GPa"),
    "bending_stiffness": Quantity("bending stiffness of one sheet, per metre of span", "N m"),
    "land_strain": Quantity("bending strain at the land", "%"),
    "land_stress": Quantity("bending stress at the land", "MPa"),
    "land_radius": Quantity("tightest radius, at the land", "mm"),
    "radius_ratio": Quantity("tightest radius over thickness", ""),
    "land_moment": Quantity("moment in each sheet at the land, per metre of span", "N m/m"),
    "contact_force": Quantity("contact force on each sheet, per metre of span", "N/m"),
    "contact_force_total": Quantity("contact force on each sheet, whole span", "N"),
    "push_out_force": Quantity("push-out force on the rod, per metre of span", "N/m"),
    "push_out_total": Quantity("push-out force on the rod, whole span", "N"),
    "friction_needed": Quantity("friction at which the rod holds itself", ""),
    "opening_energy": Quantity("opening energy of the land", "J/m2"),
    "strain_energy": Quantity("stored energy, per metre of span", "J/m"),
    "strain_energy_total": Quantity("stored energy, whole span", "J"),
    "springback": Quantity("spring-back of each front edge if let go before cure", "mm"),
    "lift_off_pressure": Quantity("pressure at which an unbonded sheet leaves the rod, about", "Pa"),
    "area": Quantity("area of the two sheets", "mm2"),
    "centroid_x": Quantity("centroid, from the land end", "mm"),
    "i_chord": Quantity("second moment about the chord line", "mm4"),
    "i_normal": Quantity("second moment about the axis normal to the chord", "mm4"),
    "torsion_constant": Quantity("torsion constant of the closed cell", "mm4"),
    "curve_moment": Quantity("one sheet's own second moment along the span", "mm4"),
    "sheet_mass": Quantity("mass of the two sheets, land included", "kg"),
    "wedge_i_chord": Quantity("flat wedge: second moment about the chord line", "mm4"),
    "wedge_i_normal": Quantity("flat wedge: second moment about the axis normal to the chord", "mm4"),
    "wedge_torsion_constant": Quantity("flat wedge: torsion constant of the closed cell", "mm4"),
    "wedge_enclosed_area": Quantity("flat wedge: area between the inner faces", "cm2"),
    "wedge_outer_thickness": Quantity("flat wedge: outer thickness at the front edge", "mm"),
    "i_chord_ratio": Quantity("second moment about the chord line, bent over flat wedge", ""),
    "i_normal_ratio": Quantity("second moment about the axis normal to the chord, bent over flat wedge", ""),
    "torsion_ratio": Quantity("closed-cell torsion constant, bent over flat wedge", ""),
    "enclosed_ratio": Quantity("enclosed area, bent over flat wedge", ""),
    "curve_ratio": Quantity("one sheet's own second moment along the span, bent over flat", ""),
    "axial_stiffness": Quantity("whole section: stiffness along the span, EA", "kN"),
    "whole_centroid_x": Quantity("whole section: neutral axis across the chord, from the land end", "mm"),
    "chord_stiffness": Quantity("whole section: bending stiffness about the chord line, EI", "N m2"),
    "normal_stiffness": Quantity("whole section: bending stiffness about the normal axis, EI", "N m2"),
    "torsion_stiffness": Quantity("whole section: torsion stiffness, GJ, on the low side", "N m2"),
    "shear_centre_x": Quantity("whole section: shear centre, from the land end", "mm"),
    "section_modulus": Quantity("whole section: section modulus at the skin's outer fibre", "cm3"),
    "mass_per_length": Quantity("whole section: mass per metre of span", "kg/m"),
    "spacer_share": Quantity("share of the spacer in the bending stiffness about the chord line", "%"),
    "chord_stiffness_ratio": Quantity("whole section: EI about the chord line, bent over flat wedge", ""),
    "torsion_stiffness_ratio": Quantity("whole section: GJ, bent over flat wedge", ""),
    "press_deflection": Quantity("framed sheet: deflection under the pressing pressure, worse case", "mm"),
    "press_deflection_free": Quantity("framed sheet: deflection, edges free to draw in", "mm"),
    "press_deflection_held": Quantity("framed sheet: deflection, edges held", "mm"),
    "buckling_stress": Quantity("framed sheet: skin buckling stress along the span, worse case, with its grain", "MPa"),
    "buckling_stress_free": Quantity("framed sheet: skin buckling stress, edges free to draw in", "MPa"),
    "buckling_stress_held": Quantity("framed sheet: skin buckling stress, edges held", "MPa"),
}

# Each design's framed sheet is a plate problem of its own, so these are computed one design at a time, not in a sweep.
LOCAL_QUANTITIES = tuple(name for name in QUANTITIES if name.startswith(("press_deflection", "buckling_stress")))


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

    `arrays` names fields of the design: numbers in SI, or a `Pick` for "sheet", "adhesive", "spacer" and "resin".
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
    for name in ("modulus", "span_modulus", "shear_modulus"):  # a stiffer batch is stiffer every way
        numbers[name] = numbers[name] * modulus_factor
    width = {"by width": numbers["span"], "wide sheet": np.inf, "narrow strip": 0.0}[design.modulus_rule]
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


def solve(numbers: dict) -> tuple[Bend, Wedge]:
    """Bent shape and flat wedge of gathered numbers. A single infeasible design raises InfeasibleBend."""
    geometry = _geometry(numbers)
    return solve_bend(*geometry), solve_wedge(*geometry)


def quantities(numbers: dict) -> dict:
    """Every computed quantity of `units.QUANTITIES` by name, SI, floats or arrays; nan where not feasible."""
    bend, wedge = solve(numbers)
    return assemble(numbers, bend, wedge)[0]


def assemble(numbers: dict, bend: Bend, wedge: Wedge):
    """(quantities, loads, bent section, wedge section) from numbers and solved shapes."""
    loads, stiffness = _loads(numbers, bend)
    bent, flat = section.bent_pair(bend, numbers["density"]), section.wedge_pair(wedge, numbers["density"])
    with np.errstate(invalid="ignore"):
        out = {
            **_shape_quantities(numbers, bend),
            **_forming_quantities(numbers, bend, loads, stiffness),
            **_bent_quantities(numbers, bent),
            **_flat_quantities(numbers, bent, flat, wedge),
            **_composite_quantities(numbers, bend, wedge),
        }
    return out, loads, bent, flat


def selected(numbers: dict, wanted) -> tuple[dict, Bend]:
    """(quantities by name, SI, bend) of gathered numbers, leaving out the groups that hold nothing `wanted`: the two
    sheets' section, the flat wedge, the whole section. Shape and forming are always there. The same lines compute the
    same numbers as in `quantities`; what is left out takes more than half of the time of a sweep.
    """
    wanted = set(wanted)
    geometry = _geometry(numbers)
    bend = solve_bend(*geometry)
    wedge = solve_wedge(*geometry) if wanted & (FLAT | WHOLE_FLAT) else None
    loads, stiffness = _loads(numbers, bend)
    with np.errstate(invalid="ignore"):
        out = {**_shape_quantities(numbers, bend), **_forming_quantities(numbers, bend, loads, stiffness)}
        if wanted & (BENT | FLAT):
            bent = section.bent_pair(bend, numbers["density"])
            out |= _bent_quantities(numbers, bent)
        if wanted & FLAT:
            out |= _flat_quantities(numbers, bent, section.wedge_pair(wedge, numbers["density"]), wedge)
        if wanted & (WHOLE | WHOLE_FLAT):
            out |= _composite_quantities(numbers, bend, wedge, "shear_centre_x" in wanted)
    return out, bend


def _geometry(numbers):
    return [numbers[n] for n in ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback")]


def _loads(numbers, bend):
    stiffness = forming.bending_stiffness(numbers["bending_modulus"], numbers["sheet_thickness"])
    return forming.forming_loads(bend, stiffness), stiffness


def _shape_quantities(numbers, bend):
    chord = numbers["land_length"] + bend.free_chord
    return {
        "chord": chord,
        "outer_thickness": bend.outer_thickness,
        "thickness_ratio": bend.outer_thickness / chord,
        "mouth": bend.mouth,
        "developed_length": numbers["land_length"] + bend.free_length + 0.0 * chord,
        "contact_angle": bend.contact_angle,
        "contact_arclength": bend.contact_arclength,
        "overhang": bend.overhang,
        "spacer_position": bend.spacer_position,
        "nose_step": bend.nose_step + 0.0 * chord,
        "greatest_spacer": bend.greatest_spacer,
        "condition": bend.condition,
        "enclosed_area": bend.enclosed_area,
        "void_area": bend.void_area,
        "front_area": bend.front_area,
    }


def _forming_quantities(numbers, bend, loads, stiffness):
    t, span, modulus = (numbers[n] for n in ("sheet_thickness", "span", "bending_modulus"))
    strain = 0.5 * t * bend.land_curvature
    return {
        "bending_modulus": modulus,
        "bending_stiffness": stiffness,
        "land_strain": strain,
        "land_stress": modulus * strain,
        "land_radius": 1.0 / bend.land_curvature,
        "radius_ratio": 1.0 / (bend.land_curvature * t),
        "land_moment": loads.land_moment,
        "contact_force": loads.contact_force,
        "contact_force_total": loads.contact_force * span,
        "push_out_force": loads.push_out_force,
        "push_out_total": loads.push_out_force * span,
        "friction_needed": np.tan(bend.contact_angle),
        "opening_energy": loads.opening_energy,
        "strain_energy": loads.strain_energy,
        "strain_energy_total": loads.strain_energy * span,
        "springback": forming.springback(bend),
        "lift_off_pressure": loads.lift_off_pressure,
    }


def _bent_quantities(numbers, bent):
    land = 2.0 * numbers["land_length"] * numbers["sheet_thickness"]
    flat_sheet = numbers["free_length"] * numbers["sheet_thickness"] ** 3 / 12.0
    return {
        "area": bent.area,
        "centroid_x": bent.centroid_x,
        "i_chord": bent.i_chord,
        "i_normal": bent.i_normal,
        "torsion_constant": bent.torsion_constant,
        "curve_moment": bent.curve_moment,
        "sheet_mass": (bent.area + land) * numbers["density"] * numbers["span"],
        "curve_ratio": bent.curve_moment / flat_sheet,
    }


def _flat_quantities(numbers, bent, flat, wedge):
    return {
        "wedge_i_chord": flat.i_chord,
        "wedge_i_normal": flat.i_normal,
        "wedge_torsion_constant": flat.torsion_constant,
        "wedge_enclosed_area": flat.enclosed_area,
        "wedge_outer_thickness": wedge.outer_thickness,
        "i_chord_ratio": bent.i_chord / flat.i_chord,
        "i_normal_ratio": bent.i_normal / flat.i_normal,
        "torsion_ratio": bent.torsion_constant / flat.torsion_constant,
        "enclosed_ratio": bent.enclosed_area / flat.enclosed_area,
    }


def _composite_quantities(numbers, bend, wedge, with_shear_centre=True):
    """Of the whole section; without a wedge not the ratios to it."""
    whole = composite_section(bend, numbers)
    out = {
        "axial_stiffness": whole.axial_stiffness,
        "whole_centroid_x": whole.centroid_x,
        "chord_stiffness": whole.chord_stiffness,
        "normal_stiffness": whole.normal_stiffness,
        "torsion_stiffness": whole.torsion_stiffness,
        "section_modulus": whole.section_modulus,
        "mass_per_length": whole.mass_per_length,
        "spacer_share": whole.shares["spacer"],
    }
    if with_shear_centre:
        out["shear_centre_x"] = shear_centre(bend, numbers, whole.chord_stiffness)
    if wedge is not None:
        flat = composite_section(wedge, numbers)
        out["chord_stiffness_ratio"] = whole.chord_stiffness / flat.chord_stiffness
        out["torsion_stiffness_ratio"] = whole.torsion_stiffness / flat.torsion_stiffness
    return out


BENT = frozenset(
    (
        "area",
        "centroid_x",
        "i_chord",
        "i_normal",
        "torsion_constant",
        "curve_moment",
        "sheet_mass",
        "curve_ratio",
    )
)
FLAT = frozenset(
    (
        "wedge_i_chord",
        "wedge_i_normal",
        "wedge_torsion_constant",
        "wedge_enclosed_area",
        "wedge_outer_thickness",
        "i_chord_ratio",
        "i_normal_ratio",
        "torsion_ratio",
        "enclosed_ratio",
    )
)
WHOLE = frozenset(
    (
        "axial_stiffness",
        "whole_centroid_x",
        "chord_stiffness",
        "normal_stiffness",
        "torsion_stiffness",
        "section_modulus",
        "mass_per_length",
        "spacer_share",
        "shear_centre_x",
    )
)
WHOLE_FLAT = frozenset(("chord_stiffness_ratio", "torsion_stiffness_ratio"))
