"""One framed sheet as a shallow shell: how it deflects under load, and when it buckles along the span.

Models a thin sheet of constant thickness, the same every way or with its grain along chord or span
(`mechanics.shell_model`), given curvature along the chord and none along the span, held on land, rod and two closing
frames (`mechanics.shell_model`), by a linear Ritz solution (`mechanics.shell_ritz`). Leaves out: the stress left by
forming (it adds almost nothing to these stiffnesses), shear deformation, large deflection, initial dents, and give in
the edges themselves. Buckling is the ideal critical value: real curved sheets with dents reach less.

x runs along the chord from the land (arclength), y along the span, w is positive towards the centre of
curvature, which is outward for a bent pair. The outer face is the one on that side.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import scipy

from ..units import read_count
from .bend import Bend
from .ritz_bases import product_integral
from .shell_fields import (
    Field,
    added,
    bending_moments,
    difference,
    face_strains,
    find_largest,
    largest_on_grid,
    strain_peak,
)
from .shell_model import FramedSheet, SheetLoad, curvature_stations, even_pressure
from .shell_ritz import fine_flat, function_sets, load_vector, parities, ritz_model, weighted

# ----- Displacements under a load, with a coarser version of each and, for a point force, a sharper one.
#
# Under a point force polynomials converge slowly, because the moment has no limit there. The sharp part is that of a
# flat sheet, though: what curvature changes is smoother by four orders. So the answer is the difference between the
# curved and the flat sheet at moderate degrees, plus the flat sheet at much higher degrees (derived here).


FINE_DEGREES = (40, 140)  # range of the degrees for the sharp part of a point force


def displacements(sheet, load, degrees):
    """Fields (u, v, w) at `degrees` and of the coarser model, then the deflection, a coarser one and the doubt [m].

    u, v, w are `Field`s. Away from point forces the deflection is w itself and the doubt beyond the coarser model zero.
    """
    parts = _solve(sheet, load, degrees)
    smooth, rough = _fields(sheet, parts, 0), _fields(sheet, parts, 1)
    if load.kind != "point":
        return smooth, rough, smooth[2], rough[2], 0.0
    return smooth, rough, *_sharpen(sheet, load, degrees, smooth[2], rough[2])


def _solve(sheet, load, degrees):
    """(u, v, w) Legendre series of each parity that the load excites, full and coarser: a list of two lists."""
    members = [
        (ritz_model(sheet, degrees, parity), vector) for parity, vector in _excited(sheet, load, degrees).items()
    ]
    return [[_series(member, member.deflect(vector, coarse)) for coarse in (False, True)] for member, vector in members]


def _excited(sheet, load, degrees):
    """Load vectors by parity, without the parity that a symmetric load leaves at rest."""
    vectors = {
        parity: load_vector(sheet, load, function_sets(sheet.edges, degrees, parity)[2])
        for parity in parities(sheet.edges)
    }
    sizes = {parity: np.abs(vector).max() for parity, vector in vectors.items()}
    return {parity: vectors[parity] for parity in vectors if sizes[parity] >= 1e-13 * max(sizes.values())}


def _series(member, w):
    u, v = member.in_plane(w)
    return [functions.series(a) for functions, a in zip(member.sets, (u, v, w), strict=True)]


def _fields(sheet, parts, which):
    """The three displacement fields, all parities together; which: 0 the full model, 1 the coarser one."""
    return [Field(sum(part[which][k] for part in parts), sheet.length, sheet.width) for k in range(3)]


def _sharpen(sheet, load, degrees, w, rough):
    """Deflection and its coarser version, with the flat sheet's part from high degrees, and the doubt left [m].

    The error of the flat part falls at least like degree^-2, so what is left is about degree/4 times the last change,
    taken where the load is.
    """
    flat, fine, size = sheet.flat(), _fine_degrees(sheet), (sheet.length, sheet.width)
    plain, excited = _solve(flat, load, degrees), _excited(flat, load, degrees)
    best, less = (
        sum(fine_flat(flat, load, d, parity) for parity in excited) for d in (fine, tuple(np.subtract(fine, 2)))
    )
    sharp, blunt = (
        Field(added(part, field.coefficients, -_fields(flat, plain, k)[2].coefficients), *size)
        for k, (part, field) in enumerate(((best, w), (less, rough)))
    )
    x, y = (0.5 * side if place is None else place for place, side in zip((load.x, load.y), size, strict=True))
    return sharp, blunt, float(abs(Field(added(best, -less), *size)(x, y))) * max(fine) / 4


def _fine_degrees(sheet):
    ratio = sheet.width / sheet.length * sheet.ratios.d22**-0.25  # as if the same every way: see default_degrees
    return tuple(even_degree(40 * max(1.0, r), FINE_DEGREES) for r in (1 / ratio, ratio))


def even_degree(degree, limits):
    """The next even degree within limits."""
    return int(2 * np.ceil(np.clip(degree, *limits) / 2))


# ----- Deflection and buckling.


DEGREES_X, DEGREES_Y = (12, 26), (14, 60)  # smallest and greatest polynomial degree chosen by default
MOST_DEGREE = 100  # of a degree given by hand: the work grows with its sixth power


def _peak(kind, words):
    """Property of a `Press`: the largest strain of one of `shell_fields.KINDS`, searched when first asked for."""

    def peak(self):
        return strain_peak(self.sheet, self.displacements, kind)

    peak.__doc__ = f"{words}, `StrainPeak`."
    return cached_property(peak)


@dataclass(frozen=True, eq=False)
class Press:
    """A framed sheet under a load.

    Attributes
    ----------
    deflection, along_chord, along_span : fields w, u, v [m]
    largest_deflection, largest_at : with its sign, searched over the whole sheet, and its place (x, y) [m]
    middle_deflection : in the middle of the sheet [m]
    error, strain_error : largest relative change anywhere against a model coarser by two degrees each way [-]
    degrees : polynomial degrees (x, y)
    notes : where the theory is stretched, in words
    smooth, rough : fields (u, v, w) at `degrees`; those of the coarser model, and its deflection [m]
    """

    sheet: FramedSheet = field(repr=False)
    load: SheetLoad
    deflection: Field = field(repr=False)
    along_chord: Field = field(repr=False)
    along_span: Field = field(repr=False)
    largest_deflection: float
    largest_at: tuple
    middle_deflection: float
    error: float
    degrees: tuple
    notes: tuple
    smooth: tuple = field(repr=False)
    rough: tuple = field(repr=False)

    outer_face = _peak("outer_face", "Largest total strain on the outer face")
    inner_face = _peak("inner_face", "Largest total strain on the inner face")
    membrane = _peak("membrane", "Largest strain of the middle of the sheet")
    bending = _peak("bending", "Largest bending strain, as on the outer face")

    @cached_property
    def strain_error(self):
        """Largest change of strain anywhere on a face against the coarser model, relative to the largest strain."""
        change = [difference(fine, rough) for fine, rough in zip(self.displacements, self.rough, strict=True)]
        return max(
            _share(abs(strain_peak(self.sheet, change, face).value), peak.value)
            for face, peak in (("outer_face", self.outer_face), ("inner_face", self.inner_face))
        )

    @property
    def displacements(self):
        """The fields behind the strains: u, v and the w that goes with them, and the deflection for the bending part.

        The two differ under a point force only, where the deflection is sharper than the in-plane part can follow.
        """
        return *self.smooth, self.deflection

    @property
    def edges(self):
        """Edge conditions in words."""
        return self.sheet.edges.words()

    def moments(self, x, y):
        """Bending moments per metre (M_x, M_y, M_xy) [N m/m] at x, y [m]; positive with tension outside.

        M_x = -(D11 w,xx + D12 w,yy), M_y = -(D22 w,yy + D12 w,xx), M_xy = -2 D66 w,xy (Timoshenko and
        Woinowsky-Krieger, Theory of Plates and Shells, ch. 4 and 11). As sure as `strain_error` says, which the
        `error` of the deflection does not: with a point force without footprint 13 % too large at a clamped edge.
        """
        return bending_moments(self.sheet, self.deflection, x, y)

    def strains(self, x, y):
        """Membrane and outer-face bending strain (eps_x, eps_y, gamma) at x, y [m]; shapes (3, ...) each."""
        return face_strains(self.sheet, self.displacements, x, y)


@dataclass(frozen=True, eq=False)
class Buckling:
    """Critical uniform compression along the span.

    Attributes
    ----------
    line_load, next_line_load : per metre of chord, of the lowest mode and of the next [N/m]
    stress : line_load / thickness [Pa]
    symmetric : about mid-span; None where the frames differ
    error : relative change against a coarser model, or a little more (`shell_ritz.RitzModel.coarse_critical`) [-]
    degrees : polynomial degrees (x, y)
    notes : where the theory is stretched, in words
    shape : the mode, of any size; `mode` has the largest value 1
    """

    sheet: FramedSheet = field(repr=False)
    line_load: float
    stress: float
    symmetric: bool | None
    next_line_load: float
    error: float
    degrees: tuple
    notes: tuple
    shape: Field = field(repr=False)

    @cached_property
    def _top(self):
        return find_largest(self.shape)

    @property
    def mode(self):
        """The shape it buckles into, of largest value 1: a `Field`."""
        return Field(self.shape.coefficients / self._top[0], self.sheet.length, self.sheet.width)

    @cached_property
    def half_waves(self):
        """Number of half waves along the span, where the mode is largest."""
        return _half_waves(self.mode, self._top[1])

    @property
    def edges(self):
        """Edge conditions in words."""
        return self.sheet.edges.words()

    @property
    def coefficient(self):
        """k in line_load = k pi^2 D11 / length^2, with the length along the chord [-]; for an even sheet the k of
        stress = k pi^2 E / (12 (1 - nu^2)) (thickness/length)^2."""
        return self.line_load * self.sheet.length**2 / (np.pi**2 * self.sheet.bending_stiffness)


def press(sheet, load=None, degrees=None):
    """Deflection and strain of a `FramedSheet` under a `SheetLoad` (default: even pressure of 1 kPa).

    degrees: polynomial degrees along x and y, by default from the proportions of the sheet. A load symmetric
    about mid-span uses half the functions; a point force is treated apart (`mechanics.shell`). Returns a `Press`;
    its `error` says how well it has converged.
    Raises ValueError for a load off the sheet.

    >>> from panelmech.mechanics import framed_sheet, press, solve_bend
    >>> from panelmech.mechanics.shell_model import even_pressure
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> show(press(sheet, even_pressure(-500.0)).largest_deflection, "mm", 3)  # 500 Pa press it in
    '−0.438 mm'
    """
    load, degrees = load or even_pressure(), _read_degrees(degrees) or default_degrees(sheet, load)
    smooth, rough, w, rough_w, doubt = displacements(sheet, load, degrees)
    largest, x, y = find_largest(w)
    return Press(
        sheet,
        load,
        w,
        smooth[0],
        smooth[1],
        largest,
        (x, y),
        float(w(sheet.length / 2, sheet.width / 2)),
        _share(largest_on_grid(difference(w, rough_w)) + doubt, largest),
        degrees,
        sheet.notes() + _press_notes(sheet, load, largest),
        smooth,
        (*rough, rough_w),
    )


def buckle(sheet, degrees=None):
    """Critical uniform spanwise compression of a `FramedSheet`: the lowest of all shapes, either parity.

    The generalized problem K w = N G w is solved as G w = (1/N) K w, whose right side is positive definite,
    for the largest 1/N. degrees as for `press`. Returns a `Buckling`.

    >>> from panelmech.mechanics import buckle, framed_sheet, solve_bend
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> show(buckle(sheet).stress, "MPa", 3)
    '9.03 MPa'
    """
    degrees = _read_degrees(degrees) or default_degrees(sheet)
    modes = []
    for parity in parities(sheet.edges):
        part = ritz_model(sheet, degrees, parity)
        last = len(part.geometric) - 1
        values, shapes = scipy.linalg.eigh(part.geometric, part.stiffness, subset_by_index=[last - 1, last])
        modes += [(1 / values[1], parity, part, shapes[:, 1]), (1 / values[0], parity, part, shapes[:, 0])]
    modes.sort(key=lambda m: m[0])
    value, parity, part, shape = modes[0]
    mode = Field(part.sets[2].series(shape), sheet.length, sheet.width)
    load, following = (float(m[0] * sheet.bending_stiffness) for m in modes[:2])
    return Buckling(
        sheet,
        load,
        load / sheet.thickness,
        None if parity == "all" else parity == "even",
        following,
        _relative(part.coarse_critical(shape), value),
        degrees,
        sheet.notes(),
        mode,
    )


def largest_deflection(sheet, load=None, degrees=None) -> float:
    """Largest deflection of a sheet under a load that is spread, with its sign [m]: `press`'s, and nothing beside it.

    Arguments as for `press`. A third of its time: without the coarser model and the in-plane part. Raises ValueError
    for a point force, which `press` treats apart.
    """
    load = load or even_pressure()
    if load.kind == "point":
        raise ValueError("the deflection under a point force is `press`'s: give a pressure")
    degrees = _read_degrees(degrees) or default_degrees(sheet, load)
    parts = ((ritz_model(sheet, degrees, parity), vector) for parity, vector in _excited(sheet, load, degrees).items())
    series = sum(model.sets[2].series(model.deflect(vector)) for model, vector in parts)
    return find_largest(Field(series, sheet.length, sheet.width))[0]


def critical_stress(sheet, degrees=None) -> float:
    """Critical uniform spanwise compression [Pa]: `buckle`'s stress, and nothing beside it. degrees as for `press`."""
    degrees = _read_degrees(degrees) or default_degrees(sheet)
    parts = (ritz_model(sheet, degrees, parity) for parity in parities(sheet.edges))
    inverse = _largest_root((part.geometric, part.stiffness) for part in parts)
    return float(sheet.bending_stiffness / inverse / sheet.thickness)


def _largest_root(parts):
    """Largest 1/N of G w = (1/N) K w over several pairs (G, K), N in units of the bending stiffness. A further pair has
    none above `most` where most K - G is positive definite: to factor that takes a tenth of the time of its roots."""
    most = -np.inf
    for work, stiffness in parts:
        if most > 0.0 and not scipy.linalg.lapack.dpotrf(most * stiffness - work)[1]:
            continue
        last = len(work) - 1
        roots = scipy.linalg.eigvalsh(work, stiffness, subset_by_index=[last, last], check_finite=False)
        most = max(most, float(roots[0]))
    return most


def _read_degrees(degrees):
    """Degrees given by hand, or None. ValueError unless they are two, no greater than can be worked out in a minute."""
    if degrees is None:
        return None
    if not isinstance(degrees, tuple | list) or len(degrees) != 2:
        raise ValueError(f"degrees are {degrees!r}: give two whole numbers, along x and along y")
    return tuple(read_count(degree, "degree", 6, MOST_DEGREE) for degree in degrees)


def default_degrees(sheet, load=None):
    """Polynomial degrees (x, y) to use for a sheet, from the number of half waves it may buckle into.

    A flat sheet buckles into half waves about 0.8 of its length, a curved one into half waves near pi sqrt(t/kappa),
    both longer by (D22/D11)^(1/4) where its bending stiffness is greater along the span: stretched so, its equations
    are nearly those of an even sheet (derived here).
    Measured on 32 sheets with up to 22 half waves: deflection within 1e-5 and critical compression within 1e-4 of a
    much finer solution. A point force gets six more. `error` in the results tells for the case at hand.
    """
    zone = np.sqrt(float(np.max(np.abs(sheet.curvature_values))) / sheet.thickness)
    half_waves = sheet.width * max(1.25 / sheet.length, zone / np.pi) * sheet.ratios.d22**-0.25
    along_x = 10 + 0.3 * sheet.length * zone + 2 * sheet.length / sheet.width
    along_y = 9 + 1.3 * half_waves
    more = 6 if load is not None and load.kind == "point" else 0
    return even_degree(along_x, DEGREES_X) + more, even_degree(along_y, DEGREES_Y) + more


def _relative(rough, fine):
    return _share(abs(rough - fine), fine)


def _share(part, whole):
    return float(part / abs(whole)) if whole else 0.0


def _press_notes(sheet, load, largest):
    notes = []
    if abs(largest) > 0.5 * sheet.thickness:
        notes.append("the deflection is more than half the thickness: stretching, left out here, changes it")
    if load.kind == "point" and load.footprint == 0:
        notes.append("the strain right under a point has no limit in this theory; give the force a footprint")
    return tuple(notes)


def _half_waves(mode, x):
    """Number of half waves along the span at x: changes of sign of the mode, plus one."""
    values = mode(x, np.linspace(0, mode.width, 401)[1:-1])
    signs = np.sign(values[np.abs(values) > 1e-3 * np.abs(values).max()])
    return int(np.count_nonzero(signs[1:] != signs[:-1])) + 1


# ----- Buckling where the spanwise compression is not even across the sheet, as when the part bends along its span.
#
# A fibre of a bent part is compressed in proportion to its distance from the chord line: hardly at the land, most at
# the rod. The critical stress, at the place that is compressed most, is then well above that of even compression. The
# same energy method as `shell`, only the work of the compression is weighted; it is taken as unchanged along the span.


def uneven_critical_stress(sheet: FramedSheet, share, degrees=None) -> float:
    """Critical spanwise compression where `share` is one [Pa], for a compression that goes across the sheet as `share`.

    share : callable of the arclength from the land end [m], an array; its values, 0 to 1 where compressed (negative:
        stretched), are the stress over its reference value.
    degrees : as for `mechanics.shell.press`.

    Solves K w = N G w with G the integral of share w,y^2 for the lowest positive N. For a share of one everywhere it is
    `mechanics.shell.buckle`. ValueError where nothing is compressed.
    """
    degrees = _read_degrees(degrees) or default_degrees(sheet)
    parts = (ritz_model(sheet, degrees, parity) for parity in parities(sheet.edges))
    counted = share(curvature_stations(sheet.length))
    inverse = _largest_root((_work(part.sets[2], sheet, counted), part.stiffness) for part in parts)
    if not inverse > 0.0:
        raise ValueError("the share of the compression is nowhere positive: nothing can buckle")
    return float(sheet.bending_stiffness / inverse / sheet.thickness)


def bent_share(bend: Bend):
    """Share of the compression across one bent sheet when the part bends about its chord line: y over its value at the
    rod, as a function of the arclength [m]. For a single bend."""
    return lambda arclength: bend.outline(np.asarray(arclength))[1] / bend.contact_y


def _work(functions, sheet, share):
    """Integral of share w,y^2 over the sheet, rows and columns the functions of w; share at `curvature_stations`."""
    x, y = functions.along_x, functions.along_y
    across, along = weighted(x, 0, x, share), product_integral(y, 1, y, 1)
    scale = (2.0 / sheet.width) ** 2 * sheet.length * sheet.width / 4.0
    return across[np.ix_(functions.i, functions.i)] * along[np.ix_(functions.j, functions.j)] * scale
