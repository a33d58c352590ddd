"""The style sheet of the design note's HTML page: calm on a screen, A4 on paper. Colours come from `look`."""

from __future__ import annotations

from ..draw import look


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
