"""Two views of the trade-off panel: size backwards, and choose from stock."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets
import numpy as np

from ..draw import trade_off_figures as plot_trade
from ..materials.stock import catalogue
from ..study.checks import RULES
from ..study.choose import CRITERIA, Costs, combine, rank, unbeaten
from ..study.sizing import SIZED_OUTPUTS, output_unit, size
from ..study.study import evaluate
from ..units import from_si, pretty_unit, to_si
from . import trade_off_tables as words
from .keep import html_part
from .view import Picture, View, button, fill, input_options, number, output_options, pick, row, write_pictures

ROWS = 40
ALWAYS = ("mass", "least_reserve", "outer_thickness")  # criteria listed whatever is weighed
ASKED = {  # question -> input, output, target [SI] or the quantity whose present value is the target, times this
    "a spacer for an outer thickness": ("spacer_diameter", "outer_thickness", "outer_thickness", 1.2),
    "a spacer for the flat wedge's second moment": ("spacer_diameter", "i_chord", "wedge_i_chord", 1.0),
    "the largest spacer within the strain for good": ("spacer_diameter", "permanent_strain_reserve", 1.0, 1.0),
    "the thinnest sheet that does not press in": ("sheet_thickness", "oil_canning_reserve", 1.0, 1.0),
    "something of my own": None,
}


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
        self._filling = self._typed = False
        self.asked.observe(self._fill, "value")
        for control in (self.output, self.target, self.field):
            control.observe(self._own, "value")
        return [self.asked, row(self.output, self.target), self.field]

    def results(self):
        self.said = html_part("pm-sizing")
        self.answers = pick("answers", "answers", [], None, 460)
        self.use = button("use-answer", "Make this the design", lambda: self.guarded(self.choose))
        self.picture = Picture("pm-sizing-picture")
        self.good = [self.said, self.picture.image, self.picture.words]
        return [self.said, row(self.answers, self.use), self.picture.box]

    def _fill(self, change):
        self._typed = False
        self.again()

    def _own(self, change):
        """A field was changed by hand: it counts, whatever the question."""
        if not self._filling:
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
        self._filling = True
        try:
            self.field.value, self.output.value = field, output
            self.target.value = float(f"{factor * from_si(value, output_unit(output)):.4g}")
        finally:
            self._filling = False
        self._typed = factor != 1.0  # a proposal, not a number of the design: it stays

    def answer(self):
        self._ask()
        unit = output_unit(self.output.value)
        self.target.description = f"is, {pretty_unit(unit)}" if unit else "is"
        self.sizing = size(self.design, self.field.value, self.output.value, to_si(self.target.value, unit))
        self.said.value = words.sizing_words(self.sizing)
        fill(self.answers, words.sizing_options(self.sizing))
        self.use.disabled = not self.answers.options
        self.picture.show(plot_trade.sizing_figure(self.sizing), plot_trade.describe_sizing(self.sizing))

    def choose(self) -> None:
        """Make the chosen answer the design."""
        self.take(self.design.replace(**{self.sizing.field: self.answers.value}))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        return write_pictures(
            plot_trade.sizing_figure(self.sizing), folder / "size", plot_trade.describe_sizing(self.sizing)
        )


class ChooseView(View):
    """Rank all stock, and find what no other combination beats."""

    title = "Choose"
    hint = (
        "Every sheet of the catalogue in every thickness sold, with every rod and tube, for the present lengths. Left "
        "out is what cannot be bent or fails a check; the framed sheet is checked once a row is made the design. "
        "Prices are yours: without them there is no cost. They may go by size: 2: 15; 3: 22 is 15 for 2 mm."
    )

    def controls(self):
        options = [(f"{w[:1].upper()}{w[1:]}", name) for name, (w, _, _) in CRITERIA.items()]
        self.by = pick("rank-by", "list", [("What no other beats", ""), *options], "", 430)
        self.x = pick("front-x", "weighing", options, "mass", 430)
        self.y = pick("front-y", "against", options, "chord_stiffness", 430)
        self.judged = widgets.Checkbox(
            value=True, description="only where every limit has a basis", indent=False, layout={"width": "320px"}
        )
        self.judged.add_class("pm-judged")
        for control in (self.by, self.x, self.y, self.judged):
            control.observe(self.again, "value")
        return [row(self.x, self.y), row(self.by, self.judged), self._prices()]

    def _prices(self):
        """A field for every price, folded; an empty one is not known."""
        shelves = {
            "sheet": ("per m²", catalogue.sheets),
            "spacer": ("per m", catalogue.spacers),
            "resin": ("per kg", catalogue.resins),
        }
        self.prices = {
            (kind, name): _price(f"{name}, {unit}") for kind, (unit, shelf) in shelves.items() for name in shelf
        }
        for field in self.prices.values():
            field.observe(self.again, "value")
        inside = widgets.HBox(list(self.prices.values()), layout=widgets.Layout(flex_flow="row wrap"))
        folded = widgets.Accordion([inside], titles=("Prices, in any one currency",), selected_index=None)
        folded.add_class("pm-prices")
        return folded

    def results(self):
        self.picture = Picture("pm-front")
        self.listed = html_part("pm-ranking")
        self.chosen = pick("chosen-row", "row", [], None, 190, 40)
        self.use = button("use-row", "Make this row the design", lambda: self.guarded(self.choose), 210)
        self.good = [self.picture.image, self.picture.words, self.listed]
        return [self.picture.box, row(self.chosen, self.use), self.listed]

    def costs(self) -> Costs:
        """The prices typed; ValueError for one that is not a number."""
        found = {"sheet": {}, "spacer": {}, "resin": {}}
        for (kind, name), field in self.prices.items():
            if field.value.strip():
                found[kind][name] = (_to_price if kind == "resin" else _to_prices)(name, field.value)
        return Costs(*found.values())

    def answer(self):
        self.choices = combine(self.design, costs=self.costs())
        axes, judged = (self.x.value, self.y.value), self.judged.value
        if axes[0] == axes[1]:
            raise ValueError("the same criterion is weighed against itself: choose two different ones")
        front = unbeaten(self.choices, axes, judged)
        if not len(front):
            raise ValueError(self._why_none(axes))
        self.order = front if not self.by.value else rank(self.choices, self.by.value, ROWS, judged)
        self.figure_of = (self.choices, *axes, front, self._present(axes), judged)
        self.picture.show(
            plot_trade.front_figure(*self.figure_of), plot_trade.describe_front(self.choices, *axes, front)
        )
        fill(self.chosen, [(str(n), int(i)) for n, i in enumerate(self.order, 1)])
        self.use.disabled = not len(self.order)
        shown = dict.fromkeys((*axes, *filter(None, [self.by.value]), *ALWAYS))
        self.listed.value = words.ranking(self.choices, self.order, shown)

    def _why_none(self, axes):
        if "cost" in axes or self.by.value == "cost":
            return "no cost is known: type the prices of at least one sheet, one spacer and the resin"
        return "no combination of stock can be bent to these lengths without failing a check: change a length"

    def _present(self, axes):
        """The present design by these criteria; nan where it is not known."""
        try:
            found = evaluate(self.design, local=False)
        except ValueError:
            return (np.nan, np.nan)
        values = {**found.quantities, "mass": found.quantities["mass_per_length"] * self.design.span}
        reserves = [found.check(rule.key).reserve for rule in RULES]
        values["least_reserve"] = np.fmin.reduce(reserves)
        return tuple(values.get(name, np.nan) for name in axes)

    def choose(self) -> None:
        """Make the chosen row the design."""
        self.take(self.choices.design_at(self.chosen.value))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        alt = plot_trade.describe_front(self.choices, *self.figure_of[1:4])
        return write_pictures(plot_trade.front_figure(*self.figure_of), folder / "choice", alt)


def _price(label):
    field = widgets.Text(
        description=label,
        placeholder="not known",
        continuous_update=False,
        style={"description_width": "270px"},
        layout=widgets.Layout(width="400px", margin="1px 12px 1px 0"),
    )
    field.add_class("pm-price")
    return field


def _to_prices(name, typed):
    """One price for every size, or {size [m]: price} from "2: 15; 3: 22"."""
    if ":" not in typed:
        return _to_price(name, typed)
    pairs = [part.partition(":")[::2] for part in typed.split(";") if part.strip()]
    return {to_si(_amount(size, name, typed), "mm"): _amount(price, name, typed) for size, price in pairs}


def _to_price(name, typed):
    return _amount(typed, name, typed)


def _amount(word, name, typed):
    try:
        value = float(word.replace(",", "."))
    except ValueError:
        value = -1.0
    if not (np.isfinite(value) and value >= 0):
        raise ValueError(
            f"the price of {name} is {typed!r}: give a number of zero or more, or by size in mm as in 2: 15; 3: 22, or "
            "leave it empty"
        )
    return value
