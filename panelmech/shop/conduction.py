"""Transient heat conduction through a row of layers in which one layer makes heat: finite volumes in one dimension.

    c dT/dt = x^-j d/dx(x^j k dT/dx) + heat x rate(T, cure) - 2 U (T - T_shop) / gap,    d(cure)/dt = rate(T, cure)

j = 0: between parallel faces, 1: round a cylinder's axis, 2: round a sphere's centre. The curing layer has `cells`
cells of equal width, each inert layer beside it some more, which widen away from it; conduction between neighbours
through both half widths in series (Patankar S.V. (1980) Numerical Heat Transfer and Fluid Flow, ch. 4; from memory),
so the scheme conserves heat and its error falls with the square of the width. Several depths are marched together as
one banded system with common time steps, by the stiff multistep method of LSODA. Left out: convection in the liquid,
change of properties with temperature, heat along the span. The temperature has no zero here, so a dimensionless
problem passes through as well.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
import scipy

from ..mechanics.numerics import read_row
from ..units import read_number

CELLS = 41  # of the curing layer; odd, so that one of them is the centre
LAYER_SHARE = 0.15  # cells of an inert layer over those of the curing one
WIDENING = 20.0  # widest over narrowest cell of an inert layer
MOST_STEPS = 20000
BAND = 3  # unknowns from a cell to the next
FACTOR_ROWS = BAND * (tuple(map(int, scipy.__version__.split(".")[:2])) < (1, 16))  # below the bands, for its factor
RISE_STEP, CURE_STEP = 1e-4, 1e-6  # K and -, for derivatives of the rate: the solver only steers by them


class Unconverged(ValueError):
    """The march in time did not end, or lost heat on its way: no numbers are given."""


@dataclass(frozen=True)
class Layer:
    """Inert stuff between the curing layer and the outside. ValueError for anything not positive and finite."""

    thickness: float  # m
    conductivity: float  # W/(m K)
    density: float  # kg/m3
    heat_capacity: float  # J/(kg K)

    def __post_init__(self):
        for item in fields(self):
            read_number(getattr(self, item.name), f"{item.name} of a layer", above=0.0, hint="in SI units")


@dataclass(frozen=True)
class Face:
    """One side of the curing layer. ValueError for a negative coefficient or nan."""

    coefficient: float  # heat to the shop per area and degree [W/(m2 K)]; 0: insulated, inf: held at the shop's (cold)
    layers: tuple = ()  # of Layer, from the resin outwards

    def __post_init__(self):
        words = "0: insulated, inf: held cold"
        read_number(self.coefficient, "heat transfer coefficient", "W/m2K", low=0.0, infinite=True, hint=words)
        object.__setattr__(self, "layers", tuple(self.layers))


INSULATED, COLD = Face(0.0), Face(np.inf)


@dataclass(frozen=True, eq=False)
class Grid:
    """Cells of one or more depths, the bottom (or centre) first; all per area of the plane x^j = 1."""

    volume: np.ndarray  # (depths, cells) [m3]
    capacity: np.ndarray  # (depths, cells) [J/K]
    conductance: np.ndarray  # (depths, cells + 1) [W/K] through each side of a cell, the two end ones to the shop
    side: np.ndarray  # (depths, cells) [W/K], lost sideways
    middle: np.ndarray  # (depths, cells) [m], from the start of the curing layer
    curing: slice  # of the cells that cure

    @cached_property
    def to_shop(self) -> np.ndarray:
        """Heat that each cell passes to the shop by itself (depths, cells) [W/K]: sideways and, at either end, through
        the face."""
        to_shop = self.side.copy()
        to_shop[:, 0] += self.conductance[:, 0]
        to_shop[:, -1] += self.conductance[:, -1]
        return to_shop


def build_grid(
    depths, conductivity, volume_capacity, bottom=INSULATED, top=INSULATED, side_loss=0.0, power=0, cells=CELLS
):
    """Grid of curing layers of these depths [m], (M,), between two faces.

    conductivity [W/(m K)] and volume_capacity [J/(m3 K)] of the curing layer; side_loss [W/(m3 K)]: heat lost sideways
    per volume and degree; power: j above, and with j > 0 the bottom is the axis or centre, which takes no layers.
    ValueError for a depth that is not positive, or too few cells.
    """
    depths = read_row(depths, "depths", "m", above=0.0)
    if cells < 5 or power not in (0, 1, 2):
        raise ValueError(f"{cells} cells, power {power}: give 5 cells or more and a power of 0, 1 or 2")
    if power and bottom.layers:
        raise ValueError("the axis of a round body has no layers: give them to the outer face")
    before, after = _layer_cells(bottom.layers, cells)[::-1], _layer_cells(top.layers, cells)
    curing = slice(len(before), len(before) + cells)
    own = (conductivity, volume_capacity)
    k, c = (np.concatenate([before[:, i], np.full(cells, own[i - 1]), after[:, i]]) for i in (1, 2))
    resin = np.repeat(depths[:, None] / cells, cells, axis=1)
    width = np.hstack([np.tile(before[:, 0], (len(depths), 1)), resin, np.tile(after[:, 0], (len(depths), 1))])
    walls = np.concatenate([np.zeros((len(depths), 1)), np.cumsum(width, axis=1)], axis=1)
    volume = np.diff(walls ** (power + 1), axis=1) / (power + 1)
    half = 0.5 * width / k
    through = np.concatenate(
        [half[:, :1] + _resistance(bottom), half[:, :-1] + half[:, 1:], half[:, -1:] + _resistance(top)], axis=1
    )
    side = np.zeros_like(volume)
    side[:, curing] = side_loss * volume[:, curing]
    middle = 0.5 * (walls[:, 1:] + walls[:, :-1]) - walls[:, curing.start : curing.start + 1]
    return Grid(volume, c * volume, walls**power / through, side, middle, curing)


def _layer_cells(layers, cells):
    """(width, conductivity, volumetric heat capacity) of each cell of the layers, from the resin outwards."""
    count = max(round(LAYER_SHARE * cells), 4)
    shares = WIDENING ** (np.arange(count) / (count - 1))
    rows = [
        (layer.thickness * share, layer.conductivity, layer.density * layer.heat_capacity)
        for layer in layers
        for share in shares / shares.sum()
    ]
    return np.array(rows, dtype=float).reshape(-1, 3)


def _resistance(face):
    return np.inf if face.coefficient == 0.0 else 1.0 / face.coefficient


def outflow(grid, rise):
    """(heat leaving each cell to its neighbours and the shop [W], of it to the shop [W]), shapes of rise [K above the
    shop]: (depths, cells)."""
    flow = grid.conductance[:, 1:-1] * (rise[:, :-1] - rise[:, 1:])
    shop = grid.to_shop * rise
    out = shop.copy()
    out[:, :-1] += flow
    out[:, 1:] -= flow
    return out, shop


@dataclass(frozen=True, eq=False)
class March:
    """Temperature and cure of all cells over time."""

    grid: Grid
    time: np.ndarray  # (times,) [s]
    rise: np.ndarray  # (times, depths, cells) [K above the shop]
    cure: np.ndarray  # (times, depths, curing cells) [-]
    heat_error: np.ndarray  # (depths,) [-]: heat made less heat kept and lost, over heat made


def march(grid, rate, heat, start, until, tolerance=1e-6, scale=1.0, stop_at=np.inf) -> March:
    """March a grid in time.

    rate(rise [K above the shop], cure) [1/s] of arrays (depths, curing cells); heat [J/m3] of the whole cure; start:
    rise at time zero, a number or an array (depths, all cells); until [s]. tolerance: relative, of each step; scale
    [K]: a temperature that counts, of which `tolerance` is the smallest change looked at. stop_at [K]: a rise at which
    to end early. Raises Unconverged where the method fails; the heat balance is reported, its judgement is the
    caller's.
    """
    problem = Problem(grid, rate, heat)
    small = np.broadcast_to(tolerance * np.array([scale, 0.1, scale]), problem.shape).ravel()
    first = np.zeros(problem.shape)
    first[..., 0] = start
    done = _solve(problem, first.ravel(), until, tolerance, small, _ceiling(problem.shape, stop_at))
    states = done.y.T.reshape((-1, *problem.shape))
    error = _heat_error(grid, problem.source, states)
    return March(grid, done.t, states[..., 0], states[:, :, grid.curing, 1], error)


class Problem:
    """What is marched: of each cell rise, cure and heat lost to the shop over the cell's heat capacity, one after the
    other, so that nothing hangs on what is further away than `BAND`."""

    def __init__(self, grid, rate, heat):
        self.grid, self.rate, self.shape = grid, rate, (*grid.volume.shape, 3)
        self.source = heat * grid.volume[:, grid.curing] / grid.capacity[:, grid.curing]
        self.conduction = _conduction(grid)

    def slope(self, _, flat):
        """Change in time of everything (N,)."""
        curing, state = self.grid.curing, flat.reshape(self.shape)
        change = np.zeros(self.shape)
        out, shop = outflow(self.grid, state[..., 0])
        speed = self.rate(state[:, curing, 0], state[:, curing, 1])
        change[..., 0] = -out / self.grid.capacity
        change[:, curing, 0] += self.source * speed
        change[:, curing, 1] = speed
        change[..., 2] = shop / self.grid.capacity
        return change.ravel()

    def bands(self, _, flat):
        """Its derivatives by everything (2 BAND + 1, N), that of i by j in row BAND + i - j, column j: of conduction
        as they are, of the rate by differences. LSODA of scipy before 1.16 wants rows for its factor below them."""
        curing, state = self.grid.curing, flat.reshape(self.shape)
        rise, cure = state[:, curing, 0], state[:, curing, 1]
        speed = self.rate(rise, cure)
        bands = self.conduction.copy()
        for place, step in ((0, (RISE_STEP, 0.0)), (1, (0.0, CURE_STEP))):
            gain = (self.rate(rise + step[0], cure + step[1]) - speed) / step[place]
            bands[BAND - place, :, curing, place] += self.source * gain
            bands[BAND + 1 - place, :, curing, place] += gain
        return np.pad(bands.reshape(2 * BAND + 1, -1), ((0, FACTOR_ROWS), (0, 0)))


def _conduction(grid):
    """The part of `Problem.bands` that does not change (2 BAND + 1, depths, cells, 3)."""
    bands = np.zeros((2 * BAND + 1, *grid.volume.shape, 3))
    between = grid.conductance[:, 1:-1]
    leaves = grid.to_shop.copy()
    leaves[:, :-1] += between
    leaves[:, 1:] += between
    bands[BAND, ..., 0] = -leaves / grid.capacity
    bands[0, :, 1:, 0] = between / grid.capacity[:, :-1]
    bands[2 * BAND, :, :-1, 0] = between / grid.capacity[:, 1:]
    bands[BAND + 2, ..., 0] = grid.to_shop / grid.capacity
    return bands


def _ceiling(shape, stop_at):
    if not np.isfinite(stop_at):
        return None

    def reached(_, flat):
        return stop_at - flat.reshape(shape)[..., 0].max()

    reached.terminal = True
    return reached


def _solve(problem, first, until, tolerance, small, event):
    read_number(until, "the time to march", "s", above=0.0)
    counted = _Counted(problem.slope)
    how = dict(method="LSODA", rtol=tolerance, atol=small, jac=problem.bands, lband=BAND, uband=BAND, events=event)
    with np.errstate(over="ignore", invalid="ignore"):
        done = scipy.integrate.solve_ivp(counted, (0.0, until), first, **how)
    if done.status < 0 or not np.all(np.isfinite(done.y)):
        raise Unconverged(
            f"the march in time failed at {done.t[-1]:.4g} s of {until:.4g} s ({done.message}); "
            "check rates, energies and depths, or give a shorter time"
        )
    return done


class _Counted:
    """The slope, with a ceiling on how often it is asked: a problem that never ends must not hang the panel."""

    def __init__(self, slope):
        self.slope, self.left = slope, 5 * MOST_STEPS

    def __call__(self, time, flat):
        self.left -= 1
        if self.left < 0:
            raise Unconverged(
                f"the march in time took over {5 * MOST_STEPS} evaluations, at {time:.4g} s; "
                "check rates, energies and depths"
            )
        return self.slope(time, flat)


def _heat_error(grid, source, states):
    made = np.sum(source * grid.capacity[:, grid.curing] * states[-1, :, grid.curing, 1], axis=1)
    kept = np.sum(grid.capacity * (states[-1, ..., 0] - states[0, ..., 0] + states[-1, ..., 2]), axis=1)
    size = np.where(made > 0.0, made, np.sum(grid.capacity * np.abs(states[0, ..., 0]), axis=1))
    return (kept - made) / np.where(size > 0.0, size, 1.0)
