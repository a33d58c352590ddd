"""Files of the shop panel: the shop's choices by name, beside the studies.

Buttons and fields; each button calls a function handed to it.
"""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from ..blade.blade import FORMAT as BLADE
from ..loads.load_file import FORMAT as LOADS
from ..shop.choices import FORMAT, ShopChoices
from ..study.design import FORMAT as STUDY
from .controls import group_box
from .files import format_of, names_of, study_path
from .keep import html_part
from .widgets import LABEL, WIDTH

BUTTONS = {
    "load-shop": ("Load", "Set all of the shop's choices as in a shop file"),
    "save-shop": ("Save", "Write the shop's choices to a shop file of this name"),
}
OTHERS = {STUDY: "a study, which is loaded under Keep", BLADE: "a part along its span", LOADS: "loads"}


class ShopKeep:
    """Fields and buttons under "Shop as files". `buttons` by name (classes `pm-load-shop`, `pm-save-shop`); `name`, the
    file's; `stored`, those there are in `folder`; `news` says what a button has done."""

    def __init__(self, folder):
        self.folder, self._asked = folder, None
        place = {
            "style": {"description_width": f"{LABEL}px"},
            "layout": widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
        }
        self.stored = widgets.Dropdown(description="shop files", **place)
        self.stored.add_class("pm-shop-files")
        self.name = widgets.Text(description="file name", continuous_update=False, **place)
        self.name.add_class("pm-shop-name")
        self.buttons = {kind: _button(kind) for kind in BUTTONS}
        self.news = html_part("pm-message")
        self.stored.observe(self._pick, "value")
        self.list_again()
        self.box = group_box(
            "Shop as files", [self.stored, self.name, widgets.HBox(list(self.buttons.values())), self.news]
        )

    def list_again(self) -> None:
        """Read the list of shop files afresh."""
        names = names_of(self.folder, lambda kind: kind == FORMAT)
        self.stored.options = [("choose to fill in the name", ""), *((n, n) for n in names)]
        self.stored.index = 0

    def path(self) -> Path:
        """The file named; ValueError, in words, where there is no name or none that can be."""
        if not self.name.value.strip():
            raise ValueError("give the shop file a name first, or choose one from the list")
        return study_path(self.name.value, self.folder)

    def read(self) -> ShopChoices:
        """The choices in the file named; ValueError, in words, where it is missing or no shop file."""
        path = self.path()
        self.list_again()
        if not path.is_file():
            raise ValueError(f"there is no file {path.stem!r} in the folder {Path(self.folder).name}")
        kind = format_of(path)
        if kind and kind != FORMAT:
            raise ValueError(f"{path.name} is no shop file" + (f": it holds {OTHERS[kind]}" if kind in OTHERS else ""))
        return ShopChoices.load(path)

    def replaces(self) -> bool:
        """Whether a shop file of this name is there already and was not yet asked about; the next call says False.

        ValueError where a file of another kind has the name: that is never overwritten.
        """
        path = self.path()
        if path.exists() and format_of(path) != FORMAT:
            raise ValueError(f"{path.name} is there already and is no shop file: choose another name")
        asked, self._asked = self._asked, path
        return path.exists() and asked != path

    def save(self, choices: ShopChoices) -> Path:
        """Write the choices under the name in the field."""
        path, self._asked = self.path(), None
        path.parent.mkdir(parents=True, exist_ok=True)
        choices.save(path)
        self.list_again()
        return path

    def _pick(self, change):
        if change["new"]:
            self.name.value = change["new"]


def _button(kind):
    words, hint = BUTTONS[kind]
    button = widgets.Button(description=words, tooltip=hint, layout=widgets.Layout(width=f"{WIDTH // 2 - 2}px"))
    button.add_class(f"pm-{kind}")
    return button
