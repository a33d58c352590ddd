"""Tables as CSV text for the files beside a note: numbers by digits, no cell that a spreadsheet takes for a formula."""

from __future__ import annotations

import csv
import io
import math
import re


def csv_number(value, digits):
    """A number as a cell: empty where it is not known."""
    return f"{value:.{digits}g}" if math.isfinite(value) else "" if math.isnan(value) else str(value)


def csv_text(rows):
    """Rows of texts as CSV."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([_plain_cell(cell) for cell in row] for row in rows)
    return text.getvalue()


def _plain_cell(text):
    """A text that a spreadsheet would take for a formula gets an apostrophe in front; numbers stay numbers."""
    number = re.fullmatch(r"[-+]?[0-9.]+(e[-+]?[0-9]+)?", text)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") and not number else text
