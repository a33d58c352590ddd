"""The choice of the trade-off panel: all stock ranked, every check counted, the rows as they are found."""

from __future__ import annotations

from functools import partial

import ipywidgets as widgets
import numpy as np
import traitlets as t

from ..draw.trade_off_figures import describe_front, front_figure
from ..entries import read_entry
from ..materials.stock import catalogue
from ..study.choose import CRITERIA, Costs, combine, rank_steps, unbeaten_steps
from ..study.every import COUNTED, judge_design
from ..study.quantities import mass_over_span
from ..study.study import evaluate
from ..units import capital
from . import trade_off_tables as words
from .guard import ONE_AT_A_TIME
from .parts import Entry
from .steps import Steps
from .view import ShownFigure, View
from .widgets import button, fill, fold_away, html_part, mark_stale, marked, pick, row, show_if, tick

ROWS = 40
ALWAYS = ("mass", "least_reserve", "outer_thickness")  # criteria listed whatever is weighed


class ChooseView(View):
    """Rank all stock, and find what no other combination beats. `judge()` gives the judge of the job as it is, of which
    `counted()` says what it counts."""

    title = "Choose"
    hint = (
        "Every sheet of the catalogue in every thickness sold, with every rod and tube, for the present lengths. Left "
        "out is what cannot be bent or fails a check: the quick checks rule most of it out, the rest is judged with "
        "every check, best first, and a row stands in the list once all of them let it pass. "
        "Prices are yours: without them there is no cost. They may go by size: 2 mm: 15; 3 mm: 22."
    )

    def __init__(self, take, judge=lambda: judge_design, counted=lambda: COUNTED):
        self.judge, self.counted, self.choices, self.order, self._new = judge, counted, None, (), False
        self.steps = Steps(self.guarded, self._tell, self._show, self._end)
        super().__init__(take)
        self.good.append(self.said)

    def controls(self):
        options = [(capital(w), name) for name, (w, _, _) in CRITERIA.items()]
        self.by = pick("rank-by", "list", [("What no other beats", ""), *options], "", 430)
        self.x = pick("front-x", "weighing", options, "mass", 430)
        self.y = pick("front-y", "against", options, "chord_stiffness", 430)
        self.judged = tick("judged", "only where every limit has a basis", True, 320)
        self.listen(self.again, self.by, self.x, self.y, self.judged)
        return [row(self.x, self.y), row(self.by, self.judged), self._prices()]

    def _prices(self):
        """A field for every price, folded; an empty one is not known."""
        shelves = {
            "sheet": ("per m²", catalogue.sheets),
            "spacer": ("per m", catalogue.spacers),
            "resin": ("per kg", catalogue.resins),
        }
        self.prices = {
            (kind, name): Price(name, per, kind != "resin") for kind, (per, shelf) in shelves.items() for name in shelf
        }
        self.listen(self.again, *self.prices.values())
        inside = widgets.HBox(list(self.prices.values()), layout=widgets.Layout(flex_flow="row wrap"))
        return fold_away({"Prices, in any one currency": inside}, "prices")

    def results(self):
        self.picture = ShownFigure("pm-front", "choice")
        self.listed = html_part("pm-ranking")
        self.listed.tabbable, self.listed.tooltip = True, "List of designs"  # it scrolls, by the arrow keys too
        self.chosen = pick("chosen-row", "row", [], None, 190, 40)
        self.use = button("use-row", "Make this row the design", partial(self.guarded, self.choose), 210)
        self.said = html_part("pm-progress")
        self.halt = button("stop-choosing", "Stop", self.stop, 90)
        show_if(self.halt, False)
        return [row(self.said, self.halt), self.picture, row(self.chosen, self.use), self.listed]

    def costs(self) -> Costs:
        """The prices typed; ValueError for one that is none."""
        costs = {"sheet": {}, "spacer": {}, "resin": {}}
        for (kind, name), field in self.prices.items():
            if field.price() is not None:
                costs[kind][name] = field.price()
        return Costs(*costs.values())

    def again(self, *_) -> None:
        """Answer once more; the rows follow as they are found."""
        super().again()
        self.steps.go_on()

    def answer(self):
        self.steps.stop()
        axes, judged = (self.x.value, self.y.value), self.judged.value
        if axes[0] == axes[1]:
            raise ValueError("the same criterion is weighed against itself: choose two different ones")
        self._combine(self.costs(), self.judge())
        fill(self.chosen, [])
        self.order, self.use.disabled, self._new = (), True, False
        self.steps.set(self._search(axes, judged))

    def _combine(self, costs, judge):
        """All combinations; what was judged before is kept where only the question has changed."""
        asked = self.design, costs, judge
        if self.choices is None or self._asked != asked:
            self.choices, self._asked = combine(self.design, costs=costs, judge=judge), asked

    def _search(self, axes, judged):
        """What no other beats, then the order asked for where that is another: (front, rows) as they come."""
        for found in unbeaten_steps(self.choices, axes, judged):
            yield found.order, found.order if not self.by.value else ()
        if not len(found.order):
            raise ValueError(self._why_none(axes))
        if self.by.value:
            for ranked in rank_steps(self.choices, self.by.value, ROWS, judged):
                yield found.order, ranked.order

    def _tell(self, item):
        show_if(self.halt, self.steps.at_work)
        self.said.value = words.progress(self.choices, len(item[1]), self.counted(), self.steps.at_work)

    def _show(self, item):
        front, rows = item
        if not len(front):
            return
        self.order, axes = rows, (self.x.value, self.y.value)
        figure = front_figure(self.choices, *axes, front, self._present(axes), self.judged.value)
        self.picture.show(figure, describe_front(self.choices, *axes, front))
        chosen = self.chosen.value
        fill(self.chosen, [(str(n), int(i)) for n, i in enumerate(self.order, 1)])
        if chosen in self.order:
            self.chosen.value = chosen
        self.use.disabled = not len(self.order)
        shown = dict.fromkeys((*axes, *filter(None, [self.by.value]), *ALWAYS))
        self.listed.value = words.ranking(self.choices, self.order, shown) if len(self.order) else ""
        self._new = True

    def _end(self):
        show_if(self.halt, False)

    def stop(self) -> None:
        """Leave it at the rows that stand."""
        self._answered = None  # who comes back to the question has it go on
        self.guarded(self._stop)

    def _stop(self):
        if self.steps.at_work:
            self.steps.stop()
            self.steps.show()
            self.said.value += words.paragraphs("Stopped: more may stand, and may beat some of these.")

    def grey(self, stale: bool) -> None:
        """As in every view; rows under way belong to settings that do not count any more, and what stood before is
        grey until the first of the new ones come."""
        with ONE_AT_A_TIME:
            if stale:
                self.steps.stop()
            super().grey(stale)
            if not stale and self.steps.at_work and not self._new:
                mark_stale([self.picture.image, self.picture.words, self.listed], True)
            show_if(self.halt, self.steps.at_work)

    def _why_none(self, axes):
        if "cost" in axes or self.by.value == "cost":
            return "no cost is known: type the prices of at least one sheet, one spacer and the resin"
        if self.judged.value and self.choices.unjudged:
            return (
                "every combination that fails no check has one whose limit has no basis: state that limit, or list "
                "them without the tick above"
            )
        refused = words.refused_words(self.choices)
        why = f" ({refused})" if refused else ""
        return f"no combination of stock can be bent to these lengths without failing a check{why}: change a length"

    def _present(self, axes):
        """The present design by these criteria; nan where it is not known."""
        try:
            study = evaluate(self.design, local=False)
        except ValueError:
            return (np.nan, np.nan)
        values = {**study.quantities, "mass": mass_over_span(self.design, study.quantities)}
        values["least_reserve"] = self.choices.judge(self.design).reserve if "least_reserve" in axes else np.nan
        return tuple(values.get(name, np.nan) for name in axes)

    def choose(self) -> None:
        """Make the chosen row the design."""
        self.take(self.choices.design_at(self.chosen.value))


class Price(Entry):
    """A price as typed, one or by size; an empty field is a price that is not known.

    setting : the price (None, a number, or {size [m]: price}) and why it is refused, "" where it is not
    """

    setting = t.Any((None, ""))

    def __init__(self, name: str, per: str, by_size: bool):
        self.name, self.by_size = name, by_size
        super().__init__(label=f"{capital(name)}, {per}", placeholder="not known")
        self.layout = widgets.Layout(width="400px", margin="1px 12px 1px 0")
        marked(self, "price")

    @property
    def value(self) -> str:
        """What stands in the field; setting it is typing it."""
        return self.text

    @value.setter
    def value(self, text: str) -> None:
        self.typed(text)

    def price(self):
        """The price; ValueError, in words, where what stands in the field is none."""
        if self.setting[1]:
            raise ValueError(self.setting[1])
        return self.setting[0]

    def typed(self, text: str) -> None:
        """Take what was typed, or say why not."""
        try:
            price, words = self._read(text), ""
        except ValueError as error:
            price, words = self.setting[0], str(error)
        with self.hold_sync():
            self.text, self.wrong = text, f"{capital(words)}." if words else ""
            if not words:
                self.good = text
            self.setting = (price, words)

    def _read(self, text):
        if not text.strip():
            return None
        if ":" not in text or not self.by_size:
            return self._amount(text)
        pairs = [part.partition(":")[::2] for part in text.split(";") if part.strip()]
        return {
            read_entry(size, f"size of {self.name}", "mm", above=0.0).value: self._amount(price)
            for size, price in pairs
        }

    def _amount(self, text):
        by_size = ", or by size as in 2 mm: 15; 3 mm: 22" if self.by_size else ""
        return read_entry(text, f"price of {self.name}", low=0.0, hint=f"one price{by_size}, or leave it empty").value
