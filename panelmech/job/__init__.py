"""One job from the first sheet to the last pour: what is settled for a part, its folder, its history, the shelf.

May use: the standard library and the rooms below. Verbs: open, make, keep, duplicate, rename, judge a job; undo and
redo; take in files of one kind.

Why it is so
- One file holds the whole job, so that one hash tells whether two papers speak of the same part.
- The history holds changes, not states: it can be read, and undoing one leaves later ones of others.
- One place judges a job: what two papers said of it apart, no reader could put together.
- The demo has no folder: what is never written cannot be overwritten.
"""

from .folder import keep, read_history, read_job, start_job, state_after, step
from .job import Job, demo
from .shelf import duplicate, job_names, job_of, new_job, open_job, open_name, rename, shelf_of, take_in
from .verdict import judge_job

__all__ = [
    "Job",
    "demo",
    "duplicate",
    "job_names",
    "job_of",
    "judge_job",
    "keep",
    "new_job",
    "open_job",
    "open_name",
    "read_history",
    "read_job",
    "rename",
    "shelf_of",
    "start_job",
    "state_after",
    "step",
    "take_in",
]
