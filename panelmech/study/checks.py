"""Checks of a design: one row of `CHECKS` says what is judged, against which limit, on what basis, and what helps.

Whatever shows, maps, sweeps or sizes checks goes through this table: a new check is a new row at its end (the codes in
a saved sweep count the rows), and the row of its quantity in `study.quantities`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..units import show, show_input
from .design import LIMITS, Design
from .framed_sheet import EDGES, LETS_GO, PRESSED_BY, bay_words, local_quantities
from .grain import sheet_grain
from .quantities import QUANTITIES, gather
from .ranges import FRAMED, LAND, PRESSED, anything, buckling_within, joint_within, pressed_within
from .verdicts import DEFAULT, FAILS, VERDICTS, Check, Rated, check_of, missing_values, note_of, rate

SAME_WITHIN = 0.005  # ratios this close to one are called the same
TOLD_APART = 0.05  # linear theory farther off than this is told beside


@dataclass(frozen=True)
class Rule:
    """One check of a design.

    Attributes
    ----------
    key, name : str
        By which code and people know it.
    quantity : str
        What is judged: a name of `QUANTITIES` or `LIMITS`.
    limit : callable
        (gathered numbers, quantities) -> limit [SI], floats or arrays, nan where not known.
    basis : callable
        design -> (basis in a word or two, source in full).
    advice : str
        What helps where it fails beside other sizes, which `study.mend` works out; "" for nothing.
    meaning : str
        What it is and what a builder would see, in a sentence.
    needs : callable
        design -> pairs of (stock, quantity of it) without which it is unknown.
    remark : callable
        (design, quantities) -> what to know of the value, in words; "" for nothing.
    within : callable
        (gathered numbers, quantities) -> greatest value that can be told [SI], of `study.ranges`.
    beyond : str
        Up to where it can be told, and why no further.
    ceiling : bool
        Whether the limit is a ceiling or a floor.
    local : bool
        Of the framed sheet: a plate problem for each design, not in a sweep.
    """

    key: str
    name: str
    quantity: str
    limit: Callable
    basis: Callable
    advice: str
    meaning: str
    needs: Callable = lambda design: ()
    remark: Callable = lambda design, quantities: ""
    within: Callable = anything
    beyond: str = ""
    ceiling: bool = True
    local: bool = False

    @property
    def unit(self) -> str:
        """Unit of value and limit on screen."""
        return (QUANTITIES if self.quantity in QUANTITIES else LIMITS)[self.quantity].unit

    @property
    def reserve(self) -> str:
        """Name of its reserve among the outputs of sweep, sizing and scatter."""
        return f"{self.key}_reserve"

    def check(self, design: Design, quantities: dict, rated: Rated, **where) -> Check:
        """Its line in a table of checks; `where` as of `study.verdicts.check_of`."""
        if self.quantity == PRESSED_BY and np.isfinite(quantities.get(LETS_GO, np.nan)):
            rated = rated._replace(value=np.asarray(np.inf))
        return check_of(
            rated,
            self.key,
            self.name,
            self.unit,
            *self.basis(design),
            advice=self.advice,
            missing=missing_values(self.needs(design), design.sheet_thickness) if rated.unknown else "",
            remark=self.remark(design, quantities),
            ceiling=self.ceiling,
            beyond=self.beyond,
            **where,
        )


def basis_of_own(design: Design, *names: str) -> str:
    """Basis of a limit made of these inputs of `study.design.JUDGED`: the builder's own once none is a bare default."""
    return DEFAULT if design.untouched(*names) else "user"


def own_words(design: Design, *names: str) -> str:
    """Values of such inputs: "2000 Pa and 1 % of land to rod, as entered"; nothing more where all are defaults, which
    the basis tells."""
    told = {name: _OWN_WORDS[name].format(show_input(getattr(design, name), LIMITS[name].unit)) for name in names}
    bare = design.untouched(*names)
    if len(bare) in (0, len(names)):
        return f"{' and '.join(told.values())}{'' if bare else ', as entered'}"
    return "; ".join(f"{words}, {'a default' if name in bare else 'as entered'}" for name, words in told.items())


_OWN_WORDS = {
    "pressure": "{}",
    "deflection_share": "{} of land to rod",
    "service_stress": "{}",
    "friction": "friction {}",
}


def toughness_words(design: Design) -> str:
    """By what the toughness is divided, and on what basis."""
    default = ", a default" if design.untouched("toughness_margin") else ""
    return f"toughness divided by {show_input(design.toughness_margin)}{default}"


def _toughness(design):
    basis, source = design.adhesive.basis_of("toughness")
    return basis, f"{toughness_words(design)}; {source}; energy as in ASTM D5528, simple beam theory"


def _framed(model, *names):
    """Basis of a check of the framed sheet, from what is entered for it."""

    def basis(design):
        counted = sheet_grain(design).counted
        grain = f"{counted}; " if counted else ""
        return basis_of_own(design, *names), f"{model}; {grain}{own_words(design, *names)}"

    return basis


PRESSED_FACE = (
    "shallow shell at large deflection (von Kármán and Marguerre), one face outward, as part of the pair: its land "
    "turns with both sheets; front potted, frames supported and drawing in"
)
SKIN = f"linear shallow shell, {EDGES}, edges drawing in or held, the weaker; no dents"


def _lets_go(design, quantities):
    """What to know of a face that lets go, or that the linear theory would tell otherwise, in words."""
    pressure, value, linear = (quantities.get(name, np.nan) for name in (LETS_GO, PRESSED_BY, f"{PRESSED_BY}_linear"))
    if pressure == pressure:
        return f"it snaps through or jumps at {show(pressure, 'Pa', 3)}"
    if np.isfinite(value) and abs(value - linear) > TOLD_APART * value:
        return f"by the linear theory {show(linear, 'mm', 3)}"
    return ""


def framed_needs(design: Design) -> list:
    """Pairs of (sheet, quantity) without which the framed sheet is not reckoned."""
    grain = sheet_grain(design)
    return [(design.sheet, name) for name in ("modulus", grain.missing) if name]


CHECKS = (
    Rule(
        "forming_strain",
        "Bending strain, while forming",
        "land_strain",
        limit=lambda n, q: n["forming_limit"],
        basis=lambda d: d.sheet.basis_of("forming_strain_limit"),
        advice="",
        meaning=(
            "How far the sheet's face is stretched at the land while you push the rod in; too far, and it cracks "
            "or stays bent there."
        ),
        needs=lambda d: [(d.sheet, "forming_strain_limit")],
    ),
    Rule(
        "permanent_strain",
        "Bending strain, for good",
        "land_strain",
        limit=lambda n, q: n["permanent_limit"],
        basis=lambda d: d.sheet.basis_of("permanent_strain_limit"),
        advice="a sheet that bears more for good helps",
        meaning=(
            "The same stretch at the land, borne for years; too much, and the sheet creeps, crazes or breaks "
            "there long after."
        ),
        needs=lambda d: [(d.sheet, "permanent_strain_limit")],
    ),
    Rule(
        "joint_opening",
        "Opening energy of the land",
        "opening_energy",
        limit=lambda n, q: n["toughness"] / n["toughness_margin"],
        basis=_toughness,
        advice="a tougher adhesive helps",
        meaning=(
            "How hard the bent sheets peel the glued land open from inside; too hard, and a crack runs back along "
            "the glue to the trailing edge."
        ),
        needs=lambda d: [(d.adhesive, "toughness"), (d.sheet, "modulus")],
        within=joint_within,
        beyond=LAND,
    ),
    Rule(
        "rod_holds",
        "Friction needed to hold the rod",
        "friction_needed",
        limit=lambda n, q: n["friction"],
        basis=lambda d: (basis_of_own(d, "friction"), f"statics of a two-sided wedge; {own_words(d, 'friction')}"),
        advice="tie or tape the rod in place until the front is potted",
        meaning=(
            "How rough rod and sheets must be for the rod to stay where you put it; if they are smoother, the "
            "sheets squeeze it out of the mouth before it is potted."
        ),
    ),
    Rule(
        "greatest_spacer",
        "Spacer below the greatest one",
        "spacer_diameter",
        limit=lambda n, q: q["greatest_spacer"],
        basis=lambda d: ("derived", "exact bent shape, turning point of the lower branch"),
        advice="",
        meaning=(
            "How near the rod comes to the thickest one these sheets can be bent over; just below it a hair more "
            "rod changes the shape a lot."
        ),
    ),
    Rule(
        "oil_canning",
        "Framed sheet pressed in",
        PRESSED_BY,
        limit=lambda n, q: np.asarray(n["deflection_share"]) * q["contact_arclength"],
        basis=_framed(PRESSED_FACE, "pressure", "deflection_share"),
        advice="",
        meaning=(
            "How far one face gives between land, front and frames when it is pressed or sucked evenly, as by water; "
            "too far, and it pops in and out like the lid of an oil can."
        ),
        needs=framed_needs,
        remark=lambda d, q: "; ".join(filter(None, (_lets_go(d, q), bay_words(d, PRESSED_BY)))),
        within=pressed_within,
        beyond=PRESSED,
        local=True,
    ),
    Rule(
        "skin_buckling",
        "Skin buckling along the span",
        "buckling_stress",
        limit=lambda n, q: n["service_stress"],
        basis=_framed(SKIN, "service_stress"),
        advice="",
        meaning=(
            "The stress along the span at which the pressed side of a bent part throws waves between land, rod "
            "and frames; where use asks for more, the sheet ripples and the part goes soft."
        ),
        needs=framed_needs,
        remark=lambda d, q: "; ".join(filter(None, (sheet_grain(d).remark, bay_words(d, "buckling_stress")))),
        within=buckling_within,
        beyond=FRAMED,
        ceiling=False,
        local=True,
    ),
)
RULES = tuple(rule for rule in CHECKS if not rule.local)
LOCAL_RULES = tuple(rule for rule in CHECKS if rule.local)


def meaning(key: str) -> str:
    """What a check is and what a builder would see, in plain words; ValueError for a key of no check.

    >>> meaning("permanent_strain")
    'The same stretch at the land, borne for years; too much, and the sheet creeps, crazes or breaks there long
    after.'
    """
    for rule in CHECKS:
        if rule.key == key:
            return rule.meaning
    raise ValueError(f"there is no check {key!r}; there are {', '.join(rule.key for rule in CHECKS)}")


def judge(numbers: dict, quantities, rules=RULES) -> dict:
    """Every rule's `Rated` by key: value, limit, reserve, code of the verdict; floats or arrays.

    `quantities`: a dict, or a `study.quantities.Solved`, of which only what is needed is worked out.
    Where the limit (or a material value it needs) has no basis the reserve is nan and the verdict "unknown"; where the
    design is not feasible the value is nan and the verdict "fails".
    """
    out = {}
    feasible = ~np.isnan(np.asarray(quantities["contact_angle"], dtype=float))
    for rule in rules:
        known = numbers if rule.quantity in numbers else quantities
        value = np.where(feasible, known[rule.quantity], np.nan)
        within = rule.within(numbers, quantities)
        rated = rate(value, rule.limit(numbers, quantities), numbers["close_share"], rule.ceiling, within)
        out[rule.key] = rated._replace(code=np.where(feasible, rated.code, VERDICTS.index(FAILS)))
    return out


def judge_framed(design: Design, rules=LOCAL_RULES, both=True) -> tuple[dict, dict]:
    """(quantities, `Rated` by key) of one design's framed sheet; `both` as of `local_quantities`. Raises
    InfeasibleBend."""
    bend = design.bend()
    quantities = local_quantities(design, bend, tuple(rule.quantity for rule in rules), both)
    numbers, known = gather(design), _with_shape(design, bend, quantities)
    return within_range(numbers, known, quantities), judge(numbers, known, rules)


def framed_to_go_by(design: Design, rules=LOCAL_RULES, known=None) -> list:
    """Reserves of the framed sheet's checks to search by, in the order of `rules` [-]; not to show.

    Beyond what can be told: the share of what can be, over what the linear model gives, or of the limit if that is
    less; below one, and going on smoothly as sizes change. `known`: quantities of the design, those of the framed sheet
    as of the linear model, where they are worked out already. Raises InfeasibleBend.
    """
    numbers = gather(design)
    if known is None:
        bend = design.bend()
        wanted = tuple(rule.quantity for rule in rules)
        known = _with_shape(design, bend, local_quantities(design, bend, wanted, both=False))
    return [float(to_go_by(rule, numbers, known)) for rule in rules]


def to_go_by(rule: Rule, numbers: dict, quantities) -> np.ndarray:
    """Reserve of one rule to search by, as of `framed_to_go_by`; arguments as of `judge`, floats or arrays."""
    value, within = np.asarray(quantities[rule.quantity], dtype=float), rule.within(numbers, quantities)
    reserve = rate(value, rule.limit(numbers, quantities), 0.0, rule.ceiling).reserve
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.maximum(within / value, 0.0)
    return np.where(value > within, np.minimum(reserve, np.where(np.isnan(share), 0.0, share)), reserve)


def _with_shape(design, bend, quantities):
    """Quantities with those of the bent shape that limits and ranges of the framed sheet ask for."""
    ratio = bend.outer_thickness / (design.land_length + bend.free_chord)
    shape = {"contact_arclength": bend.contact_arclength, "contact_angle": bend.contact_angle}
    return {**quantities, **shape, "thickness_ratio": ratio}


def within_range(numbers: dict, known: dict, quantities: dict) -> dict:
    """The quantities, those of a framed sheet nan where they are beyond what can be told; `known`: what follows from
    the design's shape."""
    kinds = {"press_deflection": pressed_within, "buckling_stress": buckling_within}
    most = {
        name: float(within(numbers, known))
        for name in quantities
        for kind, within in kinds.items()
        if name.startswith(kind)
    }
    told = {name: np.nan if value > most.get(name, np.inf) else value for name, value in quantities.items()}
    if np.isfinite(told.get(LETS_GO, np.nan)):
        told[PRESSED_BY] = np.nan
    return told


def all_checks(design: Design, numbers: dict, quantities: dict) -> tuple:
    """The table of checks of one design: limits, comparisons, notes."""
    rules = CHECKS if "press_deflection" in quantities else RULES
    judged = judge(numbers, quantities, rules)
    limits = (rule.check(design, quantities, judged[rule.key]) for rule in rules)
    compared = (_comparison(*row, quantities) for row in COMPARED)
    return (*limits, *compared, _lift_off(design, quantities))


COMPARED = (  # key: a ratio among the quantities, name, source
    ("i_chord_ratio", "Second moment about the chord line, of wedge", "exact solid section of the two sheets"),
    (
        "torsion_ratio",
        "Closed-cell torsion constant, of wedge",
        "Bredt's formula, closures rigid (upper bound): Megson, eq. 17.1",
    ),
    ("enclosed_ratio", "Enclosed area, of wedge", "exact section"),
    ("i_normal_ratio", "Second moment about the normal axis, of wedge", "exact solid section of the two sheets"),
    (
        "curve_ratio",
        "One sheet's own spanwise second moment, of flat sheet",
        "exact section, against a flat sheet",
    ),
)


def _comparison(key, name, source, quantities):
    ratio = quantities[key]
    word = "same" if abs(ratio - 1.0) <= SAME_WITHIN else "more" if ratio > 1.0 else "less"
    word = "unknown" if np.isnan(ratio) else word
    return note_of(key, name, ratio, "", source, "", verdict=word, kind="comparison")


LIFT_OFF_SOURCE = (  # the shares are measured against `roads.strip_exact.liftoff_pressure`, see the tests
    "propped cantilever, 8 N / (3 s_c); exact: lower by up to 0.7 % at 10° contact angle, 3 % at 20°, 6 % at 30°"
)


def _lift_off(design, quantities):
    """The pressure an unbonded sheet bears before it leaves the rod, beside the design's pressure."""
    lifts, pressure = quantities["lift_off_pressure"], show(design.pressure, "Pa", 3)
    if np.isnan(lifts):
        why = missing_values([(design.sheet, "modulus")], design.sheet_thickness)
        words = f"whether it stays on at {pressure} is not known: {why}; bond the front first"
    elif lifts < design.pressure:
        words = f"lifts off before {pressure} outwards: bond the front first"
    else:
        words = f"stays on at {pressure}; bond the front before suction or inside pressure all the same"
    return note_of("lift_off", "Unbonded sheet leaves the rod at about", lifts, "Pa", LIFT_OFF_SOURCE, words)
