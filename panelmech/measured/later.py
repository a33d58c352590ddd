"""The part after a while: what is left of the bend when the sheet has relaxed, and a log of the part as built.

A sheet that is held bent keeps its shape and loses moment: after some time only a fraction of the moment is left.
The fraction is the user's own range: it depends on sheet, heat and damp (plywood has lost half in damp within
weeks; published for a birch-plywood pavilion, see `BIRCH_PAVILION`). What follows from it: the contact force and
the opening energy that are left, and the mouth that opens or closes once something lets go.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.bend import Bend
from ..mechanics.forming import FormingLoads, forming_loads
from ..mechanics.numerics import read_row
from ..study.design import Design
from ..units import read_number, show_fixed
from .pair import PairReport

BIRCH_PAVILION = (
    "a pavilion of 6.5 mm birch plywood lost half its bending prestress to damp in two months (reported of the "
    "ICD/ITKE research pavilion, Stuttgart)"
)
LOG_TIMES = {3600.0: "1 hour", 86400.0: "24 hours", 604800.0: "7 days"}  # after forming [s]


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

    Linear viscoelastic sheet held in its shape: every moment falls to the fraction f, so forces fall to f. The opening
    energy goes with the moment squared over the stiffness: for a crack that grows fast that is the short-term one, and
    the energy falls to f^2, which is what stands here; for one that grows slowly it has fallen to f as well, and the
    energy falls only to f, so f^2 is the least that is left (derived here). Let go, the sheet springs back by the share
    f of its bend and keeps 1 - f: its own new curvature is (1 - f) th'.
    """
    out = []
    for f in read_row(fractions, "retained fraction", "", 0.0, 1.0).tolist():
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

    def __post_init__(self):
        read_number(self.time, "time after forming", "s", above=0.0)
        read_number(self.thickness, "thickness as built", "mm", above=0.0)


@dataclass(frozen=True)
class LogReport:
    """As-built log against the prediction: `predicted` outer thickness [m]; `entries`; `difference` of each from
    the prediction [m]; `rate`, thickness gained per tenfold time, by a straight line through all entries, nan where
    they are of one time [m]; `missing`, times of `LOG_TIMES` without an entry [s]; `words`."""

    predicted: float
    entries: tuple
    difference: tuple
    rate: float
    missing: tuple
    words: tuple


def log_report(design: Design, entries, predicted: float | None = None) -> LogReport:
    """Set a log beside the prediction, the outer thickness of the design where none is given [m]; ValueError for no
    entries, or a time or thickness that is not positive."""
    entries = tuple(sorted(entries, key=lambda e: e.time))
    if not entries:
        raise ValueError("the log is empty: give entries with a time and a thickness")
    if predicted is None:
        predicted = float(design.bend().outer_thickness)
    predicted = read_number(predicted, "predicted thickness", "mm", above=0.0)
    difference = tuple(e.thickness - predicted for e in entries)
    times, thick = np.log10([e.time for e in entries]), np.array([e.thickness for e in entries])
    rate = float(np.polyfit(times, thick, 1)[0]) if len(set(times)) > 1 else float("nan")
    missing = tuple(t for t in LOG_TIMES if not any(0.5 * t <= e.time <= 2.0 * t for e in entries))
    last = difference[-1]
    words = [
        f"The part is {show_fixed(abs(last), 2)} {'thicker' if last > 0 else 'thinner'} than predicted, "
        f"{show_fixed(predicted, 2)}."
    ]
    if np.isfinite(rate):
        words.append(f"It {'opens' if rate > 0 else 'closes'} by {show_fixed(abs(rate), 2)} for each tenfold of time.")
    if missing:
        words.append(f"Still to be measured: {', '.join(LOG_TIMES[t] for t in missing)} after forming.")
    return LogReport(predicted, entries, difference, rate, missing, tuple(words))


@dataclass(frozen=True, eq=False)
class LaterReport:
    """The pair after a while: `relaxed` loads and spring-back for the retained fraction; `log` against the prediction,
    or None without a log; `loads` when formed, per metre of span."""

    relaxed: Relaxed
    loads: FormingLoads
    log: LogReport | None


def after_a_while(report: PairReport, fraction: float) -> LaterReport:
    """Loads left for a retained fraction of the bending moment (0 to 1), of two sheets of the mean thickness and
    stiffness, and the log of the part against the outer thickness of the measured pair.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> from panelmech.units import show
    >>> later = after_a_while(judge_pair(demo().design, demo().readings, 0.001), fraction=0.8)
    >>> show(later.loads.contact_force, "N/m", 3)
    '36.0 N/m'
    """
    thickness, stiffness = report.mean_sheet
    bend = report.design.replace(sheet_thickness=thickness).bend()
    loads = forming_loads(bend, stiffness)
    entries = [LogEntry(r.time, r.value, r.note) for r in report.readings.of("as-built thickness", "pair")]
    fraction = read_number(fraction, "retained fraction", "", 0.0, 1.0)
    log = log_report(report.design, entries, float(report.bent.outer_thickness)) if entries else None
    return LaterReport(relax(bend, loads, fraction)[0], loads, log)
