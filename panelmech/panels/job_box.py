"""What stands in every panel for the job: its line, undo and redo; the shelf, the history, files taken in, papers.

Buttons, fields and texts only; what they do is handed to them by the panel.
"""

from __future__ import annotations

from functools import partial

import ipywidgets as widgets

from .guard import guarded
from .study_tables import news
from .widgets import COLUMN, WIDTH, Fold, button, group_box, html_part, marked, pick, words_field

TEXTS = {"title": "title", "purpose": "purpose", "made_by": "made by", "ident": "number", "issued": "date of issue"}
TITLE = ("title",)
HALF = WIDTH // 2 - 2
BUTTONS = {  # words, hint, whether it needs a design that can be
    "pin": (
        "Pin this design",
        "Keep this design on the picture and in the tables, and compare the next one with it",
        True,
    ),
    "export": ("Export plots", "Write the plots of this design as SVG, PDF and PNG", True),
    "note": ("Write design note", "A page to read and print, with plots, tables and the study file", True),
    "papers": ("Write all papers", "Note, inspection, load record and shop pack, all of this state of the job", True),
}
SHELF_BUTTONS = {
    "open-job": ("Open", "Show this job here and in every notebook", False),
    "new-job": ("Begin a new one", "A new job of the name typed, from what is shown now", True),
    "rename-job": ("Rename", "Give the job that is open the name typed", False),
    "remove-job": (
        "Put away",
        "Move the job chosen into the folder .removed, from where a hand can bring it back",
        False,
    ),
}
STEPS = {
    "undo": ("Undo", "Take back the last change of this job, of whichever notebook"),
    "redo": ("Redo", "Do again what was undone"),
}


class JobBox:
    """`line` to place on top of a panel, `box` among its controls. `buttons` by name (classes `pm-<name>`) do
    `actions`; `texts` hold the words of the title block."""

    def __init__(self, design, actions: dict, fields=TITLE):
        self.texts = {field: _text(field, label) for field, label in TEXTS.items() if field in fields}
        self.buttons = {}
        self.said, self.shelf, self.history = (html_part(f"pm-{kind}") for kind in ("job", "shelf", "history"))
        self.news = html_part("pm-message")
        self.line = self._line(actions)
        self.jobs = pick("jobs", "jobs", [], **COLUMN)
        self.name = words_field("job-name", "name")
        self.files = pick("files", "files found", [], **COLUMN)
        self.file = words_field("file", "file to take in")
        self.files.observe(lambda change: self._picked(change["new"]), "value")
        self.entries = pick("entries", "back to", [], **COLUMN)
        self.show(design)
        rows = [widgets.HBox(self._make(BUTTONS, actions, pair)) for pair in (("pin", "export"), ("note", "papers"))]
        self.folds = {
            "shelf": Fold("All jobs", self._shelf(actions), "all-jobs"),
            "history": Fold("History", self._history(actions), "job-history"),
            "files": Fold("Take in a file", self._files(actions), "take-in"),
        }
        self.box = group_box("Job", [*self.texts.values(), *rows, self.news, *self.folds.values()])

    def _line(self, actions):
        steps = [self._button(name, words, hint, actions[name], None) for name, (words, hint) in STEPS.items()]
        return marked(widgets.HBox([self.said, *steps]), "job-line")

    def _shelf(self, actions):
        b = self._make(SHELF_BUTTONS, actions, SHELF_BUTTONS)
        return [self.jobs, self.name, widgets.HBox(b[:2]), widgets.HBox(b[2:]), self.shelf]

    def _history(self, actions):
        back = self._button(
            "go-back", "Go back to it", "Set the job as it was then; this too can be undone", actions["go-back"]
        )
        return [self.entries, back, self.history]

    def _files(self, actions):
        hint = "A study, part, loads, shop or job file, or a CSV file of readings, takes the place of what this job has"
        return [self.files, self.file, self._button("take-in", "Take it in", hint, actions["take-in"])]

    def _make(self, table, actions, names):
        return [self._button(name, *table[name][:2], actions[name]) for name in names]

    def _button(self, name, words, hint, action, width=HALF):
        main = name == "note"
        self.buttons[name] = button(name, words, partial(self.do, action), width, hint, main)
        return self.buttons[name]

    def _picked(self, path):
        if path:
            self.file.value = path

    def show(self, design) -> None:
        """Show the texts of a design."""
        for field, control in self.texts.items():
            control.value = getattr(design, field)

    def words(self) -> dict:
        """The texts as typed, by field of the design."""
        return {field: control.value for field, control in self.texts.items()}

    def allow(self, possible: bool) -> None:
        """Switch the buttons that need a design on or off."""
        for name, (_, _, needs) in {**BUTTONS, **SHELF_BUTTONS}.items():
            self.buttons[name].disabled = needs and not possible

    def say(self, words: str) -> None:
        """Say what has been done; HTML text, empty for none."""
        self.news.value = news(words)

    def do(self, action) -> None:
        """Do what a button asks; what goes wrong is said beside the buttons."""
        guarded(action, self._wrong)

    def _wrong(self, words):
        self.news.value = words


def offer(control, options) -> None:
    """Give a list other options; what was chosen stays where it is still there."""
    options = list(options)
    if tuple(options) != tuple(control.options):
        value = control.value
        control.options = options
        values = [option[1] if isinstance(option, tuple) else option for option in options]
        control.value = value if value in values else (values[0] if values else None)


def _text(field, label):
    return words_field(field, label, make=widgets.Textarea if field == "purpose" else widgets.Text)
