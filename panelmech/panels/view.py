"""Views of a panel, one question each, and what they share: pictures with words, lists of inputs and of results.

A view shows one question about the present design. `update(design)` follows every move and must be quick;
`finish(design)` comes when the hand rests. A callback that fails says so in the view: a notebook would hide it.
"""

from __future__ import annotations

from html import escape
from pathlib import Path

import ipywidgets as widgets

from ..draw.figures import figure_bytes, save_figure
from ..study.design import LIMITS, Design
from ..study.sizing import output_label, output_unit
from ..units import capital, unit_words
from . import study_tables as text
from .guard import ONE_AT_A_TIME, guarded
from .parts import Picture
from .widgets import Listens, Options, heading, html_part, mark_stale, marked, show_if, show_units_again

SHARP = 180.0  # dots per inch of a picture that stands
FIRST = (
    "chord_stiffness",
    "torsion_stiffness",
    "i_chord",
    "torsion_constant",
    "outer_thickness",
    "thickness_ratio",
    "mass_per_length",
    "least_reserve",
    "land_strain",
    "opening_energy",
    "contact_force_total",
    "i_chord_ratio",
)


class ShownFigure:
    """A picture with its words below, folded: `show` a figure, or `promise` one and `draw` it later, which takes longer
    than all words; `box` to place, `words` and `image` its parts; `stem` the name of its files."""

    def __init__(self, kind: str, stem: str = "", most: int = 960):
        self.image = Picture(layout=widgets.Layout(width="100%", max_width=f"{most}px"))
        self.image.add_class(kind)
        self.words = html_part(f"{kind}-words")
        self.box = marked(widgets.VBox([self.image, self.words], layout=widgets.Layout(width="100%")), "shown")
        self.stem, self.figure, self.alt, self._promised = stem, None, "", None

    @property
    def waits(self) -> bool:
        """Whether a figure is promised that is not drawn yet: what is seen is of other settings."""
        return self._promised is not None

    def promise(self, make, words: str) -> None:
        """Show the words of a figure that `make()` gives when it is drawn."""
        self._promised = make, words
        self.say(words)
        show_if(self.box, True)

    def draw(self) -> None:
        """Draw the figure that is promised, if any."""
        if self._promised is not None:
            make, words = self._promised
            self.show(make(), words)

    def show(self, figure, words: str) -> None:
        """Show a figure."""
        self._promised = None
        self.image.value = figure_bytes(figure, "png", words, SHARP)
        self.figure, self.alt = figure, words
        self.say(words)
        show_if(self.box, True)

    def say(self, words: str) -> None:
        """What the picture shows, for who cannot see it."""
        self.image.alt = words
        self.words.value = (
            f'<details class="pm-alt"><summary>The picture in words</summary><p>{escape(words)}</p></details>'
        )

    def hide(self) -> None:
        """Take it away until there is something to show."""
        self.figure = None
        show_if(self.box, False)

    def write(self, folder: Path) -> list:
        """Write what is shown as SVG, PDF and PNG; their paths, none where nothing is shown."""
        return write_pictures(self.figure, Path(folder) / self.stem, self.alt) if self.figure and self.stem else []


def write_pictures(figure, stem: Path, alt: str) -> list:
    """Write a picture as SVG, PDF and PNG; their paths."""
    return [save_figure(figure, stem.with_suffix(f".{kind}"), alt) for kind in ("svg", "pdf", "png")]


class View(Listens):
    """One question: `box` to show, `alert` for what is wrong, `good` the parts that are greyed while it is; `take` is
    called with a design that shall become the present one."""

    title, hint, gap = "", "", 6
    steady = ()  # texts among the results that never go stale

    def __init__(self, take=None):
        self.take, self.design, self.stale, self._answered = take, None, False, None
        self.alert = html_part("pm-message")
        controls, results = self.controls(), self.results()
        self.pictures = [part for part in results if isinstance(part, ShownFigure)]
        texts = [part for part in results if isinstance(part, widgets.HTML) and part._dom_classes]
        self.good = [part for part in texts if part not in self.steady]
        self.good += [part for picture in self.pictures for part in (picture.image, picture.words)]
        shown = [part.box if isinstance(part, ShownFigure) else part for part in results]
        hint = [widgets.HTML(f'<p class="pm-quiet">{escape(self.hint)}</p>')] if self.hint else []
        self.box = widgets.VBox(
            [*controls, self.alert, *shown, *hint], layout=widgets.Layout(width="100%", grid_gap=f"{self.gap}px")
        )

    def controls(self) -> list:
        """Widgets above the results."""
        return []

    def results(self) -> list:
        """Widgets and pictures that show the answer."""
        return []

    def state(self):
        """What the answer hangs on; None where that cannot be told, and the answer will say why."""
        return self.design

    def update(self, design: Design) -> None:
        """Follow a move."""
        self.design = design
        self.grey(True)

    def finish(self, design: Design) -> None:
        """Answer for this design."""
        self.design = design
        state = self.state()
        if state is None or state != self._answered:
            self.again()
        else:
            self.grey(False)

    def show_units_again(self) -> None:
        """Show everything anew: the unit that lengths are shown in has changed."""
        self._answered = None
        with self.quietly():
            show_units_again(self.box)

    def answer(self) -> None:
        """Work out and show the answer for `self.design`."""

    def again(self, *_) -> None:
        """Answer once more, after a setting of the view itself changed."""
        if self.design is not None:
            self._answered = self.state() if self.guarded(self.answer) else None

    def guarded(self, step) -> bool:
        """Do a step and tell whether it went well; what goes wrong is said in words, and what stands is greyed."""
        return guarded(step, self._failed, self._went_well)

    def _failed(self, words):
        self.alert.value = words
        self.grey(True)

    def _went_well(self):
        self.alert.value = ""
        self.grey(False)

    def grey(self, stale: bool) -> None:
        """Mark what stands as belonging to other settings, or not."""
        with ONE_AT_A_TIME:
            self.stale = stale
            mark_stale(self.good, stale)

    def words(self) -> str:
        """What the view says, as plain text."""
        parts = [self.alert, *(part for part in self.good if isinstance(part, widgets.HTML))]
        return "\n".join(words for words in (text.plain(part.value.replace("<", " <")) for part in parts) if words)

    def export(self, folder: Path) -> list:
        """Write the pictures that are shown; ValueError, in words, where they do not belong to these settings."""
        if self.alert.value and any(picture.stem for picture in self.pictures):
            raise ValueError(f"there is no picture of these settings to write: {text.plain(self.alert.value)}")
        return [path for picture in self.pictures for path in picture.write(folder)]


class Views:
    """The views of a panel, one seen at a time: `question` its buttons, `place` where it stands; `shown` the name of
    the one that is seen, `view` itself; `seen()` is called when another is."""

    def __init__(self, views: dict, seen, width: str = "110px"):
        self.by_name = views
        self.question = marked(
            widgets.ToggleButtons(
                options=[(view.title, name) for name, view in views.items()], style={"button_width": width}
            ),
            "question",
        )
        self.place = marked(widgets.Box([self.view.box], layout=widgets.Layout(width="100%")), "view")
        self.question.observe(lambda _: self._show(seen), "value")

    @property
    def shown(self) -> str:
        """Name of the view that is seen."""
        return self.question.value

    @property
    def view(self) -> View:
        """The view that is seen."""
        return self.by_name[self.shown]

    def _show(self, seen):
        self.place.children = [self.view.box]
        seen()


def below(words: str) -> widgets.HTML:
    """A heading with a line above it, where what belongs to the design alone begins."""
    part = html_part("pm-below")
    part.value = heading(words).value
    return part


# ----- lists of inputs and results to choose from -----


def output_options(outputs) -> list:
    """(words with unit, name) of outputs, the most asked for first."""
    outputs = list(outputs)
    ordered = [name for name in FIRST if name in outputs]
    ordered += [name for name in outputs if name not in ordered]
    return Options(lambda: [(with_unit(output_label(name), output_unit(name)), name) for name in ordered])


def input_options(names=tuple(LIMITS)) -> list:
    """(words with unit, name) of inputs."""
    return Options(lambda: [(with_unit(LIMITS[name].label, LIMITS[name].unit), name) for name in names])


def with_unit(label: str, unit: str) -> str:
    """Words with a capital, and the unit shown, if any, behind them."""
    return f"{capital(label)} [{unit_words(unit)}]" if unit else capital(label)
