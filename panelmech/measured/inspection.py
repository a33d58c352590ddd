"""Are these two sheets good enough? Thickness, bow and twist measured on a bench, and which faces and ends to pair.

Each sheet has a marked face and a marked end. Thickness is measured at six or more points, half of them towards the
marked end and half towards the other; bow is the gap under the middle with the sheet on a flat bench, once with
each face up, so that the sag of its own weight cancels; twist is the gap under one corner with the other three held
down.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import solve_bend
from ..mechanics.forming import bending_stiffness
from ..study.verdicts import FAILS, rate
from ..units import read_array, read_number, show_fixed
from .camber import pair_bend
from .readings import Measured, NotSureYet, Reading

LEAST_POINTS = 6
FACES = ((1.0, 1.0), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0))  # of the first sheet, the second: 1 marked face out, -1 in
TURNS = {1.0: "marked ends together", -1.0: "marked end of one to the other end of its fellow"}
ALIKE = 1e-7  # m: cambers that differ by less are alike, and the order of `FACES` and `TURNS` decides


@dataclass(frozen=True)
class SheetReadings:
    """Bench readings of one sheet. Raises ValueError for fewer than six thickness readings, or values that are not
    finite and (thickness, base) positive.

    Attributes
    ----------
    thickness_marked, thickness_far : readings towards the marked and the far end [m]
    bow_up, bow_down : rise of the middle over the ends with the marked face up and down, positive where the middle
        stands off the bench, negative where the ends do [m]
    twist : gap under the free corner [m]
    base : length over which bow is measured [m]
    resolution : of the thickness gauge [m]
    bow_uncertainty, base_uncertainty : standard uncertainty of half the difference of both rises, and of the base [m]
    """

    name: str
    thickness_marked: tuple
    thickness_far: tuple
    bow_up: float
    bow_down: float
    twist: float
    base: float
    resolution: float = 1e-5
    bow_uncertainty: float = 0.0
    base_uncertainty: float = 0.0

    def __post_init__(self):
        for end in ("thickness_marked", "thickness_far"):
            object.__setattr__(
                self, end, tuple(read_array(getattr(self, end), f"{self.name}: {end}", "mm").ravel().tolist())
            )
        points = (*self.thickness_marked, *self.thickness_far)
        if len(points) < LEAST_POINTS or not self.thickness_marked or not self.thickness_far:
            raise NotSureYet(f"{self.name}: {len(points)} thickness readings; give six or more, some towards each end")
        read_array(points, f"{self.name}: thickness", "mm", above=0.0)
        read_number(self.base, f"{self.name}: base length", "mm", above=0.0)
        for given in ("resolution", "bow_uncertainty", "base_uncertainty"):
            read_number(getattr(self, given), f"{self.name}: {given.replace('_', ' ')}", "mm", 0.0)
        read_array(
            (self.bow_up, self.bow_down, self.twist), f"{self.name}: bow, twist", "mm", hint="0 where there is none"
        )

    @property
    def points(self) -> tuple:
        """All thickness readings [m]."""
        return (*self.thickness_marked, *self.thickness_far)

    @property
    def thickness(self) -> Measured:
        """Mean thickness with its standard uncertainty [m]; `details`: "scatter", standard deviation of the points
        [m]."""
        reading = Reading(f"thickness of {self.name}", self.points, self.resolution)
        return Measured(
            reading.mean,
            reading.uncertainty,
            {reading.name: reading.uncertainty},
            (),
            {"scatter": float(np.std(self.points, ddof=1))},
            reading.dof,
        )

    @property
    def taper(self) -> float:
        """Mean thickness towards the marked end minus that towards the far end [m]."""
        return float(np.mean(self.thickness_marked) - np.mean(self.thickness_far))

    @property
    def effective_thickness(self) -> float:
        """Thickness with the mean stiffness of the points, the cube root of the mean cube [m]."""
        return _effective(self.points)

    @property
    def curvature(self) -> float:
        """Own curvature, positive where the marked face is the outside of the curve [1/m].

        Of the two gaps half the difference is the sheet's own bow and half the sum the sag of its weight, so 8 h /
        base^2 with h = (bow_up - bow_down)/2.
        """
        return 8.0 * self._bow / self.base**2

    @property
    def curvature_uncertainty(self) -> float:
        """Standard uncertainty of the own curvature [1/m]."""
        of_base = 2.0 * self._bow * self.base_uncertainty / self.base
        return float(8.0 * np.hypot(self.bow_uncertainty, of_base) / self.base**2)

    @property
    def _bow(self):
        return 0.5 * (self.bow_up - self.bow_down)

    def halves(self, turned: bool = False) -> tuple[float, float]:
        """Effective thickness of both halves of the span [m], that towards the marked end first; `turned`: last."""
        both = _effective(self.thickness_marked), _effective(self.thickness_far)
        return both[::-1] if turned else both


def _effective(points):
    """Thickness with the mean stiffness of the points [m]."""
    return float(np.mean(np.array(points) ** 3) ** (1.0 / 3.0))


@dataclass(frozen=True)
class Pairing:
    """One way to lay the sheets together.

    Attributes
    ----------
    flip, turn : which faces look outwards and which ends lie together, in words
    sides : of both sheets: 1 where the marked face looks outwards, -1 inwards
    bows : curvature of both sheets as they lie, away from the chord line positive [1/m]
    curvature_gap, taper_gap : difference of the bows towards the outside [1/m], and of the tapers along the span [m]
    camber : of the mean line at the front, in the half of the span where it is larger, towards the first sheet positive
        [m]; nan where the pair cannot be bent so
    """

    flip: str
    turn: str
    sides: tuple
    bows: tuple
    curvature_gap: float
    taper_gap: float
    camber: float

    @property
    def score(self) -> float:
        """Size of the camber [m], smaller is better; infinite where the pair cannot be bent so."""
        return abs(self.camber) if np.isfinite(self.camber) else float("inf")


@dataclass(frozen=True)
class Inspection:
    """Verdict on a pair, laid as the first of its `pairings` (best first). `stiffness_ratio` D1 / D2 from the thickness
    alone, or with measured moduli; its standard uncertainty; `camber` of the mean line at the front [m] of the design
    it was judged for, from the mean thickness and the bow of both; `tolerance` [m]; `verdict` "holds", "close" or
    "fails"; `basis` of the tolerance, `source` in words; `notes`."""

    stiffness_ratio: float
    ratio_uncertainty: float
    camber: float
    tolerance: float
    verdict: str
    basis: str
    source: str
    pairings: tuple
    notes: tuple


def inspect_pair(
    first: SheetReadings,
    second: SheetReadings,
    design,
    tolerance: float,
    modulus_1=None,
    modulus_2=None,
    modulus_uncertainty: float = 0.0,
) -> Inspection:
    """Judge two sheets for a design.

    Parameters
    ----------
    first, second : SheetReadings
    design : Design
        What they are to become.
    tolerance : float
        Camber of the mean line at the front edge that the builder accepts [m].
    modulus_1, modulus_2 : float, optional
        Measured moduli [Pa]; the design's sheet's for both if not given.
    modulus_uncertainty : float
        Relative standard uncertainty of their ratio [-].

    Notes
    -----
    D goes with E t^3, so its relative uncertainty is three times that of the thickness. Camber from the exact
    unequal bend.
    """
    tolerance = read_number(tolerance, "tolerance", "mm", above=0.0)
    for name, value in (("modulus of the first sheet", modulus_1), ("modulus of the second sheet", modulus_2)):
        if value is not None:
            read_number(value, name, "GPa", 1e6, 1e12)
    hint = "of modulus over modulus, as a share"
    read_number(modulus_uncertainty, "uncertainty of the moduli", low=0.0, high=1.0, hint=hint)
    nominal = float(design.sheet.modulus_at(design.sheet_thickness))
    t1, t2 = first.effective_thickness, second.effective_thickness
    d1, d2 = (bending_stiffness(e or nominal, t) for e, t in ((modulus_1, t1), (modulus_2, t2)))
    u = np.hypot(3.0 * np.hypot(first.thickness.relative, second.thickness.relative), modulus_uncertainty)
    ways = pairings(first, second, design, modulus_1 or nominal, modulus_2 or nominal)
    bent = pair_bend(design, t1, t2, d1, d2, ways[0].bows)
    camber = float(bent.camber()[1][-1]) if bent.feasible else float("nan")
    verdict = rate(abs(camber), tolerance, design.close_share).verdict if bent.feasible else FAILS
    return Inspection(
        float(d1 / d2),
        float(u * d1 / d2),
        camber,
        tolerance,
        verdict,
        "user",
        "exact bend of two unequal sheets on a floating rod; tolerance as entered by the user",
        ways,
        _notes(first, second, design, t1, t2),
    )


def pairings(first: SheetReadings, second: SheetReadings, design, modulus_1=1.0, modulus_2=1.0) -> tuple[Pairing, ...]:
    """The eight ways to lay two sheets together, best first: either face of each sheet out, and the marked ends
    together or not.

    Turned over, a sheet's bow changes sides; turned end for end, its taper changes ends. What counts is the camber of
    the exact bend, in the half of the span where it is larger. Of the moduli only the ratio counts.
    """
    laid = [(*faces, turn) for faces in FACES for turn in TURNS]
    thick = np.array([[first.halves(), second.halves(turn < 0.0)] for _, _, turn in laid])  # (ways, sheets, halves)
    bows = np.array([[-a * first.curvature, -b * second.curvature] for a, b, _ in laid])
    t1, t2 = thick[:, 0], thick[:, 1]
    bent = pair_bend(design, t1, t2, modulus_1 * t1**3, modulus_2 * t2**3, bows.T[..., None])
    camber = bent.camber(2)[1][..., -1]
    out = []
    for (a, b, turn), own, halves in zip(laid, bows.tolist(), camber, strict=True):
        size = np.abs(halves)
        worse = float(halves[size.argmax()]) if np.all(np.isfinite(size)) else float("nan")
        taper = first.taper - turn * second.taper
        words = _faces(first.name, a, second.name, b)
        out.append(Pairing(words, TURNS[turn], (a, b), tuple(own), own[1] - own[0], taper, worse))
    return tuple(sorted(out, key=lambda p: round(p.score / ALIKE) if np.isfinite(p.score) else np.inf))


def _faces(first, a, second, b):
    """Which faces look outwards, in words."""
    if a == b:
        return f"marked faces {_way(a)} on both"
    return f"marked face {_way(a)} on {first}, {_way(b)} on {second}"


def _way(side):
    return "out" if side > 0.0 else "in"


def _notes(first, second, design, t1, t2):
    notes = []
    for sheet in (first, second):
        if sheet.thickness.details["scatter"] > 0.03 * sheet.thickness.value:
            notes.append(
                f"{sheet.name} varies by {100 * sheet.thickness.details['scatter'] / sheet.thickness.value:.1f} % in "
                "thickness: its stiffness by three times that"
            )
        if abs(sheet.twist) > 0.002 * sheet.base:
            notes.append(
                f"{sheet.name} is twisted by {show_fixed(sheet.twist, 1)} over {show_fixed(sheet.base, 0)}: the part "
                "will not lie flat in the jig"
            )
    bend = solve_bend(design.free_length, 0.5 * (t1 + t2), design.spacer_diameter, design.bond_line, design.setback)
    worst = max(abs(first.curvature), abs(second.curvature))
    if worst > 0.1 * bend.land_curvature:
        notes.append(
            f"the bow is {100 * worst / bend.land_curvature:.0f} % of the curvature of the bent part: the shape "
            "depends on which way it faces"
        )
    return tuple(notes)
