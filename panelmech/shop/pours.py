"""The pours of a part: what goes into each, in which lifts, from how many pots, by the gram.

The nose is poured with the front up, in lifts of equal depth from the contact of rod and sheet to the mouth; a closing
frame with its end down, in lifts of equal depth along the span. The volume of a lift follows from the exact section, so
the lifts of a pour add up to its volume to rounding. A tapered nose is poured with its rod level: each lift has a level
top, and its depth counts from where rod and sheet touch lowest to where the mouth is highest.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from ..materials.stock import ResinSystem
from ..mechanics.bend import Bend
from ..study.design import Design
from .choices import ShopChoices
from .resin import Batch, Pots, mix_batch, split_batch
from .volumes import AlongSpan, Volumes

DEPTH_SLACK = 1e-9  # of a lift


@dataclass(frozen=True)
class PotLine:
    """One pour: what is mixed and poured in one go.

    key: "bond", "bead", "nose", "front", "frame" or "fill"; name; lift, lifts: number of this lift and of all of this
    pour, 1 and 1 where it is not poured in lifts; depth [m], nan likewise; volume [m3], net; system; pots: how the mix
    is split; batch: of each pot, for its share of the volume, or for more where that is less than is worth mixing.
    """

    key: str
    name: str
    lift: int
    lifts: int
    depth: float
    volume: float
    system: ResinSystem
    pots: Pots
    batch: Batch

    @property
    def resin(self) -> float:
        """Resin of all pots [kg]."""
        return self.pots.count * self.batch.resin

    @property
    def hardener(self) -> float:
        """Hardener of all pots [kg]."""
        return self.pots.count * self.batch.hardener

    @property
    def title(self) -> str:
        """Name and number of the lift."""
        return self.name if self.lifts == 1 else f"{self.name}, lift {self.lift}/{self.lifts}"


def nose_depth(bend: Bend) -> float:
    """Depth of the potted nose [m]: from the line through the contacts of rod and inner faces to the mouth plane."""
    return float(bend.mouth_position - _contact_x(bend))


def front_area_below(bend: Bend, depth):
    """Area in front of the rod from the contacts up to a depth [m] above them, any shape [m2].

    Between the straight inner faces, the rod taken off (derived here): over x from the contact, the faces stand
    2 (y_c + x tan th) apart, and the rod's segment is r^2 (a - sin a cos a) less than half a circle. At the whole depth
    this is `Bend.front_area`. Depths outside 0 to the whole depth count as the nearer end.
    """
    radius, angle = bend.spacer_radius, bend.contact_angle
    x = np.clip(np.asarray(depth, dtype=float), 0.0, nose_depth(bend))
    between = 2.0 * (radius * np.cos(angle) * x + 0.5 * np.tan(angle) * x**2)

    def rod_behind(u):  # area of the rod behind u, u from its centre
        u = np.clip(u / radius, -1.0, 1.0)
        return radius**2 * (np.pi - np.arccos(u) + u * np.sqrt(1.0 - u**2))

    start = -radius * np.sin(angle)
    return between - (rod_behind(start + x) - rod_behind(start))


def _contact_x(bend):
    return bend.spacer_position - bend.spacer_radius * np.sin(bend.contact_angle)


def lift_count(depth: float, most: float) -> int:
    """How many equal lifts of at most `most` [m] a depth [m] takes, at least one."""
    return max(1, int(np.ceil(depth / most - DEPTH_SLACK)))


def nose_levels(part: AlongSpan, inset: float) -> tuple:
    """Where the potted nose begins and ends [m] in front of the rod's axis: the lowest contact of rod and sheet and the
    highest mouth between the dams, the rod level."""
    between = inset, part.design.span - inset
    return (
        part.extremes(*between, lambda b: _contact_x(b) - b.spacer_position)[0],
        part.extremes(*between, lambda b: b.mouth_position - b.spacer_position)[1],
    )


def pours(part: Design | AlongSpan, choices: ShopChoices, volumes: Volumes, lift: float) -> tuple:
    """All pours of a part, in the order of the work (`PotLine`).

    part: a design, or a part along its span. volumes: of `shop.volumes.volumes` for the same choices. lift [m]: deepest
    a lift may be. ValueError where a system lacks the ratio by weight, the density or the mass of its pot life.
    """
    part = AlongSpan(part) if isinstance(part, Design) else part
    there = {row.name: row for row in volumes.rows}
    lines = [_glue(choices, there)]
    if "hinge-line bead" in there:
        lines.append(
            _filled(
                choices,
                "bead",
                "Bead along the hinge line",
                there["hinge-line bead"].volume,
                choices.bond,
                _bead_consistency(choices),
            )
        )
    lines += _nose(part, choices, there, lift)
    lines += _frames(part, choices, there, lift)
    lines += [
        _filled(choices, "fill", _capital(name), row.volume, choices.pour, choices.fill_consistency)
        for name, row in there.items()
        if row.material == "filler" and name != "hinge-line bead"
    ]
    return tuple(line for line in lines if line is not None)


def _glue(choices, there):
    volume = sum(there[name].volume for name in ("glue line", "squeeze-out") if name in there)
    if volume == 0.0:
        return None
    return _filled(choices, "bond", "Glue line of the land", volume, choices.bond, choices.bond_consistency)


def _bead_consistency(choices):
    return "hangs" if choices.bond_consistency == "neat" else choices.bond_consistency


def _filled(choices, key, name, volume, system, consistency):
    filler = (None, None) if consistency == "neat" else (choices.filler, consistency)
    return _line(choices, key, name, 1, 1, np.nan, volume, system, *filler)


def _nose(part, choices, there, lift):
    if "potted nose" not in there:
        return []
    depth, below = _nose_below(part, choices.dam_inset)
    count = lift_count(depth, lift)
    level = below(np.linspace(0.0, depth, count + 1))
    return [
        _line(
            choices,
            "nose",
            "Potted nose",
            i + 1,
            count,
            depth / count,
            there["potted nose"].volume * share,
            choices.pour,
        )
        for i, share in enumerate(np.diff(level) / level[-1])
        if share > 0.0
    ]


def _nose_below(part, inset):
    """Depth of the nose [m], and a function from depths to what lies below them, any unit."""
    if part.blade is None:
        bend = part.design.bend()
        return nose_depth(bend), lambda depth: front_area_below(bend, depth)
    start, end = nose_levels(part, inset)

    def below(depth):
        return part.profile(
            inset,
            part.design.span - inset,
            lambda _, b: front_area_below(b, depth + start - (_contact_x(b) - b.spacer_position)),
        )  # each from its own contact

    return end - start, below


def _frames(part, choices, there, lift):
    lines, span = [], part.design.span
    for end in ("root end", "tip end"):
        for key, start, depth in (
            ("front", "front of the closing frame", choices.dam_inset),
            ("frame", "closing frame", part.design.frame_width),
        ):
            row = there.get(f"{start}, {end}")
            if row is None:
                continue
            count = lift_count(depth, lift)
            edges = np.linspace(0.0, depth, count + 1)
            edges = edges if end == "root end" else span - edges
            lines += [
                _line(choices, key, _capital(row.name), i + 1, count, depth / count, volume, choices.pour)
                for i, volume in enumerate(_frame_lifts(part, key, edges, row.volume))
            ]
    return lines


def _frame_lifts(part, key, edges, volume):
    """Volume of each lift [m3] of a closing frame, or of the front beyond its dam, between `edges` along the span."""
    if part.blade is None:
        return [volume / (len(edges) - 1)] * (len(edges) - 1)

    def area(_, bend):
        return bend.void_area if key == "frame" else max(bend.front_area, 0.0)

    whole = [part.integral(min(a, b), max(a, b), area) for a, b in itertools.pairwise(edges)]
    return [volume * share / sum(whole) for share in whole]


def _line(choices, key, name, lift, lifts, depth, volume, system, filler=None, consistency=None):
    """One pour with its pots: as many as the heat in a pot and its size ask for, the scale's rounding included."""
    mix = {"waste": choices.waste, "resolution": choices.scale_resolution, "filler": filler, "consistency": consistency}
    whole = mix_batch(system, volume, **mix)
    if whole.mass < choices.least_batch:
        whole = mix_batch(system, volume * choices.least_batch / whole.mass, **mix)
    pots = split_batch(system, whole.mass, choices.pot_volume, choices.pot_fill)
    batch = whole if pots.count == 1 else mix_batch(system, volume / pots.count, **mix)
    while batch.mass > pots.limit * (1.0 + 1e-9) and batch.mass > 2.0 * choices.scale_resolution:
        pots = replace(pots, count=pots.count + 1)
        batch = mix_batch(system, volume / pots.count, **mix)
    return PotLine(key, name, lift, lifts, float(depth), float(volume), system, replace(pots, each=batch.mass), batch)


def _capital(words):
    return f"{words[:1].upper()}{words[1:]}"
