"""The table of bench readings: fields to type in, and what all views of a pair share.

A field takes all repeated readings of one thing on one sheet, with blanks between them, so that a whole table is typed
with numbers, blanks and the Tab key. What is not a number, or out of range, is said and marked; the other fields stay
in use.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial
from html import escape

import ipywidgets as widgets
import traitlets as t

from ..measured.offset_priors import LINES
from ..measured.pair import PairReport, judge_pair
from ..measured.plausible import Doubt, doubts
from ..measured.readings import (
    GROUPS,
    KINDS,
    SHEETS,
    NotSureYet,
    Readings,
    named,
    whose,
)
from ..measured.typed import as_typed, entries_of, heard, rows_from_text
from ..units import capital, show_input, unit_words
from .parts import Entry, counts_as_before
from .view import View
from .widgets import button, fold_away, html_part, marked, row

TOLERANCE = 0.5  # mm of camber, until the builder says otherwise
LABEL, STEP = 190, 62  # pixels: what is measured, the step of the instrument
PARTS = ("values", "where", "step")
LONG, SHORT = 225, 110  # pixels a field wants: many readings with their places, or a few


class Bench:
    """What the views of a pair share: `readings`, `tolerance` [m], `line` that offsets were measured from, `wrong`
    words by field; `report(design)` is worked out once for each state; `listeners` are called after every change."""

    def __init__(self, readings: Readings, tolerance: float = 1e-3 * TOLERANCE, line: str = LINES[0]):
        self.readings, self.tolerance, self.wrong, self.listeners = readings, tolerance, {}, []
        self.line = line
        self._known = None

    @property
    def state(self):
        """What a report hangs on besides the design; equal states give equal reports."""
        return self.readings, self.tolerance, self.line, tuple(self.wrong.values())

    def report(self, design) -> PairReport:
        """The report for a design; ValueError in words where a field is wrong or readings do not suffice."""
        readings, key = self.checked(), (design, *self.state)
        if self._known is None or self._known[0] != key:
            try:
                outcome = judge_pair(design, readings, self.tolerance, self.line)
            except NotSureYet as error:
                outcome = error
            self._known = key, outcome
        if isinstance(self._known[1], NotSureYet):
            raise self._known[1]
        return self._known[1]

    def checked(self) -> Readings:
        """The readings; ValueError, in words, where a field is wrong (`refused_as_before`)."""
        for words in () if counts_as_before() else self.wrong.values():
            raise ValueError(words)
        return self.readings

    def doubts(self, design) -> tuple:
        """Doubts about the readings, those of fields that are wrong as they were before."""
        if self.wrong:
            return doubts(self.readings, design)
        try:
            return self.report(design).doubts
        except NotSureYet as error:
            return error.doubts

    def change(self, **values) -> None:
        """Set `readings`, `tolerance`, `line` or `wrong`, and tell who listens."""
        for name, value in values.items():
            setattr(self, name, value)
        for listener in self.listeners:
            listener()

    def confirm(self, doubt: Doubt) -> None:
        """Let readings in doubt count all the same."""
        self._change_rows(doubt, lambda row, _: row.confirm())

    def take(self, doubt: Doubt) -> None:
        """Put what may be meant in the place of readings in doubt."""
        meant = dict(zip(doubt.rows, doubt.suggestion, strict=True))
        self._change_rows(doubt, lambda row, i: replace(row, value=meant[i]))

    def _change_rows(self, doubt, change):
        rows = self.readings.of(doubt.measured, doubt.sheet)
        rows = [change(row, i) if i in doubt.rows else row for i, row in enumerate(rows)]
        self.change(readings=self.readings.replaced(doubt.measured, doubt.sheet, rows))


class BenchView(View):
    """A view that hangs on the bench as well as on the design."""

    def __init__(self, take, bench: Bench):
        self.bench = bench
        super().__init__(take)

    def state(self):
        return self.design, self.bench.state

    def report(self) -> PairReport:
        """The report for the present design."""
        return self.bench.report(self.design)


class Field(Entry):
    """A field for several readings, of class `pm-read-…`; `value` is the text as typed."""

    value = t.Unicode()

    def typed(self, text: str) -> None:
        """What was typed stands; whether it can be used is said by who listens."""
        self.value = text

    @t.observe("value")
    def _shown(self, change):
        self.text = change["new"]

    def say(self, wrong: str, doubt: str, heard: str) -> None:
        """Say what is wrong with it, else what is doubted, else what was understood."""
        self.wrong, self.doubt, self.echo = wrong, bool(doubt), doubt or heard
        if not wrong:
            self.good = self.value


class ReadingsView(BenchView):
    """The table itself. `fields` by (kind, sheet, part), part being "values", "where" or "step"; `asked` by kind, where
    the buttons stand that answer a doubt; `folds` by group."""

    title = "Readings"
    hint = (
        "Type all readings of one thing with blanks between them: 2.06 2.05 2,04, or with units: 5/64 in. Tab moves "
        "on; a field counts when it is left or Enter is pressed. A is the sheet above, B the one below. Step: the "
        "smallest step your instrument shows. Mark one face and one end of each sheet before you begin. What looks "
        "like a slip is asked back and does not count until you have answered."
    )

    def controls(self):
        self.fields, self.asked, self.labels, self.found = {}, {}, {}, ()
        table = fold_away({title: self._group(group) for group, title in GROUPS.items()}, "readings", first=True)
        self.folds = dict(zip(GROUPS, table.children, strict=True))
        return [table]

    def _group(self, group):
        """Rows of one group: what is measured, a field for each sheet (or the pair), step."""
        head = _line(widgets.HTML(), widgets.HTML(), widgets.HTML('<span class="pm-quiet">step</span>'))
        kinds = [(name, kind) for name, kind in KINDS.items() if kind.group == group]
        rows = widgets.VBox([head, *(line for name, kind in kinds for line in self._lines(name, kind))])
        return marked(rows, f"readings-{group}")

    def _lines(self, name, kind):
        step = self._field(name, kind, kind.on[0], "step")
        yield _line(self._label(name, "values"), self._row(name, kind, "values"), step)
        if kind.place or kind.timed:
            yield _line(self._label(name, "where"), self._row(name, kind, "where"), widgets.HTML())
        self.asked[name] = widgets.VBox([], layout=widgets.Layout(margin=f"0 0 0 {LABEL + 8}px"))
        yield self.asked[name]

    def _label(self, name, part):
        self.labels[name, part] = widgets.HTML(_label(name, part))
        return self.labels[name, part]

    def show_units_again(self):
        """Labels, names and readings in the unit that lengths are shown in now."""
        for (name, part), label in self.labels.items():
            label.value = _label(name, part)
        for (name, sheet, part), field in self.fields.items():
            field.spoken, field.help = _spoken(name, sheet, part), _help(name, sheet, part)
        super().show_units_again()

    def _row(self, name, kind, part):
        """The fields of one line, beside each other while there is room for what they hold."""
        fields = [self._field(name, kind, sheet, part) for sheet in kind.on]
        for field in fields:
            field.layout.flex = f"1 1 {LONG if kind.place else SHORT}px"
        return widgets.HBox(fields, layout=widgets.Layout(flex="1 1 0", flex_flow="row wrap", grid_gap="2px 8px"))

    def _field(self, name, kind, sheet, part):
        field = Field(
            label=sheet if part != "step" and sheet in SHEETS else "",
            spoken=_spoken(name, sheet, part),
            help=_help(name, sheet, part),
            layout=widgets.Layout(width="auto", min_width="0", margin="0"),
        )
        field.add_class(field_class(name, sheet, part))
        self.fields[name, sheet, part] = field
        self.listen(lambda _: self._typed(name), field)
        return field

    def results(self):
        self.said = html_part("pm-readings-said")
        return [self.said]

    def answer(self):
        self.fill()
        self.ask(self.bench.doubts(self.design))
        count, report = len(self.bench.readings.rows), self.report()
        lines = "".join(f"<li>{escape(capital(m))}.</li>" for m in report.missing)
        todo = f'Still to be measured:<ul class="pm-plain">{lines}</ul>' if lines else "Nothing is missing."
        self.said.value = f"<div>{count} readings. {todo}</div>"

    def fill(self) -> None:
        """Show the readings; a field that says them already, or holds something wrong, stays as typed."""
        with self.quietly():
            for name, kind in KINDS.items():
                for sheet in kind.on:
                    if (name, sheet) not in self.bench.wrong:
                        self._show(name, sheet)

    def _show(self, name, sheet):
        """Fields of one kind and sheet; a step is left standing where there is no reading to tell another."""
        rows, keys = self.bench.readings.of(name, sheet), self._keys(name, sheet)
        if self._says(name, sheet, rows):
            return
        values, where, _ = as_typed(rows)
        step = as_typed(r for s in KINDS[name].on for r in self.bench.readings.of(name, s))[2]
        for key, text in zip(keys, (values, where, step), strict=True):
            if key in self.fields and (text or key[2] != "step"):
                self.fields[key].value = text

    def _says(self, name, sheet, rows):
        """Whether the fields say these rows already, in whatever words."""
        try:
            return rows_from_text(name, sheet, *self._texts(name, sheet), before=rows) == rows
        except ValueError:
            return False

    def _texts(self, name, sheet):
        return [self.fields[key].value if key in self.fields else "" for key in self._keys(name, sheet)]

    def _typed(self, name):
        """A field of this kind was changed: its readings, or what is wrong with them."""
        readings, wrong, kind = self.bench.readings, dict(self.bench.wrong), KINDS[name]
        for sheet in kind.on:
            wrong.pop((name, sheet), None)
            try:
                rows = rows_from_text(name, sheet, *self._texts(name, sheet), before=readings.of(name, sheet))
                readings = readings.replaced(name, sheet, rows)
            except ValueError as error:
                wrong[name, sheet] = str(error)
        if (readings, wrong) == (self.bench.readings, self.bench.wrong):
            self.ask(self.found)  # the same in other words
            return
        self.bench.wrong = wrong
        for sheet in kind.on:
            if (name, sheet) in wrong:
                self._say(name, sheet, [])
        self.bench.change(readings=readings, wrong=wrong)

    def _keys(self, name, sheet):
        return (name, sheet, "values"), (name, sheet, "where"), (name, KINDS[name].on[0], "step")

    # ----- what is wrong, doubted or understood, said at the field -----

    def ask(self, found) -> None:
        """Say at each field what is wrong or doubted, with buttons to answer a doubt; a folded group says how many."""
        self.found = found
        for name, kind in KINDS.items():
            own = [doubt for doubt in found if doubt.measured == name]
            for sheet in kind.on:
                self._say(name, sheet, [doubt for doubt in own if doubt.sheet == sheet])
            buttons = tuple(button for doubt in own for button in self._answers(doubt))
            self.asked[name].children = [row(*buttons)] if buttons else []
        for group, fold in self.folds.items():
            count = sum(KINDS[d.measured].group == group for d in found)
            count += sum(KINDS[name].group == group for name, _ in self.bench.wrong)
            fold.button.title = f"{GROUPS[group]}: {count} to look at" if count else GROUPS[group]

    def _say(self, name, sheet, found):
        wrong, texts = self.bench.wrong.get((name, sheet), ""), self._texts(name, sheet)
        culprit = culprit_of(name, sheet, texts) if wrong else ""
        words = " ".join(f"{capital(doubt.words)} Not counted." for doubt in found)
        for key, text in zip(self._keys(name, sheet), texts, strict=True):
            if key in self.fields and (key[2] != "step" or key[1] == sheet):
                heard_words = "" if wrong else self._heard(name, sheet, key[2], text)
                said = f"{capital(wrong)}." if key[2] == culprit else ""
                self.fields[key].say(said, words if key[2] == "values" else "", heard_words)

    def _heard(self, name, sheet, part, text):
        understood = heard(name, sheet, part, text)
        sure = [r for r in self.bench.readings.of(name, sheet) if r.confirmed] if part == "values" else []
        sure = ", ".join(show_input(r.value, KINDS[name].unit, 6) for r in sure)
        return "; ".join(filter(None, (f"= {understood}" if understood else "", f"confirmed: {sure}" if sure else "")))

    def _answers(self, doubt):
        """Buttons that answer a doubt."""
        unit, sheet = KINDS[doubt.measured].unit, capital(whose(doubt.sheet))
        kind = field_class(doubt.measured, doubt.sheet, "values").removeprefix("pm-")
        if doubt.suggestion:
            meant = ", ".join(show_input(value, unit, 6) for value in doubt.suggestion)
            yield button(f"{kind}-take", f"{sheet}: put {meant}", partial(self.bench.take, doubt), None)
        came = [show_input(self.bench.readings.of(doubt.measured, doubt.sheet)[i].value, unit, 6) for i in doubt.rows]
        words = f"{sheet}: {', '.join(came)} is right, count it"
        yield button(f"{kind}-confirm", words, partial(self.bench.confirm, doubt), None)

    def set(self, readings: Readings) -> None:
        """Show other readings and use them."""
        with self.quietly():
            for field in self.fields.values():
                field.value = ""
        self.bench.change(readings=readings, wrong={})


def culprit_of(name: str, sheet: str, texts) -> str:
    """Which of "values", "where" and "step" is to blame for what is wrong with the three texts."""
    counts = []
    for part, text in zip(PARTS, texts, strict=True):
        try:
            counts.append(len(entries_of(name, sheet, part, text)))
        except ValueError:
            return part
    located = KINDS[name].place or KINDS[name].timed
    return "where" if located and counts[0] != counts[1] else "values"


def _spoken(name, sheet, part):
    """Name of a field for who cannot see what stands around it."""
    kind = KINDS[name]
    if part == "step":
        return f"Step of {named(name)}, {unit_words(kind.unit)}"
    what = unit_words(kind.unit)
    if part == "where":
        what = "hours" if kind.timed else f"places, {unit_words('mm')}"
    return f"{capital(named(name))}, {whose(sheet)}, {what}"


def _help(name, sheet, part):
    kind = KINDS[name]
    return f"{_spoken(name, sheet, part)}: {kind.allowed}. {kind.help}" if part == "values" else ""


def field_class(name: str, sheet: str, part: str) -> str:
    """CSS class of a field: `pm-read-thickness-a`, with `-where` or `-step` after it."""
    words = re.sub(r"[^a-z]+", "-", f"{name} {sheet}".lower()).strip("-")
    return f"pm-read-{words}" + ("" if part == "values" else f"-{part}")


def _line(label, fields, step):
    """One line of the table."""
    label.layout = widgets.Layout(flex=f"0 0 {LABEL}px", margin="0")
    step.layout.flex, step.layout.width = f"0 0 {STEP}px", f"{STEP}px"
    fields.layout.flex = "1 1 0"
    return widgets.HBox([label, fields, step], layout=widgets.Layout(grid_gap="8px", margin="1px 0", width="100%"))


def _label(name, part):
    """What a line of the table is for."""
    kind = KINDS[name]
    words, help_words = f"{kind.label}, {unit_words(kind.unit)}", kind.help
    if part == "where":
        words = f"at, {unit_words('mm')} from {kind.place}" if kind.place else "at, hours after forming"
        help_words = "one for each reading"
    return f'<span title="{escape(help_words)}">{escape(capital(words))}</span>'
