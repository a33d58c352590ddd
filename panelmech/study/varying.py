"""How inputs vary from part to part: what a tolerance means, what is drawn, which inputs go together.

A tolerance is the half-width of a band in which every value is equally likely (rectangular distribution, JCGM
100:2008, 4.3.7), a standard deviation of a normal distribution (4.3.4), or a sample of measured values, each as likely
as any other (the bootstrap: Efron, Ann. Statist. 7, 1979; from memory). A normal distribution ends at what an input can
be; how much of it lies beyond is said. Inputs that go together do so by the correlation of normal scores, each keeping
its own distribution (JCGM 101:2008, 6.4.8 for normal ones; a Gaussian copula for the others).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import scipy

from ..units import read_array, read_choice, read_number, show, show_input
from .design import LIMITS, Design
from .study import SheetRange, stock_range

MODULUS = "modulus"  # the one input that is not a length of the design: it varies as a factor
OF_A_SHEET = ("sheet_thickness", MODULUS)  # inputs that each of the two sheets of a part has of its own
ALIKE = 1.0  # how both sheets go together: cut side by side from one sheet, as the cut list asks (common practice)
BAND, DEVIATION, SAMPLE = KINDS = ("band", "deviation", "sample")
LEAST_FACTOR = 1e-3  # of the modulus
_POSITIVE = 1e-9  # m: a length that may not be zero


@dataclass(frozen=True)
class Tolerance:
    """How one input varies.

    field : a length of the design, "friction" or "modulus"
    size : half-width of the band, or standard deviation [SI; for the modulus a share]; of a sample it follows
    kind : one of `KINDS`
    basis : one of `BASES`
    values : of a sample, two or more as measured [SI; for the modulus each over the nominal one]
    """

    field: str
    size: float = 0.0
    kind: str = BAND
    basis: str = "user"
    values: tuple = ()

    def __post_init__(self):
        allowed = [n for n, limit in LIMITS.items() if limit.unit == "mm"] + ["friction", MODULUS]
        if self.field not in allowed:
            raise ValueError(f"{self.field!r} has no tolerance here: give one of {', '.join(allowed)}")
        read_choice(self.kind, "kind", KINDS)
        if self.kind == SAMPLE:
            self._read_sample()
        elif len(self.values):
            raise ValueError(f"tolerance of {self.field}: values are for the kind {SAMPLE!r}; this is a {self.kind!r}")
        read_number(self.size, f"tolerance of {self.field}", low=0.0, hint="in SI units")

    def _read_sample(self):
        values = read_array(self.values, f"values of {self.field}", axes=1, least=2, hint="as measured, in SI")
        if self.size:
            raise ValueError(f"tolerance of {self.field}: the size of a sample follows from its values: give no size")
        object.__setattr__(self, "values", tuple(np.sort(values).tolist()))
        object.__setattr__(self, "size", float(np.std(values, ddof=1)))

    @property
    def standard_deviation(self) -> float:
        """Of one value; a band's is its half-width over the root of three."""
        return self.size / np.sqrt(3.0) if self.kind == BAND else self.size

    def at(self, share, nominal: float):
        """The values below which these shares of all parts lie, 0 to 1 [SI; for the modulus a factor]."""
        share = np.asarray(share, dtype=float)
        if self.kind == BAND:
            return nominal + (-self.size + 2.0 * self.size * share)
        if self.kind == SAMPLE:
            values = np.array(self.values)
            return values[np.minimum((share * len(values)).astype(int), len(values) - 1)]
        if not self.size:
            return np.full(share.shape, nominal)
        low, high = self._ends(nominal)
        return np.clip(nominal + self.size * scipy.special.ndtri(low + share * (high - low)), *reach(self.field))

    def cut_off(self, nominal: float) -> float:
        """Share of a normal distribution that lies beyond what the input can be, and is left out [-]."""
        if self.kind != DEVIATION or not self.size:
            return 0.0
        low, high = self._ends(nominal)
        return float(low + (1.0 - high))

    def _ends(self, nominal):
        """Shares of the normal distribution below and up to what the input can be."""
        return tuple(scipy.special.ndtr((end - nominal) / self.size) for end in reach(self.field))


def reach(field: str) -> tuple:
    """(least, most) that an input can be [SI; of the modulus the factor]."""
    if field == MODULUS:
        return LEAST_FACTOR, np.inf
    low, high = LIMITS[field].range
    return (low if field in ("setback", "bond_line", "friction") else max(low, _POSITIVE)), high


def nominal(design: Design, name: str) -> float:
    """What an input is as designed [SI; the modulus as a factor]."""
    return 1.0 if name == MODULUS else getattr(design, name)


def input_label(name: str) -> str:
    """What an input that varies is called."""
    return MODULUS if name == MODULUS else LIMITS[name].label


def input_unit(name: str) -> str:
    """The unit its tolerance is shown in."""
    return "%" if name == MODULUS else LIMITS[name].unit


def as_built(design: Design, values: dict) -> Design:
    """One part: the design with these values by input, every modulus of its sheet times that of the "modulus", what its
    stock tabulates over thickness read at the nominal one. ValueError for what no design may be."""
    sheet = design.sheet.at_nominal(design.sheet_thickness)
    factor = values.get(MODULUS, 1.0)
    moduli = {name: getattr(sheet, name) for name in sheet.MODULI if getattr(sheet, name, None) is not None}
    sheet = replace(sheet, **{name: value * factor for name, value in moduli.items()})
    return design.replace(sheet=sheet, **{name: float(v) for name, v in values.items() if name != MODULUS})


def default_tolerances(design: Design, sheets: SheetRange | None = None) -> tuple:
    """Thickness and modulus of the sheet as its `sheets` tell, `stock_range` if not given; for the rest what careful
    hand work gives (common practice, no source), to be replaced by measurements."""
    known, hand = sheets or stock_range(design), "common practice"
    return (
        Tolerance("sheet_thickness", known.thickness, basis=known.basis),
        Tolerance(MODULUS, known.modulus, basis=known.modulus_basis),
        Tolerance("spacer_diameter", 0.1e-3, basis=hand),
        Tolerance("setback", 0.5e-3, basis=hand),
        Tolerance("bond_line", min(0.1e-3, design.bond_line), basis=hand),
    )


@dataclass(frozen=True, eq=False)
class Varying:
    """Inputs of a design that vary together: from independent numbers to values of the inputs.

    mixing : (inputs, inputs) of independent normal scores into correlated ones; None where none goes with another
    alike : correlation of the two sheets' thicknesses, and of their moduli, 0 to 1 [-]; 1: one value for both
    """

    design: Design
    tolerances: tuple
    mixing: np.ndarray | None = None
    alike: float = ALIKE

    @property
    def fields(self) -> tuple:
        """Names of the inputs."""
        return tuple(t.field for t in self.tolerances)

    @property
    def apart(self) -> tuple:
        """Names of the inputs of which each sheet of a part has its own value."""
        return () if self.alike == 1.0 else tuple(name for name in self.fields if name in OF_A_SHEET)

    @property
    def scores(self) -> int:
        """How many normal scores make a part: one of each input, and of the second sheet those that are `apart`."""
        return len(self.tolerances) + len(self.apart)

    @property
    def cut_off(self) -> dict:
        """{input: share of its normal distribution that is left out} where there is any."""
        found = {t.field: t.cut_off(nominal(self.design, t.field)) for t in self.tolerances}
        return {name: share for name, share in found.items() if share > 0.0}

    def draw(self, rng, count: int) -> dict:
        """Values of `count` parts by input [SI]."""
        if self.mixing is None:
            return self._at(rng.random(count) for _ in self.tolerances)
        return self.of_scores(rng.standard_normal((len(self.tolerances), count)))

    def of_scores(self, scores) -> dict:
        """Values by input of independent standard normal scores (`scores`, parts); of a sheet those of the first."""
        return self._at(scipy.special.ndtr(self._mixed(scores)))

    def second_of_scores(self, scores) -> dict:
        """Values of the second sheet by the inputs that are `apart`: its scores go with those of the first by `alike`,
        and among themselves as those of the first do."""
        rows = [self.fields.index(name) for name in self.apart]
        together = np.eye(len(self.fields)) if self.mixing is None else self.mixing @ self.mixing.T
        own = _root(together[np.ix_(rows, rows)]) @ scores[len(self.fields) :]
        mixed = self.alike * self._mixed(scores)[rows] + np.sqrt(1.0 - self.alike**2) * own
        return Varying(self.design, tuple(self.tolerances[i] for i in rows))._at(scipy.special.ndtr(mixed))

    def _mixed(self, scores):
        first = scores[: len(self.tolerances)]
        return first if self.mixing is None else self.mixing @ first

    def _at(self, shares):
        pairs = zip(self.tolerances, shares, strict=True)
        return {t.field: t.at(share, nominal(self.design, t.field)) for t, share in pairs}


def varying(design: Design, tolerances, correlation: dict | None = None, alike: float = ALIKE) -> Varying:
    """Inputs that vary by their tolerances.

    tolerances : of `Tolerance`, one for each input
    correlation : {(input, input): correlation of their normal scores, -1 to 1}; what is not named is independent
    alike : that of the thicknesses of the two sheets of a part, and of their moduli, 0 to 1: 1 where both are cut side
        by side from one sheet, 0 where each is of a sheet of its own

    ValueError for none, an input named twice, a band or a sample that reaches beyond what the input can be, or
    correlations that cannot be together.
    """
    tolerances = tuple(tolerances)
    names = [t.field for t in tolerances]
    if len(set(names)) != len(names) or not names:
        told = ", ".join(names) or "nothing"
        raise ValueError(f"tolerances for {told}: give one for each input that varies, each once")
    for one in tolerances:
        _refuse_beyond(one, nominal(design, one.field))
    alike = read_number(alike, "how alike both sheets are", low=0.0, high=1.0, hint="1 of one sheet, 0 each of its own")
    return Varying(design, tolerances, _mixing(names, correlation or {}), alike)


def _refuse_beyond(tolerance, middle):
    least, most = reach(tolerance.field)
    ends = tolerance.at(np.array([0.0, 1.0]), middle)
    far = [value for value in ends if not least <= value <= most]
    if far:
        raise ValueError(
            f"the tolerance of {input_label(tolerance.field)} lets it become {_shown(tolerance.field, far[0])}, where "
            f"{_can_be(tolerance.field)} is possible: give a smaller one, or a standard deviation, which ends there"
        )


def _shown(name, value):
    return show_input(value, input_unit(name)) + (" of its nominal value" if name == MODULUS else "")


def _can_be(name):
    least, most = (_shown(name, end) for end in reach(name))
    return f"no less than {least}" if np.isinf(reach(name)[1]) else f"{least} to {most}"


def _mixing(names, correlation):
    """The symmetric root of the matrix of correlations; None where there are none."""
    matrix = np.eye(len(names))
    for pair, value in correlation.items():
        if not isinstance(pair, tuple) or len(pair) != 2 or pair[0] == pair[1] or not set(pair) <= set(names):
            raise ValueError(f"correlation of {pair!r}: give two different inputs of {', '.join(names)}")
        i, j = (names.index(name) for name in pair)
        if matrix[i, j]:
            raise ValueError(f"correlation of {pair[0]} and {pair[1]} is given twice: give it once")
        matrix[i, j] = matrix[j, i] = read_number(value, f"correlation of {pair[0]} and {pair[1]}", low=-1.0, high=1.0)
    if not np.any(matrix - np.eye(len(names))):
        return None
    if np.linalg.eigvalsh(matrix)[0] < -1e-12:
        pairs = ", ".join(f"{a} with {b}" for a, b in combinations(names, 2) if (a, b) in correlation)
        raise ValueError(f"these correlations cannot be together ({pairs}): give weaker ones")
    return _root(matrix)


def _root(matrix):
    """The symmetric root of a matrix of correlations."""
    roots, axes = np.linalg.eigh(matrix)
    return axes * np.sqrt(np.maximum(roots, 0.0)) @ axes.T


def together_words(correlation: dict) -> str:
    """Which inputs go together, in a sentence; "" for none."""
    pairs = (f"{input_label(a)} with {input_label(b)} {show(r, '', 2)}" for (a, b), r in correlation.items())
    return f"Correlation: {'; '.join(pairs)}." if correlation else ""


def cut_off_words(cut_off: dict) -> str:
    """What is left out of normal distributions, in a sentence; "" for nothing worth a word."""
    told = [f"{input_label(name)} {show(share, '%', 2)}" for name, share in cut_off.items() if share >= 5e-5]
    if not told:
        return ""
    return f"Left out, beyond what is possible, of the normal distribution of {', '.join(told)}."
