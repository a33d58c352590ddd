"""Grams of resin and hardener for a pour, what the scale makes of them, and what to do about a batch off its ratio.

"Off" is always the hardener: what was weighed over what the resin in the pot asks for, less one; positive is too much.
The ratio is never changed to change the speed. Plain arithmetic, derived here; tolerances and times come from the
`ResinSystem`, and a batch without a known tolerance is "unknown".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ..materials.stock import ResinSystem
from ..mechanics.numerics import read_together
from ..study.verdicts import rate
from ..units import read_array, read_number, show
from .cure import CELSIUS

# ----- Filler for thickened resin: three consistencies judged by eye, and what each takes by volume and by mass.
#
# There is no fixed recipe: fillers settle and differ. Shares are loose (heaped, untamped) volumes of filler to one
# volume of mixed resin; common practice, no source. Densities of the fillers are from memory. The user's own `Filler`
# takes their place. What the mix fills is the resin plus the solid in the filler; air beaten in is left out.


CONSISTENCIES = {
    "pours": "levels itself within a minute, falls off the stick in a string: filled pours, bedding",
    "hangs": "clings to an upright face, peaks bend over: glue lines with gaps, hinge-line beads",
    "stands": "peaks stay as they are left, does not sag: fillets, fairing",
}
BASIS, SOURCE = "common practice", "by eye and loose volume, no source; try a spoonful first"


@dataclass(frozen=True)
class Filler:
    """A filler. ValueError for densities or shares that cannot be."""

    name: str
    loose_density: float  # heaped [kg/m3]
    particle_density: float  # of the particles themselves, hollow ones as they are [kg/m3]
    shares: Mapping = field(default_factory=dict)  # consistency: (least, most) loose volume to one of mixed resin [-]
    basis: str = "user"

    def __post_init__(self):
        for name in ("loose_density", "particle_density"):
            read_number(getattr(self, name), f"filler {self.name!r}: {name}", "kg/m3", above=0.0)
        if not self.loose_density < self.particle_density:
            raise ValueError(
                f"filler {self.name!r}: loose density {self.loose_density}, of particles {self.particle_density} "
                "kg/m3; give positive ones, loose below that of the particles"
            )
        for consistency, pair in self.shares.items():
            if consistency not in CONSISTENCIES or len(pair) != 2 or not 0.0 <= pair[0] <= pair[1] < np.inf:
                raise ValueError(
                    f"filler {self.name!r}: share {consistency!r} is {pair!r}; give (least, most) for one of: "
                    f"{', '.join(CONSISTENCIES)}"
                )

    @property
    def solid_share(self) -> float:
        """Volume of the particles in one loose volume [-]."""
        return self.loose_density / self.particle_density


# fmt: off
_FILLERS = (  # heaped and particle density [kg/m3], shares that pour, hang and stand
    ("colloidal silica",  50.0, 2200.0, (0.3, 0.6), (0.8, 1.2), (1.5, 2.0)),
    ("hollow spheres",   110.0,  200.0, (0.4, 0.8), (1.0, 1.5), (1.8, 2.5)),
    ("wood flour",       200.0, 1400.0, (0.2, 0.4), (0.6, 0.9), (1.0, 1.4)),
    ("mineral filler",   700.0, 2700.0, (0.3, 0.6), (0.7, 1.0), (1.1, 1.5)),
)
# fmt: on
FILLERS = {
    name: Filler(name, loose, particles, dict(zip(CONSISTENCIES, shares, strict=True)), BASIS)
    for name, loose, particles, *shares in _FILLERS
}


@dataclass(frozen=True)
class FilledMix:
    """What a volume of filled mix takes, (with least, with most filler) each."""

    filler: str  # its name
    consistency: str
    resin_volume: tuple  # mixed resin [m3]
    loose_volume: tuple  # loose filler [m3]
    filler_mass: tuple  # kg
    density: tuple  # of the mix [kg/m3]
    basis: str = BASIS
    source: str = SOURCE


def filled_mix(volume, resin_density, filler, consistency) -> FilledMix:
    """What a volume [m3] of filled mix takes. resin_density [kg/m3]: of the mixed resin; filler: a `Filler` or a name
    of `FILLERS`; consistency: one of `CONSISTENCIES`.

    V = V_resin (1 + share x solid share) (derived here). ValueError for a name that is not known, a volume or a density
    that is not positive and finite.
    """
    filler = _filler(filler)
    if consistency not in filler.shares:
        raise ValueError(
            f"filler {filler.name!r} has no consistency {consistency!r}; give one of: "
            f"{', '.join(filler.shares) or 'none'}"
        )
    read_number(volume, "volume of a filled mix", "mL", above=0.0)
    read_number(resin_density, "resin density of a filled mix", "kg/m3", above=0.0)
    shares = np.array(filler.shares[consistency])
    resin = volume / (1.0 + shares * filler.solid_share)
    loose = shares * resin
    mass = loose * filler.loose_density
    density = (resin * resin_density + mass) / volume
    parts = (tuple(float(v) for v in part) for part in (resin, loose, mass, density))
    return FilledMix(filler.name, consistency, *parts)


def _filler(filler):
    if isinstance(filler, Filler):
        return filler
    if filler not in FILLERS:
        raise ValueError(f"filler {filler!r} is not known; give a Filler or one of: {', '.join(FILLERS)}")
    return FILLERS[filler]


# ----- A resin's times moved to the shop's temperature, with the spread of the rules for it.
#
# A maker's guide says that pot life halves for every 10 °C warmer, another that cure halves for every 15 °C. Both ends
# are kept: what must be done in time counts on the quick end, what must be waited for on the slow one. Neither rule is
# meant for more than some 15 °C from where the times hold.


STEPS = "two steps of 1 to 1000 K, the smaller first"
HALVINGS = (10.0, 15.0)  # K warmer for half the time: makers' guides
RELIABLE_WITHIN = 15.0  # K; judgement


@dataclass(frozen=True, eq=False)
class Span:
    """A time by both rules, a number or an array."""

    quick: float  # s
    slow: float  # s
    note: str = ""  # empty where the rules may be trusted

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
    halvings = read_array(halvings, "halvings", "K", 1.0, 1000.0, axes=1, hint=STEPS)
    if len(halvings) != 2 or halvings[0] > halvings[1]:
        raise ValueError(f"halvings are {halvings.tolist()} K: give {STEPS}")
    between = dict(low=253.15, high=373.15, hint=CELSIUS)
    time, rated, temperature = read_together(
        {
            "time": (time, "s", dict(above=0.0)),
            "rated temperature": (rated, "K", between),
            "temperature": (temperature, "K", between),
        }
    )
    ends = np.stack(np.broadcast_arrays(*(time * 2.0 ** ((rated - temperature) / step) for step in halvings)))
    far = np.max(np.abs(np.subtract(rated, temperature)), initial=0.0)
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
    notes, temperature = [], read_number(temperature, "temperature", "K", 253.15, 373.15, hint=CELSIUS)
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


# ----- Grams for a pour, what the scale makes of them, and what to do about a batch off its ratio.


WASTE = 0.15  # makers' guides ask for 15 to 20 %
SPARE = 0.05  # a batch may be this much bigger where that meets the ratio better on this scale
ROUNDING_SHARE = 0.25  # of the tolerance that rounding may use up
MOST_STEPS = 1000  # of the scale beyond what is needed, looked at for the ratio


@dataclass(frozen=True)
class Batch:
    """One pot."""

    system: ResinSystem
    volume: float  # to be filled, waste not counted [m3]
    waste: float  # share on top [-]
    resolution: float  # steps of the scale [kg]
    resin: float  # to weigh [kg]
    hardener: float  # to weigh [kg]
    hardener_off: float  # by rounding [-]; positive: too much
    verdict: str  # of that
    resin_volume: float  # what the resin must measure [m3]; nan where a density is not known
    hardener_volume: float  # likewise
    mixed_volume: float  # the pot makes, filler and waste included [m3]
    filled: FilledMix | None
    filler_volume: tuple  # (least, most) loose [m3] for this much resin; empty without filler
    notes: tuple  # in words

    @property
    def mass(self) -> float:
        """Resin and hardener together [kg]."""
        return self.resin + self.hardener

    @property
    def volume_ratio(self) -> float:
        """Ratio of the two volumes, as a check beside the scale [-]; nan where a density is not known."""
        return self.resin_volume / self.hardener_volume


def mix_batch(
    system, volume, waste=WASTE, resolution=1e-3, filler=None, consistency=None, least=0.0, most=0.0
) -> Batch:
    """Resin and hardener [kg] for a volume [m3] to fill, on a scale with this resolution [kg].

    waste [-]: share on top for what stays in the pot. filler, consistency: as for `filled_mix`, both or neither; the
    least filler counts, so that the resin suffices. The hardener is rounded up to the scale, the resin to the nearest
    step that keeps the ratio and gives enough; up to `SPARE` more is mixed where that comes closer to the ratio. least
    [kg]: so much is mixed at least. most [kg]: up to so much is mixed where less, on this scale, would not keep the
    ratio within its tolerance. ValueError for a volume, waste or resolution that cannot be, or where the system's ratio
    by weight or density is not known.
    """
    read_number(volume, "volume", "mL", 1e-12, 1e4)
    read_number(resolution, "resolution", "g", 1e-7, 100.0)
    read_number(waste, "waste", low=0.0, below=2.0, hint="0.15 for 15 %")
    for name, value in (("least", least), ("most", most)):
        read_number(value, name, "kg", 0.0, 1e6)
    if (filler is None) != (consistency is None):
        raise ValueError("give a filler and its consistency together, or neither")
    ratio, _ = system.ratio_by_weight()
    density, _ = system.density()
    filled = None if filler is None else filled_mix(volume * (1.0 + waste), density, filler, consistency)
    asked = density * (volume * (1.0 + waste) if filled is None else max(filled.resin_volume))
    needed = max(asked, least)
    resin, hardener = _rounded(needed, ratio, resolution)
    tolerance = np.inf if system.ratio_tolerance is None else system.ratio_tolerance
    if most > 0.0 and (abs(hardener * ratio / resin - 1.0) > tolerance or resin + hardener > most):
        resin, hardener = _within(needed, most, ratio, tolerance, resolution) or (resin, hardener)
    off = hardener * ratio / resin - 1.0
    verdict = rate(abs(off), system.ratio_tolerance, 0.0).verdict
    parts = (_over(resin, system.resin_density), _over(hardener, system.hardener_density))
    made = (resin + hardener) / asked * volume * (1.0 + waste)
    notes = (*system.notes(), *_batch_notes(system, off, ratio, resolution, parts))
    filler_volume = () if filled is None else _filler_volume(filled, (resin + hardener) / density)
    return Batch(
        system, volume, waste, resolution, resin, hardener, off, verdict, *parts, made, filled, filler_volume, notes
    )


def least_on_scale(system, resolution: float) -> float:
    """The least of resin and hardener together [kg] that keeps their ratio on a scale with this resolution [kg]."""
    ratio, _ = system.ratio_by_weight()
    read_number(resolution, "resolution", "g", above=0.0)
    return float(resolution * (1.0 + max(np.round(ratio), 1.0)))


def _within(needed, most, ratio, tolerance, step):
    """Least resin and hardener [kg], in whole steps and at least `needed` together, that keep the ratio within its
    tolerance; None where it takes more than `most`."""
    first = max(np.floor(needed / (1.0 + ratio) / step), 1.0)
    hardener = first + np.arange(MOST_STEPS)
    resin = np.maximum(np.round(hardener * ratio), 1.0)
    total = (hardener + resin) * step
    good = np.abs(hardener * ratio / resin - 1.0) <= tolerance
    good &= (total >= needed * (1.0 - 1e-9)) & (total <= most * (1.0 + 1e-9))
    return (float(resin[good][0] * step), float(hardener[good][0] * step)) if good.any() else None


def _filler_volume(filled, resin_volume):
    """(least, most) loose filler for this much resin, which is what the least filler asks for."""
    return tuple(
        loose / own * resin_volume for loose, own in zip(filled.loose_volume, filled.resin_volume, strict=True)
    )


def _rounded(needed, ratio, step):
    """Resin and hardener in whole steps that give at least `needed` together; see `mix_batch`."""
    first = np.ceil(needed / (1.0 + ratio) / step - 1e-9)
    most = max(np.ceil(needed * (1.0 + SPARE) / (1.0 + ratio) / step), first)
    hardener = np.arange(first, min(most, first + 1000) + 1)
    enough = np.maximum(np.ceil(needed / step - hardener - 1e-9), 1.0)
    resin = np.maximum(np.round(hardener * ratio), enough)
    fits = (hardener + resin) * step <= max(needed * (1.0 + SPARE), (hardener[0] + resin[0]) * step)
    off = np.where(fits, np.abs(hardener * ratio / resin - 1.0), np.inf)
    best = int(np.argmin(np.round(off, 6)))
    return float(resin[best] * step), float(hardener[best] * step)


def _over(mass, density):
    return np.nan if density is None else mass / density


def _batch_notes(system, off, ratio, resolution, parts):
    tolerance = system.ratio_tolerance
    if tolerance is not None and abs(off) > ROUNDING_SHARE * tolerance:
        least = 0.5 * resolution / (ROUNDING_SHARE * tolerance) * max(1.0, 1.0 / ratio) * (1.0 + ratio)
        yield (
            f"scale too coarse for so little: rounding uses up {100 * abs(off) / tolerance:.0f} % of the tolerance; "
            f"weigh finer than {show(resolution, 'g', 2)}, or mix {show(least, 'g', 2)} or more"
        )
    if system.volume_ratio is not None and np.all(np.isfinite(parts)):
        gap = parts[0] / parts[1] / system.volume_ratio - 1.0
        if tolerance is not None and abs(gap) > tolerance:
            yield (
                f"what is weighed measures {parts[0] / parts[1]:.2f} : 1 by volume, {100 * gap:+.0f} % beside the "
                "data sheet's: ratios or densities are wrong, ask before mixing"
            ).replace("-", "−")


@dataclass(frozen=True)
class OffRatio:
    """A batch as it was weighed."""

    resin: float  # kg
    hardener: float  # kg
    hardener_off: float  # [-]; positive: too much
    tolerance: float | None  # [-]
    verdict: str  # against the tolerance
    basis: str  # of the tolerance
    source: str  # of the tolerance
    add_resin: float  # what brings it back [kg]; this or the next is zero
    add_hardener: float  # kg

    @property
    def words(self) -> str:
        """What is off, whether that is allowed, what to add."""
        if max(self.add_resin, self.add_hardener) == 0.0:
            return f"On ratio: {self.verdict}."
        much = "too much" if self.hardener_off > 0.0 else "too little"
        what, mass = ("resin", self.add_resin) if self.add_resin > 0.0 else ("hardener", self.add_hardener)
        allowed = "no tolerance is known" if self.tolerance is None else f"{show(self.tolerance, '%', 2)} allowed"
        return (
            f"{show(abs(self.hardener_off), '%', 2)} {much} hardener, {allowed}: {self.verdict}. Stir in "
            f"{show(mass, 'g', 3)} of {what} while all of it is still liquid; once it warms, throw it away."
        )


def check_weighed(system, resin, hardener, close_share=0.25) -> OffRatio:
    """Judge a batch by what was weighed [kg] against the system's ratio by weight and its tolerance.

    close_share [-]: "close" where the tolerance is more than the error by less than this. ValueError unless both are
    positive, or where the ratio by weight is not known.
    """
    read_number(resin, "resin", "g", above=0.0)
    read_number(hardener, "hardener", "g", above=0.0)
    read_number(close_share, "close_share", low=0.0, high=1.0)
    ratio, _ = system.ratio_by_weight()
    off = hardener * ratio / resin - 1.0
    off = 0.0 if abs(off) < 1e-12 else off
    basis, source = system.basis_of("ratio_tolerance")
    verdict = rate(abs(off), system.ratio_tolerance, close_share).verdict
    add_resin = max(hardener * ratio - resin, 0.0) if off > 0.0 else 0.0
    add_hardener = max(resin / ratio - hardener, 0.0) if off < 0.0 else 0.0
    return OffRatio(resin, hardener, off, system.ratio_tolerance, verdict, basis, source, add_resin, add_hardener)


@dataclass(frozen=True)
class Pots:
    """A mass split over equal pots."""

    count: int
    each: float  # mass of each [kg]
    limit: float  # kg
    why: str  # it is the limit


def split_batch(system, mass, pot_volume=None, fill=0.5, largest=None) -> Pots:
    """Split a mass [kg] of mix into equal pots.

    largest [kg]: that may stand in one pot for its heat; None takes the mass for which the system's pot life is stated,
    since a bigger one goes off sooner by nobody knows how much. pot_volume [m3], fill [-]: a pot is filled to this
    share at most. ValueError where nothing limits, or for values that are not positive.
    """
    read_number(mass, "mass", "g", above=0.0)
    limits = []
    if largest is not None:
        read_number(largest, "largest", "g", above=0.0)
        limits.append((largest, "heat, as entered"))
    elif system.pot_life_mass is not None:
        limits.append((system.pot_life_mass, "heat: the pot life is stated for this mass only"))
    if pot_volume is not None:
        read_number(pot_volume, "pot_volume", "mL", above=0.0)
        read_number(fill, "fill", above=0.0, high=1.0, hint="a share of the pot")
        limits.append((pot_volume * fill * system.density()[0], f"the pot, filled to {show(fill, '%', 2)}"))
    if not limits:
        raise ValueError(f"{system.name}: no mass for its pot life is known; give `largest` or `pot_volume`")
    limit, why = min(limits)
    count = int(np.ceil(mass / limit - 1e-9))
    return Pots(count, mass / count, limit, why)
