"""Which cases of a test run by day; the others are left to the night (`-m nightly`)."""

import pytest
from hypothesis import settings

NIGHTLY = (pytest.mark.slow, pytest.mark.nightly)


def by_day(names, cases, *day, ids=None):
    """As `pytest.mark.parametrize`, of which only the cases `day` run by day.

    A case of `day` that is none of the cases is an error: nothing would run by day without a word.
    """
    cases = list(cases)
    strange = [case for case in day if case not in cases]
    if strange or not day:
        raise ValueError(f"by day: {strange or 'nothing'}; the cases are {cases}")
    several = not isinstance(names, str)
    marked = [pytest.param(*(case if several else (case,)), marks=() if case in day else NIGHTLY) for case in cases]
    return pytest.mark.parametrize(names, marked, ids=ids)


def examples(count):
    """Settings of a property that costs much: `count` examples where others have 100, and under another profile of
    hypothesis in the same ratio."""
    return settings(max_examples=max(1, round(count * settings.default.max_examples / 100)))
