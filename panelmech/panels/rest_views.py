"""Views of the load panel that come when the hand rests: the part, the rod, mass and float, fittings, sizing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from ..blade.buoyancy import ballast, hydrostatics
from ..blade.rod import rod_share, rod_walls
from ..blade.taper_fit import sheet_fit
from ..draw import blade_figures as plot_blade
from ..draw.trade_off_figures import describe_sizing, sizing_figure
from ..loads.fittings import BearingBolt, BondedStud
from ..loads.load_file import fitting_checks
from ..loads.plan import Own
from ..loads.sizing import LOAD_OUTPUTS, size_for_load
from ..report import blade_rows as blade_words
from ..report import load_rows as load_words
from ..study.design import LIMITS
from ..units import from_si, pretty_unit, show, show_input, to_si
from . import load_tables as words
from .keep import html_part
from .load_views import LoadView
from .trade_off_tables import sizing_words
from .view import Picture, button, fill, input_options, number, pick, row, write_pictures

SIZED = ("spacer_wall", "spacer_diameter", "sheet_thickness", "free_length", "land_length", "setback")
PROPOSED = {"tip_deflection": 0.5, "mass": 0.9}  # first target: this times the present value; reserves: 1.5
GOOD_RESERVE = 1.5


class PartView(LoadView):
    """The part in space and from the side, its stations, whether flat sheets fit the taper."""

    title = "Part"
    hint = (
        "To scale. Each station is the exact bend of its own dimensions. The stretch says whether a flat sheet can "
        "follow the taper; a wedge-cut blank gives the straight taper."
    )

    def results(self):
        self.space, self.side = Picture("pm-space", 820), Picture("pm-planform", 820)
        self.stations, self.fit = html_part("pm-stations"), html_part("pm-fit")
        self.good = [self.stations, self.fit, *(p for q in (self.space, self.side) for p in (q.image, q.words))]
        return [self.space.box, self.side.box, self.stations, self.fit]

    def answer(self):
        sections = self.sections()
        alt = plot_blade.describe_blade(sections)
        self.space.show(plot_blade.blade_figure(sections), alt)
        self.side.show(plot_blade.planform_figure(sections), alt)
        self.stations.value = words.rows_table(blade_words.station_rows(sections.blade), "Stations")
        self.fit.value = words.bullets(_capitals(sheet_fit(sections.blade).words))

    def export(self, folder: Path) -> list:
        """Write both pictures."""
        sections = self.sections()
        alt = plot_blade.describe_blade(sections)
        return [
            *write_pictures(plot_blade.blade_figure(sections), folder / "part", alt),
            *write_pictures(plot_blade.planform_figure(sections), folder / "planform", alt),
        ]


class RodView(LoadView):
    """The rod alone against the blade, and other walls of it."""

    title = "Rod"
    hint = (
        "The share is of the bending about the chord line, which a side force makes. A thicker wall is often the cheap "
        "answer where that share is large. Deflections here are for an even side force, held at the root end."
    )

    def results(self):
        self.said = html_part("pm-rod-said")
        self.good = [self.said]
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
        self.wanted = number("wanted-force", "wanted net force upwards, N", 0.0, 290, 190)
        self.fill = number("fill-density", "filler in the hollow, kg/m³ (0: none)", 0.0, 330, 240)
        self.state = pick("flooded", "trim it", [("dry", False), ("flooded", True)], False, 200, 60)
        for control in (self.wanted, self.fill, self.state):
            control.observe(self.again, "value")
        return [row(self.wanted, self.state, self.fill)]

    def results(self):
        self.listed = html_part("pm-float")
        self.good = [self.listed]
        return [self.listed]

    def answer(self):
        if self.fill.value < 0.0:
            raise ValueError(f"the filler is {self.fill.value:g} kg/m³: give its density, or 0 for none")
        blade, _ = self.bench.state(self.design)
        controls = self.bench.controls
        found = hydrostatics(
            blade,
            controls.lists["water"].value,
            to_si(controls.numbers["immersed_from"].value, "mm"),
            self.fill.value or None,
        )
        self.listed.value = words.float_report(found, self._trims(found))

    def _trims(self, found):
        """Outside and inside; what cannot be is said."""
        out = []
        for inside in (False, True):
            try:
                out.append(f"To trim, {ballast(found, self.wanted.value, self.state.value, inside).words}.")
            except ValueError as error:
                out.append(f"To trim inside: {error}.")
        return out


class FittingsView(LoadView):
    """The bolt through a bearing and a bonded stud, with what they are checked against."""

    title = "Fittings"
    hint = (
        "Nominal stresses: no rise of stress at the hole is counted, and a bonded stud is taken as loaded evenly. The "
        "bearing's own force comes from the load cases. A strength of 0 is not known. Save the loads to keep these."
    )

    def controls(self):
        self._filling = False
        sizes = (("bolt-diameter", "bolt, mm"), ("bolt-length", "bears over, mm"), ("bolt-edge", "hole to edge, mm"))
        strengths = (
            ("bolt-shear", "bolt in shear, MPa"),
            ("bolt-bearing", "part in bearing, MPa"),
            ("bolt-tear", "part in shear, MPa"),
        )
        stud = (("stud-diameter", "stud, mm"), ("stud-length", "bonded over, mm"), ("stud-pull", "pull, N"))
        rows = [[number(kind, label, 0.0, 226, 146) for kind, label in group] for group in (sizes, strengths, stud)]
        self.bearing = pick("bolt-bearing-place", "at the", [("first bearing", 0), ("second bearing", 1)], 0, 210, 60)
        self.fields = [field for group in rows for field in group]
        for control in (*self.fields, self.bearing):
            control.observe(self._own, "value")
        return [row(self.bearing, *rows[0]), row(*rows[1]), row(*rows[2])]

    def results(self):
        self.listed = html_part("pm-fittings")
        self.good = [self.listed]
        return [self.listed]

    def _own(self, change):
        if not self._filling:
            self.guarded(self._store)
            self.again()

    def _store(self):
        """The fittings as typed, into the load sheet; a size of 0 is no fitting."""
        *sizes, pull = (
            to_si(f.value, u) for f, u in zip(self.fields, ("mm",) * 3 + ("MPa",) * 3 + ("mm", "mm", "N"), strict=True)
        )
        bolt, stud = self._present()
        own = [Own(v, "as entered") if v else None for v in sizes[3:6]]
        old = (bolt.bolt_shear, bolt.bearing_strength, bolt.shear_strength) if bolt else (None,) * 3
        own = [o if o and n and o.value == n.value else n for o, n in zip(old, own, strict=True)]
        made = []
        if sizes[0]:
            base = bolt or BearingBolt("bolt", 0, *sizes[:3])
            made.append(
                replace(
                    base,
                    bearing=self.bearing.value,
                    diameter=sizes[0],
                    length=sizes[1],
                    edge_distance=sizes[2],
                    bolt_shear=own[0],
                    bearing_strength=own[1],
                    shear_strength=own[2],
                )
            )
        if sizes[6]:
            made.append(
                replace(stud or BondedStud("stud", *sizes[6:8], pull), diameter=sizes[6], length=sizes[7], pull=pull)
            )
        rest = [f for f in self.bench.controls.sheet_base.fittings if f is not bolt and f is not stud]
        self.bench.controls.keep_fittings((*made, *rest))

    def _present(self):
        there = self.bench.controls.sheet_base.fittings
        return tuple(next((f for f in there if isinstance(f, kind)), None) for kind in (BearingBolt, BondedStud))

    def _fill(self):
        bolt, stud = self._present()
        values = [0.0] * 9
        if bolt:
            values[:6] = [from_si(v, "mm") for v in (bolt.diameter, bolt.length, bolt.edge_distance)] + [
                from_si(o.value, "MPa") if o else 0.0
                for o in (bolt.bolt_shear, bolt.bearing_strength, bolt.shear_strength)
            ]
        if stud:
            values[6:] = from_si(stud.diameter, "mm"), from_si(stud.length, "mm"), stud.pull
        self._filling = True
        try:
            self.bearing.value = bolt.bearing if bolt else 0
            for field, value in zip(self.fields, values, strict=True):
                field.value = float(f"{value:.12g}")
        finally:
            self._filling = False

    def answer(self):
        self._fill()
        fittings = self.bench.controls.sheet_base.fittings
        study = self.bench.study(self.design)
        checks = fitting_checks(study, fittings)
        said = words.paragraphs(
            load_words.support_words(study),
            load_words.unknown_words(checks),
            "" if fittings else "No fittings are given: enter a bolt or a stud.",
        )
        self.listed.value = said + (words.checks_table(checks) if checks else "")


class SizeLoadView(LoadView):
    """Solve for one input so that a result under load meets a target; on a button, since it takes a second or more."""

    title = "Size"
    hint = (
        "The whole range is searched: a study of the part for each of some 60 designs, fewer where the framed sheet "
        "counts. A dimension that the part gives along its span has no one value and cannot be sized."
    )

    def controls(self):
        options = [
            (f"{label[:1].upper()}{label[1:]} [{pretty_unit(unit)}]", name)
            for name, (label, unit, _) in LOAD_OUTPUTS.items()
        ]
        self.output = pick("load-output", "so that", options, "tip_deflection", 470)
        self.target = number("load-target", "is", 0.0, 220)
        self.field = pick("load-field", "changing", input_options(SIZED), "spacer_wall", 330)
        self.work = button("size-loads", "Work it out", lambda: self.guarded(self.work_out), 190)
        self.output.observe(self._propose, "value")
        return [row(self.output, self.target), row(self.field, self.work)]

    def results(self):
        self.said, self.picture = html_part("pm-load-sizing"), Picture("pm-load-sizing-picture")
        self.picture.box.layout.display = "none"  # until there is one
        self.answers = pick("load-answers", "answers", [], None, 460)
        self.use = button("use-load-answer", "Make this the design", lambda: self.guarded(self.choose))
        self.good = [self.said, self.picture.image, self.picture.words]
        return [self.said, row(self.answers, self.use), self.picture.box]

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
        self.target.description = f"is, {pretty_unit(unit)}"
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
        self.grey(hasattr(self, "_worked") and self._worked != self.bench.state(design))

    def work_out(self) -> None:
        """Search the range."""
        blade, sheet = self.bench.state(self.design)
        unit = LOAD_OUTPUTS[self.output.value][1]
        self.sizing = size_for_load(
            blade, sheet.plan, self.output.value, to_si(self.target.value, unit), self.field.value
        )
        self._worked = (blade, sheet)
        self.said.value = sizing_words(self.sizing)
        fill(self.answers, self._options(self.sizing, unit))
        self.use.disabled = not self.answers.options
        self.picture.box.layout.display = None
        self.picture.show(sizing_figure(self.sizing, named=self._named()), describe_sizing(self.sizing))

    def _named(self):
        return LOAD_OUTPUTS[self.sizing.output][:2]

    @staticmethod
    def _options(sizing, what):
        unit = LIMITS[sizing.field].unit
        exact = [(f"exactly {show(value, unit)}", value) for value in sizing.solutions]
        return exact + [
            (f"one can buy {show_input(s.value, unit)}, gives {show(s.output, what)}", s.value)
            for s in sizing.stock
            if np.isfinite(s.output)
        ]

    def choose(self) -> None:
        """Make the chosen answer the design."""
        self.take(self.design.replace(**{self.sizing.field: self.answers.value}))

    def export(self, folder: Path) -> list:
        """Write the picture, where there is one."""
        if not hasattr(self, "sizing"):
            return []
        fig = sizing_figure(self.sizing, named=self._named())
        return write_pictures(fig, folder / "size-loads", describe_sizing(self.sizing))


def _capitals(sentences):
    return tuple(f"{s[:1].upper()}{s[1:]}" for s in sentences)
