"""What a panel says, as HTML text: verdict line, table of checks, numbers, notes, sources, messages.

Pure functions from a study to text. Every number comes formatted from `units` and `checks`, every colour and mark from
`look`; nothing is computed here. The text is plain enough to be stored in a notebook and read without a kernel.
"""

from __future__ import annotations

import math
import re
from html import escape, unescape

from ..mechanics.section import TORSION_WORDS
from ..report.blocks import Column, Group, Row, Table, Verdict, plain_columns
from ..report.check_rows import default_words, marked_limit
from ..report.html_page import panel_mark, panel_table
from ..report.pressing_rows import powers_words, pressing_table, pressing_words
from ..report.wedge_rows import Full, both_sides, level_words
from ..study.bent_and_flat import SheetCurves
from ..study.checks import meaning
from ..study.quantities import QUANTITIES
from ..study.study import Study
from ..study.verdicts import Check, said
from ..units import capital, format_number, show

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
TOO_SMALL_TO_TELL = 5e-7  # relative; smaller changes are rounding of the last digits


def verdict_line(study: Study, waiting: bool = False, about: str = "The design") -> str:
    """The verdict on a part of the job, `about` which it is: mark, word and the governing check in one sentence;
    `waiting` says that checks are still to come."""
    word = study.verdict
    return band(word, f"{about}: {word}{' so far' if waiting else ''}", study.headline())


def job_verdict(verdict) -> str:
    """The verdict on the whole job, what governs and what is not counted."""
    return band(verdict.word, f"The job: {said(verdict.word)}", " ".join((verdict.headline, *_not_counted(verdict))))


def _not_counted(verdict):
    if verdict.not_there:
        yield f"Not counted: {', '.join(verdict.not_there)}."
    if verdict.apart:
        yield f"Checked and weighed are not the same: {verdict.apart}."


def meaning_words(check: Check | None, means=meaning) -> str:
    """What the governing check means, in a sentence or two; `means(key)` says it."""
    if check is None:
        return ""
    return f'<p class="pm-quiet"><b>{escape(capital(check.name))}:</b> {escape(means(check.key))}</p>'


def alert(words: str, lead: str = "Not possible") -> str:
    """What is wrong and what to change; read out at once by a screen reader."""
    return band("fails", lead, words, "alert")


def news(words: str) -> str:
    """What has been done; `words` may hold HTML (links), so its parts must be escaped already."""
    return f'<div class="pm-band pm-is-note" role="status">{words}</div>' if words else ""


def checks_table(study: Study, pinned: Study | None = None, waiting=()) -> str:
    """Table of checks; with a pinned study its values and the change stand beside. `waiting`: checks of an earlier
    setting that are still to be worked out for this one, shown greyed."""
    heads = ["Check", "Value", *(["Pinned", "Change"] if pinned else []), "Limit", "Reserve", "Verdict"]
    heads += [] if pinned else ["Basis"]
    rows = [_check_row(c, pinned) for c in study.checks if c.kind == "limit"]
    rows += [_check_row(c, pinned, waiting=True) for c in waiting]
    rows += [_check_row(c, pinned) for c in study.checks if c.kind not in ("limit", "comparison")]
    against = [_check_row(c, pinned) for c in study.checks if c.kind == "comparison"]
    rows += ["Against the flat wedge: bent over flat, the same sheets and spacer", *against] if against else []
    told = default_words((*study.checks, *waiting))
    return _table(heads, rows, "Checks") + (quiet(told) if told else "")


def _check_row(check: Check, pinned, waiting=False):
    limit = marked_limit(check)
    need = f"{check.need} " if limit != "–" and check.need != "at most" else ""
    value, reserve = ("…", "…") if waiting else (check.value_text(), check.reserve_text())
    before = ()
    if pinned:
        other = pinned.check(check.key)
        before = other.value_text(), "…" if waiting else change_text(check.value, other.value, check.unit)
    verdict = "…" if waiting else Verdict(check.verdict)
    basis = () if pinned else (basis_words(check),)
    return Row(
        (check.name, value, *before, f"{need}{limit}", reserve, verdict, *basis),
        (("class", " ".join(_looks(check, waiting))), ("title", f"{check.basis}: {check.source}")),
        () if waiting else (check.advice,),
    )


def _looks(check, waiting):
    return [kind for kind, so in (("pm-old", waiting), ("pm-default", check.default)) if so]


def basis_words(check) -> str:
    """What the limit of a check rests on."""
    return BASIS_WORDS.get(check.basis, check.basis)


def numbers_table(study: Study, names, pinned: Study | None = None, title: str = "") -> str:
    """Quantities by name with their values; with a pinned study its values and the change."""
    heads = [title, "Value", *(["Pinned", "Change"] if pinned else [])]
    return _table(heads, [_number_row(study, pinned, name) for name in names], title)


def _number_row(study, pinned, name):
    quantity, value = QUANTITIES[name], study.quantities[name]
    cells = [capital(quantity.label), show(value, quantity.unit, quantity.digits)]
    if pinned:
        other = pinned.quantities[name]
        cells += [show(other, quantity.unit, quantity.digits), change_text(value, other, quantity.unit)]
    return cells


def numbers(study: Study, pinned: Study | None = None, groups=(("Shape", SHAPE), ("Forming", FORMING))) -> str:
    """Tables of quantities side by side."""
    tables = "".join(numbers_table(study, names, pinned, title) for title, names in groups)
    return f'<div class="pm-side">{tables}</div>{quiet(f"Modulus: {study.modulus_words}.")}'


def wedge_report(study: Study, level: dict | None) -> str:
    """Both sides of the belief, in the study's own numbers, and the spacers at which the bent pair draws level (None:
    still to come)."""
    groups = (
        ("more", "stiffer", "Stiffnesses of which the bent pair has more"),
        ("less", "softer", "Stiffnesses of which the flat wedge has more"),
        ("same", "the same", "No difference"),
        ("unknown", "unknown", "Not known"),
    )
    sides, rows = both_sides(study), []
    for mark, side, title in groups:
        of_side = [
            (row.words, show(row.bent, row.unit), show(row.flat, row.unit), format_number(row.ratio, 3))
            for row in sides
            if row.side == side
        ]
        rows += [Group(title, mark), *of_side] if of_side else []
    table = _table(["Both sides of the belief", "Bent", "Flat", "Bent over flat"], rows, "Both sides")
    about = quiet(f"GJ of the whole section is {TORSION_WORDS}.")
    to_level = bullets(level_words(study, level) if level else ("…",) * 2)
    return f'{table}{about}<p class="pm-heading">To draw level</p>{to_level}'


def full_report(full: Full) -> str:
    """Every measure under every fair condition, and what would draw level."""
    heads = ["Bent over flat wedge of", *(c.removeprefix("the ") for c in full.conditions)]
    rows = [(capital(words), *(format_number(r, 3) for r in ratios)) for words, ratios in full.rows]
    table = _table(heads, rows, "Every measure and condition", number_heads=heads[1:])
    return table + bullets((*full.sentences, *(w for w in full.why if w)))


def pressing_report(curves: SheetCurves) -> str:
    """One framed sheet pressed, bent and flat: the table beside its curves, and what they say."""
    if not curves.sheets:
        return quiet(f"One framed sheet pressed: not reckoned, {curves.why}.")
    table = panel_table(pressing_table(curves), "pm-table")
    return table + bullets((*pressing_words(curves), powers_words(curves)))


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
    return notes(study.notes)


def sources_details(study: Study, waiting=()) -> str:
    """Where each limit comes from, folded."""
    checks = sorted((*study.checks, *waiting), key=lambda c: c.name)
    rows = [(c.name, basis_words(c), c.source) for c in checks]
    table = _table(["Check", "Basis", "Source of limit or formula"], rows, "Sources", "pm-words")
    return f"<details><summary>Where the limits come from</summary>{table}</details>"


def table(heads, rows, title: str, numbers_from: int = 1) -> str:
    """A plain table: the first column are row heads, from `numbers_from` on cells are numbers."""
    return panel_table(Table(title, plain_columns(heads, numbers_from), tuple(rows)))


def _table(heads, rows, title, kind="", number_heads=NUMBER_HEADS):
    looks = ("label", *("number" if head in number_heads else "text" for head in heads[1:]))
    columns = tuple(Column(head, look=look) for head, look in zip(heads, looks, strict=True))
    return panel_table(Table(title, columns, tuple(rows)), f"pm-table {kind}")


def band(word: str, lead: str, words: str, role: str = "") -> str:
    """A band in the colour of a verdict: its mark, a lead in bold, and words. Without a role: it is replaced at every
    move, and a panel has a place of its own for what is read out."""
    role = f' role="{role}"' if role else ""
    said = f"<b>{panel_mark(word)} {escape(lead)}.</b> {escape(words)}"
    return f'<div class="pm-band pm-is-{word}"{role}>{said}</div>'


def quiet(words: str) -> str:
    """A quiet paragraph."""
    return f'<p class="pm-quiet">{escape(words)}</p>'


def paragraphs(*sentences) -> str:
    """Each on a line of its own; empty ones are left out."""
    return "".join(f"<p>{escape(words)}</p>" for words in sentences if words)


def bullets(lines) -> str:
    """A plain list; empty for none."""
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f'<ul class="pm-plain">{items}</ul>' if items else ""


def notes(lines) -> str:
    """A list with the mark of a note; empty for none."""
    items = "".join(f"<li>{panel_mark('note')} {escape(line)}</li>" for line in lines)
    return f'<ul class="pm-notes-list">{items}</ul>' if items else ""


def stored(*parts: str) -> str:
    """Some of these texts for a notebook's stored output; the style sheet must stand above, once."""
    return f'<div class="pm-panel pm-stored">{"".join(parts)}</div>'


def plain(html: str) -> str:
    """The words of one of these texts, without tags."""
    return " ".join(unescape(re.sub(r"<[^>]*>", "", html)).split())


def folded(words: str, title: str = "The picture in words") -> str:
    """Plain text under a line that unfolds it, for what most readers need not see."""
    return f"<details class=pm-folded><summary>{escape(title)}</summary><pre>{escape(words)}</pre></details>"


def checks_text(study: Study) -> str:
    """Verdict and checks as plain text, one line each."""
    lines = [
        f"{c.name:<54}{c.value_text():>12}{c.limit_text():>12}{c.reserve_text():>10}  {c.verdict}" for c in study.checks
    ]
    return "\n".join([study.headline(), f"{'':<54}{'value':>12}{'limit':>12}{'reserve':>10}", *lines])
