"""Choosing from stock: the set that no other beats, costs, opening a row as a design."""

import numpy as np
import pytest

from panelmech import Design, catalogue, evaluate
from panelmech.study.choose import CRITERIA, Costs, combine, rank, unbeaten

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
CHOICES = combine(DESIGN)
BY = ("mass", "chord_stiffness", "least_reserve")


def test_every_row_is_the_design_it_says():
    rng = np.random.default_rng(2)
    for i in rng.choice(np.flatnonzero(CHOICES.possible), 4):
        study = evaluate(CHOICES.design_at(i), local=False)
        assert study.governing.reserve == pytest.approx(CHOICES.values["least_reserve"][i], rel=1e-12)
        assert study.quantities["mass_per_length"] * DESIGN.span == pytest.approx(CHOICES.values["mass"][i], rel=1e-12)
        assert not any(c.verdict == "fails" for c in study.checks)


def test_front_agrees_with_brute_force():
    front = set(unbeaten(CHOICES, BY).tolist())
    rows = np.flatnonzero(CHOICES.possible & np.all([np.isfinite(CHOICES.values[n]) for n in BY], axis=0))
    scores = np.column_stack([CRITERIA[n][2] * CHOICES.values[n][rows] for n in BY])
    rng = np.random.default_rng(0)
    for k in rng.choice(len(rows), 300, replace=False):
        beaten = np.any(np.all(scores >= scores[k], axis=1) & np.any(scores > scores[k], axis=1))
        assert (rows[k] in front) == (not beaten)


def test_rank_is_in_order_and_leaves_out_what_fails():
    order = rank(CHOICES, "mass", 50)
    assert np.all(np.diff(CHOICES.values["mass"][order]) >= 0) and CHOICES.possible[order].all()
    assert CHOICES.judged[rank(CHOICES, "mass", only_judged=True)].all()


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
