"""Every check of a design, and nothing beside the verdict: what map, size, choice, sweep and scatter judge a design by.

A judge is a callable from a design to its `Standing`. The one here says what `evaluate` says, the framed sheet counted;
a job's judge counts what the job states beside (`job.every`). What cannot be made fails.
"""

from __future__ import annotations

from collections import ChainMap
from typing import NamedTuple

import numpy as np

from .checks import CHECKS, judge
from .design import Design
from .framed_sheet import local_quantities
from .quantities import Solved, gather
from .verdicts import BEYOND, FAILS, UNKNOWN, WORST_FIRST, lower


class Standing(NamedTuple):
    """What a design comes to, every check counted.

    verdict : the worst of all, one of `study.verdicts.VERDICTS`
    reserve : the least that is known [-]; nan where there is none
    key, name : of the governing check; "" and why, where none is known
    beyond : name of a check that is beyond what can be told; "" for none
    """

    verdict: str
    reserve: float
    key: str
    name: str
    beyond: str = ""

    @property
    def stands(self) -> bool:
        """Whether no check fails, and none is beyond what can be told."""
        return self.verdict != FAILS and not self.beyond

    @property
    def refusal(self) -> str:
        """What refuses it where it does not stand: a check that fails, or one that is beyond what can be told."""
        return (self.name or self.verdict) if self.verdict == FAILS else f"{self.beyond}, {BEYOND}"

    def words(self) -> str:
        """The verdict and what governs it, in a line."""
        if self.verdict != FAILS and self.beyond:
            return f"{self.verdict}: {lower(self.refusal)}"
        return f"{self.verdict}: {lower(self.name)}" if self.name else self.verdict


COUNTED = "forming, joint and framed sheet"  # what the judge of a design counts, in words
NONE_MADE = Standing(FAILS, float("nan"), "", "cannot be made")


def judge_design(design: Design) -> Standing:
    """`Standing` of a design: verdict, least reserve and governing check of `evaluate`, without the words."""
    try:
        return standing_of(rate_design(design))
    except ValueError:
        return NONE_MADE


def judged(judge, designs) -> list[Standing]:
    """`Standing` of each design by a judge: all at once by its `together`, if it has one."""
    together = getattr(judge, "together", None)
    return [judge(design) for design in designs] if together is None else together(designs)


def sifted(judge, designs) -> list[Standing | None]:
    """Of each design what it comes to without what takes long, by the `sift` of a judge, which never refuses what the
    judge lets stand; None for a judge that has none."""
    sift = getattr(judge, "sift", None)
    return [None] * len(designs) if sift is None else sift(designs)


def rate_design(design: Design, rules=CHECKS) -> dict:
    """Every check of a design, the framed sheet's too: {key: `study.verdicts.Rated`}. Raises as `evaluate`."""
    numbers = gather(design)
    solved = Solved(numbers)
    framed = local_quantities(design, solved.bend, tuple(rule.quantity for rule in rules if rule.local), both=False)
    return judge(numbers, ChainMap(framed, solved), rules)


def standing_of(rated: dict) -> Standing:
    """What checks come to: {key: `Rated`}, in the order of `study.checks.CHECKS`."""
    return standing([_of_one(key, one) for key, one in rated.items()])


def _of_one(key, one):
    name = _NAMES[key]
    return Standing(one.verdict, float(one.reserve), key, name, name if one.beyond and one.unknown else "")


def standing(checks) -> Standing:
    """What checks come to, each a `Standing` of its own: the worst verdict; the first of the least reserves governs."""
    words = {check.verdict for check in checks}
    verdict = next((word for word in WORST_FIRST if word in words), UNKNOWN)
    least = min((c for c in checks if not np.isnan(c.reserve)), key=lambda c: c.reserve, default=None)
    beyond = next((check.beyond for check in checks if check.beyond), "")
    least = Standing(verdict, np.nan, "", "") if least is None else least
    return least._replace(verdict=verdict, beyond=beyond)


_NAMES = {rule.key: rule.name for rule in CHECKS}
