"""What a panel says of its job, as HTML text: the line on top, the shelf with small pictures, the history."""

from __future__ import annotations

from datetime import datetime
from html import escape

from ..blade.along_checks import changes_along
from ..draw.live_svg import section_thumbnail
from ..job.job import Job
from ..job.shelf import DEMO
from ..study.study import evaluate
from .study_tables import bullets

MOST_ENTRIES = 40
BEGINS = "your first change begins your own"
AT_ROOT = "root end shown"


def job_line(name: str, job: Job, history) -> str:
    """Which job this is, whether the section shown is that of one end, and when the job was kept last."""
    place = f"; {AT_ROOT}" if changes_along(job.blade) else ""
    if name == DEMO:
        return f'<span class="pm-job-name">Job: <b>demo</b>{place}; {BEGINS}</span>'
    title = job.design.title
    called = f"<b>{escape(name or title)}</b>" + (f", {escape(title)}" if name and title != name else "")
    kept = f"; kept {moment(history[-1].time)}" if history else "; not kept yet"
    return f'<span class="pm-job-name">Job: {called}{place}{escape(kept)}</span>'


def moment(time: str) -> str:
    """A time of the history as a shop says it: "14:03" today, else "Mon 5 Jan, 14:03"; as it is where it is no time."""
    try:
        then = datetime.fromisoformat(time)
    except ValueError:
        return time
    clock = f"{then:%H:%M}"
    today = datetime.now().astimezone().date()
    if then.date() == today:
        return clock
    year = "" if then.year == today.year else f" {then.year}"
    return f"{then:%a} {then.day} {then:%b}{year}, {clock}"


def shelf_table(shelved, name: str) -> str:
    """All jobs with a small section, title, verdict and time of the last change; `name` is the one shown."""
    rows = "".join(_shelf_row(each, each.name == name) for each in shelved)
    return f'<ul class="pm-shelf" aria-label="Jobs">{rows}</ul>'


def _shelf_row(each, shown):
    mark = " (open)" if shown else ""
    head = f"<b>{escape(each.name)}</b>{mark}"
    if each.job is None:
        return f"<li>{head}<p>cannot be read: {escape(each.wrong)}</p></li>"
    words = [escape(each.job.design.title)] if each.job.design.title != each.name else []
    words += [f"changed {escape(moment(each.time))}"] if each.time else []
    verdict = f"<p>{escape(each.verdict)}</p>" if each.verdict else ""
    return f"<li>{_thumbnail(each.job)}<div>{head}<br>{', '.join(words)}{verdict}</div></li>"


def _thumbnail(job):
    try:
        return section_thumbnail(evaluate(job.design, local=False))
    except ValueError:
        return "<p>cannot be bent so</p>"


def entry_words(entry) -> str:
    """An entry of a history in a line."""
    return f"{entry.number}: {moment(entry.time)}, {entry.what}"


def history_table(history) -> str:
    """The last changes, the newest first: when, what, by whom, and how the job stood then."""
    if not history:
        return '<p class="pm-quiet">Nothing has been kept yet.</p>'
    rows = "".join(
        f"<tr><td>{escape(moment(e.time))}</td><td>{escape(e.what)}</td><td>{escape(e.by)}</td>"
        f"<td>{escape(e.verdict)}</td></tr>"
        for e in history[-1 : -MOST_ENTRIES - 1 : -1]
    )
    more = len(history) - MOST_ENTRIES
    rest = f'<p class="pm-quiet">and {more} earlier ones in the job\'s history.jsonl</p>' if more > 0 else ""
    heads = "".join(f"<th>{head}</th>" for head in ("When", "What", "Where", "How it stood"))
    return (
        f'<table class="pm-table pm-history-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>{rest}'
    )


def papers_news(papers, link) -> str:
    """What was written, with a link to each page, what was left out and why, what became of older files."""
    pages = [path for paper in papers.written for path in paper.files if _is_page(path)]
    written = ", ".join(link(path, path.name) for path in pages)
    every = link(papers.index, papers.index.name)
    head = f"Written: {written}; all of them from {every}." if written else "Nothing written."
    return head + bullets(papers.words)


def _is_page(path):
    return path.suffix in (".html", ".pdf") and path.parent.name != "plots"
