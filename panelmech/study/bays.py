"""The bays of a design's framed sheet, and how far the ribs and solid zones between them give.

A bay is reckoned as the sheet of a design as long as the bay, held at its ends as at frames. A closing frame is taken
as rigid; a rib or a solid zone is a beam from land to rod (`mechanics.filled_strip`), which carries what presses on it
and on half of the bays beside it. By so much the sheet of a bay goes in further: the more of its two ends counts, on
the safe side. That sum may be more than what the sheet gives in without them, where they give much; then that counts,
for under an even load a further support takes nothing away. For buckling along the span ribs are left out: how much
they give then is not known well enough, and the sheet without them bears no more than with them (Rayleigh). A solid
zone is an end for it.
"""

from __future__ import annotations

from ..mechanics.filled_strip import give_of_filling
from .design import Design
from .inside import Inside

DIGITS = 9  # of a bay's width [m]: those that differ by less are one


def bay_designs(design: Design) -> tuple[Design, ...]:
    """A design without frames as long as each bay, those of one width once; without ribs and zones the design itself.

    Their framed sheets are those of the bays.
    """
    if not design.inside:
        return (design,)
    return tuple(dict.fromkeys(bay_design(design, bay) for bay in design.bays))


def bay_design(design: Design, bay) -> Design:
    """The one as long as a bay."""
    return design.replace(span=round(bay.length, DIGITS), frame_width=0.0, inside=Inside())


def without_ribs(design: Design) -> Design:
    """The design as its sheet counts for buckling: with its solid zones alone."""
    return design.replace(inside=Inside(zones=design.inside.zones)) if design.inside.ribs else design


def pressed_as(design: Design) -> tuple[Design, ...]:
    """As what a design's sheet may be reckoned when it is pressed, each on the safe side: with ribs and zones, with the
    zones alone, with neither."""
    return tuple(dict.fromkeys((design, without_ribs(design), design.replace(inside=Inside()))))


def bay_gives(design: Design, bend) -> list[float]:
    """How far what bounds each bay gives per even pressure on one face [m/Pa], nothing at a closing frame."""
    gives = [0.0] * len(design.bays)
    for stretch in design.filled:
        beside = [i for i, bay in enumerate(design.bays) if bay.end == stretch.start or bay.start == stretch.end]
        widths = [design.bays[i].length for i in beside]
        give = _give(design, bend, stretch.length, 0.5 * min(widths)) * (stretch.length + 0.5 * sum(widths))
        for i in beside:
            gives[i] = max(gives[i], give)
    return gives


def _give(design, bend, width, beside):
    modulus, resin = float(design.sheet.modulus_at(design.sheet_thickness)), design.resin
    return give_of_filling(bend, width, beside, modulus, resin.modulus, resin.poisson)
