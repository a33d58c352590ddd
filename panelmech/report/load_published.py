"""Published answers beside ours for what the loads stand on: beams, lift slope, water, heated air. See `published`."""

from __future__ import annotations

import numpy as np

from ..blade.blade import Blade
from ..loads.beam import Held
from ..loads.cases import PointPush, sealed_pressure
from ..loads.hydrodynamics import lift_slope, stall_angle
from ..loads.load_study import evaluate_loads
from ..loads.plan import LoadPlan
from ..materials.water import OCEAN_SALINITY, water_density
from .published import Answer


def load_answers(blade: Blade) -> tuple[Answer, ...]:
    """Beam tables on this blade's design, the same all along; constants of water and air; a published lift slope."""
    design = blade.design
    even, span, push = Blade(design), design.span, 10.0
    inner, outer = 0.05 * span, 0.3 * span
    clamped = _study(even, push)
    held = _study(even, push, bearings=(inner, outer))
    stiffness = float(clamped.along.sections.chord_stiffness[0])
    apart, over = outer - inner, span - outer
    beam = "any table of straight beams, from memory: F L³/(3 EI); F a² (l + a)/(3 EI), reaction F a/l"
    none = "none expected"
    return (
        Answer(
            "This design clamped, 10 N at the tip: deflection, mm",
            1e3 * push * span**3 / (3.0 * stiffness),
            1e3 * _tip(clamped),
            none,
            beam,
        ),
        Answer(
            "The same on two bearings: deflection, mm",
            1e3 * push * over**2 * (apart + over) / (3.0 * stiffness),
            1e3 * _tip(held),
            none,
            beam,
        ),
        Answer(
            "The same: force of the first bearing, N",
            push * over / apart,
            float(abs(held.diagrams.bearing_forces[0, 0])),
            none,
            beam,
        ),
        Answer(
            "Lift slope at an aspect ratio of 2.21, two decimals",
            3.12,
            round(lift_slope(2.21, "lifting line"), 2),
            none,
            "Prestero T. (2001), MIT thesis, Table 2.2, section slope 0.9 of 2π",
        ),
        Answer(
            "Stall angle at an aspect ratio of 2, degrees",
            36.3828,
            round(float(np.degrees(stall_angle(2.0))), 4),
            none,
            "Lloyd (1989), as quoted by Kjellberg et al. (2023)",
        ),
        *(
            Answer(
                f"Density of {name} water at 15 °C, kg/m³, one decimal",
                round(published, 1),
                round(water_density(15.0, salinity), 1),
                none,
                "TEOS-10, computed with its authors' library",
            )
            for name, published, salinity in (("fresh", 999.1026, 0.0), ("sea", 1025.976, OCEAN_SALINITY))
        ),
        Answer(
            "Air shut in at 20 °C and heated to 60 °C: pressure, kPa",
            101.325 * (333.15 / 293.15 - 1.0),
            1e-3 * sealed_pressure(293.15, 333.15),
            none,
            "ideal gas, p₀ (T₂/T₁ − 1)",
        ),
    )


def _study(blade, push, bearings=()):
    return evaluate_loads(blade, LoadPlan((PointPush("push", push),), Held(bearings), local=False))


def _tip(study):
    return float(study.diagrams.deflection[0, -1])
