"""Files of the load panel: loads and tapered parts by name, beside the studies, and the load record.

Buttons and fields; each button calls a function handed to it.
"""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from ..blade.blade import FORMAT as BLADE
from ..blade.blade import Blade
from ..loads.load_file import FORMAT as LOADS
from ..loads.load_file import LoadSheet
from .controls import group_box
from .files import format_of, names_of, study_path
from .keep import html_part
from .widgets import LABEL, WIDTH

BUTTONS = {
    "load-loads": ("Load", "Take loads, or a part along its span, from a file"),
    "save-loads": ("Save loads", "Write the loads to a load file of this name"),
    "save-part": ("Save part", "Write the part along its span to a file of this name"),
    "record": ("Write load record", "Write these loads as a page to read and print, with their tables"),
}


class LoadKeep:
    """Fields and buttons under "Loads and part as files". `buttons` by name (classes `pm-load-loads` and so on);
    `name`, the file's; `stored`, those there are; `news` says what a button has done."""

    def __init__(self, folder):
        self.folder = folder
        self.stored = widgets.Dropdown(
            description="files",
            style={"description_width": f"{LABEL}px"},
            layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
        )
        self.stored.add_class("pm-load-files")
        self.name = widgets.Text(
            description="file name",
            continuous_update=False,
            style={"description_width": f"{LABEL}px"},
            layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
        )
        self.name.add_class("pm-loads-name")
        self.buttons = {kind: self._button(kind) for kind in BUTTONS}
        self.news = html_part("pm-message")
        self.stored.observe(self._pick, "value")
        self.list_again()
        b = self.buttons
        rows = [widgets.HBox([b["load-loads"], b["save-loads"]]), widgets.HBox([b["save-part"], b["record"]])]
        self.box = group_box("Loads and part as files", [self.stored, self.name, *rows, self.news])

    def list_again(self) -> None:
        """Read the list of files afresh."""
        names = names_of(self.folder, lambda kind: kind in (BLADE, LOADS))
        self.stored.options = [("choose to fill in the name", ""), *((n, n) for n in names)]
        self.stored.index = 0

    def path(self) -> Path:
        """The file named."""
        return study_path(self.name.value, self.folder)

    def read(self):
        """A `Blade` or a `LoadSheet`, as the file says; ValueError, in words, for any other."""
        path = self.path()
        if not path.is_file():
            raise ValueError(f"there is no file {path.stem!r} in the folder {Path(self.folder).name}")
        kind = format_of(path)
        if kind not in (BLADE, LOADS):
            raise ValueError(
                f"{path.name} holds neither loads nor a part along its span"
                + ("; studies are loaded under Keep" if kind else "")
            )
        return (Blade if kind == BLADE else LoadSheet).load(path)

    def save(self, record) -> Path:
        """Write a blade or a load sheet; a file of another kind is not overwritten."""
        path, own = self.path(), BLADE if isinstance(record, Blade) else LOADS
        if path.exists() and format_of(path) != own:
            raise ValueError(f"{path.name} is there already and is no file of this kind: choose another name")
        path.parent.mkdir(parents=True, exist_ok=True)
        record.save(path)
        self.list_again()
        return path

    def _pick(self, change):
        if change["new"]:
            self.name.value = change["new"]

    def _button(self, kind):
        words, hint = BUTTONS[kind]
        button = widgets.Button(
            description=words,
            tooltip=hint,
            button_style="primary" if kind == "record" else "",
            layout=widgets.Layout(width=f"{WIDTH // 2 - 2}px"),
        )
        button.add_class(f"pm-{kind}")
        return button
