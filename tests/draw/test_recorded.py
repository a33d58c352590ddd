"""A figure drawn once and written many times shows what it would show if it were drawn for each file."""

import io
import re

import numpy as np
import pytest
from matplotlib import image
from matplotlib.backend_bases import RendererBase

from panelmech.draw.digest import figure_digest
from panelmech.draw.figures import STYLE, figure, figure_bytes, freeze, stamped
from panelmech.draw.recorded import Recording


@pytest.fixture
def drawn():
    """Lines, dashes, marks, fills cut by the axes, a legend, turned text, a stamp."""
    fig, ax = figure(100.0, 60.0)
    x = np.linspace(0.0, 3.0, 50)
    ax.plot(x, np.sin(x), "--o", label="sine")
    ax.fill_between(x, 0.0, np.sin(x), alpha=0.3)
    ax.scatter(x, np.cos(x), s=9.0, c="red")
    ax.set_ylim(-0.2, 0.8)
    ax.set_ylabel("height [mm]")
    ax.legend()
    fig.text(0.5, 0.01, "stands apart")
    return freeze(stamped(fig))


def test_an_svg_has_the_same_lines(drawn):
    """The same paths in the same order, letters apart: `test_lines` is about these."""
    ours, own = (paths(content.decode()) for content in (Recording(drawn).file("svg"), figure_bytes(drawn, "svg")))
    assert ours == own and len(own) > 20


def paths(svg):
    """What is drawn of an SVG beside its letters."""
    bare = re.sub(r'<g id="text_\d+">.*?</g>\s*</g>', "", svg, flags=re.DOTALL)
    return re.findall(r'<path d="[^"]*"[^>]*>', bare)


def test_a_png_looks_the_same(drawn):
    """Letters and what stands by them differ by parts of a pixel: no place of 1 mm is inked otherwise."""
    ours, own = (pixels(content) for content in (Recording(drawn).file("png"), figure_bytes(drawn, "png")))
    assert ours.shape == own.shape
    assert np.abs(coarse(ours) - coarse(own)).max() < 0.2  # measured 0.11: a letter's stem moved by half a pixel
    assert np.abs(coarse(ours) - np.ones(1)).max() > 0.5  # there is ink


def pixels(png):
    return image.imread(io.BytesIO(png))[..., :3].mean(axis=-1)


def coarse(grey, side=8):
    """Means over squares of 8 pixels, at 200 dots an inch 1 mm."""
    high, wide = (side * (n // side) for n in grey.shape)
    return grey[:high, :wide].reshape(high // side, side, wide // side, side).mean(axis=(1, 3))


def test_a_pdf_has_the_same_lines(drawn, monkeypatch):
    """The same operators in the same order, texts apart: `test_letters` is about these."""
    monkeypatch.setitem(STYLE, "pdf.compression", 0)
    ours, own = map(operators, (Recording(drawn).file("pdf"), figure_bytes(drawn, "pdf")))
    assert len(own) > 200
    assert [name for name, _ in ours] == [name for name, _ in own]
    for (_, mine), (_, theirs) in zip(ours, own, strict=True):
        assert mine == pytest.approx(theirs, abs=0.05)


def operators(content):
    """(operator, numbers) of each line of what a PDF draws, without its texts."""
    stream = max(re.findall(rb"stream\r?\n(.*?)endstream", content, re.DOTALL), key=lambda s: s.count(b" l\n"))
    stream = re.sub(rb"q\n[^\n]* cm\nBT.*?ET\nQ\n|BT [^\n]* ET\n", b"", stream, flags=re.DOTALL)
    lines = [line for line in stream.decode("latin-1").splitlines() if line.split()]
    return [(line.split()[-1], [float(n) for n in re.findall(r"-?\d+\.?\d*", line)]) for line in lines]


def test_the_figure_stays_as_it_was(drawn):
    before, dpi = figure_digest(drawn), drawn.dpi
    Recording(drawn, tuple(drawn.texts))
    assert figure_digest(drawn) == before
    assert drawn.dpi == dpi and not any(text.get_gid() for text in drawn.texts)


class Page(RendererBase):
    """Notes the texts that are drawn."""

    def __init__(self):
        super().__init__()
        self.texts = {}

    def draw_path(self, *args, **more):
        pass

    def draw_text(self, gc, x, y, s, *args, **more):
        self.texts[s] = (x, y)


def test_what_stands_apart_is_in_the_file_and_not_on_a_page(drawn):
    recording, page, file = Recording(drawn, tuple(drawn.texts[:1])), Page(), Page()
    recording.replay(page, (3.0, 4.0), whole=False)
    recording.replay(file)
    assert set(file.texts) - set(page.texts) == {"stands apart"}
    for words, (x, y) in page.texts.items():
        assert (x, y) == pytest.approx((file.texts[words][0] + 3.0, file.texts[words][1] - 4.0))


def test_a_picture_in_a_figure_is_refused():
    fig, ax = figure(60.0, 40.0)
    ax.imshow([[0.0, 1.0]])
    with pytest.raises(NotImplementedError, match="figure_bytes"):
        Recording(freeze(fig))


def test_a_letter_that_no_font_has_is_a_box_and_no_warning(recwarn):
    fig, ax = figure(60.0, 40.0)
    ax.set_position((0.2, 0.2, 0.7, 0.6))
    fig.set_layout_engine(None)
    ax.plot([0.0, 1.0], [0.0, 1.0], label="船 sails")
    ax.legend()
    assert "□ sails" in Recording(fig).file("svg").decode()
    assert not [w for w in recwarn if "Glyph" in str(w.message)]
