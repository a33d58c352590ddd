"""Speed, accuracy and memory of the exact bend, beside its rivals in the same process.

    python tests/benchmarks/bench_bend.py [--quick]

Requirements: a million designs a second on one core in array mode, at 1e-10 against a 30-digit evaluation; five
thousand times scipy's boundary-value solver at 1e-9, per design; ten million designs within 2 GiB. The best of several
rounds counts, because other work on the machine can only slow a round down. Exit code 1 where a requirement is missed.
"""

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"  # one core: set before numpy is imported

import argparse  # noqa: E402
import resource  # noqa: E402
import subprocess  # noqa: E402
import sys  # noqa: E402
import time  # noqa: E402
from pathlib import Path  # noqa: E402

import numpy as np  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "validation")]

from test_mpmath import worst_error  # noqa: E402
from test_scipy_bvp import by_boundary_values  # noqa: E402

from panelmech.mechanics.bend import greatest_spacer, solve_bend  # noqa: E402

PER_SECOND, RATIO, GIBIBYTES, ACCURACY = 1e6, 5000.0, 2.0, 1e-10


def designs(count, seed=20):
    """Ordinary parts: 100 to 500 mm of sheet, 1 to 4 mm thick, the opening 3 to 90 % of the greatest, all feasible."""
    rng = np.random.default_rng(seed)
    length, t = rng.uniform(0.1, 0.5, count), rng.uniform(1e-3, 4e-3, count)
    g, e = rng.uniform(0.0, 0.5e-3, count), rng.uniform(0.0, 10e-3, count)
    return length, t, g + rng.uniform(0.03, 0.9, count) * (greatest_spacer(length, g, e, t) - g), g, e


def best(function, rounds):
    """Shortest time of several rounds [s]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)


def array_rate(count, rounds):
    """Designs a second in array mode."""
    given = designs(count)
    assert np.all(solve_bend(*given).feasible)
    return count / best(lambda: solve_bend(*given), rounds)


def time_of_rivals(count, rounds):
    """Seconds per design of scipy's boundary-value solver at 1e-9 and of single `solve_bend` calls."""
    rows = [tuple(float(v) for v in row) for row in zip(*designs(count, seed=21), strict=True)]
    rival = best(lambda: [by_boundary_values(row, tolerance=1e-9) for row in rows], rounds)
    single = best(lambda: [solve_bend(*row) for row in rows], rounds)
    return rival / count, single / count


def accuracy(count):
    """Largest relative error of six results against the 30-digit evaluation."""
    return float(worst_error(designs(count, seed=22))[0].max())


def peak_memory(count):
    """Peak memory of a process of its own that solves `count` designs at once [GiB]."""
    code = f"import bench_bend; bench_bend.solve_many({count})"
    folder = Path(__file__).parent
    return float(subprocess.run([sys.executable, "-c", code], cwd=folder, check=True, stdout=subprocess.PIPE).stdout)


def solve_many(count):
    """Solve, check that something was solved, print the peak memory [GiB]."""
    rng = np.random.default_rng(1)
    bend = solve_bend(
        rng.uniform(0.1, 0.5, count), rng.uniform(1e-3, 4e-3, count), rng.uniform(5e-3, 30e-3, count), 0.3e-3, 3e-3
    )
    assert bend.feasible.sum() > 0.9 * count
    unit = 1 if sys.platform == "darwin" else 1024  # macOS counts in bytes, Linux in kibibytes
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 2**30)


def main(arguments=None):
    """Measure, print the table, return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="fewer designs and rounds, memory for a tenth of them")
    quick = parser.parse_args(arguments).quick
    rate = array_rate(*((200_000, 10) if quick else (1_000_000, 20)))
    rival, single = time_of_rivals(*((3, 2) if quick else (20, 3)))
    ratio = rival * rate
    error = accuracy(20 if quick else 200)
    count = 1_000_000 if quick else 10_000_000
    memory = peak_memory(count)
    rows = (
        ("designs a second, array mode", f"{rate:,.0f}", f"at least {PER_SECOND:,.0f}", rate >= PER_SECOND),
        ("largest relative error", f"{error:.1e}", f"at most {ACCURACY:.0e}", error <= ACCURACY),
        ("times scipy's boundary-value solver", f"{ratio:,.0f}", f"at least {RATIO:,.0f}", ratio >= RATIO),
        ("times single solve_bend calls", f"{single * rate:,.0f}", "", True),
        (f"peak memory, {count:,} designs", f"{memory:.2f} GiB", f"at most {GIBIBYTES:.0f} GiB", memory <= GIBIBYTES),
    )
    for name, value, need, good in rows:
        print(f"{name:40s} {value:>14s}   {need:22s} {'' if not need else 'met' if good else 'MISSED'}")
    print(
        f"per design: array {1e6 / rate:.2f} us, boundary values {1e3 * rival:.1f} ms, "
        f"single call {1e3 * single:.2f} ms"
    )
    return 0 if all(good for *_, good in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
