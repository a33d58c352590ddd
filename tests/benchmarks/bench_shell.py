"""Time of the framed sheet per design: each answer apart, how it grows with the degrees, and a whole study.

Run by hand: OPENBLAS_NUM_THREADS=1 python tests/benchmarks/bench_shell.py
Each figure is processor time, the median of several runs, with the one-dimensional integrals already kept, as under a
slider. The last table is `evaluate`, which presses and buckles the bent sheet with both in-plane edges; the aim is
under 60 ms, for strongly bent designs too.
"""

from dataclasses import replace
from statistics import median
from time import process_time

from panelmech import Design, catalogue, evaluate
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.shell import (
    buckle,
    critical_stress,
    default_degrees,
    deflection_degrees,
    largest_deflection,
    press,
)
from panelmech.mechanics.shell_model import even_pressure, framed_sheet, point_force
from panelmech.mechanics.shell_ritz import function_sets, stiffness
from panelmech.study import framed_sheet as framed_sheet_of_design
from panelmech.study.framed_sheet import bent_sheet
from panelmech.study.shell_comparison import compare_sheet

PANELS = {  # free length, sheet, spacer, span [m]
    "slender": (0.25, 0.0025, 0.02, 0.6),
    "long": (0.25, 0.0025, 0.02, 1.2),
    "strongly bent": (0.25, 0.0015, 0.07, 0.6),
    "long, strongly bent": (0.25, 0.0015, 0.07, 1.2),
}
DESIGNS = {  # sheet, sheet thickness, free length, spacer, span [m]
    "leeboard": ("glass-epoxy laminate, lengthwise", 0.002, 0.225, 0.018, 0.85),
    "strongly bent": ("glass-epoxy laminate, lengthwise", 0.0008, 0.3, 0.12, 0.85),
    "strongly bent, metal": ("aluminium 6061-T6", 0.0008, 0.3, 0.12, 0.85),
    "strongly bent, long": ("glass-epoxy laminate, lengthwise", 0.0008, 0.3, 0.12, 1.7),
    "plywood along the chord": ("birch plywood, face grain along chord", 0.0036, 0.6, 0.08, 1.2),
}
RUNS = 9


def sheet(panel):
    free_length, thickness, spacer, span = PANELS[panel]
    return framed_sheet(solve_bend(free_length, thickness, spacer, 0.0005, 0.002), span, 0.02, 20e9, 0.3)


def clock(job, make):
    """Median processor time [ms] of job(what make() gives), always a new one, so that nothing of it is kept."""
    job(make())
    times = []
    for _ in range(RUNS):
        fresh = make()
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
    "largest deflection alone": largest_deflection,
    "critical stress alone": critical_stress,
    "deflection": press,
    "deflection, force on a square": lambda s: press(s, point_force(1.0)),
    "buckling": buckle,
    "bent + flat, both": one_design,
    "bent, flat, wedge, both brackets": compare_sheet,
    "deflection and four strain peaks": lambda s: strain_peaks(press(s)),
}


def by_degrees(degrees):
    """Time of bent and flat, deflection and buckling, of the long panel, and the error it states."""

    def both(s):
        return [(press(k, None, degrees), buckle(k, degrees)) for k in (s, s.flat())]

    time = clock(both, lambda: sheet("long"))
    return f"{degrees!s:10s} {time:7.1f} ms   buckling error {buckle(sheet('long'), degrees).error:.0e}"


def inside(design):
    """Where the time of one family of functions goes [ms]."""
    example = bent_sheet(design, "held")
    sets = function_sets(example.edges, deflection_degrees(example), "even")
    jobs = {
        "matrix": lambda s: stiffness(s, sets),
        "matrix and factor": lambda s: stiffness(s, sets).factored(),
        "deflection": largest_deflection,
        "critical stress, edges held": critical_stress,
        "critical stress, edges drawing in": lambda s: critical_stress(
            s.with_edges(s.edges.with_in_plane("diaphragm"))
        ),
    }
    return ", ".join(f"{name} {clock(job, lambda: bent_sheet(design, 'held')):.1f}" for name, job in jobs.items())


def forget():
    """What is kept of designs worked out before."""
    for kept in (framed_sheet_of_design._kept, framed_sheet_of_design._last):
        kept.cache_clear()


def study(name):
    stock, thickness, free_length, spacer, span = DESIGNS[name]
    design = Design(catalogue[stock], thickness, free_length, 0.015, spacer_diameter=spacer, span=span, setback=0.003)
    bent = bent_sheet(design)
    with_sheet, without = (
        clock(lambda d, local=local: evaluate(d, local), lambda: forget() or replace(design)) for local in (True, False)
    )
    print(
        f"    {name:26s} degrees {deflection_degrees(bent)!s:9s} {with_sheet:6.1f} ms, {without:4.1f} ms without the "
        f"framed sheet; errors {press(bent).error:.0e}, {buckle(bent).error:.0e}"
    )
    return design


def main():
    for panel in PANELS:
        example = sheet(panel)
        print(
            f"{panel}: degrees {default_degrees(example)}, error {press(example).error:.0e} (deflection), "
            f"{buckle(example).error:.0e} (buckling)"
        )
        for name, job in JOBS.items():
            print(f"    {name:34s} {clock(job, lambda panel=panel: sheet(panel)):7.1f} ms")
    print("bent + flat, long panel, by degrees")
    for degrees in ((8, 10), (12, 16), (12, 24), (16, 32), (20, 40)):
        print(f"    {by_degrees(degrees)}")
    print("evaluate, one design")
    designs = {name: study(name) for name in DESIGNS}
    for name in ("strongly bent", "strongly bent, long"):
        print(f"    {name}, inside [ms]: {inside(designs[name])}")


if __name__ == "__main__":
    main()
