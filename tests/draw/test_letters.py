"""Lines written letter by letter are as wide, and stand where they would, as if matplotlib shaped them."""

import re

import pytest
from matplotlib.artist import Artist
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_pdf import RendererPdf
from matplotlib.textpath import text_to_path

from panelmech.draw import letters
from panelmech.draw.figures import STYLE, blank_figure, figure_bytes
from panelmech.draw.letters import Written, font_of, line_width, write_text

LINES = (
    "Bending strain, for good: 0.13 %, 1.54 times",
    "AVATAR To Ty We",
    "kg/m³ × 2 − 5 “x” … ≤ ◇ ●",
    "Жук Δσ α",
    "ff fi ffi",
    "V ",
    " x",
    "a",
    "",
    "e\u0301 and ש",  # a mark above, a letter the cut font lacks
)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", LINES)
def test_a_line_is_as_wide_as_matplotlib_says(text, bold):
    width = text_to_path.get_text_width_height_descent(text, font_of(8.0, bold), ismath=False)[0] / 72.0 * 25.4
    assert line_width(text, 8.0, bold) == pytest.approx(width, abs=0.01)


def by_matplotlib(renderer, *line):
    renderer.draw_text(*line)


class Line(Artist):
    """A line of text that a function writes."""

    def __init__(self, write, *line):
        super().__init__()
        self.write, self.line = write, line

    def draw(self, renderer):
        self.write(renderer, renderer.new_gc(), 20.0, 30.0, *self.line)


def page(text, write=write_text, angle=0.0):
    """A PDF page with a line on it."""
    fig = blank_figure(100.0, 50.0)
    fig.add_artist(Line(write, text, font_of(8.0), angle))
    return figure_bytes(fig, "pdf")


def shown(content):
    """The letters of a line on a page, and how far the next ones are moved, in thousandths of the font size."""
    array = re.search(rb"\[([^\[]*?)\]\s*TJ", content, re.DOTALL)[1]
    letters, moves = b"", []
    for in_hex, raw, move in re.findall(rb"<([0-9a-f]*)>|\(((?:\\.|[^\\)])*)\)|(-?[\d.]+)", array, re.DOTALL):
        letters += bytes.fromhex(in_hex.decode()) + re.sub(rb"\\(.)", rb"\1", raw)
        moves += [(len(letters) // 2, float(move))] if move and abs(float(move)) >= 1.0 else []  # others are rounding
    return letters.decode("utf-16-be"), moves


@pytest.mark.parametrize("angle", [0.0, 90.0])
def test_the_same_letters_are_shown_and_moved_alike(angle, monkeypatch):
    monkeypatch.setitem(STYLE, "pdf.compression", 0)
    text = "AV To, 1.5 −"
    (ours, moved), (own, by) = (shown(page(text, write, angle)) for write in (write_text, by_matplotlib))
    assert ours == own == text
    assert [n for n, _ in moved] == [n for n, _ in by] == [1, 4]
    assert [move for _, move in moved] == pytest.approx([move for _, move in by], abs=1.0)


ours = pytest.mark.skipif(not letters.KNOWN, reason="a matplotlib that writes every line itself")


@ours
def test_a_turned_line_stands_where_it_is_told(monkeypatch):
    monkeypatch.setitem(STYLE, "pdf.compression", 0)
    assert b"0.000000 1.000000 -1.000000 0.000000 20.000 30.000 Tm" in page("AV", angle=90.0)


@ours
def test_what_is_not_for_us_goes_to_matplotlib(monkeypatch):
    """A letter that the cut font lacks, another font, and a matplotlib that works otherwise."""
    calls = []
    monkeypatch.setattr(RendererPdf, "draw_text", lambda *args, **more: calls.append(args[4]))
    page("e\u0301")
    page("plain")
    assert calls == ["e\u0301"]
    monkeypatch.setattr(letters, "KNOWN", False)
    page("plain")
    assert calls == ["e\u0301", "plain"]


@pytest.mark.parametrize(("align", "share"), [("left", 0.0), ("center", 0.5), ("right", 1.0)])
@pytest.mark.parametrize("angle", [0.0, 90.0])
def test_a_written_line_ends_where_it_is_told(align, share, angle):
    """A line in the middle of the page, written from where its place and its width say."""
    begins = []

    class Page(RendererBase):
        def draw_text(self, gc, x, y, *args, **more):
            begins.append((x, y))

        def flipy(self):
            return False

    fig = blank_figure(100.0, 50.0)
    line = Written(0.5, 0.5, "AV To", fontproperties=font_of(8.0), ha=align, rotation=angle)
    fig.add_artist(line).draw(Page())
    wide = share * line_width("AV To", 8.0) / 25.4 * fig.dpi
    x, y = 0.5 * fig.bbox.width, 0.5 * fig.bbox.height
    assert begins == [pytest.approx((x - wide, y) if angle == 0.0 else (x, y - wide))]
