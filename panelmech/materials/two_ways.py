"""What a sheet can be that is not the same along the chord and along the span.

Plane stress, grain along chord (1) or span (2): nu12 is what a pull along the chord takes off the span, and that of a
pull along the span follows, nu21 = nu12 E2 / E1. Stiffness is positive, as of anything that gives back what was put in,
only while 1 - nu12 nu21 is, so |nu12| < sqrt(E1 / E2) (Lempriere B.M., 1968, Poisson's ratio in orthotropic materials,
AIAA Journal 6(11):2226).
"""

import math

from ..units import round_bound, show_input


def complement(chord, span, poisson):
    """1 - nu12 nu21 [-], floats or arrays: `chord`, `span` moduli, both positive and in one unit, `poisson` nu12.

    Not positive: no elastic sheet is like that. nan where a modulus is.
    """
    return 1.0 - poisson**2 * span / chord


def goes_with(chord: float, span: float, how: str = "") -> str:
    """In words which Poisson's ratio (nu12) goes with two moduli [Pa], to follow "give ". `how`: " in tension"."""
    root = math.sqrt(chord / span)
    least = rounded if (rounded := float(f"{root:.3g}")) <= root else round_bound(root, "", 3, up=False)
    along, across = (show_input(modulus, "GPa", 4) for modulus in (chord, span))
    return (
        f"less than {show_input(least, '', 3)}, the square root of {along} along the chord over {across} along the "
        f"span{how}, beyond which no elastic sheet can be; or check the moduli"
    )
