"""The pours of a part: what goes into each, in which lifts, from how many pots, by the gram.

The nose is poured with the front up, in lifts of equal depth from the contact of rod and sheet to the mouth; a closing
frame with its end down, an inner rib or a solid zone with the part standing on the end that was closed first
(`filled`), in lifts of equal depth along the span. The volume of a lift follows from the exact section, so
the lifts of a pour add up to its volume to rounding. A tapered nose is poured with its rod level: each lift has a level
top, and its depth counts from where rod and sheet touch lowest to where the mouth is highest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..blade.blade import Blade
from ..materials.stock import ResinSystem
from ..mechanics.bend import Bend
from ..study.design import Design
from ..study.verdicts import FAILS
from ..units import capital, show
from .agree import takes_filler
from .along_span import AlongSpan, along_span
from .choices import ShopChoices
from .filled import in_order, upwards
from .resin import Batch, Pots, least_on_scale, mix_batch, split_batch
from .volumes import Volumes

DEPTH_SLACK = 1e-9  # of a lift
BEAD, SEAL, HOLES, FILLETS = "hinge-line bead", "seal bead", "hole walls", "fillets at the frames"


@dataclass(frozen=True)
class PotLine:
    """One pour: what is mixed and poured in one go."""

    key: str  # "bond", "bead", "seal", "nose", "front", "frame", "inside", "fillets", "fill" or "plug"
    name: str
    lift: int  # number of this lift, from 1; 1 where it is not poured in lifts
    lifts: int  # of this pour
    depth: float  # m; nan where it is not poured in lifts
    volume: float  # m3, net
    system: ResinSystem
    pots: Pots  # how the mix is split
    batch: Batch  # of each pot, for its share of the volume, or for more where that is less than is worth mixing

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
    """Where rod and inner faces touch [m] in front of the land end."""
    return bend.spacer_position - bend.spacer_radius * np.sin(bend.contact_angle)


def _contact(bend):
    """Where rod and inner faces touch [m] in front of the rod's axis; negative."""
    return _contact_x(bend) - bend.spacer_position


def lift_count(depth: float, most: float) -> int:
    """How many equal lifts of at most `most` [m] a depth [m] takes, at least one."""
    return max(1, int(np.ceil(depth / most - DEPTH_SLACK)))


def nose_levels(part: AlongSpan, inset: float) -> tuple:
    """Where the potted nose begins [m] in front of the rod's axis, and its depth [m]: from the lowest contact of rod
    and sheet to the highest mouth between the dams, the rod level."""
    between = inset, part.span - inset
    low = part.extremes(*between, _contact)[0]
    if part.blade is None:
        return low, nose_depth(part.design.bend())  # the same to the last digit
    return low, part.extremes(*between, lambda b: b.mouth_position - b.spacer_position)[1] - low


def pours(part: Design | Blade | AlongSpan, choices: ShopChoices, volumes: Volumes, lift: float) -> tuple:
    """All pours of a part, in the order of the work (`PotLine`).

    part: a design, or a part along its span. volumes: of `shop.volumes.volumes` for the same choices. lift [m]: deepest
    a lift may be. ValueError where a system lacks the ratio by weight, the density or the mass of its pot life.
    """
    part, net, lines = along_span(part), volumes.net, []
    glue = sum(net[name] for name in ("glue line", "squeeze-out") if name in net)
    if glue != 0.0:
        words = "bond", "Glue line of the land"
        lines.append(_pour(choices, *words, glue, choices.bond, choices.bond_consistency))
    if BEAD in net:
        neat = choices.bond_consistency == "neat"
        consistency = "hangs" if neat and takes_filler(choices.bond) else choices.bond_consistency
        lines.append(_pour(choices, "bead", "Bead along the hinge line", net[BEAD], choices.bond, consistency))
    if SEAL in net:
        seals = "hangs" if takes_filler(choices.pour) else "neat"
        lines.append(_pour(choices, "seal", "Seal bead along dams and rod", net[SEAL], choices.pour, seals))
    for key, name, depth, volume_below in _potted(part, choices.dam_inset):
        if name in net:
            lines += _lifts(choices, key, capital(name), net[name], lift_count(depth, lift), depth, volume_below)
    for row in volumes.rows:
        if row.material == "filler" and row.name not in (BEAD, SEAL):
            key = "fillets" if row.name == FILLETS else "fill"
            lines.append(_pour(choices, key, capital(row.name), row.volume, choices.pour, choices.fill_consistency))
    if HOLES in net:
        lines.append(_pour(choices, "plug", "Hole walls and plug", net[HOLES], choices.pour))
    return tuple(lines)


def _potted(part, inset):
    """(key, name of the volume, depth [m], function of depths (L,) [m] that gives the volume below each [m3]) of all
    that is poured in lifts."""
    low, nose = nose_levels(part, inset)

    def nose_below(depths):  # a level counts from each section's own contact
        between = inset, part.span - inset
        return part.integral(*between, lambda _, b: front_area_below(b, depths + (low - _contact(b))))

    def end_below(end, area):
        return lambda depths: np.array([part.integral(*part.end_stretches(d)[end], area) for d in depths])

    yield "nose", "potted nose", nose, nose_below
    for end in part.end_stretches(inset):
        front = end_below(end, lambda _, b: max(b.front_area, 0.0))
        yield "front", f"front of the closing frame, {end}", inset, front
        yield "frame", f"closing frame, {end}", part.design.frame_width, end_below(end, lambda _, b: b.void_area)
    for stretch in in_order(part):
        yield "inside", stretch.name, stretch.length, _below(part, stretch)


def _below(part, stretch):
    """Volume [m3] of a rib or zone below depths (L,) [m] from its lower face."""
    up = upwards(part)

    def below(depths):
        ends = [(stretch.start, stretch.start + d) if up else (stretch.end - d, stretch.end) for d in depths]
        return np.array([part.integral(*between, lambda _, b: b.void_area) for between in ends])

    return below


def _lifts(choices, key, name, volume, count, depth, volume_below):
    """Pours of one volume [m3] in lifts of equal depth, each with its share."""
    below = volume_below(np.linspace(0.0, depth, count + 1))
    return [
        _pour(choices, key, name, volume * share, choices.pour, lift=number, lifts=count, depth=depth / count)
        for number, share in enumerate(np.diff(below) / below[-1], 1)
        if share > 0.0
    ]


def _pour(choices, key, name, volume, system, consistency="neat", *, lift=1, lifts=1, depth=np.nan):
    """One pour with its pots: as many as the heat in a pot and its size ask for, none smaller than is worth mixing,
    each within the tolerance of its ratio on this scale. ValueError, with a way out, where no pot can be all that."""
    mix = {"waste": choices.waste, "resolution": choices.scale_resolution, "least": choices.least_batch}
    if consistency != "neat":
        mix |= {"filler": choices.filler, "consistency": consistency}
    whole = mix_batch(system, volume, **mix).mass
    pots = split_batch(system, whole, choices.pot_volume, choices.pot_fill)
    _must_be_weighed(name, system, choices, pots.limit)
    batch = mix_batch(system, volume / pots.count, most=pots.limit, **mix)
    while batch.mass > pots.limit * (1.0 + 1e-9) and whole / pots.count > choices.least_batch:
        pots = replace(pots, count=pots.count + 1)
        batch = mix_batch(system, volume / pots.count, most=pots.limit, **mix)
    if batch.verdict == FAILS or batch.mass > pots.limit * (1.0 + 1e-9):
        raise ValueError(_off_words(name, system, choices, pots))
    return PotLine(key, name, lift, lifts, float(depth), float(volume), system, replace(pots, each=batch.mass), batch)


def _off_words(name, system, choices, pots):
    step, limit = (show(mass, "g", 3) for mass in (choices.scale_resolution, pots.limit))
    return (
        f"{name}: steps of {step} are too coarse for {system.name}: no pot of up to {limit} ({pots.why}) keeps its "
        f"ratio within {show(system.ratio_tolerance, '%', 2)}: weigh in finer steps, or mix in a larger pot"
    )


def _must_be_weighed(name, system, choices, limit):
    """ValueError where the least that is worth mixing, or that the scale can weigh of both parts, is more than a pot
    may hold [kg]."""
    least = least_on_scale(system, choices.scale_resolution)
    if least > limit * (1.0 + 1e-9):
        raise ValueError(
            f"steps of {show(choices.scale_resolution, 'g', 3)} are too coarse: the least of resin and hardener they "
            f"can weigh is {show(least, 'g', 3)}, and a pot may hold {show(limit, 'g', 3)}: weigh in finer steps"
        )
    if choices.least_batch > limit:
        raise ValueError(
            f"{name}: a pot may hold {show(limit, 'g', 3)} of {system.name}, and {show(choices.least_batch, 'g', 3)} "
            "is the least worth mixing: take a larger pot, fill it further, or say that less is worth mixing"
        )
