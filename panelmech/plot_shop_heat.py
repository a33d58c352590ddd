"""Pictures for the shop: a pour's heat over time, its peak against its depth, and the build by the clock.

Each function draws a record on an Axes it is given and hands that back; what a record rests on is written on it.
"""

from __future__ import annotations

import textwrap
from datetime import datetime, time, timedelta

import numpy as np

from .look import BAND, INK, LINES, PAPER, QUIET, VERDICT_COLOURS, VERDICT_MARKS, hex_colour, strain_rgb
from .plot_figure import TINY, in_style, line_style
from .plot_legend import Entry, head
from .plot_place import text_size
from .units import FACTORS, OFFSETS, show

ZERO = OFFSETS["degC"]
GRADUAL = 20.0  # K: a curve that spans less is given this much height
LOOKS = {"work": dict(fc=LINES["bent"].colour, ec="none"),
         "wait": dict(fc=hex_colour(strain_rgb(0.12)), ec=QUIET, lw=0.5)}  # fmt: skip


@in_style
def draw_pour_heat(ax, heat, number=0, limit=None):
    """Temperature of one lift over time, at its centre and at its hottest point, and below it the cure.

    `number`: which of the record's depths; `limit` [K]: drawn where given. The cure is drawn on a second axes at the
    right, which belongs to the same figure. Returns the axes.
    """
    hours = heat.time / FACTORS["h"]
    shown = _shown_until(heat, number)
    centre, hottest = (line_style(LINES[name]) for name in ("second", "bent"))
    ax.plot(hours, heat.hottest[:, number] - ZERO, label="hottest", **hottest)
    ax.plot(hours, heat.centre[:, number] - ZERO, label="centre", **centre)
    entries = [
        Entry(f"hottest point, {show(heat.peak_place[number], 'mm', 3)} above the bottom: "
              f"{show(heat.peak[number], 'degC', 3)}", "line", hottest),
        Entry(f"centre: {show(heat.centre_peak[number], 'degC', 3)}", "line", centre),
    ]  # fmt: skip
    dot = dict(ls="", marker="o", ms=4.0, mec=PAPER, mew=0.6)
    for t, peak, look in ((heat.peak_time, heat.peak, hottest), (heat.centre_peak_time, heat.centre_peak, centre)):
        ax.plot(t[number] / FACTORS["h"], peak[number] - ZERO, mfc=look["color"], zorder=4, **dot)
    entries += _limit(ax, limit)
    low = min(heat.pour.shop_temperature, heat.hottest[0, number]) - ZERO
    top = max(heat.peak[number] - ZERO, low + GRADUAL, *([] if limit is None else [limit - ZERO]))
    ax.set_ylim(low - 0.05 * (top - low), top + 0.08 * (top - low))
    ax.set_xlim(0.0, shown)
    entries += _cure(ax, heat, number, hours)
    ax.set_xlabel("time after pouring [h]")
    ax.set_ylabel("temperature [°C]")
    head(ax, f"Lift of {show(heat.depth[number], 'mm', 3)}: heat and cure", [*entries, *_label(ax, heat.label)])
    return ax


def _cure(ax, heat, number, hours):
    """The cure on a second scale at the right."""
    right = ax.twinx()
    entries = []
    for values, name, words in ((heat.hottest_cure, "spacer", "cure, hottest point"), (heat.centre_cure, "third",
                                                                                       "cure, centre")):  # fmt: skip
        look = line_style(LINES[name])
        right.plot(hours, 100.0 * values[:, number], label=words, **look)
        entries.append(Entry(words, "line", look))
    right.set_ylim(-5.0, 108.0)
    right.set_xlim(ax.get_xlim())
    right.set_ylabel("cure [%]")
    right.grid(visible=False)
    right.spines["right"].set_visible(True)
    return entries


def _shown_until(heat, number):
    """Hours after which nothing more is to be seen: back within a tenth of the rise, or 90 % cured all over."""
    rise = heat.greatest[:, number] - heat.pour.shop_temperature
    warm = np.flatnonzero(np.abs(rise) > max(0.1 * np.abs(rise).max(), 1.0))
    last = heat.time[min(warm[-1] + 1, len(heat.time) - 1)] if warm.size else heat.time[-1]
    cured = heat.time[np.argmax(np.minimum(heat.centre_cure, heat.hottest_cure)[:, number] > 0.9)]
    shown = min(max(last, cured, 1.5 * heat.peak_time[number]), 4.0 * max(cured, heat.peak_time[number]), heat.time[-1])
    return shown / FACTORS["h"]


def _limit(ax, limit):
    if limit is None:
        return []
    look = line_style(LINES["limit"])
    ax.axhline(limit - ZERO, **look)
    return [Entry(f"limit {show(limit, 'degC', 3)}", "line", look)]


def _label(ax, words):
    """The cure data's label as entries of the legend, in as many lines as the axes is wide."""
    room = ax.get_window_extent().width / ax.figure.dpi * 25.4 - 16.0
    columns = max(int(len(words) * room / text_size(words, TINY)[0]), 20)
    return [Entry(line) for line in textwrap.wrap(f"Cure data: {words}", columns)]


@in_style
def draw_lift_depth(ax, found):
    """Peak temperature against the depth of the lift, the limit, the recommended depth, and one a tenth deeper."""
    depth = found.depths / FACTORS["mm"]
    curve = line_style(LINES["bent"])
    ax.plot(depth, found.peaks - ZERO, label="peak", marker="o", ms=2.5, **curve)
    entries = [Entry("hottest point of a lift this deep", "line", curve), *_limit(ax, found.limit)]
    ax.set_xscale("log")
    for words, x, y, mark in (("deepest within the limit", found.depth, found.peak, "o"),
                              ("a tenth deeper", 1.1 * found.depth, found.peak_deeper, "X")):  # fmt: skip
        if np.isfinite(x):
            look = dict(ls="", marker=mark, ms=6.0, mfc=LINES["spacer"].colour, mec=PAPER, mew=0.6)
            ax.plot(x / FACTORS["mm"], y - ZERO, zorder=4, **look)
            entries.append(Entry(f"{words}: {show(x, 'mm', 2)}, {show(y, 'degC', 3)}", "mark", look))
    if found.sheet_depth is not None:
        look = line_style(LINES["permanent"])
        ax.axvline(found.sheet_depth / FACTORS["mm"], **look)
        entries.append(Entry(f"data sheet: {show(found.sheet_depth, 'mm', 3)}", "line", look))
    ax.set_xlim(depth[0], depth[-1])
    ticks = [t for t in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500) if depth[0] <= t * 1.001 and t <= depth[-1] * 1.001]
    ax.set_xticks(ticks, [f"{t:g}" for t in ticks])
    ax.set_xticks([], minor=True)
    ax.set_xlabel("depth of the lift [mm]")
    ax.set_ylabel("highest temperature [°C]")
    head(ax, "How deep a lift may be", [*entries, *_label(ax, found.label)])
    return ax


@in_style
def draw_schedule(ax, schedule):
    """The build as bars by the clock: work dark, waits light, gates as marks, windows as a line, warnings marked."""
    start = datetime.combine(schedule.steps[0].start.date(), time())
    for row, step in enumerate(schedule.steps):
        _draw_step(ax, row, step, start)
    _nights(ax, schedule, start)
    names = [textwrap.shorten(step.name, 46, placeholder=" …") for step in schedule.steps]
    ax.set_yticks(range(len(names)), names)
    ax.set_ylim(len(names) - 0.4, -0.6)
    ax.set_xlim(_hours(schedule.steps[0].start, start) - 1.0, _hours(schedule.end, start) + 2.0)
    _day_ticks(ax, start)
    ax.grid(axis="y", visible=False)
    ax.tick_params(axis="y", length=0)
    ax.set_xlabel(f"date, from {start.day}.{start.month}.{start.year}")
    mark = dict(ls="", marker="D", ms=4.0, mfc=LINES["spacer"].colour, mec=PAPER, mew=0.5)
    warn = dict(ls="", marker="^", ms=5.0, mfc=VERDICT_COLOURS["fails"], mec=PAPER, mew=0.5)
    entries = [Entry("work", "patch", LOOKS["work"]), Entry("wait", "patch", LOOKS["wait"]),
               Entry("gate: to be passed first", "mark", mark),
               Entry("window to start in", "line", line_style(LINES["third"])),
               Entry("night", "patch", dict(fc=BAND, ec="none"))]  # fmt: skip
    if schedule.warnings:
        entries.append(Entry(f"{VERDICT_MARKS['note']} warning, see the list", "mark", warn))
    title = f"Build by the clock, shop at {show(schedule.plan.shop_temperature, 'degC', 3)}"
    head(ax, title, entries)
    return ax


def _draw_step(ax, row, step, start):
    begins, ends = _hours(step.start, start), _hours(step.end, start)
    if step.kind == "gate":
        ax.plot(begins, row, ls="", marker="D", ms=4.0, mfc=LINES["spacer"].colour, mec=PAPER, mew=0.5, zorder=4)
    else:
        ax.barh(row, ends - begins, 0.62, begins, zorder=3, **LOOKS[step.kind])
    if step.latest is not None:
        ax.plot([begins, _hours(step.latest, start)], [row, row], zorder=2.5, **line_style(LINES["third"]))
    if step.warnings:
        ax.annotate("▲", (max(ends, begins), row), (3, 0), textcoords="offset points", fontsize=TINY, va="center",
                    color=VERDICT_COLOURS["fails"])  # fmt: skip


def _nights(ax, schedule, start):
    opens, shuts = ((edge.hour + edge.minute / 60.0) for edge in schedule.plan.day)
    for day in range(int(_hours(schedule.end, start) // 24) + 2):
        ax.axvspan(24.0 * (day - 1) + shuts, 24.0 * day + opens, color=BAND, lw=0, zorder=0)


def _day_ticks(ax, start):
    """A line at each midnight, a date at as many of them as there is room for."""
    low, high = ax.get_xlim()
    days = np.arange(np.ceil(low / 24.0), np.floor(high / 24.0) + 1)
    room = ax.get_window_extent().width / ax.figure.dpi * 25.4
    step = max(int(np.ceil(len(days) * 14.0 / room)), 1)
    ax.set_xticks(24.0 * days[::step], [_date(start + timedelta(days=float(day))) for day in days[::step]])
    ax.set_xticks(24.0 * days, minor=True)
    ax.tick_params(axis="x", labelcolor=INK)


def _date(moment):
    return f"{('Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun')[moment.weekday()]} {moment.day}.{moment.month}."


def _hours(moment, start):
    return (moment - start).total_seconds() / 3600.0
