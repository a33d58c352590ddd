"""A finished part as its offsets tell it, in sentences and rows of text, shared by panel and record.

Pure functions from records to text; nothing is computed here.
"""

from __future__ import annotations

import numpy as np

from ..measured.offset_notes import LEFT_OUT
from ..measured.offset_priors import NAMES
from ..measured.pair_words import towards
from ..study.verdicts import UNSURE, said
from ..units import capital, format_number, show, show_measured

KNOWN_HEADS = ["What shaped the part", "Taken as", "From", "After the offsets"]


def part_sentences(part) -> tuple:
    """Both verdicts on a `PartVerdict`, what the bench says beside them, and what would explain a contradiction.

    >>> from panelmech.job import demo
    >>> from panelmech.measured import explain_offsets, judge_pair, judge_part
    >>> report = judge_pair(demo().design, demo().readings, 0.001)
    >>> part_sentences(judge_part(report, explain_offsets(report)))[0]
    'Camber of the part: holds. Its mean line ends 0.09 ± 0.14 mm towards sheet A, 1.00 mm allowed.'
    """
    told = (_camber(part), _sheets(part), _bench(part)) if part.fit.fits else ()
    return (*filter(None, told), *part.slips)


def remarks(part):
    """What the fit cannot tell, and what it leaves out; that nothing explains the offsets is told elsewhere."""
    return tuple(note for note in part.fit.notes if part.fit.fits or note == LEFT_OUT)


def _camber(part):
    camber = part.fit.camber
    size = show_measured(abs(camber.value), camber.uncertainty, "mm")
    return (
        f"Camber of the part: {said(part.camber)}. Its mean line ends {size} towards sheet {towards(camber.value)}, "
        f"{show(part.tolerance, 'mm', 3)} allowed."
    )


def _sheets(part):
    size, low_high = part.fit.camber_of_ratio, part.fit.ratio_interval
    if not np.isfinite(size.uncertainty) or np.isnan(part.fit.stiffness_ratio_uncertainty):
        return "The sheets' bending stiffness: not sure yet. These offsets say nothing of that of A over that of B."
    low, high = (format_number(v, 3) for v in low_high)
    words = (
        f"The sheets' bending stiffness: {said(part.sheets)}. A over B is between {low} and {high}, nineteen times in "
        f"twenty, which alone makes {show_measured(abs(size.value), size.uncertainty, 'mm')} of camber towards sheet "
        f"{towards(size.value)}"
    )
    return f"{words}: what it allows reaches over the tolerance." if part.sheets == UNSURE else f"{words}."


def _bench(part):
    if part.bench is None or np.isnan(part.apart):
        return ""
    bench = show_measured(part.bench.value, part.bench.uncertainty)
    if part.agrees:
        return f"On the bench A over B was {bench}; the offsets agree with that."
    times = format_number(abs(part.apart), 2)
    return (
        f"On the bench A over B was {bench}; the offsets disagree with that by {times} standard uncertainties of both "
        "together. One of the readings, the line measured from or the way the sheets are said to lie is wrong."
    )


def known_rows(fit) -> list:
    """Of everything that shaped the part: label, what it was taken as, from where, what the offsets made of it."""
    rows = []
    for name, (label, unit) in NAMES.items():
        known, found = fit.known[name], fit.found[name]
        taken = show_measured(known.value, known.uncertainty, unit) if np.isfinite(known.uncertainty) else "–"
        rows.append([capital(label), taken, known.basis, show_measured(found.value, found.uncertainty, unit)])
    return rows
