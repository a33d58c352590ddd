"""The shop pack: everything to cut, mark, weigh, mix and pour for one design, joined in one frozen record.

Pure: no drawing, no file, no clock. The heat of the pours is kept from one pack to the next while nothing it rests on
has changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..blade.blade import Blade
from ..blade.sections import blade_sections
from ..mechanics.numerics import gauss_places
from ..study.design import Design
from ..study.study import evaluate
from ..units import show, show_input
from .blanks import Blanks, blanks
from .checks import heat_check, trade_checks
from .choices import ShopChoices
from .conduction import COLD, INSULATED, Face
from .cure import system_kinetics
from .heat import (
    STILL_AIR,
    LiftDepth,
    LiftInterval,
    Pour,
    PourHeat,
    lift_depth,
    lift_interval,
    loss_between_sheets,
    pour_heat,
)
from .nesting import Nesting, nest
from .pours import lift_count, nose_depth, nose_levels, pours
from .resin import times_at
from .schedule import Plan, Schedule, plan_build
from .templates import templates
from .volumes import LEVEL, AlongSpan, Volumes, for_the_shop, volumes

SHALLOWEST, DEEPEST = 1e-3, 0.03  # m: lifts looked at
GAUSS = 12  # nodes of each stretch along the span, for energy and force
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
    [N]: energy stored over the span and force that drives the rod out, before anything is potted; `notes` in words. Of
    a tapered part `blade`, else None, and `taper`: what the taper asks of the builder, in words."""

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
    blade: Blade | None = None
    taper: tuple = ()

    @property
    def part(self) -> Design | Blade:
        """The blade, or the design of a part that does not taper."""
        return self.design if self.blade is None else self.blade

    @property
    def stamp(self) -> str:
        """Hashes of the part's inputs and of the choices."""
        return f"inputs {self.part.input_hash()}, shop {self.choices.input_hash()}"

    def of(self, key: str) -> tuple:
        """The pours of one kind."""
        return tuple(line for line in self.pours if line.key == key)


def shop_pack(part: Design | Blade, choices: ShopChoices | None = None) -> ShopPack:
    """The whole pack of a part, untapered (`Design`) or tapered (`Blade`).

    Along a tapered part blanks, volumes and lifts follow the taper, templates are made for either end, and the heat is
    reckoned where the gap is widest. A blade whose dimensions do not change is packed as its design.

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For blanks that do not fit on the stock, a resin system that lacks what is needed, a lift that cannot be, a
        part with steps or with sheets that get thinner along the span.
    """
    choices, along = ShopChoices() if choices is None else choices, for_the_shop(part)
    design, blade = along.design, along.blade
    cut = blanks(design, blade, trim_front=choices.trim_front, trim_back=choices.trim_back, trim_ends=choices.trim_ends)
    laid = nest(
        cut,
        choices.stock_length,
        choices.stock_width,
        choices.kerf,
        edge_trim=choices.edge_trim,
        sheet_grain=choices.stock_grain,
        keep_pairs=choices.keep_pairs,
    )
    filled = volumes(
        design,
        blade,
        dam_inset=choices.dam_inset,
        front_in_frames=choices.front_in_frames,
        squeeze_out=choices.squeeze_out,
        nose_rise=choices.nose_rise,
        bead_length=choices.bead_length,
        fillet_radius=choices.fillet_radius,
        waste=choices.waste,
        foam=choices.foam,
    )
    shapes = templates(
        design,
        blade,
        clearance=choices.dam_clearance,
        nose_rise=choices.nose_rise,
        edge_thickness=choices.edge_thickness,
    )
    heat = pack_heat(along, choices)
    lines = pours(along, choices, filled, heat.lift)
    schedule = plan_build(_plan(choices, lines, heat))
    return ShopPack(
        design,
        choices,
        cut,
        laid,
        filled,
        shapes,
        lines,
        heat,
        schedule,
        _checks(design, choices, heat),
        *_stored(along),
        _notes(cut, laid, filled, heat),
        blade,
        _taper_words(along, choices),
    )


def _stored(along) -> tuple:
    """Energy [J] stored over the span and force [N] that drives the rod out."""
    if along.blade is None:
        forming = evaluate(along.design, local=False).quantities
        return forming["strain_energy_total"], forming["push_out_total"]
    places, weights = gauss_places(along.ends, GAUSS)
    found = blade_sections(along.blade, places)
    return float(weights @ found.strain_energy), float(weights @ found.push_out_force)


def pack_heat(part: Design | AlongSpan, choices: ShopChoices) -> PackHeat:
    """Deepest lift by the choice, and the heat of the lifts as they are then poured.

    Between the sheets the gap is taken as wide as the mouth or the rod, the wider, everywhere: on the hot side; of a
    tapered part, where that is widest. The same answer is kept while nothing it rests on changes. ValueError as
    `heat`, and where no lift is shallow enough.
    """
    part = AlongSpan(part) if isinstance(part, Design) else part
    gap = part.extremes(0.0, part.design.span, lambda b: max(float(b.mouth), 2.0 * b.spacer_radius))[1]
    pour = Pour(
        system_kinetics(choices.pour),
        choices.shop_temperature,
        None,
        FACES[choices.dam],
        Face(STILL_AIR),
        loss_between_sheets(gap, part.bend_at(0.0).sheet_thickness, choices.sheet_conductivity),
    )
    depths = _depths(part, choices)
    deepest = max(DEEPEST, 1.1 * max(depths.values()))
    found = _lift_depth(pour, choices.heat_limit, min(deepest, 0.5), choices.pour.lift_depth)
    lift = _chosen(choices, found)
    poured = {name: depth / lift_count(depth, lift) for name, depth in depths.items()}
    heat = _pour_heat(pour, tuple(poured.values()))
    tack = times_at(choices.pour, choices.shop_temperature)["tack_until"].quick
    return PackHeat(found, lift, tuple(poured), heat, lift_interval(heat, tack))


def _depths(part, choices) -> dict:
    if part.blade is None:
        nose = nose_depth(part.design.bend())
    else:
        low, high = nose_levels(part, choices.dam_inset)
        nose = high - low
    depths = {
        "nose": nose,
        "closing frames": part.design.frame_width,
        "front of the frames": choices.dam_inset if choices.front_in_frames else 0.0,
    }
    return {name: depth for name, depth in depths.items() if depth > 0.0}


@lru_cache(maxsize=64)
def _lift_depth(pour, limit, deepest, sheet_depth):
    return lift_depth(pour, limit, SHALLOWEST, deepest, sheet_depth)


@lru_cache(maxsize=64)
def _pour_heat(pour, depths):
    return pour_heat(pour, depths)


def _chosen(choices, found) -> float:
    """Deepest lift by the choice [m]."""
    by = {
        "lesser of both": found.recommended,
        "heat": found.depth,
        "own": choices.own_lift,
        "data sheet": choices.pour.lift_depth,
    }[choices.lift_choice]
    if by is None:
        raise ValueError(
            f"{choices.pour.name}: its data sheet's deepest pour is not known: choose the lift by heat, or an own depth"
        )
    if not np.isfinite(by):
        raise ValueError(
            f"no lift stays at or below {show(found.limit, 'degC', 3)}: {found.note}; take a slower resin "
            "or a cooler shop, or choose the depth of a lift by the data sheet, or your own"
        )
    return float(by)


def _plan(choices, lines, heat) -> Plan:
    count = {key: max((line.lifts for line in lines if line.key == key), default=1) for key in ("nose", "frame")}
    frames = len({line.name for line in lines if line.key == "frame"})
    window = (
        heat.interval.window(0)
        if count["nose"] > 1 or "closing frames" not in heat.names
        else heat.interval.window(heat.names.index("closing frames"))
    )
    cure = choices.post_cure_temperature if choices.post_cure else None
    return Plan(
        choices.moment,
        choices.bond,
        choices.pour,
        choices.shop_temperature,
        count["nose"],
        window,
        frames,
        count["frame"],
        day=choices.day,
        post_cure=cure,
        window_label=heat.label,
    )


def _checks(design, choices, heat) -> tuple:
    deepest = float(heat.heat.depth.max())
    return (
        heat_check(float(heat.heat.peak.max()), choices.heat_limit, heat.label),
        *trade_checks(
            choices.pour,
            choices.shop_temperature,
            deepest,
            design.frame_width or None,
            choices.service_temperature,
            design.close_share,
        ),
    )


def _notes(cut, laid, filled, heat) -> tuple:
    window = (
        ()
        if all(heat.interval.possible)
        else ("by the heat there is no time to pour lift on lift while tacky: see the schedule",)
    )
    found = (heat.found.note,) if heat.found.note and not np.isfinite(heat.found.depth) else ()
    return (*cut.notes, *laid.notes, *filled.notes, *window, *found)


def _taper_words(along, choices) -> tuple:
    """What the taper asks of the builder."""
    if along.blade is None:
        return ()
    low, high = along.extremes(
        choices.dam_inset, along.design.span - choices.dam_inset, lambda b: b.mouth_position - b.spacer_position
    )
    level = (
        ()
        if high - low <= LEVEL
        else (
            f"with the rod level the mouth differs in height by {show(high - low, 'mm', 2)}: "
            "dam its lower end as high, "
            "or the last lift runs out",
        )
    )
    return (
        "tapered: dams, frames and gauges differ from end to end, do not mix them up; pour the nose with the rod level",
        *level,
    )


# ----- The cut list of a shop pack: parts, lines to mark on the blanks, what is left of the stock, what the part
# weighs.
#
# Lengths to a tenth of a millimetre. No formula but areas times lengths and densities.


SCRAP = (0.10, 0.025)  # m: strips of a scrap joint; judgement


@dataclass(frozen=True)
class Part:
    """A part to cut: `count`, `material`, `size` in words, `cut` (along the chord, along the span, thick) [m] or nan,
    `grain` and `face` in words, `mass` of all of them, finished [kg], nan where not known."""

    name: str
    count: int
    material: str
    size: str
    cut: tuple
    grain: str
    face: str
    mass: float


def parts(pack: ShopPack) -> tuple:
    """Everything to cut (`Part`): the blanks, the spacer, dams from their templates, a scrap joint."""
    return (*(_blank(blank) for blank in pack.blanks), _spacer(pack), *_dams(pack), _scrap(pack.design))


def _blank(blank):
    low, high = blank.cut_length
    ends = np.ptp(blank.outline[:, 1])
    long = _plain(low) if abs(high - low) < 5e-5 else f"{_plain(low)} to {_plain(high)}"
    grain = {"chord": "along the chord", "span": "along the span", "none": "none"}[blank.grain]
    return Part(
        f"{blank.hand.capitalize()} sheet",
        1,
        blank.sheet,
        f"{long} × {_plain(ends)} × {show_input(blank.thickness, 'mm')}",
        (max(low, high), float(ends), blank.thickness),
        grain,
        f"{blank.face} out",
        blank.mass,
    )


def _spacer(pack):
    design, along = pack.design, AlongSpan(pack.design, pack.blade)
    if pack.blade is None:
        across, walls = [design.spacer_diameter] * 2, [design.spacer_wall] * 2
    else:
        found = pack.blade.values_at(np.array(along.ends))
        across, walls = found["spacer_diameter"], found["spacer_wall"]
    kind = f"{_run(walls)} wall" if max(walls) > 0.0 else "solid"
    widest = float(max(across))
    return Part(
        "Spacer",
        1,
        design.spacer.name,
        f"{_run(across)}, {kind}, {tenth(design.span)} long",
        (widest, design.span, widest),
        "–",
        "–",
        float(along.integral(0.0, design.span, _rod_area) * design.spacer.density),
    )


def _rod_area(design, _):
    outer, wall = 0.5 * design.spacer_diameter, design.spacer_wall
    return np.pi * (outer**2 - (outer - wall) ** 2 if wall > 0.0 else outer**2)


def _run(values):
    """A dimension of the rod, from root end to tip where it changes, with what lies between."""
    said = [show_input(float(value), "mm") for value in values]
    return said[0] if len(set(said)) == 1 else " to ".join(said)


def _dams(pack):
    for key in ("end-dam", "closing-frame"):
        found = [template for template in pack.templates if template.key.startswith(key)]
        both = len(found) > 1  # of a tapered part, each from a template of its own
        if found:
            yield Part(
                found[0].name.split(",")[0] if both else found[0].name,
                sum(t.count for t in found),
                "scrap, wrapped in tape",
                f"{'own' if both else 'from'} template, {show_input(pack.choices.dam_clearance, 'mm')} clear",
                (np.nan,) * 3,
                "–",
                "–",
                np.nan,
            )


def _scrap(design):
    return Part(
        "Scrap joint",
        2,
        f"{design.sheet.name}, offcut",
        f"{_plain(SCRAP[0])} × {tenth(SCRAP[1])}",
        (*SCRAP, design.sheet_thickness),
        "–",
        "–",
        np.nan,
    )


def _plain(length):
    return tenth(length).removesuffix(" mm")


def tenth(length) -> str:
    """A length to a tenth of a millimetre."""
    return f"{length * 1e3:.1f} mm"


def marks(pack: ShopPack) -> tuple:
    """Lines to mark on each blank: (name, from the finished edge, from the cut edge) as text; for lines along the span
    these are the trailing edge, for those along the chord the nearer end, and both ends stand in one row."""
    back, ends, rows = pack.choices.trim_back, pack.choices.trim_ends, []
    for line in pack.blanks.pair[0].lines:
        if np.isfinite(line.from_root):
            at = min(line.from_root, pack.design.span - line.from_root)
            rows.append(("frame lines, from each end", tenth(at), tenth(at + ends)))
        else:
            low, high = line.from_trailing_edge
            both = [
                tenth(low + off) if abs(high - low) < 5e-5 else f"{_plain(low + off)} to {tenth(high + off)}"
                for off in (0.0, back)
            ]
            rows.append((line.name, *both))
    return tuple(dict.fromkeys(rows))


def stock_words(pack: ShopPack) -> str:
    """How the blanks lie on the stock, and what is left, in two sentences."""
    laid = pack.nesting
    which, left, bottom, right, top = laid.largest_offcut
    size = f"{show_input(laid.sheet_length, 'mm')} × {show_input(laid.sheet_width, 'mm')}"
    rest = f"largest whole piece left: {(right - left) * 1e3:.0f} mm × {(top - bottom) * 1e3:.0f} mm" + (
        f", on sheet {which + 1}" if laid.sheets > 1 else ""
    )
    count = "1 stock sheet" if laid.sheets == 1 else f"{laid.sheets} stock sheets"
    return f"{count} of {size}, grain along its {laid.sheet_grain}, saw cut {show_input(laid.kerf, 'mm')}; {rest}."


def mass_rows(pack: ShopPack) -> tuple:
    """(what, mass [kg]) of the finished part as built: sheets, spacer, glue, potting and frames without waste, of
    thickened mixes the resin in them. Masses of resin by the mixed, liquid density."""
    bond, pour = (system.density()[0] for system in (pack.choices.bond, pack.choices.pour))
    there = {row.name: row.volume for row in pack.volumes.rows}
    frames = sum(v for name, v in there.items() if "closing frame" in name)
    rows = [
        ("two sheets", sum(blank.mass for blank in pack.blanks)),
        ("spacer", _spacer(pack).mass),
        ("glue line", there.get("glue line", 0.0) * bond),
        ("potted nose", there.get("potted nose", 0.0) * pour),
        ("closing frames", frames * pour),
    ]
    return (*rows, ("together", sum(mass for _, mass in rows)))
