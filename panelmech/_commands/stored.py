"""What must stay as it was: results stored in study files, and the checks of a job."""

from __future__ import annotations

import sys

from ..files import few
from ..job.verdict import judge_job
from ..report.folder import NAMED
from ..study.regression import check, store, table_text
from .work import FINE, MOVED, job_code, worst


def run_check(options, found) -> int:
    """Recompute what a study file stores and compare; of a job, which stores no results, judge everything anew."""
    return _check_job(options, found) if found.whole else _check_study(options, found)


def _check_job(options, found):
    from ..report.papers import papers_stand

    verdict = judge_job(found.job)
    papers = papers_stand(found.job, found.folder / "papers") if found.folder else ()
    print("\n".join(f"{found.name}: {line}" for line in (*verdict.lines, *papers)))
    return job_code(options, found.name, verdict)


def _check_study(options, found):
    path, verdict = found.name, judge_job(found.job)
    outcome = check(path)
    count, moved = len(outcome.comparisons), outcome.moved
    if options.all or moved:
        print(table_text(outcome.comparisons if options.all else moved))
    if outcome.holds:
        print(f"{path}: {count} stored results recomputed, none moved.")
    else:
        say = (
            [f"{len(moved)} of {count} stored results moved by more than allowed (changes are relative)"]
            if moved
            else []
        )
        if outcome.missing:
            say.append(f"{len(outcome.missing)} results are not stored: {few(outcome.missing, NAMED)}")
        if outcome.inputs_changed:
            say.append("the inputs are not those the results were stored for")
        print(
            f"{path}: {'; '.join(say)}.\n"
            f"If the results are right as they are now, store them: python -m panelmech store {path}",
            file=sys.stderr,
        )
    print(f"{path}: {verdict.line}")
    return worst((FINE if outcome.holds else MOVED, job_code(options, path, verdict)))


def run_store(options, found) -> int:
    """Store the results of a study file in it."""
    if found.whole:
        raise ValueError("a job stores no results, its design note does: give a study file")
    study = store(found.name)
    print(f"{found.name}: {len(study.quantities)} results and {len(study.checks)} verdicts stored.")
    return FINE
