"""The shop pack as a folder of files to print and cut from.

cut-list, batch-sheet, schedule   each as .html, .pdf and .csv: one page each
volumes.csv                       everything poured, and the trade's triangle rule beside the truth
templates/                        every template at true scale: one PDF, and SVG, DXF and offset table (CSV) of each
plots/                            heat of the pours, depth of a lift, schedule, blanks on the stock: SVG, PDF, PNG
study.json, shop.json             design and choices the pack was made from; of a tapered part blade.json
pack-files.csv                    the list of all these files, by which a later pack knows what is its own

The same design and choices give the same files byte for byte: there is no clock and no chance in them.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from ..blade.blade import blade_json
from ..draw import shop_figures as plot_shop
from ..draw.figures import figure_bytes
from ..draw.template_pages import write_templates
from ..shop.choices import choices_json
from ..shop.pack import ShopPack
from ..study.design import study_text
from . import html_page as note_page
from . import pdf_page as note_pdf
from .drawings import FORMATS
from .folder import NAME, csv_text, list_of, listed, remove_old, strangers, write_folder
from .note import inline_svg
from .note_text import SOFTWARE
from .pdf_sheet import foot_line
from .shop_rows import batch_csv_rows, cut_csv_rows, schedule_csv_rows, volume_csv_rows
from .shop_text import SHEETS, compose_sheet

GENERATOR = "panelmech shop pack"
PART_FILES = ("study.json", "blade.json")
MARKED = "batch-sheet.html"
SCALE = 1.16  # of the sheets: read at arm's length, written on
CSV = {
    "cut-list": cut_csv_rows,
    "batch-sheet": batch_csv_rows,
    "schedule": schedule_csv_rows,
    "volumes": volume_csv_rows,
}


@dataclass(frozen=True)
class ShopFiles:
    """Where the files of a pack stand: `folder`, and paths of the sheets' PDF by name, and of all files; names of files
    of an older pack that were `removed`, and of others, not of this pack, that were `left`."""

    folder: Path
    sheets: dict
    all: tuple
    removed: tuple = ()
    left: tuple = ()

    def names(self) -> tuple:
        """File names within the folder, subfolders as one."""
        inside = (path.relative_to(self.folder) for path in self.all)
        return tuple(dict.fromkeys(f"{p.parts[0]}/" if len(p.parts) > 1 else p.name for p in inside))


def write_shop(pack: ShopPack, folder) -> ShopFiles:
    """Write the whole pack into a folder, which is made if it is not there.

    Files of an earlier pack are replaced. Those that no longer belong to it are removed where its list names them and
    they are as they were written; other files in the folder are left alone. FileExistsError where the folder
    holds a file of the same name that is not part of a pack; OSError where it cannot be written.
    """
    folder, contents = Path(folder), shop_contents(pack)
    old = listed(folder)
    write_folder(folder, contents, MARKED, GENERATOR, "shop pack")
    removed = remove_old(folder, old, contents)
    return ShopFiles(
        folder,
        {name: folder / f"{name}.pdf" for name in SHEETS},
        tuple(folder / n for n in contents),
        removed,
        strangers(folder, contents, ("templates", "plots"), PART_FILES),
    )


def shop_contents(pack: ShopPack) -> dict:
    """Every file of the pack as {name within the folder: bytes}."""
    files = {}
    for name in SHEETS:
        files |= _sheet_files(pack, name)
    files |= {f"{name}.csv": csv_text(rows(pack)).encode() for name, rows in CSV.items()}
    for name, (figure, alt) in plot_shop.pack_figures(pack).items():
        files |= {f"plots/{name}.{kind}": figure_bytes(figure, kind, alt) for kind in FORMATS}
    files |= {**_template_files(pack), **_part_file(pack), "shop.json": choices_json(pack.choices).encode()}
    return {**files, NAME: list_of(files)}


def _part_file(pack):
    if pack.blade is None:
        return {"study.json": study_text(pack.design).encode()}
    return {"blade.json": blade_json(pack.blade).encode()}


def sheet_pages(pack: ShopPack, name: str):
    """The sheets of paper of one sheet by its name, as matplotlib figures."""
    return _laid_out(pack, name, compose_sheet(pack, name)).figures


def _sheet_files(pack, name):
    blocks, title = compose_sheet(pack, name), title_of(pack)
    svgs = {key: inline_svg(figure_bytes(fig, "svg").decode(), key) for key, fig in _pictures(pack, name).items()}
    page = note_page.page(title, _foot(pack), blocks, svgs, SHEETS[name], GENERATOR, large=True)
    pdf = _laid_out(pack, name, blocks).pdf(f"{title}: {SHEETS[name]}", SOFTWARE)
    return {f"{name}.html": page.encode(), f"{name}.pdf": pdf}


def _laid_out(pack, name, blocks):
    placed = {key: _on_paper(fig) for key, fig in _pictures(pack, name).items()}
    return note_pdf.lay_out(title_of(pack), _foot(pack), blocks, placed, SHEETS[name], SCALE)


def _pictures(pack, name):
    return {"stock": plot_shop.stock_figure(pack)} if name == "cut-list" else {}


def _on_paper(fig):
    """(height, function that places the figure), sizes before the scale of the sheets."""
    width, height = (25.4 * size / SCALE for size in fig.get_size_inches())
    return height, lambda sheets, x, y: sheets.inset(fig, x, y, width, height)


def title_of(pack: ShopPack) -> str:
    """Title of the part, never empty."""
    return pack.design.title.strip() or "Bent panel"


def _foot(pack):
    return foot_line(pack.design.ident, title_of(pack), f"{SOFTWARE}  ·  {pack.stamp}")


def _template_files(pack):
    with tempfile.TemporaryDirectory() as place:
        paths = write_templates(pack.templates, place, pack.choices.page)
        names = ["templates.pdf", *(path.name for path in paths[1:])]  # whatever the paper, one name
        return {f"templates/{name}": path.read_bytes() for name, path in zip(names, paths, strict=True)}
