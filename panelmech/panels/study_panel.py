"""The panels of the notebooks: sliders wired to the study, its picture, its checks and its files.

No formula and no drawing of its own: `study` computes, `picture` draws, `panels.study_tables` words, `panels.files`
writes. Every callback is guarded, because a notebook hides what goes wrong in one: the panel says it, keeps the last
good picture, greyed, and leaves no stale number standing as if it were true. While a slider moves only what is quick is
computed; the framed sheet follows as soon as the hand rests.
"""

from __future__ import annotations

import asyncio
from pathlib import Path

import ipywidgets as widgets

from ..draw.live_svg import section_picture
from ..mechanics.bend import InfeasibleBend
from ..report.note import write_note
from ..report.wedge_rows import full_comparison
from ..study.checks import LOCAL_RULES
from ..study.design import Design
from ..study.study import Study, evaluate
from ..study.wedge_levels import drawing_level
from . import study_tables as text
from .controls import Controls
from .files import OUT, STUDIES, export_plots, file_stem, link, load_study, save_study, study_path
from .keep import ONE_AT_A_TIME, WORDS, Keep, action_button, html_part
from .style import STYLE, WIDTH

GOOD = ("picture", "verdict", "checks", "notes", "more", "sources")  # what is greyed while the settings are no good
REST = 0.25  # seconds without a move after which the rest is computed
_LOCAL = {rule.key for rule in LOCAL_RULES}
NOTE_TEXTS = ("title", "purpose", "made_by", "ident", "issued")


def panel_bend(design: Design, **places) -> Panel:
    """Panel of notebook 01: shape and forming. `places` may name the folders `studies` and `out`."""
    return Panel(design, _bend_words, **places)


def panel_wedge(design: Design, **places) -> WedgePanel:
    """Panel of notebook 02: the bent pair against the flat wedge, both sides in the design's own numbers."""
    return WedgePanel(design, _wedge_words, **places)


def panel_note(design: Design, **places) -> Panel:
    """Panel of notebook 08: every input of the design note, its title block included."""
    return Panel(design, texts=NOTE_TEXTS, **places)


def _wedge_words(study, pinned, waiting):
    return text.wedge_report(study, None if waiting else drawing_level(study))


def _bend_words(study, pinned, waiting):
    return text.numbers(study, pinned)


class Panel:
    """A live panel.

    `controls` hold the settings, `study` is the last good study, `pinned` the one compared with; `parts` are the shown
    texts by name, each with its class `pm-<name>`; `alert` says why the settings are no good; `more(study, pinned,
    waiting)` gives the text below the checks, `waiting` while only what is quick is computed. `studies` and `out` are
    the folders of study files and of what is written, as seen from the notebook.
    """

    def __init__(self, design: Design, more=None, texts=("title",), studies=STUDIES, out=OUT):
        self.study, self.pinned, self.out, self.stale = None, None, Path(out), False
        self._more, self._replace, self._timer, self._complete = more, None, None, None
        self.controls, self.keep = Controls(design), Keep(design, studies, texts)
        self.parts = {name: html_part(f"pm-{name}") for name in GOOD}
        self.alert = html_part("pm-message")
        self.box = self._arrange()
        self._connect()
        self.update()
        self.finish()

    def _repr_mimebundle_(self, **kwargs):
        return self.box._repr_mimebundle_(**kwargs)

    def _connect(self):
        self.controls.on_change(self.update)
        for control in self.keep.texts.values():
            control.observe(lambda _: self.update(), "value")
        actions = {
            "pin": self.pin,
            "save": self.save,
            "load": self.load,
            "export": self.export,
            "note": self.write_note,
        }
        for name, action in actions.items():
            self.keep.buttons[name].on_click(lambda _, action=action: self.guarded(action))

    def design(self) -> Design:
        """The design as set."""
        return self.controls.design().replace(**self.keep.words())

    def update(self) -> None:
        """Compute what is quick and show it, or say why not; the rest follows when no move has come for a moment."""
        self._try(lambda: self._show(evaluate(self.design(), local=False)))
        if not self.stale:
            self._finish_later()

    def finish(self) -> None:
        """Compute what is still to come, now."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        if not self.stale and self.study is not self._complete:
            self._try(lambda: self._show(evaluate(self.design())))

    def _finish_later(self):
        if self._timer is not None:
            self._timer.cancel()
        try:
            self._timer = asyncio.get_running_loop().call_later(REST, self.finish)
        except RuntimeError:  # no event loop to wait in, as in a plain script
            self._timer = None
            self.finish()

    def _try(self, step):
        with ONE_AT_A_TIME:
            try:
                step()
            except Exception as error:  # whatever it is, the panel must say it: a notebook would not
                self._go_stale(*in_words(error))

    def _show(self, study: Study):
        waiting = self._waiting(study)
        texts = {
            "picture": section_picture(study, self.pinned, self.controls.view()),
            "verdict": text.verdict_line(study, bool(waiting)),
            "checks": text.checks_table(study, self.pinned, waiting),
            "notes": text.notes_list(study),
            "more": self._more(study, self.pinned, bool(waiting)) if self._more else "",
            "sources": text.sources_details(study, waiting),
        }
        self.study = study
        if any(c.key in _LOCAL for c in study.checks):
            self._complete = study
        for name, words in texts.items():
            self.parts[name].value = words
        if self.stale:
            self._mark_stale(False)
            self.alert.value = ""

    def _waiting(self, study):
        """Checks that the last complete study had and this one has not yet."""
        there = {c.key for c in study.checks}
        return [c for c in (self._complete.checks if self._complete else ()) if c.key in _LOCAL - there]

    def _go_stale(self, lead, words):
        self.alert.value = text.alert(words, lead)
        if not self.stale:
            self._mark_stale(True)

    def _mark_stale(self, stale):
        self.stale = stale
        for part in self.parts.values():
            (part.add_class if stale else part.remove_class)("pm-stale")
        self.keep.allow(not stale)

    def summary(self) -> str:
        """Verdict and governing check, or what is wrong, as one line of plain text; computes what is still to come."""
        self.finish()
        return text.plain((self.alert if self.stale else self.parts["verdict"]).value)

    def say(self, words: str) -> None:
        """Show what has been done, beside the buttons; HTML text, empty for none."""
        self.keep.news.value = text.news(words)

    def guarded(self, action) -> None:
        """Do what a button asks; what goes wrong is said beside the buttons."""
        with ONE_AT_A_TIME:
            try:
                action()
            except Exception as error:  # as in `_try`
                lead, words = in_words(error)
                self.keep.news.value = text.alert(words, lead)

    def pin(self) -> None:
        """Pin the present design, or let the pinned one go."""
        self.finish()
        self.pinned = None if self.pinned else self.study
        self.keep.buttons["pin"].description = "Let the pinned design go" if self.pinned else WORDS["pin"]
        self.update()
        self.finish()

    def save(self) -> None:
        """Save under the name in the field; an existing file only when asked twice."""
        path = study_path(self.keep.name.value or file_stem(self.design().title), self.keep.folder)
        if path.exists() and self._replace != path:
            self._replace = path
            self.say(f"There is a study {link(path, path.stem)} already. Press Save again to replace it.")
            return
        self._replace = None
        save_study(self.design(), path.stem, self.keep.folder)
        self.keep.list_again()
        self.keep.name.value = path.stem
        self.say(f"Saved as {link(path)}.")

    def load(self) -> None:
        """Load the study named in the field."""
        self.keep.list_again()
        name = self.keep.name.value
        self.set(load_study(name, self.keep.folder))
        self.say(f"Loaded {link(study_path(name, self.keep.folder))}.")

    def set(self, design: Design) -> None:
        """Set everything as in a design."""
        self.controls.set(design)
        self.keep.show(design)
        self.update()
        self.finish()

    def export(self) -> None:
        """Write the plots of the present design."""
        self.finish()
        paths = export_plots(self.study, self._folder() / "plots", self.pinned)
        self.say(f"Plots written: {', '.join(link(path, path.name) for path in paths)}.")

    def write_note(self) -> None:
        """Write the design note of the present design."""
        self.say("Writing the design note, some seconds …")
        self.finish()
        note = write_note(self.study, self._folder())
        others = ", ".join(link(path, path.name) for path in (note.pdf, note.checks, note.results, note.study))
        self.say(f"Design note written: {link(note.html)}, to read and print; beside it {others} and its plots.")

    def _folder(self):
        return self.out / file_stem(self.study.design.title)

    def _arrange(self):
        side = widgets.VBox(
            [*self.controls.groups(), self.keep.box],
            layout=widgets.Layout(flex=f"1 1 {WIDTH}px", min_width=f"{WIDTH}px"),
        )
        side.add_class("pm-controls")
        # beside the controls while there is room, else below them and they spread in columns
        main = widgets.VBox(self._main(), layout=widgets.Layout(flex="999 1 500px", min_width="480px", grid_gap="8px"))
        style = widgets.HTML(STYLE, layout=widgets.Layout(display="none"))
        box = widgets.HBox(
            [style, side, main],
            layout=widgets.Layout(
                flex_flow="row wrap", align_items="flex-start", width="100%", max_width="1400px", grid_gap="4px 20px"
            ),
        )
        box.add_class("pm-panel")
        return box

    def _main(self):
        """What stands beside the controls, from top to bottom."""
        return [self.parts["picture"], self.parts["verdict"], self.alert, *(self.parts[name] for name in GOOD[2:])]


class WedgePanel(Panel):
    """A panel with the whole comparison, which takes a second or two, on a button of class `pm-compare`."""

    def _main(self):
        self.full = html_part("pm-full")
        self.compare_button = action_button("compare", 420)
        self.compare_button.on_click(lambda _: self.guarded(self.compare))
        above = super()._main()
        return [*above[:-1], self.compare_button, self.full, above[-1]]

    def compare(self) -> None:
        """Work out every measure under every fair condition for the present design."""
        self.finish()
        self.full.value = text.full_report(full_comparison(self.study))
        self.full.remove_class("pm-stale")

    def _show(self, study):
        super()._show(study)
        if self.full.value:
            self.full.add_class("pm-stale")

    def _mark_stale(self, stale):
        super()._mark_stale(stale)
        self.compare_button.disabled = stale


def in_words(error: Exception) -> tuple[str, str]:
    """What went wrong as (lead, words) for a message."""
    if isinstance(error, InfeasibleBend):
        return "Cannot be bent so", f"{_sentence(error)} What is greyed is the last setting that worked."
    if isinstance(error, ValueError):
        return "Not possible", _sentence(error)
    if isinstance(error, OSError):
        name = Path(error.filename).name if error.filename else ""
        return "The file could not be used", f"{name}: {error.strerror or error}."
    return (
        "The workbook made a mistake",
        f"{type(error).__name__}: {error}. What is greyed does not belong to these settings.",
    )


def _sentence(error):
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith('.') else '.'}"
