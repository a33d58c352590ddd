"""Lines measured and outlined letter by letter are what they would be if matplotlib shaped them."""

import numpy as np
import pytest
from matplotlib.textpath import text_to_path

from panelmech.draw.letters import KNOWN, font_of, line_box, line_width, outline

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


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", LINES)
def test_a_line_is_as_high_as_matplotlib_says(text, bold):
    size = text_to_path.get_text_width_height_descent(text, font_of(8.0, bold), ismath=False)
    assert line_box(text, 8.0, bold) == pytest.approx(size, abs=0.02)  # it rounds to 1/64 at 100 points


@pytest.mark.skipif(not KNOWN, reason="a matplotlib that shapes every line itself")
@pytest.mark.parametrize("bold", [False, True])
def test_an_outline_is_that_of_matplotlib(bold):
    points, codes = text_to_path.get_text_path(font_of(8.0, bold), "AV To, 1.5 − ½")
    ours = outline("AV To, 1.5 − ½", bold)
    assert np.array_equal(ours.codes, codes)
    assert 100.0 * ours.vertices == pytest.approx(np.array(points), abs=0.1)  # at 100 points, rounded to 1/64 each
    assert outline("e\u0301") is None
