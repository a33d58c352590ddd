"""After a while: what is left of the bend when the sheet has relaxed, and a log of the part as built.

A sheet that is held bent keeps its shape and loses moment: after some time only a fraction of the moment is left.
The fraction is the user's own range: it depends on sheet, heat and damp (plywood has lost half in damp within
weeks; published for a birch-plywood pavilion, see `BIRCH_PAVILION`). What follows from it: the contact force and
the opening energy that are left, and the mouth that opens or closes once something lets go.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import Bend
from ..mechanics.forming import FormingLoads
from ..study.design import Design

BIRCH_PAVILION = (
    "a pavilion of 6.5 mm birch plywood lost half its bending prestress to damp in two months (reported of the "
    "ICD/ITKE research pavilion, Stuttgart)"
)
LOG_TIMES = (3600.0, 86400.0, 604800.0)  # one hour, a day, a week after forming [s]


@dataclass(frozen=True)
class Relaxed:
    """Loads left when a fraction of the moment is left; per metre of span, SI as in `FormingLoads`. `fraction` [-];
    `spring_back` [m] of each front edge if it is let go then; `set_angle` [rad] it keeps at the contact."""

    fraction: float
    contact_force: float
    land_moment: float
    push_out_force: float
    opening_energy: float
    spring_back: float
    set_angle: float


def relax(bend: Bend, loads: FormingLoads, fractions) -> tuple[Relaxed, ...]:
    """Loads left for each retained fraction of the bending moment (0 to 1); ValueError outside.

    Linear viscoelastic sheet held in its shape: every moment falls to the fraction f, so forces fall to f and the
    opening energy, which goes with the moment squared over the stiffness, to f^2 at most (with the short-term
    stiffness; derived here). Let go, the sheet springs back by the share f of its bend and keeps 1 - f: its own new
    curvature is (1 - f) th'.
    """
    out = []
    for f in np.atleast_1d(np.asarray(fractions, dtype=float)):
        if not 0.0 <= f <= 1.0:
            raise ValueError(f"retained fraction is {f:.4g}: give 0 to 1")
        out.append(
            Relaxed(
                float(f),
                *(float(f * v) for v in (loads.contact_force, loads.land_moment, loads.push_out_force)),
                float(f * f * loads.opening_energy),
                _spring_back(bend, f),
                float((1.0 - f) * bend.contact_angle),
            )
        )
    return tuple(out)


def _spring_back(bend, fraction):
    """Move of the front edge across the chord when the curvature falls from th' to (1 - f) th' [m]."""
    s = np.linspace(0.0, float(bend.free_length), 801)
    angle = bend.tangent_angle(s)
    return float(np.trapezoid(np.sin(angle) - np.sin((1.0 - fraction) * angle), s))


@dataclass(frozen=True)
class LogEntry:
    """A thickness measured on the part: `time` after forming [s], outer `thickness` at the front [m], `note`."""

    time: float
    thickness: float
    note: str = ""


@dataclass(frozen=True)
class LogReport:
    """As-built log against the prediction: `predicted` outer thickness [m]; `entries`; `difference` of each from
    the prediction [m]; `rate`, thickness gained per tenfold time, from the entries after the first [m]; `missing`,
    times of `LOG_TIMES` without an entry [s]; `words`."""

    predicted: float
    entries: tuple
    difference: tuple
    rate: float
    missing: tuple
    words: tuple


def report(design: Design, entries) -> LogReport:
    """Set a log beside the prediction; ValueError for no entries, or a time or thickness that is not positive."""
    entries = tuple(sorted(entries, key=lambda e: e.time))
    if not entries or any(not (e.time > 0 and e.thickness > 0) for e in entries):
        raise ValueError("the log needs entries with a time in seconds and a thickness in metres, both positive")
    predicted = float(design.bend().outer_thickness)
    difference = tuple(e.thickness - predicted for e in entries)
    times, thick = np.log10([e.time for e in entries]), np.array([e.thickness for e in entries])
    rate = float(np.polyfit(times, thick, 1)[0]) if len(set(times)) > 1 else float("nan")
    missing = tuple(t for t in LOG_TIMES if not any(0.5 * t <= e.time <= 2.0 * t for e in entries))
    last = difference[-1]
    words = [
        f"The part is {1e3 * abs(last):.2f} mm {'thicker' if last > 0 else 'thinner'} than predicted, "
        f"{1e3 * predicted:.2f} mm."
    ]
    if np.isfinite(rate):
        words.append(f"It {'opens' if rate > 0 else 'closes'} by {1e3 * abs(rate):.2f} mm for each tenfold of time.")
    if missing:
        words.append(f"Still to be measured: {', '.join(_time_words(t) for t in missing)} after forming.")
    return LogReport(predicted, entries, difference, rate, missing, tuple(words))


def _time_words(seconds):
    return {3600.0: "1 hour", 86400.0: "24 hours", 604800.0: "7 days"}[seconds]
