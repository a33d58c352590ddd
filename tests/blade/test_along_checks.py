"""A part judged at places along its span: each as its own design, the worst place stands, totals are of the whole."""

import itertools
from types import SimpleNamespace

import numpy as np
import pytest

from panelmech import Design, InfeasibleBend, catalogue, evaluate
from panelmech.blade.along_checks import PLACES, TOTALS, changes_along, evaluate_along, worst_of, worst_place
from panelmech.blade.blade import Blade, Table
from panelmech.study.verdicts import VERDICTS, WORST_FIRST, rate

LEEBOARD = Design(
    sheet=catalogue["glass-epoxy laminate, lengthwise"],
    sheet_thickness=0.002,
    free_length=0.225,
    land_length=0.015,
    spacer_diameter=0.018,
    setback=0.003,
    span=0.85,
)
TAPERED = Blade(LEEBOARD, free_length=(0.225, 0.165))
STEPPED = Blade(LEEBOARD, sheet_thickness=Table((0.0, 0.4), (0.002, 0.0015), stepped=True))


@pytest.fixture(scope="module")
def along():
    return evaluate_along(TAPERED)


def test_an_even_part_is_told_from_one_that_changes():
    assert not changes_along(Blade(LEEBOARD)) and not changes_along(Blade(LEEBOARD, free_length=(0.2, 0.2)))
    assert changes_along(TAPERED) and changes_along(STEPPED)


def test_every_check_stands_at_its_worst_place(along):
    assert len(along.position) == PLACES and along.position[0] == 0.0 and along.position[-1] == TAPERED.span
    studies = [evaluate(TAPERED.design_at(place)) for place in along.position]
    assert [check.key for check in along.checks] == [check.key for check in studies[0].limits]
    for check in along.checks:
        reserves = [study.check(check.key).reserve for study in studies]
        worst = next((n for n, reserve in enumerate(reserves) if np.isnan(reserve)), int(np.argmin(reserves)))
        assert str(check.reserve) == str(reserves[worst]) and check.position == along.position[worst]
    assert along.least_reserve == min(study.least_reserve for study in studies)
    assert along.verdict == min((study.verdict for study in studies), key=WORST_FIRST.index)


def test_the_headline_names_the_place(along):
    assert along.headline().endswith("reserve 1.33 times. Place: the root end.")
    other = evaluate_along(TAPERED.replace(free_length=(0.165, 0.225)))
    assert "Place: the tip." in other.headline()
    assert along.place_words(0.2125) == "212 mm from the root end"


def test_before_and_after_a_step_both_are_judged():
    along = evaluate_along(STEPPED)
    at = [i for i, place in enumerate(along.position) if place == 0.4]
    assert [along.studies[i].design.sheet_thickness for i in at] == [0.002, 0.0015]
    assert list(along.position) == sorted(along.position)
    assert along.verdict == "fails" and along.studies[0].verdict != "fails"
    assert along.governing.reserve == along.studies[at[1]].least_reserve


def test_totals_of_an_even_part_are_its_designs_and_of_a_step_the_sum_of_both_sides():
    even, whole = evaluate_along(Blade(LEEBOARD)), evaluate(LEEBOARD).quantities
    for name in TOTALS:
        assert even.totals[name] == pytest.approx(whole[name], rel=1e-12)
    thin = evaluate(LEEBOARD.replace(sheet_thickness=0.0015)).quantities
    totals = evaluate_along(STEPPED).totals
    for name in TOTALS:
        assert totals[name] == pytest.approx((0.4 * whole[name] + 0.45 * thin[name]) / 0.85, rel=1e-9)


def test_totals_of_a_taper_are_those_of_many_short_pieces(along):
    middles = (np.arange(200) + 0.5) / 200 * TAPERED.span
    for name in TOTALS:  # midpoint rule: error of second order in the length of a piece
        pieces = np.mean([evaluate(TAPERED.design_at(z), local=False).quantities[name] for z in middles])
        assert along.totals[name] == pytest.approx(pieces, rel=1e-5)


def test_a_place_that_cannot_be_bent_is_named():
    with pytest.raises(InfeasibleBend, match=r"^850\.0 mm from the root end: "):
        evaluate_along(TAPERED.replace(free_length=(0.225, 0.03)), 2)


def test_a_check_that_is_not_known_somewhere_is_not_said_to_hold():
    plywood = catalogue["okoume plywood, face grain along chord"]
    blade = Blade(LEEBOARD.replace(sheet=plywood, sheet_thickness=4e-3), free_length=(0.225, 0.18))
    along = evaluate_along(blade)
    for check in along.checks:
        words = {study.check(check.key).verdict for study in along.studies}
        assert check.verdict == min(words, key=WORST_FIRST.index)


@pytest.mark.parametrize("ceiling", [True, False])
def test_the_worst_place_of_many_parts_at_once_is_that_of_each_alone(ceiling):
    """Every mixture of three places out of: holds, close, fails, at the limit, nothing asked, unknown value or limit,
    and beyond what can be told, above the limit and below it."""
    places = [(1.0, 4.0), (4.0, 1.0), (1.0, 1.1), (1.1, 1.0), (1.0, 1.0), (0.0, 1.0), (1.0, 0.0), (np.nan, 1.0),
              (1.0, np.nan), (3.0, np.nan), (9.0, 20.0), (9.0, 2.0)]  # fmt: skip
    mixtures = np.array(list(itertools.product(places, repeat=3)))
    rated = rate(mixtures[..., 0], mixtures[..., 1], 0.25, ceiling, within=5.0)
    found = worst_place(rated)
    told = np.broadcast_arrays(rated.code, rated.reserve, rated.value)
    for number, (codes, reserves, values) in enumerate(zip(*told, strict=True)):
        checks = [SimpleNamespace(verdict=VERDICTS[c], reserve=r, value=v)
                  for c, r, v in zip(codes, reserves, values, strict=True)]  # fmt: skip
        one = worst_of(checks)
        assert VERDICTS[found.code[number]] == one.verdict
        assert found.reserve[number] == one.reserve or np.isnan([found.reserve[number], one.reserve]).all()
        assert found.value[number] == one.value or np.isnan([found.value[number], one.value]).all()
        assert WORST_FIRST.index(one.verdict) == min(WORST_FIRST.index(check.verdict) for check in checks)
        known = [c.reserve for c in checks if c.verdict == one.verdict and not np.isnan(c.reserve)]
        if one.verdict != "fails" and known:
            assert one.reserve == min(known)


def test_without_a_reserve_the_largest_value_stands_and_what_fails_beyond_the_range_comes_first():
    """Values 3 and 4 without a limit: 4. Asked 2 of 9, which is beyond what can be told, beside 3 of 2: the 9 fails."""
    unknown, nan = "unknown", np.nan
    checks = [SimpleNamespace(verdict=unknown, reserve=nan, value=v) for v in (3.0, 4.0, nan)]
    assert worst_of(checks).value == 4.0
    assert worst_place(rate(np.array([[3.0, 4.0, nan]]), nan, 0.25)).value == [4.0]
    checks = [SimpleNamespace(verdict="fails", reserve=r, value=v) for r, v in ((2.0 / 3.0, 3.0), (nan, 9.0))]
    assert worst_of(checks).value == 9.0
    assert worst_place(rate(np.array([[3.0, 9.0]]), np.array([[2.0, 2.0]]), 0.25, within=5.0)).value == [9.0]
