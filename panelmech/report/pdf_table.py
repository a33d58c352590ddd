"""Tables on the sheets of the PDF: cells wrapped by measured width, rows kept whole, the head on each sheet."""

from __future__ import annotations

from ..draw import look
from .blocks import Column, Table, Verdict
from .pdf_sheet import leading, wrap

CELL, FINE = 7.2, 6.3  # points
GAP = 2.0  # mm between columns
PAD = 0.4  # mm above and below the text of a row
MOST_LINES = 60  # in one cell
SHORT = 60.0  # mm: a table up to this height is not split
_SIZES = {"small": FINE}


def shortened(lines: list, most: int) -> list:
    """At most so many lines, the last one ending with an ellipsis where some are left out (the HTML page has all)."""
    return lines if len(lines) <= most else [*lines[: most - 1], f"{lines[most - 1][:-1]}…"]


def _cells(columns, cells, width, head=False):
    """(lines, size) of every cell of a row."""
    if isinstance(cells, str):
        return [(shortened(wrap(cells, width, CELL, True), MOST_LINES), CELL)]
    out = []
    for i, (column, cell) in enumerate(zip(columns, cells, strict=True)):
        size = CELL if head else _SIZES.get(column.look, CELL)
        room = column.share * width - (GAP if i < len(columns) - 1 else 0.0)
        text = f"{look.VERDICT_MARKS[cell.word]} {cell.word}" if isinstance(cell, Verdict) else cell
        out.append(
            (shortened(wrap(text, room, size, column.look == "name" or isinstance(cell, Verdict)), MOST_LINES), size)
        )
    return out


def _row_height(cells, least=0.0):
    return max(max(len(lines) * leading(size) for lines, size in cells) + 2 * PAD, least)


def table_start(block: Table, width: float) -> float:
    """A short table stays in one piece; of a long one the head and two rows must find room."""
    if (whole := table_height(block, width)) <= SHORT:
        return whole
    head = _row_height(_cells(block.columns, [c.head for c in block.columns], width, True))
    return head + sum(_height(block, row, width) for row in block.rows[:2])


def table_height(block: Table, width: float) -> float:
    """Height of the whole table [mm]."""
    head = _row_height(_cells(block.columns, [c.head for c in block.columns], width, True))
    return head + sum(_height(block, row, width) for row in block.rows) + 2.0


def _height(block, row, width):
    """Height of one row; one to write in is as high as the table asks."""
    return _row_height(_cells(block.columns, row, width), 0.0 if isinstance(row, str) else block.row_height)


def draw_table(block: Table, sheets, x: float, width: float) -> None:
    """Draw a table at the present place of the sheets, with its head again on every further sheet."""
    _draw_head(block, sheets, x, width)
    for row, following in zip(block.rows, (*block.rows[1:], None), strict=True):
        cells = _cells(block.columns, row, width)
        before = len(sheets.figures)
        stays = _height(block, following, width) if isinstance(row, str) and following else 0.0
        sheets.room(_height(block, row, width) + stays)
        if len(sheets.figures) > before:
            _draw_head(block, sheets, x, width)
        _draw_row(block.columns, row, cells, sheets, x, width, _height(block, row, width))
    sheets.y += 2.0


def _draw_head(block, sheets, x, width):
    heads = [c.head for c in block.columns]
    cells = _cells(block.columns, heads, width, True)
    height = _row_height(cells)
    for (left, right, column), (lines, size) in zip(_places(block.columns, x, width), cells, strict=True):
        y = sheets.y + height - PAD - len(lines) * leading(size)
        number = column.look == "number"
        sheets.lines(
            right if number else left, y, lines, size, column.look == "name", look.QUIET, "right" if number else "left"
        )
    sheets.y += height
    sheets.line(x, sheets.y, x + width, sheets.y, look.QUIET, 0.7)


def _places(columns, x, width):
    """(left, right, column): where each column's text stands."""
    out = []
    for i, column in enumerate(columns):
        right = x + column.share * width
        out.append((x, right - (GAP if i < len(columns) - 1 else 0.0), column))
        x = right
    return out


def _draw_row(columns, row, cells, sheets, x, width, height):
    if isinstance(row, str):
        columns, row = (Column("", 1.0, "name"),), (row,)
    following = (*(column.look for column in columns[1:]), "")
    for (left, right, column), cell, (lines, size), after in zip(
        _places(columns, x, width), row, cells, following, strict=True
    ):
        number, verdict = column.look == "number", isinstance(cell, Verdict)
        colour = look.VERDICT_COLOURS[cell.word] if verdict else look.INK
        shift = 0.5 * (leading(CELL) - leading(size))
        sheets.lines(
            right if number else left,
            sheets.y + PAD + shift,
            lines,
            size,
            column.look == "name" or verdict,
            colour,
            "right" if number else "left",
        )
        if column.look == "blank":
            for edge in (left,) if after == "blank" else (left, right):  # one line between two boxes
                sheets.line(edge, sheets.y, edge, sheets.y + height, look.RULE)
    sheets.y += height
    sheets.line(x, sheets.y, x + width, sheets.y, look.RULE, 0.6)
