"""Pages of paper to write on: texts, lines, boxes and drawings placed in millimetres from the top left corner.

Text is wrapped by its measured width. Pages are collected first and written at the end, when their number is known.
"""

from __future__ import annotations

import io
from functools import lru_cache

from matplotlib.artist import Artist
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.path import Path

from ..draw import look
from ..draw.figures import INCH, blank_figure, style
from ..draw.letters import POINTS, drawable, line_width
from ..draw.lines import TextLine, write_lines
from ..draw.pdf_language import with_language
from ..draw.recorded import Recording
from .blocks import glue

SHEETS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm; a Letter sheet has the same words a line
WIDTH, HEIGHT = SHEETS["A4"]
LEFT, RIGHT, TOP, BOTTOM = 14.0, 196.0, 11.0, 286.0  # what is written on A4 lies within [mm]
POINT = INCH / 72.0  # mm
FOOT, FOOT_ROOM = 8.0, 155.0  # points; mm for the words at the foot
SURE = 3.0  # mm: where the sum of the words leaves this much, the line need not be measured as a whole
LEADING = 1.32  # line to line, in font sizes


class Inset(Artist):
    """A whole figure of its own size, drawn as part of another figure: as it is in its own file, not laid out again."""

    def __init__(self, recorded: Recording, left: float, bottom: float):
        """Lower left corner in inches; what stands apart in the figure is left out."""
        super().__init__()
        self.inset, self.recorded, self.corner = recorded.figure, recorded, (left, bottom)

    def draw(self, renderer):
        """As recorded."""
        dpi = self.get_figure().dpi
        self.recorded.replay(renderer, tuple(dpi * side for side in self.corner), False, dpi / POINTS)


class Page(Figure):
    """A page of paper. Its `texts` are `draw.lines.TextLine`, and `rules` the straight lines on it, {(colour, weight
    [points]): their ends, two and two}, all in shares of the page from its lower left corner. There are thousands of
    both on a paper: artists of them all would take longer than the drawing of them."""

    def __init__(self, *args, **more):
        super().__init__(*args, **more)
        self.rules = {}

    def draw(self, renderer):
        """Insets, boxes, lines and texts, one over the other."""
        self.patch.draw(renderer)
        for artist in sorted(self.artists, key=Artist.get_zorder):
            artist.draw(renderer)
        for (colour, weight), ends in self.rules.items():
            gc = renderer.new_gc()
            gc.set_foreground(colour)
            gc.set_linewidth(renderer.points_to_pixels(weight))
            codes = [Path.MOVETO, Path.LINETO] * (len(ends) // 2)
            renderer.draw_path(gc, Path(ends, codes), self.transFigure.frozen())
            gc.restore()
        write_lines(renderer, self.texts)


class Pages:
    """The pages of one note and the place where writing goes on: `y`, mm from the top of the present page.

    With a `scale` above 1 all that is placed, type included, comes out that much larger, and less of it fits: places
    and sizes are given as before it. What is written lies within `left`, `right`, `top`, `bottom`. `paper`: one of
    `SHEETS`. `short`: {number of a page, from 1: where it ends [mm], before the scale}, to spread what there is.
    """

    def __init__(self, pictures: dict, scale: float = 1.0, paper: str = "A4", short: dict | None = None):
        self.pictures, self.scale, self.paper, self.short = pictures, scale, paper, short or {}
        self.width, self.height = SHEETS[paper]
        side, below = 0.5 * (self.width - WIDTH), self.height - HEIGHT
        self.edges = LEFT + side, RIGHT + side, TOP, BOTTOM + below
        self.left, self.right, self.top, self.bottom = (edge / scale for edge in self.edges)
        self.wide = self.right - self.left
        self.figures, self.ends = [], []  # pages, and how far each is written, but the last [mm]
        self.numbers = []  # (page, x, y, size) where the number of the page is to stand
        self.y = self.bottom

    def room(self, height: float) -> None:
        """Start a new page unless `height` mm are left on this one. Nothing can be higher than a whole page."""
        if not self.figures or self.y + height > self.short.get(len(self.figures), self.bottom):
            self.ends += [self.y] if self.figures else []
            self.figures.append(blank_figure(self.width, self.height, Page))
            self.y = self.top

    @property
    def filled(self) -> list:
        """How much of each page is written on, as a share."""
        return [(y - self.top) / (self.bottom - self.top) for y in (*self.ends, self.y)]

    def line(self, x0, y0, x1, y1, colour=look.RULE, weight=0.6) -> None:
        """A straight line."""
        ends = ((x0, y0), (x1, y1))
        on_page = [(self.scale * x / self.width, 1 - self.scale * y / self.height) for x, y in ends]
        self.figures[-1].rules.setdefault((colour, weight), []).extend(on_page)

    def box(self, x, y, width, height, colour="none", edge="none", weight=0.8) -> None:
        """A rectangle by its top left corner."""
        x, y, width, height = (self.scale * size for size in (x, y, width, height))
        self.figures[-1].add_artist(
            Rectangle(
                (x / self.width, 1 - (y + height) / self.height),
                width / self.width,
                height / self.height,
                facecolor=colour,
                edgecolor=edge,
                linewidth=weight,
                transform=self.figures[-1].transFigure,
            )
        )

    def inset(self, recorded: Recording, x, y, width, height) -> None:
        """A figure by its top left corner; its size is that before the scale, its type is not scaled."""
        x, y, height = (self.scale * size for size in (x, y, height))
        self.figures[-1].add_artist(Inset(recorded, x / INCH, (self.height - y - height) / INCH))

    def text(self, x, y, text, size=8.0, bold=False, colour=look.INK, align="left") -> None:
        """One line of text; y is its upper edge, x its left or right edge."""
        x, y, size = (self.scale * value for value in (x, y, size))
        self.write_on(self.figures[-1], x, y, text, size, bold, colour, align)

    def write_on(self, figure, x, y, text, size=8.0, bold=False, colour=look.INK, align="left") -> None:
        """As `text`, on a given page."""
        baseline = y + 0.5 * (LEADING + 0.72) * size * POINT  # capitals stand in the middle of the line
        left = x - (word_width(text, size, bold) if align == "right" else 0.0)
        place = left / self.width, 1 - baseline / self.height
        figure.texts.append(TextLine(*place, drawable(text), size, bold, colour))

    def lines(self, x, y, lines, size=8.0, bold=False, colour=look.INK, align="left") -> float:
        """Lines of text below each other; the height they take."""
        for i, line in enumerate(lines):
            self.text(x, y + i * leading(size), line, size, bold, colour, align)
        return len(lines) * leading(size)

    def number_at(self, x, y, size) -> None:
        """Keep a place for the number of the present page, "1/3"; `finish` fills it in."""
        self.numbers.append((self.figures[-1], *(self.scale * value for value in (x, y, size))))

    def finish(self, foot: str, before: int = 0, after: int = 0) -> None:
        """Put the foot on every page and the numbers where they belong, once all pages are there; `before` and `after`:
        sheets of the same pack."""
        left, right, _, bottom = self.edges
        for number, figure in enumerate(self.figures, start=before + 1):
            count = f"{number}/{before + len(self.figures) + after}"
            self.write_on(figure, left, bottom + 3.0, foot, FOOT, colour=look.QUIET)
            self.write_on(figure, right, bottom + 3.0, f"Sheet {count}", FOOT, colour=look.QUIET, align="right")
            for _, x, y, size in (place for place in self.numbers if place[0] is figure):
                self.write_on(figure, x, y, count, size)

    def pdf(self, title: str, creator: str) -> bytes:
        """All pages as one PDF file; no date in it, so the same pages give the same bytes."""
        buffer = io.BytesIO()
        about = {"CreationDate": None, "Title": title, "Creator": creator}
        with style(), PdfPages(buffer, metadata=about) as pages:
            for figure in self.figures:
                pages.savefig(figure, bbox_inches=None)
        return with_language(buffer.getvalue())


def foot_line(ident: str, title: str, last: str) -> str:
    """What stands at the foot of every page, short enough to leave room for the number of the page."""
    first = "  ·  ".join(filter(None, (" ".join(ident.split()), " ".join(title.split()))))
    while word_width(f"{first}  ·  {last}", FOOT, False) > FOOT_ROOM:
        first = f"{first.rstrip('…')[:-1]}…"
    return f"{first}  ·  {last}"


def leading(size: float) -> float:
    """Distance from line to line [mm] at a font size in points."""
    return LEADING * size * POINT


def word_width(word: str, size: float, bold: bool = False) -> float:
    """Width of a word on paper [mm]."""
    return line_width(drawable(word), size, bold)


def wrap(text: str, width: float, size: float, bold: bool = False) -> list:
    """Lines of at most `width` mm. A number keeps its unit, line breaks are kept, a word too long for a line is cut."""
    return list(_wrapped(text, width, size, bold))


@lru_cache(maxsize=20000)
def _wrapped(text, width, size, bold):
    """Kept: a block is measured, then drawn, and often measured again beside others."""
    lines = []
    for part in glue(text).splitlines() or [""]:
        line, about = "", 0.0
        for word in part.split(" "):
            about += word_width(f" {word}", size, bold)
            trial = f"{line} {word}" if line else word
            if about + SURE <= width or word_width(trial, size, bold) <= width:
                line = trial
                continue
            lines += [line] if line else []
            *full, line = _cut(word, width, size, bold)
            lines += full
            about = word_width(line, size, bold)
        lines.append(line)
    return tuple(lines)


def _cut(word, width, size, bold):
    """A word in pieces that each fit."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and word_width(pieces[-1] + letter, size, bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def shortened(lines: list, most: int) -> list:
    """At most so many lines, the last one ending with an ellipsis where some are left out (the HTML page has all)."""
    return lines if len(lines) <= most else [*lines[: most - 1], f"{lines[most - 1][:-1]}…"]
