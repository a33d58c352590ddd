"""How long the papers of the demo take, all together and each by itself, and what the letters in a PDF cost.

    OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_papers.py

Aims on an idle machine of two cores: a note in 3 s, a pack in 3 s, all papers in 8 s, by the clock. Each figure is of
one run [s], after a paper that warms up: by the clock with a second process, started for it, and by one process alone,
with the processor's time, too. The ratios compare in the same run: all papers against the sum of each by itself, two
processes against one, and letters picked from the cut font against the whole one.
"""

import os
import platform
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

import matplotlib

from panelmech.draw.figures import STYLE, blank_figure, figure_bytes
from panelmech.draw.fonts import CUT, WHOLE
from panelmech.job.job import demo
from panelmech.report.beside import ALONE
from panelmech.report.papers import PAPERS, write_papers

JOB = demo()


def clock(action, by=process_time):
    """Time of one run [s], the processor's of this process unless told."""
    start = by()
    action()
    return by() - start


def anew(*kinds, alone):
    """(time by the clock, processor time of the first process) of papers in a Python of its own that has written
    another paper before [s]; `alone`: without a second process."""
    surroundings = {name: value for name, value in os.environ.items() if name != ALONE}
    surroundings |= {ALONE: "1"} if alone else {}
    told = subprocess.run([sys.executable, __file__, *kinds], env=surroundings, capture_output=True, check=True)
    return tuple(map(float, told.stdout.split()))


def once(kinds):
    """Print the times for `anew`."""
    papers("inspection")
    start = perf_counter(), process_time()
    papers(*kinds)
    print(perf_counter() - start[0], process_time() - start[1])


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
    print(f"Python {platform.python_version()}, matplotlib {matplotlib.__version__}; seconds")
    print(f"{'':12}{'two':>8}{'one':>8}{'processor, one':>16}")
    alone = {kind: anew(kind, alone=True) for kind in PAPERS}
    together = anew(*PAPERS, alone=True)
    for kinds, one in (*(((kind,), times) for kind, times in alone.items()), (PAPERS, together)):
        two, _ = anew(*kinds, alone=False)
        name = kinds[0] if len(kinds) == 1 else "all"
        print(f"{name:12}{two:8.2f}{one[0]:8.2f}{one[1]:16.2f}   two over one {two / one[0]:.2f}")
    print(f"all together {together[1] / sum(one[1] for one in alone.values()):.2f} of the sum of each by itself")
    letters = {
        family: median(clock(lambda family=family: lettered(family)) for _ in range(9)) for family in (CUT, WHOLE)
    }
    print(f"letters: cut font {1e3 * letters[CUT]:.0f} ms a page, whole font {1e3 * letters[WHOLE]:.0f} ms")


if __name__ == "__main__":
    once(sys.argv[1:]) if sys.argv[1:] else main()
