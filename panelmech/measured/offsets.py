"""Offsets measured on the real part, and the land slope and stiffness ratio that explain them best.

The model is the exact bend of two sheets (`unequal`) on a floating
rod, both with the same slope at the land end. The thickness of the sheets is given, their stiffness ratio is not. Left
out: friction, bow, sheets of uneven thickness; a land that gives way under load counts as slope.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import numpy as np
import scipy

from ..entries import plain_number
from ..files import brief, text_of, write_atomically
from ..mechanics.numerics import read_row, read_together
from ..mechanics.unequal import UnequalBend
from ..study.design import Design
from ..units import from_si, read_choice, read_number, show, show_input, to_si
from .camber import pair_bend

# ----- The table of offsets.
#
# A file of offsets is a CSV table with a head line; lines that begin with # are skipped:
#
#     x_mm,offset_mm,face,uncertainty_mm
#     40,3.1,upper,0.05
#
# `x_mm` along the chord from the land end forwards; `face` upper, lower or half. For upper and lower `offset_mm` is the
# distance of the outer face from the chord line through the middle of the bond line, outwards positive; for half it is
# half the thickness over both outer faces, as callipers give it. Upper is sheet 1. `uncertainty_mm`, the standard
# uncertainty of the reading, may be left out.


FACES = ("upper", "lower", "half")
COLUMNS = ("x_mm", "offset_mm", "face", "uncertainty_mm")
MOST_ROWS = 10_000  # of a table, read in a second
STATED = 1e-4  # standard uncertainty of a reading where none is stated: a ruler's tenth of a millimetre [m]


@dataclass(frozen=True, eq=False)
class Offsets:
    """Readings: `x`, `offset` and standard `uncertainty` [m], arrays of one length; `face`, array of words (`FACES`).
    Raises ValueError for readings that are not finite, uncertainties not positive, or unknown faces."""

    x: np.ndarray
    offset: np.ndarray
    face: np.ndarray
    uncertainty: np.ndarray

    def __post_init__(self):
        given = (("x", {}), ("offset", {}), ("uncertainty", {"above": 0.0}))
        rows = ((f"{n} of the offsets", read_row(getattr(self, n), f"{n} of the offsets", "mm", **k)) for n, k in given)
        x, offset, spread = np.broadcast_arrays(*read_together({name: (row, "mm") for name, row in rows}))
        face = np.atleast_1d(np.asarray(self.face, dtype=str))
        if face.shape not in ((1,), x.shape):
            raise ValueError(f"{face.size} faces of {x.size} offsets: give one word for each, or one for all")
        face = np.broadcast_to(face, x.shape)
        for word in set(face.tolist()):
            read_choice(word, "face", FACES)
        for name, value in (("x", x), ("offset", offset), ("uncertainty", spread), ("face", face)):
            object.__setattr__(self, name, value.copy())

    def __len__(self):
        return len(self.x)


def read_offsets(source, uncertainty: float = STATED) -> Offsets:
    """Offsets from a CSV file (path) or its text (a string with a line break); form in the module text.

    `uncertainty` [m] counts where the table states none. ValueError names the line, what is wrong and what is allowed.
    """
    text = source if isinstance(source, str) and "\n" in source else _text_of(Path(source))
    lines = [(i, line.strip()) for i, line in enumerate(text.splitlines(), 1)]
    lines = [(i, line) for i, line in lines if line and not line.startswith("#")]
    if len(lines) > MOST_ROWS:
        raise ValueError(f"the table of offsets has {len(lines)} lines: give {MOST_ROWS} at most")
    if not lines:
        raise ValueError(f"the table of offsets is empty: give a head line {','.join(COLUMNS)} and one line a reading")
    head, *rows = [[cell.strip() for cell in next(csv.reader([line]))] for _, line in lines]
    wrong = [name for name in head if name not in COLUMNS] or [n for n in COLUMNS[:3] if n not in head]
    if wrong or len(set(head)) != len(head):
        raise ValueError(
            f"line {lines[0][0]}: columns are {','.join(head)}; needed are {','.join(COLUMNS[:3])}, and "
            f"{COLUMNS[3]} if you like, each once"
        )
    if not rows:
        raise ValueError("the table of offsets has a head line and no readings")
    read = [
        _row(dict(zip(head, row, strict=False)), len(row) == len(head), number, uncertainty)
        for row, (number, _) in zip(rows, lines[1:], strict=True)
    ]
    return Offsets(*(np.array(column) for column in zip(*read, strict=True)))


def _text_of(path):
    try:
        return text_of(path)
    except OSError as error:
        raise ValueError(f"{path.name} cannot be read: {error.strerror}; give a CSV file of offsets") from None
    except ValueError as error:
        raise ValueError(f"{path.name} is not a table of offsets: {error}; save the table as CSV, UTF-8") from None


def _row(cells, whole, number, uncertainty):
    if not whole:
        raise ValueError(f"line {number}: not as many cells as the head line has columns")

    def metres(name):
        try:
            return to_si(plain_number(cells[name]), "mm")
        except ValueError:
            words = f"line {number}: {name} is {brief(repr(cells[name]))}"
            raise ValueError(f"{words}: give a number in millimetres, with a point") from None

    face = cells["face"].lower()
    if face not in FACES:
        raise ValueError(f"line {number}: face is {cells['face']!r}: give one of {', '.join(FACES)}")
    spread = metres(COLUMNS[3]) if cells.get(COLUMNS[3]) else uncertainty
    if not spread > 0.0:
        raise ValueError(f"line {number}: uncertainty is {show_input(spread, 'mm')}: give a positive number")
    return metres("x_mm"), metres("offset_mm"), face, spread


def offsets_text(offsets: Offsets) -> str:
    """The readings as CSV text; `read_offsets` gives them back."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for x, offset, face, spread in zip(offsets.x, offsets.offset, offsets.face, offsets.uncertainty, strict=True):
        x, offset, spread = (f"{from_si(v, 'mm'):.9g}" for v in (x, offset, spread))
        writer.writerow([x, offset, face, spread])
    return out.getvalue()


def write_offsets(path, offsets: Offsets) -> None:
    """Write the readings as CSV, all or nothing."""
    write_atomically(path, offsets_text(offsets))


# ----- What explains them best.


LINES = ("chord", "free")
APART = 0.95  # size of the correlation from which slope and ratio cannot be told apart (judgement, no source)
VAGUE = 0.5  # standard uncertainty of the ratio's logarithm from which nothing is known of it (judgement, no source)
LEFT_OUT = "Left out: friction, bow, uneven thickness; a land that gives way under load counts as slope."
_NO_PAIR = 1e6  # misfit, in standard uncertainties, where the sheets cannot be bent so
_STEPS = np.array([1e-5, 1e-4, 1e-6, 1e-6])  # for the Jacobian: slope, log of the ratio, shift over chord, tilt


@dataclass(frozen=True, eq=False)
class OffsetFit:
    """What explains the offsets best.

    Attributes
    ----------
    land_slope : of each sheet, away from the chord line positive [rad]
    stiffness_ratio : D1/D2, upper over lower sheet [-]
    land_slope_uncertainty, stiffness_ratio_uncertainty : standard uncertainties [rad, -]
    correlation : of the two [-]; nan, like the ratio's uncertainty, where the ratio was held at 1 because the readings
        say nothing of it
    shift, tilt : of the line measured from, zero if it was the chord line [m, rad]
    predicted, residual : of each reading, the latter measured minus predicted [m]
    ideal_residual : of each reading, from the ideal matched pair [m]
    largest_residual, where, where_face : signed, its x [m] and its face
    rms : root mean square of the residuals [m]
    spread : root mean square of residuals over stated uncertainties, by degrees of freedom: near 1 where all is well
    pair : the bend that explains the readings, its forces for a lower sheet of unit stiffness
    notes : in words
    """

    land_slope: float
    land_slope_uncertainty: float
    stiffness_ratio: float
    stiffness_ratio_uncertainty: float
    correlation: float
    shift: float
    tilt: float
    predicted: np.ndarray
    residual: np.ndarray
    ideal_residual: np.ndarray
    largest_residual: float
    where: float
    where_face: str
    rms: float
    spread: float
    pair: UnequalBend
    notes: tuple


def fit_offsets(design: Design, offsets: Offsets, line: str = "chord", thickness_1=None, thickness_2=None) -> OffsetFit:
    """Land slope and stiffness ratio that explain measured offsets best, with their uncertainty.

    Parameters
    ----------
    design : Design
        What the part was meant to be; raises InfeasibleBend if it cannot be bent.
    offsets : Offsets
        Readings at x from 0 to the front edge.
    line : str
        "chord": offsets were measured from the chord line through the middle of the bond line, along the land. "free":
        from a line that may be shifted and tilted against it; both are then fitted too.
    thickness_1, thickness_2 : float, optional
        Measured thickness of the upper and the lower sheet [m]; the design's if not given.

    Notes
    -----
    Least squares of residuals over stated uncertainties; covariance (J^T J)^-1 from the Jacobian at the solution (JCGM
    100:2008, H.3, in matrix form): the stated uncertainties are believed, not rescaled by the residuals.
    """
    read_choice(line, "line", LINES)
    model = _Model(design, offsets, thickness_1, thickness_2)
    start = np.zeros(4)
    free = np.array([True, True, line == "free", line == "free"])
    slopes = model.near(start)[1] / offsets.uncertainty[:, None]
    free[1] = np.linalg.norm(slopes[:, 1]) * np.log(10.0) > 1.0  # else a tenfold ratio hides in the uncertainty
    if len(offsets) < free.sum():
        raise ValueError(f"{len(offsets)} readings for {free.sum()} unknowns: measure at more places")
    p, slopes = _solve(model, start, free, offsets)
    covariance = np.full((4, 4), np.nan)
    covariance[np.ix_(free, free)] = _covariance(slopes)
    return _record(model, p, free, covariance, offsets)


def predict_offsets(
    design: Design, x, face, land_slope: float = 0.0, stiffness_ratio: float = 1.0, thickness_1=None, thickness_2=None
) -> np.ndarray:
    """Offsets of the outer faces at x [m], as for `Offsets`; arguments as for `fit_offsets`.

    ValueError, with the reason, where two such sheets cannot be bent so.
    """
    model = _Model(design, Offsets(x, 0.0, face, 1.0), thickness_1, thickness_2)
    read_number(land_slope, "land slope", "deg", -0.5 * np.pi, 0.5 * np.pi)
    read_number(stiffness_ratio, "stiffness ratio", low=1e-6, high=1e6)
    p = np.array([land_slope, np.log(stiffness_ratio), 0.0, 0.0])
    if not (pair := model.pair(p)).feasible:
        raise ValueError(f"sheets with this land slope and ratio of bending stiffness, A over B: {pair.reason}")
    return model.at(p)


class _Model:
    """Predicted readings as a function of land slope, log of the stiffness ratio, shift over chord, and tilt."""

    def __init__(self, design, offsets, thickness_1, thickness_2):
        self.design, self.x, self.face = design, offsets.x, offsets.face
        given = (thickness_1, thickness_2)
        own = design.sheet_thickness
        self.thickness = [own if t is None else read_number(t, "thickness", "mm", above=0.0) for t in given]
        self.chord = float(design.bend().free_chord)
        off = (self.x < 0.0) | (self.x > self.chord + 0.02 * design.free_length)
        if np.any(off):
            raise ValueError(
                f"an offset at x = {show(self.x[off][0], 'mm')} is off the sheets: they run from 0 at the "
                f"land end to about {show(self.chord, 'mm')}"
            )

    def pair(self, p):
        """The bends of a row of parameters, (..., 4)."""
        ratio, slope = np.exp(p[..., 1]), p[..., 0]
        stiffness = ratio, np.ones_like(ratio)
        return pair_bend(self.design, *self.thickness, *stiffness, land_slope_1=slope, land_slope_2=slope)

    def at(self, p):
        """Predicted readings, (..., readings)."""
        p = np.asarray(p, dtype=float)
        pair = self.pair(p)
        upper, lower = (_outer_face(pair, sheet, self.thickness[sheet - 1], self.x) for sheet in (1, 2))
        line = p[..., 2:3] * self.chord + p[..., 3:4] * self.x  # height of the line measured from
        upper, lower = upper - line, lower + line
        return np.where(self.face == "upper", upper, np.where(self.face == "lower", lower, 0.5 * (upper + lower)))

    def near(self, p):
        """Readings at p, and their derivatives (readings, 4) by central differences, all in one solve."""
        rows = self.at(p + np.vstack([np.zeros(4), np.diag(_STEPS), -np.diag(_STEPS)]))
        return rows[0], ((rows[1:5] - rows[5:]) / (2.0 * _STEPS[:, None])).T


def _outer_face(pair, sheet, thickness, x):
    """Distance of the outer face from the chord line at x, outwards positive: (..., stations)."""
    s = np.broadcast_to(x, (*np.shape(pair.rod_offset), len(x)))
    for last in (False, False, False, False, True):
        angle, (here, y) = pair.tangent_angle(sheet, s), pair.outline(sheet, s)
        sine, cosine = np.sin(angle), np.cos(angle)
        move = (x - here + 0.5 * thickness * sine) / cosine  # curvature times half the thickness is small
        if last:  # along the face
            return (1.0 if sheet == 1 else -1.0) * y + 0.5 * thickness * cosine + move * sine
        s = s + move


class _Misfit:
    """Misfits over uncertainties, and their slopes by the parameters that are free, at a place the solver asks for; it
    asks for both at the same place."""

    def __init__(self, model, start, free, offsets):
        self.model, self.start, self.free, self.offsets = model, start, free, offsets
        self.place = None

    def at(self, q):
        """Work out the parameters `p`, their `miss` and `slopes` at the free parameters q, unless done."""
        if self.place != q.tobytes():
            self.place, self.p = q.tobytes(), self.start.copy()
            self.p[self.free] = q
            values, table = self.model.near(self.p)
            self.miss = (values - self.offsets.offset) / self.offsets.uncertainty
            self.slopes = table[:, self.free] / self.offsets.uncertainty[:, None]
        return self

    def finite_miss(self, q):
        """Misfits; where the sheets cannot be bent so, a great one."""
        miss = self.at(q).miss
        return np.where(np.isfinite(miss), miss, _NO_PAIR)

    def finite_slopes(self, q):
        """Slopes; where the sheets cannot be bent so, none."""
        slopes = self.at(q).slopes
        return np.where(np.isfinite(slopes), slopes, 0.0)


def _solve(model, start, free, offsets):
    """Parameters that fit best, and the slopes of the misfits there."""
    misfit = _Misfit(model, start, free, offsets)
    solution = scipy.optimize.least_squares(
        misfit.finite_miss,
        start[free],
        misfit.finite_slopes,
        method="trf",
        x_scale=np.array([0.01, 0.1, 0.01, 0.01])[free],
        xtol=1e-9,
        ftol=1e-10,
        gtol=1e-10,
        max_nfev=100,
    )
    best = misfit.at(solution.x)
    if not (solution.success and np.all(np.isfinite(best.miss)) and np.all(np.isfinite(best.slopes))):
        raise ValueError(
            "no land slope and ratio of the sheets' bending stiffness explain these offsets: check the chord line "
            "they were measured from, the faces, and that they are in millimetres"
        )
    return best.p, best.slopes


def _covariance(table):
    """Of the parameters; infinite where the readings do not fix them all."""
    _, sizes, turn = np.linalg.svd(table, full_matrices=False)
    if sizes[-1] < 1e-7 * sizes[0]:
        return np.full((len(sizes), len(sizes)), np.inf)
    return (turn.T / sizes**2) @ turn


def _record(model, p, free, covariance, offsets):
    predicted = model.at(p)
    residual = offsets.offset - predicted
    worst = int(np.argmax(np.abs(residual)))
    spare = len(offsets) - int(free.sum())
    spread = float(np.sqrt(np.sum((residual / offsets.uncertainty) ** 2) / spare)) if spare else float("nan")
    with np.errstate(invalid="ignore"):
        u = np.sqrt(np.diag(covariance))
        correlation = float(covariance[0, 1] / (u[0] * u[1]))
    ratio = float(np.exp(p[1]))
    return OffsetFit(
        float(p[0]),
        float(u[0]),
        ratio,
        float(ratio * u[1]),
        correlation,
        float(p[2] * model.chord),
        float(p[3]),
        predicted,
        residual,
        offsets.offset - model.at(np.zeros(4)),
        float(residual[worst]),
        float(offsets.x[worst]),
        str(offsets.face[worst]),
        float(np.sqrt(np.mean(residual**2))),
        spread,
        model.pair(p),
        _notes(free, u, correlation, spread, spare),
    )


def _notes(free, u, correlation, spread, spare):
    notes = []
    if not free[1]:
        notes.append(
            "These readings say nothing of the ratio of the sheets' bending stiffness, so it was held at 1: measure "
            "each face from the chord line, not only half the thickness."
        )
    elif abs(correlation) > APART or not u[1] < VAGUE:
        notes.append(
            "These readings cannot tell land slope and ratio of the sheets' bending stiffness apart: a change of one "
            "looks like a change of the other. Measure both faces, and at more places."
        )
    if spare and spread > 1.0 + 2.0 / np.sqrt(2.0 * spare):
        notes.append(
            f"The residuals are {spread:.1f} times what the stated uncertainty explains: something is left "
            "out of the model, or the readings are worse than stated. The uncertainties given are then too "
            "small."
        )
    return (*notes, LEFT_OUT)
