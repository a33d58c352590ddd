"""Lines of text in the cut fonts (`draw.fonts`), measured and outlined letter by letter.

Matplotlib finds the font and shapes every line anew, which takes far longer than to draw it. Letters of a cut font
stand one after another, closer or wider by pairs, and nothing else moves them: so advances and pairs are kept, and a
line is their sum. What is not of this kind (letters that no cut font has, marks above letters, signs that are not
shown) is left to matplotlib, and all of it where this matplotlib works in another way.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

import numpy as np
from matplotlib import font_manager, ft2font
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.path import Path
from matplotlib.textpath import text_to_path

from .fonts import CUT, WHOLE, WIDE, family

INCH = 25.4  # mm
POINTS = 72.0  # points an inch
KNOWN = hasattr(font_manager, "FontPath") and hasattr(ft2font, "Kerning")
MOVED = {"Mn", "Me", "Mc", "Cf", "Cc"}  # kinds of letters that another one moves, or that are not shown
PIXEL = 64.0  # units of the font library to one of its outlines
BOX = "□"
WEIGHTS = {"normal": False, 400: False, "bold": True, 700: True}


@dataclass(frozen=True, eq=False)
class Letter:
    """A letter of a cut font: its glyph's number there; advance, left and right end of its ink, lower and upper one,
    and the points of its outline, all in font sizes; the outline's codes."""

    glyph: int
    advance: float
    left: float
    right: float
    foot: float
    top: float
    points: np.ndarray
    codes: np.ndarray


@cache
def path_of(face: tuple) -> str:
    """Path of a cut font by its face, (name of the font, whether it is bold)."""
    family()  # so that the font is known
    return findfont(FontProperties(family=[face[0]], weight="bold" if face[1] else "normal"))


@lru_cache(maxsize=4096)
def _letter(letter, face):
    """Its `Letter`; None for what is not for us."""
    font = get_font(path_of(face))
    glyph = font.get_char_index(ord(letter))
    if not glyph or unicodedata.category(letter) in MOVED:
        return None
    shape = font.load_char(ord(letter), ft2font.LoadFlags.NO_SCALE | ft2font.LoadFlags.NO_HINTING)
    points, codes = font.get_path()
    left, foot, right, top = shape.bbox
    sizes = (length / font.units_per_EM for length in (shape.horiAdvance, left, right, foot, top))
    return Letter(glyph, *sizes, PIXEL * points / font.units_per_EM, codes)


@lru_cache(maxsize=16384)
def _closer(left, right, face):
    """How much further than the advance the next letter stands, in font sizes; mostly 0 or less."""
    font = get_font(path_of(face))
    pair = _letter(left, face).glyph, _letter(right, face).glyph
    return font.get_kerning(*pair, ft2font.Kerning.UNSCALED) / font.units_per_EM


def letters_of(text: str, bold: bool = False):
    """(face, `Letter` of each letter, how much further than its advance the next one stands); None for a line with
    letters that are not for us, or not all in the same cut font."""
    return _letters_of(text, bold) if KNOWN else None


@lru_cache(maxsize=20000)
def _letters_of(text, bold):
    for name in (CUT, WIDE):
        face = name, bold
        letters = [_letter(letter, face) for letter in text]
        if None not in letters:
            kerns = [*(_closer(left, right, face) for left, right in pairwise(text)), 0.0][: len(text)]
            return face, letters, kerns
    return None


@cache
def font_of(size: float, bold: bool = False) -> FontProperties:
    """The font of papers and drawings at a size in points."""
    return FontProperties(family=list(family()), size=size, weight="bold" if bold else "normal")


def weight_of(prop: FontProperties) -> bool | None:
    """Whether a font is the bold one of papers; None where it is not of these."""
    ours = list(prop.get_family()) == list(family()) and prop.get_style() == "normal"
    return WEIGHTS.get(prop.get_weight()) if ours else None


@lru_cache(maxsize=20000)
def line_width(text: str, size: float, bold: bool = False) -> float:
    """Width of one line of text on paper [mm], of a size in points: advances, and what ink stands out of them."""
    return line_box(text, size, bold)[0] / POINTS * INCH


def line_box(text: str, size: float, bold: bool = False) -> tuple:
    """(width, height of the ink, what of it is below the base line) of one line, as matplotlib measures it where it can
    be drawn [points]."""
    found = letters_of(text, bold)
    if found is None:
        return text_to_path.get_text_width_height_descent(drawable(text), font_of(size, bold), ismath=False)
    _, letters, kerns = found
    ends, x = [0.0], 0.0
    for letter, kern in zip(letters, kerns, strict=True):
        ends += [x + letter.left, x + letter.right]
        x += letter.advance + kern
    foot = min((letter.foot for letter in letters), default=0.0)
    top = max((letter.top for letter in letters), default=0.0)
    return size * (max(*ends, x) - min(ends)), size * (top - foot), -size * foot


def outline(text: str, bold: bool = False) -> Path | None:
    """The outlines of all letters of a line, in font sizes from its base point; None for a line that is not for us."""
    found = letters_of(text, bold)
    if found is None:
        return None
    x, points, codes = 0.0, [np.empty((0, 2))], [np.empty(0, Path.code_type)]
    for letter, kern in zip(*found[1:], strict=True):
        points, codes = [*points, letter.points + (x, 0.0)], [*codes, letter.codes]
        x += letter.advance + kern
    return Path(np.concatenate(points), np.concatenate(codes), readonly=True)


def wrapped(words: str, wide: float, size: float, bold: bool = False) -> list:
    """Lines of at most `wide` mm; a word that is longer has one of its own."""
    lines = [""]
    for word in words.split():
        trial = f"{lines[-1]} {word}".strip()
        if lines[-1] and line_width(trial, size, bold) > wide:
            lines.append(word)
        else:
            lines[-1] = trial
    return lines


# ----- Letters that no font here has


@lru_cache(maxsize=20000)
def drawable(text: str) -> str:
    """The text with what the fonts cannot draw replaced: by a plain form where there is one, else by a box."""
    return "".join(_drawable_letter(letter) for letter in text)


def not_drawable(text: str) -> tuple:
    """The letters of a text for which a box stands, each once."""
    return tuple(letter for letter in dict.fromkeys(text) if letter != BOX and drawable(letter) == BOX)


@cache
def _drawable_letter(letter):
    font = get_font(findfont(FontProperties(family=[WHOLE])))
    for form in (letter, unicodedata.normalize("NFKC", letter)):
        if form.isprintable() and all(font.get_char_index(ord(c)) for c in form):
            return form
    return BOX if letter.isprintable() else " "
