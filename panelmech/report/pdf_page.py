"""The design note as a PDF to hand over: the same blocks as the HTML page, laid out on A4 sheets.

Each block has a measure (the height it needs) and a drawing; a block that does not fit goes on the next sheet, a long
table is split between rows with its head repeated, and a heading stays with what follows it.
"""

from __future__ import annotations

from functools import singledispatch

from ..draw import look
from .blocks import (
    Banner,
    Bullets,
    Heading,
    Pair,
    Paragraph,
    Picture,
    Signatures,
    Table,
    TitleBlock,
)
from .drawings import GUTTER
from .pdf_sheet import CELL, Sheets, draw_table, leading, shortened, table_height, table_start, word_width, wrap

TEXT, TINY = 7.8, 5.6  # points
DOCUMENT = "design note"


def pdf(
    title: str, foot: str, creator: str, blocks: tuple, pictures: dict, document: str = DOCUMENT, scale: float = 1.0
) -> bytes:
    """The whole note as PDF; see `lay_out`."""
    return lay_out(title, foot, blocks, pictures, document, scale).pdf(f"{title}: {document}", creator)


def lay_out(
    title: str, foot: str, blocks: tuple, pictures: dict, document: str = DOCUMENT, scale: float = 1.0
) -> Sheets:
    """All blocks on sheets.

    `pictures` holds (height [mm], placing function) by name; `foot` stands at the foot of each sheet; `document` says
    what kind of paper it is. `scale`: how many times larger than in the note everything is (`Sheets`).
    """
    sheets = Sheets(pictures, scale)
    sheets.room(1.0)
    for line in wrap(f"{title}: {document}", sheets.wide, 13.0, bold=True):
        sheets.room(leading(13.0))
        sheets.text(sheets.left, sheets.y, line, 13.0, bold=True)
        sheets.y += leading(13.0)
    sheets.y += 2.0
    for i, block in enumerate(blocks):
        sheets.room(_with_what_follows(blocks[i:], sheets))
        draw(block, sheets, sheets.left, sheets.wide)
    sheets.finish(foot)
    return sheets


def _with_what_follows(blocks, sheets):
    """Height a block needs to begin. A heading stays with a paragraph and with what begins after it."""
    height = needs(blocks[0], sheets)
    if isinstance(blocks[0], Heading):
        rest = blocks[1:]
        if isinstance(rest[0], Paragraph) and len(rest) > 1 and not isinstance(rest[1], Heading | Paragraph):
            height, rest = height + needs(rest[0], sheets), rest[1:]
        height += needs(rest[0], sheets)
    return min(height, sheets.bottom - sheets.top)


@singledispatch
def needs(block, sheets: Sheets) -> float:
    """Height [mm] that must be left on a sheet for this block to begin there."""
    return 0.0


@singledispatch
def draw(block, sheets: Sheets, x: float, width: float) -> None:
    """Draw a block at the present place, x mm from the left, and move the place below it."""
    raise TypeError(f"no drawing for a {type(block).__name__}")


# --- title block ----------------------------------------------------------------------------------------------------


def _field_lines(text, share, width):
    return shortened(wrap(text, share * width - 3.0, TEXT), 4)


def _title_heights(block, width):
    return [
        max(9.5, 4.2 + leading(TEXT) * max(len(_field_lines(text, share, width)) for _, text, share in row))
        for row in block.rows
    ]


@needs.register
def _(block: TitleBlock, sheets):
    return sum(_title_heights(block, sheets.wide)) + 4.0


@draw.register
def _(block: TitleBlock, sheets, x, width):
    top = sheets.y
    for row, height in zip(block.rows, _title_heights(block, width), strict=True):
        left = x
        for label, text, share in row:
            sheets.text(left + 1.5, sheets.y + 0.8, label, TINY, colour=look.QUIET)
            if label == "Sheet":  # how many there are is known at the end
                sheets.number_at(left + 1.5, sheets.y + 3.6, TEXT)
            sheets.lines(left + 1.5, sheets.y + 3.6, _field_lines(text, share, width), TEXT)
            left += share * width
            if left < x + width - 0.1:
                sheets.line(left, sheets.y, left, sheets.y + height, look.INK, 0.5)
        sheets.y += height
        sheets.line(x, sheets.y, x + width, sheets.y, look.INK, 0.5)
    sheets.box(x, top, width, sheets.y - top, edge=look.INK, weight=0.9)
    sheets.y += 4.0


# --- words ----------------------------------------------------------------------------------------------------------


@needs.register
def _(block: Heading, sheets):
    return 3.0 + leading(10.5) + 1.0


@draw.register
def _(block: Heading, sheets, x, width):
    if sheets.y > sheets.top:
        sheets.y += 3.0
    sheets.text(x, sheets.y, block.text, 10.5, bold=True)
    sheets.y += leading(10.5) + 1.0


def _paragraph(block, width):
    size = CELL if block.quiet else TEXT
    return wrap(block.text, width, size), size


@needs.register
def _(block: Paragraph, sheets):
    return leading(TEXT) * 2


@draw.register
def _(block: Paragraph, sheets, x, width):
    lines, size = _paragraph(block, width)
    for line in lines:
        sheets.room(leading(size))
        sheets.text(x, sheets.y, line, size, colour=look.QUIET if block.quiet else look.INK)
        sheets.y += leading(size)
    sheets.y += 1.6


def _item_lines(bold, text, width):
    """The lines of a list item; the bold words start the first one."""
    lead = word_width(f"{bold} ", CELL, True) if bold else 0.0
    first = wrap(text, width - lead, CELL)[0] if lead < 0.6 * width else ""
    rest = text[len(first) :].lstrip(" ")
    return lead, [first, *(wrap(rest, width, CELL) if rest else [])]


@needs.register
def _(block: Bullets, sheets):
    return 2 * leading(CELL)


@draw.register
def _(block: Bullets, sheets, x, width):
    for bold, text in block.items:
        lead, lines = _item_lines(bold, text, width - 4.0)
        sheets.room(min(len(lines), 40) * leading(CELL))
        sheets.text(x, sheets.y, "–", CELL, colour=look.QUIET)
        if bold:
            sheets.text(x + 4.0, sheets.y, bold, CELL, bold=True)
        for i, line in enumerate(lines):
            sheets.room(leading(CELL))
            sheets.text(x + 4.0 + (lead if i == 0 else 0.0), sheets.y, line, CELL)
            sheets.y += leading(CELL)
        sheets.y += 0.9
    sheets.y += 0.8


def _banner_lines(block, width):
    word = f"{look.VERDICT_MARKS[block.verdict]} {block.verdict[0].upper()}{block.verdict[1:]}."
    lead = word_width(f"{word} ", 9.0, True)
    first = wrap(block.text, width - 9.0 - lead, 9.0)[0]
    rest = block.text[len(first) :].lstrip(" ")
    advice = wrap(block.advice, width - 9.0, TEXT) if block.advice else []
    return word, lead, [first, *(wrap(rest, width - 9.0, 9.0) if rest else [])], advice


def _banner_height(block, width):
    _, _, lines, advice = _banner_lines(block, width)
    return 4.4 + leading(9.0) * len(lines) + leading(TEXT) * len(advice) + (0.8 if advice else 0.0)


@needs.register
def _(block: Banner, sheets):
    return _banner_height(block, sheets.wide) + 1.0


@draw.register
def _(block: Banner, sheets, x, width):
    word, lead, lines, advice = _banner_lines(block, width)
    colour, height = look.VERDICT_COLOURS[block.verdict], _banner_height(block, width)
    sheets.box(x, sheets.y, width, height, look.BAND)
    sheets.box(x, sheets.y, 1.4, height, colour)
    y = sheets.y + 2.2
    sheets.text(x + 5.0, y, word, 9.0, True, colour)
    sheets.text(x + 5.0 + lead, y, lines[0], 9.0)
    y += leading(9.0) + sheets.lines(x + 5.0, y + leading(9.0), lines[1:], 9.0)
    sheets.lines(x + 5.0, y + 0.8, advice, TEXT)
    sheets.y += height + 1.0


# --- tables, side by side, drawings, signatures -----------------------------------------------------------------------


@needs.register
def _(block: Table, sheets):
    return table_start(block, sheets.wide)


@draw.register
def _(block: Table, sheets, x, width):
    draw_table(block, sheets, x, width)


def _height(block, sheets, width):
    if isinstance(block, Table):
        return table_height(block, width)
    if isinstance(block, Paragraph):
        lines, size = _paragraph(block, width)
        return len(lines) * leading(size) + 1.6
    if isinstance(block, Bullets):
        lines = [_item_lines(bold, text, width - 4.0)[1] for bold, text in block.items]
        return sum(len(item) * leading(CELL) + 0.9 for item in lines) + 0.8
    return needs(block, sheets)


@needs.register
def _(block: Pair, sheets):
    sides = zip((block.left, block.right), _widths(block, sheets.wide), strict=True)
    return max(sum(_height(part, sheets, width) for part in side) for side, width in sides)


def _widths(block, width):
    left = block.share * (width - GUTTER)
    return left, width - GUTTER - left


@draw.register
def _(block: Pair, sheets, x, width):
    (left, right), top = _widths(block, width), sheets.y
    ends = []
    for at, room, side in ((x, left, block.left), (x + left + GUTTER, right, block.right)):
        sheets.y = top
        for part in side:
            draw(part, sheets, at, room)
        ends.append(sheets.y)
    sheets.y = max(ends)


@needs.register
def _(block: Picture, sheets):
    return sheets.pictures[block.name][0] + (leading(CELL) if block.caption else 0.0) + 2.0


@draw.register
def _(block: Picture, sheets, x, width):
    height, place = sheets.pictures[block.name]
    place(sheets, x, sheets.y)
    sheets.y += height
    if block.caption:
        sheets.y += sheets.lines(x, sheets.y, wrap(block.caption, width, CELL), CELL, colour=look.QUIET)
    sheets.y += 2.0


@needs.register
def _(block: Signatures, sheets):
    return block.height + 2.0


@draw.register
def _(block: Signatures, sheets, x, width):
    count = len(block.roles)
    each, height = (width - 4.0 * (count - 1)) / count, block.height
    for i, (role, name) in enumerate(block.roles):
        left = x + i * (each + 4.0)
        sheets.box(left, sheets.y, each, height, edge=look.INK, weight=0.7)
        sheets.text(left + 1.8, sheets.y + 1.2, role, CELL, bold=True)
        lines = shortened(wrap(name, each - 3.6, CELL), 2)
        sheets.lines(left + 1.8, sheets.y + 5.0, lines, CELL)
        sheets.line(left, sheets.y + height - 4.6, left + each, sheets.y + height - 4.6)
        sheets.text(left + 1.8, sheets.y + height - 4.0, "name, signature, date", TINY, colour=look.QUIET)
    sheets.y += height + 2.0
