"""What holds a chordwise strip, what loads it, and how it answers: the records of `strip`, with their words.

The front of the strip is where the sheet touches the spacer. Three fronts, two ways along the chord:

resting   smooth rod: the sheet rolls round it and slides over it; contact arclength and angle change.
gripped   the sheet rolls round the rod but does not slide (friction, tape or a thin line of glue).
potted    rod, resin and sheet are one body from the contact forwards: the sheet is clamped there.

held      the front cannot move along the chord relative to the land. Right for a side load (outward on one
          face, inward on the other: antisymmetric, the two sheets hold the front against each other), and for a
          rod in a jig. A gripped or potted sheet then carries load as an arch.
free      the front moves along the chord so that the force along the chord on it does not change, apart from the
          pressure on the front itself. Right for equal pressure on both faces.

In every case the front neither leaves the chord line nor turns: its own movement across the chord belongs to the
whole blade. Before potting the rod is pushed out by 2 N sin(contact angle) per metre of span; whatever resists that
(a jig, the frames) is taken to keep its force while the load comes on. So a smooth rod that is free ("resting",
"free") is a rod held by a constant force alone: it rides along the wedge, and a strip so held is several times
softer than a propped one, even when nearly flat.

Flat limits. A resting and held, a gripped and free, and a potted and free strip tend to the beam tables as the bend
flattens. A potted and held one does so only once its rise is small against the thickness: until then it is an arch.
A gripped and held one never quite does: the rod grips the inner face, half a thickness off the mid-surface, and so
resists the turn of the sheet like a spring of 3 D/L.
"""

from dataclasses import dataclass

import numpy as np

LANDS = ("clamped", "hinged")
FRONTS = ("resting", "gripped", "potted")
MOTIONS = ("free", "held")

_LAND_WORDS = {
    "clamped": "land clamped",
    "hinged": "land hinged (its bending moment stays what it was)",
}
_FRONT_WORDS = {
    "resting": "front resting on a smooth rod",
    "gripped": "front rolling on the rod without sliding",
    "potted": "front potted (clamped)",
}
_MOTION_WORDS = {
    "free": "front free along the chord: right for equal pressure on both faces",
    "held": "front held along the chord relative to the land: right for a side load",
}


def _one_of(name, value, allowed):
    if value not in allowed:
        raise ValueError(f"{name} is {value!r}; it must be one of {', '.join(map(repr, allowed))}.")


@dataclass(frozen=True)
class Support:
    """How a strip is held. Default: the finished panel under equal pressure on both faces.

    land: "clamped" or "hinged".  front: "resting", "gripped" or "potted".  along_chord: "free" or "held".
    Raises ValueError for any other word.
    """

    land: str = "clamped"
    front: str = "potted"
    along_chord: str = "free"

    def __post_init__(self):
        _one_of("land", self.land, LANDS)
        _one_of("front", self.front, FRONTS)
        _one_of("along_chord", self.along_chord, MOTIONS)

    @property
    def words(self):
        """The support in plain words, with the load it is right for."""
        motion = _MOTION_WORDS[self.along_chord]
        if self.front == "resting":
            motion = (
                "rod in a jig: no arch, for the sheet can slide"
                if self.along_chord == "held"
                else "rod held by a constant force only, so it rides along the wedge"
            )
        return f"{_LAND_WORDS[self.land]}; {_FRONT_WORDS[self.front]}; {motion}"


@dataclass(frozen=True)
class StripLoad:
    """Load on a unit width of one sheet between land and contact; positive outward, normal to the sheet.

    pressure_at_land, pressure_at_front: pressure [Pa], linear over arclength (inside minus outside).
    point_force: line load along the span [N per metre of span] at point_arclength [m from the land end].
    on_front: the pressure at the front end of the strip also acts on the front (rod and potting), and pushes it
    along the chord with pressure times the half height of the mid-surface there. True for a closed cell under
    inside pressure or for water all round; False for a load on the sheets alone. Matters for "free" only.

    The pressure turns with the sheet. About the unloaded bent state that is a second-order effect: a pressure of
    fixed direction has the same small-load answer. The overhang in front of the contact carries no load.
    """

    pressure_at_land: float = 0.0
    pressure_at_front: float = 0.0
    point_force: float = 0.0
    point_arclength: float | None = None
    on_front: bool = True

    def __post_init__(self):
        if self.point_force and self.point_arclength is None:
            raise ValueError("point_force is given without point_arclength; say where it acts [m from the land end].")

    def scaled(self, factor):
        """The same load, `factor` times as large."""
        return StripLoad(
            self.pressure_at_land * factor,
            self.pressure_at_front * factor,
            self.point_force * factor,
            self.point_arclength,
            self.on_front,
        )


def even_strip_pressure(pressure, on_front=True):
    """Even pressure [Pa], positive outward."""
    return StripLoad(pressure, pressure, on_front=on_front)


def triangular_pressure(pressure, zero_at="land", on_front=True):
    """Pressure rising linearly over arclength from nothing at `zero_at` ("land" or "front") to `pressure` [Pa]."""
    _one_of("zero_at", zero_at, ("land", "front"))
    ends = (0.0, pressure) if zero_at == "land" else (pressure, 0.0)
    return StripLoad(*ends, on_front=on_front)


def point_load(force, arclength):
    """Line load along the span [N per metre of span], positive outward, at an arclength [m] from the land end."""
    return StripLoad(point_force=force, point_arclength=arclength)


class StripNotSolved(ValueError):
    """The strip has no trustworthy answer; the text says why and what to change."""


@dataclass(frozen=True, eq=False)
class StripResponse:
    """Small-load answer of one sheet strip. Outward positive; forces and moments per metre of span.

    deflection_max [m] signed, normal to the bent sheet, searched over the strip; at arclength deflection_at [m].
    midpoint_deflection [m]: at half the contact arclength.
    moment_max [N m/m] signed added moment, largest in size, positive where it bends the sheet further the way it is
    bent; at moment_at [m]. land_moment_change, front_moment_change [N m/m].
    strain_max [-]: largest size of the added surface strain along the chord, stretch plus bending; not the bend's own.
    stretch_max [-] signed: its mid-surface part.
    contact_force_change, contact_shear_change [N/m]: change of the force across and along the sheet at the contact.
    contact_shift, contact_turn [m, rad]: shift of the contact along the sheet, turn of the sheet there.
    front_shift [m] along the chord; chord_force_change [N/m] on the sheet at the front, forwards positive.
    liftoff_factor: times this load the contact force is gone, by the linear answer (inf: this load presses the
    sheet on; nan: potted, or a flat sheet without contact force). See `roads.strip_exact.liftoff_pressure` for the
    exact one. verdict: "holds contact", "bonded", "leaves the rod" or "runs off the sheet"; in the last two every
    result but liftoff_factor is nan, for the strip would no longer be held as said.
    arclength, deflection, moment: shape (stations,), for drawing.
    resolution [-]: share of the last polynomial terms in the largest, about the relative error.
    """

    support: Support
    load: StripLoad
    contact_arclength: float
    deflection_max: float
    deflection_at: float
    midpoint_deflection: float
    moment_max: float
    moment_at: float
    land_moment_change: float
    front_moment_change: float
    strain_max: float
    stretch_max: float
    contact_force_change: float
    contact_shear_change: float
    contact_shift: float
    contact_turn: float
    front_shift: float
    chord_force_change: float
    liftoff_factor: float
    verdict: str
    arclength: np.ndarray
    deflection: np.ndarray
    moment: np.ndarray
    resolution: float

    @property
    def words(self):
        """Support and verdict in plain words."""
        return f"{self.support.words}; {self.verdict}"
