"""Offsets as a function of everything that shapes them, and the most probable values of it all.

Unknown are the land slope, the logarithm of the sheets' ratio of bending stiffness, and what `offset_priors` knows. The
pair is the exact one with bows (`mechanics.unequal_faces`). Most probable is what makes the sum of squares of readings
and priors, each over its standard uncertainty, least: least squares in matrix form (JCGM 100:2008, H.3) with the priors
as further readings (type B, 4.3), by Gauss-Newton steps with exact slopes, damped where a step goes astray. Covariance:
the inverse of J^T W J and the precision of the priors, at the most probable values.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.unequal_bow import MOST_BOW
from ..mechanics.unequal_faces import INPUTS, Faces, solve_faces
from ..units import show
from .offset_priors import NAMES

UNKNOWNS = ("land_slope", "log_ratio", *NAMES)
SLOPE, RATIO = 0, 1  # places in `UNKNOWNS`
LARGEST_LOG = np.log(1e6)  # of the ratio of bending stiffness
_ROUGH = {"land_slope": 0.01, "log_ratio": 0.1, "shift": 1e-3, "tilt": 0.01}  # sizes where nothing is known
_LONGEST = np.array([0.1, 1.0])  # step of slope and logarithm of the ratio
_STEPS, _DONE = 40, 1e-9  # steps at most; improvement, of the sum of squares, that is none
_STUCK = 1e7  # damping from which no step leads on
_UNSEEN = 1e-7  # of the largest singular value: what no reading and no prior fixes


@dataclass(frozen=True, eq=False)
class At:
    """Prediction at some values of the `UNKNOWNS`: readings [m], their slopes (readings, unknowns), both faces."""

    values: np.ndarray
    readings: np.ndarray
    slopes: np.ndarray
    faces: Faces


class OffsetModel:
    """Predicted readings at `x` [m] on a `face` ("upper", "lower", "half") of a design's part."""

    def __init__(self, design, x, face):
        self.design, self.x, self.face = design, np.asarray(x, dtype=float), np.asarray(face)
        self.chord = float(design.bend().free_chord)
        off = (self.x < 0.0) | (self.x > self.chord + 0.02 * design.free_length)
        if np.any(off):
            raise ValueError(
                f"an offset at x = {show(self.x[off][0], 'mm')} is off the sheets: they run from 0 at the "
                f"land end to about {show(self.chord, 'mm')}"
            )
        self.to_inputs = np.zeros((len(INPUTS), len(UNKNOWNS)))
        for i, name in enumerate(INPUTS):
            self.to_inputs[i, UNKNOWNS.index("land_slope" if name.startswith("land_slope") else name)] = 1.0
        upper, lower = (np.where(self.face == name, 1.0, np.where(self.face == "half", 0.5, 0.0)) for name in SIDES)
        self.weights = np.array([upper, lower])
        along = np.zeros((len(self.x), len(UNKNOWNS)))
        along[:, UNKNOWNS.index("shift")], along[:, UNKNOWNS.index("tilt")] = 1.0, self.x
        self.line = (lower - upper)[:, None] * along  # what the line measured from adds

    def start(self, known, land_slope=0.0, log_ratio=0.0) -> np.ndarray:
        """The `UNKNOWNS` with what is `known` at its values."""
        return np.array([land_slope, log_ratio, *(known[name].value for name in NAMES)])

    def at(self, values, near: At | None = None) -> At | None:
        """The prediction; None where two such sheets cannot be bent so."""
        named = dict(zip(UNKNOWNS, values.tolist(), strict=True))
        sound = abs(named["land_slope"]) < 0.5 * np.pi and abs(named["log_ratio"]) <= LARGEST_LOG
        sound &= all(abs(named[f"bow_{i}"]) < MOST_BOW and named[f"thickness_{i}"] > 0.0 for i in (1, 2))
        if not sound:
            return None
        given = self.to_inputs @ values
        faces = solve_faces(self.design.free_length, given, self.x, near and near.faces)
        if faces is None:
            return None
        readings = np.sum(self.weights * faces.height, axis=0) + self.line @ values
        slopes = np.einsum("fr,fri->ri", self.weights, faces.height_slopes) @ self.to_inputs + self.line
        return At(values, readings, slopes, faces)

    def ideal(self, near: At | None = None) -> np.ndarray:
        """Readings of two alike, flat sheets as designed [m]."""
        lengths = ("sheet_thickness" if name.startswith("thickness") else name for name in NAMES)
        values = [0.0, 0.0, *(getattr(self.design, name, 0.0) for name in lengths)]
        at = self.at(np.array(values), near)
        if at is None:
            raise ValueError("the design cannot be bent: use a smaller spacer or a longer free length")
        return at.readings

    def camber_slopes(self, at: At) -> np.ndarray:
        """Of the mean line at the front edge, by each unknown."""
        return at.faces.camber_slopes @ self.to_inputs


SIDES = ("upper", "lower")


@dataclass(frozen=True, eq=False)
class Best:
    """The most probable values.

    Attributes
    ----------
    at : the prediction there
    scale : standard uncertainty of each unknown's prior, or a rough size; `free`: which were fitted;
        `told`: which of these have a prior
    miss : misfits of the readings, then of the priors that there are, over their uncertainties
    inside : share of each reading's variance that is left in its misfit, 0 to 1; 0: it alone fixes something
    covariance : of all unknowns, zero where they were held; infinite where nothing fixes them
    freedom : readings less unknowns without a prior
    """

    at: At
    scale: np.ndarray
    free: np.ndarray
    told: np.ndarray
    miss: np.ndarray
    inside: np.ndarray
    covariance: np.ndarray
    freedom: int


class _Rows:
    """Misfits of readings and priors over uncertainties, by the free unknowns over their scale."""

    def __init__(self, offsets, known, free, start):
        spread = [known[name].uncertainty if name in known else np.inf for name in UNKNOWNS]
        rough = [_ROUGH.get(name, 1e-3) for name in UNKNOWNS]
        self.told = free & np.isfinite(spread)  # by a prior
        self.scale = np.where(self.told, spread, rough)
        self.offsets, self.free, self.start = offsets, free, start
        self.priors = np.eye(len(UNKNOWNS))[self.told][:, free]

    def miss(self, at):
        """Misfits, readings first."""
        of_priors = ((at.values - self.start) / self.scale)[self.told]
        return np.concatenate([(at.readings - self.offsets.offset) / self.offsets.uncertainty, of_priors])

    def table(self, at):
        """Their slopes."""
        slopes = at.slopes * self.scale / self.offsets.uncertainty[:, None]
        return np.vstack([slopes[:, self.free], self.priors])


def most_probable(model: OffsetModel, offsets, known, free, at: At) -> Best | None:
    """The most probable values of the free unknowns, from the prediction at what is known; None where no step leads
    there.

    Taken as reached where a further step would improve the sum of squares by less than a thousand-millionth.
    """
    rows = _Rows(offsets, known, free, at.values)
    miss, parts, damping = rows.miss(at), _parts(rows.table(at)), 0.0
    for _ in range(_STEPS):
        step, better = _step(parts, miss, damping)
        if damping == 0.0 and better <= _DONE * (1e-3 + np.sum(miss**2)):
            return _best(at, rows, miss, parts)
        trial = model.at(at.values + _shortened(rows, step), at)
        if trial is None or np.sum((new := rows.miss(trial)) ** 2) > np.sum(miss**2) * (1.0 + 1e-12):
            if damping > _STUCK:
                break
            damping = max(1.0, 10.0 * damping)
            continue
        at, miss, parts = trial, new, _parts(rows.table(trial))
        damping = 0.0 if damping <= 1.0 else 0.1 * damping
    return None


def _parts(table):
    """Singular value decomposition without what nothing fixes: left, sizes, right."""
    left, sizes, right = np.linalg.svd(table, full_matrices=False)
    seen = sizes > _UNSEEN * sizes[0]
    return left[:, seen], sizes[seen], right[seen]


def _step(parts, miss, damping):
    """Step of the free unknowns over their scale, and by how much it should better the sum of squares undamped."""
    left, sizes, right = parts
    along = left.T @ miss
    return -right.T @ (sizes / (sizes**2 + damping) * along), float(np.sum(along**2))


def _shortened(rows, step):
    """The step of all unknowns, no longer than slope and ratio can be followed."""
    whole = np.zeros(len(UNKNOWNS))
    whole[rows.free] = step
    whole *= rows.scale
    return whole / max(1.0, *np.abs(whole[[SLOPE, RATIO]]) / _LONGEST)


def _best(at, rows, miss, parts):
    left, sizes, right = parts
    count, free = len(rows.offsets), rows.free
    covariance = np.zeros((len(free), len(free)))
    fixed = len(sizes) == free.sum()
    own = (right.T / sizes**2) @ right if fixed else np.full((free.sum(), free.sum()), np.inf)
    covariance[np.ix_(free, free)] = own * np.outer(rows.scale[free], rows.scale[free])
    inside = np.clip(1.0 - np.sum(left[:count] ** 2, axis=1), 0.0, 1.0)
    freedom = count - int(np.sum(free & ~rows.told))
    return Best(at, rows.scale, free, rows.told, miss, inside, covariance, freedom)
