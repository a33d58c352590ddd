"""Whether flat sheets can take the shape of a tapered blade: gap under a straightedge, curvature both ways, strain.

An untapered pair is a cylinder, a pair with every length in proportion (thickness, bond line, rod and setback
included) a piece of a cone: both unroll into flat sheets. Any other taper asks the sheet to curve both ways a little.
The middle surface of the upper sheet is r(xi, z), with xi the share of the arclength up to the contact, and in front
of it the share of the straight rest, and z along the span. Derived here:

- Straightedge: a cylinder and a cone are straight along every line of the same xi. `gap` is how far such a line leaves,
  across the sheet, the straight line between the ends of a stretch; `twist` how much the tangent turns along it.
- `gaussian_curvature` K = (L N - M^2)/(E G - F^2), from derivatives of r: exact along the sheet, and along the span
  those of the polynomial through Gauss's nodes of each stretch. K = 0 is what can be made of a flat sheet without
  stretch (Gauss).
- `strain` = |K| w^2/12: strain that K forces upon a sheet of width w. A long strip of even K obeys eps'' = -K for the
  strain along it (von Karman's compatibility); free edges bear no resultant force and no moment, so eps = K (w^2/12 -
  s^2)/2 with s from the middle: K w^2/12 at the edges, half of it in the middle, the other sign. For K that differs
  from place to place the greatest |K| over the section is taken, and for w the smaller of developed length and
  stretch. Both err on the large side: a square piece has 0.0513 in place of 1/12 (by the analogy with a clamped plate
  under even pressure, Timoshenko and Woinowsky-Krieger, Table 35).

Laid flat by least squares as triangles, three tapered sheets kept 0.45 to 0.7 of the estimate (tests). A sheet left
to itself would rather bend a little less than stretch, which is left out: it errs on the large side too.
At a step or a change of taper the surface has a kink; a real sheet runs it out over about a chord's length, which is
not computed here.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from ..mechanics.numerics import gauss, gauss_places
from ..units import show
from .blade import Blade
from .sections import BladeSections, blade_sections

NODES = 12  # Gauss's nodes of each piece along the span
SAMPLES = 25  # places of each piece at which the surface is judged
ALONG = 33  # points along each of the bent and the straight part of the sheet
PIECES = (1, 2, 4, 8)  # a stretch is cut into so many until the polynomials fit
SETTLED = 1e-8  # last two Legendre coefficients over the largest: the polynomials fit
NOISE = 1e-10  # strain [-] or length [m] below this is rounding
NEGLIGIBLE, SMALL = 0.01, 0.1  # of the sheet's permanent strain limit: our choice, no source


@dataclass(frozen=True, eq=False)
class SheetFit:
    """How far the stations of a blade are from one sheet bent without stretch; see the module text.

    Arrays are sampled along the span, each the greatest along the sheet there.

    Attributes
    ----------
    position : from the root end [m]
    gap : under the straightedge, across the sheet [m]
    twist : turn of the tangent along it [rad]
    gaussian_curvature : with its sign [1/m2]
    strain : that the curvature both ways forces upon the sheet, a size [-]
    kinks : (position [m], angle of the crease [rad], step across the sheet [m]) of every inner place where the taper
        changes
    land_bow, rod_bow : how far the end of the land and the axis of the rod leave a straight line in the plane of the
        chord, between the ends of a stretch [m]
    strain_limit : of the sheet, for good, nan where unknown [-]
    tolerance : of its thickness, nan where unknown [m]
    verdict : "negligible", "small", "matters" or "unknown"; `words` say why
    """

    position: np.ndarray
    gap: np.ndarray
    twist: np.ndarray
    gaussian_curvature: np.ndarray
    strain: np.ndarray
    kinks: tuple
    land_bow: float
    rod_bow: float
    strain_limit: float
    tolerance: float
    verdict: str
    words: tuple


def sheet_fit(blade: Blade) -> SheetFit:
    """Judge whether flat sheets can take the shape of a tapered blade.

    Raises
    ------
    InfeasibleBend
        Where a station cannot be bent.
    ValueError
        Where the shape changes so fast along the span that the polynomials do not settle (next to the greatest spacer).
    """
    for pieces in PIECES:
        sections, places, cuts = _solved(blade, pieces)
        grid = _Grid(sections, places, cuts)
        if grid.tail <= SETTLED:
            break
    else:
        raise ValueError(
            f"the shape changes too fast along the span to be judged (error {grid.tail:.1e}): keep "
            "further away from the greatest spacer, or taper less"
        )
    curvature = _worst(grid.gaussian_curvature())
    gap, twist = grid.straightedge(blade.breakpoints)
    stretch = np.diff(blade.breakpoints)[
        np.clip(np.searchsorted(blade.breakpoints, grid.z, "right") - 1, 0, len(blade.breakpoints) - 2)
    ]
    values = blade.values_at(np.clip(grid.z, 0.0, blade.span))
    width = np.minimum(values["land_length"] + values["free_length"], stretch)
    strain = np.abs(curvature) * width**2 / 12.0
    limit = float(np.min(sections.numbers["permanent_limit"]))
    absolute, relative = blade.design.sheet.thickness_tolerance or (np.nan, np.nan)
    tolerance = absolute + relative * float(np.min(sections.numbers["sheet_thickness"]))
    kinks = grid.kinks(blade.breakpoints)
    bows = [grid.bow(name, blade.breakpoints) for name in ("x", "rod")]
    verdict, words = _judged(float(strain.max()), float(gap.max()), kinks, limit, tolerance)
    land, rod = (_length(bow) for bow in bows)
    words += (f"out of straight along the span: end of the land {land}, axis of the rod {rod}",)
    return SheetFit(grid.z, gap, twist, curvature, strain, kinks, *bows, limit, tolerance, verdict, words)


def _solved(blade, pieces):
    """Sections at Gauss's nodes of every piece, the nodes, and the borders of the pieces."""
    ends = blade.breakpoints
    cuts = np.unique(np.concatenate([np.linspace(a, b, pieces + 1) for a, b in itertools.pairwise(ends)]))
    places, _ = gauss_places(cuts, NODES)
    return blade_sections(blade, places), places.reshape(-1, NODES), cuts


class _Grid:
    """Middle surface of the upper sheet at sampled places: value and derivatives, shape (samples, points, ...)."""

    def __init__(self, sections: BladeSections, places: np.ndarray, cuts: np.ndarray):
        share = np.linspace(0.0, 1.0, ALONG)
        bend = sections.bend
        arc, rest, start = (
            np.asarray(v)[:, None] for v in (bend.contact_arclength, bend.overhang, sections.land_end_x)
        )
        arclength = np.hstack([arc * share, arc + rest * share])
        arclength = np.clip(arclength, 0.0, np.asarray(bend.free_length)[:, None])
        rate = np.hstack([arc + 0.0 * share, rest + 0.0 * share])
        bent = np.hstack([np.ones(ALONG), np.zeros(ALONG)])
        x, y = bend.outline(arclength)
        angle, curve = bend.tangent_angle(arclength), bend.curvature(arclength) * bent
        self.rows = {
            "x": start + x,
            "y": y,
            "x1": rate * np.cos(angle),
            "y1": rate * np.sin(angle),
            "x11": -(rate**2) * curve * np.sin(angle),
            "y11": rate**2 * curve * np.cos(angle),
            "angle": angle,
            "rod": sections.rod_x[:, None],
        }
        self.length = np.diff(cuts)
        local = np.linspace(-1.0, 1.0, SAMPLES)
        self.z = (cuts[:-1, None] + 0.5 * self.length[:, None] * (local + 1.0)).ravel()
        series = np.polynomial.legendre.legvander(gauss(NODES)[0], NODES - 1)
        self.to_series, self.local = np.linalg.inv(series), local
        self.pieces = len(self.length)
        self.tail = max(self._tail(name) for name in ("x1", "y1", "angle"))

    def _series(self, name):
        values = self.rows[name].reshape(self.pieces, NODES, -1)
        return np.einsum("ij,pjk->pik", self.to_series, values)

    def _tail(self, name):
        series = np.abs(self._series(name))
        return float(series[:, -2:].max() / max(series.max(), 1e-300))

    def at(self, name, order=0):
        """A row of values, or its derivative along the span of `order` 1 or 2, at the sampled places."""
        series = self._series(name)
        for _ in range(order):
            series = np.polynomial.legendre.legder(series, axis=1) * (2.0 / self.length[:, None, None])
        basis = np.polynomial.legendre.legvander(self.local, series.shape[1] - 1)
        return np.einsum("ij,pjk->pik", basis, series).reshape(len(self.z), -1)

    def normal(self):
        """Normal of the surface, not of unit length: x, y, z parts, towards the outside."""
        x1, y1, xz, yz = self.at("x1"), self.at("y1"), self.at("x", 1), self.at("y", 1)
        return -y1, x1, y1 * xz - x1 * yz

    def gaussian_curvature(self):
        """K at every sampled point [1/m2]."""
        nx, ny, nz = self.normal()
        square = nx**2 + ny**2 + nz**2
        along = self.at("x11") * nx + self.at("y11") * ny
        mixed = self.at("x1", 1) * nx + self.at("y1", 1) * ny
        across = self.at("x", 2) * nx + self.at("y", 2) * ny
        return (along * across - mixed**2) / square**2

    def straightedge(self, borders):
        """Greatest gap [m] and turn of the tangent [rad] at each sampled place, stretch by stretch."""
        x, y, angle = self.at("x"), self.at("y"), self.at("angle")
        nx, ny, nz = self.normal()
        size = np.sqrt(nx**2 + ny**2 + nz**2)
        twist = np.zeros(len(self.z))
        off_x, off_y = self._off_straight(x, borders), self._off_straight(y, borders)
        gap = np.abs((off_x * nx + off_y * ny) / size).max(axis=1)
        for start, end in itertools.pairwise(borders):
            rows = self._rows_of(start, end)
            twist[rows] = np.abs(angle[rows] - angle[rows[0]]).max(axis=1)
        return gap, twist

    def bow(self, name, borders):
        """How far the first column of a row leaves the straight line between the ends of a stretch [m]."""
        return float(np.abs(self._off_straight(self.at(name)[:, :1], borders)).max())

    def _off_straight(self, values, borders):
        """Values less the straight line along the span between the ends of each stretch."""
        off = np.zeros_like(values)
        for start, end in itertools.pairwise(borders):
            rows = self._rows_of(start, end)
            share = ((self.z[rows] - start) / (end - start))[:, None]
            off[rows] = values[rows] - (1.0 - share) * values[rows[0]] - share * values[rows[-1]]
        return off

    def _rows_of(self, start, end):
        middle = np.repeat(self.z.reshape(self.pieces, SAMPLES).mean(axis=1), SAMPLES)
        return np.flatnonzero((middle > start) & (middle < end))

    def kinks(self, borders):
        """(position, angle, step) of every inner border between stretches."""
        normals = np.stack(self.normal(), axis=-1)
        normals = normals / np.linalg.norm(normals, axis=-1, keepdims=True)
        places = np.stack([self.at("x"), self.at("y")], axis=-1)
        out = []
        for before, at, after in zip(borders[:-2], borders[1:-1], borders[2:], strict=True):
            old, new = self._rows_of(before, at)[-1], self._rows_of(at, after)[0]
            turn = 2.0 * np.arcsin(np.minimum(0.5 * np.linalg.norm(normals[new] - normals[old], axis=-1), 1.0))
            step = np.abs(np.sum((places[new] - places[old]) * normals[old][:, :2], axis=-1))
            out.append((at, float(turn.max()), float(step.max())))
        return tuple(out)


def _worst(values):
    """The entry of the greatest size in each row, with its sign."""
    return np.take_along_axis(values, np.abs(values).argmax(axis=1)[:, None], axis=1)[:, 0]


def _judged(strain, gap, kinks, limit, tolerance):
    """Verdict and words."""
    share = strain / limit
    words = [_strain_words(strain, limit), _gap_words(gap, tolerance)]
    words += [f"{show(at, 'mm')} from the root end: {_kink_words(angle, step)}" for at, angle, step in kinks]
    if np.isnan(limit) or any(max(angle, step) > 1e-9 for _, angle, step in kinks):
        return "unknown", tuple(words)
    return "negligible" if share <= NEGLIGIBLE else "small" if share <= SMALL else "matters", tuple(words)


def _strain_words(strain, limit):
    strain = strain if strain > NOISE else 0.0
    stretch = f"stretch or shortening to fit one flat sheet: at most about {show(strain, 'micrometre/m', 2)}"
    if np.isnan(limit):
        return f"{stretch}; the sheet has no limit for strain that stays, so it cannot be judged"
    return (
        f"{stretch}, {show(strain / limit, '%', 2)} of what the sheet bears for good ({show(limit, '%', 3)}); up to "
        f"{show(NEGLIGIBLE, '%', 1)} is called negligible, up to {show(SMALL, '%', 2)} small (our choice, no "
        "source)"
    )


def _gap_words(gap, tolerance):
    edge = f"a straightedge from end to end, at one share of the free length: gap at most {_length(gap)}"
    if np.isnan(tolerance):
        return f"{edge}; the sheet's thickness tolerance is unknown"
    word = "less" if gap <= tolerance else "more"
    return f"{edge}, {word} than the sheet's own thickness tolerance, {show(tolerance, 'mm', 2)}"


def _length(value):
    """A length [m] in mm; what is rounding noise reads 0, the same on every machine."""
    return show(value if value > NOISE else 0.0, "mm", 2)


def _kink_words(angle, step):
    if step > 1e-9:
        return (
            f"the stations jump by {show(step, 'mm', 2)} across the sheet, which no sheet can follow: it will run "
            "the step out over about a chord's length, not computed here"
        )
    return (
        f"the taper changes and the sheet would have a crease of {show(angle, 'deg', 2)}: it will round it over "
        "about a chord's length, not computed here"
    )
