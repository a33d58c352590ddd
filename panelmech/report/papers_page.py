"""The front page of a job's papers: how each paper stands, what it counted and what not, and links to all files."""

from __future__ import annotations

from ..job.job import Job
from ..job.verdict import Verdict
from ..study.verdicts import lower
from .blocks import Banner, Bullets, Heading, Links, Origin, Paragraph
from .html_page import page
from .job_words import job_banner, job_words
from .note import foot_of
from .note_text import title_block, title_of
from .shop_sheets import SHEETS

INDEX = "index.html"
MARK = "panelmech papers"
TITLES = {"note": "Design note", "inspection": "Inspection record", "loads": "Load record", "shop": "Shop pack"}
READ, PRINT = "to read", "to print"


def _pages(stem):
    return (f"{stem}.html", READ), (f"{stem}.pdf", PRINT)


PAGES = {  # what of each paper is linked: ((what it is, ((path from the front page, what for), …)), …)
    "note": (("Design note", _pages("note/note")),),
    "inspection": (("Inspection record", _pages("inspection/inspection")),),
    "loads": (("Load record", _pages("loads/loads")),),
    "shop": (
        *((words.capitalize(), _pages(f"shop/{name}")) for name, words in SHEETS.items()),
        ("Templates at true scale", (("shop/templates/templates.pdf", PRINT),)),
    ),
}
BESIDE = {
    "note": "Its tables are beside it as CSV, the study file with its results as study.json, drawings in note/plots.",
    "inspection": "The readings are beside it as CSV, drawings in inspection/plots.",
    "loads": "Part, loads, checks and diagrams are beside it as JSON and CSV, drawings in loads/plots.",
    "shop": "The sheets are beside them as CSV, each template as SVG, DXF and CSV in shop/templates, drawings in "
    "shop/plots.",
}
SAME_STATE = "All papers here come from the same state of the job, and each page names it by its hash."
PART_OF = {"note": "design", "inspection": "pair", "loads": "loads", "shop": "shop"}  # what of a verdict a paper shows


def index_page(job: Job, origin: Origin, verdict: Verdict, there, why: dict) -> str:
    """The page as HTML.

    verdict : of the job
    there : kinds of the papers that stand in the folder
    why : {kind: why there is no such paper}
    """
    design, stamp = job.design, job.design.input_hash()
    blocks = [title_block(design, "Papers of a job", stamp, origin=origin), job_banner(verdict)]
    blocks += [Paragraph(job_words(verdict)), Paragraph(_front_words(why))]
    for kind, title in TITLES.items():
        blocks += [Heading(title), *_paper_blocks(kind, verdict.of(PART_OF[kind]), kind in there, why.get(kind, ""))]
    blocks += [
        Heading("Files"),
        Links((("List of all files, by which a later writing knows its own", (("papers.csv", "CSV"),)),)),
    ]
    foot = foot_of(design, f"inputs {stamp}", origin)
    return page(title_of(design), foot, tuple(blocks), {}, "papers of the job", MARK)


def _front_words(why):
    missing = ", ".join(lower(TITLES[kind]) for kind in TITLES if kind in why)
    return f"{SAME_STATE} Not written, for what stands below: {missing}." if missing else SAME_STATE


def _paper_blocks(kind, part, there, why):
    if part is None or part.record is None:
        yield Paragraph(f"Not written: {why}{'' if why.endswith('.') else '.'}")
        return
    yield Banner(part.word, part.told)
    told = (("Counted:", f"{part.counted}."), ("Not counted:", f"{part.not_counted}."))
    yield Bullets(told)
    if not there:
        yield Paragraph("This paper has not been written of this state.")
        return
    yield Links(PAGES[kind])
    yield Paragraph(BESIDE[kind], quiet=True)
