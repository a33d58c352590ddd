"""How long a choice under loads takes, of the worked example: a candidate alone and together, first rows, all ranked.

    python tests/benchmarks/bench_choose.py

Wanted: the first rows in 2 s, 10000 combinations ranked in 30 s. Processor time of one run, least of several where it
is short. The ratios say what taking many together and sifting are worth, whatever the machine.
"""

import os
import time

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import numpy as np  # noqa: E402

from panelmech.job.every import judge_of  # noqa: E402
from panelmech.job.job import demo  # noqa: E402
from panelmech.study import framed_sheet  # noqa: E402
from panelmech.study.choose import combine, rank_steps, unbeaten_steps  # noqa: E402

JOB = demo()
ALONE, TOGETHER = 8, 128
BOTH = ("mass", "chord_stiffness")


def used(action, times=1):
    """Least processor time of a call [s], nothing kept from before."""
    found = []
    for _ in range(times):
        framed_sheet._kept.cache_clear()
        framed_sheet._last.cache_clear()
        start = time.process_time()
        action()
        found.append(time.process_time() - start)
    return min(found)


def judged(designs):
    """Every design by itself."""
    judge = judge_of(JOB)
    for design in designs:
        judge(design)


def rows(steps_of, count=None):
    """Rows of a choice until there are so many, all of them by default."""
    for found in steps_of(combine(JOB.design, judge=judge_of(JOB, soon=True))):
        if count and len(found.order) >= count:
            return


def main():
    """Print the times and their ratios."""
    choices = combine(JOB.design)
    possible = np.flatnonzero(choices.possible)
    chosen = np.random.default_rng(1).choice(possible, TOGETHER, replace=False)
    designs = [choices.design_at(i) for i in chosen]
    alone = used(lambda: judged(designs[:ALONE]), 2) / ALONE
    together = used(lambda: judge_of(JOB).together(designs[:ALONE]), 2) / ALONE
    sifted = used(lambda: judge_of(JOB).sift(designs), 3) / TOGETHER
    print(f"{len(choices)} combinations, {len(possible)} of them pass the quick checks")
    print(f"a candidate alone                 {1e3 * alone:8.1f} ms")
    print(f"{ALONE} together, each                 {1e3 * together:8.1f} ms   1 / {alone / together:.1f}")
    print(f"{TOGETHER} sifted, each                 {1e3 * sifted:8.1f} ms   1 / {alone / sifted:.1f}")
    for words, steps_of, count in (
        ("first row that no other beats", lambda c: unbeaten_steps(c, BOTH, True), 1),
        ("all that no other beats", lambda c: unbeaten_steps(c, BOTH, True), None),
        ("lightest row", lambda c: rank_steps(c, "mass", 40, True), 1),
        ("40 lightest rows", lambda c: rank_steps(c, "mass", 40, True), None),
        ("all ranked by mass", lambda c: rank_steps(c, "mass", None, True), None),
    ):
        taken = used(lambda steps_of=steps_of, count=count: rows(steps_of, count))
        print(f"{words:34}{taken:8.1f} s    {taken / alone:.0f} candidates alone")


if __name__ == "__main__":
    main()
