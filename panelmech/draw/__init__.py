"""Pictures of records, on axes that are given: matplotlib figures, live SVG, templates at true scale. No mechanics.

May use: matplotlib, ezdxf where it writes, and the rooms below. What is light (look, shapes, digest, live_svg) must not
bring matplotlib in: this door fetches a heavy function when it is asked for. Verbs: draw a figure, digest it as text,
make its bytes.

Why it is so
- The live picture is SVG text: only a small SVG keeps up with a drag, and it can be tested as text.
- The live map is a PNG by matplotlib, the figure kept from move to move, what stays the same kept as pixels: it needs
  bands, hatching and names. A test compares it with a fresh drawing, pixel by pixel.
- No pyplot: it keeps figures alive and changes the caller's backend. Files repeat byte for byte.
- A DXF is written by ezdxf, release 2007: the file itself says millimetres, arcs stay arcs for a cutter, titles keep
  their letters. SVG is so plain that our own few lines do.
- Every page of templates is a figure of the paper's size with two check bars and the offset table: paper shrinks.
- Allowables of one quantity stand beside each diagram, all loads together as bars: a line for the sum would hang on
  the case.
"""

from __future__ import annotations

import importlib as _importlib
import typing as _typing

from .digest import figure_digest

if _typing.TYPE_CHECKING:
    from .figures import figure_bytes
    from .template_pages import template_sheets
    from .trade_off_figures import sizing_figure

__all__ = [
    "figure_bytes",
    "figure_digest",
    "sizing_figure",
    "template_sheets",
]

_HEAVY = {"figure_bytes": "figures", "sizing_figure": "trade_off_figures", "template_sheets": "template_pages"}


def __getattr__(name: str):
    """Functions that need matplotlib, on first use: none has the name of a module."""
    if name in _HEAVY:
        return getattr(_importlib.import_module(f".{_HEAVY[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
