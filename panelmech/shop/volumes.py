"""What is poured and spread, by volume: potted nose, closing frames, inner ribs and solid zones, edge fill, glue line,
bead, fillets, foam.

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
from ..units import SMALLEST, lengths, read_number, show, show_input
from .along_span import AlongSpan, along_span
from .outlines import bead_area, edge_area, fillet_area, rounding_area, triangle_rules
from .resin import WASTE

SEAL_LEG = 3e-3  # m, of the seal bead along dams and rod, a triangle: judgement, no source
HOLE_FILM = 1e-3  # m of resin that the wall of a hole drinks and holds: judgement, no source
FRAME_PLENTY = (0.010, 0.020)  # m of closing frame: common practice, no source


def frame_plenty(metric: str) -> str:
    """`FRAME_PLENTY` in words: as given, or in inches where lengths are shown in these."""
    low, high = (show(v, "mm", 1) for v in FRAME_PLENTY)
    return metric if lengths() == "mm" else f"{low.removesuffix(' in')} to {high}"


@dataclass(frozen=True)
class VolumeRow:
    """One thing poured or spread."""

    name: str
    volume: float  # m3, net
    with_waste: float  # m3
    how: str  # how it is reckoned, in words
    formula: str  # the same with its numbers
    material: str  # "resin" (potting), "filler" (thickened: bead, fillets, fairing), "adhesive" or "foam"


@dataclass(frozen=True)
class Volumes:
    """All volumes of a part."""

    rows: tuple  # of VolumeRow
    triangles: tuple  # of TriangleRule
    waste: float  # share reckoned with [-]
    notes: tuple  # in words

    def __getitem__(self, name: str) -> VolumeRow:
        """The row of this name; KeyError names those there are."""
        for row in self.rows:
            if row.name == name:
                return row
        raise KeyError(f"no volume {name!r}; there are {', '.join(row.name for row in self.rows)}")

    @property
    def net(self) -> dict:
        """{name: net volume [m3]}."""
        return {row.name: row.volume for row in self.rows}

    def total(self, material: str, with_waste: bool = True) -> float:
        """Sum over the rows of one material [m3]; 0 where there is none."""
        return sum(row.with_waste if with_waste else row.volume for row in self.rows if row.material == material)


def volumes(
    part: Design | Blade | AlongSpan,
    *,
    dam_inset: float = 0.0,
    front_in_frames: bool = False,
    squeeze_out: float = 0.3,
    nose_rise: float = 0.0,
    bead_length: float = 0.010,
    fillet_radius: float = 0.0,
    waste: float = WASTE,
    foam: bool = False,
    holes: tuple = (),
) -> Volumes:
    """Volumes of everything that is poured or spread into one part.

    Parameters
    ----------
    part : Design or Blade
        A blade for a part with dimensions that change along the span.
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
    holes : tuple of float
        Diameters of the holes through the closing frames, whose walls are sealed [m].

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For a negative or non-finite number, dams that meet, a bead that reaches the rod, or a part that
        `along_span` refuses.
    """
    part = along_span(part)
    lengths = (dam_inset, "dam inset"), (bead_length, "bead length"), (fillet_radius, "fillet radius")
    for value, name in (*lengths, (nose_rise, "nose rise")):
        read_number(value, name, "mm", low=0.0)
    nose_rise = 0.0 if nose_rise < SMALLEST else nose_rise
    for value, name in ((squeeze_out, "squeeze-out"), (waste, "waste")):
        read_number(value, name, "%", low=0.0)
    if 2.0 * dam_inset >= part.span:
        raise ValueError(
            f"dam inset {show_input(dam_inset, 'mm')} at each end leaves nothing of the span, "
            f"{show_input(part.span, 'mm')}: move the dams out"
        )
    rows = _front_rows(part, dam_inset, front_in_frames, nose_rise) + _frame_rows(part, fillet_radius)
    rows += _glue_rows(part, squeeze_out, bead_length)
    if rows[0][1] > 0.0:  # nothing is sealed where nothing is poured
        rows.append(_seal_row(part, dam_inset))
    rows.append(_holes_row(part.design.frame_width, holes))
    if foam:
        rows.append(_foam_row(part, bead_length))
    return Volumes(
        tuple(
            VolumeRow(name, volume, volume * (1.0 + waste), how, formula, material)
            for name, volume, how, formula, material in rows
            if volume > 0.0
        ),
        triangle_rules(part.bend_at(0.0)),
        waste,
        tuple(_notes(part.design.frame_width, front_in_frames, dam_inset)),
    )


def _row(part, name, area, stretch, how, material="resin"):
    """(name, volume [m3], how, formula, material) of area(design, bend) [m2] over a stretch (start, end) [m]; a piece
    on either side of a step stands for itself."""
    pieces = [(low, high) for low, high in part.between_steps(*stretch) if high > low]
    amounts = [part.integral(*piece, area) for piece in pieces]
    areas = [show_input(v / (high - low), "mm2", 4) for v, (low, high) in zip(amounts, pieces, strict=True)]
    if len(set(areas)) == 1:
        areas, pieces = areas[:1], [stretch]
    texts = [f"{area} × {_mm(high - low)}" for area, (low, high) in zip(areas, pieces, strict=True)]
    return name, sum(amounts), how, " + ".join(texts) or "nothing", material


def _front_rows(part, inset, front_in_frames, rise):
    span = (0.0, part.span)

    def front(_, bend):
        return max(bend.front_area, 0.0)  # below 0 by rounding only

    words = "exact area in front of the rod, up to the mouth plane, times the length between the dams"
    rows = [_row(part, "potted nose", front, (inset, part.span - inset), words)]
    if front_in_frames and inset > 0.0:
        words = "the same area, from the dam to the end"
        for end, stretch in part.end_stretches(inset).items():
            rows.append(_row(part, f"front of the closing frame, {end}", front, stretch, words))
    words = "segment between the mouth plane and the arc, less the rod where it is proud"
    rows.append(_row(part, "nose rounding", lambda _, b: rounding_area(b, rise), span, words, "filler"))
    proud, behind = (v < 0.0 and rise == 0.0 for v in part.extremes(*span, lambda bend: bend.setback))
    words = "; ".join(
        kind
        for kind, there in (
            ("fairing from the outer corner of each sheet to the rod that stands proud", proud),
            ("corners in front of the square-cut sheet ends: outer faces run on to the mouth plane", not behind),
        )
        if there
    )
    return [*rows, _row(part, "edge fill", lambda _, b: edge_area(b, rise), span, words, "filler")]


def _frame_rows(part, radius):
    depth = part.design.frame_width
    words = "exact hollow behind the rod times the depth of the frame; the bead is not taken off"
    rows = [
        _row(part, f"closing frame, {end}", lambda _, b: b.void_area, stretch, words)
        for end, stretch in part.end_stretches(depth).items()
    ]
    words = "exact hollow behind the rod times its length along the span; the bead is not taken off"
    rows += [
        _row(part, stretch.name, lambda _, b: b.void_area, (stretch.start, stretch.end), words)
        for stretch in part.design.filled
    ]
    if radius > 0.0 and depth > 0.0:
        around = sum(_hollow_edge(part.bend_at(z)) for z in (depth, part.span - depth))
        words = "r² (1 − π/4) along sheets and rod, inside each frame; corners counted twice"
        formula = f"{_mm(radius)} radius, {_mm(around)} long"
        rows.append(("fillets at the frames", float(around * fillet_area(radius)), words, formula, "filler"))
    return rows


def _hollow_edge(bend):
    """Edge of the hollow in a section: both inner faces to the contact and the back of the rod [m]."""
    face = bend.contact_arclength + 0.5 * bend.sheet_thickness * bend.contact_angle  # parallel curve: s + (t/2) turn
    return 2.0 * face + bend.spacer_radius * (np.pi - 2.0 * bend.contact_angle)


def _glue_rows(part, squeeze_out, bead_length):
    span, words = (0.0, part.span), "land times bond line times span"
    glue = _row(part, "glue line", lambda d, _: d.land_length * d.bond_line, span, words, "adhesive")
    pressed_out = "share of the glue line that is pressed out", f"{_number(100 * squeeze_out)} % of the glue line"
    words = f"between the inner faces from the land end to {_mm(bead_length)} along the sheet, front taken flat"
    return [
        glue,
        ("squeeze-out", glue[1] * squeeze_out, *pressed_out, "adhesive"),
        _row(part, "hinge-line bead", lambda _, b: bead_area(b, bead_length), span, words, "filler"),
    ]


def _seal_row(part, inset):
    """Bead along rod and sheets between the dams, and around each dam."""
    ends = [part.bend_at(place, before=place > 0.0) for place in (inset, part.span - inset)]
    around = sum(2.0 * max(b.mouth_position - b.spacer_position, 0.0) + np.pi * b.spacer_radius for b in ends)
    long = 2.0 * (part.span - 2.0 * inset) + around
    words = "triangle of equal legs along rod and sheets and around both dams; the potting is not reckoned less for it"
    return "seal bead", 0.5 * SEAL_LEG**2 * long, words, f"{_mm(SEAL_LEG)} legs, {_mm(long)} long", "filler"


def _holes_row(depth, holes):
    around = np.pi * sum(holes)
    words = f"walls of the holes through the frames, {_mm(HOLE_FILM)} of resin on them"
    return "hole walls", float(around * depth * HOLE_FILM), words, f"{_mm(around)} around, {_mm(depth)} deep", "resin"


def _foam_row(part, bead_length):
    words = "hollow behind the rod between the frames, less the bead"
    if part.design.inside:
        words = "hollow behind the rod in the bays between frames, ribs and solid zones, less the bead"
    bays = [
        _row(part, "foam", lambda _, b: b.void_area - bead_area(b, bead_length), (bay.start, bay.end), words, "foam")
        for bay in part.design.bays
    ]
    return "foam", sum(row[1] for row in bays), words, " + ".join(row[3] for row in bays), "foam"


def _mm(length):
    return show_input(length, "mm", 4)


def _number(value):
    return f"{value:.4g}"


def _notes(frame_width, front_in_frames, inset):
    least, most = FRAME_PLENTY
    if frame_width > most * (1.0 + 1e-9):
        yield (
            f"closing frames of {_mm(frame_width)}: {_mm(least)} to {_mm(most)} is plenty (common practice, no source)"
        )
    if inset > 0.0 and not front_in_frames:
        yield f"the front is left open for {_mm(inset)} at each end, beyond the dams"
