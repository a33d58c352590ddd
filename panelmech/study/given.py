"""The finished size a builder knows, chord or outer thickness, to the free length or spacer that gives it exactly.

At a given contact angle free length, chord and outer thickness are straight lines over the rod's radius (`_Lines`; from
`mechanics.bend`, the wavenumber eliminated). So one condition gives the radius at each angle, and the other is one
equation in the angle: no search over bent shapes.

One answer at most for a chord, derived here. With q = land end to contact along the chord over the rise of the contact
(M = X sin - I1 cos, of `mechanics.elastica`), r = R + t/2 and a = (t + g)/2 the chord is

    (r cos - a) q + r sin + R + max(setback, 0) + land,    q' = -(sin + I1^2 + I1 cos / X) / M^2,    cos - q sin = -I1/M

so it falls with the angle; and on the lower branch, at one rod, so does the free length. For an outer thickness, and
for both together, one answer at most was found over wide random sets (tests) as long as the sheet is not thicker than
its free length is long; beyond that there may be several, and the one with the smallest angle is taken.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import scipy

from ..mechanics import elastica
from ..mechanics.bend import InfeasibleBend, solve_bend
from ..units import read_number, round_bound, show
from .design import LIMITS, Design
from .quantities import QUANTITIES

WELL = 100.0  # condition number up to which a shape is taken; nearer to the greatest spacer rounding would show
_ANGLES = np.geomspace(1e-6, 0.5 * np.pi * (1.0 - 1e-9), 481)


class _Lines(NamedTuple):
    """At a contact angle: (at radius zero, per radius) of free length, chord and outer thickness [m, -]."""

    free_length: tuple
    chord: tuple
    outer_thickness: tuple


def _lines(design, angle) -> _Lines:
    t, g, e = design.sheet_thickness, design.bond_line, design.setback
    s, c = np.sin(angle), np.cos(angle)
    along, across = elastica.along(angle), elastica.across(angle)
    over_rise = (along * c + across * s) / (along * s - across * c)
    arc_over_rise = elastica.lift_ratio(angle) / angle
    lost = 0.5 * g * c + (g + t) * np.sin(0.5 * angle) ** 2  # of the rise R cos
    return _Lines(
        (e / c - arc_over_rise * lost, arc_over_rise * c + (1.0 + s) / c),
        (design.land_length + max(e, 0.0) + 0.5 * t * s - over_rise * lost, over_rise * c + s + 1.0),
        (2.0 * (t * c + e * s / c), 2.0 * (c + s * (1.0 + s) / c)),
    )


def with_given(design: Design, chord: float | None = None, outer_thickness: float | None = None) -> Design:
    """The design whose finished part has this chord, this outer thickness at the front, or both.

    Parameters
    ----------
    design : Design
        Its free length follows from the chord, its spacer diameter from the outer thickness; all else stays.
    chord : float, optional
        The quantity `chord`: land and finished part up to the front-most point, sheet corner or rod [m].
    outer_thickness : float, optional
        The quantity `outer_thickness`: over the outer faces at the front edge [m].

    Returns
    -------
    Design
        What is given is met to 1e-12, relative, as `evaluate` works it out (tested over the range of `LIMITS`). A few
        milliseconds.

    Raises
    ------
    InfeasibleBend
        It cannot be reached by a part within `LIMITS`; the text says what can. Shapes with a condition number over 100
        count as not reached: the spacer is then within some 25 millionths of the greatest one.
    ValueError
        Nothing given, or no positive number; a spacer wall that does not fit in the spacer that follows.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> show(with_given(demo().design, outer_thickness=0.025).spacer_diameter, "mm")
    '19.27 mm'
    """
    given = {"chord": chord, "outer_thickness": outer_thickness}
    wanted = {
        name: read_number(value, QUANTITIES[name].label, "mm", above=0.0)
        for name, value in given.items()
        if value is not None
    }
    if not wanted:
        raise ValueError("neither chord nor outer thickness is given: give one of them, or both")
    walk = _walk(design, wanted, _ANGLES)
    for low, high in _brackets(walk, wanted[_last(wanted)]):
        found = _found(design, wanted, low, high)
        if found is not None:
            return found
    raise InfeasibleBend(_refusal(design, wanted, walk))


def _last(wanted):
    """The quantity that is met by the angle; a chord given beside it is met by the radius, at every angle."""
    return "outer_thickness" if "outer_thickness" in wanted else "chord"


class _Walk(NamedTuple):
    """Parts along the angle that meet all but the last quantity: `value` of that, and whether the part can be made."""

    angle: np.ndarray
    free_length: np.ndarray
    spacer_diameter: np.ndarray
    value: np.ndarray
    made: np.ndarray


def _part(design, wanted, angle):
    """(free length, spacer diameter, last quantity) at an angle, a float or an array [m]."""
    lines = _lines(design, angle)
    radius = 0.5 * design.spacer_diameter + 0.0 * angle
    if "outer_thickness" in wanted:
        kept = "chord" if "chord" in wanted else "free_length"
        at_zero, rate = getattr(lines, kept)
        radius = (wanted.get(kept, design.free_length) - at_zero) / rate
    length, value = (at_zero + rate * radius for at_zero, rate in (lines.free_length, getattr(lines, _last(wanted))))
    return length if "chord" in wanted else design.free_length + 0.0 * angle, 2.0 * radius, value


def _walk(design, wanted, angle) -> _Walk:
    length, diameter, value = _part(design, wanted, angle)
    bend = solve_bend(length, design.sheet_thickness, diameter, design.bond_line, design.setback)
    with np.errstate(invalid="ignore"):
        made = (np.abs(bend.contact_angle / angle - 1.0) < 1e-6) & (bend.condition < WELL)  # the lower branch
    for name, values in (("free_length", length), ("spacer_diameter", diameter)):
        low, high = LIMITS[name].range
        made &= (values >= low) & (values <= high)
    return _Walk(angle, length, diameter, value, made)


def _brackets(walk, target):
    """Pairs of neighbouring angles, one of them at least of a part that can be made, between which the target lies."""
    miss = walk.value - target
    between = (miss[:-1] * miss[1:] <= 0.0) & (walk.made[:-1] | walk.made[1:])
    return [walk.angle[i : i + 2] for i in np.flatnonzero(between)]


def _found(design, wanted, low, high):
    """The design between two angles, None where it is not one that can be made and meets what is wanted."""
    target = wanted[_last(wanted)]
    angle = scipy.optimize.brentq(lambda a: _part(design, wanted, a)[2] - target, low, high, xtol=1e-300, rtol=1e-15)
    length, diameter, _ = (float(v) for v in _part(design, wanted, angle))
    if not _walk(design, wanted, np.array([angle])).made[0]:
        return None
    return design.replace(free_length=length, spacer_diameter=diameter)


_FOLLOWS = {  # what is given: (what follows, what it is sought with)
    ("chord",): ("free length", "this spacer, setback and bond line"),
    ("outer_thickness",): ("spacer", "this free length, setback and bond line"),
    ("chord", "outer_thickness"): ("free length and spacer", "this land, setback and bond line"),
}


def _refusal(design, wanted, walk):
    """What was wanted, and what can be had instead, in words."""
    words = [f"{_NAMES[name]} of {show(value, 'mm')}" for name, value in wanted.items()]
    follows, kept = _FOLLOWS[tuple(wanted)]
    if not np.any(walk.made):
        what = f" for a {words[0]}" if "chord" in wanted and len(wanted) > 1 else ""
        return f"{words[-1]} cannot be reached: no {follows}{what} makes a part with {kept}; change one of these"
    low, high = _ends(design, wanted, walk)
    given = f"a {words[0]}, " if len(words) > 1 else ""
    return f"{words[-1]} cannot be reached: it can be {low} to {high} with {given}{kept}"


_NAMES = {"chord": "chord", "outer_thickness": "outer thickness at the front"}


def _ends(design, wanted, walk):
    """Least and greatest value of the last quantity that can be reached, as texts rounded inwards."""
    values = [walk.value[walk.made]]
    for way in (slice(None), slice(None, None, -1)):
        made = walk.made[way]
        first = int(np.argmax(made))
        if first:
            values.append(_edge(design, wanted, *walk.angle[way][first - 1 : first + 1]))
    values = np.concatenate(values)
    return tuple(show(round_bound(v(values), "mm", up=up), "mm") for v, up in ((np.min, True), (np.max, False)))


def _edge(design, wanted, bad, good):
    """Value at the angle nearest to `bad` at which the part can still be made, between a bad and a good angle."""
    for _ in range(8):
        walk = _walk(design, wanted, np.linspace(bad, good, 33))
        first = int(np.argmax(walk.made))
        bad, good = walk.angle[first - 1 : first + 1]
    return walk.value[first : first + 1]
