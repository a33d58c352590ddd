"""Sheets at large deflection: plates under great pressure, a long strip, a laminate, and roofs that snap through.

Plates and roofs are worked out by the model behind `mechanics.press_large`, so that a laminate's own stiffness can be
given to it: that of its layers in bending and in stretching, which no pair of moduli says exactly.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from ..mechanics.large_deflection import press_large
from ..mechanics.numerics import gauss
from ..mechanics.shell_fields import Field
from ..mechanics.shell_large import EdgeGive, LargeModel, large_sets
from ..mechanics.shell_model import (
    SUPPORTED,
    Edge,
    Edges,
    FramedSheet,
    StiffnessRatios,
    even_pressure,
    framed_edges,
    point_force,
)
from ..mechanics.shell_path import Loading, follow
from ..mechanics.shell_ritz import load_work
from .case import MEMORY, QUOTED, Case, listed

# q a^4/(E h^4), w/h in the middle: clamped, held in the plane, nu 0.316
LEVY_CLAMPED = ((17.79, 0.237), (38.3, 0.471), (63.4, 0.695))
# q a^4/(E2 h^4), w/h in the middle: [0/90/90/0], supported, pressure as the sine of both sides
CROSS_PLY = ((50.0, 0.2150), (100.0, 0.4226), (200.0, 0.7967), (300.0, 1.1117))
# thickness [m], layers (None: the same every way; 0 along the generators), largest force in the table over 3,000 N
ROOFS = (
    (0.0127, None, 0.7421),
    (0.0127, (0, 90, 0), 0.3618),
    (0.0127, (90, 0, 90), 0.5970),
    (0.00635, None, 0.1953),
    (0.00635, (90, 0, 90), 0.1585),
)
ROOF_PEAKS = "R 2,540 mm, arc and span 508 mm, force in the middle"


def layered(layers, moduli, thickness):
    """(`StiffnessRatios`, D11 [N m]) of equal layers; moduli: E1, E2, G [Pa], nu12 of a layer; 0: 1 along the chord.

    Stiffness of the layers added up (Jones R.M., Mechanics of Composite Materials, ch. 4)."""
    one, two, shear, poisson = moduli
    complement = 1.0 - poisson**2 * two / one
    along = np.array([one, two, poisson * two, shear * complement]) / complement  # Q11, Q22, Q12, Q66
    places = np.linspace(-0.5, 0.5, len(layers) + 1) * thickness
    sheets = np.array([along[[1, 0, 2, 3]] if layer else along for layer in layers])
    bend, stretch = (np.diff(places**k / k) @ sheets for k in (3, 1))
    stretch *= thickness**2 / 12 / bend[0]
    return StiffnessRatios(*(bend[1:] / bend[0]), *stretch, 1.0), float(bend[0])


def plate_deflection(load, edges, poisson, ratio=1.0, degrees=(14, 14)):
    """w/h in the middle of a flat plate under q = load E h^4/b^4; b the side along the chord, ratio b of the other."""
    side, thickness, modulus = 1.0, 0.01, 70e9
    sheet = FramedSheet(side, ratio * side, thickness, modulus, poisson, edges=edges)
    return (
        press_large(sheet, even_pressure(load * modulus * thickness**4), degrees=degrees).middle_deflection / thickness
    )


def cross_ply_deflection(load):
    """w/h in the middle of the square laminate under a pressure that goes as the sine of both sides."""
    thickness, two = 0.01, 1e9
    ratios, stiffness = layered((0, 90, 90, 0), (25 * two, two, 0.5 * two, 0.25), thickness)
    sheet = FramedSheet(1.0, 1.0, thickness, 12 * stiffness / thickness**3, 0.0, edges=SUPPORTED)
    model = LargeModel(sheet, large_sets(SUPPORTED, (10, 10), "even"), ratios, EdgeGive())
    nodes, weights = gauss(48)
    wave = weights * np.cos(0.5 * np.pi * nodes)
    w = model.sets.w
    work = np.outer(*(wave @ along.at(nodes) for along in (w.along_x, w.along_y))).ravel() / 4
    return _middle(Loading(model, None, load * two * thickness**4 / stiffness * work)) / thickness


def strip(bending, pressure):
    """(u, largest stress [psi]) of the long plate of 50 by 0.5 in under a pressure [psi], its ends held.

    u is l/2 times the root of the tension over the bending stiffness. E 30e6 psi, nu 0.3; bent as a cylinder.
    """
    psi, inch = 6894.757293168, 0.0254
    length, thickness, modulus = 50 * inch, 0.5 * inch, 30e6 * psi
    held, free = Edge(bending, "held"), Edge("free", "free")
    wide = modulus / (1.0 - 0.3**2)  # of a strip that cannot draw in
    sheet = FramedSheet(length, length, thickness, wide, 0.0, edges=Edges(held, held, free, free))
    result = press_large(sheet, even_pressure(pressure * psi), degrees=(16, 6))
    tension = wide * thickness * float(result.strains(0.3 * length, 0.5 * length)[0][0])
    stress = wide * max(result.outer_face.value, result.inner_face.value)
    return 0.5 * length * np.sqrt(tension / sheet.bending_stiffness), stress / psi


def roof_peak(thickness, layers):
    """Largest force the hinged roof bears before it snaps through, over 3,000 N."""
    return next(turn.point.share for turn in _roof(thickness, layers).turns if turn.kind == "limit")


@cache
def _roof(thickness, layers):
    side, hinged, free = 0.508, Edge("supported", "held"), Edge("free", "free")
    edges, modulus, poisson = Edges(hinged, hinged, free, free), 3102.75e6, 0.3
    sheet = FramedSheet(side, side, thickness, modulus, poisson, 1 / 2.54, edges)
    ratios = sheet.ratios
    if layers is not None:
        across = tuple(90 - layer for layer in layers)  # along the generators is across the chord
        ratios, stiffness = layered(across, (3300e6, 1100e6, 660e6, 0.25), thickness)
        sheet = FramedSheet(side, side, thickness, 12 * stiffness / thickness**3, 0.0, 1 / 2.54, edges)
    model = LargeModel(sheet, large_sets(edges, (12, 12), "even"), ratios, EdgeGive())
    return follow(
        Loading(model, None, load_work(sheet, point_force(3000.0), (12, 12), "even").ravel()),
        0.2,
        0.4,
        20.0,
        to_limit=True,
    )


def _middle(loading):
    """Deflection in the middle under the whole load [m]."""
    sheet, end = loading.model.sheet, follow(loading, 1.0, 1.0, 20.0).points[-1]
    w = Field(loading.model.sets.w.series(end.state.amplitudes), sheet.length, sheet.width)
    return float(w(0.5 * sheet.length, 0.5 * sheet.width))


def _cases():
    held = framed_edges("clamped", "clamped", "clamped", "held")
    rows = ((f"Q = {q:g}: w/h", w, lambda q=q: plate_deflection(q, held, 0.316)) for q, w in LEVY_CLAMPED)
    why = "a series of few terms, 0.3 to 0.7 % too large here and more at greater pressure, which is left out"
    yield from listed("Levy 1942 a", "Table 5, clamped square, held", QUOTED, 0.0075, why, rows)
    rows = ((f"Q = {q:g}: w/h", w, lambda q=q: cross_ply_deflection(q)) for q, w in CROSS_PLY)
    why = "the source counts shear, which adds 0.3 % at a side of a hundred thicknesses"
    yield from listed("Tran 2015", "Table 3, [0/90/90/0], sine pressure", QUOTED, 0.004, why, rows)
    yield from _strips()
    rows = (
        (f"h {1e3 * t:g} mm, {_words(layers)}: largest force / 3 kN", peak, lambda t=t, la=layers: roof_peak(t, la))
        for t, layers, peak in ROOFS
    )
    why = "the largest of the tabulated forces stands for the peak between them"
    yield from listed("Sze 2004", f"Tables 9, {ROOF_PEAKS}", QUOTED, 0.003, why, rows)


def _words(layers):
    return "even" if layers is None else f"[{'/'.join(map(str, layers))}]"


def _strips():
    place, why = "ch. 1, long plate with held ends, {}", "u was read off a chart"
    for bending, pressure, u, stress in (("supported", 20.0, 3.795, 35760.0), ("clamped", 10.0, 1.894, 45000.0)):
        rows = [("u", u, lambda b=bending, q=pressure: strip(b, q)[0])]
        rows += [("largest stress, psi", stress, lambda b=bending, q=pressure: strip(b, q)[1])]
        yield from listed("Timoshenko & W.-K. 1959", place.format(bending), MEMORY, 0.002, why, rows)


CASES: tuple[Case, ...] = tuple(_cases())
