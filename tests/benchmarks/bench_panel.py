"""How long the kernel takes for one move of a slider, and what of it is study, picture and text.

    python tests/benchmarks/bench_panel.py

A drag feels continuous while a move takes under 10 ms in the kernel; the browser adds its own 20 ms or so.
"""

import asyncio
import statistics
import time
from pathlib import Path

from panelmech import Design, evaluate
from panelmech.draw.live_svg import section_picture
from panelmech.panels import study_panel as bench
from panelmech.panels import study_tables as panel_text

STUDY = Path(__file__).resolve().parents[2] / "notebooks" / "studies" / "leeboard.json"
MOVES = 200


def timed(action, times=100):
    """Least and median time of one call [ms]."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        spent.append(1000 * (time.perf_counter() - start))
    return f"{min(spent):6.2f} {statistics.median(spent):8.2f} ms"


async def drag(make, design):
    """Moves of the spacer's handle as they come from a browser, within a running event loop."""
    panel = make(design)
    number, sizes = panel.controls.numbers["spacer_diameter"], iter(range(1, MOVES + 1))
    return timed(lambda: number.dragged(18 + 0.5 * (1 + next(sizes) % 40)), MOVES)


def main():
    design = Design.load(STUDY)
    study = evaluate(design, local=False)
    print(f"{'':34}{'least':>6} {'median':>8}")
    for name in ("panel_bend", "panel_wedge", "panel_note"):
        print(f"{name + ', one move':34}{asyncio.run(drag(getattr(bench, name), design))}")
    print(f"{'study, quick part':34}{timed(lambda: evaluate(design, local=False))}")
    print(f"{'study, framed sheet too':34}{timed(lambda: evaluate(design), 20)}")
    print(f"{'picture':34}{timed(lambda: section_picture(study))}")
    print(
        f"{'verdict, checks, numbers':34}"
        f"{timed(lambda: (panel_text.verdict_line(study), panel_text.checks_table(study), panel_text.numbers(study)))}"
    )


if __name__ == "__main__":
    main()
