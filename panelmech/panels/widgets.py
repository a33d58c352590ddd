"""The controls that panels are made of, each with its CSS class: numbers, lists, fields, ticks, buttons, folds, HTML
parts.

A `Number` is a field to type in, with a handle to drag where that helps. What is typed stands, on the handle's steps or
not, whatever the handle's range; what cannot be used stands too, marked as wrong, with words below, and counts for
nothing. A drag of the handle writes into the field.
"""

from __future__ import annotations

import math
import threading
from contextlib import contextmanager
from functools import partial
from html import escape

import ipywidgets as widgets
import traitlets as t

from ..entries import in_field, read_entry
from ..study.design import LIMITS
from ..units import FACTORS, Limit, capital, from_si, pretty_unit, read_number, show_input, shown_unit, to_si
from .parts import Entry, FoldButton, counts_as_before

WIDTH, LABEL = 368, 150  # pixels: a control of the side column, the label in it
COLUMN = {"width": WIDTH, "describe": LABEL}  # the place of a control in the side column
_ROUND = 6  # decimals of a dragged value, in the unit of its limit
_LEAST = 170  # pixels of a field with its label
_SAID = 6  # digits that a handle announces


class Number(Entry):
    """A setting of the table of limits (or of the `limit` given), of class `pm-<name>`.

    value : in the unit of the limit; setting it shows it
    setting : value [SI] and why it is refused, "" where it is not; what listeners listen to
    """

    value = t.Float()
    setting = t.Any()
    entries = t.Int(0)

    def __init__(self, name: str, value: float, limit: Limit | None = None, handle: bool = True, **traits):
        self.limit, self._own_move = limit or LIMITS[name], False
        limit = self.limit
        ends = {"low": limit.slider_low, "high": limit.slider_high, "step": limit.step} if handle else {}
        super().__init__(handle=handle, help=limit.help, **ends, **traits)
        self.add_class(f"pm-{name}")
        self.show_again()
        self._judge(to_si(value, limit.unit))

    @property
    def box(self):
        """What to place of it."""
        return self

    @property
    def refused(self) -> str:
        """Why what stands in the field cannot be used; empty where it can."""
        return self.setting[1] if self.setting else ""

    def si(self) -> float:
        """The setting [SI]; ValueError, in words, where what stands in the field is refused (`refused_as_before`)."""
        if self.refused and not (counts_as_before() and math.isfinite(self.setting[0])):
            raise ValueError(self.refused)
        return self.setting[0]

    def put(self, value: float, echo: str = "", digits: int | None = None) -> None:
        """Show a value [SI], with words below; to so many digits, or as many as it has."""
        self._judge(value, echo, digits)

    def show_again(self) -> None:
        """Show label and value anew, in the unit that lengths are shown in now."""
        self._name_unit()
        if self.setting and not self.refused:
            self._judge(self.setting[0])

    def _name_unit(self):
        """Name the unit that lengths are shown in now; until then what is typed is in the one named before."""
        self._shown = shown_unit(self.limit.unit)
        unit = pretty_unit(self._shown)
        self.label = f"{capital(self.limit.label)}{', ' if unit else ''}{unit}"

    def named(self, label: str, unit: str) -> None:
        """Ask for another quantity from now on; the number stays."""
        if (label, unit) != (self.limit.label, self.limit.unit):
            number = self.value
            self.limit = _free_limit(self.limit.field, label, unit, self.limit.help)
            self.show_again()
            self._judge(to_si(number, unit))

    def typed(self, text: str) -> None:
        """Take what was typed, or say why not; `entries` counts what was taken."""
        limit = self.limit
        try:
            understood = read_entry(text, limit.label, limit.unit, *limit.range, shown=self._shown)
        except ValueError as error:
            self._refuse(text, str(error))
        else:
            self._accept(understood.value, text, f"= {understood.echo}" if understood.echo else "")
            self.entries += 1

    def dragged(self, place: float) -> None:
        """Take where the handle was dragged to."""
        self._judge(to_si(round(place, _ROUND), self.limit.unit))

    def _judge(self, si, echo="", digits=None):
        limit = self.limit
        self._name_unit()
        try:
            read_number(si, limit.label, limit.unit, *limit.range)
        except ValueError as error:
            self._refuse(in_field(si, limit.unit), str(error))
        else:
            digits = digits or (_SAID if self._shown != limit.unit else None)  # of a conversion
            self._accept(si, in_field(si, limit.unit, digits=digits), echo)

    def _accept(self, si, text, echo=""):
        with self.hold_sync():
            self.text = self.good = text
            self.echo, self.wrong = echo, ""
            self._place(si)
            self._tell(si, "")

    def _refuse(self, text, words):
        with self.hold_sync():
            self.text, self.echo, self.wrong = text, "", f"{capital(words)}."
            self._tell(self.setting[0] if self.setting else math.nan, words)

    def _tell(self, si, words):
        self._own_move = True
        try:
            if not words:
                self.value = from_si(si, self.limit.unit)
            self.setting = (si, words)
        finally:
            self._own_move = False

    @t.observe("value")
    def _value_set(self, change):
        if not self._own_move:
            self._judge(to_si(change["new"], self.limit.unit))

    def _place(self, si):
        """Put the handle there; its range grows by whole steps where the value lies outside."""
        if not self.handle:
            return
        value = from_si(si, self.limit.unit)
        below = max(0, math.ceil(round((self.low - value) / self.step, _ROUND))) * self.step
        above = max(0, math.ceil(round((value - self.high) / self.step, _ROUND))) * self.step
        self.low, self.high = round(self.low - below, _ROUND), round(self.high + above, _ROUND)
        self.place, self.said = value, show_input(si, self.limit.unit, _SAID)
        self.per = FACTORS[self.limit.unit] / FACTORS[shown_unit(self.limit.unit)]


def _free_limit(kind, label, unit, tip="", low=-math.inf, high=math.inf):
    return Limit(kind, label, unit, low, high, 0.0, 1.0, 0.1, "", tip)


_FILLING = threading.Lock()


class Listens:
    """What listens to controls, but not in the middle of `quietly`, while it fills them itself."""

    _filling = ()  # threads that fill controls; what a hand does meanwhile comes on another

    @contextmanager
    def quietly(self):
        """While controls are filled: nobody hears of it."""
        me = threading.get_ident()
        with _FILLING:
            self._filling += (me,)
        try:
            yield
        finally:
            with _FILLING:
                at = self._filling.index(me)
                self._filling = self._filling[:at] + self._filling[at + 1 :]

    def listen(self, action, *controls) -> None:
        """Call `action(change)` when the value of a control changes, or a number is refused."""
        for control in controls:
            trait = "setting" if control.has_trait("setting") else "value"
            control.observe(lambda change: None if threading.get_ident() in self._filling else action(change), trait)


# ----- one control each, of class `pm-<kind>` -----


def marked(control, *kinds: str):
    """The control, with the class `pm-<kind>` of each kind."""
    for kind in kinds:
        control.add_class(f"pm-{kind}")
    return control


def _place(width, describe):
    style = {"description_width": f"{describe}px"}
    return {"style": style, "layout": widgets.Layout(width=f"{width}px", max_width="100%", margin="1px 0")}


class Options(list):
    """Options of a list, whose words hang on the unit that lengths are shown in: `make()` makes them anew."""

    def __init__(self, make):
        super().__init__(make())
        self.make = make


def pick(kind: str, label: str, options, value=None, width: int = 380, describe: int = 90) -> widgets.Dropdown:
    """A list to choose from."""
    control = widgets.Dropdown(options=options, description=label, **_place(width, describe))
    if isinstance(options, Options):
        control.relabel = options.make
    if value is not None:
        control.value = value
    return marked(control, kind)


def fill(control, options) -> None:
    """Give a list new options, and choose the first."""
    control.options = options
    control.index = 0 if options else None


def choose(control, value, words: str = "", usual=None) -> None:
    """Choose a value in a list (of the `usual` options, where given); one that is not there joins it under `words`, in
    the place of what stood there under these words."""
    options = list(control.options if usual is None else usual)
    values = [option[1] if isinstance(option, tuple) else option for option in options]
    if value not in values:
        options = [option for option in options if not (isinstance(option, tuple) and option[0] == words)]
        options.append((words, value) if words else value)
    if tuple(options) != tuple(control.options):
        control.options = options
    control.value = next((v for v in values if v == value), value)


def number(kind, label: str, value: float, width: int = 190, unit="", tip="", low=-math.inf, high=math.inf) -> Number:
    """A field for a number, in this unit, that counts when the field is left or Enter is pressed; `low` and `high` in
    this unit."""
    limit = _free_limit(kind, label, unit, tip, low, high)
    layout = widgets.Layout(width=f"{max(width, _LEAST)}px", margin="1px 0")
    return Number(kind, value, limit, handle=False, layout=layout)


def words_field(kind: str, label: str, width: int = WIDTH, describe: int = LABEL, make=widgets.Text):
    """A field for words that count when the field is left."""
    return marked(make(description=label, continuous_update=False, **_place(width, describe)), kind)


def tick(kind: str, label: str, value: bool = True, width: int | None = WIDTH, margin: str | None = None):
    """A box to tick."""
    layout = widgets.Layout(width=None if width is None else f"{width}px", margin=margin)
    return marked(widgets.Checkbox(value=value, description=label, indent=False, layout=layout), kind)


def slider(kind: str, label: str, value, low, high, step, unit: str = "", tip: str = "") -> Number:
    """A field with a handle; values in this unit."""
    limit = Limit(kind, label, unit, low, high, low, high, step, "", tip)
    return Number(kind, value, limit, layout=widgets.Layout(max_width="460px", margin="1px 0"))


def button(kind: str, words: str, action, width: int | None = 190, hint: str = "", main: bool = False):
    """A button that does `action()`; a `main` one stands out. Without a width it is as wide as its words."""
    made = widgets.Button(
        description=words,
        tooltip=hint or words,
        button_style="primary" if main else "",
        layout=widgets.Layout(width=f"{width}px" if width else "auto"),
    )
    made.on_click(lambda _: action())
    return marked(made, kind)


def html_part(kind: str) -> widgets.HTML:
    """A place for HTML text, of this class."""
    part = widgets.HTML(layout=widgets.Layout(width="100%", margin="0"))
    part.add_class(kind)
    return part


# ----- several controls together -----


def row(*controls) -> widgets.HBox:
    """Controls beside each other while there is room."""
    return widgets.HBox(list(controls), layout=widgets.Layout(flex_flow="row wrap", grid_gap="2px 12px"))


def heading(words: str) -> widgets.HTML:
    """A heading of a group."""
    return widgets.HTML(f'<div class="pm-heading">{escape(words)}</div>')


def group_box(title: str, controls) -> widgets.VBox:
    """Controls under a heading."""
    return marked(widgets.VBox([heading(title), *controls]), "group-box")


class Fold(widgets.VBox):
    """Controls or texts below a button that opens and shuts them. `inside` is a box, a list, or a function that makes
    the list when the fold is first opened."""

    def __init__(self, title: str, inside, *kinds: str, opened: bool = False):
        self.button = FoldButton(title=title, opened=opened)
        if callable(inside):
            self.inside = widgets.VBox()
            self.button.observe(partial(self._make, inside), "opened")
            self._make(inside, {"new": opened})
        else:
            self.inside = inside if isinstance(inside, widgets.Widget) else widgets.VBox(list(inside))
        self.inside.add_class("pm-folded-in")
        super().__init__([self.button, self.inside])
        marked(self, "fold-box", *kinds)
        self.button.observe(lambda change: show_if(self.inside, change["new"]), "opened")
        show_if(self.inside, opened)

    def _make(self, make, change):
        if change["new"] and not self.inside.children:
            self.inside.children = list(make())


def fold_away(groups: dict, *kinds: str, first: bool = False) -> widgets.VBox:
    """Groups of controls by title, each folded but, if wanted, the first; a group is as the inside of a `Fold`."""
    folds = [Fold(title, group, opened=first and not n) for n, (title, group) in enumerate(groups.items())]
    return marked(widgets.VBox(folds), *kinds)


def hidden_style(style: str) -> widgets.HTML:
    """A style sheet, which takes no room."""
    return widgets.HTML(style, layout=widgets.Layout(display="none"))


def show_if(control, shown: bool) -> None:
    """Show a control, or take it away."""
    control.layout.display = None if shown else "none"


def mark_stale(parts, stale: bool) -> None:
    """Grey what belongs to other settings, or not."""
    for part in parts:
        (part.add_class if stale else part.remove_class)("pm-stale")


def every_part(widget):
    """A widget and all that stands in it."""
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every_part(child)


def show_units_again(root) -> None:
    """Fields and lists in a widget, in the unit that lengths are shown in now."""
    for part in every_part(root):
        if hasattr(part, "show_again"):
            part.show_again()
        elif isinstance(part, widgets.Dropdown) and hasattr(part, "relabel"):
            value, options = part.value, part.relabel()
            if tuple(options) != tuple(part.options):
                part.options, part.value = options, value
