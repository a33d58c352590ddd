"""The loads in a design note: what was stated, what came of it along the span, and what governs.

Blocks, drawings and files to add to a note; without loads a note is what it was. No mechanics: numbers come from the
load study, words from `report.load_rows`. Every check and every diagram stands, with more digits, in the CSV files.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from ..blade.blade import Blade, blade_json
from ..blade.rod import rod_share
from ..draw.blade_figures import describe_blade, planform_figure
from ..draw.load_figures import describe_loads, loads_figure
from ..loads.allowable import allowed
from ..loads.cases import Severe
from ..loads.load_file import LoadSheet, fitting_checks, sheet_text
from ..loads.load_study import LoadStudy, evaluate_loads
from ..loads.plan import LOAD_QUANTITIES
from ..study.design import TEXTS
from ..study.verdicts import FAILS, Check
from ..units import capital, show_input
from . import blade_rows, load_rows
from .blocks import Banner, Bullets, Column, Heading, Paragraph, Picture, Table, plain_columns
from .check_rows import check_fields, checks_table
from .drawings import FULL, laid_out
from .folder import Field, csv_number, csv_rows, csv_text

LOAD_FILES = ("loads.json", "part.json", "load-checks.csv", "load-diagrams.csv")
DIAGRAMS = ("shear", "moment", "torque", "local_torque", "slope", "deflection", "twist")
ALLOWED = ("moment", "shear")
NOISE = 1e-12  # of the largest value of a diagram


@dataclass(frozen=True, eq=False)
class LoadRecord:
    """A part under its loads.

    blade : the part along its span
    sheet : the loads as stated
    study : what came of them
    fittings : checks of its fittings
    """

    blade: Blade
    sheet: LoadSheet
    study: LoadStudy
    fittings: tuple[Check, ...]


def record_of(blade: Blade, sheet: LoadSheet) -> LoadRecord:
    """Work a part and its loads out; raises as `loads.load_study.evaluate_loads`."""
    study = evaluate_loads(blade, sheet.plan)
    return LoadRecord(blade, sheet, study, fitting_checks(study, sheet.fittings))


def check_loads(record: LoadRecord, design) -> None:
    """ValueError where the loads were worked out for another design than the note is of; texts may differ."""
    if _without_texts(record.blade.design) != _without_texts(design):
        raise ValueError(
            f"the loads were worked out for the design {record.blade.design.input_hash()}, the note is "
            f"for {design.input_hash()}: give the part and the note the same design"
        )


def _without_texts(design):
    return design.replace(**dict.fromkeys(TEXTS, ""))


def load_drawings(record: LoadRecord) -> dict:
    """Planform and diagrams, laid out as the drawings of a note: {name: LaidOut}."""
    sections = record.study.along.sections
    return {
        "planform": laid_out(planform_figure(sections, FULL), describe_blade(sections)),
        "loads": laid_out(loads_figure(record.study), describe_loads(record.study)),
    }


def load_files(record: LoadRecord) -> dict:
    """What stands beside the note: {name: bytes}, in the order of `LOAD_FILES`."""
    texts = (sheet_text(record.sheet), blade_json(record.blade), load_checks_csv(record), load_diagrams_csv(record))
    return {name: text.encode() for name, text in zip(LOAD_FILES, texts, strict=True)}


def load_blocks(record: LoadRecord) -> tuple:
    """The whole section as blocks."""
    return (
        Heading("Loads along the span"),
        *_front(record),
        *_cases(record),
        *_checks(record),
        *_diagrams(record),
        *_judged(record),
        *_close(record),
    )


def banner(record: LoadRecord) -> Banner:
    """Verdict under load: the governing check, its case and place."""
    study = record.study
    check = study.governing
    advice = f"{capital(check.advice)}." if check is not None and check.verdict == FAILS and check.advice else ""
    return Banner(study.verdict, study.headline(), advice)


def _front(record):
    yield banner(record)
    sentences = (record.sheet.remark.strip(), load_rows.support_words(record.study))
    yield Paragraph(" ".join(filter(None, sentences)))
    yield Picture("planform", describe_blade(record.study.along.sections))


def _cases(record):
    study = record.study
    columns = plain_columns(load_rows.CASE_HEADS, shares=(0.25, 0.11, 0.11, 0.15, 0.13, 0.13, 0.12))
    yield Table("Load cases", columns, tuple(load_rows.case_rows(study)))
    told = (*load_rows.severe_words(study.plan), *(f"{case.name}: {case.source}" for case in _plain_cases(study)))
    yield Bullets(tuple(("", f"{words}.") for words in told))


def _diagrams(record):
    yield Heading("Diagrams along the span")
    yield Picture("loads", describe_loads(record.study))


def _plain_cases(study):
    pairs = zip(study.cases, study.plan.cases, strict=True)
    return [case for case, stated in pairs if not isinstance(stated, Severe)]


# fmt: off
_CHECK_COLUMNS = (
    Column("Check", 0.18, "name"), Column("Value", 0.085, "number"), Column("Limit", 0.095, "number"),
    Column("Reserve", 0.07, "number"), Column("Verdict", 0.085), Column("Case and place", 0.135, "small"),
    Column("Basis and source", 0.35, "small"),
)
# fmt: on


def _checks(record):
    yield Heading("Checks under load")
    fittings = ("Fittings", *record.fittings) if record.fittings else ()
    checks = (*record.study.checks, *fittings)
    yield checks_table("Checks under load with case and place", _CHECK_COLUMNS, checks, record.study.governing)
    yield Paragraph(
        "Worst over all cases and places. Close: reserve less than "
        f"{show_input(record.blade.design.close_share, '%')} above 1. Unknown is not safe.",
        quiet=True,
    )


def _judged(record):
    columns = (
        Column("Factors and limits as entered", 0.27, "label"),
        Column("", 0.13, "number"),
        Column("Basis and source", 0.6, "small"),
    )
    rows = tuple((capital(a), b, capital(c)) for a, b, c in load_rows.judgement_rows(record.sheet.plan))
    yield Table("Factors and limits as entered", columns, rows)
    heads, stations = blade_rows.station_rows(record.blade)
    share = 1.0 / len(heads)
    yield Table("Stations along the span", tuple(Column(capital(head), share, "number") for head in heads), stations)
    share = blade_rows.rod_share_words(rod_share(record.study.along.sections))
    yield Paragraph(f"{share} {load_rows.rod_stress_words(record.study)}")


def _close(record):
    yield Heading("Assumptions and cautions of the loads")
    notes = (*record.study.notes, "Small deflections, plane sections; all parts of a section bonded into one body.")
    yield Bullets((*(("", note) for note in notes), *load_rows.CAUTIONS))
    yield Paragraph(
        f"Every check and the diagrams of every case are in {LOAD_FILES[2]} and {LOAD_FILES[3]}, the part and its "
        f"loads in {LOAD_FILES[1]} and {LOAD_FILES[0]}, beside this page.",
        quiet=True,
    )


_PLACE_FIELDS = (Field("case", attrgetter("case")), Field("position_m", attrgetter("position"), "", 12))


def load_checks_csv(record: LoadRecord) -> str:
    """Every check: values in SI, texts as in the note; empty where there is no limit."""
    fields = check_fields(record.study.governing, *_PLACE_FIELDS)
    return csv_text(csv_rows(fields, (*record.study.checks, *record.fittings)))


def load_diagrams_csv(record: LoadRecord) -> str:
    """Every diagram of every case, ten digits, in the units of the heads; a place where something jumps stands twice.
    Allowed alone: on the part, not on a stock above its root; empty where nothing is known."""
    d, study = record.study.diagrams, record.study
    heads = ["case", *(_head(name) for name in ("position", *DIAGRAMS)), *(f"allowed {_head(n)}" for n in ALLOWED)]
    limits = [np.full(d.position.shape, np.nan) for _ in ALLOWED]
    for name, row in zip(ALLOWED, limits, strict=True):
        row[study.on_blade] = allowed(study, name).value
    rows = [heads]
    for i, case in enumerate(study.names):
        columns = [d.position, *(getattr(d, name)[i] for name in DIAGRAMS), *limits]
        shown = [
            _without_noise(np.asarray(values) / LOAD_QUANTITIES[name].factor)
            for name, values in zip(("position", *DIAGRAMS, *ALLOWED), columns, strict=True)
        ]
        rows += [[case, *(csv_number(float(v), 10) for v in place)] for place in zip(*shown, strict=True)]
    return csv_text(rows)


def _without_noise(values):
    """What is rounding of a zero reads 0, so that the file is the same on every machine."""
    largest = np.nanmax(np.abs(values)) if np.any(np.isfinite(values)) else 0.0
    return np.where(np.abs(values) <= NOISE * largest, 0.0, values)


def _head(name):
    quantity = LOAD_QUANTITIES[name]
    return f"{name.replace('_', ' ')} [{quantity.unit}]" if quantity.unit else name
