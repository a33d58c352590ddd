"""What the load panel says, as HTML text: checks with case and place, cases, rod and walls, mass and float, fittings.

Pure functions from records to text; numbers come formatted from `units`, `checks` and `report.blade_rows`.
"""

from __future__ import annotations

from dataclasses import replace

from ..report import blade_rows, load_rows
from ..report.blocks import Row, Table, Verdict, plain_columns
from ..report.check_rows import default_words, marked_limit
from ..report.html_page import panel_table
from .study_tables import basis_words, paragraphs, quiet, table
from .study_tables import bullets as bullets

HEADS = ("Check, its case and place", "Value", "Limit", "Reserve", "Verdict", "Basis")


def load_checks_table(checks, governing=None, waiting=()) -> str:
    """Table of load checks with case and place; `waiting`: checks of an earlier setting still to be worked out."""
    old = {check.key for check in waiting}
    limits = [c for c in checks if c.kind == "limit"]
    rows = [_check_row(c, governing) for c in limits]
    rows += [Row((c.name, *"…" * 4, basis_words(c)), (("class", "pm-old"),)) for c in waiting]
    rows += [_check_row(c, None) for c in checks if c.kind != "limit" and c.key not in old]
    columns = tuple(replace(c, look="text") if c.head in HEADS[4:] else c for c in plain_columns(HEADS))
    told = default_words((*checks, *waiting))
    made = panel_table(Table("Checks under load", columns, tuple(rows)))
    return made + (quiet(told) if told else "")


def _check_row(c, governing):
    name = f"{c.name} (governs)" if governing is not None and c.key == governing.key else c.name
    cells = name, c.value_text(), marked_limit(c), c.reserve_text(), Verdict(c.verdict), basis_words(c)
    look = (("class", "pm-default" if c.default else ""), ("title", f"{c.basis}: {c.source}"))
    return Row(cells, look, (c.where_text(), c.advice))


def cases_table(study) -> str:
    """What each case comes to."""
    return table(load_rows.CASE_HEADS, load_rows.case_rows(study), "Load cases")


def rows_table(heads_and_rows, title: str) -> str:
    """A table of `report.blade_rows`: (heads, rows)."""
    heads, rows = heads_and_rows
    return table(heads, rows, title)


def rod_report(study, share, walls) -> str:
    """The rod in the blade, alone under the present loads, and other walls of it."""
    listed = "" if walls is None else rows_table(blade_rows.wall_rows(walls), "Other walls of the rod")
    return paragraphs(blade_rows.rod_share_words(share), load_rows.rod_stress_words(study)) + listed


def float_report(floating, trims) -> str:
    """Mass and float, and what would trim it."""
    return table(("Mass and float", ""), blade_rows.float_rows(floating), "Mass and float") + paragraphs(*trims)
