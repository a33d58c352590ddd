"""The views of the shop panel: cut, pour, heat, schedule, templates. Each shows a pack that was made elsewhere."""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from ..draw import shop_figures as plot_shop
from ..draw.heat_figures import describe_lift_depth, describe_pour, describe_schedule
from ..shop.pack import ShopPack, stock_words
from ..shop.resin import check_weighed
from ..units import to_si
from . import shop_tables as words
from . import study_tables as text
from .keep import ONE_AT_A_TIME, html_part
from .study_panel import in_words
from .view import Picture, fill, number, pick, row


class ShopView:
    """One side of the pack: `box` to show, `good` the parts that are greyed while it is out of date, `show(pack)`."""

    title = ""

    def __init__(self):
        self.pack = self._shown = None
        self.good = []
        self.alert = html_part("pm-message")
        self.box = widgets.VBox([self.alert, *self.parts()], layout=widgets.Layout(width="100%", grid_gap="8px"))

    def parts(self) -> list:
        """Widgets from top to bottom."""
        return []

    def draw(self) -> None:
        """Show `self.pack`."""

    def show(self, pack: ShopPack) -> None:
        """Show a pack, where it is another than the one that stands."""
        self.pack = pack
        if pack is not self._shown and self.guarded(self.draw):
            self._shown = pack

    def guarded(self, step, *_) -> bool:
        """Do a step; what goes wrong is said in words."""
        with ONE_AT_A_TIME:
            try:
                step()
            except Exception as error:  # a notebook would hide it
                self.alert.value = text.alert(*reversed(in_words(error)))
                return False
            self.alert.value = ""
            return True

    def grey(self, stale: bool) -> None:
        """Mark what stands as belonging to other settings, or not."""
        for part in self.good:
            (part.add_class if stale else part.remove_class)("pm-stale")

    def words(self) -> str:
        """What the view says, as plain text."""
        found = [self.alert, *(part for part in self.good if isinstance(part, widgets.HTML))]
        return "\n".join(filter(None, (text.plain(part.value.replace("<", " <")) for part in found)))


class CutView(ShopView):
    """Blanks, stock, lines to mark, masses."""

    title = "Cut"

    def parts(self):
        self.picture, self.listed, self.care = Picture("pm-stock"), html_part("pm-cut"), html_part("pm-cautions")
        self.good = [self.picture.image, self.picture.words, self.listed, self.care]
        return [self.picture.box, self.listed, self.care]

    def draw(self):
        self.picture.show(plot_shop.stock_figure(self.pack), stock_words(self.pack))
        self.listed.value = words.cut_tables(self.pack)
        self.care.value = words.caution_list(self.pack, "cut")


class PourView(ShopView):
    """Batches, and a check of what was really weighed."""

    title = "Pour"

    def parts(self):
        self.listed, self.checks = html_part("pm-pours"), html_part("pm-pour-checks")
        self.care, self.said = html_part("pm-cautions"), html_part("pm-weighed")
        self.which = pick("weighed-system", "weighed of", [("bond", "bond"), ("potting", "pour")], "pour", 220)
        self.resin = number("weighed-resin", "resin, g", 0.0, 180, 70)
        self.hardener = number("weighed-hardener", "hardener, g", 0.0, 200, 90)
        for control in (self.which, self.resin, self.hardener):
            control.observe(lambda _: self.guarded(self.judge), "value")
        heading = widgets.HTML('<div class="pm-heading">What did you really weigh?</div>')
        self.good = [self.listed, self.checks, self.care]
        return [self.listed, heading, row(self.which, self.resin, self.hardener), self.said, self.checks, self.care]

    def draw(self):
        self.listed.value = words.pour_tables(self.pack)
        self.checks.value = text.checks_table(self.pack)
        self.care.value = words.caution_list(self.pack, "batch")
        self.judge()

    def judge(self) -> None:
        """Judge the batch as weighed, once both numbers are there."""
        resin, hardener = (to_si(field.value, "g") for field in (self.resin, self.hardener))
        if self.pack is None or not (resin > 0.0 and hardener > 0.0):
            self.said.value = '<p class="pm-quiet">Type both and it is judged against the system\'s tolerance.</p>'
            return
        found = check_weighed(getattr(self.pack.choices, self.which.value), resin, hardener)
        self.said.value = f'<div class="pm-band pm-is-{found.verdict}" role="status">{escape(found.words)}</div>'


class HeatView(ShopView):
    """Temperature and cure of the lifts, and how deep a lift may be."""

    title = "Heat"

    def parts(self):
        self.which = pick("heat-of", "lift of the", [], None, 330, 70)
        self.which.observe(lambda _: self.guarded(self._draw_lift), "value")
        self.heat, self.depth = Picture("pm-heat"), Picture("pm-lift-depth")
        self.said, self.care = html_part("pm-lifts"), html_part("pm-cautions")
        self.good = [self.said, self.heat.image, self.heat.words, self.depth.image, self.depth.words, self.care]
        return [self.said, self.which, self.heat.box, self.depth.box, self.care]

    def draw(self):
        pack, self.pack = self.pack, None  # a filled list calls back
        names = [(name, number) for number, name in enumerate(pack.heat.names)]
        if tuple(names) != tuple(self.which.options):
            fill(self.which, names)
        self.pack = pack
        self._draw_lift()
        found = pack.heat.found
        self.depth.show(plot_shop.heat_figures(pack)["lift-depth"][0], describe_lift_depth(found))
        self.said.value = words.heat_words(pack)
        self.care.value = words.caution_list(pack, "batch")

    def _draw_lift(self):
        if self.pack is None or self.which.value is None:
            return
        figure = list(plot_shop.heat_figures(self.pack).values())[self.which.value][0]
        self.heat.show(figure, describe_pour(self.pack.heat.heat))


class ScheduleView(ShopView):
    """The build by the clock."""

    title = "Schedule"

    def parts(self):
        self.picture, self.listed, self.care = Picture("pm-plan"), html_part("pm-steps"), html_part("pm-cautions")
        self.good = [self.picture.image, self.picture.words, self.listed, self.care]
        return [self.picture.box, self.listed, self.care]

    def draw(self):
        self.picture.show(plot_shop.schedule_plot(self.pack), describe_schedule(self.pack.schedule))
        self.listed.value = words.schedule_table(self.pack)
        self.care.value = words.caution_list(self.pack, "schedule")


class TemplateView(ShopView):
    """Every template as it will be printed, with its offset table."""

    title = "Templates"

    def parts(self):
        self.which = pick("template", "template", [], None, 330, 70)
        self.which.observe(lambda _: self.guarded(self._draw_one), "value")
        self.picture, self.listed, self.said = Picture("pm-sheet"), html_part("pm-offsets"), html_part("pm-paper")
        self.good = [self.said, self.picture.image, self.picture.words, self.listed]
        return [self.which, self.said, self.picture.box, self.listed]

    def draw(self):
        pack, self.pack = self.pack, None
        names = [(template.name, template.key) for template in pack.templates]
        if tuple(names) != tuple(self.which.options):
            fill(self.which, names)
        self.pack = pack
        self._draw_one()

    def _draw_one(self):
        if self.pack is None or self.which.value is None:
            return
        template = next(t for t in self.pack.templates if t.key == self.which.value)
        figure, said = plot_shop.template_preview(template, self.pack.choices.page)
        self.said.value = f'<p class="pm-quiet">{escape(said)}</p>'
        self.picture.show(figure, f"{template.name}. {said}")
        self.listed.value = words.template_table(template)
