"""The panel of notebook 05: a part under its loads, along its whole span.

The loads stand on the left, above the design's own settings, which are folded. Beside them stands the verdict under
load, and below it one view at a time: loads and diagrams, checks, the part, rod alone, mass and float, fittings,
sizing. No formula and no drawing of its own. While a slider moves the framed sheet is left out; it follows when the
hand rests.
"""

from __future__ import annotations

import ipywidgets as widgets

from ..blade.blade import Blade
from ..loads.load_file import LoadSheet
from ..report.load_records import record_of
from ..report.note import write_load_record, write_note
from ..study.design import Design
from . import study_tables as text
from .files import link
from .keep import ONE_AT_A_TIME, html_part
from .load_files import LoadKeep
from .load_views import ChecksView, DiagramsView, LoadBench
from .rest_views import FittingsView, FloatView, PartView, RodView, SizeLoadView
from .study_panel import in_words
from .trade_off_panel import TradePanel
from .widgets import WIDTH

VIEWS = {
    "loads": DiagramsView,
    "checks": ChecksView,
    "part": PartView,
    "rod": RodView,
    "float": FloatView,
    "fittings": FittingsView,
    "size": SizeLoadView,
}
STYLE = """<style>
.pm-panel .pm-load-picture .widget-html-content { line-height:0; background:#ffffff; border-radius:4px; }
.pm-panel .pm-load-said p, .pm-panel .pm-rod-said p, .pm-panel .pm-float p, .pm-panel .pm-fittings p,
.pm-panel .pm-load-sizing p { margin:2px 0 6px; font-size:14px; }
.pm-panel .pm-question .widget-toggle-buttons { flex-wrap:wrap; }
.pm-panel .pm-stations, .pm-panel .pm-cases, .pm-panel .pm-load-checks { overflow-x:auto; }
.pm-panel .pm-stations thead th, .pm-panel .pm-cases thead th, .pm-panel .pm-rod-said thead th {
  white-space:normal !important; }
.pm-panel .pm-judgement .widget-dropdown, .pm-panel .pm-judgement .widget-text:not(input),
.pm-panel .pm-judgement .widget-slider, .pm-panel .pm-judgement .jupyter-widgets.widget-accordion,
.pm-panel .pm-judgement .pm-judgement { max-width:100%; }
.pm-panel .pm-cases table.pm-table .pm-number, .pm-panel .pm-load-checks table.pm-table .pm-number,
.pm-panel .pm-fittings table.pm-table .pm-number { padding-right:10px; }
.pm-panel .pm-stations table.pm-table { font-size:12px; }
.pm-panel .pm-stations table.pm-table .pm-number { padding-right:6px; }
</style>"""


def panel_loads(part: Design | Blade, sheet: LoadSheet, **places) -> LoadsPanel:
    """Panel of notebook 05. `places` may name the folders `studies`, where load and part files are too, and `out`."""
    return LoadsPanel(part if isinstance(part, Blade) else Blade(part), sheet, **places)


class LoadsPanel(TradePanel):
    """A panel of views on a part under its loads: `bench` holds part, loads and study; `loads` says the verdict."""

    def __init__(self, blade: Blade, sheet: LoadSheet, **places):
        self.bench, self.lost = LoadBench(blade, sheet), False
        super().__init__(_at_root(blade), **places)
        self.bench.controls.on_change(self.update)

    def _make_views(self):
        return {name: kind(self.set, self.bench) for name, kind in VIEWS.items()}

    def _main(self):
        self.loads = html_part("pm-loads")
        style, verdict, alert, question, place, heading, *below = super()._main()
        question.style.button_width = "92px"
        heading.value = '<div class="pm-heading">The section at the root, as formed</div>'
        more = widgets.HTML(STYLE, layout=widgets.Layout(display="none"))
        return [style, more, self.loads, alert, question, place, heading, verdict, *below]

    def _arrange(self):
        self.files = LoadKeep(self.keep.folder)
        actions = {
            "load-loads": self.load_file,
            "save-loads": lambda: self._save(self.bench.state(self.design())[1]),
            "save-part": lambda: self._save(self.bench.state(self.design())[0]),
            "record": self.write_record,
        }
        for kind, action in actions.items():
            self.files.buttons[kind].on_click(lambda _, action=action: self._do(action))
        box = super()._arrange()
        side = box.children[1]
        *design, keep = side.children
        folded = widgets.Accordion(
            [widgets.VBox(design)],
            titles=("The design: sheet, lengths, rod, margins",),
            selected_index=None,
            layout=widgets.Layout(width=f"{WIDTH}px"),
        )
        folded.add_class("pm-judgement")
        folded.add_class("pm-design")
        side.children = (*self.bench.controls.groups(), folded, self.files.box, keep)
        return box

    def update(self) -> None:
        """Follow a move; the framed sheet follows when the hand rests."""
        self._say_loads(full=False)
        super().update()

    def finish(self) -> None:
        """Compute what is still to come, now."""
        super().finish()
        self._say_loads(full=True)

    def _say_loads(self, full):
        with ONE_AT_A_TIME:
            try:
                study = self.bench.study(self.design(), full)
                self.loads.value = text.verdict_line(study, bool(self.bench.waiting(study)))
                self.lost = False
            except Exception as error:  # whatever it is, the panel must say it
                self.loads.value, self.lost = text.alert(*reversed(in_words(error))), True

    def _do(self, action):
        """Do what a button of the load files asks; what goes wrong is said beside it."""
        with ONE_AT_A_TIME:
            try:
                action()
            except Exception as error:  # as above
                self.files.news.value = text.alert(*reversed(in_words(error)))

    def _save(self, record):
        self.files.news.value = text.news(f"Saved {link(self.files.save(record))}.")

    def load_file(self) -> None:
        """Take loads, or a part along its span, from the file named."""
        found = self.files.read()
        if isinstance(found, Blade):
            self.bench.controls.set(found, self.bench.state(self.design())[1])
            self.set(_at_root(found))
        else:
            self.bench.controls.set(self.bench.state(self.design())[0], found)
            self.update()
            self.finish()
        self.files.news.value = text.news(f"Loaded {link(self.files.path())}.")

    def write_record(self) -> None:
        """Write the load record of the present part and loads."""
        self.files.news.value = text.news("Writing the load record, some seconds …")
        blade, sheet = self.bench.state(self.design())
        written = write_load_record(record_of(blade, sheet), self._folder() / "loads")
        others = ", ".join(link(path, path.name) for path in written.paths[1:])
        self.files.news.value = text.news(f"Load record written: {link(written.paths[0])}; beside it {others}.")

    def write_note(self) -> None:
        """Write the design note with the part and its loads."""
        self.say("Writing the design note, some seconds …")
        self.finish()
        note = write_note(self.study, self._folder(), loads=record_of(*self.bench.state(self.design())))
        others = ", ".join(link(path, path.name) for path in (note.pdf, note.checks, note.results, *note.loads))
        self.say(f"Note with the loads written: {link(note.html)}; beside it {others} and plots.")

    def summary(self) -> str:
        """Verdict under load, and what the view says, as plain text."""
        self.finish()
        return f"{text.plain(self.loads.value)}\n{self.view.words()}"


def _at_root(blade):
    """The design of the root end, which the sliders set: where the part gives a taper, with its value at the root."""
    root = blade.values_at(0.0)
    names = [name for name in ("free_length", "spacer_diameter") if getattr(blade, name) is not None]
    return blade.design.replace(**{name: float(root[name]) for name in names})
