"""Water, air and the side force of a blade: densities, lift slope, stall, the spread along the span."""

from __future__ import annotations

import numpy as np

from ..loads.cases import sealed_pressure
from ..loads.hydrodynamics import lift_slope, span_share, stall_angle
from ..materials.water import OCEAN_SALINITY, water_density
from .case import FORMULA, MEMORY, OWN, QUOTED, Case, half_digit, listed

# temperature [°C, of the scale of 1968], salinity, density [kg/m³]
CHECK_VALUES = ((5.0, 0.0, 999.96675), (25.0, 0.0, 997.04796), (5.0, 35.0, 1027.67547), (25.0, 35.0, 1023.34306))
NEWER = ((15.0, 0.0, 999.1026), (20.0, 0.0, 998.2071), (15.0, OCEAN_SALINITY, 1025.97603))  # [°C], density [kg/m³]
STALL = ((1.0, 48.9879), (2.0, 36.3828), (3.0, 32.3721))  # aspect ratio, degrees
RATIOS = (0.5, 1.0, 2.0, 3.0, 6.0)
REMUS = (2.21, 3.12)  # effective aspect ratio, lift slope per radian


def tanaka(t):
    """Density of fresh water free of air at a temperature from 0 to 40 °C [kg/m³]."""
    return 999.974950 * (1.0 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def helmbold(ratio):
    """Lift slope 2π A/(2 + √(A² + 4)) [1/rad]."""
    return 2.0 * np.pi * ratio / (2.0 + np.sqrt(ratio**2 + 4.0))


def whicker_fehlner(ratio):
    """Lift slope 0.9·2π A/(√(A² + 4) + 1.8) of an unswept blade [1/rad]."""
    return 1.8 * np.pi * ratio / (np.sqrt(ratio**2 + 4.0) + 1.8)


def _density():
    checks = [
        (f"{t:g} °C, salinity {s:g}: density, kg/m³", d, lambda t=t, s=s: water_density(t / 1.00024, s))
        for t, s, d in CHECK_VALUES
    ]
    newer = [
        (f"{t:g} °C, salinity {s:g}: density, kg/m³", d, lambda t=t, s=s: water_density(t, s)) for t, s, d in NEWER
    ]
    ittc = [("Sea water, 15 °C: density, kg/m³", 1026.0210, lambda: water_density(15.0, OCEAN_SALINITY))]
    fresh = [
        (f"Fresh, {t:g} °C: density, kg/m³", tanaka(t), lambda t=t: water_density(t)) for t in (5.0, 15.0, 25.0, 35.0)
    ]
    paper = "check values at one atmosphere"
    yield from listed("Fofonoff & Millard 1983", paper, MEMORY, *half_digit(5), checks, absolute=True)
    why = "the two equations differ by up to 0.004 kg/m³"
    yield from listed("TEOS-10", "at the surface", FORMULA, 0.005, why, newer, absolute=True)
    why = "the printed value fits one atmosphere counted twice (inferred), 0.045 kg/m³"
    yield from listed("ITTC 2011", "sea water", MEMORY, 0.05, why, ittc, absolute=True)
    why = "water with and without air in it, and two equations"
    yield from listed("Tanaka 2001", "eq. 1", FORMULA, 0.002, why, fresh, absolute=True)


def _lift():
    prestero = [("A = 2.21: lift slope per radian", REMUS[1], lambda: lift_slope(REMUS[0], "lifting line"))]
    yield from listed("Prestero 2001", "Table 2.2", QUOTED, *half_digit(2), prestero, absolute=True)
    for source, formula, model, place in (
        ("Whicker & Fehlner 1958", whicker_fehlner, "whicker-fehlner", "lift slope, no sweep"),
        ("Helmbold 1942", helmbold, "helmbold", "lift slope"),
    ):
        rows = [
            (f"A = {r:g}: lift slope per radian", formula(r), lambda r=r, m=model: lift_slope(r, m)) for r in RATIOS
        ]
        yield from listed(source, place, FORMULA, 1e-12, "rounding only", rows)
    slender = [("A = 0.01: lift slope over A, per radian", 0.5 * np.pi, lambda: lift_slope(0.01, "helmbold") / 0.01)]
    yield from listed("Jones 1946", "slender wing, π A/2", FORMULA, 1e-5, "for a vanishing aspect ratio", slender)
    stall = [(f"A = {r:g}: stall angle, degrees", a, lambda r=r: np.degrees(stall_angle(r))) for r, a in STALL]
    yield from listed("Lloyd 1989", "1.225 − 0.445 A + 0.075 A²", FORMULA, *half_digit(4), stall, absolute=True)


def share_at_root(spread, stations=401):
    """Force per length at the root over its mean, of a blade of even chord [-]."""
    z = np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, stations))
    return float(span_share(z, np.ones_like(z), spread)[0])


def _spread():
    why = "401 stations along the span"
    mean = [
        (
            "Even chord: force per length at the root over its mean",
            0.5 * (1 + 4 / np.pi),
            lambda: share_at_root("Schrenk's mean"),
        )
    ]
    yield from listed("Schrenk 1940", "mean of chord and ellipse", FORMULA, 1e-8, why, mean)
    air = [
        (
            "Air shut in at 15 °C, heated by 10 °C: pressure, kPa",
            101.325 * 10 / 288.15,
            lambda: 1e-3 * sealed_pressure(288.15, 298.15),
        )
    ]
    yield from listed("ISO 2533", "ideal gas from 101.325 kPa", FORMULA, 1e-12, "ideal gas: rounding only", air)


CASES: tuple[Case, ...] = (*_density(), *_lift(), *_spread())
OWN_CASES: tuple[Case, ...] = listed(
    "",
    "4/π, quarter circle",
    OWN,
    1e-8,
    "401 stations along the span",
    [("Elliptic force per length at the root over its mean", 4 / np.pi, lambda: share_at_root("elliptic"))],
)
