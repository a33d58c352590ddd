"""What is said of a fit of offsets, at the limits of each sentence."""

from types import SimpleNamespace

import numpy as np
import pytest

from panelmech.measured.offset_notes import LEFT_OUT, confounded, fit_notes, gap_words
from panelmech.measured.offset_priors import HAND, NAMES, Known
from panelmech.measured.worth import Measured

NAME = next(iter(NAMES))
PARTED, WORSE, TAKEN = "apart", "The residuals are", "Most of the uncertainty of the ratio is from the"


def fit(u=0.1, gap=0.0, correlation=0.0, freedom=8, spread=1.0, basis=HAND, of_name=0.0, of_offsets=1.0):
    """A fit with these numbers, without a word to say but on what is left out."""
    log_ratio = Measured(0.0, u, {"offsets": of_offsets, NAME: of_name})
    return SimpleNamespace(
        fits=True, log_ratio=log_ratio, stiffness_ratio_uncertainty=u, gap_correlation=gap, correlation=correlation,
        freedom=freedom, spread=spread, known={NAME: Known(0.0, 1e-4, basis)},
    )  # fmt: skip


def said(**numbers):
    *notes, left_out = fit_notes(fit(**numbers))
    assert left_out == LEFT_OUT
    return notes


def test_a_good_fit_says_what_is_left_out_alone():
    assert said() == []


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(("size", "count"), [(0.95, 0), (0.951, 1)])
def test_slope_and_ratio_from_a_correlation_on(sign, size, count):
    notes = said(correlation=sign * size)
    assert len(notes) == count and all("cannot tell land slope and ratio" in n and PARTED in n for n in notes)


@pytest.mark.parametrize(("u", "count"), [(0.499, 0), (0.5, 1), (2.0, 1)])
def test_nothing_is_known_of_a_ratio_from_half_on(u, count):
    assert len(said(u=u)) == count


def test_a_ratio_that_was_held_says_so_and_no_more():
    (note,) = said(u=np.nan, gap=1.0, correlation=1.0)
    assert "it was held at 1" in note


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_bow_from_where_knowing_it_halves_the_uncertainty(sign):
    """sqrt(1 - c^2) is a half at c^2 = 3/4."""
    assert not confounded(fit(gap=sign * 0.866)) and confounded(fit(gap=sign * 0.8661))
    assert said(gap=sign * 0.9, correlation=1.0) == [gap_words(fit(gap=sign * 0.9))]
    assert "good to ± 0.060 instead of 0.10." in gap_words(fit(gap=sign * 0.8))


@pytest.mark.parametrize(("freedom", "limit"), [(8, 1.5), (2, 2.0), (1, 2.41421)])
def test_residuals_beyond_two_standard_deviations_of_their_spread(freedom, limit):
    """1 + 2/sqrt(2 n) of n degrees of freedom."""
    assert said(freedom=freedom, spread=limit - 1e-4) == []
    (note,) = said(freedom=freedom, spread=limit + 1e-4)
    assert note.startswith(WORSE)


def test_without_freedom_residuals_say_nothing():
    assert said(freedom=0, spread=100.0) == []


def test_what_was_only_taken_is_named_where_it_counts_more_than_the_readings():
    (note,) = said(of_name=1.01)
    assert note.startswith(f"{TAKEN} {NAMES[NAME][0]}")
    assert said(of_name=1.0) == [] == said(of_name=0.99) == said(of_name=2.0, basis="measured")
    assert said(of_name=2.0, gap=0.9) == [gap_words(fit(gap=0.9))]
