"""What the views of the load panel share, and the two that follow every move: the diagrams and the table of checks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from ..blade.blade import Blade
from ..draw import load_figures as plot_loads
from ..draw.live_svg_loads import loads_picture
from ..loads.checks import LOAD_RULES
from ..loads.load_file import LoadSheet, fitting_checks
from ..loads.load_study import LoadStudy, evaluate_loads
from ..report import load_rows as load_words
from ..study.design import Design
from . import load_tables as words
from .keep import html_part
from .load_controls import LoadControls
from .view import View, write_pictures

MOST_FRAMED = 60  # designs whose framed sheet is remembered
WAIT = tuple(rule.key for rule in LOAD_RULES if rule.local)  # checks that come when the hand rests


class LoadBench:
    """The part and its loads as set, and their study, each worked out once. `controls`: the settings beside the
    design's."""

    def __init__(self, blade: Blade, sheet: LoadSheet):
        self.controls = LoadControls(blade, sheet)
        self._kept, self.complete, self._framed = {}, None, {}

    def state(self, design: Design) -> tuple:
        """(blade, sheet) as set for a design; ValueError, in words, where the settings do not go together."""
        return self.controls.blade(design), self.controls.sheet()

    def study(self, design: Design, full: bool = True) -> LoadStudy:
        """The study of the present settings; without `full` the framed sheet is left out, which is quicker, unless it
        is known already of this part, as when only the loads move."""
        blade, sheet = self.state(design)
        full = full or (self.complete is not None and self.complete.blade == blade)
        plan = sheet.plan if full else replace(sheet.plan, local=False)
        if self._kept.get("for") != (blade, sheet.plan):
            self._kept = {"for": (blade, sheet.plan)}
        if "full" in self._kept:
            return self._kept["full"]
        name = "full" if full else "quick"
        if name not in self._kept:
            self._kept[name] = evaluate_loads(blade, plan, self._framed)
        if full and self.complete is not self._kept["full"]:
            self._forget(blade)
            self.complete = self._kept["full"]
        return self._kept[name]

    def _forget(self, blade):
        """Framed sheets of other parts: a long drag would pile them up."""
        if self.complete is not None and self.complete.blade != blade and len(self._framed) > MOST_FRAMED:
            self._framed.clear()

    def waiting(self, study: LoadStudy) -> tuple:
        """Checks that the last complete study had and this one has not yet."""
        there = {check.key for check in study.checks}
        found = self.complete.checks if self.complete is not None and self.controls.sheet().plan.local else ()
        return tuple(check for check in found if check.key in WAIT and check.key not in there)


class LoadView(View):
    """A view that hangs on the part and its loads as well as on the design. `live`: it follows every move."""

    live = False

    def __init__(self, take, bench: LoadBench):
        self.bench, self._for = bench, None
        super().__init__(take)

    def update(self, design: Design) -> None:
        """Follow a move."""
        self.design = design
        if self.live:
            self.guarded(lambda: self.show(self.bench.study(design, full=False)))
        else:
            self.grey(True)

    def finish(self, design: Design) -> None:
        """Answer for this design and these loads."""
        self.design = design
        try:
            now = (design, *self.bench.state(design))
        except ValueError:
            now = None  # said by the answer itself
        if now is None or now != self._for:
            self.again()
            self._for = now if self._answered is not None else None
        else:
            self.grey(False)

    def answer(self) -> None:
        """Show the complete study."""
        self.show(self.bench.study(self.design))

    def show(self, study: LoadStudy) -> None:
        """Show a study."""

    def sections(self):
        """Sections along the span of the present part."""
        return self.bench.study(self.design).along.sections

    def export(self, folder: Path) -> list:
        """Nothing to write unless a view has pictures."""
        return []


class DiagramsView(LoadView):
    """The diagrams beside what is allowed, and how much of each limit is used."""

    title, live = "Loads", True
    hint = (
        "Shear and moment are what a cut carries of all that acts between it and the tip. Allowed alone: what that one "
        "quantity may be if nothing else acts, your factors counted; the bars count all together. The dotted upright "
        "is the place that governs; triangles are bearings."
    )

    def results(self):
        self.picture, self.cases = html_part("pm-load-picture"), html_part("pm-cases")
        self.said, self.remarks = html_part("pm-load-said"), html_part("pm-load-notes")
        self.good = [self.picture, self.said, self.cases, self.remarks]
        return [self.picture, self.said, self.cases, self.remarks]

    def show(self, study):
        self.picture.value = loads_picture(study)
        self.said.value = words.paragraphs(load_words.support_words(study), load_words.unknown_words(study.checks))
        self.cases.value = words.cases_table(study)
        self.remarks.value = words.bullets((*study.notes, *(" ".join(said) for said in load_words.CAUTIONS)))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        study = self.bench.study(self.design)
        return write_pictures(plot_loads.loads_figure(study), folder / "loads", plot_loads.describe_loads(study))


class ChecksView(LoadView):
    """Every check with the case and the place that govern it, fittings included."""

    title, live = "Checks", True
    hint = "Rest the pointer on a row to see where its limit comes from."

    def results(self):
        self.listed = html_part("pm-load-checks")
        self.good = [self.listed]
        return [self.listed]

    def show(self, study):
        fittings = fitting_checks(study, self.bench.controls.sheet().fittings)
        self.listed.value = words.checks_table((*study.checks, *fittings), study.governing, self.bench.waiting(study))
