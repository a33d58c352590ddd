"""The shelf: all jobs of a folder by name, which one is open, and the files of older kinds that a job can take in.

The name of a job is that of its folder: a plain file name, so that nothing typed can leave the shelf. The worked
example stands on every shelf under the name `DEMO`; it comes with the package, and nothing is ever kept in it. Which
job is open stands in a file beside the jobs; the variable PANELMECH_JOB, where it is set, goes before, so that a run
that compares stored outputs does not hang on what somebody opened.
"""

from __future__ import annotations

import itertools
import json
import os
import re
import shutil
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from ..blade.blade import FORMAT as BLADE
from ..blade.blade import Blade
from ..files import parse_file, write_atomically
from ..loads.load_file import FORMAT as LOADS
from ..loads.load_file import LoadSheet
from ..measured.readings import read_readings
from ..shop.choices import FORMAT as SHOP
from ..shop.choices import ShopChoices
from ..study.design import FORMAT as STUDY
from ..study.design import Design
from .folder import JOB, locked, read_history, read_job, start_job
from .job import FORMAT, Job, demo

JOBS = Path("jobs")
DEMO = "demo"
CURRENT = "open.json"
_ALLOWED = re.compile(r"[\w][\w .+-]{0,79}")
_LONGEST = 240  # bytes, of the 255 that a file name may have
_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}


def shelf_here(place=".") -> Path:
    """The shelf as seen from a folder: that of the notebooks, where the workbook's notebooks are below it, else `jobs`.

    So commands given in the top folder and panels speak of the same jobs.
    """
    beside = Path(place) / "notebooks"
    return (beside if (beside / "00_start.ipynb").is_file() else Path(place)) / JOBS


def plain_name(name: str, what: str = "job") -> str:
    """A name that is a plain file name on any system; ValueError, in words, for any other."""
    plain = unicodedata.normalize("NFC", name).strip().rstrip(". ")
    allowed = _ALLOWED.fullmatch(plain) and len(plain.encode()) <= _LONGEST
    if not allowed or plain.split(".")[0].strip().lower() in _RESERVED:
        raise ValueError(
            f"{name!r} cannot be the name of a {what}: use letters, digits, spaces and - _ . +, at most 80, "
            "beginning with a letter or digit"
        )
    return plain


def stem_of(title: str) -> str:
    """A title as a name: lower case, words joined by hyphens."""
    return "-".join(re.findall(r"[a-z0-9]+", title.lower())) or "part"


def folder_of(name: str, shelf=JOBS) -> Path:
    """The folder of a job; ValueError for a name that is none, or that of the demo, which has no folder."""
    plain = plain_name(name)
    if plain.lower() == DEMO:
        raise ValueError("the demo is never written to: give your own job another name")
    return Path(shelf) / plain


def job_names(shelf=JOBS) -> list[str]:
    """Names of the jobs there are, in order, the demo left out.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(job_names(shelf))
    ['rudder']
    """
    names = (path.parent.name for path in Path(shelf).glob(f"*/{JOB}"))
    return sorted(name for name in names if not name.startswith(".") and name.lower() != DEMO)


def open_name(shelf=JOBS) -> str:
    """Name of the job that is open; the demo where none is, or the one that was is gone.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(open_name(shelf))
    demo
    """
    name = os.environ.get("PANELMECH_JOB", "")
    if not name:
        try:
            name = json.loads((Path(shelf) / CURRENT).read_text(encoding="utf-8"))["open"]
        except (OSError, ValueError, KeyError, TypeError):
            name = DEMO
    return name if isinstance(name, str) and name in job_names(shelf) else DEMO


def open_job(name: str, shelf=JOBS) -> Job:
    """Open a job, from now on the one that is open; ValueError, in words, where there is none of this name.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(open_job("rudder", shelf).design.title)
    Leeboard
    """
    job, plain = job_of(name, shelf), plain_name(name)
    Path(shelf).mkdir(parents=True, exist_ok=True)
    write_atomically(Path(shelf) / CURRENT, json.dumps({"open": plain}, ensure_ascii=False) + "\n")
    return job


def job_of(name: str, shelf=JOBS) -> Job:
    """The job of a name, the demo's too; ValueError, in words, where there is none or it cannot be read.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(job_of("rudder", shelf).design.title)
    Leeboard
    """
    if name.strip().lower() == DEMO:
        return demo()
    folder = folder_of(name, shelf)
    try:
        return read_job(folder)
    except FileNotFoundError:
        there = ", ".join((DEMO, *job_names(shelf)))
        raise ValueError(
            f"there is no job {folder.name!r} in the folder {Path(shelf).name}; there are: {there}"
        ) from None


def new_job(name: str, job: Job, by: str, verdict: str = "", shelf=JOBS) -> Path:
    """Put a new job on the shelf; its folder. FileExistsError, in words, where the name is taken.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(job_names(shelf))
    ['rudder']
    """
    folder = folder_of(name, shelf)
    refuse_taken(folder, shelf)
    start_job(folder, job, by, verdict)
    return folder


def free_name(name: str, shelf=JOBS) -> str:
    """The name, with a number behind it where it is taken."""
    return _free(name, (*job_names(shelf), DEMO))


def _free(name, taken):
    taken = {other.lower() for other in taken}
    tries = itertools.chain((name,), (f"{name}-{n}" for n in itertools.count(2)))
    return next(each for each in tries if each.lower() not in taken)


def duplicate(name: str, new: str, by: str, shelf=JOBS) -> Path:
    """A new job that begins as another stands; its history begins anew. Its folder.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(duplicate("rudder", "rudder with a thin sheet", by="me", shelf=shelf).name)
    rudder with a thin sheet
    """
    job, is_demo = job_of(name, shelf), name.strip().lower() == DEMO
    history = () if is_demo else read_history(folder_of(name, shelf))
    stood = history[-1].verdict if history and history[-1].hash == job.input_hash() else ""
    return new_job(new, job, f"{by}, from {name.strip()}", stood, shelf)


def rename(name: str, new: str, shelf=JOBS) -> Path:
    """Give a job another name, with its history and papers; its folder. It stays open if it was.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print(rename("rudder", "big rudder", shelf=shelf).name, job_names(shelf))
    big rudder ['big rudder']
    """
    old, folder = folder_of(name, shelf), folder_of(new, shelf)
    was_open = open_name(shelf) == old.name
    job_of(name, shelf)
    if folder.name != old.name:
        refuse_taken(folder, shelf, but=old.name)
        with locked(old):
            os.replace(old, folder)
    if was_open:
        open_job(folder.name, shelf)
    return folder


def remove(name: str, shelf=JOBS) -> Path:
    """Put a job away, into the folder `.removed` of the shelf, from where a hand can bring it back; its place there.
    One that cannot be read can be put away too."""
    folder, away = folder_of(name, shelf), Path(shelf) / ".removed"
    if not (folder / JOB).exists():
        job_of(name, shelf)  # says which there are
    away.mkdir(exist_ok=True)
    taken = {path.name for path in away.iterdir()}
    place = away / _free(folder.name, taken)
    shutil.move(folder, place)
    return place


def refuse_taken(folder: Path, shelf=JOBS, but: str = "") -> None:
    """FileExistsError, in words, where the folder of a new job is taken; `but`: by none of this name."""
    taken = {name.lower() for name in job_names(shelf) if name != but}
    if folder.name.lower() in taken or (folder.name != but and _holds_something(folder)):
        raise FileExistsError(17, "there is such a job already: give another name", folder.name)


def _holds_something(folder):
    """Whether anything stands there that is not hidden: a job that could not be begun leaves its lock."""
    return folder.exists() and (not folder.is_dir() or any(not p.name.startswith(".") for p in folder.iterdir()))


@dataclass(frozen=True)
class Shelved:
    """A job on the shelf: `name`, the `job`, or None where it cannot be read and `wrong` says why; `time` of its last
    change (ISO 8601) and the `verdict` then, "" where unknown; whether it is `open`."""

    name: str
    job: Job | None
    time: str = ""
    verdict: str = ""
    wrong: str = ""
    open: bool = False


def shelf_of(shelf=JOBS) -> tuple[Shelved, ...]:
    """All jobs, the one changed last first; the demo last.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as shelf:
    ...     _ = new_job("rudder", demo(), by="me", shelf=shelf)
    ...     print([(one.name, one.open) for one in shelf_of(shelf)])
    [('rudder', False), ('demo', True)]
    """
    now = open_name(shelf)
    own = sorted((_shelved(name, shelf, now) for name in job_names(shelf)), key=lambda s: s.time, reverse=True)
    return (*own, Shelved(DEMO, demo(), open=now == DEMO))


def _shelved(name, shelf, now):
    folder = Path(shelf) / name
    history = read_history(folder)
    when, verdict = (history[-1].time, history[-1].verdict) if history else ("", "")
    try:
        return Shelved(name, read_job(folder), when, verdict, open=name == now)
    except (ValueError, OSError) as error:
        return Shelved(name, None, when, verdict, str(error), name == now)


# ----- Files of one kind, as they were kept before there were jobs, and still can be.


TAKEN = {
    STUDY: lambda job, path: job.replace(blade=Blade(Design.load(path))),
    BLADE: lambda job, path: job.replace(blade=Blade.load(path)),
    LOADS: lambda job, path: job.replace(loads=LoadSheet.load(path)),
    SHOP: lambda job, path: job.replace(shop=ShopChoices.load(path)),
    FORMAT: lambda job, path: Job.load(path),
}
HOLDS = {STUDY: "design", BLADE: "part along its span", LOADS: "loads", SHOP: "shop's choices", FORMAT: "whole job"}


def take_in(job: Job, path) -> tuple[Job, str]:
    """(the job with what a file holds in the place of its own, what that is in words).

    A study, blade, load, shop or job file, or a CSV file of readings. A study takes the place of the whole part, its
    taper too. ValueError, in words, for any other file.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     path = demo().design.replace(sheet_thickness=0.0025).save(f"{place}/study.json")
    ...     print(take_in(demo(), f"{place}/study.json")[1])
    design
    """
    path = Path(path)
    if path.is_dir():
        path = path / JOB
    if path.suffix.lower() == ".csv":
        return job.replace(readings=read_readings(path)), "readings of the bench"
    content = parse_file(path, "workbook")
    kind = content.get("format") if isinstance(content, dict) else None
    if not isinstance(kind, str) or kind not in TAKEN:
        raise ValueError(
            f"{path.name} is no file of the workbook: give a study, blade, load, shop or job file, or readings as CSV"
        )
    return TAKEN[kind](job, path), HOLDS[kind]
