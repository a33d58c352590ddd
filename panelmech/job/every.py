"""The judge of a job, for map, size, choice and the like: what a job comes to with another design at its root.

Counted are the design along the span and, where the job states loads, the part under them with its fittings; neither
the sheets as measured, which are of one thickness, nor the pours, which the shop settles for the design that is chosen.
"""

from __future__ import annotations

from dataclasses import fields, replace

from ..blade.along_checks import changes_along, places_judged
from ..blade.blade import ALONG_FIELDS, Blade
from ..blade.sections import STOCK, roots_of
from ..loads.in_place import guessed, making_way
from ..loads.load_file import fitting_checks
from ..loads.load_study import evaluate_loads, with_framed_sheets
from ..loads.response import framed_along, framed_bounds_along
from ..loads.standings import Alike, rated_along, row
from ..study.checks import CHECKS, LOCAL_RULES
from ..study.design import Design
from ..study.every import COUNTED, NONE_MADE, Standing, rate_design, standing, standing_of
from ..study.pressed_face import shape_of
from ..study.verdicts import FAILS
from .job import Job

MOST_KEPT = 4096  # framed sheets; ten times as many answers


class JudgeOfJob:
    """A judge of designs at the root of a job's part: every check of `study.study.evaluate`, `blade.along_checks` and
    `loads.load_study` counts, those for which loads stand in as `loads.in_place` says.

    Called with a design it gives its `Standing`; `together` those of many, and `sift` what many come to by all but the
    framed sheet.
    """

    def __init__(self, job: Job, soon: bool = False):
        """soon : what is quick first, and stop at the first that fails. Whether a part stands is the same, and so are
        verdict, reserve and governing check of one that does; of another they are those of what was worked out."""
        self.job, self.soon = job, soon
        self._framed: dict = {}  # framed sheets under load, by sheet and shape
        self._shaped: dict = {}  # what its framed sheets come to all along a part, by all they hang on at the root
        self._known: dict = {}  # what was told before, by design

    def __call__(self, design: Design) -> Standing:
        """`Standing` of one design."""
        self._forget()
        try:
            for found in _parts(self.job.blade.with_root(design), self.job.loads, self._framed, self.soon):
                if self.soon and found.verdict == FAILS:
                    break
            return found
        except ValueError:
            return NONE_MADE

    def sift(self, designs) -> list[Standing | None]:
        """What designs come to without the framed sheet, or by bounds on what it does under load, those alike worked
        out together: what does not stand by that does not stand, and the reserve is no less than that of one that does.
        None where that is not known."""
        return self._by_kind("sifted", designs, self._sift, lambda design: None)

    def together(self, designs) -> list[Standing]:
        """`Standing` of each design, as of a call, those alike worked out together."""
        return self._by_kind("together", designs, self._together, self)

    def _by_kind(self, what, designs, of_many, of_one):
        """By designs that differ in sizes and stock of sheet and rod alone; one by one where it cannot be told. What
        was told before is not worked out again."""
        self._forget()
        kinds: dict = {}
        for design in designs:
            if (what, design) not in self._known:
                kinds.setdefault(_values(design, _ALIKE), []).append(design)
        for alike in kinds.values():
            try:
                told = of_many(alike)
            except (ValueError, ArithmeticError):
                told = [of_one(design) for design in alike]
            self._known.update(((what, design), one) for design, one in zip(alike, told, strict=True))
        return [self._known[what, design] for design in designs]

    def _forget(self):
        for kept, most in ((self._framed, 1), (self._shaped, 1), (self._known, 10)):
            if len(kept) > most * MOST_KEPT:
                kept.clear()

    def _sift(self, designs):
        alike = self._alike(designs)
        told = alike.quick()
        left = [i for i, one in told.items() if one is None or one.stands]
        if alike.local and left:
            told |= alike.bounded(left, [self._bound(designs[i], alike) for i in left])
        return [told.get(i, NONE_MADE) for i in range(len(designs))]

    def _alike(self, designs):
        return Alike(self.job.blade, self.job.loads, designs)

    def _bound(self, design, alike):
        return self._once("bound", design, lambda blade: framed_bounds_along(blade, alike.position))

    def _sheets(self, design, alike):
        return self._once("sheets", design, lambda blade: framed_along(blade, alike.position, self._framed))

    def _along(self, design, rules):
        return self._once(rules, design, lambda blade: rated_along(blade, rules))

    def _once(self, what, design, work):
        """What follows from the framed sheets of a design at the root, once for all its rods and walls."""
        key = what, shape_of(design), design.land_length, _values(design, _ALIKE)
        if key not in self._shaped:
            self._shaped[key] = work(self.job.blade.with_root(design))
        return self._shaped[key]

    def _together(self, designs):
        alike, found = self._alike(designs), [NONE_MADE] * len(designs)
        takes = alike.blade.takes_roots(roots_of(designs))
        made = [i for i in alike.made if takes[i]]
        sheets = [self._sheets(designs[i], alike) for i in made] if alike.local else []
        for i, one in alike.whole(made, self._along, sheets).items():
            found[i] = one or self(designs[i])
        return found


_ALIKE = tuple(f.name for f in fields(Design) if f.init and f.name not in (*ALONG_FIELDS, *STOCK))


def _values(design, names):
    return tuple(getattr(design, name) for name in names)


def judge_of(job: Job, soon: bool = False) -> JudgeOfJob:
    """A judge of designs at the root of a job's part."""
    return JudgeOfJob(job, soon)


def judge_alike(one: Job, other: Job) -> bool:
    """Whether two jobs judge designs alike: what runs along the span and the loads are the same."""
    try:
        return one.loads == other.loads and one.blade == other.blade.with_root(one.design)
    except ValueError:
        return False


def framed_rules(job: Job, design: Design) -> tuple:
    """Checks of a design's framed sheet that count in a job, whatever its loads come to."""
    if job.loads is None or not job.loads.plan.local:
        return LOCAL_RULES
    return tuple(rule for rule in LOCAL_RULES if rule.key not in guessed(design))


def _parts(blade: Blade, sheet, framed, soon):
    """What a part comes to, last; where it shall be told soon, before that what can be said before the framed sheets
    are worked out under load: the part fails where one of these does."""
    rules = CHECKS if sheet is None or not sheet.plan.local else _without(guessed(blade.design))
    if soon:
        yield standing_of(rate_design(blade.root, rules))
    study = None if sheet is None else evaluate_loads(blade, replace(sheet.plan, local=False))
    if soon and study is not None:
        yield _under_loads(study, sheet.fittings)
    if soon and changes_along(blade):
        yield from (standing_of(rate_design(blade.design_at(*place), rules)) for place in places_judged(blade))
    if study is None:
        yield _along(blade, CHECKS)
        return
    whole = with_framed_sheets(study, framed) if sheet.plan.local else study
    under = making_way(blade.design, whole)
    yield standing([_along(blade, _without(under)), _under_loads(whole, sheet.fittings)])


def _without(keys):
    return tuple(rule for rule in CHECKS if rule.key not in keys)


def counts(job: Job) -> str:
    """What its judge counts, in words."""
    along = " at places from root end to tip" if changes_along(job.blade) else ""
    return f"{COUNTED}{along}{'' if job.loads is None else '; the loads of the job with its fittings'}"


def _along(blade, rules):
    """By these checks at the places along a part; at one where it is the same all along."""
    return standing_of(rated_along(blade, rules))


def _under_loads(study, fittings):
    checks = (*study.checks, *fitting_checks(study, fittings))
    found = [c for c in checks if c.kind == "limit"]
    return standing([row(c.key, c.name, c.verdict, c.reserve, c.beyond) for c in found])
