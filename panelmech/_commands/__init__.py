"""The command line: what each command does, and how it says so.

May use: every room but the panels. Each verb takes the options as parsed and what it works on, prints, and gives back
an exit code. The door stays thin: a command brings in no more than it needs.

Why it is so
- A command takes a job or a file alike; only finding it is another matter (`job.found`).
- What a user can put right becomes one line on stderr and an exit code, in one place (`work`).
"""

from .._door import thin_door

_VERBS = {  # module: what is fetched from it when first named
    "written": "run_loads run_note run_papers run_shop",
    "stored": "run_check run_store",
    "questions": "run_choose run_pair run_size",
    "scattered": "run_scatter",
    "shelf": "run_duplicate run_history run_open run_redo run_rename run_undo",
    "making": "run_new",
}

__getattr__, __dir__, __all__ = thin_door(__name__, _VERBS)
