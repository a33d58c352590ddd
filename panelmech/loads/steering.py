"""What a cambered blade does to the steering: side force and the helm that cancels it. An estimate, and no more.

Thin-aerofoil theory (Glauert, The Elements of Aerofoil and Airscrew Theory, 1926, ch. VII) gives the angle of no lift
of the blade's actual mean line; the lift slope of a blade of low aspect ratio is Helmbold's (1942, from memory).
Towards sheet 1 is positive for offsets, forces and for angles that turn the nose towards sheet 1.

Left out: thickness and blunt ends, boundary layer and stall, taper and tip shape, free surface and air drawn down,
twist and bending under load, the boat's own leeway. Thin-aerofoil theory itself is for small camber.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..materials.water import OCEAN_SALINITY, water_density
from ..mechanics.numerics import gauss
from ..mechanics.unequal import UnequalBend
from ..study.design import Design
from ..units import format_number, read_number, show
from .hydrodynamics import lift_slope

SEA_WATER = float(water_density(15.0, OCEAN_SALINITY))  # [kg/m3]
LEFT_OUT = (
    "This is an estimate: thin-aerofoil theory for the mean line and one lift slope for the whole blade.",
    "Left out are thickness and blunt ends, boundary layer and stall, tip shape, waves, air drawn down, and the "
    "blade's own bending under load.",
)
_NODES = 160
_NO_ANGLE = 1e-9  # rad; below it a blade is straight


def zero_lift_angle(position, slope, weights, chord):
    """Angle of no lift against the axis of `position` [rad], thin-aerofoil theory.

    Parameters
    ----------
    position : array
        Stations from the nose backwards [m], 0 to the chord.
    slope : array
        Slope of the mean line there, dz/dX, X backwards [-].
    weights : array
        For the integral over X [m].
    chord : float
        [m].

    Notes
    -----
    Glauert's integral, (1/pi) int (1 - cos phi) dz/dX dphi with X = chord (1 - cos phi)/2, is here
    2/(pi chord) int dz/dX sqrt(X / (chord - X)) dX; a parabolic line of sagitta f has -2 f / chord.
    """
    return 2.0 / (np.pi * chord) * np.sum(weights * slope * np.sqrt(position / (chord - position)), axis=-1)


@dataclass(frozen=True)
class SteeringEstimate:
    """Estimate for one blade. `chord` from trailing edge to nose [m]; `sagitta`, largest offset of the mean line from
    the line between them [m]; `zero_lift_angle` against that line and `zero_lift_against_land` against the land's
    direction [rad]; `aspect_ratio`, `lift_slope` [1/rad]; `side_force` with the line from trailing edge to nose along
    the flow, `side_force_land` with the land along the flow [N]; `rudder_angle`, the turn of this blade from that line
    that cancels the force [rad]; `speed` [m/s]; `notes`."""

    chord: float
    sagitta: float
    zero_lift_angle: float
    zero_lift_against_land: float
    aspect_ratio: float
    lift_slope: float
    side_force: float
    side_force_land: float
    rudder_angle: float
    speed: float
    notes: tuple


def steering_bias(
    design: Design, pair: UnequalBend, speed: float, density: float = SEA_WATER, aspect_factor: float = 1.0
) -> SteeringEstimate:
    """Side force of a cambered blade at a speed, and the angle that would cancel it: an estimate.

    Parameters
    ----------
    design : Design
        For span and land.
    pair : UnequalBend
        A single pair, feasible.
    speed : float
        Through the water [m/s], zero or more.
    density : float
        Of the water [kg/m3].
    aspect_factor : float
        1: both ends free. A blade whose top runs close along a hull or plate counts about twice its own aspect ratio.

    >>> from panelmech.job import demo
    >>> from panelmech.mechanics import solve_unequal
    >>> from panelmech.units import show
    >>> pair = solve_unequal(0.225, 0.002, 0.0021, 12.8, 14.8, 0.018)
    >>> show(steering_bias(demo().design, pair, speed=2.0).side_force, "N", 2)
    '−2.2 N'
    """
    if np.ndim(pair.rod_offset) or not np.isfinite(pair.rod_offset):
        reason = "not arrays" if np.ndim(pair.rod_offset) else pair.reason
        raise ValueError(f"steering_bias takes one pair that can be bent: {reason}")
    read_number(speed, "speed", "m/s", low=0.0)
    read_number(density, "density", "kg/m3", above=0.0)
    read_number(aspect_factor, "aspect factor", low=0.01, high=100.0)
    chord, sagitta, against_land, tilt = _mean_line(pair, design.land_length)
    against_chord = against_land + tilt
    aspect = aspect_factor * design.span / chord
    slope = lift_slope(aspect, "helmbold")
    push = 0.5 * density * speed**2 * chord * design.span * slope
    return SteeringEstimate(
        chord,
        sagitta,
        against_chord,
        against_land,
        aspect,
        slope,
        -push * against_chord,
        -push * against_land,
        against_chord,
        float(speed),
        LEFT_OUT,
    )


def steering_words(bias: SteeringEstimate) -> tuple[str, ...]:
    """The estimate in a builder's words."""
    if abs(bias.zero_lift_angle) < _NO_ANGLE:
        return ("The blade is straight: no side force by itself.", *bias.notes)
    side = "upper" if bias.side_force > 0.0 else "lower"
    nose = "upper" if bias.rudder_angle > 0.0 else "lower"
    return (
        f"Set by eye along the line from trailing edge to nose, the blade pushes with about "
        f"{show(abs(bias.side_force), 'N', 2)} towards its {side} sheet at {format_number(bias.speed, 2)} m/s; turning "
        f"its nose by {show(abs(bias.rudder_angle), 'deg', 2)} towards the {nose} sheet cancels it.",
        f"Set along its land it pushes with about {show(abs(bias.side_force_land), 'N', 2)} towards the other sheet: "
        "it matters which line you set it by."
        if bias.side_force * bias.side_force_land < 0.0
        else f"Set along its land it pushes with about {show(abs(bias.side_force_land), 'N', 2)} "
        "towards the same sheet.",
        *bias.notes,
    )


def _mean_line(pair, land):
    """Of the mean line with its land: chord, sagitta, angle of no lift against the land's direction, and the angle of
    the line from trailing edge to nose against it, nose towards sheet 1 positive."""
    nodes, weights = gauss(_NODES)
    phi = 0.5 * np.pi * (nodes + 1.0)  # stations close together at both ends
    s = 0.5 * pair.free_length * (1.0 - np.cos(phi))
    along = 0.25 * np.pi * pair.free_length * np.sin(phi) * weights
    (x, y), (start, foot) = (_line(pair, v) for v in (s, np.array([0.0, pair.free_length])))
    angle_1, angle_2 = pair.tangent_angle(1, s), pair.tangent_angle(2, s)
    rise = 0.5 * (np.sin(angle_1) - np.sin(angle_2))  # along the sheets: slope times dX is rise times ds
    chord, height = float(start[1] + land), float(foot[1] - foot[0])
    none = zero_lift_angle(start[1] - x, -rise, along, chord)
    off = y - foot[0] - height * (x + land) / chord
    return chord, float(off[np.argmax(np.abs(off))]), float(none), float(np.arctan2(height, chord))


def _line(pair, arclength):
    (x1, y1), (x2, y2) = (pair.outline(i, arclength) for i in (1, 2))
    return 0.5 * (x1 + x2), 0.5 * (y1 + y2)


def balancing_helm(
    side_force: float,
    speed: float,
    rudder_area: float,
    rudder_aspect_ratio: float,
    lever_ratio: float = 1.0,
    density: float = SEA_WATER,
) -> float:
    """Angle of another rudder that balances a blade's side force, by its turning moment [rad]; same estimate.

    `lever_ratio`: distance of the blade from the boat's pivot over the rudder's [-]. The rudder's nose turns to the
    side opposite to the force where both stand on the same side of the pivot (ratio positive).
    """
    read_number(side_force, "side force", "N")
    read_number(lever_ratio, "lever ratio")
    read_number(speed, "speed", "m/s", above=0.0)
    read_number(rudder_area, "rudder area", "m2", above=0.0)
    read_number(rudder_aspect_ratio, "aspect ratio of the rudder", above=0.0)
    read_number(density, "density", "kg/m3", above=0.0)
    return (
        -lever_ratio
        * side_force
        / (0.5 * density * speed**2 * rudder_area * lift_slope(rudder_aspect_ratio, "helmbold"))
    )
