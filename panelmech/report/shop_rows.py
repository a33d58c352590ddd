"""The shop pack as rows of words and numbers: batches to weigh, resin at hand, lifts, steps, checks, cautions.

The sheets and the tables of the panel read these rows. Batches are to the steps of the scale. No formula but sums.
"""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter

import numpy as np

from ..shop.along_span import along_span
from ..shop.pack import ShopPack, parts, tenth
from ..shop.resin import times_at
from ..shop.schedule import BONDED, spring_words
from ..shop.working_day import date_words, day_of, last_clock, next_clock, part_of_day
from ..units import capital, format_number, show, show_input
from .folder import Field, csv_rows

KEYS = {"nose": "nose", "closing frames": "frame", "front of the frames": "front"}
FIRST_OF_ALL = "Safety data sheets, labels and local rules come first; this sheet does not replace them."


def grams(mass, resolution) -> str:
    """A mass to the steps of the scale, in grams."""
    digits = max(int(np.ceil(-np.log10(resolution * 1e3) - 1e-9)), 0)
    return f"{mass * 1e3:.{digits}f} g"


WEIGH_HEADS = (
    "Pour", "Of", "Lift", "Fills, in all", "Pots", "Resin, each pot", "Hardener, each pot", "Filler, each pot, loose",
    "In place within",
)  # fmt: skip


def weigh_rows(pack: ShopPack) -> tuple:
    """One row for each pour, as text, under `WEIGH_HEADS`; a column is for all pots or for each, never both."""
    return tuple(_weigh(pack, line) for line in pack.pours)


def step_of(pack: ShopPack, line):
    """The step of the schedule at which a pour is mixed."""
    return next(step for step in pack.schedule.steps if line.title in step.pours)


def _weigh(pack, line):
    filler, resolution = "–", pack.choices.scale_resolution
    if line.batch.filled is not None:
        low, high = (format_number(v / 1e-6, 2) for v in line.batch.filler_volume)
        filler = f"{low} to {high} mL, until it {line.batch.filled.consistency}"
    return (
        line.title,
        "bond" if line.key in BONDED else "potting",
        "–" if np.isnan(line.depth) else tenth(line.depth),
        show(line.volume, "mL", 3),
        str(line.pots.count),
        grams(line.batch.resin, resolution),
        grams(line.batch.hardener, resolution),
        filler,
        shop_span(step_of(pack, line).within),
    )


def shop_span(seconds) -> str:
    """A time to be done in, rounded down as a shop says it: `9 min`, `55 min`, `3 h 5 min`."""
    if np.isnan(seconds):
        return "not known"
    minutes = int(seconds / 60.0 + 1e-6)
    minutes -= minutes % 5 if minutes >= 20 else 0
    hours, rest = divmod(minutes, 60)
    return f"{minutes} min" if hours < 1 else f"{hours} h{f' {rest} min' * (rest > 0)}"


def planned_rows(pack: ShopPack) -> tuple:
    """(pour, when it is planned) of every pour, as text, in order of time."""
    starts = [(step_of(pack, line).start, line.title) for line in pack.pours]
    return tuple((title, _day_and_time(pack, start)) for start, title in sorted(starts, key=lambda pair: pair[0]))


def _day_and_time(pack, moment):
    return f"day {day_of(moment, pack.schedule.plan.start)}, {_hour(moment)}"


def needs_rows(pack: ShopPack) -> tuple:
    """(system, resin, hardener, mix) to have at hand, waste included, as text."""
    rows = []
    for system in dict.fromkeys(line.system for line in pack.pours):
        resin, hardener = (
            sum(getattr(line, part) for line in pack.pours if line.system == system) for part in ("resin", "hardener")
        )
        rows.append(
            (system.name, *(grams(m, pack.choices.scale_resolution) for m in (resin, hardener, resin + hardener)))
        )
    return tuple(rows)


def system_rows(pack: ShopPack) -> tuple:
    """(what, of the bond, of the potting): ratios and times at the shop's temperature, as text."""
    systems = (pack.choices.bond, pack.choices.pour)
    times = [times_at(system, pack.choices.shop_temperature) for system in systems]

    def of(name):
        return tuple(t[name].text() if name in t else "not known" for t in times)

    return (
        ("system", *(s.name for s in systems)),
        ("resin to hardener", *(_ratios(s) for s in systems)),
        (
            "hardener may be off by",
            *("not known" if s.ratio_tolerance is None else show(s.ratio_tolerance, "%", 2) for s in systems),
        ),
        (f"pot life of {_pot_mass(systems)}", *of("pot_life")),
        ("thin film workable for", *of("working_time")),
        ("next layer while tacky", *(_tack(t) for t in times)),
        ("stress or turn after", *of("stress_time")),
    )


def _ratios(system):
    volume = "not known" if system.volume_ratio is None else f"{system.volume_ratio:.4g} : 1"
    return f"{system.ratio_by_weight()[0]:.4g} : 1 by weight; by volume {volume}"


def _tack(times):
    if "tack_from" not in times:
        return "not known"
    ends = times["tack_from"].slow, times["tack_until"].quick  # safe by either rule
    return "from {} until {}".format(*(show(end, "h" if end >= 7200.0 else "min", 3) for end in ends))


def _pot_mass(systems):
    known = {show(s.pot_life_mass, "g", 3) for s in systems if s.pot_life_mass is not None}
    return known.pop() if len(known) == 1 else "the data sheet's mass"


def lift_words(pack: ShopPack) -> tuple:
    """How deep to pour and when to go on, a line each."""
    heat, lines = pack.heat, []
    for name, depth, peak in zip(heat.names, heat.heat.depth, heat.heat.peak, strict=True):
        lines.append(f"{capital(name)}: lifts of {tenth(depth)}, hottest {show(peak, 'degC', 3)}")
    lines += heat.margin.misses(pack.choices.heat_limit)
    lines += (*heat.deepest.rows()[:-1], f"The depth of the lifts follows {heat.follows}")
    lines += [
        row
        for name, row in zip(heat.names, heat.interval.rows(), strict=False)
        if max(line.lifts for line in lines_of(pack, name)) > 1
    ]
    return tuple(f"{capital(line.rstrip('.'))}." for line in (*lines, *pack.taper))


def lines_of(pack: ShopPack, name: str) -> list:
    """The pours of which lifts are told under a name of `pack.heat.names`; of ribs and zones of one length the
    first's."""
    return list(pack.of(KEYS[name])) if name in KEYS else [line for line in pack.pours if line.name == capital(name)]


def triangle_words(pack: ShopPack) -> str:
    """The trade's triangle rule beside the truth."""
    areas = [
        f"{t.which} {show(t.rule, 'cm2', 3)} against {show(t.true, 'cm2', 3)}, {t.ratio:.2f} times the truth"
        for t in pack.volumes.triangles
    ]
    at, exact = "", "All volumes here are exact."
    if not along_span(pack.part).one_section:
        at, exact = " at the root end", "All volumes here follow each section exactly, from end to end."
    if along_span(pack.part).steps:
        exact = "All volumes here follow each section exactly, up to the step on either side."
    return f"The triangle rule, depth × height ÷ 2, reckons too much{at}: {'; '.join(areas)}. {exact}"


def step_rows(pack: ShopPack) -> tuple:
    """(when, step, how, by when to start and what warns) of the schedule, as text."""
    first = pack.schedule.plan.start
    return tuple(
        (_when(step, first, f"day {day_of(step.start, first)}, "), *_step(pack, step)) for step in pack.schedule.steps
    )


def day_rows(pack: ShopPack) -> tuple:
    """The same under a line for each day, with a line before each step that is loud; these are plain text."""
    first, rows, day = pack.schedule.plan.start, [], 0
    for step in pack.schedule.steps:
        number = day_of(step.start, first)
        if number != day:
            rows.append(f"Day {number}, {date_words(step.start)}")
        day = number
        rows += [f"{step.words}."] if step.loud else []
        rows.append((_when(step, first, ""), *_step(pack, replace(step, words="") if step.loud else step)))
    return tuple(rows)


def _step(pack, step):
    name = f"{step.name} (gate)" if step.kind == "gate" else step.name
    notes = [f"{step.words}."] if step.words else []
    if step.pours:
        mixed, of = " and ".join(f"“{title}”" for title in step.pours), "bond" if step.key in BONDED else "potting"
        notes.append(f"Mix {mixed}, {of} resin: in place within {shop_span(step.within)}.")
    if step.latest is not None:
        notes.append(f"Start by {_day_and_time(pack, last_clock(step.latest))}.")
    notes += [f"WARNING: {warning}." for warning in step.warnings]
    return name, " ".join(notes)


def _when(step, first, day):
    """`morning, 8:00 (2 h)`, `until morning of day 2, 11:00`."""
    if step.kind == "wait":
        end = next_clock(step.end)
        return f"until {part_of_day(end)} of day {day_of(end, first)}, {_hour(end)}"
    start = f"{day}{part_of_day(step.start)}, {_hour(step.start)}"
    return start if step.kind == "gate" else f"{start} ({shop_span((step.end - step.start).total_seconds())})"


def _hour(moment):
    return f"{moment.hour}:{moment:%M}"


def cautions(pack: ShopPack, sheet: str) -> tuple:
    """(bold words, text) of the cautions of one sheet: "cut", "batch" or "schedule"; every sheet opens alike."""
    own = {
        "cut": (_dust, _stored),
        "batch": (*([_not_checked] if pack.apart else []), _epoxy, _exotherm, _dust, _sealed),
        "schedule": (_stored, _dust, _epoxy, _exotherm, _sealed),
    }[sheet]
    return (("First.", FIRST_OF_ALL), *(words(pack) for words in own))


def _not_checked(pack):
    return ("Not what is checked.", " ".join(f"{capital(words)}." for words in pack.apart))


def _stored(pack):
    loud, _ = spring_words(pack.spring, pack.push)
    return (
        ("Stored spring.", "CAUTION, stored spring.", "DANGER, STORED SPRING.")[loud],
        f"{show(pack.spring, 'J', 3)} drive the rod out with {show(pack.push, 'N', 3)}: strap first, stand aside, eyes "
        "protected, release in steps.",
    )


def _epoxy(pack):
    return (
        "Epoxy.",
        "It sensitises, and a reaction lasts: gloves as its data sheet asks, none on the skin, air the shop.",
    )


def _exotherm(pack):
    return (
        "Heat.",
        "A full pot or a deep pour boils, smokes, sets alight: small lots, watch it, no sawdust, carry it out.",
    )


def _dust(pack):
    return "Dust.", "Glass, wood, filler, part-cured resin: cut wet or with extraction; mask, eyes, ears protected."


def _sealed(pack):
    return (
        "Sealed hollow.",
        "Sun and post-cure press the sheets apart: vent open ashore and before any heat, drain low."
        + (" A bay that no tube opens stays sealed." if pack.design.inside else ""),
    )


def choice_words(pack: ShopPack) -> str:
    """What the pack rests on, in a sentence."""
    c = pack.choices
    depth = {"own": f"own, {show_input(c.own_lift, 'mm')}", "lesser of both": "the lesser of heat and data sheet"}
    return (
        f"Shop {show_input(c.shop_temperature, 'degC')}; waste {show_input(c.waste, '%')}; scale "
        f"{show_input(c.scale_resolution, 'g')}; pots of {show_input(c.pot_volume, 'mL')}; lifts by "
        f"{depth.get(c.lift_choice, c.lift_choice)}; {c.dam} dam."
    )


# ----- The CSV files of the pack: the unit in each head, numbers to six digits, the label of the cure data.


_CUT_FIELDS = (
    Field("part", attrgetter("name")),
    Field("count", lambda p: str(p.count)),
    Field("material", attrgetter("material")),
    Field("along the chord", lambda p: p.cut[0], "mm"),
    Field("along the span", lambda p: p.cut[1], "mm"),
    Field("thickness", lambda p: p.cut[2], "mm"),
    *(Field(name, attrgetter(name)) for name in ("size", "grain", "face")),
    Field("mass", attrgetter("mass"), "g"),
)


def cut_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the cut list's CSV file, the head first."""
    return csv_rows(_CUT_FIELDS, parts(pack))


def batch_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the batch sheet's CSV file, the head first: grams are for one pot."""
    resolution = pack.choices.scale_resolution
    peaks = dict(zip(np.round(pack.heat.heat.depth, 9), pack.heat.heat.peak, strict=True))

    def hottest(line):
        return peaks.get(np.round(line.depth, 9), np.nan)

    def filler(line, end):
        return line.batch.filler_volume[end] if line.batch.filler_volume else np.nan

    fields = (
        Field("pour", attrgetter("name")),
        Field("lift", lambda line: str(line.lift)),
        Field("lifts", lambda line: str(line.lifts)),
        Field("depth", attrgetter("depth"), "mm"),
        Field("fills", attrgetter("volume"), "mL"),
        Field("system", attrgetter("system.name")),
        Field("pots", lambda line: str(line.pots.count)),
        Field("resin per pot [g]", lambda line: grams(line.batch.resin, resolution).removesuffix(" g")),
        Field("hardener per pot [g]", lambda line: grams(line.batch.hardener, resolution).removesuffix(" g")),
        Field("hardener off", attrgetter("batch.hardener_off"), "%", 3),
        Field("filler, least", lambda line: filler(line, 0), "mL", 2),
        Field("filler, most", lambda line: filler(line, 1), "mL", 2),
        Field("hottest", hottest, "degC", 3),
        Field("cure data", lambda line: pack.heat.label if np.isfinite(hottest(line)) else ""),
    )
    return csv_rows(fields, pack.pours)


def schedule_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the schedule's CSV file, the head first; times as year-month-day hour:minute."""
    fields = (
        Field("step", attrgetter("name")),
        Field("kind", attrgetter("kind")),
        Field("start", lambda step: _time(step.start)),
        Field("end", lambda step: _time(step.end)),
        Field("latest start", lambda step: "" if step.latest is None else _time(step.latest)),
        Field("what", attrgetter("words")),
        Field("warnings", lambda step: "; ".join(step.warnings)),
        Field("mixed", lambda step: "; ".join(step.pours)),
        Field("system", attrgetter("system")),
        Field("in place within", attrgetter("within"), "min", 3),
        Field("cure data", lambda step: pack.heat.label if step.key in ("lift", "frame", "inside") else ""),
    )
    return csv_rows(fields, pack.schedule.steps)


def _time(moment):
    return moment.strftime("%Y-%m-%d %H:%M")


_VOLUME_FIELDS = (
    Field("what", attrgetter("name")),
    Field("volume", attrgetter("volume"), "mL"),
    Field("with waste", attrgetter("with_waste"), "mL"),
    *(Field(name, attrgetter(name)) for name in ("material", "formula", "how")),
)


def volume_csv_rows(pack: ShopPack) -> tuple:
    """Rows of the volumes' CSV file, the head first and the triangle rule at the end."""
    rule = "the trade's rule, depth × height ÷ 2, for comparison"
    rules = [
        (f"triangle rule {t.which}", "", "", "", f"{t.ratio:.3f} times the true area", rule)
        for t in pack.volumes.triangles
    ]
    return (*csv_rows(_VOLUME_FIELDS, pack.volumes.rows), *rules)
