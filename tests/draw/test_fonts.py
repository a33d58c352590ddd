"""The font that is cut for papers: as wide as the whole one, all letters there, quicker to pick letters from."""

import pytest
from matplotlib.font_manager import FontProperties, findfont
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
    assert width(words, fonts.family()[:1], weight) == width(words, (fonts.WHOLE,), weight)


def test_drawings_ask_for_the_cut_font_and_then_the_whole_one():
    assert tuple(STYLE["font.family"]) == fonts.family() == (fonts.CUT, fonts.WHOLE)
    paths = {findfont(FontProperties(family=[fonts.CUT], weight=weight)) for weight in ("normal", "bold")}
    assert len(paths) == 2 and all("panelmech" in path for path in paths)


def test_a_letter_that_was_cut_away_comes_from_the_whole_font():
    """Armenian is in the whole font only."""
    words = "Նավակ"
    assert width(words, fonts.family(), "normal") == width(words, (fonts.WHOLE,), "normal")


def test_the_cut_font_is_made_anew_where_its_file_is_gone(tmp_path, monkeypatch):
    monkeypatch.setattr(fonts.matplotlib, "get_cachedir", lambda: str(tmp_path))
    whole = fonts.Path(findfont(FontProperties(family=[fonts.WHOLE])))
    made = fonts._cut_of(whole)
    assert [path.name for path in tmp_path.iterdir()] == [made.name]
    before = made.read_bytes()
    made.unlink()
    assert fonts._cut_of(whole).read_bytes() == before
