"""A measured pair in words and rows of text, shared by panel and note: verdict, sheets, moduli, pairing, log.

Pure functions from records to text; nothing is computed here. Rows are lists of texts, the first what the row is about.
"""

from __future__ import annotations

import numpy as np

from ..measured.later import LOG_TIMES
from ..measured.modulus_tests import METHODS
from ..measured.pair_words import towards
from ..measured.pair_words import verdict_words as verdict_words
from ..measured.readings import GROUPS, HOUR, KINDS, PAIR
from ..units import capital, format_number, show, show_input, show_measured

STANDARD = "± is one standard uncertainty: about two in three; twice it, nineteen in twenty."


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
            step = max(r.resolution for r in measured if r)
            cells = [_reading(r, kind) for r in measured] + [""] * (2 - len(measured))
            rows.append([capital(kind.label), *cells, show_input(step, kind.unit) if step else "–"])
    return rows


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
            "counts" if t in report.used else "check",
        ]
        for t in report.tests
    ]


def _share(result):
    """Part of the variance that the dominant reading causes."""
    total = sum(part**2 for part in result.contributions.values())
    share = 100 * result.contributions[result.dominant] ** 2 / total if total else 0.0
    return f"{share:.0f} %"


def contribution_rows(report) -> list:
    """What each measured number adds to the uncertainty of the camber."""
    return [[capital(name), show(part, "mm", 2)] for name, part in sorted(report.camber.contributions.items())]


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
    return f"{show_measured(abs(measured.value), measured.uncertainty, 'mm')}, towards {towards(measured.value)}"


def _difference(pair, unit):
    gap = float(pair[0]) - float(pair[1])
    mean = 0.5 * (float(pair[0]) + float(pair[1]))
    share = f" ({format_number(100 * gap / mean, 2)} %)" if mean and unit in ("%", "N", "N m/m") else ""
    return f"{show(gap, unit, 2)}{share}"


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
