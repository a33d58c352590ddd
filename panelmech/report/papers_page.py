"""The front page of a job's papers: how each paper stands, what it counted and what not, and links to all files."""

from __future__ import annotations

from dataclasses import dataclass

from ..job.job import Job
from ..study.verdicts import Judged, lower, said
from . import pair_rows
from .blocks import Banner, Bullets, Heading, Links, Origin, Paragraph
from .html_page import page
from .note import foot_of
from .note_text import title_block, title_of
from .records import judged
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
DESIGN_NOT = "strength and fatigue in use, impact, fittings, water or heat acting on a closed hollow"
SHOP_NOT = "whether the part holds, which the design note tells, and what the resin's own data sheet asks for"


@dataclass(frozen=True)
class Standing:
    """How a paper stands.

    verdict : one of `study.verdicts.VERDICTS`, or "unsure"
    headline : what governs, in sentences
    counted, not_counted : in words, without a full stop
    """

    verdict: str
    headline: str
    counted: str
    not_counted: str

    @property
    def words(self) -> str:
        """Verdict and headline."""
        return f"{said(self.verdict)}. {self.headline}"


@dataclass(frozen=True)
class _Pours(Judged):
    """The checks of a pack's pours."""

    checks: tuple


def standings(made: dict) -> dict:
    """{kind: `Standing`} of what was `made` of a job: {kind: (study, along the span or None), pair report, load record,
    shop pack}."""
    how = {"note": _design, "inspection": _pair, "loads": _loads, "shop": _pours}
    return {kind: how[kind](record) for kind, record in made.items()}


def _count(number, what):
    return f"{number} {what}{'' if number == 1 else 's'}"


def _design(record):
    root, along = record
    study = along or root
    places = f", at {len(along.position)} places from root end to tip" if along else ""
    counted = f"{_count(len(study.limits), 'check')} of forming, joint and one framed sheet{places}"
    return Standing(study.verdict, study.headline(), counted, DESIGN_NOT)


def _pair(report):
    given, counts = len(report.given.rows), len(report.readings.rows)
    doubts = f"{_count(given - counts, 'reading')} in doubt" if given != counts else ""
    missing = f"still to be measured: {'; '.join(report.missing)}" if report.missing else ""
    left = "; ".join(filter(None, (doubts, missing))) or "no reading"
    return Standing(report.verdict, pair_rows.verdict_words(report), f"{counts} of {_count(given, 'reading')}", left)


def _loads(record):
    study = judged(record)
    fittings = f" and {_count(len(record.fittings), 'check')} of fittings" if record.fittings else ""
    counted = f"{_count(len(study.names), 'load case')}: {_count(len(study.limits) - len(record.fittings), 'check')}"
    left = study.notes[-1].removeprefix("Left out: ").rstrip(".")
    local = "" if study.plan.local else "; pressing in of the framed sheet under the cases' own pressures"
    return Standing(study.verdict, study.headline(), f"{counted}{fittings}", f"{left}{local}")


def _pours(pack):
    pours = _Pours(pack.checks)
    counted = f"{_count(len(pack.pours), 'pour')}: {_count(len(pours.limits), 'check')}. Cure data: {pack.heat.label}"
    return Standing(pours.verdict, pours.headline(), counted, SHOP_NOT)


def index_page(job: Job, origin: Origin, standing: dict, there, why: dict) -> str:
    """The page as HTML.

    standing : {kind: `Standing`}
    there : kinds of the papers that stand in the folder
    why : {kind: why there is no such paper}
    """
    design, stamp = job.design, job.design.input_hash()
    blocks = [title_block(design, "Papers of a job", stamp, origin=origin), Paragraph(_front_words(why))]
    for kind, title in TITLES.items():
        blocks += [Heading(title), *_paper_blocks(kind, standing.get(kind), kind in there, why.get(kind, ""))]
    blocks += [
        Heading("Files"),
        Links((("List of all files, by which a later writing knows its own", (("papers.csv", "CSV"),)),)),
    ]
    foot = foot_of(design, f"inputs {stamp}", origin)
    return page(title_of(design), foot, tuple(blocks), {}, "papers of the job", MARK)


def _front_words(why):
    missing = ", ".join(lower(TITLES[kind]) for kind in TITLES if kind in why)
    return f"{SAME_STATE} Not written, for what stands below: {missing}." if missing else SAME_STATE


def _paper_blocks(kind, standing, there, why):
    if standing is None:
        yield Paragraph(f"Not written: {why}{'' if why.endswith('.') else '.'}")
        return
    yield Banner(standing.verdict, standing.headline)
    told = (("Counted:", f"{standing.counted}."), ("Not counted:", f"{standing.not_counted}."))
    yield Bullets(told)
    if not there:
        yield Paragraph("This paper has not been written of this state.")
        return
    yield Links(PAGES[kind])
    yield Paragraph(BESIDE[kind], quiet=True)
