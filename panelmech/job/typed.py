"""A new design from what is typed: the six first inputs, and any other, each with its unit, as a builder writes it."""

from __future__ import annotations

from dataclasses import replace

from ..entries import read_entry
from ..materials.stock import Catalogue, catalogue
from ..study.design import JUDGED, LIMITS, Design
from ..study.given import with_given
from ..study.typed_inside import TYPED
from ..units import show_input

FINISHED = {"chord": "finished chord", "outer_thickness": "outer thickness at the front"}
FIRST = ("sheet", "sheet_thickness", "free_length", "spacer_diameter", "setback", "span")
INSTEAD = {"free_length": "chord", "spacer_diameter": "outer_thickness"}  # what may be given in the place of an input
MATERIALS = {"sheet": "sheets", "adhesive": "adhesives", "spacer": "spacers", "resin": "resins"}


def missing(texts: dict) -> tuple:
    """Those of `FIRST` that are not given, nor what may stand for them."""
    return tuple(name for name in FIRST if name not in texts and INSTEAD.get(name) not in texts)


def read_input(name: str, text: str, stock: Catalogue = catalogue):
    """(value [SI] or record, what was understood in words) of one input as typed; ValueError, in words."""
    if name in MATERIALS:
        record = _of_stock(getattr(stock, MATERIALS[name]), text)
        return record, record.name
    if name in FINISHED:
        value = read_entry(text, FINISHED[name], "mm", above=0.0).value
        return value, show_input(value, "mm")
    if name in TYPED:
        records = TYPED[name].read(text)
        return records, TYPED[name].text(records, unit=True)
    limit = LIMITS[name]
    value = read_entry(text, limit.label, limit.unit, *limit.range).value
    return value, show_input(value, limit.unit)


def _of_stock(shelf, text):
    """The record of a name, whatever its capitals, or of the one name that holds these words."""
    plain = text.strip().casefold()
    same = [name for name in shelf if name.casefold() == plain]
    holding = [name for name in shelf if plain and plain in name.casefold()]
    return shelf[next(iter(same or (holding if len(holding) == 1 else ())), text.strip())]


def design_typed(base: Design, values: dict) -> Design:
    """A design with inputs put in the place of those of a base, each as of `read_input` [SI]; a chord or an outer
    thickness sets the free length or the spacer that gives it. What is typed is one's own, even where it is a default.

    ValueError, in words, where both an input and what stands for it are given, or what does not fit together;
    InfeasibleBend where the finished size cannot be reached.
    """
    for name, instead in INSTEAD.items():
        if name in values and instead in values:
            raise ValueError(f"both {LIMITS[name].label} and {FINISHED[instead]} are given: give one of them")
    finished = {name: values[name] for name in FINISHED if name in values}
    inside = {name: values[name] for name in TYPED if name in values}
    own = (*base.settled, *(name for name in values if name in JUDGED))
    sizes = {name: value for name, value in values.items() if name not in (*finished, *inside)}
    design = base.replace(settled=own, inside=replace(base.inside, **inside), **sizes)
    return with_given(design, **finished) if finished else design
