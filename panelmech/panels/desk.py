"""Which job a panel shows and keeps. No widgets: a panel asks it what to show, and hands it every change.

A panel that is given the demo shows the job that is open instead; the first change of the demo begins a job of one's
own, since the demo is never written to. A panel that is given anything else shows just that; its first change puts it
on the shelf, under the name of its title. Where the variable PANELMECH_JOB pins the demo, as in tests, nothing is kept.
"""

from __future__ import annotations

import os
from pathlib import Path

from ..blade.blade import Blade
from ..job.changes import applied, difference, leaves, sections_of
from ..job.folder import JOB, Kept, keep, read_history, read_job, step, stood
from ..job.job import Job, demo, from_sections, to_sections
from ..job.shelf import DEMO, JOBS, folder_of, free_name, job_of, new_job, open_job, open_name, stem_of
from ..study.design import Design

TRIAL = "trial"  # what a job is called that began by changing the demo


def as_job(given: Job | Blade | Design, **rest) -> Job:
    """A job of what a panel is given, with `rest` where that is not None."""
    job = given if isinstance(given, Job) else Job(given)
    return job.replace(**{name: value for name, value in rest.items() if value is not None})


class Desk:
    """The job that lies before one panel: its `name` ("" until it is kept), the `job` as it was seen last, `trouble`
    in words where the open job could not be read; `by` is who changes it."""

    def __init__(self, given: Job, by: str, shelf=JOBS):
        self.shelf, self.by, self.job, self.name, self.trouble = Path(shelf), by, given, "", ""
        self.pinned, self._seen = os.environ.get("PANELMECH_JOB", "") == DEMO, None
        self._untold = False  # whether a change was kept here whose verdict was not known yet
        self.follows = given == demo()
        if self.follows:
            self.name = DEMO
            self._open(open_name(self.shelf))

    @property
    def folder(self) -> Path | None:
        """The folder of the job, None where it has none."""
        return None if self.pinned or self.name in ("", DEMO) else folder_of(self.name, self.shelf)

    def _open(self, name):
        try:
            self.job, self.name, self.trouble = job_of(name, self.shelf), name, ""
        except (ValueError, OSError) as error:
            self.trouble = f"The job {name!r} could not be opened: {error}."
        self._look_away()

    def open(self, name: str) -> Job:
        """Open another job, here and for all notebooks; ValueError, in words, where that cannot be."""
        self.job, self.name, self.follows = open_job(name, self.shelf), name.strip(), True
        self._look_away()
        return self.job

    def put(self, before: Job, after: Job, verdict: str) -> Kept:
        """Keep what has changed from `before` to `after`, on top of what others have kept meanwhile."""
        mine = _on_top(self.job, before, after)
        if self.pinned:
            self.job = mine
            return Kept(mine)
        if self.folder is None:
            self._begin()
        kept = keep(self.folder, self.job, mine, self.by, verdict)
        self.job, self._untold = kept.job, not verdict
        self._look_away()
        return kept

    def stood(self, verdict: str) -> None:
        """Tell in the history how the job stands now, where it was kept here and that was not known yet."""
        if self.folder is not None and self._untold:
            stood(self.folder, self.job, verdict)  # the job's file stays: what others did meanwhile is still to be seen
        self._untold = False

    def _begin(self):
        name = free_name(TRIAL if self.name == DEMO else stem_of(self.job.design.title), self.shelf)
        new_job(name, self.job, self.by, shelf=self.shelf)
        open_job(name, self.shelf)
        self.name, self.follows = name, True

    def start(self, name: str, job: Job, verdict: str = "") -> Job:
        """A new job of this name, open from now on; OSError or ValueError, in words, where that cannot be."""
        new_job(name, job, self.by, verdict, self.shelf)
        opened, self._untold = self.open(name), not verdict
        return opened

    def moved(self) -> bool:
        """Whether others have opened another job or changed this one since it was looked at last; quick."""
        if self.pinned or not self.follows:
            return False
        return open_name(self.shelf) != self.name or (self.folder is not None and self._stamp() != self._seen)

    def look(self) -> tuple[Job, str] | None:
        """(the job as it stands now, what has happened in words) where others have changed it or opened another."""
        if not self.moved():
            return None
        name = open_name(self.shelf)
        if name != self.name:
            self._open(name)
            return self.job, self.trouble or f"The job {name!r} was opened elsewhere, and is shown here too."
        self._seen = self._stamp()
        job = read_job(self.folder)
        if job == self.job:
            return None
        self.job = job
        last = read_history(self.folder)[-1:]
        return job, f"Changed by {last[0].by}: {last[0].what}." if last else "The job's file was changed."

    def back(self, forward: bool = False) -> Job | None:
        """Undo the last change of the job, or do again what was undone; None where there is nothing to."""
        if self.folder is None:
            return None
        job = step(self.folder, self.by, forward)
        if job is not None:
            self.job, self._untold = job, True
        self._look_away()
        return job

    def _stamp(self):
        try:
            found = (self.folder / JOB).stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size, found.st_ino

    def _look_away(self):
        """The job as seen last is what stands in the folder; where others were quicker that is still to be seen."""
        self._seen = None if self.folder is None else self._stamp()
        if self._seen is not None and self._differs():
            self._seen = None

    def _differs(self):
        try:
            return read_job(self.folder) != self.job
        except (ValueError, OSError):
            return False  # said where it was opened


def _on_top(job, before, after):
    """A job with what differs between two states; a section it does not have yet is taken whole."""
    one, two = to_sections(before), to_sections(after)
    changes, stands = difference(leaves(one), leaves(two)), leaves(to_sections(job))
    have = {path.partition("/")[0] for path in stands}
    new = {path.partition("/")[0] for path in changes} - have
    whole = {path: (None, value) for path, value in leaves(two).items() if path.partition("/")[0] in new}
    return from_sections(sections_of(applied(stands, {**changes, **whole})))
