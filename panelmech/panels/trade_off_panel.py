"""The panel of notebook 03: one design, five questions about it.

The controls on the left set the design, as in the other panels. Beside them stand the questions: a map of two inputs,
sizing backwards, choosing from stock, scatter, and designs side by side. Each can hand back a design, which then
becomes the present one. No formula and no drawing of its own.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import ipywidgets as widgets
import numpy as np
import traitlets as t

from ..draw.study_figures import overlay_figure
from ..draw.trade_off_figures import (
    describe_front,
    describe_scatter,
    describe_shares,
    describe_sizing,
    front_figure,
    scatter_figure,
    shares_figure,
    sizing_figure,
)
from ..entries import read_entry
from ..job.every import counts, judge_of
from ..job.shelf import DEMO, JOBS, job_names, job_of
from ..materials.stock import catalogue
from ..study.checks import RULES
from ..study.choose import CRITERIA, Costs, combine, rank_steps, unbeaten_steps
from ..study.design import Design
from ..study.every import COUNTED, judge_design
from ..study.side_by_side import compare, design_names
from ..study.sizing import SIZED_OUTPUTS, output_unit, size
from ..study.study import Study, evaluate
from ..study.tolerances import Tolerance, default_tolerances, scatter
from ..units import capital, from_si
from . import trade_off_tables as words
from .guard import ONE_AT_A_TIME
from .job_box import offer
from .map_view import MapView
from .panel import Panel
from .parts import Entry
from .steps import Steps
from .view import ShownFigure, View, below, input_options, output_options
from .widgets import (
    Fold,
    button,
    fill,
    fold_away,
    html_part,
    mark_stale,
    marked,
    number,
    pick,
    row,
    show_if,
    tick,
    words_field,
)

# ----- The views of the trade-off panel beside its map: size backwards, choose from stock, scatter, designs side by
# side.


ROWS = 40
ALWAYS = ("mass", "least_reserve", "outer_thickness")  # criteria listed whatever is weighed
ASKED = {  # question -> input, output, target [SI] or the quantity whose present value is the target, times this
    "a spacer for an outer thickness": ("spacer_diameter", "outer_thickness", "outer_thickness", 1.2),
    "a spacer for the flat wedge's second moment": ("spacer_diameter", "i_chord", "wedge_i_chord", 1.0),
    "the largest spacer within the strain for good": ("spacer_diameter", "permanent_strain_reserve", 1.0, 1.0),
    "the thinnest sheet that does not press in": ("sheet_thickness", "oil_canning_reserve", 1.0, 1.0),
    "something of my own": None,
}
MOVING, ALL = 20_000, 100_000  # parts of a scatter: at rest, and on demand
KINDS = [("half of a band", "band"), ("a standard deviation", "deviation")]
MOST_KEPT = 3


class SizeView(View):
    """Solve backwards for one input."""

    title = "Size"
    hint = (
        "Choose a question, or set input, result and wanted value yourself. The whole range is searched, and every "
        "answer in it is listed, with the sizes one can buy beside it."
    )

    def controls(self):
        self.asked = pick("asked", "look for", list(ASKED), next(iter(ASKED)), 460)
        self.output = pick("sized-output", "so that", output_options(dict.fromkeys(SIZED_OUTPUTS)), None, 560)
        self.target = number("target", "is", 0.0, 220)
        self.field = pick("sized-field", "changing", input_options(), None, 330)
        self._typed = False
        self.listen(self._fill, self.asked)
        self.listen(self._own, self.output, self.target, self.field)
        return [self.asked, row(self.output, self.target), self.field]

    def results(self):
        self.said = html_part("pm-sizing")
        self.answers = pick("answers", "answers", [], None, 460)
        self.use = button("use-answer", "Make this the design", partial(self.guarded, self.choose))
        self.picture = ShownFigure("pm-sizing-picture", "size")
        return [self.said, row(self.answers, self.use), self.picture]

    def _fill(self, change):
        self._typed = False
        self.again()

    def _own(self, change):
        """A field was changed by hand: it counts, whatever the question."""
        self._typed = True
        if change["owner"] is not self.target:
            self.asked.value = list(ASKED)[-1]
            self._typed = True
        self.again()

    def _ask(self):
        """Set the fields as the question says, unless a field was changed by hand since."""
        wanted = ASKED[self.asked.value]
        if wanted is None or self._typed:
            return
        field, output, target, factor = wanted
        value = evaluate(self.design, local=False).quantities[target] if isinstance(target, str) else target
        with self.quietly():
            self.field.value, self.output.value = field, output
            self.target.value = float(f"{factor * from_si(value, output_unit(output)):.4g}")
        self._typed = factor != 1.0  # a proposal, not a number of the design: it stays

    def answer(self):
        self._ask()
        unit = output_unit(self.output.value)
        with self.quietly():
            self.target.named("is", unit)
        self.sizing = size(self.design, self.field.value, self.output.value, self.target.si())
        self.said.value = words.sizing_words(self.sizing)
        fill(self.answers, words.sizing_options(self.sizing))
        self.use.disabled = not self.answers.options
        self.picture.show(sizing_figure(self.sizing), describe_sizing(self.sizing))

    def choose(self) -> None:
        """Make the chosen answer the design."""
        self.take(self.design.replace(**{self.sizing.field: self.answers.value}))


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
        refused = words.refused_words(self.choices)
        why = f" ({refused})" if refused else ""
        return f"no combination of stock can be bent to these lengths without failing a check{why}: change a length"

    def _present(self, axes):
        """The present design by these criteria; nan where it is not known."""
        try:
            study = evaluate(self.design, local=False)
        except ValueError:
            return (np.nan, np.nan)
        values = {**study.quantities, "mass": study.quantities["mass_per_length"] * self.design.span}
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


class ScatterView(View):
    """What tolerances do to the part, and which matters most."""

    title = "Scatter"
    hint = (
        "Every value within a tolerance is equally likely, unless you say it is a standard deviation. Both sheets are "
        "taken alike, cut side by side. The power beside a share says how the result follows the input: 3 means with "
        "its cube. The framed sheet is left out."
    )

    def controls(self):
        self.output = pick("scatter-output", "picture of", output_options(words.SCATTERED), "chord_stiffness", 560)
        self.kind = pick("kind", "each is", KINDS, None, 300)
        self.sizes = {}
        for field in ("sheet_thickness", "modulus", "spacer_diameter", "setback", "bond_line"):
            self.sizes[field] = number(
                f"tolerance-{field}", words.tolerance_label(field), 0.0, 260, words.tolerance_unit(field), low=0.0
            )
        self._for = None
        self.listen(self.again, self.output, self.kind, *self.sizes.values())
        count = f"{ALL:,}".replace(",", "\u202f")
        self.more = button("all-parts", f"Work out {count} parts", partial(self.guarded, self.work_out_all), 220)
        self.reset = button("own-tolerances", "Tolerances of the catalogue", partial(self.guarded, self._reset), 220)
        return [self.output, row(*self.sizes.values()), row(self.kind, self.reset, self.more)]

    def results(self):
        self.said = html_part("pm-scatter")
        self.picture, self.shares = ShownFigure("pm-scatter-picture", "scatter"), ShownFigure("pm-shares", "shares")
        self.tables = html_part("pm-scatter-tables")
        return [self.said, self.picture, self.shares, self.tables]

    def _reset(self):
        self._for = None
        self.answer()

    def _fill(self):
        """The catalogue's tolerances, whenever the sheet or its thickness has changed."""
        key = (self.design.sheet, self.design.sheet_thickness, self.design.bond_line)
        if key == self._for:
            return
        with self.quietly():
            self.kind.value = "band"
            for t in default_tolerances(self.design):
                shown = from_si(t.size, words.tolerance_unit(t.field))
                self.sizes[t.field].value = float(f"{shown:.4g}")
        self._for = key

    def tolerances(self) -> tuple:
        """The tolerances as typed; those of zero are left out."""
        return tuple(
            Tolerance(field, control.si(), self.kind.value)
            for field, control in self.sizes.items()
            if control.si() != 0
        )

    def answer(self):
        self._fill()
        self._show(MOVING)

    def work_out_all(self) -> None:
        """The same with many more parts, which takes about a second."""
        self._show(ALL)

    def _show(self, count):
        study = evaluate(self.design, local=False)
        self.result = parts = scatter(self.design, self.tolerances(), count)
        output = self.output.value
        self.said.value = words.most_important_words(parts, output)
        limits = [
            (f"limit: {c.name[:1].lower()}{c.name[1:]}", c.limit)
            for c in study.checks
            if c.kind == "limit" and any(rule.key == c.key and rule.quantity == output for rule in RULES)
        ]
        figure = scatter_figure(parts, output, study.quantities.get(output), limits)
        self.picture.show(figure, describe_scatter(parts, output))
        self.shares.show(shares_figure(parts, words.SHARES_OF), describe_shares(parts, words.SHARES_OF))
        tables = words.scatter_table(parts, study.quantities), words.cause_table(parts), words.failing_table(parts)
        self.tables.value = "".join(tables)


class CompareView(View):
    """Two to four designs side by side. `kept` are the studies set beside the present design."""

    title = "Compare"
    hint = (
        "The present design stands last; those kept before it stay as they were, and so do designs of other jobs that "
        "are set beside it. At most three are kept. A design is "
        "called by its title, and by what tells it from others of that title."
    )

    def __init__(self, take, design: Design, shelf=JOBS):
        self._first, self.shelf = design, shelf
        self.kept = []
        super().__init__(take)
        self.good.append(self.more)

    def controls(self):
        self.keep = button("keep-design", "Keep the present design", partial(self.guarded, self.add), 220)
        self.drop = button("drop-design", "Let this one go", partial(self.guarded, self.let_go), 150)
        self.use = button("use-design", "Make it the design again", partial(self.guarded, self.choose), 210)
        self.which = pick("kept-design", "kept", [], None, 330, 40)
        self.name = words_field("kept-title", "its title", 330, 60)
        self.listen(self._show_title, self.which)
        self.listen(lambda _: self.guarded(self.rename), self.name)
        self.job = pick("compare-job", "job", [], None, 330, 40)
        self.add_job = button("add-job", "Keep this job's design", partial(self.guarded, self.add_from_shelf), 220)
        return [row(self.keep, self.which, self.name), row(self.use, self.drop), row(self.add_job, self.job)]

    def results(self):
        self.picture = ShownFigure("pm-overlay", "compared")
        self.listed, self.more = html_part("pm-compared"), html_part("pm-compared-rows")
        self.everything = tick("everything", "show what is equal, too", False, None)
        self.listen(self.again, self.everything)
        self.rest = Fold("All else that differs", [self.everything, self.more], "more-rows")
        return [self.listed, self.picture, self.rest]

    def add(self, design: Design | None = None) -> None:
        """Keep a design, the present one by default; ValueError where three are kept already."""
        if len(self.kept) >= MOST_KEPT:
            raise ValueError(f"{MOST_KEPT} designs are kept already: let one go first")
        self.kept.append(evaluate(design or self.design))
        self._list(len(self.kept) - 1)
        if self.design is not None:
            self.answer()

    def add_from_shelf(self) -> None:
        """Keep the design of the job chosen."""
        if self.job.value is not None:
            self.add(job_of(self.job.value, self.shelf).design)

    def let_go(self) -> None:
        """Forget the kept design that is chosen."""
        if self.which.value is not None:
            del self.kept[self.which.value]
        self._list()
        self.answer()

    def choose(self) -> None:
        """Make the kept design that is chosen the present one."""
        if self.which.value is not None:
            self.take(self.kept[self.which.value].design)

    def rename(self) -> None:
        """Give the kept design that is chosen the title typed."""
        if self.which.value is None:
            raise ValueError("no design is kept that could be given a title: keep one first")
        study = self.kept[self.which.value]
        titled = study.design.replace(title=self.name.value.strip())
        self.kept[self.which.value] = replace(study, design=titled)
        self._list(self.which.value)
        if self.design is not None:
            self.answer()

    def _list(self, chosen=0):
        """List the kept designs by name, with one chosen."""
        with self.quietly():
            names = design_names([study.design for study in self.kept])
            fill(self.which, [(name, i) for i, name in enumerate(names)])
            if self.kept:
                self.which.value = chosen
        self._show_title()

    def _show_title(self, *_):
        with self.quietly():
            chosen = self.which.value
            self.name.value = "" if chosen is None else self.kept[chosen].design.title

    def answer(self):
        offer(self.job, (DEMO, *job_names(self.shelf)))
        if not self.kept:
            self.kept.append(evaluate(self._first))
            self._list()
        present: Study = evaluate(self.design)
        studies = [*self.kept, present]
        self.found = compare(*studies)
        *kept, last = design_names([study.design for study in studies])
        names = [*kept, f"{last} (present)"]
        self.listed.value = words.overview(self.found, names)
        self.picture.show(overlay_figure(studies, labels=names), f"Sections overlaid: {'; '.join(names)}.")
        self.rest.button.title = words.rows_title(self.found, self.everything.value)
        self.more.value = words.differing_table(self.found, names, self.everything.value)


# ----- The panel of notebook 03: one design, five questions about it.


def panel_trade(given, **places) -> TradePanel:
    """Panel of notebook 03, of a job or a design. `places` may name the folders `jobs` and `out`."""
    return TradePanel(given, **places)


class TradePanel(Panel):
    """A panel of five views of one design."""

    place = "trade-offs"
    _judged = None

    def make(self):
        design, take = self.controls.base, self.set
        choose = ChooseView(take, self._judge, lambda: counts(self.work.desk.job))
        views = {"map": MapView(take, design), "size": SizeView(take), "choose": choose}
        self.add_views(
            {**views, "scatter": ScatterView(take), "compare": CompareView(take, design, self.work.desk.shelf)}
        )

    def _judge(self):
        """The judge of designs for the job as it lies on the desk, the same one while that stays the same."""
        job = self.work.desk.job
        if self._judged is None or self._judged[0] != job:
            self._judged = job, judge_of(job, soon=True)
        return self._judged[1]

    def main(self):
        return self.around_views([], [below("The present design")])
