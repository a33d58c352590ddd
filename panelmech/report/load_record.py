"""The load record: a part under its loads as a page of its own, in the note's style, with its tables beside it.

loads.html, loads.pdf    the record as one page, and on A4 sheets
plots/                   its drawings as SVG, PDF and PNG
load-checks.csv          every check with value, limit, reserve, verdict, case, place, basis and source
load-diagrams.csv        shear, moment, torque, deflection and twist of every case along the span
loads.json, part.json    what was stated, and the part along its span, to work it out again

The same inputs give the same files byte for byte. No mechanics here.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from . import drawings as note_pictures
from . import html_page as note_page
from . import load_records as note_loads
from . import pdf_page as note_pdf
from .blocks import Heading, Signatures, TitleBlock
from .folder import write_folder
from .load_records import LoadRecord
from .note import inline_svg
from .note_text import SOFTWARE
from .pdf_sheet import foot_line

PAGE, PDF, KIND, GENERATOR = "loads.html", "loads.pdf", "load record", "panelmech load record"


@dataclass(frozen=True)
class RecordFiles:
    """Where the files of a load record stand: `paths`, page and PDF first; `plots`."""

    folder: Path
    paths: tuple
    plots: tuple


def write_load_record(record: LoadRecord, folder) -> RecordFiles:
    """Write the load record into a folder, which is made if it is not there; all or nothing, as `write_note`."""
    folder, contents = Path(folder), record_contents(record)
    write_folder(folder, contents, PAGE, GENERATOR, KIND)
    plots = tuple(folder / name for name in contents if name.startswith("plots/"))
    return RecordFiles(folder, tuple(folder / name for name in (PAGE, PDF, *note_loads.FILES)), plots)


def record_contents(record: LoadRecord) -> dict:
    """Every file of the record as {name within the folder: bytes}."""
    title, blocks = title_of(record), record_blocks(record)
    foot = foot_line(record.blade.design.ident, title, f"{SOFTWARE}  ·  inputs {_hash(record)}")
    drawings = note_loads.drawings(record)
    files = note_pictures.files(drawings)
    svgs = {name: inline_svg(files[f"plots/{name}.svg"].decode(), name) for name in drawings}
    return {
        PAGE: note_page.page(title, foot, blocks, svgs, KIND, GENERATOR).encode(),
        PDF: note_pdf.pdf(title, foot, SOFTWARE, blocks, note_pictures.on_paper(drawings), KIND),
        **note_loads.files(record),
        **files,
    }


def title_of(record: LoadRecord) -> str:
    """Title of the part, never empty."""
    return record.blade.design.title.strip() or "Bent panel"


def record_blocks(record: LoadRecord) -> tuple:
    """The whole record as blocks."""
    design = record.blade.design
    title = TitleBlock(
        (
            (
                ("Title", title_of(record), 0.47),
                ("Document type", "Load record", 0.13),
                ("Identification number", design.ident, 0.2),
                ("Software, input hash", f"{SOFTWARE}\n{_hash(record)}", 0.2),
            ),
            (
                ("Loads", record.sheet.title, 0.2),
                ("Made by", design.made_by, 0.19),
                ("Approved by", "", 0.2),
                ("Date of issue", design.issued, 0.15),
                ("Revision", "", 0.09),
                ("Language", "en", 0.09),
                ("Sheet", "", 0.08),
            ),
        )
    )
    signed = Signatures((("Made by", design.made_by), ("Checked by", ""), ("Approved by", "")))
    return (title, *note_loads.load_blocks(record), Heading("Signatures"), signed)


def _hash(record):
    """Of the part and of the loads."""
    return f"{record.blade.input_hash()} {record.sheet.input_hash()}"
