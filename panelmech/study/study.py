"""The study of one design: every quantity, every check, and notes on doubtful inputs.

`evaluate` puts together what `quantities` computes and `checks` judges, and adds the words.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ..mechanics import forming, section
from ..mechanics.bend import Bend
from ..mechanics.wedge import Wedge
from ..units import capital, show, show_input
from .checks import all_checks, within_range
from .design import Design
from .framed_sheet import local_notes, local_quantities
from .quantities import QUANTITIES, Solved, gather
from .verdicts import BEYOND, FAILS, Judged


@dataclass(frozen=True, eq=False)
class Study(Judged):
    """Everything known of one design; see `evaluate`. `extra`: "linear", what the framed sheet's linear model gives,
    also beyond what it can tell: to go by, not to show.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> study = evaluate(demo().design, local=False)
    >>> show(study.quantities["chord_stiffness"], "N m2"), show(study.least_reserve, "x", 3)
    ('640.4 N·m²', '3.41 ×')
    """

    design: Design
    bend: Bend
    wedge: Wedge
    forming: forming.FormingLoads
    bent: section.Section
    flat: section.Section
    quantities: dict
    checks: tuple
    notes: tuple
    modulus_words: str
    extra: dict = field(default_factory=dict)

    def text(self, name: str, digits: int = 4) -> str:
        """A quantity as shown, or that it is beyond what can be told."""
        value = self.quantities[name]
        if np.isnan(value) and any(c.beyond for c in self.checks if name.startswith(_FRAMED_BY.get(c.key, name + " "))):
            return BEYOND
        return show(value, QUANTITIES[name].unit, digits)


_FRAMED_BY = {"oil_canning": "press_deflection", "skin_buckling": "buckling_stress"}  # quantities told by a check


def evaluate(design: Design, local: bool = True) -> Study:
    """Study one design: shape, forming, sections, framed sheet, checks, notes.

    Parameters
    ----------
    design : Design
    local : bool
        Also judge one framed sheet: pressing in and skin buckling. It takes some hundredths of a second.

    Returns
    -------
    Study

    Raises
    ------
    InfeasibleBend
        Where the sheets cannot be bent so; the text names the quantity to change.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> evaluate(demo().design, local=False).headline()
    'Governing: bending strain, for good, 0.0587 % with 0.200 % allowed; reserve 3.41 times.'
    """
    numbers = gather(design)
    solved = Solved(numbers)
    values = {name: float(value) for name, value in solved.quantities().items()}
    notes, linear = _notes(design, numbers, solved.bend, solved.wedge, values), {}
    if local:
        linear = local_quantities(design, solved.bend)
        values.update(linear)
        notes += local_notes(design, solved.bend)
    return Study(
        design,
        solved.bend,
        solved.wedge,
        solved.loads,
        solved.bent,
        solved.flat,
        within_range(numbers, values, values),
        all_checks(design, numbers, values),
        notes,
        _modulus_words(design, numbers),
        {"linear": linear},
    )


def _modulus_words(design, numbers):
    wide = bool(numbers["wide"])
    formula = "E/(1 − ν²), wide sheet" if wide else "E, narrow strip"
    ratio = design.span / design.sheet_thickness
    why = (
        f"span over thickness is {show(ratio, '', 3)}, {'at least' if wide else 'below'} "
        f"{show_input(forming.WIDE_FROM)}"
        if design.modulus_rule == "by width"
        else "as chosen"
    )
    return f"{show(numbers['bending_modulus'], 'GPa')} = {formula}: {why}"


def _notes(design, numbers, bend, wedge, quantities):
    """Doubtful inputs, in words."""
    tests = (*_doubts_of_shape(design, bend, quantities), *_doubts_of_joint_and_stock(design, wedge))
    notes = [text for doubtful, text in tests if doubtful]
    for quantity, value in (
        ("modulus", numbers["modulus"]),
        ("forming_strain_limit", numbers["forming_limit"]),
        ("permanent_strain_limit", numbers["permanent_limit"]),
    ):
        if np.isnan(value):
            why = design.sheet.why_unknown(quantity, design.sheet_thickness)
            notes.append(f"{capital(why)}.")
    return tuple(notes)


def _doubts_of_shape(design, bend, quantities):
    """Pairs of (doubtful or not, words)."""
    t = design.sheet_thickness
    return (
        (
            bend.near_fold,
            f"The spacer is close to the greatest one: an error of 1 % in the opening moves the contact angle by "
            f"{show(bend.condition, '', 2)} %. The shape is ill-conditioned.",
        ),
        (
            bend.contact_arclength < 20 * t,
            f"The bent length is only {show(bend.contact_arclength / t, '', 3)} times the "
            "thickness: shear and the size of the contact, which are left out, may matter.",
        ),
        (
            quantities["land_strain"] > 0.02,
            f"A surface strain of {show(quantities['land_strain'], '%', 3)} is beyond what Hooke's law "
            "covers for most sheets: forces and shape are only indicative.",
        ),
        (
            5 * t <= design.span < 20 * t and design.modulus_rule == "by width",
            "The span is between 5 and 20 thicknesses: the "
            "sheet is neither a narrow strip nor a wide sheet, and its stiffness lies between the two.",
        ),
        (
            design.setback < 0,
            f"The setback is negative: the rod stands proud by {show(-design.setback, 'mm', 3)} and a step of "
            f"{show(bend.nose_step, 'mm', 3)} from rod to sheet must be faired.",
        ),
    )


def _doubts_of_joint_and_stock(design, wedge):
    t = design.sheet_thickness
    return (
        (
            design.bond_line > 0.5e-3,
            f"A bond line over {show_input(0.5e-3, 'mm')} is thicker than adhesive makers advise (a maker's guide).",
        ),
        (
            design.bond_line < 0.05e-3,
            f"A bond line under {show_input(0.05e-3, 'mm')} risks a starved joint (a maker's guide): use shims or "
            "beads.",
        ),
        (design.land_length < 4 * t, "The land is shorter than four thicknesses: it may not hold the sheets parallel."),
        (np.isnan(wedge.angle), "The flat wedge of these sheets cannot touch this rod: there is no comparison."),
        (
            design.sheet.stock_thicknesses != () and not _in_stock(t, design.sheet.stock_thicknesses),
            f"{show_input(t, 'mm')} is not a stock thickness of this sheet: stock is "
            f"{', '.join(show_input(s, 'mm') for s in design.sheet.stock_thicknesses)}.",
        ),
    )


def _in_stock(thickness, stock):
    return any(abs(thickness - size) < 1e-6 for size in stock)


SPACER_STEP = 0.5e-3  # m, of the spacer in the table of sensitivity


@dataclass(frozen=True, eq=False)
class SheetRange:
    """What may be expected of the sheets of a part. `design`: with the sheet in the middle of it; `thickness`: how far
    that may be off either way [m]; `modulus`: likewise, as a share [-]; `basis`, `modulus_basis`: of each, one of
    `BASES`; `measured`: which of the two come from readings of the sheets, not from their stock."""

    design: Design
    thickness: float
    basis: str
    modulus: float = 0.1
    modulus_basis: str = "common practice"
    measured: tuple = ()

    @property
    def middle(self) -> str:
        """What the part in the middle of it is, in words."""
        return "sheets as measured" if self.measured else "as designed"

    def origin(self, name: str) -> str:
        """Where "thickness" or "modulus" is from, in words."""
        if name in self.measured:
            return "as measured"
        basis = self.basis if name == "thickness" else self.modulus_basis
        return {"user": "as entered", "common practice": basis}.get(basis, f"catalogue: {basis}")


def stock_range(design: Design) -> SheetRange:
    """What the stock may be off: in thickness as the catalogue has it, else a twentieth; in modulus a tenth."""
    size = float(design.sheet.tolerance_at(design.sheet_thickness))
    if np.isfinite(size):
        return SheetRange(design, size, design.sheet.basis_of("thickness_tolerance")[0])
    return SheetRange(design, 0.05 * design.sheet_thickness, "common practice")


def sensitivity(design: Design, keys=None, sheets: SheetRange | None = None) -> tuple:
    """What the tolerance of the sheet's thickness and ±0.5 mm spacer do, and the worst of their corners: rows of
    (change in words, quantities or None if not possible).

    `sheets`: what is known of them, `stock_range` if not given. The first row is the design itself, or, where the
    sheets were measured, the design with sheets in the middle of what was measured. Among the quantities stands
    "least_reserve" [-], the least of the checks `keys`, of all if none are named, those of the framed sheet included;
    nan where one of them is beyond what can be told and none fails.
    """
    known = sheets or stock_range(design)
    design, off, step = known.design, known.thickness, show_input(SPACER_STEP, "mm")
    thinner, smaller = {"thinner": -off, "thicker": off}, {"smaller": -SPACER_STEP, "larger": SPACER_STEP}
    told = show_input(off, "mm", 3)
    rows: list = [(known.middle, {})]
    rows += [(f"sheet {told} {word}", _moved(design, sheet_thickness=by)) for word, by in thinner.items()]
    rows += [(f"spacer {step} {word}", _moved(design, spacer_diameter=by)) for word, by in smaller.items()]
    done = [(words, _varied(design, changes, keys)) for words, changes in rows]
    corners = [
        (f"worst corner: sheet {one}, spacer {two}", _moved(design, sheet_thickness=a, spacer_diameter=b))
        for one, a in thinner.items()
        for two, b in smaller.items()
    ]
    return (*done, min(((words, _varied(design, changes, keys)) for words, changes in corners), key=_worst_first))


def _moved(design, **by):
    return {name: getattr(design, name) + step for name, step in by.items()}


def _worst_first(row):
    """What cannot be made, then what is beyond what can be told, then the least reserve."""
    least = -2.0 if row[1] is None else row[1]["least_reserve"]
    return -1.0 if least != least else least


def _varied(design, changes, keys):
    """Quantities and least reserve of a changed design; None where it cannot be bent or is none a `Design` allows."""
    try:
        study = evaluate(design.replace(**changes))
    except ValueError:
        return None
    checks = [check for check in study.limits if keys is None or check.key in keys]
    untold = any(check.beyond for check in checks) and not any(check.verdict == FAILS for check in checks)
    known = [check.reserve for check in checks if not np.isnan(check.reserve)]
    return {**study.quantities, "least_reserve": np.nan if untold else min(known, default=np.nan)}
