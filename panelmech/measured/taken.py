"""What is taken where nothing was measured: steps that are not given, readings taken once, moduli and bows of nobody.

Each has a sentence that says what is taken, on what basis, and which reading would take its place. What was typed
stands.
"""

from __future__ import annotations

from ..study.study import stock_range
from ..units import show, show_input, to_si
from .modulus_tests import DENSITY
from .one_pass import BOW, MODULUS, STRIP_OF, UNMEASURED_BOW, OnePass, known_kind
from .readings import KINDS, SHEETS, Readings, named

BASIS = "common practice, no source"


def taken_words(inputs: OnePass, readings: Readings):
    """A sentence without its stop for everything that is taken."""
    yield from _unmeasured(inputs)
    counted = {kind: [] for kind in KINDS}
    for kind, sheet in filter(known_kind, inputs.inputs):
        counted[kind] += [s for s in (SHEETS if sheet == "pair" else (sheet,)) if readings.of(kind, s)]
    yield from _steps(counted, readings)
    yield from _once(counted, readings)


def _unmeasured(inputs):
    design, keys = inputs.design, inputs.inputs
    for words, what in ((_of(keys, MODULUS), "modulus"), (_of(keys, BOW), "bow"), (_of(keys, STRIP_OF), "strip")):
        if not words:
            continue
        if what == "modulus":
            share = show(stock_range(design).modulus, "%", 2)
            yield (
                f"Young's modulus of {words} is not measured: that of {design.sheet.name} in the catalogue is taken "
                f"for each sheet by itself, within {share} either way ({BASIS}, as for the scatter of many parts): "
                "test a strip of each sheet on two supports or over an edge"
            )
        elif what == "bow":
            high = show_input(UNMEASURED_BOW * design.developed_length, "mm", 2)
            over = show_input(design.developed_length, "mm", 4)
            yield (
                f"the bow of {words} is not measured: it is taken as flat to within {high} over {over} either way "
                f"({BASIS}): read the gap under the middle on a flat bench with either face up"
            )
        else:
            yield (
                f"the thickness of the strip cut from {words} is not measured: it may be that of any one point of its "
                "sheet: measure the strip itself, where it bends"
            )
    if any(kind == "droop density" and reading.band for (kind, _), reading in keys.items()):
        yield (
            f"the density of the sheet is not measured: that of {design.sheet.name} in the catalogue is taken, within "
            f"{show(DENSITY, '%', 2)} either way ({BASIS}): weigh a piece and measure it"
        )


def _of(keys, what):
    """The sheets of one kind of input in words, "" for none."""
    return " and ".join(f"sheet {sheet}" for kind, sheet in keys if kind == what)


def _steps(counted, readings):
    """Of every kind without a step."""
    for kind, sheets in counted.items():
        lacking = [s for s in sheets if readings.no_step(kind, s)]
        if lacking:
            tool, unit = KINDS[kind].tool, KINDS[kind].unit
            yield (
                f"no step is given with the {named(kind)} of {' and '.join(f'sheet {s}' for s in lacking)}: "
                f"{show_input(to_si(tool.step, unit), unit)} is taken, that of {tool.name} ({BASIS}); type the step of "
                "your instrument"
            )


def _once(counted, readings):
    """Of everything that was read once."""
    found = []
    for kind, sheets in counted.items():
        once = [s for s in sheets if len(readings.of(kind, s)) == 1]
        if once:
            tool, unit = KINDS[kind].tool, KINDS[kind].unit
            found.append(
                f"{named(kind)} of {' and '.join(f'sheet {s}' for s in once)}, "
                f"{show_input(to_si(tool.repeat, unit), unit)}"
            )
    if found:
        yield (f"read once only, and taken to repeat as stated (one standard deviation; {BASIS}): {'; '.join(found)}")
