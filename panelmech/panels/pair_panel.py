"""The panel of notebook 04: two measured sheets, from bench readings to a verdict on the pair.

The controls on the left set the design, as in the other panels. Beside them stands the verdict on the two sheets, and
below it one view at a time: the table of readings, each sheet, the pair, land and rod, the part after a while, its
shape. No formula and no drawing of its own.
"""

from __future__ import annotations

import ipywidgets as widgets

from ..measured.readings import Readings
from ..report.note import write_note
from ..study.design import Design
from . import pair_tables as words
from .files import link
from .keep import html_part
from .pair_views import ClampView, LaterView, PairView, ShapeView, SheetsView
from .readings import Bench, ReadingsView
from .study_panel import in_words
from .study_tables import plain
from .trade_off_panel import TradePanel

VIEWS = {"sheets": SheetsView, "pair": PairView, "land": ClampView, "later": LaterView, "shape": ShapeView}
STYLE = """<style>
.pm-panel .pm-readings input { text-align:left; }
.pm-panel .pm-readings .pm-wrong input { outline:2px solid var(--pm-fails); outline-offset:-2px; }
.pm-panel .pm-readings .jp-Collapse-contents { overflow-x:auto; }
.pm-panel .pm-below + .pm-verdict { margin-bottom:4px; }
.pm-panel .pm-clamp-said p, .pm-panel .pm-later-said p, .pm-panel .pm-named-said p, .pm-panel .pm-offsets-said p,
.pm-panel .pm-steering p {
  margin:2px 0; }
.pm-panel .pm-moduli table.pm-table .pm-number { white-space:normal; padding-right:10px; }
.pm-panel .pm-uneven .pm-side, .pm-panel .pm-sheets table, .pm-panel .pm-rod table { margin-top:8px; }
</style>"""


def panel_pairs(design: Design, readings: Readings | None = None, **places) -> PairsPanel:
    """Panel of notebook 04. `readings` stand in its table at first; `places` may name the folders `studies`, where
    the files of readings are, too, and `out`."""
    return PairsPanel(design, readings or Readings(), **places)


class PairsPanel(TradePanel):
    """A panel of views on two measured sheets: `bench` holds the readings, `pair` the verdict on them."""

    def __init__(self, design: Design, readings: Readings, **places):
        self.bench = Bench(readings)
        super().__init__(design, **places)
        self.bench.listeners.append(self.follow)

    def _make_views(self):
        table = ReadingsView(self.set, self.bench, self.keep.folder)
        return {"readings": table, **{name: kind(self.set, self.bench) for name, kind in VIEWS.items()}}

    def _main(self):
        self.pair = html_part("pm-pair")
        style, verdict, alert, question, place, heading, *below = super()._main()
        more = widgets.HTML(STYLE, layout=widgets.Layout(display="none"))
        return [style, more, self.pair, alert, question, place, heading, verdict, *below]

    def follow(self) -> None:
        """Follow a change of readings or tolerance."""
        self._say_pair()
        self._answer()

    def update(self) -> None:
        """Follow a move of the design; the verdict on the pair follows when the hand rests."""
        self.pair.add_class("pm-stale")
        super().update()

    def finish(self) -> None:
        """Compute what is still to come, now."""
        super().finish()
        self._say_pair()

    def _say_pair(self):
        try:
            self.pair.value = words.pair_line(self.bench.report(self.design()))
        except Exception as error:  # whatever it is, the panel must say it
            lead, why = in_words(error)
            self.pair.value = words.alert(why, lead)
        self.pair.remove_class("pm-stale")

    def write_note(self) -> None:
        """Write the design note with the inspection record of these readings."""
        self.say("Writing the design note, some seconds …")
        self.finish()
        note = write_note(self.study, self._folder(), self.bench.report(self.design()))
        others = ", ".join(link(path, path.name) for path in (note.pdf, note.checks, note.results, note.study))
        self.say(f"Note with the inspection record written: {link(note.html)}; beside it {others} and plots.")

    def summary(self) -> str:
        """Verdict on the pair, and what the view says, as plain text."""
        self.finish()
        return f"{plain(self.pair.value)}\n{self.view.words()}"
