"""Where along the span the loads are worked out, and the sections there: places that matter are stations themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..blade.blade import Blade
from ..blade.sections import STEP_GAP, BladeSections, blade_sections
from ..mechanics.span_curves import SAME_PLACE
from .cases import Planform, PointPush, Severe, SideForce
from .plan import LoadPlan


@dataclass(frozen=True, eq=False)
class Along:
    """The blade at the stations of the loads. `position` (n,) from the root end, a step or water line standing twice;
    `index` (n,) of each in `sections`; `planform`; `blade`."""

    blade: Blade
    sections: BladeSections
    position: np.ndarray
    index: np.ndarray
    planform: Planform

    def __getitem__(self, name) -> np.ndarray:
        """A quantity of the sections at the stations (n,)."""
        return np.asarray(getattr(self.sections, name))[self.index]

    def at(self, wanted) -> np.ndarray:
        """Indices into `sections` for the places `wanted` (m,) of a diagram; of an equal pair the first reads the
        section before a step. Every place must be a station."""
        wanted = np.asarray(wanted)
        after = np.searchsorted(self.sections.position, wanted, side="right") - 1
        near = self.sections.position[np.minimum(after + 1, len(self.sections.position) - 1)]
        after = np.where(np.abs(near - wanted) <= SAME_PLACE * self.blade.span, after + 1, after)
        after = np.minimum(after, len(self.sections.position) - 1)
        first = np.append(np.diff(wanted) == 0.0, False)
        step = np.isin(after, np.searchsorted(self.sections.position, self.blade.steps))
        return np.where(first & step, after - 1, after)


def along(blade: Blade, plan: LoadPlan) -> Along:
    """Sections of a blade at the stations a load plan needs.

    Closer together towards the tip, where an elliptic load falls steeply; with all places where a dimension changes its
    taper or steps, a point load acts, a bearing sits or the water begins. Raises InfeasibleBend as `blade.sections`.
    """
    span = blade.span
    spread = span * np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, plan.stations))
    water = _waterlines(plan.cases, span)
    single = np.array(blade.breakpoints)
    for places in (_point_places(plan.cases, span), water, _held(plan, span), spread):  # the first of a place counts
        single = np.sort(np.concatenate([single, _apart(places, single, span)]))
    steps = np.array(blade.steps)
    sections = blade_sections(blade, np.sort(np.concatenate([single, steps - STEP_GAP * span])))
    twice = {single[np.argmin(np.abs(single - p))] for p in (*steps, *water)} - {0.0, span}
    position = np.sort(np.concatenate([single, list(twice)]))
    bare = Along(blade, sections, position, np.zeros(0, dtype=int), None)
    index = bare.at(position)
    axis = float(sections.rod_x[0]) if plan.axis_x is None else plan.axis_x
    planform = Planform(position, sections.chord[index], sections.leading_edge_x[index], axis)
    return Along(blade, sections, position, index, planform)


def _apart(places, taken, span):
    """Those of the places that are no place already taken, each once."""
    places = np.unique(places)
    places = places[np.diff(places, prepend=-np.inf) > SAME_PLACE * span]
    return places[np.abs(places[:, None] - taken).min(axis=1) > SAME_PLACE * span]


def _plain(case):
    while isinstance(case, Severe):
        case = case.statement
    return case


def _point_places(cases, span):
    return np.array([c.place * span for c in map(_plain, cases) if isinstance(c, PointPush)])


def _waterlines(cases, span):
    lines = np.array([c.immersed_from for c in map(_plain, cases) if isinstance(c, SideForce)])
    if np.any(lines >= span) or np.any(lines < 0.0):
        raise ValueError(
            f"a case says that the part is wet from {lines.max() * 1e3:.4g} mm on, from the root: give 0 "
            f"or more, and less than the span, {span * 1e3:.4g} mm"
        )
    return lines[lines > 0.0]


def _held(plan, span):
    places = [*plan.held.bearings, *(() if plan.held.torque_at is None else (plan.held.torque_at,))]
    low = -plan.stock.length if plan.stock else 0.0
    for place in places:
        if not low <= place <= span:
            raise ValueError(
                f"a bearing or the place that holds the torque is at {place * 1e3:.4g} mm from the root: "
                f"the part runs from {low * 1e3:.4g} to {span * 1e3:.4g} mm"
            )
    return np.array([p for p in places if p >= 0.0])
