"""The papers in a real browser: no barrier that a checker finds, type one can read on a tablet, pages that print well.

Every HTML paper of the demonstration: design note with inspection record and loads, load record, shop sheets.
"""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from panelmech.__main__ import main
from panelmech.report.blocks import Bullets, Column, Heading, Pair, Paragraph, Signatures, Table
from panelmech.report.html_page import LEAST_TYPE, page

STUDIES = Path(__file__).resolve().parents[2] / "notebooks" / "studies"
STUDY, READINGS, LOADS, BLADE = (
    str(STUDIES / name)
    for name in ("leeboard.json", "leeboard_readings.csv", "leeboard_loads.json", "leeboard_blade.json")
)
ORDERS = {  # folder: what the command line is told
    "note": ("note", STUDY, "--readings", READINGS, "--loads", LOADS),
    "loads": ("loads", BLADE, "--plan", LOADS),
    "shop": ("shop", BLADE),
}
PAPERS = ("note/note", "loads/loads", "shop/cut-list", "shop/batch-sheet", "shop/schedule")
TABLET, DESK = 820, 1280  # px
SIGNED = "name, signature, date"
pytestmark = [pytest.mark.browser, pytest.mark.slow]

# Letters in a drawing are outlines, 100 units high times the scale of their group: the size they have on the screen.
SIZES = """() => {
    const sizes = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const parent = walk.currentNode.parentElement;
        if (walk.currentNode.textContent.trim() && parent.getClientRects().length)
            sizes.push([parseFloat(getComputedStyle(parent).fontSize), walk.currentNode.textContent.slice(0, 40)]);
    }
    for (const group of document.querySelectorAll('svg g[transform*="scale("]')) {
        const {a, b} = group.getScreenCTM();
        sizes.push([100 * Math.hypot(a, b), 'in a drawing']);
    }
    return sizes;
}"""
SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
UNREACHABLE = """() => [...document.querySelectorAll('body *')].filter(node => node.scrollWidth > node.clientWidth + 1
    && getComputedStyle(node).overflowX === 'auto' && !(node.tabIndex === 0 && node.getAttribute('aria-label')))
    .map(node => node.outerHTML.slice(0, 80))"""
PICTURES = "() => [...document.querySelectorAll('img, svg')].map(p => p.getAttribute('aria-label') ?? p.alt ?? '')"


@pytest.fixture(scope="module")
def papers(tmp_path_factory, chromium):
    """The papers of the demonstration in one folder."""
    folder = tmp_path_factory.mktemp("papers")
    for name, words in ORDERS.items():
        main([*words, "--out", str(folder / name)])
    assert sorted(PAPERS) == sorted(f"{p.parent.name}/{p.stem}" for p in folder.rglob("*.html"))
    return folder


@pytest.fixture(scope="module")
def window(context):
    page = context.new_page()
    page.set_viewport_size({"width": TABLET, "height": 1180})
    yield page
    page.close()


@pytest.fixture(params=PAPERS)
def paper(request, papers, window):
    """The window with one of the papers open."""
    window.set_viewport_size({"width": TABLET, "height": 1180})
    window.goto((papers / f"{request.param}.html").as_uri())
    return window


def pages_of(window, folder):
    """The lines of every printed page, its foot left out."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext to read the printed pages with")
    (folder / "printed.pdf").write_bytes(window.pdf(prefer_css_page_size=True))
    done = subprocess.run(["pdftotext", "-layout", folder / "printed.pdf", "-"], capture_output=True, check=True)
    pages = done.stdout.decode().split("\f")[:-1]
    lines = [[" ".join(line.split()) for line in text.splitlines() if line.strip()] for text in pages]
    return [[line for line in page if not re.search(r"Sheet \d+/\d+$", line)] for page in lines]


def faults_of(window, folder):
    """Pages with boxes to sign in and nothing else, and headings that stand last on a page."""
    headings = set(window.locator("h1, h2").all_inner_texts())
    boxes = {*window.locator(".signatures b").all_inner_texts(), SIGNED, "Signatures"}
    faults = []
    for number, lines in enumerate(pages_of(window, folder), start=1):
        rest = lines
        for words in boxes:
            rest = [line.replace(words, "").strip() for line in rest]
        if SIGNED in " ".join(lines) and not any(rest):
            faults.append(f"page {number}: signatures alone")
        if lines and lines[-1] in headings:
            faults.append(f"page {number} ends with the heading {lines[-1]!r}")
    return faults


def test_no_barrier_is_found(paper):
    found = Axe().run(paper).response["violations"]
    assert [(rule["impact"], rule["id"], [node["html"][:80] for node in rule["nodes"]]) for rule in found] == []


@pytest.mark.parametrize("width", [TABLET, DESK])
def test_type_is_large_enough_on_a_screen(paper, width):
    paper.set_viewport_size({"width": width, "height": 1180})
    sizes = paper.evaluate(SIZES)
    assert len(sizes) > 100
    assert [found for found in sizes if not found[0] >= LEAST_TYPE - 0.01] == []


@pytest.mark.parametrize("width", [TABLET, DESK])
def test_nothing_moves_the_page_sideways(paper, width):
    """What is wider than the page scrolls in a box with a name that the keyboard reaches."""
    paper.set_viewport_size({"width": width, "height": 1180})
    assert (paper.evaluate(SIDEWAYS), paper.evaluate(UNREACHABLE)) == (0, [])


def test_every_picture_has_words(paper):
    assert [words for words in paper.evaluate(PICTURES) if len(words) < 20] == []


def test_printed_pages_end_well(paper, tmp_path):
    assert faults_of(paper, tmp_path) == []


LONG = "A line of words that is as wide as the page, or so nearly that it takes all of its first line and more."
COLUMNS = Column("What", 0.5, "label"), Column("How much", 0.5, "number")


def filled(lines, before):
    """A paper whose signatures come after so many lines, then some kind of block."""
    body = (Heading("Beginning"), *[Paragraph(LONG)] * lines, Heading("Middle"), *before)
    signed = (Heading("Signatures"), Signatures((("Made by", ""), ("Checked by", ""))))
    return page("Filled", "filled", (*body, *signed), {})


BEFORE = {
    "table": (Table("Values", COLUMNS, tuple((f"row {i}", f"{i}") for i in range(12))),),
    "words": (Paragraph(LONG), Paragraph(f"{LONG} {LONG}", quiet=True)),
    "list": (Bullets(tuple(("Mind.", LONG) for _ in range(8))),),
    "pair": (Pair((Heading("Left"), Paragraph(LONG)), (Heading("Right"), Bullets((("", LONG),) * 6))),),
}


@pytest.mark.parametrize("before", BEFORE)
def test_signatures_and_headings_never_stand_alone_wherever_the_page_ends(window, tmp_path, before):
    for lines in range(18, 44):
        window.set_content(filled(lines, BEFORE[before]))
        assert (lines, faults_of(window, tmp_path)) == (lines, [])


def test_a_page_that_ends_badly_is_found(window, tmp_path):
    """Without the rules for paper the same filling ends badly somewhere."""
    found = set()
    for lines in range(18, 44):
        html = re.sub(r"break-(before|after): avoid", "", filled(lines, BEFORE["words"]))
        window.set_content(html)
        found |= {re.sub(r"\d+", "n", fault) for fault in faults_of(window, tmp_path)}
    assert "page n: signatures alone" in found and len(found) > 1
