"""The end of a sheet that is bonded to something soft: how much it gives under moment and force.

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

from .numerics import plain, read_together

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
