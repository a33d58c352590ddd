"""Templates on paper at true scale, and the files of a set of templates: PDF, SVG, DXF and CSV.

A PDF sheet is a figure of exactly the paper's size; the drawing stands in an axes whose limits are its own size in
millimetres, so one millimetre drawn is one on paper. Nothing is trimmed, and no date is written: the same templates
give the same bytes.
"""

from __future__ import annotations

import io
import math
from functools import lru_cache

import numpy as np
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle

from ..shop.paper import EDGE, HEAD, LEAST_WINDOW, Layout, Tile, lay_out
from ..shop.templates import Template, offset_csv
from ..units import FACTORS, lengths, show, show_fixed, unit_words
from .figures import axes_at, blank_figure, in_style, style
from .letters import drawable, font_of, line_width, wrapped
from .lines import Written
from .look import INK, QUIET, RULE
from .pdf_language import with_language
from .template_files import check_length, dxf, svg

MM = FACTORS["mm"]
TEXT, SMALL = 9.0, 8.0  # points: heads, all else; none below 8
CUT, MARK = 0.7, 0.45  # points
LINE, ROW, HEADING = 3.6, 3.6, 4.2  # mm from line to line of words, from row to row of a table, of a head
BOLD = 1.16  # bold words are wider than plain ones, at most
CELL = 26.0  # mm, a column of the table
GAP = 6.0  # mm between blocks of a table
NAME = 3.6  # mm from name to name of the holes, below the outline
BLOCK = 14  # rows of a table before it goes on beside
HEAD_LINES = 2
SHRINKS = (
    "Print at 100 %, not fitted to the page. Both bars must measure {bars}.",
    "Paper shrinks (0.5 to 2 % is reported): if a bar is off, use the table.",
)


@in_style
def plot_template(ax, template: Template):
    """Draw a template on an axes, in mm, equal scale both ways. Limits are set only where the axes has none of its own
    (autoscale still on)."""
    for path in template.paths:
        points = path.points / MM
        if path.kind == "cut":
            ax.add_patch(Polygon(points, closed=path.closed, fill=False, edgecolor=INK, lw=CUT, joinstyle="round"))
        else:
            ring = np.vstack([points, points[:1]]) if path.closed else points
            dashes = "-" if path.name == "station" or "centre" in path.name else (0, (6, 2, 1, 2))
            ax.add_line(Line2D(*ring.T, color=QUIET, lw=MARK, linestyle=dashes))
    for hole in template.holes:
        ax.add_patch(Circle((hole.x / MM, hole.y / MM), 0.5 * hole.diameter / MM, fill=False, edgecolor=INK, lw=MARK))
    if ax.get_autoscale_on():
        left, bottom, right, top = (v / MM for v in template.box)
        ax.set_xlim(left - 2.0, right + 2.0)
        ax.set_ylim(bottom - 2.0, top + 2.0)
        ax.set_aspect("equal")
    return ax


def template_sheets(template: Template, page: str = "A4", first: int = 1, last: int | None = None) -> list:
    """Figures of one template, each of exactly the paper's size: the tiles, and the table where it has no room below.

    `page` as for `shop.paper.lay_out`. They are numbered from `first`; `last`: of all the sheets they belong to.
    """
    layout, drawn, below = _planned(template, page)
    high, last = layout.window[3], first + _count(layout, below) - 1 if last is None else last
    figures = []
    for number, tile in enumerate(layout.tiles, first):
        fig, sheet = _sheet(template, layout, f"{_place(layout, tile)}Sheet {number}/{last}", tile)
        _draw_tile(fig, sheet, template, layout, tile)
        if below:
            _draw_table(sheet, template, layout, layout.window[1] + high - drawn)
        figures.append(fig)
    if not below:
        fig, sheet = _sheet(template, layout, f"table, Sheet {first + len(figures)}/{last}", None)
        _draw_table(sheet, template, layout, layout.window[1] + high - 2.0)
        figures.append(fig)
    return figures


def _planned(template, page):
    """As of `_kept_plan`, worked out once."""
    return _kept_plan(template, page, lengths())


@lru_cache(maxsize=64)
def _kept_plan(template, page, _told_in):
    """(layout, height of the drawing with its names [mm], whether the table has room below it)."""
    needed = _table_height(template, LEAST_WINDOW[0]) + 7.0 + NAME * len(template.holes)
    layout = lay_out(template, page, room_below=needed)
    _, _, wide, high = layout.window
    drawn = (template.box[3] - template.box[1]) / MM + 8.0 + NAME * len(template.holes)
    return layout, drawn, len(layout.tiles) == 1 and drawn + _table_height(template, wide) <= high


def _count(layout, below):
    return len(layout.tiles) + (not below)


def sheet_count(templates, page: str = "A4") -> int:
    """How many sheets a set of templates takes."""
    return sum(_count(layout, below) for layout, _, below in (_planned(template, page) for template in templates))


def templates_pdf(templates, page: str = "A4", title: str = "", before: int = 0) -> bytes:
    """All templates as one PDF file, its sheets numbered through, after `before` others of the same pack. The same
    templates give the same bytes."""
    buffer = io.BytesIO()
    title = title or f"{templates[0].part}: templates at true scale".lstrip(": ")
    about = {"CreationDate": None, "Title": title, "Creator": "panelmech"}
    with style(), PdfPages(buffer, metadata=about) as pages:
        number, last = before + 1, before + sheet_count(templates, page)
        for template in templates:
            for fig in template_sheets(template, page, number, last):
                pages.savefig(fig, bbox_inches=None)
                number += 1
    return with_language(buffer.getvalue())


def template_files(templates) -> dict:
    """SVG, DXF and CSV of each template as files, {name: text}."""
    kinds = {"svg": svg, "dxf": dxf, "csv": offset_csv}
    return {f"template-{made.key}.{kind}": write(made) for made in templates for kind, write in kinds.items()}


def _place(layout, tile):
    if len(layout.tiles) == 1:
        return ""
    last = Tile(layout.rows - 1, layout.columns - 1, 0.0, 0.0).label
    return f"{tile.label} of A1 to {last}, "


@in_style
def _sheet(template, layout, place, tile):
    """A sheet with head, foot and check bars: the figure, and an axes over all of it in mm."""
    fig = blank_figure(layout.width, layout.height)
    sheet = axes_at(fig, 0.0, 0.0, layout.width, layout.height)
    sheet.set_axis_off()
    sheet.set_xlim(0.0, layout.width)
    sheet.set_ylim(0.0, layout.height)
    top, right = layout.height - EDGE, layout.width - EDGE
    grid = _key_map(sheet, layout, tile, right, top) if len(layout.tiles) > 1 else 0.0
    head = f"{template.part}: {template.name}" if template.part else template.name
    room, y = right - EDGE - grid, top - 3.0
    beside = (room - line_width(place, SMALL) - 4.0) / BOLD
    for line in _at_most(wrapped(head, beside, TEXT), HEAD_LINES):
        _write(sheet, EDGE, y, line, TEXT, bold=True)
        y -= HEADING
    _write(sheet, right - grid, top - 3.0, place, SMALL, align="right")
    words = f"Make {template.count}. {template.line[0].upper()}{template.line[1:]}."
    _write(sheet, EDGE, y, _clipped(words, room, SMALL), SMALL)
    _write(sheet, EDGE, y - LINE, _clipped(template.stamp, room, SMALL), SMALL, colour=QUIET)
    _bars(sheet, layout)
    return fig, sheet


def _bars(sheet, layout):
    x0, y0, x1, y1 = layout.level_bar
    _line(sheet, [x0, x1], [y0, y1], INK, CUT)
    for x in (x0, x1):
        _line(sheet, [x, x], [y0 - 2.0, y0 + 2.0], INK, 0.4)
    _write(sheet, 0.5 * (x0 + x1), y0 - 4.0, check_length(), SMALL, align="center")
    told = [words.format(bars=check_length()) for words in SHRINKS]
    lines = [line for words in told for line in wrapped(words, layout.width - 2 * EDGE - 108.0, SMALL)]
    for i, line in enumerate(lines):
        _write(sheet, x1 + 5.0, y0 + 1.65 * (len(lines) - 1) - 3.3 * i - 0.7, line, SMALL, colour=QUIET)
    x0, y0, x1, y1 = layout.upright_bar
    _line(sheet, [x0, x1], [y0, y1], INK, CUT)
    for y in (y0, y1):
        _line(sheet, [x0 - 2.0, x0 + 2.0], [y, y], INK, 0.4)
    _write(sheet, x0 - 1.5, 0.5 * (y0 + y1), check_length(), SMALL, align="center", rotation=90)


def _key_map(sheet, layout, tile, right, top):
    """Small map of all sheets, the present one filled, those left out crossed; the width it takes [mm]."""
    cell = min(5.0, 40.0 / layout.columns, (HEAD - 3.0) / layout.rows)
    left, low = right - cell * layout.columns, top - cell * layout.rows
    drawn = {(t.row, t.column) for t in layout.tiles}
    for row in range(layout.rows):
        for column in range(layout.columns):
            x, y = left + column * cell, low + row * cell
            here = tile is not None and (tile.row, tile.column) == (row, column)
            sheet.add_patch(Rectangle((x, y), cell, cell, facecolor=INK if here else "none", edgecolor=QUIET, lw=0.4))
            if (row, column) not in drawn:
                _line(sheet, [x, x + cell], [y, y + cell], QUIET, 0.4)
    return cell * layout.columns + 4.0


@in_style
def _draw_tile(fig, sheet, template, layout: Layout, tile: Tile):
    left, bottom, wide, high = layout.window
    ax = axes_at(fig, left, bottom, wide, high)
    ax.set_axis_off()
    ax.set_xlim(tile.left, tile.left + wide)
    ax.set_ylim(tile.bottom, tile.bottom + high)
    plot_template(ax, template)
    for i, hole in enumerate(template.holes, 1):
        x, y = hole.x / MM, template.box[1] / MM - NAME * i
        _line(ax, [x, x], [-0.5 * hole.diameter / MM - 1.0, y + 2.6], QUIET, 0.3)
        _write(ax, x, y, f"{hole.name}, {show(hole.diameter, 'mm', 2)}", SMALL, align="center")
    if len(layout.tiles) > 1:
        sheet.add_patch(Rectangle((left, bottom), wide, high, fill=False, edgecolor=RULE, lw=0.5))
        for axis, place, label in layout.joins(tile):
            _draw_join(sheet, layout, tile, axis, place, label)


def _draw_join(sheet, layout, tile, axis, place, label):
    """A join line with two register marks and the neighbour's label; marks stand at the same places on both sheets."""
    left, bottom, wide, high = layout.window
    across = [0.0, high] if axis == "x" else [0.0, wide]
    offset = place - (tile.left if axis == "x" else tile.bottom)

    def at(along):
        return (left + offset, bottom + along) if axis == "x" else (left + along, bottom + offset)

    _line(sheet, *zip(at(across[0]), at(across[1]), strict=True), QUIET, MARK, dashes=(0, (4, 3)))
    for share in (0.2, 0.8):
        x, y = at(share * across[1])
        sheet.add_patch(Circle((x, y), 2.0, fill=False, edgecolor=INK, lw=MARK))
        _line(sheet, [x - 3.5, x + 3.5], [y, y], INK, MARK)
        _line(sheet, [x, x], [y - 3.5, y + 3.5], INK, MARK)
    x, y = at(0.35 * across[1])
    away = -1.0 if offset > 0.5 * (wide if axis == "x" else high) else 1.0  # words on the side of this sheet
    if axis == "x":
        _write(sheet, x + away * 2.5, y, f"joins {label}", SMALL, colour=QUIET, align="center", rotation=90)
    else:
        _write(sheet, x, y + away * 2.5 - 0.8, f"joins {label}", SMALL, colour=QUIET, align="center")


def _table_height(template, wide):
    blocks, rows = _blocks(template, wide)
    heads = max(len(lines) for lines in _table_heads(template))
    return 4.0 + LINE * sum(len(wrapped(n, wide, SMALL)) for n in template.notes) + 4.0 + ROW * (rows + heads) + 2.0


def _table_heads(template):
    """Lines of the head of each column."""
    return [wrapped(f"{name}, {unit_words('mm')}", CELL - 2.0, SMALL) for name in template.table.columns]


def _blocks(template, wide):
    """Blocks of the table beside each other, and rows in each."""
    size = CELL * len(template.table.columns) + GAP
    count = len(template.table.values)
    blocks = max(1, min(int((wide + GAP) // size), math.ceil(count / BLOCK)))
    return blocks, math.ceil(count / blocks)


@in_style
def _draw_table(sheet, template, layout, top):
    left, _, wide, _ = layout.window
    y = top - 4.0
    for note in template.notes:
        for line in wrapped(note[0].upper() + note[1:], wide, SMALL):
            _write(sheet, left, y, line, SMALL)
            y -= LINE
    y -= 3.0
    columns, values, heads = template.table.columns, template.table.values, _table_heads(template)
    y -= LINE * (max(map(len, heads)) - 1)
    blocks, rows = _blocks(template, wide)
    for block in range(min(blocks, math.ceil(len(values) / rows))):
        x = left + block * (CELL * len(columns) + GAP)
        part = values[block * rows : (block + 1) * rows]
        for j, lines in enumerate(heads):
            for up, line in enumerate(reversed(lines)):
                _write(sheet, x + CELL * (j + 1), y + LINE * up, line, SMALL, align="right", colour=QUIET)
        _line(sheet, [x, x + CELL * len(columns)], [y - 1.0, y - 1.0], QUIET, 0.4)
        for i, row in enumerate(part, 1):
            for j, value in enumerate(row):
                words = "–" if math.isnan(value) else show_fixed(value, 2, False)
                _write(sheet, x + CELL * (j + 1), y - ROW * i - 1.0, words, SMALL, align="right")


def _write(ax, x, y, words, size, bold=False, colour=INK, align="left", rotation=0):
    words = drawable(words)
    look = {"fontproperties": font_of(size, bold), "color": colour, "rotation": rotation, "ha": align}
    place = {"va": "baseline", "rotation_mode": "anchor", "clip_on": False, "transform": ax.transData}
    ax.add_artist(Written(x, y, words, parse_math=False, **look, **place))


def _line(ax, xs, ys, colour, weight, dashes="-"):
    ax.add_line(Line2D(xs, ys, color=colour, lw=weight, linestyle=dashes, solid_capstyle="butt"))


def _at_most(lines, count) -> list:
    """So many lines, the last with an ellipsis where there are more."""
    return lines if len(lines) <= count else [*lines[: count - 1], f"{lines[count - 1]}…"]


def _clipped(words, wide, size):
    """The words, shortened with an ellipsis where they would not fit."""
    if line_width(words, size) <= wide:
        return words
    while words and line_width(f"{words}…", size) > wide:
        words = words[:-1]
    return f"{words.rstrip()}…"
