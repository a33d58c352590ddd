"""How a job stands, as it is shown on the first page of every paper of it: one banner, and what was counted where."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

from ..blade.blade import Blade
from ..draw.letters import not_drawable
from ..job.job import Job
from ..job.verdict import Verdict, judge_job
from ..loads.record import LoadRecord
from ..measured.pair import PairReport
from ..shop.choices import ShopChoices
from ..study.design import Design
from ..study.verdicts import said
from .blocks import Banner, Bullets, Paragraph


def job_banner(verdict: Verdict) -> Banner:
    """The verdict of the job and what governs it."""
    return Banner(verdict.word, verdict.headline, about="The job")


def job_words(verdict: Verdict) -> str:
    """What is counted for the job, what is not, and where shop and design do not agree, in sentences."""
    apart = f" Checked and weighed are not the same: {verdict.apart}." if verdict.apart else ""
    return f"{verdict.counted}{apart}"


def with_job(blocks: tuple, verdict: Verdict, kinds: tuple) -> tuple:
    """The blocks of a paper with the job's verdict below its title block, and what this paper has counted of it and
    what not. `kinds`: of the job's parts those that stand in this paper."""
    told = Bullets(tuple(_counted(verdict, kinds)))
    return (blocks[0], *lacking(blocks), job_banner(verdict), told, *blocks[1:])


def lacking(blocks: tuple):
    """Which letters of a paper no font here can draw, told by their numbers; nothing where all can be."""
    letters = not_drawable(repr(blocks))
    if letters:
        names = ", ".join(f"U+{ord(letter):04X} {unicodedata.name(letter, '')}".strip() for letter in letters)
        yield Paragraph(f"The font of papers and drawings lacks these letters, and a box stands for each: {names}.")


def with_job_in_short(blocks: tuple, verdict: Verdict, kind: str) -> tuple:
    """The same for a sheet that must stay short: all in the banner."""
    lines = " ".join(f"{lead} {words}" for lead, words in _counted(verdict, (kind,)))
    return (blocks[0], *lacking(blocks), replace(job_banner(verdict), advice=lines), *blocks[1:])


def _counted(verdict, kinds):
    """(what it is, words) of what this paper has counted, then of what it has not."""
    for part in verdict.parts:
        if part.kind in kinds:
            lead = f"Counted here, {part.title}, {said(part.word)}:"
            yield lead, f"{part.counted}. Not counted: {part.not_counted}."
    others = [f"{part.title}, {said(part.word)}" for part in verdict.parts if part.kind not in kinds]
    elsewhere = f"{'; '.join(others)}." if others else "nothing."
    nowhere = f" Not counted anywhere: {', '.join(verdict.not_there)}." if verdict.not_there else ""
    yield "Counted in other papers:", f"{elsewhere}{nowhere}"
    if verdict.apart:
        yield "Checked and weighed are not the same:", f"{verdict.apart}."


def job_of(
    part: Design | Blade,
    pair: PairReport | None = None,
    loads: LoadRecord | None = None,
    shop: ShopChoices | None = None,
) -> Job:
    """The job of a paper that is written of a part and of what else is given, not of a job; what is not given is as in
    a new job."""
    job = Job(part, loads=None if loads is None else loads.sheet, shop=shop or ShopChoices())
    return job if pair is None else job.replace(readings=pair.given, camber=pair.tolerance)


def judged_job(verdict: Verdict | None, *given, **more) -> Verdict:
    """A verdict, or where there is none that of the job of what is given; see `job_of`."""
    return judge_job(job_of(*given, **more)) if verdict is None else verdict
