"""The form of the shop's choices, built from their tables: what is set most often open, the rest folded by group."""

from __future__ import annotations

import ipywidgets as widgets

from ..shop.choices import CHOICE_LIMITS, OPTIONS, SWITCHES, SYSTEMS, ShopChoices
from .controls import Form, stock_list
from .widgets import COLUMN, choose, folded, group_box, pick, tick, words_field

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
OPEN = (
    "bond",
    "pour",
    "shop_temperature",
    "lift_choice",
    "own_lift",
    "heat_limit",
    "page",
    "dam_clearance",
    "start",
)
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


class ShopControls(Form):
    """All choices of the shop. `numbers`, `lists`, `switches` by field name, `start` the text of the start; classes
    `pm-<field>`."""

    def __init__(self, choices: ShopChoices):
        self.lists = {name: stock_list(name, LABELS[name], "resin_systems") for name in SYSTEMS}
        for name, values in OPTIONS.items():
            self.lists[name] = pick(name, LABELS[name], [(WORDS.get(v, v), v) for v in values], **COLUMN)
        self.switches = {name: tick(name, LABELS[name], False, margin="1px 0") for name in SWITCHES}
        self.start = words_field("start", LABELS["start"])
        super().__init__(CHOICE_LIMITS, **self.lists, **self.switches, start=self.start)
        self.set(choices)

    def group(self) -> widgets.Widget:
        """What is open above what is folded."""
        inside = {title: self._flow(names) for title, names in GROUPS.items()}
        return group_box("In the shop", [self._flow(OPEN), folded(inside, "judgement", width=None)])

    def _flow(self, names):
        return widgets.HBox(self.boxes(names), layout=widgets.Layout(flex_flow="row wrap", grid_gap="0 20px"))

    def choices(self) -> ShopChoices:
        """The choices as set; ValueError, in words, where they do not go together."""
        numbers = {name: number.si() for name, number in self.numbers.items()}
        rest = {name: control.value for name, control in {**self.lists, **self.switches}.items()}
        return ShopChoices(**numbers, **rest, start=self.start.value.strip())

    def set(self, choices: ShopChoices) -> None:
        """Show other choices; a resin system of one's own joins the lists. Listeners do not hear of it."""
        with self.quietly():
            for name, number in self.numbers.items():
                number.put(getattr(choices, name))
            for name in (*self.lists, *self.switches):
                value = getattr(choices, name)
                if name in SYSTEMS:
                    choose(self.lists[name], value, f"{value.name} (own)")
                else:
                    self.others[name].value = value
            self.start.value = choices.start
