"""The panel of notebook 03: one design, five questions about it.

The controls on the left set the design, as in the other panels. Beside them stand the questions: a map of two inputs,
sizing backwards, choosing from stock, scatter, and designs side by side. Each can hand back a design, which then
becomes the present one. No formula and no drawing of its own.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from ..draw.study_figures import overlay_figure
from ..draw.trade_off_figures import (
    describe_sizing,
    sizing_figure,
)
from ..job.every import counts, framed_rules, judge_alike, judge_of
from ..job.shelf import DEMO, JOBS, job_names, job_of
from ..job.verdict import judge_part
from ..measured.as_measured import measured_range
from ..study.design import Design
from ..study.every import judge_design
from ..study.side_by_side import compare, design_names
from ..study.sizing import SIZED_OUTPUTS, output_unit, size
from ..study.study import Study, evaluate, stock_range
from ..units import from_si
from . import trade_off_tables as words
from .choose_view import ChooseView
from .job_box import offer
from .map_view import MapView
from .panel import Panel
from .scatter_view import ScatterView
from .view import ShownFigure, View, below, input_options, output_options
from .widgets import (
    Fold,
    button,
    fill,
    html_part,
    number,
    pick,
    row,
    tick,
    words_field,
)

# ----- The views of the trade-off panel beside its map and the choice: size backwards, scatter, designs side by side.


ASKED = {  # question -> input, output, target [SI] or the quantity whose present value is the target, times this
    "a spacer for an outer thickness": ("spacer_diameter", "outer_thickness", "outer_thickness", 1.2),
    "a spacer for the flat wedge's second moment": ("spacer_diameter", "i_chord", "wedge_i_chord", 1.0),
    "the largest spacer within the strain for good": ("spacer_diameter", "permanent_strain_reserve", 1.0, 1.0),
    "the thinnest sheet that does not press in": ("sheet_thickness", "oil_canning_reserve", 1.0, 1.0),
    "something of my own": None,
}
MOST_KEPT = 3


class SizeView(View):
    """Solve backwards for one input. `judge()` gives the judge of the job as it is."""

    title = "Size"
    hint = (
        "Choose a question, or set input, result and wanted value yourself. The whole range is searched, and every "
        "answer in it is listed, with the sizes one can buy beside it, and how the part stands with each: every check "
        "of design and loads counts in that, whatever was asked for; the two sheets as measured and the pours do not."
    )

    def __init__(self, take, judge=lambda: judge_design):
        self.judge = judge
        super().__init__(take)

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
        self.answers = pick("answers", "answers", [], None, 760)
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
        options = words.sizing_options(self.sizing)
        fill(self.answers, words.judged_options(options, self.design, self.sizing.field, self.judge()))
        self.use.disabled = not self.answers.options
        self.picture.show(sizing_figure(self.sizing), describe_sizing(self.sizing))

    def choose(self) -> None:
        """Make the chosen answer the design."""
        self.take(self.design.replace(**{self.sizing.field: self.answers.value}))


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
        told = self._counted
        views = {
            "map": MapView(take, design, self._judge, told, self._part),
            "size": SizeView(take, self._judge),
            "choose": ChooseView(take, partial(self._judge, True), told),
        }
        self.add_views(
            {
                **views,
                "scatter": ScatterView(take, self._framed_rules, self._part, self._sheets, self._camber),
                "compare": CompareView(take, design, self.work.desk.shelf),
            }
        )

    def _judge(self, soon=False):
        """The judge of designs for the job as it lies on the desk, the same one while that stays the same but for the
        design, so that it keeps what it has judged."""
        job = self.work.desk.job
        if self._judged is None or not judge_alike(self._judged[0], job):
            self._judged = job, {soon: judge_of(job, soon) for soon in (False, True)}
        return self._judged[1][soon]

    def _counted(self):
        return counts(self.work.desk.job)

    def _part(self):
        """Blade and loads of the job, None where it states no loads."""
        job = self.work.desk.job
        return None if job.loads is None else (job.blade, job.loads)

    def _sheets(self, design):
        """What is known of the sheets of a design: as the job's readings have it, else as the stock."""
        job = self.work.desk.job
        report = judge_part(job.with_design(design), "pair").record if job.readings.rows else None
        return stock_range(design) if report is None else measured_range(report)

    def _camber(self):
        """What the job allows of two sheets that differ [m]."""
        return self.work.desk.job.camber

    def _framed_rules(self, design):
        """Checks of a design's framed sheet that count in the job: the others make way for its loads."""
        return framed_rules(self.work.desk.job, design)

    def main(self):
        return self.around_views([], [below("The present design")])
