"""Kinetics at their limits, and what is told of lifts, from curves drawn by hand: no heat is marched here."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import scipy.constants

from panelmech.materials.stock import ResinSystem, catalogue
from panelmech.published.heat import FIXED, closed_form_cure
from panelmech.shop.conduction import COLD, INSULATED, Face, Layer
from panelmech.shop.cure import GAS, GEL_CURE, ILLUSTRATIVE, system_kinetics
from panelmech.shop.deepest import LiftDepth, Scan, _crossed
from panelmech.shop.heat import (
    Margin,
    Pour,
    default_duration,
    front_thickness,
    older_lift,
    place_words,
)
from panelmech.shop.interval import LiftInterval, lift_interval

SHOP = 295.15
SLOW = catalogue.resin_systems["epoxy 3:1 by volume, slow clear hardener"]


# -- rate and time of cure ----------------------------------------------------------------------------------


def test_constants_of_nature_and_of_gelling():
    """Flory and Stockmayer: gelled at cure^2 (f - 1)(g - 1) = 1, with four arms and two."""
    assert pytest.approx(scipy.constants.R, rel=1e-9) == GAS
    assert GEL_CURE**2 * (4 - 1) * (2 - 1) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("temperature", "cure", "rate"),
    [
        (296.15, 0.0, 2e-5),
        (296.15, 0.25, (2e-5 + 1e-4) * 0.75**2),
        (296.15, 0.5, (2e-5 + 2e-4) * 0.5**2),
        (306.15, 0.0, 2e-5 * 2.13001),  # exp(57000 / 8.31446 x (1/296.15 - 1/306.15))
        (306.15, 0.5, (2e-5 * 2.13001 + 2e-4 * 1.79262) * 0.25),  # and of 44000
        (296.15, 1.0, 0.0),
    ],
)
def test_the_illustrative_rate_in_plain_arithmetic(temperature, cure, rate):
    assert ILLUSTRATIVE.rate(temperature, cure) == pytest.approx(rate, rel=1e-5)


def test_heat_of_the_illustrative_set_in_plain_arithmetic():
    """400 kJ/kg over 1.8 kJ/(kg K) is 222.2 K; 0.18 over 1110 x 1800 is 9.009e-8 m2/s."""
    assert ILLUSTRATIVE.adiabatic_rise == pytest.approx(222.22, abs=0.005)
    assert ILLUSTRATIVE.diffusivity == pytest.approx(9.009e-8, rel=1e-4) and ILLUSTRATIVE.density == 1110.0


@pytest.mark.parametrize("cure", [1e-9, 1e-3, 0.499, 0.5, 0.501, 0.75, 0.9999, 1.0 - 1e-9])
def test_time_and_cure_lead_back_up_to_the_last_trace(cure):
    """Against the closed form, from the first trace of cure to a billionth short of all."""
    time = FIXED.time_to(cure, 300.0)
    assert closed_form_cure(time) == pytest.approx(cure, rel=1e-9)
    assert 1.0 - FIXED.cure_after(time, 300.0) == pytest.approx(1.0 - cure, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("cure", [0.1, 0.5, 0.99])
def test_a_start_a_thousand_million_times_slower_than_what_follows(cure):
    """m = n = 1: ln((k1 + k2 c)/(k1 (1 - c)))/(k1 + k2), of which a few seconds make most of the cure."""
    slow = replace(FIXED, rate_plain=1e-9, rate_auto=1.0, order_auto=1.0, order_left=1.0)
    closed = np.log((1e-9 + cure) / (1e-9 * (1.0 - cure))) / (1.0 + 1e-9)
    assert slow.time_to(cure, 300.0) == pytest.approx(closed, rel=1e-9)


def test_nothing_takes_no_time_and_in_the_end_all_is_cured():
    assert ILLUSTRATIVE.time_to(0.0, SHOP) == 0.0 and ILLUSTRATIVE.cure_after(0.0, SHOP) == 0.0
    assert FIXED.cure_after(1e9, 300.0) == 1.0 and FIXED.cure_after(3e4, 300.0) < 1.0


def test_a_slow_start_is_cure_by_the_plain_rate_alone():
    """Both limits of the law: k1 t at the first, and with k1 alone and n = 1 an exponential, n = 2 a hyperbola."""
    assert ILLUSTRATIVE.time_to(1e-6, 296.15) == pytest.approx(1e-6 / 2e-5, rel=1e-4)
    alone = replace(ILLUSTRATIVE, rate_auto=0.0, order_left=1.0)
    assert alone.time_to(0.9, 296.15) == pytest.approx(math.log(10.0) / 2e-5, rel=1e-9)
    assert replace(alone, order_left=2.0).time_to(0.9, 296.15) == pytest.approx(9.0 / 2e-5, rel=1e-9)


@pytest.mark.parametrize("cure", [0.2, GEL_CURE, 0.9])
def test_pacing_by_any_cure_scales_both_rates_alike(cure):
    own = ILLUSTRATIVE.paced(5400.0, 300.0, cure)
    assert own.time_to(cure, 300.0) == pytest.approx(5400.0, rel=1e-9)
    assert own.rate_auto / own.rate_plain == pytest.approx(20.0) and f"{100 * cure:.0f} % cure" in own.label
    assert replace(own, rate_plain=2e-5, rate_auto=4e-4, label=ILLUSTRATIVE.label) == ILLUSTRATIVE


@pytest.mark.parametrize(
    ("densities", "expected"),
    [
        ({}, 1110.0),
        ({"mixed_density": 1300.0}, 1300.0),
        ({"resin_density": 1150.0}, 1110.0),
        ({"hardener_density": 950.0}, 1110.0),
        ({"resin_density": 1200.0, "hardener_density": 1000.0}, 4000.0 / 3.5),
    ],
)
def test_the_density_of_a_system_is_its_own_where_it_is_known(densities, expected):
    """1.2 and 1.0, 3 : 1 by weight: four parts fill 3/1.2 + 1 = 3.5, so 1142.9 kg/m3."""
    system = ResinSystem(
        "film", "", weight_ratio=3.0, tack_from=3600.0, tack_until=7200.0, rated_temperature=295.0, **densities
    )
    own = system_kinetics(system)
    assert own.density == pytest.approx(expected) and own.label.endswith(", as of film")
    assert own.time_to(GEL_CURE, 295.0) == pytest.approx(3600.0, rel=1e-9)


KINETICS = {
    "rate_plain": (1e-12, 1.0), "rate_auto": (0.0, 10.0), "order_auto": (0.0, 5.0), "order_left": (0.5, 5.0),
    "energy_plain": (0.0, 3e5), "energy_auto": (0.0, 3e5), "reference": (200.0, 700.0), "heat": (0.0, 2e6),
    "density": (50.0, 5000.0), "heat_capacity": (200.0, 5000.0), "conductivity": (0.01, 20.0),
}  # fmt: skip


@pytest.mark.parametrize("name", KINETICS)
def test_kinetics_to_the_ends_of_their_ranges_and_no_further(name):
    for end, beyond in zip(KINETICS[name], (-1.0, 1.0), strict=True):
        assert getattr(replace(ILLUSTRATIVE, **{name: end}), name) == end
        with pytest.raises(ValueError, match=name):
            replace(ILLUSTRATIVE, **{name: end + beyond * max(0.01 * end, 1e-15)})


def test_temperatures_and_times_to_the_ends_of_their_ranges():
    slow = replace(ILLUSTRATIVE, energy_plain=0.0, energy_auto=0.0)
    for temperature in (200.0, 700.0):
        assert slow.time_to(0.5, temperature) == slow.time_to(0.5, 300.0)
    for call in (
        lambda: slow.time_to(0.5, 199.9), lambda: slow.time_to(0.5, 700.1), lambda: slow.time_to(-1e-9, 300.0),
        lambda: slow.time_to(1.0, 300.0), lambda: slow.cure_after(-1e-9, 300.0), lambda: slow.paced(0.0, 300.0),
    ):  # fmt: skip
        with pytest.raises(ValueError):
            call()


# -- what a lift is poured between --------------------------------------------------------------------------


def test_shops_and_resin_from_minus_twenty_to_a_hundred_degrees():
    for name in ("shop_temperature", "start_temperature"):
        for end, beyond in ((253.15, 253.1), (373.15, 373.2)):
            assert getattr(Pour(**{name: end}), name) == end
            with pytest.raises(ValueError, match=name):
                Pour(**{name: beyond})
    assert Pour(side_loss=0.0).side_loss == 0.0
    assert Pour().start_rise == 0.0 and Pour(start_temperature=SHOP - 7.0).start_rise == pytest.approx(-7.0)


def test_an_older_lift_is_a_layer_of_the_same_resin_under_still_air():
    face = older_lift(ILLUSTRATIVE, 0.02)
    assert face == Face(10.0, (Layer(0.02, 0.18, 1110.0, 1800.0),))


@pytest.mark.parametrize("start", [None, SHOP + 10.0, SHOP - 10.0])
def test_how_long_a_pour_is_followed(start):
    """Three times 90 % cure at the colder of shop and resin, and the time heat needs through all layers."""
    pour = Pour(start_temperature=start, bottom=older_lift(ILLUSTRATIVE, 0.02), top=COLD)
    cold = SHOP if start is None else min(SHOP, start)
    expected = 3.0 * ILLUSTRATIVE.time_to(0.9, cold) + 0.03**2 / ILLUSTRATIVE.diffusivity
    assert default_duration(pour, 0.01) == pytest.approx(expected)


def test_a_front_of_cure_is_as_thick_as_heat_runs_in_the_quickest_cure():
    """Constant rate k1 with k2 = 0: sqrt(diffusivity / k1), 67.1 mm at the reference; at any rise by its own k1."""
    own = replace(ILLUSTRATIVE, rate_auto=0.0)
    rise = np.array([296.15 - SHOP, 306.15 - SHOP])
    expected = np.sqrt(9.009009e-8 / (2e-5 * np.array([1.0, 2.1300104])))
    assert front_thickness(Pour(own), rise) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("place", "words"),
    [(0.0, "at its bottom"), (9e-5, "at its bottom"), (2e-4, "0.200 mm above"), (9.8e-3, "9.80 mm above"),
     (9.95e-3, "at its top")],
)  # fmt: skip
def test_places_near_an_end_are_the_end(place, words):
    assert words in place_words(place, 10e-3)


# -- windows, from curves drawn by hand ---------------------------------------------------------------------


def drawn(greatest, top_cure, time=(0.0, 100.0, 200.0, 300.0, 400.0), peak_time=150.0):
    """What `lift_interval` reads of a pour: greatest rise [K] and cure at the top over time, for one lift."""
    return SimpleNamespace(
        time=np.array(time), greatest=SHOP + np.array(greatest, float)[:, None], depth=np.array([0.01]),
        top_cure=np.array(top_cure, float)[:, None], peak_time=np.array([peak_time]), pour=Pour(FIXED),
    )  # fmt: skip


CURES = (0.0, 0.3, 0.5, 0.7, 0.9)
TACK = FIXED.time_to(0.8, SHOP)  # s in which a thin film in the shop has a cure of 0.8


def test_a_window_in_plain_arithmetic():
    """5 K above the shop between 10 K at 200 s and 0 K at 300 s: 250 s. Gelled between 0.5 and 0.7, at 238.7 s. The
    tack goes with a cure of 0.8, half way from 0.7 to 0.9: 350 s."""
    found = lift_interval(drawn((0.0, 20.0, 10.0, 0.0, 0.0), CURES), TACK)
    assert found.past_heat == pytest.approx([250.0])
    assert found.gelled == pytest.approx([200.0 + 100.0 * (3**-0.5 - 0.5) / 0.2])
    assert found.earliest == pytest.approx([250.0]) and found.latest == pytest.approx([350.0], rel=1e-6)
    assert found.possible.tolist() == [True] and found.followed == 400.0
    assert found.window() == pytest.approx((250.0, 350.0), rel=1e-6)


def test_the_later_of_gelling_and_cooling_opens_the_window():
    soon = lift_interval(drawn((0.0, 20.0, 0.0, 0.0, 0.0), CURES), TACK)
    assert soon.past_heat == pytest.approx([175.0]) and soon.earliest == pytest.approx(soon.gelled)


def test_the_last_time_it_is_warm_counts_not_the_first():
    twice = lift_interval(drawn((0.0, 20.0, 0.0, 10.0, 0.0), CURES), TACK)
    assert twice.past_heat == pytest.approx([350.0]) and twice.possible.tolist() == [False]


def test_a_lift_that_never_warms_is_past_its_heat_at_its_peak():
    cool = lift_interval(drawn((0.0, 5.0, 4.0, 3.0, 2.0), CURES), TACK)  # five are within five
    assert cool.past_heat.tolist() == [150.0]
    assert lift_interval(drawn((0.0, 5.0, 4.0, 3.0, 2.0), CURES), TACK, cooled_within=2.5).past_heat == [350.0]


def test_a_lift_still_warm_at_the_end_has_no_window():
    warm = lift_interval(drawn((0.0, 20.0, 10.0, 8.0, 5.1), CURES), TACK)
    assert np.isnan(warm.past_heat[0]) and not warm.possible[0]
    with pytest.raises(ValueError, match="not past its heat"):
        warm.window()


def test_tack_that_is_kept_to_the_end_ends_with_what_was_followed():
    kept = lift_interval(drawn((0.0, 20.0, 10.0, 0.0, 0.0), (0.0, 0.3, 0.6, 0.7, 0.79)), TACK)
    assert kept.latest.tolist() == [np.inf] and kept.window()[1] == 400.0 and kept.possible[0]
    lost = lift_interval(drawn((0.0, 20.0, 10.0, 0.0, 0.0), (0.9, 0.9, 0.9, 0.9, 0.9)), TACK)
    assert lost.latest.tolist() == [0.0] and lost.gelled.tolist() == [0.0]


@pytest.mark.parametrize(
    ("early", "late", "words"),
    [
        (3600.0, 7200.0, "next lift from 1.00 h to 2.00 h after"),
        (3600.0, np.inf, "next lift from 1.00 h to 4.00 h at least after"),
        (7200.0, 7200.0, "no window: past its heat after 2.00 h, tack lost after 2.00 h"),
        (np.nan, np.inf, "no window: past its heat not in the time followed, tack lost not in the time followed"),
    ],
)
def test_words_of_a_window(early, late, words):
    row = [np.array([v]) for v in (0.01, early, 60.0, early, late)]
    assert words in LiftInterval(*row, 14400.0, "data").rows()[0]


# -- depths and margins in words ----------------------------------------------------------------------------


def depth_found(depth, stated, note=""):
    scan = Scan(Pour(), np.array([depth]), np.array([333.0]), np.array([333.0]), 5)
    return LiftDepth(depth, 333.0, 340.0, 333.15, scan, stated, note)


@pytest.mark.parametrize(
    ("depth", "stated", "words"),
    [
        (6e-3, 6e-3, "alike within 1.5 times"),
        (9e-3, 6e-3, "alike within 1.5 times"),
        (6e-3, 9e-3, "alike within 1.5 times"),
        (9.1e-3, 6e-3, "1.5 times more"),
        (6e-3, 9.1e-3, "1.5 times less"),
        (24e-3, 6e-3, "4 times more"),
        (6e-3, 24e-3, "4 times less"),
    ],
)
def test_cure_data_beside_the_data_sheet(depth, stated, words):
    found = depth_found(depth, stated)
    assert words in found.rows()[1] and found.recommended == min(depth, stated)
    assert "a tenth deeper reaches 66.9 °C" in found.rows()[0]
    if "alike" not in words:
        assert "or more" not in found.rows()[1] and "measure a test pour" in found.rows()[1]
        assert "times or more" in depth_found(depth, stated, "the deepest looked at").rows()[1]


@pytest.mark.parametrize(("depth", "words"), [(0.03, "30 mm"), (6e-3, "6.0 mm"), (5.9999e-3, "5.9 mm")])
def test_a_depth_of_two_digits_is_told_as_it_stands(depth, words):
    """The deepest looked at is such a one."""
    assert depth_found(depth, None).depth_text() == words


def test_a_depth_is_told_rounded_down():
    assert depth_found(6.49e-3, None).depth_text() == "6.4 mm" and len(depth_found(6.49e-3, None).rows()) == 2


def margin(planned, deeper, warmer):
    heat = SimpleNamespace(pour=Pour(), peak=SHOP + np.array([planned]))
    return Margin(heat, SHOP + np.array([deeper]), SHOP + np.array([warmer]))


@pytest.mark.parametrize(
    ("planned", "deeper", "warmer", "limit", "words"),
    [
        (20.0, 22.0, 23.0, 38.0, ()),
        (20.0, 38.0, 23.0, 38.0, ("poured a tenth deeper it runs away and reaches 60.0 °C",)),
        (20.0, 22.0, 38.5, 38.0, ("in a shop 3 K warmer it runs away and reaches 60.5 °C",)),
        (20.0, 29.9, 32.9, 38.0, ()),  # one and a half times, of the warmer shop's own rise
        (20.0, 30.1, 33.1, 38.0, ("deeper it runs away and", "warmer it runs away and")),
        (20.0, 29.0, 32.0, 28.0, ("deeper it reaches 51.0 °C", "warmer it reaches 54.0 °C")),
        (1.0, 4.9, 7.9, 38.0, ()),  # five degrees are no heat to run away with
        (1.0, 5.1, 8.1, 38.0, ("deeper it runs away and", "warmer it runs away and")),
    ],
)
def test_what_a_careless_pour_does(planned, deeper, warmer, limit, words):
    missed = margin(planned, deeper, warmer).misses(SHOP + limit)
    assert len(missed) == len(words) and all(w in m for w, m in zip(words, missed, strict=True))


def test_the_hottest_of_several_lifts_is_named():
    heat = SimpleNamespace(pour=Pour(), peak=SHOP + np.array([20.0, 30.0]))
    missed = Margin(heat, SHOP + np.array([50.0, 31.0]), SHOP + np.array([20.0, 30.0])).misses(SHOP + 60.0)
    assert missed == ("poured a tenth deeper it runs away and reaches 72.0 °C",)


def test_faces_by_their_coefficient():
    assert Face(np.inf) == COLD and Face(0.0) == INSULATED
    with pytest.raises(ValueError, match="coefficient"):
        Face(-1e-9)


@pytest.mark.parametrize(
    ("points", "at"),
    [
        ([(0.0, -1.0), (1.0, 3.0)], 0.25),
        ([(0.0, -1.0), (1.0, 3.0), (0.2, -0.9)], 0.6),  # the nearest two lead to 2, out of 0.2 to 1
        ([(0.0, -1.0), (1.0, -0.5)], 1.05),  # none beyond: to 2, which is more than a tenth further
        ([(0.0, -1.0), (0.05, -0.5), (2.0, 9.0)], 0.1),
        ([(1.0, 1.0), (2.0, 3.0)], 0.95),  # none within: to 0.5
        ([(0.0, -1.0), (0.5, -1.0)], 0.55),  # level
        ([(0.0, 0.0), (1.0, 1.0)], 0.0),  # at the limit is within it
    ],
)
def test_where_the_limit_is_crossed_in_plain_arithmetic(points, at):
    assert _crossed(points) == pytest.approx(at, abs=1e-15)
