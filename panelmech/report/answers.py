"""Answers of sizing and choosing as rows of text and CSV: what a size can be, and combinations of stock in their order.

Pure functions from records to text; numbers come formatted from `units`.
"""

from __future__ import annotations

import numpy as np

from ..study.choose import CRITERIA, Choices
from ..study.design import LIMITS, Design
from ..study.every import NONE_MADE, Standing
from ..study.sizing import Sizing, output_unit
from ..study.verdicts import lower
from ..units import format_number, round_bound, show, show_input
from .folder import Field, csv_rows, csv_text


def sizing_options(sizing: Sizing, unit: str | None = None) -> list:
    """(words, value [SI]) of every answer and of the stock sizes beside it; `unit` of the output, where it is one under
    load."""
    exact = [_answer(sizing, value, LIMITS[sizing.field].unit) for value in sizing.solutions]
    return exact + stock_options(sizing, output_unit(sizing.output) if unit is None else unit)


def stock_options(sizing: Sizing, output_unit: str) -> list:
    """(words, value [SI]) of the sizes one can buy, with what each gives in the unit of the output."""
    unit = LIMITS[sizing.field].unit
    return [
        (f"one can buy {show_input(s.value, unit)}, gives {show(s.output, output_unit)}", s.value)
        for s in sizing.stock
        if np.isfinite(s.output)
    ]


def judged_options(options, design: Design, field: str, judge) -> list:
    """The same (words, value [SI]) of a field of the design, with how the part stands at each value; `judge`: as of
    `study.every`."""
    return [(f"{words}: {standing_words(_judged(design, field, value, judge))}", value) for words, value in options]


def _judged(design, field, value, judge):
    try:
        return judge(design.replace(**{field: value}))
    except ValueError:
        return NONE_MADE


def standing_words(found: Standing) -> str:
    """How a design stands, every check counted, in a line."""
    return (
        f"{found.verdict}, governed by {lower(found.name)}, {show(found.reserve, 'x')}" if found.key else found.words()
    )


def _answer(sizing, value, unit):
    """An answer as asked; where a reserve is asked for, rounded to the side on which there is no less of it: a design
    exactly at its limit may fail by the last digit."""
    if not sizing.output.endswith("_reserve"):
        return f"exactly {show(value, unit)}", value
    points, found = sizing.scan
    after = int(np.clip(np.searchsorted(points, value), 1, len(points) - 1))
    rounded = round_bound(value, unit, up=bool(found[after] > found[after - 1]))
    return f"rounded to the safe side: {show_input(rounded, unit)}", rounded


SEARCH_NOT = "Not counted in a search: the two sheets as measured, and the pours."


def choice_words(choices: Choices, counted: str) -> str:
    """How many combinations there are, passed the quick checks and were judged with every check, or until one refused
    them; `counted`: what the judge counts, in words."""
    refused = refused_words(choices)
    words = f"Of {len(choices)} combinations {choices.quick} can be bent and fail no quick check"
    judged = f"{int(choices.sure.sum())} of those were judged with every check, or until one refused them ({counted})"
    words = f"{words}; {judged}{f', and {refused}' if refused else ', and none was refused'}."
    return f"{words} {SEARCH_NOT}"


def refused_words(choices: Choices) -> str:
    """How many another check than the quick ones refused, and which, in words; "" where none was."""
    found = choices.refused()
    names = ", ".join(f"{lower(name)} {count}" for name, count in found.items())
    return f"{sum(found.values())} refused: {names}" if found else ""


def choice_rows(choices: Choices, order) -> list:
    """Combinations in this order, all criteria that are known: a row of heads, then a row of texts for each, numbered
    from 1. What has a limit without a basis is marked."""
    known = _known(choices, order)
    heads = ["", "sheet", "spacer", *(CRITERIA[name][0].split(",")[0] for name in known)]
    return [heads, *(_choice_row(choices, int(i), n, known) for n, i in enumerate(order, 1))]


def _known(choices, order):
    return [name for name in CRITERIA if len(order) and np.isfinite(choices.values[name][order]).any()]


def _choice_row(choices, i, number, known):
    sheet, spacer = choices.label(i).split("; ")
    mark = "" if choices.judged[i] else " (a limit has no basis)"
    values = (choices.values[name][i] for name in known)
    units = (CRITERIA[name][1] for name in known)
    shown = [show(v, u) if u else format_number(v) for v, u in zip(values, units, strict=True)]
    return [str(number), sheet + mark, spacer, *shown]


def choices_csv(choices: Choices, order) -> str:
    """The same as a CSV file: sizes and criteria as plain numbers, the unit in the head; empty where not known."""
    records = list(enumerate(map(int, order), 1))
    fields = (
        Field("number", lambda r: str(r[0])),
        Field("sheet", lambda r: choices.sheets[choices.sheet[r[1]]].name),
        Field("sheet thickness", lambda r: choices.thickness[r[1]], "mm", 9),
        Field("spacer", lambda r: choices.spacers[choices.spacer[r[1]]].name),
        Field("spacer diameter", lambda r: choices.diameter[r[1]], "mm", 9),
        Field("spacer wall", lambda r: choices.wall[r[1]], "mm", 9),
        *(Field(words, _value_of(choices, name), unit) for name, (words, unit, _) in CRITERIA.items()),
        Field("every limit has a basis", lambda r: "yes" if choices.judged[r[1]] else "no"),
    )
    return csv_text(csv_rows(fields, records))


def _value_of(choices, name):
    return lambda record: choices.values[name][record[1]]


def rare_words(found, loads: bool = False) -> str:
    """A rare share of parts (`study.rare.RareShare`) in words, and what it leaves out; `loads`: whether the job states
    any."""
    left = (
        " Left out of that: the part along its span and under its loads, and the checks that they judge in the place "
        "of the design's."
        if loads
        else " Left out of that: the part along its span, where it tapers."
    )
    return f"Parts that fail a check of the design, at its root end, however rare: {found.words()}.{left}"


def aligned(rows) -> str:
    """Rows of texts of equal count as lines, in columns two blanks apart; the last column is not padded."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ["  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)) for row in rows]
    return "\n".join(line.rstrip() for line in lines)
