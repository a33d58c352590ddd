"""Straight beams: the strip between land and rod before it is bent, the part along its span, the land as a beam on a
soft bed."""

from __future__ import annotations

from functools import cache

import numpy as np

from ..loads.beam import Held, PointLoad, span_diagrams
from ..mechanics.bonded_end import foundation_stiffness, land_compliance
from ..mechanics.strip import (
    Support,
    even_strip_pressure,
    flat_strip_response,
    point_load,
    triangular_pressure,
)
from .case import FORMULA, MEMORY, READ, Case, half_digit, listed

HINGED = Support("hinged", "resting", "held")
PROPPED = Support("clamped", "resting", "held")
CLAMPED = Support("clamped", "potted", "free")
EXACT = 1e-9
POLYNOMIAL = "the answer is a polynomial: rounding only"
KANNINEN = (1.92, 1.22, 0.39)  # opening over that of a clamped arm, in powers of height over crack


@cache
def strip(support: Support, load: str):
    """A strip of length, stiffness and load one: "even", "rising" from nothing at the land, or "middle"."""
    loads = {
        "even": even_strip_pressure(1.0),
        "rising": triangular_pressure(1.0, "land"),
        "middle": point_load(1.0, 0.5),
    }
    return flat_strip_response(1.0, 0.01, 1.0, loads[load], support)


@cache
def cantilever(load: str):
    """A part of span, stiffness and load one, clamped at its root: "even", "to root", "end" or "inside" at 0.35."""
    z = np.linspace(0.0, 1.0, 11)
    spread = {"even": np.ones(11), "to root": 1.0 - z}.get(load, np.zeros(11))
    places = {"end": (PointLoad(1.0, 1.0),), "inside": (PointLoad(0.35, 1.0),)}.get(load, ())
    return span_diagrams(z, spread, 0.0, 1.0, 1.0, points=places)


@cache
def overhang(load: str):
    """Bearings at 0 and 0.25 of a span of one: "end" force, or "even" load on the overhang."""
    z = np.array([0.0, 0.125, 0.25, 0.25, 0.5, 0.75, 1.0])
    spread = np.array([0, 0, 0, 1, 1, 1, 1]) * float(load == "even")
    places = (PointLoad(1.0, 1.0),) if load == "end" else ()
    return span_diagrams(z, spread, 0.0, 1.0, 1.0, Held((0.0, 0.25)), places)


def _tip(answer):
    return float(answer.deflection[0, -1])


def _aisc():
    a, b = 0.75, 0.25  # overhang, distance of the bearings
    rounded = (
        ("2: supported, load rising to one end: W L³/EI times", 0.01304, lambda: 2 * _rising().deflection_max),
        ("2: the same, greatest moment over W L", 0.1283, lambda: 2 * abs(_rising().moment_max)),
        ("13: propped, force in the middle: P L³/EI times", 0.009317, lambda: strip(PROPPED, "middle").deflection_max),
    )
    place = (("2: supported, load rising: place of the deflection over L", 0.519, lambda: _rising().deflection_at),)
    propped = (("12: propped, even load: w L⁴/EI over", 185.0, lambda: 1.0 / strip(PROPPED, "even").deflection_max),)
    exact = (
        ("25: even load on an overhang: its end", a**3 * (4 * b + 3 * a) / 24, lambda: _tip(overhang("even"))),
        ("26: force on an overhang: its end", a**2 * (b + a) / 3, lambda: _tip(overhang("end"))),
        ("26: the same, inner reaction", a / b, lambda: abs(overhang("end").bearing_forces[0, 0])),
    )
    table = "Table 3-23, case of that number"
    yield from listed("AISC Manual", table, MEMORY, 4e-4, "printed to 4 figures", rounded)
    yield from listed("AISC Manual", table, MEMORY, *half_digit(3), place, absolute=True)
    yield from listed("AISC Manual", table, MEMORY, 0.0021, "185 is printed for 184.634", propped)
    yield from listed("AISC Manual", table, MEMORY, EXACT, POLYNOMIAL, exact)


def _rising():
    return strip(HINGED, "rising")


def _exact_tables():
    inside = 0.35**2 * (3 - 0.35) / 6
    gere = (
        ("Cantilever, even load: tip, q L⁴/EI times", 1 / 8, lambda: _tip(cantilever("even"))),
        ("The same: slope, q L³/EI times", 1 / 6, lambda: cantilever("even").slope[0, -1]),
        ("Cantilever, load rising to the root: tip", 1 / 30, lambda: _tip(cantilever("to root"))),
        ("Cantilever, force at the tip: slope, P L²/EI times", 1 / 2, lambda: cantilever("end").slope[0, -1]),
        ("Cantilever, force at 0.35 L: tip, a²(3L − a)/6", inside, lambda: _tip(cantilever("inside"))),
    )
    felab = (
        ("Supported, even load: middle, w L⁴/EI times", 5 / 384, lambda: strip(HINGED, "even").midpoint_deflection),
        ("Clamped, even load: middle", 1 / 384, lambda: strip(CLAMPED, "even").midpoint_deflection),
        ("Supported, force in the middle: P L³/EI times", 1 / 48, lambda: strip(HINGED, "middle").midpoint_deflection),
        ("Clamped, force in the middle", 1 / 192, lambda: strip(CLAMPED, "middle").midpoint_deflection),
    )
    roark = (
        (
            "Propped, even load: reaction of the prop over w L",
            3 / 8,
            lambda: abs(strip(PROPPED, "even").contact_force_change),
        ),
        ("The same: moment at the clamp over w L²", 1 / 8, lambda: abs(strip(PROPPED, "even").land_moment_change)),
        (
            "Propped, force in the middle: there, P L³/EI times",
            7 / 768,
            lambda: strip(PROPPED, "middle").midpoint_deflection,
        ),
    )
    yield from listed("Gere & Goodno", "cantilevers", MEMORY, EXACT, POLYNOMIAL, gere)
    yield from listed("felab formulas", "all of them", READ, EXACT, POLYNOMIAL, felab)
    yield from listed("Roark 1989", "Table 3, beams", MEMORY, EXACT, POLYNOMIAL, roark)


# ----- the land: a semi-infinite beam on its bed, and the double cantilever beam on it


def opening_coefficients():
    """Powers 1 to 3 of height over crack in the opening of a double cantilever beam over that of a clamped arm."""
    h, modulus = 0.003, 70e9
    stiffness = modulus * h**3 / 12
    give = land_compliance(stiffness, foundation_stiffness(1.0, 0.0, h, modulus), 100 * h)
    ratios = np.array([0.02, 0.05, 0.1, 0.2])
    a = h / ratios
    clamped = a**3 / (3 * stiffness)
    opening = clamped + give.turn_by_moment * a**2 + 2 * give.turn_by_force * a + give.move_by_force
    return np.linalg.solve(np.vander(ratios, 4, increasing=True), opening / clamped)[1:]


def _land():
    k, d = 4e13, 12.0
    lam = (k / (4 * d)) ** 0.25
    hetenyi = (
        (
            "Long land under a moment: turn, 4 λ³/k",
            4 * lam**3 / k,
            lambda: land_compliance(d, k, 30 / lam).turn_by_moment,
        ),
        (
            "Long land under a force: turn, 2 λ²/k",
            2 * lam**2 / k,
            lambda: land_compliance(d, k, 30 / lam).turn_by_force,
        ),
        ("The same: movement, 2 λ/k", 2 * lam / k, lambda: land_compliance(d, k, 30 / lam).move_by_force),
    )
    kanninen = (
        (f"Double cantilever beam: opening, factor of (h/a){power}", value, lambda i=i: opening_coefficients()[i])
        for i, (power, value) in enumerate(zip(("", "²", "³"), KANNINEN, strict=True))
    )
    yield from listed(
        "Hetenyi 1946", "ch. II, semi-infinite beam", FORMULA, EXACT, "closed forms: rounding only", hetenyi
    )
    yield from listed(
        "Kanninen 1973", "the opening's cubic", MEMORY, 0.005, "printed to 2 decimals", kanninen, absolute=True
    )


CASES: tuple[Case, ...] = (
    *_aisc(),
    *_exact_tables(),
    *_land(),
)
