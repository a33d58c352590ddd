"""The autocatalytic rate of cure against its closed form, quadrature and published ranges.

Sourour S. and Kamal M.R. (1976) Thermochimica Acta 14:41-59: d(cure)/dt = (k1 + k2 cure^m)(1 - cure)^n (the form read
at second hand). For m = n = 1 it integrates to (1 - e)/(1 + (k2/k1) e), e = exp(-(k1 + k2) t), derived. Activation
energies 44 to 57 kJ/mol and m + n from 2.5 to 3: Barral L. et al. (1995) J. Appl. Polym. Sci. 56:1029-1037 (abstract).
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from panelmech.published.heat import FIXED, closed_form_cure, kept_heat
from panelmech.shop.conduction import COLD
from panelmech.shop.cure import ILLUSTRATIVE
from panelmech.shop.heat import Pour, pour_heat

TIMES = np.array([1800.0, 3600.0, 7200.0, 14400.0])
CURES = np.array([0.06210156163, 0.2115667617, 0.7346666237, 0.9959049796])  # tabulated to ten digits


def test_closed_form_at_four_times():
    assert closed_form_cure(TIMES) == pytest.approx(CURES, rel=1e-9)


@pytest.mark.parametrize(("cure", "time"), [(0.5, 5589.896617), (0.9, 9088.370328)])
def test_time_to_a_cure_is_the_closed_form_turned_round(cure, time):
    assert FIXED.time_to(cure, 300.0) == pytest.approx(time, rel=1e-9)
    assert FIXED.cure_after(time, 300.0) == pytest.approx(cure, rel=1e-8)


@pytest.mark.parametrize(("cure", "time"), [(0.1, 1748.571695), (0.5, 4842.950629), (0.9, 12975.11918)])
def test_time_to_a_cure_where_no_closed_form_exists(cure, time):
    assert replace(FIXED, order_auto=0.8, order_left=1.6).time_to(cure, 300.0) == pytest.approx(time, rel=1e-9)


def test_the_pour_follows_the_closed_form_where_no_heat_comes_free():
    """Heat zero: the lift stays at shop temperature and each cell cures by the closed form. The error is measured as 3
    to 4 times the tolerance of one step, at tolerances from 1e-5 to 1e-8."""
    for tolerance in (1e-6, 1e-8):
        heat = pour_heat(Pour(replace(FIXED, heat=0.0), bottom=COLD, top=COLD), 5e-3, until=2e4, tolerance=tolerance)
        expected = closed_form_cure(heat.time)
        assert heat.centre_cure[:, 0] == pytest.approx(expected, abs=5.0 * tolerance)
    assert heat.peak == pytest.approx(295.15, abs=1e-9)


def test_an_insulated_pour_is_a_single_cell_that_keeps_all_its_heat():
    """Second road: one equation for the cure, the temperature following it by the heat balance, by another method."""
    own = ILLUSTRATIVE
    alone = solve_ivp(
        lambda _, a: own.rate(295.15 + own.adiabatic_rise * a, a),
        (0.0, 2e4),
        [0.0],
        method="DOP853",
        rtol=1e-10,
        atol=1e-12,
        dense_output=True,
    )
    heat = kept_heat(own, 12e-3, until=2e4)
    expected = alone.sol(heat.time)[0]
    steep = np.abs(np.gradient(expected, heat.time)).max()  # near thermal runaway a second is worth this much cure
    assert np.abs(heat.centre_cure[:, 0] - expected).max() < steep * 0.1  # measured 0.05 s of 52 min
    assert heat.centre_cure[-1, 0] == pytest.approx(expected[-1], abs=1e-6)


@pytest.mark.parametrize(("energy", "ratio"), [(44e3, 1.813911), (57e3, 2.1628442)])
def test_ten_degrees_speed_the_rate_as_the_published_energies_say(energy, ratio):
    own = replace(ILLUSTRATIVE, energy_plain=energy, energy_auto=energy)
    plain, auto = own.constants(np.array([293.15, 303.15]))
    assert plain[1] / plain[0] == pytest.approx(ratio, rel=1e-6)
    assert auto[1] / auto[0] == pytest.approx(ratio, rel=1e-6)


def test_the_illustrative_set_lies_within_the_published_ranges():
    assert 44e3 <= ILLUSTRATIVE.energy_auto <= ILLUSTRATIVE.energy_plain <= 57e3
    assert 2.5 <= ILLUSTRATIVE.order_auto + ILLUSTRATIVE.order_left <= 3.0
    assert "ILLUSTRATIVE" in ILLUSTRATIVE.label
