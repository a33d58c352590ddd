"""The shop's files: one page for each sheet, all words on paper, repeatable, nothing foreign overwritten."""

import csv
import io
import re
import shutil
import subprocess
from html.parser import HTMLParser

import pytest
from leeboard_part import LEEBOARD

from panelmech import Design
from panelmech.draw.letters import line_box
from panelmech.report import shop_sheets
from panelmech.report.pages import BOTTOM, HEIGHT, RIGHT, WIDTH
from panelmech.report.shop_sheets import GENERATOR, SCALE, SHEETS, compose_sheet, sheet_pages, shop_contents, write_shop
from panelmech.shop.choices import ShopChoices
from panelmech.shop.pack import shop_pack

HOSTILE = '</style><script>alert("1")</script> & <b>bold</b>'
SMALLEST = 8.0  # points: the least type on paper


@pytest.fixture(scope="module")
def pack():
    return shop_pack(LEEBOARD)


@pytest.fixture(scope="module")
def contents(pack):
    return shop_contents(pack)


def sheets_of(contents):
    """How many sheets all PDF files of a pack to print have together."""
    printed = [*(f"{name}.pdf" for name in SHEETS), "templates/templates.pdf"]
    return sum(len(re.findall(rb"/Type /Page\b", contents[name])) for name in printed)


def words_of(figure):
    return " ".join(text.get_text() for text in figure.texts)


def test_each_sheet_is_two_pages_at_most(pack):
    assert max(len(sheet_pages(pack, name)) for name in SHEETS) <= 2


@pytest.mark.parametrize("name", SHEETS)
def test_nothing_on_paper_is_tiny_or_off_the_page(pack, name):
    for figure in sheet_pages(pack, name):
        for text in figure.texts:
            wide, _, below = (length / 72.0 * 25.4 for length in line_box(text.words, text.size, text.bold))
            x, y = text.x * WIDTH + wide, HEIGHT * (1.0 - text.y) + below
            assert text.get_fontsize() >= SMALLEST
            assert x <= WIDTH - 8.0 and y <= BOTTOM + 8.0, text.get_text()
        body = sorted(text.get_fontsize() for text in figure.texts)
        assert body[len(body) // 2] >= 8.0  # most of it is read at arm's length


def test_sheets_say_what_the_work_needs(pack):
    cut, batch, plan = (" ".join(map(words_of, sheet_pages(pack, name))) for name in SHEETS)
    for words in (cut, batch, plan):
        assert "Safety data sheets" in words and pack.design.input_hash() in words
    assert "243.0 × 860.0" in cut and "0.266" in cut and "Together" in cut
    assert "Lots" in batch and "Next by" in batch and "Mixed by" in batch and "ILLUSTRATIVE" in batch
    assert "triangle rule" in batch and "void without the rod" in batch
    assert "Stress a scrap joint first (gate)" in plan and "ILLUSTRATIVE" in plan


@pytest.mark.slow
@pytest.mark.parametrize("name", SHEETS)
def test_page_is_sound_html_that_needs_nothing_else(contents, name):
    html = contents[f"{name}.html"].decode()
    HTMLParser().feed(html)
    assert f'content="{GENERATOR}"' in html and "<script" not in html and not re.search(r'(src|href)="http', html)
    assert f"Leeboard: {SHEETS[name]}" in html and "design note" not in html


@pytest.mark.slow
def test_hostile_words_stay_words():
    page = shop_sheets._Sheets(shop_pack(LEEBOARD.replace(title=HOSTILE))).files()["cut-list.html"].decode()
    assert "<script" not in page and "&lt;script&gt;" in page


@pytest.mark.slow
@pytest.mark.nightly
def test_same_pack_same_bytes(contents):
    again = shop_contents(shop_pack(LEEBOARD))
    assert [name for name in contents if contents[name] != again[name]] == [] and set(again) == set(contents)


def test_csv_files_can_be_read(contents):
    for name in ("cut-list", "batch-sheet", "schedule", "volumes"):
        rows = list(csv.reader(io.StringIO(contents[f"{name}.csv"].decode())))
        assert len(rows) > 3 and len({len(row) for row in rows}) == 1


def test_files_hold_study_and_choices(contents, tmp_path):
    for name in ("study.json", "shop.json"):
        (tmp_path / name).write_bytes(contents[name])
    assert Design.load(tmp_path / "study.json") == LEEBOARD
    assert ShopChoices.load(tmp_path / "shop.json") == ShopChoices()


def test_templates_come_with_every_kind_of_file(contents, pack):
    for template in pack.templates:
        assert {f"templates/template-{template.key}.{kind}" for kind in ("svg", "dxf", "csv")} <= set(contents)
    assert contents["templates/templates.pdf"].startswith(b"%PDF")


def test_no_clock_and_no_folder_in_the_files(contents):
    for name, content in contents.items():
        assert b"CreationDate" not in content, name
        assert not re.search(rb"/(home|tmp|work)/", content), name


def fake(monkeypatch, **changes):
    page = f'<meta name="generator" content="{GENERATOR}">'.encode()
    files = {"batch-sheet.html": page, "cut-list.csv": b"one", **changes}
    monkeypatch.setattr(shop_sheets, "shop_contents", lambda pack, *_: files)


def test_second_pack_replaces_the_first_and_leaves_other_files_alone(pack, tmp_path, monkeypatch):
    fake(monkeypatch)
    write_shop(pack, tmp_path / "s")
    (tmp_path / "s" / "photo.jpg").write_bytes(b"mine")
    fake(monkeypatch, **{"cut-list.csv": b"two"})
    files = write_shop(pack, tmp_path / "s")
    assert (tmp_path / "s" / "cut-list.csv").read_bytes() == b"two" and (tmp_path / "s" / "photo.jpg").exists()
    assert files.names() == ("batch-sheet.html", "cut-list.csv")


def test_files_that_are_no_pack_are_not_overwritten(pack, tmp_path, monkeypatch):
    fake(monkeypatch)
    (tmp_path / "cut-list.csv").write_text("my own")
    with pytest.raises(FileExistsError, match="no shop pack: give another folder"):
        write_shop(pack, tmp_path)
    assert (tmp_path / "cut-list.csv").read_text() == "my own" and len(list(tmp_path.iterdir())) == 1


def test_scale_makes_type_larger_and_room_smaller():
    from panelmech.report.pages import Pages

    plain, large = Pages({}), Pages({}, SCALE)
    assert large.wide * SCALE == pytest.approx(plain.wide) and plain.right == RIGHT
    for pages in (plain, large):
        pages.room(1.0)
        pages.text(pages.left, pages.y, "word", 10.0)
    (a,), (b,) = plain.figures[0].texts, large.figures[0].texts
    assert b.get_fontsize() == pytest.approx(SCALE * a.get_fontsize())
    assert b.get_position()[0] == pytest.approx(a.get_position()[0])  # the margin stays


def test_many_lifts_run_on_to_another_page_with_every_pour_on_it():
    many = shop_pack(LEEBOARD, ShopChoices(lift_choice="own", own_lift=2e-3))
    pages = sheet_pages(many, "batch-sheet")
    words = " ".join(words_of(page) for page in pages)
    assert len(pages) > 1 and all(line.title in words for line in many.pours)
    assert len(compose_sheet(many, "batch-sheet")) == len(compose_sheet(shop_pack(LEEBOARD), "batch-sheet"))


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler")
def test_pdf_can_be_searched(contents, tmp_path):
    (tmp_path / "b.pdf").write_bytes(contents["batch-sheet.pdf"])
    text = subprocess.run(["pdftotext", "-layout", tmp_path / "b.pdf", "-"], capture_output=True, text=True).stdout
    assert "Potted nose" in text and "35.2 g" in text and f"3/{sheets_of(contents)}" in text
