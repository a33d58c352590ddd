"""The verdict on a measured pair in sentences: what it rests on, and why it is not sure yet."""

from __future__ import annotations

from ..study.verdicts import UNSURE
from ..units import capital, show, show_measured
from .modulus_tests import SURE


def verdict_words(report) -> str:
    """The verdict on the pair in sentences; why it is not sure yet comes first."""
    camber, ratio = report.camber, report.inspection
    size = show_measured(abs(camber.value), camber.uncertainty, "mm")
    laid = f"Laid with the {report.inspection.pairings[0].flip}, the" if any(report.bows) else "The"
    words = (
        f"{laid} blade's mean line ends {size} towards sheet {towards(camber.value)}, "
        f"{show(report.tolerance, 'mm', 3)} allowed. Bending stiffness of A over that of B: "
        f"{show_measured(ratio.stiffness_ratio, ratio.ratio_uncertainty)}."
    )
    return " ".join([*(unsure_words(report) if report.verdict == UNSURE else ()), words])


def unsure_words(report):
    """Sentences that say why the verdict is not sure yet."""
    if report.doubts:
        yield f"{doubt_words(report.doubts)} What is in doubt is not counted."
    if not report.sure:
        yield (
            f"The tolerance lies within {SURE:g} standard uncertainties of the camber; what counts most is the "
            f"{report.camber.dominant}."
        )
    if report.missing:
        yield f"Still to be measured: {'; '.join(report.missing)}."


def doubt_words(doubts) -> str:
    """Doubts about readings in sentences."""
    return " ".join(capital(doubt.line) for doubt in doubts)


def towards(offset: float) -> str:
    """The sheet an offset points to."""
    return "A" if offset > 0 else "B"
