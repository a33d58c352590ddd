"""The table of bench readings: fields to type in, CSV files to load and save, and what all views of a pair share.

A field takes all repeated readings of one thing on one sheet, with blanks between them, so that a whole table is typed
with numbers, blanks and the Tab key. What is not a number, or out of range, is said and marked; the other fields stay
in use.
"""

from __future__ import annotations

import re
from functools import partial
from html import escape
from pathlib import Path

import ipywidgets as widgets

from ..measured.pair import PairReport, judge_pair
from ..measured.readings import (
    GROUPS,
    KINDS,
    SHEETS,
    Readings,
    read_readings,
    whose,
    write_readings,
)
from ..measured.typed import as_typed, rows_from_text
from ..units import capital, pretty_unit
from .files import link
from .keep import FileBox
from .view import View
from .widgets import fold_away, html_part, marked, row

SUFFIX = ".csv"
TOLERANCE = 0.5  # mm of camber, until the builder says otherwise
LABEL, STEP = 190, 62  # pixels: what is measured, the step of the instrument
LONG, SHORT = 225, 110  # pixels a field wants: many readings with their places, or a few


class Bench:
    """What the views of a pair share: `readings`, `tolerance` [m], `wrong` words by field; `report(design)` is worked
    out once for each state; `listeners` are called after every change."""

    def __init__(self, readings: Readings, tolerance: float = 1e-3 * TOLERANCE):
        self.readings, self.tolerance, self.wrong, self.listeners = readings, tolerance, {}, []
        self._known = None

    @property
    def state(self):
        """What a report hangs on besides the design; equal states give equal reports."""
        return self.readings, self.tolerance, tuple(self.wrong.values())

    def report(self, design) -> PairReport:
        """The report for a design; ValueError in words where a field is wrong or readings do not suffice."""
        for words in self.wrong.values():
            raise ValueError(words)
        key = (design, *self.state)
        if self._known is None or self._known[0] != key:
            self._known = (key, judge_pair(design, self.readings, self.tolerance))
        return self._known[1]

    def change(self, **values) -> None:
        """Set `readings`, `tolerance` or `wrong`, and tell who listens."""
        for name, value in values.items():
            setattr(self, name, value)
        for listener in self.listeners:
            listener()


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


class ReadingsView(BenchView):
    """The table itself. `fields` by (kind, sheet, part), part being "values", "where" or "step"."""

    title = "Readings"
    hint = (
        "Type all readings of one thing with blanks between them: 2.06 2.05 2.04. Tab moves on; a field counts when it "
        "is left or Enter is pressed. A is the sheet above, B the one below. Step: the smallest step your instrument "
        "shows. Mark one face and one end of each sheet before you begin."
    )

    def __init__(self, take, bench: Bench, folder):
        self.folder = Path(folder)
        super().__init__(take, bench)

    def controls(self):
        self.fields = {}
        boxes = [self._group(group) for group in GROUPS]
        table = fold_away(dict(zip(GROUPS.values(), boxes, strict=True)), "readings", first=True)
        return [table, *self._files()]

    def _group(self, group):
        """Rows of one group: what is measured, a field for each sheet (or the pair), step."""
        head = _line(widgets.HTML(), widgets.HTML(), widgets.HTML('<span class="pm-quiet">step</span>'))
        kinds = [(name, kind) for name, kind in KINDS.items() if kind.group == group]
        rows = widgets.VBox([head, *(line for name, kind in kinds for line in self._lines(name, kind))])
        return marked(rows, f"readings-{group}")

    def _lines(self, name, kind):
        step = self._field(name, kind, kind.on[0], "step")
        yield _line(_label(f"{kind.label}, {pretty_unit(kind.unit)}", kind.help), self._row(name, kind, "values"), step)
        if kind.place or kind.timed:
            words = f"at, mm from {kind.place}" if kind.place else "at, hours after forming"
            yield _line(_label(words, "one for each reading"), self._row(name, kind, "where"), widgets.HTML())

    def _row(self, name, kind, part):
        """The fields of one line, beside each other while there is room for what they hold."""
        fields = [self._field(name, kind, sheet, part) for sheet in kind.on]
        for field in fields:
            field.layout.flex = f"1 1 {LONG if kind.place else SHORT}px"
        return widgets.HBox(fields, layout=widgets.Layout(flex="1 1 0", flex_flow="row wrap", grid_gap="2px 8px"))

    def _field(self, name, kind, sheet, part):
        what = {"values": kind.label, "where": f"places of {kind.label}", "step": f"step of {kind.label}"}[part]
        tip = what if part == "step" else f"{what}, {whose(sheet)}"
        field = widgets.Text(
            description=sheet if part != "step" and sheet in SHEETS else "",
            continuous_update=False,
            tooltip=f"{tip}: {kind.allowed}. {kind.help}" if part == "values" else tip,
            style={"description_width": "16px"},
            layout=widgets.Layout(width="auto", min_width="0", margin="0"),
        )
        field.add_class(field_class(name, sheet, part))
        self.fields[name, sheet, part] = field
        self.listen(lambda _: self._typed(name), field)
        return field

    def _files(self):
        self.files = FileBox(
            self.folder,
            self._names,
            ("readings-files", "readings-name", "readings-news"),
            ("files", "named"),
            "a file",
            suffix=SUFFIX,
            width=300,
            describe=60,
        )
        self.files.name.layout.margin = None
        words = {"readings-load": ("Load", "Read this CSV file"), "readings-save": ("Save", "Write these readings")}
        actions = {"readings-load": self.load, "readings-save": self.save}
        self.buttons = self.files.make_buttons(words, actions, width=90)
        return [widgets.VBox([row(self.files.stored, self.files.name, *self.buttons.values()), self.files.news])]

    def _names(self):
        return sorted(p.stem for p in self.folder.glob(f"*{SUFFIX}") if not p.name.startswith("."))

    def results(self):
        self.said = html_part("pm-readings-said")
        return [self.said]

    def answer(self):
        self.fill()
        count, report = len(self.bench.readings.rows), self.report()
        lines = "".join(f"<li>{escape(capital(m))}.</li>" for m in report.missing)
        todo = f'Still to be measured:<ul class="pm-plain">{lines}</ul>' if lines else "Nothing is missing."
        self.said.value = f"<div>{count} readings. {todo}</div>"

    def fill(self) -> None:
        """Show the readings, fields that hold something wrong left as typed."""
        with self.quietly():
            for name, kind in KINDS.items():
                for sheet in kind.on:
                    if (name, sheet) not in self.bench.wrong:
                        self._show(name, sheet)

    def _show(self, name, sheet):
        """Fields of one kind and sheet; a step is left standing where there is no reading to tell another."""
        values, where, _ = as_typed(self.bench.readings.of(name, sheet))
        step = as_typed(r for s in KINDS[name].on for r in self.bench.readings.of(name, s))[2]
        for key, text in zip(self._keys(name, sheet), (values, where, step), strict=True):
            if key in self.fields and (text or key[2] != "step"):
                self.fields[key].value = text

    def _typed(self, name):
        """A field of this kind was changed: its readings, or what is wrong with them."""
        readings, wrong, kind = self.bench.readings, dict(self.bench.wrong), KINDS[name]
        for sheet in kind.on:
            texts = [self.fields[key].value if key in self.fields else "" for key in self._keys(name, sheet)]
            wrong.pop((name, sheet), None)
            try:
                rows = rows_from_text(name, sheet, *texts, before=readings.of(name, sheet))
                readings = readings.replaced(name, sheet, rows)
            except ValueError as error:
                wrong[name, sheet] = str(error)
            self._mark(name, sheet, (name, sheet) in wrong)
        self.bench.change(readings=readings, wrong=wrong)

    def _keys(self, name, sheet):
        return (name, sheet, "values"), (name, sheet, "where"), (name, KINDS[name].on[0], "step")

    def _mark(self, name, sheet, wrong):
        for key in self._keys(name, sheet)[:2]:
            if key in self.fields:
                (self.fields[key].add_class if wrong else self.fields[key].remove_class)("pm-wrong")

    def set(self, readings: Readings) -> None:
        """Show other readings and use them."""
        for name, sheet in list(self.bench.wrong):
            self._mark(name, sheet, False)
        with self.quietly():
            for field in self.fields.values():
                field.value = ""
        self.bench.change(readings=readings, wrong={})

    def load(self) -> None:
        """Read the file named in the field."""
        path = self.files.existing()
        self.set(read_readings(path))
        self.files.say(f"Loaded {link(path)}.")

    def save(self) -> None:
        """Write the file named in the field; an existing one only when asked twice."""
        for words in self.bench.wrong.values():
            raise ValueError(words)
        self.files.save(partial(write_readings, readings=self.bench.readings))


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


def _label(words, help_words):
    return widgets.HTML(f'<span title="{escape(help_words)}">{escape(capital(words))}</span>')
