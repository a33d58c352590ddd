"""The bent pair against the flat wedge in the design note: table, words and CSV of every fair comparison."""

from __future__ import annotations

import math

from ..draw.look import VERDICT_MARKS
from ..study.quantities import QUANTITIES
from ..study.study import Study
from ..study.wedge_comparison import MEASURES, side
from ..units import capital, format_number, show
from .blocks import Column, Heading, Pair, Paragraph, Picture, Table
from .wedge_rows import WAYS, FairTable, both_sides, fair_table

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
_HELD = "\u00a0"  # a blank at which no line breaks
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
    rows = (*(_row(study, table, key) for key in MEASURES), _enclosed_row(study, table))
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


def _row(study, table, key):
    values = next(((r.bent, r.flat, r.unit) for r in both_sides(study) if r.key == key), None)
    shown = ("–", "–") if values is None else (_shown(key, values[0]), _shown(key, values[1]))
    return (
        capital(MEASURES[key].short),
        *shown,
        *(_ratio(ratio) for ratio in table.ratios(key)),
        *(_level(table, key, field) for field in WAYS),
    )


def _enclosed_row(study, table):
    found = study.quantities
    values = (_shown(name, found[name]) for name in ("enclosed_area", "wedge_enclosed_area"))
    return "Enclosed area, no stiffness", *values, *(_ratio(r) for r in table.enclosed), *("–" for _ in WAYS)


def _shown(key, value):
    return show(value, QUANTITIES[key].unit, QUANTITIES[key].digits)


def _ratio(ratio):
    return f"{VERDICT_MARKS[_MARKS[side(ratio)]]}\u00a0{format_number(ratio, 3)}" if math.isfinite(ratio) else "–"


def _level(table, key, field):
    level = table.levels.get(key, {}).get(field)
    if level is None:
        return "–"
    if not math.isfinite(level.value):
        return "none"
    return f"{show(level.value, 'mm', 3)}{_HELD + VERDICT_MARKS['fails'] if level.failing else ''}"


def _how_to_read(table: FairTable):
    yield (
        "Under “same …” stands bent over flat: △ above 1 the bent pair has more of it, ▽ below 1 less, = the same "
        "within 0.5 %. Level: the spacer, or at the present spacer the sheet, with which the bent pair has as much as "
        "the present wedge; none: nothing allowed is enough."
    )
    failing = sorted({name for ways in table.levels.values() for level in ways.values() for name in level.failing})
    if failing:
        yield f"{VERDICT_MARKS['fails']}: there at least one check fails ({'; '.join(failing)})."


def _wedges(study: Study, table: FairTable):
    """What each wedge has that meets its condition, or why there is none; one sentence each."""
    for comparison in table.comparisons:
        if comparison.wedge is None:
            yield f"No flat wedge with {comparison.condition}: {comparison.why}."
    found = [c for c in table.comparisons[1:] if c.wedge is not None]
    if found:
        said = (f"{c.condition}, {_changed(study.design, c.wedge)}" for c in found)
        yield f"The wedge has, for {'; for '.join(said)}."


def _changed(design, wedge):
    if wedge.sheet_thickness != design.sheet_thickness:
        return f"sheets of {show(wedge.sheet_thickness, 'mm', 4)}"
    return f"a spacer of {show(wedge.spacer_diameter, 'mm', 3)}"


def ratio_rows(table: FairTable) -> list:
    """(name in plain words, ratios bent over flat by condition) of every measure, for the picture."""
    return [(measure.short, table.ratios(key)) for key, measure in MEASURES.items()]


def ratios_words(table: FairTable) -> str:
    """Text alternative of the picture of the ratios."""
    from ..draw.study_figures import describe_fair

    return describe_fair(ratio_rows(table), [c.condition for c in table.comparisons])


def comparison_rows(study: Study):
    """Rows of the CSV, head first: measure by condition, bent over flat, the wedge's two lengths that may differ, and,
    with the same spacer, where the bent pair draws level. SI; nan where there is none."""
    yield (
        "key",
        "measure",
        "condition",
        "bent_over_flat",
        "wedge_spacer_diameter_si",
        "wedge_sheet_thickness_si",
        "level_spacer_diameter_si",
        "level_sheet_thickness_si",
    )
    table = fair_table(study.design)
    for key, measure in MEASURES.items():
        for i, (comparison, ratio) in enumerate(zip(table.comparisons, table.ratios(key), strict=True)):
            lengths = (getattr(comparison.wedge, field, math.nan) for field in WAYS)
            levels = (table.levels[key][f].value if i == 0 and key in table.levels else math.nan for f in WAYS)
            yield (key, measure.words, comparison.condition, ratio, *lengths, *levels)
