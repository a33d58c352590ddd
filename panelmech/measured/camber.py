"""Camber of a pair whose sheets differ: a map over the differences of thickness and modulus, and a tolerance on it.

Differences are relative to the mean: (t1 - t2)/t and (E1 - E2)/E, t and E those of the design, so that sheet 1 has
t (1 + d/2) and sheet 2 t (1 - d/2). The rod floats. Positive camber bends the blade's nose towards sheet 1; the sheet
of greater bending stiffness pushes the nose away from itself. Exact unequal bend (`unequal`); what the bow of the
sheets adds is worked out exactly at a few places and in between by polynomials (`BowEffect`). Left out: friction, a
land that turns.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.numerics import read_row
from ..mechanics.unequal import UnequalBend, solve_unequal
from ..mechanics.unequal_bow import solve_bowed
from ..study.design import Design
from ..units import read_array, read_number
from .land import stiffness_of

STATIONS = 201
NODES = 6  # Chebyshev points of each range between which the effect of a bow is interpolated
REACH = 1.6  # of the logarithm of the modulus ratio, in search of a tolerance line with bows
_STEPS = 12  # of the secant method along a tolerance line; it ends by itself
_MISS = 1e-9  # of the tolerance [-]
_NOTHING = 1e-13  # of the chord: rounding, no camber


FLAT = (0.0, 0.0)


def pair_bend(design: Design, thickness_1, thickness_2, stiffness_1, stiffness_2, bows=FLAT, **more) -> UnequalBend:
    """Exact bend of two sheets of a design with thickness [m], bending stiffness [N m] and bow [1/m] of their own,
    floats or arrays; `more` as for `solve_unequal` (closure, land slopes)."""
    sheets = thickness_1, thickness_2, stiffness_1, stiffness_2
    given = design.free_length, *sheets, design.spacer_diameter, design.bond_line, design.setback
    if any(np.any(bow) for bow in bows):
        return solve_bowed(*given, bow_1=bows[0], bow_2=bows[1], **more)
    return solve_unequal(*given, **more)


@dataclass(frozen=True, eq=False)
class CamberMap:
    """Camber over thickness difference (axis 0) and modulus difference (axis 1), both relative [-].

    nan where there is none.

    Attributes
    ----------
    thickness_difference, modulus_difference : the axes [-]
    camber : offset of the mean line, at the front edge, from the chord line through the middle of the bond line,
        positive towards sheet 1 [m]
    largest_offset, where : of the mean line anywhere, and its place along the chord from the land end [m]: the front
        edge, but for pairs with next to no camber, whose mid-surfaces start a quarter of the difference of thickness
        off the middle of the bond line
    sagitta, sagitta_where : largest offset from the straight line between the mean line's own ends, its place [m]
    first_order : the rod's offset by small deflections [m]
    stiffness_ratio : D1/D2 [-]
    pairs : the exact bends, without bows
    """

    thickness_difference: np.ndarray
    modulus_difference: np.ndarray
    camber: np.ndarray
    largest_offset: np.ndarray
    where: np.ndarray
    sagitta: np.ndarray
    sagitta_where: np.ndarray
    first_order: np.ndarray
    stiffness_ratio: np.ndarray
    pairs: UnequalBend


class BowEffect:
    """What the bows of both sheets [1/m] add to the mean line, over ranges of thickness difference and of the logarithm
    of the modulus ratio.

    Exact at `NODES` Chebyshev points of each range, between them by polynomials: within 1e-3 of the greatest effect up
    to ranges of +-0.8 and +-1.4, 1e-5 up to +-0.3 and +-0.5 (tests). Where one of these pairs cannot be bent, every
    effect asked for is worked out exactly.
    """

    def __init__(self, design, bows, thick_range, log_range, stations=STATIONS):
        self.design, self.bows, self.stations, self.ranges = design, bows, stations, (thick_range, log_range)
        self.none = not any(bows)
        if not self.none:
            self.places = [_nodes(*ends) for ends in self.ranges]
            values = self._exact(self.places[0][:, None], self.places[1][None, :])
            self.smooth, self.values = bool(np.all(np.isfinite(values))), values

    def __call__(self, thick, log_modulus):
        """x and y to be added at the stations [m]: (2, *shape of the differences, stations)."""
        thick, log_modulus = np.broadcast_arrays(thick, log_modulus)
        if self.none:
            return np.zeros((2, *thick.shape, 1))
        if not self.smooth:
            return self._exact(thick, log_modulus)
        first, second = (_lagrange(p, v.ravel()) for p, v in zip(self.places, (thick, log_modulus), strict=True))
        added = np.einsum("pi,pj,kijs->kps", first, second, self.values, optimize=True)
        return added.reshape(2, *thick.shape, -1)

    def _exact(self, thick, log_modulus):
        ways = (_pairs(self.design, thick, 2.0 * np.tanh(0.5 * log_modulus), bows)[0] for bows in (self.bows, FLAT))
        bowed, flat = (np.array(pair.camber(self.stations)) for pair in ways)
        return bowed - flat


def _nodes(low, high):
    wide = max(high - low, 1e-3)
    return 0.5 * (low + high) + 0.5 * wide * np.cos(np.pi * (np.arange(NODES) + 0.5) / NODES)


def _lagrange(nodes, places):
    """Weights of the values at the nodes for each place, (places, nodes)."""
    gaps = nodes[:, None] - nodes[None, :] + np.eye(len(nodes))
    above = (places[:, None, None] - nodes[None, None, :]) / gaps[None]
    return np.prod(np.where(np.eye(len(nodes), dtype=bool), 1.0, above), axis=-1)


def camber_map(design: Design, thickness_differences, modulus_differences, bows=FLAT) -> CamberMap:
    """Camber of a design's blade for all combinations of the differences.

    Parameters
    ----------
    design : Design
    thickness_differences, modulus_differences : one-dimensional arrays
        (first - second) / mean [-], each between -2 and 2, not included.
    bows : (float, float)
        Curvature of both sheets before bending, away from the chord line positive [1/m].

    Returns
    -------
    CamberMap
        Arrays of shape (thickness differences, modulus differences).
    """
    thick, modulus = (_axis(v, n) for v, n in ((thickness_differences, "thickness"), (modulus_differences, "modulus")))
    pairs, ratio = _pairs(design, thick[:, None], modulus[None, :])
    logs = 2.0 * np.arctanh(0.5 * modulus)
    add = BowEffect(design, bows, _ends(thick), _ends(logs))(thick[:, None], logs[None, :])
    x, y = (v + more for v, more in zip(pairs.camber(STATIONS), add, strict=True))
    largest, where = _largest(x, y)
    run = (x - x[..., :1]) / (x[..., -1:] - x[..., :1])
    sagitta, sagitta_where = _largest(x, y - y[..., :1] - run * (y[..., -1:] - y[..., :1]))
    first = first_order_offset(design, ratio)
    return CamberMap(thick, modulus, y[..., -1], largest, where, sagitta, sagitta_where, first, ratio, pairs)


def first_order_offset(design: Design, stiffness_ratio):
    """Offset of the rod's centre by small deflections [m]: -(R - g/2)(D1 - D2)/(D1 + D2), positive towards sheet 1."""
    ratio = read_array(stiffness_ratio, "stiffness ratio", above=0.0)
    return -0.5 * (design.spacer_diameter - design.bond_line) * (ratio - 1.0) / (ratio + 1.0)


@dataclass(frozen=True, eq=False)
class ToleranceLine:
    """Where the camber reaches a tolerance [m].

    For each `thickness_difference` the modulus differences `low` and `high` between which the camber stays within it
    [-]; nan where the tolerance is not reached by any pair that can be bent.
    """

    tolerance: float
    thickness_difference: np.ndarray
    low: np.ndarray
    high: np.ndarray


def _ends(values):
    return float(np.min(values)), float(np.max(values))


def tolerance_line(design: Design, thickness_differences, tolerance: float, bows=FLAT) -> ToleranceLine:
    """Both lines of a tolerance on the map of `camber_map`; tolerance on the mean line's offset at the front edge [m].

    Secant method on the logarithm of the ratio of the moduli, first over second, from the first-order line, all
    thickness differences at once. `bows` as for `camber_map`, their effect as of `BowEffect`; with them a line beyond a
    modulus ratio of e^`REACH` is nan.
    """
    tolerance = read_number(tolerance, "tolerance", "mm", above=0.0)
    thick = _axis(thickness_differences, "thickness")
    # a first sheet of greater bending stiffness makes the camber negative: the low line is where it is + tolerance
    added = BowEffect(design, bows, _ends(thick), (-REACH, REACH), 2)
    low, high = (_line(design, thick, goal, added) for goal in (tolerance, -tolerance))
    return ToleranceLine(tolerance, thick, low, high)


def _line(design, thick, goal, added):
    opening = 0.5 * (design.spacer_diameter - design.bond_line)
    own = -3.0 * np.log((2.0 + thick) / (2.0 - thick))  # log of the modulus ratio that makes the stiffnesses alike
    share = np.clip(-goal / opening, -0.99, 0.99)
    log = own + 2.0 * np.arctanh(share) * np.array([[0.9], [1.0]])
    miss = np.array([_front(design, thick, row, added) - goal for row in log])
    for _ in range(_STEPS):
        with np.errstate(all="ignore"):
            step = miss[1] * (log[1] - log[0]) / (miss[1] - miss[0])
        going = np.isfinite(step) & (np.abs(miss[1]) > 0.1 * _MISS * abs(goal))
        if not going.any():
            break
        trial = np.where(going, log[1] - np.clip(step, -1.0, 1.0), log[1])
        log = np.where(going, np.array([log[1], trial]), log)
        miss = np.where(going, np.array([miss[1], _front(design, thick, trial, added) - goal]), miss)
    found = (np.abs(miss[1]) < _MISS * abs(goal)) & (added.none | (np.abs(log[1]) <= REACH))
    return np.where(found, 2.0 * np.tanh(0.5 * log[1]), np.nan)


def _front(design, thick, log_modulus, added):
    """Offset of the mean line at the front edge [m]."""
    pairs, _ = _pairs(design, thick, 2.0 * np.tanh(0.5 * log_modulus))
    return pairs.camber(2)[1][..., -1] + added(thick, log_modulus)[1][..., -1]


def _pairs(design, thick, modulus, bows=FLAT):
    factors = [(1.0 + 0.5 * sign * thick, 1.0 + 0.5 * sign * modulus) for sign in (1.0, -1.0)]
    t1, t2 = (design.sheet_thickness * f for f, _ in factors)
    d1, d2 = (stiffness_of(design) * f**3 * m for f, m in factors)
    return pair_bend(design, t1, t2, d1, d2, bows), d1 / d2


def _axis(values, name):
    hint = "(first - second) over their mean; 0.1 is ten per cent"
    return read_row(values, f"{name} difference", above=-2.0, below=2.0, least=1, hint=hint)


def _largest(x, y):
    """Signed value of largest size along the last axis, and its x (inside by a parabola through three points).

    A straight line has its own last point.
    """
    i = np.where(np.max(np.abs(y), axis=-1) > _NOTHING * np.abs(x[..., -1]), np.argmax(np.abs(y), axis=-1), y.shape[-1])
    i = np.minimum(i, y.shape[-1] - 1)[..., None]
    mid = np.clip(i, 1, y.shape[-1] - 2)
    a, b, c = (np.take_along_axis(y, mid + k, axis=-1)[..., 0] for k in (-1, 0, 1))
    curve = a - 2.0 * b + c
    inside = (i == mid)[..., 0] & (curve != 0.0)
    step = np.where(inside, 0.5 * (a - c) / np.where(inside, curve, 1.0), (i - mid)[..., 0])
    left, here, right = (np.take_along_axis(x, mid + k, axis=-1)[..., 0] for k in (-1, 0, 1))

    def at(p, q, r):
        return q + 0.5 * step * (r - p) + 0.5 * step**2 * (p - 2.0 * q + r)

    return at(a, b, c), at(left, here, right)
