"""The live panels of the notebooks: controls, views and files on one engine. No formula and no drawing of their own.

May use: ipywidgets, anywidget, and the rooms below. Verbs: open the panel of a notebook, show a figure or a text
of a panel on its page.

Why it is so
- No `interact`, no Output widget: their printed text leaks into the cell, and strict comparison fails on it.
- Every callback runs in one guard under one lock: a notebook hides what goes wrong in a callback, and JupyterLab brings
  widget messages on another thread than cells and timers.
- What is quick is computed at every move, the rest when the hand has rested a quarter of a second: the widgets do not
  tell the end of a drag; the kernel's event loop can wait, without a thread.
- Fields, handles, folds and pictures are parts of our own (`parts.js`, `parts.py`): text as typed goes to Python, which
  alone decides what becomes of it, so nothing is changed on the way; and each has a name and a state for every reader.
- Verdict, section and first inputs are one bench that stays together: side by side where there is room, else the
  verdict and a small picture stay at the top while the controls scroll.
- Clicks on the map go through a grid of see-through buttons over the picture: the widgets have no event for a click
  on a picture, and a click should snap to a size one can buy.
- Readings are typed as lists, one field for each thing and sheet: a box for every reading would be hundreds of
  widgets.
- A figure on a page is one output of two forms, the picture and its digest: readers see the one, comparisons read the
  other.
- Framed sheets are kept by the load panel from move to move: they hang on the part, not on its loads.
"""

from .._door import thin_door

_VERBS = {  # module: what is fetched from it when first named
    "study_panel": "panel_bend panel_note panel_wedge",
    "trade_off_panel": "panel_trade",
    "pair_panel": "panel_pairs",
    "load_panel": "panel_loads",
    "shop_panel": "panel_shop",
    "notebook_page": "show_figure show_sheet show_texts",
    "study_tables": "checks_table folded full_report pressing_report stored verdict_line wedge_report",
    "trade_off_tables": "SHARES_OF cause_table failing_table ranking scatter_table side_by_side",
    "pair_tables": "clamp_table clamp_words known_table later_table later_words moduli_table "
    "pair_line pair_report_tables pairing_table rod_table sheets_table steering_report",
    "load_tables": "cases_table float_report load_checks_table rows_table",
    "shop_tables": "cut_tables heat_words pack_line pour_tables schedule_table template_table",
    "case_tables": "cited_table published_line published_tables",
    "style": "STYLE",
}

__getattr__, __dir__, __all__ = thin_door(__name__, _VERBS)
