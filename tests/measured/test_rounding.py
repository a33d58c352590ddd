"""The step of an instrument under repeats: what all readings share of it, and what they average away."""

import numpy as np
import pytest

from panelmech.measured.worth import Reading, shared_rounding

NOISES = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0)


@pytest.mark.parametrize("count", [1, 2, 3, 10])
@pytest.mark.parametrize("noise", NOISES)
def test_the_mean_of_rounded_readings_is_off_by_what_is_told(noise, count):
    """Numbers with normal noise, rounded: of 100 000 a mean square is known to sqrt(2/n), 0.45 %, for a normal error,
    and four times that is allowed."""
    rng = np.random.default_rng(3)
    true = rng.uniform(0.0, 1.0, 100_000)
    read = np.round(true[:, None] + noise * rng.standard_normal((len(true), count)))
    shared = shared_rounding(noise)
    told = noise**2 / count + (shared + (1.0 - shared) / count) / 12.0
    assert np.mean((read.mean(axis=1) - true) ** 2) == pytest.approx(told, rel=0.018)


def test_a_reading_counts_its_step_by_its_noise():
    """One reading in full, repeats that are all alike in full, and repeats over several steps as one of each."""
    step = 1e-4
    assert Reading("x", (2e-3,), step, repeat=step).by_step == pytest.approx(step / np.sqrt(12.0))
    assert Reading("x", (2e-3,) * 5, step).by_step == pytest.approx(step / np.sqrt(12.0))
    wide = Reading("x", (2.0e-3, 2.3e-3, 1.8e-3, 2.1e-3), step)
    assert wide.together < 1e-6 and wide.by_step == pytest.approx(step / np.sqrt(48.0), rel=1e-6)
    assert wide.by_step_of(np.inf) < 1e-3 * step and wide.by_step_of(1) == pytest.approx(step / np.sqrt(12.0))
    assert Reading("x", (1.0,), band=0.3).by_step_of(np.inf) == pytest.approx(0.3 / np.sqrt(3.0))


@pytest.mark.parametrize("noise", [0.15, 0.25, 0.4])
def test_of_readings_no_less_is_shared_than_there_is(noise):
    """What rounding adds to their scatter does not pass for noise: of a thousand readings as much is told to be shared
    as there is, or more."""
    rng = np.random.default_rng(8)
    values = np.round(rng.uniform() + noise * rng.standard_normal((200, 1000)) + rng.uniform(size=(200, 1)))
    told = np.mean([Reading("x", tuple(row), 1.0).together for row in values])
    assert told >= shared_rounding(noise)


def test_what_is_drawn_is_as_wide_as_it_is_told():
    """Of 20 000 a standard deviation is known to half a per cent, and four times that is allowed."""
    one = Reading("x", (2.0e-3, 2.3e-3, 1.8e-3, 2.1e-3), 1e-3, band=2e-4)
    drawn = one.draw(np.random.default_rng(2), 20_000)
    assert np.std(drawn) == pytest.approx(one.uncertainty, rel=0.02)
    with pytest.raises(ValueError, match="noise over the step"):
        shared_rounding(-0.1)
