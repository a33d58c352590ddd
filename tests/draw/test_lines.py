"""Lines written letter by letter show the same letters where they would stand if matplotlib shaped them."""

import re

import pytest
from matplotlib.artist import Artist
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_pdf import RendererPdf

from panelmech.draw import letters
from panelmech.draw.figures import STYLE, blank_figure, figure_bytes
from panelmech.draw.letters import font_of, line_width
from panelmech.draw.lines import Written, write_text


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


@ours
@pytest.mark.parametrize("angle", [0.0, 90.0])
def test_letters_of_an_svg_stand_where_matplotlib_puts_them(angle):
    """Each letter once as an outline, then its places."""
    own, mine = (placed(svg("AV To AV", write, angle)) for write in (by_matplotlib, write_text))
    assert [name for name, _ in mine[0]] and len(mine[0]) == len(own[0]) == 8
    assert [x for _, x in mine[0]] == pytest.approx([x for _, x in own[0]], abs=0.002)  # font sizes; it rounds
    assert mine[1] == pytest.approx(own[1], abs=1e-4)


def svg(text, write, angle):
    fig = blank_figure(100.0, 50.0)
    fig.add_artist(Line(write, text, font_of(8.0), angle))
    return figure_bytes(fig, "svg").decode()


def placed(content):
    """[(letter's outline, its place in font sizes)], and place and turn of the line."""
    line = re.search(r'transform="translate\(([\d.]+) ([\d.]+)\)(?: rotate\(([-\d.]+)\))? scale\(([\d.]+) ', content)
    scale = float(line[4]) / 8.0
    uses = re.findall(r"<use ([^>]*)/>", content)
    names = [re.search('href="([^"]*)"', use)[1] for use in uses]
    places = [re.search(r"translate\(([\d.]+)", use) for use in uses]
    where = [float(place[1]) * scale if place else 0.0 for place in places]
    return list(zip(names, where, strict=True)), [float(line[1]), float(line[2]), float(line[3] or 0.0)]
