"""Every PDF file we write names its language and shows its title; read back by following its references."""

import re
import shutil
import subprocess

import pytest

from panelmech.draw.figures import figure, figure_bytes
from panelmech.draw.pdf_language import with_language
from panelmech.draw.template_pages import templates_pdf
from panelmech.report.blocks import Heading, Paragraph
from panelmech.report.pdf_page import pdf
from panelmech.shop.templates import templates
from panelmech.study.design import Design


def plot():
    return figure_bytes(figure(60.0, 40.0)[0], "pdf", "Bending strain – along the sheet")


def paper():
    return pdf("Leeboard", "foot", "panelmech", (Heading("One"), Paragraph("words " * 900)), {})


@pytest.fixture(params=["plot", "paper", "templates"])
def content(request, root):
    if request.param == "templates":
        return templates_pdf(templates(Design.load(root / "notebooks/studies/leeboard.json"))[:1])
    return {"plot": plot, "paper": paper}[request.param]()


def places(content):
    """{number of an object: where it stands}, by the tables of references, the last one first; and the last trailer."""
    at, found, last = int(re.search(rb"startxref\s+(\d+)\s+%%EOF\s*$", content)[1]), {}, None
    while at is not None:
        table = re.compile(
            rb"xref\n((?:\d+ \d+\n(?:\d{10} \d{5} [fn] \n)+)+)trailer\s*<<(.*?)>>\s*startxref", re.DOTALL
        )
        part = table.match(content, at)
        for first, _, rows in re.findall(rb"(\d+) (\d+)\n((?:\d{10} \d{5} [fn] \n)+)", part[1]):
            for number, row in enumerate(rows.splitlines(), start=int(first)):
                found.setdefault(number, int(row[:10]))
        last = last or part[2]
        before = re.search(rb"/Prev (\d+)", part[2])
        at = int(before[1]) if before else None
    return found, last


def test_the_catalogue_names_language_and_title(content):
    found, trailer = places(content)
    root = int(re.search(rb"/Root (\d+) 0 R", trailer)[1])
    catalogue = content[found[root] :].split(b"endobj")[0]
    assert catalogue.startswith(b"%d 0 obj" % root)
    assert b"/Type /Catalog" in catalogue and b"/Lang (en)" in catalogue and b"/DisplayDocTitle true" in catalogue
    about = content[found[int(re.search(rb"/Info (\d+) 0 R", trailer)[1])] :].split(b"endobj")[0]
    assert b"/Title" in about
    for number, place in found.items():
        assert number == 0 or content[place:].startswith(b"%d 0 obj" % number)


def test_other_programs_read_it_without_complaint(content, tmp_path):
    if shutil.which("pdfinfo") is None:
        pytest.skip("pdfinfo (poppler-utils) is not installed")
    (tmp_path / "one.pdf").write_bytes(content)
    done = subprocess.run(["pdfinfo", tmp_path / "one.pdf"], capture_output=True, text=True, check=True)
    assert done.stderr == "" and re.search(r"^Title: +\S", done.stdout, re.MULTILINE)


def test_the_same_figure_gives_the_same_bytes():
    assert plot() == plot() and paper() == paper()


@pytest.mark.parametrize("content", [b"", b"%PDF-1.4\n", b"trailer\n<< /Root 1 0 R >>\nstartxref\n9\n%%EOF\n"])
def test_what_is_no_pdf_is_refused(content):
    with pytest.raises(ValueError, match="give a whole PDF file"):
        with_language(content)
