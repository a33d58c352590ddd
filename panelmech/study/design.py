"""The design: one frozen record of everything a builder chooses, its limits, and the study file.

`LIMITS` is the one table of numeric inputs. It validates a design, sets the sliders, names the keys of the study file
and labels the inputs in tables and notes, so these cannot drift apart. A study file is plain JSON with the unit in each
key; loading it runs no code and refuses what it does not know.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any

from ..files import (
    TEXT,
    Listed,
    Nested,
    changed,
    file_text,
    number,
    read_file,
    refuse_unknown,
    short_hash,
    to_plain,
    write_atomically,
)
from ..materials.stock import Adhesive, Bought, Resin, Sheet, Spacer, catalogue
from ..mechanics.bend import Bend, solve_bend
from ..mechanics.wedge import Wedge, solve_wedge
from ..units import Limit, read_choice, read_text, show_input
from .inside import KEPT_INSIDE, Inside, Stretch

FORMAT = "panelmech study"
SCHEMA = 1


# fmt: off
LIMITS = {
    limit.field: limit
    for limit in (
        # field, label, unit, least, most; slider from, to, step; group, help
        Limit("sheet_thickness", "sheet thickness", "mm", 0.05, 50, 0.5, 6, 0.1, "geometry",
              "measured, not nominal: stiffness goes with its cube"),
        Limit("free_length", "free length", "mm", 5, 5000, 80, 500, 1, "geometry",
              "length of sheet from the end of the land to the front edge"),
        Limit("spacer_diameter", "spacer diameter", "mm", 0.1, 2000, 4, 80, 0.5, "geometry",
              "outside diameter of the rod or tube"),
        Limit("setback", "setback", "mm", -1000, 1000, -10, 40, 0.5, "geometry",
              "front-most point of the rod back from the sheet ends; negative leaves the rod proud"),
        Limit("bond_line", "bond line", "mm", 0, 20, 0, 2, 0.05, "geometry",
              "thickness of the adhesive between the sheets"),
        Limit("land_length", "land", "mm", 1, 1000, 5, 60, 1, "geometry",
              "width of the bonded strip at the trailing edge"),
        Limit("span", "span", "mm", 5, 20000, 100, 1500, 10, "geometry", "length of the part along the trailing edge"),
        Limit("frame_width", "closing frame", "mm", 0, 1000, 0, 60, 1, "geometry",
              "width of the poured frame at each end; what it covers cannot bend"),
        Limit("spacer_wall", "spacer wall", "mm", 0, 1000, 0, 5, 0.5, "material", "wall of the tube; 0 is a solid rod"),
        Limit("friction", "friction", "", 0, 2, 0.05, 0.8, 0.01, "material",
              "between sheet and rod, as it will be when spread"),
        Limit("toughness_margin", "margin on toughness", "x", 1, 20, 1, 6, 0.5, "judgement",
              "the joint's toughness is divided by this"),
        Limit("close_share", "called close within", "%", 0, 200, 0, 100, 5, "judgement",
              "a reserve that exceeds what is needed by less than this is called close"),
        Limit("pressure", "pressing pressure", "Pa", 0, 1e7, 0, 20000, 100, "judgement",
              "even pressure on one face that the framed sheet is checked for"),
        Limit("deflection_share", "deflection allowed", "%", 0.01, 20, 0.1, 5, 0.1, "judgement",
              "greatest deflection of the framed sheet under that pressure, as a share of its length from land to rod"),
        Limit("service_stress", "skin stress in use", "MPa", 0, 1000, 0, 200, 1, "judgement",
              "compressive bending stress along the span that the skin must carry without buckling"),
    )
}
# fmt: on

_MATERIALS = {"sheet": Sheet, "adhesive": Adhesive, "spacer": Spacer, "resin": Resin}
TEXTS = ("title", "purpose", "made_by", "ident", "issued")
MODULUS_RULES = ("by width", "wide sheet", "narrow strip")
JUDGED = ("friction", *(name for name, limit in LIMITS.items() if limit.group == "judgement"))  # nobody but he knows


@dataclass(frozen=True)
class Design:
    """Everything the builder chooses. SI units; texts are free. Raises ValueError for a value outside `LIMITS`.

    sheet : kind of sheet; the same on both sides
    sheet_thickness : measured [m]
    free_length : land end to front edge, along the sheet [m]
    land_length : width of the bonded strip [m]
    bond_line : thickness of the adhesive between the sheets [m]
    spacer_diameter : outside [m]
    setback : front-most point of the rod back from the sheet ends [m]; negative: the rod stands proud
    span : length of the part along the trailing edge [m]
    frame_width : of the closing frame at each end [m]
    spacer_wall : of the tube [m]; 0: a solid rod
    friction : between sheet and rod [-]
    toughness_margin : the joint's toughness is divided by it [-]
    close_share : a reserve that exceeds what is needed by less is called close [-]
    pressure : on one face, that the framed sheet is checked for [Pa]
    deflection_share : greatest deflection under it over the length from land to rod [-]
    service_stress : compressive stress along the span that the skin must bear without buckling [Pa]
    adhesive, spacer, resin : of the land, of the rod, of the potting
    modulus_rule : which modulus resists bending along the chord: "by width" (chosen by span over thickness), "wide
        sheet" or "narrow strip"
    title, purpose, made_by, ident, issued : texts
    inside : inner ribs and solid zones, of the potting resin; see `study.inside`
    settled : names of `JUDGED` whose default the builder has made his own; any other value is his without being listed

    >>> from panelmech import Design, catalogue
    >>> from panelmech.units import show
    >>> part = Design(catalogue["glass-epoxy laminate, lengthwise"], 0.002, 0.225, 0.015, spacer_diameter=0.018)
    >>> show(part.developed_length, "mm"), part.replace(sheet_thickness=0.0025).input_hash() == part.input_hash()
    ('240.0 mm', False)
    """

    sheet: Sheet
    sheet_thickness: float
    free_length: float
    land_length: float
    bond_line: float = 0.3e-3
    spacer_diameter: float = 18e-3
    setback: float = 3e-3
    span: float = 0.85
    frame_width: float = 15e-3
    spacer_wall: float = 1.5e-3
    friction: float = 0.3
    toughness_margin: float = 2.0
    close_share: float = 0.25
    pressure: float = 2000.0
    deflection_share: float = 0.01
    service_stress: float = 5e6
    adhesive: Adhesive = field(default_factory=lambda: catalogue.adhesives["brittle epoxy paste"])
    spacer: Spacer = field(default_factory=lambda: catalogue.spacers["aluminium tube 6061-T6"])
    resin: Resin = field(default_factory=lambda: catalogue.resins["epoxy, unfilled"])
    modulus_rule: str = "by width"
    title: str = "bent panel"
    purpose: str = ""
    made_by: str = ""
    ident: str = ""
    issued: str = ""
    settled: tuple[str, ...] = ()
    inside: Inside = Inside()

    def __post_init__(self):
        for name in LIMITS:
            object.__setattr__(self, name, LIMITS[name].read(getattr(self, name)))
        object.__setattr__(self, "settled", settled_in_order(self.settled, JUDGED, self))
        for name, kind in _MATERIALS.items():
            if not isinstance(getattr(self, name), kind):
                raise ValueError(
                    f"{name} is {getattr(self, name)!r}: give one of the catalogue's "
                    f"{name}s, or one of your own ({kind.__name__})"
                )
        for name in TEXTS:
            read_text(getattr(self, name), name)
        read_choice(self.modulus_rule, "modulus_rule", MODULUS_RULES)
        if not isinstance(self.inside, Inside):
            raise ValueError(f"inside is {self.inside!r}: give an Inside of ribs and zones")
        self._check_fit()

    def _check_fit(self):
        if 2 * self.frame_width >= self.span:
            raise ValueError(
                f"closing frame {show_input(self.frame_width, 'mm')} at each end leaves nothing of the "
                f"span, {show_input(self.span, 'mm')}: make the frames narrower or the span longer"
            )
        if wall_too_thick(self.spacer_wall, self.spacer_diameter):
            raise ValueError(
                f"spacer wall {show_input(self.spacer_wall, 'mm')} is more than half the spacer diameter, "
                f"{show_input(self.spacer_diameter, 'mm')}: give a thinner wall, or 0 for a solid rod"
            )
        if why := self.inside.why_not(self.span, self.frame_width):
            raise ValueError(why)

    def replace(self, **changes) -> Design:
        """A new design with some fields changed; unknown names raise ValueError."""
        return changed(self, changes, "a design")

    def untouched(self, *names: str) -> tuple[str, ...]:
        """Those of `names` (all of `JUDGED` if none is given) that stand at a default nobody has made his own."""
        return untouched(self, names or JUDGED)

    def bend(self) -> Bend:
        """The bent shape; raises InfeasibleBend with the reason where there is none."""
        return solve_bend(self.free_length, self.sheet_thickness, self.spacer_diameter, self.bond_line, self.setback)

    def wedge(self) -> Wedge:
        """The flat wedge of the same sheets, rod, bond line and setback."""
        return solve_wedge(self.free_length, self.sheet_thickness, self.spacer_diameter, self.bond_line, self.setback)

    @property
    def developed_length(self) -> float:
        """Length of each blank along the chord: land + free length [m]."""
        return self.land_length + self.free_length

    @property
    def filled(self) -> tuple[Stretch, ...]:
        """Inner ribs and solid zones as they are filled, in order along the span, beside the closing frames."""
        return self.inside.stretches(self.span, self.frame_width)

    @property
    def bays(self) -> tuple[Stretch, ...]:
        """The hollow stretches between closing frames, ribs and zones, in order along the span."""
        return self.inside.bays(self.span, self.frame_width)

    def input_hash(self) -> str:
        """Twelve hexadecimal digits that change with any input in its first twelve digits, material values included."""
        return short_hash(json.dumps(plain_inputs(self), sort_keys=True, ensure_ascii=False))

    def save(self, path) -> None:
        """Write a study file, all or nothing: a crash or a full disk leaves the old file as it was."""
        write_study(path, self)

    @classmethod
    def load(cls, path) -> Design:
        """Read a study file; ValueError names the file, the field and what is allowed. Stored results are ignored."""
        return read_study(path)[0]


def settled_in_order(settled, judged, record) -> tuple[str, ...]:
    """The names of `judged` that are `settled`, in its order; those whose value is no default any more are left out.

    ValueError for anything but names of `judged`.
    """
    unknown = [name for name in settled if name not in judged] if isinstance(settled, list | tuple) else [settled]
    if unknown:
        raise ValueError(f"settled is {unknown[0]!r}: give names of {', '.join(judged)}")
    return tuple(name for name in judged if name in settled and _at_default(record, name))


def untouched(record, names) -> tuple[str, ...]:
    """Those of the fields `names` of a record that stand at their default and are not among its `settled` ones."""
    return tuple(name for name in names if _at_default(record, name) and name not in record.settled)


def wall_too_thick(spacer_wall, spacer_diameter):
    """Whether a wall is more than half the rod's diameter [m], floats or arrays."""
    return spacer_wall > 0.5 * spacer_diameter * (1.0 + 1e-12)  # a last bit may be lost in a study file


def _at_default(record, name):
    kind: Any = type(record)
    default = _defaults(kind)[name]
    return abs(getattr(record, name) - default) <= 1e-12 * abs(default)


@cache
def _defaults(kind) -> dict[str, Any]:
    return {f.name: f.default for f in fields(kind)}


def _kept_fields(by_name=True):
    """{field: how it stands in a study file}, in the order of the file."""
    return {
        **dict.fromkeys(TEXTS, TEXT),
        **{name: number(limit.unit) for name, limit in LIMITS.items()},
        "modulus_rule": TEXT,
        **{name: Bought(f"{name}s", by_name) for name in _MATERIALS},
        "settled": Listed(TEXT, spare=True),
        "inside": KEPT_INSIDE,
    }


KEPT_DESIGN = Nested(Design, _kept_fields())  # how a design stands in a file


def to_entry(design: Design, by_name: bool = True) -> dict:
    """The design as plain values with units in the keys. Materials that stand in the catalogue are given by name."""
    return to_plain(design, KEPT_DESIGN.fields if by_name else _kept_fields(by_name))


def plain_inputs(design: Design) -> dict:
    """Every input as a plain value, the values of stock written out, numbers to twelve digits."""
    return _rounded(to_entry(design, by_name=False))


def from_entry(entry: dict, where: str = "design") -> Design:
    """The inverse of `to_entry`, strict: unknown keys, wrong types and missing keys are refused by name."""
    return KEPT_DESIGN.read(entry, (), where)


def write_study(path, design: Design, results: dict | None = None) -> None:
    """Write design, and optionally results to check against later, to a study file (see `Design.save`)."""
    write_atomically(path, study_text(design, results))


def study_text(design: Design, results: dict | None = None) -> str:
    """The text of a study file."""
    stored = {} if results is None else {"results": results}
    return file_text(FORMAT, SCHEMA, {"design": to_entry(design), **stored})


def read_study(path) -> tuple[Design, dict | None]:
    """Design and stored results (or None) of a study file; ValueError for anything that is not one."""

    def take(content):
        refuse_unknown(content, ("design", "results"), "study")
        return from_entry(content.get("design")), _results(content.get("results"))

    return read_file(path, "study", FORMAT, SCHEMA, take)


def _results(results):
    if results is not None and not isinstance(results, dict):
        raise ValueError(f"results is {results!r}: give a table")
    return results


def _rounded(entry):
    """The entry with every number to twelve digits: a last bit lost between units must not change the hash."""
    if isinstance(entry, dict):
        return {key: _rounded(value) for key, value in entry.items()}
    if isinstance(entry, list | tuple):
        return [_rounded(value) for value in entry]
    return float(f"{entry:.12g}") if isinstance(entry, float) else entry
