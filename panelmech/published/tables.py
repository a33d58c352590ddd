"""All cases by subject: what a notebook shows and a test goes through."""

from __future__ import annotations

from collections import Counter
from types import MappingProxyType

from . import beams, bench, buckling, curve, heat, plates, section, stock, water
from .case import Case, Compared
from .sources import SOURCES

_ROOMS = {
    "The curve": curve,
    "Straight beams": beams,
    "Plates under pressure": plates,
    "Buckling": buckling,
    "Section and joint": section,
    "Bench": bench,
    "Stock": stock,
    "Water and side force": water,
    "Heat and cure": heat,
}
SUBJECTS = MappingProxyType({subject: room.CASES for subject, room in _ROOMS.items()})
OWN = tuple(case for room in _ROOMS.values() for case in getattr(room, "OWN_CASES", ()))


def published_cases(subject: str = "") -> tuple[Case, ...]:
    """The published cases of a subject, or of all; ValueError for a subject there is not.

    >>> case = published_cases("Buckling")[0]
    >>> case.words, case.published
    ('k', 4.0)
    """
    if subject and subject not in SUBJECTS:
        raise ValueError(f"subject {subject!r}: there are {', '.join(SUBJECTS)}")
    return SUBJECTS[subject] if subject else tuple(case for cases in SUBJECTS.values() for case in cases)


def own_cases() -> tuple[Case, ...]:
    """The cross-checks: a number of ours by a second road of ours, never called published.

    >>> case = own_cases()[0]
    >>> case.words, case.place
    ('End force square to the sheet, tip at 10°: P L²/EI', 'adaptive quadrature')
    """
    return OWN


def compare(cases) -> tuple[Compared, ...]:
    """The cases worked out now, in their order.

    >>> one = compare(published_cases("The curve")[:1])[0]
    >>> f"{one.case.words}: {one.case.published:.6f}, ours {one.ours:.6f}"
    'Square arch: half its length over its rise: 1.311029, ours 1.311029'
    """
    return tuple(case.compare() for case in cases)


def cited(cases=None) -> dict:
    """{full reference: number of cases that name it}, in the order of the sources; by default of all that are
    published.

    >>> max(cited().values())  # cases of the source that gives most
    65
    """
    named = Counter(case.source for case in (published_cases() if cases is None else cases))
    return {words: named[key] for key, words in SOURCES.items() if named[key]}
