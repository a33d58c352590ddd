"""Sweeps and sizing over the results under load: which spacer wall, sheet or chord keeps a part within a limit.

The outputs are single numbers of a `LoadStudy`, the worst over its cases and places. Each design is a study of its own
along the whole span, so a sweep goes design by design (some 10 ms each, see `tests/benchmarks/bench_loads.py`); the
sizing scans the input and solves every bracket by `study.sizing.solutions_in`.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from ..blade.blade import ALONG_FIELDS, Blade
from ..mechanics.bend import InfeasibleBend
from ..mechanics.numerics import read_row
from ..study.design import LIMITS, Design
from ..study.sizing import Sizing, checked_range, sizing_words, solutions_in, stock_around
from .checks import LOAD_RULES
from .load_study import evaluate_loads
from .plan import LoadPlan

SCAN, LOCAL_SCAN = 61, 21
SIZED = tuple(rule for rule in LOAD_RULES if rule.sized)
FAST, LOCAL = (tuple(rule for rule in SIZED if rule.local == local) for local in (False, True))
LOCAL_RESERVES = tuple(f"{rule.key}_reserve" for rule in LOCAL)
LOCAL_OUTPUTS = (*LOCAL_RESERVES, "least_reserve")


def _mass(study):
    sections = study.along.sections
    return sections.integrate(sections.mass_per_length) + sections.filled_mass


LOAD_OUTPUTS = {  # name: (label, unit on screen, value of a study)
    **{rule.key: (rule.label, rule.unit, lambda s, key=rule.key: s.check(key).value) for rule in FAST},
    **{
        f"{rule.key}_reserve": (f"reserve of: {rule.label}", "x", lambda s, key=rule.key: s.check(key).reserve)
        for rule in (*FAST, *LOCAL)
    },
    "least_reserve": ("least reserve of all checks", "x", lambda study: study.least_reserve),
    "mass": ("mass of the sections over the span", "kg", _mass),
}


def load_quantities(part: Design | Blade, plan: LoadPlan, outputs=None) -> dict:
    """Numbers of a part under its loads by name, SI: all of `LOAD_OUTPUTS`, or those named.

    The framed sheet is reckoned only where `plan.local` is set and an output needs it; without it "least_reserve" is
    that of the other checks, and the two reserves of the skin are left out. Raises as `evaluate_loads`.
    """
    names = tuple(n for n in LOAD_OUTPUTS if plan.local or n not in LOCAL_RESERVES) if outputs is None else outputs
    unknown = sorted(set(names) - set(LOAD_OUTPUTS))
    if unknown:
        raise ValueError(f"no output is called {', '.join(unknown)}; outputs are {', '.join(LOAD_OUTPUTS)}")
    local = plan.local and any(name in LOCAL_OUTPUTS for name in names)
    if not local and set(names) & set(LOCAL_RESERVES):
        raise ValueError("a reserve of the skin is asked for, but the plan leaves the framed sheet out: set local")
    study = evaluate_loads(part, replace(plan, local=local))
    return {name: float(LOAD_OUTPUTS[name][2](study)) for name in names}


def load_outputs_at(part: Design | Blade, plan: LoadPlan, field: str, output: str, values) -> np.ndarray:
    """One output [SI] for an array of values of one input [SI]; nan where the part cannot be made so."""
    return np.array([_one(part, plan, {field: value}, (output,))[0] for value in np.atleast_1d(values)])


def load_sweep(part: Design | Blade, plan: LoadPlan, outputs, **axes) -> dict:
    """Outputs over every combination of one or more inputs.

    outputs: names of `LOAD_OUTPUTS`; axes: values [SI] of inputs of `LIMITS` by name. Returns arrays by output, one
    axis for each input in the order given; nan where the part cannot be made so. ValueError for unknown names.
    """
    axes = {name: read_row(values, name, least=1, hint="in SI units") for name, values in axes.items()}
    if not axes:
        raise ValueError(f"give one or more inputs with their values; inputs are {', '.join(LIMITS)}")
    for name in axes:
        _check_field(part, name)
    rows = [_one(part, plan, dict(zip(axes, point, strict=True)), outputs) for point in product(*axes.values())]
    shape = tuple(len(v) for v in axes.values())
    return {name: np.array([row[i] for row in rows]).reshape(shape) for i, name in enumerate(outputs)}


def size_for_load(
    part: Design | Blade,
    plan: LoadPlan,
    output: str,
    target: float,
    field: str,
    low: float | None = None,
    high: float | None = None,
) -> Sizing:
    """Solve for one input so that one output under load meets a target.

    Parameters
    ----------
    part : Design or Blade
    plan : LoadPlan
    output : str
        A key of `LOAD_OUTPUTS`, for example "tip_deflection" [m], or "spacer_stress_reserve", 1 at its limit.
    target : float
        SI.
    field : str
        A numeric input of `LIMITS` that the blade does not give along its span, for example "spacer_wall".
    low, high : float, optional
        Range to search [SI]; by default the slider's, widened to hold the present value. A spacer wall of 0 is a solid
        rod and no neighbour of a thin wall, so its range starts above 0, and ends at half the spacer's diameter.

    Returns
    -------
    size.Sizing
        All solutions, in words too. The scan has 61 points (21 where the framed sheet is needed): two solutions closer
        together than that are missed.

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> from panelmech.loads.cases import PointPush
    >>> from panelmech.loads.plan import LoadPlan
    >>> plan = LoadPlan((PointPush("tip aground", 40.0),), stations=5, local=False)
    >>> found = size_for_load(demo().design, plan, "tip_deflection", 0.011, "sheet_thickness", 0.002, 0.003)
    >>> [show(thickness, "mm", 3) for thickness in found.solutions]
    ['2.34 mm']
    """
    if output not in LOAD_OUTPUTS:
        raise ValueError(f"{output!r} is not an output under load; outputs are {', '.join(LOAD_OUTPUTS)}")
    _check_field(part, field)
    design = part.design if isinstance(part, Blade) else part
    low, high = _range(part, design, field, target, low, high)
    points = np.linspace(low, high, LOCAL_SCAN if output in LOCAL_OUTPUTS and plan.local else SCAN)

    def outputs(values):
        return load_outputs_at(part, plan, field, output, values)

    outcomes = outputs(points)
    solutions = solutions_in(outputs, target, points, outcomes)
    stock = stock_around(design, field, solutions, outputs)
    label, unit, _ = LOAD_OUTPUTS[output]
    words = sizing_words(field, label, unit, target, solutions, stock, outcomes, (low, high))
    return Sizing(design, field, output, float(target), solutions, stock, (low, high), words, (points, outcomes))


def _one(part, plan, changes, outputs):
    """Outputs of the changed part; nan where it cannot be made. What is wrong with names or the plan is raised."""
    try:
        changed = _changed(part, {name: float(value) for name, value in changes.items()})
    except ValueError:
        return [np.nan] * len(outputs)
    return list(_quantities_or_nan(changed, plan, outputs).values())


def _quantities_or_nan(part, plan, outputs):
    try:
        return load_quantities(part, plan, outputs)
    except InfeasibleBend:
        return dict.fromkeys(outputs, np.nan)


def _changed(part, changes):
    if isinstance(part, Blade):
        return part.replace(design=part.design.replace(**changes))
    return part.replace(**changes)


def _check_field(part, field):
    if field not in LIMITS:
        raise ValueError(f"{field!r} cannot be varied; inputs are {', '.join(LIMITS)}")
    if field == "span":
        raise ValueError("the span cannot be varied under load: bearings, water line and tables are places along it")
    if isinstance(part, Blade) and field in ALONG_FIELDS and getattr(part, field) is not None:
        raise ValueError(
            f"the blade gives its own {LIMITS[field].label} along the span: change that, or leave it to "
            "the design to vary it"
        )


def _range(part, design, field, target, low, high):
    if field == "spacer_wall":
        low = 0.2e-3 if low is None else low
        high = 0.5 * design.spacer_diameter if high is None else high
    return checked_range(design, field, target, low, high)
