"""Values of the catalogue beside the table each was taken from, in that table's unit; and the sums behind plywood."""

from __future__ import annotations

import numpy as np

from ..materials.stock import catalogue
from ..units import FACTORS
from .case import FORMULA, MEMORY, QUOTED, READ, Case, listed

PSI = 6894.757293168  # Pa
LENGTHWISE, CROSSWISE = "glass-epoxy laminate, lengthwise", "glass-epoxy laminate, crosswise"
ALONG, ACROSS = "birch plywood, face grain along chord", "birch plywood, face grain along span"
# mean thickness [mm]; bending modulus along and across the face grain [MPa]
BIRCH = (
    (3.6, 16471, 1029),
    (6.4, 12737, 4763),
    (9.2, 11395, 6105),
    (12.0, 10719, 6781),
    (14.8, 10316, 7184),
    (17.6, 10048, 7452),
)
# bend axis across and along the face grain: thickness and radius of the two end rows [in]
BENDS = {ALONG: ((0.035, 2.0), (0.375, 54.0)), ACROSS: ((0.035, 1.1), (0.375, 36.0))}
PASTES = {  # toughness [N/mm], modulus [GPa], tensile and shear strength [MPa]
    "ductile epoxy paste": (0.43, 1.85, 21.63, 17.9),
    "brittle epoxy paste": (0.2, 4.89, 39.45, 30.2),
    "ductile polyurethane": (2.36, 0.49, 11.48, 10.17),
}
FIGURES = 5e-4


def face_grain_share(plies, veneer, thickness):
    """Share of t³ in the plies parallel to the faces, the faces sanded: alternating cubes of the shells."""
    shells = [thickness] + [veneer * n for n in range(plies - 2, 0, -2)]
    return sum((-1) ** k * shell**3 for k, shell in enumerate(shells)) / thickness**3


def _value(name, field, unit=1.0, group="sheets"):
    return lambda: getattr(getattr(catalogue, group)[name], field) / unit


def _pastes():
    parts = (("toughness", "N/mm", 1e3), ("modulus", "GPa", 1e9), ("tensile_strength", "MPa", 1e6))
    parts += (("shear_strength", "MPa", 1e6),)
    for name, values in PASTES.items():
        for (field, unit, size), value in zip(parts, values, strict=True):
            yield f"{name}: {field.replace('_', ' ')}, {unit}", value, _value(name, field, size, "adhesives")


def _birch():
    for mean, along, across in BIRCH:
        for name, grain, value in ((ALONG, "along", along), (ACROSS, "across", across)):
            yield (
                f"Birch plywood {mean:g} mm, {grain} the grain: modulus, MPa",
                value,
                lambda name=name, mean=mean: catalogue[name].modulus_at(mean * 1e-3) / 1e6,
            )


def _bends():
    for name, rows in BENDS.items():
        for inches, radius in rows:
            yield (
                f"Plywood {inches:g} in over {radius:g} in, {name.split(', ')[1]}: strain, %",
                100.0 * inches / (2.0 * radius),
                lambda name=name, t=0.0254 * inches: 100.0 * float(catalogue[name].forming_limit_at(t)),
            )


def _okoume():
    for mm, plies in ((4, 3), (6, 5), (9, 7), (12, 9)):
        share = face_grain_share(plies, mm / plies, mm)
        for grain, part in (("chord", share), ("span", 1.0 - share)):
            yield (
                f"Okoume plywood {mm} mm, face grain along {grain}: modulus, MPa",
                8470.0 * (part + 0.05 * (1.0 - part)),
                lambda n=f"okoume plywood, face grain along {grain}", t=mm * 1e-3: catalogue[n].modulus_at(t) / 1e6,
            )


def _sheets():
    kept = "the catalogue keeps 3 or 4 figures"
    laminate = (
        ("Glass-epoxy, lengthwise: modulus, kpsi", 2700.0, _value(LENGTHWISE, "modulus", 1e3 * PSI)),
        ("Glass-epoxy, crosswise: modulus, kpsi", 2200.0, _value(CROSSWISE, "modulus", 1e3 * PSI)),
        ("Glass-epoxy, lengthwise: strength, psi", 55000.0, _value(LENGTHWISE, "strength", PSI)),
        ("Glass-epoxy, crosswise: strength, psi", 45000.0, _value(CROSSWISE, "strength", PSI)),
    )
    acrylic = (
        ("Extruded acrylic: modulus, kpsi", 480.0, _value("acrylic, extruded", "modulus", 1e3 * PSI)),
        ("Extruded acrylic: strength, psi", 17000.0, _value("acrylic, extruded", "strength", PSI)),
    )
    carbonate = (
        ("Polycarbonate: modulus, kpsi", 345.0, _value("polycarbonate", "modulus", 1e3 * PSI)),
        ("Polycarbonate: strength, psi", 13500.0, _value("polycarbonate", "strength", PSI)),
    )
    aluminium = (
        ("Aluminium 5052-H32: modulus, GPa", 70.3, _value("aluminium 5052-H32", "modulus", 1e9)),
        ("The same: minimum yield, MPa", 160.0, _value("aluminium 5052-H32", "strength", 1e6)),
        ("The same: yield over modulus, %", 16.0 / 70.3, _value("aluminium 5052-H32", "forming_strain_limit", 0.01)),
    )
    grp = (("Woven GRP: strain for good, %", 0.2, _value("woven GRP", "permanent_strain_limit", FACTORS["%"])),)
    epoxy = (("Cured epoxy: modulus, GPa", 4.0, _value("epoxy, unfilled", "modulus", 1e9, "resins")),)
    yield from listed("Laminators' chart", "minimum values", READ, FIGURES, kept, laminate)
    yield from listed("Acrylic data", "flexural", READ, FIGURES, kept, acrylic)
    yield from listed("Polycarbonate data", "flexural", READ, FIGURES, kept, carbonate)
    yield from listed("Aluminum Design Manual", "Table 3.3-1M", READ, FIGURES, kept, aluminium)
    yield from listed("ADR 2017", "6.9.2.3.5", READ, 1e-12, "taken over", grp)
    yield from listed("Budinski 1999", "cured epoxy", QUOTED, 1e-12, "taken over", epoxy)


def by_weight():
    """Parts of resin to 100·47ths: ratio by weight of the 2 : 1 system from its volumes and densities [-]."""
    system = catalogue.resin_systems["epoxy 2:1 by volume, 100:47 by weight"]
    return system.volume_ratio * system.resin_density / system.hardener_density


_RATIO = [("2 : 1 by volume, by weight: parts of resin to 1 of hardener", float(np.divide(100, 47)), by_weight)]
CASES: tuple[Case, ...] = (
    *listed("Viana 2019", "Table 1", READ, 1e-12, "taken over", _pastes()),
    *_sheets(),
    *listed("Finnish Plywood", "moduli in bending", MEMORY, 0.55, "printed to the MPa", _birch(), absolute=True),
    *listed("FAA AC 43.13-1B", "Table 1-2, end rows", READ, FIGURES, "the catalogue keeps 4 figures", _bends()),
    *listed(
        "Okoume data", "8.47 GPa, summed over the plies", FORMULA, 0.55, "kept to the MPa", _okoume(), absolute=True
    ),
    *listed("Mixing guide", "100 to 47", READ, 0.005, "densities are whole numbers", _RATIO),
)
