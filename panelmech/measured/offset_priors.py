"""What is known of a finished part besides its offsets: the line they were measured from, bow, thickness, bond line,
setback and rod, each with its standard uncertainty.

They are unknowns of the fit that nobody asks for, and each has a normal prior (JCGM 101:2008, 6.4.7); a band counts by
its half-width over the root of three (JCGM 100:2008, 4.3.7). Without them an answer is as sure as if the design had
been built to the last hundredth. An error of the free length counts as one of the setback.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..study.design import Design
from ..study.tolerances import default_tolerances
from ..units import read_choice, read_number
from .one_pass import UNMEASURED_BOW

STATED = 1e-4  # standard uncertainty of a reading where none is stated: a ruler's tenth of a millimetre [m]
LINES = ("chord", "free")
HAND, NOTHING = "common practice, no source", "nothing is known of it"
NAMES = {  # of what is known: label, unit
    "shift": ("height of the line measured from, at the land end", "mm"),
    "tilt": ("tilt of the line measured from", "deg"),
    "bow_1": ("bow of sheet A", "1/m"),
    "bow_2": ("bow of sheet B", "1/m"),
    "thickness_1": ("thickness of sheet A", "mm"),
    "thickness_2": ("thickness of sheet B", "mm"),
    "bond_line": ("bond line", "mm"),
    "setback": ("setback", "mm"),
    "spacer_diameter": ("spacer diameter", "mm"),
}


@dataclass(frozen=True)
class Known:
    """What is known of one quantity: `value` and its standard `uncertainty` [SI], 0 where it is exact, infinite where
    nothing is known; `basis` in words."""

    value: float
    uncertainty: float
    basis: str = "measured"


def usual_priors(design: Design, line: str = "chord", **own) -> dict:
    """What is known of a part built by careful hand, by the names in `NAMES`: {name: Known}.

    Parameters
    ----------
    design : Design
        Its lengths are the values; sheet, bond line, setback and spacer vary as `default_tolerances` has it.
    line : str
        "chord": offsets were measured from the chord line, which was known to a ruler's tenth (`STATED`) at the land
        end and at the front edge. "free": from any line.
    own : Known
        What the builder knows better, by name.

    >>> from panelmech.job import demo
    >>> known = usual_priors(demo().design, bow_1=Known(0.02, 0.003))
    >>> known["bow_1"].basis, known["bow_2"].basis
    ('measured', 'common practice, no source')
    """
    read_choice(line, "line", LINES)
    if strange := [name for name in own if name not in NAMES]:
        raise ValueError(f"{strange[0]!r} is nothing the fit of offsets knows of: give one of {', '.join(NAMES)}")
    chord = float(design.bend().free_chord)
    ends = (STATED, STATED * math.sqrt(2.0) / chord) if line == "chord" else (math.inf, math.inf)
    known = {name: Known(0.0, u, HAND if line == "chord" else NOTHING) for name, u in zip(NAMES, ends, strict=False)}
    bow = 8.0 * UNMEASURED_BOW / design.developed_length / math.sqrt(3.0)
    known |= {f"bow_{i}": Known(0.0, bow, HAND) for i in (1, 2)}
    spread = {t.field: (t.standard_deviation, t.basis) for t in default_tolerances(design)}
    for name in ("thickness_1", "thickness_2", "bond_line", "setback", "spacer_diameter"):
        field = "sheet_thickness" if name.startswith("thickness") else name
        deviation, basis = spread[field]
        known[name] = Known(getattr(design, field), deviation, HAND if basis == "common practice" else basis)
    return {name: _read(name, own.get(name, known[name])) for name in NAMES}


def _read(name, known: Known) -> Known:
    label, unit = NAMES[name]
    read_number(known.value, label, unit)
    read_number(known.uncertainty, f"uncertainty of the {label}", unit, 0.0, infinite=True)
    return known
