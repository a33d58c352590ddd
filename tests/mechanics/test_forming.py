"""Loads, strain, energies and moduli of forming."""

import numpy as np
import pytest
from scipy.integrate import quad

from panelmech.mechanics.bend import solve_bend
from panelmech.mechanics.forming import (
    WIDE_FROM,
    bending_modulus,
    bending_stiffness,
    forming_loads,
    springback,
    surface_strain,
)

LEEBOARD = (0.225, 2e-3, 18e-3, 0.3e-3, 3e-3)


@pytest.fixture
def bend():
    return solve_bend(*LEEBOARD)


def test_energy_is_the_integral_of_the_curvature_squared(bend):
    energy = quad(lambda s: 7.0 * bend.curvature(s) ** 2 / 2, 0, bend.contact_arclength, epsrel=1e-11)[0]
    assert forming_loads(bend, 7.0).strain_energy == pytest.approx(2 * energy, rel=1e-9)


def test_moment_and_curvature_at_every_station(bend):
    """D theta'(s) is the moment of the contact force about the station, by vectors."""
    loads, th = forming_loads(bend, 7.0), bend.contact_angle
    s = np.linspace(0, bend.contact_arclength, 9)
    x, y = bend.outline(s)
    force = loads.contact_force * np.array([-np.sin(th), np.cos(th)])
    moment = (bend.contact_x - x) * force[1] - (bend.contact_y - y) * force[0]
    np.testing.assert_allclose(7.0 * bend.curvature(s), moment, rtol=1e-11, atol=1e-13 * loads.land_moment)


def test_strain(bend):
    s = np.array([0.0, 0.1, 0.22])
    np.testing.assert_allclose(surface_strain(bend, s), 1e-3 * bend.curvature(s), rtol=1e-15)
    assert surface_strain(bend, 0.0) == pytest.approx(1e-3 * bend.land_curvature, rel=1e-14)
    assert surface_strain(bend, 0.22) == 0.0
    both = solve_bend(0.225, np.array([1e-3, 2e-3]), *LEEBOARD[2:])
    rows = surface_strain(both, np.array([[0.0, 0.1]]))
    assert rows.shape == (2, 2)
    np.testing.assert_allclose(rows[1], surface_strain(bend, np.array([0.0, 0.1])), rtol=1e-13)
    np.testing.assert_allclose(surface_strain(both, np.array([0.0, 0.1])), [rows[0, 0], rows[1, 1]], rtol=1e-14)


def test_strain_has_the_sign_it_says(bend):
    """Fibres of the inner face are longer, those of the outer face shorter than the mid-surface."""
    s = np.linspace(0, bend.contact_arclength, 2001)
    x, y = bend.outline(s)
    th = bend.tangent_angle(s)

    def length(offset):
        return np.sum(np.hypot(np.diff(x - offset * np.sin(th)), np.diff(y + offset * np.cos(th))))

    assert length(-1e-3) > length(0.0) > length(1e-3)
    mean = np.mean(surface_strain(bend, s))
    assert length(-1e-3) / length(0.0) - 1 == pytest.approx(mean, rel=1e-3)  # mean over stations, trapezium left out


def test_springback_is_back_to_flat(bend):
    x, y = bend.outline(2)
    inner = y[-1] - 1e-3 * np.cos(bend.contact_angle)
    assert springback(bend) == pytest.approx(inner - 0.15e-3, rel=1e-12)


def test_lift_off_is_the_prop_of_a_propped_cantilever(bend):
    """Uniform load p on a propped cantilever presses the prop with 3 p s / 8 (any beam table, e.g. Roark)."""
    loads = forming_loads(bend, 7.0)
    assert 3 * loads.lift_off_pressure * bend.contact_arclength / 8 == pytest.approx(loads.contact_force, rel=1e-14)


def test_stiffness_scales_the_loads():
    bend = solve_bend(0.225, 2e-3, np.array([12e-3, 18e-3]), 0.3e-3, 3e-3)
    one, many = forming_loads(bend, 1.0), forming_loads(bend, np.array([[1.0], [5.0]]))
    for name in (
        "contact_force",
        "land_moment",
        "push_out_force",
        "opening_energy",
        "strain_energy",
        "lift_off_pressure",
    ):
        assert getattr(many, name).shape == (2, 2)
        np.testing.assert_allclose(getattr(many, name)[1], 5 * getattr(one, name), rtol=1e-14)


@pytest.mark.parametrize("stiffness", [0.0, -1.0, np.array([1.0, -2.0])])
def test_a_stiffness_that_is_not_positive(bend, stiffness):
    with pytest.raises(ValueError, match="give positive numbers|give a positive number"):
        forming_loads(bend, stiffness)


def test_infeasible_designs_have_no_loads():
    loads = forming_loads(solve_bend(0.225, 2e-3, np.array([18e-3, 0.2]), 0.3e-3, 3e-3), 7.0)
    for name in ("contact_force", "land_moment", "opening_energy", "strain_energy", "lift_off_pressure"):
        np.testing.assert_array_equal(np.isnan(getattr(loads, name)), [False, True])


def test_modulus_by_width():
    """E / (1 - nu^2) for a sheet much wider than thick (Timoshenko & Woinowsky-Krieger, ch. 1), else E."""
    assert bending_modulus(10e9, 0.3, 0.85, 2e-3) == (pytest.approx(10e9 / 0.91), True)
    assert bending_modulus(10e9, 0.3, WIDE_FROM * 2e-3, 2e-3)[1] is True
    assert bending_modulus(10e9, 0.3, 0.999 * WIDE_FROM * 2e-3, 2e-3) == (10e9, False)
    value, wide = bending_modulus(10e9, 0.3, np.array([5e-3, 0.5]), 2e-3)
    np.testing.assert_array_equal(wide, [False, True])
    np.testing.assert_allclose(value, [10e9, 10e9 / 0.91])
    assert bending_stiffness(12e9, 1e-3) == pytest.approx(1.0)


def test_what_is_not_known_gives_what_is_not_known():
    """A modulus or a thickness that is nan: the stiffness is nan, and only there."""
    row = np.array([10e9, np.nan])
    assert np.isnan(bending_modulus(row, 0.3, 0.85, 2e-3)[0]).tolist() == [False, True]
    assert np.isnan(bending_stiffness(row, 2e-3)).tolist() == [False, True]
    assert np.isnan(bending_stiffness(10e9, np.nan))


def test_loads_grow_with_the_size_by_their_powers(bend):
    """All lengths three times as large at one stiffness per width: forces fall with the square, moments and energies
    per width with the length, G with the square, the pressure with the cube."""
    small, large = forming_loads(bend, 7.0), forming_loads(solve_bend(*(3 * v for v in LEEBOARD)), 7.0)
    powers = dict(
        contact_force=-2, land_moment=-1, push_out_force=-2, opening_energy=-2, strain_energy=-1, lift_off_pressure=-3
    )
    for name, power in powers.items():
        assert getattr(large, name) == pytest.approx(getattr(small, name) * 3.0**power, rel=1e-11), name
