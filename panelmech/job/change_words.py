"""Changes of a job in words: "spacer diameter 18 mm → 20 mm; sailing: speed 2 m/s → 3 m/s; readings of the bench: 2
rows added"."""

from __future__ import annotations

from collections import Counter
from functools import partial

from ..blade.blade import ALONG_FIELDS
from ..files import few
from ..shop.choices import CHOICE_LIMITS
from ..study.design import LIMITS
from ..units import KEY_SUFFIX, show_input, to_si
from .changes import GONE

LABELS = {
    "design/title": "title",
    "design/made_by": "made by",
    "design/ident": "number",
    "design/issued": "date of issue",
    "design/settled": "defaults made one's own",
    "design/inside": "inner ribs and solid zones",
    "part/straight": "line that is kept straight",
    "readings/rows": "readings of the bench",
    "loads/title": "title of the loads",
    "loads/remark": "remark on the loads",
    "loads/cases": "load cases",
    "loads/held": "how the part is held",
    "loads/judgement": "factors and own limits under load",
    "loads/fittings": "bolts and studs",
    "loads/stock": "stock above the root",
    "loads/front": "front under load",
    "loads/axis_x_mm": "axis of the torques",
    "loads/stations": "stations along the span",
    "loads/framed_sheet": "framed sheet under load",
    "shop/settled": "the shop's defaults made one's own",
    "shop/bond": "resin system of the land",
    "shop/pour": "resin system of the potting",
    "shop/page": "paper of the templates",
    "shop/start": "start of the work",
    "shop/lift_choice": "depth of a lift set by",
    "shop/stock_grain": "grain of the stock along its",
    "job/camber_mm": "camber allowed",
    "job/lengths": "lengths shown in",
    "job/offsets_from": "line that offsets are measured from:",
}  # of what has no row in a table of limits
_SAID = {"job/offsets_from": {str(GONE): "the chord line", "chord": "the chord line", "free": "any straight line"}}
_TABLES = {"design": LIMITS, "part": {name: LIMITS[name] for name in ALONG_FIELDS}, "shop": CHOICE_LIMITS}
_UNITS = {suffix: unit for unit, suffix in KEY_SUFFIX.items() if suffix}
_told_few, _inside_few = partial(few, most=3, apart="; "), partial(few, most=2, apart="; ")
_LONGEST = 40
_RIB, _ZONE = {"position_mm", "width_mm"}, {"start_mm", "end_mm"}


def words_of(changes: dict) -> str:
    """Changes in words, the first few one by one: "spacer diameter 18 mm → 20 mm; span 850 mm → 900 mm"."""
    changes = dict(changes)
    told = list(_whole_loads(changes))
    told += [words for path, (before, after) in changes.items() for words in _told(path, before, after)]
    return _told_few(told) or "nothing"


def _whole_loads(changes):
    """Loads that come or go as a whole, told as one; taken out of the changes."""
    for end, verb in ((0, "added"), (1, "removed")):
        pairs = {path: pair for path, pair in changes.items() if path.startswith("loads/")}
        if "loads/cases" in pairs and all(pair[end] is GONE for pair in pairs.values()):
            names = ", ".join(case["name"] for case in pairs["loads/cases"][1 - end] if _is_named(case))
            for path in pairs:
                del changes[path]
            yield f"loads {verb}: {names}"


def _told(path, before, after):
    """What is to be said of one change, a text each."""
    label, unit = _label(path)
    if path == "readings/rows" and isinstance(before, list) and isinstance(after, list):
        return [f"{label}: {_rows_words(before, after)}"]
    if _all_named(before) and _all_named(after):
        return _named_words(before or [], after or [])
    if isinstance(before, dict) and isinstance(after, dict) and not _is_taper(before) and not _is_taper(after):
        lead = f"{label} “{before['name']}”: " if _is_named(before) and before["name"] == after.get("name") else ""
        if lead or not _is_named(before):
            return [f"{lead or f'{label}: '}{_inside_few(list(_inside(before, after, unit)))}"]
    if path in _SAID:
        before, after = (_SAID[path].get(str(value), value) for value in (before, after))
        return [f"{label} {before} → {after}"]
    first, second = (_value(value, unit) for value in (before, after))
    return [f"{label} {first} → {second}"]


def _label(path):
    """(what a path is called, unit of its number or "")."""
    section, _, key = path.partition("/")
    for limit in _TABLES.get(section, {}).values():
        if key == limit.key:
            return limit.label + (" along the span" if section == "part" else ""), limit.unit
    words, unit = _key_words(key)
    return LABELS.get(path, words), unit


def _key_words(key):
    """(a key in words, its unit): "speed_m_s" is "speed" in m/s."""
    for suffix in sorted(_UNITS, key=len, reverse=True):
        if key.endswith(f"_{suffix}"):
            return key.removesuffix(f"_{suffix}").replace("_", " "), _UNITS[suffix]
    return key.replace("_", " "), ""


def _rows_words(before, after):
    """How many rows came, went or changed; of as many that came as went, that they were changed."""
    added, removed = Counter(after) - Counter(before), Counter(before) - Counter(after)
    come, gone = added.total(), removed.total()
    if come == gone:
        return f"{come} {_rows(come)} changed" if come else "in another order"
    parts = (f"{count} {_rows(count)} {verb}" for count, verb in ((come, "added"), (gone, "removed")) if count)
    return ", ".join(parts)


def _rows(count):
    return "row" if count == 1 else "rows"


def _is_named(value):
    return isinstance(value, dict) and isinstance(value.get("name"), str)


def _all_named(value):
    return value is GONE or (isinstance(value, list) and all(map(_is_named, value)))


def _named_words(before, after):
    """Which of the named things of a list came, went, or changed in what."""
    old, new = ({item["name"]: item for item in items} for items in (before, after))
    gone, come = [name for name in old if name not in new], [name for name in new if name not in old]
    if len(gone) == len(come) == 1 and {**old[gone[0]], "name": come[0]} == new[come[0]]:
        return [f"{gone[0]} is now called {come[0]}"]
    told = [f"{name} added" for name in come] + [f"{name} removed" for name in gone]
    both = [name for name in new if name in old and old[name] != new[name]]
    told += [f"{name}: {_inside_few(list(_inside(old[name], new[name])))}" for name in both]
    return told or [f"order: {', '.join(new)}"]


def _inside(before, after, unit="", lead=""):
    """What differs within a table, a text each; a table within it is told by its own keys."""
    for key in dict.fromkeys((*before, *after)):
        pair = before.get(key, GONE), after.get(key, GONE)
        if pair[0] == pair[1]:
            continue
        words, own = _key_words(key)
        label = " ".join(filter(None, (lead, "" if key in ("value", "of") else words))) or words
        tables = [value for value in pair if value is not GONE]
        if all(isinstance(value, dict) for value in tables):
            yield from _inside(*(value or {} for value in pair), own or unit, "" if key == "of" else label)
        else:
            yield f"{label} {' → '.join(_value(value, own or unit) for value in pair)}"


def _is_taper(value):
    return isinstance(value, dict) and (set(value) == {"root", "tip"} or "positions_mm" in value)


def _value(value, unit):
    """A value in words."""
    if value is GONE or value == "":
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return show_input(to_si(value, unit), unit)
    if isinstance(value, str) or _is_named(value):
        text = value if isinstance(value, str) else value["name"]
        return f"“{text if len(text) <= _LONGEST else f'{text[: _LONGEST - 1]}…'}”"
    return _several(value, unit)


def _several(value, unit):
    if isinstance(value, dict) and set(value) == {"root", "tip"}:
        return " to ".join(_value(value[end], unit) for end in ("root", "tip"))
    if isinstance(value, dict) and set(value) in (_RIB, _ZONE):
        first, second = (_value(v, "mm") for v in value.values())
        return f"{second} at {first}" if set(value) == _RIB else f"{first} to {second}"
    if isinstance(value, dict) and isinstance(value.get("values"), list):
        places = zip(value.get("positions_mm", ()), value["values"], strict=False)
        how = "steps" if value.get("between") == "stepped" else "table"
        return f"{how} " + ", ".join(f"{_value(v, unit)} at {_value(p, 'mm')}" for p, v in places)
    if isinstance(value, list):
        return ", ".join(_value(item, unit) for item in value) or "none"
    return ", ".join(f"{_key_words(key)[0]} {_value(v, _key_words(key)[1] or unit)}" for key, v in value.items())
