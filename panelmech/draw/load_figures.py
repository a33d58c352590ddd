"""Diagrams along the span: shear, moment, torque, deflection, twist by load case, and how much of each limit is used.

Pure functions on axes they are given; they read a `LoadStudy`. Across: distance from the root end [mm], a stock above
the root to the left of 0. Bearings, or the clamped root, stand as triangles on the axis.
"""

from __future__ import annotations

from itertools import cycle

import numpy as np

from ..loads.allowable import ALONE, allowed
from ..loads.checks import LOAD_RULES
from ..loads.load_study import LoadStudy
from ..loads.plan import LOAD_QUANTITIES
from ..loads.response import envelope
from ..study.verdicts import BEYOND
from ..units import capital, format_number, in_shown, show
from .figures import (
    INCH,
    SMALL,
    clean,
    figure,
    heading,
    in_style,
    line_style,
    name_lengths,
    stamped,
    with_unit,
)
from .letters import line_width
from .look import CASE_LINES, INK, LINES, THIN_LINES, USE_LINES
from .margins import fit
from .shapes import MM

AXES = {
    "shear": "shear force",
    "moment": "moment",
    "torque": "torque",
    "local_torque": "torque",
    "deflection": "deflection",
    "twist": "twist",
}
DIAGRAMS = {  # name: (title, label of the axis, unit)
    name: (capital(LOAD_QUANTITIES[name].label), label, LOAD_QUANTITIES[name].unit) for name, label in AXES.items()
}
SHORT = {rule.key: rule.short for rule in LOAD_RULES}
FURTHEST = 2.5  # an allowable further off than so many times the greatest value is not drawn
KEY = 5.0  # length of a line in the legend, in heights of its letters
ALONG = "along the span, from the root"


@in_style
def draw_diagram(ax, study: LoadStudy, quantity: str, legend: bool = True) -> None:
    """One diagram, a line for each load case; with more than six cases the least and the greatest of all. Beside them
    what is allowed alone (`loads.allowable`), of shear, moment, torque about the shear centre, deflection and twist.

    quantity: a key of `DIAGRAMS`; ValueError for another.
    """
    if quantity not in DIAGRAMS:
        raise ValueError(f"no diagram is called {quantity!r}; give one of {', '.join(DIAGRAMS)}")
    title, label, unit = DIAGRAMS[quantity]
    values, place = in_shown(getattr(study.diagrams, quantity), unit), study.diagrams.position / MM
    names = study.names
    if len(names) > len(CASE_LINES):
        values, names = np.array(envelope(values)), (f"least of {len(names)} cases", f"greatest of {len(names)} cases")
    ax.axhline(0.0, **line_style(THIN_LINES["zero"]))
    for row, name, look in zip(values, names, CASE_LINES, strict=False):
        ax.plot(place, row, label=name, **line_style(look))
    _allowed(ax, study, quantity, unit)
    _supports(ax, study)
    name_lengths(ax.xaxis, ALONG)
    ax.set_ylabel(with_unit(label, unit))
    if legend:
        heading(ax, title, 3, KEY)
    else:
        ax.set_title(title)


@in_style
def draw_use(ax, study: LoadStudy) -> None:
    """How much of each limit is used along the span, the worst case at each place: value over limit, 1 is the limit.

    A ring marks where the governing check governs, with its case in the legend. Checks without a basis are named below.
    """
    judged = [c for c in study.checks if c.kind == "limit" and len(c.along) and len(c.along[0]) > 1]
    for check, look in zip((c for c in judged if np.isfinite(c.reserve)), cycle(USE_LINES), strict=False):
        place, values, limits = check.along
        ax.plot(place / MM, values / limits, label=_short(check), **line_style(look))
    ax.axhline(1.0, **line_style(LINES["limit"]))
    _mark(ax, study)
    ax.set_ylim(0.0, 1.06 * ax.get_ylim()[1])
    name_lengths(ax.xaxis, ALONG, _not_drawn([c for c in judged if np.isnan(c.reserve)]))
    ax.set_ylabel("value over limit")
    heading(ax, "Use of the limits, factors counted", 3, KEY)


def _not_drawn(checks):
    """Which limits are not drawn, and why, on a line of its own each; "" where all are."""
    names = {words: [_short(c) for c in checks if bool(c.beyond) == far] for words, far in _WHY_NOT}
    return "".join(f"\nnot drawn, {words}: {'; '.join(told)}" for words, told in names.items() if told)


_WHY_NOT = (("no basis", False), (BEYOND, True))


@in_style
def loads_figure(study: LoadStudy, quantities=("shear", "moment", "local_torque", "deflection")):
    """Figure with the diagrams in pairs under one legend of the cases and, below them, the use of the limits."""
    rows = -(-len(quantities) // 2) + 1
    fig, axes = figure(180.0, 47.0 * (rows - 1) + 86.0, rows, 2, height_ratios=(*[1.0] * (rows - 1), 1.5))
    for ax, quantity in zip(axes[:-1].flat, quantities, strict=False):
        draw_diagram(ax, study, quantity, legend=False)
    top = _legend(fig)
    for ax in axes[:-1].flat[len(quantities) :]:
        ax.remove()
    place = axes[-1, 0].get_gridspec()[-1, :]
    for ax in axes[-1]:
        ax.remove()
    *diagrams, use = *fig.axes, fig.add_subplot(place)
    draw_use(use, study)
    fit(fig, (*_in_pairs(diagrams), (use,)), (*[1.0] * (rows - 1), 1.5), top)
    return stamped(fig, note=f"{clean(study.blade.design.title)} · inputs {study.blade.input_hash()}")


def _in_pairs(axes):
    return [axes[i : i + 2] for i in range(0, len(axes), 2)]


def _legend(fig):
    """One legend for all diagrams, above them; the room it takes [mm]."""
    names = {}
    for ax in fig.axes:
        names.update(reversed(pair) for pair in zip(*ax.get_legend_handles_labels(), strict=True))
    wide = max(line_width(name, SMALL) for name in names) + 8.0 + KEY * SMALL / 72.0 * INCH
    columns = max(1, min(len(names), int((fig.get_size_inches()[0] * INCH - 10.0) / wide)))
    spacing = {"borderaxespad": 0.5, "borderpad": 0.2, "labelspacing": 0.4, "handlelength": KEY}
    fig.legend(names.values(), names.keys(), loc="upper left", frameon=False, ncols=columns, **spacing)
    return (0.9 + 1.4 * -(-len(names) // columns)) * SMALL / 72.0 * INCH


def describe_loads(study: LoadStudy) -> str:
    """Text alternative of `loads_figure`.

    >>> from panelmech.job import demo
    >>> from panelmech.loads import evaluate_loads
    >>> from panelmech.loads.cases import PointPush
    >>> from panelmech.loads.plan import LoadPlan
    >>> study = evaluate_loads(demo().blade, LoadPlan((PointPush("tip aground", 40.0),), local=False))
    >>> describe_loads(study).split(". ")[1]
    'Governing: strain for good: forming and lasting loads, 0.114 % with 0.200 % allowed; reserve 1.75 times'
    """
    return f"Diagrams along the span for {', '.join(study.names)}. {study.headline()}"


def _allowed(ax, study, quantity, unit):
    """What is allowed if nothing else acts, both ways, as far as it lies within some times what there is."""
    if quantity not in ALONE:
        return
    limit, peak = allowed(study, quantity), np.nanmax(np.abs(getattr(study.diagrams, quantity)))
    near = np.where(limit.value <= FURTHEST * peak, limit.value, np.nan)
    if not np.any(np.isfinite(near)):
        return
    look = line_style(LINES["limit"]) | ({"marker": "_", "ms": 9.0} if len(near) == 1 else {})
    for sign, label in ((1.0, "allowed alone"), (-1.0, "_allowed")):
        ax.plot(limit.position / MM, sign * in_shown(near, unit), label=label, **look)


def _short(check):
    return SHORT.get(check.key, check.name)


def _mark(ax, study):
    """A ring on the governing check where it governs, its case and use in the legend."""
    check = study.governing
    if check is None or not np.isfinite(check.reserve) or len(check.along[0]) < 2:
        return
    words = f"governs: {check.case}, {show(check.position, 'mm', 3)}, {format_number(1.0 / check.reserve, 3)}"
    ax.plot([check.position / MM], [1.0 / check.reserve], "o", ms=6.0, mfc="none", mec=INK, mew=1.2, label=words)


def _supports(ax, study):
    """Triangles at the bearings, a square at a clamped root, on the line of nothing."""
    places = study.diagrams.held.bearings
    marker, at = ("^", places) if places else ("s", (0.0,))
    ax.plot(np.array(at) / MM, np.zeros(len(at)), marker, ms=5.0, color=INK, clip_on=False, zorder=5)
