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
from functools import cached_property

import numpy as np

from ..units import read_choice, read_count, read_number
from .collocation import panels
from .numerics import positive_stiffness

# ----- What holds the strip. Its front is where the sheet touches the spacer. Three fronts, two ways along the chord:
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


LANDS = {"clamped": "land clamped", "hinged": "land hinged (its bending moment stays what it was)"}
FRONTS = {
    "resting": "front resting on a smooth rod",
    "gripped": "front rolling on the rod without sliding",
    "potted": "front potted (clamped)",
}
MOTIONS = {
    "free": "front free along the chord: right for equal pressure on both faces",
    "held": "front held along the chord relative to the land: right for a side load",
}
_SIZES = ("pressure_at_land", "pressure_at_front", "point_force")
_SMOOTH_ROD = {
    "free": "rod held by a constant force only, so it rides along the wedge",
    "held": "rod in a jig: no arch, for the sheet can slide",
}


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
        for name, allowed in (("land", LANDS), ("front", FRONTS), ("along_chord", MOTIONS)):
            read_choice(getattr(self, name), name, allowed)

    @property
    def words(self):
        """The support in plain words, with the load it is right for."""
        motions = _SMOOTH_ROD if self.front == "resting" else MOTIONS
        return f"{LANDS[self.land]}; {FRONTS[self.front]}; {motions[self.along_chord]}"


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
        for name in _SIZES + ("point_arclength",) * (self.point_arclength is not None):
            read_number(getattr(self, name), f"{name} of a strip")
        if self.point_force and self.point_arclength is None:
            raise ValueError("point_force is given without point_arclength; say where it acts [m from the land end].")

    def scaled(self, factor):
        """The same load, `factor` times as large."""
        return replace(self, **{name: getattr(self, name) * factor for name in _SIZES})


def even_strip_pressure(pressure, on_front=True):
    """Even pressure [Pa], positive outward."""
    return StripLoad(pressure, pressure, on_front=on_front)


def triangular_pressure(pressure, zero_at="land", on_front=True):
    """Pressure rising linearly over arclength from nothing at `zero_at` ("land" or "front") to `pressure` [Pa]."""
    ends = (0.0, pressure) if read_choice(zero_at, "zero_at", ("land", "front")) == "land" else (pressure, 0.0)
    return StripLoad(*ends, on_front=on_front)


def point_load(force, arclength):
    """Line load along the span [N per metre of span], positive outward, at an arclength [m] from the land end."""
    return StripLoad(point_force=force, point_arclength=arclength)


class StripNotSolved(ValueError):
    """The strip has no trustworthy answer; the text says why and what to change."""


@dataclass(frozen=True, eq=False)
class StripResponse:
    """Small-load answer of one sheet strip. Outward positive; forces and moments per metre of span.

    In the verdicts "leaves the rod" and "runs off the sheet" every result but `liftoff_factor` is nan, for the strip
    would no longer be held as said.

    Attributes
    ----------
    contact_arclength : length of the strip [m]
    deflection_max : signed, normal to the bent sheet, searched over the strip [m]; `deflection_at` its arclength [m]
    midpoint_deflection : at half the contact arclength [m]
    moment_max : added moment, largest in size, positive where it bends the sheet further the way it is bent [N m/m];
        `moment_at` its arclength [m]
    land_moment_change, front_moment_change : added moment at the ends [N m/m]
    strain_max : largest size of the added surface strain along the chord, stretch plus bending; not the bend's own [-]
    stretch_max : its mid-surface part, signed [-]
    contact_force_change, contact_shear_change : of the force across and along the sheet at the contact [N/m]
    contact_shift, contact_turn : shift of the contact along the sheet [m], turn of the sheet there [rad]
    front_shift : along the chord [m]
    chord_force_change : on the sheet at the front, forwards positive [N/m]
    liftoff_factor : times this load the contact force is gone, by the linear answer (inf: this load presses the sheet
        on; nan: potted, or a flat sheet without contact force) [-]; exact: `roads.strip_exact.liftoff_pressure`
    verdict : "holds contact", "bonded", "leaves the rod" or "runs off the sheet"
    arclength, deflection, moment : shape (stations,), for drawing [m, m, N m/m]
    resolution : share of the last polynomial terms in the largest, about the relative error [-]
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


# ----- The strip's equations and their solution.


NODES = 18
_ENOUGH = 1e-9  # share of the last Legendre coefficients above which more nodes are used


@dataclass(frozen=True, eq=False)
class _Base:
    """Bent state; all but length and stiffness in lengths of the strip and forces of D / length^2, overhang in m."""

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

    >>> from panelmech import solve_bend
    >>> bend = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
    >>> float(round(1e3 * strip_response(bend, 12.8, even_strip_pressure(-500.0)).deflection_max, 3))  # mm
    -0.207
    """
    share = read_number(stretch_share, "stretch_share", above=0.01, high=100.0, hint="1 for a sheet of one kind")
    base = replace(bent_base(bend, bending_stiffness), stretch_share=share)
    return _respond(base, load, support or Support(), nodes, stations)


def flat_strip_response(length, thickness, bending_stiffness, load, support=None, *, nodes=NODES, stations=61):
    """Answer of a flat, unstressed strip with the same kinds of support: tells the share of the supports from that
    of the curvature. length [m] between land and front, thickness [m], bending_stiffness [N m] per metre of span.

    Limits: even pressure q L^4/D times 5/384 (hinged, resting), 1/184.634 (clamped, resting), 1/384 (clamped,
    potted); beam theory, any beam table. "Free" or "held" makes no difference to a flat strip, with two exceptions:
    a gripped and held front resists the turn of the sheet (`mechanics.strip`); a smooth rod that is free leaves a
    mechanism (StripNotSolved).
    """
    length = read_number(length, "length", "mm", above=0.0)
    half = 0.5 * read_number(thickness, "thickness", "mm", above=0.0) / length
    base = _Base(length, positive_stiffness(bending_stiffness), half, 0.0, np.zeros_like, 0.0, 0.0, 0.0, np.inf)
    return _respond(base, load, support or Support(), nodes, stations)


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
    nodes, stations = read_count(nodes, "nodes", 4, 200), read_count(stations, "stations", 2, 100_000)
    if support.front == "resting" and support.along_chord == "free" and (support.land == "hinged" or base.force == 0):
        raise StripNotSolved(
            "A smooth rod that is free along the chord does not hold a flat sheet or one with a "
            "hinged land: this is a mechanism. Hold the rod, or clamp the land."
        )
    lengths = _breaks(base, load)
    for order in (nodes, 2 * nodes, 4 * nodes):
        solution = _solve(base, load, support, panels(order, len(lengths)), lengths)
        if solution.resolution < _ENOUGH:
            return _response(base, load, support, solution, stations)
    raise StripNotSolved(
        f"The strip is not resolved by {order} nodes a panel (share of the last terms "
        f"{solution.resolution:.1e}); move the point load away from the very end."
    )


@dataclass(frozen=True, eq=False)
class _Solution:
    """Values at the nodes, and at the ends by name, in lengths of the strip and forces of D / length^2."""

    grid: object
    lengths: np.ndarray
    deflection: np.ndarray
    curvature: np.ndarray
    stretch: np.ndarray
    ends: dict

    @cached_property
    def resolution(self):
        """Share of the last polynomial terms in the largest [-]."""
        return max(self.grid.tail(self.deflection), self.grid.tail(self.curvature))

    def peaks(self, half_thickness):
        """Largest deflection, curvature, stretch and strain of either face, signed, and their places 0..1."""
        bent = half_thickness * self.curvature
        rows = (self.deflection, self.curvature, self.stretch, self.stretch + bent, self.stretch - bent)
        values, panel, local = self.grid.extremes(np.stack(rows))
        return values, _starts(self.lengths)[panel] + self.lengths[panel] * local

    def at(self, values, place):
        """Interpolated values at places 0..1 of the strip."""
        start = _starts(self.lengths)
        panel = np.searchsorted(start, place, side="right") - 1
        local = (place - start[panel]) / self.lengths[panel]
        out = np.empty_like(place)
        for number in range(len(start)):
            mine = panel == number
            out[mine] = self.grid.at(values, number, local[mine])
        return out


def _starts(lengths):
    """Where each panel starts, 0..1."""
    return np.concatenate([[0.0], np.cumsum(lengths)[:-1]])


def _fields(base, load, grid, lengths):
    """Every field as rows of an affine map of the unknowns (phi'', phi'(0), phi(0), f_x, f_y at the contact, X, 1)."""
    size = grid.order * grid.count
    step = np.repeat(lengths, grid.order)
    place = _starts(lengths)[grid.panel] + step * grid.local
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
    return _Solution(grid, lengths, w, curvature, stretch, values)


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


def _response(base, load, support, solution, stations):
    """The record in SI; nan but for the factor where the strip would no longer be held as said."""
    ends, length = solution.ends, base.length
    verdict, factor = _verdict(base, support, ends)
    valid = 1.0 if verdict in ("holds contact", "bonded") else np.nan
    size, moment, force = length * valid, base.stiffness / length * valid, base.stiffness / length**2 * valid
    (deflection, curvature, stretch, *strains), at = solution.peaks(base.half_thickness)
    place = np.linspace(0.0, 1.0, stations)
    return StripResponse(
        support=support,
        load=load,
        contact_arclength=length,
        deflection_max=size * deflection,
        deflection_at=size * at[0],
        midpoint_deflection=size * solution.at(solution.deflection, np.array([0.5]))[0],
        moment_max=moment * curvature,
        moment_at=size * at[1],
        land_moment_change=moment * ends["land_curvature"],
        front_moment_change=moment * ends["curvature"],
        strain_max=valid * np.abs(strains).max(),
        stretch_max=valid * stretch,
        contact_force_change=force * ends["push"],
        contact_shear_change=force * ends["drag"],
        contact_shift=size * ends["roll"],
        contact_turn=valid * ends["turn"],
        front_shift=size * ends["shift"],
        chord_force_change=force * ends["f_x"],
        liftoff_factor=factor,
        verdict=verdict,
        arclength=length * place,
        deflection=size * solution.at(solution.deflection, place),
        moment=moment * solution.at(solution.curvature, place),
        resolution=solution.resolution,
    )
