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

from ..units import read_count
from .bend import Bend
from .shell_blocks import NotPositive
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
from .shell_model import CURVATURE_NODES, FramedSheet, SheetLoad, curvature_stations, even_pressure
from .shell_ritz import MOST_ALONG_X, critical, displaced, is_stable, load_work, parities
from .shell_waves import SUPPORTING, lowest, waves

# ----- Degrees: what it takes to hold the accuracy told in `press`, `largest_deflection` and `buckle`.
#
# A sheet pressed evenly is smooth but for strips along its edges, a shape that buckles wavy all over. Polynomials
# follow a strip that is a share s of half the side wide from a degree that goes with s^-1/2, and n half waves from a
# degree a little above n pi / 2 (Legendre series; the rest measured over the whole range, by the tests of it).


MOST_DEGREES = (MOST_ALONG_X, 400)  # along x what the nodes of the curvature allow, along y for time
MOST_HALF_WAVES = 220  # that MOST_DEGREES follow
COARSER = 2  # degrees left out, each way, in the coarser model behind the error estimates


def default_degrees(sheet, load=None):
    """Polynomial degrees (x, y) of `press`: the largest deflection within 1e-5, the moment in the middle of a clamped
    land within 1e-3; more under a force on a small square."""
    half_waves, turned, zones = proportions(sheet)
    if load is not None and load.kind == "point":
        return _degrees(9 + 0.3 * zones + 7 * turned**0.5, 20 + 3.2 * half_waves)
    return _degrees(11 + 0.3 * zones + 7 * turned**0.5, 12 + 11 * half_waves**0.5)


def deflection_degrees(sheet):
    """Polynomial degrees (x, y) of `largest_deflection`: the deflection alone within 1e-5."""
    half_waves, turned, zones = proportions(sheet)
    return _degrees(5 + 0.2 * zones + 7 * turned**0.5, 7 + 6.5 * half_waves**0.5)


def buckling_degrees(sheet, half_waves):
    """Polynomial degrees (x, y) that follow a shape of so many half waves along the span: its critical value within
    1e-5."""
    _, turned, zones = proportions(sheet)
    return _degrees(8 + 0.3 * zones + 1.5 * turned**0.5, 6 + 0.5 * np.pi * half_waves + 2.5 * np.cbrt(half_waves))


def proportions(sheet):
    """Half waves it may buckle into, length over width as if it were the same every way, length over a zone's.

    A flat sheet buckles into half waves about 0.8 of its length, a curved one into half waves near pi sqrt(t/kappa),
    both longer by (D22/D11)^(1/4) where its bending stiffness is greater along the span: stretched so, its equations
    are nearly those of an even sheet (derived here).
    """
    zone = np.sqrt(float(np.max(np.abs(sheet.curvature_values))) / sheet.thickness)
    stretch = sheet.ratios.d22**0.25
    half_waves = sheet.width * max(1.25 / sheet.length, zone / np.pi) / stretch
    return half_waves, sheet.length / sheet.width * stretch, sheet.length * zone


def _degrees(along_x, along_y):
    return even_degree(along_x, (10, MOST_DEGREES[0])), even_degree(along_y, (10, MOST_DEGREES[1]))


def even_degree(degree, limits):
    """The next even degree within limits."""
    return int(2 * np.ceil(np.clip(degree, *limits) / 2))


def read_degrees(degrees):
    """Degrees given by hand, or None. ValueError unless they are two, no greater than can be worked out."""
    if degrees is None:
        return None
    if not isinstance(degrees, tuple | list) or len(degrees) != 2:
        raise ValueError(f"degrees are {degrees!r}: give two whole numbers, along x and along y")
    return tuple(read_count(degree, "degree", 6, most) for degree, most in zip(degrees, MOST_DEGREES, strict=True))


# ----- Displacements under a load, with a coarser version of each.
#
# Under a force on a small square polynomials converge slowly. The sharp part is that of a flat sheet, though: what
# curvature changes is smoother by four orders. So the answer is the difference between the curved and the flat sheet,
# plus the flat sheet at higher degrees (derived here). Either is worked out again with more degrees until the change is
# a small share of the whole: near an edge, on a long sheet or a small square it takes many. The coarser model behind
# the change has four fifths of the degrees. The error falls about like their cube, so what is left is about the change;
# the error stated is twice that (measured against Navier's series: up to 1.5 times the change).


POINT_SHARE = 2e-4  # of the largest deflection: greatest change of either part that is let stand
FINE_DEGREES = (40, 800)  # range of the degrees for the sharp part
FEWER = 0.8
MORE = {"curved": (1.2, 1.5), "flat": (1.5, 1.5)}  # along x and y; the difference takes more along the span
ROUNDS = {"curved": 2, "flat": 4}  # of more degrees, at most


def displacements(sheet, load, degrees=None):
    """Degrees used, fields (u, v, w) at these and of the coarser model, then the deflection, a coarser one and the
    doubt beyond that [m].

    u, v, w are `Field`s. Away from forces on a small square the deflection is w itself and the doubt zero. degrees: by
    default `default_degrees`, and with such a force more where they are needed.
    """
    used = degrees or default_degrees(sheet, load)
    if load.kind == "point":
        return _sharpened(sheet, load, used, degrees is not None)
    smooth, rough = (_fields(sheet, load, d) for d in (used, tuple(np.subtract(used, COARSER))))
    return used, smooth, rough, smooth[2], rough[2], 0.0


def _fields(sheet, load, degrees):
    """The three displacement fields, all parities that the load excites together."""
    degrees = tuple(map(int, degrees))
    works = {parity: load_work(sheet, load, degrees, parity) for parity in parities(sheet.edges)}
    most = max(np.abs(work).max() for work in works.values())
    parts = [
        displaced(sheet, work, degrees, parity) for parity, work in works.items() if np.abs(work).max() >= 1e-13 * most
    ]
    return [Field(added(*series), sheet.length, sheet.width) for series in zip(*parts, strict=True)]


def _sharpened(sheet, load, degrees, given):
    """`displacements` under a force on a small square; given: degrees by hand stay as they are."""
    flat = sheet.flat()

    def curved(d):
        fields = _fields(sheet, load, d)
        return fields, difference(fields[2], fields[2] if sheet.is_flat else _fields(flat, load, d)[2])

    change = POINT_SHARE * largest_on_grid(_fields(sheet, load, degrees)[2])
    most = degrees if given else MOST_DEGREES
    used, (smooth, part), (rough, other) = _refined("curved", curved, degrees, most, lambda pair: pair[1], change)
    fine, most = _fine_degrees(sheet), 2 * FINE_DEGREES[1:]
    _, sharp, blunt = _refined("flat", lambda d: _fields(flat, load, d)[2], fine, most, lambda field: field, change)
    deflection, coarser = (Field(added(sharp.coefficients, p.coefficients), *_size(sheet)) for p in (part, other))
    doubt = largest_on_grid(difference(part, other)) + 2 * largest_on_grid(difference(sharp, blunt))
    return used, smooth, rough, deflection, coarser, doubt


def _refined(part, make, degrees, most, counted, change):
    """(degrees, what `make` makes of them, of fewer) for degrees from which fewer make so little change in the `Field`
    that is counted, or for the most there may be."""
    for left in range(ROUNDS[part], -1, -1):
        fine, rough = make(degrees), make(_times((FEWER, FEWER), degrees, most))
        small = largest_on_grid(difference(counted(fine), counted(rough))) <= change
        if small or not left or np.all(np.greater_equal(degrees, most)):
            break
        degrees = _times(MORE[part], degrees, most)
    return degrees, fine, rough


def _times(factors, degrees, most):
    return tuple(even_degree(f * d, (6, limit)) for f, d, limit in zip(factors, degrees, most, strict=True))


def _size(sheet):
    return sheet.length, sheet.width


def _fine_degrees(sheet):
    turned = proportions(sheet)[1]
    steps = (np.ceil(np.log(max(1.0, r)) / np.log(1.5) - 1e-9) for r in (turned, 1 / turned))  # few bases for all
    return tuple(even_degree(FINE_DEGREES[0] * 1.5**step, FINE_DEGREES) for step in steps)


# ----- Deflection and buckling.


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
    error, strain_error : largest relative change anywhere against a coarser model; under a force on a small square the
        error is twice that change, and below 1e-3 but for a square of a hundredth of the side beside an edge [-]
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
        `error` of the deflection does not.
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
    error : relative change against a model coarser by two degrees each way [-]
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
        return half_waves_along(self.mode, self._top[1])

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

    degrees: polynomial degrees along x and y, by default `default_degrees`. A load symmetric about mid-span uses half
    the functions; a point force is treated apart (`mechanics.shell`). Returns a `Press`; its `error` says how well it
    has converged.
    Raises ValueError for a load off the sheet.

    >>> from panelmech.mechanics import framed_sheet, press, solve_bend
    >>> from panelmech.mechanics.shell_model import even_pressure
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> show(press(sheet, even_pressure(-500.0)).largest_deflection, "mm", 3)  # 500 Pa press it in
    '−0.438 mm'
    """
    load = load or even_pressure()
    degrees, smooth, rough, w, rough_w, doubt = displacements(sheet, load, read_degrees(degrees))
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

    The number of half waves to expect, and so the degrees, come from `mechanics.shell_waves`; the critical value is
    within 1e-5, never below the exact one but for rounding. degrees as for `press`. Returns a `Buckling`.

    >>> from panelmech.mechanics import buckle, framed_sheet, solve_bend
    >>> from panelmech.units import show
    >>> sheet = framed_sheet(solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003), 0.85, 0.012, 18.6e9, 0.175)
    >>> show(buckle(sheet).stress, "MPa", 3)
    '9.03 MPa'
    """
    bound, half_waves = _bound(sheet, _EVERYWHERE, read_degrees(degrees))
    degrees = read_degrees(degrees) or buckling_degrees(sheet, min(half_waves, MOST_HALF_WAVES))
    modes = []
    for parity in parities(sheet.edges):
        values, shapes = _above(bound, sheet, degrees, parity, _EVERYWHERE, 2)
        modes += [(value, parity, shape) for value, shape in zip(values, shapes, strict=True)]
    modes.sort(key=lambda m: m[0])
    value, parity, shape = modes[0]
    coarser = tuple(np.subtract(degrees, COARSER).tolist())
    rough = _above(bound, sheet, coarser, parity, _EVERYWHERE)[0][0]
    load, following = (float(m[0] * sheet.bending_stiffness) for m in modes[:2])
    return Buckling(
        sheet,
        load,
        load / sheet.thickness,
        None if parity == "all" else parity == "even",
        following,
        _relative(rough, value),
        degrees,
        sheet.notes(),
        Field(shape, sheet.length, sheet.width),
    )


def largest_deflection(sheet, load=None, degrees=None) -> float:
    """Largest deflection of a sheet under a load that is spread, with its sign [m], within 1e-5: `press`'s, and
    nothing beside it.

    Arguments as for `press`, but that by default the degrees are `deflection_degrees`: a quarter of its time. Raises
    ValueError for a point force, which `press` treats apart.
    """
    load = load or even_pressure()
    if load.kind == "point":
        raise ValueError("the deflection under a point force is `press`'s: give a pressure")
    return find_largest(_fields(sheet, load, read_degrees(degrees) or deflection_degrees(sheet))[2])[0]


_EVERYWHERE = np.ones(CURVATURE_NODES)  # share of an even compression


def critical_stress(sheet, degrees=None) -> float:
    """Critical uniform spanwise compression [Pa]: `buckle`'s stress, and nothing beside it. degrees as for `press`; for
    frames that only support the sheet the one along y is not needed (`mechanics.shell_waves`)."""
    return float(sheet.bending_stiffness * _lowest(sheet, _EVERYWHERE, read_degrees(degrees)) / sheet.thickness)


def _lowest(sheet, share, degrees):
    """Lowest critical compression over D11. Of more than MOST_HALF_WAVES half waves that of frames that only support
    the sheet: it is less (Rayleigh), by less than 1e-4 (measured)."""
    bound, half_waves = _bound(sheet, share, degrees)
    if sheet.edges.near_frame == sheet.edges.far_frame == SUPPORTING or half_waves > MOST_HALF_WAVES:
        return bound
    degrees, best = degrees or buckling_degrees(sheet, half_waves), np.inf
    for parity in parities(sheet.edges):
        if not np.isfinite(best) or not is_stable(sheet, degrees, parity, share, best):
            best = min(best, _above(bound, sheet, degrees, parity, share)[0][0])
    return best


def _bound(sheet, share, degrees):
    """(critical compression over D11, half waves) of the sheet between frames that only support it: `lowest`."""
    guess = proportions(sheet)[0]
    along_x = degrees[0] if degrees else buckling_degrees(sheet, 1.0)[0]
    return lowest(sheet, waves(sheet, along_x, share), guess, float(np.max(share)))


def _above(bound, sheet, degrees, parity, share, count=1):
    """`critical` above a little less than the bound, or half of that and so on where a frame holds the sheet less."""
    for part in (0.98, 0.5, 0.1, 0.01):
        try:
            return critical(sheet, degrees, parity, share, part * bound, count)
        except NotPositive:
            continue
    return critical(sheet, degrees, parity, share, 0.0, count)


def _relative(rough, fine):
    return _share(abs(rough - fine), fine)


def _share(part, whole):
    return float(part / abs(whole)) if whole else 0.0


def _press_notes(sheet, load, largest):
    notes = []
    if abs(largest) > 0.5 * sheet.thickness:
        notes.append("the deflection is more than half the thickness: stretching, left out here, changes it")
    return tuple(notes)


def half_waves_along(mode, x):
    """Number of half waves along the span at x: changes of sign of the mode, plus one."""
    values = mode(x, np.linspace(0, mode.width, 8 * mode.coefficients.shape[1])[1:-1])
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
    counted = share(curvature_stations(sheet.length))
    if not np.max(counted) > 0.0:
        raise ValueError("the share of the compression is nowhere positive: nothing can buckle")
    return float(sheet.bending_stiffness * _lowest(sheet, counted, read_degrees(degrees)) / sheet.thickness)


def bent_share(bend: Bend):
    """Share of the compression across one bent sheet when the part bends about its chord line: y over its value at the
    rod, as a function of the arclength [m]. For a single bend."""
    return lambda arclength: bend.outline(np.asarray(arclength))[1] / bend.contact_y
