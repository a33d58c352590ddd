"""Bench tests of a sheet: exact curves, limits, uncertainty."""

import numpy as np
import pytest

from panelmech.measured.modulus_tests import cantilever_droop, droop, opened_pair, three_point
from panelmech.measured.readings import Reading, propagate
from panelmech.mechanics.bend import solve_bend


def _readings(deflection, force=10.0, span=0.1, thickness=2e-3):
    return (
        Reading("force", (force,)),
        Reading("deflection", (deflection,)),
        Reading("span", (span,)),
        Reading("width", (0.02,)),
        Reading("thickness", (thickness,)),
    )


def test_three_point_tends_to_the_linear_formula():
    """E = F L^3 / (4 b h^3 d), ISO 178; the difference goes with the square of deflection over span.

    For a strip so thin that its rolling on the supports, first order in the deflection, does not count.
    """
    ratios = []
    for d in (1e-3, 5e-4):
        result = three_point(*_readings(d, thickness=1e-7))
        ratios.append(abs(result.value / result.details["linear"] - 1.0))
    assert ratios[0] / ratios[1] == pytest.approx(4.0, rel=0.02)
    assert ratios[1] < 1e-3


def test_three_point_against_shooting():
    """Independent road: integrate the half strip from the middle to the smooth support with scipy."""
    from scipy.integrate import solve_ivp
    from scipy.optimize import brentq

    span, deflection, thickness, force, width = 0.1, 0.012, 2e-3, 10.0, 0.02
    result = three_point(*_readings(deflection), support_radius=3e-3)
    stiffness = result.value * thickness**3 / 12.0
    reach = 3e-3 + thickness / 2

    def end(theta_c):
        push = force / (2.0 * width * np.cos(theta_c))

        def rate(_, y):  # from the contact back: psi, run, rise
            return [
                np.sqrt(max(2.0 * push / stiffness * np.sin(y[0]), 1e-30)),
                np.cos(theta_c - y[0]),
                np.sin(theta_c - y[0]),
            ]

        def arrived(_, y):
            return y[0] - theta_c

        arrived.terminal = True
        out = solve_ivp(rate, (0.0, 1.0), [1e-12, 0.0, 0.0], events=arrived, rtol=1e-10, atol=1e-13)
        return out.y[1, -1] - (span / 2 - reach * np.sin(theta_c)), out.y[2, -1] + reach * (1 - np.cos(theta_c))

    angle = brentq(lambda th: end(th)[0], 0.2, 0.6, xtol=1e-10)
    assert angle == pytest.approx(result.details["contact_angle"], rel=1e-5)  # start of the shooting: psi = 1e-12
    assert end(angle)[1] == pytest.approx(deflection, rel=1e-5)


def test_frictionless_strip_has_a_greatest_force():
    result = three_point(*_readings(0.01))
    assert result.details["greatest_force"] > 10.0
    with pytest.raises(ValueError, match="cannot be reached"):
        three_point(*_readings(0.2))


def test_notes_name_readings_outside_the_method():
    assert any("large" in n or "beyond" in n for n in three_point(*_readings(0.015)).notes)
    assert any("shear" in n for n in three_point(*_readings(1e-3, span=0.02)).notes)


def test_droop_gives_back_the_modulus():
    modulus, t, rho, length = 9e9, 2e-3, 1800.0, 0.5
    stiffness = modulus * t**3 / 12.0
    weight = rho * 9.80665 * t
    drop = length * cantilever_droop(weight * length**3 / stiffness, 0.0)[0]
    found = droop(
        Reading("drop", (drop,), 1e-3),
        Reading("overhang", (length,), 1e-3),
        Reading("thickness", (t,), 1e-5),
        Reading("density", (rho,), 5.0),
    )
    assert found.value == pytest.approx(modulus, rel=1e-9)
    assert found.uncertainty > 0 and found.dominant in found.contributions


def test_end_weight_needs_both_mass_and_width():
    r = [Reading(n, (v,)) for n, v in (("drop", 0.03), ("overhang", 0.4), ("thickness", 2e-3), ("density", 1850.0))]
    with pytest.raises(ValueError, match="both, or neither"):
        droop(*r, end_mass=Reading("mass", (0.1,)))


def test_opened_pair_gives_back_the_modulus():
    bend = solve_bend(0.225, 0.002, 0.018)
    stiffness = 19.2e9 * 0.002**3 / 12.0
    r = [
        Reading(n, (v,), 1e-6)
        for n, v in (
            ("force", stiffness * bend.wavenumber**2 * 0.85),
            ("span", 0.85),
            ("free length", 0.225),
            ("thickness", 0.002),
            ("spacer", 0.018),
        )
    ]
    assert opened_pair(*r).value == pytest.approx(19.2e9, rel=1e-12)


def test_uncertainty_of_a_product_is_the_root_of_squares():
    """JCGM 100:2008, 5.1.6: relative uncertainties of a product of powers add in quadrature, weighted by the powers."""
    a, b = Reading("a", (2.0,), 0.02), Reading("b", (3.0, 3.1, 2.9), 0.0)
    result = propagate(lambda x, y: x * y**3, (a, b))
    expected = np.hypot(a.uncertainty / a.mean, 3.0 * b.uncertainty / b.mean)
    assert result.relative == pytest.approx(expected, rel=2e-3)  # second order of a 2 % reading
    assert result.dominant == "b"


@pytest.mark.parametrize("values", [(), (np.nan,), (np.inf,)])
def test_readings_must_be_finite_numbers(values):
    with pytest.raises(ValueError, match="force"):
        Reading("force", values)
