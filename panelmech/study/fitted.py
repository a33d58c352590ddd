"""Numbers of many parts, each a little off from one design, read from few parts that are worked out.

Within tolerances the logarithm of what follows from a part is nearly quadratic in the inputs that are off, those that
are never zero by their logarithms. So some parts are worked out, most of them as far apart as can be among those built,
the others as they come; a full quadratic and the cubes are fitted to them by least squares. How well, each part tells
that the fit is made without (leave-one-out, exact for least squares: Allen, Technometrics 16, 1974; from memory): the
doubt of a part is four times the worst among those no farther from the nominal one than it is, of a third of them at
least; beyond the last it grows with the fourth power of the distance, the first that the fit leaves out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .design import Design
from .varying import MODULUS, nominal

LOOKED_AT = 50_000  # parts among which those worked out are chosen
SPARE, AS_THEY_COME = 2.4, 0.35  # parts worked out for each coefficient; the share of them that come as drawn
SAFETY, FLOOR = 4.0, 1e-5  # of the doubt: factor; least, where few parts differ
LEFT_OUT = 4  # power of the distance with which the error of the fit grows beyond the parts worked out
_BY_RATIO = ("sheet_thickness", "spacer_diameter", "free_length", "span", "land_length", MODULUS)  # never zero


@dataclass(frozen=True, eq=False)
class Places:
    """How far parts are off from one design, (parts, inputs), each input in the widths of what was built."""

    design: Design
    fields: tuple
    width: np.ndarray

    @classmethod
    def of(cls, design: Design, samples: dict, fields) -> Places:
        """Of parts with these values by input [SI]; inputs that do not vary are left out."""
        names = tuple(name for name in fields if name in samples and np.ptp(samples[name]) > 0.0)
        looked = {name: samples[name][:LOOKED_AT] for name in names}
        off = _off(design, names, looked, len(looked[names[0]]) if names else 1)
        return cls(design, names, np.max(np.abs(off), axis=0, initial=1e-12))

    def __call__(self, samples: dict, size: int) -> np.ndarray:
        """Of so many parts, by input [SI]."""
        return _off(self.design, self.fields, samples, size) / self.width

    def chosen(self, samples: dict) -> list:
        """Numbers of the parts to work out, as many as a fit asks for: most far apart, the others the first there are;
        one alone where nothing varies."""
        if not self.fields:
            return [0]
        looked = {name: samples[name][:LOOKED_AT] for name in self.fields}
        places = self(looked, len(looked[self.fields[0]]))
        count = int(np.ceil(SPARE * coefficients(len(self.fields))))
        spread = _far_apart(places, int(np.ceil((1.0 - AS_THEY_COME) * count)))
        return [*spread, *[i for i in range(len(places)) if i not in set(spread)][: count - len(spread)]]


def coefficients(inputs: int) -> int:
    """Of a fit over so many inputs."""
    return 1 + 2 * inputs + inputs * (inputs + 1) // 2


@dataclass(frozen=True, eq=False)
class Fit:
    """A column of numbers fitted to parts that were worked out; `missed`: (distances from the nominal part, how far a
    logarithm may be off up to there), rising; empty where the fit has no part to spare."""

    weights: np.ndarray
    missed: tuple = ((), ())

    def read(self, places) -> np.ndarray:
        """Logarithms of parts at places (parts, inputs)."""
        return _terms(places) @ self.weights

    def doubt(self, places) -> np.ndarray:
        """How far each of these may be off."""
        far, off = (np.array(column) for column in self.missed)
        if not len(far):
            return np.zeros(len(places))
        own = _distance(places)
        beyond = np.maximum(own / far[-1], 1.0) if far[-1] > 0.0 else 1.0
        return off[np.minimum(np.searchsorted(far, own), len(off) - 1)] * beyond**LEFT_OUT


def fitted(places, logs) -> list[Fit] | None:
    """A `Fit` of every column of logarithms (parts, columns) of parts worked out at places (parts, inputs); None where
    these are too few."""
    if len(places) < coefficients(places.shape[1]):
        return None
    rows = _terms(places)
    inverse = np.linalg.pinv(rows)
    weights = inverse @ logs
    left = np.maximum(1.0 - np.sum(rows * inverse.T, axis=1), 1e-3)[:, None]
    misses = np.abs(logs - rows @ weights) / left
    spare = len(places) > rows.shape[1]
    far = _distance(places)
    return [Fit(w, _rising(far, m) if spare else ((), ())) for w, m in zip(weights.T, misses.T, strict=True)]


def _rising(far, misses):
    """(distances, how far what is read may be off up to each), the first of them for a third of the parts."""
    order, first = np.argsort(far), len(far) // 3
    off = SAFETY * np.maximum.accumulate(misses[order]) + FLOOR
    return tuple(far[order][first:].tolist()), tuple(off[first:].tolist())


def _terms(places):
    """One row a part: one, each place, each product of two, each cube."""
    i, j = np.triu_indices(places.shape[1])
    return np.column_stack([np.ones(len(places)), places, places[:, i] * places[:, j], places**3])


def _off(design, fields, samples, size):
    """(parts, fields): how far each input is off, those that are never zero by their logarithm."""
    columns = [
        np.log(samples[name] / nominal(design, name)) if name in _BY_RATIO else samples[name] - nominal(design, name)
        for name in fields
    ]
    return np.column_stack(columns) if columns else np.empty((size, 0))


def _distance(places):
    """How far parts are from the nominal one, in widths."""
    return np.sqrt(np.sum(places**2, axis=1))


def _far_apart(places, count):
    """Indices of places, the middle one first, then each as far as can be from those before."""
    chosen = [int(np.argmin(np.sum(places**2, axis=1)))]
    apart = np.full(len(places), np.inf)
    while len(chosen) < min(count, len(places)):
        apart = np.minimum(apart, np.sum((places - places[chosen[-1]]) ** 2, axis=1))
        chosen.append(int(np.argmax(apart)))
    return chosen
