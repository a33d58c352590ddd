"""The engine of all panels: controls wired to the study, its picture, its checks, its job, and to views, if any.

No formula and no drawing of its own: `study` computes, `live_svg` draws, `panels.study_tables` words, `panels.work`
keeps, `report` writes. Every callback is guarded (see `panels.guard`): the panel says what goes wrong, keeps the last
good picture, greyed, and leaves no stale number standing as if it were true. While a slider moves only what is quick is
computed; the rest follows as soon as the hand rests.
"""

from __future__ import annotations

from contextlib import suppress
from html import escape
from pathlib import Path

import ipywidgets as widgets

from ..blade.blade import Blade
from ..draw.live_svg import section_picture
from ..job.job import Job
from ..job.shelf import JOBS, stem_of
from ..job.verdict import judge_job, stages_of
from ..report.papers import PAPERS, write_papers
from ..study.advice import advise
from ..study.checks import LOCAL_RULES
from ..study.design import Design
from ..study.mend import with_mends
from ..study.study import Study, evaluate
from ..units import capital, lengths, show_lengths_in
from . import study_tables as text
from .controls import Controls
from .desk import Desk, as_job
from .files import OUT, export_plots, link, shown_lengths
from .guard import LATER, AtRest, guarded, loop_runs
from .job_box import BUTTONS, TITLE
from .job_tables import papers_news
from .parts import Spoken, refused_as_before
from .style import STYLE, VIEWS_STYLE
from .view import View, Views
from .widgets import fold_away, hidden_style, html_part, mark_stale, marked, show_units_again
from .work import Work

GOOD = ("picture", "verdict", "checks", "notes", "more", "sources")  # what is greyed while the settings are no good
TO_START = "The live panel appears here, with the job that is open: click this line, then press Shift+Enter."
KNOWN = 32  # verdicts kept, for a hand that moves back
NEXT = 0.02  # s between two parts of the job that are judged, for a hand to come in between
_LOCAL = {rule.key for rule in LOCAL_RULES}


class Panel:
    """A live panel on a job. What a panel of a notebook adds goes into the methods from `make` to `set_own`.

    `controls` hold the settings, `study` is the last good study, `pinned` the one compared with; `parts` are the shown
    texts by name, each with its class `pm-<name>`; `alert` says why the settings are no good. `views` by name, of which
    `view`, named `shown`, is seen; only that one is worked out. `work` keeps the job, `keep` are its buttons. What is
    given is a job or a design; of the demo the job that is open takes its place (see `desk`). `jobs` is the folder of
    all jobs, `out` that of what is written of a job that has no folder, as seen from the notebook.
    """

    advice_of = ""  # what the advice is about, where the verdict on top is of something else
    place = "panel"  # who changes the job, in its history

    def __init__(self, given: Job | Blade | Design, jobs=JOBS, out=OUT, texts=TITLE):
        self.study, self.pinned, self.out, self.stale = None, None, Path(out), False
        self._complete, self.rest = None, AtRest(lambda: self.settle())
        self.judging, self._left, self.verdict = AtRest(lambda: self._judge_more(), LATER), [], None
        self._verdicts = {}  # by hash of the job and lengths shown
        self.judging_on = AtRest(lambda: self._judge_more(), NEXT)
        actions = {"pin": self.pin, "export": self.export, "note": self.write_note, "papers": self.write_all}
        desk = Desk(as_job(given), self.place, jobs)
        show_lengths_in(shown_lengths(desk.job))
        self.controls = Controls(desk.job.design)
        self.controls.show["lengths"].value = lengths()
        self.work = Work(desk, (self.job, self.job_to_keep), self.set_job, self._stood, actions, texts)
        self.keep = self.work.box
        self.parts = {name: html_part(f"pm-{name}") for name in GOOD}
        self.alert, self.advice, self.meaning = (html_part(f"pm-{kind}") for kind in ("message", "change", "meaning"))
        self.later = AtRest(lambda: self.advise(), LATER)
        self.views = {}
        self._advised = None
        self.voice = Spoken()
        self.make()
        self.set_own(desk.job)
        self.box = _frame(self.keep.line, self.head(), self.side(), self.main(), self.voice)
        self.controls.listen(lambda _: self.change_lengths(), self.controls.show["lengths"])
        self.controls.on_change(self.update)
        for control in self.keep.texts.values():
            control.observe(lambda _: self.update(), "value")
        self._follow()
        self.come_to_rest()
        self.work.begin()

    def _repr_mimebundle_(self, **kwargs):
        """The live panel; for who has not run the notebook, how it stands and how to start it. No more than that:
        running a cell goes on to the next one, and below a long text that would leave the panel out of view."""
        still = text.stored(self.parts["verdict"].value, text.paragraphs(f"{self.work.as_run()} {TO_START}"))
        return {**self.box._repr_mimebundle_(**kwargs), "text/plain": TO_START, "text/html": still}

    # ----- what a panel of a notebook adds -----

    def make(self) -> None:
        """Make parts of its own."""

    def head(self) -> list:
        """What stays in view while the controls move, from top to bottom."""
        return [self.parts["verdict"], self.alert, self.parts["picture"]]

    def side(self) -> list:
        """The controls, from top to bottom."""
        return [
            self.controls.first(),
            self.advice,
            *self.own_controls(),
            fold_away(self.controls.groups()),
            self.keep.box,
        ]

    def own_controls(self) -> list:
        """Controls of its own, between the first inputs and the folded ones."""
        return []

    def main(self) -> list:
        """What stands below picture and verdict, from top to bottom."""
        return [self.meaning, *self.below(), self.parts["sources"]]

    def below(self) -> list:
        """What stands below picture and verdict, above the sources of the limits."""
        return [self.parts[name] for name in ("checks", "notes", "more")]

    def more(self, study: Study, waiting: bool) -> str:
        """HTML text below the checks; `waiting`: only what is quick is computed."""
        return ""

    def moved(self) -> None:
        """Follow a move, quickly."""
        if self.views:
            self.with_design(self.view.update)

    def rested(self) -> None:
        """Work out what was left while the hand moved."""
        if self.views:
            self.with_design(self.view.finish)

    def headline(self) -> str:
        """HTML text of the line that says how the job stands, or what is wrong; while a hand moves, how the design."""
        return (self.alert if self.stale else self.parts["verdict"]).value

    def own_lines(self) -> list:
        """HTML texts of lines that say how what this panel is about stands."""
        return []

    def own(self, job: Job) -> Job:
        """The job with what this panel sets beside the design; ValueError, in words, where that cannot be used."""
        return job

    def set_own(self, job: Job) -> None:
        """Show what this panel sets beside the design."""

    # ----- views -----

    def add_views(self, views: dict[str, View], width: str = "110px") -> None:
        """Have views, by name in the order of their buttons."""
        self.seen = Views(views, lambda: self.rested(), width)
        self.views, self.question, self.place = views, self.seen.question, self.seen.place

    @property
    def shown(self) -> str:
        """Name of the view that is seen."""
        return self.seen.shown

    @property
    def view(self) -> View:
        """The view that is seen."""
        return self.seen.view

    def ask(self, name: str) -> None:
        """Show a view."""
        if name == self.shown:
            self.rested()
        self.question.value = name

    def with_design(self, step) -> None:
        """Do a step with the design as set, if it is one: if not, the panel has said why."""
        try:
            design = self.design()
        except ValueError:
            self.view.grey(True)
            return
        step(design)

    def around_views(self, first: list, last: list, style: str = VIEWS_STYLE) -> list:
        """What stands below the head where there are views: `first` above them, below them the present design's table
        of checks with `last` before it."""
        below = [*last, *self.below(), self.parts["sources"]]
        return [hidden_style(style), self.meaning, *first, self.question, self.place, *below]

    # ----- moves -----

    def design(self) -> Design:
        """The design as set."""
        return self.controls.design().replace(**self.keep.words())

    def job(self) -> Job:
        """The job as set; ValueError, in words, where something cannot be used."""
        return self.own(self._with_design(self.work.desk.job))

    def _with_design(self, job):
        return job.with_design(self.design()).replace(lengths=self.controls.show["lengths"].value)

    def job_to_keep(self) -> Job:
        """The job as set, in which a field that is refused counts as it was before; what does not go together even so,
        be it the design or what this panel sets beside it, is as it was kept."""
        job = self.work.desk.job
        with refused_as_before():
            for step in (self._with_design, self.own):
                with suppress(ValueError):
                    job = step(job)
        return job

    def part(self) -> Blade:
        """The part along its span as set."""
        return self.job().blade

    def update(self) -> None:
        """Compute what is quick and show it, or say why not; the rest follows when no move has come for a moment. Where
        there is no event loop it follows at once, and of the views nothing is drawn before."""
        if loop_runs():
            self.moved()
        self._follow()

    def _follow(self):
        guarded(lambda: self._show_quickly(evaluate(self.design(), local=False)), self._failed)
        self.rest.wait()
        self.later.wait()

    def _show_quickly(self, study):
        self.show(study)
        self.forget_verdict()

    def change_lengths(self) -> None:
        """Show all lengths in the unit chosen, here and in the panels to come."""
        show_lengths_in(self.controls.show["lengths"].value)
        show_units_again(self.box)
        self.controls.show_units_again()
        for view in self.views.values():
            view.show_units_again()
        self._complete = None

    def advise(self) -> None:
        """Say what would make every check hold, worked out for the present design; a third of a second or so."""
        self.later.stop()
        guarded(lambda: self._say_advice(self._advice()), lambda words: self._say_advice(""))
        guarded(self._say_mends, lambda words: None)

    def _say_mends(self):
        """What mends each check, beside it in the table."""
        if not self.stale and self.study is self._complete:
            self.parts["checks"].value = text.checks_table(with_mends(self.study), self.pinned)

    def _advice(self):
        design = self.design()
        key = design, lengths()
        if self._advised is None or self._advised[0] != key:
            self._advised = key, advise(design if self.stale else self.study).words
        return self._advised[1]

    def _say_advice(self, words):
        lead = f"<b>{self.advice_of}</b> " if self.advice_of else ""
        self.advice.value = f"<p>{lead}{escape(words)}</p>" if words else ""

    def settle(self) -> None:
        """Compute what is still to come of this panel, and keep the job; the verdict on the job follows a little
        later, a part at a time, so that a hand that goes on is not kept waiting."""
        self.rest.stop()
        if not self.stale and self.study is not self._complete:
            guarded(lambda: self.show(evaluate(self.design())), self._failed)
        self.rested()
        if not self.stale:  # the last good answer stands, greyed, with the verdict on the job
            guarded(self._recall, lambda words: self.forget_verdict())
        self.voice.words = text.plain(self.headline())
        self.work.keep()
        if self.verdict is None:
            self.judging.wait()

    def finish(self) -> None:
        """Compute what is still to come, the verdict on the job too, now."""
        self.settle()
        self.judging.stop()
        if self.verdict is None:
            guarded(lambda: self._show_verdict(judge_job(self.job())), lambda words: None)

    def come_to_rest(self) -> None:
        """Settle, with the verdict on the job now where nobody waits for the panel, or what is shown is stored."""
        if loop_runs() and not self.work.desk.pinned:
            self.settle()
        else:
            self.finish()

    # ----- the verdict on the job -----

    def forget_verdict(self) -> None:
        """The job is another one now: until it is judged the line on top tells of the design alone."""
        self.judging.stop()
        self.judging_on.stop()
        if self.verdict is not None and self.study is not None:
            self.parts["verdict"].value = text.verdict_line(self.study, self.study is not self._complete)
        self.verdict, self._left = None, []

    def _recall(self):
        """Say how the job stands where that has been worked out before; what stands of another state goes."""
        key = self.job().input_hash(), lengths()
        known = self._verdicts.get(key)
        if known is None:
            self.forget_verdict()
        elif known is not self.verdict:
            self._show_verdict(known)

    def _judge_more(self):
        """Do the next stage of judging the job, or say how all of it stands."""
        guarded(self._judge_next, lambda words: self.forget_verdict())

    def _judge_next(self):
        job = self.job()
        if self.verdict is None and not self._left:
            self._left = list(stages_of(job))
        self._left.pop(0)(job)
        if self._left:
            self.judging_on.wait()
        else:
            self._show_verdict(judge_job(job))

    def _show_verdict(self, verdict):
        self.verdict = verdict
        self._verdicts = {**self._verdicts, (verdict.job_hash, lengths()): verdict}
        self._verdicts = dict(list(self._verdicts.items())[-KNOWN:])
        if not self.stale:
            self.parts["verdict"].value = text.job_verdict(verdict)
        self.voice.words = text.plain(self.headline())
        self.work.stood(self._stood())

    def _stood(self):
        """How the job stands, as its history tells it; "" while that is not worked out."""
        return capital(self.verdict.stood) if self.verdict else ""

    def show(self, study: Study) -> None:
        """Show a study of the present design."""
        known = {c.key for c in study.checks}
        complete = self._complete.checks if self._complete else ()
        waiting = [c for c in complete if c.key in _LOCAL - known]
        texts = {
            "picture": section_picture(study, self.pinned, self.controls.view()),
            "verdict": text.verdict_line(study, bool(waiting)),
            "checks": text.checks_table(study, self.pinned, waiting),
            "notes": text.notes_list(study),
            "more": self.more(study, bool(waiting)),
            "sources": text.sources_details(study, waiting),
        }
        self.study = study
        self.controls.follow(study.quantities)
        self._say_advice(self._advised[1] if self._advised and self._advised[0] == (study.design, lengths()) else "")
        self.explain(study)
        if known & _LOCAL:
            self._complete = study
        for name, words in texts.items():
            self.parts[name].value = words
        if self.stale:
            self.mark_stale(False)
            self.alert.value = ""

    def explain(self, study: Study) -> None:
        """Say what the governing check means."""
        self.meaning.value = text.meaning_words(study.governing)

    def _failed(self, words):
        self.alert.value = words
        self._say_advice("")
        if not self.stale:
            self.mark_stale(True)

    def mark_stale(self, stale: bool) -> None:
        """Mark what stands as belonging to other settings, or not."""
        self.stale = stale
        mark_stale(self.parts.values(), stale)
        self.keep.allow(not stale)

    def summary(self) -> str:
        """How it stands, or what is wrong, as one line of plain text, and what the view says; computes what is still to
        come."""
        self.finish()
        lines = [*map(text.plain, (self.headline(), *self.own_lines())), *([self.view.words()] if self.views else [])]
        return "\n".join(lines)

    def set(self, design: Design) -> None:
        """Set everything as in a design."""
        self.controls.set(design)
        self.keep.show(design)
        self.update()
        self.come_to_rest()

    def set_job(self, job: Job) -> None:
        """Show another job, or this one as it stands now."""
        chosen = self.controls.show["lengths"]
        with self.controls.quietly():
            chosen.value = shown_lengths(job)
        if chosen.value != lengths():
            self.change_lengths()
        self.set_own(job)
        self.set(job.design)

    # ----- buttons -----

    def pin(self) -> None:
        """Pin the present design, or let the pinned one go."""
        self.settle()
        self.pinned = None if self.pinned else self.study
        self.keep.buttons["pin"].description = "Let the pinned design go" if self.pinned else BUTTONS["pin"][0]
        self.update()
        self.come_to_rest()

    def export(self) -> None:
        """Write the plots of the present design, and the pictures of the view that is seen."""
        self.settle()
        folder = self.folder() / "plots"
        paths = export_plots(self.study, folder, self.pinned)
        pictures = self.view.export(folder) if self.views else []
        words = ", ".join(link(path, path.name) for path in pictures or paths)
        if pictures:
            self.keep.say(f"Pictures written: {words}; beside them the plots of the design.")
        else:
            self.keep.say(f"Plots written: {words}.")

    def write_note(self) -> None:
        """Write the design note of what is shown."""
        self.write(("note",))

    def write_all(self) -> None:
        """Write every paper of the job."""
        self.write(PAPERS)

    def write(self, kinds) -> None:
        """Write papers of the job as it stands, and say what was written and what not."""
        self.finish()
        name = self.work.desk.name or stem_of(self.study.design.title)
        papers = write_papers(self.job(), self.folder(), kinds, self._tell_step, name)
        self.keep.say(papers_news(papers, link))

    def _tell_step(self, done, steps, what):
        self.keep.say(escape(f"Step {done + 1} of {steps}: {what} …"))

    def folder(self) -> Path:
        """The folder of what is written of the job: its own, or for the demo one below `out`."""
        own = self.work.desk.folder
        return own / "papers" if own is not None else self.out / stem_of(self.study.design.title)


def _frame(line, head, controls, rest, voice):
    """The line of the job; verdict and picture, which stay in view, beside or above the controls; then the rest."""
    main = marked(widgets.VBox([line, _part("bench-head", head), _part("bench-rest", rest)]), "bench-main")
    bench = marked(widgets.Box([_part("controls", controls), main]), "bench")
    return marked(widgets.VBox([hidden_style(STYLE), bench, voice]), "panel")


def _part(kind, parts):
    return marked(widgets.VBox(parts), kind)
