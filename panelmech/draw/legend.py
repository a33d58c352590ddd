"""A legend in rows between a title and its axes, as wide as its words: quick to draw, and it covers nothing."""

from __future__ import annotations

from dataclasses import dataclass, field

from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from .figures import INCH, TINY
from .placing import text_size

ROW, KEY = 3.3, 7.0  # mm: one row of the legend, the piece of line in it


@dataclass(frozen=True)
class Entry:
    """One line of the legend: its words, and before them a piece of "line", a "mark", a "patch" or nothing."""

    words: str
    kind: str = ""
    look: dict = field(default_factory=dict)

    @property
    def width(self) -> float:
        """Room it takes [mm]."""
        return text_size(self.words, TINY)[0] + KEY + 5.0


def head(ax, title: str, entries, beside: float = 0.0) -> None:
    """Title of an axes, and between it and the axes, in rows, the legend. `beside`: room to the right [mm]."""
    box = ax.get_window_extent()
    wide, high = (side / ax.figure.dpi * INCH for side in (box.width, box.height))
    rows = _in_rows(entries, wide + beside - 4.0)
    for number, row in enumerate(reversed(rows)):
        y, x = 1.0 + (1.8 + ROW * number) / high, 0.0
        for entry in row:
            _key(ax, entry, (x / wide, (x + KEY) / wide), y, 1.0 / high)
            ax.text((x + KEY + 1.2) / wide, y, entry.words, fontsize=TINY, va="center_baseline", transform=ax.transAxes)
            x += entry.width
    ax.set_title(title, y=1.0, pad=(1.8 + ROW * len(rows)) / INCH * 72.0)


def _in_rows(entries, room):
    rows, left = [[]], room
    for entry in entries:
        if entry.width > left and rows[-1]:
            rows, left = [*rows, []], room
        rows[-1].append(entry)
        left -= entry.width
    return rows


def _key(ax, entry, ends, y, half):
    """The piece of line, mark or patch before an entry's words. It belongs to the figure, not to the axes: it is no
    part of what the axes show, and its place hangs on the width of words."""
    how = dict(transform=ax.transAxes, clip_on=False)
    add = ax.figure.add_artist
    if entry.kind == "line":
        add(Line2D(ends, (y, y), **entry.look, **how))
    elif entry.kind == "mark":
        add(Line2D((sum(ends) / 2,), (y,), **entry.look, **how))
    elif entry.kind == "patch":
        add(Rectangle((ends[0], y - half), ends[1] - ends[0], 2 * half, **entry.look, **how))
