"""Time of the study under load: one study, its parts, and what a further load case costs.

Run by hand: OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_loads.py
Each figure is processor time, the median of several runs.
"""

from dataclasses import replace
from statistics import median
from time import process_time

from panelmech.blade.blade import Blade
from panelmech.blade.sections import blade_sections
from panelmech.loads.beam import Held
from panelmech.loads.cases import PointPush, SealedAir, SideForce
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan
from panelmech.materials.stock import catalogue
from panelmech.study.design import Design

LEEBOARD = Design(catalogue["glass-epoxy laminate, lengthwise"], 0.002, 0.225, 0.015)
CASES = (
    SideForce("sailing", 2.0, 1025.0, angle=0.08, immersed_from=0.25),
    PointPush("grounding", 60.0),
    SealedAir("sun", 293.15, 303.15),
)
MANY = tuple(PointPush(f"push {i}", 10.0 + i, 0.02 * i) for i in range(1, 50))
PLAN = LoadPlan(CASES, Held((0.03, 0.25)), local=False)
RUNS = 15


def clock(job):
    """Median processor time [ms] over slightly different designs, so that nothing is kept from the run before."""
    times = []
    for i in range(RUNS):
        design = LEEBOARD.replace(spacer_wall=1e-3 + 1e-6 * i)
        start = process_time()
        job(design)
        times.append(process_time() - start)
    return 1e3 * median(times)


def main():
    rows = {
        "study, three cases, without the framed sheet": lambda d: evaluate_loads(d, PLAN),
        "  of that the sections at the stations": lambda d: blade_sections(Blade(d), 45),
        "study with the framed sheet": lambda d: evaluate_loads(d, replace(PLAN, local=True)),
        "tapered, with the framed sheet": lambda d: evaluate_loads(
            Blade(d, free_length=(0.225, 0.16)), replace(PLAN, local=True)
        ),
        "study with 52 cases": lambda d: evaluate_loads(d, replace(PLAN, cases=CASES + MANY)),
    }
    for name, job in rows.items():
        print(f"{name:50}{clock(job):8.1f} ms")


if __name__ == "__main__":
    main()
