"""The grain of a design's sheet: its stiffness one way and the other, as the framed sheet takes it.

The framed sheet (`mechanics.shell_model`) takes moduli along chord and span and in shear. Where the sheet's own are
known they are counted; where they are not, one modulus is taken for both ways, and a note says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from ..mechanics.shell_model import stiffness_ratios
from ..units import capital, lengths, show
from .design import Design

NEARLY_EVEN = 0.01  # moduli closer than this to an even sheet's are not worth words


@dataclass(frozen=True)
class SheetGrain:
    """The grain of a design's sheet at its thickness.

    moduli: the keywords of `FramedSheet`, empty for a sheet taken as even. pressing, buckling: whether there is a
    deflection, a critical stress; missing: the quantity of the sheet for want of which there is none. counted: words
    for the source of a check; remark: doubt to stand with the skin buckling; note: the same at length, for the study.
    "" where there is nothing to say.
    """

    moduli: dict = field(default_factory=dict)
    pressing: bool = True
    buckling: bool = True
    missing: str = ""
    counted: str = ""
    remark: str = ""
    note: str = ""


def sheet_grain(design: Design) -> SheetGrain:
    """`SheetGrain` of a design.

    All moduli known: counted. Span modulus not known: taken as even, said in a note. Shear modulus (or the span's in
    bending, where it has one of its own) alone not known: as even if the others agree within 1 %, else no critical
    stress, and the deflection is that of an even sheet. Moduli no elastic sheet can have: neither. A modulus along the
    chord that is not known is no matter of the grain: even.
    """
    return _grain(design.sheet, design.sheet_thickness, lengths())


@lru_cache(maxsize=64)
def _grain(sheet, t, told_in):
    """Kept apart for each choice of lengths (`told_in`): its notes may tell one."""
    chord, span, shear = (float(f(t)) for f in (sheet.modulus_at, sheet.span_modulus_at, sheet.shear_modulus_at))
    if not np.isfinite(chord):
        return SheetGrain()
    if not np.isfinite(span):
        return SheetGrain(note=_as_even(sheet.why_unknown("span_modulus", t)))
    bending = float(sheet.span_bending_at(t))
    if not np.isfinite(bending):
        return _without(sheet, t, "span_bending_modulus", False)
    if not np.isfinite(shear):
        even = max(abs(value / chord - 1.0) for value in (span, bending)) < NEARLY_EVEN
        return _without(sheet, t, "shear_modulus", even)
    moduli = {"span_modulus": bending, "shear_modulus": shear}
    try:
        if bending != span:
            moduli["stretch_moduli"] = (_chord_in_tension(chord, bending, span), span)
        ratios = stiffness_ratios(chord, sheet.poisson, **moduli)
    except ValueError as error:
        note = f"Framed sheet: not reckoned, for the sheet's moduli cannot be. {capital(str(error))}."
        return SheetGrain(pressing=False, buckling=False, remark="the sheet's moduli cannot be", note=note)
    return SheetGrain(moduli, counted="" if _nearly_even(ratios) else _words(bending, span))


def _chord_in_tension(chord, bending, span):
    """Modulus in tension along the chord [Pa], from both in bending and that in tension along the span.

    In a lay-up of equal plies, each along or across, the two ways add up to the same in bending as in tension (derived
    here: E0 + E90 of the ply, whatever its place).
    """
    left = chord + bending - span
    if not left > 0.0:
        both, tension = (show(value, "GPa", 3) for value in (chord + bending, span))
        raise ValueError(
            f"in bending it has {both} along chord and span together, no more than the {tension} along "
            "the span in tension; in a sheet of layers both ways add up to the same in either"
        )
    return left


def _nearly_even(ratios):
    even = stiffness_ratios(1.0, np.sqrt(1.0 - ratios.complement))
    twist = (ratios.d12 + 2.0 * ratios.d66) / (even.d12 + 2.0 * even.d66)
    return all(abs(value - 1.0) < NEARLY_EVEN for value in (ratios.d22, ratios.a11, ratios.a22, twist))


def _words(bending, span):
    """The span's modulus in tension and the shear modulus stand with the materials; that in bending does not."""
    return "grain counted" + (f", {show(bending, 'GPa', 3)} along the span in bending" if bending != span else "")


def _without(sheet, thickness, quantity, even):
    why = sheet.why_unknown(quantity, thickness)
    if even:
        return SheetGrain(note=_as_even(why))
    name = quantity.replace("_", " ")
    return SheetGrain(
        buckling=False,
        missing=quantity,
        remark=f"the sheet has a grain and its {name} is not known",
        note=_as_even(why, "the pressing in is reckoned"),
    )


def _as_even(why, what="reckoned"):
    return f"Framed sheet: {what} as if its modulus were the same both ways. {capital(why)}."
