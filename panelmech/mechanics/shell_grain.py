"""Stiffness of a sheet whose grain runs along the chord or along the span: stiffer one way than the other.

Plane stress with the material's axes along chord (1) and span (2):

    Q11 = E1 / (1 - nu12 nu21)   Q22 = E2 / (1 - nu12 nu21)   Q12 = nu12 Q22 = nu21 Q11   Q66 = G

(Lekhnitskii S.G., Anisotropic Plates, 1968; Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, ch. 11).
D = Q t^3/12 resists bending, A = Q t stretching. `poisson` is nu12: what a pull along the *chord* takes off the span;
that of a pull along the span follows from nu12 / E1 = nu21 / E2. Everything is divided by D11 = Q11 t^3/12.

The layers of a plywood count differently in bending (outer ones most) and in stretching (all alike), so the two may be
given moduli of their own; the shear modulus and Poisson's ratio then serve both. Leaves out: bending that stretches
(a lay-up not symmetric about its middle) and a grain at a slant to the chord.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

__all__ = ["StiffnessRatios", "stiffness_ratios"]


@dataclass(frozen=True)
class StiffnessRatios:
    """Stiffnesses of a sheet over D11 [-]. In bending: d22, d12, d66 (D22, D12, D66). In stretching, times t^2/12:
    a11, a22, a12, a66. complement: 1 - nu12 nu21 in bending, so that D11 = E1 t^3 / (12 complement)."""

    d22: float
    d12: float
    d66: float
    a11: float
    a22: float
    a12: float
    a66: float
    complement: float


def stiffness_ratios(modulus, poisson, span_modulus=None, shear_modulus=None, stretch_moduli=None):
    """`StiffnessRatios` of a sheet.

    modulus [Pa] along the chord and poisson [-] (nu12). span_modulus, shear_modulus [Pa]: None for an even sheet, with
    E2 = E1, G = E1/(2 (1 + nu)). stretch_moduli: (chord, span) [Pa] in tension and compression where they differ from
    those in bending. Raises ValueError for a span modulus without a shear modulus, for a modulus that is not positive
    and finite, and where 1 - nu12 nu21 is not positive, which no elastic sheet can have.
    """
    if span_modulus is None and shear_modulus is None and stretch_moduli is None:
        _check_even(poisson)
        shear = 0.5 * (1.0 - poisson)
        return StiffnessRatios(1.0, poisson, shear, 1.0, 1.0, poisson, shear, 1.0 - poisson**2)
    if shear_modulus is None:
        raise ValueError(
            "a sheet with a grain came without its shear modulus: give shear_modulus in Pa, or leave "
            "span_modulus and stretch_moduli out for a sheet that is the same every way"
        )
    span = modulus if span_modulus is None else span_modulus
    stretch = (modulus, span) if stretch_moduli is None else tuple(stretch_moduli)
    _check_moduli(span_modulus=span, shear_modulus=shear_modulus, stretch_moduli=stretch)
    complement, stretching = _complement(modulus, span, poisson), _complement(*stretch, poisson)
    one, shear = modulus / complement, float(shear_modulus)
    a11, a22 = (value / stretching / one for value in stretch)
    return StiffnessRatios(
        span / modulus, poisson * span / modulus, shear / one, a11, a22, poisson * a22, shear / one, complement
    )


def _check_even(poisson):
    if not -1.0 < poisson < 0.5:
        raise ValueError(f"Poisson's ratio is {poisson!r}; it must lie between -1 and 0.5")


def _check_moduli(**given):
    for name, value in given.items():
        if not (np.all(np.isfinite(value)) and np.all(np.asarray(value) > 0.0)):
            raise ValueError(f"{name} of a framed sheet is {value!r}; it must be positive, in Pa")


def _complement(chord, span, poisson):
    """1 - nu12 nu21, with nu21 = nu12 E2/E1."""
    value = 1.0 - poisson**2 * span / chord
    if not value > 0.0:
        raise ValueError(
            f"Poisson's ratio {poisson:.4g} of a pull along the chord does not go with {chord / 1e9:.4g} GPa along the "
            f"chord and {span / 1e9:.4g} GPa along the span: a pull along the span would then have "
            f"{poisson * span / chord:.4g}, and the product of the two must stay below 1; take at most "
            f"{np.sqrt(chord / span):.3g}, or check the moduli"
        )
    return value
