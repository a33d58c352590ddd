"""The table of checks of a part under its loads: each enveloped over cases and stations, with what governs it.

Strengths are divided by the user's factors; a limit without basis makes a check "unknown". Bending strain has two
verdicts, never merged: for good, from forming and the lasting cases; short term, from forming and every case.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..materials.stock import BASES
from ..study.framed_sheet import EDGES, local_remarks
from ..units import show, show_input
from .plan import LoadCheck, divided, own, worst
from .response import respond

FORMING = "forming alone"
BEAM = "bending of the whole section as one elastic body, outer fibre"
CELL = "single closed cell between land and rod, closures rigid, with its share of the torque (Megson, ch. 17)"
NEARLY_EVEN = 0.01  # moduli along chord and span closer than this: the sheet is the same both ways
RULE = "forming, skin pressure and span strain added at each point as if in one direction: an upper bound, derived here"


def load_checks(study) -> tuple[LoadCheck, ...]:
    """All checks of a `loads.load_study.LoadStudy`: limits, then comparisons and notes."""
    return (
        *_stress_checks(study),
        *_shear_checks(study),
        *_forming_checks(study),
        *_lift_off(study),
        *_framed_checks(study),
        *_stock_checks(study),
        *_shape_checks(study),
        *_rod_lines(study),
        *_case_notes(study),
    )


def _check(study, key, name, values, found, unit, source, advice, names=None) -> LoadCheck:
    limit, basis, where = found
    share = study.blade.design.close_share
    return worst(
        key,
        name,
        values,
        limit,
        unit,
        basis,
        f"{source}; {where}" if where else source,
        advice,
        (names or study.names, study.position),
        share,
    )


def _at(study, quantity):
    """A quantity of the sections or their inputs at the places of the response."""
    value = study.along.sections.numbers[quantity]
    return value[study.index] if np.ndim(value) else value


def _stress_checks(study):
    design, r, judged = study.blade.design, study.response, study.plan.judgement
    stronger = "use a thicker sheet, a larger spacer, or hold the part closer to its load"
    yield _check(
        study,
        "sheet_stress",
        "Sheet, stress along the span",
        r.sheet_stress,
        _span_strength(study),
        "MPa",
        BEAM,
        stronger,
    )
    rod = divided(design.spacer.strength, judged.strength, *design.spacer.basis_of("strength"))
    yield _check(
        study,
        "spacer_stress",
        "Rod, stress along the span",
        r.spacer_stress,
        rod,
        "MPa",
        BEAM,
        "use a thicker wall, a stronger rod or a larger section",
    )
    yield _check(
        study,
        "potting_stress",
        "Potting, stress along the span",
        r.potting_stress,
        own(judged.resin_strength, judged.strength),
        "MPa",
        BEAM,
        "enter the resin's tensile strength, or test it"
        if judged.resin_strength is None
        else "use a softer or stronger resin",
    )


def _span_strength(study):
    """Strength of the sheet along the span, divided: the user's own; else, of a sheet that is the same both ways, the
    catalogue's; of another the lesser of that along the chord and the same strain at break along the span."""
    sheet, judged = study.blade.design.sheet, study.plan.judgement
    if judged.sheet_strength is not None:
        return own(judged.sheet_strength, judged.strength)
    t = _at(study, "sheet_thickness")
    along_chord, chord, span = sheet.strength_at(t), sheet.modulus_at(t), sheet.span_modulus_at(t)
    basis, source = sheet.basis_of("strength")
    if np.all(np.abs(span / chord - 1.0) < NEARLY_EVEN):
        return divided(along_chord, judged.strength, basis, source)
    weakest = max((basis, sheet.basis_of("modulus")[0], sheet.basis_of("span_modulus")[0], "derived"), key=BASES.index)
    words = "the lesser of the strength in bending along the chord and the same strain at break along the span"
    return divided(np.minimum(along_chord, along_chord / chord * span), judged.strength, weakest, f"{words}; {source}")


def _shear_checks(study):
    design, r, judged = study.blade.design, study.response, study.plan.judgement
    yield _check(
        study,
        "sheet_shear",
        "Sheet, shear in its plane",
        r.sheet_shear,
        own(judged.sheet_shear_strength, judged.strength),
        "MPa",
        CELL,
        "enter the sheet's shear strength, or use a thicker sheet",
    )
    land = divided(design.adhesive.shear_strength, judged.bond, *design.adhesive.basis_of("shear_strength"))
    yield _check(
        study,
        "land_shear",
        "Land, shear in the bond line",
        r.land_shear,
        land,
        "MPa",
        f"{CELL}, even over the land",
        "make the land wider, or use a stronger adhesive",
    )
    yield _check(
        study,
        "nose_shear",
        "Nose, shear between sheet and potting",
        r.nose_shear,
        own(judged.nose_bond_strength, judged.bond),
        "MPa",
        f"{CELL}, even over the sheet's straight end",
        "enter the strength of the potting's bond to the sheet, or use more setback",
    )


def _forming_checks(study):
    design, r = study.blade.design, study.response
    toughness = design.adhesive.toughness
    basis, source = design.adhesive.basis_of("toughness")
    limit = np.nan if toughness is None else toughness / design.toughness_margin
    sections = study.along.sections
    alone, names = sections.opening_energy[study.index], (*study.names, FORMING)
    yield _check(
        study,
        "joint_opening",
        "Opening energy of the land, forming and service",
        np.vstack([r.opening_energy, alone]),
        (limit, basis, f"toughness divided by {show_input(design.toughness_margin)}; {source}"),
        "J/m2",
        f"moments of forming and skin pressure added, front {study.plan.front}; beam theory as in ASTM D5528",
        "vent the part, or use a thinner sheet, a smaller spacer or a tougher adhesive",
        names,
    )
    lasting = [i for i, case in enumerate(study.cases) if case.lasting]
    for key, name, rows, quantity, limits in (
        (
            "permanent_strain",
            "Strain for good: forming and lasting loads",
            lasting,
            "permanent_strain_limit",
            "permanent_limit",
        ),
        (
            "short_strain",
            "Strain short term: forming and any load",
            range(len(study.cases)),
            "forming_strain_limit",
            "forming_limit",
        ),
    ):
        values = np.vstack([r.combined_strain[list(rows)], r.forming_strain])
        names = (*(study.names[i] for i in rows), FORMING)
        yield _check(
            study,
            key,
            name,
            values,
            (_at(study, limits), *design.sheet.basis_of(quantity)),
            "%",
            RULE,
            "use a larger section for the load, or a thinner sheet for forming",
            names,
        )


def _lift_off(study):
    """Only where the front rests: a sheet that is not bonded leaves its rod."""
    if study.plan.front != "resting":
        return
    sections = study.along.sections
    bears = (8.0 / 3.0 * sections.contact_force / sections.bend.contact_arclength)[study.index]
    yield _check(
        study,
        "lift_off",
        "Unbonded sheet leaves the rod",
        np.maximum(study.response.pressure, 0.0),
        (bears, "derived", ""),
        "Pa",
        "propped cantilever, 8 N / (3 s_c)",
        "bond or pot the front",
    )


def _framed_checks(study):
    if not study.local:
        return
    design, r, factor = study.blade.design, study.response, study.plan.judgement.buckling
    places = f"linear shallow shell, {EDGES}, edges drawing in or held, the worse; the section of each place all along"
    critical = study.local["buckling"][study.index] / factor.value
    remark = local_remarks(design, {"press_deflection": 0.0})["skin_buckling"]
    yield _check(
        study,
        "skin_buckling",
        "Skin, compression along the span",
        r.skin_compression,
        (
            critical,
            "derived",
            f"buckling stress divided by {show_input(factor.value)}, {factor.source}"
            + (f"; {remark}" if remark else ""),
        ),
        "MPa",
        f"{places}; stress at the rod, growing from the land with the distance from the chord line",
        "use a thicker sheet, wider or more frames, or a larger spacer",
    )
    t = _at(study, "sheet_thickness")
    pressed = study.local["press"][study.index] * np.abs(r.pressure)
    allowed = design.deflection_share * study.along.sections.bend.contact_arclength[study.index]
    share = f"{show_input(design.deflection_share, '%')} of land to rod, as entered"
    share += "; over half the thickness, where stretching, left out, changes it" if np.any(pressed > 0.5 * t) else ""
    yield _check(
        study,
        "skin_pressed",
        "Skin, pressed by the case's pressure",
        pressed,
        (allowed, "user", share),
        "mm",
        f"{places}; one face alone, the load's pressure at the place all over the sheet",
        "use a thicker sheet, more frames, a shorter free length, or vent the part",
    )


def _stock_checks(study):
    stock = study.plan.stock
    if stock is None:
        return
    found = divided(stock.strength, study.plan.judgement.strength, "user", stock.source)
    place = study.diagrams.position[: study.on_blade.start]
    yield worst(
        "stock_stress",
        "Stock, bending and torsion",
        study.stock_stress,
        found[0],
        "MPa",
        found[1],
        f"von Mises, round bar; {found[2]}",
        "use a thicker or stronger stock, or bearings closer to the root",
        (study.names, place),
        study.blade.design.close_share,
    )


def _shape_checks(study):
    """Deflection and twist of the tip: against a limit of the user's, else shown as a note."""
    judged, d = study.plan.judgement, study.diagrams
    for key, name, values, limit, unit in (
        ("tip_deflection", "Deflection of the tip", d.deflection, judged.tip_deflection, "mm"),
        ("tip_twist", "Twist of the tip", d.twist, judged.tip_twist, "deg"),
    ):
        tip = np.abs(values[:, -1:])
        found = (np.nan, "derived", "") if limit is None else (limit.value, "user", limit.source)
        check = worst(
            key,
            name,
            tip,
            found[0],
            unit,
            found[1],
            f"small deflections; {found[2]}" if found[2] else "small deflections",
            "use a larger spacer or section" if limit else "",
            (study.names, d.position[-1:]),
            study.blade.design.close_share,
        )
        yield check if limit else _note(check)


def _rod_lines(study):
    rod = study.rod_alone
    low, high = (show(v, "%", 3) for v in rod.share)
    ratio = rod.tip_ratio[np.isfinite(rod.tip_ratio)]
    for key, name, value, unit, said in (
        ("rod_share", "Rod's share of the bending, at most", rod.share[1], "%", f"from {low} to {high} along the span"),
        (
            "rod_alone_stress",
            "Rod alone under the same loads, stress",
            rod.stress_alone,
            "MPa",
            f"{show(rod.stress_in_blade, 'MPa', 3)} in the blade",
        ),
        (
            "rod_alone_deflection",
            "Rod alone, tip deflection over the blade's",
            ratio.max() if ratio.size else np.nan,
            "x",
            "",
        ),
    ):
        yield LoadCheck(
            key, name, float(value), np.nan, np.nan, "note", unit, "derived", "composite beam theory", said, kind="note"
        )


def _case_notes(study):
    for case in study.cases:
        if case.details.get("stalled"):
            yield LoadCheck(
                "stall",
                f"Angle against the stall angle: {case.name}",
                abs(case.details["angle"]),
                case.details["stall_angle"],
                np.nan,
                "note",
                "deg",
                "published",
                case.source,
                "beyond stall: the formula no longer holds",
                kind="note",
                case=case.name,
            )


def _note(check):
    fields = {name: getattr(check, name) for name in check.__dataclass_fields__}
    return LoadCheck(**{**fields, "verdict": "note", "kind": "note", "advice": ""})


# ----- What a part may carry at each place along its span: the allowable moment, shear and torque, each acting alone.
#
# Every stress is linear in its moment, shear force or torque, so the allowable one is the check's limit over the stress
# of one unit (`loads.response.respond` with a moment of 1 N m, a shear of 1 N, a torque of 1 N m; derived here). Of
# several checks the least counts. Left out are the checks that other loads share in: strain with forming, opening of
# the land, skin pressed in. Where loads act together less is allowed: the use of the limits says how much.


_FLOWS = ("sheet_shear", "land_shear", "nose_shear")
BY = {
    "moment": ("sheet_stress", "spacer_stress", "potting_stress", "skin_buckling"),
    "shear": _FLOWS,
    "local_torque": _FLOWS,
}
OF_TIP = ("deflection", "twist")
VALUES = {"skin_buckling": "skin_compression"}  # name in the response, where it is not the check's


@dataclass(frozen=True, eq=False)
class Allowed:
    """What one quantity may be along the part. `position` (m,) from the root end [m]; `value` (m,), nan where no check
    has a limit; `by` (m,), key of the check that limits it, empty where none; `unknown`, keys of checks without a
    basis."""

    quantity: str
    position: np.ndarray
    value: np.ndarray
    by: np.ndarray
    unknown: tuple

    @property
    def least(self) -> float:
        """The least along the part; nan where nothing is known."""
        return float(np.nanmin(self.value)) if np.any(np.isfinite(self.value)) else np.nan


def allowed(study, quantity: str) -> Allowed:
    """Allowable "moment" [N m], "shear" [N] or "local_torque" (about the shear centre) [N m] of a `LoadStudy`.

    "deflection" [m] and "twist" [rad]: the user's own limit of the tip, at the tip. ValueError for another name.
    """
    if quantity in OF_TIP:
        own = getattr(study.plan.judgement, f"tip_{quantity}")
        key = f"tip_{quantity}"
        limit, by = (np.nan, "") if own is None else (own.value, key)
        return Allowed(quantity, study.position[-1:], np.array([limit]), np.array([by]), () if own else (key,))
    if quantity not in BY:
        raise ValueError(f"{quantity!r} has no allowable: give one of {', '.join((*BY, *OF_TIP))}")
    there = {check.key: check for check in study.checks}
    checks = [there[key] for key in BY[quantity] if key in there]
    known = [check for check in checks if not np.isnan(check.reserve)]
    unknown = tuple(check.key for check in checks if np.isnan(check.reserve))
    if not known:
        nothing = np.full(study.position.shape, np.nan)
        return Allowed(quantity, study.position, nothing, np.full(study.position.shape, ""), unknown)
    unit = _unit_response(study, quantity)
    rows = np.array([check.along[2] / getattr(unit, VALUES.get(check.key, check.key))[0] for check in known])
    least = np.argmin(np.where(np.isnan(rows), np.inf, rows), axis=0)
    value = np.take_along_axis(rows, least[None], axis=0)[0]
    return Allowed(quantity, study.position, value, np.array([check.key for check in known])[least], unknown)


def _unit_response(study, quantity):
    nothing, one = np.zeros((1, len(study.position))), np.ones((1, len(study.position)))
    cut = [one if name == quantity else nothing for name in ("shear", "moment", "local_torque")]
    return respond(*study.sections_at(), *cut, nothing, study.plan.front)
