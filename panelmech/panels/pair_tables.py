"""What the panel of matched pairs says, as HTML text: verdict, measured sheets, pairing, clamp, after a while.

Pure functions from records to text, like `panels.study_tables`; nothing is computed here.
"""

from __future__ import annotations

import math

from ..loads.steering import steering_words
from ..report import offset_rows
from ..report import pair_rows as rows
from ..report.pair_rows import STANDARD as STANDARD
from ..report.pair_rows import known_words, verdict_words
from ..study.verdicts import said
from ..units import capital, format_number, show
from .study_tables import band, notes, quiet, table
from .study_tables import paragraphs as paragraphs


def pair_line(report) -> str:
    """The verdict on the pair as a band."""
    return band(report.verdict, f"The two sheets: {said(report.verdict)}", verdict_words(report))


def bullets(lines) -> str:
    """Sentences with the mark of a note; empty for none."""
    return notes(f"{capital(line)}." for line in lines)


def missing_words(report) -> str:
    """What is still to be measured."""
    return bullets(f"still to be measured: {m}" for m in report.missing)


def known_table(report) -> str:
    """What is known of the pair, what is taken where nothing was measured, which reading to take again."""
    return notes(known_words(report))


def sheets_table(report) -> str:
    """Both sheets as measured."""
    return table(["Sheet", "A", "B"], rows.sheet_rows(report), "The two sheets")


def moduli_table(report) -> str:
    """Every modulus measured, its uncertainty, and which reading it comes from most."""
    found = rows.modulus_rows(report) or [["No bench test yet", *"–" * 4]]
    heads = ["Young's modulus along the bend", "Value", "Small-deflection formula", "Most of ± from", "Used as"]
    return table(heads, found, "Measured moduli")


def pair_report_tables(report) -> str:
    """Both sheets in the bent pair, what they have together, and where the uncertainty of the camber comes from."""
    uneven = table(["In the bent pair", "A", "B", "A less B"], rows.uneven_rows(report), "The sheets in the bent pair")
    both = table(["Together", ""], rows.pair_rows(report), "The pair")
    heads = ["Uncertainty of the camber from", "Read", "±", "Of the variance"]
    parts = table(heads, rows.contribution_rows(report), "Uncertainty of the camber")
    return f'{uneven}<div class="pm-side">{both}{parts}</div>'


def pairing_table(report) -> str:
    """The eight ways to lay the sheets together, best first."""
    heads = ["How to lay them together", "Bow left", "Taper left", "Largest camber"]
    return table(heads, rows.pairing_rows(report), "Pairings")


def clamp_table(clamp) -> str:
    """The ideal pair beside the one with its real land, bow and friction."""
    ideal, real, span = clamp.ideal, clamp.real, clamp.span
    pairs = [
        ("Contact force, whole span", ideal.contact_force * span, real.contact_force * span, "N"),
        ("Moment in each sheet at the land, per metre", ideal.land_moment, real.land_moment, "N m/m"),
        ("Bending strain at the land", ideal.land_strain, real.land_strain, "%"),
        ("Mouth", ideal.mouth, real.mouth, "mm"),
        ("Land end to rod", ideal.spacer_position, real.spacer_position, "mm"),
        ("Stored energy, both sheets, whole span", 2 * ideal.strain_energy * span, 2 * real.strain_energy * span, "J"),
    ]
    lines = [
        [words, show(a, unit), show(b, unit), f"{format_number(100 * (b / a - 1), 2)} %"] for words, a, b, unit in pairs
    ]
    return table(["One land, two ways", "Parallel, flat sheets", "As set here", "Change"], lines, "Land")


def rod_table(clamp, friction: float) -> str:
    """Force to push the rod in and to pull it out, over the whole span."""
    rod, span = clamp.rod, clamp.span
    lines = [
        ["Force that pushes it in", show(rod.push_in * span, "N", 3)],
        ["Force that pulls it out", show(rod.pull_out * span, "N", 3)],
        ["Without friction it is pressed out with", show(rod.push_out * span, "N", 3)],
        [f"Holds itself with a friction of {format_number(friction, 2)}", "yes" if rod.holds else "no, it comes out"],
    ]
    return table(["The rod, whole span", ""], lines, "Forces on the rod")


def clamp_words(clamp) -> str:
    """How much the shape cares."""
    return (
        f"As set, each sheet presses on the rod with {_more(clamp.force_change)} force than with a parallel land and "
        f"flat sheets. One degree more at the land alone: {_more(clamp.degree_change)}."
    )


def _more(change):
    if not math.isfinite(change):
        return "an unknown"
    return f"{format_number(100 * abs(change), 2)} % {'more' if change > 0 else 'less'}"


def hazard_words(clamp) -> str:
    """What is stored, and what that means for whoever stands beside it."""
    energy = show(2 * clamp.real.strain_energy * clamp.span, "J", 3)
    return (
        f"Stored spring: {energy} over the whole span. A clamp, the rod or the land can let go and throw parts. Keep "
        "out of line, protect the eyes, tie the part before unclamping, release in steps."
    )


def later_table(later, span: float) -> str:
    """Loads when formed and when the set fraction of the moment is left."""
    loads, left = later.loads, later.relaxed
    pairs = [
        ("Contact force on each sheet, whole span", loads.contact_force * span, left.contact_force * span, "N"),
        ("Moment in each sheet at the land, per metre", loads.land_moment, left.land_moment, "N m/m"),
        ("Push-out force on the rod, whole span", loads.push_out_force * span, left.push_out_force * span, "N"),
        ("Opening energy of the land", loads.opening_energy, left.opening_energy, "J/m2"),
    ]
    lines = [[words, show(float(a), unit, 3), show(float(b), unit, 3)] for words, a, b, unit in pairs]
    return table(["Held in shape", "When formed", f"{100 * left.fraction:.0f} % left"], lines, "Loads after a while")


def later_words(later) -> str:
    """What happens if it is let go then."""
    left = later.relaxed
    return (
        f"Let go then, each front edge springs back by {show(left.spring_back, 'mm', 3)}, so that the mouth closes by "
        f"twice that; the sheet keeps {show(left.set_angle, 'deg', 2)} of its bend at the rod."
    )


def log_table(later) -> str:
    """The log of the part beside the prediction."""
    return table(["After forming", "Measured", "Over the prediction"], rows.log_rows(later.log), "Log of the part")


def part_report(part, described: str) -> str:
    """What the offsets of the finished part say: what explains them, both verdicts, what was taken and what became of
    it."""
    found = table(offset_rows.KNOWN_HEADS, offset_rows.known_rows(part.fit), "What shaped the part")
    said = paragraphs(described, *offset_rows.part_sentences(part))
    return f"{said}{bullets(n.rstrip('.') for n in offset_rows.remarks(part))}{found}"


def steering_report(estimate) -> str:
    """Side force and the helm that cancels it, an estimate, with what it leaves out."""
    said, left_out = steering_words(estimate)[: -len(estimate.notes)], estimate.notes
    return f'<div class="pm-heading">Steering, an estimate</div>{paragraphs(*said)}{quiet(" ".join(left_out))}'
