"""When to do what: the build from the prepared inside faces to the post-cure, by the clock.

Waits count the slow end of the resin's times at the shop's temperature, windows their quick end (`shop.resin`),
so a step that fits here fits by either rule. Hands-on times are the user's, or judgement without a source. Steps are
put into working hours where nothing forces them: a wait ends the next morning, and the chain of bead and lifts, each of
which has to meet the one before while it is tacky, starts when fewest of them fall into the night. What cannot be met
is a warning, never moved in silence. Clock times are local and plain: no time zone, no change of clocks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta

import numpy as np

from ..materials.records import ReadOnlyMap
from ..materials.stock import ResinSystem
from ..units import read_array, read_choice, read_count, read_number, show
from .resin import shop_notes, times_at
from .volumes import FRAME_PLENTY, frame_plenty

# ----- Clock times of the shop: how they are written, and where in a working day something fits.
#
# Local and plain: no time zone, no change of clocks, English names whatever the machine's language.


CLOCK = timedelta(minutes=5)  # starts are set to the next full five minutes
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def clock(moment: datetime) -> str:
    """`Wed 25 Nov 09:05`."""
    return f"{DAYS[moment.weekday()]} {moment.day} {MONTHS[moment.month - 1]} {moment:%H:%M}"


def next_clock(moment: datetime) -> datetime:
    """The next full five minutes."""
    over = (moment - datetime.min) % CLOCK
    return moment if not over else moment + CLOCK - over


def in_hours(moment: datetime, takes: timedelta, day: tuple):
    """First time from `moment` on at which something fits into a working day; None where no day is long enough."""
    opens, shuts = (datetime.combine(moment.date(), edge) for edge in day)
    if takes > shuts - opens:
        return None
    if moment < opens:
        return opens
    return moment if moment + takes <= shuts else opens + timedelta(days=1)


# ----- The plan and its steps.


# fmt: off
HANDS_ON = {  # s; judgement, no source
    "prepare": 7200.0, "bond": 3600.0, "spread": 3600.0, "dams": 5400.0, "seal": 1800.0, "lift": 1800.0,
    "frame": 1800.0, "drill": 3600.0, "plug": 1800.0, "vent": 900.0, "post_cure": 8 * 3600.0,
}
# fmt: on
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

    def __post_init__(self):
        object.__setattr__(self, "hands_on", ReadOnlyMap(self.hands_on))
        for key, value in self.hands_on.items():
            read_choice(key, "a hands-on time", HANDS_ON)
            read_number(value, f"hands-on time of {key}", "s", above=0.0, high=48 * 3600.0, hint="two days at most")
        read_count(self.lifts, "lifts", 1, 100)
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
    line.work("spread", "Spread the sheets, set the rod, tack it", "Stored spring: strap first, stand aside, by steps")
    line.gate("true", "Check twist and symmetry", "Winding sticks at both ends; nothing is potted before it is true")
    line.work("dams", "Set the dams", "Tape in layers; fill with water beside it or blow: thin resin finds every leak")
    _potting(line, plan, pour)
    if plan.frames:
        line.wait("nose_set", "Let the nose set before turning", pour["tack_until"].slow)
    for number in range(plan.frames):
        _frame(line, plan, pour, number + 1)
        if number + 1 < plan.frames:
            line.wait("frame_set", "Let it set before turning", pour["tack_until"].slow)
    line.wait("cure", "Let the potting cure", pour["stress_time"].slow, "Do not drill or sand green resin")
    line.work("drill", "Drill fill, vent and drain holes", "Vent at the high end, drain at the low one")
    line.work("plug", "Seal the hole walls, fit the plug")
    line.work("vent", "Open the vent", "A sealed hollow part bursts or sucks in water when its temperature changes")
    _finish(line, plan, pour)
    return Schedule(plan, tuple(line.steps), tuple(_plan_notes(plan)))


def _finish(line, plan, pour):
    if "full_cure" in pour:
        last = next(step.start for step in reversed(line.steps) if step.key in ("lift", "frame"))
        left = (last + timedelta(seconds=pour["full_cure"].slow) - line.now).total_seconds()
        line.wait("full_cure", "Full cure", left, "No sanding, no load before")
    if plan.post_cure is not None:
        line.gate("vented", "Vent open before any heat")
        line.work(
            "post_cure",
            f"Post-cure at {show(plan.post_cure, 'degC', 3)}",
            "Warm and cool slowly, the part held true: it softens before it hardens",
        )


def _potting(line, plan, pour):
    """Bead and lifts of the nose."""
    film = pour["tack_from"].slow, pour["tack_until"].quick
    steps = [("seal", "Seal bead along dams and rod", "Thickened, all round")]
    how = "Pour low and slow from one end; feel for heat, and for tack like tape"
    steps += [("lift", f"Lift {number + 1} of {plan.lifts}", how) for number in range(plan.lifts)]
    _chain(line, plan, pour, steps, [film, *[plan.lift_window or film] * (plan.lifts - 1)])


def _frame(line, plan, pour, number):
    """One closing frame, in its lifts."""
    film = pour["tack_from"].slow, pour["tack_until"].quick
    count, name = plan.frame_lifts, f"Pour closing frame {number}"
    names = [name] if count == 1 else [f"{name}, lift {lift + 1} of {count}" for lift in range(count)]
    steps = [("frame", name, f"This end down; a depth of {frame_plenty('10 to 20 mm')} is plenty") for name in names]
    _chain(line, plan, pour, steps, [plan.lift_window or film] * (count - 1))


def _chain(line, plan, pour, steps, windows):
    """Steps of which each has to meet the one before in its window: placed together, at the best time of day."""
    keys = [key for key, *_ in steps]
    tried = [line.chain(keys, windows, timedelta(minutes=30 * shift)) for shift in range(CHAIN_SHIFTS)]
    best = min(tried, key=lambda placed: sum(len(warnings) for *_, warnings in placed))
    too_long = _too_long(plan, keys[-1], pour.get("pot_life"), "pot life")
    for (key, name, how), (start, latest, warnings) in zip(steps, best, strict=True):
        more = () if key == "seal" else too_long
        line.add(Step(key, name, "work", start, start + plan.takes(key), how, latest, (*warnings, *more)))


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
    yield "hands-on times are judgement; trust tack, scrap joint and data sheet over the clock"


class _Line:
    """The steps so far, and the time at which the next may begin."""

    def __init__(self, plan):
        self.plan, self.now, self.steps = plan, plan.start, []

    def add(self, step):
        self.steps.append(step)
        self.now = max(self.now, step.end)

    def work(self, key, name, words="", warnings=()):
        start, late = self._place(self.now, None, self.plan.takes(key))
        self.add(Step(key, name, "work", start, start + self.plan.takes(key), words, None, (*late, *warnings)))

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
