"""Which readings are to be doubted: slips of the pen, unlike repeats, places off the part, moduli that no sheet has.

A doubt is no error. A doubtful reading does not count until it is put right or confirmed (`readings.Row.confirmed`),
and until then the verdict on the pair is "not sure yet". The rules are wide: they find a wrong decimal point or a wrong
unit, not a careless reading. Where no source is named, the width of a rule is common practice.

Not found: a slip of a reading that nothing else tells of and that changes next to nothing (the radius of the supports,
a twist or a bow near zero, a light weight on a heavy strip).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import numpy as np

from ..files import few
from ..materials.stock import catalogue
from ..study.design import Design
from ..units import format_number, from_si, show, show_input, to_si
from .inspection import LEAST_POINTS, SheetReadings
from .modulus_tests import GRAVITY, linear_droop, linear_three_point, modulus_tests, sheet_readings
from .offsets import FACES, predict_offsets
from .readings import KINDS, SHEETS, Readings, named

SLIPS = tuple(f for step in (10.0, 25.4, 100.0, 1000.0) for f in (step, 1.0 / step))  # decimal point, inch, cm, m
CUTOFF = 3.5  # modified z-score of Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993)
NORMAL = 1.4826  # standard deviation over median absolute deviation of a normal distribution
REPEATS = 0.02  # of their median: what careful repeats scatter at least, whatever their own scatter says
THICKNESS = (2.0, 0.15, 0.25, 0.5)  # times the catalogue's tolerance; share at least, where none is known, at most
OFF = 0.5  # share by which density and the part as built may be off what is known or predicted
LEAST_OFF = 5e-4  # m; an offset may be off by this, however small it is
BEYOND = 0.02  # of a length: how far beyond its end a place still counts as the end
BASE = (0.25, 2.0)  # of the developed length; sheets may be read before they are cut
FLAT = 0.05  # of the length it is read over: more bow or twist has no sheet sold as flat
MODULUS = 3.0  # times, or a third, of the catalogue's modulus
_listed = partial(few, most=3)  # values named one by one


@dataclass(frozen=True)
class Doubt:
    """Readings of one kind on one sheet that do not count until put right or confirmed.

    measured, sheet : which, as in `readings.Row`
    rows : their places among `Readings.of(measured, sheet)`
    words : what came in, why it is doubted, what may be meant
    suggestion : what may be meant, one for each of `rows` [SI]; empty where nothing suggests itself
    """

    measured: str
    sheet: str
    rows: tuple
    words: str
    suggestion: tuple = ()

    @property
    def line(self) -> str:
        """The doubt with the name of the reading."""
        return f"{named(self.measured, self.sheet)}: {self.words}"


@dataclass(frozen=True)
class Examined:
    """Readings, seen through.

    doubts : `Doubt`s, in the order of the rules
    counted : the readings without those in doubt
    tests, missing : as of `modulus_tests`, without tests in doubt
    """

    doubts: tuple
    counted: Readings
    tests: tuple
    missing: tuple


def doubts(readings: Readings, design: Design) -> tuple[Doubt, ...]:
    """Every doubt about the readings of a pair that is to become a design; confirmed readings are never doubted.

    >>> from panelmech.job import demo
    >>> doubts(demo().readings, demo().design.replace(sheet_thickness=0.003))[0].words
    '2.06 mm, 2.05 mm, 2.04 mm and 3 more for a sheet of 3 mm: is that right?'
    """
    return examine(readings, design).doubts


def examine(readings: Readings, design: Design) -> Examined:
    """Doubts, and what counts without the readings in doubt."""
    left = _Left(readings)
    for rule in (_near_design, _places, _flatness, _sag, _built, _offsets, _repeats):
        left.take(rule(left, design))
    tests, missing = [], []
    sheets = tuple(_sheet(left.counted(), name, design) for name in SHEETS)
    for sheet, method in (*((s, m) for s in SHEETS for m in ("three-point", "droop")), ("pair", "opened")):
        found = _test_doubts(left, design, sheets, sheet, method)
        if isinstance(found, Doubt):
            left.take([found])
        else:
            tests, missing = [*tests, *found[0]], [*missing, *found[1]]
    return Examined(tuple(left.doubts), left.counted(), tuple(tests), tuple(missing))


class _Left:
    """Readings of which those in doubt are taken out, one rule after the other."""

    def __init__(self, readings):
        self.readings, self.doubts, self._out = readings, [], set()

    def take(self, found):
        for doubt in found:
            self.doubts.append(doubt)
            self._out.update((doubt.measured, doubt.sheet, i) for i in doubt.rows)

    def of(self, measured, sheet):
        """[(place among its kind, row)] of what still counts."""
        rows = enumerate(self.readings.of(measured, sheet))
        return [(i, row) for i, row in rows if (measured, sheet, i) not in self._out]

    def mean(self, measured, sheet):
        """Mean of what still counts [SI]; nan where there is nothing."""
        values = [row.value for _, row in self.of(measured, sheet)]
        return float(np.mean(values)) if values else math.nan

    def counted(self):
        seen, rows = {}, []
        for row in self.readings.rows:
            key = row.measured, row.sheet
            seen[key] = seen.get(key, -1) + 1
            if (*key, seen[key]) not in self._out:
                rows.append(row)
        return self.readings if not self._out else Readings(rows)


def _each(kinds):
    """(kind, sheet) of each of these kinds."""
    return ((name, sheet) for name in kinds for sheet in KINDS[name].on)


def _doubted(measured, sheet, pairs, why, slips=None):
    """One doubt about the rows in `pairs` that something may be meant by, and one about the rest; confirmed rows are
    left out. `slips`: {place: what may be meant [SI]}; `why` follows the values."""
    slips, unit = slips or {}, KINDS[measured].unit
    for meant in (True, False):
        own = [(i, row) for i, row in pairs if (i in slips) == meant and not row.confirmed]
        if own:
            words = f"{_listed([show_input(row.value, unit, 6) for _, row in own])}{why}"
            suggestion = tuple(_plain(slips[i], unit) for i, _ in own) if meant else ()
            ask = f"do you mean {_listed([show_input(v, unit) for v in suggestion])}?" if meant else "is that right?"
            yield Doubt(measured, sheet, tuple(i for i, _ in own), f"{words}: {ask}", suggestion)


def _plain(value, unit):
    """A value [SI] to four digits of its unit."""
    return to_si(float(f"{from_si(value, unit):.4g}"), unit)


def _slip(value, reference, good):
    """What may be meant by a value [SI]: of those a slip away and `good` the nearest to the reference; or None."""
    if not value * reference > 0.0:
        return None
    meant = [value / f for f in SLIPS if good(value / f)]
    return min(meant, key=lambda v: abs(math.log(v / reference)), default=None)


def _some(slips):
    """Those that suggest themselves."""
    return {i: value for i, value in slips.items() if value is not None}


def _off(measured, sheet, pairs, reference, band, why):
    """Doubts about rows off a reference by more than a band, both [SI], floats or {place: float}."""
    at = [(i, row, *(v[i] if isinstance(v, dict) else v for v in (reference, band))) for i, row in pairs]
    wrong = [(i, row) for i, row, ref, wide in at if abs(row.value - ref) > wide]
    slips = {i: _slip(row.value, ref, lambda v, r=ref, w=wide: abs(v - r) <= w) for i, row, ref, wide in at}
    return _doubted(measured, sheet, wrong, why, _some(slips))


# ----- The rules: each takes what still counts, and the design, and gives doubts.


def _near_design(left, design):
    """Thickness against the sheet's, density against the catalogue's."""
    thickness, density = design.sheet_thickness, design.sheet.density
    times, least, unknown, most = THICKNESS
    tolerance = times * float(design.sheet.tolerance_at(thickness))
    share = unknown if math.isnan(tolerance) else min(max(tolerance / thickness, least), most)
    for name, sheet in _each(("thickness", "three-point thickness", "droop thickness")):
        why = f" for a sheet of {show_input(thickness, 'mm', 6)}"
        yield from _off(name, sheet, left.of(name, sheet), thickness, share * thickness, why)
    for name, sheet in _each(("droop density",)):
        why = f" for {design.sheet.name}, {show_input(density, 'kg/m3', 4)} in the catalogue"
        yield from _off(name, sheet, left.of(name, sheet), density, OFF * density, why)


def _places(left, design):
    """Places beyond the part."""
    chord = float(design.bend().free_chord) if any(left.readings.of("offset", s) for s in SHEETS) else math.nan
    ends = {
        "thickness": (-BEYOND * design.span, design.span, "long along the span"),
        "offset": (0.0, chord, "from the land end to its front edge"),
    }
    for name, sheet in _each(ends):
        low, length, words = ends[name]
        beyond = [(i, r) for i, r in left.of(name, sheet) if not low <= r.place <= (1.0 + BEYOND) * length]
        where = _listed([show_input(r.place, "mm", 6) for _, r in beyond if not r.confirmed])
        why = f" at {where}, while the part is {show(length, 'mm', 3)} {words}"
        yield from _doubted(name, sheet, beyond, why)


def _flatness(left, design):
    """The length over which bow is read, and bow and twist against it."""
    low, high = (share * design.developed_length for share in BASE)
    for name, sheet in _each(("bow base",)):
        why = f" for a sheet of {show_input(design.developed_length, 'mm', 4)} along the chord"
        middle = design.developed_length
        wrong = [(i, r) for i, r in left.of(name, sheet) if not low <= r.value <= high]
        slips = {i: _slip(r.value, middle, lambda v: low <= v <= high) for i, r in wrong}
        yield from _doubted(name, sheet, wrong, why, _some(slips))
    for name, sheet in _each(("bow, marked face up", "bow, marked face down", "twist")):
        base = left.mean("bow base", sheet)
        base = design.developed_length if math.isnan(base) or name == "twist" else base
        most = FLAT * base
        wrong = [(i, r) for i, r in left.of(name, sheet) if abs(r.value) > most]
        yield from _doubted(name, sheet, wrong, f" over {show_input(base, 'mm', 4)}, more than any flat sheet has")


def _sag(left, design):
    """Bow read with either face up: half the sum is the sag of the sheet's own weight, and no more."""
    names = ("bow, marked face up", "bow, marked face down")
    stiffness = design.sheet.modulus * design.sheet_thickness**3 / 12.0
    for sheet in SHEETS:
        both, base = [left.of(name, sheet) for name in names], left.mean("bow base", sheet)
        if not all(both) or math.isnan(base):
            continue
        sag = 5.0 / 384.0 * design.sheet.density * GRAVITY * design.sheet_thickness * base**4 / stiffness
        step = max(row.resolution for pairs in both for _, row in pairs)
        most, means = 3.0 * (sag + step) + 3e-4, [float(np.mean([r.value for _, r in pairs])) for pairs in both]
        if abs(0.5 * sum(means)) > most:
            larger = int(abs(means[1]) > abs(means[0]))
            other = means[1 - larger]
            why = f", while the other face has {show_input(other, 'mm', 4)}, and a bow turned over changes its sign"
            meant = {
                i: _slip(r.value, -other, lambda v, o=other, w=most: abs(0.5 * (v + o)) <= w) for i, r in both[larger]
            }
            yield from _doubted(names[larger], sheet, both[larger], why, _some(meant))


def _built(left, design):
    """Outer thickness of the part as built, against the prediction."""
    pairs = left.of("as-built thickness", "pair")
    if pairs:
        predicted = float(design.bend().outer_thickness)
        why = f" where {show(predicted, 'mm', 3)} is predicted"
        yield from _off("as-built thickness", "pair", pairs, predicted, OFF * predicted, why)


def _offsets(left, design):
    """Offsets of the part as built, against the bent shape of two alike sheets."""
    for face, sheet in zip(FACES, SHEETS, strict=False):
        pairs = [(i, row) for i, row in left.of("offset", sheet) if row.place >= 0.0]
        if pairs:
            shape = predict_offsets(design, [r.place for _, r in pairs], [face] * len(pairs))
            reference = {i: float(y) for (i, _), y in zip(pairs, shape, strict=True)}
            band = {i: max(OFF * abs(y), LEAST_OFF) for i, y in reference.items()}
            yield from _off("offset", sheet, pairs, reference, band, ", far from the bent shape there")


def _repeats(left, design):
    """Readings unlike their repeats: the modified z-score, with a floor under the scatter; of two, their difference."""
    for name, sheet in _each(n for n, kind in KINDS.items() if not kind.timed and n != "offset"):
        pairs = left.of(name, sheet)
        values = np.array([row.value for _, row in pairs])
        if len(values) < 2:
            continue
        middle = float(np.median(values))
        floor = max(*(r.resolution for _, r in pairs), REPEATS * abs(middle), 2e-4 if _near_zero(name) else 0.0)
        spread = max(NORMAL * float(np.median(np.abs(values - middle))) if len(values) > 2 else 0.0, floor)
        most = CUTOFF * spread * (math.sqrt(0.5) if len(values) == 2 else 1.0)  # of two, from the middle between them
        wrong = [(i, row) for i, row in pairs if abs(row.value - middle) > most]
        others = f", unlike the {'other' if len(values) == 2 else 'others'}, {_around(values, middle, name)}"
        slips = {i: _slip(r.value, middle, lambda v, m=middle, w=most: abs(v - m) <= w) for i, r in wrong}
        yield from _doubted(name, sheet, wrong, others, _some(slips) if len(values) > 2 else {})


def _near_zero(name):
    return name.startswith("bow, ") or name == "twist"


def _around(values, middle, name):
    if len(values) == 2:
        return f"{format_number(100 * abs(values[1] - values[0]) / abs(middle), 2)} % apart" if middle else "far apart"
    return f"about {show_input(middle, KINDS[name].unit, 3)}"


# ----- A modulus beyond any sheet, and the reading that does it.


def _sheet(readings, name, design):
    """Readings of one sheet; one of the design's thickness where they do not suffice yet."""
    try:
        return sheet_readings(readings, name)
    except ValueError:
        half = (design.sheet_thickness,) * (LEAST_POINTS // 2)
        return SheetReadings(f"sheet {name}", half, half, 0.0, 0.0, 0.0, 1.0)


_INPUTS = {
    "three-point": ("three-point force", "three-point deflection", "three-point span", "three-point width"),
    "droop": ("droop", "droop overhang", "droop end weight", "droop width"),
    "opened": ("opening force",),
}


def _test_doubts(left, design, sheets, sheet, method):
    """The doubt about one bench test, or (tests, missing) of it as of `modulus_tests`."""
    own = Readings(r for r in left.counted().rows if r.sheet == sheet and r.kind.group == method)
    try:
        found = modulus_tests(design, own, sheets)
    except ValueError as error:
        if method == "opened":  # it is the design that cannot be bent
            raise
        doubt = _guilty(left, design, sheets, sheet, method, None, f", but {str(error).split(': ')[1]}")
        if doubt is None:
            raise
        return doubt
    known = _catalogue_modulus(design)
    for test in found[0]:
        value = test.result.value
        if abs(math.log(value / known)) > math.log(MODULUS):
            why = f", and so a modulus of {show(value, 'GPa', 3)}, {_times(value / known, design)}"
            return _guilty(left, design, sheets, sheet, method, value, why) or found
    return found


def _catalogue_modulus(design):
    value = float(design.sheet.modulus_at(design.sheet_thickness))
    return value if math.isfinite(value) else design.sheet.modulus


def _times(ratio, design):
    known = [s.modulus for s in catalogue.sheets.values()]
    value = ratio * _catalogue_modulus(design)
    if not min(known) / MODULUS <= value <= max(known) * MODULUS:
        return "which no sheet has"
    share = f"{format_number(ratio, 2)} times" if ratio > 1.0 else f"{format_number(100 * ratio, 2)} % of"
    return f"{share} that of {design.sheet.name} in the catalogue"


def _guilty(left, design, sheets, sheet, method, value, why):
    """The doubt about the reading that explains a modulus best by a slip, or about the first of the test; None where
    that one is confirmed."""
    trials = sorted(_trials(left, design, sheets, sheet, method, value), key=lambda trial: trial[0])
    best = trials[0] if trials else None
    kind, factor = (best[1], best[2]) if best else (_INPUTS[method][0], 1.0)
    pairs = left.of(kind, sheet)
    others = [KINDS[k].label for k in dict.fromkeys(k for _, k, _ in trials) if k != kind]
    slips = {i: row.value / factor for i, row in pairs} if best else {}
    for doubt in _doubted(kind, sheet, pairs, why, slips):
        more = f" Or look at: {', '.join(others)}." if others else ""
        return Doubt(kind, sheet, doubt.rows, f"{doubt.words}{more}", doubt.suggestion)
    return None


def _trials(left, design, sheets, sheet, method, value):
    """(misfit, kind, slip) of every slip of one reading that would bring the modulus near the catalogue's.

    The misfit is that of the modulus, and of the reading from the same of the other sheet, as logarithms.
    """
    known, means = _catalogue_modulus(design), {kind: left.mean(kind, sheet) for kind in _INPUTS[method]}
    for kind, mean in means.items():
        for factor in SLIPS if not math.isnan(mean) else ():
            modulus = _linear(left, design, sheets, sheet, method, means | {kind: mean / factor}, value)
            misfit = abs(math.log(modulus / known))
            if misfit < math.log(MODULUS):
                other = left.mean(kind, SHEETS[sheet == SHEETS[0]]) if sheet in SHEETS else math.nan
                unlike = 1.0 if math.isnan(other) else abs(math.log(mean / factor / other))
                yield misfit + unlike, kind, factor


def _linear(left, design, sheets, sheet, method, means, value):
    """Modulus by the small-deflection formula with some readings changed [Pa]."""
    if method == "opened":
        force = means["opening force"]
        return value * force / left.mean("opening force", sheet)
    thickness = left.mean(f"{method} thickness", sheet)
    thickness = sheets[SHEETS.index(sheet)].thickness.value if math.isnan(thickness) else thickness
    given = [means[kind] for kind in _INPUTS[method]]
    if method == "three-point":
        return linear_three_point(*given, thickness)
    drop, overhang, weight, width = given
    density = left.mean("droop density", sheet)
    density = design.sheet.density if math.isnan(density) else density
    loaded = () if math.isnan(weight) else (weight, width)
    return linear_droop(drop, overhang, thickness, density, *loaded)
