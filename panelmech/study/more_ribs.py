"""How many inner ribs a check of the framed sheet needs: worked out, one number after the other.

More ribs part the widest bay first, each bay evenly, so that one bay is parted into equal ones. Narrower bays give in
less, and each rib carries less, so the least number that is enough is found by halving; what is said of it is what
`evaluate` says.
"""

from __future__ import annotations

from itertools import takewhile

from ..units import show, show_input
from .checks import LOCAL_RULES, framed_to_go_by
from .design import Design
from .inside import LEAST_BAY, SAME_PLACE, Inside, Rib

WIDTH = 12e-3  # m of a rib that is advised: common practice has 10 to 20 mm for a closing frame; judgement, no source
MOST = 16  # ribs looked at: with more a builder takes a thicker sheet; judgement
HELPED = {rule.key: rule for rule in LOCAL_RULES if rule.key == "oil_canning"}  # ribs do not count for buckling


def with_more_ribs(design: Design, count: int, width: float = WIDTH) -> Design | None:
    """The design with `count` more ribs of one `width` [m]; None where a bay would be narrower than `LEAST_BAY`.

    >>> from panelmech.job import demo
    >>> more = with_more_ribs(demo().design, 3)
    >>> [round(bay.length, 4) for bay in more.bays]
    [0.196, 0.196, 0.196, 0.196]
    """
    bays, ribs = design.bays, list(design.inside.ribs)
    more = [0] * len(bays)

    def each(i):
        return (bays[i].length - more[i] * width) / (more[i] + 1)

    for _ in range(count):
        more[max(range(len(bays)), key=each)] += 1
    if min(map(each, range(len(bays)))) < LEAST_BAY - SAME_PLACE:
        return None
    for i, bay in enumerate(bays):
        step = each(i) + width
        ribs += [Rib(bay.start + n * step - 0.5 * width, width) for n in range(1, more[i] + 1)]
    return design.replace(inside=Inside(tuple(ribs), design.inside.zones))


def ribs_needed(design: Design, key: str, need: float) -> Design | None:
    """The design with the fewest more ribs, `MOST` at most, that give a check of the framed sheet this reserve; None
    where there is no such number.

    key : of one of `HELPED`
    need : least reserve [-]
    """
    parts = list(takewhile(bool, (with_more_ribs(design, count) for count in range(1, MOST + 1))))

    def enough(number):
        return framed_to_go_by(parts[number], (HELPED[key],))[0] >= need

    low, high = -1, 0
    while high < len(parts) and not enough(high):
        low, high = high, min(2 * high + 1, max(len(parts) - 1, high + 1))
    if high >= len(parts):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return parts[high]


def ribs_words(design: Design, more: Design) -> str:
    """What ribs are put in, in a clause without the reserve that comes of it."""
    added = len(more.inside.ribs) - len(design.inside.ribs)
    many = "one more inner rib" if added == 1 else f"{added} more inner ribs"
    many = many if design.inside.ribs else many.replace(" more", "") if added > 1 else "an inner rib"
    widest = max(bay.length for bay in more.bays)
    place = f"at {show_input(more.inside.ribs[0].position, 'mm', 3)}, " if added == 1 and not design.inside.ribs else ""
    return f"{many} of {show_input(WIDTH, 'mm')}, {place}bays of at most {show(widest, 'mm', 3)}"
