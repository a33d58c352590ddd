"""Filler for thickened resin: three consistencies judged by eye, and what each takes by volume and by mass.

There is no fixed recipe: fillers settle and differ. Shares are loose (heaped, untamped) volumes of filler to one volume
of mixed resin; common practice, no source. Densities of the fillers are from memory. The user's own `Filler` takes
their place. What the mix fills is the resin plus the solid in the filler; air beaten in is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

CONSISTENCIES = {
    "pours": "levels itself within a minute, falls off the stick in a string: filled pours, bedding",
    "hangs": "clings to an upright face, peaks bend over: glue lines with gaps, hinge-line beads",
    "stands": "peaks stay as they are left, does not sag: fillets, fairing",
}
BASIS, SOURCE = "common practice", "by eye and loose volume, no source; try a spoonful first"


@dataclass(frozen=True)
class Filler:
    """A filler. loose_density, particle_density [kg/m3]: heaped, and of the particles themselves (hollow ones as they
    are). shares: consistency to (least, most) loose volume to one volume of mixed resin [-]. ValueError for densities
    or shares that cannot be."""

    name: str
    loose_density: float
    particle_density: float
    shares: Mapping = field(default_factory=dict)
    basis: str = "user"

    def __post_init__(self):
        if not 0.0 < self.loose_density < self.particle_density < np.inf:
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


FILLERS = {
    filler.name: filler
    for filler in (
        Filler(
            "colloidal silica", 50.0, 2200.0, {"pours": (0.3, 0.6), "hangs": (0.8, 1.2), "stands": (1.5, 2.0)}, BASIS
        ),
        Filler("hollow spheres", 110.0, 200.0, {"pours": (0.4, 0.8), "hangs": (1.0, 1.5), "stands": (1.8, 2.5)}, BASIS),
        Filler("wood flour", 200.0, 1400.0, {"pours": (0.2, 0.4), "hangs": (0.6, 0.9), "stands": (1.0, 1.4)}, BASIS),
        Filler(
            "mineral filler", 700.0, 2700.0, {"pours": (0.3, 0.6), "hangs": (0.7, 1.0), "stands": (1.1, 1.5)}, BASIS
        ),
    )
}


@dataclass(frozen=True)
class FilledMix:
    """What a volume of filled mix takes, (with least, with most filler) each: mixed resin [m3], loose filler [m3],
    filler [kg], density of the mix [kg/m3]."""

    filler: str
    consistency: str
    resin_volume: tuple
    loose_volume: tuple
    filler_mass: tuple
    density: tuple
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
    for name, value in (("volume", volume), ("resin density", resin_density)):
        if not (np.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} of a filled mix is {value}: give a positive number in SI units")
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
