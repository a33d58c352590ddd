"""The panel of notebook 03: one design, five questions about it.

The controls on the left set the design, as in the other panels. Beside them stand the questions: a map of two inputs,
sizing backwards, choosing from stock, scatter, and designs side by side. Each can hand back a design, which then
becomes the present one. No formula and no drawing of its own.
"""

from __future__ import annotations

import ipywidgets as widgets

from ..study.design import Design
from .files import link
from .keep import html_part
from .map_view import MapView
from .scatter_views import CompareView, ScatterView
from .sizing_views import ChooseView, SizeView
from .study_panel import GOOD, Panel
from .view import STYLE

QUESTIONS = {"map": MapView, "size": SizeView, "choose": ChooseView, "scatter": ScatterView, "compare": CompareView}
NEED_THE_DESIGN = (MapView, CompareView)


def panel_trade(design: Design, **places) -> TradePanel:
    """Panel of notebook 03. `places` may name the folders `studies` and `out`."""
    return TradePanel(design, **places)


class TradePanel(Panel):
    """A panel with views: `views` by name, `shown` the name of the one that is seen; only that one is worked out."""

    def _make_views(self):
        """Views by name, in the order of their buttons."""
        return {
            name: kind(self.set, self.controls.base) if kind in NEED_THE_DESIGN else kind(self.set)
            for name, kind in QUESTIONS.items()
        }

    def _main(self):
        self.views = self._make_views()
        self.question = widgets.ToggleButtons(
            options=[(view.title, name) for name, view in self.views.items()],
            style={"button_width": "110px"},
        )
        self.question.add_class("pm-question")
        self.question.observe(lambda _: self.ask(self.question.value), "value")
        style = widgets.HTML(STYLE, layout=widgets.Layout(display="none"))
        self.place = widgets.Box([self.view.box], layout=widgets.Layout(width="100%"))
        self.place.add_class("pm-view")
        self.heading = html_part("pm-below")
        self.heading.value = '<div class="pm-heading">The present design</div>'
        below = [self.heading, self.parts["picture"], *(self.parts[name] for name in GOOD[2:])]
        return [style, self.parts["verdict"], self.alert, self.question, self.place, *below]

    @property
    def shown(self) -> str:
        """Name of the view that is seen."""
        return self.question.value

    @property
    def view(self):
        """The view that is seen."""
        return self.views[self.shown]

    def ask(self, name: str) -> None:
        """Show a view."""
        if self.question.value != name:
            self.question.value = name  # comes back here
            return
        self.place.children = [self.view.box]
        self._answer()

    def update(self) -> None:
        """Follow a move: the view that is seen, as far as it is quick, and the design's own checks."""
        self._try_design(lambda design: self.view.update(design))
        super().update()
        if self.stale:
            self._finish_later()

    def finish(self) -> None:
        """Compute what is still to come, now."""
        super().finish()
        self._answer()

    def _answer(self):
        self._try_design(lambda design: self.view.finish(design))

    def _try_design(self, step):
        """Do a step with the design as set, if it is one: if not, the panel has said why."""
        try:
            design = self.design()
        except ValueError:
            self.view.grey(True)
            return
        step(design)

    def export(self) -> None:
        """Write the plots of the present design, and the pictures of the view that is seen."""
        super().export()
        folder = self._folder() / "plots"
        paths = self.view.export(folder)
        words = ", ".join(link(path, path.name) for path in paths)
        self.say(f"Pictures written: {words}; beside them the plots of the design.")

    def summary(self) -> str:
        """Verdict as in the other panels, and what the view says, as plain text."""
        return f"{super().summary()}\n{self.view.words()}"
