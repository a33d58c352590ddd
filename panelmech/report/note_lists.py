"""The standing texts of the design note: limits of use, assumptions, cautions, with the study's own numbers in them."""

from __future__ import annotations

from ..mechanics.whole_section import SHEAR_CENTRE_WORDS, TORSION_WORDS
from ..study.grain import sheet_grain
from ..study.study import Study
from ..units import show, show_input


def limits_of_use(study: Study) -> str:
    """What the note is good for and what not, one paragraph."""
    return (
        "A worksheet for the builder of a part that is the same all along its span: forming two flat sheets over a "
        "round spacer, the joint at the land, the section that results, and one framed sheet under even pressure and "
        "spanwise compression. Strength and fatigue in use, impact, fittings, and water or heat acting on a closed "
        "hollow are not checked. It certifies nothing: codes that apply, and a qualified engineer where people depend "
        "on the part, decide. Measure and test your own sheet."
    )


def _grain_words(design):
    if sheet_grain(design).moduli:
        return "Grain: moduli along the chord, along the span and in shear, axes square to the part."
    return "The sheet is taken as equally stiff both ways, with the modulus along the chord."


def assumptions(study: Study) -> tuple:
    """(bold words, text) of every assumption the figures rest on."""
    return (
        (
            "Sheets.",
            "Two flat sheets of equal thickness and stiffness, without bow, elastic (Hooke's law). Bending is resisted "
            f"by {study.modulus_words}.",
        ),
        (
            "Shape.",
            "Exact large-deflection bend of an inextensible sheet without weight; the land is held parallel and does "
            "not turn; straight sheet in front of the rod; the flare at the ends of the span left out.",
        ),
        (
            "Contact.",
            "One line on each sheet, without friction; friction enters only the check whether the rod holds itself.",
        ),
        ("Time.", "Values at the moment of forming: no creep, relaxation, moisture or heat."),
        (
            "Joint.",
            "Opening energy from the moment at the land (simple beam theory, as in ASTM D5528) against toughness "
            f"divided by {show_input(study.design.toughness_margin)}; loads in use left out.",
        ),
        (
            "Sections compared.",
            "The two sheets alone over the free length, square-cut ends, exact solid integrals; torsion of one closed "
            "cell, land to contact, closures rigid (Bredt; Megson, eq. 17.1): an upper bound. Flat wedge: the same "
            "sheets, rod, bond line and setback, hinged at the land end.",
        ),
        (
            "Whole section.",
            "Sheets, land, spacer and potting as one body, each with its own modulus. Torsion stiffness, GJ: "
            f"{TORSION_WORDS}. Shear centre: {SHEAR_CENTRE_WORDS}.",
        ),
        (
            "Framed sheet.",
            "Linear shallow shell between land, rod and frames, forming prestress left out, edges as said with the "
            f"check. {_grain_words(study.design)}",
        ),
    )


def cautions(study: Study) -> tuple:
    """(bold words, text) of every caution, with the stored energy in joules and the spread force."""
    q = study.quantities
    return (
        (
            "Stored spring.",
            f"The bent pair holds {show(q['strain_energy_total'], 'J', 3)} over the whole span; each sheet presses on "
            f"the rod with {show(q['contact_force_total'], 'N', 3)}, and the rod is pressed forward with "
            f"{show(q['push_out_total'], 'N', 3)}. A clamp, the rod or the land can let go and throw parts. Keep out "
            "of line, protect the eyes, tie the part before unclamping, release in steps.",
        ),
        (
            "Before the front is bonded.",
            "A sheet that only rests on the rod leaves it at an outward pressure of about "
            f"{show(q['lift_off_pressure'], 'Pa', 3)}: no suction and no inside pressure until then.",
        ),
        (
            "Epoxy.",
            "It sensitises, and the reaction lasts. Gloves as its safety data sheet asks; no resin, solvent or "
            "part-cured dust on the skin.",
        ),
        ("Dust.", "Glass, wood and filler dust: cut wet or with extraction, wear a mask."),
        (
            "Heat of pouring.",
            "A deep or large pour can boil, smoke and crack: small lots, shallow lifts, watch the pot, move a hot one "
            "outdoors.",
        ),
        (
            "Closed hollow.",
            "Sun raises its inside pressure, cold water then draws water in: vent it ashore, drain it low, paint it "
            "light.",
        ),
        (
            "On and behind water.",
            "A blade that fails takes the steering with it: carry a spare means, inspect. A sheet with water behind "
            "it fails without warning: catch basin, slow filling, people clear, a signed-off design.",
        ),
    )
