"""The work on a job from one panel: every change is kept as the hand rests, changes of others are shown, and what the
buttons of the job do. It joins the desk, which knows the job, and the box, which has the buttons."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path

from ..job.agree import following
from ..job.folder import read_history, stacks, state_after
from ..job.job import Job
from ..job.shelf import DEMO, job_names, remove, rename, shelf_of, take_in
from . import job_tables as tables
from .desk import Desk
from .files import kept_files
from .guard import AtRest, guarded
from .job_box import JobBox, offer
from .study_tables import band

WATCH = 1.5  # seconds between two looks at what others have done
REST_KEPT = band("note", "Kept", "All but what is refused, which stays in the job as it was.")
NEW = "type the name of the new job first"


class Work:
    """What a panel does with its job. `states`: what gives the job as set in the panel, with a ValueError where a field
    is refused, and what gives it with that as it was before; `show(job)` sets the panel, `verdict()` says how it
    stands, in plain words, or "" where that is not worked out yet; `actions` of further buttons. `desk` and `box` are
    its parts."""

    watching = None  # the one of this kernel that looks out for others

    def __init__(self, desk: Desk, states: tuple, show: Callable, verdict: Callable, actions: dict, fields):
        self.desk, self._show, self._verdict = desk, show, verdict
        self._state, self._state_to_keep = states
        own = {
            "open-job": self.open_chosen,
            "new-job": self.start,
            "rename-job": self.rename,
            "remove-job": self.put_away,
            "undo": lambda: self.step(False),
            "redo": lambda: self.step(True),
            "go-back": self.go_back,
            "take-in": self.take_file,
        }
        self.box = JobBox(desk.job.design, {**actions, **own}, fields)
        self.shown = None  # the job as the panel gave it back when it was set last
        self.watch = AtRest(self.look, WATCH)
        for name, fold in self.box.folds.items():
            fold.button.observe(lambda change, name=name: self.list_again(name) if change["new"] else None, "opened")

    def begin(self) -> None:
        """The panel stands: from now on what differs from it is a change."""
        self.shown = self._state()
        Work.watching = self
        self.tell(band("unknown", "Not opened", self.desk.trouble) if self.desk.trouble else "")
        self.watch.wait()

    # ----- keeping -----

    def keep(self) -> None:
        """Keep what has changed since the panel was set; nothing is written where nothing has."""
        if self.shown is not None:
            guarded(self._keep, self.tell)

    def _keep(self):
        try:
            now = self._state()
        except ValueError:
            self._keep_rest()
            return
        if now == self.shown:
            if self._said == REST_KEPT:
                self.tell("")
            return
        whole = following(self.shown, now)
        kept = self.desk.put(self.shown, whole, self._verdict())
        self.shown = now
        words = [f"Meanwhile elsewhere: {kept.others}."] if kept.others else []
        words += [f"Gave way to what stands here: {kept.replaced}; undo brings it back."] if kept.replaced else []
        self.tell(band("note", "Kept", " ".join(words)) if words else "")
        if kept.others or whole != now:
            self.take(kept.job)

    def _keep_rest(self):
        """Keep all but what is refused at its field, and say so; while others change the job as well it waits."""
        rest = self._state_to_keep()
        if rest == self.shown or self.desk.moved():
            return
        self.desk.put(self.shown, following(self.shown, rest), "")
        self.shown = rest
        self.tell(REST_KEPT)

    def stood(self, verdict: str) -> None:
        """Tell in the history how the job stands, once that is worked out."""
        guarded(lambda: self.desk.stood(verdict), self.tell)
        for name, fold in self.box.folds.items():
            if fold.button.opened:
                self.list_again(name)

    def take(self, job: Job) -> None:
        """Show a job as it stands."""
        self.shown = None
        self._show(job)
        self.shown = self._state()
        self.tell(self._said)

    def look(self) -> None:
        """Show what others have done; while something typed here is refused it waits."""
        if Work.watching is not self:
            return
        if self.desk.moved():
            guarded(self._look, self.tell)
        self.watch.wait()

    def _look(self):
        try:
            self._state()
        except ValueError:
            return
        self._keep()  # what was set here a moment ago goes on top of theirs
        found = self.desk.look()
        if found is not None:
            self.take(found[0])
            self.tell(band("note", "From elsewhere", found[1]))

    # ----- the line -----

    _said = ""

    def tell(self, words: str) -> None:
        """Show the line of the job, with what is to be said of it."""
        self._said = words
        history = self.history()
        self.box.said.value = tables.job_line(self.desk.name, self.desk.job, history) + words
        done, undone = stacks(history)
        for name, entries in (("undo", done), ("redo", undone)):
            button = self.box.buttons[name]
            button.disabled = not entries
            button.tooltip = f"{button.description}: {entries[-1].what}" if entries else f"Nothing to {name}"
        for name, fold in self.box.folds.items():
            if fold.button.opened:
                self.list_again(name)

    def as_run(self) -> str:
        """Of which job the verdict is that stands where the panel is not live."""
        name = self.desk.name or self.desk.job.design.title
        return "This is the demo." if name == DEMO else f"So stood the job {name} when this cell was run last."

    def history(self) -> tuple:
        """The history of the job, oldest first; none of the demo."""
        return () if self.desk.folder is None else read_history(self.desk.folder)

    # ----- what the buttons do -----

    def list_again(self, fold: str) -> None:
        """Fill the lists of a fold afresh."""
        box = self.box
        if fold == "shelf":
            offer(box.jobs, (DEMO, *job_names(self.desk.shelf)))
            box.shelf.value = tables.shelf_table(shelf_of(self.desk.shelf), self.desk.name)
        elif fold == "history":
            history = self.history()
            offer(box.entries, [(tables.entry_words(e), e.number) for e in reversed(history)])
            box.history.value = tables.history_table(history)
        else:
            offer(box.files, [("choose to fill in the file", ""), *((str(p), str(p)) for p in kept_files())])

    def open_chosen(self) -> None:
        """Show the job chosen in the list here and in every notebook."""
        self.keep()
        self.take(self.desk.open(self.box.jobs.value or DEMO))
        self.done(f"The job {self.desk.name} is open now, here and in every notebook.")

    def start(self) -> None:
        """A new job of the name typed, from what is shown."""
        name = self.box.name.value.strip()
        if not name:
            raise ValueError(NEW)
        self.take(self.desk.start(name, self._state(), self._verdict()))
        self.done(f"The job {self.desk.name} begins; every change is kept in it from now on.")

    def rename(self) -> None:
        """Give the job that is open the name typed."""
        name = self.box.name.value.strip()
        if self.desk.folder is None:
            raise ValueError("the demo keeps its name: begin a job of your own from it")
        if not name:
            raise ValueError("type the new name first")
        old = self.desk.name
        self.take(self.desk.open(rename(old, name, self.desk.shelf).name))
        self.done(f"The job {old} is called {self.desk.name} now.")

    def put_away(self) -> None:
        """Put away the job chosen in the list; where it is the one that is open the demo is shown."""
        name = self.box.jobs.value or ""
        place = remove(name, self.desk.shelf)
        if name == self.desk.name:
            self.take(self.desk.open(DEMO))
        self.done(f"The job {name} was moved to {place.as_posix()}; to have it back, move its folder up again.")

    def step(self, forward: bool) -> None:
        """Undo the last change, or do it again; what was typed just now is a change like any other."""
        self.keep()
        job = self.desk.back(forward)
        if job is not None:
            self.take(job)
            self.tell("")

    def go_back(self) -> None:
        """Set the job as it was after the entry chosen."""
        self.keep()
        if self.box.entries.value is not None:
            old = state_after(self.history(), self.box.entries.value)
            kept = self.desk.put(self.desk.job, old, "")
            self.take(kept.job)
            self.done("The job stands as it was then; undo takes that back.")

    def take_file(self) -> None:
        """Take in the file named."""
        path = Path(self.box.file.value.strip())
        if not self.box.file.value.strip():
            raise ValueError("name the file first, or choose one from the list")
        if not path.exists():
            raise ValueError(f"there is no file {path} here: give its place as seen from the notebook")
        job, what = take_in(self.desk.job, path)
        before = self.desk.job
        kept = self.desk.put(before, job, "")
        self.take(kept.job)
        self.done(f"Taken in from {path.name}: the {what}. Undo takes that back.")

    def done(self, words: str) -> None:
        """Say what a button has done."""
        self.tell("")
        for name in self.box.folds:
            self.list_again(name)
        self.box.say(escape(words))
