"""Large-load answer of one sheet strip between land and front, and the pressure at which it leaves the rod.

Models: the same planar strip as `strip`, without linearising: any turn, pressure that stays normal to the turning
sheet, a contact that rolls round the rod. It also takes a clamp slope, friction at the contact, a rod off the
chord line and an imposed setback, so that unequal sheets, turning lands and friction can be built on it.
Leaves out: a loaded overhang, shear deformation, what happens after the sheet has left the rod.

Equations, derived here (f is the force of the front part on the rear part, per metre of span; t, n tangent and
outward normal of the deformed sheet; e stretch; s arclength before stretching):

    D th'' = -(1 + e) f.n      f' = -q n      e = (f.t - rest) t^2/(12 D)      (x, y)' = (1 + e) (cos th, sin th)
    contact: f = N n + T t,  (x, y) = rod centre + (R + h) n;  rolling fronts: D th' = T h (T acts at the inner face)

Collocation at Gauss-Legendre nodes for th''; Newton's method with derivatives by complex step (Squire W. and
Trapp G., 1998, SIAM Review 40:110-112), exact to rounding. `Panels` keep the load's jump on a border.

All lengths here are in length_scale, forces in D / length_scale^2. Unknowns: th'' at the nodes, then `SCALARS`.
Leading axes of the unknowns broadcast, so that all complex steps are evaluated together.
"""

import itertools
from dataclasses import dataclass, replace

import numpy as np

from panelmech.mechanics.collocation import panels
from panelmech.mechanics.numerics import positive_stiffness
from panelmech.mechanics.strip import (
    NODES,
    StripLoad,
    StripNotSolved,
    Support,
    bent_base,
    even_strip_pressure,
    strip_response,
)

SCALARS = ("land_curvature", "land_slope", "push", "drag", "length", "spacer_x", "factor")
TOLERANCE = 1e-11
STEPS = 40


@dataclass(frozen=True)
class StripProblem:
    """One sheet strip and what holds it. SI; per metre of span.

    bending_stiffness D [N m], thickness t [m], spacer_radius R [m], land_height [m]: y of the mid-surface at the land
    end. length_scale [m]: about the distance from land to contact, for scaling and the first guess.
    support: fronts and lands as in `mechanics.strip`.  clamp_slope [rad] for a clamped land, land_moment [N m/m]
    for a hinged one.  spacer_y [m]: rod centre off the chord line.  friction: T/N of a "resting" front, signed;
    positive pulls the sheet forwards.
    "held": either spacer_x [m] (rod centre) or free_length and setback [m] (measured along x from the inner corner of
    the sheet).  "free": chord_force [N/m] on the sheet at the front, forwards positive (-N sin th_c for a bend).
    contact_arclength, contact_angle: where a gripped or potted sheet is fixed to the rod.
    stretches: False for a sheet of fixed length.  rest_force: function of arclengths [m] giving the force along the
    sheet [N/m] at which it has its stated length; None means unloaded. A bend's lengths are those of the bent sheet.
    """

    bending_stiffness: float
    thickness: float
    spacer_radius: float
    land_height: float
    length_scale: float
    support: Support = Support("clamped", "resting", "held")
    clamp_slope: float = 0.0
    land_moment: float = 0.0
    spacer_y: float = 0.0
    friction: float = 0.0
    spacer_x: float | None = None
    free_length: float | None = None
    setback: float | None = None
    chord_force: float = 0.0
    contact_arclength: float | None = None
    contact_angle: float | None = None
    stretches: bool = True
    rest_force: object = None

    def __post_init__(self):
        positive_stiffness(self.bending_stiffness)
        if (
            self.support.along_chord == "held"
            and self.spacer_x is None
            and (self.free_length is None or self.setback is None)
        ):
            raise ValueError("A held front needs its place: give spacer_x, or free_length and setback.")
        if self.support.front != "resting" and None in (self.contact_arclength, self.contact_angle):
            raise ValueError(f"A {self.support.front} front needs contact_arclength and contact_angle.")


@dataclass(frozen=True, eq=False)
class StripState:
    """A solved strip. Forces and moments per metre of span; angles in radians.

    arclength, angle, x, y, moment: shape (nodes,), land to contact, Gauss nodes.  contact_force N [N/m] across and
    contact_shear T [N/m] along the sheet, on the sheet, at the contact.  load_factor: times the load given.
    residual: largest miss of the scaled equations.  resolution: share of the last polynomial terms.
    """

    problem: StripProblem
    load: StripLoad
    load_factor: float
    arclength: np.ndarray
    angle: np.ndarray
    x: np.ndarray
    y: np.ndarray
    moment: np.ndarray
    land_slope: float
    land_moment: float
    contact_force: float
    contact_shear: float
    contact_arclength: float
    contact_angle: float
    spacer_x: float
    residual: float
    resolution: float
    unknowns: np.ndarray
    grid: object

    def position(self, arclength):
        """x, y [m] of the mid-surface at arclengths [m] up to the contact (array), spectral interpolation."""
        s = np.atleast_1d(np.asarray(arclength, dtype=float))
        if np.any((s < 0) | (s > self.contact_arclength * (1 + 1e-12))):
            raise ValueError(
                f"arclength {s.min():.6g} to {s.max():.6g} m is not between the land end (0) and the "
                f"contact ({self.contact_arclength:.6g} m)."
            )
        ends = [0.0, self.contact_arclength]
        if self.grid.count == 2:
            ends.insert(1, self.load.point_arclength)
        out = np.empty((2, *s.shape))
        for number, (low, high) in enumerate(itertools.pairwise(ends)):
            mine = (s >= low) & (s <= high * (1 + 1e-12))
            local = (s[mine] - low) / (high - low)
            out[:, mine] = [self.grid.at(values, number, local) for values in (self.x, self.y)]
        return out[0], out[1]


@dataclass(frozen=True)
class LiftOff:
    """Outward pressure at which an unbonded sheet leaves the rod, by three roads [Pa], at the pressure's larger end.

    exact: contact force zero, pressure normal to the deformed sheet.  linear: the small-load answer stretched to
    zero contact force.  small_angle: 8 N/(3 s_c) for even pressure, 5 N/s_c and 40 N/(11 s_c) for pressure that is
    zero at the front and at the land (propped cantilever).  contact_arclength [m], contact_angle [rad]: where the
    sheet then touches. All inf for a load that presses the sheet on.
    """

    exact: float
    linear: float
    small_angle: float
    contact_arclength: float
    contact_angle: float


def problem_from_bend(bend, bending_stiffness, support=None, stretches=True):
    """The strip of one bent sheet: a `StripProblem` whose unloaded answer is `bend`."""
    base = bent_base(bend, bending_stiffness)
    force = bending_stiffness * float(bend.wavenumber) ** 2

    def rest_force(arclength):
        return -force * np.sin(base.contact_angle - bend.tangent_angle(arclength))

    return StripProblem(
        base.stiffness,
        float(bend.sheet_thickness),
        0.5 * float(bend.spacer_diameter),
        0.5 * float(bend.sheet_thickness + bend.bond_line),
        base.length,
        support or Support("clamped", "resting", "held"),
        spacer_x=float(bend.spacer_position),
        land_moment=base.stiffness * float(bend.curvature(0.0)),
        chord_force=-force * np.sin(base.contact_angle),
        contact_arclength=base.length,
        contact_angle=base.contact_angle,
        stretches=stretches,
        rest_force=rest_force,
    )


def solve_strip(problem, load=None, start=None, *, contact_force=None, nodes=NODES + 6):
    """Exact state of a strip under a load.

    start: a `StripState` of the same problem to go on from (default: a small-angle guess, grown with the rod).
    contact_force [N/m]: if given, the load is scaled until the contact force has this value (0: about to leave).
    Returns a `StripState`. Raises StripNotSolved if Newton's method does not arrive, if the answer is not resolved,
    or if the sheet would have to be pulled onto a rod that it only rests on.
    """
    load = load or StripLoad()
    if contact_force is not None and load == load.scaled(0.0):
        raise ValueError("contact_force asks for the load to be scaled, but there is no load; give its shape.")
    grid = panels(nodes, 1 if load.point_arclength is None else 2)
    unknowns = _grow(problem, load, grid) if start is None else _carry_over(problem, start, load, grid)
    unknowns = newton(problem, load, grid, unknowns, contact_force)
    if unknowns is None:
        raise StripNotSolved(
            "The strip under this load did not settle: the load is too large for this support, or "
            "the sheet snaps through. Apply it in smaller steps, each from the last state."
        )
    return _state(problem, load, grid, unknowns, contact_force)


def liftoff_pressure(bend, bending_stiffness, load=None):
    """Outward pressure at which an unbonded sheet leaves its smooth rod, held in a jig.

    load: its shape, by default even; its size does not matter. Returns a `LiftOff`. The pressure is taken up to the
    contact only, which is right for inside pressure; suction over the whole outer face also loads the overhang and
    lifts the sheet sooner. Raises StripNotSolved where the exact state is not found, ValueError for a point load.
    """
    load = load or even_strip_pressure(1.0)
    if load.point_force:
        raise ValueError("liftoff_pressure takes pressures only; for a point load see StripResponse.liftoff_factor.")
    size = max(abs(load.pressure_at_land), abs(load.pressure_at_front))
    if not size > 0:
        raise ValueError("The load has no pressure; give its shape, for example even_strip_pressure(1.0).")
    force, length = bending_stiffness * float(bend.wavenumber) ** 2, float(bend.contact_arclength)
    scale = force / length / size
    unit, support = load.scaled(scale), Support("clamped", "resting", "held")
    factor = strip_response(bend, bending_stiffness, unit, support).liftoff_factor
    if not np.isfinite(factor):
        return LiftOff(np.inf, np.inf, np.inf, np.nan, np.nan)
    state = solve_strip(problem_from_bend(bend, bending_stiffness, support), unit.scaled(0.0))
    for share in (0.6, 0.3, 0.0):
        state = solve_strip(state.problem, unit, state, contact_force=share * force)
    relief = length * (load.pressure_at_front * 11.0 / 40.0 + load.pressure_at_land / 10.0)
    return LiftOff(
        state.load_factor * scale * size,
        factor * scale * size,
        size * force / relief if relief > 0.0 else np.inf,
        state.contact_arclength,
        state.contact_angle,
    )


def _grow(problem, load, grid):
    """Unloaded state from a small-angle guess, by growing the rod where needed."""
    bare = StripLoad(point_arclength=load.point_arclength)
    start = problem.land_height - problem.spacer_y - 0.5 * problem.thickness
    for shares in ((1.0,), np.linspace(0.1, 1.0, 10), np.linspace(0.02, 1.0, 50)):
        z = None
        for share in shares:
            part = replace(problem, spacer_radius=start + share * (problem.spacer_radius - start))
            z = newton(part, bare, grid, _guess(part, grid) if z is None else z, None)
            if z is None:
                break
        if z is not None:
            return z
    raise StripNotSolved(
        "No unloaded state found for this strip: the rod is too large for the sheet, or the clamp "
        "slope, setback or rod place contradict each other."
    )


def _guess(problem, grid):
    """Small-angle propped cantilever: y = rise (3 xi^2 - xi^3)/2."""
    p = scaled(problem, StripLoad())
    places = (p["contact"], p["rod_x"], None if p["free"] is None else p["free"] - p["setback"] - p["radius"])
    length = next((place for place in places if place is not None), 1.0)
    rise = p["rod_y"] + p["radius"] + p["half"] - p["land"] - length * problem.clamp_slope
    push = 3.0 * rise / length**3
    place = length * (grid.local if grid.count == 1 else 0.5 * (grid.local + grid.panel))
    bent = -push + 0.0 * place
    return np.concatenate([bent, [push * length, problem.clamp_slope, push, 0.0, length, length, 1.0]])


def _carry_over(problem, start, load, grid):
    """Unknowns of a solved state on the grid of a new load."""
    if start.grid is grid and start.load.point_arclength == load.point_arclength:
        return start.unknowns.copy()
    if start.grid.count != 1:
        raise ValueError("The start state carries a point load elsewhere; start from an unloaded state.")
    size = start.grid.order
    length = start.unknowns[size + SCALARS.index("length")]
    p = scaled(problem, load)
    zero = np.zeros(grid.order * grid.count + len(SCALARS))
    zero[grid.order * grid.count :] = start.unknowns[size:]
    s = shape_of(zero, grid, p)[0]
    zero[: grid.order * grid.count] = start.grid.at(start.unknowns[:size], 0, s / length)
    return zero


def _state(problem, load, grid, z, contact_force):
    """Back to SI, with the checks that keep a bad number from getting out."""
    p = scaled(problem, load)
    target = None if contact_force is None else contact_force * problem.length_scale**2 / problem.bending_stiffness
    bent, scalars = unpack(z, grid)
    v = {name: float(value[0]) for name, value in scalars.items()}
    tail = grid.tail(bent)
    if tail > 1e-6:
        raise StripNotSolved(
            f"The strip is not resolved by {grid.order} nodes a panel (share of the last terms "
            f"{tail:.1e}); ask for more nodes."
        )
    if problem.support.front != "potted" and v["push"] < -1e-9:
        raise StripNotSolved(
            "The sheet would have to be pulled onto the rod: under this load it leaves the rod. "
            "Bond it, or use a smaller load (see liftoff_pressure)."
        )
    shape = shape_of(z, grid, p)
    forces = forces_along(scalars, grid, p, shape)
    go_x, go_y, _ = rates_along(grid, p, shape, forces)
    size, moment = problem.length_scale, problem.bending_stiffness / problem.length_scale
    force = moment / size
    return StripState(
        problem=problem,
        load=load,
        load_factor=v["factor"],
        arclength=size * shape[0],
        angle=shape[3],
        x=size * (grid.running @ go_x),
        y=size * (p["land"] + grid.running @ go_y),
        moment=moment * shape[2],
        land_slope=v["land_slope"],
        land_moment=moment * v["land_curvature"],
        contact_force=force * v["push"],
        contact_shear=force * v["drag"],
        contact_arclength=size * v["length"],
        contact_angle=float(shape[5][0]),
        spacer_x=size * v["spacer_x"],
        residual=float(np.abs(miss_of(z, problem, grid, p, target)).max()),
        resolution=tail,
        unknowns=z,
        grid=grid,
    )


# ----- The equations, scaled, and Newton's method for them.


def scaled(problem, load):
    """Lengths of length_scale, forces of D / length_scale^2: the numbers the equations use."""
    size = problem.length_scale
    per_line, per_area = size**2 / problem.bending_stiffness, size**3 / problem.bending_stiffness
    return {
        "half": 0.5 * problem.thickness / size,
        "radius": problem.spacer_radius / size,
        "land": problem.land_height / size,
        "rod_y": problem.spacer_y / size,
        "moment": problem.land_moment * size / problem.bending_stiffness,
        "chord": problem.chord_force * per_line,
        "q_land": load.pressure_at_land * per_area,
        "q_front": load.pressure_at_front * per_area,
        "line": load.point_force * per_line,
        "at": None if load.point_arclength is None else load.point_arclength / size,
        "rod_x": None if problem.spacer_x is None else problem.spacer_x / size,
        "free": None if problem.free_length is None else problem.free_length / size,
        "setback": None if problem.setback is None else problem.setback / size,
        "contact": None if problem.contact_arclength is None else problem.contact_arclength / size,
        "axial": (0.5 * problem.thickness / size) ** 2 / 3.0 if problem.stretches else 0.0,
        "nose": load.on_front,
        "rest": _scaled_rest(problem, size, per_line),
    }


def _scaled_rest(problem, size, per_line):
    if problem.rest_force is None:
        return lambda s: 0.0
    return lambda s: per_line * problem.rest_force(size * s.real)  # its slope is too small to matter to Newton's method


def unpack(z, grid):
    """Nodal th'' and the scalars by name, each with a last axis of length one."""
    size = grid.order * grid.count
    return z[..., :size], {name: z[..., size + i, None] for i, name in enumerate(SCALARS)}


def shape_of(z, grid, p):
    """Arclength, steps, curvature, angle along the strip and at its front end; broadcasts over leading axes of z."""
    bent, v = unpack(z, grid)
    if grid.count == 1:
        step = v["length"] + 0.0 * grid.local
        s = step * grid.local
    else:
        front = grid.panel == 1
        step = np.where(front, v["length"] - p["at"], p["at"])
        s = step * grid.local + p["at"] * front
    curvature = v["land_curvature"] + (step * bent) @ grid.running.T
    angle = v["land_slope"] + (step * curvature) @ grid.running.T
    end_curvature = v["land_curvature"][..., 0] + (step * bent) @ grid.total
    end_angle = v["land_slope"][..., 0] + (step * curvature) @ grid.total
    load_angle = v["land_slope"][..., 0] + (step * curvature) @ grid.first
    return s, step, curvature, angle, end_curvature[..., None], end_angle[..., None], load_angle[..., None]


def forces_along(v, grid, p, shape):
    """Internal force x, y at the nodes and at the front end."""
    s, step, _, angle, _, end_angle, load_angle = shape
    end_x = -v["push"] * np.sin(end_angle) + v["drag"] * np.cos(end_angle)
    end_y = v["push"] * np.cos(end_angle) + v["drag"] * np.sin(end_angle)
    q = v["factor"] * (p["q_land"] + (p["q_front"] - p["q_land"]) * s / v["length"])
    q_x, q_y = -step * q * np.sin(angle), step * q * np.cos(angle)
    f_x = end_x + (q_x @ grid.total)[..., None] - q_x @ grid.running.T
    f_y = end_y + (q_y @ grid.total)[..., None] - q_y @ grid.running.T
    if p["at"] is not None:
        behind = v["factor"] * p["line"] * (grid.panel == 0)
        f_x, f_y = f_x - behind * np.sin(load_angle), f_y + behind * np.cos(load_angle)
    return f_x, f_y, end_x


def rates_along(grid, p, shape, forces):
    """Stretched position rates times step: x and y, and the stretch."""
    s, step, _, angle, _, _, _ = shape
    tension = forces[0] * np.cos(angle) + forces[1] * np.sin(angle)
    stretch = p["axial"] * (tension - p["rest"](s)) if p["axial"] else 0.0 * tension
    return step * (1.0 + stretch) * np.cos(angle), step * (1.0 + stretch) * np.sin(angle), stretch


def miss_of(z, problem, grid, p, target):
    """All equations, to vanish; z has shape (..., unknowns), so has the result."""
    bent, v = unpack(z, grid)
    shape = shape_of(z, grid, p)
    forces = forces_along(v, grid, p, shape)
    go_x, go_y, stretch = rates_along(grid, p, shape, forces)
    angle = shape[3]
    field = bent + (1.0 + stretch) * (forces[1] * np.cos(angle) - forces[0] * np.sin(angle))
    end_x, end_y = (go_x @ grid.total)[..., None], p["land"] + (go_y @ grid.total)[..., None]
    rows = _end_rows(problem, p, v, shape, forces, end_x, end_y)
    rows.append(v["factor"] - 1.0 if target is None else v["push"] - target)
    return np.concatenate([field, *rows], axis=-1)


def _end_rows(problem, p, v, shape, forces, end_x, end_y):
    """Land, contact, front and motion: six conditions (module text)."""
    end_curvature, turn = shape[4], shape[5]
    reach = p["radius"] + p["half"]
    land = (
        v["land_slope"] - problem.clamp_slope
        if problem.support.land == "clamped"
        else v["land_curvature"] - p["moment"]
    )
    contact = [end_x - v["spacer_x"] + reach * np.sin(turn), end_y - p["rod_y"] - reach * np.cos(turn)]
    rolling = end_curvature - p["half"] * v["drag"]
    if problem.support.front == "resting":
        front = [rolling, v["drag"] - problem.friction * v["push"]]
    elif problem.support.front == "gripped":
        front = [rolling, v["length"] - p["contact"] + p["radius"] * (turn - problem.contact_angle)]
    else:
        front = [turn - problem.contact_angle, v["length"] - p["contact"]]
    if problem.support.along_chord == "free":
        motion = forces[2] - p["chord"] - p["nose"] * v["factor"] * p["q_front"] * end_y
    elif p["rod_x"] is not None:
        motion = v["spacer_x"] - p["rod_x"]
    else:
        motion = (p["free"] - v["length"]) * np.cos(turn) - p["setback"] - p["radius"] * (1.0 + np.sin(turn))
    return [land, *contact, *front, motion]


def newton(problem, load, grid, z, contact_force):
    """Unknowns that satisfy the equations, or None. Damped where a full step does not help.

    One step more is taken once the miss is below TOLERANCE: it brings the miss down to rounding.
    """
    p = scaled(problem, load)
    target = None if contact_force is None else contact_force * problem.length_scale**2 / problem.bending_stiffness
    tiny = 1e-40
    miss = miss_of(z, problem, grid, p, target)
    for _ in range(STEPS):
        size = np.abs(miss).max()
        slope = miss_of(z + 1j * tiny * np.eye(len(z)), problem, grid, p, target).imag.T / tiny
        try:
            step = np.linalg.solve(slope, -miss)
        except np.linalg.LinAlgError:
            return None
        for damping in (1.0, 0.5, 0.25, 0.1, 0.03):
            trial = z + damping * step
            after = miss_of(trial, problem, grid, p, target)
            if np.abs(after).max() < size:
                break
        if not np.all(np.isfinite(after)):
            return None
        if size < TOLERANCE:
            return trial if np.abs(after).max() < size else z
        z, miss = trial, after
    return None
