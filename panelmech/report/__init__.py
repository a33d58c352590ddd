"""What is said and handed over: rows, tables and blocks of words; pages, PDF, CSV; folders written whole.

May use: matplotlib for the PDF, and the rooms below. This door stays thin. Verbs: write a note, a load record, an
inspection record, the shop's sheets, or all papers of a job.

Why it is so
- A note is self-contained HTML and a PDF by matplotlib: no browser and no system library needed to write it.
- Every table is `blocks.Table`, rendered as HTML, PDF, text or CSV: one place where a row looks as it does.
- The bench's pages are laid out by the note's code on a scaled page: one layout, larger type where it is read
  standing.
- A folder is written whole and lists its files with digests: a later writing removes only what is surely its own.
- Fair comparisons are kept per design: one takes 1 to 3 s, and note, picture and CSV share it.
"""

from .._door import thin_door

_VERBS = {  # module: what is fetched from it when first named
    "note": "first_page note_contents write_load_record write_note",
    "papers": "write_papers",
    "shop_sheets": "shop_contents write_shop",
    "wedge_rows": "full_comparison sides_text",
    "blade_rows": "rod_share_words station_rows wall_rows",
    "load_rows": "rod_stress_words support_words",
    "offset_rows": "part_sentences",
    "published": "bend_answers load_answers note_answers pair_answers "
    "published_text section_answers shop_answers trade_answers",
}

__getattr__, __dir__, __all__ = thin_door(__name__, _VERBS)
