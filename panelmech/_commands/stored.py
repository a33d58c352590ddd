"""What must stay as it was: results stored in study files and beside jobs, and the checks of a job."""

from __future__ import annotations

import sys

from ..files import few
from ..job.change_words import words_of
from ..job.stored_results import RESULTS, check_job, store_job
from ..job.verdict import judge_job
from ..report.folder import NAMED
from ..study.kept_results import KINDS, LIMIT, RESERVE, RESULT, VERDICT, table_text
from ..study.regression import check, store
from .work import FINE, MOVED, job_code, worst


def run_check(options, found) -> int:
    """Recompute what a study file stores, or what is stored beside a job, and compare; judge it anew."""
    return _check_job(options, found) if found.whole else _check_study(options, found)


def _check_job(options, found):
    from ..report.papers import papers_stand

    verdict = judge_job(found.job)
    papers = papers_stand(found.job, found.folder / "papers") if found.folder else ()
    outcome = check_job(found.job, found.folder) if found.folder else None
    code = FINE if outcome is None else _told(options, found.name, outcome, outcome.changed)
    print("\n".join(f"{found.name}: {line}" for line in (*verdict.lines, *papers)))
    return worst((code, job_code(options, found.name, verdict)))


def _check_study(options, found):
    path, verdict = found.name, judge_job(found.job)
    outcome = check(path)
    code = _told(options, path, outcome, {f"design/{key}": pair for key, pair in outcome.changed.items()})
    print(f"{path}: {verdict.line}")
    return worst((code, job_code(options, path, verdict)))


def _told(options, name, outcome, changed):
    """Say how stored results stand, each kind of change by itself; the exit code."""
    count, moved = len(outcome.comparisons), outcome.moved
    if options.all or moved:
        print(table_text(outcome.comparisons if options.all else moved))
    if outcome.lacks:
        print(
            f"{name}: stored before {_and(outcome.lacks)} were: these are not compared. Store anew to have them "
            f"compared, too: python -m panelmech store {name}"
        )
    if outcome.holds:
        print(f"{name}: {count} stored results recomputed, none moved.")
        return FINE
    say = list(_moved_words(outcome)) or [f"of {count} stored results none moved"]
    if outcome.missing:
        say.append(f"{len(outcome.missing)} results are not stored: {few(outcome.missing, NAMED)}")
    if outcome.inputs_changed:
        which = f": {words_of(changed)}" if changed else ""
        say.append(f"the inputs are not those the results were stored for{which}")
    print(
        f"{name}: {'; '.join(say)}.\n"
        f"If the results are right as they are now, store them: python -m panelmech store {name}",
        file=sys.stderr,
    )
    return MOVED


_OF_KIND = {
    RESULT: "stored results moved by more than allowed (changes are relative)",
    LIMIT: "limits changed",
    RESERVE: "reserves moved by more than allowed",
    VERDICT: "verdicts changed",
}


def _moved_words(outcome):
    """How many of each kind moved, those that did."""
    for kind in KINDS:
        stored = sum(c.kind == kind for c in outcome.comparisons)
        moved = sum(c.kind == kind for c in outcome.moved)
        if moved:
            yield f"{moved} of {stored} {_OF_KIND[kind]}"


def _and(words):
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def run_store(options, found) -> int:
    """Store the results of a study file in it, those of a job beside it."""
    if not found.whole:
        study = store(found.name)
        count = f"{len(study.quantities)} results, {len(study.limits)} limits and {len(study.checks)} verdicts"
        print(f"{found.name}: {count} stored.")
        return FINE
    if not found.folder:
        raise ValueError("the demo is never written to: duplicate it, and store the results of the job that it becomes")
    parts = store_job(found.job, found.folder)["parts"].values()
    numbers, limits, verdicts = (sum(len(part[t]) for part in parts) for t in ("quantities", "limits", "verdicts"))
    print(f"{found.name}: {numbers} results, {limits} limits and {verdicts} verdicts stored in {RESULTS}.")
    return FINE
