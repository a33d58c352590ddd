"""Checks as cells of tables and of CSV files, worded alike in the design note, the load record and the shop pack.

A column is one line here: what stands in it for a check. No mechanics; every verdict is read from the check.
"""

from __future__ import annotations

from operator import attrgetter

from ..draw.look import DEFAULT_MARK
from ..units import capital, from_si
from .blocks import Table, Verdict
from .folder import Field, csv_number

BASIS_WORDS = {"user": "own value"}
HELD = "\u00a0"  # a blank at which no line breaks


def name_words(check, governing=None) -> str:
    """Name of a check, and whether it is the governing one."""
    return f"{check.name} (governs)" if governing is not None and check.key == governing.key else check.name


def limit_words(check, blank: str = HELD) -> str:
    """The limit with its sign, and a mark where it is a default; "no basis" where it is not known, a dash where there
    is none."""
    if check.kind == "note":
        return "–"
    if check.limit != check.limit:
        return "no basis"
    return f"{'≤' if check.need == 'at most' else '≥'}{blank}{marked_limit(check, blank)}"


def marked_limit(check, blank: str = HELD) -> str:
    """The limit, with a mark where it is a default that nobody has made his own."""
    return f"{check.limit_text()}{blank}{DEFAULT_MARK}" if check.default else check.limit_text()


def default_words(checks) -> str:
    """What the mark means, where one of the checks bears it."""
    marked = any(check.default for check in checks if not isinstance(check, str))
    return f"{DEFAULT_MARK} A default, not yet yours." if marked else ""


def source_words(check) -> str:
    """Basis and source of the limit, and what to do."""
    words = f"{capital(BASIS_WORDS.get(check.basis, check.basis))}: {check.source}."
    return f"{words} {capital(check.advice)}." if check.advice else words


_CELLS = {  # by the head of a column: its cell, from a check and the governing one
    "Check": name_words,
    "Value": lambda check, governing: check.value_text(),
    "Limit": lambda check, governing: limit_words(check),
    "Reserve": lambda check, governing: check.reserve_text(),
    "Verdict": lambda check, governing: Verdict(check.verdict),
    "Case and place": lambda check, governing: check.where_text(),
    "Basis and source": lambda check, governing: source_words(check),
    "Basis and source of the limit": lambda check, governing: source_words(check),
    "Basis of the limit": lambda check, governing: "as entered" if check.basis == "user" else check.basis,
}


def checks_table(caption: str, columns: tuple, checks, governing=None, own=None) -> Table:
    """A table of checks: a row for each, a text among them stands over the rows after it.

    The heads of the columns say what stands in them (`_CELLS`); `own`: {head: function of a check and the governing
    one} for a column that is worded otherwise.
    """
    cells = [{**_CELLS, **(own or {})}[column.head] for column in columns]
    return Table(
        caption,
        columns,
        tuple(c if isinstance(c, str) else tuple(cell(c, governing) for cell in cells) for c in checks),
    )


def check_fields(governing, *more: Field) -> tuple:
    """Columns of a CSV file of checks: numbers in SI, texts as in the note; `more` stand in front of the basis."""
    return (
        *(Field(name, attrgetter(name)) for name in ("key", "name", "kind")),
        Field("value_si", attrgetter("value"), "", 12),
        Field("limit_si", attrgetter("limit"), "", 12),
        Field("reserve", attrgetter("reserve"), "", 12),
        Field("verdict", attrgetter("verdict")),
        Field("unit_shown", attrgetter("unit")),
        Field("shown", lambda c: c.value_text() if c.beyond else csv_number(from_si(c.value, c.unit), 3)),
        Field("governs", lambda check: "yes" if governing is not None and check.key == governing.key else ""),
        *more,
        *(Field(name, attrgetter(name)) for name in ("basis", "source", "advice")),
    )
