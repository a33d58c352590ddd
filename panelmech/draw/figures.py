"""Figures of an exact size in millimetres, in one style whatever the user's settings; files that repeat byte for byte.

No pyplot: a figure belongs to whoever asked for it, and nobody's backend is changed. The user's own matplotlib
settings are set aside while a figure is built and while it is written, so the same study gives the same file on every
machine with the same version of matplotlib.
"""

from __future__ import annotations

import io
import os
import tempfile
from dataclasses import dataclass, field
from functools import lru_cache, wraps
from pathlib import Path

import matplotlib
import numpy as np
import scipy
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.layout_engine import PlaceHolderLayoutEngine
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.textpath import text_to_path

from .look import INK, PAPER, QUIET, RULE

INCH = 25.4  # mm
TEXT = 8.0  # points: axis labels, titles
SMALL = 7.0  # points: ticks, dimensions
TINY = 6.0  # points: stamp
ROUNDS = 8  # of layout at most; three to five are usual
STAMP_ROOM = 5.0  # mm kept free at the foot of a figure
FONT = "DejaVu Sans"  # comes with matplotlib, so it is the same everywhere

_NOT_OURS = (
    "backend",
    "interactive",
    "toolbar",
    "webagg",
    "tk.",
    "macosx",
    "docstring",
    "savefig.directory",
    "figure.max_open_warning",
    "figure.raise_window",
    "date.epoch",
    "timezone",
)
STYLE = {key: value for key, value in dict.items(matplotlib.rcParamsDefault) if not key.startswith(_NOT_OURS)}
STYLE.update(
    {
        "font.family": [FONT],
        "font.size": SMALL,
        "text.color": INK,
        "text.parse_math": False,
        "axes.titlesize": TEXT,
        "axes.titleweight": "bold",
        "axes.titlelocation": "left",
        "axes.titlecolor": INK,
        "axes.labelsize": SMALL,
        "axes.labelcolor": INK,
        "axes.edgecolor": QUIET,
        "axes.linewidth": 0.6,
        "axes.facecolor": PAPER,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.unicode_minus": True,
        "axes.grid": True,
        "axes.axisbelow": True,
        "grid.color": RULE,
        "grid.linewidth": 0.5,
        "xtick.labelsize": SMALL,
        "ytick.labelsize": SMALL,
        "xtick.color": QUIET,
        "ytick.color": QUIET,
        "xtick.labelcolor": INK,
        "ytick.labelcolor": INK,
        "legend.fontsize": SMALL,
        "legend.frameon": False,
        "figure.facecolor": PAPER,
        "figure.dpi": 150.0,
        "savefig.dpi": 200.0,
        "savefig.bbox": None,
        "savefig.facecolor": PAPER,
        "savefig.transparent": False,
        "svg.hashsalt": "panelmech",
        "svg.fonttype": "path",
        "pdf.fonttype": 42,
    }
)


def in_style(draw):
    """Decorator: run a drawing function under the package's own style."""

    @wraps(draw)
    def styled(*args, **kwargs):
        with matplotlib.rc_context(STYLE):
            return draw(*args, **kwargs)

    return styled


@in_style
def figure(width_mm: float = 170.0, height_mm: float = 70.0, rows: int = 1, columns: int = 1, **grid):
    """(figure, axes) of exactly this size; `axes` is one Axes, or an array of rows x columns as of `Figure.subplots`.

    Further keywords go to `Figure.subplots` (`sharex`, `height_ratios`, …). Room for the stamp is kept at the foot.
    Raises ValueError for a size that is not between 10 and 2000 mm.
    """
    fig = blank_figure(width_mm, height_mm)
    fig.set_layout_engine("constrained")
    foot = STAMP_ROOM / height_mm
    fig.get_layout_engine().set(w_pad=1.0 / INCH, h_pad=1.0 / INCH, rect=(0.0, foot, 1.0, 1.0 - foot))
    return fig, fig.subplots(rows, columns, **grid)


@in_style
def blank_figure(width_mm: float, height_mm: float) -> Figure:
    """A figure of exactly this size, without axes."""
    for name, size in (("width", width_mm), ("height", height_mm)):
        if not 10.0 <= size <= 2000.0:
            raise ValueError(f"figure {name} is {size} mm: give 10 to 2000 mm")
    fig = Figure(figsize=(width_mm / INCH, height_mm / INCH))
    FigureCanvasAgg(fig)
    return fig


@in_style
def axes_at(fig: Figure, left: float, bottom: float, width: float, height: float):
    """New axes at a place and of a size in mm from the lower left corner of the figure."""
    wide, high = fig.get_size_inches() * INCH
    return fig.add_axes((left / wide, bottom / high, width / wide, height / high))


@in_style
def stamp(fig: Figure, *studies, note: str = "") -> None:
    """Small line at the foot of the figure: title and input hash of each study (its `part`'s, where it has one), then a
    note."""
    parts = [
        f"{clean(study.design.title)} · inputs {getattr(study, 'part', study.design).input_hash()}" for study in studies
    ]
    text = "     ".join(parts + ([note] if note else []))
    wide = fig.get_size_inches()[0] * INCH
    size = TINY * min(1.0, (wide - 4.0) / max(text_width(text, TINY), 1e-9))
    fig.text(
        2.0 / wide,
        1.5 / (fig.get_size_inches()[1] * INCH),
        text,
        fontsize=size,
        color=QUIET,
        va="bottom",
        ha="left",
        parse_math=False,
    )


def clean(title: str, longest: int = 48) -> str:
    """A user's text on one line, without control characters, cut with an ellipsis where too long."""
    words = " ".join("".join(c if c.isprintable() else " " for c in title).split())
    return words if len(words) <= longest else words[: longest - 1].rstrip() + "…"


def text_width(text: str, points: float) -> float:
    """Width of one line of text on paper [mm], in the style's font."""
    width, _, _ = text_to_path.get_text_width_height_descent(
        text, FontProperties(family=[FONT], size=points), ismath=False
    )
    return width / 72.0 * INCH


def line_style(look) -> dict:
    """Keywords of a `draw.look.Line` for a matplotlib line."""
    return {"color": look.colour, "lw": look.weight, "ls": (0, look.dashes) if look.dashes else "-"}


def heading(ax, title: str, columns: int) -> None:
    """Title of an axes, and between it and the axes a legend of everything labelled, so that it covers no line.

    The legend has up to `columns` columns, fewer where the axes is too narrow for the words.
    """
    handles, words = ax.get_legend_handles_labels()
    if not handles:
        ax.set_title(title)
        return
    place = ax.get_subplotspec()
    share = len(place.colspan) / place.get_gridspec().ncols if place else 1.0
    room = ax.figure.get_size_inches()[0] * INCH * share - 25.0
    wide = [text_width(word, SMALL) + 14.0 for word in words]
    fits = next(
        (n for n in range(len(wide), 1, -1) if n * max(wide) <= room or (n == len(wide) and sum(wide) <= room)), 1
    )
    columns = min(fits, columns)
    rows = -(-len(handles) // columns)
    legend = ax.legend(
        handles,
        words,
        loc="lower left",
        bbox_to_anchor=(0.0, 1.0),
        ncols=columns,
        borderaxespad=0.2,
        borderpad=0.2,
        handlelength=3.2,
        columnspacing=1.5,
    )
    for text in legend.get_texts():
        text.set_parse_math(False)
    ax.set_title(title, pad=6.0 + 1.6 * SMALL * rows)


def freeze(fig: Figure) -> Figure:
    """Lay the figure out and keep that layout for every format it is written in."""
    _settle(fig)
    fig.set_layout_engine("none")
    return fig


def _settle(fig):
    """Repeat the layout until nothing moves: axes of a fixed aspect follow the margins, and these follow the axes."""
    if isinstance(fig.get_layout_engine(), PlaceHolderLayoutEngine | None):  # without one, or frozen
        return
    places = None
    with matplotlib.rc_context(STYLE):
        for _ in range(ROUNDS):
            fig.draw_without_rendering()
            before, places = places, [ax.get_position().extents.round(5).tolist() for ax in fig.axes]
            if places == before:
                return


def figure_bytes(fig: Figure, kind: str = "svg", alt: str = "", dpi: float = 200.0) -> bytes:
    """The figure as a file's content: `kind` is svg, pdf or png. The same figure gives the same bytes.

    `alt`, a text alternative, goes into the file's own description (title of the SVG). The size is the figure's, never
    trimmed to its content, so that a drawing to scale stays to scale.
    """
    title = {"Title": alt} if alt else {}
    metadata = {
        "svg": {"Date": None, **title},
        "pdf": {"CreationDate": None, **title},
        "png": {"Description": alt} if alt else {},
    }
    if kind not in metadata:
        raise ValueError(f"picture format is {kind!r}: give svg, pdf or png")
    _settle(fig)
    buffer = io.BytesIO()
    with matplotlib.rc_context(STYLE):
        fig.savefig(buffer, format=kind, metadata=metadata[kind], dpi=dpi, bbox_inches=None)
    return buffer.getvalue()


def save_figure(fig: Figure, path, alt: str = "", dpi: float = 200.0) -> Path:
    """Write the figure to a .svg, .pdf or .png file, all or nothing, and return its path. See `figure_bytes`."""
    path = Path(path)
    content = figure_bytes(fig, path.suffix.lower().lstrip("."), alt, dpi)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return path


# ----- Room for words on a picture: where a name fits without covering a line, another name or a mark.
#
# The picture is cut into cells of a millimetre; each cell is free or belongs to somebody. Sizes and places are in mm
# from the lower left corner of the axes.


CELL = 1.0  # mm
FREE, WORDS = 0, -1
STRAIGHT = 0.985  # chord over arc of a line under its name; less bends too much to write on
MARGIN = 0.8  # mm kept free around words


@lru_cache(maxsize=512)
def text_size(words: str, points: float) -> tuple[float, float]:
    """Width and height of one or more lines of text [mm]."""
    lines = words.split("\n")
    return max(text_width(line, points) for line in lines), 1.25 * points / 72.0 * INCH * len(lines)


class Room:
    """Cells of an axes of this size [mm] and whom they belong to: `FREE`, `WORDS`, or the number of a line (1, …)."""

    def __init__(self, width: float, height: float):
        self.width, self.height = width, height
        self.owner = np.zeros((max(int(height / CELL), 1), max(int(width / CELL), 1)), dtype=int)

    def centres(self):
        """Places of the cells: x of the columns, y of the rows."""
        rows, columns = self.owner.shape
        return (np.arange(columns) + 0.5) * CELL, (np.arange(rows) + 0.5) * CELL

    def take(self, points, owner: int) -> None:
        """Give the cells under these points to somebody."""
        rows, columns = self._cells(points)
        self.owner[rows, columns] = owner

    def take_line(self, points, owner: int) -> None:
        """Give the cells along a line to somebody."""
        self.take(along(np.asarray(points), 0.5 * CELL)[0], owner)

    def place(self, words: str, points: float, where=None):
        """Middle of a free box for level words, as far from everything as possible, and then taken; None if none is.

        `where`: cells that may be used.
        """
        wide, high = (int(np.ceil((s + 2 * MARGIN) / CELL)) for s in text_size(words, points))
        free = (self.owner == FREE) & (True if where is None else where)
        free = np.pad(free, 1)[1:-1, 1:-1]
        fits = scipy.ndimage.minimum_filter(free, size=(high, wide), mode="constant", cval=0)
        if not fits.any():
            return None
        clear = scipy.ndimage.distance_transform_edt(np.pad(free, 1))[1:-1, 1:-1]
        rows, columns = np.nonzero(fits)
        off_centre = np.hypot(rows - rows.mean(), columns - columns.mean())
        best = np.argmax(np.minimum(clear[rows, columns], high) - 0.05 * off_centre)
        row, column = rows[best], columns[best]
        middle = ((column + 0.5) * CELL, (row + 0.5) * CELL)
        self.take(_box(middle, wide * CELL, high * CELL, 0.0), WORDS)
        return middle

    def place_on_line(self, words: str, points: float, lines, owner: int):
        """(middle, angle in degrees) of a straight stretch of one of these lines, each an array of points, for words
        written along it; then taken. None where no stretch is straight, long and free enough."""
        wide, high = (s + MARGIN for s in text_size(words, points))
        for line in sorted(lines, key=lambda p: -along(np.asarray(p), CELL)[1]):
            steps, _ = along(np.asarray(line), CELL)
            span = int(np.ceil(wide / CELL))
            for start in _from_the_middle(len(steps) - span):
                first, last = steps[start], steps[start + span - 1]
                chord = np.hypot(*(last - first))
                middle = 0.5 * (first + last)
                angle = _upright(np.degrees(np.arctan2(*(last - first)[::-1])))
                box = _box(middle, wide, high, angle)
                if chord >= STRAIGHT * (span - 1) * CELL and self._inside(box) and self._free(box, owner):
                    self.take(box, WORDS)
                    return tuple(middle), angle
        return None

    def _cells(self, points):
        rows, columns = self.owner.shape
        column, row = np.floor(np.asarray(points).T / CELL).astype(int)
        return np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)

    def _inside(self, points):
        return bool(np.all((points >= 0) & (points <= (self.width, self.height))))

    def _free(self, points, owner):
        owners = self.owner[self._cells(points)]
        return bool(np.all((owners == FREE) | (owners == owner)))


def along(points, step: float):
    """Points every `step` along a line through these points, and its whole length."""
    lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    places = np.arange(0.0, lengths[-1] + 1e-9, step)
    return np.column_stack([np.interp(places, lengths, points[:, i]) for i in (0, 1)]), float(lengths[-1])


def _box(middle, wide, high, angle):
    """Points of a box of words, no further apart than half a cell."""
    x, y = np.meshgrid(*(np.linspace(-s / 2, s / 2, max(int(2 * s / CELL), 2) + 1) for s in (wide, high)))
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.column_stack([middle[0] + c * x.ravel() - s * y.ravel(), middle[1] + s * x.ravel() + c * y.ravel()])


def _from_the_middle(count):
    """0 … count - 1, the middle first."""
    order = np.arange(max(count, 0))
    return order[np.argsort(np.abs(order - 0.45 * count), kind="stable")]


def _upright(angle):
    return angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle


# ----- A legend in rows between a title and its axes, as wide as its words: quick to draw, and it covers nothing.


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
