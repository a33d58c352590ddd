"""When to do what: the build from the prepared inside faces to the post-cure, by the clock.

Waits count the slow end of the resin's times at the shop's temperature, windows their quick end (`shop.resin`),
so a step that fits here fits by either rule. Hands-on times are the user's, or judgement without a source. Steps are
put into working hours where nothing forces them: a wait ends the next morning, and the chain of seal bead and lifts,
each of which has to meet the one before while it is tacky, starts when fewest of them fall into the night. What cannot
be met is a warning, never moved in silence. Clock times are local and plain: no time zone, no change of clocks.

A step at which resin is mixed names its pours, their resin, and how long what is mixed may be worked. The first frame
is poured through the open other end; the second through the fill hole, drilled once the first has cured. Where there
are inner ribs or solid zones they come between, and the second frame is poured from above (`filled`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta

import numpy as np

from ..materials.records import ReadOnlyMap
from ..materials.stock import ResinSystem
from ..units import capital, read_array, read_choice, read_count, read_number, show
from .filled import TUBE, TUBE_THROUGH_BOTH
from .resin import shop_notes, times_at
from .volumes import FRAME_PLENTY, frame_plenty
from .working_day import CLOCK, clock, in_hours, next_clock

# ----- The plan and its steps.


# fmt: off
HANDS_ON = {  # s; judgement, no source
    "prepare": 7200.0, "bond": 3600.0, "spread": 3600.0, "bead": 1800.0, "dams": 5400.0, "seal": 1800.0, "lift": 1800.0,
    "frame": 1800.0, "inside": 2700.0, "fillets": 1800.0, "foam": 1800.0, "drill": 1800.0, "fill": 1800.0,
    "plug": 1800.0, "vent": 900.0, "post_cure": 8 * 3600.0,
}
WORKED = {  # by which of a resin's times the mix of a step must be in place
    "bond": "working_time", "bead": "working_time", "seal": "working_time", "fillets": "working_time",
    "fill": "working_time", "plug": "working_time", "lift": "pot_life", "frame": "pot_life",
    "inside": "pot_life",
}
# fmt: on
BONDED = ("bond", "bead")  # steps whose resin is that of the bond
DAY = (time(7, 0), time(22, 0))
CHAIN_SHIFTS = 48  # half hours by which the bead may wait for a better time of day


@dataclass(frozen=True)
class Plan:
    """What is to be built, and when. ValueError for what cannot be."""

    start: datetime  # local clock time
    bond: ResinSystem  # of the land
    pour: ResinSystem  # of the potting
    shop_temperature: float  # K
    lifts: int = 1  # of the nose
    lift_window: tuple | None = None  # (earliest, latest) [s after a pour began] for the next lift; None: by tack
    frames: int = 2  # ends to be closed
    frame_lifts: int = 1  # pours for each
    hands_on: Mapping = field(default_factory=ReadOnlyMap)  # own times [s] over `HANDS_ON`
    day: tuple = DAY  # working hours
    post_cure: float | None = None  # temperature [K]; None: no post-cure
    window_label: str = ""  # what lift_window rests on
    pours: tuple = ()  # of `PotLine`: all that is mixed
    ends: tuple = ("root end", "tip end")  # names of the frames, in the order they are poured
    holes: tuple = ("fill", "vent", "drain")  # through the frames, those that the templates have
    foam: float = 0.0  # to fill the hollow with [m3]
    inside: tuple = ()  # of `filled.Fill`: ribs and solid zones, in the order they are poured
    spring: float = np.nan  # energy of the spread pair [J]
    push: float = np.nan  # force that drives the rod out [N]

    def __post_init__(self):
        object.__setattr__(self, "hands_on", ReadOnlyMap(self.hands_on))
        for key, value in self.hands_on.items():
            read_choice(key, "a hands-on time", HANDS_ON)
            read_number(value, f"hands-on time of {key}", "s", above=0.0, high=48 * 3600.0, hint="two days at most")
        read_count(self.lifts, "lifts", 0, 100)
        read_count(self.frames, "frames", 0, 2)
        read_count(self.frame_lifts, "frame_lifts", 1, 20)
        if self.start.tzinfo is not None or not self.day[0] < self.day[1]:
            raise ValueError("give a local start without time zone, and working hours that begin before they end")
        if self.post_cure is not None:
            above = {"above": self.shop_temperature, "high": 453.15}
            read_number(self.post_cure, "post_cure", "K", **above, hint="warmer than the shop")
        if self.lift_window is not None:
            early_late = read_array(self.lift_window, "lift_window", "s", above=0.0, axes=1, hint="(earliest, latest)")
            if len(early_late) != 2:
                raise ValueError(f"lift_window is {self.lift_window} s: give (earliest, latest) after a pour began")
        for system, names in ((self.bond, ("stress_time",)), (self.pour, ("tack_from", "tack_until", "stress_time"))):
            missing = [name for name in names if getattr(system, name) is None]
            if missing:
                raise ValueError(f"{system.name}: {missing[0]} is not known; take it from the data sheet")

    def takes(self, key) -> timedelta:
        """Hands-on time of a step."""
        return timedelta(seconds=self.hands_on.get(key, HANDS_ON[key]))

    def mixed(self, key, lift=1, end="") -> tuple:
        """The pours (`PotLine`) of a step: of one lift, and of one end of the part where `end` names it."""
        keys = ("frame", "front") if key == "frame" else ("nose",) if key == "lift" else (key,)
        return tuple(p for p in self.pours if p.key in keys and p.lift == lift and p.name.endswith(end))

    @property
    def closed(self) -> bool:
        """Whether frames close the hollow; else what is poured at the ends is the front beyond the dams."""
        return self.frames > 0 and (self.has("frame") or not self.pours)

    def has(self, key) -> bool:
        """Whether anything of this kind is mixed."""
        return any(line.key == key for line in self.pours)


@dataclass(frozen=True)
class Step:
    """One line of the schedule."""

    key: str
    name: str
    kind: str  # "work", "wait", or "gate" (to be passed before going on)
    start: datetime
    end: datetime
    words: str = ""  # how it is done
    latest: datetime | None = None  # a start after this misses the window; None where there is none
    warnings: tuple = ()  # in words
    pours: tuple = ()  # titles of what is mixed for it
    system: str = ""  # name of the resin system it is mixed of
    within: float = np.nan  # s after mixing in which it must be in place; nan where nothing is mixed, or not known
    loud: int = 0  # 1: caution, 2: danger


@dataclass(frozen=True)
class Schedule:
    """Steps in order of time, and what speaks against the plan as a whole."""

    plan: Plan
    steps: tuple
    notes: tuple

    @property
    def end(self) -> datetime:
        """When the last step ends."""
        return max(step.end for step in self.steps)

    @property
    def warnings(self) -> tuple:
        """All warnings of all steps."""
        return tuple(f"{step.name}: {warning}" for step in self.steps for warning in step.warnings)


def plan_build(plan: Plan) -> Schedule:
    """The timeline of a build; see the module's text for its rules."""
    bond, pour = (times_at(system, plan.shop_temperature) for system in (plan.bond, plan.pour))
    line = _Line(plan)
    _closing(line, plan, bond)
    if plan.lifts:
        _potting(line, plan, pour)
    _frames(line, plan, pour)
    line.wait("cure", "Let the potting cure", pour["stress_time"].slow, "Do not drill or sand green resin")
    _after(line, plan)
    _finish(line, plan)
    return Schedule(plan, tuple(line.steps), tuple(_plan_notes(plan)))


def _closing(line, plan, bond):
    """From the flat sheets to the spread pair with its dams."""
    line.work(
        "prepare", "Prepare both inside faces", "Wash, abrade, dust, dry: nobody reaches them once the land is bonded"
    )
    line.work(
        "bond",
        "Bond the land",
        "Contact pressure only; keep a scrap joint of the same batch beside it",
        _too_long(plan, "bond", bond.get("working_time"), "working time"),
    )
    line.wait("bond_cure", "Let the bond cure", bond["stress_time"].slow, "Clamped, at shop temperature")
    line.gate("scrap", "Stress a scrap joint first", "Peel it: only if the sheet or the resin tears, go on")
    loud, words = spring_words(plan.spring, plan.push)
    line.work("spread", "Spread the sheets, set the rod, tack it", words, loud=loud)
    line.gate("true", "Check twist and symmetry", "Winding sticks at both ends; nothing is potted before it is true")
    if plan.has("bead"):
        how = "Trailing edge down, through the open ends, with a stick or a long nozzle"
        line.work("bead", "Lay the bead along the hinge line", how)
    line.work("dams", "Set the dams", "Tape in layers; fill with water beside it or blow: thin resin finds every leak")


LOUD = (1.0, 10.0)  # J from which the stored spring is a caution, a danger: judgement, no source
LOUD_WORDS = "a stored spring is told as a caution from {} on and as a danger from {}: judgement, no source"


def spring_words(spring, push) -> tuple:
    """(how loud: 0, 1 a caution, 2 a danger; words) of a spread pair that holds `spring` [J] and drives the rod out
    with `push` [N]; nan where not known."""
    if not np.isfinite(spring):
        return 0, "Stored spring: strap first, stand aside, by steps"
    loud = sum(spring >= step for step in LOUD)
    holds = f"{show(spring, 'J', 3)} drive the rod out with {show(push, 'N', 3)}"
    return loud, (
        f"Stored spring: {holds}. Strap first, stand aside, by steps",
        f"CAUTION, stored spring: {holds}. Strap before unclamping, stay out of line, protect the eyes, go by steps",
        f"DANGER, STORED SPRING: {holds}. Strap all round before unclamping, two people, nobody in line, face "
        "protected, release in small steps",
    )[loud]


def _potting(line, plan, pour):
    """Seal bead and lifts of the nose."""
    film = pour["tack_from"].slow, pour["tack_until"].quick
    steps = [("seal", "Seal bead along dams and rod", "Thickened, all round", {})]
    how = "Pour low and slow from one end; feel for heat, and for tack like tape"
    for lift in range(1, plan.lifts + 1):
        name = "Pour the nose" if plan.lifts == 1 else f"Pour the nose, lift {lift} of {plan.lifts}"
        steps.append(("lift", name, how, {"lift": lift}))
    _chain(line, plan, pour, steps, [film, *[plan.lift_window or film] * (plan.lifts - 1)])
    if plan.frames:
        line.wait("nose_set", "Let the nose set before turning", pour["tack_until"].slow)


def _frames(line, plan, pour):
    """The closing frames, ribs and zones between them, or the fill hole through the first before the second is
    poured."""
    if not plan.frames:
        _between(line, plan, pour)
        return
    _frame(line, plan, pour, 0, "This end down, through the open other end")
    through = plan.closed and "fill" in plan.holes and not plan.foam and not plan.inside
    if plan.frames > 1 and through:
        line.wait(
            "frame_cure", "Let it cure before it is drilled", pour["stress_time"].slow, "Do not drill green resin"
        )
        line.work(
            "drill", f"Drill the fill and vent holes, {plan.ends[0]}", "Through the frame, from the drilling marks"
        )
    elif plan.frames > 1:
        before = "the next dam" if plan.inside else "turning"
        line.wait("frame_set", f"Let it set before {before}", pour["tack_until"].slow)
    if plan.has("fillets"):
        how = "With a stick through the open end; where it does not reach there is none"
        line.work("fillets", "Lay the fillets inside the frames", how)
    _between(line, plan, pour)
    if plan.foam:
        how = f"{show(plan.foam, 'mL', 3)} of hollow{' in all' * bool(plan.inside)}, by its maker's sheet; cut back to"
        what = "bay that is left" if plan.inside else "hollow"
        line.work("foam", f"Fill the {what} with foam", f"{how} the {'next' if plan.inside else 'frame'} line")
    if plan.frames > 1 and not plan.closed:
        _frame(line, plan, pour, 1, "This end down")
    elif plan.frames > 1:
        onto = "onto the foam" if plan.foam else "onto a dam set inside at the frame line, which stays there"
        onto = "onto the solid zone" if any(fill.under for fill in plan.inside) else onto
        how = "This end down, through the fill hole; air leaves by the vent" if through else f"This end up, {onto}"
        _frame(line, plan, pour, 1, how)


def _between(line, plan, pour):
    """Ribs and zones that stand on no frame and carry none, from below upwards."""
    for fill in plan.inside:
        if plan.foam and not fill.on:
            line.work(
                "foam", f"Fill the bay below {fill.title} with foam", "By its maker's sheet; cut back to its line"
            )
        if not (fill.on or fill.under):
            steps = _poured(fill, f"Part on end, {plan.ends[0]} down, its dam pushed in to its line; {TUBE}")
            _chain(line, plan, pour, *steps)


def _poured(fill, how):
    """(steps, windows between them) of a rib or zone in its lifts."""
    many = [f", lift {lift} of {fill.lifts}" for lift in range(1, fill.lifts + 1)] if fill.lifts > 1 else [""]
    which = [{"lift": lift, "end": capital(fill.name)} for lift in range(1, fill.lifts + 1)]
    steps = [("inside", f"Pour {fill.title}{lift}", how, w) for lift, w in zip(many, which, strict=True)]
    return steps, [fill.window] * (fill.lifts - 1)


def _stacked(plan, number, steps, windows, window):
    """The same of a closing frame with the zone that it stands on, or that stands on it; `window` between both."""
    on, under = ([f for f in plan.inside if getattr(f, side)] if plan.closed else [] for side in ("on", "under"))
    if number == 0 and on:
        more, between = _poured(on[0], f"On the closing frame while that is tacky; {TUBE_THROUGH_BOTH}")
        return [*steps, *more], [*windows, window, *between]
    if number == 1 and under:
        more, between = _poured(under[0], f"Part on end, {plan.ends[0]} down, onto its dam; {TUBE_THROUGH_BOTH}")
        return [*more, *steps], [*between, under[0].window, *windows]
    return steps, windows


def _frame(line, plan, pour, number, how):
    """One closing frame, in its lifts, and a solid zone at that end with it."""
    film, end = (pour["tack_from"].slow, pour["tack_until"].quick), plan.ends[number]
    count = max([plan.frame_lifts, *(p.lifts for p in plan.pours if p.key == "front" and p.name.endswith(end))])
    name = f"Pour the {'closing frame' if plan.closed else 'front beyond the dam'}, {end}"
    names = [name] if count == 1 else [f"{name}, lift {lift} of {count}" for lift in range(1, count + 1)]
    how += f"; a depth of {frame_plenty('10 to 20 mm')} is plenty" if plan.closed else ""
    steps = [("frame", words, how, {"lift": i, "end": end}) for i, words in enumerate(names, 1)]
    window = plan.lift_window or film
    _chain(line, plan, pour, *_stacked(plan, number, steps, [window] * (count - 1), window))


def _after(line, plan):
    """What is filled, drilled and plugged on the cured part."""
    drilled = ("fill", "vent") if any(step.key == "drill" for step in line.steps) else ()
    left = [hole for hole in plan.holes if hole not in drilled] if plan.closed else []
    if left:
        names = left[0] if len(left) == 1 else f"{', '.join(left[:-1])} and {left[-1]}"
        high = ", vent at the high end" if "vent" in left else ""
        how = f"Through the frames, from the drilling marks{high}{', drain at the low end' * ('drain' in left)}"
        how += "; where a solid zone stands at the frame into its tube" * any(f.on or f.under for f in plan.inside)
        line.work("drill", f"Drill the {names} hole{'s' * (len(left) > 1)}", how)
    if plan.has("fill"):
        line.work("fill", "Fill edges and nose", "Abrade first: what has cured takes a secondary bond only")
    if plan.closed and plan.holes:
        line.work("plug", "Seal the hole walls, fit the plug", "Neat, wetted out, then wiped")
    if not plan.closed:
        return
    if "vent" in plan.holes:
        line.work("vent", "Open the vent", "A sealed hollow part bursts or sucks in water when its temperature changes")
    else:
        how = "None fits behind the rod: never heat this part, keep it out of the sun, or leave an end open"
        line.gate("no_vent", "Sealed without a vent", how)


def _finish(line, plan):
    """Full cure of all that was mixed, and the post-cure."""
    ends = [step.start + timedelta(seconds=full) for step, full in _mixes(line, plan, "full_cure")]
    if ends:
        line.wait("full_cure", "Full cure", (max(ends) - line.now).total_seconds(), "No sanding, no load before")
    if plan.post_cure is None:
        return
    sealed = plan.closed and "vent" not in plan.holes
    if plan.closed and not sealed:
        line.gate("vented", "Vent open before any heat")
    line.work(
        "post_cure",
        f"Post-cure at {show(plan.post_cure, 'degC', 3)}",
        "Warm and cool slowly, the part held true: it softens before it hardens",
        ("the hollow is sealed and has no vent: heat drives the sheets apart",) if sealed else (),
    )


def _mixes(line, plan, name):
    """(step, slow end of a time [s] of its resin) of every step at which resin is mixed, where that time is known."""
    for step in line.steps:
        if step.key in WORKED:
            span = times_at(plan.bond if step.key in BONDED else plan.pour, plan.shop_temperature).get(name)
            if span is not None:
                yield step, span.slow


def _chain(line, plan, pour, steps, windows):
    """Steps of which each has to meet the one before in its window: placed together, at the best time of day."""
    keys = [step[0] for step in steps]
    tried = [line.chain(keys, windows, timedelta(minutes=30 * shift)) for shift in range(CHAIN_SHIFTS)]
    best = min(tried, key=lambda placed: sum(len(warnings) for *_, warnings in placed))
    too_long = _too_long(plan, keys[-1], pour.get("pot_life"), "pot life")
    for (key, name, how, which), (start, latest, warnings) in zip(steps, best, strict=True):
        more = () if key == "seal" else too_long
        mix, end = line.mix(key, **which), start + plan.takes(key)
        line.add(Step(key, name, "work", start, end, how, latest, (*warnings, *more), **mix))


def _too_long(plan, key, span, words):
    if span is None:
        return (f"the {words} of this system is not known",)
    takes = plan.takes(key).total_seconds()
    if takes <= span.quick:
        return ()
    return (
        f"takes {show(takes, 'min', 3)}, the {words} may be only {show(span.quick, 'min', 3)}: smaller batches, more "
        "hands, or a slower hardener",
    )


def _plan_notes(plan):
    for use, system in (("bond", plan.bond), ("pour", plan.pour)):
        for note in (*shop_notes(system, plan.shop_temperature), *system.notes()):
            yield f"{use}, {system.name}: {note}"
    depth = plan.pour.lift_depth
    if plan.frames and depth is not None and plan.frame_lifts * depth < FRAME_PLENTY[0]:
        needed = int(np.ceil(FRAME_PLENTY[0] / depth - 1e-9))
        yield (
            f"a frame of {show(FRAME_PLENTY[0], 'mm', 2)} takes {needed} lifts of at most "
            f"{show(depth, 'mm', 2)}, {plan.frame_lifts} planned"
        )
    if plan.window_label:
        yield f"time between lifts from: {plan.window_label}"
    if np.isfinite(plan.spring):
        yield LOUD_WORDS.format(*(show(step, "J", 1) for step in LOUD))
    yield "hands-on times are judgement; trust tack, scrap joint and data sheet over the clock"


class _Line:
    """The steps so far, and the time at which the next may begin."""

    def __init__(self, plan):
        self.plan, self.now, self.steps = plan, plan.start, []

    def add(self, step):
        self.steps.append(step)
        self.now = max(self.now, step.end)

    def work(self, key, name, words="", warnings=(), loud=0):
        start, late = self._place(self.now, None, self.plan.takes(key))
        end, mix = start + self.plan.takes(key), self.mix(key)
        self.add(Step(key, name, "work", start, end, words, None, (*late, *warnings), **mix, loud=loud))

    def mix(self, key, lift=1, end=""):
        """What is mixed for a step, of which resin, and how long that may be worked, by the quick end of its time."""
        mixed = self.plan.mixed(key, lift, end) if key in WORKED else ()
        if not mixed:
            return {}
        span = times_at(mixed[0].system, self.plan.shop_temperature).get(WORKED[key])
        return {
            "pours": tuple(pour.title for pour in mixed),
            "system": mixed[0].system.name,
            "within": np.nan if span is None else span.quick,
        }

    def wait(self, key, name, seconds, words=""):
        if seconds > 0.0:
            self.add(Step(key, name, "wait", self.now, self.now + timedelta(seconds=seconds), words))

    def gate(self, key, name, words=""):
        start, _ = self._place(self.now, None, CLOCK)
        self.add(Step(key, name, "gate", start, start, words))

    def chain(self, keys, windows, delay):
        """(start, latest start, warnings) of each step when the first waits for `delay` at least."""
        start, warnings = self._place(self.now + delay, None, self.plan.takes(keys[0]))
        placed = [(start, None, warnings)]
        for key, (earliest, latest) in zip(keys[1:], windows, strict=True):
            first = start + timedelta(seconds=earliest)
            if not latest > earliest:
                start, late = self._place(start + self._cured(), None, self.plan.takes(key))
                missed = ("no time while the one before is tacky: let it cure, wash, abrade; a secondary bond",)
                placed.append((start, None, (*missed, *late)))
                continue
            by = start + timedelta(seconds=latest)
            start, warnings = self._place(first, by, self.plan.takes(key))
            placed.append((start, by, warnings))
        return placed

    def _cured(self):
        return timedelta(seconds=times_at(self.plan.pour, self.plan.shop_temperature)["stress_time"].slow)

    def _place(self, earliest, latest, takes):
        """First start in working hours; outside them, with a warning, only where the window leaves nothing else."""
        start = next_clock(earliest)
        wanted = in_hours(start, takes, self.plan.day)
        if wanted is not None and (latest is None or wanted <= latest):
            return wanted, ()
        if wanted is None:
            return start, ("takes longer than a working day",)
        if start > latest:
            return start, (f"the window is too short for the clock: start at {clock(latest)} sharp",)
        return start, (f"out of working hours; the window shuts at {clock(latest)}, before they begin again",)
