"""The parts a design note is made of, as plain frozen records: what is said, not how it looks.

`report.note_text` composes a note of these blocks, `report.html_page` writes them as HTML and `report.pdf_page` as PDF:
both say the same. A cell of a table is a text or a `Verdict`. Texts are plain: nothing in them is markup.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..study.verdicts import said
from ..units import FACTORS, INCHES, capital, lengths, pretty_unit


def _number_and_unit(units):
    words = "|".join(re.escape(pretty_unit(unit)) for unit in sorted(units, key=len, reverse=True))
    return re.compile(rf"(?<=\d) (?=(?:{words})(?![\w/²³⁴·]))|(?<=[≤≥]) (?=\d)")


_UNITS = sorted(set(FACTORS) - {"", *INCHES.values()})
_NUMBER_AND_UNIT = {
    "mm": _number_and_unit(_UNITS),
    "inch": _number_and_unit([*_UNITS, *dict.fromkeys(INCHES.values())]),
}


def glue(text: str) -> str:
    """The text with every number held to its unit, and to a ≤ or ≥, by a blank at which no line breaks."""
    return _NUMBER_AND_UNIT[lengths()].sub("\u00a0", text)


def which_lengths(kept: str) -> tuple:
    """What tells that lengths are in inches and what keeps them as they were entered; in millimetres nothing, for then
    they are in the same unit everywhere. `kept`: "the study file beside this note keeps", and so on."""
    words = f"Lengths are in inches; {kept} metres and millimetres."
    return (Paragraph(words, quiet=True),) if lengths() == "inch" else ()


def text_lines(rows, widths) -> list:
    """Rows of cells as lines of plain text: the first cell to the left, the next to the right of these widths in
    letters; cells beyond them follow after two blanks."""
    return [
        f"{row[0]:<{widths[0]}}"
        + "".join(f"{cell:>{width}}" for cell, width in zip(row[1:], widths[1:], strict=False))
        + "".join(f"  {cell}" for cell in row[len(widths) :])
        for row in rows
    ]


@dataclass(frozen=True)
class Verdict:
    """A verdict word, drawn with its mark and colour."""

    word: str


@dataclass(frozen=True)
class Column:
    """A column of a table.

    head : its heading
    share : of the width on paper [-]; in a panel the browser shares out the width
    look : "name" and "label" (what the row is about, bold or plain), "number", "text", "small", "blank" (to write in)
    """

    head: str
    share: float = 0.0
    look: str = "text"


def plain_columns(heads, numbers_from: int = 1, shares=None) -> tuple:
    """Columns of a plain table: what the row is about, then text, numbers from the column `numbers_from` on; `shares`
    of the width on paper, a panel needs none."""
    looks = ("label", *("number" if i >= numbers_from else "text" for i in range(1, len(heads))))
    return tuple(Column(*column) for column in zip(heads, shares or (0.0,) * len(heads), looks, strict=True))


@dataclass(frozen=True)
class Row:
    """A row of a panel's table with more than its cells.

    cells : texts or verdicts, one for each column
    attributes : (name, value) of its HTML element, such as ("title", words) for a hint
    below : small lines under its first cell
    """

    cells: tuple
    attributes: tuple = ()
    below: tuple = ()


@dataclass(frozen=True)
class Group:
    """What stands over the rows after it in a panel's table, behind the mark of the verdict `mark`."""

    text: str
    mark: str


@dataclass(frozen=True)
class TitleBlock:
    """The fields of ISO 7200 in rows of (label, text, share of the width); an empty text is a box to fill by hand."""

    rows: tuple


_LONGEST = 24  # letters of a job's name at the foot of a page


@dataclass(frozen=True)
class Origin:
    """The job that a paper comes from.

    job : its name, "" where it has none
    hash : of the state it was in, twelve digits
    paper : its papers are printed on, "A4" or "Letter"
    """

    job: str
    hash: str
    paper: str = "A4"

    @property
    def words(self) -> str:
        """Job and hash on one line, for the foot of a page; a long name is cut short."""
        name = " ".join(self.job.split())
        return f"job {self.hash} {name if len(name) <= _LONGEST else f'{name[: _LONGEST - 1]}…'}".rstrip()


@dataclass(frozen=True)
class Heading:
    """Heading of a section."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """Running text; `quiet` for captions and remarks."""

    text: str
    quiet: bool = False


@dataclass(frozen=True)
class Bullets:
    """A list; each item is (words set in bold, text), the first may be empty."""

    items: tuple


@dataclass(frozen=True)
class Banner:
    """The one line that must not be missed: the governing check, and under it what to do or what is not known;
    `about`: whose verdict it is, where that must be said."""

    verdict: str
    text: str
    advice: str = ""
    about: str = ""

    @property
    def lead(self) -> str:
        """The word of the verdict, and whose it is."""
        return f"{self.about}: {said(self.verdict)}." if self.about else f"{capital(said(self.verdict))}."


@dataclass(frozen=True)
class Table:
    """A table with a head row.

    caption : names it for those who do not see the heading above it
    columns : `Column`s
    rows : tuples of cells, each a text or a `Verdict`; a text alone stands over the rows after it; in a panel also a
        `Row` or a `Group`
    row_height : of every row, where there is something to write in, at least [mm]
    """

    caption: str
    columns: tuple
    rows: tuple
    row_height: float = 0.0


@dataclass(frozen=True)
class Pair:
    """Two blocks (each a tuple of blocks) side by side; `share` of the width goes to the left one."""

    left: tuple
    right: tuple
    share: float = 0.5


@dataclass(frozen=True)
class Picture:
    """A drawing by name (see `report.drawings`), with its text alternative and caption."""

    name: str
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class Links:
    """Files to open from a page on a screen: (what they are, ((path from the page's folder, what for), …)) each."""

    items: tuple


@dataclass(frozen=True)
class Signatures:
    """Boxes to sign in, so high [mm]: one per role; the given name stands in its box."""

    roles: tuple
    height: float = 17.0
