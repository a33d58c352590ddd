"""A second road to the large deflection of a framed sheet: a unit width of it, as a shallow arch that stretches.

A sheet whose frames are free, without Poisson's ratio, bends as an arch over its length: w(x) alone, one force N along
it (tension positive), w positive towards the centre of curvature. From the same strains, by hand:

    D w'''' - N w'' = q + kappa N        N (L/EA + 1/k) = integral of w'^2/2 - kappa w

with k the spring of one end per metre of width, infinite where both are held. Nothing of the package is used. For
supported ends and even curvature w is a sine series and q follows from N in closed form; else w is
found by collocation, and N as the root of the second equation.
"""

import numpy as np
from numpy.polynomial import chebyshev
from scipy.optimize import brentq, minimize_scalar

TERMS = np.arange(1, 4001, 2)


def supported(force, bending, stretching, length, kappa, spring=np.inf):
    """(q, w in the middle) of an arch with supported ends and even curvature that carries the force N: the two states
    there are, the smaller w first; nan where there is none."""
    k = TERMS * np.pi / length
    unit = 4.0 / (np.pi * TERMS) / (bending * k**4 + force * k**2)  # amplitudes of w over q + kappa N
    slopes, area = 0.25 * length * np.sum((k * unit) ** 2), np.sum(2.0 * unit / k)
    give = length / stretching + 1.0 / spring
    middle = np.sum(unit * np.sin(0.5 * np.pi * TERMS))
    inside = (kappa * area) ** 2 + 4.0 * slopes * give * force
    root = np.sqrt(inside) if inside >= 0.0 else np.nan
    loads = (kappa * area + np.array([-1.0, 1.0]) * root) / (2.0 * slopes)
    return sorted(((load - kappa * force, load * middle) for load in loads), key=lambda state: state[1])


def limit(bending, stretching, length, kappa, steps=300):
    """q where it first turns back from rest, N falling with the smaller w, then rising with the larger."""
    euler = bending * (np.pi / length) ** 2
    forces = -euler * np.linspace(1e-6, 9.0, steps)
    found = np.array([[state[0] for state in supported(n, bending, stretching, length, kappa)] for n in forces])
    there = np.isfinite(found[:, 0])
    forces, found = forces[there], found[there]
    along = np.concatenate([found[:, 0], found[::-1, 1]])
    first = int(np.flatnonzero(np.diff(along) < 0.0)[0])
    which, n = divmod(first, len(forces))
    n = len(forces) - 1 - n if which else n
    ends = sorted((forces[max(n - 1, 0)], forces[min(n + 1, len(forces) - 1)]))
    best = minimize_scalar(
        lambda force: -supported(force, bending, stretching, length, kappa)[which][0],
        bounds=ends,
        method="bounded",
        options={"xatol": 1e-13 * euler},
    )
    return -best.fun, best.x


def by_collocation(pressure, bending, stretching, length, kappa, clamped=(True, False), spring=np.inf, count=40):
    """(x, w at 41 places, N) under a pressure: the state nearest to rest, N searched from zero in small steps.

    kappa : function of x. Ends clamped or supported. For a given N the equation is linear: w is a Chebyshev series that
    meets it at as many points as it has terms, but four, which are for the ends.
    """
    give = length / stretching + 1.0 / spring
    inner = np.cos(np.pi * (np.arange(count - 4) + 0.5) / (count - 4))
    here = 0.5 * length * (1.0 + inner)
    rule, weights = np.polynomial.legendre.leggauss(count)
    bow, places = kappa(0.5 * length * (1.0 + rule)), np.linspace(-1.0, 1.0, 41)

    def table(points, order):
        rows = chebyshev.chebder(np.eye(count), order) if order else np.eye(count)
        return (2.0 / length) ** order * chebyshev.chebval(points, rows).T

    slope, value, second, fourth = table(rule, 1), table(rule, 0), table(inner, 2), table(inner, 4)
    ends = np.array([table(e, d) for e, d in ((-1.0, 0), (1.0, 0), (-1.0, 2 - clamped[0]), (1.0, 2 - clamped[1]))])

    def series(force):
        matrix = np.vstack([bending * fourth - force * second, ends])
        return np.linalg.solve(matrix, np.append(pressure + kappa(here) * force, np.zeros(4)))

    def miss(force):
        c = series(force)
        stretch = 0.5 * length * weights @ (0.5 * (slope @ c) ** 2 - bow * (value @ c))
        return force * give - stretch

    step = np.sign(miss(0.0)) * -0.02 * bending * (np.pi / length) ** 2
    force = 0.0
    while miss(force + step) * miss(0.0) > 0.0:
        force += step
    force = brentq(miss, force, force + step, xtol=1e-13 * abs(step))
    return 0.5 * length * (1.0 + places), table(places, 0) @ series(force), force
