"""Sheets pressed along the span, or in shear: when a flat, a curved, a grained one buckles. As k of N = k π² D/b²."""

from __future__ import annotations

from functools import cache

import numpy as np

from ..mechanics.shell import buckle, uneven_critical_stress
from ..mechanics.shell_model import CLAMPED, SUPPORTED, Edge, Edges, FramedSheet, curvature_stations, framed_edges
from ..mechanics.shell_stresses import MembraneForces, buckle_under
from .case import FORMULA, MEMORY, Case, listed
from .plates import FREE_TOP, GRAINS, MODULUS, POISSON, THICKNESS, grained, plate, stiffness

CLAMPED_FREE = Edges(Edge("clamped"), Edge("free", "free"), Edge("supported"), Edge("supported"))
ONE_CLAMPED = framed_edges("clamped", "supported", "supported")
LONG_CLAMPED = framed_edges("clamped", "clamped", "supported")
# a/b, a along the compression; k
LEVY_CLAMPED = (
    (0.75, 11.69),
    (1.0, 10.07),
    (1.25, 9.25),
    (1.5, 8.33),
    (1.75, 8.11),
    (2.0, 7.88),
    (2.5, 7.57),
    (3.0, 7.37),
    (3.5, 7.27),
    (4.0, 7.23),
)
BENT_IN_PLANE = ((0.4, 29.1), (0.5, 25.6), (0.6, 24.1), (2 / 3, 23.9), (0.8, 24.4), (0.9, 25.6), (1.0, 25.6))
# one long edge free, Poisson's ratio 0.25; the other supported, or clamped
ONE_FREE = (
    (0.5, 4.40),
    (1.0, 1.440),
    (1.2, 1.135),
    (1.4, 0.952),
    (1.6, 0.835),
    (1.8, 0.755),
    (2.0, 0.698),
    (2.5, 0.610),
    (3.0, 0.564),
    (4.0, 0.516),
)
FREE_AND_CLAMPED = (
    (1.0, 1.70),
    (1.1, 1.56),
    (1.2, 1.47),
    (1.3, 1.41),
    (1.4, 1.36),
    (1.5, 1.34),
    (1.6, 1.33),
    (1.8, 1.34),
    (2.0, 1.38),
)
IN_SHEAR = ((1.0, 9.34), (1.2, 8.0), (1.5, 7.1), (2.0, 6.6), (2.5, 6.1), (3.0, 5.9), (4.0, 5.7))  # a/b, k
ENDLESS_IN_SHEAR = {  # theta = sqrt(D11 D22)/D3: 4 C of N b² = 4 C (D11 D22³)^¼, below one 4 C √(D22 D3)
    "supported": ((0.2, 11.797), (0.5, 12.196), (2.0, 10.792), (10.0, 8.684)),
    "clamped": ((0.2, 18.853), (0.5, 19.904), (2.0, 18.767), (10.0, 15.831)),
}
CURVED = (1.0, 5.0, 10.0, 30.0)  # Z of the curved sheets


@cache
def k_of(ratio, edges=SUPPORTED, poisson=POISSON, degrees=(16, 24)):
    """k of a flat sheet `ratio` times as long, along the compression, as it is wide."""
    return buckle(FramedSheet(1.0, ratio, THICKNESS, MODULUS, poisson, edges=edges), degrees).coefficient


def festoon(ratio):
    """k of the supported plate in closed form: the least of (m b/a + a/(m b))² over half waves m."""
    return min((m / ratio + ratio / m) ** 2 for m in range(1, 40))


def bent_in_plane(ratio):
    """k of a supported plate bent in its plane."""
    sheet = plate(1.0, ratio)
    stress = uneven_critical_stress(sheet, lambda x: 2.0 * x - 1.0)
    return stress * sheet.thickness / (np.pi**2 * sheet.bending_stiffness)


@cache
def curved(z, ratio=3.0):
    """k of a supported sheet curved to Z = b² √(1 − ν²)/(R t), pressed along its generators."""
    curvature = z * THICKNESS / np.sqrt(1.0 - POISSON**2) * np.ones_like(curvature_stations(1.0))
    return buckle(FramedSheet(1.0, ratio, THICKNESS, MODULUS, POISSON, curvature, SUPPORTED), (14, 30)).coefficient


@cache
def in_shear(sheet):
    """k of a sheet in even shear."""
    load = buckle_under(sheet, MembraneForces(shear=1.0)).factor
    return load * sheet.length**2 / (np.pi**2 * sheet.bending_stiffness)


@cache
def endless_in_shear(theta, bending):
    """4 C of an endless strip with a grain in even shear: from two lengths, for the ends add in proportion to the
    square of width over length."""
    edges, lengths = framed_edges(bending, bending, bending), (6.0, 9.0)
    grain = {"span_modulus": MODULUS, "shear_modulus": MODULUS / theta / 2.0}  # Poisson's ratio 0
    ends = [in_shear(FramedSheet(1.0, r, THICKNESS, MODULUS, 0.0, edges=edges, **grain)) for r in lengths]
    endless = ends[1] - (ends[0] - ends[1]) / (lengths[1] ** 2 / lengths[0] ** 2 - 1.0)
    return endless * np.pi**2 / 4.0 * min(theta, 1.0) ** 0.5


def batdorf(z):
    """k of the long curved sheet: 4 + 3 Z²/π⁴ up to where 4 √3 Z/π² takes over."""
    few = 4.0 + 3.0 * z**2 / np.pi**4
    return np.where(np.asarray(z) < 2.0 * np.pi**2 / np.sqrt(3.0), few, 4.0 * np.sqrt(3.0) * z / np.pi**2)


def lekhnitskii(grain):
    """k of a long supported sheet with a grain: 2 (√(D11 D22) + D12 + 2 D66)/D11."""
    d11, d22, d12, d66 = stiffness(grain)
    return 2.0 * (np.sqrt(d11 * d22) + d12 + 2.0 * d66) / d11


def jones(grain, ratio):
    """k of a supported sheet with a grain: the least over half waves m along the compression."""
    d11, d22, d12, d66 = stiffness(grain)
    r = ratio / np.arange(1, 30)
    return float(np.min(d11 * r**2 + 2.0 * (d12 + 2.0 * d66) + d22 / r**2) / d11)


def _long(grain):
    """A sheet five of its half waves long."""
    d11, d22, *_ = stiffness(grain)
    return buckle(grained(grain, 5.0 * (d22 / d11) ** 0.25), (16, 36)).coefficient


def _timoshenko():
    rows = [(f"a/b = {r:g}: k", festoon(r), lambda r=r: k_of(r)) for r in (0.7, 1.3, 2.0, 2.6, 3.0)]
    book = "Timoshenko & Gere 1961"
    yield from listed(book, "Art. 9.2, supported", FORMULA, 1e-8, "exact; error of the method", rows)
    rows = [(f"a/b = {r:.3g}: k", k, lambda r=r: bent_in_plane(r)) for r, k in BENT_IN_PLANE]
    why = "printed to 3 figures, up to 0.3 % high: the book's energy method"
    yield from listed(book, "Art. 9.6, bent in its plane", MEMORY, 0.0035, why, rows)
    rows = [(f"a/b = {r:g}: k", k, lambda r=r: k_of(r, FREE_TOP, 0.25, (14, 20))) for r, k in ONE_FREE]
    why = "printed up to 0.4 % off the exact solution"
    yield from listed(book, "Art. 9.4, one side free, ν 0.25", MEMORY, 0.005, why, rows)
    rows = [(f"a/b = {r:g}: k", k, lambda r=r: k_of(r, CLAMPED_FREE, 0.25, (14, 20))) for r, k in FREE_AND_CLAMPED]
    yield from listed(book, "Art. 9.4, one side free, one clamped, ν 0.25", MEMORY, 0.005, "printed to 3 figures", rows)


def _shear():
    rows = [(f"a/b = {r:g}: k in shear", k, lambda r=r: in_shear(plate(1.0, r))) for r, k in IN_SHEAR]
    why = "printed to 2 figures by a series of few terms, up to 1.4 % high"
    yield from listed("Timoshenko & Gere 1961", "Table 9-10, supported, in shear", MEMORY, 0.015, why, rows)
    rows = [
        (f"{bending.capitalize()}, θ = {theta:g}: 4 C", value, lambda t=theta, b=bending: endless_in_shear(t, b))
        for bending, values in ENDLESS_IN_SHEAR.items()
        for theta, value in values
    ]
    why = "another program agrees to 0.2 %; ours from two lengths to the endless one, 0.2 %"
    yield from listed("Seydel 1933", "endless strip with a grain, in shear", MEMORY, 0.004, why, rows)


def _gerard():
    return (
        ("Long, both edges supported: k", 4.00, lambda: k_of(8.0, degrees=(14, 40))),
        ("Long, one edge clamped, one supported: k", 5.42, lambda: k_of(6.4, ONE_CLAMPED, degrees=(14, 40))),
        ("Long, both edges clamped: k", 6.98, lambda: k_of(5.28, LONG_CLAMPED, degrees=(14, 40))),
        ("Long, one edge clamped, one free: k", 1.28, lambda: k_of(9.84, CLAMPED_FREE, degrees=(14, 40))),
    )


def _grains():
    long = [(f"Long {grain}: k", lekhnitskii(grain), lambda g=grain: _long(g)) for grain in GRAINS]
    yield from listed("Lekhnitskii 1968", "long supported plate", FORMULA, 1e-7, "error of the method", long)
    rows = [
        (f"Supported {g}, a/b = {r:g}: k", jones(g, r), lambda g=g, r=r: buckle(grained(g, r), (18, 36)).coefficient)
        for g in GRAINS
        for r in (0.65, 1.0, 2.55)
    ]
    yield from listed("Jones 1999", "ch. 5, specially orthotropic plate", FORMULA, 1e-7, "error of the method", rows)


CASES: tuple[Case, ...] = (
    *listed("Bryan 1891", "square, supported", FORMULA, 1e-8, "error of the method", [("k", 4.0, lambda: k_of(1.0))]),
    *_timoshenko(),
    *listed(
        "Levy 1942",
        "clamped all round",
        MEMORY,
        0.0035,
        "printed up to 0.3 % off the exact solution",
        [(f"a/b = {r:g}: k", k, lambda r=r: k_of(r, CLAMPED)) for r, k in LEVY_CLAMPED],
    ),
    *listed("Gerard & Becker 1957", "long plates", MEMORY, 0.0025, "printed to 3 figures", _gerard()),
    *listed(
        "Batdorf 1947",
        "long curved sheet",
        FORMULA,
        0.002,
        "ours is three widths long, the formula's endless",
        [(f"Curved, Z = {z:g}: k", float(batdorf(z)), lambda z=z: curved(z)) for z in CURVED],
    ),
    *_grains(),
    *_shear(),
)
