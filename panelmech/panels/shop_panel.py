"""The panel of notebook 06: one design, the shop's choices, and the pack that follows from both.

The controls on the left set the design, as in the other panels. Beside them stand the shop's choices and five views of
the pack. While a slider moves nothing is worked out but the design's own checks; the pack, heat of the pours included,
follows when the hand rests. No formula and no drawing of its own.
"""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from ..report.folder import old_words
from ..report.shop_sheets import write_shop
from ..shop.choices import ShopChoices
from ..shop.pack import ShopPack, shop_pack
from ..study.design import Design
from . import shop_tables as words
from . import study_tables as text
from .files import link
from .keep import ONE_AT_A_TIME, html_part
from .shop_controls import ShopControls
from .shop_files import ShopKeep
from .shop_views import CutView, HeatView, PourView, ScheduleView, TemplateView
from .study_panel import GOOD, Panel, in_words
from .view import STYLE, button

VIEWS = {"cut": CutView, "pour": PourView, "heat": HeatView, "schedule": ScheduleView, "templates": TemplateView}


def panel_shop(design: Design, choices: ShopChoices | None = None, **places) -> ShopPanel:
    """Panel of notebook 06. `places` may name the folders `studies` and `out`."""
    return ShopPanel(design, choices, **places)


class ShopPanel(Panel):
    """A panel with the shop's choices and views of the pack: `shop` the choices' controls, `views` by name, `shown` the
    name of the one that is seen, `pack` the last good pack, `line` what it comes to, `files` the shop files."""

    def __init__(self, design: Design, choices: ShopChoices | None = None, **places):
        self.pack, self._made_for = None, None
        self.shop = ShopControls(ShopChoices() if choices is None else choices)
        super().__init__(design, **places)

    def _main(self):
        self.views = {name: kind() for name, kind in VIEWS.items()}
        self.choose = widgets.ToggleButtons(
            options=[(kind.title, name) for name, kind in VIEWS.items()], style={"button_width": "auto"}
        )
        self.choose.add_class("pm-question")
        self.choose.observe(lambda _: self.look(self.choose.value), "value")
        self.line, self.shop_alert, self.news = (html_part(f"pm-{kind}") for kind in ("pack", "message", "message"))
        self.write = button(
            "write-pack",
            "Write the pack",
            lambda: self._press(self.write_pack),
            190,
            "Cut list, batch sheet, schedule, templates, plots: all files to print and cut from",
        )
        self.write.button_style = "primary"
        self.place = widgets.Box([self.views["cut"].box], layout=widgets.Layout(width="100%"))
        self.place.add_class("pm-view")
        below = html_part("pm-below")
        below.value = '<div class="pm-heading">The present design</div>'
        style = widgets.HTML(STYLE, layout=widgets.Layout(display="none"))
        self.shop.on_change(self.update_shop)
        return [
            style,
            self.parts["verdict"],
            self.alert,
            self.shop.box(),
            self.line,
            self.shop_alert,
            self.choose,
            self.place,
            widgets.HBox([self.write]),
            self.news,
            below,
            self.parts["picture"],
            *(self.parts[name] for name in GOOD[2:]),
        ]

    def _arrange(self):
        self.files = ShopKeep(self.keep.folder)
        for kind, action in (("load-shop", self.load_shop), ("save-shop", self.save_shop)):
            self.files.buttons[kind].on_click(lambda _, action=action: self._press(action, self.files.news))
        box = super()._arrange()
        side = box.children[1]
        side.children = (*side.children[:-1], self.files.box, side.children[-1])
        return box

    @property
    def shown(self) -> str:
        """Name of the view that is seen."""
        return self.choose.value

    @property
    def view(self):
        """The view that is seen."""
        return self.views[self.shown]

    def look(self, name: str) -> None:
        """Show a view."""
        if self.choose.value != name:
            self.choose.value = name  # comes back here
            return
        self.place.children = [self.view.box]
        if self.pack is not None:
            self.view.show(self.pack)

    def update(self) -> None:
        """Follow a move of the design: its own checks at once, the pack when the hand rests."""
        self._grey(True)
        super().update()
        if self.stale:
            self._finish_later()

    def update_shop(self) -> None:
        """Follow a move of the shop's choices: the pack when the hand rests."""
        self._grey(True)
        self._finish_later()

    def finish(self) -> None:
        """Compute what is still to come, now: the design's checks, then the pack."""
        super().finish()
        if self.stale:  # the design is no good: the panel has said why
            self.shop_alert.value, self.write.disabled = "", True
            return
        with ONE_AT_A_TIME:
            try:
                self._make()
            except Exception as error:  # whatever it is, the panel must say it
                self.shop_alert.value = text.alert(*reversed(in_words(error)))
                self._grey(True)
                self.write.disabled = True

    def _make(self):
        key = self.design(), self.shop.choices()
        if key != self._made_for:
            self.pack = shop_pack(*key)
            self._made_for = key
            self.line.value = words.pack_line(self.pack)
        self.shop_alert.value, self.write.disabled = "", False
        self._grey(False)
        self.view.show(self.pack)

    def _grey(self, stale):
        for view in self.views.values():
            view.grey(stale)
        (self.line.add_class if stale else self.line.remove_class)("pm-stale")

    def _press(self, action, news=None):
        with ONE_AT_A_TIME:
            try:
                action()
            except Exception as error:
                (news or self.news).value = text.alert(*reversed(in_words(error)))

    def write_pack(self) -> None:
        """Write the whole pack of the present design and choices."""
        self.news.value = text.news("Writing the shop pack, some seconds …")
        self.finish()
        if self.write.disabled:
            self.news.value = ""
            return
        files = write_shop(self.pack, self._folder() / "shop")
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
        choices = self.shop.choices()
        if self.files.replaces():
            self.files.news.value = text.news(
                f"There is a shop file {link(self.files.path())} already. Press Save again to replace it."
            )
            return
        self.files.news.value = text.news(f"Saved as {link(self.files.save(choices))}.")

    def load_shop(self) -> None:
        """Set all of the shop's choices as in the shop file named."""
        self.set_shop(self.files.read())
        self.files.news.value = text.news(f"Loaded {link(self.files.path())}.")

    def summary(self) -> str:
        """Verdict as in the other panels, the pack in a line or what is wrong, and what the view says."""
        said = super().summary()
        line = self.shop_alert if self.shop_alert.value else self.line
        return f"{said}\n{text.plain(line.value)}\n{self.view.words()}"


__all__ = ["ShopPack", "ShopPanel", "panel_shop"]
