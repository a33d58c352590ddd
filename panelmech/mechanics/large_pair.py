"""Both sheets of a pair at large deflection, one model for the two: pressed on one face, on both alike, or opposite.

What `mechanics.pressed_pair` says for small deflections, by the energy of `mechanics.shell_large` of each sheet. Land
and front are shared: with s half the sum and a half the difference of the two deflections (each outward from the other
sheet), and likewise of the displacements in the plane of the sheets,

    s   cannot turn at the land, but by the give of its adhesive; may move along the chord at land and front
    a   turns freely at the land; land and front cannot come nearer

so the first sheet has s + a, the other one s - a (derived here). u and v stand in the energy of both as squares only,
and their halves apart: eliminated exactly, as for one sheet. Of both halves one factor serves: what a cannot move comes
last in it. The path is `shell_path`'s: limits, branchings and
stability are those of the pair, one sheet snapping through by itself among them.

Leaves out what `shell_large` does, the twisting of the land as a bar, a movement of the rod, and a touch of the sheets.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import scipy
from numpy.polynomial import legendre

from ..units import read_choice
from .large_deflection import ONE_LOAD, Strained, default_large_degrees, path_under
from .pressed_pair import FACES, RIGID, Give, halves
from .ritz_bases import product_integral
from .shell_fields import Field, find_largest, searched
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
    def _order(self):
        """(functions of u and v in the order of `_factor`, number of those that a has, too). These come first: all but
        those of u that move land or front."""
        u, v = self.own.sets.u, self.own.sets.v
        moving = (np.abs(u.along_x.at([-1.0, 1.0])).max(axis=0) > 1e-9)[u.i]
        first = np.concatenate([np.flatnonzero(~moving), len(u) + np.arange(len(v))])
        return np.concatenate([first, np.flatnonzero(moving)]), len(first)

    @cached_property
    def _factor(self):
        """Cholesky factor of the in-plane matrix in that order: its first rows and columns are the factor for a."""
        lower, (order, _) = np.tril(self.own.in_plane_matrix), self._order
        whole = lower + np.tril(lower, -1).T
        return in_plane_factor(np.asfortranarray(whole[np.ix_(order, order)]))

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
        own, (order, count) = self.own, self._order
        alone = [own.alone(part) for part in self.split(amplitudes)]
        work = self._solved(np.stack([each.work[order] for each in alone], axis=1))
        halved = 0.5 * np.stack([work[:, 0] + work[:, 1], work[:, 0] - work[:, 1]], axis=1)
        halved[count:, 1] = 0.0  # so a moves neither land nor front: of the factor's transpose these rows come first
        moved = np.empty_like(halved)
        moved[order] = -scipy.linalg.blas.dtrsm(1.0, self._factor, halved, lower=1, trans_a=1)
        alike, opposite = moved.T
        sheets = own.with_in_plane(alone[0], alike + opposite), own.with_in_plane(alone[1], alike - opposite)
        pull = self._springs @ amplitudes
        energy = sum(sheet.energy for sheet in sheets) + 0.5 * float(pull @ amplitudes)
        return PairState(amplitudes, sheets, energy, pull + self.joined(*(sheet.gradient for sheet in sheets)))

    def tangent(self, state):
        """Second slope of the energy by the amplitudes of s and a, symmetric."""
        first, other = state.sheets
        one, pulls = self._alone(first)
        two, pulled = (one, pulls) if np.array_equal(first.amplitudes, other.amplitudes) else self._alone(other)
        both, apart, s, a = one + two, one - two, pulls + pulled, pulls - pulled
        return self._of_halves(both - 0.5 * (s.T @ s), apart - 0.5 * (s.T @ a), both - 0.5 * (a.T @ a))

    def least(self, state):
        """As of `LargeModel`."""
        one, two = (self.own.least(sheet) for sheet in state.sheets)
        return self._of_halves(one + two, one - two, one + two)

    def _alone(self, sheet):
        """(second slope of the energy of one sheet whose land and front stand still in its plane, pull of its functions
        on those that move them)."""
        order, count = self._order
        part = self._solved(self.own.coupling(sheet.slope_x, sheet.slope_y)[order])
        return self.own.standing(sheet) - part[:count].T @ part[:count], part[count:]

    def _solved(self, right):
        return scipy.linalg.blas.dtrsm(1.0, self._factor, right, lower=1)

    def _of_halves(self, ss, sa, aa):
        """Second slope by s and a, of its parts by all functions; with the springs."""
        s, a = self._kept
        across = sa[np.ix_(s, a)]
        matrix = np.block([[ss[np.ix_(s, s)], across], [across.T, aa[np.ix_(a, a)]]]) + self._springs
        return 0.5 * (matrix + matrix.T)


@dataclass(frozen=True, eq=False)
class PairFace(Strained):
    """One sheet of a pair under a load: displacements, `Field`s, the deflection outward from the other sheet [m], and
    what strains the load adds, as of `LargePress`."""

    sheet: FramedSheet = field(repr=False)
    along_chord: Field = field(repr=False)
    along_span: Field = field(repr=False)
    deflection: Field = field(repr=False)

    @property
    def displacements(self):
        """The fields behind the strains: u, v and w."""
        return self.along_chord, self.along_span, self.deflection

    @property
    def largest_strain(self):
        """Largest size of a principal strain anywhere on either side of the sheet [-]."""
        return max(abs(self.outer_face.value), abs(self.inner_face.value))


@dataclass(frozen=True, eq=False)
class LargePairPress:
    """A pair under a load at large deflection.

    faces, front, give : as asked
    pressed, beside : the face that is pressed and the other one, `PairFace`
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
    give: Give
    pressed: PairFace = field(repr=False)
    beside: PairFace = field(repr=False)
    largest_deflection: float
    largest_at: tuple
    other_largest: float
    stable: bool
    turns: tuple
    degrees: tuple

    @property
    def deflection(self):
        """Of the pressed face: `Field` [m]."""
        return self.pressed.deflection

    @property
    def other(self):
        """Deflection of the other face: `Field` [m]."""
        return self.beside.deflection

    def land_moment(self, y):
        """Moment per metre that the load adds at the land, at y [m] along it; opening positive [N m/m].

        It works on the bond of both sheets alike: what else each sheet asks of the land the other one takes away.
        Within 1e-3 of the largest along the land (14 sheets drawn at random, by the default degrees).
        """
        return self._opening(0.0, y)

    @cached_property
    def opening_moment(self):
        """The greatest `land_moment` that opens, searched along the land; 0 where the load presses it shut [N m/m]."""
        found = searched(self._opening.coefficients[None], *self._sides, lambda values, _: np.maximum(values[0], 0.0))
        return found[0]

    @property
    def _sides(self):
        return self.sheet.length, self.sheet.width

    @cached_property
    def _opening(self):
        """`Field` of the land's moment, even along x. Of what both sheets do alike: what the bond gives times its
        spring; of a bond that does not give the bending moment with tension inside, w being zero all along the land."""
        spring = self.give.land
        order, factor = (2, self.sheet.bending_stiffness) if spring is None else (1, spring)
        alike = sum(face.deflection.derivative(order, 0).coefficients for face in (self.pressed, self.beside))
        at_land = legendre.legvander([-1.0], len(alike) - 1) @ alike
        return Field(0.5 * factor * at_land, *self._sides)

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
    end = path.points[-1]
    pressed, beside = (_face(sheet, loading.model.own.sets, state) for state in end.state.sheets)
    largest, x, y = find_largest(pressed.deflection)
    there = find_largest(beside.deflection)[0]
    turns = tuple((turn.kind, load.size * turn.point.share) for turn in path.turns)
    asked = sheet, load, faces, front, give
    return LargePairPress(*asked, pressed, beside, largest, (x, y), there, end.stable, turns, degrees)


def _face(sheet, sets, state):
    parts = *np.split(state.in_plane, [len(sets.u)]), state.amplitudes
    series = (each.series(part) for each, part in zip((sets.u, sets.v, sets.w), parts, strict=True))
    return PairFace(sheet, *(Field(each, sheet.length, sheet.width) for each in series))


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
