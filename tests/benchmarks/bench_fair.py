"""Time of one study with and without its framed sheet, of the fair comparisons, the verdict and the levels, per design.

Run by hand: OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_fair.py
Each figure is processor time [ms], the median of several runs, each on a design a little off the last one so that
nothing of it is kept.
"""

from statistics import median
from time import process_time

from panelmech import Design, catalogue, evaluate
from panelmech.study.wedge_comparison import change_words, compare_with_wedge, overtaking, share_words, verdict

SHEET = catalogue["glass-epoxy laminate, lengthwise"]
DESIGNS = {
    "leeboard": Design(SHEET, 2e-3, 0.225, 15e-3),
    "flared": Design(SHEET, 2e-3, 0.1, 15e-3, spacer_diameter=0.016, setback=0.05),
    "strongly bent": Design(SHEET, 1e-3, 0.225, 15e-3, spacer_diameter=0.09),
}
RUNS = 7


def words(design):
    (same,) = compare_with_wedge(design, conditions=("the same spacer",))
    return verdict(design, same)


JOBS = {
    "evaluate, without the framed sheet": lambda d: evaluate(d, local=False),
    "evaluate, with it": evaluate,
    "four comparisons, sections only": lambda d: compare_with_wedge(d, local=False),
    "four comparisons, all measures": compare_with_wedge,
    "one comparison and its verdict": words,
    "  shares of land and curve": share_words,
    "  what would draw level": lambda d: change_words(d, {"i_chord": 0.8, "torsion_constant": 0.6}),
    "one level, a measure of the section": lambda d: overtaking(d, "torsion_constant"),
    "one level, a measure of one sheet": lambda d: overtaking(d, "press_free"),
}


def clock(job, design):
    """Median processor time [ms] of job(design)."""
    job(design)
    times = []
    for run in range(RUNS):
        fresh = design.replace(span=design.span * (1.0 + 1e-4 * (run + 1)), setback=design.setback + 1e-6 * (run + 1))
        start = process_time()
        job(fresh)
        times.append(process_time() - start)
    return 1e3 * median(times)


def main():
    print(f"{'ms a design':<40}" + "".join(f"{name:>16}" for name in DESIGNS))
    for name, job in JOBS.items():
        print(f"{name:<40}" + "".join(f"{clock(job, design):>16.1f}" for design in DESIGNS.values()))


if __name__ == "__main__":
    main()
