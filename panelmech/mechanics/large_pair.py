"""Both sheets of a pair at large deflection, one model for the two: pressed on one face, on both alike, or opposite.

What `mechanics.pressed_pair` says for small deflections, by the energy of `mechanics.shell_large` of each sheet. Land
and front are shared: with s half the sum and a half the difference of the two deflections (each outward from the other
sheet), and likewise of the displacements in the plane of the sheets,

    s   cannot turn at the land, but by the give of its adhesive; may move along the chord at land and front
    a   turns freely at the land; land and front cannot come nearer

so the first sheet has s + a, the other one s - a (derived here). u and v stand in the energy of both as squares only,
and their halves apart: eliminated exactly, as for one sheet. The path is `shell_path`'s: limits, branchings and
stability are those of the pair, one sheet snapping through by itself among them.

Leaves out what `shell_large` does, the twisting of the land as a bar, a movement of the rod, and a touch of the sheets.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import scipy

from ..units import read_choice
from .large_deflection import ONE_LOAD, default_large_degrees, path_under
from .pressed_pair import FACES, RIGID, halves
from .ritz_bases import product_integral
from .shell_fields import Field, find_largest
from .shell_large import EdgeGive, LargeModel, in_plane_factor, large_sets
from .shell_model import Edge, FramedSheet, SheetLoad, even_pressure
from .shell_path import Loading
from .shell_ritz import load_work, turning


@dataclass(frozen=True, eq=False)
class PairState:
    """A state of the pair: `State` of each sheet, with all its functions; the rest as of `shell_large.State`."""

    amplitudes: np.ndarray
    sheets: tuple
    energy: float
    gradient: np.ndarray


@dataclass(frozen=True, eq=False)
class PairModel:
    """Two sheets that share land and front, with functions of one parity along the span; stands for a `LargeModel`.

    own : `LargeModel` of one sheet with all that s or a may do, as of `released`.
    halves : the two framed sheets that s and a are, as of `pressed_pair.halves`: what holds them, and their springs.
    """

    own: LargeModel
    halves: tuple

    @property
    def sheet(self):
        """One of the two."""
        return self.own.sheet

    @cached_property
    def _kept(self):
        """Functions of w that s has, and that a has: all but those that turn an edge which is clamped in that half."""
        w, kept = self.own.sets.w, []
        for half in self.halves:
            turning = np.zeros(len(w.along_x), bool)
            for side, edge in ((-1.0, half.edges.land), (1.0, half.edges.rod)):
                if edge.bending == "clamped":
                    turning |= np.abs(w.along_x.slopes_at(side)[0]) > 1e-9
            kept.append(np.flatnonzero(~turning[w.i]))
        return kept

    @cached_property
    def _opposite(self):
        """Functions of u and v that a has: u all but those that move land or front, v all."""
        u, v = self.own.sets.u, self.own.sets.v
        moving = (np.abs(u.along_x.at([-1.0, 1.0])).max(axis=0) > 1e-9)[u.i]
        return np.concatenate([np.flatnonzero(~moving), len(u) + np.arange(len(v))])

    @cached_property
    def _opposite_factor(self):
        matrix, kept = self.own.in_plane_matrix, self._opposite
        return in_plane_factor(matrix[np.ix_(kept, kept)])

    @cached_property
    def _springs(self):
        """Second slope of the energy of all springs by s and a together, over D11."""
        w, width = self.own.sets.w, self.sheet.width
        edge = product_integral(w.along_y, 0, w.along_y, 0) * (width / 2)
        parts = []
        for half, kept in zip(self.halves, self._kept, strict=True):
            own = 2.0 * np.kron(turning(half, w.along_x), edge) if half.springs else np.zeros((len(w),) * 2)
            parts.append(own[np.ix_(kept, kept)])
        return scipy.linalg.block_diag(*parts)

    def split(self, amplitudes):
        """(first sheet, other sheet): amplitudes of all functions of w, of those of s and a together."""
        s, a = np.zeros((2, len(self.own.sets.w)))
        alike, opposite = self._kept
        s[alike], a[opposite] = np.split(amplitudes, [len(alike)])
        return s + a, s - a

    def joined(self, first, other):
        """What works on s and a, of what works on the functions of each sheet."""
        alike, opposite = self._kept
        return np.concatenate([(first + other)[alike], (first - other)[opposite]])

    @cached_property
    def metric(self):
        """As of `LargeModel`, mean of both sheets."""
        return scipy.linalg.block_diag(*(self.own.metric[np.ix_(kept, kept)] for kept in self._kept))

    def state(self, amplitudes):
        """`PairState` of equilibrium in the plane at these amplitudes of s and a."""
        own, kept = self.own, self._opposite
        first, other = (own.alone(part) for part in self.split(amplitudes))
        alike = 0.5 * own.in_plane(first.work + other.work)
        opposite = np.zeros_like(alike)
        half = 0.5 * (first.work - other.work)[kept]
        opposite[kept] = -scipy.linalg.cho_solve((self._opposite_factor, True), half, check_finite=False)
        sheets = own.with_in_plane(first, alike + opposite), own.with_in_plane(other, alike - opposite)
        pull = self._springs @ amplitudes
        energy = sum(sheet.energy for sheet in sheets) + 0.5 * float(pull @ amplitudes)
        return PairState(amplitudes, sheets, energy, pull + self.joined(*(sheet.gradient for sheet in sheets)))

    def tangent(self, state):
        """Second slope of the energy by the amplitudes of s and a, symmetric."""
        own, kept = self.own, self._opposite
        standing = [own.standing(sheet) for sheet in state.sheets]
        one, two = (own.coupling(sheet.slope_x, sheet.slope_y) for sheet in state.sheets)
        # what s, and what a, asks of u and v that are alike, and of those that are opposite
        alike = [_solved(own.factor, part) for part in (one + two, one - two)]
        opposite = [_solved(self._opposite_factor, part[kept]) for part in (one - two, one + two)]
        (s, a), (s_o, a_o) = alike, opposite
        both, apart = standing[0] + standing[1], standing[0] - standing[1]
        ss, aa = (both - 0.5 * (x.T @ x + y.T @ y) for x, y in ((s, s_o), (a, a_o)))
        sa = apart - 0.5 * (s.T @ a + s_o.T @ a_o)
        n, m = self._kept
        matrix = (
            np.block([[ss[np.ix_(n, n)], sa[np.ix_(n, m)]], [sa[np.ix_(n, m)].T, aa[np.ix_(m, m)]]]) + self._springs
        )
        return 0.5 * (matrix + matrix.T)


def _solved(factor, right):
    return scipy.linalg.blas.dtrsm(1.0, factor, right, lower=1)


@dataclass(frozen=True, eq=False)
class LargePairPress:
    """A pair under a load at large deflection.

    faces, front : as asked
    deflection, other : of the pressed face and of the other one, each outward from the other sheet: `Field` [m]
    largest_deflection, largest_at : of the pressed face with its sign, and its place (x, y) [m]
    other_largest : of the other face [m]
    stable : True where the pair stays so by itself
    turns : kinds and loads [Pa, N] where it lost its stability on the way, in their order
    degrees : of w along x and y
    """

    sheet: FramedSheet = field(repr=False)
    load: SheetLoad
    faces: str
    front: str
    deflection: Field = field(repr=False)
    other: Field = field(repr=False)
    largest_deflection: float
    largest_at: tuple
    other_largest: float
    stable: bool
    turns: tuple
    degrees: tuple

    @property
    def snapped(self):
        """True where the load turned back on the way: a sheet has snapped through."""
        return any(kind == "limit" for kind, _ in self.turns)


def press_large_pair(sheet, load=None, faces="one", front="potted", give=RIGID, degrees=None) -> LargePairPress:
    """A pair under a `SheetLoad` (default: even pressure of 1 kPa, outward) at large deflection: a `LargePairPress`.

    sheet, front, give : as of `pressed_pair.halves`. faces : of `pressed_pair.FACES`. degrees : as of `press_large`.
    The load, outward positive, grows from zero; past a limit the first state under the whole load is told. Raises
    ValueError as `press_large`.

    >>> from panelmech.mechanics import framed_sheet, solve_bend
    >>> from panelmech.mechanics.large_pair import press_large_pair
    >>> from panelmech.mechanics.shell_model import even_pressure
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> [show(press_large_pair(sheet, even_pressure(p)).largest_deflection, "mm", 3) for p in (2000.0, -2000.0)]
    ['0.906 mm', '−0.605 mm']
    """
    read_choice(faces, "faces", FACES)
    load = load or even_pressure()
    loading, degrees = pair_loading(sheet, load, faces, front, give, degrees)
    path = path_under(loading, load, ONE_LOAD)
    end, model = path.points[-1], loading.model
    w, other = (
        Field(model.own.sets.w.series(part), sheet.length, sheet.width) for part in model.split(end.state.amplitudes)
    )
    largest, x, y = find_largest(w)
    turns = tuple((turn.kind, load.size * turn.point.share) for turn in path.turns)
    there = find_largest(other)[0]
    return LargePairPress(sheet, load, faces, front, w, other, largest, (x, y), there, end.stable, turns, degrees)


def released(pair):
    """One sheet of a pair of `halves`, free for all that either of them may do; without springs."""
    alike, opposite = pair
    turns = "supported" if "supported" in (alike.edges.rod.bending, opposite.edges.rod.bending) else "clamped"
    edges = replace(alike.edges, land=Edge("supported"), rod=Edge(turns))
    return replace(alike, land_spring=None, rod_spring=None, edges=edges)


def pair_loading(sheet, load, faces, front, give, degrees=None):
    """(`Loading`, degrees) of a pair: what `shell_path` follows; arguments as of `press_large_pair`."""
    pair = halves(sheet, front, give)
    free = released(pair)
    degrees = degrees or default_large_degrees(free, load)

    def model(parity):
        own = LargeModel(free, large_sets(free.edges, degrees, parity), free.ratios, EdgeGive())
        return PairModel(own, pair)

    def work(parity):
        return load_work(free, load, degrees, parity).ravel()

    other_face = {"one": 0.0, "both": 1.0, "opposite": -1.0}[faces]
    if free.edges.mirror:
        along, across = work("even"), work("odd")
        if np.abs(across).max() <= 1e-13 * np.abs(along).max():
            even = model("even")
            return Loading(even, model("odd"), even.joined(along, other_face * along)), degrees
    whole, every = model("all"), work("all")
    return Loading(whole, None, whole.joined(every, other_face * every)), degrees
