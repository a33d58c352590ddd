"""The controls of a panel: sliders from the table of limits, choices from the catalogue, and what the picture shows.

They turn a design into settings and settings into a design, and compute nothing. A material of the user's own joins
the list it is chosen from.
"""

from __future__ import annotations

import ipywidgets as widgets

from ..draw.live_svg import View
from ..materials.stock import catalogue
from ..study.design import LIMITS, Design
from ..units import from_si, to_si
from .widgets import LABEL, WIDTH, Number

STOCK = {"sheet": ("sheet", "sheets"), "adhesive": ("adhesive", "adhesives"), "spacer": ("spacer stock", "spacers")}
GROUPS = ("geometry", "material")


def _layout():
    return widgets.Layout(width=f"{WIDTH}px", margin="1px 0")


def choice(name: str, design: Design) -> widgets.Dropdown:
    """List of stock to choose from, set to the design's; class `pm-<name>`. Its values are catalogue records."""
    label, shelf = STOCK[name]
    control = widgets.Dropdown(
        options=[(n, record) for n, record in getattr(catalogue, shelf).items()],
        description=label,
        style={"description_width": f"{LABEL}px"},
        layout=_layout(),
    )
    control.add_class(f"pm-{name}")
    set_choice(control, getattr(design, name))
    return control


def set_choice(control, record) -> None:
    """Choose a record; one that is not in the list joins it."""
    if not any(record == other for _, other in control.options):
        control.options = [*control.options, (f"{record.name} (this study's own)", record)]
    control.value = next(other for _, other in control.options if other == record)


class Controls:
    """All settings of a panel. `numbers` and `choices` by field name, `show` what the picture shows; `groups` puts them
    in the order geometry, material, view, with judgement folded at the end."""

    def __init__(self, design: Design):
        self.base = design
        self.numbers = {
            name: Number(name, from_si(getattr(design, name), limit.unit)) for name, limit in LIMITS.items()
        }
        self.choices = {name: choice(name, design) for name in STOCK}
        self.show = _view_controls()
        self._waiting = False

    def groups(self) -> list:
        """What is shown, group by group."""
        boxes = []
        for group in GROUPS:
            chosen = list(self.choices.values()) if group == "material" else []
            moved = [number.box for number in self.numbers.values() if number.limit.group == group]
            boxes.append(group_box(group.capitalize(), [*chosen, *moved]))
        return [*boxes, group_box("View", [*_pairs(self.show), self._judgement()])]

    def _judgement(self):
        """Margins and loads in use: folded, since they are set once for a part."""
        inside = widgets.VBox([number.box for number in self.numbers.values() if number.limit.group == "judgement"])
        folded = widgets.Accordion(
            [inside],
            titles=("Judgement: margins, loads in use",),
            selected_index=None,
            layout=widgets.Layout(width=f"{WIDTH}px"),
        )
        folded.add_class("pm-judgement")
        return folded

    def design(self) -> Design:
        """The design as set; ValueError, in words, where the settings do not go together."""
        changes = {name: to_si(number.value, number.limit.unit) for name, number in self.numbers.items()}
        return self.base.replace(**changes, **{name: control.value for name, control in self.choices.items()})

    def set(self, design: Design) -> None:
        """Show another design; what has no control is kept with it. Listeners hear of it once, at the end."""
        self._waiting, self.base = True, design
        try:
            for name, number in self.numbers.items():
                number.value = from_si(getattr(design, name), number.limit.unit)
            for name, control in self.choices.items():
                set_choice(control, getattr(design, name))
        finally:
            self._waiting = False

    def view(self) -> View:
        """What the picture shall show."""
        return View(*(self.show[name].value for name in ("wedge", "dimensions", "strain", "exaggerate")))

    def on_change(self, listener) -> None:
        """Call `listener()` after every change of a setting, but not in the middle of `set`."""
        fields = [number.field for number in self.numbers.values()]
        for control in (*fields, *self.choices.values(), *self.show.values()):
            control.observe(lambda _: None if self._waiting else listener(), "value")


def group_box(title: str, controls) -> widgets.VBox:
    """Controls under a heading."""
    box = widgets.VBox([widgets.HTML(f'<div class="pm-heading">{title}</div>'), *controls])
    box.add_class("pm-group-box")
    return box


def _view_controls():
    marks = {"wedge": "flat wedge", "dimensions": "dimensions", "strain": "strain as colour"}
    show = {
        name: widgets.Checkbox(
            value=True, description=label, indent=False, layout=widgets.Layout(width="160px", margin="1px 0")
        )
        for name, label in marks.items()
    }
    show["exaggerate"] = widgets.IntSlider(
        value=1,
        min=1,
        max=5,
        description="heights drawn, ×",
        style={"description_width": f"{LABEL}px"},
        layout=_layout(),
    )
    for name, control in show.items():
        control.add_class(f"pm-{name}")
    return show


def _pairs(show):
    ticks = [show["wedge"], show["dimensions"], show["strain"]]
    return [widgets.HBox(ticks[:2]), ticks[2], show["exaggerate"]]
