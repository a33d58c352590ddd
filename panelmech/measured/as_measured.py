"""The design judged with the sheets as they were measured: every check with their own thickness and modulus.

Each sheet is judged as if both of the pair were like it, which brackets the pair. Its other values are those of the
stock at the nominal thickness; a stiffer sheet is taken as stiffer every way, as by `study.quantities.gather`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..study.study import Study, evaluate
from .pair import PairReport

MODULI = ("modulus", "span_modulus", "shear_modulus", "span_bending_modulus")


def as_measured(report: PairReport) -> tuple[Study | None, ...]:
    """Study of the design with sheet A, then with sheet B, as measured; None where it cannot be bent so."""
    return tuple(_study(report, sheet, test) for sheet, test in zip(report.sheets, report.used, strict=True))


def _study(report, sheet, test):
    design = report.design
    stock = _at_nominal(design.sheet, design.sheet_thickness)
    if test is not None:
        factor = test.result.value / float(design.sheet.modulus_at(design.sheet_thickness))
        known = {name: value for name in MODULI if (value := getattr(stock, name, None)) is not None}
        own = {name: value * factor for name, value in known.items() if np.isfinite(value * factor)}
        own |= {"modulus": test.result.value}  # without a nominal one only what was measured is known
        stock = stock.with_own(f"measured on {sheet.name}", **own)
    try:
        return evaluate(design.replace(sheet=stock, sheet_thickness=sheet.effective_thickness))
    except ValueError:
        return None


def _at_nominal(sheet, thickness):
    """The stock with what it tabulates over thickness read at the nominal one: the sheet is the same stock."""
    read = {name: float(sheet.at(name, thickness)) for name in sheet.TABLES}
    tables = {sheet.TABLES[name]: None for name in read if getattr(sheet, sheet.TABLES[name]) is not None}
    values = {name: read[name] for name in read if sheet.TABLES[name] in tables and np.isfinite(read[name])}
    return replace(sheet, **values, **{table: None for name, table in sheet.TABLES.items() if name in values})
