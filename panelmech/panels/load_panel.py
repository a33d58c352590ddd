"""The panel of notebook 05: a part under its loads, along its whole span.

The loads stand on the left, above the design's own settings, which are folded. Beside them stands the verdict under
load, and below it one view at a time: loads and diagrams, checks, the part, rod alone, mass and float, fittings,
sizing. No formula and no drawing of its own. While a slider moves the framed sheet is left out; it follows when the
hand rests.
"""

from __future__ import annotations

from ..job.job import Job
from ..loads.load_file import LoadSheet
from ..loads.meanings import load_meaning
from . import study_tables as text
from .desk import as_job
from .guard import guarded
from .load_controls import first_loads
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
from .widgets import button, fold_away, html_part, show_if

VIEWS = {
    "loads": DiagramsView,
    "checks": ChecksView,
    "part": PartView,
    "rod": RodView,
    "float": FloatView,
    "fittings": FittingsView,
    "size": SizeLoadView,
}
NOT_YET = (
    "No loads have been stated for this job: what stands here is a proposal to begin with. It counts for the job once "
    "you change it, or take it as it is."
)


def panel_loads(given, sheet: LoadSheet | None = None, **places) -> LoadsPanel:
    """Panel of notebook 05, of a job, or of a part and its loads. `places` may name the folders `jobs` and `out`."""
    return LoadsPanel(as_job(given, loads=sheet), **places)


class LoadsPanel(Panel):
    """A panel of views on a part under its loads: `bench` holds part, loads and study; `loads` says the verdict. A job
    without loads is shown with a proposal, which is kept once it is changed or taken."""

    advice_of = "The section as formed, without these loads:"
    place = "loads"

    def __init__(self, given: Job, **places):
        self.bench, self._taken = LoadBench(given.blade, given.loads or first_loads()), False
        super().__init__(given, **places)
        self.bench.controls.on_change(self.update)

    def make(self):
        self.loads, self.not_yet = html_part("pm-loads"), html_part("pm-not-yet")
        self.add_views({name: kind(self.set, self.bench) for name, kind in VIEWS.items()}, "92px")
        do, hint = self.keep.do, "Write these loads as a page to read and print, with their tables"
        self.take_button = button("take-loads", "Take these as my loads", lambda: do(self.take_loads), None)
        self.record = button("record", "Write load record", lambda: do(self.write_record), None, hint)

    def own_controls(self):
        above = [self.not_yet, self.take_button, self.record]
        return [*above, fold_away(self.bench.controls.groups(), first=True)]

    def own(self, job):
        blade, sheet = self._state()
        return job.replace(blade=blade, loads=sheet if self._stated(job, sheet) else None)

    def _stated(self, job, sheet):
        """Whether loads are the builder's: kept before, taken, or another than the proposal."""
        return job.loads is not None or self._taken or sheet != self._proposed

    def set_own(self, job):
        self._taken = False
        self.bench.controls.set(job.blade, job.loads or first_loads())
        self._proposed = self.bench.controls.sheet()
        self._say_stated(job.loads is not None)

    def _say_stated(self, stated):
        self.not_yet.value = "" if stated else text.quiet(NOT_YET)
        show_if(self.take_button, not stated)

    def take_loads(self) -> None:
        """Take the proposed loads as the job's."""
        self._taken = True
        self.update()
        self.come_to_rest()

    def main(self):
        style, *rest = self.around_views([], [below("The section at the root, as formed")], VIEWS_STYLE + LOADS_STYLE)
        return [style, self.loads, *rest]

    def _state(self):
        return self.bench.state(self.design())

    def moved(self):
        self._say_loads(full=False)
        super().moved()

    def rested(self):
        super().rested()
        self._say_loads(full=True)
        guarded(lambda: self._say_stated(self.job().loads is not None), lambda words: None)

    def _say_loads(self, full):
        guarded(lambda: self._say(self._line(self.bench.study(self.design(), full))), self._say)

    def explain(self, study):
        """What it means is said of the loads: see `_line`."""

    def _line(self, study):
        self.meaning.value = text.meaning_words(study.governing, load_meaning)
        return text.verdict_line(study, bool(self.bench.waiting(study)), "The part under its loads")

    def _say(self, line):
        self.loads.value = line

    def own_lines(self):
        return [self.loads.value]

    def write_record(self) -> None:
        """Write the load record of the job as it stands."""
        self.write(("loads",))
