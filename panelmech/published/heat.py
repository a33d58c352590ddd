"""Heat of a pour: conduction without reaction, thermal runaway, and the rate of cure.

Bodies are slabs of half thickness one, cylinders and spheres of radius one, all constants one, on the grid that a pour
is worked out with.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import scipy

from ..shop.conduction import COLD, INSULATED, Face, build_grid, march, outflow
from ..shop.cure import ILLUSTRATIVE
from ..shop.heat import Pour, pour_heat
from .case import FORMULA, MEMORY, OWN, READ, Case, listed

TIME = 0.1  # of radius² over diffusivity
BODIES = {"slab": 0, "cylinder": 1, "sphere": 2}
CELLS = 101
# film of this Biot number: first root of the series, and its factor in the centre
FIRST_TERMS = {"slab": (1.0, 0.8603, 1.1191), "cylinder": (1.0, 1.2558, 1.2071), "sphere": (1.0, 1.5708, 1.2732)}
CRITICAL = {"slab": 0.88, "cylinder": 2.0, "sphere": 3.32}  # greatest heat that settles
CENTRES = {"slab": 1.19, "cylinder": 1.39, "sphere": 1.61}  # rise in the centre then
FIXED = replace(
    ILLUSTRATIVE, rate_plain=2e-5, rate_auto=6e-4, order_auto=1.0, order_left=1.0, energy_plain=0.0, energy_auto=0.0
)


def body(shape, top=COLD, cells=CELLS):
    """Grid of a slab, cylinder or sphere."""
    return build_grid(1.0, 1.0, 1.0, INSULATED, top, power=BODIES[shape], cells=cells)


@cache
def cooled(shape, biot=np.inf, until=TIME):
    """(middles of the cells, rise there) of a body that was one degree warm all over; `biot` of its film."""
    grid = body(shape, Face(biot) if np.isfinite(biot) else COLD)
    done = march(grid, lambda rise, cure: np.zeros_like(cure), 0.0, 1.0, until, 1e-9)
    return grid.middle[0], done.rise[-1, 0]


def series(shape, place, time=TIME):
    """Rise of the body whose face is held cold, by the series of Carslaw and Jaeger, at places 0 to 1."""
    n, place = np.arange(60), np.asarray(place, dtype=float)[..., None]
    if shape == "cylinder":
        a = scipy.special.jn_zeros(0, 60)
        parts = 2.0 * scipy.special.j0(a * place) / (a * scipy.special.j1(a))
    elif shape == "slab":
        a = (n + 0.5) * np.pi
        parts = 2.0 * (-1.0) ** n / a * np.cos(a * place)
    else:
        a = (n + 1) * np.pi
        parts = 2.0 * (-1.0) ** n * np.sinc(a * place / np.pi)
    return np.sum(parts * np.exp(-(a**2) * time), axis=-1)


def film_series(place, biot, time=TIME):
    """Rise of the slab that loses heat through a film, by its series, at places 0 to 1."""
    roots = [
        scipy.optimize.brentq(lambda b: b * np.sin(b) - biot * np.cos(b), n * np.pi, (n + 0.5) * np.pi)
        for n in range(60)
    ]
    a = np.array(roots)
    parts = 2.0 * np.sin(a) / (a + np.sin(a) * np.cos(a)) * np.cos(a * np.asarray(place, dtype=float)[..., None])
    return np.sum(parts * np.exp(-(a**2) * time), axis=-1)


def at(shape, cell, biot=np.inf):
    """(place, rise) of one cell of the cooled body."""
    place, rise = cooled(shape, biot)
    return float(place[cell]), float(rise[cell])


def first_term(shape):
    """(root, factor in the centre) of the first term of the cooling series through a film, from two times."""
    biot = FIRST_TERMS[shape][0]
    early, late = (cooled(shape, biot, t)[1][0] for t in (1.0, 2.0))
    root = np.sqrt(np.log(early / late))
    place = cooled(shape, biot)[0][0]
    spread = {"slab": np.cos, "cylinder": scipy.special.j0, "sphere": lambda v: np.sinc(v / np.pi)}[shape](root * place)
    return float(root), float(early * np.exp(root**2) / spread)


# ----- thermal runaway: the steady state of conduction with heat delta exp(theta)


def steady_heat(centre, shape, cells=CELLS):
    """delta of the steady state whose centre has this theta, by Newton's method on all cells and delta."""
    grid, matrix = _operator(shape, cells)
    volume = grid.volume[0]
    theta, delta = centre * (1.0 - grid.middle[0] ** 2), 1.0
    jacobian = np.zeros((cells + 1, cells + 1))
    for _ in range(60):
        rate = volume * np.exp(theta)
        residual = np.append(matrix @ theta - delta * rate, theta[0] - centre)
        jacobian[:cells, :cells] = matrix - delta * np.diag(rate)
        jacobian[:cells, cells] = -rate
        jacobian[cells, 0] = 1.0
        step = np.linalg.solve(jacobian, -residual)
        theta, delta = theta + step[:cells], delta + step[cells]
        if np.abs(step).max() < 1e-12:
            return float(delta)
    raise ValueError(f"no steady state found for a centre of {centre:.4g}")


@cache
def _operator(shape, cells):
    """The grid, and conduction on it as a matrix: what leaves each cell for a unit rise of one."""
    grid = body(shape, cells=cells)
    names = ("volume", "capacity", "conductance", "side", "middle")
    many = replace(grid, **{name: np.repeat(getattr(grid, name), cells, axis=0) for name in names})
    return grid, outflow(many, np.eye(cells))[0].T


@cache
def critical(shape, cells=CELLS):
    """(greatest delta of a steady state, theta in its centre)."""
    best = scipy.optimize.minimize_scalar(
        lambda centre: -steady_heat(centre, shape, cells), bounds=(0.8, 2.2), method="bounded", options={"xatol": 1e-8}
    )
    return float(-best.fun), float(best.x)


# ----- rate of cure


def closed_form_cure(time):
    """Cure of `FIXED` after a time [s] at a held temperature: the rate integrates for orders of one."""
    fall = np.exp(-(FIXED.rate_plain + FIXED.rate_auto) * np.asarray(time, dtype=float))
    return (1.0 - fall) / (1.0 + FIXED.rate_auto / FIXED.rate_plain * fall)


def speed_up(energy):
    """Rate at 30 °C over that at 20 °C, for one activation energy [J/mol]."""
    own = replace(ILLUSTRATIVE, energy_plain=energy, energy_auto=energy)
    plain, _ = own.constants(np.array([293.15, 303.15]))
    return float(plain[1] / plain[0])


def _cooling():
    why = "error of the grid, 101 cells"
    for shape, place in (("slab", "art. 3.3"), ("cylinder", "art. 7.6"), ("sphere", "art. 9.3")):
        rows = [
            (
                f"{shape.capitalize()}, face cold: share of the warmth left {where}",
                lambda s=shape, c=cell: series(s, at(s, c)[0]),
                lambda s=shape, c=cell: at(s, c)[1],
            )
            for where, cell in (("in the centre", 0), ("half way out", 50))
        ]
        yield from listed("Carslaw & Jaeger 1959", place, FORMULA, 5e-5, why, rows)
    film = [
        (
            "Slab, film of Biot number 2: left in the centre",
            lambda: film_series(at("slab", 0, 2.0)[0], 2.0),
            lambda: at("slab", 0, 2.0)[1],
        )
    ]
    yield from listed("Carslaw & Jaeger 1959", "art. 3.11", FORMULA, 5e-5, why, film)
    why = "printed to 4 decimals; error of the grid"
    rows = [
        (f"{shape.capitalize()}, film of Biot number {biot:g}: {name}", value, lambda s=shape, i=i: first_term(s)[i])
        for shape, (biot, *values) in FIRST_TERMS.items()
        for i, (name, value) in enumerate(zip(("first root", "factor in the centre"), values, strict=True))
    ]
    yield from listed("Incropera & DeWitt", "Table 5.1", MEMORY, 1.2e-4, why, rows, absolute=True)


def _runaway():
    rows = [(f"{s.capitalize()}: greatest heat δ", delta, lambda s=s: critical(s)[0]) for s, delta in CRITICAL.items()]
    yield from listed(
        "Frank-Kamenetskii 1938", "critical δ", READ, 0.0055, "printed to 2 decimals", rows, absolute=True
    )
    rows = [
        (f"{s.capitalize()}: rise in the centre θ", theta, lambda s=s: critical(s)[1]) for s, theta in CENTRES.items()
    ]
    yield from listed("Chambré 1952", "θ in the centre", MEMORY, 0.0055, "printed to 2 decimals", rows, absolute=True)


def _cure():
    rows = [
        (
            f"Orders of one: cure after {hours:g} h",
            float(closed_form_cure(3600 * hours)),
            lambda h=hours: FIXED.cure_after(3600 * h, 300.0),
        )
        for hours in (0.5, 1.0, 2.0, 4.0)
    ]
    yield from listed("Sourour & Kamal 1976", "the rate, integrated", FORMULA, 1e-8, "error of the quadrature", rows)
    rows = [
        (
            f"{energy} kJ/mol: rate at 30 °C over that at 20 °C",
            _arrhenius(1e3 * energy),
            lambda e=1e3 * energy: speed_up(e),
        )
        for energy in (44, 57)
    ]
    yield from listed("Barral 1995", "activation energies", FORMULA, 1e-6, "the gas constant's last digit", rows)


def _arrhenius(energy):
    return float(np.exp(energy / 8.314462618 * (1.0 / 293.15 - 1.0 / 303.15)))


CASES: tuple[Case, ...] = (*_cooling(), *_runaway(), *_cure())


# ----- cross-checks


@cache
def _alone():
    """Time at which half is cured [s] of a pour that keeps all its heat, as one cell by another integrator."""
    own = ILLUSTRATIVE
    done = scipy.integrate.solve_ivp(
        lambda _, a: own.rate(295.15 + own.adiabatic_rise * a, a),
        (0.0, 2e4),
        [0.0],
        method="DOP853",
        rtol=1e-10,
        atol=1e-12,
        events=lambda _, a: a[0] - 0.5,
    )
    return float(done.t_events[0][0])


def kept_heat(kinetics, depth, start=295.15, until=None):
    """`PourHeat` of a pour of this depth [m] from which no heat escapes, from `start` [K]."""
    return pour_heat(Pour(kinetics, start, bottom=INSULATED, top=INSULATED), depth, until)


@cache
def _insulated():
    heat = kept_heat(ILLUSTRATIVE, 12e-3, until=2e4)
    return float(np.interp(0.5, heat.centre_cure[:, 0], heat.time))


def _own():
    yield from listed(
        "",
        "one cell, Runge-Kutta of eighth order",
        OWN,
        5e-4,
        "read between the steps of the march",
        [("Pour that keeps its heat: half cured after, s", _alone, _insulated)],
    )
    yield from listed(
        "",
        "closed form, 2 c²/cosh² c with c tanh c = 1",
        OWN,
        5e-5,
        "error of the grid, 101 cells",
        [("Slab: greatest heat δ", 0.8784576798, lambda: critical("slab")[0])],
    )


OWN_CASES: tuple[Case, ...] = tuple(_own())
