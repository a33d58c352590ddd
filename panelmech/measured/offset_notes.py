"""What is to be said of a fit of offsets, in sentences: what it cannot tell, and why."""

from __future__ import annotations

import numpy as np

from ..units import format_number, show
from .offset_priors import HAND, NAMES

APART = 0.95  # size of the correlation from which slope and ratio cannot be told apart (judgement, no source)
VAGUE = 0.5  # standard uncertainty of the ratio's logarithm from which nothing is known of it (judgement, no source)
HALVED = np.sqrt(0.75)  # correlation with the bow from which knowing it would halve the ratio's uncertainty at least
LEFT_OUT = (
    "Left out: friction, uneven thickness, places of the readings that are not as stated; a land that gives way under "
    "load counts as slope."
)


def fit_notes(fit) -> tuple:
    """Sentences on what an `OffsetFit` cannot tell."""
    if not fit.fits:
        return misfit_words(fit), LEFT_OUT
    return (*_line(fit), *_apart(fit), *_misfit(fit), *_taken(fit), LEFT_OUT)


def _line(fit):
    """That the line measured from is any one."""
    if np.isinf(fit.known["shift"].uncertainty):
        yield (
            "These offsets count as measured from any straight line: its height and tilt are found with the rest, "
            "which leaves the camber and the ratio of bending stiffness less sure. The chord line leaves them surer: a "
            "straight edge through the middle of the bond line, along the land, found to a tenth of a millimetre at "
            "both ends."
        )


def _apart(fit):
    u = fit.log_ratio.uncertainty
    if np.isnan(fit.stiffness_ratio_uncertainty):
        yield (
            "These readings say nothing of the ratio of the sheets' bending stiffness, so it was held at 1: measure "
            "each face from the chord line, not only half the thickness."
        )
        return
    if confounded(fit):
        yield gap_words(fit)
    elif not abs(fit.correlation) <= APART or not u < VAGUE:
        yield (
            "These readings cannot tell land slope and ratio of the sheets' bending stiffness apart: a change of one "
            "looks like a change of the other. Measure both faces, and at more places."
        )


def confounded(fit) -> bool:
    """Whether the bow of the sheets and their ratio of bending stiffness cannot be told apart by these offsets: with
    the bow known the ratio would be at least twice as sure."""
    return bool(abs(fit.gap_correlation) > HALVED)


def gap_words(fit) -> str:
    """That bow and ratio look alike, how much, and which reading parts them."""
    left = np.sqrt(1.0 - fit.gap_correlation**2) * fit.stiffness_ratio_uncertainty
    return (
        "These offsets cannot tell the ratio of bending stiffness, A over B, from a difference of the sheets' own bow: "
        f"correlation {format_number(fit.gap_correlation, 2)}. What parts them is the bow of the loose sheets, or of "
        "offcuts of them: the gap under the middle on a flat bench, with either face up. With that known the ratio "
        f"would be good to ± {format_number(left, 2)} instead of {format_number(fit.stiffness_ratio_uncertainty, 2)}."
    )


def _misfit(fit):
    if fit.freedom > 0 and fit.spread > 1.0 + 2.0 / np.sqrt(2.0 * fit.freedom):
        yield (
            f"The residuals are {fit.spread:.1f} times what the stated uncertainty explains: something is left "
            "out of the model, or the readings are worse than stated. The uncertainties given are then too "
            "small."
        )


def misfit_words(fit) -> str:
    """That no such part has these offsets, and where it shows most."""
    i = fit.suspect
    return (
        f"No part of these sheets and this rod has such offsets: chi-square is {format_number(fit.chi_square, 3)} with "
        f"{fit.freedom} degrees of freedom, {fit.spread:.1f} times what the stated uncertainty explains, and less than "
        f"one part in a thousand comes to that. Farthest off is the reading {show(fit.offsets.x[i], 'mm', 4)} from the "
        f"land end on the {fit.offsets.face[i]} face, by {show(abs(fit.residual[i]), 'mm', 2)}. Slope and ratio are "
        "not to be trusted."
    )


def _taken(fit):
    """What was not measured and counts most for the ratio."""
    if not fit.log_ratio.contributions:
        return
    name = fit.log_ratio.dominant
    if name in NAMES and fit.known[name].basis == HAND and not confounded(fit):
        label, unit = NAMES[name]
        yield (
            f"Most of the uncertainty of the ratio is from the {label}, taken as good to "
            f"± {show(fit.known[name].uncertainty, unit, 2)}: {HAND}."
        )
