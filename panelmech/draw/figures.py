"""Figures of an exact size in millimetres, in one style whatever the user's settings; files that repeat byte for byte.

No pyplot: a figure belongs to whoever asked for it, and nobody's backend is changed. The user's own matplotlib
settings are set aside while a figure is built and while it is written, so the same study gives the same file on every
machine with the same version of matplotlib.
"""

from __future__ import annotations

import io
import threading
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache, wraps
from pathlib import Path

import matplotlib
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.layout_engine import PlaceHolderLayoutEngine
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.ticker import AutoLocator, Formatter

from ..files import write_atomically
from ..units import lengths, unit_words
from . import fonts
from .letters import INCH, drawable, line_width, wrapped
from .look import INK, PAPER, QUIET, RULE, Line
from .pdf_language import with_language
from .png import png

TEXT = 8.5  # points: titles
SMALL = 8.0  # points: axis labels, ticks, dimensions; none on paper is below
TINY = 8.0  # points: legends, stamp
ROUNDS = 8  # of layout at most; three to five are usual
STAMP_ROOM = 5.0  # mm kept free at the foot of a figure
STAMP = "stamp"  # label of the text that stands there
FONTS = list(fonts.family())

_NOT_OURS = ("backend", "interactive", "toolbar", "webagg", "tk.", "macosx", "docstring", "savefig.directory")
_NOT_OURS += ("figure.max_open_warning", "figure.raise_window", "date.epoch", "timezone")
STYLE = {key: value for key, value in dict.items(matplotlib.rcParamsDefault) if not key.startswith(_NOT_OURS)}
STYLE |= dict.fromkeys(("font.size", "axes.labelsize", "xtick.labelsize", "ytick.labelsize", "legend.fontsize"), SMALL)
STYLE |= dict.fromkeys(
    ("text.color", "axes.titlecolor", "axes.labelcolor", "xtick.labelcolor", "ytick.labelcolor"), INK
)
STYLE |= dict.fromkeys(("axes.edgecolor", "xtick.color", "ytick.color"), QUIET)
STYLE |= dict.fromkeys(("axes.facecolor", "figure.facecolor", "savefig.facecolor"), PAPER)
STYLE |= dict.fromkeys(("axes.unicode_minus", "axes.grid", "axes.axisbelow"), True)
STYLE |= dict.fromkeys(("text.parse_math", "axes.spines.top", "axes.spines.right"), False)
STYLE |= {
    "font.family": FONTS,
    "axes.titlesize": TEXT,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.linewidth": 0.6,
    "grid.color": RULE,
    "grid.linewidth": 0.5,
    "legend.frameon": False,
    "figure.dpi": 150.0,
    "savefig.dpi": 200.0,
    "savefig.bbox": None,
    "savefig.transparent": False,
    "svg.hashsalt": "panelmech",
    "svg.fonttype": "path",
    "pdf.fonttype": 42,
    "ps.fonttype": 42,  # matplotlib asks this one how many letters of a font go together in a PDF
}

_HERE = threading.local()  # whether this thread is in the style


@contextmanager
def style():
    """Context of the package's own style; to enter it again within itself takes no time."""
    if getattr(_HERE, "styled", False):
        yield
        return
    with matplotlib.rc_context(STYLE):
        _HERE.styled = True
        try:
            yield
        finally:
            _HERE.styled = False


def in_style(draw):
    """Decorator: run a drawing function under the package's own style."""

    @wraps(draw)
    def styled(*args, **kwargs):
        with style():
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
def blank_figure(width_mm: float, height_mm: float, kind: type = Figure) -> Figure:
    """A figure of exactly this size, without axes; of a `kind` of its own."""
    for name, size in (("width", width_mm), ("height", height_mm)):
        if not 10.0 <= size <= 2000.0:
            raise ValueError(f"figure {name} is {size} mm: give 10 to 2000 mm")
    fig = kind(figsize=(width_mm / INCH, height_mm / INCH))
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
    wide, high = fig.get_size_inches() * INCH
    text = _fitting_stamp(text, wide)
    look = {"fontsize": TINY, "color": QUIET, "va": "bottom", "ha": "left", "parse_math": False}
    fig.text(2.0 / wide, 1.5 / high, text, label=STAMP, **look)


def _fitting_stamp(text, wide):
    """The stamp with less between its parts where it is too long for the figure, and then with less of the longest of
    title, notes and name of the job, down to nothing; its hashes stay whole, and its type is never smaller."""
    if line_width(text, TINY) <= wide - 4.0:
        return text
    parts = [_free_part(part) for part in text.split("     ")]
    while line_width(_joined(parts), TINY) > wide - 4.0 and any(free for _, free, _ in parts):
        most = max(range(len(parts)), key=lambda number: len(parts[number][1]))
        before, free, after = parts[most]
        parts[most] = before, f"{free.rstrip('…')[:-1].rstrip()}…" if len(free) > 2 else "", after
    return _joined(parts)


def _free_part(part):
    """A part of a stamp: what stands before, what may be cut short, what stands after it."""
    title, dot, rest = part.partition(" · ")
    if not dot and part.startswith("job "):  # and its hash, then its name
        _, hashed, name = (*part.split(" ", 2), "")[:3]
        return f"job {hashed} ", name, ""
    return "", title, dot + rest


def _joined(parts):
    return "  ".join(filter(None, ("".join(part).strip(" ·") for part in parts)))


def add_to_stamp(fig: Figure, words: str) -> Figure:
    """The figure with more words in its stamp, if it has one; nothing else moves."""
    for text in fig.texts:
        if text.get_label() == STAMP:
            wide = fig.get_size_inches()[0] * INCH
            text.set_text(_fitting_stamp(f"{text.get_text()}     {words}", wide))
    return fig


def clean(title: str, longest: int = 48) -> str:
    """A user's text on one line, without control characters, cut with an ellipsis where too long; a box in place of
    what no font here can draw."""
    words = " ".join("".join(c if c.isprintable() else " " for c in drawable(title)).split())
    return words if len(words) <= longest else words[: longest - 1].rstrip() + "…"


def one_axes(size, around, draw, *record, studies=()):
    """A figure of `size` (width, height) with one axes, `around` (left, right, foot, top) of it free [mm], on which
    `draw` draws the record; stamped with the studies, by default the record itself."""
    (wide, high), (left, right, foot, top) = size, around
    fig = blank_figure(wide, high)
    draw(axes_at(fig, left, STAMP_ROOM + foot, wide - left - right, high - STAMP_ROOM - foot - top), *record)
    return stamped(fig, *(studies or record[:1]))


def stamped(fig: Figure, *studies, note: str = "") -> Figure:
    """The figure, with its stamp. See `stamp`."""
    stamp(fig, *studies, note=note)
    return fig


def axes_size(ax) -> tuple[float, float]:
    """Width and height of an axes on paper [mm], as it stands."""
    box = ax.get_window_extent()
    return box.width / ax.figure.dpi * INCH, box.height / ax.figure.dpi * INCH


def with_unit(words: str, unit: str) -> str:
    """Label of an axis: words, and in brackets the unit they are shown in, if any."""
    return f"{words} [{unit_words(unit)}]" if unit else words


def name_lengths(axis, words: str, more: str = "", ticks: int | None = None) -> None:
    """Label an axis along which millimetres are drawn, `words [mm]` and `more`, with at most `ticks` spaces between its
    ticks. Where lengths are shown in inches the drawing stays as it is, label and numbers are inches."""
    axis.set_label_text(f"{with_unit(words, 'mm')}{more}")
    if lengths() == "inch":
        axis.set_major_locator(_RoundInches())
        axis.set_major_formatter(_Inches())
    if ticks is not None:
        axis.get_major_locator().set_params(nbins=ticks, steps=[1, 2, 5, 10])


class _RoundInches(AutoLocator):
    """Ticks of an axis in millimetres at round numbers of inches."""

    def tick_values(self, vmin, vmax):
        return super().tick_values(vmin / INCH, vmax / INCH) * INCH


class _Inches(Formatter):
    """Numbers of an axis in millimetres as inches, all with as many decimals as the finest needs."""

    def __call__(self, x, pos=None):
        return self.format_ticks([x])[0]

    def format_ticks(self, values):
        inches = np.asarray(values) / INCH
        decimals = next((d for d in range(6) if np.allclose(inches, inches.round(d), atol=1e-9, rtol=0.0)), 6)
        return [f"{v + 0.0:.{decimals}f}".replace("-", "−") for v in inches.round(decimals)]


def line_style(look) -> dict:
    """Keywords of a `draw.look.Line` for a matplotlib line."""
    return {"color": look.colour, "lw": look.weight, "ls": (0, look.dashes) if look.dashes else "-"}


def dot(colour: str, size: float, marker: str = "o", rim: float = 0.6) -> dict:
    """Keywords of a mark in a colour with a rim of paper [points], for a matplotlib line."""
    return {"ls": "", "marker": marker, "ms": size, "mfc": colour, "mec": PAPER, "mew": rim}


def ring(colour: str, size: float = 9, weight: float = 2.0) -> dict:
    """Keywords of a hollow ring, for a matplotlib line."""
    return {"ls": "", "marker": "o", "mfc": "none", "ms": size, "mec": colour, "mew": weight}


def heading(ax, title: str, columns: int, key: float = 3.2) -> None:
    """Title of an axes, on several lines where it is too long for one, and between it and the axes a legend of
    everything labelled, so that it covers no line.

    The legend has up to `columns` columns, fewer where the axes is too narrow for the words. `key`: length of the piece
    of line before them, in heights of its letters; dashes must repeat in it to be known again.
    """
    handles, words = ax.get_legend_handles_labels()
    place = ax.get_subplotspec()
    share = len(place.colspan) / place.get_gridspec().ncols if place else 1.0
    room = ax.figure.get_size_inches()[0] * INCH * share - 20.0
    title = "\n".join(wrapped(title, room, TEXT, bold=True))
    if not handles:
        ax.set_title(title, y=1.0)
        return
    wide = [line_width(word, SMALL) + 6.0 + key * SMALL / 72.0 * INCH for word in words]
    fits = next(
        (n for n in range(len(wide), 1, -1) if n * max(wide) <= room or (n == len(wide) and sum(wide) <= room)), 1
    )
    columns = min(fits, columns)
    rows = -(-len(handles) // columns)
    spacing = {"borderaxespad": 0.2, "borderpad": 0.2, "handlelength": key, "columnspacing": 1.5}
    legend = ax.legend(handles, words, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=columns, **spacing)
    for text in legend.get_texts():
        text.set_parse_math(False)
    ax.set_title(title, y=1.0, pad=6.0 + 1.6 * SMALL * rows)  # a place of its own: none has to be looked for


def freeze(fig: Figure) -> Figure:
    """Lay the figure out and keep that layout for every format it is written in."""
    _settle(fig)
    with style():
        fig.set_layout_engine(None)  # a place holder would have it drawn twice for each file
    return fig


def _settle(fig):
    """Repeat the layout until nothing moves: axes of a fixed aspect follow the margins, and these follow the axes."""
    engine, places = fig.get_layout_engine(), None
    if isinstance(engine, PlaceHolderLayoutEngine | None):  # without one, or frozen
        return
    with style():
        for _ in range(ROUNDS):
            engine.execute(fig)
            before, places = places, [ax.get_position().extents.round(5).tolist() for ax in fig.axes]
            if places == before:
                return


def figure_bytes(fig: Figure, kind: str = "svg", alt: str = "", dpi: float = 200.0) -> bytes:
    """The figure as a file's content: `kind` is svg, pdf or png. The same figure gives the same bytes.

    `alt`, a text alternative, goes into the file's own description (title of SVG and PDF); a PDF names its language.
    The size is the figure's, never trimmed to its content, so that a drawing to scale stays to scale.

    >>> from panelmech import evaluate
    >>> from panelmech.job import demo
    >>> from panelmech.draw import section_figure
    >>> figure_bytes(section_figure(evaluate(demo().design, local=False)), "svg")[:5]
    b'<?xml'
    """
    title = {"Title": alt} if alt else {}
    metadata = {
        "svg": {"Date": None, **title},
        "pdf": {"CreationDate": None, **title},
        "png": None,
    }
    if kind not in metadata:
        raise ValueError(f"picture format is {kind!r}: give svg, pdf or png")
    _settle(fig)
    buffer = io.BytesIO()
    with style():
        written = "rgba" if kind == "png" else kind
        fig.savefig(buffer, format=written, metadata=metadata[kind], dpi=dpi, bbox_inches=None)
    content = buffer.getvalue()
    if kind == "png":
        wide, high = (int(side) for side in fig.get_size_inches() * dpi)
        return png(np.frombuffer(content, np.uint8).reshape(high, wide, 4), dpi, alt)
    return with_language(content) if kind == "pdf" else content


def save_figure(fig: Figure, path, alt: str = "", dpi: float = 200.0) -> Path:
    """Write the figure to a .svg, .pdf or .png file, all or nothing, and return its path. See `figure_bytes`."""
    path = Path(path)
    write_atomically(path, figure_bytes(fig, path.suffix.lower().lstrip("."), alt, dpi))
    return path


@lru_cache(maxsize=512)
def text_size(words: str, points: float) -> tuple[float, float]:
    """Width and height of one or more lines of text [mm]."""
    lines = words.split("\n")
    return max(line_width(line, points) for line in lines), 1.25 * points / 72.0 * INCH * len(lines)


# ----- A legend in rows between a title and its axes, as wide as its words: quick to draw, and it covers nothing.


ROW, KEY = 3.7, 7.0  # mm: one row of the legend, the piece of line in it


@dataclass(frozen=True)
class Entry:
    """One line of the legend: its words, and before them a piece of "line", a "mark", a "patch" or nothing."""

    words: str
    kind: str = ""
    look: dict = field(default_factory=dict)

    @property
    def width(self) -> float:
        """Room it takes [mm]."""
        return text_size(self.words, TINY)[0] + self.key + 3.8

    @property
    def key(self) -> float:
        """Room of what stands before the words, and between them [mm]; none for words alone."""
        return KEY + 1.2 if self.kind else 0.0


class Legend:
    """The legend of an axes, gathered while its curves are drawn; a look is a `Line` of `draw.look` or keywords."""

    def __init__(self, ax):
        self.ax, self.entries = ax, []

    def add(self, words: str, kind: str = "", **look) -> None:
        """An entry for what is drawn elsewhere: a "line", a "mark", a "patch", or words alone."""
        self.entries.append(Entry(words, kind, look))

    def curve(self, x, y, words: str, look, **more) -> None:
        """A line through points; `more` keywords are not for its key."""
        style = self._line(words, look)
        self.ax.plot(x, y, **more, **style)

    def level(self, value: float, words: str, look) -> None:
        """A line across the axes."""
        self.ax.axhline(value, **self._line(words, look))

    def upright(self, value: float, words: str, look) -> None:
        """A line up the axes."""
        self.ax.axvline(value, **self._line(words, look))

    def marks(self, x, y, words: str, look: dict, key: dict | None = None, **more) -> None:
        """Marks at points; `key`: how the one in the legend differs."""
        self.ax.plot(x, y, **more, **look)
        self.add(words, "mark", **{**look, **(key or {})})

    def _line(self, words, look):
        style = line_style(look) if isinstance(look, Line) else look
        self.add(words, "line", **style)
        return style


def head(ax, title: str, legend, beside: float = 0.0) -> None:
    """Title of an axes, and between it and the axes, in rows, the legend: a `Legend` or its entries. `beside`: room to
    the right [mm]."""
    wide, high = axes_size(ax)
    rows = _in_rows(legend.entries if isinstance(legend, Legend) else legend, wide + beside - 4.0)
    for number, row in enumerate(reversed(rows)):
        y, x = 1.0 + (1.8 + ROW * number) / high, 0.0
        for entry in row:
            _key(ax, entry, (x / wide, (x + KEY) / wide), y, 1.0 / high)
            ax.text((x + entry.key) / wide, y, entry.words, fontsize=TINY, va="center_baseline", transform=ax.transAxes)
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
