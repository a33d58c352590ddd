"""How far an inner rib or a solid zone gives across the chord, when the sheet leans on it.

A filled stretch of the hollow is a beam from the land end to the rod: both sheets are its flanges, the resin between
them its web. Under a load from one face it bends between both ends, taken as hinged there, on the safe side: the land
turns. So the sheets between ribs stand on something that gives, as they do not on a closing frame at an end, which is
taken as rigid.

Bending by the transformed section at every place, EI = 2 E b t (y^2 + t^2 / 12) + E_r w h^3 / 12 with y of the sheets'
middle and h between the inner faces; shear through the web and both sheets (Timoshenko's beam, shear factor one). As
flanges count the sheets over the stretch itself and a tenth of the length on either side, at most half a bay: what
design codes let stand for shear lag in wide flanges at the least (EN 1992-1-1, 5.3.2.1; from memory). Derived here.
"""

from __future__ import annotations

import numpy as np

FLANGE = 0.1  # of the length from land to rod, on either side
PLACES = 401  # along the chord; to 1e-5 of the deflection (tests)


def give_of_filling(bend, width, beside, modulus, resin_modulus, resin_poisson) -> float:
    """Largest deflection of a filled stretch between land end and rod per even load along the chord [m per N/m].

    Parameters
    ----------
    bend : Bend
        A single feasible one.
    width : float
        Of the stretch, along the span [m].
    beside : float
        Half of the narrower bay beside it [m]: flanges reach no further.
    modulus : float
        Of the sheet along the chord [Pa].
    resin_modulus, resin_poisson : float or None
        Of the filling [Pa, -]; None: the sheets alone resist bending, and shear is left out.

    >>> from panelmech.job import demo
    >>> f"{give_of_filling(demo().design.bend(), 0.012, 0.1, 18.6e9, 4e9, 0.35):.3g}"
    '7.45e-07'
    """
    arclength = np.linspace(0.0, float(bend.contact_arclength), PLACES)
    x, y = (np.asarray(v, dtype=float).ravel() for v in bend.outline(arclength))
    x = x - x[0]
    length, t = x[-1], float(bend.sheet_thickness)
    flange = width + 2.0 * min(FLANGE * length, beside)
    high = 2.0 * y - t
    stiffness = 2.0 * modulus * flange * t * (y**2 + t**2 / 12.0)
    if resin_modulus is not None:
        stiffness = stiffness + resin_modulus * width * high**3 / 12.0
    turn = 0.5 * x * (length - x) / stiffness
    lean = np.minimum.outer(x, x) - np.outer(x, x) / length  # of a unit load at one place, the moment at the other
    bent = np.trapezoid(lean * turn, x, axis=1)
    if resin_modulus is None:
        return float(np.max(bent))
    shear = resin_modulus / (2.0 * (1.0 + resin_poisson))
    slope = (0.5 * length - x) / (shear * width * (high + 2.0 * t))
    sheared = np.concatenate([[0.0], np.cumsum(0.5 * (slope[1:] + slope[:-1]) * np.diff(x))])
    sheared = sheared - x / length * sheared[-1]
    return float(np.max(bent + np.maximum(sheared, 0.0)))
