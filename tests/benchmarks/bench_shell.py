"""Time of the framed sheet per design: assembly and solution apart, and how it grows with the degrees.

Run by hand: OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_shell.py
Each figure is processor time, the median of several runs, with the one-dimensional integrals already kept, as under a
slider.
"""

from statistics import median
from time import process_time

from panelmech.bend import solve_bend
from panelmech.shell import buckle, default_degrees, even_pressure, framed_sheet, point_force, press
from panelmech.shell_compare import compare_sheet
from panelmech.shell_ritz import family

PANELS = {  # free length, sheet, spacer, span [m]
    "slender": (0.25, 0.0025, 0.02, 0.6), "long": (0.25, 0.0025, 0.02, 1.2),
    "strongly bent": (0.25, 0.0015, 0.07, 0.6), "long, strongly bent": (0.25, 0.0015, 0.07, 1.2),
}
RUNS = 9


def sheet(panel):
    free_length, thickness, spacer, span = PANELS[panel]
    return framed_sheet(solve_bend(free_length, thickness, spacer, 0.0005, 0.002), span, 0.02, 20e9, 0.3)


def clock(job, panel):
    """Median processor time [ms] of job(sheet) on a sheet not seen before, so that nothing of the design is kept."""
    job(sheet(panel))
    times = []
    for _ in range(RUNS):
        fresh = sheet(panel)
        start = process_time()
        job(fresh)
        times.append(process_time() - start)
    return 1e3 * median(times)


def one_design(bent):
    for s in (bent, bent.flat()):
        press(s, even_pressure())
        buckle(s)


def strain_peaks(pressed):
    return pressed.outer_face, pressed.inner_face, pressed.membrane, pressed.bending


JOBS = {
    "assembly, both parities": lambda s: [family(s, default_degrees(s), p) for p in ("even", "odd")],
    "deflection": press, "deflection, point force": lambda s: press(s, point_force(1.0)), "buckling": buckle,
    "bent + flat, both": one_design, "bent, flat, wedge, both brackets": compare_sheet,
    "deflection and four strain peaks": lambda s: strain_peaks(press(s)),
}


def main():
    for panel in PANELS:
        example = sheet(panel)
        print(f"{panel}: degrees {default_degrees(example)}, error {press(example).error:.0e} (deflection), "
              f"{buckle(example).error:.0e} (buckling)")
        for name, job in JOBS.items():
            print(f"    {name:34s} {clock(job, panel):7.1f} ms")
    print("bent + flat, long panel, by degrees")
    for degrees in ((8, 10), (12, 16), (12, 24), (16, 32), (20, 40)):
        def both(s, degrees=degrees):
            return [(press(k, None, degrees), buckle(k, degrees)) for k in (s, s.flat())]
        error = buckle(sheet("long"), degrees).error
        print(f"    {degrees!s:10s} {clock(both, 'long'):7.1f} ms   buckling error {error:.0e}")


if __name__ == "__main__":
    main()
