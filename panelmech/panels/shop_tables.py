"""What the shop panel says, as HTML text: the pack in one line, tables of parts, pours, steps and checks, cautions.

Pure functions from a pack to text; every number comes from `shop.pack` and `report.shop_rows`.
"""

from __future__ import annotations

from html import escape
from math import isnan

from ..report.blocks import Column, Table
from ..report.html_page import panel_table
from ..report.shop_rows import (
    WEIGH_HEADS,
    cautions,
    lift_words,
    lines_of,
    needs_rows,
    step_rows,
    system_rows,
    triangle_words,
    weigh_rows,
)
from ..shop.along_span import along_span
from ..shop.pack import ShopPack, marks, mass_rows, parts, stock_words, tenth
from ..shop.templates import Template
from ..shop.working_day import shop_time
from ..study.verdicts import worst_verdict
from ..units import capital, show, show_fixed, unit_words
from .study_tables import band, bullets, quiet, table

WEIGH_LOOKS = ("label", "text", *("number",) * 5, "text", "text")
HELD = "\u00a0"  # a blank at which no line breaks
APART = '<div style="margin-top:14px">'


def pack_line(pack: ShopPack) -> str:
    """The whole pack in one line, with the worst verdict of its checks and what warns."""
    word = worst_verdict(pack.checks)
    failing = [c for c in pack.checks if c.verdict == word and word in ("fails", "unknown")]
    said = "".join(
        f" {c.name}: {c.value_text()}, {'at most' if c.need == 'at most' else 'at least'} {c.limit_text()}. "
        f"{capital(c.advice)}."
        for c in failing
    )
    warned = len(pack.schedule.warnings)
    said += f" The schedule warns {warned} time{'s' * (warned > 1)}." if warned else ""
    return band(word, f"The pours: {word}", f"{pack_words(pack)}{said}")


def pack_words(pack: ShopPack) -> str:
    """The whole pack in a sentence or two."""
    mix = sum(line.resin + line.hardener for line in pack.pours)
    lifts = ", ".join(f"{name} in {_count(pack, i)}" for i, name in enumerate(pack.heat.names))
    by = ", by illustrative cure data" if "ILLUSTRATIVE" in pack.heat.label else ""
    return (
        f"{len(pack.pours)} pours of {show(mix, 'g', 3)} in all: {lifts}; hottest "
        f"{show(float(pack.heat.heat.peak.max()), 'degC', 3)}{by}. Done by the "
        f"{shop_time(pack.schedule.end, pack.schedule.plan.start)}."
    )


def _count(pack, number):
    lifts = max(line.lifts for line in lines_of(pack, pack.heat.names[number]))
    return f"{lifts} lift{'s' * (lifts > 1)} of {tenth(pack.heat.heat.depth[number])}"


def cut_tables(pack: ShopPack) -> str:
    """Parts, lines to mark, what it weighs."""
    rows = [(p.name, str(p.count), p.material, p.size, p.grain, p.face, show(p.mass, "g", 3)) for p in parts(pack)]
    ends = "" if along_span(pack.part).one_section else ", root to tip"
    size = f"Cut size, trim included: chord × span × thick{ends}"
    heads = ("Part", "No.", "Material", size, "Grain", "Face", "Mass")
    listed = table(heads, rows, "Parts to cut", numbers_from=6)
    marked = table((f"Mark, outer face up{ends}", "from finished edge", "from cut edge"), marks(pack), "Lines to mark")
    mass = [(capital(words), show(m, "g", 4)) for words, m in mass_rows(pack)]
    return (
        f'{listed}{quiet(stock_words(pack))}{APART}</div><div class="pm-side">{marked}'
        f"{table(('As built, no waste', 'Mass'), mass, 'What it weighs')}</div>{capitals(pack.notes)}"
    )


def pour_tables(pack: ShopPack) -> str:
    """What to weigh, what to have at hand, the systems."""
    columns = tuple(Column(head, look=look) for head, look in zip(WEIGH_HEADS, WEIGH_LOOKS, strict=True))
    weigh = panel_table(Table("To weigh", columns, weigh_rows(pack)))
    needs = table(("To have at hand", "Resin", "Hardener", "Together"), needs_rows(pack), "Resin at hand")
    systems = table(("At shop temperature", "Bond", "Potting"), system_rows(pack), "Resin systems", numbers_from=9)
    notes = dict.fromkeys(note for line in pack.pours for note in line.batch.notes)
    below = f"{quiet(triangle_words(pack))}{capitals(notes)}{label(pack)}"
    return f"{weigh}{APART}{needs}</div>{APART}{systems}</div>{below}"


def heat_words(pack: ShopPack) -> str:
    """How deep to pour, when to go on, and what that rests on."""
    return f"{capitals(lift_words(pack))}{label(pack)}"


def label(pack: ShopPack) -> str:
    """What all heat and times between lifts rest on."""
    return f'<p class="pm-quiet"><b>Cure data.</b> {escape(pack.heat.label)}.</p>'


def schedule_table(pack: ShopPack) -> str:
    """Every step, with the notes of the plan."""
    rows = [(when.replace(" ", HELD), name, how) for when, name, how in step_rows(pack)]
    steps = table(("When", "Step", "How, by when to start, warnings"), rows, "Schedule", numbers_from=9)
    return f"{steps}{capitals(pack.schedule.notes)}"


def template_table(template: Template) -> str:
    """The offset table of a template, with its notes."""
    heads = [f"{capital(name)}, {unit_words('mm')}" for name in template.table.columns]
    rows = [tuple("–" if isnan(v) else show_fixed(v, 2, False) for v in row) for row in template.table.values]
    words = (f"Make {template.count}. {capital(template.line)}.", *(f"{capital(note)}." for note in template.notes))
    return f"{capitals(words)}{table(heads, rows, 'Offsets')}"


def capitals(lines) -> str:
    """A plain list of lines, each with a capital."""
    return bullets(map(capital, lines))


def caution_list(pack: ShopPack, sheet: str) -> str:
    """The cautions that belong to one sheet of the pack."""
    items = "".join(f"<li><b>{escape(bold)}</b> {escape(text)}</li>" for bold, text in cautions(pack, sheet))
    return f'<p class="pm-heading">Cautions</p><ul class="pm-plain">{items}</ul>'
