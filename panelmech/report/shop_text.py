"""What the shop's sheets say: cut list, batch sheet with lift log, schedule, each as blocks (see `report.blocks`)."""

from __future__ import annotations

from ..shop.pack import ShopPack, marks, mass_rows, parts, stock_words
from ..units import capital, show
from .blocks import Bullets, Column, Heading, Pair, Paragraph, Picture, Signatures, Table, Verdict
from .note_text import title_block
from .shop_rows import (
    cautions,
    check_rows,
    choice_words,
    lift_words,
    needs_rows,
    step_rows,
    system_rows,
    triangle_words,
    weigh_rows,
)

SHEETS = {"cut-list": "cut list", "batch-sheet": "batch sheet", "schedule": "schedule"}
SHARES = (0.38, 0.15, 0.17, 0.3)  # of the title block's first row
LOG = (
    ("Lots", 0.11),
    ("Resin, g", 0.1),
    ("Hardener, g", 0.13),
    ("Start", 0.09),
    ("Tacky", 0.09),
    ("Next by", 0.1),
    ("By", 0.09),
)
LOG_ROW = 7.2  # mm: to write in, before the sheets' scale
SIGN = 13.0  # mm, likewise


def compose_sheet(pack: ShopPack, name: str) -> tuple:
    """The blocks of one sheet, by its name in `SHEETS`."""
    body = {"cut-list": _cut_list, "batch-sheet": _batch_sheet, "schedule": _schedule}[name]
    return (title_block(pack.design, SHEETS[name].capitalize(), _stamp(pack), SHARES), *body(pack))


def _stamp(pack):
    return f"{pack.part.input_hash()} {pack.choices.input_hash()}"


def _cut_list(pack):
    yield Table(
        "Parts to cut",
        (
            Column("Part", 0.145, "name"),
            Column("No.", 0.05, "number"),
            Column("Material", 0.24),
            Column("Cut size, with trim: along the chord × span × thick", 0.275),
            Column("Grain", 0.095),
            Column("Face", 0.12),
            Column("Mass", 0.075, "number"),
        ),
        tuple((p.name, str(p.count), p.material, p.size, p.grain, p.face, show(p.mass, "g", 3)) for p in parts(pack)),
    )
    yield Paragraph(f"Lay out: {stock_words(pack)} Masses are of the finished part.")
    yield Picture("stock", f"Stock sheet with the blanks. {stock_words(pack)}")
    table = Table(
        "Lines to mark on each blank",
        (
            Column("Mark, outer face up", 0.42, "name"),
            Column("from finished edge", 0.29, "number"),
            Column("from cut edge", 0.29, "number"),
        ),
        marks(pack),
    )
    masses = Table(
        "What it weighs",
        (Column("Part as built, no waste", 0.6, "label"), Column("", 0.4, "number")),
        tuple((capital(words), show(mass, "g", 4)) for words, mass in mass_rows(pack)),
    )
    yield Pair((table,), (masses,), 0.63)
    long = (
        ()
        if pack.blanks.tapered
        else (  # of a tapered part it is the front edge's row in the table
            f"developed length {show(pack.blanks.pair[0].developed[0], 'mm', 4)}, land and free length",
        )
    )
    words = (*long, *pack.blanks.notes, *pack.nesting.notes)
    notes = tuple(("", f"{capital(n)}.") for n in words if not n.startswith("frame lines"))
    yield Pair((Heading("Mind"), Bullets(notes)), (Heading("Cautions"), Bullets(cautions(pack, "cut"))), 0.5)
    yield Signatures((("Cut by", ""), ("Pair matched, faces marked", "")), SIGN)


def _batch_sheet(pack):
    yield Paragraph(f"{choice_words(pack)} Weigh; never change the ratio to change the speed.")
    yield Table(
        "Systems",
        (Column("At shop temperature", 0.3, "label"), Column("Bond", 0.35), Column("Potting", 0.35)),
        system_rows(pack),
    )
    yield Table(
        "To weigh",
        (
            Column("To weigh, for one pot", 0.31, "name"),
            Column("Depth", 0.09, "number"),
            Column("Fills", 0.1, "number"),
            Column("Pots", 0.055, "number"),
            Column("Resin", 0.09, "number"),
            Column("Hardener", 0.105, "number"),
            Column("Filler, loose", 0.25),
        ),
        weigh_rows(pack),
    )
    needs = "; ".join(f"{name}: {resin} resin, {hardener} hardener" for name, resin, hardener, _ in needs_rows(pack))
    yield Paragraph(f"Have at hand: {needs}. {triangle_words(pack)}", quiet=True)
    yield Table(
        "Lift log",
        (Column("Log", 0.29, "name"), *(Column(head, share, "blank") for head, share in LOG)),
        tuple((line.title, *("",) * 7) for line in pack.pours),
        LOG_ROW,
    )
    yield Paragraph(" ".join((*lift_words(pack), f"Cure data: {pack.heat.label}.")), quiet=True)
    yield Bullets(cautions(pack, "batch"))
    yield Signatures((("Mixed by", ""), ("Checked by", "")), SIGN)


def _schedule(pack):
    yield Table(
        "Steps",
        (Column("OK", 0.05, "blank"), Column("When", 0.235), Column("Step", 0.3, "name"), Column("How", 0.415)),
        tuple(("", *row) for row in step_rows(pack)),
    )
    columns = (
        Column("Check", 0.43, "label"),
        Column("Value", 0.11, "number"),
        Column("Limit", 0.13, "number"),
        Column("Verdict", 0.12),
        Column("Basis of the limit", 0.21),
    )
    yield Table("Checks", columns, tuple((*row[:3], Verdict(row[3]), row[4]) for row in check_rows(pack)))
    yield Paragraph(" ".join(f"{capital(note)}." for note in _schedule_notes(pack)), quiet=True)
    yield Bullets(cautions(pack, "schedule"))
    yield Signatures((("Scrap joint stressed, held", ""), ("True: twist and symmetry", ""), ("Vent open", "")), SIGN)


def _schedule_notes(pack):
    """Notes of the plan, the label of the cure data said once."""
    mine = [note for note in pack.schedule.notes if pack.heat.label not in note]
    return (f"heat and time between lifts by cure data: {pack.heat.label}", *mine)
