"""A map in words, for whoever cannot see it: what it spans, how much can be made and passes, what governs."""

from __future__ import annotations

import numpy as np

from ..study.design import LIMITS
from ..study.sizing import output_label, output_unit
from ..study.sweeps import REASONS
from ..units import show, show_input
from .map_grid import governing, map_rules


def describe_map(sweep, output: str, design=None) -> str:
    """What a map shows, in words."""
    design = design or sweep.design
    names = list(sweep.axes)
    spans = [
        f"{LIMITS[n].label} from {show_input(v[0], LIMITS[n].unit)} to {show_input(v[-1], LIMITS[n].unit)}"
        for n, v in sweep.axes.items()
    ]
    values = sweep[output][np.isfinite(sweep[output])]
    unit = output_unit(output)
    runs = (
        f"it runs from {show(values.min(), unit, 3)} to {show(values.max(), unit, 3)}"
        if values.size
        else "it is not known anywhere"
    )
    here = " and ".join(f"{LIMITS[n].label} {show_input(getattr(design, n), LIMITS[n].unit)}" for n in names)
    return (
        f"Map of {_lower(output_label(output))} over {spans[0]} and {spans[1]}: {runs}. {_shares(sweep)}"
        f"{_reasons(sweep)}This design stands at {here}."
    )


def _shares(sweep):
    """How much of the map can be made, fails, and is governed by what."""
    made, total = sweep.feasible, sweep.feasible.size
    rules = map_rules(sweep)
    good = np.count_nonzero(np.fmin.reduce([sweep[f"{rule.key}_reserve"] for rule in rules]) >= 1.0)
    codes = governing(sweep)[made]
    parts = [
        f"{_lower(rules[code].name)} in {_per_cent(np.mean(codes == code))} of it"
        for code in np.unique(codes[codes >= 0])
    ]
    governs = f" Least reserve: {'; '.join(parts)}." if parts else ""
    return (
        f"{_per_cent(np.count_nonzero(made) / total)} of the map can be made, {_per_cent(good / total)} "
        f"passes every check drawn.{governs} "
    )


def _reasons(sweep):
    codes = np.unique(sweep.reason_code[sweep.reason_code != 0])
    if not codes.size:
        return ""
    return "Not to be made: " + "; ".join(REASONS[code].split(":")[0] for code in codes) + ". "


def _per_cent(share):
    return f"{100 * share:.0f} %"


def _lower(words):
    return words[:1].lower() + words[1:]
