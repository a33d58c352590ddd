"""Checks: a value against its limit, with reserve, verdict, basis and source.

Verdicts: "holds", "close" (the reserve is more than needed, but by less than a stated share), "fails", "unknown"
(the limit has no basis). Comparisons with the flat wedge say "more", "less" or "same": of what, stands in their
name.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import show, show_input
from .design import LIMITS
from .framed_sheet import EDGES, local_remarks, sheet_grain
from .quantities import QUANTITIES

HOLDS, CLOSE, FAILS, UNKNOWN = "holds", "close", "fails", "unknown"
VERDICTS = (HOLDS, CLOSE, FAILS, UNKNOWN)
SAME_WITHIN = 0.005  # ratios this close to one are called the same


@dataclass(frozen=True)
class Check:
    """One line of the table of checks. `value` and `limit` in SI, `unit` on screen; `reserve` is how many times the
    limit exceeds the value (below one: fails). Comparisons have no limit and no reserve (nan)."""

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
        """Reserve as a multiple; a dash where there is none, and "no load" where nothing is asked of the sheet."""
        if np.isposinf(self.reserve):
            return "no load"
        return show(self.reserve, "x", 3 if self.reserve < 1000 else 2)


def headline(governing: Check, unknown=()) -> str:
    """One sentence: the governing check, its value and limit, the reserve; then what could not be judged."""
    allowed = "allowed" if governing.need == "at most" else "needed"
    text = (
        f"Governing: {governing.name[0].lower()}{governing.name[1:]}, {governing.value_text()} with "
        f"{governing.limit_text()} {allowed}; reserve {show(governing.reserve, '', 3)} times."
    )
    if unknown:
        text += f" No basis to judge: {', '.join(c.name[0].lower() + c.name[1:] for c in unknown)}."
    return text


@dataclass(frozen=True)
class Rule:
    """How one check is judged: a quantity, its limit from the numbers, and whether the limit is a ceiling or a
    floor."""

    key: str
    name: str
    quantity: str
    limit: object
    ceiling: bool = True


RULES = (
    Rule("forming_strain", "Bending strain, while forming", "land_strain", lambda n, q: n["forming_limit"]),
    Rule("permanent_strain", "Bending strain, for good", "land_strain", lambda n, q: n["permanent_limit"]),
    Rule(
        "joint_opening",
        "Opening energy of the land",
        "opening_energy",
        lambda n, q: n["toughness"] / n["toughness_margin"],
    ),
    Rule("rod_holds", "Rod holds itself until potted", "friction_needed", lambda n, q: n["friction"]),
    Rule("greatest_spacer", "Spacer below the greatest one", "spacer_diameter", lambda n, q: q["greatest_spacer"]),
)


LOCAL_RULES = (
    Rule(
        "oil_canning",
        "Framed sheet pressed in",
        "press_deflection",
        lambda n, q: np.asarray(n["deflection_share"]) * q["contact_arclength"],
    ),
    Rule("skin_buckling", "Skin buckling along the span", "buckling_stress", lambda n, q: n["service_stress"], False),
)


def judge(numbers: dict, found: dict, rules=RULES) -> dict:
    """Value, limit and reserve of every rule, and the code of its verdict (index into `VERDICTS`); floats or arrays.

    The reserve is limit over value for a ceiling, value over limit for a floor. Where the limit (or a material
    value it needs) has no basis the reserve is nan and the verdict "unknown"; where the design is not feasible the
    value is nan and the verdict "fails".
    """
    out = {}
    everything = {**numbers, **found}
    feasible = ~np.isnan(np.asarray(found["contact_angle"], dtype=float))
    for rule in rules:
        value = np.where(feasible, everything[rule.quantity], np.nan)
        limit = np.asarray(rule.limit(numbers, found), dtype=float)
        with np.errstate(divide="ignore", invalid="ignore"):
            reserve = limit / value if rule.ceiling else value / limit
        code = np.where(reserve < 1.0, 2, np.where(reserve < 1.0 + np.asarray(numbers["close_share"]), 1, 0))
        code = np.where(np.isnan(reserve), 3, code)
        out[rule.key] = (value, limit, reserve, np.where(feasible, code, 2))
    return out


def all_checks(design, numbers: dict, found: dict) -> tuple:
    """The whole table of checks of one design: limits, comparisons, notes."""
    return (*_limit_checks(design, numbers, found), *_comparisons(found), _lift_off(design, found))


def _limit_checks(design, numbers, found):
    local = "press_deflection" in found
    rules, remarks = RULES + (LOCAL_RULES if local else ()), local_remarks(design, found) if local else {}
    bases, judged = _bases(design), judge(numbers, found, rules)
    for rule in rules:
        value, limit, reserve, code = (part.item() for part in judged[rule.key])
        basis, source, advice = bases[rule.key]
        said = (advice if VERDICTS[code] in (FAILS, UNKNOWN) else "", remarks.get(rule.key, ""))
        unit = QUANTITIES[rule.quantity].unit if rule.quantity in QUANTITIES else LIMITS[rule.quantity].unit
        yield Check(
            rule.key,
            rule.name,
            value,
            limit,
            reserve,
            VERDICTS[code],
            unit,
            basis,
            source,
            "; ".join(filter(None, said)),
            need="at most" if rule.ceiling else "at least",
        )


def _bases(design):
    """Basis, source and advice of each rule for this design's materials."""
    forming_basis, forming_source = design.sheet.basis_of("forming_strain_limit")
    lasting_basis, lasting_source = design.sheet.basis_of("permanent_strain_limit")
    joint_basis, joint_source = design.adhesive.basis_of("toughness")
    margin = show_input(design.toughness_margin)
    counted = sheet_grain(design).counted
    grain = f"{counted}; " if counted else ""
    thinner = "use a thinner sheet, a longer free length or a smaller spacer"
    return {
        "forming_strain": (forming_basis, forming_source, thinner),
        "permanent_strain": (lasting_basis, lasting_source, f"{thinner}, or a sheet that bears more for good"),
        "joint_opening": (
            joint_basis,
            f"toughness divided by {margin}; {joint_source}; energy as in ASTM D5528, simple beam theory",
            "use a thinner sheet, a longer free length, a smaller spacer or a tougher adhesive",
        ),
        "rod_holds": (
            "user",
            f"statics of a two-sided wedge; friction {show_input(design.friction)} as entered",
            "tie or tape the rod in place until the front is potted",
        ),
        "greatest_spacer": (
            "derived",
            "exact bent shape, turning point of the lower branch",
            "use a smaller spacer or a longer free length",
        ),
        "oil_canning": (
            "user",
            f"linear shallow shell, {EDGES}, edges drawing in or held, the softer; {grain}"
            f"{show_input(design.pressure, 'Pa')} and {show_input(design.deflection_share, '%')} of land to rod, "
            "as entered",
            "use a thicker sheet, wider frames, a shorter span or a shorter free length",
        ),
        "skin_buckling": (
            "user",
            f"linear shallow shell, {EDGES}, edges drawing in or held, the weaker; no dents; {grain}"
            f"{show_input(design.service_stress, 'MPa')} as entered",
            "use a thicker sheet, wider frames, a shorter free length or a larger spacer",
        ),
    }


LIFT_OFF_SOURCE = (  # the shares are measured against `roads.strip_exact.liftoff_pressure`, see the tests
    "propped cantilever, 8 N / (3 s_c); exact: lower by up to 0.7 % at 10° contact angle, 3 % at 20°, 6 % at 30°"
)
_COMPARED = (
    ("i_chord_ratio", "Second moment about the chord line", "exact solid section of the two sheets"),
    (
        "torsion_ratio",
        "Closed-cell torsion constant",
        "Bredt's formula, closures rigid (upper bound): Megson, eq. 17.1",
    ),
    ("enclosed_ratio", "Enclosed area", "exact section"),
    ("i_normal_ratio", "Second moment about the normal axis", "exact solid section of the two sheets"),
    ("curve_ratio", "One sheet's own spanwise second moment", "exact section, against a flat sheet"),
)


def _comparisons(found):
    for key, name, source in _COMPARED:
        ratio = found[key]
        word = (
            "unknown"
            if np.isnan(ratio)
            else "same"
            if abs(ratio - 1) <= SAME_WITHIN
            else "more"
            if ratio > 1
            else "less"
        )
        against = "of flat sheet" if key == "curve_ratio" else "of wedge"
        yield Check(key, f"{name}, {against}", ratio, np.nan, np.nan, word, "", "derived", source, kind="comparison")


def _lift_off(design, found):
    """The pressure an unbonded sheet bears before it leaves the rod, beside the design's pressure."""
    lifts, needed = found["lift_off_pressure"], show(design.pressure, "Pa", 3)
    advice = (
        f"lifts off before {needed} outwards: bond the front first"
        if lifts < design.pressure
        else f"stays on at {needed}; bond the front before suction or inside pressure all the same"
    )
    return Check(
        "lift_off",
        "Unbonded sheet leaves the rod at about",
        lifts,
        np.nan,
        np.nan,
        "note",
        "Pa",
        "derived",
        LIFT_OFF_SOURCE,
        advice,
        kind="note",
    )
