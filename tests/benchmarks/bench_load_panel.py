"""Time of one move of the load panel in the kernel: what is worked out, drawn and worded, without the browser.

Run by hand: OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_load_panel.py
Each figure is processor time, the median of several moves. A running event loop puts off what waits for the hand to
rest, as in a notebook.
"""

import asyncio
from pathlib import Path
from statistics import median
from time import process_time

from panelmech.blade.blade import Blade
from panelmech.loads.load_file import LoadSheet
from panelmech.panels.load_panel import panel_loads

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
MOVES = 15


def clock(panel, name, start, step):
    """Median processor time [ms] of moving one setting."""
    times = []
    for i in range(MOVES):
        began = process_time()
        panel.bench.controls.numbers[name].value = start + step * i
        times.append(process_time() - began)
    return 1e3 * median(times)


async def main():
    panel = panel_loads(Blade.load(STUDIES / "leeboard_blade.json"), LoadSheet.load(STUDIES / "leeboard_loads.json"))
    for i, view in enumerate(("loads", "checks", "part")):
        panel.ask(view)
        print(
            f"{view:8} speed {clock(panel, 'speed', 1.0 + 0.01 * i, 0.1):8.1f} ms,  "
            f"taper {clock(panel, 'tip_free_length', 150.0 + i, 2.0):8.1f} ms"
        )
        began = process_time()
        panel.finish()
        print(f"{'':8} when the hand rests {1e3 * (process_time() - began):8.1f} ms")


if __name__ == "__main__":
    asyncio.run(main())
