"""What mends one check under load, worked out as `study.mend` does for a design: which input, how much, what then."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np

from ..blade.blade import ALONG_FIELDS
from ..study.mend import mend_words, needs_mending, search, sides_of, untold
from ..study.verdicts import Judged
from ..units import lengths
from .load_study import LoadStudy, evaluate_loads

TRIED = ("sheet_thickness", "spacer_diameter", "spacer_wall", "free_length", "land_length")


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
    work = _Work(study)
    found = {key: mend_words(study.blade.design, work.mends(key)) for key in bad}
    lines = ("; ".join(filter(None, (found.get(c.key, ""), c.advice))) for c in study.checks)
    return replace(study, checks=tuple(replace(c, advice=w) for c, w in zip(study.checks, lines, strict=True)))


class _Work:
    """Changed parts under the same loads, each worked out once."""

    def __init__(self, study):
        self.study, self.known, self.framed = study, {(): _Part(study.blade.design, study.checks)}, {}

    def mends(self, key):
        """What mends a check."""
        blade = self.study.blade
        names = [name for name in TRIED if name not in ALONG_FIELDS or getattr(blade, name) is None]
        sides = [side for name in names for side in sides_of(blade.design, name)]
        return search(self.known[()], key, partial(self._reserves, key), sides, self._part)

    def _reserves(self, key, changes):
        parts = [self._part(one) for one in changes]
        return np.array([np.nan if part is None else _reserve(part.check(key)) for part in parts])

    def _part(self, changes):
        key = tuple(changes.items())
        if key not in self.known:
            blade = self.study.blade
            try:
                changed = blade.replace(design=blade.design.replace(**changes))
                found = evaluate_loads(changed, self.study.plan, self.framed)
                self.known[key] = _Part(changed.design, found.checks)
            except ValueError:
                self.known[key] = None
        return self.known[key]


def _reserve(check):
    return 0.0 if untold(check) else check.reserve
