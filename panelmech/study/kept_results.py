"""How results stand in a file to be compared later: quantities, limits with their basis, reserves, verdicts.

One table of plain values for any table of checks, in the study file under "results" and in the results of a job under
each of its parts:

    "quantities": {"chord": {"value": 239.8, "unit": "mm"}, "mouth": {"value": 19.5, "unit": "mm", "tolerance": 1e-4}},
    "verdicts": {"permanent_strain": "holds"},
    "limits": {"permanent_strain": {"value": 0.2, "unit": "%", "basis": "published"}},
    "reserves": {"permanent_strain": {"value": 3.41}}

A number can have a relative tolerance of its own; a reserve takes that of the quantity it is of, if that is wider. What
is not known is null, since JSON has no number for it, and a reserve without end is "no load". Files of before 0.2 hold
quantities and verdicts alone: they are read, and what they lack is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

from ..files import refuse_unknown
from ..units import FACTORS, from_si, show, to_si

# Relative. The closed forms agree with a 30-digit evaluation to 1e-10 or better, other processors and library versions
# change the last two or three of sixteen digits, and a thousandth of a millimetre on a metre is 1e-6: no tighter limit
# means anything in the shop, and no true change hides below it.
DEFAULT_TOLERANCE = 1e-6
ZERO = 1e-12  # SI; a stored zero has no relative tolerance, so it must stay below this
ENDLESS = "no load"
GONE = "not there"
TABLES = ("quantities", "verdicts", "limits", "reserves")
LATER = {"limits": "limits", "reserves": "reserves"}  # tables that files of before do not have, in words
FORMER = ("press_deflection_free", "press_deflection_held")  # of before 0.3: told as not there any more
RESULT, LIMIT, RESERVE, VERDICT = KINDS = ("result", "limit", "reserve", "verdict")


class Worked(NamedTuple):
    """A quantity as it is worked out now: what it is called, value [SI], nan where not known, unit on screen."""

    label: str
    value: float
    unit: str


@dataclass(frozen=True)
class Comparison:
    """One stored result beside the present one: texts, the relative change [-] (nan for verdicts), its tolerance;
    `kind`: one of `KINDS`."""

    name: str
    label: str
    stored: str
    now: str
    change: float
    tolerance: float
    moved: bool
    kind: str = RESULT


class Beside:
    """What stands to be told of stored results set beside those of now; a record with these fields has the rest.

    comparisons : every `Comparison`
    inputs_changed : whether the results were not stored for these very inputs
    missing : what is worked out now and not stored, in words
    """

    comparisons: tuple
    inputs_changed: bool
    missing: tuple

    @property
    def moved(self) -> tuple:
        """The comparisons that moved by more than their tolerance."""
        return tuple(c for c in self.comparisons if c.moved)

    @property
    def holds(self) -> bool:
        """Whether everything is stored, for these inputs, and nothing moved."""
        return not (self.moved or self.missing or self.inputs_changed)


@dataclass(frozen=True)
class Kept:
    """What a table holds: its tolerance and its four tables; `lacks`: those it has not, of `LATER`, in words."""

    tolerance: float
    quantities: dict
    verdicts: dict
    limits: dict = field(default_factory=dict)
    reserves: dict = field(default_factory=dict)
    lacks: tuple = ()


def tables_of(quantities: dict, checks, earlier: dict | None = None) -> dict:
    """The tables to keep: `quantities`, {name: `Worked`}, and what `checks` come to. Tolerances of single numbers of an
    `earlier` table stay."""
    by_key = keyed(checks)
    limits = {key: c for key, c in by_key.items() if c.kind == "limit"}
    tables = {
        "quantities": {name: _entry(one.value, one.unit) for name, one in quantities.items()},
        "verdicts": {key: c.verdict for key, c in by_key.items()},
        "limits": {key: {**_entry(c.limit, c.unit), "basis": c.basis} for key, c in limits.items()},
        "reserves": {key: {"value": _plain(c.reserve)} for key, c in limits.items()},
    }
    for table, entries in (earlier or {}).items():
        for name, entry in entries.items() if table in tables and table != "verdicts" else ():
            if name in tables[table] and "tolerance" in entry:
                tables[table][name]["tolerance"] = entry["tolerance"]
    return tables


def keyed(checks) -> dict:
    """{key: check}; of checks with the same key the second and later by their number, too."""
    found: dict = {}
    for check in checks:
        count = sum(one.key == check.key for one in found.values())
        found[f"{check.key} {count + 1}" if count else check.key] = check
    return found


def _entry(value, unit):
    return {"value": _plain(from_si(value, unit)), "unit": unit}


def _plain(value):
    if math.isinf(value):
        return ENDLESS
    return None if math.isnan(value) else float(value)


def read_tables(results: dict, where: str = "results", known: dict | None = None) -> Kept:
    """A kept table, strict: what is not known is refused by name. `known`, {name: unit}: the quantities there can be;
    any if not given."""
    tables = {name: results.get(name, {}) for name in TABLES}
    for name, table in tables.items():
        if not isinstance(table, dict):
            raise ValueError(f"{where}, {name} is {table!r}: it must be a table")
    for name, entry in tables["quantities"].items():
        _check_quantity(f"{where}, {name}", name, entry, known)
    for key, word in tables["verdicts"].items():
        if not isinstance(word, str):
            raise ValueError(f"{where}, verdict of {key} is {word!r}: give a word")
    for key, entry in tables["limits"].items():
        _check_limit(f"{where}, limit of {key}", entry)
    for key, entry in tables["reserves"].items():
        _check_numbered(f"{where}, reserve of {key}", entry, ("value",))
    lacks = tuple(words for name, words in LATER.items() if name not in results)
    tolerance = _tolerance(where, results.get("tolerance", DEFAULT_TOLERANCE))
    return Kept(tolerance, *tables.values(), lacks)


def _check_quantity(where, name, entry, known):
    if known is not None and name in FORMER:
        known = None
    if known is not None and name not in known:
        raise ValueError(f"{where}: there is no such result; known are {', '.join(known)}")
    _check_numbered(where, entry, ("value", "unit"))
    if known is not None and entry["unit"] != known[name]:
        raise ValueError(f"{where}: unit is {entry['unit']!r}: this result is stored in {known[name]!r}")
    _check_unit(where, entry)


def _check_limit(where, entry):
    _check_numbered(where, entry, ("value", "unit", "basis"))
    _check_unit(where, entry)
    if not isinstance(entry["basis"], str):
        raise ValueError(f"{where}: basis is {entry['basis']!r}: give a word")


def _check_numbered(where, entry, needed):
    if not isinstance(entry, dict) or any(name not in entry for name in needed):
        raise ValueError(f"{where} is {entry!r}: give a table with {' and '.join(needed)}")
    refuse_unknown(entry, (*needed, "tolerance"), where)
    value = entry["value"]
    if not (value is None or value == ENDLESS or _is_number(value)):
        raise ValueError(f"{where}: value is {value!r}: give a finite number, or null for not known")
    if "tolerance" in entry:
        _tolerance(where, entry["tolerance"])


def _is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


def _check_unit(where, entry):
    if not isinstance(entry["unit"], str) or entry["unit"] not in FACTORS:
        raise ValueError(f"{where}: unit is {entry['unit']!r}: give one of {', '.join(map(repr, FACTORS))}")


def _tolerance(where, value):
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        raise ValueError(f"{where}: tolerance is {value!r}: give a relative one, 0 to 1")
    return value


def set_beside(kept: Kept, quantities: dict, checks, of=None) -> tuple[tuple, tuple]:
    """(every `Comparison`, what is worked out now and not stored, in words) of a kept table beside what there is now.

    quantities, checks : as of `tables_of`
    of : {key of a check: name of the quantity it judges}, whose own tolerance its reserve then has, too
    """
    by_key = keyed(checks)
    limits = {key: c for key, c in by_key.items() if c.kind == "limit"}
    lines = [_quantity_line(name, entry, quantities.get(name), kept) for name, entry in kept.quantities.items()]
    lines += [_limit_line(key, entry, limits.get(key), kept) for key, entry in kept.limits.items()]
    lines += [_reserve_line(key, entry, limits.get(key), kept, of or {}) for key, entry in kept.reserves.items()]
    lines += [_verdict_line(key, word, by_key.get(key)) for key, word in kept.verdicts.items()]
    missing = [one.label for name, one in quantities.items() if name not in kept.quantities]
    missing += [f"verdict: {c.name}" for key, c in by_key.items() if key not in kept.verdicts]
    for name, words in LATER.items():
        there = getattr(kept, name) if words not in kept.lacks else limits
        missing += [f"{words.removesuffix('s')}: {c.name}" for key, c in limits.items() if key not in there]
    return tuple(lines), tuple(missing)


def _quantity_line(name, entry, now, kept):
    label = name.replace("_", " ") if now is None else now.label
    value = None if now is None else from_si(now.value, now.unit) if now.unit == entry["unit"] else math.nan
    return _number_line(name, label, entry, entry["unit"], value, entry.get("tolerance", kept.tolerance), RESULT)


def _limit_line(key, entry, check, kept):
    unit, tolerance = entry["unit"], entry.get("tolerance", kept.tolerance)
    value = None if check is None else from_si(check.limit, unit) if check.unit == unit else math.nan
    line = _number_line(key, f"limit: {_name(key, check)}", entry, unit, value, tolerance, LIMIT)
    basis = GONE if check is None else check.basis
    now = line.now if check is None else f"{line.now}, {basis}"
    moved = line.moved or basis != entry["basis"]
    return Comparison(key, line.label, f"{line.stored}, {entry['basis']}", now, line.change, tolerance, moved, LIMIT)


def _reserve_line(key, entry, check, kept, of):
    judged = kept.quantities.get(of.get(key, ""), {}).get("tolerance", 0.0)
    tolerance = entry.get("tolerance", max(kept.tolerance, judged))
    value = None if check is None else check.reserve
    return _number_line(key, f"reserve: {_name(key, check)}", entry, "x", value, tolerance, RESERVE)


def _verdict_line(key, word, check):
    now = GONE if check is None else check.verdict
    return Comparison(key, f"verdict: {_name(key, check)}", word, now, math.nan, 0.0, now != word, VERDICT)


def _name(key, check):
    return key.replace("_", " ") if check is None else check.name


def _number_line(name, label, entry, unit, value, tolerance, kind):
    """One number beside the present one, both in `unit`; None where there is none now."""
    stored = {None: math.nan, ENDLESS: math.inf}.get(entry["value"], entry["value"])
    now = math.nan if value is None else value
    change, moved = _change(stored, now, tolerance, FACTORS[unit])
    digits = _digits(change) if moved else 4
    told = GONE if value is None else _text(now, unit, digits)
    return Comparison(name, label, _text(stored, unit, digits), told, change, tolerance, moved or value is None, kind)


def _digits(change):
    """Digits enough to see a relative change, 4 to 12."""
    return min(12, max(4, 2 - math.floor(math.log10(abs(change))))) if math.isfinite(change) and change else 4


def _change(stored, now, tolerance, factor):
    """Relative change, and whether it is too much. A number that has become unknown or endless, or the reverse, has
    moved."""
    if not (math.isfinite(stored) and math.isfinite(now)):
        return math.nan, not (stored == now or (math.isnan(stored) and math.isnan(now)))
    if stored == 0.0:
        return (0.0, False) if abs(now) * factor <= ZERO else (math.copysign(math.inf, now), True)
    change = (now - stored) / abs(stored)
    return change, not abs(change) <= tolerance


def _text(value, unit, digits):
    if math.isnan(value):
        return "not known"
    return ENDLESS if math.isinf(value) else show(to_si(value, unit), unit, digits)


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
