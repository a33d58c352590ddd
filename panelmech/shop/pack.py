"""The shop pack: everything to cut, mark, weigh, mix and pour for one design, joined in one frozen record.

Pure: no drawing, no file, no clock. What hangs on few choices, as blanks, templates, volumes and the heat of the pours,
is kept from one pack to the next while nothing it rests on has changed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np

from ..blade.blade import Blade
from ..blade.sections import blade_sections
from ..mechanics.numerics import gauss_places
from ..study.design import Design
from ..study.study import evaluate
from ..units import lengths, show, show_fixed, show_input
from .agree import disagreements
from .along_span import along_span
from .blanks import FRAME_LINE, Blanks, blanks
from .checks import heat_check, trade_checks
from .choices import ShopChoices
from .filled import dam_words, fills, poured_ends
from .lifts import PackHeat, pack_heat
from .nesting import Nesting, nest
from .pours import pours
from .schedule import Plan, Schedule, plan_build
from .templates import templates
from .volumes import Volumes, volumes

LEVEL = 1e-4  # m: what a level shows; a mouth nearer to level than that is level
GAUSS = 12  # nodes of each stretch along the span, for energy and force


@dataclass(frozen=True, eq=False)
class ShopPack:
    """Everything for the bench."""

    design: Design  # of a tapered part the one its blade is drawn from
    choices: ShopChoices
    blanks: Blanks
    nesting: Nesting  # of the blanks on the stock
    volumes: Volumes
    templates: tuple  # of Template
    pours: tuple  # of PotLine, in the order of the work
    heat: PackHeat
    schedule: Schedule
    checks: tuple  # of Check
    spring: float  # energy stored over the span before anything is potted [J]
    push: float  # force that then drives the rod out [N]
    notes: tuple  # in words
    blade: Blade | None = None  # of a tapered part
    taper: tuple = ()  # what the taper asks of the builder, in words
    rod: tuple = ()  # how the pieces of the rod meet, in words
    apart: tuple = ()  # what is checked is not what is weighed, in words

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
    """The whole pack of a part, untapered (`Design`), tapered or with a rod that steps (`Blade`).

    Along a tapered part blanks, volumes and lifts follow the taper, templates are made for either end and gauges for
    either side of a step, and the heat is reckoned where the gap is widest. Up to a step each side counts with its own
    section. A blade whose dimensions do not change is packed as its design.

    Raises
    ------
    InfeasibleBend
        Where the part cannot be bent.
    ValueError
        For blanks that do not fit on the stock, a resin system that lacks what is needed, a lift that cannot be, a
        part that cannot be built of flat sheets and pieces of rod.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> pack = shop_pack(demo().blade, demo().shop)
    >>> [(line.name, show(line.volume, "mL", 3)) for line in pack.pours][:2]
    [('Glue line of the land', '4.97 mL'), ('Bead along the hinge line', '2.78 mL')]
    """
    choices, part = ShopChoices() if choices is None else choices, along_span(part)
    cut = _kept(blanks, lengths(), part, **_of(choices, "trim_front", "trim_back", "trim_ends"))
    laid = nest(cut, **_of(choices, "stock_length", "stock_width", "kerf", "edge_trim", "stock_grain", "keep_pairs"))
    sizes = _of(choices, "dam_inset", "nose_rise", "bead_length", "fillet_radius")
    rises = _of(choices, "nose_rise", "edge_thickness")
    shapes = _kept(templates, lengths(), part, clearance=choices.dam_clearance, **rises)
    holes = tuple(hole for template in shapes for hole in template.holes)
    extras = _of(choices, "front_in_frames", "squeeze_out", "waste", "foam")
    filled = _kept(volumes, lengths(), part, **sizes, **extras, holes=tuple(hole.diameter for hole in holes))
    heat = pack_heat(part, choices)
    lines = pours(part, choices, filled, heat.lift)
    spring, push = _kept(_stored, lengths(), part)
    rod, apart = tuple(_rod_words(part)), disagreements(part.design, choices)
    names = tuple(hole.name for hole in holes)
    plan = _plan(part, choices, lines, heat, names, filled.total("foam", with_waste=False))
    plan = replace(plan, spring=spring, push=push)
    return ShopPack(
        part.design,
        choices,
        cut,
        laid,
        filled,
        shapes,
        lines,
        heat,
        schedule=plan_build(plan),
        checks=_checks(part.design, choices, heat),
        spring=spring,
        push=push,
        notes=(*apart, *rod, *_notes(part, shapes, cut, laid, filled, heat)),
        blade=part.blade,
        taper=_taper_words(part, choices),
        rod=rod,
        apart=apart,
    )


@lru_cache(maxsize=32)
def _kept(made, told_in, part, **asked):
    """What is made of a part, kept for packs of other choices; apart for each choice of lengths (`told_in`), which its
    words may tell."""
    return made(part, **asked)


def _of(choices, *names):
    return {name: getattr(choices, name) for name in names}


def _stored(part) -> tuple:
    """Energy [J] stored over the span and force [N] that drives the rod out."""
    if part.blade is None:
        forming = evaluate(part.design, local=False).quantities
        return forming["strain_energy_total"], forming["push_out_total"]
    places, weights = gauss_places(part.ends, GAUSS)
    sections = blade_sections(part.blade, places)
    return float(weights @ sections.strain_energy), float(weights @ sections.push_out_force)


def _plan(part, choices, lines, heat, holes, foam) -> Plan:
    count = {key: max((line.lifts for line in lines if line.key == key), default=0) for key in ("nose", "frame")}
    lifts_of_frames = count["nose"] <= 1 and "closing frames" in heat.names
    return Plan(
        **_of(choices, "bond", "pour", "shop_temperature", "day"),
        start=choices.moment,
        lifts=count["nose"],
        lift_window=heat.interval.window(heat.names.index("closing frames") if lifts_of_frames else 0),
        frames=len({line.name.split(", ")[-1] for line in lines if line.key in ("frame", "front")}),
        frame_lifts=max(count["frame"], 1),
        post_cure=choices.post_cure_temperature if choices.post_cure else None,
        window_label=heat.label,
        pours=lines,
        ends=poured_ends(part),
        holes=holes,
        foam=foam,
        inside=fills(part, lines, heat),
    )


def _checks(design, choices, heat) -> tuple:
    deepest = float(heat.heat.depth.max())
    peak, default = float(heat.heat.peak.max()), bool(choices.untouched("heat_limit"))
    return (
        heat_check(peak, choices.heat_limit, heat.label, heat.margin.misses(choices.heat_limit), default),
        *trade_checks(
            choices.pour,
            choices.shop_temperature,
            deepest,
            design.frame_width or None,
            choices.service_temperature,
            design.close_share,
        ),
    )


def _notes(part, shapes, cut, laid, filled, heat) -> tuple:
    notes = [*cut.notes, *laid.notes, *filled.notes, *dam_words(part, [t.key for t in shapes])]
    if not all(heat.interval.possible):
        notes.append("by the heat there is no time to pour lift on lift while tacky: see the schedule")
    if heat.deepest.note and not np.isfinite(heat.deepest.depth):
        notes.append(heat.deepest.note)
    return tuple(notes)


def _taper_words(part, choices) -> tuple:
    """What taper and steps ask of the builder when the nose is poured."""
    return (*_shape_words(part, choices), *_step_words(part))


def _rod_words(part):
    """How the pieces of the rod meet."""
    axis = blade_sections(part.blade, 2) if part.cuts else None
    for place in part.cuts:
        beyond = int(np.searchsorted(axis.position, place))
        off = abs(float(np.diff(axis.rod_x[beyond - 1 : beyond + 1])[0]))
        line = (
            f"their axes {show(off, 'mm', 2)} apart; " if off >= LEVEL else f"on one axis; {_bore_words(part, place)}"
        )
        yield (
            f"the rod's pieces are butted {show_input(place, 'mm')} from the root end, {line}plug, sleeve or overlap "
            "are extra length, their strength is not checked; close the bores, or resin fills them"
        )


def _bore_words(part, place):
    """Whether one piece goes into the other."""
    thick, thin = sorted((part.design_at(place, b) for b in (True, False)), key=lambda d: -d.spacer_diameter)
    room = thick.spacer_diameter - 2.0 * thick.spacer_wall
    if thick.spacer_wall == 0.0 or thick.spacer_diameter == thin.spacer_diameter:
        return ""
    goes = "goes" if room >= thin.spacer_diameter else "does not go"
    return f"the thinner {goes} into the thicker, whose bore has {show_input(room, 'mm')}; "


def _step_words(part):
    """What a step of the section asks of the pour."""
    for place in part.steps:
        thick = [part.design_at(place, before).spacer_diameter for before in (True, False)]
        if thick[0] != thick[1]:
            way = "beyond" if thick[0] > thick[1] else "before"
            yield (
                f"{way} {show_input(place, 'mm')} from the root end the sheets stand off the thinner rod for about a "
                "chord's length: seal that gap before the nose is poured, or resin runs into the hollow; what fits "
                "there is not reckoned"
            )


def _shape_words(part, choices) -> tuple:
    """What the ends, no two alike, ask of the builder."""
    if part.one_section:
        return ()
    between = choices.dam_inset, part.span - choices.dam_inset
    low, high = part.extremes(*between, lambda b: b.mouth_position - b.spacer_position)
    kind = "tapered" if not part.steps else "stepped"
    words = (
        f"{kind}: dams, frames and gauges differ from end to end, do not mix them up; pour the nose with the rod level"
    )
    if high - low <= LEVEL:
        return (words,)
    rise = f"with the rod level the mouth differs in height by {show(high - low, 'mm', 2)}"
    return words, f"{rise}: dam its lower {'part' if part.steps else 'end'} as high, or the last lift runs out"


# ----- The cut list: parts, lines to mark on the blanks, what is left of the stock, what the part weighs.
#
# Lengths to a tenth of a millimetre, or a thousandth of an inch. No formula but areas times lengths and densities.


SCRAP = (0.10, 0.025)  # m: strips of a scrap joint; judgement


@dataclass(frozen=True)
class Part:
    """A part to cut."""

    name: str
    count: int
    material: str
    size: str  # in words
    cut: tuple = (np.nan,) * 3  # along the chord, along the span, thick [m], or nan
    mass: float = np.nan  # of all of them, finished [kg]; nan where not known
    grain: str = "–"  # in words
    face: str = "–"  # in words


def parts(pack: ShopPack) -> tuple:
    """Everything to cut (`Part`): the blanks, the spacer, dams from their templates, a scrap joint."""
    return (*(_blank(blank) for blank in pack.blanks), *_spacers(pack), *_dams(pack), _scrap(pack.design))


def _blank(blank):
    low, high = blank.cut_length
    ends = np.ptp(blank.outline[:, 1])
    size = f"{_range(low, high, False)} × {show_fixed(ends, 1, False)} × {show_input(blank.thickness, 'mm')}"
    cut = (max(low, high), float(ends), blank.thickness)
    grain = {"chord": "along the chord", "span": "along the span", "none": "none"}[blank.grain]
    return Part(
        f"{blank.hand.capitalize()} sheet", 1, blank.sheet, size, cut, blank.mass, grain, face=f"{blank.face} out"
    )


def _spacers(pack):
    """The rod, or its pieces, the one at the root end first."""
    part = along_span(pack.part)
    pieces = part.pieces_of_rod()
    for number, piece in enumerate(pieces, 1):
        name = "Spacer" if len(pieces) == 1 else f"Spacer, piece {number} of {len(pieces)}"
        yield _piece_of_rod(part, name, *piece)


def _piece_of_rod(part, name, start, end):
    spacer, length = part.design.spacer, end - start
    inside = [place for place in part.ends if start < place < end]
    designs = [part.design_at(start), *map(part.design_at, inside), part.design_at(end, before=True)]
    across, walls = [d.spacer_diameter for d in designs], [d.spacer_wall for d in designs]
    kind = f"{_run(walls)} wall" if max(walls) > 0.0 else "solid"
    size = f"{_run(across)}, {kind}, {tenth(length)} long"
    mass = part.integral(start, end, _rod_area) * spacer.density
    return Part(name, 1, spacer.name, size, (max(across), length, max(across)), mass)


def _rod_area(design, _):
    outer, wall = 0.5 * design.spacer_diameter, design.spacer_wall
    return np.pi * (outer**2 - (outer - wall) ** 2 if wall > 0.0 else outer**2)


def _run(values):
    """A dimension of the rod, from root end to tip where it changes, with what lies between."""
    texts = [show_input(float(value), "mm") for value in values]
    return texts[0] if len(set(texts)) == 1 else " to ".join(texts)


def _dams(pack):
    clear = f"template, {show_input(pack.choices.dam_clearance, 'mm')} clear"
    for key in ("end-dam", "frame-dam"):
        made = [template for template in pack.templates if template.key.startswith(key)]
        if made:
            name, which = made[0].name.split(",")[0], "own" if len(made) > 1 else "from"  # own: one for each end
            yield Part(name, sum(t.count for t in made), "scrap, wrapped in tape", f"{which} {clear}")


def _scrap(design):
    size = f"{show_fixed(SCRAP[0], 1, False)} × {tenth(SCRAP[1])}"
    return Part("Scrap joint", 2, f"{design.sheet.name}, offcut", size, (*SCRAP, design.sheet_thickness))


def _range(low, high, words=True):
    """A length at the root end and, where it differs, at the tip end; `words`: with its unit."""
    last = show_fixed(high, 1, words)
    return last if abs(high - low) < 5e-5 else f"{show_fixed(low, 1, False)} to {last}"


def _runs(line, steps, span):
    """(name, distance at its start, at its end) of a line that runs on, or of each piece of one that jumps at steps."""
    jumps = [i for i, (end, start) in enumerate(pairwise(line.runs)) if abs(start[0] - end[1]) >= 5e-5]
    places = [0.0, *(steps[i] for i in jumps), span]
    for low, high, start, end in zip(places, places[1:], [0, *(i + 1 for i in jumps)], [*jumps, -1], strict=False):
        between = f", {show_fixed(low, 0, False)} to {show_fixed(high, 0)} from the root" if jumps else ""
        yield line.name + between, line.runs[start][0], line.runs[end][1]


def tenth(length) -> str:
    """A length to a tenth of a millimetre, or to a thousandth of an inch."""
    return show_fixed(length, 1)


def marks(pack: ShopPack) -> tuple:
    """Lines to mark on each blank: (name, from the finished edge, from the cut edge) as text; for lines along the span
    these are the trailing edge, for frame lines the nearer end, and both ends stand in one row, for a cut of the rod,
    a rib and a solid zone the root end."""
    back, ends, rows = pack.choices.trim_back, pack.choices.trim_ends, []
    for line in pack.blanks.pair[0].lines:
        if line.name.startswith(FRAME_LINE):
            at = min(line.from_root, pack.design.span - line.from_root)
            rows.append(("frame lines, from each end", tenth(at), tenth(at + ends)))
        elif np.isfinite(line.from_root):
            rows.append((f"{line.name}, from the root end", tenth(line.from_root), tenth(line.from_root + ends)))
        else:
            for name, low, high in _runs(line, along_span(pack.part).steps, pack.design.span):
                name += ", developed" if pack.blanks.tapered and line.name == "front edge" else ""
                rows.append((name, *(_range(low + off, high + off) for off in (0.0, back))))
    return tuple(dict.fromkeys(rows))


def stock_words(pack: ShopPack) -> str:
    """How the blanks lie on the stock, and what is left, in two sentences.

    >>> from panelmech.job import demo
    >>> stock_words(shop_pack(demo().design))
    '1 stock sheet of 1200 mm × 1000 mm, grain along its length, saw cut 3 mm; largest whole piece left: 698 mm
    × 990 mm.'
    """
    laid = pack.nesting
    which, left, bottom, right, top = laid.largest_offcut
    size = f"{show_input(laid.stock_length, 'mm')} × {show_input(laid.stock_width, 'mm')}"
    rest = f"largest whole piece left: {show_fixed(right - left, 0)} × {show_fixed(top - bottom, 0)}" + (
        f", on sheet {which + 1}" if laid.sheets > 1 else ""
    )
    count = "1 stock sheet" if laid.sheets == 1 else f"{laid.sheets} stock sheets"
    return f"{count} of {size}, grain along its {laid.stock_grain}, saw cut {show_input(laid.kerf, 'mm')}; {rest}."


def mass_rows(pack: ShopPack) -> tuple:
    """(what, mass [kg]) of the finished part as built: sheets, spacer, glue, potting and frames without waste, of
    thickened mixes the resin in them. Masses of resin by the mixed, liquid density."""
    bond, pour = (system.density()[0] for system in (pack.choices.bond, pack.choices.pour))
    net = pack.volumes.net
    frames = sum(volume for name, volume in net.items() if "closing frame" in name)
    rows = [
        ("two sheets", sum(blank.mass for blank in pack.blanks)),
        ("spacer", sum(piece.mass for piece in _spacers(pack))),
        ("glue line", net.get("glue line", 0.0) * bond),
        ("potted nose", net.get("potted nose", 0.0) * pour),
        ("closing frames", frames * pour),
        *((stretch.name, net[stretch.name] * pour) for stretch in pack.design.filled),
    ]
    return (*rows, ("together", sum(mass for _, mass in rows)))
