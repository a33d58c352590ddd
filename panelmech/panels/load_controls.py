"""The controls of the load panel: taper, water, pushes, heat, how the part is held, factors, strengths of one's own.

They turn a blade and a load sheet into settings and settings into both, and compute nothing. What a file holds beyond
them (further cases, tables along the span, fittings) is kept as it is.
"""

from __future__ import annotations

from dataclasses import replace

import ipywidgets as widgets

from ..blade.blade import Blade, Table
from ..loads.cases import PointPush, SealedAir, Severe, SideForce, WaterHead
from ..loads.load_file import LoadSheet
from ..loads.plan import Factor, Judgement, Own
from ..materials.water import water_density
from ..study.design import Design
from ..units import from_si, pretty_unit, show, to_si
from .controls import group_box
from .load_limits import FACTORS, LOAD_LIMITS, OWN_LIMITS
from .load_widgets import LIFTS, choose, drop_list, kept_words, lift_words, own_field, waters, words_field
from .rudder_stock_controls import BAR, NO_STOCK, STOCK, stock_record, stock_settings
from .widgets import WIDTH, Number

SAME, TAPER, STEP, TABLE = "the same all along", "straight taper", "stepped", "as in the file"
ROOT, BEARINGS = "clamped at its root", "by two bearings"
BY_ANGLE, BY_COEFFICIENT = "the angle to the flow", "a lift coefficient of my own"
SEVERE_BASIS = "the user's own judgement"
NAMES = {
    "sailing": "sailing",
    "severe": "severe",
    "tip": "push on the tip",
    "mid": "push along the span",
    "heat": "heated",
    "head": "water inside",
}
FULL_SPAN = 1.0 - 1e-9


class LoadControls:
    """All settings of the load panel beside the design's. `numbers` by name of `LOAD_LIMITS`; `lists` and `own` by
    name; `base` and `sheet_base`, what was set last."""

    def __init__(self, blade: Blade, sheet: LoadSheet):
        self._waiting = False
        self.numbers = {name: Number(name, limit.slider_low, limit) for name, limit in LOAD_LIMITS.items()}
        self.lists = {
            "taper": drop_list("taper", "free length", [SAME, TAPER]),
            "rod": drop_list("rod", "rod", [SAME, STEP]),
            "water": drop_list("water", "water", waters()),
            "lift_by": drop_list("lift-by", "side force from", [BY_ANGLE, BY_COEFFICIENT]),
            "lift": drop_list("lift-model", "lift formula", LIFTS),
            "held": drop_list("held", "held", [ROOT, BEARINGS]),
            "stock": drop_list("stock-kind", "stock above the root", [NO_STOCK, BAR]),
        }
        self.basis = {name: words_field(f"{name}-basis", "its basis") for name in (*FACTORS, "stock")}
        self.own = {name: own_field(name) for name in OWN_LIMITS}
        self.own_source = words_field("own-source", "these, from where")
        self.rest, self.lift_source = widgets.HTML(), widgets.HTML()
        self.set(blade, sheet)

    # ----- settings to records -----

    def blade(self, design: Design) -> Blade:
        """The part as set, for a design; ValueError, in words, where the settings do not go together."""
        n, along = self._si, {}
        taper, rod = self.lists["taper"].value, self.lists["rod"].value
        if taper != TABLE:
            along["free_length"] = (design.free_length, n("tip_free_length")) if taper == TAPER else None
        if rod != TABLE:
            step = Table((0.0, n("step_at")), (design.spacer_diameter, n("second_rod")), stepped=True)
            along["spacer_diameter"] = step if rod == STEP else None
        return self.base.replace(design=design, **along)

    def sheet(self) -> LoadSheet:
        """The load sheet as set; ValueError, in words, where the settings do not go together."""
        found, base = self._found, self.sheet_base
        sailing = self._sailing(found["sailing"])
        n = self._si
        new = {"sailing": sailing, "severe": None, "tip": None, "mid": None, "heat": None, "head": None}
        if n("severe") > 0.0:
            old = found["severe"] or Severe(self._free("severe"), sailing, 1.0, SEVERE_BASIS)
            new["severe"] = replace(old, statement=sailing, factor=n("severe"))
        if n("tip_push"):
            new["tip"] = replace(found["tip"] or PointPush(self._free("tip"), 1.0), force=n("tip_push"))
        if n("mid_push"):
            old = found["mid"] or PointPush(self._free("mid"), 1.0, 0.5)
            new["mid"] = replace(old, force=n("mid_push"), place=n("mid_place"))
        if n("heated_to") != n("sealed_at"):
            old = found["heat"] or SealedAir(self._free("heat"), 293.15, 293.15)
            new["heat"] = replace(old, sealed_at=n("sealed_at"), heated_to=n("heated_to"))
        if n("head"):
            old = found["head"] or WaterHead(self._free("head"), 1.0, sailing.density)
            new["head"] = replace(old, depth=n("head"))
        cases = self._in_order(new)
        return replace(
            base,
            plan=replace(base.plan, cases=cases, held=self._held(), judgement=self._judgement(), stock=self._stock()),
        )

    def _in_order(self, new):
        """The cases where they stood in the file, new ones behind them."""
        kinds = {id(case): kind for kind, case in self._found.items() if case is not None}
        stood = [new[kinds[id(case)]] if id(case) in kinds else case for case in self.sheet_base.plan.cases]
        added = [case for kind, case in new.items() if self._found[kind] is None]
        return tuple(case for case in (*stood, *added) if case is not None)

    def _si(self, name):
        number = self.numbers[name]
        limit = number.limit
        if not limit.low <= number.value <= limit.high:
            raise ValueError(
                f"{limit.label} is {number.value:g} {pretty_unit(limit.unit)}: allowed is {limit.low:g} "
                f"to {limit.high:g}"
            )
        return to_si(number.value, limit.unit)

    def _sailing(self, old):
        angle, coefficient = self._si("angle"), self._si("coefficient")
        by_angle = self.lists["lift_by"].value == BY_ANGLE
        changes = dict(
            speed=self._si("speed"),
            density=self.lists["water"].value,
            angle=angle if by_angle else None,
            coefficient=None if by_angle else coefficient,
            end_plate=self._si("end_plate"),
            model=self.lists["lift"].value,
            immersed_from=self._si("immersed_from"),
        )
        return replace(old, **changes) if old else SideForce(self._free("sailing"), **changes)

    def _free(self, kind):
        """A name for a new case that no other has."""
        taken, name = {case.name for case in self.sheet_base.plan.cases}, NAMES[kind]
        return name if name not in taken else f"{name}, set here"

    def _held(self):
        """A place for the torque, which has no control, goes with the way of holding that the file has."""
        plan = self.sheet_base.plan
        bearings = () if self.lists["held"].value == ROOT else (self._si("bearing_1"), self._si("bearing_2"))
        same = bool(bearings) == bool(plan.held.bearings) and self._has_stock() == (plan.stock is not None)
        return replace(plan.held, bearings=bearings, torque_at=plan.held.torque_at if same else None)

    def _has_stock(self):
        return self.lists["held"].value == BEARINGS and self.lists["stock"].value == BAR

    def _stock(self):
        if not self._has_stock():
            return None
        values = {name: self._si(name) for name in STOCK}
        return stock_record(values, self.sheet_base.plan.stock, self.basis["stock"].value.strip())

    def _judgement(self):
        old = self.sheet_base.plan.judgement
        factors = {name: self._factor(getattr(old, name), name) for name in FACTORS}
        return replace(old, **factors, **{name: self._own_limit(old, name) for name in OWN_LIMITS})

    def _factor(self, old, name):
        value, words = self._si(name), self.basis[name].value.strip()
        same = words == old.source
        return Factor(value, old.basis if same else "user", old.source if same else words or "as entered")

    def _own_limit(self, old, name):
        label, unit = OWN_LIMITS[name]
        shown = self.own[name].value
        if not shown:
            return None
        before, source = getattr(old, name), self.own_source.value.strip() or "as entered"
        try:
            return Own(to_si(shown, unit), before.source if before and source == self._all_sources() else source)
        except ValueError as error:
            raise ValueError(f"{label}: {error}") from None

    def _all_sources(self):
        old = self.sheet_base.plan.judgement
        given = [getattr(old, name) for name in OWN_LIMITS]
        return "; ".join(dict.fromkeys(own.source for own in given if own))

    # ----- records to settings -----

    def set(self, blade: Blade, sheet: LoadSheet) -> None:
        """Show another part and other loads; listeners are not called."""
        self._waiting = True
        self.base, self.sheet_base = blade, sheet
        try:
            self._show_blade(blade)
            self._show_cases(sheet.plan.cases)
            self._show_rest(sheet.plan)
        finally:
            self._waiting = False
        self._fit()

    def keep_fittings(self, fittings) -> None:
        """Keep other fittings with the loads; ValueError for what cannot be."""
        self.sheet_base = replace(self.sheet_base, fittings=tuple(fittings))

    def _show_blade(self, blade):
        taper, rod = blade.free_length, blade.spacer_diameter
        table = isinstance(taper, (Table, float))
        choose(self.lists["taper"], TABLE if table else SAME if taper is None else TAPER, [SAME, TAPER])
        tip = taper[1] if isinstance(taper, tuple) else blade.values_at(blade.span)["free_length"]
        self._put("tip_free_length", float(tip))
        step = isinstance(rod, Table) and rod.stepped and len(rod.values) == 2
        choose(self.lists["rod"], SAME if rod is None else STEP if step else TABLE, [SAME, STEP])
        self._put("step_at", rod.positions[1] if step else 0.5 * blade.span)
        self._put("second_rod", rod.values[1] if step else blade.design.spacer_diameter)

    def _show_cases(self, cases):
        """The first case of each kind has controls; the others are kept."""
        sailing = next((c for c in cases if isinstance(c, SideForce)), None)
        pushes = [c for c in cases if isinstance(c, PointPush)]
        tip = next((c for c in pushes if c.place > FULL_SPAN), None)
        severe = next((c for c in cases if isinstance(c, Severe) and c.statement == sailing), None)
        mid = next((c for c in pushes if c is not tip), None)
        heat = next((c for c in cases if isinstance(c, SealedAir)), None)
        head = next((c for c in cases if isinstance(c, WaterHead) and c.inside and c.depth), None)
        self._found = {"sailing": sailing, "severe": severe, "tip": tip, "mid": mid, "heat": heat, "head": head}
        self._others = tuple(c for c in cases if not any(c is found for found in self._found.values()))
        s = sailing or SideForce("", 0.0, water_density(15.0), angle=0.0)
        values = {
            "speed": s.speed,
            "angle": s.angle or 0.0,
            "coefficient": s.coefficient or 0.0,
            "immersed_from": s.immersed_from,
            "end_plate": s.end_plate,
            "severe": severe.factor if severe else 0.0,
            "tip_push": tip.force if tip else 0.0,
            "mid_push": mid.force if mid else 0.0,
            "mid_place": mid.place if mid else 0.5,
            "sealed_at": heat.sealed_at if heat else 293.15,
            "heated_to": heat.heated_to if heat else 293.15,
            "head": head.depth if head else 0.0,
        }
        for name, value in values.items():
            self._put(name, value)
        choose(self.lists["water"], s.density, waters(), f"as in the file, {show(s.density, 'kg/m3')}")
        self.lists["lift_by"].value = BY_ANGLE if s.coefficient is None else BY_COEFFICIENT
        self.lists["lift"].value = s.model

    def _show_rest(self, plan):
        places = plan.held.bearings
        self.lists["held"].value = BEARINGS if places else ROOT
        low, high = places or (0.0, 0.25 * self.base.span)
        self._put("bearing_1", low)
        self._put("bearing_2", high)
        self.lists["stock"].value = BAR if plan.stock else NO_STOCK
        for name, value in stock_settings(plan.stock).items():
            self._put(name, value)
        self.basis["stock"].value = plan.stock.source if plan.stock else "as entered"
        judged: Judgement = plan.judgement
        for name in FACTORS:
            self._put(name, getattr(judged, name).value)
            self.basis[name].value = getattr(judged, name).source
        for name, (_, unit) in OWN_LIMITS.items():
            own = getattr(judged, name)
            self.own[name].value = float(f"{from_si(own.value, unit):.12g}") if own else 0.0
        self.own_source.value = self._all_sources()
        self.rest.value = kept_words(self._others)

    def _put(self, name, value):
        number = self.numbers[name]
        number.value = float(f"{from_si(float(value), number.limit.unit):.12g}")

    # ----- what is shown -----

    def groups(self) -> list:
        """What is shown, group by group."""
        n, lists = {k: number.box for k, number in self.numbers.items()}, self.lists
        return [
            group_box(
                "Part along the span",
                [lists["taper"], n["tip_free_length"], lists["rod"], n["step_at"], n["second_rod"]],
            ),
            group_box(
                "In the water",
                [
                    n["speed"],
                    lists["water"],
                    lists["lift_by"],
                    n["angle"],
                    n["coefficient"],
                    lists["lift"],
                    self.lift_source,
                    n["end_plate"],
                    n["immersed_from"],
                    n["severe"],
                ],
            ),
            group_box(
                "Pushes, heat, water inside",
                [n[k] for k in ("tip_push", "mid_push", "mid_place", "sealed_at", "heated_to", "head")],
            ),
            group_box(
                "Held",
                [
                    lists["held"],
                    n["bearing_1"],
                    n["bearing_2"],
                    lists["stock"],
                    *(n[name] for name in STOCK),
                    self.basis["stock"],
                    self.rest,
                ],
            ),
            group_box("Judgement of the loads", [self._folded()]),
        ]

    def _folded(self):
        """Factors and limits of one's own, folded: they are set once for a part."""
        factors = [w for name in FACTORS for w in (self.numbers[name].box, self.basis[name])]
        made = widgets.HTML('<p class="pm-quiet">0: not known. A check without a limit stays unknown.</p>')
        inside = [widgets.VBox(factors), widgets.VBox([*self.own.values(), self.own_source, made])]
        titles = ("Safety factors, with their basis", "Strengths and limits of my own")
        folded = widgets.Accordion(
            inside, titles=titles, selected_index=None, layout=widgets.Layout(width=f"{WIDTH}px")
        )
        folded.add_class("pm-judgement")
        folded.add_class("pm-load-judgement")
        return folded

    def _fit(self):
        """Show only what counts with the lists as chosen."""
        by_angle, bearings = self.lists["lift_by"].value == BY_ANGLE, self.lists["held"].value == BEARINGS
        shown = {
            "tip_free_length": self.lists["taper"].value == TAPER,
            "step_at": self.lists["rod"].value == STEP,
            "second_rod": self.lists["rod"].value == STEP,
            "angle": by_angle,
            "end_plate": by_angle,
            "coefficient": not by_angle,
            "bearing_1": bearings,
            "bearing_2": bearings,
            **dict.fromkeys(STOCK, self._has_stock()),
        }
        boxes = [(self.numbers[name].box, there) for name, there in shown.items()]
        others = [
            (self.lists["lift"], by_angle),
            (self.lift_source, by_angle),
            (self.lists["stock"], bearings),
            (self.basis["stock"], self._has_stock()),
        ]
        for box, there in (*boxes, *others):
            box.layout.display = None if there else "none"
        self.lift_source.value = lift_words(self.lists["lift"].value)

    def on_change(self, listener) -> None:
        """Call `listener()` after every change of a setting, but not in the middle of `set`."""

        def heard(_):
            if not self._waiting:
                self._fit()
                listener()

        fields = [number.field for number in self.numbers.values()]
        for control in (*fields, *self.lists.values(), *self.basis.values(), *self.own.values(), self.own_source):
            control.observe(heard, "value")
