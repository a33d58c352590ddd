"""Torsion of a thin-walled section with several closed cells: Bredt and Batho's equations.

Every cell has a shear flow q of its own [N/m]; a wall between two cells carries the difference. All cells turn by the
same rate, and together they carry the torque:

    2 A_i dphi/dz = sum over its walls of q ds / (G t),     T = sum of 2 A_i q_i

(Megson, Introduction to Aircraft Structural Analysis, ch. 22; one cell: eq. 17.1.) Flow is taken as even through each
wall; what the walls carry by their own torsion is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmech.mechanics.bend import Bend

OUTSIDE = -1  # in place of a cell's number: the wall's other side is the open


@dataclass(frozen=True)
class Wall:
    """One wall: the cell it belongs to, the cell on its other side (`OUTSIDE` for none), and its flexibility, length
    over shear modulus times thickness [1/Pa], a float or an array over sections."""

    cell: int
    beyond: int
    flexibility: float | np.ndarray


@dataclass(frozen=True, eq=False)
class CellTorsion:
    """`flows` [1/m2], shear flow of each cell per newton metre of torque, cells along the last axis;
    `torsion_stiffness` GJ [N m2]."""

    flows: np.ndarray
    torsion_stiffness: float | np.ndarray


def cells_torsion(areas, walls) -> CellTorsion:
    """Shear flows and torsion stiffness of any number of cells, floats or arrays over sections.

    Parameters
    ----------
    areas : sequence of float or array
        Area inside the middle line of each cell [m2], positive.
    walls : sequence of Wall

    Raises
    ------
    ValueError
        A cell that is not there or has no wall, an area or flexibility that is not positive.
    """
    areas = np.stack(np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in areas)), axis=-1)
    count = areas.shape[-1]
    _check_cells(areas, walls, count)
    shape = np.broadcast_shapes(areas.shape[:-1], *(np.shape(w.flexibility) for w in walls))
    matrix = np.zeros((*shape, count, count))
    for wall in walls:
        matrix[..., wall.cell, wall.cell] += wall.flexibility
        if wall.beyond != OUTSIDE:
            matrix[..., wall.beyond, wall.beyond] += wall.flexibility
            matrix[..., wall.cell, wall.beyond] -= wall.flexibility
            matrix[..., wall.beyond, wall.cell] -= wall.flexibility
    twice = np.broadcast_to(2.0 * areas, (*shape, count))
    per_turn = np.linalg.solve(matrix, twice[..., None])[..., 0]
    stiffness = np.sum(twice * per_turn, axis=-1)
    return CellTorsion(per_turn / stiffness[..., None], float(stiffness) if stiffness.ndim == 0 else stiffness)


def tube_torsion(bend: Bend, numbers: dict) -> CellTorsion:
    """The bent pair with its tube as a second cell: the hollow behind the tube, and the tube's bore.

    The tube's rear half, between the two contacts, is the wall between the cells; the land is taken as rigid, and the
    potting, which stiffens the tube's front, is left out. `numbers` as for `mechanics.section.composite_section`; a
    solid rod (wall 0) has no bore: ValueError.
    """
    wall, outer = (np.asarray(numbers[n]) for n in ("spacer_wall", "spacer_diameter"))
    if np.any(wall <= 0.0):
        raise ValueError("the spacer is a solid rod: it has no cell of its own; give a tube with a wall")
    shear = numbers["spacer_modulus"] / (2.0 * (1.0 + numbers["spacer_poisson"]))
    radius, half = 0.5 * (outer - wall), 0.5 * np.pi - np.asarray(bend.contact_angle)
    segment = 0.5 * outer**2 / 4.0 * (2.0 * half - np.sin(2.0 * half))
    sheets = 2.0 * bend.contact_arclength / (numbers["shear_modulus"] * numbers["sheet_thickness"])
    rear, front = (2.0 * radius * a / (shear * wall) for a in (half, np.pi - half))
    walls = (Wall(0, OUTSIDE, sheets), Wall(0, 1, rear), Wall(1, OUTSIDE, front))
    return cells_torsion((bend.cell_area - segment, np.pi * radius**2), walls)


def _check_cells(areas, walls, count):
    if not np.all(areas > 0.0):
        raise ValueError(f"cell areas must be positive; the least is {np.min(areas):.4g} m2")
    known = {OUTSIDE, *range(count)}
    for wall in walls:
        if not {wall.cell, wall.beyond} <= known or wall.cell == OUTSIDE or wall.cell == wall.beyond:
            raise ValueError(
                f"{wall!r}: cells are numbered from 0 to {count - 1}, and a wall parts two different ones "
                "or one from the open"
            )
        if not np.all(np.asarray(wall.flexibility) > 0.0):
            raise ValueError(f"{wall!r}: flexibility must be positive")
    bare = set(range(count)) - {w.cell for w in walls} - {w.beyond for w in walls}
    if bare:
        raise ValueError(f"cells {sorted(bare)} have no wall")
