"""What changed between two states of a job: as plain values, put together with another's changes, and in words.

A state is the plain sections of a job file. The smallest thing that changes is one key of one section: a number, a
material, the list of load cases, the rows of readings. A change is {path: (before, after)} with the path
"section/key"; `GONE` stands for a key that is not there.
"""

from __future__ import annotations

from ..blade.blade import ALONG_FIELDS
from ..shop.choices import CHOICE_LIMITS
from ..study.design import LIMITS
from ..units import KEY_SUFFIX, show_input, to_si

GONE = "(nothing)"
LABELS = {
    "part/straight": "line that is kept straight",
    "readings/rows": "readings of the bench",
    "loads/cases": "load cases",
    "loads/held": "how the part is held",
    "loads/judgement": "factors and own limits under load",
    "loads/fittings": "bolts and studs",
    "job/camber_mm": "camber allowed",
    "job/lengths": "lengths shown in",
    "design/made_by": "made by",
    "design/ident": "number",
    "design/issued": "date of issue",
}  # of what has no row in a table of limits
_MOST_TOLD = 3
_LONGEST = 40


def leaves(sections: dict) -> dict:
    """{path: value} of plain sections."""
    return {f"{section}/{key}": value for section, keys in sections.items() for key, value in keys.items()}


def sections_of(values: dict) -> dict:
    """The inverse of `leaves`; a section without a key is left out."""
    sections: dict = {}
    for path, value in values.items():
        section, _, key = path.partition("/")
        sections.setdefault(section, {})[key] = value
    return sections


def difference(before: dict, after: dict) -> dict:
    """{path: (before, after)} of what differs between two states, given as leaves."""
    paths = dict.fromkeys((*before, *after))
    pairs = {path: (before.get(path, GONE), after.get(path, GONE)) for path in paths}
    return {path: pair for path, pair in pairs.items() if pair[0] != pair[1]}


def applied(values: dict, changes: dict) -> dict:
    """Leaves with changes applied, in the order of the leaves."""
    new = dict(values)
    for path, (_, after) in changes.items():
        if after == GONE:
            new.pop(path, None)
        else:
            new[path] = after
    return new


def clashes(mine: dict, theirs: dict) -> dict:
    """Those of their changes that mine replace by something else, as (theirs, mine)."""
    both = {path: (theirs[path][1], mine[path][1]) for path in mine if path in theirs}
    return {path: pair for path, pair in both.items() if pair[0] != pair[1]}


def reversed_changes(changes: dict) -> dict:
    """What takes changes back."""
    return {path: (after, before) for path, (before, after) in changes.items()}


def words_of(changes: dict) -> str:
    """Changes in words, the first few one by one: "spacer diameter 18 mm → 20 mm; span 850 mm → 900 mm"."""
    told = [_told(path, *pair) for path, pair in changes.items()]
    if len(told) > _MOST_TOLD:
        told = [*told[:_MOST_TOLD], f"and {len(told) - _MOST_TOLD} more"]
    return "; ".join(told) or "nothing"


def _told(path, before, after):
    label, unit = _label(path)
    if path == "design/title":
        label = "title"
    first, second = (_value(path, value, unit) for value in (before, after))
    if first is None or second is None:
        verb = "added" if before == GONE else "removed" if after == GONE else "changed"
        return f"{label} {verb}"
    return f"{label} {first} → {second}"


def _label(path):
    """(what a path is called, unit of its number or "")."""
    section, _, key = path.partition("/")
    tables = {"design": LIMITS, "part": {name: LIMITS[name] for name in ALONG_FIELDS}, "shop": CHOICE_LIMITS}
    for name, limit in tables.get(section, {}).items():
        if key == "_".join(filter(None, (name, KEY_SUFFIX[limit.unit]))):
            return limit.label + (" along the span" if section == "part" else ""), limit.unit
    return LABELS.get(path, key.replace("_", " ")), "mm" if key.endswith("_mm") else ""


def _value(path, value, unit):
    """A value in words, or None where it is no single one."""
    if value == GONE:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return show_input(to_si(value, unit), unit)
    if isinstance(value, dict) and set(value) == {"root", "tip"}:
        return " to ".join(show_input(to_si(value[end], unit), unit) for end in ("root", "tip"))
    if isinstance(value, dict) and isinstance(value.get("name"), str):
        return f"“{value['name']}”"
    if isinstance(value, str):
        short = value if len(value) <= _LONGEST else f"{value[: _LONGEST - 1]}…"
        return f"“{short}”" if short else "none"
    return None
