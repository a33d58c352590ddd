"""Simulated builders: two true sheets, a rig, hands that repeat each in their own way, and what they would write down.

The true values are drawn; readings are these with the noise of a hand and the step of an instrument. How well a hand
repeats is drawn, too, about what the workbook takes for the kind of reading, with a spread of a third. The bend is its
Taylor polynomial of second order about the design in thickness, logarithms of stiffness and bows, fitted once to exact
bends (`Bend.off` tells how far off it is), since thousands of builders want some hundred bends each.
"""

from dataclasses import dataclass

import numpy as np

from panelmech.measured.camber import pair_bend
from panelmech.measured.modulus_tests import wide_factor
from panelmech.measured.readings import KINDS, SHEETS, Readings, Row
from panelmech.measured.strips import droop, three_point
from panelmech.measured.worth import Reading
from panelmech.mechanics.forming import bending_stiffness
from panelmech.units import to_si

MM, SCATTER, HANDS = 1e-3, 0.007, 0.33
STEPS = {  # of the demo's readings
    "thickness": 0.01, "bow, marked face up": 0.1, "bow, marked face down": 0.1, "bow base": 1.0,
    "three-point force": 0.01, "three-point deflection": 0.01, "three-point span": 0.5, "three-point width": 0.1,
    "three-point thickness": 0.01, "droop": 0.5, "droop overhang": 0.5, "droop thickness": 0.01, "droop density": 10.0,
}  # fmt: skip


class Bend:
    """Camber of a pair of a design by a polynomial of second order: six variables, each over its reach."""

    REACH = np.array([0.03, 0.03, 0.15, 0.15, 0.12, 0.12])  # ln t, ln t, ln D, ln D, bow, bow [1/m]

    def __init__(self, design, count=240, seed=5):
        self.design, t = design, design.sheet_thickness
        modulus = wide_factor(design, t) * float(design.sheet.modulus_at(t))
        self.centre = np.array([np.log(t)] * 2 + [np.log(float(bending_stiffness(modulus, t)))] * 2 + [0.0] * 2)
        z = np.random.default_rng(seed).uniform(-1.0, 1.0, (count, 6))
        exact = self.exact(z)
        self.factors = np.linalg.lstsq(self._terms(z)[::2], exact[::2], rcond=None)[0]
        self.off = float(np.max(np.abs(self._terms(z)[1::2] @ self.factors - exact[1::2])))

    def exact(self, z):
        x = self.centre + z * self.REACH
        sizes = np.exp(x[:, :4]).T
        return pair_bend(self.design, *sizes, (x[:, 4], x[:, 5])).camber(2)[1][..., -1]

    def __call__(self, _design, t1, t2, d1, d2, bows):
        raw = np.broadcast_arrays(np.log(t1), np.log(t2), np.log(d1), np.log(d2), *bows)
        z = (np.stack(raw, axis=-1) - self.centre) / self.REACH
        return _Bent(self._terms(z) @ self.factors)

    def _terms(self, z):
        pairs = [z[..., i] * z[..., j] for i in range(6) for j in range(i, 6)]
        return np.stack([np.ones(z.shape[:-1]), *(z[..., i] for i in range(6)), *pairs], axis=-1)


@dataclass
class _Bent:
    """What the one pass asks of a bend."""

    offset: np.ndarray

    @property
    def rod_offset(self):
        return self.offset

    def camber(self, _stations):
        end = np.asarray(self.offset)[..., None]
        return end, np.concatenate([np.zeros_like(end), end], axis=-1)


@dataclass
class Builder:
    """What one builder wrote down, and the truth: thickness [m], modulus [Pa] and curvature [1/m] of A and B."""

    readings: Readings
    thickness: tuple
    modulus: tuple
    curvature: tuple


def builder(design, seed, repeats, own_strip=True, with_droop=True):
    """One builder who repeats everything `repeats` times; thickness at six points, or at `repeats` if more."""
    chance = np.random.default_rng(seed)
    hand = {kind: np.exp(HANDS * chance.normal()) for kind in KINDS}
    rows, truth = [], []

    def take(sheet, kind, value, count=repeats, places=None):
        unit = KINDS[kind].unit
        step, spread = to_si(STEPS[kind], unit), hand[kind] * to_si(KINDS[kind].tool.repeat, unit)
        noise = 0.0 if places is not None else spread * chance.normal(size=count)
        values = np.round((value + noise) / step) * step
        return [Row(sheet, kind, float(v), None if places is None else float(places[i]), None, step)
                for i, v in enumerate(np.atleast_1d(values))]  # fmt: skip

    rig = {"three-point force": 4.9 * np.exp(0.02 * chance.normal()), "three-point span": 0.2 + 2e-3 * chance.normal(),
           "droop density": design.sheet.density * np.exp(0.03 * chance.normal())}  # fmt: skip
    common = {kind: take("A", kind, value) for kind, value in rig.items()}
    for sheet in SHEETS:
        t = design.sheet_thickness * np.exp(0.01 * chance.normal())
        e = float(design.sheet.modulus_at(design.sheet_thickness)) * np.exp(0.04 * chance.normal())
        bow = 0.5 * MM * chance.normal()
        truth.append((t, e, 8.0 * bow / 0.24**2))
        count = max(repeats, 6)
        points = t * np.exp(SCATTER * chance.normal(size=count))
        rows += take(sheet, "thickness", points, count, np.linspace(0.05, 0.8, count))
        rows += take(sheet, "bow, marked face up", bow - 0.05 * MM) + take(sheet, "bow base", 0.24)
        rows += take(sheet, "bow, marked face down", -bow - 0.05 * MM)
        rows += [Row(sheet, r.measured, r.value, None, None, r.resolution) for kind in common for r in common[kind]
                 if with_droop or kind != "droop density"]  # fmt: skip
        strip, width = t * np.exp(SCATTER * chance.normal()), 0.03 * np.exp(0.02 * chance.normal())
        rows += take(sheet, "three-point width", width)
        rows += take(sheet, "three-point deflection", _deflection(design, rig, e, width, strip))
        if own_strip:
            rows += take(sheet, "three-point thickness", strip)
        if with_droop:
            overhang = 0.5 + 3e-3 * chance.normal()
            rows += take(sheet, "droop overhang", overhang)
            rows += take(sheet, "droop", _droop(design, rig, e, overhang, strip))
            rows += take(sheet, "droop thickness", strip) if own_strip else []
    return Builder(Readings(rows), *zip(*truth, strict=True))


def _one(name, value):
    return Reading(name, (value,))


def _deflection(design, rig, modulus, width, strip):
    """The deflection at which a test of true sizes gives the true modulus [m]."""
    wide = design.sheet.poisson if width >= 10.0 * strip else 0.0
    found = 2e-3
    for _ in range(5):
        sizes = rig["three-point force"], found, rig["three-point span"], width, strip
        found *= three_point(*map(_one, "fdsbh", sizes), wide_poisson=wide).value / modulus
    return found


def _droop(design, rig, modulus, overhang, strip):
    found = 0.02
    for _ in range(5):
        sizes = found, overhang, strip, rig["droop density"]
        found *= droop(*map(_one, "yltr", sizes), wide_poisson=design.sheet.poisson).value / modulus
    return found
