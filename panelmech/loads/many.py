"""Many parts under one load plan at once: the same course along the span, other sizes and stock; no words.

The parts stand along a first axis of every array, before cases and stations. Sections, diagrams, response and rules are
those of the study of one part (`loads.load_study`), so both come to the same but for rounding. Limits hang on records
of stock, so rules are rated stock by stock.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..blade.blade import Blade
from ..blade.sections import STOCK, BladeSections, land_end, reads_before, solved_along
from ..mechanics.numerics import taken
from ..mechanics.span_curves import resample
from ..study.design import Design
from ..study.verdicts import Rated, worst_of_each
from .beam import Points
from .cases import Planform, load_case
from .checks import LOAD_RULES, rate_places
from .load_file import fitting_lines
from .load_study import LoadStudy, diagrams_over, places_on_blade, response_of, stock_stress
from .plan import LoadPlan, along_sections, stations


@dataclass(frozen=True, eq=False)
class _Axis:
    """Stands for the planforms: the straight axis that torques are about, (parts, 1, 1) [m]."""

    axis_x: np.ndarray


@dataclass(frozen=True)
class _Lead:
    """Stands for the blade: the first design of the parts, which share its stock and its span."""

    design: Design

    @property
    def span(self) -> float:
        return self.design.span


class ManyParts:
    """Designs at the root of a blade under a load plan, all worked out together but for the framed sheet.

    made : (designs,) whether each can be bent all along
    designs : those that can

    Made of a blade with one of the designs at its root; the designs, as of `blade.sections.solved_along`; and the plan.
    Raises ValueError where plan and parts do not go together.
    """

    def __init__(self, blade: Blade, designs, plan: LoadPlan):
        self.blade, self.plan = blade, plan
        single, position = stations(blade, plan)
        solved = solved_along(blade, designs, single, reads_before(blade, single))
        self.made = np.all(solved.bend.feasible, axis=(1, 2))
        self.designs = [design for design, made in zip(designs, self.made, strict=True) if made]
        if self.designs:
            solved = solved if self.made.all() else solved.some(self.made)
            x = land_end(blade.straight, solved.numbers, solved.bend)
            line = along_sections(BladeSections(blade, single, solved, x, np.nan * x, np.nan * x), position)
            axis = x[..., :1] + solved.bend.spacer_position[..., :1] if plan.axis_x is None else plan.axis_x
            self.line = replace(line, planform=_Axis(np.broadcast_to(axis, (len(x), 1, 1))))
            self._load()

    def _load(self):
        self.cases = self._cases()
        shape = self.line["chord"][:, 0].shape
        force, torque, pressure = (
            np.stack([np.broadcast_to(getattr(case, name), shape) for case in self.cases], axis=1)
            for name in ("force_per_length", "torque_per_length", "pressure")
        )
        points = Points.of([case.points for case in self.cases], len(self.cases), self.line.position)
        wide = {name: (shape[0], *getattr(points, name).shape[-2:]) for name in _OF_POINTS}
        points = replace(points, **{name: np.broadcast_to(getattr(points, name), wide[name]) for name in _OF_POINTS})
        stiffness, twisted = self.line["chord_stiffness"], self.plan.judgement.tip_twist is not None
        self.diagrams = diagrams_over(self.line, force, torque, points, self.plan, stiffness, twisted)
        self.on_blade = places_on_blade(self.diagrams, self.plan)
        place = self.diagrams.position[self.on_blade]
        self.index, self.pressed = self.line.at(place), resample(self.line.position, pressure, place)

    def _cases(self):
        """Load cases of all parts, (parts, stations) in their arrays or the same for all."""
        edges = (self.line[name][:, 0] for name in ("chord", "leading_edge_x"))
        planform = Planform(self.line.position, *edges, self.line.axis_x[:, 0])
        return tuple(load_case(statement, planform) for statement in self.plan.cases)

    def by_stock(self, which) -> list:
        """Places in `which`, of places in `designs`, by the records of `STOCK`: arrays."""
        groups: dict = {}
        for i, part in enumerate(which):
            groups.setdefault(tuple(id(getattr(self.designs[part], name)) for name in STOCK), []).append(i)
        return [np.array(rows) for rows in groups.values()]

    def study(self, which, sheets=()) -> LoadStudy:
        """The study of some of the parts, which stand along a first axis, without the response.

        Limits and words hang on stock: those are right for parts of one stock alone.

        which : their places in `designs`
        sheets : of each its framed sheets, as of `loads.response.framed_sheets`; none: they are left out
        """
        sections, first = self.line.sections, self.designs[which[0]]
        part, x = sections.solved.some(which), sections.land_end_x[which]
        own = replace(sections, blade=_Lead(first), solved=part, land_end_x=x)
        line = replace(self.line, blade=_Lead(first), sections=own, planform=_Axis(self.line.axis_x[which]))
        drawn = taken(self.diagrams, which, but=("position",))
        local = {name: np.array([one[name] for one in sheets]) for name in _OF_SHEETS if sheets and name in sheets[0]}
        local = {name: values[:, None] if values.ndim == 2 else values for name, values in local.items()}
        plan, above = replace(self.plan, local=bool(local)), stock_stress(drawn, self.on_blade, self.plan)
        given = (_Lead(first), plan, line, self.cases, drawn, self.on_blade, self.index)
        return LoadStudy(*given, None, local, above, None, (), ())  # type: ignore[arg-type]

    def answered(self, study: LoadStudy, which) -> LoadStudy:
        """A study of `study` with the response, which no limit asks for."""
        given = study.diagrams, self.on_blade, self.index, self.pressed[which], self.plan
        return replace(study, response=response_of(study.along, *given))


_OF_POINTS, _OF_SHEETS = ("forces", "torques"), ("press", "buckling", "sheared")


def rate_many(parts: ManyParts, which, sheets=(), fittings=(), rules=LOAD_RULES) -> dict:
    """{key: (name, `Rated` of each part)} of every limit, in the order of the checks of one part: of each the worst of
    cases and places. Arguments as of `ManyParts.study`; `fittings` of the load sheet; `rules` of `LOAD_RULES`."""
    which = np.asarray(which)
    study, by_stock = parts.answered(parts.study(which, sheets), which), parts.by_stock(which)
    own = [parts.study(which[rows], [sheets[i] for i in rows] if len(sheets) else ()) for rows in by_stock]
    place = np.argsort(np.concatenate(by_stock))
    found = {}
    for rule in rules:
        if rule.applies(study):
            limits = _columns([rule.limit(part).value for part in own], [len(rows) for rows in by_stock])
            found[rule.key] = rule.name, rule.rated(study, limits[place])
    for line in fitting_lines(study, fittings):
        found[line.key] = line.name, rate_places(line.values, line.limit.value, study)
    return {key: (name, of_each(rated, study)) for key, (name, rated) in found.items() if rated is not None}


def _columns(limits, counts):
    """Limits, each a number or (parts, 1, places), of so many parts each, one below the other: (parts, 1, places)."""
    places = max(np.shape(limit)[-1] if np.ndim(limit) else 1 for limit in limits)
    return np.concatenate([np.broadcast_to(v, (n, 1, places)) for v, n in zip(limits, counts, strict=True)])


def of_each(rated: Rated, study: LoadStudy) -> Rated:
    """Of one check of many parts, rated (..., cases, places), the worst of each part."""
    parts = len(study.along.sections.land_end_x)
    wide = [np.broadcast_to(part, (parts, *np.shape(rated.value)[-2:])) for part in rated]
    return worst_of_each(Rated(*wide))
