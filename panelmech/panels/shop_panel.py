"""The panel of notebook 06: one design, the shop's choices, and the pack that follows from both.

The controls on the left set the design, as in the other panels. Beside them stand the shop's choices and five views of
the pack. While a slider moves nothing is worked out but the design's own checks; the pack, heat of the pours included,
follows when the hand rests. No formula and no drawing of its own.
"""

from __future__ import annotations

from functools import partial
from html import escape

import ipywidgets as widgets

from ..draw.pour_figures import describe_lift_depth, describe_pour, describe_schedule
from ..draw.shop_figures import heat_figures, schedule_plot, stock_figure, template_preview
from ..report.folder import old_words
from ..report.shop_sheets import write_shop
from ..shop.choices import FORMAT, ShopChoices
from ..shop.pack import ShopPack, shop_pack, stock_words
from ..shop.resin import check_weighed
from ..study.design import Design
from ..units import lengths
from . import shop_tables as words
from . import study_tables as text
from .controls import ShopControls
from .files import link, names_of
from .guard import guarded
from .keep import FileBox
from .panel import Panel
from .view import ShownFigure, View, below
from .widgets import button, fill, fold_away, heading, html_part, mark_stale, number, pick, row


class ShopView(View):
    """One side of the pack, which is made elsewhere: `show(pack)`."""

    gap, pack = 8, None

    def state(self):
        return self.pack.design, self.pack.choices

    def show(self, pack: ShopPack) -> None:
        """Show a pack, where it is another than the one that stands."""
        self.pack = pack
        self.finish(pack.design)

    def guarded(self, step) -> bool:
        """As in every view; but a list or a field of the view does not make an old pack a new one."""
        stale = self.stale
        went_well = super().guarded(step)
        self.grey(stale or not went_well)
        return went_well


class CutView(ShopView):
    """Blanks, stock, lines to mark, masses."""

    title = "Cut"

    def results(self):
        self.picture, self.listed, self.care = ShownFigure("pm-stock"), html_part("pm-cut"), html_part("pm-cautions")
        return [self.picture, self.listed, self.care]

    def answer(self):
        self.picture.show(stock_figure(self.pack), stock_words(self.pack))
        self.listed.value = words.cut_tables(self.pack)
        self.care.value = words.caution_list(self.pack, "cut")


class PourView(ShopView):
    """Batches, and a check of what was really weighed."""

    title = "Pour"

    def results(self):
        self.listed, self.checks = html_part("pm-pours"), html_part("pm-pour-checks")
        self.care, self.said = html_part("pm-cautions"), html_part("pm-weighed")
        self.which = pick("weighed-system", "weighed of", [("bond", "bond"), ("potting", "pour")], "pour", 220)
        self.resin = number("weighed-resin", "resin", 0.0, 180, "g", low=0.0)
        self.hardener = number("weighed-hardener", "hardener", 0.0, 200, "g", low=0.0)
        self.listen(lambda _: self.guarded(self.judge), self.which, self.resin, self.hardener)
        self.steady = (self.said,)
        asked = [heading("What did you really weigh?"), row(self.which, self.resin, self.hardener), self.said]
        return [self.listed, *asked, self.checks, self.care]

    def answer(self):
        self.listed.value = words.pour_tables(self.pack)
        self.checks.value = text.checks_table(self.pack)
        self.care.value = words.caution_list(self.pack, "batch")
        self.judge()

    def judge(self) -> None:
        """Judge the batch as weighed, once both numbers are there."""
        resin, hardener = self.resin.si(), self.hardener.si()
        if self.pack is None or not (resin > 0.0 and hardener > 0.0):
            self.said.value = '<p class="pm-quiet">Type both and it is judged against the system\'s tolerance.</p>'
            return
        weighed = check_weighed(getattr(self.pack.choices, self.which.value), resin, hardener)
        self.said.value = f'<div class="pm-band pm-is-{weighed.verdict}" role="status">{escape(weighed.words)}</div>'


class OneOfView(ShopView):
    """A view of one thing of several in the pack, chosen from the list `which`."""

    def choose_from(self, kind: str, label: str) -> None:
        """Have a list to choose from."""
        self.which = pick(kind, label, [], None, 330, 70)
        self.listen(lambda _: self.guarded(self._draw), self.which)

    def offer(self, options: list) -> None:
        """Fill the list, where it is another than the one that stands, and show what is chosen."""
        if tuple(options) != tuple(self.which.options):
            with self.quietly():
                fill(self.which, options)
        self._draw()

    def _draw(self):
        if self.pack is not None and self.which.value is not None:
            self.draw(self.which.value)

    def draw(self, chosen) -> None:
        """Show what is chosen."""


class HeatView(OneOfView):
    """Temperature and cure of the lifts, and how deep a lift may be."""

    title = "Heat"

    def results(self):
        self.choose_from("heat-of", "lift of the")
        self.heat, self.depth = ShownFigure("pm-heat"), ShownFigure("pm-lift-depth")
        self.said, self.care = html_part("pm-lifts"), html_part("pm-cautions")
        return [self.said, self.which, self.heat, self.depth, self.care]

    def answer(self):
        pack = self.pack
        self.offer([(name, number) for number, name in enumerate(pack.heat.names)])
        self.depth.show(heat_figures(pack)["lift-depth"][0], describe_lift_depth(pack.heat.deepest))
        self.said.value = words.heat_words(pack)
        self.care.value = words.caution_list(pack, "batch")

    def draw(self, chosen):
        figure = list(heat_figures(self.pack).values())[chosen][0]
        self.heat.show(figure, describe_pour(self.pack.heat.heat))


class ScheduleView(ShopView):
    """The build by the clock."""

    title = "Schedule"

    def results(self):
        self.picture, self.listed, self.care = ShownFigure("pm-plan"), html_part("pm-steps"), html_part("pm-cautions")
        return [self.picture, self.listed, self.care]

    def answer(self):
        self.picture.show(schedule_plot(self.pack), describe_schedule(self.pack.schedule))
        self.listed.value = words.schedule_table(self.pack)
        self.care.value = words.caution_list(self.pack, "schedule")


class TemplateView(OneOfView):
    """Every template as it will be printed, with its offset table."""

    title = "Templates"

    def results(self):
        self.choose_from("template", "template")
        self.picture, self.listed, self.said = ShownFigure("pm-sheet"), html_part("pm-offsets"), html_part("pm-paper")
        return [self.which, self.said, self.picture, self.listed]

    def answer(self):
        self.offer([(template.name, template.key) for template in self.pack.templates])

    def draw(self, chosen):
        template = next(t for t in self.pack.templates if t.key == chosen)
        figure, said = template_preview(template, self.pack.choices.page)
        self.said.value = f'<p class="pm-quiet">{escape(said)}</p>'
        self.picture.show(figure, f"{template.name}. {said}")
        self.listed.value = words.template_table(template)


VIEWS = {"cut": CutView, "pour": PourView, "heat": HeatView, "schedule": ScheduleView, "templates": TemplateView}
BUTTONS = {
    "load-shop": ("Load", "Set all of the shop's choices as in a shop file"),
    "save-shop": ("Save", "Write the shop's choices to a shop file of this name"),
}


def panel_shop(design: Design, choices: ShopChoices | None = None, **places) -> ShopPanel:
    """Panel of notebook 06. `places` may name the folders `studies` and `out`."""
    return ShopPanel(design, choices, **places)


class ShopPanel(Panel):
    """A panel with the shop's choices and views of the pack: `shop` the choices' controls, `pack` the last good pack,
    `line` what it comes to, `shop_alert` what is wrong with the choices, `files` the shop files."""

    def __init__(self, design: Design, choices: ShopChoices | None = None, **places):
        self.pack, self._made_for = None, None
        self.shop = ShopControls(ShopChoices() if choices is None else choices)
        super().__init__(design, **places)
        self.shop.on_change(self.update_shop)

    def make(self):
        self.add_views({name: kind() for name, kind in VIEWS.items()}, "auto")
        self.line, self.shop_alert, self.news = (html_part(f"pm-{kind}") for kind in ("pack", "message", "message"))
        hint = "Cut list, batch sheet, schedule, templates, plots: all files to print and cut from"
        press = partial(guarded, self.write_pack, lambda words: self._say(self.news, words))
        self.write = button("write-pack", "Write the pack", press, 190, hint, main=True)
        names = partial(names_of, self.keep.folder, lambda kind: kind == FORMAT)
        labels = ("shop files", "file name")
        self.files = FileBox(self.keep.folder, names, ("shop-files", "shop-name"), labels, "a shop file", own=(FORMAT,))
        actions = {"load-shop": self.load_shop, "save-shop": self.save_shop}
        self.files.buttons = self.files.make_buttons(BUTTONS, actions)

    def own_controls(self):
        files = [self.files.stored, self.files.name, widgets.HBox(list(self.files.buttons.values())), self.files.news]
        return [self.shop.group(), fold_away({"Shop as files": files})]

    def main(self):
        first = [self.line, self.shop_alert, widgets.HBox([self.write]), self.news]
        return self.around_views(first, [below("The present design")])

    def moved(self):
        """The pack follows when the hand rests."""
        self._grey(True)

    def update_shop(self) -> None:
        """Follow a move of the shop's choices: the pack when the hand rests."""
        self._grey(True)
        self.rest.wait()

    def rested(self):
        if self.stale:  # the design is no good: the panel has said why
            self._not_made("")
        else:
            guarded(self._make, self._not_made)

    def _make(self):
        key = self.design(), self.shop.choices(), lengths()
        if key != self._made_for:
            self.pack = shop_pack(*key[:2])
            self._made_for = key
            self.line.value = words.pack_line(self.pack)
        self.shop_alert.value, self.write.disabled = "", False
        self._grey(False)
        self.view.show(self.pack)

    def _not_made(self, words):
        self.shop_alert.value, self.write.disabled = words, True
        if self.pack is not None:
            self.view.show(self.pack)
        self._grey(True)

    def _grey(self, stale):
        for view in self.views.values():
            view.grey(stale)
        mark_stale([self.line], stale)

    @staticmethod
    def _say(part, words):
        part.value = words

    def write_pack(self) -> None:
        """Write the whole pack of the present design and choices."""
        self.news.value = text.news("Writing the shop pack, some seconds …")
        self.finish()
        if self.write.disabled:
            self.news.value = ""
            return
        files = write_shop(self.pack, self.folder() / "shop")
        old = old_words(files.removed, files.left)
        sheets = ", ".join(link(path, path.name) for path in files.sheets.values())
        printed = link(files.folder / "templates" / "templates.pdf", "templates.pdf")
        self.news.value = text.news(
            f"Shop pack written: {sheets} and {printed} to print; the rest is beside them in "
            f"the folder {files.folder.name}. {escape(' '.join(old))}"
        )

    def set_shop(self, choices: ShopChoices) -> None:
        """Set all of the shop's choices."""
        self.shop.set(choices)
        self.update_shop()
        self.finish()

    def save_shop(self) -> None:
        """Write the shop's choices under the name in the field; over an older shop file only when asked twice."""
        self.files.save(self.shop.choices().save)

    def load_shop(self) -> None:
        """Set all of the shop's choices as in the shop file named."""
        path = self.files.existing()
        self.set_shop(ShopChoices.load(path))
        self.files.say(f"Loaded {link(path)}.")

    def summary(self) -> str:
        """Verdict as in the other panels, the pack in a line or what is wrong, and what the view says."""
        self.finish()
        line = self.shop_alert if self.shop_alert.value else self.line
        return "\n".join((text.plain(self.headline()), text.plain(line.value), self.view.words()))
