"""The curve of a bent sheet: constants of the rectangular elastica, cantilevers that bend far, a heavy strip.

The bent pair is a piece of the rectangular elastica, so two constants of that curve fix its size. The cantilever with
an end load of fixed direction and the strip that droops under its own weight are what the bench tests rest on.
"""

from __future__ import annotations

from functools import partial

import numpy as np
import scipy

from ..measured.modulus_tests import cantilever_end
from ..mechanics import elastica
from ..mechanics.bend import solve_bend
from .case import FORMULA, MEMORY, OWN, QUOTED, Case, half_digit, listed

QUARTER = 0.5 * np.pi
LEMNISCATE_A, LEMNISCATE_B = 1.3110287771, 0.5990701173  # printed to eleven digits, the last one cut
GAUSS = 0.8346268416740731  # of the constant's 0.834626841674073186…
ROUNDING = "the digits of a float"

# Table 1: P L^2/EI; drop, draw-in and tip angle over length, five decimals; None where not quoted
MATTIASSON = (
    (1.0, 0.30172, 0.05643, 0.46135),
    (2.0, 0.49346, 0.16064, None),
    (5.0, 0.71379, 0.38763, None),
    (10.0, 0.81061, 0.55500, None),
)


def side_end(load) -> tuple:
    """(drop, draw-in over length, tip angle [rad]) of a cantilever with an end load of fixed direction, P L^2/EI."""
    drop, reach, angle = cantilever_end(0.0, load)
    return drop, 1.0 - reach, angle


def normal_end(angle) -> tuple:
    """(P L^2/EI, x and y of the tip over L, root moment M L/EI) of a cantilever whose end force stays normal to it,
    from its tip angle [rad]: the sheet between land and rod."""
    i0, i1, x = elastica.arclength(angle), elastica.across(angle), elastica.along(angle)
    s, c = np.sin(angle), np.cos(angle)
    return i0**2, (x * c + i1 * s) / i0, (x * s - i1 * c) / i0, i0 * x


def bisshopp_drucker(load) -> tuple:
    """(drop over length, tip angle [rad]) by the closed form in elliptic integrals, P L^2/EI from 0.01 to 100."""
    special = scipy.special

    def length(m):
        return special.ellipk(m) - special.ellipkinc(_start(m), m)

    m = scipy.optimize.brentq(lambda m: length(m) - np.sqrt(load), 0.5 + 1e-12, 1.0 - 1e-12, xtol=1e-15)
    drop = 1.0 - 2.0 / np.sqrt(load) * (special.ellipe(m) - special.ellipeinc(_start(m), m))
    return float(drop), float(np.arcsin(2.0 * m - 1.0))


def _start(m):
    return np.arcsin(1.0 / np.sqrt(2.0 * m))


def chord_angle(weight):
    """Angle below the horizontal of the line from the support to the tip of a heavy strip [deg], w L^3/D."""
    drop, reach, _ = cantilever_end(weight, 0.0)
    return np.degrees(np.arctan2(drop, reach))


def _mattiasson():
    names = ("drop over length", "draw-in over length", "tip angle, rad")
    for load, *values in MATTIASSON:
        for i, (name, value) in enumerate(zip(names, values, strict=True)):
            if value is not None:
                yield f"End load P L²/EI = {load:g}: {name}", value, lambda load=load, i=i: side_end(load)[i]


def _constants():
    arc, across, along = (partial(f, QUARTER) for f in (elastica.arclength, elastica.across, elastica.along))
    cut = "printed to eleven digits, the last one cut"
    first = (
        ("Square arch: half its length over its rise", LEMNISCATE_A, lambda: arc() / np.sqrt(2.0)),
        ("Square arch: half its chord over its rise", LEMNISCATE_B, lambda: across() / np.sqrt(2.0)),
    )
    gauss = ("Square arch: rise over chord", GAUSS, lambda: along() / (2.0 * across()))
    euler = ("Square arch: length times chord over four rises squared", np.pi / 4, lambda: arc() * across() / 2.0)
    yield from listed("Todd 1975", "the two lemniscate constants", QUOTED, 1.1e-10, cut, first, absolute=True)
    yield from listed("Gauss 1799", "as tables of constants have it", QUOTED, 1e-14, ROUNDING, (gauss,))
    yield from listed("Euler 1786", "π/4", MEMORY, 1e-14, ROUNDING, (euler,))


def _heavy():
    found = (("Heavy strip, tip 41.5° below its support: w L³/D", 8.0, lambda: _weight_for(41.5)),)
    why = "the angle is printed to half a degree, worth 1 % of the load"
    yield from listed("ASTM D1388", "bending length half the overhang at 41.5°", MEMORY, 0.01, why, found)


def _weight_for(angle):
    return scipy.optimize.brentq(lambda w: chord_angle(w) - angle, 0.1, 60.0, xtol=1e-10)


def _closed_form():
    for load in (0.25, 3.0, 15.0):
        for name, book, own in (("drop over length", 0, 0), ("tip angle, rad", 1, 2)):
            words = f"End load P L²/EI = {load:g}: {name}"
            yield words, lambda p=load, i=book: bisshopp_drucker(p)[i], lambda p=load, i=own: side_end(p)[i]


CASES: tuple[Case, ...] = (
    *_constants(),
    *listed("Mattiasson 1981", "Table 1", QUOTED, *half_digit(5), _mattiasson(), absolute=True),
    *listed(
        "Bisshopp & Drucker 1945", "closed form", FORMULA, 1e-9, "rounding of the elliptic integrals", _closed_form()
    ),
    *_heavy(),
)


# ----- cross-checks: the same curve by quadrature


def by_quadrature(angle) -> tuple:
    """(P L^2/EI, x, y of the tip over L) of `normal_end` by adaptive quadrature, the weak singularity taken out."""

    def rate(v):  # ds / dv for psi = angle v^2, in units of 1/k
        return np.sqrt(2.0 * angle) / np.sqrt(np.sinc(angle * v * v / np.pi))

    def integral(f):
        return scipy.integrate.quad(lambda v: rate(v) * f(angle - angle * v * v), 0.0, 1.0, epsrel=1e-13)[0]

    length = integral(np.ones_like)
    return length**2, integral(np.cos) / length, integral(np.sin) / length


def _front_edge(angle):
    """Contact force over D of a pair of length 1 whose rod touches the very front edge, from `solve_bend`."""
    radius = normal_end(angle)[2] / np.cos(angle)
    bend = solve_bend(1.0, 1e-12, 2.0 * radius, 0.0, -radius * (1.0 + np.sin(angle)) * (1.0 - 1e-9))
    return bend.wavenumber**2


def _roads():
    names = ("P L²/EI", "reach over length", "rise over length")
    for degrees in (10, 45, 90):
        angle = np.radians(degrees)
        for i, name in enumerate(names):
            yield (
                f"End force square to the sheet, tip at {degrees}°: {name}",
                lambda angle=angle, i=i: by_quadrature(angle)[i],
                lambda angle=angle, i=i: normal_end(angle)[i],
            )


def _pair_roads():
    for degrees in (5, 20):
        angle = np.radians(degrees)
        words = f"Pair on a rod at its front edge, {degrees}°: contact force N L²/D"
        yield words, lambda angle=angle: by_quadrature(angle)[0], lambda angle=angle: _front_edge(angle)


OWN_CASES: tuple[Case, ...] = (
    *listed("", "adaptive quadrature", OWN, 1e-11, "error of the quadrature", _roads()),
    *listed("", "adaptive quadrature", OWN, 2e-8, "the rod is nudged by 1e-9 to stay on the sheet", _pair_roads()),
)
