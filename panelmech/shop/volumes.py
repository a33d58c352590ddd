"""What is poured and spread, by volume: potted nose, closing frames, edge fill, glue line, bead, fillets, foam.

Every area is that of the exact section (`Bend.front_area`, `Bend.void_area`, and integrals of the exact inner face),
times the length it is poured over; along a tapered part it is integrated by Gauss's rule between the places where the
taper changes. Volumes are net, of what stays in the part, and once more with the waste the builder reckons with.

The trade's triangle rule (depth times mouth over two) stands beside, with its error: it is right for flat sheets only.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from ..blade.blade import ALONG_FIELDS, Blade
from ..mechanics.bend import Bend
from ..study.design import Design
from ..units import show_input
from .outlines import NODES, WEIGHTS, bead_area, edge_area, fillet_area, rounding_area, triangle_rules

# ----- A part along its span for the shop: its sections at Gauss's nodes, sums over the span, and what one pack can
# take.
#
# Between the places where the taper changes every dimension runs straight; what is integrated there is smooth, and 24
# nodes on each stretch leave rounding. An untapered part has one section, and a sum is that section's value times the
# length.


LEVEL = 1e-4  # m: what a level shows; a mouth nearer to level than that is level


class AlongSpan:
    """A part along its span: `design`; `blade`, None where it does not taper; `ends` of its stretches [m]."""

    def __init__(self, design: Design, blade: Blade | None = None):
        self.design, self.blade = design, blade
        self.ends = (0.0, design.span) if blade is None else blade.breakpoints

    def bend_at(self, position) -> Bend:
        """The section at a place [m] from the root end."""
        return (self.design if self.blade is None else self.blade.design_at(position)).bend()

    def integral(self, start, end, value) -> float:
        """int value(z) dz [unit of value times m]; `value` takes a design and its bend at one place."""
        if self.blade is None:
            return (end - start) * float(value(self.design, self.design.bend()))
        total = 0.0
        for length, designs in self._stretches(start, end):
            total += length * float(WEIGHTS @ [value(d, d.bend()) for d in designs])
        return total

    def profile(self, start, end, value) -> np.ndarray:
        """As `integral`, of a `value` that is an array."""
        if self.blade is None:
            return (end - start) * np.asarray(value(self.design, self.design.bend()))
        return sum(
            length * (WEIGHTS @ np.array([value(d, d.bend()) for d in designs]))
            for length, designs in self._stretches(start, end)
        )

    def extremes(self, start, end, value) -> tuple:
        """Least and greatest value(bend) on a stretch, over its ends, Gauss's nodes and the places where the taper
        changes: right for what runs one way along a stretch, as gap, depth and mouth do on a straight taper."""
        if self.blade is None:
            found = [value(self.design.bend())] * 2
        else:
            cuts = self._cuts(start, end)
            designs = [self.blade.design_at(p) for p in cuts]
            designs += [d for _, inside in self._stretches(start, end) for d in inside]
            found = [value(d.bend()) for d in designs]
        return float(min(found)), float(max(found))

    def _cuts(self, start, end):
        return [start, *(p for p in self.ends if start < p < end), end]

    def _stretches(self, start, end):
        cuts = self._cuts(start, end)
        for low, high in itertools.pairwise(cuts):
            yield high - low, [self.blade.design_at(low + (high - low) * node) for node in NODES]


def for_the_shop(part: Design | Blade) -> AlongSpan:
    """The part as the shop takes it; a blade whose dimensions do not change along the span is its design.

    ValueError, in words, for a part with steps, or with sheets that get thinner along the span: such blanks cannot be
    cut from a flat sheet in one piece.
    """
    if isinstance(part, Design):
        return AlongSpan(part)
    if not isinstance(part, Blade):
        raise ValueError(f"the part is {part!r}: give a Design, or a Blade for a tapered part")
    places = np.array(part.breakpoints)
    along = {
        name: np.concatenate([v, w])
        for name, v, w in ((n, part.values_at(places)[n], part.values_at(places, before=True)[n]) for n in ALONG_FIELDS)
    }
    if all(np.ptp(values) == 0.0 for values in along.values()):
        return AlongSpan(part.design_at(0.0))
    if part.steps:
        where = ", ".join(show_input(place, "mm") for place in part.steps)
        raise ValueError(
            f"this part steps at {where} from the root end: a shop pack is for a part without steps; save "
            "each stretch between the steps as a part of its own and make a pack of each"
        )
    thick = along["sheet_thickness"]
    if np.ptp(thick) > 0.0:
        raise ValueError(
            f"the sheets run from {show_input(float(thick.min()), 'mm')} to "
            f"{show_input(float(thick.max()), 'mm')} thick along the span: blanks are cut from a sheet of "
            "one thickness; give one thickness for the whole span"
        )
    return AlongSpan(part.design, part)


# ----- What is poured and spread, by volume: potted nose, closing frames, edge fill, glue line, bead, fillets, foam.


FRAME_PLENTY = (0.010, 0.020)  # m of closing frame: common practice, no source
WASTE = 0.15  # common practice: 15 to 20 % is advised


@dataclass(frozen=True)
class VolumeRow:
    """One thing poured or spread.

    `name`; `volume`, net [m3]; `with_waste` [m3]; `how` it is reckoned, in words; `formula`, with its numbers;
    `material`: "resin" (potting), "filler" (thickened: bead, fillets, fairing), "adhesive" or "foam".
    """

    name: str
    volume: float
    with_waste: float
    how: str
    formula: str
    material: str


@dataclass(frozen=True)
class Volumes:
    """All volumes of a part: `rows`, the `triangles`, the `waste` share reckoned with [-], and `notes` in words."""

    rows: tuple
    triangles: tuple
    waste: float
    notes: tuple

    def __getitem__(self, name: str) -> VolumeRow:
        """The row of this name; KeyError names those there are."""
        for row in self.rows:
            if row.name == name:
                return row
        raise KeyError(f"no volume {name!r}; there are {', '.join(row.name for row in self.rows)}")

    def total(self, material: str, with_waste: bool = True) -> float:
        """Sum over the rows of one material [m3]; 0 where there is none."""
        return sum(row.with_waste if with_waste else row.volume for row in self.rows if row.material == material)


def volumes(
    design: Design,
    blade: Blade | None = None,
    *,
    dam_inset: float = 0.0,
    front_in_frames: bool = False,
    squeeze_out: float = 0.3,
    nose_rise: float = 0.0,
    bead_length: float = 0.010,
    fillet_radius: float = 0.0,
    waste: float = WASTE,
    foam: bool = False,
) -> Volumes:
    """Volumes of everything that is poured or spread into one part.

    Parameters
    ----------
    design : Design
    blade : Blade, optional
        The same part with dimensions that change along the span; its own design is then the one used.
    dam_inset : float
        Distance of each dam of the potted nose from the end of the part [m].
    front_in_frames : bool
        Whether the front beyond the dams is filled when the closing frames are poured.
    squeeze_out : float
        Adhesive squeezed out of the land, as a share of what stays in it [-].
    nose_rise : float
        How far the nose is rounded beyond the mouth plane, an arc between the mouth corners [m]; 0: as it is.
    bead_length : float
        Reach of the bead along the hinge line inside, from the land end along the sheet [m]; its front taken flat.
        0 for none.
    fillet_radius : float
        Fillets between each closing frame and sheets and rod [m]; 0 for none.
    waste : float
        Share added to everything: pots, brushes, what is left over [-]. 15 to 20 % is common practice.
    foam : bool
        Whether the hollow between the frames is filled.

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For a negative or non-finite number, dams that meet, or a bead that reaches the rod.
    """
    design = design if blade is None else blade.design
    lengths = {
        "dam inset": dam_inset,
        "bead length": bead_length,
        "fillet radius": fillet_radius,
        "nose rise": nose_rise,
    }
    _check(design, lengths, {"squeeze-out": squeeze_out, "waste": waste})
    part = AlongSpan(design, blade)
    rows = _front_rows(part, dam_inset, front_in_frames, nose_rise) + _frame_rows(part, fillet_radius)
    rows += _glue_rows(part, squeeze_out, bead_length)
    if foam:
        rows.append(_foam_row(part, bead_length))
    wasted = tuple(
        VolumeRow(name, volume, volume * (1.0 + waste), how, formula, material)
        for name, volume, how, formula, material in rows
        if volume > 0.0
    )
    return Volumes(wasted, triangle_rules(part.bend_at(0.0)), waste, _notes(design, front_in_frames, dam_inset))


def _front_rows(part, inset, front_in_frames, rise):
    span = part.design.span
    nose = part.integral(inset, span - inset, lambda _, b: max(b.front_area, 0.0))  # below 0 by rounding only
    rows = [
        (
            "potted nose",
            nose,
            "exact area in front of the rod, up to the mouth plane, times the length between the dams",
            _times(nose, span - 2 * inset),
            "resin",
        )
    ]
    if front_in_frames and inset > 0.0:
        for end, low, high in (("root end", 0.0, inset), ("tip end", span - inset, span)):
            front = part.integral(low, high, lambda _, b: max(b.front_area, 0.0))
            rows.append(
                (
                    f"front of the closing frame, {end}",
                    front,
                    "the same area, from the dam to the end",
                    _times(front, inset),
                    "resin",
                )
            )
    rounded = part.integral(0.0, span, lambda _, b: rounding_area(b, rise))
    rows.append(
        (
            "nose rounding",
            rounded,
            "segment between the mouth plane and the arc, less the rod where it is proud",
            _times(rounded, span),
            "filler",
        )
    )
    edges = part.integral(0.0, span, lambda _, b: edge_area(b, rise))
    proud = part.bend_at(0.0).setback < 0.0 and rise == 0.0
    words = (
        "fairing from the outer corner of each sheet to the rod that stands proud"
        if proud
        else "corners in front of the square-cut sheet ends: outer faces run on to the mouth plane"
    )
    return [*rows, ("edge fill", edges, words, _times(edges, span), "filler")]


def _frame_rows(part, radius):
    span, depth = part.design.span, part.design.frame_width
    rows = []
    for end, low, high in (("root end", 0.0, depth), ("tip end", span - depth, span)):
        frame = part.integral(low, high, lambda _, b: b.void_area)
        rows.append(
            (
                f"closing frame, {end}",
                frame,
                "exact hollow behind the rod times the depth of the frame; the bead is not taken off",
                _times(frame, depth),
                "resin",
            )
        )
    if radius > 0.0:
        around = sum(_hollow_edge(part.bend_at(z)) for z in (depth, span - depth))
        rows.append(
            (
                "fillets at the frames",
                float(around * fillet_area(radius)),
                "r² (1 − π/4) along sheets and rod, inside each frame; corners counted twice",
                f"{_mm(radius)} radius, {_mm(around)} long",
                "filler",
            )
        )
    return rows


def _hollow_edge(bend):
    """Edge of the hollow in a section: both inner faces to the contact and the back of the rod [m]."""
    face = bend.contact_arclength + 0.5 * bend.sheet_thickness * bend.contact_angle  # parallel curve: s + (t/2) turn
    return 2.0 * face + bend.spacer_radius * (np.pi - 2.0 * bend.contact_angle)


def _glue_rows(part, squeeze_out, bead_length):
    span = part.design.span
    line = part.integral(0.0, span, lambda d, _: d.land_length * d.bond_line)
    bead = part.integral(0.0, span, lambda _, b: bead_area(b, bead_length))
    return [
        ("glue line", line, "land times bond line times span", _times(line, span), "adhesive"),
        (
            "squeeze-out",
            line * squeeze_out,
            "share of the glue line that is pressed out",
            f"{_number(100 * squeeze_out)} % of the glue line",
            "adhesive",
        ),
        (
            "hinge-line bead",
            bead,
            f"between the inner faces from the land end to {_mm(bead_length)} along the sheet, front taken flat",
            _times(bead, span),
            "filler",
        ),
    ]


def _foam_row(part, bead_length):
    low, high = part.design.frame_width, part.design.span - part.design.frame_width
    hollow = part.integral(low, high, lambda _, b: b.void_area - bead_area(b, bead_length))
    words = "hollow behind the rod between the frames, less the bead"
    return ("foam", hollow, words, _times(hollow, high - low), "foam")


def _times(volume, length):
    """Mean area times length, as a formula in words."""
    if length <= 0.0:
        return "nothing"
    return f"{_number(volume / length * 1e6)} mm² × {_mm(length)}"


def _mm(length):
    return f"{_number(length * 1e3)} mm"


def _number(value):
    return f"{value:.4g}"


def _notes(design, front_in_frames, inset):
    notes = []
    low, high = FRAME_PLENTY
    if design.frame_width > high * (1.0 + 1e-9):
        notes.append(
            f"closing frames of {_mm(design.frame_width)}: {_mm(low)} to {_mm(high)} is plenty (common "
            "practice, no source)"
        )
    if inset > 0.0 and not front_in_frames:
        notes.append(f"the front is left open for {_mm(inset)} at each end, beyond the dams")
    return tuple(notes)


def _check(design, lengths, shares):
    for name, value in {**lengths, **shares}.items():
        if not (isinstance(value, int | float) and np.isfinite(value) and value >= 0.0):
            unit = "m" if name in lengths else "as a share"
            raise ValueError(f"{name} is {value!r}: give 0 or more ({unit})")
    if 2.0 * lengths["dam inset"] >= design.span:
        raise ValueError(
            f"dam inset {show_input(lengths['dam inset'], 'mm')} at each end leaves nothing of the span, "
            f"{show_input(design.span, 'mm')}: move the dams out"
        )
