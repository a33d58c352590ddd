"""The load file: what a builder states about the loads of a part, kept as plain JSON with the unit in each key.

A `LoadSheet` is a `LoadPlan` with a title, a remark and the fittings that go with it. `CASES`, `FITTINGS` and `SHEET`
are the tables of the fields that are kept: a new kind of load needs its record and its row here.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields

from ..files import (
    COUNT,
    FLAG,
    TEXT,
    Listed,
    Nested,
    Number,
    OneOf,
    Word,
    file_text,
    from_plain,
    named,
    number,
    read_file,
    short_hash,
    to_plain,
    write_atomically,
)
from .beam import Held
from .cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from .fittings import BearingBolt, BondedStud, bolt_checks, bolt_lines, stud_checks, stud_lines
from .plan import Factor, Judgement, LoadPlan, Own, Stock

FORMAT = "panelmech loads"
SCHEMA = 1


@dataclass(frozen=True)
class OwnValue(Number):
    """A limit of the user's in a table of its own, value and source, the unit in the key of the table."""

    def write(self, name: str, value) -> tuple:
        """As `files.Word.write`."""
        key, plain = super().write(name, value.value)
        return key, {"value": plain, "source": value.source}

    def read(self, plain, units: tuple, where: str) -> Own:
        """As `files.Word.read`."""
        values = from_plain(plain, {"value": NUMBER, "source": TEXT}, where, {"value"})
        values["value"] = super().read(values["value"], units, f"{where}, value")
        return named(where, lambda: Own(**values))


# fmt: off
NUMBER, MM, MPA, SHARE, NEWTON, DENSITY = map(number, ("", "mm", "MPa", "%", "N", "kg/m3"))
OWN_MPA, OWN_MM, OWN_DEG = (OwnValue(((unit,),)) for unit in ("MPa", "mm", "deg"))
FACTOR = Nested(Factor, {"value": NUMBER, "basis": TEXT, "source": TEXT})
CASES: dict = {}  # kind in the file: the record and its fields, in the order of the file
CASES |= {
    "side force": Nested(SideForce, {
        "name": TEXT, "speed": number("m/s"), "density": DENSITY, "angle": number("deg"), "coefficient": NUMBER,
        "end_plate": NUMBER, "model": TEXT, "tip": NUMBER, "spread": TEXT, "mirrored": FLAG, "immersed_from": MM,
        "centre": SHARE, "skin_share": SHARE, "lasting": FLAG,
    }),
    "severe": Nested(Severe, {"name": TEXT, "statement": OneOf(CASES, "of"), "factor": NUMBER, "basis": TEXT}),
    "push": Nested(PointPush, {"name": TEXT, "force": NEWTON, "place": SHARE, "chord_place": SHARE, "lasting": FLAG}),
    "sealed air": Nested(SealedAir, {
        "name": TEXT, "sealed_at": number("degC"), "heated_to": number("degC"), "outside": number("kPa"),
        "lasting": FLAG,
    }),
    "standing water": Nested(WaterHead, {
        "name": TEXT, "depth": MM, "density": DENSITY, "inside": FLAG, "lasting": FLAG,
    }),
}
FITTINGS = {
    "bearing bolt": Nested(BearingBolt, {
        "name": TEXT, "bearing": COUNT, "diameter": MM, "length": MM, "edge_distance": MM, "planes": COUNT,
        "pull": NEWTON, "bolt_shear": OWN_MPA, "bearing_strength": OWN_MPA, "shear_strength": OWN_MPA,
    }),
    "bonded stud": Nested(BondedStud, {
        "name": TEXT, "diameter": MM, "length": MM, "pull": NEWTON, "strength": OWN_MPA,
    }),
}
SHEET = {
    "title": TEXT,
    "remark": TEXT,
    "cases": Listed(OneOf(CASES)),
    "held": Nested(Held, {"bearings": number("mm", "list"), "torque_at": MM}),
    "judgement": Nested(Judgement, {
        "strength": FACTOR, "bond": FACTOR, "buckling": FACTOR, "sheet_strength": OWN_MPA, "resin_strength": OWN_MPA,
        "sheet_shear_strength": OWN_MPA, "nose_bond_strength": OWN_MPA, "tip_deflection": OWN_MM, "tip_twist": OWN_DEG,
    }),
    "stock": Nested(Stock, {
        "length": MM, "diameter": MM, "wall": MM, "modulus": number("GPa"), "poisson": NUMBER, "strength": MPA,
        "source": TEXT,
    }),
    "front": TEXT,
    "axis_x": MM,
    "stations": COUNT,
    "local": Word(bool, "true or false", "framed_sheet"),
    "fittings": Listed(OneOf(FITTINGS)),
}
# fmt: on


@dataclass(frozen=True)
class LoadSheet:
    """What a load file holds: `plan`; `title` and `remark` in words; `fittings`, `BearingBolt`s and `BondedStud`s with
    different names. ValueError for anything else.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> sheet = demo().loads
    >>> [case.name for case in sheet.plan.cases]
    ['sailing', 'broach', 'tip aground', 'line across the middle', 'warmed, vented', 'flooded, lifted out']
    """

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
        kinds = tuple(kind.make for kind in FITTINGS.values())
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
        return short_hash(sheet_text(self))


def fitting_checks(study, fittings) -> tuple:
    """Checks of all fittings under a `loads.load_study.LoadStudy`; raises as `bolt_checks`.

    >>> from panelmech.job import demo
    >>> from dataclasses import replace
    >>> from panelmech.loads import evaluate_loads
    >>> study = evaluate_loads(demo().blade, replace(demo().loads.plan, local=False))
    >>> [(check.name, check.verdict) for check in fitting_checks(study, demo().loads.fittings)][:2]
    [('pivot bolt, shear', 'holds'), ('pivot bolt, bearing of the hole', 'holds')]
    """
    found = [(bolt_checks if isinstance(item, BearingBolt) else stud_checks)(study, item) for item in fittings]
    return tuple(check for checks in found for check in checks)


def fitting_lines(study, fittings) -> tuple:
    """What those checks are made of, of one part or of many (`loads.fittings.Line`); raises as `bolt_checks`."""
    found = [(bolt_lines if isinstance(item, BearingBolt) else stud_lines)(study, item) for item in fittings]
    return tuple(line for lines in found for line in lines)


def sheet_text(sheet: LoadSheet) -> str:
    """The text of the load file of a sheet."""
    return file_text(FORMAT, SCHEMA, sheet_to_entry(sheet))


def sheet_to_entry(sheet: LoadSheet) -> dict:
    """The sheet as plain values with units in the keys; what is not given (None) is left out."""
    return to_plain({**vars(sheet.plan), **vars(sheet)}, SHEET)


def sheet_from_entry(entry: dict, where: str = "loads") -> LoadSheet:
    """The inverse of `sheet_to_entry`, strict: unknown keys, wrong types and missing keys are refused by name."""
    values = from_plain(entry, SHEET, where, {"cases"})
    of_plan = {f.name: values.pop(f.name) for f in fields(LoadPlan) if f.name in values}
    return LoadSheet(LoadPlan(**of_plan), **values)
