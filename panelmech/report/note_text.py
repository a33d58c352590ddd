"""What a design note says: a study as blocks of text and tables (see `report.blocks`). No mechanics, no layout.

Order: who and what (the fields of ISO 7200), the governing check, purpose and limits of use, sketch, checks,
sensitivity, comparison with the flat wedge, results, inputs with their sources, assumptions, cautions, signatures.
"""

from __future__ import annotations

import math
from dataclasses import replace

from .. import __version__
from ..blade.along_checks import SpanStudy
from ..draw.study_figures import describe_section
from ..mechanics.section import SHEAR_CENTRE_WORDS, TORSION_WORDS
from ..study.checks import LOCAL_RULES
from ..study.design import JUDGED, LIMITS, Design
from ..study.grain import sheet_grain
from ..study.inside import HAND_OVER
from ..study.quantities import QUANTITIES
from ..study.shares import INTERVAL
from ..study.study import SPACER_STEP, SheetRange, Study, sensitivity, stock_range
from ..study.tolerances import default_tolerances, scatter
from ..study.two_sheets import sheets_words
from ..study.typed_inside import TYPED, inside_texts
from ..study.verdicts import FAILS
from ..units import capital, show, show_input
from .along_text import along_banner, along_blocks, root_words
from .blocks import (
    Banner,
    Bullets,
    Column,
    Heading,
    Origin,
    Pair,
    Paragraph,
    Picture,
    Signatures,
    Table,
    TitleBlock,
    which_lengths,
)
from .check_rows import BASIS_WORDS, checks_table, default_words
from .pressing_rows import pressing_blocks
from .wedge_rows import against_wedge

# ----- The standing texts of the design note: limits of use, assumptions, cautions, with the study's own numbers in
# them.


def limits_of_use(study: Study, along: SpanStudy | None = None) -> str:
    """What the note is good for and what not, one paragraph."""
    part = "changes along its span, judged place by place" if along else "is the same all along its span"
    return (
        f"A worksheet for the builder of a part that {part}: forming two flat sheets over a "
        "round spacer, the joint at the land, the section that results, and one framed sheet under even pressure and "
        "spanwise compression. Strength and fatigue in use, impact, fittings, and water or heat acting on a closed "
        "hollow are not checked. It certifies nothing: codes that apply, and a qualified engineer where people depend "
        "on the part, decide. Measure and test your own sheet."
    )


ALONG_WORDS = "Every place as if its section ran on along the span; forces from section to section in forming left out."
BAYS_BREATHE = " Every bay between ribs needs its way out: a tube through each rib and solid zone."
INSIDE_WORDS = (
    "They part the sheet into bays, of which the worst counts, under loads with the section of each place. Pressed in, "
    "the sheet stands on ribs and zones that give as beams from land to rod, hinged at both, or counts without them "
    "where it gives less so; for buckling ribs are left out. Mass, float and pours count them. Along the span the "
    "whole section of a solid zone has its resin, from {} within its ends on, but for the part's own; of ribs, and in "
    "what is told of one section, that stiffness is left out, on the safe side for stress and deflection."
)


def _inside_words(design):
    return [("Ribs and solid zones.", INSIDE_WORDS.format(show_input(HAND_OVER, "mm")))] if design.inside else []


def _grain_words(design):
    if sheet_grain(design).moduli:
        return "Grain: moduli along the chord, along the span and in shear, axes square to the part."
    return "The sheet is taken to have one modulus both ways, that along the chord."


def assumptions(study: Study, along: SpanStudy | None = None) -> tuple:
    """(bold words, text) of every assumption the figures rest on."""
    return (
        *([("Along the span.", ALONG_WORDS)] if along else []),
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
            "One line on each sheet, without friction; friction enters only the check whether it holds the rod.",
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
        *_inside_words(study.design),
    )


def note_cautions(study: Study) -> tuple:
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
            f"light.{BAYS_BREATHE if study.design.inside else ''}",
        ),
        (
            "On and behind water.",
            "A blade that fails takes the steering with it: carry a spare means, inspect. A sheet with water behind "
            "it fails without warning: catch basin, slow filling, people clear, a signed-off design.",
        ),
    )


# ----- The inputs of a design note: what was entered, and every material value with its basis and source.


def inputs(study: Study):
    """The blocks of the inputs: numbers with a column to fill in as built, then material values with their sources."""
    design = study.design
    yield Heading("Inputs")
    yield material_table(design, " ".join(check.source for check in study.checks))
    yield from which_lengths("study.json beside this note keeps")
    yield Paragraph("Entered by the builder; what is measured on the part belongs in the empty column.", quiet=True)
    rows = [(capital(limit.label), _input_text(design, name), "") for name, limit in LIMITS.items()]
    half = sum(limit.group == "geometry" for limit in LIMITS.values())
    columns = Column("", 0.44, "label"), Column("As designed", 0.28, "number"), Column("As built", 0.28, "blank")
    inside = [(capital(TYPED[name].label), text, "") for name, text in inside_texts(design.inside, unit=True).items()]
    tables = [
        Table(head, (Column(head, 0.44, "label"), *columns[1:]), tuple(part))
        for head, part in (("Geometry", [*rows[:half], *inside]), ("Other", rows[half:]))
    ]
    yield Pair((tables[0],), (tables[1],))


def _input_text(design, name):
    if name == "spacer_wall" and design.spacer_wall == 0:
        return "solid rod"
    default = " (default)" if name in JUDGED and design.untouched(name) else ""
    return show_input(getattr(design, name), LIMITS[name].unit) + default


_MATERIALS = {"sheet": "Sheet", "adhesive": "Adhesive", "spacer": "Spacer", "resin": "Potting"}


def material_table(design: Design, sources: str = "") -> Table:
    """Every material value of a design with its basis and source; a long one that already stands among the `sources`
    of the checks is not written out twice."""
    columns = (
        Column("Material value", 0.205, "label"),
        Column("Value", 0.105, "number"),
        Column("Basis and source", 0.69, "small"),
    )
    return Table("Material values with their sources", columns, tuple(_material_rows(design, sources)))


def _material_rows(design, sources):
    for field, word in _MATERIALS.items():
        record = getattr(design, field)
        yield f"{word}: {record.name}" + (f" ({record.source})" if record.source else "")
        for row in sorted((row for row in record.ROWS if row.noted), key=lambda row: row.noted):
            basis, source = record.basis_of(row.name)
            value = record.at(row.name, design.sheet_thickness)
            text = "not known" if math.isnan(value) else show(value, row.unit, 3)
            words = "as given with its check above" if len(source) > 60 and source in sources else source
            yield capital(row.label), text, f"{capital(BASIS_WORDS.get(basis, basis))}: {words}"


# ----- What a design note says: a study as blocks of text and tables (see `report.blocks`). No mechanics, no layout.


PARTS = 10_000  # of which the share that fails is told
SOFTWARE = f"panelmech {__version__}"

# fmt: off
_RESULTS = {
    "Shape": (
        "chord", "outer_thickness", "thickness_ratio", "developed_length", "mouth", "contact_angle", "overhang",
        "spacer_position", "nose_step", "enclosed_area", "void_area", "front_area", "area", "sheet_mass",
    ),
    "Forming": (
        "bending_modulus", "land_stress", "land_radius", "radius_ratio", "land_moment", "contact_force",
        "contact_force_total", "push_out_total", "strain_energy_total", "springback",
    ),
    "Whole section": ("chord_stiffness", "normal_stiffness", "torsion_stiffness", "shear_centre_x", "mass_per_length"),
}
ASSUMPTIONS_SHARE = 0.6  # of the width; the cautions beside them are shorter
_SENSITIVE = {  # head of the column, its share of the width
    "land_strain": ("Bending strain at the land", 0.13), "contact_force_total": ("Contact force, whole span", 0.122),
    "opening_energy": ("Opening energy of the land", 0.128), "outer_thickness": ("Outer thickness", 0.122),
    "i_chord": ("Second moment, chord line", 0.136),
}
# fmt: on


def compose(
    study: Study,
    origin: Origin | None = None,
    along: SpanStudy | None = None,
    sheets: SheetRange | None = None,
    pressed: tuple | None = None,
) -> tuple:
    """The whole note as a tuple of blocks; `along`: of a part that changes along its span, whose root end the study is
    of; `sheets`: what was measured of them, which sensitivity goes by in the place of their stock's tolerance;
    `pressed`: (curves of its sheets under pressure, what pressure that is), shown after the comparison."""
    return (
        *_front(study, origin, along),
        *_checks(study, "Checks at the root end" if along else "Checks"),
        *(along_blocks(along) if along else ()),
        *_sensitivity(study, along, sheets or stock_range(study.design)),
        *against_wedge(study),
        *(pressing_blocks(*pressed) if pressed else ()),
        *_results(with_totals(study, along), along),
        *inputs(study),
        Pair(
            (Heading("Assumptions"), Bullets(assumptions(study, along))),
            (Heading("Cautions"), Bullets(note_cautions(with_totals(study, along)))),
            ASSUMPTIONS_SHARE,
        ),
        Heading("Signatures"),
        Signatures((("Made by", study.design.made_by), ("Checked by", ""), ("Approved by", ""))),
    )


def with_totals(study: Study, along: SpanStudy | None) -> Study:
    """The study of the root end with the totals of the part as it is along its span."""
    return study if along is None else replace(study, quantities={**study.quantities, **along.totals})


def title_of(design: Design) -> str:
    """Title of the part, never empty."""
    return design.title.strip() or "Bent panel"


def title_block(
    design: Design,
    document: str,
    stamp: str,
    shares=(0.45, 0.15, 0.2, 0.2),
    owner=("Owner", ""),
    origin: Origin | None = None,
) -> TitleBlock:
    """The fields of ISO 7200 for one kind of paper.

    stamp : hash of what it was computed from
    shares : of the width that the fields of the first row take [-]
    owner : (label, text) of the first field of the second row
    origin : job it comes from: its name stands under the title, the hash of its state with the other one
    """
    job = f"\nJob: {origin.job}" if origin and origin.job else ""
    stamp = f"{stamp}\njob {origin.hash}" if origin else stamp
    texts = (
        ("Title", f"{title_of(design)}{job}"),
        ("Document type", document),
        ("Identification number", design.ident),
        ("Software, input hash", f"{SOFTWARE}\n{stamp}"),
    )
    first = tuple((*text, share) for text, share in zip(texts, shares, strict=True))
    # fmt: off
    second = (
        (*owner, 0.19), ("Made by", design.made_by, 0.19), ("Approved by", "", 0.19),
        ("Date of issue", design.issued, 0.15), ("Revision", "", 0.1), ("Language", "en", 0.1), ("Sheet", "", 0.08),
    )
    # fmt: on
    return TitleBlock((first, second))


def _front(study, origin, along):
    design = study.design
    yield title_block(design, "Design note", design.input_hash(), origin=origin)
    governing = study.governing
    advice = f"{capital(governing.advice)}." if governing.verdict == FAILS and governing.advice else ""
    yield along_banner(along) if along else Banner(study.verdict, study.headline(), advice, "The design")
    yield from [Paragraph(root_words(along))] if along else []
    yield Heading("Purpose and limits of use")
    yield Paragraph(design.purpose.strip() or "No purpose has been stated in the study file.")
    yield Paragraph(limits_of_use(study, along))
    yield Heading("Sketch of the root end" if along else "Sketch")
    yield Picture("section", describe_section(study))


# fmt: off
_CHECK_COLUMNS = (
    Column("Check", 0.2, "name"), Column("Value", 0.095, "number"), Column("Limit", 0.1, "number"),
    Column("Reserve", 0.075, "number"), Column("Verdict", 0.1), Column("Basis and source of the limit", 0.43, "small"),
)
# fmt: on


def _checks(study, heading):
    yield Heading(heading)
    judged = [c for c in study.checks if c.kind != "comparison"]
    yield checks_table("Checks with value, limit, reserve and verdict", _CHECK_COLUMNS, judged, study.governing)
    yield Paragraph(
        "Reserve: limit over value, or value over limit where a least value is needed. Close: less than "
        f"{_input_text(study.design, 'close_share')} above 1. Unknown is not safe. {default_words(judged)}".strip(),
        quiet=True,
    )
    if study.notes:
        yield Heading("Doubtful inputs")
        yield Bullets(tuple(("", note) for note in study.notes))


def _shown(name, value):
    return show(value, QUANTITIES[name].unit, QUANTITIES[name].digits)


def _results(study, along):
    yield Heading("Results at the root end, totals over the part as it is" if along else "Results")
    shape, forming, section = (_result_table(study, group) for group in _RESULTS)
    yield Pair((shape,), (forming, section) if section.rows else (forming,))
    yield Paragraph(
        "Every computed value is in results.csv, with more digits; strain and curvature along the sheet are drawn in "
        "plots/, beside this note.",
        quiet=True,
    )


def _result_table(study, group):
    q = study.quantities
    names = [n for n in _RESULTS[group] if n in q and (n != "nose_step" or q[n] != 0.0)]
    return Table(
        group,
        (Column(group, 0.802, "label"), Column("", 0.198, "number")),
        tuple((capital(QUANTITIES[n].label.removeprefix("whole section: ")), _shown(n, q[n])) for n in names),
    )


def _sensitivity(study, along, sheets):
    yield Heading("Sensitivity to sheet thickness and spacer")
    keys = tuple(check.key for check in study.limits)
    rows = sensitivity(study.design, keys, sheets)
    base = rows[0][1]
    columns = (
        Column("Change", 0.292, "label"),
        *(Column(head, share, "number") for head, share in _SENSITIVE.values()),
        Column("Least reserve", 0.07, "number"),
    )
    reach = "the readings leave open" if sheets.measured else "its tolerance lets it be"
    yield Table(
        f"Results for a sheet as thin or thick as {reach} ({sheets.origin('thickness')}) and a spacer "
        f"{show_input(SPACER_STEP, 'mm')} smaller or larger",
        columns,
        tuple(_sensitive_row(words, numbers, base) for words, numbers in rows),
    )
    yield Paragraph(_scatter_words(sheets, keys), quiet=True)
    if along:
        yield Paragraph("All of the section at the root end; “whole span” as if it ran on to the tip.", quiet=True)


def _scatter_words(sheets, keys):
    """Whose tolerance it is, and what share of parts fails one of these checks."""
    design, middle = sheets.design, sheets.design.sheet_thickness
    thickness = (
        f"{show(middle, 'mm', 3)} ± {show(sheets.thickness, 'mm', 3)}, {show(sheets.thickness / middle, '%', 2)}"
    )
    modulus = f"± {show(sheets.modulus, '%', 2)} ({sheets.origin('modulus')})"
    words = f"Sheet: thickness {thickness} ({sheets.origin('thickness')}), modulus {modulus}."
    try:
        rules = [rule for rule in LOCAL_RULES if rule.key in keys]
        found = scatter(design, default_tolerances(design, sheets), count=PARTS, rules=rules)
    except ValueError as error:
        return f"{words} What share of parts fails was not worked out: {error}."
    apart = "" if len(rules) == len(LOCAL_RULES) else " What the loads judge in the design's place is not among these."
    return (
        f"{words} Of {PARTS} parts that vary so, and by what careful hand work leaves in spacer, setback and "
        f"bond line (common practice; seed {found.seed}), the share that fails a check of the design: "
        f"{found.counted['any'].words()}. In brackets, or below which: {INTERVAL}.{apart} {sheets_words(found.alike)}"
    )


def _sensitive_row(words, numbers, base):
    if numbers is None:
        return capital(words), *("–" for _ in _SENSITIVE), "not possible"
    cells = [show(numbers[name], QUANTITIES[name].unit, 3) for name in _SENSITIVE]
    if base is not None and numbers is not base:
        cells = [f"{cell} ({_percent(numbers[n] / base[n] - 1)})" for cell, n in zip(cells, _SENSITIVE, strict=True)]
    least = numbers["least_reserve"]
    return capital(words), *cells, "not told" if least != least else show(least, "x", 3)


def _percent(change):
    if change != change:
        return "not known"
    return f"{100 * change:+.1f} %".replace("-", "−").replace("+0.0", "0.0").replace("−0.0 ", "0.0 ")
