"""What the views of the trade-off panel share: a message for what goes wrong, greying, pictures with words, lists.

A view shows one question about the present design. `update(design)` follows every move and must be quick;
`finish(design)` comes when the hand rests. A callback that fails says so in the view: a notebook would hide it.
"""

from __future__ import annotations

from html import escape
from pathlib import Path

import ipywidgets as widgets

from ..draw.figures import figure_bytes, save_figure
from ..draw.look import INK, PAPER
from ..study.design import LIMITS, Design
from ..study.sizing import output_label, output_unit
from ..units import pretty_unit
from . import study_tables as text
from .keep import ONE_AT_A_TIME, html_part
from .study_panel import in_words

WIDE, NARROW = 380, 190  # pixels of a control
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


STYLE = f"""<style>
.pm-panel .pm-map-frame {{ position:relative; display:block; max-width:960px; overflow:hidden; }}
.pm-panel .pm-map {{ display:block; }}
.pm-panel .pm-spots {{ position:absolute; display:grid; overflow:hidden; }}
.pm-panel .pm-spot, .pm-panel .pm-spot:hover, .pm-panel .pm-spot:focus {{ background:transparent; border:0;
  box-shadow:none; min-width:0; cursor:crosshair; }}
.pm-panel .pm-spot:hover {{ outline:1.5px solid {INK}; outline-offset:-1.5px; background:rgba(255,255,255,.22); }}
.pm-panel .pm-question .widget-toggle-button {{ margin:0 4px 0 0; }}
.pm-panel .pm-here-words {{ margin:0; font-size:14px; }}
.pm-panel .pm-shown img {{ display:block; border-radius:4px; }}
.pm-panel .pm-alt p {{ margin:2px 0 6px; max-width:920px; }}
.pm-panel .pm-sizing p, .pm-panel .pm-scatter p {{ margin:2px 0; font-size:14px; }}
.pm-panel .pm-scatter-tables table + table {{ margin-top:12px; }}
.pm-panel .pm-ranking {{ max-height:430px; overflow-y:auto; }}
.pm-panel .pm-ranking thead th {{ white-space:normal !important; position:sticky; top:0;
  background:var(--jp-layout-color0,{PAPER}) !important; }}
.pm-panel .pm-below {{ border-top:1px solid var(--pm-rule); margin-top:10px; padding-top:4px; }}
</style>"""


class View:
    """One question: `box` to show, `alert` for what is wrong, `good` the parts that are greyed while it is; `take` is
    called with a design that shall become the present one."""

    title, hint = "", ""

    def __init__(self, take):
        self.take, self.design, self.good, self._answered = take, None, [], None
        self.alert = html_part("pm-message")
        hint = widgets.HTML(f'<p class="pm-quiet">{escape(self.hint)}</p>')
        self.box = widgets.VBox(
            [*self.controls(), self.alert, *self.results(), hint], layout=widgets.Layout(width="100%", grid_gap="6px")
        )

    def controls(self) -> list:
        """Widgets above the results."""
        return []

    def results(self) -> list:
        """Widgets that show the answer; those that can go stale belong to `good` too."""
        return []

    def update(self, design: Design) -> None:
        """Follow a move."""
        self.design = design
        self.grey(True)

    def finish(self, design: Design) -> None:
        """Answer for this design."""
        self.design = design
        if design != self._answered:
            self.again()
        else:
            self.grey(False)

    def answer(self) -> None:
        """Work out and show the answer for `self.design`."""

    def again(self, *_) -> None:
        """Answer once more, after a setting of the view itself changed."""
        if self.design is not None:
            self._answered = self.design if self.guarded(self.answer) else None

    def guarded(self, step) -> bool:
        """Do a step and tell whether it went well; what goes wrong is said in words, and what stands is greyed."""
        with ONE_AT_A_TIME:
            try:
                step()
            except Exception as error:  # whatever it is, the view must say it
                self.alert.value = text.alert(*reversed(in_words(error)))
                self.grey(True)
                return False
            self.alert.value = ""
            self.grey(False)
            return True

    def grey(self, stale: bool) -> None:
        """Mark what stands as belonging to other settings, or not."""
        for part in self.good:
            (part.add_class if stale else part.remove_class)("pm-stale")

    def words(self) -> str:
        """What the view says, as plain text."""
        parts = [self.alert, *(part for part in self.good if isinstance(part, widgets.HTML))]
        return "\n".join(words for words in (text.plain(part.value.replace("<", " <")) for part in parts) if words)


class Picture:
    """A picture with its words below, folded: `show` a figure, `box` to place, `words` and `image` its parts."""

    def __init__(self, kind: str, most: int = 960):
        self.image = widgets.Image(format="png", layout=widgets.Layout(width="100%", max_width=f"{most}px"))
        self.image.add_class(kind)
        self.words = html_part(f"{kind}-words")
        self.box = widgets.VBox([self.image, self.words], layout=widgets.Layout(width="100%"))
        self.box.add_class("pm-shown")

    def show(self, figure, words: str) -> None:
        """Show a figure."""
        self.image.value = figure_bytes(figure, "png", words, SHARP)
        self.say(words)

    def say(self, words: str) -> None:
        """What the picture shows, for who cannot see it."""
        self.words.value = (
            f'<details class="pm-alt"><summary>The picture in words</summary><p>{escape(words)}</p></details>'
        )


def pick(kind: str, label: str, options, value=None, width: int = WIDE, describe: int = 90) -> widgets.Dropdown:
    """A list to choose from, of class `pm-<kind>`."""
    control = widgets.Dropdown(
        options=options,
        description=label,
        style={"description_width": f"{describe}px"},
        layout=widgets.Layout(width=f"{width}px", margin="1px 0"),
    )
    if value is not None:
        control.value = value
    control.add_class(f"pm-{kind}")
    return control


def fill(control, options) -> None:
    """Give a list new options, and choose the first."""
    control.options = options
    control.index = 0 if options else None


def number(
    kind: str, label: str, value: float, width: int = NARROW, describe: int = 90, tip: str = ""
) -> widgets.FloatText:
    """A field for a number that counts when the field is left or Enter is pressed, of class `pm-<kind>`."""
    field = widgets.FloatText(
        value=value,
        description=label,
        tooltip=tip or label,
        continuous_update=False,
        style={"description_width": f"{describe}px"},
        layout=widgets.Layout(width=f"{width}px", margin="1px 0"),
    )
    field.add_class(f"pm-{kind}")
    return field


def button(kind: str, words: str, action, width: int = 190, hint: str = "") -> widgets.Button:
    """A button of class `pm-<kind>`."""
    made = widgets.Button(description=words, tooltip=hint or words, layout=widgets.Layout(width=f"{width}px"))
    made.add_class(f"pm-{kind}")
    made.on_click(lambda _: action())
    return made


def row(*controls) -> widgets.HBox:
    """Controls beside each other while there is room."""
    return widgets.HBox(list(controls), layout=widgets.Layout(flex_flow="row wrap", grid_gap="2px 12px"))


def output_options(outputs) -> list:
    """(words with unit, name) of outputs, the most asked for first."""
    outputs = list(outputs)
    ordered = [name for name in FIRST if name in outputs]
    ordered += [name for name in outputs if name not in ordered]
    return [(_with_unit(output_label(name), output_unit(name)), name) for name in ordered]


def input_options(names=tuple(LIMITS)) -> list:
    """(words with unit, name) of inputs."""
    return [(_with_unit(LIMITS[name].label, LIMITS[name].unit), name) for name in names]


def _with_unit(label, unit):
    words = f"{label[:1].upper()}{label[1:]}"
    return f"{words} [{pretty_unit(unit)}]" if unit else words


def write_pictures(figure, stem: Path, alt: str) -> list:
    """Write a picture as SVG, PDF and PNG; their paths."""
    return [save_figure(figure, stem.with_suffix(f".{kind}"), alt) for kind in ("svg", "pdf", "png")]
