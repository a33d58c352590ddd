"""The adhesive that is checked and the resin that is weighed, kept one and the same; and so of the potting.

A design names an adhesive, with its toughness, and a cured resin, with its modulus; the shop names the resin systems
that are mixed, weighed and timed. Which is which stands in the stock: an adhesive and a cured resin name the systems
they are mixed from, and a system of one's own may name them (`materials.records`). Changing the one changes the other;
files of before, and stock of one's own that names nothing, may disagree, which `disagreements` puts into words.
"""

from __future__ import annotations

from ..materials.records import Adhesive, Resin
from ..materials.resin_system import ResinSystem
from ..materials.stock import catalogue
from ..study.design import Design
from .choices import ShopChoices

NEAT, THICKENED = "neat", "hangs"  # consistencies of the bond; the one a thickened adhesive begins with
REMEDY = "choose the one anew, and the other follows"


def bonding_systems() -> tuple:
    """Resin systems of the catalogue that are an adhesive of the catalogue, in its order."""
    named = {name for adhesive in catalogue.adhesives.values() for name in _systems(adhesive)}
    return tuple(system for name, system in catalogue.resin_systems.items() if name in named or system.adhesives)


def pouring_systems() -> tuple:
    """Resin systems of the catalogue that cure to a resin of the catalogue, in its order."""
    named = {name for resin in catalogue.resins.values() for name in resin.systems}
    return tuple(system for name, system in catalogue.resin_systems.items() if name in named or system.resins)


def is_bond(adhesive: Adhesive, system: ResinSystem, consistency: str) -> bool:
    """Whether a system, mixed to this consistency, is the adhesive: one of the two says so."""
    own = adhesive.neat_systems if consistency == NEAT else adhesive.thickened_systems
    by_system = adhesive.name in system.adhesives and bool(own or not _systems(adhesive))
    return system.name in own or by_system


def is_potting(resin: Resin, system: ResinSystem) -> bool:
    """Whether a system, poured neat, cures to the resin: one of the two says so."""
    return system.name in resin.systems or resin.name in system.resins


def takes_filler(system: ResinSystem) -> bool:
    """Whether filler may be stirred into a system; False where adhesives of the catalogue are that system as it is."""
    adhesives = catalogue.adhesives.values()
    neat_only = any(system.name in a.neat_systems for a in adhesives)
    return not neat_only or any(system.name in a.thickened_systems for a in adhesives)


def with_adhesive(choices: ShopChoices, adhesive: Adhesive) -> ShopChoices:
    """Choices that weigh this adhesive: as they are where they do, else its system, mixed as it is. As they are, too,
    where it names no system of the catalogue: `disagreements` says so."""
    ways = [(choices.bond, consistency) for consistency in (choices.bond_consistency, NEAT, THICKENED)]
    ways += [(_system(name), NEAT) for name in adhesive.neat_systems]
    ways += [(_system(name), THICKENED) for name in adhesive.thickened_systems]
    found = next(((s, c) for s, c in ways if s is not None and is_bond(adhesive, s, c)), ways[0])
    return choices.replace(bond=found[0], bond_consistency=found[1])


def with_bond(adhesive: Adhesive, choices: ShopChoices, system: ResinSystem) -> tuple:
    """(adhesive, choices) where this system is weighed for the bond: the adhesive stays where the system is that, else
    it is the one of the catalogue that the system is, mixed as before or, failing that, otherwise. It stays, too, where
    there is none: `disagreements` says so."""
    for consistency in (choices.bond_consistency, NEAT, THICKENED):
        for other in (adhesive, *catalogue.adhesives.values()):
            if is_bond(other, system, consistency):
                return other, choices.replace(bond=system, bond_consistency=consistency)
    return adhesive, choices.replace(bond=system)


def with_resin(choices: ShopChoices, resin: Resin) -> ShopChoices:
    """Choices that pour this cured resin, as of `with_adhesive`."""
    systems = (choices.pour, *filter(None, map(_system, resin.systems)))
    return choices.replace(pour=next((s for s in systems if is_potting(resin, s)), choices.pour))


def with_pour(resin: Resin, choices: ShopChoices, system: ResinSystem) -> tuple:
    """(cured resin, choices) where this system is poured, as of `with_bond`."""
    found = next((r for r in (resin, *catalogue.resins.values()) if is_potting(r, system)), resin)
    return found, choices.replace(pour=system)


def disagreements(design: Design, choices: ShopChoices) -> tuple:
    """What is checked and what is weighed, in words, where they are not one and the same; empty where they are."""
    return tuple(filter(None, (_bond_words(design.adhesive, choices), _potting_words(design.resin, choices.pour))))


def _bond_words(adhesive, choices):
    if is_bond(adhesive, choices.bond, choices.bond_consistency):
        return ""
    way = "as it is mixed" if choices.bond_consistency == NEAT else f"with filler until it {choices.bond_consistency}"
    both = f"the land is checked as “{adhesive.name}”, but “{choices.bond.name}”, {way}, is weighed and timed"
    if not _systems(adhesive) and not choices.bond.adhesives:
        return f"{both}: neither says whether it is the other; name the system with your adhesive, or {REMEDY}"
    return f"{both}: {REMEDY}"


def _potting_words(resin, system):
    if is_potting(resin, system):
        return ""
    both = f"the potting is checked as “{resin.name}”, but “{system.name}”, without filler, is weighed and timed"
    if not resin.systems and not system.resins and resin.name not in catalogue.resins:
        return f"{both}: neither says whether it is the other; name the system with your resin, or {REMEDY}"
    return f"{both}: {REMEDY}"


def _systems(adhesive):
    return (*adhesive.neat_systems, *adhesive.thickened_systems)


def _system(name):
    return catalogue.resin_systems.get(name)
