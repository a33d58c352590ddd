"""Parts whose two sheets differ in thickness and modulus: how each sheet lies, and what the part then makes of checks.

The rod floats towards the sheet of less bending stiffness, by Y (exact unequal bend, `mechanics.unequal`). A sheet that
is y farther from the middle of the rod lies exactly as either sheet of a matched pair over another rod with another
setback does: with the angle at the contact θ, a radius larger by y/cos θ puts the contact at the same place of the same
sheet, and the setback is less by (1 + sin θ) y/cos θ (derived here; tests: to rounding). So what is known of matched
pairs tells all of each sheet.

Of a part count: the worse sheet, in what a sheet alone bears (bending strain, framed sheet); half the sum of both in
the opening energy of the land; the angle half-way between both in the friction that holds the rod, since the line
through both contacts is that of the two forces on it; and the camber of the mean line at the front. The greatest spacer
is that of two alike sheets half-way between the two, to second order in half their difference, and so are all results.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.unequal import UnequalBend, solve_unequal
from ..units import format_number, show
from .design import Design
from .varying import ALIKE, MODULUS
from .verdicts import ROUNDING

CAMBER = "camber"  # key of the check of the part's mean line
CAMBER_NAME = "Camber of the part, as its two sheets differ"
JOINT, ROD, GREATEST = "joint_opening", "rod_holds", "greatest_spacer"  # checks of the part, not of a sheet


@dataclass(frozen=True, eq=False)
class TwoSheets:
    """`count` parts of two sheets each.

    bend : the exact bends, their rods floating
    each : inputs of matched pairs that lie as the sheets do, sheet after sheet, part after part: (2 count,)
    mean : inputs of two alike sheets half-way between, (count,)
    friction : of each part [-]
    """

    design: Design
    bend: UnequalBend
    each: dict
    mean: dict
    friction: np.ndarray

    @classmethod
    def of(cls, design: Design, first: dict, second: dict, count: int) -> TwoSheets:
        """Of values by input; `second`: of the inputs of which the second sheet has its own."""
        sheets = {name: np.array([first[name], values]) for name, values in second.items()}

        def value(name):
            return np.broadcast_to(first.get(name, getattr(design, name)), count)

        thick, modulus = (
            sheets.get(name, np.broadcast_to(first.get(name, usual), (2, count)))
            for name, usual in (("sheet_thickness", design.sheet_thickness), (MODULUS, 1.0))
        )
        lengths = (value(name) for name in ("spacer_diameter", "bond_line", "setback"))
        bend = solve_unequal(value("free_length"), *thick, *(modulus * thick**3), *lengths)
        both = {name: sheets.get(name, np.array([column, column])) for name, column in first.items()}
        each = {**both, **_as_matched(bend, value("spacer_diameter"))}
        mean = {**first, **{name: np.mean(pair, axis=0) for name, pair in sheets.items()}}
        return cls(design, bend, {n: v.T.ravel() for n, v in each.items()}, mean, value("friction"))

    @property
    def made(self) -> np.ndarray:
        """Which can be bent."""
        return np.asarray(self.bend.feasible)

    @property
    def camber(self) -> np.ndarray:
        """Of the mean line at the front edge, towards the first sheet positive [m]."""
        return self.bend.camber(2)[1][..., -1]

    def reserves(self, keys, of_each, of_mean) -> np.ndarray:
        """(checks, parts) of what counts, from reserves by check of `each` (checks, 2 parts) and of `mean`."""
        found = np.min(of_each.reshape(len(keys), -1, 2), axis=2)
        for row, key in enumerate(keys):
            if key == JOINT:
                with np.errstate(divide="ignore"):
                    found[row] = 2.0 / np.sum(1.0 / of_each[row].reshape(-1, 2), axis=1)
            elif key == ROD:
                angle = 0.5 * (self.bend.contact_angle_1 + self.bend.contact_angle_2)
                found[row] = self.friction / np.tan(angle)
            elif key == GREATEST:
                found[row] = of_mean[key]
        return found

    def camber_reserve(self, tolerance: float) -> np.ndarray:
        """The tolerance [m] over the camber of each part [-]."""
        with np.errstate(divide="ignore"):
            return tolerance / np.abs(self.camber)


def _as_matched(bend, diameter):
    """Rod and setback of the matched pairs that lie as both sheets do, (2, parts) each [m]."""
    angle = np.array([bend.contact_angle_1, bend.contact_angle_2])
    more = np.array([bend.rod_offset, -np.asarray(bend.rod_offset)]) / np.cos(angle)
    setback = np.array([bend.setback_1, bend.setback_2]) - (1.0 + np.sin(angle)) * more
    return {"spacer_diameter": diameter + 2.0 * more, "setback": setback}


def falls_short(reserve) -> np.ndarray:
    """Where a reserve tells that a check fails."""
    with np.errstate(invalid="ignore"):
        return np.asarray(reserve) < 1.0 - ROUNDING


LEFT_OUT = "the bow that sheets have of their own"


def sheets_words(alike: float, tolerance: float | None = None) -> str:
    """What one part that is drawn means, and what of its two sheets is not counted.

    alike : as of `varying`
    tolerance : camber allowed, where it is counted [m]

    >>> sheets_words(0.0, 0.0005).split(". ")[0]
    'Each part is drawn with two sheets, each with a thickness and a modulus of its own, independent of its fellow'
    """
    if alike == ALIKE:
        return (
            "Each part is drawn with one thickness and one modulus for both of its sheets, as cut side by side from "
            f"one sheet (common practice, and what the cut list asks for). Not counted: two sheets that differ, the "
            f"camber of such a part, and {LEFT_OUT}."
        )
    how = "independent of its fellow" if alike == 0.0 else f"correlated with its fellow by {format_number(alike, 2)}"
    camber = "" if tolerance is None else f", and the camber of the part, {show(tolerance, 'mm', 3)} allowed"
    return (
        f"Each part is drawn with two sheets, each with a thickness and a modulus of its own, {how}. Counted by the "
        "exact bend of the two: bending strain and framed sheet of the sheet that is worse off, opening of the land, "
        f"friction at the rod{camber}. All else is that of two alike sheets half-way between them: the results, and "
        f"the checks along a tapered span and under loads. Not counted: {LEFT_OUT}."
    )
