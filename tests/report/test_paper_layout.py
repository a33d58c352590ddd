"""Words on paper: none too small, numbers whole, no sheet nearly empty, the paper that was chosen."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.report import pages as paper
from panelmech.report import pdf_page
from panelmech.report.blocks import Column, Heading, Paragraph, Signatures, Table

WIDTH = 182.0
COLUMNS = (Column("Check", 0.3, "name"), Column("Value", 0.07, "number"), Column("Basis", 0.63))


def number_lines(columns, rows):
    fitted = pdf_page._fitted(columns, rows, WIDTH)
    assert sum(column.share for column in fitted) == pytest.approx(sum(column.share for column in columns))
    return [pdf_page._cells(fitted, row, WIDTH)[1][0] for row in rows]


@given(
    st.lists(st.tuples(st.floats(1e-3, 1e7), st.sampled_from(["MPa", "N·m/m", "J/m²", "°C"])), min_size=1, max_size=5)
)
def test_a_number_stays_whole_on_its_line(values):
    rows = tuple(("a check with a name", f"≤ {value:.4g} {unit}", "words " * 20) for value, unit in values)
    assert all(len(lines) == 1 for lines in number_lines(COLUMNS, rows))


def test_columns_that_fit_stay_as_they_are():
    rows = (("a check", "1 m", "words"),)
    assert pdf_page._fitted(COLUMNS, rows, WIDTH) is COLUMNS


def test_no_type_below_eight_points():
    assert min(pdf_page.TEXT, pdf_page.CELL, pdf_page.FINE, pdf_page.TINY, paper.FOOT) >= 8.0


@pytest.mark.parametrize("lines", range(50, 130, 4))
def test_no_page_is_left_nearly_empty(lines):
    """Whatever the length: what would stand alone on the last page takes words from the one before with it."""
    blocks = (Heading("All"), *(Paragraph(f"Line {number}.") for number in range(lines)))
    blocks += (Signatures((("Made by", ""),), 16.0),)
    pages = pdf_page.placed("Title", blocks, {})
    assert len(pages.figures) == 1 or min(pages.filled) >= 0.25, pages.filled
    words = [text.get_text() for figure in pages.figures for text in figure.texts]
    assert [w for w in words if w.startswith("Line")] == [f"Line {number}." for number in range(lines)]


@pytest.mark.parametrize(("sheet", "box"), [("A4", (595.28, 841.89)), ("Letter", (612.0, 792.0))])
def test_paper_is_the_one_chosen(sheet, box):
    table = Table("T", COLUMNS, (("a", "1 m", "b"),))
    content = pdf_page.pdf("T", "foot", "us", (table,), {}, paper=sheet)
    (found,) = re.findall(rb"/MediaBox \[([^\]]*)\]", content)
    assert [float(part) for part in found.split()][2:] == pytest.approx(box, abs=0.02)


def test_sheets_of_one_pack_are_numbered_through():
    pages = pdf_page.placed("T", (Paragraph("Words."),), {})
    pages.finish("foot", before=2, after=3)
    assert "Sheet 3/6" in [text.get_text() for text in pages.figures[0].texts]
