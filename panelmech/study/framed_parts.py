"""The framed sheet of many parts built to one design, each a little off: read from few that are worked out.

How they are chosen, what lies between and how far that may be off stands in `study.fitted`. The sheet's moduli are
those at its nominal thickness, and one factor stands before them all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .design import Design
from .fitted import Places, fitted
from .framed_sheet import MEASURES, measured, modulus_known
from .grain import sheet_grain
from .pressed_face import SHAPED_BY
from .varying import MODULUS, as_built


@dataclass(frozen=True, eq=False)
class FramedParts:
    """What is read of framed sheets. `places`: dimensions that are off; `fits`: of each (measure, in-plane edges), none
    where it cannot be known; `doubt`: greatest relative error to expect of any part worked out [-]."""

    design: Design
    places: Places
    fits: dict
    doubt: float

    def doubt_at(self, samples: dict, size: int) -> np.ndarray:
        """Relative error to expect at most of each of `size` parts [-]."""
        places = self.places(samples, size)
        return np.expm1(np.max([fit.doubt(places) for fit in self.fits.values()], axis=0, initial=0.0))

    def at(self, samples: dict, size: int) -> dict:
        """Deflection to judge by under the design's pressure [m] and critical stress [Pa] of `size` parts, nan where
        not known; `samples`: arrays by field and of "modulus"."""
        places = self.places(samples, size)
        return self._told({key: fit.read(places) for key, fit in self.fits.items()}, np.full(size, np.nan))

    def exact(self, values: dict) -> dict:
        """The same of one part worked out, by field and "modulus": {measure: value}, nan where it is not known."""
        return self._told(_one(self.design, {name: values[name] for name in self.places.fields}) or {}, np.nan)

    def _told(self, logs, unknown):
        scale = {"press_deflection": self.design.pressure, "buckling_stress": 1.0}
        found = {name: np.exp(log) for (name, _), log in logs.items()}
        return {name: scale[name] * found[name] if name in found else unknown for name in MEASURES}


def framed_parts(design: Design, samples: dict) -> FramedParts:
    """Fit the framed sheet of parts. `samples`: values of dimensions by field of the design, one a part [SI], and
    factors of the sheet's moduli, "modulus"."""
    design = _with_same(design, samples)
    places = Places.of(design, samples, (*SHAPED_BY, MODULUS))
    worked: list = []
    logs: list = []
    keys: list = []
    for i in places.chosen(samples):
        found = _one(design, {name: float(samples[name][i]) for name in places.fields})
        if found is not None:
            worked.append(i)
            logs.append(list(found.values()))
            keys = list(found)
    at = places({name: samples[name][worked] for name in places.fields}, len(worked))
    found = fitted(at, np.array(logs)) if worked and keys else None
    if found is None:
        return FramedParts(design, places, {}, 0.0 if worked and not keys else np.inf)
    fits = dict(zip(keys, found, strict=True))
    parts = FramedParts(design, places, fits, 0.0)
    doubt = np.max(np.expm1([fit.doubt(at) for fit in found]), initial=0.0)
    return replace(parts, doubt=float(doubt))


def _with_same(design, samples):
    """The design with what all parts have alike, its sheet as read at the nominal thickness."""
    names = (name for name in (*SHAPED_BY, MODULUS) if name in samples and np.ptp(samples[name]) == 0.0)
    return as_built(design, {name: float(samples[name][0]) for name in names})


def _one(design, changes):
    """Logarithms by (measure, edges) of one part; None where it cannot be made."""
    try:
        one = as_built(design, changes)
        known = modulus_known(one)
        wanted = [name for name in MEASURES if known and (name != "buckling_stress" or sheet_grain(one).buckling)]
        found = measured(one, wanted)
    except ValueError:
        return None
    return {key: np.log(value) for key, value in found.items() if key[0] in wanted}
