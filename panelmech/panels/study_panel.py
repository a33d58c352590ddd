"""The panels of notebooks 01, 02 and 07: one design, its shape and forming, the flat wedge beside it, its note."""

from __future__ import annotations

from ..draw.pressing_figures import describe_pressing, pressing_figure
from ..report.wedge_rows import full_comparison
from ..study.bent_and_flat import sheet_curves
from ..study.wedge_levels import drawing_level
from . import study_tables as text
from .job_box import TEXTS
from .panel import Panel
from .view import ShownFigure
from .widgets import button, html_part, mark_stale


def panel_bend(given, **places) -> BendPanel:
    """Panel of notebook 01: shape and forming, of a job or a design. `places` may name the folders `jobs` and `out`."""
    return BendPanel(given, **places)


def panel_wedge(given, **places) -> WedgePanel:
    """Panel of notebook 02: the bent pair against the flat wedge, both sides in the design's own numbers."""
    return WedgePanel(given, **places)


def panel_note(given, **places) -> NotePanel:
    """Panel of notebook 07: every input of the design note, its title block included."""
    return NotePanel(given, texts=tuple(TEXTS), **places)


class NotePanel(Panel):
    """A panel with the whole title block."""

    place = "design note"


class BendPanel(Panel):
    """A panel with tables of shape and forming."""

    place = "bend"

    def more(self, study, waiting):
        return text.numbers(study, self.pinned)


class WedgePanel(Panel):
    """A panel with the bent pair against the flat wedge, and the whole comparison with one sheet pressed, which takes
    some seconds, on a button of class `pm-compare`."""

    place = "against the wedge"

    def make(self):
        self.full, self.numbers = html_part("pm-full"), html_part("pm-pressed-numbers")
        self.pressed = ShownFigure("pm-pressed")
        self.pressed.hide()
        self.compare_button = button(
            "compare",
            "Work out one framed sheet and fairer wedges too",
            lambda: self.keep.do(self.compare),
            420,
            "Also press and buckle one framed sheet, and set the pair against wedges of the same thickness and mass",
        )

    def below(self):
        return [*super().below(), self.compare_button, self.full, self.pressed.box, self.numbers]

    def more(self, study, waiting):
        return text.wedge_report(study, None if waiting else drawing_level(study))

    def compare(self) -> None:
        """Work out every measure under every fair condition, and one sheet pressed, for the present design."""
        self.settle()
        design = self.study.design
        curves = sheet_curves(design)
        self.full.value = text.full_report(full_comparison(self.study))
        self.numbers.value = text.pressing_report(curves)
        if curves.sheets:
            self.pressed.show(pressing_figure(curves, design), describe_pressing(curves))
        else:
            self.pressed.hide()
        mark_stale(self._worked_out, False)

    def show(self, study):
        super().show(study)
        if self.full.value:
            mark_stale(self._worked_out, True)

    @property
    def _worked_out(self):
        return self.full, self.numbers, self.pressed.image, self.pressed.words

    def mark_stale(self, stale):
        super().mark_stale(stale)
        self.compare_button.disabled = stale
