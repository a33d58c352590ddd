"""The part that a measured pair became: relaxed loads and the log after a while, and offsets against the prediction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.forming import FormingLoads, forming_loads
from .aging import LogEntry, LogReport, Relaxed, relax, report
from .offset_table import FACES, STATED, Offsets
from .offsets import OffsetFit, fit_offsets
from .pair import PairReport
from .readings import SHEETS, Readings


def measured_offsets(readings: Readings) -> Offsets | None:
    """Offsets of the finished part among the readings, A as the upper face, or None.

    The standard uncertainty of one is that of its step, but no less than a ruler's tenth of a millimetre (`STATED`).
    """
    rows = [(r, face) for sheet, face in zip(SHEETS, FACES, strict=False) for r in readings.of("offset", sheet)]
    if not rows:
        return None
    spread = [max(r.resolution / np.sqrt(12.0), STATED) for r, _ in rows]
    return Offsets([r.place for r, _ in rows], [r.value for r, _ in rows], [face for _, face in rows], spread)


def explain_offsets(report: PairReport) -> OffsetFit | None:
    """Land slope and stiffness ratio that explain the measured offsets best, with both sheets' own thickness; None
    without offsets. Raises ValueError as `fit_offsets`."""
    offsets = measured_offsets(report.readings)
    if offsets is None:
        return None
    return fit_offsets(report.design, offsets, "chord", *(s.effective_thickness for s in report.sheets))


@dataclass(frozen=True, eq=False)
class LaterReport:
    """The pair after a while: `relaxed` loads and spring-back for the retained fraction; `log` against the prediction,
    or None without a log; `loads` when formed, per metre of span."""

    relaxed: Relaxed
    loads: FormingLoads
    log: LogReport | None


def after_a_while(report: PairReport, fraction: float) -> LaterReport:
    """Loads left for a retained fraction of the bending moment (0 to 1), and the log of the part."""
    bend, design = report.design.bend(), report.design
    loads = forming_loads(bend, report.mean_sheet[1])
    entries = [LogEntry(r.time, r.value, r.note) for r in report.readings.of("as-built thickness", "pair")]
    return LaterReport(relax(bend, loads, [fraction])[0], loads, report(design, entries) if entries else None)
