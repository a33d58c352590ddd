"""What is said and handed over: rows, tables and blocks of words; pages, PDF, CSV; folders written whole.

May use: matplotlib for the PDF, and the rooms below. This door stays thin. Verbs: write a note, a load record, an
inspection record, the shop's sheets.

Why it is so
- A note is self-contained HTML and a PDF by matplotlib: no browser and no system library needed to write it.
- Every table is `blocks.Table`, rendered as HTML, PDF, text or CSV: one place where a row looks as it does.
- The bench's pages are laid out by the note's code on a scaled page: one layout, larger type where it is read
  standing.
- A folder is written whole and lists its files with digests: a later writing removes only what is surely its own.
- Fair comparisons are kept per design: one takes 1 to 3 s, and note, picture and CSV share it.
"""

from .published import load_answers

__all__ = [
    "load_answers",
]
