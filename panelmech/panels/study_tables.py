"""What a panel says, as HTML text: verdict line, table of checks, numbers, notes, sources, messages.

Pure functions from a study to text. Every number comes formatted from `units` and `checks`, every colour and mark from
`look`; nothing is computed here. The text is plain enough to be stored in a notebook and read without a kernel.
"""

from __future__ import annotations

import math
import re
from html import escape, unescape

from ..draw.look import VERDICT_MARKS
from ..mechanics.section import TORSION_WORDS
from ..report.wedge_rows import Full, both_sides, level_words
from ..study.quantities import QUANTITIES
from ..study.study import Study
from ..study.verdicts import Check
from ..units import format_number, show
from .style import STYLE as STYLE

NUMBER_HEADS = ("Value", "Pinned", "Change", "Limit", "Reserve", "Bent", "Flat", "Bent over flat")
BASIS_WORDS = {"user": "as entered"}
SHAPE = (
    "chord",
    "outer_thickness",
    "thickness_ratio",
    "mouth",
    "developed_length",
    "contact_angle",
    "contact_arclength",
    "overhang",
    "spacer_position",
    "greatest_spacer",
    "nose_step",
)
FORMING = (
    "bending_modulus",
    "land_stress",
    "land_radius",
    "radius_ratio",
    "land_moment",
    "contact_force",
    "contact_force_total",
    "push_out_force",
    "push_out_total",
    "strain_energy_total",
    "springback",
)
SECTION = (
    "area",
    "centroid_x",
    "i_chord",
    "i_normal",
    "torsion_constant",
    "enclosed_area",
    "void_area",
    "front_area",
    "sheet_mass",
)
TOO_SMALL_TO_TELL = 5e-7  # relative; smaller changes are rounding of the last digits


def verdict_line(study: Study, waiting: bool = False) -> str:
    """The verdict: mark, word and the governing check in one sentence; `waiting` says that checks are still to come."""
    word = study.verdict
    lead = f"{word.capitalize()} so far" if waiting else word.capitalize()
    return (
        f'<div class="pm-band pm-is-{word}" role="status"><b>{_mark(word)} {lead}.</b> {escape(study.headline())}</div>'
    )


def alert(words: str, lead: str = "Not possible") -> str:
    """What is wrong and what to change; read out at once by a screen reader."""
    return (
        f'<div class="pm-band pm-is-fails" role="alert"><b>{_mark("fails")} {escape(lead)}.</b> {escape(words)}</div>'
    )


def news(words: str) -> str:
    """What has been done; `words` may hold HTML (links), so its parts must be escaped already."""
    return f'<div class="pm-band pm-is-note" role="status">{words}</div>' if words else ""


def checks_table(study: Study, pinned: Study | None = None, waiting=()) -> str:
    """Table of checks; with a pinned study its values and the change stand beside. `waiting`: checks of an earlier
    setting that are still to be worked out for this one, shown greyed."""
    heads = ["Check", "Value", *(["Pinned", "Change"] if pinned else []), "Limit", "Reserve", "Verdict"]
    heads += [] if pinned else ["Basis"]
    rows = [_check_row(c, pinned) for c in study.checks if c.kind == "limit"]
    rows += [_check_row(c, pinned, "pm-old") for c in waiting]
    rows += [_check_row(c, pinned) for c in study.checks if c.kind not in ("limit", "comparison")]
    against = [c for c in study.checks if c.kind == "comparison"]
    if against:
        rows.append(
            f'<tr><th class="pm-group" scope="rowgroup" colspan="{len(heads)}">Against the flat wedge: '
            "bent over flat, the same sheets and spacer</th></tr>"
        )
        rows += [_check_row(c, pinned) for c in against]
    return _table(heads, rows, "Checks")


def _check_row(check: Check, pinned, kind=""):
    advice = "" if kind else f'<div class="pm-advice">{escape(check.advice)}</div>' if check.advice else ""
    cells = [_number("…" if kind else check.value_text())]
    if pinned:
        other = pinned.check(check.key)
        change = "…" if kind else change_text(check.value, other.value, check.unit)
        cells += [_number(other.value_text()), _number(change)]
    limit = check.limit_text()
    need = f"{check.need} " if limit != "–" and check.need != "at most" else ""
    cells += [_number(need + limit)]
    cells += (
        [_number("…"), "<td>…</td>"] if kind else [_number(check.reserve_text()), f"<td>{_tag(check.verdict)}</td>"]
    )
    if not pinned:
        cells.append(f"<td>{escape(BASIS_WORDS.get(check.basis, check.basis))}</td>")
    return (
        f'<tr class="{kind}" title="{escape(check.basis)}: {escape(check.source)}"><th scope="row">{escape(check.name)}'
        f"{advice}</th>{''.join(cells)}</tr>"
    )


def numbers_table(study: Study, names, pinned: Study | None = None, title: str = "") -> str:
    """Quantities by name with their values; with a pinned study its values and the change."""
    heads = [title, "Value", *(["Pinned", "Change"] if pinned else [])]
    rows = []
    for name in names:
        quantity, value = QUANTITIES[name], study.quantities[name]
        cells = [_number(show(value, quantity.unit, quantity.digits))]
        if pinned:
            other = pinned.quantities[name]
            cells += [
                _number(show(other, quantity.unit, quantity.digits)),
                _number(change_text(value, other, quantity.unit)),
            ]
        rows.append(f'<tr><th scope="row">{escape(_capital(quantity.label))}</th>{"".join(cells)}</tr>')
    return _table(heads, rows, title)


def numbers(study: Study, pinned: Study | None = None, groups=(("Shape", SHAPE), ("Forming", FORMING))) -> str:
    """Tables of quantities side by side."""
    tables = "".join(numbers_table(study, names, pinned, title) for title, names in groups)
    return f'<div class="pm-side">{tables}</div><p class="pm-quiet">Modulus: {escape(study.modulus_words)}.</p>'


def wedge_report(study: Study, level: dict | None) -> str:
    """Both sides of the belief, in the study's own numbers, and the spacers at which the bent pair draws level (None:
    still to come)."""
    groups = (
        ("more", "stiffer", "Where the bent pair is the stiffer one"),
        ("less", "softer", "Where the flat wedge is the stiffer one"),
        ("same", "the same", "No difference"),
        ("unknown", "unknown", "Not known"),
    )
    rows, lines = both_sides(study), []
    for mark, side, title in groups:
        chosen = [row for row in rows if row.side == side]
        if chosen:
            lines.append(f'<tr><th class="pm-group" scope="rowgroup" colspan="4">{_mark(mark)} {title}</th></tr>')
            lines += [_side_row(row) for row in chosen]
    level_lines = "".join(f"<li>{escape(words)}</li>" for words in (level_words(study, level) if level else ("…",) * 2))
    table = _table(["Both sides of the belief", "Bent", "Flat", "Bent over flat"], lines, "Both sides")
    about = f'<p class="pm-quiet">GJ of the whole section is {escape(TORSION_WORDS)}.</p>'
    return f'{table}{about}<p class="pm-heading">To draw level</p><ul class="pm-plain">{level_lines}</ul>'


def _side_row(row):
    return (
        f'<tr><th scope="row">{escape(row.words)}</th>{_number(show(row.bent, row.unit))}'
        f"{_number(show(row.flat, row.unit))}{_number(format_number(row.ratio, 3))}</tr>"
    )


def full_report(full: Full) -> str:
    """Every measure under every fair condition, and what would draw level."""
    heads = ["Bent over flat wedge of", *(c.removeprefix("the ") for c in full.conditions)]
    rows = [
        f'<tr><th scope="row">{escape(words[:1].upper() + words[1:])}</th>'
        f"{''.join(_number(format_number(r, 3)) for r in ratios)}</tr>"
        for words, ratios in full.rows
    ]
    lines = "".join(f"<li>{escape(words)}</li>" for words in (*full.sentences, *(w for w in full.why if w)))
    table = _table(heads, rows, "Every measure and condition", numbers_from=1)
    return f'{table}<ul class="pm-plain">{lines}</ul>'


def change_text(value: float, before: float, unit: str) -> str:
    """Change from `before` to `value`: in the unit shown, then in per cent, or as a multiple where large."""
    if math.isnan(value) or math.isnan(before):
        return "–"
    if abs(value - before) <= TOO_SMALL_TO_TELL * max(abs(value), abs(before)):
        return "none"
    sign = "+" if value > before else ""
    return f"{sign}{show(value - before, unit, 3)}{_share(value, before, sign)}"


def _share(value, before, sign):
    if before == 0.0:
        return ""
    if before > 0.0 and value >= 10.0 * before:
        return f" (× {format_number(value / before, 3)})"
    return f" ({sign}{format_number(100 * (value - before) / abs(before), 2)} %)"


def notes_list(study: Study) -> str:
    """Doubtful inputs, one line each; empty where there are none."""
    if not study.notes:
        return ""
    lines = "".join(f"<li>{_mark('note')} {escape(text)}</li>" for text in study.notes)
    return f'<ul class="pm-notes-list">{lines}</ul>'


def sources_details(study: Study, waiting=()) -> str:
    """Where each limit comes from, folded."""
    rows = [
        f'<tr><th scope="row">{escape(c.name)}</th><td>{escape(BASIS_WORDS.get(c.basis, c.basis))}</td>'
        f"<td>{escape(c.source)}</td></tr>"
        for c in sorted((*study.checks, *waiting), key=lambda c: c.name)
    ]
    table = _table(["Check", "Basis", "Source of limit or formula"], rows, "Sources", "pm-words")
    return f"<details><summary>Where the limits come from</summary>{table}</details>"


def stored(*parts: str) -> str:
    """Some of these texts for a notebook's stored output; the style sheet must stand above, once."""
    return f'<div class="pm-panel pm-stored">{"".join(parts)}</div>'


def plain(html: str) -> str:
    """The words of one of these texts, without tags."""
    return " ".join(unescape(re.sub(r"<[^>]*>", "", html)).split())


def folded(words: str, title: str = "The same in numbers, as compared by the tests") -> str:
    """Plain text under a line that unfolds it, for what most readers need not see."""
    return f"<details class=pm-folded><summary>{escape(title)}</summary><pre>{escape(words)}</pre></details>"


def checks_text(study: Study) -> str:
    """Verdict and checks as plain text, one line each."""
    lines = [
        f"{c.name:<54}{c.value_text():>12}{c.limit_text():>12}{c.reserve_text():>10}  {c.verdict}" for c in study.checks
    ]
    return "\n".join([study.headline(), f"{'':<54}{'value':>12}{'limit':>12}{'reserve':>10}", *lines])


def _capital(words):
    return words[:1].upper() + words[1:]


def _mark(word):
    return f'<span class="pm-mark" aria-hidden="true">{VERDICT_MARKS[word]}</span>'


def _tag(word):
    return f'<span class="pm-tag pm-is-{word}">{_mark(word)} {word}</span>'


def _number(text):
    return f'<td class="pm-number">{escape(text)}</td>'


def _table(heads, rows, title, kind="", numbers_from=None):
    right = NUMBER_HEADS if numbers_from is None else heads[numbers_from:]
    head = "".join(
        f'<th scope="col"{" class=pm-number" if name in right else ""}>{escape(name)}</th>' for name in heads
    )
    return (
        f'<table class="pm-table {kind}" aria-label="{escape(title)}"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )
