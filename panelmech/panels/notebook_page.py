"""What a notebook's page shows beside its live panel: figures with their words, and texts of the panels, stored.

A figure is shown as one output of two forms: the picture, which a reader sees, and its digest as plain text, which
nobody sees but every comparison of stored outputs reads. So a changed curve is noticed and no page carries a log.
"""

from __future__ import annotations

from base64 import b64encode

from IPython.display import HTML, display

from ..draw.digest import figure_digest
from ..draw.figures import figure_bytes
from ..report.pages import Inset
from .study_tables import folded, stored

SCREEN = 150.0  # dots per inch
SHEET = 92.0  # the same for a sheet of paper: it is as wide as a page of the notebook
FINER = 2  # times as many of a sheet: letters of a page set on so few would be as much as a twentieth too wide


def show_figure(fig, words: str = "", dpi: float = SCREEN) -> None:
    """Show a matplotlib figure, and `words`, what it shows, under a line that unfolds them; a picture in a notebook
    can carry no text of its own. Raises ValueError for a figure without axes."""
    _show(fig, figure_digest(fig), words, dpi)
    if words:
        display(HTML(folded(words)))


def show_sheet(sheet) -> None:
    """Show a sheet of a paper (`report.first_page`), and the words on it under a line that unfolds them."""
    words = " | ".join(text.get_text() for text in sheet.texts if text.get_text())
    drawings = [artist.inset for artist in sheet.artists if isinstance(artist, Inset)]
    width = round(sheet.get_size_inches()[0] * SHEET)
    _show(sheet, "\n".join(map(figure_digest, drawings)), words, FINER * SHEET, {"image/png": {"width": width}})
    display(HTML(folded(words, "The words on this sheet")))


def _show(fig, digest, words, dpi, metadata=None):
    picture = b64encode(figure_bytes(fig, "png", words, dpi)).decode()
    display({"image/png": picture, "text/plain": digest}, raw=True, metadata=metadata)


def show_texts(*parts: str) -> None:
    """Show texts of the panels (HTML: a verdict, a table), set as in a panel where the style sheet is on the page."""
    display(HTML(stored(*parts)))
