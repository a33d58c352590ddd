"""What many parts come to at once: against the same of one part after the other, and where it is too near to tell."""

from dataclasses import replace

import numpy as np
import pytest
from leeboard_part import LEEBOARD

from panelmech.blade.blade import Blade
from panelmech.loads.cases import PointPush
from panelmech.loads.load_file import LoadSheet
from panelmech.loads.load_study import evaluate_loads
from panelmech.loads.plan import LoadPlan
from panelmech.loads.standings import NEAR, Alike, rated_along, row, standings
from panelmech.study.checks import RULES
from panelmech.study.every import Standing, standing
from panelmech.study.verdicts import FAILS, HOLDS, UNKNOWN, VERDICTS, Rated, rate

SHARE = 0.25  # above one that is still close


def tabled(*columns, within=np.inf):
    """{(where, key): (name, `Rated` of each part)} of checks whose values against a limit of one are given."""
    rated = (rate(np.array(values, dtype=float), 1.0, SHARE, within=within) for values in columns)
    return {("loads" if i % 2 else "", f"key {i}"): (f"Name {i}", one) for i, one in enumerate(rated)}


def one_by_one(rated, part):
    checks = []
    for (_, key), (name, one) in rated.items():
        mine = Rated(*(np.broadcast_to(column, np.shape(one.value))[part] for column in one))
        checks.append(row(key, name, mine.verdict, mine.reserve, mine.beyond))
    return standing(checks)


def test_many_are_each_what_it_is_alone():
    """Values up to twice the limit, some of nothing, some not known, some beyond what can be told."""
    rng = np.random.default_rng(4)
    values = rng.uniform(0.0, 2.0, (4, 300))
    values[rng.uniform(size=values.shape) < 0.3] = 0.0
    values[rng.uniform(size=values.shape) < 0.2] = np.nan
    for within in (np.inf, 1.5, 0.6):
        rated = tabled(*values, within=within)
        found = standings(rated, SHARE)
        alone = [one_by_one(rated, part) for part in range(300)]
        assert [one[:1] + one[2:] for one in found] == [one[:1] + one[2:] for one in alone]
        np.testing.assert_array_equal([one.reserve for one in found], [one.reserve for one in alone])
        assert {one.verdict for one in found} == ({*VERDICTS} if within > 1.0 else {HOLDS, UNKNOWN})


@pytest.mark.parametrize("limit", [1.0, 1.0 + SHARE])
@pytest.mark.parametrize(("off", "told"), [(0.0, False), (1.5, False), (-1.5, False), (2.5, True), (-2.5, True)])
def test_a_reserve_next_to_a_limit_is_not_told(limit, off, told):
    """Within two parts in a thousand million of it; whichever of the checks it is."""
    near = 1.0 / (limit + off * NEAR)
    for columns in (
        ([near], [0.1]),
        (
            [
                0.9,
            ],
            [near],
        ),
    ):
        assert (standings(tabled(*columns), SHARE)[0] is not None) == told


def test_which_of_two_reserves_is_less_is_not_told_where_rounding_decides():
    """Two that are one number are no question: the first governs. Nor is one check alone."""
    parts = standings(tabled([0.5, 0.5, 0.5], [0.5, 0.5 * (1.0 + 0.5 * NEAR), 0.5 * (1.0 + 2.0 * NEAR)]), SHARE)
    assert parts[0].key == "key 0" and parts[1] is None and parts[2].key == "key 1"
    assert standings(tabled([0.5]), SHARE)[0].reserve == 2.0


def test_parts_of_which_nothing_is_known_or_asked():
    unknown, asked = standings(tabled([np.nan, np.nan], [np.nan, 0.0]), SHARE)
    assert unknown[0] == UNKNOWN and np.isnan(unknown.reserve) and unknown[2:] == ("", "", "")
    assert asked == Standing(UNKNOWN, np.inf, "key 1", "Name 1")


def test_a_row_names_what_is_beyond_where_that_leaves_it_unknown():
    assert row("key", "Name", UNKNOWN, np.nan, True).beyond == "Name"
    assert row("key", "Name", FAILS, 0.5, True).beyond == row("key", "Name", HOLDS, 2.0, False).beyond == ""
    assert VERDICTS.index(HOLDS) == 0


PUSHED = LoadPlan((PointPush("aground", 4.0),), stations=5)
ROOTS = [LEEBOARD, LEEBOARD.replace(spacer_diameter=0.2), LEEBOARD.replace(spacer_diameter=0.016, spacer_wall=0.001)]


def test_designs_alike_come_to_the_least_of_their_checks_along_the_span_and_under_load():
    """But for the framed sheet; what cannot be bent comes to nothing."""
    alike = Alike(Blade(LEEBOARD), LoadSheet(replace(PUSHED, local=False)), ROOTS)
    found = alike.quick()
    assert list(found) == alike.made == [0, 2] and not alike.local
    for i, one in found.items():
        along = {key: rated.reserve for key, rated in rated_along(Blade(ROOTS[i]), RULES).items()}
        study = evaluate_loads(ROOTS[i], alike.sheet.plan)
        reserves = {**along, **{c.key: c.reserve for c in study.limits if not np.isnan(c.reserve)}}
        assert one.key == min(reserves, key=reserves.get)
        assert one.reserve == pytest.approx(reserves[one.key], rel=1e-9)


def test_what_surely_does_not_stand_by_bounds_of_its_framed_sheet():
    """A sheet that buckles at one pascal does not; one that is not pressed in and buckles at no stress may stand."""
    alike = Alike(Blade(LEEBOARD), LoadSheet(PUSHED), ROOTS)
    count = len(alike.position)
    weak, strong = ({"press": np.full(count, 1e-15), "buckling": np.full(count, most)} for most in (1.0, 1e15))
    found = alike.bounded([0, 2], [strong, weak])
    assert alike.local and list(found) == [2]
    assert (found[2].key, found[2].verdict) == ("skin_buckling", FAILS) and not found[2].stands
