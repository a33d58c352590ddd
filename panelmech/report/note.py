"""The design note: one call writes a folder with everything to hand over.

note.html   the note as one page, nothing else needed to read or print it
note.pdf    the same on A4 sheets
plots/      its drawings as SVG, PDF and PNG
results.csv every computed quantity, SI and as shown
checks.csv  every check with value, limit, ratio, verdict, basis and source
comparison.csv  bent pair over flat wedge in every measure under every fair condition, and what would draw level
study.json  the study file, with the results stored, so that `python -m panelmech check` can recompute them
readings.csv  where a measured pair is given: its readings; the note then holds their inspection record
loads.json, part.json, load-checks.csv, load-diagrams.csv  where loads are given: what was stated, the part along its
            span, and what came of it; the note then holds them, too

The same study gives the same files byte for byte: there is no clock and no chance in them. No mechanics here.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path

from ..measured.pair import PairReport
from ..study.design import FORMAT, SCHEMA, Design, to_entry
from ..study.quantities import QUANTITIES
from ..study.regression import results_of
from ..study.study import Study, evaluate
from ..units import from_si
from . import drawings as note_pictures
from . import fair_rows as note_fair
from . import html_page as note_page
from . import load_records as note_loads
from . import pdf_page as note_pdf
from . import records as note_record
from .folder import csv_number, csv_text, write_folder
from .load_records import LoadRecord
from .note_text import SOFTWARE, compose, title_of
from .pdf_sheet import foot_line

FILES = ("note.html", "note.pdf", "results.csv", "checks.csv", "comparison.csv", "study.json")


@dataclass(frozen=True)
class NoteFiles:
    """Where the files of a note stand: paths. `plots` are all drawings, each in three formats."""

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

    def names(self) -> tuple:
        """File names within the folder, without the single plots."""
        return (
            *(p.name for p in (self.html, self.pdf, self.results, self.checks, self.comparison, self.study)),
            f"{self.plots[0].parent.name}/",
            *([self.readings.name] if self.readings else []),
            *(path.name for path in self.loads),
        )


def write_note(
    design_or_study: Design | Study, folder, pair: PairReport | None = None, loads: LoadRecord | None = None
) -> NoteFiles:
    """Write the design note of a design or study into a folder, which is made if it is not there; with a measured
    `pair`, judged for the same design, the note holds its inspection record; with `loads`, worked out for the same
    design, it holds them, too.

    Everything is made in a temporary folder first and then put in place file by file, each in one step, so no
    half-written file is ever left. Files of an earlier note are replaced, other files in the folder are left alone.

    Raises InfeasibleBend, before anything is written, where the design cannot be bent; FileExistsError where the
    folder holds a file of the same name that is not part of a note; OSError where it cannot be written.
    """
    study = design_or_study if isinstance(design_or_study, Study) else evaluate(design_or_study)
    folder, contents = Path(folder), note_contents(study, pair, loads)
    write_folder(folder, contents, "note.html", note_page.GENERATOR, "design note")
    return NoteFiles(
        folder,
        *(folder / name for name in FILES),
        tuple(folder / name for name in contents if name.startswith("plots/")),
        folder / note_record.FILE if pair else None,
        tuple(folder / name for name in note_loads.FILES) if loads else (),
    )


def note_contents(study: Study, pair: PairReport | None = None, loads: LoadRecord | None = None) -> dict:
    """Every file of the note as {name within the folder: bytes}; `pair` and `loads` as for `write_note`."""
    title, blocks = title_of(study), compose(study)
    foot = _foot(study, title)
    drawings = note_pictures.lay_out(study)
    if pair is not None:
        note_record.check_pair(pair, study.design)
        blocks, drawings = note_record.added(blocks, pair), drawings | note_record.drawings(pair)
    if loads is not None:
        note_loads.check_loads(loads, study.design)
        blocks, drawings = note_loads.added(blocks, loads), drawings | note_loads.drawings(loads)
    files = note_pictures.files(drawings)
    svgs = {name: inline_svg(files[f"plots/{name}.svg"].decode(), name) for name in drawings}
    return {
        "note.html": note_page.page(title, foot, blocks, svgs).encode(),
        "note.pdf": note_pdf.pdf(title, foot, SOFTWARE, blocks, note_pictures.on_paper(drawings)),
        "results.csv": results_csv(study).encode(),
        "checks.csv": checks_csv(study).encode(),
        "comparison.csv": comparison_csv(study).encode(),
        "study.json": study_json(study).encode(),
        **(note_record.files(pair) if pair else {}),
        **(note_loads.files(loads) if loads else {}),
        **files,
    }


def first_sheet(study: Study):
    """The first sheet of the PDF as a matplotlib figure, to look at."""
    title = title_of(study)
    pictures = note_pictures.on_paper(note_pictures.lay_out(study))
    return note_pdf.lay_out(title, _foot(study, title), compose(study), pictures).figures[0]


def _foot(study, title):
    return foot_line(study.design.ident, title, f"{SOFTWARE}  ·  inputs {study.design.input_hash()}")


def study_json(study: Study) -> str:
    """The study file of this design with its results stored."""
    content = {"format": FORMAT, "schema": SCHEMA, "design": to_entry(study.design), "results": results_of(study)}
    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def results_csv(study: Study) -> str:
    """Every quantity: name, label, value in SI (12 digits), value as shown and its unit; empty where not known."""
    rows = [("name", "label", "value_si", "shown", "unit")]
    for name, value in study.quantities.items():
        quantity = QUANTITIES[name]
        shown = from_si(value, quantity.unit)
        rows.append((name, quantity.label, csv_number(value, 12), csv_number(shown, quantity.digits), quantity.unit))
    return csv_text(rows)


def checks_csv(study: Study) -> str:
    """Every check: values in SI, texts as in the note; empty where there is no limit."""
    rows = [
        (
            "key",
            "name",
            "kind",
            "value_si",
            "limit_si",
            "reserve",
            "verdict",
            "unit_shown",
            "shown",
            "governs",
            "basis",
            "source",
            "advice",
        )
    ]
    for c in study.checks:
        rows.append(
            (
                c.key,
                c.name,
                c.kind,
                csv_number(c.value, 12),
                csv_number(c.limit, 12),
                csv_number(c.reserve, 12),
                c.verdict,
                c.unit,
                csv_number(from_si(c.value, c.unit), 3),
                "yes" if c.key == study.governing.key else "",
                c.basis,
                c.source,
                c.advice,
            )
        )
    return csv_text(rows)


def comparison_csv(study: Study) -> str:
    """Bent pair over flat wedge: every measure under every condition, 12 digits; empty where there is none."""
    head, *rows = note_fair.comparison_rows(study)
    return csv_text([head, *((*row[:3], *(csv_number(value, 12) for value in row[3:])) for row in rows)])


def inline_svg(svg: str, prefix: str) -> str:
    """An SVG file as a piece of an HTML page: no declaration, no metadata, and only the ids that are used, prefixed."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<title>.*?</title>", "", svg, count=1, flags=re.DOTALL)
    svg = re.sub(r'\sxmlns(:\w+)?="[^"]*"', "", svg).replace("xlink:href", "href")
    used = set(re.findall(r'href="#([^"]*)"', svg)) | set(re.findall(r"url\(#([^)]*)\)", svg))
    svg = re.sub(r'\sid="([^"]*)"', lambda found: f' id="{prefix}-{found[1]}"' if found[1] in used else "", svg)
    svg = re.sub(r'href="#', f'href="#{prefix}-', svg)
    return re.sub(r"url\(#", f"url(#{prefix}-", svg).strip()


__all__ = [
    "NoteFiles",
    "checks_csv",
    "comparison_csv",
    "inline_svg",
    "note_contents",
    "results_csv",
    "study_json",
    "write_note",
]
