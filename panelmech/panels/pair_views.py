"""Views of the panel of matched pairs: the two sheets, the pair, the land and the rod, and the part after a while.

Each hangs on the readings of the bench and on the present design. No formula and no drawing of its own.
"""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets
import numpy as np

from ..draw import pair_figures
from ..loads.steering import steering_bias
from ..measured.land import land_spring, land_words
from ..measured.pair import after_a_while, as_clamped, camber_outlook, explain_offsets, measured_offsets, slope_sweep
from ..study.named_curves import curve_words, fit_named_curves
from ..units import to_si
from . import pair_tables as words
from .keep import html_part
from .readings import BenchView
from .view import Picture, number, pick, row, write_pictures

SLOPE, SLOPE_STEP = 2.0, 0.05  # degrees either way, and of one move
SWEPT = 41  # points of a curve


class SheetsView(BenchView):
    """What the readings say of each sheet: thickness, bow, modulus, and which reading dominates."""

    title = "Sheets"
    hint = (
        f"{words.STANDARD} Young's modulus is that along the bend. Of two tests of a sheet the surer one counts, the "
        "other is a check on it. Most of ± from: the reading that adds most to the uncertainty, and its share of it."
    )

    def results(self):
        self.picture, self.moduli = Picture("pm-thickness"), html_part("pm-moduli")
        self.sheets, self.notes = html_part("pm-sheets"), html_part("pm-remarks")
        self.good = [self.moduli, self.sheets, self.notes, self.picture.image, self.picture.words]
        return [self.moduli, self.sheets, self.notes, self.picture.box]

    def answer(self):
        report = self.report()
        self.moduli.value, self.sheets.value = words.moduli_table(report), words.sheets_table(report)
        self.notes.value = words.bullets(report.notes) + words.missing_words(report)
        self.picture.show(pair_figures.thickness_figure(report), pair_figures.describe_thickness(report))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        report = self.report()
        alt = pair_figures.describe_thickness(report)
        return write_pictures(pair_figures.thickness_figure(report), folder / "thickness", alt)


class PairView(BenchView):
    """Verdict on the pair: camber against the tolerance, how to lay the sheets together, what it does to steering."""

    title = "Pair"
    hint = (
        "Camber: how far the line half-way between the two sheets ends off the middle; the rod moves towards the "
        "softer sheet. Basis: exact bend of two unequal sheets on a rod that is free across the chord; the tolerance "
        f"is yours. {words.STANDARD} Bow and taper decide how to lay the sheets together, smallest move first."
    )

    def controls(self):
        self.tolerance = number("tolerance", "camber allowed, mm", 1e3 * self.bench.tolerance, 230, 140)
        self.speed = number("speed", "speed through the water, m/s", 2.0, 290, 200)
        self.tolerance.observe(self._allow, "value")
        self.speed.observe(self.again, "value")
        return [row(self.tolerance, self.speed)]

    def results(self):
        self.said, self.picture, self.map = html_part("pm-pair-said"), Picture("pm-cambered"), Picture("pm-camber-map")
        self.laid, self.uneven = html_part("pm-pairing"), html_part("pm-uneven")
        self.steering = html_part("pm-steering")
        shown = [self.picture, self.map]
        self.good = [self.said, self.laid, self.uneven, self.steering]
        self.good += [part for p in shown for part in (p.image, p.words)]
        below = [self.laid, self.uneven, self.steering]
        return [self.said, self.picture.box, *below, self.map.box]

    def _allow(self, change):
        self.guarded(lambda: self.bench.change(tolerance=to_si(_positive("camber allowed", change["new"]), "mm")))

    def answer(self):
        report = self.report()
        outlook = camber_outlook(report)
        self.said.value = words.bullets(report.notes)
        self.laid.value, self.uneven.value = words.pairing_table(report), words.pair_tables(report)
        self.steering.value = words.steering_report(steering_bias(report.design, report.bent, self.speed.value))
        self.picture.show(pair_figures.cambered_figure(report), pair_figures.describe_cambered(report))
        self.map.show(
            pair_figures.camber_map_figure(report, outlook), pair_figures.describe_camber_map(report, outlook)
        )

    def export(self, folder: Path) -> list:
        """Write both pictures."""
        report = self.report()
        outlook = camber_outlook(report)
        alt = pair_figures.describe_cambered(report), pair_figures.describe_camber_map(report, outlook)
        return [
            *write_pictures(pair_figures.cambered_figure(report), folder / "cambered", alt[0]),
            *write_pictures(pair_figures.camber_map_figure(report, outlook), folder / "camber-map", alt[1]),
        ]


class ClampView(BenchView):
    """The real land, the sheets' own bow, and friction at the rod."""

    title = "Land and rod"
    hint = (
        "Both sheets are taken alike here, of their mean thickness and stiffness. Slope: lay a straight edge on each "
        "sheet at the land end; opening is positive. Bow as the best pairing lays it, A's marked face out. Pushing in "
        "and pulling out use the design's friction, acting at the inner faces."
    )

    def controls(self):
        self.slope = widgets.FloatSlider(
            value=0.0,
            min=-SLOPE,
            max=SLOPE,
            step=SLOPE_STEP,
            description="slope at the land, °",
            readout_format=".2f",
            tooltip="Slope of each sheet at the land end, opening positive",
            style={"description_width": "130px"},
            layout=widgets.Layout(width="420px"),
        )
        self.slope.add_class("pm-slope")
        self.bow = _tick("bow", "with the sheets' own bow", True)
        self.give = _tick("give", "with an adhesive that gives way", False)
        for control in (self.slope, self.bow, self.give):
            control.observe(self.again, "value")
        return [self.slope, row(self.bow, self.give)]

    def results(self):
        self.said, self.table, self.rod = html_part("pm-clamp-said"), html_part("pm-clamp"), html_part("pm-rod")
        self.picture = Picture("pm-slope-picture")
        self.good = [self.said, self.table, self.rod, self.picture.image, self.picture.words]
        return [self.said, self.table, self.rod, self.picture.box]

    def _clamp(self):
        report = self.report()
        spring = land_spring(report.design) if self.give.value else np.inf
        return report, as_clamped(report, to_si(self.slope.value, "deg"), spring, self.bow.value)

    def _sweep(self, report, clamp):
        return slope_sweep(report, clamp, np.linspace(*(to_si(s * SLOPE, "deg") for s in (-1.0, 1.0)), SWEPT))

    def answer(self):
        report, clamp = self._clamp()
        give = f" {land_words(report.design)}" if self.give.value else ""
        self.said.value = words.sentences(words.clamp_words(clamp) + give, words.hazard_words(clamp))
        self.table.value = words.clamp_table(clamp)
        self.rod.value = words.rod_table(clamp, report.design.friction)
        sweep = self._sweep(report, clamp)
        self.picture.show(pair_figures.slope_figure(report, sweep, clamp), pair_figures.describe_slope(sweep, clamp))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        report, clamp = self._clamp()
        sweep = self._sweep(report, clamp)
        alt = pair_figures.describe_slope(sweep, clamp)
        return write_pictures(pair_figures.slope_figure(report, sweep, clamp), folder / "land-slope", alt)


class LaterView(BenchView):
    """The part after a while: relaxed loads, spring-back, and the log against the prediction."""

    title = "Later"
    hint = (
        "How much of the bending moment is left is your own range: it depends on sheet, heat and damp. Plywood has "
        "lost half of it in damp within weeks. The log belongs into the readings: outer thickness at the front, 1 "
        "hour, 24 hours and 7 days after forming."
    )

    def controls(self):
        self.left = widgets.IntSlider(
            value=80,
            min=0,
            max=100,
            description="bending moment left, %",
            tooltip="Share of the bending moment that is left after a while",
            style={"description_width": "160px"},
            layout=widgets.Layout(width="420px"),
        )
        self.left.add_class("pm-left")
        self.left.observe(self.again, "value")
        return [self.left]

    def results(self):
        self.said, self.table, self.log = html_part("pm-later-said"), html_part("pm-later"), html_part("pm-log")
        self.picture = Picture("pm-log-picture")
        self.good = [self.said, self.table, self.log, self.picture.image, self.picture.words]
        return [self.said, self.table, self.picture.box, self.log]

    def answer(self):
        report = self.report()
        later = after_a_while(report, to_si(self.left.value, "%"))
        self.said.value = words.sentences(words.later_words(later), pair_figures.describe_log(report, later))
        self.table.value, self.log.value = words.later_table(later, report.design.span), words.log_table(later)
        self.picture.show(pair_figures.log_figure(report, later), pair_figures.describe_log(report, later))

    def export(self, folder: Path) -> list:
        """Write the picture."""
        report = self.report()
        later = after_a_while(report, to_si(self.left.value, "%"))
        return write_pictures(
            pair_figures.log_figure(report, later), folder / "log", pair_figures.describe_log(report, later)
        )


class ShapeView(BenchView):
    """The exact curve against curves with a name, and offsets measured on the part."""

    title = "Shape"
    hint = (
        "The curve of the design, two alike sheets, is a piece of the rectangular elastica. Each named curve is laid "
        "on it as near as it can be. Offsets are measured on the finished part from the chord line, on both faces, and "
        f"belong into the readings, under the part as built. {words.STANDARD}"
    )

    def controls(self):
        self.to = pick(
            "curve-to", "from the land end to", [("the rod", "contact"), ("the front edge", "front")], None, 300, 150
        )
        placed = [("along the land", "land"), ("anyhow", "free")]
        self.placed = pick("curve-placed", "the curve starts", placed, None, 300, 130)
        for control in (self.to, self.placed):
            control.observe(self.again, "value")
        return [row(self.to, self.placed)]

    def results(self):
        self.said, self.picture = html_part("pm-named-said"), Picture("pm-named")
        self.explained, self.offsets = html_part("pm-offsets-said"), Picture("pm-offsets")
        self.good = [self.said, self.explained]
        self.good += [part for p in (self.picture, self.offsets) for part in (p.image, p.words)]
        return [self.said, self.picture.box, self.explained, self.offsets.box]

    def _named(self):
        report = self.report()
        return report, fit_named_curves(report.design.bend(), self.to.value, self.placed.value)

    def answer(self):
        report, fits = self._named()
        self.said.value = words.sentences(" ".join(curve_words(fits)))
        self.picture.show(pair_figures.named_figure(report, fits), pair_figures.describe_named(fits))
        offsets, fit = measured_offsets(report.readings), explain_offsets(report)
        self.offsets.box.layout.display = "none" if fit is None else None
        if fit is None:
            self.explained.value = words.sentences("No offsets have been measured on the part yet.")
            return
        alt = pair_figures.describe_offsets(offsets, fit)
        self.explained.value = words.sentences(alt) + words.bullets(n.rstrip(".") for n in fit.notes)
        self.offsets.show(pair_figures.offsets_figure(report, offsets, fit), alt)

    def export(self, folder: Path) -> list:
        """Write the pictures."""
        report, fits = self._named()
        alt = pair_figures.describe_named(fits)
        written = write_pictures(pair_figures.named_figure(report, fits), folder / "named-curves", alt)
        offsets, fit = measured_offsets(report.readings), explain_offsets(report)
        if fit is not None:
            figure, alt = (
                pair_figures.offsets_figure(report, offsets, fit),
                pair_figures.describe_offsets(offsets, fit),
            )
            written += write_pictures(figure, folder / "offsets", alt)
        return written


def _tick(kind, label, value):
    box = widgets.Checkbox(value=value, description=label, indent=False, layout=widgets.Layout(width="270px"))
    box.add_class(f"pm-{kind}")
    return box


def _positive(name, value):
    if not value > 0.0:
        raise ValueError(f"{name} is {value:g}: give a number above zero")
    return value
