"""The study of one design: every quantity, every check with its limit, reserve, verdict, basis and source.

`gather` turns a design (or a design with arrays in place of some inputs) into plain numbers, `quantities` computes all that
follows from them, and `judge` sets each check's value against its limit. All three take floats or arrays, so a sweep over
many designs and the study of one run through the same lines. `evaluate` adds the words.

Verdicts: "holds", "close" (the reserve is more than needed, but by less than a stated share), "fails", "unknown" (the limit
has no basis). Comparisons with the flat wedge say "more", "less" or "same": of what, stands in their name.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from . import forming, section
from .bend import NEAR_FOLD, Bend, solve_bend
from .design import LIMITS, Design
from .units import QUANTITIES, show, show_input

HOLDS, CLOSE, FAILS, UNKNOWN = "holds", "close", "fails", "unknown"
VERDICTS = (HOLDS, CLOSE, FAILS, UNKNOWN)
SAME_WITHIN = 0.005  # ratios this close to one are called the same


@dataclass(frozen=True)
class Check:
    """One line of the table of checks. `value` and `limit` in SI, `unit` on screen; `reserve` is how many times the limit
    exceeds the value (below one: fails). Comparisons have no limit and no reserve (nan)."""

    key: str
    name: str
    value: float
    limit: float
    reserve: float
    verdict: str
    unit: str
    basis: str
    source: str
    advice: str = ""
    kind: str = "limit"
    need: str = "at most"

    def value_text(self) -> str:
        """Value with unit."""
        return show(self.value, self.unit, 3)

    def limit_text(self) -> str:
        """Limit with unit; a dash where there is none."""
        return show(self.limit, self.unit, 3)

    def reserve_text(self) -> str:
        """Reserve as a multiple, or a dash."""
        return show(self.reserve, "x", 3 if self.reserve < 1000 else 2)


@dataclass(frozen=True, eq=False)
class Study:
    """Everything known of one design; see `evaluate`."""

    design: Design
    bend: Bend
    wedge: section.Wedge
    forming: forming.FormingLoads
    bent: section.Section
    flat: section.Section
    quantities: dict
    checks: tuple
    notes: tuple
    modulus_words: str
    extra: dict = field(default_factory=dict)

    @property
    def governing(self) -> Check:
        """The check with the smallest reserve."""
        judged = [c for c in self.checks if c.kind == "limit" and not np.isnan(c.reserve)]
        return min(judged, key=lambda c: c.reserve)

    @property
    def unknown(self) -> tuple:
        """Checks that could not be judged because a limit has no basis."""
        return tuple(c for c in self.checks if c.verdict == UNKNOWN)

    @property
    def verdict(self) -> str:
        """The verdict of the governing check; "unknown" if that one holds but another could not be judged."""
        worst = self.governing.verdict
        return UNKNOWN if self.unknown and worst != FAILS else worst

    def headline(self) -> str:
        """The governing check in one sentence."""
        return headline(self.governing, self.unknown)

    def check(self, key: str) -> Check:
        """The check with this key; ValueError if there is none."""
        for item in self.checks:
            if item.key == key:
                return item
        raise ValueError(f"there is no check {key!r}; there are {', '.join(c.key for c in self.checks)}")


def headline(governing: Check, unknown=()) -> str:
    """One sentence: the governing check, its value and limit, the reserve; then what could not be judged."""
    allowed = "allowed" if governing.need == "at most" else "needed"
    text = (f"Governing: {governing.name[0].lower()}{governing.name[1:]}, {governing.value_text()} with "
            f"{governing.limit_text()} {allowed}; reserve {show(governing.reserve, '', 3)} times.")
    if unknown:
        text += f" No basis to judge: {', '.join(c.name[0].lower() + c.name[1:] for c in unknown)}."
    return text


def gather(design: Design, **arrays) -> dict:
    """All numeric inputs of a design by name, SI, with arrays in place of some of them.

    `arrays` names fields of the design: numbers in SI, or for "sheet" and "adhesive" an object array (or list) of records.
    Material values that depend on the thickness are read at the given thickness. All arrays must broadcast together.
    """
    numbers = {name: arrays.get(name, getattr(design, name)) for name in LIMITS}
    thickness = numbers["sheet_thickness"]
    sheets, adhesives = arrays.get("sheet", design.sheet), arrays.get("adhesive", design.adhesive)
    numbers.update({name: _per_record(sheets, thickness, read) for name, read in _SHEET_VALUES.items()})
    numbers["toughness"] = _per_record(adhesives, thickness, lambda a, t: a.toughness)
    width = {"by width": numbers["span"], "wide sheet": np.inf, "narrow strip": 0.0}[design.modulus_rule]
    numbers["bending_modulus"], numbers["wide"] = forming.bending_modulus(
        numbers["modulus"], numbers["poisson"], width, thickness)
    return numbers


_SHEET_VALUES = {
    "modulus": lambda sheet, t: sheet.modulus_at(t),
    "poisson": lambda sheet, t: sheet.poisson,
    "density": lambda sheet, t: sheet.density,
    "forming_limit": lambda sheet, t: sheet.forming_limit_at(t),
    "permanent_limit": lambda sheet, t: sheet.permanent_limit_at(t),
}


def _per_record(records, thickness, read):
    """`read(record, thickness)` for one record, or element by element for an array of few distinct records."""
    def value(record):
        found = read(record, thickness)
        return np.nan if found is None else found

    if not isinstance(records, np.ndarray | list | tuple):
        return value(records)
    records = np.asarray(records, dtype=object)
    shape = np.broadcast_shapes(records.shape, np.shape(thickness))
    distinct = list({id(r): r for r in records.flat}.values())
    index = {id(r): i for i, r in enumerate(distinct)}
    which = np.reshape([index[id(r)] for r in records.flat], records.shape)
    table = np.array([np.broadcast_to(value(record), shape) for record in distinct])
    return np.take_along_axis(table, np.broadcast_to(which, shape)[None], axis=0)[0]


def solve(numbers: dict) -> tuple[Bend, section.Wedge]:
    """Bent shape and flat wedge of gathered numbers. A single infeasible design raises InfeasibleBend."""
    geometry = [numbers[n] for n in ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback")]
    return solve_bend(*geometry), section.solve_wedge(*geometry)


def quantities(numbers: dict) -> dict:
    """Every computed quantity of `units.QUANTITIES` by name, SI, floats or arrays; nan where not feasible."""
    bend, wedge = solve(numbers)
    return assemble(numbers, bend, wedge)[0]


def assemble(numbers: dict, bend: Bend, wedge: section.Wedge):
    """(quantities, loads, bent section, wedge section) from numbers and solved shapes."""
    t, span, modulus = (numbers[n] for n in ("sheet_thickness", "span", "bending_modulus"))
    stiffness = forming.bending_stiffness(modulus, t)
    loads = forming.forming_loads(bend, stiffness)
    bent, flat = section.bent_pair(bend, numbers["density"]), section.wedge_pair(wedge, numbers["density"])
    with np.errstate(invalid="ignore"):
        out = {**_shape_quantities(numbers, bend), **_forming_quantities(bend, loads, modulus, stiffness, t, span),
               **_section_quantities(numbers, bent, flat, wedge)}
    return out, loads, bent, flat


def _shape_quantities(numbers, bend):
    chord = numbers["land_length"] + bend.free_chord
    return {
        "chord": chord, "outer_thickness": bend.outer_thickness, "thickness_ratio": bend.outer_thickness / chord,
        "mouth": bend.mouth, "developed_length": numbers["land_length"] + bend.free_length + 0.0 * chord,
        "contact_angle": bend.contact_angle, "contact_arclength": bend.contact_arclength, "overhang": bend.overhang,
        "spacer_position": bend.spacer_position, "nose_step": bend.nose_step + 0.0 * chord,
        "greatest_spacer": bend.greatest_spacer, "condition": bend.condition, "enclosed_area": bend.enclosed_area,
        "void_area": bend.void_area, "front_area": bend.front_area,
    }


def _forming_quantities(bend, loads, modulus, stiffness, t, span):
    strain = 0.5 * t * bend.land_curvature
    return {
        "bending_modulus": modulus, "bending_stiffness": stiffness, "land_strain": strain, "land_stress": modulus * strain,
        "land_radius": 1.0 / bend.land_curvature, "radius_ratio": 1.0 / (bend.land_curvature * t),
        "land_moment": loads.land_moment, "contact_force": loads.contact_force,
        "contact_force_total": loads.contact_force * span, "push_out_force": loads.push_out_force,
        "push_out_total": loads.push_out_force * span, "friction_needed": np.tan(bend.contact_angle),
        "opening_energy": loads.opening_energy, "strain_energy": loads.strain_energy,
        "strain_energy_total": loads.strain_energy * span, "springback": forming.springback(bend),
        "lift_off_pressure": loads.lift_off_pressure,
    }


def _section_quantities(numbers, bent, flat, wedge):
    land = 2.0 * numbers["land_length"] * numbers["sheet_thickness"]
    flat_sheet = numbers["free_length"] * numbers["sheet_thickness"] ** 3 / 12.0
    return {
        "area": bent.area, "centroid_x": bent.centroid_x, "i_chord": bent.i_chord, "i_normal": bent.i_normal,
        "torsion_constant": bent.torsion_constant, "curve_moment": bent.curve_moment,
        "sheet_mass": (bent.area + land) * numbers["density"] * numbers["span"],
        "wedge_i_chord": flat.i_chord, "wedge_i_normal": flat.i_normal, "wedge_torsion_constant": flat.torsion_constant,
        "wedge_enclosed_area": flat.enclosed_area, "wedge_outer_thickness": wedge.outer_thickness,
        "i_chord_ratio": bent.i_chord / flat.i_chord, "i_normal_ratio": bent.i_normal / flat.i_normal,
        "torsion_ratio": bent.torsion_constant / flat.torsion_constant,
        "enclosed_ratio": bent.enclosed_area / flat.enclosed_area, "curve_ratio": bent.curve_moment / flat_sheet,
    }


@dataclass(frozen=True)
class Rule:
    """How one check is judged: a quantity, its limit from the numbers, and whether the limit is a ceiling or a floor."""

    key: str
    name: str
    quantity: str
    limit: object
    ceiling: bool = True


RULES = (
    Rule("forming_strain", "Bending strain, while forming", "land_strain", lambda n, q: n["forming_limit"]),
    Rule("permanent_strain", "Bending strain, for good", "land_strain", lambda n, q: n["permanent_limit"]),
    Rule("joint_opening", "Opening energy of the land", "opening_energy", lambda n, q: n["toughness"] / n["toughness_margin"]),
    Rule("rod_holds", "Rod holds itself until potted", "friction_needed", lambda n, q: n["friction"]),
    Rule("greatest_spacer", "Spacer below the greatest one", "spacer_diameter", lambda n, q: q["greatest_spacer"]),
)


def judge(numbers: dict, found: dict) -> dict:
    """Value, limit and reserve of every rule, and the code of its verdict (index into `VERDICTS`); floats or arrays.

    The reserve is limit over value for a ceiling, value over limit for a floor. Where the limit (or a material value it
    needs) has no basis the reserve is nan and the verdict "unknown"; where the design is not feasible the value is nan and the verdict "fails".
    """
    out = {}
    everything = {**numbers, **found}
    feasible = ~np.isnan(np.asarray(found["contact_angle"], dtype=float))
    for rule in RULES:
        value = np.where(feasible, everything[rule.quantity], np.nan)
        limit = np.asarray(rule.limit(numbers, found), dtype=float)
        with np.errstate(divide="ignore", invalid="ignore"):
            reserve = limit / value if rule.ceiling else value / limit
        code = np.where(reserve < 1.0, 2, np.where(reserve < 1.0 + np.asarray(numbers["close_share"]), 1, 0))
        code = np.where(np.isnan(reserve), 3, code)
        out[rule.key] = (value, limit, reserve, np.where(feasible, code, 2))
    return out


def evaluate(design: Design) -> Study:
    """Study one design: shape, forming, sections, checks, notes.

    Raises InfeasibleBend, with the quantity to change, where the sheets cannot be bent so.
    """
    numbers = gather(design)
    bend, wedge = solve(numbers)
    found, loads, bent, flat = assemble(numbers, bend, wedge)
    found = {name: float(value) for name, value in found.items()}
    checks = (*_limit_checks(design, numbers, found), *_comparisons(found), _lift_off(design, found))
    return Study(design, bend, wedge, loads, bent, flat, found, checks, _notes(design, numbers, bend, wedge, found),
                 _modulus_words(design, numbers))


def _limit_checks(design, numbers, found):
    bases = _bases(design)
    for rule in RULES:
        value, limit, reserve, code = (part.item() for part in judge_one(rule, numbers, found))
        basis, source, advice = bases[rule.key]
        unit = QUANTITIES[rule.quantity].unit if rule.quantity in QUANTITIES else LIMITS[rule.quantity].unit
        yield Check(rule.key, rule.name, value, limit, reserve, VERDICTS[code], unit, basis, source,
                    advice if VERDICTS[code] in (FAILS, UNKNOWN) else "", need="at most" if rule.ceiling else "at least")


def judge_one(rule: Rule, numbers: dict, found: dict):
    """The four parts of `judge` for one rule, as arrays."""
    return judge(numbers, found)[rule.key]


def _bases(design):
    """Basis, source and advice of each rule for this design's materials."""
    forming_basis, forming_source = design.sheet.basis_of("forming_strain_limit")
    lasting_basis, lasting_source = design.sheet.basis_of("permanent_strain_limit")
    joint_basis, joint_source = design.adhesive.basis_of("toughness")
    margin = show_input(design.toughness_margin)
    thinner = "use a thinner sheet, a longer free length or a smaller spacer"
    return {
        "forming_strain": (forming_basis, forming_source, thinner),
        "permanent_strain": (lasting_basis, lasting_source, f"{thinner}, or a sheet that bears more for good"),
        "joint_opening": (joint_basis, f"toughness divided by {margin}; {joint_source}; energy as in ASTM D5528, simple "
                          "beam theory", "use a thinner sheet, a longer free length, a smaller spacer or a tougher adhesive"),
        "rod_holds": ("user", f"statics of a two-sided wedge; friction {show_input(design.friction)} as entered",
                      "tie or tape the rod in place until the front is potted"),
        "greatest_spacer": ("derived", "exact bent shape, turning point of the lower branch",
                            "use a smaller spacer or a longer free length"),
    }


_COMPARED = (
    ("i_chord_ratio", "Second moment about the chord line", "exact solid section of the two sheets"),
    ("torsion_ratio", "Closed-cell torsion constant", "Bredt's formula, closures rigid (upper bound): Megson, eq. 17.1"),
    ("enclosed_ratio", "Enclosed area", "exact section"),
    ("i_normal_ratio", "Second moment about the normal axis", "exact solid section of the two sheets"),
    ("curve_ratio", "One sheet's own spanwise second moment", "exact section, against a flat sheet"),
)


def _comparisons(found):
    for key, name, source in _COMPARED:
        ratio = found[key]
        word = "unknown" if np.isnan(ratio) else "same" if abs(ratio - 1) <= SAME_WITHIN else "more" if ratio > 1 else "less"
        against = "of flat sheet" if key == "curve_ratio" else "of wedge"
        yield Check(key, f"{name}, {against}", ratio, np.nan, np.nan, word, "", "derived", source, kind="comparison")


def _lift_off(design, found):
    needed = design.pressure
    advice = (f"bond the front before the face sees {show(needed, 'Pa', 3)}" if found["lift_off_pressure"] < needed else
              "bond the front before the part sees suction or inside pressure all the same")
    return Check("lift_off", "Unbonded sheet leaves the rod at about", found["lift_off_pressure"], np.nan, np.nan, "note", "Pa",
                 "derived", "propped cantilever, 8 N / (3 s_c)", advice, kind="note")


def _modulus_words(design, numbers):
    wide = bool(numbers["wide"])
    formula = "E/(1 − ν²), wide sheet" if wide else "E, narrow strip"
    ratio = design.span / design.sheet_thickness
    why = (f"span over thickness is {show(ratio, '', 3)}, {'at least' if wide else 'below'} "
           f"{show_input(forming.WIDE_FROM)}" if design.modulus_rule == "by width" else "as chosen")
    return f"{show(numbers['bending_modulus'], 'GPa')} = {formula}: {why}"


def _notes(design, numbers, bend, wedge, found):
    """Doubtful inputs, in words."""
    t = design.sheet_thickness
    tests = (
        (bend.near_fold, f"The spacer is close to the greatest one: an error of 1 % in the opening moves the contact angle by "
         f"{show(bend.condition, '', 2)} %. The shape is ill-conditioned."),
        (bend.contact_arclength < 20 * t, f"The bent length is only {show(bend.contact_arclength / t, '', 3)} times the "
         "thickness: shear and the size of the contact, which are left out, may matter."),
        (found["land_strain"] > 0.02, f"A surface strain of {show(found['land_strain'], '%', 3)} is beyond what Hooke's law "
         "covers for most sheets: forces and shape are only indicative."),
        (5 * t <= design.span < 20 * t and design.modulus_rule == "by width", "The span is between 5 and 20 thicknesses: the "
         "sheet is neither a narrow strip nor a wide sheet, and its stiffness lies between the two."),
        (design.setback < 0, f"The setback is negative: the rod stands proud by {show(-design.setback, 'mm', 3)} and a step of "
         f"{show(bend.nose_step, 'mm', 3)} from rod to sheet must be faired."),
        (design.bond_line > 0.5e-3, "A bond line over 0.5 mm is thicker than adhesive makers advise (a maker's guide)."),
        (design.bond_line < 0.05e-3, "A bond line under 0.05 mm risks a starved joint (a maker's guide): use shims or beads."),
        (design.land_length < 4 * t, "The land is shorter than four thicknesses: it may not hold the sheets parallel."),
        (np.isnan(wedge.angle), "The flat wedge of these sheets cannot touch this rod: there is no comparison."),
        (not design.sheet.stock_thicknesses == () and not _in_stock(t, design.sheet.stock_thicknesses),
         f"{show_input(t, 'mm')} is not a stock thickness of this sheet: stock is "
         f"{', '.join(show_input(s, 'mm') for s in design.sheet.stock_thicknesses)}."),
    )
    notes = [text for doubtful, text in tests if doubtful]
    for quantity, value in (("modulus", numbers["modulus"]), ("forming_strain_limit", numbers["forming_limit"]),
                            ("permanent_strain_limit", numbers["permanent_limit"])):
        if np.isnan(value):
            why = design.sheet.why_unknown(quantity, t)
            notes.append(f"{design.sheet.name}, {quantity.replace('_', ' ')}: {why}.")
    return tuple(notes)


def _in_stock(thickness, stock):
    return any(abs(thickness - size) < 1e-6 for size in stock)


def sensitivity(design: Design) -> tuple:
    """What ±5 % sheet thickness and ±0.5 mm spacer do: rows of (change in words, quantities or None if not feasible).

    The first row is the design itself. All rows are solved at once.
    """
    t, d = design.sheet_thickness, design.spacer_diameter
    rows = (("as designed", t, d), ("sheet 5 % thinner", 0.95 * t, d), ("sheet 5 % thicker", 1.05 * t, d),
            ("spacer 0.5 mm smaller", t, d - 0.5e-3), ("spacer 0.5 mm larger", t, d + 0.5e-3))
    numbers = gather(design, sheet_thickness=np.array([r[1] for r in rows]), spacer_diameter=np.array([r[2] for r in rows]))
    found = quantities(numbers)
    judged = judge(numbers, found)
    table = []
    for i, (words, *_) in enumerate(rows):
        values = {name: float(np.broadcast_to(v, (len(rows),))[i]) for name, v in found.items()}
        values["least_reserve"] = float(np.nanmin([np.broadcast_to(part[2], (len(rows),))[i] for part in judged.values()]
                                                  or [np.nan])) if not np.isnan(values["contact_angle"]) else np.nan
        table.append((words, values if not np.isnan(values["contact_angle"]) else None))
    return tuple(table)


__all__ = ["CLOSE", "Check", "FAILS", "HOLDS", "NEAR_FOLD", "RULES", "Study", "UNKNOWN", "VERDICTS", "assemble", "evaluate",
           "gather", "headline", "judge", "quantities", "sensitivity", "solve"]
