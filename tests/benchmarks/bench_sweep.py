"""Speed, growth and memory of a sweep, beside a loop over single studies and over scipy's boundary-value solver.

    python tests/benchmarks/bench_sweep.py [--quick]

Requirements: a map of 200 x 200 designs, spacer by sheet thickness, with all forming checks and the section comparison
in under 0.5 s on one core; ten million designs in chunks within 2 GiB; the cost grows linearly with the number of
designs. Processor time of this one thread counts, the least of several rounds taken in turn, because other work on the
machine can only slow a round down. All designs differ. Exit code 1 where a requirement is missed.
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

from test_scipy_bvp import by_boundary_values  # noqa: E402

from panelmech import Design  # noqa: E402
from panelmech.study.study import evaluate  # noqa: E402
from panelmech.study.sweeps import CHUNK, OUTPUTS, RESERVES, sweep  # noqa: E402

STUDY = ROOT / "notebooks" / "studies" / "leeboard.json"
COMPARED = ("i_chord_ratio", "i_normal_ratio", "torsion_ratio", "enclosed_ratio", "curve_ratio")
MAP = (*RESERVES, "least_reserve", "chord_stiffness", *COMPARED)  # what a map and its checks need
KEPT = ("chord_stiffness", "i_chord_ratio", "least_reserve")  # of ten million designs
SECONDS, GIBIBYTES, GROWTH = 0.5, 2.0, 1.3


def grid(across, upwards):
    """Spacers by sheet thicknesses: 4.5 to 31.5 mm, 0.5 to 5.3 mm."""
    return dict(
        spacer_diameter=np.linspace(4.5e-3, 31.5e-3, across), sheet_thickness=np.linspace(0.5e-3, 5.3e-3, upwards)
    )


def least(actions, rounds):
    """Least processor time of several rounds of each action [s], the actions in turn."""
    times = [[] for _ in actions]
    for _ in range(rounds):
        for action, taken in zip(actions, times, strict=True):
            start = time.process_time()
            action()
            taken.append(time.process_time() - start)
    return [min(taken) for taken in times]


def sweeping(outputs, across, upwards):
    """One sweep to be timed."""
    design, axes = Design.load(STUDY), grid(across, upwards)
    return lambda: sweep(design, outputs, local=False, **axes)


def time_of_rivals(count, rounds):
    """Seconds per design of a loop over `evaluate` and of scipy's boundary-value solver at 1e-9, the shape alone."""
    design, rng = Design.load(STUDY), np.random.default_rng(4)
    spacers, sheets = rng.uniform(5e-3, 20e-3, count), rng.uniform(1e-3, 4e-3, count)
    single = [
        design.replace(spacer_diameter=float(d), sheet_thickness=float(t)) for d, t in zip(spacers, sheets, strict=True)
    ]
    rows = [(d.free_length, d.sheet_thickness, d.spacer_diameter, d.bond_line, d.setback) for d in single]
    loops = (
        lambda: [evaluate(d, local=False) for d in single],
        lambda: [by_boundary_values(row, tolerance=1e-9) for row in rows],
    )
    return [taken / count for taken in least(loops, rounds)]


def peak_memory(count):
    """Peak memory [GiB] and time [s] of a process of its own that sweeps `count` designs."""
    code = f"import bench_sweep; bench_sweep.sweep_many({count})"
    done = subprocess.run([sys.executable, "-c", code], cwd=Path(__file__).parent, check=True, stdout=subprocess.PIPE)
    return tuple(float(word) for word in done.stdout.split())


def sweep_many(count):
    """Sweep, check that every design was worked through, print the peak memory [GiB] and the time [s]."""
    start, chunks = time.perf_counter(), []
    swept = sweep(
        Design.load(STUDY), KEPT, lambda done, total: chunks.append(done), local=False, **grid(1000, count // 1000)
    )
    took = time.perf_counter() - start
    assert swept.complete and len(chunks) == -(-count // CHUNK) and swept.reason_code.size == count
    for name in KEPT:
        assert np.array_equal(np.isfinite(swept[name]), swept.feasible)
    unit = 1 if sys.platform == "darwin" else 1024  # macOS counts in bytes, Linux in kibibytes
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 2**30, took)


def main(arguments=None):
    """Measure, print the table, return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="fewer designs and rounds, memory for a tenth of them")
    quick = parser.parse_args(arguments).quick
    rounds = 3 if quick else 10
    of_map, of_all = least([sweeping(MAP, 200, 200), sweeping(None, 200, 200)], rounds)
    counts = [10**n for n in ((3, 4, 5) if quick else (3, 4, 5, 6))]
    taken = least([sweeping(None, 100, n // 100) for n in counts], 3)
    each = np.divide(taken, counts)
    # an exponent of one is linear; the fixed cost of a call, some ms, weighs on the small ones and only lowers it
    exponent = float(np.polyfit(np.log(counts[1:]), np.log(taken[1:]), 1)[0])
    loop, rival = time_of_rivals(*((5, 2) if quick else (20, 3)))
    count = 1_000_000 if quick else 10_000_000
    memory, took = peak_memory(count)
    ours, rest = of_all / 200**2, each[-1] / each[1]
    rows = (
        ("map 200 x 200, checks and comparison", f"{of_map:.3f} s", f"under {SECONDS} s", of_map < SECONDS),
        (f"map 200 x 200, all {len(OUTPUTS)} outputs", f"{of_all:.3f} s", f"under {SECONDS} s", of_all < SECONDS),
        (f"cost per design, {counts[-1]:,} over 10,000", f"{rest:.2f}", f"at most {GROWTH}", rest <= GROWTH),
        ("time grows with the count to the power", f"{exponent:.3f}", "", True),
        ("times a loop over evaluate", f"{loop / ours:,.0f}", "", True),
        ("times a loop over scipy's solver", f"{rival / ours:,.0f}", "", True),
        (f"peak memory, {count:,} designs", f"{memory:.2f} GiB", f"at most {GIBIBYTES:.0f} GiB", memory <= GIBIBYTES),
    )
    for name, value, need, good in rows:
        print(f"{name:42s} {value:>14s}   {need:16s} {'' if not need else 'met' if good else 'MISSED'}")
    costs = ", ".join(f"{1e6 * e:.2f} us of {n:,}" for n, e in zip(counts, each, strict=True))
    print(f"per design, all outputs: {costs}")
    print(
        f"per design, loops: evaluate {1e3 * loop:.2f} ms, boundary values {1e3 * rival:.1f} ms (the shape alone); "
        f"{count:,} designs, {len(KEPT)} outputs: {took:.1f} s"
    )
    return 0 if all(good for *_, good in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
