"""The design note as one HTML page that needs nothing else: drawings inline, no script, no network; prints on A4.

Every text is escaped; nothing a study file says can become markup.
"""

from __future__ import annotations

import math
import re
from functools import singledispatch
from html import escape
from urllib.parse import quote

from ..draw import look
from .blocks import (
    Banner,
    Bullets,
    Group,
    Heading,
    Links,
    Pair,
    Paragraph,
    Picture,
    Row,
    Signatures,
    Table,
    TitleBlock,
    Verdict,
    glue,
)

# ----- The style sheet of the papers: type from 14 px on a screen, small type on A4. Colours come from `look`.


def style_sheet(foot: str, large: bool = False) -> str:
    """The whole style sheet; `foot`, any text, is printed at the foot of each sheet of paper with its number. `large`
    type is for sheets read at the workbench."""
    words = {"FOOT": _css_text(foot), "QUIET": look.QUIET, "BAND": look.BAND, "PAPER": look.PAPER, "INK": look.INK}
    style = _STYLE.replace("$RULE", look.RULE)
    for name, value in words.items():
        style = style.replace(f"${name}", value)
    verdicts = (
        f".{word} {{ color: {colour}; border-color: {colour} }}" for word, colour in look.VERDICT_COLOURS.items()
    )
    return "\n".join((style, *verdicts, _SCREEN, _NARROW, _PRINT, *([_LARGE] if large else [])))


def _css_text(text: str) -> str:
    """A text inside a CSS string: all but plain letters, digits and blanks as code points, so nothing can end it."""
    return "".join(c if c.isascii() and (c.isalnum() or c == " ") else f"\\{ord(c):06x}" for c in text)


_STYLE = """
@page {
  size: A4; margin: 14mm 12mm 17mm;
  @bottom-left { content: "$FOOT"; font: 7.5pt sans-serif; color: $QUIET }
  @bottom-right { content: "Sheet " counter(page) "/" counter(pages); font: 7.5pt sans-serif; color: $QUIET }
}
* { box-sizing: border-box }
html { background: $BAND; -webkit-print-color-adjust: exact; print-color-adjust: exact }
body { margin: 0 auto; background: $PAPER; color: $INK; overflow-wrap: anywhere;
  font-family: "DejaVu Sans", Verdana, "Segoe UI", "Helvetica Neue", Arial, sans-serif }
h1 { line-height: 1.25 }
h2 { line-height: 1.3 }
p { margin: 0 0 2mm }
.quiet { color: $QUIET }
table { width: 100%; border-collapse: collapse; line-height: 1.32; font-variant-numeric: tabular-nums }
th, td { text-align: left; vertical-align: top; font-weight: 400; border-bottom: 0.25mm solid $RULE }
th:first-child, td:first-child { padding-left: 0 }
th:last-child, td:last-child { padding-right: 0 }
thead th, thead td { color: $QUIET; vertical-align: bottom; border-bottom-color: $QUIET }
th.name { font-weight: 600 }
th[scope=rowgroup] { padding-top: 2mm }
.number { text-align: right }
td.number { overflow-wrap: normal }
td.blank { border-left: 0.25mm solid $RULE; border-right: 0.25mm solid $RULE }
.title-block { border: 0.4mm solid $INK; margin: 0 0 5mm }
.title-block div { display: flex }
.title-block div + div { border-top: 0.25mm solid $INK }
.title-block span { display: block; padding: 1mm 1.8mm; min-height: 9.5mm; line-height: 1.3; white-space: pre-line }
.title-block span + span { border-left: 0.25mm solid $INK }
.title-block b { display: block; font-weight: 400; color: $QUIET }
.title-block em { font-style: normal }
.banner { background: $BAND; border-left: 1.4mm solid; padding: 2.4mm 3.5mm; margin: 0 0 2mm }
.banner p { margin: 0; max-width: none; color: $INK }
.banner p + p { margin-top: 1mm }
.verdict { white-space: nowrap; font-weight: 600 }
.pair { display: flex; gap: 7mm; align-items: flex-start }
.pair > div { flex: 1 1 0; min-width: 0 }
figure { margin: 0 0 3mm }
figure svg { display: block; height: auto }
figcaption { color: $QUIET }
ul { margin: 0 0 2mm; padding: 0; list-style: none }
li { padding-left: 1.3em; text-indent: -1.3em }
li::before { content: "–"; display: inline-block; width: 1.3em; text-indent: 0 }
.wide:focus-visible { outline: 0.6mm solid $INK; outline-offset: 0.6mm }
.signatures { display: flex; gap: 4mm }
.signatures div { flex: 1 1 0; min-width: 0; border: 0.3mm solid $INK; padding: 1mm 1.8mm; min-height: 22mm;
  display: flex; flex-direction: column }
.signatures i { font-style: normal; color: $QUIET; margin-top: auto; padding-top: 0.6mm;
  border-top: 0.25mm solid $RULE }
.on-paper { display: none }"""

_SCREEN = """@media screen {
  body { max-width: 1240px; padding: 24px 16px 40px; font-size: 16px; line-height: 1.45 }
  h1 { font-size: 27px; margin: 0 0 16px }
  h2 { font-size: 20px; margin: 32px 0 8px }
  p, li { max-width: 48em }
  li { margin: 0 0 6px }
  table { font-size: 15px; margin: 0 0 14px }
  th, td { padding: 5px 6px; overflow-wrap: break-word }
  td.small, .quiet, figcaption, .title-block b, .signatures b, .signatures i { font-size: 14px }
  .title-block span { min-width: min-content; flex: 1 1 auto }
  .title-block b { white-space: nowrap }
  .banner p { font-size: 18px }
  .banner p + p { font-size: 16px }
  .wide { overflow-x: auto }
  figure svg { width: var(--screen) }
  .pair:not(:has(figure)) { flex-wrap: wrap }
  .pair:not(:has(figure)) > div { flex-basis: 330px }
}"""

_NARROW = """@media screen and (max-width: 1230px) {
  .pair:has(figure) { display: block }
}
@media screen and (max-width: 720px) {
  .signatures { display: block }
  .wide > table { min-width: 42em }
  .pair .wide > table { min-width: 0 }
  .title-block span { border: 0; border-top: 0.25mm solid; min-height: 0; flex: 1 1 40% }
  .title-block div { flex-wrap: wrap }
}"""

# On paper a heading stays with what follows it, and the boxes to sign in with what they are signed for.
_PRINT = """@media print {
  html { background: none }
  body { font-size: 8pt; line-height: 1.36 }
  .on-paper { display: inline }
  .on-screen { display: none }
  h1 { font-size: 14pt; margin: 0 0 3mm }
  h2 { font-size: 10.5pt; margin: 4.5mm 0 1.5mm }
  h1, h2 { break-inside: avoid; break-after: avoid }
  li { margin: 0 0 0.8mm }
  table { table-layout: fixed; margin: 0 0 3mm }
  table, .quiet, figcaption { font-size: 7.2pt }
  td.small { font-size: 6.4pt; line-height: 1.35 }
  th, td { padding: 0.6mm 0.8mm }
  .pair td.number { padding-left: 0 }
  thead { display: table-header-group }
  tr, li, figure, .banner, .title-block { break-inside: avoid }
  tr:has(> th[scope=rowgroup]) { break-after: avoid }
  tbody > tr:first-child { break-before: avoid }
  .title-block span { min-width: 0 }
  .title-block b, .signatures i { font-size: 6.5pt }
  .banner p { font-size: 9pt }
  figure svg { width: 100%; max-width: var(--paper) }
  .signatures, h2:has(+ .signatures) { break-inside: avoid; break-before: avoid }
  p:has(+ .signatures), p:has(+ h2 + .signatures) { break-inside: avoid; break-before: avoid }
  .signatures b { font-size: 8pt }
}"""

_LARGE = """@media screen {
  body { font-size: 18px }
  table, .quiet, figcaption, .signatures b { font-size: 17px }
  td.small { font-size: 16px }
}
@media print {
  body { font-size: 8.8pt; line-height: 1.3 }
  table, .quiet, figcaption { font-size: 8.3pt; line-height: 1.25 }
  table { margin-bottom: 2mm }
  td.small { font-size: 7.8pt }
  th, td { padding-top: 0.45mm; padding-bottom: 0.45mm }
  .title-block { margin-bottom: 3mm }
  .title-block b { font-size: 7pt; overflow-wrap: normal }
  .signatures div { min-height: 15mm }
  .signatures b { font-size: 10pt }
  .signatures i { font-size: 8pt }
}"""


# ----- The design note as one HTML page that needs nothing else: drawings inline, no script, no network; prints on A4.


GENERATOR = "panelmech design note"
MOST_SCALED = 1.3  # how many times its own size a drawing may have on paper
LEAST_TYPE = 14.0  # px on a screen, of words in a drawing too
PIXELS = 96.0 / 72.0  # in a point


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
    words = f"{_verdict(block.verdict, block.lead)} {_words(block.text)}"
    return f'<div class="banner {block.verdict}"><p>{words}</p>{advice}</div>'


def _verdict(word, shown):
    return f'<span class="verdict {word}"><span aria-hidden="true">{look.VERDICT_MARKS[word]}</span> {shown}</span>'


@markup.register
def _(block: Table, svgs):
    columns = "".join(f'<col style="width: {100 * c.share:.6g}%">' for c in block.columns)
    head = "".join(_head(column) for column in block.columns)
    tall = f' style="height: {block.row_height:.4g}mm"' if block.row_height else ""
    rows = "\n".join(f"<tr{tall}>{_row(block.columns, row)}</tr>" for row in block.rows)
    return _box(
        block.caption,
        f'<table aria-label="{escape(block.caption)}"><colgroup>{columns}</colgroup>\n'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody></table>",
    )


def _box(name, content):
    """What may be wider than the screen, in a box of its own that a keyboard can scroll too."""
    return f'<div class="wide" role="group" tabindex="0" aria-label="{escape(name)}">{content}</div>'


def _head(column):
    """Head of a column; one without words is a plain cell."""
    if not column.head:
        return f'<td class="{column.look}"></td>'
    return f'<th scope="col" class="{column.look}">{_words(column.head)}</th>'


def _row(columns, row):
    if isinstance(row, str):
        return f'<th scope="rowgroup" class="name" colspan="{len(columns)}">{_words(row)}</th>'
    return "".join(_cell(column, cell) for column, cell in zip(columns, row, strict=True))


def _cell(column, cell):
    if column.look in ("name", "label") and cell:
        return f'<th scope="row" class="{column.look}">{_words(cell)}</th>'
    content = _verdict(cell.word, cell.word) if isinstance(cell, Verdict) else _words(cell)
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
    svg, name = svgs[block.name], re.split(r"[:.] ", block.alt)[0]
    opening = f'<svg role="img" aria-label="{escape(block.alt)}"{_drawn_size(svg)} '
    return f"<figure>{_box(f'Drawing: {name}', svg.replace('<svg ', opening, 1))}{caption}</figure>"


def _drawn_size(svg):
    """Style of a drawing: how wide it is on a screen, so that its smallest letters can be read, and at most on paper.
    Its letters are outlines, each text scaled by a hundredth of its size in points."""
    size = re.search(r'<svg [^>]*?width="([\d.]+)pt"', svg)
    if not size:
        return ""
    smallest = min((100.0 * float(scale) for scale in re.findall(r"scale\(([\d.]+) -", svg)), default=LEAST_TYPE)
    screen = float(size[1]) * PIXELS * max(1.0, LEAST_TYPE / (smallest * PIXELS))
    return f' style="--screen: {math.ceil(screen)}px; --paper: {MOST_SCALED * float(size[1]):.4g}pt"'


@markup.register
def _(block: Links, svgs):
    items = "\n".join(f"<li>{_words(what)}: {_links(what, files)}</li>" for what, files in block.items)
    return f"<ul>\n{items}\n</ul>"


def _links(what, files):
    return ", ".join(
        f'<a href="{escape(quote(path))}" aria-label="{escape(f"{what}, {use}")}">{_words(use)}</a>'
        for path, use in files
    )


@markup.register
def _(block: Signatures, svgs):
    boxes = "".join(
        f"<div><b>{escape(role)}</b><span>{escape(name)}</span><i>name, signature, date</i></div>"
        for role, name in block.roles
    )
    return f'<div class="signatures" role="group" aria-label="Signatures">{boxes}</div>'


# ----- Tables of the panels: the same records without widths, in the classes of the panels' own style sheet.


NUMBER = "class=pm-number"  # attribute of cells with numbers


def panel_table(table: Table, css: str = "pm-table") -> str:
    """A table as HTML text for a panel, every text escaped; `css`: its classes.

    The first cell of a row is its head; a text alone stands over the rows after it, as in `Table`.
    """
    head = "".join(
        f'<th scope="col"{f" {NUMBER}" if column.look == "number" else ""}>{escape(column.head)}</th>'
        for column in table.columns
    )
    rows = "".join(_panel_row(row, table.columns) for row in table.rows)
    return (
        f'<table class="{css}" aria-label="{escape(table.caption)}"><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def _panel_row(row, columns):
    if isinstance(row, str | Group):
        words = escape(row) if isinstance(row, str) else f"{panel_mark(row.mark)} {escape(row.text)}"
        return f'<tr><th class="pm-group" scope="rowgroup" colspan="{len(columns)}">{words}</th></tr>'
    row = row if isinstance(row, Row) else Row(tuple(row))
    attributes = "".join(f' {name}="{escape(value)}"' for name, value in row.attributes)
    below = "".join(f'<div class="pm-advice">{escape(line)}</div>' for line in row.below if line)
    first, *cells = zip(row.cells, columns, strict=True)
    inside = "".join(
        f"<td {NUMBER}>{_panel_number(cell)}</td>" if column.look == "number" else f"<td>{panel_cell(cell)}</td>"
        for cell, column in cells
    )
    return f'<tr{attributes}><th scope="row">{panel_cell(first[0])}{below}</th>{inside}</tr>'


def _panel_number(cell):
    """A number stays on one line; words in its place, or before it, need not."""
    if not isinstance(cell, str) or " " not in cell:
        return panel_cell(cell)
    words = _BEFORE_A_NUMBER.match(cell)[0]
    return f'<span class="pm-words">{escape(words)}</span>{escape(cell[len(words) :])}' if words else escape(cell)


_BEFORE_A_NUMBER = re.compile(r"(?:[^\W\d]+(?: |$))*")


def panel_cell(cell) -> str:
    """A cell's text, escaped, or a verdict as a tag with its mark."""
    if isinstance(cell, Verdict):
        return f'<span class="pm-tag pm-is-{cell.word}">{panel_mark(cell.word)} {cell.word}</span>'
    return escape(cell)


def panel_mark(word: str) -> str:
    """The mark of a verdict in a panel, not read aloud."""
    return f'<span class="pm-mark" aria-hidden="true">{look.VERDICT_MARKS[word]}</span>'
