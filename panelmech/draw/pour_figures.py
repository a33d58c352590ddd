"""Pictures for the shop: a pour's heat over time, its peak against its depth, and the build by the clock.

Each function draws a record on an Axes it is given and hands that back; what a record rests on is written on it.
"""

from __future__ import annotations

import textwrap
from datetime import datetime, time, timedelta

import numpy as np

from ..shop.heat import DEEPER, place_words
from ..shop.working_day import DAYS, clock
from ..units import FACTORS, OFFSETS, in_shown, show
from .figures import (
    TINY,
    Legend,
    axes_at,
    axes_size,
    blank_figure,
    dot,
    head,
    in_style,
    line_style,
    stamped,
    text_size,
    with_unit,
)
from .look import BAND, LINES, PAPER, QUIET, VERDICT_COLOURS, strain_colour

ZERO = OFFSETS["degC"]
LEFT, RIGHT, NAMES = 15.0, 5.0, 60.0  # mm around the axes
GRADUAL = 20.0  # K: a curve that spans less is given this much height
LOOKS = {
    "work": dict(fc=LINES["bent"].colour, ec=LINES["bent"].colour, lw=1.0),
    "wait": dict(fc=strain_colour(0.12), ec=QUIET, lw=0.5),
}
GATE = dot(LINES["spacer"].colour, 4.0, "D", 0.5)
WARNING = dot(VERDICT_COLOURS["fails"], 5.0, "^", 0.5)
HOURS = "time after pouring [h]"


@in_style
def draw_temperature(ax, heat, number=0, limit=None):
    """Temperature of one lift over time, at its centre and at its hottest point, each with its peak.

    `number`: which of the record's depths; `limit` [K]: drawn where given. Returns the axes.
    """
    hours = heat.time / FACTORS["h"]
    centre, hottest = (line_style(LINES[name]) for name in ("second", "bent"))
    ax.plot(hours, heat.hottest[:, number] - ZERO, label="hottest point", **hottest)
    ax.plot(hours, heat.centre[:, number] - ZERO, label="centre", **centre)
    where = f"hottest point, {place_words(heat.peak_place[number], heat.depth[number])}"
    legend, peak = Legend(ax), dict(ls="", marker="o", ms=4.0, mec=PAPER, mew=0.6)
    for words, times, peaks, look in (
        (where, heat.peak_time, heat.peak, hottest),
        ("centre", heat.centre_peak_time, heat.centre_peak, centre),
    ):
        ax.plot(times[number] / FACTORS["h"], peaks[number] - ZERO, mfc=look["color"], zorder=4, **peak)
        at = f"{show(peaks[number], 'degC', 3)} after {show(times[number], 'min', 3)}"
        legend.add(f"{words}: {at}", "line", **look)
    _limit(legend, limit)
    low = min(heat.pour.shop_temperature, heat.hottest[0, number]) - ZERO
    top = max(heat.peak[number] - ZERO, low + GRADUAL, *([] if limit is None else [limit - ZERO]))
    ax.set_ylim(low - 0.05 * (top - low), top + 0.08 * (top - low))
    ax.set_xlim(0.0, _shown_until(heat, number))
    ax.set(xlabel=HOURS, ylabel="temperature [°C]")
    _label(legend, heat.label)
    head(ax, f"Heat of a lift of {show(heat.depth[number], 'mm', 3)}", legend)
    return ax


@in_style
def draw_cure(ax, heat, number=0):
    """Cure of one lift over time, at its centre, its hottest point and its top. Returns the axes."""
    hours, legend = heat.time / FACTORS["h"], Legend(ax)
    for values, name, words in (
        (heat.hottest_cure, "bent", "hottest point"),
        (heat.centre_cure, "second", "centre"),
        (heat.top_cure, "third", "top"),
    ):
        legend.curve(hours, 100.0 * values[:, number], words, LINES[name], label=words)
    ax.set(ylim=(0.0, 105.0), xlim=(0.0, _shown_until(heat, number)), xlabel=HOURS, ylabel="cure [%]")
    _label(legend, heat.label)
    head(ax, f"Cure of a lift of {show(heat.depth[number], 'mm', 3)}", legend)
    return ax


def _shown_until(heat, number):
    """Hours after which nothing more is to be seen: back within a tenth of the rise, or 90 % cured all over."""
    rise = heat.greatest[:, number] - heat.pour.shop_temperature
    warm = np.flatnonzero(np.abs(rise) > max(0.1 * np.abs(rise).max(), 1.0))
    last = heat.time[min(warm[-1] + 1, len(heat.time) - 1)] if warm.size else heat.time[-1]
    cured = heat.time[np.argmax(np.minimum(heat.centre_cure, heat.hottest_cure)[:, number] > 0.9)]
    shown = min(max(last, cured, 1.5 * heat.peak_time[number]), 4.0 * max(cured, heat.peak_time[number]), heat.time[-1])
    return shown / FACTORS["h"]


def _limit(legend, limit):
    if limit is not None:
        legend.level(limit - ZERO, f"limit {show(limit, 'degC', 3)}", LINES["limit"])


def _label(legend, words):
    """The cure data's label as entries of the legend, in as many lines as the axes is wide."""
    columns = max(int(len(words) * (axes_size(legend.ax)[0] - 16.0) / text_size(words, TINY)[0]), 20)
    for line in textwrap.wrap(f"Cure data: {words}", columns):
        legend.add(line)


@in_style
def draw_lift_depth(ax, advice):
    """Peak temperature against the depth of the lift, the limit, the recommended depth, and one a tenth deeper."""
    depths, peaks = advice.curve
    depth, legend, curve = in_shown(depths, "mm"), Legend(ax), line_style(LINES["bent"])
    ax.plot(depth, peaks - ZERO, label="peak", marker="o", ms=2.5, **curve)
    legend.add("hottest point of a lift this deep", "line", **curve)
    if np.isnan(peaks).any():
        legend.add("deeper: the front of cure is too thin to be told")
    _limit(legend, advice.limit)
    ax.set_xscale("log")
    for words, x, y, mark in (
        (f"deepest within the limit: {advice.depth_text()}", advice.depth, advice.peak, "o"),
        ("a tenth deeper", DEEPER * advice.depth, advice.peak_deeper, "X"),
    ):
        if np.isfinite(x):
            look = dot(LINES["spacer"].colour, 6.0, mark)
            legend.marks(in_shown(x, "mm"), y - ZERO, f"{words}, {show(y, 'degC', 3)}", look, zorder=4)
    if advice.stated_depth is not None:
        words = f"data sheet: {show(advice.stated_depth, 'mm', 3)}"
        legend.upright(in_shown(advice.stated_depth, "mm"), words, LINES["permanent"])
    ax.set_xlim(depth[0], depth[-1])
    round_depths = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)
    ticks = [t for t in round_depths if depth[0] <= t * 1.001 and t <= depth[-1] * 1.001]
    ax.set_xticks(ticks, [f"{t:g}" for t in ticks])
    ax.set_xticks([], minor=True)
    ax.set(xlabel=with_unit("depth of the lift", "mm"), ylabel="highest temperature [°C]")
    _label(legend, advice.label)
    head(ax, "How deep a lift may be", legend)
    return ax


@in_style
def draw_schedule(ax, schedule, keys=None):
    """The build as bars by the clock: work dark, waits light, gates as marks, windows as a line, warnings marked.

    `keys`: of the steps to draw, None for all. Returns the axes. ValueError where no step has such a key.
    """
    steps = [step for step in schedule.steps if keys is None or step.key in keys]
    if not steps:
        raise ValueError(f"no step has a key of {keys!r}; give keys of: {', '.join(s.key for s in schedule.steps)}")
    start = datetime.combine(steps[0].start.date(), time())
    for row, step in enumerate(steps):
        _draw_step(ax, row, step, start)
    _nights(ax, schedule, start)
    names = [textwrap.shorten(step.name, 46, placeholder=" …") for step in steps]
    ax.set_yticks(range(len(names)), names)
    ax.set_ylim(len(names) - 0.4, -0.6)
    first, last = _hours(steps[0].start, start), _hours(max(step.latest or step.end for step in steps), start)
    last = max(last, _hours(steps[-1].end, start))
    ax.set_xlim(first - 0.02 * (last - first), last + 0.03 * (last - first))
    _day_ticks(ax, start)
    ax.grid(axis="y", visible=False)
    ax.tick_params(axis="y", length=0)
    ax.set_xlabel(f"date, from {start.day}.{start.month}.{start.year}")
    legend = Legend(ax)
    legend.add("work", "patch", **LOOKS["work"])
    legend.add("wait", "patch", **LOOKS["wait"])
    legend.add("gate: to be passed first", "mark", **GATE)
    legend.add("window to start in", "line", **line_style(LINES["third"]))
    legend.add("night", "patch", fc=BAND, ec="none")
    if any(step.warnings for step in steps):
        legend.add("warning, see the list", "mark", **WARNING)
    head(ax, f"Build by the clock, shop at {show(schedule.plan.shop_temperature, 'degC', 3)}", legend)
    return ax


def _draw_step(ax, row, step, start):
    begins, ends = _hours(step.start, start), _hours(step.end, start)
    if step.kind == "gate":
        ax.plot(begins, row, zorder=4, **GATE)
    else:
        ax.barh(row, ends - begins, 0.62, begins, zorder=3, **LOOKS[step.kind])
    if step.latest is not None:
        ax.plot([begins, _hours(step.latest, start)], [row, row], zorder=2.5, **line_style(LINES["third"]))
    if step.warnings:
        look = {"fontsize": TINY, "va": "center", "color": WARNING["mfc"]}
        ax.annotate("▲", (max(ends, begins), row), (3, 0), textcoords="offset points", **look)


def _nights(ax, schedule, start):
    opens, shuts = ((edge.hour + edge.minute / 60.0) for edge in schedule.plan.day)
    for day in range(int(_hours(schedule.end, start) // 24) + 2):
        ax.axvspan(24.0 * (day - 1) + shuts, 24.0 * day + opens, color=BAND, lw=0, zorder=0)


def _day_ticks(ax, start):
    """A line at each midnight, a date at as many of them as there is room for; clock times where all is in two days."""
    low, high = ax.get_xlim()
    room, _ = axes_size(ax)
    if high - low < 48.0:
        step = next(s for s in (1, 2, 3, 6, 12) if (high - low) / s * 9.0 < room or s == 12)
        hours = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
        ax.set_xticks(hours, [_clock(start + timedelta(hours=float(hour))) for hour in hours])
        return
    days = np.arange(np.ceil(low / 24.0), np.floor(high / 24.0) + 1)
    step = max(int(np.ceil(len(days) * 14.0 / room)), 1)
    ax.set_xticks(24.0 * days[::step], [_date(start + timedelta(days=float(day))) for day in days[::step]])
    ax.set_xticks(24.0 * days, minor=True)


def _clock(moment):
    return _date(moment) if moment.hour == 0 else f"{moment:%H:%M}"


def _date(moment):
    return f"{DAYS[moment.weekday()]} {moment.day}.{moment.month}."


def _hours(moment, start):
    return (moment - start).total_seconds() / 3600.0


# ----- Figures of an exact size, stamped


def pour_figure(heat, number=0, limit=None, width_mm=170.0, studies=()):
    """Temperature above cure of one lift, on one figure. studies: whose stamp it bears."""
    fig = blank_figure(width_mm, 158.0)
    draw_temperature(axes_at(fig, LEFT, 94.0, width_mm - LEFT - RIGHT, 38.0), heat, number, limit)
    draw_cure(axes_at(fig, LEFT, 16.0, width_mm - LEFT - RIGHT, 38.0), heat, number)
    return stamped(fig, *studies)


def lift_depth_figure(advice, width_mm=170.0, studies=()):
    """Peak against depth, on one figure. studies: whose stamp it bears."""
    fig = blank_figure(width_mm, 98.0)
    draw_lift_depth(axes_at(fig, LEFT, 16.0, width_mm - LEFT - RIGHT, 52.0), advice)
    return stamped(fig, *studies)


def schedule_figure(schedule, keys=None, width_mm=170.0, studies=()):
    """The build, or some steps of it, on one figure as high as its rows. studies: whose stamp it bears."""
    high = 4.5 * sum(keys is None or step.key in keys for step in schedule.steps)
    fig = blank_figure(width_mm, high + 37.0)
    draw_schedule(axes_at(fig, NAMES, 17.0, width_mm - NAMES - RIGHT, high), schedule, keys)
    return stamped(fig, *studies, note=f"{schedule.plan.bond.name}; {schedule.plan.pour.name}")


def describe_pour(heat) -> str:
    """What the heat of each lift shows, in words."""
    return " ".join(f"{row.rstrip('.')}." for row in heat.rows())


def describe_lift_depth(advice) -> str:
    """The recommended depth in words."""
    return " ".join(f"{row.rstrip('.')}." for row in advice.rows())


def describe_schedule(schedule) -> str:
    """How long the build takes and what warns, in words."""
    warned = f" Warnings: {'; '.join(schedule.warnings)}." if schedule.warnings else " No warnings."
    return f"From {clock(schedule.steps[0].start)} to {clock(schedule.end)}, {len(schedule.steps)} steps.{warned}"
