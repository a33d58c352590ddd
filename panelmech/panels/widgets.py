"""The controls that panels are made of, each with its CSS class: numbers, lists, fields, ticks, buttons, HTML parts.

A `Number` is a handle to drag and a field to type in. The field holds the value; it takes any number, on the handle's
steps or not, so that a measured thickness is not rounded to the nearest step. The handle stands as near to it as its
steps allow, and only a drag moves the field: what a browser reports of a handle that Python has put somewhere is its
own rounding of that place (134.99999999999997, or the nearest step) and is dropped. A handle never changes its range,
since a browser may clip a value to the range before and report that as if it had been dragged: a value outside brings a
new handle, and the old one is not listened to any more.
"""

from __future__ import annotations

import math
from contextlib import contextmanager
from html import escape

import ipywidgets as widgets

from ..study.design import LIMITS
from ..units import Limit, from_si, pretty_unit, to_si

WIDTH, LABEL, FIELD = 368, 160, 74  # pixels: a control of the side column, the label in it, the field
COLUMN = {"width": WIDTH, "describe": LABEL}  # the place of a control in the side column
_ROUND = 6  # decimals of a dragged value, in the unit shown
_HALF = 1e-9  # steps: rounding must not turn a half into less


class Handle(widgets.FloatSlider):
    """A slider that ignores a browser's report of the place it was put at."""

    def on_step(self, value: float) -> float:
        """The nearest place the handle can take; half way the upper one, as a browser rounds."""
        return round(self.min + math.floor((value - self.min) / self.step + 0.5 + _HALF) * self.step, _ROUND)

    def set_state(self, sync_data):
        """A message from the browser; see `Handle`."""
        moved = sync_data.get("value")
        if moved is not None and self.on_step(moved) == self.on_step(self.value):
            sync_data = {name: state for name, state in sync_data.items() if name != "value"}
        if sync_data:
            super().set_state(sync_data)


class Number:
    """A setting of the table of limits (or of the `limit` given), in the unit shown. `handle` and `field` are its two
    controls, `box` (class `pm-<name>`) both beside each other. Setting either moves the other."""

    def __init__(self, name: str, value: float, limit: Limit | None = None):
        self.limit, self._moving = limit or LIMITS[name], False
        unit = f", {pretty_unit(self.limit.unit)}" if self.limit.unit else ""
        self._words = f"{self.limit.label}{unit}"
        self.field = widgets.FloatText(
            value=value,
            step=self.limit.step,
            tooltip=f"{self._words}: {self.limit.help}",
            layout=widgets.Layout(width=f"{FIELD}px", margin="0"),
        )
        self.box = marked(widgets.HBox([], layout=widgets.Layout(margin="1px 0")), name)
        self._new_handle(self.limit.slider_low, self.limit.slider_high, self.limit.slider_low)
        self._place(value)
        self.field.observe(self._typed, "value")

    @property
    def value(self) -> float:
        """The setting, in the unit shown."""
        return self.field.value

    @value.setter
    def value(self, value: float) -> None:
        self.field.value = value

    def si(self) -> float:
        """The setting [SI]; what is not allowed is left to whom it is handed."""
        return to_si(self.value, self.limit.unit)

    def put(self, value: float) -> None:
        """Show a value [SI]."""
        self.value = from_si(value, self.limit.unit)

    def _new_handle(self, low, high, value):
        """Put a handle of this range beside the field in place of the one before."""
        self.handle = Handle(
            value=value,
            min=low,
            max=high,
            step=self.limit.step,
            description=self._words,
            tooltip=self.limit.help,
            readout=False,
            style={"description_width": f"{LABEL}px"},
            layout=widgets.Layout(width=f"{WIDTH - FIELD}px", margin="0"),
        )
        self.handle.observe(self._dragged, "value")
        self.box.children = (self.handle, self.field)

    def _place(self, value):
        """Stand at this value, in a range wider by whole steps where it lies outside but is allowed."""
        if not self.limit.low <= value <= self.limit.high:
            return
        handle = self.handle
        below = max(0, math.ceil((handle.min - value) / handle.step)) * handle.step
        above = max(0, math.ceil((value - handle.max) / handle.step)) * handle.step
        if below or above:
            handle.unobserve(self._dragged, "value")
            self._new_handle(round(handle.min - below, _ROUND), round(handle.max + above, _ROUND), value)
        else:
            handle.value = value

    def _dragged(self, change):
        if not self._moving:
            self.field.value = round(change["new"], _ROUND)

    def _typed(self, change):
        if self.handle.on_step(change["new"]) != self.handle.on_step(self.handle.value):
            self._moving = True
            try:
                self._place(change["new"])
            finally:
                self._moving = False


class Listens:
    """What listens to controls, but not in the middle of `quietly`, while it fills them itself."""

    _quiet = False

    @contextmanager
    def quietly(self):
        """While controls are filled: nobody hears of it."""
        before, self._quiet = self._quiet, True
        try:
            yield
        finally:
            self._quiet = before

    def listen(self, action, *controls) -> None:
        """Call `action(change)` when the value of a control changes."""
        for control in controls:
            control.observe(lambda change: None if self._quiet else action(change), "value")


# ----- one control each, of class `pm-<kind>` -----


def marked(control, *kinds: str):
    """The control, with the class `pm-<kind>` of each kind."""
    for kind in kinds:
        control.add_class(f"pm-{kind}")
    return control


def _place(width, describe):
    style = {"description_width": f"{describe}px"}
    return {"style": style, "layout": widgets.Layout(width=f"{width}px", margin="1px 0")}


def pick(kind: str, label: str, options, value=None, width: int = 380, describe: int = 90) -> widgets.Dropdown:
    """A list to choose from."""
    control = widgets.Dropdown(options=options, description=label, **_place(width, describe))
    if value is not None:
        control.value = value
    return marked(control, kind)


def fill(control, options) -> None:
    """Give a list new options, and choose the first."""
    control.options = options
    control.index = 0 if options else None


def choose(control, value, words: str = "", usual=None) -> None:
    """Choose a value in a list (of the `usual` options, where given); one that is not there joins it under `words`."""
    options = list(control.options if usual is None else usual)
    values = [option[1] if isinstance(option, tuple) else option for option in options]
    if value not in values:
        options.append((words, value) if words else value)
    if tuple(options) != tuple(control.options):
        control.options = options
    control.value = next((v for v in values if v == value), value)


def number(kind: str, label: str, value: float, width: int = 190, describe: int = 90, tip: str = ""):
    """A field for a number that counts when the field is left or Enter is pressed."""
    field = widgets.FloatText(
        value=value, description=label, tooltip=tip or label, continuous_update=False, **_place(width, describe)
    )
    return marked(field, kind)


def words_field(kind: str, label: str, width: int = WIDTH, describe: int = LABEL, make=widgets.Text):
    """A field for words that count when the field is left."""
    return marked(make(description=label, continuous_update=False, **_place(width, describe)), kind)


def tick(kind: str, label: str, value: bool = True, width: int | None = WIDTH, margin: str | None = None):
    """A box to tick."""
    layout = widgets.Layout(width=None if width is None else f"{width}px", margin=margin)
    return marked(widgets.Checkbox(value=value, description=label, indent=False, layout=layout), kind)


def slider(kind: str, label: str, value, low, high, step, width=WIDTH, describe=LABEL, tip="", **more):
    """A slider with its value beside it, of whole numbers where `step` is one."""
    make = widgets.IntSlider if isinstance(step, int) else widgets.FloatSlider
    place = {"tooltip": tip or None, **_place(width, describe)} | more
    return marked(make(value=value, min=low, max=high, step=step, description=label, **place), kind)


def button(kind: str, words: str, action, width: int = 190, hint: str = "", main: bool = False) -> widgets.Button:
    """A button that does `action()`; a `main` one stands out."""
    made = widgets.Button(
        description=words,
        tooltip=hint or words,
        button_style="primary" if main else "",
        layout=widgets.Layout(width=f"{width}px"),
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


def fold_away(groups: dict, *kinds: str, width: int | None = WIDTH) -> widgets.Accordion:
    """Groups of controls by title, folded; a group is a box or a list of controls."""
    inside = [group if isinstance(group, widgets.Widget) else widgets.VBox(group) for group in groups.values()]
    place = {} if width is None else {"layout": widgets.Layout(width=f"{width}px")}
    return marked(widgets.Accordion(inside, titles=tuple(groups), selected_index=None, **place), *kinds)


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
