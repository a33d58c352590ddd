"""One framed sheet at large deflection: under one load, and the whole curve of load against deflection.

What `mechanics.shell.press` leaves out: a sheet that deflects by more than about half its thickness stretches, which
stiffens it, and a curved one that is pressed towards its centre of curvature first grows softer, since its arch
flattens: it may snap through. So the sign of a load matters here. As everywhere with the framed sheet, deflection and
load are positive *towards the centre of curvature*, which is outward for a bent pair: a positive pressure is suction
outside, or filling or heated air inside; a negative one presses the sheet in.

Theory and source: `mechanics.shell_large` (von Karman and Marguerre); the path: `mechanics.shell_path`. Leaves out:
shear deformation, slopes that are not small beside one, dents of the unloaded sheet, what happens on a branch beside
the path, and the stress left by forming unless it is given (`forming_force`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ..units import read_array, read_count, show_input
from .bend import Bend
from .forming import forming_loads
from .ritz_bases import rows_below
from .shell import COARSER, even_degree, proportions
from .shell_fields import (
    KINDS,
    Field,
    StrainPeak,
    bending_moments,
    curvature_series,
    difference,
    find_largest,
    largest_on_grid,
    largest_principal,
    membrane_and_bending,
    searched,
    strain_series,
)
from .shell_large import EdgeGive, LargeModel, large_sets
from .shell_model import CURVATURE_NODES, FramedSheet, SheetLoad, curvature_stations, even_pressure
from .shell_path import Loading, NoPathError, follow
from .shell_ritz import load_work

LEAST_DEGREES, MOST_DEGREES = (
    (12, 14),
    (24, 60),
)  # along x the curvature's stations integrate the fourth power of w exactly up to here
ONE_LOAD, CURVE = (1.0, 1.0), (0.2, 0.4)  # first and longest step along the path: mean deflection in thicknesses
MOST_SHARE = 0.1  # of the shorter side: a mean deflection beyond is none of a shallow sheet
STEEP = 0.3  # slope whose square, a tenth, is no longer small beside one


# ----- What comes out.


def _peak(kind, words):
    """Property of a `Strained`: the largest strain of one of `KINDS`, searched when first asked for."""

    def peak(self):
        return large_strain_peak(self.sheet, self.displacements, kind)

    peak.__doc__ = f"{words}, `StrainPeak`."
    return cached_property(peak)


class Strained:
    """What a `sheet` with `displacements` (fields u, v, w) at large deflection is strained by, bent and stretched."""

    outer_face = _peak("outer_face", "Largest total strain on the outer face")
    inner_face = _peak("inner_face", "Largest total strain on the inner face")
    membrane = _peak("membrane", "Largest strain of the middle of the sheet")
    bending = _peak("bending", "Largest bending strain, as on the outer face")

    def moments(self, x, y):
        """Bending moments per metre (M_x, M_y, M_xy) that the load adds [N m/m] at x, y [m], as of `Press.moments`."""
        return bending_moments(self.sheet, self.displacements[-1], x, y)

    def strains(self, x, y):
        """Membrane and outer-face bending strain (eps_x, eps_y, gamma) that the load adds, at x, y [m]; two arrays of
        shape (3, ...). On the inner face the bending part has the other sign."""
        return large_face_strains(self.sheet, self.displacements, x, y)


@dataclass(frozen=True, eq=False)
class Turn:
    """Where the sheet loses its stability on the way.

    kind : 'limit', where the load turns back and the sheet snaps through, or 'branching', where it leaves the path for
        another shape. size : of the load there, with its sign [Pa, N]. deflection : `Field` [m]. largest_deflection,
        largest_at : with its sign, and its place (x, y) [m].
    """

    kind: str
    size: float
    deflection: Field = field(repr=False)

    @cached_property
    def _largest(self):
        return find_largest(self.deflection)

    @property
    def largest_deflection(self):
        """With its sign, searched over the whole sheet [m]."""
        return self._largest[0]

    @property
    def largest_at(self):
        """Place (x, y) of the largest deflection [m]."""
        return self._largest[1:]


@dataclass(frozen=True, eq=False)
class LargePress(Strained):
    """A framed sheet under a load, at large deflection.

    Attributes
    ----------
    deflection, along_chord, along_span : fields w, u, v [m]
    largest_deflection, largest_at : with its sign, searched over the whole sheet, and its place (x, y) [m]
    middle_deflection : in the middle of the sheet [m]
    linear_deflection : the largest that the linear theory says, `mechanics.shell.press` [m]
    stable : True where the sheet stays in this state by itself
    turns : `Turn`s on the way from rest, in their order; found where they are not passed within one step
    energy : strain energy, and that of the springs at the edges [J]
    moved : volume that a pressure, deflection that a force has gone through, weighted by the load's own shape: load
        times `moved` is twice the work of a linear sheet [m^3, m]
    error : relative change of the deflection anywhere against a model coarser by two degrees each way; 1 where that has
        no state near this one [-]
    degrees : polynomial degrees (x, y) of w
    notes : where the theory is stretched, in words
    """

    sheet: FramedSheet = field(repr=False)
    load: SheetLoad
    give: EdgeGive
    deflection: Field = field(repr=False)
    along_chord: Field = field(repr=False)
    along_span: Field = field(repr=False)
    largest_deflection: float
    largest_at: tuple
    middle_deflection: float
    linear_deflection: float
    stable: bool
    turns: tuple
    energy: float
    moved: float
    error: float
    degrees: tuple
    notes: tuple

    @property
    def snapped(self):
        """True where the load turned back on the way: the sheet has snapped through to this state."""
        return any(turn.kind == "limit" for turn in self.turns)

    @property
    def displacements(self):
        """The fields behind the strains: u, v and w."""
        return self.along_chord, self.along_span, self.deflection

    @property
    def edges(self):
        """Edge conditions in words; springs are beside them in `give`."""
        return self.sheet.edges.words()


@dataclass(frozen=True, eq=False)
class LoadCurve:
    """Load against deflection, from rest to the whole load; arrays of shape (points,), along the path.

    Attributes
    ----------
    sizes : load with its sign [Pa, N]
    largest, middle : deflection, the largest with its sign and that in the middle [m]
    stable : True where the sheet stays there by itself
    energy, moved : as of `LargePress` [J; m^3, m]
    deflections : `Field` of each point
    turns : `Turn`s in their order
    last : `LargePress` of the last point, under the whole load
    """

    sizes: np.ndarray
    largest: np.ndarray
    middle: np.ndarray
    stable: np.ndarray
    energy: np.ndarray
    moved: np.ndarray
    deflections: tuple = field(repr=False)
    turns: tuple
    last: LargePress = field(repr=False)

    @property
    def first_limit(self):
        """The `Turn` where the load first turns back; None where it never does."""
        return next((turn for turn in self.turns if turn.kind == "limit"), None)

    @property
    def first_branching(self):
        """The `Turn` where another shape first joins the path and takes its stability; None where none does."""
        return next((turn for turn in self.turns if turn.kind == "branching"), None)


# ----- The verbs.


def press_large(sheet, load=None, give=None, degrees=None, formed=None):
    """A `FramedSheet` under a `SheetLoad` at large deflection, of either sign: a `LargePress`.

    load : default even pressure of 1 kPa; positive towards the centre of curvature, outward for a bent pair.
    give : `EdgeGive`, springs of the edges in the plane of the sheet; default none.
    degrees : polynomial degrees of w along x and y, by default those of `default_large_degrees`.
    formed : force along the chord left by forming at `curvature_stations` [N/m], tension positive (`forming_force`);
        default none.

    The load grows from zero. Where it turns back on the way the sheet snaps through, and what is told is the first
    state under the whole load beyond, reached along the path itself. Two limits so close that one step passes both (as
    long as the sheet is thick, mean deflection) are found by `load_curve` only.

    Raises ValueError where that state is beyond a shallow sheet or does not converge, saying up to what load it does;
    for a load off the sheet, a spring at a held edge, or degrees beyond 6 to 24 along x and 6 to 60 along y.

    Validity: thin shallow sheet, slopes of the deflection small beside one; see the notes of the result. Of 24 sheets
    with deflections up to ten thicknesses, default degrees are within 2e-4 of much higher ones, mostly within 1e-5.

    >>> from panelmech.mechanics import framed_sheet, press_large, solve_bend
    >>> from panelmech.mechanics.shell_model import even_pressure, framed_edges
    >>> from panelmech.units import show
    >>> bend = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
    >>> sheet = framed_sheet(bend, 0.85, 0.012, 18.6e9, 0.175, framed_edges(in_plane="held"))
    >>> [show(press_large(sheet, even_pressure(p)).largest_deflection, "mm", 3) for p in (-2000.0, 2000.0)]
    ['−0.549 mm', '2.01 mm']
    """
    loading, load, degrees = large_loading(sheet, load, give, degrees, formed)
    path = path_under(loading, load, ONE_LOAD)
    return _large_press(loading, load, degrees, path)


def load_curve(sheet, load=None, give=None, degrees=None, formed=None):
    """Load against deflection of a `FramedSheet` from rest to the whole load: a `LoadCurve`.

    Arguments, validity and errors as for `press_large`. The path is followed past limits, by arc length, to the first
    state under the whole load; each point says whether the sheet stays there by itself. The load at a limit or a
    branching is sure to about 1e-6 of what the load changes in a step. Symmetric shapes are followed alone where the
    load is symmetric about mid-span; whether an unsymmetric one takes over is told by `stable` and `turns`.

    >>> from panelmech.mechanics import framed_sheet, load_curve, solve_bend
    >>> from panelmech.mechanics.shell_model import even_pressure, framed_edges
    >>> from panelmech.units import show
    >>> bend = solve_bend(0.225, 0.001, 0.022, 0.0003, 0.003)
    >>> sheet = framed_sheet(bend, 0.85, 0.012, 18.6e9, 0.175, framed_edges(in_plane="held"))
    >>> curve = load_curve(sheet, even_pressure(300.0))
    >>> show(curve.first_limit.size, "Pa", 3), show(curve.last.largest_deflection, "mm", 3)
    ('270 Pa', '2.63 mm')
    """
    loading, load, degrees = large_loading(sheet, load, give, degrees, formed)
    path = path_under(loading, load, CURVE)
    fields = tuple(_field(loading, point) for point in path.points)
    return LoadCurve(
        np.array([load.size * point.share for point in path.points]),
        np.array([find_largest(w)[0] for w in fields]),
        np.array([float(w(sheet.length / 2, sheet.width / 2)) for w in fields]),
        np.array([point.stable for point in path.points]),
        *(np.array(each) for each in zip(*(_work(loading, load, point) for point in path.points), strict=True)),
        fields,
        _turns(loading, load, path),
        _large_press(loading, load, degrees, path),
    )


def forming_force(bend: Bend, bending_stiffness):
    """Force along the chord that a single bend leaves in each sheet, at `curvature_stations` [N/m], tension positive.

    The rod presses on the sheet with N square to it at the contact, so at a place whose angle is less by psi the sheet
    is compressed along itself by N sin(psi) (derived here; the term of `mechanics.strip`). bending_stiffness [N m]: D,
    of the sheet while it is formed. Raises ValueError for a bend that is not feasible or not a single one.
    Nothing is left at the contact, most at the land.

    >>> from panelmech.mechanics.large_deflection import forming_force
    >>> from panelmech.mechanics import solve_bend
    >>> from panelmech.units import show
    >>> show(float(forming_force(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 12.0)[0]), "N/m", 3)
    '−2.07 N/m'
    """
    force = forming_loads(bend, bending_stiffness).contact_force
    if np.ndim(force) or not bool(bend.feasible):
        raise ValueError(f"the force that forming leaves needs one bend that is feasible: {bend.reason or 'an array'}")
    behind = bend.contact_angle - bend.tangent_angle(curvature_stations(float(bend.contact_arclength)))
    return -force * np.sin(behind)


# ----- What they are made of.


def large_loading(sheet, load, give, degrees, formed):
    """(`Loading`, load, degrees) of what came in; both parities where frames and load are alike about mid-span."""
    load, give = load or even_pressure(), give or EdgeGive()
    give.check(sheet.edges)
    degrees = default_large_degrees(sheet, load) if degrees is None else _read_degrees(degrees)
    if formed is not None:
        formed = read_array(formed, "force left by forming", "N/m", axes=1)
        if formed.shape != (CURVATURE_NODES,):
            raise ValueError(
                f"the force left by forming came with shape {formed.shape}; give {CURVATURE_NODES} values at "
                "curvature_stations(length), as forming_force does"
            )

    def model(parity):
        return LargeModel(sheet, large_sets(sheet.edges, degrees, parity), sheet.ratios, give, formed)

    def work(parity):
        return load_work(sheet, load, degrees, parity).ravel()

    if sheet.edges.mirror and give.mirror:
        along, across = work("even"), work("odd")
        if np.abs(across).max() <= 1e-13 * np.abs(along).max():
            return Loading(model("even"), model("odd"), along), load, degrees
    return Loading(model("all"), None, work("all")), load, degrees


def default_large_degrees(sheet, load):
    """Polynomial degrees (x, y) of `press_large` and `load_curve`: deflections of ten thicknesses within 2e-4.

    More along a side that holds more half waves or zones by its edges (`shell.proportions`), six more under a force.
    """
    half_waves, turned, zones = proportions(sheet)
    more = 6 if load.kind == "point" else 0
    wanted = 10 + 0.3 * zones + 2 * turned + more, 9 + 1.3 * half_waves + more
    return tuple(
        even_degree(d, (least, most)) for d, least, most in zip(wanted, LEAST_DEGREES, MOST_DEGREES, strict=True)
    )


def _read_degrees(degrees):
    """Degrees given by hand; ValueError unless they are two that can be integrated."""
    if not isinstance(degrees, tuple | list) or len(degrees) != 2:
        raise ValueError(f"degrees are {degrees!r}: give two whole numbers, along x and along y")
    return tuple(read_count(degree, "degree", 6, most) for degree, most in zip(degrees, MOST_DEGREES, strict=True))


def most_deflection(sheet):
    """Mean deflection [thicknesses] beyond which a path is not followed."""
    return MOST_SHARE * min(sheet.length, sheet.width) / sheet.thickness


def path_under(loading, load, steps):
    """`Path` under the load; ValueError in words where it does not get there."""
    try:
        return follow(loading, *steps, most_deflection(loading.model.sheet))
    except NoPathError as stopped:
        unit = "N" if load.kind == "point" else "Pa"
        came, reached = show_input(load.size, unit, 4), show_input(stopped.share * load.size, unit, 3)
        raise ValueError(
            f"the framed sheet under {came} ({load.words()}): {stopped.why}; give no more than the {reached} that were "
            "reached, or a thicker or shorter sheet"
        ) from None


def _field(loading, point):
    sheet = loading.model.sheet
    return Field(loading.model.sets.w.series(point.state.amplitudes), sheet.length, sheet.width)


def _work(loading, load, point):
    """(energy [J], what the load has moved [m^3, m]) at a point."""
    stiffness = loading.model.sheet.bending_stiffness
    moved = stiffness / load.size * (loading.load @ point.state.amplitudes) if load.size else 0.0
    return point.state.energy * stiffness, float(moved)


def _turns(loading, load, path):
    return tuple(Turn(t.kind, load.size * t.point.share, _field(loading, t.point)) for t in path.turns)


def _large_press(loading, load, degrees, path):
    """`LargePress` of the last point of a path."""
    end, sheet, sets = path.points[-1], loading.model.sheet, loading.model.sets
    n, size = len(sets.u), (sheet.length, sheet.width)
    u, v = (s.series(part) for s, part in zip((sets.u, sets.v), np.split(end.state.in_plane, [n]), strict=True))
    w, (first, *_) = _field(loading, end), path.points
    largest, x, y = find_largest(w)
    linear = Field(sets.w.series(first.along * (1.0 / first.along_share if first.along_share else 0.0)), *size)
    return LargePress(
        sheet,
        load,
        loading.model.give,
        w,
        Field(u, *size),
        Field(v, *size),
        largest,
        (x, y),
        float(w(sheet.length / 2, sheet.width / 2)),
        find_largest(linear)[0],
        end.stable,
        _turns(loading, load, path),
        *_work(loading, load, end),
        _error(loading, end, degrees, w, largest),
        degrees,
        _notes(sheet, w, loading.model.formed),
    )


def _error(loading, end, degrees, w, largest):
    """Largest relative change of w against the model coarser by `COARSER` degrees each way, u and v as well.

    That is solved from the finer one by Newton's method, with the slopes of the finer one: they differ by what is
    sought. One where it does not converge, as where the coarser model has snapped through and the finer has not.
    """
    if not largest:
        return 0.0
    model, (px, py) = loading.model, (degrees[0] - COARSER, degrees[1] - COARSER)
    parity = "all" if loading.other is None else "even"
    sets, fine = large_sets(model.sheet.edges, (px, py), parity), model.sets.w
    rough = LargeModel(model.sheet, sets, model.ratios, model.give, model.formed)
    kept = np.outer(rows_below(fine.along_x, px), rows_below(fine.along_y, py)).ravel()
    slopes, load, at = end.slopes[np.ix_(kept, kept)], end.share * loading.load[kept], end.state.amplitudes[kept]
    size, start = np.inf, at
    while True:
        move = np.linalg.solve(slopes, load - rough.state(at).gradient)
        last, size = size, float(np.abs(move).max())
        if not size < 0.9 * last:
            return 1.0
        at = at + move
        if size <= 1e-3 * np.abs(at - start).max():
            coarse = Field(sets.w.series(at), model.sheet.length, model.sheet.width)
            return float(largest_on_grid(difference(w, coarse)) / abs(largest))


def _notes(sheet, w, formed):
    """Where the theory is stretched."""
    notes = [note for note in sheet.notes() if formed is None or "left by forming" not in note]
    slope = max(abs(find_largest(w.derivative(*along))[0]) for along in ((1, 0), (0, 1)))
    if slope > STEEP:
        notes.append(
            f"the deflected sheet slopes by up to {np.degrees(np.arctan(slope)):.0f} degrees: the theory takes slopes "
            "as small, so this is only a guide"
        )
    return tuple(notes)


# ----- Strains.


def large_strain_peak(sheet, fields, kind):
    """`StrainPeak` of one of `KINDS` for the displacement fields (u, v, w) at large deflection."""
    of_membrane, of_bending = KINDS[kind]

    def measure(values, kappa):
        membrane, bending = _large_split(values, kappa[:, None])
        return largest_principal(of_membrane * membrane + of_bending * bending)

    value, x, y = searched(_large_series(sheet, fields), sheet.length, sheet.width, measure, curvature_series(sheet))
    membrane, bending = large_face_strains(sheet, fields, x, y)
    return StrainPeak(value, x, y, tuple(map(float, membrane)), tuple(map(float, bending)))


def large_face_strains(sheet, fields, x, y):
    """Membrane and outer-face bending strain (eps_x, eps_y, gamma) at x, y [m]; two arrays of shape (3, ...)."""
    values = np.stack([Field(c, sheet.length, sheet.width)(x, y) for c in _large_series(sheet, fields)])
    kappa = np.polynomial.legendre.legval(2 * np.asarray(x, float) / sheet.length - 1, curvature_series(sheet))
    return _large_split(values, kappa)


def _large_series(sheet, fields):
    """As `shell_fields.strain_series`, and w,x and w,y: shape (9, m, n)."""
    u, v, w = fields
    linear = strain_series(sheet, (u, v, w, w))
    slopes = [w.derivative(*along).coefficients for along in ((1, 0), (0, 1))]
    more = [np.pad(c, [(0, n - m) for n, m in zip(linear.shape[1:], c.shape, strict=True)]) for c in slopes]
    return np.concatenate([linear, np.stack(more)])


def _large_split(values, kappa):
    """Membrane and bending strain from the values of `_large_series` and the curvature there."""
    membrane, bending = membrane_and_bending(values[:7], kappa)
    wx, wy = values[7:]
    return membrane + np.stack([0.5 * wx**2, 0.5 * wy**2, wx * wy]), bending
