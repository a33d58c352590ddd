"""The panel of notebook 03: one design, five questions about it.

The controls on the left set the design, as in the other panels. Beside them stand the questions: a map of two inputs,
sizing backwards, choosing from stock, scatter, and designs side by side. Each can hand back a design, which then
becomes the present one. No formula and no drawing of its own.
"""

from __future__ import annotations

from ..study.design import Design
from .map_view import MapView
from .panel import Panel
from .trade_off_views import ChooseView, CompareView, ScatterView, SizeView
from .view import below


def panel_trade(design: Design, **places) -> TradePanel:
    """Panel of notebook 03. `places` may name the folders `studies` and `out`."""
    return TradePanel(design, **places)


class TradePanel(Panel):
    """A panel of five views of one design."""

    def make(self):
        design, take = self.controls.base, self.set
        views = {"map": MapView(take, design), "size": SizeView(take), "choose": ChooseView(take)}
        self.add_views({**views, "scatter": ScatterView(take), "compare": CompareView(take, design)})

    def main(self):
        first = [self.parts["verdict"], self.alert]
        return self.around_views(first, [below("The present design"), self.parts["picture"]])
