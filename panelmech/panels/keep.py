"""What a panel keeps: pin a design to compare with, save and load studies, export plots, write the note.

Buttons and name fields only; each button calls a function handed to it. The work with files is in `panels.files`.
"""

from __future__ import annotations

import threading

import ipywidgets as widgets

from .controls import group_box
from .files import study_names
from .widgets import LABEL, WIDTH

TEXTS = {"title": "title", "purpose": "purpose", "made_by": "made by", "ident": "number", "issued": "date of issue"}
HINTS = {
    "pin": "Keep this design on the picture and in the tables, and compare the next one with it",
    "save": "Write the settings and their results to a study file",
    "load": "Set everything as in a study file",
    "export": "Write the plots of this design as SVG, PDF and PNG",
    "compare": "Also press and buckle one framed sheet, and set the pair against wedges of the same thickness and mass",
    "note": "Write the design note: a page to read and print, with plots, tables and the study file",
}
WORDS = {
    "pin": "Pin this design",
    "save": "Save",
    "load": "Load",
    "compare": "Work out one framed sheet and fairer wedges too",
    "export": "Export plots",
    "note": "Write design note",
}
BUTTONS = ("pin", "save", "load", "export", "note")
NEEDS_A_DESIGN = ("pin", "save", "export", "note")

# JupyterLab handles what comes from widgets on another thread than cells and timers: never two of them at once
ONE_AT_A_TIME = threading.RLock()


class Keep:
    """Buttons and fields under "Keep". `buttons` by name (classes `pm-pin`, `pm-save`, `pm-load`, `pm-export`,
    `pm-note`); `name` is the file name, `news` says what a button has done, `stored` the list of studies in
    `folder`, `texts` the words of the title block."""

    def __init__(self, design, folder, texts=("title",)):
        self.folder = folder
        self.buttons = {name: action_button(name, WIDTH if name == "pin" else WIDTH // 2 - 2) for name in BUTTONS}
        self.texts = {field: _field(label, f"pm-{field}") for field, label in TEXTS.items() if field in texts}
        self.name = _field("study file", "pm-name")
        self.stored = widgets.Dropdown(
            description="studies",
            style={"description_width": f"{LABEL}px"},
            layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
        )
        self.stored.add_class("pm-studies")
        self.stored.observe(self._pick, "value")
        self.show(design)
        self.list_again()
        b = self.buttons
        rows = [
            widgets.HBox([b["pin"]]),
            self.stored,
            self.name,
            widgets.HBox([b["load"], b["save"]]),
            widgets.HBox([b["export"], b["note"]]),
        ]
        self.news = html_part("pm-message")
        self.box = group_box("Keep", [*self.texts.values(), *rows, self.news])

    def show(self, design) -> None:
        """Show the texts of a design."""
        for field, control in self.texts.items():
            control.value = getattr(design, field)

    def words(self) -> dict:
        """The texts as typed, by field of the design."""
        return {field: control.value for field, control in self.texts.items()}

    def list_again(self) -> None:
        """Read the list of studies afresh."""
        names = study_names(self.folder)
        if tuple(names) != tuple(n for _, n in self.stored.options if n):
            self.stored.options = [("choose to fill in the name", ""), *((n, n) for n in names)]
            self.stored.index = 0

    def _pick(self, change):
        if change["new"]:
            self.name.value = change["new"]

    def allow(self, possible: bool) -> None:
        """Switch the buttons that need a design on or off."""
        for name in NEEDS_A_DESIGN:
            self.buttons[name].disabled = not possible


def html_part(kind: str) -> widgets.HTML:
    """A place for HTML text, of this class."""
    part = widgets.HTML(layout=widgets.Layout(width="100%", margin="0"))
    part.add_class(kind)
    return part


def action_button(name: str, width: int) -> widgets.Button:
    """Button of an action by name, of class `pm-<name>`."""
    button = widgets.Button(
        description=WORDS[name],
        tooltip=HINTS[name],
        button_style="primary" if name == "note" else "",
        layout=widgets.Layout(width=f"{width}px"),
    )
    button.add_class(f"pm-{name}")
    return button


def _field(label, kind):
    make = widgets.Textarea if kind == "pm-purpose" else widgets.Text
    field = make(
        description=label,
        continuous_update=False,
        style={"description_width": f"{LABEL}px"},
        layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
    )
    field.add_class(kind)
    return field
