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
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from . import elastica
from .units import show

CHUNK = 16384  # designs solved together: the working arrays stay in the processor's cache
NEAR_FOLD = 5.0  # condition number (relative change of angle over relative change of opening) worth a warning
_MAX_STEPS = 60

REASONS = (
    "",
    "the spacer is not thicker than the bond line, so it does not spread the sheets: use a thicker spacer",
    "the spacer is larger than the greatest one these sheets take: use a smaller spacer or a longer free length",
    "the setback leaves no free sheet between the land and the spacer: use a smaller setback or a longer free length",
    "the spacer stands so far out that it touches no sheet: use a larger (less negative) setback or a larger spacer",
    "free length, sheet thickness and spacer must be positive numbers and the bond line not negative",
)
OK, TOO_SMALL, TOO_LARGE, NO_FREE_SHEET, OFF_THE_SHEET, NOT_A_LENGTH = range(6)


class InfeasibleBend(ValueError):
    """These sheets cannot be bent over this spacer; the text names the quantity to change and by how much."""


@dataclass(frozen=True, eq=False)
class Bend:
    """The bent shape of a sheet pair. Every field is a float, or an array of the broadcast shape of the inputs.

    Stored: the inputs [m]; `contact_angle` [rad], tangent angle at the contact with the rod; `contact_arclength` [m],
    from the land end along the mid-surface; `wavenumber` k [1/m], so that N = D k^2; `greatest_spacer` [m], diameter;
    `condition` [-], relative change of the contact angle over relative change of the opening; `reason_code`, an index
    into `REASONS`, 0 where feasible. Where not feasible the results are nan. All else is computed from these on demand.
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
        """True where these sheets take this spacer."""
        return _plain(np.asarray(self.reason_code) == OK, bool)

    @property
    def reason(self):
        """Why not, in words; empty where feasible."""
        words = np.asarray(REASONS)[self.reason_code]
        return str(words) if words.ndim == 0 else words

    @property
    def near_fold(self):
        """True where the spacer is so close to the greatest one that the shape is ill-conditioned."""
        return _plain(np.asarray(self.condition) > NEAR_FOLD, bool)

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
        return (elastica.along(self.contact_angle) * self._cosine
                + elastica.across(self.contact_angle) * self._sine) / self.wavenumber

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
        """Step from the rod's surface up to the outer corner of the sheet end, to be faired where the rod stands proud [m].

        Measured along the rod's radius: sqrt((R + t)^2 + overhang^2) - R. Zero where the setback is not negative.
        """
        step = np.hypot(self.spacer_radius + self.sheet_thickness, self.overhang) - self.spacer_radius
        return _plain(np.where(np.asarray(self.setback) < 0.0, step, 0.0), float)

    @property
    def land_curvature(self):
        """Curvature at the land end, th'(0) = k sqrt(2 sin th_c), the largest of the sheet [1/m]."""
        return self.wavenumber * elastica.along(self.contact_angle)

    @cached_property
    def cell_area(self):
        """Area between the two mid-surfaces from x = 0 to the line through the contacts [m2]."""
        k, th, s, c = self.wavenumber, self.contact_angle, self._sine, self._cosine
        along, across, under = elastica.along(th) / k, elastica.across(th) / k, elastica.area_under(th) / k**2
        half = (self.contact_x * self.contact_y + under - s * s * along * across
                - 0.5 * s * c * (along - across) * (along + across))
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
        under = self._half_under_inner_face(self.contact_angle, self.contact_x, self.contact_y,
                                            self.contact_arclength, 0.5 * self.cell_area)
        behind = 0.5 * self.spacer_radius**2 * (np.pi / 2 - self.contact_angle - self._sine * self._cosine)
        return 2.0 * (under - behind)

    @cached_property
    def front_area(self):
        """Between the inner faces, in front of the rod, up to the mouth plane: the potting [m2].

        With a negative setback the rod passes through the mouth plane; what counts is outside the rod and behind the plane.
        """
        radius, angle, s, c = self.spacer_radius, self.contact_angle, self._sine, self._cosine
        reach = np.minimum((radius + self.setback) / radius, 1.0)
        disc = 0.5 * radius**2 * (np.arcsin(reach) + reach * np.sqrt(1.0 - reach**2) + angle + s * c)
        strip = 0.5 * (radius * c + 0.5 * self.mouth) * self.overhang * c
        return 2.0 * (strip - disc)

    def tangent_angle(self, arclength):
        """Tangent angle of the upper sheet [rad] at `arclength` from the land end [m].

        `arclength` has the shape of the design, or that shape with one more axis for the stations.
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
            Number of points, evenly spaced in arclength, or arclengths from the land end [m], 0 to the free length.

        Returns
        -------
        x, y : arrays [m], the shape of the design with one more axis for the stations.
        """
        if np.ndim(stations) == 0:
            stations = np.asarray(self.free_length)[..., None] * np.linspace(0.0, 1.0, _station_count(stations))
        arclength = np.asarray(stations, dtype=float)
        psi = elastica.angle_at(self._sigma(arclength))
        s, c, k = (self._last(v, arclength) for v in (self._sine, self._cosine, self.wavenumber))
        along, across = elastica.along(psi) / k, elastica.across(psi) / k
        ahead = np.maximum(arclength - self._last(self.contact_arclength, arclength), 0.0)
        x = self._last(self.contact_x, arclength) + (ahead - along) * c - across * s
        y = self._last(self.contact_y, arclength) + (ahead - along) * s + across * c
        return x, y

    def _sigma(self, arclength):
        arclength = np.asarray(arclength, dtype=float)
        length = self._last(self.free_length, arclength)
        if np.any((arclength < -1e-12 * length) | (arclength > length * (1 + 1e-12))):
            raise ValueError(f"arclength {np.min(arclength):.6g} to {np.max(arclength):.6g} m is not on the sheet: it runs "
                             f"from 0 at the land end to the free length, {np.max(self.free_length):.6g} m")
        behind = self._last(self.contact_arclength, arclength) - arclength
        return self._last(self.wavenumber, arclength) * np.maximum(behind, 0.0)

    def _last(self, value, like):
        """A design's value with a last axis for stations, where `like` has one."""
        extra = np.ndim(like) - len(self.shape)
        return value if extra <= 0 or np.ndim(value) == 0 else np.asarray(value)[..., None]


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
        Floats if every argument is one, else arrays of the broadcast shape. Relative accuracy 1e-10 or better away from
        the fold (`near_fold` false); the greatest spacer itself is well-conditioned.

    Raises
    ------
    InfeasibleBend
        For a single design that is not feasible. In array mode the results are nan and `reason` says why.
    ValueError
        For an argument that is not a finite number (single design), or arrays that do not broadcast.

    Notes
    -----
    Source: rectangular elastica, derived here (see the module text); identities in the tests.
    """
    arrays = [np.asarray(v, dtype=float) for v in (free_length, sheet_thickness, spacer_diameter, bond_line, setback)]
    shape = np.broadcast_shapes(*(a.shape for a in arrays))
    if shape == ():
        _refuse_bad_numbers(arrays)
    inputs = [np.broadcast_to(a, shape) for a in arrays]
    size = int(np.prod(shape))
    out = np.empty((5, size))
    codes = np.empty(size, dtype=np.int8)
    flat = [a.ravel() if a.flags.c_contiguous else a.reshape(-1) if a.size == 1 else a.flat for a in inputs]
    for start in range(0, size, CHUNK):
        part = slice(start, min(start + CHUNK, size))
        out[:, part], codes[part] = _solve_chunk(*(f[part] for f in flat))
    results = [row.reshape(shape) for row in out]
    bend = Bend(*inputs, *results, codes.reshape(shape))
    if shape == ():
        bend = Bend(*(float(a) for a in inputs), *(float(a) for a in results), int(codes[0]))
        if not bend.feasible:
            raise InfeasibleBend(explain(bend))
    return bend


def _solve_chunk(length, t, diameter, g, setback):
    """Rows contact angle, arclength, wavenumber, greatest spacer, condition; and the reason codes."""
    with np.errstate(all="ignore"):
        codes = np.zeros(len(length), dtype=np.int8)
        good = (length > 0) & (t > 0) & (diameter > 0) & (g >= 0) & np.isfinite(length + t + diameter + g + setback)
        e, gap, tau = setback / length, 0.5 * g / length, (g + t) / length
        opening = 0.5 * (diameter - g) / length
        room = 1.0 - e - gap
        solvable = good & (room > 0)
        family = _Family(e, gap, tau)
        top = family.turning_angle(np.where(solvable, room, np.nan))
        most = family.opening(top)
        inside = solvable & (opening > 0) & (opening <= most)
        angle, slope = family.lower_branch(np.where(inside, opening, np.nan), room, top, most)
        ratio, sine, cosine = elastica._horner(elastica._RATIO, angle * angle), np.sin(angle), np.cos(angle)
        lift = opening * cosine - tau * np.sin(0.5 * angle) ** 2
        arc = ratio * lift / angle * length
        wave = elastica.arclength(angle) / arc
        condition = opening / angle / slope
        codes[~good] = NOT_A_LENGTH
        codes[good & (room <= 0)] = NO_FREE_SHEET
        codes[solvable & (opening > most)] = TOO_LARGE
        codes[solvable & (opening <= 0)] = TOO_SMALL
        codes[inside & ~(arc > 0)] = NO_FREE_SHEET
        codes[inside & (arc > length * (1.0 + 4e-16))] = OFF_THE_SHEET
        rows = np.array([angle, arc, wave, 2.0 * most * length + g, condition])
        rows[np.ix_([0, 1, 2, 4], codes != OK)] = np.nan
    return rows, codes


class _Family:
    """Opening of the sheets as a function of the contact angle, for given e/L, g/2L and (g + t)/L.

    opening = R - g/2 = numerator / denominator, both multiplied by cos(th) so that nothing is singular:
    numerator = th (c - e - gap (1 + s)) + ratio c tau sin^2(th/2),  denominator = ratio c^2 + th (1 + s).
    """

    def __init__(self, e, gap, tau):
        self.e, self.gap, self.tau = e, gap, tau

    def parts(self, th):
        """Numerator, denominator and their first derivatives."""
        u = th * th
        s, c = np.sin(th), np.cos(th)
        half = 0.5 * (1.0 - c)
        b, b1 = elastica._horner(elastica._RATIO, u), 2.0 * th * elastica._horner(elastica._RATIO_1, u)
        room = c - self.e - self.gap * (1.0 + s)
        num = th * room + b * c * self.tau * half
        den = b * c * c + th * (1.0 + s)
        num1 = room - th * (s + self.gap * c) + self.tau * ((b1 * c - b * s) * half + 0.5 * b * c * s)
        den1 = b1 * c * c - 2.0 * b * c * s + 1.0 + s + th * c
        return num, den, num1, den1

    def second(self, th):
        """Second derivatives of numerator and denominator."""
        u = th * th
        s, c = np.sin(th), np.cos(th)
        half = 0.5 * (1.0 - c)
        p1 = elastica._horner(elastica._RATIO_1, u)
        b, b1 = elastica._horner(elastica._RATIO, u), 2.0 * th * p1
        b2 = 2.0 * p1 + 4.0 * u * elastica._horner(elastica._RATIO_2, u)
        num2 = (-2.0 * (s + self.gap * c) - th * (c - self.gap * s)
                + self.tau * (b2 * c * half - 2.0 * b1 * s * half + b1 * c * s + b * (0.5 * c * c - s * s - c * half)))
        den2 = b2 * c * c - 4.0 * b1 * c * s - 2.0 * b * (c * c - s * s) + 2.0 * c - th * s
        return num2, den2

    def opening(self, th):
        num, den, _, _ = self.parts(th)
        return num / den

    def turning_angle(self, room):
        """Contact angle at the greatest spacer: the only zero of the slope on 0 < th < pi/2."""
        low, high = np.zeros_like(room), np.full_like(room, np.pi / 2)
        # starting guess only: fitted to the result, within 0.2 % for ordinary parts
        guess = 0.7778 - 0.0117 * room - 0.0086 * room**2 + (0.1165 * self.tau - 0.468 * self.gap) / room
        th = np.clip(guess * np.sqrt(room), 0.0, 1.4)
        for _ in range(_MAX_STEPS):
            num, den, num1, den1 = self.parts(th)
            num2, den2 = self.second(th)
            rising = num1 * den - num * den1
            up = rising > 0
            low, high = np.where(up, th, low), np.where(up, high, th)
            step = th - rising / (num2 * den - num * den2)
            step = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved = np.nanmax(np.abs(step - th), initial=0.0)
            th = step
            if not moved > 1e-4:  # the next step would be 1e-8, and the flat maximum is right to its square
                break
        return th

    def lower_branch(self, opening, room, top, most):
        """Angle on the branch that starts at zero, and d opening / d angle there.

        Newton's method, kept inside (0, turning angle); the slope is that of the last step but one.
        """
        w = np.sqrt(1.0 - opening / most)  # exact at both ends and to first order at zero
        th = top * (1.0 - w * (1.0 + (1.0 - 3.0 * most / (room * top)) * (1.0 - w)))
        low, high = np.zeros_like(th), top
        for _ in range(_MAX_STEPS):
            num, den, num1, den1 = self.parts(th)
            miss = num - opening * den
            low, high = np.where(miss < 0, th, low), np.where(miss < 0, high, th)
            slope = num1 - opening * den1
            step = th - miss / slope
            step = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved = np.nanmax(np.abs(step - th) / step, initial=0.0)
            th = step
            if not moved > 1e-7:  # Newton's method is quadratic: the next step would be at rounding
                break
        return th, slope / den


def greatest_spacer(free_length, bond_line=0.0, setback=0.0, sheet_thickness=0.0):
    """Largest spacer diameter these sheets take [m]; arguments as for `solve_bend`, scalar or array."""
    thin = np.maximum(sheet_thickness, 1e-300)
    probe = np.asarray(bond_line, dtype=float) + 1e-6 * np.asarray(free_length, dtype=float)
    shape = np.broadcast_shapes(*(np.shape(v) for v in (free_length, bond_line, setback, sheet_thickness))) or (1,)
    bend = solve_bend(np.broadcast_to(free_length, shape), thin, probe, bond_line, setback)
    most = bend.greatest_spacer
    return float(most[0]) if np.ndim(free_length) == 0 and shape == (1,) else most


def explain(bend: Bend) -> str:
    """Why a single design is not feasible, with the quantity to change and by how much."""
    length, t, d, g, e = (float(getattr(bend, n)) for n in
                          ("free_length", "sheet_thickness", "spacer_diameter", "bond_line", "setback"))
    if bend.reason_code == TOO_SMALL:
        return (f"spacer diameter {show(d, 'mm')} does not spread the sheets: it must be larger than the bond line, "
                f"{show(g, 'mm')}")
    if bend.reason_code == TOO_LARGE:
        return (f"spacer diameter {show(d, 'mm')} is larger than the greatest one these sheets take, "
                f"{show(bend.greatest_spacer, 'mm')}: use a spacer of at most that, or a free length of at least "
                f"{_free_length_for(t, d, g, e, length)} instead of {show(length, 'mm')}")
    if bend.reason_code == NO_FREE_SHEET:
        return (f"setback {show(e, 'mm')} leaves no free sheet between the land and the spacer: it must stay well below "
                f"the free length, {show(length, 'mm')}; use a smaller setback or a longer sheet")
    return (f"setback {show(e, 'mm')} puts the spacer out of touch with the sheets: it must be at least "
            f"{_least_setback(t, d, g, length)} for a spacer of {show(d, 'mm')}")


def _free_length_for(t, d, g, e, length) -> str:
    def excess(trial):
        return greatest_spacer(trial, g, e, t) - d

    high = 2.0 * max(length, e, d)
    while not excess(high) > 0 and high < 1e3 * max(length, e, d):
        high *= 2.0
    if not excess(high) > 0:
        return "many times the present one"
    low = max(length, (e + 0.5 * g) * (1 + 1e-9))
    return show(brentq(excess, low, high, rtol=1e-10), "mm") if excess(low) < 0 else show(low, "mm")


def _least_setback(t, d, g, length) -> str:
    """Setback at which the contact sits on the very front edge: I0/k = L, then e = -R (1 + sin th)."""
    radius = 0.5 * d

    def surplus(th):
        lift = (radius - 0.5 * g) * np.cos(th) - (g + t) * np.sin(0.5 * th) ** 2
        return float(elastica.lift_ratio(th)) * lift - th * length

    th = brentq(surplus, 1e-12, np.pi / 2)
    return show(-radius * (1.0 + np.sin(th)), "mm")


def _refuse_bad_numbers(arrays):
    names = ("free length", "sheet thickness", "spacer diameter", "bond line", "setback")
    for name, array in zip(names, arrays, strict=True):
        value = float(array)
        if not np.isfinite(value):
            raise ValueError(f"{name} is {value}: give a finite number in metres")
        if name in names[:3] and value <= 0:
            raise ValueError(f"{name} is {value} m: it must be positive")
        if name == "bond line" and value < 0:
            raise ValueError(f"bond line is {value} m: it must be zero or more")


def _station_count(stations) -> int:
    count = int(stations)
    if count != stations or count < 2:
        raise ValueError(f"stations is {stations}: give a whole number of at least 2, or an array of arclengths in metres")
    return count


def _plain(array, kind):
    return kind(array) if np.ndim(array) == 0 else array
