"""The verdict on a measured pair in sentences: what it rests on, why it is not sure yet, which reading to repeat."""

from __future__ import annotations

from ..study.verdicts import UNSURE
from ..units import capital, show, show_measured
from .repeats import MOST, repeats_for


def verdict_words(report) -> str:
    """The verdict on the pair in sentences; why it is not sure yet comes first."""
    camber = report.camber
    size = show_measured(abs(camber.value), camber.expanded, "mm")
    laid = f"Laid with the {report.inspection.pairings[0].flip}, the" if any(report.bows) else "The"
    words = (
        f"{laid} blade's mean line ends {size} (95 %) towards sheet {towards(camber.value)}, "
        f"{show(report.tolerance, 'mm', 3)} allowed.{drawn_words(report)} Bending stiffness of A over that of B: "
        f"{show_measured(report.ratio.value, report.ratio.expanded)} (95 %)."
    )
    return " ".join([*(unsure_words(report) if report.verdict == UNSURE else ()), words])


def drawn_words(report) -> str:
    """What was drawn, with a blank before it, where the linear rule does not hold; else ""."""
    drawn = report.drawn
    if drawn is None:
        return ""
    how = f" By {drawn.count} draws (seed {drawn.seed}), since ± does not hold to a tenth here,"
    if drawn.unbent > 0.05:
        return f"{how} {show(drawn.unbent, '%', 2)} of such pairs cannot be bent."
    ends = " and ".join(show(v, "mm", 2) for v in (drawn.low, drawn.high))
    return f"{how} 95 % lie between {ends}, towards A positive."


def unsure_words(report):
    """Sentences that say why the verdict is not sure yet."""
    if report.doubts:
        yield f"{doubt_words(report.doubts)} What is in doubt is not counted."
    if not report.sure:
        yield f"The tolerance lies within what the readings leave open (95 %); what counts most is the {_most(report)}."
        yield from repeat_words(report)
    if report.missing:
        yield f"Still to be measured: {'; '.join(report.missing)}."


def _most(report):
    name = report.camber.dominant
    return f"{name} ({show(report.camber.share(name), '%', 2)} of the variance)"


def repeat_words(report):
    """Sentences on which reading to take again and how often, or that it does not help."""
    found = repeats_for(report.inputs, report.camber, report.room)
    if found.sure:
        return
    if found.more:
        again = "; ".join(f"{name}, {_more(count)}" for name, count in found.more.items())
        yield f"Read again, these would make it sure if the rest stays as it is: {again}."
    elif found.hopeless:
        yield (
            f"Repeating does not help: ± {show(found.left, 'mm', 2)} stays however often all is read again, and the "
            f"camber is {show(found.room, 'mm', 2)} from the tolerance; most of that comes from the {found.rules}. "
            "Only a finer step there, or a reading where there is none, can."
        )
    else:
        yield f"Repeating alone would take more than {MOST} further readings; a finer step can spare some of them."


def _more(count):
    return "one more reading" if count == 1 else f"{count} more readings"


def known_words(report) -> tuple:
    """What is known of a pair, what is not, and what to do about it, in sentences."""
    camber = report.camber
    ranked = sorted(camber.contributions, key=camber.contributions.get, reverse=True)[:3]
    shares = "; ".join(f"{name}, {show(camber.share(name), '%', 2)}" for name in ranked)
    known = (
        f"Known: the camber to ± {show(camber.expanded, 'mm', 2)} (95 %); it is {show(report.room, 'mm', 2)} from the "
        f"tolerance. Of the variance: {shares}."
    )
    enough = "No reading need be repeated for this tolerance." if report.sure else "Which to repeat is not told here."
    do = tuple(repeat_words(report)) or (enough,)
    return (known, *(f"{capital(words)}." for words in report.taken), *do)


def doubt_words(doubts) -> str:
    """Doubts about readings in sentences."""
    return " ".join(capital(doubt.line) for doubt in doubts)


def towards(offset: float) -> str:
    """The sheet an offset points to."""
    return "A" if offset > 0 else "B"
