"""What must stay as it was: results stored in study files, and the checks of a job."""

from __future__ import annotations

import sys

from ..job.verdict import judge_job
from ..study.regression import check, store, table_text
from .work import FINE, MOVED, job_code, worst


def run_check(options, found) -> int:
    """Recompute what a study file stores and compare; of a job, which stores no results, judge everything anew."""
    return _check_job(options, found) if found.whole else _check_study(options, found)


def _check_job(options, found):
    verdict = judge_job(found.job)
    print("\n".join(f"{found.name}: {line}" for line in verdict.lines))
    return job_code(options, found.name, verdict)


def _check_study(options, found):
    path, verdict = found.name, judge_job(found.job)
    outcome = check(path)
    count, moved = len(outcome.comparisons), outcome.moved
    if options.all or moved:
        print(table_text(outcome.comparisons if options.all else moved))
    if moved:
        say = f"{path}: {len(moved)} of {count} stored results moved by more than allowed (changes are relative)."
        if outcome.inputs_changed:
            say += " The inputs are not those the results were stored for."
        print(f"{say}\nIf the new results are right, store them: python -m panelmech store {path}", file=sys.stderr)
    else:
        print(f"{path}: {count} stored results recomputed, none moved.")
    print(f"{path}: {verdict.line}")
    return worst((MOVED if moved else FINE, job_code(options, path, verdict)))


def run_store(options, found) -> int:
    """Store the results of a study file in it."""
    if found.whole:
        raise ValueError("a job stores no results, its design note does: give a study file")
    study = store(found.name)
    print(f"{found.name}: {len(study.quantities)} results and {len(study.checks)} verdicts stored.")
    return FINE
