"""Forms: controls built from tables of fields; and the form of a design, with what its picture shows.

A form turns records into settings and settings into records, and computes nothing. A material of the user's own joins
the list it is chosen from.
"""

from __future__ import annotations

from functools import partial

import ipywidgets as widgets

from ..draw.live_svg import SectionMarks
from ..materials.stock import catalogue
from ..shop.agree import bonding_systems, pouring_systems
from ..shop.choices import CHOICE_LIMITS, OPTIONS, SHOP_JUDGED, SWITCHES, SYSTEMS, ShopChoices
from ..study.design import JUDGED, LIMITS, Design
from ..study.given import with_given
from ..study.inside import Inside
from ..units import Limit
from .inside_field import InsideField
from .own_stock import OwnStock, own_words
from .parts import counts_as_before
from .widgets import (
    COLUMN,
    Listens,
    Number,
    choose,
    fold_away,
    group_box,
    marked,
    pick,
    row,
    slider,
    tick,
    words_field,
)

STOCK = {
    "sheet": ("sheet", "sheets"),
    "adhesive": ("adhesive", "adhesives"),
    "spacer": ("spacer stock", "spacers"),
    "resin": ("resin, cured", "resins"),
}
OWN, SHOPS_OWN = "this study's own", "own"  # how a list marks stock of one's own
FIRST = (  # what makes the shape
    "sheet",
    "sheet_thickness",
    "free_length",
    "chord",
    "spacer_diameter",
    "outer_thickness",
    "setback",
    "span",
)
FOLLOWS = {"chord": "free_length", "outer_thickness": "spacer_diameter"}  # given, and what follows from it exactly
GIVEN = {
    limit.field: limit
    for limit in (
        Limit("chord", "or finished chord", "mm", 1, 10_000, 80, 500, 1, "geometry",
              "land and bent part up to the front-most point; type it, and the free length follows"),
        Limit("outer_thickness", "or outer thickness", "mm", 0.1, 5000, 5, 100, 0.5, "geometry",
              "over the outer faces at the front edge; type it, and the spacer follows"),
    )
}  # fmt: skip
_COMPUTED = 6  # digits of what follows
TITLES = {  # of the groups of limits
    "geometry": "More of the geometry: land, bond line, frames, ribs",
    "material": "Glue, rod, resin, friction",
    "judgement": "Judgement: margins, loads in use",
}
MARKS = {"wedge": "flat wedge", "dimensions": "dimensions", "strain": "strain as colour"}


class Form(Listens):
    """Settings by name: `numbers` of a table of limits, and `others`, any controls with a value. `box(name)` is what to
    place of a setting. A listener hears of every change, but not in the middle of `quietly`."""

    def __init__(self, limits: dict, **others):
        self.numbers = {name: Number(name, limit.slider_low, limit) for name, limit in limits.items()}
        self.others = others

    def box(self, name: str) -> widgets.Widget:
        """What to place of a setting."""
        return self.numbers[name] if name in self.numbers else self.others[name]

    def boxes(self, names) -> list:
        """What to place of several."""
        return [self.box(name) for name in names]

    def allowed(self, name: str) -> float:
        """A number [SI]; ValueError, in words, where it is not allowed."""
        return self.numbers[name].si()

    def refused(self) -> list:
        """Labels of the numbers that cannot be used as they stand."""
        return [number.limit.label for number in self.numbers.values() if number.refused]

    def on_change(self, listener) -> None:
        """Call `listener()` after every change of a setting."""
        self.listen(lambda _: listener(), *self.numbers.values(), *self.others.values())

    def watch_whose(self, mine: dict) -> None:
        """Keep in `settled` which of the numbers of `mine`, {name: box to tick}, are the builder's own. What is typed
        is, even where it is the default; what is dragged is not yet."""
        self.mine, self.settled = mine, set()
        for name, box in mine.items():
            self.numbers[name].observe(partial(self._typed, name), "entries")
            self.listen(partial(self._ticked, name), box)

    def _typed(self, name, change):
        self.settled.add(name)
        self.mine[name].value = True

    def _ticked(self, name, change):
        (self.settled.add if change["new"] else self.settled.discard)(name)


class Controls(Form):
    """The form of a design. `numbers` and `choices` by field name, `show` what the picture shows; `first` are the
    inputs that make the shape, `groups` the rest by title."""

    def __init__(self, design: Design):
        self.base = design
        self.choices = {name: stock_list(name, label, shelf) for name, (label, shelf) in STOCK.items()}
        self.show = {name: tick(name, label, True, None, "1px 12px 1px 0") for name, label in MARKS.items()}
        self.show["lengths"] = pick("lengths", "lengths shown in", [("mm", "mm"), ("inches", "inch")], **COLUMN)
        self.given = {name: Number(name, limit.slider_low, limit, handle=False) for name, limit in GIVEN.items()}
        self.held, self.settled, self._known = set(), set(), None
        self.show["exaggerate"] = slider("exaggerate", "heights drawn", 1, 1, 5, 1, "x")
        self.own = OwnStock(self.choices, STOCK, OWN, "the study", self.quietly)
        self.mine = {name: tick(f"mine-{name}", f"{LIMITS[name].label}: mine", False) for name in JUDGED}
        mine = {f"mine_{name}": control for name, control in self.mine.items()}
        self.inside = {name: InsideField(name) for name in ("ribs", "zones")}
        super().__init__(LIMITS, **self.choices, **self.show, **mine, **self.inside, own=self.own)
        self.watch_whose(self.mine)
        for name, follower in FOLLOWS.items():
            self.listen(partial(self._hold, name), self.given[name])
            self.listen(partial(self._let_go, name), self.numbers[follower])
        self.set(design)

    def on_change(self, listener) -> None:
        """Call `listener()` after every change of a setting."""
        super().on_change(listener)
        self.listen(lambda _: listener(), *self.given.values())

    def box(self, name):
        """What to place of a setting."""
        return self.given[name] if name in self.given else super().box(name)

    def first(self) -> widgets.Box:
        """The inputs that make the shape."""
        return marked(widgets.Box(self.boxes(FIRST)), "first")

    def _hold(self, name, change):
        self.held.add(name)

    def _let_go(self, name, change):
        self.held.discard(name)
        if self.given[name].refused:
            with self.quietly():
                self.given[name].put(self.given[name].setting[0])

    def show_units_again(self) -> None:
        """Show all lengths in the unit they are shown in now."""
        with self.quietly():
            for number in (*self.numbers.values(), *self.given.values(), *self.inside.values()):
                number.show_again()
        self.own.show_again()

    def follow(self, quantities: dict) -> None:
        """Show finished chord and outer thickness as they come out, where they are not given."""
        with self.quietly():
            for name, number in self.given.items():
                if name not in self.held:
                    number.put(float(quantities[name]), digits=_COMPUTED)

    def groups(self) -> dict:
        """The other inputs, what the picture shows, and stock of one's own, by title."""
        of = {group: [n for n, limit in LIMITS.items() if limit.group == group] for group in TITLES}
        of["material"] = [*self.choices, *of["material"]]
        of["geometry"] += list(self.inside)
        rest = {TITLES[group]: [*self._with_mine(n for n in names if n not in FIRST)] for group, names in of.items()}
        shown = {"Picture and units": [row(*self.boxes(MARKS)), *self.boxes(("exaggerate", "lengths"))]}
        return rest | shown | {"My own sheet, rod, adhesive, resin": self.own.open}

    def _with_mine(self, names):
        """What to place of settings, each limit of the builder's own with the box that makes its default his."""
        for name in names:
            yield self.box(name)
            yield from [self.mine[name]] if name in self.mine else []

    def design(self) -> Design:
        """The design as set; ValueError, in words, where the settings do not go together."""
        given = {name: self.given[name].si() for name in sorted(self.held) if not self._left_out(name)}
        follow = {FOLLOWS[name] for name in given}
        changes = {name: number.si() for name, number in self.numbers.items() if name not in follow}
        changes |= {name: control.value for name, control in self.choices.items()}
        changes["settled"] = tuple(sorted(self.settled))
        changes["inside"] = Inside(**{name: field.records() for name, field in self.inside.items()})
        key = (self.base, changes, given)
        if self._known is None or self._known[0] != key:
            design = self.base.replace(**changes)
            design = with_given(design, **given) if given else design
            if counts_as_before():
                return design
            self._known = key, design
            self._show_followers(design, given)
            self._show_mine(design)
        return self._known[1]

    def _left_out(self, name):
        """Whether a given size is refused, and what follows from it counts as it stands (`refused_as_before`)."""
        return counts_as_before() and self.given[name].refused

    def _show_mine(self, design):
        """Whose each limit is: the boxes are ticked but where a default stands that nobody has made his own."""
        with self.quietly():
            for name, control in self.mine.items():
                control.value = name not in design.untouched()

    def _show_followers(self, design, given):
        """What follows from a given chord or outer thickness, as it came out."""
        with self.quietly():
            for name in given:
                words = f"follows from the {GIVEN[name].label.removeprefix('or ')}"
                self.numbers[FOLLOWS[name]].put(getattr(design, FOLLOWS[name]), words, _COMPUTED)

    def set(self, design: Design) -> None:
        """Show another design; what has no control is kept with it. Listeners do not hear of it."""
        self.base, self.held, self.settled = design, set(), set(design.settled)
        with self.quietly():
            for name, number in self.numbers.items():
                number.put(getattr(design, name))
            for name, field in self.inside.items():
                field.put(getattr(design.inside, name))
            for name, control in self.choices.items():
                record = getattr(design, name)
                choose(control, record, own_words(record, OWN))
        self._show_mine(design)

    def view(self) -> SectionMarks:
        """What the picture shall show."""
        return SectionMarks(*(self.show[name].value for name in MARKS), exaggerate=round(self.show["exaggerate"].value))


def stock_list(name: str, label: str, shelf: str) -> widgets.Dropdown:
    """A list of a shelf of the catalogue; its values are records."""
    return pick(name, label, list(getattr(catalogue, shelf).items()), **COLUMN)


# ----- The form of the shop's choices, built from their tables: what is set most often open, the rest folded by group.


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
    "mine_heat_limit",
    "page",
    "dam_clearance",
    "start",
)
SHOP_GROUPS = {
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
        offered = {"bond": bonding_systems(), "pour": pouring_systems()}
        systems = {name: [(system.name, system) for system in offered[name]] for name in SYSTEMS}
        self.lists = {name: pick(name, LABELS[name], systems[name], **COLUMN) for name in SYSTEMS}
        for name, values in OPTIONS.items():
            self.lists[name] = pick(name, LABELS[name], [(WORDS.get(v, v), v) for v in values], **COLUMN)
        self.switches = {name: tick(name, LABELS[name], False, margin="1px 0") for name in SWITCHES}
        self.start = words_field("start", LABELS["start"])
        systems = {name: self.lists[name] for name in SYSTEMS}
        table = {name: (LABELS[name], "resin_systems") for name in SYSTEMS}
        self.own = OwnStock(systems, table, SHOPS_OWN, "the shop file", self.quietly)
        self.mine = {name: tick(f"mine-{name}", f"{CHOICE_LIMITS[name].label}: mine", False) for name in SHOP_JUDGED}
        mine = {f"mine_{name}": control for name, control in self.mine.items()}
        super().__init__(CHOICE_LIMITS, **self.lists, **self.switches, **mine, start=self.start, own=self.own)
        self.watch_whose(self.mine)
        self.set(choices)

    def group(self) -> widgets.Widget:
        """What is open above what is folded."""
        inside = {title: self._flow(names) for title, names in SHOP_GROUPS.items()}
        inside["My own resin system"] = self.own.open
        return group_box("In the shop", [self._flow(OPEN), fold_away(inside, "judgement")])

    def _flow(self, names):
        return widgets.HBox(
            self.boxes(names), layout=widgets.Layout(flex_flow="row wrap", grid_gap="0 20px")
        ).add_class("pm-flow")

    def choices(self) -> ShopChoices:
        """The choices as set; ValueError, in words, where they do not go together."""
        numbers = {name: number.si() for name, number in self.numbers.items()}
        rest = {name: control.value for name, control in {**self.lists, **self.switches}.items()}
        settled = tuple(sorted(self.settled))
        start = self.start.value.strip()
        try:
            choices = ShopChoices(**numbers, **rest, start=start, settled=settled)
        except ValueError:
            if not counts_as_before():
                raise
            choices = ShopChoices(**numbers, **rest, start=self._start, settled=settled)
        else:
            self._start = start
        self._show_mine(choices)
        return choices

    def _show_mine(self, choices):
        with self.quietly():
            for name, control in self.mine.items():
                control.value = name not in choices.untouched()

    def set(self, choices: ShopChoices) -> None:
        """Show other choices; a resin system of one's own joins the lists. Listeners do not hear of it."""
        with self.quietly():
            for name, number in self.numbers.items():
                number.put(getattr(choices, name))
            for name in (*self.lists, *self.switches):
                value = getattr(choices, name)
                if name in SYSTEMS:
                    choose(self.lists[name], value, own_words(value, SHOPS_OWN))
                else:
                    self.others[name].value = value
            self.start.value = self._start = choices.start
        self.settled = set(choices.settled)
        self._show_mine(choices)
