"""Choosing from stock: the set that no other beats, costs, opening a row as a design."""

from itertools import pairwise

import numpy as np
import pytest
from leeboard_part import LEEBOARD as DESIGN

from panelmech import evaluate
from panelmech.study import framed_sheet
from panelmech.study.choose import CRITERIA, Costs, combine, rank, rank_steps, unbeaten, unbeaten_steps
from panelmech.study.every import Standing, judge_design
from panelmech.study.verdicts import FAILS, UNKNOWN

CHOICES = combine(DESIGN)
BY = ("mass", "chord_stiffness", "least_reserve")


def stands(study):
    return study.verdict != FAILS and not any(c.beyond for c in study.limits)


def agrees(choices, i):
    """A combination that was judged is what `evaluate` says of its design."""
    study = evaluate(choices.design_at(i))
    found = choices.standing[int(i)]
    assert (found.verdict, found.key) == (study.verdict, study.governing.key)
    assert found.reserve == choices.values["least_reserve"][i] == pytest.approx(study.least_reserve, rel=1e-12)
    assert choices.possible[i] == stands(study)
    assert choices.judged[i] == (study.verdict != UNKNOWN) or study.verdict == FAILS
    assert choices.values["mass"][i] == pytest.approx(study.quantities["mass_per_length"] * DESIGN.span, rel=1e-12)


@pytest.mark.slow
def test_no_row_disagrees_with_the_study():
    """Rows of several orders, each the design it says; about sixty in all."""
    for by in ("mass", "least_reserve", "outer_thickness"):
        for i in rank(CHOICES, by, 8):
            assert CHOICES.sure[i]
            agrees(CHOICES, i)
    rng = np.random.default_rng(2)
    for i in rng.choice(list(CHOICES.standing), 36, replace=False):
        agrees(CHOICES, i)


@pytest.mark.nightly
@pytest.mark.slow
def test_a_thousand_random_rows_never_disagree_with_the_study():
    rng = np.random.default_rng(7)
    choices = combine(DESIGN.replace(free_length=0.19, setback=1e-3))
    for i in rng.choice(np.flatnonzero(choices.possible), 1000, replace=False):
        choices.settle(i)
        study = evaluate(choices.design_at(i))
        assert (choices.standing[int(i)].verdict, choices.possible[i]) == (study.verdict, stands(study))
        assert choices.values["least_reserve"][i] == pytest.approx(study.least_reserve, rel=1e-12)


def test_front_agrees_with_brute_force():
    """Of few combinations, all judged: the front is what no other beats."""
    for by in (BY, BY[:2], ("least_reserve", "mass")):
        choices = combine(DESIGN, [DESIGN.sheet], [DESIGN.spacer])
        front = unbeaten(choices, by)
        unjudged = np.flatnonzero(~choices.sure & choices.possible)
        for i in unjudged:
            choices.settle(i)
        assert unjudged.size and not np.isin(unjudged, front).any()
        rows = np.flatnonzero(choices.possible & np.all([np.isfinite(choices.values[n]) for n in by], axis=0))
        scores = np.column_stack([CRITERIA[n][2] * choices.values[n][rows] for n in by])
        brute = [
            row
            for row, score in zip(rows, scores, strict=True)
            if not np.any(np.all(scores >= score, axis=1) & np.any(scores > score, axis=1))
        ]
        assert sorted(front) == sorted(brute) and np.all(
            np.diff(CRITERIA[by[0]][2] * choices.values[by[0]][front]) <= 0
        )


def test_rows_come_one_by_one_and_stay():
    """What stands early stands at the end; each judged once; nothing is judged that is beaten already."""
    choices = combine(DESIGN, [DESIGN.sheet], [DESIGN.spacer])
    for steps in (rank_steps(choices, "mass", 6), unbeaten_steps(choices, ("mass", "chord_stiffness"))):
        found = list(steps)
        assert [f.complete for f in found] == [False] * (len(found) - 1) + [True]
        assert len(found[-1].order)
        for before, after in pairwise(found):
            assert set(before.order) <= set(after.order)
    assert len(choices.standing) < int((choices.possible | choices.sure).sum())
    assert not any(f.tried for f in unbeaten_steps(choices, ("mass", "chord_stiffness")))  # all is known by now


def test_least_reserve_is_ranked_by_what_every_check_leaves():
    order = rank(CHOICES, "least_reserve", 12)
    reserves = [evaluate(CHOICES.design_at(i)).least_reserve for i in order]
    assert np.all(np.diff(reserves) <= 1e-12)
    rest = np.setdiff1d(np.flatnonzero(CHOICES.possible), order)
    assert CHOICES.values["least_reserve"][rest[CHOICES.sure[rest]]].max() <= reserves[-1] * (1 + 1e-12)


def test_another_judge_counts_and_says_what_it_refused():
    """A job's judge may refuse what the design's checks let pass."""

    def heavy_only(design):
        found = judge_design(design)
        return Standing(FAILS, 0.5, "own", "Own check") if design.sheet_thickness < 2.9e-3 else found

    choices = combine(DESIGN, [DESIGN.sheet], [DESIGN.spacer], judge=heavy_only)
    order = rank(choices, "mass")
    assert len(order) and np.all(choices.thickness[order] > 2.9e-3)
    assert choices.refused()["Own check"] == np.count_nonzero(choices.sure & (choices.thickness < 2.9e-3))


@pytest.mark.slow
def test_a_framed_sheet_is_worked_out_once_for_all_rods_of_a_size(monkeypatch):
    worked = []
    measure = framed_sheet.buckling_stress
    monkeypatch.setattr(framed_sheet, "buckling_stress", lambda sheet: worked.append(1) or measure(sheet))
    framed_sheet._kept.cache_clear()
    choices = combine(DESIGN, [DESIGN.sheet])
    rank(choices, "mass")
    shapes = {(choices.thickness[i], choices.diameter[i]) for i in choices.standing}
    assert len(worked) == len(shapes) < len(choices.standing)


@pytest.mark.parametrize("change", [{"free_length": 0.05}, {"sheet_thickness": 0.7e-3}, {"span": 0.1}, {}])
def test_the_judge_says_what_the_study_says(change):
    design = DESIGN.replace(**change)
    found = judge_design(design)
    try:
        study = evaluate(design)
    except ValueError:
        assert (found.verdict, found.key, found.name) == (FAILS, "", "cannot be made")
        return
    assert found[:4] == (study.verdict, study.least_reserve, study.governing.key, study.governing.name)
    assert bool(found.beyond) == any(c.beyond and c.verdict == UNKNOWN for c in study.limits)


@pytest.mark.slow
def test_rank_is_in_order_and_leaves_out_what_fails():
    order = rank(CHOICES, "mass", 20)
    assert np.all(np.diff(CHOICES.values["mass"][order]) >= 0) and CHOICES.possible[order].all()
    assert CHOICES.judged[rank(CHOICES, "mass", 20, only_judged=True)].all()


def test_costs_are_the_users_own():
    sheet, spacer, resin = DESIGN.sheet.name, DESIGN.spacer.name, DESIGN.resin.name
    priced = combine(DESIGN, [DESIGN.sheet], [DESIGN.spacer], Costs({sheet: 40.0}, {spacer: 9.0}, {resin: 25.0}))
    found = priced.values["cost"]
    floor = 40.0 * 2 * DESIGN.developed_length * DESIGN.span + 9.0 * DESIGN.span
    made = np.isfinite(found)
    assert made.any() and np.all(found[made] > floor)
    assert np.isnan(CHOICES.values["cost"]).all()


def test_prices_may_go_by_size():
    """Against plain arithmetic; a size without a price has no cost."""
    sheet, spacer, resin = DESIGN.sheet.name, DESIGN.spacer.name, DESIGN.resin.name
    thin, thick = DESIGN.sheet.stock_thicknesses[:2]
    rod = DESIGN.spacer.diameters[3]
    costs = Costs({sheet: {thin: 10.0, thick: 30.0}}, {spacer: {rod: 9.0}}, {resin: 0.0})
    priced = combine(DESIGN, [DESIGN.sheet], [DESIGN.spacer], costs)
    blank, found = 2 * DESIGN.developed_length * DESIGN.span, priced.values["cost"]
    for thickness, price in ((thin, 10.0), (thick, 30.0)):
        here = np.isfinite(found) & (priced.thickness == thickness)
        assert here.any() and found[here] == pytest.approx(price * blank + 9.0 * DESIGN.span, rel=1e-12)
    known = np.isfinite(found)
    assert set(priced.diameter[known]) == {rod} and set(priced.thickness[known]) == {thin, thick}


def test_unknown_criterion_is_refused():
    with pytest.raises(ValueError, match="criteria"):
        rank(CHOICES, "beauty")
