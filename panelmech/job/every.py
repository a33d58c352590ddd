"""The judge of a job, for map, size, choice and the like: what a job comes to with another design at its root.

Counted are the design along the span and, where the job states loads, the part under them with its fittings; neither
the sheets as measured, which are of one thickness, nor the pours, which the shop settles for the design that is chosen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..blade.along_checks import changes_along, places_judged, worst_of
from ..blade.blade import Blade
from ..loads.load_file import fitting_checks
from ..loads.load_study import evaluate_loads
from ..study.design import Design
from ..study.every import COUNTED, NONE_MADE, Standing, judge_design, rate_design, standing, standing_of
from ..study.verdicts import FAILS
from .job import Job

MOST_FRAMED = 4096  # framed sheets kept of parts under load


def judge_of(job: Job, soon: bool = False) -> Callable[[Design], Standing]:
    """A judge of designs at the root of a job's part: every check of `study.study.evaluate`, `blade.along_checks` and
    `loads.load_study` counts.

    soon : what is quick first, and stop at the first that fails. The verdict is the same, and so are reserve and
        governing check of a part that does not fail; of one that does they are those of what was worked out.
    """
    framed: dict = {}  # framed sheets under load, by design

    def found(design):
        blade = job.blade.with_root(design)
        yield judge_design(blade.root)
        if soon and job.loads is not None:  # without the framed sheet, a matter of milliseconds
            yield _under_loads(blade, replace(job.loads, plan=replace(job.loads.plan, local=False)), framed)
        if changes_along(blade):
            yield from _along(blade, soon)
        if job.loads is not None:
            yield _under_loads(blade, job.loads, framed)

    def judge(design: Design) -> Standing:
        parts = []
        try:
            for part in found(design):
                parts.append(part)
                if soon and part.verdict == FAILS:
                    break
        except ValueError:
            return NONE_MADE
        return standing(parts)

    return judge


def counts(job: Job) -> str:
    """What its judge counts, in words."""
    along = " at places from root end to tip" if changes_along(job.blade) else ""
    return f"{COUNTED}{along}{'' if job.loads is None else '; the loads of the job with its fittings'}"


def _along(blade: Blade, soon):
    """The part along its span; `soon`: and before it each place on its own."""
    rated = []
    for place in places_judged(blade):
        rated.append(rate_design(blade.design_at(*place)))
        if soon:
            yield standing_of(rated[-1])
    yield standing_of({key: worst_of([one[key] for one in rated]) for key in rated[0]})


def _under_loads(blade, sheet, framed):
    if len(framed) > MOST_FRAMED:
        framed.clear()
    study = evaluate_loads(blade, sheet.plan, framed)
    checks = (*study.checks, *fitting_checks(study, sheet.fittings))
    return standing([Standing(c.verdict, float(c.reserve), c.key, c.name) for c in checks if c.kind == "limit"])
