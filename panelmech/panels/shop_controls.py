"""The shop's choices as controls: sliders from the table of choices, lists of resin systems and of the rest.

They turn `ShopChoices` into settings and back, and compute nothing. What is set most often stands open, the rest is
folded by group.
"""

from __future__ import annotations

import ipywidgets as widgets

from ..materials.stock import catalogue
from ..shop.choices import CHOICE_LIMITS, OPTIONS, SWITCHES, SYSTEMS, ShopChoices
from ..units import from_si, to_si
from .controls import group_box
from .widgets import LABEL, WIDTH, Number

LABELS = {
    "bond": "resin of the bond",
    "pour": "resin of the pours",
    "page": "paper of templates",
    "dam": "dam under a lift",
    "lift_choice": "depth of a lift by",
    "stock_grain": "stock grain along",
    "filler": "filler",
    "bond_consistency": "bond, until it",
    "fill_consistency": "fillets, until it",
    "keep_pairs": "blanks of the pair side by side",
    "front_in_frames": "fill the front beyond the dams",
    "foam": "fill the hollow with foam",
    "post_cure": "post-cure",
    "start": "start, date and time",
}
OPEN = ("bond", "pour", "shop_temperature", "lift_choice", "own_lift", "heat_limit", "page", "dam_clearance", "start")
GROUPS = {
    "Cutting": (
        "stock_length",
        "stock_width",
        "stock_grain",
        "kerf",
        "edge_trim",
        "trim_front",
        "trim_back",
        "trim_ends",
        "keep_pairs",
    ),
    "Mixing and pouring": (
        "waste",
        "scale_resolution",
        "least_batch",
        "pot_volume",
        "pot_fill",
        "filler",
        "bond_consistency",
        "fill_consistency",
        "squeeze_out",
        "bead_length",
        "dam",
        "sheet_conductivity",
        "dam_inset",
        "front_in_frames",
        "fillet_radius",
        "foam",
    ),
    "Templates, use, hours": (
        "nose_rise",
        "edge_thickness",
        "service_temperature",
        "post_cure",
        "post_cure_temperature",
        "day_starts",
        "day_ends",
    ),
}
WORDS = {
    "one": "one sheet, plotter",
    "own": "my own",
    "heat": "heat",
    "data sheet": "the data sheet",
    "lesser of both": "heat or data sheet",
}


class ShopControls:
    """All choices of the shop. `numbers`, `lists`, `switches` by field name, `start` the text of the start; classes
    `pm-<field>`."""

    def __init__(self, choices: ShopChoices):
        self._waiting = False
        self.numbers = {
            name: Number(name, from_si(getattr(choices, name), limit.unit), limit)
            for name, limit in CHOICE_LIMITS.items()
        }
        self.lists = {name: _list(name, [(s, r) for s, r in catalogue.resin_systems.items()]) for name in SYSTEMS}
        self.lists |= {name: _list(name, [(WORDS.get(v, v), v) for v in values]) for name, values in OPTIONS.items()}
        self.switches = {name: _switch(name) for name in SWITCHES}
        self.start = _text("start")
        self.set(choices)

    def box(self) -> widgets.Widget:
        """What is open above what is folded."""
        first = widgets.HBox([self._part(name) for name in OPEN], layout=_flow())
        inside = [widgets.HBox([self._part(name) for name in names], layout=_flow()) for names in GROUPS.values()]
        folded = widgets.Accordion(inside, titles=tuple(GROUPS), selected_index=None)
        folded.add_class("pm-judgement")
        return group_box("In the shop", [first, folded])

    def _part(self, name):
        if name in self.numbers:
            return self.numbers[name].box
        return self.start if name == "start" else {**self.lists, **self.switches}[name]

    def choices(self) -> ShopChoices:
        """The choices as set; ValueError, in words, where they do not go together."""
        numbers = {name: to_si(number.value, number.limit.unit) for name, number in self.numbers.items()}
        rest = {name: control.value for name, control in {**self.lists, **self.switches}.items()}
        return ShopChoices(**numbers, **rest, start=self.start.value.strip())

    def set(self, choices: ShopChoices) -> None:
        """Show other choices; a resin system of one's own joins the lists. Listeners do not hear of it."""
        self._waiting = True
        try:
            for name, number in self.numbers.items():
                number.value = from_si(getattr(choices, name), number.limit.unit)
            for name in SYSTEMS:
                _join(self.lists[name], getattr(choices, name))
            for name in OPTIONS:
                self.lists[name].value = getattr(choices, name)
            for name, switch in self.switches.items():
                switch.value = getattr(choices, name)
            self.start.value = choices.start
        finally:
            self._waiting = False

    def on_change(self, listener) -> None:
        """Call `listener()` after every change, but not in the middle of `set`."""
        fields = [number.field for number in self.numbers.values()]
        for control in (*fields, *self.lists.values(), *self.switches.values(), self.start):
            control.observe(lambda _: None if self._waiting else listener(), "value")


def _flow():
    return widgets.Layout(flex_flow="row wrap", grid_gap="0 20px")


def _place():
    return {"style": {"description_width": f"{LABEL}px"}, "layout": widgets.Layout(width=f"{WIDTH}px", margin="1px 0")}


def _list(name, options):
    made = widgets.Dropdown(options=options, description=LABELS[name], **_place())
    made.add_class(f"pm-{name}")
    return made


def _join(control, record):
    if not any(record == other for _, other in control.options):
        control.options = [*control.options, (f"{record.name} (own)", record)]
    control.value = next(other for _, other in control.options if other == record)


def _switch(name):
    made = widgets.Checkbox(
        description=LABELS[name], indent=False, layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0")
    )
    made.add_class(f"pm-{name}")
    return made


def _text(name):
    made = widgets.Text(description=LABELS[name], continuous_update=False, **_place())
    made.add_class(f"pm-{name}")
    return made
