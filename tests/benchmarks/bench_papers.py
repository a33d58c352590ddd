"""How long the papers of the demo take, all together and each by itself, and what the letters in a PDF cost.

    OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_papers.py

Aims on an idle machine: a note in 3 s, a pack in 3 s, all papers in 8 s. Each figure is processor time [s], once, after
a paper that warms up. The ratios compare in the same process: all papers against the sum of each by itself, and letters
picked from the cut font against the whole one.
"""

import platform
import tempfile
from pathlib import Path
from statistics import median
from time import process_time

import matplotlib

from panelmech.draw.figures import STYLE, blank_figure, figure_bytes
from panelmech.draw.fonts import CUT, WHOLE
from panelmech.job.job import demo
from panelmech.report.papers import PAPERS, write_papers

JOB = demo()


def clock(action):
    """Processor time of one run [s]."""
    start = process_time()
    action()
    return process_time() - start


def papers(*kinds):
    """Write these papers of the demo into a new folder."""
    with tempfile.TemporaryDirectory() as place:
        write_papers(JOB, Path(place) / "papers", kinds)


def lettered(family):
    """A PDF page with a line of text in a font."""
    with matplotlib.rc_context({**STYLE, "font.family": [family]}):
        figure = blank_figure(100.0, 50.0)
        figure.text(0.1, 0.5, "Bending strain, for good: 0.13 %, 1.54 times")
        return figure_bytes(figure, "pdf")


def main():
    papers("inspection")
    print(f"Python {platform.python_version()}, matplotlib {matplotlib.__version__}; processor time [s]")
    alone = {kind: clock(lambda kind=kind: papers(kind)) for kind in PAPERS}
    together = clock(lambda: papers(*PAPERS))
    for kind, seconds in alone.items():
        print(f"{kind:12}{seconds:8.2f}")
    print(f"{'all':12}{together:8.2f}   {together / sum(alone.values()):.2f} of the sum of each by itself")
    letters = {
        family: median(clock(lambda family=family: lettered(family)) for _ in range(9)) for family in (CUT, WHOLE)
    }
    print(f"letters: cut font {1e3 * letters[CUT]:.0f} ms a page, whole font {1e3 * letters[WHOLE]:.0f} ms")


if __name__ == "__main__":
    main()
