"""The inputs of a design note: what was entered, and every material value with its basis and source."""

from __future__ import annotations

from ..materials.stock import Sheet
from ..study.design import LIMITS
from ..study.study import Study
from ..units import show, show_input
from .blocks import Column, Heading, Pair, Paragraph, Table, capital

BASIS_WORDS = {"user": "own value"}


def inputs(study: Study):
    """The blocks of the inputs: numbers with a column to fill in as built, then material values with their sources."""
    design = study.design
    yield Heading("Inputs")
    yield Table(
        "Material values with their sources",
        (
            Column("Material value", 0.205, "label"),
            Column("Value", 0.105, "number"),
            Column("Basis and source", 0.69, "small"),
        ),
        tuple(_material_rows(study)),
    )
    yield Paragraph("Entered by the builder; what is measured on the part belongs in the empty column.", quiet=True)
    rows = [(capital(limit.label), _input_text(design, name), "") for name, limit in LIMITS.items()]
    half = sum(limit.group == "geometry" for limit in LIMITS.values())
    columns = Column("", 0.44, "label"), Column("As designed", 0.28, "number"), Column("As built", 0.28, "blank")
    tables = [
        Table(head, (Column(head, 0.44, "label"), *columns[1:]), tuple(part))
        for head, part in (("Geometry", rows[:half]), ("Other", rows[half:]))
    ]
    yield Pair((tables[0],), (tables[1],))


def _input_text(design, name):
    if name == "spacer_wall" and design.spacer_wall == 0:
        return "solid rod"
    return show_input(getattr(design, name), LIMITS[name].unit)


_MATERIALS = {
    "sheet": (
        "Sheet",
        (
            ("modulus", "modulus along the chord", "GPa"),
            ("span_modulus", "modulus along the span", "GPa"),
            ("shear_modulus", "shear modulus in its plane", "GPa"),
            ("poisson", "Poisson's ratio", ""),
            ("density", "density", "kg/m3"),
            ("forming_strain_limit", "strain limit, while forming", "%"),
            ("permanent_strain_limit", "strain limit, for good", "%"),
            ("thickness_tolerance", "thickness tolerance, ±", "mm"),
        ),
    ),
    "adhesive": ("Adhesive", (("toughness", "toughness, opening", "J/m2"),)),
    "spacer": (
        "Spacer",
        (("modulus", "modulus", "GPa"), ("poisson", "Poisson's ratio", ""), ("density", "density", "kg/m3")),
    ),
    "resin": (
        "Potting",
        (("modulus", "modulus", "GPa"), ("poisson", "Poisson's ratio", ""), ("density", "density", "kg/m3")),
    ),
}
_AT_THICKNESS = {
    "modulus": "modulus_at",
    "span_modulus": "span_modulus_at",
    "shear_modulus": "shear_modulus_at",
    "forming_strain_limit": "forming_limit_at",
    "permanent_strain_limit": "permanent_limit_at",
    "thickness_tolerance": "tolerance_at",
}


def _material_rows(study):
    """Rows of all materials; a long source that already stands with a check is not written out twice."""
    said = " ".join(check.source for check in study.checks)
    for field, (word, values) in _MATERIALS.items():
        record = getattr(study.design, field)
        yield f"{word}: {record.name}" + (f" ({record.source})" if record.source else "")
        for quantity, label, unit in values:
            basis, source = record.basis_of(quantity)
            value = _material_value(record, quantity, study.design.sheet_thickness)
            text = "not known" if value is None or value != value else show(value, unit, 3)
            words = "as given with its check above" if len(source) > 60 and source in said else source
            yield capital(label), text, f"{capital(BASIS_WORDS.get(basis, basis))}: {words}"


def _material_value(record, quantity, thickness):
    if isinstance(record, Sheet) and quantity in _AT_THICKNESS:
        return getattr(record, _AT_THICKNESS[quantity])(thickness)
    return getattr(record, quantity)
