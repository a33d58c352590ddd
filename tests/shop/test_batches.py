"""Batches, filler, off ratio, pots and times at the shop's temperature: plain arithmetic and the edges."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmech.materials.stock import ResinSystem, catalogue
from panelmech.shop.resin import (
    CONSISTENCIES,
    FILLERS,
    SPARE,
    Filler,
    check_weighed,
    filled_mix,
    mix_batch,
    shift_time,
    shop_notes,
    split_batch,
    times_at,
)

FIVE = catalogue.resin_systems["epoxy 5:1, fast hardener"]
SLOW = catalogue.resin_systems["epoxy 3:1 by volume, slow clear hardener"]
ODD = catalogue.resin_systems["epoxy 2:1 by volume, 100:47 by weight"]


# -- grams --------------------------------------------------------------------------------------------------


def test_a_batch_in_plain_arithmetic():
    """100 mL and 15 % at 1110 kg/m3 are 127.65 g; 5 : 1 wants 21.28 g of hardener: 22 g on a scale of 1 g, 110 g
    resin."""
    batch = mix_batch(FIVE, 100e-6)
    assert (batch.resin, batch.hardener) == (pytest.approx(0.110), pytest.approx(0.022))
    assert batch.hardener_off == pytest.approx(0.0, abs=1e-12) and batch.verdict == "holds"
    assert batch.mass == pytest.approx(0.132) and batch.mixed_volume == pytest.approx(0.132 / 1110.0)


def test_the_error_of_rounding_is_shown():
    """11 g and 5 g where 100 : 47 is wanted: 5 x 2.1277 / 11 is 3.3 % too little hardener, two thirds of 5 %."""
    batch = mix_batch(ODD, 12e-6)
    assert (batch.resin, batch.hardener) == (pytest.approx(0.011), pytest.approx(0.005))
    assert batch.hardener_off == pytest.approx(5 * 2.1277 / 11 - 1)
    assert batch.hardener_off == pytest.approx(-0.033, abs=5e-4) and batch.verdict == "holds"
    assert "rounding uses up 66 % of the tolerance" in batch.notes[0]
    assert mix_batch(ODD, 12e-6, resolution=1e-4).notes == ()


def test_a_coarse_scale_fails_its_tolerance():
    assert mix_batch(ODD, 1.2e-6).verdict == "fails"


def test_what_keeps_the_ratio_stays_whatever_more_may_be_mixed():
    """22 g at 100 : 47: 8 g of 7.03 and 17 g are 0.1 % off, and stand, though 15 g and 7 g would be within 5 % too."""
    system = ResinSystem("x", "", weight_ratio=100 / 47, mixed_density=1000.0, ratio_tolerance=0.05)
    for most in (0.0, 0.1):
        batch = mix_batch(system, 22e-6, waste=0.0, most=most)
        assert (batch.resin, batch.hardener) == (pytest.approx(0.017), pytest.approx(0.008))


def test_volumes_beside_the_scale():
    batch = mix_batch(SLOW, 300e-6, resolution=1e-5)
    assert batch.resin_volume == pytest.approx(batch.resin / 1150.0)
    assert batch.volume_ratio == pytest.approx(3.0, rel=2e-3)
    assert np.isnan(mix_batch(FIVE, 300e-6).volume_ratio)  # the guide gives no densities of the two parts
    wrong = SLOW.with_own(volume_ratio=4.0)
    assert any("by volume" in note and "−25 %" in note for note in mix_batch(wrong, 300e-6).notes)


@given(
    volume=st.floats(1e-6, 5e-3),
    waste=st.floats(0.0, 1.0),
    step=st.sampled_from([1e-2, 1e-3, 1e-4, 1e-5]),
    ratio=st.floats(0.3, 10.0),
)
def test_any_batch_is_enough_on_the_scale_and_little_more(volume, waste, step, ratio):
    system = ResinSystem("any", "", weight_ratio=ratio, mixed_density=1100.0)
    batch = mix_batch(system, volume, waste, step)
    needed = 1100.0 * volume * (1.0 + waste)
    assert batch.mass >= needed * (1.0 - 1e-9)
    least = needed / (1.0 + ratio)
    assert batch.mass <= max(needed * (1.0 + SPARE), np.ceil(least / step) * step * (1.0 + ratio) + 2.0 * step) + 1e-9
    for part in (batch.resin, batch.hardener):
        assert part / step == pytest.approx(round(part / step), abs=1e-6)
    assert batch.hardener_off == pytest.approx(batch.hardener * ratio / batch.resin - 1.0)
    assert batch.verdict == "unknown"  # no tolerance is known


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"volume": 0.0}, "volume is 0"),
        ({"volume": float("nan")}, "volume"),
        ({"waste": 15.0}, "0.15 for 15 %"),
        ({"waste": float("nan")}, "waste"),
        ({"resolution": -1e-3}, "resolution"),
        ({"filler": "wood flour"}, "together"),
        ({"filler": "sand", "consistency": "hangs"}, "not known"),
        ({"filler": "wood flour", "consistency": "runs"}, "pours, hangs, stands"),
    ],
)
def test_batches_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        mix_batch(**{"system": FIVE, "volume": 1e-4} | changes)


# -- filler -------------------------------------------------------------------------------------------------


def test_a_filled_mix_in_plain_arithmetic():
    """Share 1 of a filler half of which is solid: 150 mL of mix are 100 mL resin and 100 mL loose filler of 40 g."""
    filler = Filler("half", 400.0, 800.0, {"hangs": (1.0, 1.0)})
    mix = filled_mix(150e-6, 1100.0, filler, "hangs")
    assert mix.resin_volume == pytest.approx((100e-6, 100e-6)) and mix.loose_volume == pytest.approx((100e-6, 100e-6))
    assert mix.filler_mass == pytest.approx((0.04, 0.04)) and mix.density == pytest.approx(
        ((0.11 + 0.04) / 150e-6,) * 2
    )


@pytest.mark.parametrize("name", FILLERS)
def test_thicker_takes_more_filler_and_less_resin(name):
    mixes = [filled_mix(1e-4, 1100.0, name, consistency) for consistency in CONSISTENCIES]
    for thin, thick in itertools.pairwise(mixes):
        assert thick.loose_volume[0] > thin.loose_volume[1] and thick.resin_volume[1] < thin.resin_volume[1]
    assert all(mix.basis == "common practice" and "no source" in mix.source for mix in mixes)


def test_a_filled_batch_has_resin_enough_for_the_least_filler():
    plain, filled = mix_batch(FIVE, 1e-4), mix_batch(FIVE, 1e-4, filler="hollow spheres", consistency="stands")
    assert filled.mass < 0.6 * plain.mass
    low, high = filled.filler_volume
    resin = filled.mass / 1110.0
    assert (low, high) == (pytest.approx(1.8 * resin), pytest.approx(2.5 * resin))
    assert resin + low * 110.0 / 200.0 >= 1.15e-4 * (1.0 - 1e-9)  # resin and solid filler fill it
    assert filled.filled.filler == "hollow spheres" and "no source" in filled.filled.source


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (("x", 500.0, 400.0), "loose below"),
        (("x", 0.0, 400.0), "positive"),
        (("x", 100.0, 400.0, {"pours": (2.0, 1.0)}), "least, most"),
        (("x", 100.0, 400.0, {"runs": (1.0, 2.0)}), "pours"),
    ],
)
def test_fillers_refused(values, words):
    with pytest.raises(ValueError, match=words):
        Filler(*values)


# -- off ratio ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("resin", "hardener", "off", "verdict", "add_resin", "add_hardener"),
    [
        (0.100, 0.020, 0.0, "holds", 0.0, 0.0),
        (0.100, 0.022, 0.1, "fails", 0.010, 0.0),
        (0.100, 0.019, -0.05, "close", 0.0, 0.001),
        (0.100, 0.0192, -0.04, "close", 0.0, 0.0008),
        (0.100, 0.0206, 0.03, "holds", 0.003, 0.0),
    ],
)
def test_off_ratio(resin, hardener, off, verdict, add_resin, add_hardener):
    """5 : 1, 5 % allowed: off, verdict and what to add by plain arithmetic; what is added brings it back."""
    found = check_weighed(FIVE, resin, hardener)
    assert found.hardener_off == pytest.approx(off, abs=1e-12) and found.verdict == verdict
    assert found.add_resin == pytest.approx(add_resin, abs=1e-12)
    assert found.add_hardener == pytest.approx(add_hardener, abs=1e-12)
    again = check_weighed(FIVE, resin + found.add_resin, hardener + found.add_hardener)
    assert again.hardener_off == pytest.approx(0.0, abs=1e-12) and again.words == "On ratio: holds."


def test_off_ratio_in_words_and_without_a_tolerance():
    assert check_weighed(FIVE, 0.1, 0.022).words.startswith(
        "10 % too much hardener, 5.0 % allowed: fails. Stir in 10.0 g of resin"
    )
    bare = ResinSystem("bare", "", weight_ratio=5.0)
    found = check_weighed(bare, 0.1, 0.018)
    assert (found.verdict, found.basis) == ("unknown", "no basis") and "no tolerance is known" in found.words
    assert "2.00 g of hardener" in found.words
    with pytest.raises(ValueError, match="hardener is 0"):
        check_weighed(FIVE, 0.1, 0.0)


# -- pots ---------------------------------------------------------------------------------------------------


def test_pots():
    """350 g in pots of 100 g: four of 87.5 g; a 200 mL pot filled to half takes 111 g, so four of 87.5 g as well."""
    pots = split_batch(FIVE, 0.35)
    assert (pots.count, pots.each, pots.limit) == (4, pytest.approx(0.0875), 0.1) and "heat" in pots.why
    small = split_batch(FIVE, 0.35, pot_volume=100e-6)
    assert (small.count, small.limit) == (7, pytest.approx(0.0555)) and "pot, filled" in small.why
    assert split_batch(FIVE, 0.35, largest=0.4).count == 1
    assert split_batch(FIVE, 0.3).count == 3  # a full pot is not split for rounding


def test_pots_refused():
    bare = ResinSystem("bare", "", weight_ratio=5.0, mixed_density=1100.0)
    for arguments, words in (
        ({}, "largest"),
        ({"pot_volume": 1e-4, "fill": 1.5}, "fill is 1.5"),
        ({"largest": 0.0}, "largest is 0"),
    ):
        with pytest.raises(ValueError, match=words):
            split_batch(bare, 0.2, **arguments)
    assert split_batch(bare, 0.2, pot_volume=1e-3).count == 1


# -- times at the shop's temperature ------------------------------------------------------------------------


def test_both_rules():
    """Ten degrees warmer: half by the one, 2^(-2/3) by the other; thirty degrees: an eighth and a quarter."""
    span = shift_time(3600.0, 293.15, 303.15)
    assert (span.quick, span.slow) == (pytest.approx(1800.0), pytest.approx(3600.0 * 2 ** (-2 / 3))) and span.note == ""
    span = shift_time(3600.0, 293.15, 323.15)
    assert (span.quick, span.slow) == (pytest.approx(450.0), pytest.approx(900.0)) and "30 °C from" in span.note
    cold = shift_time(3600.0, 293.15, 278.15)
    assert (cold.quick, cold.slow) == (pytest.approx(7200.0), pytest.approx(3600.0 * 2**1.5))
    same = shift_time(3600.0, 293.15, 293.15)
    assert same.quick == same.slow == 3600.0 and same.text() == "60.0 min" and cold.text() == "2.00 h to 2.83 h"


def test_arrays_of_temperatures():
    shop = np.array([283.15, 293.15, 303.15])
    span = shift_time(600.0, 293.15, shop)
    assert span.quick.shape == (3,) and np.all(span.quick <= span.slow) and np.all(np.diff(span.slow) < 0.0)
    assert span.quick[2] == shift_time(600.0, 293.15, 303.15).quick


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((0.0, 293.0, 293.0), "time is"),
        ((60.0, 22.0, 293.0), "rated temperature"),
        ((60.0, 293.0, np.nan), "temperature"),
        ((60.0, 293.0, 293.0, (15.0, 10.0)), "smaller first"),
        ((np.nan, 293.0, 293.0), "time is"),
    ],
)
def test_times_refused(arguments, words):
    with pytest.raises(ValueError, match=words):
        shift_time(*arguments)


def test_times_of_a_system():
    times = times_at(SLOW, 295.15)
    assert set(times) == set(SLOW.TIMES) and times["pot_life"].quick == SLOW.pot_life
    assert times_at(ResinSystem("bare", "", weight_ratio=5.0), 295.15) == {}


def test_a_cold_shop_is_named():
    assert "may never cure" in shop_notes(SLOW, 283.15)[0] and shop_notes(SLOW, 293.15) == ()
    assert "not known" in shop_notes(ResinSystem("bare", "", weight_ratio=5.0), 293.15)[0]
    assert any("a guess" in note for note in shop_notes(SLOW, 313.15))
