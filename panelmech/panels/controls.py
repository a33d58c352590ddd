"""Forms: controls built from tables of fields; and the form of a design, with what its picture shows.

A form turns records into settings and settings into records, and computes nothing. A material of the user's own joins
the list it is chosen from.
"""

from __future__ import annotations

import ipywidgets as widgets

from ..draw.live_svg import SectionMarks
from ..materials.stock import catalogue
from ..study.design import LIMITS, Design
from ..units import pretty_unit, to_si
from .widgets import COLUMN, Listens, Number, choose, folded, group_box, pick, slider, tick

STOCK = {"sheet": ("sheet", "sheets"), "adhesive": ("adhesive", "adhesives"), "spacer": ("spacer stock", "spacers")}
GROUPS = ("geometry", "material")
MARKS = {"wedge": "flat wedge", "dimensions": "dimensions", "strain": "strain as colour"}


class Form(Listens):
    """Settings by name: `numbers` of a table of limits, and `others`, any controls with a value. `box(name)` is what to
    place of a setting. A listener hears of every change, but not in the middle of `quietly`."""

    def __init__(self, limits: dict, **others):
        self.numbers = {name: Number(name, limit.slider_low, limit) for name, limit in limits.items()}
        self.others = others

    def box(self, name: str) -> widgets.Widget:
        """What to place of a setting."""
        return self.numbers[name].box if name in self.numbers else self.others[name]

    def boxes(self, names) -> list:
        """What to place of several."""
        return [self.box(name) for name in names]

    def allowed(self, name: str) -> float:
        """A number [SI]; ValueError, in words, where it is not allowed."""
        value, limit = self.numbers[name].value, self.numbers[name].limit
        if not limit.low <= value <= limit.high:
            unit = pretty_unit(limit.unit)
            raise ValueError(f"{limit.label} is {value:g} {unit}: allowed is {limit.low:g} to {limit.high:g}")
        return to_si(value, limit.unit)

    def on_change(self, listener) -> None:
        """Call `listener()` after every change of a setting."""
        fields = (number.field for number in self.numbers.values())
        self.listen(lambda _: listener(), *fields, *self.others.values())


class Controls(Form):
    """The form of a design. `numbers` and `choices` by field name, `show` what the picture shows; `groups` puts them in
    the order geometry, material, view, with judgement folded at the end."""

    def __init__(self, design: Design):
        self.base = design
        self.choices = {name: stock_list(name, label, shelf) for name, (label, shelf) in STOCK.items()}
        self.show = {name: tick(name, label, True, 160, "1px 0") for name, label in MARKS.items()}
        self.show["exaggerate"] = slider("exaggerate", "heights drawn, ×", 1, 1, 5, 1)
        super().__init__(LIMITS, **self.choices, **self.show)
        self.set(design)

    def groups(self) -> list:
        """What is shown, group by group."""
        of = {group: [n for n, limit in LIMITS.items() if limit.group == group] for group in (*GROUPS, "judgement")}
        of["material"] = [*self.choices, *of["material"]]
        judgement = folded({"Judgement: margins, loads in use": self.boxes(of["judgement"])}, "judgement")
        shown = [widgets.HBox(self.boxes(("wedge", "dimensions"))), *self.boxes(("strain", "exaggerate")), judgement]
        return [*(group_box(g.capitalize(), self.boxes(of[g])) for g in GROUPS), group_box("View", shown)]

    def design(self) -> Design:
        """The design as set; ValueError, in words, where the settings do not go together."""
        changes = {name: number.si() for name, number in self.numbers.items()}
        return self.base.replace(**changes, **{name: control.value for name, control in self.choices.items()})

    def set(self, design: Design) -> None:
        """Show another design; what has no control is kept with it. Listeners do not hear of it."""
        self.base = design
        with self.quietly():
            for name, number in self.numbers.items():
                number.put(getattr(design, name))
            for name, control in self.choices.items():
                record = getattr(design, name)
                choose(control, record, f"{record.name} (this study's own)")

    def view(self) -> SectionMarks:
        """What the picture shall show."""
        return SectionMarks(*(self.show[name].value for name in ("wedge", "dimensions", "strain", "exaggerate")))


def stock_list(name: str, label: str, shelf: str) -> widgets.Dropdown:
    """A list of a shelf of the catalogue; its values are records."""
    return pick(name, label, list(getattr(catalogue, shelf).items()), **COLUMN)
