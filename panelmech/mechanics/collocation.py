"""Gauss-Legendre collocation on a row of panels: integration, interpolation and extremes of smooth functions.

A function is known by its values at the Gauss-Legendre nodes of each panel. Panels have unit reference length;
the caller scales by the real panel lengths. A jump (a point load) goes on a panel border. Smooth functions
converge geometrically with the number of nodes. Left out: adaptive choice of the number of nodes.

Formulas derived here from the Legendre identity (2 k + 1) P_k = (P_{k+1} - P_{k-1})'.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from ..units import read_count
from .numerics import gauss


@dataclass(frozen=True, eq=False)
class Panels:
    """Operators on `count` panels of `order` nodes; size = order * count. All lengths in panel lengths.

    local: (size,) node place inside its own panel, 0..1.  panel: (size,) number of the panel.
    running: (size, size) integral from the first panel's start to each node, unit panels.
    total: (size,) integral over everything.  first: (size,) integral over the first panel only.
    coefficients: (order, order) node values of one panel to Legendre coefficients.
    taylor: (terms, samples, order) node values of one panel to Taylor coefficients at evenly spaced samples.
    """

    order: int
    count: int
    local: np.ndarray
    panel: np.ndarray
    running: np.ndarray
    total: np.ndarray
    first: np.ndarray
    coefficients: np.ndarray
    taylor: np.ndarray

    def series(self, values):
        """Legendre coefficients, shape (count, order), of node values of shape (size,)."""
        return np.reshape(values, (self.count, self.order)) @ self.coefficients.T

    def at(self, values, panel, local):
        """Value of the interpolant in one panel at local places 0..1 [scalar or array]."""
        return legendre.legval(2.0 * np.asarray(local) - 1.0, self.series(values)[panel])

    def tail(self, values):
        """Share of the last two Legendre coefficients in the largest: how well the nodes resolve the values [-]."""
        series = np.abs(self.series(values))
        return float(series[:, -2:].max() / max(series.max(), np.finfo(float).tiny))

    def extremes(self, table):
        """Largest absolute value of each row's interpolant over all panels. table: (rows, size) node values.

        Returns signed values, panel numbers and local places 0..1, each of shape (rows,). Every local peak of a fine
        sampling is refined on its Taylor polynomial (error below 1e-9 of the largest value).
        """
        nodes = np.reshape(table, (len(table), self.count, self.order))
        sampled = nodes @ self.taylor[0].T
        size = np.full((*sampled.shape[:2], sampled.shape[2] + 2), -1.0)
        size[..., 1:-1] = np.abs(sampled)
        row, panel, sample = np.nonzero((size[..., 1:-1] >= size[..., :-2]) & (size[..., 1:-1] >= size[..., 2:]))
        series = np.einsum("kcn,cn->kc", self.taylor[:, sample], nodes[row, panel])
        last = sampled.shape[2] - 1
        step = _peak_step(series, sample, last)
        peaks = _horner(series, step)
        best = [mine[np.argmax(np.abs(peaks[mine]))] for mine in (np.flatnonzero(row == k) for k in range(len(table)))]
        return peaks[best], panel[best], sample[best] / last + step[best]


def _horner(series, step):
    """Polynomials with coefficients series[k] (lowest first), each at its own place."""
    value = series[-1]
    for row in series[-2::-1]:
        value = value * step + row
    return value


def _peak_step(series, sample, last):
    """Step from a sampled peak to the true one by Newton's method on the Taylor polynomial, kept on the panel."""
    low, high = np.where(sample == 0, 0.0, -1.0 / last), np.where(sample == last, 0.0, 1.0 / last)
    slope = series[1:] * np.arange(1, len(series))[:, None]
    bend = slope[1:] * np.arange(1, len(slope))[:, None]
    step = np.zeros(len(sample))
    for _ in range(4):
        rise, turn = _horner(slope, step), _horner(bend, step)
        flat = turn * series[0] >= 0.0  # not a peak of the absolute value: stay at the sample
        step = np.where(flat, step, np.clip(step - rise / np.where(flat, 1.0, turn), low, high))
    return step


def _taylor(to_series, samples=65, terms=6):
    """Node values of one panel to Taylor coefficients in the local place at evenly spaced samples."""
    places, rows, factor = np.linspace(-1.0, 1.0, samples), to_series, 1.0
    out = [legendre.legvander(places, len(rows) - 1) @ rows]
    for term in range(1, terms):
        rows, factor = legendre.legder(rows), factor * 2.0 / term
        out.append(factor * legendre.legvander(places, len(rows) - 1) @ rows)
    return np.stack(out)


@lru_cache(maxsize=32)
def panels(order, count=1):
    """Operators for `count` panels of `order` Gauss-Legendre nodes each (order >= 6). Cached."""
    nodes, weights = gauss(read_count(order, "nodes a panel", 6))
    degree = np.arange(order)
    to_series = (degree + 0.5)[:, None] * legendre.legvander(nodes, order - 1).T * weights
    upper = legendre.legvander(nodes, order)
    integrals = np.column_stack([nodes + 1.0, (upper[:, 2:] - upper[:, :-2]) / (2 * degree[1:] + 1)])
    inside = 0.5 * integrals @ to_series
    before = np.tril(np.ones((count, count)), -1)
    running = np.kron(np.eye(count), inside) + np.kron(before, np.tile(0.5 * weights, (order, 1)))
    total = np.tile(0.5 * weights, count)
    number = np.repeat(np.arange(count), order)
    return Panels(
        order,
        count,
        np.tile(0.5 * (nodes + 1.0), count),
        number,
        running,
        total,
        np.where(number == 0, total, 0.0),
        to_series,
        _taylor(to_series),
    )
