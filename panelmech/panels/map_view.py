"""The map of the trade-off panel: follows every move on a coarse grid, is drawn finely when the hand rests.

In a job with loads every point counts all of them: that takes seconds, so the last map stands greyed while a hand
moves, until a first look at few designs has come.

The map is a grid of see-through buttons over a picture. Each button covers what lies nearest to one size that can be
bought (or one round value, where the input is not bought by size): a click anywhere on the map makes that the design.
Any other point is typed or dragged with the controls of the two inputs.
"""

from __future__ import annotations

from dataclasses import fields, replace
from html import escape

import ipywidgets as widgets
import numpy as np

from ..draw.figures import figure_bytes
from ..draw.live_map import LiveMap
from ..draw.map_figures import describe_map, map_box, map_figure, map_outputs
from ..draw.map_grid import STOCK_OF, stock_values
from ..loads.part_map import part_map_steps
from ..study.design import LIMITS, Design
from ..study.every import COUNTED, judge_design
from ..study.every_map import map_steps
from ..study.sizing import output_label, output_unit
from ..study.sweeps import OUTPUTS, REASONS, Sweep, sweep
from ..units import capital, from_si, show, show_input, to_si
from .guard import ONE_AT_A_TIME
from .steps import Steps
from .view import ShownFigure, View, input_options, output_options, write_pictures
from .widgets import button, html_part, mark_stale, marked, number, pick, row, show_if

COARSE, FINE = 60, 160  # designs each way while moving, and at rest
PART = 40  # the same, of a part under its loads
QUICK_DPI = 120.0
WIDTH, HEIGHT = 152.0, 96.0  # mm of the figure
COUNT, GO_ON = "Count every check", "Go on counting"
MOST_PICKS = 16  # each way, where an input is not bought by size
ROUND = np.outer(10.0 ** np.arange(0, 4), (1, 2, 5)).ravel()


class MapView(View):
    """Map of one output over two inputs. `sweep` holds the quick checks, `every` the last `Mapped` of all of them with
    what it is of, `picks` the values a click gives [SI]. `judge()` gives the judge of the job as it is, of which
    `counted()` says what it counts; `part()` gives its blade and loads, None where no loads are stated."""

    title = "Map"
    hint = (
        "Click the map: the nearest size one can buy becomes the design (a round value, where a length is not bought "
        "by size). Any other point: drag or type the two inputs on the left. They move the ring, all other controls "
        "move the map. When your hand rests the framed sheet, pressed in or buckling, joins the other checks: it is "
        "worked out for designs spread over the map and for all near a limit, and read in between. Where the job "
        "states loads, every point of the map is judged along its span and under them. Not counted: the two sheets as "
        "measured, and the pours."
    )

    def __init__(self, take, design: Design, judge=lambda: judge_design, counted=lambda: COUNTED, part=lambda: None):
        self._start, self._key, self.sweep, self.every = design, None, None, None
        self.judge, self.counted, self.part, self._stood = judge, counted, part, None
        self._of, self._work = None, None  # what work is of, and the work itself until it is done
        self.steps = Steps(self.guarded, self._tell, self._take, self._tell_done)
        self.live = LiveMap(WIDTH, HEIGHT, QUICK_DPI)
        super().__init__(take)
        self.good.append(self.picture.image)

    def controls(self):
        self.output = pick("output", "map of", output_options(OUTPUTS), "chord_stiffness", 560)
        self.x = pick("x", "to the right", input_options(), "spacer_diameter", 300)
        self.y = pick("y", "upwards", input_options(), "sheet_thickness", 300)
        self.ends = {
            f"{axis} {end}": number(f"{axis}-{end}", end, 0.0, 130, tip=f"map {way}, {end}")
            for axis, way in (("x", "to the right"), ("y", "upwards"))
            for end in ("from", "to")
        }
        for axis in (self.x, self.y):
            self._reset(axis)
        self.listen(self._other_axis, self.x, self.y)
        self.listen(self.again, self.output, *self.ends.values())
        e = self.ends
        self.frame_button = button("framed", COUNT, self.count_every, 225)
        show_if(self.frame_button, False)
        return [
            row(self.output, self.frame_button),
            row(self.x, e["x from"], e["x to"]),
            row(self.y, e["y from"], e["y to"]),
        ]

    def results(self):
        self.picture = ShownFigure("pm-map")
        self.spots = marked(widgets.GridBox([], layout=widgets.Layout()), "spots")
        self._pool, self._one_layout = [], widgets.Layout(width="auto", height="auto", margin="0", padding="0")
        inside = [self.picture.image, self.spots]
        self.frame = marked(widgets.Box(inside, layout=widgets.Layout(width="100%")), "map-frame")
        self.here = html_part("pm-here")
        return [self.frame, self.here, self.picture.words]

    def update(self, design):
        self.design, self._answered = design, None
        self.guarded(lambda: self._draw(COARSE))

    def again(self, *_) -> None:
        """Answer once more; the framed sheet follows step by step."""
        super().again()
        self.steps.go_on()

    def answer(self):
        self._draw(FINE)
        if not self.steps.at_work and self._mapped() is None:
            self._start_work()

    def _draw(self, count):
        """Draw the map; the designs are worked out anew only if something off the axes, or the range, has changed."""
        axes, output, fine = self._axes(), self.output.value, count == FINE
        if self._work is not None and self._of != self._of_now():
            self._end_work()  # it was for another map
            self._work = None
        self._sweep_for(axes, output, count if self.part() is None else PART)
        self._show_button()
        if not (self._waits() and self.picture.image.value):
            self._show_picture(self.with_every(), output, fine)
        self.here.value = f'<p class="pm-here-words">{escape(self._here(axes, output, fine))}</p>'
        self._spread_spots(axes)

    def _sweep_for(self, axes, output, count):
        key = (output, self._range(), self._off_axes(), self.part() is None)
        if self._key is None or key != self._key[0] or count > self._key[1]:
            self.sweep = sweep(self.design, map_outputs(output), local=False, **self._values(axes, count))
            self._key = (key, count)

    def _show_picture(self, shown, output, fine):
        self.live.draw(shown, output, self.design)
        fine_png = figure_bytes(self.live.figure, "png", dpi=2 * QUICK_DPI) if fine else None
        self.picture.image.value = fine_png or self.live.quick_png()
        if fine:
            self.picture.say(describe_map(shown, output, self.design))

    def _waits(self):
        """Whether this very map is still to come, and the picture is of other settings."""
        return self.part() is not None and self._mapped() is None

    def _axes(self):
        if self.x.value == self.y.value:
            raise ValueError("the map has the same input on both axes: choose two different ones")
        return self.x.value, self.y.value

    def _range(self):
        return (self.x.value, self.y.value, *(field.setting for field in self.ends.values()))

    def _off_axes(self):
        """Everything of the design that the map depends on beside its axes."""
        texts = {"title", "purpose", "made_by", "ident", "issued", self.x.value, self.y.value}
        return tuple(getattr(self.design, f.name) for f in fields(Design) if f.name not in texts)

    def _values(self, axes, count):
        values = {}
        for name, letter in zip(axes, "xy", strict=True):
            low, high = self.ends[f"{letter} from"].si(), self.ends[f"{letter} to"].si()
            if not low < high:
                ends = " to ".join(show_input(end, LIMITS[name].unit) for end in (low, high))
                raise ValueError(f"the map's {LIMITS[name].label} runs from {ends}: let it rise")
            values[name] = np.linspace(low, high, count)
        return values

    def _reset(self, axis):
        """Set the range of an axis to what one can buy, or to its slider's, widened to hold the present design."""
        letter = "x" if axis is self.x else "y"
        low, high = default_range(self.design or self._start, axis.value)
        for end, value in (("from", low), ("to", high)):
            self.ends[f"{letter} {end}"].named(end, LIMITS[axis.value].unit)
            self.ends[f"{letter} {end}"].value = value

    def _other_axis(self, change):
        other = self.y if change["owner"] is self.x else self.x
        design, self.design = self.design, None  # say nothing until both are set
        self._start = design or self._start
        if other.value == change["new"]:
            other.value = change["old"]
            self._reset(other)
        self._reset(change["owner"])
        self.design = design
        self.again()

    def _here(self, axes, output, whole):
        """The value at the design, or why there is none; `whole`: and how it stands, every check of the job counted."""
        one = sweep(self.design, (output,), local=False, **{n: [getattr(self.design, n)] for n in axes})
        at = ", ".join(f"{LIMITS[n].label} {show_input(getattr(self.design, n), LIMITS[n].unit)}" for n in axes)
        if one.reason_code[0, 0]:
            return f"The ring, {at}: not to be made, {REASONS[one.reason_code[0, 0]]}."
        found, value = self._standing() if whole else None, one[output][0, 0]
        value = found.reserve if found and output == "least_reserve" else value
        words = f"The ring, {at}: {output_label(output)} {show(value, output_unit(output))}."
        return f"{words} {self._stands(found)}{self._framed_words()}" if found else words

    def _standing(self):
        """How the design stands; kept while design and job stay, for the map is drawn again and again."""
        asked = self.design, self.judge()
        if self._stood is None or self._stood[0] != asked:
            self._stood = asked, asked[1](self.design)
        return self._stood[1]

    def _stands(self, found):
        reserve = f", reserve {show(found.reserve, 'x')}" if found.key else ""
        counted = self.counted()
        alone = f" The ring counts {counted}; the map the section at the root end alone."
        more = "" if counted == COUNTED else alone if self.part() is None else f" Ring and map count {counted}."
        return f"{capital(found.words())}{reserve}.{more}"

    def count_every(self) -> None:
        """Count every check for this map, which takes some seconds; while it is at work, stop it; then go on."""
        if self.steps.at_work:
            self.guarded(self._end_work)
        elif self.guarded(self._start_work):
            self.steps.go_on()

    def _start_work(self):
        if self._work is None or self._of != self._of_now():
            self._of, part = self._of_now(), self.part()
            self._work = map_steps(self.sweep) if part is None else part_map_steps(*part, self.sweep)
        self.steps.set(self._work)
        self._tell(self._mapped())

    def _of_now(self):
        """What a map with every check is of, whatever output is drawn."""
        return self._range(), self._off_axes(), self.judge()

    def _show_button(self):
        mapped = self._mapped()
        if not self.steps.at_work:
            self.frame_button.description = COUNT if mapped is None else GO_ON
        show_if(self.frame_button, self.steps.at_work or mapped is None or not mapped.complete)

    def _tell(self, mapped):
        self.frame_button.description = f"Stop: {mapped.done} sheets done" if mapped else "Stop"
        show_if(self.frame_button, True)

    def _take(self, mapped):
        self.every = self._of, mapped
        self._draw(FINE)

    def _tell_done(self):
        self._work = None
        self._show_button()

    def _mapped(self):
        """The `Mapped` of this very map, None where there is none."""
        return self.every[1] if self.every is not None and self.every[0] == self._of_now() else None

    def grey(self, stale: bool) -> None:
        """As in every view; framed sheets under way belong to settings that do not count any more."""
        with ONE_AT_A_TIME:
            if stale and self.steps.at_work:
                self._end_work()
            super().grey(stale)
            if not stale and self.design is not None and self._waits():
                mark_stale([self.picture.image, self.picture.words], True)

    def _end_work(self):
        self.steps.stop()
        self._show_button()

    def with_every(self) -> Sweep:
        """The sweep drawn, every check counted where that was worked out for this very map."""
        mapped, drawn = self._mapped(), self.sweep
        if mapped is None or (self.part() is None and mapped.sweep.shape != drawn.shape):
            return drawn
        judged = mapped.sweep
        if judged.shape != drawn.shape:  # a first look
            drawn = sweep(self.design, map_outputs(self.output.value), local=False, **judged.axes)
        values = {name: np.where(judged.feasible, column, np.nan) for name, column in drawn.values.items()}
        values |= {name: column for name, column in judged.values.items() if name.endswith("_reserve")}
        return replace(judged, values=values)

    def _framed_words(self):
        mapped, part = self._mapped(), self.part() is not None
        if mapped is None:
            return f" {'It' if part else 'The framed sheet'} is not on the map yet."
        of = "shapes of framed sheets were worked out for the map and are read between them"
        words = f" {mapped.done} {of}" if part else f" The framed sheet was worked out for {mapped.done} designs"
        first = " A first look at few designs:" if part and mapped.sweep.shape != self.sweep.shape else ""
        left = f"; {mapped.undecided} cells are too near a limit to tell" if mapped.undecided else ""
        return f"{first}{words if part else f'{words} of the map and is read between them'}{left}."

    def _spread_spots(self, axes):
        """Lay the buttons out so that each covers what is nearest to its values."""
        picks = [pick_values(self.design, n, v[0], v[-1]) for n, v in self.sweep.axes.items()]
        place = (tuple(map(tuple, picks)), tuple((v[0], v[-1]) for v in self.sweep.axes.values()), axes)
        if place == getattr(self, "_place", None):
            return
        self._place, self.picks = place, picks
        left, top, wide, high = map_box(WIDTH, HEIGHT)
        layout = self.spots.layout
        layout.left, layout.top, layout.width, layout.height = (f"{100 * v:.3f}%" for v in (left, top, wide, high))
        shares = [nearest_shares(v, *ends) for v, ends in zip(picks, place[1], strict=True)]
        layout.grid_template_columns = " ".join(f"minmax(0,{s:.4f}fr)" for s in shares[0])
        layout.grid_template_rows = " ".join(f"minmax(0,{s:.4f}fr)" for s in shares[1][::-1])
        self._name_spots(axes, picks)

    def _name_spots(self, axes, picks):
        points = [(x, y) for y in picks[1][::-1] for x in picks[0]]
        while len(self._pool) < len(points):
            self._pool.append(self._spot(len(self._pool)))
        for spot, point in zip(self._pool, points, strict=False):
            words = (f"{LIMITS[n].label} {show_input(v, LIMITS[n].unit)}" for n, v in zip(axes, point, strict=True))
            spot.tooltip = ", ".join(words)
        self._points = points
        self.spots.children = self._pool[: len(points)]

    def _spot(self, index):
        style = self._pool[0].style if self._pool else widgets.ButtonStyle()
        spot = marked(widgets.Button(layout=self._one_layout, style=style, tabbable=False), "spot")
        spot.on_click(lambda _: self.guarded(lambda: self.choose(*self._points[index])))
        return spot

    def choose(self, x: float, y: float) -> None:
        """Make a point of the map [SI] the design."""
        changes = dict(zip(self._axes(), (x, y), strict=True))
        self.take(self.design.replace(**changes))

    def export(self, folder) -> list:
        """Write the map as SVG, PDF and PNG, and its numbers as CSV and NPZ."""
        drawn, output = self.with_every(), self.output.value
        paths = write_pictures(
            map_figure(drawn, output, self.design), folder / "map", describe_map(drawn, output, self.design)
        )
        for kind in ("csv", "npz"):
            paths.append(folder / f"map.{kind}")
            drawn.save(paths[-1])
        return paths


# ----- the values the axes span, and those a click may give -----


def default_range(design: Design, field: str) -> tuple[float, float]:
    """Range of an axis, in the shown unit: the sizes one can buy with a little beside them, else the slider's range;
    always with the design inside."""
    limit, value = LIMITS[field], from_si(getattr(design, field), LIMITS[field].unit)
    low, high = limit.slider_low, limit.slider_high
    stock = [from_si(v, limit.unit) for v in STOCK_OF.get(field, lambda _: ())(design)]
    if len(stock) > 1:
        low, high = min(*stock, value), max(*stock, value)
        low, high = max(low - 0.06 * (high - low), limit.low), high + 0.06 * (high - low)
    step = limit.step
    low = step * np.floor(round(min(low, value) / step, 6))
    return max(round(float(low), 6), limit.low), round(float(step * np.ceil(round(max(high, value) / step, 6))), 6)


def pick_values(design: Design, field: str, low: float, high: float) -> list:
    """Values of an input that a click may give [SI], rising, between two values: sizes one can buy, else round ones."""
    stock = stock_values(design, field, low, high)
    if stock:
        return list(stock)
    limit = LIMITS[field]
    ends = from_si(low, limit.unit), from_si(high, limit.unit)
    step = next((limit.step * r for r in ROUND if (ends[1] - ends[0]) / (limit.step * r) <= MOST_PICKS), None)
    step = step or (ends[1] - ends[0]) / MOST_PICKS
    steps = np.arange(np.ceil(round(ends[0] / step, 6)), np.floor(round(ends[1] / step, 6)) + 1)
    return [to_si(round(float(step * s), 6), limit.unit) for s in steps] or [0.5 * (low + high)]


def nearest_shares(values, low: float, high: float):
    """Widths of the strips nearest to each value, as hundredths of all."""
    edges = np.concatenate([[low], 0.5 * (np.array(values)[1:] + np.array(values)[:-1]), [high]])
    return 100.0 * np.diff(edges) / (high - low)
