"""The scatter of the trade-off panel: what tolerances do to parts built alike, every check counted."""

from __future__ import annotations

from functools import partial

from ipywidgets import Layout

from ..draw.trade_off_figures import describe_scatter, describe_shares, scatter_figure, shares_figure
from ..loads.part_scatter import part_scatter_steps
from ..study.checks import LOCAL_RULES, RULES
from ..study.rare import rare_share
from ..study.study import evaluate, stock_range
from ..study.tolerances import scatter
from ..study.typed_tolerances import TOGETHER, read_sample, read_together
from ..study.varying import ALIKE, SAMPLE, Tolerance, default_tolerances, input_label, input_unit
from ..units import capital, from_si
from . import trade_off_tables as words
from .readings import Field
from .steps import Steps
from .view import ShownFigure, View, output_options
from .widgets import button, html_part, marked, number, pick, row, show_if

MOVING, ALL = 20_000, 100_000  # parts of a scatter: at rest, and on demand
KINDS = [("half of a band", "band"), ("a standard deviation", "deviation")]
MEASURED = [*KINDS, ("as measured", SAMPLE)]  # of one input
TWO = [("of one sheet, alike", ALIKE), ("each from its own", 0.0), ("in between", "between")]
BETWEEN = 0.5  # how closely, until it is typed


class ScatterView(View):
    """What tolerances do to the part, and which matters most. `rules(design)` gives the checks of the framed sheet that
    count in the job, `part()` its blade and loads or None, `sheets(design)` what is known of its sheets, `camber()`
    what the job allows of two that differ [m], None where that is not counted."""

    title = "Scatter"
    hint = (
        "Every value within a tolerance is equally likely, unless you say it is a standard deviation, of all or of one "
        "input: that of a normal distribution, which ends at what the input can be; or paste what was measured on "
        "parts or stock, each value as likely as any other. The two sheets of a part are alike where they are cut side "
        "by side from one sheet; each from its own, they differ, and the part is cambered. Inputs that go together, as "
        f"thick sheets of lesser modulus: type {TOGETHER}; 1 or -1 is as closely as can be, 0 not at all. The power "
        "beside a share says how the result follows the input: 3 means with its cube. The "
        "framed sheet counts too: it is worked out for some tens of parts and read for all others, and worked out "
        "where a verdict hangs on that. Where the sheets were measured, their readings say how thick they are and of "
        "which modulus, and what is left open of that."
    )

    def __init__(
        self, take, rules=lambda design: LOCAL_RULES, part=lambda: None, sheets=stock_range, camber=lambda: None
    ):
        self.rules, self.part, self.sheets, self.camber = rules, part, sheets, camber
        self.steps = Steps(self.guarded, self._tell, self._take_found, self._tell_done)
        super().__init__(take)

    def controls(self):
        self.output = pick("scatter-output", "picture of", output_options(words.SCATTERED), "chord_stiffness", 560)
        self.kind = pick("kind", "all are", KINDS, None, 300)
        self.sizes, self.kinds, self.samples = {}, {}, {}
        for field in ("sheet_thickness", "modulus", "spacer_diameter", "setback", "bond_line"):
            self.sizes[field] = number(
                f"tolerance-{field}", f"{input_label(field)} ±", 0.0, 260, input_unit(field), low=0.0
            )
            self.kinds[field] = pick(f"kind-{field}", "is", MEASURED, None, 190, 16)
            self.samples[field] = _field(f"sample-{field}", f"{capital(input_label(field))} as measured", 340)
        self.two = pick("two-sheets", "both sheets", TWO, None, 300)
        tip = "0 not at all, 1 alike"
        self.alike = number("alike", "they go together by", BETWEEN, 220, tip=tip, low=0.0, high=1.0)
        self.together = _field(
            "together", "Inputs that go together", 560, f"as {TOGETHER}; several with ; between them"
        )
        self._for, self._set = None, set()
        self.listen(self._all_are, self.kind)
        self.listen(self._each_is, *self.kinds.values())
        self.listen(self._by_hand, *self.sizes.values())
        self.listen(self.again, self.output, *self.samples.values(), self.two, self.alike, self.together)
        count = f"{ALL:,}".replace(",", "\u202f")
        self.more = button("all-parts", f"Work out {count} parts", partial(self.guarded, self.work_out_all), 220)
        self.reset = button("own-tolerances", "Tolerances as they are known", partial(self.guarded, self._reset), 220)
        self.loads = button("count-loads", "Count the loads, too", self.count_loads, 180)
        self.rare = button("rare-share", "Rare failures", partial(self.guarded, self.work_out_rare), 140)
        each = [row(size, self.samples[field], self.kinds[field]) for field, size in self.sizes.items()]
        drawn = row(self.two, self.alike, self.together)
        self._show_asked()
        return [self.output, row(*each), drawn, row(self.kind, self.reset, self.more, self.rare, self.loads)]

    def _show_asked(self):
        """The fields that count for what is chosen."""
        for field, kind in self.kinds.items():
            show_if(self.samples[field], kind.value == SAMPLE)
            show_if(self.sizes[field].box, kind.value != SAMPLE)
        show_if(self.alike.box, self.two.value == "between")

    def _all_are(self, change):
        """One meaning for every tolerance."""
        self._set |= set(self.kinds.values())
        with self.quietly():
            for one in self.kinds.values():
                one.value = self.kind.value
        self.again()

    def _each_is(self, change):
        """All are of one meaning where each is of the same, else of none."""
        self._show_what_all_are()
        self._by_hand(change)

    def _show_what_all_are(self):
        meant = {one.value for one in self.kinds.values()}
        with self.quietly():
            self.kind.value = meant.pop() if len(meant) == 1 and SAMPLE not in meant else None

    def _by_hand(self, change):
        """What a hand has set stays, whatever becomes known of the sheets."""
        self._set.add(change.owner)
        self.again()

    def results(self):
        self.said, self.progress = html_part("pm-scatter"), html_part("pm-scatter-progress")
        self.picture, self.shares = ShownFigure("pm-scatter-picture", "scatter"), ShownFigure("pm-shares", "shares")
        self.tables = html_part("pm-scatter-tables")
        return [self.said, self.progress, self.picture, self.shares, self.tables]

    def _reset(self):
        self._for, self._set = None, set()
        self.answer()

    def _fill(self):
        """The tolerances that are known, whenever the sheet, its thickness or its readings have changed, in place of
        those that no hand has set."""
        self.known = known = self.sheets(self.design)
        key = (known.design.sheet, known.design.sheet_thickness, known.thickness, known.modulus, self.design.bond_line)
        if key == self._for:
            return
        with self.quietly():
            for t in default_tolerances(known.design, known):
                size, kind = self.sizes[t.field], self.kinds[t.field]
                if size not in self._set:
                    size.value = float(f"{from_si(t.size, input_unit(t.field)):.4g}")
                if kind not in self._set:
                    kind.value = "band"
        self._show_what_all_are()
        self._for = key

    def tolerances(self) -> tuple:
        """The tolerances as typed; those of zero are left out."""
        found = (self._tolerance(field, self.kinds[field].value) for field in self.sizes)
        return tuple(one for one in found if one.size)

    def _tolerance(self, field, kind):
        if kind != SAMPLE:
            return Tolerance(field, self.sizes[field].si(), kind)
        return _said(self.samples[field], lambda text: read_sample(self.known.design, field, text))

    def _drawn(self):
        """How parts are drawn, beside their tolerances."""
        names = [one.field for one in self.tolerances()]
        together = _said(self.together, lambda text: read_together(text, names))
        alike = self.alike.si() if self.two.value == "between" else self.two.value
        return {"correlation": together, "alike": alike, "camber": self.camber()}

    def state(self):
        return self.design, self.camber()

    def answer(self):
        self.steps.stop()
        self.progress.value = ""
        show_if(self.loads, self.part() is not None)
        self._fill()
        self._show_asked()
        self._work_out(MOVING)

    def work_out_all(self) -> None:
        """The same with many more parts, which takes about a second."""
        self.steps.stop()
        self._work_out(ALL)

    def work_out_rare(self) -> None:
        """The share of parts that fail any check of the design, however rare."""
        rules = self.rules(self.known.design)
        found = rare_share(self.known.design, self.tolerances(), rules=rules, **self._drawn())
        self.progress.value = words.paragraphs(words.rare_words(found, self.part() is not None))

    def count_loads(self) -> None:
        """Count the checks under the loads of the job, too: part by part, which takes about a quarter of a minute."""
        part = self.part()
        if part is not None:
            blade, sheet = part
            self.steps.set(part_scatter_steps(blade.with_root(self.known.design), sheet, self.alone))
            self.steps.go_on()

    def _tell(self, come):
        self.progress.value = words.come_words(come)

    def _take_found(self, come):
        if come.found is not None:
            self.result = come.found
            self._show()

    def _tell_done(self):
        """Nothing is left to do."""

    def _work_out(self, count):
        design = self.known.design
        rules, drawn = self.rules(design), self._drawn()
        self.result = self.alone = scatter(design, self.tolerances(), count, rules=rules, **drawn)
        self._show()

    def _show(self):
        parts, output = self.result, self.output.value
        study = evaluate(parts.design, local=False)
        told = words.most_important_words(parts, output), words.origin_words(self.known), words.drawn_words(parts)
        self.said.value = "".join(told)
        limits = [
            (f"limit: {c.name[:1].lower()}{c.name[1:]}", c.limit)
            for c in study.checks
            if c.kind == "limit" and any(rule.key == c.key and rule.quantity == output for rule in RULES)
        ]
        middle = self.known.middle
        figure = scatter_figure(parts, output, study.quantities.get(output), limits, middle=middle)
        self.picture.show(figure, describe_scatter(parts, output))
        self.shares.show(shares_figure(parts, words.SHARES_OF), describe_shares(parts, words.SHARES_OF))
        scattered = words.scatter_table(parts, study.quantities, middle)
        tables = [scattered, words.cause_table(parts), words.failing_table(parts), words.framed_words(parts)]
        self.tables.value = "".join(tables)


def _field(kind, label, width, tip="in mm, of the modulus in GPa, with blanks between them"):
    """A field for several numbers, or words about them."""
    field = Field(label=label, help=tip, layout=Layout(width=f"{width}px", max_width="100%", margin="1px 0"))
    return marked(field, kind, "words")


def _said(field, read):
    """What a field reads as; what is wrong is said at it, too."""
    try:
        found = read(field.value)
    except ValueError as error:
        field.say(f"{capital(str(error))}.", "", "")
        raise
    field.say("", "", "")
    return found
