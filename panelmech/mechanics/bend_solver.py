"""The two equations of the bent pair, solved for arrays of designs: the lower branch, or a code that says why not.

In units of the free length, with th the contact angle, b = `mechanics.elastica.lift_ratio` and the shorthands

    opening = (R - g/2)/L,   room = (L - e - g/2)/L,   gap = g/(2 L),   tau = (g + t)/L

the rise and the setback, with the wavenumber eliminated, give the opening as an explicit function of the angle,

    opening = ( th (room - 2 sin^2(th/2) - gap sin th) + b tau sin^2(th/2) cos th ) / ( b cos^2 th + th (1 + sin th) ),

with one maximum on 0 < th < pi/2. Up to it the opening grows with the angle: the lower branch, along which a spacer
grows from the bond line. (Derived here; both parts are multiplied by cos th so that nothing is singular.) The contact
must lie in front of the land. Only for a sheet thicker than it has room to bend does that end the branch before its
maximum.
"""

from __future__ import annotations

import numpy as np
import scipy

from ..units import round_bound, show
from . import elastica
from .elastica import polynomial_value as value

REASONS = (
    "",
    "the spacer is not thicker than the bond line, so it does not spread the sheets: use a thicker spacer",
    "the spacer is larger than the greatest one these sheets take: use a smaller spacer or a longer free length",
    "the setback leaves no free sheet between the land and the spacer: use a smaller setback or a longer free length",
    "the spacer stands so far out that it touches no sheet: use a larger (less negative) setback or a larger spacer",
    "free length, sheet thickness and spacer must be positive finite numbers and the bond line not negative",
    "the equations were not solved to rounding, so no result is given: change a dimension a little",
    "the spacer reaches back into the land: use a smaller setback or a longer free length",
)
OK, TOO_SMALL, TOO_LARGE, NO_FREE_SHEET, OFF_THE_SHEET, NOT_A_LENGTH, NOT_SOLVED, IN_THE_LAND = range(8)

MAX_STEPS = 60
HUGE = 1e50  # what is longer, or a free length below its inverse [m], is no length: squares would leave the floats
SETTLED = 1e-6  # relative size of the last Newton step; the error left is about its square


class OpeningCurve:
    """Opening of the sheets as a function of the contact angle, for given room, gap and tau (see the module text)."""

    def __init__(self, room, gap, tau):
        self.room, self.gap, self.tau = room, gap, tau

    def parts(self, th):
        """Numerator and denominator of the opening, and their first derivatives."""
        return self._parts(th, False)

    def _parts(self, th, curved):
        u = th * th
        s, c = np.sin(th), np.cos(th)
        half = 0.5 * s * s / (1.0 + c)  # sin^2(th/2), also for the smallest angles
        b, p1 = value(elastica.RATIO, u), value(elastica.RATIO_1, u)
        b1 = 2.0 * th * p1
        room = self.room - 2.0 * half - self.gap * s
        num = th * room + b * c * self.tau * half
        den = b * c * c + th * (1.0 + s)
        num1 = room - th * (s + self.gap * c) + self.tau * ((b1 * c - b * s) * half + 0.5 * b * c * s)
        den1 = b1 * c * c - 2.0 * b * c * s + 1.0 + s + th * c
        if not curved:
            return num, den, num1, den1
        b2 = 2.0 * p1 + 4.0 * u * value(elastica.RATIO_2, u)
        num2 = (
            -2.0 * (s + self.gap * c)
            - th * (c - self.gap * s)
            + self.tau * ((b2 * c - 2.0 * b1 * s) * half + b1 * c * s + b * (0.5 * c * c - s * s - c * half))
        )
        den2 = b2 * c * c - 4.0 * b1 * c * s - 2.0 * b * (c * c - s * s) + 2.0 * c - th * s
        return num, den, num1, den1, num2, den2

    def opening(self, th):
        """Opening over free length at a contact angle [-]."""
        num, den, _, _ = self.parts(th)
        return num / den

    def end_of_branch(self):
        """Contact angle of the greatest opening, and that opening; nan where there is no room.

        The only zero of the slope on 0 < th < pi/2, by Newton's method kept inside a bracket; where the contact would
        have passed the land end before, the angle at which it gets there.
        """
        low, high = np.zeros_like(self.room), np.full_like(self.room, np.pi / 2)
        # starting guess only: fitted to the result, within 0.2 % for ordinary parts
        guess = 0.7778 - 0.0117 * self.room - 0.0086 * self.room**2 + (0.1165 * self.tau - 0.468 * self.gap) / self.room
        th = np.clip(guess * np.sqrt(self.room), 1e-9, 1.4)
        for _ in range(MAX_STEPS):
            num, den, num1, den1, num2, den2 = self._parts(th, True)
            rising = num1 * den - num * den1
            up = rising > 0
            low, high = np.where(up, th, low), np.where(up, high, th)
            step = th - rising / (num2 * den - num * den2)
            step = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved = np.nanmax(np.abs(step / th - 1.0), initial=0.0)
            th = step
            if not moved > 1e-4:  # the next step would be 1e-8, and the flat maximum is right to its square
                break
        most = self.opening(th)
        past = most * np.cos(th) <= self.tau * np.sin(0.5 * th) ** 2
        if np.any(past):
            th = np.where(past, self._contact_at_land(th), th)
            most = np.where(past, self.opening(th), most)
        return th, most

    def _contact_at_land(self, high):
        """Angle below `high` at which the contact arclength is zero, by bisection; few designs ever need it."""
        low = np.zeros_like(high)
        for _ in range(MAX_STEPS):
            th = 0.5 * (low + high)
            s, c, half = np.sin(th), np.cos(th), np.sin(0.5 * th) ** 2
            free = (self.room - 2.0 * half - self.gap * s) * c > self.tau * half * (1.0 + s)
            low, high = np.where(free, th, low), np.where(free, high, th)
        return low

    def lower_branch(self, opening, top, most):
        """Angle on the branch that starts at zero, d opening / d angle there, and whether the search has settled.

        Newton's method, kept inside (0, top); the slope is that of the last step but one.
        """
        w = np.sqrt(1.0 - opening / most)  # exact at both ends and to first order at zero
        th = top * (1.0 - w * (1.0 + (1.0 - 3.0 * most / (self.room * top)) * (1.0 - w)))
        low, high = np.zeros_like(th), top
        for _ in range(MAX_STEPS):
            num, den, num1, den1 = self.parts(th)
            miss = num - opening * den
            low, high = np.where(miss < 0, th, low), np.where(miss < 0, high, th)
            slope = num1 - opening * den1
            step = th - miss / slope
            step = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            moved = np.abs(step - th) / step
            th = step
            if not np.nanmax(moved, initial=0.0) > 0.1 * SETTLED:  # quadratic: the next step would be at rounding
                break
        return th, slope / den, moved <= SETTLED


def solve_chunk(length, t, diameter, g, setback):
    """Solve one chunk of designs, arrays of one length, SI.

    Returns contact angle, arclength, wavenumber, greatest spacer and condition, and the codes (index into `REASONS`).
    Where the code is not `OK` the rows are nan, the greatest spacer excepted where there is one.
    """
    with np.errstate(all="ignore"):
        codes = np.zeros(len(length), dtype=np.int8)
        good, curve = _opening_curve(length, t, g, setback)
        good &= (diameter > 0) & (diameter < HUGE)
        opening, tau = 0.5 * (diameter - g) / length, curve.tau
        top, most = curve.end_of_branch()
        inside = good & (opening > 0) & (opening <= most)
        angle, slope, settled = curve.lower_branch(np.where(inside, opening, np.nan), top, most)
        cosine = np.cos(angle)
        lift = opening * cosine - tau * np.sin(0.5 * angle) ** 2
        arc = value(elastica.RATIO, angle * angle) * lift / angle * length
        wave = elastica.arclength(angle) / arc
        codes[good & ~(opening <= most)] = TOO_LARGE
        codes[inside & ~(arc > 0)] = TOO_LARGE
        codes[inside & (arc > length * (1.0 + 4e-16))] = OFF_THE_SHEET
        codes[inside & ~settled] = NOT_SOLVED
        near = inside & (codes == OK) & (length * cosine < setback + diameter)  # the sheets reach no less far than this
        if near.any():
            near[near] = _behind(angle[near], wave[near], t[near], diameter[near]) < 0.0
            codes[near] = IN_THE_LAND
        codes[good & ~(curve.room > 0)] = NO_FREE_SHEET
        codes[good & (opening <= 0)] = TOO_SMALL
        codes[~good] = NOT_A_LENGTH
        rows = np.array([angle, arc, wave, 2.0 * most * length + g, opening / angle / slope])
        rows[np.ix_([0, 1, 2, 4], codes != OK)] = np.nan
        rows[3, ~good] = np.nan
    return *rows, codes


def _behind(angle, wave, t, diameter):
    """From the land end to the back of the rod [m]; negative: the rod stands in the land."""
    sine, cosine = np.sin(angle), np.cos(angle)
    contact = (elastica.along(angle) * cosine + elastica.across(angle) * sine) / wave
    return contact + 0.5 * (diameter + t) * sine - 0.5 * diameter


def greatest_diameter(length, t, g, setback):
    """Greatest spacer diameter [m], nan where there is none; arrays of one length, SI. t = 0: limit of a thin sheet."""
    with np.errstate(all="ignore"):
        good, curve = _opening_curve(length, np.where(t == 0, 1e-300, t), g, setback)
        return np.where(good, 2.0 * curve.end_of_branch()[1] * length + g, np.nan)


def _opening_curve(length, t, g, setback):
    """Which designs have sound dimensions, and the opening curve of each; room is nan where there is none."""
    good = (length > 1.0 / HUGE) & (t > 0) & (g >= 0)
    for given in (length, t, g, setback):
        good &= np.abs(given) < HUGE
    room = (length - setback - 0.5 * g) / length
    return good, OpeningCurve(np.where(good & (room > 0), room, np.nan), 0.5 * g / length, (g + t) / length)


# ----- Why a single design cannot be bent, in a builder's words: the quantity to change, and by how much.
#
# The amounts are solved for, not estimated, and rounded to the safe side with as many digits as it takes: a design
# changed to what the sentence says can be bent (tested).


_STEPS = 700  # of 1 %: a thousand times the length
_BEYOND = 1e3  # how many times the largest dimension a remedy is looked for


def explain(code, length, t, d, g, e) -> str:
    """The reason of `code` for one design: free length, sheet thickness, spacer diameter, bond line, setback [m]."""
    return _WORDS[code](length, t, d, g, e) if code in _WORDS else REASONS[code]


def _too_small(length, t, d, g, e):
    return (
        f"spacer diameter {show(d, 'mm')} does not spread the sheets: it must be larger than the bond line, "
        f"{show(g, 'mm')}"
    )


def _too_large(length, t, d, g, e):
    came, most = _apart(d, _greatest(length, t, g, e), False, lambda v: (length, t, v, g, e))
    than, smaller = (
        (f"the greatest one these sheets take, {most}", "a spacer of at most that, or ") if most else ("", "")
    )
    return (
        f"spacer diameter {came} is larger than {than or 'these sheets take'}: use {smaller}a free length of at least "
        f"{_free_length_for(length, t, d, g, e)} instead of {show(length, 'mm')}"
    )


def _no_free_sheet(length, t, d, g, e):
    most = _greatest_setback(length, t, d, g, e)
    came, stated = _apart(e, most, False, lambda v: (length, t, d, g, v))
    smaller = f"a setback of at most {stated}, or " if most >= 0 and stated else ""
    return (
        f"setback {came} leaves no free sheet between the land and the spacer: use {smaller}a free length "
        f"of at least {_free_length_for(length, t, d, g, e)} instead of {show(length, 'mm')}"
    )


def _off_the_sheet(length, t, d, g, e):
    came, least = _apart(e, _least_setback(length, t, d, g), True, lambda v: (length, t, d, g, v))
    wanted = f"it must be at least {least} for a spacer of {show(d, 'mm')}" if least else "use a larger free length too"
    return f"setback {came} puts the spacer out of touch with the sheets: {wanted}"


def _in_the_land(length, t, d, g, e):
    return (
        f"spacer diameter {show(d, 'mm')} does not fit between the land and a setback of {show(e, 'mm')}, it reaches "
        f"back into the land: use a free length of at least {_free_length_for(length, t, d, g, e)} instead of "
        f"{show(length, 'mm')}, or a smaller setback"
    )


_WORDS = {
    TOO_SMALL: _too_small,
    TOO_LARGE: _too_large,
    NO_FREE_SHEET: _no_free_sheet,
    OFF_THE_SHEET: _off_the_sheet,
    IN_THE_LAND: _in_the_land,
}


def _apart(value, bound, up, changed) -> tuple:
    """Texts of a value that came in and of its bound (see `_stated`) with as many digits as tell them apart."""
    for digits in range(4, 13):
        came, stated = show(value, "mm", digits), _stated(bound, up, changed, digits)
        if came != stated:
            break
    return came, stated


def _stated(bound, up, changed, least=4) -> str:
    """A bound [m] as text, with the fewest digits from `least` on that leave the changed design feasible; "" where none
    do, since the spacer would then stand in the land."""
    for digits in range(least, max(least, 9) + 1):
        value = round_bound(bound, "mm", digits, up=up)
        *_, codes = solve_chunk(*(np.array([v], dtype=float) for v in changed(value)))
        if codes[0] == OK:
            return show(value, "mm", digits)
    return ""


def _greatest(length, t, g, e) -> float:
    return float(greatest_diameter(*(np.array([v]) for v in (length, t, g, e)))[0])


def _spare(length, t, d, g, e) -> float:
    """By how much the greatest spacer is larger than this one [m]; where there is none, the bond line counts."""
    most = _greatest(length, t, g, e)
    return (g if np.isnan(most) else most) - d


def _free_length_for(length, t, d, g, e) -> str:
    """Free length whose greatest spacer is this one, or longer in steps of 1 % until the rod is clear of the land."""
    low = high = max(length, e + 0.5 * g)
    while (spare := _spare(high, t, d, g, e)) < 0 and high < _BEYOND * max(length, e, d):
        high *= 2.0
    if spare < 0:
        return "many times the present one"
    longer = low
    if high > low:
        longer = scipy.optimize.brentq(lambda trial: _spare(trial, t, d, g, e), low, high, rtol=1e-13, maxiter=1000)
    for _ in range(_STEPS):
        if text := _stated(longer, True, lambda v: (v, t, d, g, e)):
            return text
        longer *= 1.01
    return "many times the present one"


def _greatest_setback(length, t, d, g, e) -> float:
    """Setback at which the greatest spacer is this one [m]; -1 where that takes a rod that stands proud."""
    if e <= 0.0 or _spare(length, t, d, g, 0.0) <= 0.0:
        return -1.0
    return scipy.optimize.brentq(
        lambda trial: _spare(length, t, d, g, trial), 0.0, e, xtol=1e-13 * length, maxiter=1000
    )


def _least_setback(length, t, d, g) -> float:
    """Setback at which the contact sits on the very front edge: I0/k = L, then e = -R (1 + sin th)."""

    def surplus(th):
        lift = 0.5 * (d - g) * np.cos(th) - (g + t) * np.sin(0.5 * th) ** 2
        return float(elastica.lift_ratio(th)) * lift - th * length

    th = scipy.optimize.brentq(surplus, 0.0, np.pi / 2, xtol=1e-15)
    return -0.5 * d * (1.0 + np.sin(th))
