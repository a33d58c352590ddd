"""Checks of a part under its loads: one row of `LOAD_RULES` says what is judged, against which limit, and what helps.

Each check is enveloped over cases and stations, with what governs it. Strengths are divided by the user's factors; a
limit without basis makes a check "unknown". Bending strain has two verdicts, never merged: for good, from forming and
the lasting cases; short term, from forming and every case.

Tables, plots, sizing and allowables go through the rows: a new check is a new row, and its quantity in
`loads.response`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ..materials.stock import BASES
from ..study.checks import basis_of_own, framed_needs, own_words, toughness_words
from ..study.framed_sheet import EDGES, PRESSED_BY, bays_counted
from ..study.verdicts import Check, Rated, check_of, lower, missing_values, rate, worst
from . import skin
from .notes import case_notes, rod_lines
from .plan import StatedLimit, divided, own
from .ranges import presses, reserve_to_go_by, resting_words, told_within

FORMING = "forming alone"
BEAM = "bending of the whole section as one elastic body, outer fibre"
CELL = "single closed cell between land and rod, closures rigid, with its share of the torque (Megson, ch. 17)"
FRAMED = f"linear shallow shell, {EDGES}, edges drawing in or held, the worse; the section of each place all along"
NEARLY_EVEN = 0.01  # moduli along chord and span closer than this: the sheet is the same both ways
STRAIN = (
    "forming, skin pressure (the most there can be) and span strain added at each point as if in one direction: an "
    "upper bound, derived here"
)


@dataclass(frozen=True)
class LoadRule:
    """One check under load.

    Attributes
    ----------
    key, name, short : str
        By which code and people know it, and where there is little room.
    unit : str
        On screen.
    limit : callable
        study -> `loads.plan.StatedLimit`.
    formula : str or callable
        Source of the value in words, or study -> them.
    advice : str
        What helps where it fails.
    judged : callable
        (study, response) -> what is judged, (cases, places); by default what the response has under the key.
    values : callable
        For what is no quantity of the response: study -> (values (rows, places), names of the rows, places [m]).
    alone : tuple
        Of which diagrams it limits what each may be alone; its quantity is then linear in them.
    applies : callable
        study -> whether there is such a check.
    local : bool
        Of the framed sheet: takes long; only its reserve is sized.
    sized : bool
        Whether a part can be sized by it.
    optional : bool
        Without a limit it is shown as a note.
    """

    key: str
    name: str
    short: str
    unit: str
    limit: Callable
    formula: str | Callable
    advice: str
    judged: Callable | None = None
    values: Callable | None = None
    alone: tuple = ()
    applies: Callable = lambda study: True
    local: bool = False
    sized: bool = True
    optional: bool = False

    @property
    def label(self) -> str:
        """Its name within a sentence."""
        return lower(self.name).replace(":", ",")

    def of(self, study, response) -> np.ndarray:
        """What it judges of a response of the study's sections, (cases, stations)."""
        return self.judged(study, response) if self.judged else getattr(response, self.key)

    def rated(self, study, limit) -> Rated | None:
        """Its values rated (..., cases, places) by the value of its limit [SI], no words; None where it is a note."""
        if self._note(limit):
            return None
        return rate_places(self._judged(study)[0], limit, study, told_within(self.key, study, limit)[0])

    def asks(self, study) -> np.ndarray:
        """(...,) whether it asks for anything of each part: any value but zero, or one that cannot be told."""
        values = self._judged(study)[0]
        if np.all(asks := np.any(values != 0.0, axis=(-2, -1))):
            return asks
        return asks | np.any(values > told_within(self.key, study, self.limit(study).value)[0], axis=(-2, -1))

    def to_go_by(self, study, limit) -> np.ndarray:
        """Reserves (..., cases, places) to go by where values are beyond what can be told: below one."""
        return reserve_to_go_by(self._judged(study)[0], limit, told_within(self.key, study, limit)[0])

    def _judged(self, study):
        """(values (..., cases, places), names of the cases, places)."""
        return self.values(study) if self.values else (self.of(study, study.response), *_places(study))

    def _note(self, limit):
        return self.optional and np.all(np.isnan(limit))

    def check(self, study) -> Check:
        """Its line in the table of checks of a `loads.load_study.LoadStudy`."""
        values, names, places = self._judged(study)
        limit = self.limit(study)
        check = worst_check(
            self.key,
            self.name,
            values,
            limit,
            self.unit,
            self.formula if isinstance(self.formula, str) else self.formula(study),
            self.advice,
            (names, places),
            study,
            *told_within(self.key, study, limit.value),
        )
        if self._note(limit.value):
            return replace(check, verdict="note", kind="note", advice="")
        return check


def worst_check(
    key, name, values, limit: StatedLimit, unit, formula, advice, places, study, within=np.inf, beyond=""
) -> Check:
    """The check of values (cases, stations) against a limit (broadcast): the least reserve, its case and place.

    `places`: (names of the cases, positions of the stations). A value that is not known leaves all of it unknown.
    `within`: greatest values that can be told, `beyond` why.
    """
    rated, where = worst(rate_places(values, limit.value, study, within), *places)
    missing = _missing(study, limit, np.any(np.isnan(values))) if rated.unknown else ""
    return check_of(
        rated,
        key,
        name,
        unit,
        limit.basis,
        "; ".join(filter(None, (formula, limit.source))),
        advice=advice,
        missing=missing,
        beyond=beyond,
        **where,
    )


def rate_places(values, limit, study, within=np.inf) -> Rated:
    """Values (..., cases, stations) rated against a limit (broadcast), where a value that is not known leaves all of
    its part unknown."""
    return rate_all(values, limit, close_share_of(study), within)


def close_share_of(study):
    """The share above one that is still called close: a number, or of many parts (parts, 1, 1)."""
    share = study.along.sections.numbers["close_share"]
    return share[..., :1] if np.ndim(share) else share


def rate_all(values, limit, close_share, within=np.inf) -> Rated:
    """The same from the share that is called close."""
    values = np.atleast_2d(np.asarray(values, dtype=float))
    limits = np.broadcast_to(limit, values.shape)
    lost = np.any(np.isnan(values) & ~np.isnan(limits), axis=(-2, -1), keepdims=True)
    return rate(values, np.where(lost, np.nan, limits), close_share, within=within)


def _missing(study, limit, lost):
    """What to enter for a check that is unknown; `lost`: whether a value is not known, which takes a modulus."""
    sheet = study.blade.design.sheet
    needs = (*limit.needs, *([(sheet, "modulus"), (sheet, "span_modulus")] if lost else ()))
    return "; ".join(filter(None, (limit.missing, missing_values(needs, _at(study, "sheet_thickness")))))


def load_checks(study) -> tuple[Check, ...]:
    """All checks of a `loads.load_study.LoadStudy`: limits, then notes."""
    rules = (rule.check(study) for rule in LOAD_RULES if rule.applies(study))
    return (*rules, *rod_lines(study), *case_notes(study))


# ----- Limits and values of the rows


def _places(study):
    return study.names, study.position


def _at(study, quantity):
    """A quantity of the sections or their inputs at the places of the response."""
    value = study.along.sections.numbers[quantity]
    return value[..., study.index] if np.ndim(value) else value


def _of_stock(stock, quantity, factor):
    """Limit of a strength of the design's `stock`, divided by the `factor` of the user's judgement."""

    def limit(study):
        record = getattr(study.blade.design, stock)
        strength = divided(getattr(record, quantity), getattr(study.plan.judgement, factor), *record.basis_of(quantity))
        return strength._replace(needs=[(record, quantity)])

    return limit


def _entered(name, factor, what):
    """Limit of a strength that only the user can know."""
    return lambda study: own(getattr(study.plan.judgement, name), getattr(study.plan.judgement, factor), what)


def _span_strength(study):
    """Strength of the sheet along the span, divided: the user's own; else, of a sheet that is the same both ways, the
    catalogue's; of another the lesser of that along the chord and the same strain at break along the span."""
    sheet, judged = study.blade.design.sheet, study.plan.judgement
    if judged.sheet_strength is not None:
        return own(judged.sheet_strength, judged.strength)
    t = _at(study, "sheet_thickness")
    along_chord, chord, span = sheet.strength_at(t), sheet.modulus_at(t), sheet.span_modulus_at(t)
    basis, source = sheet.basis_of("strength")
    strength = along_chord
    even = np.abs(span / chord - 1.0) < NEARLY_EVEN
    if not np.all(even):
        bases = (basis, sheet.basis_of("modulus")[0], sheet.basis_of("span_modulus")[0], "derived")
        least = np.minimum(along_chord, along_chord / chord * span)
        strength, basis = np.where(even, along_chord, least), max(bases, key=BASES.index)
        words = "the lesser of the strength in bending along the chord and the same strain at break along the span"
        source = f"{words}; {source}"
    return divided(strength, judged.strength, basis, source)._replace(needs=[(sheet, "strength")])


def _toughness(study):
    design = study.blade.design
    basis, source = design.adhesive.basis_of("toughness")
    limit = np.nan if design.adhesive.toughness is None else design.adhesive.toughness / _at(study, "toughness_margin")
    return StatedLimit(limit, basis, f"{toughness_words(design)}; {source}", needs=[(design.adhesive, "toughness")])


def _opening(study):
    alone = study.along.sections.opening_energy[..., study.index]
    return _rows(study.response.opening_energy, alone), (*study.names, FORMING), study.position


def _rows(*values):
    """Rows of several one below the other: (..., rows, places)."""
    return np.concatenate([np.atleast_2d(part) for part in values], axis=-2)


def _strain(lasting_only):
    """Combined strain of the cases, or of those that last, and of forming alone."""

    def values(study):
        rows = [i for i, case in enumerate(study.cases) if case.lasting or not lasting_only]
        strain = _rows(study.response.combined_strain[..., rows, :], study.response.forming_strain)
        return strain, (*(study.names[i] for i in rows), FORMING), study.position

    return values


def _strain_limit(quantity, numbers_name):
    def limit(study):
        sheet = study.blade.design.sheet
        return StatedLimit(_at(study, numbers_name), *sheet.basis_of(quantity), needs=[(sheet, quantity)])

    return limit


def _lifts_off(study):
    """The pressure at which an unbonded sheet leaves its rod."""
    sections = study.along.sections
    bears = 8.0 / 3.0 * sections.contact_force / sections.bend.contact_arclength
    return StatedLimit(bears[..., study.index], "derived", "")


def _pressed(study):
    return presses(study) * np.abs(study.response.pressure), study.names, study.position


def _pressed_limit(study):
    design = study.blade.design
    allowed = _at(study, "deflection_share") * study.along.sections.bend.contact_arclength[..., study.index]
    source = "; ".join(filter(None, (own_words(design, "deflection_share"), bays_counted(design, PRESSED_BY))))
    return StatedLimit(allowed, basis_of_own(design, "deflection_share"), source, needs=framed_needs(design))


def _stock_strength(study):
    stock, factor = study.plan.stock, study.plan.judgement.strength
    strength = divided(stock.strength, factor, "user", stock.source)
    return strength._replace(missing="" if stock.strength else "enter the strength of the stock")


def _tip(name):
    """Greatest of a diagram at the tip, either way."""

    def values(study):
        return np.abs(getattr(study.diagrams, name)[..., -1:]), study.names, study.diagrams.position[-1:]

    return values


def _tip_limit(name):
    def limit(study):
        entered = getattr(study.plan.judgement, name)
        return (
            StatedLimit(np.nan, "derived", "")
            if entered is None
            else StatedLimit(entered.value, "user", entered.source)
        )

    return limit


# ----- The table


FLOWS = ("shear", "local_torque")
LOAD_RULES = (
    LoadRule(
        "sheet_stress",
        "Sheet, stress along the span",
        "sheet, along the span",
        "MPa",
        _span_strength,
        BEAM,
        "a stronger sheet helps",
        alone=("moment",),
    ),
    LoadRule(
        "spacer_stress",
        "Rod, stress along the span",
        "rod, along the span",
        "MPa",
        _of_stock("spacer", "strength", "strength"),
        BEAM,
        "a stronger rod helps",
        alone=("moment",),
    ),
    LoadRule(
        "potting_stress",
        "Potting, stress along the span",
        "potting, along the span",
        "MPa",
        _entered("resin_strength", "strength", "the resin's tensile strength, or test it"),
        BEAM,
        "a resin of lower modulus or more strength helps",
        alone=("moment",),
    ),
    LoadRule(
        "sheet_shear",
        "Sheet, shear in its plane",
        "sheet, shear",
        "MPa",
        _entered("sheet_shear_strength", "strength", "the sheet's shear strength"),
        CELL,
        "",
        alone=FLOWS,
    ),
    LoadRule(
        "land_shear",
        "Land, shear in the bond line",
        "land, shear",
        "MPa",
        _of_stock("adhesive", "shear_strength", "bond"),
        f"{CELL}, even over the land",
        "a wider land or a stronger adhesive helps",
        alone=FLOWS,
    ),
    LoadRule(
        "nose_shear",
        "Nose, shear between sheet and potting",
        "nose, shear",
        "MPa",
        _entered("nose_bond_strength", "bond", "the strength of the potting's bond to the sheet"),
        f"{CELL}, even over the sheet's straight end",
        "",
        alone=FLOWS,
    ),
    LoadRule(
        "joint_opening",
        "Opening energy of the land, forming and service",
        "opening of the land",
        "J/m2",
        _toughness,
        lambda s: (
            f"moments of forming and skin pressure added, that of a strip and a fifth more, front {s.plan.front}; beam "
            "theory as in ASTM D5528"
        ),
        "a tougher adhesive helps",
        values=_opening,
    ),
    LoadRule(
        "permanent_strain",
        "Strain for good: forming and lasting loads",
        "strain for good",
        "%",
        _strain_limit("permanent_strain_limit", "permanent_limit"),
        STRAIN,
        "",
        values=_strain(lasting_only=True),
    ),
    LoadRule(
        "short_strain",
        "Strain short term: forming and any load",
        "strain short term",
        "%",
        _strain_limit("forming_strain_limit", "forming_limit"),
        STRAIN,
        "",
        values=_strain(lasting_only=False),
    ),
    LoadRule(
        "lift_off",
        "Unbonded sheet leaves the rod",
        "sheet leaves the rod",
        "Pa",
        _lifts_off,
        "propped cantilever, 8 N / (3 s_c)",
        "bond or pot the front",
        values=lambda s: (np.maximum(s.response.pressure, 0.0), *_places(s)),
        applies=lambda s: s.plan.front == "resting",
        sized=False,
    ),
    LoadRule(
        "skin_buckling",
        "Skin buckling, share of critical compression and shear",
        "skin buckling",
        "%",
        skin.limit,
        lambda s: f"{FRAMED}; {skin.counted(s)}",
        "",
        judged=skin.used,
        alone=("moment", *FLOWS),
        applies=lambda s: bool(s.local),
        local=True,
    ),
    LoadRule(
        "skin_pressed",
        "Skin, pressed by the case's pressure",
        "skin pressed in",
        "mm",
        _pressed_limit,
        lambda s: f"{FRAMED}; one face alone, the load's pressure at the place all over the sheet{resting_words(s)}",
        "",
        values=_pressed,
        applies=lambda s: bool(s.local),
        local=True,
    ),
    LoadRule(
        "stock_stress",
        "Stock, bending and torsion",
        "stock",
        "MPa",
        _stock_strength,
        "von Mises, round bar",
        "a stronger stock helps",
        values=lambda s: (s.stock_stress, s.names, s.diagrams.position[: s.on_blade.start]),
        applies=lambda s: s.plan.stock is not None,
        sized=False,
    ),
    LoadRule(
        "tip_deflection",
        "Deflection of the tip",
        "deflection of the tip",
        "mm",
        _tip_limit("tip_deflection"),
        "small deflections",
        "",
        values=_tip("deflection"),
        optional=True,
    ),
    LoadRule(
        "tip_twist",
        "Twist of the tip",
        "twist of the tip",
        "deg",
        _tip_limit("tip_twist"),
        "small deflections",
        "",
        values=_tip("twist"),
        optional=True,
    ),
)
