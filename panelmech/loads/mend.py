"""What mends one check under load, worked out as `study.mend` does for a design: which input, how much, what then.

Of the part its own sizes are tried, of the stock above it that of the stock, of a fitting those of the fitting.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache, partial
from types import SimpleNamespace

import numpy as np

from ..blade.blade import ALONG_FIELDS
from ..study.advice import OF_FITTINGS, round_values
from ..study.mend import mend_words, needs_mending, search, sides_of, untold
from ..study.verdicts import Judged
from ..units import lengths
from .checks import LOAD_RULES
from .load_file import fitting_checks
from .load_study import LoadStudy, evaluate_loads
from .ranges import BY_PRESSING
from .response import add_buckling_alone

TRIED = ("sheet_thickness", "spacer_diameter", "spacer_wall", "free_length", "land_length")
DIAMETERS = (2, 2.5, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30, 33, 36, 42, 48)  # mm, ISO 261 (from memory)
WHOLE, ALL_BUT_PRESS, NOTHING = "whole", "all but press", "nothing"  # of the framed sheet, as a check asks for it
BUCKLING = "skin_buckling"
STOCK = "stock_stress"  # check of the stock: no size of the part is what mends it


@dataclass(frozen=True, eq=False)
class _Part(Judged):
    """A part under its loads, as `study.mend.search` asks for it."""

    design: object
    checks: tuple


def with_load_mends(study: LoadStudy) -> LoadStudy:
    """The study with what mends each check that needs it in the check's advice, in front of what stands there. Only
    dimensions that the part does not give along its span are changed. Takes a second or so; kept for a study that
    comes again."""
    return _with_load_mends(study, lengths())


@lru_cache(maxsize=4)
def _with_load_mends(study, told_in):
    bad = [check.key for check in study.limits if needs_mending(check)]
    if not bad:
        return study
    work = Work(study)
    found = {key: mend_words(work.design, work.mends(key)) for key in bad}
    return replace(study, checks=tuple(_told(check, found.get(check.key, "")) for check in study.checks))


def _told(check, words):
    return replace(check, advice="; ".join(filter(None, (words, check.advice))))


class Work:
    """Changed parts under the same loads, each worked out once."""

    def __init__(self, study):
        self.study, self.framed, self.without_press = study, {}, {}
        own = {} if study.plan.stock is None else {"diameter": study.plan.stock.diameter}
        self.design = SimpleNamespace(**vars(study.blade.design), **own)
        self.known = {(WHOLE, ()): _Part(self.design, study.checks)}

    def mends(self, key):
        """What mends a check."""
        return search(self.known[WHOLE, ()], key, partial(self._reserves, key), self._sides(key), self.part)

    def _sides(self, key):
        if key == STOCK:
            return _sides_of_own(self.study.plan.stock, ("diameter",))
        blade = self.study.blade
        names = [name for name in TRIED if name not in ALONG_FIELDS or getattr(blade, name) is None]
        return [side for name in names for side in sides_of(blade.design, name)]

    def _reserves(self, key, changes):
        return _reserves(key, [self.part(one, asked_by(key)) for one in changes])

    def part(self, changes, asked=WHOLE):
        """A changed part, with as much of the framed sheet as is asked for at least."""
        key = tuple(changes.items())
        for more in (WHOLE, asked):
            if (more, key) in self.known:
                return self.known[more, key]
        try:
            self.known[asked, key] = _Part(self.design, self._worked_out(dict(changes), asked).checks)
        except ValueError:
            self.known[asked, key] = None
        return self.known[asked, key]

    def _worked_out(self, changes, asked):
        blade, plan = self.study.blade, self.study.plan
        if "diameter" in changes:
            plan = replace(plan, stock=replace(plan.stock, diameter=changes.pop("diameter")))
        blade = blade.replace(design=blade.design.replace(**changes))
        if asked == WHOLE or not plan.local:
            return evaluate_loads(blade, plan, self.framed)
        if asked == NOTHING:
            return evaluate_loads(blade, replace(plan, local=False))
        add_buckling_alone(blade, self.without_press)
        return evaluate_loads(blade, plan, self.without_press)


def asked_by(key):
    """How much of the framed sheet a check asks for."""
    if key == BUCKLING:
        return ALL_BUT_PRESS
    return WHOLE if key in BY_PRESSING or any(rule.local for rule in LOAD_RULES if rule.key == key) else NOTHING


def mended_fittings(study: LoadStudy, fittings) -> tuple:
    """`load_file.fitting_checks` with what mends each that needs it in its advice, in front of what stands there: sizes
    of the fitting are changed, one at a time. Raises as that."""
    return tuple(check for item in fittings for check in _mended(study, item))


def _mended(study, item):
    design = SimpleNamespace(**vars(item), close_share=study.blade.design.close_share)

    def part(changes):
        try:
            return _Part(design, fitting_checks(study, [replace(item, **changes)]))
        except ValueError:
            return None

    present = _Part(design, fitting_checks(study, [item]))
    sides = _sides_of_own(item, [name for name in OF_FITTINGS if hasattr(item, name)])
    for check in present.checks:
        if needs_mending(check):
            reserves = partial(_of_parts, check.key, part)
            check = _told(check, mend_words(design, search(present, check.key, reserves, sides, part)))
        yield check


def _of_parts(key, part, changes):
    return _reserves(key, [part(one) for one in changes])


def _sides_of_own(item, names):
    """Changes of one size each of a fitting or stock, less and more than at present, the nearest first."""
    sides = []
    for name in names:
        present = getattr(item, name)
        low, high = (share * present for share in OF_FITTINGS[name].reach)
        sold = [1e-3 * d for d in DIAMETERS if low <= 1e-3 * d <= high] if name == "diameter" else []
        values = sold if sold and lengths() == "mm" else round_values(present, low, high)
        less, more = [v for v in values if v < present - 1e-9][::-1], [v for v in values if v > present + 1e-9]
        sides += [[{name: value} for value in side] for side in (less, more) if side]
    return sides


def _reserves(key, parts):
    return np.array([np.nan if part is None else _reserve(part.check(key)) for part in parts])


def _reserve(check):
    return 0.0 if untold(check) else check.reserve
