"""The checks of a design at places along the span of a part, and the totals of forming over the whole of it.

At every place the part is judged as if its section there ran all along the span: forming, joint and framed sheet, each
as `study.study.evaluate` does. Of every check the place with the worst verdict, and of that the least reserve, stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..mechanics.bend import InfeasibleBend
from ..study.study import Study, evaluate
from ..study.verdicts import FAILS, VERDICTS, WORST_FIRST, Check, Judged, Rated
from ..units import show
from .blade import ALONG_FIELDS, Blade
from .sections import BladeSections, blade_sections, span_rule

PLACES = 9  # even places, root end and tip included; those where the course changes are added
TOTALS = ("contact_force_total", "push_out_total", "strain_energy_total", "sheet_mass")


@dataclass(frozen=True, eq=False)
class SpanStudy(Judged):
    """A part judged at places along its span; see `evaluate_along`.

    blade : the part
    position : of the places, root end first [m]; of a step twice, before and after it
    studies : one `Study` for each
    checks : every check of a limit, at the place that is worst for it
    sections : of the whole part, for tables and pictures
    totals : {name: value [SI]} of the quantities `TOTALS`, over the part as it is
    """

    blade: Blade
    position: tuple
    studies: tuple[Study, ...]
    checks: tuple[Check, ...]
    sections: BladeSections
    totals: dict

    def where_words(self) -> str:
        """Place of the governing check in a sentence."""
        governing = self.governing
        return "" if governing is None else f"Place: {self.place_words(governing.position)}."

    def place_words(self, position: float) -> str:
        """A place [m] in words."""
        ends = {0.0: "the root end", self.blade.span: "the tip"}
        return ends.get(position) or f"{show(position, 'mm', 3)} from the root end"


def changes_along(blade: Blade, names=ALONG_FIELDS) -> bool:
    """Whether any of these dimensions of a part is not the same all along its span."""
    values = blade.values_at(blade.breakpoints)
    return any(np.ptp(values[name]) > 0.0 for name in names)


def along_span(blade: Blade) -> SpanStudy | None:
    """The part judged along its span, or None where it is the same all along; raises as `evaluate_along`.

    >>> from panelmech.job import demo
    >>> study = along_span(demo().blade)
    >>> study.headline()
    'Governing: skin buckling along the span, 6.64 MPa with 5.00 MPa needed (default, not yet yours); reserve
    1.33 times. Place: the root end.'
    """
    return evaluate_along(blade) if changes_along(blade) else None


def evaluate_along(blade: Blade, count: int = PLACES) -> SpanStudy:
    """Judge a part at `count` even places along its span, and where a dimension steps or changes its taper.

    Raises
    ------
    InfeasibleBend
        Where it cannot be bent; the text names the place and the quantity to change.
    """
    places = places_judged(blade, count)
    studies = tuple(_study_at(blade, *place) for place in places)
    position = tuple(place for place, _ in places)
    placed = [{c.key: replace(c, position=p) for c in s.limits} for p, s in zip(position, studies, strict=True)]
    checks = tuple(worst_of([found[check.key] for found in placed]) for check in studies[0].limits)
    nodes, weights = span_rule(blade)
    inside = blade_sections(blade, nodes)
    totals = {name: float(weights @ getattr(inside, name)) / blade.span for name in TOTALS}
    return SpanStudy(blade, position, studies, checks, blade_sections(blade), totals)


def places_judged(blade: Blade, count: int = PLACES) -> list:
    """(position [m], whether before a step there) of every place at which a part is judged, root end first."""
    even, fixed = np.linspace(0.0, blade.span, count), np.array(blade.breakpoints)
    apart = even[np.abs(even[:, None] - fixed).min(axis=1) > 1e-6 * blade.span]
    places = [(float(place), False) for place in (*apart, *fixed)] + [(place, True) for place in blade.steps]
    return sorted(places, key=lambda place: (place[0], not place[1]))


def _study_at(blade, position, before):
    try:
        return evaluate(blade.design_at(position, before))
    except InfeasibleBend as error:
        raise InfeasibleBend(f"{show(position, 'mm')} from the root end: {error}") from None


def worst_of(checks):
    """Of one check at several places that with the worst verdict, and of those the least reserve; where none is known,
    the largest value."""

    def order(check):
        without = -np.inf if check.verdict == FAILS else -check.value
        rank = without if np.isnan(check.reserve) else check.reserve
        return WORST_FIRST.index(check.verdict), np.inf if np.isnan(rank) else rank

    return min(checks, key=order)


def worst_place(rated: Rated) -> Rated:
    """The same of many parts at once: one check at all places, (parts, ..., places) to (parts,)."""
    rated = Rated(*(np.reshape(part, (len(rated.value), -1)) for part in np.broadcast_arrays(*rated)))
    place = np.array([WORST_FIRST.index(word) for word in VERDICTS])[rated.code]
    without = np.where(rated.fails, -np.inf, -rated.value)
    # without value or with an endless reserve a place comes last, but before those with a better verdict
    order = np.nan_to_num(np.where(np.isnan(rated.reserve), without, rated.reserve), nan=np.finfo(float).max)
    order = np.where(place == place.min(axis=1, keepdims=True), order, np.inf)
    at = np.arange(len(order)), np.argmin(order, axis=1)
    return Rated(*(part[at] for part in rated))
