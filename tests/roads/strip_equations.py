"""Equations of one sheet strip at any load, scaled, and Newton's method for them. Used by `roads.strip_exact`.

Equations, derived here (f is the force of the front part on the rear part, per metre of span; t, n tangent and
outward normal of the deformed sheet; e stretch; s arclength before stretching):

    D th'' = -(1 + e) f.n      f' = -q n      e = (f.t - rest) t^2/(12 D)      (x, y)' = (1 + e) (cos th, sin th)
    contact: f = N n + T t,  (x, y) = rod centre + (R + h) n;  rolling fronts: D th' = T h (T acts at the inner face)

Collocation at Gauss-Legendre nodes for th''; Newton's method with derivatives by complex step (Squire W. and
Trapp G., 1998, SIAM Review 40:110-112), exact to rounding. `Panels` keep the load's jump on a border.

All lengths here are in length_scale, forces in D / length_scale^2. Unknowns: th'' at the nodes, then `SCALARS`.
Leading axes of the unknowns broadcast, so that all complex steps are evaluated together.
"""

import numpy as np

SCALARS = ("land_curvature", "land_slope", "push", "drag", "length", "spacer_x", "factor")
TOLERANCE = 1e-11
STEPS = 40


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
