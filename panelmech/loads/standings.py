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
from ..study.every import Standing, rate_design, standing
from ..study.verdicts import UNKNOWN, Rated
from .checks import LOAD_RULES
from .in_place import giving_way
from .load_file import LoadSheet
from .many import ManyParts, rate_many

NEAR = 1e-9  # reserves this close to a limit or to each other are told apart by the study of the one part alone


def rated_along(blade: Blade, rules=CHECKS) -> dict:
    """{key: `Rated`} of checks of the design at the places along a part, each at its worst; at one place where the part
    is the same all along. Raises as `study.every.rate_design`."""
    rated = [rate_design(blade.design_at(*place), rules) for place in _places(blade)]
    return {key: worst_of([one[key] for one in rated]) for key in rated[0]}


def _places(blade):
    return places_judged(blade) if changes_along(blade) else [(0.0, False)]


def row(key: str, name: str, verdict: str, reserve, beyond) -> Standing:
    """`Standing` of one check; `beyond`: whether its value is beyond what can be told."""
    return Standing(verdict, float(reserve), key, name, name if beyond and verdict == UNKNOWN else "")


class Alike:
    """Designs that differ in sizes and stock of sheet and rod alone, at the root of a part: all but the framed
    sheets worked out together, under the loads of a `sheet` where there is one. Raises ValueError where they cannot be.

    cases : as of `ManyParts`
    """

    def __init__(self, blade: Blade, sheet: LoadSheet | None, designs, cases: dict):
        blade = _first(blade, designs)
        self.sheet, self.designs, self.close = sheet, designs, designs[0].close_share
        place = [np.array(column) for column in zip(*_places(blade), strict=True)]
        solved = solved_along(blade, designs, *place)
        made = np.all(solved.bend.feasible, axis=(1, 2))
        self.along, self.parts = judge(solved.numbers, solved, RULES), None
        self.along = {key: worst_place(rated) for key, rated in self.along.items()}
        if self.sheet is not None:
            self.parts = ManyParts(blade, designs, self.sheet.plan, cases)
            made &= self.parts.made
        self.made = [int(i) for i in np.flatnonzero(made)]

    def quick(self) -> dict:
        """{place of a design: `Standing`} of what can be made, without the framed sheet; None where it is too near a
        limit to be told from it here."""
        checks = self._checks(self.made, [], {})
        return {i: _told(rows, self.close) for i, rows in checks.items()}

    def bounded(self, which, bounds) -> dict:
        """{place of a design: `Standing`} of those that buckle by what is no less than their critical stress."""
        sheets = [{"buckling": bound} for bound in bounds]
        rules = [rule for rule in LOAD_RULES if rule.key == "skin_buckling"]
        ((name, rated),) = self._under_loads(which, sheets, (), rules).values()
        one = [Rated(*(part[n] for part in rated)) for n in range(len(which))]
        rows = {i: row("skin_buckling", name, r.verdict, r.reserve, r.beyond) for i, r in zip(which, one, strict=True)}
        return {i: found for i, found in rows.items() if not found.stands}

    def whole(self, which, blades, sheets) -> dict:
        """{place of a design: `Standing`} of some that can be made, every check counted, with the blades of all and the
        framed sheets of these; None where a reserve is too near a limit to be told from it here."""
        return {i: _told(rows, self.close) for i, rows in self._checks(which, sheets, blades).items()}

    def _checks(self, which, sheets, blades):
        """{place: its checks as `Standing`s, those along the span first}; of the framed sheet with blades alone."""
        under = self._under_loads(which, sheets, self.sheet.fittings if self.sheet else ())
        found = {}
        for n, i in enumerate(which):
            loads = {key: (name, Rated(*(part[n] for part in rated))) for key, (name, rated) in under.items()}
            along = {key: Rated(*(part[i] for part in rated)) for key, rated in self.along.items()}
            if blades:
                asked = [key for key, (_, one) in loads.items() if one.value != 0.0 or one.beyond]
                gone = giving_way(self.designs[i], asked)
                rules = tuple(rule for rule in LOCAL_RULES if rule.key not in gone)
                along |= rated_along(blades[i], rules) if rules else {}
            rows = [*((key, _NAMES[key], one) for key, one in along.items()), *((k, *one) for k, one in loads.items())]
            found[i] = [row(key, name, one.verdict, one.reserve, one.beyond) for key, name, one in rows]
        return found

    def _under_loads(self, which, sheets, fittings, rules=LOAD_RULES):
        if self.parts is None or not len(which):
            return {}
        at = np.cumsum(self.parts.made) - 1
        return rate_many(self.parts, at[list(which)], sheets, fittings, rules)

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


def _told(checks, close):
    """What checks come to; None where it hangs on less than `NEAR`: on which side of a limit a reserve is, or which of
    two reserves is the less."""
    reserves = np.sort([check.reserve for check in checks if np.isfinite(check.reserve)])
    limit = np.abs(reserves[:, None] - [1.0, 1.0 + close]) < 2.0 * NEAR
    gap = reserves[1] / reserves[0] - 1.0 if len(reserves) > 1 and reserves[0] > 0.0 else np.inf
    return None if np.any(limit) or 0.0 < gap < NEAR else standing(checks)
