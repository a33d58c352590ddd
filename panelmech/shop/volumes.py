"""What is poured and spread, by volume: potted nose, closing frames, edge fill, glue line, bead, fillets, foam.

Every area is that of the exact section (`Bend.front_area`, `Bend.void_area`, and integrals of the exact inner face),
times the length it is poured over; along a tapered part it is integrated by Gauss's rule between the places where the
taper changes. Volumes are net, of what stays in the part, and once more with the waste the builder reckons with.

The trade's triangle rule (depth times mouth over two) stands beside, with its error: it is right for flat sheets only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..blade.blade import Blade
from ..study.design import Design
from ..units import show_input
from .along_span import AlongSpan
from .areas import bead_area, edge_area, fillet_area, rounding_area, triangle_rules

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
    return rows + [("edge fill", edges, words, _times(edges, span), "filler")]


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
