"""Readings as a careful bench gives them: true values with the noise and the steps of the instruments."""

import numpy as np

from panelmech.measured.modulus_tests import linear_droop, linear_three_point
from panelmech.measured.readings import Readings, Row

MM = 1e-3


def stepped(values, step):
    return np.round(np.asarray(values) / step) * step


def honest(design, seed, tests=True):
    """A whole set of readings of a pair for a design; `tests`: with the bench tests of the modulus."""
    chance = np.random.default_rng(seed)
    rows = []
    for sheet in "AB":
        rows += _sheet(design, chance, sheet, tests)
    return Readings([*rows, *_part(design, chance)])


def _sheet(design, chance, sheet, tests):
    nominal = design.sheet_thickness
    tolerance = np.nan_to_num(float(design.sheet.tolerance_at(nominal)), nan=0.07 * nominal)
    thickness = nominal + chance.uniform(-1.0, 1.0) * tolerance
    places = np.linspace(0.05, 0.95, chance.integers(6, 10)) * design.span
    points = thickness * (1.0 + chance.normal(0.0, 0.01, len(places)))

    def rows(name, values, step, where=None):
        where = [None] * len(values) if where is None else where
        return [
            Row(sheet, name, float(v), p and float(p), None, step)
            for v, p in zip(stepped(values, step), where, strict=True)
        ]

    out = rows("thickness", points, 0.01 * MM, stepped(places, MM))
    own, sag = chance.normal(0.0, 0.6 * MM), chance.uniform(0.0, 0.1 * MM)
    base, times = 0.95 * design.developed_length, chance.integers(1, 4)
    for way, sign in (("up", 1.0), ("down", -1.0)):
        out += rows(f"bow, marked face {way}", sign * own - sag + chance.normal(0.0, 0.1 * MM, times), 0.1 * MM)
    out += rows("bow base", [base], MM) + rows("twist", [chance.normal(0.0, MM)], 0.1 * MM)
    return out + (_tests(design, chance, thickness, rows) if tests else [])


def _tests(design, chance, thickness, rows):
    modulus = float(design.sheet.modulus_at(design.sheet_thickness)) * np.exp(chance.normal(0.0, 0.15))
    span, width = chance.uniform(80.0, 120.0) * thickness, chance.uniform(0.02, 0.06)
    wanted = chance.uniform(0.01, 0.04) * span
    force = wanted / linear_three_point(1.0, 1.0, span, width, thickness) * modulus
    deflection = linear_three_point(force, 1.0, span, width, thickness) / modulus
    times = chance.integers(1, 6)
    strip = thickness * (1.0 + chance.normal(0.0, 0.01, 3))
    out = rows("three-point force", [force], 0.01) + rows("three-point span", [span], 0.5 * MM)
    out += rows("three-point deflection", deflection + chance.normal(0.0, 0.02 * MM, times), 0.01 * MM)
    out += rows("three-point width", width + chance.normal(0.0, 0.1 * MM, 2), 0.1 * MM)
    out += rows("three-point thickness", strip, 0.01 * MM)
    density = design.sheet.density * chance.uniform(0.85, 1.15)
    length = (0.1 * modulus * thickness**2 / (12.0 * density * 9.81 / 8.0)) ** (1.0 / 3.0)  # droops by about a tenth
    drop = linear_droop(1.0, length, thickness, density) / modulus
    out += rows("droop", drop + chance.normal(0.0, 0.5 * MM, times), 0.5 * MM)
    return out + rows("droop overhang", [length], 0.5 * MM) + rows("droop density", [density], 10.0)


def _part(design, chance):
    bend = design.bend()
    outer = float(bend.outer_thickness) * (1.0 + chance.normal(0.0, 0.03))
    hours = np.array([1.0, 24.0, 168.0]) * 3600.0
    logged = stepped(outer - 0.1 * MM * np.arange(3), 0.05 * MM)
    return [
        Row("pair", "as-built thickness", float(v), None, float(t), 0.05 * MM)
        for v, t in zip(logged, hours, strict=True)
    ]
