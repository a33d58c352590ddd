"""The part along its span in a design note: what changes, the sections, the checks at places, how flat sheets take it.

Blocks and drawings to add to a note; the note of a part that is the same all along its span is what it was. Numbers
come from `blade.along_checks` and the records; no formula here.
"""

from __future__ import annotations

from ..blade.along_checks import SpanStudy
from ..blade.blade import ALONG_FIELDS, BETWEEN, Blade, Table
from ..blade.sections import blade_sections
from ..blade.taper_fit import sheet_fit
from ..draw.blade_figures import describe_blade, planform_figure, section_stack_figure
from ..study.design import LIMITS, Design
from ..study.verdicts import FAILS
from ..units import capital, show_input
from .blocks import Banner, Bullets, Column, Heading, Paragraph, Picture, Verdict
from .blocks import Table as Rows
from .check_rows import limit_words
from .drawings import FULL, laid_out
from .records import stations_table

HEADING = "Along the span"
SECTIONS = "Sections at the root end, at the quarters of the span and at the tip, to the same scale"
# fmt: off
_COURSE = (Column("What changes", 0.3, "label"), Column("Root end", 0.14, "number"), Column("Tip", 0.14, "number"),
           Column("Course", 0.42))
_LEAST = (
    Column("Least reserve along the span", 0.3, "name"), Column("Value", 0.13, "number"),
    Column("Limit", 0.13, "number"), Column("Reserve", 0.1, "number"), Column("Verdict", 0.12),
    Column("Place", 0.22),
)
_AT = (
    Column("Place", 0.24, "label"), Column("Least reserve there", 0.13, "number"), Column("Verdict", 0.12),
    Column("Governing check there", 0.51),
)
# fmt: on


def along_banner(along: SpanStudy) -> Banner:
    """Verdict on the part: the governing check over all places, and its place."""
    check = along.governing
    advice = f"{capital(check.advice)}." if check is not None and check.verdict == FAILS and check.advice else ""
    return Banner(along.verdict, along.headline(), advice, "The design")


def root_words(along: SpanStudy) -> str:
    """What in the note is of which section."""
    names = ", ".join(LIMITS[name].label for name in _changing(along.blade))
    return (
        f"The part changes along its span ({names}) and was judged at {len(along.position)} places from root end to "
        f"tip. Checks, sketch and results of this note are of the section at the root end, unless they say otherwise; "
        f"what is of the whole span stands under “{HEADING}”."
    )


def along_drawings(along: SpanStudy) -> dict:
    """Planform and sections, laid out as the drawings of a note: {name: LaidOut}."""
    return {
        "planform": laid_out(describe_blade(along.sections), planform_figure, along.sections, FULL, 75.0),
        "sections": laid_out(SECTIONS, section_stack_figure, along.sections, None, FULL),
    }


def inside_drawings(design: Design) -> dict:
    """Planform of a part that is the same all along but for its ribs and solid zones, as of `along_drawings`."""
    sections = blade_sections(Blade(design))
    return {"planform": laid_out(describe_blade(sections), planform_figure, sections, FULL, 75.0)}


def inside_blocks(design: Design) -> tuple:
    """What stands with that picture."""
    words = describe_blade(blade_sections(Blade(design)))
    return Heading("Ribs and solid zones along the span"), Paragraph(words), Picture("planform", words)


def along_blocks(along: SpanStudy):
    """The whole part of the note."""
    yield Heading(HEADING)
    yield Paragraph(f"{describe_blade(along.sections)} Dimensions below change along it, all others do not.")
    yield Picture("planform", describe_blade(along.sections))
    yield Rows("What changes along the span", _COURSE, tuple(_course_rows(along.blade)))
    yield Picture("sections", f"{SECTIONS}.")
    yield Rows("Least reserve of each check along the span", _LEAST, tuple(_least_rows(along)))
    yield Paragraph(
        f"Least over {len(along.position)} places, each judged as a part that has the section there all along its "
        "span; limits, basis and source as with the checks of the root end. Every check at every place is in "
        "span-checks.csv, the part in part.json, beside this note.",
        quiet=True,
    )
    yield Rows("Governing check at each place", _AT, tuple(_place_rows(along)))
    yield stations_table(along.blade)
    yield Bullets(tuple(("", f"{capital(words)}.") for words in _fit_words(along.blade)))


def _changing(blade):
    """Dimensions that are not the same all along the span."""
    for name in ALONG_FIELDS:
        given = getattr(blade, name)
        values = given.values if isinstance(given, Table) else given if isinstance(given, tuple) else ()
        if len(set(values)) > 1:
            yield name


def _course_rows(blade):
    for name in _changing(blade):
        given, unit = getattr(blade, name), LIMITS[name].unit
        values = given.values if isinstance(given, Table) else given
        course = "straight from end to end"
        if isinstance(given, Table):
            places = zip(given.positions, given.values, strict=True)
            told = "; ".join(f"{show_input(p, 'mm')}: {show_input(v, unit)}" for p, v in places)
            course = f"{BETWEEN[given.stepped]} between the places, from the root end: {told}"
        yield capital(LIMITS[name].label), *(show_input(values[end], unit) for end in (0, -1)), course


def _least_rows(along):
    governing = along.governing
    for check in along.checks:
        name = f"{check.name} (governs)" if governing is not None and check.key == governing.key else check.name
        place = capital(along.place_words(check.position))
        yield name, check.value_text(), limit_words(check), check.reserve_text(), Verdict(check.verdict), place


def _place_rows(along):
    steps = [p for p, later in zip(along.position, along.position[1:], strict=False) if p == later]
    seen = set()
    for place, study in zip(along.position, along.studies, strict=True):
        side = "" if place not in steps else ", after the step" if place in seen else ", before the step"
        seen.add(place)
        check = study.governing
        name = "no basis to judge" if check is None else check.name
        reserve = "–" if check is None else check.reserve_text()
        yield f"{capital(along.place_words(place))}{side}", reserve, Verdict(study.verdict), name


def _fit_words(blade):
    """Whether flat sheets take the course, in sentences without a full stop."""
    try:
        return sheet_fit(blade).words
    except ValueError as error:
        return (f"whether flat sheets take this course was not judged: {error}",)
