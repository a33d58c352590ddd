"""Records of a template: what is cut, what is marked, what is drilled, and the table that says the same in numbers.

Lengths in metres. x runs along the chord from the land end forward (the land has negative x), y across it from the
chord line. Tables count x from the trailing edge, since that is what a rule can be held to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..units import FACTORS

MM = FACTORS["mm"]
KEEP = "keep the line on the piece: saw just outside it, then file to the middle of the line"
LEAVE = "leave the line on the waste: the edge of the gauge is the far side of the line"


@dataclass(frozen=True, eq=False)
class Path:
    """A chain of straight pieces: `points` (n, 2) [m]; `closed`; `kind` "cut" or "mark"; `name`."""

    points: np.ndarray
    closed: bool
    kind: str
    name: str


@dataclass(frozen=True, eq=False)
class Hole:
    """A hole to drill: `x`, `y` of its centre, `diameter` [m]; `name`."""

    x: float
    y: float
    diameter: float
    name: str


@dataclass(frozen=True, eq=False)
class OffsetTable:
    """The shape in numbers: `columns`, their names; `values` (n, m) [m], nan where a column has nothing there. The
    first column is the distance from the trailing edge."""

    columns: tuple
    values: np.ndarray


@dataclass(frozen=True, eq=False)
class Template:
    """One template at true scale.

    `key`, short, for file names; `name`; `paths`, `holes`; `table`; `line`, which side of the line to saw; `count`,
    how many to make; `notes` in words; `part`, title of the design, and `stamp`, its input hash, for every sheet.
    """

    key: str
    name: str
    paths: tuple
    holes: tuple
    table: OffsetTable
    line: str
    count: int
    notes: tuple
    part: str = ""
    stamp: str = ""

    @property
    def box(self) -> tuple:
        """Left, bottom, right, top of all that is drawn [m]."""
        points = [path.points for path in self.paths]
        points += [
            [[h.x - h.diameter / 2, h.y - h.diameter / 2], [h.x + h.diameter / 2, h.y + h.diameter / 2]]
            for h in self.holes
        ]
        points = np.vstack(points)
        return (*(float(v) for v in points.min(axis=0)), *(float(v) for v in points.max(axis=0)))


def offset_csv(template: Template) -> str:
    """The offset table as CSV, in mm to a hundredth; an empty cell where a column has nothing."""
    rows = [",".join(f"{name} [mm]" for name in (c.replace(",", "") for c in template.table.columns))]
    rows += [",".join("" if math.isnan(v) else f"{v / MM:.2f}" for v in row) for row in template.table.values]
    return "\n".join(rows) + "\n"
