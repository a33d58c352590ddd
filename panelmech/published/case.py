"""One published value and what the package gives for the same case: the record, its comparison, and a list of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property

from .sources import SOURCES

READ, QUOTED, MEMORY, FORMULA = "read", "read as quoted elsewhere", "from memory", "computed from its formula"
HOWS = (READ, QUOTED, MEMORY, FORMULA)  # how a published value was got
OWN = "second road"  # of a cross-check, which proves no more than that two roads of ours agree


@dataclass(frozen=True)
class Case:
    """A published value, the function that gives ours, and how far apart the two may be.

    words : what is compared, with the unit of both numbers where they have one
    given : the value as it stands in the source, or the function that works it out from the source's formula
    ours : gives the package's value, of the same unit; called when the comparison is made, not before
    source : key of `sources.SOURCES`; "" for a cross-check
    place : table, equation or page of the source; of a cross-check the other road
    how : one of `HOWS`, or `OWN`
    tolerance : greatest difference, as a share of the published value, or of its unit where `absolute`
    why : the reason for the tolerance: the source's rounding or the method's error
    """

    words: str
    given: float | Callable[[], float]
    ours: Callable[[], float] = field(repr=False)
    source: str
    place: str
    how: str
    tolerance: float
    why: str
    absolute: bool = False

    def __post_init__(self):
        if (self.how == OWN) != (self.source == "") or self.how not in (*HOWS, OWN):
            raise ValueError(f"{self.words}: a cross-check has no source, every other case one, and how it was got")
        if self.source and self.source not in SOURCES:
            raise ValueError(f"{self.words}: the source {self.source!r} is not among those of `published.sources`")

    @cached_property
    def published(self) -> float:
        """The published value."""
        return float(self.given() if callable(self.given) else self.given)

    def compare(self) -> Compared:
        """The case worked out now."""
        return Compared(self, float(self.ours()))


@dataclass(frozen=True)
class Compared:
    """A case with our value, worked out."""

    case: Case
    ours: float

    @property
    def gap(self) -> float:
        """Ours less published: a share of the published value, or in its unit where the case says `absolute`."""
        gap = self.ours - self.case.published
        return gap if self.case.absolute else gap / abs(self.case.published)

    @property
    def agrees(self) -> bool:
        """Whether the gap is within the tolerance."""
        return abs(self.gap) <= self.case.tolerance


def listed(source: str, place: str, how: str, tolerance: float, why: str, rows: Iterable, absolute=False) -> tuple:
    """Cases of one table of a source, from rows of (words, published value or its function, function of ours)."""
    return tuple(Case(*row, source, place, how, tolerance, why, absolute) for row in rows)


def half_digit(decimals: int) -> tuple[float, str]:
    """(tolerance, reason) of a value printed with so many decimals, for a case that is `absolute`: half of the last
    digit, and a tenth of that for a value that lies on the edge."""
    return 0.55 * 10.0**-decimals, f"printed to {decimals} decimals"
