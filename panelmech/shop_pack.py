"""The shop pack: everything to cut, mark, weigh, mix and pour for one design, joined in one frozen record.

Pure: no drawing, no file, no clock. The heat of the pours is kept from one pack to the next while nothing it rests on
has changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .bend import Bend
from .checks import FAILS, HOLDS, Check
from .design import Design
from .shop_blanks import Blanks, blanks
from .shop_checks import trade_checks
from .shop_choices import ShopChoices
from .shop_conduction import COLD, INSULATED, Face
from .shop_heat import STILL_AIR, Pour, PourHeat, loss_between_sheets, pour_heat
from .shop_kinetics import system_kinetics
from .shop_lifts import LiftDepth, LiftInterval, lift_depth, lift_interval
from .shop_nest import Nesting, nest
from .shop_pours import lift_count, nose_depth, pours
from .shop_schedule import Plan, Schedule, plan_build
from .shop_shapes import templates
from .shop_times import times_at
from .shop_volumes import Volumes, volumes
from .study import evaluate
from .units import show

SHALLOWEST, DEEPEST = 1e-3, 0.03  # m: lifts looked at
FACES = {"insulating": INSULATED, "cold": COLD}


@dataclass(frozen=True, eq=False)
class PackHeat:
    """Heat of the pours. `found`: deepest lift within the heat limit; `lift` [m]: deepest that is poured, by the
    choice; `names`, `heat`, `interval`: the lifts as they are poured, one for the nose and one for the frames."""

    found: LiftDepth
    lift: float
    names: tuple
    heat: PourHeat
    interval: LiftInterval

    @property
    def label(self) -> str:
        """What the numbers rest on."""
        return self.found.label


@dataclass(frozen=True, eq=False)
class ShopPack:
    """Everything for the bench. `design`, `choices` as given; `blanks` and their `nesting` on the stock; `volumes`;
    `templates`; `pours` (`PotLine`) in the order of the work; `heat`; `schedule`; `checks`; `spring` [J] and `push`
    [N]: energy stored over the span and force that drives the rod out, before anything is potted; `notes` in words."""

    design: Design
    choices: ShopChoices
    blanks: Blanks
    nesting: Nesting
    volumes: Volumes
    templates: tuple
    pours: tuple
    heat: PackHeat
    schedule: Schedule
    checks: tuple
    spring: float
    push: float
    notes: tuple

    @property
    def stamp(self) -> str:
        """Hashes of the design's inputs and of the choices."""
        return f"inputs {self.design.input_hash()}, shop {self.choices.input_hash()}"

    def of(self, key: str) -> tuple:
        """The pours of one kind."""
        return tuple(line for line in self.pours if line.key == key)


def shop_pack(design: Design, choices: ShopChoices | None = None) -> ShopPack:
    """The whole pack.

    Raises
    ------
    InfeasibleBend
        Where the design cannot be bent.
    ValueError
        For blanks that do not fit on the stock, a resin system that lacks what is needed, a lift that cannot be.
    """
    choices = ShopChoices() if choices is None else choices
    cut = blanks(design, trim_front=choices.trim_front, trim_back=choices.trim_back, trim_ends=choices.trim_ends)
    laid = nest(cut, choices.stock_length, choices.stock_width, choices.kerf, edge_trim=choices.edge_trim,
                sheet_grain=choices.stock_grain, keep_pairs=choices.keep_pairs)
    filled = volumes(design, dam_inset=choices.dam_inset, front_in_frames=choices.front_in_frames,
                     squeeze_out=choices.squeeze_out, nose_rise=choices.nose_rise, bead_length=choices.bead_length,
                     fillet_radius=choices.fillet_radius, waste=choices.waste, foam=choices.foam)
    shapes = templates(design, clearance=choices.dam_clearance, nose_rise=choices.nose_rise,
                       edge_thickness=choices.edge_thickness)
    heat = pack_heat(design, choices)
    lines = pours(design, choices, filled, heat.lift)
    forming = evaluate(design, local=False).quantities
    schedule = plan_build(_plan(choices, lines, heat))
    return ShopPack(design, choices, cut, laid, filled, shapes, lines, heat, schedule, _checks(design, choices, heat),
                    forming["strain_energy_total"], forming["push_out_total"], _notes(cut, laid, filled, heat))


def pack_heat(design: Design, choices: ShopChoices) -> PackHeat:
    """Deepest lift by the choice, and the heat of the lifts as they are then poured.

    Between the sheets the gap is taken as wide as the mouth or the rod, the wider, everywhere: on the hot side. The
    same answer is kept while nothing it rests on changes. ValueError as `lift_depth`, and where no lift is shallow
    enough.
    """
    bend = design.bend()
    gap = max(float(bend.mouth), design.spacer_diameter)
    pour = Pour(system_kinetics(choices.pour), choices.shop_temperature, None, FACES[choices.dam], Face(STILL_AIR),
                loss_between_sheets(gap, design.sheet_thickness, choices.sheet_conductivity))
    depths = _depths(design, choices, bend)
    deepest = max(DEEPEST, 1.1 * max(depths.values()))
    found = _lift_depth(pour, choices.heat_limit, min(deepest, 0.5), choices.pour.lift_depth)
    lift = _chosen(choices, found)
    poured = {name: depth / lift_count(depth, lift) for name, depth in depths.items()}
    heat = _pour_heat(pour, tuple(poured.values()))
    tack = times_at(choices.pour, choices.shop_temperature)["tack_until"].quick
    return PackHeat(found, lift, tuple(poured), heat, lift_interval(heat, tack))


def _depths(design, choices, bend: Bend) -> dict:
    depths = {"nose": nose_depth(bend), "closing frames": design.frame_width,
              "front of the frames": choices.dam_inset if choices.front_in_frames else 0.0}
    return {name: depth for name, depth in depths.items() if depth > 0.0}


@lru_cache(maxsize=64)
def _lift_depth(pour, limit, deepest, sheet_depth):
    return lift_depth(pour, limit, SHALLOWEST, deepest, sheet_depth)


@lru_cache(maxsize=64)
def _pour_heat(pour, depths):
    return pour_heat(pour, depths)


def _chosen(choices, found) -> float:
    """Deepest lift by the choice [m]."""
    by = {"lesser of both": found.recommended, "heat": found.depth, "own": choices.own_lift,
          "data sheet": choices.pour.lift_depth}[choices.lift_choice]
    if by is None:
        raise ValueError(f"{choices.pour.name}: its data sheet's deepest pour is not known: choose the lift by heat, "
                         "or an own depth")
    if not np.isfinite(by):
        raise ValueError(f"no lift stays at or below {show(found.limit, 'degC', 3)}: {found.note}; take a slower resin "
                         "or a cooler shop, or choose the depth of a lift by the data sheet, or your own")
    return float(by)


def _plan(choices, lines, heat) -> Plan:
    count = {key: max((line.lifts for line in lines if line.key == key), default=1) for key in ("nose", "frame")}
    frames = len({line.name for line in lines if line.key == "frame"})
    window = heat.interval.window(0) if count["nose"] > 1 or "closing frames" not in heat.names else \
        heat.interval.window(heat.names.index("closing frames"))
    cure = choices.post_cure_temperature if choices.post_cure else None
    return Plan(choices.moment, choices.bond, choices.pour, choices.shop_temperature, count["nose"], window, frames,
                count["frame"], day=choices.day, post_cure=cure, window_label=heat.label)


def _checks(design, choices, heat) -> tuple:
    deepest = float(heat.heat.depth.max())
    return (_heat_check(choices, heat),
            *trade_checks(choices.pour, choices.shop_temperature, deepest, design.frame_width or None,
                          choices.service_temperature, design.close_share))


def _heat_check(choices, heat):
    """Hottest lift as poured against the limit, by the label's data."""
    peak = float(heat.heat.peak.max())
    verdict = HOLDS if peak <= choices.heat_limit * (1.0 + 1e-9) else FAILS
    advice = "pour thinner lifts, cool the shop, or take a slower resin" if verdict == FAILS else ""
    return Check("pour_heat", "Hottest point of a lift as poured", peak, choices.heat_limit, np.nan, verdict, "degC",
                 "user", f"limit as entered; heat from {heat.label}", advice)


def _notes(cut, laid, filled, heat) -> tuple:
    window = () if all(heat.interval.possible) else (
        "by the heat there is no time to pour lift on lift while tacky: see the schedule",)
    found = (heat.found.note,) if heat.found.note and not np.isfinite(heat.found.depth) else ()
    return (*cut.notes, *laid.notes, *filled.notes, *window, *found)
