"""The shop pack as a folder of files to print and cut from.

cut-list, batch-sheet, schedule   each as .html, .pdf and .csv: one page each
volumes.csv                       everything poured, and the trade's triangle rule beside the truth
templates/                        every template at true scale, in mm: one PDF; SVG, DXF and offset table (CSV) of each
plots/                            heat of the pours, depth of a lift, schedule, blanks on the stock: SVG, PDF, PNG
study.json, shop.json             design and choices the pack was made from; of a tapered part blade.json
pack-files.csv                    the list of all these files, by which a later pack knows what is its own

The same design and choices give the same files byte for byte: there is no clock and no chance in them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from ..blade.blade import blade_json
from ..draw.figures import add_to_stamp, freeze, in_style, style
from ..draw.recorded import Recording
from ..draw.shop_figures import PACK_FIGURES, stock_figure
from ..draw.template_pages import sheet_count, template_files, templates_pdf
from ..job.verdict import Verdict
from ..shop.along_span import along_span
from ..shop.choices import choices_json
from ..shop.pack import ShopPack, marks, mass_rows, parts, stock_words
from ..shop.paper import of_sheets
from ..study.design import study_text
from ..study.verdicts import HOLDS
from ..units import capital, show
from .beside import Beside
from .blocks import (
    Bullets,
    Column,
    Heading,
    Origin,
    Pair,
    Paragraph,
    Picture,
    Signatures,
    Table,
    plain_columns,
    which_lengths,
)
from .check_rows import checks_table, limit_words
from .drawings import FORMATS
from .folder import NAME, csv_text, list_of, strangers, write_folder
from .html_page import page
from .job_words import judged_job, with_job_in_short
from .note import foot_of, inline_svg
from .note_text import SOFTWARE, title_block, title_of
from .pdf_page import placed as placed_on
from .shop_rows import (
    WEIGH_HEADS,
    batch_csv_rows,
    cautions,
    choice_words,
    cut_csv_rows,
    day_rows,
    lift_words,
    needs_rows,
    planned_rows,
    schedule_csv_rows,
    system_rows,
    triangle_words,
    volume_csv_rows,
    weigh_rows,
)

SHEETS = {"cut-list": "cut list", "batch-sheet": "batch sheet", "schedule": "schedule"}
SHARES = (0.34, 0.15, 0.21, 0.3)  # of the title block's first row
# fmt: off
LOG = (
    ("Lots", 0.1), ("Resin, all pots, g", 0.11), ("Hardener, all pots, g", 0.11), ("Start", 0.08), ("Tacky", 0.08),
    ("Next by", 0.09), ("By", 0.07),
)
# fmt: on
LOG_ROW = 7.2  # mm: to write in, before the sheets' scale
SIGN = 13.0  # mm, likewise
GENERATOR = "panelmech shop pack"
PART_FILES = ("study.json", "blade.json")
MARKED = "batch-sheet.html"
SCALE = 1.05  # of the sheets: read at arm's length, written on
CSV = {
    "cut-list": cut_csv_rows,
    "batch-sheet": batch_csv_rows,
    "schedule": schedule_csv_rows,
    "volumes": volume_csv_rows,
}


@dataclass(frozen=True)
class ShopFiles:
    """Where the files of a pack stand.

    folder : of them all
    sheets : {name of a sheet: path of its PDF}
    all : paths of all files
    removed : names of files of an older pack that were removed
    left : names of files that were left, though not part of this pack
    """

    folder: Path
    sheets: dict
    all: tuple
    removed: tuple = ()
    left: tuple = ()

    def names(self) -> tuple:
        """File names within the folder, subfolders as one."""
        inside = (path.relative_to(self.folder) for path in self.all)
        return tuple(dict.fromkeys(f"{p.parts[0]}/" if len(p.parts) > 1 else p.name for p in inside))


def write_shop(pack: ShopPack, folder, verdict: Verdict | None = None) -> ShopFiles:
    """Write the whole pack into a folder, which is made if it is not there.

    Files of an earlier pack are replaced. Those that no longer belong to it are removed where its list names them and
    they are as they were written; other files in the folder are left alone. FileExistsError where the folder
    holds a file of the same name that is not part of a pack; OSError where it cannot be written. `verdict` as for
    `shop_contents`.
    """
    folder = Path(folder)
    with Beside() as beside:
        contents = shop_contents(pack, None, verdict, beside)
    removed = write_folder(folder, contents, MARKED, GENERATOR, "shop pack")
    return ShopFiles(
        folder,
        {name: folder / f"{name}.pdf" for name in SHEETS},
        tuple(folder / n for n in contents),
        removed,
        strangers(folder, contents, ("templates", "plots"), PART_FILES),
    )


def shop_contents(
    pack: ShopPack, origin: Origin | None = None, verdict: Verdict | None = None, beside: Beside | None = None
) -> dict:
    """Every file of the pack as {name within the folder: bytes}; every page names the `origin`, the job it is of. The
    first page of every sheet tells the `verdict` on the job, or else on that of part and choices alone. `beside` helps
    to write them."""
    return begin_pack(pack, origin, verdict, beside or Beside(alone=True))()


@in_style
def begin_pack(pack: ShopPack, origin: Origin | None, verdict: Verdict | None, beside: Beside) -> Callable:
    """Have the files of a pack begun; a function that gives them as of `shop_contents`."""
    words = origin.words if origin else ""
    plots = [beside.later(_plots, pack, words, draw) for draw in PACK_FIGURES]
    sheets = _Sheets(pack, origin, verdict)
    templates = [beside.later(make, *given) for make, *given in sheets.templates()]

    def finish():
        with style():
            files = sheets.files()
            for later in templates:
                files |= later.result()
            files |= {f"{name}.csv": csv_text(rows(pack)).encode() for name, rows in CSV.items()}
            for later in plots:
                files |= later.result()
            files |= {**_part_file(pack), "shop.json": choices_json(pack.choices).encode()}
            return {**files, NAME: list_of(files)}

    return finish


@in_style
def _plots(pack, words, draw):
    """The files of some figures of a pack, with more words in their stamps."""
    files = {}
    for name, (figure, alt) in draw(pack).items():
        drawn = Recording(add_to_stamp(freeze(figure), words) if words else freeze(figure))
        files |= {f"plots/{name}.{kind}": drawn.file(kind, alt) for kind in FORMATS}
    return files


def _part_file(pack):
    if pack.blade is None:
        return {"study.json": study_text(pack.design).encode()}
    return {"blade.json": blade_json(pack.blade).encode()}


def sheet_pages(pack: ShopPack, name: str, verdict: Verdict | None = None):
    """The pages of one sheet by its name, as matplotlib figures, numbered by themselves; `verdict` as for
    `shop_contents`."""
    verdict = judged_job(verdict, pack.part, shop=pack.choices)
    pages = _placed(pack, name, with_job_in_short(compose_sheet(pack, name), verdict, "shop"), _pictures(pack, name))
    pages.finish(foot_of(pack.design, pack.stamp))
    return pages.figures


class _Sheets:
    """Sheets and templates of a pack, numbered through: the templates come last."""

    def __init__(self, pack, origin=None, verdict=None):
        self.pack, self.foot = pack, foot_of(pack.design, pack.stamp, origin)
        verdict = judged_job(verdict, pack.part, shop=pack.choices)
        self.blocks = {name: with_job_in_short(compose_sheet(pack, name, origin), verdict, "shop") for name in SHEETS}
        self.pictures = {name: _pictures(pack, name) for name in SHEETS}
        self.placed = {name: _placed(pack, name, self.blocks[name], self.pictures[name]) for name in SHEETS}
        self.made = _stamped_templates(pack, origin)
        counted = (len(pages.figures) for pages in self.placed.values())
        self.counts = [*counted, sheet_count(self.made, pack.choices.page)]

    def files(self):
        """{name: bytes} of the sheets."""
        files, title = {}, title_of(self.pack.design)
        for number, (name, pages) in enumerate(self.placed.items()):
            html = _html(self.pack, name, self.blocks[name], self.foot, self.pictures[name])
            pages.finish(self.foot, sum(self.counts[:number]), sum(self.counts[number + 1 :]))
            files |= {f"{name}.html": html, f"{name}.pdf": pages.pdf(f"{title}: {SHEETS[name]}", SOFTWARE)}
        return files

    def templates(self):
        """What makes the files of the templates: functions with their arguments."""
        yield _template_sheets, self.made, self.pack.choices.page, sum(self.counts[:-1])
        yield _template_files, self.made


def _html(pack, name, blocks, foot, pictures):
    svgs = {key: inline_svg(made.file("svg").decode(), key) for key, made in pictures.items()}
    return page(title_of(pack.design), foot, blocks, svgs, SHEETS[name], GENERATOR, large=True).encode()


def _placed(pack, name, blocks, pictures):
    shown = {key: _on_paper(recorded) for key, recorded in pictures.items()}
    return placed_on(title_of(pack.design), blocks, shown, SHEETS[name], SCALE, of_sheets(pack.choices.page))


def _pictures(pack, name):
    return {"stock": Recording(stock_figure(pack))} if name == "cut-list" else {}


def _on_paper(recorded):
    """(height, function that places the figure), sizes before the scale of the sheets."""
    width, height = (25.4 * size / SCALE for size in recorded.figure.get_size_inches())
    return height, lambda pages, x, y: pages.inset(recorded, x, y, width, height)


def _stamped_templates(pack, origin):
    words = f", {origin.words}" if origin else ""
    return [replace(template, stamp=f"{template.stamp}{words}") for template in pack.templates]


def _template_sheets(made, page, before):
    return {"templates/templates.pdf": templates_pdf(made, page, before=before)}  # whatever the paper, one name


def _template_files(made):
    return {f"templates/{name}": text.encode() for name, text in template_files(made).items()}


# ----- What the sheets say: cut list, batch sheet with lift log, schedule, each as blocks (see `report.blocks`).


def compose_sheet(pack: ShopPack, name: str, origin: Origin | None = None) -> tuple:
    """The blocks of one sheet, by its name in `SHEETS`."""
    body = {"cut-list": _cut_list, "batch-sheet": _batch_sheet, "schedule": _schedule}[name]
    title = title_block(pack.design, SHEETS[name].capitalize(), _stamp(pack), SHARES, origin=origin)
    kept = "blade.json" if pack.blade else "study.json"
    return (title, *which_lengths(f"{kept}, shop.json, CSV and DXF files beside this page keep"), *body(pack))


def _stamp(pack):
    return f"{pack.part.input_hash()} {pack.choices.input_hash()}"


# fmt: off
_PARTS = (
    Column("Part", 0.145, "name"), Column("No.", 0.05, "number"), Column("Material", 0.24),
    Column("Cut size, with trim: along the chord × span × thick", 0.275), Column("Grain", 0.095), Column("Face", 0.12),
    Column("Mass", 0.075, "number"),
)
_MARKS = (
    Column("Mark, outer face up", 0.42, "name"), Column("from finished edge", 0.29, "number"),
    Column("from cut edge", 0.29, "number"),
)
_WEIGHED = (  # share and look of each column of `WEIGH_HEADS`
    (0.2, "name"), (0.08, "text"), (0.09, "number"), (0.1, "number"), (0.05, "number"), (0.085, "number"),
    (0.105, "number"), (0.18, "text"), (0.11, "text"),
)
_TO_WEIGH = tuple(Column(head, *look) for head, look in zip(WEIGH_HEADS, _WEIGHED, strict=True))
_CHECKS = (
    Column("Check", 0.43, "label"), Column("Value", 0.11, "number"), Column("Limit", 0.13, "number"),
    Column("Verdict", 0.12), Column("Basis of the limit", 0.21),
)
_STEPS = Column("OK", 0.05, "blank"), Column("When", 0.21), Column("Step", 0.26, "name"), Column("How", 0.48)
# fmt: on


def _cut_list(pack):
    rows = ((p.name, str(p.count), p.material, p.size, p.grain, p.face, show(p.mass, "g", 3)) for p in parts(pack))
    yield Table("Parts to cut", _root_to_tip(_PARTS, pack), tuple(rows))
    yield Paragraph(f"Lay out: {stock_words(pack)} Masses are of the finished part.")
    yield Picture("stock", f"Stock sheet with the blanks. {stock_words(pack)}")
    masses = tuple((capital(words), show(mass, "g", 4)) for words, mass in mass_rows(pack))
    columns = plain_columns(("Part as built, no waste", ""), shares=(0.6, 0.4))
    marked = Table("Lines to mark on each blank", _root_to_tip(_MARKS, pack), marks(pack))
    yield Pair((marked,), (Table("What it weighs", columns, masses),), 0.63)
    notes = tuple(("", f"{capital(words)}.") for words in _cut_notes(pack))
    yield Pair((Heading("Mind"), Bullets(notes)), (Heading("Cautions"), Bullets(cautions(pack, "cut"))), 0.5)
    yield Signatures((("Cut by", ""), ("Pair matched, faces marked", "")), SIGN)


def _root_to_tip(columns, pack):
    """Columns that say, of a part that differs from end to end, which of two lengths is which."""
    if along_span(pack.part).one_section:
        return columns
    heads = {_PARTS[3].head: f"{_PARTS[3].head}, root to tip", _MARKS[0].head: "Mark outer face, root to tip"}
    return tuple(replace(c, head=heads.get(c.head, c.head)) for c in columns)


def _cut_notes(pack):
    """Notes on blanks, rod and stock; the developed length of a tapered part is a row of the table."""
    if not pack.blanks.tapered:
        yield f"developed length {show(pack.blanks.pair[0].developed[0], 'mm', 4)}, land and free length"
    yield from pack.rod
    yield from (note for note in (*pack.blanks.notes, *pack.nesting.notes) if not note.startswith("frame lines"))


def _batch_sheet(pack):
    yield Paragraph(f"{choice_words(pack)} Weigh; never change the ratio to change the speed.")
    yield Table(
        "Systems",
        (Column("At shop temperature", 0.3, "label"), Column("Bond", 0.35), Column("Potting", 0.35)),
        system_rows(pack),
    )
    yield Table("To weigh", _TO_WEIGH, weigh_rows(pack))
    needs = "; ".join(f"{name}: {resin} resin, {hardener} hardener" for name, resin, hardener, _ in needs_rows(pack))
    yield Paragraph(f"Have at hand: {needs}. {triangle_words(pack)}", quiet=True)
    yield Paragraph(" ".join((*lift_words(pack), f"Cure data: {pack.heat.label}.")), quiet=True)
    yield Bullets(cautions(pack, "batch"))
    yield Table(
        "Lift log",
        (Column("Log", 0.23, "name"), Column("Planned", 0.13), *(Column(head, share, "blank") for head, share in LOG)),
        tuple((*planned, *("",) * len(LOG)) for planned in planned_rows(pack)),
        LOG_ROW,
    )
    yield Signatures((("Mixed by", ""), ("Checked by", "")), SIGN)


def _schedule(pack):
    yield Table("Steps", _STEPS, tuple(row if isinstance(row, str) else ("", *row) for row in day_rows(pack)))
    yield checks_table("Checks", _CHECKS, pack.checks, own={"Limit": lambda check, _: limit_words(check, " ")})
    yield Paragraph(" ".join(f"{capital(note)}." for note in (*_advice(pack), *_schedule_notes(pack))), quiet=True)
    yield Bullets(cautions(pack, "schedule"))
    yield Signatures((("Scrap joint stressed, held", ""), ("True: twist and symmetry", ""), ("Vent open", "")), SIGN)


def _advice(pack):
    """What helps where a check does not hold."""
    return (f"{check.name}: {check.advice}" for check in pack.checks if check.verdict != HOLDS and check.advice)


def _schedule_notes(pack):
    """Notes of the plan, the label of the cure data said once."""
    mine = [note for note in pack.schedule.notes if pack.heat.label not in note]
    return (f"heat and time between lifts by cure data: {pack.heat.label}", *mine)
