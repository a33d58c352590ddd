"""Lines of text in the cut font (`draw.fonts`), measured and written into a PDF letter by letter.

Matplotlib finds the font and shapes every line anew, which takes far longer than to write it. Letters of the cut font
stand one after another, closer or wider by pairs, and nothing else moves them: so advances and pairs are kept, and a
line is their sum. What is not of this kind (letters the font lacks, marks above letters, signs that are not shown) is
left to matplotlib, and all of it where this matplotlib works in another way.
"""

from __future__ import annotations

import math
import unicodedata
from functools import cache, lru_cache
from itertools import pairwise
from weakref import WeakKeyDictionary

import matplotlib
from matplotlib import font_manager, ft2font
from matplotlib.backends.backend_pdf import RendererPdf
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.text import Text
from matplotlib.textpath import text_to_path

from .figures import INCH
from .fonts import CUT, family

KNOWN = hasattr(font_manager, "FontPath") and hasattr(ft2font, "Kerning")
MOVED = {"Mn", "Me", "Mc", "Cf", "Cc"}  # kinds of letters that another one moves, or that are not shown
_CODES = WeakKeyDictionary()  # {file: codes of its letters, not bold and bold}
WEIGHTS = {"normal": False, 400: False, "bold": True, 700: True}
_BEFORE = {"left": 0.0, "center": 0.5, "right": 1.0}  # share of a line before its place


@lru_cache(maxsize=2)
def _path(bold):
    family()  # so that the font is known
    return findfont(FontProperties(family=[CUT], weight="bold" if bold else "normal"))


@lru_cache(maxsize=4096)
def _letter(letter, bold):
    """(glyph, advance, left and right end of its ink) in font sizes; None for what is not for us."""
    font = get_font(_path(bold))
    glyph = font.get_char_index(ord(letter))
    if not glyph or unicodedata.category(letter) in MOVED:
        return None
    shape = font.load_char(ord(letter), ft2font.LoadFlags.NO_SCALE | ft2font.LoadFlags.NO_HINTING)
    left, _, right, _ = shape.bbox
    return glyph, *(length / font.units_per_EM for length in (shape.horiAdvance, left, right))


@lru_cache(maxsize=16384)
def _closer(left, right, bold):
    """How much further than the advance the next letter stands, in font sizes; mostly 0 or less."""
    font = get_font(_path(bold))
    pair = _letter(left, bold)[0], _letter(right, bold)[0]
    return font.get_kerning(*pair, ft2font.Kerning.UNSCALED) / font.units_per_EM


def _letters(text, bold):
    """Every letter of a line, None where one of them is not for us."""
    letters = [_letter(letter, bold) for letter in text] if KNOWN else [None]
    return None if None in letters else letters


@cache
def font_of(size: float, bold: bool = False) -> FontProperties:
    """The font of papers and drawings at a size in points."""
    return FontProperties(family=list(family()), size=size, weight="bold" if bold else "normal")


@lru_cache(maxsize=20000)
def line_width(text: str, size: float, bold: bool = False) -> float:
    """Width of one line of text on paper [mm], of a size in points: advances, and what ink stands out of them."""
    letters = _letters(text, bold)
    if letters is None:
        return text_to_path.get_text_width_height_descent(text, font_of(size, bold), ismath=False)[0] / 72.0 * INCH
    ends, x = [0.0], 0.0
    for (_, advance, left, right), kern in zip(letters, _kerns(text, bold), strict=True):
        ends += [x + left, x + right]
        x += advance + kern
    return size * (max(*ends, x) - min(ends)) / 72.0 * INCH


def _kerns(text, bold):
    """How much further each next letter stands; after the last one there is none."""
    return [*(_closer(left, right, bold) for left, right in pairwise(text)), 0.0][: len(text)]


def _is_bold(prop):
    """None for a weight that there is not."""
    return WEIGHTS.get(prop.get_weight())


def write_text(renderer, gc, x: float, y: float, text: str, prop: FontProperties, angle: float, mtext=None) -> None:
    """Write a line as `renderer.draw_text` does, from its base point."""
    pdf = getattr(renderer, "_renderer", renderer)  # of a renderer that mixes kinds
    bold, ours = _is_bold(prop), list(prop.get_family()) == list(family())
    plain = ours and bold is not None and prop.get_style() == "normal" and type(pdf) is RendererPdf
    code = plain and gc.get_url() is None and _code(pdf.file, text, bold)
    if not code:
        renderer.draw_text(gc, x, y, text, prop, angle, ismath=False, mtext=mtext)
        return
    font, shown = code
    pdf.check_gc(gc, gc.get_rgb())
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    about = font.pdfRepr(), prop.get_size_in_points(), cos, sin, -sin + 0.0, cos, x, y, shown
    pdf.file.write(b"BT %s %.4f Tf %.6f %.6f %.6f %.6f %.3f %.3f Tm %s TJ ET\n" % about)


def _code(file, text, bold):
    """(name of the font in the file, text in its codes with what moves letters); None where it is not for us."""
    letters = _letters(text, bold) if matplotlib.rcParams["pdf.fonttype"] == 42 else None
    if letters is None:
        return None
    codes = _codes_of(file, bold)
    pieces = [codes(letter, of[0]) for letter, of in zip(text, letters, strict=True)]
    if None in pieces:
        return None
    moves = [round(-1000.0 * kern) for kern in _kerns(text, bold)]
    shown = b"".join(piece + (b">%d<" % move if move else b"") for piece, move in zip(pieces, moves, strict=True))
    return file.fontName(font_manager.FontPath(_path(bold), 0)), b"[<%s>]" % shown


def _codes_of(file, bold):
    """Function of (letter, glyph): its code in a file, each asked for once; None where it is not in the first part of
    the font."""
    known = _CODES.setdefault(file, ({}, {}))[bold]
    font = get_font(_path(bold))

    def code(letter, glyph):
        if letter not in known:
            part, number = file._character_tracker.track_glyph(font, letter, glyph)
            known[letter] = None if part else b"%04x" % number
        return known[letter]

    return code


class Written(Text):
    """One line of text by an end, or the middle, of its base line. Its width is known, so it is drawn as it is:
    matplotlib would lay it out again, which takes longer than drawing it. It is not cut."""

    def draw(self, renderer):
        """As of `Text`, without a layout."""
        words, prop, angle = self.get_text(), self.get_fontproperties(), self.get_rotation()
        if not self.get_visible() or not words:
            return
        x, y = self.get_transform().transform(self.get_position())
        if before := _BEFORE[self.get_horizontalalignment()]:
            wide = line_width(words, prop.get_size_in_points(), _is_bold(prop)) / INCH * self.get_figure().dpi
            x -= before * wide * math.cos(math.radians(angle))
            y -= before * wide * math.sin(math.radians(angle))
        y = renderer.get_canvas_width_height()[1] - y if renderer.flipy() else y
        gc = renderer.new_gc()
        gc.set_foreground(self.get_color())
        write_text(renderer, gc, x, y, words, prop, angle, mtext=self)
        gc.restore()
