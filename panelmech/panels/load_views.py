"""The views of the load panel: diagrams and checks follow every move; the part, the rod, mass and float, fittings and
sizing come when the hand rests. Each hangs on the part and its loads as well as on the design."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

from ..blade.blade import Blade
from ..blade.buoyancy import ballast, hydrostatics
from ..blade.rod import rod_share, rod_walls
from ..blade.taper_fit import sheet_fit
from ..draw.blade_figures import blade_figure, describe_blade, planform_figure
from ..draw.live_svg_loads import loads_picture
from ..draw.load_figures import describe_loads, loads_figure
from ..draw.trade_off_figures import describe_sizing, sizing_figure
from ..job.every import judge_of
from ..job.job import Job
from ..loads.checks import LOAD_RULES
from ..loads.fittings import BearingBolt, BondedStud
from ..loads.load_file import LoadSheet
from ..loads.load_study import LoadStudy, evaluate_loads
from ..loads.mend import mended_fittings
from ..loads.plan import Own
from ..loads.sizing import LOAD_OUTPUTS, size_for_load
from ..report import blade_rows, load_rows
from ..study.design import LIMITS, Design
from ..units import capital, from_si, lengths, show
from . import load_tables as words
from .load_controls import LoadControls
from .trade_off_tables import judged_options, sizing_words, stock_options
from .view import ShownFigure, View, input_options, with_unit, write_pictures
from .widgets import Options, button, fill, html_part, number, pick, row

MOST_FRAMED = 60  # designs whose framed sheet is remembered
WAIT = tuple(rule.key for rule in LOAD_RULES if rule.local)  # checks that come when the hand rests
SIZED = ("spacer_wall", "spacer_diameter", "sheet_thickness", "free_length", "land_length", "setback")
PROPOSED = {"tip_deflection": 0.5, "mass": 0.9}  # first target: this times the present value; reserves: 1.5
GOOD_RESERVE = 1.5


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
        if self._kept.get("for") != (blade, sheet.plan, lengths()):
            self._kept = {"for": (blade, sheet.plan, lengths())}
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
        known = {check.key for check in study.checks}
        before = self.complete.checks if self.complete is not None and self.controls.sheet().plan.local else ()
        return tuple(check for check in before if check.key in WAIT and check.key not in known)


class LoadView(View):
    """A view that hangs on the part and its loads as well as on the design. `live`: it follows every move."""

    live = False

    def __init__(self, take, bench: LoadBench):
        self.bench = bench
        super().__init__(take)

    def state(self):
        try:
            return (self.design, *self.bench.state(self.design))
        except ValueError:
            return None  # said by the answer itself

    def update(self, design: Design) -> None:
        """Follow a move."""
        if not self.live:
            super().update(design)
            return
        self.design = design
        self.guarded(lambda: self.show(self.bench.study(design, full=False)))

    def answer(self) -> None:
        """Show the complete study."""
        self.show(self.bench.study(self.design))

    def show(self, study: LoadStudy) -> None:
        """Show a study."""


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
        return [self.picture, self.said, self.cases, self.remarks]

    def show(self, study):
        self.picture.value = loads_picture(study)
        self.said.value = words.paragraphs(load_rows.support_words(study), load_rows.unknown_words(study.checks))
        self.cases.value = words.cases_table(study)
        self.remarks.value = words.bullets((*study.notes, *map(" ".join, load_rows.CAUTIONS)))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        study = self.bench.study(self.design)
        return write_pictures(loads_figure(study), folder / "loads", describe_loads(study))


class ChecksView(LoadView):
    """Every check with the case and the place that govern it, fittings included."""

    title, live = "Checks", True
    hint = "Rest the pointer on a row to see where its limit comes from."

    def results(self):
        self.listed = html_part("pm-load-checks")
        return [self.listed]

    def show(self, study):
        fittings = mended_fittings(study, self.bench.controls.sheet().fittings)
        self.listed.value = words.load_checks_table(
            (*study.checks, *fittings), study.governing, self.bench.waiting(study)
        )


class PartView(LoadView):
    """The part in space and from the side, its stations, whether flat sheets fit the taper."""

    title = "Part"
    hint = (
        "To scale. Each station is the exact bend of its own dimensions. The stretch says whether a flat sheet can "
        "follow the taper; a wedge-cut blank gives the straight taper."
    )

    def results(self):
        self.space, self.side = ShownFigure("pm-space", "part", 820), ShownFigure("pm-planform", "planform", 820)
        self.stations, self.fit = html_part("pm-stations"), html_part("pm-fit")
        return [self.space, self.side, self.stations, self.fit]

    def answer(self):
        sections = self.bench.study(self.design).along.sections
        alt = describe_blade(sections)
        self.space.show(blade_figure(sections), alt)
        self.side.show(planform_figure(sections), alt)
        self.stations.value = words.rows_table(blade_rows.station_rows(sections.blade), "Stations")
        self.fit.value = words.bullets(map(capital, sheet_fit(sections.blade).words))


class RodView(LoadView):
    """The rod alone against the blade, and other walls of it."""

    title = "Rod"
    hint = (
        "The share is of the bending about the chord line, which a side force makes. A thicker wall is often the cheap "
        "answer where that share is large. Deflections here are for an even side force, held at the root end."
    )

    def results(self):
        self.said = html_part("pm-rod-said")
        return [self.said]

    def answer(self):
        study = self.bench.study(self.design)
        blade = study.blade
        walls = rod_walls(blade) if blade.design.spacer.walls else None
        self.said.value = words.rod_report(study, rod_share(study.along.sections), walls)


class FloatView(LoadView):
    """Mass by part, net buoyancy dry and flooded, and what trims it."""

    title = "Float"
    hint = (
        "The part as bonded and potted, ends cut square; fairing and fittings are not in it. Flooded: hollow and bore "
        "hold water as far as it stands outside. The water is that of the loads."
    )

    def controls(self):
        self.wanted = number("wanted-force", "wanted net force upwards", 0.0, 290, "N")
        self.fill = number("fill-density", "filler in the hollow", 0.0, 290, "kg/m3", "0 for none", 0.0)
        self.flooded = pick("flooded", "trim it", [("dry", False), ("flooded", True)], False, 200, 60)
        self.listen(self.again, self.wanted, self.fill, self.flooded)
        return [row(self.wanted, self.flooded, self.fill)]

    def results(self):
        self.listed = html_part("pm-float")
        return [self.listed]

    def answer(self):
        blade, _ = self.bench.state(self.design)
        controls = self.bench.controls
        water, waterline = controls.lists["water"].value, controls.numbers["immersed_from"].si()
        floating = hydrostatics(blade, water, waterline, self.fill.si() or None)
        self.listed.value = words.float_report(floating, self._trims(floating))

    def _trims(self, floating):
        """Outside and inside; what cannot be is said."""
        out = []
        for inside in (False, True):
            try:
                out.append(f"To trim, {ballast(floating, self.wanted.si(), self.flooded.value, inside).words}.")
            except ValueError as error:
                out.append(f"To trim inside: {error}.")
        return out


FITTING_FIELDS = (  # class and words of a field, unit, kind of the fitting, its attribute; strengths are the user's own
    ("bolt-diameter", "bolt", "mm", BearingBolt, "diameter"),
    ("bolt-length", "bears over", "mm", BearingBolt, "length"),
    ("bolt-edge", "hole to edge", "mm", BearingBolt, "edge_distance"),
    ("bolt-shear", "bolt in shear", "MPa", BearingBolt, "bolt_shear"),
    ("bolt-bearing", "part in bearing", "MPa", BearingBolt, "bearing_strength"),
    ("bolt-tear", "part in shear", "MPa", BearingBolt, "shear_strength"),
    ("stud-diameter", "stud", "mm", BondedStud, "diameter"),
    ("stud-length", "bonded over", "mm", BondedStud, "length"),
    ("stud-pull", "pull", "N", BondedStud, "pull"),
)
NEW_FITTING = {BearingBolt: "bolt", BondedStud: "stud"}  # name of a new one


def _own_strength(value, before):
    """A strength as entered; one that has not changed keeps its source, 0 is not known."""
    if before is not None and before.value == value:
        return before
    return Own(value, "as entered") if value else None


class FittingsView(LoadView):
    """The bolt through a bearing and a bonded stud, with what they are checked against."""

    title = "Fittings"
    hint = (
        "Nominal stresses: no rise of stress at the hole is counted, and a bonded stud is taken as loaded evenly. The "
        "bearing's own force comes from the load cases. A strength of 0 is not known. Save the loads to keep these."
    )

    def controls(self):
        self.bearing = pick("bolt-bearing-place", "at the", [("first bearing", 0), ("second bearing", 1)], 0, 210, 60)
        self.fields = [number(kind, label, 0.0, 226, unit, low=0.0) for kind, label, unit, *_ in FITTING_FIELDS]
        self.listen(self._own, *self.fields, self.bearing)
        return [row(self.bearing, *self.fields[:3]), row(*self.fields[3:6]), row(*self.fields[6:])]

    def results(self):
        self.listed = html_part("pm-fittings")
        return [self.listed]

    def _own(self, change):
        self.guarded(self._store)
        self.again()

    def _present(self):
        """The first fitting of each kind, or None."""
        fittings = self.bench.controls.sheet_base.fittings
        return {kind: next((f for f in fittings if isinstance(f, kind)), None) for kind in NEW_FITTING}

    def _store(self):
        """The fittings as typed, into the load sheet; a size of 0 is no fitting."""
        made, present = [], self._present()
        for kind, old in present.items():
            values = {} if kind is BondedStud else {"bearing": self.bearing.value}
            for field, (_, _, unit, of, name) in zip(self.fields, FITTING_FIELDS, strict=True):
                if of is kind:
                    value = field.si()
                    values[name] = _own_strength(value, getattr(old, name, None)) if unit == "MPa" else value
            if values["diameter"]:
                made.append(replace(old, **values) if old else kind(NEW_FITTING[kind], **values))
        kept = [f for f in self.bench.controls.sheet_base.fittings if not any(f is old for old in present.values())]
        self.bench.controls.keep_fittings((*made, *kept))

    def _fill(self):
        present = self._present()
        bolt = present[BearingBolt]
        with self.quietly():
            self.bearing.value = bolt.bearing if bolt else 0
            for field, (_, _, unit, kind, name) in zip(self.fields, FITTING_FIELDS, strict=True):
                value = getattr(present[kind], name) if present[kind] else None
                value = value.value if isinstance(value, Own) else value or 0.0
                field.value = float(f"{from_si(value, unit):.12g}")

    def answer(self):
        self._fill()
        fittings = self.bench.controls.sheet_base.fittings
        study = self.bench.study(self.design)
        checks = mended_fittings(study, fittings)
        said = words.paragraphs(
            load_rows.support_words(study),
            load_rows.unknown_words(checks),
            "" if fittings else "No fittings are given: enter a bolt or a stud.",
        )
        self.listed.value = said + (words.load_checks_table(checks) if checks else "")


class SizeLoadView(LoadView):
    """Solve for one input so that a result under load meets a target; on a button, since it takes a second or more."""

    title = "Size"
    hint = (
        "The whole range is searched: a study of the part for each of some 60 designs, fewer where the framed sheet "
        "counts. A dimension that the part gives along its span has no one value and cannot be sized. Beside each "
        "answer stands how the part comes out with it, every check along its span and under its loads counted."
    )

    def controls(self):
        options = Options(lambda: [(with_unit(label, unit), name) for name, (label, unit, _) in LOAD_OUTPUTS.items()])
        self._worked = None
        self.output = pick("load-output", "so that", options, "tip_deflection", 470)
        self.target = number("load-target", "is", 0.0, 220)
        self.field = pick("load-field", "changing", input_options(SIZED), "spacer_wall", 330)
        self.work = button("size-loads", "Work it out", partial(self.guarded, self.work_out), 190)
        self.listen(self._propose, self.output)
        return [row(self.output, self.target), row(self.field, self.work)]

    def results(self):
        self.said, self.picture = html_part("pm-load-sizing"), ShownFigure("pm-load-sizing-picture", "size-loads")
        self.picture.hide()
        self.answers = pick("load-answers", "answers", [], None, 460)
        self.use = button("use-load-answer", "Make this the design", partial(self.guarded, self.choose))
        return [self.said, row(self.answers, self.use), self.picture]

    def _propose(self, change=None):
        """A target to begin with, from the present part."""
        if self.design is None:
            return
        label, unit, read = LOAD_OUTPUTS[self.output.value]
        value = (
            GOOD_RESERVE
            if unit == "x"
            else from_si(PROPOSED.get(self.output.value, 0.8) * read(self.bench.study(self.design)), unit)
        )
        self.target.named("is", unit)
        self.target.value = float(f"{value:.3g}") if np.isfinite(value) else 0.0

    def answer(self):
        if not self.target.value:
            self._propose()
        if not self.said.value:
            self.said.value = words.paragraphs("Choose a result, a wanted value and what to change, then work it out.")
        self.use.disabled = not self.answers.options

    def finish(self, design):
        """The answer stands for the design it was worked out for: greyed for another."""
        super().finish(design)
        self.grey(self._worked is not None and self._worked != self.bench.state(design))

    def work_out(self) -> None:
        """Search the range."""
        blade, sheet = self.bench.state(self.design)
        unit = LOAD_OUTPUTS[self.output.value][1]
        self.sizing = size_for_load(blade, sheet.plan, self.output.value, self.target.si(), self.field.value)
        self._worked = (blade, sheet)
        self.said.value = sizing_words(self.sizing)
        field_unit = LIMITS[self.sizing.field].unit
        exact = [(f"exactly {show(value, field_unit)}", value) for value in self.sizing.solutions]
        options, judge = exact + stock_options(self.sizing, unit), judge_of(Job(blade, loads=sheet))
        fill(self.answers, judged_options(options, self.design, self.sizing.field, judge))
        self.use.disabled = not self.answers.options
        figure = sizing_figure(self.sizing, named=LOAD_OUTPUTS[self.sizing.output][:2])
        self.picture.show(figure, describe_sizing(self.sizing))

    def choose(self) -> None:
        """Make the chosen answer the design."""
        self.take(self.design.replace(**{self.sizing.field: self.answers.value}))
