"""Pictures of choice and scatter: the set that no other beats, how parts built alike differ, and through which input.

Every function draws a record on an axes; the ready-made figures beside them are of an exact size, titled and stamped.
"""

from __future__ import annotations

import textwrap

import numpy as np
from matplotlib.ticker import FuncFormatter, NullFormatter

from ..study.choose import CRITERIA
from ..study.design import LIMITS
from ..study.sizing import output_label, output_unit
from ..study.varying import input_label
from ..study.verdicts import lower
from ..units import capital, in_shown, show
from .figures import (
    SMALL,
    TINY,
    Entry,
    Legend,
    axes_size,
    dot,
    head,
    in_style,
    one_axes,
    ring,
    text_size,
    with_unit,
)
from .letters import wrapped
from .look import INK, LINES, PAPER, PARTS, QUIET, THIN_LINES, strain_colour
from .map_grid import MANY_TIMES

SHOWN_QUANTILES = (0.05, 0.5, 0.95)
COLUMNS = 60  # of a histogram
NARROW, WIDE = (18.0, 3.0, 10.0, 13.0), (52.0, 3.0, 10.0, 13.0)  # mm around the axes: left, right, foot, top
BESIDE = WIDE[0] - 3.0  # mm: room for a name beside its row, the gap to the axes and the edge taken off
TOGETHER = "inputs acting together"
OVERLAPPING = "What the scatter goes with: shares overlap"


def scatter_values(scatter, output: str) -> np.ndarray:
    """Values of an output, or of a reserve, of all parts that can be made [SI]."""
    if output == "least_reserve":
        with np.errstate(invalid="ignore"):
            values = np.fmin.reduce(list(scatter.reserves.values()), axis=0)
    elif output.endswith("_reserve"):
        values = scatter.reserves[output.removesuffix("_reserve")]
    else:
        values = scatter.outputs[output]
    return values[np.isfinite(values)]


@in_style
def draw_scatter(ax, scatter, output: str, nominal: float | None = None, limits=(), middle="as designed") -> None:
    """How many parts have which value: columns, quantiles, the part in the middle, and limits.

    `nominal` [SI]: of the part in the middle, which is called `middle`; `limits`: (words, value [SI]) each; a reserve
    has its limit at one by itself.
    """
    unit, values = output_unit(output), scatter_values(scatter, output)
    label = capital(output_label(output))
    ax.set_xlabel(with_unit(label, unit))
    ax.set_ylabel("share of parts [%]")
    ax.grid(axis="x", visible=False)
    if values.size == 0:
        head(ax, f"{label}: not known for any part", [Entry("nothing to draw")])
        return
    shown = in_shown(values, unit)
    ax.hist(shown, bins=COLUMNS, weights=np.full(len(shown), 100.0 / len(shown)), color=strain_colour(0.3))
    legend = Legend(ax)
    for share in SHOWN_QUANTILES:
        words = f"{'half' if share == 0.5 else f'{100 * share:g} %'} of the parts below"
        legend.upright(float(np.quantile(shown, share)), words, THIN_LINES["median" if share == 0.5 else "quantile"])
    if nominal is not None and np.isfinite(nominal):
        legend.upright(in_shown(nominal, unit), middle, LINES["spacer"])
    reserve = output.endswith("_reserve")
    for number, (words, limit) in enumerate([("limit: reserve of one", 1.0)] if reserve else limits):
        _limit(legend, words, in_shown(limit, unit), LINES["permanent" if number else "limit"], shown)
    head(ax, f"{len(scatter.outputs['chord'])} parts built alike", legend)


def _limit(legend, words, value, look, shown):
    """A line at a limit, if any; one far outside the columns would squeeze them, so it is only named."""
    if not np.isfinite(value):
        return
    low, high = shown.min(), shown.max()
    if abs(value - 0.5 * (low + high)) <= 2.5 * (high - low):
        legend.upright(value, words, look)
    else:
        legend.add(f"{words}, {'above' if value > high else 'below'} this picture: {value:.4g}")


@in_style
def draw_shares(ax, scatter, outputs) -> None:
    """For each output a bar cut into the shares of its variance that each input causes by itself; what is left is
    caused by inputs acting together. Where inputs go together their shares overlap, and the bar may be longer."""
    names, overlap = [t.field for t in scatter.tolerances], bool(scatter.correlation)
    outputs = [o for o in outputs if o in scatter.shares]
    longest = max((np.nansum(np.clip([*scatter.shares[o].values()], 0.0, None)) for o in outputs), default=1.0)
    ax.set_xlim(0, 100 * max(longest, 1.0) if overlap else 100)
    for row, output in enumerate(outputs):
        left = 0.0
        for name, (fill, hatch) in zip(names, _looks(len(names)), strict=True):
            share = scatter.shares[output][name]
            if np.isfinite(share) and share > 0:
                ax.barh(row, 100 * share, 0.66, 100 * left, fc=fill, hatch=hatch, ec=PAPER, lw=0.6)
                _name_part(ax, input_label(name), 100 * left, 100 * share, row)
                left += share
        if all(np.isnan(scatter.shares[output][n]) for n in names):
            ax.text(1, row, "does not vary, or is not known", fontsize=TINY, color=QUIET, va="center")
        elif left < 1.0 and not overlap:
            ax.barh(row, 100 * (1 - left), 0.66, 100 * left, fc=PAPER, ec=QUIET, lw=0.6, ls=":")
    ax.set_yticks(range(len(outputs)), ["\n".join(wrapped(capital(output_label(o)), BESIDE, SMALL)) for o in outputs])
    ax.set_ylim(len(outputs) - 0.5, -0.5)
    ax.set_xlabel("share of the variance [%]")
    ax.grid(axis="y", visible=False)
    ax.tick_params(axis="y", length=0)
    legend = Legend(ax)
    for name, (fill, hatch) in zip(names, _looks(len(names)), strict=True):
        legend.add(input_label(name), "patch", fc=fill, hatch=hatch, ec=QUIET, lw=0.5)
    if not overlap:
        legend.add(TOGETHER, "patch", fc=PAPER, ec=QUIET, lw=0.6, ls=":")
    head(ax, OVERLAPPING if overlap else "Which input causes the scatter", legend)


def _looks(count):
    return [PARTS[i % len(PARTS)] for i in range(count)]


def _name_part(ax, words, left, wide, row):
    room = axes_size(ax)[0] * wide / ax.get_xlim()[1]
    if text_size(words, TINY)[0] + 2.0 < room:
        box = dict(fc=PAPER, ec="none", pad=0.6, alpha=0.85)
        ax.text(left + wide / 2, row, words, fontsize=TINY, color=INK, ha="center", va="center", bbox=box)


def _wrapped(words, columns=34):
    return "\n".join(textwrap.wrap(words, columns))


@in_style
def draw_sizing(ax, sizing, named=None) -> None:
    """The output over the input searched, the value wanted, every answer, and the sizes one can buy beside them.

    named: (label, unit) of the output, for one that is no output of a design alone, as under load."""
    name, unit = named or (output_label(sizing.output), output_unit(sizing.output))
    limit = LIMITS[sizing.field]
    legend, target = Legend(ax), in_shown(sizing.target, unit)
    values, outputs = in_shown(np.asarray(sizing.scan[0]), limit.unit), in_shown(np.asarray(sizing.scan[1]), unit)
    legend.curve(values, outputs, capital(name), LINES["bent"])
    legend.level(target, f"wanted: {show(sizing.target, unit)}", LINES["limit"])
    answers = [(in_shown(x, limit.unit), target) for x in sizing.solutions]
    stock = [(in_shown(s.value, limit.unit), in_shown(s.output, unit)) for s in sizing.stock]
    for words, points, look in (
        ("answer", answers, dot(LINES["bent"].colour, 6, rim=0.8)),
        ("next sizes one can buy", stock, dot(INK, 3.2, rim=0.5)),
    ):
        if points:
            legend.marks(*np.array(points).T, words, look, zorder=4)
    ax.set_xlim(values[0], values[-1])
    _by_multiples(ax.yaxis, np.append(outputs[np.isfinite(outputs)], target))
    ax.set_xlabel(with_unit(limit.label, limit.unit))
    ax.set_ylabel(_wrapped(with_unit(capital(name), unit), 34))
    head(ax, f"Which {limit.label} gives it", legend)


@in_style
def draw_front(ax, choices, x: str, y: str, front, current=None, judged_only: bool = False) -> None:
    """Those that no other beats joined and numbered, all that is beaten by them and was refused by no check as faint
    dots (not every check was worked out for them), the present design as a ring. `x`, `y`: criteria; `front`: indices,
    as `unbeaten` gives them for these two or more; `current`: (x, y) of the present design [SI], if any."""
    shown = choices.possible & (choices.judged if judged_only else True)
    across, up = (in_shown(choices.values[name], CRITERIA[name][1]) for name in (x, y))
    legend = Legend(ax)
    faint = dict(ls="", marker="o", ms=2.2, mfc=strain_colour(0.35), mec="none", alpha=0.35)
    key = {"alpha": 1.0, "ms": 3.0}
    legend.marks(across[shown], up[shown], "beaten, whether it holds or not", faint, key, rasterized=True, zorder=1)
    order = np.asarray(front)[np.argsort(across[front], kind="stable")] if len(front) else np.array([], int)
    joined = dict(color=LINES["bent"].colour, lw=1.2, marker="o", ms=4.0, mec=PAPER, mew=0.6)
    legend.curve(across[order], up[order], "no other beats it", joined, zorder=3)
    for axis, values in ((ax.xaxis, across[shown]), (ax.yaxis, up[shown])):
        _by_multiples(axis, values[np.isfinite(values)])
    ax.autoscale_view()
    if len(front):
        _number_front(ax, front, across, up)
        legend.add("numbers as in the list")
    if current is not None and all(np.isfinite(current)):
        place = [[in_shown(v, CRITERIA[n][1])] for v, n in zip(current, (x, y), strict=True)]
        key = {"ms": 6.5, "mew": 1.6}
        legend.marks(*place, "this design", ring(LINES["spacer"].colour), key, zorder=5)
    ax.set_xlabel(criterion_label(x))
    ax.set_ylabel(_wrapped(criterion_label(y), 40))
    head(ax, f"{len(front)} that no other beats, of {len(choices)} combinations", legend)


def _by_multiples(axis, values):
    """Decades evenly apart, as plain numbers, where the values span many times their least."""
    if values.size and values.min() > 0 and values.max() / values.min() > MANY_TIMES:
        getattr(axis.axes, f"set_{axis.axis_name}scale")("log")
        axis.set_major_formatter(FuncFormatter(lambda v, _: f"{v:g}"))
        axis.set_minor_formatter(NullFormatter())


def _number_front(ax, front, across, up):
    """Numbers as in the list beside, where there is room."""
    taken = []
    for number, i in enumerate(front, 1):
        x, y = ax.transData.transform((across[i], up[i]))
        if all(abs(x - a) + abs(y - b) > 26 for a, b in taken):
            ax.annotate(str(number), (across[i], up[i]), (-3, 3), textcoords="offset points", fontsize=TINY, ha="right")
            taken.append((x, y))


def criterion_label(name: str) -> str:
    """What a criterion is called, with its unit."""
    words, unit, _ = CRITERIA[name]
    return with_unit(words, unit)


def scatter_figure(
    scatter,
    output: str,
    nominal=None,
    limits=(),
    width_mm: float = 170.0,
    height_mm: float = 62.0,
    middle="as designed",
):
    """Histogram of one output, stamped; `middle`: what the part is that has the `nominal` value."""
    return one_axes((width_mm, height_mm), NARROW, draw_scatter, scatter, output, nominal, limits, middle)


def sizing_figure(sizing, width_mm: float = 170.0, height_mm: float = 75.0, named=None):
    """The search for one input, stamped; `named` as for `draw_sizing`."""
    return one_axes((width_mm, height_mm), NARROW, draw_sizing, sizing, named)


def shares_figure(scatter, outputs, width_mm: float = 170.0):
    """Bars of variance shares, stamped."""
    return one_axes((width_mm, 34.0 + 7.5 * len(outputs)), WIDE, draw_shares, scatter, outputs)


def front_figure(choices, x, y, front, current=None, judged_only=False, width_mm: float = 170.0, height_mm=95.0):
    """All combinations and the set that no other beats, stamped."""
    return one_axes((width_mm, height_mm), NARROW, draw_front, choices, x, y, front, current, judged_only)


def describe_scatter(scatter, output: str) -> str:
    """The spread of one output in words.

    >>> from panelmech.job import demo
    >>> from panelmech.study import scatter
    >>> describe_scatter(scatter(demo().design, count=1000, rules=()), "outer_thickness")
    'Outer thickness at the front edge of 1000 parts built alike: nine in ten lie between 23.12 mm and 23.95 mm,
    half below 23.52 mm. Most of it comes from the sheet thickness: 92 % of the variance.'
    """
    values, unit = scatter_values(scatter, output), output_unit(output)
    if not values.size:
        return f"{capital(output_label(output))} is not known for any part."
    low, middle, high = np.quantile(values, SHOWN_QUANTILES)
    words = (
        f"{capital(output_label(output))} of {len(values)} parts built alike: nine in ten lie between "
        f"{show(low, unit)} and {show(high, unit)}, half below {show(middle, unit)}."
    )
    if output in scatter.shares:
        name, share = scatter.most_important(output)
        if np.isfinite(share):
            how = "goes with" if scatter.correlation else "comes from"
            words += f" Most of it {how} the {input_label(name)}: {100 * share:.0f} % of the variance."
    return words


def describe_sizing(sizing) -> str:
    """The answer to a search for one input, in words.

    >>> from panelmech.job import demo
    >>> from panelmech.study import size
    >>> describe_sizing(size(demo().design, "spacer_diameter", "outer_thickness", 0.025))
    'Outer thickness at the front edge of 25.00 mm: spacer diameter 19.27 mm. Stock size 18 mm gives 23.53 mm.
    Stock size 20 mm gives 25.86 mm.'
    """
    return " ".join(sizing.words)


def describe_shares(scatter, outputs) -> str:
    """Which input matters most for each output, in words.

    >>> from panelmech.job import demo
    >>> from panelmech.study import scatter
    >>> describe_shares(scatter(demo().design, count=1000, rules=()), ("outer_thickness",))
    'Input that causes most of the variance: outer thickness at the front edge: sheet thickness, 92 %.'
    """
    parts = []
    for output in outputs:
        name, share = scatter.most_important(output)
        if np.isfinite(share):
            parts.append(f"{lower(output_label(output))}: {input_label(name)}, {100 * share:.0f} %")
    how = "with which most of the variance goes" if scatter.correlation else "that causes most of the variance"
    return f"Input {how}: {'; '.join(parts)}."


def describe_front(choices, x: str, y: str, front) -> str:
    """What the picture of the choice shows, in words.

    >>> from panelmech.job import demo
    >>> from panelmech.study import combine
    >>> choices = combine(demo().design, [demo().design.sheet], [demo().design.spacer])
    >>> describe_front(choices, "mass", "chord_stiffness", choices.possible.nonzero()[0][:3]).split(". ")[0]
    '264 combinations of stock, by mass of the part [kg] and bending stiffness about the chord line, whole
    section [N·m²]; every check counted, no other beats 3 of them'
    """
    best = [choices.label(int(i)) for i in (front[0], front[-1])] if len(front) else []
    ends = f" They run from {best[0]} to {best[1]}." if best else ""
    return (
        f"{len(choices)} combinations of stock, by {criterion_label(x)} and {criterion_label(y)}; every check "
        f"counted, no other beats {len(front)} of them.{ends}"
    )
