"""Every published value the package holds, within its tolerance, and the cross-checks; the rows of the notebook.

The files beside this one go further into one source each, with the values recomputed.
"""

import re

import pytest

from panelmech.published import SUBJECTS, cited, compare, own_cases, published_cases
from panelmech.published.case import FORMULA, HOWS, MEMORY, OWN, Case
from panelmech.published.sources import SOURCES
from panelmech.published.tables import _ROOMS


@pytest.mark.parametrize("subject", SUBJECTS)
def test_published_values(subject):
    off = [
        (each.case.words, each.case.published, each.ours)
        for each in compare(published_cases(subject))
        if not each.agrees
    ]
    assert off == []


def test_cross_checks():
    assert [(each.case.words, each.ours) for each in compare(own_cases()) if not each.agrees] == []


def test_there_are_sources_enough_and_each_is_used():
    assert len(cited()) >= 45
    assert list(cited()) == list(SOURCES.values())


def test_what_is_published_and_what_is_not_stand_apart():
    assert all(case.how in HOWS and case.source for case in published_cases())
    assert all(case.how == OWN and not case.source for case in own_cases())


@pytest.mark.parametrize("subject", SUBJECTS)
def test_no_case_stands_twice(subject):
    told = [(case.source, case.place, case.words) for case in published_cases(subject)]
    assert len(set(told)) == len(told)


def test_no_tolerance_is_wider_than_its_reason():
    """More than 1.1 % only where the source prints too few digits; where the reason is rounding, 1e-9 at most."""
    wide = []
    for case in (*published_cases(), *own_cases()):
        share = case.tolerance / abs(case.published) if case.absolute else case.tolerance
        most = 1e-9 if "rounding only" in case.why else 0.02 if "printed" in case.why else 0.011
        wide += [] if 0.0 < share <= most else [(case.words, share)]
    assert wide == []


def test_a_wrong_value_is_noticed():
    """Ours off by ten times the tolerance, of every case, fails."""
    for case in published_cases():
        unit = 1.0 if case.absolute else abs(case.published)
        wrong = case.ours() + 10.0 * case.tolerance * unit
        other = Case(*(case.words, case.published, lambda w=wrong: w, case.source, case.place, case.how), *_rest(case))
        assert not other.compare().agrees, case.words


def _rest(case):
    return case.tolerance, case.why, case.absolute


@pytest.mark.parametrize(("source", "how"), [("", MEMORY), ("Mattiasson 1981", OWN), ("Mattiasson 1981", "hearsay")])
def test_a_case_without_a_source_or_with_one_too_many_is_refused(source, how):
    with pytest.raises(ValueError, match="a cross-check has no source"):
        Case("drop", 1.0, float, source, "Table 1", how, 0.1, "reason")


def test_an_unknown_source_or_subject_is_refused():
    with pytest.raises(ValueError, match="'Somebody 1900' is not among those"):
        Case("drop", 1.0, float, "Somebody 1900", "Table 1", FORMULA, 0.1, "reason")
    with pytest.raises(ValueError, match="subject 'Cooking': there are The curve, "):
        published_cases("Cooking")


def test_a_source_tells_who_and_when_or_is_known_by_its_number():
    """A year, or the number or nature of what has many editions."""
    kinds = (
        r"\b(1[789]|20)\d\d\b|ASTM|ISO|Circular|Manual|[Hh]andbook|Shigley|Mechanics|Fundamentals|"
        "data|formulas|note|guide|chart"
    )
    assert [words for words in SOURCES.values() if not re.search(kinds, words)] == []


def test_rooms_hold_cases():
    assert all(room.CASES for room in _ROOMS.values())
