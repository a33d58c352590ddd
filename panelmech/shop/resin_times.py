"""A resin's times moved to the shop's temperature, with the spread of the rules for it.

A maker's guide says that pot life halves for every 10 °C warmer, another that cure halves for every 15 °C. Both ends
are kept: what must be done in time counts on the quick end, what must be waited for on the slow one. Neither rule is
meant for more than some 15 °C from where the times hold.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..units import show

HALVINGS = (10.0, 15.0)  # K warmer for half the time: makers' guides
RELIABLE_WITHIN = 15.0  # K; judgement


@dataclass(frozen=True, eq=False)
class Span:
    """A time by both rules: quick and slow end [s], scalar or array; note: empty where the rules may be trusted."""

    quick: float
    slow: float
    note: str = ""

    def text(self) -> str:
        """`2.00 h to 2.50 h`, in minutes below two hours; one number where both ends are the same."""
        unit = "h" if self.slow >= 7200.0 else "min"
        ends = [show(end, unit, 3) for end in (self.quick, self.slow)]
        return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def shift_time(time, rated, temperature, halvings=HALVINGS) -> Span:
    """A time [s] that holds at `rated` [K], at another temperature [K]; floats or arrays that broadcast.

    time x 2^((rated - temperature) / halving), for both halvings [K]. ValueError for values that are not positive, or
    temperatures outside 253 to 373 K.
    """
    time, rated, temperature = (np.asarray(part, dtype=float) for part in (time, rated, temperature))
    low, high = halvings
    if not 0.0 < low <= high < np.inf:
        raise ValueError(f"halvings are {halvings} K: give two positive steps, the smaller first")
    if not np.all(np.isfinite(time) & (time > 0.0)):
        raise ValueError(f"time is {time} s: give a positive one")
    for name, value in (("rated temperature", rated), ("temperature", temperature)):
        if not np.all((value >= 253.15) & (value <= 373.15)):
            raise ValueError(f"{name} is {value} K: give 253.15 to 373.15 K (22 °C is 295.15 K)")
    ends = np.stack(np.broadcast_arrays(*(time * 2.0 ** ((rated - temperature) / step) for step in halvings)))
    far = np.abs(rated - temperature).max()
    note = "" if far <= RELIABLE_WITHIN else f"{far:.0f} °C from where the data sheet's times hold: a guess"
    quick, slow = ends.min(axis=0), ends.max(axis=0)
    return Span(*((quick, slow) if quick.ndim else (float(quick), float(slow))), note)


def times_at(system, temperature, halvings=HALVINGS) -> dict:
    """{name: Span} of all times that the system states, at a temperature [K]; see `shift_time`."""
    return {
        name: shift_time(getattr(system, name), system.rated_temperature, temperature, halvings)
        for name in system.TIMES
        if getattr(system, name) is not None
    }


def shop_notes(system, temperature) -> tuple:
    """What speaks against using this system at this temperature [K], in words."""
    notes = []
    lowest = system.lowest_temperature
    if lowest is None:
        notes.append("the lowest shop temperature of this system is not known; take it from the data sheet")
    elif temperature < lowest:
        notes.append(
            f"the shop has {show(temperature, 'degC', 3)}, the system asks for {show(lowest, 'degC', 3)} at least: it "
            "may never cure; warm the shop, the parts and the resin first"
        )
    if system.rated_temperature is not None and abs(system.rated_temperature - temperature) > RELIABLE_WITHIN:
        notes.append(shift_time(1.0, system.rated_temperature, temperature).note)
    return tuple(notes)
