"""The design note as one HTML page that needs nothing else: drawings inline, no script, no network; prints on A4.

Every text is escaped; nothing a study file says can become markup.
"""

from __future__ import annotations

import re
from functools import singledispatch
from html import escape

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
    Verdict,
    glue,
)
from .html_style import style_sheet

GENERATOR = "panelmech design note"
MOST_SCALED = 1.3  # how many times its own size a drawing may have on a wide screen


def page(
    title: str,
    foot: str,
    blocks: tuple,
    svgs: dict,
    document: str = "design note",
    generator: str = GENERATOR,
    large: bool = False,
) -> str:
    """The whole page.

    `svgs` holds the inline drawing of every picture by name; `foot` is printed at the foot of each sheet; `document`
    says what kind of paper it is, `generator` marks the file as one of ours; `large` type is for the workbench.
    """
    heading = f"{escape(title)}: {escape(document)}"
    head = (
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta name="generator" content="{generator}">',
        f"<title>{heading}</title>",
        f"<style>{style_sheet(foot, large)}</style>",
    )
    body = (f"<h1>{heading}</h1>", *(markup(block, svgs) for block in blocks))
    return "\n".join(
        (
            '<!DOCTYPE html>\n<html lang="en">\n<head>',
            *head,
            "</head>\n<body>\n<main>",
            *body,
            "</main>\n</body>\n</html>\n",
        )
    )


def _words(text: str) -> str:
    """A text as HTML: escaped, numbers held to their units."""
    return escape(glue(text))


@singledispatch
def markup(block, svgs) -> str:
    """One block as HTML."""
    raise TypeError(f"no markup for a {type(block).__name__}")


@markup.register
def _(block: TitleBlock, svgs):
    rows = "".join(f"<div>{''.join(_field(*field) for field in row)}</div>" for row in block.rows)
    return f'<section class="title-block" aria-label="Title block">{rows}</section>'


def _field(label, text, share):
    if label == "Sheet":  # a page on the screen is one sheet; on paper the browser counts at the foot
        content = '<em class="on-screen">1/1</em><em class="on-paper">see foot</em>'
    else:
        content = _words(text)
    return f'<span style="width: {100 * share:.6g}%"><b>{escape(label)}</b>{content}</span>'


@markup.register
def _(block: Heading, svgs):
    return f"<h2>{_words(block.text)}</h2>"


@markup.register
def _(block: Paragraph, svgs):
    parts = [part for part in block.text.splitlines() if part.strip()]
    return "\n".join(f"<p{' class=quiet' if block.quiet else ''}>{_words(part)}</p>" for part in parts)


@markup.register
def _(block: Bullets, svgs):
    items = "\n".join(
        f"<li>{f'<b>{_words(bold)}</b> ' if bold else ''}{_words(text)}</li>" for bold, text in block.items
    )
    return f"<ul>\n{items}\n</ul>"


@markup.register
def _(block: Banner, svgs):
    advice = f"<p>{_words(block.advice)}</p>" if block.advice else ""
    words = f"{_verdict(block.verdict, capital=True)} {_words(block.text)}"
    return f'<div class="banner {block.verdict}"><p>{words}</p>{advice}</div>'


def _verdict(word, capital=False):
    shown = f"{word[0].upper()}{word[1:]}." if capital else word
    return f'<span class="verdict {word}"><span aria-hidden="true">{look.VERDICT_MARKS[word]}</span> {shown}</span>'


@markup.register
def _(block: Table, svgs):
    columns = "".join(f'<col style="width: {100 * c.share:.6g}%">' for c in block.columns)
    head = "".join(f'<th scope="col" class="{c.look}">{_words(c.head)}</th>' for c in block.columns)
    tall = f' style="height: {block.row_height:.4g}mm"' if block.row_height else ""
    rows = "\n".join(f"<tr{tall}>{_row(block.columns, row)}</tr>" for row in block.rows)
    return (
        f'<div class="wide"><table aria-label="{escape(block.caption)}"><colgroup>{columns}</colgroup>\n'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody></table></div>"
    )


def _row(columns, row):
    if isinstance(row, str):
        return f'<th scope="rowgroup" class="name" colspan="{len(columns)}">{_words(row)}</th>'
    return "".join(_cell(column, cell) for column, cell in zip(columns, row, strict=True))


def _cell(column, cell):
    if column.look in ("name", "label") and cell:
        return f'<th scope="row" class="{column.look}">{_words(cell)}</th>'
    content = _verdict(cell.word) if isinstance(cell, Verdict) else _words(cell)
    return f'<td class="{column.look}">{content}</td>'


@markup.register
def _(block: Pair, svgs):
    sides = "".join(
        f'<div style="flex-grow: {100 * share:.6g}">{"".join(markup(b, svgs) for b in side)}</div>'
        for side, share in ((block.left, block.share), (block.right, 1.0 - block.share))
    )
    return f'<div class="pair">{sides}</div>'


@markup.register
def _(block: Picture, svgs):
    caption = f"<figcaption>{_words(block.caption)}</figcaption>" if block.caption else ""
    size = re.search(r'<svg [^>]*?width="([\d.]+)pt"', svgs[block.name])
    limit = f' style="max-width: {MOST_SCALED * float(size[1]):.4g}pt"' if size else ""
    opening = f'<svg role="img" aria-label="{escape(block.alt)}"{limit} '
    drawing = svgs[block.name].replace("<svg ", opening, 1)
    return f"<figure>{drawing}{caption}</figure>"


@markup.register
def _(block: Signatures, svgs):
    boxes = "".join(
        f"<div><b>{escape(role)}</b><span>{escape(name)}</span><i>name, signature, date</i></div>"
        for role, name in block.roles
    )
    return f'<section class="signatures" aria-label="Signatures">{boxes}</section>'
