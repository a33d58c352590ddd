"""Shares of parts that were drawn at random: how many, how sure, and what is not known, in words.

The interval is that of Clopper and Pearson (Biometrika 26, 1934; from memory): exact for a count of independent parts,
on the safe side. Of none in n the upper bound at 95 % is 1 - 0.05^(1/n), close to 3/n ("rule of three": Hanley and
Lippman-Hand, JAMA 249, 1983; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import scipy

from ..units import read_count, read_number, show

SURE = 0.95
INTERVAL = "Clopper–Pearson, 95 %"
MOST = 10**12  # parts; the bounds keep their digits up to there


@dataclass(frozen=True)
class Share:
    """Of `of` parts drawn: `count` surely are so, `undecided` hang on the error of what was read, of `unknown` nobody
    can say."""

    count: int
    of: int
    undecided: int = 0
    unknown: int = 0

    @property
    def value(self) -> float:
        """The share of those that surely are so [-]; nan where it is of none known."""
        return float("nan") if not self.known else self.count / self.of

    @property
    def known(self) -> bool:
        """Whether anything can be said: not all are unknown."""
        return self.of > 0 and self.unknown < self.of

    @property
    def interval(self) -> tuple:
        """(least, most) share of all parts ever built so, at 95 % [-]: chance and undecided parts counted; a bound at
        none or all is one-sided. Of those that are not known it says nothing."""
        return interval(self.count, self.of)[0], interval(self.count + self.undecided, self.of)[1]

    def words(self) -> str:
        """As it is told: "22.5 % (21.9 to 23.1 %)", "0 of 20 000: below 0.015 %", "not known"."""
        if not self.known:
            return "not known"
        low, high = self.interval
        if self.count == 0 and self.unknown:
            told = f"none seen in {_grouped(self.of)}"
        elif self.count == 0:
            told = f"0 of {_grouped(self.of)}: below {show(high, '%', 2)}"
        elif self.count == self.of:
            told = f"all {_grouped(self.of)}: all but {show(1.0 - low, '%', 2)} at most"
        else:
            told = f"{show(self.value, '%', 3)} ({show(low, '%', 3).removesuffix(' %')} to {show(high, '%', 3)})"
        told = f"at least {told}" if self.unknown and self.count else told
        more = [f"{_grouped(self.undecided)} undecided"] if self.undecided else []
        if self.unknown:
            rest = self.count + self.undecided + self.unknown == self.of
            more.append("the rest not known" if rest else f"{show(self.unknown / self.of, '%', 2)} not known")
        return "; ".join((told, *more))


def interval(count: int, of: int, sure: float = SURE) -> tuple[float, float]:
    """Clopper–Pearson interval of a share, from a count of parts drawn independently [-].

    Two-sided, half of what is left open on either side; one-sided where the count is none or all. Raises ValueError for
    more than a million million parts, and for `sure` outside 0.5 to 1.

    >>> [round(bound, 4) for bound in interval(0, 20_000)]
    [0.0, 0.0001]
    >>> [round(bound, 3) for bound in interval(45, 200)]
    [0.169, 0.289]
    """
    of = read_count(of, "count of parts", 1, MOST)
    count = read_count(count, "count", 0, of)
    left = 1.0 - read_number(sure, "sure", low=0.5, high=1.0 - 1e-9)
    left = left if count in (0, of) else 0.5 * left
    low = 0.0 if count == 0 else float(scipy.special.betaincinv(count, of - count + 1, left))
    high = 1.0 if count == of else float(scipy.special.betaincinv(count + 1, of - count, 1.0 - left))
    return low, high


def _grouped(number):
    return f"{number:,}".replace(",", "\u202f")
