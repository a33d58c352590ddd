"""The engine of verdicts: reserves, verdicts, the worst of many, and what to enter where something is not known."""

import numpy as np
import pytest

from panelmech.materials.stock import catalogue
from panelmech.study.verdicts import (
    CLOSE,
    FAILS,
    HOLDS,
    ROUNDING,
    UNKNOWN,
    VERDICTS,
    check_of,
    least,
    missing_values,
    rate,
    worst,
    worst_verdict,
)


@pytest.mark.parametrize(
    ("value", "limit", "ceiling", "reserve", "verdict"),
    [
        (1.0, 2.0, True, 2.0, HOLDS),
        (1.7, 2.0, True, 2.0 / 1.7, CLOSE),
        (2.1, 2.0, True, 2.0 / 2.1, FAILS),
        (2.1, 2.0, False, 1.05, CLOSE),
        (1.9, 2.0, False, 0.95, FAILS),
        (0.0, 2.0, True, np.inf, HOLDS),
        (2.0 * (1.0 + 0.5 * ROUNDING), 2.0, True, 1.0, CLOSE),
        (2.0 * (1.0 + 2.0 * ROUNDING), 2.0, True, 1.0, FAILS),
    ],
)
def test_reserve_and_verdict_in_plain_arithmetic(value, limit, ceiling, reserve, verdict):
    rated = rate(value, limit, 0.25, ceiling)
    assert float(rated.reserve) == pytest.approx(reserve, rel=1e-8) and rated.verdict == verdict


@pytest.mark.parametrize(("value", "limit"), [(1.0, None), (1.0, np.nan), (np.nan, 2.0), (0.0, None)])
def test_without_a_basis_it_is_unknown_and_never_holds(value, limit):
    rated = rate(value, limit, 0.25)
    assert rated.verdict == UNKNOWN and bool(rated.unknown) and not bool(rated.fails) and np.isnan(rated.reserve)


def test_arrays_are_rated_as_each_of_their_numbers():
    values, limits = np.array([[1.0, 1.7], [2.1, np.nan]]), np.array([2.0, 2.0])
    words = np.array(VERDICTS)[rate(values, limits, 0.25).code]
    assert words.tolist() == [[HOLDS, CLOSE], [FAILS, UNKNOWN]]
    assert least(np.array([[2.0, np.nan, np.nan], [1.5, 3.0, np.nan]])).tolist() == [1, 1, -1]


def test_what_cannot_be_made_counts_as_the_least_reserve():
    rated = rate([2.0, 1.0, np.nan], 4.0, 0.25)
    rated = rated._replace(code=np.array([0, 0, VERDICTS.index(FAILS)]))
    one, where = worst(rated, ("",), np.array([0.0, 0.1, 0.2]))
    assert one.verdict == FAILS and where["position"] == 0.2


def test_words_say_what_helps_where_it_fails_and_what_to_enter_where_it_is_unknown():
    def line(value, limit):
        rated = rate(value, limit, 0.25)
        return check_of(rated, "k", "N", "mm", "user", "", advice="use more", missing="enter it", remark="but")

    assert [line(1.0, v).advice for v in (0.5, 2.0, None)] == ["use more; but", "but", "enter it; but"]
    unsaid = check_of(rate(1.0, None, 0.25), "k", "N", "mm", "user", "", advice="use more")
    assert "use more" not in unsaid.advice and "not known" in unsaid.advice
    checks = [line(1.0, v) for v in (0.5, 2.0, None)]
    assert [worst_verdict(checks[i:]) for i in range(4)] == [FAILS, UNKNOWN, UNKNOWN, UNKNOWN]
    assert worst_verdict([line(1.0, 1.1), line(1.0, 2.0)]) == CLOSE


def test_what_to_enter_is_named_once_for_each_material():
    birch, bare = catalogue["birch plywood, face grain along chord"], catalogue.adhesives["unknown - measure it"]
    needs = [(birch, "modulus"), (bare, "toughness"), (birch, "span_modulus"), (birch, "modulus")]
    assert missing_values(needs, 4e-3) == "enter the toughness of unknown - measure it, measured or from a data sheet"
    thin = missing_values(needs, [4e-3, 3e-3])
    assert thin.startswith("enter the modulus and span modulus of birch plywood, face grain along chord, measured")
    assert thin.count("enter") == 2 and "known for 3.6 mm to 17.6 mm only" in thin
