"""The section of the part and the joint at its land: torsion of the cell, moments of bent against flat sheets, the
double cantilever beam, bolts of a fitting."""

from __future__ import annotations

import numpy as np

from ..loads.fittings import bolt_group_force
from ..mechanics.bend import solve_bend
from ..mechanics.forming import bending_stiffness, forming_loads
from ..mechanics.section import bent_pair, wedge_pair
from ..mechanics.wedge import solve_wedge
from ..shop.outlines import triangle_rules
from .case import FORMULA, MEMORY, OWN, Case, listed

DESIGN = (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3)  # free length, sheet, spacer, bond line, setback [m]
ARMS = dict(load=100.0, crack=50e-3, width=25e-3, arm=3e-3, modulus=70e9)
WORKED = 253.968253968  # J/m², of `ARMS` by the formula of ASTM D5528
SLENDER = (1.0, 1e-5, 0.01, 0.0, -0.005 * (1.0 - 1e-6))  # hardly opened, sheets that end at the contact


def bredt(area, perimeter, thickness):
    """Torsion constant of one closed cell of even wall [m4], 4 A²/∮ds/t, from its area and middle line."""
    return 4.0 * area**2 * thickness / perimeter


def wedge_by_hand():
    """Torsion constant of the flat wedge of `DESIGN` [m4]: a trapezium of two straight walls, its ends rigid."""
    _, t, d, g, _ = DESIGN
    wedge = solve_wedge(*DESIGN)
    ends = 0.5 * (t + g), 0.5 * (d + t) * np.cos(wedge.angle)
    area = sum(ends) * wedge.contact_arclength * np.cos(wedge.angle)
    return float(bredt(area, 2.0 * wedge.contact_arclength, t))


def bent_by_outline():
    """Torsion constant of the bent pair of `DESIGN` [m4], its area by the trapezium rule over 20001 stations."""
    bend = solve_bend(*DESIGN)
    x, y = bend.outline(np.linspace(0.0, bend.contact_arclength, 20001))
    area = np.sum(np.diff(x) * (y[1:] + y[:-1]))
    return float(bredt(area, 2.0 * bend.contact_arclength, DESIGN[1]))


def moment_ratio():
    """Second moment about the chord line, bent over flat, thin and hardly opened [-]."""
    return bent_pair(solve_bend(*SLENDER)).i_chord / wedge_pair(solve_wedge(*SLENDER)).i_chord


def energy(load, crack, width, arm, modulus):
    """Opening energy of a double cantilever beam [J/m²] by the package's M²/D, `arm` the height of one arm [m]."""
    return (load * crack / width) ** 2 / bending_stiffness(modulus, arm)


def small_pair():
    """Opening energy of a hardly opened pair over that of the double cantilever beam of its force and length [-]."""
    bend, stiffness = solve_bend(0.225, 2e-3, 1e-4, 0.0, 0.0), bending_stiffness(20e9, 2e-3)
    loads = forming_loads(bend, stiffness)
    arms = dict(crack=bend.contact_arclength, width=1.0, arm=2e-3, modulus=20e9)
    return loads.opening_energy / energy(loads.contact_force, **arms)


def _by_opening(load, crack, width, arm, modulus):
    opening = 8.0 * load * crack**3 / (modulus * width * arm**3)
    return 3.0 * opening**2 * modulus * arm**3 / (16.0 * crack**4)


def _with_shear(load, crack, width, arm, modulus):
    return 4.0 * load**2 / (width**2 * modulus) * (3.0 * crack**2 / arm**3 + 1.0 / arm)


def _joint():
    rounding = "rounding only"
    worked = (
        ("Double cantilever beam, 12 P² a²/(b² h³ E): J/m²", WORKED, lambda: energy(**ARMS)),
        ("Critical load of 250 J/m²: N", 150.468019858, lambda: 0.5 * np.sqrt(bending_stiffness(161e9, 3e-3) * 250.0)),
    )
    small = (("Hardly opened pair: its energy over that of the formula", 1.0, small_pair),)
    opening = (("The same by its opening, 3 δ² E h³/(16 a⁴): J/m²", _by_opening(**ARMS), lambda: energy(**ARMS)),)
    shear = (("The same with shear of the arms: J/m²", _with_shear(**ARMS), lambda: energy(**ARMS)),)
    yield from listed("ASTM D5528", "simple beam theory", FORMULA, 1e-9, rounding, worked)
    why = "the formula is for a vanishing opening"
    yield from listed("ASTM D5528", "simple beam theory", FORMULA, 1e-5, why, small)
    yield from listed("DCB note", "displacement form", FORMULA, 1e-9, rounding, opening)
    why = "ours leaves out shear, h²/(3 a²) of it"
    yield from listed("ASTM D3433", "4 P²/(b² E)(3 a²/h³ + 1/h)", FORMULA, 0.0013, why, shear)


def _section():
    wedge = (("Flat wedge: torsion constant, mm⁴", lambda: 1e12 * wedge_by_hand(), lambda: 1e12 * _torsion(False)),)
    bent = (("Bent pair: torsion constant, mm⁴", lambda: 1e12 * bent_by_outline(), lambda: 1e12 * _torsion(True)),)
    yield from listed("Megson 2010", "eq. 17.1, Bredt", FORMULA, 1e-11, "rounding only", wedge)
    yield from listed("Johnson 2000", "eqs 2.37 to 2.40", FORMULA, 1e-7, "trapezium rule over 20001 stations", bent)
    thin = (("Bent over flat, hardly opened: 33/140 over 1/3", 99 / 140, moment_ratio),)
    why = "33/140 is for a vanishing opening; ours is a hundredth of the length"
    yield from listed("Rayleigh 1877", "∫y² of the end-loaded bar, 33/140", MEMORY, 0.001, why, thin)
    places = ((-0.06, 0.03), (0.06, 0.03), (0.06, -0.03), (-0.06, -0.03))
    radius = np.hypot(0.06, 0.03)
    expected = np.hypot(800.0 / 4 + 500.0 / (4 * radius) * 0.06 / radius, 500.0 / (4 * radius) * 0.03 / radius)
    group = (("Four bolts, 800 N and 500 N·m: the most on one, N", expected, lambda: _group(places)),)
    yield from listed("Shigley", "F/n and M r/Σr²", FORMULA, 1e-12, "rounding only", group)


def _group(places):
    return bolt_group_force((0.0, 800.0), 500.0, places)


def _torsion(bent):
    return (bent_pair(solve_bend(*DESIGN)) if bent else wedge_pair(solve_wedge(*DESIGN))).torsion_constant


def _loads():
    return forming_loads(solve_bend(*DESIGN), 12.8)


CASES: tuple[Case, ...] = (*_section(), *_joint())
OWN_CASES: tuple[Case, ...] = (
    *listed(
        "",
        "opening energy of the land",
        OWN,
        1e-12,
        "equal for any size of opening",
        [("Push-out force on the rod, N/m", lambda: _loads().opening_energy, lambda: _loads().push_out_force)],
    ),
    *listed(
        "",
        "3/8 of depth times mouth, for a vanishing opening",
        OWN,
        1e-3,
        "ours has an opening of a hundredth",
        [
            (
                "Triangle rule to the contact over the truth",
                4 / 3,
                lambda: triangle_rules(solve_bend(1.0, 1e-5, 0.01))[1].ratio,
            )
        ],
    ),
)
