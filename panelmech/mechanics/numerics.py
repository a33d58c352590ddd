"""Numerical tools that the solvers share: rules of integration, arrays solved in chunks, many cases brought to a goal.

Nothing here knows of sheets, loads or materials.
"""

from dataclasses import fields, replace
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from ..units import read_array, read_number


@lru_cache(maxsize=64)
def gauss(count):
    """Gauss-Legendre nodes and weights on [-1, 1], each of shape (count,)."""
    return legendre.leggauss(count)


def gauss_unit(count):
    """Gauss-Legendre nodes and weights on 0..1, each of shape (count,)."""
    nodes, weights = gauss(count)
    return 0.5 * (nodes + 1.0), 0.5 * weights


def gauss_places(borders, count):
    """Nodes and weights of Gauss's rule of so many nodes on every piece between rising borders, in their unit."""
    nodes, weights = gauss(count)
    start, length = np.asarray(borders)[:-1, None], np.diff(borders)[:, None]
    return (start + 0.5 * length * (nodes + 1.0)).ravel(), (0.5 * length * weights).ravel()


def chebyshev(count: int):
    """Spectral collocation on 0..1: points, first and second derivative matrices (Trefethen, Spectral Methods in
    MATLAB, ch. 6), weights of the integral over 0..1, and the matrix of the integrals from 0 to each point."""
    x = np.cos(np.pi * np.arange(count, -1, -1) / count)
    ends = (np.arange(count + 1) == 0) | (np.arange(count + 1) == count)
    c = np.where(ends, 2.0, 1.0) * (-1.0) ** np.arange(count + 1)
    first = np.outer(c, 1.0 / c) / (x[:, None] - x[None, :] + np.eye(count + 1))
    first -= np.diag(first.sum(axis=1))
    first *= 2.0
    basis = np.polynomial.chebyshev.chebvander(x, count)
    series = np.polynomial.chebyshev.chebint(np.eye(count + 1), lbnd=-1.0, axis=0)
    cumulative = 0.5 * np.polynomial.chebyshev.chebval(x, series).T @ np.linalg.inv(basis)
    return 0.5 * (x + 1.0), first, first @ first, cumulative[-1], cumulative


def taken(record, where, but=()):
    """A record of arrays with each of them at `where` alone; numbers, those named in `but` and whatever else it holds
    as they are."""
    held = ((f.name, getattr(record, f.name)) for f in fields(record) if f.name not in but)
    return replace(record, **{name: v[where] for name, v in held if isinstance(v, np.ndarray) and v.ndim})


def plain(value):
    """A value without axes as a float, int or bool of Python, an array as it is."""
    if type(value) is float:
        return value
    return np.asarray(value).item() if np.ndim(value) == 0 else value


ANY_NUMBER = dict(low=-np.inf, high=np.inf, nan=True, infinite=True)  # where a code tells what is no good


def read_together(given: dict, **ends) -> list:
    """Numbers and arrays that go together, as floats and arrays of floats in the order given.

    given : {name: (value, unit)}, or (value, unit, ends of its own); `ends` hold for the others, as of `read_array`
    ValueError as of `read_array`, and for shapes that do not broadcast.
    """
    read = []
    for name, (value, unit, *own) in given.items():
        reader = read_number if type(value) is float else read_array  # the quick one, of what most calls give
        read.append(plain(reader(value, name, unit, **(own[0] if own else ends))))
    try:
        np.broadcast_shapes(*map(np.shape, read))
    except ValueError:
        shapes = ", ".join(f"{name} of shape {np.shape(value)}" for name, value in zip(given, read, strict=True))
        raise ValueError(f"{shapes} do not go together: give numbers, or arrays of one shape") from None
    return read


def read_row(values, name: str, unit: str = "", *ends, **more) -> np.ndarray:
    """One number, or a list of them, as an array of one axis; else as `units.read_array`."""
    return read_array(np.atleast_1d(read_array(values, name, unit, *ends, **more)), name, unit, axes=1, **more)


def in_chunks(solve, arrays, size):
    """Results of `solve(*arrays)` for arrays that broadcast, flat and `size` numbers at a time: its working arrays then
    stay in the processor's cache. `solve` returns arrays whose first axis is that of its arguments; here that axis
    becomes the broadcast shape. A list of new arrays."""
    arrays = np.broadcast_arrays(*arrays)
    shape, count = arrays[0].shape, arrays[0].size
    flat = [a.ravel() if a.flags.c_contiguous else a.flat for a in arrays]
    parts = [solve(*(f[start : start + size] for f in flat)) for start in range(0, max(count, 1), size)]
    columns = (np.concatenate(column) for column in zip(*parts, strict=True))
    return [column.reshape(shape + column.shape[1:]) for column in columns]


def continuation(solve, state, most=10_000):
    """Bring states to a goal in steps, each from the last state; half the step where `solve` does not arrive.

    Parameters
    ----------
    solve : callable
        solve(states, share, which): states of the cases `which` with this share (0 to 1, one each) of the way to the
        goal, from their last states, and which of them are good.
    state : array (unknowns, cases)
        To start from; nan where there is nothing to start from. Changed in place.
    most : int
        Number of steps after which the rest is given up, as is a case whose step falls to a thousandth of the way.

    Returns
    -------
    array (unknowns, cases); nan for cases that never arrive.
    """
    done, step = np.zeros(state.shape[1]), np.ones(state.shape[1])
    todo = np.flatnonzero(np.isfinite(state[0]))
    for _ in range(most):
        if not todo.size:
            break
        share = np.minimum(done[todo] + step[todo], 1.0)
        trial, good = solve(state[:, todo], share, todo)
        state[:, todo[good]], done[todo[good]] = trial[:, good], share[good]
        step[todo[~good]] *= 0.5
        todo = todo[(done[todo] < 1.0) & (step[todo] > 1e-3)]
    state[:, done < 1.0] = np.nan
    return state


def newton(move, goes_on, state, most):
    """Newton's method for many cases at once, each for as long as it goes on: the last states (unknowns, cases).

    move(states, which): what is to be taken off the states of the cases `which`; goes_on(states, moved): whether a case
    is still to be improved after that (False for nan). The caller judges what came out.
    """
    state, left = state.copy(), np.arange(state.shape[1])
    for _ in range(most):
        moved = move(state[:, left], left)
        state[:, left] -= moved
        left = left[goes_on(state[:, left], moved)]
        if not left.size:
            break
    return state


def positive_stiffness(value):
    """The bending stiffness as a float [N m]; ValueError unless it is one positive number."""
    return read_number(value, "bending_stiffness", "N m", above=0.0, hint="per metre of span")
