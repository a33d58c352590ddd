"""A sheet pair and a spacer to the bent shape: exact, scalar or array, or the reason why not.

Two identical flat sheets, mirrored about y = 0, bonded over a land that ends at x = 0 and is held parallel,
are spread by a round rod. x runs along the chord from the trailing edge to the leading edge, y across it. Each
sheet is a piece of the rectangular elastica (`elastica`) up to the contact and straight in front of it. The shape
depends on lengths only, so no material enters here.

With y0 = (t + g)/2, R the rod's radius, e the setback, L the free length and th the contact angle:

    rise       y0 + (X sin th - I1 cos th)/k = (R + t/2) cos th
    setback    s_c = I0/k = L - (e + R (1 + sin th))/cos th

Eliminating k gives R as an explicit function of th with one maximum: the greatest spacer. A smaller spacer has two
equilibria; the one returned is always the lower branch, reached by growing the spacer from the bond line. Next to the
maximum th changes like a square root, and the result says that it is ill-conditioned.

Left out: friction, self weight, unequal sheets, initial bow, a land that turns (see `strip`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from ..units import read_array, read_count, read_number
from . import elastica
from .bend_solver import OK, REASONS, explain, greatest_diameter, solve_chunk
from .numerics import ANY_NUMBER, in_chunks, plain, read_together

CHUNK = 16384  # designs solved together: the working arrays stay in the processor's cache
_STATIONS = "or an array of arclengths [m]"
NEAR_FOLD = 5.0  # condition number (relative change of angle over relative change of opening) worth a warning


class InfeasibleBend(ValueError):
    """These sheets cannot be bent over this spacer; the text names the quantity to change and by how much.

    >>> from panelmech import solve_bend
    >>> solve_bend(0.225, 0.002, 0.15)
    Traceback (most recent call last):
    panelmech.mechanics.bend.InfeasibleBend: spacer diameter 150.0 mm is larger than the greatest one these
    sheets take, 116.6 mm: use a spacer of at most that, or a free length of at least 289.5 mm instead of 225.0
    mm
    """


@dataclass(frozen=True, eq=False)
class Bend:
    """The bent shape of a sheet pair. Every field is a float, or an array of the broadcast shape of the inputs.

    Not feasible: the results are nan. All that is not stored is computed on demand.

    Attributes
    ----------
    free_length, sheet_thickness, spacer_diameter, bond_line, setback : the inputs [m]
    contact_angle : tangent angle at the contact with the rod [rad]
    contact_arclength : of the contact, from the land end along the mid-surface [m]
    wavenumber : k, so that the contact force is N = D k^2 [1/m]
    greatest_spacer : its diameter [m]
    condition : relative change of the contact angle over relative change of the opening [-]
    reason_code : index into `REASONS`, 0 where feasible

    >>> from panelmech import solve_bend
    >>> from panelmech.units import show
    >>> bend = solve_bend(0.225, 0.002, 0.018, 0.0003, 0.003)
    >>> show(bend.outer_thickness, "mm"), show(bend.spacer_position, "mm"), show(bend.contact_angle, "deg", 3)
    ('23.53 mm', '212.8 mm', '3.57°')
    """

    free_length: float | np.ndarray
    sheet_thickness: float | np.ndarray
    spacer_diameter: float | np.ndarray
    bond_line: float | np.ndarray
    setback: float | np.ndarray
    contact_angle: float | np.ndarray
    contact_arclength: float | np.ndarray
    wavenumber: float | np.ndarray
    greatest_spacer: float | np.ndarray
    condition: float | np.ndarray
    reason_code: int | np.ndarray

    @property
    def shape(self) -> tuple:
        """Broadcast shape of the inputs; () for a single design."""
        return np.shape(self.contact_angle)

    @property
    def feasible(self):
        """True where these sheets take this spacer; only there the results are numbers."""
        return plain(np.asarray(self.reason_code) == OK)

    @property
    def reason(self):
        """Why not, in words; empty where feasible."""
        words = np.asarray(REASONS)[self.reason_code]
        return str(words) if words.ndim == 0 else words

    @property
    def near_fold(self):
        """True where the spacer is so close to the greatest one that the shape is ill-conditioned."""
        return plain(np.asarray(self.condition) > NEAR_FOLD)

    @property
    def spacer_radius(self):
        """R [m]."""
        return 0.5 * self.spacer_diameter

    @cached_property
    def _sine(self):
        return np.sin(self.contact_angle)

    @cached_property
    def _cosine(self):
        return np.cos(self.contact_angle)

    @property
    def overhang(self):
        """Straight sheet in front of the contact, L - s_c [m]."""
        return (self.setback + self.spacer_radius * (1.0 + self._sine)) / self._cosine

    @cached_property
    def contact_x(self):
        """x of the contact on the mid-surface [m]."""
        return (
            elastica.along(self.contact_angle) * self._cosine + elastica.across(self.contact_angle) * self._sine
        ) / self.wavenumber

    @property
    def contact_y(self):
        """y of the contact on the mid-surface of the upper sheet [m]."""
        return (self.spacer_radius + 0.5 * self.sheet_thickness) * self._cosine

    @property
    def spacer_position(self):
        """x of the rod's centre, Xc [m]."""
        return self.contact_x + (self.spacer_radius + 0.5 * self.sheet_thickness) * self._sine

    @property
    def mouth_position(self):
        """x of the inner corners of the sheet ends: the mouth plane [m]."""
        return self.spacer_position + self.spacer_radius + self.setback

    @property
    def mouth(self):
        """Distance between the two inner corners of the sheet ends [m]."""
        return 2.0 * (self.spacer_radius * self._cosine + self.overhang * self._sine)

    @property
    def outer_thickness(self):
        """Largest thickness over the outer faces, at the front edge [m]."""
        return self.mouth + 2.0 * self.sheet_thickness * self._cosine

    @property
    def free_chord(self):
        """From the land end to the front-most point, sheet corner or rod [m]."""
        return np.maximum(self.mouth_position, self.spacer_position + self.spacer_radius)

    @property
    def nose_step(self):
        """Step from the rod's surface up to the outer corner of the sheet end, to be faired where the rod is proud [m].

        Measured along the rod's radius: sqrt((R + t)^2 + overhang^2) - R. Zero where the setback is not negative.
        """
        radius = _where_feasible(self, self.spacer_radius)
        step = np.hypot(radius + self.sheet_thickness, self.overhang) - radius
        return plain(np.where((np.asarray(self.setback) < 0.0) | np.isnan(step), step, 0.0))

    @cached_property
    def land_curvature(self):
        """Curvature at the land end, th'(0) = k sqrt(2 sin th_c), the largest of the sheet [1/m]."""
        return self.wavenumber * elastica.along(self.contact_angle)

    @cached_property
    def cell_area(self):
        """Area between the two mid-surfaces from x = 0 to the line through the contacts [m2]."""
        k, th, s, c = self.wavenumber, self.contact_angle, self._sine, self._cosine
        along, across, under = elastica.along(th) / k, elastica.across(th) / k, elastica.area_under(th) / k**2
        half = (
            self.contact_x * self.contact_y
            + under
            - s * s * along * across
            - 0.5 * s * c * (along - across) * (along + across)
        )
        return 2.0 * half

    def _half_under_inner_face(self, angle, x, y, length, half_mid):
        """Half area under the inner face, from the half area under the mid-surface and its end point."""
        h, s, c = 0.5 * self.sheet_thickness, np.sin(angle), np.cos(angle)
        return half_mid + (y - 0.5 * h * c) * h * s - h * length - 0.5 * h * h * angle

    @cached_property
    def enclosed_area(self):
        """Between the inner faces, from the land end to the mouth plane, the rod included [m2]."""
        tip_x = self.contact_x + self.overhang * self._cosine
        tip_y = self.contact_y + self.overhang * self._sine
        mid = 0.5 * self.cell_area + 0.5 * (self.contact_y + tip_y) * (tip_x - self.contact_x)
        return 2.0 * self._half_under_inner_face(self.contact_angle, tip_x, tip_y, self.free_length, mid)

    @cached_property
    def void_area(self):
        """Between the inner faces and behind the rod, from the land end to the two contacts [m2]."""
        under = self._half_under_inner_face(
            self.contact_angle, self.contact_x, self.contact_y, self.contact_arclength, 0.5 * self.cell_area
        )
        behind = 0.5 * self.spacer_radius**2 * (np.pi / 2 - self.contact_angle - self._sine * self._cosine)
        return 2.0 * (under - behind)

    @cached_property
    def front_area(self):
        """Between the inner faces, in front of the rod, up to the mouth plane: the potting [m2].

        With a negative setback the rod passes through the mouth plane; counted is what is outside it, behind the plane.
        """
        radius, angle, s, c = self.spacer_radius, self.contact_angle, self._sine, self._cosine
        reach = _where_feasible(self, np.minimum(radius + self.setback, radius)) / _where_feasible(self, radius)
        disc = 0.5 * radius**2 * (np.arcsin(reach) + reach * np.sqrt(1.0 - reach**2) + angle + s * c)
        strip = 0.5 * (radius * c + 0.5 * self.mouth) * self.overhang * c
        return 2.0 * (strip - disc)

    def tangent_angle(self, arclength):
        """Tangent angle of the upper sheet [rad] at `arclength` from the land end [m].

        `arclength` is one number for all designs, has the shape of the design (one station each), or that shape (or one
        that broadcasts to it) with one more axis for the stations.
        """
        psi = elastica.angle_at(self._sigma(arclength))
        return self._last(self.contact_angle, arclength) - psi

    def curvature(self, arclength):
        """Curvature th'(s) [1/m] at `arclength` [m]: exact, and zero in front of the contact."""
        return self._last(self.wavenumber, arclength) * elastica.along(elastica.angle_at(self._sigma(arclength)))

    def outline(self, stations=101):
        """Mid-surface of the upper sheet, land end to front edge.

        Parameters
        ----------
        stations : int or array
            Number of points (at least 2), evenly spaced in arclength; or arclengths from the land end [m], 0 to the
            free length, of a shape as for `tangent_angle`.

        Returns
        -------
        x, y : arrays [m], the shape of the design with one more axis for the stations.
        """
        if np.ndim(stations) == 0:
            stations = np.asarray(self.free_length)[..., None] * np.linspace(
                0.0, 1.0, read_count(stations, "stations", 2, hint=_STATIONS)
            )
        arclength = np.asarray(stations, dtype=float)
        psi = elastica.angle_at(self._sigma(arclength))
        s, c, k = (self._last(v, arclength) for v in (self._sine, self._cosine, self.wavenumber))
        along, across = elastica.along(psi) / k, elastica.across(psi) / k
        ahead = np.maximum(arclength - self._last(self.contact_arclength, arclength), 0.0)
        x = self._last(self.contact_x, arclength) + (ahead - along) * c - across * s
        y = self._last(self.contact_y, arclength) + (ahead - along) * s + across * c
        return x, y

    def _sigma(self, arclength):
        arclength = read_array(arclength, "arclength", "mm", nan=True)
        _refuse_misfit(arclength.shape, self.shape)
        length = self._last(_where_feasible(self, self.free_length), arclength)  # no sheet, no station off it
        off = (arclength < -1e-12 * length) | (arclength > length * (1 + 1e-12))
        if np.any(off):
            where, on = (np.broadcast_to(v, off.shape)[off].flat[0] for v in (arclength, length))
            raise ValueError(
                f"arclength {where:.6g} m is not on the sheet: it runs from 0 at the land end to the free "
                f"length, {on:.6g} m"
            )
        behind = self._last(self.contact_arclength, arclength) - arclength
        return self._last(self.wavenumber, arclength) * np.maximum(behind, 0.0)

    def _last(self, value, like):
        """A design's value with a last axis for stations, where `like` has one."""
        return np.asarray(value)[..., None] if np.ndim(value) and np.ndim(like) > len(self.shape) else value


_NAMES = ("free length", "sheet thickness", "spacer diameter", "bond line", "setback")


def solve_bend(free_length, sheet_thickness, spacer_diameter, bond_line=0.0, setback=0.0) -> Bend:
    """Exact bent shape of two identical sheets over a round spacer.

    Parameters
    ----------
    free_length : float or array
        Arclength of the mid-surface from the land end to the front edge, L [m], positive.
    sheet_thickness : float or array
        t [m], positive.
    spacer_diameter : float or array
        2 R [m], larger than the bond line.
    bond_line : float or array
        Thickness of the adhesive between the inner faces at the land, g [m], not negative.
    setback : float or array
        From the front-most point of the rod back to the inner corners of the sheet ends, measured forward along the
        chord, e [m]. Negative: the rod stands proud.

    Returns
    -------
    Bend
        Floats if every argument is one (0-d arrays count), else read-only arrays of the broadcast shape. Relative
        accuracy 1e-10 or better away from the fold (`near_fold` false); the greatest spacer itself is well-conditioned.

    Raises
    ------
    InfeasibleBend
        For a single design that is not feasible. In array mode the results are nan and `reason` says why.
    ValueError
        For an argument that is not a finite number, or a length that is not positive (single design), or arrays that do
        not broadcast.

    Notes
    -----
    Source: rectangular elastica, derived here (see the module text); identities in the tests.

    >>> from panelmech import solve_bend
    >>> from panelmech.units import show
    >>> [show(mouth, "mm") for mouth in solve_bend(0.225, 0.002, [0.018, 0.024], 0.0003, 0.003).mouth]
    ['19.53 mm', '26.64 mm']
    """
    read = read_lengths(free_length, sheet_thickness, spacer_diameter, bond_line, setback)
    if not any(map(np.ndim, read)):
        return _solve_one(*read)
    arrays = [np.array(value) for value in read]  # copies: a record must not change with the caller's arrays
    shape = np.broadcast_shapes(*(a.shape for a in arrays))
    columns = in_chunks(solve_chunk, arrays, CHUNK)
    for column in columns:
        column.flags.writeable = False
    return Bend(*(np.broadcast_to(a, shape) for a in arrays), *columns)


@lru_cache(maxsize=4096)
def _solve_one(*values) -> Bend:
    """Of a single design; kept, for other rods, walls and materials leave the shape as it is."""
    for name, value, ends in zip(_NAMES, values, (*[dict(above=0.0)] * 3, dict(low=0.0), {}), strict=True):
        read_number(value, name, "mm", **ends)
    *rows, codes = solve_chunk(*(np.array([value]) for value in values))
    code = int(codes[0])
    if code != OK:
        raise InfeasibleBend(explain(code, *values))
    return Bend(*values, *(float(row[0]) for row in rows), code)


def greatest_spacer(free_length, bond_line=0.0, setback=0.0, sheet_thickness=0.0):
    """Largest spacer diameter these sheets take [m], a float or an array; nan where no spacer fits at all.

    Arguments as for `solve_bend`; a sheet thickness of 0 gives the limit of a thin sheet.
    """
    length, thickness, _, *rest = read_lengths(free_length, sheet_thickness, 0.0, bond_line, setback)
    arrays = [np.asarray(value) for value in (length, thickness, *rest)]
    return plain(in_chunks(lambda *rows: [greatest_diameter(*rows)], arrays, CHUNK)[0])


def read_lengths(*lengths) -> list:
    """The five lengths of `solve_bend`, in its order, as numbers or arrays that go together; what is no length at all
    gets its code later. ValueError for what is no number."""
    return read_together({name: (value, "mm") for name, value in zip(_NAMES, lengths, strict=True)}, **ANY_NUMBER)


def _refuse_misfit(stations: tuple, designs: tuple):
    """Stations go with one design in any shape; with several, one number, one each, or a row of them for each."""
    if designs == () or stations == ():
        return
    lead = stations[: len(designs)]
    fits = len(stations) in (len(designs), len(designs) + 1)
    if not (fits and all(n in (1, m) for n, m in zip(lead, designs, strict=True))):
        raise ValueError(
            f"arclengths of shape {stations} do not go with designs of shape {designs}: give one number, "
            f"an array of shape {designs}, or one of that shape with one more axis for the stations"
        )


def _where_feasible(bend, value):
    return np.where(np.isnan(bend.contact_angle), np.nan, value)
