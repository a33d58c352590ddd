"""How a job stands, in a few lines of plain text: its design, its part under the loads, its two sheets."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..job.agree import agree
from ..job.job import Job
from ..loads.load_file import fitting_checks
from ..loads.load_study import evaluate_loads
from ..measured.pair import judge_pair
from ..measured.readings import NotSureYet
from ..study.study import evaluate
from ..study.verdicts import UNSURE, said, worst_verdict
from ..units import capital
from .pair_rows import verdict_words


@dataclass(frozen=True)
class Stands:
    """How a job stands.

    verdict : on the design alone
    sheets : on the two sheets; "" where nothing has been measured
    checks : of design, loads and fittings
    lines : what is to be said, one for each of these that there is; then where shop and design do not agree
    """

    verdict: str
    sheets: str
    checks: tuple
    lines: tuple


def how_it_stands(job: Job) -> Stands:
    """Work a job out, but for the shop.

    Readings that do not suffice yet are no error here: the two sheets are then "unsure". Raises InfeasibleBend, and
    ValueError for loads that do not go with the part or sheets that cannot be bent together.
    """
    study = evaluate(job.design)
    lines, checks = [f"{capital(study.verdict)}. {study.headline()}"], study.checks
    if job.loads is not None:
        loads = evaluate_loads(job.blade, job.loads.plan)
        loads = replace(loads, checks=(*loads.checks, *fitting_checks(loads, job.loads.fittings)))
        lines.append(f"Under its loads: {worst_verdict(loads.checks)}. {loads.headline()}")
        checks += loads.checks
    sheets, words = _pair(job) if job.readings.rows else ("", "")
    apart = agree(job)
    lines += filter(None, (words, apart and f"Checked and weighed are not the same: {apart}."))
    return Stands(study.verdict, sheets, checks, tuple(lines))


def _pair(job):
    """(verdict on the two sheets, what is to be said of it)."""
    try:
        pair = judge_pair(job.design, job.readings, job.camber)
    except NotSureYet as error:
        return UNSURE, f"The two sheets: {said(UNSURE)}. {capital(str(error)).rstrip('.')}."
    return pair.verdict, f"The two sheets: {said(pair.verdict)}. {verdict_words(pair)}"
