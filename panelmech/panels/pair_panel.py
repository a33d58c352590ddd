"""The panel of notebook 04: two measured sheets, from bench readings to a verdict on the pair.

The controls on the left set the design, as in the other panels. Beside them stands the verdict on the two sheets, and
below it one view at a time: the table of readings, each sheet, the pair, land and rod, the part after a while, its
shape. Each hangs on the readings and on the present design. No formula and no drawing of its own.
"""

from __future__ import annotations

import numpy as np

from ..draw.pair_figures import (
    camber_map_figure,
    cambered_figure,
    describe_camber_map,
    describe_cambered,
    describe_log,
    describe_named,
    describe_offsets,
    describe_slope,
    describe_thickness,
    log_figure,
    named_figure,
    offsets_figure,
    slope_figure,
    thickness_figure,
)
from ..loads.steering import steering_bias
from ..measured.finished_part import explain_offsets, judge_part
from ..measured.land import land_spring, land_words
from ..measured.later import after_a_while
from ..measured.pair import as_clamped, camber_outlook, slope_sweep
from ..measured.readings import Readings
from ..study.named_curves import curve_words, fit_named_curves
from ..units import to_si
from . import pair_tables as words
from .desk import as_job
from .guard import guarded
from .panel import Panel
from .readings import Bench, BenchView, ReadingsView
from .style import READINGS_STYLE, VIEWS_STYLE
from .view import ShownFigure, below
from .widgets import html_part, number, pick, row, slider, tick

SLOPE, SLOPE_STEP = 2.0, 0.05  # degrees either way, and of one move
SWEPT = 41  # points of a curve
LEAST_CAMBER = 0.001  # mm that may be allowed


class SheetsView(BenchView):
    """What the readings say of each sheet: thickness, bow, modulus, and which reading dominates."""

    title = "Sheets"
    hint = (
        f"{words.STANDARD} Young's modulus is that along the bend. Two tests of a sheet count together, each by how "
        "sure it is of the bending stiffness. Most of ± from: the reading that adds most to the uncertainty, and its "
        "share of it."
    )

    def results(self):
        self.picture, self.moduli = ShownFigure("pm-thickness", "thickness"), html_part("pm-moduli")
        self.sheets, self.notes = html_part("pm-sheets"), html_part("pm-remarks")
        return [self.moduli, self.sheets, self.notes, self.picture]

    def answer(self):
        report = self.report()
        self.moduli.value, self.sheets.value = words.moduli_table(report), words.sheets_table(report)
        self.notes.value = words.bullets(report.notes) + words.missing_words(report)
        self.picture.show(thickness_figure(report), describe_thickness(report))


class PairView(BenchView):
    """Verdict on the pair: camber against the tolerance, how to lay the sheets together, what it does to steering."""

    title = "Pair"
    hint = (
        "Camber: how far the line half-way between the two sheets ends off the middle; the rod moves towards the "
        "sheet of less bending stiffness. Basis: exact bend of two unequal sheets on a rod that is free across the "
        f"chord; the tolerance is yours. {words.STANDARD} Bow and taper decide how to lay the sheets "
        "together, smallest move first."
    )

    def controls(self):
        self.tolerance = number("tolerance", "camber allowed", 1e3 * self.bench.tolerance, 230, "mm", low=LEAST_CAMBER)
        self.speed = number("speed", "speed through the water", 2.0, 290, "m/s")
        self.listen(self._allow, self.tolerance)
        self.listen(self.again, self.speed)
        return [row(self.tolerance, self.speed)]

    def results(self):
        self.said, self.laid, self.uneven = html_part("pm-pair-said"), html_part("pm-pairing"), html_part("pm-uneven")
        self.known = html_part("pm-known")
        self.picture, self.map = ShownFigure("pm-cambered", "cambered"), ShownFigure("pm-camber-map", "camber-map")
        self.steering = html_part("pm-steering")
        return [self.said, self.known, self.picture, self.laid, self.uneven, self.steering, self.map]

    def allow(self, tolerance: float) -> None:
        """Show the camber allowed [m]."""
        self.bench.tolerance = tolerance
        with self.quietly():
            self.tolerance.put(tolerance)

    def _allow(self, change):
        self.guarded(lambda: self.bench.change(tolerance=self.tolerance.si()))

    def answer(self):
        report = self.report()
        outlook = camber_outlook(report)
        self.said.value, self.known.value = words.bullets(report.notes), words.known_table(report)
        self.laid.value, self.uneven.value = words.pairing_table(report), words.pair_report_tables(report)
        self.steering.value = words.steering_report(steering_bias(report.design, report.bent, self.speed.si()))
        self.picture.show(cambered_figure(report), describe_cambered(report))
        self.map.show(camber_map_figure(report, outlook), describe_camber_map(report, outlook))


class ClampView(BenchView):
    """The real land, the sheets' own bow, and friction at the rod."""

    title = "Land and rod"
    hint = (
        "Both sheets are taken alike here, of their mean thickness and stiffness. Slope: lay a straight edge on each "
        "sheet at the land end; opening is positive. Bow: the mean of both, as the best pairing lays them. Pushing in "
        "and pulling out use the design's friction, acting at the inner faces."
    )

    def controls(self):
        tip = "Slope of each sheet at the land end, opening positive"
        self.slope = slider("slope", "slope at the land", 0.0, -SLOPE, SLOPE, SLOPE_STEP, "deg", tip)
        self.bow = tick("bow", "with the sheets' own bow", True, 270)
        self.give = tick("give", "with an adhesive that gives way", False, 270)
        self.listen(self.again, self.slope, self.bow, self.give)
        return [self.slope, row(self.bow, self.give)]

    def results(self):
        self.said, self.table, self.rod = html_part("pm-clamp-said"), html_part("pm-clamp"), html_part("pm-rod")
        self.picture = ShownFigure("pm-slope-picture", "land-slope")
        return [self.said, self.table, self.rod, self.picture]

    def answer(self):
        report = self.report()
        spring = land_spring(report.design) if self.give.value else np.inf
        clamp = as_clamped(report, self.slope.si(), spring, self.bow.value)
        give = f" {land_words(report.design)}" if self.give.value else ""
        self.said.value = words.paragraphs(words.clamp_words(clamp) + give, words.hazard_words(clamp))
        self.table.value = words.clamp_table(clamp)
        self.rod.value = words.rod_table(clamp, report.design.friction)
        sweep = slope_sweep(report, clamp, np.linspace(*(to_si(s * SLOPE, "deg") for s in (-1.0, 1.0)), SWEPT))
        self.picture.show(slope_figure(report, sweep, clamp), describe_slope(sweep, clamp))


class LaterView(BenchView):
    """The part after a while: relaxed loads, spring-back, and the log against the prediction."""

    title = "Later"
    hint = (
        "How much of the bending moment is left is your own range: it depends on sheet, heat and damp. Plywood has "
        "lost half of it in damp within weeks. The log belongs into the readings: outer thickness at the front, 1 "
        "hour, 24 hours and 7 days after forming."
    )

    def controls(self):
        tip = "Share of the bending moment that is left after a while"
        self.left = slider("left", "bending moment left", 80, 0, 100, 1, "%", tip)
        self.listen(self.again, self.left)
        return [self.left]

    def results(self):
        self.said, self.table, self.log = html_part("pm-later-said"), html_part("pm-later"), html_part("pm-log")
        self.picture = ShownFigure("pm-log-picture", "log")
        return [self.said, self.table, self.picture, self.log]

    def answer(self):
        report = self.report()
        later = after_a_while(report, self.left.si())
        self.said.value = words.paragraphs(words.later_words(later), describe_log(report, later))
        self.table.value, self.log.value = words.later_table(later, report.design.span), words.log_table(later)
        self.picture.show(log_figure(report, later), describe_log(report, later))


class ShapeView(BenchView):
    """The exact curve against curves with a name, and offsets measured on the part."""

    title = "Shape"
    hint = (
        "The curve of the design, two alike sheets, is a piece of the rectangular elastica. Each named curve is laid "
        "on it as near as it can be. Offsets are measured on the finished part, on both faces, and belong into the "
        "readings, under the part as built. The chord line is a straight edge through the middle of the bond line, "
        "along the land, found to a tenth of a millimetre at both ends. Where nobody marked it, say any straight line: "
        f"its height and tilt are then found with the rest, and the part is known less well. {words.STANDARD}"
    )

    def controls(self):
        ends = [("the rod", "contact"), ("the front edge", "front")]
        placed = [("along the land", "land"), ("anyhow", "free")]
        self.to = pick("curve-to", "from the land end to", ends, None, 300, 150)
        self.placed = pick("curve-placed", "the curve starts", placed, None, 300, 130)
        lines = [("the chord line", "chord"), ("any straight line", "free")]
        self.line = pick("offsets-from", "offsets measured from", lines, self.bench.line, 330, 150)
        self.listen(self.again, self.to, self.placed)
        self.listen(lambda _: self.bench.change(line=self.line.value), self.line)
        return [row(self.to, self.placed), self.line]

    def measured_from(self, line: str) -> None:
        """Show the line that offsets were measured from."""
        self.bench.line = line
        with self.quietly():
            self.line.value = line

    def results(self):
        self.said, self.picture = html_part("pm-named-said"), ShownFigure("pm-named", "named-curves")
        self.explained, self.offsets = html_part("pm-offsets-said"), ShownFigure("pm-offsets", "offsets")
        return [self.said, self.picture, self.explained, self.offsets]

    def answer(self):
        report = self.report()
        fits = fit_named_curves(report.design.bend(), self.to.value, self.placed.value)
        self.said.value = words.paragraphs(" ".join(curve_words(fits)))
        self.picture.show(named_figure(report, fits), describe_named(fits))
        fit = explain_offsets(report)
        if fit is None:
            self.offsets.hide()
            self.explained.value = words.paragraphs("No offsets have been measured on the part yet.")
            return
        alt = describe_offsets(fit.offsets, fit)
        self.explained.value = words.part_report(judge_part(report, fit), alt)
        self.offsets.show(offsets_figure(report, fit.offsets, fit), alt)


VIEWS = {"sheets": SheetsView, "pair": PairView, "land": ClampView, "later": LaterView, "shape": ShapeView}


def panel_pairs(given, readings: Readings | None = None, **places) -> PairsPanel:
    """Panel of notebook 04, of a job, or of a design and `readings`. `places` may name the folders `jobs` and `out`."""
    return PairsPanel(as_job(given, readings=readings), **places)


class PairsPanel(Panel):
    """A panel of views on two measured sheets: `bench` holds the readings, `pair` the verdict on them."""

    advice_of = "The design, with two like sheets:"
    place = "matched pairs"

    def __init__(self, given, **places):
        self.bench = Bench(Readings())
        super().__init__(given, **places)
        self.bench.listeners.append(self.come_to_rest)

    def make(self):
        self.pair = html_part("pm-pair")
        table = ReadingsView(self.set, self.bench)
        self.add_views({"readings": table, **{name: kind(self.set, self.bench) for name, kind in VIEWS.items()}})

    def main(self):
        style, *rest = self.around_views([], [below("The present design")], VIEWS_STYLE + READINGS_STYLE)
        return [style, self.pair, *rest]

    def moved(self):
        self.pair.add_class("pm-stale")
        super().moved()

    def rested(self):
        guarded(lambda: self._say_pair(words.pair_line(self.bench.report(self.design()))), self._say_pair)
        super().rested()

    def _say_pair(self, line):
        self.pair.value = line
        self.pair.remove_class("pm-stale")

    def own_lines(self):
        return [self.pair.value]

    def own(self, job):
        bench = self.bench
        return job.replace(readings=bench.checked(), camber=bench.tolerance, offsets_from=bench.line)

    def set_own(self, job):
        self.views["pair"].allow(job.camber)
        self.views["shape"].measured_from(job.offsets_from)
        self.views["readings"].set(job.readings)
