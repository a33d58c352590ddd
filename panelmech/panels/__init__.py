"""The live panels of the notebooks: controls, views and files on one engine. No formula and no drawing of their own.

May use: ipywidgets, and the rooms below. Verbs: open the panel of a notebook.

Why it is so
- No `interact`, no Output widget: their printed text leaks into the cell, and strict comparison fails on it.
- Every callback runs in one guard under one lock: a notebook hides what goes wrong in a callback, and JupyterLab brings
  widget messages on another thread than cells and timers.
- What is quick is computed at every move, the rest when the hand has rested a quarter of a second: the widgets do not
  tell the end of a drag; the kernel's event loop can wait, without a thread.
- Clicks on the map go through a grid of see-through buttons over the picture: the widgets have no event for a click
  on a picture, and a click should snap to a size one can buy.
- Readings are typed as lists, one field for each thing and sheet: a box for every reading would be hundreds of
  widgets.
- Framed sheets are kept by the load panel from move to move: they hang on the part, not on its loads.
"""
