"""Two views of the trade-off panel: what tolerances do to the part, and designs side by side."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from ..draw import study_figures as plots
from ..draw import trade_off_figures as plot_trade
from ..study.checks import RULES
from ..study.design import Design
from ..study.side_by_side import compare
from ..study.study import Study, evaluate
from ..study.tolerances import Tolerance, default_tolerances, scatter
from ..units import from_si, to_si
from . import trade_off_tables as words
from .keep import html_part
from .view import Picture, View, button, fill, number, output_options, pick, row, write_pictures

MOVING, ALL = 20_000, 100_000  # parts of a scatter: at rest, and on demand
KINDS = [("half of a band", "band"), ("a standard deviation", "deviation")]
MOST_KEPT = 3


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
        self.kind = pick(
            "kind", "each is", [("half of a band", "band"), ("a standard deviation", "deviation")], None, 300
        )
        self.sizes = {}
        for field in ("sheet_thickness", "modulus", "spacer_diameter", "setback", "bond_line"):
            self.sizes[field] = number(f"tolerance-{field}", words.tolerance_label(field), 0.0, 260, 170)
        self._for, self._filling, self._count = None, False, MOVING
        for control in (self.output, self.kind, *self.sizes.values()):
            control.observe(self._own, "value")
        self.more = button(
            "all-parts", f"Work out {ALL:,} parts".replace(",", "\u202f"), lambda: self.guarded(self.work_out_all), 220
        )
        self.reset = button("own-tolerances", "Tolerances of the catalogue", lambda: self.guarded(self._reset), 220)
        return [self.output, row(*self.sizes.values()), row(self.kind, self.reset, self.more)]

    def results(self):
        self.said = html_part("pm-scatter")
        self.picture, self.shares = Picture("pm-scatter-picture"), Picture("pm-shares")
        self.tables = html_part("pm-scatter-tables")
        self.good = [
            self.said,
            self.picture.image,
            self.picture.words,
            self.shares.image,
            self.shares.words,
            self.tables,
        ]
        return [self.said, self.picture.box, self.shares.box, self.tables]

    def _own(self, change):
        if not self._filling:
            self.again()

    def _reset(self):
        self._for = None
        self.answer()

    def _fill(self):
        """The catalogue's tolerances, whenever the sheet or its thickness has changed."""
        key = (self.design.sheet, self.design.sheet_thickness, self.design.bond_line)
        if key == self._for:
            return
        self._filling = True
        try:
            self.kind.value = "band"
            for t in default_tolerances(self.design):
                shown = from_si(t.size, words.tolerance_unit(t.field))
                self.sizes[t.field].value = float(f"{shown:.4g}")
        finally:
            self._filling = False
        self._for = key

    def tolerances(self) -> tuple:
        """The tolerances as typed; those of zero are left out."""
        return tuple(
            Tolerance(field, to_si(control.value, words.tolerance_unit(field)), self.kind.value)
            for field, control in self.sizes.items()
            if control.value != 0
        )

    def answer(self):
        self._fill()
        self._show(MOVING)

    def work_out_all(self) -> None:
        """The same with many more parts, which takes about a second."""
        self._show(ALL)

    def _show(self, count):
        study = evaluate(self.design, local=False)
        self.result = found = scatter(self.design, self.tolerances(), count)
        output = self.output.value
        self.said.value = words.most_important_words(found, output)
        limits = [
            (f"limit: {c.name[:1].lower()}{c.name[1:]}", c.limit)
            for c in study.checks
            if c.kind == "limit" and any(rule.key == c.key and rule.quantity == output for rule in RULES)
        ]
        self.figure_of = (found, output, study.quantities.get(output), limits)
        self.picture.show(plot_trade.scatter_figure(*self.figure_of), plot_trade.describe_scatter(found, output))
        self.shares.show(
            plot_trade.shares_figure(found, words.SHARES_OF), plot_trade.describe_shares(found, words.SHARES_OF)
        )
        self.tables.value = "".join(
            (words.scatter_table(found, study.quantities), words.cause_table(found), words.failing_table(found))
        )

    def export(self, folder: Path) -> list:
        """Write both pictures."""
        found, output = self.figure_of[:2]
        return [
            *write_pictures(
                plot_trade.scatter_figure(*self.figure_of),
                folder / "scatter",
                plot_trade.describe_scatter(found, output),
            ),
            *write_pictures(
                plot_trade.shares_figure(found, words.SHARES_OF),
                folder / "shares",
                plot_trade.describe_shares(found, words.SHARES_OF),
            ),
        ]


class CompareView(View):
    """Two to four designs side by side. `kept` are the studies set beside the present design."""

    title = "Compare"
    hint = "The present design stands last; those kept before it stay as they were. At most three are kept."

    def __init__(self, take, design: Design):
        self._first = design
        self.kept = []
        super().__init__(take)

    def controls(self):
        self.keep = button("keep-design", "Keep the present design", lambda: self.guarded(self.add), 220)
        self.drop = button("drop-design", "Let this one go", lambda: self.guarded(self.let_go), 150)
        self.use = button("use-design", "Make it the design again", lambda: self.guarded(self.choose), 210)
        self.which = pick("kept-design", "kept", [], None, 330, 40)
        self.everything = widgets.Checkbox(value=False, description="show what is equal, too", indent=False)
        self.everything.add_class("pm-everything")
        self.everything.observe(self.again, "value")
        return [row(self.keep, self.everything), row(self.which, self.use, self.drop)]

    def results(self):
        self.picture = Picture("pm-overlay")
        self.listed = html_part("pm-compared")
        self.good = [self.picture.image, self.picture.words, self.listed]
        return [self.picture.box, self.listed]

    def add(self, design: Design | None = None) -> None:
        """Keep a design, the present one by default; ValueError where three are kept already."""
        if len(self.kept) >= MOST_KEPT:
            raise ValueError(f"{MOST_KEPT} designs are kept already: let one go first")
        self.kept.append(evaluate(design or self.design))
        self._list()
        if self.design is not None:
            self.answer()

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

    def _list(self):
        fill(self.which, [(self._name(i), i) for i in range(len(self.kept))])

    def _name(self, number):
        return f"{number + 1}: {self.kept[number].design.title}"

    def answer(self):
        if not self.kept:
            self.kept.append(evaluate(self._first))
            self._list()
        present: Study = evaluate(self.design)
        studies = [*self.kept, present]
        self.found = compare(*studies)
        names = [*(self._name(i) for i in range(len(self.kept))), "present design"]
        self.picture.show(plots.overlay_figure(studies), "Sections overlaid: " + "; ".join(self._labels(studies)) + ".")
        self.listed.value = words.side_by_side(self.found, names, self.everything.value)

    def _labels(self, studies):
        return plots.overlay_labels([study.design for study in studies])

    def export(self, folder: Path) -> list:
        """Write the picture."""
        studies = self.found.studies
        return write_pictures(plots.overlay_figure(studies), folder / "compared", "; ".join(self._labels(studies)))
