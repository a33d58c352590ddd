"""The font of all drawings and papers: DejaVu Sans, which comes with matplotlib, cut to what papers are written in.

A PDF holds of a font only the letters it uses, and picking these from the whole font (some 6,000 letters, with tables
of ligatures and marks) takes longer than drawing the page. So it is cut once to Latin, Greek, Cyrillic and signs, under
a name of its own, and kept in matplotlib's cache folder. Letters stand as far apart as in the whole font without its
ligatures (ff, fi), and the whole font stands in for letters that were left out.
"""

from __future__ import annotations

import logging
import os
import tempfile
from functools import cache
from pathlib import Path

import matplotlib
from matplotlib.font_manager import FontProperties, findfont, fontManager

WHOLE = "DejaVu Sans"
CUT = "panelmech Sans"
_RANGES = ((0x20, 0x250), (0x2B0, 0x530), (0x2000, 0x2300), (0x25A0, 0x2600), (0x2700, 0x2720), (0xFFFD, 0xFFFE))
_LEFT_OUT = ("GSUB", "GPOS", "GDEF", "MATH", "FFTM")  # ligatures, marks, formulas: not used here
_MAKE = 1  # raised where the cut font is made in another way


@cache
def family() -> tuple:
    """Names of the font to ask matplotlib for, first to last."""
    for weight in ("normal", "bold"):
        path = Path(findfont(FontProperties(family=[WHOLE], weight=weight)))
        fontManager.addfont(_cut_of(path))
    return CUT, WHOLE


def _cut_of(path):
    """Path of the cut font, made where it is not there yet."""
    place = Path(matplotlib.get_cachedir()) / f"panelmech-{_MAKE}-{matplotlib.__version__}-{path.stem}.ttf"
    if not place.exists():
        handle, made = tempfile.mkstemp(suffix=".ttf", dir=place.parent)
        os.close(handle)
        _make(path, made)
        os.replace(made, place)
    return place


def _make(path, to):
    from fontTools import subset  # here, for it is needed once only

    logging.getLogger("fontTools.subset").setLevel(logging.ERROR)
    drop = [*subset.Options._drop_tables_default, *_LEFT_OUT]
    kept = {"name_IDs": ["*"], "legacy_kern": True, "glyph_names": True, "recalc_timestamp": False}
    options = subset.Options(drop_tables=drop, **kept)
    font = subset.load_font(str(path), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[code for first, last in _RANGES for code in range(first, last)])
    cutter.subset(font)
    for record in font["name"].names:
        if record.nameID in (1, 3, 4, 6, 16):
            name = CUT if record.nameID != 6 else CUT.replace(" ", "")
            style = str(font["name"].getDebugName(2))
            record.string = name if record.nameID in (1, 16) else f"{name}-{style}"
    font.save(to)
