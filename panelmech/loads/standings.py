"""What designs at the root of a part come to, many at once: the checks along its span, and under its loads.

By arrays, with the rules of the study of one part: both say the same but for rounding, and where that would matter this
says that it cannot tell. The framed sheets, plate problems each, are given to it.
"""

from __future__ import annotations

import numpy as np

from ..blade.along_checks import changes_along, places_judged, worst_of, worst_place
from ..blade.blade import Blade
from ..blade.sections import solved_along
from ..study.checks import CHECKS, LOCAL_RULES, RULES, judge
from ..study.every import Standing, rate_design
from ..study.verdicts import HOLDS, UNKNOWN, VERDICTS, WORST_FIRST, Rated
from .checks import LOAD_RULES
from .in_place import giving_way
from .load_file import LoadSheet
from .many import ManyParts, rate_many

NEAR = 1e-9  # reserves this close to a limit or to each other are told apart by the study of the one part alone


def rated_along(blade: Blade, rules=CHECKS) -> dict:
    """{key: `Rated`} of checks of the design at the places along a part, each at its worst; at one place where the part
    is the same all along. Raises as `study.every.rate_design`."""
    rated = [rate_design(blade.design_at(*place), rules) for place in places_along(blade)]
    return {key: worst_of([one[key] for one in rated]) for key in rated[0]}


def places_along(blade: Blade) -> list:
    """(position [m], whether before a step there) of the places at which a part's design is judged along its span: one
    where it is the same all along."""
    return places_judged(blade) if changes_along(blade) else [(0.0, False)]


def row(key: str, name: str, verdict: str, reserve, beyond) -> Standing:
    """`Standing` of one check; `beyond`: whether its value is beyond what can be told."""
    return Standing(verdict, float(reserve), key, name, name if beyond and verdict == UNKNOWN else "")


class Alike:
    """Designs that differ in sizes, stock of sheet and rod and `blade.sections.NUMBERS` alone, at the root of a part:
    all but the framed sheets worked out together, under the loads of a `sheet` where there is one. To be told of as
    `Standing` they must not differ in the last. Raises ValueError where they cannot be worked out together."""

    def __init__(self, blade: Blade, sheet: LoadSheet | None, designs):
        blade = _first(blade, designs)
        self.sheet, self.designs, self.close = sheet, designs, designs[0].close_share
        place = [np.array(column) for column in zip(*places_along(blade), strict=True)]
        self.blade, self.solved = blade, solved_along(blade, designs, *place)
        made = np.all(self.solved.bend.feasible, axis=(1, 2))
        rated = judge(self.solved.numbers, self.solved, RULES)
        self.rated, self.parts = {key: worst_place(one) for key, one in rated.items()}, None
        if self.sheet is not None:
            self.parts = ManyParts(blade, designs, self.sheet.plan)
            made &= self.parts.made
        self.made = [int(i) for i in np.flatnonzero(made)]

    def quick(self) -> dict:
        """{place of a design: `Standing`} of what can be made, without the framed sheet; None where it is too near a
        limit to be told from it here."""
        return self._told(self.made, {**self.along(self.made), **self._under_loads(self.made, [])})

    def bounded(self, which, bounds) -> dict:
        """{place of a design: `Standing`} of those whose framed sheet does not stand by `framed_bounds_along`."""
        rules = [rule for rule in LOAD_RULES if rule.local]
        found = self._told(which, self._under_loads(which, bounds, rules))
        return {i: one for i, one in found.items() if one is not None and not one.stands}

    def whole(self, which, along, sheets) -> dict:
        """{place of a design: `Standing`} of some that can be made, every check counted; None where a reserve is too
        near a limit to be told from it here. `along`: (design, rules) -> `rated_along`; `sheets`: framed sheets under
        load, as of `loads.response.framed_along`."""
        under = self._under_loads(which, sheets)
        asked = {key: (one.value != 0.0) | one.beyond for (_, key), (_, one) in under.items()}
        found = []
        for n, i in enumerate(which):
            gone = giving_way(self.designs[i], [key for key, asks in asked.items() if asks[n]])
            rules = tuple(rule for rule in LOCAL_RULES if rule.key not in gone)
            found.append(along(self.designs[i], rules) if rules else {})
        framed = {("", rule.key): (rule.name, _column([one.get(rule.key) for one in found])) for rule in LOCAL_RULES}
        return self._told(which, {**self.along(which), **framed, **under})

    def along(self, which) -> dict:
        """{("", key): (name, `Rated` of some)} of the checks along the span, but for the framed sheet's."""
        return {("", key): (_NAMES[key], _some(rated, which)) for key, rated in self.rated.items()}

    def study(self, which):
        """The study under load of some, as of `ManyParts.study`, with the response, without framed sheets."""
        at = self._of_parts(which)
        return self.parts.answered(self.parts.study(at), at)

    def _of_parts(self, which):
        return (np.cumsum(self.parts.made) - 1)[list(which)]

    def _told(self, which, rated):
        return dict(zip(which, standings(rated, self.close), strict=True)) if len(which) else {}

    def _under_loads(self, which, sheets, rules=None):
        if self.parts is None or not len(which):
            return {}
        at, every = self._of_parts(which), rules is None
        fittings = self.sheet.fittings if every else ()
        under = rate_many(self.parts, at, sheets, fittings, LOAD_RULES if every else rules)
        return {("loads", key): named for key, named in under.items()}

    @property
    def local(self):
        """Whether the framed sheet is worked out under load."""
        return self.parts is not None and self.sheet.plan.local

    @property
    def position(self):
        """Stations of the sections under load [m]."""
        return self.parts.line.sections.position


_NAMES = {rule.key: rule.name for rule in CHECKS}


def _first(blade, designs):
    """A blade with one of the designs at its root; ValueError where none of them goes with it."""
    for design in designs[:-1]:
        try:
            return blade.with_root(design)
        except ValueError:
            continue
    return blade.with_root(designs[-1])


def _some(rated, which):
    return Rated(*(part[list(which)] for part in rated))


NOT_COUNTED = Rated(np.nan, np.nan, np.nan, VERDICTS.index(HOLDS), False)  # says nothing beside what is counted


def _column(ratings):
    """`Rated` of one check of many parts, from that of each; None where it does not count."""
    return Rated(*map(np.array, zip(*(one or NOT_COUNTED for one in ratings), strict=True)))


def standings(rated: dict, close: float) -> list[Standing | None]:
    """`study.every.standing` of many parts, from {(where, key): (name, `Rated` of each)} in the order of the checks.

    None for a part where it hangs on less than `NEAR`: on which side of a limit a reserve is, or which of two reserves
    is the less. `close`: the share above one that is still called close.
    """
    names, keys = [name for name, _ in rated.values()], [key for _, key in rated]
    parts = ("code", "reserve", "beyond")
    code, reserve, beyond = (np.array([getattr(one, part) for _, one in rated.values()]) for part in parts)
    worst = np.min(_PLACE[code], axis=0)
    known, low = ~np.isnan(reserve), np.where(np.isnan(reserve), np.inf, reserve)
    at = np.where(np.all(np.isinf(low), axis=0), np.argmax(known, axis=0), np.argmin(low, axis=0))
    far = beyond & (code == VERDICTS.index(UNKNOWN))
    near, found = _near(low, close), []
    for n, i in enumerate(at):
        lost = names[int(np.argmax(far[:, n]))] if far[:, n].any() else ""
        named = (float(reserve[i, n]), keys[i], names[i]) if known[i, n] else (np.nan, "", "")
        found.append(None if near[n] else Standing(WORST_FIRST[worst[n]], *named, lost))
    return found


_PLACE = np.array([WORST_FIRST.index(word) for word in VERDICTS])


def _near(low, close):
    first, *rest = np.partition(low, min(1, len(low) - 1), axis=0)[:2]
    with np.errstate(invalid="ignore", divide="ignore"):
        gap = rest[0] / first - 1.0 if rest else np.full_like(first, np.inf)
    limit = np.any(np.abs(low[..., None] - [1.0, 1.0 + close]) < 2.0 * NEAR, axis=(0, 2))
    return limit | (0.0 < gap) & (gap < NEAR)
