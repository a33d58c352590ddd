"""The framed sheet of many parts built to one design, each a little off: a surface through few that are worked out.

Within tolerances the logarithms of deflection and critical stress are nearly quadratic in the dimensions that are off.
So some parts are worked out, most of them as far apart as can be among those built, the others as they come; a full
quadratic and the cubes are fitted to them by least squares, and the rest is read from that. How well, each part tells
that the fit is made without (leave-one-out, exact for least squares: Allen, Technometrics 16, 1974; from memory): the
doubt of a part is twice the worst among those no farther from the nominal one than it is, of a third of them at least.
The sheet's moduli are those at its nominal thickness, and one factor stands before them all: deflection goes with its
inverse, stress with itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..mechanics.bend import InfeasibleBend
from .design import Design
from .framed_sheet import IN_PLANE, MEASURES, SHAPED_BY, measured, modulus_known, sheet_grain

LOOKED_AT = 50_000  # parts among which those worked out are chosen
SPARE, AS_THEY_COME = 2.4, 0.35  # parts worked out for each coefficient; the share of them that come as drawn
SAFETY, FLOOR = 2.0, 1e-5  # of the doubt: factor; least, where few parts differ
LEFT_OUT = 4  # power of the distance with which the error of the fit grows beyond the parts worked out
_BY_RATIO = ("sheet_thickness", "spacer_diameter", "free_length", "span", "land_length")  # never zero
_WORSE = {"press_deflection": np.maximum, "buckling_stress": np.minimum}


@dataclass(frozen=True, eq=False)
class FramedParts:
    """What is read of framed sheets. `fields`: dimensions that are off, with the `width` of each;
    `fits`: coefficients by (measure, in-plane edges); `doubt`: greatest relative error to expect of any part [-];
    `doubts`: (distance from the nominal part, error to expect up to there), rising."""

    design: Design
    fields: tuple
    width: np.ndarray
    fits: dict
    doubt: float
    doubts: tuple = ((), ())

    def _places(self, samples, size):
        return _off(self.design, self.fields, samples, size) / self.width

    def doubt_at(self, samples: dict, size: int) -> np.ndarray:
        """Relative error to expect at most of each of `size` parts [-]."""
        far, off = (np.array(column) for column in self.doubts)
        if not len(far):
            return np.full(size, self.doubt)
        own = _distance(self._places(samples, size))
        beyond = np.maximum(own / far[-1], 1.0) if far[-1] > 0.0 else 1.0
        return off[np.minimum(np.searchsorted(far, own), len(off) - 1)] * beyond**LEFT_OUT

    def at(self, samples: dict, size: int, modulus_factor=1.0) -> dict:
        """Deflection under the design's pressure [m] and critical stress [Pa] of `size` parts, nan where not known;
        `samples`: arrays by field."""
        rows = _terms(self._places(samples, size))
        scale = {"press_deflection": self.design.pressure / modulus_factor, "buckling_stress": modulus_factor}
        return {name: scale[name] * self._worse(name, rows) for name in MEASURES}

    def exact(self, values: dict) -> dict:
        """The same of one part worked out, by field and "modulus": {measure: value}; empty where it cannot be made."""
        found = _one(self.design, {name: values[name] for name in self.fields}) or {}
        factor = values.get("modulus", 1.0)
        scale = {"press_deflection": self.design.pressure / factor, "buckling_stress": factor}
        logs = {name: [found[name, choice] for choice in IN_PLANE if (name, choice) in found] for name in MEASURES}
        return {name: scale[name] * float(np.exp(_WORSE[name].reduce(v))) for name, v in logs.items() if v}

    def _worse(self, name, rows):
        fits = [self.fits[name, choice] for choice in IN_PLANE if (name, choice) in self.fits]
        return _WORSE[name].reduce([np.exp(rows @ fit) for fit in fits]) if fits else np.full(len(rows), np.nan)


def framed_parts(design: Design, samples: dict) -> FramedParts:
    """Fit the framed sheet of parts. `samples`: values of dimensions by field of the design, one a part [SI]."""
    fields = tuple(name for name in samples if name in SHAPED_BY and np.ptp(samples[name]) > 0.0)
    looked = {name: samples[name][:LOOKED_AT] for name in fields}
    off = _off(design, fields, looked, len(looked[fields[0]]) if fields else 1)
    width = np.max(np.abs(off), axis=0, initial=1e-12)
    places = off / width
    coefficients = _terms(places[:1]).shape[1]
    worked, logs = [], []
    for i in _chosen(places, int(np.ceil(SPARE * coefficients)) if fields else 1):
        found = _one(design, {name: float(values[i]) for name, values in looked.items()})
        if found is not None:
            worked.append(i)
            logs.append(found)
    fits, left_out = _fitted(places[worked], logs, coefficients)
    doubts = _rising(_distance(places[worked]), left_out) if len(left_out) else ((), ())
    doubt = doubts[1][-1] if doubts[1] else np.inf if not fits else 0.0
    return FramedParts(design, fields, width, fits, doubt, doubts)


def _one(design, changes):
    """Logarithms by (measure, edges) of one part; None where it cannot be made."""
    sheet = _at_nominal(design)
    one = design.replace(sheet=sheet, **changes)
    known = modulus_known(one)
    wanted = [name for name in MEASURES if known and (name != "buckling_stress" or sheet_grain(one).buckling)]
    try:
        found = measured(one, wanted)
    except InfeasibleBend:
        return None
    return {key: np.log(value) for key, value in found.items() if key[0] in wanted}


def _at_nominal(design):
    """The design's sheet with its moduli as at the nominal thickness, whatever a part's own is."""
    sheet, t = design.sheet, design.sheet_thickness
    tabled = {name: table for name, table in sheet.TABLES.items() if getattr(sheet, table) is not None}
    fixed = {name: sheet.at(name, t) for name in tabled if name.endswith("modulus")}
    if any(np.isnan(value) for value in fixed.values()):
        return sheet  # not known at this thickness, and so of no part
    return replace(sheet, **fixed, **{tabled[name]: None for name in fixed})


def _terms(places):
    """One row a part: one, each place, each product of two, each cube."""
    i, j = np.triu_indices(places.shape[1])
    return np.column_stack([np.ones(len(places)), places, places[:, i] * places[:, j], places**3])


def _off(design, fields, samples, size):
    """(parts, fields): how far each dimension is off, those that are never zero by their logarithm."""
    columns = [
        np.log(samples[name] / getattr(design, name)) if name in _BY_RATIO else samples[name] - getattr(design, name)
        for name in fields
    ]
    return np.column_stack(columns) if columns else np.empty((size, 0))


def _distance(places):
    """How far parts are from the nominal one, in widths."""
    return np.sqrt(np.sum(places**2, axis=1))


def _rising(far, left_out):
    """(distances, error to expect up to each), the first of them for a third of the parts."""
    order = np.argsort(far)
    off = np.expm1(SAFETY * np.maximum.accumulate(left_out[order])) + FLOOR
    first = len(order) // 3
    return tuple(far[order][first:].tolist()), tuple(off[first:].tolist())


def _chosen(places, count):
    """Indices of places to work out: most far apart, the others the first there are."""
    spread = _far_apart(places, int(np.ceil((1.0 - AS_THEY_COME) * count)))
    return [*spread, *[i for i in range(len(places)) if i not in set(spread)][: count - len(spread)]]


def _far_apart(places, count):
    """Indices of places, the middle one first, then each as far as can be from those before."""
    chosen = [int(np.argmin(np.sum(places**2, axis=1)))]
    apart = np.full(len(places), np.inf)
    while len(chosen) < min(count, len(places)):
        apart = np.minimum(apart, np.sum((places - places[chosen[-1]]) ** 2, axis=1))
        chosen.append(int(np.argmax(apart)))
    return chosen


def _fitted(places, logs, coefficients):
    """({(measure, edges): coefficients}, by how much each part is missed by a fit without it); nothing where there are
    too few to fit, and no misses where the fit has none to spare."""
    if len(logs) < coefficients:
        return {}, np.zeros(0)
    rows, fits, misses = _terms(places), {}, np.zeros(len(logs))
    inverse = np.linalg.pinv(rows)
    left = np.maximum(1.0 - np.sum(rows * inverse.T, axis=1), 1e-3)
    for key in logs[0]:
        values = np.array([found[key] for found in logs])
        fits[key] = inverse @ values
        misses = np.maximum(misses, np.abs(values - rows @ fits[key]) / left)
    return fits, misses if len(logs) > coefficients else np.zeros(0)
