"""Results stored in a study file, and what has moved since they were stored.

`store` writes every computed quantity and every verdict of a study into its file; `check` computes them afresh and
compares. It is the user's own regression: a change of the package, of a library below it or of an input shows as a
result that moved by more than its tolerance.

The stored table, in the study file under "results":

    "input_hash": "3f0c…",            what the inputs were
    "tolerance": 1e-6,                relative, for every quantity without its own
    "quantities": {"chord": {"value": 239.8, "unit": "mm"}, "mouth": {"value": 19.5, "unit": "mm", "tolerance": 1e-4}},
    "verdicts": {"permanent_strain": "holds"}

A single quantity can have a tolerance of its own. What is not stored, of all that is computed now, is named and fails,
and so does an input hash that is missing or of other inputs: a comparison that leaves things out proves little. What is
not known (a limit without a basis) is stored as null, since JSON has no number for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..units import FACTORS, from_si, show, to_si
from .design import Design, read_study, write_study
from .quantities import QUANTITIES
from .study import Study, evaluate

# Relative. The closed forms agree with a 30-digit evaluation to 1e-10 or better, other processors and library versions
# change the last two or three of sixteen digits, and a thousandth of a millimetre on a metre is 1e-6: no tighter limit
# means anything in the shop, and no true change hides below it.
DEFAULT_TOLERANCE = 1e-6
ZERO = 1e-12  # SI; a stored zero has no relative tolerance, so it must stay below this
_KEYS = {"input_hash", "tolerance", "quantities", "verdicts"}
_ENTRY_KEYS = {"value", "unit", "tolerance"}


@dataclass(frozen=True)
class Comparison:
    """One stored result beside the present one: texts, the relative change [-] (nan for verdicts), its tolerance."""

    name: str
    label: str
    stored: str
    now: str
    change: float
    tolerance: float
    moved: bool


@dataclass(frozen=True)
class Outcome:
    """All comparisons of one study.

    study : as it computes now
    comparisons : every `Comparison`
    inputs_changed : whether the results were not stored for these very inputs
    missing : names of results and verdicts that are computed now and not stored
    """

    study: Study
    comparisons: tuple
    inputs_changed: bool
    missing: tuple = ()

    @property
    def moved(self) -> tuple:
        """The comparisons that moved by more than their tolerance."""
        return tuple(c for c in self.comparisons if c.moved)

    @property
    def holds(self) -> bool:
        """Whether everything is stored, for these inputs, and nothing moved."""
        return not (self.moved or self.missing or self.inputs_changed)


def results_of(study: Study, earlier: dict | None = None) -> dict:
    """The table of results to store. Tolerances of an `earlier` table are kept."""
    earlier = earlier or {}
    own = earlier.get("quantities", {})
    quantities = {}
    for name, value in study.quantities.items():
        unit = QUANTITIES[name].unit
        quantities[name] = {"value": None if math.isnan(value) else from_si(value, unit), "unit": unit}
        if "tolerance" in own.get(name, {}):
            quantities[name]["tolerance"] = own[name]["tolerance"]
    return {
        "input_hash": study.design.input_hash(),
        "tolerance": earlier.get("tolerance", DEFAULT_TOLERANCE),
        "quantities": quantities,
        "verdicts": {c.key: c.verdict for c in study.checks},
    }


def store(path) -> Study:
    """Compute the results of a study file and write them into it, all or nothing. Raises as `check` does."""
    design, earlier = read_study(path)
    if earlier is not None:
        _read_results(earlier)
    study = evaluate(design)
    write_study(path, design, results_of(study, earlier))
    return study


def check(path) -> Outcome:
    """Recompute the stored results of a study file.

    Raises OSError if the file cannot be read, ValueError if it is no study file, stores no results or stores them in a
    form that is not known, InfeasibleBend (a ValueError) if its design cannot be bent.
    """
    design, results = read_study(path)
    if not results:
        raise ValueError(
            f"no results are stored in it, so there is nothing to check: store them first, "
            f"python -m panelmech store {path}"
        )
    return moved_results(design, results)


def moved_results(design: Design, results: dict) -> Outcome:
    """Set stored results beside those of the design as it computes now; raises as `check` does."""
    tolerance, quantities, verdicts = _read_results(results)
    study = evaluate(design)
    lines = [
        _quantity_line(name, entry, study, entry.get("tolerance", tolerance)) for name, entry in quantities.items()
    ]
    lines += [_verdict_line(key, word, study) for key, word in verdicts.items()]
    missing = [QUANTITIES[name].label for name in study.quantities if name not in quantities]
    missing += [f"verdict: {c.name}" for c in study.checks if c.key not in verdicts]
    return Outcome(study, tuple(lines), results.get("input_hash") != design.input_hash(), tuple(missing))


def table_text(comparisons) -> str:
    """The comparisons as a table of plain text, one line each."""
    rows = [("result", "stored", "now", "change", "allowed")]
    for c in comparisons:
        change = "" if math.isnan(c.change) else f"{c.change:+.3g}".replace("inf", "all")
        rows.append((c.label, c.stored, c.now, change, f"±{c.tolerance:.3g}" if c.tolerance else "none"))
    widths = [max(len(row[i]) for row in rows) for i in range(5)]
    lines = [
        "  ".join([row[0].ljust(widths[0]), *(row[i].rjust(widths[i]) for i in range(1, 5))]).rstrip() for row in rows
    ]
    return "\n".join([lines[0], "-" * max(map(len, lines)), *lines[1:]])


def _quantity_line(name, entry, study, tolerance):
    label, unit = QUANTITIES[name].label, entry["unit"]
    stored = math.nan if entry["value"] is None else float(entry["value"])
    now = from_si(study.quantities[name], unit)
    change, moved = _change(stored, now, tolerance, FACTORS[unit])
    digits = _digits(change) if moved else 4
    return Comparison(name, label, _text(stored, unit, digits), _text(now, unit, digits), change, tolerance, moved)


def _digits(change):
    """Digits enough to see a relative change, 4 to 12."""
    return min(12, max(4, 2 - math.floor(math.log10(abs(change))))) if math.isfinite(change) and change else 4


def _change(stored, now, tolerance, factor):
    """Relative change, and whether it is too much. A number that has become unknown, or the reverse, has moved."""
    if math.isnan(stored) or math.isnan(now):
        return math.nan, math.isnan(stored) != math.isnan(now)
    if stored == 0.0:
        return (0.0, False) if abs(now) * factor <= ZERO else (math.copysign(math.inf, now), True)
    change = (now - stored) / abs(stored)
    return change, not abs(change) <= tolerance


def _text(value, unit, digits):
    if math.isnan(value):
        return "not known"
    return show(to_si(value, unit), unit, digits)


def _verdict_line(key, word, study):
    item = study.check(key)
    return Comparison(key, f"verdict: {item.name}", word, item.verdict, math.nan, 0.0, item.verdict != word)


def _read_results(results):
    """(tolerance, quantities, verdicts) of a stored table, strict: what is not known is refused by name."""
    _refuse_unknown("results", results, _KEYS)
    quantities, verdicts = results.get("quantities", {}), results.get("verdicts", {})
    for name, table in (("quantities", quantities), ("verdicts", verdicts)):
        if not isinstance(table, dict):
            raise ValueError(f"results, {name} is {table!r}: it must be a table")
    if not quantities and not verdicts:
        raise ValueError("its table of results is empty, so there is nothing to check: store them first")
    for name, entry in quantities.items():
        _check_entry(name, entry)
    for key, word in verdicts.items():
        if not isinstance(word, str):
            raise ValueError(f"results, verdict of {key} is {word!r}: give a word")
    return _tolerance("results", results.get("tolerance", DEFAULT_TOLERANCE)), quantities, verdicts


def _check_entry(name, entry):
    where = f"results, {name}"
    if name not in QUANTITIES:
        raise ValueError(f"{where}: there is no such result; known are {', '.join(QUANTITIES)}")
    if not isinstance(entry, dict) or "value" not in entry or "unit" not in entry:
        raise ValueError(f"{where} is {entry!r}: give a table with value and unit")
    _refuse_unknown(where, entry, _ENTRY_KEYS)
    value, unit = entry["value"], QUANTITIES[name].unit
    if value is not None and (isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e300):
        raise ValueError(f"{where}: value is {value!r}: give a finite number, or null for not known")
    if entry["unit"] != unit:
        raise ValueError(f"{where}: unit is {entry['unit']!r}: this result is stored in {unit!r}")
    if "tolerance" in entry:
        _tolerance(where, entry["tolerance"])


def _tolerance(where, value):
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        raise ValueError(f"{where}: tolerance is {value!r}: give a relative one, 0 to 1")
    return value


def _refuse_unknown(where, table, known):
    unknown = sorted(set(table) - known)
    if unknown:
        raise ValueError(f"{where}: unknown key {', '.join(unknown)}; known are {', '.join(sorted(known))}")
