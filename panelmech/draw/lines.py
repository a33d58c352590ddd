"""Lines of text written into PDF and SVG, and drawn on pixels, letter by letter (`draw.letters`).

What is not for us goes to matplotlib.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import matplotlib
from matplotlib import font_manager
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.backends.backend_pdf import RendererPdf
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.colors import rgb2hex
from matplotlib.font_manager import FontProperties, get_font
from matplotlib.text import Text
from matplotlib.transforms import Affine2D

from .fonts import in_pdf
from .letters import INCH, font_of, letters_of, line_width, outline, path_of, weight_of

_CODES = WeakKeyDictionary()  # {file: {(letter, face): its code}}
_BEFORE = {"left": 0.0, "center": 0.5, "right": 1.0}  # share of a line before its place


def renderer_within(renderer):
    """The renderer that is at work: some mix several kinds, and have it within."""
    return renderer if type(renderer) in WRITERS else getattr(renderer, "_renderer", None)


def write_text(renderer, gc, x: float, y: float, text: str, prop: FontProperties, angle: float, mtext=None) -> None:
    """Write a line as `renderer.draw_text` does, from its base point."""
    own = renderer_within(renderer)
    bold, write = weight_of(prop), WRITERS.get(type(own))
    found = None if write is None or bold is None or gc.get_url() is not None else letters_of(text, bold)
    if found is None or not write(own, gc, x, y, text, found, prop.get_size_in_points(), angle):
        renderer.draw_text(gc, x, y, text, prop, angle, ismath=False, mtext=mtext)


# Each tells whether it wrote the line. `found`: as of `letters_of`.


def _on_pixels(agg, gc, x, y, text, found, size, angle):
    """`y` is from the top."""
    gc.set_linewidth(0.0)
    place = Affine2D().scale(agg.points_to_pixels(size)).rotate_deg(angle).translate(x, agg.height - y)
    agg.draw_path(gc, outline(text, found[0][1]), place, gc.get_rgb())
    return True


def _in_pdf(pdf, gc, x, y, text, found, size, angle):
    operators = _pdf_operators(pdf, x, y, text, found, size, angle)
    if operators is None:
        return False
    pdf.check_gc(gc, gc.get_rgb())
    pdf.file.write(operators)
    return True


def _pdf_operators(pdf, x, y, text, found, size, angle=0.0):
    """What writes a line in a PDF; None where this cannot."""
    pieces = _codes_of(pdf.file, text, found)
    if None in pieces or matplotlib.rcParams["pdf.fonttype"] != 42:
        return None
    moves = [round(-1000.0 * kern) for kern in found[2]]
    shown = b"".join(piece + (b">%d<" % move if move else b"") for piece, move in zip(pieces, moves, strict=True))
    font = pdf.file.fontName(font_manager.FontPath(in_pdf(path_of(found[0])), 0))
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    about = font.pdfRepr(), size, cos, sin, -sin + 0.0, cos, x, y, shown
    return b"BT %s %.4f Tf %.6f %.6f %.6f %.6f %.3f %.3f Tm [<%s>] TJ ET\n" % about


def _codes_of(file, text, found):
    """Code of each letter in a file, each asked for once; None where it is not in the first part of its font."""
    face, letters, _ = found
    known, font = _CODES.setdefault(file, {}), get_font(in_pdf(path_of(face)))
    for letter, of in zip(text, letters, strict=True):
        if (letter, face) not in known:
            part, number = file._character_tracker.track_glyph(font, letter, of.glyph)
            known[letter, face] = None if part else b"%04x" % number
    return [known[letter, face] for letter in text]


EM = 32.0  # font size of the letters in an SVG: their points are then whole numbers, as in the font


def _in_svg(svg, gc, x, y, text, found, size, angle):
    """Each letter's outline once, put in its places."""
    if matplotlib.rcParams["svg.fonttype"] != "path":
        return False
    face, letters, kerns = found
    font, writer, at = get_font(path_of(face)).postscript_name, svg.writer, 0.0
    names = [f"{font}_{letter.glyph:x}" for letter in letters]  # none of matplotlib's own
    new = {name: letter for name, letter in zip(names, letters, strict=True) if name not in svg._glyph_map}
    writer.comment(text)
    cut = svg._get_clip_attrs(gc)
    if cut:
        writer.start("g", **cut)
    svg._update_glyph_map_defs({name: (EM * letter.points, letter.codes) for name, letter in new.items()})
    seen = gc.get_alpha() if gc.get_forced_alpha() else gc.get_rgb()[3]
    looks = (f"fill: {rgb2hex(gc.get_rgb())}", f"opacity: {seen:g}" * (seen != 1.0))
    turned = f" rotate({-angle:g})" if angle else ""
    place = f"translate({x:.8g} {y:.8g}){turned} scale({size / EM:g} {-size / EM:g})"
    writer.start("g", style="; ".join(filter(None, looks)), transform=place)
    rows, before = [], _indentation(writer)
    for name, letter, kern in zip(names, letters, kerns, strict=True):
        rows.append(f'{before}<use xlink:href="#{name}" transform="translate({EM * at:.8g})"/>\n')
        at += letter.advance + kern
    writer._XMLWriter__write("".join(rows))
    writer.end("g")
    if cut:
        writer.end("g")
    return True


def _indentation(writer):
    """What rows within the open element begin with, whose own start is then written."""
    writer._XMLWriter__flush()
    return " " * len(writer._XMLWriter__tags)


WRITERS = {RendererPdf: _in_pdf, RendererAgg: _on_pixels, RendererSVG: _in_svg}


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
            wide = line_width(words, prop.get_size_in_points(), weight_of(prop)) / INCH * self.get_figure().dpi
            x -= before * wide * math.cos(math.radians(angle))
            y -= before * wide * math.sin(math.radians(angle))
        y = renderer.get_canvas_width_height()[1] - y if renderer.flipy() else y
        gc = renderer.new_gc()
        gc.set_foreground(self.get_color())
        write_text(renderer, gc, x, y, words, prop, angle, mtext=self)
        gc.restore()


@dataclass(frozen=True, eq=False)
class TextLine:
    """One line of text on a page: the left end of its base line in shares of the page from its lower left corner, its
    words, their size [points], weight and colour. It answers as `Text` does."""

    x: float
    y: float
    words: str
    size: float
    bold: bool
    colour: str

    def get_text(self) -> str:
        """The words."""
        return self.words

    def get_position(self) -> tuple:
        """(x, y)."""
        return self.x, self.y

    def get_fontsize(self) -> float:
        """The size in points."""
        return self.size


def write_lines(renderer, lines) -> None:
    """Write lines that stand clear of each other, those of one colour together."""
    wide, high = renderer.get_canvas_width_height()
    for colour in dict.fromkeys(line.colour for line in lines):
        gc = renderer.new_gc()
        gc.set_foreground(colour)
        same = [line for line in lines if line.colour == colour]
        for line in _not_in_pdf(renderer_within(renderer), gc, wide, high, same):
            y = high * (1.0 - line.y if renderer.flipy() else line.y)
            write_text(renderer, gc, wide * line.x, y, line.words, font_of(line.size, line.bold), 0.0)
        gc.restore()


def _not_in_pdf(own, gc, wide, high, lines):
    """The lines that are left when a PDF has those that can be written at once; else all."""
    if not isinstance(own, RendererPdf):
        return lines
    written, left = [], []
    for line in lines:
        found = letters_of(line.words, line.bold)
        operators = found and _pdf_operators(own, wide * line.x, high * line.y, line.words, found, line.size)
        (written if operators else left).append(operators or line)
    own.check_gc(gc, gc.get_rgb())
    own.file.write(b"".join(written))
    return left
