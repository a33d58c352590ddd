"""Moduli from the readings of one file: which bench tests were done, what is missing, what nobody measured.

The tests themselves are in `measured.strips`. Two tests of one sheet count together, weighted by how sure each is of
the sheet's bending stiffness (`measured.one_pass`), since they share the thickness and the strip.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ..mechanics.forming import WIDE_FROM, bending_modulus
from ..study.design import Design
from .inspection import SheetReadings
from .readings import KINDS, SHEETS, Readings, whose
from .strips import GRAVITY as GRAVITY
from .strips import cantilever_droop as cantilever_droop
from .strips import cantilever_end as cantilever_end
from .strips import droop, opened_pair, three_point
from .strips import linear_droop as linear_droop
from .strips import linear_three_point as linear_three_point
from .worth import Measured, NotSureYet, Reading

METHODS = {"three-point": "strip on two supports", "droop": "strip over an edge", "opened": "closed pair, opened"}
STRIP = "thickness of the strip"
DENSITY = 0.05  # of the catalogue's density: how far that of a sheet may be off (common practice, no source)


@dataclass(frozen=True)
class ModulusTest:
    """Young's modulus along the bend from one bench test [Pa]: `sheet` "A", "B" or "pair", `method` of `METHODS`,
    `result`; `own_thickness`: the strip was measured by itself; `readings`: kind and reading behind each name of the
    result's contributions."""

    sheet: str
    method: str
    result: Measured
    own_thickness: bool
    readings: dict = field(default_factory=dict)


def sheet_readings(readings: Readings, sheet: str) -> SheetReadings:
    """Thickness, bow and twist of one sheet. The marked half of the thickness readings is that with the lesser places;
    one in the middle counts to it. Bow and twist that were not measured count as none."""
    rows = readings.of("thickness", sheet)
    if not rows:
        raise NotSureYet(f"sheet {sheet}: no thickness readings; give six or more, some towards each end")
    places = np.array([r.place for r in rows])
    middle = 0.5 * (places.min() + places.max())
    marked = places <= middle + 1e-12
    values = np.array([r.value for r in rows])
    bows = [readings.reading(f"bow, marked face {way}", sheet) for way in ("up", "down")]
    base, twist = readings.reading("bow base", sheet), readings.reading("twist", sheet)
    if any(bows) and base is None:
        raise NotSureYet(f"sheet {sheet}: bow is given, but not the length over which it was read")
    told = all(bows)  # one side alone does not tell bow from sag
    up, down = (b.mean if told else 0.0 for b in bows)
    return SheetReadings(
        f"sheet {sheet}",
        tuple(values[marked]),
        tuple(values[~marked]),
        up,
        down,
        twist.mean if twist else 0.0,
        base.mean if base else 1.0,
        readings.reading("thickness", sheet).resolution,
        0.5 * float(np.hypot(*(b.uncertainty for b in bows))) if told else 0.0,
        base.uncertainty if base else 0.0,
    )


def unmeasured_bow(readings: Readings):
    """Words for every bow that is still to be measured."""
    for sheet in SHEETS:
        lacking = [way for way in ("up", "down") if not readings.of(f"bow, marked face {way}", sheet)]
        if lacking:
            yield f"sheet {sheet}: bow with the marked face {' and '.join(lacking)}; taken as flat until then"


def unmeasured_moduli(tests):
    """Words for every sheet whose modulus is still to be measured."""
    for sheet in SHEETS:
        if not any(t.sheet == sheet for t in tests):
            yield f"sheet {sheet}: Young's modulus, by a strip on two supports or over an edge; taken alike until then"


def modulus_tests(design: Design, readings: Readings, sheets) -> tuple[tuple, tuple]:
    """(every modulus that the readings give, what is missing for one that was begun)."""
    done, missing = [], []
    for name, sheet in zip(SHEETS, sheets, strict=True):
        for method, test in (("three-point", _three_point), ("droop", _droop)):
            outcome = test(design, readings, name, sheet)
            if isinstance(outcome, ModulusTest):
                done.append(outcome)
            elif outcome:
                missing.append(f"sheet {name}, {METHODS[method]}: {', '.join(outcome)}")
    force = readings.reading("opening force", "pair")
    if force is not None:
        done.append(_opened(design, force, sheets))
    return tuple(done), tuple(missing)


def _gathered(readings, sheet, kinds):
    """(readings by kind, labels of what is missing, whether any is there)."""
    got = {kind: readings.reading(kind, sheet) for kind in kinds}
    return got, [KINDS[kind].label for kind in kinds if not got[kind]], any(got.values())


def _strip_thickness(readings, sheet, name, method):
    own = readings.reading(f"{method} thickness", name)
    return Reading(STRIP, sheet.points, sheet.resolution) if own is None else own, own is not None


def _poisson(design, width, thickness):
    """Poisson's ratio of a wide strip, zero of a narrow one; a strip of unknown width counts as wide."""
    return design.sheet.poisson if width is None or width.mean >= WIDE_FROM * thickness.mean else 0.0


def _three_point(design, readings, name, sheet):
    kinds = [f"three-point {what}" for what in ("force", "deflection", "span", "width")]
    got, missing, begun = _gathered(readings, name, kinds)
    if missing:
        return missing if begun else None
    thickness, own = _strip_thickness(readings, sheet, name, "three-point")
    radius = readings.reading("three-point support radius", name)
    poisson = _poisson(design, got[kinds[3]], thickness)
    inputs, used = [*got.values(), thickness], [*kinds, "three-point thickness"]
    round_ones = radius is not None and radius.mean > 0.0
    result = _worked_out(name, "three-point", three_point, *inputs, radius if round_ones else 0.0, poisson)
    if round_ones:
        inputs, used = [*inputs, radius], [*used, "three-point support radius"]
    return ModulusTest(name, "three-point", result, own, _behind(used, inputs))


def _droop(design, readings, name, sheet):
    got, missing, begun = _gathered(readings, name, kinds := ["droop", "droop overhang"])
    weight, width = (readings.reading(f"droop {what}", name) for what in ("end weight", "width"))
    if weight and not width:
        missing = [*missing, "width of the strip, since a weight hangs from it"]
    if missing:
        return missing if begun else None
    thickness, own = _strip_thickness(readings, sheet, name, "droop")
    density = readings.reading("droop density", name) or catalogue_density(design)
    poisson = _poisson(design, width, thickness)
    loaded = (weight, width) if weight else ()
    inputs = (*got.values(), thickness, density, *loaded)
    result = _worked_out(name, "droop", droop, *inputs, wide_poisson=poisson)
    used = [*kinds, "droop thickness", "droop density", *(["droop end weight", "droop width"] if loaded else [])]
    return ModulusTest(name, "droop", result, own, _behind(used, inputs))


def _behind(kinds, inputs):
    """{name of a reading: (its kind, itself)}."""
    return {reading.name: (kind, reading) for kind, reading in zip(kinds, inputs, strict=True)}


def catalogue_density(design: Design) -> Reading:
    """Density of a sheet that nobody weighed [kg/m3]: the catalogue's, within a band of `DENSITY` of it."""
    density = design.sheet.density
    return Reading("density of the sheet", (density,), band=DENSITY * density)


def _opened(design, force, sheets):
    """The modulus of both sheets together, at the design's spacer, free length and span, taken as exact."""
    thickness = Reading(STRIP, tuple(p for s in sheets for p in s.points), max(s.resolution for s in sheets))
    exact = [Reading(n, (getattr(design, n.replace(" ", "_")),)) for n in ("span", "free length", "spacer diameter")]
    inputs = (force, *exact[:2], thickness, exact[2])
    wide = _worked_out("pair", "opened", opened_pair, *inputs, design.bond_line, design.setback)
    factor = 1.0 / wide_factor(design, thickness.mean)
    parts = {name: factor * part for name, part in wide.contributions.items()}
    narrow = Measured(factor * wide.value, factor * wide.uncertainty, parts, wide.notes, wide.details)
    return ModulusTest("pair", "opened", narrow, False)


def _worked_out(sheet, method, test, *inputs, **settings):
    """A test's result; what is wrong with it is said with the sheet and the method."""
    try:
        return test(*inputs, **settings)
    except ValueError as error:
        raise ValueError(f"{whose(sheet)}, {METHODS[method]}: {error}") from None


def wide_factor(design: Design, thickness: float) -> float:
    """Modulus that resists bending in the part over Young's modulus [-]."""
    width = {"by width": design.span, "wide sheet": np.inf, "narrow strip": 0.0}[design.modulus_rule]
    return float(bending_modulus(1.0, design.sheet.poisson, width, thickness)[0])


def remarks(test: ModulusTest):
    """What the method remarks on a test's readings."""
    return (f"{whose(test.sheet)}, {METHODS[test.method]}: {note}" for note in test.result.notes)
