"""PNG files: any reader gets the same pixels, size on paper and words out of them."""

import io

import numpy as np
import pytest
from PIL import Image

from panelmech.draw.png import png

CHANCE = np.random.default_rng(5)


@pytest.mark.parametrize("cover", ["all", "some"])
def test_a_reader_gets_the_pixels_the_size_and_the_words(cover):
    pixels = CHANCE.integers(0, 256, (7, 11, 4), np.uint8)
    if cover == "all":
        pixels[..., 3] = 255
    with Image.open(io.BytesIO(png(pixels, 200.0, "a bend, 18 mm · ε"))) as picture:
        assert picture.mode == ("RGB" if cover == "all" else "RGBA")
        assert (np.asarray(picture.convert("RGBA")) == pixels).all()
        assert picture.info["dpi"] == pytest.approx((200.0, 200.0), abs=0.02)  # whole pixels a metre
        assert picture.text == {"Description": "a bend, 18 mm · ε"}


def test_without_words_the_file_says_none():
    with Image.open(io.BytesIO(png(np.full((2, 3, 4), 255, np.uint8), 100.0))) as picture:
        assert picture.text == {}
