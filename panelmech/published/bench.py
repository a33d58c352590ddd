"""Bench tests and their uncertainty: a strip on two supports, repeated readings, how deviations add."""

from __future__ import annotations

import numpy as np

from ..measured.modulus_tests import three_point
from ..measured.readings import Reading, propagate
from ..measured.worth import coverage_factor, effective_dof
from ..shop.resin import shift_time
from .case import FORMULA, MEMORY, OWN, Case, half_digit, listed

# Table 1 of the Guide: twenty readings of a temperature [°C]
TEMPERATURES = (
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
)


def strip_ratio(share=1e-3):
    """Modulus of a strip on two supports over F L³/(4 b h³ d), bent by this share of the span [-]."""
    given = dict(force=1.0, deflection=share, span=1.0, width=0.12, thickness=0.01)
    found = three_point(*(Reading(name, (value,)) for name, value in given.items()))
    return found.value / found.details["linear"]


def temperatures() -> Reading:
    """The twenty readings of the Guide."""
    return Reading("temperature", TEMPERATURES)


def product_of_powers(powers=(1.0, -2.0, 3.0), relative=(0.01, 0.004, 0.006)):
    """Relative uncertainty of a product of powers by `propagate`, and by the Guide's sum of squares [-]."""
    readings = [Reading(f"x{i}", (1.0 - 0.7071 * u, 1.0 + 0.7071 * u)) for i, u in enumerate(relative)]
    found = propagate(lambda *x: np.prod([v**p for v, p in zip(x, powers, strict=True)]), readings)
    summed = np.sqrt(sum((p * r.uncertainty) ** 2 for p, r in zip(powers, readings, strict=True)))
    return found.relative, float(summed)


def product_dof(relative=(0.25, 0.57, 0.82), counts=(10, 5, 15)) -> float:
    """Effective degrees of freedom of a product of three means, from their relative uncertainties [%]."""
    return effective_dof(relative, [count - 1 for count in counts])


def _guide():
    spread = 20**0.5
    three = (
        ("Twenty readings: mean, °C", 100.145, lambda: temperatures().mean),
        ("The same: standard deviation, °C", 1.489, lambda: spread * temperatures().uncertainty),
        ("The same: uncertainty of the mean, °C", 0.333, lambda: temperatures().uncertainty),
    )
    box = (("Resolution of 1: its standard uncertainty", 12**-0.5, lambda: Reading("x", (1.0,), 1.0).uncertainty),)
    powers = (
        (
            "Product of powers 1, −2, 3: relative uncertainty",
            lambda: product_of_powers()[1],
            lambda: product_of_powers()[0],
        ),
    )
    student = (("Means of 10, 5 and 15 readings: effective degrees of freedom", 19.0, product_dof),)
    factor = (("Coverage factor for 95 % at 19 degrees of freedom", 2.09, lambda: coverage_factor(19.0)),)
    yield from listed("JCGM 100", "4.4.3, Table 1", MEMORY, *half_digit(3), three, absolute=True)
    yield from listed("JCGM 100", "F.2.2.1", FORMULA, 1e-12, "rounding only", box)
    yield from listed("JCGM 100", "G.4.1, example", MEMORY, *half_digit(1), student, absolute=True)
    yield from listed("JCGM 100", "G.4.1, example, Table G.2", MEMORY, *half_digit(2), factor, absolute=True)
    yield from listed("JCGM 100", "5.1.6", FORMULA, 5e-4, "slopes over one uncertainty, not over none", powers)


CASES: tuple[Case, ...] = (
    *listed(
        "ISO 178",
        "E = F L³/(4 b h³ d)",
        FORMULA,
        1e-4,
        "ours is bent by a thousandth of the span",
        [("Strip on two supports, hardly bent: E over the formula's", 1.0, strip_ratio)],
    ),
    *_guide(),
)
OWN_CASES: tuple[Case, ...] = listed(
    "",
    "halves for every 10 °C",
    OWN,
    1e-12,
    "rounding only",
    [("Pot life ten degrees warmer, quick rule", 0.5, lambda: shift_time(1.0, 295.15, 305.15).quick)],
)
