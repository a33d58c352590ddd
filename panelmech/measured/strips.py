"""Bench tests of a sheet: its modulus from a ruler, a weight and a micrometer.

Three ways, all exact for large deflections (inextensible strip, no shear): a strip on two round supports pressed in
the middle, a strip that droops over an edge under its own weight and a weight at its end, and the pair itself,
opened over a known spacer. Each takes repeated readings and gives the modulus with its standard uncertainty.

The modulus is that of a narrow strip, E; for a strip wider than about ten thicknesses it is E / (1 - nu^2), which the
function is told by `wide_poisson`.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import scipy

from ..mechanics import elastica
from ..mechanics.bend import solve_bend
from ..mechanics.numerics import chebyshev, plain, read_together
from ..units import SMALLEST, read_number, show_input
from .worth import Measured, Reading, propagate

GRAVITY = 9.80665  # standard acceleration of free fall [m/s2], CGPM 1901
SPAN_TO_DEPTH = 16.0  # ISO 178 and ASTM D790 ask for about this span over thickness (from memory)
LARGE_DEFLECTION = 0.1  # deflection over span beyond which those standards leave the linear formula (from memory)
MOST_LOAD = 4000.0  # of w L^3 / D and P L^2 / D: more steps of the solver than that are not worth their time
HANGS = "beyond, the strip hangs straight down but for a short bend at the edge"
_MOST_BELOW = 6.1  # how far the logarithm of D is searched below that of small deflections
_NODES = 24
_MOST = 0.05  # of a reading: its slope is taken over no more, since a modulus ends where a length becomes zero


def three_point(
    force: Reading,
    deflection: Reading,
    span: Reading,
    width: Reading,
    thickness: Reading,
    support_radius: float | Reading = 0.0,
    wide_poisson: float = 0.0,
) -> Measured:
    """Flexural modulus from three-point bending [Pa].

    Parameters
    ----------
    force, deflection, span, width, thickness : Reading
        Force in the middle [N], deflection under it [m], distance between the support centres [m], width and
        thickness [m].
    support_radius : float or Reading
        Radius of the two round supports [m]; the strip rolls inwards round them as it bends. A number is exact.
    wide_poisson : float
        Poisson's ratio if the strip is wide; 0 for a narrow strip.

    Returns
    -------
    Measured
        `details`: "linear", the modulus by E = F L^3 / (4 b h^3 d) (ISO 178); "contact_angle" at the supports [rad];
        "greatest_force", the most a frictionless strip of this modulus carries on these supports [N].

    Raises
    ------
    ValueError
        Readings that are not positive, or a deflection no strip can reach on these supports.

    Notes
    -----
    The exact curve: each half is the rectangular elastica of `elastica`, for the smooth support presses normal to
    the strip.
    """
    readings = (force, deflection, span, width, thickness)
    _positive(readings)
    if isinstance(support_radius, Reading):
        readings, support_radius = (*readings, support_radius), support_radius.mean
    support_radius = read_number(support_radius, "support radius", "mm", 0.0)
    read_number(wide_poisson, "Poisson's ratio of a wide strip", above=-1.0, high=0.5, hint="0 for a narrow strip")

    def modulus(f, d, length, b, h, radius=support_radius):
        angle, wave = _three_point_shape(d, length, h, max(radius, 0.0))
        stiffness = f / (2.0 * b * wave**2 * np.cos(angle))
        return 12.0 * stiffness * (1.0 - wide_poisson**2) / h**3

    means = [r.mean for r in readings]
    angle, _ = _three_point_shape(means[1], means[2], means[4], support_radius)
    linear = (1.0 - wide_poisson**2) * linear_three_point(*means[:5])
    details = {
        "linear": linear,
        "contact_angle": angle,
        "greatest_force": means[0] * _force_growth(means[1], means[2], means[4], support_radius),
    }
    notes = []
    if means[2] < SPAN_TO_DEPTH * means[4]:
        notes.append(
            f"the span is only {means[2] / means[4]:.1f} thicknesses: ISO 178 and ASTM D790 ask for about 16, or shear "
            "makes its bending modulus look smaller"
        )
    if means[1] > LARGE_DEFLECTION * means[2]:
        notes.append(
            f"the deflection is {100 * means[1] / means[2]:.0f} % of the span, beyond the linear formula: it would be "
            f"off by {100 * (linear / modulus(*means) - 1):.1f} %; the exact curve is used"
        )
    return propagate(modulus, readings, notes, details, _MOST)


def linear_three_point(force, deflection, span, width, thickness):
    """Modulus by the small-deflection formula F L^3 / (4 b h^3 d) (ISO 178) [Pa], all in SI and positive."""
    force, deflection, span, width, thickness = read_together(
        {
            "force": (force, "N"),
            "deflection": (deflection, "mm"),
            "span": (span, "mm"),
            "width": (width, "mm"),
            "thickness": (thickness, "mm"),
        },
        above=0.0,
    )
    return force * span**3 / (4.0 * width * thickness**3 * deflection)


def _three_point_shape(deflection, span, thickness, radius):
    """(contact angle, wavenumber) of half the strip, from the deflection in the middle."""
    reach = radius + 0.5 * thickness

    def parts(th):
        s, c = np.sin(th), np.cos(th)
        along, across = elastica.along(th), elastica.across(th)
        wave = (along * c + across * s) / (0.5 * span - reach * s)
        return (along * s - across * c) / wave + reach * (1.0 - c), wave

    top = np.pi / 2 * (1 - 1e-9)
    if not 0.0 < deflection < parts(top)[0]:
        raise ValueError(
            f"a deflection of {show_input(deflection, 'mm', 4)} cannot be reached on supports "
            f"{show_input(span, 'mm', 4)} apart: it must lie between 0 and {show_input(parts(top)[0], 'mm', 4)}"
        )
    angle = scipy.optimize.brentq(lambda th: float(parts(th)[0]) - deflection, 1e-9, top, xtol=1e-15, rtol=1e-14)
    return angle, float(parts(angle)[1])


def _force_growth(deflection, span, thickness, radius):
    """Greatest force on the exact curve over the force at this deflection [-]."""
    reach = radius + 0.5 * thickness
    th = np.linspace(1e-3, 1.5, 3001)
    s, c = np.sin(th), np.cos(th)
    wave = (elastica.along(th) * c + elastica.across(th) * s) / (0.5 * span - reach * s)
    angle, here = _three_point_shape(deflection, span, thickness, radius)
    return float(np.max(wave**2 * c) / (here**2 * np.cos(angle)))


def droop(
    drop: Reading,
    overhang: Reading,
    thickness: Reading,
    density: Reading,
    end_mass: Reading | None = None,
    width: Reading | None = None,
    wide_poisson: float = 0.0,
) -> Measured:
    """Modulus from the end droop of a strip that overhangs a straight edge [Pa].

    Parameters
    ----------
    drop, overhang, thickness : Reading
        How far the end hangs below the edge, length of strip beyond the edge, thickness [m].
    density : Reading
        Of the sheet [kg/m3].
    end_mass, width : Reading, optional
        Mass hung from the very end [kg], and the strip's width [m]; both or neither.
    wide_poisson : float
        Poisson's ratio if the strip is wide; 0 for a narrow strip.

    Notes
    -----
    Exact heavy elastica D th'' = -(w (L - s) + P) cos th with th(0) = 0, th'(L) = 0, by spectral collocation and
    Newton's method; the small-deflection formula w L^4 / 8 D + P L^3 / 3 D is given in `details` as "linear".
    """
    if (end_mass is None) != (width is None):
        raise ValueError("an end weight needs its mass and the width of the strip: give both, or neither")
    readings = (drop, overhang, thickness, density) + ((end_mass, width) if end_mass else ())
    _positive(readings)
    read_number(wide_poisson, "Poisson's ratio of a wide strip", above=-1.0, high=0.5, hint="0 for a narrow strip")

    def modulus(y, length, h, rho, mass=0.0, b=0.0):
        weight, end = _droop_loads(h, rho, mass, b)
        stiffness = _stiffness_from_droop(y / length, weight * length**3, end * length**2)
        return 12.0 * stiffness * (1.0 - wide_poisson**2) / h**3

    means = [r.mean for r in readings]
    linear = (1.0 - wide_poisson**2) * linear_droop(*means)
    notes = []
    if means[0] > 0.1 * means[1]:
        notes.append(
            f"the droop is {100 * means[0] / means[1]:.0f} % of the overhang: the small-deflection formula would be "
            f"off by {100 * (linear / modulus(*means) - 1):.1f} %; the exact curve is used"
        )
    if means[0] < 10 * drop.uncertainty:
        notes.append("the droop is hardly larger than its reading error: use a longer overhang or an end weight")
    return propagate(modulus, readings, notes, {"linear": linear}, _MOST)


def _droop_loads(thickness, density, mass, width):
    """Per width: own weight [N/m2], end force [N/m]."""
    none = np.less(width, SMALLEST)
    return density * GRAVITY * thickness, plain(np.where(none, 0.0, mass * GRAVITY / np.where(none, 1.0, width)))


def linear_droop(drop, overhang, thickness, density, mass=0.0, width=0.0):
    """Modulus by the small-deflection formula, D = (w L^4 / 8 + P L^3 / 3) / y, of a narrow strip [Pa], all in SI."""
    drop, overhang, thickness, density, mass, width = read_together(
        {
            "drop": (drop, "mm"),
            "overhang": (overhang, "mm"),
            "thickness": (thickness, "mm"),
            "density": (density, "kg/m3"),
            "end weight": (mass, "g", dict(low=0.0)),
            "width": (width, "mm", dict(low=0.0)),
        },
        above=0.0,
    )
    weight, end = _droop_loads(thickness, density, mass, width)
    return 12.0 / thickness**3 * (weight * overhang**4 / 8.0 + end * overhang**3 / 3.0) / drop


def cantilever_droop(own_weight, end_force) -> tuple[float, float]:
    """(drop over length, end slope [rad]) of a heavy cantilever, from w L^3 / D and P L^2 / D [-], 0 to `MOST_LOAD`."""
    drop, _, slope = cantilever_end(own_weight, end_force)
    return drop, slope


def cantilever_end(own_weight, end_force) -> tuple[float, float, float]:
    """(drop, reach, end slope [rad]) of a heavy cantilever, drop and reach over its length, as `cantilever_droop`."""
    own_weight = read_number(own_weight, "w L^3 / D", low=0.0, high=MOST_LOAD, hint=HANGS)
    end_force = read_number(end_force, "P L^2 / D", low=0.0, high=MOST_LOAD, hint=HANGS)
    angle = _heavy_elastica(own_weight, end_force)
    return float(_WEIGHTS @ np.sin(angle)), float(_WEIGHTS @ np.cos(angle)), float(angle[-1])


def _heavy_elastica(own_weight, end_force):
    """Angle below the horizontal at Chebyshev's points 0..1, grown with the load in steps."""
    angle = np.zeros(_NODES + 1)
    for share in np.linspace(0.0, 1.0, 1 + max(1, int(np.ceil((own_weight / 3.0 + end_force) / 3.0))))[1:]:
        load = share * (own_weight * (1.0 - _POINTS) + end_force)
        for _ in range(60):
            miss = _SECOND @ angle + load * np.cos(angle)
            matrix = _SECOND - np.diag(load * np.sin(angle))
            miss[0], miss[-1] = angle[0], _FIRST[-1] @ angle
            matrix[0], matrix[-1] = np.eye(_NODES + 1)[0], _FIRST[-1]
            step = np.linalg.solve(matrix, miss)
            angle = angle - step
            if np.max(np.abs(step)) < 1e-13:
                break
    return angle


@lru_cache(maxsize=1024)
def _stiffness_from_droop(share, weight, end):
    """D from drop over length, w L^3 and P L^2 [N m]; kept, for the readings stay while a hand moves the design."""
    if not 0.0 < share < 0.98:
        raise ValueError(
            f"a droop of {share:.3g} times the overhang tells nothing: it must lie between 0 and 0.98; use a shorter "
            "overhang"
        )
    small = (weight / 8.0 + end / 3.0) / share  # the small-deflection answer; the true one is smaller or equal

    def miss(log_d):
        d = np.exp(log_d)
        return cantilever_droop(weight / d, end / d)[0] - share

    high, reach = np.log(small) + 0.1, 0.2
    while reach < _MOST_BELOW and miss(high - reach) < 0.0:  # what droops far takes long to work out
        reach *= 2.0
    return float(np.exp(scipy.optimize.brentq(miss, high - min(reach, _MOST_BELOW), high, xtol=1e-12)))


def opened_pair(
    force: Reading,
    span: Reading,
    free_length: Reading,
    thickness: Reading,
    spacer_diameter: Reading,
    bond_line: float = 0.0,
    setback: float = 0.0,
) -> Measured:
    """Modulus that resists bending from the opening force of the closed pair at a known spacer [Pa].

    `force` is what must be applied across each sheet, at the rod and normal to it, over the whole `span`, for the
    rod to come loose [N]: a spring scale on both sheets. The result is the wide-sheet modulus E / (1 - nu^2). N = D
    k^2 from the exact bend; `details`: "wavenumber" [1/m].
    """
    readings = (force, span, free_length, thickness, spacer_diameter)
    _positive(readings)
    bond_line, setback = read_number(bond_line, "bond line", "mm", 0.0), read_number(setback, "setback", "mm")

    def modulus(f, b, length, h, d):
        return 12.0 * f / (b * solve_bend(length, h, d, bond_line, setback).wavenumber ** 2 * h**3)

    means = [r.mean for r in readings]
    bend = solve_bend(*means[2:], bond_line, setback)
    notes = ("the spacer is close to the greatest one: the force hardly tells the modulus",) if bend.near_fold else ()
    return propagate(modulus, readings, notes, {"wavenumber": float(bend.wavenumber)})


def _positive(readings):
    for reading in readings:
        if not reading.mean > 0.0:
            raise ValueError(f"{reading.name} is {reading.mean:.4g}: it must be positive, in SI units")


_POINTS, _FIRST, _SECOND, _WEIGHTS, _ = chebyshev(_NODES)
