"""What a tolerance means: each kind's own distribution, where it ends, what goes together, what is refused."""

from itertools import combinations

import numpy as np
import pytest
import scipy

from panelmech import Design, catalogue
from panelmech.study.design import LIMITS
from panelmech.study.tolerances import Tolerance, default_tolerances, scatter
from panelmech.study.varying import cut_off_words, varying

DESIGN = Design(catalogue["glass-epoxy laminate, lengthwise"], 2e-3, 0.225, 15e-3)
COUNT = 40_000


def drawn(*tolerances, correlation=None, design=DESIGN):
    return varying(design, tolerances, correlation).draw(np.random.default_rng(5), COUNT)


@pytest.mark.parametrize(("kind", "spread"), [("band", 1 / np.sqrt(3.0)), ("deviation", 1.0)])
def test_each_kind_has_its_own_spread(kind, spread):
    """Of so many the standard deviation is known to 1/sqrt(2 n), 0.35 %; four times that is allowed."""
    one = Tolerance("sheet_thickness", 0.05e-3, kind)
    values = drawn(one)["sheet_thickness"]
    assert np.std(values) == pytest.approx(one.standard_deviation, rel=0.014)
    assert one.standard_deviation == pytest.approx(spread * 0.05e-3)
    test = {"band": ("uniform", (1.95e-3, 1e-4)), "deviation": ("norm", (2e-3, 0.05e-3))}[kind]
    assert scipy.stats.kstest(values, *test).pvalue > 1e-3


def test_a_standard_deviation_ends_at_what_is_possible_and_says_so():
    """The defaults of the demo: a bond line of 0.1 mm with a standard deviation as large."""
    thin = DESIGN.replace(bond_line=0.1e-3)
    known = varying(thin, [Tolerance("bond_line", 0.1e-3, "deviation")])
    assert known.cut_off["bond_line"] == pytest.approx(scipy.stats.norm.cdf(-1.0), rel=1e-9)
    values = known.draw(np.random.default_rng(5), COUNT)["bond_line"]
    assert values.min() >= 0.0 and scipy.stats.kstest(values, "truncnorm", (-1, np.inf, 1e-4, 1e-4)).pvalue > 1e-3
    assert cut_off_words(known.cut_off) == (
        "Left out, beyond what is possible, of the normal distribution of bond line 16 %."
    )
    assert cut_off_words({"setback": 1e-19}) == ""
    wide = [Tolerance(t.field, t.size, "deviation") for t in default_tolerances(thin)]
    found = scatter(thin, wide, count=500, rules=())
    assert found.cut_off["bond_line"] == known.cut_off["bond_line"] and found.failing["not made"] == 0.0


def test_no_part_leaves_what_a_design_may_be():
    wide = [Tolerance(name, 0.5, "deviation") for name in ("sheet_thickness", "spacer_diameter", "setback", "friction")]
    for name, values in drawn(*wide).items():
        low, high = LIMITS[name].range
        assert low <= values.min() and values.max() <= high
        DESIGN.replace(spacer_wall=0.0, **{name: float(values.min())})


def test_a_measured_sample_gives_its_own_values_each_as_likely():
    one = Tolerance("sheet_thickness", kind="sample", values=(2.05e-3, 1.98e-3, 2.01e-3, 2.01e-3))
    values, counts = np.unique(drawn(one)["sheet_thickness"], return_counts=True)
    assert values.tolist() == [1.98e-3, 2.01e-3, 2.05e-3]
    assert counts / COUNT == pytest.approx([0.25, 0.5, 0.25], abs=4 * np.sqrt(0.25 / COUNT))
    assert one.standard_deviation == pytest.approx(np.std([2.05e-3, 1.98e-3, 2.01e-3, 2.01e-3], ddof=1))


@pytest.mark.parametrize("wanted", [-1.0, -0.4, 0.3, 1.0])
def test_inputs_that_go_together_keep_their_own_distribution(wanted):
    """Of normal scores the correlation of n values is known to (1 - r^2)/sqrt(n); four times that is allowed."""
    pair = Tolerance("sheet_thickness", 0.05e-3, "deviation"), Tolerance("modulus", 0.1)
    values = drawn(*pair, correlation={("modulus", "sheet_thickness"): wanted})
    thickness, modulus = values["sheet_thickness"], values["modulus"]
    scores = scipy.special.ndtri((modulus - 0.9) / 0.2)
    found = np.corrcoef(thickness, scores)[0, 1]
    assert found == pytest.approx(wanted, abs=4 * (1 - wanted**2) / np.sqrt(COUNT) + 1e-9)
    assert scipy.stats.kstest(modulus, "uniform", (0.9, 0.2)).pvalue > 1e-3


def test_correlation_reaches_the_results():
    """Thicker sheets of lower modulus: their bending stiffness, t cubed times E, spreads less."""
    pair = Tolerance("sheet_thickness", 0.02e-3, "deviation"), Tolerance("modulus", 0.03, "deviation")
    free, against = (
        scatter(DESIGN, pair, count=20_000, rules=(), correlation=c)
        for c in ({}, {("sheet_thickness", "modulus"): -0.9})
    )
    spread = [np.std(s.outputs["bending_stiffness"]) / np.mean(s.outputs["bending_stiffness"]) for s in (free, against)]
    assert spread[0] == pytest.approx(np.hypot(0.03, 0.03), rel=0.02)
    assert spread[1] == pytest.approx(np.sqrt(2 * 0.03**2 * (1 - 0.9)), rel=0.03)
    assert against.correlation == {("sheet_thickness", "modulus"): -0.9}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (dict(field="sheet_thickness", size=1.0, kind="normal"), "kind"),
        (dict(field="sheet_thickness", size=0.1, kind="sample", values=(1.0, 2.0)), "follows from its values"),
        (dict(field="sheet_thickness", kind="sample", values=(1.0,)), "values of sheet_thickness"),
        (dict(field="sheet_thickness", size=0.1, values=(1.0, 2.0)), "values are for the kind"),
        (dict(field="pressure", size=1.0), "no tolerance here"),
    ],
)
def test_tolerances_that_make_no_sense_are_refused(given, words):
    with pytest.raises(ValueError, match=words):
        Tolerance(**given)


T, B, M = Tolerance("sheet_thickness", 1e-5), Tolerance("bond_line", 1e-5), Tolerance("modulus", 0.1)


@pytest.mark.parametrize(
    ("tolerances", "correlation", "words"),
    [
        ((T,), {("sheet_thickness", "modulus"): 0.5}, "two different inputs"),
        ((T, B), {("sheet_thickness", "bond_line"): 1.5}, "correlation of sheet_thickness"),
        ((T, B), {("sheet_thickness", "bond_line"): 0.5, ("bond_line", "sheet_thickness"): 0.1}, "given twice"),
        (
            (T, B, M),
            dict.fromkeys(combinations(("sheet_thickness", "bond_line", "modulus"), 2), -0.9),
            "cannot be together",
        ),
        (
            (Tolerance("sheet_thickness", kind="sample", values=(-1e-3, 2e-3)),),
            {},
            "of sheet thickness lets it become −1 mm, where 0.05 mm to 50 mm is possible",
        ),
    ],
)
def test_what_cannot_go_together_is_refused(tolerances, correlation, words):
    with pytest.raises(ValueError, match=words):
        varying(DESIGN, tolerances, correlation)
