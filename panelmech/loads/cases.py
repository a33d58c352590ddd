"""Load cases of a blade: what the builder states, as named records, and what follows along the span.

A statement (`SideForce`, `PointPush`, `SealedAir`, `WaterHead`) becomes a `LoadCase` by `load_case`: force and torque
per length at the blade's stations, point loads, and the pressure on its skin. Forces act across the chord, towards +y.
Torques are about one straight axis at `axis_x` (the rod's), from the chord towards +y, so a force ahead of the axis
turns positive. A positive skin pressure pushes outwards.

The side force acts at a quarter of the chord from the leading edge (thin section below stall; common in every
handbook, from memory). Near stall it moves aft, towards the middle of the chord: enter another share for that.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from ..mechanics.numerics import plain, read_together
from ..mechanics.span_curves import at_station, checked_stations, span_integral
from ..units import LARGEST, read_choice, read_number, show, show_input
from .beam import PointLoad
from .hydrodynamics import (
    END_PLATES,
    LIFT_MODELS,
    SPREADS,
    crossflow_coefficient,
    effective_aspect_ratio,
    in_water,
    lift,
    span_share,
)

GRAVITY, ZERO_CELSIUS, STANDARD_PRESSURE = 9.80665, 273.15, 101325.0
WATERS = "998 fresh, 1025 sea"
QUARTER = 0.25  # of the chord from the leading edge: where the side force acts


@dataclass(frozen=True, eq=False)
class Planform:
    """The blade seen from the side, at its stations (n,): `position` from the root [m], `chord` [m], `leading_edge_x`
    [m]; `axis_x`, the straight axis torques are about [m]. Or many blades of the same stations: `chord` and
    `leading_edge_x` (blades, n), `axis_x` (blades, 1); arrays of their load cases then have the blades first."""

    position: np.ndarray
    chord: np.ndarray
    leading_edge_x: np.ndarray
    axis_x: float | np.ndarray

    def __post_init__(self):
        z = checked_stations(self.position)
        names = "chord", "leading_edge_x", "axis_x"
        read = read_together({**{f"planform: {n}": (getattr(self, n), "mm") for n in names}, "stations": (z, "mm")})
        shape = np.broadcast_shapes(*map(np.shape, read))
        for name, value in zip(names, read, strict=False):
            object.__setattr__(self, name, value if name == "axis_x" else np.broadcast_to(value, shape))
        if shape[-1] != len(z) or len(shape) > 2 or np.shape(self.axis_x)[1:] not in ((), (1,)):
            raise ValueError(
                f"planform: its chord has the shape {shape} at {len(z)} stations: give one value for each station, "
                "and of many blades a row for each with one axis"
            )
        if np.any(self.chord < 0.0) or not np.all(np.any(self.chord > 0.0, axis=-1)):
            raise ValueError("planform: the chord must not be negative, and positive somewhere")
        object.__setattr__(self, "position", z)


@dataclass(frozen=True, eq=False)
class LoadCase:
    """One load case along the span. `force_per_length` [N/m] and `torque_per_length` about the axis [N m/m] at the
    stations `position` [m]; `points`, `PointLoad`s; `pressure` on the skin at the stations, outward positive [Pa];
    `factor` already in all of these; `lasting`; `source` of the formulas; `details` by name (SI); `notes` on doubtful
    inputs."""

    name: str
    position: np.ndarray
    force_per_length: np.ndarray
    torque_per_length: np.ndarray
    points: tuple = ()
    pressure: np.ndarray | float = 0.0
    lasting: bool = False
    factor: float = 1.0
    source: str = ""
    details: dict = field(default_factory=dict)
    notes: tuple = ()

    @property
    def side_force(self) -> float:
        """Sum of the forces across the chord [N]."""
        return float(span_integral(self.position, self.force_per_length)) + sum(p.force for p in self.points)


class Statement:
    """What a builder states of one load; a kind of load is a record of this kind, with its own `case`."""

    name: str

    def case(self, planform: Planform) -> LoadCase:
        """What follows along the span for a blade of this planform."""
        raise NotImplementedError

    def places(self, span: float) -> tuple:
        """Places from the root end at which it acts as a point load [m]."""
        return ()

    @property
    def waterline(self) -> float | None:
        """From where on, from the root end, the part is wet [m]; None where it says nothing of that."""
        return None


def load_case(statement, planform: Planform) -> LoadCase:
    """The load case that a statement means for a blade of this planform."""
    if not isinstance(statement, Statement):
        kinds = ", ".join(kind.__name__ for kind in Statement.__subclasses__())
        raise ValueError(f"{statement!r} is no load: give one of {kinds}")
    return statement.case(planform)


@dataclass(frozen=True)
class SideForce(Statement):
    """Side force of a blade in flow. Raises ValueError for what makes no sense.

    name : of the case
    speed : through the water [m/s], zero or more
    density : of the water [kg/m3]
    angle : between flow and chord [rad], within a right angle either way; None where the coefficient is given
    coefficient : lift coefficient of the user's [-]; None where the angle is given
    end_plate : 1 to 2 [-], see `loads.hydrodynamics.effective_aspect_ratio`
    model : one of `loads.hydrodynamics.LIFT_MODELS`
    tip : cross-flow coefficient [-], None for that of a square tip of this taper
    spread : along the span, one of `SPREADS`
    mirrored : True: the ellipse is full at the root; False: it falls to nothing at both ends and the force acts further
        out; None: full at the root if `end_plate` is above 1
    immersed_from : the part from the root to here is dry [m]
    centre : share of the chord from the leading edge where it acts [-]
    skin_share : share of the force that one face bears as pressure [-]; 1 is the safe side
    lasting : stays for so long that the limits for good apply
    """

    name: str
    speed: float
    density: float
    angle: float | None = None
    coefficient: float | None = None
    end_plate: float = 1.0
    model: str = "whicker-fehlner"
    tip: float | None = None
    spread: str = "elliptic"
    mirrored: bool | None = None
    immersed_from: float = 0.0
    centre: float = QUARTER
    skin_share: float = 1.0
    lasting: bool = False

    def __post_init__(self):
        if (self.angle is None) == (self.coefficient is None):
            raise ValueError(
                f"{self.name}: give either the angle to the flow or a lift coefficient, not "
                f"{'both' if self.angle is not None else 'neither'}"
            )
        _check(self, "speed", "m/s", low=0.0, hint="the direction of the force is set by the angle")
        _check(self, "immersed_from", "mm", low=0.0, hint="it is measured from the root end")
        _check(self, "density", "kg/m3", above=0.0, hint=WATERS)
        _check(self, "tip", low=0.0, optional=True, hint="it is the cross-flow coefficient")
        _check(self, "angle", "deg", -0.5 * np.pi, 0.5 * np.pi, optional=True, hint="a right angle either way")
        _check(self, "coefficient", optional=True)
        _check(self, "end_plate", low=1.0, high=2.0, hint=END_PLATES)
        for name in ("centre", "skin_share"):
            _check(self, name, low=0.0, high=1.0, hint="it is a share")
        read_choice(self.model, f"{self.name}: model", LIFT_MODELS)
        read_choice(self.spread, f"{self.name}: spread", SPREADS)

    @property
    def full_at_root(self) -> bool:
        """Whether the ellipse is greatest at the root: as stated, else with an end plate."""
        return self.end_plate > 1.0 if self.mirrored is None else self.mirrored

    @property
    def waterline(self) -> float:
        """Where the dry part ends [m]."""
        return self.immersed_from

    def case(self, planform: Planform) -> LoadCase:
        """Spread along the wet part, at its share of the chord; near stall with notes."""
        z, chord = planform.position, planform.chord
        dry = at_station(z, max(self.immersed_from, z[0]))
        share = span_share(z, chord, self.spread, self.full_at_root, dry)
        wet = np.where(in_water(z, dry), chord, 0.0)
        area, span = plain(span_integral(z, wet)), z[-1] - dry
        ratio = effective_aspect_ratio(span, area, self.end_plate)
        first = np.argmax(wet > 0.0, axis=-1)[..., None]
        taper = plain(np.clip(chord[..., -1] / np.take_along_axis(wet, first, axis=-1)[..., 0], 0.0, 2.0))
        tip = crossflow_coefficient(taper) if self.tip is None else self.tip
        section_lift = None if self.angle is None else lift(self.angle, ratio, tip, self.model)
        coefficient = self.coefficient if section_lift is None else section_lift.coefficient
        stagnation = 0.5 * self.density * self.speed**2
        per_length = np.asarray(coefficient * stagnation * area)[..., None] * share
        arm = planform.leading_edge_x - self.centre * chord - planform.axis_x
        with np.errstate(invalid="ignore", divide="ignore"):
            pressure = np.where(chord > 0.0, self.skin_share * np.abs(per_length) / chord, 0.0)
        details = {
            "area": area,
            "wet_span": span,
            "aspect_ratio": ratio,
            "lift_slope": section_lift.slope if section_lift else np.nan,
            "crossflow": tip if section_lift else np.nan,
            "lift_coefficient": coefficient,
            "stagnation_pressure": stagnation,
            "stall_angle": section_lift.stall_angle if section_lift else np.nan,
            "angle": np.nan if section_lift is None else self.angle,
            "stalled": section_lift.stalled if section_lift else False,
        }
        formula = section_lift.source if section_lift else "lift coefficient as entered"
        source = f"{formula}; spread {self.spread}: {SPREADS[self.spread]}"
        notes = (*(section_lift.notes if section_lift else ()), *self._surface(dry))
        return LoadCase(
            self.name, z, per_length, per_length * arm, (), pressure, self.lasting, 1.0, source, details, notes
        )

    def _surface(self, dry):
        """What the formula leaves out of a blade that pierces the surface, in words."""
        if dry <= 0.0:
            return ()
        return (
            f"{self.name}: the part pierces the surface; the force is that of a part deep in the water. Near the "
            "surface waves take some of it, and air drawn down the low-pressure side may take much of it at once.",
        )


@dataclass(frozen=True)
class PointPush(Statement):
    """A force at one place, as when the tip grounds or a line bears on the blade. ValueError as `SideForce`.

    name : of the case
    force : across the chord [N]
    place : share of the span from the root [-]; 1 is the tip
    chord_place : share of the chord from the leading edge [-], None on the axis
    lasting : as of `SideForce`
    """

    name: str
    force: float
    place: float = 1.0
    chord_place: float | None = None
    lasting: bool = False

    def __post_init__(self):
        _check(self, "force", "N")
        for name in ("place", "chord_place"):
            _check(self, name, low=0.0, high=1.0, optional=name == "chord_place", hint="it is a share")

    def places(self, span: float) -> tuple:
        """Its one place [m]."""
        return (self.place * span,)

    def case(self, planform: Planform) -> LoadCase:
        """One point load, with its torque about the axis."""
        z = planform.position
        place = at_station(z, float(z[0] + self.place * (z[-1] - z[0])))
        arm = 0.0
        if self.chord_place is not None:
            lines = planform.leading_edge_x - self.chord_place * planform.chord - planform.axis_x
            arm = plain(np.apply_along_axis(lambda line: np.interp(place, z, line), -1, lines))
        nothing = np.zeros_like(z)
        points, details = (PointLoad(place, self.force, self.force * arm),), {"force": self.force}
        source = "force as entered"
        return LoadCase(self.name, z, nothing, nothing, points, nothing, self.lasting, 1.0, source, details)


@dataclass(frozen=True)
class SealedAir(Statement):
    """Air shut in at one temperature and heated or cooled to another [K]: pressure on the skin from inside.
    ValueError for a temperature not above absolute zero, or a pressure `outside` [Pa] not positive."""

    name: str
    sealed_at: float
    heated_to: float
    outside: float = STANDARD_PRESSURE
    lasting: bool = False

    def __post_init__(self):
        for name in ("sealed_at", "heated_to"):
            _check(self, name, "K", above=0.0, hint=f"0 °C is {ZERO_CELSIUS} K")
        _check(self, "outside", "Pa", above=0.0, hint=f"the open air has about {STANDARD_PRESSURE:.0f} Pa")

    def case(self, planform: Planform) -> LoadCase:
        """Even pressure on the skin, from inside."""
        pressure = sealed_pressure(self.sealed_at, self.heated_to, self.outside)
        cold, warm = (show(t - ZERO_CELSIUS, "", 3) for t in (self.sealed_at, self.heated_to))
        return _on_skin(self, planform, pressure, f"ideal gas, volume unchanged, {cold} to {warm} °C")


@dataclass(frozen=True)
class WaterHead(Statement):
    """Water standing on one side, `depth` above the lowest point [m]: inside (outward) or outside (inward).
    ValueError for a negative depth or density."""

    name: str
    depth: float
    density: float
    inside: bool = True
    lasting: bool = True

    def __post_init__(self):
        _check(self, "depth", "mm", low=0.0, hint="for water on the other side set `inside`")
        _check(self, "density", "kg/m3", low=0.0, hint=WATERS)

    def case(self, planform: Planform) -> LoadCase:
        """Even pressure on the skin, at its full depth."""
        pressure = water_pressure(self.density, self.depth) * (1.0 if self.inside else -1.0)
        return _on_skin(self, planform, pressure, "standing water at its full depth, all over the skin")


@dataclass(frozen=True)
class Severe(Statement):
    """Another statement times a `factor` of the user's, with the `basis` he has for it in words."""

    name: str
    statement: Statement
    factor: float
    basis: str

    def __post_init__(self):
        _check(self, "factor", low=0.0, hint="it multiplies the whole case")

    def case(self, planform: Planform) -> LoadCase:
        """The other statement's, times the factor."""
        return severe(load_case(self.statement, planform), self.factor, self.name, self.basis)

    def places(self, span: float) -> tuple:
        """Those of the other statement [m]."""
        return self.statement.places(span)

    @property
    def waterline(self) -> float | None:
        """That of the other statement [m]."""
        return self.statement.waterline


def severe(case: LoadCase, factor: float, name: str, basis: str) -> LoadCase:
    """A case times a factor: forces, torques, point loads and skin pressure alike. ValueError for a negative one."""
    read_number(factor, f"{name}: factor", low=0.0)
    points = tuple(PointLoad(p.position, factor * p.force, factor * p.torque) for p in case.points)
    return replace(
        case,
        name=name,
        force_per_length=factor * case.force_per_length,
        torque_per_length=factor * case.torque_per_length,
        points=points,
        pressure=factor * case.pressure,
        factor=factor * case.factor,
        source=f"{case.name} times {show_input(factor)}: {basis}; {case.source}",
    )


def sealed_pressure(sealed_at, heated_to, outside=STANDARD_PRESSURE):
    """Pressure over that outside of air shut in at `sealed_at` and brought to `heated_to` [K], volume unchanged [Pa].

    p (T2 / T1 - 1), ideal gas. `outside` [Pa], also the pressure at which it was sealed. Moist air and a part that
    swells are left out. 20 to 60 deg C gives 13.8 kPa. ValueError for a temperature or pressure not positive.
    """
    kelvin = dict(above=0.0, hint=f"0 °C is {ZERO_CELSIUS} K")
    warm, hot, outside = read_together(
        {
            "sealed at": (sealed_at, "K", kelvin),
            "heated to": (heated_to, "K", kelvin),
            "pressure outside": (outside, "Pa", dict(above=0.0)),
        }
    )
    return outside * (hot / warm - 1.0)


def water_pressure(density, depth):
    """Pressure of standing water [Pa]: density [kg/m3] times 9.80665 m/s2 times depth [m]; neither negative."""
    density, depth = read_together({"density": (density, "kg/m3"), "depth": (depth, "mm")}, low=0.0)
    return density * GRAVITY * depth


def _on_skin(statement, planform, pressure, source):
    z, nothing, details = planform.position, np.zeros_like(planform.position), {"pressure": pressure}
    lasting = statement.lasting
    return LoadCase(statement.name, z, nothing, nothing, (), nothing + pressure, lasting, 1.0, source, details)


def _check(record, name, unit="", low=-LARGEST, high=LARGEST, optional=False, **more):
    value = getattr(record, name)
    if not (optional and value is None):
        read_number(value, f"{record.name}: {name}", unit, low, high, **more)
