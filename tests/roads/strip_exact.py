"""Large-load answer of one sheet strip between land and front, and the pressure at which it leaves the rod.

Models: the same planar strip as `strip`, without linearising: any turn, pressure that stays normal to the turning
sheet, a contact that rolls round the rod. It also takes a clamp slope, friction at the contact, a rod off the
chord line and an imposed setback, so that unequal sheets, turning lands and friction can be built on it.
Leaves out: a loaded overhang, shear deformation, what happens after the sheet has left the rod. The equations
stand in `roads.strip_equations`.
"""

import itertools
from dataclasses import dataclass, replace

import numpy as np

from panelmech.mechanics.collocation import panels
from panelmech.mechanics.strip import (
    NODES,
    StripLoad,
    StripNotSolved,
    Support,
    bent_base,
    even_strip_pressure,
    positive_stiffness,
    strip_response,
)

from .strip_equations import SCALARS, forces_along, miss_of, newton, rates_along, scaled, shape_of, unpack

__all__ = ["LiftOff", "StripProblem", "StripState", "liftoff_pressure", "problem_from_bend", "solve_strip"]


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
