"""The drawings of a paper: which, how large, as files and on the pages of the PDF; drawn by `draw.study_figures`.

A drawing is laid out once; files and PDF use that layout, so all show the same at the same size.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from ..draw.figures import STAMP_ROOM, add_to_stamp, axes_at, blank_figure, figure, freeze, in_style, stamp
from ..draw.margins import fit
from ..draw.recorded import Recording
from ..draw.study_figures import (
    draw_against_wedge,
    draw_checks_reserve,
    draw_curvature,
    draw_fair,
    draw_section,
    draw_strain,
    fitting_exaggeration,
)
from ..study.study import Study
from ..study.wedge_levels import fair_table
from ..units import lengths
from .beside import Beside, Later
from .blocks import Origin
from .wedge_rows import LEFT_SHARE, ratio_rows

FULL = 182.0  # mm: the width between the margins of a page
GUTTER = 8.0  # mm between two drawings side by side
LEFT = LEFT_SHARE * (FULL - GUTTER)  # mm: the left one
WEDGE_MARGINS = (17.5, 11.0, 1.5, 21.5)  # mm: axis and its name at the left and below; title and legend above
WEDGE_LONG = LEFT - WEDGE_MARGINS[0] - WEDGE_MARGINS[2]  # mm: the chord, nearly
LONG, HIGHEST = 155.0, 110.0  # mm: length of a section on paper, and the most height it may take
FORMATS = ("svg", "pdf", "png")


@dataclass(frozen=True)
class Drawing:
    """A drawing of a paper.

    draw : function of (axes, study) that draws it
    width, height : size [mm]; the height may be a function of the study
    alt : what it shows, in words
    margins : left, below, right and above its axes [mm], the stamp's room apart; None: as its words need
    blank : what a page need not show of it at its head and foot [mm]
    panels : how many axes side by side
    top : room for a title over all of them [mm], where the margins are as its words need
    after_words : whether it shows what the words of its paper need first, so that it is drawn where they are found
    """

    draw: object
    width: float
    height: object
    alt: str
    margins: tuple | None = None
    blank: tuple = (0.0, 0.0)
    panels: int = 1
    top: float = 0.0
    after_words: bool = False


class LaidOut:
    """A drawing of a paper, laid out when it is first asked for.

    drawing : what is drawn; its sizes may be those of what `make` gives
    make : function of `args` that gives its matplotlib figure, which does not change any more, the texts at its foot
        that a page of the note has itself, and its width and height [mm]
    files : its files as made so far, {(kind, words added to its stamp): bytes}: two papers of a job may hold it
    """

    def __init__(self, drawing: Drawing, make: Callable, args: tuple):
        self.drawing, self.make, self.args = drawing, make, args
        self.files: dict = {}
        self.begun: Later | None = None  # what is made of it beside this process

    @cached_property
    def figure(self):
        """As drawn, with its stamp."""
        return self._made[0]

    @cached_property
    def _made(self):
        return self.make(*self.args)

    @cached_property
    def size(self) -> tuple:
        """Width and height [mm]."""
        self._take()
        return vars(self).get("size") or self._made[2]

    def file(self, kind: str, words: str = "") -> bytes:
        """Its file of this kind, with `words` added to its stamp, once for all files of it."""
        self._take()
        if not self.files and words:
            add_to_stamp(self.figure, words)
            vars(self).pop("recorded", None)
        if (kind, words) not in self.files:
            self.files[kind, words] = self.recorded.file(kind, self.drawing.alt)
        return self.files[kind, words]

    @cached_property
    def recorded(self) -> Recording:
        """What is drawn of it, for all files and pages."""
        self._take()
        return vars(self).get("recorded") or Recording(*self._made[:2])

    def begin(self, beside: Beside, words: str = "") -> None:
        """Have its files made, with these words, by what works beside this process."""
        if self.begun is None and not self.files:
            self.begun = beside.later(_finished, LaidOut(self.drawing, self.make, self.args), words)

    def _take(self):
        """What came of it beside this process."""
        begun, self.begun = self.begun, None
        if begun is not None:
            self.files, vars(self)["recorded"], vars(self)["size"] = begun.result()


def _finished(item, words):
    """All files of a drawing, what is recorded of it, and its size."""
    for kind in FORMATS:
        item.file(kind, words)
    return item.files, item.recorded, item.size


def _wedge(ax, study):
    draw_against_wedge(ax, study, fitting_exaggeration(study, WEDGE_LONG, 16.0))
    if lengths() == "inch":
        ax.yaxis.labelpad = 0.0  # the numbers of inches are wider


def _ratios(axes, study):
    table = fair_table(study.design)
    draw_fair(axes, ratio_rows(table), [c.condition for c in table.comparisons])


def _section_height(study):
    """What the section takes at the width of a page, with room for its dimensions."""
    return min(HIGHEST, LONG * study.quantities["thickness_ratio"] + 33.0) + STAMP_ROOM


def _wedge_height(study):
    thick = (
        max(study.quantities["outer_thickness"], study.quantities["wedge_outer_thickness"]) / study.quantities["chord"]
    )
    drawn = 1.16 * WEDGE_LONG * thick * fitting_exaggeration(study, WEDGE_LONG, 16.0)
    return min(HIGHEST, drawn + WEDGE_MARGINS[1] + WEDGE_MARGINS[3]) + STAMP_ROOM


# fmt: off
DRAWINGS = {
    "section": Drawing(draw_section, FULL, _section_height, "Section of the bent pair to scale, with its dimensions",
                       (0.0, 0.0, 0.0, 0.0), (3.5, 2.5)),
    "wedge": Drawing(_wedge, LEFT, _wedge_height,
                     "Bent pair and flat wedge of the same sheets and rod, drawn over each other", WEDGE_MARGINS),
    "strain": Drawing(draw_strain, FULL, 52.0, "Bending strain at the surface along the sheet, with its limits"),
    "curvature": Drawing(draw_curvature, FULL, 52.0, "Curvature of the sheet along its length"),
    "ratios": Drawing(_ratios, FULL - GUTTER - LEFT, 75.0,
                      "Bent pair over flat wedge, a row for each measure, a panel for each condition",
                      panels=4, top=6.0, after_words=True),
    "reserves": Drawing(draw_checks_reserve, FULL, 60.0, "Reserve of every check, least first"),
}
# fmt: on


def study_drawings(study: Study) -> dict:
    """Every drawing of the note, stamped with title and input hash: {name: LaidOut}."""
    return {name: LaidOut(drawing, _lay_out, (name, study)) for name, drawing in DRAWINGS.items()}


@in_style
def _lay_out(name, study):
    drawing = DRAWINGS[name]
    width, height = drawing.width, drawing.height(study) if callable(drawing.height) else drawing.height
    if drawing.margins is not None:
        left, below, right, above = drawing.margins
        fig = blank_figure(width, height)
        ax = axes_at(fig, left, STAMP_ROOM + below, width - left - right, height - STAMP_ROOM - below - above)
    else:
        fig, ax = figure(width, height, 1, drawing.panels, sharey=True)
    drawing.draw(ax, study)
    if drawing.margins is None:
        fit(fig, [fig.axes], top=drawing.top)
    above = len(fig.texts)
    stamp(fig, study)
    return freeze(fig), tuple(fig.texts[above:]), (width, height)


def laid_out(alt: str, draw: Callable, *args) -> LaidOut:
    """What a function of these arguments draws, a whole figure, with its text alternative, as a drawing of its own
    size."""
    return LaidOut(Drawing(draw, 0.0, 0.0, alt), _whole, (draw, *args))


@in_style
def _whole(draw, *args):
    fig = draw(*args)
    return freeze(fig), tuple(fig.texts), tuple(25.4 * side for side in fig.get_size_inches())


def begin(drawings: dict, beside: Beside, origin: Origin | None = None) -> dict:
    """Have all files of drawings made by what works beside this process, as of `drawing_files`; the drawings."""
    for item in drawings.values():
        if not item.drawing.after_words:
            item.begin(beside, origin.words if origin else "")
    return drawings


def drawing_files(drawings: dict, origin: Origin | None = None) -> dict:
    """All drawings as files: {"plots/section.svg": bytes, …}; the `origin` is added to their stamps."""
    words = origin.words if origin else ""
    return {f"plots/{name}.{kind}": item.file(kind, words) for name, item in drawings.items() for kind in FORMATS}


def on_paper(drawings: dict) -> dict:
    """For the PDF: {name: (height [mm], function of (pages, x, y) that places it there)}."""
    return {
        name: (item.size[1] - STAMP_ROOM - sum(item.drawing.blank), _placer(item)) for name, item in drawings.items()
    }


def _placer(item):
    def place(pages, x, y):
        pages.inset(item.recorded, x, y - item.drawing.blank[0], *item.size)

    return place
