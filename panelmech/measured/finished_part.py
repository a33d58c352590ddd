"""The part that a measured pair became: its offsets explained with all that the bench knows of its sheets, and judged.

Two questions, two verdicts. Whether the part's own mean line keeps to the tolerance, which the offsets say well; and
whether the sheets' bending stiffness alone would keep to it, which they say only as far as bow and line are known. Each
is "not sure yet" while its interval of nineteen in twenty reaches over the tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..study.verdicts import UNSURE, rate
from .modulus_tests import unmeasured_bow
from .offset_priors import STATED, Known, usual_priors
from .offset_slips import farthest, likely_slips
from .offsets import COVERS, FACES, OffsetFit, Offsets, fit_offsets
from .pair import PairReport
from .readings import SHEETS, Measured, Readings

SWAPPED = {"upper": "lower", "lower": "upper", "half": "half"}


def measured_offsets(readings: Readings) -> Offsets | None:
    """Offsets of the finished part among the readings, A as the upper face, or None.

    The standard uncertainty of one is that of its step, but no less than a ruler's tenth of a millimetre (`STATED`).

    >>> from panelmech.job import demo
    >>> from panelmech.units import show
    >>> offsets = measured_offsets(demo().readings)
    >>> len(offsets.x), show(offsets.offset.max(), "mm")
    (16, '11.60 mm')
    """
    rows = [(r, face) for sheet, face in zip(SHEETS, FACES, strict=False) for r in readings.of("offset", sheet)]
    if not rows:
        return None
    spread = [max(r.resolution / np.sqrt(12.0), STATED) for r, _ in rows]
    return Offsets([r.place for r, _ in rows], [r.value for r, _ in rows], [face for _, face in rows], spread)


def known_of(report: PairReport, bows=None) -> dict:
    """What the bench knows of the part: thickness of both sheets, as unsure as their points scatter, and their bow,
    laid as the best pairing says or as `bows` [1/m] has it."""
    known = {}
    unmeasured = " ".join(unmeasured_bow(report.readings))
    for i, (name, sheet) in enumerate(zip(SHEETS, report.sheets, strict=True)):
        spread = float(np.hypot(sheet.thickness.uncertainty, sheet.thickness.details["scatter"]))
        known[f"thickness_{i + 1}"] = Known(sheet.effective_thickness, spread)
        if f"sheet {name}" not in unmeasured:
            own = (report.bows if bows is None else bows)[i]
            known[f"bow_{i + 1}"] = Known(own, sheet.curvature_uncertainty)
    return known


def explain_offsets(report: PairReport) -> OffsetFit | None:
    """Land slope and stiffness ratio that explain the measured offsets best, with what the bench knows of the sheets
    and of the line they were measured from; None without offsets. Raises ValueError as `fit_offsets`, with the slip of
    hand that would explain it.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> from panelmech.units import show
    >>> fit = explain_offsets(judge_pair(demo().design, demo().readings, 0.001))
    >>> show(fit.rms, "mm", 2), fit.fits
    ('0.031 mm', True)
    """
    offsets = measured_offsets(report.readings)
    if offsets is None:
        return None
    known = usual_priors(report.design, report.line, **known_of(report))
    try:
        return fit_offsets(report.design, offsets, report.line, known=known)
    except ValueError as error:
        slips = likely_slips(report.design, offsets, known, farthest(report.design, offsets))
        raise ValueError(" ".join([f"{error}.", *slips]) if slips else str(error)) from None


@dataclass(frozen=True, eq=False)
class PartVerdict:
    """What the offsets of a finished part say.

    Attributes
    ----------
    fit : what explains them
    tolerance : camber that the builder accepts [m]
    camber, sheets : verdicts on the part's mean line at the front, and on what the sheets' ratio of bending stiffness
        alone makes of it
    bench : the ratio as measured on the loose sheets, or None
    apart : logarithm of the ratio by offsets less that of the bench, over the standard uncertainty of both [-]; nan
        without one
    slips : sentences on what would explain offsets that do not fit, or that disagree with the bench
    """

    fit: OffsetFit
    tolerance: float
    camber: str
    sheets: str
    bench: Measured | None
    apart: float
    slips: tuple

    @property
    def agrees(self) -> bool:
        """Whether bench and offsets tell the same ratio, as far as both are known."""
        return not abs(self.apart) > COVERS


def judge_part(report: PairReport, fit: OffsetFit) -> PartVerdict:
    """Judge the part that was measured.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import judge_pair
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> judge_part(report, explain_offsets(report)).camber
    'holds'
    """
    words = [_word(report, fit, size) for size in (fit.camber, fit.camber_of_ratio)]
    bench = _bench(report)
    apart = _apart(fit, bench)
    if not fit.fits:
        slips = likely_slips(report.design, fit.offsets, fit.known, fit.suspect)
    else:
        slips = tuple(_other_ways(report, fit, bench)) if abs(apart) > COVERS else ()
    return PartVerdict(fit, report.tolerance, *words, bench, apart, slips)


def _word(report, fit, size: Measured) -> str:
    sure = abs(abs(size.value) - report.tolerance) > COVERS * size.uncertainty
    return rate(abs(size.value), report.tolerance, report.design.close_share).verdict if fit.fits and sure else UNSURE


def _bench(report):
    """Ratio of bending stiffness of the loose sheets; None where a modulus is not measured."""
    if None in report.used:
        return None
    return report.ratio


def _apart(fit, bench):
    if bench is None or not np.isfinite(fit.log_ratio.uncertainty) or np.isnan(fit.stiffness_ratio_uncertainty):
        return float("nan")
    return float((fit.log_ratio.value - np.log(bench.value)) / np.hypot(fit.log_ratio.uncertainty, bench.relative))


def _other_ways(report, fit, bench):
    """What would make bench and offsets agree: the sheets laid otherwise, or their faces taken for each other."""
    best = report.inspection.pairings[0]
    laid = {p.sides: p for p in reversed(report.inspection.pairings) if p.sides != best.sides}
    swapped = replace(fit.offsets, face=np.array([SWAPPED[face] for face in fit.offsets.face]))
    ways = [("the readings of A are those of B, and of B those of A", swapped, best.bows)]
    ways += [(f"the sheets are laid with the {p.flip}", fit.offsets, p.bows) for p in laid.values()]
    for words, offsets, bows in ways:
        try:
            other = fit_offsets(report.design, offsets, known={**fit.known, **known_of(report, bows)})
        except ValueError:
            continue
        if other.fits and abs(_apart(other, bench)) <= COVERS:
            yield f"They would agree if {words}."
