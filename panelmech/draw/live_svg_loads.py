"""The live picture of a part under its loads, as the text of one SVG: four diagrams and how much of each limit is used.

Fast enough to be rewritten on every move. It draws a `LoadStudy` and `loads.allowable`; colours, dashes and weights
come from `look`, words and line styles of the cases from `draw.load_figures`. Across: from the root end to the tip, a
stock above the root to the left.
"""

from __future__ import annotations

from html import escape

import numpy as np

from ..loads.allowable import Allowed, allowed
from ..loads.load_study import LoadStudy
from ..loads.response import envelope
from ..study.verdicts import lower
from ..units import format_number, show
from .live_svg import stroke
from .load_figures import DIAGRAMS, FURTHEST, SHORT, describe_loads
from .look import CASE_LINES, INK, LINES, PAPER, QUIET, RULE, VERDICT_COLOURS, VERDICT_MARKS

SHOWN = ("shear", "moment", "local_torque", "deflection")
WIDTH, CELL_WIDTH, CELL_HEIGHT, LINE = 720.0, 360.0, 204.0, 18.0
LEFT, RIGHT, HEAD, FOOT = 12.0, 14.0, 54.0, 22.0  # around a diagram within its cell
ROW, BAR_LEFT, BAR_WIDTH = 19.0, 166.0, 250.0  # the bars of use
LONGEST, LETTER = 36, 6.2  # letters of a case and place; width of one, about
MOST_USED = 1.6  # a bar longer than so many times its limit is cut, with an arrow


def loads_picture(study: LoadStudy) -> str:
    """The whole picture."""
    (legend, top), bars = _legend(_case_names(study)), _bars(study)
    rows = [c for c in study.checks if c.kind == "limit"]
    start = top + 2 * CELL_HEIGHT
    height = start + 34.0 + ROW * len(rows)
    cells = "".join(
        _cell(study, quantity, CELL_WIDTH * (i % 2), top + CELL_HEIGHT * (i // 2)) for i, quantity in enumerate(SHOWN)
    )
    label = escape(describe_loads(study), quote=True)
    return (
        f'<svg viewBox="0 0 {WIDTH:.0f} {height:.0f}" width="100%" role="img" aria-label="{label}" '
        f'font-family="sans-serif" font-size="12" fill="{INK}"><rect width="100%" height="100%" fill="{PAPER}"/>'
        f'{legend}{cells}<g transform="translate(0 {start:.0f})">{bars}</g></svg>'
    )


def _case_names(study):
    names = study.names
    return names if len(names) <= len(CASE_LINES) else (f"least of {len(names)} cases", f"greatest of {len(names)}")


def _legend(names):
    """(line and name of each case and of what is allowed, in as many rows as they need; where they end)."""
    x, y, out = LEFT, 14.0, []
    for name, look in (*zip(names, CASE_LINES, strict=False), ("allowed alone", LINES["limit"])):
        wide = 40.0 + LETTER * len(name)
        if x > LEFT and x + wide > WIDTH:
            x, y = LEFT, y + LINE
        out.append(
            f'<path d="M{x:.1f} {y:.0f}h22" {stroke(look)}/><text x="{x + 27:.1f}" y="{y + 4:.0f}">'
            f"{escape(name)}</text>"
        )
        x += wide
    return "".join(out), y + 14.0


def _cell(study, quantity, left, top):
    """One diagram: title, peak in words, curves, allowable, supports, the governing place."""
    title, _, unit = DIAGRAMS[quantity]
    z, values = study.diagrams.position, getattr(study.diagrams, quantity)
    peak, words = _peak(study, quantity, values, unit)
    limit = allowed(study, quantity)
    reach, allowance = _reach(peak, limit, unit)
    width, height = CELL_WIDTH - LEFT - RIGHT, CELL_HEIGHT - HEAD - FOOT
    middle = HEAD + 0.5 * height

    def x(place):
        return LEFT + width * (np.asarray(place) - z[0]) / (z[-1] - z[0])

    def y(value):
        return middle - 0.5 * height * np.clip(np.asarray(value) / reach, -1.0, 1.0)

    rows = np.array(envelope(values)) if len(study.names) > len(CASE_LINES) else values
    lines = "".join(
        f'<polyline points="{_points(x(z), y(row))}" {stroke(look)}/>'
        for row, look in zip(rows, CASE_LINES, strict=False)
        if not np.any(np.isnan(row))
    )
    red = LINES["limit"].colour
    return (
        f'<g transform="translate({left:.0f} {top:.0f})"><text x="{LEFT}" y="16" font-weight="600">{title}</text>'
        f'<text x="{LEFT}" y="32">{escape(words)}</text><text x="{LEFT}" y="47" fill="{red}">{escape(allowance)}</text>'
        f'<rect x="{LEFT}" y="{HEAD}" width="{width}" height="{height}" fill="none" stroke="{RULE}"/>'
        f'<path d="M{LEFT} {middle}h{width}" stroke="{QUIET}" stroke-width=".8"/>'
        f"{_place_mark(study, x, height)}{_allowed_lines(limit, x, y, reach)}{lines}{_supports(study, x, middle)}"
        f"{_foot(z, x)}</g>"
    )


def _peak(study, quantity, values, unit):
    """Greatest size [SI] and its words: value, case, place."""
    sizes = np.abs(values)
    if np.all(np.isnan(sizes)):
        return 1.0, "not known: a modulus has no value"
    case, at = np.unravel_index(np.nanargmax(sizes), sizes.shape)
    peak = float(sizes[case, at])
    if peak == 0.0:
        return 0.0, "none"
    return peak, f"at most {show(peak, unit, 3)}: {_cut(study.names[case], study.diagrams.position[at])}"


def _reach(peak, limit: Allowed, unit):
    """(value at the edge of the diagram [SI], words on the allowable)."""
    least = limit.least
    if np.isnan(least):
        return 1.15 * peak or 1.0, "allowed: not known" if limit.quantity != "deflection" else "no limit of your own"
    at = int(np.nanargmin(limit.value))
    by = "your own limit" if limit.quantity == "deflection" else SHORT[str(limit.by[at])]
    near = peak == 0.0 or least <= FURTHEST * peak
    rest = "; rest unknown" if limit.unknown else "" if near else ", off the picture"
    words = f"allowed at least {show(least, unit, 3)}: {by}{rest}"
    return 1.15 * max(peak, least if near else peak), words


def _allowed_lines(limit, x, y, reach):
    known = np.isfinite(limit.value)
    if not np.any(known) or limit.least > reach:
        return ""
    place, value = limit.position[known], limit.value[known]
    if len(place) == 1:  # of the tip alone
        at = float(x(place[0]))
        return "".join(
            f'<path d="M{at - 26:.1f} {float(y(s * value[0])):.1f}h26" {stroke(LINES["limit"])}/>' for s in (1.0, -1.0)
        )
    inside = value <= reach
    value = np.where(inside, value, np.nan)
    out = []
    for sign in (1.0, -1.0):
        for run in _runs(inside):
            out.append(f'<polyline points="{_points(x(place[run]), y(sign * value[run]))}" {stroke(LINES["limit"])}/>')
    return "".join(out)


def _runs(flags):
    """Slices of neighbouring places where a flag stands."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return [slice(a, b) for a, b in edges.reshape(-1, 2)]


def _points(x, y):
    return " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x.tolist(), y.tolist(), strict=True))


def _place_mark(study, x, height):
    """A thin upright at the governing place."""
    check = study.governing
    if check is None or not (np.isfinite(check.reserve) and np.isfinite(check.position)):
        return ""
    return (
        f'<path d="M{float(x(check.position)):.1f} {HEAD}v{height}" stroke="{INK}" stroke-width=".8" '
        f'stroke-dasharray="1 3"><title>the place that governs</title></path>'
    )


def _supports(study, x, middle):
    places = study.diagrams.held.bearings
    if not places:
        return f'<rect x="{float(x(0.0)) - 4:.1f}" y="{middle - 9}" width="5" height="18" fill="{INK}"/>'
    return "".join(f'<path d="M{float(x(p)):.1f} {middle}l5 9h-10z" fill="{INK}"/>' for p in places)


def _foot(z, x):
    base = CELL_HEIGHT - FOOT + 14.0
    low = "" if z[0] == 0.0 else f'<text x="{float(x(z[0])):.1f}" y="{base}">{show(z[0], "mm", 3)}</text>'
    anchor = "start" if z[0] == 0.0 else "middle"
    return (
        f'{low}<text x="{float(x(0.0)):.1f}" y="{base}" text-anchor="{anchor}" fill="{QUIET}">root</text>'
        f'<text x="{CELL_WIDTH - RIGHT}" y="{base}" text-anchor="end" fill="{QUIET}">tip, '
        f"{show(z[-1], 'mm', 4)}</text>"
    )


def _bars(study):
    """A bar for each check: value over limit, its case and place; a check without a basis has words alone."""
    out = ['<text x="14" y="18" font-weight="600">Use of the limits, factors counted</text>']
    checks = sorted((c for c in study.checks if c.kind == "limit"), key=lambda c: (np.isnan(c.reserve), c.reserve))
    bottom = 28.0 + ROW * sum(not np.isnan(c.reserve) for c in checks)
    full = BAR_LEFT + BAR_WIDTH / MOST_USED
    for i, check in enumerate(checks):
        y = 30.0 + ROW * i
        out.append(f'<text x="14" y="{y + 11:.0f}">{escape(_name(check))}</text>{_bar(check, y)}')
    out.append(
        f'<path d="M{full:.1f} 22V{bottom:.0f}" {stroke(LINES["limit"])}/>'
        f'<text x="{full:.1f}" y="18" text-anchor="middle" fill="{LINES["limit"].colour}">limit</text>'
    )
    return "".join(out)


def _cut(case, position):
    """Case and place, a long name cut short."""
    place = f", {show(position, 'mm', 3)}" if np.isfinite(position) else ""
    room = LONGEST - len(place)
    return f"{case if len(case) <= room else f'{case[: room - 1]}…'}{place}"


def _name(check):
    return SHORT.get(check.key, lower(check.name))


def _bar(check, y):
    if np.isnan(check.reserve):
        return (
            f'<text x="{BAR_LEFT}" y="{y + 11:.0f}" fill="{QUIET}">{VERDICT_MARKS["unknown"]} no basis: '
            f"{escape(check.value_text())} at most</text>"
        )
    use = 0.0 if np.isposinf(check.reserve) else np.inf if check.reserve == 0.0 else 1.0 / check.reserve
    long = BAR_WIDTH / MOST_USED * min(use, MOST_USED)
    colour = VERDICT_COLOURS[check.verdict]
    verdict = f"{VERDICT_MARKS[check.verdict]} {check.verdict}: {_cut(check.case, check.position)}"
    words = f"{format_number(use, 3)}  {verdict}" if use else "no load"
    arrow = "" if use <= MOST_USED else f'<path d="M{BAR_LEFT + long - 6:.1f} {y}l6 6.5l-6 6.5" fill="{PAPER}"/>'
    return (
        f'<rect x="{BAR_LEFT}" y="{y:.0f}" width="{long:.1f}" height="13" fill="{colour}" fill-opacity=".8"/>'
        f'{arrow}<text x="{BAR_LEFT + BAR_WIDTH + 10:.0f}" y="{y + 11:.0f}">{escape(words)}</text>'
    )
