"""The design note as one HTML page that needs nothing else: drawings inline, no script, no network; prints on A4.

Every text is escaped; nothing a study file says can become markup.
"""

from __future__ import annotations

import re
from functools import singledispatch
from html import escape

from ..draw import look
from ..units import capital
from .blocks import (
    Banner,
    Bullets,
    Group,
    Heading,
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

# ----- The style sheet of the design note's HTML page: calm on a screen, A4 on paper. Colours come from `look`.


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
    return "\n".join((style, *verdicts, _SMALL_SCREEN, _PRINT, *([_LARGE] if large else [])))


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
body { margin: 0 auto; max-width: 210mm; padding: 12mm; background: $PAPER; color: $INK; overflow-wrap: anywhere;
  font: 9pt/1.42 "DejaVu Sans", Verdana, "Segoe UI", "Helvetica Neue", Arial, sans-serif }
h1 { font-size: 16pt; line-height: 1.25; margin: 0 0 4mm }
h2 { font-size: 11pt; line-height: 1.3; margin: 7mm 0 2mm; break-after: avoid }
p { margin: 0 0 2mm; max-width: 172mm }
.quiet { color: $QUIET; font-size: 8pt }
table { width: 100%; border-collapse: collapse; table-layout: fixed; margin: 0 0 3mm; font-size: 7.8pt;
  line-height: 1.32; font-variant-numeric: tabular-nums }
th, td { padding: 1mm 0.8mm; text-align: left; vertical-align: top; font-weight: 400;
  border-bottom: 0.25mm solid $RULE }
th:first-child, td:first-child { padding-left: 0 }
th:last-child, td:last-child { padding-right: 0 }
thead { display: table-header-group }
thead th { color: $QUIET; vertical-align: bottom; border-bottom-color: $QUIET }
tr { break-inside: avoid }
th.name { font-weight: 600 }
th[scope=rowgroup] { padding-top: 2mm; break-after: avoid }
.number { text-align: right }
td.number { overflow-wrap: normal }
.pair td.number { padding-left: 0 }
td.small { font-size: 7pt; line-height: 1.35 }
td.blank { border-left: 0.25mm solid $RULE; border-right: 0.25mm solid $RULE }
.title-block { border: 0.4mm solid $INK; margin: 0 0 5mm }
.title-block div { display: flex }
.title-block div + div { border-top: 0.25mm solid $INK }
.title-block span { display: block; padding: 1mm 1.8mm; min-height: 9.5mm; min-width: 0; line-height: 1.3;
  white-space: pre-line }
.title-block span + span { border-left: 0.25mm solid $INK }
.title-block b { display: block; font-weight: 400; font-size: 6.5pt; color: $QUIET }
.title-block em { font-style: normal }
.banner { background: $BAND; border-left: 1.4mm solid; padding: 2.4mm 3.5mm; margin: 0 0 2mm; break-inside: avoid }
.banner p { margin: 0; max-width: none; color: $INK; font-size: 10pt }
.banner p + p { font-size: 9pt; margin-top: 1mm }
.verdict { white-space: nowrap; font-weight: 600 }
.pair { display: flex; gap: 7mm; align-items: flex-start }
.pair > div { flex: 1 1 0; min-width: 0 }
figure { margin: 0 0 3mm; break-inside: avoid }
figure svg { display: block; width: 100%; height: auto }
figcaption { color: $QUIET; font-size: 8pt }
ul { margin: 0 0 2mm; padding: 0; list-style: none }
li { margin: 0 0 1.2mm; padding-left: 4mm; text-indent: -4mm; break-inside: avoid; max-width: 178mm }
li::before { content: "–"; display: inline-block; width: 4mm; text-indent: 0 }
.signatures { display: flex; gap: 4mm; break-inside: avoid }
.signatures div { flex: 1 1 0; min-width: 0; border: 0.3mm solid $INK; padding: 1mm 1.8mm; min-height: 22mm;
  display: flex; flex-direction: column }
.signatures b { font-size: 8pt }
.signatures i { font-style: normal; font-size: 6.5pt; color: $QUIET; margin-top: auto; padding-top: 0.6mm;
  border-top: 0.25mm solid $RULE }
.on-paper { display: none }"""

_SMALL_SCREEN = """@media screen and (max-width: 720px) {
  body { padding: 5mm }
  .pair, .signatures { display: block }
  .wide { overflow-x: auto }
  .wide > table { min-width: 62em }
  .pair .wide > table { min-width: 0 }
  .title-block span { border: 0; border-top: 0.25mm solid; min-height: 0 }
  .title-block div { flex-wrap: wrap }
  .title-block span { flex: 1 1 40% }
}"""

_PRINT = """@media print {
  html { background: none }
  body { padding: 0; max-width: none; margin: 0; font-size: 8pt; line-height: 1.36 }
  .on-paper { display: inline }
  .on-screen { display: none }
  h1 { font-size: 14pt; margin-bottom: 3mm }
  h2 { font-size: 10.5pt; margin: 4.5mm 0 1.5mm }
  p, li { max-width: none }
  li { margin-bottom: 0.8mm }
  table, .quiet, figcaption { font-size: 7.2pt }
  td.small { font-size: 6.4pt }
  th, td { padding-top: 0.6mm; padding-bottom: 0.6mm }
  .banner p { font-size: 9pt }
}"""

_LARGE = """body { font-size: 11pt }
table, .quiet, figcaption { font-size: 10pt }
td.small { font-size: 9pt }
.title-block b { font-size: 7pt; overflow-wrap: normal }
.signatures b { font-size: 10pt }
.signatures i { font-size: 8pt }
@media print {
  body { font-size: 8.8pt; line-height: 1.3 }
  table, .quiet, figcaption { font-size: 8.3pt; line-height: 1.25 }
  table { margin-bottom: 2mm }
  td.small { font-size: 7.8pt }
  th, td { padding-top: 0.45mm; padding-bottom: 0.45mm }
  .title-block { margin-bottom: 3mm }
  .signatures div { min-height: 15mm }
}"""


# ----- The design note as one HTML page that needs nothing else: drawings inline, no script, no network; prints on A4.


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
    words = f"{_verdict(block.verdict, f'{capital(block.verdict)}.')} {_words(block.text)}"
    return f'<div class="banner {block.verdict}"><p>{words}</p>{advice}</div>'


def _verdict(word, shown):
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


# ----- Tables of the panels: the same records without widths, in the classes of the panels' own style sheet.


NUMBER = "class=pm-number"  # attribute of cells with numbers


def panel_table(table: Table, css: str = "pm-table", number: str = NUMBER) -> str:
    """A table as HTML text for a panel, every text escaped; `css`: its classes, `number`: attribute of number cells.

    The first cell of a row is its head; a text alone stands over the rows after it, as in `Table`.
    """
    head = "".join(
        f'<th scope="col"{f" {NUMBER}" if column.look == "number" else ""}>{escape(column.head)}</th>'
        for column in table.columns
    )
    rows = "".join(_panel_row(row, table.columns, number) for row in table.rows)
    return (
        f'<table class="{css}" aria-label="{escape(table.caption)}"><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def _panel_row(row, columns, number):
    if isinstance(row, str | Group):
        words = escape(row) if isinstance(row, str) else f"{panel_mark(row.mark)} {escape(row.text)}"
        return f'<tr><th class="pm-group" scope="rowgroup" colspan="{len(columns)}">{words}</th></tr>'
    row = row if isinstance(row, Row) else Row(tuple(row))
    attributes = "".join(f' {name}="{escape(value)}"' for name, value in row.attributes)
    below = "".join(f'<div class="pm-advice">{escape(line)}</div>' for line in row.below if line)
    first, *cells = zip(row.cells, columns, strict=True)
    inside = "".join(
        f"<td{f' {number}' if column.look == 'number' else ''}>{panel_cell(cell)}</td>" for cell, column in cells
    )
    return f'<tr{attributes}><th scope="row">{panel_cell(first[0])}{below}</th>{inside}</tr>'


def panel_cell(cell) -> str:
    """A cell's text, escaped, or a verdict as a tag with its mark."""
    if isinstance(cell, Verdict):
        return f'<span class="pm-tag pm-is-{cell.word}">{panel_mark(cell.word)} {cell.word}</span>'
    return escape(cell)


def panel_mark(word: str) -> str:
    """The mark of a verdict in a panel, not read aloud."""
    return f'<span class="pm-mark" aria-hidden="true">{look.VERDICT_MARKS[word]}</span>'
