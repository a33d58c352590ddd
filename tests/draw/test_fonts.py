"""The font that is cut for papers: as wide as the whole one, all letters there, quicker to pick letters from."""

import pytest
from matplotlib import ft2font
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.textpath import text_to_path

from panelmech.draw import fonts
from panelmech.draw.figures import STYLE
from panelmech.draw.look import VERDICT_MARKS

LINES = (
    "AV To Wa Yo: bending strain, for good, 12.3 mm² × 4.5 N·m ≤ 0.5 %",
    "Ω ν ε₁₂ σ² − ± ½ ° µ → ↓ √ ∞ ≈ … “quoted” – — ‘it’",
    "Žluťoučký kůň, łódź, Größe, naïveté, Лодка, Ελλάς",
    "".join(VERDICT_MARKS.values()),
)


def width(words, family, weight):
    font = FontProperties(family=list(family), size=9.0, weight=weight)
    return text_to_path.get_text_width_height_descent(words, font, ismath=False)[0]


@pytest.mark.parametrize("weight", ["normal", "bold"])
@pytest.mark.parametrize("words", LINES)
def test_every_line_is_as_wide_as_in_the_whole_font(words, weight):
    name = fonts.WIDE if "Л" in words else fonts.CUT
    assert width(words, (name,), weight) == width(words, (fonts.WHOLE,), weight)


def test_drawings_ask_for_the_cut_fonts_and_then_the_whole_one():
    assert tuple(STYLE["font.family"]) == fonts.family() == (fonts.CUT, fonts.WIDE, fonts.WHOLE)
    kinds = [(name, weight) for name in fonts.family()[:2] for weight in ("normal", "bold")]
    paths = {findfont(FontProperties(family=[name], weight=weight)) for name, weight in kinds}
    assert len(paths) == 4 and all("panelmech" in path for path in paths)


def test_a_letter_that_was_cut_away_comes_from_the_whole_font():
    """Armenian is in the whole font only."""
    words = "Նավակ"
    assert width(words, fonts.family(), "normal") == width(words, (fonts.WHOLE,), "normal")


def test_the_cut_font_is_made_anew_where_its_file_is_gone(tmp_path, monkeypatch):
    monkeypatch.setattr(fonts.matplotlib, "get_cachedir", lambda: str(tmp_path))
    whole = fonts.Path(findfont(FontProperties(family=[fonts.WHOLE])))
    made = [fonts._cut_of(whole, name) for name in (fonts.CUT, fonts.WIDE)]
    assert {path.name for path in tmp_path.iterdir()} == {path.name for path in made}
    before = made[0].read_bytes()
    made[0].unlink()
    assert fonts._cut_of(whole, fonts.CUT).read_bytes() == before != made[1].read_bytes()


@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_a_pdf_holds_the_same_letters_of_the_cut_font_and_less_beside_them(weight):
    path = findfont(FontProperties(family=[fonts.CUT], weight=weight))
    whole, held = get_font(path), get_font(fonts.in_pdf(path))
    for letter in "Aéλ−½":
        number = whole.get_char_index(ord(letter))
        assert number  # by it a PDF finds its letters: the font in it needs no table of them
        assert (outline_of(whole, number) == outline_of(held, number)).all()
    assert fonts.Path(fonts.in_pdf(path)).stat().st_size < 0.8 * fonts.Path(path).stat().st_size


def outline_of(font, number):
    flags = getattr(ft2font, "LoadFlags", None)  # matplotlib 3.10 and later
    plain = flags.NO_SCALE | flags.NO_HINTING if flags else ft2font.LOAD_NO_SCALE | ft2font.LOAD_NO_HINTING
    font.load_glyph(number, plain)
    return font.get_path()[0]
