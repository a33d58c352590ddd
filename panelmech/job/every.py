"""The judge of a job, for map, size, choice and the like: what a job comes to with another design at its root.

Counted are the design along the span and, where the job states loads, the part under them with its fittings; neither
the sheets as measured, which are of one thickness, nor the pours, which the shop settles for the design that is chosen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..blade.along_checks import changes_along, places_judged, worst_of
from ..blade.blade import Blade
from ..loads.in_place import guessed, making_way
from ..loads.load_file import fitting_checks
from ..loads.load_study import evaluate_loads, with_framed_sheets
from ..study.checks import CHECKS, LOCAL_RULES
from ..study.design import Design
from ..study.every import COUNTED, NONE_MADE, Standing, rate_design, standing, standing_of
from ..study.verdicts import FAILS, UNKNOWN
from .job import Job

MOST_FRAMED = 4096  # framed sheets kept of parts under load


def judge_of(job: Job, soon: bool = False) -> Callable[[Design], Standing]:
    """A judge of designs at the root of a job's part: every check of `study.study.evaluate`, `blade.along_checks` and
    `loads.load_study` counts, those for which loads stand in as `loads.in_place` says.

    soon : what is quick first, and stop at the first that fails. The verdict is the same, and so are reserve and
        governing check of a part that does not fail; of one that does they are those of what was worked out.
    """
    framed: dict = {}  # framed sheets under load, by sheet and shape

    def judge(design: Design) -> Standing:
        if len(framed) > MOST_FRAMED:
            framed.clear()
        try:
            for found in _parts(job.blade.with_root(design), job.loads, framed, soon):
                if soon and found.verdict == FAILS:
                    break
            return found
        except ValueError:
            return NONE_MADE

    return judge


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
    places = places_judged(blade) if changes_along(blade) else [(0.0, False)]
    rated = [rate_design(blade.design_at(*place), rules) for place in places]
    return standing_of({key: worst_of([one[key] for one in rated]) for key in rated[0]})


def _under_loads(study, fittings):
    checks = (*study.checks, *fitting_checks(study, fittings))
    found = [c for c in checks if c.kind == "limit"]
    beyond = [c.name if c.beyond and c.verdict == UNKNOWN else "" for c in found]
    rows = zip(found, beyond, strict=True)
    return standing([Standing(c.verdict, float(c.reserve), c.key, c.name, far) for c, far in rows])
