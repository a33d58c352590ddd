"""The jobs of a folder: open, list, rename, duplicate; undo, redo and history of one."""

from __future__ import annotations

from ..job.folder import read_history, step
from ..job.shelf import DEMO, duplicate, open_job, rename, shelf_of
from ..job.verdict import judge_job
from ..report.answers import aligned
from ..units import lengths_in
from .work import BY, FINE, about, job_code

_UNREAD = "cannot be read: "


def run_open(options, name) -> int:
    """Open a job and say how it stands, or list all."""
    if not name:
        print(aligned(_shelf_rows(options.jobs)))
        return FINE
    job = open_job(name, options.jobs)
    print(f"{name} is open: {job.design.title}, {job.design.sheet.name}.")
    with lengths_in(options.lengths or job.lengths), about(name):
        verdict = judge_job(job)
        print("\n".join(verdict.lines))
    return job_code(options, name, verdict)


def _shelf_rows(shelf):
    rows = [["", "job", "title", "last change", "verdict"]]
    for item in shelf_of(shelf):
        title = item.job.design.title if item.job else f"{_UNREAD}{item.wrong}"
        when = item.time[:16].replace("T", " ")
        rows.append(["open" if item.open else "", item.name, title, when, item.verdict])
    return rows


def run_undo(options, found) -> int:
    """Take back the last change."""
    return _step(options, found, forward=False)


def run_redo(options, found) -> int:
    """Do again what was taken back."""
    return _step(options, found, forward=True)


def _step(options, found, forward):
    folder = folder_of(found)
    if step(folder, BY, forward) is None:
        print(f"{found.name}: nothing to {options.command}.")
    else:
        print(f"{found.name}: {read_history(folder)[-1].what}.")
    return FINE


def folder_of(found):
    """The folder of a job of one's own; ValueError, in words, where there is none."""
    if found.folder is None:
        what = "the demo" if found.name == DEMO else "a file that is no job of a folder"
        raise ValueError(f"nothing is kept in {what}: make a job with new NAME, with --from FILE to begin with a file")
    return found.folder


def run_history(options, found) -> int:
    """List what was changed."""
    rows = [
        [str(e.number), e.time[:16].replace("T", " "), e.by, e.verdict, e.what] for e in read_history(folder_of(found))
    ]
    print(aligned([["", "time", "by", "then", "change"], *rows]))
    return FINE


def run_rename(options, name) -> int:
    """Give a job another name."""
    print(f"{name} is now called {rename(name, options.new, options.jobs).name}.")
    return FINE


def run_duplicate(options, name) -> int:
    """Make a new job that begins as another stands."""
    folder = duplicate(name, options.new, BY, options.jobs)
    print(f"{folder.name} is made, as {name} stands: {folder}")
    return FINE
