"""One pass from the readings on the bench to a number of the pair: each reading is one input, by whatever ways it acts.

So what two numbers have in common is counted once, with its sign (JCGM 100:2008, F.1.2.4): the thickness of a sheet,
which makes its stiffness and was in its test; the strip cut from it; the weight, the supports and the density, where
both sheets have the same readings of them, which are then those of one set-up. A modulus is read from its test by the
slopes of its logarithm over those of the readings, exact at the readings and there in its slopes; the bend is exact.
What nobody measured is an input, too, with a band of its own.

Left out, since it is alike in both sheets and cancels but for second order: an error of the gauge's or the ruler's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.forming import bending_stiffness
from ..study.design import Design
from ..study.study import stock_range
from .camber import pair_bend
from .modulus_tests import STRIP, ModulusTest, wide_factor
from .readings import KINDS, SHEETS, Readings, named
from .worth import Measured, Reading, coverage_factor, effective_dof, propagate_several

SET_UP = (
    "three-point force",
    "three-point span",
    "three-point support radius",
    "droop end weight",
    "droop density",
)  # what belongs to the set-up, or to the stock, and not to the strip
BOTH = "pair"
MODULUS, BOW, STRIP_OF, APART = "modulus", "bow", "strip", "apart"  # inputs that are no reading
SIGNED = (BOW, STRIP_OF, APART, "bow, marked face up", "bow, marked face down")
UNMEASURED_BOW = (
    0.005  # of the developed length: how far a sheet nobody laid on a bench may be off flat (common practice)
)
CAMBER, OFFSET, RATIO, FIRST, SECOND, DIFFERENCE = range(6)  # results of `OnePass.results`


@dataclass(frozen=True, eq=False)
class Term:
    """One modulus of a sheet as a product: `value` [Pa], `powers` {key of an input: power}, `centres` {key: where}."""

    test: ModulusTest
    value: float
    powers: dict
    centres: dict


@dataclass(frozen=True, eq=False)
class OnePass:
    """Inputs of a pair and what they make.

    inputs : {(kind, sheet): Reading}, each independent of the others; sheet "pair" where both share it
    terms : of A and B, the tests that count, with `weights` that add up to one
    disagree : words for every two tests of a sheet that differ by more than their readings allow
    """

    design: Design
    sheets: tuple
    inputs: dict
    terms: tuple
    weights: tuple
    disagree: tuple

    def moduli(self, columns) -> tuple:
        """Young's modulus of A and B [Pa] for values of the inputs, by key."""
        nominal = float(self.design.sheet.modulus_at(self.design.sheet_thickness))
        found = []
        for sheet, terms, weights in zip(SHEETS, self.terms, self.weights, strict=True):
            if not terms:
                found.append(nominal * columns[MODULUS, sheet])
                continue
            mean = sum(w * _product(term, columns) for term, w in zip(terms, weights, strict=True))
            found.append(mean + columns.get((APART, sheet), 0.0))
        return tuple(found)

    def thicknesses(self, columns) -> tuple:
        """Thickness of A and B with the mean stiffness of the points [m]."""
        return tuple(
            columns["thickness", name] + s.effective_thickness - s.thickness.value
            for name, s in zip(SHEETS, self.sheets, strict=True)
        )

    def bows(self, columns, sides) -> tuple:
        """Curvature of A and B as they lie, away from the chord line positive [1/m]."""
        return tuple(-side * self._bow(columns, name) for side, name in zip(sides, SHEETS, strict=True))

    def _bow(self, columns, name):
        if (BOW, name) in columns:
            return columns[BOW, name]
        up, down = (columns[f"bow, marked face {way}", name] for way in ("up", "down"))
        return 4.0 * (up - down) / columns["bow base", name] ** 2

    def stiffness(self, columns) -> tuple:
        """D of A and B, per metre of span [N m]."""
        thick = self.thicknesses(columns)
        wide = wide_factor(self.design, 0.5 * sum(s.effective_thickness for s in self.sheets))
        return tuple(bending_stiffness(wide * e, t) for e, t in zip(self.moduli(columns), thick, strict=True))

    def bend(self, columns, sides):
        """The exact bend of the pair, laid with these `sides` out."""
        return pair_bend(self.design, *self.thicknesses(columns), *self.stiffness(columns), self.bows(columns, sides))

    def means(self) -> dict:
        """The inputs at their means, by key."""
        return {key: reading.mean for key, reading in self.inputs.items()}

    def results(self, sides) -> tuple[Measured, ...]:
        """Camber and rod offset [m], D of A over that of B [-], moduli of A and B [Pa], their difference over their
        mean [-]."""

        def worked_out(*values):
            columns = dict(zip(self.inputs, values, strict=True))
            bent, (d1, d2), (e1, e2) = self.bend(columns, sides), self.stiffness(columns), self.moduli(columns)
            parts = bent.camber(2)[1][..., -1], bent.rod_offset, d1 / d2, e1, e2, 2.0 * (e1 - e2) / (e1 + e2)
            return [np.broadcast_to(part, np.shape(values[0])) for part in parts]

        return propagate_several(worked_out, tuple(self.inputs.values()), most=self._most())

    def _most(self):
        """Over what share of a reading its slope is taken: of one that may be zero over any."""
        return [np.inf if key[0] in SIGNED else 0.2 for key in self.inputs]

    def camber(self, columns, sides):
        """Camber of the mean line at the front [m], for arrays of values of the inputs; nan where there is none: sheets
        that cannot be bent so, or are none."""
        whole = np.all(
            [np.isfinite(v) & (v > 0.0) for v in (*self.thicknesses(columns), *self.moduli(columns))], axis=0
        )
        camber = np.full(whole.shape, np.nan)
        if np.any(whole):
            camber[whole] = self.bend({k: v[whole] for k, v in columns.items()}, sides).camber(2)[1][..., -1]
        return camber

    def used(self) -> tuple:
        """The modulus that counts for A and for B as a `ModulusTest`, its method that of its one test or "both"; None
        where it was not measured."""
        readings = tuple(self.inputs.values())
        e = propagate_several(
            lambda *v: [
                np.broadcast_to(m, np.shape(v[0])) for m in self.moduli(dict(zip(self.inputs, v, strict=True)))
            ],
            readings,
            most=self._most(),
        )
        return tuple(_counted(*given) for given in zip(SHEETS, self.terms, e, strict=True))

    def weight(self, test: ModulusTest) -> float:
        """What share of its sheet's modulus a test makes [-]."""
        for terms, weights in zip(self.terms, self.weights, strict=True):
            for term, weight in zip(terms, weights, strict=True):
                if term.test is test:
                    return float(weight)
        return 0.0


def _counted(sheet, terms, modulus):
    if not terms:
        return None
    method = terms[0].test.method if len(terms) == 1 else "both"
    own = {k: v for k, v in modulus.contributions.items() if v}
    result = Measured(modulus.value, modulus.uncertainty, own, (), None, modulus.dof, modulus.slopes)
    return ModulusTest(sheet, method, result, all(term.test.own_thickness for term in terms))


def one_pass(design: Design, readings: Readings, sheets, tests) -> OnePass:
    """Gather the inputs of a pair from the `readings` that count, its two `SheetReadings` and every `ModulusTest`.

    Moduli count where both sheets have one; else that of the stock is taken for each, anywhere within its band.
    """
    inputs: dict = {}
    for name, sheet in zip(SHEETS, sheets, strict=True):
        inputs["thickness", name] = Reading(f"thickness of sheet {name}", sheet.points, sheet.resolution)
        _add_bow(inputs, design, readings, name)
    own = [[t for t in tests if t.sheet == name] for name in SHEETS]
    if not all(own):
        share = stock_range(design).modulus
        for name in SHEETS:
            inputs[MODULUS, name] = Reading(f"Young's modulus of sheet {name}, not measured", (1.0,), band=share)
        return OnePass(design, tuple(sheets), inputs, ((), ()), ((), ()), ())
    terms, weights, disagree = [], [], []
    for name, sheet, tested in zip(SHEETS, sheets, own, strict=True):
        terms.append(tuple(_term(inputs, readings, t, sheet) for t in tested))
        weights.append(_weights(inputs, terms[-1], name, sheet))
        disagree += _apart(inputs, terms[-1], name)
    return OnePass(design, tuple(sheets), inputs, tuple(terms), tuple(weights), tuple(disagree))


def _add_bow(inputs, design, readings, name):
    kinds = ("bow, marked face up", "bow, marked face down", "bow base")
    got = [readings.reading(kind, name) for kind in kinds]
    if all(got):
        for kind, reading in zip(kinds, got, strict=True):
            inputs[kind, name] = _as(reading, named(kind, name))
    else:
        most = 8.0 * UNMEASURED_BOW / design.developed_length
        inputs[BOW, name] = Reading(f"bow of sheet {name}, not measured", (0.0,), band=most)


def _as(reading, name):
    known = reading.resolution, reading.repeat, reading.repeat_dof, reading.band
    return Reading(name, reading.values, *known)


def _term(inputs, readings, test, sheet):
    """A test as a product of powers of inputs, which are added where they are new."""
    modulus, powers, centres = test.result.value, {}, {}
    for name, (kind, reading) in test.readings.items():
        power = test.result.slopes.get(name, 0.0) * reading.mean / modulus
        if name == STRIP and not test.own_thickness:
            key = STRIP_OF, test.sheet
            inputs.setdefault(key, _cut(sheet, test.sheet))
        else:
            key = _key(inputs, readings, test.sheet, kind, reading)
        powers[key], centres[key] = power, reading.mean
    return Term(test, modulus, powers, centres)


def _cut(sheet, name):
    """How far the strip's thickness may be off the mean of the points: as any one of these."""
    count, scatter = len(sheet.points), sheet.thickness.details["scatter"]
    return Reading(f"thickness of the strip cut from sheet {name}, not measured", (0.0,), 0.0, scatter, count - 1.0)


def _key(inputs, readings, sheet, kind, reading):
    got = [readings.reading(kind, name) for name in SHEETS]
    shared = kind in SET_UP and got[0] == got[1]
    key = kind, BOTH if shared else sheet
    words = f"{named(kind)}, both sheets" if shared else named(kind, sheet)
    if readings.reading(kind, sheet) is None:  # a density that nobody measured
        words = f"{words}, not measured"
    inputs.setdefault(key, _as(reading, words))
    return key


def _product(term, columns):
    """The modulus of a test for values of its inputs [Pa]; inf where the strip would have no thickness left."""
    log = 0.0
    for key, power in term.powers.items():
        value = columns[key]
        if key[0] == STRIP_OF:
            value = columns["thickness", key[1]] + value
        with np.errstate(invalid="ignore", divide="ignore"):
            log = log + power * np.log(value / term.centres[key])
    return term.value * np.exp(log)


# ----- Two tests of one sheet: how much each counts, and whether they agree.


def _shares(inputs, term, sheet="", cubed=0.0):
    """Change of the logarithm of a modulus, times thickness to the power `cubed`, over each input's uncertainty."""
    found = {}
    for key, power in term.powers.items():
        found[key] = found.get(key, 0.0) + power * inputs[key].uncertainty / term.centres[key]
        if key[0] == STRIP_OF:
            thick = "thickness", key[1]
            found[thick] = found.get(thick, 0.0) + power * inputs[thick].uncertainty / term.centres[key]
    if cubed:
        thick = "thickness", sheet
        found[thick] = found.get(thick, 0.0) + cubed * inputs[thick].uncertainty / inputs[thick].mean
    return found


def _weights(inputs, terms, name, sheet):
    """Weights of least variance of the sheet's bending stiffness, between none and all (JCGM 100:2008, 5.2, for the
    covariance of the two tests; least squares with it)."""
    if len(terms) == 1:
        return (1.0,)
    first, second = (_shares(inputs, term, name, 3.0) for term in terms)
    keys = sorted({*first, *second})
    a, b = (np.array([part.get(key, 0.0) for key in keys]) for part in (first, second))
    spread = float(np.sum((a - b) ** 2))
    share = float(np.clip(np.dot(b, b - a) / spread, 0.0, 1.0)) if spread else 0.5
    return share, 1.0 - share


def _apart(inputs, terms, name):
    """Words where two tests of a sheet differ by more than their readings allow; the modulus may then lie anywhere
    between them, which becomes an input (JCGM 100:2008, 4.3.7)."""
    if len(terms) != 2:
        return
    first, second = (_shares(inputs, term) for term in terms)
    keys = sorted({*first, *second})
    parts = [abs(first.get(key, 0.0) - second.get(key, 0.0)) for key in keys]
    allowed = coverage_factor(effective_dof(parts, [inputs[key].dof for key in keys])) * float(np.hypot.reduce(parts))
    gap = abs(float(np.log(terms[0].value / terms[1].value)))
    if gap > allowed:
        half = 0.5 * abs(terms[0].value - terms[1].value)
        inputs[APART, name] = Reading(f"gap between the two tests of sheet {name}", (0.0,), band=half)
        yield (
            f"the two tests of sheet {name} differ by {100 * gap:.2g} %, where their readings allow {100 * allowed:.2g}"
            " % (95 %): look for a wrong reading; until then the modulus may lie anywhere between them"
        )


def known_kind(key) -> bool:
    """Whether an input is a kind of reading, which can be read again."""
    return key[0] in KINDS
