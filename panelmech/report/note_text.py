"""What a design note says: a study as blocks of text and tables (see `report.blocks`). No mechanics, no layout.

Order: who and what (the fields of ISO 7200), the governing check, purpose and limits of use, sketch, checks,
sensitivity, comparison with the flat wedge, results, inputs with their sources, assumptions, cautions, signatures.
"""

from __future__ import annotations

from .. import __version__
from ..draw.study_figures import describe_section
from ..study.design import Design
from ..study.study import FAILS, Study, sensitivity
from ..units import QUANTITIES, show, show_input
from .blocks import (
    Banner,
    Bullets,
    Column,
    Heading,
    Pair,
    Paragraph,
    Picture,
    Signatures,
    Table,
    TitleBlock,
    Verdict,
    capital,
)
from .fair_rows import against_wedge
from .note_inputs import BASIS_WORDS, inputs
from .note_lists import assumptions, cautions, limits_of_use

SOFTWARE = f"panelmech {__version__}"

_RESULTS = {
    "Shape": (
        "chord",
        "outer_thickness",
        "thickness_ratio",
        "developed_length",
        "mouth",
        "contact_angle",
        "overhang",
        "spacer_position",
        "nose_step",
        "enclosed_area",
        "void_area",
        "front_area",
        "area",
        "sheet_mass",
    ),
    "Forming": (
        "bending_modulus",
        "land_stress",
        "land_radius",
        "radius_ratio",
        "land_moment",
        "contact_force",
        "contact_force_total",
        "push_out_total",
        "strain_energy_total",
        "springback",
    ),
    "Whole section": ("chord_stiffness", "normal_stiffness", "torsion_stiffness", "shear_centre_x", "mass_per_length"),
}
ASSUMPTIONS_SHARE = 0.6  # of the width; the cautions beside them are shorter
_SENSITIVE = ("land_strain", "contact_force_total", "opening_energy", "outer_thickness", "i_chord")
_SENSITIVE_HEADS = (
    ("Bending strain at the land", 0.155),
    ("Contact force, whole span", 0.136),
    ("Opening energy of the land", 0.154),
    ("Outer thickness", 0.143),
    ("Second moment, chord line", 0.164),
)


def compose(study: Study) -> tuple:
    """The whole note as a tuple of blocks."""
    return (
        *_front(study),
        *_checks(study),
        *_sensitivity(study),
        *against_wedge(study),
        *_results(study),
        *inputs(study),
        Pair(
            (Heading("Assumptions"), Bullets(assumptions(study))),
            (Heading("Cautions"), Bullets(cautions(study))),
            ASSUMPTIONS_SHARE,
        ),
        Heading("Signatures"),
        Signatures((("Made by", study.design.made_by), ("Checked by", ""), ("Approved by", ""))),
    )


def title_of(study: Study) -> str:
    """Title of the part, never empty."""
    return study.design.title.strip() or "Bent panel"


def title_block(design: Design, document: str, stamp: str, shares=(0.47, 0.13, 0.2, 0.2)) -> TitleBlock:
    """The fields of ISO 7200 for one kind of paper; `stamp`: hash of what it was computed from; `shares` of the width
    that the fields of the first row take."""
    texts = (
        ("Title", design.title.strip() or "Bent panel"),
        ("Document type", document),
        ("Identification number", design.ident),
        ("Software, input hash", f"{SOFTWARE}\n{stamp}"),
    )
    first = tuple((*text, share) for text, share in zip(texts, shares, strict=True))
    second = (
        ("Owner", "", 0.2),
        ("Made by", design.made_by, 0.19),
        ("Approved by", "", 0.2),
        ("Date of issue", design.issued, 0.15),
        ("Revision", "", 0.09),
        ("Language", "en", 0.09),
        ("Sheet", "", 0.08),
    )
    return TitleBlock((first, second))


def _front(study):
    design = study.design
    yield title_block(design, "Design note", design.input_hash())
    governing = study.governing
    advice = f"{capital(governing.advice)}." if governing.verdict == FAILS and governing.advice else ""
    yield Banner(study.verdict, study.headline(), advice)
    yield Heading("Purpose and limits of use")
    yield Paragraph(design.purpose.strip() or "No purpose has been stated in the study file.")
    yield Paragraph(limits_of_use(study))
    yield Heading("Sketch")
    yield Picture("section", describe_section(study))


def _checks(study):
    yield Heading("Checks")
    columns = (
        Column("Check", 0.2, "name"),
        Column("Value", 0.095, "number"),
        Column("Limit", 0.1, "number"),
        Column("Reserve", 0.075, "number"),
        Column("Verdict", 0.1),
        Column("Basis and source of the limit", 0.43, "small"),
    )
    judged = [c for c in study.checks if c.kind != "comparison"]
    yield Table(
        "Checks with value, limit, ratio and verdict", columns, tuple(_check_row(c, study.governing) for c in judged)
    )
    yield Paragraph(
        "Reserve: limit over value, or value over limit where a least value is needed. Close: less than "
        f"{show_input(study.design.close_share, '%')} above 1. Unknown is not safe.",
        quiet=True,
    )
    if study.notes:
        yield Heading("Doubtful inputs")
        yield Bullets(tuple(("", note) for note in study.notes))


def _check_row(check, governing):
    name = f"{check.name} (governs)" if check.key == governing.key else check.name
    sign = "≤" if check.need == "at most" else "≥"
    limit = (
        "–"
        if check.kind == "note"
        else f"{sign}\u00a0{check.limit_text()}"
        if check.limit == check.limit
        else "no basis"
    )
    words = f"{capital(BASIS_WORDS.get(check.basis, check.basis))}: {check.source}."
    if check.advice:
        words += f" {capital(check.advice)}."
    return name, check.value_text(), limit, check.reserve_text(), Verdict(check.verdict), words


def _shown(name, value):
    return show(value, QUANTITIES[name].unit, QUANTITIES[name].digits)


def _results(study):
    yield Heading("Results")
    shape, forming, whole = (_result_table(study, group) for group in _RESULTS)
    yield Pair((shape,), (forming, whole) if whole.rows else (forming,))
    yield Paragraph(
        "Every computed value is in results.csv, with more digits; strain and curvature along the sheet are drawn in "
        "plots/, beside this note.",
        quiet=True,
    )


def _result_table(study, group):
    found = study.quantities
    names = [n for n in _RESULTS[group] if n in found and (n != "nose_step" or found[n] != 0.0)]
    return Table(
        group,
        (Column(group, 0.802, "label"), Column("", 0.198, "number")),
        tuple((capital(QUANTITIES[n].label.removeprefix("whole section: ")), _shown(n, found[n])) for n in names),
    )


def _sensitivity(study):
    yield Heading("Sensitivity to sheet thickness and spacer")
    rows = sensitivity(study.design)
    base = rows[0][1]
    columns = (
        Column("Change", 0.178, "label"),
        *(Column(head, share, "number") for head, share in _SENSITIVE_HEADS),
        Column("Least reserve", 0.07, "number"),
    )
    yield Table(
        "Results for a sheet 5 % thinner or thicker and a spacer 0.5 mm smaller or larger",
        columns,
        tuple(_sensitive_row(words, found, base) for words, found in rows),
    )


def _sensitive_row(words, found, base):
    if found is None:
        return capital(words), *("–" for _ in _SENSITIVE), "not possible"
    cells = [show(found[name], QUANTITIES[name].unit, 3) for name in _SENSITIVE]
    if found is not base:
        cells = [f"{cell} ({_percent(found[n] / base[n] - 1)})" for cell, n in zip(cells, _SENSITIVE, strict=True)]
    return capital(words), *cells, show(found["least_reserve"], "x", 3)


def _percent(change):
    if change != change:
        return "not known"
    return f"{100 * change:+.1f} %".replace("-", "−").replace("+0.0", "0.0").replace("−0.0 ", "0.0 ")
