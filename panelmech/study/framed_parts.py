"""The framed sheet of many parts built to one design, each a little off: a surface through few that are worked out.

Within tolerances the logarithms of deflection and critical stress are nearly quadratic in the dimensions that are off.
So parts as far apart as can be among those built are worked out, a full quadratic and the cubes are fitted to them by
least squares, and the rest is read from that. How well, each part tells that the fit is made without (leave-one-out,
exact for least squares: Allen, Technometrics 16, 1974; from memory); twice the worst of them is the doubt. The sheet's
moduli are those at its nominal thickness, and one factor stands before them all: deflection goes with its inverse,
stress with itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..mechanics.bend import InfeasibleBend
from .design import Design
from .framed_sheet import IN_PLANE, MEASURES, SHAPED_BY, measured, modulus_known, sheet_grain

LOOKED_AT = 3000  # parts among which those worked out are chosen
SPARE = 2.0  # parts worked out for each coefficient
SAFETY = 2.0  # of the doubt
_WORSE = {"press_deflection": np.maximum, "buckling_stress": np.minimum}


@dataclass(frozen=True, eq=False)
class FramedParts:
    """What is read of framed sheets. `fields`: dimensions that are off, with `nominal` and `width` of each [m];
    `fits`: coefficients by (measure, in-plane edges); `doubt`: greatest relative error to expect [-]."""

    design: Design
    fields: tuple
    nominal: np.ndarray
    width: np.ndarray
    fits: dict
    doubt: float

    def at(self, samples: dict, size: int, modulus_factor=1.0) -> dict:
        """Deflection under the design's pressure [m] and critical stress [Pa] of `size` parts, nan where not known;
        `samples`: arrays by field."""
        columns = [(samples[name] - n) / w for name, n, w in zip(self.fields, self.nominal, self.width, strict=True)]
        rows = _terms(np.column_stack(columns) if columns else np.empty((size, 0)))
        scale = {"press_deflection": self.design.pressure / modulus_factor, "buckling_stress": modulus_factor}
        return {name: scale[name] * self._worse(name, rows) for name in MEASURES}

    def _worse(self, name, rows):
        fits = [self.fits[name, choice] for choice in IN_PLANE if (name, choice) in self.fits]
        return _WORSE[name].reduce([np.exp(rows @ fit) for fit in fits]) if fits else np.full(len(rows), np.nan)


def framed_parts(design: Design, samples: dict) -> FramedParts:
    """Fit the framed sheet of parts. `samples`: values of dimensions by field of the design, one a part [SI]."""
    fields = tuple(name for name in samples if name in SHAPED_BY and np.ptp(samples[name]) > 0.0)
    nominal = np.array([getattr(design, name) for name in fields])
    values = np.column_stack([samples[name][:LOOKED_AT] for name in fields]) if fields else np.empty((1, 0))
    width = np.max(np.abs(values - nominal), axis=0, initial=1e-12)
    places = (values - nominal) / width
    coefficients = _terms(places[:1]).shape[1]
    worked, logs = [], []
    for i in _far_apart(places, int(np.ceil(SPARE * coefficients)) if fields else 1):
        found = _one(design, dict(zip(fields, values[i].tolist(), strict=True)))
        if found is not None:
            worked.append(i)
            logs.append(found)
    fits, doubt = _fitted(places[worked], logs, coefficients)
    return FramedParts(design, fields, nominal, width, fits, doubt)


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


def _far_apart(places, count):
    """Indices of places, the middle one first, then each as far as can be from those before."""
    chosen = [int(np.argmin(np.sum(places**2, axis=1)))]
    apart = np.full(len(places), np.inf)
    while len(chosen) < min(count, len(places)):
        apart = np.minimum(apart, np.sum((places - places[chosen[-1]]) ** 2, axis=1))
        chosen.append(int(np.argmax(apart)))
    return chosen


def _fitted(places, logs, coefficients):
    """({(measure, edges): coefficients}, doubt); nothing where there are too few to fit."""
    if len(logs) < coefficients:
        return {}, np.inf
    rows, fits, worst = _terms(places), {}, 0.0
    inverse = np.linalg.pinv(rows)
    left = np.maximum(1.0 - np.sum(rows * inverse.T, axis=1), 1e-3)
    for key in logs[0]:
        values = np.array([found[key] for found in logs])
        fits[key] = inverse @ values
        if len(logs) > coefficients:
            worst = max(worst, float(np.max(np.abs(values - rows @ fits[key]) / left)))
    return fits, float(np.expm1(SAFETY * worst))
