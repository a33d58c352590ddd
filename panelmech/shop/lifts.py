"""How deep the lifts of a part are poured, how hot they get, and when the next may follow.

The depth follows data sheet, heat or the builder's own choice, and what it follows is said. A resin that would take
more than `MOST_LIFTS` pours is answered with those that take fewer. The heat is kept from one pack to the next while
nothing it rests on has changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..blade.blade import Blade
from ..study.design import Design
from ..units import lengths, show
from .agree import pouring_systems
from .along_span import AlongSpan, along_span
from .choices import ShopChoices
from .conduction import COLD, INSULATED
from .cure import system_kinetics
from .deepest import LiftDepth, lift_depth
from .heat import Margin, Pour, PourHeat, loss_between_sheets, pour_heat, pour_margin
from .interval import LiftInterval, lift_interval
from .pours import lift_count, nose_levels
from .resin import times_at

SHALLOWEST, DEEPEST = 1e-3, 0.03  # m: lifts looked at
MOST_LIFTS = 10  # of one pour: with more a resin is not for potting; judgement, no source
FACES = {"insulating": INSULATED, "cold": COLD}


@lru_cache(maxsize=64)
def _kept_heat(pour, depths):
    """Heat of lifts, and their margin."""
    heat = pour_heat(pour, depths)
    return heat, pour_margin(heat)


@lru_cache(maxsize=64)
def _kept_lift_depth(told_in, *asked):
    """Kept apart for each choice of lengths (`told_in`): its note tells one."""
    return lift_depth(*asked)


@dataclass(frozen=True, eq=False)
class PackHeat:
    """Heat of the pours."""

    deepest: LiftDepth  # within the heat limit
    lift: float  # deepest that is poured, by the choice [m]
    follows: str  # what sets that depth, in words
    names: tuple  # of the lifts as they are poured: of the nose, the closing frames, the front of the frames, and of
    # every rib and solid zone, of several of one length the first
    heat: PourHeat  # of these lifts
    margin: Margin  # likewise
    interval: LiftInterval  # likewise

    @property
    def label(self) -> str:
        """What the numbers rest on."""
        return self.deepest.label


def pack_heat(part: Design | Blade | AlongSpan, choices: ShopChoices) -> PackHeat:
    """Deepest lift by the choice, and the heat of the lifts as they are then poured.

    Between the sheets the gap is taken as wide as the mouth or the rod, the wider, everywhere: on the hot side; of a
    tapered part, where that is widest. The same answer is kept while nothing it rests on changes. ValueError as
    `heat`, where no lift is shallow enough, and where it would take more than `MOST_LIFTS`.
    """
    part = along_span(part)
    deepest = deepest_lift(part, choices)
    depths = _depths(part, choices)
    lift, follows = _chosen(choices, deepest)
    _refuse_too_many(choices, depths, lift, follows)
    poured = {name: depth / lift_count(depth, lift) for name, depth in depths.items()}
    heat, margin = _kept_heat(_pour(part, choices), tuple(poured.values()))
    tack = times_at(choices.pour, choices.shop_temperature)["tack_until"].quick
    return PackHeat(deepest, lift, follows, tuple(poured), heat, margin, lift_interval(heat, tack))


def deepest_lift(part: Design | Blade | AlongSpan, choices: ShopChoices) -> LiftDepth:
    """The deepest lift within the heat limit, as `pack_heat` goes by it: half of what that takes, and kept for it."""
    part = along_span(part)
    last = min(max(DEEPEST, 1.1 * max(_depths(part, choices).values())), 0.5)
    asked = choices.heat_limit, SHALLOWEST, last, choices.pour.lift_depth
    return _kept_lift_depth(lengths(), _pour(part, choices), *asked)


def _pour(part, choices):
    """What lifts are poured between."""
    gap = part.extremes(0.0, part.span, lambda b: max(float(b.mouth), 2.0 * b.spacer_radius))[1]
    loss = loss_between_sheets(gap, part.bend_at(0.0).sheet_thickness, choices.sheet_conductivity)
    kinetics = system_kinetics(choices.pour)
    return Pour(kinetics, choices.shop_temperature, bottom=FACES[choices.dam], side_loss=loss)


def _depths(part, choices) -> dict:
    """{name: depth [m]} of all that is poured in lifts."""
    depths = {
        "nose": nose_levels(part, choices.dam_inset)[1],
        "closing frames": part.design.frame_width,
        "front of the frames": choices.dam_inset if choices.front_in_frames else 0.0,
    }
    lengths = {round(stretch.length, 9): stretch.name for stretch in part.design.filled[::-1]}
    depths |= {name: length for length, name in reversed(lengths.items())}
    return {name: depth for name, depth in depths.items() if depth > 0.0}


def _chosen(choices, deepest) -> tuple:
    """(deepest lift by the choice [m], what it follows, in words)."""
    sheet, by_heat = choices.pour.lift_depth, deepest.depth
    lesser = "the data sheet" if sheet is not None and not sheet > by_heat else "the heat"
    by, follows = {
        "lesser of both": (deepest.recommended, f"{lesser}, the lesser" if sheet is not None else "the heat alone"),
        "heat": (by_heat, "the heat, as chosen"),
        "own": (choices.own_lift, "your own choice"),
        "data sheet": (sheet, "the data sheet, as chosen"),
    }[choices.lift_choice]
    if by is None:
        raise ValueError(
            f"{choices.pour.name}: its data sheet's deepest pour is not known: choose the lift by heat, or an own depth"
        )
    if not np.isfinite(by):
        raise ValueError(
            f"no lift stays at or below {show(deepest.limit, 'degC', 3)}: {deepest.note}; take a slower resin "
            "or a cooler shop, or choose the depth of a lift by the data sheet, or your own"
        )
    return float(by), follows


def _refuse_too_many(choices, depths, lift, follows):
    """ValueError where one pour takes more lifts than a builder would pour, with the systems that take fewer."""
    name, depth = max(depths.items(), key=lambda item: item[1])
    count = lift_count(depth, lift)
    if count <= MOST_LIFTS:
        return
    others = [s for s in pouring_systems() if s.lift_depth is not None and s.name != choices.pour.name]
    others = [s.name for s in others if lift_count(depth, s.lift_depth) <= MOST_LIFTS]
    other = f"for potting there are, by their data sheets: {', '.join(others)}" if others else "make the part less deep"
    raise ValueError(
        f"{choices.pour.name}: not for potting here: in lifts of {show(lift, 'mm', 2)}, by {follows}, the {name} takes "
        f"{count} pours, and more than {MOST_LIFTS} are not sensible; {other}"
    )
