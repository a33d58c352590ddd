"""How inner ribs and solid zones are built, and in which order.

The land is bonded with the sheets flat and the rod spreads them, so nobody reaches the hollow but through its ends. The
part stands on the end that is closed first; each rib is then poured through the open other end onto a dam that is
pushed in to its line and stays there, from below upwards. A zone that begins at the frame below is poured onto that
frame, lift on lift; one that runs into the frame above carries it. So the second frame is poured from above, too, and
never through a fill hole, which ribs would bar.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..study.inside import Stretch
from ..units import capital
from .along_span import AlongSpan

TUBE = "a tube through it near the hinge line lets every bay breathe and drain"
TUBE_THROUGH_BOTH = TUBE.replace("through it", "through it and the frame")


@dataclass(frozen=True)
class Fill:
    """A rib or a solid zone as it is poured: its `name`, in `lifts`, each to follow the one before in a `window`
    (earliest, latest) [s]; whether it stands `on` the closing frame below it, and `under` the one above."""

    name: str
    lifts: int
    window: tuple
    on: bool = False
    under: bool = False

    @property
    def title(self) -> str:
        """What the schedule calls it."""
        return self.name if self.name[-1].isdigit() else f"the {self.name}"


def poured_ends(part: AlongSpan) -> tuple:
    """Names of both ends, that first which is closed first and on which the part then stands.

    The root end; of a part with ribs or zones whose hollow is wider at the root than at the tip the tip end, for dams
    go in through the wider end.
    """
    if part.design.inside:
        root, tip = part.bend_at(0.0).void_area, part.bend_at(part.span, before=True).void_area
        if root > tip:
            return "tip end", "root end"
    return "root end", "tip end"


def upwards(part: AlongSpan) -> bool:
    """Whether the root end is below while ribs and zones are poured."""
    return poured_ends(part)[0] == "root end"


def in_order(part: AlongSpan) -> tuple:
    """Inner ribs and solid zones (`study.inside.Stretch`) in the order they are poured."""
    return part.design.filled if upwards(part) else part.design.filled[::-1]


def dam_place(part: AlongSpan, stretch: Stretch) -> float | None:
    """Where the dam of a rib or zone stands, from the root end [m]; None where it stands on a closing frame."""
    return None if _on_frame(part, stretch, below=True) else stretch.start if upwards(part) else stretch.end


def inner_dams(part: AlongSpan) -> list:
    """(stretch, place [m] from the root end) of every dam of a rib or zone."""
    places = ((stretch, dam_place(part, stretch)) for stretch in in_order(part))
    return [(stretch, place) for stretch, place in places if place is not None]


def _on_frame(part, stretch, below):
    """Whether a stretch meets the closing frame below it, or that above."""
    frame = part.design.frame_width
    gap = stretch.start - frame if below == upwards(part) else part.span - frame - stretch.end
    return frame > 0.0 and not gap > 0.0  # what runs into a frame is reckoned from its line: just nothing is left


def fills(part: AlongSpan, lines, heat) -> tuple:
    """Every `Fill` of a part in the order they are poured. lines: its `pours.PotLine`s; heat: `lifts.PackHeat`."""
    return tuple(_fill(part, stretch, lines, heat) for stretch in in_order(part))


def _fill(part, stretch, lines, heat):
    count = max(line.lifts for line in lines if line.name == capital(stretch.name))
    depths = [abs(float(depth) - stretch.length / count) for depth in heat.heat.depth]
    window = heat.interval.window(depths.index(min(depths)))
    meets = (_on_frame(part, stretch, below) for below in (True, False))
    return Fill(stretch.name, count, window, *meets)


def dam_words(part: AlongSpan, keys):
    """How dams of ribs and zones get to their place, and for which there is no template among those of these `keys`, a
    line each."""
    needed = inner_dams(part)
    if needed:
        way = f"dams of ribs and solid zones go in through the {poured_ends(part)[1]}, the farthest first; one that"
        yield f"{way} does not pass is sawn along the chord line. {capital(TUBE)}: its room is not taken off"
    for stretch, _ in needed:
        if not {"frame-dam", f"frame-dam-{stretch.key}"} & set(keys):
            yield f"no dam for the {stretch.name}: the clearance leaves nothing to cut; close the hollow with tape"
