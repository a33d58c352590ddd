"""Choosing: every sheet × stock thickness × stock spacer of the catalogue, ranked, and the set that no other beats.

All combinations are studied at once by the core of `sweep`. A choice counts as possible where it can be bent and no
check fails; checks without a basis are kept but marked. Costs are the user's own: there are none in the catalogue.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..materials.stock import catalogue
from ..units import show_input, unit_words
from .design import Design
from .quantities import Pick
from .sweeps import chunks, compute

# criterion: (what a builder calls it, unit on screen, -1 to have it small or +1 to have it large)
CRITERIA = {
    "mass": ("mass of the part", "kg", -1),
    "chord_stiffness": ("bending stiffness about the chord line, whole section", "N m2", 1),
    "torsion_stiffness": ("torsion stiffness, whole section", "N m2", 1),
    "i_chord": ("second moment about the chord line, sheets alone", "mm4", 1),
    "least_reserve": ("least reserve", "x", 1),
    "outer_thickness": ("outer thickness", "mm", -1),
    "cost": ("cost", "", -1),
}


@dataclass(frozen=True)
class Costs:
    """The user's prices, in any one currency: by name of the sheet per square metre, of the spacer per metre, and
    of the resin per kilogram. The price of a sheet or spacer is one number for every size, or {size [m]: price}, by
    thickness of the sheet or diameter of the spacer. What is not named makes the cost of every choice that needs it
    unknown (nan)."""

    sheet_per_m2: dict
    spacer_per_m: dict
    resin_per_kg: dict


@dataclass(frozen=True, eq=False)
class Choices:
    """All combinations, one element each in every array. `sheet`, `spacer`: index into `sheets`, `spacers`;
    `thickness`, `diameter`, `wall` [m]; `values` by criterion [SI]; `possible`: can be made and no check fails;
    `judged`: every limit has a basis."""

    design: Design
    sheets: tuple
    spacers: tuple
    sheet: np.ndarray
    thickness: np.ndarray
    spacer: np.ndarray
    diameter: np.ndarray
    wall: np.ndarray
    values: dict
    possible: np.ndarray
    judged: np.ndarray

    def __len__(self):
        return len(self.sheet)

    def design_at(self, i: int) -> Design:
        """The design of combination i."""
        return self.design.replace(
            sheet=self.sheets[self.sheet[i]],
            sheet_thickness=float(self.thickness[i]),
            spacer=self.spacers[self.spacer[i]],
            spacer_diameter=float(self.diameter[i]),
            spacer_wall=float(self.wall[i]),
        )

    def label(self, i: int) -> str:
        """Combination i in words."""
        sizes = [self.diameter[i]] + ([self.wall[i]] if self.wall[i] > 0 else [])
        rod = " × ".join(show_input(v, "mm") for v in sizes).replace(f" {unit_words('mm')} ×", " ×")
        sheet = f"{self.sheets[self.sheet[i]].name}, {show_input(self.thickness[i], 'mm')}"
        return f"{sheet}; {self.spacers[self.spacer[i]].name}, {rod}"


def combine(design: Design, sheets=None, spacers=None, costs: Costs | None = None) -> Choices:
    """Study every combination of stock for the geometry of a design.

    Parameters
    ----------
    design : Design
        Lengths, bond line, setback, adhesive and judgement.
    sheets, spacers : sequence of records, optional
        Stock to choose from; the whole catalogue by default.
    costs : Costs, optional
        Without it the criterion "cost" is nan.

    Returns
    -------
    Choices
    """
    sheets = tuple(sheets if sheets is not None else catalogue.sheets.values())
    spacers = tuple(spacers if spacers is not None else catalogue.spacers.values())
    stock = [(i, t) for i, s in enumerate(sheets) for t in s.stock_thicknesses]
    rods = [(j, d, w) for j, s in enumerate(spacers) for d in s.diameters for w in (s.walls or (0.0,)) if w < 0.5 * d]
    if not stock or not rods:
        raise ValueError(
            "there is nothing to combine: give sheets with stock thicknesses and spacers with stock diameters"
        )
    left, right = np.repeat(np.array(stock), len(rods), axis=0), np.tile(np.array(rods), (len(stock), 1))
    sheet, thickness = left[:, 0].astype(int), left[:, 1]
    spacer, diameter, wall = right[:, 0].astype(int), right[:, 1], right[:, 2]
    values, possible, judged = _study_all(design, sheets, spacers, sheet, thickness, spacer, diameter, wall)
    values["cost"] = _cost(design, (sheets, sheet, thickness), (spacers, spacer, diameter), values, costs)
    return Choices(
        design,
        sheets,
        spacers,
        sheet,
        thickness,
        spacer,
        diameter,
        wall,
        {name: values[name] for name in CRITERIA},
        possible,
        judged,
    )


def _study_all(design, sheets, spacers, sheet, thickness, spacer, diameter, wall):
    """(values by criterion and the mass of resin, which are possible, which are judged)."""
    size = len(sheet)
    values = {name: np.full(size, np.nan) for name in (*CRITERIA, "resin_mass")}
    possible, judged = np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
    for part in chunks(size):
        arrays = {
            "sheet": Pick(sheets, sheet[part]),
            "spacer": Pick(spacers, spacer[part]),
            "sheet_thickness": thickness[part],
            "spacer_diameter": diameter[part],
            "spacer_wall": wall[part],
        }
        designs = compute(design, arrays, part.stop - part.start)
        for name in set(CRITERIA) - {"mass", "cost"}:
            values[name][part] = designs[name]
        values["mass"][part] = designs["mass_per_length"] * design.span
        values["resin_mass"][part] = designs["front_area"] * design.resin.density * design.span
        possible[part] = designs.made & ~np.any(designs.fails, axis=0)
        judged[part] = ~np.any(designs.unknown, axis=0)
    return values, possible, judged


def _cost(design, sheets, spacers, values, costs):
    """Cost of each choice; `sheets` and `spacers`: records, which of them each choice takes, in which size [m]."""
    if costs is None:
        return np.full(len(sheets[1]), np.nan)
    per_sheet, per_spacer = _prices(costs.sheet_per_m2, *sheets), _prices(costs.spacer_per_m, *spacers)
    per_resin = costs.resin_per_kg.get(design.resin.name, np.nan)
    blanks = 2.0 * design.developed_length * design.span
    return per_sheet * blanks + per_spacer * design.span + per_resin * values["resin_mass"]


def _prices(by_name, records, chosen, sizes):
    """Price of what each choice takes: one for all sizes, or each size its own; nan where there is none."""
    prices = np.full(len(chosen), np.nan)
    for i, record in enumerate(records):
        price = by_name.get(record.name, np.nan)
        for size, own in price.items() if isinstance(price, dict) else ((sizes, price),):
            prices[(chosen == i) & (np.abs(sizes - size) < 1e-6)] = own
    return prices


def rank(choices: Choices, by: str, count: int | None = None, only_judged: bool = False) -> np.ndarray:
    """Indices of the possible combinations, best first by one criterion of `CRITERIA`; unknown values are left out.

    `only_judged` leaves out combinations with a check that has no basis. `count` keeps the first so many.
    """
    score = _scores(choices, (by,))[:, 0]
    keep = choices.possible & np.isfinite(score) & (choices.judged | (not only_judged))
    order = np.flatnonzero(keep)
    order = order[np.argsort(-score[order], kind="stable")]
    return order if count is None else order[:count]


def unbeaten(choices: Choices, by, only_judged: bool = False) -> np.ndarray:
    """Indices of the combinations that no other beats (Pareto front) in the criteria `by`, sorted by the first of them.

    One beats another if it is at least as good in all and better in one. The front is peeled off best first: each round
    keeps one and drops what it beats, so the work is the size of the front times that of the set.
    """
    scores = _scores(choices, by)
    keep = choices.possible & np.all(np.isfinite(scores), axis=1) & (choices.judged | (not only_judged))
    left = np.flatnonzero(keep)
    left = left[np.lexsort(-scores[left].T[::-1])]
    front = []
    while left.size:
        best, rest = left[0], left[1:]
        front.append(best)
        beaten = np.all(scores[rest] <= scores[best], axis=1) & np.any(scores[rest] < scores[best], axis=1)
        left = rest[~beaten]
    return np.array(front, dtype=int)


def _scores(choices, by):
    unknown = [name for name in by if name not in CRITERIA]
    if unknown or not len(by):
        raise ValueError(f"criteria {', '.join(map(str, by)) or 'none'}: give one or more of {', '.join(CRITERIA)}")
    return np.column_stack([CRITERIA[name][2] * choices.values[name] for name in by])
