"""Chordwise strip: how a unit width of one bent sheet, between land and front, answers a small load.

Models: a planar elastic strip, geometrically exact, linearised about the exact bent state with its own bending
moment and internal force; land clamped or hinged, front resting, gripped or potted, free or held along the chord
(`mechanics.strip` says which suits which load). The sheet may stretch, with the axial stiffness 12 D / t^2 that
belongs to its bending stiffness, or a given share of it: a held front makes the sheet an arch, and an arch that cannot
stretch has no flat limit.
Leaves out: the overhang in front of the contact (unloaded, straight), shear deformation, spanwise bending (`shell`),
large loads (`roads.strip_exact`).

Equations, derived here. s runs from the land end, t and n are the tangent and the outward normal of the bent state
(angle th), psi = th_c - th, N = D k^2 the contact force, R the rod's radius, h half the thickness. For a small turn
phi, displacement (x, y), stretch e and change of internal force f (force of the front part on the rear part):

    D phi'' = -f.n - N sin(psi) phi - N cos(psi) e        f' = -q n        e = (f.t + N cos(psi) phi) t^2/(12 D)
    x' = -sin(th) phi + cos(th) e     y' = cos(th) phi + sin(th) e     w = (x, y).n, outward deflection

At the contact, with m the shift of the contact arclength, X the shift of the front along the chord, c and s cosine
and sine of th_c, u = (x, y).t there:

    resting   w = -s X, m = c X - u - (R + h) phi,  phi' = k^2 m,                            f.t = -N phi
    gripped   w = -s X, u + h phi = c X, m = -R phi,  D phi' = N m + h (f.t + N phi)
    potted    phi = 0, y = 0, x = X
    held      X = 0          free   f_x = pressure on the front times the half height of the mid-surface there
    clamped   phi(0) = 0     hinged phi'(0) = 0

The unknown is phi'' at Gauss-Legendre nodes; everything else follows by integration, so the error falls
geometrically with the number of nodes.
"""

from dataclasses import dataclass, replace

import numpy as np

from .collocation import panels
from .wedge import solve_wedge

__all__ = [
    "StripLoad",
    "StripNotSolved",
    "StripResponse",
    "Support",
    "even_strip_pressure",
    "flat_strip_response",
    "point_load",
    "strip_response",
    "triangular_pressure",
    "wedge_contact",
    "wedge_strip_response",
]

# ----- What holds a chordwise strip, what loads it, and how it answers: the records of `strip`, with their words.
#
# The front of the strip is where the sheet touches the spacer. Three fronts, two ways along the chord:
#
# resting   smooth rod: the sheet rolls round it and slides over it; contact arclength and angle change.
# gripped   the sheet rolls round the rod but does not slide (friction, tape or a thin line of glue).
# potted    rod, resin and sheet are one body from the contact forwards: the sheet is clamped there.
#
# held      the front cannot move along the chord relative to the land. Right for a side load (outward on one
#           face, inward on the other: antisymmetric, the two sheets hold the front against each other), and for a
#           rod in a jig. A gripped or potted sheet then carries load as an arch.
# free      the front moves along the chord so that the force along the chord on it does not change, apart from the
#           pressure on the front itself. Right for equal pressure on both faces.
#
# In every case the front neither leaves the chord line nor turns: its own movement across the chord belongs to the
# whole blade. Before potting the rod is pushed out by 2 N sin(contact angle) per metre of span; whatever resists that
# (a jig, the frames) is taken to keep its force while the load comes on. So a smooth rod that is free ("resting",
# "free") is a rod held by a constant force alone: it rides along the wedge, and a strip so held is several times
# softer than a propped one, even when nearly flat.
#
# Flat limits. A resting and held, a gripped and free, and a potted and free strip tend to the beam tables as the bend
# flattens. A potted and held one does so only once its rise is small against the thickness: until then it is an arch.
# A gripped and held one never quite does: the rod grips the inner face, half a thickness off the mid-surface, and so
# resists the turn of the sheet like a spring of 3 D/L.


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


# ----- Chordwise strip: how a unit width of one bent sheet, between land and front, answers a small load.


NODES = 18
_ENOUGH = 1e-9  # share of the last Legendre coefficients above which more nodes are used


@dataclass(frozen=True, eq=False)
class _Base:
    """Bent state in lengths of the strip and forces of D / length^2."""

    length: float
    stiffness: float
    half_thickness: float
    radius: float
    angle_at: object
    contact_angle: float
    force: float
    half_height: float
    overhang: float
    stretch_share: float = 1.0


def strip_response(bend, bending_stiffness, load, support=None, *, nodes=NODES, stations=61, stretch_share=1.0):
    """Answer of one bent sheet strip to a small load.

    bend: a single `Bend` (not an array).  bending_stiffness: D of the sheet [N m], per metre of span: E t^3/12 for a
    narrow strip, E t^3/(12 (1 - nu^2)) for a wide sheet.  load: `StripLoad`.  support: `Support`, by default land
    clamped, front potted and free along the chord.  nodes: Gauss nodes a panel; raised by itself if too few.
    stretch_share: axial stiffness over 12 D / t^2 [-], 1 for a sheet of one kind; plywood, whose outer plies count most
    in bending, has another (`FramedSheet.ratios.a11`).

    Returns a `StripResponse`. Raises ValueError for an array of bends, a stiffness or share that is not positive, or a
    point load off the strip; StripNotSolved for supports that leave a mechanism.
    """
    if not (np.isfinite(stretch_share) and stretch_share > 0):
        raise ValueError(f"stretch_share is {stretch_share!r}; give a positive number, 1 for a sheet of one kind.")
    base = replace(bent_base(bend, bending_stiffness), stretch_share=float(stretch_share))
    return _respond(base, load, support or Support(), nodes, stations)


def flat_strip_response(length, thickness, bending_stiffness, load, support=None, *, nodes=NODES, stations=61):
    """Answer of a flat, unstressed strip with the same kinds of support: tells the share of the supports from that
    of the curvature. length [m] between land and front, thickness [m], bending_stiffness [N m] per metre of span.

    Limits: even pressure q L^4/D times 5/384 (hinged, resting), 1/184.634 (clamped, resting), 1/384 (clamped,
    potted); beam theory, any beam table. "Free" or "held" makes no difference to a flat strip, with two exceptions:
    a gripped and held front resists the turn of the sheet (`mechanics.strip`); a smooth rod that is free leaves a
    mechanism (StripNotSolved).
    """
    for name, value in (("length", length), ("thickness", thickness)):
        if not value > 0:
            raise ValueError(f"{name} is {value!r} m; it must be positive.")
    base = _Base(
        length,
        positive_stiffness(bending_stiffness),
        0.5 * thickness / length,
        0.0,
        np.zeros_like,
        0.0,
        0.0,
        0.0,
        np.inf,
    )
    return _respond(base, load, support or Support(), nodes, stations)


def wedge_contact(bend):
    """(angle [rad], length [m]) of the flat wedge with the same sheets, rod and setback: a straight sheet, hinged at
    the land end on its mid-surface, tangent to the rod. Length runs from the hinge to the contact.

    Raises ValueError where no straight sheet reaches the rod. See `wedge`.
    """
    wedge = solve_wedge(bend.free_length, bend.sheet_thickness, bend.spacer_diameter, bend.bond_line, bend.setback)
    if not np.isfinite(wedge.angle):
        raise ValueError(
            "No flat wedge: a straight sheet of this free length does not reach round the spacer; "
            "use a longer sheet or a smaller spacer."
        )
    return float(wedge.angle), float(wedge.contact_arclength)


def wedge_strip_response(bend, bending_stiffness, load, *, nodes=NODES, stations=61):
    """Answer of the flat wedge's sheet strip, hinged at the land and resting on the rod, for comparison with
    `strip_response` of the same sheets, rod and setback. Arguments as there."""
    length = wedge_contact(bend)[1]
    support = Support("hinged", "resting", "held")
    return flat_strip_response(
        length, float(bend.sheet_thickness), bending_stiffness, load, support, nodes=nodes, stations=stations
    )


def positive_stiffness(value):
    """The bending stiffness as a float [N m]; ValueError unless it is one positive number."""
    if not (np.ndim(value) == 0 and np.isfinite(value) and value > 0):
        raise ValueError(f"bending_stiffness is {value!r}; it must be one positive number [N m] (per metre of span).")
    return float(value)


def bent_base(bend, bending_stiffness):
    """The bent state a strip is linearised about. ValueError for an array of bends or an infeasible one."""
    if np.ndim(bend.contact_angle) != 0:
        raise ValueError("The strip takes one bend at a time; this one is an array of designs. Pick one and solve it.")
    if not np.isfinite(bend.contact_angle):
        raise ValueError(f"This bend is not feasible, so it has no strip: {bend.reason}.")
    length = float(bend.contact_arclength)
    thickness, angle = float(bend.sheet_thickness), float(bend.contact_angle)
    radius = 0.5 * float(bend.spacer_diameter)
    return _Base(
        length,
        positive_stiffness(bending_stiffness),
        0.5 * thickness / length,
        radius / length,
        lambda place: bend.tangent_angle(length * place),
        angle,
        (float(bend.wavenumber) * length) ** 2,
        (radius + 0.5 * thickness) * np.cos(angle) / length,
        float(bend.free_length) - length,
    )


def _breaks(base, load):
    """Panel lengths as shares of the strip: one panel, or two with the point load between."""
    if load.point_arclength is None:
        return np.array([1.0])
    share = load.point_arclength / base.length
    if not 0.0 < share < 1.0:
        raise ValueError(
            f"The point load is at arclength {load.point_arclength:.6g} m; it must lie on the strip, "
            f"between 0 (land end) and {base.length:.6g} m (contact)."
        )
    return np.array([share, 1.0 - share])


def _respond(base, load, support, nodes, stations):
    if support.front == "resting" and support.along_chord == "free" and (support.land == "hinged" or base.force == 0):
        raise StripNotSolved(
            "A smooth rod that is free along the chord does not hold a flat sheet or one with a "
            "hinged land: this is a mechanism. Hold the rod, or clamp the land."
        )
    lengths = _breaks(base, load)
    for order in (nodes, 2 * nodes, 4 * nodes):
        solution = _solve(base, load, support, panels(order, len(lengths)), lengths)
        if solution.resolution < _ENOUGH:
            return _record(base, load, support, solution, lengths, stations)
    raise StripNotSolved(
        f"The strip is not resolved by {order} nodes a panel (share of the last terms "
        f"{solution.resolution:.1e}); move the point load away from the very end."
    )


@dataclass(frozen=True, eq=False)
class _Solution:
    grid: object
    deflection: np.ndarray
    curvature: np.ndarray
    stretch: np.ndarray
    ends: dict
    resolution: float


def _fields(base, load, grid, lengths):
    """Every field as rows of an affine map of the unknowns (phi'', phi'(0), phi(0), f_x, f_y at the contact, X, 1)."""
    size = grid.order * grid.count
    step = np.repeat(lengths, grid.order)
    place = np.concatenate([[0.0], np.cumsum(lengths)[:-1]])[grid.panel] + step * grid.local
    integrate, total = grid.running * step, grid.total * step
    unit = np.eye(size + 6)
    angle = base.angle_at(place)
    sine, cosine, ahead = np.sin(angle), np.cos(angle), base.contact_angle - angle
    push_x, push_y = _load_forces(base, load, grid, place, sine, cosine, integrate, total)
    f_x = unit[size + 2] + np.outer(push_x, unit[-1])
    f_y = unit[size + 3] + np.outer(push_y, unit[-1])
    curvature = unit[size] + integrate @ unit[:size]
    turn = unit[size + 1] + integrate @ curvature
    sine, cosine = sine[:, None], cosine[:, None]
    along = cosine * f_x + sine * f_y + base.force * np.cos(ahead)[:, None] * turn
    stretch = along * base.half_thickness**2 / (3.0 * base.stretch_share)
    bent = (
        unit[:size]
        + cosine * f_y
        - sine * f_x
        + base.force * np.sin(ahead)[:, None] * turn
        + base.force * np.cos(ahead)[:, None] * stretch
    )
    rate_x, rate_y = -sine * turn + cosine * stretch, cosine * turn + sine * stretch
    x, y = integrate @ rate_x, integrate @ rate_y
    ends = {
        "turn": unit[size + 1] + total @ curvature,
        "curvature": unit[size] + total @ unit[:size],
        "x": total @ rate_x,
        "y": total @ rate_y,
        "f_x": unit[size + 2],
        "f_y": unit[size + 3],
        "shift": unit[size + 4],
        "one": unit[-1],
        "land_curvature": unit[size],
        "land_turn": unit[size + 1],
    }
    return {"bent": bent, "w": cosine * y - sine * x, "curvature": curvature, "stretch": stretch}, ends


def _load_forces(base, load, grid, place, sine, cosine, integrate, total):
    """Load in front of each node, x and y [D / length^2], shape (size,)."""
    per_area, per_line = base.length**3 / base.stiffness, base.length**2 / base.stiffness
    q = per_area * (load.pressure_at_land + (load.pressure_at_front - load.pressure_at_land) * place)
    q_x, q_y = -q * sine, q * cosine
    push_x, push_y = total @ q_x - integrate @ q_x, total @ q_y - integrate @ q_y
    if load.point_arclength is not None:
        angle = base.angle_at(np.array([load.point_arclength / base.length]))[0]
        behind = per_line * load.point_force * (grid.panel == 0)
        push_x, push_y = push_x - behind * np.sin(angle), push_y + behind * np.cos(angle)
    return push_x, push_y


def _conditions(base, load, support, ends):
    """The five end conditions as rows that must vanish (module text)."""
    s, c = np.sin(base.contact_angle), np.cos(base.contact_angle)
    out, up = c * ends["y"] - s * ends["x"], c * ends["x"] + s * ends["y"]
    drag = c * ends["f_x"] + s * ends["f_y"] + base.force * ends["turn"]
    shift, turn, curvature = ends["shift"], ends["turn"], ends["curvature"]
    if support.front == "potted":
        rows, roll = [turn, ends["y"], ends["x"] - shift], 0.0 * turn
    elif support.front == "resting":
        roll = c * shift - up - (base.radius + base.half_thickness) * turn
        rows = [out + s * shift, curvature - base.force * roll, drag]
    else:
        roll = -base.radius * turn
        rows = [
            out + s * shift,
            up + base.half_thickness * turn - c * shift,
            curvature - base.force * roll - base.half_thickness * drag,
        ]
    land = ends["land_turn"] if support.land == "clamped" else ends["land_curvature"]
    nose = load.on_front * load.pressure_at_front * base.half_height * base.length**3 / base.stiffness
    motion = shift if support.along_chord == "held" else ends["f_x"] - nose * ends["one"]
    return [*rows, land, motion], {"drag": drag, "push": c * ends["f_y"] - s * ends["f_x"], "roll": roll}


def _solve(base, load, support, grid, lengths):
    fields, ends = _fields(base, load, grid, lengths)
    rows, forces = _conditions(base, load, support, ends)
    system = np.vstack([fields["bent"], *rows])
    unknown = np.append(np.linalg.solve(system[:, :-1], -system[:, -1]), 1.0)
    values = {name: float(row @ unknown) for name, row in (ends | forces).items()}
    w, curvature, stretch = (fields[name] @ unknown for name in ("w", "curvature", "stretch"))
    return _Solution(grid, w, curvature, stretch, values, max(grid.tail(w), grid.tail(curvature)))


def _verdict(base, support, ends):
    """(verdict, linear lift-off factor)."""
    if support.front == "potted":
        return "bonded", np.nan
    if base.force == 0.0:
        return "holds contact", np.nan
    factor = -base.force / ends["push"] if ends["push"] < 0.0 else np.inf
    if factor <= 1.0:
        return "leaves the rod", factor
    off = ends["roll"] * base.length > base.overhang
    return ("runs off the sheet" if off else "holds contact"), factor


def _record(base, load, support, solution, lengths, stations):
    grid, ends, length = solution.grid, solution.ends, base.length
    verdict, factor = _verdict(base, support, ends)
    valid = 1.0 if verdict in ("holds contact", "bonded") else np.nan
    start = np.concatenate([[0.0], np.cumsum(lengths)])
    moment, force = base.stiffness / length * valid, base.stiffness / length**2 * valid
    bent = base.half_thickness * solution.curvature
    peaks, panel, local = grid.extremes(
        np.stack(
            [
                solution.deflection,
                solution.curvature,
                solution.stretch,
                solution.stretch + bent,
                solution.stretch - bent,
            ]
        )
    )
    deflection, bending, stretch = peaks[:3]
    deflection_at, bending_at = (length * (start[panel] + lengths[panel] * local))[:2]
    place = np.linspace(0.0, 1.0, stations)
    drawn = np.append(place, 0.5)
    shape = _sample(grid, solution.deflection, drawn, start, lengths)
    curve = _sample(grid, solution.curvature, place, start, lengths)
    return StripResponse(
        support=support,
        load=load,
        contact_arclength=length,
        deflection_max=length * valid * deflection,
        deflection_at=valid * deflection_at,
        midpoint_deflection=length * valid * shape[-1],
        moment_max=moment * bending,
        moment_at=valid * bending_at,
        land_moment_change=moment * ends["land_curvature"],
        front_moment_change=moment * ends["curvature"],
        strain_max=valid * np.abs(peaks[3:]).max(),
        stretch_max=valid * stretch,
        contact_force_change=force * ends["push"],
        contact_shear_change=force * ends["drag"],
        contact_shift=length * valid * ends["roll"],
        contact_turn=valid * ends["turn"],
        front_shift=length * valid * ends["shift"],
        chord_force_change=force * ends["f_x"],
        liftoff_factor=factor,
        verdict=verdict,
        arclength=length * place,
        deflection=length * valid * shape[:-1],
        moment=moment * curve,
        resolution=solution.resolution,
    )


def _sample(grid, values, place, start, lengths):
    """Interpolated values at places 0..1 of the strip."""
    number = np.clip(np.searchsorted(start, place, side="right") - 1, 0, len(lengths) - 1)
    local = (place - start[number]) / lengths[number]
    out = np.empty_like(place)
    for panel in range(len(lengths)):
        mine = number == panel
        out[mine] = grid.at(values, panel, local[mine])
    return out
