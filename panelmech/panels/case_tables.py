"""Published cases as tables: a row for each table of a source, and every value folded below it."""

from __future__ import annotations

from collections import Counter
from html import escape
from itertools import groupby

import numpy as np

from ..published.case import FORMULA, HOWS, OWN
from ..published.tables import cited
from ..report.blocks import Row, Verdict
from ..study.verdicts import FAILS, HOLDS
from ..units import capital, format_number
from .study_tables import table

NOTHING = 1e-8  # of the value: a smaller difference is said to be none
SOURCE_HEADS = ("Source", "How it was got", "Values", "Largest difference", "Allowed", "Verdict")
VALUE_HEADS = ("Case", "Published", "Ours", "Difference")


def published_tables(compared, title: str) -> str:
    """What was compared: one row for each table of a source with its largest difference, and every value folded."""
    groups = [list(some) for _, some in groupby(compared, key=_table_of)]
    own = compared[0].case.how == OWN
    heads = ("Other road", *SOURCE_HEADS[2:]) if own else SOURCE_HEADS
    first = table(heads, [_source_row(some, own) for some in groups], title, numbers_from=1 if own else 2)
    heads = ("Case", "Other road", *VALUE_HEADS[2:]) if own else VALUE_HEADS
    rows = [row for some in groups for row in (_place(some[0].case), *map(_value_row, some))]
    words = f"{title}: every value, {len(compared)} of them"
    return first + f"<details><summary>{escape(words)}</summary>{table(heads, rows, words)}</details>"


def published_line(compared) -> str:
    """How many values there are, from how many sources, how they were got, and whether all agree."""
    off = [each.case.words for each in compared if not each.agrees]
    cases = [each.case for each in compared]
    got = Counter(case.how for case in cases)
    hows = ", ".join(f"{got[how]} {how}" for how in HOWS if got[how])
    sources = f" from {_many(len(cited(cases)), 'source')}" if hows else ""
    told = f"not within what is allowed: {'; '.join(off)}" if off else "each within what is allowed"
    got_words = f"\nHow they were got: {hows}." if hows else ""
    return f"{_many(len(compared), 'value')}{sources}, worked out just now; {told}.{got_words}"


def _many(count, word):
    return f"{count} {word}{'' if count == 1 else 's'}"


def cited_table(cases=None) -> str:
    """Every source, and how many values are from it."""
    rows = [(words, f"{count}") for words, count in cited(cases).items()]
    return table(("Source", "Values"), rows, "Sources")


def _table_of(compared):
    case = compared.case
    return case.source, case.place, case.how, case.tolerance, case.why, case.absolute


def _place(case):
    return capital(f"{case.source}, {case.place}" if case.source else case.place)


def _source_row(some, own):
    case, worst = some[0].case, max(some, key=lambda each: abs(each.gap))
    verdict = Verdict(HOLDS if all(each.agrees for each in some) else FAILS)
    how = () if own else (case.how,)
    return Row((_place(case), *how, f"{len(some)}", gap_text(worst), _allowed(case), verdict), below=(case.why,))


def _value_row(each):
    digits = format_number(each.case.published, 7) if each.case.how in (FORMULA, OWN) else _printed(each.case.published)
    return each.case.words, digits, format_number(each.ours, 7), gap_text(each)


def _printed(value):
    """A number with the digits it was given with."""
    return f"{value:.11g}".replace("-", "−")


def gap_text(each) -> str:
    """The difference, in per cent of the published value or in its unit; "none" where it is rounding."""
    if abs(each.ours - each.case.published) <= NOTHING * abs(each.case.published):
        return "none"
    return _share(each.gap, each.case)


def _allowed(case):
    if case.tolerance <= NOTHING * (abs(case.published) if case.absolute else 1.0):
        return "rounding"
    return f"± {_share(case.tolerance, case)}"


def _share(value, case):
    """A difference in the case's unit or in per cent, two figures, without powers of ten."""
    number = np.format_float_positional(value * (1.0 if case.absolute else 100.0), 2, False, False, trim="-")
    return f"{number}{'' if case.absolute else ' %'}".replace("-", "−")
