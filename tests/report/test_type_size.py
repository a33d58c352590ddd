"""Type on paper: no letter of any PDF of a job is smaller than 8 points as printed, pictures included.

Read from the PDFs' own content: the size that each text is set in, and that nothing is scaled on its way to the page.
"""

import re
import zlib
from types import SimpleNamespace

import pytest

from panelmech.draw.figures import add_to_stamp, blank_figure, stamped
from panelmech.draw.letters import line_width
from panelmech.job.job import demo
from panelmech.report.blocks import Origin
from panelmech.report.drawings import DRAWINGS
from panelmech.report.papers import write_papers

SMALLEST = 8.0  # points
STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
NUMBER = rb"(-?[\d.]+)"
PLACED = re.compile(rb" ".join([NUMBER] * 6) + rb" (?:cm|Tm)\b")
SET = re.compile(rb"([\d.]+) Tf\b")


def contents(pdf):
    """The content of every page or picture with text in it."""
    for found in STREAM.finditer(pdf):
        try:
            text = zlib.decompress(found[1])
        except zlib.error:
            continue  # not packed: no content of ours
        if SET.search(text):
            yield text


def sizes(pdf):
    """Sizes of type [points] as printed: as set, times the least scale of any place in that content."""
    for text in contents(pdf):
        scales = [abs(float(a) * float(d) - float(b) * float(c)) ** 0.5 for a, b, c, d, _, _ in PLACED.findall(text)]
        yield from (float(size) * min([1.0, *scales]) for size in SET.findall(text))


def smallest(folder):
    """The smallest type of every PDF in a folder [points], by name; every one of them has type."""
    names = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*.pdf")}
    assert len(names) > 20
    return {name: min(sizes(path.read_bytes())) for name, path in names.items()}


@pytest.mark.slow
@pytest.mark.nightly
def test_no_type_on_any_paper_of_a_job_is_below_8_points(tmp_path):
    write_papers(demo(), tmp_path)
    assert {name: size for name, size in smallest(tmp_path).items() if size < SMALLEST} == {}


@pytest.mark.slow
def test_no_type_on_papers_with_the_name_of_their_job_is_below_8_points(whole):
    assert {name: size for name, size in smallest(whole[0].folder).items() if size < SMALLEST} == {}


@pytest.mark.parametrize("title", ["X", "Leeboard", "W" * 48])
@pytest.mark.parametrize("name", ["", "J", "my board", "W" * 40])
def test_a_stamp_is_as_large_and_within_its_figure_whatever_title_and_job_are_called(title, name):
    study = SimpleNamespace(design=demo().design.replace(title=title))
    for wide in {drawing.width for drawing in DRAWINGS.values()}:
        fig = stamped(blank_figure(wide, 30.0), study)
        (text,) = add_to_stamp(fig, Origin(name, "0123456789ab").words).texts
        assert text.get_fontsize() >= 8.0
        assert line_width(text.get_text(), text.get_fontsize()) <= wide - 4.0, text.get_text()
        assert f"inputs {study.design.input_hash()}" in text.get_text() and "job 0123456789ab" in text.get_text()


def test_small_type_and_a_scaled_page_are_noticed():
    def pdf(content):
        return b"stream\n" + zlib.compress(content) + b"\nendstream"

    assert list(sizes(pdf(b"1 0 0 1 5 5 cm BT /F1 8 Tf (a) Tj ET"))) == [8.0]
    assert list(sizes(pdf(b"BT /F1 7.5 Tf (a) Tj ET"))) == [7.5]
    assert list(sizes(pdf(b"0.9 0 0 -0.9 5 5 cm BT /F1 8 Tf (a) Tj ET"))) == [pytest.approx(7.2)]
