"""The blade as a beam along its span: shear, moment and torque, deflection and twist, for many load cases at once.

z runs along the span from the root (first station) to the tip (last). Forces act across the chord line, towards +y;
torques turn about the span axis, from the chord (+x, forward) towards +y, and are about one straight axis of the
part, by choice the rod's. What a cut at z carries is what acts on the part from there to the tip:

    shear V = sum of forces beyond z,  moment M = integral of V from z to the tip,  torque T likewise;
    w'' = M / EI,   phi' = T_s / GJ,   T_s = T + V (x_axis - x_s), the torque about the section's shear centre x_s.

A positive moment bends the tip towards +y and stretches the face at -y. Small deflections, plane sections, no shear
deformation, no warping restraint at the root (Gere & Goodno, Mechanics of Materials, ch. 4, 9, from memory).

Held at the root, or by two bearings, which take force across the chord but no moment; torque is held at one place.
Both are statically determinate, so the diagrams need no stiffness. Loads are exact integrals of the curve through the
stations (`mechanics.span_curves`), point loads exact jumps; the curvature is integrated by Gauss's rule panel by panel.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..mechanics.numerics import read_together
from ..mechanics.span_curves import GAUSS_NODES, GAUSS_WEIGHTS, checked_stations, curve, resample, stiffness_curve
from ..units import read_array, read_number, show_input

ROUNDING = 1e-9  # share of the largest moment that may be left at a free end


@dataclass(frozen=True, eq=False)
class PointLoad:
    """A force across the chord [N] and a torque about the axis [N m] at one position along the span [m]; of many parts
    the torque is an array (parts,)."""

    position: float
    force: float = 0.0
    torque: float | np.ndarray = 0.0

    def __post_init__(self):
        for name, unit in (("position", "mm"), ("force", "N")):
            read_number(getattr(self, name), f"{name} of a point load", unit)
        read_array(self.torque, "torque of a point load", "N m")


@dataclass(frozen=True)
class Held:
    """How the part is held. `bearings`: two positions [m], or none for a part clamped at its root. `torque_at`: where
    the torque is held [m], by default the root end. ValueError for one bearing, three, or two at one place."""

    bearings: tuple = ()
    torque_at: float | None = None

    def __post_init__(self):
        places = tuple(np.sort(read_array(self.bearings, "bearings", "mm", axes=1)).tolist())
        object.__setattr__(self, "bearings", places)
        if self.torque_at is not None:
            read_number(self.torque_at, "torque_at", "mm")
        if len(places) not in (0, 2):
            raise ValueError(
                f"{len(places)} bearings are given: give two positions, or none for a part held at its "
                "root; more would need their stiffness"
            )
        if places and not places[0] < places[1]:
            raise ValueError(
                f"both bearings are at {show_input(places[0], 'mm')}: two at one place hold no moment; move them apart"
            )


@dataclass(frozen=True, eq=False)
class SpanDiagrams:
    """Answer of `span_diagrams`. `position` (m,) [m]; a place where something jumps stands twice, before and after.

    (cases, m): `shear` [N], `moment` [N m], `torque` about the axis and `local_torque` about the shear centre [N m],
    `slope` [rad], `deflection` [m], `twist` [rad]. (cases, 2) `bearing_forces` [N] on the part, nan where it is
    clamped; (cases,) `root_force` [N], `root_moment` [N m] on the part, nan where it has bearings; `held_torque` [N m].
    Of many parts at once (`diagrams_of`) each of these has the parts before the cases.
    """

    position: np.ndarray
    shear: np.ndarray
    moment: np.ndarray
    torque: np.ndarray
    local_torque: np.ndarray
    slope: np.ndarray
    deflection: np.ndarray
    twist: np.ndarray
    bearing_forces: np.ndarray
    root_force: np.ndarray
    root_moment: np.ndarray
    held_torque: np.ndarray
    held: Held


def span_diagrams(
    position,
    force_per_length,
    torque_per_length,
    chord_stiffness,
    torsion_stiffness,
    held: Held | None = None,
    points=(),
    axis_offset=0.0,
) -> SpanDiagrams:
    """Diagrams, deflection and twist of all load cases.

    Parameters
    ----------
    position : array (n,)
        Stations along the span [m], rising; one that stands twice is a step.
    force_per_length, torque_per_length : array (n,) or (cases, n)
        Load across the chord [N/m] and torque about the axis [N m/m].
    chord_stiffness, torsion_stiffness : float or array (n,)
        EI about the chord line and GJ [N m2]; nan where unknown, then deflection or twist is nan.
    held : Held, optional
        By default clamped at the first station.
    points : sequence
        For one case, `PointLoad`s; for several, one sequence of them for each case.
    axis_offset : float or array (n,)
        x of the axis the torques are about, less x of the shear centre [m].

    Raises
    ------
    ValueError
        Stations, loads, bearings or point loads that make no sense or lie off the part; a stiffness not positive.
    """
    z, held = checked_stations(position), held or Held()
    force, torque = _loads(z, force_per_length), _loads(z, torque_per_length)
    cases = max(len(force), len(torque))
    force, torque = (np.broadcast_to(values, (cases, len(z))) for values in (force, torque))
    given = {"chord_stiffness": (chord_stiffness, "N m2"), "torsion_stiffness": (torsion_stiffness, "N m2")}
    *stiffness, _ = read_together({**given, "stations": (z, "mm")}, nan=True)
    stiffness = (np.broadcast_to(values, z.shape) for values in stiffness)
    offset, _ = read_together({"axis_offset": (axis_offset, "mm", dict(nan=True)), "stations": (z, "mm")})
    offset = np.broadcast_to(offset, z.shape)
    return diagrams_of(z, force, torque, *stiffness, held, Points.of(points, cases, z), offset)


def diagrams_of(
    position, force, torque, chord_stiffness, torsion_stiffness, held: Held, points: Points, offset, twisted=True
):
    """`span_diagrams` of one part or of many at once, which share stations and bearings.

    Many parts stand along a first axis: force, torque (parts, cases, n), the stiffnesses and the offset of the axis
    (parts, 1, n). `twisted`: whether the twist is asked for, which takes as long as a third of the rest; nan where it
    is not. Units, signs and errors as of `span_diagrams`.
    """
    z, torque_at = position, _held_on_part(held, position)
    load, turn = _Spread(curve(z, force)), _Spread(curve(z, torque))
    reactions = _bearing_forces(load, points, held)
    total = turn.once(z[-1]) + points.torques.sum(axis=-1)
    jumps = np.concatenate([points.places, held.bearings, [torque_at]])
    pulls = np.concatenate([points.forces, reactions, np.zeros((*total.shape, 1))], axis=-1)
    turns = np.concatenate([points.torques, np.zeros_like(reactions), -total[..., None]], axis=-1)
    cut = _Cut(load, turn, jumps, pulls, turns)
    bend = _integrated(cut, z, chord_stiffness, held)
    twist = _twisted(cut, z, torsion_stiffness, offset, torque_at) if twisted else np.full_like(bend[1], np.nan)
    return _answer(cut, z, held, offset, bend, twist, reactions, -total)


def _along(line, z):
    """A curve at places (m,): (..., m)."""
    return np.moveaxis(line(z), 0, -1)


@dataclass(frozen=True, eq=False)
class _Spread:
    """What is spread along the span, a curve, and its first and second integrals from the first station."""

    line: object

    @cached_property
    def once(self):
        """Curve of the integral."""
        return self.line.antiderivative()

    @cached_property
    def twice(self):
        """Curve of the integral of the integral."""
        return self.once.antiderivative()


@dataclass(frozen=True, eq=False)
class _Cut:
    """What a cut carries, from distributed and point loads, reactions included."""

    load: _Spread
    turn: _Spread
    jumps: np.ndarray
    pulls: np.ndarray
    turns: np.ndarray

    def shear(self, z, before=False):
        return _left(self.load.once, z) + self.pulls @ self._beyond(z, before)

    def moment(self, z):
        once, end = self.load.once, self.load.once.x[-1]
        spread = once(end)[..., None] * (end - z) - _left(self.load.twice, z)
        return spread + self.pulls @ np.maximum(self.jumps[:, None] - z, 0.0)

    def torque(self, z, before=False):
        return _left(self.turn.once, z) + self.turns @ self._beyond(z, before)

    def _beyond(self, z, before):
        place = self.jumps[:, None]
        return (place >= z if before else place > z).astype(float)

    def breaks(self):
        return np.unique(np.concatenate([self.load.line.x, self.jumps]))


def _left(line, z):
    """What a curve still gains from places (m,) to its end: (..., m)."""
    return line(line.x[-1])[..., None] - _along(line, z)


def _loads(z, values):
    values = np.atleast_2d(read_array(values, "a load per length", hint="in SI units"))
    if values.shape[-1] == 1:
        values = np.broadcast_to(values, (*values.shape[:-1], len(z)))
    if values.ndim != 2 or values.shape[1] != len(z):
        raise ValueError(
            f"a load of shape {values.shape} at {len(z)} stations: give finite numbers, one for each "
            "station, or one row of them for each case"
        )
    return values


@dataclass(frozen=True, eq=False)
class Points:
    """Point loads of all cases: `places` (k,) [m]; `forces` [N] and `torques` [N m] (cases, k), or of many parts
    (parts, cases, k)."""

    places: np.ndarray
    forces: np.ndarray
    torques: np.ndarray

    @classmethod
    def of(cls, points, cases: int, z) -> Points:
        """From `PointLoad`s, for all cases or for each its own; ValueError for one that lies off the part."""
        rows = tuple(points)
        if all(isinstance(p, PointLoad) for p in rows):
            rows = (rows,) * cases
        if len(rows) != cases:
            raise ValueError(
                f"point loads are given for {len(rows)} cases, distributed loads for {cases}: give one "
                "sequence of point loads for each case, empty where there is none"
            )
        listed = [(i, p) for i, row in enumerate(rows) for p in row]
        for _, p in listed:
            _on_part(p.position, z, "a point load")
        parts = np.broadcast_shapes(*(np.shape(p.torque) for _, p in listed))
        forces, torques = np.zeros((*parts, cases, len(listed))), np.zeros((*parts, cases, len(listed)))
        for k, (i, p) in enumerate(listed):
            forces[..., i, k], torques[..., i, k] = p.force, p.torque
        return cls(np.array([p.position for _, p in listed]), forces, torques)


def _on_part(place, z, what):
    if not z[0] <= place <= z[-1]:
        raise ValueError(
            f"{what} is at {show_input(place, 'mm')}: the part runs from {show_input(z[0], 'mm')} to "
            f"{show_input(z[-1], 'mm')}"
        )


def _held_on_part(held, z):
    for place in held.bearings:
        _on_part(place, z, "a bearing")
    torque_at = z[0] if held.torque_at is None else float(held.torque_at)
    _on_part(torque_at, z, "the place that holds the torque")
    if not held.bearings and torque_at != z[0]:
        raise ValueError("a part clamped at its root holds its torque there: leave torque_at out, or give two bearings")
    return torque_at


def _bearing_forces(load, points, held):
    """Forces of the two bearings on the part (..., cases, 2): their sum and their moment balance the loads."""
    if not held.bearings:
        return np.zeros((*points.forces.shape[:-1], 0))
    near, far = held.bearings
    end = load.line.x[-1]
    total = load.once(end) + points.forces.sum(axis=-1)
    first = load.once(end) * (end - far) - load.twice(end) + points.forces @ (points.places - far)
    one = first / (far - near)
    return np.stack([one, -total - one], axis=-1)


def _panels(breaks):
    width = np.diff(breaks)
    return width, (breaks[:-1, None] + width[:, None] * GAUSS_NODES).ravel()


def _integrated(cut, z, stiffness, held):
    """Slope and deflection (..., cases, breaks), with the constants that the supports set."""
    breaks = cut.breaks()
    width, nodes = _panels(breaks)
    bent = _by_panel(cut.moment(nodes) / _along(stiffness_curve(z, stiffness), nodes))
    turned = (bent @ GAUSS_WEIGHTS) * width
    lifted = (bent @ (GAUSS_WEIGHTS * (1.0 - GAUSS_NODES))) * width**2
    slope = _summed(turned)
    rise = _summed(slope[..., :-1] * width + lifted)
    if held.bearings:
        near, far = (rise[..., np.searchsorted(breaks, b), None] for b in held.bearings)
        tilt = (far - near) / (held.bearings[1] - held.bearings[0])
        slope, rise = slope - tilt, rise - near - tilt * (breaks - held.bearings[0])
    return slope, rise


def _by_panel(values):
    return values.reshape(*values.shape[:-1], -1, len(GAUSS_NODES))


def _summed(steps):
    """Running sum of steps (..., n), from zero: (..., n + 1)."""
    return np.concatenate([np.zeros((*steps.shape[:-1], 1)), np.cumsum(steps, axis=-1)], axis=-1)


def _twisted(cut, z, stiffness, offset, torque_at):
    """Twist (..., cases, breaks), zero where the torque is held."""
    breaks = cut.breaks()
    width, nodes = _panels(breaks)
    local = cut.torque(nodes) + cut.shear(nodes) * _along(curve(z, offset), nodes)
    rate = _by_panel(local / _along(stiffness_curve(z, stiffness), nodes))
    twist = _summed((rate @ GAUSS_WEIGHTS) * width)
    return twist - twist[..., [np.searchsorted(breaks, torque_at)]]


def _answer(cut, z, held, offset, bend, twist, reactions, held_torque):
    breaks = cut.breaks()
    doubled = np.unique(np.concatenate([cut.jumps, z[:-1][np.diff(z) == 0.0]]))
    if not held.bearings:
        doubled = doubled[doubled > z[0]]
    out = np.sort(np.concatenate([breaks, doubled]))
    index, before = np.searchsorted(breaks, out), np.append(np.diff(out) == 0.0, False)
    shear = np.where(before, cut.shear(out, True), cut.shear(out))
    torque = np.where(before, cut.torque(out, True), cut.torque(out))
    moment, clamped = cut.moment(out), not held.bearings
    _check_balance(cut, moment, clamped)
    unknown = np.full((*moment.shape[:-1], 2), np.nan)
    return SpanDiagrams(
        out,
        shear,
        moment,
        torque,
        torque + shear * resample(z, offset, out),
        bend[0][..., index],
        bend[1][..., index],
        twist[..., index],
        unknown if clamped else reactions,
        -shear[..., 0] if clamped else unknown[..., 0],
        -moment[..., 0] if clamped else unknown[..., 0],
        held_torque,
        held,
    )


def _check_balance(cut, moment, clamped):
    """The free root end must carry nothing: the reactions balance the loads."""
    largest = np.max(np.abs(moment), axis=-1)
    if not clamped and np.any(np.abs(moment[..., 0]) > ROUNDING * (largest + 1e-300) + 1e-12):
        raise ArithmeticError(
            "the bearing forces do not balance the loads: the bearings are too close together for "
            "the length of the part; move them apart"
        )
