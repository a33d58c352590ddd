"""The load file: what a builder states about the loads of a part, kept as plain JSON with the unit in each key.

A `LoadSheet` is a `LoadPlan` with a title, a remark and the fittings that go with it. Loading runs no code and refuses
what it does not know; saving writes all or nothing. Numbers come back as they were written, to the last bit, degrees
to rounding.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import MISSING, dataclass, field, fields

from ..files import file_text, read_file, refuse_unknown, write_atomically
from ..units import KEY_SUFFIX, from_si, to_si
from .beam import Held
from .cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from .fittings import BearingBolt, BondedStud, bolt_checks, stud_checks
from .plan import Factor, Judgement, LoadPlan, Own, Stock

FORMAT = "panelmech loads"
SCHEMA = 1
_LARGEST = 1e300
TEXT, FLAG, COUNT, CASE, FACTOR, OWN = "text", "flag", "count", "case", "factor", "own "  # an `own` names its unit

CASES = {  # kind in the file: (record, {field: unit, or what it is})
    "side force": (
        SideForce,
        {
            "name": TEXT,
            "speed": "m/s",
            "density": "kg/m3",
            "angle": "deg",
            "coefficient": "",
            "end_plate": "",
            "model": TEXT,
            "tip": "",
            "spread": TEXT,
            "mirrored": FLAG,
            "immersed_from": "mm",
            "centre": "%",
            "skin_share": "%",
            "lasting": FLAG,
        },
    ),
    "severe": (Severe, {"name": TEXT, "statement": CASE, "factor": "", "basis": TEXT}),
    "push": (PointPush, {"name": TEXT, "force": "N", "place": "%", "chord_place": "%", "lasting": FLAG}),
    "sealed air": (
        SealedAir,
        {"name": TEXT, "sealed_at": "degC", "heated_to": "degC", "outside": "kPa", "lasting": FLAG},
    ),
    "standing water": (WaterHead, {"name": TEXT, "depth": "mm", "density": "kg/m3", "inside": FLAG, "lasting": FLAG}),
}
FITTINGS = {
    "bearing bolt": (
        BearingBolt,
        {
            "name": TEXT,
            "bearing": COUNT,
            "diameter": "mm",
            "length": "mm",
            "edge_distance": "mm",
            "planes": COUNT,
            "pull": "N",
            "bolt_shear": f"{OWN}MPa",
            "bearing_strength": f"{OWN}MPa",
            "shear_strength": f"{OWN}MPa",
        },
    ),
    "bonded stud": (BondedStud, {"name": TEXT, "diameter": "mm", "length": "mm", "pull": "N", "strength": f"{OWN}MPa"}),
}
_JUDGEMENT = {
    "strength": FACTOR,
    "bond": FACTOR,
    "buckling": FACTOR,
    "sheet_strength": f"{OWN}MPa",
    "resin_strength": f"{OWN}MPa",
    "sheet_shear_strength": f"{OWN}MPa",
    "nose_bond_strength": f"{OWN}MPa",
    "tip_deflection": f"{OWN}mm",
    "tip_twist": f"{OWN}deg",
}
_STOCK = {
    "length": "mm",
    "diameter": "mm",
    "wall": "mm",
    "modulus": "GPa",
    "poisson": "",
    "strength": "MPa",
    "source": TEXT,
}
_FACTOR = {"value": "", "basis": TEXT, "source": TEXT}
_PLAIN = {"front": TEXT, "axis_x": "mm", "stations": COUNT, "local": FLAG}  # of the plan itself
_KEYS = {"statement": "of", "local": "framed_sheet"}  # fields whose key is another word
_PARTS = ("title", "remark", "cases", "held", "judgement", "stock", "fittings")


@dataclass(frozen=True)
class LoadSheet:
    """What a load file holds: `plan`; `title` and `remark` in words; `fittings`, `BearingBolt`s and `BondedStud`s with
    different names. ValueError for anything else."""

    plan: LoadPlan
    title: str = "Loads"
    remark: str = ""
    fittings: tuple = field(default=())

    def __post_init__(self):
        object.__setattr__(self, "fittings", tuple(self.fittings))
        if not isinstance(self.plan, LoadPlan):
            raise ValueError(f"plan is {self.plan!r}: give a LoadPlan")
        if not all(isinstance(text, str) for text in (self.title, self.remark)):
            raise ValueError(f"title {self.title!r} and remark {self.remark!r} must be texts")
        kinds = tuple(kind for kind, _ in FITTINGS.values())
        if not all(isinstance(item, kinds) for item in self.fittings):
            raise ValueError(f"fittings are {self.fittings!r}: give BearingBolts and BondedStuds")
        names = [item.name for item in self.fittings]
        if len(set(names)) != len(names):
            raise ValueError(f"fittings are called {', '.join(names)}: give each a name of its own")

    def save(self, path) -> None:
        """Write a load file, all or nothing."""
        write_atomically(path, sheet_text(self))

    @classmethod
    def load(cls, path) -> LoadSheet:
        """Read a load file; ValueError names the file, the key and what is allowed."""
        return read_file(path, "load", FORMAT, SCHEMA, sheet_from_entry)

    def input_hash(self) -> str:
        """Twelve hexadecimal digits that change with any input."""
        return hashlib.sha256(sheet_text(self).encode()).hexdigest()[:12]


def fitting_checks(study, fittings) -> tuple:
    """Checks of all fittings under a `loads.load_study.LoadStudy`; raises as `bolt_checks`."""
    found = [(bolt_checks if isinstance(item, BearingBolt) else stud_checks)(study, item) for item in fittings]
    return tuple(check for checks in found for check in checks)


def sheet_text(sheet: LoadSheet) -> str:
    """The text of the load file of a sheet."""
    return file_text(FORMAT, SCHEMA, sheet_to_entry(sheet))


def sheet_to_entry(sheet: LoadSheet) -> dict:
    """The sheet as plain values with units in the keys; what is not given (None) is left out."""
    plan = sheet.plan
    held = {"bearings_mm": [_shown(p, "mm") for p in plan.held.bearings], **_entry(plan.held, {"torque_at": "mm"})}
    entry = {
        "title": sheet.title,
        "remark": sheet.remark,
        "cases": [_kind_entry(c, CASES) for c in plan.cases],
        "held": held,
        "judgement": _entry(plan.judgement, _JUDGEMENT),
    }
    if plan.stock is not None:
        entry["stock"] = _entry(plan.stock, _STOCK)
    return {**entry, **_entry(plan, _PLAIN), "fittings": [_kind_entry(item, FITTINGS) for item in sheet.fittings]}


def sheet_from_entry(entry: dict, where: str = "loads") -> LoadSheet:
    """The inverse of `sheet_to_entry`, strict: unknown keys, wrong types and missing keys are refused by name."""
    plain = {_key(name, what): name for name, what in _PLAIN.items()}
    refuse_unknown(entry, {*_PARTS, *plain}, where)
    cases = _listed(entry.get("cases"), "cases", CASES)
    held = entry.get("held", {})
    refuse_unknown(held, {"bearings_mm", "torque_at_mm"}, "held")
    places = _list(held.get("bearings_mm", []), "held, bearings_mm")
    bearings = tuple(_value(p, "mm", "held, bearings_mm") for p in places)
    torque_at = _value(held["torque_at_mm"], "mm", "held, torque_at_mm") if "torque_at_mm" in held else None
    values = _values({k: v for k, v in entry.items() if k in plain}, _PLAIN, "loads")
    judgement = _record(entry.get("judgement", {}), Judgement, _JUDGEMENT, "judgement")
    stock = _record(entry["stock"], Stock, _STOCK, "stock") if "stock" in entry else None
    plan = LoadPlan(cases, _named("held", lambda: Held(bearings, torque_at)), judgement, stock, **values)
    return LoadSheet(
        plan,
        entry.get("title", "Loads"),
        entry.get("remark", ""),
        _listed(entry.get("fittings", []), "fittings", FITTINGS),
    )


def _key(name, what):
    unit = what.removeprefix(OWN)
    suffix = "" if unit in (TEXT, FLAG, COUNT, CASE, FACTOR) else KEY_SUFFIX[unit]
    return "_".join(filter(None, (_KEYS.get(name, name), suffix)))


def _kind_entry(record, kinds):
    kind, (_, spec) = next((k, v) for k, v in kinds.items() if v[0] is type(record))
    return {"kind": kind, **_entry(record, spec)}


def _entry(record, spec):
    values = {name: getattr(record, name) for name in spec}
    return {_key(name, spec[name]): _plain(value, spec[name]) for name, value in values.items() if value is not None}


def _plain(value, what):
    """A value of a record as it stands in the file."""
    if what == CASE:
        return _kind_entry(value, CASES)
    if what == FACTOR:
        return _entry(value, _FACTOR)
    if what.startswith(OWN):
        return {"value": _shown(value.value, what.removeprefix(OWN)), "source": value.source}
    return value if what in (TEXT, FLAG, COUNT) else _shown(value, what)


def _shown(value, unit):
    """In the unit of the key, as it was entered where that gives the same number back."""
    number = from_si(float(value), unit)
    entered = float(f"{number:.15g}")
    return entered if to_si(entered, unit) == value else number


def _listed(entries, where, kinds):
    out = []
    for number, entry in enumerate(_list(entries, where), 1):
        out.append(_kind(entry, f"{where}, number {number}", kinds))
    return tuple(out)


def _kind(entry, where, kinds):
    """A record whose kind the entry names."""
    if not isinstance(entry, dict) or str(entry.get("kind")) not in kinds:
        came = entry.get("kind") if isinstance(entry, dict) else entry
        raise ValueError(f"{where}: kind is {came!r}: give one of {', '.join(kinds)}")
    record, spec = kinds[entry["kind"]]
    return _record({k: v for k, v in entry.items() if k != "kind"}, record, spec, where)


def _record(entry, kind, spec, where):
    values = _values(entry, spec, where)
    needed = {f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING}
    missing = [_key(name, spec[name]) for name in spec if name in needed - set(values)]
    if missing:
        raise ValueError(f"{where}: missing {', '.join(missing)}")
    keys = {name: _key(name, spec[name]) for name in values}
    return _named(where, lambda: kind(**values), keys)


def _values(entry, spec, where):
    keys = {_key(name, what): name for name, what in spec.items()}
    refuse_unknown(entry, set(keys), where)
    return {keys[key]: _value(value, spec[keys[key]], f"{where}, {key}") for key, value in entry.items()}


def _value(value, what, where):
    """A value of the file as it stands in a record."""
    if what == CASE:
        return _kind(value, where, CASES)
    if what == FACTOR:
        return _record(value, Factor, _FACTOR, where)
    if what.startswith(OWN):
        plain = _record(value, Own, {"value": "", "source": TEXT}, where)
        return Own(to_si(plain.value, what.removeprefix(OWN)), plain.source)
    kinds = {TEXT: (str, "a text"), FLAG: (bool, "true or false"), COUNT: (int, "a whole number")}
    kind, words = kinds.get(what, (int | float, "a number"))
    if not isinstance(value, kind) or (isinstance(value, bool) and what != FLAG):
        raise ValueError(f"{where} is {value!r}: give {words}")
    if what in kinds:
        return value
    if not abs(value) <= _LARGEST:
        raise ValueError(f"{where} is {value!r}: give a finite number")
    return to_si(value, what)


def _list(value, where):
    if not isinstance(value, list):
        raise ValueError(f"{where} is {value!r}: give a list")
    return value


def _named(where, make, keys=()):
    """What `make()` makes; an error names the place, and the key too where it says "<field> is <value>"."""
    try:
        return make()
    except (ValueError, TypeError) as error:
        told = [keys[name] for name in keys if re.search(rf"\b{name} is ", str(error))]
        raise ValueError(f"{', '.join((where, *told))}: {error}") from None
