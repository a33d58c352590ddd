"""Moduli from the readings of one file: which bench tests were done, what is missing, and which of them counts.

The tests themselves are in `measured.modulus_tests`. Of two tests of one sheet that with the smaller relative
uncertainty counts, and the other is a check on it: they share the thickness, so a weighted mean would look surer than
it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.forming import WIDE_FROM, bending_modulus
from ..study.design import Design
from .inspection import SheetReadings
from .modulus_tests import droop, opened_pair, three_point
from .readings import KINDS, SHEETS, Readings, whose
from .uncertainty import Measured, Reading

METHODS = {"three-point": "strip on two supports", "droop": "strip over an edge", "opened": "closed pair, opened"}
SURE = 2.0  # standard uncertainties that make a verdict sure: about 95 % (JCGM 100:2008, 6.3.3)
STRIP = "thickness of the strip"


@dataclass(frozen=True)
class ModulusTest:
    """Young's modulus along the bend from one bench test [Pa]: `sheet` "A", "B" or "pair", `method` of `METHODS`,
    `result`; `own_thickness`: the strip was measured by itself."""

    sheet: str
    method: str
    result: Measured
    own_thickness: bool

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty for use with the sheet's thickness [Pa]: where the strip's thickness is the sheet's, it
        is left out, for it cancels in E t^3."""
        parts = {k: v for k, v in self.result.contributions.items() if self.own_thickness or k != STRIP}
        return float(np.sqrt(sum(v**2 for v in parts.values())))


def sheet_readings(readings: Readings, sheet: str) -> SheetReadings:
    """Thickness, bow and twist of one sheet. The marked half of the thickness readings is that with the lesser places;
    one in the middle counts to it. Bow and twist that were not measured count as none."""
    rows = readings.of("thickness", sheet)
    if not rows:
        raise ValueError(f"sheet {sheet}: no thickness readings; give six or more, some towards each end")
    places = np.array([r.place for r in rows])
    middle = 0.5 * (places.min() + places.max())
    marked = places <= middle + 1e-12
    values = np.array([r.value for r in rows])
    bows = [readings.reading(f"bow, marked face {way}", sheet) for way in ("up", "down")]
    base, twist = readings.reading("bow base", sheet), readings.reading("twist", sheet)
    if any(bows) and base is None:
        raise ValueError(f"sheet {sheet}: bow is given, but not the length over which it was read")
    up, down = (b.mean if b else 0.0 for b in bows)
    if bows[0] is None or bows[1] is None:
        up = down = 0.0  # one side alone does not tell bow from sag
    return SheetReadings(
        f"sheet {sheet}",
        tuple(values[marked]),
        tuple(values[~marked]),
        up,
        down,
        twist.mean if twist else 0.0,
        base.mean if base else 1.0,
        max(r.resolution for r in rows),
    )


def unmeasured_bow(readings: Readings):
    """Words for every bow that is still to be measured."""
    for sheet in SHEETS:
        lacking = [way for way in ("up", "down") if not readings.of(f"bow, marked face {way}", sheet)]
        if lacking:
            yield f"sheet {sheet}: bow with the marked face {' and '.join(lacking)}; taken as flat until then"


def modulus_tests(design: Design, readings: Readings, sheets) -> tuple[tuple, tuple]:
    """(every modulus that the readings give, what is missing for one that was begun)."""
    found, missing = [], []
    for name, sheet in zip(SHEETS, sheets, strict=True):
        for method, test in (("three-point", _three_point), ("droop", _droop)):
            outcome = test(design, readings, name, sheet)
            if isinstance(outcome, ModulusTest):
                found.append(outcome)
            elif outcome:
                missing.append(f"sheet {name}, {METHODS[method]}: {', '.join(outcome)}")
    force = readings.reading("opening force", "pair")
    if force is not None:
        found.append(_opened(design, force, sheets))
    return tuple(found), tuple(missing)


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
    result = _named(
        name,
        "three-point",
        lambda: three_point(
            *got.values(), thickness, radius.mean if radius else 0.0, _poisson(design, got[kinds[3]], thickness)
        ),
    )
    return ModulusTest(name, "three-point", result, own)


def _droop(design, readings, name, sheet):
    got, missing, begun = _gathered(readings, name, ["droop", "droop overhang"])
    weight, width = (readings.reading(f"droop {what}", name) for what in ("end weight", "width"))
    if weight and not width:
        missing = [*missing, "width of the strip, since a weight hangs from it"]
    if missing:
        return missing if begun else None
    thickness, own = _strip_thickness(readings, sheet, name, "droop")
    density = readings.reading("droop density", name) or Reading("density of the sheet", (design.sheet.density,))
    poisson = _poisson(design, width, thickness)
    loaded = (weight, width) if weight else ()
    result = _named(name, "droop", lambda: droop(*got.values(), thickness, density, *loaded, wide_poisson=poisson))
    return ModulusTest(name, "droop", result, own)


def _opened(design, force, sheets):
    """The modulus of both sheets together, at the design's spacer, free length and span, taken as exact."""
    thickness = Reading(STRIP, tuple(p for s in sheets for p in s.points), max(s.resolution for s in sheets))
    exact = [Reading(n, (getattr(design, n.replace(" ", "_")),)) for n in ("span", "free length", "spacer diameter")]
    found = _named(
        "pair",
        "opened",
        lambda: opened_pair(force, exact[0], exact[1], thickness, exact[2], design.bond_line, design.setback),
    )
    factor = 1.0 / wide_factor(design, thickness.mean)
    parts = {name: factor * part for name, part in found.contributions.items()}
    scaled = Measured(factor * found.value, factor * found.uncertainty, parts, found.notes, found.details)
    return ModulusTest("pair", "opened", scaled, False)


def _named(sheet, method, work):
    """A test's result; what is wrong with it is said with the sheet and the method."""
    try:
        return work()
    except ValueError as error:
        raise ValueError(f"{whose(sheet)}, {METHODS[method]}: {error}") from None


def used_tests(tests) -> tuple:
    """The test with the least uncertainty for A and for B; neither counts unless both were measured."""
    best = []
    for sheet in SHEETS:
        own = [t for t in tests if t.sheet == sheet]
        best.append(min(own, key=lambda t: t.result.relative) if own else None)
    return tuple(best) if all(best) else (None, None)


def wide_factor(design: Design, thickness: float) -> float:
    """Modulus that resists bending in the part over Young's modulus [-]."""
    width = {"by width": design.span, "wide sheet": np.inf, "narrow strip": 0.0}[design.modulus_rule]
    return float(bending_modulus(1.0, design.sheet.poisson, width, thickness)[0])


def disagreements(tests):
    """Two tests of one sheet that differ by more than their uncertainties allow."""
    for sheet in SHEETS:
        own = [t for t in tests if t.sheet == sheet]
        if len(own) == 2:
            gap = abs(own[0].result.value - own[1].result.value) / np.hypot(*(t.result.uncertainty for t in own))
            if gap > SURE:
                yield (
                    f"the two tests of sheet {sheet} differ by {gap:.1f} of their combined standard uncertainty, more "
                    "than 2: look for a wrong reading"
                )


def remarks(test: ModulusTest):
    """What the method remarks on a test's readings."""
    return (f"{whose(test.sheet)}, {METHODS[test.method]}: {note}" for note in test.result.notes)
