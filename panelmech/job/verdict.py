"""The verdict of a job: the one place that judges everything a builder has settled for a part.

A job is judged in parts: the design along the span, the two sheets as measured, the part under its loads with its
fittings, the pours of the shop. Each part counts where the job has it; the worst of them is the word of the job. What
cannot be worked out is a part that fails or is unknown, with its words. Papers, panels, history and commands show what
is judged here, and judge nothing themselves.
"""

from __future__ import annotations

import json
import re
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache, partial
from math import inf, isfinite, isnan

from ..blade.along_checks import along_span
from ..loads.in_place import with_loads
from ..loads.record import judged, record_of
from ..measured.as_measured import as_measured
from ..measured.pair import judge_pair
from ..measured.pair_words import verdict_words
from ..measured.readings import NotSureYet
from ..mechanics.bend import InfeasibleBend
from ..shop.lifts import deepest_lift, pack_heat
from ..shop.pack import shop_pack
from ..study.design import Design
from ..study.every import Standing
from ..study.study import evaluate
from ..study.verdicts import (
    BEYOND,
    CLOSE,
    FAILS,
    HOLDS,
    UNKNOWN,
    UNSURE,
    Check,
    Judged,
    check_of,
    lower,
    not_judged,
    rate,
    said,
)
from ..units import capital, lengths, show
from .agree import agree
from .every import judge_of
from .job import Job, to_sections

WORST_FIRST = (FAILS, UNKNOWN, UNSURE, CLOSE, HOLDS)
PARTS = {
    "design": "the design",
    "pair": "the two sheets",
    "measured": "the part with its sheets as measured",
    "loads": "the part under its loads",
    "shop": "the pours",
}
AS_MEASURED = "measured"  # key of the check of a part with its sheets as measured
NOT_STATED = {"pair": "two sheets (none measured)", "loads": "loads (none stated)"}
DESIGN_NOT = "strength and fatigue in use, impact, fittings, water or heat acting on a closed hollow"
NOT_BENT = "Not worked out: the part cannot be bent."
SHOP_NOT = "whether the part holds, and what the resin's own data sheet asks for"


@dataclass(frozen=True, eq=False)
class Part(Judged):
    """One of the things that a job is judged by.

    kind : one of `PARTS`
    word : one of `WORST_FIRST`
    told : what governs, or why it could not be worked out, in sentences
    checks : of the part; none where it could not be worked out
    counted, not_counted : in words, without a full stop
    record : what was worked out: (study of the root end, `SpanStudy` or None), `PairReport`, (`AsMeasured`, …),
        `LoadRecord` or `ShopPack`; None where that could not be
    bent : False where the sheets cannot be bent so
    """

    kind: str
    word: str
    told: str
    checks: tuple[Check, ...] = ()
    counted: str = "nothing"
    not_counted: str = "everything: it could not be worked out"
    record: object = None
    bent: bool = True

    @property
    def title(self) -> str:
        """What it is, within a sentence."""
        return PARTS[self.kind]

    @property
    def verdict(self) -> str:
        """The word: of the two sheets also "unsure"."""
        return self.word

    def headline(self) -> str:
        """What governs, or why it could not be worked out, in sentences."""
        return self.told

    @property
    def line(self) -> str:
        """What it is, its word, and what governs."""
        return f"{capital(self.title)}: {said(self.word)}. {self.told}"

    @property
    def failing(self) -> tuple:
        """Checks that neither hold nor are close."""
        return tuple(c for c in self.limits if c.verdict not in (HOLDS, CLOSE))


@dataclass(frozen=True, eq=False)
class Verdict:
    """How a job stands.

    job_hash : of the job judged
    parts : every `Part` that the job has
    apart : where what is checked is not what is weighed, in words; "" where they are the same
    """

    job_hash: str
    parts: tuple[Part, ...]
    apart: str = ""

    @property
    def word(self) -> str:
        """The worst word of all parts."""
        return worst_word(part.word for part in self.parts)

    @property
    def holds(self) -> bool:
        """Whether nothing fails, is unknown or not sure yet."""
        return self.word in (HOLDS, CLOSE)

    @property
    def bent(self) -> bool:
        """Whether the sheets can be bent so, all along the span."""
        return self.parts[0].bent

    def of(self, kind: str) -> Part | None:
        """The part of a kind; None where the job does not have it."""
        return next((part for part in self.parts if part.kind == kind), None)

    @property
    def governing(self) -> tuple[Part, Check | None]:
        """(part, check) that governs: of those with the job's own word the least reserve; a part that could not be
        worked out has no check, and goes before."""
        worst = [part for part in self.parts if part.word == self.word]
        bare = [(part, None) for part in worst if not part.checks]
        found = [(part, check) for part in worst for check in part.limits if check.verdict == self.word]
        return bare[0] if bare else min(found, key=lambda pair: _order(pair[1]))

    @property
    def failing(self) -> tuple:
        """(part, check) of everything that neither holds nor is close; no check of a part that could not be worked
        out."""
        bad = [part for part in self.parts if part.word not in (HOLDS, CLOSE)]
        return tuple((part, check) for part in bad for check in part.failing or (None,))

    @property
    def headline(self) -> str:
        """What governs, of which part, in sentences."""
        part, check = self.governing
        if check is None or self.word == UNSURE:
            words, named = f"{capital(part.title)}: {_first(part.told)}", 1
        elif self.word == UNKNOWN:
            each = [p for p in self.parts if p.unknown]
            words = " ".join(f"{capital(p.title)}: {lower(not_judged(p.unknown))}" for p in each)
            named = sum(len(p.unknown) for p in each)
        else:
            words, named = f"Governing, of {part.title}: {check_words(check)}.", 1
        more = len(self.failing) - named
        return f"{words} {more} more {'does' if more == 1 else 'do'} not hold." if more > 0 else words

    @property
    def line(self) -> str:
        """How the job stands, in one line."""
        return f"The job: {self.stood}"

    @property
    def stood(self) -> str:
        """The word and what governs, as it stands in a history."""
        return f"{said(self.word)}. {self.headline}"

    @property
    def not_there(self) -> tuple:
        """What the job does not have, so that it is not counted, in words."""
        there = {part.kind for part in self.parts}
        return tuple(words for kind, words in NOT_STATED.items() if kind not in there)

    @property
    def counted(self) -> str:
        """What is counted, part by part, and what is not, in a sentence or two."""
        words = f"Counted: {'; '.join(f'{part.title}, {said(part.word)}' for part in self.parts)}."
        return f"{words} Not counted: {', '.join(self.not_there)}." if self.not_there else words

    @property
    def lines(self) -> tuple:
        """All of it in lines: the job, each part, what is not there, where shop and design do not agree."""
        not_there = self.not_there and f"Not counted: {', '.join(self.not_there)}."
        apart = self.apart and f"Checked and weighed are not the same: {self.apart}."
        return (self.line, *(part.line for part in self.parts), *filter(None, (not_there, apart)))


def worst_word(words) -> str:
    """The worst of some words; "unknown" of none."""
    there = set(words)
    return next((word for word in WORST_FIRST if word in there), UNKNOWN)


def check_words(check: Check) -> str:
    """A check with its value, its limit, what is left and where, in words without a full stop."""
    reserve = f"; reserve {check.reserve_text().replace(' ×', ' times')}" if isfinite(check.reserve) else ""
    along = f"{show(check.position, 'mm', 3)} from the root" if isfinite(check.position) else ""
    place = f"; {check.where_text() or along}" if check.case or along else ""
    why = f"; {check.advice}" if isnan(check.reserve) and check.verdict == CLOSE else ""  # no number says why
    told = lower(check.name) if check.key == AS_MEASURED else check.judged_text()  # a reserve is all there is of it
    return f"{told}{reserve}{place}{why}"


def _first(sentences):
    """The first of some sentences."""
    return re.match(r".*?[.?](?= [A-Z]|$)|.*", sentences, re.DOTALL)[0]


def _order(check):
    return inf if isnan(check.reserve) else check.reserve


def parts_of(job: Job) -> tuple:
    """Kinds of the parts that a job has."""
    return tuple(kind for kind in PARTS if _has(job, kind))


def stages_of(job: Job) -> tuple:
    """What there is to do to judge a job, in stages that keep nobody waiting for long: functions of the job, after
    which `judge_job` has all ready. Each raises nothing that a part would not tell in its words."""
    return tuple(stage for kind in parts_of(job) for stage in (*_AHEAD.get(kind, ()), partial(_judged, kind)))


def _judged(kind, job):
    judge_part(job, kind)


def _deepest_lift(job):
    with suppress(ValueError):
        deepest_lift(job.blade, job.shop)


def _heat_of_pours(job):
    with suppress(ValueError):
        pack_heat(job.blade, job.shop)


_AHEAD = {"shop": (_deepest_lift, _heat_of_pours)}  # of a part: what it has by then


def judge_part(job: Job, kind: str) -> Part:
    """One part of a job by itself, for those who work a job out a part at a time; `judge_job` then has it ready. What
    of the design the loads judge in its place is not left out yet."""
    return _part(_Asked(kind, job, to_sections(job), lengths()))


def judge_job(job: Job) -> Verdict:
    """Judge a job. Never raises for what a builder may have: what cannot be worked out is a part with its words.

    The same part of a job is worked out once, and kept for the next time, in the lengths that are shown now.

    >>> from panelmech.blade import Blade
    >>> from panelmech.job import demo
    >>> judge_job(Job(Blade(demo().design.replace(friction=0.05)))).line
    'The job: fails. Governing, of the design: friction needed to hold the rod, 0.0625 with 0.0500 allowed;
    reserve 0.800 times.'
    """
    sections, shown = to_sections(job), lengths()
    parts = [_part(_Asked(kind, job, sections, shown)) for kind in parts_of(job)]
    parts = [part for part in parts if part.kind != "measured" or part.record]  # what is not measured the pair tells
    first, *rest = parts
    first = _beside_loads(first, next((part.record for part in rest if part.kind == "loads"), None))
    if not first.bent:  # said once
        rest = [Part(part.kind, UNKNOWN, NOT_BENT) if part.told == first.told else part for part in rest]
    return Verdict(job.input_hash(), (first, *rest), agree(job))


def _has(job, kind):
    measured = bool(job.readings.rows)
    return {"pair": measured, "measured": measured, "loads": job.loads is not None}.get(kind, True)


_NEEDS = {  # sections of the job's file that a part hangs on
    "design": ("design", "part"),
    "pair": ("design", "readings", "job"),
    "measured": ("design", "part", "readings", "loads", "job"),
    "loads": ("design", "part", "loads"),
    "shop": ("design", "part", "shop"),
}


class _Asked:
    """A part of a job that is asked for, the same as another where all that it hangs on is the same."""

    def __init__(self, kind, job, sections, shown):
        self.kind, self.job = kind, job
        needs = {name: sections[name] for name in _NEEDS[kind]}
        self._key = kind, shown, json.dumps(needs, sort_keys=True)

    def __eq__(self, other):
        return self._key == other._key

    def __hash__(self):
        return hash(self._key)


@lru_cache(maxsize=16)
def _part(asked: _Asked) -> Part:
    try:
        return _JUDGES[asked.kind](asked.job)
    except NotSureYet as error:
        return Part(asked.kind, UNSURE, _sentence(error))
    except InfeasibleBend as error:
        return Part(asked.kind, FAILS, f"Cannot be bent so: {_sentence(error)}", bent=False)
    except ValueError as error:
        return Part(asked.kind, UNKNOWN, f"Cannot be worked out: {_sentence(error)}")


def _sentence(error):
    words = capital(str(error))
    return words if words.endswith(".") else f"{words}."


def _count(number, what):
    return f"{number} {what}{'' if number == 1 else 's'}"


def _design(job):
    return _design_part(evaluate(job.design), along_span(job.blade))


def _design_part(root, along, record=None):
    study, record = along or root, record or (root, along)
    places = f", at {len(along.position)} places from root end to tip" if along else ""
    whole = len(study.limits) == len((record[1] or record[0]).limits)
    of = (
        "forming, joint and one framed sheet" if whole else "forming and joint; the framed sheet is judged by the loads"
    )
    counted = f"{_count(len(study.limits), 'check')} of {of}{places}"
    return Part("design", study.verdict, study.headline(), study.checks, counted, DESIGN_NOT, record)


def _beside_loads(part, loads):
    """The design as it counts beside loads: what they judge better counts there (`loads.in_place`)."""
    if part.record is None or loads is None:
        return part
    root, along = part.record
    return _design_part(with_loads(root, loads.study), along and with_loads(along, loads.study), part.record)


def _pair_report(job):
    return judge_pair(job.design, job.readings, job.camber, job.offsets_from)


def _pair(job):
    report = _pair_report(job)
    given, counts = len(report.given.rows), len(report.readings.rows)
    doubts = f"{_count(given - counts, 'reading')} in doubt" if given != counts else ""
    missing = f"still to be measured: {'; '.join(report.missing)}" if report.missing else ""
    left = "; ".join(filter(None, (doubts, missing))) or "no reading"
    counted = f"{counts} of {_count(given, 'reading')}"
    return Part("pair", report.verdict, verdict_words(report), (_camber(report),), counted, left, report)


def _camber(report):
    """The camber of the two sheets as a check; its word is that on the sheets."""
    rated = rate(abs(report.camber.value), report.tolerance, report.design.close_share)
    check = check_of(rated, "camber", "Camber of the two sheets", "mm", "user", "tolerance as entered")
    return Check(**{**vars(check), "verdict": report.verdict})


@dataclass(frozen=True)
class AsMeasured:
    """How the part stands with both sheets like one of the pair, every check of design and loads counted.

    name : what the sheets are like
    design : at the root end, with these sheets
    standing : how the whole part stands
    """

    name: str
    design: Design
    standing: Standing

    @property
    def check(self) -> Check:
        """Its least reserve as a check."""
        reserve, found = self.standing.reserve, self.standing
        name, source = f"{found.name or 'Every check'}, with {self.name}", "every check, worked out again as measured"
        more = f"{found.beyond}: {BEYOND}" if found.beyond else ""
        told = {"basis": "derived", "source": source, "advice": more, "need": "at least"}
        return Check(AS_MEASURED, name, reserve, 1.0, reserve, found.verdict, "x", **told)


def _measured(job):
    report = judge_part(job, "pair").record or _pair_report(job)  # or why there is none
    judge = judge_of(job)
    names = ("the sheets as designed", *(f"both sheets like {sheet.name}" for sheet in report.sheets))
    designs = (job.design, *as_measured(report))
    found = tuple(AsMeasured(name, d, judge(d)) for name, d in zip(names, designs, strict=True))
    checks = tuple(one.check for one in found[1:])
    governing = min(checks, key=lambda check: (WORST_FIRST.index(check.verdict), _order(check)))
    told = f"Governing: {check_words(governing)}."
    counted = "every check of design and loads, with thickness and modulus of either sheet as measured"
    left = "what was not measured of the sheets, taken as their stock has it, and the pours"
    return Part("measured", worst_word(c.verdict for c in checks), told, checks, counted, left, found)


def _loads(job):
    record = record_of(job.blade, job.loads)
    study = judged(record)
    fittings = f" and {_count(len(record.fittings), 'check')} of fittings" if record.fittings else ""
    own = _count(len(study.limits) - len(record.fittings), "check")
    left = study.notes[-1].removeprefix("Left out: ").rstrip(".")
    local = "" if study.plan.local else "; pressing in of the framed sheet under the cases' own pressures"
    counted = f"{_count(len(study.names), 'load case')}: {own}{fittings}"
    return Part("loads", study.verdict, study.headline(), study.checks, counted, f"{left}{local}", record)


@dataclass(frozen=True)
class _Pours(Judged):
    """The checks of a pack's pours; of temperatures there is no reserve, and yet they may be what the verdict is by."""

    checks: tuple

    def headline(self) -> str:
        """As of every table of checks; where one without a reserve has the worst verdict, that one and its advice."""
        worst = [check for check in self.limits if check.verdict == self.verdict]
        if self.verdict not in (FAILS, CLOSE) or not all(isnan(check.reserve) for check in worst):
            return super().headline()
        advice = f" {capital(worst[0].advice)}." if self.verdict == FAILS else ""
        return f"Governing: {check_words(worst[0])}.{advice}"


def _shop(job):
    pack = shop_pack(job.blade, job.shop)
    pours = _Pours(pack.checks)
    counted = f"{_count(len(pack.pours), 'pour')}: {_count(len(pours.limits), 'check')}"
    return Part("shop", pours.verdict, pours.headline(), pours.checks, counted, SHOP_NOT, pack)


_JUDGES = {"design": _design, "pair": _pair, "measured": _measured, "loads": _loads, "shop": _shop}
