"""The panels of notebooks 01, 02 and 08: one design, its shape and forming, the flat wedge beside it, its note."""

from __future__ import annotations

from ..report.wedge_rows import full_comparison
from ..study.design import Design
from ..study.wedge_levels import drawing_level
from . import study_tables as text
from .panel import Panel
from .widgets import button, html_part

NOTE_TEXTS = ("title", "purpose", "made_by", "ident", "issued")


def panel_bend(design: Design, **places) -> BendPanel:
    """Panel of notebook 01: shape and forming. `places` may name the folders `studies` and `out`."""
    return BendPanel(design, **places)


def panel_wedge(design: Design, **places) -> WedgePanel:
    """Panel of notebook 02: the bent pair against the flat wedge, both sides in the design's own numbers."""
    return WedgePanel(design, **places)


def panel_note(design: Design, **places) -> Panel:
    """Panel of notebook 08: every input of the design note, its title block included."""
    return Panel(design, texts=NOTE_TEXTS, **places)


class BendPanel(Panel):
    """A panel with tables of shape and forming."""

    def more(self, study, waiting):
        return text.numbers(study, self.pinned)


class WedgePanel(Panel):
    """A panel with the bent pair against the flat wedge, and the whole comparison, which takes a second or two, on a
    button of class `pm-compare`."""

    def make(self):
        self.full = html_part("pm-full")
        self.compare_button = button(
            "compare",
            "Work out one framed sheet and fairer wedges too",
            lambda: self.keep.do(self.compare),
            420,
            "Also press and buckle one framed sheet, and set the pair against wedges of the same thickness and mass",
        )

    def below(self):
        return [*super().below(), self.compare_button, self.full]

    def more(self, study, waiting):
        return text.wedge_report(study, None if waiting else drawing_level(study))

    def compare(self) -> None:
        """Work out every measure under every fair condition for the present design."""
        self.finish()
        self.full.value = text.full_report(full_comparison(self.study))
        self.full.remove_class("pm-stale")

    def show(self, study):
        super().show(study)
        if self.full.value:
            self.full.add_class("pm-stale")

    def mark_stale(self, stale):
        super().mark_stale(stale)
        self.compare_button.disabled = stale
