"""The panel of notebook 06: one design, the shop's choices, and the pack that follows from both.

The controls on the left set the design, as in the other panels. Beside them stand the shop's choices and five views of
the pack. While a slider moves nothing is worked out but the design's own checks; the pack, heat of the pours included,
follows when the hand rests: its numbers first, then its pictures. No formula and no drawing of its own.
"""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from ..draw.pour_figures import describe_lift_depth, describe_pour, describe_schedule
from ..draw.shop_figures import depth_figure, lift_figure, schedule_plot, stock_figure, template_preview
from ..job.verdict import judge_part
from ..shop.choices import ShopChoices
from ..shop.pack import ShopPack, shop_pack, stock_words
from ..shop.resin import check_weighed
from ..units import lengths
from . import shop_tables as words
from . import study_tables as text
from .controls import ShopControls
from .desk import as_job
from .guard import AtRest, guarded, loop_runs
from .panel import NEXT, Panel
from .view import ShownFigure, View, below
from .widgets import button, fill, heading, html_part, mark_stale, number, pick, row


class ShopView(View):
    """One side of the pack, which is made elsewhere: `show(pack)`, then `draw_pictures()`."""

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

    def draw_pictures(self) -> None:
        """Draw what is promised."""
        if any(picture.waits for picture in self.pictures):
            self.guarded(lambda: [picture.draw() for picture in self.pictures])

    def grey(self, stale: bool) -> None:
        """As in every view; a picture that is still to be drawn stays grey."""
        super().grey(stale)
        mark_stale([picture.image for picture in self.pictures if picture.waits], True)


class CutView(ShopView):
    """Blanks, stock, lines to mark, masses."""

    title = "Cut"

    def results(self):
        self.picture, self.listed, self.care = ShownFigure("pm-stock"), html_part("pm-cut"), html_part("pm-cautions")
        return [self.picture, self.listed, self.care]

    def answer(self):
        self.picture.promise(lambda pack=self.pack: stock_figure(pack), stock_words(self.pack))
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
        self.listen(lambda _: self.guarded(self._draw) and self.draw_pictures(), self.which)

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
        self.depth.promise(lambda: depth_figure(pack), describe_lift_depth(pack.heat.deepest))
        self.said.value = words.heat_words(pack)
        self.care.value = words.caution_list(pack, "batch")

    def draw(self, chosen):
        self.heat.promise(lambda pack=self.pack: lift_figure(pack, chosen), describe_pour(self.pack.heat.heat))


class ScheduleView(ShopView):
    """The build by the clock."""

    title = "Schedule"

    def results(self):
        self.picture, self.listed, self.care = ShownFigure("pm-plan"), html_part("pm-steps"), html_part("pm-cautions")
        return [self.picture, self.listed, self.care]

    def answer(self):
        self.picture.promise(lambda pack=self.pack: schedule_plot(pack), describe_schedule(self.pack.schedule))
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
        self.picture.promise(lambda: figure, f"{template.name}. {said}")
        self.listed.value = words.template_table(template)


VIEWS = {"cut": CutView, "pour": PourView, "heat": HeatView, "schedule": ScheduleView, "templates": TemplateView}


def panel_shop(given, choices: ShopChoices | None = None, **places) -> ShopPanel:
    """Panel of notebook 06, of a job, or of a design and `choices`. `places` may name the folders `jobs` and `out`."""
    return ShopPanel(as_job(given, shop=choices), **places)


class ShopPanel(Panel):
    """A panel with the shop's choices and views of the pack: `shop` the choices' controls, `pack` the last good pack,
    `line` what it comes to, `shop_alert` what is wrong with the choices."""

    place = "shop"

    def __init__(self, given, **places):
        self.pack, self._made_for = None, None
        self.drawing = AtRest(lambda: self.view.draw_pictures(), NEXT)
        self.shop = ShopControls(ShopChoices())
        super().__init__(given, **places)
        self.shop.on_change(self.update_shop)

    def make(self):
        self.add_views({name: kind() for name, kind in VIEWS.items()}, "auto")
        self.line, self.shop_alert = (html_part(f"pm-{kind}") for kind in ("pack", "message"))
        hint = "Cut list, batch sheet, schedule, templates, plots: all files to print and cut from"
        self.write_button = button(
            "write-pack", "Write the pack", lambda: self.keep.do(self.write_pack), 190, hint, main=True
        )

    def own_controls(self):
        return [self.shop.group()]

    def main(self):
        first = [self.line, self.shop_alert, widgets.HBox([self.write_button])]
        return self.around_views(first, [below("The present design")])

    def own(self, job):
        return job.replace(shop=self.shop.choices())

    def set_own(self, job):
        self.shop.set(job.shop)

    def moved(self):
        """The pack follows when the hand rests."""
        self._grey(True)

    def update_shop(self) -> None:
        """Follow a move of the shop's choices: the pack when the hand rests."""
        self.drawing.stop()
        self.forget_verdict()
        self._grey(True)
        self.rest.wait()

    def rested(self):
        if self.stale:  # the design is no good: the panel has said why
            self._not_made("")
        else:
            guarded(self._make, self._not_made)
        self.drawing.wait() if loop_runs() else self.view.draw_pictures()

    def finish(self):
        """As in every panel; its pictures too."""
        super().finish()
        self.drawing.stop()
        self.view.draw_pictures()

    def _make(self):
        job = self.job()
        key = job.blade, job.shop, lengths()
        if key != self._made_for:  # the verdict on the job needs the same pack
            self.pack = judge_part(job, "shop").record or shop_pack(job.blade, job.shop)  # or why there is none
            self._made_for = key
            self.line.value = words.pack_line(self.pack)
        self.shop_alert.value, self.write_button.disabled = "", False
        self._grey(False)
        self.view.show(self.pack)

    def _not_made(self, words):
        self.shop_alert.value, self.write_button.disabled = words, True
        if self.pack is not None:
            self.view.show(self.pack)
        self._grey(True)

    def _grey(self, stale):
        for view in self.views.values():
            view.grey(stale)
        mark_stale([self.line], stale)

    def write_pack(self) -> None:
        """Write the whole pack of the job as it stands."""
        self.write(("shop",))

    def set_shop(self, choices: ShopChoices) -> None:
        """Set all of the shop's choices."""
        self.shop.set(choices)
        self.update_shop()
        self.finish()

    def summary(self) -> str:
        """Verdict as in the other panels, the pack in a line or what is wrong, and what the view says."""
        self.finish()
        line = self.shop_alert if self.shop_alert.value else self.line
        return "\n".join((text.plain(self.headline()), text.plain(line.value), self.view.words()))
