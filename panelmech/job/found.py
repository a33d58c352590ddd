"""What a command is given: a job by name, folder or file, an older study or blade file, or nothing: the open job."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ..blade.blade import FORMAT as BLADE
from ..blade.blade import Blade
from ..files import parse_file
from ..study.design import Design
from .folder import JOB
from .job import FORMAT, Job
from .shelf import DEMO, JOBS, job_names, job_of, open_name


@dataclass(frozen=True)
class Found:
    """What a word stands for.

    name : as people read it: of a job its name, of a file its path
    job : the job, or the part of a study or blade file as one, without readings and loads
    folder : of the job, None where there is none: the demo, a file that lies alone
    whole : whether it is a job
    """

    name: str
    job: Job
    folder: Path | None = None
    whole: bool = True


def find(word: str = "", shelf=JOBS) -> Found:
    """The job of a name on the shelf, of a folder or of its file, or the part of a study or blade file; of no word the
    open job. ValueError, in words, and OSError for what is not there or cannot be read."""
    name = word or open_name(shelf)
    if name.lower() == DEMO:
        return Found(DEMO, job_of(DEMO))
    if name in job_names(shelf):
        return Found(name, job_of(name, shelf), Path(shelf) / name)
    path = Path(name)
    if (path / JOB).is_file():
        path = path / JOB
    if path.is_file():
        return _of_file(path, name)
    if path.suffix or len(path.parts) > 1:
        path.stat()  # says that there is no such file
    return Found(name, job_of(name, shelf))  # says which jobs there are


def _of_file(path, name):
    if path.name == JOB:
        return Found(path.resolve().parent.name, Job.load(path), path.parent)
    content = parse_file(path, "study")
    kind = content.get("format") if isinstance(content, dict) else None
    if kind == FORMAT:
        return Found(name, Job.load(path))
    if kind == BLADE:
        return Found(name, Job(Blade.load(path)), whole=False)
    return Found(name, Job(Blade(Design.load(path))), whole=False)
