"""Shares of parts drawn at random: the interval against the exact binomial, and the words."""

import numpy as np
import pytest
import scipy

from panelmech.study.shares import Share, interval


@pytest.mark.parametrize(("count", "of"), [(0, 100), (1, 100), (7, 40), (250, 20_000), (20_000, 20_000)])
def test_at_either_bound_the_binomial_leaves_what_is_open(count, of):
    """Clopper and Pearson's own definition: the bound is where so many, or so few, are as unlikely as is left open."""
    low, high = interval(count, of)
    open_ = 0.05 if count in (0, of) else 0.025
    if count:
        assert scipy.stats.binom.sf(count - 1, of, low) == pytest.approx(open_, rel=1e-9)
    if count < of:
        assert scipy.stats.binom.cdf(count, of, high) == pytest.approx(open_, rel=1e-9)
    assert low <= count / of <= high


@pytest.mark.parametrize("share", [0.002, 0.1, 0.5])
def test_the_interval_holds_the_share_as_often_as_it_says(share):
    """Over all counts, weighed by how likely each is: 95 % at least."""
    of = 200
    weights = scipy.stats.binom.pmf(np.arange(of + 1), of, share)
    bounds = np.array([interval(count, of) for count in range(of + 1)])
    held = weights[(bounds[:, 0] <= share) & (share <= bounds[:, 1])].sum()
    assert 0.95 <= held < 1.0


@pytest.mark.parametrize("of", [300, 20_000, 1_000_000])
def test_none_of_many_follows_the_rule_of_three(of):
    """3/n is -ln 0.05 = 2.9957 rounded, and the expansion of 1 - 0.05^(1/n) leaves out terms of 1/n^2."""
    assert interval(0, of)[1] == pytest.approx(3.0 / of, rel=0.0015 + 2.0 / of)


def test_a_share_is_told_with_what_is_open():
    assert Share(0, 20_000).words() == "0 of 20\u202f000: below 0.015 %"
    assert Share(4500, 20_000).words() == "22.5 % (21.9 to 23.1 %)"
    assert Share(200, 200).words() == "all 200: all but 1.5 % at most"
    assert Share(0, 20_000, unknown=20_000).words() == "not known" and np.isnan(Share(0, 9, unknown=9).value)
    assert Share(10, 1000, unknown=990).words().endswith("the rest not known")
    assert Share(10, 1000, unknown=990).words().startswith("at least 1.00 %")
    assert Share(0, 1000, unknown=100).words() == "none seen in 1\u202f000; 10 % not known"
    hung = Share(10, 1000, undecided=5)
    assert hung.words().endswith("5 undecided")
    assert hung.interval == (interval(10, 1000)[0], interval(15, 1000)[1])


@pytest.mark.parametrize(("count", "of"), [(-1, 10), (11, 10), (1, 0), (1.5, 10)])
def test_counts_that_cannot_be_are_refused(count, of):
    with pytest.raises(ValueError, match="count"):
        interval(count, of)
