"""The font of all drawings and papers: DejaVu Sans, which comes with matplotlib, cut to what papers are written in.

A PDF holds of a font only the letters it uses, and picking these from the whole font (some 6,000 letters, with tables
of ligatures and marks) takes longer than drawing the page. So it is cut once, under names of its own, and kept in
matplotlib's cache folder: to Latin and the signs that papers use, from which picking is quickest, and to Latin, Greek,
Cyrillic and more signs for what is not in the first. Letters stand as far apart as in the whole font without its
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
CUT, WIDE = "panelmech Sans", "panelmech Sans Wide"
_SIGNS = "–—‘’“”•…′″‹›⁄→←↑↓∂∆∑−√∞∫≈≠≤≥□▲△▽◇◌●◐✕�"
_KEPT = {  # letters of each cut: ranges, and more
    CUT: (((0x20, 0x7F), (0xA0, 0x180), (0x391, 0x3CA), (0x2070, 0x208F), (0x215B, 0x215F)), _SIGNS),
    WIDE: (((0x20, 0x250), (0x2B0, 0x530), (0x2000, 0x2300), (0x25A0, 0x2600), (0x2700, 0x2720)), _SIGNS),
}
_LEFT_OUT = ("GSUB", "GPOS", "GDEF", "MATH", "FFTM")  # ligatures, marks, formulas: not used here
_NOT_IN_PDF = ("kern", "gasp", "OS/2", "cmap")  # a PDF names glyphs by number, and tells their letters beside the font
_MAKE = 3  # raised where the cut font is made in another way


@cache
def family() -> tuple:
    """Names of the fonts to ask matplotlib for, first to last."""
    for weight in ("normal", "bold"):
        path = Path(findfont(FontProperties(family=[WHOLE], weight=weight)))
        for name in _KEPT:
            fontManager.addfont(_cut_of(path, name))
    return *_KEPT, WHOLE


@cache
def in_pdf(path: str) -> str:
    """Path of a cut font as PDF files hold it: the same glyphs by the same numbers, without what fits letters to pixels
    or to each other, or finds them, which takes longer to pick from than the letters do."""
    whole = Path(path)
    return str(_kept(whole.with_stem(f"{whole.stem}-pdf"), lambda to: _make_bare(whole, to)))


def _cut_of(path, name):
    """Path of a cut font, made where it is not there yet."""
    kind = "wide-" if name == WIDE else ""
    place = Path(matplotlib.get_cachedir()) / f"panelmech-{_MAKE}-{matplotlib.__version__}-{kind}{path.stem}.ttf"
    return _kept(place, lambda to: _make(path, to, name))


def _kept(place, make):
    """A file's path; where it is not there yet, what `make` writes to a path is put there whole."""
    if not place.exists():
        handle, made = tempfile.mkstemp(suffix=".ttf", dir=place.parent)
        os.close(handle)
        make(made)
        os.replace(made, place)
    return place


def _make(path, to, name):
    font = _picked(path, _LEFT_OUT, _of_cut(name), name_IDs=["*"], legacy_kern=True, glyph_names=True)
    for record in font["name"].names:
        if record.nameID in (1, 3, 4, 6, 16):
            own = name if record.nameID != 6 else name.replace(" ", "")
            style = str(font["name"].getDebugName(2))
            record.string = own if record.nameID in (1, 16) else f"{own}-{style}"
    font.save(to)


def _make_bare(path, to):
    _picked(path, _NOT_IN_PDF, lambda font: {"glyphs": font.getGlyphOrder()}, name_IDs=[6], hinting=False).save(to)


def _of_cut(name):
    ranges, more = _KEPT[name]
    return lambda font: {"unicodes": [code for first, last in ranges for code in range(first, last)], "text": more}


def _picked(path, drop, which, **kept):
    """A font of some letters: `which` of the whole one; `drop`: tables without which, and what is `kept`."""
    from fontTools import subset  # here, for it is needed once only

    logging.getLogger("fontTools.subset").setLevel(logging.ERROR)
    tables = [*subset.Options._drop_tables_default, *drop]
    options = subset.Options(drop_tables=tables, recalc_timestamp=False, **kept)
    font = subset.load_font(str(path), options)
    cutter = subset.Subsetter(options)
    cutter.populate(**which(font))
    cutter.subset(font)
    return font
