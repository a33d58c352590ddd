"""A resin system as it is mixed and poured: ratios, densities, times, heat, all from the data sheet.

The cured material stands apart, in `Resin`. Ratios are resin to hardener, by weight and by volume each for itself:
neither follows from the other without both densities. Times are those at `rated_temperature`; nothing here moves them
to another temperature (`shop.resin` does). What a data sheet does not say stays None: it has no basis.
"""

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field

from .properties import Property
from .records import ReadOnlyMap, Record

AGREES_WITHIN = 0.02  # two ratios closer than this agree: trade ratios are rounded to two or three figures
_FREEZING = 273.15


def _times(*rows):
    return tuple(Property(name, label, "min", (10.0, 4e6)) for name, label in rows)


def _densities(*rows):
    return tuple(Property(name, label, "kg/m3", (300.0, 4000.0)) for name, label in rows)


@dataclass(frozen=True)
class ResinSystem(Record):
    """Resin and hardener that belong together. All but name and source may be None. Raises ValueError as `Sheet` does.

    name, source : texts
    weight_ratio, volume_ratio : parts of resin to one part of hardener [-]; at least one of the two
    ratio_tolerance : by how much of it the hardener may be off [-]
    resin_density, hardener_density, mixed_density : liquid [kg/m3]
    rated_temperature : at which the times hold [K]
    pot_life : of `pot_life_mass` in a pot [s]
    pot_life_mass : [kg]
    working_time : of a thin film [s]
    tack_from, tack_until : a thin layer takes the next one as a primary bond [s after mixing]
    stress_time : until a joint may be stressed [s]
    full_cure : until it may be sanded and loaded [s]
    lift_depth : deepest pour [m]
    lowest_temperature : below it the shop is too cold [K]
    glass_transition, max_service : of the cured system [K]
    adhesives : names of the adhesives that it is in a land, neat or thickened; those of the catalogue name it
    resins : names of the cured resins that it is when poured; likewise
    sources, bases : by quantity, a text and one of `BASES`

    >>> from panelmech import catalogue
    >>> system = catalogue.resin_systems["epoxy 2:1 by volume, 100:47 by weight"]
    >>> round(100.0 / system.weight_ratio)  # grams of hardener to 100 g of resin
    47
    """

    name: str
    source: str
    _: KW_ONLY
    weight_ratio: float | None = None
    volume_ratio: float | None = None
    ratio_tolerance: float | None = None
    resin_density: float | None = None
    hardener_density: float | None = None
    mixed_density: float | None = None
    rated_temperature: float | None = None
    pot_life: float | None = None
    pot_life_mass: float | None = None
    working_time: float | None = None
    tack_from: float | None = None
    tack_until: float | None = None
    stress_time: float | None = None
    full_cure: float | None = None
    lift_depth: float | None = None
    lowest_temperature: float | None = None
    glass_transition: float | None = None
    max_service: float | None = None
    adhesives: tuple = ()
    resins: tuple = ()
    sources: Mapping = field(default_factory=ReadOnlyMap)
    bases: Mapping = field(default_factory=ReadOnlyMap)

    ROWS = (
        Property("weight_ratio", "ratio by weight", "", (0.05, 50.0)),
        Property("volume_ratio", "ratio by volume", "", (0.05, 50.0)),
        Property("ratio_tolerance", "tolerance of the ratio", "%", (1e-4, 0.5), below=1.0),
        *_densities(
            ("resin_density", "density of the resin"),
            ("hardener_density", "density of the hardener"),
            ("mixed_density", "density of the mix"),
        ),
        Property("rated_temperature", "temperature at which the times hold", "degC", (258.15, 373.15)),
        *_times(("pot_life", "pot life")),
        Property("pot_life_mass", "mass in the pot", "g", (1e-3, 20.0)),
        *_times(
            ("working_time", "working time"),
            ("tack_from", "takes the next layer from"),
            ("tack_until", "takes the next layer until"),
            ("stress_time", "may be stressed after"),
            ("full_cure", "full cure"),
        ),
        Property("lift_depth", "deepest pour", "mm", (2e-4, 0.5)),
        Property("lowest_temperature", "coldest shop", "degC", (253.15, 373.15)),
        Property("glass_transition", "glass transition", "degC", (273.15, 573.15)),
        Property("max_service", "hottest in use", "degC", (273.15, 573.15)),
        Property("adhesives", "in a land it is the adhesive", "", shape="names"),
        Property("resins", "poured and cured it is", "", shape="names"),
    )
    TIMES = tuple(row.name for row in ROWS if row.unit == "min")

    def _check_fit(self):
        if self.weight_ratio is None and self.volume_ratio is None:
            self.refuse("weight_ratio", "the ratio by weight, by volume or both: parts of resin to one of hardener")
        self._check_times()

    def _check_times(self):
        times = [name for name in self.TIMES if getattr(self, name) is not None]
        if times and self.rated_temperature is None:
            self.refuse("rated_temperature", f"the temperature at which {times[0]} holds")
        if self.rated_temperature is not None and self.rated_temperature < _FREEZING - 30.0:
            self.refuse("rated_temperature", "a shop temperature in kelvin: 22 °C is 295.15")
        if (self.tack_from is None) != (self.tack_until is None):
            self.refuse("tack_until", "both ends of the tack window, tack_from and tack_until, or neither")
        if self.tack_from is not None and self.tack_until <= self.tack_from:
            self.refuse("tack_until", "a time after tack_from")

    def ratio_gap(self):
        """How far the ratio by weight lies from that by volume times the ratio of densities [-]; None if unknown.

        0.05: by weight 5 % more resin to the hardener than volumes and densities say. Derived here: w = v rho_r /
        rho_h.
        """
        if None in (self.weight_ratio, self.volume_ratio, self.resin_density, self.hardener_density):
            return None
        return self.weight_ratio / (self.volume_ratio * self.resin_density / self.hardener_density) - 1.0

    def ratio_by_weight(self):
        """(parts of resin to one of hardener by weight, where it is from); from volumes and densities if need be.

        ValueError where neither is known.
        """
        if self.weight_ratio is not None:
            return self.weight_ratio, self.basis_of("weight_ratio")[1]
        if None in (self.resin_density, self.hardener_density):
            self.refuse("weight_ratio", "the ratio by weight, or both densities: volumes alone cannot be weighed")
        return (
            self.volume_ratio * self.resin_density / self.hardener_density,
            f"{self.volume_ratio:g} : 1 by volume times the ratio of the densities",
        )

    def density(self):
        """(density of the liquid mix [kg/m3], where it is from). ValueError where it cannot be known.

        From both parts where the mix itself is not given, without change of volume on mixing (derived here).
        """
        if self.mixed_density is not None:
            return self.mixed_density, self.basis_of("mixed_density")[1]
        if None in (self.resin_density, self.hardener_density):
            self.refuse("mixed_density", "the density of the mix, or of resin and hardener: weigh 100 mL of it")
        ratio = self.ratio_by_weight()[0]
        mix = (ratio + 1.0) / (ratio / self.resin_density + 1.0 / self.hardener_density)
        return mix, "from resin and hardener, no change of volume on mixing"

    def notes(self):
        """What in the data contradicts itself or is missing, in words; one for each amount off."""
        return tuple(filter(None, (self._ratio_note(), self._density_note(), self._tolerance_note())))

    def _ratio_note(self):
        gap = self.ratio_gap()
        if gap is None or abs(gap) <= AGREES_WITHIN:
            return ""
        expected = self.volume_ratio * self.resin_density / self.hardener_density
        return (
            f"the ratios contradict each other: {self.volume_ratio:g} : 1 by volume with densities "
            f"{self.resin_density:g} and {self.hardener_density:g} kg/m³ is {expected:.3g} : 1 by weight, but "
            f"{self.weight_ratio:g} : 1 is given ({100 * gap:+.1f} %); ask the data sheet, and weigh"
        ).replace("-", "−")

    def _density_note(self):
        if None in (self.mixed_density, self.resin_density, self.hardener_density):
            return ""
        ratio = self.ratio_by_weight()[0]
        parts = (ratio + 1.0) / (ratio / self.resin_density + 1.0 / self.hardener_density)
        gap = self.mixed_density / parts - 1.0
        if abs(gap) <= AGREES_WITHIN:
            return ""
        return (
            f"the densities contradict each other: resin and hardener make {parts:.4g} kg/m³ together, but "
            f"{self.mixed_density:g} kg/m³ is given for the mix ({100 * gap:+.1f} %); weigh 100 mL of the mix"
        ).replace("-", "−")

    def _tolerance_note(self):
        if self.ratio_tolerance is not None:
            return ""
        return "no tolerance of the ratio is known: a batch off ratio cannot be judged; take it from the data sheet"
