"""How far each result can be told: beyond it there is no number, only that there is none.

The framed sheet is reckoned as a shallow, thin shell, the face that is pressed at large deflection. What the skin
pressure of a load case does is linear yet: pressed in by more than half its thickness, stretching (left out) stiffens
the sheet or its curve snaps through; pressed in as far as the hollow is deep, it meets the other sheet. Here is the one
place that says up to which value a result is told (`np.inf`: any), and why no further; whatever judges a check asks it
(`study.verdicts.rate`).

Beyond the range a check is "unknown". It "fails" where that is sure: where the limit itself lies within the range, the
sheet reaches that limit, at a lesser pressure, where the model still holds; and it does not come back as the pressure
grows.
"""

from __future__ import annotations

import numpy as np

HALF = 0.5  # of the thickness: the usual end of linear plate theory (common practice)
HOLLOW = 0.2  # of the spacer: the hollow midway between land and rod is at least so deep (tests)
STEEP = 0.8  # rad of turn from land to rod, from which shallow-shell theory is only a guide (common practice)
THICK = 0.2  # thickness over the smaller side of the framed sheet, from which it is no thin plate (common practice)
STUBBY = 1.0  # outer thickness over chord, from which a part is no blade (definition)
TIP = 0.1  # deflection of the tip over the span, from which small-deflection theory is off by 1 % and more

PRESSED = "linear, told up to half the thickness and less than the hollow: stretching and snapping through left out"
PRESSED_IN = (
    "the sheet is pressed by more than half its thickness, or the land is longer than the sheet in front of it: beyond "
    "what is reckoned here"
)
FRAMED = "a thin, shallow sheet: it turns through more than 46°, is too thick for its sides, or the part for its chord"
LAND = "the land is longer than the sheet in front of it: no part that this worksheet describes"
STOUT = "the part is thicker than its chord is long: no blade, which is what is reckoned here"
SMALL = "small deflections, up to a tenth of the span"


def framed_told(numbers, quantities):
    """True where one framed sheet is a thin, shallow shell of a part that is a blade; floats or arrays.

    numbers : inputs by name, as of `study.quantities.gather` [SI]
    quantities : "contact_angle" [rad], "contact_arclength" [m], "thickness_ratio" [-]
    """
    side = np.minimum(quantities["contact_arclength"], numbers["least_bay"])
    thin = np.asarray(numbers["sheet_thickness"]) <= THICK * side
    return thin & (np.asarray(quantities["contact_angle"]) <= STEEP) & blade_told(numbers, quantities)


def blade_told(numbers, quantities):
    """True where a part is no thicker than its chord is long."""
    return np.asarray(quantities["thickness_ratio"]) <= STUBBY


def pressed_within(numbers, quantities):
    """Deflection of a pressed face up to which it is told: any, or none [m]."""
    return np.where(framed_told(numbers, quantities), np.inf, -np.inf)


def linear_pressed_within(numbers, quantities):
    """Deflection of the framed sheet up to which its linear theory tells it [m]; minus infinity where none is."""
    thickness, spacer = (np.asarray(numbers[name]) for name in ("sheet_thickness", "spacer_diameter"))
    return np.where(framed_told(numbers, quantities), np.minimum(HALF * thickness, HOLLOW * spacer), -np.inf)


def buckling_within(numbers, quantities):
    """Critical stress up to which it is told: any, or none [Pa]."""
    return np.where(framed_told(numbers, quantities), np.inf, -np.inf)


def joint_within(numbers, quantities):
    """Opening energy up to which it is told: any, or none where the land is longer than the free length [J/m2]."""
    return np.where(np.asarray(numbers["land_length"]) <= numbers["free_length"], np.inf, -np.inf)


def anything(numbers, quantities):
    """Any value is told."""
    return np.inf
