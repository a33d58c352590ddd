"""Two to four designs side by side: inputs and outputs, with what differs marked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import show, show_input
from .design import LIMITS, Design
from .quantities import QUANTITIES
from .study import Study, evaluate
from .verdicts import lower

STOCK = {"sheet": "sheet", "adhesive": "adhesive", "spacer": "spacer stock", "resin": "resin"}
SAME = 1e-9  # relative; closer than this counts as equal


@dataclass(frozen=True)
class ComparedRow:
    """One line: `key`, `label`, the text for each design, the values [SI; None for texts], whether they differ, and
    `group`: "input", "result" or "check"."""

    key: str
    label: str
    texts: tuple
    values: tuple
    differs: bool
    group: str


@dataclass(frozen=True, eq=False)
class SideBySide:
    """Designs side by side; `studies` in the order given, `rows` in the order inputs, results, checks."""

    studies: tuple
    rows: tuple

    @property
    def differences(self) -> tuple:
        """The rows in which the designs differ."""
        return tuple(row for row in self.rows if row.differs)


def compare(*designs: Design | Study) -> SideBySide:
    """Set two to four designs (or studies) side by side; ValueError for another number, InfeasibleBend as
    `evaluate`."""
    if not 2 <= len(designs) <= 4:
        raise ValueError(f"{len(designs)} designs: give two to four")
    studies = tuple(d if isinstance(d, Study) else evaluate(d) for d in designs)
    return SideBySide(studies, (*_inputs(studies), *_results(studies), *_checks(studies)))


def _inputs(studies):
    designs = [s.design for s in studies]
    for name, limit in LIMITS.items():
        values = tuple(getattr(d, name) for d in designs)
        yield ComparedRow(
            name, limit.label, tuple(show_input(v, limit.unit) for v in values), values, _differ(values), "input"
        )
    for name, label in STOCK.items():
        records = [getattr(d, name) for d in designs]
        names = tuple(r.name for r in records)
        yield ComparedRow(name, label, names, (None,) * len(names), any(r != records[0] for r in records), "input")


def _results(studies):
    for name, quantity in QUANTITIES.items():
        if all(name in s.quantities for s in studies):
            values = tuple(s.quantities[name] for s in studies)
            yield ComparedRow(
                name, quantity.label, tuple(show(v, quantity.unit) for v in values), values, _differ(values), "result"
            )


def _checks(studies):
    for check in studies[0].checks:
        others = [next((c for c in s.checks if c.key == check.key), None) for s in studies]
        if check.kind != "limit" or None in others:
            continue
        values = tuple(c.reserve for c in others)
        texts = tuple(f"{c.verdict}, {c.reserve_text()}" for c in others)
        yield ComparedRow(
            f"{check.key}_reserve",
            f"Reserve: {lower(check.name)}",
            texts,
            values,
            _differ(values),
            "check",
        )


def _differ(values):
    first = values[0]
    return any(
        not (v == first or (np.isnan(v) and np.isnan(first)) or abs(v - first) <= SAME * abs(first)) for v in values
    )
