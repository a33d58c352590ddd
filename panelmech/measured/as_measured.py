"""The design with the sheets as they were measured: their own thickness and modulus in the place of the stock's.

Each sheet is taken as if both of the pair were like it, which brackets the pair. Its other values are those of the
stock at the nominal thickness; a sheet of higher modulus is taken as higher in every modulus, as by
`study.quantities.gather`.
"""

from __future__ import annotations

import numpy as np

from ..study.design import Design
from ..study.study import SheetRange
from .pair import PairReport


def as_measured(report: PairReport) -> tuple[Design, Design]:
    """The design with both sheets like A, then with both like B. ValueError for what no design may have."""
    moduli = (None if test is None else test.result.value for test in report.used)
    pairs = zip(report.sheets, moduli, strict=True)
    a, b = (_design(report, sheet.name, sheet.effective_thickness, modulus) for sheet, modulus in pairs)
    return a, b


def measured_range(report: PairReport) -> SheetRange:
    """What the readings leave open of the two sheets, about the design with sheets half-way between them.

    Thickness: to the farthest reading of either sheet and the expanded uncertainty of its mean (95 %) beyond. Modulus:
    to that of either sheet and its expanded uncertainty (95 %) beyond; where it was not measured, as of the stock.
    """
    sheets, used = report.sheets, report.used
    thickness = float(np.mean([s.effective_thickness for s in sheets]))
    reach = max(abs(p - thickness) + s.thickness.expanded for s in sheets for p in s.points)
    names = " and ".join(sheet.name for sheet in sheets)
    if None in used:
        return SheetRange(_design(report, names, thickness, None), float(reach), "user", measured=("thickness",))
    modulus = float(np.mean([test.result.value for test in used]))
    share = max(abs(test.result.value - modulus) + test.result.expanded for test in used) / modulus
    middle = _design(report, names, thickness, modulus)
    return SheetRange(middle, float(reach), "user", float(share), "user", ("thickness", "modulus"))


def _design(report, name, thickness, modulus):
    design = report.design
    stock = design.sheet.at_nominal(design.sheet_thickness)
    if modulus is not None:
        factor = modulus / float(design.sheet.modulus_at(design.sheet_thickness))
        known = {name: value for name in stock.MODULI if (value := getattr(stock, name, None)) is not None}
        own = {name: value * factor for name, value in known.items() if np.isfinite(value * factor)}
        own |= {"modulus": modulus}  # without a nominal one only what was measured is known
        stock = stock.with_own(f"measured on {name}", **own)
    return design.replace(sheet=stock, sheet_thickness=thickness)
