"""How fast a resin cures and how much heat that gives: the autocatalytic rate of Kamal and Sourour.

    d(cure)/dt = (k1 + k2 cure^m) (1 - cure)^n,    k = k at the reference temperature x exp(-(E/R)(1/T - 1/T_ref))

Sourour S. and Kamal M.R. (1976) Thermochim. Acta 14:41-59 (the form read at second hand). No complete published set of
constants for a room-curing epoxy could be read, so the one set here, `ILLUSTRATIVE`, only lies within published
ranges; whatever is computed with it says so. Left out: the slowing down where the resin turns glassy (vitrification),
so late cure at low temperature comes out too fast; loss of volatiles; change of density.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy

from ..units import read_number, show

GAS = 8.314462618  # J/(mol K), CODATA 2018
CELSIUS = "22 °C is 295.15 K"  # said where a temperature in degrees Celsius may have come in
GEL_CURE = 3.0**-0.5  # of a four-armed amine with a two-armed epoxy, equal parts: Flory-Stockmayer; from memory
ILLUSTRATIVE_LABEL = "ILLUSTRATIVE resin: within published ranges, no product; for depths to trust, measure a test pour"


@dataclass(frozen=True)
class Kinetics:
    """Cure and heat of a resin mix; k1, k2, m and n as in the module's text, properties of the mix taken as constant.

    ValueError for a value that is not positive and finite (k2, m and the heat may be zero), or plainly in a wrong unit.
    """

    rate_plain: float  # k1 at `reference` [1/s]
    rate_auto: float  # k2 at `reference` [1/s]
    order_auto: float  # m [-]
    order_left: float  # n [-]
    energy_plain: float  # activation energy of k1 [J/mol]
    energy_auto: float  # activation energy of k2 [J/mol]
    reference: float  # K
    heat: float  # of the full cure [J/kg of mix]
    density: float  # kg/m3
    heat_capacity: float  # J/(kg K)
    conductivity: float  # W/(m K)
    label: str = "the user's own values"  # printed on every result

    def __post_init__(self):
        for name, (low, high) in _RANGES.items():
            read_number(getattr(self, name), f"{name} of the cure", low=low, high=high, hint="in SI units")

    @property
    def adiabatic_rise(self) -> float:
        """Rise of temperature if all heat stays inside [K]."""
        return self.heat / self.heat_capacity

    @property
    def diffusivity(self) -> float:
        """Thermal diffusivity [m2/s]."""
        return self.conductivity / (self.density * self.heat_capacity)

    def constants(self, temperature):
        """k1 and k2 [1/s] at a temperature [K], any shape."""
        cold = 1.0 / np.asarray(temperature, dtype=float) - 1.0 / self.reference
        return (
            self.rate_plain * np.exp(-self.energy_plain / GAS * cold),
            self.rate_auto * np.exp(-self.energy_auto / GAS * cold),
        )

    def rate(self, temperature, cure):
        """d(cure)/dt [1/s] at temperature [K] and cure [-], any shapes that broadcast. Outside 0 to 1 the cure counts
        as its nearer end: a solver's trial steps stray there by its tolerance."""
        plain, auto = self.constants(temperature)
        cure = np.minimum(np.maximum(cure, 0.0), 1.0)
        return (plain + auto * cure**self.order_auto) * (1.0 - cure) ** self.order_left

    def time_to(self, cure, temperature) -> float:
        """Time [s] to a cure between 0 and 1 at a held temperature [K], by quadrature.

        ValueError outside 0 <= cure < 1, or for a temperature that is not 200 to 700 K.
        """
        read_number(cure, "cure", low=0.0, below=1.0)
        read_number(temperature, "temperature", "K", 200.0, 700.0, hint=CELSIUS)
        plain, auto = self.constants(temperature)

        def slowness(w):  # w = -ln(1 - cure): no pole at full cure
            return np.exp((self.order_left - 1.0) * w) / (plain + auto * (-np.expm1(-w)) ** self.order_auto)

        return scipy.integrate.quad(slowness, 0.0, -np.log1p(-cure), epsabs=0.0, epsrel=1e-10, limit=200)[0]

    def cure_after(self, time, temperature) -> float:
        """Cure [-] of a thin film after a time [s] at a held temperature [K]. ValueError for a negative time."""
        read_number(time, "time", "s", low=0.0)
        low, high = 0.0, 0.5
        while self.time_to(high, temperature) < time:
            low, high = high, 0.5 * (1.0 + high)
            if high > 1.0 - 1e-12:
                return 1.0
        return scipy.optimize.brentq(lambda cure: self.time_to(cure, temperature) - time, low, high, xtol=1e-14)

    def paced(self, time, temperature, cure=GEL_CURE) -> Kinetics:
        """The same resin, as much faster or slower as makes a thin film reach `cure` after `time` [s] at `temperature`.

        With a data sheet's time until a thin film has set, the illustrative set comes nearer to that system; its
        other constants stay what they are, and the label says so.
        """
        read_number(time, "time to cure", "s", above=0.0)
        factor = self.time_to(cure, temperature) / time
        when = f"{show(time, 'h', 3)} at {show(temperature, 'degC', 3)}"
        how = f"paced to {100 * cure:.0f} % cure of a thin film after {when}"
        return replace(
            self, rate_plain=self.rate_plain * factor, rate_auto=self.rate_auto * factor, label=f"{self.label}; {how}"
        )


# fmt: off
_RANGES = {
    "rate_plain": (1e-12, 1.0), "rate_auto": (0.0, 10.0), "order_auto": (0.0, 5.0), "order_left": (0.5, 5.0),
    "energy_plain": (0.0, 3e5), "energy_auto": (0.0, 3e5), "reference": (200.0, 700.0), "heat": (0.0, 2e6),
    "density": (50.0, 5000.0), "heat_capacity": (200.0, 5000.0), "conductivity": (0.01, 20.0),
}
# fmt: on


# Activation energies and m + n within Barral L. et al. (1995) J. Appl. Polym. Sci. 56:1029-1037 (44 to 57 kJ/mol, 2.5
# to 3; abstract read); conductivity 0.18 W/(m K) and density from a maker's data sheet of an epoxy paste; heat and heat
# capacity from memory (450 kJ/kg, 1.2 to 1.9 kJ/(kg K)); the rates chosen for a slow hardener, no source.
# fmt: off
ILLUSTRATIVE = Kinetics(
    rate_plain=2e-5, rate_auto=4e-4, order_auto=1.0, order_left=2.0, energy_plain=57e3, energy_auto=44e3,
    reference=296.15, heat=400e3, density=1110.0, heat_capacity=1800.0, conductivity=0.18, label=ILLUSTRATIVE_LABEL,
)
# fmt: on


def system_kinetics(system, base=ILLUSTRATIVE) -> Kinetics:
    """Kinetics paced to a `ResinSystem`: a thin film gels when the data sheet first calls it tacky (judgement).

    Rates follow the data sheet and so does the density where it is known; heat, orders and energies stay those of
    `base`, and the label says so. ValueError where the system states no tack.
    """
    if system.tack_from is None:
        raise ValueError(f"{system.name}: tack_from is not known; take it from the data sheet, or pace by another time")
    paced = base.paced(system.tack_from, system.rated_temperature)
    known = system.mixed_density is not None or None not in (system.resin_density, system.hardener_density)
    density = system.density()[0] if known else base.density
    return replace(paced, density=density, label=f"{paced.label}, as of {system.name}")
