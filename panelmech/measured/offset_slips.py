"""Offsets that no such part can have: which slip of hand or pen would explain them.

Each slip is undone and the offsets are fitted anew; it is named where they then fit (`OffsetFit.fits`). A slip that
moves all readings is tried only where undoing it brings them nearer to the part as designed.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..units import FACTORS, show
from .offset_model import OffsetModel
from .offsets import Offsets, fit_offsets

PER_INCH = FACTORS["in"] / FACTORS["mm"]
NEARER = 0.5  # of the distance to the part as designed, root mean square: what undoing a slip must bring


def likely_slips(design, offsets: Offsets, known: dict, suspect: int | None = None) -> tuple:
    """Sentences on every slip that would explain the offsets, none where nothing does.

    `known` as for `fit_offsets`; `suspect`: the reading that fits worst, to be left out or to change faces with its
    fellow at the same place.
    """
    away = _away(design, offsets)
    said = []
    for words, changed in _of_all(design, offsets):
        near = _away(design, changed)
        if near < NEARER * away and _fits(design, changed, known):
            said.append(f"They would fit if {words}.")
    for words, changed in _of_one(offsets, suspect):
        if _fits(design, changed, known):
            said.append(f"They would fit {words}.")
    return tuple(said)


def _of_all(design, offsets):
    """(words, offsets with the slip undone) of slips that move every reading."""
    x, y = offsets.x, offsets.offset
    yield "the offsets were read in inches and taken as millimetres", replace(offsets, offset=PER_INCH * y)
    both = replace(offsets, x=PER_INCH * x, offset=PER_INCH * y)
    yield "places and offsets were read in inches and taken as millimetres", both
    yield "the offsets were read in millimetres and taken as inches", replace(offsets, offset=y / PER_INCH)
    yield "the offsets were read in centimetres and taken as millimetres", replace(offsets, offset=10.0 * y)
    yield "the whole thickness of the part was read in the place of the offset", replace(offsets, offset=0.5 * y)
    chord = float(design.bend().free_chord)
    yield "the places were counted from the front edge", replace(offsets, x=chord - x)
    land = show(design.land_length, "mm", 3)
    words = f"the places were counted from the trailing edge, {land} behind the land end"
    yield words, replace(offsets, x=x - design.land_length)


def _of_one(offsets, suspect):
    """(words, offsets with the slip undone) of slips at one place; the least is told first."""
    if suspect is None:
        return
    x, face = show(offsets.x[suspect], "mm", 4), offsets.face[suspect]
    there = np.flatnonzero((offsets.x == offsets.x[suspect]) & np.isin(offsets.face, ("upper", "lower")))
    if len(there) == 2 and suspect in there and len(set(offsets.face[there])) == 2:
        faces = offsets.face.copy()
        faces[there] = offsets.face[there[::-1]]
        yield f"if the two faces {x} from the land end were taken for each other", replace(offsets, face=faces)
    rest = np.arange(len(offsets)) != suspect
    columns = (getattr(offsets, name)[rest] for name in ("x", "offset", "face", "uncertainty"))
    yield f"without the reading {x} from the land end on the {face} face: measure it again", Offsets(*columns)


def farthest(design, offsets: Offsets) -> int:
    """The reading that is farthest from two alike, flat sheets as designed, over its uncertainty."""
    ideal = OffsetModel(design, offsets.x, offsets.face).ideal()
    return int(np.argmax(np.abs(offsets.offset - ideal) / offsets.uncertainty))


def _away(design, offsets):
    """Root mean square distance from the part as designed [m]; infinite off its sheets."""
    if np.any((offsets.x < 0.0) | (offsets.x > float(design.bend().free_chord))):
        return float("inf")
    ideal = OffsetModel(design, offsets.x, offsets.face).ideal()
    return float(np.sqrt(np.mean((offsets.offset - ideal) ** 2)))


def _fits(design, offsets, known):
    try:
        return fit_offsets(design, offsets, known=known).fits
    except ValueError:  # too few readings are left, or no such part
        return False
