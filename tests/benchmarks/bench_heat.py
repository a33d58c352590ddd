"""Time of a pour's heat: one lift, several at once against one by one, cells and tolerance, the search for a depth.

Run by hand: OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_heat.py
Each figure is processor time [s], the median of several runs; our way and its rivals in the same process.
"""

import platform
from statistics import median
from time import process_time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import csr_matrix

from panelmech.shop import conduction as shop_conduction
from panelmech.shop import heat as shop_heat
from panelmech.shop.cure import ILLUSTRATIVE
from panelmech.shop.deepest import lift_depth
from panelmech.shop.heat import Pour, loss_between_sheets, older_lift, pour_heat

NOSE = Pour(bottom=older_lift(ILLUSTRATIVE, 0.02), side_loss=loss_between_sheets(0.02, 0.002, 0.3))
RUNS = 5


def clock(job):
    """Median processor time [s] of a job."""
    times = []
    for _ in range(RUNS):
        start = process_time()
        job()
        times.append(process_time() - start)
    return median(times)


def rival(method):
    """The lift of 20 mm by another of scipy's stiff methods, with the sparse pattern of its Jacobian given; the march
    alone, at the default cells."""

    def solve(problem, first, until, tolerance, small, event):
        count = len(first)
        bands = np.abs(np.subtract.outer(np.arange(count), np.arange(count))) <= 3
        return solve_ivp(
            problem.slope,
            (0.0, until),
            first,
            method=method,
            rtol=tolerance,
            atol=small,
            jac_sparsity=csr_matrix(bands),
        )

    return solve


def marches():
    print("one lift of 20 mm, march alone, 161 cells, tolerance 1e-6")
    depth, until = np.array([0.02]), shop_heat.default_duration(NOSE, 0.02)
    own = shop_conduction._solve
    for name, solver in (
        ("LSODA, banded (ours)", own),
        ("BDF, sparse", rival("BDF")),
        ("Radau, sparse", rival("Radau")),
    ):
        shop_conduction._solve = solver
        peak = shop_heat._peaks(shop_heat._run(NOSE, depth, until, 161, 1e-6))[0].item()
        took = clock(lambda: shop_heat._run(NOSE, depth, until, 161, 1e-6))
        print(f"  {name:<28}{took:8.3f} s   peak rise {peak:.3f} K")
    shop_conduction._solve = own


def at_once():
    print("several depths of 1 to 30 mm, checks included")
    for count in (1, 4, 8, 16):
        depths = np.geomspace(1e-3, 0.03, count)
        until = shop_heat.default_duration(NOSE, 0.03)
        together = clock(lambda d=depths, u=until: pour_heat(NOSE, d, u))
        alone = clock(lambda d=depths, u=until: [pour_heat(NOSE, x, u) for x in d])
        print(
            f"  {count:3d} depths: at once {together:6.3f} s, one by one {alone:6.3f} s, ratio {alone / together:.2f}"
        )


def searches():
    print("one case, checks included")
    for depth in (2e-3, 6e-3, 20e-3, 60e-3):
        print(f"  lift of {1e3 * depth:4.0f} mm {clock(lambda d=depth: pour_heat(NOSE, d)):24.3f} s")
    print(f"  deepest lift within 60 °C {clock(lambda: lift_depth(NOSE, 333.15)):14.3f} s")


if __name__ == "__main__":
    print(platform.processor() or platform.machine(), platform.python_version())
    marches()
    at_once()
    searches()
