"""How much the land gives way: the bonded strip as two beams on a bed of adhesive.

The land end is not a perfect clamp. Where the pair opens, each sheet pulls on the half of the bond line on its side: a
beam on an elastic foundation (Hetenyi, Beams on Elastic Foundation, 1946, ch. II and III; the double cantilever beam
of Kanninen, International Journal of Fracture 9 (1973) 83; both from memory, solved again here). Per metre of span,

    D w'''' + k w = 0,   k = 2 E_a / g,   lam = (k / (4 D))^(1/4),

free at the rear edge of the land. By symmetry the middle of the bond line stands still, so a sheet has g/2 of
adhesive under it: k is 2 E_a / g, twice the E_a / g of a beam glued to a rigid ground. A thin soft layer between sheets
that hardly stretch cannot narrow: its constrained modulus is E_a (1 - nu) / ((1 + nu)(1 - 2 nu)).

A land many times 1/lam long turns under a moment by M / (D lam). Left out: shear of the sheet and its own give across
its thickness (unless its modulus there is given), creep and cracks of the adhesive, the spew in front of the bond.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..mechanics.as_built_bend import real_bend
from ..mechanics.forming import bending_stiffness
from ..mechanics.numerics import plain, read_together
from ..study.design import Design
from ..study.quantities import gather
from ..units import read_number, show

_SERIES_BELOW = 0.5  # of lam times length: below, differences of the closed forms lose digits and their series serves


@dataclass(frozen=True, eq=False)
class LandCompliance:
    """Movement of the loaded end of the land, per metre of span; floats or arrays.

    `turn_by_moment` [rad per N m/m]; `turn_by_force`, which is also `move_by_moment` [rad per N/m, m per N m/m];
    `move_by_force` [m per N/m]. Moment, force, turn and movement are positive where they open the pair. `wavenumber`
    lam [1/m]: the adhesive is at work over about 3 / lam.
    """

    turn_by_moment: float | np.ndarray
    turn_by_force: float | np.ndarray
    move_by_force: float | np.ndarray
    wavenumber: float | np.ndarray


def constrained_modulus(modulus, poisson):
    """Modulus of a layer that cannot narrow, E (1 - nu) / ((1 + nu)(1 - 2 nu)) [Pa]; nu from 0 up to below 0.5."""
    modulus, nu = read_together(
        {
            "modulus of the adhesive": (modulus, "GPa", dict(above=0.0)),
            "Poisson's ratio of the adhesive": (poisson, "", dict(low=0.0, below=0.5)),
        }
    )
    return modulus * (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu))


def foundation_stiffness(adhesive_modulus, bond_line, sheet_thickness=0.0, across_modulus=np.inf):
    """Stiffness of the bed under each sheet, k [N/m3]: 2 E_a / g, or less where the sheet itself gives.

    Parameters
    ----------
    adhesive_modulus : float or array
        E_a [Pa], positive; `constrained_modulus` of it for the greatest bed modulus.
    bond_line : float or array
        g [m]; 0: no adhesive to give, infinite.
    sheet_thickness, across_modulus : float or array
        Thickness of the sheet [m] and its modulus across the thickness [Pa]; half the thickness gives with it
        (Kanninen 1973: 2 E / t for a beam without adhesive). Infinite modulus: left out.
    """
    bond_line, thickness, adhesive, across = read_together(
        {
            "bond line": (bond_line, "mm", dict(low=0.0)),
            "sheet thickness": (sheet_thickness, "mm", dict(low=0.0)),
            "modulus of the adhesive": (adhesive_modulus, "GPa", dict(above=0.0)),
            "modulus across the sheet": (across_modulus, "GPa", dict(above=0.0, infinite=True)),
        }
    )
    give = np.asarray(bond_line) / (2.0 * adhesive) + np.asarray(thickness) / (2.0 * across)
    with np.errstate(divide="ignore"):
        return plain(1.0 / give)


def land_compliance(stiffness, foundation, length) -> LandCompliance:
    """Compliance of the land's end; floats or arrays that broadcast.

    Parameters
    ----------
    stiffness : float or array
        Bending stiffness D of one sheet [N m], per metre of span.
    foundation : float or array
        k [N/m3]; infinite: a clamp, all compliances zero.
    length : float or array
        Of the land [m].

    Notes
    -----
    Finite beam with free ends loaded at one end, with z = lam length, C = sinh^2 z - sin^2 z: turn by moment
    (sinh z cosh z + sin z cos z)/(C D lam), turn by force (sinh^2 z + sin^2 z)/(2 C D lam^2), movement by force
    (sinh z cosh z - sin z cos z)/(2 C D lam^3) (Hetenyi 1946, finite beams, from memory; the tests solve the beam
    again). A long land: 1, 1 and 1 in place of the fractions; a short one turns as a rigid bar.
    """
    stiffness, foundation, length = read_together(
        {
            "bending stiffness": (stiffness, "N m", dict(above=0.0, nan=True)),
            "stiffness of the bed": (foundation, "", dict(above=0.0, infinite=True)),
            "length of the land": (length, "mm"),
        },
        above=0.0,
    )
    lam = (np.asarray(foundation, dtype=float) / (4.0 * np.asarray(stiffness))) ** 0.25
    rows = _end_factors(lam * length)
    with np.errstate(invalid="ignore"):
        out = [factor / (c * stiffness * lam**n) for factor, c, n in zip(rows, (1.0, 2.0, 2.0), (1, 2, 3), strict=True)]
    out = [np.where(np.isinf(lam), 0.0, v) for v in out]
    return LandCompliance(*map(plain, (*out, lam)))


def _end_factors(z):
    """The three fractions of `land_compliance`, 1 for a long land, for z = lam length; divided by exp(2 z)/4 above and
    below, and in series where z is small."""
    z = np.asarray(z, dtype=float)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        e = np.exp(-2.0 * z)
        sine, cosine = np.sin(2.0 * np.where(np.isinf(z), 0.0, z)), np.cos(2.0 * np.where(np.isinf(z), 0.0, z))
        # twice the products: sinh 2z, sin 2z, cosh 2z, cos 2z, each times 2 exp(-2z)
        closed = (1.0 - e * e + 2.0 * e * sine, 1.0 + e * e - 2.0 * e * cosine, 1.0 - e * e - 2.0 * e * sine)
        below = 1.0 + e * e + 2.0 * e * (cosine - 2.0)
        u = np.where(z < _SERIES_BELOW, (2.0 * z) ** 4, 0.0)
        w = 2.0 * z
        series = (  # sinh w + sin w, cosh w - cos w, sinh w - sin w over cosh w + cos w - 2
            2.0 * w * _even(u, 1),
            2.0 * w**2 * _even(u, 2),
            2.0 * w**3 * _even(u, 3),
        )
        under = 2.0 * w**4 * _even(u, 4)
        return [np.where(z < _SERIES_BELOW, s / under, c / below) for s, c in zip(series, closed, strict=True)]


def _even(u, first):
    """1/first! + u/(first + 4)! + u^2/(first + 8)! + ...; five terms: enough for u <= 1."""
    total, factor = 0.0, 1.0
    for n in range(1, first + 17):
        factor /= n
        if (n - first) % 4 == 0 and n >= first:
            total = total + factor * u ** ((n - first) // 4)
    return total


def compliance_of(design: Design, adhesive_poisson=None, across_modulus=np.inf) -> LandCompliance:
    """Compliance of a design's land; arguments and errors as for `land_spring`."""
    modulus = design.adhesive.modulus
    if adhesive_poisson is not None:
        read_number(adhesive_poisson, "Poisson's ratio of the adhesive", low=0.0, below=0.5)
    read_number(across_modulus, "modulus across the sheet", "GPa", above=0.0, infinite=True)
    if modulus is None and design.bond_line > 0.0:
        raise ValueError(
            f"no modulus is known for the adhesive {design.adhesive.name!r}: enter one, or measure the "
            "slope of the sheets at the land"
        )
    bed = np.inf
    if design.bond_line > 0.0:
        stiff = modulus if adhesive_poisson is None else constrained_modulus(modulus, adhesive_poisson)
        bed = foundation_stiffness(stiff, design.bond_line, design.sheet_thickness, across_modulus)
    return land_compliance(stiffness_of(design), bed, design.land_length)


def stiffness_of(design: Design) -> float:
    """Bending stiffness D of one of a design's sheets along the chord, per metre of span [N m]."""
    return float(bending_stiffness(gather(design)["bending_modulus"], design.sheet_thickness))


def land_spring(design: Design, adhesive_poisson=None, across_modulus=np.inf) -> float:
    """Moment per turn of the land of a design, per metre of span [N m/rad per m]; infinite without a bond line.

    For `real_bend(..., land_spring=...)`. From the adhesive's modulus, bond line, land and the sheet's bending
    stiffness; the small share of the shear force, and the land's opening, are left out (see `land_words`).

    Parameters
    ----------
    design : Design
    adhesive_poisson : float, optional
        If given, the adhesive cannot narrow: its constrained modulus counts, the greatest it can have.
    across_modulus : float
        Of the sheet across its thickness [Pa]; infinite: the sheet does not give.

    Raises
    ------
    ValueError
        If the adhesive's modulus is not known.
    """
    turn = compliance_of(design, adhesive_poisson, across_modulus).turn_by_moment
    return float("inf") if turn == 0.0 else 1.0 / turn


def neglected_share(design: Design) -> float:
    """Turn by the shear force, which `land_spring` leaves out, over turn by the moment [-].

    Small deflections: the moment is the shear times the arclength to the contact.
    """
    give = compliance_of(design)
    if give.turn_by_moment == 0.0:
        return 0.0
    return float(give.turn_by_force / (give.turn_by_moment * design.bend().contact_arclength))


def land_words(design: Design) -> str:
    """One line on what the land gives, for a builder."""
    spring = land_spring(design)
    if np.isinf(spring):
        return "Without a bond line the land does not give."
    turn = 1.0 / spring * stiffness_of(design) * float(design.bend().land_curvature)
    return (
        f"The adhesive lets each sheet turn by about {show(turn, 'deg', 2)} at the land end "
        f"(spring {show(spring, 'N m/m', 3)} per radian); an estimate, creep and shear left out."
    )


# ----- Sensitivity to the land slope: what a land that is not parallel, or gives way, does to force, strain and mouth.
#
# The exact bend takes a land held parallel. A degree off is little to a builder and a good deal to a slender part,
# whose sheets turn by a few degrees in all (`first_order`). All cases by `mechanics.as_built_bend`, frictionless, in
# one call.


DEGREE = np.pi / 180.0


@dataclass(frozen=True)
class LandCase:
    """One case beside the ideal one; nan where no equilibrium was found: the sheets would leave the rod.

    Attributes
    ----------
    land_slope : opening positive [rad]
    land_spring : [N m/rad per m]
    contact_force : on each sheet [N/m]
    land_strain : [-]
    mouth : [m]
    force_change, strain_change : from the ideal case, over the ideal value [-]
    mouth_change : from the ideal case [m]
    """

    name: str
    land_slope: float
    land_spring: float
    contact_force: float
    land_strain: float
    mouth: float
    force_change: float
    strain_change: float
    mouth_change: float

    def words(self) -> str:
        """The case in one line."""
        if not np.isfinite(self.contact_force):
            return f"{self.name}: the sheets would no longer press on the rod."
        if self.force_change == 0.0 and self.mouth_change == 0.0:
            force, mouth = show(self.contact_force, "N/m", 3), show(self.mouth, "mm", 3)
            return f"{self.name}: contact force {force}, mouth {mouth}."
        mouth = f"{show(abs(self.mouth_change), 'mm', 2)} {'wider' if self.mouth_change > 0 else 'narrower'}"
        return (
            f"{self.name}: contact force {_change(self.force_change)}, strain at the land "
            f"{_change(self.strain_change)}, mouth {mouth}."
        )


def _change(share):
    return f"{'up' if share > 0 else 'down'} by {show(abs(share), '%', 2)}"


def land_sensitivity(design: Design, turn: float = DEGREE, springs=None) -> tuple[LandCase, ...]:
    """The ideal bend, the land opened and closed by `turn`, and a land that gives way.

    Parameters
    ----------
    design : Design
        Raises InfeasibleBend if it cannot be bent.
    turn : float
        Slope of each sheet at the land end, opening positive [rad]; positive.
    springs : dict, optional
        Further cases, name to land spring [N m/rad per m]. By default the adhesive's own (`land_spring`), where its
        modulus is known.

    Returns
    -------
    tuple of LandCase, the ideal one first.

    >>> from panelmech.job import demo
    >>> land_sensitivity(demo().design)[1].words()
    'Land opened by 1.0°: contact force down by 42 %, strain at the land down by 42 %, mouth 0.22 mm narrower.'
    """
    turn = read_number(turn, "turn", "deg", above=0.0, high=0.5 * np.pi)
    design.bend()  # raises, with the reason
    if springs is None:
        known = design.adhesive.modulus is not None
        springs = {"Adhesive gives way": land_spring(design)} if known else {}
    cases = [
        ("Ideal, land parallel", 0.0, np.inf),
        (f"Land opened by {show(turn, 'deg', 2)}", turn, np.inf),
        (f"Land closed by {show(turn, 'deg', 2)}", -turn, np.inf),
    ]
    cases += [(name, 0.0, read_number(spring, name, "N m", 0.0, infinite=True)) for name, spring in springs.items()]
    names, slopes, stiff = zip(*cases, strict=True)
    bent = real_bend(
        design.free_length,
        design.sheet_thickness,
        design.spacer_diameter,
        stiffness_of(design),
        design.bond_line,
        design.setback,
        land_slope=np.array(slopes),
        land_spring=np.array(stiff),
    )
    values = np.array([bent.contact_force, bent.land_strain, bent.mouth])
    force, strain, mouth = values / values[:, :1]
    table = np.vstack([slopes, stiff, values, force - 1.0, strain - 1.0, (mouth - 1.0) * values[2, 0]])
    return tuple(LandCase(name, *(float(v) for v in row)) for name, row in zip(names, table.T, strict=True))


def first_order(contact_angle, turn: float = DEGREE):
    """Change of the contact force by a land opened by `turn` [rad], over the force [-]: -3 turn / (2 th_c).

    Small angles: the propped cantilever's rise d = 2 th_c s_c / 3 loses turn times s_c and the force goes with the rise
    (derived here). A degree is a tenth for a contact angle of 15 degrees and a third for 4.5: the builders' rule of a
    tenth to a third (common practice, no source) is for contact angles between these.
    """
    angle, turn = read_together({"contact angle": (contact_angle, "deg", dict(above=0.0)), "turn": (turn, "deg")})
    return -1.5 * turn / angle
