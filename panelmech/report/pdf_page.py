"""The design note as a PDF to hand over: the same blocks as the HTML page, laid out on pages.

Each block has a measure (the height it needs) and a drawing; a block that does not fit goes on the next page, a long
table is split between rows with its head repeated, and a heading stays with what follows it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache, singledispatch

from ..draw import look
from .blocks import (
    Banner,
    Bullets,
    Column,
    Heading,
    Pair,
    Paragraph,
    Picture,
    Signatures,
    Table,
    TitleBlock,
    Verdict,
)
from .drawings import GUTTER
from .pages import Pages, leading, shortened, word_width, wrap

TEXT, CELL, FINE, TINY = 8.4, 8.0, 8.0, 8.0  # points: none below 8
NEARLY_EMPTY = 0.3  # of a page: what stands on the last one; judgement
GAP = 2.0  # mm between columns
PAD = 0.4  # mm above and below the text of a row
MOST_LINES = 60  # in one cell
TEXTS = ("text", "small", "name", "label")  # columns whose cells may wrap
SHORT = 60.0  # mm: a table up to this height is not split
DOCUMENT = "design note"


def pdf(
    title: str, foot: str, creator: str, blocks: tuple, pictures: dict, document: str = DOCUMENT, paper: str = "A4"
) -> bytes:
    """The whole note as PDF; see `lay_out`."""
    return lay_out(title, foot, blocks, pictures, document, paper).pdf(f"{title}: {document}", creator)


def lay_out(title: str, foot: str, blocks: tuple, pictures: dict, document: str = DOCUMENT, paper: str = "A4") -> Pages:
    """All blocks on pages, with their foot; see `placed`. `foot` stands at the foot of each page."""
    pages = placed(title, blocks, pictures, document, paper=paper)
    pages.finish(foot)
    return pages


def placed(
    title: str, blocks: tuple, pictures: dict, document: str = DOCUMENT, scale: float = 1.0, paper: str = "A4"
) -> Pages:
    """All blocks on pages, before their numbers are known. A page that is nearly empty shares with the one before.

    `pictures` holds (height [mm], placing function) by name; `document` says what kind of paper it is. `scale`: how
    many times larger than in the note everything is; `paper`: as for `Pages`.
    """
    pages, short = _placed(title, blocks, Pages(pictures, scale, paper), document), {}
    for share in (0.2, 0.35, 0.5) * 2:  # of the page before, given to one that is nearly empty
        empty = next((n for n, filled in enumerate(pages.filled) if n and filled < NEARLY_EMPTY), None)
        if empty is None:
            break
        trial = {**short, empty: pages.bottom - share * (pages.bottom - pages.top)}
        other = _placed(title, blocks, Pages(pictures, scale, paper, trial), document)
        if len(other.figures) == len(pages.figures) and min(other.filled[1:]) > min(pages.filled[1:]):
            pages, short = other, trial
    return pages


def _placed(title, blocks, pages, document):
    pages.room(1.0)
    for line in wrap(f"{title}: {document}", pages.wide, 13.0, bold=True):
        pages.room(leading(13.0))
        pages.text(pages.left, pages.y, line, 13.0, bold=True)
        pages.y += leading(13.0)
    pages.y += 2.0
    for i, block in enumerate(blocks):
        pages.room(_with_what_follows(blocks[i:], pages))
        draw(block, pages, pages.left, pages.wide)
    return pages


def _with_what_follows(blocks, pages):
    """Height a block needs to begin. A heading stays with a paragraph and with what begins after it, boxes to sign in
    with the whole block before them where a page has room for both."""
    first, *rest = blocks
    height, most = needs(first, pages), pages.bottom - pages.top
    if isinstance(first, Heading):
        if isinstance(rest[0], Paragraph) and len(rest) > 1 and not isinstance(rest[1], Heading | Paragraph):
            height, rest = height + needs(rest[0], pages), rest[1:]
        height += _with_what_follows(rest, pages)
    elif signed := _to_sign(rest, pages):
        whole = _height(first, pages, pages.wide) + signed
        height = whole if whole <= most else height
    return min(height, most)


def _to_sign(blocks, pages):
    """Height of the boxes to sign in, with their heading, if they come first; else 0."""
    upto = 1 + isinstance(blocks[0], Heading) if blocks else 0
    signed = blocks[:upto]
    return sum(needs(block, pages) for block in signed) if signed and isinstance(signed[-1], Signatures) else 0.0


@singledispatch
def needs(block, pages: Pages) -> float:
    """Height [mm] that must be left on a page for this block to begin there."""
    return 0.0


@singledispatch
def draw(block, pages: Pages, x: float, width: float) -> None:
    """Draw a block at the present place, x mm from the left, and move the place below it."""
    raise TypeError(f"no drawing for a {type(block).__name__}")


# ----- Title block.


def _field_lines(text, share, width):
    return shortened(wrap(text, share * width - 3.0, TEXT), 4)


def _title_heights(block, width):
    return [
        max(10.0, 4.8 + leading(TEXT) * max(len(_field_lines(text, share, width)) for _, text, share in row))
        for row in block.rows
    ]


@needs.register
def _(block: TitleBlock, pages):
    return sum(_title_heights(block, pages.wide)) + 4.0


@draw.register
def _(block: TitleBlock, pages, x, width):
    top = pages.y
    for row, height in zip(block.rows, _title_heights(block, width), strict=True):
        left = x
        for label, text, share in row:
            pages.text(left + 1.5, pages.y + 0.8, label, TINY, colour=look.QUIET)
            if label == "Sheet":  # how many there are is known at the end
                pages.number_at(left + 1.5, pages.y + 4.2, TEXT)
            pages.lines(left + 1.5, pages.y + 4.2, _field_lines(text, share, width), TEXT)
            left += share * width
            if left < x + width - 0.1:
                pages.line(left, pages.y, left, pages.y + height, look.INK, 0.5)
        pages.y += height
        pages.line(x, pages.y, x + width, pages.y, look.INK, 0.5)
    pages.box(x, top, width, pages.y - top, edge=look.INK, weight=0.9)
    pages.y += 4.0


# ----- Words.


@needs.register
def _(block: Heading, pages):
    return 3.0 + leading(10.5) + 1.0


@draw.register
def _(block: Heading, pages, x, width):
    if pages.y > pages.top:
        pages.y += 3.0
    pages.text(x, pages.y, block.text, 10.5, bold=True)
    pages.y += leading(10.5) + 1.0


def _paragraph(block, width):
    size = CELL if block.quiet else TEXT
    return wrap(block.text, width, size), size


@needs.register
def _(block: Paragraph, pages):
    return leading(TEXT) * 2


@draw.register
def _(block: Paragraph, pages, x, width):
    lines, size = _paragraph(block, width)
    for line in lines:
        pages.room(leading(size))
        pages.text(x, pages.y, line, size, colour=look.QUIET if block.quiet else look.INK)
        pages.y += leading(size)
    pages.y += 1.6


def _item_lines(bold, text, width):
    """The lines of a list item; the bold words start the first one."""
    lead = word_width(f"{bold} ", CELL, True) if bold else 0.0
    first = wrap(text, width - lead, CELL)[0] if lead < 0.6 * width else ""
    rest = text[len(first) :].lstrip(" ")
    return lead, [first, *(wrap(rest, width, CELL) if rest else [])]


@needs.register
def _(block: Bullets, pages):
    return 2 * leading(CELL)


@draw.register
def _(block: Bullets, pages, x, width):
    for bold, text in block.items:
        lead, lines = _item_lines(bold, text, width - 4.0)
        pages.room(min(len(lines), 40) * leading(CELL))
        pages.text(x, pages.y, "–", CELL, colour=look.QUIET)
        if bold:
            pages.text(x + 4.0, pages.y, bold, CELL, bold=True)
        for i, line in enumerate(lines):
            pages.room(leading(CELL))
            pages.text(x + 4.0 + (lead if i == 0 else 0.0), pages.y, line, CELL)
            pages.y += leading(CELL)
        pages.y += 0.9
    pages.y += 0.8


def _banner_lines(block, width):
    word = f"{look.VERDICT_MARKS[block.verdict]} {block.lead}"
    lead = word_width(f"{word} ", 9.0, True)
    first = wrap(block.text, width - 9.0 - lead, 9.0)[0]
    rest = block.text[len(first) :].lstrip(" ")
    advice = wrap(block.advice, width - 9.0, TEXT) if block.advice else []
    return word, lead, [first, *(wrap(rest, width - 9.0, 9.0) if rest else [])], advice


def _banner_height(block, width):
    _, _, lines, advice = _banner_lines(block, width)
    return 4.4 + leading(9.0) * len(lines) + leading(TEXT) * len(advice) + (0.8 if advice else 0.0)


@needs.register
def _(block: Banner, pages):
    return _banner_height(block, pages.wide) + 1.0


@draw.register
def _(block: Banner, pages, x, width):
    word, lead, lines, advice = _banner_lines(block, width)
    colour, height = look.VERDICT_COLOURS[block.verdict], _banner_height(block, width)
    pages.box(x, pages.y, width, height, look.BAND)
    pages.box(x, pages.y, 1.4, height, colour)
    y = pages.y + 2.2
    pages.text(x + 5.0, y, word, 9.0, True, colour)
    pages.text(x + 5.0 + lead, y, lines[0], 9.0)
    y += leading(9.0) + pages.lines(x + 5.0, y + leading(9.0), lines[1:], 9.0)
    pages.lines(x + 5.0, y + 0.8, advice, TEXT)
    pages.y += height + 1.0


# ----- Side by side, drawings, signatures.


def _height(block, pages, width):
    if isinstance(block, Table):
        return _table_height(block, block.rows, width) + 2.0
    if isinstance(block, Paragraph):
        lines, size = _paragraph(block, width)
        return len(lines) * leading(size) + 1.6
    if isinstance(block, Bullets):
        lines = [_item_lines(bold, text, width - 4.0)[1] for bold, text in block.items]
        return sum(len(item) * leading(CELL) + 0.9 for item in lines) + 0.8
    return needs(block, pages)


@needs.register
def _(block: Pair, pages):
    sides = zip((block.left, block.right), _widths(block, pages.wide), strict=True)
    return max(sum(_height(part, pages, width) for part in side) for side, width in sides)


def _widths(block, width):
    left = block.share * (width - GUTTER)
    return left, width - GUTTER - left


@draw.register
def _(block: Pair, pages, x, width):
    (left, right), top = _widths(block, width), pages.y
    ends = []
    for at, room, side in ((x, left, block.left), (x + left + GUTTER, right, block.right)):
        pages.y = top
        for part in side:
            draw(part, pages, at, room)
        ends.append(pages.y)
    pages.y = max(ends)


@needs.register
def _(block: Picture, pages):
    return pages.pictures[block.name][0] + (leading(CELL) if block.caption else 0.0) + 2.0


@draw.register
def _(block: Picture, pages, x, width):
    height, place = pages.pictures[block.name]
    place(pages, x, pages.y)
    pages.y += height
    if block.caption:
        pages.y += pages.lines(x, pages.y, wrap(block.caption, width, CELL), CELL, colour=look.QUIET)
    pages.y += 2.0


@needs.register
def _(block: Signatures, pages):
    return block.height + 2.0


@draw.register
def _(block: Signatures, pages, x, width):
    count = len(block.roles)
    each, height = (width - 4.0 * (count - 1)) / count, block.height
    for i, (role, name) in enumerate(block.roles):
        left = x + i * (each + 4.0)
        pages.box(left, pages.y, each, height, edge=look.INK, weight=0.7)
        pages.text(left + 1.8, pages.y + 1.2, role, CELL, bold=True)
        lines = shortened(wrap(name, each - 3.6, CELL), 2)
        pages.lines(left + 1.8, pages.y + 5.0, lines, CELL)
        pages.line(left, pages.y + height - 4.6, left + each, pages.y + height - 4.6)
        pages.text(left + 1.8, pages.y + height - 4.0, "name, signature, date", TINY, colour=look.QUIET)
    pages.y += height + 2.0


# ----- Tables: cells wrapped by measured width, rows kept whole, the head on each page.


def _cells(columns, cells, width, head=False):
    """(lines, size) of every cell of a row."""
    if isinstance(cells, str):
        return [(shortened(wrap(cells, width, CELL, True), MOST_LINES), CELL)]
    out = []
    for i, (column, cell) in enumerate(zip(columns, cells, strict=True)):
        size = CELL if head else FINE if column.look == "small" else CELL
        room = column.share * width - (GAP if i < len(columns) - 1 else 0.0)
        text = f"{look.VERDICT_MARKS[cell.word]} {cell.word}" if isinstance(cell, Verdict) else cell
        out.append(
            (shortened(wrap(text, room, size, column.look == "name" or isinstance(cell, Verdict)), MOST_LINES), size)
        )
    return out


@lru_cache(maxsize=64)
def _fitted(columns, rows, width):
    """Columns in which no number and no word of a head breaks; those of text give the room, each by its share.

    What stands in brackets behind a number may go below it.
    """
    cells = [row for row in rows if not isinstance(row, str)]
    least = [_least_share(column, [row[i] for row in cells], width) for i, column in enumerate(columns)]
    wanted = [max(column.share, share) for column, share in zip(columns, least, strict=True)]
    over = sum(wanted) - sum(column.share for column in columns)
    spare = [w - share if c.look in TEXTS else 0.0 for w, share, c in zip(wanted, least, columns, strict=True)]
    if not 0.0 < over < sum(spare):
        return columns
    given = over / sum(spare)
    return tuple(replace(c, share=w - given * s) for c, w, s in zip(columns, wanted, spare, strict=True))


def _least_share(column, cells, width):
    words = column.head.split() if column.look != "blank" else []
    if column.look == "number":
        texts = [cell for cell in cells if isinstance(cell, str)]  # of words in the place of a number each may break
        words += [
            part for text in texts for part in (text.split(" (") if any(map(str.isdigit, text)) else text.split())
        ]
    widest = max((word_width(word, CELL, column.look == "name") for word in words), default=0.0)
    return (widest + GAP + 0.2) / width


def _row_height(cells, least=0.0):
    return max(max(len(lines) * leading(size) for lines, size in cells) + 2 * PAD, least)


@needs.register
def _(block: Table, pages):
    """A short table stays in one piece; of a long one the head and two rows must find room."""
    height = _table_height(block, block.rows, pages.wide) + 2.0
    return height if height <= SHORT else _table_height(block, block.rows[:2], pages.wide)


def _table_height(block, rows, width):
    """Height [mm] of the head and these rows."""
    block = replace(block, columns=_fitted(block.columns, block.rows, width))
    head = _row_height(_cells(block.columns, [c.head for c in block.columns], width, True))
    return head + sum(_height_of(block, row, width) for row in rows)


def _height_of(block, row, width):
    """Height of one row; one to write in is as high as the table asks."""
    return _row_height(_cells(block.columns, row, width), 0.0 if isinstance(row, str) else block.row_height)


@draw.register
def _(block: Table, pages, x, width):
    """With its head again on every further page."""
    block = replace(block, columns=_fitted(block.columns, block.rows, width))
    _draw_head(block, pages, x, width)
    for row, following in zip(block.rows, (*block.rows[1:], None), strict=True):
        cells = _cells(block.columns, row, width)
        before = len(pages.figures)
        stays = _height_of(block, following, width) if isinstance(row, str) and following else 0.0
        pages.room(_height_of(block, row, width) + stays)
        if len(pages.figures) > before:
            _draw_head(block, pages, x, width)
        _draw_row(block.columns, row, cells, pages, x, width, _height_of(block, row, width))
    pages.y += 2.0


def _draw_head(block, pages, x, width):
    heads = [c.head for c in block.columns]
    cells = _cells(block.columns, heads, width, True)
    height = _row_height(cells)
    for (left, right, column), (lines, size) in zip(_places(block.columns, x, width), cells, strict=True):
        y = pages.y + height - PAD - len(lines) * leading(size)
        number = column.look == "number"
        pages.lines(
            right if number else left, y, lines, size, column.look == "name", look.QUIET, "right" if number else "left"
        )
    pages.y += height
    pages.line(x, pages.y, x + width, pages.y, look.QUIET, 0.7)


def _places(columns, x, width):
    """(left, right, column): where each column's text stands."""
    out = []
    for i, column in enumerate(columns):
        right = x + column.share * width
        out.append((x, right - (GAP if i < len(columns) - 1 else 0.0), column))
        x = right
    return out


def _draw_row(columns, row, cells, pages, x, width, height):
    if isinstance(row, str):
        columns, row = (Column("", 1.0, "name"),), (row,)
    following = (*(column.look for column in columns[1:]), "")
    for (left, right, column), cell, (lines, size), after in zip(
        _places(columns, x, width), row, cells, following, strict=True
    ):
        number, verdict = column.look == "number", isinstance(cell, Verdict)
        colour = look.VERDICT_COLOURS[cell.word] if verdict else look.INK
        shift = 0.5 * (leading(CELL) - leading(size))
        pages.lines(
            right if number else left,
            pages.y + PAD + shift,
            lines,
            size,
            column.look == "name" or verdict,
            colour,
            "right" if number else "left",
        )
        if column.look == "blank":
            for edge in (left,) if after == "blank" else (left, right):  # one line between two boxes
                pages.line(edge, pages.y, edge, pages.y + height, look.RULE)
    pages.y += height
    pages.line(x, pages.y, x + width, pages.y, look.RULE, 0.6)
