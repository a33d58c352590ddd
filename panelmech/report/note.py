"""The papers on one design: the design note, and the load record of a part, each a folder with everything to hand over.

The note:
note.html   the note as one page, nothing else needed to read or print it
note.pdf    the same on A4 pages
plots/      its drawings as SVG, PDF and PNG
results.csv every computed quantity, SI and as shown
checks.csv  every check with value, limit, ratio, verdict, basis and source
comparison.csv  bent pair over flat wedge in every measure under every fair condition, and what would draw level
study.json  the study file, with the results stored, so that `python -m panelmech check` can recompute them
readings.csv  where a measured pair is given: its readings; the note then holds their inspection record
span-checks.csv, part.json  of a part that changes along its span: every check at places along it, and the part
loads.json, part.json, load-checks.csv, load-diagrams.csv  where loads are given: what was stated, the part along its
            span, and what came of it; the note then holds them, too

The load record, a part under its loads as a page of its own: loads.html, loads.pdf, plots/ and the same four files.

The same inputs give the same files byte for byte: there is no clock and no chance in them. No mechanics here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from operator import itemgetter
from pathlib import Path

from ..blade.along_checks import SpanStudy, along_span
from ..blade.blade import Blade, blade_json
from ..draw.figures import in_style
from ..files import file_text
from ..job.verdict import Verdict
from ..loads.in_place import with_loads
from ..measured.as_measured import measured_range
from ..measured.pair import PairReport
from ..measured.readings import readings_csv
from ..study.bent_and_flat import sheet_curves
from ..study.design import FORMAT, SCHEMA, Design, to_entry
from ..study.mend import with_mends
from ..study.quantities import QUANTITIES
from ..study.regression import results_of
from ..study.study import Study, evaluate
from ..study.verdicts import BEYOND
from ..units import from_si
from .along_text import along_drawings, inside_blocks, inside_drawings
from .beside import Beside
from .blocks import Heading, Origin, Signatures
from .check_rows import check_fields
from .drawings import begin, drawing_files, on_paper, study_drawings
from .folder import Field, csv_number, csv_rows, csv_text, write_folder
from .html_page import GENERATOR, page
from .job_words import judged_job, with_job
from .note_text import SOFTWARE, compose, material_table, title_block, title_of, with_totals
from .pages import foot_line
from .pdf_page import lay_out, pdf
from .pressing_rows import pressed_by, pressing_drawing
from .records import (
    LOAD_FILES,
    POSITION_FIELD,
    READINGS_FILE,
    LoadRecord,
    check_loads,
    check_pair,
    inspection_blocks,
    inspection_drawings,
    load_blocks,
    load_drawings,
    load_files,
    measured_blocks,
)
from .wedge_rows import COMPARISON_FIELDS, comparison_rows

FILES = ("note.html", "note.pdf", "results.csv", "checks.csv", "comparison.csv", "study.json")
INSPECTION_FILES = ("inspection.html", "inspection.pdf", READINGS_FILE)
LISTS = {"note": "note-files.csv", "loads": "loads-files.csv"}  # of the files of a folder
RECORD_FILES = ("loads.html", "loads.pdf", *LOAD_FILES)
PART_FILE, SPAN_FILE = LOAD_FILES[1], "span-checks.csv"
ROOT_ONLY = "Judged with the section that the part has at its root end, as if that ran on to the tip."
LAST = 2  # blocks of a note that stay at its end: the heading of the signatures, and these


@dataclass(frozen=True)
class NoteFiles:
    """Where the files of a note stand.

    folder : of them all
    html, pdf, results, checks, comparison, study : paths of the files that every note has
    plots : paths of all drawings, each in three formats
    readings : path of the readings, None without a measured pair
    loads : paths of what tells of the loads, empty without
    span : paths of what tells of the part along its span, empty where it is the same all along
    """

    folder: Path
    html: Path
    pdf: Path
    results: Path
    checks: Path
    comparison: Path
    study: Path
    plots: tuple
    readings: Path | None = None
    loads: tuple = ()
    span: tuple = ()

    def names(self) -> tuple:
        """File names within the folder, without the single plots."""
        return (
            *(p.name for p in (self.html, self.pdf, self.results, self.checks, self.comparison, self.study)),
            f"{self.plots[0].parent.name}/",
            *([self.readings.name] if self.readings else []),
            *(path.name for path in self.loads),
            *(path.name for path in self.span if path not in self.loads),
        )


@dataclass(frozen=True)
class RecordFiles:
    """Where the files of a load record stand.

    folder : of them all
    paths : page and PDF, then what stands beside them
    plots : paths of all drawings, each in three formats
    """

    folder: Path
    paths: tuple
    plots: tuple


def write_note(
    design_or_study: Design | Study,
    folder,
    pair: PairReport | None = None,
    loads: LoadRecord | None = None,
    blade: Blade | None = None,
    verdict: Verdict | None = None,
) -> NoteFiles:
    """Write the design note of a design or study into a folder, which is made if it is not there; with a measured
    `pair`, judged for the same design, the note holds its inspection record; with `loads`, worked out for the same
    design, it holds them, too; with a `blade` that changes along its span and has this design at its root end, it
    tells of the whole part. Its first page tells the `verdict` on the job that all of this belongs to, or else on the
    job of what is given here.

    All or nothing, as `folder.write_folder`: what of an earlier note is no part of this one is removed where the
    folder's list names it and it is as it was written; other files in the folder are left alone.

    Raises InfeasibleBend, before anything is written, where the design cannot be bent; FileExistsError where the
    folder holds a file of the same name that is not part of a note; OSError where it cannot be written.
    """
    study = design_or_study if isinstance(design_or_study, Study) else evaluate(design_or_study)
    along = None if blade is None else along_span(blade)
    folder = Path(folder)
    with Beside() as beside:
        drawn = _begun(beside, study, pair, loads, along)
        contents = note_contents(study, pair, loads, along, drawn=drawn, verdict=verdict)
    write_folder(folder, contents, "note.html", GENERATOR, "design note", LISTS["note"])
    return NoteFiles(
        folder,
        *(folder / name for name in FILES),
        _plots(folder, contents),
        folder / READINGS_FILE if pair else None,
        tuple(folder / name for name in LOAD_FILES if loads),
        tuple(folder / name for name in (SPAN_FILE, PART_FILE) if along),
    )


def _begun(beside, study, pair, loads, along):
    """The drawings of a note, as `note_contents` takes them, begun beside this process."""
    drawn = {} if loads is None else {"loads": load_drawings(loads, not along)}
    drawn |= {} if pair is None else {"inspection": inspection_drawings(pair)}
    drawn |= {} if along is None else {"along": along_drawings(along)}
    drawn |= {"design": study_drawings(study)}
    return {kind: begin(drawings, beside) for kind, drawings in drawn.items()}


def write_load_record(record: LoadRecord, folder, verdict: Verdict | None = None) -> RecordFiles:
    """Write the load record into a folder, which is made if it is not there; all or nothing, and `verdict`, as
    `write_note`."""
    folder, contents = Path(folder), record_contents(record, verdict=verdict)
    write_folder(folder, contents, "loads.html", "panelmech load record", "load record", LISTS["loads"])
    return RecordFiles(folder, tuple(folder / name for name in RECORD_FILES), _plots(folder, contents))


def _plots(folder, contents):
    return tuple(folder / name for name in contents if name.startswith("plots/"))


@in_style
def note_contents(
    study: Study,
    pair: PairReport | None = None,
    loads: LoadRecord | None = None,
    along: SpanStudy | None = None,
    origin: Origin | None = None,
    drawn: dict | None = None,
    verdict: Verdict | None = None,
) -> dict:
    """Every file of the note as {name within the folder: bytes}; `pair`, `loads` and `verdict` as for `write_note`,
    `along` of a part that changes along its span. Every page names the `origin`, the job it is of. `drawn`: what
    was drawn of the same study and part, or of pair and loads for their own papers, {"design": …, "along": …,
    "inspection": …, "loads": …}."""
    drawn = drawn or {}
    part = (along or loads).blade if along or loads else study.design
    verdict = judged_job(verdict, part, pair, loads)
    counted, along = _beside_loads(study, along, loads)
    counted = with_mends(counted)
    sheets = None if pair is None else measured_range(pair)
    pressure, what = pressed_by(loads)
    curves = sheet_curves(study.design, pressure)
    blocks, beside = compose(counted, origin, along, sheets, (curves, what)), {}
    drawings = (drawn.get("design") or study_drawings(study)) | pressing_drawing(curves, study.design)
    if along is not None:
        drawings |= drawn.get("along") or along_drawings(along)
        beside |= {SPAN_FILE: span_checks_csv(along).encode(), PART_FILE: blade_json(along.blade).encode()}
    if study.design.inside and along is None and loads is None:
        blocks = before_signatures(blocks, inside_blocks(study.design))
        drawings |= inside_drawings(study.design)
    if pair is not None:
        check_pair(pair, study.design)
        own = inspection_blocks(pair, ROOT_ONLY if along else "")
        blocks = before_signatures(blocks, (*own, *measured_blocks(verdict.of("measured"))))
        drawings |= drawn.get("inspection") or inspection_drawings(pair)
        beside |= {READINGS_FILE: readings_csv(pair.given).encode()}
    if loads is not None:
        check_loads(loads, study.design)
        blocks = before_signatures(blocks, load_blocks(loads, not along))
        shown = drawn.get("loads") or load_drawings(loads, not along)
        drawings |= {name: item for name, item in shown.items() if name == "loads" or not along}
        beside |= load_files(loads)
    kinds = ("design", *(["pair", "measured"] if pair else []), *(["loads"] if loads else []))
    blocks = with_job(blocks, verdict, kinds)
    pages, plots = _pages(study.design, study.design.input_hash(), blocks, drawings, origin=origin)
    tables = (results_csv(with_totals(study, along)), checks_csv(counted), comparison_csv(study), study_json(study))
    return {**dict(zip(FILES, (*pages, *(text.encode() for text in tables)), strict=True)), **beside, **plots}


def _beside_loads(study, along, loads):
    """Study and course along the span with their checks as they count beside those of the loads."""
    if loads is None:
        return study, along
    return with_loads(study, loads.study), along and with_loads(along, loads.study)


def before_signatures(blocks: tuple, more: tuple) -> tuple:
    """The blocks of a note with `more` before its signatures."""
    return (*blocks[:-LAST], *more, *blocks[-LAST:])


@in_style
def record_contents(
    record: LoadRecord, origin: Origin | None = None, drawn: dict | None = None, verdict: Verdict | None = None
) -> dict:
    """Every file of the load record as {name within the folder: bytes}; every page names the `origin`. `drawn`: its
    drawings, where they were drawn before; `verdict` as for `write_note`."""
    design, stamp = record.blade.design, f"{record.blade.input_hash()} {record.sheet.input_hash()}"
    title = title_block(design, "Load record", stamp, owner=("Loads", record.sheet.title), origin=origin)
    signed = Signatures((("Made by", design.made_by), ("Checked by", ""), ("Approved by", "")))
    stuff = (Heading("Materials"), material_table(design))
    blocks = (title, *load_blocks(record), *stuff, Heading("Signatures"), signed)
    blocks = with_job(blocks, judged_job(verdict, record.blade, None, record), ("loads",))
    kind = {"document": "load record", "generator": "panelmech load record", "origin": origin}
    pages, plots = _pages(design, stamp, blocks, drawn or load_drawings(record), **kind)
    return {**dict(zip(RECORD_FILES[:2], pages, strict=True)), **load_files(record), **plots}


@in_style
def inspection_contents(
    report: PairReport,
    origin: Origin | None = None,
    place: str = "",
    drawn: dict | None = None,
    verdict: Verdict | None = None,
) -> dict:
    """Every file of the inspection record as a paper of its own, {name within the folder: bytes}; every page names the
    `origin`. `place`: a sentence on what of the part it is judged for. `drawn`: its drawings, where they were
    drawn before; `verdict` as for `write_note`."""
    design, stamp = report.design, report.design.input_hash()
    blocks = (
        title_block(design, "Inspection record", stamp, origin=origin),
        *inspection_blocks(report, place, "record"),
    )
    blocks = with_job(blocks, judged_job(verdict, design, report), ("pair",))
    kind = {"document": "inspection record", "generator": "panelmech inspection record", "origin": origin}
    pages, plots = _pages(design, stamp, blocks, drawn or inspection_drawings(report), **kind)
    return {**dict(zip(INSPECTION_FILES, (*pages, readings_csv(report.given).encode()), strict=True)), **plots}


def _pages(design, stamp, blocks, drawings, document="design note", generator=GENERATOR, origin=None):
    """(HTML page, PDF) of a paper and {name: bytes} of its drawings."""
    title, foot, plots = title_of(design), foot_of(design, f"inputs {stamp}", origin), drawing_files(drawings, origin)
    svgs = {name: inline_svg(plots[f"plots/{name}.svg"].decode(), name) for name in drawings}
    html = page(title, foot, blocks, svgs, document, generator).encode()
    paper = origin.paper if origin else "A4"
    return (html, pdf(title, foot, SOFTWARE, blocks, on_paper(drawings), document, paper)), plots


def foot_of(design: Design, stamp: str, origin: Origin | None = None) -> str:
    """What stands at the foot of every page of a paper on this design."""
    job = f"  ·  {origin.words}" if origin else ""
    return foot_line(design.ident, title_of(design), f"{SOFTWARE}  ·  {stamp}{job}")


def first_page(study: Study, along: SpanStudy | None = None, verdict: Verdict | None = None):
    """The first page of the note's PDF as a matplotlib figure, to look at; `along` and `verdict` as for
    `note_contents`."""
    foot = foot_of(study.design, f"inputs {study.design.input_hash()}")
    drawings = study_drawings(study) | (along_drawings(along) if along else {})
    judged = judged_job(verdict, along.blade if along else study.design)
    blocks = with_job(compose(study, None, along), judged, ("design",))
    return lay_out(title_of(study.design), foot, blocks, on_paper(drawings)).figures[0]


def study_json(study: Study) -> str:
    """The study file of this design with its results stored."""
    return file_text(FORMAT, SCHEMA, {"design": to_entry(study.design), "results": results_of(study)})


_RESULT_FIELDS = (  # of (name, value, quantity, its text)
    Field("name", itemgetter(0)),
    Field("label", lambda r: r[2].label),
    Field("value_si", itemgetter(1), "", 12),
    Field("shown", lambda r: r[3] if r[3] == BEYOND else csv_number(from_si(r[1], r[2].unit), r[2].digits)),
    Field("unit", lambda r: r[2].unit),
)


def results_csv(study: Study) -> str:
    """Every quantity: name, label, value in SI (12 digits), value as shown and its unit; empty where not known."""
    results = ((name, value, QUANTITIES[name], study.text(name)) for name, value in study.quantities.items())
    return csv_text(csv_rows(_RESULT_FIELDS, results))


def checks_csv(study: Study) -> str:
    """Every check: values in SI, texts as in the note; empty where there is no limit."""
    return csv_text(csv_rows(check_fields(study.governing), study.checks))


def span_checks_csv(along: SpanStudy) -> str:
    """Every check at every place along the span: values in SI, texts as in the note."""
    placed = zip(along.position, along.studies, strict=True)
    rows = [replace(check, position=place) for place, study in placed for check in study.limits]
    return csv_text(csv_rows(check_fields(None, POSITION_FIELD), rows))


def comparison_csv(study: Study) -> str:
    """Bent pair over flat wedge: every measure under every condition, 12 digits; empty where there is none."""
    return csv_text(csv_rows(COMPARISON_FIELDS, comparison_rows(study)))


def inline_svg(svg: str, prefix: str) -> str:
    """An SVG file as a piece of an HTML page: no declaration, no metadata, and only the ids that are used, prefixed."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<title>.*?</title>", "", svg, count=1, flags=re.DOTALL)
    svg = re.sub(r'\sxmlns(:\w+)?="[^"]*"', "", svg).replace("xlink:href", "href")
    used = set(re.findall(r'href="#([^"]*)"', svg)) | set(re.findall(r"url\(#([^)]*)\)", svg))
    svg = re.sub(r'\sid="([^"]*)"', lambda name: f' id="{prefix}-{name[1]}"' if name[1] in used else "", svg)
    svg = re.sub(r'href="#', f'href="#{prefix}-', svg)
    return re.sub(r"url\(#", f"url(#{prefix}-", svg).strip()
