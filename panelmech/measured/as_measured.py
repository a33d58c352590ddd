"""The design with the sheets as they were measured: their own thickness and modulus in the place of the stock's.

Each sheet is taken as if both of the pair were like it, which brackets the pair. Its other values are those of the
stock at the nominal thickness; a stiffer sheet is taken as stiffer every way, as by `study.quantities.gather`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..study.design import Design
from .pair import PairReport

MODULI = ("modulus", "span_modulus", "shear_modulus", "span_bending_modulus")


def as_measured(report: PairReport) -> tuple[Design, Design]:
    """The design with both sheets like A, then with both like B. ValueError for what no design may have."""
    a, b = (_design(report, sheet, test) for sheet, test in zip(report.sheets, report.used, strict=True))
    return a, b


def _design(report, sheet, test):
    design = report.design
    stock = _at_nominal(design.sheet, design.sheet_thickness)
    if test is not None:
        factor = test.result.value / float(design.sheet.modulus_at(design.sheet_thickness))
        known = {name: value for name in MODULI if (value := getattr(stock, name, None)) is not None}
        own = {name: value * factor for name, value in known.items() if np.isfinite(value * factor)}
        own |= {"modulus": test.result.value}  # without a nominal one only what was measured is known
        stock = stock.with_own(f"measured on {sheet.name}", **own)
    return design.replace(sheet=stock, sheet_thickness=sheet.effective_thickness)


def _at_nominal(sheet, thickness):
    """The stock with what it tabulates over thickness read at the nominal one: the sheet is the same stock."""
    read = {name: float(sheet.at(name, thickness)) for name in sheet.TABLES}
    tables = {sheet.TABLES[name]: None for name in read if getattr(sheet, sheet.TABLES[name]) is not None}
    values = {name: read[name] for name in read if sheet.TABLES[name] in tables and np.isfinite(read[name])}
    return replace(sheet, **values, **{table: None for name, table in sheet.TABLES.items() if name in values})
