"""Time of the chordwise strip per design, and its error against the number of nodes.

Run: python tests/benchmarks/bench_strip.py
"""

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))  # for `roads`
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from time import perf_counter

from roads.strip_exact import liftoff_pressure, problem_from_bend, solve_strip

from panelmech.mechanics import strip
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.collocation import panels

D = 100.0
EVEN, POINT = strip.even_strip_pressure(50.0), strip.point_load(10.0, 0.1)


def best(call, repeats=9, inner=20):
    """Least time of one call [ms]."""
    call()
    times = []
    for _ in range(repeats):
        start = perf_counter()
        for _ in range(inner):
            call()
        times.append((perf_counter() - start) / inner)
    return 1e3 * min(times)


def main():
    bend = solve_bend(0.3, 0.003, 0.07, 0.0005, 0.01)
    base, support = strip.bent_base(bend, D), strip.Support()
    problem = problem_from_bend(bend, D)
    grid, lengths = panels(strip.NODES), strip._breaks(base, EVEN)
    rows = [
        ("small load, even pressure, whole", lambda: strip.strip_response(bend, D, EVEN)),
        ("  assembly", lambda: strip._fields(base, EVEN, grid, lengths)),
        ("  assembly and solve", lambda: strip._solve(base, EVEN, support, grid, lengths)),
        ("small load, point load, whole", lambda: strip.strip_response(bend, D, POINT)),
        ("flat strip", lambda: strip.flat_strip_response(0.25, 0.003, D, EVEN)),
        ("flat strip", lambda: strip.flat_strip_response(0.2, 0.003, D, EVEN)),
        ("exact, even pressure", lambda: solve_strip(problem, EVEN)),
        ("exact lift-off", lambda: liftoff_pressure(bend, D)),
    ]
    for name, call in rows:
        print(f"{name:36s}{best(call):8.3f} ms")
    strong = solve_bend(0.3, 0.002, 0.12)
    strip._ENOUGH = float("inf")
    exact = strip.strip_response(strong, D, EVEN, nodes=40).deflection_max
    print("nodes   relative error of the largest deflection   ms")
    for nodes in (6, 8, 10, 12, 14, 18, 24):
        found = strip.strip_response(strong, D, EVEN, nodes=nodes).deflection_max
        took = best(lambda nodes=nodes: strip.strip_response(strong, D, EVEN, nodes=nodes), 5)
        print(f"{nodes:5d}   {abs(found / exact - 1.0):10.1e}{took:40.3f}")


if __name__ == "__main__":
    main()
