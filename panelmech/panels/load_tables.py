"""What the load panel says, as HTML text: checks with case and place, cases, rod and walls, mass and float, fittings.

Pure functions from records to text; numbers come formatted from `units`, `checks` and `report.blade_rows`.
"""

from __future__ import annotations

from html import escape

from ..draw.look import VERDICT_MARKS
from ..report import blade_rows as blade_words
from ..report import load_rows as load_words
from .study_tables import BASIS_WORDS
from .trade_off_tables import table


def tag(word: str) -> str:
    """A verdict with its mark."""
    return (
        f'<span class="pm-tag pm-is-{word}"><span class="pm-mark" aria-hidden="true">{VERDICT_MARKS[word]}</span> '
        f"{word}</span>"
    )


def checks_table(checks, governing=None, waiting=()) -> str:
    """Table of load checks with case and place; `waiting`: checks of an earlier setting still to be worked out."""
    heads = ("Check, its case and place", "Value", "Limit", "Reserve", "Verdict", "Basis")
    numbers = heads[1:4]
    head = "".join(f'<th scope="col"{" class=pm-number" if h in numbers else ""}>{h}</th>' for h in heads)
    old = {check.key for check in waiting}
    limits = [c for c in checks if c.kind == "limit"]
    rows = [_check_row(c, governing) for c in limits] + [_waiting_row(c) for c in waiting]
    rows += [_check_row(c, None) for c in checks if c.kind != "limit" and c.key not in old]
    return (
        f'<table class="pm-table" aria-label="Checks under load"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def _check_row(c, governing):
    below = "".join(f'<div class="pm-advice">{escape(words)}</div>' for words in (c.where_text(), c.advice) if words)
    name = f"{c.name} (governs)" if governing is not None and c.key == governing.key else c.name
    numbers = "".join(
        f'<td class="pm-number">{escape(t)}</td>' for t in (c.value_text(), c.limit_text(), c.reserve_text())
    )
    return (
        f'<tr title="{escape(c.basis)}: {escape(c.source)}"><th scope="row">{escape(name)}{below}</th>{numbers}'
        f"<td>{tag(c.verdict)}</td><td>{escape(BASIS_WORDS.get(c.basis, c.basis))}</td></tr>"
    )


def _waiting_row(c):
    return (
        f'<tr class="pm-old"><th scope="row">{escape(c.name)}</th>{"<td class=pm-number>…</td>" * 3}<td>…</td>'
        f"<td>{escape(BASIS_WORDS.get(c.basis, c.basis))}</td></tr>"
    )


def cases_table(study) -> str:
    """What each case comes to."""
    return table(load_words.CASE_HEADS, load_words.case_rows(study), "Load cases")


def paragraphs(*sentences) -> str:
    """Each on a line of its own."""
    return "".join(f"<p>{escape(words)}</p>" for words in sentences if words)


def bullets(items) -> str:
    """A plain list."""
    return f'<ul class="pm-plain">{"".join(f"<li>{escape(words)}</li>" for words in items)}</ul>' if items else ""


def rows_table(found, title: str) -> str:
    """A table of `report.blade_rows`: (heads, rows)."""
    heads, rows = found
    return table(heads, rows, title)


def rod_report(study, share, walls) -> str:
    """The rod in the blade, alone under the present loads, and other walls of it."""
    listed = "" if walls is None else rows_table(blade_words.wall_rows(walls), "Other walls of the rod")
    return paragraphs(blade_words.rod_share_words(share), load_words.rod_stress_words(study)) + listed


def float_report(found, trims) -> str:
    """Mass and float, and what would trim it."""
    return table(("Mass and float", ""), blade_words.float_rows(found), "Mass and float") + paragraphs(*trims)
