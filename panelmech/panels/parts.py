"""Parts of a page that ipywidgets does not have: fields and handles with a name and a state that every reader hears,
real fold buttons, pictures with words, one place that is read out.

Their browser side is `parts.js`; here is what they hold. A field sends what was typed as it was typed, a handle where
it was dragged to; what becomes of it is decided in Python alone, so nothing is changed on the way.
"""

from __future__ import annotations

import threading
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

import anywidget
import traitlets as t

# JupyterLab handles what comes from widgets on another thread than cells and timers: never two of them at once
ONE_AT_A_TIME = threading.RLock()

_AS_BEFORE = ContextVar("refused as before", default=False)


@contextmanager
def refused_as_before():
    """Inside, a field in which something stands that cannot be used counts as it was before, instead of an error."""
    token = _AS_BEFORE.set(True)
    try:
        yield
    finally:
        _AS_BEFORE.reset(token)


def counts_as_before() -> bool:
    """Whether a refused field counts as it was before: inside `refused_as_before`."""
    return _AS_BEFORE.get()


class Part(anywidget.AnyWidget):
    """What all parts share: one file for the browser, and which of its kinds this is.

    anywidget gives every single widget traits of its own for these, and with them a class of its own, which is a fifth
    of the time that a panel takes to come; here the class has them already.
    """

    _esm = t.Unicode(Path(__file__).with_name("parts.js").read_text(encoding="utf-8")).tag(sync=True)
    _anywidget_id = t.Unicode().tag(sync=True)
    kind = t.Unicode().tag(sync=True)

    @t.default("_anywidget_id")
    def _id_of_class(self):
        return f"{type(self).__module__}.{type(self).__name__}"

    def add_traits(self, **traits):
        """Only those that the class has not."""
        new = {name: trait for name, trait in traits.items() if not self.has_trait(name)}
        if new:
            super().add_traits(**new)


class Entry(Part):
    """A field to type in, with its name, its words below and, if wanted, a handle.

    text : what stands in the field, as typed
    good : the last text that could be used; Escape brings it back
    echo, wrong : words below the field: what was understood, or why not; `wrong` marks the field as invalid
    doubt : whether what was understood is asked back; marks the field
    place, low, high, step : of the handle, in any one unit
    said, per : what the handle announces, and its number over `place`
    """

    kind = t.Unicode("entry").tag(sync=True)
    label = t.Unicode().tag(sync=True)
    spoken = t.Unicode().tag(sync=True)  # name of the field for who cannot see what stands around it
    help = t.Unicode().tag(sync=True)
    placeholder = t.Unicode().tag(sync=True)
    text = t.Unicode().tag(sync=True)
    good = t.Unicode().tag(sync=True)
    echo = t.Unicode().tag(sync=True)
    wrong = t.Unicode().tag(sync=True)
    doubt = t.Bool(False).tag(sync=True)
    lines = t.Int(1).tag(sync=True)
    disabled = t.Bool(False).tag(sync=True)
    handle = t.Bool(False).tag(sync=True)
    place, low, high, step = (t.Float(default).tag(sync=True) for default in (0.0, 0.0, 1.0, 0.1))
    said = t.Unicode().tag(sync=True)
    per = t.Float(1.0).tag(sync=True)

    def __init__(self, **traits):
        super().__init__(**traits)
        self.on_msg(self._heard)

    def _heard(self, _, content, buffers):
        """What the browser sends; the answer says that it may send more."""
        with ONE_AT_A_TIME:
            try:
                if isinstance(content.get("typed"), str):
                    self.typed(content["typed"])
                elif isinstance(content.get("dragged"), int | float):
                    self.dragged(float(content["dragged"]))
            finally:
                self.send({"heard": True})

    def typed(self, text: str) -> None:
        """What was typed stands."""
        self.text = self.good = text

    def dragged(self, place: float) -> None:
        """Where the handle was dragged to."""
        self.place = place


class FoldButton(Part):
    """A button that opens and shuts what stands below it."""

    kind = t.Unicode("fold").tag(sync=True)
    title = t.Unicode().tag(sync=True)
    opened = t.Bool(False).tag(sync=True)


class Picture(Part):
    """A PNG picture with its words."""

    kind = t.Unicode("picture").tag(sync=True)
    value = t.Bytes().tag(sync=True)
    alt = t.Unicode().tag(sync=True)


class Spoken(Part):
    """Words that are read out when they change; nothing is seen of them."""

    kind = t.Unicode("spoken").tag(sync=True)
    words = t.Unicode().tag(sync=True)
