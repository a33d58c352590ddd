"""What a panel keeps: files by name, saved and loaded; pinned designs, exported plots, the design note.

Buttons and fields only; each button calls a function handed to it. Names and places of files are in `panels.files`.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path

import ipywidgets as widgets

from ..blade.blade import FORMAT as BLADE
from ..loads.load_file import FORMAT as LOADS
from ..shop.choices import FORMAT as SHOP
from ..study.design import FORMAT as STUDY
from .files import SUFFIX, file_path, format_of, link, study_names
from .guard import guarded
from .study_tables import news
from .widgets import COLUMN, WIDTH, button, group_box, html_part, pick, words_field

HELD = {
    STUDY: "a study, which is loaded under Keep",
    BLADE: "a part along its span",
    LOADS: "loads",
    SHOP: "the shop's choices",
}  # what a file of each format holds
FIRST = ("choose to fill in the name", "")


class FileBox:
    """Files of one folder by name: `stored` lists those there are, `name` holds the name, `news` says what was done.

    `names()` gives the names there are; `kinds` are the classes `pm-…` of list, name field and news, `labels` those of
    the first two. `one` is what a file is called, with its article; a JSON file of another format than `own` is neither
    read, `refused` says why, nor overwritten. `suffix` of the files; `place` as of `widgets.pick`.
    """

    def __init__(self, folder, names, kinds, labels, one, own=(), refused="", suffix=SUFFIX, **place):
        self.folder, self._names, self._one, self._own, self._suffix = Path(folder), names, one, own, suffix
        self._noun = one.partition(" ")[2]
        self._refused, self._asked = refused or f"is no {self._noun}", None
        self.stored = pick(kinds[0], labels[0], [], **(place or COLUMN))
        self.name = words_field(kinds[1], labels[1], **(place or COLUMN))
        self.news = html_part(f"pm-{kinds[2] if len(kinds) > 2 else 'message'}")
        self.stored.observe(self._picked, "value")
        self.list_again()

    def _picked(self, change):
        if change["new"]:
            self.name.value = change["new"]

    def list_again(self) -> None:
        """Read the list of files afresh."""
        options = (FIRST, *((name, name) for name in self._names()))
        if tuple(self.stored.options) != options:
            self.stored.options = options
            self.stored.index = 0

    def path(self) -> Path:
        """The file named; ValueError, in words, for none, or what cannot be the name of a file."""
        if not self.name.value.strip():
            raise ValueError(f"give the {self._noun} a name first, or choose one from the list")
        return file_path(self.name.value, self.folder, self._suffix)

    def existing(self) -> Path:
        """The file named; ValueError, in words, where there is none, or it is of another kind."""
        path = self.path()
        self.list_again()
        if not path.is_file():
            name = repr(path.stem) if self._suffix == SUFFIX else path.name
            raise ValueError(f"there is no file {name} in the folder {self.folder.name}")
        kind = format_of(path) if self._own else ""
        if kind and kind not in self._own:
            raise ValueError(f"{path.name} {self._refused}" + (f": it holds {HELD[kind]}" if kind in HELD else ""))
        return path

    def save(self, write, ask: bool = True, own=None) -> None:
        """`write(path)` the file named and say so; where it is there already only when asked twice, unless not to
        `ask`. ValueError, in words, where that file is of another format than `own`."""
        path, own = self.path(), own or self._own
        if own and path.exists() and format_of(path) not in own:
            raise ValueError(f"{path.name} is there already and is no {self._noun}: choose another name")
        if ask and path.exists() and self._asked != path:
            self._asked = path
            self.say(f"There is {self._one} {link(path, path.stem)} already. Press Save again to replace it.")
            return
        self._asked = None
        path.parent.mkdir(parents=True, exist_ok=True)
        write(path)
        self.list_again()
        self.name.value = path.stem
        self.say(f"Saved {'as ' if ask else ''}{link(path)}.")

    def say(self, words: str) -> None:
        """Show what has been done, beside the buttons; HTML text, empty for none."""
        self.news.value = news(words)

    def do(self, action) -> None:
        """Do what a button asks; what goes wrong is said beside the buttons."""
        guarded(action, self._wrong)

    def _wrong(self, words):
        self.news.value = words

    def make_buttons(self, words: dict, actions: dict, main: str = "", wide=(), width: int = WIDTH // 2 - 2) -> dict:
        """Buttons by name, which do `actions`, from a table of (words, hint); those of `wide` fill the column, a `main`
        one stands out."""
        return {
            name: button(
                name, said, partial(self.do, actions[name]), WIDTH if name in wide else width, hint, name == main
            )
            for name, (said, hint) in words.items()
        }


TEXTS = {"title": "title", "purpose": "purpose", "made_by": "made by", "ident": "number", "issued": "date of issue"}
BUTTONS = {  # words, hint
    "pin": ("Pin this design", "Keep this design on the picture and in the tables, and compare the next one with it"),
    "load": ("Load", "Set everything as in a study file"),
    "save": ("Save", "Write the settings and their results to a study file"),
    "export": ("Export plots", "Write the plots of this design as SVG, PDF and PNG"),
    "note": (
        "Write design note",
        "Write the design note: a page to read and print, with plots, tables and the study file",
    ),
}
NEEDS_A_DESIGN = ("pin", "save", "export", "note")


class Keep(FileBox):
    """Buttons and fields under "Keep". `buttons` by name (classes `pm-pin`, `pm-save`, `pm-load`, `pm-export`,
    `pm-note`), which do `actions`; `texts` the words of the title block."""

    def __init__(self, design, folder, actions: dict, texts=("title",)):
        names, kinds, labels = partial(study_names, folder), ("studies", "name"), ("studies", "study file")
        super().__init__(folder, names, kinds, labels, "a study")
        self.texts = {field: _text(field, label) for field, label in TEXTS.items() if field in texts}
        self.buttons = b = self.make_buttons(BUTTONS, actions, "note", ("pin",))
        pairs = [widgets.HBox([b["load"], b["save"]]), widgets.HBox([b["export"], b["note"]])]
        rows = [widgets.HBox([b["pin"]]), self.stored, self.name, *pairs]
        self.show(design)
        self.box = group_box("Keep", [*self.texts.values(), *rows, self.news])

    def show(self, design) -> None:
        """Show the texts of a design."""
        for field, control in self.texts.items():
            control.value = getattr(design, field)

    def words(self) -> dict:
        """The texts as typed, by field of the design."""
        return {field: control.value for field, control in self.texts.items()}

    def allow(self, possible: bool) -> None:
        """Switch the buttons that need a design on or off."""
        for name in NEEDS_A_DESIGN:
            self.buttons[name].disabled = not possible


def _text(field, label):
    return words_field(field, label, make=widgets.Textarea if field == "purpose" else widgets.Text)
