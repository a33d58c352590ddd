"""Side force of a low blade from speed and angle: lift slope of a low aspect ratio, cross-flow, stall.

Angles [rad] between flow and chord; coefficients on the blade's area (chord times span, seen from the side). The
aspect ratio is the effective one: geometric, span^2 / area, times what the end plate gives.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.numerics import plain, read_together
from ..mechanics.span_curves import at_station, checked_stations, span_integral
from ..units import read_array, read_choice, read_number, show, show_input

SECTION_SHARE = 0.9  # of the thin section's 2 pi, for a real section (Whicker & Fehlner; Hoerner)
STALL_SOURCE = "Lloyd 1989, as quoted by Kjellberg et al. 2023, for a blade at steady angle, deep in the water"
STALL_TURN = 3.0  # effective aspect ratio above which the stall angle stays the same


END_PLATES = "1 for two free ends, 2 for a root closed by a flat hull"


def effective_aspect_ratio(span: float, area, end_plate: float = 1.0):
    """span^2 / area [-] times `end_plate`: 1 for two free ends, 2 where a flat hull or plate closes the root without
    a gap, since it mirrors the blade; between them for a gap or a curved hull (the user's judgement).

    span [m], area [m2], a number or an array. ValueError for what is not positive, or an end plate outside 1 to 2.
    """
    read_number(span, "span", "m", above=0.0)
    area = read_array(area, "area", "m2", above=0.0)
    read_number(end_plate, "end plate factor", low=1.0, high=2.0, hint=END_PLATES)
    return plain(end_plate * span**2 / area)


def _helmbold(ratio):
    return 2.0 * np.pi * ratio / (2.0 + np.sqrt(ratio**2 + 4.0))


def _whicker_fehlner(ratio):
    return SECTION_SHARE * 2.0 * np.pi * ratio / (np.sqrt(ratio**2 + 4.0) + 1.8)


def _lifting_line(ratio):
    return 1.0 / (1.0 / (2.0 * np.pi * SECTION_SHARE) + 1.0 / (np.pi * ratio))


LIFT_MODELS = {
    "whicker-fehlner": (_whicker_fehlner, "Whicker & Fehlner 1958, sweep 0, as quoted by Kjellberg et al. 2023"),
    "helmbold": (_helmbold, "Helmbold's low aspect ratio formula, from memory"),
    "lifting line": (_lifting_line, "Hoerner's lifting line formula, section slope 0.9 of 2 pi, as in Prestero 2001"),
}


def lift_slope(aspect_ratio, model: str = "whicker-fehlner"):
    """Slope of the lift coefficient over angle [1/rad] at small angles.

    aspect_ratio : float or array
        Effective aspect ratio, positive. Models agree within 15 % from 1 to 6; below 1 the lifting line is too high.
    model : str
        A key of `LIFT_MODELS`, where the sources stand. ValueError for another, or for a ratio not positive.
    """
    read_choice(model, "lift model", LIFT_MODELS)
    out = LIFT_MODELS[model][0](_positive_ratio(aspect_ratio))
    return plain(out)


def _positive_ratio(aspect_ratio):
    return read_array(aspect_ratio, "aspect ratio", above=0.0, nan=True, hint="span squared over area")


def stall_angle(aspect_ratio):
    """Angle at which the flow breaks away [rad]: 1.225 - 0.445 AR + 0.075 AR^2 up to an effective aspect ratio of 3,
    0.565 above (Lloyd 1989, as quoted by Kjellberg et al. 2023). For a blade at steady angle; positive ratios only."""
    ratio = _positive_ratio(aspect_ratio)
    low = np.minimum(ratio, STALL_TURN)
    out = np.where(ratio <= STALL_TURN, 1.225 - 0.445 * low + 0.075 * low**2, 0.565)
    return plain(out)


def crossflow_coefficient(taper):
    """Cross-flow drag coefficient of a square tip [-], 0.1 + 1.6 times tip chord over root chord (Whicker & Fehlner
    1958, as quoted by Kjellberg et al. 2023), of a number or an array. Another page gives 0.8 for a square tip, 0.4 for
    a smooth one."""
    return plain(0.1 + 1.6 * read_array(taper, "taper, tip chord over root chord,", low=0.0, high=2.0))


@dataclass(frozen=True)
class Lift:
    """Lift at one angle: `coefficient` [-], its part from cross-flow, `slope` [1/rad], `stall_angle` [rad], whether
    the angle is beyond it, and the source; arrays of many blades."""

    coefficient: float
    crossflow: float
    slope: float
    angle: float
    stall_angle: float
    stalled: bool
    source: str

    @property
    def notes(self) -> tuple:
        """Words on a stalled blade; empty below the stall angle, and of many blades."""
        if np.ndim(self.stalled) or not self.stalled:
            return ()
        return (
            f"Angle {show(abs(self.angle), 'deg', 3)} is beyond the stall angle, "
            f"{show(self.stall_angle, 'deg', 3)}: the blade stalls and the formula no longer holds; its force is "
            "kept and likely too high.",
        )


def lift(angle: float, aspect_ratio, crossflow=0.0, model: str = "whicker-fehlner") -> Lift:
    """Lift coefficient at an angle: slope times angle, plus the cross-flow term (C / AR) angle |angle|.

    angle [rad], within a right angle; aspect_ratio, effective; crossflow, C of `crossflow_coefficient`, 0 to leave
    the term out; both numbers, or arrays of many blades. Beyond the stall angle the formula's value is given and
    `stalled` says so; nothing is clipped. ValueError for an angle beyond a right angle or a negative coefficient.
    """
    angle = read_number(angle, "angle", "deg", -0.5 * np.pi, 0.5 * np.pi, hint="a right angle either way")
    given = {
        "cross-flow coefficient": (crossflow, "", dict(low=0.0)),
        "aspect ratio": (aspect_ratio, "", dict(above=0.0, hint="span squared over area")),
    }
    crossflow, ratio = read_together(given)
    slope, stall = lift_slope(ratio, model), stall_angle(ratio)
    cross = crossflow / ratio * angle * abs(angle)
    return Lift(slope * angle + cross, cross, slope, angle, stall, plain(abs(angle) > stall), LIFT_MODELS[model][1])


# ----- How a side force is spread along the span: with the chord, as an ellipse, or the mean of both.


SPREADS = {
    "proportional to chord": "force per length goes with the chord: the same pressure everywhere",
    "elliptic": "force per length is an ellipse, whatever the chord: the least induced drag",
    "Schrenk's mean": "the mean of chord and ellipse (Schrenk, NACA TM 948, 1940, from memory)",
}


def span_share(position, chord, spread: str = "elliptic", mirrored: bool = True, start: float | None = None):
    """Share of the side force per length at the stations [1/m]; its integral along the span is one.

    position (n,) [m], chord (n,) or of many blades (..., n) [m]; spread, a key of `SPREADS`; mirrored: the root is a
    mirror (end plate), so that the ellipse is greatest there; start: the part before it is dry and takes nothing [m].
    A start inside the span needs a station that stands twice there (`mechanics.span_curves.with_step`). Stations closer
    together at the tip follow the ellipse's steep end better; the sum is exact in any case.
    """
    read_choice(spread, "spread", SPREADS)
    z = checked_stations(position)
    chord, _ = read_together({"chord": (chord, "mm", dict(low=0.0)), "stations": (z, "mm")})
    start = z[0] if start is None else at_station(z, read_number(start, "the dry part", "mm"))
    if not z[0] <= start < z[-1]:
        raise ValueError(
            f"the dry part ends at {show_input(start, 'mm')}: give a place from the root, "
            f"{show_input(z[0], 'mm')}, to before the tip, {show_input(z[-1], 'mm')}"
        )
    if z[0] < start and np.count_nonzero(z == start) != 2:
        raise ValueError(f"the dry part ends at {show_input(start, 'mm')}: that station must stand twice (with_step)")
    wet = in_water(z, start)
    depth = np.clip((z - start) / (z[-1] - start), 0.0, 1.0)
    ellipse = np.sqrt(np.clip(1.0 - (depth if mirrored else 2.0 * depth - 1.0) ** 2, 0.0, None))
    shapes = {"proportional to chord": (chord,), "elliptic": (ellipse,), "Schrenk's mean": (chord, ellipse)}[spread]
    parts = [_to_one(z, np.where(wet, shape, 0.0)) for shape in shapes]
    return parts[0] if len(parts) == 1 else _to_one(z, 0.5 * (parts[0] + parts[1]))


def in_water(z, start):
    """True for the stations in the water; of the two at the water line the second."""
    return (z > start) | ((z == start) & ((start == z[0]) | np.append(False, np.diff(z) == 0.0)))


def _to_one(z, values):
    return values / np.asarray(span_integral(z, values))[..., None]
