"""The panel of notebook 05: a part under its loads, along its whole span.

The loads stand on the left, above the design's own settings, which are folded. Beside them stands the verdict under
load, and below it one view at a time: loads and diagrams, checks, the part, rod alone, mass and float, fittings,
sizing. No formula and no drawing of its own. While a slider moves the framed sheet is left out; it follows when the
hand rests.
"""

from __future__ import annotations

from functools import partial

import ipywidgets as widgets

from ..blade.blade import FORMAT as BLADE
from ..blade.blade import Blade
from ..loads.load_file import FORMAT as LOADS
from ..loads.load_file import LoadSheet
from ..loads.meanings import load_meaning
from ..report.note import write_load_record, write_note
from ..report.records import record_of
from ..study.design import Design
from . import study_tables as text
from .files import format_of, link, names_of
from .guard import guarded
from .keep import FileBox
from .load_views import (
    ChecksView,
    DiagramsView,
    FittingsView,
    FloatView,
    LoadBench,
    PartView,
    RodView,
    SizeLoadView,
)
from .panel import Panel
from .style import LOADS_STYLE, VIEWS_STYLE
from .view import below
from .widgets import fold_away, html_part

VIEWS = {
    "loads": DiagramsView,
    "checks": ChecksView,
    "part": PartView,
    "rod": RodView,
    "float": FloatView,
    "fittings": FittingsView,
    "size": SizeLoadView,
}
BUTTONS = {
    "load-loads": ("Load", "Take loads, or a part along its span, from a file"),
    "save-loads": ("Save loads", "Write the loads to a load file of this name"),
    "save-part": ("Save part", "Write the part along its span to a file of this name"),
    "record": ("Write load record", "Write these loads as a page to read and print, with their tables"),
}


def panel_loads(part: Design | Blade, sheet: LoadSheet, **places) -> LoadsPanel:
    """Panel of notebook 05. `places` may name the folders `studies`, where load and part files are too, and `out`."""
    return LoadsPanel(part if isinstance(part, Blade) else Blade(part), sheet, **places)


class LoadsPanel(Panel):
    """A panel of views on a part under its loads: `bench` holds part, loads and study; `loads` says the verdict;
    `files` keeps loads and parts, its buttons of classes `pm-load-loads` and so on."""

    advice_of = "The section as formed, without these loads:"

    def __init__(self, blade: Blade, sheet: LoadSheet, **places):
        self.bench = LoadBench(blade, sheet)
        super().__init__(blade.root, **places)
        self.bench.controls.on_change(self.update)

    def make(self):
        self.loads = html_part("pm-loads")
        self.add_views({name: kind(self.set, self.bench) for name, kind in VIEWS.items()}, "92px")
        folder = self.keep.folder
        names = partial(names_of, folder, lambda kind: kind in (BLADE, LOADS))
        self.files = FileBox(
            folder,
            names,
            ("load-files", "loads-name"),
            ("files", "file name"),
            "a file of this kind",
            own=(BLADE, LOADS),
            refused="holds neither loads nor a part along its span",
        )
        actions = {
            "load-loads": self.load_file,
            "save-loads": lambda: self.files.save(self._state()[1].save, ask=False, own=(LOADS,)),
            "save-part": lambda: self.files.save(self._state()[0].save, ask=False, own=(BLADE,)),
            "record": self.write_record,
        }
        self.files.buttons = self.files.make_buttons(BUTTONS, actions, "record")

    def head(self):
        return [self.loads, self.alert, self.parts["picture"]]

    def own_controls(self):
        b = list(self.files.buttons.values())
        rows = [self.files.stored, self.files.name, widgets.HBox(b[:2]), widgets.HBox(b[2:]), self.files.news]
        return [fold_away(self.bench.controls.groups(), first=True), fold_away({"Loads and part as files": rows})]

    def main(self):
        design = [below("The section at the root, as formed"), self.parts["verdict"]]
        return self.around_views([], design, VIEWS_STYLE + LOADS_STYLE)

    def _state(self):
        return self.bench.state(self.design())

    def moved(self):
        self._say_loads(full=False)
        super().moved()

    def rested(self):
        super().rested()
        self._say_loads(full=True)

    def _say_loads(self, full):
        guarded(lambda: self._say(self._line(self.bench.study(self.design(), full))), self._say)

    def explain(self, study):
        """The line above is that of the loads: see `_line`."""

    def _line(self, study):
        self.meaning.value = text.meaning_words(study.governing, load_meaning)
        return text.verdict_line(study, bool(self.bench.waiting(study)))

    def _say(self, line):
        self.loads.value = line

    def headline(self):
        return self.loads.value

    def load_file(self) -> None:
        """Take loads, or a part along its span, from the file named."""
        path = self.files.existing()
        blade, sheet = self._state()
        if format_of(path) == BLADE:
            blade = Blade.load(path)
            self.bench.controls.set(blade, sheet)
            self.set(blade.root)
        else:
            self.bench.controls.set(blade, LoadSheet.load(path))
            self.update()
            self.finish()
        self.files.say(f"Loaded {link(path)}.")

    def write_record(self) -> None:
        """Write the load record of the present part and loads."""
        self.files.say("Writing the load record, some seconds …")
        written = write_load_record(record_of(*self._state()), self.folder() / "loads")
        others = ", ".join(link(path, path.name) for path in written.paths[1:])
        self.files.say(f"Load record written: {link(written.paths[0])}; beside it {others}.")

    def note(self):
        """The note holds the part and its loads."""
        note = write_note(self.study, self.folder(), loads=record_of(*self._state()))
        others = ", ".join(link(path, path.name) for path in (note.pdf, note.checks, note.results, *note.loads))
        return f"Note with the loads written: {link(note.html)}; beside it {others} and plots."
