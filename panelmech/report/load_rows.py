"""A part under its loads in words and rows of text, for tables and notes: numbers rounded and with their unit.

No formula here; every number is read from the records.
"""

from __future__ import annotations

import numpy as np

from ..loads.cases import ZERO_CELSIUS, sealed_pressure
from ..loads.plan import LOAD_QUANTITIES, LoadPlan, Own
from ..units import show, show_input

CASE_HEADS = (
    "Load case",
    "Side force",
    "Lift coefficient",
    "Angle, stalls at",
    "Greatest moment",
    "Greatest torque",
    "Skin pressure",
)
IN_THE_SUN = (20.0, 60.0)  # °C: shut in the shop, lying dark in the sun; common practice, no source
CAUTIONS = (
    ("Steering.", "Losing the blade is losing the steering, which is dangerous: carry a spare means, and inspect."),
    (
        "Grounding and docking",
        "are not covered by rules for small craft: ISO 12215-8 covers manoeuvring loads only. "
        "Pushes are the builder's own judgement.",
    ),
    ("Not a certificate.", "Local codes and a licensed engineer decide; the workbook does not certify."),
)
_STRENGTHS = {
    "sheet_strength": ("sheet along the span", "MPa"),
    "resin_strength": ("potting", "MPa"),
    "sheet_shear_strength": ("sheet in shear", "MPa"),
    "nose_bond_strength": ("potting to sheet, shear", "MPa"),
    "tip_deflection": ("tip may bend by", "mm"),
    "tip_twist": ("tip may twist by", "deg"),
}


def case_rows(study) -> list:
    """What each case of a `loads.load_study.LoadStudy` comes to, under `CASE_HEADS`."""
    rows = []
    for i, case in enumerate(study.cases):
        d = case.details
        pressure = np.broadcast_to(case.pressure, case.position.shape)
        rows.append(
            (
                f"{case.name}, which stays" if case.lasting else case.name,
                _shown(case.side_force, "side_force"),
                _shown(d.get("lift_coefficient", np.nan), "lift_coefficient"),
                _angles(d),
                *(_shown(np.max(np.abs(getattr(study.diagrams, name)[i])), name) for name in ("moment", "torque")),
                pressure_words(float(pressure[np.argmax(np.abs(pressure))])),
            )
        )
    return rows


def pressure_words(pressure: float, unit: str = "", digits: int = 3) -> str:
    """A skin pressure and its way in words: outward (from inside, or suction) or inward. `unit` and `digits` by
    default those of tables.

    >>> pressure_words(-491.0, "Pa")
    '491 Pa inward'
    """
    size = show(abs(pressure), unit, digits) if unit else _shown(abs(pressure), "pressure")
    return f"{size} {'outward' if pressure > 0.0 else 'inward'}" if pressure else size


def _angles(details):
    """The angle to the flow, and that at which the blade stalls."""
    if not np.isfinite(details.get("angle", np.nan)):
        return "–"
    return f"{_shown(details['angle'], 'angle')}, {_shown(details['stall_angle'], 'stall_angle')}"


def support_words(study) -> str:
    """How the part is held, and what bearings or root take, greatest over the cases, in a sentence.

    >>> from panelmech.job import demo
    >>> from panelmech.loads import evaluate_loads
    >>> from panelmech.loads.cases import PointPush
    >>> from panelmech.loads.plan import LoadPlan
    >>> study = evaluate_loads(demo().blade, LoadPlan((PointPush("tip aground", 40.0),), local=False))
    >>> support_words(study)
    'Clamped at its root end, which takes up to 34.0 N·m.'
    """
    d = study.diagrams
    if d.held.bearings:
        forces = np.max(np.abs(d.bearing_forces), axis=0)
        parts = [
            f"{_shown(f, 'bearing_force')} at {show(p, 'mm', 3)}" for f, p in zip(forces, d.held.bearings, strict=True)
        ]
        return f"Held by two bearings, which take up to {' and '.join(parts)} from the root end."
    return f"Clamped at its root end, which takes up to {_shown(np.max(np.abs(d.root_moment)), 'root_moment')}."


def sun_words(study) -> str:
    """What the sun does to a hollow that is shut, beside the outward pressure counted here, in words."""
    hot = sealed_pressure(*(ZERO_CELSIUS + t for t in IN_THE_SUN))
    counted = max(float(np.max(case.pressure, initial=0.0)) for case in study.cases)
    closed, warm = (show_input(ZERO_CELSIUS + t, "degC") for t in IN_THE_SUN)
    words = f"air shut in at {closed} and warmed to {warm} presses outwards with {show(hot, 'kPa', 3)}; "
    if counted >= hot:
        return f"{words}this record counts {show(counted, 'kPa', 3)}."
    return f"{words}this record counts no more than {show(counted, 'kPa', 3)}: vent the hollow, or add that case."


def unknown_words(checks) -> str:
    """What cannot be judged, and that this is not safe; empty where all can."""
    names = [c.name[:1].lower() + c.name[1:] for c in checks if c.kind == "limit" and c.verdict == "unknown"]
    return f"Not judged, since no strength is known: {'; '.join(names)}. Unknown is not safe." if names else ""


def rod_stress_words(study) -> str:
    """The rod under the present loads, in the blade and alone.

    >>> from panelmech.job import demo
    >>> from panelmech.loads import evaluate_loads
    >>> from panelmech.loads.cases import PointPush
    >>> from panelmech.loads.plan import LoadPlan
    >>> study = evaluate_loads(demo().blade, LoadPlan((PointPush("tip aground", 40.0),), local=False))
    >>> rod_stress_words(study)
    'Under the present loads the rod is stressed to 32.9 MPa in the blade; alone it would be to 115 MPa, its tip
    going 3.35 times as far.'
    """
    alone = study.rod_alone
    ratios = alone.tip_ratio[np.isfinite(alone.tip_ratio)]
    words = (
        f"Under the present loads the rod is stressed to {show(alone.stress_in_blade, 'MPa', 3)} in the "
        f"blade; alone it would be to {show(alone.stress_alone, 'MPa', 3)}"
    )
    return f"{words}, its tip going {show(float(ratios.max()), '', 3)} times as far." if ratios.size else f"{words}."


def judgement_rows(plan: LoadPlan) -> tuple:
    """(what, value, basis and source) of every factor and of every limit of the user's own."""
    judged = plan.judgement
    rows = [
        (f"factor on {name}", show_input(f.value, "x"), f"{f.basis}: {f.source}")
        for name, f in (("strength", judged.strength), ("bonds", judged.bond), ("buckling", judged.buckling))
    ]
    for field, (label, unit) in _STRENGTHS.items():
        own: Own | None = getattr(judged, field)
        rows.append((label, show_input(own.value, unit), own.source) if own else (label, "–", "not given"))
    return tuple(rows)


def _shown(value, name):
    quantity = LOAD_QUANTITIES[name]
    return show(float(value), quantity.unit, quantity.digits)
