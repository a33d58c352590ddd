"""Letters cut out of a font once (tests only).

Every PDF carries the letters it uses, and matplotlib cuts them out of the font anew for each: half the time of writing
a note. The same letters of the same font are the same bytes, so tests, which write the same pages over and over, keep
them. What is written does not change.
"""

from contextlib import nullcontext
from io import BytesIO

from matplotlib.backends import _backend_pdf_ps as fonts


class Letters(bytes):
    """A font's letters as the bytes of a file; stands where matplotlib has an open font."""

    font = property(lambda self: self)


def keep(monkeypatch):
    """Let matplotlib ask here first, until the monkeypatch is undone; older versions (3.9) go on without."""
    if not hasattr(fonts, "font_as_file"):
        return
    cut_out, as_file, known = fonts.get_glyphs_subset, fonts.font_as_file, {}

    def get_glyphs_subset(font, letters):
        key = (str(font), getattr(font, "face_index", 0), frozenset(letters))
        if key not in known:
            with cut_out(font, letters) as made:  # an open font or, in newer versions, a record that holds one
                known[key] = Letters(as_file(getattr(made, "font", made)).getvalue())
                known[key].glyph_index_map = getattr(made, "glyph_index_map", None)
        return nullcontext(known[key])

    monkeypatch.setattr(fonts, "get_glyphs_subset", get_glyphs_subset)
    monkeypatch.setattr(
        fonts, "font_as_file", lambda font: BytesIO(font) if isinstance(font, Letters) else as_file(font)
    )
