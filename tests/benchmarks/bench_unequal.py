"""Time of the unmatched pair and of the pair as built, alone and in arrays, against scipy's root finder on the same
equations, one pair at a time.

Run: python tests/benchmarks/bench_unequal.py
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from time import perf_counter

import numpy as np
from scipy.optimize import fsolve

from panelmech.mechanics import unequal as eq
from panelmech.mechanics.as_built_bend import real_bend
from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.unequal import solve_unequal

PAIRS = 2000


def best(call, repeats=5):
    """Least time of one call [s], and what it gave."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        out = call()
        times.append(perf_counter() - start)
    return min(times), out


def by_fsolve(part):
    """Rod offset of one pair by scipy, from the matched pair, without derivatives."""
    length, t1, t2, d1, d2, diameter, gap, setback = part
    mean = solve_bend(length, 0.5 * (t1 + t2), diameter, gap, setback)
    thickness, problem = np.array([[t1], [t2]]) / length, np.array([[0.5 * diameter], [gap], [setback]]) / length

    def miss(state):
        given = thickness, np.zeros((2, 1)), np.log(d1 / d2)
        return eq._equations(state[:, None], *given, problem, "floating")[0][:, 0]

    return length * fsolve(miss, [mean.contact_angle, mean.contact_angle, 0.0], xtol=1e-12)[2]


def main():
    rng = np.random.default_rng(0)
    part = (
        0.225,
        *rng.uniform(1.8e-3, 2.2e-3, (2, PAIRS)),
        *rng.uniform(0.7, 1.4, (2, PAIRS)),
        rng.uniform(0.01, 0.08, PAIRS),
        0.3e-3,
        0.003,
    )
    singles = [tuple(float(np.broadcast_to(v, PAIRS)[i]) for v in part) for i in range(50)]
    took, many = best(lambda: solve_unequal(*part))
    print(f"unmatched pairs, floating, array of {PAIRS}     {1e6 * took / PAIRS:9.1f} us a pair")
    jig, _ = best(lambda: solve_unequal(*part, closure="jig"))
    print(f"unmatched pairs, jig, array of {PAIRS}          {1e6 * jig / PAIRS:9.1f} us a pair")
    one, _ = best(lambda: [solve_unequal(*s) for s in singles])
    print(f"unmatched pair, one at a time               {1e6 * one / 50:9.1f} us a pair")
    rival, offsets = best(lambda: [by_fsolve(s) for s in singles], 2)
    print(f"scipy fsolve, one at a time                 {1e6 * rival / 50:9.1f} us a pair")
    apart = np.max(np.abs(np.array(offsets) - many.rod_offset[:50]))
    print(f"largest difference of the rod offset        {apart:9.1e} m")
    diameters = np.linspace(0.012, 0.1, 200)
    took, _ = best(lambda: real_bend(0.225, 0.002, diameters, 13.0, 0.3e-3, 0.003, friction=0.3, land_spring=1e4))
    print(f"pair as built, array of 200                 {1e6 * took / 200:9.1f} us a pair")
    took, _ = best(lambda: real_bend(0.225, 0.002, 0.018, 13.0, 0.3e-3, 0.003, friction=0.3, land_spring=1e4))
    print(f"pair as built, alone                        {1e6 * took:9.1f} us")


if __name__ == "__main__":
    main()
