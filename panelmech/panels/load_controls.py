"""The form of the load panel: taper, water, pushes, heat, how the part is held, factors, strengths of one's own.

It turns a blade and a load sheet into settings and settings into both, and computes nothing. What a file holds beyond
it (further cases, tables along the span, fittings) is kept as it is. A new kind of load wants rows of `LOAD_LIMITS` and
a row of `CASES`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from html import escape

import ipywidgets as widgets

from ..blade.blade import Blade, Table, buildable
from ..loads.cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from ..loads.hydrodynamics import LIFT_MODELS
from ..loads.load_file import LoadSheet
from ..loads.plan import Factor, Judgement, LoadPlan, Own, Stock
from ..materials.water import OCEAN_SALINITY, water_density
from ..study.design import Design
from ..units import Limit, show
from .controls import Form
from .widgets import COLUMN, choose, number, pick, show_if, words_field

# What `study.design.LIMITS` is to a design: field, name for a builder, unit, lowest and highest allowed, lowest and
# highest of the slider, its step, group of the panel, help.
# fmt: off
LOAD_LIMITS = {
    limit.field: limit
    for limit in (
        Limit("tip_free_length", "free length, tip", "mm", 5, 5000, 80, 500, 1, "part",
              "free length of sheet at the tip; the one at the root is the design's"),
        Limit("step_at", "step of the rod at", "mm", 1, 20000, 50, 1000, 10, "part",
              "from the root end; from here on the second rod"),
        Limit("second_rod", "rod beyond the step", "mm", 0.1, 2000, 4, 80, 0.5, "part",
              "outside diameter of the rod from the step to the tip"),
        Limit("speed", "speed", "m/s", 0, 30, 0, 6, 0.1, "water", "through the water; 1 knot is 0.514 m/s"),
        Limit("angle", "angle to the flow", "deg", -90, 90, -10, 25, 0.5, "water",
              "between the water's flow and the chord: leeway, or the angle of the helm"),
        Limit("coefficient", "lift coefficient", "", -3, 3, 0, 1.5, 0.05, "water",
              "side force over area and stagnation pressure, if you know it better than the angle"),
        Limit("end_plate", "end plate factor", "", 1, 2, 1, 2, 0.05, "water",
              "1: root and tip both free in the water; 2: a flat hull closes the root without a gap; between: a gap "
              "or a curved hull, your own judgement. It multiplies the aspect ratio; above 1 the force is fullest at "
              "the root"),
        Limit("immersed_from", "out of the water", "mm", 0, 20000, 0, 600, 10, "water",
              "so much of the span, from the root end, is dry"),
        Limit("severe", "severe case, times", "x", 0, 20, 0, 5, 0.1, "water",
              "the sailing case times this: your own judgement of a broach or a wave"),
        Limit("tip_push", "push on the tip", "N", -1e5, 1e5, 0, 300, 5, "pushes",
              "force across the blade, as when it grounds"),
        Limit("mid_push", "push along the span", "N", -1e5, 1e5, 0, 300, 5, "pushes",
              "force across the blade at one place"),
        Limit("mid_place", "its place, of the span", "%", 0, 100, 0, 100, 1, "pushes",
              "from the root end, 0, to the tip, 100"),
        Limit("sealed_at", "sealed at", "degC", -60, 120, -10, 40, 1, "pushes",
              "temperature when the last vent was closed"),
        Limit("heated_to", "heated to", "degC", -60, 200, -10, 90, 1, "pushes",
              "hottest the air inside becomes; as sealed: no pressure, as with a vent"),
        Limit("head", "water inside", "mm", 0, 20000, 0, 1000, 10, "pushes",
              "depth of water shut in the hollow, which stays: as when a flooded part is lifted out"),
        Limit("bearing_1", "first bearing", "mm", -20000, 20000, 0, 500, 5, "held",
              "from the root end; on a stock above it, a negative number, typed"),
        Limit("bearing_2", "second bearing", "mm", -20000, 20000, 0, 500, 5, "held",
              "from the root end; on a stock above it, a negative number, typed"),
        Limit("stock_length", "stock, length", "mm", 1, 20000, 50, 1000, 10, "held",
              "how far it reaches above the root end; bearings must lie on it or on the part"),
        Limit("stock_diameter", "stock, diameter", "mm", 0.1, 2000, 6, 80, 0.5, "held", "outside, of the bar or tube"),
        Limit("stock_wall", "stock, wall", "mm", 0, 1000, 0, 10, 0.25, "held", "of a tube; 0 for a solid bar"),
        Limit("stock_modulus", "stock, modulus", "GPa", 0.1, 1000, 1, 220, 1, "held",
              "Young's modulus, common values from memory: aluminium 69, steel 200, bronze 105"),
        Limit("stock_strength", "stock, strength", "MPa", 0, 5000, 0, 1000, 5, "held",
              "yield stress, before your factor; 0: not known, and its check stays unknown"),
        Limit("strength", "factor on strength", "x", 1, 50, 1, 6, 0.1, "judgement",
              "strengths of sheet, rod, potting are divided by this"),
        Limit("bond", "factor on bonds", "x", 1, 50, 1, 6, 0.1, "judgement",
              "strengths of glued faces are divided by this"),
        Limit("buckling", "factor on buckling", "x", 1, 50, 1, 6, 0.1, "judgement",
              "buckling stresses are divided by this"),
    )
}
# fmt: on
FACTORS = ("strength", "bond", "buckling")
OWN_LIMITS = {  # field of the judgement: (label, unit)
    "sheet_strength": ("sheet, along the span", "MPa"),
    "resin_strength": ("potting", "MPa"),
    "sheet_shear_strength": ("sheet, in shear", "MPa"),
    "nose_bond_strength": ("potting to sheet, shear", "MPa"),
    "tip_deflection": ("tip may bend by", "mm"),
    "tip_twist": ("tip may twist by", "deg"),
}

ROOM, FULL_SPAN = 293.15, 1.0 - 1e-9  # K; share of the span from which on a push is on the tip


@dataclass(frozen=True)
class CaseForm:
    """How one kind of load is set: the first case of class `kind` that `fits`, if the rows before have left it.

    name     what a new one is called
    kind     class of the statement
    settings name of the setting: attribute of the statement
    none     values shown [SI] where there is no such case
    new      a statement to begin with, of a name and the density of the water [kg/m3]
    counts   whether values [SI] of the settings, in their order, make a case
    """

    name: str
    kind: type
    settings: dict
    none: tuple
    new: Callable
    counts: Callable = lambda first, *others: first != 0.0
    fits: Callable = lambda case: True


CASES = (
    CaseForm(
        "push on the tip",
        PointPush,
        {"tip_push": "force"},
        (0.0,),
        lambda name, density: PointPush(name, 1.0),
        fits=lambda case: case.place > FULL_SPAN,
    ),
    CaseForm(
        "push along the span",
        PointPush,
        {"mid_push": "force", "mid_place": "place"},
        (0.0, 0.5),
        lambda name, density: PointPush(name, 1.0, 0.5),
    ),
    CaseForm(
        "heated",
        SealedAir,
        {"sealed_at": "sealed_at", "heated_to": "heated_to"},
        (ROOM, ROOM),
        lambda name, density: SealedAir(name, ROOM, ROOM),
        counts=lambda sealed_at, heated_to: heated_to != sealed_at,
    ),
    CaseForm(
        "water inside",
        WaterHead,
        {"head": "depth"},
        (0.0,),
        lambda name, density: WaterHead(name, 1.0, density),
        fits=lambda case: case.inside and case.depth > 0.0,
    ),
)

SAME, TAPER, STEP, TABLE = "the same all along", "straight taper", "stepped", "as in the file"
ROOT, BEARINGS = "clamped at its root", "by two bearings"
BY_ANGLE, BY_COEFFICIENT, NO_FORCE = "the angle to the flow", "a lift coefficient of my own", "nothing: no side force"
NO_STOCK, BAR = "none, the part itself", "a round bar or tube"
LIFTS = [
    ("low blade: Whicker 1958", "whicker-fehlner"),
    ("low blade: Helmbold", "helmbold"),
    ("tall blade: lifting line", "lifting line"),
]  # words and key of `loads.hydrodynamics.LIFT_MODELS`
BEFORE = {  # what stands above a number
    "tip_free_length": ("taper",),
    "step_at": ("rod",),
    "angle": ("water", "lift_by"),
    "end_plate": ("lift", "lift_source"),
    "bearing_1": ("held",),
    "stock_length": ("stock",),
}
SAILING, SEVERE, SEVERE_BASIS = "sailing", "severe", "the user's own judgement"
OF_SAILING = {"speed": "speed", "end_plate": "end_plate", "immersed_from": "immersed_from"}
STOCK = {
    "stock_length": "length",
    "stock_diameter": "diameter",
    "stock_wall": "wall",
    "stock_modulus": "modulus",
    "stock_strength": "strength",
}  # setting: field
NEW_STOCK = Stock(0.3, 0.025, 0.0, 69e9, 0.3, None, "as entered")  # Poisson's ratio of metals, from memory


def first_loads() -> LoadSheet:
    """Loads to begin with, for a job that has none: sailing at walking pace in fresh water with some leeway."""
    sailing = SideForce(SAILING, 2.0, water_density(15.0), angle=math.radians(4.0))
    return LoadSheet(LoadPlan((sailing,)), remark="Proposed to begin with; not stated by anybody.")


def waters() -> list:
    """Waters to choose from: words and density [kg/m3]."""
    fresh, sea = water_density(15.0), water_density(15.0, OCEAN_SALINITY)
    return [(f"fresh, 15 °C: {show(fresh, 'kg/m3')}", fresh), (f"sea, 15 °C: {show(sea, 'kg/m3')}", sea)]


class LoadControls(Form):
    """All settings of the load panel beside the design's. `numbers` by name of `LOAD_LIMITS`; `lists`, `basis` and
    `own` by name; `base` and `sheet_base`, what was set last."""

    def __init__(self, blade: Blade, sheet: LoadSheet):
        self.lists = {
            "taper": pick("taper", "free length", [SAME, TAPER], **COLUMN),
            "rod": pick("rod", "rod", [SAME, STEP], **COLUMN),
            "water": pick("water", "water", waters(), **COLUMN),
            "lift_by": pick("lift-by", "side force from", [BY_ANGLE, BY_COEFFICIENT, NO_FORCE], **COLUMN),
            "lift": pick("lift-model", "lift formula", LIFTS, **COLUMN),
            "held": pick("held", "held", [ROOT, BEARINGS], **COLUMN),
            "stock": pick("stock-kind", "stock above the root", [NO_STOCK, BAR], **COLUMN),
        }
        self.basis = {name: words_field(f"{name}-basis", "its basis") for name in (*FACTORS, "stock")}
        self.own = {name: _own_field(name) for name in OWN_LIMITS}
        self.own_source = words_field("own-source", "these, from where")
        self.rest, self.lift_source = widgets.HTML(), widgets.HTML()
        texts = {f"{name}_basis": field for name, field in self.basis.items()}
        own = {f"own_{name}": field for name, field in self.own.items()} | {"own_source": self.own_source}
        super().__init__(LOAD_LIMITS, **self.lists, **texts, **own)
        self.set(blade, sheet)

    # ----- settings to records -----

    def blade(self, design: Design) -> Blade:
        """The part as set, for a design; ValueError, in words, where the settings do not go together."""
        n, along = self.allowed, {}
        taper, rod = self.lists["taper"].value, self.lists["rod"].value
        if taper != TABLE:
            along["free_length"] = (design.free_length, n("tip_free_length")) if taper == TAPER else None
        if rod != TABLE:
            step = Table((0.0, n("step_at")), (design.spacer_diameter, n("second_rod")), stepped=True)
            along["spacer_diameter"] = step if rod == STEP else None
        return buildable(self.base.with_root(design).replace(**along))

    def sheet(self) -> LoadSheet:
        """The load sheet as set; ValueError, in words, where the settings do not go together."""
        plan = self.sheet_base.plan
        sailing = self._sailing()
        new = [sailing, self._severe(sailing), *(self._case(row, old) for row, old in self._rows)]
        taken = [self._of_file[SAILING], self._of_file[SEVERE], *(old for _, old in self._rows)]
        cases = self._in_order(taken, new)
        changes = {"cases": cases, "held": self._held(), "judgement": self._judgement(), "stock": self._stock()}
        return replace(self.sheet_base, plan=replace(plan, **changes))

    def _in_order(self, taken, new):
        """The cases where they stood in the file, new ones behind them."""
        stands_for = {id(old): case for old, case in zip(taken, new, strict=True) if old is not None}
        stood = [stands_for.get(id(case), case) for case in self.sheet_base.plan.cases]
        added = [case for old, case in zip(taken, new, strict=True) if old is None]
        return tuple(case for case in (*stood, *added) if case is not None)

    def _case(self, row, old):
        """The case of a row as set, or None."""
        values = {attribute: self.allowed(name) for name, attribute in row.settings.items()}
        if not row.counts(*values.values()):
            return None
        return replace(old or row.new(self._free(row.name), self.lists["water"].value), **values)

    def _sailing(self):
        by, old = self.lists["lift_by"].value, self._of_file[SAILING]
        if by == NO_FORCE:
            return None
        values = {attribute: self.allowed(name) for name, attribute in OF_SAILING.items()}
        values["angle"] = self.allowed("angle") if by == BY_ANGLE else None
        values["coefficient"] = self.allowed("coefficient") if by == BY_COEFFICIENT else None
        values |= {"density": self.lists["water"].value, "model": self.lists["lift"].value}
        return replace(old, **values) if old else SideForce(self._free(SAILING), **values)

    def _severe(self, sailing):
        if sailing is None or not self.allowed("severe") > 0.0:
            return None
        old = self._of_file[SEVERE] or Severe(self._free(SEVERE), sailing, 1.0, SEVERE_BASIS)
        return replace(old, statement=sailing, factor=self.allowed("severe"))

    def _free(self, name):
        """A name for a new case that no other has."""
        taken = {case.name for case in self.sheet_base.plan.cases}
        return name if name not in taken else f"{name}, set here"

    def _held(self):
        """A place for the torque, which has no control, goes with the way of holding that the file has."""
        plan, bearings = self.sheet_base.plan, ()
        if self.lists["held"].value == BEARINGS:
            bearings = self.allowed("bearing_1"), self.allowed("bearing_2")
        same = bool(bearings) == bool(plan.held.bearings) and self._has_stock() == (plan.stock is not None)
        return replace(plan.held, bearings=bearings, torque_at=plan.held.torque_at if same else None)

    def _has_stock(self):
        return self.lists["held"].value == BEARINGS and self.lists["stock"].value == BAR

    def _stock(self):
        """A strength of 0 is not known; Poisson's ratio stays that of the file."""
        if not self._has_stock():
            return None
        values = {attribute: self.allowed(name) for name, attribute in STOCK.items()}
        source = self.basis["stock"].value.strip() or "as entered"
        old = self.sheet_base.plan.stock or NEW_STOCK
        return replace(old, **values | {"strength": values["strength"] or None}, source=source)

    def _judgement(self):
        old = self.sheet_base.plan.judgement
        factors = {name: self._factor(getattr(old, name), name) for name in FACTORS}
        return replace(old, **factors, **{name: self._own_limit(old, name) for name in OWN_LIMITS})

    def _factor(self, old, name):
        value, words = self.allowed(name), self.basis[name].value.strip()
        same = words == old.source
        return Factor(value, old.basis if same else "user", old.source if same else words or "as entered")

    def _own_limit(self, old, name):
        value = self.own[name].si()
        if not value:
            return None
        before, source = getattr(old, name), self.own_source.value.strip() or "as entered"
        return Own(value, before.source if before and source == self._all_sources() else source)

    def _all_sources(self):
        old = self.sheet_base.plan.judgement
        given = [getattr(old, name) for name in OWN_LIMITS]
        return "; ".join(dict.fromkeys(own.source for own in given if own))

    # ----- records to settings -----

    def set(self, blade: Blade, sheet: LoadSheet) -> None:
        """Show another part and other loads; listeners are not called."""
        self.base, self.sheet_base = blade, sheet
        with self.quietly():
            self._show_blade(blade)
            self._show_cases(sheet.plan.cases)
            self._show_held(sheet.plan)
            self._show_judgement(sheet.plan.judgement)
        self._fit()

    def keep_fittings(self, fittings) -> None:
        """Keep other fittings with the loads; ValueError for what cannot be."""
        self.sheet_base = replace(self.sheet_base, fittings=tuple(fittings))

    def _show_blade(self, blade):
        taper, rod = blade.free_length, blade.spacer_diameter
        table = isinstance(taper, (Table, float))
        choose(self.lists["taper"], TABLE if table else SAME if taper is None else TAPER, usual=[SAME, TAPER])
        tip = taper[1] if isinstance(taper, tuple) else blade.values_at(blade.span)["free_length"]
        self._put("tip_free_length", float(tip))
        step = isinstance(rod, Table) and rod.stepped and len(rod.values) == 2
        choose(self.lists["rod"], SAME if rod is None else STEP if step else TABLE, usual=[SAME, STEP])
        self._put("step_at", rod.positions[1] if step else 0.5 * blade.span)
        self._put("second_rod", rod.values[1] if step else blade.design.spacer_diameter)

    def _show_cases(self, cases):
        """The first case of each kind has controls; the others are kept."""
        sailing = next((c for c in cases if isinstance(c, SideForce)), None)
        severe = next((c for c in cases if isinstance(c, Severe) and c.statement == sailing), None)
        self._of_file, self._rows = {SAILING: sailing, SEVERE: severe}, []
        left = [c for c in cases if c is not sailing and c is not severe]
        for row in CASES:
            case = next((c for c in left if isinstance(c, row.kind) and row.fits(c)), None)
            left = [c for c in left if c is not case]
            self._rows.append((row, case))
            for (name, attribute), none in zip(row.settings.items(), row.none, strict=True):
                self._put(name, none if case is None else getattr(case, attribute))
        self.rest.value = _kept_words(left)
        self._put("severe", severe.factor if severe else 0.0)
        self._show_sailing(sailing)

    def _show_sailing(self, sailing):
        s = sailing or SideForce("", 0.0, water_density(15.0), angle=0.0)
        for name, attribute in (OF_SAILING | {"angle": "angle", "coefficient": "coefficient"}).items():
            self._put(name, getattr(s, attribute) or 0.0)
        choose(self.lists["water"], s.density, f"as in the file, {show(s.density, 'kg/m3')}", waters())
        by = BY_ANGLE if s.coefficient is None else BY_COEFFICIENT
        self.lists["lift_by"].value = by if sailing else NO_FORCE
        self.lists["lift"].value = s.model

    def _show_held(self, plan):
        bearings = plan.held.bearings
        self.lists["held"].value = BEARINGS if bearings else ROOT
        for name, place in zip(("bearing_1", "bearing_2"), bearings or (0.0, 0.25 * self.base.span), strict=True):
            self._put(name, place)
        self.lists["stock"].value = BAR if plan.stock else NO_STOCK
        stock = plan.stock or NEW_STOCK
        for name, attribute in STOCK.items():
            self._put(name, getattr(stock, attribute) or 0.0)
        self.basis["stock"].value = stock.source

    def _show_judgement(self, judgement: Judgement):
        for name in FACTORS:
            self._put(name, getattr(judgement, name).value)
            self.basis[name].value = getattr(judgement, name).source
        for name in OWN_LIMITS:
            own = getattr(judgement, name)
            self.own[name].put(own.value if own else 0.0)
        self.own_source.value = self._all_sources()

    def _put(self, name, value):
        self.numbers[name].put(float(value))

    # ----- what is shown -----

    def groups(self) -> dict:
        """What is shown, by title."""
        return {
            "In the water": self._group("water"),
            "Pushes, heat, water inside": self._group("pushes"),
            "Part along the span": self._group("part"),
            "How it is held": [*self._group("held"), self.basis["stock"], self.rest],
            **self._judged(),
        }

    def _group(self, group):
        """The numbers of a group, with the lists that belong to them above."""
        boxes = []
        for name, limit in LOAD_LIMITS.items():
            if limit.group == group:
                above = (self.lists.get(n, self.lift_source) for n in BEFORE.get(name, ()))
                boxes += [*above, self.numbers[name]]
        return boxes

    def _judged(self):
        """Factors and limits of one's own: they are set once for a part."""
        factors = [w for name in FACTORS for w in (self.numbers[name], self.basis[name])]
        unknown = widgets.HTML('<p class="pm-quiet">0: not known. A check without a limit stays unknown.</p>')
        own = [*self.own.values(), self.own_source, unknown]
        return {"Safety factors, with their basis": factors, "Strengths and limits of my own": own}

    def _fit(self):
        """Show only what counts with the lists as chosen."""
        by, bearings, stock = self.lists["lift_by"].value, self.lists["held"].value == BEARINGS, self._has_stock()
        n = {name: number for name, number in self.numbers.items()}
        for condition, controls in (
            (self.lists["taper"].value == TAPER, [n["tip_free_length"]]),
            (self.lists["rod"].value == STEP, [n["step_at"], n["second_rod"]]),
            (by != NO_FORCE, [n["speed"], n["severe"]]),
            (by == BY_ANGLE, [n["angle"], n["end_plate"], self.lists["lift"], self.lift_source]),
            (by == BY_COEFFICIENT, [n["coefficient"]]),
            (bearings, [n["bearing_1"], n["bearing_2"], self.lists["stock"]]),
            (stock, [*(n[name] for name in STOCK), self.basis["stock"]]),
        ):
            for control in controls:
                show_if(control, condition)
        self.lift_source.value = (
            f'<p class="pm-quiet">{escape(LIFT_MODELS[self.lists["lift"].value][1])}. The three agree within 15 % for '
            "aspect ratios of 1 to 6.</p>"
        )

    def on_change(self, listener) -> None:
        """Call `listener()` after every change of a setting, but not in the middle of `set`."""

        def heard():
            self._fit()
            listener()

        super().on_change(heard)


def _own_field(name):
    """A field for a limit of the user's own, of class `pm-own-<name>`; 0 for none."""
    label, unit = OWN_LIMITS[name]
    return number(f"own-{name}", label, 0.0, COLUMN["width"], unit, low=0.0)


def _kept_words(others):
    """What a file holds beyond the controls, as HTML."""
    if not others:
        return ""
    names = escape(", ".join(case.name for case in others))
    it = "it is" if len(others) == 1 else "they are"
    return f'<p class="pm-quiet">Kept from the file as {it}: case {names}.</p>'
