"""A measured pair in words and rows of text, shared by panel and note: verdict, sheets, moduli, pairing, log.

Pure functions from records to text; nothing is computed here. Rows are lists of texts, the first what the row is about.
"""

from __future__ import annotations

import numpy as np

from ..measured.later import LOG_TIMES
from ..measured.modulus_tests import METHODS
from ..measured.one_pass import known_kind
from ..measured.pair_words import known_words as known_words
from ..measured.pair_words import towards
from ..measured.pair_words import verdict_words as verdict_words
from ..measured.readings import GROUPS, HOUR, KINDS, PAIR
from ..units import capital, format_number, show, show_input, show_measured

STANDARD = "± is one standard uncertainty, two in three; marked 95 %, nineteen in twenty, wider where readings are few."
LEAST, BELOW = 1e-4, "below 0.01 %"  # of what both sheets have: four digits do not tell them apart


def pairing_words(report) -> str:
    """How to lay the sheets together."""
    best = report.inspection.pairings[0]
    return f"Lay them so: {best.flip}; {best.turn}."


def reading_rows(readings) -> list:
    """Every kind that was measured: label, mean and number of readings on A, on B or on the pair, step; a text
    alone names the group of the rows after it."""
    rows, group = [], ""
    for name, kind in KINDS.items():
        measured = [readings.reading(name, sheet) for sheet in kind.on]
        if any(measured) and not kind.timed and name != "offset":
            if kind.group != group:
                group = kind.group
                rows.append(GROUPS[group])
            cells = [_reading(r, kind) for r in measured] + [""] * (2 - len(measured))
            rows.append([capital(kind.label), *cells, _step(readings, name, measured)])
    return rows


def _step(readings, name, measured):
    """Step of one kind; where none is given the one that is taken, with a mark."""
    step = show_input(max(r.resolution for r in measured if r), KINDS[name].unit)
    taken = any(readings.no_step(name, sheet) for sheet in KINDS[name].on)
    return f"{step}, default" if taken else step


def _reading(reading, kind):
    if reading is None:
        return "–"
    count = len(reading.values)
    return show_input(reading.mean, kind.unit, 5) + (f", {count} readings" if count > 1 else "")


def sheet_rows(report) -> list:
    """Thickness, scatter, taper, bow and twist of both sheets, and their stiffness."""
    a, b = report.sheets
    return [
        ["Thickness, mean", *(show_measured(s.thickness.value, s.thickness.uncertainty, "mm") for s in (a, b))],
        ["Scatter of the points", *(show(s.thickness.details["scatter"], "mm", 2) for s in (a, b))],
        ["Marked end thicker than the far end by", *(show(s.taper, "mm", 2) for s in (a, b))],
        ["Own curvature, marked face outside", *map(_curvature, (a, b))],
        ["Twist", *(show(s.twist, "mm", 2) for s in (a, b))],
        ["Young's modulus that counts", *(_modulus(t) for t in report.used)],
        ["Bending stiffness D, per metre of span", *(show(d, "N m", 4) for d in report.stiffness)],
    ]


def _curvature(sheet):
    if not sheet.curvature_uncertainty:
        return show(sheet.curvature, "1/m", 2)
    return show_measured(sheet.curvature, sheet.curvature_uncertainty, "1/m")


def _modulus(test):
    return show_measured(test.result.value, test.result.uncertainty, "GPa") if test else "not measured"


def modulus_rows(report) -> list:
    """Every modulus measured: test, value with standard uncertainty, by the small-deflection formula, the reading its
    uncertainty comes from most, used as."""
    return [
        [
            f"{'Both sheets' if t.sheet == PAIR[0] else f'Sheet {t.sheet}'}, {METHODS[t.method]}",
            show_measured(t.result.value, t.result.uncertainty, "GPa"),
            show(t.result.details.get("linear", float("nan")), "GPa"),
            f"{t.result.dominant}, {_share(t.result)}",
            _counts(report.inputs.weight(t)),
        ]
        for t in report.tests
    ]


def _counts(weight):
    """How much of its sheet's modulus a test makes."""
    return "counts" if weight == 1.0 else f"counts by {100 * weight:.0f} %" if weight else "check"


def _share(result):
    """Part of the variance that the dominant reading causes."""
    return f"{100 * result.share(result.dominant):.0f} %"


def contribution_rows(report) -> list:
    """What each reading adds to the uncertainty of the camber, the greatest first, a hundredth of the variance at
    least: name, how often it was read, standard uncertainty, share of the variance."""
    camber, inputs = report.camber, report.inputs.inputs
    ranked = sorted(inputs.items(), key=lambda item: -camber.contributions[item[1].name])
    return [
        [
            capital(reading.name),
            _read(key, reading),
            show(camber.contributions[reading.name], "mm", 2),
            f"{100 * camber.share(reading.name):.0f} %",
        ]
        for key, reading in ranked
        if camber.share(reading.name) >= 0.01
    ]


def _read(key, reading):
    if not known_kind(key) or reading.band:
        return "not read"
    return "once" if len(reading.values) == 1 else f"{len(reading.values)} times"


def uneven_rows(report) -> list:
    """Both sheets in the bent pair, and their difference."""
    bent = report.bent
    values = [
        ("Bending strain at the land", report.strains, "%"),
        ("Moment at the land, per metre of span", report.moments, "N m/m"),
        ("Contact force, whole span", [f * report.design.span for f in report.forces], "N"),
        ("Angle at the contact", (bent.contact_angle_1, bent.contact_angle_2), "deg"),
        ("Setback", (bent.setback_1, bent.setback_2), "mm"),
    ]
    return [[words, *(show(float(v), unit, 4) for v in pair), _difference(pair, unit)] for words, pair, unit in values]


def pair_rows(report) -> list:
    """What the two have together: camber, rod, energy, jig."""
    energy = float(report.bent.opening_energy(*report.stiffness))
    offset, camber = report.rod_offset, report.camber
    return [
        ["Camber of the mean line at the front", _towards(camber)],
        ["Rod off the middle", _towards(offset)],
        ["Opening energy of the land, both sheets", show(energy, "J/m2")],
        ["Jig that holds the rod in the middle, whole span", show(abs(report.jig_force) * report.design.span, "N", 3)],
    ]


def _towards(measured):
    return f"{show_measured(abs(measured.value), measured.expanded, 'mm')} (95 %), towards {towards(measured.value)}"


def _difference(pair, unit):
    gap = float(pair[0]) - float(pair[1])
    mean = 0.5 * (float(pair[0]) + float(pair[1]))
    if not mean or unit not in ("%", "N", "N m/m"):
        return show(gap, unit, 2)
    return f"{show(gap, unit, 2)} ({format_number(100 * gap / mean, 2)} %)" if abs(gap) >= LEAST * mean else BELOW


def pairing_rows(report) -> list:
    """The eight ways to lay the sheets together, best first: words, bow left, taper left, camber where it is larger, of
    both halves of the span."""
    return [
        [
            f"{'Best: ' if i == 0 else ''}{p.flip}; {p.turn}",
            show(abs(p.curvature_gap), "1/m", 2),
            show(abs(p.taper_gap), "mm", 2),
            f"{show(p.score, 'mm', 2)} to {towards(p.camber)}" if np.isfinite(p.camber) else "not bent so",
        ]
        for i, p in enumerate(report.inspection.pairings)
    ]


def log_rows(log) -> list:
    """Log of the part: time after forming, thickness, difference from the prediction; times to come are empty."""
    entries = [] if log is None else list(zip(log.entries, log.difference, strict=True))
    missing = tuple(LOG_TIMES) if log is None else log.missing
    rows = [(e.time, [time_words(e.time), show(e.thickness, "mm"), show(d, "mm", 2)]) for e, d in entries]
    rows += [(t, [time_words(t), "", ""]) for t in missing]
    return [row for _, row in sorted(rows, key=lambda item: item[0])]


def time_words(seconds: float) -> str:
    """Hours up to two days, then days."""
    hours = seconds / HOUR
    return f"{hours:g} h" if hours < 48.0 else f"{hours / 24.0:g} days"
