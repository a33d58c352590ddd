"""The bent pair against the flat wedge in the numbers of one study: both sides of the belief that it is stiffer,
which stiffness being said in each row.

Every row is one meaning of "stiff" (named in `fair`); which side it speaks for follows from its ratio alone. These are
the measures of the section, quick enough for a slider. One framed sheet, and fairer conditions than the same spacer,
are in `fair`, which takes a second or two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..draw.look import VERDICT_MARKS
from ..study.quantities import QUANTITIES
from ..study.study import Study
from ..study.wedge_comparison import (
    MEASURES,
    change_words,
    compare_with_wedge,
    share_words,
    side,
)
from ..study.wedge_levels import WAYS, FairTable, drawing_level, fair_table
from ..units import capital, format_number, show, show_input
from .blocks import Column, Heading, Pair, Paragraph, Picture, Table, text_lines
from .check_rows import HELD
from .folder import Field

ROWS = {
    "chord_stiffness": "chord_stiffness_ratio",
    "i_chord": "i_chord_ratio",
    "torsion_stiffness": "torsion_stiffness_ratio",
    "torsion_constant": "torsion_ratio",
    "i_normal": "i_normal_ratio",
    "curve_moment": "curve_ratio",
}


@dataclass(frozen=True)
class WedgeRow:
    """One meaning of "stiff".

    key, words : the measure by its key of `wedge_comparison.MEASURES` and in words
    bent, flat : value of the bent pair and of the flat wedge [SI]
    unit : in which both are shown
    ratio : bent over flat [-]
    side : "stiffer", "softer", "the same" or "unknown", said of the bent pair in this respect
    """

    key: str
    words: str
    bent: float
    flat: float
    unit: str
    ratio: float
    side: str


def both_sides(study: Study) -> tuple[WedgeRow, ...]:
    """A row for each measure of the section, the same sheets and rod; nan where the wedge does not touch the rod."""
    return tuple(_row(study.quantities, key, ratio) for key, ratio in ROWS.items())


def _row(q, key, ratio_key):
    ratio = q[ratio_key]
    words = MEASURES[key].words
    return WedgeRow(key, capital(words), q[key], q[key] / ratio, QUANTITIES[key].unit, ratio, side(ratio))


def level_words(study: Study, spacers: dict | None = None) -> tuple[str, ...]:
    """What `drawing_level` found, one sentence for each measure."""
    spacers = drawing_level(study) if spacers is None else spacers
    own = study.design.spacer_diameter
    out = []
    for key, spacer in spacers.items():
        start = f"{capital(MEASURES[key].words)}:"
        mark = f"the flat wedge with its {show_input(own, 'mm')} spacer"
        if np.isfinite(spacer):
            times = format_number(spacer / own, 3)
            out.append(
                f"{start} the bent pair draws level with {mark} at {show(spacer, 'mm')}, {times} times as large."
            )
        else:
            out.append(f"{start} no spacer these sheets take lets the bent pair draw level with {mark}.")
    return tuple(out)


def sides_text(study: Study) -> str:
    """Both sides as plain text, one line each.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> sides_text(evaluate(demo().design, local=False)).splitlines()[1].split()[-6:-1]
    ['640.4', 'N·m²', '768.3', 'N·m²', '0.834']
    """
    rows = (
        (r.words, show(r.bent, r.unit), show(r.flat, r.unit), format_number(r.ratio, 3), r.side)
        for r in both_sides(study)
    )
    return "\n".join(text_lines((("", "bent", "flat", "bent/flat"), *rows), (68, 15, 15, 11)))


@dataclass(frozen=True)
class Full:
    """Every measure under every fair condition.

    conditions : in words
    why : for each, why there is no such wedge; "" where there is one
    rows : (words of a measure, ratios bent over flat in the order of the conditions [-])
    sentences : on what the clamped land and the curvature each do, and what would draw level
    """

    conditions: tuple
    why: tuple
    rows: tuple
    sentences: tuple


def full_comparison(study: Study) -> Full:
    """The whole comparison, one framed sheet included; takes a second or two.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> full_comparison(evaluate(demo().design, local=False)).sentences[2]
    'Sheets, bending about the chord: the bent pair draws level with the present wedge with a spacer of 20.7 mm,
    or, at the present spacer, with a sheet of 2.42 mm.'
    """
    comparisons = compare_with_wedge(study.design)
    rows = tuple(
        (measure.words, tuple(c.ratios.get(key, float("nan")) for c in comparisons))
        for key, measure in MEASURES.items()
    )
    same_spacer = comparisons[0].ratios
    sentences = (*share_words(study.design), *change_words(study.design, same_spacer)) if same_spacer else ()
    return Full(tuple(c.condition for c in comparisons), tuple(c.why for c in comparisons), rows, sentences)


# ----- The section of the design note and the CSV file, made from the fair comparison (`study.wedge_levels`).


_HEADS = ("Same spacer", "Same outer thickness", "Same mass", "Same 2nd moment")  # in the order of fair.CONDITIONS
_COLUMNS = (
    Column("What is compared", 0.248, "label"),
    Column("Bent pair", 0.114, "number"),
    Column("Flat wedge, same spacer", 0.114, "number"),
    *(Column(head, share, "number") for head, share in zip(_HEADS, (0.075, 0.095, 0.07, 0.09), strict=True)),
    Column("Level with a spacer of", 0.096, "number"),
    Column("Level with a sheet of", 0.098, "number"),
)
LEFT_SHARE = 0.4  # of the width, for the overlay and the words beside the picture of the ratios
_MARKS = {"stiffer": "more", "softer": "less", "the same": "same", "unknown": "unknown"}


def against_wedge(study: Study):
    """The blocks of the section: what there is more and less of, the table, both sections overlaid, the ratios."""
    compared = [c for c in study.checks if c.kind == "comparison"]
    table = fair_table(study.design)
    yield Heading("Against the flat wedge of the same sheets")
    yield Paragraph(_sums(compared))
    if all(comparison.wedge is None for comparison in table.comparisons):
        yield from (Paragraph(text, quiet=True) for text in _wedges(study, table))
        yield Picture("wedge", "The bent pair alone: there is no flat wedge of these sheets and rod.")
        return
    rows = (*(_measure_row(study, table, key) for key in MEASURES), _enclosed_row(study, table))
    yield Table("Bent pair against flat wedge, every measure under every condition", _COLUMNS, rows)
    overlaid = Picture(
        "wedge", "The bent pair and, dashed, the flat wedge of the same sheets and rod, drawn over each other."
    )
    ratios = Picture("ratios", ratios_words(table))
    yield Paragraph(" ".join(_how_to_read(table)), quiet=True)
    words = tuple(Paragraph(text, quiet=True) for text in _wedges(study, table))
    yield Pair((overlaid, *words), (ratios,), LEFT_SHARE)


def _sums(compared):
    sums = [
        f"{word} of: {_join(_name(c) for c in compared if c.verdict == word)}"
        for word in ("more", "less")
        if any(c.verdict == word for c in compared)
    ]
    if not sums:
        return "There is no comparison: the flat wedge of these sheets cannot touch this rod."
    return f"Which of the two is stiffer depends on which stiffness is meant. The bent pair has {'; '.join(sums)}."


def _name(check):
    name = check.name.split(", of ")[0]
    return f"{name[0].lower()}{name[1:]}"


def _join(words):
    words = list(words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _measure_row(study, table, key):
    values = next(((r.bent, r.flat, r.unit) for r in both_sides(study) if r.key == key), None)
    shown = ("–", "–") if values is None else (_shown(key, values[0]), _shown(key, values[1]))
    return (
        capital(MEASURES[key].short),
        *shown,
        *(_ratio(ratio) for ratio in table.ratios(key)),
        *(_level_cell(table, key, field) for field in WAYS),
    )


def _enclosed_row(study, table):
    q = study.quantities
    values = (_shown(name, q[name]) for name in ("enclosed_area", "wedge_enclosed_area"))
    return "Enclosed area, no stiffness", *values, *(_ratio(r) for r in table.enclosed), *("–" for _ in WAYS)


def _shown(key, value):
    return show(value, QUANTITIES[key].unit, QUANTITIES[key].digits)


def _ratio(ratio):
    return f"{VERDICT_MARKS[_MARKS[side(ratio)]]}\u00a0{format_number(ratio, 3)}" if math.isfinite(ratio) else "–"


def _level_cell(table, key, field):
    level = table.levels.get(key, {}).get(field)
    if level is None:
        return "–"
    if not math.isfinite(level.value):
        return "none"
    return f"{show(level.value, 'mm', 3)}{HELD + VERDICT_MARKS['fails'] if level.failing else ''}"


def _how_to_read(table: FairTable):
    yield (
        "Under “same …” stands bent over flat: △ above 1 the bent pair has more of it, ▽ below 1 less, = the same "
        "within 0.5 %. Level: the spacer, or at the present spacer the sheet, with which the bent pair has as much as "
        "the present wedge; none: nothing allowed is enough. Presses and buckling of one sheet: by the linear theory, "
        "for small deflections."
    )
    failing = sorted({name for ways in table.levels.values() for level in ways.values() for name in level.failing})
    if failing:
        yield f"{VERDICT_MARKS['fails']}: there at least one check fails ({'; '.join(failing)})."


def _wedges(study: Study, table: FairTable):
    """What each wedge has that meets its condition, or why there is none; one sentence each."""
    for comparison in table.comparisons:
        if comparison.wedge is None:
            yield f"No flat wedge with {comparison.condition}: {comparison.why}."
    met = [f"{c.condition}, {_changed(study.design, c.wedge)}" for c in table.comparisons[1:] if c.wedge is not None]
    if met:
        yield f"The wedge has, for {'; for '.join(met)}."


def _changed(design, wedge):
    if wedge.sheet_thickness != design.sheet_thickness:
        return f"sheets of {show(wedge.sheet_thickness, 'mm', 4)}"
    return f"a spacer of {show(wedge.spacer_diameter, 'mm', 3)}"


def ratio_rows(table: FairTable) -> list:
    """(name in plain words, ratios bent over flat by condition) of every measure, for the picture."""
    return [(measure.short, table.ratios(key)) for key, measure in MEASURES.items()]


def ratios_words(table: FairTable) -> str:
    """Text alternative of the picture of the ratios."""
    from ..draw.ratio_figures import describe_fair

    return describe_fair(ratio_rows(table), [c.condition for c in table.comparisons])


COMPARISON_FIELDS = (  # of (measure key, its words, comparison, ratio, the levels of each of `WAYS` [m])
    Field("key", lambda row: row[0]),
    Field("measure", lambda row: row[1]),
    Field("condition", lambda row: row[2].condition),
    Field("bent_over_flat", lambda row: row[3], "", 12),
    *(Field(f"wedge_{way}_si", lambda row, way=way: getattr(row[2].wedge, way, math.nan), "", 12) for way in WAYS),
    *(Field(f"level_{way}_si", lambda row, way=way: row[4].get(way, math.nan), "", 12) for way in WAYS),
)


def comparison_rows(study: Study):
    """What the rows of the CSV are made from (`COMPARISON_FIELDS`): every measure under every condition, bent over
    flat; with the same spacer also where the bent pair draws level. SI; nan where there is none."""
    table = fair_table(study.design)
    for key, measure in MEASURES.items():
        for i, (comparison, ratio) in enumerate(zip(table.comparisons, table.ratios(key), strict=True)):
            levels = table.levels.get(key, {}) if i == 0 else {}
            yield key, measure.words, comparison, ratio, {way: level.value for way, level in levels.items()}
