"""The bent pair against the flat wedge in the numbers of one study: both sides of the belief that it is stiffer.

Every row is one meaning of "stiff" (named in `fair`); which side it speaks for follows from its ratio alone. These are
the measures of the section, quick enough for a slider. One framed sheet, and fairer conditions than the same spacer,
are in `fair`, which takes a second or two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..draw.look import VERDICT_MARKS
from ..mechanics.bend import solve_bend
from ..mechanics.section import bent_pair, bent_section, flat_wedge_section
from ..study.design import Design
from ..study.quantities import QUANTITIES
from ..study.study import Study
from ..study.wedge_comparison import (
    MEASURES,
    change_words,
    compare_with_wedge,
    failing_with,
    overtaking,
    share_words,
    side,
)
from ..units import capital, format_number, show, show_input
from .blocks import Column, Heading, Pair, Paragraph, Picture, Table
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
LEVELLED = ("i_chord", "torsion_constant")
_POINTS = 25
_EDGE = 1e-9  # how close to the greatest spacer the search goes, relative


@dataclass(frozen=True)
class Row:
    """One meaning of "stiff", in words; the bent pair's and the flat wedge's value in SI and their unit; bent over
    flat; `side`: "stiffer", "softer", "the same" or "unknown", said of the bent pair in this respect."""

    key: str
    words: str
    bent: float
    flat: float
    unit: str
    ratio: float
    side: str


def both_sides(study: Study) -> tuple[Row, ...]:
    """A row for each measure of the section, the same sheets and rod; nan where the wedge does not touch the rod."""
    return tuple(_row(study.quantities, key, ratio) for key, ratio in ROWS.items())


def _row(found, key, ratio_key):
    ratio = found[ratio_key]
    words = MEASURES[key].words
    return Row(key, capital(words), found[key], found[key] / ratio, QUANTITIES[key].unit, ratio, side(ratio))


def drawing_level(study: Study) -> dict:
    """Spacers with which the bent sheets have as much as the flat wedge has with the study's own spacer [m].

    By measure: "i_chord" (second moment about the chord line) and "torsion_constant", the two sheets alone; sheets,
    bond line and setback stay. Of several spacers the smallest; nan where none up to the greatest is enough, or the
    wedge cannot touch its rod. Two passes over arrays of spacers, a power law between neighbours: within 1e-4 of
    `study.wedge_comparison.overtaking`, which is exact and slow (tested). In the limit of thin sheets and small
    openings 1.19 and 1.33 times the study's spacer.
    """
    design, target = study.design, study.flat
    coarse = _spacers(design, study.bend)
    sections = _bent(design, coarse)
    brackets = np.array([_bracket(coarse, getattr(sections, m) / getattr(target, m)) for m in LEVELLED])
    fine = np.linspace(brackets[:, 0], brackets[:, 1], _POINTS, axis=-1)
    sections = _bent(design, fine)
    return {m: _inverse(getattr(sections, m)[i] / getattr(target, m), fine[i]) for i, m in enumerate(LEVELLED)}


def _bracket(spacers, ratio):
    above = np.flatnonzero(ratio >= 1.0)
    if above.size == 0 or above[0] == 0:
        return np.nan, np.nan
    return spacers[above[0] - 1], spacers[above[0]]


def _inverse(ratio, spacers):
    """Where the ratio is one; a power law between two spacers, which stiffness nearly is."""
    good = np.isfinite(ratio)
    if not good.any() or not ratio[good].min() < 1.0 <= ratio[good].max():
        return float("nan")
    return float(np.exp(np.interp(0.0, np.log(ratio[good]), np.log(spacers[good]))))


def _bent(design, spacer):
    return bent_pair(solve_bend(design.free_length, design.sheet_thickness, spacer, design.bond_line, design.setback))


def _spacers(design, bend):
    """From hardly more than the bond line up to the greatest spacer."""
    low = max(1.001 * design.bond_line, 1e-3 * design.spacer_diameter)
    return np.geomspace(low, bend.greatest_spacer * (1.0 - _EDGE), _POINTS)


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
    """Both sides as plain text, one line each."""
    lines = [f"{'':<68}{'bent':>15}{'flat':>15}{'bent/flat':>11}"]
    lines += [
        f"{r.words:<68}{show(r.bent, r.unit):>15}{show(r.flat, r.unit):>15}{format_number(r.ratio, 3):>11}  {r.side}"
        for r in both_sides(study)
    ]
    return "\n".join(lines)


@dataclass(frozen=True)
class Full:
    """Every measure under every fair condition: `conditions` and, for each, why there is no such wedge ("" where there
    is one); `rows` of (words, ratios bent over flat in the order of the conditions); `sentences` on what the clamped
    land and the curvature each do, and what would draw level."""

    conditions: tuple
    why: tuple
    rows: tuple
    sentences: tuple


def full_comparison(study: Study) -> Full:
    """The whole comparison, one framed sheet included; takes a second or two."""
    found = compare_with_wedge(study.design)
    rows = tuple(
        (measure.words, tuple(c.ratios.get(key, float("nan")) for c in found)) for key, measure in MEASURES.items()
    )
    same_spacer = found[0].ratios
    sentences = (*share_words(study.design), *change_words(study.design, same_spacer)) if same_spacer else ()
    return Full(tuple(c.condition for c in found), tuple(c.why for c in found), rows, sentences)


def full_text(full: Full) -> str:
    """The whole comparison as plain text, bent over flat; then its sentences."""
    heads = [c.removeprefix("the ") for c in full.conditions]
    lines = [f"{'':<77}" + "".join(f"{head:>21}" for head in heads)]
    lines += [f"{words:<77}" + "".join(f"{format_number(r, 3):>21}" for r in ratios) for words, ratios in full.rows]
    return "\n".join([*lines, "", *full.sentences, *(why for why in full.why if why)])


# ----- The fair comparison of one design as a table: every measure under every condition, and what would draw level.
#
# All ratios are bent over flat wedge, so above one the bent pair has more of it. Made from `fair`; nothing is computed
# here that is not there.


WAYS = ("spacer_diameter", "sheet_thickness")


@dataclass(frozen=True)
class Level:
    """Where the bent pair draws level with the present flat wedge in one measure by changing one length, all else
    kept: `value` [m], nan where nothing allowed is enough; `failing`, names of the forming checks that fail there."""

    value: float
    failing: tuple = ()


@dataclass(frozen=True)
class FairTable:
    """`comparisons`, one for each of `wedge_comparison.CONDITIONS`; `levels`, {measure key: {field: Level}} for the
    measures in which the wedge with the same spacer is ahead; fields are `WAYS`. `enclosed`: area between the inner
    faces, bent over flat, for each condition; it tells of the twisting stiffness and of the resin that goes in."""

    comparisons: tuple
    levels: dict
    enclosed: tuple

    def ratios(self, key: str) -> tuple:
        """Bent over flat of one measure, in the order of the conditions; nan where there is no such wedge."""
        return tuple(comparison.ratios.get(key, float("nan")) for comparison in self.comparisons)


@lru_cache(maxsize=16)
def fair_table(design: Design) -> FairTable:
    """The table of one design: one to three seconds, then kept. InfeasibleBend where it cannot be bent.

    Drawing level is worked out only where the wedge is ahead; a measure of one framed sheet takes most of the time.
    """
    comparisons = compare_with_wedge(design)
    behind = [key for key, ratio in comparisons[0].ratios.items() if side(ratio) == "softer"]
    levels = {key: {field: _level(design, key, field) for field in WAYS} for key in behind}
    area = bent_section(design).enclosed_area
    flat = (np.nan if c.wedge is None else flat_wedge_section(c.wedge).enclosed_area for c in comparisons)
    return FairTable(comparisons, levels, tuple(float(area / value) for value in flat))


def _level(design, key, field):
    value = overtaking(design, key, field)
    return Level(value, failing_with(design, field, value) if np.isfinite(value) else ())


# ----- The section of the design note and the CSV file made from that table.


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
    found = study.quantities
    values = (_shown(name, found[name]) for name in ("enclosed_area", "wedge_enclosed_area"))
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
