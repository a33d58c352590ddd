"""Offsets measured on the real part, and the land slope and stiffness ratio that explain them best.

The model is the exact bend of two sheets on a floating rod, both with the same slope at the land end (`offset_model`).
What else shapes the part and was not measured exactly is fitted beside them, each with what is known of it
(`offset_priors`), so that the answer is as unsure as all that together makes it. Left out: friction, sheets of uneven
thickness, stations that are not where they are said to be; a land that gives way under load counts as slope.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import numpy as np

from ..entries import plain_number
from ..files import brief, text_of, write_atomically
from ..mechanics.numerics import read_row, read_together
from ..mechanics.unequal_bow import BowedBend, solve_bowed
from ..study.design import Design
from ..units import from_si, read_choice, read_number, show_input, to_si
from .offset_model import RATIO, SLOPE, UNKNOWNS, Best, OffsetModel, most_probable
from .offset_notes import fit_notes
from .offset_priors import NAMES, STATED, Known, usual_priors
from .readings import Measured

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


MEASURED = 2e-5  # standard uncertainty of a thickness given as a number: a calliper's twentieth [m]
SELDOM = 1e-3  # a misfit that comes less often tells that the offsets are not those of such a part (judgement)
COVERS = 1.96  # standard uncertainties on either side: nineteen in twenty of a normal distribution
TEN = np.log(10.0)  # a ratio that may be ten times as large hides in the readings


@dataclass(frozen=True, eq=False)
class OffsetFit:
    """What explains the offsets best.

    Attributes
    ----------
    design, offsets, known : what was given, `known` by the names of `NAMES`
    land_slope : of each sheet, away from the chord line positive [rad]
    stiffness_ratio : D1/D2, upper over lower sheet [-]
    land_slope_uncertainty, stiffness_ratio_uncertainty : standard uncertainties [rad, -]
    correlation : of the two [-]; nan, like the ratio's uncertainty, where the ratio was held at 1 because the readings
        say nothing of it
    gap_correlation : of the logarithm of the ratio and the difference of the sheets' bows, upper less lower [-]; nan
        likewise
    found : what became of everything `known`: {name: `Measured`}, contributions left out [SI]
    log_ratio : logarithm of the ratio with what each thing known adds to its uncertainty [-]
    camber : of the mean line at the front edge, towards the upper sheet positive, of the part as explained [m]
    camber_of_ratio : what of it would go with a ratio of 1, all else as found, to first order: a hundredth off for 1.4
    shift, tilt : of the line measured from, zero if it was the chord line [m, rad]
    predicted, residual : of each reading, the latter measured minus predicted [m]
    ideal_residual : of each reading, from two alike, flat sheets as designed [m]
    largest_residual, where, where_face : signed, its x [m] and its face
    rms : root mean square of the residuals [m]
    chi_square, freedom : sum of squares of misfits of readings and priors over their uncertainties; readings less
        unknowns of which nothing is known
    strain : residual of each reading over its own standard uncertainty, less what the fit takes up [-]
    """

    design: Design
    offsets: Offsets
    known: dict
    land_slope: float
    land_slope_uncertainty: float
    stiffness_ratio: float
    stiffness_ratio_uncertainty: float
    correlation: float
    gap_correlation: float
    found: dict
    log_ratio: Measured
    camber: Measured
    camber_of_ratio: Measured
    predicted: np.ndarray
    residual: np.ndarray
    ideal_residual: np.ndarray
    chi_square: float
    freedom: int
    strain: np.ndarray

    @property
    def shift(self) -> float:
        """Height of the line measured from over the chord line, at the land end [m]."""
        return self.found["shift"].value

    @property
    def tilt(self) -> float:
        """Of the line measured from, against the chord line [rad]."""
        return self.found["tilt"].value

    @property
    def _worst(self):
        return int(np.argmax(np.abs(self.residual)))

    @property
    def largest_residual(self) -> float:
        """The largest, signed [m]."""
        return float(self.residual[self._worst])

    @property
    def where(self) -> float:
        """Its x [m]."""
        return float(self.offsets.x[self._worst])

    @property
    def where_face(self) -> str:
        """Its face."""
        return str(self.offsets.face[self._worst])

    @property
    def rms(self) -> float:
        """Root mean square of the residuals [m]."""
        return float(np.sqrt(np.mean(self.residual**2)))

    @property
    def spread(self) -> float:
        """Root of `chi_square` over `freedom`: near 1 where all is well; nan where nothing is over."""
        return float(np.sqrt(self.chi_square / self.freedom)) if self.freedom else float("nan")

    @property
    def chance(self) -> float:
        """How often a part that is as the model has it gives a `chi_square` as large; nan where nothing is over."""
        from scipy.special import chdtrc

        return float(chdtrc(self.freedom, self.chi_square)) if self.freedom > 0 else float("nan")

    @property
    def fits(self) -> bool:
        """Whether the model explains the offsets: False where such misfits come less than once in a thousand parts."""
        return not self.chance < SELDOM

    @property
    def suspect(self) -> int:
        """The reading that fits worst, by `strain`."""
        return int(np.argmax(np.abs(self.strain)))

    @property
    def ratio_interval(self) -> tuple[float, float]:
        """Between which the ratio of bending stiffness lies, nineteen times in twenty [-]."""
        low, high = (np.exp(self.log_ratio.value + k * COVERS * self.log_ratio.uncertainty) for k in (-1.0, 1.0))
        return float(low), float(high)

    @property
    def pair(self) -> BowedBend:
        """The bend that explains the readings, its forces for a lower sheet of unit stiffness."""
        now = {name: one.value for name, one in self.found.items()}
        sheets = now["thickness_1"], now["thickness_2"], self.stiffness_ratio, 1.0
        lengths = now["spacer_diameter"], now["bond_line"], now["setback"], "floating"
        return solve_bowed(
            self.design.free_length, *sheets, *lengths, *2 * [self.land_slope], now["bow_1"], now["bow_2"]
        )

    @property
    def notes(self) -> tuple:
        """In words."""
        return fit_notes(self)


def fit_offsets(
    design: Design, offsets: Offsets, line: str = "chord", thickness_1=None, thickness_2=None, known: dict | None = None
) -> OffsetFit:
    """Land slope and stiffness ratio that explain measured offsets best, with their uncertainty.

    Parameters
    ----------
    design : Design
        What the part was meant to be; raises InfeasibleBend if it cannot be bent.
    offsets : Offsets
        Readings at x from 0 to the front edge.
    line : str
        "chord": offsets were measured from the chord line through the middle of the bond line, along the land, found to
        a ruler's tenth at both ends. "free": from a line that may be shifted and tilted against it.
    thickness_1, thickness_2 : float, optional
        Measured thickness of the upper and the lower sheet [m]; the design's, with the stock's tolerance, if not given.
    known : {name: Known}, optional
        What is known of the part besides, by the names of `offset_priors.NAMES`; the rest as `usual_priors` has it.

    Notes
    -----
    Least squares of readings and priors over their uncertainties; covariance (J^T W J + P)^-1 from the Jacobian at the
    solution, P the precision of the priors (JCGM 100:2008, H.3, in matrix form; priors as JCGM 101:2008, 6.4.7): the
    stated uncertainties are believed, not rescaled by the residuals. Nothing is known before of slope and ratio.
    """
    given = {f"thickness_{i}": t for i, t in ((1, thickness_1), (2, thickness_2)) if t is not None}
    own = {name: Known(read_number(t, "thickness", "mm", above=0.0), MEASURED) for name, t in given.items()}
    known = usual_priors(design, line, **{**own, **(known or {})})
    model = OffsetModel(design, offsets.x, offsets.face)
    at = model.at(model.start(known))
    if at is None:
        raise ValueError(NO_SUCH_PART)
    free = np.array([True, True, *(known[name].uncertainty > 0.0 for name in NAMES)])
    free[RATIO] = np.linalg.norm(at.slopes[:, RATIO] / offsets.uncertainty) * TEN > 1.0
    blank = int(free[:2].sum()) + sum(not np.isfinite(one.uncertainty) for one in known.values())
    if len(offsets) < blank:
        raise ValueError(f"{len(offsets)} readings for {blank} unknowns: measure at more places")
    best = most_probable(model, offsets, known, free, at)
    if best is None:
        raise ValueError(NO_SUCH_PART)
    return _record(model, offsets, known, best)


NO_SUCH_PART = (
    "no land slope and ratio of the sheets' bending stiffness explain these offsets: check the chord line "
    "they were measured from, the faces, and that they are in millimetres"
)


def predict_offsets(
    design: Design,
    x,
    face,
    land_slope: float = 0.0,
    stiffness_ratio: float = 1.0,
    thickness_1=None,
    thickness_2=None,
    **built,
) -> np.ndarray:
    """Offsets of the outer faces at x [m], as for `Offsets`; arguments as for `fit_offsets`, and of what is as `built`,
    by the names of `offset_priors.NAMES` [SI], what differs from the design.

    ValueError, with the reason, where two such sheets cannot be bent so.
    """
    places = Offsets(x, 0.0, face, 1.0)
    model = OffsetModel(design, places.x, places.face)
    read_number(land_slope, "land slope", "deg", -0.5 * np.pi, 0.5 * np.pi)
    read_number(stiffness_ratio, "stiffness ratio", low=1e-6, high=1e6)
    given = {**built, "thickness_1": thickness_1, "thickness_2": thickness_2}
    known = {name: Known(value, 0.0) for name, value in given.items() if value is not None}
    values = model.start(usual_priors(design, **known), land_slope, np.log(stiffness_ratio))
    if (at := model.at(values)) is None:
        named = dict(zip(UNKNOWNS, values.tolist(), strict=True))
        sheets = named["thickness_1"], named["thickness_2"], stiffness_ratio, 1.0
        lengths = named["spacer_diameter"], named["bond_line"], named["setback"], "floating"
        bows = named["bow_1"], named["bow_2"]
        reason = solve_bowed(design.free_length, *sheets, *lengths, land_slope, land_slope, *bows).reason
        raise ValueError(f"sheets with this land slope and ratio of bending stiffness, A over B: {reason}")
    return at.readings


def _record(model, offsets, known, best: Best) -> OffsetFit:
    at, covariance = best.at, best.covariance
    values, residual = dict(zip(UNKNOWNS, at.values.tolist(), strict=True)), offsets.offset - at.readings
    u = np.sqrt(np.diag(covariance))
    held = not best.free[RATIO]
    pick = np.eye(len(UNKNOWNS))
    gap = pick[UNKNOWNS.index("bow_1")] - pick[UNKNOWNS.index("bow_2")]
    by, ratio = model.camber_slopes(at), float(np.exp(values["log_ratio"]))
    with np.errstate(invalid="ignore", divide="ignore"):
        strain = np.where(best.inside > EVEN, residual / offsets.uncertainty / np.sqrt(best.inside), 0.0)
    return OffsetFit(
        model.design,
        offsets,
        known,
        values["land_slope"],
        float(u[SLOPE]),
        ratio,
        float("nan") if held else float(ratio * u[RATIO]),
        _correlation(covariance, pick[SLOPE], pick[RATIO]),
        _correlation(covariance, gap, pick[RATIO]),
        {name: Measured(values[name], float(u[UNKNOWNS.index(name)]), {}) for name in NAMES},
        _measured(best, pick[RATIO], values["log_ratio"]),
        _measured(best, by, at.faces.camber),
        _measured(best, by[RATIO] * pick[RATIO], by[RATIO] * values["log_ratio"]),
        at.readings,
        residual,
        offsets.offset - model.ideal(at),
        float(np.sum(best.miss**2)),
        best.freedom,
        strain,
    )


EVEN = 1e-6  # share of a reading's variance below which it fixes something alone, and no misfit shows


def _correlation(covariance, one, other):
    """Of two combinations of the unknowns; nan where one of them is held or nothing fixes it."""
    with np.errstate(invalid="ignore", divide="ignore"):
        sizes = np.sqrt((one @ covariance @ one) * (other @ covariance @ other))
        return float(one @ covariance @ other / sizes)


def _measured(best: Best, slopes, value) -> Measured:
    """A quantity with its standard uncertainty and what each thing known adds to it, the offsets the rest; nan where
    the ratio counts and the offsets say nothing of it."""
    if slopes[RATIO] and not best.free[RATIO]:
        return Measured(float(value), float("nan"), {})
    with np.errstate(invalid="ignore"):
        shared = slopes @ best.covariance
        variance = float(shared @ slopes)
        own = {name: abs(shared[i] / best.scale[i]) for i, name in enumerate(UNKNOWNS) if best.told[i]}
        rest = np.sqrt(max(variance - sum(part**2 for part in own.values()), 0.0))
    return Measured(
        float(value), float(np.sqrt(variance)), {"offsets": float(rest), **{n: float(v) for n, v in own.items()}}
    )
