"""Units at the edge, and the one number formatter.

Inside the package every number is a plain float in SI (m, N, Pa, rad, kg). Millimetres, megapascals and
degrees exist only where a person or a study file meets the package. One table, `QUANTITIES`, names every
quantity that is shown: what a builder calls it, its unit on screen and the factor from SI to that unit.
Panels, tables, plots, notes and CSV files all read this table, so a quantity looks the same everywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

# SI value = shown value * factor
FACTORS = {
    "": 1.0,
    "mm": 1e-3,
    "m": 1.0,
    "MPa": 1e6,
    "GPa": 1e9,
    "Pa": 1.0,
    "kPa": 1e3,
    "deg": math.pi / 180.0,
    "%": 1e-2,
    "N": 1.0,
    "kN": 1e3,
    "N/m": 1.0,
    "kN/m": 1e3,
    "N/mm": 1e3,
    "N m": 1.0,
    "N m/m": 1.0,
    "J": 1.0,
    "J/m": 1.0,
    "J/m2": 1.0,
    "kg": 1.0,
    "g": 1e-3,
    "kg/m": 1.0,
    "kg/m3": 1.0,
    "1/m": 1.0,
    "mm2": 1e-6,
    "cm2": 1e-4,
    "mm4": 1e-12,
    "cm4": 1e-8,
    "cm3": 1e-6,
    "mL": 1e-6,
    "mm3": 1e-9,
    "N m2": 1.0,
    "x": 1.0,
    "micrometre/m": 1e-6,
    "m/s": 1.0,
    "s": 1.0,
    "min": 60.0,
    "h": 3600.0,
    "K": 1.0,
    "degC": 1.0,
    "kJ/kg": 1e3,
    "W/mK": 1.0,
    "W/m2K": 1.0,
}

OFFSETS = {"degC": 273.15}  # SI value of a shown zero, where that is not zero

PRETTY = {
    "deg": "°",
    "mm2": "mm²",
    "cm2": "cm²",
    "mm4": "mm⁴",
    "cm4": "cm⁴",
    "cm3": "cm³",
    "mm3": "mm³",
    "J/m2": "J/m²",
    "kg/m3": "kg/m³",
    "x": "×",
    "N m": "N·m",
    "N m/m": "N·m/m",
    "N m2": "N·m²",
    "degC": "°C",
    "W/mK": "W/(m·K)",
    "W/m2K": "W/(m²·K)",
    "micrometre/m": "µm/m",
}

KEY_SUFFIX = {
    "mm": "mm",
    "MPa": "mpa",
    "GPa": "gpa",
    "Pa": "pa",
    "kPa": "kpa",
    "deg": "deg",
    "%": "percent",
    "J/m2": "j_m2",
    "kg/m3": "kg_m3",
    "": "",
    "x": "",
    "N": "n",
    "m/s": "m_s",
    "degC": "c",
    "mL": "ml",
    "g": "g",
    "h": "h",
    "W/mK": "w_mk",
}


@dataclass(frozen=True)
class Quantity:
    """What a builder calls a computed number, and the unit it is shown in."""

    label: str
    unit: str = ""
    digits: int = 4

    @property
    def factor(self) -> float:
        """SI value of one shown unit."""
        return FACTORS[self.unit]


def pretty_unit(unit: str) -> str:
    """Unit as printed: `mm4` becomes `mm⁴`; an empty unit stays empty."""
    return PRETTY.get(unit, unit)


def format_number(value: float, digits: int = 4) -> str:
    """Write a number with `digits` significant digits, without exponent where that reads well.

    Not a number becomes an en dash, infinity a word. There is no minus zero. Plain decimals are used from
    1e-4 up to 1e7; outside, a power of ten. Trailing zeros are kept: they say how well a number is known.
    """
    value = float(value)
    if math.isnan(value):
        return "–"
    if math.isinf(value):
        return "no limit" if value > 0 else "minus infinity"
    if value == 0.0:
        return "0"
    mantissa, exponent = f"{value:.{digits - 1}e}".split("e")
    magnitude = int(exponent)
    if magnitude < -4 or magnitude >= 7:
        return f"{mantissa.replace('-', '−')}·10^{int(exponent)}".replace("^-", "^−")
    text = f"{value:.{max(digits - 1 - magnitude, 0)}f}"
    if magnitude >= digits:  # digits beyond the significant ones are rounded away, not printed as if known
        text = f"{round(value, digits - 1 - magnitude):.0f}"
    return text.replace("-", "−")


def show(value: float, unit: str = "", digits: int = 4) -> str:
    """SI value as text with its unit: `show(0.018, "mm")` gives `18.00 mm`."""
    text = format_number((float(value) - OFFSETS.get(unit, 0.0)) / FACTORS[unit], digits)
    if text in ("–", "no limit", "minus infinity") or not unit:
        return text
    space = "" if unit == "deg" else " "
    return f"{text}{space}{pretty_unit(unit)}"


def round_bound(value: float, unit: str = "", digits: int = 4, *, up: bool) -> float:
    """A limit [SI] rounded up or down to `digits` in its unit, so that it stays on the allowed side.

    It is first moved by a billionth to that side, so that the rounding of the last digit cannot undo it.
    """
    number = float(value) / FACTORS[unit]
    if not math.isfinite(number) or number == 0.0:
        return float(value)
    exact = Decimal(number) + abs(Decimal(number)) * Decimal("1e-9" if up else "-1e-9")
    last = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    return to_si(float(exact.quantize(last, rounding=ROUND_CEILING if up else ROUND_FLOOR)), unit)


def show_measured(value: float, uncertainty: float, unit: str = "") -> str:
    """Value and its standard uncertainty, both to the two digits the uncertainty is worth: `2.0380 ± 0.0067 mm`."""
    shown, spread = float(value) / FACTORS[unit], abs(float(uncertainty)) / FACTORS[unit]
    if not (math.isfinite(shown) and math.isfinite(spread)) or spread == 0.0:
        return show(value, unit)
    decimals = max(1 - math.floor(math.log10(spread)), 0)
    space = "" if unit in ("deg", "") else " "
    number = f"{shown:.{decimals}f}".replace("-", "−")
    if number.startswith("−") and not number.strip("−0."):
        number = number[1:]
    return f"{number} ± {spread:.{decimals}f}{space}{pretty_unit(unit)}"


def show_input(value: float, unit: str = "") -> str:
    """An input as text: as many digits as were entered (up to nine), no padding zeros."""
    number = (float(value) - OFFSETS.get(unit, 0.0)) / FACTORS[unit]
    text = f"{number:.9g}".replace("-", "−")
    space = "" if unit in ("deg", "") else " "
    return f"{text}{space}{pretty_unit(unit)}"


def to_si(shown: float, unit: str) -> float:
    """Value in a shown unit as SI. Decimal units are shifted exactly: 0.3 mm becomes 0.0003 m, not 0.00029999…"""
    shift = _POWERS.get(unit)
    if unit in OFFSETS and math.isfinite(shown):
        return float(Decimal(repr(float(shown))) + Decimal(repr(OFFSETS[unit])))
    if shift is None or not math.isfinite(shown):
        return float(shown) * FACTORS[unit]
    return float(Decimal(repr(float(shown))).scaleb(shift))


def from_si(value: float, unit: str) -> float:
    """SI value in a shown unit; the exact inverse of `to_si` for numbers of up to 15 digits.

    Beyond that a number may come back with its last bit changed. (Degrees: to rounding.)
    """
    shift = _POWERS.get(unit)
    if unit in OFFSETS and math.isfinite(value):
        return float(Decimal(repr(float(value))) - Decimal(repr(OFFSETS[unit])))
    if unit in ("min", "h") and math.isfinite(value):
        number = float(value) / FACTORS[unit]
        entered = float(f"{number:.15g}")
        return entered if to_si(entered, unit) == value else number
    if shift is None or not math.isfinite(value):
        return float(value) / FACTORS[unit]
    return float(Decimal(repr(float(value))).scaleb(-shift))


_POWERS = {
    unit: round(math.log10(factor))
    for unit, factor in FACTORS.items()
    if abs(math.log10(factor) - round(math.log10(factor))) < 1e-12
}


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

# What a part under its loads is asked for (`loads.load_study`): diagrams along the span, and numbers of a load case.
# Not numbers of a design alone, so they stand apart from `QUANTITIES`, which sweeps and study files go through.
LOAD_QUANTITIES = {
    "position": Quantity("from the root end", "mm"),
    "shear": Quantity("shear force", "N", 3),
    "moment": Quantity("bending moment", "N m", 3),
    "torque": Quantity("torque about the axis", "N m", 3),
    "local_torque": Quantity("torque about the shear centre", "N m", 3),
    "slope": Quantity("slope of the span", "deg", 3),
    "deflection": Quantity("deflection", "mm", 3),
    "twist": Quantity("twist", "deg", 3),
    "side_force": Quantity("side force", "N", 3),
    "pressure": Quantity("greatest pressure on the skin", "kPa", 3),
    "lift_coefficient": Quantity("lift coefficient", "", 3),
    "aspect_ratio": Quantity("effective aspect ratio", "", 3),
    "angle": Quantity("angle to the flow", "deg", 3),
    "stall_angle": Quantity("stall angle", "deg", 3),
    "area": Quantity("area in the water, one side", "cm2", 3),
    "stagnation_pressure": Quantity("stagnation pressure", "kPa", 3),
    "bearing_force": Quantity("force of a bearing on the part", "N", 3),
    "root_moment": Quantity("moment at the clamped root", "N m", 3),
}
