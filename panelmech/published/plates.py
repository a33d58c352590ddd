"""Flat sheets under pressure between frames: the tables of rectangular plates, and walls with a free top."""

from __future__ import annotations

from functools import cache

import numpy as np

from ..mechanics.shell import press
from ..mechanics.shell_model import (
    CLAMPED,
    SUPPORTED,
    Edge,
    Edges,
    FramedSheet,
    even_pressure,
    framed_edges,
    hydrostatic_along_chord,
    point_force,
)
from . import large_plates
from .case import FORMULA, MEMORY, OWN, QUOTED, READ, Case, half_digit, listed

TWO_CLAMPED = framed_edges("clamped", "clamped", "supported")
FREE_TOP = Edges(Edge("supported"), Edge("free", "free"), Edge("supported"), Edge("supported"))
THICKNESS, MODULUS, POISSON = 0.005, 70e9, 0.3
PLATE = 12.0 * (1.0 - POISSON**2)  # alpha of y = alpha q b⁴/(E t³) is this times w D/(q b⁴)

# a/b; printed alpha of y = alpha q b^4/(E t^3), beta of sigma = beta q b^2/t^2 (8a: in the middle of the long edge)
ROARK_1A = (
    (1.0, 0.0444, 0.2874),
    (1.2, 0.0616, 0.3762),
    (1.4, 0.0770, 0.4530),
    (1.6, 0.0906, 0.5172),
    (1.8, 0.1017, 0.5688),
    (2.0, 0.1110, 0.6102),
    (3.0, 0.1335, 0.7134),
    (4.0, 0.1400, 0.7410),
    (5.0, 0.1417, 0.7476),
)
ROARK_8A = (
    (1.0, 0.0138, 0.3078),
    (1.2, 0.0188, 0.3834),
    (1.4, 0.0226, 0.4356),
    (1.6, 0.0251, 0.4680),
    (1.8, 0.0267, 0.4872),
    (2.0, 0.0277, 0.4974),
)
ROARK_2A = ((0.667, 0.106), (1.0, 0.140), (1.5, 0.160), (2.0, 0.165))  # height over width; alpha, b the width
# b/a; w D/(q a^4), Mx and My over q a^2 in the centre
TABLE_8 = (
    (1.0, 0.00406, 0.0479, 0.0479),
    (1.2, 0.00564, 0.0627, 0.0501),
    (1.5, 0.00772, 0.0812, 0.0498),
    (2.0, 0.01013, 0.1017, 0.0464),
    (3.0, 0.01223, 0.1189, 0.0406),
)
# b/a; w, moments in the middle of the long and of the short edge, Mx and My in the centre
TABLE_35 = (
    (1.0, 0.00126, -0.0513, -0.0513, 0.0231, 0.0231),
    (1.2, 0.00172, -0.0639, -0.0554, 0.0299, 0.0228),
    (1.5, 0.00220, -0.0757, -0.0570, 0.0368, 0.0203),
    (2.0, 0.00254, -0.0829, -0.0571, 0.0412, 0.0158),
)
TABLE_23 = ((1.0, 0.01160), (1.2, 0.01353), (1.4, 0.01484), (1.6, 0.01570), (2.0, 0.01651), (3.0, 0.01690))
TABLE_37 = ((1.0, 0.00560), (1.2, 0.00647), (1.4, 0.00691), (1.6, 0.00712), (1.8, 0.00720), (2.0, 0.00722))
FREE_EDGE = ((0.5, 0.00710), (2 / 3, 0.00968), (1.0, 0.01286), (1.5, 0.01462), (2.0, 0.01507))  # b/a; w of its middle
# Y/X; C1 of deflection, C2 and C3 of moments; C1 at 1.5 is a misprint there (0.0835) and left out
WEB_TABLE = (
    (1.0, 0.04436, 0.04789, 0.04789),
    (1.25, 0.06581, 0.06610, 0.05026),
    (1.75, 0.09919, 0.09287, 0.04825),
    (2.0, 0.11060, 0.10168, 0.04635),
    (3.0, 0.13358, 0.11886, 0.04063),
    (4.0, 0.13998, 0.12346, 0.03841),
)


SMALL = 0.005  # square that stands for a point, of a plate of 1 m: less deflection than of a point by 1e-4


def plate(length=1.0, width=1.0, edges=SUPPORTED):
    """A flat sheet of these sizes [m], the plate of every case here."""
    return FramedSheet(length, width, THICKNESS, MODULUS, POISSON, edges=edges)


@cache
def _pressed(width, edges, load, length=1.0):
    loads = {"even": even_pressure(1.0), "water": hydrostatic_along_chord(1.0, deep="rod")}
    loads["force"] = point_force(1.0, footprint=SMALL)
    loads["from top"] = hydrostatic_along_chord(1.0, deep="land")
    return press(plate(length, width, edges), loads[load], None if load == "force" else (20, 24))


def middle(width, edges=SUPPORTED, load="even"):
    """Deflection in the middle over q a^4/D, or F a^2/D of a force, of a plate of length a = 1."""
    return _pressed(width, edges, load).middle_deflection * plate().bending_stiffness


def moment(width, edges=SUPPORTED, load="even", x=0.5, y=0.5, which=0):
    """Moment Mx (`which` 0) or My (1) over q a^2 at x, y as shares of the sides."""
    return float(_pressed(width, edges, load).moments(x, y * width)[which])


def top_deflection(width, height=1.0, load="even"):
    """Deflection of the middle of a free top [1/D], the other three edges supported, under unit pressure."""
    top = _pressed(width, FREE_TOP, load, height).deflection(height, 0.5 * width)
    return float(top) * plate().bending_stiffness


def _roark(table, edges):
    at = (0.5, 0.5) if edges is SUPPORTED else (0.0, 0.5)
    alpha = [(f"a/b = {r:g}: α", a, lambda r=r: PLATE * middle(r, edges)) for r, a, _ in table]
    beta = [(f"a/b = {r:g}: β", b, lambda r=r: 6 * abs(moment(r, edges, "even", *at))) for r, _, b in table]
    return alpha, beta


def _books():
    alpha, beta = _roark(ROARK_1A, SUPPORTED)
    clamped, edge = _roark(ROARK_8A, CLAMPED)
    place = "Table 11.4, case {}"
    why = "printed up to 0.47 % off the exact series"
    yield from listed("Roark 2002", place.format("1a, supported"), READ, 0.005, why, (*alpha, *beta))
    yield from listed("Roark 2002", place.format("8a, clamped"), QUOTED, *half_digit(4), clamped, absolute=True)
    why = "printed up to 0.07 % off the exact series"
    yield from listed("Roark 2002", place.format("8a, clamped"), QUOTED, 0.001, why, edge)
    rows = [
        (f"Wall with a free top, a/b = {r:g}: α", a, lambda r=r: PLATE * top_deflection(1.0, r)) for r, a in ROARK_2A
    ]
    yield from listed("Roark 2002", place.format("2a, top free"), MEMORY, *half_digit(3), rows, absolute=True)
    rows = [row for r, *printed in WEB_TABLE for row in _web(r, printed)]
    yield from listed("Plate formulas", "supported, even pressure", READ, *half_digit(5), rows, absolute=True)


def _web(r, printed):
    ours = (lambda: PLATE * middle(r), lambda: moment(r), lambda: moment(r, which=1))
    return [(f"Y/X = {r:g}: C{i}", value, f) for i, value, f in zip((1, 2, 3), printed, ours, strict=True)]


def _timoshenko():
    eight = (
        (f"b/a = {r:g}: {name}", value, f)
        for r, *printed in TABLE_8
        for name, value, f in zip(
            ("w", "Mx", "My"),
            printed,
            (lambda r=r: middle(r), lambda r=r: moment(r), lambda r=r: moment(r, which=1)),
            strict=True,
        )
    )
    why = "printed up to 0.49 % off the exact series"
    yield from listed("Timoshenko & W.-K. 1959", "Table 8, supported", MEMORY, 0.005, why, eight)
    rows = [row for r, *printed in TABLE_35 for row in _clamped_rows(r, printed)]
    why = "printed up to 0.85 % off the exact solution"
    yield from listed("Timoshenko & W.-K. 1959", "Table 35, clamped", MEMORY, 0.01, why, rows)
    water = [("b/a = 1, water: w", 0.00203, lambda: middle(1.0, load="water"))]
    water += [("b/a = 1, water: M", 0.0239, lambda: moment(1.0, load="water"))]
    yield from listed("Timoshenko & W.-K. 1959", "Art. 31, supported", MEMORY, 0.0025, "printed to 3 figures", water)
    rows = (
        ("b/a = 1, water: w", 0.00063, lambda: middle(1.0, CLAMPED, "water")),
        ("b/a = 1, water: M at the deep edge", -0.0334, lambda: moment(1.0, CLAMPED, "water", 1.0)),
        ("b/a = 1, water: M at the shallow edge", -0.0179, lambda: moment(1.0, CLAMPED, "water", 0.0)),
        ("b/a = 1, water: M at the side", -0.0257, lambda: moment(1.0, CLAMPED, "water", y=0.0, which=1)),
    )
    yield from listed("Timoshenko & W.-K. 1959", "Art. 44, clamped", MEMORY, 0.005, "printed to 2 or 3 figures", rows)
    yield from _forces_and_free_edges()


def _clamped_rows(r, printed):
    ours = (
        lambda: middle(r, CLAMPED),
        lambda: moment(r, CLAMPED, x=0.0),
        lambda: moment(r, CLAMPED, y=0.0, which=1),
        lambda: moment(r, CLAMPED),
        lambda: moment(r, CLAMPED, which=1),
    )
    names = ("w", "M, middle of the long edge", "M, middle of the short edge", "Mx", "My")
    return [(f"b/a = {r:g}: {name}", value, f) for name, value, f in zip(names, printed, ours, strict=True)]


def _forces_and_free_edges():
    why = "the smooth functions of the method follow a force slowly: its own stated error is 0.1 to 0.2 %"
    rows = [(f"b/a = {r:g}, force in the middle: w", w, lambda r=r: middle(r, load="force")) for r, w in TABLE_23]
    yield from listed("Timoshenko & W.-K. 1959", "Table 23, supported", MEMORY, 0.0025, why, rows)
    rows = [(f"b/a = {r:g}, force in the middle: w", w, lambda r=r: middle(r, CLAMPED, "force")) for r, w in TABLE_37]
    yield from listed("Timoshenko & W.-K. 1959", "Table 37, clamped", MEMORY, 0.0025, why, rows)
    rows = ((f"b/a = {r:.3g}: w", w, lambda r=r: middle(r, TWO_CLAMPED)) for r, w in _TWO)
    why = "printed up to 0.42 % off the exact solution"
    yield from listed("Timoshenko & W.-K. 1959", "Art. 42, two edges clamped", MEMORY, 0.005, why, rows)
    rows = (
        (f"b/a = {r:.3g}, one edge free: w of its middle", w, lambda r=r: top_deflection(1.0, r)) for r, w in FREE_EDGE
    )
    why = "printed up to 0.1 % off the exact series"
    yield from listed("Timoshenko & W.-K. 1959", "ch. 6, one edge free", MEMORY, 0.0015, why, rows)


_TWO = ((1.0, 0.00192), (1.5, 0.00247), (2.0, 0.00260))


# ----- plates with a grain, and the double series


GRAINS = {  # modulus along, Poisson's ratio, modulus across, shear modulus
    "laminate": (18.6e9, 0.175, 15.2e9, 4.0e9),
    "one layer": (38e9, 0.28, 9e9, 3.6e9),
}


def grained(grain, width, edges=SUPPORTED):
    """A supported sheet with a grain, of length one [m]."""
    modulus, poisson, across, shear = GRAINS[grain]
    return FramedSheet(1.0, width, THICKNESS, modulus, poisson, None, edges, across, shear)


def stiffness(grain):
    """D11, D22, D12, D66 of a grain [N m]."""
    modulus, poisson, across, shear = GRAINS[grain]
    least = 1.0 - poisson**2 * across / modulus
    return [THICKNESS**3 / 12 * q for q in (modulus / least, across / least, poisson * across / least, shear)]


def navier(grain, width, terms=399):
    """Deflection in the middle of a supported sheet with a grain under unit pressure, by the double series [m]."""
    d11, d22, d12, d66 = stiffness(grain)
    m = np.arange(1, terms, 2)
    a2, b2 = np.meshgrid((m * np.pi) ** 2, (m * np.pi / width) ** 2, indexing="ij")
    signs = np.outer(np.sin(0.5 * np.pi * m), np.sin(0.5 * np.pi * m)) / np.outer(m, m)
    resistance = d11 * a2**2 + 2 * (d12 + 2 * d66) * a2 * b2 + d22 * b2**2
    return float(np.sum(16 / np.pi**2 * signs / resistance))


def _grains():
    for grain in GRAINS:
        for width in (0.5, 1.0, 2.5):
            sheet = grained(grain, width)
            yield (
                f"Supported {grain}, b/a = {width:g}: w in the middle, µm per Pa",
                lambda g=grain, w=width: 1e6 * navier(g, w),
                lambda sheet=sheet: 1e6 * press(sheet, even_pressure(1.0), (20, 24)).middle_deflection,
            )


def levy_point(ratio, terms=4000):
    """Deflection under a force in the middle of a supported plate over F a^2/D, by the single series."""
    m = np.arange(1, 2 * terms, 2)
    beta = np.minimum(m * np.pi * ratio / 2, 300.0)
    return float(np.sum((np.tanh(beta) - beta / np.cosh(beta) ** 2) / m**3)) / (2 * np.pi**3)


CASES: tuple[Case, ...] = (
    *_timoshenko(),
    *_books(),
    *listed(
        "Taylor & Govindjee 2004",
        "clamped square",
        MEMORY,
        2e-6,
        "remembered to seven figures",
        [("b/a = 1: w", 0.001265319, lambda: middle(1.0, CLAMPED))],
    ),
    *listed(
        "Navier 1823", "double series, with a grain", FORMULA, 1e-6, "the series cut at 200 terms each way", _grains()
    ),
    *large_plates.CASES,
)
OWN_CASES: tuple[Case, ...] = listed(
    "",
    "single series of Lévy",
    OWN,
    0.002,
    "stated error of a force on smooth functions",
    [
        (f"Supported plate, b/a = {r:g}, force: w", lambda r=r: levy_point(r), lambda r=r: middle(r, load="force"))
        for r in (1, 2)
    ],
)
