"""Lines without a verdict below the checks of a part under its loads: the rod's part, angles beyond stall."""

from __future__ import annotations

import numpy as np

from ..study.verdicts import note_of
from ..units import show


def rod_lines(study):
    """What the rod bears, in the blade and alone, of a `loads.load_study.LoadStudy`."""
    rod = study.rod_alone
    low, high = (show(v, "%", 3) for v in rod.share)
    ratio = rod.tip_ratio[np.isfinite(rod.tip_ratio)]
    stress = f"{show(rod.stress_in_blade, 'MPa', 3)} in the blade"
    rows = (
        ("rod_share", "Rod's share of the bending, at most", rod.share[1], "%", f"from {low} to {high} along the span"),
        ("rod_alone_stress", "Rod alone under the same loads, stress", rod.stress_alone, "MPa", stress),
        (
            "rod_alone_deflection",
            "Rod alone, tip deflection over the blade's",
            ratio.max() if ratio.size else np.nan,
            "x",
            "",
        ),
    )
    return (note_of(key, name, value, unit, "composite beam theory", words) for key, name, value, unit, words in rows)


def case_notes(study):
    """Of every case whose angle is beyond stall."""
    for case in study.cases:
        if case.details.get("stalled"):
            yield note_of(
                "stall",
                f"Angle against the stall angle: {case.name}",
                abs(case.details["angle"]),
                "deg",
                case.source,
                "beyond stall: the formula no longer holds",
                "published",
                limit=case.details["stall_angle"],
                case=case.name,
            )
