"""How long the trade-off panel takes: one move on the map while dragging, the fine map at rest, scatter, choice.

    python tests/benchmarks/bench_map.py

Wanted: a map of 40 x 40 designs with every check in 3 s, under the loads of a job too, its first look in 0.3 s; 10000
combinations ranked with every check in 30 s. What is worked out once in a process comes before the clock.

A move is the whole callback: the sweep of the coarse grid, the drawing and its PNG, and the design's own checks. Wall
time says what a hand feels, processor time what this process used (they part on a busy machine).
"""

import asyncio
import os
import statistics
import time
from pathlib import Path

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import numpy as np  # noqa: E402

from panelmech import Design  # noqa: E402
from panelmech.draw.figures import figure_bytes  # noqa: E402
from panelmech.draw.live_map import LiveMap  # noqa: E402
from panelmech.draw.map_figures import map_figure, map_outputs, redraw_map  # noqa: E402
from panelmech.job.job import demo  # noqa: E402
from panelmech.loads.part_map import part_map, part_map_steps  # noqa: E402
from panelmech.panels import trade_off_panel as bench_trade  # noqa: E402
from panelmech.panels.map_view import COARSE, FINE  # noqa: E402
from panelmech.study import framed_sheet  # noqa: E402
from panelmech.study.choose import combine, rank, unbeaten, unbeaten_steps  # noqa: E402
from panelmech.study.every_map import check_map, map_steps  # noqa: E402
from panelmech.study.sizing import size  # noqa: E402
from panelmech.study.sweeps import sweep  # noqa: E402
from panelmech.study.tolerances import scatter  # noqa: E402

STUDY = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json"


def timed(action, times=15):
    """Least and median of wall and processor time of one call [ms]."""
    wall, used = [], []
    for _ in range(times):
        start, begun = time.perf_counter(), time.process_time()
        action()
        wall.append(1000 * (time.perf_counter() - start))
        used.append(1000 * (time.process_time() - begun))
    return "".join(f"{v:10.1f}" for part in (wall, used) for v in (min(part), statistics.median(part)))


async def drag(design, field, places):
    """Moves of a handle as they come from a browser, within a running event loop."""
    panel = bench_trade.panel_trade(design)
    number, places = panel.controls.numbers[field], iter(places)
    return timed(lambda: number.dragged(next(places)), len(places_of(field)))


def places_of(field):
    return [220 + i for i in range(1, 26)] if field == "free_length" else [10 + 0.5 * i for i in range(1, 26)]


def grid(count):
    return dict(spacer_diameter=np.linspace(4.5e-3, 31.5e-3, count), sheet_thickness=np.linspace(0.5e-3, 5.3e-3, count))


def anew(action):
    """An action with no framed sheet kept from before."""

    def done():
        framed_sheet._kept.cache_clear()
        framed_sheet._last.cache_clear()
        return action()

    return done


def first_rows(design):
    """A front until its first row stands."""
    return next(found for found in unbeaten_steps(combine(design), ("mass", "chord_stiffness")) if len(found.order))


def first_look(steps):
    """A map until something of it stands."""
    return next(mapped for mapped in steps if mapped is not None)


def every_check(design, outputs):
    """Map and choice with every check: until the first look or row, and whole."""
    small, job = sweep(design, outputs, local=False, **grid(40)), demo()
    loaded = sweep(job.design, outputs, local=False, **grid(40))
    judgement = dict(pressure=np.linspace(0.0, 8e3, 40), deflection_share=np.linspace(2e-3, 5e-2, 40))
    judged = sweep(job.design, outputs, local=False, **judgement)
    part = job.blade, job.loads
    first_look(map_steps(small)), first_look(part_map_steps(*part, loaded))
    size_of = f"{len(combine(design))} combinations"
    for words, action in (
        ("map 40 x 40 with every check, first look", lambda: first_look(map_steps(small))),
        ("map 40 x 40 with every check", lambda: check_map(small)),
        ("the same under loads, first look", lambda: first_look(part_map_steps(*part, loaded))),
        ("the same under loads", lambda: part_map(*part, loaded)),
        ("the same, pressure and deflection allowed", lambda: part_map(*part, judged)),
        (f"{size_of}, first row that no other beats", lambda: first_rows(design)),
        (f"{size_of}, what no other beats", lambda: unbeaten(combine(design), ("mass", "chord_stiffness"))),
        (f"{size_of}, all ranked with every check", lambda: rank(combine(design), "mass")),
    ):
        print(f"{words:48}{timed(anew(action), 1)}")


def main():
    design = Design.load(STUDY)
    outputs = map_outputs("chord_stiffness")
    swept = sweep(design, outputs, local=False, **grid(COARSE))
    figure = map_figure(swept, "chord_stiffness")
    live = LiveMap(152.0, 96.0, 120.0)
    live.draw(swept, "chord_stiffness", design)
    live.quick_png()
    choices = combine(design)
    print(f"{'[ms]':48}{'least':>10}{'median':>10}{'least cpu':>10}{'median':>10}")
    for field, words in (("free_length", "moves the map"), ("spacer_diameter", "moves the ring")):
        print(f"{'one move that ' + words:48}{asyncio.run(drag(design, field, places_of(field)))}")
    print(f"{f'sweep {COARSE} x {COARSE}':48}{timed(lambda: sweep(design, outputs, local=False, **grid(COARSE)))}")
    print(f"{'lay out the map':48}{timed(lambda: redraw_map(figure, swept, 'chord_stiffness'))}")
    print(f"{'draw it as PNG':48}{timed(lambda: figure_bytes(figure, 'png', dpi=120))}")
    print(f"{'the same, fixed parts kept as pixels':48}{timed(live.quick_png)}")
    for field, output in (("sheet_thickness", "oil_canning_reserve"), ("free_length", "skin_buckling_reserve")):
        words = f"size {field.replace('_', ' ')} for {output.replace('_', ' ')}"
        print(f"{words:48}{timed(lambda f=field, o=output: size(design, f, o, 1.5), 5)}")
    print(f"{f'sweep {FINE} x {FINE}':48}{timed(lambda: sweep(design, outputs, local=False, **grid(FINE)), 5)}")
    print(f"{'scatter of 100000 parts':48}{timed(lambda: scatter(design), 3)}")
    print(f"{f'{len(choices)} combinations by the quick checks':48}{timed(lambda: combine(design), 5)}")
    every_check(design, outputs)


if __name__ == "__main__":
    main()
