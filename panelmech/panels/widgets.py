"""One numeric setting: a handle to drag and a field to type in, kept together.

The field holds the value; it takes any number, on the handle's steps or not, so that a measured thickness is not
rounded to the nearest step. The handle stands as near to it as its steps allow. A browser reports its own rounding of
a handle back as if it had been moved (134.99999999999997, or the nearest step): such reports are recognised and
dropped.
"""

from __future__ import annotations

import math

import ipywidgets as widgets

from ..study.design import LIMITS, Limit
from ..units import pretty_unit

WIDTH, LABEL, FIELD = 368, 160, 74  # pixels: the whole control, the label in it, the field
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

    def place(self, value: float, limit: Limit) -> None:
        """Stand at this value, with the range widened by whole steps where it lies outside but is allowed."""
        if not limit.low <= value <= limit.high:
            return
        low = self.min - max(0, math.ceil((self.min - value) / self.step)) * self.step
        high = self.max + max(0, math.ceil((value - self.max) / self.step)) * self.step
        with self.hold_sync(), self.hold_trait_notifications():
            self.min, self.max, self.value = round(low, _ROUND), round(high, _ROUND), value


class Number:
    """A setting of the table of limits (or of the `limit` given), in the unit shown. `handle` and `field` are its two
    controls, `box` (class `pm-<name>`) both beside each other. Setting either moves the other."""

    def __init__(self, name: str, value: float, limit: Limit | None = None):
        self.limit, self._moving = limit or LIMITS[name], False
        unit = f", {pretty_unit(self.limit.unit)}" if self.limit.unit else ""
        words = f"{self.limit.label}{unit}"
        self.handle = Handle(
            value=self.limit.slider_low,
            min=self.limit.slider_low,
            max=self.limit.slider_high,
            step=self.limit.step,
            description=words,
            tooltip=self.limit.help,
            readout=False,
            style={"description_width": f"{LABEL}px"},
            layout=widgets.Layout(width=f"{WIDTH - FIELD}px", margin="0"),
        )
        self.field = widgets.FloatText(
            value=value,
            step=self.limit.step,
            tooltip=f"{words}: {self.limit.help}",
            layout=widgets.Layout(width=f"{FIELD}px", margin="0"),
        )
        self.handle.place(value, self.limit)
        self.box = widgets.HBox([self.handle, self.field], layout=widgets.Layout(margin="1px 0"))
        self.box.add_class(f"pm-{name}")
        self.handle.observe(self._dragged, "value")
        self.field.observe(self._typed, "value")

    @property
    def value(self) -> float:
        """The setting, in the unit shown."""
        return self.field.value

    @value.setter
    def value(self, value: float) -> None:
        self.field.value = value

    def _dragged(self, change):
        if not self._moving:
            self.field.value = round(change["new"], _ROUND)

    def _typed(self, change):
        if self.handle.on_step(change["new"]) != self.handle.on_step(self.handle.value):
            self._moving = True
            try:
                self.handle.place(change["new"], self.limit)
            finally:
                self._moving = False
