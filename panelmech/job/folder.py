"""The folder of a job: kept as it changes, with its history; many hands at once lose nothing.

A job's folder holds `job.json`, the job as it is, and `history.jsonl`, one line for every change: when, by whom, what
in words, how it stands then, and the change itself, from which every earlier state is built again. Both are written
under one lock: `job.json` whole, in one step, the history by one line at its end. Who keeps a change says from which
state it was made; where the folder has gone on meanwhile, both changes are put together, and what was replaced is
said and stands in the history. A file that was changed by hand joins the history with the next change.
"""

from __future__ import annotations

import errno
import json
import os
import time
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from ..files import write_atomically
from ..units import read_count
from .change_words import words_of
from .changes import applied, clashes, difference, leaves, reversed_changes, sections_of
from .job import Job, from_sections, job_text, to_sections

JOB, HISTORY, LOCK = "job.json", "history.jsonl", ".lock"
MADE, OUTSIDE, UNDO, REDO = "made", "changed outside the workbook", "undo", "redo"
PATIENCE = 20.0  # seconds to wait for another's lock in which nobody writes


@dataclass(frozen=True)
class Entry:
    """One line of a history.

    number : counted from 1
    time : local clock time with its zone, ISO 8601
    by : notebook or command
    what : the change in words
    verdict : how the job stood then, in words
    hash : of the job then
    changes : {path: (before, after)}
    undoes, redoes : number of the entry that it takes back or does again, 0 for neither
    """

    number: int
    time: str
    by: str
    what: str
    verdict: str
    hash: str
    changes: dict
    undoes: int = 0
    redoes: int = 0


@dataclass(frozen=True)
class Kept:
    """What became of a change: the `job` as it stands now; `others`, in words, what others had changed meanwhile;
    `replaced`, in words, what of theirs gave way."""

    job: Job
    others: str = ""
    replaced: str = ""


def read_job(folder) -> Job:
    """The job of a folder; ValueError for what cannot be read, FileNotFoundError where there is none.

    >>> from panelmech.job import demo
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     start_job(f"{place}/rudder", demo(), by="me")
    ...     print(read_job(f"{place}/rudder") == demo())
    True
    """
    return Job.load(Path(folder) / JOB)


def start_job(folder, job: Job, by: str, verdict: str = "") -> None:
    """Make a folder of a new job; FileExistsError, in words, where it holds one already.

    >>> from panelmech.job import demo
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     start_job(f"{place}/rudder", demo(), by="me")
    ...     print(read_job(f"{place}/rudder").design.title)
    Leeboard
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    with locked(folder):
        if (folder / JOB).exists():
            raise FileExistsError(17, "holds a job already: give another name", str(folder))
        _write(folder, job, {}, by, MADE, verdict, changes=difference({}, leaves(to_sections(job))))


def keep(folder, before: Job, after: Job, by: str, verdict: str = "") -> Kept:
    """Keep a change of a job, made by a hand that saw `before`.

    Where others have changed the folder meanwhile, this change is put on top of theirs. Where both cannot stand
    together, `after` stands as a whole. Nothing is lost: theirs are in the history. ValueError and OSError as of
    `read_job`; TimeoutError where the folder stays locked.

    >>> from panelmech.job import demo
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     start_job(f"{place}/rudder", demo(), by="me")
    ...     print(keep(f"{place}/rudder", demo(), demo().replace(camber=0.001), by="me").job.camber)
    0.001
    """
    folder = Path(folder)
    mine = difference(leaves(to_sections(before)), leaves(to_sections(after)))
    with locked(folder):
        now = read_job(folder)
        stands = leaves(to_sections(now))
        theirs = difference(leaves(to_sections(before)), stands)
        history = _caught_up(folder, now, stands)
        if not mine:
            return Kept(now, words_of(theirs) if theirs else "")
        new, given_way = _together(stands, mine, theirs, after)
        changes = difference(stands, leaves(to_sections(new)))
        if changes:
            _write(folder, new, history, by, words_of(changes), verdict, changes=changes)
    return Kept(new, words_of(theirs) if theirs else "", words_of(given_way) if given_way else "")


def _together(stands, mine, theirs, after):
    """(my change on top of theirs, what of theirs gave way); `after` alone where both are no job."""
    try:
        return from_sections(sections_of(applied(stands, mine))), clashes(mine, theirs)
    except ValueError:
        kept = leaves(to_sections(after))
        return after, {path: (new, kept.get(path, old)) for path, (old, new) in theirs.items()}


def step(folder, by: str, forward: bool = False) -> Job | None:
    """Undo the last change, or redo the last one undone; the job then, or None where there is nothing to do.

    Only what the change touched is set back. ValueError, in words, where later changes do not go with that.

    >>> from panelmech.job import demo
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     start_job(f"{place}/rudder", demo(), by="me")
    ...     _ = keep(f"{place}/rudder", demo(), demo().replace(camber=0.001), by="me")
    ...     print(step(f"{place}/rudder", by="me").camber)  # undone
    0.0005
    """
    folder = Path(folder)
    with locked(folder):
        now = read_job(folder)
        stands = leaves(to_sections(now))
        history = _caught_up(folder, now, stands)
        done, undone = stacks(history)
        if not (undone if forward else done):
            return None
        entry = (undone if forward else done)[-1]
        changes = entry.changes if forward else reversed_changes(entry.changes)
        new = from_sections(sections_of(applied(stands, changes)))
        mark = {"redoes": entry.number} if forward else {"undoes": entry.number}
        what = f"{REDO if forward else UNDO}: {words_of(changes)}"
        verdict = _verdict_of(history, new)
        _write(folder, new, history, by, what, verdict, changes=difference(stands, leaves(to_sections(new))), **mark)
    return new


def stood(folder, job: Job, verdict: str) -> None:
    """Tell in the history how a job stands, where that was not known yet when its last change was kept; nothing where
    the folder has gone on meanwhile."""
    folder = Path(folder)
    with locked(folder):
        history = read_history(folder)
        if not history or history[-1].verdict or history[-1].hash != job.input_hash():
            return
        lines = (folder / HISTORY).read_text(encoding="utf-8", errors="replace").rstrip("\n").split("\n")
        if _entry(lines[-1]) == history[-1]:
            write_atomically(
                folder / HISTORY, "\n".join((*lines[:-1], _line(replace(history[-1], verdict=verdict)))) + "\n"
            )


def _line(entry):
    return json.dumps(vars(entry), ensure_ascii=False, allow_nan=False)


def stacks(history) -> tuple[list, list]:
    """(entries that can be undone, entries that can be done again), the next one last."""
    done: list = []
    undone: list = []
    by_number = {entry.number: entry for entry in history}
    for entry in history:
        if entry.undoes:
            done = [e for e in done if e.number != entry.undoes]
            undone += filter(None, (by_number.get(entry.undoes),))
        elif entry.redoes:
            undone = [e for e in undone if e.number != entry.redoes]
            done += filter(None, (by_number.get(entry.redoes),))
        elif entry.number > 1:
            done.append(entry)
            undone = []
    return done, undone


def _verdict_of(history, job):
    """How this very job stood when it stood so before; "" where it did not, or nobody told."""
    now = job.input_hash()
    return next((e.verdict for e in reversed(history) if e.hash == now and e.verdict), "")


def read_history(folder) -> tuple[Entry, ...]:
    """The history of a job, oldest first. A line that cannot be read is left out: a crash or a hand may leave one.

    >>> from panelmech.job import demo
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     start_job(f"{place}/rudder", demo(), by="me")
    ...     print([entry.what for entry in read_history(f"{place}/rudder")])
    ['made']
    """
    try:
        text = (Path(folder) / HISTORY).read_text(encoding="utf-8", errors="replace")
    except FileNotFoundError:
        return ()
    return tuple(filter(None, map(_entry, text.split("\n"))))


def _entry(line):
    try:
        plain = json.loads(line)
        changes = {path: (before, after) for path, (before, after) in plain.pop("changes").items()}
        entry = Entry(**plain, changes=changes)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    texts = (entry.time, entry.by, entry.what, entry.verdict, entry.hash)
    numbers = (entry.number, entry.undoes, entry.redoes)
    sound = all(isinstance(text, str) for text in texts) and all(type(number) is int for number in numbers)
    return entry if sound else None


def state_after(history, number: int) -> Job:
    """The job as it was after an entry; ValueError, in words, where the history does not tell it.

    >>> from panelmech.job import demo
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     start_job(f"{place}/rudder", demo(), by="me")
    ...     _ = keep(f"{place}/rudder", demo(), demo().replace(camber=0.001), by="me")
    ...     print(state_after(read_history(f"{place}/rudder"), 1).camber)  # as it was begun
    0.0005
    """
    number = read_count(number, "number of the change", 1, 10**6)
    told = [entry for entry in history if entry.number <= number]
    if not told or [entry.number for entry in told] != list(range(1, number + 1)):
        raise ValueError(f"the history does not tell how the job stood after change {number}: a line of it is missing")
    values: dict = {}
    for entry in told:
        values = applied(values, entry.changes)
    return from_sections(sections_of(values))


def _caught_up(folder, now, stands):
    """The history, with what was changed by hand in the file since its last line."""
    history = read_history(folder)
    if history and history[-1].hash == now.input_hash():
        return history
    values: dict = {}
    for entry in history:
        values = applied(values, entry.changes)
    changes = difference(values, stands)
    if not changes:
        return history
    return (*history, _add(folder, history, OUTSIDE, "", f"{OUTSIDE}: {words_of(changes)}", now, changes))


def _write(folder, job, history, by, what, verdict, changes, **mark):
    """Job and line of the history, both or neither; what a killed process left half written is cleared away."""
    path = folder / JOB
    for left in folder.glob(f".{JOB}.*.part"):
        left.unlink(missing_ok=True)
    before = path.read_bytes() if path.exists() else None
    write_atomically(path, job_text(job))
    try:
        _add(folder, history, by, verdict, what, job, changes, **mark)
    except BaseException:
        path.unlink() if before is None else write_atomically(path, before)
        raise


def _add(folder, history, by, verdict, what, job, changes, **mark):
    number = history[-1].number + 1 if history else 1
    moment = datetime.now().astimezone().isoformat(timespec="seconds")
    entry = Entry(number, moment, by, what, verdict, job.input_hash(), changes, **mark)
    line = _line(entry)
    path = folder / HISTORY
    torn = path.exists() and path.stat().st_size > 0 and not _ends_with_newline(path)
    _append(path, f"{chr(10) if torn else ''}{line}\n".encode())
    return entry


def _append(path, content):
    """Append to a file and flush it to the disk; nothing of it stays where that fails."""
    with open(path, "ab", buffering=0) as stream:
        end = stream.tell()
        try:
            if stream.write(content) != len(content):
                raise OSError(errno.ENOSPC, "no space left on the disk", str(path))
            os.fsync(stream.fileno())
        except BaseException:
            stream.truncate(end)
            raise


def _ends_with_newline(path):
    with open(path, "rb") as stream:
        stream.seek(-1, os.SEEK_END)
        return stream.read(1) == b"\n"


# ----- One at a time, over all processes of this machine.


@contextmanager
def locked(folder: Path):
    """Hold the lock of a folder; it is let go with the process that holds it, however that ends."""
    with open(folder / LOCK, "a+b") as stream:
        _acquire(stream, folder)
        try:
            yield
        finally:
            _release(stream)


def _acquire(stream, folder):
    """Wait as long as others get through, however busy the machine is."""
    end, before = time.monotonic() + PATIENCE, _last_written(folder)
    while not _try(stream):
        now = _last_written(folder)
        if now != before:
            end, before = time.monotonic() + PATIENCE, now
        elif time.monotonic() > end:
            raise TimeoutError(110, "stays locked by another program: close that, or try again", str(folder))
        time.sleep(0.01)


def _last_written(folder):
    try:
        history = (folder / HISTORY).stat()
    except OSError:
        return None
    return history.st_size, history.st_mtime_ns


try:
    import fcntl

    def _try(stream):
        try:
            fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _release(stream):
        fcntl.flock(stream, fcntl.LOCK_UN)

except ImportError:  # Windows
    import msvcrt

    def _try(stream):
        stream.seek(0)
        try:
            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _release(stream):
        stream.seek(0)
        msvcrt.locking(stream.fileno(), msvcrt.LK_UNLCK, 1)
