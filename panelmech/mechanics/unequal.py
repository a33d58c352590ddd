"""Two different sheets over one rod: the exact bent shape of an unmatched pair.

Each sheet obeys the same equations as in `bend`, with its own thickness and bending stiffness. The rod floats: it
moves across the chord line, towards the softer sheet, until the two contact forces balance across the chord, and
the part becomes a cambered blade. x along the chord from the land end, y across it from the middle of the bond
line, sheet 1 on the side of positive y. A slope of each sheet at the land end may be given: the sheet is still a piece
of the rectangular elastica, only turned less in all, by contact angle minus slope.

Closures, that is what is imposed besides the sheets and the rod:

    "floating"  the rod is free across the chord; the mean of the two setbacks is imposed.
    "jig"       the rod's centre is held on the line y = 0, which takes a force; the mean setback is imposed.

Left out: friction, bow, a land that gives way under load (see `mechanics.as_built_bend` for a matched pair with these).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import elastica
from .unequal_equations import solve_flat

CLOSURES = ("floating", "jig")
CHUNK = 4096  # pairs solved together: the working arrays stay in the processor's cache
REASONS = (
    "",
    "the sheets cannot be bent over this spacer even if they were alike: see the reason for the mean sheet",
    "no equilibrium was found: the sheets are too unlike for this spacer, or it is close to the greatest one",
    "one of the sheets no longer touches the rod within its length",
)


@dataclass(frozen=True, eq=False)
class UnequalBend:
    """Bent shape of an unmatched pair; floats or arrays of the broadcast shape. Index 1 and 2 are the two sheets.

    Stored: lengths [m]; `contact_angle_1`, `_2` [rad]; `contact_arclength_1`, `_2` [m]; `wavenumber_1`, `_2` [1/m];
    `rod_offset`, y of the rod's centre [m], positive towards sheet 1; `spacer_position` [m]; `setback_1`, `_2` [m];
    `contact_force_1`, `_2` [N per metre of span]; `jig_force` that holds the rod across the chord, zero when it floats
    [N/m]; `residual` [-]; `reason_code`, index into `REASONS`; `land_slope_1`, `_2` as given [rad].
    """

    free_length: float | np.ndarray
    thickness_1: float | np.ndarray
    thickness_2: float | np.ndarray
    spacer_diameter: float | np.ndarray
    bond_line: float | np.ndarray
    contact_angle_1: float | np.ndarray
    contact_angle_2: float | np.ndarray
    contact_arclength_1: float | np.ndarray
    contact_arclength_2: float | np.ndarray
    wavenumber_1: float | np.ndarray
    wavenumber_2: float | np.ndarray
    rod_offset: float | np.ndarray
    spacer_position: float | np.ndarray
    setback_1: float | np.ndarray
    setback_2: float | np.ndarray
    contact_force_1: float | np.ndarray
    contact_force_2: float | np.ndarray
    jig_force: float | np.ndarray
    residual: float | np.ndarray
    reason_code: int | np.ndarray
    land_slope_1: float | np.ndarray = 0.0
    land_slope_2: float | np.ndarray = 0.0

    @property
    def feasible(self):
        """True where an equilibrium was found."""
        return np.asarray(self.reason_code) == 0

    @property
    def reason(self):
        """Why not, in words."""
        words = np.asarray(REASONS)[self.reason_code]
        return str(words) if words.ndim == 0 else words

    def _turn(self, sheet):
        """Angle a sheet turns between land end and contact [rad]."""
        return getattr(self, f"contact_angle_{sheet}") - getattr(self, f"land_slope_{sheet}")

    def land_curvature(self, sheet: int):
        """Curvature of sheet 1 or 2 at the land end, its largest [1/m]."""
        return getattr(self, f"wavenumber_{sheet}") * elastica.along(self._turn(sheet))

    def surface_strain(self, sheet: int):
        """Bending strain at the land of sheet 1 or 2 [-]."""
        return 0.5 * getattr(self, f"thickness_{sheet}") * self.land_curvature(sheet)

    def opening_energy(self, stiffness_1, stiffness_2):
        """Energy released per area of land that opens [J/m2]: M^2 / (2 D) of both arms (ASTM D5528, simple beam
        theory)."""
        return sum(0.5 * d * self.land_curvature(i) ** 2 for i, d in ((1, stiffness_1), (2, stiffness_2)))

    def outline(self, sheet: int, stations=101):
        """Mid-surface of sheet 1 or 2, land end to front edge.

        `stations`: number of points, evenly spaced; or arclengths from the land end [m], of the pair's shape with one
        more axis for the stations. Returns x, y [m], of the pair's shape with one more axis.
        """
        t, k, th, arc = (_column(getattr(self, f"{n}_{sheet}")) for n in _SHEET)
        side = 1.0 if sheet == 1 else -1.0
        s = self._stations(stations)
        psi = elastica.angle_at(k * np.maximum(arc - s, 0.0))
        sine, cosine, reach = np.sin(th), np.cos(th), 0.5 * (_column(self.spacer_diameter) + t)
        px = _column(self.spacer_position) - reach * sine
        py = reach * cosine + side * _column(self.rod_offset)
        ahead = np.maximum(s - arc, 0.0) - elastica.along(psi) / k
        across = elastica.across(psi) / k
        return px + ahead * cosine - across * sine, side * (py + ahead * sine + across * cosine)

    def tangent_angle(self, sheet: int, stations=101):
        """Angle of sheet 1 or 2 against the chord line, opening positive [rad]; `stations` as for `outline`."""
        _, k, th, arc = (_column(getattr(self, f"{n}_{sheet}")) for n in _SHEET)
        return th - elastica.angle_at(k * np.maximum(arc - self._stations(stations), 0.0))

    def _stations(self, stations):
        if np.ndim(stations) == 0:
            return _column(self.free_length) * np.linspace(0.0, 1.0, int(stations))
        return np.asarray(stations, dtype=float)

    def camber(self, stations: int = 101):
        """Mean line: x and y [m] half-way between the sheets, at equal shares of their lengths; the pair's shape with
        one more axis for the stations. y is positive towards sheet 1."""
        x1, y1 = self.outline(1, stations)
        x2, y2 = self.outline(2, stations)
        return 0.5 * (x1 + x2), 0.5 * (y1 + y2)


_SHEET = ("thickness", "wavenumber", "contact_angle", "contact_arclength")


def _column(value):
    """A value with one more axis for the stations where it is an array."""
    return np.asarray(value, dtype=float)[..., None] if np.ndim(value) else float(value)


def solve_unequal(
    free_length,
    thickness_1,
    thickness_2,
    stiffness_1,
    stiffness_2,
    spacer_diameter,
    bond_line=0.0,
    setback=0.0,
    closure: str = "floating",
    land_slope_1=0.0,
    land_slope_2=0.0,
) -> UnequalBend:
    """Exact bent shape of two different sheets on one rod.

    Parameters
    ----------
    free_length, thickness_1, thickness_2, spacer_diameter, bond_line, setback : float or array
        As for `solve_bend`, with a thickness for each sheet and the mean of the two setbacks [m].
    stiffness_1, stiffness_2 : float or array
        Bending stiffness of each sheet [N m], per metre of span; positive. Only their ratio shapes the part.
    closure : str
        "floating" or "jig".
    land_slope_1, land_slope_2 : float or array
        Measured slope of each sheet at the land end, away from the chord line positive [rad].

    Returns
    -------
    UnequalBend
        Where there is no equilibrium the results are nan and `reason` says why, for a single pair too.

    Raises
    ------
    ValueError
        A stiffness that is not positive, or an unknown closure.

    Notes
    -----
    Three equations: the rod's centre has one x, the forces balance across the chord (floating) or its centre lies
    on y = 0 (jig), the mean setback. Unknown are both contact angles and the rod's offset; the wavenumbers follow
    from the rise of each sheet (`mechanics.unequal_equations`). Relative accuracy 1e-10 away from the fold. Derived
    here; to first order the offset is (R - g/2)(D2 - D1)/(D1 + D2).
    """
    if closure not in CLOSURES:
        raise ValueError(f"closure is {closure!r}: give one of {', '.join(CLOSURES)}")
    lengths = (free_length, thickness_1, thickness_2, spacer_diameter, bond_line, setback)
    given = [np.asarray(v, dtype=float) for v in (*lengths, stiffness_1, stiffness_2, land_slope_1, land_slope_2)]
    if np.any(~(given[6] > 0)) or np.any(~(given[7] > 0)):
        raise ValueError("bending stiffness must be positive in both sheets: give D = E t^3 / 12 in SI units")
    if not np.all(np.isfinite(given[8])) or not np.all(np.isfinite(given[9])):
        raise ValueError("the slope at the land end is not a finite number: give it in radians, 0 for a parallel land")
    shape = np.broadcast_shapes(*(g.shape for g in given))
    flat = [np.broadcast_to(g, shape).reshape(-1) for g in given]
    parts = [solve_flat(*(f[i : i + CHUNK] for f in flat), closure) for i in range(0, max(flat[0].size, 1), CHUNK)]
    solved = (np.concatenate(column) for column in zip(*parts, strict=True))
    columns = [v.reshape(shape) if shape else v.item() for v in (*flat[:5], *solved, *flat[8:])]
    return UnequalBend(*columns)
